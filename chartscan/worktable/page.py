"""Filling the table's templates; everything that goes in is escaped."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from chartscan.worktable.words import Said

if TYPE_CHECKING:
    from jinja2 import Environment


def make_environment() -> Environment:
    """The templates of the table, with escaping on and no value taken for granted."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("chartscan.worktable"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["hex"] = lambda rgb: "#{:02x}{:02x}{:02x}".format(*rgb) if rgb else ""
    return environment


def fill(environment: Environment, said: Said, template: str, **values: Any) -> str:  # noqa: ANN401 - values of a template
    """The fragment that ``template`` makes; ``say`` in it looks words up in its own section.

    ``say("title")`` in ``fabric.html.j2`` is ``fabric.title``; ``say("table.back")`` is itself.
    """
    section = template.partition(".")[0]
    own = partial(_say, said, section)
    text = environment.get_template(template).render(say=own, **values)
    return text.encode("utf-8", "replace").decode()  # a file's name may not be UTF-8


def _say(said: Said, section: str, key: str, **values: object) -> str:
    return said(key if "." in key else f"{section}.{key}", **values)
