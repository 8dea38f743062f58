"""What if: a thread is short for several projects. Who could keep it, and what could stand in."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

from chartscan.colour import DIFFERENT, ciede2000, grade, srgb_to_lab
from chartscan.stash.allotment import EMPTY, Supply, left_after, skeins_for, take
from chartscan.stash.demand import NeededThread, load_demands, load_free, load_threads
from chartscan.stash.ledger import Ledger
from chartscan.stash.projects import OPEN_STATES, PLANNED
from chartscan.stash.rules import Rules, load_rules
from chartscan.stash.usual import Rgb

SUBSTITUTES_SHOWN = 5  # a handful to lay beside the work
FARTHEST = 2 * DIFFERENT  # ΔE00 beyond which nobody would call it a stand-in; no source


@dataclass(frozen=True)
class Claim:
    """One project's claim on a thread.

    Attributes:
        project: its name.
        state: planned, kitted or in work.
        deadline: ISO date, or "".
        skeins: put-ups that it needs in all.
        held: put-ups it has set apart, parts as fractions.
        lack_if_first: put-ups to buy for it if it may take first.
        lack_if_last: put-ups to buy for it if every other one takes first.
    """

    project: str
    state: str
    deadline: str
    skeins: int
    held: float
    lack_if_first: int
    lack_if_last: int


@dataclass(frozen=True)
class Substitute:
    """A free thread that could stand in: ``delta_e`` and its grade; ``skeins`` that are free."""

    line: str
    code: str
    name: str
    rgb: Rgb
    delta_e: float
    grade: str
    skeins: float


@dataclass(frozen=True)
class WhatIf:
    """A thread that several projects want.

    Attributes:
        thread: what is known of it.
        free: put-ups promised to nobody, parts as fractions.
        claims: who wants it, by deadline.
        keeper: who should keep it: the one that it completes, by deadline; "" where it is short
            for nobody, or completes nobody.
        substitutes: free threads with enough for the shortest claim, nearest first.
    """

    thread: NeededThread
    free: float
    claims: tuple[Claim, ...]
    keeper: str
    substitutes: tuple[Substitute, ...]

    @property
    def short(self) -> bool:
        """There isn't enough for everyone."""
        return any(claim.lack_if_last for claim in self.claims)


def what_if(ledger: Ledger, thread: int) -> WhatIf:
    """What happens to the projects that want ``thread`` (number), whoever takes first."""
    rules = load_rules(ledger)
    projects = _projects(ledger, thread)
    demands = load_demands(ledger, [row["id"] for row in projects])
    needs = {n.project: n.length_mm for n in demands.needs if n.thread == thread}
    known = load_threads(ledger, [thread])[thread]
    held = {number: demands.held_by(number, thread) for number in needs}
    free = demands.free_of(thread)
    claims = tuple(_claim(row, needs, held, known.putup_mm, free, rules) for row in projects)
    completed = [c for c in claims if c.lack_if_last and not c.lack_if_first]
    shortest = min((needs[row["id"]] for row in projects), default=0)
    return WhatIf(
        thread=known,
        free=free.length_mm(known.putup_mm) / known.putup_mm,
        claims=claims,
        keeper=completed[0].project if completed else "",
        substitutes=tuple(_substitutes(ledger, known, shortest, rules)) if known.rgb else (),
    )


def short_threads(ledger: Ledger) -> list[int]:
    """Threads (numbers) that more than one planned project wants and that aren't enough for all."""
    shared = ledger.rows(
        "SELECT n.thread, count(DISTINCT n.project) AS many FROM thread_needs n"
        " JOIN projects p ON p.id = n.project JOIN threads t ON t.id = n.thread"
        " WHERE p.state = ? GROUP BY n.thread HAVING many > 1 ORDER BY t.line, t.code",
        (PLANNED,),
    )
    return [row["thread"] for row in shared if what_if(ledger, row["thread"]).short]


def _projects(ledger: Ledger, thread: int) -> list[sqlite3.Row]:
    marks = ", ".join("?" * len(OPEN_STATES))
    return ledger.rows(
        "SELECT DISTINCT p.id, p.name, p.state, p.deadline FROM projects p"
        " JOIN thread_needs n ON n.project = p.id"
        f" WHERE n.thread = ? AND p.state IN ({marks})"
        " ORDER BY p.deadline = '', p.deadline, p.wished_start = '', p.wished_start, p.name",
        (thread, *OPEN_STATES),
    )


def _claim(
    row: sqlite3.Row,
    needs: dict[int, int],
    held: dict[int, Supply],
    putup_mm: int,
    free: Supply,
    rules: Rules,
) -> Claim:
    number = row["id"]
    left = free
    for other, length in needs.items():
        if other != number:
            left = left_after(left, take(length, putup_mm, held[other], left, rules))
    return Claim(
        project=row["name"],
        state=row["state"],
        deadline=row["deadline"],
        skeins=skeins_for(needs[number], putup_mm),
        held=held[number].length_mm(putup_mm) / putup_mm,
        lack_if_first=take(needs[number], putup_mm, held[number], free, rules).lack,
        lack_if_last=take(needs[number], putup_mm, held[number], left, rules).lack,
    )


def _substitutes(
    ledger: Ledger, wanted: NeededThread, length_mm: int, rules: Rules
) -> list[Substitute]:
    """Free threads of known colour that hold ``length_mm`` by the rules, nearest first."""
    numbers = [
        row["thread"]
        for row in ledger.rows(
            "SELECT DISTINCT b.thread FROM balances b JOIN threads t ON t.id = b.thread"
            " WHERE b.owned > b.promised AND t.hex IS NOT NULL AND t.id <> ?",
            (wanted.id,),
        )
    ]
    threads = [(t, t.rgb) for t in load_threads(ledger, numbers).values() if t.rgb]
    free = load_free(ledger, numbers)
    if not threads or wanted.rgb is None:
        return []
    differences = ciede2000(srgb_to_lab(wanted.rgb), srgb_to_lab([rgb for _, rgb in threads]))
    found: list[Substitute] = []
    by_difference = sorted(
        zip(differences.tolist(), threads, strict=True), key=lambda pair: (pair[0], pair[1][0].id)
    )
    for delta_e, (thread, rgb) in by_difference:
        if delta_e > FARTHEST:
            break
        supply = free[thread.id]
        if not take(length_mm, thread.putup_mm, EMPTY, supply, rules).lack:
            skeins = supply.length_mm(thread.putup_mm) / thread.putup_mm
            found.append(
                Substitute(
                    thread.line, thread.code, thread.name, rgb, delta_e, grade(delta_e), skeins
                )
            )
        if len(found) == SUBSTITUTES_SHOWN:
            break
    return found
