"""Blends: the exact best of all pairs, a stated model, and what is offered of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.colour import ciede2000, lab_to_srgb, lab_to_xyz, srgb_to_lab, xyz_to_lab
from chartscan.errors import MatchError
from chartscan.palette.blend import (
    BlendSettings,
    find_blends,
    mix_pairs,
    nearest_pairs,
)
from chartscan.palette.ownership import Owned
from chartscan.palette.thread import Palette, Thread

Array = NDArray[np.float64]
Colours = NDArray[np.float64] | NDArray[np.int64]


def threads_of(rgb: Colours) -> tuple[Thread, ...]:
    lab = srgb_to_lab(rgb)
    return tuple(
        Thread(
            f"T{i}",
            "",
            (float(lab[i, 0]), float(lab[i, 1]), float(lab[i, 2])),
            (int(rgb[i, 0]), int(rgb[i, 1]), int(rgb[i, 2])),
        )
        for i in range(len(rgb))
    )


def palette_of(rgb: Colours) -> Palette:
    return Palette(threads_of(rgb), "drawn")


def brute_force(aim: Array, lab: Array, count: int) -> Array:
    """ΔE00 of the nearest pairs, every pair worked out in XYZ; shares no code with the search."""
    first, second = np.triu_indices(len(lab), 1)
    xyz = lab_to_xyz(lab)
    mixed = xyz_to_lab((xyz[first] + xyz[second]) / 2)
    return np.sort(ciede2000(mixed, aim))[:count]


def test_a_blend_is_the_mean_of_its_strands_in_linear_light() -> None:
    """Black and white give sRGB 188, the well-known half-tone: 1.055 × 0.5^(1/2.4) - 0.055."""
    pairs = mix_pairs(srgb_to_lab([[0, 0, 0], [255, 255, 255]]))
    np.testing.assert_allclose(lab_to_srgb(pairs.lab[0]), [187.516] * 3, atol=0.01)


@given(
    seed=st.integers(0, 10_000),
    low=st.integers(0, 120),
    high=st.integers(130, 255),
    count=st.integers(1, 4),
    aim=st.tuples(st.floats(0, 100), st.floats(-90, 90), st.floats(-110, 90)),
)
@settings(max_examples=60, deadline=None)
def test_the_search_finds_what_brute_force_finds(
    seed: int, low: int, high: int, count: int, aim: tuple[float, float, float]
) -> None:
    lab = srgb_to_lab(np.random.default_rng(seed).integers(low, high + 1, (40, 3)))
    places, delta_e = nearest_pairs(np.array(aim), mix_pairs(lab), count)
    np.testing.assert_allclose(delta_e, brute_force(np.array(aim), lab, count), atol=1e-9)
    assert len(set(places.tolist())) == count


def test_the_search_is_exact_in_the_blues_where_chroma_and_hue_turn_together() -> None:
    """There R_T takes most off, and the bound with it."""
    rng = np.random.default_rng(11)
    lab = np.stack(
        [rng.uniform(20, 60, 60), rng.uniform(-20, 40, 60), rng.uniform(-90, -40, 60)], axis=1
    )
    for aim in np.stack(
        [rng.uniform(10, 70, 40), rng.uniform(-30, 60, 40), rng.uniform(-110, -20, 40)], axis=1
    ):
        _, delta_e = nearest_pairs(aim, mix_pairs(lab), 3)
        np.testing.assert_allclose(delta_e, brute_force(aim, lab, 3), atol=1e-9)


def test_a_colour_that_a_pair_hits_exactly_is_found_at_zero() -> None:
    lab = srgb_to_lab(np.random.default_rng(2).integers(0, 256, (50, 3)))
    pairs = mix_pairs(lab)
    for place in (0, 17, len(pairs.lab) - 1):
        found, delta_e = nearest_pairs(pairs.lab[place], pairs, 1)
        assert delta_e[0] < 1e-6
        np.testing.assert_allclose(pairs.lab[found[0]], pairs.lab[place], atol=1e-9)


def test_fewer_pairs_than_asked_for_are_all_given() -> None:
    pairs = mix_pairs(srgb_to_lab([[10, 10, 10], [200, 0, 0], [0, 200, 0]]))
    places, delta_e = nearest_pairs(np.array([50.0, 0, 0]), pairs, 10)
    assert sorted(places.tolist()) == [0, 1, 2]
    assert (np.diff(delta_e) >= 0).all()
    none = mix_pairs(srgb_to_lab([[10, 10, 10], [200, 0, 0]]), np.zeros((2, 2), dtype=bool))
    assert len(nearest_pairs(np.array([50.0, 0, 0]), none, 3)[0]) == 0


GREENS = np.array([[60, 100, 60], [90, 130, 90], [120, 160, 120], [200, 40, 40], [75, 115, 74]])


def test_a_blend_is_offered_only_if_it_gains_what_is_asked() -> None:
    between = srgb_to_lab([[106, 146, 106]])
    palette = palette_of(GREENS)
    (found,) = find_blends(between, palette, settings=BlendSettings(gain=1.0))
    assert {found.blends[0].first.code, found.blends[0].second.code} == {"T1", "T2"}
    best = found.blends[0]
    assert best.gain == pytest.approx(found.single_delta_e - best.delta_e)
    assert best.gain >= 1.0
    (strict,) = find_blends(between, palette, settings=BlendSettings(gain=best.gain + 0.01))
    assert strict.blends == ()


def test_threads_far_apart_are_not_blended_however_near_they_come() -> None:
    """Green and red make this olive; side by side they look tweedy."""
    palette = palette_of(np.array([[60, 130, 60], [200, 40, 40], [20, 20, 20]]))
    wanted = mix_pairs(palette.lab).lab[-1:]
    (wide,) = find_blends(wanted, palette, settings=BlendSettings(contrast=100))
    (usual,) = find_blends(wanted, palette)
    assert wide.blends[0].delta_e < 0.1
    assert wide.blends[0].contrast > 12
    assert usual.blends == ()


def test_blends_of_owned_threads_come_first_though_others_are_nearer() -> None:
    rng = np.random.default_rng(6)
    palette = palette_of(rng.integers(90, 150, (60, 3)))
    owned = Owned({("", f"T{i}"): 1.0 for i in range(0, 60, 3)})
    wanted = srgb_to_lab(rng.uniform(80, 160, (12, 3)))
    offered = find_blends(wanted, palette, owned, BlendSettings(gain=0.3))
    marks = [[b.owned for b in found.blends] for found in offered]
    assert any(True in m and False in m for m in marks)
    for found, marked in zip(offered, marks, strict=True):
        assert marked == sorted(marked, key=lambda have: not have)
        for one in found.blends:
            both = all(owned.of(t) > 0 for t in (one.first, one.second))
            assert one.owned == both
        for have in (True, False):
            same = [b.delta_e for b in found.blends if b.owned is have]
            assert same == sorted(same)


def test_undivided_variegated_and_vanished_threads_take_no_part() -> None:
    plain, single, mixed, gone = threads_of(GREENS[:4])
    palette = Palette(
        (
            plain,
            replace(single, strands=1),
            replace(mixed, colours=((1, 2, 3), (4, 5, 6))),
            replace(gone, status="discontinued"),
        ),
        "P",
    )
    with pytest.raises(MatchError, match=r"P: a blend takes two threads .* there is 1"):
        find_blends([[50, 0, 0]], palette)
    (found,) = find_blends(
        [[50, 0, 0]], palette, Owned({("", "T3"): 0.5}), BlendSettings(gain=0, contrast=200)
    )
    assert {t.code for b in found.blends for t in (b.first, b.second)} <= {"T0", "T3"}


def test_the_order_of_the_palette_changes_nothing() -> None:
    rng = np.random.default_rng(9)
    threads = threads_of(rng.integers(60, 180, (40, 3)))
    wanted = srgb_to_lab(rng.uniform(60, 180, (5, 3)))
    loose = BlendSettings(gain=0)
    one = find_blends(wanted, Palette(threads), settings=loose)
    other = find_blends(wanted, Palette(threads[::-1]), settings=loose)
    for a, b in zip(one, other, strict=True):
        assert [{x.first.code, x.second.code} for x in a.blends] == [
            {x.first.code, x.second.code} for x in b.blends
        ]


def test_settings_that_make_no_sense_are_refused() -> None:
    with pytest.raises(ValueError, match="gain"):
        BlendSettings(gain=-1)
    with pytest.raises(ValueError, match="above 0"):
        BlendSettings(count=0)
