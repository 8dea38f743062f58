"""The kit sheet: one self-contained page to print on A4 or Letter, tick off and put in the bag."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from chartscan.report.bar import range_bar
from chartscan.report.cautions import kit_cautions
from chartscan.report.html import render
from chartscan.report.labels import fabric_words, hex_or_none, kit_label, strands_words
from chartscan.report.pictures import symbol_uri
from chartscan.report.questions import question_lines
from chartscan.report.stitched import data_uri, draw_stitched
from chartscan.report.terminal import RGB, hex_colour
from chartscan.report.units import (
    MM_PER_INCH,
    amount,
    at_hand,
    counted,
    cut_cm,
    cut_inches,
    length,
    size_cm,
    size_inches,
)
from chartscan.yardage.risk import rests_on, words
from chartscan.yardage.together import runs_out_words

if TYPE_CHECKING:
    from PIL.Image import Image

    from chartscan.chart import Chart
    from chartscan.palette.thread import Match
    from chartscan.stash.kit import Kit, KitThread

THINGS = (
    "Fabric, cut to size and its edges secured",
    "All threads of the table",
    "Needles (a blunt one; a sharp one for stitches that split a thread)",
    "Beads, charms and other notions",
    "A working copy of the chart",
    "Hoop or frame",
)


def kit_sheet(kit: Kit) -> str:
    """The kit sheet as one HTML page; pictures are inside it."""
    return render(
        "kit.html.j2",
        title=kit.title,
        source=str(kit.chart.source.get("file", "")),
        picture=data_uri(kit_picture(kit)),
        caption=_caption(kit),
        facts=_facts(kit),
        warnings=kit.warnings,
        questions=question_lines(kit.chart),
        rows=[_row(line, kit) for line in kit.threads],
        owned_known=any(line.owned is not None for line in kit.threads),
        things=THINGS,
        cautions=(_rests_on(kit), *kit_cautions(kit)),
        label=kit_label(kit),
    )


def _rests_on(kit: Kit) -> str:
    """How likely it is that a thread runs out, and what that rests on."""
    codes = [line.thread.code for line in kit.threads]
    return f"{runs_out_words(kit.runs_out, codes)} {rests_on(kit.requirements.factor)}"


def kit_picture(kit: Kit) -> Image:
    """The kit's design as stitched, on its fabric's colour."""
    return draw_stitched(kit.chart, thread_colours(kit), kit.fabric.rgb, kit.fabric.cell_mm)


def _caption(kit: Kit) -> str:
    """What the picture shows: grey stands for threads that nobody has told yet."""
    told = [line.thread.told for line in kit.threads]
    if all(told):
        return "As it will look, in the threads chosen"
    grey = "grey where no thread is told yet"
    return f"As it will look, {grey}" if any(told) else "All grey: no thread is told yet"


def thread_colours(kit: Kit) -> Mapping[int, RGB]:
    """The colour of the thread, or the mean of a blend's two threads, by class of the chart."""
    worn: dict[int, list[RGB]] = {}
    for line in kit.threads:
        for use in line.uses:
            worn.setdefault(use.match.class_index, []).append(line.thread.rgb)
    return {index: _mean(colours) for index, colours in worn.items()}


def _mean(colours: list[RGB]) -> RGB:
    red, green, blue = (
        round(sum(channel) / len(colours)) for channel in zip(*colours, strict=True)
    )
    return red, green, blue


def _facts(kit: Kit) -> list[tuple[str, list[str]]]:
    """Name and lines of every figure beside the picture, metric and imperial."""
    needs = kit.requirements
    across, _ = needs.fabric.cell_mm
    per_inch = f"{MM_PER_INCH / across:.3g} stitches per inch, {10 / across:.2g} per cm"
    facts = [
        ("Chart", [f"{kit.chart.columns} × {kit.chart.rows} stitches"]),
        ("To work", [counted(kit.stitches, "stitch", "stitches")]),
        ("Fabric", [fabric_words(needs.fabric), per_inch]),
        ("Finished", [size_cm(needs.finished_mm), size_inches(needs.finished_mm)]),
        (
            "Cut",
            [
                cut_cm(needs.cut_mm),
                cut_inches(needs.cut_mm),
                f"with {amount(needs.margin_mm / 10)} cm ({needs.margin_mm / MM_PER_INCH:.1f} in)"
                " on every side",
            ],
        ),
        ("Threads", [counted(len(kit.threads), "thread") + _of_line(kit)]),
        ("Length", [length(kit.length_mm.likely), "of single strand, likely"]),
        ("Skeins", [f"{kit.skeins} to have, {kit.to_buy} to buy"]),
    ]
    if needs.copies > 1:
        facts.insert(2, ("Copies", [f"{needs.copies}; thread is for all of them"]))
    return facts


def _of_line(kit: Kit) -> str:
    """The line that all threads are of, for "15 threads of …"; rows needn't say it then."""
    lines = {line.thread.line for line in kit.threads}
    return f" of {lines.pop()}" if len(lines) == 1 and lines != {""} else ""


def _row(line: KitThread, kit: Kit) -> dict[str, Any]:
    """One thread of the table."""
    needs, thread = line.requirement, line.thread
    metres, _, yards = length(needs.length_mm.likely).partition(" (")
    return {
        "labels": [_beside_symbol(kit.chart, use.match.class_index) for use in line.uses],
        "symbols": [symbol_uri(kit.chart.classes[use.match.class_index]) for use in line.uses],
        "chart_hexes": [hex_or_none(use.match.corrected or use.match.rgb) for use in line.uses],
        "thread_hex": hex_colour(thread.rgb) if thread.told else None,
        "code": thread.code if thread.told else "",
        "name": thread.name,
        "note": _note(line, kit.chart, name_line=not _of_line(kit)),
        "stitches": f"{needs.stitches:,}",
        "strands": strands_words([use.requirement.strands for use in line.uses]),
        "metres": metres.removesuffix(" m"),
        "yards": yards.removesuffix(" yd)"),
        "bar": range_bar(needs.length_mm, needs.skeins, needs.put_up_mm),
        "chance": words(needs.enough) if _last_skein_matters(needs.enough) else "",
        "skeins": needs.skeins,
        "owned": "" if line.owned is None else at_hand(line.owned),
        "to_buy": line.to_buy or "–",
    }


def _last_skein_matters(enough: Sequence[float]) -> bool:
    """Whether one skein less might do: only then are the chances worth the space."""
    return len(enough) > 1 and enough[-2] >= 0.005


def _beside_symbol(chart: Chart, index: int) -> str:
    """What a class is called where its symbol is shown as well: its number says enough."""
    pictured = chart.classes[index].picture is not None
    return str(index) if pictured else class_label(chart, index)


def class_label(chart: Chart, index: int) -> str:
    """What a class is called beside the chart: its symbol if it has one, its number always."""
    found = chart.classes[index]
    name = {"line": "line ", "knot": "knot "}.get(found.kind, "")
    if found.symbol is None or found.symbol.split()[-1:] == [str(index)]:
        return found.symbol or f"{name}{index}"
    return f"{name}{found.symbol} ({index})"


def _note(line: KitThread, chart: Chart, *, name_line: bool) -> str:
    """The small print under a thread's name: what it is for, and how near it is to each colour."""
    said = {}
    for use in line.uses:
        index = use.match.class_index
        said[index] = "; ".join(filter(None, (chart.classes[index].name, _use_words(use.match))))
    if len(said) > 1:
        words = [f"{index}: {text}" for index, text in said.items() if text]
    else:
        words = [text for text in said.values() if text]
    if line.thread.line and name_line:
        words.insert(0, line.thread.line)
    if line.thread.status == "discontinued":
        words.append("no longer made")
    return "; ".join(words)


def _use_words(match: Match) -> str:
    """How near the thread is to one class's colour, in words."""
    if not match.chosen.thread.told:
        words = "write it here, or name it in a key"
    elif match.keyed and not match.picked:
        words = "as the key says"
    elif match.rgb is None:
        words = "as chosen"
    else:
        main_way, *_ = match.chosen.direction.split(", ")
        differs = ", ".join(filter(None, (match.chosen.grade, main_way)))
        words = f"{differs} (ΔE\u00a0{match.chosen.delta_e:.1f})"
        if match.picked:
            words = f"as chosen, {words}"
    if match.blended:
        words += f", blended with {match.blended.code}, a strand of each"
    return words
