"""The ledger's file: found, opened, refused; nothing booked is ever changed."""

from __future__ import annotations

import os
import resource
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from chartscan.errors import StashError
from chartscan.remedies import Remedy
from chartscan.stash.check import audit
from chartscan.stash.entries import Act, acting
from chartscan.stash.ledger import (
    DamagedStashError,
    Ledger,
    LedgerSettings,
    default_path,
    open_ledger,
)
from chartscan.stash.schema import STEPS
from chartscan.stash.threads import ThreadInfo, add_thread

if TYPE_CHECKING:
    from tests.stash.conftest import Call

IMPATIENT = LedgerSettings(busy_s=0.2)
NOBODY = 65534


def test_the_environment_names_the_ledger(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("CHARTSCAN_STASH", str(tmp_path / "mine.db"))
    assert default_path() == tmp_path / "mine.db"
    monkeypatch.delenv("CHARTSCAN_STASH")
    assert default_path().name == "stash.db"
    assert "chartscan" in str(default_path())


def test_a_new_ledger_syncs_fully_into_a_write_ahead_log(ledger: Ledger) -> None:
    assert ledger.value("PRAGMA journal_mode") == "wal"
    assert ledger.value("PRAGMA synchronous") == 2
    assert ledger.value("PRAGMA foreign_keys") == 1
    tables = ledger.rows("SELECT name, strict FROM pragma_table_list WHERE type = 'table'")
    ours = {r["name"]: r["strict"] for r in tables if not r["name"].startswith("sqlite_")}
    assert len(ours) > 10
    assert all(ours.values())


def test_looking_for_a_ledger_that_isnt_there_makes_none(tmp_path: Path) -> None:
    with pytest.raises(StashError, match="no stash there yet"):
        open_ledger(tmp_path / "none.db")
    assert not list(tmp_path.iterdir())


def test_its_folder_is_made_and_a_folder_is_no_ledger(tmp_path: Path) -> None:
    with open_ledger(tmp_path / "a" / "b" / "stash.db", create=True) as made:
        assert made.value("SELECT count(*) FROM entries") == 0
    with pytest.raises(StashError, match="is a folder"):
        open_ledger(tmp_path / "a", create=True)
    (tmp_path / "file").write_text("x")
    with pytest.raises(StashError, match="can't be made"):
        open_ledger(tmp_path / "file" / "stash.db", create=True)


@pytest.mark.parametrize("table", ["acts", "entries"])
@pytest.mark.parametrize("change", ["UPDATE {} SET id = id + 100", "DELETE FROM {}"])
def test_nothing_booked_can_be_changed_or_deleted(ledger: Ledger, table: str, change: str) -> None:
    with acting(ledger, "bought") as act:
        add_thread(act, ThreadInfo("T1"), skeins=1)
    with pytest.raises(StashError, match="never"):
        ledger.execute(change.format(table))
    assert ledger.value("SELECT count(*) FROM entries") == 1


def _add_one_and_a_broken_one(act: Act) -> None:
    add_thread(act, ThreadInfo("T1"), skeins=1)
    add_thread(act, ThreadInfo("T2"), skeins=-1)


def test_a_failing_act_leaves_nothing(ledger: Ledger) -> None:
    with pytest.raises(StashError, match="more than nothing"), acting(ledger, "bought") as act:
        _add_one_and_a_broken_one(act)
    assert ledger.value("SELECT count(*) FROM acts") == 0
    assert ledger.value("SELECT count(*) FROM threads") == 0


def test_a_newer_schema_is_refused_and_not_touched(stash_file: Path) -> None:
    open_ledger(stash_file, create=True).close()
    newer = sqlite3.connect(stash_file)
    newer.execute(f"PRAGMA user_version = {len(STEPS) + 1}")
    newer.close()
    before = stash_file.read_bytes()
    with pytest.raises(StashError, match="newer chartscan"):
        open_ledger(stash_file, create=True)
    assert stash_file.read_bytes() == before


def test_another_programs_database_is_refused(tmp_path: Path) -> None:
    other = sqlite3.connect(tmp_path / "other.db")
    other.execute("CREATE TABLE recipes (name)")
    other.close()
    with pytest.raises(StashError, match="something else"):
        open_ledger(tmp_path / "other.db", create=True)


def _filled(path: Path) -> None:
    with open_ledger(path, create=True) as made, made.atomic():
        for number in range(300):
            with acting(made, "bought", note="x" * 50) as act:
                add_thread(act, ThreadInfo(f"T{number}", name="n" * 40), skeins=2)


def _cut(data: bytes) -> bytes:
    return data[: len(data) // 2 + 100]


def _no_header(data: bytes) -> bytes:
    return b"not a database at all " + data[22:]


def _page_of_rubbish(data: bytes) -> bytes:
    middle = len(data) // 2 // 4096 * 4096
    return data[:middle] + bytes(range(256)) * 16 + data[middle + 4096 :]


@pytest.mark.parametrize("damage", [_cut, _no_header, _page_of_rubbish])
def test_a_damaged_ledger_is_refused_with_what_to_do(
    stash_file: Path, damage: Callable[[bytes], bytes]
) -> None:
    _filled(stash_file)
    broken = damage(stash_file.read_bytes())
    stash_file.write_bytes(broken)
    with pytest.raises(DamagedStashError, match="is damaged and was not touched") as refused:
        open_ledger(stash_file)
    assert refused.value.remedies == (Remedy.RESTORE,)
    assert stash_file.read_bytes() == broken


def test_a_writer_that_waits_too_long_says_so(stash_file: Path) -> None:
    first = open_ledger(stash_file, create=True)
    second = open_ledger(stash_file, settings=IMPATIENT)
    with first, second:
        with first.atomic():
            first.execute("INSERT INTO settings VALUES ('a', '1')")
            with pytest.raises(StashError, match="another chartscan is writing"), second.atomic():
                pass
            assert second.rows("SELECT * FROM settings") == []  # readers don't wait
        with second.atomic():
            second.execute("INSERT INTO settings VALUES ('b', '2')")
        assert len(first.rows("SELECT * FROM settings")) == 2


def _add_many(ledger: Ledger) -> None:
    with ledger.atomic():
        for number in range(1000):
            with acting(ledger, "bought", note="y" * 200) as act:
                add_thread(act, ThreadInfo(f"U{number}"), skeins=1)


def test_a_full_disk_books_nothing(stash_file: Path) -> None:
    _filled(stash_file)
    with open_ledger(stash_file) as ledger:
        pages = ledger.value("PRAGMA page_count")
        ledger.execute(f"PRAGMA max_page_count = {pages + 1}")
        before = ledger.value("SELECT count(*) FROM entries")
        with pytest.raises(StashError, match="disk is full"):
            _add_many(ledger)
        assert ledger.value("SELECT count(*) FROM entries") == before
        assert audit(ledger) == []


def _limited(limit: int) -> Callable[[], None]:
    """Keep a child from writing files larger than ``limit``, as a full disk would."""

    def before() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))

    return before


def test_a_log_that_cant_grow_books_nothing_and_says_so(stash_file: Path) -> None:
    _filled(stash_file)
    code = (
        "import signal, sys; signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "from chartscan.cli.main import run\n"
        "sys.exit(run(['stash', 'import', 'threads', *sys.argv[1:]]))"
    )
    many = stash_file.with_name("many.csv")
    many.write_text("code,skeins\n" + "".join(f"X{n},1\n" for n in range(20_000)))
    done = subprocess.run(
        [sys.executable, "-c", code, str(many), "--stash", str(stash_file)],
        capture_output=True,
        text=True,
        check=False,
        preexec_fn=_limited(300_000),
    )
    assert done.returncode == 1
    assert done.stderr.startswith("Error: ")
    assert "nothing was booked" in done.stderr
    assert "Traceback" not in done.stderr
    with open_ledger(stash_file) as ledger:
        assert ledger.value("SELECT count(*) FROM entries") == 300
        assert audit(ledger) == []


@contextmanager
def nobody() -> Iterator[None]:
    """Without the right to write everywhere; root has it on read-only files too."""
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can become someone who may not write")
def test_a_read_only_ledger_can_be_looked_at_and_not_written(chartscan: Call) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "stash.db"
        _filled(path)
        looking = ("stash", "list", "threads", "--stash", path)
        assert chartscan(*looking).status == 0  # loads what is loaded late, while it may be read
        path.chmod(0o444)
        Path(folder).chmod(0o555)
        with nobody():
            looked = chartscan(*looking)
            wrote = chartscan("stash", "use", "thread", "T1", "--skeins", "1", "--stash", path)
        assert (looked.status, looked.err) == (0, "")
        assert "T299" in looked.out
        assert wrote.status == 1
        assert "may not be written" in wrote.err
        assert sorted(p.name for p in Path(folder).iterdir()) == ["stash.db"]


def test_a_newer_row_is_seen_by_an_older_reader(stash_file: Path) -> None:
    with open_ledger(stash_file, create=True) as writer, open_ledger(stash_file) as reader:
        with acting(writer, "bought") as act:
            add_thread(act, ThreadInfo("T1"), skeins=3)
        found: Any = reader.value("SELECT sum(owned) FROM balances")
        assert found == 3
