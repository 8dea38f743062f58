"""A whole stash goes into a folder and comes back, its history with it."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from chartscan.csvtable import read_rows
from chartscan.errors import StashError, TableError
from chartscan.stash.check import audit
from chartscan.stash.entries import acting
from chartscan.stash.importing import import_table
from chartscan.stash.joining import join
from chartscan.stash.kitting import undo_last
from chartscan.stash.ledger import Ledger, open_ledger
from chartscan.stash.lookback import history
from chartscan.stash.moving import WHOLE, export_all, exported_files, import_all
from chartscan.stash.notions import NotionInfo, add_notion
from chartscan.stash.projects import find_project
from chartscan.stash.threads import ThreadInfo, add_thread
from tests.stash.conftest import Shelf, something_of_everything, texts_of


def test_a_whole_stash_comes_back_exactly(shelf: Shelf, tmp_path: Path) -> None:
    something_of_everything(shelf)
    files = export_all(shelf.ledger, tmp_path / "out")
    assert {path.name for path in files} == {p.name for p in (tmp_path / "out").iterdir()}
    assert [p for p in exported_files(tmp_path / "out") if p not in files] == []
    (tmp_path / "out" / WHOLE).unlink()
    with open_ledger(tmp_path / "again.db", create=True) as again:
        assert not import_all(again, tmp_path / "out").with_history
        assert texts_of(again) == texts_of(shelf.ledger)
        assert audit(again) == []
        assert find_project(again, "Robin").state == "in work"


def test_the_history_comes_back_with_the_tables(shelf: Shelf, tmp_path: Path) -> None:
    something_of_everything(shelf)
    undo_last(shelf.ledger, "Robin")
    export_all(shelf.ledger, tmp_path / "out")
    told = read_rows(tmp_path / "out" / "history.csv", ("act", "thing"))
    with open_ledger(tmp_path / "again.db", create=True) as again:
        assert import_all(again, tmp_path / "out").with_history
        assert texts_of(again) == texts_of(shelf.ledger)
        assert history(again, last=-1) == history(shelf.ledger, last=-1)
        assert len(told) == len(history(again, last=-1))
        assert audit(again) == []
        shelf.thread("T1", 5)
        assert join(again, shelf.ledger.path).acts == 1  # they know each other
    with open_ledger(tmp_path / "again.db") as again:
        assert again.value("PRAGMA journal_mode") == "wal"


def test_a_table_that_was_changed_beside_its_history_is_asked_about(
    shelf: Shelf, tmp_path: Path
) -> None:
    shelf.thread("T1", 2)
    export_all(shelf.ledger, tmp_path / "out")
    table = tmp_path / "out" / "threads.csv"
    table.write_text(table.read_text().replace("T1,,,2", "T1,,,3"))
    with open_ledger(tmp_path / "again.db", create=True) as again:
        with pytest.raises(StashError, match="doesn't agree with the history"):
            import_all(again, tmp_path / "out")
        assert again.value("SELECT count(*) FROM acts") == 0
        (tmp_path / "out" / WHOLE).unlink()
        import_all(again, tmp_path / "out")
        assert Shelf(again).free("T1") == (3, 0)


names = st.text(
    st.characters(exclude_categories=("Cc", "Cf", "Cs", "Zs", "Zl", "Zp")), min_size=1, max_size=8
)


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.lists(st.tuples(names, names, st.integers(0, 9), st.integers(0, 9999), names), max_size=5),
    st.lists(st.tuples(names, st.integers(0, 10**7)), max_size=3),
)
def test_any_names_and_amounts_survive_the_round_trip(
    tmp_path_factory: pytest.TempPathFactory,
    threads: list[tuple[str, str, int, int, str]],
    notions: list[tuple[str, int]],
) -> None:
    folder = tmp_path_factory.mktemp("trip")
    with open_ledger(folder / "a.db", create=True) as first:
        with acting(first, "bought") as act:
            for code, line, skeins, part, lot in threads:
                parts = (part,) if part else ()
                add_thread(act, ThreadInfo(code, line), skeins=skeins, parts_mm=parts, dye_lot=lot)
            for name, thousandths in notions:
                add_notion(act, NotionInfo(name), thousandths / 1000)
        export_all(first, folder / "csv")
        (folder / "csv" / WHOLE).unlink()
        with open_ledger(folder / "b.db", create=True) as second:
            import_all(second, folder / "csv")
            assert texts_of(second) == texts_of(first)


def test_tables_that_contradict_each_other_leave_nothing(ledger: Ledger, tmp_path: Path) -> None:
    (tmp_path / "threads.csv").write_text("code,skeins\nT1,1\n")
    (tmp_path / "projects.csv").write_text("name\nRobin\n")
    (tmp_path / "promised.csv").write_text("project,kind,code,amount\nRobin,skein,T1,2\n")
    with pytest.raises(StashError, match="promised to a project or already gone"):
        import_all(ledger, tmp_path)
    (tmp_path / "promised.csv").write_text("project,kind,code,amount\nRobin,skein,T9,1\n")
    with pytest.raises(StashError, match="T9, promised to Robin, isn't in the stash"):
        import_all(ledger, tmp_path)
    assert ledger.value("SELECT count(*) FROM acts") == 0
    assert ledger.value("SELECT count(*) FROM projects") == 0


def test_a_whole_export_goes_into_an_empty_stash_only(shelf: Shelf, tmp_path: Path) -> None:
    shelf.thread("T1", 1)
    export_all(shelf.ledger, tmp_path / "out")
    with pytest.raises(StashError, match="isn't empty"):
        import_all(shelf.ledger, tmp_path / "out")
    with pytest.raises(TableError, match="holds none of"):
        import_all(shelf.ledger, tmp_path)
    with pytest.raises(StashError, match="can't be imported by itself"):
        import_table(shelf.ledger, "promised", tmp_path / "out" / "promised.csv")


def test_a_stash_that_holds_only_a_project_isnt_empty(shelf: Shelf, tmp_path: Path) -> None:
    shelf.project("Robin")
    (tmp_path / "projects.csv").write_text("name\nRobin\n")
    with pytest.raises(StashError, match="isn't empty"):
        import_all(shelf.ledger, tmp_path)
