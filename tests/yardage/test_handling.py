"""A thread is worked by what it is: cut, tail, strands and hand of its own, cross by cross."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from chartscan.errors import TableError, YardageError
from chartscan.palette.load import load_palette
from chartscan.stash.kit import supply
from chartscan.yardage import EstimateSettings, Requirement, Supply, estimate, make_fabric
from chartscan.yardage.handling import Handling, thickness
from tests.yardage.conftest import MakeChart

USUAL = EstimateSettings(strands=2)
PLAIN = Handling()
BLOCK = "/".join(["X" * 30] * 20)


def _one(
    make_chart: MakeChart,
    handling: Handling = PLAIN,
    told: EstimateSettings = USUAL,
    divides: int = 6,
    pattern: str = BLOCK,
) -> Requirement:
    sold = {1: Supply(8, divides, handling=handling)}
    (found,) = estimate(make_chart(pattern), make_fabric(14), told, sold).threads
    return found


def test_cut_and_tail_of_one_thread_are_as_those_of_all_for_it_alone(make_chart: MakeChart) -> None:
    """What a thread is cut to goes before what is usual, what a class is told before both."""
    own = _one(make_chart, Handling(working_mm=300, needle_mm=60))
    assert own == _one(make_chart, told=replace(USUAL, working_mm=300, needle_mm=60))
    assert own.pieces > _one(make_chart).pieces
    told = replace(USUAL, class_working_mm={1: 350}, class_needle_mm={1: 90})
    assert _one(make_chart, Handling(working_mm=300, needle_mm=60), told) == _one(
        make_chart, told=replace(USUAL, working_mm=350, needle_mm=90)
    )


def test_a_delicate_thread_is_cut_no_longer_than_12_inches(make_chart: MakeChart) -> None:
    """Wool and delicate threads: 12 in (common practice, no source); a shorter cut stays short."""
    shorter = Handling(longest_mm=300)
    assert _one(make_chart, shorter) == _one(make_chart, told=replace(USUAL, working_mm=300))
    short = replace(USUAL, working_mm=250)
    assert _one(make_chart, shorter, short) == _one(make_chart, told=short)


def test_a_thread_that_takes_more_takes_it_in_length_spread_and_skeins(
    make_chart: MakeChart,
) -> None:
    plain, more = _one(make_chart), _one(make_chart, Handling(hand=1.25))
    for name in ("low", "likely", "high"):
        assert getattr(more.length_mm, name) == pytest.approx(1.25 * getattr(plain.length_mm, name))
    assert more.least_mm == plain.least_mm
    assert more == _one(make_chart, told=replace(USUAL, class_hand={1: 1.25}))
    assert sum(t.mm for t in more.terms) == pytest.approx(more.length_mm.likely)


def test_a_variegated_thread_is_worked_cross_by_cross_and_never_folded(
    make_chart: MakeChart,
) -> None:
    crosswise = replace(USUAL, order="crosses", loop_start=False)
    assert _one(make_chart, Handling(cross_by_cross=True)) == _one(make_chart, told=crosswise)
    assert _one(make_chart, told=crosswise).length_mm.likely > _one(make_chart).length_mm.likely


def test_only_its_own_class_is_worked_so(make_chart: MakeChart) -> None:
    chart = make_chart("112/122/112")
    both = {1: Supply(handling=Handling(cross_by_cross=True, working_mm=300)), 2: Supply()}
    first, second = estimate(chart, make_fabric(14), USUAL, both).threads
    plain = estimate(chart, make_fabric(14), USUAL).threads
    assert second.length_mm == plain[1].length_mm
    assert first.length_mm.likely > plain[0].length_mm.likely


def test_two_whole_strands_of_an_undivided_thread_go_into_one_needle(
    make_chart: MakeChart,
) -> None:
    """They take twice the length; what a put-up holds stays one strand."""
    plain = replace(USUAL, loop_start=False, strands=None)
    one = _one(make_chart, told=plain, divides=1)
    two = _one(make_chart, Handling(strands=2), plain, divides=1)
    assert (one.strands, two.strands) == (1, 2)
    assert two.least_mm == 2 * one.least_mm
    assert (one.put_up_mm, two.put_up_mm) == (8000, 8000)
    assert two.skeins in (2 * one.skeins - 1, 2 * one.skeins)
    with pytest.raises(YardageError, match=r"5 strands for class 1: its thread isn't divided"):
        _one(make_chart, told=replace(USUAL, strands=5), divides=1)


@pytest.mark.parametrize(
    ("size", "count", "strands", "said"),
    [
        (5, 10, 1, ""),
        (5, 12, 1, ""),
        (5, 14, 1, "too thick for 14 stitches per inch; size 8 suits it"),
        (5, 20, 1, "too thick for 20 stitches per inch; size 12 suits it"),
        (5, 6, 1, "thin for 6 stitches per inch; two cover it"),
        (8, 16, 1, ""),
        (8, 12, 1, ""),
        (8, 10, 1, "thin for 10 stitches per inch; size 5 suits it, or two in the needle"),
        (8, 10, 2, ""),
        (8, 18, 2, "too thick for 18 stitches per inch; size 12 suits it"),
        (12, 22, 1, ""),
        (12, 25, 1, "too thick for 25 stitches per inch"),
        (12, 14, 1, "thin for 14 stitches per inch; size 8 suits it, or two in the needle"),
        (3, 14, 1, ""),
    ],
)
def test_pearl_of_a_size_suits_some_counts(size: int, count: int, strands: int, said: str) -> None:
    """Size 5 on 8-11, 8 on 14-16, 12 on 18-22 per inch: common practice, no source."""
    assert thickness(size, strands, make_fabric(count)) == said


def test_cuts_that_can_not_be_are_refused_and_the_class_is_named(make_chart: MakeChart) -> None:
    with pytest.raises(YardageError, match=r"class 1: a working length of 100 mm leaves nothing"):
        _one(make_chart, Handling(working_mm=100))
    for told in ({"class_working_mm": {7: 300.0}}, {"class_hand": {0: 1.1}}):
        with pytest.raises(YardageError, match="which isn't worked"):
            _one(make_chart, told=replace(USUAL, **told))  # type: ignore[arg-type]  # any field
    with pytest.raises(YardageError, match=r"makes no sense; give 1\.1"):
        _one(make_chart, Handling(hand=0))


def test_a_range_says_how_each_of_its_threads_is_worked(tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_text(
        "code,hex,kind,size,yards,metres,strands,cut,tail,needle,hand\n"
        "A,#aa0000,,,8.75,,6,,,,\n"
        "B,#00aa00,pearl,8,,80,,,,2,\n"
        "C,#0000aa,metallic,,,20,1,,6cm,,1.15\n"
        "D,#aaaa00,silk,,,,,14in,,,\n"
        "E,#aa0000 #00aa00,,,,,,,,,\n",
        encoding="utf-8",
    )
    plain, pearl, metallic, silk, variegated = map(supply, load_palette(path).threads)
    assert plain.metres == pytest.approx(8.001)  # 8.75 yd, ISO: 1 yd is 0.9144 m
    assert (pearl.metres, pearl.strands, pearl.handling.strands) == (80, 1, 2)
    assert metallic.handling == Handling(longest_mm=300, needle_mm=60, hand=1.15)
    assert silk.handling.cut_from(450) == pytest.approx(14 * 25.4)
    assert variegated.handling.cross_by_cross
    assert plain.handling == Handling()


def test_what_no_thread_is_like_is_refused_by_line(tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    rows = (",8,8,,,,", "tinsel,,,,,,", ",,,900,1/2,,", ",,,,long,,", ",,,90m,,,", ",,,,,1.5,")
    text = "code,hex,kind,metres,yards,tail,cut,needle,hand\n"
    text += "".join(f"T{i},#aa0000,{row}\n" for i, row in enumerate(rows))
    path.write_text(text, encoding="utf-8")
    with pytest.raises(TableError) as error:
        load_palette(path)
    said = str(error.value)
    for part in ("both told", "tinsel", "'1/2'", "'long'", "'90m'", "'1.5' isn't a whole"):
        assert part in said
