"""The catalogue's tables, as the named steps that build them.

A *file* is bytes, by their digest; *places* are where it lies, under one name or several. A *page*
is one page of a file and what became of it, read by one version of the program: its row is booked
whole, with its *chart* and *colours* where it is one, or not at all.

*Fits* say which page goes on in which, and *wholes* which pages make one chart, or seem to. A chart
that was joined stands in the row of its first page; its other pages have none meanwhile.
"""

from __future__ import annotations

APPLICATION_ID = 0x43534131  # "CSA1": how a catalogue is told from any other SQLite file

PAGES_AND_CHARTS = """
CREATE TABLE files (
    id INTEGER PRIMARY KEY,
    sha256 TEXT NOT NULL UNIQUE,
    bytes INTEGER NOT NULL,
    pages INTEGER NOT NULL CHECK (pages > 0),
    paged INTEGER NOT NULL CHECK (paged IN (0, 1))
) STRICT;

CREATE TABLE places (
    path TEXT PRIMARY KEY,
    file INTEGER NOT NULL REFERENCES files,
    bytes INTEGER NOT NULL,
    modified_ns INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX places_file ON places (file);

CREATE TABLE pages (
    id INTEGER PRIMARY KEY,
    file INTEGER NOT NULL REFERENCES files,
    number INTEGER NOT NULL CHECK (number > 0),
    version TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('chart', 'other', 'refused', 'unreadable', 'aside')),
    reason TEXT NOT NULL,
    seconds REAL NOT NULL,
    booked TEXT NOT NULL,
    UNIQUE (file, number)
) STRICT;
CREATE INDEX pages_state ON pages (state);

CREATE TABLE charts (
    page INTEGER PRIMARY KEY REFERENCES pages ON DELETE CASCADE,
    chart_file TEXT NOT NULL,
    columns INTEGER NOT NULL CHECK (columns > 0),
    rows INTEGER NOT NULL CHECK (rows > 0),
    stitches INTEGER NOT NULL,
    colours INTEGER NOT NULL,
    marks INTEGER NOT NULL,
    doubtful INTEGER NOT NULL,
    pitch_across_px REAL NOT NULL,
    pitch_down_px REAL NOT NULL
) STRICT;
CREATE INDEX charts_size ON charts (columns, rows);
CREATE INDEX charts_colours ON charts (colours);

CREATE TABLE colours (
    page INTEGER NOT NULL REFERENCES pages ON DELETE CASCADE,
    position INTEGER NOT NULL,
    rgb INTEGER,
    symbol TEXT,
    stitches INTEGER NOT NULL,
    PRIMARY KEY (page, position)
) STRICT, WITHOUT ROWID;

CREATE TABLE questions (
    page INTEGER NOT NULL REFERENCES pages ON DELETE CASCADE,
    position INTEGER NOT NULL,
    text TEXT NOT NULL,
    PRIMARY KEY (page, position)
) STRICT, WITHOUT ROWID;
"""

PAGES_TOGETHER = """
CREATE TABLE compared (
    page INTEGER PRIMARY KEY REFERENCES pages ON DELETE CASCADE
) STRICT;

CREATE TABLE fits (
    first INTEGER NOT NULL REFERENCES pages ON DELETE CASCADE,
    second INTEGER NOT NULL REFERENCES pages ON DELETE CASCADE,
    way TEXT NOT NULL CHECK (way IN ('right', 'below')),
    repeated INTEGER NOT NULL,
    agreed INTEGER NOT NULL,
    compared INTEGER NOT NULL CHECK (compared > 0),
    PRIMARY KEY (first, second, way)
) STRICT, WITHOUT ROWID;
CREATE INDEX fits_second ON fits (second);

CREATE TABLE wholes (
    id INTEGER PRIMARY KEY,
    down INTEGER NOT NULL CHECK (down > 0),
    across INTEGER NOT NULL CHECK (across > 0),
    standing TEXT NOT NULL CHECK (standing IN ('proposed', 'joined', 'apart')),
    why TEXT NOT NULL
) STRICT;

CREATE TABLE parts (
    whole INTEGER NOT NULL REFERENCES wholes ON DELETE CASCADE,
    position INTEGER NOT NULL,
    page INTEGER NOT NULL REFERENCES pages ON DELETE CASCADE,
    PRIMARY KEY (whole, position)
) STRICT, WITHOUT ROWID;
CREATE INDEX parts_page ON parts (page);
"""

STEPS: tuple[tuple[str, str], ...] = (
    ("pages and charts", PAGES_AND_CHARTS),
    ("pages that make one chart", PAGES_TOGETHER),
)
