"""What the drawer is worth, as far as prices are known."""

from __future__ import annotations

from dataclasses import dataclass

from chartscan.stash.ledger import Ledger
from chartscan.stash.notions import SCALE
from chartscan.stash.threads import CENTS
from chartscan.stash.usual import DEFAULT_PUTUP_MM

MM2_PER_M2 = 1_000_000


@dataclass(frozen=True)
class Worth:
    """The value of one kind of thing in the drawer.

    Attributes:
        kind: threads, fabric or notions.
        value: of those with a price, in the user's own currency.
        priced: how many different things have a price.
        unpriced: how many have none.
    """

    kind: str
    value: float
    priced: int
    unpriced: int


# Each: what one thing owned is worth in hundredths, or NULL where it has no price.
VALUES: tuple[tuple[str, str], ...] = (
    (
        "threads",
        "SELECT t.price * sum(CASE b.kind WHEN 'skein' THEN b.owned ELSE b.owned * 1.0"
        f" / coalesce(t.putup_mm, {DEFAULT_PUTUP_MM}) END) AS value"
        " FROM threads t JOIN balances b ON b.thread = t.id WHERE b.owned > 0 GROUP BY t.id",
    ),
    (
        "fabric",
        "SELECT (SELECT f.price_per_m2 FROM fabric_prices f WHERE f.count = p.count"
        " AND text_key(f.colour) IN (text_key(p.colour), '') ORDER BY f.colour = '' LIMIT 1)"
        f" * 1.0 * p.width_mm * p.height_mm / {MM2_PER_M2} AS value"
        " FROM pieces p JOIN balances b ON b.stock = p.stock WHERE b.owned > 0",
    ),
    (
        "notions",
        f"SELECT n.price * b.owned * 1.0 / {SCALE} AS value"
        " FROM notions n JOIN balances b ON b.stock = n.stock WHERE b.owned > 0",
    ),
)


def worth(ledger: Ledger) -> tuple[Worth, ...]:
    """The value of what is owned, kind by kind, opened skeins by their length; unpriced counted."""
    found: list[Worth] = []
    for kind, sql in VALUES:
        row = ledger.row(
            "SELECT coalesce(sum(value), 0) AS value, count(value) AS priced, count(*) AS things"
            f" FROM ({sql})"
        )
        assert row is not None  # a sum has a row
        value, priced = round(row["value"]) / CENTS, int(row["priced"])
        found.append(Worth(kind, value, priced, int(row["things"]) - priced))
    return tuple(found)
