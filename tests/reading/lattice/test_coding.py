"""The steps between a JPEG's blocks repeat both ways as a grid does, and must not pass for one."""

from __future__ import annotations

import io

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from chartscan.reading.lattice.coding import without_blocks
from chartscan.reading.lattice.rectified import Grey
from chartscan.reading.lattice.seeds import find_seeds


def stepped(first: int = 0) -> NDArray[np.float32]:
    """A soft shade with a step of three levels at every side of a block."""
    x = np.arange(160, dtype=np.float32)
    shade = 100 + 0.05 * x + 1.5 * (-1.0) ** ((x - first) // 8)
    return np.tile(shade.astype(np.float32), (160, 1))


@pytest.mark.parametrize("first", [0, 3, 7])
def test_steps_between_blocks_go_wherever_the_first_block_begins(first: int) -> None:
    grey = stepped(first)
    smooth = without_blocks(grey, 1.5)
    assert np.abs(np.diff(grey, axis=1)).max() > 2.5
    assert np.abs(np.diff(smooth[:, 8:-8], axis=1)).max() < 1.2


def test_a_page_kept_finely_is_left_as_it_is() -> None:
    grey = stepped()
    assert without_blocks(grey, 0.5) is grey


def test_printed_lines_stay() -> None:
    grey = np.full((160, 160), 230, np.float32)
    grey[:, 4::20] = 60
    smooth = without_blocks(grey, 2.0)
    assert np.abs(smooth - grey).max() <= 4.0


def test_a_coarse_jpeg_of_noisy_paper_repeats_less_by_its_blocks() -> None:
    """At quality 35 the mean of a block is kept in steps of 2.9 levels (ITU-T T.81, table K.1)."""
    noise = np.random.default_rng(3).normal(200, 9, (400, 400))
    paper = Image.fromarray(np.clip(noise, 0, 255).astype(np.uint8))
    stream = io.BytesIO()
    paper.save(stream, "JPEG", quality=35)
    coded = np.asarray(Image.open(stream), dtype=np.float32)

    def by_eight(grey: Grey) -> float:
        pitch = [(np.linalg.norm(s.steps, axis=0), s.strength) for s in find_seeds(grey)]
        return sum(k for p, k in pitch if np.abs(p - 8).max() < 0.2)

    assert by_eight(coded) > 0
    assert by_eight(without_blocks(coded, 23 / 8)) < by_eight(coded)
