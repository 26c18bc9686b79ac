//! A shorter program: searched in the background, segment by segment, and kept as one edit or as
//! a draft beside the load.

use super::{Work, answer, caution_line, is_running, line, weak_line};
use crate::app::columns::{Cell, table};
use crate::app::forecast_table::no_forecast;
use crate::app::state::{Action, App, Ask, Modal};
use crate::cli::ways::shorten::{NOUGHT_MIN, bound, broken_said, draft_said, kept_said};
use crate::document::Progress;
use crate::document::shorten::{NoShorter, Row, Shorter, shorter};
use crate::files;
use crate::forecast::plan::NoForecast;
use crate::forecast::run::RunFault;
use crate::load::{Edit, Plan};
use crate::text::app::both;
use crate::text::ways as told_by;
use crate::text::{findings, ways_window as say};
use egui::{Button, Context, ProgressBar, ScrollArea, Ui};
use std::path::Path;

/// What was found.
#[derive(Default)]
pub(super) struct ShortenForm {
    work: Option<Work<Shorter>>,
}

impl ShortenForm {
    pub fn is_running(&self) -> bool {
        is_running(&self.work)
    }
}

/// The steps that differ, as one edit; none where nothing does.
fn edit(from: &Plan, to: &Plan) -> Option<Edit> {
    let steps = from.profile.segments.iter().zip(&to.profile.segments);
    let edits: Vec<Edit> = steps
        .filter(|(was, is)| was != is)
        .map(|(_, is)| Edit::ChangeSegment(is.clone()))
        .collect();
    let label = say::shorter_label();
    (!edits.is_empty()).then_some(Edit::Several { label, edits })
}

impl App {
    /// Starts the search; one that runs is given up.
    pub(super) fn search_shorter(&mut self, ctx: &Context) {
        let of = self.question();
        let standard = self.working.standard.clone();
        let work = Work::start(ctx, "shorten", of, move |of, ticket| {
            let progress = |segment: usize, of: usize| {
                let share = segment as f64 / of.max(1) as f64;
                ticket.progress(share, &told_by::shorter_progress(segment + 1, of));
            };
            let stopped = || ticket.go_on().is_err();
            let found = shorter(&of.asked(), standard.as_deref(), None, &progress, &stopped);
            ticket.go_on()?;
            Ok(found.map_err(|why| sentence(&why)))
        });
        self.ways.shorten.work = Some(work);
    }

    /// The tab.
    pub(in crate::app) fn shorten_program(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let running = self.ways.shorten.is_running();
        let mut search = false;
        ui.horizontal_wrapped(|ui| {
            if running {
                let work = self.ways.shorten.work.as_ref();
                let Progress { share, word } = work.map(|w| w.job.progress()).unwrap_or_default();
                ui.add(ProgressBar::new(share as f32).desired_width(ui.available_width() * 0.3));
                ui.label(word);
                if ui.button(say::stop()).clicked() {
                    self.ways.shorten.work = None;
                    actions.push(Action::Say(say::search_stopped()));
                }
            } else {
                search = ui.button(say::search()).clicked();
                self.keep_buttons(ui, actions);
            }
        });
        if search {
            let ctx = ui.ctx().clone();
            self.search_shorter(&ctx);
        }
        let Some(work) = &self.ways.shorten.work else {
            line(ui, say::shorten_hint());
            return;
        };
        let Some(finished) = work.finished() else {
            weak_line(ui, say::shorten_hint());
            return;
        };
        ScrollArea::vertical()
            .id_salt("shorten")
            .auto_shrink(false)
            .show(ui, |ui| {
                self.say_if_stale(ui, work);
                match answer(&finished, say::shorten_job()) {
                    Ok(found) => show(ui, &work.plan, found),
                    Err(why) => caution_line(ui, why),
                }
            });
    }

    /// What becomes of what was found.
    fn keep_buttons(&self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let Some(work) = &self.ways.shorten.work else {
            return;
        };
        let Some(finished) = work.finished() else {
            return;
        };
        let Ok(found) = answer(&finished, "") else {
            return;
        };
        let steps = edit(&work.plan, &found.plan);
        let current = work.is_current(self);
        let hint = match steps {
            None => say::nothing_shorter(),
            Some(_) => say::stale(),
        };
        let can = steps.is_some() && current;
        let take = ui.add_enabled(can, Button::new(say::take_shorter()));
        if take.on_disabled_hover_text(&hint).clicked()
            && let Some(edit) = steps
        {
            actions.push(Action::Edit(edit));
        }
        let draft = ui.add_enabled(can, Button::new(say::save_draft()));
        if draft.on_disabled_hover_text(&hint).clicked() {
            actions.push(Action::AskPath(Ask::Draft));
        }
    }

    /// Writes what was found as a load of its own; the open one stays as it is.
    pub(super) fn save_shorter(&mut self, path: &Path) {
        let work = self.ways.shorten.work.as_ref();
        let finished = work.and_then(Work::finished);
        let Some(Ok(found)) = finished.as_deref().map(|f| answer(f, "")) else {
            self.message = say::nothing_found();
            return;
        };
        let target = files::load_path(path);
        if self.path.as_ref() == Some(&target) {
            self.message = say::draft_over_itself();
            return;
        }
        let title = Edit::SetTitle(told_by::draft_title(&found.plan.title));
        let titled = title.apply(&found.plan, &self.working.catalogue);
        let titled = titled.map_err(|refusal| refusal.0);
        let next_id = self.doc.history.next_id();
        let saved = titled.and_then(|plan| {
            let plan = Plan { next_id, ..plan };
            files::save_load(&target, &plan, &self.working).map_err(|fault| fault.to_string())
        });
        match saved {
            Ok(_) => self.message = told_by::draft_written(&target.display().to_string()),
            Err(sentence) => self.modal = Some(Modal::Trouble(sentence)),
        }
    }
}

/// Why there is none, and where to type what is lacking.
fn sentence(why: &NoShorter) -> String {
    match why {
        NoShorter::Cases(_) => both(&why.to_string(), &say::state_of_furnace()),
        NoShorter::Forecast(NoForecast::Run(RunFault::Cancelled)) => say::search_stopped(),
        NoShorter::Forecast(why) => no_forecast(why),
        _ => why.to_string(),
    }
}

fn show(ui: &mut Ui, plan: &Plan, found: &Shorter) {
    ui.strong(told_by::shorter_head(&plan.title));
    let titled =
        |slugs: &[&str]| -> Vec<String> { slugs.iter().map(|s| findings::title(s)).collect() };
    for said in broken_said(found) {
        caution_line(ui, said);
    }
    let (was, is) = found.clock_min;
    line(ui, told_by::shorter_whole(was, is));
    let columns: Vec<(String, f32)> = say::shorter_heads()
        .into_iter()
        .zip([0.7, 1.2, 1.6, 1.3, 1.6, 0.8])
        .collect();
    table(ui, &columns, found.rows.iter().map(row).collect());
    for said in kept_said(found) {
        line(ui, said);
    }
    if !found.remain.is_empty() {
        line(ui, told_by::shorter_remains(&titled(&found.remain)));
    }
    weak_line(ui, told_by::shorter_judged());
}

/// Segment, hold and its limit, ramp and its limit, time saved.
fn row(row: &Row) -> Vec<Cell> {
    let limit = |slug: &Option<String>| slug.as_deref().map_or_else(say::no_limit, bound);
    let mut cells = vec![say::segment_at(row.segment + 1, row.target_c)];
    if row.hold_min.0 > 0.0 || row.hold_min.1 > 0.0 {
        let hold = say::now_could_be(row.hold_min, "min");
        let (gets, needs) = row.gets_needs_min;
        let gets = gets.map(|gets| say::gets_needs(gets, needs));
        let then = draft_said(row);
        let hold: Vec<String> = [hold].into_iter().chain(gets).chain(then).collect();
        cells.extend([say::lines(&hold), limit(&row.hold_bound_by)]);
    } else {
        cells.extend([say::none(), say::none()]);
    }
    match row.ramp_k_min {
        Some(ramp) => cells.extend([say::now_could_be(ramp, "K/min"), limit(&row.ramp_bound_by)]),
        None => cells.extend([say::none(), say::none()]),
    }
    cells.push(match row.saved_min.abs() >= NOUGHT_MIN {
        true => told_by::shorter_saves(row.saved_min),
        false => say::none(),
    });
    cells.into_iter().map(Cell::from).collect()
}
