"""What a screen raises besides :class:`~chartscan.errors.ChartscanError`."""

from __future__ import annotations


class Missing(Exception):
    """There is no chart, picture or paper of that id (any more)."""


class Stale(Exception):
    """The page acted on an older state: another tab was quicker. Nothing was changed.

    Attributes:
        version: the version that holds now.
    """

    def __init__(self, version: int) -> None:
        super().__init__(f"the version is {version} by now")
        self.version = version
