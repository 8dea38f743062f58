"""How right the marks of a reading are: part stitches, backstitch, knots."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import optimize, spatial

NEAR_LINE = 0.2  # cells between a quarter-cell piece and a line that explains it
NEAR_KNOT = 0.3  # cells between a true knot and a read one
Mark = Mapping[str, Any]
Place = tuple[int, int, str, str]


@dataclass(frozen=True)
class MarkScore:
    """Sums of one kind of mark: number (lines: length in cells) true, found, and right of each.

    ``length_error`` is read / true - 1 for every true class of lines.
    """

    true: float
    found: float
    hit: float
    ok: float
    length_error: Mapping[int, float] = field(default_factory=dict)

    @property
    def f1(self) -> float | None:
        """Harmonic mean of recall and precision; None where there is nothing on either side."""
        if not self.true and not self.found:
            return None
        recall = self.hit / self.true if self.true else 0.0
        precision = self.ok / self.found if self.found else 0.0
        return 2 * recall * precision / (recall + precision) if recall + precision else 0.0


def score_marks(
    truth: Mapping[str, Any],
    chart: Mapping[str, Any],
    shift: tuple[int, int],
    classes: Mapping[int, int],
) -> dict[str, MarkScore]:
    """Scores of ``parts``, ``lines`` and ``knots``; ``classes`` pairs true and read stitches."""
    true = {kind: truth.get(kind) or [] for kind in ("parts", "lines", "knots")}
    read = {kind: chart.get(kind) or [] for kind in ("parts", "lines", "knots")}
    return {
        "parts": _parts(true["parts"], read["parts"], shift, classes),
        "lines": _lines(true["lines"], read["lines"], shift),
        "knots": _knots(true["knots"], read["knots"], shift),
    }


def _paired(weights: Mapping[tuple[int, int], float], known: Mapping[int, int]) -> dict[int, int]:
    """Classes paired one to one for the greatest sum of weights, ``known`` pairs kept."""
    pairs = dict(known)
    taken = set(known.values())
    free = {k: w for k, w in weights.items() if w > 0 and k[0] not in pairs and k[1] not in taken}
    if free:
        rows = sorted({k[0] for k in free})
        columns = sorted({k[1] for k in free})
        table = np.array([[free.get((r, c), 0.0) for c in columns] for r in rows])
        for i, j in zip(*optimize.linear_sum_assignment(-table), strict=True):
            if table[i, j]:
                pairs[rows[i]] = columns[j]
    return pairs


def _parts(
    true: Sequence[Mark], read: Sequence[Mark], shift: tuple[int, int], known: Mapping[int, int]
) -> MarkScore:
    def place(mark: Mark, move: tuple[int, int]) -> Place:
        return (mark["row"] + move[0], mark["column"] + move[1], mark["shape"], mark["corner"])

    ours = {place(m, (0, 0)): int(m["class"]) for m in true}
    theirs = {place(m, shift): int(m["class"]) for m in read}
    both = [(ours[p], theirs[p]) for p in ours if p in theirs]
    pairs = _paired(Counter(both), known)
    right = sum(pairs.get(a) == b for a, b in both)
    return MarkScore(len(true), len(read), right, right)


def _pieces(
    lines: Sequence[Mark], move: tuple[float, float], per_cell: int
) -> dict[int, NDArray[np.float64]]:
    """Lines cut into pieces of at most 1/``per_cell``: x, y of middles and length, by class."""
    found: dict[int, list[NDArray[np.float64]]] = {}
    for line in lines:
        points = np.asarray(line["points"], float) + move
        for start, end in pairwise(points):
            length = float(np.hypot(*(end - start)))
            n = max(1, int(np.ceil(length * per_cell - 1e-9)))
            along = (np.arange(n) + 0.5)[:, None] / n
            middles = start + along * (end - start)
            rows = np.column_stack([middles, np.full(n, length / n)])
            found.setdefault(int(line["class"]), []).append(rows)
    return {k: np.vstack(v) for k, v in found.items()}


def _lines(true: Sequence[Mark], read: Sequence[Mark], shift: tuple[int, int]) -> MarkScore:
    move = (float(shift[1]), float(shift[0]))
    ours, theirs = _pieces(true, (0.0, 0.0), 4), _pieces(read, move, 4)
    our_trees = {k: spatial.cKDTree(v[:, :2]) for k, v in _pieces(true, (0.0, 0.0), 32).items()}
    their_trees = {k: spatial.cKDTree(v[:, :2]) for k, v in _pieces(read, move, 32).items()}

    def near(pieces: NDArray[np.float64], tree: Any) -> float:  # noqa: ANN401 (scipy is untyped)
        return float(pieces[tree.query(pieces[:, :2])[0] <= NEAR_LINE, 2].sum())

    hit = {(i, j): near(ours[i], their_trees[j]) for i in ours for j in theirs}
    fair = {(i, j): near(theirs[j], our_trees[i]) for i in ours for j in theirs}
    pairs = _paired({k: hit[k] + fair[k] for k in hit}, {})
    long = {i: float(v[:, 2].sum()) for i, v in ours.items()}
    seen = {j: float(v[:, 2].sum()) for j, v in theirs.items()}
    return MarkScore(
        sum(long.values()),
        sum(seen.values()),
        sum(hit[k] for k in pairs.items()),
        sum(fair[k] for k in pairs.items()),
        {i: (seen[pairs[i]] if i in pairs else 0.0) / n - 1 for i, n in long.items()},
    )


def _knots(true: Sequence[Mark], read: Sequence[Mark], shift: tuple[int, int]) -> MarkScore:
    def by_class(marks: Sequence[Mark], dx: int, dy: int) -> dict[int, NDArray[np.float64]]:
        kinds = {int(m["class"]) for m in marks}
        return {
            k: np.array([(m["x"] + dx, m["y"] + dy) for m in marks if m["class"] == k], float)
            for k in kinds
        }

    def hits(a: NDArray[np.float64], b: NDArray[np.float64]) -> int:
        away = spatial.distance.cdist(a, b)
        rows, columns = optimize.linear_sum_assignment(np.where(away <= NEAR_KNOT, away, 1e3))
        return int((away[rows, columns] <= NEAR_KNOT).sum())

    ours, theirs = by_class(true, 0, 0), by_class(read, shift[1], shift[0])
    table = {(i, j): float(hits(a, b)) for i, a in ours.items() for j, b in theirs.items()}
    right = sum(table[k] for k in _paired(table, {}).items())
    return MarkScore(len(true), len(read), right, right)
