"""A class split as its page has it, as the line of a correction."""

from __future__ import annotations

from chartscan.chart.corrections.acts import Split
from chartscan.chart.corrections.lines import block_of, hex_of
from chartscan.chart.corrections.parse import class_index, parse, split_words
from chartscan.chart.corrections.standing import Standing
from chartscan.chart.corrections.twins import as_blocks
from chartscan.errors import ChartError
from chartscan.reading.reopen.looks import Looks
from chartscan.reading.reopen.reopened import Reopened

# Separation of two halves, in units of the noise within each along it: the halves of a normal
# distribution lie sqrt(2/pi) = 0.80 to each side of its middle, with a deviation of 0.60 (2.65).
LEAST = 3.3


def split_line(opened: Reopened, line: str, standing: Standing) -> str:
    """``split 5`` with the cells that are the other class on the page, and its colour.

    Raises:
        ChartError: the cells of the class look alike.
    """
    act = parse(line, standing)
    word = split_words(line)[1]
    if not isinstance(act, Split):
        return line
    index = class_index(word, standing)
    try:
        halves = Looks(opened).halves(index)
    except ValueError as error:
        raise ChartError(f"{line!r}: {error}; name the cells that are the other class") from error
    if halves.separation < LEAST:
        raise ChartError(
            f"{line!r}: the cells of class {index} look like one class on the page; name those that"
            " are the other class"
        )
    blocks = " ".join(block_of(block) for block in as_blocks(set(halves.cells)))
    return f'split {index} {blocks} "new {act.into.word} {hex_of(halves.colours[1])}"'
