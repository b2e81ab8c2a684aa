//! Sheets by the entries that were just written.

use crate::answer::context::error::AnswerError;
use crate::ledger::{LedgerError, Snapshot, Stored};
use crate::record::{Body, Sheet};

pub(crate) fn sheets_of(
    snapshot: &Snapshot<'_>,
    entries: &[i64],
) -> Result<Vec<Stored<Sheet>>, AnswerError> {
    let mut sheets = Vec::new();
    for seq in entries {
        let entry = snapshot.entry(*seq)?;
        let first = snapshot.entry(entry.record)?;
        let body = entry
            .read_body()
            .map_err(|detail| LedgerError::Unreadable { seq: *seq, detail })?;
        if let Some(Body::Sheet(sheet)) = body {
            sheets.push(Stored {
                entry: *seq,
                record: entry.record,
                written_at: entry.written_at,
                first_written_at: first.written_at,
                transcribed: entry.transcribed,
                body: *sheet,
            });
        }
    }
    Ok(sheets)
}
