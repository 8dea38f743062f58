"""Changes of what is known: reading them, telling them in words, and putting back what was."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Mapping, Sequence
from typing import Any

from chartscan.errors import StashError
from chartscan.stash.entries import Act
from chartscan.stash.ledger import Ledger
from chartscan.stash.schema_changes import PART
from chartscan.stash.schema_wanted import KEPT

Value = str | int | float | None

_NUMBER = re.compile(r"[+-]?\d+")
# What isn't shown: it follows from the rest.
_SILENT = frozenset(
    {
        *("code_key", "line_key", "name_key", "title_key"),
        *("low_mm", "likely_mm", "factor", "putup_length_mm", "lab_l", "lab_a", "lab_b"),
        *("wanted", "delta_e"),
    }
)
_NAMES = {
    "putup_mm": "skein (m)",
    "hex": "colour",
    "gone": "forgotten",
    "key_file": "key",
    "fabric_count": "count",
    "fabric_over": "over",
    "meant_for": "meant for",
    "margin_mm": "margin (mm)",
    "price_per_m2": "price of 1 m²",
}
_SCALES = {"putup_mm": 1000, "price": 100, "price_per_m2": 100}


def changes_of(ledger: Ledger, act: int) -> list[sqlite3.Row]:
    """(id, act, place, row, before, after) of every change under an act, in order."""
    return ledger.rows("SELECT * FROM changes WHERE act = ? ORDER BY id", (act,))


def read_row(text: str | None) -> dict[str, Value]:
    """The columns that a trigger wrote down; empty for a row that wasn't there."""
    found: dict[str, Value] = {}
    for part in (text or "").split(PART)[:-1]:
        name, _, literal = part.partition("=")
        found[name] = _value(literal)
    return found


def _value(literal: str) -> Value:
    """The value of an SQL literal as ``quote`` writes it."""
    if literal == "NULL":
        return None
    if literal.startswith("'"):
        return literal[1:-1].replace("''", "'")
    return int(literal) if _NUMBER.fullmatch(literal) else float(literal)


# ---------------------------------------------------------------------------- putting back


def put_back(act: Act, changes: Sequence[sqlite3.Row]) -> None:
    """Take back some changes, the last first; the act that does it keeps that too.

    Of things in stock and projects each column is put back unless something newer was told since;
    needs and choices must be as the change left them.

    Raises:
        StashError: a need or choice has been changed again since.
    """
    for change in changes[::-1]:
        table, keys = change["place"], read_row(change["row"])
        before, after = read_row(change["before"]), read_row(change["after"])
        if change["before"] is None:
            _refuse_newer(act.ledger, change, keys, after)
            act.ledger.execute(f"DELETE FROM {table} WHERE {where_is(keys)}", keys)
        elif change["after"] is None:
            if table == "wishes" and act.ledger.row("SELECT 1 FROM wishes WHERE id = :id", keys):
                before.pop("id")  # another has its number since
            act.ledger.execute(
                f"INSERT INTO {table} ({', '.join(before)}) VALUES ({_marks(before)})", before
            )
        else:
            if KEPT[table].comes:
                _refuse_newer(act.ledger, change, keys, after)
            _restore(act.ledger, table, keys, before, after)


def _restore(
    ledger: Ledger,
    table: str,
    keys: Mapping[str, Value],
    before: Mapping[str, Value],
    after: Mapping[str, Value],
) -> None:
    """Give a row back those columns that are still as the change left them."""
    sets = ", ".join(
        f"{name} = CASE WHEN {name} IS :after_{name} THEN :before_{name} ELSE {name} END"
        for name in before
    )
    values = {f"before_{name}": value for name, value in before.items()}
    values |= {f"after_{name}": value for name, value in after.items()}
    ledger.execute(f"UPDATE {table} SET {sets} WHERE {where_is(keys)}", {**values, **keys})


def _refuse_newer(
    ledger: Ledger, change: sqlite3.Row, keys: Mapping[str, Value], after: Mapping[str, Value]
) -> None:
    same = " AND ".join(f"{name} IS :{name}" for name in {**keys, **after})
    if not ledger.value(f"SELECT 1 FROM {change['place']} WHERE {same}", {**keys, **after}):
        newer = ledger.value(
            "SELECT act FROM changes WHERE place = ? AND row = ? AND act > ? ORDER BY id DESC",
            (change["place"], change["row"], change["act"]),
        )
        raise StashError(
            f"what entry {change['act']} changed has been changed again since"
            + (f" (entry {newer}); take that back first" if newer else "")
        )


def where_is(keys: Mapping[str, Value]) -> str:
    """The condition that a row has these values, as named parameters."""
    return " AND ".join(f"{name} IS :{name}" for name in keys)


def _marks(row: Mapping[str, Value]) -> str:
    return ", ".join(f":{name}" for name in row)


# ---------------------------------------------------------------------------- in words


def tells(change: sqlite3.Row) -> bool:
    """Whether a change says anything that doesn't follow from others."""
    if change["before"] is None or change["after"] is None:
        return True
    return not read_row(change["before"]).keys() <= _SILENT


def words_of(ledger: Ledger, change: sqlite3.Row) -> str:
    """A change in words: ``thread T1: skein (m) 8 → 6``, ``needs T1: 2 skeins``."""
    before, after = read_row(change["before"]), read_row(change["after"])
    keys = read_row(change["row"])
    table = str(change["place"])
    if change["before"] is not None and change["after"] is not None:
        return f"{_thing(ledger, table, keys)}: {_differences(ledger, before, after)}"
    row = after or before
    words = _row_words(ledger, table, row)
    return words if after else f"no longer: {words}"


def _differences(ledger: Ledger, before: Mapping[str, Value], after: Mapping[str, Value]) -> str:
    told = [
        f"{_NAMES.get(name, name.replace('_', ' '))} {_shown(ledger, name, value)} →"
        f" {_shown(ledger, name, after.get(name))}"
        for name, value in before.items()
        if name not in _SILENT
    ]
    return ", ".join(told) or "what follows from it"


def _shown(ledger: Ledger, name: str, value: Value) -> str:
    if value is None or value == "":
        return "–"
    if name in ("thread", "called", "used", "second"):
        return _thread(ledger, value)
    if name == "meant_for":
        return str(ledger.value("SELECT name FROM projects WHERE id = ?", (value,)))
    if isinstance(value, int | float):
        return f"{value / _SCALES.get(name, 1):g}"
    return value


def _thing(ledger: Ledger, table: str, keys: Mapping[str, Value]) -> str:
    """What a row is about."""
    if table == "threads":
        return f"thread {_thread(ledger, keys['id'])}"
    if table == "stock":
        return _stock(ledger, keys["id"])
    if table in ("pieces", "notions", "charts"):
        return _stock(ledger, keys["stock"])
    if table == "projects":
        name = ledger.value("SELECT name FROM projects WHERE id = ?", (keys["id"],))
        return f"project {name}"
    if table == "settings":
        return "rule " + str(keys["key"]).removeprefix("rule.").replace("_", " ")
    row = ledger.row(f"SELECT * FROM {table} WHERE {where_is(keys)}", dict(keys))
    return _row_words(ledger, table, dict(row)) if row else table.replace("_", " ")


def _row_words(ledger: Ledger, table: str, row: Mapping[str, Any]) -> str:
    """A row of a need, choice, price, rule or wish."""
    if table == "thread_needs":
        skeins = row["skeins"]
        return f"needs {_thread(ledger, row['thread'])}: {skeins} skein{'s' * (skeins != 1)}"
    if table == "notion_needs":
        return f"needs {_stock(ledger, row['notion'])}: {row['amount'] / 1000:g}"
    if table == "fabric_needs":
        size = f"{row['width_mm'] / 10:g} × {row['height_mm'] / 10:g} cm"
        cloth = f"{row['count']:g} count {row['colour']}".rstrip()
        return f"needs fabric {cloth}: {row['pieces']} of {size}"
    if table == "choices":
        why = f": {row['reason']}" if row.get("reason") else ""
        return f"{_thread(ledger, row['used'])} instead of {_thread(ledger, row['called'])}{why}"
    if table == "class_threads":
        both = [_thread(ledger, row[name]) for name in ("called", "second") if row[name]]
        return f"{row['symbol'] or row['hex'] or row['kind']}: {' + '.join(both)}"
    if table == "project_charts":
        return f"part {row['part']}: {_stock(ledger, row['chart'])}"
    if table == "fabric_prices":
        price = row["price_per_m2"] / 100
        return f"{row['count']:g} count {row['colour']}: {price:g} for 1 m²"
    if table == "wishes":
        named = _thread(ledger, row["thread"]) if row["thread"] else row["words"]
        return f"wish: {named}"
    if table == "settings":
        return f"{_thing(ledger, table, row)}: {row['value']}"
    return f"{_thing(ledger, table, row)}"


def _thread(ledger: Ledger, number: Value) -> str:
    row = ledger.row("SELECT line, code FROM threads WHERE id = ?", (number,))
    return f"{row['line']} {row['code']}".strip() if row else "a thread that is gone"


def _stock(ledger: Ledger, number: Value) -> str:
    row = ledger.row(
        "SELECT coalesce('fabric ' || p.label, n.name, 'chart ' || c.title,"
        " trim(t.line || ' ' || t.code)) AS thing FROM stock s"
        " LEFT JOIN threads t ON t.id = s.thread LEFT JOIN pieces p ON p.stock = s.id"
        " LEFT JOIN notions n ON n.stock = s.id LEFT JOIN charts c ON c.stock = s.id"
        " WHERE s.id = ?",
        (number,),
    )
    return str(row["thing"]) if row else "a thing that is gone"
