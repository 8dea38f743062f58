"""A small kit, made by hand, that has every kind of line a kit sheet can show."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from chartscan.chart import Chart, ChartClass, Knot, Line, Part
from chartscan.palette.ownership import Owned
from chartscan.palette.thread import Candidate, Match, Matches, Thread
from chartscan.stash.kit import Kit, assemble
from chartscan.yardage.requirement import Fabric, LengthRange, Requirement, Requirements, Work


def thread(code: str, rgb: tuple[int, int, int], name: str = "", price: float = 1.5) -> Thread:
    """A stranded cotton of the invented line Hollow Mill, 8 m of six strands."""
    return Thread(
        code, name, (50.0, 0.0, 0.0), rgb, "Hollow Mill", metres=8, strands=6, price=price
    )


MOSS = thread("N1", (90, 120, 60), "Moss")
RUST = thread("N2", (170, 70, 40), "Rust")
INK = thread("N3", (20, 20, 40), "Ink")
STRAW = thread("N4", (220, 200, 120), "Straw")


@pytest.fixture
def chart() -> Chart:
    """Five stitch colours, part stitches, backstitch, a knot and a doubtful cell; 6 × 4 cells."""
    cells = np.array(
        [
            [0, 1, 1, 2, 2, 0],
            [0, 1, 1, 2, 2, 0],
            [0, 3, 3, 4, 4, 0],
            [0, 0, 0, 0, 0, 0],
        ],
        dtype=np.int32,
    )
    return Chart(
        cells=cells,
        classes=(
            ChartClass(0, "empty", (255, 255, 255)),
            ChartClass(1, "stitch", (92, 121, 61), "cross"),
            ChartClass(2, "stitch", (171, 72, 44)),
            ChartClass(3, "stitch", (172, 75, 47)),
            ChartClass(4, "stitch", None, "dot"),
            ChartClass(5, "line", (0, 0, 0)),
            ChartClass(6, "knot", (200, 30, 30)),
        ),
        parts=(Part(0, 0, "triangle", "bottom right", 1), Part(3, 3, "quarter", "top left", 2)),
        lines=(Line(5, ((1.0, 0.0), (1.0, 3.0), (5.0, 3.0))),),
        knots=(Knot(6, 3.0, 1.5),),
        doubtful=((0, 1),),
        source={"file": "moss & rust.png"},
    )


def needs(index: int, likely_mm: float, strands: int = 2, skeins: int = 1) -> Requirement:
    """What a class takes: a tenth less or a fifth more than likely."""
    length = LengthRange(0.9 * likely_mm, likely_mm, 1.2 * likely_mm)
    kind: Work = "cross" if index < 5 else "backstitch"
    return Requirement(index, 4, ((kind, 4),), strands, length, 0.8 * likely_mm, 2, skeins)


@pytest.fixture
def kit(chart: Chart) -> Kit:
    """Class 2 and 3 share a thread, class 4 is keyed, class 1 is a blend, 5 and 6 share another."""

    def match(index: int, chosen: Thread, delta_e: float) -> Match:
        return Match(index, chart.classes[index].rgb, Candidate(chosen, delta_e, "close"))

    matches = Matches(
        (
            replace(match(1, MOSS, 0.6), blended=STRAW),
            match(2, RUST, 0.9),
            match(3, RUST, 1.4),
            replace(match(4, STRAW, math.nan), keyed=True),
            match(5, INK, 4.2),
            match(6, INK, 9.9),
        ),
        ("classes 2 and 3 are both nearest to N2",),
    )
    requirements = Requirements(
        fabric=Fabric(28, 2, rgb=(232, 226, 208), name="oatmeal linen"),
        copies=1,
        finished_mm=(10.9, 7.3),
        cut_mm=(160.9, 157.3),
        margin_mm=75.0,
        threads=(
            needs(1, 20_000.0),
            needs(2, 30_000.0),
            needs(3, 35_000.0),
            needs(4, 500.0),
            needs(5, 700.0, strands=1),
            needs(6, 90.0, strands=1),
        ),
        warnings=("press lightly",),
    )
    owned = Owned({("Hollow Mill", "N1"): 2.0, ("Hollow Mill", "N4"): 0.0}, {("", "N3"): 1.6})
    return assemble(chart, matches, requirements, owned, "Moss & Rust")
