//! The bytes of a CSV file on their way to the reader: no row of any length, no byte-order mark,
//! and one kind of line end, so that lines can be counted.

use std::io::{self, Read};

/// Stops at a line that no spreadsheet writes, before it fills the memory, drops a byte-order
/// mark, and ends every row with one line feed, so that lines can be counted.
pub(crate) struct LineLimit<R> {
    inner: R,
    on_this_line: usize,
    /// Whether the reading stands inside quotation marks, where a line end does
    /// not end a row: a quotation mark that is never closed must not swallow
    /// the file.
    quoted: bool,
    started: bool,
    /// Whether the last byte was a carriage return that ended a row.
    returned: bool,
    /// Whether the last byte that was given ended a row.
    ended: bool,
}

/// Longer than any row of 40 cells with notes; a file without line ends is not
/// a CSV file.
const LONGEST_LINE: usize = 1 << 20;

impl<R: Read> LineLimit<R> {
    pub(crate) fn new(inner: R) -> Self {
        LineLimit {
            inner,
            on_this_line: 0,
            quoted: false,
            started: false,
            returned: false,
            ended: true,
        }
    }

    /// Fills a buffer, the first time without the byte-order mark. None left: 0.
    fn fill(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.started || buffer.len() < 3 {
            return self.inner.read(buffer);
        }
        self.started = true;
        let mut got = 0;
        while let Some(rest) = buffer.get_mut(got..3).filter(|it| !it.is_empty()) {
            match self.inner.read(rest)? {
                0 => break,
                more => got += more,
            }
        }
        match buffer.get(..got) {
            Some(b"\xEF\xBB\xBF") => self.inner.read(buffer),
            _ => Ok(got),
        }
    }

    /// Writes one line feed for each end of a row, whatever the file has, over what was read.
    fn settle(&mut self, buffer: &mut [u8], count: usize) -> usize {
        let mut kept = 0;
        for from in 0..count {
            let Some(mut byte) = buffer.get(from).copied() else {
                break;
            };
            if byte == b'"' {
                self.quoted = !self.quoted;
            }
            let second = byte == b'\n' && self.returned;
            self.returned = byte == b'\r' && !self.quoted;
            if second {
                continue;
            }
            if self.returned {
                byte = b'\n';
            }
            self.ended = byte == b'\n' && !self.quoted;
            self.on_this_line = if self.ended { 0 } else { self.on_this_line + 1 };
            if let Some(to) = buffer.get_mut(kept) {
                *to = byte;
                kept += 1;
            }
        }
        kept
    }
}

impl<R: Read> Read for LineLimit<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        loop {
            let count = self.fill(buffer)?;
            if count == 0 {
                // The last row ends too.
                let open = !std::mem::replace(&mut self.ended, true) && !self.quoted;
                return Ok(match buffer.first_mut().filter(|_| open) {
                    Some(byte) => {
                        *byte = b'\n';
                        1
                    }
                    None => 0,
                });
            }
            let kept = self.settle(buffer, count);
            if self.on_this_line > LONGEST_LINE {
                return Err(io::Error::new(
                    io::ErrorKind::InvalidData,
                    "a row is longer than a million bytes",
                ));
            }
            // A line feed alone, the second half of a row's end, is not the end of the file.
            if kept > 0 {
                return Ok(kept);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn line_ends_are_the_same_wherever_a_reading_is_cut() {
        let text = "\"a\",b\r\n1,\"x\r\ny\"\r\n\r\n2,x\r\n";
        let whole = "\"a\",b\n1,\"x\r\ny\"\n\n2,x\n";
        for size in 3..text.len() {
            let mut limit = LineLimit::new(text.as_bytes());
            let (mut buffer, mut all) = (vec![0; size], Vec::new());
            loop {
                let count = limit.read(&mut buffer).unwrap();
                if count == 0 {
                    break;
                }
                all.extend_from_slice(&buffer[..count]);
            }
            assert_eq!(String::from_utf8(all).unwrap(), whole, "{size}");
        }
    }
}
