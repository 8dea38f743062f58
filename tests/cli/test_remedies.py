"""What can be done about a refusal is said by each face in its own words."""

from __future__ import annotations

import re

import pytest

from chartscan.cli.remedies import WORDS, worded
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
    assert worded("no grid", remedies) == line
