"""A disk that fills up: one clear line, nothing half booked, and the run goes on later."""

from __future__ import annotations

import errno
import sqlite3
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from chartscan.archive import booking
from chartscan.archive.catalogue import Catalogue, begun
from chartscan.archive.finding import Found
from chartscan.errors import ArchiveError, ChartscanError
from chartscan.files import replacing
from chartscan.tasks.archive import read_archive
from chartscan.tasks.catalogue import list_charts

if TYPE_CHECKING:
    from tests.archive.conftest import InlineCrew


def test_no_room_for_a_chart_file_stops_the_run_and_books_nothing_of_it(
    shelf: Path, tmp_path: Path, crew: InlineCrew, monkeypatch: pytest.MonkeyPatch
) -> None:
    into = tmp_path / "guild.catalogue"
    written = 0

    def write(path: Path, text: str) -> None:
        nonlocal written
        written += 1
        with replacing(path) as stream:
            stream.write(text.encode())
            if written > 2:
                raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(booking, "write_text", write)
    with pytest.raises(ChartscanError, match=r"No space left on device.*free some space"):
        read_archive([shelf], into, crew)
    monkeypatch.undo()
    before = list(list_charts(into))
    assert len(before) == 2
    assert [p.suffix for p in into.parent.rglob("*.part")] == []
    assert read_archive([shelf], into, crew).pages == {"chart": 2, "unreadable": 1}


def _book_without_end(catalogue: Catalogue) -> None:
    for number in count():
        path = f"/shelf/{number:0>200}.png"
        booking.book_file(catalogue, Found(path, f"{number:064x}", 1, 1))


def test_no_room_in_the_catalogue_is_told_and_what_was_booked_is_kept(tmp_path: Path) -> None:
    with begun(tmp_path / "c") as catalogue:
        booking.begin_run(catalogue)
        pages = catalogue.value("PRAGMA page_count")
        catalogue.connection.execute(f"PRAGMA max_page_count = {pages + 4}")
        with pytest.raises(ArchiveError, match="the disk is full; what was read so far is kept"):
            _book_without_end(catalogue)
        booked = catalogue.value("SELECT count(*) FROM places")
        assert booked == catalogue.value("SELECT count(*) FROM files") > 0
    with sqlite3.connect(tmp_path / "c") as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    connection.close()
