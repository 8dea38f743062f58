"""A reading done again from where a number is first looked at, with all before it kept.

The reader's stages are functions from values to a value. A page is read three times: once by the
clock, which tells what is worth keeping; once with what those functions were given, what they gave
and which numbers they looked at; and then once for every number moved, where a function that is
given the same and doesn't look at that number isn't called again. No stage knows of it.
"""

from __future__ import annotations

import dataclasses
import hashlib
import inspect
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from enum import Enum
from functools import cached_property, partial, wraps
from pathlib import Path
from types import BuiltinFunctionType, FunctionType, MethodType, ModuleType
from typing import Any, Generic, TypeVar

import numpy as np
from PIL import Image

from tests.benchmarks.numbers import Number, modules, put, watched

WORTH = 0.003  # seconds a call from which on a function's values are kept
LARGE = 1 << 14  # bytes from which on an array's digest is kept
PROGRESS = "chartscan.progress"  # whose functions say how far a reading is, and change nothing

Function = Callable[..., Any]
Read = TypeVar("Read")


class Opaque(TypeError):
    """A value of which nobody can tell whether another is the same."""


class Digests:
    """Digests of values; settings that are known count by who they are, not by their numbers."""

    def __init__(self, numbers: list[Number]) -> None:
        self.settings = {id(holder): n for n in numbers for holder in n.holders}
        self.arrays: dict[int, tuple[np.ndarray[Any, Any], bytes]] = {}
        self.seen: set[int] = set()  # ids of those that were looked at since it was cleared
        self.keeps = False

    def of(self, value: object) -> bytes:
        """The digest of a value."""
        made = hashlib.blake2b(digest_size=16)
        self._add(value, made.update)
        return made.digest()

    def changed(self) -> set[int]:
        """Which arrays that were kept were written to since, by id."""
        return {at for at, (array, digest) in self.arrays.items() if _of_array(array) != digest}

    def _add(self, value: object, add: Callable[[bytes], None]) -> None:
        if value is None or isinstance(value, (bool, int, float, complex, str, bytes, Path, Enum)):
            add(f"{type(value).__name__}{value!r};".encode())
        elif isinstance(value, np.ndarray):
            add(self._array(value))
        elif isinstance(value, (np.generic, np.dtype)):
            add(f"{value!r};".encode())
        elif isinstance(value, (tuple, list)):
            add(f"{type(value).__name__}{len(value)}(".encode())
            for each in value:
                self._add(each, add)
        elif isinstance(value, (set, frozenset)):
            add(b"set" + b"".join(sorted(self.of(each) for each in value)))
        elif isinstance(value, dict):
            add(f"dict{len(value)}(".encode())
            for key, each in value.items():
                self._add(key, add)
                self._add(each, add)
        elif dataclasses.is_dataclass(value) and not isinstance(value, type):
            self._dataclass(value, add)
        else:
            self._callable(value, add)

    def _array(self, value: np.ndarray[Any, Any]) -> bytes:
        if value.dtype.hasobject:
            return self.of(value.tolist())
        if value.nbytes < LARGE:
            return _of_array(value)
        if self.keeps:
            self.seen.add(id(value))
        if id(value) in self.arrays:
            return self.arrays[id(value)][1]
        digest = _of_array(value)
        if self.keeps:
            self.arrays[id(value)] = value, digest
        return digest

    def _dataclass(self, value: object, add: Callable[[bytes], None]) -> None:
        add(type(value).__qualname__.encode())
        if id(value) in self.settings:
            add(f"{id(value)};".encode())
            return
        for field in dataclasses.fields(value):  # type: ignore[arg-type]  # it is one
            self._add(object.__getattribute__(value, field.name), add)

    def _callable(self, value: object, add: Callable[[bytes], None]) -> None:
        if isinstance(value, FunctionType):
            add(f"{value.__module__}.{value.__qualname__};".encode())
            if value.__module__ != PROGRESS:
                for cell in value.__closure__ or ():
                    self._add(cell.cell_contents, add)
        elif isinstance(value, MethodType):
            self._add((value.__self__, value.__func__), add)
        elif isinstance(value, partial):
            self._add((value.func, value.args, value.keywords), add)
        elif isinstance(value, (type, BuiltinFunctionType, ModuleType, np.ufunc)):
            add(f"{value!r};".encode())
        elif isinstance(value, Image.Image):
            add(f"{value.mode}{value.size}".encode() + hashlib.blake2b(value.tobytes()).digest())
        else:
            raise Opaque(type(value).__name__)


def _of_array(value: np.ndarray[Any, Any]) -> bytes:
    made = hashlib.blake2b(f"{value.dtype}{value.shape}".encode(), digest_size=16)
    made.update(value.tobytes())
    return made.digest()


@dataclasses.dataclass
class Clock:
    """How long a function took, over how many calls."""

    seconds: float = 0.0
    calls: int = 0


class Replay(Generic[Read]):
    """One page's reading, kept so that it can be done again with a number moved.

    ``read`` reads the page and gives what is to be compared. Functions that write to what they
    are given, or whose values nobody can compare, are always called again.
    """

    def __init__(self, numbers: list[Number], read: Callable[[], Read]) -> None:
        self.numbers = numbers
        self.read = read
        self.digests = Digests(numbers)
        self.kept: dict[tuple[str, bytes], tuple[Any, frozenset[str]]] = {}
        self._looking: list[set[str]] = [set()]
        self._moved = ""
        self._now: dict[tuple[int, str], tuple[object, object]] = {}  # with whose it is
        self._impure: set[Function] = set()
        read()  # what is loaded late is loaded
        worth = self._worth()
        while True:
            self.usual = self._record(worth)
            worth -= self._impure
            if not self._impure:
                break
            self._impure.clear()
        self.looked_at = frozenset(self._looking[0])

    @contextmanager
    def ready(self) -> Iterator[Replay[Read]]:
        """Meanwhile readings are done :meth:`again`."""
        wanted = {function: self._replayed(function) for function in self.worth}
        with patched(wanted), properties(self._property):
            yield self

    def again(self, number: Number, value: object) -> Read:
        """What the page is read as with a number moved."""
        self._moved = number.name
        self._now.clear()
        with put(number, value):
            return self.read()

    def _worth(self) -> set[Function]:
        """Functions that take long enough for their values to be kept."""
        clocks: dict[Function, Clock] = {function: Clock() for function in _functions()}
        with patched({function: _timed(function, clock) for function, clock in clocks.items()}):
            self.read()
        return {f for f, c in clocks.items() if c.calls and c.seconds >= WORTH * c.calls}

    def _record(self, worth: set[Function]) -> Read:
        self.worth = frozenset(worth)
        self.kept.clear()
        self.digests.arrays.clear()
        self.digests.keeps = True
        self._looking = [set()]
        self._held: dict[Function, set[int]] = {}  # arrays that they were given or gave
        wanted = {function: self._recorded(function) for function in worth}
        with (
            watched(self.numbers, lambda names: self._looking[-1].update(names)),
            patched(wanted),
            properties(self._property),
        ):
            got = self.read()
        self.digests.keeps = False
        changed = self.digests.changed()
        self._impure |= {f for f, held in self._held.items() if held & changed}
        return got

    def _recorded(self, function: Function) -> Function:
        name = f"{function.__module__}.{function.__qualname__}"

        @wraps(function)
        def call(*args: object, **named: object) -> object:
            try:
                self.digests.seen.clear()
                key = name, self.digests.of((args, named))
            except Opaque:
                self._impure.add(function)
                return function(*args, **named)
            held = self._held.setdefault(function, set())
            held |= self.digests.seen
            if key in self.kept:
                self._looking[-1] |= self.kept[key][1]
                return self.kept[key][0]
            self._looking.append(set())
            try:
                got = function(*args, **named)
            finally:
                names = self._looking.pop()
                self._looking[-1] |= names
            try:
                self.digests.seen.clear()
                self.digests.of(got)
                held |= self.digests.seen
                if self.digests.of((args, named)) != key[1]:
                    self._impure.add(function)
            except Opaque:
                self._impure.add(function)
            self.kept[key] = got, frozenset(names)
            return got

        return call

    def _replayed(self, function: Function) -> Function:
        name = f"{function.__module__}.{function.__qualname__}"

        @wraps(function)
        def call(*args: object, **named: object) -> object:
            try:
                kept = self.kept.get((name, self.digests.of((args, named))))
            except Opaque:
                kept = None
            if kept is not None and self._moved not in kept[1]:
                return kept[0]
            return function(*args, **named)

        return call

    def _property(self, usual: cached_property[Any]) -> property:
        """One that knows which numbers it looked at, and is worked out anew where one was moved."""
        name = f"_{usual.attrname}_and_numbers"

        def look(value: object) -> object:
            held = vars(value).get(name)
            if held is not None and (self.digests.keeps or self._moved not in held[1]):
                self._looking[-1] |= held[1]
                return held[0]
            if not self.digests.keeps:
                if (id(value), name) not in self._now:
                    self._now[id(value), name] = value, usual.func(value)
                return self._now[id(value), name][1]
            self._looking.append(set())
            vars(value)[name] = usual.func(value), self._looking.pop()
            self._looking[-1] |= vars(value)[name][1]
            return vars(value)[name][0]

        return property(look)


def _functions() -> list[Function]:
    """Functions of the reader's modules, but those that give one value after the other."""
    return [
        value
        for module in modules()
        for value in vars(module).values()
        if inspect.isfunction(value)
        and value.__module__ == module.__name__
        and not inspect.isgeneratorfunction(value)
        and not hasattr(value, "__wrapped__")
    ]


def _timed(function: Function, clock: Clock) -> Function:
    @wraps(function)
    def call(*args: object, **named: object) -> object:
        start = time.perf_counter()
        try:
            return function(*args, **named)
        finally:
            clock.seconds += time.perf_counter() - start
            clock.calls += 1

    return call


@contextmanager
def patched(instead: dict[Function, Function]) -> Iterator[None]:
    """Meanwhile every module of the program calls the others in place of these functions."""
    held = [
        (vars(module), name, value)
        for module in [*sys.modules.values()]
        if (getattr(module, "__name__", None) or "").startswith("chartscan.")
        for name, value in [*vars(module).items()]
        if inspect.isfunction(value) and value in instead
    ]
    for names, name, value in held:
        names[name] = instead[value]
    try:
        yield
    finally:
        for names, name, value in held:
            names[name] = value


@contextmanager
def properties(instead: Callable[[cached_property[Any]], property]) -> Iterator[None]:
    """Meanwhile the reader's values have other properties in place of those that they keep."""
    held = [
        (kind, name, value)
        for module in modules()
        for kind in vars(module).values()
        if isinstance(kind, type) and kind.__module__ == module.__name__
        for name, value in vars(kind).items()
        if isinstance(value, cached_property)
    ]
    for kind, name, value in held:
        setattr(kind, name, instead(value))
    try:
        yield
    finally:
        for kind, name, value in held:
            setattr(kind, name, value)
