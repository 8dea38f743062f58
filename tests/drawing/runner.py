"""The reader run over folders of samples, and its figures per folder and per group."""

from __future__ import annotations

import argparse
import json
import os
import re
import subprocess
import sys
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from chartscan.archive.limits import THREADS
from tests.drawing.figures import Figures, asked_of, figures
from tests.drawing.score import Score, score
from tests.drawing.score_questions import Asking, asking

ROOT = Path(__file__).parents[2]


@dataclass(frozen=True)
class Result:
    """One folder read: its score, or the reader's last line where it gave no chart.

    Attributes:
        name: of the folder.
        seconds: that reading took.
        score: how right it is; None where there is no chart.
        said: what the reader said instead.
        asking: how it was asked about; None where there is no chart.
    """

    name: str
    seconds: float
    score: Score | None
    said: str = ""
    asking: Asking | None = None

    @property
    def group(self) -> str:
        """The folder's name without the number of the chart."""
        return re.sub(r"(^\d+-)|(-\d+$)", "", self.name)


def read(folder: Path, timeout: float) -> Result:
    """Read the sample in ``folder`` in a process of its own and score it."""
    truth: dict[str, Any] = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    names = truth.get("images") or [truth["image"]]
    alone = {**dict.fromkeys(THREADS, "1"), **os.environ}  # as the program starts
    start = time.perf_counter()
    with TemporaryDirectory() as scratch:
        out = Path(scratch) / "chart.json"
        command = [sys.executable, "-m", "tests.drawing.reader", str(out)]
        command += [*(str(folder.resolve() / n) for n in names), *truth.get("args", [])]
        try:
            done = subprocess.run(
                command,
                capture_output=True,
                text=True,
                timeout=timeout,
                check=False,
                cwd=ROOT,
                env=alone,
            )
        except subprocess.TimeoutExpired:
            return Result(folder.name, timeout, None, f"no answer in {timeout:.0f} s")
        if done.returncode or not out.exists():
            said = (done.stderr.strip().splitlines() or ["(silent)"])[-1]
            return Result(folder.name, time.perf_counter() - start, None, said)
        seconds = float(done.stdout.split()[-1])
        chart = json.loads(out.read_text(encoding="utf-8"))
    scored = score(truth, chart)
    asked = asking(truth, chart, perfect=scored.perfect)
    return Result(folder.name, seconds, scored, asking=asked)


def describe(result: Result) -> str:
    """One line of figures for a folder."""
    head = f"{result.name:28} {result.seconds:6.1f} s  "
    if result.score is None:
        return head + f"not read: {result.said}"
    s = result.score
    line = f"{'size ok ' if s.size else 'SIZE BAD'} {100 * s.accuracy:7.3f} %  "
    line += f"{'perfect' if s.perfect else '-------'}  doubt {100 * s.flagged:5.2f} %  "
    line += f"wrong {s.wrong} ({s.wrong_flagged} doubted)  classes {s.classes[0]}/{s.classes[1]}"
    for kind, marks in s.marks.items():
        if marks.f1 is not None:
            line += f"  {kind} F1 {marks.f1:.3f}"
    return head + line


def summary(results: Sequence[Result]) -> list[str]:
    """A row per group, beside what is asked of it."""
    rows = []
    for group in sorted({r.group for r in results}):
        ours = [r for r in results if r.group == group]
        got = figures([r.score for r in ours])
        asked = asked_of(group)
        seconds = sum(r.seconds for r in ours) / len(ours)
        verdict = "" if asked is None else ("  ok" if got.reaches(asked) else "  NOT REACHED")
        rows.append(f"{group:22} {_row(got)}  {seconds:5.1f} s{verdict}")
        if asked is not None and not got.reaches(asked):
            rows.append(f"{'':22} {_row(asked)}  is asked")
    return rows


def _row(got: Figures) -> str:
    text = f"n {got.number:3}  perfect {100 * got.perfect:5.1f} %  "
    text += f"median {100 * got.median:7.3f} %  size {100 * got.size:5.1f} %"
    if got.owned is not None:
        text += f"  owned {100 * got.owned:5.1f} %"
    if got.doubt is not None:
        text += f"  doubt {100 * got.doubt:5.2f} %"
    for kind, value in got.marks.items():
        text += f"  {kind} {value:.3f}"
    return text


def score_command(arguments: list[str]) -> int:
    """``python -m tests.drawing score DIR...``: exit status 0, whatever the figures are."""
    parser = argparse.ArgumentParser(prog="python -m tests.drawing score")
    parser.add_argument("folders", nargs="+", type=Path, metavar="DIR")
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--timeout", type=float, default=120, help="seconds per chart")
    parser.add_argument("--bad", action="store_true", help="list only charts that aren't perfect")
    options = parser.parse_args(arguments)
    found = sorted({path.parent for given in options.folders for path in given.rglob("truth.json")})
    results = []
    with ThreadPoolExecutor(options.jobs) as pool:
        for result in pool.map(lambda folder: read(folder, options.timeout), found):
            results.append(result)
            if not (options.bad and result.score and result.score.perfect):
                sys.stdout.write(describe(result) + "\n")
                sys.stdout.flush()
    sys.stdout.write("\n" + "\n".join(summary(results)) + "\n")
    return 0
