"""A kit as data: the ``--json`` object (``chartscan.kit``, version 1) and spreadsheet rows."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from chartscan.csvtable import table_text
from chartscan.report.questions import questions_object
from chartscan.report.terminal import hex_colour
from chartscan.report.units import MM_PER_METRE, MM_PER_YARD
from chartscan.yardage.risk import rests_on

if TYPE_CHECKING:
    from chartscan.palette.thread import Match
    from chartscan.stash.kit import Kit, KitThread
    from chartscan.yardage.requirement import LengthRange

FORMAT = "chartscan.kit"
VERSION = 1

CSV_COLUMNS = (
    "code",
    "name",
    "line",
    "class",
    "chart_hex",
    "thread_hex",
    "delta_e",
    "stitches",
    "strands",
    "metres_low",
    "metres_likely",
    "metres_high",
    "yards_low",
    "yards_likely",
    "yards_high",
    "skeins",
    "owned",
    "to_buy",
)


def kit_object(kit: Kit) -> dict[str, Any]:
    """The kit as one JSON object; lengths are millimetres of single strand."""
    needs = kit.requirements
    return {
        "format": FORMAT,
        "version": VERSION,
        "chart": {
            "title": kit.title,
            "columns": kit.chart.columns,
            "rows": kit.chart.rows,
            "stitches": kit.chart.stitches,
            "source": dict(kit.chart.source),
        },
        "fabric": {
            "count": kit.fabric.count,
            "over": kit.fabric.over,
            "count_down": kit.fabric.count_down,
            "rgb": _list(kit.fabric.rgb),
            "name": kit.fabric.name,
        },
        "copies": needs.copies,
        "finished_mm": _rounded(needs.finished_mm),
        "cut_mm": _rounded(needs.cut_mm),
        "margin_mm": needs.margin_mm,
        "order": needs.order,
        "factor": needs.factor.value,
        "rests_on": rests_on(needs.factor),
        "threads": [_thread_object(thread) for thread in kit.threads],
        "totals": {
            "stitches": kit.stitches,
            "threads": len(kit.threads),
            "length_mm": _length_object(kit.length_mm),
            "skeins": kit.skeins,
            "to_buy": kit.to_buy,
            "runs_out": round(kit.runs_out.chance, 4),
            "price": None if kit.price is None else round(kit.price, 2),
        },
        "warnings": list(kit.warnings),
        "questions": questions_object(kit.chart),
    }


def _thread_object(line: KitThread) -> dict[str, Any]:
    needs, thread = line.requirement, line.thread
    blended = line.match.blended
    return {
        "class": line.match.class_index,
        "rgb": _list(line.match.rgb),
        "code": thread.code if thread.told else None,
        "name": thread.name if thread.told else None,
        "line": thread.line,
        "status": thread.status,
        "thread_rgb": list(thread.rgb) if thread.told else None,
        "delta_e": _delta_e(line.match),
        "grade": line.match.chosen.grade,
        "blended_with": blended.code if blended else None,
        "stitches": needs.stitches,
        "strands": needs.strands,
        "length_mm": _length_object(line.length_mm),
        "least_mm": round(needs.least_mm, 1),
        "pieces": needs.pieces,
        "skeins": needs.skeins,
        "owned": line.owned,
        "to_buy": line.to_buy,
        "price": line.price,
        "uses": [
            {
                "class": use.match.class_index,
                "rgb": _list(use.match.rgb),
                "delta_e": _delta_e(use.match),
                "stitches": use.requirement.stitches,
                "work": dict(use.requirement.work),
                "strands": use.requirement.strands,
                "length_mm": _length_object(use.requirement.length_mm),
            }
            for use in line.uses
        ],
    }


def kit_csv(kit: Kit) -> str:
    """The kit's threads as CSV with a header; metres and yards of single strand."""
    return table_text(CSV_COLUMNS, map(_csv_row, kit.threads))


def _csv_row(line: KitThread) -> list[str | float]:
    thread, needs = line.thread, line.requirement
    delta_e = _delta_e(line.match)
    lengths = (needs.length_mm.low, needs.length_mm.likely, needs.length_mm.high)
    return [
        thread.code if thread.told else "",
        thread.name,
        thread.line,
        " ".join(_class_cell(use.match) for use in line.uses),
        hex_colour(line.match.rgb) if line.match.rgb else "",
        hex_colour(thread.rgb) if thread.told else "",
        "" if delta_e is None else f"{delta_e:.2f}",
        needs.stitches,
        needs.strands,
        *(f"{mm / MM_PER_METRE:.3f}" for mm in lengths),
        *(f"{mm / MM_PER_YARD:.3f}" for mm in lengths),
        needs.skeins,
        "" if line.owned is None else f"{line.owned:g}",
        line.to_buy,
    ]


def _class_cell(match: Match) -> str:
    """A class as a key names it: with what the thread is blended with for it."""
    return f"{match.class_index}+{match.blended.code}" if match.blended else str(match.class_index)


def _length_object(length: LengthRange) -> dict[str, float]:
    return {
        "low": round(length.low, 1),
        "likely": round(length.likely, 1),
        "high": round(length.high, 1),
    }


def _delta_e(match: Match) -> float | None:
    """ΔE00 for a file; None where the chart has no colour to compare the thread with."""
    return None if match.rgb is None else round(match.chosen.delta_e, 3)


def _rounded(values: Sequence[float]) -> list[float]:
    return [round(value, 2) for value in values]


def _list(rgb: tuple[int, int, int] | None) -> list[int] | None:
    return None if rgb is None else list(rgb)
