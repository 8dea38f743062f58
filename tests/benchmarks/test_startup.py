"""How soon the program answers, as ratios to a bare interpreter in the same run."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path
from statistics import median

import pytest

ROUNDS = 9

pytestmark = pytest.mark.benchmark

EXAMPLE = Path(__file__).parents[2] / "examples" / "lighthouse.png"


# An installed program has its bytecode beside it.
INSTALLED = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}


def _seconds(*arguments: str) -> float:
    start = time.perf_counter()
    command = [sys.executable, *arguments]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=INSTALLED)
    return time.perf_counter() - start


def _ratio(*arguments: str) -> float:
    """Median of the time over that of ``python -c pass``, measured by turns."""
    _seconds("-c", "pass")
    _seconds(*arguments)
    return median(_seconds(*arguments) / _seconds("-c", "pass") for _ in range(ROUNDS))


def test_help_is_there_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    ratio = _ratio("-m", "chartscan", "--help")
    with capsys.disabled():
        sys.stdout.write(f"\nchartscan --help: {ratio:.1f} x python -c pass (goal 5)\n")
    assert ratio <= 5


def test_a_small_clean_chart_goes_from_image_to_counts(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """The example chart, 80 × 100 cells on a page of 1440 × 1456 pixels."""
    ratio = _ratio("-m", "chartscan", "count", str(EXAMPLE), "--json")
    with capsys.disabled():
        sys.stdout.write(f"\nimage to counts: {ratio:.1f} x python -c pass (goal 20)\n")
    assert ratio <= 20
