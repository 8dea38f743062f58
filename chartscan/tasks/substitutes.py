"""Threads of one range in another: a list converted, and her own table of substitutes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from chartscan.csvtable import Table
from chartscan.palette import (
    Conversions,
    Owned,
    Palette,
    Thread,
    convert_threads,
    load_codes,
)
from chartscan.palette.settings import MatchSettings
from chartscan.palette.substitutes import (
    Substitute,
    forget,
    load_substitutes,
    place_of,
    recall,
    remember,
    save_substitutes,
    table_path,
)
from chartscan.plaintext import plain
from chartscan.tasks.threads import find_thread


@dataclass(frozen=True)
class Converted:
    """A list of one range in another.

    Attributes:
        called_for: (its cell ``class``, thread) of each row, in the list's order.
        found: the thread that each becomes.
    """

    called_for: tuple[tuple[str, Thread], ...]
    found: Conversions


def convert_list(
    listed: Table,
    before: Palette,
    after: Palette,
    settings: MatchSettings = MatchSettings(),
    owned: Owned | None = None,
    remembered: Sequence[Substitute] = (),
) -> Converted:
    """A list of codes of one range in another; what her own table of substitutes says is taken.

    Only the command line: the worktable matches charts, whose colours say more than a list.

    Raises:
        TableError: the list can't be read, or has codes that ``before`` lacks.
        MatchError: ``after`` has too few threads.
    """
    called_for = load_codes(listed, before)
    threads = [thread for _, thread in called_for]
    known = recall(remembered, threads, before, after)
    return Converted(called_for, convert_threads(threads, after, settings, owned, known))


def own_substitutes() -> tuple[Substitute, ...]:
    """Her own table of substitutes.

    Only the command line: as :func:`convert_list`.

    Raises:
        TableError: it can't be read.
    """
    return load_substitutes(table_path())


def take_substitutes(
    pairs: Sequence[tuple[str, str]], before: Palette, after: Palette, remark: str = ""
) -> tuple[Substitute, ...]:
    """Her table with threads that she takes for others from now on; it is written at once.

    Only the command line: as :func:`convert_list`.

    Args:
        pairs: the code called for and the code that she takes.
        before: the range of the first.
        after: the range of the second.
        remark: why.

    Raises:
        TableError: the table can't be read or written.
        MatchError: a code isn't in its range.
    """
    rows = own_substitutes()
    for called, becomes in pairs:
        first, second = find_thread(before, called), find_thread(after, becomes)
        today = date.today().isoformat()
        places = place_of(first, before), place_of(second, after)
        rows = remember(rows, Substitute(*places, today, plain(remark)))
    save_substitutes(rows, table_path())
    return rows


def forget_substitute(code: str) -> tuple[Substitute, ...]:
    """Her table without what stands there for a code.

    Only the command line: as :func:`convert_list`.

    Raises:
        TableError: nothing stands there for it, or the table can't be read or written.
    """
    rows = forget(own_substitutes(), code)
    save_substitutes(rows, table_path())
    return rows
