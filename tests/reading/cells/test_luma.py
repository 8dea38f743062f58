"""How light a colour is to the reader."""

from __future__ import annotations

import numpy as np

from chartscan.reading.cells.sampling import luma
from chartscan.reading.page.smaller import luma_of


def test_luma_is_that_of_recommendation_601() -> None:
    """0.299 R + 0.587 G + 0.114 B (ITU-R BT.601-7, section 2.5.1, from memory).

    With red and blue the other way round, red ink on dark blue would be taken for the paper.
    """
    colours = np.array([[255, 0, 0], [0, 255, 0], [0, 0, 255], [255, 255, 255]], dtype=np.uint8)
    wanted = [76.245, 149.685, 29.07, 255]
    np.testing.assert_allclose(luma(colours), wanted, atol=0.01)
    page = np.repeat(np.repeat(colours[None], 4, axis=1), 4, axis=0)
    np.testing.assert_allclose(luma_of(page, 4).ravel(), wanted, atol=1)
