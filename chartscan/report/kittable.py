"""A kit on the terminal: a table that 80 columns hold, and the totals in words."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from chartscan.plaintext import plain
from chartscan.report.cautions import ONE_LOT, kit_bleeding
from chartscan.report.labels import fabric_words, strands_words
from chartscan.report.terminal import (
    add_row,
    console,
    hex_colour,
    print_fitting,
    swatch_pair,
    table,
    true_colour,
)
from chartscan.report.units import MM_PER_METRE, MM_PER_YARD, at_hand, counted, cut, length, size

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    from chartscan.stash.kit import Kit, KitThread

NUMBERS = ("ΔE", "Stitches", "Str.", "Metres", "Yards", "Skeins", "Have", "Buy")
LEFT_OUT = (  # so that code and skeins are seen in a narrow window too
    (),
    ("Yards",),
    ("Yards", "Stitches", "Str."),
    ("Yards", "Stitches", "Str.", "Colour", "ΔE"),
    ("Yards", "Stitches", "Str.", "Colour", "ΔE", "Metres"),
)


def print_kit(kit: Kit) -> None:
    """Print the kit's threads and totals on standard output."""
    target = console()
    lacking = set() if any(line.owned is not None for line in kit.threads) else {"Have"}
    print_fitting(target, (_table(target, kit, {*lacking, *without}) for without in LEFT_OUT))
    for text in _totals(kit):
        target.print(text)


def _table(target: Console, kit: Kit, without: Collection[str]) -> Table:
    """The kit's threads, but for the columns ``without``."""
    heads = [name for name in ("Class", "Colour", "Thread", *NUMBERS) if name not in without]
    rows = table(*heads, right=NUMBERS, whole=("Colour",))
    for line in kit.threads:
        cells = _cells(target, line)
        add_row(rows, [cells[name] for name in heads])
    return rows


def _cells(target: Console, line: KitThread) -> dict[str, str | Text]:
    """One thread: with swatches chart | thread where the terminal shows them, else the hex."""
    needs, match = line.requirement, line.match
    if true_colour(target):
        thread = line.thread.rgb if line.thread.told else None
        colours: str | Text = swatch_pair(target, match.corrected or match.rgb, thread)
    else:
        colours = hex_colour(match.rgb) if match.rgb else "-"
    return {
        "Class": " ".join(str(use.match.class_index) for use in line.uses),
        "Colour": colours,
        "Thread": f"{line.thread.code} {line.thread.name}",
        "ΔE": _difference(line),
        "Stitches": f"{needs.stitches:,}",
        "Str.": strands_words([use.requirement.strands for use in line.uses]),
        "Metres": f"{needs.length_mm.likely / MM_PER_METRE:.1f}",
        "Yards": f"{needs.length_mm.likely / MM_PER_YARD:.1f}",
        "Skeins": str(needs.skeins),
        "Have": "" if line.owned is None else at_hand(line.owned),
        "Buy": str(line.to_buy) if line.to_buy else "-",
    }


def _difference(line: KitThread) -> str:
    """How far the thread is off, in ΔE00; of several classes the farthest."""
    off = [use.match.chosen.delta_e for use in line.uses if use.match.rgb]
    return f"{max(off):.1f}" if off and max(off) >= 0 else "-"


def _totals(kit: Kit) -> list[str]:
    """Fabric, sizes, thread and what to buy, in words."""
    needs = kit.requirements
    price = kit.price
    cost = "" if price is None or not kit.to_buy else f" for {price:,.2f}"
    copies = f", {needs.copies} times" if needs.copies > 1 else ""
    from chartscan.yardage import rests_on, runs_out_words

    threads = counted(len(kit.threads), "thread")
    said = [
        f"{plain(kit.title)}: {kit.chart.columns} × {kit.chart.rows} stitches,"
        f" {kit.stitches:,} to work",
        f"Fabric    {fabric_words(kit.fabric)}",
        f"Finished  {size(needs.finished_mm)}{copies}",
        f"Cut       {cut(needs.cut_mm)}{copies}",
        f"Thread    {threads}, likely {length(kit.length_mm.likely)} of single strand",
        f"Skeins    {kit.skeins} to have, {kit.to_buy} to buy{cost}",
        f"Chance    {runs_out_words(kit.runs_out, [line.thread.code for line in kit.threads])}",
        rests_on(needs.factor),
    ]
    return [*said, *(line for line in (kit.to_buy and ONE_LOT, kit_bleeding(kit)) if line)]
