"""CSV out and in again is exact; spreadsheets' habits are met; nothing is half imported."""

from __future__ import annotations

import gzip
import random
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from chartscan.errors import ChartscanError, StashError, TableError
from chartscan.stash.backup import back_up, restore
from chartscan.stash.check import audit
from chartscan.stash.importing import import_table
from chartscan.stash.kitting import kit
from chartscan.stash.ledger import DamagedStashError, Ledger, LedgerSettings, open_ledger
from chartscan.stash.moving import import_all
from chartscan.stash.reversing import reverse
from chartscan.stash.rules import Rules, load_rules
from chartscan.stash.schema import STEPS
from chartscan.stash.tables import HEADERS, TABLES
from chartscan.stash.threads import find_thread
from tests.stash.conftest import something_of_everything, texts_of

if TYPE_CHECKING:
    from tests.stash.conftest import Shelf

REPOSITORY = Path(__file__).parents[2]


def test_spreadsheets_with_bom_semicolons_and_comma_decimals_are_read(
    ledger: Ledger, tmp_path: Path
) -> None:
    file = tmp_path / "threads.csv"
    file.write_bytes("\ufeffCode;Skeins;metres_left;price\r\nT1;2;3,5;1,20\r\n;;;\r\n".encode())
    assert import_table(ledger, "threads", file).rows == 1
    row = find_thread(ledger, "T1")
    assert row["price"] == 120
    owned = ledger.rows("SELECT kind, owned FROM balances ORDER BY kind")
    assert [tuple(r) for r in owned] == [("part", 3500), ("skein", 2)]


def test_every_bad_row_is_named_and_nothing_is_half_imported(
    ledger: Ledger, tmp_path: Path
) -> None:
    file = tmp_path / "threads.csv"
    file.write_text(
        "code,skeins,metres_left,status,hex,metres\n"
        "T1,2,,,,\n"
        ",1,,,,\n"
        "T3,-1,,,,\n"
        "T4,1.5kg,,,,\n"
        "T5,many,,,,\n"
        "T6,1,,gone,,\n"
        "T7,1,,,#zz,\n"
        "T8,1,,,,0\n"
    )
    with pytest.raises(TableError) as refused:
        import_table(ledger, "threads", file)
    for line in range(3, 10):
        assert f"line {line}:" in str(refused.value)
    assert "line 2" not in str(refused.value)
    assert ledger.value("SELECT count(*) FROM acts") == 0


def test_bad_rows_of_all_tables_are_named_together(ledger: Ledger, tmp_path: Path) -> None:
    (tmp_path / "fabrics.csv").write_text("label,count,width_cm,height_cm\nA,28,0,10\nB,x,1,1\n")
    (tmp_path / "projects.csv").write_text("name,deadline,state\nRobin,soon,planned\nWren,,ready\n")
    (tmp_path / "notions.csv").write_text("name,amount\nbeads,0.0001\n")
    with pytest.raises(TableError) as refused:
        import_all(ledger, tmp_path)
    words = ("isn't a date", "state 'ready'", "steps of 0.001", "over 0", "'x' isn't a number")
    assert [w for w in words if w not in str(refused.value)] == []
    assert ledger.value("SELECT count(*) FROM acts") == 0


def test_a_recount_says_what_is_there_instead_of_what_came(shelf: Shelf, tmp_path: Path) -> None:
    shelf.thread("T1", 5, (3000,))
    shelf.project("Robin", T1=2)
    kit(shelf.ledger, "Robin")
    file = tmp_path / "count.csv"
    file.write_text("code,skeins,metres_left\nT1,1,\nT1,0,2.5\n")
    import_table(shelf.ledger, "threads", file, recount=True)
    assert shelf.free("T1") == (1, 2500)
    with pytest.raises(StashError, match=r"2 of its 2 rows were booked on 2026-03-01 \(entry \d"):
        import_table(shelf.ledger, "threads", file)
    assert shelf.free("T1") == (1, 2500)
    import_table(shelf.ledger, "threads", file, again=True)
    assert shelf.free("T1") == (2, 5000)


def test_a_table_with_a_few_new_rows_is_recognised_and_one_taken_back_is_not(
    shelf: Shelf, tmp_path: Path
) -> None:
    file = tmp_path / "threads.csv"
    file.write_text("code,skeins\nT1,1\nT2,2\nT3,3\n")
    assert import_table(shelf.ledger, "threads", file).rows == 3
    other = tmp_path / "other.csv"
    other.write_text("code;skeins\nT3;3\nT2;2\nT1;1\nT4;1\n")
    with pytest.raises(StashError, match="3 of its 4 rows were booked"):
        import_table(shelf.ledger, "threads", other)
    reverse(shelf.ledger, 1)
    assert import_table(shelf.ledger, "threads", other).rows == 4
    assert shelf.free("T1") == (1, 0)


def test_halves_blanks_and_repeated_codes_in_a_table(shelf: Shelf, tmp_path: Path) -> None:
    file = tmp_path / "threads.csv"
    file.write_text('code;skeins;metres_left\nT1;1 1/2;\nt1;"0,5";\nT 1;1;\nT2;;2.5\n')
    done = import_table(shelf.ledger, "threads", file)
    assert done.remarks == ("T1 stands in lines 2, 4; they were added up",)
    assert (shelf.free("T1"), shelf.free("T2")) == ((2, 8000), (0, 2500))
    file.write_text("code,skeins,metres_left\nT1,1,\nT3,,\n")
    with pytest.raises(TableError, match="line 3: T3 has no skeins; write 0"):
        import_table(shelf.ledger, "threads", file)


def test_rules_come_and_go_as_a_table(ledger: Ledger, tmp_path: Path) -> None:
    file = tmp_path / "rules.csv"
    file.write_text("rule,value\nkeep_back,2\nparts_count,0\n")
    import_table(ledger, "rules", file)
    assert load_rules(ledger) == Rules(keep_back=2, parts_count=False)
    file.write_text("rule,value\nshine,2\n")
    with pytest.raises(TableError, match="no rule 'shine'"):
        import_table(ledger, "rules", file)


def test_the_samples_that_come_along_are_read(ledger: Ledger) -> None:
    palettes = REPOSITORY / "palettes"
    assert import_table(ledger, "threads", palettes / "stash-example.csv").rows > 50
    assert import_table(ledger, "fabrics", palettes / "fabrics-example.csv").rows > 3
    assert audit(ledger) == []


PLAUSIBLE = {
    "project": "Robin", "name": "Robin", "title": "Robin", "code": "T1", "called_code": "T1",
    "count": "28", "fabric_count": "28", "skeins": "2", "amount": "1", "width_cm": "30",
    "height_cm": "30", "price_per_m2": "3", "pieces": "1", "rule": "keep_back", "value": "1",
    "kind": "skein", "state": "planned", "source": "hand", "strands": "2", "part": "1",
    "copies": "1", "putup_length_mm": "8000",
}  # fmt: skip
HOSTILE = [
    *("", "-1", "2,5", "1e30", "nan", "inf", "x", "#zz", "'; DROP TABLE entries", "9" * 40),
    *("finished", "part", "piece", "notion", "chart", "2026-02-30", "/nowhere.json", "=1+1"),
]


def _hostile_table(dice: random.Random, table: str) -> str:
    cells = [
        PLAUSIBLE.get(name, "") if dice.random() < 0.98 else dice.choice(HOSTILE)
        for name in HEADERS[table]
    ]
    return ",".join(HEADERS[table]) + "\n" + ",".join(f'"{cell}"' for cell in cells)


def test_hostile_tables_are_refused_whole_or_leave_a_clean_stash(tmp_path: Path) -> None:
    dice = random.Random(3)
    taken = refused = 0
    for number in range(60):
        folder = tmp_path / str(number)
        folder.mkdir()
        always = ("threads", "charts", "notions", "projects")
        for table in [t for t in TABLES if t in always or dice.random() < 0.3]:
            (folder / f"{table}.csv").write_text(_hostile_table(dice, table))
        with open_ledger(folder / "stash.db", create=True) as ledger:
            try:
                import_all(ledger, folder)
                taken += 1
            except ChartscanError:
                refused += 1
                assert ledger.value("SELECT count(*) FROM acts") == 0
                assert ledger.value("SELECT count(*) FROM stock") == 0
            assert audit(ledger) == []
    assert taken > 5
    assert refused > 5


# ---------------------------------------------------------------------------- backup


def test_a_backup_holds_everything_with_its_history(shelf: Shelf, tmp_path: Path) -> None:
    something_of_everything(shelf)
    back_up(shelf.ledger, tmp_path / "copy.backup")
    restore(tmp_path / "copy.backup", tmp_path / "new" / "stash.db")
    with open_ledger(tmp_path / "new" / "stash.db") as again:
        assert texts_of(again) == texts_of(shelf.ledger)
        sql = "SELECT * FROM entries ORDER BY id"
        assert [tuple(r) for r in again.rows(sql)] == [tuple(r) for r in shelf.ledger.rows(sql)]
        assert audit(again) == []


def test_restoring_keeps_the_stash_that_was_there(shelf: Shelf, stash_file: Path) -> None:
    shelf.thread("T1", 1)
    copy = stash_file.with_name("copy.backup")
    back_up(shelf.ledger, copy)
    shelf.thread("T2", 2)
    shelf.ledger.close()
    counts, kept = restore(copy, stash_file)
    assert counts["threads"] == 1
    assert kept is not None
    with open_ledger(stash_file) as now, open_ledger(kept) as before:
        assert now.value("SELECT count(*) FROM threads") == 1
        assert before.value("SELECT count(*) FROM threads") == 2
    _, again = restore(kept, stash_file)
    assert again not in (kept, None)


def test_a_damaged_stash_is_set_aside_and_replaced(shelf: Shelf, stash_file: Path) -> None:
    shelf.thread("T1", 1)
    copy = stash_file.with_name("copy.backup")
    back_up(shelf.ledger, copy)
    shelf.ledger.close()
    stash_file.write_bytes(b"coffee was spilt over this" * 500)
    with pytest.raises(DamagedStashError):
        open_ledger(stash_file)
    _, kept = restore(copy, stash_file)
    assert kept is not None
    assert kept.read_bytes().startswith(b"coffee")
    with open_ledger(stash_file) as again:
        assert audit(again) == []


def _damage(path: Path, seed: int) -> None:
    """Overwrite a stretch in the middle of a file."""
    data = bytearray(path.read_bytes())
    middle = len(data) // 2 // 4096 * 4096
    data[middle : middle + 4096] = random.Random(seed).randbytes(4096)
    path.write_bytes(data)


def test_a_backup_that_isnt_sound_replaces_nothing(shelf: Shelf, stash_file: Path) -> None:
    for number in range(200):
        shelf.thread(f"T{number}", 1)
    copy = stash_file.with_name("copy.backup")
    back_up(shelf.ledger, copy)
    shelf.ledger.close()
    before = stash_file.read_bytes()
    bad = stash_file.with_name("bad.backup")
    bad.write_bytes(copy.read_bytes())
    _damage(bad, 1)
    with pytest.raises(StashError, match=r"backup is damaged|doesn't pass"):
        restore(bad, stash_file)
    for name, content in (("text", b"a shopping list"), ("empty", b"")):
        bad.with_name(name).write_bytes(content)
        with pytest.raises(StashError):
            restore(bad.with_name(name), stash_file)
    with pytest.raises(StashError, match="no such backup"):
        restore(bad.with_name("none"), stash_file)
    with pytest.raises(StashError, match="the stash itself"):
        restore(stash_file, stash_file)
    assert stash_file.read_bytes() == before


def _unpack(backup: Path) -> None:
    """Make a backup what those of older versions were: the ledger's own file."""
    backup.write_bytes(gzip.decompress(backup.read_bytes()))


def test_a_backup_whose_sums_are_wrong_replaces_nothing(shelf: Shelf, stash_file: Path) -> None:
    shelf.thread("T1", 3)
    copy = stash_file.with_name("copy.backup")
    back_up(shelf.ledger, copy)
    _unpack(copy)
    with open_ledger(copy) as broken:
        broken.execute("UPDATE balances SET owned = 5")
        assert audit(broken) == ["stock 1 doesn't agree with the sum of its entries"]
    with pytest.raises(StashError, match="doesn't agree"):
        restore(copy, stash_file)
    with pytest.raises(StashError, match="doesn't agree"), open_ledger(copy) as broken:
        back_up(broken, stash_file.with_name("worse.backup"))
    assert not stash_file.with_name("worse.backup").exists()


def test_a_newer_backup_is_refused(shelf: Shelf, stash_file: Path) -> None:
    copy = stash_file.with_name("copy.backup")
    back_up(shelf.ledger, copy)
    _unpack(copy)
    with open_ledger(copy) as newer:
        newer.execute(f"PRAGMA user_version = {len(STEPS) + 1}")
    with pytest.raises(StashError, match="newer chartscan"):
        restore(copy, stash_file)


def test_a_stash_in_use_isnt_replaced(shelf: Shelf, stash_file: Path) -> None:
    shelf.thread("T1", 1)
    copy = stash_file.with_name("copy.backup")
    back_up(shelf.ledger, copy)
    with shelf.ledger.atomic():
        shelf.ledger.execute("INSERT INTO settings VALUES ('a', '1')")
        with pytest.raises(StashError, match="another chartscan is writing"):
            restore(copy, stash_file, LedgerSettings(busy_s=0.2))
    assert shelf.ledger.value("SELECT count(*) FROM settings") == 1
    assert audit(shelf.ledger) == []


@pytest.mark.parametrize(
    ("sql", "words"),
    [
        ("UPDATE balances SET promised = 1, owned = owned WHERE stock = 1", "doesn't agree"),
        ("DELETE FROM holdings", "isn't what is promised"),
        ("UPDATE projects SET state = 'planned'", "isn't in the state"),
        ("UPDATE thread_needs SET putup_length_mm = 99999999", "not every thread is set apart"),
        ("DELETE FROM balances WHERE stock = 1", "no running sum"),
        ("INSERT INTO stock (kind) VALUES ('notion')", "is nothing"),
        ("DELETE FROM projects", "isn't there"),
    ],
)
def test_the_audit_finds_what_was_tampered_with(shelf: Shelf, sql: str, words: str) -> None:
    shelf.thread("T1", 3)
    shelf.project("Robin", T1=2)
    kit(shelf.ledger, "Robin")
    assert audit(shelf.ledger) == []
    shelf.ledger.execute("PRAGMA foreign_keys = OFF")
    shelf.ledger.execute("INSERT INTO open_act VALUES (1)")
    shelf.ledger.execute(sql)
    assert any(words in line for line in audit(shelf.ledger))
