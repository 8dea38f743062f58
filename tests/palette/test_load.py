"""Thread ranges, stashes and keys from files, good and bad."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from chartscan.colour import ciede2000_matrix, lab_to_d65, srgb_to_lab
from chartscan.errors import TableError
from chartscan.palette import (
    Owned,
    Palette,
    load_key,
    load_owned,
    load_palette,
    load_strands,
    unknown_codes,
)
from chartscan.palette.samples import EXAMPLES, SAMPLES, sample_folder
from tests.palette.making import chart_of, thread


def _written(folder: Path, text: str, name: str = "threads.csv") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_a_palette_of_hex_colours_is_read_with_all_its_columns(tmp_path: Path) -> None:
    text = (
        "code,name,hex,line,status,metres,strands,price\n"
        "12,Sorrel,#a04030,Hill,discontinued,8,6,1.25\n"
        "13,,1a2b3c,,,,,\n"
    )
    first, second = load_palette(_written(tmp_path, text)).threads
    assert (first.code, first.name, first.rgb, first.line) == (
        "12",
        "Sorrel",
        (160, 64, 48),
        "Hill",
    )
    assert (first.status, first.metres, first.strands, first.price) == ("discontinued", 8, 6, 1.25)
    assert (second.status, second.metres, second.strands, second.price) == (
        "current", None, None, None,
    )  # fmt: skip
    np.testing.assert_allclose(first.lab, srgb_to_lab((160, 64, 48)))


def test_lab_values_are_taken_under_d65_unless_an_illuminant_is_named(tmp_path: Path) -> None:
    path = _written(tmp_path, "code,name,L,a,b,illuminant\nA,,50,20,30,\nB,,50,20,30,d50\n")
    d65, d50 = load_palette(path).threads
    assert d65.lab == (50.0, 20.0, 30.0)
    np.testing.assert_allclose(d50.lab, lab_to_d65([50, 20, 30], "D50"))
    both = load_palette(path, illuminant="D50").threads
    assert both[0].lab == both[1].lab == d50.lab


def test_semicolons_and_decimal_commas_are_read_too(tmp_path: Path) -> None:
    path = _written(tmp_path, "\ufeffCode;Name;L;a;b;metres\nA;x;50,5;-1,25;0;7,8\n")
    (only,) = load_palette(path).threads
    assert only.lab == (50.5, -1.25, 0.0)
    assert only.metres == 7.8


def test_where_lab_and_hex_are_given_lab_counts(tmp_path: Path) -> None:
    path = _written(tmp_path, "code,hex,L,a,b\nA,#102030,50,1,2\nB,#102030,,,\n")
    both, alone = load_palette(path).threads
    assert (both.lab, both.colours) == ((50.0, 1.0, 2.0), ())
    assert (alone.rgb, alone.colours) == ((16, 32, 48), ())


def test_a_variegated_thread_is_the_mean_of_its_colours(tmp_path: Path) -> None:
    (only,) = load_palette(_written(tmp_path, "code,hex\nV,#204060 #80a0c0\n")).threads
    assert only.colours == ((32, 64, 96), (128, 160, 192))
    np.testing.assert_allclose(only.lab, srgb_to_lab(only.colours).mean(axis=0))


def test_colours_that_no_screen_shows_are_kept_and_told_all_at_once(tmp_path: Path) -> None:
    text = "code,L,a,b\nIn,50,10,10\nOut,50,-80,-40\nToo,70,90,90\n"
    palette = load_palette(_written(tmp_path, text))
    assert palette.threads[1].lab == (50.0, -80.0, -40.0)
    (line,) = palette.warnings
    assert line.startswith("2 colours lie outside what a screen shows")
    assert line.endswith("only the nearest: Out, Too")


def test_every_bad_row_is_named_with_its_line_and_reason_at_once(tmp_path: Path) -> None:
    text = (
        "code,name,hex,status,metres,strands,price,L,a,b\n"
        "A,,#102030,,,,,,,\n"
        "A,,#102031,,,,,,,\n"
        ",,#102030,,,,,,,\n"
        "C,,#1020,,,,,,,\n"
        "D,,,,,,,,,\n"
        "E,,#102030,old,,,,,,\n"
        "F,,#102030,,-1,,,,,\n"
        "G,,#102030,,,2.5,,,,\n"
        "H,,#102030,,,,-2,,,\n"
        "I,,,,,,,150,0,0\n"
        "J,,,,,,,50,x,0\n"
        "K,,#102030,,nan,,,,,\n"
    )
    with pytest.raises(TableError) as caught:
        load_palette(_written(tmp_path, text))
    said = str(caught.value)
    for line, reason in {
        3: "code 'A' stands already in line 2",
        4: "no code",
        5: "colour '#1020' isn't of the form #rrggbb",
        6: "no colour; give hex, or L, a and b",
        7: "status 'old' is neither current nor discontinued",
        8: "metres '-1' isn't above 0",
        9: "strands '2.5' isn't a whole number",
        10: "price '-2' is below 0",
        11: "Lab 150, 0, 0 is no colour of a thread",
        12: "a 'x' isn't a number",
        13: "metres 'nan' isn't a finite number",
    }.items():
        assert f"line {line}: {reason}" in said
    assert "\n" not in said


def test_one_code_may_stand_in_two_lines(tmp_path: Path) -> None:
    path = _written(tmp_path, "code,hex,line\n1,#000000,Hill\n1,#ffffff,Dale\n")
    assert len(load_palette(path).threads) == 2


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "is empty"),
        ("name,hex\nx,#000000\n", "no column code"),
        ("code,name\nA,x\n", "needs a column hex, or the columns L, a and b"),
        ("code,hex\n", "holds no thread"),
        ("GIMP Palette\n#\n", "holds no thread"),
        ("GIMP Palette\n1 2\n300 0 0 x\n", "line 2: '1 2' isn't of the form"),
    ],
)
def test_a_file_that_is_no_palette_is_refused(tmp_path: Path, text: str, reason: str) -> None:
    path = _written(tmp_path, text)
    with pytest.raises(TableError, match=reason) as caught:
        load_palette(path)
    assert str(path) in str(caught.value)


def test_bytes_that_are_no_text_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "threads.csv"
    path.write_bytes(b"\x89PNG\r\n\x1a\n\xff\xfe")
    with pytest.raises(TableError, match="UTF-8"):
        load_palette(path)


def test_a_missing_palette_is_refused_with_the_names_of_the_samples(tmp_path: Path) -> None:
    with pytest.raises(TableError, match=r"nor a sample palette of that name.*meadowline"):
        load_palette(tmp_path / "none.csv")
    with pytest.raises(TableError, match="can't be opened"):
        load_palette(tmp_path)


def test_a_gimp_palette_is_read_by_the_names_of_its_colours(tmp_path: Path) -> None:
    text = (
        "GIMP Palette\nName: Some\nColumns: 4\n#\n255   0   0\tRose red\n1 2 3\tUntitled\n4 5 6\n"
    )
    threads = load_palette(_written(tmp_path, text, "some.gpl")).threads
    assert [t.code for t in threads] == ["Rose red", "#010203", "#040506"]
    assert threads[0].rgb == (255, 0, 0)


def test_each_sample_is_listed_and_read_by_its_bare_name() -> None:
    files = {path.stem for path in sample_folder().glob("*.csv")}
    assert files == set(SAMPLES) | set(EXAMPLES)
    assert [len(load_palette(Path(name)).threads) for name in SAMPLES] == [408, 120, 148]


def test_a_file_of_that_name_goes_before_the_sample(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _written(tmp_path, "code,hex\nZ,#123456\n", "meadowline")
    monkeypatch.chdir(tmp_path)
    assert [t.code for t in load_palette(Path("meadowline")).threads] == ["Z"]


def test_the_sample_range_is_spread_out_and_partly_discontinued() -> None:
    palette = load_palette(Path("meadowline"))
    distance = ciede2000_matrix(palette.lab, palette.lab)
    np.fill_diagonal(distance, np.inf)
    assert distance.min() > 1
    assert sum(t.status == "discontinued" for t in palette.threads) == 40


def test_the_named_colours_of_the_web_are_those_of_matplotlib() -> None:
    """W3C CSS Color 4; matplotlib carries the same table."""
    from matplotlib.colors import CSS4_COLORS

    threads = load_palette(Path("css-colours")).threads
    assert {t.code: "#{:02x}{:02x}{:02x}".format(*t.rgb) for t in threads} == {
        name: value.lower() for name, value in CSS4_COLORS.items()
    }


def test_a_stash_adds_up_rows_and_counts_opened_skeins_by_length(tmp_path: Path) -> None:
    text = "code,skeins,line,metres_left,note\nA,2,,,\nA,1,,4,half left\nB,,Hill,2,\nB,1,Dale,,\n"
    owned = load_owned(_written(tmp_path, text, "stash.csv"))
    assert owned.of(thread("A", "#000000", metres=8.0)) == 3.5
    assert owned.of(thread("A", "#000000", metres=8.0, line="Hill")) == 3.5  # no line: any line
    assert owned.of(thread("B", "#000000", metres=10.0, line="Hill")) == 0.2
    assert owned.of(thread("B", "#000000", metres=10.0, line="Dale")) == 1
    assert owned.of(thread("B", "#000000", metres=10.0)) == 1.2  # a range without lines
    assert owned.of(thread("C", "#000000")) == 0


def test_bad_rows_of_a_stash_are_named_all_at_once(tmp_path: Path) -> None:
    path = _written(tmp_path, "code,skeins\nA,-1\n,2\nB,two\n", "stash.csv")
    with pytest.raises(
        TableError, match=r"line 2: .*below 0; line 3: no code; line 4: skeins 'two'"
    ):
        load_owned(path)


def test_codes_of_the_stash_that_the_palette_lacks_are_found() -> None:
    palette = load_palette(Path("meadowline"))
    owned = Owned({("", "ROS1"): 1, ("Other", "ROS1"): 1, ("Meadowline", "none"): 2})
    assert unknown_codes(owned, palette) == ("ROS1", "none")
    assert unknown_codes(load_owned(Path("stash-example")), palette) == ()


def test_a_key_names_classes_by_number_symbol_or_colour(tmp_path: Path) -> None:
    palette = load_palette(Path("meadowline"))
    chart = chart_of(["#aa0000", None, "#00aa00"])
    text = "class,code\n1,ROS4\nsign 2,ros5\n#00AA00,PAR5\n1,\n"  # the last is left blank
    path = _written(tmp_path, text, "key.csv")
    key = load_key(path, chart, palette)
    assert {index: t.code for index, t in key.items()} == {1: "ROS4", 2: "ROS5", 3: "PAR5"}


def test_bad_rows_of_a_key_are_named_all_at_once(tmp_path: Path) -> None:
    palette = load_palette(Path("meadowline"))
    text = "class,code\n1,ROS4\n1,ROS5\n0,ROS4\n9,ROS4\n2,nope\n2,\n,ROS4\n"
    with pytest.raises(TableError) as caught:
        load_key(_written(tmp_path, text, "key.csv"), chart_of(["#aa0000", "#00aa00"]), palette)
    for part in (
        "line 3: class 1 stands twice",
        "line 4: no class '0' in the chart that is stitched",
        "line 5: no class '9'",
        "line 6: no thread 'nope' in the palette",
        "line 8: no class",
    ):
        assert part in str(caught.value)


def test_a_code_that_stands_in_two_lines_needs_its_line(tmp_path: Path) -> None:
    path = _written(tmp_path, "code,hex,line\n1,#000000,Hill\n1,#ffffff,Dale\n")
    palette, chart = load_palette(path), chart_of(["#aa0000"])
    key = _written(tmp_path, "class,code\n1,1\n", "key.csv")
    with pytest.raises(TableError, match="stands in several lines"):
        load_key(key, chart, palette)
    key.write_text("class,code,line\n1,1,dale\n", encoding="utf-8")
    assert load_key(key, chart, palette)[1].line == "Dale"


BLENDS = Palette(
    tuple(thread(c, h) for c, h in (("A1", "#aa0000"), ("S1", "#00aa00"), ("A+S", "#0a0a0a")))
)


@pytest.mark.parametrize(
    ("rows", "wanted"),
    [
        ("1,A1+S1", {1: ("A1", "S1")}),
        ("1, a1 + s1 ", {1: ("A1", "S1")}),
        ("1,A+S", {1: ("A+S",)}),
        ("1 3,A1\n2,S1", {1: ("A1",), 2: ("S1",), 3: ("A1",)}),
        ("1 3+S1,A1\n3+A1,S1\n2,S1", {1: ("A1",), 2: ("S1",), 3: ("A1", "S1")}),
    ],
)
def test_a_key_names_blends_and_several_classes_at_once(
    rows: str, wanted: dict[int, tuple[str, ...]], tmp_path: Path
) -> None:
    """By the code, or as a kit's table has them; a code with a plus in it goes first."""
    path = _written(tmp_path, f"class,code\n{rows}\n", "key.csv")
    chart = chart_of(["#aa0000", "#00aa00", "#550055"])
    found = load_strands(path, chart, BLENDS)
    assert {k: tuple(t.code for t in threads) for k, threads in found.items()} == wanted


@pytest.mark.parametrize(
    "rows", ["1,A1+A1", "1+S1,A1+S1", "1,A1\n1,S1", "1,A1+S1+A1", "1,A1\n1,A1"]
)
def test_a_blend_that_can_not_be_is_refused(rows: str, tmp_path: Path) -> None:
    """With the number of its line."""
    path = _written(tmp_path, f"class,code\n{rows}\n", "key.csv")
    with pytest.raises(TableError, match="line "):
        load_strands(path, chart_of(["#aa0000"]), BLENDS)
