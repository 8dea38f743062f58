"""The thread ranges that the table knows: the samples, and those that a person laid there."""

from __future__ import annotations

import secrets
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from chartscan.errors import TableError
from chartscan.files import file_name, replacing
from chartscan.tasks import threads as tasks

if TYPE_CHECKING:
    from chartscan.palette import Palette

ID_BYTES = 5  # of chance: 40 bits, so that no two ranges meet
SEPARATOR = "~"  # between the chance and the name; never in a sample's name
MOST_RANGES = 3  # held in memory; 10,000 threads are some 10 MB


@dataclass(frozen=True)
class RangeCard:
    """A range to choose: its id, its name, and what it is (the sample's own words, or "")."""

    id: str
    name: str
    about: str = ""


class Ranges:
    """The ranges of one data folder; an id leads to a file in it, or to a sample, never further."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder / "ranges"
        self._lock = threading.Lock()
        self._open: dict[str, Palette] = {}

    def all(self) -> tuple[RangeCard, ...]:
        """The person's own first, then the samples."""
        own = (RangeCard(id, path.stem.partition(SEPARATOR)[2]) for id, path in self._own().items())
        samples = (RangeCard(name, name, about) for name, about in tasks.known_ranges().items())
        return (*own, *samples)

    def get(self, range_id: str) -> Palette:
        """The range of that id.

        Raises:
            TableError: there is none, or its file can't be read.
        """
        with self._lock:
            if range_id not in self._open:
                self._hold(range_id, tasks.open_range(self.place(range_id)))
            return self._open[range_id]

    def add(self, name: str, text: str) -> RangeCard:
        """Lay a range on the table: the ``text`` of a CSV or GIMP palette called ``name``.

        Raises:
            TableError: it can't be read; nothing was kept.
        """
        range_id = secrets.token_hex(ID_BYTES)
        stem = Path(file_name(name, "")).stem
        path = self._folder / f"{range_id}{SEPARATOR}{stem}{_ending(name)}"
        self._folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        with replacing(path) as stream:
            stream.write(text.encode("utf-8"))
        try:
            palette = tasks.open_range(path)
        except TableError as error:
            path.unlink(missing_ok=True)
            raise TableError(str(error).replace(str(path), name)) from error
        with self._lock:
            self._hold(range_id, palette)
        return RangeCard(range_id, stem)

    def _own(self) -> Mapping[str, Path]:
        paths = sorted(self._folder.glob(f"*{SEPARATOR}*"), key=lambda path: path.name[11:])
        return {path.name.partition(SEPARATOR)[0]: path for path in paths}

    def place(self, range_id: str) -> Path:
        """The file of a range, or the bare name of a sample; TableError where there is none."""
        own = self._own().get(range_id)
        if own is not None:
            return own
        if range_id not in tasks.known_ranges():
            raise TableError("that thread range isn't on the table any more; choose another")
        return Path(range_id)

    def _hold(self, range_id: str, palette: Palette) -> None:
        while len(self._open) >= MOST_RANGES:
            del self._open[next(iter(self._open))]
        self._open[range_id] = palette


def _ending(name: str) -> str:
    return ".gpl" if name.lower().endswith(".gpl") else ".csv"
