"""The ledger's own audit: do the sums agree, is anything promised twice, is anything orphaned."""

from __future__ import annotations

from chartscan.stash.entries import SHORT
from chartscan.stash.ledger import Ledger

# Each query finds what must not be; its first column says what it is about.
AUDITS: tuple[tuple[str, str], ...] = (
    (
        "stock {} doesn't agree with the sum of its entries",
        "SELECT b.stock FROM balances b LEFT JOIN ("
        " SELECT stock, sum(owned) AS owned, sum(promised) AS promised"
        " FROM entries NOT INDEXED GROUP BY stock"  # in the order of the file, read once
        ") e ON e.stock = b.stock"
        " WHERE b.owned <> coalesce(e.owned, 0) OR b.promised <> coalesce(e.promised, 0)",
    ),
    (
        "stock {} has no running sum",
        "SELECT s.id FROM stock s LEFT JOIN balances b ON b.stock = s.id"
        " WHERE b.stock IS NULL OR b.kind <> s.kind OR b.thread IS NOT s.thread",
    ),
    (
        "of stock {} more is promised than owned",
        "SELECT stock FROM balances WHERE promised > owned OR promised < 0 OR owned < 0",
    ),
    (
        "what the projects hold of stock {} isn't what is promised of it",
        "SELECT b.stock FROM balances b LEFT JOIN ("
        " SELECT stock, sum(amount) AS amount FROM holdings GROUP BY stock"
        ") h ON h.stock = b.stock WHERE b.promised <> coalesce(h.amount, 0)",
    ),
    (
        "what project {} holds doesn't agree with its entries",
        "SELECT project FROM ("
        " SELECT a.project, e.stock, sum(e.promised) AS amount FROM entries e"
        " JOIN acts a ON a.id = e.act WHERE e.promised <> 0 GROUP BY a.project, e.stock"
        " EXCEPT SELECT project, stock, amount FROM holdings"
        ") WHERE amount <> 0"
        " UNION SELECT project FROM ("
        " SELECT project, stock, amount FROM holdings EXCEPT"
        " SELECT a.project, e.stock, sum(e.promised) FROM entries e JOIN acts a ON a.id = e.act"
        " GROUP BY a.project, e.stock)",
    ),
    (
        "what project {} needs of a thread doesn't agree with its needs",
        "SELECT project FROM (SELECT thread, project, sum(putup_length_mm) AS length_mm"
        "  FROM thread_needs GROUP BY thread, project EXCEPT SELECT * FROM demands)"
        " UNION SELECT project FROM (SELECT * FROM demands EXCEPT SELECT thread, project,"
        "  sum(putup_length_mm) FROM thread_needs GROUP BY thread, project)",
    ),
    (
        "entry {} doesn't take back what it says",
        "SELECT e.act FROM entries e JOIN entries r ON r.id = e.reverses"
        " WHERE e.stock <> r.stock OR e.owned <> -r.owned OR e.promised <> -r.promised",
    ),
    (
        "act {} was begun and never ended",
        "SELECT act FROM open_act",
    ),
    (
        "{} isn't filed under its own name",
        "SELECT code FROM threads WHERE code_key <> code_key(code) OR line_key <> text_key(line)"
        " UNION ALL SELECT name FROM notions WHERE name_key <> text_key(name)"
        " UNION ALL SELECT title FROM charts WHERE title_key <> text_key(title)",
    ),
    (
        "project {} isn't in the state that its last move led to",
        "SELECT p.name FROM projects p WHERE p.state <> coalesce("
        " (SELECT to_state FROM acts WHERE project = p.id AND to_state IS NOT NULL"
        "  ORDER BY id DESC LIMIT 1), 'planned')",
    ),
    (
        "project {} moved from a state that it wasn't in",
        "SELECT p.name FROM (SELECT project, from_state,"
        " lag(to_state, 1, 'planned') OVER (PARTITION BY project ORDER BY id) AS before"
        " FROM acts WHERE to_state IS NOT NULL) a JOIN projects p ON p.id = a.project"
        " WHERE a.from_state <> a.before",
    ),
    (
        "project {} is over and still holds something",
        "SELECT DISTINCT p.name FROM projects p JOIN holdings h ON h.project = p.id"
        " WHERE p.state IN ('finished', 'given up')",
    ),
    (
        "project {} is kitted and not every thread is set apart",
        f"SELECT name FROM ({SHORT})",
    ),
    (
        "stock {} is nothing: neither thread, fabric, notion nor chart",
        "SELECT id FROM stock s WHERE thread IS NULL"
        " AND NOT EXISTS (SELECT 1 FROM pieces WHERE stock = s.id)"
        " AND NOT EXISTS (SELECT 1 FROM notions WHERE stock = s.id)"
        " AND NOT EXISTS (SELECT 1 FROM charts WHERE stock = s.id)",
    ),
    (
        "fabric piece {} is there more than once",
        "SELECT p.label FROM pieces p JOIN balances b ON b.stock = p.stock WHERE b.owned > 1",
    ),
)


def audit(ledger: Ledger) -> list[str]:
    """A line per thing that is wrong with a ledger; empty when it is clean.

    Raises:
        StashError: the file is so damaged that it can't be read.
    """
    found = _damage(ledger)
    found += [
        f"table {row[0]}, row {row[1]}: refers to something in {row[2]} that isn't there"
        for row in ledger.rows("PRAGMA foreign_key_check")
    ]
    for words, sql in AUDITS:
        found += [words.format(row[0]) for row in ledger.rows(sql)]
    return found


# What an index of the entries holds, summed up: alike for the table and for each of them.
INDEXED: tuple[tuple[str, str], ...] = (("entries_stock", "stock"), ("entries_act", "act"))
MODULUS = 1_000_003  # a prime; keeps the sums of two million products small


def _damage(ledger: Ledger) -> list[str]:
    """What SQLite finds wrong with the file.

    ``integrity_check`` looks every entry up in every index, the larger part of the time of a large
    ledger; of the table of entries the sums of index and table are held against each other.
    """
    pragmas = ["PRAGMA quick_check"] + [
        f"PRAGMA integrity_check({name})"
        for (name,) in ledger.rows("SELECT name FROM sqlite_master WHERE type = 'table'")
        if name != "entries"
    ]
    found = [row[0] for sql in pragmas for row in ledger.rows(sql) if row[0] != "ok"]
    for index, column in INDEXED:
        sums = f"SELECT count(*), sum(id * {column} % {MODULUS}) FROM entries"
        table, indexed = (
            tuple(ledger.rows(f"{sums} {how}")[0]) for how in ("NOT INDEXED", f"INDEXED BY {index}")
        )
        if table != indexed:
            found.append(f"the index {index} doesn't agree with the entries")
    return [f"the file is damaged: {words}" for words in dict.fromkeys(found)]
