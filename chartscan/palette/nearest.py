"""The threads nearest to one colour: substitutes for a thread, or a thread for a colour seen."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np

from chartscan.colour import lab_to_srgb, parse_hex, round_rgb, srgb_to_lab
from chartscan.csvtable import parse_number
from chartscan.errors import MatchError
from chartscan.palette.key import find_thread
from chartscan.palette.load import check_lab
from chartscan.palette.ownership import Owned
from chartscan.palette.thread import Candidate, Palette, Thread
from chartscan.palette.weigh import candidates, nearest_first, thread_range, weigh
from chartscan.remedies import Remedy

_BARE_HEX = re.compile(r"[0-9a-fA-F]{6}")


@dataclass(frozen=True)
class Wanted:
    """The colour that is looked for.

    Attributes:
        lab: CIELAB under D65, 2° observer.
        rgb: the nearest sRGB colour, 0..255.
        thread: the thread whose code was given, or None.
    """

    lab: tuple[float, float, float]
    rgb: tuple[int, int, int]
    thread: Thread | None = None


def parse_wanted(text: str, palette: Palette, line: str = "") -> Wanted:
    """The colour that ``text`` says: ``#rrggbb``, ``lab:L,a,b`` (D65), or a code of ``palette``.

    Raises:
        MatchError: it says none.
    """
    text = text.strip()
    codes = {t.code.casefold() for t in palette.threads}
    try:
        if text.startswith("#") or (_BARE_HEX.fullmatch(text) and text.casefold() not in codes):
            rgb = parse_hex(text)
            lightness, a, b = (float(v) for v in srgb_to_lab(rgb))
            return Wanted((lightness, a, b), rgb)
        if text.lower().startswith("lab:"):
            return _parse_lab(text)
        thread = find_thread(palette, text, line)
    except ValueError as error:
        raise MatchError(
            f"{error}; give #rrggbb, lab:L,a,b, or a code of {palette.source or 'the palette'}"
        ) from error
    return Wanted(thread.lab, thread.rgb, thread)


def _parse_lab(text: str) -> Wanted:
    parts = text[len("lab:") :].split(",")
    if len(parts) != 3:
        raise ValueError(f"{text!r} isn't of the form lab:L,a,b")
    lightness, a, b = (
        parse_number(part.strip(), name) for part, name in zip(parts, "Lab", strict=True)
    )
    check_lab((lightness, a, b))
    return Wanted((lightness, a, b), round_rgb(lab_to_srgb((lightness, a, b))))


def nearest_threads(
    wanted: Wanted,
    palette: Palette,
    count: int = 5,
    owned: Owned | None = None,
    *,
    owned_only: bool = False,
    discontinued: bool = False,
) -> tuple[Candidate, ...]:
    """The ``count`` threads nearest to ``wanted``, nearest first; the wanted thread left out.

    Args:
        wanted: the colour or thread.
        palette: the threads to choose from.
        count: how many.
        owned: what is at hand; a discontinued thread counts only where some of it is.
        owned_only: only threads at hand.
        discontinued: discontinued threads too, at hand or not.

    Raises:
        MatchError: no thread is left.
    """
    threads = tuple(
        t
        for t in palette.threads
        if t != wanted.thread and not (owned_only and owned is not None and owned.of(t) <= 0)
    )
    offered = thread_range(Palette(threads), owned)
    costs = weigh(np.array(wanted.lab), offered, discontinued=discontinued)
    found = [int(t) for t in nearest_first(costs, count)[0] if math.isfinite(costs.cost[0, int(t)])]
    if not found:
        what = "is at hand" if owned_only else "can still be bought"
        ways = () if owned_only else (Remedy.SHOW_DISCONTINUED,)
        raise MatchError(f"{palette.source or 'the palette'}: no other thread {what}", *ways)
    return tuple(candidates(costs, offered, [(0, t) for t in found]))
