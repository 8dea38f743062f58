"""Joining chart, threads and needs into a kit."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.chart import Chart, ChartClass
from chartscan.palette.ownership import Owned
from chartscan.palette.thread import Candidate, Match, Matches, Thread
from chartscan.stash.kit import Kit, assemble
from chartscan.yardage.requirement import Fabric, LengthRange, Requirement, Requirements

SKEIN_MM = 48_000.0  # single strand in 8 m of six strands


def _thread(code: str, metres: float | None = 8, price: float | None = None) -> Thread:
    return Thread(code, code, (50, 0, 0), (119, 119, 119), "Mill", "current", metres, 6, price)


def _kit(
    lengths_mm: list[float],
    threads: list[Thread],
    owned: Owned | None = None,
    blended: Thread | None = None,
) -> Kit:
    """A kit of one class per length, worked with the thread of the same place."""
    count = len(lengths_mm)
    worked = (ChartClass(n + 1, "stitch", (10, 10, 10)) for n in range(count))
    classes = (ChartClass(0, "empty"), *worked)
    chart = Chart(np.arange(count + 1, dtype=np.int32).reshape(1, -1), classes)
    matches = tuple(
        Match(n + 1, (10, 10, 10), Candidate(thread, 1.0, "close"), blended=blended)
        for n, thread in enumerate(threads)
    )
    needs = tuple(
        Requirement(
            class_index=n + 1,
            stitches=10,
            work=(("cross", 10),),
            strands=2,
            length_mm=LengthRange(0.8 * mm, mm, 1.2 * mm),
            least_mm=0.7 * mm,
            pieces=3,
            skeins=max(1, int(np.ceil(1.2 * mm / SKEIN_MM))),
        )
        for n, mm in enumerate(lengths_mm)
    )
    requirements = Requirements(Fabric(28, 2), 1, (10.0, 10.0), (160.0, 160.0), 75.0, needs)
    return assemble(chart, Matches(matches), requirements, owned)


def test_classes_that_share_a_thread_share_its_skein() -> None:
    one = _thread("A")
    kit = _kit([10_000.0, 12_000.0], [one, one])
    (line,) = kit.threads
    assert line.requirement.skeins == 1, "two classes of a quarter skein each take one skein"
    assert line.requirement.stitches == 20
    assert line.requirement.work == (("cross", 20),)
    assert line.length_mm.likely == pytest.approx(22_000)
    assert [use.match.class_index for use in line.uses] == [1, 2]
    assert kit.skeins == kit.to_buy == 1


def test_the_two_threads_of_a_blend_share_what_is_drawn_as_well() -> None:
    """60 m of strand come to 30 of each: a skein of 48 m is enough, and nearly surely so."""
    a, b = _thread("A"), _thread("B")
    kit = _kit([60_000.0], [a], blended=b)
    assert [line.thread.code for line in kit.threads] == ["A", "B"]
    for line in kit.threads:
        assert line.requirement.skeins == 1
        assert line.length_mm.likely == pytest.approx(30_000)
        assert line.requirement.enough[0] > 0.99


def test_a_shared_thread_takes_a_second_skein_once_the_high_ends_pass_one() -> None:
    one = _thread("A")
    assert _kit([30_000.0, 15_000.0], [one, one]).skeins == 2


def test_same_code_in_two_lines_stays_two_threads() -> None:
    other = Thread("A", "", (50, 0, 0), (1, 1, 1), "Other mill", metres=8, strands=6)
    assert len(_kit([100.0, 100.0], [_thread("A"), other]).threads) == 2


def test_a_blend_takes_half_of_its_length_from_each_thread() -> None:
    kit = _kit([30_000.0], [_thread("A")], blended=_thread("B"))
    assert [line.thread.code for line in kit.threads] == ["A", "B"]
    assert [line.length_mm.likely for line in kit.threads] == [15_000.0, 15_000.0]
    assert [line.requirement.strands for line in kit.threads] == [1, 1]
    assert [line.match.blended.code for line in kit.threads if line.match.blended] == ["B", "A"]
    assert kit.stitches == 10, "a blend is stitched once"
    assert kit.length_mm.likely == 30_000.0


@pytest.mark.parametrize(
    ("skeins", "metres_left", "buy"),
    [(0, 0, 3), (1, 0, 2), (3, 0, 0), (7, 0, 0), (2, 3, 1), (2, 4.1, 0), (0, 0.5, 3)],
)
def test_what_is_at_hand_is_taken_off_part_skeins_too(
    skeins: float, metres_left: float, buy: int
) -> None:
    """High end 120 m of single strand: two and a half skeins, so three; half a skein is 4 m."""
    owned = Owned({("Mill", "A"): skeins}, {("Mill", "A"): metres_left})
    (line,) = _kit([100_000.0], [_thread("A")], owned).threads
    assert line.to_buy == buy


def test_without_a_stash_nothing_is_known_to_be_at_hand() -> None:
    (line,) = _kit([100.0], [_thread("A", price=1.2)]).threads
    assert line.owned is None
    assert line.to_buy == 1
    assert line.price == 1.2


def test_a_class_without_a_thread_is_named_in_a_warning() -> None:
    kit = _kit([100.0, 100.0], [_thread("A")])
    assert len(kit.threads) == 1
    assert any("no thread yet" in warning for warning in kit.warnings)


def test_a_thread_sold_who_knows_how_is_taken_for_a_usual_skein_and_that_is_said() -> None:
    kit = _kit([100.0], [_thread("A", metres=None)])
    assert kit.threads[0].requirement.put_up_mm == SKEIN_MM
    assert any("doesn't say how A is sold" in warning for warning in kit.warnings)
    assert not any("is sold" in warning for warning in _kit([100.0], [_thread("A")]).warnings)


def test_the_chance_that_the_skeins_are_enough_is_that_of_all_classes_together() -> None:
    one = _thread("A")
    (line,) = _kit([30_000.0, 15_000.0], [one, one]).threads
    first, second = line.requirement.enough
    assert 0.5 < first < 0.95, "45 m likely, 54 m at the high end, 48 m a skein"
    assert second > 0.95


@given(
    lengths=st.lists(st.floats(1.0, 200_000.0), min_size=1, max_size=6),
    sharing=st.integers(1, 6),
    skeins=st.floats(0, 10),
)
def test_joining_never_costs_skeins_and_lengths_add_up(
    lengths: list[float], sharing: int, skeins: float
) -> None:
    threads = [_thread(f"T{n % sharing}") for n in range(len(lengths))]
    apart = [_thread(f"T{n}") for n in range(len(lengths))]
    owned = Owned({("Mill", "T0"): skeins}, {})
    kit = _kit(lengths, threads, owned)
    assert kit.skeins <= _kit(lengths, apart).skeins
    assert sum(t.length_mm.likely for t in kit.threads) == pytest.approx(kit.length_mm.likely)
    for line in kit.threads:
        assert line.requirement.skeins * SKEIN_MM >= line.length_mm.high * (1 - 1e-12)
        assert (line.owned or 0) + line.to_buy >= line.length_mm.high / SKEIN_MM - 1e-6
        assert line.to_buy == 0 or line.to_buy - 1 + (line.owned or 0) < line.requirement.skeins
