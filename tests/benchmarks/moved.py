"""Each number of the reader's settings moved by a quarter either way: which change a reading?

python -m tests.benchmarks.moved --work DIR          read, or go on where it was stopped
python -m tests.benchmarks.moved --work DIR --look   first, which numbers each page looks at
python -m tests.benchmarks.moved --work DIR --table tests/benchmarks/moved.csv

Numbers are moved one at a time, in this process only, on small drawn pages of every kind: the
smallest of :data:`DRAWN` each. A number that a page doesn't look at isn't moved there; what
doesn't look at it isn't done again (``replay``). One that changed :data:`ENOUGH` pages isn't tried
on more. DIR keeps the pages, and a line a trial.
"""

from __future__ import annotations

import argparse
import io
import json
import os
import signal
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TextIO

import numpy as np
from PIL import Image

from chartscan.archive.limits import THREADS
from chartscan.chart.file import dump_chart
from chartscan.errors import ChartscanError
from chartscan.reading import read_pages
from tests.benchmarks.moved_table import rows_of, table, totals
from tests.benchmarks.numbers import Number, numbers
from tests.benchmarks.replay import Digests, Replay
from tests.drawing.corpus import GROUPS, draw
from tests.drawing.others import draw_other
from tests.drawing.reader import told
from tests.drawing.sample import Sample as Drawn
from tests.drawing.score import score

QUARTERS = (0.75, 1.25)
FIRST = 1_310_001
DRAWN = 16  # pages of which the smallest is read
TWICE = ("hard-scan", "medium-photo", "hard-photo", "plate", "grid-in-text", "odd")
LEFT_OUT = ("large",)  # a page of each other kind is small
OTHERS = ("table", "crossword")  # pages without a chart
ENOUGH = 1  # pages that are read otherwise
SECONDS = 60.0  # of the processor, after which a reading has no end
FITTED = ("VerifySettings", "SizeDoubts")
ROOMS_LEFT_OUT = (
    "review",
    "settings",
    "printed",
    "reopen",
)  # pictures, progress, what is asked for
NOTHING = "refused"


@dataclass(frozen=True)
class Sample:
    """A drawn page: its name, its pictures with what is told of them, and what is true of it."""

    name: str
    arguments: tuple[str, ...]
    truth: dict[str, Any] | None


@dataclass(frozen=True)
class Outcome:
    """What a page is read as.

    Attributes:
        digests: of each part of it.
        chart: the chart file; None where the page is refused.
    """

    digests: dict[str, str]
    chart: str | None


def main(arguments: Sequence[str]) -> int:
    """Move what wasn't moved yet, or write the table; exit status 0."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.moved", description=__doc__)
    parser.add_argument("--work", type=Path, required=True, help="folder for pages and trials")
    parser.add_argument("--table", type=Path, help="write it here")
    parser.add_argument("--look", action="store_true", help="move none, see what is looked at")
    parser.add_argument("--room", action="append", default=[], help="only of these folders")
    parser.add_argument("--page", action="append", default=[], help="only pages so called")
    options = parser.parse_args(arguments)
    if os.environ.get(THREADS[0]) != "1":  # sums rounded alike need one thread from the start
        alone = {**os.environ, **dict.fromkeys(THREADS, "1")}
        module = [sys.executable, "-m", "tests.benchmarks.moved"]
        os.execve(sys.executable, [*module, *arguments], alone)
    if options.table:
        options.table.write_text(table(options.work, moved_ones()), encoding="utf-8")
        return 0
    options.work.mkdir(parents=True, exist_ok=True)
    for sample in samples(options.work):
        if not options.page or sample.name in options.page:
            move_all(sample, options.work, options.room, only_look=options.look)
    all_ = moved_ones()
    sys.stdout.write("\n".join(totals(rows_of(options.work, all_), all_)) + "\n")
    return 0


def moved_ones() -> list[Number]:
    """The numbers that are moved: those that a reading may hang on."""
    return [number for number in numbers() if number.room not in ROOMS_LEFT_OUT]


def samples(work: Path) -> Iterator[Sample]:
    """The pages, drawn where they aren't there yet."""
    for group in GROUPS:
        if group not in LEFT_OUT:
            for place in _smallest(group, work / "pages"):
                truth = json.loads((place / "truth.json").read_text(encoding="utf-8"))
                names = truth.get("images") or [truth["image"]]
                pictures = [str(place / name) for name in names]
                yield Sample(place.name, (*pictures, *truth.get("args", [])), truth)
    for kind in OTHERS:
        path = work / "pages" / f"{kind}.png"
        if not path.exists():
            path.write_bytes(draw_other(kind, FIRST, dpi=100))
        yield Sample(path.stem, (str(path),), None)


def _smallest(group: str, folder: Path) -> list[Path]:
    """The one or two pages of a group with fewest pixels among those drawn."""
    count = 2 if group in TWICE else 1
    chosen = folder / f"{group}.txt"
    if not chosen.exists():
        drawn = [(draw(group, seed), seed) for seed in range(FIRST, FIRST + DRAWN)]
        drawn.sort(key=lambda pair: _weight(pair[0]))
        for sample, seed in drawn[:count]:
            sample.write(folder / f"{group}-{seed}")
        chosen.write_text(" ".join(str(seed) for _, seed in drawn[:count]), encoding="utf-8")
    return [folder / f"{group}-{seed}" for seed in chosen.read_text(encoding="utf-8").split()]


def _weight(sample: Drawn) -> float:
    """How long it takes to read, about: pixels where they are told, else cells."""
    cells = np.size(sample.truth["cells"])
    pixels = 0
    for name, data in sample.files.items():
        if name.endswith((".png", ".jpg")):
            with Image.open(io.BytesIO(data)) as picture:
                pixels += picture.width * picture.height
    return float(pixels or 200 * cells)


def move_all(sample: Sample, work: Path, rooms: Sequence[str], *, only_look: bool = False) -> None:
    """Move every number that a page looks at, and append what comes of it."""
    path = work / f"{sample.name}.jsonl"
    lines = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
    done = {(line["number"], line["times"]) for line in map(json.loads, lines) if "times" in line}
    all_ = moved_ones()
    if lines and only_look:
        return
    known = _changed(work)
    start = time.process_time()
    replay = Replay(all_, lambda: read(sample))
    usual = replay.usual
    with path.open("a", encoding="utf-8") as out, replay.ready():
        if not lines:
            _write(out, {"looked_at": sorted(replay.looked_at), "score": judged(sample, usual)})
        for number in sorted(all_, key=_fitted):
            if (
                only_look
                or number.name not in replay.looked_at
                or (rooms and number.room not in rooms)
            ):
                continue
            if len(known.get(number.name, set()) - {sample.name}) >= ENOUGH:
                continue
            for times in QUARTERS:
                if (number.name, times) not in done and _move(replay, number, times, sample, out):
                    break
    taken = time.process_time() - start
    sys.stdout.write(f"{sample.name}: {len(replay.looked_at)} looked at, {taken:.0f} s\n")
    sys.stdout.flush()


def _fitted(number: Number) -> bool:
    """Whether it is one of weights that were fitted together; these come last."""
    return number.kind.__name__.endswith("Weights") or number.kind.__name__ in FITTED


def _changed(work: Path) -> dict[str, set[str]]:
    """The pages that each number changed so far."""
    found: dict[str, set[str]] = {}
    for path in work.glob("*.jsonl"):
        for line in map(json.loads, path.read_text(encoding="utf-8").splitlines()):
            if line.get("differs"):
                found.setdefault(line["number"], set()).add(path.stem)
    return found


def _move(
    replay: Replay[Outcome], number: Number, times: float, sample: Sample, out: TextIO
) -> bool:
    """Whether the page is read otherwise then."""
    value = number.times(times)
    got = replay.again(number, value) if value != number.value else replay.usual
    differs = [part for part in got.digests if got.digests[part] != replay.usual.digests.get(part)]
    line = {"number": number.name, "times": times, "differs": differs}
    if differs:
        line |= {"value": value, "score": judged(sample, got)}
    _write(out, line)
    return bool(differs)


def _write(out: TextIO, line: dict[str, Any]) -> None:
    out.write(json.dumps(line) + "\n")
    out.flush()


def read(sample: Sample) -> Outcome:
    """What a page is read as; refused where it isn't, or where a number makes it impossible."""
    digests = Digests([])
    try:
        with _an_end():
            reading = read_pages(*told(sample.arguments))
    except ChartscanError:
        return Outcome({"chart": NOTHING}, None)
    except Exception as error:  # noqa: BLE001  # a number that makes no sense may break anything
        return Outcome({"chart": type(error).__name__}, None)
    chart = reading.chart
    parts = {
        "chart": (chart.cells, chart.classes),
        "marks": (chart.parts, chart.lines, chart.knots),
        "doubt": (chart.doubtful, chart.questions, reading.warnings),
        "lattice": [(e.lattice.homography, e.lattice.residual) for e in reading.evidence],
    }
    return Outcome({p: digests.of(v).hex() for p, v in parts.items()}, dump_chart(chart))


def judged(sample: Sample, got: Outcome) -> list[float] | None:
    """Part of the cells that are right, and F1 of the marks; None where it is refused."""
    if got.chart is None or sample.truth is None:
        return None
    scored = score(sample.truth, json.loads(got.chart))
    marks = [m.f1 for m in scored.marks.values() if m.f1 is not None]
    return [round(v, 6) for v in (scored.accuracy if scored.size else 0.0, *marks)]


@contextmanager
def _an_end() -> Iterator[None]:
    """TimeoutError in what takes too long."""

    def late(*_: object) -> None:
        raise TimeoutError

    signal.signal(signal.SIGPROF, late)
    signal.setitimer(signal.ITIMER_PROF, SECONDS)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
