//! A backlog: pieces that wait for a furnace, and the loads whose furnace, furniture and profile
//! they may use. A file of its own kind, or a table of the jobs alone.

use super::disk::{TEXT_CAP, read_bytes};
use super::fault::{Fault, FileFault};
use super::form::{head, parse};
use super::kind::FileKind;
use super::lots_table::{separator, yes_no};
use crate::catalogue::when;
use crate::text::nearest;
use crate::text::queueing as say;
use jiff::civil::DateTime;
use serde::Deserialize;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Newest version of backlog files that is read.
pub const BACKLOG_VERSION: u32 = 1;

/// Longest time between two runs, min (assumed: a week).
pub const MOST_TURNAROUND_MIN: f64 = 10_080.0;

/// Most jobs that are read (assumed: some months of a shop).
const MOST_JOBS: usize = 2_000;
/// Most pieces of all jobs together: each is placed by itself (assumed).
const MOST_PIECES: u64 = 100_000;

/// A load that serves as a pattern: its furnace, its setters and posts, its profile, its parts.
#[derive(Clone, Debug, Deserialize, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct BaseLoad {
    /// Name by which jobs call it.
    pub name: String,
    /// The load file, relative to the backlog.
    pub file: PathBuf,
}

/// Pieces that wait.
#[derive(Clone, Debug, Default, Deserialize, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct QueueJob {
    /// Lot number.
    pub lot: String,
    /// Name of the part in its base load.
    pub part: String,
    /// Pieces.
    pub count: u32,
    /// Feedstock slug, where it is to be held against the part's.
    #[serde(default)]
    pub feedstock: Option<String>,
    /// When it is due: a day (its end) or a moment.
    #[serde(default)]
    pub due: Option<String>,
    /// Whether it is cleared to load.
    #[serde(default)]
    pub cleared: bool,
    /// When it will be ready to load, where it is not cleared.
    #[serde(default)]
    pub ready: Option<String>,
    /// The greater goes first among those due at one time.
    #[serde(default)]
    pub priority: u32,
    /// The run of its base load in which it has to go, counted from 1.
    #[serde(default)]
    pub run: Option<usize>,
    /// Base load; where none is named, the first that has the part.
    #[serde(default)]
    pub base: Option<String>,
    /// Customer, where limits depend on it.
    #[serde(default)]
    pub customer: Option<String>,
}

/// What waits, and for what.
#[derive(Clone, Debug, PartialEq)]
pub struct Backlog {
    /// Loads that serve as patterns.
    pub bases: Vec<BaseLoad>,
    /// From when the furnaces may be used.
    pub start: DateTime,
    /// Between two runs of one furnace, min.
    pub turnaround_min: f64,
    /// Jobs.
    pub jobs: Vec<QueueJob>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BacklogFile {
    #[serde(rename = "kind")]
    _kind: String,
    #[serde(rename = "version")]
    _version: u32,
    bases: Vec<BaseLoad>,
    start: String,
    #[serde(default)]
    turnaround_min: f64,
    jobs: Vec<QueueJob>,
}

impl QueueJob {
    /// When it is due; the end of the day where only that is said.
    pub fn due_at(&self) -> Option<DateTime> {
        let text = self.due.as_deref()?;
        when::moment(text).or_else(|| Some(when::day(text)?.tomorrow().ok()?.to_datetime(MIDNIGHT)))
    }

    /// When it will be ready; the beginning of the day where only that is said.
    pub fn ready_at(&self) -> Option<DateTime> {
        let text = self.ready.as_deref()?;
        when::moment(text).or_else(|| Some(when::day(text)?.to_datetime(MIDNIGHT)))
    }

    fn check(&self) -> Result<(), String> {
        if self.lot.trim().is_empty() {
            return Err(say::without_lot());
        }
        if self.part.trim().is_empty() {
            return Err(say::without_part(&self.lot));
        }
        if self.count == 0 {
            return Err(say::without_pieces(&self.lot));
        }
        for (field, text, known) in [
            ("due", &self.due, self.due_at()),
            ("ready", &self.ready, self.ready_at()),
        ] {
            if let Some(text) = text
                && known.is_none()
            {
                return Err(say::not_a_time(&self.lot, field, text));
            }
        }
        if self.run == Some(0) {
            return Err(say::runs_from_one(&self.lot));
        }
        Ok(())
    }
}

const MIDNIGHT: jiff::civil::Time = jiff::civil::Time::midnight();

impl Backlog {
    fn check(&self) -> Result<(), Fault> {
        let refuse = |place: &str, reason: String| Err(Fault::value(place, reason));
        if self.bases.is_empty() {
            return refuse("bases", say::no_base());
        }
        let mut names = BTreeSet::new();
        for base in &self.bases {
            if !names.insert(base.name.as_str()) {
                return refuse("bases", say::base_twice(&base.name));
            }
        }
        if !(0.0..=MOST_TURNAROUND_MIN).contains(&self.turnaround_min) {
            return refuse("turnaround_min", say::bad_turnaround(MOST_TURNAROUND_MIN));
        }
        if self.jobs.is_empty() {
            return refuse("jobs", say::no_jobs());
        }
        if self.jobs.len() > MOST_JOBS {
            return refuse("jobs", say::too_many_jobs(MOST_JOBS));
        }
        let pieces: u64 = self.jobs.iter().map(|job| u64::from(job.count)).sum();
        if pieces > MOST_PIECES {
            return refuse("jobs", say::too_many_pieces(pieces, MOST_PIECES));
        }
        let mut lots = BTreeSet::new();
        for job in &self.jobs {
            let place = format!("jobs, {}", job.lot);
            job.check().or_else(|reason| refuse(&place, reason))?;
            if !lots.insert(job.lot.as_str()) {
                return refuse(&place, say::lot_twice(&job.lot));
            }
            if let Some(base) = &job.base
                && !names.contains(base.as_str())
            {
                let near = nearest(base, names.iter().copied(), 3);
                return refuse(&place, say::no_such_base(base, &near));
            }
        }
        Ok(())
    }
}

/// Reads a backlog file's bytes; `name` is for the fault.
///
/// # Errors
/// What is wrong, with line and column or the path of the field.
pub fn decode_backlog(name: &str, bytes: &[u8]) -> Result<Backlog, FileFault> {
    let read = || -> Result<Backlog, Fault> {
        let (text, _) = head(bytes, FileKind::Backlog, BACKLOG_VERSION)?;
        let file = parse::<BacklogFile>(text)?;
        let start = when::moment(&file.start)
            .ok_or_else(|| Fault::value("start", say::not_a_start(&file.start)))?;
        let backlog = Backlog {
            bases: file.bases,
            start,
            turnaround_min: file.turnaround_min,
            jobs: file.jobs,
        };
        backlog.check()?;
        Ok(backlog)
    };
    read().map_err(|what| FileFault::new(Path::new(name), what))
}

/// Reads a backlog file.
///
/// # Errors
/// What is wrong with it.
pub fn read_backlog(path: &Path) -> Result<Backlog, FileFault> {
    let bytes = read_bytes(path, TEXT_CAP)?;
    decode_backlog(&path.display().to_string(), &bytes)
}

/// The first backlog file, by name, in the folder of a load.
pub fn backlog_beside(load: &Path) -> Option<PathBuf> {
    let folder = load.parent().filter(|dir| !dir.as_os_str().is_empty());
    let entries = std::fs::read_dir(folder.unwrap_or(Path::new("."))).ok()?;
    let paths = entries.filter_map(|entry| Some(entry.ok()?.path()));
    let is_one = |path: &PathBuf| path.to_string_lossy().ends_with(".backlog.ron");
    paths.filter(is_one).min()
}

/// Headings of a table of jobs, first the one that sentences name.
const COLUMNS: &[(&str, &[&str])] = &[
    ("lot", &["lot", "lot number"]),
    ("part", &["part", "part name"]),
    ("count", &["count", "quantity", "pieces"]),
    ("feedstock", &["feedstock"]),
    ("due", &["due", "due date"]),
    ("cleared", &["cleared"]),
    ("ready", &["ready"]),
    ("priority", &["priority"]),
    ("run", &["run"]),
    ("base", &["base", "base load"]),
    ("customer", &["customer"]),
];

/// Reads a table of jobs (CSV with headings) beside loads that serve as patterns.
///
/// # Errors
/// What is wrong, with the row as a spreadsheet counts it.
pub fn read_jobs(
    path: &Path,
    bases: Vec<BaseLoad>,
    start: DateTime,
    turnaround_min: f64,
) -> Result<Backlog, FileFault> {
    let bytes = read_bytes(path, TEXT_CAP)?;
    let fault = |reason: String| FileFault::new(path, Fault::Shape(reason));
    let text = String::from_utf8_lossy(&bytes);
    let text = text.trim_start_matches('\u{feff}');
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator(text))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let headings = reader.headers().map_err(|e| fault(e.to_string()))?.clone();
    let mut columns = Vec::new();
    for heading in &headings {
        let lower = heading.to_lowercase();
        let known = COLUMNS
            .iter()
            .find(|(_, all)| all.contains(&lower.as_str()));
        let Some((name, _)) = known else {
            let near = nearest(&lower, COLUMNS.iter().map(|(name, _)| *name), 3);
            return Err(fault(say::unknown_column(heading, &near)));
        };
        if columns.contains(name) {
            return Err(fault(say::column_twice(name)));
        }
        columns.push(*name);
    }
    for needed in ["lot", "part", "count"] {
        if !columns.contains(&needed) {
            return Err(fault(say::column_missing(needed)));
        }
    }
    let mut jobs = Vec::new();
    for (at, record) in reader.records().enumerate() {
        let row = at + 2;
        let in_row = |reason: String| fault(say::in_row(row, &reason));
        let record = record.map_err(|e| in_row(e.to_string()))?;
        let cell = |name: &str| {
            let at = columns.iter().position(|c| *c == name)?;
            let text = record.get(at).filter(|text| !text.is_empty())?;
            Some(text.to_owned())
        };
        let count = |name: &'static str| -> Result<Option<u32>, FileFault> {
            let Some(text) = cell(name) else {
                return Ok(None);
            };
            let number = text
                .parse()
                .map_err(|_| in_row(say::not_a_count(name, &text)))?;
            Ok(Some(number))
        };
        let cleared = match cell("cleared") {
            None => false,
            Some(text) => yes_no(&text).ok_or_else(|| in_row(say::not_an_answer(&text)))?,
        };
        jobs.push(QueueJob {
            lot: cell("lot").unwrap_or_default(),
            part: cell("part").unwrap_or_default(),
            count: count("count")?.unwrap_or_default(),
            feedstock: cell("feedstock"),
            due: cell("due"),
            cleared,
            ready: cell("ready"),
            priority: count("priority")?.unwrap_or_default(),
            run: count("run")?.map(|run| run as usize),
            base: cell("base"),
            customer: cell("customer"),
        });
    }
    let backlog = Backlog {
        bases,
        start,
        turnaround_min,
        jobs,
    };
    backlog.check().map_err(|what| FileFault::new(path, what))?;
    Ok(backlog)
}

#[cfg(test)]
mod tests {
    use super::*;

    const WEEK: &str = include_str!("../../demo-loads/week.backlog.ron");

    /// A slip of the hand in a count is a sentence, not all the memory that there is.
    #[test]
    fn more_pieces_than_can_be_planned_are_refused() {
        let with = |count: u32| {
            let text = WEEK.replacen("count: 60", &format!("count: {count}"), 1);
            assert_ne!(text, WEEK, "the demo has a lot of 60");
            decode_backlog("week.backlog.ron", text.as_bytes())
        };
        assert!(with(61).is_ok());
        for count in [MOST_PIECES as u32, u32::MAX] {
            let said = with(count).unwrap_err().to_string();
            assert!(said.contains("pieces in all"), "{said}");
        }
    }
}
