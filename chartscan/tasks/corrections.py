"""Questions answered, a reading corrected, and a page read again without losing what was told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chartscan.errors import ChartError
from chartscan.progress import Progress, silent

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from chartscan.chart import Chart
    from chartscan.chart.corrections.acts import Act
    from chartscan.reading import Reading, ReadSettings
    from chartscan.reading.reopen.reopened import Reopened

Pictures = Sequence[Path]


@dataclass(frozen=True)
class ReadAgain:
    """A reading over an earlier one.

    Attributes:
        reading: the reading, with the corrections of the earlier one.
        carried: how many corrections landed where they belonged.
        adrift: how many have no sure place, and are asked about.
    """

    reading: Reading
    carried: int
    adrift: int


def correct_chart(chart: Chart, lines: Sequence[str], pictures: Pictures = ()) -> Chart:
    """The chart after further corrections, each a line (`chartscan correct`).

    Args:
        chart: the chart.
        lines: what is told; numbers of classes and corrections are those of ``chart``.
        pictures: what it was read from, for a class that is to be split as the page has it.

    Raises:
        ChartError: a line can't be understood or followed; all of them are named.
        PageError: a picture is needed and isn't there, or has changed.
    """
    from chartscan.chart.corrections.tell import tell

    return tell(chart, [_worked_out(chart, line, pictures) for line in lines])


def answer_question(chart: Chart, question: int, answer: int, pictures: Pictures = ()) -> Chart:
    """The chart once a question is answered, both counted from 0.

    Raises:
        ChartError: there is no such question or answer, or the answer can't be followed.
        PageError: as :func:`correct_chart`.
    """
    if not 0 <= question < len(chart.questions):
        raise ChartError(f"there is no question {question + 1}; {len(chart.questions)} are open")
    answers = chart.questions[question].answers
    if not 0 <= answer < len(answers):
        raise ChartError(
            f"question {question + 1} has no answer {answer + 1}; it has {len(answers)}"
        )
    return correct_chart(chart, [answers[answer].tell], pictures)


def load_table(chart: Chart, path: Path) -> Chart:
    """The chart with the corrections of a CSV file after those that it has.

    Only the command line: a file of corrections is a way to keep them beside other scripts.

    Raises:
        TableError: the file can't be read, or rows name what isn't in the reading.
    """
    from chartscan.chart.corrections.replay import replay
    from chartscan.chart.corrections.table import load_corrections

    return replay(chart, (*chart.corrections, *load_corrections(path, chart)))


def table_of(chart: Chart) -> bytes:
    """All corrections as a CSV file.

    Only the command line: a file of corrections is a way to keep them beside other scripts.
    """
    from chartscan.chart.corrections.table import corrections_table

    return corrections_table(chart).encode("utf-8")


def needs_reading(chart: Chart) -> bool:
    """Whether something was told that only another reading can follow."""
    from chartscan.reading.told import unfollowed

    return bool(unfollowed(chart))


def read_over(
    images: Sequence[Path],
    settings: ReadSettings | None = None,
    before: Chart | None = None,
    progress: Progress = silent,
) -> ReadAgain:
    """Read pages, and carry the corrections of an earlier reading over.

    What was told the earlier reading (size, corners, turn, colours) is told this one, unless
    ``settings`` say otherwise; what ``settings`` say is kept as a correction in turn.

    Raises:
        PageError, GridError: as :func:`chartscan.tasks.charts.read_chart`.
    """
    from chartscan.reading import ReadSettings, read_pages
    from chartscan.reading.told import keep_of_pages, kept_told, with_told

    told = with_told(settings or ReadSettings(), before, images)
    reading = read_pages(images, told, progress)
    reading = replace(reading, chart=keep_of_pages(reading.chart, told))
    return _carried(before, reading, kept_told(reading.chart, told, settings))


def told_of(chart: Chart) -> dict[str, Any]:
    """What stands told of a chart's reading: ``size``, ``corners``, ``turn``, ``colours``.

    As :func:`chartscan.tasks.charts.told_reader` takes it; what isn't told is left out.

    Only the worktable: it shows them in fields; the command line lists them as corrections.
    """
    from chartscan.reading.told import settings_of

    told = settings_of(chart)
    values = {
        "size": told.size and list(told.size),
        "corners": told.corners and [list(corner) for corner in told.corners],
        "turn": told.turn,
        "colours": told.colours,
    }
    return {name: value for name, value in values.items() if value}


def untold(chart: Chart) -> Chart:
    """The chart without what was told of its reading, for one that is told all of it anew.

    Only the worktable: its fields say all of it; at the command line `undo` leaves it out.
    """
    from chartscan.chart.corrections.replay import undo
    from chartscan.reading.told import FOLLOWED

    told = [n for n, act in enumerate(chart.corrections) if isinstance(act, FOLLOWED)]
    return undo(chart, told) if told else chart


def follow(chart: Chart, pictures: Pictures, progress: Progress = silent) -> ReadAgain:
    """The chart read again as far as what was told asks for: its grid stays where that is as told.

    Raises:
        PageError: a picture isn't there, or has changed.
        GridError: no grid was found, or it isn't the one that was told.
    """
    from chartscan.reading.told import (
        grid_is_told,
        keep_of_pages,
        kept_told,
        read_classes,
        settings_of,
    )

    told = settings_of(chart)
    if grid_is_told(chart):
        return read_over(_in_order(chart, pictures), None, chart, progress)
    opened = open_again(chart, pictures)
    reading = read_classes(opened, told, progress)
    reading = replace(reading, chart=keep_of_pages(reading.chart, told))
    return _carried(chart, reading, kept_told(reading.chart, told, None))


def open_again(chart: Chart, pictures: Pictures) -> Reopened:
    """The chart beside the pictures that it was read from.

    Only the worktable: it shows the page itself; the command line asks for `class_pictures`.

    Raises:
        PageError: a picture isn't there, or has changed.
        ChartError: the chart doesn't say how its grid lies on its pages.
    """
    from chartscan.reading.reopen.reopened import reopen

    return reopen(chart, pictures)


def class_pictures(
    chart: Chart, classes: Sequence[int], pictures: Pictures, side: int = 16
) -> dict[int, NDArray[np.uint8]]:
    """What classes look like on the page, by number: sRGB of shape (side, side, 3).

    Only the command line: it has no page to show beside; the worktable cuts out as it draws.

    Raises:
        PageError, ChartError: as :func:`open_again`.
    """
    from chartscan.reading.reopen.pictures import mean_picture

    opened = open_again(chart, pictures)
    found = ((index, mean_picture(opened, index, side)) for index in classes)
    return {index: picture for index, picture in found if picture is not None}


def pictures_beside(chart: Chart, folder: Path) -> tuple[Path, ...]:
    """The pictures of a chart that lie in a folder under the names they were read by."""
    sources = chart.source.get("pages") or [chart.source]
    names = {str(source.get("file", "")) for source in sources}
    return tuple(folder / name for name in sorted(names) if name and (folder / name).is_file())


# ----------------------------------------------------------------------------- helpers


def _worked_out(chart: Chart, line: str, pictures: Pictures) -> str:
    """The line, with the cells named where a class is to be split as the page has it."""
    from chartscan.chart.corrections.parse import parse
    from chartscan.chart.corrections.standing import Standing
    from chartscan.chart.corrections.tell import needs_picture

    standing = Standing(chart)
    try:
        bare = needs_picture(parse(line, standing))
    except ValueError:
        return line  # it is refused with all the others
    if not bare:
        return line
    if not pictures:
        raise ChartError(
            f"{line!r}: name the cells that are the other class, or give the picture that the chart"
            " was read from"
        )
    from chartscan.reading.reopen.split import split_line

    return split_line(open_again(chart, pictures), line, standing)


def _carried(before: Chart | None, reading: Reading, told: Sequence[Act]) -> ReadAgain:
    """The reading with the corrections of the one before, and what it was told this time."""
    from chartscan.chart.corrections.lines import line_of
    from chartscan.chart.corrections.replay import replay

    chart, acts = reading.chart, tuple(told)
    own = chart.corrections
    read = chart.as_read or chart
    if acts:
        read = replace(read, source={**read.source, "told": [line_of(act) for act in acts]})
    carried = adrift = 0
    if before is not None and before.corrections:
        from chartscan.chart.corrections.acts import Adrift
        from chartscan.chart.corrections.carry import carry
        from chartscan.reading.overlay import overlay

        laid = carry(before, read, overlay(before, read)).corrections
        adrift = sum(isinstance(act, Adrift) for act in laid)
        carried = len(laid) - adrift
        verbs = {act.verb for act in acts}
        own = (*(act for act in laid if act.verb not in verbs), *own)
    return ReadAgain(replace(reading, chart=replay(read, (*acts, *own))), carried, adrift)


def _in_order(chart: Chart, pictures: Pictures) -> tuple[Path, ...]:
    """The pictures in the order in which the chart's pages were read."""
    from chartscan.reading.kept import kept_pages
    from chartscan.reading.page.page import digest_of

    order = [page.sha256 for page in kept_pages(chart)]
    known = {digest_of(path): path for path in pictures}
    return tuple(known[digest] for digest in dict.fromkeys(order) if digest in known)
