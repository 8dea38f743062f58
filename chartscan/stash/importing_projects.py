"""Projects, their needs and what is set apart for them, read back from CSV."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from chartscan.colour.srgb import format_hex, parse_hex
from chartscan.csvtable import Row
from chartscan.errors import StashError
from chartscan.stash.cells import whole, whole_or_none
from chartscan.stash.charts import find_chart
from chartscan.stash.entries import acting
from chartscan.stash.ledger import Ledger
from chartscan.stash.notions import SCALE, NotionInfo, know_notion
from chartscan.stash.projects import COLUMNS, PLANNED, STATES, Project, find_project, insert_project
from chartscan.stash.threads import find_thread


@dataclass(frozen=True)
class ProjectTable:
    """How one table about projects is read and booked."""

    required: tuple[str, ...]
    parse: Callable[[Row], Any]
    book: Callable[[Ledger, Sequence[Any]], None]


def _project(row: Row) -> Project:
    values: dict[str, Any] = {name: row.text(name) for name in COLUMNS if row.text(name)}
    for name in values.keys() & {"copies", "fabric_over", "margin_mm", "strands"}:
        values[name] = whole(row, name)
    for name in values.keys() & {"fabric_count", "fabric_count_down"}:
        values[name] = row.number(name)
    state = row.text("state", PLANNED)
    if state not in STATES:
        raise ValueError(f"state {state!r} is none of {', '.join(STATES)}")
    row.need("name")
    try:
        return Project(**values, state=state)
    except StashError as error:
        raise ValueError(str(error)) from error


def _book_projects(ledger: Ledger, projects: Sequence[Project]) -> None:
    for project in projects:
        number = insert_project(ledger, project)
        if project.state != PLANNED:
            move = (PLANNED, project.state)
            with acting(ledger, "imported", project=number, move=move):
                pass


def _texts(*names: str) -> Callable[[Row], dict[str, str]]:
    """A parser that takes some columns as text; the project's name is required."""

    def parse(row: Row) -> dict[str, str]:
        row.need("project")
        return {name: row.text(name) for name in names}

    return parse


def _project_chart(row: Row) -> tuple[str, int, str]:
    return row.need("project"), whole(row, "part", default=1), row.need("title")


def _book_charts(ledger: Ledger, rows: Sequence[tuple[str, int, str]]) -> None:
    for project, part, title in rows:
        ledger.execute(
            "INSERT INTO project_charts VALUES (?, ?, ?)",
            (find_project(ledger, project).id, part, find_chart(ledger, title)["stock"]),
        )


def _book_choices(ledger: Ledger, rows: Sequence[Mapping[str, str]]) -> None:
    for row in rows:
        ledger.execute(
            "INSERT INTO choices VALUES (?, ?, ?, ?)",
            (
                find_project(ledger, row["project"]).id,
                find_thread(ledger, row["called_code"], row["called_line"])["id"],
                find_thread(ledger, row["code"], row["line"])["id"],
                row["reason"],
            ),
        )


def _chosen(row: Row) -> dict[str, Any]:
    names = ("project", "kind", "hex", "symbol", "line", "code", "second_line", "second_code")
    values: dict[str, Any] = {name: row.text(name) for name in names}
    if values["hex"]:
        parse_hex(values["hex"])
    if values["kind"] not in KINDS:
        raise ValueError(f"kind {values['kind']!r} is none of {', '.join(KINDS)}")
    cells = {name: whole_or_none(row, name) for name in ("row", "column")}
    numbers = {name: whole(row, name, default=default) for name, default in CHOSEN_NUMBERS}
    return values | cells | numbers


KINDS = ("stitch", "line", "knot")
CHOSEN_NUMBERS = (("part", 1), ("keyed", 0))


def _book_chosen(ledger: Ledger, rows: Sequence[Mapping[str, Any]]) -> None:
    for place, row in enumerate(rows, start=1):
        second = row["second_code"]
        ledger.execute(
            "INSERT INTO class_threads VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            (
                find_project(ledger, row["project"]).id, row["part"], place, row["kind"],
                row["hex"] or None, row["symbol"] or None, row["row"], row["column"],
                find_thread(ledger, row["code"], row["line"])["id"],
                find_thread(ledger, second, row["second_line"])["id"] if second else None,
                int(bool(row["keyed"])),
            ),
        )  # fmt: skip


NEED_NUMBERS = ("low_mm", "likely_mm", "high_mm", "skeins", "putup_length_mm", "stitches")


def _thread_need(row: Row) -> dict[str, Any]:
    values: dict[str, Any] = {name: whole(row, name, default=0.0) for name in NEED_NUMBERS}
    values["class"] = whole_or_none(row, "class")
    values["factor"] = row.number("factor", 1.0)
    if not values["factor"] > 0:
        raise ValueError("factor must be over 0")
    if not all(part.isdecimal() for part in row.need("strands").split(",")):
        raise ValueError(f"strands {row.text('strands')!r} isn't like 2 or 1,2")
    values["wanted"] = ",".join(
        format_hex(parse_hex(w)) for w in row.text("wanted").split(",") if w
    )
    values["delta_e"] = row.number("delta_e") if row.text("delta_e") else None
    if (values["delta_e"] or 0) < 0:
        raise ValueError("delta_e must be 0 or over")
    for name in ("project", "source", "code", "called_code", "strands"):
        values[name] = row.need(name)
    if values["source"] not in ("chart", "hand"):
        raise ValueError("source is neither chart nor hand")
    return values | {name: row.text(name) for name in ("line", "called_line", "note")}


def _book_thread_needs(ledger: Ledger, rows: Sequence[Mapping[str, Any]]) -> None:
    columns = (*NEED_NUMBERS, "factor", "source", "strands", "note", "wanted", "delta_e")
    for row in rows:
        ledger.execute(
            f"INSERT INTO thread_needs (project, thread, called, class_index, {', '.join(columns)})"
            f" VALUES (?, ?, ?, ?, {', '.join('?' * len(columns))})",
            (
                find_project(ledger, row["project"]).id,
                find_thread(ledger, row["code"], row["line"])["id"],
                find_thread(ledger, row["called_code"], row["called_line"])["id"],
                row["class"],
                *(row[name] for name in columns),
            ),
        )


def _fabric_need(row: Row) -> tuple[Any, ...]:
    sizes = [whole(row, f"{side}_cm", 10) for side in ("width", "height")]
    pieces = whole(row, "pieces")
    if min(*sizes, pieces) <= 0 or row.number("count") <= 0:
        raise ValueError("count, sizes and pieces must be over 0")
    source = row.text("source", "hand")
    if source not in ("chart", "hand"):
        raise ValueError("source is neither chart nor hand")
    return row.need("project"), source, row.number("count"), row.text("name"), *sizes, pieces


def _book_fabric_needs(ledger: Ledger, rows: Sequence[tuple[Any, ...]]) -> None:
    for project, *values in rows:
        ledger.execute(
            "INSERT INTO fabric_needs (project, source, count, colour, width_mm, height_mm, pieces)"
            " VALUES (?, ?, ?, ?, ?, ?, ?)",
            (find_project(ledger, project).id, *values),
        )


def _notion_need(row: Row) -> tuple[str, NotionInfo, int, str]:
    amount = whole(row, "amount", SCALE)
    if amount <= 0:
        raise ValueError("amount must be over 0")
    info = NotionInfo(row.need("name"), row.text("unit"))
    return row.need("project"), info, amount, row.text("note")


def _book_notion_needs(ledger: Ledger, rows: Sequence[tuple[str, NotionInfo, int, str]]) -> None:
    for project, info, amount, note in rows:
        ledger.execute(
            "INSERT INTO notion_needs (project, notion, amount, note) VALUES (?, ?, ?, ?)",
            (find_project(ledger, project).id, know_notion(ledger, info), amount, note),
        )


# ---------------------------------------------------------------------------- promises


def _promise(row: Row) -> dict[str, Any]:
    scale = {"part": 1000, "notion": SCALE}.get(row.need("kind"), 1)
    names = ("project", "kind", "line", "code", "dye_lot", "label", "name", "unit", "title")
    values: dict[str, Any] = {name: row.text(name) for name in names}
    values["amount"] = whole(row, "amount", scale)
    values["metres_left"] = whole(row, "metres_left", 1000, 0.0)
    if values["amount"] <= 0:
        raise ValueError("amount must be over 0")
    return values


FINDERS: Mapping[str, str] = {
    "skein": "SELECT s.id FROM stock s JOIN threads t ON t.id = s.thread WHERE s.kind = 'skein'"
    " AND t.line = :line AND t.code = :code AND s.dye_lot = :dye_lot",
    "part": "SELECT s.id FROM stock s JOIN threads t ON t.id = s.thread"
    " JOIN balances b ON b.stock = s.id WHERE s.kind = 'part' AND t.line = :line"
    " AND t.code = :code AND s.dye_lot = :dye_lot AND b.owned = :metres_left"
    " AND b.promised = 0 ORDER BY s.id LIMIT 1",
    "piece": "SELECT stock FROM pieces WHERE label = :label",
    "notion": "SELECT stock FROM notions WHERE name = :name AND unit = :unit",
    "chart": "SELECT stock FROM charts WHERE title = :title",
}


def _book_promises(ledger: Ledger, rows: Sequence[Mapping[str, Any]]) -> None:
    by_project: dict[str, list[Mapping[str, Any]]] = defaultdict(list)
    for row in rows:
        by_project[row["project"]].append(row)
    for name, promises in by_project.items():
        project = find_project(ledger, name)
        with acting(ledger, "imported", project=project.id) as act:
            for row in promises:
                found: sqlite3.Row | None = None
                if row["kind"] in FINDERS:
                    found = ledger.row(FINDERS[row["kind"]], dict(row))
                if found is None:
                    thing = row["code"] or row["label"] or row["name"] or row["title"]
                    raise StashError(f"{thing}, promised to {name}, isn't in the stash")
                act.put(found[0], "promised", promised=row["amount"])


PROJECT_TABLES: Mapping[str, ProjectTable] = {
    "projects": ProjectTable(("name",), _project, _book_projects),
    "project-charts": ProjectTable(("project", "title"), _project_chart, _book_charts),
    "choices": ProjectTable(
        ("project", "called_code", "code"),
        _texts("project", "called_line", "called_code", "line", "code", "reason"),
        _book_choices,
    ),
    "chosen": ProjectTable(("project", "kind", "code"), _chosen, _book_chosen),
    "thread-needs": ProjectTable(("project", "code"), _thread_need, _book_thread_needs),
    "fabric-needs": ProjectTable(("project", "count"), _fabric_need, _book_fabric_needs),
    "notion-needs": ProjectTable(("project", "name"), _notion_need, _book_notion_needs),
    "promised": ProjectTable(("project", "kind", "amount"), _promise, _book_promises),
}
