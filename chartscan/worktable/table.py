"""What lies on the table: the charts, the reader, the keys. One value, handed to every screen."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from chartscan.worktable.keys import Keys
from chartscan.worktable.lately import Lately
from chartscan.worktable.papers import Papers
from chartscan.worktable.ranges import Ranges
from chartscan.worktable.reader import Reader
from chartscan.worktable.settings import DEFAULTS, WorktableSettings
from chartscan.worktable.shelf import Shelf


@dataclass(frozen=True)
class Table:
    """All that a screen may use.

    Attributes:
        shelf: the charts, by id.
        reader: reads them, one after the other, in a process of its own.
        stash: where the ledger lies; None for the person's own.
        keys: who may come in.
        papers: what waits to be fetched by a frame or a tab.
        settings: limits and waiting times.
        catalogue: of an archive, to look through and take charts from; None for none.
    """

    shelf: Shelf
    reader: Reader
    stash: Path | None = None
    settings: WorktableSettings = DEFAULTS
    keys: Keys = field(default_factory=Keys)
    papers: Papers = field(default_factory=Papers)
    catalogue: Path | None = None

    @cached_property
    def lately(self) -> Lately:
        """What was worked out lately."""
        return Lately()

    @cached_property
    def ranges(self) -> Ranges:
        """The thread ranges to choose from."""
        return Ranges(self.shelf.data_folder)
