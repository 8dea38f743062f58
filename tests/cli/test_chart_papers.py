"""`key` and `redraw`: papers of a chart, from its file alone."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.cli.conftest import Call


def test_a_chart_file_is_redrawn_as_page_and_pictures(chart_file: Path, chartscan: Call) -> None:
    folder = chart_file.parent
    done = chartscan("redraw", chart_file, "--sheet", folder / "w.html", "--svg", folder, "--ink")
    assert done.status == 0, done.err
    assert "<svg" in (folder / "w.html").read_text(encoding="utf-8")
    assert (folder / "sheet-1.svg").read_text(encoding="utf-8").startswith("<svg")
    assert f"Wrote {folder / 'w.html'}" in done.err


def test_a_key_is_made_filled_in_and_never_emptied(chart_file: Path, chartscan: Call) -> None:
    folder = chart_file.parent
    key = folder / "key.csv"
    assert chartscan("key", chart_file, "--template", key).status == 0
    head, first, *others = key.read_text(encoding="utf-8").splitlines()
    key.write_text("\n".join([head, first + "COR6", *others]) + "\n", encoding="utf-8")
    told = key.read_text(encoding="utf-8")
    done = chartscan("key", chart_file, "--template", key, "--sheet", folder / "key.html")
    assert done.status == 0, done.err
    assert key.read_text(encoding="utf-8") == told
    assert 'value="COR6"' in (folder / "key.html").read_text(encoding="utf-8")


def test_threads_are_named_in_the_key_of_a_working_chart(chart_file: Path, chartscan: Call) -> None:
    folder = chart_file.parent
    key = folder / "key.csv"
    key.write_text("class,code\n1,COR6\n", encoding="utf-8")
    options = ("--key", key, "--palette", "meadowline", "--sheet", folder / "w.html")
    assert chartscan("redraw", chart_file, *options).status == 0
    assert "COR6" in (folder / "w.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("redraw",), "--sheet F.html"),
        (("key",), "--template F.csv"),
        (("redraw", "--sheet", "w.html", "--key", "k.csv"), "--key and --palette go together"),
    ],
)
def test_what_is_missing_is_said(
    chart_file: Path, chartscan: Call, arguments: tuple[str, ...], words: str
) -> None:
    command, *options = arguments
    done = chartscan(command, chart_file, *options)
    assert done.status == 2
    assert words in done.err
