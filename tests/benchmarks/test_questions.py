"""How well the reader asks, on pages that nothing was fitted on, and its calibration curve.

Run with ``pytest tests/benchmarks/test_questions.py -m benchmark -s``.
``CHARTSCAN_BENCHMARK_CHARTS`` sets the charts per group, ``CHARTSCAN_BENCHMARK_SEED`` the first
seed, and ``CHARTSCAN_BENCHMARK_OUT`` the folder that the picture goes to.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from chartscan.chart import dump_chart
from chartscan.errors import ChartscanError
from chartscan.reading import ReadSettings, read_pages
from tests.drawing.corpus import draw
from tests.drawing.intervals import wilson
from tests.drawing.score import score
from tests.drawing.score_questions import (
    Asking,
    asking,
    calibration,
    calibration_error,
    error_by_chance,
)

# Weights were fitted on seeds 70001 to 70060, and cut-offs chosen with 72001 to 72014 in view.
FIRST = int(os.environ.get("CHARTSCAN_BENCHMARK_SEED", "74001"))
EACH = int(os.environ.get("CHARTSCAN_BENCHMARK_CHARTS", "5"))
OUT = os.environ.get("CHARTSCAN_BENCHMARK_OUT")
CLEAN = ("clean", "clean-page", "fractional", "no-lines", "odd", "formats", "covered")
OTHERS = (
    "symbols-on-colour", "symbols-one-ink", "pages", "covered-worn", "mild-scan", "medium-scan",
    "hard-scan", "mild-photo", "medium-photo", "hard-photo",
)  # fmt: skip
ASKED, IDLE, IDLE_CLEAN, SILENT, OFF = 0.95, 0.2, 0.05, 0.01, 0.05  # asked of the reader


def judged(group: str, seed: int, folder: Path) -> Asking | None:
    """One chart drawn, read and judged; None where it was refused."""
    sample = draw(group, seed)
    sample.write(folder)
    truth = json.loads(json.dumps(sample.truth))
    names = truth.get("images") or [truth["image"]]
    told = dict(zip(*[iter(truth.get("args", ()))] * 2, strict=True))
    rows, _, columns = told.get("--layout", "").partition("x")
    settings = ReadSettings(layout=(int(rows), int(columns)) if rows else None)
    try:
        reading = read_pages([folder / name for name in names], settings)
    except ChartscanError:
        return None
    chart = json.loads(dump_chart(reading.chart))
    return asking(truth, chart, perfect=score(truth, chart).perfect)


def interval(hits: int, number: int) -> str:
    """A share with the interval that holds it 95 of 100 times."""
    if not number:
        return "none"
    low, high = wilson(hits, number)
    return f"{hits} of {number} = {100 * hits / number:.0f} % ({100 * low:.0f} to {100 * high:.0f})"


def summary(found: dict[str, list[Asking]]) -> list[str]:
    """The rates, a line each."""
    every = [a for charts in found.values() for a in charts]
    wrong = [a for a in every if a.wrong]
    lines = [
        f"charts {len(every)}; wrong {interval(len(wrong), len(every))}",
        f"wrong ones asked about: {interval(sum(a.asked for a in wrong), len(wrong))}",
        f"silently wrong: {interval(sum(a.silent for a in every), len(every))}",
    ]
    for what, groups in (("clean", CLEAN), ("all", tuple(found))):
        right = [a for g in groups for a in found.get(g, ()) if not a.wrong]
        idle = sum(a.idle for a in right)
        lines.append(f"idle questions, {what}: {idle} on {len(right)} right charts")
    return lines


def picture(curve: Sequence[tuple[float, float, int]], path: Path) -> None:
    """Draw the calibration curve: chances said, and what part of them was so."""
    import matplotlib as mpl

    mpl.use("Agg")
    from matplotlib import pyplot as plt

    figure, axes = plt.subplots(figsize=(5, 5))
    axes.plot([0, 1], [0, 1], color="grey", linewidth=1)
    for chance, so, number in curve:
        axes.scatter(chance, so, s=12 + 4 * number, color="tab:blue", alpha=0.7)
        axes.annotate(str(number), (chance, so), xytext=(5, 5), textcoords="offset points")
    axes.set(xlabel="chance said", ylabel="part that is so", xlim=(0, 1), ylim=(0, 1))
    axes.set_title(f"Answers: off by {100 * calibration_error(curve):.1f} points on average")
    figure.tight_layout()
    figure.savefig(path, dpi=120)
    plt.close(figure)


@pytest.mark.benchmark
def test_what_is_wrong_is_asked_and_chances_are_what_they_say(tmp_path: Path) -> None:
    found: dict[str, list[Asking]] = {}
    for group in (*CLEAN, *OTHERS):
        for seed in range(FIRST, FIRST + EACH):
            each = judged(group, seed, tmp_path / f"{group}-{seed}")
            if each is not None:
                found.setdefault(group, []).append(each)
    answers = [a for charts in found.values() for each in charts for a in each.answers]
    curve = calibration(answers)
    out = Path(OUT) if OUT else tmp_path
    picture(curve, out / "calibration.png")
    rows = [f"{chance:.2f} said, {so:.2f} so, {number} answers" for chance, so, number in curve]
    off, luck = calibration_error(curve), error_by_chance(answers)
    rows.append(f"off by {100 * off:.1f} points; {100 * luck:.1f} were every chance just right")
    sys.stdout.write("\n".join(["", *summary(found), *rows, f"{out / 'calibration.png'}"]) + "\n")
    every = [a for charts in found.values() for a in charts]
    wrong = [a for a in every if a.wrong]
    right = [a for a in every if not a.wrong]
    clean = [a for g in CLEAN for a in found.get(g, ()) if not a.wrong]
    assert sum(a.asked for a in wrong) >= ASKED * len(wrong)
    assert sum(a.silent for a in every) <= SILENT * len(every)
    assert sum(a.idle for a in right) <= IDLE * len(right)
    assert sum(a.idle for a in clean) <= IDLE_CLEAN * len(clean)
    assert off - luck <= OFF
