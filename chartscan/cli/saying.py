"""Saying something on the terminal: whatever a name holds, it can't steer the screen."""

from __future__ import annotations

import sys

import click

from chartscan.plaintext import harmless


def say(text: str = "", *, err: bool = False) -> None:
    """Print ``text``, line by line, without control characters and marks of direction."""
    for line in text.split("\n"):
        click.echo(harmless(line), err=err)


def somebody_there() -> bool:
    """Whether a person sits at both ends and can be asked."""
    return sys.stdin.isatty() and sys.stdout.isatty()
