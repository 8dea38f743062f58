"""Her own table of substitutes: remembered with day and remark, and read both ways round."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from chartscan.cli.main import run
from chartscan.errors import TableError
from chartscan.palette import MatchSettings, Palette, convert_threads
from chartscan.palette.substitutes import (
    Substitute,
    forget,
    load_substitutes,
    recall,
    remember,
    save_substitutes,
)
from tests.palette.making import thread

CHARTED = Palette((thread("1", "#c02030"), thread("2", "#be2232"), thread("3", "#2040a0")), "a.csv")
OWN = Palette((thread("X", "#c02031"), thread("Y", "#802030"), thread("Z", "#2040a2")), "b/b.csv")
PLAIN = MatchSettings()


def _row(called: str, becomes: str, remark: str = "") -> Substitute:
    return Substitute(("a", called), ("b", becomes), "2026-01-02", remark)


def _becomes(rows: tuple[Substitute, ...], *, back: bool = False, distinct: bool = False) -> str:
    before, after = (OWN, CHARTED) if back else (CHARTED, OWN)
    known = recall(rows, before.threads, before, after)
    settings = MatchSettings(distinct=distinct)
    found = convert_threads(before.threads, after, settings, remembered=known)
    return " ".join(c.chosen.thread.code for c in found.threads)


def test_what_she_takes_goes_before_what_is_nearest_both_ways_round() -> None:
    assert (_becomes(()), _becomes((), back=True)) == ("X X Z", "1 2 3")
    rows: tuple[Substitute, ...] = (_row("2", "Y", "deeper"),)
    assert (_becomes(rows), _becomes(rows, back=True)) == ("X Y Z", "1 2 3")
    rows = (_row("1", "Y"), _row("3", "X"))
    assert (_becomes(rows), _becomes(rows, back=True)) == ("Y X X", "3 1 3")


def test_a_thread_that_stands_for_several_becomes_the_nearest_of_them_and_it_is_said() -> None:
    rows = (_row("1", "Y"), _row("2", "Y"))
    assert _becomes(rows) == "Y Y Z"
    known = recall(rows, OWN.threads, OWN, CHARTED)
    assert known.notes == ("Y is what you take for 1 and 2; 2 is the nearest of them",)
    forth = convert_threads(
        CHARTED.threads, OWN, PLAIN, remembered=recall(rows, CHARTED.threads, CHARTED, OWN)
    )
    assert forth.warnings[0] == "1 and 2 fall on one thread, Y"
    assert [c.remembered is None for c in forth.threads] == [False, False, True]
    assert forth.threads[0].margin is None


def test_distinct_threads_leave_alone_what_she_takes() -> None:
    assert _becomes((_row("3", "X"),), distinct=True) == "Z Y X"


def test_a_row_is_replaced_forgotten_and_kept_in_a_table_that_anybody_can_read(
    tmp_path: Path,
) -> None:
    path = tmp_path / "deep" / "own.csv"
    assert load_substitutes(path) == ()
    rows = remember(remember((), _row("1", "X")), _row("1", "Y", 'a "soft" red, by eye'))
    assert [s.becomes[1] for s in rows] == ["Y"]
    save_substitutes(rows, path)
    assert load_substitutes(path) == rows
    assert rows[0].words == 'yours since 2026-01-02: a "soft" red, by eye'
    assert forget(rows, " 1") == ()
    with pytest.raises(TableError, match="no row for 9"):
        forget(rows, "9")
    path.write_text("code,becomes_code\n,X\n", encoding="utf-8")
    with pytest.raises(TableError, match="line 2"):
        load_substitutes(path)


def test_convert_takes_remembers_and_shows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("CHARTSCAN_SUBSTITUTES", str(tmp_path / "own.csv"))
    key, new = tmp_path / "key.csv", tmp_path / "new.csv"
    key.write_text("class,code\n1,ROS4\n2,COR6\n", encoding="utf-8")
    ranges = ["--from", "meadowline", "--to", "fenmarl-pearl"]

    def codes(*told: str) -> list[str]:
        assert run(["convert", str(key), *ranges, *told, "--json"]) == 0
        return [t["code"] for t in json.loads(capsys.readouterr().out)["threads"]]

    nearest = codes()
    assert codes("--take", "ROS4=fp1", "--remark", "softer") == ["FP1", nearest[1]]
    assert codes() == ["FP1", nearest[1]]
    assert codes("--plain") == nearest
    assert run(["convert", str(key), *ranges, "-o", str(new)]) == 0
    assert f"yours since {date.today().isoformat()}: softer" in " ".join(
        capsys.readouterr().out.split()
    )
    back = ["convert", str(new), "--from", "fenmarl-pearl", "--to", "meadowline", "--json"]
    assert run(back) == 0
    assert json.loads(capsys.readouterr().out)["threads"][0]["code"] == "ROS4"
    assert run(["palette", "substitutes"]) == 0
    assert "softer" in capsys.readouterr().out
    assert run(["palette", "substitutes", "--forget", "ROS4"]) == 0
    assert "is empty" in capsys.readouterr().out
    assert codes() == nearest
    assert run(["convert", str(key), *ranges, "--take", "ROS4"]) == 2
    assert run(["convert", str(key), *ranges, "--take", "ROS4=nothing"]) == 1
