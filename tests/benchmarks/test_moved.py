"""Moving the reader's numbers: what is kept of a reading changes nothing, and all is put back."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from chartscan.errors import ChartscanError
from chartscan.reading.page.page import Page
from chartscan.reading.read import read_page
from tests.benchmarks.moved_table import rows_of, totals
from tests.benchmarks.numbers import Number, numbers, put, watched
from tests.benchmarks.replay import Replay
from tests.reading.lattice.drawn_grid import drawn

ALL = numbers()
BARE = "classes.classify.ClassSettings.bare"
MOVES = {
    BARE: 1.1,  # no chance is as great, and nothing is bare fabric
    "lattice.straight.StraightSettings.agreement": 1.1,  # no edges agree so well
    "lattice.straight.StraightSettings.candidates": 17,
    "marks.sight.SightSettings.pitch": 1000.0,
}


def named(name: str) -> Number:
    return next(number for number in ALL if number.name == name)


def page() -> Page:
    return drawn(24, 18)[0]


def read(of: Page) -> object:
    try:
        chart = read_page(of).chart
    except ChartscanError as error:
        return str(error)
    return chart.cells.tolist(), chart.classes, chart.lines


def test_every_number_has_a_name_of_its_own() -> None:
    names = [number.name for number in ALL]
    assert len(names) == len(set(names)) > 500
    assert {"lattice", "classes", "marks", "doubt", "cells", "join"} <= {n.room for n in ALL}


def test_whole_numbers_move_by_one_at_least() -> None:
    assert named("lattice.straight.StraightSettings.candidates").times(0.75) == 12
    assert named("lattice.seeds.SeedSettings.apart").times(1.25) == 6
    assert named("lattice.straight.StraightSettings.agreement").times(1.25) == pytest.approx(1.0)


def test_what_is_done_again_is_as_from_the_start() -> None:
    of = page()
    replay = Replay(ALL, lambda: read(of))
    usual = read(of)
    wanted = {}
    for name, value in MOVES.items():
        with put(named(name), value):
            wanted[name] = read(of)
    with replay.ready():
        assert {name: replay.again(named(name), MOVES[name]) for name in MOVES} == wanted
        assert replay.again(named(BARE), named(BARE).value) == usual
    assert read(of) == usual
    assert [name for name in MOVES if wanted[name] != usual] == [BARE]


def test_a_number_that_nobody_looks_at_isnt_noted() -> None:
    noted: set[str] = set()
    with watched(ALL, noted.update):
        read(page())
    assert "lattice.straight.StraightSettings.agreement" in noted
    assert "join.overlap.OverlapSettings.most" not in noted
    before = len(noted)
    read(page())
    assert len(noted) == before


def test_settings_that_are_made_meanwhile_have_the_number_too() -> None:
    number = named("lattice.straight.StraightSettings.agreement")
    with put(number, 0.123):
        assert number.kind().agreement == 0.123
    assert number.kind().agreement == number.value
    assert np.isclose(number.holders[0].agreement, number.value)


def test_the_table_tells_what_came_of_each_number(tmp_path: Path) -> None:
    one, two, three = ALL[:3]
    lines: list[dict[str, object]] = [
        {"looked_at": [one.name, two.name], "score": [1.0]},
        {"number": one.name, "times": 0.75, "differs": ["chart"], "value": 1, "score": [0.5]},
        {"number": two.name, "times": 0.75, "differs": []},
        {"number": two.name, "times": 1.25, "differs": ["lattice"], "value": 1, "score": [1.0]},
        {"number": "one that is no more", "times": 0.75, "differs": []},
    ]
    text = "\n".join(json.dumps(line) for line in lines)
    (tmp_path / "page.jsonl").write_text(text, encoding="utf-8")
    rows = rows_of(tmp_path, [one, two, three])
    assert (rows[one.name].looked_at, rows[one.name].otherwise) == (1, {"page"})
    assert (rows[one.name].worse, rows[one.name].better) == ({"page"}, set())
    assert (rows[two.name].otherwise, rows[two.name].lattice_only) == (set(), {"page"})
    assert (rows[three.name].looked_at, rows[three.name].tried) == (0, set())
    assert totals(rows, [one, two, three])[-1] == (
        "all: 3 numbers, 1 change a reading, 1 move a lattice a little, 0 change nothing, "
        "0 looked at but not moved yet, 1 not looked at"
    )
