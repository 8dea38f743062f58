"""What the reader's process does: every picture is decoded here, and nowhere else."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chartscan.chart import load_chart, save_chart
from chartscan.errors import ChartError
from chartscan.progress import Progress

if TYPE_CHECKING:
    from PIL import Image

    from chartscan.chart import Chart
    from chartscan.reading import Reading, ReadSettings
    from chartscan.reading.evidence import Evidence
    from chartscan.reading.several import PagesRefused
    from chartscan.tasks.corrections import ReadAgain

LOOK = "look"
PAGE = "page"
FIRST, SMALL = "first.jpg", "small.jpg"
CHART = "chart.json"  # the chart as it stands
READ = "read.json"  # what was read, until the table has taken it
FIRST_PX = 1600  # longer side of the first picture: a large screen's
LEAF_PX = 360  # of a page among many, to pick from
SMALL_PX = 480  # of the picture on the shelf: twice its size on the page, for fine screens
MOST_LEAVES = 48  # pages of one file that are shown to pick from

Result = dict[str, Any]


def look_first(progress: Progress, folder: str, file: str, max_pixels: int) -> Result:
    """A first picture of a file's first page, and how many pages there are."""
    from chartscan.tasks.pictures import first_look

    look = Path(folder) / LOOK
    look.mkdir(exist_ok=True)
    progress("looking", 0.0)
    seen = first_look(Path(folder) / file, None, FIRST_PX, max_pixels)
    _save(seen.picture, look / FIRST)
    seen.picture.thumbnail((SMALL_PX, SMALL_PX))
    _save(seen.picture, look / SMALL)
    return {"pages": seen.pages}


def look_through(progress: Progress, folder: str, file: str, pages: int, max_pixels: int) -> Result:
    """A small picture of each page of a file."""
    from chartscan.tasks.pictures import first_look

    shown = min(pages, MOST_LEAVES)
    for number in range(1, shown + 1):
        progress("pages", (number - 1) / shown)
        seen = first_look(Path(folder) / file, number, LEAF_PX, max_pixels)
        _save(seen.picture, Path(folder) / LOOK / leaf_name(number))
    return {"shown": shown}


def leaf_name(number: int) -> str:
    """The file name of the small picture of a page, from 1."""
    return f"leaf-{number}.jpg"


def read(
    progress: Progress, folder: str, files: Sequence[str], told: Mapping[str, Any], max_pixels: int
) -> Result:
    """Read a chart; the chart file and the pictures of it are left in its folder.

    Corrections of an earlier reading are carried over. Of one page ``told`` says all of the grid:
    what it doesn't say any more is found.
    """
    from chartscan.reading.several import PagesRefused
    from chartscan.tasks.charts import told_reader
    from chartscan.tasks.corrections import read_over, untold

    paths = [Path(folder) / file for file in files]
    settings = told_reader(told, max_pixels)
    before = _before(Path(folder))
    if before is not None and not settings.each:
        before = untold(before)
    try:
        again = read_over(paths, settings, before, progress)
    except PagesRefused as error:
        _draw_refused(Path(folder), paths, settings, error)
        raise
    return _left(Path(folder), again)


def follow(progress: Progress, folder: str, files: Sequence[str], lines: Sequence[str]) -> Result:
    """Correct a chart by lines that need its page, and read it again as far as they ask for."""
    from chartscan.tasks import corrections

    paths = [Path(folder) / file for file in files]
    chart = _before(Path(folder))
    if chart is None:
        raise ChartError("there is nothing to correct yet")
    if lines:
        progress("correcting", 0.0)
        chart = corrections.correct_chart(chart, lines, paths)
    if corrections.needs_reading(chart):
        return _left(Path(folder), corrections.follow(chart, paths, progress))
    save_chart(chart, Path(folder) / READ)
    return {"adrift": 0}


def _before(folder: Path) -> Chart | None:
    """The chart as it stands, where there is one."""
    path = folder / CHART
    return load_chart(path) if path.is_file() else None


def _left(folder: Path, again: ReadAgain) -> Result:
    """Leave a reading, and its pictures, for the table to take."""
    reading = again.reading
    _draw(folder, reading)
    save_chart(reading.chart, folder / READ)
    return {"warnings": list(reading.warnings), "adrift": again.adrift}


# ------------------------------------------------------------------------- pictures


def _draw(folder: Path, reading: Reading) -> None:
    """The pages and the chart laid flat, in tiles; they take their place once all are written."""
    from chartscan.tasks.pictures import laid_flat
    from chartscan.worktable.tiles import write_tiles

    fresh = _fresh(folder)
    _draw_read(reading.evidence, fresh)
    flat = laid_flat(reading)
    about = {"cell": flat.cell_px, "margin": flat.margin}
    write_tiles(flat.picture, fresh / "flat", about)
    flat.picture.thumbnail((SMALL_PX, SMALL_PX))
    _save(flat.picture, fresh / SMALL)
    _take_place(folder, fresh)


def _draw_read(pages: Sequence[Evidence], fresh: Path) -> None:
    """Pages that were read, in tiles, with where the grid lies on them."""
    from PIL import Image

    from chartscan.tasks.pictures import grid_on_page
    from chartscan.worktable.tiles import write_tiles

    for number, page in enumerate(pages, start=1):
        about = asdict(grid_on_page(page))
        write_tiles(Image.fromarray(page.page.pixels), fresh / page_name(number), about)


def _draw_refused(
    folder: Path, paths: Sequence[Path], settings: ReadSettings, error: PagesRefused
) -> None:
    """All pages in tiles, so that corners can be told: of those that were read with their grids."""
    from PIL import Image

    from chartscan.tasks.pictures import unread_pages
    from chartscan.worktable.tiles import write_tiles

    fresh = _fresh(folder)
    _draw_read(error.read, fresh)
    pixels = unread_pages(paths, settings, len(error.read))
    for place, page in enumerate(pixels, start=len(error.read)):
        about = {"refused": place == error.place}
        write_tiles(Image.fromarray(page), fresh / page_name(place + 1), about)
    _take_place(folder, fresh)


def page_name(number: int) -> str:
    """The folder name of a page's tiles, from 1."""
    return f"{PAGE}-{number}"


def _fresh(folder: Path) -> Path:
    fresh = folder / f"{LOOK}.new"
    shutil.rmtree(fresh, ignore_errors=True)
    fresh.mkdir()
    return fresh


def _take_place(folder: Path, fresh: Path) -> None:
    """Put what was drawn afresh in the place of what was there before."""
    look = folder / LOOK
    look.mkdir(exist_ok=True)
    for old in look.glob(f"{PAGE}-*"):
        shutil.rmtree(old)  # there may be fewer pages by now
    for new in fresh.iterdir():
        old = look / new.name
        if old.is_dir():
            shutil.rmtree(old)
        new.replace(old)
    fresh.rmdir()


def _save(picture: Image.Image, path: Path) -> None:
    picture.save(path, "JPEG", quality=85)


Job = Callable[..., Result]
JOBS: Mapping[str, Job] = {
    "first": look_first,
    "leaves": look_through,
    "read": read,
    "follow": follow,
}
