"""The whole stash as CSV: one table per kind, the same columns out as in.

Metres, centimetres and prices are written with a decimal point and no more decimals than they
have, so that what is read back is what was written, to the millimetre and the hundredth.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict

from chartscan.csvtable import table_text
from chartscan.errors import StashError
from chartscan.stash.ledger import Ledger
from chartscan.stash.notions import SCALE
from chartscan.stash.projects import COLUMNS
from chartscan.stash.rules import load_rules
from chartscan.stash.threads import CENTS

Cells = list[list[str]]

HEADERS: Mapping[str, tuple[str, ...]] = {
    "rules": ("rule", "value"),
    "threads": (
        *("code", "line", "name", "skeins", "metres_left", "dye_lot", "metres", "strands"),
        *("hex", "L", "a", "b", "price", "status", "place"),
    ),
    "fabrics": (
        *("label", "name", "count", "count_down", "hex", "fibre", "width_cm", "height_cm"),
        *("note", "for"),
    ),
    "fabric-prices": ("count", "name", "price_per_m2"),
    "notions": ("name", "unit", "amount", "price", "note"),
    "charts": ("title", "file", "book", "issue", "page", "place", "copies", "note"),
    "wishes": ("line", "code", "wish", "skeins", "note"),
    "projects": (*COLUMNS, "state"),
    "project-charts": ("project", "part", "title"),
    "choices": ("project", "called_line", "called_code", "line", "code", "reason"),
    "chosen": (
        *("project", "part", "kind", "hex", "symbol", "row", "column", "line", "code"),
        *("second_line", "second_code", "keyed"),
    ),
    "thread-needs": (
        *("project", "source", "line", "code", "called_line", "called_code", "class", "stitches"),
        *("strands", "factor", "low_mm", "likely_mm", "high_mm", "skeins", "putup_length_mm"),
        *("note", "wanted", "delta_e"),
    ),
    "fabric-needs": (*("project", "source", "count", "name", "width_cm", "height_cm", "pieces"),),
    "notion-needs": ("project", "name", "unit", "amount", "note"),
    "promised": (
        *("project", "kind", "line", "code", "dye_lot", "metres_left", "label", "name", "unit"),
        *("title", "amount"),
    ),
}
TABLES = tuple(HEADERS)


def export_table(ledger: Ledger, table: str) -> str:
    """One table as CSV text; StashError where there is no such table."""
    if table not in HEADERS:
        raise StashError(f"there is no table {table}; choose one of {', '.join(TABLES)}")
    return table_text(HEADERS[table], _WRITERS[table](ledger))


def plain(value: float | None, scale: int = 1) -> str:
    """A number over ``scale`` without needless decimals; "" for None."""
    if value is None:
        return ""
    number = value / scale
    return str(int(number)) if number == int(number) else repr(number)


def _cells(ledger: Ledger, sql: str, write: Mapping[str, Callable[[float], str]]) -> Cells:
    """The rows of a query as text; ``write`` says how some of its columns are written."""
    return [
        [_text(value, write.get(name, plain)) for name, value in zip(row.keys(), row, strict=True)]
        for row in ledger.rows(sql)
    ]


def _text(value: str | float | None, write: Callable[[float], str]) -> str:
    return "" if value is None else value if isinstance(value, str) else write(value)


def _metres(mm: float) -> str:
    return plain(mm, 1000)


def _cm(mm: float) -> str:
    return plain(mm, 10)


def _money(hundredths: float) -> str:
    return plain(hundredths, CENTS)


def _amount(thousandths: float) -> str:
    return plain(thousandths, SCALE)


def _rules(ledger: Ledger) -> Cells:
    return [[name, str(int(value))] for name, value in asdict(load_rules(ledger)).items()]


def _threads(ledger: Ledger) -> Cells:
    """A row per dye lot of whole skeins and per part skein; one of 0 skeins where none is owned."""
    return _cells(
        ledger,
        "SELECT t.code, t.line, t.name, CASE o.kind WHEN 'skein' THEN o.owned ELSE 0 END AS skeins,"
        " CASE o.kind WHEN 'part' THEN o.owned END AS metres_left,"
        " coalesce(o.dye_lot, '') AS dye_lot, t.putup_mm, t.strands,"
        " t.hex, t.lab_l, t.lab_a, t.lab_b, t.price,"
        " CASE t.discontinued WHEN 1 THEN 'discontinued' ELSE 'current' END AS status,"
        " coalesce(o.place, '') AS place"
        " FROM threads t LEFT JOIN ("
        "  SELECT s.thread, s.kind, s.dye_lot, s.place, b.owned FROM stock s"
        "  JOIN balances b ON b.stock = s.id WHERE b.owned > 0"
        " ) o ON o.thread = t.id WHERE NOT t.gone"
        " ORDER BY t.line, t.code, o.kind DESC, o.dye_lot, o.owned DESC",
        {"metres_left": _metres, "putup_mm": _metres, "price": _money},
    )


def _fabrics(ledger: Ledger) -> Cells:
    return _cells(
        ledger,
        "SELECT p.label, p.colour, p.count, p.count_down, p.hex, p.fibre, p.width_mm, p.height_mm,"
        " p.note, j.name AS project FROM pieces p JOIN balances b ON b.stock = p.stock"
        " LEFT JOIN projects j ON j.id = p.meant_for WHERE b.owned > 0"
        " ORDER BY p.label",
        {"width_mm": _cm, "height_mm": _cm},
    )


def _fabric_prices(ledger: Ledger) -> Cells:
    return _cells(
        ledger,
        "SELECT count, colour, price_per_m2 FROM fabric_prices ORDER BY count, colour",
        {"price_per_m2": _money},
    )


def _notions(ledger: Ledger) -> Cells:
    return _cells(
        ledger,
        "SELECT n.name, n.unit, b.owned, n.price, n.note FROM notions n"
        " JOIN balances b ON b.stock = n.stock ORDER BY n.name, n.unit",
        {"owned": _amount, "price": _money},
    )


def _charts(ledger: Ledger) -> Cells:
    return _cells(
        ledger,
        "SELECT c.title, c.file, c.book, c.issue, c.page, c.place, b.owned, c.note FROM charts c"
        " JOIN balances b ON b.stock = c.stock ORDER BY c.title",
        {},
    )


def _wishes(ledger: Ledger) -> Cells:
    return _cells(
        ledger,
        "SELECT t.line, t.code, w.words, w.amount, w.note FROM wishes w"
        " LEFT JOIN threads t ON t.id = w.thread ORDER BY w.id",
        {},
    )


def _projects(ledger: Ledger) -> Cells:
    return _cells(ledger, f"SELECT {', '.join(COLUMNS)}, state FROM projects ORDER BY name", {})


def _project_charts(ledger: Ledger) -> Cells:
    return _cells(
        ledger,
        "SELECT p.name, pc.part, c.title FROM project_charts pc"
        " JOIN projects p ON p.id = pc.project JOIN charts c ON c.stock = pc.chart"
        " ORDER BY p.name, pc.part",
        {},
    )


def _choices(ledger: Ledger) -> Cells:
    return _cells(
        ledger,
        "SELECT p.name, c.line AS called_line, c.code AS called_code, u.line, u.code, ch.reason"
        " FROM choices ch JOIN projects p ON p.id = ch.project JOIN threads c ON c.id = ch.called"
        " JOIN threads u ON u.id = ch.used ORDER BY p.name, c.line, c.code",
        {},
    )


def _chosen(ledger: Ledger) -> Cells:
    return _cells(
        ledger,
        "SELECT p.name, ct.part, ct.kind, ct.hex, ct.symbol, ct.cell_row, ct.cell_column, c.line,"
        " c.code, s.line AS second_line, s.code AS second_code, ct.keyed FROM class_threads ct"
        " JOIN projects p ON p.id = ct.project JOIN threads c ON c.id = ct.called"
        " LEFT JOIN threads s ON s.id = ct.second ORDER BY p.name, ct.part, ct.place",
        {},
    )


def _thread_needs(ledger: Ledger) -> Cells:
    return _cells(
        ledger,
        "SELECT p.name, n.source, t.line, t.code, c.line AS called_line, c.code AS called_code,"
        " n.class_index, n.stitches, n.strands, n.factor, n.low_mm, n.likely_mm, n.high_mm,"
        " n.skeins, n.putup_length_mm, n.note, n.wanted, n.delta_e FROM thread_needs n"
        " JOIN projects p ON p.id = n.project JOIN threads t ON t.id = n.thread"
        " JOIN threads c ON c.id = n.called ORDER BY p.name, t.line, t.code, n.id",
        {},
    )


def _fabric_needs(ledger: Ledger) -> Cells:
    return _cells(
        ledger,
        "SELECT p.name, n.source, n.count, n.colour, n.width_mm, n.height_mm, n.pieces"
        " FROM fabric_needs n JOIN projects p ON p.id = n.project ORDER BY p.name, n.id",
        {"width_mm": _cm, "height_mm": _cm},
    )


def _notion_needs(ledger: Ledger) -> Cells:
    return _cells(
        ledger,
        "SELECT p.name AS project, n.name, n.unit, nn.amount, nn.note FROM notion_needs nn"
        " JOIN projects p ON p.id = nn.project JOIN notions n ON n.stock = nn.notion"
        " ORDER BY p.name, nn.id",
        {"amount": _amount},
    )


def _promised(ledger: Ledger) -> Cells:
    return _cells(
        ledger,
        "SELECT p.name AS project, s.kind, coalesce(t.line, '') AS line, t.code, s.dye_lot,"
        " CASE s.kind WHEN 'part' THEN b.owned END AS metres_left, f.label, n.name, n.unit,"
        " c.title,"
        f" h.amount * 1.0 / CASE s.kind WHEN 'part' THEN 1000 WHEN 'notion' THEN {SCALE} ELSE 1 END"
        " AS amount"
        " FROM holdings h JOIN projects p ON p.id = h.project JOIN stock s ON s.id = h.stock"
        " JOIN balances b ON b.stock = s.id LEFT JOIN threads t ON t.id = s.thread"
        " LEFT JOIN pieces f ON f.stock = s.id LEFT JOIN notions n ON n.stock = s.id"
        " LEFT JOIN charts c ON c.stock = s.id"
        " ORDER BY p.name, s.kind, t.line, t.code, s.dye_lot, b.owned DESC, f.label, n.name,"
        " n.unit, c.title",
        {"metres_left": _metres},
    )


_WRITERS: Mapping[str, Callable[[Ledger], Cells]] = {
    "rules": _rules,
    "threads": _threads,
    "fabrics": _fabrics,
    "fabric-prices": _fabric_prices,
    "notions": _notions,
    "charts": _charts,
    "wishes": _wishes,
    "projects": _projects,
    "project-charts": _project_charts,
    "choices": _choices,
    "chosen": _chosen,
    "thread-needs": _thread_needs,
    "fabric-needs": _fabric_needs,
    "notion-needs": _notion_needs,
    "promised": _promised,
}
