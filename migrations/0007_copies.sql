-- Where copies are made, who may subscribe to the calendar, and who was told what. Nothing here is
-- a record: it is no part of the chain, no export has it, and a restored ledger begins without.

-- A line for each folder, of its newest copy and of what went wrong since. A bounded number of
-- them: the oldest go.
CREATE TABLE copy_folder (
    folder     TEXT PRIMARY KEY,                     -- as the machine that made the copy names it
    file       TEXT,                                 -- the newest copy in it
    made_at    TEXT,                                 -- by the program's clock, UTC
    count      INTEGER,                              -- entries in it
    head       BLOB CHECK (length(head) = 32),       -- hash of the newest
    drilled_at TEXT,                                 -- when a copy of it last stood a drill
    failed_at  TEXT,                                 -- when none could be made, after the newest
    failure    TEXT,                                 -- why
    noted_at   TEXT NOT NULL                         -- when this line was last written
) STRICT;

-- Addresses of the page that a calendar program may ask for. The secret itself stands nowhere: 256
-- bits at random need no slow hash.
CREATE TABLE calendar_secret (
    number       INTEGER PRIMARY KEY,
    hash         BLOB NOT NULL UNIQUE CHECK (length(hash) = 32), -- SHA-256 of the secret
    made_at      TEXT NOT NULL,                      -- by the program's clock, UTC
    made_by      TEXT NOT NULL,                      -- the name that was claimed
    for_whom     TEXT NOT NULL,                      -- whose calendar it is for, in words
    withdrawn_at TEXT
) STRICT;

-- What a reader was told, and how bad it was then. An alert stands by a digest of its key: what was
-- found about whom is in no row.
CREATE TABLE alert_told (
    reader   INTEGER NOT NULL,                       -- the worker's record
    alert    BLOB NOT NULL CHECK (length(alert) = 32), -- SHA-256 of its key
    degree   INTEGER NOT NULL,                       -- how bad; it is told again when it grows
    first_at TEXT NOT NULL,                          -- by the program's clock, UTC
    last_at  TEXT NOT NULL,
    seen_at  TEXT,                                   -- when the reader said so
    PRIMARY KEY (reader, alert)
) STRICT;
