"""Two palettes side by side, and one looked over."""

from __future__ import annotations

import warnings
from dataclasses import replace

import numpy as np
import pytest

from chartscan.colour import ciede2000, srgb_to_lab
from chartscan.errors import MatchError
from chartscan.palette import twins as twins_of
from chartscan.palette.compare import beyond_screen, compare_palettes
from chartscan.palette.thread import Palette, Thread
from chartscan.palette.twins import find_twins
from chartscan.remedies import Remedy


def thread(code: str, lab: tuple[float, float, float], line: str = "") -> Thread:
    return Thread(code, "", lab, (0, 0, 0), line)


def test_palettes_are_compared_by_code_whatever_their_order() -> None:
    first = Palette(tuple(thread(f"A{i}", (40.0 + i, 5.0, 5.0)) for i in range(20)), "first")
    moved = [replace(t, lab=(t.lab[0] + i / 10, 5.0, 5.0)) for i, t in enumerate(first.threads)]
    second = Palette((*reversed(moved[:18]), thread("B1", (50.0, 0.0, 0.0))), "second")
    result = compare_palettes(first, second)
    known = np.array(
        [
            float(ciede2000(np.array([first.threads[i].lab]), np.array([moved[i].lab]))[0])
            for i in range(18)
        ]
    )
    assert result.mean == pytest.approx(known.mean())
    assert result.percentile_95 == pytest.approx(np.quantile(known, 0.95))
    assert result.largest == pytest.approx(known.max())
    assert [t.code for t in result.only_first] == ["A18", "A19"]
    assert [t.code for t in result.only_second] == ["B1"]
    assert result.threads[0].first.code == "A17"
    assert result.threads[0].direction == "lighter"
    assert result.threads[-1].delta_e == 0


def test_a_palette_without_lines_is_compared_by_the_code_alone() -> None:
    lined = Palette((thread("1", (50.0, 0.0, 0.0), "Heath"),), "lined")
    plain = Palette((thread("1", (51.0, 0.0, 0.0)),), "plain")
    assert len(compare_palettes(lined, plain).threads) == 1
    twice = Palette((*lined.threads, thread("1", (20.0, 0.0, 0.0), "Moor")), "twice")
    with pytest.raises(MatchError, match="twice: code 1 stands in several lines"):
        compare_palettes(twice, plain)
    assert len(compare_palettes(twice, lined).threads) == 1


def test_palettes_without_a_common_code_are_refused() -> None:
    with pytest.raises(MatchError, match="one and other have no code in common"):
        compare_palettes(
            Palette((thread("1", (50.0, 0.0, 0.0)),), "one"),
            Palette((thread("2", (50.0, 0.0, 0.0)),), "other"),
        )


def named_colours(table: str) -> Palette:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import matplotlib.colors as known
    colours = dict(getattr(known, table))
    rgb = np.array([[int(c[i : i + 2], 16) for i in (1, 3, 5)] for c in colours.values()])
    lab = srgb_to_lab(rgb)
    return Palette(
        tuple(
            thread(name, (float(x), float(y), float(z)))
            for name, (x, y, z) in zip(colours, lab, strict=True)
        ),
        table,
    )


def test_the_survey_colours_crowd_as_known() -> None:
    """XKCD colour survey, by way of matplotlib; counted with scikit-image's CIEDE2000.

    Of 949 colours 382 pairs lie within 1.8 of each other, 95 within 0.8; the nearest are 0.047
    apart.
    """
    palette = named_colours("XKCD_COLORS")
    twins = find_twins(palette, 1.8)
    assert len(palette.threads) == 949
    assert len(twins) == 382
    assert sum(t.delta_e < 0.8 for t in twins) == 95
    assert twins[0].delta_e == pytest.approx(0.047, abs=5e-4)


def test_named_web_colours_hold_nine_written_twice_and_one_pair_of_near_twins() -> None:
    """W3C CSS Color 4: 148 names for 139 colours; 7cfc00 and 7fff00 are 0.6518 apart."""
    twins = find_twins(named_colours("CSS4_COLORS"), 1.0)
    assert sum(t.same for t in twins) == 9
    (near,) = [t for t in twins if not t.same]
    assert near.delta_e == pytest.approx(0.6518, abs=5e-4)
    assert {near.first.code, near.second.code} == {"lawngreen", "chartreuse"}


def test_variegated_threads_are_nobodys_twins() -> None:
    plain = thread("1", (50.0, 0.0, 0.0))
    mixed = replace(plain, code="2", colours=((10, 10, 10), (200, 200, 200)))
    assert find_twins(Palette((plain, mixed)), 5) == ()


def test_colours_that_no_screen_shows_are_found() -> None:
    inside = thread("in", (53.24, 80.09, 67.2))  # sRGB red, rounded
    outside = thread("out", (60.0, -70.0, -40.0))
    assert [t.code for t in beyond_screen(Palette((inside, outside)))] == ["out"]
    assert beyond_screen(Palette(())) == ()


@pytest.mark.parametrize("within", [0.8, 3, 20])
@pytest.mark.parametrize("middle", [(50, 0, 0), (35, 40, -90), (60, 90, 70), (0.5, 0, 0)])
def test_twins_are_those_of_every_pair_compared(
    monkeypatch: pytest.MonkeyPatch, within: float, middle: tuple[float, float, float]
) -> None:
    """Block by block, and only what is within reach: greys, strong blues and reds, near black."""
    monkeypatch.setattr(twins_of, "_CANDIDATES", 7)
    dice = np.random.default_rng(41)
    lab = middle + dice.uniform((-20, -40, -40), (20, 40, 40), (60, 3))
    lab[30:] = lab[:30] + dice.normal(0, within / 2, (30, 3)) * (1, 2, 2)
    lab[:, 0] = lab[:, 0].clip(0, 100)
    threads = tuple(
        thread(f"T{i}", (float(r[0]), float(r[1]), float(r[2]))) for i, r in enumerate(lab)
    )
    found = find_twins(Palette(threads, "drawn"), within)
    wanted = sorted(
        delta_e
        for i in range(60)
        for j in range(i)
        if (delta_e := float(ciede2000(lab[i], lab[j]))) <= within
    )
    assert len(wanted) >= 5
    assert [twins.delta_e for twins in found] == pytest.approx(wanted)
    assert all(t.first.code != t.second.code for t in found)


def test_a_colour_written_often_makes_a_pair_of_each_two() -> None:
    threads = [thread(f"T{n}", (50.0, 10.0, 10.0)) for n in range(30)]
    near = thread("N", (50.1, 10.0, 10.0))
    found = find_twins(Palette((*threads, near)), 0.8)
    assert [(t.first.code, t.second.code) for t in found[:2]] == [("T0", "T1"), ("T0", "T2")]
    assert len(found) == 30 * 29 // 2 + 30
    assert sum(t.same for t in found) == 30 * 29 // 2


def test_more_twins_than_anybody_reads_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(twins_of, "MOST_PAIRS", 10)
    threads = tuple(thread(f"T{n}", (50.0 + n / 100, 0.0, 0.0)) for n in range(20))
    with pytest.raises(MatchError, match="pairs are within") as refused:
        find_twins(Palette(threads), 0.8)
    assert refused.value.remedies == (Remedy.NARROWER,)
