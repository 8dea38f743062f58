"""Light and cast taken out of measured colours: least squares in linear light.

Sources:

- C. L. Lawson, R. J. Hanson, *Solving Least Squares Problems*, 1974: the solution of each fit.
- A. E. Hoerl, R. W. Kennard, "Ridge Regression", Technometrics 12(1), 1970, 55-67: the forms whose
  mixing is held near none, for few references.
- M. Stone, "Cross-validatory choice and assessment of statistical predictions", J. R. Stat. Soc.
  B 36(2), 1974, 111-147: each reference left out in turn chooses the form.
- G. D. Finlayson, M. Mackiewicz, A. Hurlbert, "Color Correction Using Root-Polynomial Regression",
  IEEE Trans. Image Process. 24(5), 2015, 1460-1470: the form with the most degrees.
- G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 color-difference formula", Color Res. Appl. 30(1),
  2005, 21-30: ΔE00, and the chroma weight S_C of each reference.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chartscan.colour.difference import ciede2000
from chartscan.colour.lab import lab_to_linear, linear_to_lab
from chartscan.colour.srgb import srgb_to_linear
from chartscan.errors import MatchError

Array = NDArray[np.float64]
Form = Literal["scale", "offset", "matrix", "affine", "root-polynomial"]

IN_WORDS: dict[Form, str] = {
    "scale": "a scale per channel",
    "offset": "a scale and an offset per channel",
    "matrix": "a 3×3 mix of the channels",
    "affine": "a 3×3 mix of the channels and an offset",
    "root-polynomial": "a root-polynomial mix of the channels",
}

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
_STEP = 1e-5  # of linear light, for the slope of CIELAB by central differences


class Candidate(NamedTuple):
    """One way to correct, to be tried.

    Attributes:
        form: which coefficients there are.
        held: cost in squared ΔE of an off-diagonal coefficient or offset as large as the scale;
            0 leaves them free. 300 means that mixing a tenth of a channel into another must bring
            the references closer by 1.7 ΔE (root of the sum of squares) to be believed.
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


@dataclass(frozen=True)
class CorrectionSettings:
    """How a correction is chosen.

    Attributes:
        candidates: forms to try, plainest first.
        worth: a richer form must bring the left-out ΔE00 below this share of the best plainer one;
            0.9 because a tenth is about what chance brings with six references.
        gain: and by this much in ΔE00; a difference of 0.05 is never seen.
        condition: largest condition number of a fit with unit columns; above it the references
            (greys alone, say) don't tell the channels apart. 100 lets 1 % noise pass as noise.
        folds: with more references than this they are left out in this many groups; 24 patches
            is a common target.
        tone: exponents of the tone curve lie between 1/tone and tone; 1.8 covers a picture
            shown with the exponent of another system.
        reach: a colour counts as outside the references where its leverage is more than this
            many times the largest among them; 1 is the strictest, and flags colours that are
            hardly beyond.
    """

    candidates: tuple[Candidate, ...] = (
        Candidate("scale"),
        Candidate("scale", toned=True),
        Candidate("offset"),
        Candidate("offset", toned=True),
        Candidate("matrix", held=300),
        Candidate("matrix", held=300, toned=True),
        Candidate("affine", held=300),
        Candidate("matrix", held=30),
        Candidate("affine", held=30),
        Candidate("matrix"),
        Candidate("matrix", toned=True),
        Candidate("affine"),
        Candidate("root-polynomial", held=300),
        Candidate("root-polynomial"),
    )
    worth: float = 0.9
    gain: float = 0.05
    condition: float = 100.0
    folds: int = 24
    tone: float = 1.8
    reach: float = 1.5

    def __post_init__(self) -> None:
        if not self.candidates:
            raise ValueError("at least one form of correction must be allowed")
        if not 0 < self.worth <= 1 or self.folds < 2 or self.tone <= 1:
            raise ValueError("worth lies in 0..1, folds are at least 2, tone is above 1")


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


@dataclass(frozen=True)
class Correction:
    """A learnt map from seen to true colours, in linear light.

    Attributes:
        candidate: which of the forms it has.
        fit: the tone exponent and the coefficients.
        residual: ΔE00 of each reference after the correction, shape (n,).
        left_out: ΔE00 of each reference corrected by the others alone, shape (n,); None where
            there were too few references to leave one out.
        before: ΔE00 of each reference as seen, shape (n,).
        inverse: inverse of the normal matrix of the fit, for the leverage of other colours.
        reach: leverage above which a colour is outside what the references bear.
    """

    candidate: Candidate
    fit: Fit
    residual: Array
    left_out: Array | None
    before: Array
    inverse: Array
    reach: float

    def to_lab(self, seen: ArrayLike) -> Array:
        """CIELAB (D65, 2°) of ``seen`` sRGB colours 0..255, shape (…, 3) → (…, 3).

        Corrected colours may lie outside sRGB; they aren't clipped.
        """
        return self.fit.lab(srgb_to_linear(seen))

    def outside(self, seen: ArrayLike) -> NDArray[np.bool_]:
        """Which of ``seen`` (sRGB 0..255, shape (n, 3)) lie beyond what the references bear."""
        toned = srgb_to_linear(seen) ** self.fit.tone
        rows = _design(toned, _slope(self.to_lab(seen)), FREE[self.candidate.form])
        beyond: NDArray[np.bool_] = _leverage(rows, self.inverse) > self.reach
        return beyond

    def describe(self) -> str:
        """One line for the stitcher: the form, how many references, what is left of the error."""
        count = len(self.residual)
        held = " held near none" if self.candidate.held else ""
        tone = f" and a tone curve (exponent {self.fit.tone:.2f})" if self.fit.tone != 1 else ""
        text = (
            f"{IN_WORDS[self.candidate.form]}{held}{tone}, "
            f"learnt from {count} reference{'s' * (count != 1)}: "
            f"mean ΔE00 {self.before.mean():.2f} before, {self.residual.mean():.2f} after"
        )
        if self.left_out is None:
            return text + "; too few references to test it on one left out"
        return text + (
            f", {self.left_out.mean():.2f} with each left out in turn "
            f"(largest {self.left_out.max():.2f})"
        )


def learn_correction(
    seen: ArrayLike, true_lab: ArrayLike, settings: CorrectionSettings = CorrectionSettings()
) -> Correction:
    """Learn the correction of ``seen`` colours to ``true_lab`` with as few degrees as they bear.

    Every form that the references determine is fitted with each of them left out in turn; the
    plainest that a richer one doesn't clearly beat is kept. The fit is linear least squares in
    linear light, each reference's error weighed by how much it shows there (the slope of CIELAB,
    chroma divided by the S_C of CIEDE2000), so that dark colours count as much as light ones.

    Args:
        seen: sRGB 0..255 as measured or printed, shape (n, 3), n ≥ 1.
        true_lab: CIELAB under D65, 2° observer, shape (n, 3).
        settings: forms and thresholds.

    Raises:
        MatchError: no references, or a channel is 0 in all of them, so that nothing can be learnt.
    """
    references = _references(seen, true_lab)
    best: tuple[float, Candidate, Fit, Array | None] | None = None
    for candidate in settings.candidates:
        fit = _fit(references, candidate, settings)
        if fit is None:
            continue
        left_out = _left_out(references, candidate, settings)
        score = np.inf if left_out is None else float(left_out.mean())
        if best is None or score < min(best[0] * settings.worth, best[0] - settings.gain):
            best = (score, candidate, fit, left_out)
    if best is None:
        raise MatchError(
            "the references don't bear a colour correction; give some in which no channel is 0"
        )
    return _built(references, *best[1:], settings.reach)


def _references(seen: ArrayLike, true_lab: ArrayLike) -> References:
    linear, lab = srgb_to_linear(seen), np.asarray(true_lab, dtype=np.float64)
    if not len(linear):
        raise MatchError("a colour correction needs at least one reference of known colour")
    if linear.ndim != 2 or linear.shape != lab.shape or linear.shape[1] != 3:
        raise ValueError(f"seen {linear.shape} and true {lab.shape} must both be (n, 3)")
    if not linear.any():
        raise MatchError("every reference was seen as black; a lighter picture is needed")
    if not (np.isfinite(linear).all() and np.isfinite(lab).all()):
        raise MatchError("a reference colour isn't a finite number")
    slope = _slope(lab)
    return References(linear, lab, slope, np.einsum("nij,nj->ni", slope, lab_to_linear(lab)))


def _built(
    references: References, candidate: Candidate, fit: Fit, left_out: Array | None, reach: float
) -> Correction:
    toned = references.linear**fit.tone
    rows = _design(toned, references.slope, FREE[candidate.form])
    design = np.concatenate([rows.reshape(-1, rows.shape[-1]), _holding(references, candidate)])
    inverse = np.linalg.pinv(design.T @ design)
    return Correction(
        candidate=candidate,
        fit=fit,
        residual=ciede2000(fit.lab(references.linear), references.lab),
        left_out=left_out,
        before=ciede2000(linear_to_lab(references.linear), references.lab),
        inverse=inverse,
        reach=reach * float(_leverage(rows, inverse).max()),
    )


def _left_out(
    references: References, candidate: Candidate, settings: CorrectionSettings
) -> Array | None:
    """ΔE00 of each reference corrected by the others; None where the others don't bear the form."""
    count = len(references.linear)
    if count < 2:
        return None
    fold = np.arange(count) % settings.folds
    errors = np.empty(count)
    for number in range(min(count, settings.folds)):
        kept = fold != number
        fit = _fit(references.at(kept), candidate, settings)
        if fit is None:
            return None
        errors[~kept] = ciede2000(fit.lab(references.linear[~kept]), references.lab[~kept])
    return errors


def _fit(references: References, candidate: Candidate, settings: CorrectionSettings) -> Fit | None:
    """The least-squares fit of one form; None where the references don't determine it."""
    if 3 * len(references.linear) < candidate.degrees:
        return None

    def misfit(log_tone: float) -> float:
        solved = _solve(references, candidate, np.exp(log_tone), settings.condition)
        return np.inf if solved is None else solved[1]

    tone = np.exp(_golden(misfit, np.log(settings.tone))) if candidate.toned else 1.0
    solved = _solve(references, candidate, tone, settings.condition)
    return None if solved is None else Fit(float(tone), solved[0])


def _solve(
    references: References, candidate: Candidate, tone: float, condition: float
) -> tuple[Array, float] | None:
    """Coefficients (7, 3) and sum of squares; None where the fit is too poorly conditioned."""
    free = FREE[candidate.form]
    rows = _design(references.linear**tone, references.slope, free)
    holding = _holding(references, candidate)
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


def _design(toned: Array, slope: Array, free: NDArray[np.bool_]) -> Array:
    """What each free coefficient does to each colour's weighed CIELAB, shape (n, 3, free)."""
    term, channel = np.nonzero(free)
    design: Array = slope[:, :, channel] * _terms(toned)[:, None, term]
    return design


def _holding(references: References, candidate: Candidate) -> Array:
    """Rows that hold mixing and offsets near none, shape (held coefficients, free)."""
    free = FREE[candidate.form]
    loose = FREE["scale"][free]
    if not candidate.held:
        return np.empty((0, len(loose)))
    scale = lab_to_linear(references.lab).sum() / references.linear.sum()
    rows: Array = np.diag(np.where(loose, 0.0, np.sqrt(candidate.held) / scale))[~loose]
    return rows


def _slope(lab: Array) -> Array:
    """Slope of CIELAB by linear sRGB at ``lab``, a and b divided by S_C, shape (n, 3, 3)."""
    linear, steps = lab_to_linear(lab)[:, None], _STEP * np.eye(3)
    difference = linear_to_lab(linear + steps) - linear_to_lab(linear - steps)
    slope: Array = np.swapaxes(difference, 1, 2) / (2 * _STEP)
    slope[:, 1:] /= (1 + 0.045 * np.hypot(lab[:, 1], lab[:, 2]))[:, None, None]
    return slope


def _leverage(rows: Array, inverse: Array) -> Array:
    """Trace of each colour's block of the hat matrix, shape (n,)."""
    leverage: Array = np.einsum("nip,pq,niq->n", rows, inverse, rows, optimize=True)
    return leverage


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
