"""Nearest threads, thread lists of another range, and the fabric's colour."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from chartscan.colour import srgb_to_lab
from chartscan.errors import MatchError, TableError
from chartscan.palette import (
    MatchSettings,
    Owned,
    Palette,
    convert_threads,
    find_thread,
    hardly_seen,
    load_codes,
    load_fabrics,
    load_palette,
    match,
    nearest_fabrics,
    nearest_threads,
    parse_wanted,
)
from tests.palette.making import chart_of, thread

MEADOW = load_palette(Path("meadowline"))


def test_a_colour_is_wanted_as_hex_as_lab_or_as_a_code() -> None:
    assert parse_wanted("#a0b0c0", MEADOW).rgb == (160, 176, 192)
    assert parse_wanted("lab:50, -3.5,7", MEADOW).lab == (50.0, -3.5, 7.0)
    assert parse_wanted("a0b0c0", MEADOW).rgb == (160, 176, 192)
    coded = Palette((thread("a0b0c0", "#010203"),))
    assert parse_wanted("A0B0C0", coded).rgb == (1, 2, 3)  # a code goes before a bare colour
    assert parse_wanted("ros2", MEADOW).thread == find_thread(MEADOW, "ROS2")


@pytest.mark.parametrize(
    "text", ["#12", "lab:1,2", "lab:x,1,2", "lab:101,0,0", "lab:50,200,0", "lab:nan,0,0", "zz", ""]
)
def test_what_says_no_colour_is_refused_with_what_would(text: str) -> None:
    with pytest.raises(MatchError, match="give #rrggbb, lab:L,a,b, or a code of meadowline"):
        parse_wanted(text, MEADOW)


def test_substitutes_are_current_threads_nearest_first_and_not_the_thread_itself() -> None:
    wanted = parse_wanted("ROS2", MEADOW)
    assert wanted.thread is not None
    assert wanted.thread.status == "discontinued"
    found = nearest_threads(wanted, MEADOW, 10)
    assert len(found) == 10
    assert all(c.thread.status == "current" for c in found)
    differences = [c.delta_e for c in found]
    assert differences == sorted(differences)
    assert wanted.thread not in [
        c.thread for c in nearest_threads(wanted, MEADOW, 10, discontinued=True)
    ]


def test_discontinued_threads_count_where_some_are_at_hand() -> None:
    wanted = parse_wanted("#e5b6c2", MEADOW)  # the colour of ROS2, by its hex
    assert nearest_threads(wanted, MEADOW, 1)[0].thread.code != "ROS2"
    owned = Owned({}, {("Meadowline", "ROS2"): 2.0})
    first = nearest_threads(wanted, MEADOW, 1, owned)[0]
    assert (first.thread.code, first.owned) == ("ROS2", 0.25)
    assert [c.thread.code for c in nearest_threads(wanted, MEADOW, 5, owned, owned_only=True)] == [
        "ROS2"
    ]
    with pytest.raises(MatchError, match="no other thread is at hand"):
        nearest_threads(wanted, MEADOW, 5, Owned(), owned_only=True)


def test_a_small_palette_gives_what_it_has() -> None:
    palette = Palette((thread("A", "#c02030"), thread("B", "#203060")))
    assert len(nearest_threads(parse_wanted("#000000", palette), palette, 9)) == 2
    only = Palette(palette.threads[:1])
    with pytest.raises(MatchError, match="no other thread can still be bought"):
        nearest_threads(parse_wanted("A", only), only)


def test_a_list_is_converted_with_difference_direction_and_alternatives() -> None:
    pearl = load_palette(Path("fenmarl-pearl"))
    called_for = [find_thread(MEADOW, code) for code in ("ROS4", "BRO4", "ROS4")]
    found = convert_threads(called_for, pearl, MatchSettings())
    assert [c.called_for.code for c in found.threads] == ["ROS4", "BRO4"]  # each once
    for conversion in found.threads:
        best = min(
            nearest_threads(parse_wanted(conversion.called_for.code, MEADOW), pearl, 1),
            key=lambda c: c.delta_e,
        )
        assert conversion.chosen == best
        assert conversion.chosen.direction
        assert len(conversion.alternatives) == 4
        assert conversion.margin is not None


def test_two_called_for_colours_that_fall_on_one_are_told_and_kept_apart_when_asked() -> None:
    target = Palette((thread("X", "#c02030"), thread("Y", "#802030")))
    called_for = [thread("1", "#c02030"), thread("2", "#be2232")]
    together = convert_threads(called_for, target, MatchSettings())
    assert together.warnings == ("1 and 2 fall on one thread, X",)
    apart = convert_threads(called_for, target, MatchSettings(distinct=True))
    assert [c.chosen.thread.code for c in apart.threads] == ["X", "Y"]
    assert apart.warnings == ()


def test_every_unknown_code_of_a_list_is_named_at_once(tmp_path: Path) -> None:
    path = tmp_path / "key.csv"
    path.write_text("code\nRA14\nno\nnor\n", encoding="utf-8")
    with pytest.raises(TableError, match=r"line 3: no thread 'no'.*line 4: no thread 'nor'"):
        load_codes(path, MEADOW)


def test_an_empty_list_converts_to_nothing() -> None:
    assert convert_threads([], MEADOW, MatchSettings(distinct=True)).threads == ()


def test_threads_that_hardly_show_on_the_fabric_are_told() -> None:
    palette = Palette(
        (thread("Ivory", "#f4efe2"), thread("White", "#fafaf7"), thread("Ink", "#101820"))
    )
    found = match(chart_of(["#f4efe2", "#fafaf7", "#101820"]), palette).matches
    cream = (250, 249, 246)
    assert [line.split(" on the")[0] for line in hardly_seen(found, cream)] == [
        "Ivory (class 1) can hardly be seen",
        "White (class 2) can't be seen",
    ]
    assert hardly_seen([], cream) == []


def test_the_nearest_fabric_is_found_by_colour_count_and_size() -> None:
    fabrics = load_fabrics(Path("fabrics-example"))
    cream = srgb_to_lab((245, 238, 220)).tolist()
    assert nearest_fabrics(cream, fabrics, 1)[0].fabric.name == "Cream block weave 14"
    on_28 = nearest_fabrics(cream, fabrics, 9, count=28)
    assert {c.fabric.count for c in on_28} == {28}
    assert [c.delta_e for c in on_28] == sorted(c.delta_e for c in on_28)
    large = nearest_fabrics(cream, fabrics, 9, size_mm=(450, 650))  # turned, it fits 70 × 50
    assert {c.fabric.name for c in large} == {
        "Oat evenweave 28", "Bleached linen 32", "Charcoal evenweave 28",
    }  # fmt: skip
    with pytest.raises(MatchError, match="no fabric of the list has that count and size"):
        nearest_fabrics(cream, fabrics, 1, count=28, size_mm=(5000, 10))


def test_bad_rows_of_a_fabric_list_are_named_at_once(tmp_path: Path) -> None:
    path = tmp_path / "fabrics.csv"
    path.write_text(
        "name,hex,count,width_cm,height_cm\nA,#fff,0,,\nB,#ffffff,14,30,\n,#ffffff,14,,\nC,,14,,\n",
        encoding="utf-8",
    )
    with pytest.raises(TableError) as caught:
        load_fabrics(path)
    for part in ("line 2: count '0'", "line 3: needs both", "line 4: no name", "line 5: no colour"):
        assert part in str(caught.value)


def test_a_fabric_without_count_or_size_is_left_out_where_these_matter() -> None:
    fabrics = load_fabrics(Path("fabrics-example"))
    assert all(f.count and f.size_mm and f.fibre for f in fabrics)
    assert np.isfinite([f.lab for f in fabrics]).all()
