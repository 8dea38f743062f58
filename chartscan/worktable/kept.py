"""A chart on the table as a value, and its card: the small file that says where it stands."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any, Literal, get_args

from chartscan.entry import Entry

State = Literal["waiting", "reading", "refused", "read"]


@dataclass(frozen=True)
class PageFile:
    """One file that was dropped.

    Attributes:
        stored: its name in the chart's folder, given by the table.
        name: what it was called where it came from; hostile, only ever shown.
    """

    stored: str
    name: str


@dataclass(frozen=True)
class Kept:
    """A chart on the table.

    Attributes:
        id: what it is called in addresses; says nothing and leads to no path.
        title: what the person calls it.
        version: goes up with every act; a page that acts on another one is stale.
        state: ``waiting`` for its pages to be told or its turn; ``reading``; ``refused`` by the
            reader; ``read``.
        files: its pages, in order.
        told: what the person told the reader: size, corners, turn, pages, layout.
        choices: what was chosen on the further screens, as JSON by name of the screen.
        refusal: the reader's sentence where it refused.
        remedies: what can be done about that; the page has the words.
        warnings: what the reader warned of.
    """

    id: str
    title: str
    version: int = 1
    state: State = "waiting"
    files: tuple[PageFile, ...] = ()
    told: Mapping[str, Any] = field(default_factory=dict)
    choices: Mapping[str, Any] = field(default_factory=dict)
    refusal: str = ""
    remedies: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


def dump_kept(kept: Kept) -> str:
    """The text of a chart's card."""
    return json.dumps(asdict(kept), ensure_ascii=False, indent=1) + "\n"


def parse_kept(text: str) -> Kept:
    """The card that ``text`` says; ValueError where it is damaged."""
    data = json.loads(text)
    if not isinstance(data, dict):
        raise ValueError("it isn't an object")
    card = Entry(data)
    return Kept(
        id=str(card.need("id")),
        title=str(card.need("title")),
        version=card.whole("version"),
        state=card.choice("state", get_args(State)),
        files=tuple(
            PageFile(str(entry.need("stored")), str(entry.need("name")))
            for entry in card.entries("files", "file")
        ),
        told=card.object_or_empty("told"),
        choices=card.object_or_empty("choices"),
        refusal=card.text_or_none("refusal") or "",
        remedies=tuple(str(remedy) for remedy in card.list_or_empty("remedies")),
        warnings=tuple(str(warning) for warning in card.list_or_empty("warnings")),
    )
