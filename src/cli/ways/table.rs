//! Tables with a heading, as CSV.

use super::Failure;
use crate::files;
use crate::text::ways as say;
use std::path::Path;

/// A table, read.
pub(super) struct Table {
    file: String,
    head: Vec<String>,
    rows: Vec<csv::StringRecord>,
}

impl Table {
    pub(super) fn read(path: &Path) -> Result<Table, Failure> {
        let text = files::read_script(path)?;
        let file = path.display().to_string();
        let mut reader = csv::ReaderBuilder::new()
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let failed = |error: csv::Error| Failure::Input(say::table(&file, &error.to_string()));
        let head = reader.headers().map_err(failed)?;
        let head = head
            .iter()
            .map(|h| h.trim_start_matches('\u{feff}').to_lowercase());
        let head = head.collect();
        let mut rows = Vec::new();
        for row in reader.records() {
            rows.push(row.map_err(failed)?);
        }
        Ok(Table { file, head, rows })
    }

    pub(super) fn fault(&self, why: &str) -> Failure {
        Failure::Input(say::table(&self.file, why))
    }

    pub(super) fn rows(&self) -> usize {
        self.rows.len()
    }

    pub(super) fn column(&self, name: &str) -> Option<usize> {
        self.head.iter().position(|h| h == name)
    }

    /// A field that is not empty.
    pub(super) fn word(&self, row: usize, name: &str) -> Option<&str> {
        let field = self.rows.get(row)?.get(self.column(name)?)?;
        (!field.is_empty()).then_some(field)
    }

    /// A number; none where the field is empty or there is no such column.
    pub(super) fn number(&self, row: usize, name: &str) -> Result<Option<f64>, Failure> {
        let Some(word) = self.word(row, name) else {
            return Ok(None);
        };
        let value = word.parse::<f64>().ok().filter(|x| x.is_finite());
        // The heading is row 1.
        let none = || self.fault(&say::no_number(name, row + 2));
        value.map(Some).ok_or_else(none)
    }

    /// Two columns of all rows that have both, the first rising.
    pub(super) fn pairs(&self, x: &str, y: &str) -> Result<Vec<(f64, f64)>, Failure> {
        for name in [x, y] {
            if self.column(name).is_none() {
                return Err(self.fault(&say::no_column(name)));
            }
        }
        let mut out: Vec<(f64, f64)> = Vec::new();
        for row in 0..self.rows() {
            let (Some(a), Some(b)) = (self.number(row, x)?, self.number(row, y)?) else {
                continue;
            };
            if out.last().is_some_and(|last| a <= last.0) {
                return Err(self.fault(&say::times_fall(row + 2)));
            }
            out.push((a, b));
        }
        if out.len() < 2 {
            return Err(self.fault(say::too_short()));
        }
        Ok(out)
    }
}
