"""Wishes: threads and other things that she would like to have, for no project yet."""

from __future__ import annotations

from dataclasses import dataclass

from chartscan.errors import StashError
from chartscan.plaintext import plain
from chartscan.remedies import Remedy
from chartscan.stash.entries import acting, joining
from chartscan.stash.ledger import Ledger
from chartscan.stash.threads import CENTS, ThreadInfo, know_thread, threads_like


@dataclass(frozen=True)
class Wish:
    """One wish.

    Attributes:
        number: by which it is dropped.
        what: the thread, or the wish in words.
        skeins: how many of a thread; None where she didn't say.
        owned: unopened skeins of it that have come since, or were there all along.
        price: of one skein; None where not known.
        note: free text.
        since: when it was told; UTC, ISO 8601.
    """

    number: int
    what: str
    skeins: int | None
    owned: int
    price: float | None
    note: str
    since: str


def add_wish(
    ledger: Ledger,
    what: str,
    skeins: int | None = None,
    note: str = "",
    line: str | None = None,
    *,
    in_words: bool = False,
) -> Wish:
    """Wish for a thread by its code, where the stash knows one of it, or for anything in words.

    A ``line`` that is told makes it a thread, known or not; what is told ``in_words`` is none,
    even where a thread has such a code.

    Raises:
        StashError: nothing is named, or it is wished for already.
    """
    words = plain(what)
    if not words:
        raise StashError("say what you wish for: a thread's code, or words")
    with joining(ledger, "wished", note=note):
        thread = None if in_words else _thread(ledger, words, line)
        there = ledger.value(
            "SELECT id FROM wishes WHERE thread IS :thread AND (thread IS NOT NULL"
            " OR text_key(words) = text_key(:words))",
            {"thread": thread, "words": words},
        )
        if there is not None:
            raise StashError(f"{words} is wished for already (wish {there})")
        number = ledger.insert(
            "wishes",
            {
                "thread": thread,
                "words": "" if thread is not None else words,
                "amount": skeins,
                "note": plain(note),
            },
        )
    return next(wish for wish in wishes(ledger) if wish.number == number)


def _thread(ledger: Ledger, code: str, line: str | None) -> int | None:
    if line is not None:
        return know_thread(ledger, ThreadInfo(code, line))
    same = [row for row in threads_like(ledger, code) if not row["gone"]]
    if len(same) > 1:
        lines = ", ".join(repr(row["line"]) for row in same)
        raise StashError(f"thread {code} is in several lines ({lines})", Remedy.SAY_LINE)
    return int(same[0]["id"]) if same else None


def drop_wish(ledger: Ledger, number: int, note: str = "") -> Wish:
    """Forget a wish; StashError where there is none of that number."""
    found = next((wish for wish in wishes(ledger) if wish.number == number), None)
    if found is None:
        raise StashError(f"there is no wish {number}", Remedy.SEE_WISHES)
    with acting(ledger, "wish dropped", note=note):
        ledger.execute("DELETE FROM wishes WHERE id = ?", (number,))
    return found


def wishes(ledger: Ledger) -> list[Wish]:
    """Every wish, the oldest first."""
    rows = ledger.rows(
        "SELECT w.id, w.words, w.amount, w.note, t.line, t.code, t.name, t.price,"
        " (SELECT coalesce(sum(owned), 0) FROM balances b"
        "  WHERE b.thread = t.id AND b.kind = 'skein') AS owned,"
        " (SELECT a.time FROM changes c JOIN acts a ON a.id = c.act WHERE c.place = 'wishes'"
        "  AND c.row = 'id=' || w.id || char(31) ORDER BY c.id DESC LIMIT 1) AS since"
        " FROM wishes w LEFT JOIN threads t ON t.id = w.thread ORDER BY w.id"
    )
    return [
        Wish(
            number=row["id"],
            what=row["words"] or f"{row['line']} {row['code']} {row['name']}".strip(),
            skeins=row["amount"],
            owned=int(row["owned"] or 0),
            price=None if row["price"] is None else row["price"] / CENTS,
            note=row["note"],
            since=row["since"] or "",
        )
        for row in rows
    ]
