"""``chartscan help``: what several commands have in common, a page each."""

from __future__ import annotations

from pathlib import Path

import click

TOPICS = {
    "amounts": "How amounts of thread and sizes are said.",
    "chances": "What a number of skeins and its chance rest on.",
    "corrections": "How a reading is corrected.",
    "keys": "Which symbol is which thread.",
    "pictures": "What makes a picture easy to read.",
    "cautions": "Before the first stitch and the first cut.",
}
"""Pages by name, and one line each; their text lies beside this module in ``topics``."""


@click.command(name="help")
@click.argument("topic", nargs=-1, metavar="[TOPIC]")
@click.pass_context
def show_help(ctx: click.Context, topic: tuple[str, ...]) -> None:
    """Explain what several commands have in common.

    TOPIC is one of amounts, chances, corrections, keys, pictures and cautions,
    or the name of a command, whose help is shown.

    \b
    Example: chartscan help amounts
    """
    if not topic:
        click.echo(_contents(ctx), nl=False)
    elif (name := topic[0].lower()) in TOPICS:
        click.echo(page(name), nl=False)
    else:
        click.echo(_help_of(ctx, topic))


def page(topic: str) -> str:
    """The text of one page."""
    return (Path(__file__).parent / "topics" / f"{topic}.txt").read_text(encoding="utf-8")


def _contents(ctx: click.Context) -> str:
    formatter = ctx.make_formatter()
    with formatter.section("Pages"):
        formatter.write_dl(list(TOPICS.items()))
    return formatter.getvalue()


def _help_of(ctx: click.Context, names: tuple[str, ...]) -> str:
    about, command = ctx.find_root(), ctx.find_root().command
    for name in names:
        found = command.get_command(about, name) if isinstance(command, click.Group) else None
        if found is None:
            said, known = " ".join(names), ", ".join(TOPICS)
            raise click.UsageError(f"no page and no command {said!r}; pages are {known}")
        command, about = found, click.Context(found, info_name=name, parent=about)
    return command.get_help(about)
