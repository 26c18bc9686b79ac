//! A backlog: pieces that wait for a furnace, and the loads whose furnace, furniture and profile
//! they may use. A file of its own kind, or a table of the jobs alone.

use super::disk::{TEXT_CAP, read_bytes};
use super::fault::{Fault, FileFault};
use super::form::{head, parse, text_of};
use super::kind::FileKind;
use super::lots_table::{Lines, plain, separator, yes_no};
use crate::arrange::MOST_PRIORITY;
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
    /// The greater goes first among those due at one time, up to [`MOST_PRIORITY`].
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

    fn check(&self, columns: &[Column]) -> Result<(), String> {
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
                return Err(say::not_a_time(&self.lot, heading(columns, field), text));
            }
        }
        if self.run == Some(0) {
            return Err(say::runs_from_one(&self.lot));
        }
        if self.priority > MOST_PRIORITY {
            return Err(say::priority_too_great(
                &self.lot,
                self.priority,
                MOST_PRIORITY,
            ));
        }
        Ok(())
    }
}

const MIDNIGHT: jiff::civil::Time = jiff::civil::Time::midnight();

/// A job as it stands in its file, with what is wrong with it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct JobRead {
    /// Where it stands: a row, or the name of its lot.
    pub place: String,
    /// Lot number.
    pub lot: String,
    /// Part.
    pub part: String,
    /// Pieces, as written.
    pub count: String,
    /// Feedstock; empty where none is given.
    pub feedstock: String,
    /// When it is due, as written; empty where it never is.
    pub due: String,
    /// Whether it is cleared to load; none where that cannot be read.
    pub cleared: Option<bool>,
    /// When it will be ready, as written.
    pub ready: String,
    /// Priority, as written; empty where none is given.
    pub priority: String,
    /// The run of its base load in which it is kept, as written; empty where none is given.
    pub run: String,
    /// Base load; empty where none is given.
    pub base: String,
    /// Customer; empty where none is given.
    pub customer: String,
    /// What is wrong, and what to do.
    pub fault: Option<String>,
}

impl JobRead {
    fn of(job: &QueueJob, place: String) -> JobRead {
        JobRead {
            place,
            lot: job.lot.clone(),
            part: job.part.clone(),
            count: job.count.to_string(),
            feedstock: job.feedstock.clone().unwrap_or_default(),
            due: job.due.clone().unwrap_or_default(),
            cleared: Some(job.cleared),
            ready: job.ready.clone().unwrap_or_default(),
            priority: match job.priority {
                0 => String::new(),
                priority => priority.to_string(),
            },
            run: job.run.map_or_else(String::new, |run| run.to_string()),
            base: job.base.clone().unwrap_or_default(),
            customer: job.customer.clone().unwrap_or_default(),
            fault: None,
        }
    }
}

/// The jobs of a backlog file, before it is known whether they can be used.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct JobsRead {
    /// Each as it stands there.
    pub rows: Vec<JobRead>,
    /// The same as jobs; of a row with a fault, what could be read.
    pub jobs: Vec<QueueJob>,
    /// What is wrong with the file as a whole.
    pub fault: Option<String>,
    /// Of a table.
    columns: Vec<Column>,
}

impl JobsRead {
    /// A file of which nothing could be read.
    fn none(fault: &FileFault) -> JobsRead {
        JobsRead {
            fault: Some(fault.to_string()),
            ..JobsRead::default()
        }
    }

    /// Looks at each job that has no fault yet; base loads are not asked about where none are given.
    pub fn check(&mut self, bases: &[BaseLoad]) {
        let mut lots: BTreeSet<&str> = BTreeSet::new();
        for (job, row) in self.jobs.iter().zip(&mut self.rows) {
            if row.fault.is_some() {
                continue;
            }
            let mut twice = || match lots.insert(job.lot.as_str()) {
                true => Ok(()),
                false => Err(say::lot_twice(&job.lot)),
            };
            let base = || match &job.base {
                Some(base) if !bases.is_empty() && !bases.iter().any(|b| b.name == *base) => {
                    let names = bases.iter().map(|b| b.name.as_str());
                    Err(say::no_such_base(base, &nearest(base, names, 3)))
                }
                _ => Ok(()),
            };
            row.fault = job
                .check(&self.columns)
                .and_then(|()| twice().and_then(|()| base()))
                .err();
        }
    }

    /// The first fault of a row.
    fn fault(&self) -> Option<Fault> {
        let faults = self.rows.iter();
        let mut faults = faults.filter_map(|row| Some((&row.place, row.fault.clone()?)));
        let (place, reason) = faults.next()?;
        Some(Fault::value(place.as_str(), reason))
    }

    /// What is wrong with all of them together.
    fn whole(&self) -> Result<(), Fault> {
        let refuse = |reason: String| Err(Fault::value("jobs", reason));
        if self.jobs.is_empty() {
            return refuse(say::no_jobs());
        }
        if self.jobs.len() > MOST_JOBS {
            return refuse(say::too_many_jobs(MOST_JOBS));
        }
        let pieces: u64 = self.jobs.iter().map(|job| u64::from(job.count)).sum();
        if pieces > MOST_PIECES {
            return refuse(say::too_many_pieces(pieces, MOST_PIECES));
        }
        Ok(())
    }
}

impl BacklogFile {
    /// Its jobs, each looked at.
    fn read(&self) -> JobsRead {
        let rows = self.jobs.iter();
        let mut read = JobsRead {
            rows: rows
                .map(|job| JobRead::of(job, say::of_job(&job.lot)))
                .collect(),
            jobs: self.jobs.clone(),
            ..JobsRead::default()
        };
        read.check(&self.bases);
        read
    }

    /// When it begins, and what is wrong with what is not a job.
    fn head(&self) -> Result<DateTime, Fault> {
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
        turnaround(self.turnaround_min)?;
        let start = when::moment(&self.start);
        start.ok_or_else(|| Fault::value("start", say::not_a_start(&self.start)))
    }
}

fn turnaround(min: f64) -> Result<(), Fault> {
    if (0.0..=MOST_TURNAROUND_MIN).contains(&min) {
        return Ok(());
    }
    let reason = say::bad_turnaround(MOST_TURNAROUND_MIN);
    Err(Fault::value("turnaround_min", reason))
}

fn parsed(bytes: &[u8]) -> Result<BacklogFile, Fault> {
    let (text, _) = head(bytes, FileKind::Backlog, BACKLOG_VERSION)?;
    parse::<BacklogFile>(text)
}

/// Reads a backlog file's bytes; `name` is for the fault.
///
/// # Errors
/// What is wrong, with line and column or the path of the field.
pub fn decode_backlog(name: &str, bytes: &[u8]) -> Result<Backlog, FileFault> {
    let read = || -> Result<Backlog, Fault> {
        let file = parsed(bytes)?;
        let start = file.head()?;
        let read = file.read();
        read.whole()?;
        match read.fault() {
            Some(fault) => Err(fault),
            None => Ok(Backlog {
                bases: file.bases,
                start,
                turnaround_min: file.turnaround_min,
                jobs: read.jobs,
            }),
        }
    };
    read().map_err(|what| FileFault::new(Path::new(name), what))
}

/// The jobs of a backlog file or of a table of jobs, each with what is wrong with it, to be looked
/// at; and its base loads, of which a table has none.
pub fn look_at_jobs(path: &Path) -> (JobsRead, Vec<BaseLoad>) {
    let bytes = match read_bytes(path, TEXT_CAP) {
        Ok(bytes) => bytes,
        Err(fault) => return (JobsRead::none(&fault), Vec::new()),
    };
    let told = |what: Fault| FileFault::new(path, what);
    let (mut read, bases, head) = if is_table(path) {
        match table(&bytes) {
            Ok(read) => (read, Vec::new(), Ok(())),
            Err(what) => return (JobsRead::none(&told(what)), Vec::new()),
        }
    } else {
        match parsed(&bytes) {
            Ok(file) => (file.read(), file.bases.clone(), file.head().map(|_| ())),
            Err(what) => return (JobsRead::none(&told(what)), Vec::new()),
        }
    };
    let whole = head.and_then(|()| read.whole());
    read.fault = whole.err().map(|what| told(what).to_string());
    (read, bases)
}

/// Whether a backlog is a table of jobs (CSV).
pub fn is_table(path: &Path) -> bool {
    let end = path.extension();
    end.is_some_and(|end| end.eq_ignore_ascii_case("csv"))
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
    ("count", &["count", "quantity", "pieces", "qty"]),
    ("feedstock", &["feedstock"]),
    ("due", &["due", "due date"]),
    ("cleared", &["cleared"]),
    ("ready", &["ready"]),
    ("priority", &["priority"]),
    ("run", &["run"]),
    ("base", &["base", "base load"]),
    ("customer", &["customer"]),
];

/// A column of a table.
#[derive(Clone, Debug, PartialEq)]
struct Column {
    name: &'static str,
    /// As it is headed there.
    heading: String,
}

/// What a column is called in the file, which the sentences say.
fn heading<'a>(columns: &'a [Column], name: &'a str) -> &'a str {
    let column = columns.iter().find(|column| column.name == name);
    column.map_or(name, |column| &column.heading)
}

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
    let read = || -> Result<Backlog, Fault> {
        turnaround(turnaround_min)?;
        let mut read = table(&bytes)?;
        read.check(&bases);
        read.whole()?;
        match read.fault() {
            Some(fault) => Err(fault),
            None => Ok(Backlog {
                bases,
                start,
                turnaround_min,
                jobs: read.jobs,
            }),
        }
    };
    read().map_err(|what| FileFault::new(path, what))
}

/// The rows of a table, each looked at.
fn table(bytes: &[u8]) -> Result<JobsRead, Fault> {
    let text = text_of(bytes)?;
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator(text))
        .trim(csv::Trim::All)
        .flexible(true)
        .from_reader(text.as_bytes());
    let in_headings = |reason: String| Fault::value(say::headings(), reason);
    let headings = reader.headers();
    let headings = headings.map_err(|e| in_headings(e.to_string()))?.clone();
    let mut columns: Vec<Column> = Vec::new();
    for heading in &headings {
        let (lower, _) = plain(heading);
        let known = COLUMNS
            .iter()
            .find(|(_, all)| all.contains(&lower.as_str()));
        let Some((name, _)) = known else {
            let near = nearest(&lower, COLUMNS.iter().map(|(name, _)| *name), 3);
            return Err(in_headings(say::unknown_column(heading, &near)));
        };
        if columns.iter().any(|column| column.name == *name) {
            return Err(in_headings(say::column_twice(heading)));
        }
        columns.push(Column {
            name,
            heading: heading.to_owned(),
        });
    }
    for needed in ["lot", "part", "count"] {
        if !columns.iter().any(|column| column.name == needed) {
            return Err(in_headings(say::column_missing(needed)));
        }
    }
    let mut read = JobsRead {
        columns,
        ..JobsRead::default()
    };
    let mut lines = Lines::of(text);
    for (at, record) in reader.records().enumerate() {
        let line = record.as_ref().ok().and_then(|r| lines.line_of(r));
        let place = say::row(line.unwrap_or(at + 2));
        let record = record.map_err(|e| Fault::value(place.as_str(), e.to_string()))?;
        // A spreadsheet's empty rows.
        if record.iter().all(str::is_empty) {
            continue;
        }
        let (job, row) = job_in(&record, &read.columns, place);
        read.jobs.push(job);
        read.rows.push(row);
    }
    read.check(&[]);
    Ok(read)
}

/// A row as a job, and as it stands there with the first thing that cannot be read.
fn job_in(record: &csv::StringRecord, columns: &[Column], place: String) -> (QueueJob, JobRead) {
    let mut fault = None;
    if record.len() > columns.len() {
        fault = Some(say::more_cells(record.len(), columns.len()));
    }
    let cell = |name: &str| {
        let at = columns.iter().position(|c| c.name == name)?;
        let text = record.get(at).filter(|text| !text.is_empty())?;
        Some(text.to_owned())
    };
    let mut number = |name: &str| -> Option<u32> {
        let text = cell(name)?;
        let number = text.parse().ok();
        if number.is_none() {
            fault.get_or_insert_with(|| say::not_a_count(heading(columns, name), &text));
        }
        number
    };
    let (count, priority, run) = (number("count"), number("priority"), number("run"));
    let cleared = match cell("cleared") {
        None => Some(false),
        Some(text) => {
            let said = yes_no(&text);
            if said.is_none() {
                fault.get_or_insert_with(|| say::not_an_answer(heading(columns, "cleared"), &text));
            }
            said
        }
    };
    let job = QueueJob {
        lot: cell("lot").unwrap_or_default(),
        part: cell("part").unwrap_or_default(),
        count: count.unwrap_or_default(),
        feedstock: cell("feedstock"),
        due: cell("due"),
        cleared: cleared.unwrap_or_default(),
        ready: cell("ready"),
        priority: priority.unwrap_or_default(),
        run: run.map(|run| run as usize),
        base: cell("base"),
        customer: cell("customer"),
    };
    let row = JobRead {
        count: cell("count").unwrap_or_default(),
        priority: cell("priority").unwrap_or_default(),
        run: cell("run").unwrap_or_default(),
        cleared,
        fault,
        ..JobRead::of(&job, place)
    };
    (job, row)
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
