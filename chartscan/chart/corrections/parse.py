"""A line that a person writes, as an act that holds on to the page.

Rows and columns count from 1, as on a printed chart; ``x,y`` of lines and knots are cells from the
top left corner. A class is said by

=====================  ===================================================================
``4``                  its number, as lists and the chart file have it
``#aabbcc``            its colour, where no other has it
``"symbol 3"``         its symbol or its name
``@12,30``             a cell that is of it (or several: ``@12,30+14,7``)
``@3.5/4``             for a class of lines or knots: the middle of a line's first piece, or a knot
``empty``              the bare ground
``"new rust"``         a class made by that word, with a colour where told: ``"new rust #aa4422"``
=====================  ===================================================================
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable, Mapping, Sequence
from typing import get_args

from chartscan.chart.corrections.acts import (
    Act,
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
from chartscan.chart.corrections.lines import EMPTY, NEW, NONE, hex_of
from chartscan.chart.corrections.standing import Standing
from chartscan.chart.kinds import RGB, Corner, Kind, Shape
from chartscan.csvtable import parse_number

MOST_TEXT = 80  # characters of a name or symbol: a line on a label
QUARTER_TURNS = (0, 90, 180, 270)
HEX = re.compile(r"#[0-9a-fA-F]{6}")
SPAN = re.compile(r"(\d{1,6})(?:-(\d{1,6}))?")
SIZE = re.compile(r"(\d{1,6})[x×](\d{1,6})")
Words = Sequence[str]


def parse(line: str, standing: Standing) -> Act:
    """The act that ``line`` says; classes are those of ``standing``.

    Raises:
        ValueError: a clause that says what is wrong with it.
    """
    words = split_words(line)
    verb = words[0].lower() if words else ""
    if verb == "take" and len(words) > 1:
        verb, words = f"take {words[1].lower()}", words[1:]
    read = _READ.get(verb)
    if read is None:
        raise ValueError(f"{verb or 'nothing'!r} isn't a correction; there are {', '.join(_READ)}")
    return read(words[1:], standing)


def split_words(line: str) -> list[str]:
    """The words of a line; what stands in quotes is one. ValueError where a quote stays open."""
    try:
        return shlex.split(line)
    except ValueError:
        raise ValueError("a quotation mark stays open") from None


# ---------------------------------------------------------------------- naming a class


def class_ref(word: str, standing: Standing) -> ClassRef:
    """What holds on to the class that a word names; ValueError where it names none or several."""
    if word.lower() == EMPTY:
        return Bare()
    if re.match(rf"{NEW}\b", word, re.IGNORECASE):
        return _made(word, standing)
    return standing.ref(class_index(word, standing))


def class_index(word: str, standing: Standing) -> int:
    """The number of the class of the chart that a word names; ValueError where it names none."""
    return _at(word[1:], standing) if word.startswith("@") else _called(word, standing)


def _made(word: str, standing: Standing) -> Made:
    """``new rust #aa4422``; with a colour alone, by a word that is free."""
    named = word[len(NEW) :].strip()
    colour = HEX.search(named)
    rgb = None if colour is None else _rgb(colour[0])
    name = HEX.sub("", named).strip()
    if not name and rgb is not None:
        return Made(standing.free_word(), rgb)
    if not name:
        raise ValueError('a new class needs a word, such as "new rust"')
    return Made(_text(name), rgb)


def _at(places: str, standing: Standing) -> int:
    found = set()
    for place in places.split("+"):
        if "/" in place:
            found.add(standing.at_point(_xy(place, "/")))
        else:
            top, left, *_ = _block(place)
            found.add(standing.at_cell((top, left)))
    if len(found) > 1:
        raise ValueError(f"@{places} lies in several classes")
    return found.pop()


def _called(word: str, standing: Standing) -> int:
    classes = standing.chart.classes
    if word.isdecimal():
        found = [int(word)] if int(word) < len(classes) else []
    else:
        found = [
            c.index
            for c in classes
            if word in (c.symbol, c.name) or (c.rgb is not None and hex_of(c.rgb) == word.lower())
        ]
    if not found:
        raise ValueError(f"no class {word!r}; there are 0 to {len(classes) - 1}")
    if len(found) > 1:
        raise ValueError(
            f"{word!r} is the symbol or colour of several classes; give the index or a cell"
        )
    return found[0]


# ------------------------------------------------------------------- other small values


def _need(words: Words, least: int, most: int | None, like: str) -> None:
    if len(words) < least or (most is not None and len(words) > most):
        raise ValueError(f"is said like `{like}`")


def _block(word: str) -> Block:
    """``12,30`` or ``12-14,31-33`` as a rectangle of cells, from 0."""
    rows, _, columns = word.partition(",")
    top, bottom = _span(rows, word)
    left, right = _span(columns, word)
    return top, left, bottom, right


def _span(text: str, word: str) -> tuple[int, int]:
    match = SPAN.fullmatch(text.strip())
    if match is None:
        raise ValueError(f"{word!r} isn't a row and a column, like 12,30 or 12-14,31-33")
    first, last = int(match[1]), int(match[2] or match[1])
    if not 1 <= first <= last:
        raise ValueError(f"{word!r}: rows and columns are told from 1, the smaller first")
    return first - 1, last - 1


def _xy(word: str, between: str = ",") -> Point:
    x, comma, y = word.partition(between)
    if not comma:
        raise ValueError(f"{word!r} isn't a point, like 12.5,30")
    return parse_number(x, "x"), parse_number(y, "y")


def _rgb(word: str) -> RGB:
    if not HEX.fullmatch(word):
        raise ValueError(f"{word!r} isn't a colour like #aabbcc")
    red, green, blue = bytes.fromhex(word[1:])
    return red, green, blue


def _text(word: str) -> str:
    if len(word) > MOST_TEXT or not word.isprintable():
        raise ValueError(f"a name or symbol is one line of {MOST_TEXT} characters at most")
    return word.strip()


def _choice(word: str, allowed: tuple[str, ...]) -> str:
    if word not in allowed:
        raise ValueError(f"{word!r} is none of {', '.join(allowed)}")
    return word


def _whole(word: str) -> int:
    if not word.isdecimal() or not 1 <= int(word) <= 100_000:
        raise ValueError(f"{word!r} isn't a whole number from 1 on")
    return int(word)


# --------------------------------------------------------------------- a verb at a time


def _ground(words: Words, standing: Standing) -> Act:
    _need(words, 1, None, "ground 4 or ground none")
    if [word.lower() for word in words] == [NONE]:
        return Ground(())
    return Ground(tuple(class_ref(word, standing) for word in words))


def _one(words: Words, standing: Standing) -> Act:
    _need(words, 2, None, "one 3 5")
    return One(_several(words, standing))


def _apart(words: Words, standing: Standing) -> Act:
    _need(words, 2, None, "apart 3 5")
    return Apart(_several(words, standing))


def _several(words: Words, standing: Standing) -> tuple[ClassRef, ...]:
    refs = tuple(class_ref(word, standing) for word in words)
    if len(set(refs)) < len(refs):
        raise ValueError("names one class twice")
    return refs


def _split(words: Words, standing: Standing) -> Act:
    """Without cells it is to be worked out on the picture; its blocks are empty until then."""
    _need(words, 1, None, 'split 5, or split 5 12,30 12,31 "new rust"')
    of, cells = class_ref(words[0], standing), list(words[1:])
    told = cells and re.match(rf"{NEW}\b", cells[-1], re.IGNORECASE)
    made = _made(cells.pop(), standing) if told else Made(standing.free_word())
    return Split(of, tuple(map(_block, cells)), made)


def _whole_class(words: Words, standing: Standing) -> Act:
    _need(words, 1, 1, "whole 5")
    return Whole(class_ref(words[0], standing))


def _name(words: Words, standing: Standing) -> Act:
    _need(words, 2, 2, 'name 4 "deep water"')
    return Name(class_ref(words[0], standing), _text(words[1]))


def _colour(words: Words, standing: Standing) -> Act:
    _need(words, 2, 2, "colour 4 #aabbcc")
    return Colour(class_ref(words[0], standing), _rgb(words[1]))


def _symbol(words: Words, standing: Standing) -> Act:
    _need(words, 2, 2, "symbol 4 heart")
    return Symbol(class_ref(words[0], standing), _text(words[1]))


def _kind(words: Words, standing: Standing) -> Act:
    _need(words, 2, 2, "kind 4 knot")
    kind: Kind = _choice(words[1], get_args(Kind))  # type: ignore[assignment]  # one of them
    return IsKind(class_ref(words[0], standing), kind)


def _set(words: Words, standing: Standing) -> Act:
    _need(words, 2, None, "set 12,30 4 or set 12-14,31-33 empty")
    blocks = tuple(map(_block, words[:-1]))
    rows, columns = standing.chart.rows, standing.chart.columns
    for word, (_, _, bottom, right) in zip(words, blocks, strict=False):
        if bottom >= rows or right >= columns:
            raise ValueError(f"{word} isn't in the chart, which has {rows} rows, {columns} columns")
    return SetCells(blocks, class_ref(words[-1], standing))


def _part(words: Words, standing: Standing) -> Act:
    _need(words, 4, 4, 'part 12,30 triangle "top left" 4')
    (row, column), corner = _cell(words[0]), _corner(words[2])
    shape: Shape = _choice(words[1], get_args(Shape))  # type: ignore[assignment]  # one of them
    return PutPart(row, column, shape, corner, class_ref(words[3], standing))


def _take_part(words: Words, standing: Standing) -> Act:
    _need(words, 2, 2, 'take part 12,30 "top left"')
    return TakePart(*_cell(words[0]), _corner(words[1]))


def _cell(word: str) -> tuple[int, int]:
    top, left, bottom, right = _block(word)
    if (top, left) != (bottom, right):
        raise ValueError(f"{word} is more than one cell")
    return top, left


def _corner(word: str) -> Corner:
    corner: Corner = _choice(word, get_args(Corner))  # type: ignore[assignment]  # one of them
    return corner


def _line(words: Words, standing: Standing) -> Act:
    _need(words, 3, None, "line 6 2,3 4,3")
    return PutLine(class_ref(words[0], standing), tuple(map(_xy, words[1:])))


def _take_line(words: Words, standing: Standing) -> Act:
    _need(words, 2, None, "take line 2,3 4,3")
    return TakeLine(tuple(map(_xy, words)))


def _knot(words: Words, standing: Standing) -> Act:
    _need(words, 2, 2, "knot 7 12.5,30.5")
    return PutKnot(class_ref(words[0], standing), *_xy(words[1]))


def _take_knot(words: Words, standing: Standing) -> Act:
    _need(words, 1, 1, "take knot 12.5,30.5")
    return TakeKnot(*_xy(words[0]))


def _size(words: Words, standing: Standing) -> Act:
    _need(words, 1, 1, "size 60x58 or size as-read")
    if words[0].lower() == AsRead.verb:
        return Size(standing.chart.columns, standing.chart.rows)
    match = SIZE.fullmatch(words[0])
    if match is None:
        raise ValueError(f"{words[0]!r} isn't a size like 60x58 (columns x rows)")
    return Size(_whole(match[1]), _whole(match[2]))


def _corners(words: Words, standing: Standing) -> Act:
    _need(words, 4, 4, "corners 102,80 1410,95 1398,1790 88,1771")
    return Corners(tuple(map(_xy, words)))


def _turn(words: Words, standing: Standing) -> Act:
    _need(words, 1, 1, "turn 90")
    if words[0] not in map(str, QUARTER_TURNS):
        raise ValueError(f"{words[0]!r} is none of {', '.join(map(str, QUARTER_TURNS))} degrees")
    return Turn(int(words[0]))


def _colours(words: Words, standing: Standing) -> Act:
    _need(words, 1, 1, "colours 7")
    return Colours(_whole(words[0]))


def _marks(words: Words, standing: Standing) -> Act:
    _need(words, 1, 1, "marks as-read or marks look-again")
    way = _choice(words[0].lower(), (AsRead.verb, LookAgain.verb))
    return AsRead("marks") if way == AsRead.verb else LookAgain("marks")


def _page(words: Words, standing: Standing) -> Act:
    _need(words, 1, 1, "page as-read or page look-again")
    way = _choice(words[0].lower(), (AsRead.verb, LookAgain.verb))
    return AsRead("page") if way == AsRead.verb else LookAgain("page")


_READ: Mapping[str, Callable[[Words, Standing], Act]] = {
    "set": _set,
    "one": _one,
    "apart": _apart,
    "split": _split,
    "whole": _whole_class,
    "ground": _ground,
    "name": _name,
    "colour": _colour,
    "symbol": _symbol,
    "kind": _kind,
    "part": _part,
    "take part": _take_part,
    "line": _line,
    "take line": _take_line,
    "knot": _knot,
    "take knot": _take_knot,
    "size": _size,
    "corners": _corners,
    "turn": _turn,
    "colours": _colours,
    "marks": _marks,
    "page": _page,
}
