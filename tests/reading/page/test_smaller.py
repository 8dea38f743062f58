"""Pages made smaller strip by strip, against Pillow's own reduction of the whole."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from chartscan.reading.page.smaller import luma_of, smaller


@given(st.integers(1, 300), st.integers(1, 40), st.sampled_from([1, 2, 3, 4, 7]))
def test_strips_give_what_the_whole_page_gives(height: int, width: int, factor: int) -> None:
    rng = np.random.default_rng(height * width)
    pixels = rng.integers(0, 256, (height, width, 3), dtype=np.uint8)
    whole = Image.fromarray(pixels).reduce(factor)
    assert (smaller(pixels, factor) == np.asarray(whole)).all()
    assert (luma_of(pixels, factor) == np.asarray(whole.convert("L"))).all()


def test_luma_weighs_the_channels_as_rec_601_does() -> None:
    """Weights 0.299, 0.587, 0.114 (ITU-R BT.601); rounded to whole levels."""
    pixels = np.array([[[200, 0, 0], [0, 200, 0], [0, 0, 200]]], dtype=np.uint8)
    assert luma_of(pixels)[0] == pytest.approx([59.8, 117.4, 22.8], abs=1)
