"""How well a reading asks: whether what is wrong is asked about, and chances are what they say."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Cells = NDArray[np.int64]

HEAP = (3, 0.02)  # cells, and part of a class, from which on another class in it makes it mixed


@dataclass(frozen=True)
class Told:
    """One answer of a question: the chance put on it, and whether it is so."""

    kind: str
    chance: float
    so: bool


@dataclass(frozen=True)
class Asking:
    """How one chart was asked about.

    Attributes:
        wrong: whether a cell is wrong, or the size.
        asked: whether each wrong cell is doubtful or its class in a question; or the size is asked.
        questions: how many.
        answers: every answer of every question whose truth is known.
    """

    wrong: bool
    asked: bool
    questions: int
    answers: tuple[Told, ...]

    @property
    def silent(self) -> bool:
        """Whether something is wrong and nothing says so."""
        return self.wrong and not self.asked

    @property
    def idle(self) -> int:
        """Questions that nothing called for: those of a chart that is right."""
        return 0 if self.wrong else self.questions


def asking(truth: Mapping[str, Any], chart: Mapping[str, Any], *, perfect: bool) -> Asking:
    """Judge the questions of ``chart`` (a decoded chart file); ``perfect``: all of it is right."""
    true, read = np.array(truth["cells"]), np.array(chart["cells"])
    questions = chart.get("questions") or []
    if true.shape != read.shape and perfect:  # a form that the truth accepts as well
        return Asking(False, True, len(questions), ())
    if true.shape != read.shape:
        sized = any(q["kind"] in ("size", "page") for q in questions)
        return Asking(True, sized, len(questions), tuple(_sizes(questions, true.shape)))
    table = np.zeros((len(chart["classes"]), len(truth["classes"])), dtype=np.int64)
    np.add.at(table, (read.ravel(), true.ravel()), 1)
    wrong = np.zeros(read.shape, dtype=np.bool_) if perfect else _wrong(true, read, truth, chart)
    answers = [*_sizes(questions, true.shape), *_answers(questions, table, true, truth)]
    marked = any(truth.get(kind) for kind in ("parts", "lines", "knots"))
    asked = _all_asked(wrong, read, true, table, chart, marked=marked)
    return Asking(bool(wrong.any()), asked, len(questions), tuple(answers))


def _wrong(
    true: Cells, read: Cells, truth: Mapping[str, Any], chart: Mapping[str, Any]
) -> NDArray[np.bool_]:
    """The wrong cells, classes paired one to one so that most agree; empty goes with empty."""
    from scipy.optimize import linear_sum_assignment

    a = _stitched(true, truth["classes"])
    b = _stitched(read, chart["classes"])
    table = np.zeros((int(a.max()) + 1, int(b.max()) + 1), dtype=np.int64)
    np.add.at(table, (a.ravel(), b.ravel()), 1)
    rows, columns = linear_sum_assignment(-table[1:, 1:])
    lookup = np.full(int(b.max()) + 1, -1)
    lookup[0] = 0
    lookup[columns + 1] = rows + 1
    return np.asarray(lookup[b] != a, dtype=np.bool_)


def _stitched(cells: Cells, classes: Sequence[Mapping[str, Any]]) -> Cells:
    """The cells with 0 for every empty class."""
    return np.array([0 if c["kind"] == "empty" else c["index"] + 1 for c in classes])[cells]


def _all_asked(
    wrong: NDArray[np.bool_],
    read: Cells,
    true: Cells,
    table: Cells,
    chart: Mapping[str, Any],
    *,
    marked: bool,
) -> bool:
    """Whether every wrong cell is doubtful, or a question names its class or its true one."""
    left = wrong.copy()
    for row, column in chart.get("doubtful") or []:
        left[row, column] = False
    named = np.zeros(len(chart["classes"]), dtype=np.bool_)
    for question in chart.get("questions") or []:
        if question["kind"] == "marks" and marked:
            return True
        named[question["classes"]] = True
    should = table.argmax(axis=0)[true]
    return not (left & ~named[read] & ~named[should]).any()


def _sizes(questions: Sequence[Mapping[str, Any]], shape: tuple[int, ...]) -> list[Told]:
    """The answers about the size, which are so where they say that of the truth."""
    found = []
    for question in questions:
        if question["kind"] != "size":
            continue
        for answer in question["answers"]:
            columns, rows = (int(w) for w in answer["text"].replace("columns and", "").split()[:2])
            found.append(Told("size", answer["chance"], (rows, columns) == shape))
    return found


def _answers(
    questions: Sequence[Mapping[str, Any]], table: Cells, true: Cells, truth: Mapping[str, Any]
) -> list[Told]:
    """The answers about classes; ``table`` counts cells by class read and class true."""
    bare = np.array([c["kind"] == "empty" for c in truth["classes"]])
    is_bare = 2 * table[:, bare].sum(axis=1) > table.sum(axis=1)
    found = []
    for question in questions:
        places = tuple(np.array(question["cells"], dtype=np.intp).reshape(-1, 2).T)
        for answer in question["answers"]:
            verb, *rest = answer["tell"].split()
            so = _is_so(verb, rest, table, is_bare, true[places])
            if so is not None:
                found.append(Told(question["kind"], answer["chance"], so))
    return found


def _is_so(
    verb: str, rest: Sequence[str], table: Cells, is_bare: NDArray[np.bool_], named: Cells
) -> bool | None:
    """Whether an answer is so; None where the cells don't tell. ``named``: what asked cells are."""
    if verb == "ground":
        return not is_bare.any() if rest == ["none"] else bool(is_bare[int(rest[0])])
    if verb in ("one", "apart"):
        one = len({int(table[int(k)].argmax()) for k in rest}) == 1
        return one == (verb == "one")
    if verb in ("split", "whole"):
        row = table[int(rest[0])]
        counts = np.sort(row)
        heap = len(counts) > 1 and counts[-2] >= max(HEAP[0], HEAP[1] * counts.sum())
        others = 2 * (named != row.argmax()).sum() > len(named)  # rare classes, each but a few
        return bool(heap or others) == (verb == "split")
    return None


def calibration(answers: Sequence[Told], bins: int = 10) -> list[tuple[float, float, int]]:
    """(mean chance, part that is so, number) of the answers in each bin of chance that has some."""
    chance = np.array([a.chance for a in answers])
    so = np.array([a.so for a in answers], dtype=np.float64)
    place = np.minimum((chance * bins).astype(int), bins - 1)
    return [
        (float(chance[place == k].mean()), float(so[place == k].mean()), int((place == k).sum()))
        for k in range(bins)
        if (place == k).any()
    ]


def calibration_error(curve: Sequence[tuple[float, float, int]]) -> float:
    """The expected calibration error: how far chances are off on average, 0 to 1."""
    total = sum(number for _, _, number in curve)
    return sum(number * abs(chance - so) for chance, so, number in curve) / max(total, 1)


def error_by_chance(answers: Sequence[Told], rounds: int = 500) -> float:
    """The calibration error, 0 to 1, that so few answers show though each chance is just right.

    The mean over draws in which every answer is so with the chance said: of 46 answers it is 13
    points, so that what is measured means little until it is well beyond that.
    """
    rng = np.random.default_rng(0)
    drawn = [
        calibration_error(
            calibration([Told(a.kind, a.chance, bool(rng.random() < a.chance)) for a in answers])
        )
        for _ in range(rounds if answers else 0)
    ]
    return float(np.mean(drawn)) if drawn else 0.0
