"""A kit on the terminal: what a stitcher reads off it before she goes to the shop."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from chartscan.report.kittable import print_kit
from chartscan.stash.kit import Kit, KitThread

Lines = Callable[[Kit, int], list[str]]


@pytest.fixture
def lines(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Lines:
    """Calls what prints a kit in a window of some width, and gives its lines."""

    def printed(kit: Kit, width: int) -> list[str]:
        monkeypatch.setenv("COLUMNS", str(width))
        monkeypatch.setenv("NO_COLOR", "1")
        print_kit(kit)
        return capsys.readouterr().out.splitlines()

    return printed


def test_a_wide_window_shows_all_that_is_known_of_each_thread(kit: Kit, lines: Lines) -> None:
    """Metres of two classes in one thread are added up, and the farther colour is told."""
    heads, _, *rows = (" ".join(line.split()) for line in lines(kit, 100)[:6])
    assert heads == "Class Colour Thread ΔE Stitches Str. Metres Yards Skeins Have Buy"
    assert rows == [
        "1 #5c793d N1 Moss 0.6 4 1 10.0 10.9 1 2 -",
        "1 4 #5c793d N4 Straw 0.6 8 1 and 2 10.5 11.5 1 0 1",
        "2 3 #ab482c N2 Rust 1.4 8 2 65.0 71.1 2 0 2",
        "5 6 #000000 N3 Ink 9.9 8 1 0.8 0.9 1 0.2 -",
    ]


def test_what_is_had_is_shown_only_where_somebody_said_what_that_is(kit: Kit, lines: Lines) -> None:
    assert "Have" in lines(kit, 100)[0].split()
    untold = replace(kit, threads=tuple(replace(line, owned=None) for line in kit.threads))
    assert "Have" not in lines(untold, 100)[0].split()


def test_in_the_narrowest_window_no_name_is_cut_within_a_word(kit: Kit, lines: Lines) -> None:
    names = ("Cornfield blue 6", "Grasshopper 3", "Primrose 1", "Marigold 5")
    threads = []
    for line, name in zip(kit.threads, names, strict=True):
        chosen = replace(line.match.chosen, thread=replace(line.thread, name=name))
        threads.append(replace(line, match=replace(line.match, chosen=chosen)))
    heads, _, *rows = lines(replace(kit, threads=tuple(threads)), 40)
    table = rows[: next(i for i, row in enumerate(rows) if " × " in row)]
    assert max(map(len, (heads, *table))) <= 40
    assert {"Class", "Thread", "Skeins", "Have", "Buy"} <= {*heads.split()}
    words = " ".join(table).split()
    assert {word for name in names for word in name.split()} <= {*words}


@pytest.mark.parametrize(
    ("width", "missing"),
    [(80, {"Yards"}), (60, {"Yards", "Stitches", "Str."}), (44, {"Colour", "ΔE"})],
)
def test_in_a_narrow_window_code_and_skeins_are_still_there(
    kit: Kit, lines: Lines, width: int, missing: set[str]
) -> None:
    table = lines(kit, width)[:6]
    assert max(map(len, table)) <= width
    heads = table[0].split()
    assert {"Class", "Thread", "Metres", "Skeins", "Have", "Buy"} <= {*heads}
    assert not missing & {*heads}
    rust = table[4].split()
    assert rust[:2] == ["2", "3"]
    assert [word for word in rust if word in ("N2", "Rust")] == ["N2", "Rust"]
    assert rust[-4:] == ["65.0", "2", "0", "2"]


def test_the_totals_in_words(kit: Kit, lines: Lines) -> None:
    """86.3 m are 10.0 + 10.5 + 65.0 + 0.8; the three skeins to buy cost 1.50 each."""
    said = lines(kit, 100)[6:]
    assert said[:6] == [
        "Moss & Rust: 6 × 4 stitches, 24 to work",
        "Fabric    28 count over 2 threads, oatmeal linen",
        "Finished  1.1 × 0.7 cm (0.4 × 0.3 in)",
        "Cut       16.1 × 15.8 cm (6.4 × 6.3 in)",
        "Thread    4 threads, likely 86.3 m (94.4 yd) of single strand",
        "Skeins    5 to have, 3 to buy for 4.50",
    ]
    assert said[6].startswith("Chance    Some thread runs out in less than 1 of 100")
    assert any(line.startswith("Ranges and chances rest on assumed spreads") for line in said)


def test_who_is_to_buy_skeins_is_told_of_dye_lots_and_nobody_else(kit: Kit, lines: Lines) -> None:
    """Common practice, no source."""
    caution = "Buy all skeins of a colour in one go, from one dye lot."
    assert caution in lines(kit, 100)
    plenty = replace(kit, threads=tuple(replace(line, owned=9.0, to_buy=0) for line in kit.threads))
    assert caution not in lines(plenty, 100)
    assert "Skeins    5 to have, 0 to buy" in lines(plenty, 100)


def test_several_copies_are_told_beside_their_sizes(kit: Kit, lines: Lines) -> None:
    """Else she would cut cloth for one."""
    several = replace(kit, requirements=replace(kit.requirements, copies=25))
    said = lines(several, 100)[6:]
    assert said[2:4] == [
        "Finished  1.1 × 0.7 cm (0.4 × 0.3 in), 25 times",
        "Cut       16.1 × 15.8 cm (6.4 × 6.3 in), 25 times",
    ]


def test_without_any_price_no_sum_is_told(kit: Kit, lines: Lines) -> None:
    unpriced = replace(kit, threads=tuple(_unpriced(line) for line in kit.threads))
    assert "Skeins    5 to have, 3 to buy" in lines(unpriced, 100)


def _unpriced(line: KitThread) -> KitThread:
    chosen = line.match.chosen
    thread = replace(chosen.thread, price=None)
    return replace(line, match=replace(line.match, chosen=replace(chosen, thread=thread)))
