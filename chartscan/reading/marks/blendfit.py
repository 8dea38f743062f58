"""The fit behind grid lines: samples as a blend of the fills on both sides and the line."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Float = NDArray[np.float32]
Doubles = NDArray[np.float64]

LEAN = np.array([2.0, 2.0, 5e-4, 5e-4, 5e-4])
"""Weights of what is usual beside what the rows tell: of the coefficients of the fills, which rows
weigh by levels squared, and of the three channels of the base, which they weigh by their number."""

UNKNOWNS = len(LEAN)


def fit_blend(
    value: Doubles,
    left: Doubles,
    right: Doubles,
    prior: Doubles,
    usual: Doubles,
    floors: tuple[float, ...],
) -> tuple[Float, Float, Float, Float]:
    """Fit ``value = base + before·left + after·right`` per column of (rows, n, 3), robustly.

    Iteratively reweighted least squares with Geman–McClure weights (Geman and McClure 1987) on a
    falling scale (graduated non-convexity, Blake and Zisserman 1987), so that rows with a mark on
    the line don't count, and rows of rare fills do; ``prior`` (rows, n) weighs rows beforehand.
    ``usual`` (n, 5), before, after and base, is leant on where the rows leave the answer open.
    """
    products = [(a * b).sum(axis=-1) for a, b in _pairs(left, right, value)]
    solved = usual
    error = _error(value, left, right, solved)
    weight = _weights(error, prior, floors[0])
    for floor in floors:
        normal, target = _normal(left, right, value, products, weight)
        normal[:, range(UNKNOWNS), range(UNKNOWNS)] += LEAN
        target += usual * LEAN
        solved = np.linalg.solve(normal, target[..., None])[..., 0].astype(np.float64)
        error = _error(value, left, right, solved)
        weight = _weights(error, prior, floor)
    spread = np.median(error, axis=0)
    return (
        solved[:, 2:].astype(np.float32),
        solved[:, 0].astype(np.float32),
        solved[:, 1].astype(np.float32),
        spread.astype(np.float32),
    )


def _weights(error: Doubles, prior: Doubles, floor: float) -> Doubles:
    """Geman–McClure weights of (rows, n) errors on the scale of each column's median error."""
    scale = np.maximum(np.median(error, axis=0), floor)
    result: Doubles = prior / (1 + (error / scale) ** 2) ** 2
    return result


def _pairs(left: Doubles, right: Doubles, value: Doubles) -> tuple[tuple[Doubles, Doubles], ...]:
    """What the normal equations of a fit multiply: left and right by themselves and the value."""
    return (left, left), (left, right), (right, right), (left, value), (right, value)


def _error(
    value: Doubles,
    left: Doubles,
    right: Doubles,
    solved: Doubles,
) -> Doubles:
    """How far (rows, n) values lie from before·left + after·right + base, worst channel."""
    apart = np.abs(solved[:, :1] * left + solved[:, 1:2] * right + solved[:, 2:] - value)
    result: Doubles = np.maximum(np.maximum(apart[..., 0], apart[..., 1]), apart[..., 2])
    return result


def _normal(
    left: Doubles,
    right: Doubles,
    value: Doubles,
    products: list[Doubles],
    weight: Doubles,
) -> tuple[Doubles, Doubles]:
    """The weighted normal equations of each of n columns: (n, 5, 5) and (n, 5)."""
    n = weight.shape[1]
    normal, target = np.zeros((n, UNKNOWNS, UNKNOWNS)), np.zeros((n, UNKNOWNS))
    ll, lr, rr, lv, rv = ((weight * p).sum(axis=0) for p in products)
    normal[:, 0, 0], normal[:, 0, 1], normal[:, 1, 0], normal[:, 1, 1] = ll, lr, lr, rr
    target[:, 0], target[:, 1] = lv, rv
    for unknown, fill in enumerate((left, right)):
        summed = (weight[..., None] * fill).sum(axis=0)
        normal[:, unknown, 2:] = normal[:, 2:, unknown] = summed
    normal[:, (2, 3, 4), (2, 3, 4)] = weight.sum(axis=0)[:, None]
    target[:, 2:] = (weight[..., None] * value).sum(axis=0)
    return normal, target
