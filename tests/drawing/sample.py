"""One test chart as files."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from tests.drawing.files import Files

Rng = np.random.Generator


@dataclass(frozen=True)
class Sample:
    """One test chart: the bytes of its files by name, and its truth."""

    files: Files
    truth: dict[str, Any]

    def write(self, folder: Path) -> None:
        """Lay the files and ``truth.json`` into ``folder``."""
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in self.files.items():
            (folder / name).write_bytes(data)
        text = json.dumps(self.truth, ensure_ascii=False)
        (folder / "truth.json").write_text(text, encoding="utf-8")


Group = Callable[[Rng], Sample]
