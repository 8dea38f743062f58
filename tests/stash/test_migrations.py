"""A ledger of any older schema is brought up to date, whole or not at all."""

from __future__ import annotations

import sqlite3
from contextlib import suppress
from pathlib import Path

import pytest

from chartscan.errors import StashError
from chartscan.stash.check import audit
from chartscan.stash.entries import acting
from chartscan.stash.kitting import kit, undo_last
from chartscan.stash.ledger import open_ledger
from chartscan.stash.lookback import history
from chartscan.stash.migrations import migrate, statements, version_of
from chartscan.stash.moving import export_all, import_all
from chartscan.stash.needs import ThreadNeed, add_thread_need
from chartscan.stash.projects import Project, find_project, list_projects, new_project
from chartscan.stash.schema import STEPS
from chartscan.stash.threads import ThreadInfo, add_thread, find_thread

# What a ledger of each version could hold: SQL of that version, as its program would have run it.
ROWS = {
    0: (),
    1: (
        "INSERT INTO threads (line, code, name) VALUES ('Meadowline', 'ROS1', 'Rosehip 1')",
        "INSERT INTO stock (kind, thread) VALUES ('skein', 1)",
        "INSERT INTO acts (time, name) VALUES ('2026-01-01T00:00:00.000000Z', 'bought')",
        "INSERT INTO entries (act, stock, kind, owned) VALUES (1, 1, 'bought', 3)",
    ),
    2: (
        "INSERT INTO projects (name) VALUES ('Robin')",
        "INSERT INTO thread_needs (project, source, thread, called, skeins, putup_length_mm)"
        " VALUES (1, 'hand', 1, 1, 1, 8000)",
        "INSERT INTO acts (time, name, project, from_state, to_state)"
        " VALUES ('2026-01-02T00:00:00.000000Z', 'kitted', 1, 'planned', 'kitted')",
        "INSERT INTO entries (act, stock, kind, promised) VALUES (2, 1, 'promised', 1)",
    ),
    3: ("UPDATE threads SET price = 120",),
    4: ("UPDATE stock SET place = 'tin'",),
    5: ("INSERT INTO choices (project, called, used, reason) VALUES (1, 1, 1, 'as it is')",),
    6: ("UPDATE thread_needs SET wanted = '#c83a32', delta_e = 1.5",),
}


def _ledger_of(version: int, path: Path) -> None:
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA foreign_keys = ON")
    for number in range(version + 1):
        migrate(connection, "2026-01-01T00:00:00.000000Z", STEPS[:number])
        if number >= 4:  # from here on what changes belongs to an act
            connection.execute("INSERT INTO open_act VALUES (1)")
        for sql in ROWS[number]:
            connection.execute(sql)
        if number >= 4:
            connection.execute("DELETE FROM open_act")
    connection.close()


def test_the_rows_of_every_version_are_told() -> None:
    assert set(ROWS) == set(range(len(STEPS) + 1))


@pytest.mark.parametrize("version", range(1, len(STEPS) + 1))
def test_a_ledger_of_every_version_is_upgraded_with_what_it_holds(
    version: int, stash_file: Path
) -> None:
    _ledger_of(version, stash_file)
    with open_ledger(stash_file, create=True) as ledger:
        assert ledger.value("PRAGMA user_version") == len(STEPS)
        taken = [row["name"] for row in ledger.rows("SELECT name FROM migrations ORDER BY number")]
        assert taken == [name for name, _ in STEPS]
        assert audit(ledger) == []
        owned = ledger.value("SELECT sum(owned) FROM balances")
        assert owned == (3 if version else None)
        if version >= 2:
            assert ledger.value("SELECT state FROM projects") == "kitted"
            assert ledger.value("SELECT sum(amount) FROM holdings") == 1
        with acting(ledger, "bought") as act:
            add_thread(act, ThreadInfo("ROS1", "Meadowline"), skeins=2)
        new_project(ledger, Project("Wren"))
        add_thread_need(ledger, "Wren", ThreadNeed(ThreadInfo("ROS1", "Meadowline"), 2))
        assert kit(ledger, "Wren").project.state == "kitted"
        assert audit(ledger) == []


LEDGERS = Path(__file__).parent / "ledgers"


def _stored(version: int, path: Path) -> sqlite3.Connection:
    """A ledger as a program of that schema left it."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.executescript((LEDGERS / f"schema-{version}.sql").read_text(encoding="utf-8"))
    return connection


RELEASED = range(3, len(STEPS))  # schemas that some version of the program left ledgers of


def test_a_ledger_of_every_schema_that_came_out_is_stored() -> None:
    """Whoever adds a step stores a ledger of the schema before it, filled by its own commands."""
    assert sorted(path.stem for path in LEDGERS.iterdir()) == [f"schema-{n}" for n in RELEASED]


@pytest.mark.parametrize("version", RELEASED)
def test_every_stored_ledger_goes_on_clean_with_all_that_it_held(
    version: int, stash_file: Path, tmp_path: Path
) -> None:
    old = _stored(version, stash_file)
    counted = {
        table: old.execute(f"SELECT count(*) FROM {table}").fetchone()[0]
        for table in ("acts", "entries", "threads", "pieces", "notions", "charts", "projects")
    }
    owned = old.execute("SELECT stock, owned, promised FROM balances ORDER BY stock").fetchall()
    old.close()
    with open_ledger(stash_file) as ledger:
        assert ledger.value("PRAGMA user_version") == len(STEPS)
        assert audit(ledger) == []
        now = {table: ledger.value(f"SELECT count(*) FROM {table}") for table in counted}
        assert now == counted
        kept = ledger.rows("SELECT stock, owned, promised FROM balances ORDER BY stock")
        assert [tuple(row) for row in kept] == owned
        assert history(ledger, last=-1)
        for project in list_projects(ledger):  # what was done before can be taken back
            with suppress(StashError):
                undo_last(ledger, project.name)
            assert audit(ledger) == []
        export_all(ledger, tmp_path / "out")
        with open_ledger(tmp_path / "again.db", create=True) as again:
            assert import_all(again, tmp_path / "out").with_history
            assert audit(again) == []


def test_a_stored_ledger_of_schema_3_goes_on_as_it_was(stash_file: Path) -> None:
    _stored(3, stash_file).close()
    with open_ledger(stash_file) as ledger:
        assert audit(ledger) == []
        assert ledger.value("SELECT count(*) FROM entries") == 164
        assert find_project(ledger, "band SAMPLER").state == "in work"
        assert find_project(ledger, "Wren").state == "kitted"
        assert undo_last(ledger, "Wren").name == "kitted"
        # "ros1" and "ROS1" were two threads before; both can still be told, and brought together.
        assert find_thread(ledger, "ROS1")["code"] == "ROS1"
        assert find_thread(ledger, "ros1")["code"] == "ros1"
        assert audit(ledger) == []


def test_a_kitted_project_that_was_short_before_is_planned_and_clean(stash_file: Path) -> None:
    old = _stored(3, stash_file)
    old.execute("UPDATE threads SET putup_mm = 3000 WHERE code = 'ROS1'")
    old.execute("UPDATE thread_needs SET putup_length_mm = 8000 WHERE project = 4")
    old.close()
    with open_ledger(stash_file) as ledger:
        assert find_project(ledger, "Wren").state == "planned"
        assert audit(ledger) == []


def test_a_step_that_fails_leaves_the_version_before_it(stash_file: Path) -> None:
    _ledger_of(1, stash_file)
    broken = (*STEPS[:1], ("half a step", "CREATE TABLE kept (a) STRICT;"))
    connection = sqlite3.connect(stash_file, isolation_level=None)
    with pytest.raises(sqlite3.Error):
        migrate(connection, "now", broken)
    assert version_of(connection) == 1
    assert not connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'kept'").fetchall()
    assert connection.execute("SELECT count(*) FROM entries").fetchone()[0] == 1
    connection.close()


def test_a_step_that_sqlite_itself_took_back_tells_why_it_failed(stash_file: Path) -> None:
    """A full disk ends the transaction before anybody can (sqlite.org, "Atomic Commit")."""
    connection = sqlite3.connect(stash_file, isolation_level=None)
    begun = "CREATE TABLE a (b UNIQUE);\nINSERT INTO a VALUES (1);\n"
    full = (("full", f"{begun}INSERT OR ROLLBACK INTO a VALUES (1);"),)
    with pytest.raises(sqlite3.IntegrityError, match="UNIQUE"):
        migrate(connection, "now", full)
    assert version_of(connection) == 0
    connection.close()


def test_taking_the_steps_again_does_nothing(stash_file: Path) -> None:
    _ledger_of(len(STEPS), stash_file)
    connection = sqlite3.connect(stash_file, isolation_level=None)
    before = connection.execute("SELECT * FROM migrations").fetchall()
    migrate(connection, "later")
    assert connection.execute("SELECT * FROM migrations").fetchall() == before
    connection.close()


def test_a_trigger_is_one_statement_though_it_holds_several() -> None:
    trigger = "CREATE TRIGGER t AFTER INSERT ON a BEGIN\n  SELECT 1;\n  SELECT 2;\nEND;\n"
    assert statements("CREATE TABLE a (b);\n" + trigger)[1] == trigger.strip()
