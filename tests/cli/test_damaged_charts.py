"""Chart files that are damaged or contradict themselves: one line in a stitcher's words."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from chartscan.chart import Chart, ChartClass, Knot, Line, Part, load_chart, save_chart

if TYPE_CHECKING:
    from tests.cli.conftest import Call

Data = dict[str, Any]


@pytest.fixture
def rich(tmp_path: Path) -> Path:
    """A chart file with every kind of mark in it, 6 × 5 cells."""
    cells = np.zeros((5, 6), dtype=np.int32)
    cells[1:4, 1:4] = 1
    classes = (
        ChartClass(0, "empty"),
        ChartClass(1, "stitch", (10, 20, 30), "cross"),
        ChartClass(2, "line", (0, 0, 0)),
        ChartClass(3, "knot", (0, 0, 0)),
    )
    parts = (Part(0, 0, "triangle", "top left", 1),)
    lines = (Line(2, ((0.0, 0.0), (1.0, 1.0))),)
    path = tmp_path / "rich.json"
    save_chart(Chart(cells, classes, parts, lines, (Knot(3, 2.0, 2.0),), ((4, 4),)), path)
    return path


def _drop(key: str) -> Callable[[Data], None]:
    return lambda data: data.pop(key)


def _set(*road: str | int, to: object) -> Callable[[Data], None]:
    """A change of the value at the end of ``road``."""

    def change(data: Data) -> None:
        place: Any = data
        for step in road[:-1]:
            place = place[step]
        place[road[-1]] = to

    return change


DAMAGE: list[tuple[Callable[[Data], None], str]] = [
    (_drop("cells"), "no 'cells'"),
    (_drop("classes"), "no 'classes'"),
    (_drop("rows"), "no 'rows'"),
    (_set("rows", to=6), "says 6×6 but holds 6×5"),
    (_set("rows", to="5"), "'rows' isn't a whole number"),
    (_set("cells", to="none"), "'cells' isn't a list of rows"),
    (_set("cells", to=[]), "'cells' isn't a list of rows"),
    (_set("cells", 2, to=[0, 0]), "row 2 of 'cells' holds 2 cells, row 0 6"),
    (_set("cells", 2, 0, to=0.7), "row 2 of 'cells'"),
    (_set("cells", 2, 0, to=True), "row 2 of 'cells'"),
    (_set("cells", 2, 0, to=None), "row 2 of 'cells'"),
    (_set("cells", 2, 0, to=10**12), "out of"),
    (_set("cells", 2, 0, to=2), "must be empty or a stitch"),
    (_set("classes", to={}), "'classes' isn't a list"),
    (_set("classes", 1, to=7), "class 1 isn't an object"),
    (_set("classes", 1, "kind", to="cross"), "'kind' of class 1"),
    (_set("classes", 1, "rgb", to=[1, 2]), "'rgb' of class 1"),
    (_set("classes", 1, "rgb", to=[1, 2, 256]), "'rgb' of class 1"),
    (_set("classes", 1, "rgb", to="black"), "'rgb' of class 1"),
    (_set("classes", 1, "symbol", to=["x"]), "'symbol' of class 1"),
    (_set("classes", 1, "index", to=2), "in order"),
    (_set("classes", 1, "count", to=8), "class 1 says 8, but the file holds cells of it: 9"),
    (_set("classes", 0, "count", to=0), "class 0 says 0, but the file holds cells of it: 21"),
    (_set("classes", 2, "count", to=2.5), "class 2 says 2.5"),
    (_set("classes", 3, "count", to=2), "class 3 says 2, but the file holds knots of it: 1"),
    (_set("classes", 3, "count", to="1"), "'count' of class 3 isn't a number"),
    (_set("parts", 0, "shape", to="half"), "'shape' of part stitch 0"),
    (_set("parts", 0, "row", to=-1), "outside the grid"),
    (_set("parts", 0, "class", to=2), "isn't a stitch"),
    (_set("parts", 0, to={"row": 2, "column": 2, "shape": "quarter", "corner": "top left",
                          "class": 1}), "a whole stitch and a part stitch"),
    (_set("lines", 0, "points", to=[[0, 0]]), "line 0 has fewer than two points"),
    (_set("lines", 0, "points", to=[[0, 0], [1]]), "a point of line 0"),
    (_set("lines", 0, "points", to=[[0, 0], [1, float("nan")]]), "a point of line 0"),
    (_set("knots", 0, to={"class": 3, "x": 2.0}), "knot 0 has no 'y'"),
    (_set("knots", to=3), "'knots' isn't a list"),
    (_set("doubtful", to=[[1]]), "doubtful cell 0"),
    (_set("doubtful", to=[[99, 0]]), "outside the grid"),
    (_set("lattice", to=[]), "'lattice' isn't an object"),
    (_set("source", to="page.png"), "'source' isn't an object"),
]  # fmt: skip


@pytest.mark.parametrize(("damage", "said"), DAMAGE, ids=[said for _, said in DAMAGE])
def test_damage_is_named_in_one_line_without_the_words_of_python(
    rich: Path, chartscan: Call, damage: Callable[[Data], None], said: str
) -> None:
    data = json.loads(rich.read_text(encoding="utf-8"))
    damage(data)
    rich.write_text(json.dumps(data), encoding="utf-8")
    result = chartscan("count", rich)
    assert result.status == 1
    assert result.out == ""
    assert result.err.startswith(f"Error: {rich}: ")
    assert said in result.err
    assert result.err.count("\n") == 1
    assert "read the picture again" in result.err
    words = ("KeyError", "ValueError", "TypeError", "int()", "invalid literal")
    assert not [word for word in words if word in result.err]


@pytest.mark.parametrize(
    "change",
    [
        _drop("parts"),
        _set("parts", to=None),
        _drop("lattice"),
        _set("classes", 1, "count", to=9.0),
        _set("classes", 2, "count", to=1.41),
        _set("classes", 1, "count", to=None),
        _set("maker", to="another program"),
    ],
)
def test_what_other_programs_may_leave_out_or_add_is_no_damage(
    rich: Path, change: Callable[[Data], None]
) -> None:
    data = json.loads(rich.read_text(encoding="utf-8"))
    change(data)
    rich.write_text(json.dumps(data), encoding="utf-8")
    assert load_chart(rich).stitches == 9


@pytest.mark.parametrize("content", [b"%PDF-1.4\n", b"\x89PNG\r\n\x1a\n", b"", b'{"format": "cha'])
def test_what_is_no_chart_file_is_told_what_makes_one(
    content: bytes, tmp_path: Path, chartscan: Call
) -> None:
    """A picture given to a project, or a chart file of which half was copied."""
    path = tmp_path / "leaflet.pdf"
    path.write_bytes(content)
    told = ("--palette", "meadowline", "--fabric", "14", "--stash", tmp_path / "stash.db")
    result = chartscan("project", "new", "Leaf", "--chart", path, *told)
    assert result.status == 1
    said = f"Error: {path}: isn't a chart file; `chartscan read` makes one from a picture\n"
    assert result.err == said
