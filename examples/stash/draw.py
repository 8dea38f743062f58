"""Makes the example stash: three charts, and tables of an invented drawer and three projects.

The designs are the project's own, the threads are those of the sample range ``meadowline``. Run
``python examples/stash/draw.py`` from the project's folder to make all of it again.
"""

from __future__ import annotations

import csv
import random
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart, ChartClass, save_chart
from chartscan.colour import format_hex
from chartscan.palette import Palette, load_palette

Cells = NDArray[np.int32]
Rgb = tuple[int, int, int]

HERE = Path(__file__).parent
SEED = 1851  # any number; it only has to stay the same
GROUND = ChartClass(0, "empty", (250, 248, 240))
LINE = "Meadowline"
MOST_SKEINS = 4  # of one colour in the drawer
SHARED = 2  # the place of the colour that stars and picture both take much of


def sampler() -> Cells:
    """A band sampler in one colour: bands of waves, diamonds and crosses, 60 × 180."""
    cells = np.zeros((180, 60), np.int32)
    row, column = np.mgrid[0:180, 0:60]
    band = row // 18
    inside = row % 18
    wave = np.abs(inside - 8 - np.round(4 * np.sin(column / 60 * 2 * np.pi * (2 + band % 4)))) < 2
    diamond = (np.abs(inside - 8) + np.abs(column % 12 - 6)) % 5 == 0
    crosses = (np.abs(inside - 8) == np.abs(column % 10 - 5)) & (inside > 3) & (inside < 13)
    pattern = np.select([band % 3 == 0, band % 3 == 1], [wave, diamond], crosses)
    rule = (inside == 17) | (column == 0) | (column == 59)
    cells[np.where(rule, True, pattern).astype(bool)] = 1
    return cells


def ornament() -> Cells:
    """A star in three colours, 33 × 33."""
    row, column = np.mgrid[-16:17, -16:17]
    far = np.hypot(row, column)
    ray = np.minimum.reduce(
        [np.abs(row), np.abs(column), np.abs(row - column), np.abs(row + column)]
    )
    cells = np.zeros((33, 33), np.int32)
    cells[(ray < 2) & (far < 15)] = 1
    cells[far < 6] = 2
    cells[(far >= 10) & (far < 12) & (ray >= 2)] = 3
    return cells


def picture(colours: int) -> Cells:
    """Hills under an evening sky in bands of every colour, 120 × 90, bare corners."""
    row, column = np.mgrid[0:90, 0:120]
    height = row + 6 * np.sin(column / 17) + 3 * np.sin(column / 5 + row / 9)
    band = np.clip((height / 90 * colours).astype(int), 0, colours - 1)
    cells: Cells = np.asarray(band + 1, np.int32)
    cells[np.hypot(row - 45, column - 60) > 68] = 0
    return cells


def chart(cells: Cells, colours: list[Rgb]) -> Chart:
    """A chart of ``cells`` whose class n has the n-th colour."""
    stitches = [ChartClass(n, "stitch", rgb) for n, rgb in enumerate(colours, start=1)]
    return Chart(cells, (GROUND, *stitches))


def spread(palette: Palette, count: int) -> list[Rgb]:
    """Colours of ``count`` threads that can be bought, evenly through the range."""
    current = [t for t in palette.threads if t.status == "current"]
    return [current[i * len(current) // count].rgb for i in range(count)]


def write(name: str, header: str, rows: list[tuple[object, ...]]) -> None:
    """Write one table."""
    with (HERE / f"{name}.csv").open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(header.split(","))
        writer.writerows(rows)


def drawer(
    palette: Palette, wanted: set[Rgb], sampler_rgb: Rgb, shared_rgb: Rgb, dice: random.Random
) -> list[tuple[object, ...]]:
    """Some of the range in whole and part skeins, most of what the charts call for among it.

    Of the shared colour there is just enough for two projects if they divide a skein.
    """
    rows: list[tuple[object, ...]] = []
    for thread in palette.threads:
        chance = 1 if thread.rgb == sampler_rgb else 0.7 if thread.rgb in wanted else 0.25
        if dice.random() < chance:
            skeins = min(MOST_SKEINS, int(dice.expovariate(0.5)))
            left = round(dice.uniform(0.5, 7.5), 1) if dice.random() < 0.4 else ""
            if thread.rgb == sampler_rgb:
                skeins = 3
            if thread.rgb == shared_rgb:
                skeins, left = 2, 7.5
            if skeins or left:
                told = (thread.code, LINE, skeins, left, thread.name, format_hex(thread.rgb))
                rows.append((*told, 8, 6, 1.2))
    return rows


def main() -> None:
    """Make every file."""
    dice = random.Random(SEED)
    palette = load_palette(HERE.parent.parent / "palettes" / "meadowline.csv")
    colours = spread(palette, 30)
    save_chart(chart(sampler(), [colours[7]]), HERE / "sampler.json")
    save_chart(chart(ornament(), [colours[2], colours[13], colours[21]]), HERE / "ornament.json")
    save_chart(chart(picture(30), colours), HERE / "picture.json")
    write(
        "threads",
        "code,line,skeins,metres_left,name,hex,metres,strands,price",
        drawer(palette, set(colours), colours[7], colours[SHARED], dice),
    )
    write(
        "fabrics",
        "label,name,count,hex,fibre,width_cm,height_cm",
        [
            ("F1", "ivory", 28, "#f4eedd", "linen", 50, 70),
            ("F2", "ivory", 28, "#f4eedd", "linen", 35, 35),
            ("F3", "snow", 14, "#fbfbf8", "cotton", 110, 60),
            ("F4", "oat", 28, "#e3d5ba", "cotton and viscose", 45, 45),
            ("F5", "dusk", 32, "#8d97a6", "linen", 50, 40),
        ],
    )
    write("fabric-prices", "count,name,price_per_m2", [(14, "snow", 24), (28, "ivory", 58)])
    write(
        "notions",
        "name,unit,amount,price,note",
        [
            ("seed beads, frost", "g", 6, 0.9, "blue tin"),
            ("hanging loops, silver", "m", 3, 1.5, ""),
            ("tapestry needles 26", "", 4, 0.6, ""),
        ],
    )
    write(
        "charts",
        "title,file,book,issue,page,place,copies",
        [
            ("Band sampler", "sampler.json", "", "", "", "green folder", 1),
            ("Frost star", "ornament.json", "Stars to hang", "", "12", "shelf 2", 1),
            ("Evening hills", "picture.json", "", "", "", "", 0),
        ],
    )
    write(
        "projects",
        "name,copies,fabric_count,fabric_over,fabric_colour,margin_mm,palette,place,deadline",
        [
            ("Band sampler", 1, 28, 2, "ivory", 75, "meadowline", "linen bag 1", ""),
            ("Frost stars", 25, 14, 1, "snow", 20, "meadowline", "tin box", "2026-12-06"),
            ("Evening hills", 1, 28, 2, "ivory", 75, "meadowline", "linen bag 2", "2027-05-01"),
        ],
    )
    write(
        "project-charts",
        "project,part,title",
        [
            ("Band sampler", 1, "Band sampler"),
            ("Frost stars", 1, "Frost star"),
            ("Evening hills", 1, "Evening hills"),
        ],
    )
    write(
        "notion-needs",
        "project,name,unit,amount,note",
        [
            ("Frost stars", "seed beads, frost", "g", 10, ""),
            ("Frost stars", "hanging loops, silver", "m", 2.5, "10 cm each"),
        ],
    )


if __name__ == "__main__":
    main()
