"""The README's table of accuracy, made by one command on pages drawn for it.

python -m tests.accuracy                     every kind, 8 charts each, two at a time
python -m tests.accuracy --seed 90001 --count 20 --group medium-scan

A chart counts as perfect where its size and every cell are right. "Asked" is the part of the charts
with something wrong in which every wrong cell is doubtful or in a class that a question names, or
the size is asked about; "silent" are the others. "Colours off" is by how much, in CIEDE2000, the
class read worst differs from the colour it was drawn in, in the usual chart. Intervals hold 95 of
100 times.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from tests.drawing.corpus import GROUPS, draw
from tests.drawing.figures import figures
from tests.drawing.intervals import wilson
from tests.drawing.runner import Result, describe, read

# The rows of the table, each with the groups of charts that it takes together.
KINDS: dict[str, tuple[str, ...]] = {
    "clean exports": ("clean", "clean-page", "fractional", "no-lines", "large", "odd"),
    "files: PDF, TIFF and others": ("formats", "pdf"),
    "several pages": ("pages",),
    "symbols, in one ink or over colour": ("symbols-one-ink", "symbols-on-colour"),
    "designs without a ground": ("covered", "covered-worn"),
    "marks": ("backstitch", "parts-knots"),
    "marks over symbols": (
        "backstitch-one-ink",
        "backstitch-symbols-on-colour",
        "parts-symbols-on-colour",
    ),
    "marks on scans": ("marks-scanned",),
    "scans, mild": ("mild-scan",),
    "scans, medium": ("medium-scan",),
    "scans, hard": ("hard-scan",),
    "photographs, mild": ("mild-photo",),
    "photographs, medium": ("medium-photo",),
    "photographs, hard": ("hard-photo",),
    "old plates": ("plate",),
    "small grids in a page of text": ("grid-in-text",),
}
FIRST = 88_001  # no test pins a number from here on, and nothing was tuned on one
SECONDS = 300.0
HEAD = (
    "pages",
    "charts",
    "perfect",
    "size right",
    "marks F1",
    "colours off",
    "wrong: asked",
    "silent",
    "idle",
)


def one(group: str, seed: int, folder: Path) -> Result:
    """Draw a chart, read it, and judge the reading."""
    place = folder / f"{group}-{seed:05d}"
    draw(group, seed).write(place)
    return read(place, SECONDS)


def row(name: str, results: Sequence[Result]) -> tuple[str, ...]:
    """The figures of a kind; a page that was refused is wrong, and asked about in one line."""
    read_ones = [r for r in results if r.score is not None]
    perfect = sum(r.score.perfect for r in read_ones if r.score)
    sized = sum(r.score.size for r in read_ones if r.score)
    asked = [r.asking for r in read_ones if r.asking is not None]
    wrong = [a for a in asked if a.wrong]
    refused = len(results) - len(read_ones)
    marks = figures([r.score for r in results]).marks
    return (
        name,
        str(len(results)),
        _share(perfect, len(results)),
        _share(sized, len(results)),
        ", ".join(f"{kind} {value:.2f}" for kind, value in marks.items()) or "-",
        _median([r.score.off for r in read_ones if r.score]),
        f"{sum(a.asked for a in wrong) + refused} of {len(wrong) + refused}",
        str(sum(a.silent for a in asked)),
        str(sum(a.idle for a in asked)),
    )


def _median(off: Sequence[float | None]) -> str:
    told = [each for each in off if each is not None]
    return f"{median(told):.1f}" if told else "-"


def _share(hits: int, number: int) -> str:
    low, high = wilson(hits, number)
    return f"{100 * hits / number:.0f} % ({100 * low:.0f}-{100 * high:.0f})"


def table(rows: Sequence[Sequence[str]]) -> str:
    """Rows as a table in Markdown."""
    lines = [HEAD, tuple("---" for _ in HEAD), *rows]
    return "\n".join(f"| {' | '.join(cells)} |" for cells in lines)


def main(arguments: Sequence[str]) -> int:
    """Draw, read and print; exit status 0, whatever the figures are."""
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy", description=__doc__)
    parser.add_argument(
        "--group",
        action="append",
        choices=sorted(GROUPS),
        help="a row for each; default: every kind",
    )
    parser.add_argument("--count", type=int, default=8, help="charts per group")
    parser.add_argument("--seed", type=int, default=FIRST, help="number of the first chart")
    parser.add_argument("--jobs", type=int, default=2, help="readings side by side")
    told = parser.parse_args(arguments)
    kinds = {group: (group,) for group in told.group} if told.group else KINDS
    seeds = range(told.seed, told.seed + told.count)
    rows: list[tuple[str, ...]] = []
    every: list[Result] = []
    with TemporaryDirectory() as folder, ThreadPoolExecutor(told.jobs) as pool:
        for kind, groups in kinds.items():
            charts = [(group, seed) for group in groups for seed in seeds]
            ours = list(pool.map(lambda chart: one(chart[0], chart[1], Path(folder)), charts))
            for result in ours:
                if result.score is None or not result.score.perfect:
                    sys.stderr.write(describe(result) + "\n")
            rows.append(row(kind, ours))
            every += ours
    rows.append(row("all", every))
    last = told.seed + told.count - 1
    sys.stdout.write(f"Seeds {told.seed} to {last}, {datetime.now(UTC):%Y-%m-%d}\n\n")
    sys.stdout.write(table(rows) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
