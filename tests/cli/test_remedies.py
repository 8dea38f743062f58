"""What can be done about a refusal is said by each face in its own words."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import chartscan
from chartscan.cli.remedies import WORDS, worded
from chartscan.errors import GridError, StashError
from chartscan.remedies import Remedy
from chartscan.worktable.words import load_words


def test_both_faces_have_words_for_every_remedy() -> None:
    assert set(WORDS) == set(Remedy)
    assert set(load_words()["remedy"]) == {str(remedy) for remedy in Remedy}


def test_the_page_names_no_option_and_no_command() -> None:
    for remedy, words in load_words()["remedy"].items():
        assert not re.search(r"--\w|`|chartscan \w", words), remedy


@pytest.mark.parametrize(
    ("remedies", "line"),
    [
        ((), "no grid"),
        ((Remedy.CROP,), "no grid; crop the page to the chart"),
        (
            (Remedy.CROP, Remedy.SCAN_FLAT, Remedy.TELL_SIZE),
            "no grid; crop the page to the chart, scan it flat or tell its --size",
        ),
    ],
)
def test_the_command_line_says_reason_and_ways_in_one_line(
    remedies: tuple[Remedy, ...], line: str
) -> None:
    assert worded(GridError("no grid", *remedies)) == line


def test_what_is_named_is_written_as_a_shell_takes_it() -> None:
    refusal = StashError("lacks cloth", Remedy.SEE_SHOPPING, name="Nan's robin")
    assert worded(refusal) == """lacks cloth; see `chartscan shop list 'Nan'"'"'s robin'`"""


def test_a_refusal_says_where_it_is_and_keeps_what_to_do() -> None:
    refusal = StashError("lacks cloth", Remedy.SEE_PLAN, name="Robin").of("my.db")
    assert str(refusal) == "my.db: lacks cloth"
    assert (refusal.remedies, refusal.named) == ((Remedy.SEE_PLAN,), {"name": "Robin"})


NOT_SAID = {
    "chart/corrections/tell.py": "lines of a chart file may be options of `read`",
    "reading/printed/ocr.py": "arguments of the program that reads print",
    "archive/cluster.py": "how workers of Dask are started, who are only met at a terminal",
}


def _places() -> list[Path]:
    package = Path(chartscan.__file__).parent
    faces = ("cli", "worktable")
    return [
        p for p in sorted(package.rglob("*.py")) if p.relative_to(package).parts[0] not in faces
    ]


def _sayings(code: str) -> Iterator[str]:
    """Every text of a module that can be said: all but docstrings, what is filled in as {}."""
    tree = ast.parse(code)
    about = {id(n.value) for n in ast.walk(tree) if isinstance(n, ast.Expr)}
    inside = {id(v) for n in ast.walk(tree) if isinstance(n, ast.JoinedStr) for v in n.values}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            yield "".join(str(getattr(part, "value", "{}")) for part in node.values)
        elif isinstance(node, ast.Constant) and id(node) not in about | inside:
            yield str(node.value)


COMMAND_LINE = re.compile(
    r"`chartscan|\bchartscan (?:read|key|stash|project|shop|archive|match)\b|(?<![\w-])--[a-z]"
)


def test_below_the_faces_nobody_speaks_of_the_command_line() -> None:
    """What a person can do is a remedy, since a page has no commands and options."""
    said = {}
    for path in _places():
        place = path.relative_to(Path(chartscan.__file__).parent).as_posix()
        found = [s for s in _sayings(path.read_text("utf-8")) if COMMAND_LINE.search(s)]
        if found and place not in NOT_SAID:
            said[place] = found
    assert said == {}


def test_no_paper_and_no_word_of_the_page_speaks_of_the_command_line() -> None:
    package = Path(chartscan.__file__).parent
    for path in (*package.rglob("*.j2"), *package.glob("worktable/words/*.json")):
        text = re.sub(r"(?s)<style>.*?</style>|var\(--[\w-]+\)", "", path.read_text("utf-8"))
        assert COMMAND_LINE.findall(text) == [], path.name
