"""The card with what was looked at drawn over it, so that a wrong grid is seen at a glance."""

from __future__ import annotations

import io

import numpy as np

from chartscan.palette.fields import FieldSettings, Pixels
from chartscan.palette.measure import Measurement
from chartscan.reading.lattice.model import Lattice

_LONGEST = 1600  # pixels of the picture's longer side
_GOOD, _BAD, _NONE = (0, 130, 60), (220, 0, 60), (120, 120, 120)
_HALO = (255, 255, 255)  # so that a frame shows on a thread of its own colour


def card_picture(
    pixels: Pixels,
    lattice: Lattice,
    measurement: Measurement,
    settings: FieldSettings,
) -> bytes:
    """A PNG of the card: a frame round the part of each field that was used, its number in it.

    Below each frame lies a chip of the measured colour. Red frames were left out, grey ones hold
    no thread.
    """
    from PIL import Image, ImageDraw

    picture = Image.fromarray(pixels)
    scale = min(1.0, _LONGEST / max(picture.size))
    picture = picture.resize((round(picture.width * scale), round(picture.height * scale)))
    draw = ImageDraw.Draw(picture)
    measured = {t.field: t for t in measurement.threads}
    left_out = {t.field for t in measurement.left_out}
    for number in range(1, lattice.columns * lattice.rows + 1):
        row, column = divmod(number - 1, lattice.columns)
        corners = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) - 0.5
        middle = np.array([column + 0.5, row + 0.5])
        frame = lattice.to_pixels(middle + corners * settings.inner) * scale
        colour = _GOOD if number in measured else _BAD if number in left_out else _NONE
        outline = [(float(x), float(y)) for x, y in frame]
        draw.polygon(outline, outline=_HALO, width=4)
        draw.polygon(outline, outline=colour, width=2)
        if number in measured:
            chip = lattice.to_pixels(middle + corners * 0.2 + (0, settings.inner / 2 + 0.1)) * scale
            draw.polygon([(float(x), float(y)) for x, y in chip], fill=measured[number].rgb)
        at = (outline[0][0] + 3, outline[0][1] + 2)
        draw.text(at, str(number), fill=colour, stroke_width=1, stroke_fill=_HALO)
    out = io.BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()
