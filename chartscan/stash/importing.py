"""CSV into the stash: every row of every table is read first, then all is booked in one act."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from chartscan.colour import format_hex, parse_hex
from chartscan.csvtable import Row, parse_rows, read_rows
from chartscan.errors import StashError
from chartscan.plaintext import code_key, text_key
from chartscan.stash.amounts import parse_amount
from chartscan.stash.cells import whole, whole_or_none
from chartscan.stash.charts import ChartSource, add_chart
from chartscan.stash.entries import Act, acting
from chartscan.stash.fabrics import Piece, add_piece
from chartscan.stash.importing_projects import PROJECT_TABLES, ProjectTable
from chartscan.stash.ledger import Ledger
from chartscan.stash.notions import NotionInfo, add_notion, count_notion, know_notion
from chartscan.stash.repeats import marks_of, refuse_repeated, remember
from chartscan.stash.rules import Rules, change_rules
from chartscan.stash.threads import CENTS, ThreadInfo, add_thread, count_thread, know_thread
from chartscan.stash.usual import DEFAULT_PUTUP_MM
from chartscan.stash.wishes import add_wish

REQUIRED: Mapping[str, tuple[str, ...]] = {
    "rules": ("rule", "value"),
    "threads": ("code", "skeins"),
    "fabrics": ("count",),
    "fabric-prices": ("count", "price_per_m2"),
    "notions": ("name", "amount"),
    "charts": ("title",),
    "wishes": ("wish",),
}


ADDING = ("threads", "fabrics", "notions", "charts")  # tables whose rows add to what is owned


@dataclass(frozen=True)
class ThreadRow:
    """A row of the table of threads: its line, what is known, and what of it lies in the drawer."""

    line: int
    info: ThreadInfo
    skeins: int
    parts_mm: tuple[int, ...]
    dye_lot: str
    place: str = ""


@dataclass(frozen=True)
class Imported:
    """How many rows were booked, and what is to be said of them."""

    rows: int
    remarks: tuple[str, ...] = ()


def import_table(
    ledger: Ledger,
    table: str,
    path: Path,
    *,
    recount: bool = False,
    again: bool = False,
    note: str = "",
) -> Imported:
    """Book the rows of one CSV.

    Args:
        ledger: an open ledger.
        table: threads, fabrics, notions, charts, rules or fabric-prices.
        path: the file.
        recount: the rows of threads and notions say what is free in the drawer now, instead of
            what came in addition.
        again: book rows though they were booked before.
        note: free text.

    Raises:
        TableError: the file can't be read, or rows are wrong; all are named, nothing is booked.
        StashError: no such table, its rows were booked before, or the ledger refuses.
    """
    if table not in REQUIRED:
        raise StashError(
            f"{table} can't be imported by itself; choose one of {', '.join(REQUIRED)}, or the"
            " folder of a whole export"
        )
    values = read_table(table, path)
    with acting(ledger, "imported", note=note or path.name) as act:
        if table in ADDING:
            marks = marks_of(values)
            if not (recount or again):
                refuse_repeated(ledger, table, path, marks)
            remember(act, table, path, marks)
        book_table(act, table, values, recount=recount)
    return Imported(len(values), _repeated_codes(values) if table == "threads" else ())


def _repeated_codes(rows: Sequence[ThreadRow]) -> tuple[str, ...]:
    """A line per thread and lot whose whole skeins stand in several rows, which were added up."""
    seen: dict[tuple[str, str, str], list[int]] = {}
    for row in rows:
        if row.skeins:
            key = (text_key(row.info.line), code_key(row.info.code), row.dye_lot)
            seen.setdefault(key, []).append(row.line)
    return tuple(
        f"{next(r.info.code for r in rows if r.line == lines[0])} stands in lines"
        f" {', '.join(map(str, lines))}; they were added up"
        for lines in seen.values()
        if len(lines) > 1
    )


def read_table(table: str, path: Path) -> list[Any]:
    """The rows of one table, each checked; TableError names all that are wrong."""
    project: ProjectTable | None = PROJECT_TABLES.get(table)
    required = project.required if project else REQUIRED[table]
    parse = project.parse if project else _PARSERS[table]
    return parse_rows(path, read_rows(path, required), parse)


# ---------------------------------------------------------------------------- parsing


def _hex(row: Row) -> str | None:
    return format_hex(parse_hex(row.text("hex"))) if row.text("hex") else None


def _thread(row: Row) -> ThreadRow:
    lab = None
    if row.text("l"):
        lab = (row.number("l"), row.number("a"), row.number("b"))
    status = row.text("status", "")
    if status not in ("", "current", "discontinued"):
        raise ValueError(f"status {status!r} is neither current nor discontinued")
    putup, strands = whole_or_none(row, "metres", 1000), whole_or_none(row, "strands")
    if putup == 0 or strands == 0:
        raise ValueError("metres and strands must be over 0")
    info = ThreadInfo(
        code=row.need("code"),
        line=row.text("line"),
        name=row.text("name"),
        putup_mm=putup,
        strands=strands,
        hex=_hex(row),
        lab=lab,
        price=whole_or_none(row, "price", CENTS),
        discontinued=None if not status else status == "discontinued",
    )
    part = whole(row, "metres_left", 1000, 0.0)
    if not row.text("skeins") and not row.text("metres_left"):
        raise ValueError(f"{info.code} has no skeins; write 0 where there are none")
    told = row.text("skeins", "0")
    parts: tuple[int, ...] = ()
    if told.isdecimal():  # as nearly all are: no grammar is needed
        skeins = whole(row, "skeins", default=0.0)
    else:
        skeins, parts = parse_amount(told).in_stock(putup or DEFAULT_PUTUP_MM)
    return ThreadRow(
        row.line,
        info,
        skeins,
        (*parts, *((part,) if part else ())),
        row.text("dye_lot"),
        row.text("place"),
    )


def _piece(row: Row) -> tuple[Piece, str]:
    """A piece, and the name of the project that it is meant for."""
    size = {side: whole(row, f"{side}_cm", 10) for side in ("width", "height")}
    count = row.number("count")
    down = row.number("count_down") if row.text("count_down") else None
    if not all(size.values()) or min(count, down or count) <= 0:
        raise ValueError("count, width_cm and height_cm must be over 0")
    piece = Piece(
        count=count,
        width_mm=size["width"],
        height_mm=size["height"],
        count_down=down,
        colour=row.text("name"),
        hex=_hex(row),
        fibre=row.text("fibre"),
        label=row.text("label"),
        note=row.text("note"),
    )
    return piece, row.text("for")


def _fabric_price(row: Row) -> tuple[float, str, int]:
    count = row.number("count")
    if count <= 0:
        raise ValueError("count must be over 0")
    return count, row.text("name"), whole(row, "price_per_m2", CENTS)


def _notion(row: Row) -> tuple[NotionInfo, float]:
    amount = whole(row, "amount", 1000) / 1000
    price = whole_or_none(row, "price", CENTS)
    return NotionInfo(row.need("name"), row.text("unit"), price, row.text("note")), amount


def _chart(row: Row) -> tuple[ChartSource, int]:
    names = ("file", "book", "issue", "page", "place", "note")
    source = ChartSource(row.need("title"), **{name: row.text(name) for name in names})
    return source, whole(row, "copies", default=0.0)


def _wish(row: Row) -> tuple[str, str | None, int | None, str]:
    """What is wished for, its line where it is a thread, how many skeins, and a note."""
    code = row.text("code")
    skeins = whole_or_none(row, "skeins")
    if skeins == 0:
        raise ValueError("skeins must be over 0")
    line = row.text("line") if code else None
    return code or row.need("wish"), line, skeins, row.text("note")


def _rule(row: Row) -> tuple[str, int]:
    name = row.need("rule")
    if name not in Rules.__dataclass_fields__:
        raise ValueError(f"there is no rule {name!r}")
    return name, whole(row, "value")


_PARSERS: Mapping[str, Callable[[Row], Any]] = {
    "rules": _rule,
    "threads": _thread,
    "fabrics": _piece,
    "fabric-prices": _fabric_price,
    "notions": _notion,
    "charts": _chart,
    "wishes": _wish,
}

# ---------------------------------------------------------------------------- booking


def book_table(
    act: Act, table: str, values: Sequence[Any], *, recount: bool = False, exact: bool = False
) -> None:
    """Book the rows of one table that was read; ``exact``: codes and lines as they are written."""
    if table == "threads":
        _book_threads(act, values, recount=recount, exact=exact)
    for value in values:
        if table == "fabrics":
            add_piece(act, value[0], "counted")
        elif table == "notions":
            info, amount = value
            if recount:
                count_notion(act, know_notion(act.ledger, info), amount)
            else:
                add_notion(act, info, amount, "counted")
        elif table == "charts":
            source, copies = value
            add_chart(act, source, copies, "counted")
        elif table == "wishes":
            what, line, skeins, note = value
            add_wish(act.ledger, what, skeins, note, line, in_words=exact and line is None)
    if table == "rules":
        change_rules(act.ledger, **dict(values))
    if table == "fabric-prices":
        for count, colour, price in values:
            act.ledger.execute(
                "INSERT INTO fabric_prices VALUES (?, ?, ?)"
                " ON CONFLICT (count, colour) DO UPDATE SET price_per_m2 = excluded.price_per_m2",
                (count, colour, price),
            )


def _book_threads(act: Act, rows: Sequence[ThreadRow], *, recount: bool, exact: bool) -> None:
    if not recount:
        for row in rows:
            add_thread(
                act, row.info, skeins=row.skeins, parts_mm=row.parts_mm, dye_lot=row.dye_lot,
                kind="counted", exact=exact, place=row.place,
            )  # fmt: skip
        return
    counted: dict[tuple[int, str], tuple[int, list[int]]] = {}
    for row in rows:
        key = (know_thread(act.ledger, row.info), row.dye_lot)
        skeins, parts = counted.get(key, (0, []))
        counted[key] = (skeins + row.skeins, [*parts, *row.parts_mm])
    for (thread, lot), (skeins, parts) in counted.items():
        count_thread(act, thread, skeins=skeins, parts_mm=parts, dye_lot=lot)
