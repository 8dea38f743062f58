"""Projects: what is to be made, of what, where its bag lies, and the states of its life."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import date
from typing import Any

from chartscan.errors import StashError
from chartscan.stash.charts import find_chart
from chartscan.stash.ledger import Ledger
from chartscan.yardage.fabric import COARSEST, FINEST
from chartscan.yardage.settings import MOST_MARGIN_MM

PLANNED, KITTED, IN_WORK = "planned", "kitted", "in work"
FINISHED, GIVEN_UP = "finished", "given up"
STATES = (PLANNED, KITTED, IN_WORK, FINISHED, GIVEN_UP)
OPEN_STATES = (PLANNED, KITTED, IN_WORK)
MOST_COPIES = 10_000  # a slip of the finger shouldn't fill the list


@dataclass(frozen=True)
class Project:
    """A project's own data.

    Attributes:
        name: unique in the stash.
        copies: how many times it is worked.
        fabric_count: fabric threads per inch across; None where no fabric is chosen yet.
        fabric_count_down: threads per inch down; None where it is the same.
        fabric_over: fabric threads crossed by one stitch.
        fabric_colour: the colour's name; "" where any will do.
        fabric_hex: "#rrggbb" of the fabric, or None.
        margin_mm: margin to cut on each side; None for the estimate's own default.
        strands: strands in the needle; None for the estimate's own default.
        palette: path of the thread range that the chart is matched to.
        key_file: path of the key that names threads for classes, or "".
        place: which bag or box.
        wished_start: ISO date, or "".
        deadline: ISO date, or "".
        note: free text.
        state: planned, kitted, in work, finished or given up.
        id: its number in the ledger; 0 for a new one.
    """

    name: str
    copies: int = 1
    fabric_count: float | None = None
    fabric_count_down: float | None = None
    fabric_over: int = 1
    fabric_colour: str = ""
    fabric_hex: str | None = None
    margin_mm: int | None = None
    strands: int | None = None
    palette: str = ""
    key_file: str = ""
    place: str = ""
    wished_start: str = ""
    deadline: str = ""
    note: str = ""
    state: str = PLANNED
    id: int = 0

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise StashError("a project has a name")
        if not 1 <= self.copies <= MOST_COPIES:
            raise StashError(f"{self.copies} copies: give 1 to {MOST_COPIES}")
        if self.fabric_count is not None and not COARSEST <= self.fabric_count <= FINEST:
            raise StashError(
                f"a fabric count of {self.fabric_count:g} makes no cloth; give 14, say"
            )
        if self.margin_mm is not None and not 0 <= self.margin_mm <= MOST_MARGIN_MM:
            raise StashError(f"a margin of {self.margin_mm} mm makes no sense; give 75, say")
        for day in (self.wished_start, self.deadline):
            _check_day(day)


COLUMNS = tuple(f.name for f in fields(Project) if f.name not in ("state", "id"))
# What the needs are computed from: these change only while nothing is set apart for the project.
COMPUTED_FROM = frozenset(
    {
        "copies",
        "fabric_count",
        "fabric_count_down",
        "fabric_over",
        "fabric_colour",
        "margin_mm",
        "strands",
        "palette",
        "key_file",
    }
)


def _check_day(text: str) -> None:
    try:
        if text:
            date.fromisoformat(text)
    except ValueError:
        raise StashError(f"{text!r} isn't a date like 2026-12-24") from None


def new_project(ledger: Ledger, project: Project, charts: Sequence[str] = ()) -> Project:
    """Begin a project with the charts of those titles, in the order of its parts.

    Raises:
        StashError: the name is taken, or a chart isn't in the stash.
    """
    with ledger.atomic():
        if _known(ledger, project.name):
            raise StashError(f"there is a project {project.name!r} already; choose another name")
        number = ledger.execute(
            f"INSERT INTO projects ({', '.join(COLUMNS)}) VALUES ({', '.join('?' * len(COLUMNS))})",
            tuple(getattr(project, name) for name in COLUMNS),
        )
        set_charts(ledger, number, charts)
    return find_project(ledger, project.name)


def _known(ledger: Ledger, name: str) -> bool:
    return bool(ledger.value("SELECT 1 FROM projects WHERE name = ?", (name,)))


def set_charts(ledger: Ledger, project: int, titles: Sequence[str]) -> None:
    """Give a project the charts of those titles, in the order of its parts."""
    with ledger.atomic():
        ledger.execute("DELETE FROM project_charts WHERE project = ?", (project,))
        for part, title in enumerate(titles, start=1):
            chart = find_chart(ledger, title)["stock"]
            ledger.execute("INSERT INTO project_charts VALUES (?, ?, ?)", (project, part, chart))


def change_project(ledger: Ledger, name: str, changes: Mapping[str, str | float | None]) -> Project:
    """Change some of a project's data; those that its needs follow from only while planned.

    Raises:
        StashError: no such project, or its things are set apart already.
    """
    with ledger.atomic():
        project = find_project(ledger, name)
        if project.state != PLANNED and COMPUTED_FROM & changes.keys():
            raise StashError(
                f"{name} is {project.state}; chart, fabric, copies and threads change only while"
                f" it is planned (`chartscan project release '{name}'` or `undo`)"
            )
        for key, value in changes.items():
            if key not in COLUMNS:
                raise ValueError(f"a project has no {key}")
            if key == "name" and value != name and _known(ledger, str(value)):
                raise StashError(f"there is a project {value!r} already; choose another name")
            ledger.execute(f"UPDATE projects SET {key} = ? WHERE id = ?", (value, project.id))
        return find_project(ledger, str(changes.get("name", name)))


def find_project(ledger: Ledger, name: str) -> Project:
    """The project of that name; StashError where there is none."""
    row = ledger.row("SELECT * FROM projects WHERE name = ?", (name,))
    if row is None:
        raise StashError(f"no project {name!r}; `chartscan project list` shows all")
    return project_of(row)


def list_projects(ledger: Ledger, states: Sequence[str] = STATES) -> list[Project]:
    """The projects in some states, those with the nearest deadline first."""
    return [
        project_of(row)
        for row in ledger.rows(
            f"SELECT * FROM projects WHERE state IN ({', '.join('?' * len(states))})"
            " ORDER BY deadline = '', deadline, wished_start = '', wished_start, name",
            tuple(states),
        )
    ]


def project_of(row: sqlite3.Row) -> Project:
    """The project that a row of the table says."""
    values: dict[str, Any] = {name: row[name] for name in (*COLUMNS, "state", "id")}
    return Project(**values)


def charts_of(ledger: Ledger, project: int) -> list[sqlite3.Row]:
    """The charts of a project in the order of its parts."""
    return ledger.rows(
        "SELECT c.*, pc.part FROM project_charts pc JOIN charts c ON c.stock = pc.chart"
        " WHERE pc.project = ? ORDER BY pc.part",
        (project,),
    )


def wrong_state(project: Project, what: str) -> StashError:
    """The error for a move that a project's state doesn't allow."""
    ways = {
        PLANNED: "kit it first",
        KITTED: "start or release it first",
        IN_WORK: "finish it or give it up",
        FINISHED: "`chartscan project undo` takes the finish back",
        GIVEN_UP: "`chartscan project undo` takes that back",
    }
    return StashError(
        f"{project.name} is {project.state} and can't be {what}; {ways[project.state]}"
    )
