"""``chartscan palette`` and ``chartscan blend`` as a stitcher calls them."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from chartscan.chart import Chart, ChartClass, save_chart
from chartscan.colour import srgb_to_lab
from chartscan.palette.load import load_palette
from tests.palette.drawn_card import Look, draw_card

Call = Callable[..., Any]


@dataclass(frozen=True)
class CardFiles:
    """A drawn card on disk: picture, codes, references, the true palette, outer corners."""

    folder: Path
    picture: Path
    codes: Path
    references: Path
    truth: Path
    corners: tuple[str, ...]


@pytest.fixture(scope="module")
def card(tmp_path_factory: pytest.TempPathFactory) -> CardFiles:
    """Twenty-four threads, six across, under a warm cast; the first six are references."""
    from PIL import Image

    folder = tmp_path_factory.mktemp("card")
    six = [[240] * 3, [120] * 3, [190, 40, 40], [40, 120, 60], [40, 60, 150], [220, 190, 50]]
    others = np.random.default_rng(12).uniform(15, 235, (18, 3))
    lab = srgb_to_lab(np.concatenate([six, others]))
    drawn = draw_card(lab, 6, Look(pitch=40, slope=0.1))
    Image.fromarray(drawn.pixels).save(folder / "card.png")
    rows = [",".join(f"{value:.4f}" for value in row) for row in lab]
    files = {
        "codes.csv": ["code,name", *(f"T{i + 1},thread {i + 1}" for i in range(24))],
        "ref.csv": ["field,L,a,b", *(f"{i + 1},{rows[i]}" for i in range(6))],
        "truth.csv": ["code,L,a,b", *(f"T{i + 1},{rows[i]}" for i in range(24))],
    }
    for name, lines in files.items():
        (folder / name).write_text("\n".join(lines) + "\n", encoding="utf-8")
    return CardFiles(
        folder,
        folder / "card.png",
        folder / "codes.csv",
        folder / "ref.csv",
        folder / "truth.csv",
        tuple(f"{x},{y}" for x, y in drawn.corners),
    )


def test_a_measured_palette_can_be_used_and_compared(
    chartscan: Call, card: CardFiles, tmp_path: Path
) -> None:
    mine, review = tmp_path / "mine.csv", tmp_path / "review.png"
    done = chartscan(
        "palette", "measure", card.picture, card.codes, "--reference", card.references,
        "-o", mine, "--review", review,
    )  # fmt: skip
    assert done.status == 0
    assert done.out == ""
    assert "Card: 6 across, 4 down." in done.err
    assert "Measured 24 threads; 0 left out." in done.err
    assert "learnt from 6 references" in done.err
    assert review.read_bytes().startswith(b"\x89PNG")
    assert mine.read_text(encoding="utf-8").startswith("code,name,L,a,b,spread\nT1,thread 1,")
    assert len(load_palette(mine).threads) == 24
    compared = chartscan("palette", "compare", card.truth, mine, "--json")
    figures = json.loads(compared.out)
    assert figures["mean"] < 1.0
    assert figures["largest"] < 2.5
    assert figures["only_first"] == figures["only_second"] == []


def test_the_palette_goes_to_standard_output_where_no_file_is_named(
    chartscan: Call, card: CardFiles
) -> None:
    done = chartscan("palette", "measure", card.picture, card.codes)
    assert done.status == 0
    assert done.out.splitlines()[0] == "code,name,L,a,b,spread"
    assert len(done.out.splitlines()) == 25
    assert "paper was taken for Lab" in done.err


def test_corners_told_and_corners_found_give_the_same_colours(
    chartscan: Call, card: CardFiles
) -> None:
    found, told = (
        json.loads(
            chartscan(
                "palette",
                "measure",
                card.picture,
                card.codes,
                "--reference",
                card.references,
                "--json",
                *more,
            ).out
        )
        for more in ((), ("--grid", "6x4", "--corners", *card.corners))
    )
    assert found["correction"]["references"] == told["correction"]["references"] == 6
    for one, other in zip(found["threads"], told["threads"], strict=True):
        np.testing.assert_allclose(one["lab"], other["lab"], atol=1.0)


def test_a_paper_of_known_colour_is_believed(chartscan: Call, card: CardFiles) -> None:
    dull, usual = (
        json.loads(chartscan("palette", "measure", card.picture, card.codes, "--json", *more).out)[
            "threads"
        ][1]["lab"][0]
        for more in (("--paper", "lab:80,0,10"), ())
    )
    assert dull < usual - 5


@pytest.mark.parametrize(
    ("arguments", "status", "said"),
    [
        (("--corners", "0,0", "9,0", "9,9", "0,9"), 2, "--corners needs --grid"),
        (("--paper", "#fff", "--no-paper"), 2, "can't both"),
        (("--paper", "cream"), 1, "cream"),
        (("--grid", "5x5"), 1, "no card of 5 × 5 fields"),
        (("--grid", "six"), 2, "six"),
        (
            ("--grid", "8x4", "--corners", "40,30", "280,30", "280,190", "40,190"),
            1,
            "more fields than codes: the card has 32 fields (8 × 4), the list has 24 rows",
        ),
        (("--reference", "gone.csv"), 1, "gone.csv"),
    ],
)
def test_what_can_not_be_measured_is_one_clear_line_and_leaves_no_file(
    chartscan: Call,
    card: CardFiles,
    tmp_path: Path,
    arguments: tuple[str, ...],
    status: int,
    said: str,
) -> None:
    out = tmp_path / "mine.csv"
    done = chartscan("palette", "measure", card.picture, card.codes, "-o", out, *arguments)
    assert done.status == status
    assert done.err.startswith("Error: ")
    assert said in done.err
    assert done.err.count("\n") == 1
    assert not out.exists()


def test_a_picture_that_is_none_is_refused(chartscan: Call, card: CardFiles) -> None:
    done = chartscan("palette", "measure", card.codes, card.codes)
    assert done.status == 1
    assert "codes.csv" in done.err


def test_neither_file_is_written_if_one_can_not_be(
    chartscan: Call, card: CardFiles, tmp_path: Path
) -> None:
    out = tmp_path / "mine.csv"
    done = chartscan(
        "palette", "measure", card.picture, card.codes, "-o", out, "--review", tmp_path / "no/r.png"
    )
    assert done.status == 1
    assert not out.exists()


def test_check_counts_and_names_twins(chartscan: Call, tmp_path: Path) -> None:
    path = tmp_path / "p.csv"
    path.write_text("code,hex\nA,#804020\nB,#804020\nC,#814020\nD,#102030\n", encoding="utf-8")
    shown = chartscan("palette", "check", path)
    assert shown.status == 0
    assert "4 threads" in shown.out
    assert "the same" in shown.out
    assert "3 pairs within ΔE 0.8." in shown.out
    told = json.loads(chartscan("palette", "check", path, "--json").out)
    assert told["threads"] == 4
    assert [t["same"] for t in told["twins"]] == [True, False, False]
    quiet = chartscan("palette", "check", path, "--within", "0.000001")
    assert quiet.status == 0


def test_check_names_every_bad_row_at_once(chartscan: Call, tmp_path: Path) -> None:
    path = tmp_path / "p.csv"
    path.write_text("code,hex\nA,#804020\nA,#112233\n,#112233\nB,red\n", encoding="utf-8")
    done = chartscan("palette", "check", path)
    assert done.status == 1
    for line in ("line 3", "line 4", "line 5"):
        assert line in done.err
    assert done.err.count("\n") == 1


def test_check_tells_colours_no_screen_shows(chartscan: Call, tmp_path: Path) -> None:
    path = tmp_path / "p.csv"
    path.write_text("code,L,a,b\nA,60,-70,-40\nB,50,0,0\n", encoding="utf-8")
    done = chartscan("palette", "check", path)
    assert "screens can't show 1 of the colours as they are: A" in done.err


def test_compare_says_which_codes_one_lacks(chartscan: Call, tmp_path: Path) -> None:
    one, other = tmp_path / "one.csv", tmp_path / "other.csv"
    one.write_text("code,hex\nA,#804020\nB,#102030\n", encoding="utf-8")
    other.write_text("code,hex\nA,#814121\nC,#102030\n", encoding="utf-8")
    done = chartscan("palette", "compare", one, other)
    assert done.status == 0
    assert "1 thread in both" in done.out
    said = " ".join(done.err.split())  # a window may break the line, but no path
    assert f"{other} lacks B" in said
    assert f"{one} lacks C" in said
    none = chartscan("palette", "compare", one, tmp_path / "gone.csv")
    assert none.status == 1


def test_the_sample_ranges_are_listed_and_can_be_checked(chartscan: Call) -> None:
    listed = json.loads(chartscan("palette", "list", "--json").out)
    assert "meadowline" in chartscan("palette", "list").out
    for name in listed["palettes"]:
        assert chartscan("palette", "check", name).status == 0


def test_blends_are_told_with_their_model(chartscan: Call) -> None:
    shown = chartscan("blend", "#6d7f93", "--palette", "meadowline", "--gain", "0.2")
    assert shown.status == 0
    assert " + " in shown.out
    assert "a model" in shown.err
    told = json.loads(
        chartscan("blend", "#6d7f93", "--palette", "meadowline", "--gain", "0.2", "--json").out
    )
    (colour,) = told["colours"]
    assert colour["rgb"] == [0x6D, 0x7F, 0x93]
    for found in colour["blends"]:
        assert found["gain"] >= 0.2
        assert found["contrast"] <= 12
        assert found["delta_e"] == pytest.approx(
            colour["single"]["delta_e"] - found["gain"], abs=1e-3
        )


def test_owned_blends_are_marked_and_come_first(chartscan: Call) -> None:
    told = json.loads(
        chartscan(
            "blend", "lab:45,10,15", "--palette", "meadowline", "--owned", "stash-example",
            "--gain", "0", "-n", "5", "--json",
        ).out
    )  # fmt: skip
    owned = [found["owned"] for found in told["colours"][0]["blends"]]
    assert owned == sorted(owned, reverse=True)


def test_every_colour_of_a_chart_gets_its_blends(chartscan: Call, chart_file: Path) -> None:
    told = json.loads(chartscan("blend", chart_file, "--palette", "meadowline", "--json").out)
    assert [c["wanted"] for c in told["colours"]] == ["1", "2", "3"]


def test_a_thread_is_not_offered_in_its_own_place(chartscan: Call) -> None:
    told = json.loads(
        chartscan(
            "blend", "HER4", "--palette", "meadowline", "--gain", "0", "--contrast", "60", "--json"
        ).out
    )
    (colour,) = told["colours"]
    used = {t["code"] for found in colour["blends"] for t in found["threads"]}
    assert "HER4" not in used | {colour["single"]["code"]}
    assert used


def test_a_chart_without_colours_has_nothing_to_blend(chartscan: Call, tmp_path: Path) -> None:
    cells = np.ones((6, 6), dtype=np.int32)
    chart = Chart(cells, (ChartClass(0, "empty"), ChartClass(1, "stitch", None, "A")))
    save_chart(chart, tmp_path / "ink.json")
    done = chartscan("blend", tmp_path / "ink.json", "--palette", "meadowline")
    assert done.status == 1
    assert "nothing to blend" in done.err


def test_a_colour_without_a_better_blend_is_said(chartscan: Call) -> None:
    done = chartscan("blend", "#6d7f93", "--palette", "meadowline", "--gain", "50")
    assert done.status == 0
    assert "no blend comes nearer by ΔE 50" in done.err


@pytest.mark.parametrize(
    ("wanted", "status"), [("#12", 1), ("lab:1,2", 1), ("nosuch", 1), ("gone.json", 1)]
)
def test_a_colour_that_is_none_is_one_clear_line(chartscan: Call, wanted: str, status: int) -> None:
    done = chartscan("blend", wanted, "--palette", "meadowline")
    assert done.status == status
    assert done.err.startswith("Error: ")
    assert done.err.count("\n") == 1


def test_a_blend_of_the_key_is_named_whole(chartscan: Call, tmp_path: Path) -> None:
    key = tmp_path / "key.csv"
    key.write_text("class,code\n2,COR6+STO4\n", encoding="utf-8")
    example = Path(__file__).resolve().parents[2] / "examples" / "lighthouse.png"
    shown = chartscan("match", str(example), "--palette", "meadowline", "--key", str(key))
    assert "COR6 Cornfield blue 6 + STO4 Storm 4" in " ".join(shown.out.split())
