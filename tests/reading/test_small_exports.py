"""Motifs of a few cells, saved as JPEG, as pages on the net show them: each cell is right."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from chartscan.reading import read_pages

MARGIN, LINE = 20, 150
FILLS = np.array(
    [(255, 255, 255), (200, 30, 40), (40, 90, 170), (30, 120, 60), (240, 200, 60)], np.uint8
)


@pytest.mark.parametrize("quality", [75, 90])
@pytest.mark.parametrize(
    ("columns", "rows", "pitch"), [(6, 6, 16), (7, 9, 12), (9, 9, 8), (9, 9, 14), (10, 6, 9)]
)
def test_a_small_motif_is_read_cell_by_cell(
    columns: int, rows: int, pitch: int, quality: int, tmp_path: Path
) -> None:
    """They were refused, or read at half their pitch: four times the stitches."""
    drawn = np.random.default_rng(pitch).integers(0, len(FILLS), (rows, columns))
    picture = FILLS[np.kron(drawn, np.ones((pitch, pitch), int))]
    picture = np.pad(picture, ((0, 1), (0, 1), (0, 0)))
    picture[::pitch] = picture[:, ::pitch] = LINE
    picture = np.pad(picture, ((MARGIN, MARGIN), (MARGIN, MARGIN), (0, 0)), constant_values=255)
    path = tmp_path / "motif.jpg"
    Image.fromarray(picture).save(path, quality=quality)
    chart = read_pages((path,)).chart
    assert (chart.columns, chart.rows) == (columns, rows)
    pairs = np.unique(np.stack([drawn.ravel(), chart.cells.ravel()]), axis=1).T
    assert len(pairs) == len(np.unique(drawn)) == len(np.unique(chart.cells))
