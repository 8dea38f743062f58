"""A file on its way to a chart that is read: first picture, pages to pick, refusals, cancelling."""

from __future__ import annotations

import io
import json
import os
import re
import signal
import struct
import sys
import time
import zlib
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from chartscan.chart import Chart, ChartClass, dump_chart
from chartscan.worktable import laying
from chartscan.worktable.kept import Kept, State
from chartscan.worktable.reader import Reader
from chartscan.worktable.shelf import Shelf
from chartscan.worktable.table import Table
from tests.conftest import Drawn
from tests.palette.making import chart_of
from tests.worktable.conftest import Caller
from tests.worktable.making import COLOURS
from tests.worktable.waiting import until


def settled(kept: Kept) -> bool:
    return kept.state in ("read", "refused")


def under_way(page: Caller, chart: str) -> bool:
    """Whether the reader's process has said how far it is; before, it may still be idle."""
    standing = page.table.reader.standing(chart)
    return standing is not None and standing.step != ""


def lay(page: Caller, name: str, data: bytes) -> str:
    answer = page.drop("shelf", "lay", data, name=name)
    assert answer.status_code == 200, answer.text
    assert answer.json is not None
    return str(answer.json["chart"])


def test_a_dropped_picture_is_read_and_all_its_pictures_are_there(
    page: Caller, clean_chart: Drawn
) -> None:
    chart = lay(page, "my chart.png", clean_chart.pages[0].read_bytes())
    kept = until(page.table, chart, settled)
    assert kept.state == "read"
    assert kept.title == "my chart"
    read = page.table.shelf.chart(chart)
    assert (read.columns, read.rows) == (clean_chart.truth["columns"], clean_chart.truth["rows"])
    assert read.source["file"] == "my chart.png"
    state = json.loads(page.look("outline", "state", chart=chart).data)
    (one,) = state["pages"]
    assert one["cells"] == [read.columns, read.rows]
    told = {"chart": chart, "of": "page-1", "level": 0, "across": 0, "down": 0}
    assert page.look("outline", "tile", **told).data[:2] == b"\xff\xd8"
    assert page.look("outline", "tile", **{**told, "level": 9}).status_code == 404
    assert page.look("outline", "tile", **{**told, "of": "../page-1"}).status_code == 400
    assert page.look("shelf", "small", chart=chart).data[:2] == b"\xff\xd8"
    assert "my chart" in page.screen("shelf").text


def test_a_table_that_starts_again_finds_its_charts(page: Caller, clean_chart: Drawn) -> None:
    from chartscan.worktable.shelf import Shelf

    chart = lay(page, "one.png", clean_chart.pages[0].read_bytes())
    kept = until(page.table, chart, settled)
    again = Shelf(page.table.shelf.folder(chart).parents[1])
    assert again.get(chart) == kept
    assert again.chart(chart) == page.table.shelf.chart(chart)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"rubbish", "isn't a picture"),
        (b"", "isn't a picture"),
        (b"\x89PNG\r\n\x1a\n" + bytes(40), "isn't a picture"),
        (b"%PDF-1.7 nothing", "damaged PDF"),
    ],
)
def test_what_is_no_picture_is_refused_in_words_that_name_it(
    page: Caller, data: bytes, words: str
) -> None:
    chart = lay(page, "../../odd <b>name<b>.png", data)
    kept = until(page.table, chart, settled)
    assert kept.state == "refused"
    assert words in kept.refusal
    assert kept.refusal.startswith("odd <b>name<b>.png: ")
    assert "page-1" not in kept.refusal
    shown = page.screen("outline", chart=chart).text
    assert "<b>" not in shown
    assert "odd &lt;b&gt;" in shown


def test_a_bomb_is_refused_before_it_unpacks(page: Caller) -> None:
    kept = until(page.table, lay(page, "bomb.png", bomb(60_000)), settled)
    assert kept.state == "refused"
    assert "over the limit" in kept.refusal


def bomb(side: int) -> bytes:
    """A PNG of ``side`` squared pixels that is a kilobyte long."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        check = zlib.crc32(kind + data)
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", check)

    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    data = zlib.compress(bytes(1_000_000))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="Linux tells its peak")
def test_a_bomb_costs_the_reader_no_memory(page: Caller) -> None:
    """What it would unpack to is 10.8 GB; the reader's peak may rise by 60 MB."""
    small = io.BytesIO()
    Image.new("RGB", (300, 300), "white").save(small, "PNG")
    until(page.table, lay(page, "small.png", small.getvalue()), settled)
    before = peak_mb(page)
    until(page.table, lay(page, "bomb.png", bomb(60_000)), settled)
    assert peak_mb(page) - before < 60


def peak_mb(page: Caller) -> float:
    process = page.table.reader._process
    assert process is not None
    status = Path(f"/proc/{process.pid}/status").read_text()
    (kilobytes,) = re.findall(r"VmHWM:\s+(\d+) kB", status)
    return int(kilobytes) / 1000


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere the cap counts what is mapped")
def test_a_reader_that_is_short_of_memory_says_so_and_reads_the_next_page(
    tmp_path: Path, clean_chart: Drawn
) -> None:
    """A cap of 500 MB, and a page of 74 million pixels, which takes more."""
    large = io.BytesIO()
    Image.new("RGB", (8600, 8600), "white").save(large, "PNG", compress_level=1)
    with closing(Reader(500_000_000)) as reader:
        table = Table(Shelf(tmp_path / "table"), reader)
        kept = laying.lay(table, "large.png", large.getvalue())
        laying.begin(table, kept)
        assert until(table, kept.id, settled).refusal == laying.SHORT
        kept = laying.lay(table, "small.png", clean_chart.pages[0].read_bytes())
        laying.begin(table, kept)
        assert until(table, kept.id, settled).state == "read"


def test_a_photograph_of_a_phone_is_read(page: Caller) -> None:
    """``page.heic`` is ``picture_of`` this design, encoded by an HEVC encoder (quality 60)."""
    pytest.importorskip("pi_heif")
    data = Path(__file__).with_name("page.heic").read_bytes()
    kept = until(page.table, lay(page, "IMG_0042.HEIC", data), settled)
    assert kept.state == "read", kept.refusal
    read = page.table.shelf.chart(kept.id)
    design = np.random.default_rng(7).integers(0, 5, (20, 40))
    colours = np.array([entry.rgb for entry in read.classes])[read.cells]
    assert np.abs(colours - COLOURS[design]).max() < 30


def test_a_chart_file_is_laid_as_it_is(page: Caller) -> None:
    cells = np.array([[0, 1], [1, 0]])
    classes = (ChartClass(0, "empty"), ChartClass(1, "stitch", (200, 10, 10)))
    chart = lay(page, "small.json", dump_chart(Chart(cells, classes)).encode())
    assert page.table.shelf.get(chart).state == "read"
    assert page.table.shelf.chart(chart).stitches == 2
    answer = page.drop("shelf", "lay", b'{"format": "something else"}', name="x.json")
    assert answer.status_code == 422
    assert "x.json: isn't a chart file" in answer.text


def test_several_pictures_are_the_pages_of_one_chart(page: Caller, chart_on_pages: Drawn) -> None:
    first, *rest = chart_on_pages.pages
    laid = page.drop("shelf", "lay", first.read_bytes(), name=first.name, more="1").json
    assert laid is not None
    chart = laid["chart"]
    for place, further in enumerate(rest, start=1):
        more = {"more": "1"} if place < len(rest) else {}
        page.drop("shelf", "page", further.read_bytes(), chart=chart, name=further.name, **more)
    kept = until(page.table, chart, settled)
    assert kept.state == "read", kept.refusal
    assert len(kept.files) == len(chart_on_pages.pages)
    state = json.loads(page.look("outline", "state", chart=chart).data)
    assert len(state["pages"]) == len(chart_on_pages.pages)


def test_stopping_a_reading_takes_next_to_no_time_and_the_next_one_works(
    page: Caller, photographed_chart: Drawn
) -> None:
    data = photographed_chart.pages[0].read_bytes()
    chart = lay(page, "one.jpg", data)
    until(page.table, chart, lambda kept: kept.state == "reading")
    begun = time.monotonic()
    assert page.act("outline", "stop", chart=chart).status_code == 200
    kept = until(page.table, chart, settled)
    stopped = time.monotonic() - begun
    assert kept.refusal == "@cancelled"
    begun = time.monotonic()
    answer = page.act("outline", "read", chart=chart, version=kept.version, told={})
    assert answer.status_code == 200
    assert until(page.table, chart, settled).state == "read"
    assert stopped < (time.monotonic() - begun) / 4  # of the reading, as busy as the machine is


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="Windows has no such signal")
def test_a_killed_reader_is_told_of_in_plain_words_and_another_follows(
    page: Caller, photographed_chart: Drawn
) -> None:
    data = photographed_chart.pages[0].read_bytes()
    chart = lay(page, "one.jpg", data)
    until(page.table, chart, lambda _: under_way(page, chart))
    process = page.table.reader._process
    assert process is not None
    os.kill(process.pid, signal.SIGKILL)
    kept = until(page.table, chart, settled)
    assert kept.refusal == "@killed"
    assert "ended from outside" in page.screen("outline", chart=chart).text
    second = lay(page, "two.jpg", data)
    assert until(page.table, second, settled).state == "read"


def test_what_is_told_is_checked(page: Caller, clean_chart: Drawn) -> None:
    chart = lay(page, "one.png", clean_chart.pages[0].read_bytes())
    version = until(page.table, chart, settled).version
    for told in (
        {"size": [5]},
        {"size": [0, 9]},
        {"size": "5x5"},
        {"corners": [[0, 0]]},
        {"corners": [[0, 0], [1, 0], [1, "x"], [0, 1]]},
        {"pages": [0]},
        {"colours": -1},
        {"layout": [1, 100]},
        {"each": [{"turn": 45}]},
        {"each": [{"size": [5]}]},
        {"each": "both"},
        {"repeats": [-1]},
        {"repeats": ["one"]},
        {"repeats": [1] * 61},
    ):
        answer = page.act("outline", "read", chart=chart, version=version, told=told)
        assert answer.status_code == 400, told
    assert page.table.shelf.get(chart).version == version


def test_a_stale_page_changes_nothing_and_is_told_the_version(
    page: Caller, clean_chart: Drawn
) -> None:
    chart = lay(page, "one.png", clean_chart.pages[0].read_bytes())
    version = until(page.table, chart, settled).version
    first = page.act("shelf", "call", chart=chart, version=version, title="my band")
    second = page.act("shelf", "call", chart=chart, version=version, title="yours")
    assert (first.status_code, second.status_code) == (200, 409)
    assert second.json is not None
    assert second.json["version"] == version + 1
    assert page.table.shelf.get(chart).title == "my band"


def test_a_chart_that_is_taken_off_is_gone_with_its_files(page: Caller, clean_chart: Drawn) -> None:
    chart = lay(page, "one.png", clean_chart.pages[0].read_bytes())
    kept = until(page.table, chart, settled)
    folder: Path = page.table.shelf.folder(chart)
    assert page.act("shelf", "remove", chart=chart, version=kept.version).status_code == 200
    assert not folder.exists()
    assert page.screen("check", chart=chart).status_code == 404


def test_corrections_outlive_another_reading(page: Caller, clean_chart: Drawn) -> None:
    chart = lay(page, "one.png", clean_chart.pages[0].read_bytes())
    kept = until(page.table, chart, settled)
    before = page.table.shelf.chart(chart)
    other = next(c.index for c in before.classes if c.kind == "stitch")
    told = page.act("check", "tell", chart=chart, version=kept.version, lines=[f"set 2,3 {other}"])
    assert told.status_code == 200
    corrected = page.table.shelf.chart(chart)
    version = page.table.shelf.get(chart).version
    size = [before.columns, before.rows]
    page.act("outline", "read", chart=chart, version=version, told={"size": size})
    assert until(page.table, chart, settled).state == "read"
    again = page.table.shelf.chart(chart)
    assert again.cells.tolist() == corrected.cells.tolist()
    assert {act.verb for act in again.corrections} == {"set", "size"}


def test_an_answer_that_needs_the_page_is_followed_by_the_reader(
    page: Caller, clean_chart: Drawn
) -> None:
    chart = lay(page, "one.png", clean_chart.pages[0].read_bytes())
    kept = until(page.table, chart, settled)
    answer = page.act("check", "tell", chart=chart, version=kept.version, lines=["colours 3"])
    assert answer.json is not None
    assert answer.json["reading"] is True
    assert until(page.table, chart, settled).state == "read"
    read = page.table.shelf.chart(chart)
    assert [act.verb for act in read.corrections] == ["colours"]


def test_a_turned_page_is_read_turned(page: Caller, clean_chart: Drawn) -> None:
    chart = lay(page, "one.png", clean_chart.pages[0].read_bytes())
    kept = until(page.table, chart, settled)
    before = page.table.shelf.chart(chart)
    page.act("outline", "read", chart=chart, version=kept.version, told={"turn": 90})
    assert until(page.table, chart, settled).state == "read"
    after = page.table.shelf.chart(chart)
    assert (after.columns, after.rows) == (before.rows, before.columns)


@pytest.mark.parametrize("state", ["waiting", "reading", "refused", "read"])
@pytest.mark.parametrize("told", [{}, {"of": 3}, {"size": [8, 9]}, {"pages": [1, 2]}])
def test_the_shelf_and_the_outline_stand_whatever_a_chart_is_at(
    page: Caller, state: State, told: dict[str, object]
) -> None:
    chart = chart_of(["#c83a32"]) if state == "read" else None
    kept = page.table.shelf.add("Robin")
    for number in (1, 2):
        page.table.shelf.add_file(kept.id, ".png", f"robin-{number}.png", b"picture")
    page.table.shelf.change(kept.id, None, lambda k: replace(k, state=state, told=told), chart)
    assert page.screen("shelf").status_code == 200
    assert page.screen("outline", chart=kept.id).status_code == 200
    assert page.look("outline", "state", chart=kept.id).status_code == 200
