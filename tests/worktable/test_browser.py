"""The table in a real Chromium: keys, phones, rules of access, a console without complaint."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from chartscan.chart import save_chart
from chartscan.tasks.projects import begin
from chartscan.worktable.shelf import Shelf
from tests.conftest import Drawn
from tests.worktable.access import WIDE, in_order, violations
from tests.worktable.browser import Browser
from tests.worktable.making import EXAMPLE, blank, lay_out, picture_of, spoil, spoiled
from tests.worktable.serving import Served, serving
from tests.worktable.steps import (
    ACCEPT,
    SETTLED,
    answer_doubts,
    await_print,
    children,
    choose_by_key,
    go,
    on_to_print,
    pixels,
    press_on,
    quiet,
    reach,
)

pytestmark = pytest.mark.browser

ABOUT_CHART = ("outline", "check", "threads", "fabric", "papers")
ANYWHERE = ("shelf", "drawer")
MOST_STROKES = 40  # from drop to print, 12 wrong cells, by colour


# --------------------------------------------------------------------- what it looks like


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_no_screen_breaks_a_rule_of_access(
    browser: Browser, example: tuple[Path, str], dark: bool
) -> None:
    folder, chart = example
    spoil(folder, chart)
    with serving(folder) as served:
        browser.size(1280, 800, dark=dark)
        browser.open(served.address)
        browser.find(".card")
        for screen in (*ANYWHERE, *ABOUT_CHART):
            go(browser, screen, chart if screen in ABOUT_CHART else "")
            assert violations(browser) == [], screen
        go(browser, "check", chart)
        for part in ("classes", "cells"):
            browser.click(f"#tab-{part}")
            assert violations(browser) == [], part
    quiet(browser)


@pytest.mark.parametrize("width", [360, 390])
def test_a_phone_needs_no_scrolling_sideways(
    browser: Browser, example: tuple[Path, str], width: int
) -> None:
    folder, chart = example
    spoil(folder, chart)
    with serving(folder) as served:
        browser.size(width, 780, touch=True)
        browser.open(served.address)
        browser.find(".card")
        for screen in (*ANYWHERE, *ABOUT_CHART):
            go(browser, screen, chart if screen in ABOUT_CHART else "")
            assert browser.run(WIDE) <= 0, screen
        go(browser, "check", chart)
        for part in ("classes", "cells"):
            browser.click(f"#tab-{part}")
            assert browser.run(WIDE) <= 0, part


def test_every_state_of_shelf_and_outline_is_in_order(browser: Browser, tmp_path: Path) -> None:
    """Empty, with projects, pages to pick from, several pages, a refused one, both dialogs."""
    pytest.importorskip("pypdfium2")
    whole = np.random.default_rng(7).integers(0, 5, (20, 40))
    pictures = [picture_of(whole[:, :22]), picture_of(whole[:, 20:]), blank()]
    paths = [tmp_path / f"page {number}.png" for number in (1, 2, 3)]
    for path, data in zip(paths, pictures, strict=True):
        path.write_bytes(data)
    sheets = [Image.open(path).convert("RGB") for path in paths]
    sheets[0].save(tmp_path / "leaflet.pdf", save_all=True, append_images=sheets[1:])
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        browser.find("#example")
        in_order(browser, "an empty shelf")
        browser.choose_file("#files", *paths[:2])
        browser.find("#many[open]")
        in_order(browser, "what several pictures are")
        browser.click("#many [value=one]")
        browser.find(ACCEPT)
        in_order(browser, "several pages")
        go(browser, "shelf")
        browser.choose_file("#files", *paths[1:])
        browser.click("#many [value=one]")
        browser.find("[data-screen=outline] .warn")
        in_order(browser, "a refused page")
        go(browser, "shelf")
        browser.choose_file("#files", tmp_path / "leaflet.pdf")
        browser.wait("return document.querySelectorAll('[name=leaf]').length === 3")
        in_order(browser, "pages to pick from")
        begin(tmp_path / "table" / "stash.db", "Robin", {"place": "tin box"})
        go(browser, "shelf")
        assert "Nothing is known" in browser.text("[data-project=Robin]")
        in_order(browser, "a shelf with projects")
        browser.click("[data-remove]")
        browser.find("#sure[open]")
        in_order(browser, "whether to take it off")
        quiet(browser)


# ------------------------------------------------------------------------- what it does


def test_a_step_that_cannot_be_shown_yet_leads_to_the_chart_s_outline(
    browser: Browser, tmp_path: Path
) -> None:
    (tmp_path / "blank.png").write_bytes(blank())
    chart = lay_out(tmp_path / "table", tmp_path / "blank.png")
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        browser.find(".card")
        browser.run("location.hash = arguments[0]", f"#/check/{chart}")
        browser.wait("return document.querySelector('#told').textContent.includes('read yet')")
        browser.wait(SETTLED, "outline")
        assert browser.run("return location.hash") == f"#/outline/{chart}"


def test_a_size_that_was_told_is_told_no_more(browser: Browser, tmp_path: Path) -> None:
    path = tmp_path / "page.png"
    path.write_bytes(picture_of(np.random.default_rng(7).integers(0, 5, (20, 22))))
    old = "document.querySelector('#fields').dataset.old = 'yes'"
    read = "[data-screen=outline] [data-state=read] #fields:not([data-old])"
    hidden = "return document.querySelector('#untell').hidden"
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        browser.choose_file("#files", path)
        browser.find(read)
        assert browser.run(hidden)
        browser.type("[name=columns]", "22")
        browser.type("[name=rows]", "20")
        browser.run(old)
        browser.click("#read")
        browser.find(read)
        assert not browser.run(hidden)
        (kept,) = Shelf(served.folder).all()
        assert kept.told == {"size": [22, 20]}
        browser.click("#untell")
        browser.run(old)
        browser.click("#read")
        browser.find(read)
        assert browser.run(hidden)
        (kept,) = Shelf(served.folder).all()
        assert kept.told == {}
        quiet(browser)


SLOW = """
const real = window.fetch;
const come = new Promise(done => { window.let_come = done });
window.fetch = async (path, how) => {
  const answer = await real(path, how);
  if (how?.body?.includes('"sheet"')) await come;
  return answer;
};
"""


def test_a_paper_that_comes_late_takes_no_other_papers_place(
    browser: Browser, example: tuple[Path, str]
) -> None:
    folder, chart = example
    title = (
        "return document.querySelector('iframe')?.contentDocument?.title.startsWith(arguments[0])"
    )
    printable = "return !document.querySelector('#p-print').disabled"
    with serving(folder) as served:
        browser.open(served.address)
        browser.find(".card")
        browser.run(SLOW)
        go(browser, "papers", chart)
        assert not browser.run(printable)
        browser.click("[name=paper][value=label]")
        browser.wait(printable)
        assert browser.run(title, "Labels")
        browser.run("window.let_come()")
        browser.click("[name=paper][value=shopping]")
        browser.wait(title, "Shopping")
        browser.wait(printable)
        assert browser.run(title, "Shopping")
        quiet(browser)


def test_the_whole_job_is_done_by_keys_alone(browser: Browser, tmp_path: Path) -> None:
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        choose_by_key(browser, "#files", EXAMPLE)
        browser.find(ACCEPT)
        browser.press("Enter")
        browser.wait(SETTLED, "check")
        lay_spoiled(browser, served)
        browser.find("[data-screen=check] .answers")
        browser.press("1")
        browser.wait("return document.querySelector('.asked')?.textContent.startsWith('Classes 3')")
        browser.press("1")
        browser.find(".classes")
        reach(browser, "#tab-classes")
        browser.press("Right")
        answer_doubts(browser, 12)
        on_to_print(browser)
        quiet(browser)
    (true,) = (Shelf(served.folder).chart(k.id) for k in Shelf(served.folder).all() if not k.files)
    assert true.doubtful == ()
    assert true.as_read is not None
    assert (true.cells != true.as_read.cells).sum() == 12


def lay_spoiled(browser: Browser, served: Served) -> None:
    """Drop the example's chart file with doubts and questions in it."""
    shelf = Shelf(served.folder)
    (kept,) = shelf.all()
    path = served.folder / "spoiled.json"
    save_chart(spoiled(shelf.chart(kept.id), 12, 5), path)
    go(browser, "shelf")
    browser.choose_file("[data-screen=shelf] #files", path)
    browser.wait(SETTLED, "check")


def test_from_drop_to_print_takes_few_strokes(browser: Browser, tmp_path: Path) -> None:
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        browser.choose_file("#files", EXAMPLE)
        browser.find(ACCEPT)
        browser.press("Enter")
        browser.wait(SETTLED, "check")
        before = browser.strokes
        lay_spoiled(browser, served)  # twelve wrong cells and two questions instead of none
        browser.strokes = before
        browser.find("[data-screen=check] .answers")
        browser.press("1")
        browser.wait("return document.querySelector('.asked')?.textContent.startsWith('Classes 3')")
        browser.press("1")
        browser.find(".classes")
        browser.click("#tab-cells")
        answer_doubts(browser, 12)
        for step, on in (
            ("threads", "#on"),
            ("fabric", "[data-go=fabric]"),
            ("papers", "[data-go=papers]"),
        ):
            browser.click(on)
            browser.wait(SETTLED, step)
        await_print(browser)
        browser.click("#p-print")
        browser.wait("return window.printed")
        assert browser.strokes <= MOST_STROKES, browser.strokes
        quiet(browser)


def test_z_takes_every_act_back(browser: Browser, example: tuple[Path, str]) -> None:
    folder, chart = example
    spoil(folder, chart)
    before = Shelf(folder).chart(chart)
    with serving(folder) as served:
        browser.open(served.address)
        browser.find(".card")
        go(browser, "check", chart)
        browser.press("2")
        browser.wait("return document.querySelector('#last').textContent.startsWith('1 ')")
        browser.click("#tab-cells")
        browser.press("3")
        browser.wait("return document.querySelector('#last').textContent.startsWith('2 ')")
        browser.press("z")
        browser.wait("return document.querySelector('#last').textContent.startsWith('1 ')")
        browser.press("z")
        browser.wait("return document.querySelector('#undo').disabled")
        quiet(browser)
    assert Shelf(folder).chart(chart) == before


def test_space_blinks_the_page_and_the_reading(browser: Browser, example: tuple[Path, str]) -> None:
    folder, chart = example
    with serving(folder) as served:
        browser.open(served.address)
        browser.find(".card")
        go(browser, "check", chart)
        before = pixels(browser)
        browser.press("Space")
        browser.wait("return document.querySelector('#blink').ariaPressed === 'true'")
        time.sleep(0.2)
        assert pixels(browser) != before
        browser.press("Space")
        browser.wait("return document.querySelector('#blink').ariaPressed === 'false'")
        time.sleep(0.2)
        assert pixels(browser) == before


def test_the_grid_tells_a_screen_reader_every_cell(
    browser: Browser, example: tuple[Path, str]
) -> None:
    folder, chart = example
    with serving(folder) as served:
        browser.open(served.address)
        browser.find(".card")
        go(browser, "check", chart)
        grid = browser.run(
            "const grid = document.querySelector('[role=grid]');"
            "grid.querySelector('[tabindex=\"0\"]').focus();"
            "return [grid.ariaRowCount, grid.ariaColCount, document.activeElement.textContent]"
        )
        assert grid == ["100", "80", "row 1, column 1: 0: bare fabric"]
        browser.press("Down", "Right")
        said = "return document.activeElement.textContent"
        assert browser.run(said).startswith("row 2, column 2: ")


def test_a_corner_moves_by_keys_mouse_and_touch(
    browser: Browser, example: tuple[Path, str]
) -> None:
    folder, chart = example
    with serving(folder) as served:
        browser.open(served.address)
        browser.find(".card")
        go(browser, "outline", chart)
        browser.wait("return document.querySelectorAll('.corner').length === 4")
        place = "return document.querySelector('.corner').style.transform"
        seen = [browser.run(place)]
        browser.run("document.querySelector('.corner').focus()")
        browser.press("Right", held="Shift")
        time.sleep(0.2)
        seen.append(browser.run(place))
        for kind in ("mouse", "touch"):
            x, y = browser.run(
                "const b = document.querySelector('.corner').getBoundingClientRect();"
                "return [b.x + b.width / 2, b.y + b.height / 2]"
            )
            browser.drag((x, y), (x + 25, y + 18), kind)
            time.sleep(0.2)
            seen.append(browser.run(place))
        assert len(set(seen)) == 4
        assert browser.run("return document.querySelector('#read').classList.contains('main')")
        quiet(browser)


def test_a_photograph_whose_corners_are_moved_goes_from_drop_to_print_by_keys(
    browser: Browser, photographed_chart: Drawn, tmp_path: Path
) -> None:
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        choose_by_key(browser, "#files", photographed_chart.pages[0])
        browser.find(ACCEPT)
        reach(browser, ".corner")
        browser.press("Right", "Left", "Down", "Up")
        press_on(browser, "#read")
        browser.wait(
            "return document.querySelector('#busy') && !document.querySelector('#busy').hidden"
        )
        browser.find(ACCEPT)
        browser.press("Enter")
        browser.wait(SETTLED, "check")
        on_to_print(browser)
        quiet(browser)
        (kept,) = Shelf(served.folder).all()
    assert kept.state == "read"
    assert len(kept.told["corners"]) == 4
    truth = photographed_chart.truth
    read = Shelf(served.folder).chart(kept.id)
    assert (read.columns, read.rows) == (truth["columns"], truth["rows"])


def test_two_tabs_cannot_undo_each_other_unseen(
    browser: Browser, example: tuple[Path, str]
) -> None:
    folder, chart = example
    spoil(folder, chart)
    with serving(folder) as served:
        browser.open(served.address)
        browser.find(".card")
        go(browser, "check", chart)
        first = browser.call("GET", "/window")
        browser.run("window.open(location.href)")  # takes this tab's key along
        (second,) = set(browser.call("GET", "/window/handles")) - {first}
        browser.call("POST", "/window", {"handle": second})
        browser.find("[data-screen=check] .answers")
        browser.press("1")
        browser.wait("return document.querySelector('#last').textContent.startsWith('1 ')")
        browser.call("POST", "/window", {"handle": first})
        browser.press("2")
        browser.wait(
            "return document.querySelector('#told').textContent.startsWith('Another page')"
        )
        browser.wait("return document.querySelector('#last').textContent.startsWith('1 ')")
    corrected = Shelf(folder).chart(chart)
    assert [act.verb for act in corrected.corrections] == ["ground"]


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="Windows has no such signal")
def test_a_killed_reader_is_said_on_the_page(
    browser: Browser, photographed_chart: Drawn, tmp_path: Path
) -> None:
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        browser.choose_file("#files", photographed_chart.pages[0])
        # Killed before it has begun, the reader is replaced and nothing is said.
        browser.wait("return document.querySelector('#busy progress')?.value > 0")
        for child in children(served.process.pid):
            os.kill(child, signal.SIGKILL)
        assert "ended from outside" in browser.text(".warn")
        browser.click("#read")
        browser.find(ACCEPT)


def test_a_click_before_a_screen_stands_is_heard_once_it_does(
    browser: Browser, example: tuple[Path, str]
) -> None:
    folder, chart = example
    hold = """
        const fetched = window.fetch;
        const held = new Promise((then) => { window.release = then; });
        window.fetch = async (...asked) => {
          if (asked[0].startsWith("/look/")) await held;
          return fetched(...asked);
        };
        location.hash = arguments[0];
    """
    with serving(folder) as served:
        browser.open(served.address)
        browser.find("[data-screen=shelf] .card")
        browser.run(hold, f"#/outline/{chart}")
        browser.click("#read")
        assert browser.run("return !document.querySelector('#work').dataset.screen")
        browser.run("window.release()")
        browser.wait("return document.querySelector('#busy:not([hidden])')")
        browser.find(ACCEPT)
        quiet(browser)


def test_the_button_ends_it_with_no_process_left(browser: Browser, tmp_path: Path) -> None:
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        browser.find("#example")
        began = children(served.process.pid)
        assert began
        browser.click("#end")
        browser.find(".note")
        assert served.process.wait(10) == 0
        assert not any(Path(f"/proc/{pid}").exists() for pid in began)


def test_a_page_whose_table_is_gone_says_so(browser: Browser, tmp_path: Path) -> None:
    with serving(tmp_path / "table") as served:
        browser.open(served.address)
        browser.find("#example")
    browser.click("#example")
    browser.wait(
        "return document.querySelector('#work').textContent.includes('put away')"
        " || document.querySelector('#work').textContent.includes('answer')"
    )


def test_dropping_a_file_on_any_screen_lays_it_on_the_shelf(
    browser: Browser, example: tuple[Path, str]
) -> None:
    folder, chart = example
    with serving(folder) as served:
        browser.open(served.address)
        browser.find(".card")
        go(browser, "check", chart)
        browser.run_async(
            "const bytes = Uint8Array.from(atob(arguments[0]), c => c.charCodeAt(0));"
            "const data = new DataTransfer();"
            "data.items.add(new File([bytes], 'dropped.png', {type: 'image/png'}));"
            "const how = {bubbles: true, dataTransfer: data};"
            "document.body.dispatchEvent(new DragEvent('drop', how))",
            encoded(EXAMPLE),
        )
        browser.find(ACCEPT)
    assert {kept.title for kept in Shelf(folder).all()} == {"lighthouse", "dropped"}


def encoded(path: Path) -> str:
    """A file's bytes in base 64."""
    import base64

    return base64.b64encode(path.read_bytes()).decode()
