"""Several pages of one chart: what is told of each, how they meet, which of them is refused."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest

from chartscan.worktable.kept import Kept
from tests.worktable.conftest import Caller
from tests.worktable.making import MARGIN, PITCH, blank, picture_of
from tests.worktable.waiting import until

WHOLE = np.random.default_rng(7).integers(0, 5, (20, 40))
LEFT, RIGHT = WHOLE[:, :22], WHOLE[:, 20:]  # two columns are on both


def settled(kept: Kept) -> bool:
    return kept.state in ("read", "refused")


def lay_pages(page: Caller, *pictures: bytes) -> str:
    """Lay pictures as the pages of one chart; its id once it is read or refused."""
    first = {"more": "1"} if len(pictures) > 1 else {}
    laid = page.drop("shelf", "lay", pictures[0], name="page 1.png", **first).json
    assert laid is not None
    for place, data in enumerate(pictures[1:], start=2):
        more = {"more": "1"} if place < len(pictures) else {}
        page.drop("shelf", "page", data, chart=laid["chart"], name=f"page {place}.png", **more)
    until(page.table, laid["chart"], settled)
    return str(laid["chart"])


def state_of(page: Caller, chart: str) -> dict[str, Any]:
    told: dict[str, Any] = json.loads(page.look("outline", "state", chart=chart).data)
    return told


def tell(page: Caller, chart: str, **told: object) -> Kept:
    """Have a chart read with what is told; its card once that is done."""
    version = page.table.shelf.get(chart).version
    answer = page.act("outline", "read", chart=chart, version=version, told=told)
    assert answer.status_code == 200, answer.text
    return until(page.table, chart, settled)


def test_every_page_tells_where_its_grid_lies_and_where_it_belongs(page: Caller) -> None:
    chart = lay_pages(page, picture_of(LEFT), picture_of(RIGHT))
    first, second = state_of(page, chart)["pages"]
    assert (first["cells"], second["cells"]) == ([22, 20], [20, 20])
    assert (first["origin"], second["origin"]) == ([0, 0], [0, 20])
    assert len(second["corners"]) == 4
    assert page.table.shelf.chart(chart).columns == 40
    shown = page.screen("outline", chart=chart).text
    assert shown.count('name="sheet"') == 2
    assert "22 × 20" in shown


def test_how_much_two_pages_share_can_be_told(page: Caller) -> None:
    chart = lay_pages(page, picture_of(LEFT), picture_of(RIGHT))
    tell(page, chart, repeats=[0])
    assert page.table.shelf.chart(chart).columns == 42
    assert state_of(page, chart)["pages"][1]["origin"] == [0, 22]
    tell(page, chart, repeats=[None])
    assert page.table.shelf.chart(chart).columns == 40


def test_what_was_told_of_pages_outlives_an_answer_that_reads_again(page: Caller) -> None:
    chart = lay_pages(page, picture_of(LEFT), picture_of(RIGHT))
    tell(page, chart, repeats=[0])
    version = page.table.shelf.get(chart).version
    page.act("check", "tell", chart=chart, version=version, lines=["colours 4"])
    until(page.table, chart, settled)
    assert page.table.shelf.chart(chart).columns == 42


def test_what_was_told_of_a_page_can_be_told_no_more(page: Caller) -> None:
    chart = lay_pages(page, picture_of(LEFT))
    right, bottom = MARGIN + 19 * PITCH, MARGIN + 20 * PITCH  # without the last columns
    corners = [[MARGIN, MARGIN], [right, MARGIN], [right, bottom], [MARGIN, bottom]]
    kept = tell(page, chart, size=[19, 20], corners=corners, colours=4)
    assert page.table.shelf.chart(chart).columns == 19
    assert {*kept.told} == {"size", "corners", "colours"}
    page.act("check", "tell", chart=chart, version=kept.version, lines=["set 1,1 2"])
    kept = tell(page, chart)
    assert page.table.shelf.chart(chart).columns == 22
    assert [act.verb for act in page.table.shelf.chart(chart).corrections] == ["set"]
    assert kept.told == {}


def test_what_an_answer_told_the_reader_stands_on_the_outline_and_is_undone(page: Caller) -> None:
    chart = lay_pages(page, picture_of(LEFT))
    version = page.table.shelf.get(chart).version
    page.act("check", "tell", chart=chart, version=version, lines=["colours 3"])
    kept = until(page.table, chart, settled)
    assert kept.told == {"colours": 3}
    assert page.table.shelf.chart(chart).source["told"] == ["colours 3"]
    told = page.act("check", "undo", chart=chart, version=kept.version).json or {}
    assert (told["reading"], told["undone"]) == (True, "colours 3")
    kept = until(page.table, chart, settled)
    assert kept.told == {}
    assert "told" not in page.table.shelf.chart(chart).source


def test_one_page_is_turned_and_the_others_are_not(page: Caller) -> None:
    chart = lay_pages(page, picture_of(LEFT), picture_of(np.rot90(RIGHT)))
    tell(page, chart, each=[{}, {"turn": 90}])
    assert page.table.shelf.chart(chart).columns == 40


def test_corners_are_told_of_one_page_alone(page: Caller) -> None:
    chart = lay_pages(page, picture_of(LEFT), picture_of(RIGHT))
    right, bottom = MARGIN + 19 * PITCH, MARGIN + 20 * PITCH  # without the last column
    corners = [[MARGIN, MARGIN], [right, MARGIN], [right, bottom], [MARGIN, bottom]]
    tell(page, chart, each=[{}, {"corners": corners, "size": [19, 20]}])
    assert page.table.shelf.chart(chart).columns == 39
    assert [p["cells"] for p in state_of(page, chart)["pages"]] == [[22, 20], [19, 20]]


@pytest.mark.parametrize("place", [0, 1, 2])
def test_a_refused_page_is_the_one_that_is_shown_as_refused(page: Caller, place: int) -> None:
    pictures = [picture_of(LEFT), picture_of(RIGHT)]
    pictures.insert(place, blank())
    chart = lay_pages(page, *pictures)
    kept = page.table.shelf.get(chart)
    assert kept.state == "refused"
    assert kept.refusal.startswith(f"page {place + 1}.png: no stitch grid was found")
    assert "tell_corners" in kept.remedies
    pages = state_of(page, chart)["pages"]
    assert [p.get("refused", False) for p in pages] == [n == place for n in range(3)]
    assert ["corners" in p for p in pages] == [n < place for n in range(3)]
    shown = page.screen("outline", chart=chart).text
    assert shown.count("no grid found") == 1
    assert "Put the four corners" in shown


def test_pages_that_do_not_fit_are_all_shown_with_their_grids(page: Caller) -> None:
    chart = lay_pages(page, picture_of(LEFT), picture_of(RIGHT[:15]))
    kept = page.table.shelf.get(chart)
    assert kept.state == "refused"
    assert "has 15 rows" in kept.refusal
    assert all(p["corners"] for p in state_of(page, chart)["pages"])
    assert "Put the pages in reading order." in page.screen("outline", chart=chart).text


def test_pages_in_another_order_are_read_in_it_with_what_was_told_of_each(page: Caller) -> None:
    chart = lay_pages(page, picture_of(np.rot90(RIGHT)), picture_of(LEFT))
    kept = tell(page, chart, each=[{"turn": 90}, {}], repeats=[0])
    page.act("outline", "order", chart=chart, version=kept.version, order=[1, 0])
    kept = until(page.table, chart, settled)
    assert kept.told["each"] == [{}, {"turn": 90}]
    assert "repeats" not in kept.told
    assert page.table.shelf.chart(chart).columns == 40
    assert [file.name for file in kept.files] == ["page 2.png", "page 1.png"]


def test_pages_that_are_no_more_are_shown_no_more(page: Caller) -> None:
    """A file of three pages, of which two are picked after one was refused."""
    pytest.importorskip("pypdfium2")
    import io

    from PIL import Image

    sheets = [Image.open(io.BytesIO(data)).convert("RGB") for data in (picture_of(LEFT), blank())]
    stream = io.BytesIO()
    sheets[0].save(stream, "PDF", save_all=True, append_images=sheets[1:])
    laid = page.drop("shelf", "lay", stream.getvalue(), name="leaflet.pdf").json
    assert laid is not None
    chart = str(laid["chart"])
    until(page.table, chart, lambda kept: "of" in kept.told)
    assert tell(page, chart, pages=[1, 2]).state == "refused"
    assert len(state_of(page, chart)["pages"]) == 2
    assert tell(page, chart, pages=[1]).state == "read"
    assert len(state_of(page, chart)["pages"]) == 1
