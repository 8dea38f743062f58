"""What is shown, held against the rules of access and the width of a phone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tests.worktable.browser import Browser

AXE = Path(__file__).parent / "axe" / "axe.min.js"
WIDE = "return document.documentElement.scrollWidth - document.documentElement.clientWidth"


def violations(browser: Browser) -> list[str]:
    """What axe-core finds against WCAG 2.2 A and AA and its best practices."""
    browser.devtools("Runtime.evaluate", {"expression": AXE.read_text(encoding="utf-8")})
    found: list[dict[str, Any]] = browser.run_async(
        "return (await window.axe.run(document, {resultTypes: ['violations']})).violations"
        ".map(v => ({id: v.id, nodes: v.nodes.map(n => n.html.slice(0, 120))}))"
    )
    return [f"{one['id']}: {one['nodes'][:3]}" for one in found]


def in_order(browser: Browser, what: str) -> None:
    """What is shown now breaks no rule of access, and needs no scrolling sideways on a phone."""
    assert violations(browser) == [], what
    for width in (360, 390):
        browser.size(width, 780, touch=True)
        assert browser.run(WIDE) <= 0, (what, width)
    browser.size(1280, 800)
