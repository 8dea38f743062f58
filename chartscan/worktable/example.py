"""The example chart, for a shelf that is empty; a design of our own."""

from __future__ import annotations

from pathlib import Path

from chartscan.worktable.faults import Missing

NAME = "lighthouse.png"


def example_picture() -> tuple[str, bytes]:
    """Name and bytes of the example.

    It lies beside the page's own files in an installation, and among the examples in a checkout.

    Raises:
        Missing: the installation lacks it.
    """
    here = Path(__file__).resolve().parent
    for folder in (here / "example", here.parents[1] / "examples"):
        path = folder / NAME
        if path.is_file():
            return NAME, path.read_bytes()
    raise Missing(NAME)
