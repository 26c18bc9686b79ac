//! The window's state: the open document, what follows from it, and what is in view.
//!
//! Boards read the [`Results`] and push [`Action`]s; the actions are carried out after the pass, in
//! one place. View state is never undone and never saved.

use super::canvas::Camera;
use super::dialogs::Dialogs;
use crate::catalogue::Severity;
use crate::document::{Document, Forecasted, Preview};
use crate::files::{ShopChange, ShopFolder, Working};
use crate::load::{Caps, Edit, Item, LevelId, PlacementId, Plan, Tally};
use crate::part::SizeStage;
use crate::profile::SegmentId;
use crate::review::{Finding, Review, Subject};
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use super::commands::Command;

/// What fills the middle of the window.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Board {
    /// Setting out.
    #[default]
    Load,
    /// Profile.
    Profile,
    /// Standard loads.
    Library,
    /// Limits and checks.
    Limits,
    /// Lots cleared to load and the state of the furnace.
    Cleared,
    /// What the shop has and who works there.
    Shop,
    /// A backlog and the loads that it becomes.
    Backlog,
}

/// Something to be done after the pass.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
    /// An edit of the document: one undo step.
    Edit(Edit),
    /// The button of a finding: one step, with one line on what else it changed.
    Fix(Edit, String),
    /// A nudge: several within a second are one step.
    Nudge(Edit),
    /// A command.
    Command(Command),
    /// Show what a finding is about.
    Go(Vec<Subject>),
    /// Open a load.
    Open(PathBuf),
    /// Save under a name.
    SaveAs(PathBuf),
    /// Read part shapes.
    Import(Vec<PathBuf>),
    /// Take a backlog file.
    OpenBacklog(PathBuf),
    /// Open a run of the backlog, counted from 0.
    OpenRun(usize),
    /// Take lots from a table in a file.
    ReadLots(PathBuf),
    /// Judge by this shop folder.
    UseShopFolder(PathBuf),
    /// Begin a new load from a standard load.
    StartFrom(PathBuf),
    /// A change of what the shop sets for itself.
    Shop(ShopChange),
    /// One step of the shop's state back, or forward again.
    StepShop {
        /// Back.
        back: bool,
    },
    /// A state for a shop folder that has none, to be kept.
    BeginShop(Box<crate::catalogue::ShopState>),
    /// Hold the open load against another.
    CompareWith(PathBuf),
    /// Ask the desktop for a path.
    AskPath(Ask),
    /// A file that a question of the forecast asked for.
    FileOfQuestion(Ask, PathBuf),
    /// A sentence for the status line.
    Say(String),
}

/// A measurement between two plan points.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Measuring {
    /// First point, mm.
    pub from_mm: Option<[f64; 2]>,
    /// Second point, mm.
    pub to_mm: Option<[f64; 2]>,
}

/// What dragging snaps to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Snap {
    /// Snap at all.
    pub on: bool,
    /// To a grid of this step, mm; 0 for none.
    pub grid_mm: f64,
    /// To the edge of the usable face, at the edge margin.
    pub edge: bool,
    /// To the edges and anchors of other parts.
    pub parts: bool,
}

/// What the array form holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ArrayForm {
    /// Columns along x.
    pub columns: usize,
    /// Rows along y.
    pub rows: usize,
    /// Pitch along x and y, mm.
    pub pitch_mm: [f64; 2],
    /// Every second row moved by half a pitch: hexagonal.
    pub staggered: bool,
}

impl Default for ArrayForm {
    fn default() -> ArrayForm {
        ArrayForm {
            columns: 3,
            rows: 3,
            pitch_mm: [50.0, 40.0],
            staggered: false,
        }
    }
}

/// What is in view. Never undone, never saved with the load.
#[derive(Clone, Debug)]
pub struct View {
    /// Board.
    pub board: Board,
    /// Level shown.
    pub level: Option<LevelId>,
    /// Selected placements.
    pub selection: BTreeSet<PlacementId>,
    /// Selected segment.
    pub segment: Option<SegmentId>,
    /// Stage at which outlines are drawn.
    pub stage: SizeStage,
    /// Camera over the setter as a person moved it; none while it fits the setter.
    pub camera: Option<Camera>,
    /// What is selected is to be brought into sight.
    pub frame: bool,
    /// Camera of the last pass.
    pub shown: Camera,
    /// Where the turning handle was drawn, points.
    pub handle: Option<egui::Pos2>,
    /// A drag that is not yet an edit.
    pub preview: Option<Preview>,
    /// Snapping.
    pub snap: Snap,
    /// Nudge step, mm.
    pub nudge_mm: f64,
    /// Measuring, when on.
    pub measure: Option<Measuring>,
    /// Placements shown as a table instead of the plan.
    pub table: bool,
    /// Command palette: what was typed, when open.
    pub palette: Option<String>,
    /// The array form.
    pub array: ArrayForm,
    /// Part record whose panel is open.
    pub part: Option<crate::part::PartId>,
    /// Size at which its measures are shown; none for as drawn.
    pub part_size: Option<SizeStage>,
    /// Whether a field for text had the focus when the last pass ended: egui takes the focus away
    /// on Escape before anyone can ask.
    pub was_typing: bool,
    /// Texts being typed, by the name of their field, until Enter or blur.
    pub typing: BTreeMap<String, String>,
    /// The profile board.
    pub profile: super::profile_board::ProfileView,
    /// Finding whose details are open: its check and subjects, which an edit elsewhere leaves.
    pub finding: Option<(&'static str, Vec<Subject>)>,
    /// Groups of findings shown to their end.
    pub all_findings: BTreeSet<String>,
    /// Files whose unit, size and feedstock are being asked for.
    pub import: Option<Vec<PathBuf>>,
    /// Answers for the next import.
    pub import_as: super::imports::ImportAs,
    /// The lists on the left.
    pub lists: super::lists::Forms,
    /// Taking a finding on.
    pub accept: super::finding_accept::AcceptForm,
    /// The board of limits and checks.
    pub limits: super::limits_board::LimitsView,
    /// The board of lots and furnace state.
    pub cleared: super::cleared_board::ClearedView,
    /// The shop's board.
    pub shop: super::shop_board::ShopView,
    /// Declarations are to be opened and brought into sight.
    pub to_declarations: bool,
}

impl Default for View {
    fn default() -> View {
        View {
            board: Board::Load,
            level: None,
            selection: BTreeSet::new(),
            segment: None,
            stage: SizeStage::Green,
            camera: None,
            frame: false,
            shown: Camera::default(),
            handle: None,
            preview: None,
            snap: Snap {
                on: true,
                grid_mm: 1.0,
                edge: true,
                parts: true,
            },
            nudge_mm: 1.0,
            measure: None,
            table: false,
            palette: None,
            array: ArrayForm::default(),
            part: None,
            part_size: None,
            was_typing: false,
            typing: BTreeMap::new(),
            finding: None,
            profile: super::profile_board::ProfileView::default(),
            all_findings: BTreeSet::new(),
            import: None,
            import_as: super::imports::ImportAs::default(),
            lists: super::lists::Forms::default(),
            accept: super::finding_accept::AcceptForm::default(),
            limits: super::limits_board::LimitsView::default(),
            cleared: super::cleared_board::ClearedView::default(),
            shop: super::shop_board::ShopView::default(),
            to_declarations: false,
        }
    }
}

impl View {
    /// Whether a measurement is on.
    pub fn measuring(&self) -> bool {
        self.measure.is_some()
    }
}

/// A question over the window.
#[derive(Clone, Debug, PartialEq)]
pub enum Modal {
    /// Unsaved changes: what to do once that is settled.
    Unsaved(After),
    /// Changes of the shop's state that are not kept.
    Unkept(After),
    /// A path to be typed, for a desktop without a dialog service.
    Path(Ask),
    /// A file of that name is there: whether to take its place.
    Replace(PathBuf),
    /// Something went wrong.
    Trouble(String),
    /// Something went well, and there is more to say than the status line holds.
    Told(String),
}

/// What follows when unsaved changes are saved or dropped.
#[derive(Clone, Debug, PartialEq)]
pub enum After {
    /// Close the window.
    Close,
    /// A new load.
    New,
    /// Open this file.
    Open(PathBuf),
    /// A new load from a standard.
    StartFrom(PathBuf),
    /// A run of the backlog, counted from 0.
    OpenRun(usize),
    /// Judge by another shop folder.
    ShopFolder(PathBuf),
}

/// What a path is wanted for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ask {
    /// A load to open.
    Open,
    /// Where to save.
    SaveAs,
    /// Meshes to import.
    Import,
    /// The shop folder.
    ShopFolder,
    /// A table of lots.
    Lots,
    /// A backlog, or a table of its jobs.
    Backlog,
    /// A load to hold the open one against.
    Compare,
    /// Log of a run that was stopped.
    RunLog,
    /// Log of an empty run.
    EmptyRun,
    /// Log of a run of this load.
    LoadedRun,
    /// Measured pieces.
    Pieces,
    /// Where a draft is saved beside the load.
    Draft,
}

/// The program.
pub struct App {
    /// The open document.
    pub doc: Document,
    /// Where it lies on disk.
    pub path: Option<PathBuf>,
    /// The shop folder, where one is chosen.
    pub shop: Option<(PathBuf, ShopFolder)>,
    /// Records by which the plan is judged.
    pub working: Working,
    /// What is in view.
    pub view: View,
    /// Open question.
    pub modal: Option<Modal>,
    /// Sentence in the status line.
    pub message: String,
    /// Files used lately, newest first.
    pub recent: Vec<PathBuf>,
    pub(super) dialogs: Box<dyn Dialogs>,
    pub(super) clock: Box<dyn Fn() -> Duration>,
    pub(super) results: Option<Results>,
    pub(super) asked: Option<(Ask, std::sync::mpsc::Receiver<super::dialogs::Answer>)>,
    pub(super) imports: Vec<super::imports::Import>,
    pub(super) shapes: super::shapes::Shapes,
    pub(super) turntable: super::part_view::Turntable,
    pub(super) poses: super::pose_picker::PosePicker,
    pub(super) fixes: super::finding_fixes::Fixes,
    pub(super) closing: bool,
    /// What waits for a save that asked for a path first.
    pub(super) after_save: Option<After>,
    pub(super) shown_title: String,
    pub(super) standards: super::library::Standards,
    pub(super) colours: crate::files::Colours,
    /// Where settings are kept, when they are.
    pub(super) settings: Option<PathBuf>,
    /// Settings as they were last written.
    pub(super) kept: crate::files::Settings,
    pub(super) live: Option<crate::document::PreviewGaps>,
    /// The shop's state as it is being changed.
    pub(super) draft: Option<super::shop_draft::ShopDraft>,
    pub(super) forecasting: super::forecast_follow::Forecasting,
    pub(super) arranging: super::arrange_panel::ArrangePanel,
    pub(super) backlog: super::backlog_board::BacklogBoard,
    pub(super) ways: super::ways::Ways,
}

/// What follows from one value of the plan.
pub struct Results {
    /// The value.
    pub plan: Arc<Plan>,
    /// Review.
    pub review: Review,
    /// Tally.
    pub tally: Arc<Tally>,
    /// How far the review looked for gaps: its strictest limits.
    pub caps: Caps,
    /// Setters, posts and supports in the load by slug, with how many of each.
    pub furniture: BTreeMap<String, usize>,
    /// Labels of all placements.
    pub labels: BTreeMap<PlacementId, String>,
    /// Worst open findings.
    pub worst: Worst,
    /// The forecast with which it was reviewed: of this plan, where it has come.
    pub forecast: Option<Forecasted>,
}

/// The worst finding that nobody has accepted, by where it is drawn.
#[derive(Clone, Debug, Default)]
pub struct Worst {
    /// Of each placement that has one.
    pub placements: BTreeMap<PlacementId, Severity>,
    /// Of each level: its own or of something on it.
    pub levels: BTreeMap<LevelId, Severity>,
}

impl Worst {
    /// From a review of a plan.
    pub fn of(plan: &Plan, review: &Review) -> Worst {
        let mut worst = Worst {
            placements: worst_of_placements(plan, &review.findings),
            levels: BTreeMap::new(),
        };
        for finding in review.findings.iter().filter(|f| f.accepted.is_none()) {
            for subject in &finding.subjects {
                if let Subject::Level(id) = subject {
                    raise(&mut worst.levels, *id, finding.severity);
                }
            }
        }
        for (level, placement) in plan.placements() {
            if let Some(severity) = worst.placements.get(&placement.id) {
                raise(&mut worst.levels, level.id, *severity);
            }
        }
        worst
    }
}

/// The worst finding of each placement that nobody has accepted: of itself, or a stop of the part
/// or the lot that it is of. A caution of a lot would hide those of its pieces.
pub(super) fn worst_of_placements<'a>(
    plan: &Plan,
    findings: impl IntoIterator<Item = &'a Finding>,
) -> BTreeMap<PlacementId, Severity> {
    let mut worst = BTreeMap::new();
    for finding in findings.into_iter().filter(|f| f.accepted.is_none()) {
        for subject in &finding.subjects {
            let mut raise_all = |of: &dyn Fn(&Item) -> bool| {
                for (_, placement) in plan.placements().filter(|(_, p)| of(&p.item)) {
                    raise(&mut worst, placement.id, finding.severity);
                }
            };
            let is_stop = finding.severity == Severity::Stop;
            match subject {
                Subject::Placement(id) => raise(&mut worst, *id, finding.severity),
                Subject::Lot(lot) if is_stop => raise_all(&|item| item.lot() == Some(*lot)),
                Subject::Part(part) if is_stop => raise_all(&|item| item.part() == Some(*part)),
                _ => {}
            }
        }
    }
    worst
}

fn raise<K: Ord>(worst: &mut BTreeMap<K, Severity>, key: K, severity: Severity) {
    let slot = worst.entry(key).or_insert(severity);
    *slot = (*slot).max(severity);
}
