"""A palette measured from a picture of the threads: the recipe, and what comes out of it.

The one place of this wing that calls the reader: its page and its lattice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from chartscan.colour import lab_to_srgb, round_rgb, srgb_to_lab
from chartscan.csvtable import table_text
from chartscan.errors import GridError
from chartscan.palette.card import CARRIED, NO_THREAD, CardThread, Reference
from chartscan.palette.correction import Correction
from chartscan.palette.fields import (
    Fields,
    FieldSettings,
    Pixels,
    coarse,
    look_at_fields,
    look_at_spots,
)
from chartscan.palette.lighting import LightSettings, find_lighting
from chartscan.palette.paper import Paper
from chartscan.palette.thread import Palette, Thread
from chartscan.reading.lattice.model import Lattice

Array = NDArray[np.float64]

_LIGHTNESS_SLACK = 3.0  # L beyond 0..100 that is put down to noise and brought back


@dataclass(frozen=True)
class MeasureSettings:
    """How a card is measured: how a field is looked at, and how light and cast are found."""

    fields: FieldSettings = field(default_factory=FieldSettings)
    light: LightSettings = field(default_factory=LightSettings)


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
        references: what is of known colour; without any, the paper is the reference.
        settings: thresholds.

    Raises:
        GridError: the card has more fields than codes or fewer, or isn't wholly in the picture.
        MatchError: no reference can be used.
    """
    check_counts(lattice, card)
    fields = look_at_fields(pixels, lattice, settings.fields)
    spots = [r.at for r in sorted(references, key=lambda r: r.index) if r.at is not None]
    if spots:
        fields = fields.and_also(look_at_spots(pixels, lattice, spots, settings.fields))
    lighting = find_lighting(pixels, lattice, fields, card, references, settings.light)
    seen, correction = lighting.seen, lighting.correction
    lab = srgb_to_lab(seen) if correction is None else correction.to_lab(seen)
    outside = np.zeros(len(seen), bool) if correction is None else correction.outside(seen)
    threads, left_out = _sorted_out(card, fields, lab, outside)
    warnings = [
        *filter(None, [coarse(lattice, settings.fields)]),
        *lighting.notes,
        *_named(threads, outside, "beyond the colours of the references, so less sure"),
        *_named(
            threads,
            fields.over_exposed,
            "at the end of the picture's scale, so maybe lighter in truth",
        ),
    ]
    return Measurement(threads, left_out, correction, lighting.paper, tuple(warnings))


def check_counts(lattice: Lattice, card: Sequence[CardThread]) -> None:
    """Raise GridError where the card hasn't as many fields as the list has rows."""
    fields = lattice.columns * lattice.rows
    if fields != len(card):
        more = "more fields than codes" if fields > len(card) else "more codes than fields"
        raise GridError(
            f"{more}: the card has {fields} fields ({lattice.columns} × {lattice.rows}), the list "
            f"has {len(card)} rows; write a row with {NO_THREAD} for each field without a thread"
        )


def _sorted_out(
    card: Sequence[CardThread],
    fields: Fields,
    lab: Array,
    outside: NDArray[np.bool_],
) -> tuple[tuple[MeasuredThread, ...], tuple[LeftOut, ...]]:
    """Threads with a usable colour, and the others with the reason."""
    threads: list[MeasuredThread] = []
    left_out: list[LeftOut] = []
    for index, thread in enumerate(card):
        if thread.code == NO_THREAD:
            continue
        reason = fields.trouble[index] or _no_surface(lab[index])
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


def palette_csv(measurement: Measurement) -> str:
    """The measured palette as CSV: ``code``, what the stitcher's list says, ``L,a,b,spread``."""
    carried = [name for name in CARRIED if any(name in t.card.also for t in measurement.threads)]
    return table_text(
        ["code", *carried, "L", "a", "b", "spread"],
        (
            [
                thread.card.code,
                *(thread.card.also.get(name, "") for name in carried),
                *(f"{value:.2f}" for value in (*thread.lab, thread.spread)),
            ]
            for thread in measurement.threads
        ),
    )
