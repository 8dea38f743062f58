"""Printed words on a page, read by the tesseract program where it is installed."""

from __future__ import annotations

import csv
import io
import shutil
import subprocess
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.errors import PageError

PROGRAM = "tesseract"
PATIENCE = 120  # seconds; a full page takes about one
SPARSE = "11"  # tesseract's page segmentation mode for text found anywhere
LEAST_CONFIDENCE = 30.0  # of 100; below, words are mostly swatches and grid lines
FINE = 2400  # pixels across; pages below are enlarged, since small print is read badly


@dataclass(frozen=True)
class Word:
    """One printed word.

    Attributes:
        text: what it says.
        left: pixels from the left of the page.
        top: pixels from its top.
        width: in pixels.
        height: in pixels.
    """

    text: str
    left: float
    top: float
    width: float
    height: float

    @property
    def middle(self) -> tuple[float, float]:
        """Its middle (x, y) in pixels."""
        return self.left + self.width / 2, self.top + self.height / 2


def read_words(pixels: NDArray[np.uint8]) -> list[Word]:
    """All words on ``pixels``, shape (height, width, 3), in reading order.

    Raises:
        PageError: the program is missing, fails or takes too long.
    """
    from PIL import Image

    program = shutil.which(PROGRAM)
    if program is None:
        raise PageError(f"{PROGRAM} isn't installed; printed words can't be read")
    scale = 2 if pixels.shape[1] < FINE else 1
    image = Image.fromarray(pixels).convert("L")
    if scale > 1:
        image = image.resize((image.width * scale, image.height * scale), Image.Resampling.BICUBIC)
    stream = io.BytesIO()
    image.save(stream, "PNG", compress_level=1)
    command = [program, "stdin", "stdout", "--psm", SPARSE, "tsv"]
    try:
        done = subprocess.run(
            command, input=stream.getvalue(), capture_output=True, check=True, timeout=PATIENCE
        )
    except (OSError, subprocess.SubprocessError) as error:
        raise PageError(f"{PROGRAM} failed ({error}); printed words weren't read") from error
    return _words(done.stdout.decode("utf-8", "replace"), scale)


def _words(table: str, scale: int) -> list[Word]:
    """The words of tesseract's tab separated output; rows it left blank or doubts are dropped."""
    found = []
    for row in csv.DictReader(io.StringIO(table), delimiter="\t", quoting=csv.QUOTE_NONE):
        try:
            place = [float(row[name]) / scale for name in ("left", "top", "width", "height")]
            confident = float(row["conf"]) >= LEAST_CONFIDENCE
        except (KeyError, TypeError, ValueError):
            continue
        text = (row.get("text") or "").strip()
        if text and confident:
            found.append(Word(text, *place))
    return found
