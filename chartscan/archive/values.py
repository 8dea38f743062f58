"""What goes to a worker and what comes back: plain values, to be sent between machines."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

State = Literal["chart", "other", "refused", "unreadable", "aside"]
STATES: dict[State, str] = {
    "chart": "a chart, read",
    "other": "no chart, by a quick look",
    "refused": "no chart that could be read",
    "unreadable": "a file that can't be opened",
    "aside": "set aside: took its worker down, or time or memory, twice, or shows a fault",
}
RGB = tuple[int, int, int]


@dataclass(frozen=True)
class Leaf:
    """One page of one file, to be examined.

    Attributes:
        path: the file, as a worker sees it; where bytes are sent, its name.
        sha256: of the file's bytes, hex.
        number: page of a PDF or TIFF, from 1; None for a plain picture.
        content: the file's bytes, or a PDF's of that page alone, where workers don't share the
            folder; None where they do.
    """

    path: str
    sha256: str
    number: int | None = None
    content: bytes | None = None

    @property
    def key(self) -> tuple[str, int]:
        """What makes it this page and no other, whatever it is called: digest and page."""
        return self.sha256, self.number or 1


@dataclass(frozen=True)
class Limits:
    """What one page may take before it is given up.

    Attributes:
        seconds: on a worker; reading a hard photograph of 12 megapixels takes some ten.
        memory_bytes: address space of a worker while it reads, where the system can hold it to
            that; a page of A3 at 600 dpi takes about a gigabyte. None for no limit.
        grace: how many times ``seconds`` until a worker that doesn't answer is ended: a step that
            looks at no clock may run on for some time after its limit.
    """

    seconds: float = 300.0
    memory_bytes: int | None = 4 * 2**30
    grace: float = 1.5

    def __post_init__(self) -> None:
        if self.seconds <= 0 or self.grace < 1 or (self.memory_bytes or 1) <= 0:
            raise ValueError("limits of time and memory are over 0, and grace is at least 1")


@dataclass(frozen=True)
class Colour:
    """A class of stitches of a chart: colour, symbol, and how many cells it has."""

    rgb: RGB | None
    symbol: str | None
    stitches: int


@dataclass(frozen=True)
class Facts:
    """What a catalogue keeps of a chart, beside the chart's own file.

    Attributes:
        columns, rows: size of the grid.
        stitches: whole stitches.
        colours: classes that have stitches, most stitches first.
        marks: part stitches, lines and knots, in all.
        doubtful: cells that the reader isn't sure of.
        questions: what the reader asks, a sentence each, the dearest first.
        pitch_px: px per cell of the page, across and down.
    """

    columns: int
    rows: int
    stitches: int
    colours: tuple[Colour, ...]
    marks: int = 0
    doubtful: int = 0
    questions: tuple[str, ...] = ()
    pitch_px: tuple[float, float] = (0.0, 0.0)

    @property
    def doubt(self) -> float:
        """Share of cells that are doubtful, 0 to 1."""
        return self.doubtful / (self.columns * self.rows)


@dataclass(frozen=True)
class Outcome:
    """What became of a leaf.

    Attributes:
        leaf: which (without its bytes).
        state: what it is.
        reason: why it is no chart, or none that could be read; "" for a chart.
        seconds: time that it took on its worker.
        facts: of a chart.
        chart: text of its chart file; "" where it is no chart.
        again: whether it may do better a second time: time or memory ran out.
    """

    leaf: Leaf
    state: State
    reason: str = ""
    seconds: float = 0.0
    facts: Facts | None = None
    chart: str = ""
    again: bool = False
