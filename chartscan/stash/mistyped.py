"""Putting right what was mistyped: renaming, bringing two into one, forgetting."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping

from chartscan.errors import StashError
from chartscan.plaintext import code_key, plain, text_key
from chartscan.remedies import Remedy
from chartscan.stash.charts import find_chart
from chartscan.stash.entries import Act, acting
from chartscan.stash.fabrics import find_piece
from chartscan.stash.ledger import Ledger
from chartscan.stash.notions import find_notion
from chartscan.stash.threads import find_thread

# ---------------------------------------------------------------------------- threads


def rename_thread(
    ledger: Ledger,
    code: str,
    line: str | None,
    *,
    new_code: str | None = None,
    new_line: str | None = None,
    note: str = "",
) -> None:
    """Give a thread another code or line; everything of it stays.

    Raises:
        StashError: no such thread, or another one is called that already.
    """
    with acting(ledger, "renamed", note=note):
        row = find_thread(ledger, code, line)
        told_code = row["code"] if new_code is None else plain(new_code)
        told_line = row["line"] if new_line is None else plain(new_line)
        if not told_code:
            raise StashError("a thread has a code")
        other = ledger.row(
            "SELECT * FROM threads WHERE code_key = ? AND line_key = ? AND id <> ? AND NOT gone",
            (code_key(told_code), text_key(told_line), row["id"]),
        )
        if other is not None:
            raise StashError(
                f"there is a thread {_label(other)} already",
                Remedy.MERGE_THREADS,
                one=row["code"],
                other=other["code"],
            )
        ledger.execute(
            "UPDATE threads SET code = ?, code_key = ?, line = ?, line_key = ? WHERE id = ?",
            (told_code, code_key(told_code), told_line, text_key(told_line), row["id"]),
        )


def merge_threads(
    ledger: Ledger,
    wrong: str,
    right: str,
    *,
    wrong_line: str | None = None,
    right_line: str | None = None,
    note: str = "",
) -> None:
    """Bring two threads together that are one: stock, promises, needs and choices become ``right``.

    Raises:
        StashError: one of them isn't known, or both are one already.
    """
    with acting(ledger, "merged", note=note):
        old, new = find_thread(ledger, wrong, wrong_line), find_thread(ledger, right, right_line)
        if old["id"] == new["id"]:
            raise StashError(f"{wrong} and {right} are one thread already")
        both = {"old": old["id"], "new": new["id"]}
        ledger.execute("UPDATE stock SET thread = :new WHERE thread = :old", both)
        ledger.execute("UPDATE choices SET used = :new WHERE used = :old", both)
        ledger.execute(
            "DELETE FROM choices WHERE called = :old AND project IN"
            " (SELECT project FROM choices WHERE called = :new)",
            both,
        )
        ledger.execute("UPDATE choices SET called = :new WHERE called = :old", both)
        for column in ("thread", "called"):
            ledger.execute(f"UPDATE thread_needs SET {column} = :new WHERE {column} = :old", both)
        for column in ("called", "second"):
            ledger.execute(f"UPDATE class_threads SET {column} = :new WHERE {column} = :old", both)
        _wish_once(ledger, both)
        ledger.execute("DELETE FROM threads WHERE id = :old", both)


def _wish_once(ledger: Ledger, both: Mapping[str, int]) -> None:
    """A wish for the old thread becomes one for the new, or is added to what is wished of that."""
    mine = ledger.row("SELECT amount, note FROM wishes WHERE thread = :old", dict(both))
    there = ledger.row("SELECT id, amount, note FROM wishes WHERE thread = :new", dict(both))
    if mine is None or there is None:
        ledger.execute("UPDATE wishes SET thread = :new WHERE thread = :old", dict(both))
        return
    skeins = (mine["amount"] or 0) + (there["amount"] or 0)
    note = "; ".join(note for note in (there["note"], mine["note"]) if note)
    ledger.execute("DELETE FROM wishes WHERE thread = :old", dict(both))
    ledger.execute(
        "UPDATE wishes SET amount = ?, note = ? WHERE id = ?", (skeins or None, note, there["id"])
    )


def forget_thread(ledger: Ledger, code: str, line: str | None, note: str = "") -> None:
    """Forget a thread of which nothing is owned, needed or wished for; its history stays.

    Raises:
        StashError: no such thread, or it is still in use.
    """
    with acting(ledger, "forgotten", note=note):
        row = find_thread(ledger, code, line)
        number = {"id": row["id"]}
        uses = {
            "it is owned": "SELECT 1 FROM balances WHERE thread = :id AND owned > 0",
            "a project needs it": "SELECT 1 FROM thread_needs WHERE thread = :id OR called = :id",
            "a project chose it": "SELECT 1 FROM choices WHERE used = :id OR called = :id"
            " UNION SELECT 1 FROM class_threads WHERE called = :id OR second = :id",
            "it is wished for": "SELECT 1 FROM wishes WHERE thread = :id",
        }
        for why, sql in uses.items():
            if ledger.value(sql, number):
                raise StashError(
                    f"{_label(row)} can't be forgotten: {why}",
                    Remedy.MERGE_MISTYPED,
                )
        if ledger.value("SELECT 1 FROM stock WHERE thread = :id", number):
            ledger.execute("UPDATE threads SET gone = 1 WHERE id = :id", number)
        else:
            ledger.execute("DELETE FROM threads WHERE id = :id", number)


def _label(row: sqlite3.Row) -> str:
    return f"{row['line']} {row['code']}".strip()


# ---------------------------------------------------------------------------- other things


def rename_notion(
    ledger: Ledger, name: str, new: str, unit: str | None = None, note: str = ""
) -> None:
    """Give a notion another name; StashError where it isn't known or the name is taken."""
    with acting(ledger, "renamed", note=note):
        row = find_notion(ledger, name, unit)
        told = plain(new)
        taken = ledger.row(
            "SELECT * FROM notions WHERE name_key = ? AND text_key(unit) = ? AND stock <> ?",
            (text_key(told), text_key(row["unit"]), row["stock"]),
        )
        if not told or taken is not None:
            if not told:
                raise StashError("a notion has a name")
            raise StashError(f"there is {told!r} already", Remedy.MERGE_NOTIONS)
        ledger.execute(
            "UPDATE notions SET name = ?, name_key = ? WHERE stock = ?",
            (told, text_key(told), row["stock"]),
        )


def merge_notions(
    ledger: Ledger, wrong: str, right: str, unit: str | None = None, note: str = ""
) -> None:
    """Bring two notions of one unit together that are one.

    Raises:
        StashError: one isn't known, they have different units, or the wrong one is set apart.
    """
    with acting(ledger, "merged", note=note) as act:
        old, new = find_notion(ledger, wrong, unit), find_notion(ledger, right, unit)
        if old["stock"] == new["stock"]:
            raise StashError(f"{wrong} and {right} are one notion already")
        if text_key(old["unit"]) != text_key(new["unit"]):
            raise StashError(
                f"{wrong} is kept in {old['unit'] or 'pieces'}, {right} in"
                f" {new['unit'] or 'pieces'}; count one of them again in the other's unit"
            )
        holder = ledger.value(
            "SELECT p.name FROM holdings h JOIN projects p ON p.id = h.project WHERE h.stock = ?",
            (old["stock"],),
        )
        if holder is not None:
            raise StashError(f"{wrong} is set apart for {holder}; release that first")
        _move_notion(act, old["stock"], new["stock"])


def _move_notion(act: Act, old: int, new: int) -> None:
    owned = act.ledger.value("SELECT owned FROM balances WHERE stock = ?", (old,))
    if owned:
        act.put(old, "counted", owned=-owned)
        act.put(new, "counted", owned=owned)
    act.ledger.execute("UPDATE notion_needs SET notion = ? WHERE notion = ?", (new, old))
    act.ledger.execute("UPDATE notions SET gone = 1 WHERE stock = ?", (old,))


def rename_piece(ledger: Ledger, label: str, new: str, note: str = "") -> None:
    """Give a piece of fabric another label; StashError where it isn't there or that is taken."""
    told = plain(new)
    with acting(ledger, "renamed", note=note):
        row = find_piece(ledger, label)
        if not told or ledger.value("SELECT 1 FROM pieces WHERE label = ?", (told,)):
            raise StashError(f"{told!r} is no label or is taken; give another one")
        ledger.execute("UPDATE pieces SET label = ? WHERE stock = ?", (told, row["stock"]))


def rename_chart(ledger: Ledger, title: str, new: str, note: str = "") -> None:
    """Give a chart another title; StashError where it isn't known or the title is taken."""
    told = plain(new)
    with acting(ledger, "renamed", note=note):
        row = find_chart(ledger, title)
        taken = ledger.row(
            "SELECT 1 FROM charts WHERE (title_key = ? OR title = ?) AND stock <> ?",
            (text_key(told), told, row["stock"]),
        )
        if not told or taken is not None:
            raise StashError(f"{told!r} is no title or is taken; give another one")
        ledger.execute(
            "UPDATE charts SET title = ?, title_key = ? WHERE stock = ?",
            (told, text_key(told), row["stock"]),
        )


def forget_thing(
    ledger: Ledger, kind: str, name: str, unit: str | None = None, note: str = ""
) -> None:
    """Forget a notion or chart of which nothing is owned or needed; its history stays.

    Raises:
        StashError: it isn't known, or it is still in use.
    """
    table = {"notion": "notions", "chart": "charts"}[kind]
    needs = {
        "notion": "SELECT 1 FROM notion_needs WHERE notion = ?",
        "chart": "SELECT 1 FROM project_charts WHERE chart = ?",
    }[kind]
    with acting(ledger, "forgotten", note=note):
        row = find_notion(ledger, name, unit) if kind == "notion" else find_chart(ledger, name)
        stock = row["stock"]
        if ledger.value("SELECT owned FROM balances WHERE stock = ?", (stock,)):
            raise StashError(f"{name} can't be forgotten: it is owned", Remedy.LOSE)
        if ledger.value(needs, (stock,)):
            raise StashError(f"{name} can't be forgotten: a project needs it")
        ledger.execute(f"UPDATE {table} SET gone = 1 WHERE stock = ?", (stock,))


# ---------------------------------------------------------------------------- places


def put_in_place(
    ledger: Ledger,
    kind: str,
    name: str,
    place: str,
    *,
    line: str | None = None,
    dye_lot: str | None = None,
    unit: str | None = None,
    note: str = "",
) -> int:
    """Note the box or drawer that a thing lies in; how many of its stocks are there now.

    Args:
        ledger: an open ledger.
        kind: thread, fabric, notion or chart.
        name: its code, label, name or title.
        place: the box or drawer; "" where it lies nowhere in particular.
        line: of a thread.
        dye_lot: only skeins of this lot.
        unit: of a notion.
        note: free text.

    Raises:
        StashError: no such thing.
    """
    with acting(ledger, "put away", note=note):
        if kind == "thread":
            thread = find_thread(ledger, name, line)["id"]
            stocks = ledger.rows(
                "SELECT s.id FROM stock s JOIN balances b ON b.stock = s.id WHERE s.thread = ?"
                " AND b.owned > 0 AND (? IS NULL OR s.dye_lot = ?)",
                (thread, dye_lot, dye_lot),
            )
            numbers = [row["id"] for row in stocks]
        elif kind == "fabric":
            numbers = [find_piece(ledger, name)["stock"]]
        elif kind == "notion":
            numbers = [find_notion(ledger, name, unit)["stock"]]
        else:
            chart = find_chart(ledger, name)["stock"]
            ledger.execute("UPDATE charts SET place = ? WHERE stock = ?", (plain(place), chart))
            return 1
        if not numbers:
            raise StashError(f"nothing is owned of {name} that could lie anywhere")
        for number in numbers:
            ledger.execute("UPDATE stock SET place = ? WHERE id = ?", (plain(place), number))
        return len(numbers)
