"""A palette measured from a drawn card of threads: how near it comes, and what it refuses."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from chartscan.colour import ciede2000, linear_to_srgb, srgb_to_lab
from chartscan.errors import GridError, MatchError
from chartscan.palette.card import NO_THREAD, CardThread, Reference, corner_lattice
from chartscan.palette.fields import FieldSettings, look_at_fields
from chartscan.palette.measure import Measurement, measure, palette_csv
from chartscan.palette.paper import find_paper
from tests.palette.drawn_card import PAPER_LAB, DrawnCard, Look, draw_card

Array = NDArray[np.float64]

# White, grey, red, green, blue, yellow: patches of known value.
SIX = np.array(
    [[240, 240, 240], [120, 120, 120], [190, 40, 40], [40, 120, 60], [40, 60, 150], [220, 190, 50]]
)
PLAIN = ((1.0, 0, 0), (0, 1.0, 0), (0, 0, 1.0))
MIXED = ((0.85, 0.10, 0.05), (0.08, 0.75, 0.10), (0.02, 0.10, 0.60))


def threads(count: int = 48, seed: int = 4) -> Array:
    """CIELAB of a card: six references, then threads of every colour."""
    others = np.random.default_rng(seed).uniform(15, 240, (count - 6, 3))
    return srgb_to_lab(np.concatenate([SIX, others]))


def references(lab: Array, count: int = 6) -> list[Reference]:
    return [Reference(i, (float(x), float(y), float(z))) for i, (x, y, z) in enumerate(lab[:count])]


def card_of(lab: Array) -> list[CardThread]:
    return [CardThread(f"T{i + 1}") for i in range(len(lab))]


def errors(measurement: Measurement, lab: Array) -> Array:
    """ΔE00 of each measured thread from the truth."""
    found = np.array([t.lab for t in measurement.threads])
    return ciede2000(found, lab[[t.field - 1 for t in measurement.threads]])


@pytest.mark.parametrize(
    "look",
    [
        Look(),
        Look(cast=MIXED),
        Look(slope=0.25, tilt=20),
        Look(texture=0.3, shine=0.15, gaps=0.15, noise=4),
        Look(pitch=26, noise=3),
        Look(fill=1.0),
    ],
    ids=["warm", "mixed", "dim to one side", "rough", "small", "touching"],
)
def test_six_references_bring_every_thread_back(look: Look) -> None:
    """The figures asked for: mean ΔE00 under 1.0, worst under 2.5."""
    lab = threads()
    drawn = draw_card(lab, 8, look)
    measurement = measure(drawn.pixels, drawn.lattice, card_of(lab), references(lab))
    assert len(measurement.threads) == len(lab)
    off = errors(measurement, lab)[6:]  # the references themselves don't count
    assert off.mean() < 1.0
    assert off.max() < 2.5


def test_the_paper_alone_takes_the_cast_out() -> None:
    lab = threads()
    drawn = draw_card(lab, 8, Look(slope=0.2))
    measurement = measure(drawn.pixels, drawn.lattice, card_of(lab))
    assert errors(measurement, lab).mean() < 1.0
    assert "paper was taken for Lab 95, 0, -2" in measurement.warnings[0]


def test_paper_at_the_end_of_the_scale_changes_no_colour() -> None:
    lab = threads(24)
    drawn = draw_card(lab, 6, Look(cast=PLAIN), paper=np.array([100.0, 0, 0]))
    measurement = measure(drawn.pixels, drawn.lattice, card_of(lab))
    assert measurement.correction is None
    assert "tells nothing of a cast" in measurement.warnings[0]
    assert errors(measurement, lab).mean() < 0.5


def test_with_neither_paper_nor_references_colours_stay_as_seen_and_it_is_said() -> None:
    lab = threads(24)
    drawn = draw_card(lab, 6, Look(fill=1.0))
    measurement = measure(drawn.pixels, drawn.lattice, card_of(lab))
    assert measurement.correction is None
    assert "light and cast are still in them" in measurement.warnings[0]
    assert errors(measurement, lab).mean() > 3


def test_uneven_light_is_followed_by_the_paper() -> None:
    lab = threads()
    drawn = draw_card(lab, 8, Look(slope=0.3))
    fields = look_at_fields(drawn.pixels, drawn.lattice)
    paper = find_paper(drawn.pixels, drawn.lattice, fields)
    assert paper is not None
    # Light falls by 0.3 × 7/8 from the middle of the first column to that of the last.
    assert paper.unevenness == pytest.approx((1 - 0.3 / 16) / (1 - 0.3 * 15 / 16), rel=0.02)
    even = ciede2000(srgb_to_lab(paper.even(fields.rgb)), srgb_to_lab(fields.rgb))
    assert even.max() > 2


def test_strands_of_one_lightness_are_one_thread_whatever_their_colours() -> None:
    """Two blue strands among three grey ones that are as light: neither shine nor gap.

    The luminance of sRGB's blue is 0.0722 of white (IEC 61966-2-1).
    """
    grey = linear_to_srgb(np.full(3, 0.0722))
    tweed = np.rint(np.array([grey, (0, 0, 255)])).astype(np.uint8)
    which = np.random.default_rng(3).choice(2, (220, 220), p=[0.6, 0.4])
    lattice = corner_lattice(((10, 10), (210, 10), (210, 210), (10, 210)), 1, 1)
    fields = look_at_fields(tweed[which], lattice, FieldSettings(kept=0.9))
    assert fields.trouble == ("",)


def test_ruled_lines_in_blue_are_not_taken_for_paper() -> None:
    """Brown paper is three times as light as blue ink (luminance, IEC 61966-2-1)."""
    lab = srgb_to_lab(np.random.default_rng(5).integers(10, 70, (24, 3)))
    brown = srgb_to_lab((150, 125, 60))
    drawn = draw_card(lab, 6, Look(cast=PLAIN, noise=0.0, shine=0.0), paper=brown)
    height, width = drawn.pixels.shape[:2]
    y, x = np.mgrid[:height, :width] + 0.5
    cell = drawn.lattice.to_cells(np.stack([x, y], axis=-1))
    pixels = drawn.pixels.copy()
    pixels[np.abs(cell - np.floor(cell) - 0.5).max(axis=-1) > 0.46] = (0, 0, 255)
    paper = find_paper(pixels, drawn.lattice, look_at_fields(pixels, drawn.lattice))
    assert paper is not None
    np.testing.assert_allclose(paper.rgb, (150, 125, 60), atol=1)


@pytest.mark.parametrize("ground", [(20.0, 2.0, 1.0), None], ids=["dark mount", "no gap"])
def test_what_is_no_paper_is_not_taken_for_paper(ground: tuple[float, float, float] | None) -> None:
    lab = threads()
    look = Look(fill=1.0) if ground is None else Look()
    drawn = draw_card(lab, 8, look, paper=np.array(PAPER_LAB if ground is None else ground))
    fields = look_at_fields(drawn.pixels, drawn.lattice)
    assert find_paper(drawn.pixels, drawn.lattice, fields) is None


def test_references_all_over_the_card_even_the_light_where_no_paper_shows() -> None:
    spread = [0, 7, 19, 28, 40, 47]
    lab = threads()
    lab[[*spread, *range(6)]] = lab[[*range(6), *spread]]
    drawn = draw_card(lab, 8, Look(fill=1.0, slope=0.2))
    known = [Reference(i, (float(lab[i, 0]), float(lab[i, 1]), float(lab[i, 2]))) for i in spread]
    measurement = measure(drawn.pixels, drawn.lattice, card_of(lab), known)
    assert any("light falls off" in w for w in measurement.warnings)
    assert errors(measurement, lab).mean() < 0.5
    assert errors(measurement, lab).max() < 1.5


def test_a_target_beside_the_card_does_as_well_as_fields_of_it() -> None:
    lab = threads(30)
    drawn = draw_card(lab, 6, Look(pitch=60, slope=0.15))
    known = [
        replace(r, index=24 + i, at=tuple(drawn.lattice.to_pixels(np.array([i + 0.5, 0.5]))))
        for i, r in enumerate(references(lab))
    ]
    below = drawn.lattice.to_pixels(np.array([[0.0, 1], [6, 1], [6, 5], [0, 5]]))
    lattice = corner_lattice([(float(x), float(y)) for x, y in below], 6, 4)
    measurement = measure(drawn.pixels, lattice, card_of(lab[6:]), known)
    assert len(measurement.threads) == 24
    assert errors(measurement, lab[6:]).max() < 1.5


def test_a_spot_outside_the_picture_is_refused() -> None:
    lab = threads(24)
    drawn = draw_card(lab, 6)
    with pytest.raises(GridError, match="a reference lies beyond the picture"):
        measure(drawn.pixels, drawn.lattice, card_of(lab), [Reference(24, (50, 0, 0), (-9, 5))])


def test_grey_references_alone_are_said_to_tell_little_of_strong_colours() -> None:
    lab = threads(24)
    drawn = draw_card(lab, 6)
    greys = measure(drawn.pixels, drawn.lattice, card_of(lab), references(lab, 2))
    coloured = measure(drawn.pixels, drawn.lattice, card_of(lab), references(lab))
    assert any("all near grey" in w for w in greys.warnings)
    assert not any("all near grey" in w for w in coloured.warnings)


def two_coloured(drawn: DrawnCard, field: int) -> NDArray[np.uint8]:
    """The card with the right half of one field (from 0) painted over."""
    row, column = divmod(field, drawn.lattice.columns)
    ends = drawn.lattice.to_pixels(np.array([[column + 0.5, row], [column + 1.0, row + 1.0]]))
    (left, top), (right, bottom) = ends.astype(int)
    pixels = drawn.pixels.copy()
    pixels[top:bottom, left:right] = (200, 30, 160)
    return pixels


def test_a_field_of_two_colours_is_left_out_and_named_not_invented() -> None:
    lab = threads(24)
    drawn = draw_card(lab, 6)
    pixels = two_coloured(drawn, 13)
    measurement = measure(pixels, drawn.lattice, card_of(lab), references(lab))
    assert [(e.card.code, e.field) for e in measurement.left_out] == [("T14", 14)]
    assert "differ" in measurement.left_out[0].reason or "alike" in measurement.left_out[0].reason
    assert "T14" not in palette_csv(measurement)
    assert errors(measurement, lab).max() < 1.0


def test_an_uneven_reference_is_left_out_and_the_others_do() -> None:
    lab = threads(24)
    drawn = draw_card(lab, 6)
    measurement = measure(two_coloured(drawn, 2), drawn.lattice, card_of(lab), references(lab))
    assert any("reference in field 3 (T3) was left out" in w for w in measurement.warnings)
    assert errors(measurement, lab).max() < 1.5


def test_a_reference_with_the_wrong_colour_is_doubted_by_the_others() -> None:
    lab = threads(24)
    drawn = draw_card(lab, 6)
    known = references(lab)
    known[3] = replace(known[3], lab=(60.0, 40.0, 30.0))
    measurement = measure(drawn.pixels, drawn.lattice, card_of(lab), known)
    doubted = [w for w in measurement.warnings if "is its colour the right one" in w]
    assert any("field 4" in w for w in doubted)


def test_references_none_of_which_can_be_used_are_an_error() -> None:
    lab = threads(24)
    drawn = draw_card(lab, 6)
    with pytest.raises(MatchError, match=r"no reference can be used; reference in field 3"):
        measure(two_coloured(drawn, 2), drawn.lattice, card_of(lab), [references(lab)[2]])


def test_over_exposed_threads_are_told() -> None:
    lab = threads(24)
    drawn = draw_card(lab, 6, Look(cast=((1.5, 0, 0), (0, 1.5, 0), (0, 0, 1.5))))
    measurement = measure(drawn.pixels, drawn.lattice, card_of(lab), references(lab))
    assert any("maybe lighter in truth" in w for w in measurement.warnings)
    assert any("reference in field 1 (T1) was left out: over-exposed" in w
               for w in measurement.warnings)  # fmt: skip


def test_fields_without_a_thread_are_not_in_the_palette() -> None:
    lab = threads(24)
    drawn = draw_card(lab, 6)
    card = [CardThread(NO_THREAD)] * 6 + card_of(lab)[6:]
    measurement = measure(drawn.pixels, drawn.lattice, card, references(lab))
    assert [t.card.code for t in measurement.threads] == [f"T{i}" for i in range(7, 25)]


def test_spread_tells_a_rough_thread_from_a_smooth_one() -> None:
    lab = threads(24)
    smooth, rough = (
        measure(d.pixels, d.lattice, card_of(lab), references(lab))
        for d in (draw_card(lab, 6, Look(texture=0.05)), draw_card(lab, 6, Look(texture=0.4)))
    )
    spreads = [np.median([t.spread for t in m.threads]) for m in (smooth, rough)]
    assert spreads[1] > 2 * spreads[0]


@pytest.mark.parametrize(
    ("codes", "message"),
    [
        (20, r"more fields than codes: the card has 24 fields \(6 × 4\), the list has 20 rows"),
        (25, r"more codes than fields: the card has 24 fields \(6 × 4\), the list has 25 rows"),
    ],
)
def test_counts_that_disagree_are_told_with_both_numbers(codes: int, message: str) -> None:
    drawn = draw_card(threads(24), 6)
    card = [CardThread(f"T{i}") for i in range(codes)]
    with pytest.raises(GridError, match=message):
        measure(drawn.pixels, drawn.lattice, card)


def test_a_card_that_reaches_out_of_the_picture_is_refused() -> None:
    lab = threads(24)
    drawn = draw_card(lab, 6)
    with pytest.raises(GridError, match="beyond the picture"):
        measure(drawn.pixels[:110], drawn.lattice, card_of(lab))


def test_fields_too_small_to_hold_thread_are_refused() -> None:
    drawn = draw_card(threads(24), 6, Look(pitch=6))
    with pytest.raises(GridError, match="only 6 pixels wide"):
        look_at_fields(drawn.pixels, drawn.lattice)


@pytest.mark.parametrize(("pitch", "said"), [(34.0, True), (40.0, False)])
def test_a_scan_too_coarse_for_the_texture_of_thread_is_said(pitch: float, said: bool) -> None:
    """Two fifths of a field's width are looked at: 185 and 256 pixels of thread."""
    lab = threads(24)
    drawn = draw_card(lab, 6, Look(pitch=pitch))
    found = measure(drawn.pixels, drawn.lattice, card_of(lab))
    assert any("is coarse" in line for line in found.warnings) == said


def test_shine_and_gaps_do_not_move_the_colour() -> None:
    """A third of the field shines or lies in shade; the mean would be several ΔE00 off."""
    lab = threads(24)
    drawn = draw_card(lab, 6, Look(shine=0.18, gaps=0.16, cast=PLAIN, noise=1))
    fields = look_at_fields(drawn.pixels, drawn.lattice)
    assert ciede2000(srgb_to_lab(fields.rgb), lab).mean() < 0.6


def test_settings_that_make_no_sense_are_refused() -> None:
    with pytest.raises(ValueError, match="inner"):
        FieldSettings(inner=0)
