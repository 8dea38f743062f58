"""Every command says what it does, the same everywhere, and shows how."""

from __future__ import annotations

import re
from collections.abc import Iterator

import click
import pytest

from chartscan.cli.commands import COMMANDS
from chartscan.cli.main import cli


def _all_commands() -> Iterator[tuple[str, click.Command]]:
    """Every command and every command of a group, by what is typed to call it."""
    for name in COMMANDS:
        command = cli.get_command(click.Context(cli), name)
        assert command is not None
        yield name, command
        if isinstance(command, click.Group):
            context = click.Context(command)
            for inner in command.list_commands(context):
                found = command.get_command(context, inner)
                assert found is not None
                yield f"{name} {inner}", found


@pytest.mark.parametrize("name", COMMANDS)
def test_the_list_of_commands_says_what_the_command_says(name: str) -> None:
    command = cli.get_command(click.Context(cli), name)
    assert command is not None
    assert command.get_short_help_str(200) == COMMANDS[name][2]


def test_help_of_every_command_ends_in_an_example_that_calls_it() -> None:
    lacking = [
        name
        for name, command in _all_commands()
        if not isinstance(command, click.Group)
        and f"Example: chartscan {name}" not in (command.help or "")
    ]
    assert lacking == []


def test_every_option_says_what_it_is_for() -> None:
    silent = [
        f"{name} {parameter.opts[0]}"
        for name, command in _all_commands()
        for parameter in command.params
        if isinstance(parameter, click.Option) and not parameter.help
    ]
    assert silent == []


def test_every_option_of_that_name_means_the_same_kind_of_value() -> None:
    """``--json`` is a flag everywhere, ``--fabric`` takes a value everywhere."""
    flags: dict[str, bool] = {}
    for name, command in _all_commands():
        for parameter in command.params:
            if isinstance(parameter, click.Option):
                option = parameter.opts[-1]
                assert flags.setdefault(option, parameter.is_flag) == parameter.is_flag, (
                    f"{option} of {name}"
                )


def test_help_speaks_of_numbers_in_plain_words() -> None:
    """No ``x>=1``, and no name of a type where a letter or a word stands for the value."""
    raw = re.compile(r"[<>]=|x[<>]|[<>]x|INTEGER|FLOAT")
    shown = [
        f"{name}: {line.strip()}"
        for name, command in _all_commands()
        for line in command.get_help(click.Context(command)).splitlines()
        if raw.search(line)
    ]
    assert shown == []


@pytest.mark.parametrize("words", [[], ["palette"], ["stash"]], ids=" ".join)
def test_a_group_without_a_command_shows_its_help(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    from chartscan.cli.main import run

    assert run(words) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("Usage: chartscan")
    assert "\nCommands:\n" in said.err


def test_help_of_a_command_with_many_options_has_heads(
    capsys: pytest.CaptureFixture[str],
) -> None:
    from chartscan.cli.main import run

    assert run(["kit", "--help"]) == 0
    out = capsys.readouterr().out
    heads = ["Options:", "Choosing threads:", "Fabric and way of working:", "Reading the picture:"]
    places = [out.index(f"\n{head}\n") for head in heads]
    assert places == sorted(places)
    assert (
        places[0]
        < out.index("  --sheet F.html")
        < places[1]
        < out.index("  --distinct")
        < places[2]
    )


def test_an_unknown_command_is_wrong_usage(capsys: pytest.CaptureFixture[str]) -> None:
    from chartscan.cli.main import run

    assert run(["stitch"]) == 2
    err = capsys.readouterr().err
    assert err.startswith("Error: ")
    assert err.count("\n") == 1
