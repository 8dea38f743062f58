"""Projects: what is to be made, of what, where its bag lies, and the states of its life."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, fields
from datetime import date
from typing import Any

from chartscan.cloth import COARSEST, FINEST, MOST_MARGIN_MM
from chartscan.errors import StashError
from chartscan.plaintext import plain
from chartscan.remedies import Remedy
from chartscan.stash.charts import find_chart
from chartscan.stash.entries import acting, joining
from chartscan.stash.ledger import Ledger

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
        if len(self.name.splitlines()) > 1:
            raise StashError("a project's name stands on one line")
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
    with planning(ledger, project, charts) as made:
        pass
    return made


@contextmanager
def planning(ledger: Ledger, project: Project, charts: Sequence[str] = ()) -> Iterator[Project]:
    """Begin a project; what is told of it in the block belongs to the same act.

    A project of that name that is over makes way: the day when it ended is added to its name.
    """
    with ledger.atomic():
        _make_way(ledger, plain(project.name))
        number = insert_project(ledger, project)
        with acting(ledger, "planned", project=number):
            set_charts(ledger, number, charts)
            yield project_by_number(ledger, number)


def insert_project(ledger: Ledger, project: Project) -> int:
    """The number of a project that is new, planned and without charts or needs."""
    row = {name: getattr(project, name) for name in COLUMNS}
    return ledger.insert(
        "projects", {n: plain(v) if isinstance(v, str) else v for n, v in row.items()}
    )


def _make_way(ledger: Ledger, name: str) -> None:
    """Let go of a name that a project has which is over; refuse it where one goes on."""
    there = _named(ledger, name)
    if there is None:
        return
    if there["state"] in OPEN_STATES:
        raise StashError(f"there is a project {there['name']!r} already; choose another name")
    day = ledger.value(
        "SELECT substr(max(time), 1, 10) FROM acts WHERE project = ? AND to_state IS NOT NULL",
        (there["id"],),
    )
    aside = f"{there['name']} ({there['state']} {day})"
    while _named(ledger, aside):
        aside += " again"
    with acting(ledger, "renamed"):
        ledger.execute("UPDATE projects SET name = ? WHERE id = ?", (aside, there["id"]))


def _named(ledger: Ledger, name: str) -> sqlite3.Row | None:
    """The project of that name as people compare names; the one that is written so comes first."""
    return ledger.row(
        "SELECT * FROM projects WHERE name = :name OR text_key(name) = text_key(:name)"
        " ORDER BY name <> :name, state IN ('finished', 'given up'), id DESC",
        {"name": plain(name)},
    )


def set_charts(ledger: Ledger, project: int, titles: Sequence[str]) -> None:
    """Give a project the charts of those titles, in the order of its parts."""
    before = [row["title"] for row in charts_of(ledger, project)]
    if list(titles) == before:
        return
    with joining(ledger, "charts", project):
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
                " it is planned",
                Remedy.RELEASE,
                Remedy.UNDO_PROJECT,
                name=project.name,
            )
        with joining(ledger, "changed", project.id):
            for key, value in changes.items():
                if key not in COLUMNS:
                    raise ValueError(f"a project has no {key}")
                if key == "name":
                    _refuse_name(ledger, project, str(value))
                kept = plain(value) if isinstance(value, str) else value
                ledger.execute(f"UPDATE projects SET {key} = ? WHERE id = ?", (kept, project.id))
        return project_by_number(ledger, project.id)


def _refuse_name(ledger: Ledger, project: Project, name: str) -> None:
    there = _named(ledger, name)
    if there is not None and there["id"] != project.id:
        raise StashError(f"there is a project {there['name']!r} already; choose another name")


def find_project(ledger: Ledger, name: str) -> Project:
    """The project of that name, whatever its capitals; StashError where there is none."""
    row = ledger.row("SELECT * FROM projects WHERE name = ?", (name,)) or _named(ledger, name)
    if row is None:
        raise StashError(f"no project {name!r}", Remedy.SEE_PROJECTS)
    return project_of(row)


def project_by_number(ledger: Ledger, number: int) -> Project:
    """The project of that number, which is there."""
    row = ledger.row("SELECT * FROM projects WHERE id = ?", (number,))
    assert row is not None  # the caller has its number from the ledger
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


def fabric_words(project: Project) -> str:
    """The fabric that a project is worked on, in words; "" where none is chosen."""
    if project.fabric_count is None:
        return ""
    count = f"{project.fabric_count:g}"
    if project.fabric_count_down:
        count += f" × {project.fabric_count_down:g}"
    words = [f"{count} count", project.fabric_colour, f"over {project.fabric_over}"]
    return " ".join(word for word in words if word)


def wrong_state(project: Project, what: str) -> StashError:
    """The error for a move that a project's state doesn't allow."""
    ways = {
        PLANNED: (Remedy.KIT_FIRST,),
        KITTED: (Remedy.START_FIRST, Remedy.RELEASE),
        IN_WORK: (Remedy.FINISH_FIRST,),
        FINISHED: (Remedy.UNDO_PROJECT,),
        GIVEN_UP: (Remedy.UNDO_PROJECT,),
    }
    return StashError(
        f"{project.name} is {project.state} and can't be {what}",
        *ways[project.state],
        name=project.name,
    )
