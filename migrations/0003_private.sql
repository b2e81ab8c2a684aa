-- What must be erasable stands here and not in the chain: the declaration of a pregnancy, a number
-- that identifies a person, their sex. An entry of the kind `private` leads here by a reference
-- and says nothing of what it is. A rebuild leaves this table alone; a backup has it, an export
-- does not.
--
-- The reference is the SHA-256 over salt and content: while both stand here a change of them
-- shows, and once they are erased it tells nothing, for nobody can guess the salt.
CREATE TABLE private (
    reference TEXT PRIMARY KEY,                      -- as the entry has it
    salt      BLOB CHECK (length(salt) = 32),        -- at random
    content   TEXT,                                  -- canonical JSON; NULL: it is gone
    gone      TEXT CHECK (gone IN ('erased', 'not restored')),
    CHECK ((content IS NULL) = (gone IS NOT NULL)),
    CHECK ((content IS NULL) = (salt IS NULL))
) STRICT;

CREATE TRIGGER private_is_never_removed BEFORE DELETE ON private
BEGIN
    SELECT raise(ABORT, 'a private row is never removed: its content is erased');
END;

CREATE TRIGGER private_is_only_erased BEFORE UPDATE ON private
WHEN new.reference IS NOT old.reference OR new.content IS NOT NULL
BEGIN
    SELECT raise(ABORT, 'a private row is never changed: its content is erased');
END;

CREATE TRIGGER private_is_never_overwritten BEFORE INSERT ON private
WHEN EXISTS (SELECT 1 FROM private WHERE reference = new.reference)
BEGIN
    SELECT raise(ABORT, 'a private row is never overwritten');
END;
