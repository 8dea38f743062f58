"""Backups in turns: the last days, weeks and months are kept, and it is said when one is due."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from chartscan.errors import StashError
from chartscan.stash.backup import Counts, back_up
from chartscan.stash.ledger import Ledger, stamp

KEY = "backup.day"
_NAME = re.compile(r"stash-(\d{4}-\d{2}-\d{2})\.backup")


@dataclass(frozen=True)
class TurnSettings:
    """How many backups are kept, and when one is due.

    Attributes:
        days: the last so many days with a backup keep theirs.
        weeks: the last so many weeks keep their newest.
        months: the last so many months keep their newest; beyond that one a year stays for good.
        due_days: a backup is due when the last one is older, and something was booked since; a
            month of bookings can be told again from memory and bills, a year's can't. No source.
        due_acts: without any backup one is due after so many acts: the first evening's work.
    """

    days: int = 7
    weeks: int = 5
    months: int = 12
    due_days: int = 30
    due_acts: int = 20


def back_up_in_turn(
    ledger: Ledger, folder: Path, settings: TurnSettings = TurnSettings()
) -> tuple[Path, Counts, tuple[Path, ...]]:
    """Write today's backup into ``folder`` and remove those whose turn is over.

    Only files that are named as this function names them are removed, and only after the new
    one is written and was checked.

    Returns:
        The file, how much of what it holds, and the files removed.

    Raises:
        StashError, OutputError: as :func:`chartscan.stash.backup.back_up`; nothing is removed.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StashError(f"{folder}: can't be made ({error.strerror})") from error
    target = folder / f"stash-{ledger.clock().astimezone().date().isoformat()}.backup"
    counts = back_up(ledger, target)
    note_backup(ledger)
    there = {
        date.fromisoformat(match[1]): path
        for path in sorted(folder.iterdir())
        if (match := _NAME.fullmatch(path.name)) and _is_day(match[1])
    }
    over = sorted(there.keys() - kept_days(there, settings))
    for day in over:
        there[day].unlink(missing_ok=True)
    return target, counts, tuple(there[day] for day in over)


def _is_day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def kept_days(days: Iterable[date], settings: TurnSettings = TurnSettings()) -> set[date]:
    """Of the days that have a backup those whose turn isn't over."""
    newest_first = sorted(days, reverse=True)
    kept = set(newest_first[: settings.days])
    kept |= set(list(_newest(newest_first, lambda d: tuple(d.isocalendar())[:2]))[: settings.weeks])
    kept |= set(list(_newest(newest_first, lambda d: (d.year, d.month)))[: settings.months])
    return kept | set(_newest(newest_first, lambda d: (d.year,)))


def _newest(
    newest_first: Iterable[date], span: Callable[[date], tuple[int, ...]]
) -> Iterable[date]:
    """The newest day of each week, month or year, the newest span first."""
    seen: set[object] = set()
    for day in newest_first:
        if span(day) not in seen:
            seen.add(span(day))
            yield day


def note_backup(ledger: Ledger) -> None:
    """Keep when the last backup was made; a stash that may only be read keeps it not."""
    try:
        with ledger.atomic():
            ledger.execute(
                "INSERT INTO settings VALUES (?, ?)"
                " ON CONFLICT (key) DO UPDATE SET value = excluded.value",
                (KEY, stamp(ledger.clock())),
            )
    except StashError:
        return


def backup_due(ledger: Ledger, settings: TurnSettings = TurnSettings()) -> str | None:
    """What reminds of a backup where one is due, without a full stop; else None."""
    last = ledger.value("SELECT value FROM settings WHERE key = ?", (KEY,))
    since = ledger.value("SELECT count(*) FROM acts WHERE time > ?", (last or "",))
    if last is None:
        return "There is no backup of this stash" if since >= settings.due_acts else None
    day = date.fromisoformat(last[:10])
    age = (ledger.clock().date() - day).days
    if age <= settings.due_days or not since:
        return None
    return f"The last backup is of {day.isoformat()}, {since} entries ago"
