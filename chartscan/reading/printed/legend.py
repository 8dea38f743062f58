"""The printed key and axis numbers as checks on a reading: what the designer says is there.

Nothing is changed by it: where print and reading differ, the stitcher is told.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chartscan.chart import Chart, ChartClass
from chartscan.colour.contrast import WHITE
from chartscan.reading.evidence import Evidence
from chartscan.reading.printed.ocr import Word, read_words

Pixels = NDArray[np.uint8]

NEAR = 0.3  # cells between an axis number and the line it numbers
AXIS_REACH = 2.5  # cells outside the grid in which axis numbers stand
LEAST_MARKS = 2  # axis numbers that must agree with each other to be believed
BELIEVED = 0.5  # share of the key's numbers that must agree for them to be counts at all
SAME_COLOUR = 30  # of 255 in any channel, between a swatch and its class
LEAST_SHARE = 0.2  # of a swatch, that must show its class; the rest is its symbol and frame
SAME_LEVEL = 0.6  # heights by which the middles of two words of one line differ at most
FRAME = 5  # px around the grid that are painted over with it: its frame and half a line
SWATCH = (0.4, 2.6)  # text heights to the left of a line of the key in which its swatch lies


@dataclass(frozen=True)
class KeyLine:
    """One line of the printed key.

    Attributes:
        text: the whole line.
        count: the stitch count it ends in, or None.
        class_index: the class whose colour its swatch has, or None.
    """

    text: str
    count: int | None
    class_index: int | None


def check_print(chart: Chart, evidence: Sequence[Evidence]) -> tuple[str, ...]:
    """What the printed key and axis numbers say that the reading doesn't, a sentence each.

    Args:
        chart: the whole chart.
        evidence: its pages.

    Returns:
        One sentence that says what was compared, then one for each difference.

    Raises:
        PageError: the program that reads print is missing or fails.
    """
    said: list[str] = []
    lines: list[KeyLine] = []
    marks = 0
    for page in evidence:
        words = read_words(_without_grid(page))
        found, wrong = _check_axes(page, words)
        marks += found
        said += wrong
        lines += _key_lines(chart, page, words)
    counted = [line for line in lines if line.count is not None]
    compared = f"compared with print: {marks} axis numbers, {len(counted)} numbers in the key"
    return (compared, *said, *_check_counts(chart, counted))


def _without_grid(page: Evidence) -> Pixels:
    """The page with its grid painted over: symbols are no words."""
    from PIL import Image, ImageDraw

    columns, rows = page.lattice.columns, page.lattice.rows
    corners = np.array([(0, 0), (columns, 0), (columns, rows), (0, rows)], dtype=np.float64)
    outline = [(float(x), float(y)) for x, y in page.lattice.to_pixels(corners)]
    picture = Image.fromarray(page.page.pixels)
    ImageDraw.Draw(picture).polygon(outline, fill=WHITE, outline=WHITE, width=FRAME)
    return np.asarray(picture)


# --------------------------------------------------------------------------- axes


def _check_axes(page: Evidence, words: Sequence[Word]) -> tuple[int, list[str]]:
    """How many axis numbers stand beside their own line, and sentences on those that don't."""
    marks, wrong = 0, []
    for axis, what in ((0, "column"), (1, "row")):
        numbers = _axis_numbers(page, words, axis)
        if len(numbers) < LEAST_MARKS:
            continue
        # A page from the middle of a chart counts from its own start.
        starts = [number - at for number, at in numbers]
        start = max(sorted(set(starts)), key=starts.count)
        if starts.count(start) < LEAST_MARKS:
            continue
        marks += starts.count(start)
        wrong += [
            f"{page.page.file}: the {what} number {number} is printed at line {at + start}; "
            "compare the reading with the page"
            for (number, at), its in zip(numbers, starts, strict=True)
            if its != start
        ]
    return marks, wrong


def _axis_numbers(page: Evidence, words: Sequence[Word], axis: int) -> list[tuple[int, int]]:
    """Printed numbers along one edge, each with the grid line it stands at."""
    size = (page.lattice.columns, page.lattice.rows)
    found = []
    for word in words:
        if not re.fullmatch(r"\d{1,4}", word.text):
            continue
        place = page.lattice.to_cells(np.array(word.middle))
        along, across = float(place[axis]), float(place[1 - axis])
        beside = -AXIS_REACH <= across <= 0 or 0 <= across - size[1 - axis] <= AXIS_REACH
        if beside and abs(along - round(along)) <= NEAR and 0 <= round(along) <= size[axis]:
            found.append((int(word.text), round(along)))
    return found


# ---------------------------------------------------------------------------- key


def _key_lines(chart: Chart, page: Evidence, words: Sequence[Word]) -> list[KeyLine]:
    """Lines of print beside or below the grid that have a class's swatch or end in a count."""
    lines = []
    for line in _lines(page, words):
        text = " ".join(word.text for word in line)
        number = re.fullmatch(r"\d+|\d{1,3}(?:[,.]\d{3})+", line[-1].text)
        count = int(re.sub(r"\D", "", number[0])) if number and len(line) > 1 else None
        swatch = _swatch_class(chart, page, line[0])
        if swatch is not None:
            lines.append(KeyLine(text, count, swatch))
    return lines


def _lines(page: Evidence, words: Sequence[Word]) -> list[list[Word]]:
    """Words in lines, left to right; those along the axes left out."""
    lines: list[list[Word]] = []
    for word in sorted(words, key=lambda word: word.left):
        x, y = page.lattice.to_cells(np.array(word.middle))
        if not (x > page.lattice.columns + 0.5 or y > page.lattice.rows + 0.5):
            continue
        for line in lines:
            last = line[-1]
            level = abs(last.middle[1] - word.middle[1]) <= SAME_LEVEL * max(
                last.height, word.height
            )
            if level and 0 <= word.left - (last.left + last.width) <= 4 * last.height:
                line.append(word)
                break
        else:
            lines.append([word])
    return lines


def _swatch_class(chart: Chart, page: Evidence, word: Word) -> int | None:
    """The class whose colour is printed to the left of a line's first word."""
    near, far = (int(word.left - reach * word.height) for reach in SWATCH)
    y = int(word.middle[1])
    reach = max(1, int(word.height / 4))
    patch = page.page.pixels[max(0, y - reach) : y + reach, max(0, far) : max(0, near)]
    if not patch.size:
        return None
    colours, counts = np.unique(patch.reshape(-1, 3), axis=0, return_counts=True)
    best: tuple[float, int] | None = None
    for entry in chart.classes:
        if entry.kind != "stitch" or entry.rgb is None:
            continue
        off = np.abs(colours.astype(int) - entry.rgb).max(axis=1)
        share = counts[off <= SAME_COLOUR].sum() / counts.sum()
        if share >= LEAST_SHARE and (best is None or off.min() < best[0]):
            best = float(off.min()), entry.index
    return best[1] if best else None


def _check_counts(chart: Chart, lines: Sequence[KeyLine]) -> list[str]:
    """A sentence for every printed count that isn't the one that was read.

    Where few of them agree, the numbers are something else (a shade's, a page's): nothing is said.
    """
    counts = chart.counts()
    known = [line for line in lines if line.class_index is not None]
    agreeing = [line for line in known if counts[line.class_index or 0] == line.count]
    if len(agreeing) < BELIEVED * len(known):
        return []
    wrong = []
    for line in lines:
        if line.class_index is None or line.count is None:
            continue
        entry: ChartClass = chart.classes[line.class_index]
        read = int(counts[entry.index])
        if read != line.count:
            wrong.append(
                f"the key prints {line.count:,} stitches ({line.text}), but class "
                f"{entry.index} was read {read:,} times; compare the reading with the page"
            )
    return wrong
