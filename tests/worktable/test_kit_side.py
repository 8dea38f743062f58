"""Threads, fabric, papers and drawer in a real browser: by keyboard alone, and on a phone."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from chartscan.worktable.shelf import Shelf
from tests.palette.making import chart_of
from tests.worktable.browser import Browser
from tests.worktable.serving import Served, serving

pytestmark = pytest.mark.browser

COLOURS = ["#c83a32", "#20527a", "#dba94c"]


def _served(folder: Path, colours: list[str | None]) -> str:
    """A table folder with a chart of these colours; the chart's id."""
    shelf = Shelf(folder)
    kept = shelf.add("Robin")
    shelf.add_file(kept.id, ".png", "robin.png", b"picture")
    shelf.change(kept.id, None, lambda k: replace(k, state="read"), chart_of(colours))
    return kept.id


def _go(browser: Browser, screen: str, chart: str = "") -> None:
    browser.run("location.hash = arguments[0]", f"#/{screen}/{chart}")
    browser.wait("return document.querySelector('#work').dataset.screen === arguments[0]", screen)


def _enter(browser: Browser, served: Served) -> None:
    browser.open(served.address)
    browser.find("main h1")


def test_a_key_is_typed_class_by_class_without_a_mouse(tmp_path: Path, browser: Browser) -> None:
    """Code, Enter, code, Enter: the focus goes on to the next class by itself."""
    chart = _served(tmp_path, [None, None])
    with serving(tmp_path) as served:
        _enter(browser, served)
        _go(browser, "threads", chart)
        browser.wait("return document.querySelectorAll('.match.lacking').length === 2")
        browser.run("document.querySelector('#code-1').focus()")
        for number, code in ((1, "ros1"), (2, "clo2")):
            browser.wait("return document.activeElement.id === arguments[0]", f"code-{number}")
            browser.press(*code)
            browser.wait("return !document.querySelector('#offers').hidden")
            browser.press("Enter")
        browser.wait("return !document.querySelector('.match.lacking')")
        assert [browser.text(f'[data-class="{n}"] .name strong') for n in (1, 2)] == [
            "ROS1",
            "CLO2",
        ]
        assert browser.strokes == 10
        assert browser.complaints() == []


def test_offers_are_walked_by_arrows_and_closed_by_escape(tmp_path: Path, browser: Browser) -> None:
    chart = _served(tmp_path, list(COLOURS))
    with serving(tmp_path) as served:
        _enter(browser, served)
        _go(browser, "threads", chart)
        browser.click("#code-1")
        browser.wait("return document.querySelectorAll('#offers:not([hidden]) .offer').length > 2")
        browser.press("Down", "Down")
        marked = "return document.querySelector('#offers [aria-selected=true] strong').textContent"
        second = browser.run(marked)
        pointed = browser.run("return document.activeElement.getAttribute('aria-activedescendant')")
        assert pointed == "offer-1"
        browser.press("Escape")
        browser.wait("return document.querySelector('#offers').hidden")
        browser.press("Tab")
        browser.click("#code-1")
        browser.wait("return document.querySelectorAll('#offers:not([hidden]) .offer').length > 2")
        browser.press("Down", "Down", "Enter")
        browser.wait(
            "return document.querySelector('[data-class=\"1\"] .name strong').textContent"
            " === arguments[0]",
            second,
        )
        assert browser.complaints() == []


def test_offers_for_one_class_are_never_shown_for_another(tmp_path: Path, browser: Browser) -> None:
    """While those for the next are on their way, what the keys would take is gone."""
    chart = _served(tmp_path, list(COLOURS))
    with serving(tmp_path) as served:
        _enter(browser, served)
        _go(browser, "threads", chart)
        browser.click("#code-1")
        browser.wait("return document.querySelectorAll('#offers:not([hidden]) .offer').length > 2")
        hidden = browser.run(
            "document.querySelector('#code-2').focus();"
            " return document.querySelector('#offers').hidden"
        )
        assert hidden
        browser.wait("return document.querySelectorAll('#offers:not([hidden]) .offer').length > 2")
        assert browser.run("return document.activeElement.id") == "code-2"


def test_figures_of_the_fabric_follow_and_the_last_word_is_the_controls(
    tmp_path: Path, browser: Browser
) -> None:
    """Moves that come faster than answers: what is shown in the end is what the controls say."""
    chart = _served(tmp_path, list(COLOURS))
    with serving(tmp_path) as served:
        _enter(browser, served)
        _go(browser, "fabric", chart)
        browser.wait("return document.querySelector('#f-table tbody tr')")
        browser.run(
            "const slider = document.querySelector('#f-margin');"
            "for (const margin of [20, 160, 45, 110, 50]) {"
            " slider.value = margin; slider.dispatchEvent(new Event('input', { bubbles: true })); }"
        )
        # 16 cells on 14 per inch are 29.03 mm wide, 1.81 mm high; what is to be cut is rounded up.
        browser.wait(
            "return document.querySelector('#f-facts').textContent.includes('13.0 × 10.2 cm')"
        )
        browser.wait("return Number(document.querySelector('#fabric').dataset.version) > 2")
        kept = Shelf(tmp_path).get(chart).choices["kit"]
        assert kept["margin_mm"] == 50
        assert browser.complaints() == []


def test_a_paper_is_seen_in_a_frame_that_runs_nothing(tmp_path: Path, browser: Browser) -> None:
    chart = _served(tmp_path, list(COLOURS))
    with serving(tmp_path) as served:
        _enter(browser, served)
        _go(browser, "papers", chart)
        for paper in ("sheet", "label", "shopping", "key_sheet"):
            browser.click(f"#p-{paper}")
            browser.wait(
                "const frame = document.querySelector('#p-frame');"
                "return frame.contentDocument?.body?.textContent.includes('Robin')"
            )
        sandbox = browser.run("return document.querySelector('#p-frame').getAttribute('sandbox')")
        assert "allow-scripts" not in sandbox
        assert browser.complaints() == []


@pytest.mark.parametrize(("width", "dark"), [(360, False), (390, True), (1280, False)])
def test_no_screen_is_wider_than_its_window(
    tmp_path: Path, browser: Browser, width: int, dark: bool
) -> None:
    chart = _served(tmp_path, [*COLOURS, None])
    with serving(tmp_path) as served:
        _enter(browser, served)
        browser.size(width, 800, dark=dark, touch=width < 500)
        for screen in ("threads", "fabric", "papers", "drawer"):
            _go(browser, screen, "" if screen == "drawer" else chart)
            browser.wait("return document.querySelector('main h1')")
            assert browser.run("return document.documentElement.scrollWidth") <= width
            over = browser.run(
                "return [...document.querySelectorAll('main button, main select, main input')]"
                ".filter(e => e.offsetParent && !e.classList.contains('away'))"
                ".filter(e => e.getBoundingClientRect().right > innerWidth)"
                ".map(e => e.id || e.name)"
            )
            assert over == []


def test_the_drawer_is_searched_while_one_types_and_an_act_is_taken_back(
    tmp_path: Path, browser: Browser
) -> None:
    _served(tmp_path, list(COLOURS))
    with serving(tmp_path) as served:
        _enter(browser, served)
        _go(browser, "drawer")
        browser.type("#d-code", "ROS1")
        browser.press("Enter")
        browser.wait("return document.querySelectorAll('.thing').length === 1")
        browser.type("#d-words", "zzz")
        browser.wait("return document.querySelectorAll('.thing').length === 0")
        browser.run("document.querySelector('#d-words').value = ''")
        browser.click("[name=part][value=past]")
        browser.click("[data-back]")
        browser.click("[name=part][value=threads]")
        browser.wait("return document.querySelectorAll('.thing').length === 0")
        assert browser.complaints() == []
