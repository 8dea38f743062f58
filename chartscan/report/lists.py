"""Lists to print: everything owned, in order of colour, and what to buy."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from chartscan.report.cautions import ONE_LOT
from chartscan.report.html import render
from chartscan.report.labels import count_words, hex_or_none, offcut_words, untold_words
from chartscan.report.units import amount, counted, cut, size

if TYPE_CHECKING:
    from chartscan.stash.paper import (
        FabricLabel,
        ShoppingFabric,
        ShoppingList,
        ShoppingNotion,
        ShoppingThread,
        StashList,
        StashNotion,
        StashThread,
    )

Cell = str | None
Row = dict[str, Cell]


def stash_list_page(stash: StashList) -> str:
    """The stash as a list to print: threads with swatches, fabric, notions."""
    return render(
        "stash.html.j2",
        threads=[_stash_thread(thread) for thread in stash.threads],
        fabrics=[_stash_fabric(piece) for piece in stash.fabrics],
        notions=[_stash_notion(notion) for notion in stash.notions],
    )


def shopping_page(shopping: ShoppingList) -> str:
    """The shopping list as a page to print and tick off."""
    return render(
        "shopping.html.j2",
        projects=shopping.projects,
        threads=[_buy_thread(thread) for thread in shopping.threads],
        fabrics=[_buy_fabric(fabric) for fabric in shopping.fabrics],
        notions=[_buy_notion(notion) for notion in shopping.notions],
        saved=shopping.saved,
        dividing_saves=counted(shopping.dividing_saves, "skein") if shopping.dividing_saves else "",
        untold=untold_words(shopping.threads),
        one_lot=ONE_LOT,
        offcuts=[offcut_words(offcut) for offcut in shopping.offcuts],
        total=None if shopping.total is None else money(shopping.total),
        unpriced=shopping.unpriced,
    )


def money(value: float) -> str:
    """A price in the stitcher's own currency, two decimals, no sign."""
    return f"{value:,.2f}"


# ---------------------------------------------------------------------------- stash


def _stash_thread(thread: StashThread) -> Row:
    promised = [amount(thread.promised_skeins)] if thread.promised_skeins else []
    if thread.promised_metres:
        promised.append(f"{amount(thread.promised_metres)} m")
    return {
        "hex": hex_or_none(thread.rgb),
        "code": thread.code,
        "name": _name(thread.name, thread.line),
        "skeins": amount(thread.skeins),
        "parts": _metres(thread.part_metres),
        "promised": " + ".join(promised),
        "dye_lots": ", ".join(thread.dye_lots),
        "place": ", ".join(thread.places),
    }


def _stash_fabric(piece: FabricLabel) -> Row:
    return {
        "hex": hex_or_none(piece.rgb),
        "label": piece.label,
        "count": count_words(piece.count, piece.count_down),
        "colour": _name(piece.colour, piece.fibre),
        "size": size(piece.size_mm),
        "project": piece.project,
        "note": piece.note,
    }


def _stash_notion(notion: StashNotion) -> Row:
    return {
        "name": notion.name,
        "owned": _measured(notion.owned, notion.unit),
        "promised": _measured(notion.promised, notion.unit) if notion.promised else "",
        "note": notion.note,
    }


# ---------------------------------------------------------------------------- shopping


def _buy_thread(thread: ShoppingThread) -> Row:
    spared = thread.apart - thread.skeins
    notes = [f"{spared} fewer than bought apart"] if spared > 0 else []
    if thread.discontinued:
        notes.append("no longer made: look for a stand-in")
    return {
        "hex": hex_or_none(thread.rgb),
        "code": thread.code,
        "name": _name(thread.name, thread.line),
        "number": amount(thread.skeins),
        "price": "" if thread.price is None else money(thread.price),
        "sum": "" if thread.price is None else money(thread.price * thread.skeins),
        "projects": ", ".join(thread.projects),
        "note": "; ".join(notes),
    }


def _buy_fabric(fabric: ShoppingFabric) -> Row:
    cuts = [f"{pieces} of {cut((width, height))}" for width, height, pieces in fabric.cuts]
    return {
        "count": count_words(fabric.count),
        "colour": fabric.colour or "any colour",
        "size": cut(fabric.least_mm),
        "cuts": "; ".join(cuts),
        "sum": "" if fabric.price is None else money(fabric.price),
        "projects": ", ".join(fabric.projects),
    }


def _buy_notion(notion: ShoppingNotion) -> Row:
    return {
        "name": notion.name,
        "number": _measured(notion.amount, notion.unit),
        "price": "" if notion.price is None else money(notion.price),
        "sum": "" if notion.price is None else money(notion.price * notion.amount),
        "projects": ", ".join(notion.projects),
    }


# ---------------------------------------------------------------------------- words


def _name(*parts: str) -> str:
    return ", ".join(part for part in parts if part)


def _metres(parts: Iterable[float]) -> str:
    return " + ".join(f"{amount(part)} m" for part in parts)


def _measured(number: float, unit: str) -> str:
    return f"{amount(number)} {unit}".strip()
