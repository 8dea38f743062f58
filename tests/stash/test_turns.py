"""Backups in turns, packed, and files that something happened to."""

from __future__ import annotations

import gzip
import os
import stat
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from chartscan.errors import StashError
from chartscan.remedies import Remedy
from chartscan.stash.backup import back_up, restore
from chartscan.stash.ledger import UnusableStashError, open_ledger
from chartscan.stash.turns import back_up_in_turn, backup_due, kept_days

if TYPE_CHECKING:
    from tests.stash.conftest import Shelf


@given(st.sets(st.dates(date(2020, 1, 1), date(2030, 1, 1)), max_size=400))
def test_what_is_kept_reaches_back_and_stays_few(days: set[date]) -> None:
    kept = kept_days(days)
    assert kept <= days
    assert len(kept) <= 7 + 5 + 12 + len({day.year for day in days})
    assert kept_days(kept) == kept  # nothing more goes before a new one comes
    assert {day.year for day in kept} == {day.year for day in days}
    if days:
        assert max(days) in kept


def test_a_year_of_daily_backups_leaves_days_weeks_and_months(shelf: Shelf, tmp_path: Path) -> None:
    shelf.thread("T1", 1)
    (tmp_path / "stash-mine.backup").write_text("not by this program")
    (tmp_path / "stash-2026-02-30.backup").write_text("no day")
    for _ in range(40):
        shelf.clock.now += timedelta(days=1)
        back_up_in_turn(shelf.ledger, tmp_path)
    names = sorted(path.name for path in tmp_path.glob("stash-2026-0[345]*.backup"))
    assert names[-7:] == [f"stash-2026-04-{day:02}.backup" for day in range(4, 11)]
    assert "stash-2026-03-31.backup" in names
    assert "stash-2026-03-05.backup" not in names
    assert (tmp_path / "stash-mine.backup").exists()
    assert (tmp_path / "stash-2026-02-30.backup").exists()


def test_a_backup_is_asked_for_when_it_is_due(shelf: Shelf, tmp_path: Path) -> None:
    assert backup_due(shelf.ledger) is None
    for _ in range(20):
        shelf.thread("T1", 1)
    assert "no backup" in (backup_due(shelf.ledger) or "")
    back_up_in_turn(shelf.ledger, tmp_path)
    shelf.clock.now += timedelta(days=40)
    assert backup_due(shelf.ledger) is None  # nothing was booked since
    shelf.thread("T1", 1)
    assert "The last backup is of 2026-03-01, 1 entries ago" in (backup_due(shelf.ledger) or "")


def test_a_backup_is_packed_and_one_that_is_cut_is_refused(
    shelf: Shelf, stash_file: Path, tmp_path: Path
) -> None:
    for number in range(50):
        shelf.thread(f"T{number}", 3)
    copy = tmp_path / "copy.backup"
    back_up(shelf.ledger, copy)
    shelf.ledger.close()
    assert len(copy.read_bytes()) * 4 < len(gzip.decompress(copy.read_bytes()))
    cut = tmp_path / "cut.backup"
    cut.write_bytes(copy.read_bytes()[:-200])
    with pytest.raises(StashError, match="this backup is damaged; the stash stays"):
        restore(cut, stash_file)
    counts, _ = restore(copy, stash_file)
    assert counts["threads"] == 50


def test_an_emptied_stash_is_never_begun_anew(shelf: Shelf, stash_file: Path) -> None:
    shelf.thread("T1", 1)
    copy = stash_file.with_name("copy.backup")
    back_up(shelf.ledger, copy)
    shelf.ledger.close()
    stash_file.write_bytes(b"")
    with pytest.raises(UnusableStashError, match="is empty") as refused:
        open_ledger(stash_file, create=True)
    assert refused.value.remedies == (Remedy.RESTORE,)
    _, kept = restore(copy, stash_file)
    assert kept is not None
    with open_ledger(stash_file) as ledger:
        assert ledger.value("SELECT count(*) FROM threads") == 1


def test_a_log_without_its_stash_is_never_written_into_a_new_one(
    shelf: Shelf, stash_file: Path
) -> None:
    shelf.thread("T1", 1)
    copy = stash_file.with_name("copy.backup")
    back_up(shelf.ledger, copy)
    log = stash_file.with_name(stash_file.name + "-wal")
    held = log.read_bytes()
    shelf.ledger.close()
    stash_file.unlink()
    log.write_bytes(held)
    with pytest.raises(UnusableStashError, match="is gone, though its log"):
        open_ledger(stash_file, create=True)
    restore(copy, stash_file)
    assert not log.exists()


def test_a_restore_follows_a_link_and_sets_aside_what_is_something_else(
    shelf: Shelf, stash_file: Path, tmp_path: Path
) -> None:
    shelf.thread("T1", 1)
    copy = tmp_path / "copy.backup"
    back_up(shelf.ledger, copy)
    shelf.ledger.connection.execute("PRAGMA application_id = 7")
    shelf.ledger.close()
    link = tmp_path / "link.db"
    link.symlink_to(stash_file)
    with pytest.raises(UnusableStashError, match="something else"):
        open_ledger(link)
    _, kept = restore(copy, link)
    assert link.is_symlink()
    assert kept is not None
    assert kept.parent == stash_file.parent
    with open_ledger(link) as ledger:
        assert ledger.value("SELECT count(*) FROM threads") == 1


@pytest.mark.skipif(not Path("/proc/self/fd").is_dir(), reason="needs Linux")
def test_what_is_written_has_its_name_on_the_disk_before_it_is_said(
    shelf: Shelf, stash_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A rename outlives a power cut once its folder is synced; that comes after the rename."""
    synced: list[tuple[Path, set[str]]] = []
    truly = os.fsync

    def noting(number: int) -> None:
        if stat.S_ISDIR(os.fstat(number).st_mode):
            folder = Path(f"/proc/self/fd/{number}").readlink()
            synced.append((folder, {path.name for path in folder.iterdir()}))
        truly(number)

    monkeypatch.setattr(os, "fsync", noting)
    shelf.thread("T1", 1)
    copies = tmp_path / "copies"
    copies.mkdir()
    back_up(shelf.ledger, copies / "copy.backup")
    assert synced[-1] == (copies, {"copy.backup"})
    restore(copies / "copy.backup", tmp_path / "new" / "stash.db")
    assert synced[-1] == (tmp_path / "new", {"stash.db"})
    open_ledger(tmp_path / "begun" / "stash.db", create=True).close()
    assert synced[-1][0] == tmp_path / "begun"
    assert "stash.db" in synced[-1][1]
