"""Which module holds which command, loaded only when that command is called."""

from __future__ import annotations

import importlib

import click

# name: (module, attribute, one line for the list of commands; a test holds it to the command's own)
COMMANDS: dict[str, tuple[str, str, str]] = {
    "read": ("chartscan.cli.read", "read", "Read a picture of a chart into a chart file."),
    "check": ("chartscan.cli.check", "check", "Go through what the reader isn't sure of."),
    "correct": (
        "chartscan.cli.correct",
        "correct",
        "Correct a reading; what you say is kept.",
    ),
    "count": ("chartscan.cli.count", "count", "Count the stitches of each colour and in all."),
    "redraw": ("chartscan.cli.redraw", "redraw", "Draw a clean working chart to stitch from."),
    "key": ("chartscan.cli.key", "key", "Make a key of symbols and threads to fill in."),
    "match": ("chartscan.cli.match", "match", "Find a thread of your range for each colour."),
    "nearest": ("chartscan.cli.nearest", "nearest", "Find the threads nearest to one colour."),
    "convert": (
        "chartscan.cli.convert",
        "convert",
        "Turn a thread list of one range into another.",
    ),
    "blend": ("chartscan.cli.blend", "blend", "Find two-thread blends nearer than one thread."),
    "palette": ("chartscan.cli.palette", "palette", "Check, measure and compare thread ranges."),
    "estimate": ("chartscan.cli.estimate", "estimate", "Work out fabric size, thread and skeins."),
    "usage": ("chartscan.cli.usage", "usage", "Record what finished work took, to learn from it."),
    "kit": ("chartscan.cli.kit", "kit", "Do it all: from the picture to the kit sheet."),
    "stash": (
        "chartscan.cli.stash",
        "stash",
        "Keep what you own: threads, fabric, notions, charts.",
    ),
    "project": ("chartscan.cli.project", "project", "Plan, kit up, start and finish projects."),
    "shop": ("chartscan.cli.shop", "shop", "Make one shopping list over many projects."),
    "archive": (
        "chartscan.cli.archive.group",
        "archive",
        "Read whole folders of pages; find charts in them.",
    ),
    "help": ("chartscan.cli.help", "show_help", "Explain what several commands have in common."),
    "worktable": (  # the other face of the house; named here, and known to nobody else
        "chartscan.worktable.command",
        "worktable",
        "Open the whole job as a page in your browser.",
    ),
}


class LazyGroup(click.Group):
    """A click group whose commands are imported when they are called, not when they are listed."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names in the order of the work, not of the alphabet."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return one command; None where there is no such name."""
        if cmd_name not in COMMANDS:
            return None
        module, attribute, _ = COMMANDS[cmd_name]
        command = getattr(importlib.import_module(module), attribute)
        if not isinstance(command, click.Command):
            raise TypeError(f"{module}.{attribute} is no command")
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List names and one-liners without importing any command."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, _, text) in COMMANDS.items()])
