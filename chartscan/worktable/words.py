"""Every word that the page says, from one file a language: ``words/en.json``.

A translation is another such file. What the reader and the other wings say (refusals, warnings,
questions) comes through as they say it.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from importlib.resources import files
from typing import Any

FALLBACK = "en"


def languages() -> tuple[str, ...]:
    """Codes of the languages that there is a file for, the fallback first."""
    names = sorted(
        entry.name.removesuffix(".json")
        for entry in files("chartscan.worktable").joinpath("words").iterdir()
        if entry.name.endswith(".json")
    )
    return (FALLBACK, *(name for name in names if name != FALLBACK))


def load_words(language: str = FALLBACK) -> Mapping[str, Mapping[str, Any]]:
    """Section -> name -> text of one of :func:`languages`.

    A text may hold ``{names}``; one that depends on a number is an object of ``one`` and ``other``
    and is chosen by ``n``.
    """
    place = files("chartscan.worktable").joinpath("words", f"{language}.json")
    words: Mapping[str, Mapping[str, Any]] = json.loads(place.read_text(encoding="utf-8"))
    return words


class Said:
    """Looks words up: ``said("shelf.title")``, ``said("check.cells", n=3)``."""

    def __init__(self, words: Mapping[str, Mapping[str, Any]]) -> None:
        self._words = words

    def __call__(self, key: str, **values: object) -> str:
        """The text under ``section.name``, filled in; KeyError where there is none."""
        section, _, name = key.partition(".")
        text = self._words[section][name]
        if isinstance(text, dict):
            text = text["one" if values["n"] == 1 else "other"]
        shown = {name: f"{v:,}" if isinstance(v, int) else v for name, v in values.items()}
        return str(text).format(**shown)
