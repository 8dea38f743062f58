"""Bag labels: what goes on the bag that a project is kept in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from chartscan.report.html import render
from chartscan.report.terminal import hex_colour
from chartscan.report.units import amount, counted, size

if TYPE_CHECKING:
    from chartscan.stash.kit import Kit
    from chartscan.yardage.requirement import Fabric


@dataclass(frozen=True)
class LabelThread:
    """A thread on a label: code, ``#rrggbb``, strands in the needle ("2", "2 and 1"), a note."""

    code: str
    hex: str | None = None
    strands: str = ""
    note: str = ""


@dataclass(frozen=True)
class BagLabel:
    """A bag label.

    Attributes:
        title: the project.
        facts: name and value, in order: chart, stitches, fabric, cut, place, wished start …
        threads: every thread in the bag.
        notions: beads, needles and so on, in words; a blank line to write on where there are none.
        missing: what still has to come; () where all is there; None where that isn't known.
    """

    title: str
    facts: tuple[tuple[str, str], ...]
    threads: tuple[LabelThread, ...]
    notions: tuple[str, ...] = ()
    missing: tuple[str, ...] | None = None


def bag_label(kit: Kit) -> BagLabel:
    """The label of a kit's bag; what is missing is known only where a stash was given."""
    facts = [
        ("Chart", str(kit.chart.source.get("file", "")) or kit.title),
        ("Stitches", f"{kit.chart.columns} × {kit.chart.rows}"),
        ("Fabric", fabric_words(kit.fabric)),
        ("Finished", size(kit.requirements.finished_mm)),
        ("Cut", size(kit.requirements.cut_mm)),
    ]
    threads = tuple(
        LabelThread(
            code=line.thread.code,
            hex=hex_colour(line.thread.rgb),
            strands=strands_words([use.requirement.strands for use in line.uses]),
        )
        for line in kit.threads
    )
    known = any(line.owned is not None for line in kit.threads)
    missing = tuple(f"{t.thread.code} ({amount(t.to_buy)})" for t in kit.threads if t.to_buy)
    return BagLabel(kit.title, tuple(facts), threads, missing=missing if known else None)


def labels_page(labels: Sequence[BagLabel]) -> str:
    """A page of labels, two side by side, to print and cut out."""
    return render("labels.html.j2", labels=labels)


def fabric_words(fabric: Fabric) -> str:
    """A fabric in words: ``"28 count over 2, oatmeal linen"``."""
    count = f"{fabric.count:g}"
    if fabric.count_down and fabric.count_down != fabric.count:
        count += f" × {fabric.count_down:g}"
    over = "thread" if fabric.over == 1 else "threads"
    words = f"{count} count over {counted(fabric.over, over, over)}"
    return f"{words}, {fabric.name}" if fabric.name else words


def strands_words(strands: Sequence[int]) -> str:
    """The different strand counts of one thread, in order: ``"2"``, ``"2 and 1"``."""
    return " and ".join(str(number) for number in dict.fromkeys(strands))
