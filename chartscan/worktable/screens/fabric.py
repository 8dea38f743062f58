"""Fabric: counts side by side, pieces that fit, sizes, metres and skeins as controls are moved."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from chartscan.entry import Entry
from chartscan.report import units
from chartscan.tasks import fabric, kit
from chartscan.worktable.kitting import (
    KitChoices,
    Prepared,
    choices_of,
    fabric_of,
    make_kit,
    prepare,
    stash_of,
    told_choices,
    with_choices,
)
from chartscan.worktable.screen import Asked, Screen, Shown

if TYPE_CHECKING:
    from chartscan.stash.kit import Kit, KitThread
    from chartscan.worktable.kept import Kept
    from chartscan.worktable.table import Table
    from chartscan.yardage import Requirement

# Counts and threads crossed that cloth is commonly sold in and worked over; common practice.
COMMON = ((11.0, 1), (14.0, 1), (16.0, 1), (18.0, 1), (25.0, 2), (28.0, 2), (32.0, 2), (36.0, 2))
PIECES_SHOWN = 3
RISKS = (0.01, 0.05, 0.1, 0.2)  # chances of running out to choose from; 0.05 is the usual
JSON = "application/json"
Cloth = tuple[float, int]


def _show(table: Table, asked: Asked) -> Mapping[str, Any]:
    kept = table.shelf.get(asked.chart)
    made = prepare(table, kept.id)
    return {
        "kept": kept,
        "choices": made.choices,
        "fabrics": _side_by_side(made.choices),
        "risks": RISKS,
        "open": len(made.open),
    }


def _side_by_side(choices: KitChoices) -> tuple[Cloth, ...]:
    """The common fabrics, and the one chosen where it isn't one of them."""
    chosen = (choices.count, choices.over)
    return COMMON if chosen in COMMON else (*COMMON, chosen)


def _choose(table: Table, asked: Asked) -> Mapping[str, Any]:
    """What the controls say now; refused where it makes no sense."""

    def change(kept: Kept) -> Kept:
        choices = told_choices(choices_of(kept), asked.told)
        fabric_of(choices)
        make_kit(table, prepare(table, kept.id, choices), kept.title)
        return with_choices(kept, choices)

    return {"version": table.shelf.change(asked.chart, asked.version, change).version}


def _reckon(table: Table, asked: Asked) -> Shown:
    """Sizes on every fabric, and what is needed on the one that the controls say."""
    made = _as_told(table, asked)
    needed = make_kit(table, made, table.shelf.get(asked.chart).title)
    return _json(
        {
            "fabrics": [_sizes(made, cloth) for cloth in _side_by_side(made.choices)],
            "chosen": _needs(needed),
            "pieces": _pieces(table, made, needed),
        }
    )


def _compare(table: Table, asked: Asked) -> Shown:
    """Thread and skeins on one of the fabrics that stand beside the chosen one."""
    made = _as_told(table, asked)
    needed = make_kit(table, made, table.shelf.get(asked.chart).title)
    return _json(_totals(needed))


def _explain(table: Table, asked: Asked) -> Shown:
    """Where the length of a thread comes from: every term of each class that is worked with it."""
    made = _as_told(table, asked)
    needed = make_kit(table, made, table.shelf.get(asked.chart).title)
    index = asked.whole_text("class")
    classes = [
        use.requirement.class_index
        for line in needed.threads
        if line.requirement.class_index == index
        for use in line.uses
    ]
    found = [r for number in classes for r in fabric.explain(needed.requirements, number)]
    return _json([_terms(r) for r in found])


def _terms(needed: Requirement) -> dict[str, Any]:
    return {
        "class": needed.class_index,
        "work": [{"kind": kind, "number": number} for kind, number in needed.work],
        "terms": [
            {"name": t.name, "length": units.metres(t.mm), "note": t.note} for t in needed.terms
        ],
        "least": units.metres(needed.least_mm),
    }


def _as_told(table: Table, asked: Asked) -> Prepared:
    """The chart with its threads, and with what the controls say."""
    told = json.loads(asked.text("told"))  # its error is a ValueError
    if not isinstance(told, dict):
        raise ValueError("'told' isn't an object")
    made = prepare(table, asked.chart)
    return replace(made, choices=told_choices(made.choices, Entry(told)))


def _sizes(made: Prepared, cloth: Cloth) -> dict[str, Any]:
    count, over = cloth
    sizes = fabric.size_on(made.chart, fabric.choose_fabric(count, over), made.choices.margin_mm)
    return {
        "finished": units.size_cm(sizes.finished_mm),
        "finished_inches": units.size_inches(sizes.finished_mm),
        "cut": units.cut_cm(sizes.cut_mm),
    }


def _needs(needed: Kit) -> dict[str, Any]:
    found = needed.requirements
    return {
        **_totals(needed),
        "finished": units.size(found.finished_mm),
        "cut": units.cut(found.cut_mm),
        "threads": [_thread(line) for line in needed.threads],
        "warnings": list(found.warnings),
        "chance": kit.chance_of_all(needed),
    }


def _totals(needed: Kit) -> dict[str, Any]:
    strands = sorted({r.strands for r in needed.requirements.threads})
    return {
        "metres": units.metres(needed.length_mm.likely),
        "yards": units.yards(needed.length_mm.likely),
        "skeins": needed.skeins,
        "to_buy": needed.to_buy,
        "strands": "/".join(map(str, strands)),
        "price": None if needed.price is None else round(needed.price, 2),
    }


def _thread(line: KitThread) -> dict[str, Any]:
    thread, needed = line.thread, line.requirement
    return {
        "class": needed.class_index,
        "code": thread.code,
        "name": thread.name,
        "rgb": list(thread.rgb),
        "stitches": needed.stitches,
        "strands": needed.strands,
        "metres": units.metres(needed.length_mm.likely),
        "low": units.metres(needed.length_mm.low),
        "high": units.metres(needed.length_mm.high),
        "skeins": needed.skeins,
        "chance": fabric.chance_words(needed.enough),
        "owned": None if line.owned is None else units.at_hand(line.owned),
        "to_buy": line.to_buy,
    }


def _pieces(table: Table, made: Prepared, needed: Kit) -> list[dict[str, Any]]:
    """The smallest free pieces of the drawer that hold it, with how it lies on them."""
    place = stash_of(table)
    if not place.exists():
        return []
    found = needed.requirements
    fitting = fabric.pieces_that_fit(place, needed.fabric, found.cut_mm, made.choices.copies)
    return [
        {
            "label": one.piece.label,
            "colour": one.piece.colour,
            "rgb": None if one.piece.rgb is None else list(one.piece.rgb),
            "fibre": one.piece.fibre,
            "size": units.size_cm(one.piece.size_mm),
            "size_mm": list(one.piece.size_mm),
            "cut_mm": list(found.cut_mm[::-1] if one.fit.turned else found.cut_mm),
            "across": one.fit.across,
            "copies": made.choices.copies,
        }
        for one in fitting[:PIECES_SHOWN]
    ]


def _json(value: object) -> Shown:
    return Shown(json.dumps(value, ensure_ascii=False).encode("utf-8", "replace"), JSON)


SCREEN = Screen(
    "fabric",
    _show,
    acts={"choose": _choose},
    looks={"reckon": _reckon, "compare": _compare, "explain": _explain},
)
