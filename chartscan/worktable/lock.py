"""One table to a data folder: the second start finds the first one's address and key."""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from chartscan.files import lock_file, replacing

LOCK_NAME = "table.lock"
CARD_NAME = "table.json"
ENVIRONMENT = "CHARTSCAN_WORKTABLE"


@dataclass(frozen=True)
class Card:
    """Where a table answers, for a second start: only its owner can read it.

    Attributes:
        host: address and port.
        door: the key that the second start shows there.
    """

    host: str
    door: str


@contextmanager
def held(folder: Path) -> Iterator[bool]:
    """Hold the lock of ``folder`` in the block; False where another process holds it.

    The system gives it back when the process ends, however it ends.
    """
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    with lock_file(folder / LOCK_NAME) as mine:
        try:
            yield mine
        finally:
            if mine:
                (folder / CARD_NAME).unlink(missing_ok=True)


def write_card(folder: Path, card: Card) -> None:
    """Leave ``card`` for a second start, readable by its owner only."""
    path = folder / CARD_NAME
    with replacing(path) as stream:
        with contextlib.suppress(AttributeError):  # Windows keeps the folder's own rights
            os.fchmod(stream.fileno(), 0o600)
        stream.write(json.dumps({"host": card.host, "door": card.door}).encode())


def read_card(folder: Path) -> Card | None:
    """The card of the table that runs; None where there is none that can be read."""
    try:
        told = json.loads((folder / CARD_NAME).read_text(encoding="utf-8"))
        return Card(str(told["host"]), str(told["door"]))
    except (OSError, ValueError, LookupError, TypeError):
        return None


def default_folder() -> Path:
    """Where the charts of the table lie: ``CHARTSCAN_WORKTABLE``, else the person's data folder."""
    told = os.environ.get(ENVIRONMENT)
    if told:
        return Path(told)
    from platformdirs import user_data_path

    return user_data_path("chartscan", appauthor=False) / "worktable"
