"""Line evidence: looked at in parts it is the same, and off the page there is none."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.reading.lattice import rectified
from chartscan.reading.lattice.extent import Extent
from chartscan.reading.lattice.model import Lattice
from chartscan.reading.lattice.rectified import line_evidence, middle
from chartscan.reading.page.smaller import luma_of
from tests.reading.lattice.drawn_grid import drawn

COLUMNS, ROWS = 24, 18
PAGE, FLAT_ONE = drawn(COLUMNS, ROWS)
BENT = Lattice(
    COLUMNS,
    ROWS,
    FLAT_ONE.homography,
    np.random.default_rng(3).normal(0, 0.5, (4, 5, 2)),
    drawn=True,
)


@pytest.mark.parametrize("lattice", [FLAT_ONE, BENT])
@pytest.mark.parametrize("samples", [1, 5_000, 20_000])
def test_in_parts_the_same_is_seen(
    lattice: Lattice, samples: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Cells all round, some of them off the page, among them."""
    grey, region = luma_of(PAGE.pixels), Extent(-9, COLUMNS + 9, -7, ROWS + 8)
    whole = line_evidence(grey, lattice, region)
    monkeypatch.setattr(rectified, "AT_HAND", samples)
    parts = line_evidence(grey, lattice, region)
    assert parts.region == region
    for one, other in (
        (whole.upright, parts.upright),
        (whole.level, parts.level),
        (whole.inside, parts.inside),
    ):
        assert one.shape == other.shape
        assert (one == other).mean() > 0.999  # a place may fall on a pixel's edge


def test_what_lies_off_the_page_is_told() -> None:
    inside = line_evidence(luma_of(PAGE.pixels), FLAT_ONE, Extent(-9, 9, -9, 9)).inside
    assert inside[9:, 9:].min() == 1
    assert inside[0].max() == 0
    assert 0 < inside.mean() < 1


@pytest.mark.parametrize("places", [1, 2, 3, 7, 8])
def test_the_middle_of_a_few_is_their_median(places: int) -> None:
    values = np.random.default_rng(5).integers(0, 9, (40, 30, places)).astype(np.float32)
    assert np.array_equal(middle(values), np.median(values, axis=-1))
