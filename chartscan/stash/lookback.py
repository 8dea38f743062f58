"""Looking back: what was booked and changed, and what there was at some time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from chartscan.stash.changes import tells, words_of
from chartscan.stash.ledger import Ledger, stamp


@dataclass(frozen=True)
class HistoryEntry:
    """One line of the history.

    Attributes:
        number: "12.1": the act and the place of the entry in it; "12" for what became of a project.
        time: UTC, ISO 8601.
        act: what was done.
        kind: what happened to the thing; "changed" where what is known of it did, "moved" where a
            project did.
        thing: the thing in words; of a change what it was.
        owned: change of what is owned, in ``unit``.
        promised: change of what is promised, in ``unit``.
        unit: skeins, m, pieces, copies or the notion's own.
        project: for whom, or "".
        note: as the stitcher typed it.
        reversed_by: the act that took it back, or None.
    """

    number: str
    time: str
    act: str
    kind: str
    thing: str
    owned: float
    promised: float
    unit: str
    project: str
    note: str
    reversed_by: int | None


NAMED_STOCK = """
SELECT s.id AS stock, s.kind AS kind,
    CASE s.kind
        WHEN 'piece' THEN 'fabric ' || p.label
        WHEN 'notion' THEN n.name
        WHEN 'chart' THEN 'chart ' || c.title
        ELSE trim(t.line || ' ' || t.code)
            || CASE s.dye_lot WHEN '' THEN '' ELSE ' lot ' || s.dye_lot END
    END AS thing,
    CASE s.kind WHEN 'skein' THEN 'skeins' WHEN 'part' THEN 'm' WHEN 'piece' THEN 'pieces'
        WHEN 'chart' THEN 'copies' ELSE n.unit END AS unit,
    CASE s.kind WHEN 'part' THEN 1000.0 WHEN 'notion' THEN 1000.0 ELSE 1.0 END AS scale
FROM stock s
LEFT JOIN threads t ON t.id = s.thread
LEFT JOIN pieces p ON p.stock = s.id
LEFT JOIN notions n ON n.stock = s.id
LEFT JOIN charts c ON c.stock = s.id
"""


def history(
    ledger: Ledger, *, project: int | None = None, thread: int | None = None, last: int = 50
) -> list[HistoryEntry]:
    """The last entries and changes, oldest first; of one project or one thread where told.

    ``last`` is how many at most; -1 for all of them.
    """
    where, parameters = "1", list[int]()
    if project is not None:
        where, parameters = "a.project = ?", [project]
    entries = _entries(ledger, where, parameters, thread, last)
    changes = _changes(ledger, where, parameters, thread, last)
    moves = _moves(ledger, where, parameters, last) if thread is None else []
    both = sorted([*moves, *entries, *changes], key=lambda line: line[0])
    return [line for _, line in (both[-last:] if last > 0 else both)]


def act_lines(ledger: Ledger, act: int) -> list[HistoryEntry]:
    """Every line of one act."""
    lines = [
        *_moves(ledger, "a.id = ?", [act], -1),
        *_entries(ledger, "a.id = ?", [act], None, -1),
        *_changes(ledger, "a.id = ?", [act], None, -1),
    ]
    return [line for _, line in sorted(lines, key=lambda line: line[0])]


Line = tuple[tuple[int, int, int], HistoryEntry]


def _moves(ledger: Ledger, where: str, parameters: list[int], last: int) -> list[Line]:
    """What became of projects; the number is that of the whole act, which goes only together."""
    rows = ledger.rows(
        "SELECT a.*, p.name AS project_name, (SELECT r.id FROM acts r WHERE r.reverses = a.id)"
        " AS reversed_by FROM acts a JOIN projects p ON p.id = a.project"
        f" WHERE {where} AND (a.to_state IS NOT NULL OR a.name = 'planned')"
        " ORDER BY a.id DESC LIMIT ?",
        [*parameters, last],
    )
    return [
        (
            (row["id"], -1, 0),
            HistoryEntry(
                number=str(row["id"]),
                time=row["time"],
                act=row["name"],
                kind="moved",
                thing=f"project {row['project_name']}: "
                + (f"{row['from_state']} → {row['to_state']}" if row["to_state"] else "begun"),
                owned=0.0,
                promised=0.0,
                unit="",
                project=row["project_name"],
                note=row["note"],
                reversed_by=row["reversed_by"],
            ),
        )
        for row in rows
    ]


def _entries(
    ledger: Ledger, where: str, parameters: list[int], thread: int | None, last: int
) -> list[Line]:
    if thread is not None:
        where += " AND e.stock IN (SELECT id FROM stock WHERE thread = ?)"
        parameters = [*parameters, thread]
    rows = ledger.rows(
        f"WITH shown AS (SELECT e.* FROM entries e JOIN acts a ON a.id = e.act WHERE {where}"
        f" ORDER BY e.id DESC LIMIT ?), named AS ({NAMED_STOCK}),"
        " numbered AS (SELECT id, row_number() OVER (PARTITION BY act ORDER BY id) AS line"
        "  FROM entries WHERE act IN (SELECT act FROM shown))"
        " SELECT e.act AS place, e.id, e.act || '.' || n.line AS number,"
        " a.time, a.name AS act, e.kind, s.thing, e.owned / s.scale AS owned,"
        " e.promised / s.scale AS promised, s.unit, coalesce(p.name, '') AS project, a.note,"
        " (SELECT r.act FROM entries r WHERE r.reverses = e.id) AS reversed_by"
        " FROM shown e JOIN numbered n ON n.id = e.id JOIN acts a ON a.id = e.act"
        " JOIN named s ON s.stock = e.stock"
        " LEFT JOIN projects p ON p.id = a.project ORDER BY e.id",
        [*parameters, last],
    )
    return [((act, 0, number), HistoryEntry(*values)) for act, number, *values in rows]


def _changes(
    ledger: Ledger, where: str, parameters: list[int], thread: int | None, last: int
) -> list[Line]:
    if thread is not None:
        where += " AND c.place = 'threads' AND c.row = 'id=' || ? || char(31)"
        parameters = [*parameters, thread]
    rows = ledger.rows(
        "WITH shown AS (SELECT c.* FROM changes c JOIN acts a ON a.id = c.act"
        f"  WHERE {where} ORDER BY c.id DESC LIMIT ?),"
        " before AS (SELECT act, (SELECT count(*) FROM entries e WHERE e.act = s.act) AS lines"
        "  FROM shown s GROUP BY act),"
        " numbered AS (SELECT id, row_number() OVER (PARTITION BY act ORDER BY id) AS line"
        "  FROM changes WHERE act IN (SELECT act FROM shown))"
        " SELECT c.*, c.act || '.' || (b.lines + n.line) AS number,"
        " a.time, a.name, coalesce(p.name, '') AS project, a.note,"
        " (SELECT r.id FROM acts r WHERE r.reverses = a.id) AS reversed_by"
        " FROM shown c JOIN numbered n ON n.id = c.id JOIN before b ON b.act = c.act"
        " JOIN acts a ON a.id = c.act LEFT JOIN projects p ON p.id = a.project"
        " ORDER BY c.id",
        [*parameters, last],
    )
    return [
        (
            (row["act"], 1, row["id"]),
            HistoryEntry(
                number=row["number"],
                time=row["time"],
                act=row["name"],
                kind="changed",
                thing=words_of(ledger, row),
                owned=0.0,
                promised=0.0,
                unit="",
                project=row["project"],
                note=row["note"],
                reversed_by=row["reversed_by"],
            ),
        )
        for row in rows
        if tells(row)
    ]


@dataclass(frozen=True)
class Standing:
    """What there was of one thing at some time, in its unit."""

    kind: str
    thing: str
    owned: float
    promised: float
    unit: str


def as_of(ledger: Ledger, moment: datetime) -> list[Standing]:
    """What was owned and promised at ``moment``: the sum of the entries up to it.

    Acts count in the order in which they were booked, whatever the clock said: up to the last one
    that it puts at or before the moment. A clock that was set back can't tear an act from those
    that it built on.
    """
    rows = ledger.rows(
        "WITH sums AS (SELECT e.stock, sum(e.owned) AS owned, sum(e.promised) AS promised"
        " FROM entries e WHERE e.act <= (SELECT max(id) FROM acts WHERE time <= ?) GROUP BY e.stock"
        f" HAVING sum(e.owned) <> 0), named AS ({NAMED_STOCK})"
        " SELECT s.kind, s.thing, sums.owned / s.scale AS owned,"
        " sums.promised / s.scale AS promised, s.unit"
        " FROM sums JOIN named s ON s.stock = sums.stock ORDER BY s.kind, s.thing",
        (stamp(moment),),
    )
    return [Standing(**dict(row)) for row in rows]
