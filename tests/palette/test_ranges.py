"""The invented ranges come from their script, and from nothing else."""

from __future__ import annotations

import csv
import runpy
import warnings
from pathlib import Path

import pytest

PALETTES = Path(__file__).resolve().parents[2] / "palettes"


@pytest.mark.parametrize(
    ("name", "rows"), [("meadowline", "meadowline"), ("fenmarl-pearl", "fenmarl")]
)
def test_an_invented_range_is_what_its_script_draws(name: str, rows: str) -> None:
    script = runpy.run_path(str(PALETTES / "draw.py"))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it looks beyond what sRGB shows
        drawn = script["table"](script[rows]())
    kept = (PALETTES / f"{name}.csv").read_text(encoding="utf-8")
    # A level of a channel may round the other way on another machine's arithmetic.
    for mine, theirs in zip(
        csv.DictReader(drawn.splitlines()), csv.DictReader(kept.splitlines()), strict=True
    ):
        assert {**mine, "hex": ""} == {**theirs, "hex": ""}
        assert len(mine["hex"]) == len(theirs["hex"])
        for a, b in zip(mine["hex"].split(), theirs["hex"].split(), strict=True):
            levels = [(int(a[k : k + 2], 16), int(b[k : k + 2], 16)) for k in (1, 3, 5)]
            assert all(abs(x - y) <= 1 for x, y in levels), (mine["code"], a, b)


def test_a_code_is_its_familys_letters_and_the_shades_number() -> None:
    with (PALETTES / "meadowline.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    letters: dict[str, str] = {}
    for row in rows:
        family, number = row["name"].rsplit(" ", 1)
        assert row["code"].endswith(number)
        letters.setdefault(row["code"].removesuffix(number), family)
        assert letters[row["code"].removesuffix(number)] == family
    assert len({row["code"] for row in rows}) == len(rows) == len({row["hex"] for row in rows})
