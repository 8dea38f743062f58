"""The example chart: drawn by its script, read by the program, the same counts."""

from __future__ import annotations

import csv
import importlib.util
import json
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

import numpy as np
import pytest
from PIL import Image

if TYPE_CHECKING:
    from tests.cli.conftest import Call

EXAMPLES = Path(__file__).parents[2] / "examples"
PICTURE = EXAMPLES / "lighthouse.png"


@pytest.fixture(scope="module")
def draw() -> ModuleType:
    """The script that drew the example."""
    spec = importlib.util.spec_from_file_location("example_draw", EXAMPLES / "draw.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def counts() -> dict[str, int]:
    """True stitches by ``#rrggbb``, as documented beside the picture."""
    with (EXAMPLES / "lighthouse-counts.csv").open(encoding="utf-8", newline="") as stream:
        return {row["hex"]: int(row["stitches"]) for row in csv.DictReader(stream)}


def test_the_picture_and_its_counts_are_what_the_script_draws(
    draw: ModuleType, counts: dict[str, int]
) -> None:
    cells = draw.design()
    assert draw.counts_csv(cells) == (EXAMPLES / "lighthouse-counts.csv").read_text("utf-8")
    pixels = np.asarray(Image.open(PICTURE).convert("RGB"))
    rows, columns = np.mgrid[0 : draw.ROWS, 0 : draw.COLUMNS]
    half = draw.PITCH // 2
    seen = pixels[draw.TOP + rows * draw.PITCH + half, draw.LEFT + columns * draw.PITCH + half]
    colours = np.array([rgb for _, rgb in draw.COLOURS], dtype=np.uint8)
    assert np.array_equal(seen, colours[cells])
    assert sum(counts.values()) == 3685


def test_the_example_is_read_stitch_for_stitch(
    draw: ModuleType, counts: dict[str, int], chartscan: Call, tmp_path: Path
) -> None:
    path = tmp_path / "lighthouse.json"
    assert chartscan("read", PICTURE, "-o", path).status == 0
    value = json.loads(path.read_text(encoding="utf-8"))
    read = {
        "#{:02x}{:02x}{:02x}".format(*c["rgb"]): c["count"]
        for c in value["classes"]
        if c["kind"] == "stitch"
    }
    assert read == counts
    hexes = [
        "#{:02x}{:02x}{:02x}".format(*c["rgb"]) if c["kind"] == "stitch" else "bare"
        for c in value["classes"]
    ]
    true = ["bare"] + ["#{:02x}{:02x}{:02x}".format(*rgb) for _, rgb in draw.COLOURS[1:]]
    cells = np.array(value["cells"])
    assert (np.array(hexes)[cells] == np.array(true)[draw.design()]).all()
    assert value["doubtful"] == []
