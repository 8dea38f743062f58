"""A kit on the terminal: a table that 80 columns hold, and the totals in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from chartscan.plaintext import plain
from chartscan.report.cautions import kit_bleeding
from chartscan.report.labels import fabric_words, strands_words
from chartscan.report.terminal import (
    add_row,
    console,
    hex_colour,
    swatch_pair,
    table,
    true_colour,
)
from chartscan.report.units import amount, counted, length, size

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

    from chartscan.stash.kit import Kit, KitThread

NUMBERS = ("ΔE", "Stitches", "Str.", "Metres", "Skeins", "Have", "Buy")


def print_kit(kit: Kit) -> None:
    """Print the kit's threads and totals on standard output."""
    target = console()
    owned = any(line.owned is not None for line in kit.threads)
    numbers = [name for name in NUMBERS if owned or name != "Have"]
    rows = table("Class", "Colour", "Thread", *numbers, right=NUMBERS, whole=("Colour",))
    for line in kit.threads:
        add_row(rows, _row(target, line, owned=owned))
    target.print(rows)
    for text in _totals(kit):
        target.print(text)


def _row(target: Console, line: KitThread, *, owned: bool) -> list[str | Text]:
    """One thread: with swatches chart | thread where the terminal shows them, else the hex."""
    needs, match = line.requirement, line.match
    if true_colour(target):
        colours: str | Text = swatch_pair(target, match.corrected or match.rgb, line.thread.rgb)
    else:
        colours = hex_colour(match.rgb) if match.rgb else "-"
    at_hand = [] if not owned else ["" if line.owned is None else amount(line.owned)]
    return [
        " ".join(str(use.match.class_index) for use in line.uses),
        colours,
        f"{line.thread.code} {line.thread.name}",
        _difference(line),
        f"{needs.stitches:,}",
        strands_words([use.requirement.strands for use in line.uses]),
        f"{needs.length_mm.likely / 1000:.1f}",
        str(needs.skeins),
        *at_hand,
        str(line.to_buy) if line.to_buy else "-",
    ]


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
        f"Cut       {size(needs.cut_mm)}{copies}",
        f"Thread    {threads}, likely {length(kit.length_mm.likely)} of single strand",
        f"Skeins    {kit.skeins} to have, {kit.to_buy} to buy{cost}",
        f"Chance    {runs_out_words(kit.runs_out, [line.thread.code for line in kit.threads])}",
        rests_on(needs.factor),
    ]
    bleeding = kit_bleeding(kit)
    return [*said, bleeding] if bleeding else said
