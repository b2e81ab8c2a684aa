-- The ledger proper. Everything that anybody ever wrote stands in this one
-- table; all other tables are derived from it and can be rebuilt.
CREATE TABLE entry (
    seq         INTEGER PRIMARY KEY,                     -- 1, 2, 3 ... without a gap
    record      INTEGER NOT NULL REFERENCES entry (seq), -- the first entry of the same record
    kind        TEXT    NOT NULL,                        -- what it is: sheet, worker, job ...
    version     INTEGER NOT NULL,                        -- of the form of the body
    written_at  TEXT    NOT NULL,                        -- by the program's clock, UTC
    written_by  TEXT    NOT NULL,                        -- the name that the writer claimed
    os_user     TEXT    NOT NULL,                        -- the operating system's user
    ends        INTEGER REFERENCES entry (seq),          -- the entry that this one replaces
    reason      TEXT,                                    -- why it replaces it
    transcribed INTEGER NOT NULL CHECK (transcribed IN (0, 1)), -- 1: copied from paper
    body        TEXT,                                    -- canonical JSON; NULL: the record is void
    hash        BLOB    NOT NULL CHECK (length(hash) = 32), -- SHA-256 over the previous hash and all of the above
    CHECK ((ends IS NULL) = (record = seq)),
    CHECK ((ends IS NULL) = (reason IS NULL)),
    CHECK (body IS NOT NULL OR ends IS NOT NULL)
) STRICT;

-- An entry is replaced at most once.
CREATE UNIQUE INDEX entry_ends ON entry (ends) WHERE ends IS NOT NULL;

-- Nothing is changed, removed or slipped in, not even with INSERT OR REPLACE.
-- These guards stop mistakes; the chain of hashes shows what gets past them.
CREATE TRIGGER entry_is_never_changed BEFORE UPDATE ON entry
BEGIN
    SELECT raise(ABORT, 'an entry is never changed: amend it with a new one');
END;

CREATE TRIGGER entry_is_never_removed BEFORE DELETE ON entry
BEGIN
    SELECT raise(ABORT, 'an entry is never removed: void it with a new one');
END;

CREATE TRIGGER entry_is_never_overwritten BEFORE INSERT ON entry
WHEN EXISTS (SELECT 1 FROM entry WHERE seq = new.seq)
  OR (new.ends IS NOT NULL AND EXISTS (SELECT 1 FROM entry WHERE ends = new.ends))
BEGIN
    SELECT raise(ABORT, 'an entry is never overwritten');
END;

CREATE TRIGGER entry_comes_next BEFORE INSERT ON entry
WHEN new.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM entry)
BEGIN
    SELECT raise(ABORT, 'an entry takes the next number');
END;
