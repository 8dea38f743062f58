"""The pages of `chartscan help` say what the program really takes."""

from __future__ import annotations

import re
import shlex

import pytest

from chartscan.cli.help import TOPICS, page
from chartscan.cli.main import run
from chartscan.stash.amounts import parse_amount
from tests.cli.calling import parse


@pytest.mark.parametrize("topic", TOPICS)
def test_a_page_fits_a_terminal_and_ends_in_an_example_that_is_called_rightly(topic: str) -> None:
    lines = page(topic).splitlines()
    assert max(len(line) for line in lines) <= 80
    assert lines[1] == "=" * len(lines[0])
    assert TOPICS[topic].removesuffix(".") == lines[0]
    parse(shlex.split(lines[-1].removeprefix("Example: chartscan ")))


def test_every_amount_on_its_page_is_taken() -> None:
    shown = re.findall(
        r"^  (\S.*?)(?:  or  (\S+))?(?:   +.*)?$", page("amounts"), flags=re.MULTILINE
    )
    amounts = [text for pair in shown for text in pair if text]
    assert {"2", "0.5", "0,5", "1 1/2 skeins", "3.2 m", "2 + 4 yd"} <= set(amounts)
    for text in amounts:
        parse_amount(text)


@pytest.mark.parametrize("said", ["count", "project kit", "Amounts"])
def test_help_shows_a_page_or_what_a_command_says(
    said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["help", *said.split()]) == 0
    assert capsys.readouterr().out.startswith(("Usage: chartscan " + said, "How amounts"))


def test_a_page_that_is_not_there_is_told_with_those_that_are(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run(["help", "weather"]) == 2
    said = capsys.readouterr().err
    assert all(topic in said for topic in TOPICS)
    assert run(["help"]) == 0
    said = capsys.readouterr().out
    assert all(text in said for text in TOPICS.values())
