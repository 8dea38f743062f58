"""Steps of the job that several browser tests take, by keys wherever a person could."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from tests.worktable.browser import Browser

ACCEPT = "[data-screen=outline] #accept"  # the button, once the screen listens to keys
SETTLED = """
const work = document.getElementById('work');
return work.dataset.screen === arguments[0] && !document.querySelector('#busy:not([hidden])');
"""
SHOWN = "return !!document.querySelector('iframe')?.contentDocument?.querySelector('h1')"
MOST_TABS = 120  # to anything on a screen


def go(browser: Browser, screen: str, chart: str = "") -> None:
    """Go to a screen and wait until it stands."""
    browser.run("location.hash = arguments[0]", f"#/{screen}/{chart}" if chart else f"#/{screen}")
    browser.wait(SETTLED, screen)
    time.sleep(0.3)  # pictures come after the page


def quiet(browser: Browser) -> None:
    """The console has nothing to say."""
    assert browser.complaints() == []


def reach(browser: Browser, selector: str) -> None:
    """Tab on until the element has the focus."""
    has_it = "return document.activeElement?.matches(arguments[0]) ?? false"
    for _ in range(MOST_TABS):
        if browser.run(has_it, selector):
            return
        browser.press("Tab")
    raise AssertionError(f"Tab never comes to {selector}")


def press_on(browser: Browser, selector: str, key: str = "Enter") -> None:
    """Reach an element by Tab, and press a key on it."""
    browser.find(selector)
    reach(browser, selector)
    browser.press(key)


def choose_by_key(browser: Browser, selector: str, *paths: Path) -> None:
    """Reach a file field by Tab, open its chooser by a key, and choose files.

    The chooser itself is the system's own; DevTools keep it from opening.
    """
    browser.devtools("Page.setInterceptFileChooserDialog", {"enabled": True})
    browser.find(selector)
    browser.run(
        "document.querySelector(arguments[0])"
        ".addEventListener('click', () => { window.asked = true }, { once: true })",
        selector,
    )
    press_on(browser, selector, "Space")
    browser.wait("return window.asked")
    browser.choose_file(selector, *paths)


def answer_doubts(browser: Browser, doubts: int) -> None:
    """Take the first candidate of each doubtful cell, by the key 1."""
    number = "return document.querySelector('#tab-cells .number').textContent === arguments[0]"
    for left in range(doubts, 0, -1):
        browser.wait(number, str(left))
        browser.press("1")
    browser.find("p.clear")


def on_to_print(browser: Browser) -> None:
    """From the check on to the printed kit sheet, by keys alone."""
    for step, on in (
        ("threads", "#on"),
        ("fabric", "[data-go=fabric]"),
        ("papers", "[data-go=papers]"),
    ):
        press_on(browser, on)
        browser.wait(SETTLED, step)
    await_print(browser)
    press_on(browser, "#p-print")
    browser.wait("return window.printed")


def await_print(browser: Browser) -> None:
    """Wait until a paper is shown, and note when it is printed in place of the system's dialog."""
    browser.wait(SHOWN)
    browser.wait("return !document.querySelector('#p-print').disabled")
    browser.run(
        "document.querySelector('iframe').contentWindow.print = () => { window.printed = true }"
    )


def pixels(browser: Browser) -> str:
    """What stands on the canvas, as text."""
    return str(browser.run("return document.querySelector('canvas.view').toDataURL()"))


def children(pid: int) -> list[int]:
    """Processes that a process began, as Linux lists them."""
    if not Path("/proc/self/task").exists():
        pytest.skip("the list of processes is Linux's own")
    lists = Path(f"/proc/{pid}/task").glob("*/children")
    return [int(word) for path in lists for word in path.read_text().split()]
