"""Help of commands with many options: those that several commands share stand under heads."""

from __future__ import annotations

import click


class SectionedCommand(click.Command):
    """A command whose ``--help`` lists shared options under their own heads."""

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write its own options first, then each section that it has options of."""
        heads = _heads()
        rows: dict[str, list[tuple[str, str]]] = {"Options": [], **{head: [] for head in heads}}
        for parameter in self.get_params(ctx):
            record = parameter.get_help_record(ctx)
            if record is not None and isinstance(parameter, click.Option):
                named = (head for head, names in heads.items() if parameter.name in names)
                rows[next(named, "Options")].append(record)
        for head, records in rows.items():
            if records:
                with formatter.section(head):
                    formatter.write_dl(records)


def _heads() -> dict[str, frozenset[str]]:
    """Head, and the names of the parameters under it; all others come before them."""
    from dataclasses import fields

    from chartscan.cli.at_hand import AT_HAND_NAMES
    from chartscan.cli.matching import MatchingChoices
    from chartscan.cli.options import READING_NAMES
    from chartscan.cli.working import WORKING_NAMES

    choosing = {field.name for field in fields(MatchingChoices)}
    return {
        "Choosing threads": frozenset(choosing | set(AT_HAND_NAMES)),
        "Fabric and way of working": frozenset(WORKING_NAMES),
        "Reading the picture": frozenset(READING_NAMES),
    }
