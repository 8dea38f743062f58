"""What was told of a chart, from its corrections and its source to the settings of a reading."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chartscan.chart import Chart, ChartClass
from chartscan.chart.corrections.acts import Act, Colours, Corners, Ground, LookAgain, Size, Turn
from chartscan.chart.corrections.lines import line_of
from chartscan.chart.corrections.standing import class_refs
from chartscan.entry import Entry
from chartscan.errors import ChartError
from chartscan.reading.read import ReadSettings
from chartscan.reading.several import PageTold
from chartscan.reading.told import (
    grid_is_told,
    keep_of_pages,
    kept_told,
    page_told,
    settings_of,
    unfollowed,
    with_told,
)

POINTS = ((10.0, 12.0), (200.0, 14.0), (205.0, 170.0), (8.0, 168.0))
OTHERS = ((1.0, 1.0), (90.0, 1.0), (90.0, 90.0), (1.0, 90.0))
EVERY: tuple[Act, ...] = (Size(12, 10), Corners(POINTS), Turn(90), Colours(3))


def chart(*told: Act, **source: object) -> Chart:
    cells = np.zeros((10, 12), np.int32)
    cells[2:5, 3:9] = 1
    classes = (ChartClass(0, "empty", (255, 255, 255)), ChartClass(1, "stitch", (9, 90, 9)))
    read = Chart(cells, classes, source=source)
    return replace(read, corrections=told, as_read=read if told else None)


# ---------------------------------------------------------------------- followed


def test_what_was_told_is_followed_where_nothing_else_is_said() -> None:
    told = settings_of(chart(*EVERY))
    assert (told.size, told.corners, told.turn, told.colours) == ((12, 10), POINTS, 90, 3)
    assert settings_of(chart()) == ReadSettings()


def test_what_is_said_now_stands_before_what_was_told() -> None:
    said = ReadSettings(size=(20, 21), corners=OTHERS, turn=180, colours=7)
    assert settings_of(chart(*EVERY), said) == said


@pytest.mark.parametrize("said", [{"size": (20, 21)}, {"colours": 7}, {"turn": 270}])
def test_each_is_said_by_itself(said: dict[str, object]) -> None:
    told = settings_of(chart(*EVERY), replace(ReadSettings(), **said))  # type: ignore[arg-type]
    expected = {"size": (12, 10), "corners": POINTS, "turn": 90, "colours": 3} | said
    assert {name: getattr(told, name) for name in expected} == expected


def test_what_a_reading_has_no_way_to_follow_is_left() -> None:
    assert settings_of(chart(LookAgain("marks"), Ground(()))) == ReadSettings()


# ------------------------------------------------------------------ pages and seams

SIZES = st.none() | st.tuples(st.integers(5, 200), st.integers(5, 200))
TOLD = st.builds(
    PageTold,
    SIZES,
    st.none() | st.sampled_from([POINTS, OTHERS]),
    st.none() | st.sampled_from([0, 90, 180, 270]),
)
REPEATS = st.lists(st.none() | st.integers(0, 30), max_size=5).map(tuple)


@settings(max_examples=40)
@given(st.lists(TOLD, max_size=4).map(tuple), REPEATS)
def test_what_was_told_of_single_pages_comes_back_from_the_chart(
    each: tuple[PageTold, ...], repeats: tuple[int | None, ...]
) -> None:
    kept = keep_of_pages(chart(file="a.png"), ReadSettings(each=each, repeats=repeats))
    again = settings_of(kept)
    told_any = any(page != PageTold() for page in each)
    assert again.each == (each if told_any else ())
    assert again.repeats == (repeats if any(n is not None for n in repeats) else ())
    assert kept.source["file"] == "a.png"


def test_where_nothing_was_told_of_pages_the_chart_stays_as_it_is() -> None:
    before = chart(file="a.png")
    nothing = ReadSettings(each=(PageTold(), PageTold()), repeats=(None,))
    assert keep_of_pages(before, nothing) is before


def test_pages_that_are_said_now_stand_before_those_that_were_told() -> None:
    kept = keep_of_pages(chart(), ReadSettings(each=(PageTold((9, 9)),), repeats=(3,)))
    said = ReadSettings(each=(PageTold(turn=90),), repeats=(0,))
    assert settings_of(kept, said) == said


@pytest.mark.parametrize(
    "damaged",
    [
        {"each": [{"size": [3]}]},
        {"each": [{"size": [3.5, 4]}]},
        {"each": [{"corners": [[1, 2], [3, 4]]}]},
        {"each": [{"corners": [[1, 2], [3, 4], [5, 6], [7]]}]},
        {"each": [{"turn": "left"}]},
        {"each": ["left"]},
        {"each": "left"},
        {"repeats": ["three"]},
        {"repeats": [1.5]},
    ],
)
def test_a_chart_that_is_damaged_there_says_so(damaged: dict[str, object]) -> None:
    with pytest.raises(ChartError, match="told of its pages"):
        settings_of(chart(**damaged))


def test_a_page_is_told_by_any_of_three_things() -> None:
    assert page_told(Entry({})) == PageTold()
    assert page_told(Entry({"size": None, "corners": None, "turn": None})) == PageTold()
    assert page_told(Entry({"turn": 0})) == PageTold(turn=0)
    corners = [list(point) for point in POINTS]
    assert page_told(Entry({"size": [4, 5], "corners": corners})) == PageTold((4, 5), POINTS)


# ------------------------------------------------------------------- another picture


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    path = tmp_path / "a.png"
    path.write_bytes(b"one")
    return path


def test_places_of_pixels_are_told_again_on_the_same_picture_only(
    picture: Path, tmp_path: Path
) -> None:
    digest = hashlib.sha256(b"one").hexdigest()
    before = keep_of_pages(
        chart(*EVERY, sha256=digest), ReadSettings(each=(PageTold((6, 7)),), repeats=(2,))
    )
    same = with_told(ReadSettings(), before, [picture])
    assert (same.corners, same.each, same.repeats) == (POINTS, (PageTold((6, 7)),), (2,))
    other = tmp_path / "b.png"
    other.write_bytes(b"other")
    moved = with_told(ReadSettings(repeats=(1,)), before, [other])
    assert (moved.size, moved.turn, moved.colours) == ((12, 10), 90, 3)
    assert (moved.corners, moved.each, moved.repeats) == (None, (), (1,))
    assert with_told(ReadSettings(), None, [picture]) == ReadSettings()


def test_several_pictures_are_the_same_in_the_same_order(picture: Path, tmp_path: Path) -> None:
    other = tmp_path / "b.png"
    other.write_bytes(b"other")
    digests = [hashlib.sha256(data).hexdigest() for data in (b"one", b"one", b"other")]
    before = chart(Corners(POINTS), pages=[{"sha256": digest} for digest in digests])
    for files, same in (([picture, other], True), ([other, picture], False), ([picture], False)):
        assert (with_told(ReadSettings(), before, files).corners == POINTS) is same


# -------------------------------------------------------------------------- kept


def test_what_a_reading_was_told_is_kept_as_corrections() -> None:
    told = settings_of(chart(*EVERY))
    assert kept_told(chart(), told, None) == list(EVERY)
    assert kept_told(chart(), ReadSettings(), None) == []
    assert settings_of(chart(*kept_told(chart(), told, None))) == told


def test_a_ground_that_is_said_now_is_kept_by_the_class_it_became() -> None:
    read = chart()
    empty = ReadSettings(empty=(255, 255, 255))
    assert kept_told(read, empty, empty) == [Ground((class_refs(read)[0],))]
    assert kept_told(read, empty, None) == []
    none = ReadSettings(no_empty=True)
    assert kept_told(read, none, none) == [Ground(())]
    stitched = replace(read, classes=tuple(replace(c, kind="stitch") for c in read.classes))
    assert kept_told(stitched, empty, empty) == []


# -------------------------------------------------------------------- not followed


def test_what_was_told_and_the_chart_shows_is_followed() -> None:
    """The chart has 12 × 10 cells and one colour, and its page wasn't turned."""
    assert unfollowed(chart(Size(12, 10), Colours(1), Turn(0))) == ()
    assert unfollowed(chart(Turn(90), turn=90)) == ()


def test_what_was_told_and_the_chart_doesnt_show_is_not() -> None:
    acts = (Size(10, 12), Colours(2), Turn(180), Corners(POINTS))
    assert unfollowed(chart(*acts, turn=90)) == acts
    assert unfollowed(chart(LookAgain("page"), Ground(()))) == ()


@pytest.mark.parametrize("act", [Size(10, 12), Colours(2), Turn(180), Corners(POINTS)])
def test_what_the_reading_says_it_was_told_is_followed_whatever_came_of_it(act: Act) -> None:
    assert unfollowed(chart(act, told=[line_of(act)])) == ()


def test_colours_are_those_of_the_reading_and_not_of_what_was_corrected_since() -> None:
    told = chart(Colours(1))
    more = (*told.classes, ChartClass(2, "stitch", (1, 2, 3)))
    assert unfollowed(replace(told, classes=more)) == ()


def test_the_grid_is_told_by_its_size_its_corners_and_its_turn() -> None:
    for act, grid in ((Size(10, 12), True), (Corners(POINTS), True), (Turn(90), True)):
        assert grid_is_told(chart(act)) is grid
    assert not grid_is_told(chart(Colours(5)))
    assert not grid_is_told(chart(Size(12, 10)))
    assert not grid_is_told(chart())
