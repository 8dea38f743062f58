"""Grades and directions: words for differences, held to published numbers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from chartscan.colour import ciede2000, components, directions, grade, grey_scale
from chartscan.colour.grading import GREY_SCALE

Array = NDArray[np.float64]

# ISO 105-A02 (EN 20105-A02:1994), "Textiles - Tests for colour fastness - Part A02: Grey scale for
# assessing change in colour": ΔE*ab of the grey pairs, grade 5 to 1
ISO_CIELAB = {
    "5": 0, "4-5": 0.8, "4": 1.7, "3-4": 2.5, "3": 3.4, "2-3": 4.8, "2": 6.8, "1-2": 9.6, "1": 13.6,
}  # fmt: skip


@pytest.mark.parametrize(
    ("delta_e", "words"),
    [
        (0, "can't tell apart"),
        (0.79, "can't tell apart"),
        (0.8, "close"),
        (1.79, "close"),
        (1.8, "noticeable"),
        (4.99, "noticeable"),
        (5, "different"),
        (100, "different"),
    ],
)
def test_the_bands_change_at_the_published_thresholds(delta_e: float, words: str) -> None:
    """Perceptible from 0.8, acceptable to 1.8; 5 is common practice, no source.

    R. D. Paravina and others, "Color difference thresholds in dentistry", Journal of Esthetic and
    Restorative Dentistry 27 (2015), S1-S9 (pages from memory): half of 175 observers.
    """
    assert grade(delta_e) == words


def test_what_is_not_a_number_is_not_called_alike() -> None:
    assert grade(float("nan")) == "different"


def test_the_grey_scale_is_that_of_the_standard_seen_through_ciede2000() -> None:
    """ISO 105-A02 prescribes CIELAB differences between greys, the first at Y = 12."""
    first = 116 * np.cbrt(0.12) - 16
    for name, delta_e in GREY_SCALE:
        lighter = [first + ISO_CIELAB[name], 0, 0]
        assert float(ciede2000([first, 0, 0], lighter)) == pytest.approx(delta_e, abs=0.006)


def test_each_step_of_the_grey_scale_has_its_own_grade() -> None:
    assert [grey_scale(delta_e) for _, delta_e in GREY_SCALE] == [name for name, _ in GREY_SCALE]
    assert grey_scale(50) == "1"


@given(st.floats(0, 30), st.floats(0, 30))
def test_a_larger_difference_never_gets_a_better_grade(first: float, second: float) -> None:
    order = [name for name, _ in GREY_SCALE]
    low, high = sorted((first, second))
    assert order.index(grey_scale(low)) <= order.index(grey_scale(high))


@pytest.mark.parametrize(
    ("wanted", "thread", "words"),
    [
        ([50, 0, 0], [60, 0, 0], "lighter"),
        ([50, 0, 0], [40, 0, 0], "darker"),
        ([50, 40, 20], [50, 20, 10], "greyer"),
        ([50, 20, 10], [50, 40, 20], "stronger"),
        ([50, 40, 0], [50, 33, 22], "warmer"),  # from magenta-red towards orange
        ([50, 33, 22], [50, 40, 0], "cooler"),
        ([50, -30, 0], [50, -26, -15], "cooler"),  # from green towards blue
        ([50, -30, 0], [50, -26, 15], "warmer"),  # from green towards yellow
        ([70, 0, 0], [70, 1, 6], "stronger, warmer"),  # a cream beside a grey
        ([70, 0, 0], [70, -1, -6], "stronger, cooler"),  # an ice grey beside a grey
        ([50, 10, 10], [50, 10, 10], ""),
        ([50, 10, 10], [50.1, 10, 10], ""),  # nobody sees that
    ],
)
def test_a_thread_is_said_to_differ_the_way_it_looks(
    wanted: list[float], thread: list[float], words: str
) -> None:
    assert directions([wanted], [thread]) == [words]


def test_the_words_follow_the_published_parts_of_the_difference(
    sharma: dict[str, Array], lab_1: Array, lab_2: Array
) -> None:
    """Sharma, Wu and Dalal (2005), Table 1: ΔL' from L, ΔC' from the printed C'."""
    lightness = (sharma["L2"] - sharma["L1"]) / sharma["S_L"]
    chroma = (sharma["C2"] - sharma["C1"]) / sharma["S_C"]
    said = 0
    for words, light, strong in zip(directions(lab_1, lab_2), lightness, chroma, strict=True):
        said += ("lighter" in words) + ("stronger" in words)
        assert ("lighter" not in words) or light >= 0.4
        assert ("darker" not in words) or light <= -0.4
        assert ("stronger" not in words) or strong >= 0.4 - 1e-4
        assert ("greyer" not in words) or strong <= -0.4 + 1e-4
    assert said > 10
    largest = np.abs(np.stack([lightness, chroma, components(lab_1, lab_2).hue / sharma["S_H"]]))
    for words, sizes in zip(directions(lab_1, lab_2), largest.T, strict=True):
        if sizes.argmax() == 0 and sizes[0] > 0.4:
            assert words.split(",")[0] in ("lighter", "darker")


@given(
    st.tuples(st.floats(20, 90), st.floats(-50, 50), st.floats(-50, 50)),
    st.tuples(st.floats(20, 90), st.floats(-50, 50), st.floats(-50, 50)),
)
def test_the_words_are_turned_round_when_the_colours_are(
    first: tuple[float, float, float], second: tuple[float, float, float]
) -> None:
    opposite = {
        "lighter": "darker", "stronger": "greyer", "warmer": "cooler",
        "darker": "lighter", "greyer": "stronger", "cooler": "warmer",
    }  # fmt: skip
    there = directions([first], [second])[0].split(", ")
    back = directions([second], [first])[0].split(", ")
    assert {opposite.get(word, "") for word in there} == set(back)


def test_no_colours_get_no_words() -> None:
    assert directions(np.empty((0, 3)), np.empty((0, 3))) == []


@pytest.mark.parametrize(
    ("wanted", "thread", "word"),
    [(52, 60, "cooler"), (49, 59, "warmer"), (60, 52, "warmer"), (229, 239, "cooler")],
)
def test_the_warmest_hue_is_an_orange_of_55_degrees(wanted: int, thread: int, word: str) -> None:
    """What comes nearer to it is warmer, from either side (common practice, no source)."""
    angle = np.deg2rad([wanted, thread])
    lab = np.stack([np.full(2, 60.0), 40 * np.cos(angle), 40 * np.sin(angle)], axis=-1)
    assert directions(lab[:1], lab[1:]) == [word]
