"""An act as one line, as a person writes it: rows and columns from 1, a class by where it lies."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable, Mapping, Sequence
from typing import assert_never

from chartscan.chart.corrections.acts import (
    Act,
    Adrift,
    Apart,
    AsRead,
    Bare,
    Block,
    ClassRef,
    Colour,
    Colours,
    Corners,
    Ground,
    IsKind,
    LookAgain,
    Made,
    Name,
    One,
    Point,
    PutKnot,
    PutLine,
    PutPart,
    Seen,
    SetCells,
    Size,
    Split,
    Symbol,
    TakeKnot,
    TakeLine,
    TakePart,
    Turn,
    Whole,
)

NONE = "none"
EMPTY = "empty"
NEW = "new"
PLAIN = re.compile(r"[\w@#+,./-]+")
CLASS_PLACES: Mapping[str, slice] = {
    "ground": slice(1, None),
    "one": slice(1, None),
    "apart": slice(1, None),
    "split": slice(1, 2),
    "whole": slice(1, 2),
    "name": slice(1, 2),
    "colour": slice(1, 2),
    "symbol": slice(1, 2),
    "kind": slice(1, 2),
    "line": slice(1, 2),
    "knot": slice(1, 2),
    "set": slice(-1, None),
    "part": slice(-1, None),
}
"""Which words of a line name a class, by its first word."""


def line_of(act: Act, name: Callable[[ClassRef], str] | None = None) -> str:
    """The line that says ``act``; ``name`` says a class, else it is said by where it lies."""
    called = name or lasting
    return _joined(_words(act, called))


def _words(act: Act, called: Callable[[ClassRef], str]) -> list[str]:
    """The words of an act's line."""
    match act:
        case Ground() | One() | Apart():
            named = [called(ref) for ref in act.classes]
            return [act.verb, *(named or [NONE])]
        case Split():
            cells = [block_of(block) for block in act.blocks]
            return [act.verb, called(act.of), *cells, *([called(act.into)] if cells else [])]
        case Whole():
            return [act.verb, called(act.of)]
        case Name() | Symbol():
            return [act.verb, called(act.of), act.text]
        case Colour():
            return [act.verb, called(act.of), hex_of(act.rgb)]
        case IsKind():
            return [act.verb, called(act.of), act.kind]
        case SetCells():
            return [act.verb, *map(block_of, act.blocks), called(act.into)]
        case _:
            return _mark_words(act, called)


def _mark_words(
    act: PutPart
    | TakePart
    | PutLine
    | TakeLine
    | PutKnot
    | TakeKnot
    | Size
    | Corners
    | Turn
    | Colours
    | AsRead
    | LookAgain
    | Adrift,
    called: Callable[[ClassRef], str],
) -> list[str]:
    match act:
        case PutPart():
            where = f"{act.row + 1},{act.column + 1}"
            return [act.verb, where, act.shape, act.corner, called(act.of)]
        case TakePart():
            return ["take", "part", f"{act.row + 1},{act.column + 1}", act.corner]
        case PutLine():
            return [act.verb, called(act.of), *map(_point, act.points)]
        case TakeLine():
            return ["take", "line", *map(_point, act.points)]
        case PutKnot():
            return [act.verb, called(act.of), _point((act.x, act.y))]
        case TakeKnot():
            return ["take", "knot", _point((act.x, act.y))]
        case Size():
            return [act.verb, f"{act.columns}x{act.rows}"]
        case Corners():
            return [act.verb, *map(_point, act.points)]
        case Turn():
            return [act.verb, str(act.degrees)]
        case Colours():
            return [act.verb, str(act.number)]
        case AsRead() | LookAgain():
            return [act.matter, act.verb]
        case Adrift():
            return shlex.split(act.line)
        case _:
            assert_never(act)


def lasting(ref: ClassRef) -> str:
    """A class by where it lies: ``@12,30+14,7``, or ``@3.5/4`` for x and y of a mark."""
    if isinstance(ref, Seen):
        cells = [f"{row + 1},{column + 1}" for row, column in ref.cells]
        points = [f"{x:g}/{y:g}" for x, y in ref.points]
        return "@" + "+".join(cells + points)
    if isinstance(ref, Made):
        return f"{NEW} {ref.word}" + (f" {hex_of(ref.rgb)}" if ref.rgb is not None else "")
    assert isinstance(ref, Bare)
    return EMPTY


def _joined(words: Sequence[str]) -> str:
    """Words as one line, those with a space or sign in them in double quotes."""
    return " ".join(word if PLAIN.fullmatch(word) else _quoted(word) for word in words)


def _quoted(word: str) -> str:
    return '"' + word.replace("\\", r"\\").replace('"', r"\"") + '"'


def hex_of(rgb: tuple[int, int, int]) -> str:
    """A colour as ``#rrggbb``."""
    return "#{:02x}{:02x}{:02x}".format(*rgb)


def block_of(block: Block) -> str:
    """A rectangle of cells as ``12-14,31-33``, from 1."""
    top, left, bottom, right = (place + 1 for place in block)
    rows = f"{top}" if top == bottom else f"{top}-{bottom}"
    columns = f"{left}" if left == right else f"{left}-{right}"
    return f"{rows},{columns}"


def _point(point: Point) -> str:
    return f"{point[0]:g},{point[1]:g}"


def renumbered(line: str, numbers: Mapping[int, int | None]) -> str | None:
    """The same line in other class numbers; None where it names a class that is no more."""
    try:
        words = shlex.split(line)
    except ValueError:
        return line  # no line of ours; it is told when it is tried
    start = 2 if words[:1] == ["instead"] else 0
    named = words[start:]
    place = CLASS_PLACES.get(named[0]) if named else None
    if place is None:
        return line
    new = []
    for word in named[place]:
        number = numbers.get(int(word)) if word.isdecimal() else None
        if word.isdecimal() and number is None:
            return None
        new.append(word if number is None else str(number))
    named[place] = new
    return _joined([*words[:start], *named])
