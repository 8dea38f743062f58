"""Picks hold on to their classes when a chart is corrected or read again."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from chartscan.chart import Chart, ChartClass
from chartscan.tasks.picks import Pick, find_class, find_picks, mark_class
from tests.palette.making import thread

RED, BLUE = thread("A1", "#aa0000"), thread("B2", "#0000aa")
Colours = list[tuple[int, int, int]]
CHANNEL = st.integers(0, 255)
COLOURS = st.lists(st.tuples(CHANNEL, CHANNEL, CHANNEL), min_size=2, max_size=8, unique=True)


def _chart(colours: Colours) -> Chart:
    """A row of two cells for each colour."""
    classes = tuple(ChartClass(i, "stitch", rgb) for i, rgb in enumerate(colours))
    return Chart(np.repeat(np.arange(len(colours), dtype=np.int32), 2)[None], classes)


@given(COLOURS, st.integers(0, 10_000))
def test_a_class_is_found_again_whatever_number_it_gets(colours: Colours, seed: int) -> None:
    chart = _chart(colours)
    order = np.random.default_rng(seed).permutation(len(colours)).astype(np.int32)  # order[old]
    back = np.argsort(order)
    moved = Chart(
        order[chart.cells],
        tuple(ChartClass(n, "stitch", colours[old]) for n, old in enumerate(back.tolist())),
    )
    for old, new in enumerate(order.tolist()):
        assert find_class(moved, mark_class(chart, old)) == new


def test_a_class_whose_colour_was_corrected_is_found_at_its_cell() -> None:
    chart = _chart([(170, 0, 0), (0, 0, 170)])
    corrected = _chart([(180, 10, 0), (0, 0, 170)])
    assert find_class(corrected, mark_class(chart, 0)) == 0


def test_of_two_classes_made_one_the_later_pick_holds() -> None:
    chart = _chart([(170, 0, 0), (0, 0, 170)])
    marked = [(mark_class(chart, 0), Pick((RED,))), (mark_class(chart, 1), Pick((BLUE,)))]
    one = Chart(np.zeros((1, 4), dtype=np.int32), (ChartClass(0, "stitch", (170, 0, 0)),))
    found = find_picks(one, marked)
    assert found.picks == {0: Pick((BLUE,))}
    assert found.lost == ()


def test_a_pick_whose_class_is_gone_is_told() -> None:
    chart = _chart([(170, 0, 0), (0, 0, 170)])
    empty = Chart(np.zeros((1, 4), dtype=np.int32), (ChartClass(0, "empty", (255, 255, 255)),))
    found = find_picks(empty, [(mark_class(chart, 0), Pick((RED,)))])
    assert (dict(found.picks), found.lost) == ({}, (Pick((RED,)),))
