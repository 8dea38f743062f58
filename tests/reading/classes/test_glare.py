"""Nothing that is printed is brighter than paper: what seems so is paper in more light."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.colour import srgb_to_lab
from chartscan.reading.classes.glare import without_glare
from chartscan.reading.classes.looks import Looks

SIDE = 4
LABELS = np.repeat([0, 1, 2], 8).reshape(4, 6)


def looks(*grounds: tuple[float, float, float], ink: float = 0.0) -> Looks:
    """Cells of the groups of ``LABELS`` on these grounds (CIELAB), the last with ``ink``."""
    points = np.zeros((LABELS.size, SIDE * SIDE + 3))
    points[:, SIDE * SIDE :] = np.array(grounds)[LABELS.ravel()] * SIDE
    points[LABELS.ravel() == 2, 0] = ink * SIDE
    return Looks(points, SIDE * SIDE)


PAPER = tuple(srgb_to_lab([250, 250, 250]).tolist())
RED = (55.0, 60.0, 30.0)


def test_what_is_brighter_than_paper_is_paper() -> None:
    found = without_glare(looks(RED, PAPER, (117.0, 0.0, 0.0)), LABELS)
    assert len(np.unique(found)) == 2
    assert len(np.unique(found[LABELS > 0])) == 1


@pytest.mark.parametrize(
    ("ground", "ink"),
    [((99.0, 0.0, 0.0), 0.0), ((110.0, 30.0, 0.0), 0.0), ((117.0, 0.0, 0.0), 20.0)],
)
def test_white_colours_and_symbols_stay(ground: tuple[float, float, float], ink: float) -> None:
    assert np.array_equal(without_glare(looks(RED, PAPER, ground, ink=ink), LABELS), LABELS)


def test_where_no_group_is_paper_nothing_is_taken_for_it() -> None:
    given = looks(RED, (80.0, 10.0, 10.0), (117.0, 0.0, 0.0))
    assert np.array_equal(without_glare(given, LABELS), LABELS)
