"""Least squares in linear light: one form of colour correction fitted to references.

Sources:

- C. L. Lawson, R. J. Hanson, *Solving Least Squares Problems*, 1974: the solution of each fit.
- A. E. Hoerl, R. W. Kennard, "Ridge Regression", Technometrics 12(1), 1970, 55-67: the forms whose
  mixing is held near none, for few references.
- G. D. Finlayson, M. Mackiewicz, A. Hurlbert, "Color Correction Using Root-Polynomial Regression",
  IEEE Trans. Image Process. 24(5), 2015, 1460-1470: the form with the most degrees.
- G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 color-difference formula", Color Res. Appl. 30(1),
  2005, 21-30: the chroma weight S_C of each reference.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chartscan.colour import lab_to_linear, linear_to_lab, srgb_to_linear
from chartscan.errors import MatchError

Array = NDArray[np.float64]
Form = Literal["scale", "offset", "matrix", "affine", "root-polynomial"]

# Rows: r, g, b, 1, √rg, √gb, √br of the seen colour; columns: r, g, b of the true one.
_DIAGONAL, _FULL, _NONE = np.eye(3, dtype=bool), np.ones((3, 3), bool), np.zeros((3, 3), bool)
_OFFSET, _NO_OFFSET = np.ones((1, 3), bool), np.zeros((1, 3), bool)
FREE: dict[Form, NDArray[np.bool_]] = {
    "scale": np.concatenate([_DIAGONAL, _NO_OFFSET, _NONE]),
    "offset": np.concatenate([_DIAGONAL, _OFFSET, _NONE]),
    "matrix": np.concatenate([_FULL, _NO_OFFSET, _NONE]),
    "affine": np.concatenate([_FULL, _OFFSET, _NONE]),
    "root-polynomial": np.concatenate([_FULL, _NO_OFFSET, _FULL]),
}
# A held offset counts this many times as much as held mixing, so 0.7 % of stray light weighs as a
# tenth of a channel mixed into another; the square of a held tone curve's logarithm by this share.
_OFFSET_HELD, _TONE_HELD = 15.0, 0.3
_STEP = 1e-5  # of linear light, for the slope of CIELAB by central differences


class Candidate(NamedTuple):
    """One way to correct, to be tried.

    Attributes:
        form: which coefficients there are.
        held: how strongly mixing, offset and tone curve are held near none: the cost in squared ΔE
            of an off-diagonal coefficient as large as the scale; 0 leaves them free. 300 means
            that mixing a tenth of a channel into another must bring the references closer by
            1.7 ΔE (root of the sum of squares) to be believed.
        toned: whether a common exponent of the seen channels (a tone curve) is learnt too.
    """

    form: Form
    held: float = 0.0
    toned: bool = False

    @property
    def degrees(self) -> int:
        """Numbers to be learnt freely."""
        free = FREE["scale"] if self.held else FREE[self.form]
        return int(free.sum()) + self.toned


class References(NamedTuple):
    """Seen and true colours with what every fit to them needs.

    Attributes:
        linear: seen linear sRGB, shape (n, 3).
        lab: true CIELAB, shape (n, 3).
        slope: slope of CIELAB by true linear sRGB, a and b divided by S_C, shape (n, 3, 3).
        aim: ``slope`` times the true linear sRGB, shape (n, 3).
    """

    linear: Array
    lab: Array
    slope: Array
    aim: Array

    def at(self, kept: NDArray[np.bool_]) -> References:
        """Some of them."""
        return References(*(field[kept] for field in self))


class Fit(NamedTuple):
    """Tone exponent of the seen linear channels, and coefficients (7, 3) of their terms."""

    tone: float
    coefficients: Array

    def lab(self, linear: Array) -> Array:
        """CIELAB of seen linear colours, shape (…, 3) → (…, 3)."""
        return linear_to_lab(_terms(linear**self.tone) @ self.coefficients)


class Limits(NamedTuple):
    """Largest condition number of a fit with unit columns, and largest exponent of a tone curve."""

    condition: float
    tone: float


def gather(seen: ArrayLike, true_lab: ArrayLike) -> References:
    """What fits need of ``seen`` sRGB 0..255 and ``true_lab``, (n, 3) each.

    Raises:
        MatchError: there are none, all are black, or a value isn't finite.
    """
    linear, lab = seen_light(seen), np.asarray(true_lab, dtype=np.float64)
    if not len(linear):
        raise MatchError("a colour correction needs at least one reference of known colour")
    if linear.ndim != 2 or linear.shape != lab.shape or linear.shape[1] != 3:
        raise ValueError(f"seen {linear.shape} and true {lab.shape} must both be (n, 3)")
    if not linear.any():
        raise MatchError("every reference was seen as black; a lighter picture is needed")
    if not (np.isfinite(linear).all() and np.isfinite(lab).all()):
        raise MatchError("a reference colour isn't a finite number")
    slope = slope_at(lab)
    return References(linear, lab, slope, np.einsum("nij,nj->ni", slope, lab_to_linear(lab)))


def fit_form(references: References, candidate: Candidate, limits: Limits) -> Fit | None:
    """The least-squares fit of one form; None where the references don't determine it."""
    if 3 * len(references.linear) < candidate.degrees:
        return None

    def misfit(log_tone: float) -> float:
        solved = _solve(references, candidate, np.exp(log_tone), limits.condition)
        if solved is None:
            return np.inf
        return solved[1] + _TONE_HELD * candidate.held * log_tone**2

    tone = np.exp(_golden(misfit, np.log(limits.tone))) if candidate.toned else 1.0
    solved = _solve(references, candidate, tone, limits.condition)
    return None if solved is None else Fit(float(tone), solved[0])


def _solve(
    references: References, candidate: Candidate, tone: float, condition: float
) -> tuple[Array, float] | None:
    """Coefficients (7, 3) and sum of squares; None where the fit is too poorly conditioned."""
    free = FREE[candidate.form]
    rows = design_rows(references.linear**tone, references.slope, free)
    holding = holding_rows(references, candidate)
    design = np.concatenate([rows.reshape(-1, rows.shape[-1]), holding])
    aim = np.concatenate([references.aim.ravel(), np.zeros(len(holding))])
    length = np.linalg.norm(design, axis=0)
    if not (length > 0).all():
        return None
    solution, _, _, singular = np.linalg.lstsq(design / length, aim, rcond=None)
    if singular[-1] * condition < singular[0]:
        return None
    solution /= length
    coefficients = np.zeros(free.shape)
    coefficients[free] = solution
    return coefficients, float(np.square(design @ solution - aim).sum())


def design_rows(toned: Array, slope: Array, free: NDArray[np.bool_]) -> Array:
    """What each free coefficient does to each colour's weighed CIELAB, shape (n, 3, free)."""
    term, channel = np.nonzero(free)
    design: Array = slope[:, :, channel] * _terms(toned)[:, None, term]
    return design


def holding_rows(references: References, candidate: Candidate) -> Array:
    """Rows that hold mixing and offsets near none, shape (held coefficients, free)."""
    free = FREE[candidate.form]
    loose = FREE["scale"][free]
    if not candidate.held:
        return np.empty((0, len(loose)))
    scale = lab_to_linear(references.lab).sum() / references.linear.sum()
    weight = np.full(free.shape, np.sqrt(candidate.held) / scale)
    weight[3] *= _OFFSET_HELD
    rows: Array = np.diag(weight[free])[~loose]
    return rows


def slope_at(lab: Array) -> Array:
    """Slope of CIELAB by linear sRGB at ``lab``, a and b divided by S_C, shape (n, 3, 3)."""
    linear, steps = lab_to_linear(lab)[:, None], _STEP * np.eye(3)
    difference = linear_to_lab(linear + steps) - linear_to_lab(linear - steps)
    slope: Array = np.swapaxes(difference, 1, 2) / (2 * _STEP)
    slope[:, 1:] /= (1 + 0.045 * np.hypot(lab[:, 1], lab[:, 2]))[:, None, None]
    return slope


def leverage(rows: Array, inverse: Array) -> Array:
    """Trace of each colour's block of the hat matrix, shape (n,)."""
    trace: Array = np.einsum("nip,pq,niq->n", rows, inverse, rows, optimize=True)
    return trace


def seen_light(seen: ArrayLike) -> Array:
    """Linear light of sRGB 0..255; what noise put below black is black."""
    return np.maximum(srgb_to_linear(seen), 0.0)


def _terms(linear: Array) -> Array:
    """r, g, b, 1, √rg, √gb, √br, shape (…, 3) → (…, 7)."""
    roots = np.sqrt(linear * np.roll(linear, -1, axis=-1))
    return np.concatenate([linear, np.ones_like(linear[..., :1]), roots], axis=-1)


def _golden(misfit: Callable[[float], float], bound: float) -> float:
    """Where ``misfit`` is least between -bound and bound, by golden section to 1/100 of it."""
    ratio = (np.sqrt(5) - 1) / 2
    low, high = -bound, bound
    left, right = high - ratio * (high - low), low + ratio * (high - low)
    at_left, at_right = misfit(left), misfit(right)
    while high - low > bound / 100:
        if at_left < at_right:
            high, right, at_right = right, left, at_left
            left = high - ratio * (high - low)
            at_left = misfit(left)
        else:
            low, left, at_left = left, right, at_right
            right = low + ratio * (high - low)
            at_right = misfit(right)
    return float((low + high) / 2)
