"""What a screen of the table is: one module, one template, one module of script, its words.

A screen called ``fabric`` is

- ``screens/fabric.py`` with a value ``SCREEN`` of this type, listed in ``screens/__init__.py``;
- ``templates/fabric.html.j2``, a fragment that is put into the page;
- ``static/fabric.js``, which exports ``open(root, place)``;
- the section ``"fabric"`` of ``words/en.json``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from chartscan.entry import Entry

if TYPE_CHECKING:
    from chartscan.worktable.table import Table


@dataclass(frozen=True)
class Asked:
    """A request that the guard let in: what it told, every value still to be checked.

    Attributes:
        told: the query of a look, the JSON of an act; :class:`~chartscan.entry.Entry` checks each
            value that is taken out of it.
        data: the bytes of a dropped file; empty otherwise.
    """

    told: Entry
    data: bytes = b""

    @property
    def chart(self) -> str:
        """The id of the chart that it is about; ValueError where none is told."""
        return self.text("chart")

    @property
    def version(self) -> int:
        """The version of the chart that the page saw when it acted."""
        return self.told.whole("version")

    def text(self, key: str) -> str:
        """The text ``key``, which must be there."""
        value = self.told.need(key)
        if not isinstance(value, str):
            raise ValueError(f"{key!r} isn't text")
        return value

    def whole_text(self, key: str, default: int | None = None) -> int:
        """A whole number of a query, where all is text; ``default`` where it is missing."""
        value = self.told.data.get(key)
        if value is None and default is not None:
            return default
        if not isinstance(value, str) or not value.isascii() or not value.isdecimal():
            raise ValueError(f"{key!r} isn't a whole number")
        return int(value[:MOST_DIGITS])


MOST_DIGITS = 9  # digits of a number in a query: no chart has a thousand million of anything


@dataclass(frozen=True)
class Shown:
    """Bytes for the browser.

    Attributes:
        data: the bytes.
        kind: their media type.
        sealed: a page of its own, that runs nothing, for a frame or a tab.
        name: the file's name where it is to be saved; "" where it is shown.
    """

    data: bytes
    kind: str
    sealed: bool = False
    name: str = ""


Show = Callable[["Table", Asked], Mapping[str, Any]]
Act = Callable[["Table", Asked], Mapping[str, Any]]
Look = Callable[["Table", Asked], Shown]


@dataclass(frozen=True)
class Screen:
    """One screen.

    Attributes:
        name: of its template, its script, its words and its address.
        show: the values for its template.
        acts: what can be done on it: JSON in, JSON out; each changes something.
        looks: what it fetches besides: pictures, arrays; none changes a thing.
        about_chart: whether it shows one chart, and is a step of the job; else it shows all.
        is_there: whether the table has what it shows, and so a way to it.
    """

    name: str
    show: Show
    acts: Mapping[str, Act] = field(default_factory=dict)
    looks: Mapping[str, Look] = field(default_factory=dict)
    about_chart: bool = True
    is_there: Callable[[Table], bool] = lambda table: True
