//! A run that was stopped: when, at which temperature or by which log; where the load is then, and
//! what each way on gives.

use super::{Work, answer, caution_line, is_running, line, weak_line};
use crate::app::columns::{Cell, table};
use crate::app::forecast_table::no_forecast;
use crate::app::profile_board::furnace;
use crate::app::profile_table::{Field, no_question};
use crate::app::state::{Action, App, Ask};
use crate::app::theme::TARGET;
use crate::cli::forecast::whole;
use crate::cli::forecast_margins::densities_asked;
use crate::cli::ways::stopped::{
    MOST_PAUSE_MIN, Question, Told, WAYS, caught_g, now_at, now_said, read_log, surveyed_from_c,
    then_said, times_said,
};
use crate::document::Question as Of;
use crate::forecast::at_temperature::clock_at;
use crate::forecast::chemistry::celsius;
use crate::forecast::constants::ZERO_C;
use crate::forecast::follow_log::NEAR_K;
use crate::forecast::plan::printed::figure_in_brackets;
use crate::forecast::plan::{InCases, NoForecast, Prepared, prepare};
use crate::forecast::stopped::WayOn;
use crate::text::forecast as words;
use crate::text::log_ends;
use crate::text::logs;
use crate::text::stopping;
use crate::text::ways as told_by;
use crate::text::ways_window as say;
use crate::units::Quantity;
use egui::{Button, ComboBox, Context, Role, ScrollArea, Ui, WidgetInfo, vec2};
use std::path::PathBuf;

/// A setpoint that is off the hold's by less is the hold's, K (assumed).
const SAME_K: f64 = 0.5;

/// How the stop is told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum By {
    /// Minutes of the run, waits counted.
    #[default]
    Run,
    /// Minutes of the program's clock.
    Clock,
    /// Setpoint in a segment.
    Temperature,
    /// Log of the chamber.
    Log,
}

const ALL: [By; 4] = [By::Run, By::Clock, By::Temperature, By::Log];

/// What is typed.
#[derive(Default)]
pub(super) struct StoppedForm {
    by: By,
    minutes: Option<f64>,
    /// From 0.
    segment: usize,
    celsius: Option<f64>,
    /// How far into the hold, min.
    into_min: Option<f64>,
    log: Option<PathBuf>,
    /// The log is taken up to here, min from its first row.
    until_min: Option<f64>,
    /// The segment that ran last by it, from 0, where somebody knows better than the plan.
    ran_last: Option<usize>,
    /// For how long the furnace stands off before a way on, min.
    pause_min: Option<f64>,
    work: Option<Work<Answer>>,
}

impl StoppedForm {
    pub fn is_running(&self) -> bool {
        is_running(&self.work)
    }

    /// What is asked, where enough was typed.
    fn asked(&self) -> Option<Asked> {
        Some(match self.by {
            By::Run => Asked::Minutes(self.minutes?, false),
            By::Clock => Asked::Minutes(self.minutes?, true),
            By::Temperature => Asked::Temperature {
                segment: self.segment,
                c: self.celsius?,
                into_min: self.into_min,
            },
            By::Log => Asked::Log {
                path: self.log.clone()?,
                until_min: self.until_min,
                ran_last: self.ran_last,
            },
        })
    }
}

/// A question.
enum Asked {
    /// Minutes, and whether by the clock.
    Minutes(f64, bool),
    /// A setpoint.
    Temperature {
        /// From 0.
        segment: usize,
        /// °C.
        c: f64,
        /// Minutes of the hold at it.
        into_min: Option<f64>,
    },
    /// A log.
    Log {
        path: PathBuf,
        /// The minute of it up to which it is taken.
        until_min: Option<f64>,
        /// The segment that ran last, from 0.
        ran_last: Option<usize>,
    },
}

/// What came of it.
struct Answer {
    prepared: Prepared,
    told: InCases<Told>,
    /// The least density that is asked of each kind.
    least: Vec<Option<f64>>,
    /// What is doubtful of the log.
    doubts: Vec<String>,
    /// What is doubtful of a stop that is told by temperature.
    in_hold: Option<String>,
    /// Last temperature of the log, K.
    ends_k: Option<f64>,
    /// The segment that ran last by it, from 0, where that was said.
    ran_last: Option<usize>,
}

fn find(of: &Of, asked: &Asked, pause_min: f64) -> Result<Answer, String> {
    if !(0.0..=MOST_PAUSE_MIN).contains(&pause_min) {
        return Err(say::pause_cannot_be(MOST_PAUSE_MIN / 60.0));
    }
    let prepared = prepare(&of.asked()).map_err(|m| no_forecast(&NoForecast::Missing(m)))?;
    let (at_s, by_clock, log) = match asked {
        Asked::Minutes(min, by_clock) => (60.0 * min, *by_clock, None),
        Asked::Temperature {
            segment,
            c,
            into_min,
        } => {
            let clock_s = clock_at(&prepared.inputs.program, *segment, c + ZERO_C);
            let outside =
                |(from, to)| say::not_in_segment(segment + 1, *c, celsius(from), celsius(to));
            let clock_s = clock_s.map_err(outside)?;
            let hold_min = held(&prepared, *segment, *c).map_or(0.0, |hold_s| hold_s / 60.0);
            let into_min = into_min.unwrap_or(0.0);
            if !(0.0..=hold_min).contains(&into_min) {
                return Err(say::not_in_hold(segment + 1, *c, hold_min));
            }
            (clock_s + 60.0 * into_min, true, None)
        }
        Asked::Log {
            path, until_min, ..
        } => {
            let until_s = until_min.map(|min| 60.0 * min);
            let log = read_log(path, &of.asked(), &prepared, until_s);
            (0.0, false, Some(log.map_err(|fault| fault.sentence())?))
        }
    };
    let segments = prepared.inputs.program.segments.len();
    let ran_last = match asked {
        Asked::Log { ran_last, .. } => ran_last.filter(|last| *last < segments),
        _ => None,
    };
    let question = Question {
        ran_last,
        prepared: &prepared,
        log: log.as_ref().map(|(points, _)| &points[..]),
        at_s,
        by_clock,
        pause_s: 60.0 * pause_min,
        way: None,
    };
    let told = question.in_cases().map_err(|fault| fault.sentence())?;
    let ends_k = log.as_ref().and_then(|(points, _)| Some(points.last()?.1));
    let in_hold = match asked {
        Asked::Temperature {
            segment,
            c,
            into_min: None,
        } => held(&prepared, *segment, *c).map(|_| stopping::first_minute()),
        _ => None,
    };
    let least = densities_asked(&of.asked(), &prepared);
    Ok(Answer {
        prepared,
        least,
        told,
        doubts: log.map(|(_, doubts)| doubts).unwrap_or_default(),
        in_hold,
        ends_k,
        ran_last,
    })
}

/// How long a setpoint, °C, is held in a segment, s; none where it lies on the ramp.
fn held(prepared: &Prepared, segment: usize, c: f64) -> Option<f64> {
    let segment = prepared.inputs.program.segments.get(segment)?;
    let is_target = (segment.to_k - ZERO_C - c).abs() < SAME_K;
    (is_target && segment.hold_s > 0.0).then_some(segment.hold_s)
}

impl App {
    pub(super) fn take_run_log(&mut self, ctx: &Context, path: PathBuf) {
        self.ways.stopped.by = By::Log;
        self.ways.stopped.log = Some(path);
        self.ask_where_it_is(ctx);
    }

    /// Asks of a stop at half of the program's clock.
    pub(super) fn ask_half_way(&mut self, ctx: &Context) {
        let plan = self.doc.plan();
        let rate = furnace(&self.working.catalogue, plan).map(|f| f.ramp_max_k_min);
        let curve = plan.profile.curve(rate);
        self.ways.stopped.by = By::Clock;
        self.ways.stopped.minutes = curve.ok().map(|c| (0.5 * c.total_time_min()).round());
        self.ask_where_it_is(ctx);
    }

    fn ask_where_it_is(&mut self, ctx: &Context) {
        let Some(asked) = self.ways.stopped.asked() else {
            return;
        };
        let pause_min = self.ways.stopped.pause_min.unwrap_or(0.0);
        let of = self.question();
        let work = Work::start(ctx, "stopped", of, move |of, ticket| {
            ticket.go_on()?;
            Ok(find(of, &asked, pause_min))
        });
        self.ways.stopped.work = Some(work);
    }

    /// The tab.
    pub(in crate::app) fn run_stopped(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let ask = self.stopped_form(ui, actions);
        if ask {
            let ctx = ui.ctx().clone();
            self.ask_where_it_is(&ctx);
        }
        let Some(work) = &self.ways.stopped.work else {
            weak_line(ui, say::stopped_hint());
            return;
        };
        let Some(finished) = work.finished() else {
            line(ui, say::being_answered());
            return;
        };
        ScrollArea::vertical()
            .id_salt("run stopped")
            .auto_shrink(false)
            .show(ui, |ui| {
                self.say_if_stale(ui, work);
                match answer(&finished, say::stopped_job()) {
                    Ok(answer) => show(ui, &work.plan.title, answer),
                    Err(why) => caution_line(ui, why),
                }
            });
    }

    /// Whether it is to be asked now.
    fn stopped_form(&mut self, ui: &mut Ui, actions: &mut Vec<Action>) -> bool {
        let segments = self.doc.plan().profile.segments.len();
        let form = &mut self.ways.stopped;
        let typing = &mut self.view.typing;
        let mut ask = false;
        let mut field = |ui: &mut Ui, name: String, quantity, value: &mut Option<f64>| {
            ui.label(&name);
            let key = format!("stopped {name}");
            let field = Field {
                key: &key,
                name: &name,
                quantity,
                optional: true,
            };
            ui.allocate_ui(vec2(TARGET * 4.5, TARGET), |ui| {
                let typed = field.show(ui, typing, *value, &no_question, actions, &mut false);
                if let Some(typed) = typed {
                    *value = typed;
                    ask = true;
                }
            });
        };
        ui.horizontal_wrapped(|ui| {
            for (by, name) in ALL.into_iter().zip(say::stopped_by()) {
                ui.radio_value(&mut form.by, by, name);
            }
        });
        let mut open = false;
        let running = form.is_running();
        let (mut stop, mut pressed) = (false, false);
        ui.horizontal_wrapped(|ui| {
            match form.by {
                By::Run | By::Clock => {
                    field(ui, say::stopped_after(), Quantity::Time, &mut form.minutes)
                }
                By::Temperature => {
                    form.segment = form.segment.min(segments.saturating_sub(1));
                    let name = say::segment_stopped_in();
                    let combo = ComboBox::from_id_salt("stopped segment")
                        .selected_text(say::segment(form.segment + 1))
                        .show_ui(ui, |ui| {
                            for i in 0..segments {
                                ui.selectable_value(&mut form.segment, i, say::segment(i + 1));
                            }
                        });
                    combo
                        .response
                        .widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &name));
                    field(
                        ui,
                        say::setpoint_then(),
                        Quantity::Temperature,
                        &mut form.celsius,
                    );
                    field(ui, say::into_hold(), Quantity::Time, &mut form.into_min);
                }
                By::Log => {
                    open = ui.button(say::open_run_log()).clicked();
                    let file = form.log.as_ref().map(|path| path.display().to_string());
                    ui.label(file.unwrap_or_else(say::log_columns));
                    field(ui, say::log_until(), Quantity::Time, &mut form.until_min);
                    form.ran_last = form.ran_last.filter(|last| *last < segments);
                    let shown = |last: Option<usize>| {
                        last.map_or_else(say::as_log_tells, |i| say::segment(i + 1))
                    };
                    let name = say::segment_ran_last();
                    ui.label(say::ran_last());
                    let combo = ComboBox::from_id_salt("ran last")
                        .selected_text(shown(form.ran_last))
                        .show_ui(ui, |ui| {
                            for last in std::iter::once(None).chain((0..segments).map(Some)) {
                                ui.selectable_value(&mut form.ran_last, last, shown(last));
                            }
                        });
                    combo
                        .response
                        .widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &name));
                }
            }
            field(ui, say::stands_off(), Quantity::Time, &mut form.pause_min);
            let ready = form.asked().is_some() && !running;
            let button = ui.add_enabled(ready, Button::new(say::where_is_it()));
            pressed = button.on_disabled_hover_text(say::stopped_hint()).clicked();
            stop = running && ui.button(say::stop()).clicked();
        });
        if open {
            actions.push(Action::AskPath(Ask::RunLog));
        }
        if stop {
            form.work = None;
        }
        (ask || pressed) && form.asked().is_some()
    }
}

fn show(ui: &mut Ui, title: &str, answer: &Answer) {
    let (prepared, told) = (&answer.prepared, &answer.told);
    let first = &told.nominal.now;
    let (minutes, clock) = (first.time_s / 60.0, first.clock_s / 60.0);
    let head = told_by::stopped_head(title, minutes, clock, first.segment + 1);
    ui.strong(head);
    if let Some(why) = &prepared.no_cases {
        caution_line(ui, why.to_string());
    }
    for what in &prepared.lacking {
        caution_line(ui, what.said());
    }
    if !answer.doubts.is_empty() {
        caution_line(ui, logs::doubts());
    }
    for doubt in answer.doubts.iter().chain(&answer.in_hold) {
        caution_line(ui, doubt.clone());
    }
    match (answer.ends_k, answer.ran_last) {
        (Some(k), None) => line(ui, logs::ends_at(celsius(k), first.segment + 1)),
        (Some(_), Some(last)) => line(ui, log_ends::holds_from(last + 1, NEAR_K)),
        (None, _) => {}
    }
    let degrees = |of: fn(&Told) -> f64| figure_in_brackets(&told.map(of), whole("°C"));
    let coldest = degrees(|t| celsius(t.now.extremes_k.0));
    let hottest = degrees(|t| celsius(t.now.extremes_k.1));
    let by_log = answer.ends_k.is_some();
    line(ui, now_at(by_log, first, &coldest, &hottest));
    if let Some(from_c) = surveyed_from_c(prepared, first) {
        caution_line(ui, stopping::not_surveyed(from_c));
    }
    line(ui, told_by::now_trap(&caught_g(told)));
    let from = &told.nominal.from;
    let said = if first.paused_s == from.paused_s {
        say::at_once()
    } else {
        let coldest = degrees(|t| celsius(t.from.extremes_k.0));
        let hottest = degrees(|t| celsius(t.from.extremes_k.1));
        stopping::after_pause(from.paused_s / 60.0, &coldest, &hottest)
    };
    line(ui, said);
    let [part, now] = say::stopped_heads();
    let ways = told.nominal.ways.iter();
    let named = ways.map(|(which, _)| (say::way_short(*which), 1.0));
    let columns: Vec<(String, f32)> = [(part, 0.8), (now, 1.2)].into_iter().chain(named).collect();
    let mut rows = vec![times(told)];
    let kinds = prepared.keys.kinds.iter().enumerate();
    rows.extend(kinds.map(|(k, key)| {
        let mut row = vec![
            Cell::from(words::kind_head(&key.name, key.pieces)),
            Cell::from(say::lines(&now_said(prepared, told, k))),
        ];
        row.extend((0..told.nominal.ways.len()).map(|n| Cell::from(then_of(answer, n, k))));
        row
    }));
    table(ui, &columns, rows);
    weak_line(ui, say::ways_hint());
    line(ui, words::not_permission());
}

/// How long each way takes.
fn times(told: &InCases<Told>) -> Vec<Cell> {
    let mut row = vec![Cell::from(say::times()), Cell::from(say::nothing_yet())];
    row.extend((0..told.nominal.ways.len()).map(|n| {
        let [ends, unload] = times_said(told, n);
        let which = told.nominal.ways.get(n).map(|w| w.0);
        // Cooling and loading again take their own time.
        let again = which
            .and_then(|i| WAYS.get(i))
            .is_some_and(|w| w.1 == WayOn::Again);
        Cell::from(say::way_times(&ends, &unload, again))
    }));
    row
}

/// What a kind has at the end of a way.
fn then_of(answer: &Answer, way: usize, kind: usize) -> String {
    let least = answer.least.get(kind).copied().flatten();
    let (lines, beside) = then_said(&answer.prepared, &answer.told, (way, kind), least);
    let lines: Vec<String> = lines.into_iter().chain(beside).collect();
    say::lines(&lines)
}
