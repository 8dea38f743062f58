"""Light and cast taken out of measured colours, with as few degrees as the references bear.

Sources:

- M. Stone, "Cross-validatory choice and assessment of statistical predictions", J. R. Stat. Soc.
  B 36(2), 1974, 111-147: each reference left out in turn judges the forms.
- R. D. Cook, "Detection of influential observation in linear regression", Technometrics 19(1),
  1977, 15-18: leverage, by which colours beyond the references are known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from chartscan.colour import ciede2000, linear_to_lab
from chartscan.errors import MatchError
from chartscan.palette.leastsquares import (
    FREE,
    Candidate,
    Fit,
    Form,
    Limits,
    References,
    design_rows,
    fit_form,
    gather,
    holding_rows,
    leverage,
    seen_light,
    slope_at,
)

Array = NDArray[np.float64]

IN_WORDS: dict[Form, str] = {
    "scale": "a scale per channel",
    "offset": "a scale and an offset per channel",
    "matrix": "a 3×3 mix of the channels",
    "affine": "a 3×3 mix of the channels and an offset",
    "root-polynomial": "a root-polynomial mix of the channels",
}


USUAL = Candidate("affine", held=300, toned=True)


@dataclass(frozen=True)
class CorrectionSettings:
    """How a correction is chosen.

    Attributes:
        candidates: forms to try, plainest first.
        usual: the form that is kept unless another does clearly better: what cameras and scanners
            do as a rule, a little of each fault. Leaving out one of few references judges mixing
            too harshly, as the red patch left out is the one that told of red.
        better: another form must bring the left-out ΔE00 below this share of the usual one's. On
            a photographed 24-patch target with six references, 0.7 left the other patches
            ΔE00 3.1 off on the mean; without a usual form they were 3.5 off.
        alike: of forms within this share of the best, the plainest is taken.
        gain: and a difference in ΔE00 under this never counts, as nobody sees it.
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
        USUAL,
        Candidate("affine", held=30),
        Candidate("affine", held=30, toned=True),
        Candidate("matrix"),
        Candidate("matrix", toned=True),
        Candidate("affine"),
        Candidate("root-polynomial", held=300),
        Candidate("root-polynomial"),
    )
    usual: Candidate = USUAL
    better: float = 0.7
    alike: float = 0.9
    gain: float = 0.05
    condition: float = 100.0
    folds: int = 24
    tone: float = 1.8
    reach: float = 1.5

    def __post_init__(self) -> None:
        if not self.candidates:
            raise ValueError("at least one form of correction must be allowed")
        if not 0 < self.better <= 1 or not 0 < self.alike <= 1:
            raise ValueError("better and alike are shares, above 0 and up to 1")
        if self.folds < 2 or self.tone <= 1:
            raise ValueError("folds are at least 2, tone is above 1")

    @property
    def limits(self) -> Limits:
        """What a single fit needs of them."""
        return Limits(self.condition, self.tone)


class Tried(NamedTuple):
    """A candidate fitted, and the ΔE00 of each reference left out; None where none can be."""

    candidate: Candidate
    fit: Fit
    left_out: Array | None

    @property
    def score(self) -> float:
        """Mean left-out ΔE00; infinity where it isn't known."""
        return np.inf if self.left_out is None else float(self.left_out.mean())


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
        return self.fit.lab(seen_light(seen))

    def outside(self, seen: ArrayLike) -> NDArray[np.bool_]:
        """Which of ``seen`` (sRGB 0..255, shape (n, 3)) lie beyond what the references bear."""
        toned = seen_light(seen) ** self.fit.tone
        rows = design_rows(toned, slope_at(self.to_lab(seen)), FREE[self.candidate.form])
        beyond: NDArray[np.bool_] = leverage(rows, self.inverse) > self.reach
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

    Every form that the references determine is fitted with each of them left out in turn. The
    usual form is kept unless another does clearly better, and then the plainest of the best. The
    fit is linear least squares in linear light, each reference's error weighed by how much it shows
    there (the slope of CIELAB, chroma divided by the S_C of CIEDE2000), so that dark colours count
    as much as light ones.

    Args:
        seen: sRGB 0..255 as measured or printed, shape (n, 3), n ≥ 1.
        true_lab: CIELAB under D65, 2° observer, shape (n, 3).
        settings: forms and thresholds.

    Raises:
        MatchError: no references, or a channel is 0 in all of them, so that nothing can be learnt.
    """
    references = gather(seen, true_lab)
    tried = []
    for candidate in settings.candidates:
        fit = fit_form(references, candidate, settings.limits)
        if fit is not None:
            tried.append(Tried(candidate, fit, _left_out(references, candidate, settings)))
    if not tried:
        raise MatchError(
            "the references don't bear a colour correction; give some in which no channel is 0"
        )
    return _built(references, _choose(tried, settings), settings.reach)


def _choose(tried: Sequence[Tried], settings: CorrectionSettings) -> Tried:
    """The usual form, or the plainest of the best where they are clearly better."""
    best = min(one.score for one in tried)
    usual = [one for one in tried if one.candidate == settings.usual and np.isfinite(one.score)]
    if usual and usual[0].score > settings.gain and best >= settings.better * usual[0].score:
        return usual[0]
    return next(one for one in tried if one.score <= best / settings.alike + settings.gain)


def _built(references: References, chosen: Tried, reach: float) -> Correction:
    candidate, fit, left_out = chosen
    toned = references.linear**fit.tone
    rows = design_rows(toned, references.slope, FREE[candidate.form])
    design = np.concatenate([rows.reshape(-1, rows.shape[-1]), holding_rows(references, candidate)])
    inverse = np.linalg.pinv(design.T @ design)
    return Correction(
        candidate=candidate,
        fit=fit,
        residual=ciede2000(fit.lab(references.linear), references.lab),
        left_out=left_out,
        before=ciede2000(linear_to_lab(references.linear), references.lab),
        inverse=inverse,
        reach=reach * float(leverage(rows, inverse).max()),
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
        fit = fit_form(references.at(kept), candidate, settings.limits)
        if fit is None:
            return None
        errors[~kept] = ciede2000(fit.lab(references.linear[~kept]), references.lab[~kept])
    return errors
