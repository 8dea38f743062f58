"""All words of the page stand in one file, so that a translation is another one."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

import chartscan.worktable
from chartscan.worktable.words import FALLBACK, Said, languages, load_words

PLACE = Path(chartscan.worktable.__file__).parent
TEMPLATES = sorted((PLACE / "templates").glob("*.j2"))
SCRIPTS = sorted((PLACE / "static").glob("*.js"))
FILLED_IN = re.compile(r"\{%.*?%\}|\{\{.*?\}\}|\{#.*?#\}", re.DOTALL)
READ_OUT = re.compile(r'(?:aria-label|title|placeholder|alt)="[^"]*[A-Za-z]{2}[^"]*"')
SAID = re.compile(r"""say\(["']([\w.]+)["']""")


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_no_word_stands_in_a_template(path: Path) -> None:
    markup = FILLED_IN.sub("", path.read_text(encoding="utf-8"))
    assert READ_OUT.findall(markup) == []
    text = re.sub(r"<[^>]*>", " ", markup)
    assert re.findall(r"[A-Za-z]{2,}", text) == []


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_every_word_that_a_template_says_is_in_the_list(path: Path) -> None:
    words, section = load_words(), path.name.partition(".")[0]
    for key in SAID.findall(path.read_text(encoding="utf-8")):
        if key.endswith(("_", ".")):
            continue  # the rest of it is filled in
        of, _, name = key.rpartition(".")
        assert name in words[of or section], key


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.name)
def test_no_sentence_stands_in_a_script(path: Path) -> None:
    code = re.sub(r"(?m)(^|\s)//.*", "", path.read_text(encoding="utf-8"))
    sentences = re.findall(r"""["'`]([A-Z][a-z]+ [a-z][^"'`]*)["'`]""", code)
    assert sentences == []


@pytest.mark.parametrize("language", languages())
def test_a_language_has_all_words_with_the_same_things_filled_in(language: str) -> None:
    assert _shape(load_words(language)) == _shape(load_words(FALLBACK))


def _shape(words: Mapping[str, Any]) -> dict[str, set[str]]:
    """Every word by its name, and the names of what is filled in."""
    return {name: set(re.findall(r"\{(\w+)\}", text)) for name, text in _texts(words)}


def _texts(words: Mapping[str, Any], before: str = "") -> Iterator[tuple[str, str]]:
    for name, value in words.items():
        if isinstance(value, dict):
            yield from _texts(value, f"{before}{name}.")
        elif not before.endswith("one.") and name != "one":  # one may do without its number
            yield before + name, value


def test_no_word_stands_twice_under_one_name() -> None:
    """JSON takes the last of two entries of one name in silence."""
    twice: list[str] = []

    def told(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        names = [name for name, _ in pairs]
        twice.extend(name for name in set(names) if names.count(name) > 1)
        return dict(pairs)

    for language in languages():
        path = PLACE / "words" / f"{language}.json"
        json.loads(path.read_text(encoding="utf-8"), object_pairs_hook=told)
    assert twice == []


def test_numbers_choose_one_or_other() -> None:
    said = Said({"shelf": {"cells": {"one": "one cell", "other": "{n} cells"}}})
    assert said("shelf.cells", n=1) == "one cell"
    assert said("shelf.cells", n=1200) == "1,200 cells"
