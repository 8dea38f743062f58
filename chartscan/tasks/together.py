"""Pages of a catalogue that make one chart: proposed, joined and taken apart."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from chartscan.archive.catalogue import begun, opened
from chartscan.archive.facts import facts_of
from chartscan.archive.joined import Sheaf, book_joined, sheaf_of, told_whole
from chartscan.archive.joined import take_apart as apart
from chartscan.archive.together import Whole, wholes
from chartscan.errors import ArchiveError
from chartscan.progress import Progress, silent
from chartscan.remedies import Remedy


def list_proposals(catalogue: Path) -> tuple[Whole, ...]:
    """Pages of a catalogue that seem to make one chart, and weren't joined yet.

    Raises:
        ArchiveError: there is no catalogue.
    """
    with opened(catalogue) as kept:
        return tuple(wholes(kept, "proposed"))


def join_charts(
    catalogue: Path,
    charts: Sequence[int],
    layout: tuple[int, int] | None = None,
    progress: Progress = silent,
) -> tuple[Whole, tuple[str, ...]]:
    """Read pages of a catalogue again, as one chart, which takes the place of theirs there.

    Only the command line: on the worktable pages are dropped together.

    Args:
        catalogue: where they are.
        charts: by number, in reading order; one of a proposal stands for all of it.
        layout: rows and columns of pages; None for one row.
        progress: told how far the reading is.

    Returns:
        The pages, and what the reading warns of.

    Raises:
        ArchiveError: there is no such chart, or its page has changed since it was read.
        PageError, GridError: a page is gone, or the pages don't fit together.
    """
    from chartscan.reading import ReadSettings, read_pages

    with opened(catalogue) as kept:
        sheaf = sheaf_of(kept, told_whole(kept, charts, layout))
    paths, numbers = _in_one_file(sheaf)
    settings = ReadSettings(pages=numbers, layout=sheaf.whole.layout)
    reading = read_pages(paths, settings, progress)
    for page, path, digest in zip(reading.evidence, sheaf.paths, sheaf.digests, strict=True):
        if page.page.sha256 != digest:
            raise ArchiveError(
                f"{path}: was changed since the catalogue read it", Remedy.READ_ARCHIVE
            )
    facts = facts_of(reading.chart, reading.evidence[0].lattice)
    with begun(catalogue) as kept:
        book_joined(kept, sheaf, reading.chart, facts)
    return sheaf.whole, reading.warnings


def _in_one_file(sheaf: Sheaf) -> tuple[Sequence[Path], tuple[int, ...]]:
    """Pages as the reader takes them: the first of several files, or numbers of one."""
    if len({*sheaf.paths}) == 1:
        return sheaf.paths[:1], sheaf.numbers
    if any(number > 1 for number in sheaf.numbers):
        raise ArchiveError(
            f"{sheaf.paths[0]}: pages of several files can be joined only where each is the first "
            "of its file; save the others as files of their own"
        )
    return sheaf.paths, ()


def take_apart(catalogue: Path, chart: int) -> Whole:
    """Give the pages of a joined chart their own back, or let those of a proposal stay apart.

    Only the command line: on the worktable pages are dropped together.

    Raises:
        ArchiveError: the chart is part of nothing, or the catalogue is in use.
    """
    with opened(catalogue):
        pass  # one that isn't there is not to be begun
    with begun(catalogue) as kept:
        return apart(kept, chart)
