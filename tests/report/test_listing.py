"""Lists on terminals of any width: a number is shown whole or not at all."""

from __future__ import annotations

import pytest

from chartscan.report.listing import Cell, Column, Swatch, list_lines

COLUMNS = (
    Column("Thread"),
    Column("Name"),
    Column("Skeins", right=True),
    Column("Parts (m)", True),
)
ROWS: list[list[Cell]] = [
    ["Meadowline ROS1", "Rosehip of late summer", "12", "2.5 + 0.8 + 3.2"],
    ["T2", "", "0", ""],
]


def test_a_row_is_a_line_where_it_fits() -> None:
    lines = list_lines(COLUMNS, ROWS, 80)
    assert lines[0] == "Thread           Name                    Skeins        Parts (m)"
    assert lines[2] == "Meadowline ROS1  Rosehip of late summer      12  2.5 + 0.8 + 3.2"
    assert len(lines) == 4


@pytest.mark.parametrize("width", [20, 40, 60])
def test_in_a_narrow_window_every_number_is_whole(width: int) -> None:
    lines = list_lines(COLUMNS, ROWS, width)
    assert lines[0] == "Meadowline ROS1"
    assert "   Skeins 12" in "\n".join(lines).replace("  Skeins", "   Skeins")
    assert any("Parts (m) 2.5 + 0.8 + 3.2" in line for line in lines)
    assert lines[-2:] == ["T2", "   Skeins 0"]
    longest = max(len("   Name Rosehip of late summer"), width)
    assert max(map(len, lines)) <= longest


def test_a_colour_is_a_block_where_it_can_be_shown_and_a_number_elsewhere() -> None:
    columns = (Column("Thread"), Column("Colour"))
    shown = list_lines(columns, [["T1", Swatch((1, 2, 3), shown=True)]], 80)
    assert shown[2] == "T1      \x1b[48;2;1;2;3m    \x1b[0m"
    bare = list_lines(
        columns, [["T1", Swatch((1, 2, 3), shown=False)], ["T2", Swatch(None, shown=True)]], 80
    )
    assert bare[2:] == ["T1      #010203", "T2      -"]


def test_a_column_that_holds_nothing_is_left_out() -> None:
    assert list_lines(COLUMNS, [["T1", "", "3", ""]], 80)[0] == "Thread  Skeins"


def test_no_name_steers_the_screen() -> None:
    lines = list_lines(COLUMNS, [["\x1b[2JT1", "a\u202eb\nc", "1", ""]], 80)
    assert not set("\x1b\u202e\n") & set("".join(lines))


WORDS = (
    Column("Thread"),
    Column("Why", loose=True),
    Column("For", loose=True),
    Column("Skeins", right=True),
)
LACKING: list[list[Cell]] = [
    ["ROS1", "what remains of the border is in another box", "Robin in the snow", "12"],
    ["T2", "", "Wren", "3"],
]


def test_words_take_no_more_room_than_they_need() -> None:
    """In a window as wide as two the numbers stand where the eye looks for them."""
    lines = list_lines(WORDS, LACKING, 200)
    assert lines == list_lines(WORDS, LACKING, 79)
    assert max(map(len, lines)) == 79


def test_words_go_on_below_and_the_widest_column_gives_way_first() -> None:
    assert list_lines(WORDS, LACKING, 60) == [
        "Thread  Why                        For                Skeins",
        "──────  ─────────────────────────  ─────────────────  ──────",
        "ROS1    what remains of the        Robin in the snow      12",
        "        border is in another box",
        "T2                                 Wren                    3",
    ]
    assert list_lines(WORDS, LACKING, 44)[2:6] == [
        "ROS1    what remains  Robin in the        12",
        "        of the        snow",
        "        border is in",
        "        another box",
    ]


def test_where_words_would_have_no_room_a_row_stands_in_lines_of_its_own() -> None:
    assert list_lines(WORDS, LACKING, 41) == [
        "ROS1",
        "   Why what remains of the border is in",
        "   another box  For Robin in the snow",
        "   Skeins 12",
        "T2",
        "   For Wren  Skeins 3",
    ]


@pytest.mark.parametrize("width", range(24, 90))
def test_whatever_the_window_nothing_is_cut_and_no_line_is_wider(width: int) -> None:
    lines = list_lines(WORDS, LACKING, width)
    assert max(map(len, lines)) <= width
    said = " ".join(lines).split()
    words = f"{LACKING[0][1]} {LACKING[0][2]} 12 Wren 3"
    assert {*words.split()} <= {*said}


def test_a_letter_that_takes_two_columns_is_counted_as_two() -> None:
    """As terminals show East Asian letters (Unicode Standard Annex #11)."""
    rows: list[list[Cell]] = [["\u7cf8\u7cf8", "1"], ["T2", "2"]]
    assert list_lines((Column("Code"), Column("Skeins", right=True)), rows, 40)[2:] == [
        "\u7cf8\u7cf8       1",
        "T2         2",
    ]


def test_a_word_longer_than_its_column_goes_on_below_letter_by_letter() -> None:
    """A place or a file's name without a blank in it: nothing of it is lost."""
    rows: list[list[Cell]] = [["ROS1", "box/by/the/window/under/the/lamp", "Robin", "12"]]
    assert list_lines(WORDS, rows, 38)[2:] == [
        "ROS1    box/by/the/wind  Robin      12",
        "        ow/under/the/la",
        "        mp",
    ]
