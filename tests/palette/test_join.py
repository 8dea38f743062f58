"""A range measured at two sittings, joined."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from chartscan.cli.main import run
from chartscan.errors import MatchError
from chartscan.palette.join import join_palettes, range_csv
from chartscan.palette.load import load_palette
from chartscan.palette.thread import Palette
from tests.palette.making import thread

COLOURS = {"A": "#804020", "B": "#208040", "C": "#202080"}
MAY = Palette(tuple(thread(code, colour) for code, colour in COLOURS.items()), "may")


def _moved(palette: Palette, **by: float) -> Palette:
    moved = [
        replace(t, lab=(t.lab[0] + by[t.code], *t.lab[1:])) for t in palette.threads if t.code in by
    ]
    return Palette(tuple(moved), "june")


def test_what_both_saw_alike_is_their_mean_and_what_one_saw_is_kept() -> None:
    june = Palette((*_moved(MAY, A=1.0, B=-1.0).threads, thread("D", "#808080")), "june")
    made = join_palettes(MAY, june)
    assert [t.code for t in made.palette.threads] == ["A", "B", "C", "D"]
    labs = {t.code: t.lab for t in made.palette.threads}
    before = {t.code: t.lab for t in MAY.threads}
    np.testing.assert_allclose(labs["A"], np.add(before["A"], [0.5, 0, 0]))
    np.testing.assert_allclose(labs["B"], np.add(before["B"], [-0.5, 0, 0]))
    assert labs["C"] == before["C"]
    assert made.apart == ()


def test_what_they_do_not_agree_on_is_left_out_and_named_not_averaged() -> None:
    made = join_palettes(MAY, _moved(MAY, A=0.2, B=12.0, C=20.0))
    assert [t.code for t in made.palette.threads] == ["A"]
    assert [t.code for t in made.apart] == ["C", "B"]  # the most different first
    with pytest.raises(MatchError, match="no code in common"):
        join_palettes(MAY, Palette((thread("Z", "#000000"),), "z"))


def test_a_range_says_the_same_when_it_is_written_and_read_again(tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_text(
        "code,name,hex,line,status,metres,strands,price,kind,size,cut,tail,needle,hand\n"
        "A,Ash,#804020,Mine,current,8,6,1.20,,,,,,\n"
        "B,Bay,#208040,Mine,discontinued,,,,pearl,8,30cm,5cm,2,1.1\n",
        encoding="utf-8",
    )
    first = load_palette(path)
    path.write_text(range_csv(first), encoding="utf-8")
    second = load_palette(path)
    assert [replace(t, lab=(0, 0, 0)) for t in second.threads] == [
        replace(t, lab=(0, 0, 0)) for t in first.threads
    ]
    np.testing.assert_allclose(second.lab, first.lab, atol=0.006)


def test_joining_by_command_writes_a_range_and_names_what_is_to_be_measured_again(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    may, june, mine = (tmp_path / name for name in ("may.csv", "june.csv", "mine.csv"))
    may.write_text("code,L,a,b\nA,50,10,10\nB,30,0,0\n", encoding="utf-8")
    june.write_text("code,L,a,b\nA,51,10,10\nB,45,0,0\n", encoding="utf-8")
    assert run(["palette", "join", str(may), str(june), "-o", str(mine)]) == 0
    said = capsys.readouterr()
    assert "don't agree on B" in said.err
    assert "2 threads in both" in said.out
    assert [(t.code, t.lab[0]) for t in load_palette(mine).threads] == [("A", 50.5)]
    assert run(["palette", "join", str(may), str(june), "-o", str(may)]) != 0
