"""What is drawn in inks over a known ground: each ink with its lines and knots, and no other."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.chart import Knot, Line
from chartscan.reading.marks.drawn import (
    Drawn,
    DrawSettings,
    draw_all,
    draw_in,
    in_chart_terms,
    sound,
)
from chartscan.reading.marks.ground import Ground
from chartscan.reading.marks.inks import InkSettings, Left, find_colours, see_left
from chartscan.reading.marks.patches import Patches
from tests.reading.marks.flat_page import line_cover, patches_of
from tests.reading.staged import BLUE, RED, WHITE, Rgb

SIDE, ROWS, COLUMNS = 12, 9, 12
SHAPE = (ROWS * SIDE, COLUMNS * SIDE)
TOLERANCE = 5.0
GREEN: Rgb = (20, 110, 40)
Piece = tuple[float, float, float, float]
Floats = NDArray[np.float64]


def disc(x: float, y: float, radius: float = 0.25) -> NDArray[np.float32]:
    down, across = (np.indices(SHAPE) + 0.5) / SIDE
    off = np.hypot(across - x, down - y) * SIDE
    return np.asarray(np.clip(radius * SIDE + 0.5 - off, 0, 1), np.float32)


def line(*piece: float) -> NDArray[np.float32]:
    return line_cover(np.array(piece), 0.2, SHAPE, SIDE)


def laid(
    *inked: tuple[Rgb, NDArray[np.float32]], ground: Rgb = WHITE, noise: float = 0.0
) -> tuple[Patches, Ground]:
    """Ground of one colour, inks laid over it one after the other; no grid lines."""
    page = np.full((*SHAPE, 3), ground, np.float64)
    for colour, cover in inked:
        page += cover[..., None] * (np.array(colour) - page)
    if noise:
        page += np.random.default_rng(1).normal(0, noise, page.shape)
    pixels = np.clip(np.rint(page), 0, 255).astype(np.uint8)
    patches = patches_of(pixels, SIDE)
    expected = np.full((*SHAPE, 3), ground, np.int16)
    left = np.abs(patches.pixels - expected).max(axis=-1) > TOLERANCE
    return patches, Ground(expected, left, np.ones(SHAPE, np.bool_))


def everything(page: tuple[Patches, Ground], **changed: object) -> list[Drawn]:
    settings = replace(DrawSettings(), **changed)  # type: ignore[arg-type]  # by name
    return draw_all(*page, TOLERANCE, settings)


Point = tuple[float, float]
Told = dict[Rgb, tuple[set[frozenset[Point]], set[Point]]]


def told(drawn: list[Drawn]) -> Told:
    """By colour: lines by their ends, and knots."""
    found: Told = {}
    for one in drawn:
        red, green, blue = (int(v) for v in np.rint(one.ink.colour))
        ends = {frozenset(((a, b), (c, d))) for a, b, c, d in one.runs.ends.tolist()}
        found[red, green, blue] = ends, {(x, y) for x, y in one.dots.places.tolist()}
    return found


def test_a_line_in_an_ink_is_drawn_in_its_colour() -> None:
    drawn = everything(laid((GREEN, line(2, 3, 9, 3))))
    assert told(drawn) == {GREEN: ({frozenset(((2.0, 3.0), (9.0, 3.0)))}, set())}
    assert all(one.sound and not one.empty for one in drawn)


def test_lines_and_knots_of_several_inks_are_each_in_their_own() -> None:
    page = laid(
        (GREEN, line(2, 3, 9, 3)),
        (RED, line(4, 1, 4, 8)),
        (BLUE, np.maximum(disc(7, 6), np.maximum(disc(9.5, 5), disc(2, 6)))),
    )
    assert told(everything(page)) == {
        GREEN: ({frozenset(((2.0, 3.0), (9.0, 3.0)))}, set()),
        RED: ({frozenset(((4.0, 1.0), (4.0, 8.0)))}, set()),
        BLUE: (set(), {(7.0, 6.0), (9.5, 5.0), (2.0, 6.0)}),
    }


@pytest.mark.parametrize("ground", [WHITE, RED, (40, 40, 60)])
def test_it_is_the_same_on_whatever_ground(ground: Rgb) -> None:
    found = told(everything(laid((GREEN, line(2, 3, 9, 3)), ground=ground)))
    assert found == {GREEN: ({frozenset(((2.0, 3.0), (9.0, 3.0)))}, set())}


def test_a_page_with_nothing_left_has_nothing_drawn() -> None:
    assert everything(laid()) == []


def test_a_colour_that_lines_and_knots_dont_account_for_is_no_ink() -> None:
    """A block of three cells by two is neither; on uneven pages it stays, unsound."""
    blot = np.zeros(SHAPE, np.float32)
    blot[5 * SIDE : 7 * SIDE, 5 * SIDE : 8 * SIDE] = 1
    wide = line_cover(np.array((2.0, 3.0, 9.0, 3.0)), 0.35, SHAPE, SIDE)
    page = laid((GREEN, wide), (BLUE, blot))
    assert set(told(everything(page))) == {GREEN}
    uneven = everything(page, uneven=True)
    assert {one.sound for one in uneven} == {True, False}
    assert set(told(sound(uneven))) == {GREEN}


@pytest.mark.parametrize(("lines", "rounds"), [(0, 1), (1, 2)])
def test_inks_are_looked_for_anew_beside_a_true_one_only(
    lines: int, rounds: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    blot = np.zeros(SHAPE, np.float32)
    blot[5 * SIDE : 7 * SIDE, 5 * SIDE : 8 * SIDE] = 1
    looked: list[int] = []

    def counted(
        patches: Patches, left: Left, tolerance: float, settings: InkSettings, banned: Floats
    ) -> Floats:
        looked.append(len(banned))
        return find_colours(patches, left, tolerance, settings, banned)

    monkeypatch.setattr("chartscan.reading.marks.drawn.find_colours", counted)
    page = laid(*[(GREEN, line(2, 3, 9, 3))] * lines, (BLUE, blot))
    found = set(told(everything(page)))
    assert found == ({GREEN} if lines else set())
    assert looked == list(range(rounds)), "each round knows what was struck off before"


@pytest.mark.parametrize("share", [0.5, 0.9])
def test_how_much_must_be_accounted_for_is_a_share_of_the_ink(share: float) -> None:
    """A line of seven cells and dust: the line's part of all cover is measured on the page."""
    rng = np.random.default_rng(4)
    dust = (rng.uniform(size=SHAPE) < 0.012).astype(np.float32)
    cover = line(2, 3, 9, 3)
    page = laid((GREEN, np.maximum(cover, dust)))
    (one,) = draw_in(
        *page, see_left(*page, TOLERANCE), np.array([GREEN], np.float64), TOLERANCE, DrawSettings()
    )
    part = float(one.ink.cover[one.body].sum() / one.ink.cover.sum())
    assert 0.5 < part < 0.9
    (again,) = draw_in(
        *page, see_left(*page, TOLERANCE), np.array([GREEN], np.float64), TOLERANCE,
        replace(DrawSettings(), accounted=share),
    )  # fmt: skip
    assert again.sound is (part >= share)


def test_on_uneven_pages_only_what_hangs_together_with_a_body_counts() -> None:
    """The dust of the page is an edge's, and a line three samples wide isn't hurt by it."""
    rng = np.random.default_rng(4)
    dust = (rng.uniform(size=SHAPE) < 0.02).astype(np.float32)
    wide = line_cover(np.array((2.0, 3.0, 9.0, 3.0)), 0.35, SHAPE, SIDE)
    page = laid((GREEN, np.maximum(wide, dust)))
    left, colours = see_left(*page, TOLERANCE), np.array([GREEN], np.float64)
    even = draw_in(*page, left, colours, TOLERANCE, replace(DrawSettings(), accounted=0.95))
    uneven = draw_in(
        *page, left, colours, TOLERANCE, replace(DrawSettings(), accounted=0.95, uneven=True)
    )
    assert not even[0].sound
    assert uneven[0].sound


def test_told_inks_are_drawn_in_and_no_others_looked_for() -> None:
    page = laid((GREEN, line(2, 3, 9, 3)), (RED, line(4, 5, 4, 8)))
    left = see_left(*page, TOLERANCE)
    (only,) = draw_in(*page, left, np.array([GREEN], np.float64), TOLERANCE, DrawSettings())
    assert only.ink.colour.tolist() == list(GREEN)
    assert draw_in(*page, left, np.zeros((0, 3)), TOLERANCE, DrawSettings()) == []


def test_in_a_chart_lines_and_knots_of_an_ink_are_two_classes() -> None:
    page = laid(
        (GREEN, line(2, 3, 9, 3)),
        (RED, np.maximum(disc(7, 6), np.maximum(disc(9.5, 5), disc(2, 6)))),
        (RED, line(4, 5, 4, 8)),
    )
    drawn = sorted(sound(everything(page)), key=lambda one: float(one.ink.colour[0]))
    classes, lines, knots = in_chart_terms(drawn, 5)
    assert [(c.index, c.kind, c.rgb) for c in classes] == [
        (5, "line", GREEN),
        (6, "line", RED),
        (7, "knot", RED),
    ]
    assert {(n.class_index, frozenset(n.points)) for n in lines} == {
        (5, frozenset(((2.0, 3.0), (9.0, 3.0)))),
        (6, frozenset(((4.0, 5.0), (4.0, 8.0)))),
    }
    assert all(isinstance(n, Line) for n in lines)
    assert set(knots) == {Knot(7, 7.0, 6.0), Knot(7, 9.5, 5.0), Knot(7, 2.0, 6.0)}
    assert in_chart_terms([], 3) == ((), (), ())
