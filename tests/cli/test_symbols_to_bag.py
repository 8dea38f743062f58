"""From a symbol chart with a key to the bag's label, with no file edited by hand but the key."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.cli.conftest import Call

if TYPE_CHECKING:
    from tests.conftest import Drawn

MOST_COMMANDS = 4
RANGE = "meadowline"
CODES = ("ROS1", "COR6", "EMB5", "FLE4", "BUT3", "MOS3", "STO4", "BRO5", "BEE3", "FLI1")


@pytest.fixture
def counted(chartscan: Call) -> tuple[Callable[..., str], list[str]]:
    """Calls the program, and keeps which commands were called."""
    called: list[str] = []

    def call(*words: str | Path) -> str:
        called.append(str(words[0]))
        said = chartscan(*words)
        assert said.status == 0, said.err
        return said.out

    return call, called


def _fill_in(key: Path) -> dict[str, str]:
    """What the stitcher does by hand: a code in each row, as the printed key says; one a blend."""
    with key.open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    for number, row in enumerate(rows):
        row["code"] = CODES[number % len(CODES)]
    rows[0]["code"] = f"{CODES[0]}+{CODES[1]}"
    with key.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, rows[0])
        writer.writeheader()
        writer.writerows(rows)
    return {row["class"]: row["code"] for row in rows}


def test_from_a_symbol_chart_to_a_bag_label_in_three_commands(
    symbol_chart: Drawn, tmp_path: Path, counted: tuple[Callable[..., str], list[str]]
) -> None:
    call, called = counted
    (page,) = symbol_chart.pages
    chart, key = tmp_path / "chart.json", tmp_path / "key.csv"
    label, sheet, table = (tmp_path / name for name in ("bag.html", "kit.html", "kit.csv"))
    call("read", page, "-o", chart)
    call("key", chart, "--template", key)
    told = _fill_in(key)
    said = call(
        "kit", chart, "--key", key, "--palette", RANGE, "--fabric", "14", "--json",
        "--label", label, "--sheet", sheet, "--csv", table,
    )  # fmt: skip
    assert called == ["read", "key", "kit"]
    assert len(called) <= MOST_COMMANDS
    threads = json.loads(said)["threads"]
    wanted = {code for codes in told.values() for code in codes.split("+")}
    assert {t["code"] for t in threads} == wanted
    assert next(t for t in threads if t["code"] == CODES[0])["blended_with"] == CODES[1]
    for paper in (label, sheet):
        text = paper.read_text(encoding="utf-8")
        assert all(code in text for code in wanted)
        assert "data:image/png" in text  # the symbols, as the page prints them
    rows = csv.DictReader(table.read_text(encoding="utf-8").splitlines())
    assert {row["code"] for row in rows} == wanted


def test_with_a_project_it_takes_four_and_the_choice_stays(
    symbol_chart: Drawn,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    counted: tuple[Callable[..., str], list[str]],
) -> None:
    call, called = counted
    monkeypatch.setenv("CHARTSCAN_STASH", str(tmp_path / "stash.db"))
    (page,) = symbol_chart.pages
    chart, key, label = (tmp_path / name for name in ("chart.json", "key.csv", "bag.html"))
    call("read", page, "-o", chart)
    call("key", chart, "--template", key)
    told = _fill_in(key)
    new = ("project", "new", "Owl", "--chart", chart, "--palette", RANGE, "--key", key)
    call(*new, "--fabric", "14")
    call("project", "label", "Owl", "--sheet", label)
    assert called == ["read", "key", "project", "project"]
    assert len(called) <= MOST_COMMANDS
    text = label.read_text(encoding="utf-8")
    wanted = {code for codes in told.values() for code in codes.split("+")}
    assert all(re.search(rf"\b{code}\b", text) for code in wanted)
    kit = json.loads(call("kit", "--project", "Owl", "--json"))
    assert {t["code"] for t in kit["threads"]} == wanted
