"""Reading what some projects need of thread, beside what is free, held and promised elsewhere.

A handful of queries over indexes, whatever the number of threads; none reads the entries.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from chartscan.stash.allotment import EMPTY, PartSkein, Shelf, Supply
from chartscan.stash.ledger import Ledger
from chartscan.stash.threads import rgb_of
from chartscan.stash.usual import DEFAULT_PUTUP_MM, DEFAULT_STRANDS, Rgb


@dataclass(frozen=True)
class NeededThread:
    """A thread that some project needs: what is known of it.

    Attributes:
        id: its number in the ledger.
        line: the maker's line, or "".
        code: the number it is asked for by.
        name: its colour name, or "".
        rgb: its colour; None where not known.
        putup_mm: length of one skein in mm.
        strands: strands it divides into.
        price: of one skein in hundredths; None where not known.
        discontinued: it can't be bought any more.
    """

    id: int
    line: str
    code: str
    name: str
    rgb: Rgb | None
    putup_mm: int
    strands: int
    price: int | None
    discontinued: bool

    @property
    def label(self) -> str:
        """Line and code, as one asks for it."""
        return f"{self.line} {self.code}".strip()


@dataclass(frozen=True)
class ProjectThread:
    """What one project needs of one thread.

    Attributes:
        project: the project's number.
        thread: the thread's number.
        length_mm: length of put-up to have.
        likely_mm: likely single-strand length.
        plain_mm: the same without the stitcher's own factor.
        strands: strands in the needle, each number once.
        called: codes that the chart calls for and that this thread stands in for.
        delta_e: by how much it is off the chart's colours, ΔE00, at worst; None where not known.
    """

    project: int
    thread: int
    length_mm: int
    likely_mm: int
    plain_mm: float
    strands: tuple[int, ...]
    called: tuple[str, ...]
    delta_e: float | None = None


@dataclass(frozen=True)
class Demands:
    """The thread side of some projects.

    Attributes:
        needs: one per project and thread, by line and code.
        threads: thread number → what is known of it.
        free: thread number → what is promised to nobody.
        held: (project number, thread number) → what the project has set apart, of every project
            that holds any of these threads.
        names: project number → name, of the projects in ``held`` and ``needs``.
    """

    needs: tuple[ProjectThread, ...]
    threads: Mapping[int, NeededThread]
    free: Mapping[int, Supply]
    held: Mapping[tuple[int, int], Supply]
    names: Mapping[int, str]

    def free_of(self, thread: int) -> Supply:
        """What is free of a thread."""
        return self.free.get(thread, EMPTY)

    def held_by(self, project: int, thread: int) -> Supply:
        """What a project has set apart of a thread."""
        return self.held.get((project, thread), EMPTY)


def load_demands(ledger: Ledger, projects: Sequence[int]) -> Demands:
    """What ``projects`` (numbers) need of thread, and where those threads are now."""
    wanted = json.dumps(list(projects))
    needs = _needs(ledger, wanted)
    threads = sorted({need.thread for need in needs})
    held, names = load_held(ledger, threads)
    names |= {
        row["id"]: row["name"]
        for row in ledger.rows(
            "SELECT id, name FROM projects WHERE id IN (SELECT value FROM json_each(?))", (wanted,)
        )
    }
    return Demands(needs, load_threads(ledger, threads), load_free(ledger, threads), held, names)


def _needs(ledger: Ledger, wanted: str) -> tuple[ProjectThread, ...]:
    rows = ledger.rows(
        "SELECT n.project, n.thread, sum(n.putup_length_mm) AS length, sum(n.likely_mm) AS likely,"
        " sum(n.likely_mm / n.factor) AS plain,"
        " group_concat(n.strands) AS strands, max(n.delta_e) AS delta_e,"
        " group_concat(DISTINCT CASE WHEN n.called <> n.thread THEN c.code END) AS called"
        " FROM thread_needs n JOIN threads t ON t.id = n.thread JOIN threads c ON c.id = n.called"
        " WHERE n.project IN (SELECT value FROM json_each(?))"
        " GROUP BY n.project, n.thread ORDER BY t.line, t.code, n.project",
        (wanted,),
    )
    return tuple(
        ProjectThread(
            project=row["project"],
            thread=row["thread"],
            length_mm=row["length"],
            likely_mm=row["likely"],
            plain_mm=row["plain"],
            strands=tuple(sorted({int(n) for n in row["strands"].split(",")})),
            called=tuple(row["called"].split(",")) if row["called"] else (),
            delta_e=row["delta_e"],
        )
        for row in rows
    )


def load_threads(ledger: Ledger, threads: Sequence[int]) -> dict[int, NeededThread]:
    """What is known of some threads, by their numbers."""
    rows = ledger.rows(
        "SELECT * FROM threads WHERE id IN (SELECT value FROM json_each(?))",
        (json.dumps(threads),),
    )
    return {
        row["id"]: NeededThread(
            id=row["id"],
            line=row["line"],
            code=row["code"],
            name=row["name"],
            rgb=rgb_of(row["hex"]),
            putup_mm=row["putup_mm"] or DEFAULT_PUTUP_MM,
            strands=row["strands"] or DEFAULT_STRANDS,
            price=row["price"],
            discontinued=bool(row["discontinued"]),
        )
        for row in rows
    }


def load_free(ledger: Ledger, threads: Sequence[int]) -> dict[int, Supply]:
    """What is promised to nobody of some threads, by their numbers; none where nothing is."""
    rows = ledger.rows(
        "SELECT s.thread, s.id, s.kind, s.dye_lot, b.owned - b.promised AS amount"
        " FROM balances b JOIN stock s ON s.id = b.stock"
        " WHERE b.thread IN (SELECT value FROM json_each(?)) AND b.owned > b.promised",
        (json.dumps(threads),),
    )
    shelves: dict[int, list[Shelf]] = defaultdict(list)
    parts: dict[int, list[PartSkein]] = defaultdict(list)
    for thread, stock, kind, dye_lot, amount in rows:
        if kind == "skein":
            shelves[thread].append(Shelf(stock, dye_lot, amount))
        else:
            parts[thread].append(PartSkein(stock, dye_lot, amount))
    return {
        thread: Supply(tuple(shelves[thread]), tuple(parts[thread]))
        for thread in shelves.keys() | parts.keys()
    }


def load_held(
    ledger: Ledger, threads: Sequence[int]
) -> tuple[dict[tuple[int, int], Supply], dict[int, str]]:
    """Who holds some of those threads: (project, thread) → what, and project → name."""
    rows = ledger.rows(
        "SELECT h.project, p.name, s.thread, s.id, s.kind, s.dye_lot, h.amount"
        " FROM balances b JOIN holdings h ON h.stock = b.stock JOIN stock s ON s.id = b.stock"
        " JOIN projects p ON p.id = h.project"
        " WHERE b.thread IN (SELECT value FROM json_each(?)) AND b.promised > 0",
        (json.dumps(threads),),
    )
    shelves: dict[tuple[int, int], list[Shelf]] = defaultdict(list)
    parts: dict[tuple[int, int], list[PartSkein]] = defaultdict(list)
    names: dict[int, str] = {}
    for project, name, thread, stock, kind, dye_lot, amount in rows:
        names[project] = name
        if kind == "skein":
            shelves[project, thread].append(Shelf(stock, dye_lot, amount))
        else:
            parts[project, thread].append(PartSkein(stock, dye_lot, amount))
    held = {
        key: Supply(tuple(shelves[key]), tuple(parts[key])) for key in shelves.keys() | parts.keys()
    }
    return held, names
