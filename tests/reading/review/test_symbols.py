"""A chart with symbols keeps their pictures once it is read."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from chartscan.reading import read_pages
from tests.conftest import DrawChart


@pytest.mark.parametrize("recipe", ["symbols-one-ink", "symbols-on-colour"])
def test_every_symbol_has_a_picture_of_its_own(draw_chart: DrawChart, recipe: str) -> None:
    chart = read_pages(draw_chart(recipe, 3).pages).chart
    looks = []
    for entry in chart.classes:
        assert (entry.picture is None) == (entry.symbol is None)
        if entry.picture is not None:
            with Image.open(io.BytesIO(entry.picture)) as picture:
                looks.append(np.asarray(picture.convert("L"), dtype=np.float64))
    assert len(looks) >= 3
    apart = [np.abs(a - b).mean() for i, a in enumerate(looks) for b in looks[:i]]
    assert min(apart) > 5, "two symbols look the same"
