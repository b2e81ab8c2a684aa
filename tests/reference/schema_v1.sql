-- A ledger of the released form 1 as `.dump` of the plain SQLite shell prints it: the entries of
-- entry_hash_v1.json, their table with its guards, and the marks of form. The derived tables are
-- left out and their mark is an older one, as in the file of an older program. Never edited.
PRAGMA application_id=2003132786;
PRAGMA user_version=1;
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
CREATE TABLE form (name TEXT PRIMARY KEY, digest TEXT NOT NULL) STRICT;
INSERT INTO form VALUES('entry 1','7eaeea9644104a45adc8e284607ee500091824db405ede4af959946329bca42f');
INSERT INTO form VALUES('derived','an older form');
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
INSERT INTO entry VALUES(1,1,'charter',1,'2026-03-01T12:00:00Z','R. Okafor','yard',NULL,NULL,0,'{"clock":"scripted","first_rso":"R. Okafor","ledger_id":"0123456789abcdef","licence":"L-000","licensee":"Example Testing","site":"Yard 1","unit":"mrem","zone":"America/Chicago"}',X'0ef357628cb08afb07264807554f720c5e4ea1f9c69f66a2d17e9024c26c259d');
INSERT INTO entry VALUES(2,2,'scheme',1,'2026-03-01T12:00:00Z','R. Okafor','yard',NULL,NULL,0,'{"from":"2026-01-01","name":"site","text":"scheme = \"site\"\n# \t\\ µSv\n"}',X'd8a29336bc24775e23d23ae41fc3c39731cbdafb5a864275dca9b08437188c8a');
INSERT INTO entry VALUES(3,3,'worker',1,'2026-03-01T12:00:01Z','R. Okafor','yard',NULL,NULL,1,'{"birth_date":"1990-02-28","category":"exposed","id":"W01","monitored_from":"2026-01-05","name":"José Åberg","role":"radiographer"}',X'3ff8159b298cf36cf40f29d74853e07facdac4c6e8a108bdaab00b16016a721a');
INSERT INTO entry VALUES(4,4,'instrument',1,'2026-03-01T12:00:02Z','R. Okafor','yard',NULL,NULL,0,'{"id":"SM-1","scale":"digital","serial":"77","sort":"survey meter"}',X'a6d621a23a49051aded2af187c47eb7df68760ae522e27e07e71474d434e0f01');
INSERT INTO entry VALUES(5,3,'worker',1,'2026-03-01T12:00:03Z','R. Okafor','yard',3,'naïve spelling',0,'{"birth_date":"1990-02-28","category":"exposed","id":"W01","monitored_from":"2026-01-05","name":"José Åberg-Ruiz","role":"radiographer"}',X'083ddda4da80acfc0f7698df003870067eb4ce800bef8bf5e2e956bd71a76ab0');
INSERT INTO entry VALUES(6,4,'instrument',1,'2026-03-01T12:00:04Z','R. Okafor','yard',4,'entered twice',0,NULL,X'5f023145649fd9c5c4d42cd20f498553a4ba7924cd64b21cbd5a13aa427cc8f7');
INSERT INTO entry VALUES(7,4,'instrument',1,'2026-03-01T12:00:05Z','R. Okafor','yard',6,'it was not',0,'{"id":"SM-1","scale":"digital","serial":"77","sort":"survey meter"}',X'10f6a9cd66fed52d732087c211e9c932be6b96fc69463bfcd88b4d7b9efbedc2');
CREATE UNIQUE INDEX entry_ends ON entry (ends) WHERE ends IS NOT NULL;
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
COMMIT;
