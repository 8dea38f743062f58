"""Help of commands with many options: those that several commands share stand under heads."""

from __future__ import annotations

from dataclasses import fields

import click

from chartscan.cli.matching import MatchingChoices
from chartscan.cli.options import READING_NAMES
from chartscan.cli.working import WORKING_NAMES

SECTIONS = {
    "Choosing threads": frozenset(field.name for field in fields(MatchingChoices)),
    "Fabric and way of working": frozenset(WORKING_NAMES),
    "Reading the picture": frozenset(READING_NAMES),
}
"""Head, and the names of the parameters under it; all others stand under "Options" before them."""


class SectionedCommand(click.Command):
    """A command whose ``--help`` lists shared options under their own heads."""

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write its own options first, then each section that it has options of."""
        rows: dict[str, list[tuple[str, str]]] = {"Options": [], **{head: [] for head in SECTIONS}}
        for parameter in self.get_params(ctx):
            record = parameter.get_help_record(ctx)
            if record is not None and isinstance(parameter, click.Option):
                rows[_head(parameter)].append(record)
        for head, records in rows.items():
            if records:
                with formatter.section(head):
                    formatter.write_dl(records)


def _head(parameter: click.Parameter) -> str:
    return next((head for head, names in SECTIONS.items() if parameter.name in names), "Options")
