"""Files and numbers nobody means: one clear line each, no traceback, nothing lost."""

from __future__ import annotations

import sqlite3
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from chartscan.stash.fabrics import free_pieces
from chartscan.stash.kitting import kit
from chartscan.stash.lookback import as_of
from chartscan.stash.plan import make_plan

if TYPE_CHECKING:
    from tests.stash.conftest import Call, Shelf


def test_fabric_is_found_whatever_the_capitals_and_accents_of_its_colour(shelf: Shelf) -> None:
    label = shelf.piece(400, 500, colour="ÉCRU")
    assert [row["label"] for row in free_pieces(shelf.ledger, 28, "écru")] == [label]
    from chartscan.stash.needs import FabricNeed, add_fabric_need

    shelf.project("Robin")
    add_fabric_need(shelf.ledger, "Robin", FabricNeed(28, 300, 400, 1, "Écru"))
    assert make_plan(shelf.ledger, "Robin").missing == ()
    assert kit(shelf.ledger, "Robin").project.state == "kitted"


def test_a_clock_that_was_set_back_tears_no_act_from_those_it_built_on(shelf: Shelf) -> None:
    shelf.thread("T1", 1)
    shelf.clock.now += timedelta(days=2)
    shelf.thread("T1", 2)
    shelf.clock.now -= timedelta(days=1)  # somebody set the clock right
    shelf.thread("T1", 4)
    found = as_of(shelf.ledger, shelf.clock.now)
    assert [s.owned for s in found] == [7]


def test_an_act_of_the_year_1_is_told(chartscan: Call, stash_file: Path) -> None:
    chartscan("stash", "add", "thread", "T1")
    connection = sqlite3.connect(stash_file)
    connection.execute("DROP TRIGGER acts_stay")
    connection.execute("UPDATE acts SET time = '0001-01-01T00:00:00.000000Z'")
    connection.commit()
    connection.close()
    told = chartscan("stash", "history")
    assert (told.status, "0001-01-01" in told.out) == (0, True)


def test_numbers_nobody_can_mean_are_refused_by_line(chartscan: Call, tmp_path: Path) -> None:
    palette = tmp_path / "p.csv"
    palette.write_text("code,name,hex,metres\nT1,Rose,#aa3040,1e308\n", encoding="utf-8")
    chartscan("stash", "add", "thread", "T1")
    for call in (
        ("palette", "check", palette),
        ("stash", "learn", palette),
        ("stash", "add", "thread", "T1", "--palette", palette),
    ):
        told = chartscan(*call)
        assert told.status != 0
        assert "line 2" in told.err, call
        assert "too large to be meant" in told.err
        assert "Traceback" not in told.err


def test_a_chart_with_an_endless_number_is_refused(chartscan: Call, tmp_path: Path) -> None:
    chart = tmp_path / "c.json"
    chart.write_text(
        '{"format": "chartscan.chart", "version": 1, "columns": ' + "9" * 5000 + "}",
        encoding="utf-8",
    )
    told = chartscan("count", chart)
    assert told.status == 1
    assert "c.json" in told.err
    assert len(told.err.splitlines()) == 1


@pytest.mark.parametrize("at", [100, 5000, 12000, 40000])
def test_a_damaged_stash_is_told_in_one_line_everywhere(
    chartscan: Call, shelf: Shelf, stash_file: Path, tmp_path: Path, at: int
) -> None:
    for number in range(60):
        shelf.thread(f"T{number}", 2, (1000,))
    shelf.ledger.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    shelf.ledger.close()
    content = bytearray(stash_file.read_bytes())
    content[at : at + 400] = b"\xff" * 400
    stash_file.write_bytes(bytes(content))
    for call in (
        ("list",),
        ("check",),
        ("history",),
        ("find", "T1"),
        ("backup", tmp_path / "x.backup"),
    ):
        told = chartscan("stash", *call)
        assert told.status in (0, 1), call
        if told.status:
            assert "stash" in told.err
