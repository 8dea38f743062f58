"""Filling the HTML templates; everything that goes in is escaped, and control characters go."""

from __future__ import annotations

from chartscan.plaintext import harmless


def render(template: str, **values: object) -> str:
    """The page that ``template`` (a file in ``templates/``) makes of ``values``."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    environment = Environment(
        loader=PackageLoader("chartscan.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_harmless,
    )
    page = environment.get_template(template).render(**values)
    return page.encode("utf-8", "replace").decode()  # a file's name may not be UTF-8


def _harmless(value: object) -> object:
    """Text without what steers a screen or reorders a line; drawings and numbers as they are."""
    return harmless(value) if type(value) is str else value
