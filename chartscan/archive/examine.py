"""What a worker does with one page: look at it, read it if it is a chart, and say what it found."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from chartscan.archive.limits import Clock, OutOfTime, limited
from chartscan.archive.values import Leaf, Limits, Outcome
from chartscan.errors import ArchiveError, GridError, PageError
from chartscan.remedies import Remedy

FAULT = "shows a fault of the program, which is worth a report"


class OutOfSight(ArchiveError):
    """A worker doesn't see the file that it is to read."""


def examine(leaf: Leaf, limits: Limits) -> Outcome:
    """Look at one page and read it if it is a chart, within ``limits``.

    Raises:
        OutOfSight: there is no such file where this worker runs.
    """
    import chartscan.reading  # noqa: F401 - what loading it takes is no page's fault

    began = time.monotonic()
    bare = replace(leaf, content=None)
    try:
        with limited(limits) as clock, _seen(leaf) as path:
            outcome = _look_and_read(bare, path, leaf.content is not None, clock)
    except OutOfTime:
        outcome = Outcome(bare, "aside", f"took over {limits.seconds:g} seconds", again=True)
    except MemoryError:
        allowed = (limits.memory_bytes or 0) / 2**30
        outcome = Outcome(bare, "aside", f"took over {allowed:.2g} GiB of memory", again=True)
    except GridError as error:
        outcome = Outcome(bare, "refused", _reason(error, bare))
    except PageError as error:
        outcome = Outcome(bare, "unreadable", _reason(error, bare))
    except OutOfSight:
        raise
    except Exception as error:  # noqa: BLE001 - a page that shows a fault mustn't end the others
        first, *_ = str(error).splitlines() or [""]
        outcome = Outcome(bare, "aside", f"{FAULT}: {type(error).__name__} {first}".strip())
    return replace(outcome, seconds=time.monotonic() - began)


def _reason(error: Exception, leaf: Leaf) -> str:
    """What is wrong with a page, without its name or where a worker put its bytes."""
    folder, named, reason = str(error).partition(f"{Path(leaf.path).name}: ")
    return reason if named and folder in ("", str(Path(folder)) + os.sep) else str(error)


@contextmanager
def _seen(leaf: Leaf) -> Iterator[Path]:
    """The file on this machine: where it lies, or where its bytes are put for the while."""
    if leaf.content is None:
        path = Path(leaf.path)
        if not path.exists():
            raise OutOfSight(
                f"{path}: isn't there where a worker looks for it",
                Remedy.SEE_AS_WORKERS,
                Remedy.SEND_BYTES,
            )
        yield path
        return
    with TemporaryDirectory(prefix="chartscan-") as folder:
        path = Path(folder) / Path(leaf.path).name
        path.write_bytes(leaf.content)
        yield path


def _look_and_read(leaf: Leaf, path: Path, sent: bool, clock: Clock) -> Outcome:
    """The outcome of a page that keeps within its limits."""
    from chartscan.archive.facts import facts_of
    from chartscan.chart import dump_chart
    from chartscan.reading import ReadSettings, read_pages
    from chartscan.reading.page.page import is_pdf

    # Of a PDF one page alone is sent; of a TIFF all of it.
    number = 1 if sent and leaf.number and is_pdf(path) else leaf.number
    clock("looking", 0.0)
    if not _may_hold_chart(path, number):
        return Outcome(leaf, "other")
    told = ReadSettings(pages=() if number is None else (number,))
    reading = read_pages((path,), told, clock)
    source = {**reading.chart.source, "file": Path(leaf.path).name, "page": leaf.number}
    if not sent and source.get("sha256") != leaf.sha256:
        return Outcome(leaf, "aside", "was changed while the archive was read; read it again")
    chart = replace(reading.chart, source={**source, "sha256": leaf.sha256})
    facts = facts_of(chart, reading.evidence[0].lattice)
    return Outcome(leaf, "chart", facts=facts, chart=dump_chart(chart))


FINE_PX = 4800  # longer side of a second look: cells of 4 px of a chart of a thousand cells


def _may_hold_chart(path: Path, number: int | None) -> bool:
    """Whether a quick look shows a grid; exports may have tiny cells, and get another."""
    from chartscan.reading.lattice.likely import FINE, LikelySettings, may_hold_chart
    from chartscan.reading.page.glance import quick_grey

    quick = quick_grey(path, number)
    if may_hold_chart(quick.grey, quick.blocks_px):
        return True
    if quick.blocks_px or not quick.reduced:
        return False
    return may_hold_chart(quick_grey(path, number, FINE_PX).grey, 0.0, LikelySettings(FINE))
