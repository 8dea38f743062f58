"""Whether what a document shows is a command that is called rightly."""

from __future__ import annotations

from collections.abc import Sequence

import click

from chartscan.cli.main import cli


def parse(words: Sequence[str]) -> click.Context:
    """The context of ``chartscan`` followed by ``words``; nothing is run.

    Raises:
        click.UsageError: it is called wrongly.
    """
    command: click.Command = cli
    context = click.Context(cli, info_name="chartscan")
    while isinstance(command, click.Group):
        found = command.get_command(context, words[0])
        assert found is not None, words
        command, words = found, words[1:]
    return command.make_context(command.name, list(words), parent=context)
