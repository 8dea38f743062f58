"""What the commands on archives share."""

from __future__ import annotations

import re

import click

from chartscan.cli.options import FILE

STATES = ("chart", "other", "refused", "unreadable", "aside")

catalogue_argument = click.argument("catalogue", type=FILE)


def parse_range(text: str) -> tuple[int | None, int | None]:
    """``12``, ``5-12``, ``5-`` or ``-12`` as the ends of a range of whole numbers."""
    match = re.fullmatch(r"\s*(\d{1,9})?\s*(-)?\s*(\d{1,9})?\s*", text)
    if match is None or not (match[1] or match[3]) or (match[1] and match[3] and not match[2]):
        raise ValueError(f"{text!r} isn't a range like 5-12, 5-, -12 or 12")
    least = int(match[1]) if match[1] else None
    most = int(match[3]) if match[3] else None
    if not match[2]:
        return least, least
    if least is not None and most is not None and least > most:
        raise ValueError(f"{text!r} doesn't run upwards")
    return least, most
