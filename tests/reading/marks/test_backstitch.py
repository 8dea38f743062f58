"""Straight runs of one ink, by lines whose ends, width and number are known."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.reading.marks.backstitch import Runs, _inked_midway, find_runs
from chartscan.reading.marks.inkfield import Field, LineSettings
from chartscan.reading.marks.inks import Ink
from tests.reading.marks.flat_page import line_cover

SIDE, ROWS, COLUMNS = 12, 7, 9
SHAPE = (ROWS * SIDE, COLUMNS * SIDE)
WIDTH = 0.2
NOWHERE = np.zeros(2)
Piece = tuple[float, float, float, float]
Cover = NDArray[np.float32]
Mask = NDArray[np.bool_]


def cover_of(*pieces: Piece, width: float = WIDTH, shape: tuple[int, int] = SHAPE) -> Cover:
    cover = np.zeros(shape, np.float32)
    for piece in pieces:
        np.maximum(cover, line_cover(np.array(piece), width, shape, SIDE), out=cover)
    return cover


def runs_of(
    cover: Cover, hidden: Mask | None = None, covered: Mask | None = None, **changed: float
) -> Runs:
    none = np.zeros(cover.shape, np.bool_)
    ink = Ink(np.zeros(3), cover, none if hidden is None else hidden)
    known = LineSettings(**changed)  # type: ignore[arg-type]  # by name
    return find_runs(ink, none if covered is None else covered, SIDE, known, NOWHERE)


def pieces_of(runs: Runs) -> set[frozenset[tuple[float, float]]]:
    return {frozenset(((x0, y0), (x1, y1))) for x0, y0, x1, y1 in runs.ends.tolist()}


def as_set(*pieces: Piece) -> set[frozenset[tuple[float, float]]]:
    return {frozenset(((x0, y0), (x1, y1))) for x0, y0, x1, y1 in pieces}


HALF = st.tuples(st.integers(1, 2 * COLUMNS - 1), st.integers(1, 2 * ROWS - 1))


@settings(max_examples=40)
@given(HALF, HALF)
def test_one_line_between_any_two_half_positions_is_found_as_it_was_drawn(
    one: tuple[int, int], other: tuple[int, int]
) -> None:
    if np.hypot(one[0] - other[0], one[1] - other[1]) < 2:
        return  # shorter than a cell: a dot may do for it
    piece = (one[0] / 2, one[1] / 2, other[0] / 2, other[1] / 2)
    assert pieces_of(runs_of(cover_of(piece))) == as_set(piece)


SHAPES: dict[str, tuple[Piece, ...]] = {
    "cross": ((2, 1, 2, 5), (1, 3, 6, 3)),
    "corner": ((2, 1, 2, 5), (2, 5, 7, 5)),
    "steps": ((1, 1, 3, 1), (3, 1, 3, 3), (3, 3, 5, 3), (5, 3, 5, 5)),
    "roof": ((1, 5, 4, 2), (4, 2, 7, 5)),
    "side by side": ((1, 2, 7, 2), (1, 3, 7, 3), (1, 3.5, 7, 3.5)),
    "aslant and upright": ((2, 1, 5, 4), (5, 1, 5, 6)),
    "one in two": ((1, 2, 7, 5), (1, 6, 7, 6)),
}


@pytest.mark.parametrize("name", SHAPES)
def test_several_lines_come_back_each_once(name: str) -> None:
    assert pieces_of(runs_of(cover_of(*SHAPES[name]))) == as_set(*SHAPES[name])


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("turn", ["across", "down", "over"])
def test_what_is_mirrored_or_laid_on_its_side_is_read_so(name: str, turn: str) -> None:
    cover = cover_of(*SHAPES[name])
    moved = {"across": cover[:, ::-1], "down": cover[::-1], "over": cover.T}[turn]

    def place(x: float, y: float) -> tuple[float, float]:
        return {"across": (COLUMNS - x, y), "down": (x, ROWS - y), "over": (y, x)}[turn]

    expected = {frozenset((place(x0, y0), place(x1, y1))) for x0, y0, x1, y1 in SHAPES[name]}
    assert pieces_of(runs_of(np.ascontiguousarray(moved))) == expected


def test_pieces_that_go_on_straight_are_one_run() -> None:
    runs = runs_of(cover_of((1, 2, 4, 2), (4, 2, 8, 2)))
    assert pieces_of(runs) == as_set((1, 2, 8, 2))


@pytest.mark.parametrize("width", [0.12, 0.2, 0.3, 0.42])
def test_the_width_is_that_of_the_line(width: float) -> None:
    """Whole samples are counted to either side, so that half of one may be missing at each."""
    runs = runs_of(cover_of((1, 3, 8, 3), width=width))
    assert abs(runs.width - width) <= 1.1 / SIDE
    assert pieces_of(runs) == as_set((1, 3, 8, 3))


def test_what_is_wider_than_half_a_cell_is_no_line() -> None:
    wide = cover_of((1, 3, 8, 3), width=0.8)
    assert not len(runs_of(wide).ends)
    assert len(runs_of(wide, width=1.0).ends)


def test_the_body_covers_the_line_and_its_soft_edge_and_nothing_far_from_it() -> None:
    cover = cover_of((1, 3, 8, 3), (2, 1, 6, 6))
    runs = runs_of(cover)
    assert runs.body[cover > 0].all()
    far = cover_of((1, 3, 8, 3), (2, 1, 6, 6), width=WIDTH + 0.5)
    assert not runs.body[far == 0].any()


def test_no_ink_no_runs() -> None:
    runs = runs_of(np.zeros(SHAPE, np.float32))
    assert runs.ends.shape == (0, 4)
    assert not runs.body.any()
    dot = np.zeros(SHAPE, np.float32)
    dot[30:32, 30:32] = 1
    assert not len(runs_of(dot).ends)


@pytest.mark.parametrize(("gap", "runs"), [(1, 1), (2, 2)])
def test_a_break_longer_than_a_tenth_of_a_cell_ends_a_run(gap: int, runs: int) -> None:
    """1.2 samples are a tenth of a cell; beside a crossing both ends reach one."""
    cover = cover_of((1, 3, 8, 3))
    first = 4 * SIDE
    cover[:, first - gap : first + gap] = 0
    assert len(runs_of(cover).ends) == runs


def test_ink_that_runs_below_a_knot_goes_on_there() -> None:
    cover = cover_of((1, 3, 8, 3))
    covered = np.zeros(SHAPE, np.bool_)
    covered[2 * SIDE : 4 * SIDE, 4 * SIDE : 5 * SIDE] = True
    assert pieces_of(runs_of(cover, covered=covered)) == as_set((1, 3, 8, 3))
    cover[covered] = 0
    assert pieces_of(runs_of(cover, hidden=covered)) == as_set((1, 3, 8, 3))
    assert pieces_of(runs_of(cover)) == as_set((1, 3, 4, 3), (5, 3, 8, 3))


def test_a_run_that_is_hidden_for_the_most_part_is_not_believed() -> None:
    """A fifth and more of its points must show."""
    cover, hidden = cover_of((1, 3, 8, 3)), np.zeros(SHAPE, np.bool_)
    hidden[2 * SIDE : 4 * SIDE, 2 * SIDE : 7 * SIDE + 6] = True
    cover[hidden] = 0
    assert pieces_of(runs_of(cover, hidden=hidden)) != as_set((1, 3, 8, 3))
    hidden[:, 6 * SIDE :] = False
    cover = np.where(hidden, 0, cover_of((1, 3, 8, 3))).astype(np.float32)
    assert pieces_of(runs_of(cover, hidden=hidden)) == as_set((1, 3, 8, 3))


@pytest.mark.parametrize(("level", "seen"), [(0.3, True), (0.2, False)])
def test_ink_is_seen_from_a_share_of_cover_on(level: float, seen: bool) -> None:
    cover = cover_of((1, 3, 8, 3)) * np.float32(level)
    assert bool(len(runs_of(cover).ends)) is seen


def test_a_line_that_ends_short_of_its_point_reaches_it() -> None:
    """Cut off square a tenth of a cell before its ends, as pens without caps do."""
    cover = cover_of((1, 3, 8, 3))
    cover[:, : SIDE + 1] = 0
    cover[:, 8 * SIDE - 1 :] = 0
    assert pieces_of(runs_of(cover)) == as_set((1, 3, 8, 3))
    cover[:, : SIDE + 4] = 0
    assert pieces_of(runs_of(cover)) == as_set((1.5, 3, 8, 3))


def test_more_ends_than_a_drawing_has_are_none() -> None:
    cover = np.ones(SHAPE, np.float32)
    assert not len(runs_of(cover).ends)
    cross = cover_of(*SHAPES["cross"])
    assert not len(runs_of(cross, nodes=5).ends)
    assert len(runs_of(cross, nodes=50).ends) == 2


def test_lines_that_all_lie_beside_the_grid_are_read_on_it() -> None:
    """Rounded to whole pixels, every line lies a sample to the right and below."""
    cover = cover_of((1, 3, 8, 3), (3, 1, 3, 6))
    moved = np.roll(cover, (1, 1), axis=(0, 1))
    assert pieces_of(runs_of(moved)) == as_set((1, 3, 8, 3), (3, 1, 3, 6))


def test_a_run_longer_than_any_looked_for_at_once_is_joined_from_pieces() -> None:
    cover = cover_of((1, 3, 8, 3))
    assert pieces_of(runs_of(cover, reach=2.0)) == as_set((1, 3, 8, 3))


def test_midway_between_nodes_is_what_the_field_shows_there() -> None:
    rng = np.random.default_rng(1_440_030)
    field = Field(rng.integers(0, 3, (5 * 8 + 1, 4 * 8 + 1), dtype=np.uint8), 8, np.zeros(2))
    nodes = np.unique(rng.integers(0, (9, 11), (40, 2)), axis=0).astype(np.int32)
    pairs = rng.integers(0, len(nodes), (300, 2))
    midway = (nodes[pairs[:, 0]] + nodes[pairs[:, 1]]) / 2
    np.testing.assert_array_equal(_inked_midway(field, nodes, pairs), field.at(midway) > 0)
