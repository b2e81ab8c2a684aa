-- What stands beside the chain. Nothing here is a record, and a restored ledger begins it anew.

-- SQLite counts, in bytes 24 to 27 of the file, each transaction that changes the file. The
-- count that this program's last write left stands here: another count in the file means that
-- something else has written to it since.
CREATE TABLE last_write (
    id      INTEGER PRIMARY KEY CHECK (id = 1),
    counter INTEGER NOT NULL
) STRICT;

-- When a copy left this file, with what was the newest entry then: whoever holds the copy can
-- show it.
CREATE TABLE anchor (
    made_at TEXT    NOT NULL,                        -- by the program's clock, UTC
    sort    TEXT    NOT NULL CHECK (sort IN ('backup', 'export')),
    count   INTEGER NOT NULL,                        -- entries then
    head    BLOB    NOT NULL CHECK (length(head) = 32) -- hash of the newest then
) STRICT;
