"""Notes which pages workers begin to read, and how often, across runs that are killed.

``python -m tests.archive.noting NOTES ARGUMENT…`` calls the program with ``ARGUMENT…``.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path
from unittest.mock import patch

from chartscan.archive.examine import examine
from chartscan.archive.values import Leaf, Limits, Outcome

NOTES = "CHARTSCAN_TEST_NOTES"  # the file, in the environment of every worker


def noted(leaf: Leaf, limits: Limits) -> Outcome:
    """As :func:`examine`, with a line in the notes before it begins."""
    with Path(os.environ[NOTES]).open("a", encoding="utf-8") as notes:
        notes.write(f"{leaf.path}\n")
    return examine(leaf, limits)


if __name__ == "__main__":
    from chartscan.__main__ import main
    from chartscan.archive import engine
    from tests.archive import noting

    os.environ[NOTES] = sys.argv.pop(1)
    with patch.object(engine, "examine", noting.noted):  # by the name that a worker finds it under
        main()
