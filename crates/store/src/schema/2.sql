-- Devices that were let in. Of a token only its SHA-256 is kept.
CREATE TABLE device (
    id BLOB NOT NULL PRIMARY KEY CHECK (length(id) = 16),
    token BLOB NOT NULL UNIQUE CHECK (length(token) = 32),
    name TEXT NOT NULL,
    may TEXT NOT NULL CHECK (may IN ('follow', 'edit')),
    made_at INTEGER NOT NULL,
    seen_at INTEGER NOT NULL,
    ends_at INTEGER NOT NULL,
    revoked_at INTEGER
) STRICT;
