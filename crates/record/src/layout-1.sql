-- A sheet is a text whose every state is kept: the shop file is sheet 0, each other one is a job by its number.
CREATE TABLE sheet (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    version INTEGER NOT NULL -- the present one
) STRICT;

INSERT INTO sheet (id, version) VALUES (0, 0);

-- Every state, whole and plain, so that it can be read without this program.
CREATE TABLE change (
    sheet INTEGER NOT NULL REFERENCES sheet (id),
    version INTEGER NOT NULL,
    at INTEGER NOT NULL, -- milliseconds since 1970, UTC
    who TEXT NOT NULL,
    what TEXT NOT NULL,
    text TEXT NOT NULL,
    removed INTEGER NOT NULL DEFAULT 0,
    PRIMARY KEY (sheet, version)
) STRICT;

CREATE INDEX change_first ON change (at) WHERE version = 1;

-- Pictures by their content, so that copies cost nothing.
CREATE TABLE content (
    sum BLOB PRIMARY KEY, -- SHA-256
    bytes BLOB NOT NULL
) STRICT;

CREATE TABLE attached (
    sheet INTEGER NOT NULL REFERENCES sheet (id),
    name TEXT NOT NULL,
    since INTEGER NOT NULL, -- the first version it belongs to
    until INTEGER, -- the first one it no longer belongs to
    sum BLOB NOT NULL REFERENCES content (sum),
    PRIMARY KEY (sheet, name, since)
) STRICT;

-- Everything that was ever written at a machine; the last of a key is what stands there.
CREATE TABLE mark (
    id INTEGER PRIMARY KEY,
    sheet INTEGER NOT NULL REFERENCES sheet (id),
    key TEXT NOT NULL,
    value TEXT NOT NULL, -- empty: nothing any more
    at INTEGER NOT NULL,
    who TEXT NOT NULL
) STRICT;

CREATE INDEX mark_of ON mark (sheet, key, id);

-- What a job is found by; made anew from its text at any time. `version` 0: not yet.
CREATE TABLE found (
    job INTEGER PRIMARY KEY REFERENCES sheet (id),
    version INTEGER NOT NULL,
    title TEXT NOT NULL,
    summary TEXT NOT NULL,
    changed INTEGER NOT NULL,
    removed INTEGER NOT NULL,
    stale INTEGER NOT NULL -- the text has changed since
) STRICT;

CREATE INDEX found_newest ON found (removed, changed);
CREATE INDEX found_stale ON found (stale) WHERE stale;

CREATE TABLE measure (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE,
    widest REAL NOT NULL -- of its numbers' spans
) STRICT;

CREATE TABLE number (
    measure INTEGER NOT NULL REFERENCES measure (id),
    low REAL NOT NULL,
    high REAL NOT NULL,
    value REAL NOT NULL,
    job INTEGER NOT NULL REFERENCES sheet (id),
    PRIMARY KEY (measure, low, high, value, job)
) STRICT, WITHOUT ROWID;

CREATE INDEX number_of ON number (job);

CREATE VIRTUAL TABLE word USING fts5 (
    title, words,
    content = '', contentless_delete = 1, prefix = '1 2 3', tokenize = 'unicode61 remove_diacritics 2'
);

-- One code at a time lets a device in, once.
CREATE TABLE pairing (
    code BLOB PRIMARY KEY, -- SHA-256
    until INTEGER NOT NULL,
    tries INTEGER NOT NULL
) STRICT;

CREATE TABLE device (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL,
    token BLOB NOT NULL UNIQUE, -- SHA-256
    paired INTEGER NOT NULL,
    seen INTEGER NOT NULL,
    revoked INTEGER -- when
) STRICT;

CREATE TABLE setting (
    name TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT;
