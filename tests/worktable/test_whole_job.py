"""The whole job in a real Chromium on charts of other kinds than the example."""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from chartscan.chart import Chart, ChartClass, Doubt, save_chart
from chartscan.palette import load_palette
from chartscan.worktable.shelf import Shelf
from tests.conftest import Drawn
from tests.worktable.browser import Browser
from tests.worktable.making import EXAMPLE, blank, picture_of
from tests.worktable.serving import serving
from tests.worktable.steps import (
    ACCEPT,
    SETTLED,
    answer_doubts,
    await_print,
    choose_by_key,
    pixels,
    press_on,
    quiet,
)

pytestmark = pytest.mark.browser

MOST_STROKES = 200  # from drop to print, 100 × 140 cells, 30 symbols to name, 12 wrong cells
CODES = tuple(thread.code for thread in load_palette(Path("meadowline")).threads[:30])


def symbols_alone(wrong: int = 12) -> tuple[Chart, Chart]:
    """A chart of 30 symbols in one ink with ``wrong`` doubtful cells, and the true one."""
    chance = np.random.default_rng(13)
    cells = chance.integers(1, 31, (140, 100))
    classes = [ChartClass(0, "empty", (255, 255, 255))]
    classes += [ChartClass(n, "stitch", None, symbol=f"symbol {n}") for n in range(1, 31)]
    true = Chart(cells=cells.astype(np.uint16), classes=tuple(classes), source={"file": "key.png"})
    places = [(row, row // 2) for row in range(5, 5 + 10 * wrong, 10)]
    doubts = [
        Doubt(row, column, "between two symbols", int(cells[row, column]), 0.7)
        for row, column in places
    ]
    read = true.cells.copy()
    for row, column in places:
        read[row, column] = read[row, column] % 30 + 1
    spoiled = replace(true, cells=read, doubtful=tuple(places), doubts=tuple(doubts))
    return spoiled, true


def test_a_key_of_thirty_symbols_takes_few_strokes(browser: Browser, tmp_path: Path) -> None:
    """Two strokes more for a page that is read first: its drop and Enter (test_browser.py)."""
    spoiled, true = symbols_alone()
    save_chart(spoiled, tmp_path / "symbols.json")
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        browser.choose_file("#files", tmp_path / "symbols.json")
        browser.wait(SETTLED, "check")
        browser.click("#tab-cells")
        answer_doubts(browser, 12)
        browser.click("#on")
        browser.wait(SETTLED, "threads")
        browser.click("#code-1")
        for place, code in enumerate(CODES, start=1):
            browser.wait("return document.activeElement.id === arguments[0]", f"code-{place}")
            browser.press(*code.lower())
            first = "return document.querySelector('#offers:not([hidden]) strong')?.textContent"
            browser.wait(f"{first} === arguments[0]", code)
            browser.press("Enter")
        browser.wait("return !document.querySelector('.match.lacking')")
        browser.click("[data-go=fabric]")
        browser.wait(SETTLED, "fabric")
        browser.click("[data-go=papers]")
        browser.wait(SETTLED, "papers")
        await_print(browser)
        browser.click("#p-print")
        browser.wait("return window.printed")
        assert browser.strokes + 1 <= MOST_STROKES, browser.strokes
        quiet(browser)
    (kept,) = Shelf(tmp_path / "table").all()
    assert (Shelf(tmp_path / "table").chart(kept.id).cells == true.cells).all()


def test_a_symbol_chart_goes_from_drop_to_print_with_its_key_by_keys(
    browser: Browser, symbol_chart: Drawn, tmp_path: Path
) -> None:
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        choose_by_key(browser, "#files", symbol_chart.pages[0])
        browser.find(ACCEPT)
        (kept,) = Shelf(served.folder).all()
        chart = Shelf(served.folder).chart(kept.id)
        key = tmp_path / "key.csv"
        stitched = [entry.index for entry in chart.classes if entry.kind == "stitch"]
        rows = (f"{index},{code}" for index, code in zip(stitched, CODES, strict=False))
        key.write_text("\n".join(["class,code", *rows]), encoding="utf-8")
        browser.press("Enter")
        browser.wait(SETTLED, "check")
        press_on(browser, "#on")
        browser.wait(SETTLED, "threads")
        browser.wait("return document.querySelector('.match .symbol img')?.naturalWidth")
        assert browser.run("return document.querySelectorAll('.match.lacking').length") == len(
            stitched
        )
        choose_by_key(browser, "#t-key", key)
        browser.wait("return !document.querySelector('.match.lacking')")
        press_on(browser, "[data-go=fabric]")
        browser.wait(SETTLED, "fabric")
        press_on(browser, "[data-go=papers]")
        browser.wait(SETTLED, "papers")
        await_print(browser)
        sheet = browser.run(
            "return document.querySelector('iframe').contentDocument.body.textContent"
        )
        assert all(code in sheet for code in CODES[: len(stitched)])
        press_on(browser, "#p-print")
        browser.wait("return window.printed")
        quiet(browser)


def test_strangers_of_a_class_are_picked_on_its_sheet_and_moved_in_one_go(
    browser: Browser, example: tuple[Path, str]
) -> None:
    folder, chart = example
    with serving(folder) as served:
        browser.open(served.address)
        browser.find(".card")
        browser.run("location.hash = arguments[0]", f"#/check/{chart}")
        browser.wait(SETTLED, "check")
        browser.click("#tab-classes")
        browser.click(".classes li:nth-child(3) .classrow")
        browser.wait("return document.querySelectorAll('.cut').length > 9")
        browser.click(".cut:nth-child(1)")
        browser.click(".cut:nth-child(4)")
        browser.find(".choices label")
        browser.press("2")
        browser.wait("return document.querySelector('#last').textContent.startsWith('2 ')")
        quiet(browser)
    corrected = Shelf(folder).chart(chart)
    assert corrected.as_read is not None
    assert (corrected.cells != corrected.as_read.cells).sum() == 2


def test_pages_dropped_together_become_one_chart(
    browser: Browser, chart_on_pages: Drawn, tmp_path: Path
) -> None:
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        browser.choose_file("#files", *chart_on_pages.pages)
        browser.click("#many [value=one]")
        browser.find(ACCEPT)
        assert browser.run("return document.querySelectorAll('.order li').length") == len(
            chart_on_pages.pages
        )
        quiet(browser)
        (kept,) = Shelf(served.folder).all()
    chart = Shelf(served.folder).chart(kept.id)
    truth = chart_on_pages.truth
    assert (chart.columns, chart.rows) == (truth["columns"], truth["rows"])


def test_each_page_shows_its_grid_and_says_what_it_shares_with_its_neighbour(
    browser: Browser, tmp_path: Path
) -> None:
    whole = np.random.default_rng(7).integers(0, 5, (20, 40))
    for name, cells in (("1.png", whole[:, :22]), ("2.png", whole[:, 20:])):
        (tmp_path / name).write_bytes(picture_of(cells))
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        browser.choose_file("#files", tmp_path / "1.png", tmp_path / "2.png")
        browser.click("#many [value=one]")
        browser.find(ACCEPT)
        assert browser.run("return document.querySelector('.seam input').placeholder") == "2"
        places = [browser.run(CORNERS)]
        browser.run("document.querySelector('[name=sheet]:checked').focus()")
        browser.press("Down")  # to the second page
        browser.wait("return document.querySelector('[name=sheet]:checked').value === '1'")
        browser.wait(f"return {CORNERS.removeprefix('return ')} !== arguments[0]", places[0])
        assert browser.run("return document.querySelector('[name=columns]').placeholder") == "20"
        before = pixels(browser)
        browser.type(".seam input", "0")
        browser.wait("return document.querySelector('#read').classList.contains('main')")
        time.sleep(0.3)
        assert pixels(browser) != before  # what is shared was shown, and isn't any more
        browser.press("Enter")
        (kept,) = Shelf(served.folder).all()
        browser.wait("return document.querySelector('.seam input')?.placeholder === '0'")
        browser.find(ACCEPT)
        quiet(browser)
    assert Shelf(served.folder).chart(kept.id).columns == 42


CORNERS = "return [...document.querySelectorAll('.corner')].map(c => c.style.transform).join()"


def test_a_page_that_is_refused_among_others_is_the_one_that_is_shown(
    browser: Browser, tmp_path: Path
) -> None:
    """Its corners are moved by keys until it is read."""
    whole = np.random.default_rng(7).integers(0, 5, (20, 40))
    (tmp_path / "1.png").write_bytes(picture_of(whole[:, :20]))
    (tmp_path / "2.png").write_bytes(blank())
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        browser.choose_file("#files", tmp_path / "1.png", tmp_path / "2.png")
        browser.click("#many [value=one]")
        assert "2.png: no stitch grid was found" in browser.text(".warn")
        browser.wait(SETTLED, "outline")
        assert browser.run("return document.querySelector('[name=sheet]:checked').value") == "1"
        assert "Put the four corners" in browser.text(".warn")
        assert "--" not in browser.text(".warn")
        browser.run("document.querySelector('.corner').focus()")
        browser.press("Left", "Up")
        browser.wait("return document.querySelector('#read').classList.contains('main')")
        browser.click("#read")
        browser.wait("return document.querySelector('.warn')?.textContent.includes('corners')")
        quiet(browser)
    (kept,) = Shelf(served.folder).all()
    assert kept.told["each"][0] == {}
    assert len(kept.told["each"][1]["corners"]) == 4


def test_pages_of_a_pdf_are_picked_from(browser: Browser, tmp_path: Path) -> None:
    """The second page of three holds the chart."""
    pytest.importorskip("pypdfium2")
    path = tmp_path / "leaflet.pdf"
    blank = Image.new("RGB", (400, 500), "white")
    with Image.open(EXAMPLE) as picture:
        blank.save(path, save_all=True, append_images=[picture.convert("RGB"), blank])
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        browser.choose_file("#files", path)
        browser.wait("return document.querySelectorAll('[name=leaf]').length === 3")
        browser.wait(SETTLED, "outline")
        browser.click("#read")  # the first page is ticked, and no chart
        browser.find(".warn")
        browser.wait(SETTLED, "outline")
        browser.click("[name=leaf][value='1']")
        browser.click("[name=leaf][value='2']")
        browser.click("#read")
        browser.find(ACCEPT)
        (kept,) = Shelf(served.folder).all()
    chart = Shelf(served.folder).chart(kept.id)
    assert (chart.columns, chart.rows) == (80, 100)


MADE_BEFORE = """
  const real = window.fetch;
  window.fetch = async (...asked) => {
    const answer = await real(...asked);
    if (!String(asked[0]).includes("screen/outline")) return answer;
    window.fetch = real;
    const page = (await answer.text()).replace(/<fieldset class="leaves">[^]*?<[/]fieldset>/, "");
    window.early = !page.includes("name=\\"leaf\\"");
    return new Response(page.replace(/data-of="[0-9]+"/, 'data-of="0"'), answer);
  };
"""  # the outline's page as it is made while nobody knows yet how many pages there are


def test_pages_that_are_counted_while_the_outline_is_made_are_shown(
    browser: Browser, tmp_path: Path
) -> None:
    pytest.importorskip("pypdfium2")
    path = tmp_path / "leaflet.pdf"
    blank = Image.new("RGB", (400, 500), "white")
    blank.save(path, save_all=True, append_images=[blank, blank])
    three = "return document.querySelectorAll('[name=leaf]').length === 3"
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        browser.choose_file("#files", path)
        browser.wait(three)
        browser.wait(SETTLED, "outline")
        (kept,) = Shelf(served.folder).all()
        browser.run("location.hash = '#/shelf'")
        browser.wait(SETTLED, "shelf")
        browser.run(MADE_BEFORE)
        browser.run("location.hash = arguments[0]", f"#/outline/{kept.id}")
        browser.wait("return window.early")
        browser.wait(three)
