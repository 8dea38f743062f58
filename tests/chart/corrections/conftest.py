"""A small chart with one of everything, and random lines that correct it."""

from __future__ import annotations

import numpy as np
import pytest

from chartscan.chart import Answer, Chart, ChartClass, Doubt, Knot, Line, Part, Question


@pytest.fixture
def chart() -> Chart:
    """Eight by ten cells: ground, four stitched classes, a line, a knot, part stitches, doubts."""
    cells = np.zeros((8, 10), dtype=np.int32)
    cells[1, 1:9], cells[2, 1:6], cells[3, 3:7], cells[5, 2:5] = 1, 2, 3, 4
    return Chart(
        cells,
        (
            ChartClass(0, "empty", (255, 255, 255)),
            ChartClass(1, "stitch", (200, 0, 0), "x"),
            ChartClass(2, "stitch", (0, 0, 200), "o"),
            ChartClass(3, "stitch", (0, 0, 206), "o"),
            ChartClass(4, "stitch", (230, 230, 225)),
            ChartClass(5, "line", (0, 0, 0)),
            ChartClass(6, "knot", (90, 90, 0)),
        ),
        parts=(Part(6, 6, "triangle", "top left", 1), Part(6, 6, "quarter", "bottom right", 2)),
        lines=(Line(5, ((0, 0), (3, 0))), Line(5, ((3, 0), (3, 2)))),
        knots=(Knot(6, 8.5, 6.5),),
        doubtful=((2, 2), (3, 4), (5, 3)),
        doubts=(Doubt(2, 2, "between two colours", 3, 0.4), Doubt(5, 3, "soft", 0, 0.2)),
        questions=(
            Question(
                "same",
                (2, 3),
                ((2, 2), (3, 4)),
                "Class 2 and class 3 were taken for two.",
                (
                    Answer("They are one.", "one 2 3", 0.6),
                    Answer("They are two.", "apart 2 3", 0.4),
                ),
            ),
            Question(
                "ground",
                (0, 4),
                ((5, 2),),
                "Class 0 was taken for bare fabric, not class 4.",
                (
                    Answer("Class 4 is bare.", "ground 4", 0.3),
                    Answer("All is stitched.", "ground none", 0.1),
                ),
            ),
            Question(
                "mixed", (4,), ((5, 2),), "Class 4 may be two.", (Answer("It is.", "whole 4", 0.5),)
            ),
            Question("size", (), (), "10 columns.", (Answer("So it is.", "size as-read", 0.7),)),
            Question("marks", (), (), "A line.", (Answer("So it is.", "marks as-read", 0.7),)),
        ),
        lattice={"homography": [[10, 0, 5], [0, 10, 5], [0, 0, 1]]},
        source={"file": "page.png"},
    )
