"""Light and cast on a card: what the paper and the references tell of them, and colours without."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from chartscan.errors import MatchError
from chartscan.palette.card import NO_THREAD, CardThread, Reference
from chartscan.palette.correction import Correction, CorrectionSettings, learn_correction
from chartscan.palette.fields import Fields, Pixels
from chartscan.palette.paper import Paper, PaperSettings, find_paper
from chartscan.palette.slant import SlantSettings, learn_slant
from chartscan.reading.lattice.model import Lattice

Array = NDArray[np.float64]


@dataclass(frozen=True)
class LightSettings:
    """How light and cast are found.

    Attributes:
        use_paper: whether paper between the fields is looked for.
        paper: what is taken for paper, and its colour.
        slant: when references are believed about uneven light.
        correction: how light and cast are taken out.
        suspect: a reference is doubted where the others put it this far off, ΔE00, ...
        suspect_ratio: ... and this many times as far as the middle one of them.
        grey: chroma that some reference must reach to tell how the camera mixes strong colours.
    """

    use_paper: bool = True
    paper: PaperSettings = field(default_factory=PaperSettings)
    slant: SlantSettings = field(default_factory=SlantSettings)
    correction: CorrectionSettings = field(default_factory=CorrectionSettings)
    suspect: float = 6.0
    suspect_ratio: float = 3.0
    grey: float = 20.0


@dataclass(frozen=True)
class Lighting:
    """The fields' colours under even light, and how to take the cast out of them.

    Attributes:
        seen: sRGB 0..255 of each field under even light, shape (n, 3).
        correction: from seen to true colours; None where nothing is known of the cast.
        paper: what was taken for paper between the fields; None where there was none.
        notes: what the stitcher should know, a line each.
    """

    seen: Array
    correction: Correction | None
    paper: Paper | None
    notes: tuple[str, ...]


def find_lighting(
    pixels: Pixels,
    lattice: Lattice,
    fields: Fields,
    card: Sequence[CardThread],
    references: Sequence[Reference],
    settings: LightSettings = LightSettings(),
) -> Lighting:
    """What paper and references tell of light and cast.

    Paper between the fields shows how evenly light falls; without it, references may. The cast is
    learnt from references, or else from the paper.

    Raises:
        MatchError: references were given, and none can be used.
    """
    paper = find_paper(pixels, lattice, fields, settings.paper) if settings.use_paper else None
    seen = fields.rgb if paper is None else paper.even(fields.rgb)
    if references:
        return _by_references(seen, lattice, fields, paper, card, references, settings)
    if paper is not None:
        return _by_paper(seen, paper, settings)
    note = (
        "no reference was given and no paper was found between the fields, so colours are as the "
        "picture shows them: light and cast are still in them"
    )
    return Lighting(seen, None, None, (note,))


def _by_paper(seen: Array, paper: Paper, settings: LightSettings) -> Lighting:
    if paper.rgb.min() >= settings.paper.end:
        note = (
            "no reference was given, and the paper is at the end of the picture's scale, so it "
            "tells nothing of a cast: colours are as the picture shows them"
        )
        return Lighting(seen, None, paper, (note,))
    white = np.array([settings.paper.white])
    said = ", ".join(f"{value:g}" for value in settings.paper.white)
    note = (
        f"no reference was given, so the paper was taken for Lab {said}; the cast is out, but "
        "strong colours may still be off"
    )
    correction = learn_correction(paper.rgb[None], white, settings.correction)
    return Lighting(seen, correction, paper, (note,))


def _by_references(
    seen: Array,
    lattice: Lattice,
    fields: Fields,
    paper: Paper | None,
    card: Sequence[CardThread],
    references: Sequence[Reference],
    settings: LightSettings,
) -> Lighting:
    usable, notes = _usable(fields, card, references)
    at = [r.index for r in usable]
    lab = np.array([r.lab for r in usable])
    correction = learn_correction(seen[at], lab, settings.correction)
    if paper is None:
        places = fields.places - (lattice.columns / 2, lattice.rows / 2)
        slanted = learn_slant(
            seen[at], places[at], lab, correction, settings.correction, settings.slant
        )
        if slanted is not None:
            seen, correction = slanted.even(seen, places), slanted.correction
            notes.append("by the references the light falls off over the card; it was evened out")
    notes += _suspects(correction, card, usable, settings)
    if np.hypot(lab[:, 1], lab[:, 2]).max() < settings.grey:
        notes.append(
            "the references are all near grey: the cast is out, but strong colours may still be "
            "off; add some red, yellow, green and blue ones"
        )
    return Lighting(seen, correction, paper, tuple(notes))


def _usable(
    fields: Fields, card: Sequence[CardThread], references: Sequence[Reference]
) -> tuple[list[Reference], list[str]]:
    """References whose fields can be trusted, and a line for each of the others.

    Raises:
        MatchError: none is left.
    """
    trouble = {r.index: fields.trouble[r.index] for r in references}
    even = [r for r in references if not trouble[r.index]]
    usable = [r for r in even if not fields.over_exposed[r.index]] or even  # 255 beats nothing
    trouble |= {r.index: "over-exposed" for r in even if r not in usable}
    notes = [
        f"reference {_called(card, r)} was left out: {trouble[r.index]}"
        for r in references
        if r not in usable
    ]
    if not usable:
        raise MatchError("no reference can be used; " + "; ".join(notes))
    return usable, notes


def _suspects(
    correction: Correction,
    card: Sequence[CardThread],
    references: Sequence[Reference],
    settings: LightSettings,
) -> list[str]:
    """References that the others put far from where they are said to be."""
    if correction.left_out is None:
        return []
    limit = max(settings.suspect, settings.suspect_ratio * float(np.median(correction.left_out)))
    return [
        f"reference {_called(card, r)} is ΔE00 {off:.1f} off by the others: "
        "is its colour the right one?"
        for r, off in zip(references, correction.left_out, strict=True)
        if off > limit
    ]


def _called(card: Sequence[CardThread], reference: Reference) -> str:
    if reference.at is not None:
        x, y = reference.at
        return f"at {x:g},{y:g}"
    code = card[reference.index].code
    return f"in field {reference.index + 1}" + (f" ({code})" if code != NO_THREAD else "")
