//! Rows of any form of file: bytes to cells, cells to fields under known headings.

pub(super) mod cell_text;
pub(super) mod cells;
pub(super) mod cells_csv;
pub(super) mod columns;
pub(super) mod fields;
pub(super) mod grid;
pub(super) mod grouped;
pub(super) mod line_ends;
pub(super) mod mapped;
pub(super) mod merged;
pub(super) mod named;
pub(super) mod picture;
pub(super) mod preview;
pub(super) mod words;
pub(super) mod workbook;
pub(super) mod workbook_scan;
