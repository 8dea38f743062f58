"""Opening and reading charts, counting them, holding them against what is printed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chartscan.errors import ChartError, GridError, PageError
from chartscan.progress import Progress, silent
from chartscan.remedies import Remedy

if TYPE_CHECKING:
    from chartscan.chart import Chart, ChartClass
    from chartscan.reading import Reading, ReadSettings

UTF8_MARK_OR_BLANK = b"\xef\xbb\xbf \t\r\n"
HEAD_BYTES = 64  # enough to see past a mark and blanks to the first brace


@dataclass(frozen=True)
class Opened:
    """A chart, and what its reader warns of (nothing, where it comes from a chart file)."""

    chart: Chart
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True)
class Counted:
    """A class of a chart and how much of it there is.

    Attributes:
        entry: the class.
        number: cells of stitches and ground, length of lines in cells, or knots.
    """

    entry: ChartClass
    number: float


def is_chart_file(path: Path) -> bool:
    """Whether ``path`` starts like JSON; a file that can't be opened is left to its reader."""
    try:
        if not path.is_file():  # to open a pipe would be to wait for it
            return False
        with path.open("rb") as stream:
            return stream.read(HEAD_BYTES).lstrip(UTF8_MARK_OR_BLANK).startswith(b"{")
    except OSError:
        return False


def open_chart(
    path: Path, settings: ReadSettings | None = None, progress: Progress = silent
) -> Opened:
    """The chart in ``path``: a chart file as it is, a picture or PDF read.

    Args:
        path: the file.
        settings: what is told the reader; must be None for a chart file, which is read already.
        progress: told how far the reading is.

    Raises:
        ChartError: the chart file is broken, or ``settings`` can't change it any more.
        PageError, GridError: as :func:`read_chart`.
    """
    if not is_chart_file(path):
        reading = read_chart((path,), settings, progress)
        return Opened(reading.chart, reading.warnings)
    from chartscan.chart import load_chart

    if settings is not None:
        raise ChartError(f"{path} is a chart file; what is told the reader goes with a picture")
    return Opened(load_chart(path))


def read_chart(
    images: Sequence[Path], settings: ReadSettings | None = None, progress: Progress = silent
) -> Reading:
    """Read the pages of one chart from pictures or PDFs, in reading order.

    Only the worktable: the command line reads over an earlier chart (`corrections.read_over`).

    Raises:
        PageError: a file can't be opened or is too large.
        GridError: no grid was found, or it isn't the one that was told.
    """
    from chartscan.reading import ReadSettings, read_pages

    return read_pages(images, settings or ReadSettings(), progress)


def told_reader(told: Mapping[str, Any], max_pixels: int) -> ReadSettings:
    """The reader's settings from what a page told, as JSON.

    Size, corners, turn, colours, pages, layout; of several pages what is told of each, and how
    much repeats at their seams.

    Only the worktable: the command line has options instead.

    Raises:
        GridError: what was told contradicts itself.
    """
    from chartscan.entry import Entry
    from chartscan.reading import ReadSettings
    from chartscan.reading.told import page_told

    settings: dict[str, Any] = {"max_pixels": max_pixels}
    for name in ("size", "layout", "pages"):
        if told.get(name):
            settings[name] = tuple(int(number) for number in told[name])
    if told.get("each"):
        settings["each"] = tuple(page_told(Entry(page, "a page")) for page in told["each"])
    if told.get("repeats"):
        settings["repeats"] = tuple(told["repeats"])
    for name in ("colours", "turn"):
        if told.get(name):
            settings[name] = int(told[name])
    if told.get("corners"):
        settings["corners"] = tuple((float(x), float(y)) for x, y in told["corners"])
    try:
        return ReadSettings(**settings)
    except ValueError as error:
        raise GridError(str(error)) from error


def compare_print(reading: Reading) -> tuple[str, ...]:
    """What the printed key and axis numbers say against a reading, a line each.

    That they couldn't be read stops nothing: it is one of the lines.
    """
    from chartscan.reading.printed.legend import check_print

    try:
        return check_print(reading.chart, reading.evidence)
    except PageError as error:
        return (str(error),)


def count_chart(chart: Chart) -> tuple[Counted, ...]:
    """How much there is of each class, in the chart's order."""
    return tuple(
        Counted(entry, number) for entry, number in zip(chart.classes, chart.counts(), strict=True)
    )


def expect(
    chart: Chart, name: str, size: tuple[int, int] | None = None, stitches: int | None = None
) -> None:
    """Hold a chart against what its key says.

    Args:
        chart: the chart.
        name: what it is called, for the message.
        size: columns and rows that it should have.
        stitches: whole stitches that it should have.

    Raises:
        ChartError: names everything that doesn't hold.
    """
    wrong = []
    if size is not None and size != (chart.columns, chart.rows):
        wrong.append(f"{chart.columns}x{chart.rows} cells instead of {size[0]}x{size[1]}")
    if stitches is not None and stitches != chart.stitches:
        wrong.append(
            f"{chart.stitches} stitches instead of {stitches} ({chart.stitches - stitches:+d})"
        )
    if wrong:
        raise ChartError(f"{name}: the chart has {' and '.join(wrong)}", Remedy.SEE_REVIEW)
