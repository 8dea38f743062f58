"""The drawer."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from chartscan.worktable.screen import Asked, Screen

if TYPE_CHECKING:
    from chartscan.worktable.table import Table


def _show(table: Table, asked: Asked) -> Mapping[str, Any]:
    return {}


SCREEN = Screen("drawer", _show, about_chart=False)
