"""What is told about a card: codes, references, corners; and finding its fields untold."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from chartscan.colour import srgb_to_lab
from chartscan.errors import GridError, TableError
from chartscan.palette.card import corner_lattice, load_card, load_references
from chartscan.palette.find_card import find_card, locate_card
from chartscan.reading.page.page import Page
from chartscan.remedies import Remedy
from tests.palette.drawn_card import DrawnCard, Look, draw_card


def written(folder: Path, text: str) -> Path:
    path = folder / "list.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_codes_are_read_in_order_with_what_else_is_known(tmp_path: Path) -> None:
    card = load_card(written(tmp_path, "code,name,metres\nA1,moss,8\n-,,\nB2,,\n"))
    assert [t.code for t in card] == ["A1", "-", "B2"]
    assert card[0].also == {"name": "moss", "metres": "8"}
    assert card[2].also == {}


def test_bad_codes_are_named_all_at_once(tmp_path: Path) -> None:
    with pytest.raises(TableError) as caught:
        load_card(written(tmp_path, "code,name\nA1,\n,moss\nA1,x\n-,\n-,\n"))
    message = str(caught.value)
    assert "line 3: no code" in message
    assert "line 4: code 'A1' stands already in line 2" in message
    assert message.count("line") == 3


def test_what_no_palette_could_hold_is_refused_before_the_work_is_done(tmp_path: Path) -> None:
    text = "code,status,metres,strands\nA1,lost,,\nA2,,-8,\nA3,,8,2.5\nA4,current,8,6\n"
    with pytest.raises(TableError) as caught:
        load_card(written(tmp_path, text))
    for said in ("line 2: status 'lost'", "line 3: metres '-8'", "line 4: strands '2.5'"):
        assert said in str(caught.value)
    assert "line 5" not in str(caught.value)


def test_a_list_without_a_thread_is_refused(tmp_path: Path) -> None:
    with pytest.raises(TableError, match="names no thread"):
        load_card(written(tmp_path, "code\n-\n-\n"))


def test_references_go_by_field_or_by_code(tmp_path: Path) -> None:
    card = load_card(written(tmp_path, "code\nA1\n-\nB2\n"))
    text = "field,code,hex,L,a,b\n2,,#ffffff,,,\n,B2,,50,10,-5\n"
    white, blue = load_references(written(tmp_path, text), card)
    assert white.index == 1
    assert white.lab[0] == pytest.approx(100, abs=0.01)
    assert (blue.index, blue.lab) == (2, (50.0, 10.0, -5.0))


def test_references_beside_the_card_go_by_pixels(tmp_path: Path) -> None:
    card = load_card(written(tmp_path, "code\nA1\nB2\n"))
    text = "x,y,code,hex\n410,20.5,,#808080\n,,B2,#102030\n430,21,,#ffffff\n"
    first, field, second = load_references(written(tmp_path, text), card)
    assert (first.index, first.at) == (2, (410.0, 20.5))
    assert (field.index, field.at) == (1, None)
    assert (second.index, second.at) == (3, (430.0, 21.0))
    with pytest.raises(TableError, match="line 2: y"):
        load_references(written(tmp_path, "x,y,hex\n410,,#808080\n"), card)


def test_references_under_another_illuminant_are_brought_to_d65(tmp_path: Path) -> None:
    """The published light grey of a common target, D50: neutral under any illuminant."""
    card = load_card(written(tmp_path, "code\nA1\n"))
    path = written(tmp_path, "field,L,a,b\n1,81.3,0,0\n")
    (reference,) = load_references(path, card, "D50")
    np.testing.assert_allclose(reference.lab, (81.3, 0, 0), atol=0.1)


def test_bad_references_are_named_all_at_once(tmp_path: Path) -> None:
    card = load_card(written(tmp_path, "code\nA1\n-\nB2\n"))
    text = "field,code,hex\n9,,#fff\n,Z9,#fff\n,,#fff\n1,,#ggg\n3,,#fff\n,B2,#fff\n2,-,\nx,,#fff\n"
    with pytest.raises(TableError) as caught:
        load_references(written(tmp_path, text), card)
    message = str(caught.value)
    for said in (
        "line 2: field '9' isn't one of 1 to 3",
        "line 3: code 'Z9' isn't on the card",
        "line 4: names no field",
        "line 5: colour '#ggg'",
        "line 7: field 3 stands twice",
        "line 8: no colour",
        "line 9: field 'x'",
    ):
        assert said in message


def test_corners_are_mapped_onto_corners() -> None:
    corners = ((10.0, 12.0), (210.0, 20.0), (200.0, 170.0), (5.0, 160.0))
    lattice = corner_lattice(corners, 8, 6)
    grid = np.array([[0, 0], [8, 0], [8, 6], [0, 6]], dtype=float)
    np.testing.assert_allclose(lattice.to_pixels(grid), corners, atol=1e-9)


@pytest.mark.parametrize(
    "corners",
    [
        ((0.0, 0.0), (0.0, 9.0), (9.0, 9.0), (9.0, 0.0)),
        ((0.0, 0.0), (9.0, 9.0), (9.0, 0.0), (0.0, 9.0)),
        ((0.0, 0.0), (9.0, 0.0), (9.0, 0.0), (0.0, 9.0)),
        ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0)),
    ],
    ids=["anticlockwise", "crossed", "two in one", "three"],
)
def test_corners_in_the_wrong_order_are_refused(corners: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(GridError, match="corner"):
        corner_lattice(corners, 3, 3)


def drawn(look: Look, count: int = 40, columns: int = 8) -> DrawnCard:
    rgb = np.random.default_rng(3).uniform(15, 235, (count, 3))
    return draw_card(srgb_to_lab(rgb), columns, look)


@pytest.mark.parametrize(
    "look",
    [Look(), Look(tilt=25, slope=0.25), Look(pitch=28), Look(fill=0.6, noise=4)],
    ids=["straight", "tilted", "small", "wide gaps"],
)
def test_fields_with_paper_between_them_are_found(look: Look) -> None:
    card = drawn(look)
    truth = card.lattice.to_cells(card.lattice.centres())
    for told in ((8, 5), None):
        lattice = find_card(card.pixels, told)
        assert (lattice.columns, lattice.rows) == (8, 5)
        assert np.abs(card.lattice.to_cells(lattice.centres()) - truth).max() < 0.05


def test_a_few_white_threads_that_cannot_be_seen_are_no_hindrance() -> None:
    rgb = np.random.default_rng(3).uniform(15, 200, (40, 3))
    lab = srgb_to_lab(rgb)
    lab[[0, 9, 12, 30]] = (95.0, 0.0, -2.0)
    lattice = find_card(draw_card(lab, 8).pixels, (8, 5))
    assert (lattice.columns, lattice.rows) == (8, 5)


def test_a_card_on_a_table_that_fills_more_of_the_picture_is_found() -> None:
    card = drawn(Look(pitch=30)).pixels
    table = np.full((card.shape[0] + 300, card.shape[1] + 400, 3), (120, 80, 50), dtype=np.uint8)
    table[150:-150, 150:-250] = card
    lattice = find_card(table)
    assert (lattice.columns, lattice.rows) == (8, 5)


def test_another_number_of_fields_than_told_is_refused_with_what_was_found() -> None:
    with pytest.raises(GridError, match=r"no card of 7 × 5 fields .*8 × 5 were"):
        find_card(drawn(Look()).pixels, (7, 5))


@pytest.mark.parametrize("kind", ["blank", "noise", "touching"])
def test_a_picture_without_separate_fields_is_refused_with_advice(kind: str) -> None:
    rng = np.random.default_rng(1)
    pixels = {
        "blank": np.full((200, 300, 3), 240, dtype=np.uint8),
        "noise": rng.integers(0, 256, (200, 300, 3), dtype=np.uint8),
        "touching": drawn(Look(fill=1.0)).pixels,
    }[kind]
    with pytest.raises(GridError, match="no card of") as refused:
        find_card(pixels, (8, 5))
    assert refused.value.remedies == (Remedy.TELL_CARD,)


def test_fields_that_touch_are_found_by_the_reader_of_charts() -> None:
    smooth = Look(fill=1.0, texture=0, shine=0, gaps=0, noise=1)
    card = drawn(smooth)
    lattice = locate_card(Page(card.pixels, lossless=True), (8, 5))
    off = card.lattice.to_cells(lattice.centres()) - card.lattice.to_cells(card.lattice.centres())
    assert np.abs(off).max() < 0.1
    with pytest.raises(GridError, match="7 × 5"):
        locate_card(Page(card.pixels, lossless=True), (7, 5))


def test_corners_that_are_told_are_taken_as_they_are() -> None:
    card = drawn(Look())
    lattice = locate_card(Page(card.pixels, lossless=True), (8, 5), card.corners)
    np.testing.assert_array_equal(lattice.homography, card.lattice.homography)
