"""What lies in a catalogue: charts by conditions, and which need nothing bought."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from chartscan.archive.catalogue import opened
from chartscan.archive.looking import Conditions, Entry, Missed, charts, missed, numbered, tally
from chartscan.archive.looking import count_charts as counted
from chartscan.archive.values import STATES, State

if TYPE_CHECKING:
    from chartscan.palette import Owned, Palette
    from chartscan.yardage import EstimateSettings, Fabric


def at_most(
    columns: int | None, rows: int | None, colours: int | None, within: str = ""
) -> Conditions:
    """Conditions on what a chart may have at most; None for any, "" for every file.

    Only the worktable: the command line takes ranges.
    """
    return Conditions(
        columns=(None, columns), rows=(None, rows), colours=(None, colours), within=within or None
    )


def list_charts(catalogue: Path, wanted: Conditions = Conditions()) -> Iterator[Entry]:
    """The charts of a catalogue that meet all conditions, one after the other.

    Raises:
        ArchiveError: there is no catalogue.
    """
    with opened(catalogue) as kept:
        yield from charts(kept, wanted)


def show_charts(catalogue: Path, numbers: Sequence[int]) -> Iterator[Entry]:
    """The charts of these numbers, in that order, one after the other."""
    with opened(catalogue) as kept:
        yield from numbered(kept, numbers)


def count_charts(catalogue: Path, wanted: Conditions = Conditions()) -> int:
    """How many charts of a catalogue meet all conditions.

    Raises:
        ArchiveError: there is no catalogue.
    """
    with opened(catalogue) as kept:
        return counted(kept, wanted)


def list_missed(catalogue: Path, state: State) -> tuple[Missed, ...]:
    """The pages of a catalogue that are no charts, of one state, each with the reason.

    Only the command line: the worktable's shelf holds charts that were taken from a catalogue.

    Raises:
        ArchiveError: there is no catalogue.
    """
    with opened(catalogue) as kept:
        return tuple(missed(kept, state))


def count_pages(catalogue: Path) -> Mapping[State, int]:
    """How many pages of each state a catalogue holds.

    Only the command line: the worktable's shelf holds charts that were taken from a catalogue.

    Raises:
        ArchiveError: there is no catalogue.
    """
    with opened(catalogue) as kept:
        return {state: tally(kept).get(state, 0) for state in STATES}


@dataclass(frozen=True)
class Cloth:
    """The cloth that charts are to fit on.

    Attributes:
        fabric: its count and how it is stitched over.
        working: margins and all else of the way of working.
        piece_mm: width and height of the piece at hand; None to take one from the stash.
    """

    fabric: Fabric
    working: EstimateSettings
    piece_mm: tuple[float, float] | None = None


@dataclass(frozen=True)
class Drawer:
    """What charts are to be stitched from.

    Attributes:
        palette: the thread range.
        owned: what is free of it.
        within: greatest ΔE (CIEDE2000) at which a thread that is at hand will do.
        stash: where to look for a piece of cloth, too; None where a piece was told.
    """

    palette: Palette
    owned: Owned
    within: float
    stash: Path | None = None


def fits_cloth(entry: Entry, cloth: Cloth, stash: Path | None = None) -> bool:
    """Whether a chart with its margins comes out of the piece, or of one in the stash.

    Only the command line: the worktable's shelf holds charts that were taken from a catalogue.
    """
    from chartscan.tasks.fabric import pieces_that_fit
    from chartscan.yardage import cut_size, finished_size, fits

    finished_mm = finished_size(entry.columns, entry.rows, cloth.fabric)
    cut_mm = cut_size(finished_mm, cloth.working.margin_mm)
    if cloth.piece_mm is not None:
        return fits(cloth.piece_mm, cut_mm).copies > 0
    return stash is None or bool(pieces_that_fit(stash, cloth.fabric, cut_mm))


def stitchable(entry: Entry, cloth: Cloth, drawer: Drawer) -> bool:
    """Whether thread and cloth for a chart are at hand: its kit has nothing to buy.

    Only the command line: the worktable's shelf holds charts that were taken from a catalogue.

    Charts in one ink have no colours to match, and aren't known to be.
    """
    from chartscan.chart import load_chart
    from chartscan.palette.settings import MatchSettings
    from chartscan.tasks.kit import kit_chart
    from chartscan.tasks.threads import choose_threads

    if any(colour.rgb is None for colour in entry.colours):
        return False
    if not fits_cloth(entry, cloth, drawer.stash):
        return False
    chart = load_chart(entry.chart_file)
    how = MatchSettings(own_within=drawer.within)
    matches = choose_threads(chart, drawer.palette, how, owned=drawer.owned)
    kit = kit_chart(chart, matches, cloth.fabric, cloth.working, drawer.owned)
    return all(line.to_buy == 0 for line in kit.threads)
