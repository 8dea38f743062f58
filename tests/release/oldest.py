"""The oldest releases of what the program calls that ``pyproject.toml`` allows, as constraints.

python tests/release/oldest.py > oldest.txt

Read by ``tests/oldest.sh``, which runs the tests with them. What only the tests call is
left as new as it comes: nobody who uses the program has it.
"""

from __future__ import annotations

import re
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]
NOT_CALLED = ("mutation", "test")  # extras of the tests


def oldest(requirement: str) -> str:
    """``click>=8.2`` as ``click==8.2``; ValueError where no lowest release is told."""
    told = re.fullmatch(r"([A-Za-z0-9._-]+)>=([0-9.]+)", requirement)
    if not told:
        raise ValueError(f"{requirement!r}: a dependency names the oldest release that will do")
    return f"{told[1]}=={told[2]}"


def constraints(pyproject: str) -> list[str]:
    """A line for each package that the program calls, with its extras."""
    project = tomllib.loads(pyproject)["project"]
    extras = project["optional-dependencies"]
    called = [
        *project["dependencies"],
        *(each for name in sorted(extras) if name not in NOT_CALLED for each in extras[name]),
    ]
    return [oldest(requirement) for requirement in called]


if __name__ == "__main__":
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    sys.stdout.write("\n".join(constraints(text)) + "\n")
