"""Choosing threads: a range, what is at hand of it, a thread for each class, single look-ups."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chartscan.chart import Chart
from chartscan.csvtable import Table
from chartscan.errors import MatchError
from chartscan.palette import (
    Blends,
    Candidate,
    FabricCandidate,
    Matches,
    Owned,
    Palette,
    Thread,
    Wanted,
    find_blends,
    hardly_seen,
    load_fabrics,
    load_key,
    load_owned,
    load_palette,
    load_strands,
    nearest_fabrics,
    nearest_threads,
    parse_wanted,
    unknown_codes,
)
from chartscan.palette import find_thread as _find_thread
from chartscan.palette.blend import BlendSettings
from chartscan.palette.picks import match_picked
from chartscan.palette.samples import SAMPLES
from chartscan.palette.settings import MatchSettings

if TYPE_CHECKING:
    from chartscan.tasks.picks import Pick

RGB = tuple[int, int, int]
UNKNOWN_NAMED = 10  # codes that aren't in the range are named up to here, a line's worth


@dataclass(frozen=True)
class AtHand:
    """What is at hand and free.

    Attributes:
        owned: whole and part skeins by thread; None where nothing is known of them.
        warnings: what needs a look.
        counted: what was counted, in a line; "" where nothing was.
    """

    owned: Owned | None = None
    warnings: tuple[str, ...] = ()
    counted: str = ""


@dataclass(frozen=True)
class BlendFor:
    """The blends for one colour.

    Attributes:
        name: the number of its class, or what was asked for.
        rgb: the colour wanted, sRGB 0..255.
        found: its blends, best first, and the best single thread.
    """

    name: str
    rgb: RGB
    found: Blends


def known_ranges() -> Mapping[str, str]:
    """The sample ranges that come with the program: name and what it is."""
    return SAMPLES


def open_range(source: Path, illuminant: str = "D65") -> Palette:
    """The thread range in a file, or the sample of that bare name.

    Raises:
        TableError: it can't be read; all bad rows are named.
    """
    return load_palette(source, illuminant)


def at_hand(
    palette: Palette, listed: Table | None = None, stash: Path | None = None, project: str = ""
) -> AtHand:
    """What is at hand of a range: by a list, else by what is free in a stash.

    Args:
        palette: the range; codes of the list that it lacks are warned of.
        listed: a table ``code,skeins``.
        stash: the stash's file.
        project: whose own promises of that stash are at hand too.

    Raises:
        TableError: the list can't be read.
        StashError: the stash can't be opened.
    """
    if listed is None:
        if stash is None:
            return AtHand()
        free = _free(stash, project)
        return AtHand(free, counted=_counted(free, palette, f"what is free in {stash}"))
    owned = load_owned(listed)
    counted = _counted(owned, palette, f"what {listed} lists")
    unknown = unknown_codes(owned, palette)
    if not unknown:
        return AtHand(owned, counted=counted)
    shown = ", ".join(unknown[:UNKNOWN_NAMED]) + (" …" if len(unknown) > UNKNOWN_NAMED else "")
    few = f"{listed}: {len(unknown)} of its codes aren't in the palette: {shown}"
    return AtHand(owned, (few,), counted)


def _counted(owned: Owned, palette: Palette, what: str) -> str:
    codes = {thread.code for thread in palette.threads}
    number = len({key for key in owned.skeins.keys() | owned.metres_left.keys() if key[1] in codes})
    threads = "1 thread" if number == 1 else f"{number} threads"
    return f"Counted as at hand: {what}, {threads} of {palette.source or 'the range'}."


def named_threads(key: Table, chart: Chart, palette: Palette) -> Mapping[int, Thread]:
    """The thread that a key names, by class; classes that it leaves blank aren't there.

    Only the command line: on the worktable threads are chosen beside their classes.

    Raises:
        TableError: the key can't be read, or names no class or no thread.
    """
    return load_key(key, chart, palette)


def _free(stash: Path, project: str) -> Owned:
    from chartscan.stash.owned import free_threads

    return free_threads(stash, project)


def how_to_choose(**told: Any) -> MatchSettings:  # noqa: ANN401 - any field of the settings
    """How threads are chosen: what was told, and the usual where nothing was.

    Raises:
        MatchError: what was told can't go together.
    """
    return MatchSettings(**told)


def choose_threads(
    chart: Chart,
    palette: Palette,
    settings: MatchSettings = MatchSettings(),
    key: Table | None = None,
    owned: Owned | None = None,
    cloth: RGB | None = None,
    picks: Mapping[int, Pick] | None = None,
) -> Matches:
    """A thread for every class that is worked, and what needs a look.

    Args:
        chart: the chart.
        palette: the range to choose from.
        settings: how to choose.
        key: the threads that the chart itself names, a table ``class,code``; other colours are
            corrected by what it teaches.
        owned: what is at hand and free.
        cloth: the fabric's colour; threads that can hardly be seen on it are warned of.
        picks: what the person picked, by class; goes before the key and every other choice.

    Raises:
        TableError: the key has bad rows.
        MatchError: owning should count though nothing is known of it.
    """
    if settings.own_within is not None and owned is None:
        raise MatchError("threads at hand can't come first: nothing says what you have")
    told = load_strands(key, chart, palette) if key is not None else {}
    found = match_picked(chart, palette, settings, told, owned, picks)
    if cloth is None:
        return found
    return replace(found, warnings=(*found.warnings, *hardly_seen(found.matches, cloth)))


def read_key(key: Table, chart: Chart, palette: Palette) -> Mapping[int, Thread]:
    """The threads that a key names, by class.

    Only the worktable: on the command line a key goes straight into the choice of threads.

    Raises:
        TableError: the key has bad rows; all of them are named.
    """
    return load_key(key, chart, palette)


def judge(
    rgb: RGB | None, candidates: Sequence[Thread], owned: Owned | None = None
) -> tuple[Candidate, ...]:
    """How each of some threads would do for a colour; ΔE is 0 where there is no colour to compare.

    Only the worktable: on the command line ``nearest`` judges the threads that it finds.
    """
    from chartscan.palette.matching import as_candidate

    return tuple(as_candidate(rgb, thread, owned) for thread in candidates)


def find_thread(palette: Palette, code: str, line: str = "") -> Thread:
    """The thread of that code, capitals or not.

    Raises:
        MatchError: there is none, or several lines have it.
    """
    try:
        return _find_thread(palette, code, line)
    except ValueError as error:
        raise MatchError(f"{palette.source or 'the palette'}: {error}") from error


def nearest(
    colour: str,
    palette: Palette,
    count: int = 5,
    owned: Owned | None = None,
    *,
    line: str = "",
    owned_only: bool = False,
    discontinued: bool = False,
) -> tuple[Wanted, tuple[Candidate, ...]]:
    """What is looked for, and the threads nearest to it.

    Args:
        colour: ``#rrggbb``, ``lab:L,a,b`` or a code of the range.
        palette: the range.
        count: how many.
        owned: what is at hand.
        line: the line of the code, where several have it.
        owned_only: only what is at hand.
        discontinued: threads that can't be bought any more too.

    Raises:
        MatchError: ``colour`` says none, or no thread is left.
    """
    wanted = parse_wanted(colour, palette, line)
    found = nearest_threads(
        wanted, palette, count, owned, owned_only=owned_only, discontinued=discontinued
    )
    return wanted, found


def nearest_cloth(
    colour: str,
    palette: Palette,
    fabrics: Path,
    number: int = 5,
    count: float | None = None,
    cut_mm: tuple[float, float] | None = None,
    line: str = "",
) -> tuple[Wanted, tuple[FabricCandidate, ...]]:
    """What is looked for, and the fabrics of a list nearest to it in colour.

    Only the command line: a list of fabrics is a shop's file; the worktable looks in the drawer.

    Raises:
        TableError: the list can't be read.
        MatchError: ``colour`` says none, or no fabric is of that count and size.
    """
    wanted = parse_wanted(colour, palette, line)
    return wanted, nearest_fabrics(wanted.lab, load_fabrics(fabrics), number, count, cut_mm)


def blends_for_colour(
    colour: str,
    palette: Palette,
    owned: Owned | None = None,
    settings: BlendSettings = BlendSettings(),
) -> BlendFor:
    """Two threads in one needle for a colour, or for a thread of the range that is left out.

    Only the command line: the worktable looks for blends class by class.

    Raises:
        MatchError: ``colour`` says none.
    """
    wanted = parse_wanted(colour, palette)
    others = tuple(t for t in palette.threads if t is not wanted.thread)
    found = find_blends([wanted.lab], Palette(others, palette.source), owned, settings)
    return BlendFor(colour, wanted.rgb, found[0])


def blends_for_chart(
    chart: Chart,
    palette: Palette,
    owned: Owned | None = None,
    settings: BlendSettings = BlendSettings(),
    classes: Sequence[int] | None = None,
) -> tuple[BlendFor, ...]:
    """Two threads in one needle for each class that has a colour, or for some ``classes``.

    Raises:
        MatchError: none of them has a colour.
    """
    from chartscan.colour import srgb_to_lab

    coloured = [
        (str(c.index), c.rgb)
        for c in chart.classes
        if c.kind != "empty" and c.rgb is not None and (classes is None or c.index in classes)
    ]
    if not coloured:
        raise MatchError("none of the chart's classes has a colour, so there is nothing to blend")
    found = find_blends(srgb_to_lab([rgb for _, rgb in coloured]), palette, owned, settings)
    return tuple(
        BlendFor(name, rgb, blends) for (name, rgb), blends in zip(coloured, found, strict=True)
    )


def look_up(
    palette: Palette, words: str, owned: Owned | None = None, count: int = 12
) -> tuple[Thread, ...]:
    """The threads whose code, name or line has all of ``words``, while they are being typed.

    A code that is typed whole comes first, then codes that begin so, then what is at hand.

    Only the worktable: a terminal doesn't look up while one types; ``nearest`` takes codes.
    """
    wanted = words.casefold().split()
    if not wanted:
        return ()
    found = [
        (_rank(thread, wanted, owned), place, thread)
        for place, thread in enumerate(palette.threads)
        if all(word in f"{thread.code} {thread.name} {thread.line}".casefold() for word in wanted)
    ]
    return tuple(thread for _, _, thread in sorted(found, key=lambda entry: entry[:2])[:count])


def _rank(thread: Thread, wanted: Sequence[str], owned: Owned | None) -> tuple[bool, ...]:
    """Sorts false before true: whole code, begun code, at hand, still to be bought."""
    code = thread.code.casefold()
    return (
        code != wanted[0],
        not code.startswith(wanted[0]),
        owned is None or owned.of(thread) <= 0,
        thread.status != "current",
    )
