"""The stitcher's own rules, kept per stash."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any

from chartscan.errors import StashError
from chartscan.stash.entries import joining
from chartscan.stash.ledger import Ledger

PREFIX = "rule."


@dataclass(frozen=True)
class Rules:
    """How free stock is counted on for a project. Every default is common practice, no source.

    Attributes:
        keep_back: skeins of each thread that always stay in the drawer.
        fresh_unless_more_than: take a fresh skein of a colour unless more than this many whole
            skeins are free; 0 takes from the drawer whatever is there.
        parts_count: part skeins are counted on.
        smallest_part_mm: a part skein shorter than this (mm of put-up) isn't; one working length
            of 450 mm from each strand and its tails.
        same_dye_lot: what one project takes of a thread comes from a single dye lot. Skeins of
            unknown lot can't be trusted to match, so of them only one is counted on.
        share_skeins: a skein may be divided among projects, where another one needs its rest; else
            every bag gets whole skeins.
    """

    keep_back: int = 0
    fresh_unless_more_than: int = 0
    parts_count: bool = True
    smallest_part_mm: int = 1000
    same_dye_lot: bool = False
    share_skeins: bool = False

    def __post_init__(self) -> None:
        if min(self.keep_back, self.fresh_unless_more_than, self.smallest_part_mm) < 0:
            raise StashError("a rule can't be less than nothing")


def load_rules(ledger: Ledger) -> Rules:
    """The rules of this stash; the defaults where none was set."""
    kept = {
        row["key"].removeprefix(PREFIX): row["value"]
        for row in ledger.rows("SELECT key, value FROM settings WHERE key LIKE 'rule.%'")
    }
    found: dict[str, Any] = {}
    for field in fields(Rules):
        if field.name in kept:
            number = int(kept[field.name])
            found[field.name] = bool(number) if isinstance(field.default, bool) else number
    return Rules(**found)


def change_rules(ledger: Ledger, **changes: int | bool | None) -> Rules:
    """Keep some rules anew (those that aren't None) and return them all."""
    with joining(ledger, "rules changed"):
        told: dict[str, Any] = {key: v for key, v in changes.items() if v is not None}
        rules = replace(load_rules(ledger), **told)
        for key, value in told.items():
            ledger.execute(
                "INSERT INTO settings VALUES (?, ?)"
                " ON CONFLICT (key) DO UPDATE SET value = excluded.value",
                (PREFIX + key, str(int(value))),
            )
        return rules
