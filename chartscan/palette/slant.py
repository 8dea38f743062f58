"""Light that falls unevenly on a card without paper between its fields, told by references.

One slope across and one down, in the logarithm of light. Two numbers more to learn from few
references, so they are believed only if they bring references left out much closer.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chartscan.colour import ciede2000, lab_to_xyz, linear_to_srgb, srgb_to_linear
from chartscan.palette.correction import Correction, CorrectionSettings, learn_correction

Array = NDArray[np.float64]


@dataclass(frozen=True)
class SlantSettings:
    """When a slant of the light is believed.

    Attributes:
        least: references below which none is looked for; two more numbers than a scale per
            channel, and one reference to leave out.
        rounds: correction and slant are learnt in turn this often; after five they stay.
        worth: left out references must be this share as far off as without a slant, or less; on a
            photographed target, slants told by six patches brought 0.7 at best and helped nothing.
    """

    least: int = 5
    rounds: int = 5
    worth: float = 0.6


@dataclass(frozen=True)
class Slanted:
    """A correction together with the light's slant.

    Attributes:
        correction: learnt from colours with the slant taken out.
        slope: logarithm of light per unit of place, across and down, shape (2,).
    """

    correction: Correction
    slope: Array

    def even(self, seen: Array, places: Array) -> Array:
        """``seen`` sRGB (n, 3) at ``places`` (n, 2) as it would look without the slant."""
        return _evened(seen, places, self.slope)


def learn_slant(
    seen: Array,
    places: Array,
    true_lab: Array,
    plain: Correction,
    settings: CorrectionSettings,
    slant: SlantSettings = SlantSettings(),
) -> Slanted | None:
    """The slant that references bear; None where they bear none.

    Args:
        seen: sRGB 0..255 of the references, shape (n, 3).
        places: where they lie, in any unit with its zero in the middle of the card, shape (n, 2).
        true_lab: their CIELAB, shape (n, 3).
        plain: the correction without a slant.
        settings: of the correction.
        slant: thresholds.
    """
    if plain.left_out is None or len(seen) < slant.least:
        return None
    # Only the slope is wanted of the rounds, so one form and two folds do for them.
    form = replace(settings, candidates=(plain.candidate,), folds=2)
    slope = _slope(seen, places, true_lab, form, slant.rounds)
    even = _evened(seen, places, slope)
    form = replace(form, candidates=(learn_correction(even, true_lab, settings).candidate,))
    slope = _slope(seen, places, true_lab, form, slant.rounds)
    errors = []
    for left in range(len(seen)):
        kept = np.arange(len(seen)) != left
        other = _slope(seen[kept], places[kept], true_lab[kept], form, slant.rounds)
        even = _evened(seen, places, other)
        correction = learn_correction(even[kept], true_lab[kept], form)
        errors.append(float(ciede2000(correction.to_lab(even[left]), true_lab[left])))
    if np.mean(errors) > slant.worth * plain.left_out.mean():
        return None
    correction = learn_correction(_evened(seen, places, slope), true_lab, form)
    honest = replace(correction, left_out=np.array(errors), before=plain.before)
    return Slanted(honest, slope)


def _slope(
    seen: Array, places: Array, true_lab: Array, settings: CorrectionSettings, rounds: int
) -> Array:
    """Slope of the light, learnt in turn with a correction."""
    slope: Array = np.zeros(2)
    light = lab_to_xyz(true_lab)[:, 1]
    terms = np.column_stack([np.ones(len(places)), places])
    weight = np.sqrt(light)  # dark patches tell little about the light
    for _ in range(rounds):
        even = _evened(seen, places, slope)
        found = lab_to_xyz(learn_correction(even, true_lab, settings).to_lab(even))[:, 1]
        off = np.log(np.maximum(found, 1e-4) / np.maximum(light, 1e-4))
        slope = slope + np.linalg.lstsq(terms * weight[:, None], off * weight, rcond=None)[0][1:]
    return slope


def _evened(seen: Array, places: Array, slope: Array) -> Array:
    return linear_to_srgb(srgb_to_linear(seen) / np.exp(places @ slope)[:, None])
