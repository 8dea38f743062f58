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


def test_the_key_is_what_matching_the_counted_colours_gives(counts: dict[str, int]) -> None:
    """Made by ``chartscan match`` on the example; no code in it comes from anywhere else."""
    from chartscan.colour import parse_hex, srgb_to_lab
    from chartscan.palette import load_palette

    with (EXAMPLES / "lighthouse-key.csv").open(encoding="utf-8", newline="") as stream:
        key = {row["class"]: row["code"] for row in csv.DictReader(stream)}
    threads = [t for t in load_palette(Path("meadowline")).threads if t.status == "current"]
    lab = np.array([t.lab for t in threads])
    from skimage.color import deltaE_ciede2000

    assert key.keys() == counts.keys()
    for colour, code in key.items():
        off = deltaE_ciede2000(srgb_to_lab([parse_hex(colour)])[:, None], lab[None])
        assert threads[int(np.argmin(off))].code == code


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
