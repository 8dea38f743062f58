"""How fast threads are matched, as ratios to scikit-image's CIEDE2000 of the same pairs."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from statistics import median

import numpy as np
import pytest

from chartscan.colour import ciede2000_matrix, format_hex, lab_to_srgb, round_rgb, srgb_to_lab
from chartscan.palette import MatchSettings, match
from tests.palette.making import chart_of, palette_of_lab, random_lab

ROUNDS = 15

pytestmark = pytest.mark.benchmark


def _seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def _by_turns(work: Callable[[], object], measure: Callable[[], object]) -> tuple[float, float]:
    """Median seconds of ``work``, and median of its ratio to ``measure``, taken by turns."""
    work()
    measure()
    times = [(_seconds(work), _seconds(measure)) for _ in range(ROUNDS)]
    return median(mine for mine, _ in times), median(mine / theirs for mine, theirs in times)


def _say(capsys: pytest.CaptureFixture[str], text: str) -> None:
    with capsys.disabled():
        sys.stdout.write(f"\n{text}\n")


def test_the_matrix_takes_no_longer_than_scikit_images(capsys: pytest.CaptureFixture[str]) -> None:
    from skimage.color import deltaE_ciede2000

    rows, columns = random_lab(150, 1), random_lab(500, 2)
    seconds, ratio = _by_turns(
        lambda: ciede2000_matrix(rows, columns),
        lambda: deltaE_ciede2000(rows[:, None], columns[None]),
    )
    _say(capsys, f"ΔE00 150 × 500: {seconds * 1e3:.1f} ms, {ratio:.2f} x scikit-image (goal 1)")
    assert ratio <= 1


@pytest.mark.parametrize(("classes", "goal"), [(100, 2.5), (150, 2.0)])
def test_distinct_matching_with_margins(
    capsys: pytest.CaptureFixture[str], classes: int, goal: float
) -> None:
    """From chart to matches: distinct threads, margins, alternatives, words and warnings."""
    from skimage.color import deltaE_ciede2000

    palette = palette_of_lab(random_lab(500, 3))
    colours = [format_hex(round_rgb(lab_to_srgb(lab))) for lab in random_lab(classes, 4)]
    chart, chosen = chart_of(colours), MatchSettings(distinct=True)
    wanted = srgb_to_lab(np.array([c.rgb or () for c in chart.classes[1:]]))
    seconds, ratio = _by_turns(
        lambda: match(chart, palette, chosen),
        lambda: deltaE_ciede2000(wanted[:, None], palette.lab[None]),
    )
    _say(
        capsys,
        f"distinct, {classes} × 500, with margins: {seconds * 1e3:.0f} ms, "
        f"{ratio:.2f} x scikit-image's ΔE00 alone (goal {goal}, and 50 ms)",
    )
    assert ratio <= goal
    assert classes > 100 or seconds < 0.05
