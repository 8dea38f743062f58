"""Labels: what goes on the bag that a project is kept in, and on a piece of fabric."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from chartscan.palette.thread import UNTOLD
from chartscan.report.html import render
from chartscan.report.pictures import symbol_uri
from chartscan.report.terminal import RGB, hex_colour
from chartscan.report.units import amount, counted, cut, size

if TYPE_CHECKING:
    from chartscan.stash.kit import Kit, KitThread
    from chartscan.stash.paper import (
        BagLabel,
        BagNotion,
        BagThread,
        FabricLabel,
        ShoppingOffcut,
        ShoppingThread,
    )
    from chartscan.yardage.requirement import Fabric


@dataclass(frozen=True)
class LabelThread:
    """A thread on a label.

    Attributes:
        code: what it is called.
        hex: its colour as ``#rrggbb``.
        strands: strands in the needle: "2", "2 and 1".
        note: a remark.
        name: the name of its colour.
        symbols: pictures of the symbols that it is for, as ``data:`` addresses.
    """

    code: str
    hex: str | None = None
    strands: str = ""
    note: str = ""
    name: str = ""
    symbols: tuple[str, ...] = ()


@dataclass(frozen=True)
class LabelText:
    """The words of a bag label.

    Attributes:
        title: the project.
        facts: name and value, in order: chart, stitches, fabric, cut, place, wished start …
        threads: every thread in the bag.
        notions: beads, needles and so on, in words; a blank line to write on where there are none.
        states: what is set apart, what is in the stash, what is to buy; "" leaves a line to write
            on.
    """

    title: str
    facts: tuple[tuple[str, str], ...]
    threads: tuple[LabelThread, ...]
    notions: tuple[str, ...] = ()
    states: tuple[tuple[str, str], ...] = ()


def kit_label_page(kit: Kit) -> str:
    """A page with the bag label of one kit."""
    return render("labels.html.j2", labels=[kit_label(kit)])


def bag_label_page(labels: Iterable[BagLabel]) -> str:
    """A page of bag labels, two side by side, to print and cut out."""
    return render("labels.html.j2", labels=[bag_label(label) for label in labels])


def fabric_label_page(labels: Iterable[FabricLabel]) -> str:
    """A page of fabric labels, two side by side, to print, cut out and pin on."""
    return render("fabric_labels.html.j2", labels=[_fabric_label(label) for label in labels])


def kit_label(kit: Kit) -> LabelText:
    """The label of a kit's bag; what is there is known only where a stash was given."""
    facts = [
        ("Chart", str(kit.chart.source.get("file", "")) or kit.title),
        ("Stitches", f"{kit.chart.columns} × {kit.chart.rows}"),
        ("Fabric", fabric_words(kit.fabric)),
        ("Finished", size(kit.requirements.finished_mm)),
        ("Cut", cut(kit.requirements.cut_mm)),
    ]
    threads = tuple(
        LabelThread(
            code=line.thread.code,
            hex=hex_colour(line.thread.rgb) if line.thread.told else None,
            strands=strands_words([use.requirement.strands for use in line.uses]),
            name=line.thread.name,
            symbols=_symbols(line, kit),
        )
        for line in kit.threads
    )
    return LabelText(kit.title, tuple(facts), threads, states=_kit_states(kit))


def _symbols(line: KitThread, kit: Kit) -> tuple[str, ...]:
    """The symbols of the classes that a thread is for."""
    found = (symbol_uri(kit.chart.classes[use.match.class_index]) for use in line.uses)
    return tuple(uri for uri in found if uri is not None)


def _kit_states(kit: Kit) -> tuple[tuple[str, str], ...]:
    """What of a kit's threads is in the stash and what is to buy; nothing is set apart by a kit."""
    if all(line.owned is None for line in kit.threads):
        return (("Missing", ""),)
    there = [t.thread.code + " (in part)" * bool(t.to_buy) for t in kit.threads if t.owned]
    wanted = [
        f"{amount(t.to_buy)}\N{NO-BREAK SPACE}×\N{NO-BREAK SPACE}{t.thread.code}"
        for t in kit.threads
        if t.to_buy
    ]
    return (
        ("In stash", ", ".join(there) or "none of the threads"),
        ("To buy", ", ".join(wanted) or "no thread"),
    )


def _bag_states(bag: BagLabel) -> tuple[tuple[str, str], ...]:
    """What is set apart, in the stash and to buy; nothing where the work is over."""
    if bag.set_apart and not (bag.in_stash or bag.to_buy):
        return (("Set apart", "everything"),)
    found = (("In stash", "; ".join(bag.in_stash)), ("To buy", "; ".join(bag.to_buy)))
    more = tuple((name, words) for name, words in found if words)
    return (("Set apart", "; ".join(bag.set_apart) or "nothing yet"), *more) if more else ()


def bag_label(bag: BagLabel) -> LabelText:
    """The label of a project's bag, from what the stash has set apart for it."""
    cuts = [
        cut((width, height)) + (f", {pieces} pieces" if pieces > 1 else "")
        for width, height, pieces in bag.cut_mm
    ]
    facts = [
        ("State", bag.state),
        ("Place", bag.place),
        *(("Chart", chart) for chart in bag.charts),
        ("Copies", str(bag.copies) if bag.copies > 1 else ""),
        ("Fabric", bag.fabric),
        *(("Cut", cut) for cut in cuts),
        *(("Piece", _piece_words(piece)) for piece in bag.pieces),
        ("Start", bag.wished_start),
        ("Deadline", bag.deadline),
        ("Note", bag.note),
    ]
    return LabelText(
        title=bag.project,
        facts=tuple((name, value) for name, value in facts if value),
        threads=tuple(_bag_thread(thread) for thread in bag.threads),
        notions=tuple(_notion_words(notion) for notion in bag.notions),
        states=_bag_states(bag),
    )


def _bag_thread(thread: BagThread) -> LabelThread:
    notes = [f"for {thread.called}"] * bool(thread.called)
    lots = " and ".join(thread.dye_lots)
    mixed = len(thread.dye_lots) > 1  # common practice, no source
    notes += [f"lots {lots}: compare in daylight" if mixed else f"lot {lots}"] * bool(lots)
    return LabelThread(
        code=thread.code,
        hex=hex_or_none(thread.rgb),
        strands=strands_words(thread.strands),
        note=", ".join(notes),
        name=thread.name,
    )


def _notion_words(notion: BagNotion) -> str:
    return f"{notion.name} {amount(notion.amount)} {notion.unit}".rstrip()


def _piece_words(piece: FabricLabel) -> str:
    return f"{piece.label}, {size(piece.size_mm)}"


def _fabric_label(piece: FabricLabel) -> dict[str, object]:
    """A fabric label for its template."""
    facts = [
        ("Count", count_words(piece.count, piece.count_down)),
        ("Colour", piece.colour),
        ("Fibre", piece.fibre),
        ("Size", size(piece.size_mm)),
        ("For", piece.project),
        ("Note", piece.note),
    ]
    return {
        "title": piece.label,
        "hex": hex_or_none(piece.rgb),
        "facts": [(name, value) for name, value in facts if value],
    }


# ---------------------------------------------------------------------------- words


def fabric_words(fabric: Fabric) -> str:
    """A fabric in words: ``"28 count over 2 threads, oatmeal linen"``."""
    over = counted(fabric.over, "thread")
    words = f"{count_words(fabric.count, fabric.count_down)} over {over}"
    return f"{words}, {fabric.name}" if fabric.name else words


def offcut_words(offcut: ShoppingOffcut) -> str:
    """Which project's fabric needn't be bought, and why, as a sentence."""
    return (
        f"Fabric for {offcut.project}: from what is left of {offcut.piece}"
        f" once {offcut.after} is cut."
    )


def untold_words(threads: Sequence[ShoppingThread]) -> str:
    """How threads to buy that nobody has named are told, as a sentence; "" where all are named."""
    untold = [thread.code for thread in threads if thread.name == UNTOLD]
    if not untold:
        return ""
    return f"{', '.join(untold)}: {UNTOLD} yet; the chart's key, filled in, tells which."


def count_words(count: float, down: float | None = None) -> str:
    """A count in words: ``"28 count"``, or ``"27 × 28 count"`` where the two ways differ."""
    both = f"{count:g}" if down in (None, count) else f"{count:g} × {down:g}"
    return f"{both} count"


def strands_words(strands: Sequence[int]) -> str:
    """The different strand counts of one thread, in order: ``"2"``, ``"2 and 1"``."""
    return " and ".join(str(number) for number in dict.fromkeys(strands))


def hex_or_none(rgb: RGB | None) -> str | None:
    """``#rrggbb`` for a template; None where the colour isn't known."""
    return None if rgb is None else hex_colour(rgb)
