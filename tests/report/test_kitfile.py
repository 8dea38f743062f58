"""The kit as JSON and CSV."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

import pytest

from chartscan.report.kitfile import CSV_COLUMNS, kit_csv, kit_object
from chartscan.stash.kit import Kit


def test_the_object_holds_what_other_tools_call_for(kit: Kit) -> None:
    value = json.loads(json.dumps(kit_object(kit), allow_nan=False))
    assert (value["format"], value["version"]) == ("chartscan.kit", 1)
    assert {"chart", "fabric", "threads", "totals", "warnings"} <= value.keys()
    wanted = {
        "class",
        "rgb",
        "code",
        "name",
        "delta_e",
        "stitches",
        "strands",
        "length_mm",
        "skeins",
        "owned",
        "to_buy",
    }
    for thread in value["threads"]:
        assert wanted <= thread.keys()
        assert thread["length_mm"].keys() == {"low", "likely", "high"}
    assert value["fabric"]["count"] == 28
    assert value["warnings"] == list(kit.warnings)


def test_classes_of_one_thread_are_one_entry(kit: Kit) -> None:
    by_code = {thread["code"]: thread for thread in kit_object(kit)["threads"]}
    assert len(by_code) == len(kit_object(kit)["threads"])
    assert [use["class"] for use in by_code["N2"]["uses"]] == [2, 3]
    assert by_code["N2"]["skeins"] == 2, "65 m and a fifth are under two skeins of 48 m"
    assert by_code["N1"]["blended_with"] == "N4"


def test_a_keyed_class_without_a_colour_has_no_difference(kit: Kit) -> None:
    straw = next(t for t in kit_object(kit)["threads"] if t["code"] == "N4")
    keyed = next(use for use in straw["uses"] if use["class"] == 4)
    assert keyed["delta_e"] is None
    assert keyed["rgb"] is None


def test_totals_add_up(kit: Kit) -> None:
    value = kit_object(kit)
    totals, threads = value["totals"], value["threads"]
    assert totals["skeins"] == sum(t["skeins"] for t in threads)
    assert totals["to_buy"] == sum(t["to_buy"] for t in threads)
    assert totals["price"] == pytest.approx(1.5 * totals["to_buy"])
    assert totals["length_mm"]["likely"] == pytest.approx(
        sum(t["length_mm"]["likely"] for t in threads)
    )


def test_the_table_reads_back(kit: Kit) -> None:
    rows = list(csv.DictReader(io.StringIO(kit_csv(kit))))
    assert list(rows[0]) == list(CSV_COLUMNS)
    assert [row["code"] for row in rows] == [line.thread.code for line in kit.threads]
    assert [int(row["to_buy"]) for row in rows] == [line.to_buy for line in kit.threads]
    rust = next(row for row in rows if row["code"] == "N2")
    assert rust["class"] == "2 3"
    assert float(rust["metres_likely"]) == pytest.approx(65.0)


def test_low_and_high_stand_in_their_own_columns(kit: Kit) -> None:
    """Of a blend: 20 m, up to a fifth more; half of it each, and a fifth less by the normal law."""
    moss = next(r for r in csv.DictReader(io.StringIO(kit_csv(kit))) if r["code"] == "N1")
    metres = [float(moss[f"metres_{name}"]) for name in ("low", "likely", "high")]
    assert metres == pytest.approx([8.0, 10.0, 12.0], rel=1e-3)


def test_lengths_stand_in_metres_and_in_yards(kit: Kit) -> None:
    """A yard is 0.9144 m exactly (international yard and pound agreement of 1959)."""
    for row in csv.DictReader(io.StringIO(kit_csv(kit))):
        for end in ("low", "likely", "high"):
            metres, yards = float(row[f"metres_{end}"]), float(row[f"yards_{end}"])
            assert yards == pytest.approx(metres / 0.9144, abs=0.0011)
    first = kit.threads[0]
    row = next(csv.DictReader(io.StringIO(kit_csv(kit))))
    assert float(row["metres_likely"]) == pytest.approx(first.length_mm.likely / 1000, abs=0.0006)


def test_a_thread_called_like_a_formula_is_none_in_a_spreadsheet(kit: Kit) -> None:
    first = kit.threads[0]
    thread = replace(first.thread, name='=HYPERLINK("x")')
    match = replace(first.match, chosen=replace(first.match.chosen, thread=thread))
    text = kit_csv(replace(kit, threads=(replace(first, match=match), *kit.threads[1:])))
    row = next(csv.DictReader(io.StringIO(text)))
    assert row["name"] == '\'=HYPERLINK("x")'


def test_every_figure_of_a_thread_stands_under_its_own_name(kit: Kit) -> None:
    """What other programs read: Rust works classes 2 and 3, 30 and 35 m, four crosses each."""
    rust = next(thread for thread in kit_object(kit)["threads"] if thread["code"] == "N2")
    lengths = rust.pop("length_mm")
    assert lengths["likely"] == 65_000
    assert (lengths["low"], lengths["high"]) == pytest.approx((52_000, 78_000), rel=2e-3)

    def use(number: int, rgb: list[int], delta_e: float, likely: float) -> dict[str, object]:
        length = {"low": 0.9 * likely, "likely": likely, "high": 1.2 * likely}
        return {
            "class": number, "rgb": rgb, "delta_e": delta_e, "stitches": 4, "work": {"cross": 4},
            "strands": 2, "length_mm": pytest.approx(length),
        }  # fmt: skip

    assert rust == {
        "class": 2,
        "rgb": [171, 72, 44],
        "code": "N2",
        "name": "Rust",
        "line": "Hollow Mill",
        "status": "current",
        "thread_rgb": [170, 70, 40],
        "delta_e": 0.9,
        "grade": "close",
        "blended_with": None,
        "stitches": 8,
        "strands": 2,
        "least_mm": 52_000,
        "pieces": 4,
        "skeins": 2,
        "owned": 0,
        "to_buy": 2,
        "price": 3.0,
        "uses": [use(2, [171, 72, 44], 0.9, 30_000), use(3, [172, 75, 47], 1.4, 35_000)],
    }


def test_every_figure_of_the_whole_stands_under_its_own_name(kit: Kit) -> None:
    value = kit_object(kit)
    assert value["chart"] == {
        "title": "Moss & Rust", "columns": 6, "rows": 4, "stitches": 12,
        "source": {"file": "moss & rust.png"},
    }  # fmt: skip
    assert value["fabric"] == {
        "count": 28, "over": 2, "count_down": None, "rgb": [232, 226, 208], "name": "oatmeal linen",
    }  # fmt: skip
    assert value["finished_mm"] == [10.9, 7.3]
    assert value["cut_mm"] == [160.9, 157.3]
    assert (value["margin_mm"], value["copies"]) == (75, 1)
    assert (value["order"], value["factor"]) == ("rows", 1)


def test_the_table_has_every_figure_in_its_own_column(kit: Kit) -> None:
    """A blend is told as a key tells it: with its other thread, class by class."""
    rows = {row["code"]: row for row in csv.DictReader(io.StringIO(kit_csv(kit)))}
    names = ("name", "line", "class", "chart_hex", "thread_hex", "delta_e", "stitches", "strands")
    told = {code: [row[name] for name in names] for code, row in rows.items()}
    assert told == {
        "N1": ["Moss", "Hollow Mill", "1+N4", "#5c793d", "#5a783c", "0.60", "4", "1"],
        "N4": ["Straw", "Hollow Mill", "1+N1 4", "#5c793d", "#dcc878", "0.60", "8", "1"],
        "N2": ["Rust", "Hollow Mill", "2 3", "#ab482c", "#aa4628", "0.90", "8", "2"],
        "N3": ["Ink", "Hollow Mill", "5 6", "#000000", "#141428", "4.20", "8", "1"],
    }
    at_hand = {code: (row["skeins"], row["owned"], row["to_buy"]) for code, row in rows.items()}
    assert at_hand == {
        "N1": ("1", "2", "0"),
        "N4": ("1", "0", "1"),
        "N2": ("2", "0", "2"),
        "N3": ("1", "0.2", "0"),
    }


def test_what_nobody_told_stays_blank_and_is_no_nought(kit: Kit) -> None:
    untold = replace(kit, threads=tuple(replace(line, owned=None) for line in kit.threads))
    rows = list(csv.DictReader(io.StringIO(kit_csv(untold))))
    assert {row["owned"] for row in rows} == {""}
    assert all(thread["owned"] is None for thread in kit_object(untold)["threads"])
