"""Charts to check: a reading with doubts and questions put in, whose truth is known."""

from __future__ import annotations

import io
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from chartscan.chart import Answer, Chart, Doubt, Question
from chartscan.worktable import laying
from chartscan.worktable.reader import Reader
from chartscan.worktable.settings import DEFAULTS
from chartscan.worktable.shelf import Shelf
from chartscan.worktable.table import Table
from tests.worktable.waiting import until

EXAMPLE = Path(__file__).parents[2] / "examples" / "lighthouse.png"


COLOURS = np.array([(255, 255, 255), (200, 40, 60), (30, 90, 160), (240, 210, 120), (60, 60, 60)])
PITCH, MARGIN = 14, 30  # px of a drawn page


def picture_of(cells: NDArray[np.int64]) -> bytes:
    """A page with a ruled chart of ``cells`` (0 to 4, of COLOURS), PNG."""
    fills = np.kron(COLOURS[cells], np.ones((PITCH, PITCH, 1))).astype(np.uint8)
    fills[::PITCH], fills[:, ::PITCH] = 110, 110
    pixels = np.pad(fills, ((0, 1), (0, 1), (0, 0)), constant_values=110)
    pixels = np.pad(pixels, ((MARGIN, MARGIN), (MARGIN, MARGIN), (0, 0)), constant_values=255)
    stream = io.BytesIO()
    Image.fromarray(pixels).save(stream, "PNG")
    return stream.getvalue()


def blank() -> bytes:
    """A page without a chart, PNG."""
    stream = io.BytesIO()
    Image.new("RGB", (300, 400), "white").save(stream, "PNG")
    return stream.getvalue()


def lay_out(folder: Path, picture: Path) -> str:
    """Read ``picture`` onto the table of ``folder``; the id of the chart."""
    with closing(Reader(DEFAULTS.most_memory)) as reader:
        table = Table(Shelf(folder), reader)
        kept = laying.lay(table, picture.name, picture.read_bytes())
        laying.begin(table, kept)
        return until(table, kept.id, lambda k: k.state in ("read", "refused")).id


def spoil(folder: Path, chart_id: str, wrong: int = 12, seed: int = 5) -> Chart:
    """Make ``wrong`` cells of a chart wrong and doubtful, and ask two questions; the true chart."""
    shelf = Shelf(folder)
    true = shelf.chart(chart_id)
    shelf.change(chart_id, None, lambda kept: kept, spoiled(true, wrong, seed))
    return true


def spoiled(true: Chart, wrong: int, seed: int) -> Chart:
    """``true`` with cells that are wrong, each a doubt whose second choice is right."""
    chance = np.random.default_rng(seed)
    stitched = np.argwhere(true.cells > 0)
    places = stitched[chance.choice(len(stitched), wrong, replace=False)]
    stitches = [entry.index for entry in true.classes if entry.kind == "stitch"]
    cells, doubts = true.cells.copy(), []
    for row, column in places.tolist():
        right = int(cells[row, column])
        cells[row, column] = chance.choice([index for index in stitches if index != right])
        doubts.append(Doubt(row, column, "between two colours", right, 0.7))
    return replace(
        true,
        cells=cells,
        doubtful=tuple((doubt.row, doubt.column) for doubt in doubts),
        doubts=tuple(doubts),
        questions=(_ground(true), _same(true)),
    )


def _ground(chart: Chart) -> Question:
    return Question(
        "ground",
        (0,),
        _some_of(chart, 0),
        "Class 0 was taken for bare fabric: it is the paper's white and lies at the edge.",
        (
            Answer("Class 0 is bare fabric", "ground 0", 0.8),
            Answer("Every cell is stitched", "ground none", 0.2),
        ),
    )


def _same(chart: Chart) -> Question:
    return Question(
        "same",
        (3, 4),
        _some_of(chart, 4),
        "Classes 3 and 4 look nearly alike: they may be one.",
        (Answer("They are two", "apart 3 4", 0.7), Answer("They are one class", "one 3 4", 0.3)),
    )


def _some_of(chart: Chart, index: int) -> tuple[tuple[int, int], ...]:
    places = np.argwhere(chart.cells == index)
    return tuple((int(r), int(c)) for r, c in places[:: max(1, len(places) // 9)])
