"""The drawn charts are what their truth says: the measure is itself measured."""

from __future__ import annotations

import json
from dataclasses import replace
from io import BytesIO
from typing import Any

import numpy as np
import pytest
from PIL import Image

from chartscan.chart import parse_chart
from tests.accuracy import KINDS
from tests.drawing import photo, scan
from tests.drawing import warp as W
from tests.drawing.corpus import GROUPS, draw
from tests.drawing.designs import design, tells_pitch
from tests.drawing.pages import cuts, joins_are_told, part_of
from tests.drawing.render import Page, draw_page
from tests.drawing.score import score
from tests.drawing.style import Design, Style

SMALL = sorted(set(GROUPS) - {"large"})


def as_chart(truth: dict[str, Any]) -> dict[str, Any]:
    """The truth in the clothes of a chart file."""
    return {**json.loads(json.dumps(truth)), "format": "chartscan.chart"}


@pytest.mark.parametrize("group", ["clean-page", "hard-scan", "mild-photo", "pdf", "pages", "odd"])
def test_a_seed_always_gives_the_same_files_and_truth(group: str) -> None:
    first, second = draw(group, 3), draw(group, 3)
    assert first.files == second.files
    assert first.truth == second.truth
    assert first.truth != draw(group, 4).truth


@pytest.mark.parametrize("group", SMALL)
def test_truth_is_a_chart_and_scores_itself_as_perfect(group: str) -> None:
    truth = draw(group, 5).truth
    parse_chart(as_chart(truth))
    result = score(truth, as_chart(truth))
    assert result.perfect
    assert all(m.f1 in (None, 1.0) for m in result.marks.values())


@pytest.mark.parametrize(("group", "seed"), [("pages", 7), ("symbols-on-colour", 1)])
def test_no_glyph_fills_a_coloured_cell(group: str, seed: int) -> None:
    """Its colour, which is in the truth, couldn't be seen."""
    classes = draw(group, seed).truth["classes"]
    signs = [each["symbol"] for each in classes if each.get("rgb") and each.get("symbol")]
    assert signs
    assert not [sign for sign in signs if sign == "solid" or sign.startswith("white ")]


@pytest.mark.parametrize("seed", range(4))
def test_every_listed_centre_of_a_clean_chart_shows_its_class_colour(seed: int) -> None:
    sample = draw("clean", seed)
    pixels = np.array(Image.open(BytesIO(sample.files["image.png"])).convert("RGB"))
    truth = sample.truth
    for row, column, x, y in truth["centres"]:
        colour = truth["classes"][truth["cells"][row][column]]["rgb"]
        assert pixels[int(y), int(x)].tolist() == colour, (row, column)


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("damage", ["photo", "scan"])
def test_centres_follow_the_bent_page(damage: str, seed: int) -> None:
    """On a board of dark and light cells every centre stays in its own cell, however bent."""
    rng = np.random.default_rng(seed)
    y, x = np.mgrid[0:40, 0:60]
    board = Design((x + y) % 2, np.array([[255, 255, 255], [60, 60, 60]], np.uint8))
    style = Style(pitch=14, minor=None, bold=None, margin=(60, 60, 60, 60))
    flat = draw_page(board, style)
    if damage == "photo":
        page = photo.photographed(rng, flat, photo.hard(rng))
    else:
        page = scan.scanned(rng, flat, replace(scan.hard(rng), dust=0))
    grey = page.pixels.mean(axis=2)
    place = page.centres().astype(int)
    around = [(dy, dx) for dy in (-1, 0, 1) for dx in (-1, 0, 1)]
    seen = sum(grey[place[..., 1] + dy, place[..., 0] + dx] for dy, dx in around)
    turn = np.where(board.cells == 1, -1, 1) * seen
    beside = turn[:, 1:] + turn[:, :-1]  # a light cell less its dark neighbour
    assert (beside > 0).mean() > 0.99


def test_a_warp_goes_forth_and_back() -> None:
    rng = np.random.default_rng(1)
    page = Page(np.full((600, 500, 3), 255, np.uint8), np.zeros((2, 2, 2)))
    tilt = W.tilted(page, 15, 70, 3)
    bent = W.chain(W.wander(rng, (500, 600), 3, 200), W.chain(tilt, W.lens(0.03, 0.0, tilt.size)))
    points = rng.uniform(50, 450, size=(200, 2))
    assert np.abs(bent.back(bent.forth(points)) - points).max() < 0.01


def test_pages_of_a_split_chart_put_it_together_again() -> None:
    rng = np.random.default_rng(2)
    chart = design(rng, 50, 70, 4)
    whole = np.full(chart.cells.shape, -1)
    for cut in cuts(50, 70, (2, 3), (3, 5)):
        part = part_of(chart, cut).cells
        old = whole[cut.r0 : cut.r1, cut.c0 : cut.c1]
        assert ((old == -1) | (old == part)).all()
        whole[cut.r0 : cut.r1, cut.c0 : cut.c1] = part
    assert (whole == chart.cells).all()


def test_a_blank_join_tells_nothing() -> None:
    blank = np.zeros((30, 40), np.int32)
    assert not joins_are_told(blank, cuts(30, 40, (1, 2), (0, 3)))


def test_stripes_of_three_do_not_tell_the_pitch() -> None:
    y, x = np.mgrid[0:12, 0:12] // 3
    assert not tells_pitch(((x + y) % 2).astype(np.int32))
    assert tells_pitch(np.eye(12, dtype=np.int32))


def test_a_missing_column_costs_its_cells_and_the_size() -> None:
    truth = draw("clean", 1).truth
    chart = as_chart(truth)
    chart["cells"] = [row[1:] for row in chart["cells"]]
    chart["columns"] -= 1
    result = score(truth, chart)
    assert not result.size
    assert not result.perfect
    assert result.shift == (0, 1)
    assert result.accuracy == pytest.approx(1 - 1 / truth["columns"])


def test_the_colour_read_worst_is_held_against_the_one_that_was_drawn() -> None:
    """White read as mid grey is off by what CIEDE2000 gives for greys: that of their lightness."""
    truth = draw("clean", 1).truth
    chart = as_chart(truth)
    assert score(truth, chart).off == 0
    (read,) = [entry for entry in chart["classes"] if entry["index"] == 2]
    (drawn,) = [entry for entry in truth["classes"] if entry["index"] == 2]
    read["rgb"], drawn["rgb"] = [119, 119, 119], [255, 255, 255]
    # L* is 50.03 and 100; S_L = 1 + 0.015 d2 / sqrt(20 + d2) with d = 25.02 (CIE 142-2001).
    assert score(truth, chart).off == pytest.approx(49.97 / (1 + 0.015 * 625.8 / 645.8**0.5), 1e-3)


def test_a_large_page_of_a_hundred_cells_a_side_is_drawn_whole() -> None:
    chart = design(np.random.default_rng(3), 100, 100, 12)
    page = draw_page(chart, Style(pitch=10.5, scale=(0.9, 0.9)))
    assert page.pixels.shape[0] == pytest.approx(0.9 * 1051, abs=2)
    assert page.crossings.shape == (101, 101, 2)


def test_the_table_of_accuracy_takes_every_group_once() -> None:
    counted = [group for groups in KINDS.values() for group in groups]
    assert sorted(counted) == sorted(GROUPS)
