//! The profile board: findings on the right, the profile's own figures above, the curve in the
//! middle and the segments as a table under it.

use super::fields::{committed, quantity_field};
use super::forecast_plot::{Below, ForecastView};
use super::forecast_table::standing;
use super::profile_edits::{self as edits, Steps};
use super::profile_plot::Drag;
use super::state::{Action, App, Board, Results};
use super::theme;
use crate::catalogue::{Catalogue, Furnace, Severity};
use crate::load::{Edit, Plan, ProfileFigure, peak_c};
use crate::profile::{Segment, SegmentId};
use crate::text::app as say;
use crate::units::Quantity;
use egui::{Button, CentralPanel, Panel, Role, ScrollArea, Sense, TextEdit, Ui, WidgetInfo, vec2};
use std::collections::BTreeMap;

/// Height below which the board scrolls as a whole, points.
const LOW: f32 = 480.0;
/// Share of the board that what is under the curve can take.
const MOST_UNDER: f32 = 0.6;

/// What is in view on the profile board.
#[derive(Clone, Debug, Default)]
pub struct ProfileView {
    /// A point being dragged, before it is an edit.
    pub(super) drag: Option<Drag>,
    /// The pointer was over a point that can be dragged: the curve must not pan.
    pub(super) hot: bool,
    /// The curve fits itself again: after a drag, or when asked for.
    pub(super) fit: Option<egui::Vec2b>,
    /// Time under the pointer, min.
    pub(super) pointer_min: Option<f64>,
    /// Times of the two cursors, min.
    pub(super) cursors_min: [Option<f64>; 2],
    /// Segment to which the table has scrolled.
    pub(super) scrolled_to: Option<SegmentId>,
    /// Segment whose events are open.
    pub(super) events: Option<SegmentId>,
    /// The forecast.
    pub(super) forecast: ForecastView,
}

impl ProfileView {
    /// The segment whose point is being dragged, as it would be on release.
    pub(super) fn dragged(&self) -> Option<(usize, Segment)> {
        self.drag.as_ref().map(Drag::becomes)
    }

    /// Chooses what is under the curve.
    pub(super) fn show_forecast(&mut self, below: Below) {
        self.forecast.below = below;
    }
}

impl App {
    pub(super) fn profile_board(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let Some(results) = self.results.take() else {
            return;
        };
        let whole = ui.available_size();
        Panel::right("findings")
            .default_size((theme::SIDE * 1.15).min(whole.x * 0.45))
            .show(ui, |ui| {
                self.findings_panel(ui, &results, actions);
            });
        if whole.y < LOW {
            // Too low for all of it at once, as with large text: one below the other.
            CentralPanel::default().show(ui, |ui| {
                ScrollArea::vertical()
                    .id_salt("profile board")
                    .auto_shrink(false)
                    .show(ui, |ui| {
                        self.figures(ui, &results, actions);
                        ui.separator();
                        let width = ui.available_width();
                        self.profile_curve(ui, &results.plan, LOW * 0.8, actions);
                        ui.separator();
                        ui.allocate_ui(vec2(width, LOW * 0.5), |ui| {
                            self.under_the_curve(ui, &results.plan, actions);
                        });
                    });
            });
        } else {
            Panel::top("profile-figures").show(ui, |ui| self.figures(ui, &results, actions));
            Panel::bottom("profile-table")
                .resizable(true)
                .default_size((theme::SIDE * 0.9).min(whole.y * 0.36))
                .max_size(whole.y * MOST_UNDER)
                .show(ui, |ui| {
                    // It keeps its height whatever stands in it.
                    ui.set_min_height(ui.available_height());
                    self.under_the_curve(ui, &results.plan, actions);
                });
            CentralPanel::default().show(ui, |ui| {
                // The curve keeps a height in which it can be read; what is over it scrolls away.
                let room = ui.available_height() - theme::EDGE;
                ScrollArea::vertical()
                    .id_salt("profile curve")
                    .auto_shrink(false)
                    .show(ui, |ui| {
                        self.profile_curve(ui, &results.plan, room, actions)
                    });
            });
        }
        self.events_editor(ui, &results.plan, actions);
        self.results = Some(results);
    }

    /// Name, revision, start and unload temperature.
    fn figures(&mut self, ui: &mut Ui, results: &Results, actions: &mut Vec<Action>) {
        let profile = &results.plan.profile;
        let typing = &mut self.view.typing;
        let mut figure = None;
        ui.horizontal_wrapped(|ui| {
            let texts = [
                (
                    "Profile",
                    theme::SIDE * 0.9,
                    &profile.name,
                    ProfileFigure::Name as fn(String) -> ProfileFigure,
                ),
                (
                    "Revision",
                    theme::TARGET * 2.0,
                    &profile.revision,
                    ProfileFigure::Revision,
                ),
            ];
            for (label, width, value, of) in texts {
                let name = say::label(label);
                ui.label(&name);
                if let Some(text) = text_cell(ui, typing, &name, &name, value, width) {
                    figure = Some(of(text));
                }
            }
            let temperatures = [
                (
                    "Start temperature",
                    profile.start_c,
                    ProfileFigure::StartC as fn(f64) -> ProfileFigure,
                ),
                (
                    "Unload temperature",
                    profile.unload_c,
                    ProfileFigure::UnloadC,
                ),
            ];
            for (label, value, of) in temperatures {
                let id = format!("profile {label}");
                let quantity = Quantity::Temperature;
                match quantity_field(ui, typing, &id, label, quantity, value, 0) {
                    Some(Ok(c)) => figure = Some(of(c)),
                    Some(Err(fault)) => actions.push(Action::Say(fault)),
                    None => {}
                }
            }
        });
        let peak = peak_c(&results.plan);
        ui.label(results.review.setpoints_shown(peak));
        actions.extend(figure.map(|figure| Action::Edit(Edit::SetProfileFigure(figure))));
    }

    /// Shows the profile board with a tab of it.
    pub(super) fn under_the_profile(&mut self, below: Below) {
        self.view.board = Board::Profile;
        self.view.profile.forecast.below = below;
    }

    fn under_the_curve(&mut self, ui: &mut Ui, plan: &Plan, actions: &mut Vec<Action>) {
        match self.below(ui, plan, actions) {
            Below::Segments => self.segment_table(ui, plan, actions),
            Below::OverTime => self.forecast_over_time(ui),
            Below::Figures => self.forecast_figures(ui),
            Below::Stopped => self.run_stopped(ui, actions),
            Below::Shorten => self.shorten_program(ui, actions),
            Below::Cost => self.cost_of_run(ui, actions),
            Below::Measured => self.measured_figures(ui, actions),
        }
    }

    /// What fills the space under the curve, chosen by tabs where there is a forecast, and what can
    /// be done with the selected segment.
    fn below(&mut self, ui: &mut Ui, plan: &Plan, actions: &mut Vec<Action>) -> Below {
        if !self.is_followed() {
            self.view.profile.forecast.below = Below::Segments;
        }
        let standing = standing(self);
        ui.horizontal_wrapped(|ui| {
            if self.is_followed() {
                let below = &mut self.view.profile.forecast.below;
                for (which, short, name) in Below::all() {
                    let chosen = *below == which;
                    let tab = ui.selectable_label(chosen, short);
                    tab.widget_info(|| WidgetInfo::selected(Role::Tab, true, chosen, &name));
                    if tab.clicked() {
                        *below = which;
                    }
                }
            }
            match self.view.profile.forecast.below {
                Below::Segments => self.segment_buttons(ui, plan, actions),
                Below::OverTime => self.forecast_choices(ui),
                _ => {}
            }
            if let Some(standing) = standing {
                standing.show(ui);
            }
        });
        self.view.profile.forecast.below
    }

    /// What can be done with the selected segment.
    fn segment_buttons(&mut self, ui: &mut Ui, plan: &Plan, actions: &mut Vec<Action>) {
        let profile = &plan.profile;
        let steps = Steps::of(furnace(&self.working.catalogue, plan));
        let selected = self.view.segment;
        let index = profile.segments.iter().position(|s| Some(s.id) == selected);
        let new = SegmentId(self.doc.history.next_id());
        let add = |index: usize| Edit::AddSegment {
            index,
            segment: edits::inserted(profile, index, new, steps),
        };
        let last = profile.segments.len();
        let split = |two: Option<(Segment, Segment)>| {
            two.map(|(first, second)| Edit::SplitSegment {
                first: Box::new(first),
                second: Box::new(second),
            })
        };
        let choices = [
            ("Insert before", index.map(add)),
            ("Insert after", Some(add(index.map_or(last, |i| i + 1)))),
            (
                "Split the ramp",
                split(index.and_then(|i| edits::ramp_split(profile, i, new, steps))),
            ),
            (
                "Split the hold",
                split(index.and_then(|i| edits::hold_split(profile, i, new, steps))),
            ),
            (
                "Remove segment",
                index.and(selected).map(Edit::RemoveSegment),
            ),
        ];
        for (name, edit) in choices {
            let button = Button::new(say::label(name));
            let response = ui
                .add_enabled(edit.is_some(), button)
                .on_disabled_hover_text(say::label(
                    "Select a segment by its number; a split needs a ramp or a hold.",
                ));
            if response.clicked()
                && let Some(edit) = edit
            {
                self.view.segment = match (&edit, index) {
                    (Edit::AddSegment { .. }, _) => Some(new),
                    (Edit::RemoveSegment(_), Some(i)) => {
                        let left = profile.segments.get(i + 1);
                        left.or_else(|| profile.segments.get(i.checked_sub(1)?))
                            .map(|s| s.id)
                    }
                    _ => selected,
                };
                actions.push(Action::Edit(edit));
            }
        }
    }
}

/// The furnace of the load, where it is known.
pub(super) fn furnace<'a>(catalogue: &'a Catalogue, plan: &Plan) -> Option<&'a Furnace> {
    catalogue.furnace(&plan.load.furnace).map(AsRef::as_ref)
}

/// Replaces a segment, where it is another than before.
pub(super) fn change(before: &Segment, after: Segment, actions: &mut Vec<Action>) {
    if *before != after {
        actions.push(Action::Edit(Edit::ChangeSegment(after)));
    }
}

/// A field for a text of one line. Some on commit.
pub(super) fn text_cell(
    ui: &mut Ui,
    typing: &mut BTreeMap<String, String>,
    id: &str,
    name: &str,
    value: &str,
    width: f32,
) -> Option<String> {
    let mut text = typing.get(id).cloned().unwrap_or_else(|| value.to_owned());
    let edit = TextEdit::singleline(&mut text)
        .desired_width(width)
        .align(egui::Align2::LEFT_CENTER);
    let response = ui.add(edit.id(egui::Id::unique(id))).accessible_name(name);
    let typed = committed(ui, typing, id, &response, text)?;
    typing.remove(id);
    Some(typed)
}

/// A mark of caution whose words are its hint and its name.
pub(super) fn caution(ui: &mut Ui, words: &str) {
    let size = ui.spacing().interact_size.y * 0.7;
    let (rect, response) = ui.allocate_exact_size(vec2(size, size), Sense::hover());
    let tokens = theme::Tokens::of(ui.ctx());
    super::marks::mark(
        ui.painter(),
        rect.center(),
        size / 2.0,
        Severity::Caution,
        tokens,
    );
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, words));
    response.on_hover_text(words);
}
