"""A project's choice of threads: which class is worked in which, and which stand in for others.

It is made in one place, by matching the project's chart, and kept class by class. What a class is
known by is kept with it, since numbers of classes move when a chart is corrected or read again.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from chartscan.chart import Chart
from chartscan.colour import format_hex, parse_hex, srgb_to_lab
from chartscan.errors import StashError
from chartscan.palette.key import find_thread
from chartscan.palette.picks import ClassMark, Found, Pick, find_picks, mark_class
from chartscan.palette.thread import Match, Matches, Palette, Thread
from chartscan.remedies import Remedy
from chartscan.stash.entries import joining
from chartscan.stash.ledger import Ledger
from chartscan.stash.projects import PLANNED, Project, find_project
from chartscan.stash.threads import CENTS, info_of, know_thread

Marked = tuple[ClassMark, Pick]


@dataclass(frozen=True)
class StandIn:
    """A thread that is worked in place of the one called for, and why."""

    called: tuple[str, str]
    used: Thread | None
    reason: str = ""


@dataclass(frozen=True)
class Chosen:
    """What is kept of a project's choice.

    Attributes:
        parts: what was picked, by number of the chart in the project (from 1).
        stand_ins: threads that others are worked in, by line and code of those called for.
    """

    parts: Mapping[int, tuple[Marked, ...]] = field(default_factory=dict)
    stand_ins: Mapping[tuple[str, str], StandIn] = field(default_factory=dict)

    def picks(self, part: int, chart: Chart) -> Found:
        """What was picked, by the numbers that the classes of a part have now."""
        return find_picks(chart, self.parts.get(part, ()))

    def worked(self, pick: Pick) -> Pick:
        """What is worked where ``pick`` is called for."""
        found = (self.stand_ins.get((t.line, t.code)) for t in pick.threads)
        used = (None if stand_in is None else stand_in.used for stand_in in found)
        pairs = zip(used, pick.threads, strict=True)
        return replace(pick, threads=tuple(other or thread for other, thread in pairs))


def load_chosen(ledger: Ledger, project: int, palette: Palette) -> Chosen:
    """The choice of a project; threads are as the range says, or as the stash knows them."""
    parts: dict[int, list[Marked]] = {}
    for row in ledger.rows(
        "SELECT * FROM class_threads WHERE project = ? ORDER BY part, place", (project,)
    ):
        numbers = [row[name] for name in ("called", "second") if row[name] is not None]
        threads = [_thread(ledger, number, palette) for number in numbers]
        named = tuple(thread for thread in threads if thread is not None)
        if len(named) == len(numbers):
            parts.setdefault(row["part"], []).append((_mark(row), Pick(named, bool(row["keyed"]))))
    stand_ins = {
        (row["line"], row["code"]): StandIn(
            (row["line"], row["code"]), _thread(ledger, row["used"], palette), row["reason"]
        )
        for row in ledger.rows(
            "SELECT t.line, t.code, c.used, c.reason FROM choices c"
            " JOIN threads t ON t.id = c.called WHERE c.project = ?",
            (project,),
        )
    }
    return Chosen({part: tuple(marked) for part, marked in parts.items()}, stand_ins)


def marked_of(chart: Chart, matches: Matches) -> tuple[Marked, ...]:
    """The threads that classes were given, ready to be kept; those without one aren't there."""
    return tuple(
        (mark_class(chart, match.class_index), _pick(match))
        for match in matches.matches
        if match.chosen.thread.told
    )


def _pick(match: Match) -> Pick:
    threads = tuple(thread for thread in (match.chosen.thread, match.blended) if thread)
    return Pick(threads, keyed=match.keyed and not match.picked)


def keep_chosen(ledger: Ledger, name: str, part: int, marked: Sequence[Marked]) -> Project:
    """Keep the threads of one chart of a project, in place of what was kept of it.

    Raises:
        StashError: the project isn't planned any more.
    """
    with ledger.atomic():
        project = find_project(ledger, name)
        if project.state != PLANNED:
            raise StashError(
                f"{project.name} is {project.state}; threads are chosen while it is planned",
                Remedy.RELEASE,
                Remedy.UNDO_PROJECT,
                name=project.name,
            )
        with joining(ledger, "chose", project.id):
            ledger.execute(
                "DELETE FROM class_threads WHERE project = ? AND part = ?", (project.id, part)
            )
            for place, (mark, pick) in enumerate(marked, start=1):
                first, second = (*(know_thread(ledger, info_of(t)) for t in pick.threads), None)[:2]
                row, column = mark.cell or (None, None)
                ledger.execute(
                    "INSERT INTO class_threads VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                    (
                        project.id, part, place, mark.kind,
                        None if mark.rgb is None else format_hex(mark.rgb),
                        mark.symbol, row, column, first, second, int(pick.keyed),
                    ),
                )  # fmt: skip
    return project


def settle(chosen: Chosen, part: int, chart: Chart, matches: Matches) -> Chosen:
    """``chosen`` so that the classes of one chart are worked in the threads of ``matches``.

    A class that is worked as before keeps what is called for and so the reason of its stand-in. A
    thread that is told anew is worked itself: what stood in for it does so no more, and is called
    for by itself wherever it is worked.
    """
    before = chosen.picks(part, chart).picks
    told: list[tuple[ClassMark, Pick, bool]] = []
    for match in matches.matches:
        if match.chosen.thread.told:
            new = _pick(match)
            old = before.get(match.class_index)
            as_before = old is not None and _codes(chosen.worked(old)) == _codes(new)
            pick = old if old is not None and as_before else new
            told.append((mark_class(chart, match.class_index), pick, as_before))
    over = _over(chosen, {code for _, pick, same in told if not same for code in _codes(pick)})
    ending = Chosen(stand_ins={code: chosen.stand_ins[code] for code in over})
    others = {
        other: tuple((mark, ending.worked(pick)) for mark, pick in marked)
        for other, marked in chosen.parts.items()
    }
    marked = tuple((mark, ending.worked(pick) if same else pick) for mark, pick, same in told)
    stand_ins = {code: one for code, one in chosen.stand_ins.items() if code not in over}
    return Chosen({**others, part: marked}, stand_ins)


def _over(chosen: Chosen, told: set[tuple[str, str]]) -> set[tuple[str, str]]:
    """Which stand-ins end because threads are told by themselves; those that are used, too."""
    over: set[tuple[str, str]] = set()
    while ending := (told & chosen.stand_ins.keys()) - over:
        over |= ending
        told = {(t.line, t.code) for t in (chosen.stand_ins[c].used for c in ending) if t}
    return over


def _codes(pick: Pick) -> tuple[tuple[str, str], ...]:
    return tuple((thread.line, thread.code) for thread in pick.threads)


def keep_settled(ledger: Ledger, name: str, before: Chosen, after: Chosen) -> Project:
    """Keep a choice as :func:`settle` left it.

    Raises:
        StashError: the project isn't planned any more.
    """
    project = find_project(ledger, name)
    with ledger.atomic(), joining(ledger, "chose", project.id):
        for line, code in before.stand_ins.keys() - after.stand_ins.keys():
            ledger.execute(
                "DELETE FROM choices WHERE project = ? AND called ="
                " (SELECT id FROM threads WHERE line = ? AND code = ?)",
                (project.id, line, code),
            )
        for part, marked in after.parts.items():
            keep_chosen(ledger, name, part, marked)
    return project


def drop_chosen(ledger: Ledger, project: int) -> None:
    """Forget what was chosen class by class: another range or key says it anew."""
    ledger.execute("DELETE FROM class_threads WHERE project = ?", (project,))


def stood_in(matches: Matches, chosen: Chosen) -> tuple[Mapping[int, Pick], tuple[str, ...]]:
    """The classes whose thread another stands in for, with that other, and why in words."""
    picks: dict[int, Pick] = {}
    taken: dict[tuple[str, str], str] = {}
    for match in matches.matches:
        called = tuple(thread for thread in (match.chosen.thread, match.blended) if thread)
        worked = []
        for thread in called:
            stand_in = chosen.stand_ins.get((thread.line, thread.code))
            used = None if stand_in is None else stand_in.used
            worked.append(used or thread)
            if stand_in is not None and used is not None:
                why = f": {stand_in.reason}" if stand_in.reason else ""
                taken[stand_in.called] = f"{used.code} instead of {thread.code}{why}"
        if tuple(worked) != called:
            picks[match.class_index] = Pick(tuple(worked))
    return picks, tuple(taken.values())


def _mark(row: sqlite3.Row) -> ClassMark:
    cell = None if row["cell_row"] is None else (row["cell_row"], row["cell_column"])
    rgb = None if row["hex"] is None else parse_hex(row["hex"])
    return ClassMark(row["kind"], rgb, row["symbol"], cell)


def _thread(ledger: Ledger, number: int, palette: Palette) -> Thread | None:
    """A thread as the range says; else as far as the stash knows its colour, else None."""
    row = ledger.row("SELECT * FROM threads WHERE id = ?", (number,))
    assert row is not None  # a foreign key holds it there
    try:
        return find_thread(palette, row["code"], row["line"])
    except ValueError:
        pass
    if row["hex"] is None:
        return None
    rgb = parse_hex(row["hex"])
    lightness, a, b = (
        (row["lab_l"], row["lab_a"], row["lab_b"])
        if row["lab_l"] is not None
        else (float(value) for value in srgb_to_lab(rgb))
    )
    return Thread(
        code=row["code"],
        name=row["name"],
        lab=(lightness, a, b),
        rgb=rgb,
        line=row["line"],
        status="discontinued" if row["discontinued"] else "current",
        metres=None if row["putup_mm"] is None else row["putup_mm"] / 1000,
        strands=row["strands"],
        price=None if row["price"] is None else row["price"] / CENTS,
    )
