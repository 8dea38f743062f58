"""The quick look: charts of every kind are kept, pages that are none mostly aren't."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from chartscan.reading.lattice.grown import locate_grown
from chartscan.reading.lattice.likely import is_hopeless, may_hold_chart
from chartscan.reading.lattice.located import NotFound
from chartscan.reading.page.glance import quick_grey
from chartscan.reading.page.page import load_page
from tests.conftest import DrawChart
from tests.drawing.others import OTHERS, draw_other

KINDS = (
    *("clean", "no-lines", "symbols-one-ink", "symbols-on-colour", "backstitch", "odd"),
    *("mild-scan", "hard-scan", "mild-photo", "hard-photo", "plate", "covered-worn"),
)


@pytest.mark.parametrize("kind", KINDS)
def test_a_chart_is_kept(kind: str, draw_chart: DrawChart) -> None:
    for page in draw_chart(kind, 3).pages:
        quick = quick_grey(page)
        assert may_hold_chart(quick.grey, quick.blocks_px)


def test_most_text_and_photographs_are_told_from_charts(tmp_path: Path) -> None:
    """Of these eight two were taken for charts when this was written."""
    taken = 0
    for kind in ("text", "photograph"):
        for seed in range(41001, 41005):
            path = tmp_path / f"{kind}-{seed}.jpg"
            path.write_bytes(draw_other(kind, seed))
            quick = quick_grey(path)
            taken += may_hold_chart(quick.grey, quick.blocks_px)
    assert taken <= 2


def test_a_page_of_text_is_refused_without_more_ado(tmp_path: Path) -> None:
    path = tmp_path / "text.jpg"
    path.write_bytes(draw_other("text", 93_713, dpi=150))
    page = load_page(path)
    assert is_hopeless(page)
    grown: list[str] = []
    found = locate_grown(page, progress=lambda step, _: grown.append(step))
    assert isinstance(found, NotFound)
    assert len(grown) < 60  # 30 when this was written; 120 where all is tried


def test_text_whose_lines_repeat_is_refused_all_the_same(tmp_path: Path) -> None:
    path = tmp_path / "text.jpg"
    path.write_bytes(draw_other("text", 93_711, dpi=150))
    page = load_page(path)
    assert not is_hopeless(page)
    assert is_hopeless(page, in_all=True)
    assert isinstance(locate_grown(page), NotFound)


def test_every_other_kind_of_page_can_be_drawn_and_looked_at() -> None:
    for kind in OTHERS:
        assert draw_other(kind, 1, dpi=50) == draw_other(kind, 1, dpi=50)


def test_a_blank_page_holds_no_chart_and_a_tiny_one_may() -> None:
    assert not may_hold_chart(np.full((1600, 1200), 255, np.uint8))
    assert may_hold_chart(np.full((100, 100), 255, np.uint8))


def test_a_page_lying_on_its_side_is_looked_at_alike(draw_chart: DrawChart) -> None:
    quick = quick_grey(draw_chart("clean", 4).pages[0])
    for turned in (quick.grey, quick.grey.T, quick.grey[::-1]):
        assert may_hold_chart(np.ascontiguousarray(turned))


def test_blocks_of_a_coding_make_no_grid() -> None:
    """Only the coding repeats on this page: a level ramp in blocks of 8, a little noise."""
    rng = np.random.default_rng(3)
    blocks = rng.integers(118, 138, (200, 150)).repeat(8, axis=0).repeat(8, axis=1)
    page = (blocks + rng.integers(0, 6, blocks.shape)).astype(np.uint8)
    assert may_hold_chart(page)
    assert not may_hold_chart(page, 8.0)
