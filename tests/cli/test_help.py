"""The pages of `chartscan help` say what the program really takes."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator

import click
import pytest

from chartscan.cli.help import TOPICS, page
from chartscan.cli.main import cli, run
from chartscan.reading.page.page import PageSettings
from chartscan.stash.amounts import parse_amount
from chartscan.yardage import EstimateSettings
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


def _options(
    command: click.Command, name: str, above: click.Context | None = None
) -> Iterator[tuple[str, str, object]]:
    """Every option of ``command`` and of those below it: its place, its help, what it is else."""
    context = click.Context(command, info_name=name, parent=above, **command.context_settings)
    if isinstance(command, click.Group):
        for below in command.list_commands(context):
            found = command.get_command(context, below)
            assert found is not None
            yield from _options(found, below, context)
    for option in command.params:
        record = option.get_help_record(context)
        if record and isinstance(option, click.Option) and not option.multiple:
            yield f"{context.command_path} {record[0]}", record[1], option.get_default(context)


@pytest.mark.parametrize("command", ["read", "redraw"])
def test_where_a_chart_is_copied_it_is_said_whose_it_is(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([command, "--help"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "A chart is somebody's work" in said
    assert "what you have bought or may use" in said


def test_every_option_says_what_holds_without_it() -> None:
    """Its own value, where it has one; a switch is off until it is given."""
    every = list(_options(cli, "chartscan"))
    assert len(every) > 300
    silent = {
        place: otherwise
        for place, text, otherwise in every
        if isinstance(otherwise, (str, int, float)) and otherwise and "[default:" not in text
    }
    assert not silent


def test_what_is_said_of_the_way_of_working_is_what_is_reckoned_with() -> None:
    usual = EstimateSettings()
    values = {
        "--line-strands": usual.line_strands,
        "--knot-strands": usual.knot_strands,
        "--triangle": usual.triangle,
        "--lines": usual.lines,
        "--wraps": usual.wraps,
        "--carry": f"{usual.carry_mm:g}",
        "--working-length": f"{usual.working_mm:g}",
        "--tail": f"{usual.needle_mm:g}",
        "--margin": f"{usual.margin_mm:g}",
        "--copies": usual.copies,
        "--risk": usual.risk,
        "--risk-of": usual.risk_of,
    }
    said = {
        place.split()[2]: text
        for place, text, _ in _options(cli, "chartscan")
        if " estimate " in place
    }
    for name, value in values.items():
        assert f"[default: {value}]" in said[name]
    pixels = next(
        text for place, text, _ in _options(cli, "chartscan") if "read --max-pixels" in place
    )
    assert f"[default: {PageSettings().max_pixels}]" in pixels
