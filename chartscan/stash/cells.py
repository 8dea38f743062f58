"""Amounts in the cells of a table: whole numbers of the smallest unit that the ledger keeps."""

from __future__ import annotations

from chartscan.csvtable import Row
from chartscan.stash.notions import MOST


def whole(row: Row, name: str, scale: int = 1, default: float | None = None) -> int:
    """A number × ``scale`` that must come out whole and not negative; ValueError where it isn't."""
    value = row.number(name, default) * scale
    if not 0 <= value <= MOST * scale or abs(value - round(value)) > 1e-6 * max(1.0, value):
        least = f" in steps of {1 / scale:g}" if scale > 1 else ""
        raise ValueError(f"{name} {row.text(name)!r} isn't a whole number of 0 or more{least}")
    return round(value)


def whole_or_none(row: Row, name: str, scale: int = 1) -> int | None:
    """As :func:`whole`; None where the cell is blank."""
    return whole(row, name, scale) if row.text(name) else None
