"""The screens of the table in the order of the job; each is a module with a value ``SCREEN``."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from chartscan.worktable.screen import Screen

NAMES = ("shelf", "outline", "check", "threads", "fabric", "papers", "drawer", "archive")


def load_screens() -> dict[str, Screen]:
    """Name -> screen, in the order of the job."""
    found = {}
    for name in NAMES:
        screen: Screen = importlib.import_module(f"{__name__}.{name}").SCREEN
        found[screen.name] = screen
    return found
