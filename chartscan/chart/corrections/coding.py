"""Corrections as JSON in the chart file: an object an act, rows and columns from 0."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields
from typing import Any, get_args

from chartscan.chart.corrections.acts import (
    Act,
    Adrift,
    Apart,
    AsRead,
    Bare,
    ClassRef,
    Colour,
    Colours,
    Corners,
    Ground,
    IsKind,
    LookAgain,
    Made,
    Matter,
    Name,
    One,
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
from chartscan.chart.kinds import RGB, Corner, Kind, Shape
from chartscan.entry import Entry, numbers, whole

ACTS: Mapping[str, type[Act]] = {
    act.verb: act
    for act in (
        *(Ground, One, Apart, Split, Whole, Name, Colour, Symbol, IsKind),
        *(SetCells, PutPart, TakePart, PutLine, TakeLine, PutKnot, TakeKnot),
        *(Size, Corners, Turn, Colours, AsRead, LookAgain, Adrift),
    )
}


def encode_act(act: Act) -> dict[str, Any]:
    """An act as a JSON object."""
    told = {each.name: _encode(getattr(act, each.name)) for each in fields(act)}
    return {"act": act.verb, **told}


def _encode(value: object) -> object:
    if isinstance(value, Seen):
        return {
            "cells": _encode(value.cells),
            **({"points": _encode(value.points)} if value.points else {}),
            "kind": value.kind,
            "rgb": _encode(value.rgb),
            "symbol": value.symbol,
        }
    if isinstance(value, Made):
        return {"made": value.word, "rgb": _encode(value.rgb)}
    if isinstance(value, Bare):
        return {"made": None}
    if isinstance(value, get_args(Act)):
        return encode_act(value)
    if isinstance(value, tuple):
        return [_encode(one) for one in value]
    return value


def decode_act(entry: Entry) -> Act:
    """The act that a JSON object says; ValueError where it is none."""
    kind: Any = ACTS[entry.choice("act", tuple(ACTS))]
    act: Act = kind(**{each.name: _FIELDS[each.name](entry, each.name) for each in fields(kind)})
    return act


def _ref(entry: Entry, key: str) -> ClassRef:
    return _decode_ref(entry.need(key), f"{key!r} of {entry.words}")


def _refs(entry: Entry, key: str) -> tuple[ClassRef, ...]:
    words = f"a class of {entry.words}"
    return tuple(_decode_ref(value, words) for value in entry.list_or_empty(key))


def _decode_ref(value: object, words: str) -> ClassRef:
    if not isinstance(value, dict):
        raise ValueError(f"{words} isn't an object")
    ref = Entry(value, words)
    if "made" in value:
        word = ref.text_or_none("made")
        return Bare() if word is None else Made(word, _rgb_or_none(ref, "rgb"))
    kind: Kind = ref.choice("kind", get_args(Kind))
    cells = tuple((r, c) for r, c in _wholes(ref, "cells", 2))
    points = _points(ref, "points")
    return Seen(cells, points, kind, _rgb_or_none(ref, "rgb"), ref.text_or_none("symbol"))


def _into(entry: Entry, key: str) -> ClassRef:
    ref = _ref(entry, key)
    if entry.data["act"] == Split.verb and not isinstance(ref, Made):
        raise ValueError(f"{key!r} of {entry.words} isn't a class that was made")
    return ref


def _wholes(entry: Entry, key: str, length: int) -> tuple[tuple[int, ...], ...]:
    words = f"{key!r} of {entry.words}"
    found = []
    for value in entry.list_or_empty(key):
        if not isinstance(value, list) or len(value) != length:
            raise ValueError(f"{words} holds something else than {length} whole numbers")
        found.append(tuple(whole(one, words) for one in value))
    return tuple(found)


def _blocks(entry: Entry, key: str) -> tuple[tuple[int, int, int, int], ...]:
    blocks = tuple((t, le, b, r) for t, le, b, r in _wholes(entry, key, 4))
    if not blocks:
        raise ValueError(f"{entry.words} has no cells")
    return blocks


def _points(entry: Entry, key: str) -> tuple[tuple[float, float], ...]:
    words = f"a point of {entry.words}"
    pairs = (numbers(value, 2, words) for value in entry.list_or_empty(key))
    return tuple((x, y) for x, y in pairs)


def _rgb(entry: Entry, key: str) -> RGB:
    rgb = _rgb_or_none(entry, key)
    if rgb is None:
        raise ValueError(f"{entry.words} has no {key!r}")
    return rgb


def _rgb_or_none(entry: Entry, key: str) -> RGB | None:
    value = entry.data.get(key)
    if value is None:
        return None
    words = f"{key!r} of {entry.words}"
    if not isinstance(value, list) or len(value) != 3:
        raise ValueError(f"{words} isn't a list of 3 numbers")
    red, green, blue = (whole(level, words) for level in value)
    if not all(0 <= level <= 255 for level in (red, green, blue)):
        raise ValueError(f"{words} is {value}, not from 0 to 255")
    return red, green, blue


def _text(entry: Entry, key: str) -> str:
    return entry.text_or_none(key) or ""


def _acts(entry: Entry, key: str) -> tuple[Act, ...]:
    return tuple(decode_act(one) for one in entry.entries(key, "act"))


_FIELDS: Mapping[str, Callable[[Entry, str], object]] = {
    "of": _ref,
    "classes": _refs,
    "blocks": _blocks,
    "text": _text,
    "line": _text,
    "reason": _text,
    "instead": _acts,
    "rgb": _rgb,
    "points": _points,
    "row": Entry.whole,
    "column": Entry.whole,
    "columns": Entry.whole,
    "rows": Entry.whole,
    "degrees": Entry.whole,
    "number": Entry.whole,
    "x": Entry.number,
    "y": Entry.number,
    "kind": lambda entry, key: entry.choice(key, get_args(Kind)),
    "shape": lambda entry, key: entry.choice(key, get_args(Shape)),
    "corner": lambda entry, key: entry.choice(key, get_args(Corner)),
    "matter": lambda entry, key: entry.choice(key, get_args(Matter)),
    "into": _into,
}
"""How each field of an act is decoded; a name means the same in every act."""
