"""What is on hand: skeins per thread, from a CSV or from the ledger of the stash."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from chartscan.csvtable import Row, Table, TableText, parse_rows, read_rows
from chartscan.palette.samples import resolve
from chartscan.palette.thread import Palette, Thread

USUAL_METRES = 8.0  # of a skein of stranded cotton where the palette says nothing (common practice)

Key = tuple[str, str]


@dataclass(frozen=True)
class Owned:
    """Thread at hand that isn't promised to another project.

    Attributes:
        skeins: whole put-ups by (line, code); the line is "" where the stash names none.
        metres_left: metres on opened put-ups, by the same keys.
        lots: whole put-ups by dye lot ("" where not known), by the same keys.
        promised: names of the projects that some of it is promised to, by the same keys.
    """

    skeins: Mapping[Key, float] = field(default_factory=dict)
    metres_left: Mapping[Key, float] = field(default_factory=dict)
    lots: Mapping[Key, Mapping[str, float]] = field(default_factory=dict)
    promised: Mapping[Key, tuple[str, ...]] = field(default_factory=dict)

    def of(self, thread: Thread) -> float:
        """Skeins of ``thread``, opened ones as fractions; 0 where there is none.

        An entry without a line counts for every line that has this code, and a thread without a
        line takes the entries of any.
        """
        length = thread.metres or USUAL_METRES
        keys = {(thread.line, thread.code), ("", thread.code)}
        if not thread.line:
            keys = {
                key for key in self.skeins.keys() | self.metres_left.keys() if key[1] == thread.code
            }
        return sum(self.skeins.get(k, 0.0) + self.metres_left.get(k, 0.0) / length for k in keys)


def load_owned(path: Table) -> Owned:
    """What a table ``code,skeins``, a file or a text, says is at hand.

    Optional columns are ``line``, ``metres_left`` and ``note``. Rows of the same thread add up.

    Raises:
        TableError: the table can't be read, or rows are wrong; all of them are named.
    """
    path = path if isinstance(path, TableText) else resolve(path)
    skeins: dict[Key, float] = {}
    metres: dict[Key, float] = {}
    for key, whole, left in parse_rows(path, read_rows(path, ("code", "skeins")), _entry):
        skeins[key] = skeins.get(key, 0.0) + whole
        metres[key] = metres.get(key, 0.0) + left
    return Owned(skeins, metres)


def unknown_codes(owned: Owned, palette: Palette) -> tuple[str, ...]:
    """Codes of the stash that ``palette`` doesn't hold, in the stash's order."""
    known = {(t.line, t.code) for t in palette.threads} | {("", t.code) for t in palette.threads}
    return tuple(code for line, code in owned.skeins if (line, code) not in known)


def _entry(row: Row) -> tuple[Key, float, float]:
    whole = row.number("skeins", 0.0)
    left = row.number("metres_left", 0.0)
    if whole < 0 or left < 0:
        raise ValueError("skeins and metres_left can't be below 0")
    return (row.text("line"), row.need("code")), whole, left
