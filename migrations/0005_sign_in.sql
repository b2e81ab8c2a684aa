-- Who may sign in at the page, and whom it turned away. Nothing here is a record: it is no part of
-- the chain, no export has it, and a restored ledger begins without. A backup leaves without the
-- PINs.
CREATE TABLE sign_in (
    worker  INTEGER PRIMARY KEY,                     -- the worker's record
    sort    TEXT    NOT NULL CHECK (sort IN ('pin', 'passphrase')),
    hash    TEXT    NOT NULL,                        -- Argon2id, as a PHC string
    failed  INTEGER NOT NULL DEFAULT 0,              -- wrong ones in a row
    last_at TEXT                                     -- when the last of them was tried
) STRICT;

-- What was refused, a line for each person, day and sort. A bounded number of them: whoever sits
-- before the page with no PIN must not fill the file.
CREATE TABLE refused_attempt (
    day     TEXT    NOT NULL,
    worker  INTEGER NOT NULL,                        -- the worker's record; 0: nobody of that name
    sort    TEXT    NOT NULL CHECK (sort IN ('wrong PIN', 'locked', 'no PIN', 'no right')),
    count   INTEGER NOT NULL,
    about   TEXT    NOT NULL,                        -- the last address that was asked for
    last_at TEXT    NOT NULL,                        -- by the program's clock, UTC
    PRIMARY KEY (day, worker, sort)
) STRICT;
