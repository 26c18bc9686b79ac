//! What is asked of a forecast beyond the forecast: one file a question. The window asks the same
//! and shows it its own way.

pub(crate) mod calibrate;
pub(crate) mod cost;
pub(crate) mod fit;
mod logged;
pub(crate) mod shorten;
pub(crate) mod stopped;
mod table;

use super::{Failure, Outcome, open};
use crate::forecast::plan::Asked;
use crate::text::ways as say;
use clap::{ArgGroup, Args, ValueEnum};
use std::io::Write;
use std::path::{Path, PathBuf};

/// A way on after a stop.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Way {
    /// The rest of the program.
    GoOn,
    /// The segment's whole hold again, then the rest.
    RepeatHold,
    /// Cool, load again, run it all.
    CoolAndReload,
}

/// One question at a time.
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("stop").args(["stopped_at", "log"]).multiple(true))]
#[command(group = ArgGroup::new("segmented").args(["shorten", "log"]))]
#[command(group = ArgGroup::new("question").args(["stopped_at", "shorten", "cost", "fit", "card", "calibrate"]))]
pub(super) struct Flags {
    /// Where the load is when the program stops so many minutes after its start, waits counted, and
    /// what each way on gives. Beside --log it is the minute of the log up to which that counts.
    #[arg(long, value_name = "MIN")]
    stopped_at: Option<f64>,
    /// The minutes are those of the program's own clock, which stands still while it waits.
    #[arg(long, requires = "stopped_at", conflicts_with = "log")]
    by_clock: bool,
    /// The same from a log of the chamber so far: a table with a heading, time_s (seconds from the
    /// start, rising) and temperature_c (°C), a row every 15 minutes at least. Fields are separated
    /// by commas, or by semicolons or tabs, where numbers may have a decimal comma.
    #[arg(long, value_name = "CSV", conflicts_with_all = ["shorten", "cost", "fit", "card", "calibrate"])]
    log: Option<PathBuf>,
    /// The furnace stands off for so many minutes first, in the gas in which it stopped. Without it
    /// the ways on begin at once, with the load as hot as at the stop.
    #[arg(long, value_name = "MIN", requires = "stop")]
    pause: Option<f64>,
    /// Only this way on.
    #[arg(long, value_enum)]
    way: Option<Way>,
    /// Searches the shortest holds and fastest ramps that keep every limit in both cases.
    #[arg(long)]
    shorten: bool,
    /// Searches this segment only, counted from 1. Beside --log it is the segment that ran last, where
    /// waits took longer or shorter than planned.
    #[arg(long, value_name = "N", requires = "segmented")]
    segment: Option<usize>,
    /// Writes what was found as a draft load, to a file that does not exist yet.
    #[arg(short, long, value_name = "DRAFT", requires = "shorten")]
    output: Option<PathBuf>,
    /// Adds up what the run costs, from the shop's prices.
    #[arg(long)]
    cost: bool,
    /// Labour of the run, minutes.
    #[arg(long, value_name = "MIN", requires = "cost")]
    labour: Option<f64>,
    /// Fits furnace figures to the log of an empty run: a table as for --log, with power_w (watts,
    /// the mean since the row before) beside time_s and temperature_c.
    #[arg(long, value_name = "CSV")]
    fit: Option<PathBuf>,
    /// And to that of a loaded run: its load file, and a table with load_1_c, load_2_c (°C) as well,
    /// the load thermocouples in the order in which the plan has them.
    #[arg(long, num_args = 2, value_names = ["FILE", "CSV"], requires = "fit")]
    loaded: Vec<PathBuf>,
    /// The furnace of an empty run, where no load file names it.
    #[arg(long, value_name = "SLUG", requires = "fit")]
    furnace: Option<String>,
    /// Prints how to make the runs that calibrate a furnace.
    #[arg(long)]
    card: bool,
    /// Fits densification to measured pieces: a table with lot or part, level (from the hearth up),
    /// ring (from the centre) and density_pct (% of full density), or green_mm and sintered_mm; load
    /// names another load file of the run. The exit is 2 where no feedstock is calibrated.
    #[arg(long, value_name = "CSV")]
    calibrate: Option<PathBuf>,
    /// Moves the activation energy, too.
    #[arg(long, requires = "calibrate")]
    with_energy: bool,
}

/// What every question has.
pub(super) struct Frame<'a> {
    pub(super) file: Option<&'a Path>,
    pub(super) shop: Option<&'a Path>,
    pub(super) json: bool,
}

impl Frame<'_> {
    /// The load file.
    ///
    /// # Errors
    /// None is named.
    pub(super) fn file(&self) -> Result<&Path, Failure> {
        self.file.ok_or_else(|| Failure::Input(say::needs_file()))
    }
}

/// Answers; none where nothing beyond the forecast is asked.
pub(super) fn run(flags: &Flags, frame: &Frame, out: &mut dyn Write) -> Option<Outcome> {
    if flags.card {
        return Some(
            writeln!(out, "{}", say::card())
                .map_err(Failure::from)
                .map(|()| 0),
        );
    }
    if let Some(log) = &flags.fit {
        return Some(fit::run(flags, log, frame, out));
    }
    if flags.stopped_at.is_some() || flags.log.is_some() {
        return Some(stopped::run(flags, frame, out));
    }
    if flags.shorten {
        return Some(shorten::run(flags, frame, out));
    }
    if flags.cost {
        return Some(cost::run(flags, frame, out));
    }
    let table = flags.calibrate.as_ref()?;
    Some(calibrate::run(flags, table, frame, out))
}

/// Opens the load of a question and hands it over as what a forecast is made from.
fn with_load(
    file: &Path,
    shop: Option<&Path>,
    then: impl FnOnce(&super::Opened, &Asked) -> Outcome,
) -> Outcome {
    let load = open(file, shop)?;
    let sizes = load.sizes();
    then(&load, &load.asked(&sizes))
}
