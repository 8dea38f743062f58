"""What a page loads: how much script a screen takes, and that every word of it is in the list."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import chartscan.worktable
from chartscan.worktable.screens import load_screens
from chartscan.worktable.words import FALLBACK, load_words

STATIC = Path(chartscan.worktable.__file__).parent / "static"
TEMPLATES = STATIC.parent / "templates"
MOST_BYTES = 60_000  # of script on a screen: a telephone reads it in no time
IMPORT = re.compile(r"""(?:from|import)\s*\(?\s*["']\./([\w.]+)["']""")
SAID = re.compile(r"""say\(["']([a-z_]+\.[a-z_]+)["']""")


def _loaded(name: str, seen: set[str]) -> set[str]:
    """A module and all that it imports."""
    if name not in seen:
        seen.add(name)
        for other in IMPORT.findall((STATIC / name).read_text(encoding="utf-8")):
            _loaded(other, seen)
    return seen


@pytest.mark.parametrize("screen", list(load_screens()))
def test_a_screen_takes_little_script(screen: str) -> None:
    modules = _loaded(f"{screen}.js", _loaded("table.js", set()))
    assert sum((STATIC / name).stat().st_size for name in modules) < MOST_BYTES


def test_no_script_lies_about_that_no_screen_loads() -> None:
    modules = _loaded("table.js", set())
    for screen in load_screens():
        _loaded(f"{screen}.js", modules)
    assert modules == {path.name for path in STATIC.glob("*.js")}


def test_nothing_is_loaded_from_elsewhere() -> None:
    for path in [*STATIC.glob("*.js"), *STATIC.glob("*.css"), *TEMPLATES.glob("*.j2")]:
        addresses = set(re.findall(r"https?://[^\s\"']+", path.read_text(encoding="utf-8")))
        assert addresses <= {"http://www.w3.org/2000/svg"}, path.name  # a name, nothing is fetched


@pytest.mark.parametrize("path", sorted(STATIC.glob("*.js")), ids=lambda path: path.name)
def test_every_word_that_a_script_says_is_in_the_list(path: Path) -> None:
    words = load_words(FALLBACK)
    code = re.sub(r"(?m)^\s*//.*", "", path.read_text(encoding="utf-8"))
    for said in SAID.findall(code):
        section, word = said.split(".")
        assert word in words[section], said
