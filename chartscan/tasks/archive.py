"""Archives: reading folders of pages into a catalogue. What is in one: ``catalogue``."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, field, replace
from pathlib import Path

from chartscan import __version__
from chartscan.archive import booking
from chartscan.archive.catalogue import Catalogue, begun
from chartscan.archive.engine import Crew, examine_all
from chartscan.archive.finding import Found, look_up, lying_in
from chartscan.archive.looking import tally
from chartscan.archive.values import Leaf, Limits, State
from chartscan.errors import PageError
from chartscan.progress import Progress, silent
from chartscan.report.units import duration

FOUND_TOGETHER = 200  # files booked in one transaction while they are found


@dataclass(frozen=True)
class ArchiveSettings:
    """How an archive is read.

    Attributes:
        limits: what one page may take.
        again: states whose pages are read again, though they were booked.
        seen_as: the one folder that is read, as workers see it; None where they see it as it is.
        send: whether workers are sent the bytes, having no such folder.
    """

    limits: Limits = Limits()
    again: tuple[State, ...] = ()
    seen_as: Path | None = None
    send: bool = False


@dataclass(frozen=True)
class ArchiveRun:
    """What a run did.

    Attributes:
        files: pictures and PDFs found.
        pages: pages booked by this run, by what they are.
        before: pages that were booked before, and not read again.
        kept: charts that hold a person's corrections, and so were not read again.
        remarks: what was left out, a line each.
    """

    files: int
    pages: Mapping[str, int]
    before: int
    kept: int = 0
    remarks: tuple[str, ...] = ()


def read_archive(
    folders: Sequence[Path],
    into: Path,
    crew: Callable[[], AbstractContextManager[Crew]],
    settings: ArchiveSettings = ArchiveSettings(),
    progress: Progress = silent,
) -> ArchiveRun:
    """Find the pages of ``folders`` and book what becomes of each into the catalogue ``into``.

    Stopped, killed or started again, it goes on where it was.

    Only the command line: it runs for hours, which a page in a browser isn't left open for.

    Args:
        folders: where to look; files may be named as well.
        into: the catalogue, begun where there is none.
        crew: makes the workers, once there is something for them to do.
        settings: limits, and how workers see the files.
        progress: told how far it is, and how long it may take yet.

    Raises:
        ArchiveError: the catalogue is in use or can't be written; the workers are gone.
        Cancelled: ``progress`` raised it.
    """
    with begun(into) as catalogue:
        booking.begin_run(catalogue)
        found, remarks = _find(catalogue, folders, progress)
        total = booking.count_unread(catalogue, __version__, settings.again)
        before = sum(tally(catalogue).values())
        run = _Run(catalogue, settings, folders)
        if total:
            with crew() as workers:
                run.go(workers, total, progress)
        return ArchiveRun(found, run.done, before, run.kept, tuple(remarks))


def _find(
    catalogue: Catalogue, folders: Sequence[Path], progress: Progress
) -> tuple[int, list[str]]:
    """Book the files of ``folders``; how many there are, and what was left out."""
    remarks: list[str] = []
    fresh: list[Found] = []
    number = 0
    for lying in lying_in([folder.absolute() for folder in folders], remarks.append):
        progress(f"looking for pages: {number:,} files", 0.0)
        if booking.known(catalogue, lying):
            number += 1
            continue
        try:
            found = look_up(lying)
        except PageError as error:
            remarks.append(f"{error}; left out")
            continue
        if found is not None:
            number += 1
            fresh.append(found)
        if len(fresh) >= FOUND_TOGETHER:
            booking.book_files(catalogue, fresh)
            fresh.clear()
    booking.book_files(catalogue, fresh)
    return number, remarks


@dataclass
class _Run:
    """Pages handed out and booked."""

    catalogue: Catalogue
    settings: ArchiveSettings
    folders: Sequence[Path]
    done: dict[str, int] = field(default_factory=dict)
    kept: int = 0

    def go(self, crew: Crew, total: int, progress: Progress) -> None:
        began = time.monotonic()
        progress(_words(0, total, self.done, None), 0.0)
        for outcome in examine_all(self._leaves(), crew, self.settings.limits):
            booking.book(self.catalogue, outcome, __version__)
            self.done[outcome.state] = self.done.get(outcome.state, 0) + 1
            number = sum(self.done.values()) + self.kept
            left_s = (time.monotonic() - began) / number * (total - number)
            progress(_words(number, total, self.done, left_s), number / total)

    def _leaves(self) -> Iterator[Leaf]:
        for leaf in booking.unread(self.catalogue, __version__, self.settings.again):
            if booking.is_corrected(self.catalogue.charts / booking.chart_name(*leaf.key)):
                booking.keep(self.catalogue, leaf, __version__)
                self.kept += 1
                continue
            yield self._as_seen(leaf)

    def _as_seen(self, leaf: Leaf) -> Leaf:
        if self.settings.send:
            from chartscan.archive.sending import with_bytes

            return with_bytes(leaf)
        if self.settings.seen_as is not None:
            inside = Path(leaf.path).relative_to(self.folders[0].absolute())
            return replace(leaf, path=str(self.settings.seen_as / inside))
        return leaf


def _words(number: int, total: int, done: Mapping[str, int], left_s: float | None) -> str:
    """How far a run is, as a person says it."""
    words = f"{number:,} of {total:,} pages, {done.get('chart', 0):,} charts"
    return words if left_s is None else f"{words}, {duration(left_s)} left"
