"""What the reader isn't sure of: single doubtful cells, and questions about classes or the page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

QuestionKind = Literal["ground", "same", "mixed", "size", "marks", "page"]

MOST_CELLS = 40  # cells that a question shows: as many as a person takes in at a look


@dataclass(frozen=True)
class Doubt:
    """Why a single cell is doubtful, and what else it may be.

    Attributes:
        row: row of the cell, from 0.
        column: column of the cell, from 0.
        reason: a clause such as "between two colours".
        second: class that comes second for it; None where no other comes near.
        chance: how likely that second class is the right one, 0 to 1.
    """

    row: int
    column: int
    reason: str
    second: int | None = None
    chance: float = 0.0


@dataclass(frozen=True)
class Answer:
    """One way to settle a question.

    Attributes:
        text: what it says, in plain words.
        tell: the correction that settles the question so, as `chartscan correct` takes it
            ("ground 4", "one 3 5"), or the option of `chartscan read` ("--size 60x58").
        chance: how likely it is, 0 to 1; those of a question come to 1 at most.
    """

    text: str
    tell: str
    chance: float


@dataclass(frozen=True)
class Question:
    """Something that the reader decided without being sure of it.

    Attributes:
        kind: ``ground``, which class is bare fabric; ``same``, classes that may be one; ``mixed``,
            a class that may be two; ``size``, of the grid; ``marks``, that seem to be there and
            weren't read, or the reverse; ``page``, how pages were joined.
        classes: indices of the classes in question, the one decided on first.
        cells: (row, column) of the most telling cells, from 0, the most telling first.
        text: one sentence: what was decided and what it hangs on.
        answers: ways to settle it, the likeliest first.
    """

    kind: QuestionKind
    classes: tuple[int, ...]
    cells: tuple[tuple[int, int], ...]
    text: str
    answers: tuple[Answer, ...]
