//! Tables with a heading, as CSV: fields between commas, semicolons or tabs.

use super::Failure;
use crate::files;
use crate::text::{log_ends, logs as say, ways};
use std::path::Path;

/// A table, read.
pub(super) struct Table {
    file: String,
    head: Vec<String>,
    rows: Vec<csv::StringRecord>,
    /// Whether a comma can only be that of a decimal.
    decimal_comma: bool,
    /// What it is to have, in words.
    wanted: &'static str,
}

/// Two columns of the rows that have both.
pub(super) struct Pairs {
    /// Both, the first rising.
    pub(super) points: Vec<(f64, f64)>,
    /// Line of the file of each.
    lines: Vec<usize>,
}

impl Pairs {
    /// Line of the file of a point.
    pub(super) fn line(&self, point: usize) -> usize {
        self.lines.get(point).copied().unwrap_or(0)
    }
}

/// What separates the fields of a heading.
fn separator(text: &str) -> u8 {
    let head = text.lines().next().unwrap_or("");
    let separators = [b';', b'\t'];
    let found = separators.into_iter().find(|s| head.contains(*s as char));
    found.unwrap_or(b',')
}

/// Line of a heading that is not the first: loggers write a few lines of their own above it.
fn heading_below(text: &str) -> Option<usize> {
    let is_heading = |line: &str| {
        let line = line.to_lowercase();
        ["time_s", "density_pct", "green_mm"]
            .iter()
            .any(|name| line.contains(name))
    };
    let found = text.lines().take(ABOVE_HEADING).position(is_heading)?;
    (found > 0).then_some(found + 1)
}

/// So many lines are looked through for a heading (assumed).
const ABOVE_HEADING: usize = 50;

impl Table {
    /// `wanted` says what it is to have.
    pub(super) fn read(path: &Path, wanted: &'static str) -> Result<Table, Failure> {
        let text = files::read_script(path)?;
        let file = path.display().to_string();
        let separator = separator(&text);
        if let Some(line) = heading_below(&text) {
            let why = log_ends::heading_below(line);
            return Err(Failure::Input(ways::table(&file, &why)));
        }
        let mut reader = csv::ReaderBuilder::new()
            .trim(csv::Trim::All)
            .delimiter(separator)
            .flexible(true)
            .from_reader(text.as_bytes());
        let failed = |error: csv::Error| Failure::Input(ways::table(&file, &error.to_string()));
        let head = reader.headers().map_err(failed)?;
        let head = head
            .iter()
            .map(|h| h.trim_start_matches('\u{feff}').to_lowercase());
        let head: Vec<String> = head.collect();
        let mut table = Table {
            file: file.clone(),
            head,
            rows: Vec::new(),
            decimal_comma: separator != b',',
            wanted,
        };
        for row in reader.records() {
            let row = row.map_err(failed)?;
            // An empty field at the end is what some loggers put there.
            let filled = |i: &usize| row.get(*i).is_some_and(|f| !f.is_empty());
            let fields = (0..row.len()).rev().find(filled).map_or(0, |i| i + 1);
            table.rows.push(row);
            let (line, heading) = (table.line(table.rows.len() - 1), table.head.len());
            if fields > heading || (fields < heading && !table.is_padded()) {
                return Err(table.fault(&say::uneven(line, fields, heading)));
            }
        }
        Ok(table)
    }

    /// Whether the last row has all its separators, though nothing in its last fields.
    fn is_padded(&self) -> bool {
        self.rows.last().is_some_and(|r| r.len() >= self.head.len())
    }

    /// Line of the file in which a row stands.
    pub(super) fn line(&self, row: usize) -> usize {
        let at = self.rows.get(row).and_then(csv::StringRecord::position);
        // The heading is line 1.
        at.map_or(row + 2, |p| p.line() as usize)
    }

    pub(super) fn fault(&self, why: &str) -> Failure {
        Failure::Input(ways::table(&self.file, why))
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
        let decimal = self.decimal_comma && !word.contains('.') && word.matches(',').count() == 1;
        let value = match decimal {
            true => word.replace(',', ".").parse::<f64>(),
            false => word.parse(),
        };
        let none = || self.fault(&say::no_number(name, self.line(row), word));
        let value = value.ok().filter(|x| x.is_finite());
        value.map(Some).ok_or_else(none)
    }

    /// Two columns of all rows that have both, the first rising.
    pub(super) fn pairs(&self, x: &str, y: &str) -> Result<Pairs, Failure> {
        for name in [x, y] {
            if self.column(name).is_none() {
                return Err(self.fault(&say::no_column(name, &self.head, self.wanted)));
            }
        }
        let mut out = Pairs {
            points: Vec::new(),
            lines: Vec::new(),
        };
        for row in 0..self.rows() {
            let (Some(a), Some(b)) = (self.number(row, x)?, self.number(row, y)?) else {
                continue;
            };
            if out.points.last().is_some_and(|last| a <= last.0) {
                return Err(self.fault(&say::times_fall(self.line(row))));
            }
            out.points.push((a, b));
            out.lines.push(self.line(row));
        }
        if out.points.len() < 2 {
            return Err(self.fault(&say::too_short(&format!("{x} and {y}"))));
        }
        Ok(out)
    }

    /// Says that a column is missing unless it is there.
    pub(super) fn needs(&self, names: &[&str]) -> Result<(), Failure> {
        if names.iter().any(|name| self.column(name).is_some()) {
            return Ok(());
        }
        let name = names.first().copied().unwrap_or_default();
        Err(self.fault(&say::no_column(name, &self.head, self.wanted)))
    }
}
