"""The stitcher's own factor: shrunk towards 1, robust, kept in a file that can be mended."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.errors import ChartscanError, YardageError
from chartscan.yardage import Factor, rests_on
from chartscan.yardage.calibration import (
    Book,
    FactorSettings,
    Record,
    add_record,
    estimate_factor,
    load_book,
    own_factor,
    remove_record,
    save_book,
    usage_path,
)


def _records(*ratios: float) -> tuple[Record, ...]:
    return tuple(Record(f"work {i}", 10_000, 10_000 * r) for i, r in enumerate(ratios))


def test_without_records_nothing_is_changed() -> None:
    """The factor is 1 and habits are as wide as assumed."""
    assert estimate_factor(()) == Factor(1.0, 1.0, 0)


def test_one_record_is_not_taken_at_its_word() -> None:
    """It moves the factor part of the way; several that agree move it nearly all."""
    one, three, ten = (estimate_factor(_records(*[1.15] * n)) for n in (1, 3, 10))
    assert 1.03 < one.value < 1.12
    assert one.value < three.value < ten.value < 1.15
    assert ten.value == pytest.approx(1.15, abs=0.015)
    assert 1 > one.habit > three.habit > ten.habit > 0
    assert one.between[0] < one.value < one.between[1]
    assert ten.between[1] - ten.between[0] < one.between[1] - one.between[0]


@pytest.mark.parametrize("wild", [0.1, 0.3, 3.0, 10.0])
def test_one_wild_record_does_not_wreck_the_factor(wild: float) -> None:
    """Alone or among others it moves the factor by a few per cent at most."""
    assert abs(math.log(estimate_factor(_records(wild)).value)) < 0.13
    good = estimate_factor(_records(1.1, 1.08, 1.12, 1.1))
    with_it = estimate_factor(_records(1.1, wild, 1.08, 1.12, 1.1))
    assert with_it.value == pytest.approx(good.value, rel=0.03)
    mean = np.mean([1.1, wild, 1.08, 1.12, 1.1])
    assert abs(with_it.value - good.value) < abs(mean - good.value) / 5


@given(st.lists(st.floats(0.5, 2.0), min_size=1, max_size=12))
def test_the_factor_lies_between_1_and_the_records(ratios: list[float]) -> None:
    """And the order of the records doesn't matter, nor does swapping used and estimated."""
    found = estimate_factor(_records(*ratios))
    assert min(1.0, *ratios) - 1e-9 <= found.value <= max(1.0, *ratios) + 1e-9
    assert estimate_factor(_records(*ratios[::-1])).value == pytest.approx(found.value)
    swapped = estimate_factor(_records(*(1 / r for r in ratios)))
    assert swapped.value == pytest.approx(1 / found.value)


def test_a_stitcher_of_known_habits_is_found_out() -> None:
    """Drawn projects of a stitcher who takes 12 % more: twenty tell it to within 3 %."""
    drawn = 1.12 * np.exp(np.random.default_rng(8).normal(0, 0.06, 20))
    assert estimate_factor(_records(*drawn)).value == pytest.approx(1.12, abs=0.03)


@pytest.mark.parametrize("spread", [0.01, 0.04, 0.12])
def test_her_own_spread_takes_the_place_of_the_assumed_one(spread: float) -> None:
    """Forty drawn projects tell it within a third; two hardly move it."""
    drawn = np.exp(np.random.default_rng(31).normal(0, spread, 40))
    many, few = estimate_factor(_records(*drawn)), estimate_factor(_records(*drawn[:2]))
    assumed = FactorSettings.within_sd
    assert abs(math.log(few.varies / assumed)) < 0.35
    # The assumed one is worth four records, a wild record little: never all the way.
    assert abs(math.log(many.varies / spread)) < max(0.35, 0.6 * abs(math.log(assumed / spread)))
    assert Factor().varies == assumed


def test_it_is_said_what_the_figures_rest_on() -> None:
    """On assumptions, as long as there is nothing else."""
    assert "assumed spreads" in rests_on(Factor())
    assert "no records of yours" in rests_on(Factor())
    own = estimate_factor(_records(1.1, 1.12, 1.08))
    assert rests_on(own).startswith("Ranges and chances rest on 3 records of yours")
    assert f"{own.value:.2f}" in rests_on(own)


def test_records_can_be_taken_back_and_switched_off() -> None:
    """The last one, or any by its number."""
    book = Book(_records(1.1, 1.2, 1.3))
    assert remove_record(book)[1].ratio == pytest.approx(1.3)
    shorter, gone = remove_record(book, 1)
    assert gone.ratio == pytest.approx(1.1)
    assert [r.ratio for r in shorter.records] == pytest.approx([1.2, 1.3])
    assert own_factor(book).value > 1
    assert own_factor(Book(book.records, on=False)) == Factor()
    for number in (0, 4, -1):
        with pytest.raises(YardageError, match="no record"):
            remove_record(book, number)
    with pytest.raises(YardageError, match="no records"):
        remove_record(Book())


@pytest.mark.parametrize(
    ("estimated", "used"), [(0, 1), (1, 0), (-1, 1), (math.nan, 1), (1, math.inf), (1, 25)]
)
def test_records_that_can_not_be_are_refused(estimated: float, used: float) -> None:
    """No length, or twenty times off: the units are wrong."""
    with pytest.raises(YardageError):
        add_record(Book(), Record("slip", estimated, used))


def test_the_file_keeps_everything(tmp_path: Path) -> None:
    """Its folder is made; names in any script."""
    path = tmp_path / "new" / "usage.json"
    book = add_record(Book(on=False), Record("Rotkehlchen, Öland 🐦", 1000.0, 1100.0, "2026-11-25"))
    assert load_book(path) == Book()
    save_book(book, path)
    assert load_book(path) == book


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "{}",
        '{"format": "chartscan.usage", "version": 2, "on": true, "records": []}',
        '{"format": "chartscan.usage", "version": 1, "on": true, "records": [{"name": "x"}]}',
        '{"format": "chartscan.usage", "version": 1, "on": true, "records": 3}',
    ],
)
def test_a_damaged_file_is_named_and_left_alone(text: str, tmp_path: Path) -> None:
    """One line with its name."""
    path = tmp_path / "usage.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(YardageError, match=r"usage\.json"):
        load_book(path)
    assert path.read_text(encoding="utf-8") == text


def test_a_folder_in_its_place_is_named(tmp_path: Path) -> None:
    """For reading and for writing."""
    with pytest.raises(YardageError, match="can't be opened"):
        load_book(tmp_path)
    with pytest.raises(ChartscanError):
        save_book(Book(), tmp_path)
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(YardageError, match="can't be made"):
        save_book(Book(), tmp_path / "file" / "usage.json")


def test_the_records_lie_where_the_environment_says(
    own_records: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Else in the user's own data folder."""
    assert usage_path() == own_records
    monkeypatch.delenv("CHARTSCAN_USAGE")
    assert usage_path().name == "usage.json"
    assert "chartscan" in usage_path().parts


def test_records_that_agree_count_as_one_each_and_no_more() -> None:
    """Nine chances of ten by the normal law of known spread: precisions of 1 + n records add up.

    Gelman and others, Bayesian Data Analysis, section 2.5 (from memory); 1.6449 deviations from any
    table of the normal law. Agreement by chance mustn't make her surer of her factor than that.
    """
    ten = estimate_factor(_records(*[1.1] * 10))
    half = math.log(ten.between[1] / ten.between[0]) / 2
    assert half == pytest.approx(1.6449 * 0.04 / math.sqrt(1 + 10), rel=1e-3)


def test_what_is_assumed_of_stitchers_is_what_the_stated_spreads_come_to() -> None:
    """Pull, length cut, tail, end and unpicking of a solid area, by the law of propagation.

    JCGM 100:2008 (GUM), 5.1.2 (from memory): the squares of each spread times what it does add up.
    A needleful of 450 mm covers 340 mm; longer ones save waste, longer tails and ends add to it.
    """
    stretch = 1 + 0.015 + 0.01
    shares = (0.03 / stretch, 0.01 / stretch, 0.10 * 110 / 340, 0.125 * 80 / 340, 0.125 * 30 / 340)
    assumed = math.hypot(FactorSettings.between_sd, FactorSettings.within_sd)
    assert assumed == pytest.approx(math.hypot(*shares), rel=0.04)


def test_what_the_figures_rest_on_is_told_in_full() -> None:
    """The figures she would check against her own notes."""
    assert rests_on(Factor(1.0749, 0.6, 1, (0.9, 1.204), 0.054)) == (
        "Ranges and chances rest on 1 record of yours and, where those say nothing, on assumed"
        " spreads of hand and thread. Your own factor is 1.07 (0.90 to 1.20); your projects vary"
        " by 5 % about it."
    )


@pytest.mark.parametrize("ratio", [20.0, 1 / 20.0])
def test_twenty_times_the_estimate_is_still_a_record(ratio: float) -> None:
    (taken,) = add_record(Book(), Record("rag rug", 1000.0, 1000.0 * ratio)).records
    assert taken.ratio == pytest.approx(ratio)
    with pytest.raises(YardageError, match="check the units"):
        add_record(Book(), Record("slip", 1000.0, 1000.0 * ratio * (1.01 if ratio > 1 else 0.99)))
