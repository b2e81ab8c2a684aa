-- Photos and papers that go with entries, beside the chain: what is kept, by its SHA-256. An entry
-- of the kind `evidence` has that digest, and what it is about. A rebuild leaves this table alone;
-- a backup has it, and an export has each as a file of its own.
CREATE TABLE evidence_file (
    digest  TEXT PRIMARY KEY CHECK (length(digest) = 64), -- SHA-256 of the content, hexadecimal
    content BLOB,                                        -- as it is kept; NULL: it is not here
    gone    TEXT CHECK (gone IN ('erased', 'not carried')),
    CHECK ((content IS NULL) = (gone IS NOT NULL))
) STRICT;

CREATE TRIGGER evidence_is_never_removed BEFORE DELETE ON evidence_file
BEGIN
    SELECT raise(ABORT, 'a row of evidence is never removed: its content is erased');
END;

-- Content is erased; what an export did not carry may come later.
CREATE TRIGGER evidence_is_only_erased BEFORE UPDATE ON evidence_file
WHEN new.digest IS NOT old.digest
  OR new.content IS NOT NULL AND old.gone IS NOT 'not carried'
  OR new.content IS NULL AND new.gone IS NOT 'erased'
BEGIN
    SELECT raise(ABORT, 'evidence is never changed: its content is erased');
END;

CREATE TRIGGER evidence_is_never_overwritten BEFORE INSERT ON evidence_file
WHEN EXISTS (SELECT 1 FROM evidence_file WHERE digest = new.digest)
BEGIN
    SELECT raise(ABORT, 'evidence is never overwritten');
END;
