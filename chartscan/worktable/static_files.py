"""The page's own script, style and icon: read once, found by name in a list, never by a path."""

from __future__ import annotations

from importlib.resources import files

KINDS = {
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
}


def load_static() -> dict[str, tuple[bytes, str]]:
    """Name -> bytes and media type of every file in ``static/``."""
    found: dict[str, tuple[bytes, str]] = {}
    for entry in files("chartscan.worktable").joinpath("static").iterdir():
        kind = KINDS.get(entry.name[entry.name.rfind(".") :])
        if kind is not None:
            found[entry.name] = (entry.read_bytes(), kind)
    return found
