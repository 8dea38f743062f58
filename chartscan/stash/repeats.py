"""Tables that were imported before are recognised, by their rows and not by their name."""

from __future__ import annotations

import re
from collections.abc import Sequence
from hashlib import blake2b
from pathlib import Path

from chartscan.errors import StashError
from chartscan.remedies import Remedy
from chartscan.stash.entries import Act
from chartscan.stash.ledger import Ledger

DIGEST_BYTES = (
    8  # a row's own mark; among a million rows two are alike by chance once in 10^7 tables
)
MOSTLY = 0.5  # a table more than half of whose rows were booked before is asked about

Values = Sequence[object]


def refuse_repeated(ledger: Ledger, table: str, path: Path, marks: Sequence[bytes]) -> None:
    """StashError where most rows of a table were imported before and not taken back since."""
    if not marks:
        return
    for row in ledger.rows(
        "SELECT i.*, a.time FROM imports i JOIN acts a ON a.id = i.act WHERE i.what = ?"
        " AND NOT EXISTS (SELECT 1 FROM acts r WHERE r.reverses = a.id) ORDER BY i.act DESC",
        (table,),
    ):
        known = {
            row["rows"][at : at + DIGEST_BYTES] for at in range(0, len(row["rows"]), DIGEST_BYTES)
        }
        same = sum(mark in known for mark in marks)
        if same > MOSTLY * len(marks):
            raise StashError(
                f"{path}: {same} of its {len(marks)} rows were booked on {row['time'][:10]} (entry"
                f" {row['act']}, {row['file']}); nothing was booked",
                Remedy.ADD_AGAIN,
                Remedy.RECOUNT,
            )


def remember(act: Act, table: str, path: Path, marks: Sequence[bytes]) -> None:
    """Keep the marks of a table's rows with the act that books them."""
    act.ledger.insert(
        "imports",
        {"act": act.number, "what": table, "file": path.name, "rows": b"".join(marks)},
    )


def marks_of(values: Values) -> list[bytes]:
    """A mark of each row of a table: alike for rows that say the same, in whatever line."""
    return [blake2b(_bare(value).encode(), digest_size=DIGEST_BYTES).digest() for value in values]


def _bare(value: object) -> str:
    """A row's values, without the line it stands in, which comes first where there is one."""
    return _LINE.sub(r"\1(line=0", repr(value), count=1)


_LINE = re.compile(r"^(\w+)\(line=\d+")
