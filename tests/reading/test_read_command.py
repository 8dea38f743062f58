"""``chartscan read`` from a person's side: files in, files out, one clear line when it can't."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from chartscan.chart import load_chart
from chartscan.cli.main import run
from chartscan.cli.parsing import (
    parse_area,
    parse_colour,
    parse_pages,
    parse_point,
    parse_repeats,
    parse_size,
)
from chartscan.reading import ReadSettings

PITCH = 14
COLOURS = np.array([(255, 255, 255), (200, 40, 60), (30, 90, 160)], dtype=np.uint8)


@pytest.fixture
def cells() -> np.ndarray[tuple[int, ...], np.dtype[np.intp]]:
    """Sixteen by twenty cells of a little pattern with a bare edge."""
    return np.pad(np.random.default_rng(8).integers(0, 3, (14, 18)), 1)


@pytest.fixture
def picture(tmp_path: Path, cells: np.ndarray[tuple[int, ...], np.dtype[np.intp]]) -> Path:
    """The pattern as a clean page with grid lines."""
    chart = np.kron(COLOURS[cells], np.ones((PITCH, PITCH, 1), dtype=np.uint8))
    page = np.full((16 * PITCH + 61, 20 * PITCH + 61, 3), 255, dtype=np.uint8)
    page[30:-31, 30:-31] = chart
    page[30:-30:PITCH, 30:-30] = 120
    page[30:-30, 30:-30:PITCH] = 120
    path = tmp_path / "page.png"
    Image.fromarray(page).save(path)
    return path


def test_a_picture_becomes_a_chart_file_and_a_summary(
    picture: Path,
    cells: np.ndarray[tuple[int, ...], np.dtype[np.intp]],
    capsys: pytest.CaptureFixture[str],
) -> None:
    out = picture.with_name("chart.json")
    assert run(["read", str(picture), "-o", str(out)]) == 0
    said = capsys.readouterr()
    assert said.out == ""
    assert f"20×16 cells; {int((cells > 0).sum())} stitches in 2 classes; no doubts" in said.err
    shown = np.array([c.rgb for c in load_chart(out).classes])[load_chart(out).cells]
    np.testing.assert_array_equal(shown, COLOURS[cells])


def test_without_an_output_the_chart_goes_to_standard_output(
    picture: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["read", str(picture)]) == 0
    assert json.loads(capsys.readouterr().out)["format"] == "chartscan.chart"


def test_review_sheet_and_key_template_are_written_with_the_chart(picture: Path) -> None:
    folder = picture.parent
    options = ["--review", "r.png", "--glyphs", "g.png", "--key-template", "k.csv"]
    paths = [str(folder / o) if "." in o else o for o in options]
    assert run(["read", str(picture), "-o", str(folder / "c.json"), *paths]) == 0
    for name in ("r.png", "g.png"):
        with Image.open(folder / name) as image:
            assert image.format == "PNG"
    assert (folder / "k.csv").read_text().startswith("class,symbol,count,rgb,cells,code\n1,")


def test_a_key_that_is_filled_in_stays_filled_in(picture: Path) -> None:
    """Stitchers lost an evening's work to a second --key-template."""
    key = picture.with_name("key.csv")
    command = ["read", str(picture), "-o", str(picture.with_name("c.json"))]
    assert run([*command, "--key-template", str(key)]) == 0
    head, first, *others = key.read_text().splitlines()
    key.write_text("\n".join([head, first + "A7", *others]) + "\n")
    told = key.read_text()
    assert run([*command, "--key-template", str(key)]) == 0
    assert key.read_text() == told


def test_corrections_are_applied_each_time(picture: Path) -> None:
    fixes = picture.with_name("fixes.csv")
    fixes.write_text("row,column,class\n0,0,1\n")
    out = picture.with_name("chart.json")
    for _ in range(2):
        assert run(["read", str(picture), "-o", str(out), "--fix", str(fixes)]) == 0
        assert load_chart(out).cells[0, 0] == 1


def test_when_one_result_cannot_be_written_none_is(
    picture: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = picture.with_name("chart.json")
    review = picture.parent / "missing" / "r.png"
    assert run(["read", str(picture), "-o", str(out), "--review", str(review)]) == 1
    assert not out.exists()
    assert "does not exist" in capsys.readouterr().err
    assert sorted(p.name for p in picture.parent.iterdir()) == ["page.png"]


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda p: p.write_bytes(b""), "is empty"),
        (lambda p: p.write_text("hello " * 40), "isn't a picture"),
        (lambda p: p.mkdir(), "is a folder"),
        (lambda p: None, "no such file"),
        (lambda p: Image.new("RGB", (1, 1)).save(p, "PNG"), "1×1 pixels"),
        (lambda p: Image.new("RGB", (400, 300), (9, 99, 9)).save(p, "PNG"), "grid"),
    ],
    ids=["empty", "text", "folder", "missing", "one pixel", "one colour"],
)
def test_bad_input_is_one_line_that_names_the_file_and_leaves_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], make: object, said: str
) -> None:
    path, out = tmp_path / "bad.png", tmp_path / "chart.json"
    assert callable(make)
    make(path)
    assert run(["read", str(path), "-o", str(out)]) == 1
    errors = capsys.readouterr().err
    assert errors.startswith("Error: ")
    assert errors.count("\n") == 1
    assert "bad.png" in errors
    assert said in errors
    assert not out.exists()


def test_a_cover_page_says_how_to_reach_the_others(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from reportlab.pdfgen.canvas import Canvas

    path = tmp_path / "pattern.pdf"
    canvas = Canvas(str(path))
    for _ in range(3):
        canvas.drawString(60, 700, "Stitch from the middle.")
        canvas.showPage()
    canvas.save()
    assert run(["read", str(path)]) == 1
    said = capsys.readouterr().err
    assert "pattern.pdf: no stitch grid" in said
    assert "holds 3 pages; the first was read" in said
    assert "choose with --page or --pages" in said


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--page", "2", "--pages", "1-2"], "can't both"),
        (["--size", "3x3"], "at least 5×5"),
        (["--size", "30y3"], "isn't like 120x90"),
        (["--size", "0x90"], "'0x90': both numbers must be at least 1"),
        (["--layout", "2x0"], "'2x0': both numbers must be at least 1"),
        (["--corners", "1,2", "3,4", "5,6", "7,q"], "isn't like 40,60"),
        (["--corners", "0,0", "0,9", "9,9", "9,0"], "top left, top right"),
        (["--empty", "#12345"], "isn't a colour"),
        (["--empty", "#123456", "--no-empty"], "either"),
        (["--pages", "5-2"], "doesn't run upwards"),
        (["--repeats", "2,x"], "isn't like 2 or 2,?,0"),
        (["--area", "1,2,3,0"], "x, y, width, height"),
        (["--colours", "0"], "0"),
        (["--review", "page.png"], "read by this command"),
        (["--review", "a.png", "--glyphs", "a.png"], "same file"),
    ],
)
def test_wrong_usage_is_told_with_status_2(
    picture: Path,
    capsys: pytest.CaptureFixture[str],
    options: list[str],
    said: str,
) -> None:
    given = [str(picture.parent / o) if o.endswith(".png") else o for o in options]
    assert run(["read", str(picture), *given]) == 2
    assert said in capsys.readouterr().err


def test_values_are_parsed_as_people_write_them() -> None:
    assert parse_size("120x90") == parse_size(" 120 × 90 ") == (120, 90)
    assert parse_area("1,2,30.5,40") == (1.0, 2.0, 30.5, 40.0)
    assert parse_point("-3,4") == (-3.0, 4.0)
    assert parse_colour("F4EFE6") == parse_colour("#f4efe6") == (0xF4, 0xEF, 0xE6)
    assert parse_colour("#fff") == (255, 255, 255)
    assert parse_pages("2-4") == (2, 3, 4)
    assert parse_repeats("2, ?,0") == (2, None, 0)
    assert parse_pages("1, 3,6 - 7") == (1, 3, 6, 7)


@pytest.mark.parametrize("text", ["0", "3-1", "1-9999", "x", "", "1,1", "1,,2"])
def test_page_ranges_that_make_no_sense_are_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"isn't like|doesn't run|over 200|names a page twice"):
        parse_pages(text)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"size": (4, 9)}, "at least 5×5"),
        ({"area": (0.0, 0.0, 0.0, 5.0)}, "over 0"),
        ({"corners": ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0))}, "four points"),
        ({"colours": 0}, "at least one colour"),
        ({"pages": (0,)}, "numbered from 1"),
        ({"layout": (0, 1)}, "at least one row"),
        ({"max_pixels": 0}, "at least 1"),
    ],
)
def test_settings_that_contradict_themselves_are_refused(
    wrong: dict[str, object], said: str
) -> None:
    with pytest.raises(ValueError, match=said):
        ReadSettings(**wrong)  # type: ignore[arg-type] # wrong on purpose
