//! The command line: one file a subcommand. Exit codes: 0 done (a review: no stop found; a
//! comparison: the same; an arrangement: a better layout written; a backlog: loads written), 1 a stop
//! found, a difference, no better layout, or no load to make, 2 bad input.

mod arrange;
mod arrange_first;
mod arrange_json;
mod diff;
mod edit;
pub(crate) mod forecast;
mod forecast_json;
pub(crate) mod forecast_margins;
mod list;
mod lot_words;
mod measure;
mod queue;
mod review;
mod script;
mod tally;
pub(crate) mod ways;
mod words;

pub use edit::first_furnace;
pub use list::limits_in_words;
pub use review::{demo, who_switched};
pub use script::{ScriptFault, Shop, run as run_script};

use crate::files::{self, FileFault, ShopFolder, Working};
use crate::forecast::plan::{Asked, NoForecast};
use crate::load::{Plan, Sizes};
use crate::text::{cli as say, in_english};
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::ffi::OsString;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Plans debind-and-sinter furnace loads: parts on setters, setters in stacks, and the thermal
/// profile that has to fit them.
///
/// Without a subcommand the window opens on the load named, or on the demo load. Where there is no
/// display one sentence says so, the review of that load is printed and the exit is 0.
/// Setterwright plans; it is no safety system. The furnace's written procedure, local codes and
/// licensed people come first.
#[derive(Debug, Parser)]
#[command(name = "setterwright", version, args_conflicts_with_subcommands = true)]
struct Cli {
    #[command(subcommand)]
    command: Option<Command>,
    /// A load file (*.load.ron), and mesh files (*.stl) to read parts from.
    files: Vec<PathBuf>,
    /// Judges by the records of this shop folder.
    #[arg(long, value_name = "DIR")]
    shop: Option<PathBuf>,
    #[command(flatten)]
    picture: PictureFlags,
}

/// A picture instead of the window.
#[derive(Debug, Args)]
struct PictureFlags {
    /// Draws this board of the window into a PNG file.
    #[arg(long, value_name = "BOARD", requires = "output")]
    picture: Option<PictureBoard>,
    /// The PNG file to write.
    #[arg(short, long, value_name = "PNG", requires = "picture")]
    output: Option<PathBuf>,
    /// Colours of the picture.
    #[arg(long, value_enum, default_value_t, requires = "picture")]
    theme: PictureTheme,
    /// Width and height of the picture, pixels.
    #[arg(long, value_name = "WxH", value_parser = size, default_value = "1280x720", requires = "picture")]
    size: [usize; 2],
    /// Level to show, counted from the hearth up over all stacks.
    #[arg(long, value_name = "N", requires = "picture")]
    level: Option<usize>,
}

/// A board that can be drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum PictureBoard {
    /// Setting out.
    Load,
    /// Setting out, the parts arranged anew and not yet kept.
    Arranged,
    /// Profile.
    Profile,
    /// Profile with the forecast over time under it.
    OverTime,
    /// Profile with the forecast in figures under it.
    Forecast,
    /// Profile with a run that was stopped half way under it.
    Stopped,
    /// Profile with a shorter program under it.
    Shorten,
    /// Profile with the cost of the run under it.
    Cost,
    /// Profile with figures from measurements under it.
    Measured,
    /// Limits, with who set them.
    Limits,
    /// Checks, with what the shop makes of them.
    Checks,
    /// Lots cleared to load, and the furnace.
    Lots,
    /// What the shop has and who works there.
    Shop,
    /// The backlog that lies beside the load, as the loads that it becomes.
    Backlog,
}

/// Colours of a picture.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum PictureTheme {
    /// Light.
    #[default]
    Light,
    /// Dark.
    Dark,
}

/// What only the window can do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ForWindow {
    /// Open on a file, or on the demo load.
    Open {
        /// The load; the demo load where none is named.
        file: Option<PathBuf>,
        /// Meshes to read parts from.
        meshes: Vec<PathBuf>,
        /// The shop folder.
        shop: Option<PathBuf>,
    },
    /// Draw a board into a PNG file.
    Picture {
        /// The load; the demo load where none is named.
        file: Option<PathBuf>,
        /// Board.
        board: PictureBoard,
        /// The PNG file.
        output: PathBuf,
        /// Colours.
        theme: PictureTheme,
        /// Width and height, pixels.
        size: [usize; 2],
        /// Level, from 1.
        level: Option<usize>,
        /// The shop folder.
        shop: Option<PathBuf>,
    },
}

/// Widest and highest picture, pixels (assumed).
const MOST_PIXELS: usize = 8192;

fn size(text: &str) -> Result<[usize; 2], String> {
    let sides: Vec<Option<usize>> = text.split('x').map(|side| side.parse().ok()).collect();
    match sides.as_slice() {
        [Some(width), Some(height)]
            if (1..=MOST_PIXELS).contains(width) && (1..=MOST_PIXELS).contains(height) =>
        {
            Ok([*width, *height])
        }
        _ => Err(say::bad_size(MOST_PIXELS)),
    }
}

/// What the arguments ask of the window; none where [`run`] has the answer: a subcommand, the help,
/// or a sentence on what is wrong with them.
pub fn for_window(args: impl IntoIterator<Item = OsString>) -> Option<ForWindow> {
    let cli = Cli::try_parse_from(args)
        .ok()
        .filter(|cli| cli.command.is_none())?;
    let (file, meshes) = loads_and_meshes(&cli.files).ok()?;
    let PictureFlags {
        picture,
        output,
        theme,
        size,
        level,
    } = cli.picture;
    Some(match (picture, output) {
        (Some(board), Some(output)) => ForWindow::Picture {
            file,
            board,
            output,
            theme,
            size,
            level,
            shop: cli.shop,
        },
        _ => ForWindow::Open {
            file,
            meshes,
            shop: cli.shop,
        },
    })
}

/// The load among the files, and the meshes.
///
/// # Errors
/// A sentence: there are two loads.
fn loads_and_meshes(files: &[PathBuf]) -> Result<(Option<PathBuf>, Vec<PathBuf>), String> {
    let all = files.iter().cloned();
    let (meshes, mut loads): (Vec<_>, Vec<_>) = all.partition(|p| files::is_mesh_name(p));
    if let [a, b, ..] = &loads[..] {
        let named = |p: &PathBuf| p.display().to_string();
        return Err(say::two_loads(&named(a), &named(b)));
    }
    Ok((loads.pop(), meshes))
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Reviews a load. The exit is 0 when no stop is found, 1 when one is, 2 when the file is bad.
    Review(review::Arguments),
    /// Measures a mesh file: volume, area, centroid, height, outline, open edges.
    Measure(measure::Arguments),
    /// Adds a load up: pieces, masses by state, furniture, binder to burn, fill.
    Tally(OnLoad),
    /// Forecasts the run of a load: when its coldest place arrives in each hold, what binder is left,
    /// density and size, when the load may come out. Or one question: a run that was stopped, a
    /// shorter program, cost, furnace figures from logs, densification from measured pieces. The exit
    /// is 0, or 2 when there is no answer.
    Forecast(forecast::Arguments),
    /// Compares two loads in words, grouped by what a difference can affect. The exit is 0 when both
    /// mean the same, 1 when they differ, 2 when a file is bad.
    Diff(diff::Arguments),
    /// Changes a load by a script of edits, one a line, and writes it to another file.
    #[command(after_long_help = edit::HELP)]
    Edit(edit::Arguments),
    /// Sets the parts of a load out anew: more pieces of lots that wait, fewer setters, a lower stack,
    /// and writes it to another file. Locked parts stay. The exit is 0 when a better layout was found
    /// and written, 1 when none was found and nothing is written, 2 when a file or an option is bad or
    /// there is nothing to move.
    #[command(after_long_help = arrange::HELP)]
    Arrange(arrange::Arguments),
    /// Makes loads of a backlog: what waits, grouped by the base load that it may use, what is due
    /// first in the first run. Writes one load a run and says what is late and what found no place.
    /// The exit is 0 when loads were written, whether or not the review finds stops in them or pieces
    /// are late, 1 when there is no run to make and nothing is written, 2 when a file or an option is
    /// bad.
    #[command(after_long_help = queue::HELP)]
    Queue(queue::Arguments),
}

/// A load file and how to show the answer.
#[derive(Debug, Args)]
struct OnLoad {
    /// The load file (*.load.ron).
    file: PathBuf,
    /// Prints JSON instead of text.
    #[arg(long)]
    json: bool,
    /// Judges by the records of this shop folder.
    #[arg(long, value_name = "DIR")]
    shop: Option<PathBuf>,
}

/// Unit of a mesh file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Unit {
    /// Millimetre.
    Mm,
    /// Inch.
    In,
    /// Metre.
    M,
}

/// Size at which a mesh is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Size {
    /// Final, sintered.
    Final,
    /// Green, oversize.
    Green,
}

/// What ends a run early.
pub(crate) enum Failure {
    /// Bad input: a sentence for the error stream, exit 2.
    Input(String),
    /// The output cannot be written, exit 2.
    Output,
}

impl Failure {
    /// The sentence; none where only the output failed.
    pub(crate) fn sentence(self) -> String {
        match self {
            Failure::Input(sentence) => sentence,
            Failure::Output => String::new(),
        }
    }
}

impl From<FileFault> for Failure {
    fn from(fault: FileFault) -> Failure {
        Failure::Input(fault.to_string())
    }
}

impl From<NoForecast> for Failure {
    fn from(why: NoForecast) -> Failure {
        Failure::Input(why.to_string())
    }
}

impl From<std::io::Error> for Failure {
    fn from(_: std::io::Error) -> Failure {
        Failure::Output
    }
}

type Outcome = Result<u8, Failure>;

/// Runs the command line and gives the exit code.
pub fn run(
    args: impl IntoIterator<Item = OsString>,
    out: &mut dyn Write,
    err: &mut dyn Write,
) -> u8 {
    let cli = match Cli::try_parse_from(args) {
        Ok(cli) => cli,
        Err(error) => {
            let help = !error.use_stderr();
            let text = error.render().to_string();
            let text = text.trim_end();
            // A closed pipe leaves nobody to tell.
            let _ = if help {
                writeln!(out, "{text}")
            } else {
                writeln!(err, "{text}")
            };
            return if help { 0 } else { 2 };
        }
    };
    let out = &mut Heard { out, left: false };
    let outcome = match &cli.command {
        Some(Command::Review(of)) => plainly(of.json, || review::run(of, out)),
        Some(Command::Measure(of)) => plainly(of.json, || measure::run(of, out)),
        Some(Command::Tally(on)) => plainly(on.json, || tally::run(on, out)),
        Some(Command::Forecast(of)) => plainly(of.json || of.csv, || forecast::run(of, out)),
        Some(Command::Diff(of)) => plainly(of.json, || diff::run(of, out)),
        Some(Command::Edit(arguments)) => edit::run(arguments, out),
        Some(Command::Arrange(of)) => plainly(of.json, || arrange::run(of, out)),
        Some(Command::Queue(arguments)) => queue::run(arguments, out, err),
        None => match loads_and_meshes(&cli.files) {
            Ok((file, meshes)) => {
                if !meshes.is_empty() {
                    let _ = writeln!(err, "{}", say::meshes_need_the_window(meshes.len()));
                }
                review::run_bare(file.as_deref(), cli.shop.as_deref(), out)
            }
            Err(sentence) => Err(Failure::Input(sentence)),
        },
    };
    match outcome {
        Ok(code) => code,
        Err(Failure::Input(sentence)) => {
            let _ = writeln!(err, "{sentence}");
            2
        }
        Err(Failure::Output) => {
            let _ = writeln!(err, "{}", say::output_failed());
            2
        }
    }
}

/// An output whose reader may leave, as `head` does: the rest is dropped, and the command does and
/// answers what it would have.
struct Heard<'a> {
    out: &'a mut dyn Write,
    left: bool,
}

impl Heard<'_> {
    fn unless_left<T>(&mut self, done: std::io::Result<T>, otherwise: T) -> std::io::Result<T> {
        match done {
            Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => {
                self.left = true;
                Ok(otherwise)
            }
            done => done,
        }
    }
}

impl Write for Heard<'_> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        if self.left {
            return Ok(bytes.len());
        }
        let done = self.out.write(bytes);
        self.unless_left(done, bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        if self.left {
            return Ok(());
        }
        let done = self.out.flush();
        self.unless_left(done, ())
    }
}

/// Programs read JSON, and they know one language.
fn plainly(json: bool, run: impl FnOnce() -> Outcome) -> Outcome {
    if json { in_english(run) } else { run() }
}

/// A plan with the records by which it is judged.
struct Opened {
    plan: Plan,
    working: Working,
}

impl Opened {
    /// What a forecast is made from; `sizes` are those of the plan.
    fn asked<'a>(&'a self, sizes: &'a Sizes) -> Asked<'a> {
        Asked {
            plan: &self.plan,
            catalogue: &self.working.catalogue,
            shop: self.working.shop.as_deref(),
            sizes,
        }
    }

    fn sizes(&self) -> Sizes {
        Sizes::new(&self.plan, &self.working.catalogue)
    }
}

fn open(file: &Path, shop: Option<&Path>) -> Result<Opened, Failure> {
    let folder = shop.map(files::read_shop_folder).transpose()?;
    let (plan, working) = files::open_load(file, folder.as_ref())?;
    Ok(Opened { plan, working })
}

/// Whether a load may be written where it is asked for. `from` must not be it; another load that is
/// there has to be given up by an option.
fn may_write(path: &Path, from: Option<&Path>, overwrite: bool) -> Result<(), Failure> {
    files::may_write(path, from)?;
    if !overwrite && files::would_be_lost(path) {
        return Err(Failure::Input(say::already_there(
            &path.display().to_string(),
        )));
    }
    Ok(())
}

fn opened(plan: Plan, folder: Option<&ShopFolder>) -> Result<Opened, Failure> {
    let working = files::working(&plan, folder)?;
    Ok(Opened { plan, working })
}

fn print_json(out: &mut dyn Write, value: &impl serde::Serialize) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(value)
        .map_err(|error| Failure::Input(say::json(&error.to_string())))?;
    writeln!(out, "{text}")?;
    Ok(())
}

/// The word in front of a finding or a check.
fn mark(severity: crate::catalogue::Severity) -> String {
    use crate::catalogue::Severity;
    match severity {
        Severity::Stop => crate::text::cli::stop(),
        Severity::Caution => crate::text::cli::caution(),
        Severity::Note => crate::text::cli::note(),
    }
}
