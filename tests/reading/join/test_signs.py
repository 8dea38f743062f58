"""The same symbol has the same number on every page, by what it looks like."""

from __future__ import annotations

import io

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from chartscan.chart import Chart, ChartClass
from chartscan.reading.evidence import Evidence
from chartscan.reading.join.signs import number_pictures, number_signs
from chartscan.reading.lattice.model import FLAT, Lattice
from chartscan.reading.page.page import Page

SIDE = 24
Mask = NDArray[np.bool_]


def shape(name: str) -> Mask:
    """Where a symbol has ink in a cell of 24 px; the same a pixel lower for capitals."""
    y, x = np.mgrid[:SIDE, :SIDE] - SIDE // 2
    inside = np.maximum(abs(x), abs(y)) < 8
    found = {
        "cross": ((abs(x - y) < 2) | (abs(x + y) < 2)) & inside,
        "bar": (abs(y) < 3) & inside,
        "ring": abs(np.hypot(x, y) - 6) < 1.5,
    }[name.lower()]
    return np.roll(found, 1, axis=0) if name.isupper() else found


def picture(name: str) -> bytes:
    out = io.BytesIO()
    Image.fromarray(np.where(shape(name), 0, 255).astype(np.uint8)).save(out, "PNG")
    return out.getvalue()


def chart(*names: str, ink: bool = False) -> Chart:
    """A chart of so many classes, two cells each; in one ink, or on colours of their own."""
    worked = [
        ChartClass(
            k + 1, "stitch", None if ink else (9, 9, k), symbol=str(k + 1), picture=picture(name)
        )
        for k, name in enumerate(names)
    ]
    cells = np.tile(np.arange(len(names) + 1, dtype=np.int32), (2, 1))
    return Chart(cells, (ChartClass(0, "empty", (255, 255, 255)), *worked))


def page(*names: str) -> Evidence:
    """The page of that chart, black on white."""
    masks = [np.zeros((SIDE, SIDE), np.bool_), *map(shape, names)]
    row = np.concatenate(masks, axis=1)
    pixels = np.repeat(np.where(np.concatenate([row, row]), 0, 255)[..., None], 3, 2)
    lattice = Lattice(len(names) + 1, 2, np.diag([SIDE, SIDE, 1.0]), FLAT, drawn=False)
    return Evidence(Page(pixels.astype(np.uint8), True), lattice, chart(*names))


def numbers(*pages: tuple[str, ...], seen: bool) -> list[list[int]]:
    """By the pages as they are ``seen``, or by the pictures that chart files keep."""
    if seen:
        return [own.tolist() for own in number_signs([page(*names) for names in pages])]
    return [own.tolist() for own in number_pictures([chart(*names) for names in pages])]


@pytest.mark.parametrize("seen", [True, False])
def test_a_symbol_keeps_its_number_whatever_each_page_calls_it(seen: bool) -> None:
    """Also where it lies a pixel beside; a new one gets a new number, a bare class none."""
    found = numbers(("cross", "bar"), ("BAR", "ring", "CROSS"), ("RING", "bar"), seen=seen)
    assert found == [[0, 1, 2], [0, 2, 3, 1], [0, 3, 2]]


@pytest.mark.parametrize("seen", [True, False])
def test_two_symbols_of_one_page_never_get_one_number(seen: bool) -> None:
    """However alike they look; the other page's goes to the one that looks most like it."""
    assert numbers(("cross",), ("CROSS", "cross"), seen=seen)[1] in ([0, 1, 2], [0, 2, 1])
    assert numbers(("cross", "CROSS"), ("ring",), seen=seen) == [[0, 1, 2], [0, 3]]


def test_in_one_ink_each_class_is_a_symbol_of_its_own_though_one_name_stands_for_two() -> None:
    """On colours the same symbol may stand for two classes."""
    twice = [
        Chart(
            one.cells,
            (
                one.classes[0],
                *(
                    ChartClass(c.index, c.kind, c.rgb, symbol="1", picture=c.picture)
                    for c in one.classes[1:]
                ),
            ),
        )
        for one in (chart("cross", "bar", ink=True), chart("cross", "cross"))
    ]
    found = number_pictures(twice)
    assert found[0].tolist() == [0, 1, 2]
    assert found[1].tolist() == [0, 1, 1]
