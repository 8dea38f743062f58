"""What a working chart is drawn on and how large."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

Paper = Literal["a4", "letter"]
SIZES_MM: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}


@dataclass(frozen=True)
class WorkingSettings:
    """How the working chart is drawn; lengths in millimetres on paper.

    Attributes:
        paper: the sheet it is printed on, upright.
        ink: draw in black only, for a printer or eyes without colour.
        own_signs: draw our own signs, even where the page's symbols are known.
        cell_mm: side of a cell at least. Printed charts have 10 cells to the inch, 2.5 mm (common
            practice, no source); this is meant to be easier to read.
        most_cell_mm: side of a cell at most; a small chart gains nothing beyond.
        margin_mm: kept free on every side, more than printers need.
        repeat: rows and columns of the sheet before that are repeated, shaded.
        every: lines between two bold, numbered ones, as on printed charts.
        numbers_mm: width of the strip that the numbers stand in.
        head_mm: height of the title line.
        foot_mm: height of the caution line.
        key_row_mm: height of an entry of the key.
        key_width_mm: width of an entry of the key.
        most_key: share of a sheet that the key may take; a longer one goes on sheets of its own.
    """

    paper: Paper = "a4"
    ink: bool = False
    own_signs: bool = False
    cell_mm: float = 3.2
    most_cell_mm: float = 5.5
    margin_mm: float = 10.0
    repeat: int = 2
    every: int = 10
    numbers_mm: float = 8.0
    head_mm: float = 9.0
    foot_mm: float = 5.0
    key_row_mm: float = 5.2
    key_width_mm: float = 47.0
    most_key: float = 0.35

    def __post_init__(self) -> None:
        if self.paper not in get_args(Paper):
            raise ValueError(f"paper is one of {', '.join(get_args(Paper))}")
        if not 0 < self.cell_mm <= self.most_cell_mm:
            raise ValueError("a cell's least size is over 0 and at most its largest")

    @property
    def room_mm(self) -> tuple[float, float]:
        """Width and height of a sheet inside its margins, title and caution."""
        width, height = SIZES_MM[self.paper]
        inside = 2 * self.margin_mm
        return width - inside, height - inside - self.head_mm - self.foot_mm
