"""The focus in a real Chromium: where it is when what had it is drawn anew, and what is typed."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.worktable.browser import Browser
from tests.worktable.making import spoil
from tests.worktable.serving import serving
from tests.worktable.steps import go, press_on, quiet, reach

pytestmark = pytest.mark.browser


@contextmanager
def opened(browser: Browser, folder: Path, screen: str, chart: str) -> Iterator[None]:
    """A table on which the chart stands on a screen; the console has nothing to say of the rest."""
    with serving(folder) as served:
        browser.open(served.address)
        browser.find(".card")
        go(browser, screen, chart)
        yield
        quiet(browser)


def test_the_focus_is_never_lost_while_a_chart_is_checked(
    browser: Browser, example: tuple[Path, str]
) -> None:
    """Whatever is drawn anew under it: it stays where it was, or goes to what came in its place."""
    folder, chart = example
    spoil(folder, chart)
    stays = "return document.activeElement?.matches(arguments[0]) ?? false"
    last = "return document.querySelector('#last').textContent.startsWith(arguments[0])"
    with opened(browser, folder, "check", chart):
        press_on(browser, "#panel .answers li:nth-child(2) button")  # the second answer
        browser.wait(last, "1 ")
        browser.wait(stays, "#panel")
        press_on(browser, "#undo")
        browser.wait("return document.querySelector('#undo').disabled")
        browser.wait(stays, "#panel")
        browser.click("#tab-classes")
        press_on(browser, "[data-stay=class-2]")
        browser.find("#panel .sheet")
        assert browser.run(stays, "[data-stay=class-2]")
        browser.press("Enter")
        browser.wait("return !document.querySelector('#panel .sheet')")
        assert browser.run(stays, "[data-stay=class-2]")
        browser.click("#tab-cells")
        browser.find("#panel [name=class]")
        press_on(browser, "#panel [data-stay=later]")
        assert browser.run(stays, "[data-stay=later]")
        browser.run("document.querySelector('[role=grid] [tabindex=\"0\"]').focus()")
        browser.press("1")
        browser.wait(last, "1 ")
        browser.wait(stays, "[role=grid] *")


def test_counts_of_the_key_are_typed_one_after_the_other(
    browser: Browser, example: tuple[Path, str]
) -> None:
    """A count that is half typed stays when the answer to the one before it comes."""
    folder, chart = example
    with opened(browser, folder, "check", chart):
        browser.click("#tab-classes")
        reach(browser, ".classes li:nth-child(2) input")
        browser.press("6", "8", "6", "Tab", "Tab", "4")
        browser.wait("return document.querySelector('.classes li:nth-child(2) .clear')")
        browser.press("6", "0", "Tab")
        browser.wait("return document.querySelector('.classes li.off:nth-child(3) .open')")
        value = "return document.querySelector('.classes li:nth-child(3) input').value"
        assert browser.run(value) == "460"
        go(browser, "shelf")
        go(browser, "check", chart)
        browser.click("#tab-classes")
        typed = "return [...document.querySelectorAll('.classes input')].map(one => one.value)"
        assert browser.run(typed)[:3] == ["686", "460", ""]


def test_a_screen_that_was_left_is_not_drawn_anew(
    browser: Browser, example: tuple[Path, str]
) -> None:
    """The threads' list comes late, when the shelf stands already."""
    folder, chart = example
    with opened(browser, folder, "threads", chart):
        browser.run(
            "const real = window.fetch; window.late = 0;"
            "window.fetch = async (what, ...more) => {"
            "  if (!String(what).includes('/screen/threads')) return real(what, ...more);"
            "  const answer = await real(what, ...more);"
            "  await new Promise((then) => setTimeout(then, 500));"
            "  window.late += 1; return answer; }"
        )
        browser.click("#t-distinct")
        time.sleep(0.2)  # its act is done, and the list asked for
        go(browser, "shelf")
        browser.wait("return window.late")
        time.sleep(0.2)
        browser.find(".card")
