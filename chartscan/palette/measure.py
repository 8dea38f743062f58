"""A palette measured from a picture of the threads: the recipe, and what comes out of it.

The one place of this wing that calls the reader: its page and its lattice.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from chartscan.colour import lab_to_srgb, round_rgb, srgb_to_lab
from chartscan.errors import GridError, MatchError
from chartscan.palette.card import CARRIED, NO_THREAD, CardThread, Reference
from chartscan.palette.correction import Correction, CorrectionSettings, learn_correction
from chartscan.palette.fields import Fields, FieldSettings, Pixels, look_at_fields
from chartscan.palette.paper import Paper, PaperSettings, find_paper
from chartscan.palette.thread import Palette, Thread
from chartscan.reading.lattice import Lattice

Array = NDArray[np.float64]

_LIGHTNESS_SLACK = 3.0  # L beyond 0..100 that is put down to noise and brought back


@dataclass(frozen=True)
class MeasureSettings:
    """How a card is measured.

    Attributes:
        fields: how a field is looked at.
        paper: what is taken for paper, and its colour.
        correction: how light and cast are taken out.
        use_paper: whether paper between the fields is looked for.
        suspect: a reference is doubted where the others put it this far off, ΔE00, ...
        suspect_ratio: ... and this many times as far as the middle one of them.
    """

    fields: FieldSettings = field(default_factory=FieldSettings)
    paper: PaperSettings = field(default_factory=PaperSettings)
    correction: CorrectionSettings = field(default_factory=CorrectionSettings)
    use_paper: bool = True
    suspect: float = 6.0
    suspect_ratio: float = 3.0


@dataclass(frozen=True)
class MeasuredThread:
    """One thread as measured.

    Attributes:
        card: its code and what else the stitcher's list says.
        field: number of its field, from 1, row by row.
        lab: CIELAB under D65.
        rgb: the nearest sRGB colour.
        spread: how much parts of the field differ from it, root mean square ΔE00.
        outside: whether its colour lies beyond what the references bear.
    """

    card: CardThread
    field: int
    lab: tuple[float, float, float]
    rgb: tuple[int, int, int]
    spread: float
    outside: bool


@dataclass(frozen=True)
class LeftOut:
    """A thread that couldn't be measured, and why."""

    card: CardThread
    field: int
    reason: str


@dataclass(frozen=True)
class Measurement:
    """A card measured.

    Attributes:
        threads: those with a colour, in the order of the card.
        left_out: those whose field can't be used; nothing was made up for them.
        correction: how light and cast were taken out; None where nothing was known of them.
        paper: what was taken for paper between the fields; None where there was none.
        warnings: what the stitcher should know, a line each.
    """

    threads: tuple[MeasuredThread, ...]
    left_out: tuple[LeftOut, ...]
    correction: Correction | None
    paper: Paper | None
    warnings: tuple[str, ...]

    @property
    def palette(self) -> Palette:
        """The measured threads as a thread range."""
        return Palette(
            tuple(
                Thread(t.card.code, t.card.also.get("name", ""), t.lab, t.rgb, t.card.line)
                for t in self.threads
            ),
            "measured",
        )


def measure(
    pixels: Pixels,
    lattice: Lattice,
    card: Sequence[CardThread],
    references: Sequence[Reference] = (),
    settings: MeasureSettings = MeasureSettings(),
) -> Measurement:
    """Measure the threads of a card.

    Args:
        pixels: sRGB page, uint8, shape (height, width, 3).
        lattice: where the fields are.
        card: what stands in each field, row by row; fields after the last must not be.
        references: fields of known colour; without any, the paper is the reference.
        settings: thresholds.

    Raises:
        GridError: the card has more fields than codes or fewer, or isn't wholly in the picture.
        MatchError: no reference can be used.
    """
    check_counts(lattice, card)
    fields = look_at_fields(pixels, lattice, settings.fields)
    paper = find_paper(pixels, lattice, fields, settings.paper) if settings.use_paper else None
    seen = fields.rgb if paper is None else paper.even(fields.rgb)
    correction, notes = _correction(seen, fields, card, references, paper, settings)
    lab = srgb_to_lab(seen) if correction is None else correction.to_lab(seen)
    outside = np.zeros(len(card), bool) if correction is None else correction.outside(seen)
    threads, left_out = _sorted_out(card, fields, lab, outside, settings.fields)
    notes += _named(threads, outside, "beyond the colours of the references, so less sure")
    notes += _named(
        threads,
        fields.over_exposed(settings.fields),
        "at the end of the picture's scale, so maybe lighter in truth",
    )
    return Measurement(threads, left_out, correction, paper, tuple(notes))


def check_counts(lattice: Lattice, card: Sequence[CardThread]) -> None:
    """Raise GridError where the card hasn't as many fields as the list has rows."""
    fields = lattice.columns * lattice.rows
    if fields != len(card):
        more = "more fields than codes" if fields > len(card) else "more codes than fields"
        raise GridError(
            f"{more}: the card has {fields} fields ({lattice.columns} × {lattice.rows}), the list "
            f"has {len(card)} rows; write a row with {NO_THREAD} for each field without a thread"
        )


def _correction(
    seen: Array,
    fields: Fields,
    card: Sequence[CardThread],
    references: Sequence[Reference],
    paper: Paper | None,
    settings: MeasureSettings,
) -> tuple[Correction | None, list[str]]:
    """The correction that the references bear, or else the paper; None without either."""
    if references:
        usable, notes = _usable(fields, card, references, settings.fields)
        lab = np.array([r.lab for r in usable])
        correction = learn_correction(seen[[r.index for r in usable]], lab, settings.correction)
        return correction, notes + _suspects(correction, card, usable, settings)
    if paper is None:
        return None, [
            "no reference was given and no paper was found between the fields, so colours are as "
            "the picture shows them: light and cast are still in them"
        ]
    white = settings.paper.white
    said = ", ".join(f"{value:g}" for value in white)
    note = f"no reference was given, so the paper was taken for Lab {said}"
    return learn_correction(paper.rgb[None], np.array([white]), settings.correction), [note]


def _usable(
    fields: Fields,
    card: Sequence[CardThread],
    references: Sequence[Reference],
    settings: FieldSettings,
) -> tuple[list[Reference], list[str]]:
    """References whose fields can be trusted, and a line for each of the others.

    Raises:
        MatchError: none is left.
    """
    trouble = {r.index: fields.trouble(r.index, settings) for r in references}
    even = [r for r in references if not trouble[r.index]]
    over = fields.over_exposed(settings)
    usable = [r for r in even if not over[r.index]] or even  # a white at 255 beats nothing
    trouble |= {r.index: "over-exposed" for r in even if r not in usable}
    notes = [
        f"reference {_called(card, r.index)} was left out: {trouble[r.index]}"
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
    settings: MeasureSettings,
) -> list[str]:
    """References that the others put far from where they are said to be."""
    if correction.left_out is None:
        return []
    limit = max(settings.suspect, settings.suspect_ratio * float(np.median(correction.left_out)))
    return [
        f"reference {_called(card, r.index)} is ΔE00 {off:.1f} off by the others: "
        "is its colour the right one?"
        for r, off in zip(references, correction.left_out, strict=True)
        if off > limit
    ]


def _sorted_out(
    card: Sequence[CardThread],
    fields: Fields,
    lab: Array,
    outside: NDArray[np.bool_],
    settings: FieldSettings,
) -> tuple[tuple[MeasuredThread, ...], tuple[LeftOut, ...]]:
    """Threads with a usable colour, and the others with the reason."""
    threads: list[MeasuredThread] = []
    left_out: list[LeftOut] = []
    for index, thread in enumerate(card):
        if thread.code == NO_THREAD:
            continue
        reason = fields.trouble(index, settings) or _no_surface(lab[index])
        if reason:
            left_out.append(LeftOut(thread, index + 1, reason))
            continue
        l_star, a, b = (float(value) for value in lab[index])
        threads.append(
            MeasuredThread(
                card=thread,
                field=index + 1,
                lab=(min(max(l_star, 0.0), 100.0), a, b),
                rgb=round_rgb(lab_to_srgb(lab[index])),
                spread=float(fields.spread[index]),
                outside=bool(outside[index]),
            )
        )
    return tuple(threads), tuple(left_out)


def _no_surface(lab: Array) -> str:
    """Why ``lab`` (3,) is no colour that a thread can have, or ""."""
    if lab[0] < -_LIGHTNESS_SLACK or lab[0] > 100 + _LIGHTNESS_SLACK or np.abs(lab[1:]).max() > 128:
        said = ", ".join(f"{value:.0f}" for value in lab)
        return f"the correction makes it Lab {said}, which no thread can be"
    return ""


def _named(threads: Sequence[MeasuredThread], which: NDArray[np.bool_], what: str) -> list[str]:
    """One line that names the codes of the threads whose fields ``which`` marks; none for none."""
    codes = [t.card.code for t in threads if which[t.field - 1]]
    return [f"{what}: {', '.join(codes)}"] if codes else []


def _called(card: Sequence[CardThread], index: int) -> str:
    code = card[index].code
    return f"in field {index + 1}" + (f" ({code})" if code != NO_THREAD else "")


def palette_csv(measurement: Measurement) -> str:
    """The measured palette as CSV: ``code``, what the stitcher's list says, ``L,a,b,spread``."""
    carried = [name for name in CARRIED if any(name in t.card.also for t in measurement.threads)]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["code", *carried, "L", "a", "b", "spread"])
    for thread in measurement.threads:
        writer.writerow(
            [
                thread.card.code,
                *(thread.card.also.get(name, "") for name in carried),
                *(f"{value:.2f}" for value in (*thread.lab, thread.spread)),
            ]
        )
    return text.getvalue()
