"""Every number in the reader's settings, and a way to watch which are looked at and to move one.

Settings are default values: of functions, of fields of other settings, of modules. A number is
known by its class, its field and, in a tuple, its place; where two values of a class differ in it,
each is a number. Tuples of more than :data:`SEPARATE` numbers are fitted weights or tables, and
move as one.
"""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from types import ModuleType
from typing import Any

import chartscan.reading

NO_SETTINGS = ("Looks",)  # values that have numbers of their own
SEPARATE = 4  # numbers of a tuple that are moved one by one


@dataclass(frozen=True)
class Number:
    """One number of the settings.

    Attributes:
        name: class, field and, in a tuple, place.
        room: folder of ``chartscan/reading`` that its class stands in.
        kind: its class. field: its field there.
        place: its place in a tuple; None for a number, or all of a long tuple.
        value: what it is. holders: the settings that hold it.
    """

    name: str
    room: str
    kind: type
    field: str
    place: int | None
    value: Any
    holders: tuple[Any, ...] = dataclasses.field(repr=False, compare=False)

    def times(self, factor: float) -> object:
        """Its value a quarter greater or less; a whole one by one at least."""
        if isinstance(self.value, tuple):
            return tuple(_times(each, factor) for each in self.value)
        return _times(self.value, factor)


def modules() -> list[ModuleType]:
    """All modules of the reader, loaded."""
    package = chartscan.reading
    found = pkgutil.walk_packages(package.__path__, package.__name__ + ".")
    return [importlib.import_module(each.name) for each in found]


def numbers() -> list[Number]:
    """All of them, by room and name."""
    by_name: dict[tuple[type, str, int | None, Any], list[Any]] = {}
    for holder in _settings():
        for field in dataclasses.fields(holder):
            for place, value in _numbers(getattr(holder, field.name)):
                by_name.setdefault((type(holder), field.name, place, value), []).append(holder)
    for kind in _kinds():
        if kind.__name__ in NO_SETTINGS:
            for field in dataclasses.fields(kind):
                for place, value in _numbers(field.default):
                    by_name[kind, field.name, place, value] = []
    found = []
    seen: set[str] = set()
    for (kind, field_name, place, value), holders in by_name.items():
        module = kind.__module__.removeprefix(chartscan.reading.__name__ + ".")
        name = f"{module}.{kind.__name__}.{field_name}"
        name += "" if place is None else f"[{place}]"
        name += f" = {value!r}" if name in seen else ""
        seen.add(name)
        room = module.partition(".")[0]
        found.append(Number(name, room, kind, field_name, place, value, tuple(holders)))
    return sorted(found, key=lambda number: number.name)


def _kinds() -> list[Any]:
    """Every dataclass of the reader."""
    return [
        kind
        for module in modules()
        for kind in vars(module).values()
        if isinstance(kind, type)
        and kind.__module__ == module.__name__
        and dataclasses.is_dataclass(kind)
    ]


def _settings() -> list[Any]:
    """Every dataclass value that is a default somewhere in the reader."""
    found: dict[int, Any] = {}
    for module in modules():
        for value in vars(module).values():
            for default in (value, *_defaults(value)):
                _add(default, found)
    return list(found.values())


def _defaults(value: object) -> Iterator[Any]:
    """Default values of a function, or of a class's methods."""
    functions = [value]
    if isinstance(value, type) and value.__module__.startswith(chartscan.reading.__name__):
        functions = [getattr(each, "__func__", each) for each in vars(value).values()]
    for function in functions:
        if inspect.isfunction(function):
            yield from function.__defaults__ or ()
            yield from (function.__kwdefaults__ or {}).values()


def _add(value: object, found: dict[int, Any]) -> None:
    ours = type(value).__module__.startswith(chartscan.reading.__name__)
    if not ours or not dataclasses.is_dataclass(value) or isinstance(value, type):
        return
    if id(value) not in found:
        found[id(value)] = value
        for field in dataclasses.fields(value):
            _add(getattr(value, field.name), found)


def _numbers(value: object) -> Iterator[tuple[int | None, Any]]:
    if _is_number(value):
        yield None, value
    elif isinstance(value, tuple) and value and all(_is_number(each) for each in value):
        if len(value) > SEPARATE:
            yield None, value
        else:
            yield from enumerate(value)


def _is_number(value: object) -> bool:
    return type(value) in (int, float)


def _times(number: float, factor: float) -> float:
    if isinstance(number, int):
        step = max(1, round(abs(number) * abs(factor - 1)))
        return number + step if factor > 1 else number - step
    return number * factor


@contextmanager
def put(number: Number, value: object) -> Iterator[None]:
    """Meanwhile it is ``value``, in settings that are there and in those that are made."""
    before = [(holder, object.__getattribute__(holder, number.field)) for holder in number.holders]
    start: Any = number.kind.__init__  # type: ignore[misc]  # the one that dataclasses made
    defaults = start.__defaults__
    usual = before[0][1] if before else vars(number.kind)[number.field]
    moved = value
    if number.place is not None:
        moved = (*usual[: number.place], value, *usual[number.place + 1 :])
    names = [field.name for field in dataclasses.fields(number.kind) if field.init]
    names = names[len(names) - len(defaults or ()) :]
    at_class = vars(number.kind).get(number.field, None)
    try:
        for holder, _ in before:
            object.__setattr__(holder, number.field, moved)
        start.__defaults__ = tuple(
            moved if name == number.field and at == usual else at
            for name, at in zip(names, defaults or (), strict=True)
        )
        if at_class == usual:
            setattr(number.kind, number.field, moved)
        yield
    finally:
        for holder, value_before in before:
            object.__setattr__(holder, number.field, value_before)
        start.__defaults__ = defaults
        if at_class == usual:
            setattr(number.kind, number.field, at_class)


@contextmanager
def watched(all_: list[Number], note: Callable[[tuple[str, ...]], None]) -> Iterator[None]:
    """Meanwhile ``note`` hears the names of numbers that are looked at."""
    by_kind: dict[type, dict[str, list[Number]]] = {}
    for number in all_:
        by_kind.setdefault(number.kind, {}).setdefault(number.field, []).append(number)
    for kind, fields in by_kind.items():
        kind.__getattribute__ = _watching(fields, note)  # type: ignore[method-assign,assignment]
    try:
        yield
    finally:
        for kind in by_kind:
            del kind.__getattribute__


def _watching(
    fields: dict[str, list[Number]], note: Callable[[tuple[str, ...]], None]
) -> Callable[[Any, str], Any]:
    held = {
        (id(holder), name): tuple(
            n.name for n in all_ if any(other is holder for other in n.holders)
        )
        for name, all_ in fields.items()
        for number in all_
        for holder in number.holders
    }
    any_of = {name: tuple(n.name for n in all_) for name, all_ in fields.items()}

    def look(self: object, name: str) -> object:
        if name in any_of:
            note(held.get((id(self), name), any_of[name]))
        return object.__getattribute__(self, name)

    return look
