"""The chart file: UTF-8 JSON, version 1, written whole or not at all."""

from __future__ import annotations

import base64
import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, get_args

import numpy as np
from numpy.typing import NDArray

from chartscan.chart.doubts import Answer, Doubt, Question, QuestionKind
from chartscan.chart.kinds import Corner, Kind, Shape
from chartscan.chart.model import Chart, ChartClass, Knot, Line, Part
from chartscan.entry import Entry, numbers, whole
from chartscan.errors import ChartError
from chartscan.files import is_special, write_text
from chartscan.remedies import Remedy

FORMAT = "chartscan.chart"
VERSION = 1
PNG = b"\x89PNG\r\n\x1a\n"
MOST_PICTURE = 65_536  # bytes: a picture of a symbol takes about 500
COUNT_ROUNDED = 0.01  # cells: how far other programs may round the length of a line


def save_chart(chart: Chart, path: Path) -> None:
    """Write ``chart`` as a chart file, version 1 (UTF-8 JSON), whole or not at all."""
    write_text(path, dump_chart(chart))


def dump_chart(chart: Chart) -> str:
    """The text of a chart file: one row of cells a line, so that two readings can be compared."""
    head = {"format": FORMAT, "version": VERSION}
    fields = [f'"{key}": {json.dumps(value)}' for key, value in head.items()]
    fields += _fields(chart)
    fields += [f'"{key}": {_json(dict(value))}' for key, value in _origin(chart).items()]
    if chart.as_read is not None:
        from chartscan.chart.corrections.coding import encode_act  # most charts have none

        acts = (_json(encode_act(act)) for act in chart.corrections)
        fields.append('"corrections": [\n  ' + ",\n  ".join(acts) + "\n ]")
        fields.append('"as_read": {' + ",\n ".join(_fields(chart.as_read)) + "}")
    text = "{" + ",\n ".join(fields) + "}\n"
    return text.encode("utf-8", "replace").decode()  # a file's name may not be UTF-8


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)


def _origin(chart: Chart) -> dict[str, Mapping[str, Any]]:
    """Where the chart was read from; corrections don't change it."""
    return {"lattice": chart.lattice, "source": chart.source}


def _fields(chart: Chart) -> list[str]:
    """All that corrections may change, a field a text."""
    size = {"columns": chart.columns, "rows": chart.rows}
    classes = [_class(c, n) for c, n in zip(chart.classes, chart.counts(), strict=True)]
    marks = {
        "parts": [
            {
                "row": p.row,
                "column": p.column,
                "shape": p.shape,
                "corner": p.corner,
                "class": p.class_index,
            }
            for p in chart.parts
        ],
        "lines": [
            {"class": n.class_index, "points": [list(p) for p in n.points]} for n in chart.lines
        ],
        "knots": [{"class": k.class_index, "x": k.x, "y": k.y} for k in chart.knots],
        "doubtful": [list(place) for place in chart.doubtful],
        "doubts": [_doubt(doubt) for doubt in chart.doubts],
        "questions": [_question(question) for question in chart.questions],
    }
    fields = [f'"{key}": {json.dumps(value)}' for key, value in size.items()]
    fields.append(
        '"cells": [\n  ' + ",\n  ".join(json.dumps(row) for row in chart.cells.tolist()) + "\n ]"
    )
    fields.append('"classes": [\n  ' + ",\n  ".join(json.dumps(c) for c in classes) + "\n ]")
    return fields + [f'"{key}": {_json(value)}' for key, value in marks.items()]


def _class(entry: ChartClass, count: float) -> dict[str, Any]:
    said: dict[str, Any] = {
        "index": entry.index,
        "kind": entry.kind,
        "rgb": list(entry.rgb) if entry.rgb is not None else None,
        "symbol": entry.symbol,
        **({"name": entry.name} if entry.name is not None else {}),
        "count": round(count, 4) if entry.kind == "line" else int(count),
    }
    if entry.picture is not None:
        said["picture"] = base64.b64encode(entry.picture).decode("ascii")
    return said


def _doubt(doubt: Doubt) -> dict[str, Any]:
    return {
        "row": doubt.row,
        "column": doubt.column,
        "reason": doubt.reason,
        "second": doubt.second,
        "chance": round(doubt.chance, 4),
    }


def _question(question: Question) -> dict[str, Any]:
    return {
        "kind": question.kind,
        "classes": list(question.classes),
        "cells": [list(place) for place in question.cells],
        "text": question.text,
        "answers": [
            {"text": answer.text, "tell": answer.tell, "chance": round(answer.chance, 4)}
            for answer in question.answers
        ],
    }


def load_chart(path: Path) -> Chart:
    """Read a chart file.

    Raises:
        ChartError: the file is missing, isn't a chart file of version 1, or contradicts itself.
    """
    try:
        if is_special(path):
            raise ChartError(f"{path}: isn't a plain file; save the chart file to disk first")
        data = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise ChartError(f"{path}: can't be opened ({error.strerror})") from error
    except (ValueError, RecursionError) as error:  # not UTF-8, not JSON, endless numbers
        raise ChartError(f"{path}: isn't a chart file", Remedy.READ_PICTURE) from error
    try:
        return parse_chart(data)
    except ChartError as error:
        raise error.of(path) from error


def parse_chart(data: object) -> Chart:
    """The chart that decoded JSON ``data`` describes; ChartError where it breaks the contract."""
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise ChartError("isn't a chart file", Remedy.READ_PICTURE)
    if data.get("version") != VERSION:
        raise ChartError(
            f"is of version {data.get('version')!r}, this chartscan reads version {VERSION}; it was"
            " not touched: update chartscan, or read the picture again"
        )
    try:
        chart = _parse_all(Entry(data))
    except (ChartError, ValueError, OverflowError) as error:
        raise ChartError(f"is damaged: {error}; read the picture again") from error
    return chart


def _parse_all(file: Entry) -> Chart:
    """The chart and, where it was corrected, the chart as it was read."""
    chart = _parse(file)
    _check_file(file, chart)
    entries = tuple(file.entries("corrections", "correction"))
    if not entries:
        return chart
    from chartscan.chart.corrections.coding import decode_act

    acts = tuple(decode_act(act) for act in entries)
    before = Entry(file.object_or_empty("as_read"), "the chart as read")
    read = replace(_parse(before), lattice=chart.lattice, source=chart.source)
    _check_file(before, read)
    return replace(chart, corrections=acts, as_read=read)


def _parse(file: Entry) -> Chart:
    """The chart; ValueError or ChartError where a value is missing or of the wrong kind."""
    file.need("classes")
    return Chart(
        cells=_parse_cells(file.need("cells")),
        classes=tuple(_parse_class(c) for c in file.entries("classes", "class")),
        parts=tuple(_parse_part(p) for p in file.entries("parts", "part stitch")),
        lines=tuple(_parse_line(n) for n in file.entries("lines", "line")),
        knots=tuple(
            Knot(k.whole("class"), k.number("x"), k.number("y"))
            for k in file.entries("knots", "knot")
        ),
        doubtful=tuple(
            _parse_place(place, f"doubtful cell {i}")
            for i, place in enumerate(file.list_or_empty("doubtful"))
        ),
        doubts=tuple(_parse_doubt(d) for d in file.entries("doubts", "doubt")),
        questions=tuple(_parse_question(q) for q in file.entries("questions", "question")),
        lattice=file.object_or_empty("lattice"),
        source=file.object_or_empty("source"),
    )


def _parse_cells(rows: object) -> NDArray[np.int32]:
    if not isinstance(rows, list) or not rows or not all(isinstance(row, list) for row in rows):
        raise ValueError("'cells' isn't a list of rows")
    for place, row in enumerate(rows):
        if len(row) != len(rows[0]):
            raise ValueError(f"row {place} of 'cells' holds {len(row)} cells, row 0 {len(rows[0])}")
        if not all(type(cell) is int for cell in row):
            raise ValueError(f"row {place} of 'cells' holds something else than class numbers")
    return np.array(rows, dtype=np.int32)


def _parse_class(entry: Entry) -> ChartClass:
    rgb = entry.data.get("rgb")
    if rgb is not None:
        words = f"'rgb' of {entry.words}"
        if not isinstance(rgb, list) or len(rgb) != 3:
            raise ValueError(f"{words} isn't a list of 3 numbers")
        red, green, blue = (whole(level, words) for level in rgb)
        if not all(0 <= level <= 255 for level in (red, green, blue)):
            raise ValueError(f"{words} is {rgb}, not from 0 to 255")
        rgb = (red, green, blue)
    kind = entry.choice("kind", get_args(Kind))
    symbol, name = entry.text_or_none("symbol"), entry.text_or_none("name")
    return ChartClass(entry.whole("index"), kind, rgb, symbol, name, _parse_picture(entry))


def _parse_picture(entry: Entry) -> bytes | None:
    """The PNG of a symbol; what isn't one is refused, since it is shown in pages."""
    text = entry.text_or_none("picture")
    if text is None:
        return None
    try:
        picture = base64.b64decode(text, validate=True)
    except ValueError:
        picture = b""
    if not picture.startswith(PNG) or len(picture) > MOST_PICTURE:
        raise ValueError(f"'picture' of {entry.words} isn't a small PNG in base64")
    return picture


def _parse_part(entry: Entry) -> Part:
    shape = entry.choice("shape", get_args(Shape))
    corner = entry.choice("corner", get_args(Corner))
    return Part(entry.whole("row"), entry.whole("column"), shape, corner, entry.whole("class"))


def _parse_line(entry: Entry) -> Line:
    points = [numbers(p, 2, f"a point of {entry.words}") for p in entry.list_or_empty("points")]
    if len(points) < 2:
        raise ValueError(f"{entry.words} has fewer than two points")
    return Line(entry.whole("class"), tuple((x, y) for x, y in points))


def _parse_doubt(entry: Entry) -> Doubt:
    second = entry.data.get("second")
    return Doubt(
        entry.whole("row"),
        entry.whole("column"),
        entry.text_or_none("reason") or "",
        None if second is None else entry.whole("second"),
        entry.number("chance") if second is not None else 0.0,
    )


def _parse_question(entry: Entry) -> Question:
    return Question(
        entry.choice("kind", get_args(QuestionKind)),
        tuple(whole(i, f"a class of {entry.words}") for i in entry.list_or_empty("classes")),
        tuple(
            _parse_place(place, f"a cell of {entry.words}")
            for place in entry.list_or_empty("cells")
        ),
        entry.text_or_none("text") or "",
        tuple(
            Answer(a.text_or_none("text") or "", a.text_or_none("tell") or "", a.number("chance"))
            for a in entry.entries("answers", "answer")
        ),
    )


def _parse_place(place: object, words: str) -> tuple[int, int]:
    if not isinstance(place, list) or len(place) != 2:
        raise ValueError(f"{words} isn't a row and a column")
    return whole(place[0], words), whole(place[1], words)


def _check_file(file: Entry, chart: Chart) -> None:
    """Raise ValueError where what the file says besides the cells contradicts them."""
    size = file.whole("columns"), file.whole("rows")
    if size != (chart.columns, chart.rows):
        raise ValueError(
            f"it says {size[0]}×{size[1]} but holds {chart.columns}×{chart.rows} cells"
        )
    units = {"line": "cells of line", "knot": "knots"}
    for entry, kind, counted in zip(
        file.entries("classes", "class"), chart.classes, chart.counts(), strict=True
    ):
        if entry.data.get("count") is None:
            continue
        said = entry.number("count")
        if abs(said - counted) > (COUNT_ROUNDED if kind.kind == "line" else 0):
            held = f"{units.get(kind.kind, 'cells')} of it: {counted:.7g}"
            raise ValueError(f"{entry.words} says {said:.7g}, but the file holds {held}")
    _check_part_cells(chart)


def _check_part_cells(chart: Chart) -> None:
    """Raise ValueError where a part stitch lies in a cell that is stitched whole."""
    for part in chart.parts:
        if chart.classes[chart.cells[part.row, part.column]].kind != "empty":
            raise ValueError(
                f"the cell with {part.row} rows above and {part.column} columns before it holds"
                " a whole stitch and a part stitch"
            )
