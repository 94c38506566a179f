-- Ids are 16 random bytes; moments are milliseconds since 1970-01-01 UTC; "by" is the name of a device.

CREATE TABLE piece (
    id BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
    head BLOB NOT NULL REFERENCES revision (id) DEFERRABLE INITIALLY DEFERRED,
    made_at INTEGER NOT NULL
) STRICT;

-- A parent's seq is less than its children's. "redo" is the child that redo leads to: for every revision below
-- the head, the one on the way to it.
CREATE TABLE revision (
    seq INTEGER PRIMARY KEY,
    id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    piece BLOB NOT NULL REFERENCES piece (id),
    parent BLOB REFERENCES revision (id),
    redo BLOB REFERENCES revision (id),
    text TEXT NOT NULL,
    digest BLOB NOT NULL CHECK (length(digest) = 32),
    label TEXT NOT NULL,
    "by" TEXT NOT NULL,
    at INTEGER NOT NULL
) STRICT;
CREATE INDEX revision_of_piece ON revision (piece, seq);
CREATE INDEX revision_of_parent ON revision (parent);
CREATE INDEX revision_of_text ON revision (digest);

-- Every move of a piece's head, oldest first.
CREATE TABLE move (
    seq INTEGER PRIMARY KEY,
    id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    piece BLOB NOT NULL REFERENCES piece (id),
    kind TEXT NOT NULL CHECK (kind IN ('begin', 'edit', 'undo', 'redo', 'go', 'import')),
    revision BLOB NOT NULL REFERENCES revision (id),
    "by" TEXT NOT NULL,
    at INTEGER NOT NULL
) STRICT;
CREATE INDEX move_of_piece ON move (piece, seq);

CREATE TABLE weaving (
    id BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
    piece BLOB NOT NULL REFERENCES piece (id),
    mirrored INTEGER NOT NULL CHECK (mirrored IN (0, 1)),
    pace_minutes REAL,
    "by" TEXT NOT NULL,
    made_at INTEGER NOT NULL
) STRICT;
CREATE INDEX weaving_of_piece ON weaving (piece, made_at);

-- The revisions that a weaving has followed, with the counts they came to; the latest is followed now.
CREATE TABLE weaving_plan (
    seq INTEGER PRIMARY KEY,
    id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
    weaving BLOB NOT NULL REFERENCES weaving (id),
    revision BLOB NOT NULL REFERENCES revision (id),
    ends INTEGER NOT NULL,
    "by" TEXT NOT NULL,
    at INTEGER NOT NULL
) STRICT;
CREATE INDEX weaving_plan_of_weaving ON weaving_plan (weaving, at);

CREATE TABLE weaving_rows (
    plan INTEGER NOT NULL REFERENCES weaving_plan (seq),
    nth INTEGER NOT NULL,
    band TEXT NOT NULL,
    rows INTEGER NOT NULL,
    PRIMARY KEY (plan, nth)
) STRICT, WITHOUT ROWID;

-- Rows count from 0. "woven" is the row as it was woven; null: it was taken back.
CREATE TABLE tick (
    id BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
    weaving BLOB NOT NULL REFERENCES weaving (id),
    row INTEGER NOT NULL,
    at INTEGER NOT NULL,
    woven BLOB,
    "by" TEXT NOT NULL,
    came_at INTEGER NOT NULL
) STRICT;
CREATE INDEX tick_of_row ON tick (weaving, row);

-- What was so once stays so.
CREATE TRIGGER tick_stays BEFORE UPDATE ON tick
BEGIN SELECT raise(ABORT, 'a tick never changes'); END;
CREATE TRIGGER move_stays BEFORE UPDATE ON move
BEGIN SELECT raise(ABORT, 'a move never changes'); END;
CREATE TRIGGER revision_stays BEFORE UPDATE OF id, piece, parent, text, digest, label, "by", at ON revision
BEGIN SELECT raise(ABORT, 'a revision never changes'); END;
