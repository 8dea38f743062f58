"""Keys and lists come from a file or as a text, with the same rows and the same words."""

from __future__ import annotations

from pathlib import Path

import pytest

from chartscan.csvtable import TableText
from chartscan.errors import MatchError, TableError
from chartscan.palette import Palette
from chartscan.palette.settings import MatchSettings
from chartscan.tasks.threads import at_hand, choose_threads
from tests.palette.making import chart_of, thread

RANGE = Palette((thread("A1", "#aa0000"), thread("B2", "#0000aa"), thread("C3", "#00aa00")))


@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_a_key_as_text_names_the_threads_that_it_names_as_a_file(tmp_path: Path, mark: str) -> None:
    text = mark + "class;code\n1;c3\n2;\n"
    file = tmp_path / "key.csv"
    file.write_text(text, encoding="utf-8")
    chart = chart_of(["#a80505", "#0505a8"])
    by_file, by_text = (choose_threads(chart, RANGE, key=key) for key in (file, TableText(text)))
    assert by_file == by_text
    assert [m.chosen.thread.code for m in by_text.matches] == ["C3", "B2"]


def test_what_is_wrong_in_a_text_is_told_by_the_name_of_the_text() -> None:
    with pytest.raises(TableError, match="what you typed: line 2: no thread 'Z9'"):
        choose_threads(
            chart_of(["#a80505"]), RANGE, key=TableText("class,code\n1,Z9\n", "what you typed")
        )
    with pytest.raises(TableError, match="the list: is empty"):
        at_hand(RANGE, TableText(" \n", "the list"))


def test_a_list_says_what_is_at_hand_and_which_codes_the_range_lacks() -> None:
    found = at_hand(RANGE, TableText("code,skeins\nA1,1.5\nA1,1\nZ9,2\n", "the list"))
    assert found.owned is not None
    assert found.owned.of(RANGE.threads[0]) == 2.5
    assert found.warnings == ("the list: 1 of its codes aren't in the palette: Z9",)
    assert at_hand(RANGE).owned is None


def test_own_first_without_a_list_of_what_is_owned_is_refused() -> None:
    with pytest.raises(MatchError, match="nothing says what you have"):
        choose_threads(chart_of(["#a80505"]), RANGE, MatchSettings(own_within=2.0))
