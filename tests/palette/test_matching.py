"""Threads for a chart: nearest, distinct, in order, few, owned first, as the key says."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartscan.chart import Chart, ChartClass, Kind, Part
from chartscan.colour import (
    ciede2000,
    ciede2000_matrix,
    format_hex,
    lab_to_linear,
    lab_to_srgb,
    linear_to_lab,
    parse_hex,
    round_rgb,
    srgb_to_lab,
)
from chartscan.errors import MatchError
from chartscan.palette import MatchSettings, Owned, Palette, load_palette, match
from chartscan.palette.matching import TOLD
from chartscan.palette.thread import UNTOLD
from tests.palette.making import chart_of, palette_of_lab, random_lab, thread

REDS = ["#501018", "#8c1c28", "#c83040", "#e06a72", "#f0a8ac"]


def _xkcd() -> Palette:
    """The 949 colours of the XKCD colour survey, which matplotlib carries: a crowded range.

    R. Munroe, "Color Survey Results" (2010); its data are CC0 (from memory).
    """
    from matplotlib.colors import XKCD_COLORS

    return Palette(
        tuple(thread(name.removeprefix("xkcd:"), value) for name, value in XKCD_COLORS.items())
    )


def test_every_colour_gets_the_nearest_thread_of_a_crowded_palette() -> None:
    palette = _xkcd()
    rng = np.random.default_rng(1)
    colours = [format_hex(round_rgb(rgb)) for rgb in rng.integers(0, 256, (60, 3))]
    matches = match(chart_of(colours), palette).matches
    from skimage.color import deltaE_ciede2000

    wanted = srgb_to_lab([m.rgb or () for m in matches])
    delta_e = np.asarray(deltaE_ciede2000(wanted[:, None], palette.lab[None]))
    for row, found in zip(delta_e, matches, strict=True):
        ranked = np.sort(row)
        shown = [found.chosen.delta_e, *(c.delta_e for c in found.alternatives)]
        np.testing.assert_allclose(shown, ranked[:5], atol=1e-9)
        assert found.margin == pytest.approx(ranked[1] - ranked[0], abs=1e-9)


def test_the_crowded_palette_is_as_crowded_as_it_is_said_to_be() -> None:
    """382 pairs under 1.8 and 95 under 0.8, computed with scikit-image's CIEDE2000."""
    palette = _xkcd()
    delta_e = ciede2000_matrix(palette.lab, palette.lab)[np.triu_indices(949, 1)]
    assert (int((delta_e < 1.8).sum()), int((delta_e < 0.8).sum())) == (382, 95)


def test_a_colour_that_is_a_thread_gets_that_thread() -> None:
    """Every current thread of the sample range finds itself, at no difference."""
    palette = load_palette(Path("meadowline"))
    current = [t for t in palette.threads if t.status == "current"]
    matches = match(chart_of([format_hex(t.rgb) for t in current]), palette).matches
    assert [m.chosen.thread.code for m in matches] == [t.code for t in current]
    assert all(m.chosen.grade == "can't tell apart" and not m.chosen.direction for m in matches)


@settings(deadline=None)
@given(st.integers(0, 2**32 - 1), st.booleans(), st.booleans())
def test_the_order_of_the_palette_changes_nothing(seed: int, distinct: bool, few: bool) -> None:
    rng = np.random.default_rng(seed)
    palette = palette_of_lab(np.round(random_lab(30, seed), 0))
    mixed = Palette(tuple(palette.threads[i] for i in rng.permutation(30)))
    colours = [format_hex(round_rgb(lab_to_srgb(lab))) for lab in random_lab(8, seed + 1)]
    chosen = MatchSettings(distinct=distinct, at_most=3 if few and not distinct else None)
    assert match(chart_of(colours), palette, chosen) == match(chart_of(colours), mixed, chosen)


def test_two_colours_on_one_thread_are_told_and_kept_apart_when_asked() -> None:
    palette = Palette((thread("A", "#c02030"), thread("B", "#b01828"), thread("C", "#203060")))
    chart = chart_of(["#c02030", "#be2031"])
    plain = match(chart, palette)
    assert [m.chosen.thread.code for m in plain.matches] == ["A", "A"]
    assert "classes 1 and 2 fall on one thread, A" in plain.warnings
    apart = match(chart, palette, MatchSettings(distinct=True))
    assert sorted(m.chosen.thread.code for m in apart.matches) == ["A", "B"]
    assert not any("fall on one" in line for line in apart.warnings)


def test_distinct_threads_are_the_least_total_that_scipy_finds() -> None:
    from scipy.optimize import linear_sum_assignment
    from skimage.color import deltaE_ciede2000

    palette = palette_of_lab(random_lab(500, 1))
    colours = [format_hex(round_rgb(lab_to_srgb(lab))) for lab in random_lab(100, 2)]
    matches = match(chart_of(colours), palette, MatchSettings(distinct=True)).matches
    wanted = srgb_to_lab([m.rgb or () for m in matches])
    cost = np.asarray(deltaE_ciede2000(wanted[:, None], palette.lab[None]))
    least = cost[linear_sum_assignment(cost)].sum()
    assert sum(m.chosen.delta_e for m in matches) == pytest.approx(least, abs=1e-6)
    assert len({m.chosen.thread.code for m in matches}) == 100
    assert all(m.margin is not None and m.margin >= 0 for m in matches)


def test_backstitch_and_knots_share_the_thread_of_their_colour() -> None:
    palette = Palette((thread("A", "#c02030"), thread("B", "#b01828"), thread("C", "#101010")))
    chart = chart_of(
        ["#be2031", "#c02030", "#be2031", "#111111"], ["stitch", "stitch", "line", "knot"]
    )
    matches = match(chart, palette, MatchSettings(distinct=True)).matches
    codes = [m.chosen.thread.code for m in matches]
    assert codes[:2] == ["B", "A"]
    assert codes[2] == "B"  # though A is nearer to it
    assert codes[3] == "C"


def test_a_class_of_two_symbols_and_one_colour_may_not_share_when_distinct() -> None:
    chart = chart_of(["#c02030", "#c02030", "#c02030"])
    with pytest.raises(
        MatchError, match="3 colours can't each have a thread of their own out of 2"
    ):
        match(
            chart,
            Palette((thread("A", "#c02030"), thread("B", "#b01828"))),
            MatchSettings(distinct=True),
        )


def test_equally_near_threads_are_told() -> None:
    palette = Palette((thread("A", "#808080"), thread("B", "#7f8080"), thread("C", "#000000")))
    (line,) = match(chart_of(["#80807f"]), palette, MatchSettings(tie=1)).warnings
    assert line.startswith("class 1 (#80807f): A and B are equally near (ΔE 0.")


def test_of_many_ties_only_the_first_are_told_one_by_one() -> None:
    greys = [f"#{level:02x}{level:02x}{level:02x}" for level in range(20, 240, 20)]
    threads = [thread(f"{end}{grey}", grey) for grey in greys for end in "AB"]
    ties = [w for w in match(chart_of(greys), Palette(tuple(threads))).warnings if "equally" in w]
    assert len(ties) == 9
    assert ties[-1] == "3 more classes have two threads that are equally near"


def test_a_discontinued_thread_is_taken_only_where_enough_of_it_is_at_hand() -> None:
    old = thread("Old", "#c02030", status="discontinued", metres=8.0, strands=6)
    palette = Palette((old, thread("New", "#a02030")))
    chart = chart_of(["#c02030"])  # one stitch

    def taken(owned: Owned | None, discontinued: bool = False) -> str:
        return (
            match(chart, palette, MatchSettings(discontinued=discontinued), owned=owned)
            .matches[0]
            .chosen.thread.code
        )

    assert taken(None) == "New"
    assert taken(Owned()) == "New"
    assert taken(Owned({("", "Old"): 1})) == "Old"
    assert taken(Owned({}, {("", "Old"): 0.001})) == "New"  # 6 mm of strand for 26
    assert taken(None, discontinued=True) == "Old"


@pytest.mark.parametrize(
    ("kind", "takes_mm"), [("stitch", 26.0), ("line", 10 * 8.0), ("knot", 30.0)]
)
def test_a_rest_of_an_old_thread_is_taken_just_where_it_is_long_enough(
    kind: Kind, takes_mm: float
) -> None:
    """A full stitch takes 26 mm of strand, ten cells of backstitch 80, a knot 30.

    Two strands on 14 per inch: 2 · 8.76 mm at least (the bound of ``test_estimate``), two thirds of
    the thread ending up in crosses; backstitch 3 cells of 1.81 mm, two thirds again. The shares and
    the knot are common practice, no source.
    """
    old = thread("Old", "#c02030", status="discontinued", metres=8.0, strands=6)
    palette = Palette((old, thread("New", "#a02030")))
    chart = chart_of(["#c02030"], [kind])
    for rest_mm, code in ((takes_mm + 0.5, "Old"), (takes_mm - 0.5, "New")):
        owned = Owned({}, {("", "Old"): rest_mm / 6 / 1000})  # metres of put-up
        (found,) = match(chart, palette, owned=owned).matches
        assert found.chosen.thread.code == code


def test_a_part_stitch_takes_half_of_what_a_whole_one_does() -> None:
    """Three parts are a stitch and a half, 39 mm of strand: a rest of 36 mm runs out."""
    old = thread("Old", "#c02030", status="discontinued", metres=8.0, strands=6)
    palette = Palette((old, thread("New", "#a02030")))
    classes = (ChartClass(0, "empty"), ChartClass(1, "stitch", (192, 32, 48)))
    parts = tuple(Part(0, column, "triangle", "top left", 1) for column in range(3))
    chart = Chart(np.zeros((1, 3), dtype=np.int32), classes, parts=parts)
    for rest_mm, code in ((42.0, "Old"), (36.0, "New")):
        owned = Owned({}, {("", "Old"): rest_mm / 6 / 1000})
        (found,) = match(chart, palette, owned=owned).matches
        assert found.chosen.thread.code == code


def test_a_discontinued_thread_that_several_classes_use_up_is_told() -> None:
    old = thread("Old", "#c02030", status="discontinued", metres=8.0, strands=6)
    chart = chart_of(["#c02030", "#c02131"])  # 1 + 2 stitches, 26 mm each
    owned = Owned({}, {("", "Old"): 0.06 / 6})  # 60 mm: enough for either class alone
    warnings = match(chart, Palette((old, thread("New", "#a02030"))), owned=owned).warnings
    assert any("Old is discontinued, and 0.1 m of strand at hand may not" in w for w in warnings)


def test_a_palette_of_nothing_but_discontinued_threads_is_refused() -> None:
    palette = Palette((thread("Old", "#c02030", status="discontinued"),))
    with pytest.raises(MatchError, match="every thread of the palette is discontinued"):
        match(chart_of(["#c02030"]), palette)


def test_threads_at_hand_win_within_the_chosen_closeness() -> None:
    palette = Palette(
        (thread("Near", "#c02030"), thread("Mine", "#bc2232"), thread("Far", "#802030"))
    )
    owned = Owned({("", "Mine"): 1, ("", "Far"): 5})
    chart = chart_of(["#c02030"])

    def taken(within: float | None) -> str:
        chosen = MatchSettings(own_within=within)
        return match(chart, palette, chosen, owned=owned).matches[0].chosen.thread.code

    assert taken(None) == "Near"
    assert taken(0.1) == "Near"
    assert taken(2.0) == "Mine"
    found = match(chart, palette, MatchSettings(own_within=2.0), owned=owned).matches[0]
    assert found.chosen.owned == 1
    assert found.alternatives[0].thread.code == "Near"
    assert found.alternatives[0].owned == 0


def test_the_chosen_closeness_is_kept_to_the_hundredth() -> None:
    palette = Palette((thread("Near", "#c02030"), thread("Mine", "#c02638")))
    chart, owned = chart_of(["#b83828"]), Owned({("", "Mine"): 1})
    away = match(chart, palette).matches[0].alternatives[0].delta_e
    for within, code in ((away - 0.01, "Near"), (away + 0.01, "Mine")):
        chosen = MatchSettings(own_within=within)
        assert match(chart, palette, chosen, owned=owned).matches[0].chosen.thread.code == code


def test_of_threads_of_one_colour_the_first_by_line_and_code_is_taken() -> None:
    twins = [
        thread("B", "#c02030", line="Hill"), thread("A", "#c02030", line="Hill"),
        thread("Z", "#c02030", line="Dale"),
    ]  # fmt: skip
    for order in (twins, twins[::-1]):
        (found,) = match(chart_of(["#c02030"]), Palette(tuple(order))).matches
        assert [c.thread.code for c in (found.chosen, *found.alternatives)] == ["Z", "A", "B"]


def test_among_threads_at_hand_the_nearer_one_wins() -> None:
    palette = Palette((thread("A", "#bc2232"), thread("B", "#be2131"), thread("C", "#c02030")))
    owned = Owned({("", "A"): 9, ("", "B"): 1})
    found = match(chart_of(["#c02030"]), palette, MatchSettings(own_within=3), owned=owned)
    assert found.matches[0].chosen.thread.code == "B"


def test_shades_in_the_wrong_order_are_told_and_put_in_order_when_asked() -> None:
    dark, light = srgb_to_lab([[200, 48, 64], [224, 106, 114]]).tolist()  # L* 45 and 59
    palette = palette_of_lab([[53.5, *dark[1:]], [52.5, *light[1:]], [67.0, *light[1:]]])
    chart = chart_of(["#c83040", "#e06a72"])
    plain = match(chart, palette)
    assert [m.chosen.thread.code for m in plain.matches] == ["T000", "T001"]
    told = "class 1 is darker than class 2 by 14.0 in lightness, but its thread T000 is lighter"
    assert any(w.startswith(f"{told} than T001") for w in plain.warnings)
    kept = match(chart, palette, MatchSettings(keep_shades=True))
    assert [m.chosen.thread.code for m in kept.matches] == ["T000", "T002"]
    assert not any("is darker than" in w for w in kept.warnings)
    before = [m.margin for m in plain.matches]
    assert [m.margin for m in kept.matches] == [before[0], None], "of what was chosen as nearest"
    (note,) = kept.notes
    assert "class 2 (#e06a72) takes T002 instead of T001 to keep the shades in order" in note


def test_the_step_that_a_poor_palette_loses_is_named() -> None:
    palette = Palette((thread("Dark", "#501018"), thread("Mid", "#c83040")))
    found = match(chart_of(REDS), palette, MatchSettings(keep_shades=True))
    lost = [w for w in found.warnings if " is darker than class " in w]
    assert len(lost) >= 3
    assert all(w.endswith((", but both get Dark", ", but both get Mid")) for w in lost)


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 2**32 - 1), st.booleans())
def test_kept_shades_lose_no_more_steps_than_the_nearest_threads_do(
    seed: int, distinct: bool
) -> None:
    palette = palette_of_lab(random_lab(60, seed))

    def lost(keep: bool) -> int:
        chosen = MatchSettings(keep_shades=keep, distinct=distinct)
        found = match(chart_of(REDS), palette, chosen)
        made = np.diff([m.chosen.thread.lab[0] for m in found.matches])
        return int((made < 2).sum())

    assert lost(True) <= lost(False)


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 2**32 - 1))
def test_in_order_and_distinct_no_thread_is_given_twice(seed: int) -> None:
    """A narrow palette, so that groups of shades want each other's threads."""
    palette = palette_of_lab(random_lab(24, seed) * [1, 0.3, 0.3])
    colours = [format_hex(round_rgb(rgb)) for rgb in lab_to_srgb(random_lab(12, seed + 1))]
    found = match(chart_of(colours), palette, MatchSettings(distinct=True, keep_shades=True))
    assert len({m.chosen.thread.code for m in found.matches}) == 12


@settings(deadline=None, max_examples=30)
@given(st.integers(0, 2**32 - 1))
def test_in_order_and_distinct_is_the_least_of_its_own_cost_over_all_hues_together(
    seed: int,
) -> None:
    """By trying every way to give seven threads to three reds and two blues, dark to light.

    By hand: ΔE00, and 5 for each lost step. A step of 1 or more needs half of itself in thread, 2
    at most.
    """
    colours = ["#64141e", "#aa2837", "#e06a72", "#1e2864", "#4a64be"]
    lab = srgb_to_lab([parse_hex(c) for c in colours])
    rng = np.random.default_rng(seed)
    pool = lab[rng.integers(0, 5, 7)] + rng.normal(0, 7, (7, 3))
    palette = palette_of_lab(np.clip(pool, [5, -90, -90], [95, 90, 90]))
    apart = ciede2000_matrix(lab, palette.lab)

    def cost(threads: Sequence[int]) -> float:
        lost = 0
        for dark, light in ((0, 1), (1, 2), (3, 4)):
            least = min(2.0, (lab[light, 0] - lab[dark, 0]) / 2)
            made = palette.lab[threads[light], 0] - palette.lab[threads[dark], 0]
            lost += bool(made < least)
        return float(apart[range(5), threads].sum()) + 5.0 * lost

    found = match(chart_of(colours), palette, MatchSettings(distinct=True, keep_shades=True))
    taken = [int(m.chosen.thread.code[1:]) for m in found.matches]
    assert len(set(taken)) == 5
    assert cost(taken) == pytest.approx(min(map(cost, itertools.permutations(range(7), 5))))


def test_few_threads_are_used_and_each_merge_is_told_with_its_stitches() -> None:
    palette = Palette(tuple(thread(f"R{i}", colour) for i, colour in enumerate(REDS)))
    found = match(chart_of(REDS), palette, MatchSettings(at_most=2))
    codes = [m.chosen.thread.code for m in found.matches]
    assert len(set(codes)) == 2
    merges = [w for w in found.warnings if "instead of" in w]
    assert len(merges) == sum(code != f"R{i}" for i, code in enumerate(codes)) == 3
    assert any("becomes" in w and "stitches" in w and "shared with class" in w for w in merges)


def test_keyed_classes_get_their_thread_and_symbols_without_colour_are_told_to_need_one() -> None:
    palette = Palette((thread("A", "#c02030"), thread("B", "#203060")))
    chart = chart_of(["#c02030", None])
    untold = match(chart, palette)
    assert [m.chosen.thread.told for m in untold.matches] == [True, False]
    assert untold.matches[1].chosen.grade == UNTOLD
    assert "no thread is told for class 2" in untold.warnings[0]
    found = match(chart, palette, key={2: palette.threads[1]}).matches
    assert [m.chosen.thread.code for m in found] == ["A", "B"]
    assert (found[1].keyed, found[1].rgb, found[1].chosen.grade) == (True, None, TOLD)


def test_a_keyed_thread_is_not_given_to_another_class_when_distinct() -> None:
    palette = Palette((thread("A", "#c02030"), thread("B", "#b01828"), thread("C", "#203060")))
    found = match(
        chart_of(["#203060", "#c02030"]), palette, MatchSettings(distinct=True),
        key={1: palette.threads[0]},
    )  # fmt: skip
    assert [m.chosen.thread.code for m in found.matches] == ["A", "B"]


def test_a_key_for_every_class_leaves_nothing_to_match() -> None:
    palette = Palette((thread("A", "#c02030"),))
    found = match(
        chart_of([None, None]), palette, key={1: palette.threads[0], 2: palette.threads[0]}
    )
    assert "classes 1 and 2 fall on one thread, A" in found.warnings


def test_a_chart_without_stitches_has_no_matches() -> None:
    found = match(chart_of([]), load_palette(Path("meadowline")), MatchSettings(distinct=True))
    assert found.matches == ()


def _printed_darker(palette: Palette, codes: list[str]) -> list[str]:
    """The colours of these threads as a print that lost a third of its light shows them."""
    from chartscan.colour import lab_to_linear, linear_to_srgb

    by_code = {t.code: t for t in palette.threads}
    light = lab_to_linear([by_code[code].lab for code in codes]) * np.array([0.62, 0.6, 0.5])
    return [format_hex(round_rgb(rgb)) for rgb in linear_to_srgb(light)]


def test_colours_learnt_from_keyed_classes_bring_the_others_to_their_threads() -> None:
    palette = load_palette(Path("meadowline"))
    codes = ["EMB5", "BRO4", "GRA4", "BUT3", "FOX1", "SLA3", "BIL3", "CHA4", "HAW3", "HAR4", "OLI2"]
    codes = [
        c for c in codes if any(t.code == c and t.status == "current" for t in palette.threads)
    ]
    chart = chart_of(_printed_darker(palette, codes))
    by_code = {t.code: t for t in palette.threads}
    key = {i: by_code[code] for i, code in enumerate(codes[:4], 1)}

    def right(as_printed: bool) -> int:
        found = match(chart, palette, MatchSettings(as_printed=as_printed), key)
        assert bool(found.notes) != as_printed
        assert all((m.corrected is None) == (as_printed or m.keyed) for m in found.matches)
        return sum(
            m.chosen.thread.code == c for m, c in zip(found.matches[4:], codes[4:], strict=True)
        )

    assert right(as_printed=False) == len(codes) - 4
    assert right(as_printed=True) < len(codes) - 4
    every = {i: by_code[code] for i, code in enumerate(codes, 1)}
    assert match(chart, palette, key=every).notes == (), "nothing is left to correct"


@pytest.mark.parametrize("printed", ["#0000", "#0001", "#000000"])
def test_a_key_that_teaches_nothing_is_no_hindrance(printed: str) -> None:
    """Keyed classes without red or green, or all black, bear no correction."""
    palette = Palette((thread("A", "#2020c0"), thread("B", "#101070"), thread("C", "#c02030")))
    first, second = (printed + "ff", printed + "99") if len(printed) == 5 else (printed, printed)
    key = {1: palette.threads[0], 2: palette.threads[1]}
    found = match(chart_of([first, second, "#c02030"]), palette, key=key)
    assert [m.chosen.thread.code for m in found.matches] == ["A", "B", "C"]


@pytest.mark.parametrize(("light", "learnt"), [(0.985, False), (0.9, True)])
def test_only_a_difference_that_shows_is_learnt(light: float, learnt: bool) -> None:
    """A print short of light by 1.5 % is ΔE 0.3 to 0.5 off, by 10 % ΔE 2 to 4."""
    from chartscan.colour import lab_to_linear, linear_to_srgb

    palette = load_palette(Path("meadowline"))
    threads = [t for t in palette.threads if t.status == "current"][::30]
    printed = linear_to_srgb(lab_to_linear([t.lab for t in threads]) * light)
    chart = chart_of([format_hex(round_rgb(rgb)) for rgb in printed])
    found = match(chart, palette, key=dict(enumerate(threads[:5], 1)))
    assert bool(found.notes) == learnt


def test_threads_that_no_one_light_explains_teach_nothing() -> None:
    """The key says lighter for one colour and darker for the next: that is taste, not printing."""
    palette = Palette(
        (
            thread("A", "#d05060"),
            thread("B", "#183058"),
            thread("C", "#60b050"),
            thread("D", "#886030"),
        )
    )
    key = dict(enumerate(palette.threads[:3], 1))
    found = match(chart_of(["#a03040", "#305890", "#207020", "#886030"]), palette, key=key)
    assert (found.notes, found.matches[3].corrected) == ((), None)
    assert found.matches[3].chosen.thread.code == "D"


def test_a_key_that_agrees_with_the_chart_teaches_nothing() -> None:
    palette = load_palette(Path("meadowline"))
    threads = [t for t in palette.threads if t.status == "current"][::40]
    chart = chart_of([format_hex(t.rgb) for t in threads])
    found = match(chart, palette, key=dict(enumerate(threads[:4], 1)))
    assert found.notes == ()


def test_a_variegated_thread_is_said_to_be_matched_by_its_mean() -> None:
    palette = Palette((replace(thread("V", "#777777"), colours=((0, 0, 0), (255, 255, 255))),))
    assert match(chart_of(["#777777"]), palette).notes == (
        "V is variegated: matched by the mean of its 2 colours, which are up to ΔE 100 apart",
    )


@pytest.mark.parametrize(
    ("chosen", "reason"),
    [
        ({"at_most": 0}, "at most 0 threads"),
        ({"at_most": 3, "distinct": True}, "can't go together"),
        ({"own_within": -1.0}, "can't be below 0"),
        ({"own_within": float("nan")}, "can't be below 0"),
    ],
)
def test_settings_that_make_no_sense_are_refused(chosen: dict[str, float], reason: str) -> None:
    with pytest.raises(MatchError, match=reason):
        MatchSettings(**chosen)  # type: ignore[arg-type]  # of each field's own type


def test_a_thread_of_another_colour_is_warned_of_first_the_worst_on_top() -> None:
    """Three pure colours for a chart of fifteen: ten are told, the rest counted."""
    chart = chart_of([f"#{k * 16:02x}{255 - k * 16:02x}80" for k in range(15)])
    pure = Palette(tuple(thread(c, c) for c in ("#ff0000", "#00ff00", "#0000ff")))
    found = match(chart, pure)
    far = [m.chosen.delta_e for m in found.matches if m.chosen.delta_e > 5]
    told = [w for w in found.warnings if "is another colour" in w]
    assert list(found.warnings[:10]) == told
    assert len(far) == 15
    assert f"ΔE {max(far):.1f}" in told[0]
    assert "no thread of the range comes nearer" in told[0]
    assert found.warnings[10] == "5 more classes get a thread of another colour"


def test_what_can_not_be_bought_is_no_nearer_thread() -> None:
    """The range has a discontinued one that is all but right; nobody can get it."""
    palette = Palette((thread("Rose", "#ee6677"), thread("Gone", "#45fb74", status="discontinued")))
    (told,) = match(chart_of(["#45fb75"]), palette).warnings
    assert "Rose is another colour" in told
    assert "no thread of the range comes nearer than" in told
    taken = match(chart_of(["#45fb75"]), palette, MatchSettings(discontinued=True))
    assert taken.matches[0].chosen.thread.code == "Gone"


def test_a_nearer_thread_than_the_key_names_is_told_of() -> None:
    """A brown for a deep blue is taken as told, and said."""
    palette = Palette((thread("Brown", "#6b4423"), thread("Blue", "#102a6b")))
    found = match(chart_of(["#102a6c"]), palette, key={1: palette.threads[0]})
    assert found.matches[0].chosen.thread.code == "Brown"
    assert found.warnings[0].startswith("class 1: Brown is another colour")
    assert "Blue comes within 0." in found.warnings[0]


def test_a_blend_is_held_against_the_colour_and_teaches_nothing() -> None:
    """The mean of both in linear light; the classes that aren't named are matched as printed."""
    palette = Palette((thread("R", "#aa2020"), thread("B", "#2020aa")))
    chart = chart_of(["#793279", "#aa2020"])
    found = match(chart, palette, key={1: palette.threads[0]}, partners={1: palette.threads[1]})
    mixed = found.matches[0]
    assert mixed.blended == palette.threads[1]
    mean = lab_to_linear([t.lab for t in palette.threads]).mean(axis=0)
    wanted = ciede2000(srgb_to_lab((0x79, 0x32, 0x79)), linear_to_lab(mean))
    assert mixed.chosen.delta_e == pytest.approx(float(wanted))
    assert found.matches[1].corrected is None
