"""What a perfect reader would find on drawn pages, as the JSON that the judging takes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from chartscan.chart import Knot, Line, Part
from tests.drawing.render import Page
from tests.drawing.style import RGB, Design

CENTRES = 400  # about how many cells' pixel places are listed


def truth_of(
    design: Design,
    *,
    colours_printed: bool = True,
    ground: RGB = (255, 255, 255),
    parts: Sequence[Part] = (),
    lines: Sequence[Line] = (),
    knots: Sequence[Knot] = (),
    mark_colours: Sequence[tuple[str, RGB]] = (),
    judge_marks: bool = False,
) -> dict[str, Any]:
    """The truth of ``design``; ``mark_colours`` are the (kind, colour) of classes after its own.

    Cells that hold a part stitch must be 0 in the design already.
    """
    counts = np.bincount(design.cells.ravel(), minlength=design.classes)
    classes: list[dict[str, Any]] = [
        {
            "index": i,
            "kind": "stitch" if i else "empty",
            "rgb": [int(v) for v in (design.colours[i] if i else ground)]
            if colours_printed or not i
            else None,
            "symbol": design.symbol(i),
            "count": int(counts[i]),
        }
        for i in range(design.classes)
    ]
    for kind, colour in mark_colours:
        index = len(classes)
        length = sum(n.length for n in lines if n.class_index == index)
        number = sum(k.class_index == index for k in knots)
        count = round(length, 3) if kind == "line" else number
        classes.append(
            {"index": index, "kind": kind, "rgb": list(colour), "symbol": None, "count": count}
        )
    truth: dict[str, Any] = {
        "format": "truth",
        "version": 1,
        "columns": design.columns,
        "rows": design.rows,
        "cells": design.cells.tolist(),
        "classes": classes,
    }
    if judge_marks:
        truth["parts"] = [
            {
                "row": p.row,
                "column": p.column,
                "shape": p.shape,
                "corner": p.corner,
                "class": p.class_index,
            }
            for p in parts
        ]
        truth["lines"] = [
            {"class": n.class_index, "points": [list(p) for p in n.points]} for n in lines
        ]
        truth["knots"] = [{"class": k.class_index, "x": k.x, "y": k.y} for k in knots]
    return truth


def centres_of(page: Page, first: tuple[int, int] = (0, 0), number: int | None = None) -> list[Any]:
    """Some cells as [row, column, x, y] or, with a page ``number``, one value more.

    ``first`` is the (row, column) in the whole chart of the page's first cell.
    """
    places = page.centres()
    rows, columns = places.shape[:2]
    step = max(1, round((rows * columns / CENTRES) ** 0.5))
    tail = [] if number is None else [number]
    return [
        [r + first[0], c + first[1], *(round(float(v), 2) for v in places[r, c]), *tail]
        for r in range(0, rows, step)
        for c in range(0, columns, step)
    ]
