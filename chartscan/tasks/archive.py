"""Archives: reading folders of pages into a catalogue. What is in one: ``catalogue``."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, field, replace
from itertools import chain
from pathlib import Path

from chartscan import __version__
from chartscan.archive import booking
from chartscan.archive.catalogue import Catalogue, begun
from chartscan.archive.engine import Crew, examine_all
from chartscan.archive.finding import Lying, count_in, look_up, lying_in
from chartscan.archive.together import propose
from chartscan.archive.values import Leaf, Limits, State
from chartscan.errors import PageError
from chartscan.progress import Progress, silent
from chartscan.report.units import duration


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
        kept: pages that hold a person's word (corrections, a join), and so were not read again.
        remarks: what was left out, a line each.
        proposed: charts on several pages that the catalogue proposes to join, by now.
    """

    files: int
    pages: Mapping[str, int]
    before: int
    kept: int = 0
    remarks: tuple[str, ...] = ()
    proposed: int = 0


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
        run = _Run(catalogue, settings, folders, progress)
        leaves = run.leaves()
        first = next(leaves, None)
        if first is not None:
            with crew() as workers:
                run.go(chain((first,), leaves), workers)
        progress("looking which pages make one chart", 1.0)
        proposed = propose(catalogue)
        return ArchiveRun(run.found, run.done, run.before, run.kept, tuple(run.remarks), proposed)


@dataclass
class _Run:
    """Pages found, handed out and booked: all three at once, so that no worker waits for the last.

    Attributes:
        catalogue, settings, folders, progress: as :func:`read_archive`.
        files: files that lie in the folders, pictures or not.
        passed: those of them that were looked up by now.
        idle: those passed before the first page that is to be read; they tell nothing of time.
        found: pictures and PDFs among those that were passed.
        handed: pages handed out.
        before: pages that were booked before.
        kept: pages that hold a person's word.
        done: pages booked, by what they are.
        remarks: what was left out.
    """

    catalogue: Catalogue
    settings: ArchiveSettings
    folders: Sequence[Path]
    progress: Progress
    files: int = 0
    passed: int = 0
    idle: int = 0
    found: int = 0
    handed: int = 0
    before: int = 0
    kept: int = 0
    done: dict[str, int] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)

    def go(self, leaves: Iterator[Leaf], crew: Crew) -> None:
        """Let the crew examine ``leaves``, and book what becomes of them."""
        began = time.monotonic()
        self._say(began)
        for outcome in examine_all(leaves, crew, self.settings.limits):
            booking.book(self.catalogue, outcome, __version__)
            self.done[outcome.state] = self.done.get(outcome.state, 0) + 1
            self._say(began)

    def leaves(self) -> Iterator[Leaf]:
        """The pages that are to be read, as their files are found."""
        folders = [folder.absolute() for folder in self.folders]
        self.files = count_in(folders)
        for lying in lying_in(folders, self.remarks.append):
            if not self.handed:
                self.progress(f"looking for pages: {self.found:,} files", 0.0)
                self.idle = self.passed
            self.passed += 1
            file = self._booked(lying)
            if file is not None:
                self.found += 1
                if booking.is_first_sight(self.catalogue, file):
                    yield from self._unread(file, lying.path)

    def _booked(self, lying: Lying) -> int | None:
        """The number of a file in the catalogue; None for one that holds no pages."""
        file = booking.known(self.catalogue, lying)
        if file is not None:
            return file
        try:
            found = look_up(lying)
        except PageError as error:
            self.remarks.append(f"{error}; left out")
            return None
        return None if found is None else booking.book_file(self.catalogue, found)

    def _unread(self, file: int, path: str) -> Iterator[Leaf]:
        """The pages of a file that are to be read."""
        self.before += booking.pages_of(self.catalogue, file)
        for leaf in booking.unread(self.catalogue, file, path, __version__, self.settings.again):
            self.before -= 1
            if booking.is_kept(self.catalogue, leaf):
                booking.keep(self.catalogue, leaf, __version__)
                self.kept += 1
                continue
            self.handed += 1
            yield self._as_seen(leaf)

    def _say(self, began: float) -> None:
        """Tell how far the run is: pages booked, of all that there seem to be."""
        number = sum(self.done.values())
        each = self.handed / max(self.passed - self.idle, 1)  # pages of a file
        more = round(each * max(self.files - self.passed, 0))
        total = self.handed + more
        left_s = (time.monotonic() - began) / number * (total - number) if number else None
        about = "about " if more else ""
        words = f"{number:,} of {about}{total:,} pages, {self.done.get('chart', 0):,} charts"
        told = words if left_s is None else f"{words}, {duration(left_s)} left"
        self.progress(told, number / total)

    def _as_seen(self, leaf: Leaf) -> Leaf:
        if self.settings.send:
            from chartscan.archive.sending import with_bytes

            return with_bytes(leaf)
        if self.settings.seen_as is not None:
            inside = Path(leaf.path).relative_to(self.folders[0].absolute())
            return replace(leaf, path=str(self.settings.seen_as / inside))
        return leaf
