-- The entries of a kind, without reading those of all others. Sheets, which are
-- most of any ledger, are found by their own table.
CREATE INDEX entry_kind ON entry (kind) WHERE kind <> 'sheet';
