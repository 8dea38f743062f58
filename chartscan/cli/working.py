"""What the commands that estimate share: options on fabric and way of working, and JSON."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, Any, TypeVar

import click

from chartscan.cli.parsing import ANY_NUMBER, ANY_WHOLE, parsed
from chartscan.csvtable import parse_number
from chartscan.lengths import parse_length

if TYPE_CHECKING:
    from chartscan.yardage import EstimateSettings, Fabric, Requirement, Requirements

Command = TypeVar("Command", bound=Callable[..., Any])

MM_PER_METRE = 1000.0
FINISHES = ("framed", "hoop", "cushion", "card", "ornament")
ORDERS = ("shortest", "rows", "columns", "crosses")
MARKS = ("parts", "lines", "knots")


def parse_piece(text: str) -> tuple[float, float]:
    """``400x500`` (mm), ``40x50cm`` or ``16x20in`` as width and height in mm."""
    match = re.fullmatch(r"\s*([\d.,]+)\s*(mm|cm|m|in|yd|)\s*[xX×]\s*([\d.,]+)\s*(\w*)\s*", text)
    if not match:
        raise ValueError(f"{text!r} isn't a piece like 400x500, 40x50cm or 16x20in")
    unit = match[4]
    return parse_length(match[1] + (match[2] or unit)), parse_length(match[3] + unit)


def parse_pair(text: str) -> tuple[int, int]:
    """``3=2`` as class 3 and 2 strands."""
    match = re.fullmatch(r"\s*(\d{1,6})\s*=\s*(\d{1,6})\s*", text)
    if not match:
        raise ValueError(f"{text!r} isn't like 3=2 (class 3, two strands)")
    return int(match[1]), int(match[2])


def parse_class_length(text: str) -> tuple[int, float]:
    """``3=30cm`` as class 3 and a length in mm."""
    number, equals, length = text.partition("=")
    if not (equals and number.strip().isdecimal()):
        raise ValueError(f"{text!r} isn't like 3=30cm (class 3, cut 30 cm long)")
    return int(number), parse_length(length)


def parse_class_share(text: str) -> tuple[int, float]:
    """``3=1.1`` as class 3 and a share of the usual."""
    number, equals, share = text.partition("=")
    if not (equals and number.strip().isdecimal()):
        raise ValueError(f"{text!r} isn't like 3=1.1 (class 3, a tenth more than usual)")
    return int(number), parse_number(share, "a share")


def parse_metres(text: str) -> float:
    """``8``, ``8m`` or ``8.7yd`` in metres."""
    return parse_length(text, bare="m") / MM_PER_METRE


def parse_class_work(text: str) -> tuple[int, str]:
    """``3=half`` as class 3 and its stitch."""
    number, _, work = text.partition("=")
    if not number.strip().isdecimal() or work.strip() not in ("cross", "half", "bead"):
        raise ValueError(f"{text!r} isn't like 3=half; stitches are cross, half and bead")
    return int(number), work.strip()


def parse_fabrics(text: str) -> tuple[tuple[float, int], ...]:
    """``28/2,32/2,14`` as counts and threads crossed."""
    found = []
    for part in text.split(","):
        match = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*(?:/\s*(\d+))?\s*", part)
        if not match:
            raise ValueError(f"{part.strip()!r} isn't like 28/2 (count / threads crossed)")
        found.append((float(match[1]), int(match[2] or 1)))
    return tuple(found)


def _length(*names: str, help_text: str) -> Callable[[Any], Any]:
    return click.option(*names, callback=parsed(parse_length), metavar="MM", help=help_text)


def _of_classes(name: str, parse: Callable[[str], Any], metavar: str, help_text: str) -> Any:  # noqa: ANN401 - what click.option gives
    return click.option(
        name,
        multiple=True,
        callback=parsed(parse),
        metavar=metavar,
        help=f"{help_text}; may be repeated.",
    )


WORKING_OPTIONS = (
    click.option(
        "--fabric", "count", type=ANY_NUMBER, metavar="N", help="Fabric threads per inch."
    ),
    click.option(
        "--over",
        type=ANY_WHOLE,
        default=1,
        metavar="N",
        help="Threads crossed by a stitch (1 or 2).",
    ),
    click.option(
        "--count-down",
        type=ANY_NUMBER,
        metavar="N",
        help="Threads per inch downwards.  [default: as across]",
    ),
    click.option(
        "--strands",
        type=ANY_WHOLE,
        metavar="N",
        help="Strands for crosses.  [default: by the fabric]",
    ),
    click.option(
        "--line-strands", type=ANY_WHOLE, metavar="N", help="Strands for lines.  [default: 1]"
    ),
    click.option(
        "--knot-strands", type=ANY_WHOLE, metavar="N", help="Strands for knots.  [default: 1]"
    ),
    click.option(
        "--class-strands",
        multiple=True,
        callback=parsed(parse_pair),
        metavar="CLASS=N",
        help="Strands for one class; may be repeated.",
    ),
    click.option(
        "--class-stitch",
        multiple=True,
        callback=parsed(parse_class_work),
        metavar="CLASS=STITCH",
        help="Stitch for one class: cross, half or bead; may be repeated.",
    ),
    click.option(
        "--triangle",
        type=click.Choice(["three-quarter", "half"]),
        help="Stitch for a triangle alone in its cell.  [default: three-quarter]",
    ),
    click.option(
        "--lines",
        type=click.Choice(["backstitch", "double-running"]),
        help="How lines are worked.  [default: backstitch]",
    ),
    click.option(
        "--wraps", type=ANY_WHOLE, metavar="N", help="Turns of thread in a knot.  [default: 1]"
    ),
    click.option(
        "--without", type=click.Choice(MARKS), multiple=True, help="Leave out a kind of mark."
    ),
    click.option(
        "--order",
        type=click.Choice(ORDERS),
        help="Working order.  [default: shortest: rows, or columns where they are shorter]",
    ),
    _length("--carry", "carry_mm", help_text="Longest carry along the back.  [default: 12]"),
    click.option("--no-carry", is_flag=True, help="Never carry along the back."),
    _length(
        "--working-length", "working_mm", help_text="Thread cut for the needle.  [default: 450]"
    ),
    _length("--tail", "needle_mm", help_text="Thread left in the needle.  [default: 80]"),
    _of_classes("--class-cut", parse_class_length, "CLASS=MM", "Thread cut for one class"),
    _of_classes("--class-tail", parse_class_length, "CLASS=MM", "Left in the needle for one class"),
    _of_classes(
        "--class-hand", parse_class_share, "CLASS=SHARE", "What one takes as a share of the usual"
    ),
    click.option("--no-loop-start", is_flag=True, help="Never begin with a loop."),
    _length(
        "--margin", "margin_mm", help_text="Cloth round the design on each side.  [default: 75]"
    ),
    click.option("--finish", type=click.Choice(FINISHES), help="Margin by kind of finishing."),
    click.option(
        "--copies", type=ANY_WHOLE, metavar="N", help="How many times it is worked.  [default: 1]"
    ),
    click.option(
        "--risk", type=ANY_NUMBER, metavar="SHARE", help="Chance of running out.  [default: 0.05]"
    ),
    click.option(
        "--risk-of",
        type=click.Choice(["thread", "project"]),
        help="Whether that is of each thread, or that any thread runs out.  [default: thread]",
    ),
    click.option(
        "--own-factor/--no-own-factor",
        default=True,
        help="Use what `chartscan usage` has learnt.",
    ),
)


def skein_options(command: Command) -> Command:
    """Give ``command`` what a skein holds: ``metres``, and ``divides`` strands."""
    command = click.option(
        "--divides",
        type=ANY_WHOLE,
        default=6,
        metavar="N",
        help="Strands that the thread divides into.",
    )(command)
    return click.option(
        "--metres",
        callback=parsed(parse_metres),
        default="8",
        metavar="M",
        help="Length of a skein: 8 (metres), or 8.7yd.",
    )(command)


def working_options(command: Command) -> Command:
    """Give ``command`` the options on fabric and way of working.

    The command gets them as two arguments: ``fabric``, a :class:`Fabric` or None where none was
    told, and ``working``, an :class:`EstimateSettings` that knows the stitcher's own factor.
    """

    @wraps(command)
    def with_working(**values: Any) -> object:  # noqa: ANN401 - click passes any option value
        told = {name: values.pop(name) for name in WORKING_NAMES}
        return command(fabric=_fabric(told), working=_settings(told), **values)

    decorated: Any = with_working
    for option in reversed(WORKING_OPTIONS):
        decorated = option(decorated)
    result: Command = decorated
    return result


WORKING_NAMES = (
    *("count", "over", "count_down", "strands", "line_strands", "knot_strands"),
    *("class_strands", "class_stitch", "triangle", "lines", "wraps", "without", "order"),
    *("carry_mm", "no_carry", "working_mm", "needle_mm", "no_loop_start", "margin_mm"),
    *("class_cut", "class_tail", "class_hand"),
    *("finish", "copies", "risk", "risk_of", "own_factor"),
)


def _fabric(told: dict[str, Any]) -> Fabric | None:
    from chartscan.tasks.fabric import choose_fabric

    if told["count"] is None:
        return None
    return choose_fabric(told["count"], told["over"], told["count_down"])


def _settings(told: dict[str, Any]) -> EstimateSettings:
    """Settings from option values; a usage error where two contradict each other."""
    from chartscan.tasks.fabric import way_of_working

    if told["no_carry"] and told["carry_mm"] is not None:
        raise click.UsageError("--carry and --no-carry can't both be given")
    if told["finish"] and told["margin_mm"] is not None:
        raise click.UsageError("--finish and --margin can't both be given")
    plain = (
        *("strands", "line_strands", "knot_strands", "triangle", "lines", "wraps", "order"),
        *("carry_mm", "working_mm", "needle_mm", "margin_mm", "copies", "risk", "risk_of"),
    )
    values = {name: told[name] for name in plain if told[name] is not None}
    if told["no_carry"]:
        values["carry_mm"] = 0.0
    return way_of_working(
        **values,
        finish=told["finish"],
        own_factor=told["own_factor"],
        class_strands=dict(told["class_strands"]),
        works=dict(told["class_stitch"]),
        class_working_mm=dict(told["class_cut"]),
        class_needle_mm=dict(told["class_tail"]),
        class_hand=dict(told["class_hand"]),
        without=frozenset(told["without"]),
        loop_start=not told["no_loop_start"],
    )


def need_fabric(fabric: Fabric | None) -> Fabric:
    """``fabric``, or a usage error where none was told."""
    if fabric is None:
        raise click.UsageError("Missing option '--fabric': threads per inch, 14 or 28 say")
    return fabric


# ---------------------------------------------------------------------------- JSON


def fabric_json(fabric: Fabric) -> dict[str, Any]:
    """A fabric as JSON."""
    from chartscan.yardage import stitches_per_inch

    across, down = stitches_per_inch(fabric)
    return {
        "count": fabric.count,
        "over": fabric.over,
        "count_down": fabric.count_down or fabric.count,
        "stitches_per_inch": [across, down],
        "stitches_per_cm": [across / 2.54, down / 2.54],
        "cell_mm": list(fabric.cell_mm),
    }


def requirement_json(r: Requirement) -> dict[str, Any]:
    """What a class, or several together, take, as JSON; lengths in mm of single strand."""
    return {
        "class": r.class_index,
        "stitches": r.stitches,
        "work": dict(r.work),
        "strands": r.strands,
        "length_mm": {
            "low": r.length_mm.low,
            "likely": r.length_mm.likely,
            "high": r.length_mm.high,
        },
        "least_mm": r.least_mm,
        "pieces": r.pieces,
        "skeins": r.skeins,
        "enough": list(r.enough),
        "spread_mm": r.spread_mm,
        "terms": [{"name": t.name, "mm": t.mm, "note": t.note} for t in r.terms],
    }


def requirements_json(found: Requirements) -> dict[str, Any]:
    """An estimate as one JSON object."""
    from chartscan.yardage import in_all, rests_on, runs_out, sheet_for

    total = requirement_json(in_all(found))
    kept = ("stitches", "length_mm", "least_mm", "pieces", "skeins", "spread_mm", "terms")
    return {
        "fabric": fabric_json(found.fabric),
        "copies": found.copies,
        "finished_mm": list(found.finished_mm),
        "cut_mm": list(found.cut_mm),
        "together_mm": list(sheet_for(found.copies, found.cut_mm).size_mm),
        "margin_mm": found.margin_mm,
        "order": found.order,
        "factor": found.factor.value,
        "rests_on": rests_on(found.factor),
        "threads": [requirement_json(r) for r in found.threads],
        "totals": {name: total[name] for name in kept}
        | {"runs_out": runs_out(found.threads).chance},
        "warnings": list(found.warnings),
    }
