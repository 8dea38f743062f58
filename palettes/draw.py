"""Draws the invented thread ranges, ``meadowline.csv`` and ``fenmarl-pearl.csv``.

No colour, name or number in them is anybody's: every colour comes from the formula below, worked
out in CIELAB (CIE 15:2018) from a family's hue and a seeded wobble; codes are the first letters of
the family's own name and the shade's number, counted from the palest.

Run ``python palettes/draw.py`` from the project's folder to draw both again.
"""

from __future__ import annotations

import csv
import io
import warnings
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from skimage.color import lab2rgb

SEED = 28
WOBBLE = (0.6, 0.04, 1.5)  # standard deviations: lightness, chroma (a share), hue in degrees
HEADER = ("code", "name", "hex", "line", "status", "metres", "strands", "price")
COTTON = ("Meadowline", "8", "6", "1.20")
PEARL = ("Fenmarl Pearl", "30", "1", "3.40")
VARIEGATED = ("Fenmarl Pearl", "30", "1", "4.10")


@dataclass(frozen=True)
class Ramp:
    """Lightness and chroma from the palest shade to the darkest.

    Chroma is held within ``gamut``, a share of what sRGB still shows at that lightness and hue.
    """

    gamut: float
    shades: tuple[tuple[float, float], ...]


BRIGHT = Ramp(0.9, ((90, 6), (79, 20), (68, 44), (57, 66), (46, 66), (35, 56), (24, 42)))
SUNLIT = Ramp(0.9, ((93, 9), (83, 26), (73, 52), (63, 64), (54, 58), (45, 48), (37, 40)))
SOFT = Ramp(0.55, ((86, 8), (73, 20), (60, 34), (47, 33), (35, 29), (22, 20)))
GREY = Ramp(0.3, ((80, 10), (63, 16), (46, 16), (28, 14)))
CHALK = Ramp(1, tuple((lightness, 1) for lightness in (96, 85, 75, 64, 52, 42, 31, 22, 9)))
FLEECE = Ramp(1, tuple((lightness, 5) for lightness in (91, 80, 70, 60, 50, 39, 28, 19)))
PEWTER = Ramp(1, tuple((lightness, 4) for lightness in (92, 80, 70, 59, 49, 40, 29, 19)))
WALNUT = Ramp(1, tuple((lightness, 9) for lightness in (91, 79, 70, 59, 49, 38, 28, 19)))


@dataclass(frozen=True)
class Family:
    """Shades of one hue, in degrees; those ``gone`` are discontinued."""

    letters: str
    name: str
    hue: float
    ramp: Ramp
    gone: tuple[int, ...] = ()


FAMILIES = (
    Family("ROS", "Rosehip", 1, BRIGHT, (2,)),
    Family("CLO", "Clover", 7, SOFT, (5,)),
    Family("ASH", "Ash rose", 357, GREY, (4,)),
    Family("HAW", "Hawberry", 18, BRIGHT, (6,)),
    Family("KIL", "Kiln", 23, SOFT, (6,)),
    Family("WOR", "Worn tile", 14, GREY),
    Family("EMB", "Ember", 31, BRIGHT),
    Family("CLA", "Clay pot", 37, SOFT),
    Family("ROW", "Rowan", 45, BRIGHT),
    Family("FOX", "Fox", 49, SOFT, (3,)),
    Family("OTT", "Otter", 41, GREY),
    Family("MAR", "Marigold", 57, BRIGHT, (4,)),
    Family("BRA", "Bracken", 63, SOFT, (3,)),
    Family("HAZ", "Hazel", 55, GREY),
    Family("APR", "Apricot", 70, SUNLIT),
    Family("STR", "Straw", 74, SOFT),
    Family("OAT", "Oat", 66, GREY),
    Family("BUT", "Buttercup", 82, SUNLIT, (5,)),
    Family("HON", "Honey", 88, SOFT),
    Family("BAR", "Barley", 80, GREY),
    Family("PRI", "Primrose", 95, SUNLIT, (4, 7)),
    Family("THA", "Thatch", 100, SOFT, (2,)),
    Family("REE", "Reed", 93, GREY),
    Family("LEM", "Lemon peel", 104, SUNLIT, (3,)),
    Family("LIC", "Lichen", 109, SOFT, (1,)),
    Family("NEW", "New leaf", 117, SUNLIT),
    Family("OLI", "Olive", 125, SOFT, (1, 4, 5)),
    Family("SAG", "Sage", 114, GREY),
    Family("GRA", "Grasshopper", 132, BRIGHT, (1, 2)),
    Family("MOS", "Moss", 138, SOFT),
    Family("NET", "Nettle", 128, GREY),
    Family("PAR", "Parsley", 144, BRIGHT, (3,)),
    Family("FER", "Fern", 150, SOFT, (2,)),
    Family("WIL", "Willow", 141, GREY),
    Family("MAL", "Mallard", 160, BRIGHT, (6,)),
    Family("YEW", "Yew", 165, SOFT),
    Family("LAU", "Laurel", 156, GREY),
    Family("DRA", "Dragonfly", 178, BRIGHT, (1,)),
    Family("POO", "Pool", 183, SOFT, (4,)),
    Family("PEB", "Pebble", 175, GREY),
    Family("TEA", "Teal wing", 199, BRIGHT),
    Family("SLA", "Slate roof", 204, SOFT, (6,)),
    Family("WEI", "Weir", 222, BRIGHT, (1, 3)),
    Family("MIL", "Millpond", 229, SOFT),
    Family("RAI", "Rain", 214, GREY),
    Family("BRO", "Brook", 245, BRIGHT, (2, 6)),
    Family("HER", "Heron", 250, SOFT),
    Family("FLI", "Flint", 241, GREY),
    Family("COR", "Cornfield blue", 265, BRIGHT),
    Family("DUS", "Dusk", 270, SOFT, (1, 3)),
    Family("MUS", "Mussel", 261, GREY),
    Family("HAR", "Harebell", 286, BRIGHT),
    Family("SLO", "Sloe", 289, SOFT),
    Family("STO", "Storm", 283, GREY, (2,)),
    Family("IRI", "Iris", 304, BRIGHT),
    Family("BIL", "Bilberry", 308, SOFT),
    Family("THI", "Thistle", 298, GREY, (3,)),
    Family("CRO", "Crocus", 320, BRIGHT, (3,)),
    Family("DAM", "Damson", 327, SOFT, (5, 6)),
    Family("HEA", "Heather", 315, GREY, (1,)),
    Family("FOG", "Foxglove", 338, BRIGHT),
    Family("MUL", "Mulberry", 342, SOFT, (3,)),
    Family("CAM", "Campion", 351, BRIGHT),
    Family("BEE", "Beetroot", 355, SOFT),
    Family("MAO", "Mallow", 345, GREY),
    Family("CHA", "Chalk", 95, CHALK, (6,)),
    Family("FLE", "Fleece", 74, FLEECE),
    Family("PEW", "Pewter", 254, PEWTER, (1,)),
    Family("WAL", "Walnut", 54, WALNUT),
)

SHORE = (
    *("Quay", "Sail", "Rope", "Buoy", "Gull", "Kelp", "Shell", "Foam", "Net", "Tide"),
    *("Sand", "Cliff", "Hull", "Reef", "Pier", "Mast", "Wharf", "Lamp", "Shoal", "Drift"),
)
"""Words for the pearl cottons, six shades of each."""

MIXED = (
    ("FV1", "Hedgerow", "#7f9a4d #a3b86c #5f7a3a #c9c08a"),
    ("FV2", "Sunrise", "#f2c6a0 #e89a8a #f6dfb0"),
    ("FV3", "Rockpool", "#4f8a8b #7fb0a8 #2f5f6e"),
    ("FV4", "Bonfire", "#a8402f #d9822b #5b2a22"),
)
"""Variegated pearl cottons: their colours were chosen by eye."""

PEARLS = 116
DISCONTINUED = 17  # every so many pearl cottons, one is


def most_chroma(lightness: float, hue: float) -> float:
    """The chroma up to which sRGB shows a colour of this lightness and hue, in radians."""
    reach = np.arange(0.5, 140, 0.5)
    lab = np.stack([np.full_like(reach, lightness), reach * np.cos(hue), reach * np.sin(hue)], -1)
    rgb = lab2rgb(lab)
    outside = ((rgb <= 0) | (rgb >= 1)).any(axis=-1)
    return float(reach[int(np.argmax(outside))]) if outside.any() else float(reach[-1])


def hex_colour(
    lightness: float, chroma: float, hue: float, gamut: float, rng: np.random.Generator
) -> str:
    """The sRGB colour of CIELCh coordinates (hue in degrees), wobbled."""
    spread = rng.normal(0, 1, 3) * WOBBLE
    lightness, hue = lightness + spread[0], np.radians(hue + spread[2])
    chroma = min(chroma * (1 + spread[1]), gamut * most_chroma(lightness, hue))
    rgb = lab2rgb(np.array([lightness, chroma * np.cos(hue), chroma * np.sin(hue)]))
    return "#" + "".join(f"{round(float(c) * 255):02x}" for c in rgb)


def row(
    code: str, name: str, colours: str, sold: Sequence[str], gone: bool = False
) -> Sequence[str]:
    """A row of the table; ``sold``: its line, metres, strands and price."""
    line, *terms = sold
    return code, name, colours, line, "discontinued" if gone else "current", *terms


def meadowline() -> Iterator[Sequence[str]]:
    """Stranded cottons: families of one hue, from pale to dark."""
    rng = np.random.default_rng(SEED)
    for family in FAMILIES:
        for number, (lightness, chroma) in enumerate(family.ramp.shades, start=1):
            colour = hex_colour(lightness, chroma, family.hue, family.ramp.gamut, rng)
            thread = (f"{family.letters}{number}", f"{family.name} {number}", colour)
            yield row(*thread, COTTON, gone=number in family.gone)


def fenmarl() -> Iterator[Sequence[str]]:
    """Pearl cottons: once round the circle of hues, light and dark by turns; four variegated."""
    rng = np.random.default_rng(SEED)
    shades = [(r.gamut, *shade) for r in (SUNLIT, SOFT, GREY) for shade in r.shades]
    for at in range(PEARLS):
        gamut, lightness, chroma = shades[
            at * 7 % len(shades)
        ]  # 5 and 17 share no factor: all come up
        colour = hex_colour(lightness, chroma, 360 * at / PEARLS, gamut, rng)
        thread = (f"FP{at + 1}", f"{SHORE[at // 6]} {at % 6 + 1}", colour)
        yield row(*thread, PEARL, gone=at % DISCONTINUED == 5)
    for thread in MIXED:
        yield row(*thread, VARIEGATED)


def table(rows: Iterator[Sequence[str]]) -> str:
    """The rows as a CSV table with its header."""
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows([HEADER, *rows])
    return text.getvalue()


def main() -> None:
    """Write both ranges beside this file."""
    warnings.simplefilter("ignore")  # where sRGB ends is looked for by going beyond it
    here = Path(__file__).parent
    (here / "meadowline.csv").write_text(table(meadowline()), encoding="utf-8")
    (here / "fenmarl-pearl.csv").write_text(table(fenmarl()), encoding="utf-8")


if __name__ == "__main__":
    main()
