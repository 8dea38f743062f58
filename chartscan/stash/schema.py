"""The ledger's tables, as the named steps that build them.

Words: an *act* is one thing the stitcher did (bought, kitted, finished …), booked in one
transaction; its *entries* say what that changed, one per thing in stock. Both are only ever
appended to. *Balances* and *holdings* are running sums of the entries that triggers keep, *demands*
those of what each project needs of each thread;
``chartscan.stash.check`` holds them against the entries.

Amounts are whole numbers: skeins for unopened put-ups, millimetres of put-up for part skeins,
pieces for fabric, thousandths of the unit for notions, paper copies for charts.
"""

from __future__ import annotations

from chartscan.stash.schema_changes import CHANGES_AND_PLACES
from chartscan.stash.schema_threads import CHOSEN_THREADS
from chartscan.stash.schema_wanted import COLOURS_WANTED

APPLICATION_ID = 0x43535331  # "CSS1": how a ledger is told from any other SQLite file

STOCK_AND_ENTRIES = """
CREATE TABLE settings (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;

CREATE TABLE threads (
    id INTEGER PRIMARY KEY,
    line TEXT NOT NULL DEFAULT '',
    code TEXT NOT NULL CHECK (code <> ''),
    name TEXT NOT NULL DEFAULT '',
    putup_mm INTEGER CHECK (putup_mm > 0),
    strands INTEGER CHECK (strands > 0),
    hex TEXT, lab_l REAL, lab_a REAL, lab_b REAL,
    UNIQUE (line, code)
) STRICT;

CREATE TABLE stock (
    id INTEGER PRIMARY KEY,
    kind TEXT NOT NULL CHECK (kind IN ('skein', 'part', 'piece', 'notion', 'chart')),
    thread INTEGER REFERENCES threads,
    dye_lot TEXT NOT NULL DEFAULT '',
    CHECK ((kind IN ('skein', 'part')) = (thread IS NOT NULL))
) STRICT;
CREATE UNIQUE INDEX stock_skeins ON stock (thread, dye_lot) WHERE kind = 'skein';
CREATE INDEX stock_thread ON stock (thread, kind);

CREATE TABLE pieces (
    stock INTEGER PRIMARY KEY REFERENCES stock,
    label TEXT NOT NULL UNIQUE CHECK (label <> ''),
    count REAL NOT NULL CHECK (count > 0),
    count_down REAL CHECK (count_down > 0),
    colour TEXT NOT NULL DEFAULT '',
    hex TEXT,
    fibre TEXT NOT NULL DEFAULT '',
    width_mm INTEGER NOT NULL CHECK (width_mm > 0),
    height_mm INTEGER NOT NULL CHECK (height_mm > 0),
    note TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX pieces_count ON pieces (count);

CREATE TABLE notions (
    stock INTEGER PRIMARY KEY REFERENCES stock,
    name TEXT NOT NULL CHECK (name <> ''),
    unit TEXT NOT NULL DEFAULT '',
    note TEXT NOT NULL DEFAULT '',
    UNIQUE (name, unit)
) STRICT;

CREATE TABLE charts (
    stock INTEGER PRIMARY KEY REFERENCES stock,
    title TEXT NOT NULL UNIQUE CHECK (title <> ''),
    file TEXT NOT NULL DEFAULT '',
    book TEXT NOT NULL DEFAULT '',
    issue TEXT NOT NULL DEFAULT '',
    page TEXT NOT NULL DEFAULT '',
    place TEXT NOT NULL DEFAULT '',
    note TEXT NOT NULL DEFAULT ''
) STRICT;

CREATE TABLE acts (
    id INTEGER PRIMARY KEY,
    time TEXT NOT NULL,
    name TEXT NOT NULL,
    note TEXT NOT NULL DEFAULT '',
    reverses INTEGER UNIQUE REFERENCES acts
) STRICT;
CREATE INDEX acts_time ON acts (time);

CREATE TABLE entries (
    id INTEGER PRIMARY KEY,
    act INTEGER NOT NULL REFERENCES acts,
    stock INTEGER NOT NULL REFERENCES stock,
    kind TEXT NOT NULL CHECK (kind IN
        ('bought', 'promised', 'released', 'used', 'lost', 'counted', 'cut', 'opened', 'left')),
    owned INTEGER NOT NULL DEFAULT 0,
    promised INTEGER NOT NULL DEFAULT 0,
    reverses INTEGER UNIQUE REFERENCES entries
) STRICT;
CREATE INDEX entries_act ON entries (act);
CREATE INDEX entries_stock ON entries (stock);

CREATE TABLE balances (
    stock INTEGER PRIMARY KEY REFERENCES stock,
    kind TEXT NOT NULL,
    thread INTEGER,
    owned INTEGER NOT NULL DEFAULT 0,
    promised INTEGER NOT NULL DEFAULT 0,
    CONSTRAINT owned_not_negative CHECK (owned >= 0),
    CONSTRAINT promised_not_negative CHECK (promised >= 0),
    CONSTRAINT promised_within_owned CHECK (promised <= owned)
) STRICT;
CREATE INDEX balances_thread ON balances (thread, kind, owned, promised)
    WHERE thread IS NOT NULL;

CREATE TRIGGER stock_begins AFTER INSERT ON stock BEGIN
    INSERT INTO balances (stock, kind, thread) VALUES (NEW.id, NEW.kind, NEW.thread);
END;
CREATE TRIGGER entries_sum AFTER INSERT ON entries BEGIN
    UPDATE balances SET owned = owned + NEW.owned, promised = promised + NEW.promised
    WHERE stock = NEW.stock;
END;
CREATE TRIGGER entries_stay BEFORE UPDATE ON entries BEGIN
    SELECT RAISE(ABORT, 'entries are never changed; reverse them');
END;
CREATE TRIGGER entries_remain BEFORE DELETE ON entries BEGIN
    SELECT RAISE(ABORT, 'entries are never deleted; reverse them');
END;
CREATE TRIGGER acts_stay BEFORE UPDATE ON acts BEGIN
    SELECT RAISE(ABORT, 'acts are never changed; reverse them');
END;
CREATE TRIGGER acts_remain BEFORE DELETE ON acts BEGIN
    SELECT RAISE(ABORT, 'acts are never deleted; reverse them');
END;
"""

PROJECTS_AND_NEEDS = """
CREATE TABLE projects (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE CHECK (name <> ''),
    state TEXT NOT NULL DEFAULT 'planned' CHECK (state IN
        ('planned', 'kitted', 'in work', 'finished', 'given up')),
    copies INTEGER NOT NULL DEFAULT 1 CHECK (copies > 0),
    fabric_count REAL CHECK (fabric_count > 0),
    fabric_count_down REAL CHECK (fabric_count_down > 0),
    fabric_over INTEGER NOT NULL DEFAULT 1 CHECK (fabric_over > 0),
    fabric_colour TEXT NOT NULL DEFAULT '',
    fabric_hex TEXT,
    margin_mm INTEGER,
    strands INTEGER CHECK (strands > 0),
    palette TEXT NOT NULL DEFAULT '',
    key_file TEXT NOT NULL DEFAULT '',
    place TEXT NOT NULL DEFAULT '',
    wished_start TEXT NOT NULL DEFAULT '',
    deadline TEXT NOT NULL DEFAULT '',
    note TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX projects_state ON projects (state);

CREATE TABLE project_charts (
    project INTEGER NOT NULL REFERENCES projects,
    part INTEGER NOT NULL,
    chart INTEGER NOT NULL REFERENCES charts,
    PRIMARY KEY (project, part)
) STRICT, WITHOUT ROWID;

CREATE TABLE choices (
    project INTEGER NOT NULL REFERENCES projects,
    called INTEGER NOT NULL REFERENCES threads,
    used INTEGER NOT NULL REFERENCES threads,
    PRIMARY KEY (project, called)
) STRICT, WITHOUT ROWID;

CREATE TABLE thread_needs (
    id INTEGER PRIMARY KEY,
    project INTEGER NOT NULL REFERENCES projects,
    source TEXT NOT NULL CHECK (source IN ('chart', 'hand')),
    thread INTEGER NOT NULL REFERENCES threads,
    called INTEGER NOT NULL REFERENCES threads,
    class_index INTEGER,
    stitches INTEGER NOT NULL DEFAULT 0,
    strands TEXT NOT NULL DEFAULT '1' CHECK (strands <> ''),
    factor REAL NOT NULL DEFAULT 1 CHECK (factor > 0),
    low_mm INTEGER NOT NULL DEFAULT 0,
    likely_mm INTEGER NOT NULL DEFAULT 0,
    high_mm INTEGER NOT NULL DEFAULT 0,
    skeins INTEGER NOT NULL CHECK (skeins >= 0),
    putup_length_mm INTEGER NOT NULL CHECK (putup_length_mm >= 0),
    note TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX thread_needs_project ON thread_needs
    (project, thread, putup_length_mm);
CREATE INDEX thread_needs_thread ON thread_needs (thread, project, putup_length_mm);

CREATE TABLE demands (
    thread INTEGER NOT NULL REFERENCES threads,
    project INTEGER NOT NULL REFERENCES projects,
    length_mm INTEGER NOT NULL,
    PRIMARY KEY (thread, project)
) STRICT, WITHOUT ROWID;
CREATE INDEX demands_project ON demands (project);
CREATE TRIGGER needs_come AFTER INSERT ON thread_needs BEGIN
    DELETE FROM demands WHERE thread = NEW.thread AND project = NEW.project;
    INSERT INTO demands SELECT thread, project, sum(putup_length_mm) FROM thread_needs
    WHERE thread = NEW.thread AND project = NEW.project GROUP BY thread, project;
END;
CREATE TRIGGER needs_go AFTER DELETE ON thread_needs BEGIN
    DELETE FROM demands WHERE thread = OLD.thread AND project = OLD.project;
    INSERT INTO demands SELECT thread, project, sum(putup_length_mm) FROM thread_needs
    WHERE thread = OLD.thread AND project = OLD.project GROUP BY thread, project;
END;
CREATE TRIGGER needs_change AFTER UPDATE ON thread_needs BEGIN
    DELETE FROM demands WHERE thread IN (OLD.thread, NEW.thread) AND project = NEW.project;
    INSERT INTO demands SELECT thread, project, sum(putup_length_mm) FROM thread_needs
    WHERE thread IN (OLD.thread, NEW.thread) AND project = NEW.project GROUP BY thread, project;
END;

CREATE TABLE notion_needs (
    id INTEGER PRIMARY KEY,
    project INTEGER NOT NULL REFERENCES projects,
    notion INTEGER NOT NULL REFERENCES notions,
    amount INTEGER NOT NULL CHECK (amount > 0),
    note TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX notion_needs_project ON notion_needs (project);

CREATE TABLE fabric_needs (
    id INTEGER PRIMARY KEY,
    project INTEGER NOT NULL REFERENCES projects,
    source TEXT NOT NULL CHECK (source IN ('chart', 'hand')),
    count REAL NOT NULL CHECK (count > 0),
    colour TEXT NOT NULL DEFAULT '',
    width_mm INTEGER NOT NULL CHECK (width_mm > 0),
    height_mm INTEGER NOT NULL CHECK (height_mm > 0),
    pieces INTEGER NOT NULL CHECK (pieces > 0)
) STRICT;
CREATE INDEX fabric_needs_project ON fabric_needs (project);

ALTER TABLE acts ADD COLUMN project INTEGER REFERENCES projects;
ALTER TABLE acts ADD COLUMN from_state TEXT;
ALTER TABLE acts ADD COLUMN to_state TEXT;
CREATE INDEX acts_project ON acts (project) WHERE project IS NOT NULL;

CREATE TABLE holdings (
    project INTEGER NOT NULL REFERENCES projects,
    stock INTEGER NOT NULL REFERENCES stock,
    amount INTEGER NOT NULL,
    CONSTRAINT holding_not_negative CHECK (amount >= 0),
    PRIMARY KEY (project, stock)
) STRICT, WITHOUT ROWID;
CREATE INDEX holdings_stock ON holdings (stock);

CREATE TRIGGER entries_hold AFTER INSERT ON entries WHEN NEW.promised <> 0 BEGIN
    SELECT RAISE(ABORT, 'a promise names its project')
    WHERE (SELECT project FROM acts WHERE id = NEW.act) IS NULL;
    INSERT INTO holdings (project, stock, amount)
    SELECT project, NEW.stock, 0 FROM acts WHERE id = NEW.act AND NOT EXISTS (
        SELECT 1 FROM holdings WHERE project = acts.project AND stock = NEW.stock);
    UPDATE holdings SET amount = amount + NEW.promised
    WHERE project = (SELECT project FROM acts WHERE id = NEW.act) AND stock = NEW.stock;
    DELETE FROM holdings
    WHERE project = (SELECT project FROM acts WHERE id = NEW.act) AND stock = NEW.stock
      AND amount = 0;
END;
CREATE TRIGGER acts_move_checked BEFORE INSERT ON acts WHEN NEW.to_state IS NOT NULL BEGIN
    SELECT RAISE(ABORT, 'the project has moved on')
    WHERE NOT EXISTS (
        SELECT 1 FROM projects WHERE id = NEW.project AND state = NEW.from_state);
END;
CREATE TRIGGER acts_move AFTER INSERT ON acts WHEN NEW.to_state IS NOT NULL BEGIN
    UPDATE projects SET state = NEW.to_state WHERE id = NEW.project;
END;
"""

PRICES_AND_WISHES = """
ALTER TABLE pieces ADD COLUMN meant_for INTEGER REFERENCES projects;
ALTER TABLE threads ADD COLUMN price INTEGER CHECK (price >= 0);
ALTER TABLE notions ADD COLUMN price INTEGER CHECK (price >= 0);
ALTER TABLE threads ADD COLUMN discontinued INTEGER NOT NULL DEFAULT 0
    CHECK (discontinued IN (0, 1));
CREATE TABLE fabric_prices (
    count REAL NOT NULL CHECK (count > 0),
    colour TEXT NOT NULL DEFAULT '',
    price_per_m2 INTEGER NOT NULL CHECK (price_per_m2 >= 0),
    PRIMARY KEY (count, colour)
) STRICT, WITHOUT ROWID;
"""

STEPS: tuple[tuple[str, str], ...] = (
    ("stock and entries", STOCK_AND_ENTRIES),
    ("projects and needs", PROJECTS_AND_NEEDS),
    ("prices and wishes", PRICES_AND_WISHES),
    ("changes and places", CHANGES_AND_PLACES),
    ("chosen threads", CHOSEN_THREADS),
    ("colours wanted", COLOURS_WANTED),
)
