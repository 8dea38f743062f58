"""Corrections as values: what a stitcher says of a reading, an act each.

An act holds on to the page, not to numbers: a cell is a place of the reading it was told of, a
class is known by a few of its cells and by what it looks like. Rows and columns count from 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal

from chartscan.chart.kinds import RGB, Corner, Kind, Shape

Cell = tuple[int, int]
"""Row and column."""
Block = tuple[int, int, int, int]
"""Top row, left column, bottom row, right column of a rectangle of cells, all within it."""
Point = tuple[float, float]
"""x to the right and y down in cells, from the top left corner of the grid."""

# -------------------------------------------------------------------- which class is meant


@dataclass(frozen=True)
class Seen:
    """A class that the reader saw.

    Attributes:
        cells: up to three of its cells in the reading.
        points: where it fills no cell: a point of up to three of its lines, knots or pieces.
        kind: what it was read as.
        rgb: its colour as it was read, or None.
        symbol: its symbol as it was read, or None.
    """

    cells: tuple[Cell, ...]
    points: tuple[Point, ...]
    kind: Kind
    rgb: RGB | None
    symbol: str | None


@dataclass(frozen=True)
class Made:
    """A class that corrections make, known by a word; told a colour, it needs no other sign."""

    word: str
    rgb: RGB | None = None


@dataclass(frozen=True)
class Bare:
    """The bare ground, whichever class that is; it is made where there is none."""


ClassRef = Seen | Made | Bare

# ------------------------------------------------------------------------------- classes


@dataclass(frozen=True)
class Ground:
    """These ``classes`` and no others are bare fabric; with none, every cell is stitched."""

    verb: ClassVar[str] = "ground"
    classes: tuple[ClassRef, ...]


@dataclass(frozen=True)
class One:
    """All these ``classes`` are one, which looks like the first."""

    verb: ClassVar[str] = "one"
    classes: tuple[ClassRef, ...]


@dataclass(frozen=True)
class Apart:
    """These ``classes`` are not one, near as they look."""

    verb: ClassVar[str] = "apart"
    classes: tuple[ClassRef, ...]


@dataclass(frozen=True)
class Split:
    """The cells of class ``of`` that lie in ``blocks`` are the class ``into``, and no others."""

    verb: ClassVar[str] = "split"
    of: ClassRef
    blocks: tuple[Block, ...]
    into: Made


@dataclass(frozen=True)
class Whole:
    """Class ``of`` is one class, mixed as it looks."""

    verb: ClassVar[str] = "whole"
    of: ClassRef


@dataclass(frozen=True)
class Name:
    """Class ``of`` is called ``text``; with nothing, it is called nothing."""

    verb: ClassVar[str] = "name"
    of: ClassRef
    text: str


@dataclass(frozen=True)
class Colour:
    """Class ``of`` has the colour ``rgb``."""

    verb: ClassVar[str] = "colour"
    of: ClassRef
    rgb: RGB


@dataclass(frozen=True)
class Symbol:
    """The symbol of class ``of`` is called ``text``; with nothing, it has none."""

    verb: ClassVar[str] = "symbol"
    of: ClassRef
    text: str


@dataclass(frozen=True)
class IsKind:
    """Class ``of`` is of this ``kind``; its cells and marks become what that asks for."""

    verb: ClassVar[str] = "kind"
    of: ClassRef
    kind: Kind


# ----------------------------------------------------------------------- cells and marks


@dataclass(frozen=True)
class SetCells:
    """All cells in ``blocks`` are of class ``into``."""

    verb: ClassVar[str] = "set"
    blocks: tuple[Block, ...]
    into: ClassRef


@dataclass(frozen=True)
class PutPart:
    """A piece of class ``of`` lies at ``corner`` of a cell, in place of what was there."""

    verb: ClassVar[str] = "part"
    row: int
    column: int
    shape: Shape
    corner: Corner
    of: ClassRef


@dataclass(frozen=True)
class TakePart:
    """No piece lies at ``corner`` of a cell."""

    verb: ClassVar[str] = "take part"
    row: int
    column: int
    corner: Corner


@dataclass(frozen=True)
class PutLine:
    """Backstitch of class ``of`` runs through ``points``."""

    verb: ClassVar[str] = "line"
    of: ClassRef
    points: tuple[Point, ...]


@dataclass(frozen=True)
class TakeLine:
    """No backstitch runs through ``points`` (of a line as it was read or put, either way)."""

    verb: ClassVar[str] = "take line"
    points: tuple[Point, ...]


@dataclass(frozen=True)
class PutKnot:
    """A knot of class ``of`` lies at ``x``, ``y``."""

    verb: ClassVar[str] = "knot"
    of: ClassRef
    x: float
    y: float


@dataclass(frozen=True)
class TakeKnot:
    """No knot lies at ``x``, ``y`` (within half a cell)."""

    verb: ClassVar[str] = "take knot"
    x: float
    y: float


# ------------------------------------------------------------- what the reader is told


@dataclass(frozen=True)
class Size:
    """The chart has so many ``columns`` and ``rows``; a reading after it keeps to that."""

    verb: ClassVar[str] = "size"
    columns: int
    rows: int


@dataclass(frozen=True)
class Corners:
    """The outermost corners of the grid, in pixels of the upright page, clockwise from top left."""

    verb: ClassVar[str] = "corners"
    points: tuple[Point, ...]


@dataclass(frozen=True)
class Turn:
    """The page is to be turned clockwise by ``degrees``: 0, 90, 180 or 270."""

    verb: ClassVar[str] = "turn"
    degrees: int


@dataclass(frozen=True)
class Colours:
    """The chart has this ``number`` of stitched colours."""

    verb: ClassVar[str] = "colours"
    number: int


Matter = Literal["marks", "page"]


@dataclass(frozen=True)
class AsRead:
    """The ``matter`` that was asked about is as it was read."""

    verb: ClassVar[str] = "as-read"
    matter: Matter


@dataclass(frozen=True)
class LookAgain:
    """The ``matter`` isn't as it was read; asked no more, it is left to the stitcher to mend."""

    verb: ClassVar[str] = "look-again"
    matter: Matter


# -------------------------------------------------------------------- without a place


@dataclass(frozen=True)
class Adrift:
    """An act that another reading of the page has no sure place for; it is asked about.

    Attributes:
        line: the act as a person writes it, numbers as they were.
        reason: a clause: why it has no place.
        instead: acts that it may have become, the likeliest first.
    """

    verb: ClassVar[str] = "adrift"
    line: str
    reason: str
    instead: tuple[Act, ...] = ()


ToldAct = Size | Corners | Turn | Colours | LookAgain
"""Acts that only another reading can follow."""
ClassAct = Ground | One | Apart | Split | Whole | Name | Colour | Symbol | IsKind
MarkAct = PutPart | TakePart | PutLine | TakeLine | PutKnot | TakeKnot
Act = ClassAct | SetCells | MarkAct | ToldAct | AsRead | Adrift
