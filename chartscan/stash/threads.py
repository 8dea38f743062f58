"""Threads in the ledger: what is known of each, whole skeins and part skeins by dye lot."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from chartscan.errors import StashError
from chartscan.plaintext import code_key, plain, text_key
from chartscan.remedies import Remedy
from chartscan.stash.entries import Act, EntryKind, acting
from chartscan.stash.ledger import Ledger
from chartscan.stash.usual import DEFAULT_PUTUP_MM, Rgb

if TYPE_CHECKING:  # looking at threads and setting them apart needs no arrays
    from chartscan.palette.thread import Palette, Thread

CENTS = 100  # prices are kept in hundredths of the user's currency


@dataclass(frozen=True)
class ThreadInfo:
    """What is known of a thread, whether any is owned or not; None and "" where not known.

    Attributes:
        code: the number or name it is asked for by; unique within its line.
        line: the maker's line.
        name: its colour name.
        putup_mm: length of one skein in mm.
        strands: strands it divides into.
        hex: its sRGB colour, "#rrggbb".
        lab: CIELAB under D65, 2° observer.
        price: of one skein, in hundredths of the user's currency.
        discontinued: it can't be bought any more.
    """

    code: str
    line: str = ""
    name: str = ""
    putup_mm: int | None = None
    strands: int | None = None
    hex: str | None = None
    lab: tuple[float, float, float] | None = None
    price: int | None = None
    discontinued: bool | None = None


def info_of(thread: Thread) -> ThreadInfo:
    """What a palette says of a thread, as the ledger keeps it."""
    from chartscan.colour.srgb import format_hex

    return ThreadInfo(
        code=thread.code,
        line=thread.line,
        name=thread.name,
        putup_mm=None if thread.metres is None else max(1, round(thread.metres * 1000)),
        strands=thread.strands,
        hex=format_hex(thread.rgb) if thread.told else None,
        lab=thread.lab if thread.told else None,
        price=None if thread.price is None else round(thread.price * CENTS),
        discontinued=thread.status == "discontinued",
    )


def rgb_of(text: str | None) -> Rgb | None:
    """The colour that "#rrggbb" says; None where there is none."""
    if not text:
        return None
    red, green, blue = bytes.fromhex(text.removeprefix("#"))  # written by format_hex
    return red, green, blue


def know_thread(ledger: Ledger, info: ThreadInfo, *, exact: bool = False) -> int:
    """The id of a thread; what is told anew replaces what was known, what isn't told stays.

    Capitals and blanks make no other thread. A thread whose line isn't told is taken for the one
    of that code where there is only one; one that was known without its line is of the line that
    is told now. With ``exact`` none of the three.
    """
    texts = plain(info.code), plain(info.line), plain(info.name)
    if texts != (info.code, info.line, info.name):
        info = replace(info, code=texts[0], line=texts[1], name=texts[2])
    if not info.code:
        raise StashError("a thread has a code")
    found = _exactly(ledger, info) if exact else _like(ledger, info)
    lightness, a, b = info.lab or (None, None, None)
    told = {
        "line": info.line,
        "line_key": text_key(info.line) if info.line else "",
        "name": info.name,
        "putup_mm": info.putup_mm,
        "strands": info.strands,
        "hex": info.hex,
        "lab_l": lightness,
        "lab_a": a,
        "lab_b": b,
        "price": info.price,
        "discontinued": None if info.discontinued is None else int(info.discontinued),
    }
    known = {name: value for name, value in told.items() if value not in (None, "")}
    if found is None:
        return ledger.insert(
            "threads", {"code": info.code, "code_key": code_key(info.code), **known}
        )
    if found["line"]:  # as it is written already
        known = {n: value for n, value in known.items() if n not in ("line", "line_key")}
    known = {name: value for name, value in known.items() if found[name] != value}
    if found["gone"]:
        known["gone"] = 0
    if known:
        sets = ", ".join(f"{name} = :{name}" for name in known)
        ledger.execute(f"UPDATE threads SET {sets} WHERE id = :id", {**known, "id": found["id"]})
    return int(found["id"])


def _exactly(ledger: Ledger, info: ThreadInfo) -> sqlite3.Row | None:
    return ledger.row("SELECT * FROM threads WHERE line = ? AND code = ?", (info.line, info.code))


def _like(ledger: Ledger, info: ThreadInfo) -> sqlite3.Row | None:
    """The thread that is meant, as it is known; None for a new one."""
    same = threads_like(ledger, info.code)
    line = text_key(info.line)
    of_line = [row for row in same if row["line_key"] == line]
    if of_line:
        return of_line[0]
    if len(same) == 1 and (not line or not same[0]["line"]):
        return same[0]
    return None


def threads_like(ledger: Ledger, code: str) -> list[sqlite3.Row]:
    """The threads that a code may mean, whatever its capitals and blanks; as it is written first.

    Forgotten ones come last.
    """
    return ledger.rows(
        "SELECT * FROM threads WHERE code_key = ? ORDER BY gone, code <> ?, line",
        (code_key(code), plain(code)),
    )


def find_thread(ledger: Ledger, code: str, line: str | None = None) -> sqlite3.Row:
    """The row of a known thread; the line may be left out where the code is in one only.

    Raises:
        StashError: not known, or in several lines.
    """
    told = None if line is None else text_key(line)
    rows = [
        row
        for row in threads_like(ledger, code)
        if not row["gone"] and told in (None, row["line_key"])
    ]
    rows = [row for row in rows if row["code"] == plain(code)] or rows  # as it is written, or like
    where = f" of the line {line!r}" if line else ""
    if not rows:
        raise StashError(f"no thread {code}{where} in the stash", Remedy.SEE_STASH)
    if len(rows) > 1:
        lines = ", ".join(repr(row["line"]) for row in rows)
        raise StashError(f"thread {code} is in several lines ({lines})", Remedy.SAY_LINE)
    return rows[0]


def skein_shelf(ledger: Ledger, thread: int, dye_lot: str = "") -> int:
    """The stock id of a thread's unopened skeins of one dye lot ("" where not known)."""
    lot = plain(dye_lot)
    found = ledger.value(
        "SELECT id FROM stock WHERE kind = 'skein' AND thread = ? AND dye_lot = ? ORDER BY id",
        (thread, lot),
    )
    if found is not None:
        return int(found)
    return ledger.insert("stock", {"kind": "skein", "thread": thread, "dye_lot": lot})


def new_part(ledger: Ledger, thread: int, dye_lot: str = "", place: str = "") -> int:
    """The stock id for one more part skein; its length comes with its first entry.

    Where no place is told it lies with the whole skeins of its lot.
    """
    lot = plain(dye_lot)
    with_skeins = ledger.value(
        "SELECT place FROM stock WHERE kind = 'skein' AND thread = ? AND dye_lot = ? ORDER BY id",
        (thread, lot),
    )
    where = plain(place) or with_skeins or ""
    return ledger.insert(
        "stock", {"kind": "part", "thread": thread, "dye_lot": lot, "place": where}
    )


def learn_range(ledger: Ledger, palette: Palette, note: str = "") -> int:
    """Take what a thread range says of the threads that the ledger knows; how many they are."""
    with acting(ledger, "learnt", note=note):
        known = {
            (r["line_key"], r["code_key"])
            for r in ledger.rows("SELECT line_key, code_key FROM threads WHERE NOT gone")
        }
        found = [
            thread
            for thread in palette.threads
            if known & {(text_key(thread.line), key := code_key(thread.code)), ("", key)}
        ]
        for thread in found:
            know_thread(ledger, info_of(thread))
    return len(found)


# ---------------------------------------------------------------------------- booking


def add_thread(
    act: Act,
    info: ThreadInfo,
    *,
    skeins: int = 0,
    parts_mm: Sequence[int] = (),
    dye_lot: str = "",
    kind: EntryKind = "bought",
    exact: bool = False,
    place: str = "",
) -> int:
    """Book whole and part skeins that came; the id of the thread (:func:`know_thread`).

    They lie in ``place`` where one is told, else where the others of their kind and lot lie.
    """
    if skeins < 0 or any(part <= 0 for part in parts_mm):
        raise StashError(f"thread {info.code}: amounts must be more than nothing")
    thread = know_thread(act.ledger, info, exact=exact)
    if skeins:
        shelf = skein_shelf(act.ledger, thread, dye_lot)
        if place:
            act.ledger.execute(
                "UPDATE stock SET place = ? WHERE id = ? AND place <> ?",
                (plain(place), shelf, plain(place)),
            )
        act.put(shelf, kind, owned=skeins)
    for length in parts_mm:
        act.put(new_part(act.ledger, thread, dye_lot, place), kind, owned=length)
    return thread


def take_thread(
    act: Act,
    thread: int,
    kind: EntryKind,
    *,
    skeins: int = 0,
    length_mm: int = 0,
    dye_lot: str | None = None,
) -> None:
    """Book whole skeins and a length that went (used, lost) out of what is free.

    The length comes from the shortest part skein that holds it, else a skein is opened.

    Raises:
        StashError: that much isn't free.
    """
    stocks = free_stock(act.ledger, thread, dye_lot)
    for row in [s for s in stocks if s["kind"] == "skein"]:
        taken = min(skeins, row["free"])
        if taken:
            act.put(row["stock"], kind, owned=-taken)
            skeins -= taken
    if skeins:
        raise StashError(f"{skeins} skeins more would be taken than are free; nothing was booked")
    if length_mm:
        _take_length(act, thread, kind, length_mm, dye_lot)


def _take_length(
    act: Act, thread: int, kind: EntryKind, length_mm: int, dye_lot: str | None
) -> None:
    stocks = free_stock(act.ledger, thread, dye_lot)
    part = min(
        (s for s in stocks if s["kind"] == "part" and s["free"] >= length_mm),
        key=lambda s: s["free"],
        default=None,
    )
    if part is not None:
        act.put(part["stock"], kind, owned=-length_mm)
        return
    putup = putup_mm(act.ledger, thread)
    skein = next((s for s in stocks if s["kind"] == "skein"), None)
    if skein is None or length_mm > putup:
        raise StashError(f"no free skein or part skein holds {length_mm / 1000:g} m")
    act.put(skein["stock"], "opened", owned=-1)
    rest = new_part(act.ledger, thread, skein["dye_lot"])
    act.put(rest, "opened", owned=putup)
    act.put(rest, kind, owned=-length_mm)


def count_thread(
    act: Act,
    thread: int,
    *,
    skeins: int | None = None,
    parts_mm: Sequence[int] | None = None,
    dye_lot: str = "",
) -> None:
    """Book what a count found free of one dye lot; what is set apart in bags isn't counted."""
    if skeins is not None:
        shelf = skein_shelf(act.ledger, thread, dye_lot)
        free = act.ledger.value("SELECT owned - promised FROM balances WHERE stock = ?", (shelf,))
        act.put(shelf, "counted", owned=skeins - free)
    if parts_mm is None:
        return
    wanted = list(parts_mm)
    for row in free_stock(act.ledger, thread, dye_lot):
        if row["kind"] != "part":
            continue
        if row["free"] in wanted:
            wanted.remove(row["free"])
        else:
            act.put(row["stock"], "counted", owned=-row["free"])
    for length in wanted:
        act.put(new_part(act.ledger, thread, dye_lot), "counted", owned=length)


# ---------------------------------------------------------------------------- looking


def putup_mm(ledger: Ledger, thread: int) -> int:
    """Length of one skein in mm: as told, else that of stranded cotton."""
    told = ledger.value("SELECT putup_mm FROM threads WHERE id = ?", (thread,))
    return int(told or DEFAULT_PUTUP_MM)


def free_stock(ledger: Ledger, thread: int, dye_lot: str | None = None) -> list[sqlite3.Row]:
    """(stock, kind, dye_lot, free) of a thread where any is free; of one dye lot where told."""
    return ledger.rows(
        "SELECT s.id AS stock, s.kind, s.dye_lot, b.owned - b.promised AS free"
        " FROM stock s JOIN balances b ON b.stock = s.id"
        " WHERE s.thread = :thread AND (:lot IS NULL OR s.dye_lot = :lot) AND b.owned > b.promised"
        " ORDER BY s.kind DESC, free DESC, s.id",
        {"thread": thread, "lot": dye_lot},
    )
