//! The forecast in figures: hold by hold, kind by kind, the run, and every figure it rests on.

use super::columns::{Cell, table};
use super::state::App;
use super::theme::{SPACE, Tokens};
use crate::catalogue::{Catalogue, Limit, Record};
use crate::document::{Finished, JobFault, MadeFor, MadeForecast};
use crate::forecast::constants::Constant;
use crate::forecast::heat::{NodeAt, Place};
use crate::forecast::plan::printed::{hours, minutes};
use crate::forecast::plan::{
    BACKBONE_LEFT_WANTED, HoldNeed, HoldRow, InCases, KindKey, KindRow, Missing, Need, NoForecast,
    PlanForecast, Report, Which,
};
use crate::load::PartRecords;
use crate::part::Drawn;
use crate::review::{Contexts, Sense, limit_of_part};
use crate::text::forecast as words;
use crate::text::forecast_parts;
use crate::text::forecast_window as say;
use crate::units::{self, Quantity, tidy};
use egui::{
    Align, CollapsingHeader, Color32, Grid, Label, Layout, RichText, Role, ScrollArea, TextStyle,
    Ui, WidgetInfo, vec2,
};

/// How a forecast stands, in words.
pub(super) struct Stands {
    sentence: String,
    /// The same in a few words, where it can be said in few.
    short: Option<String>,
    /// Whether what is shown is of the plan as it is.
    pub made_for: Option<MadeFor>,
}

impl Stands {
    /// As the last words of a line, in few where that is possible, and in as much room however the
    /// forecast stands: nothing moves when that changes.
    pub fn show(&self, ui: &mut Ui) {
        let Some(short) = &self.short else {
            ui.label(self.text(ui, &self.sentence));
            return;
        };
        let font = TextStyle::Body.resolve(ui.style());
        let width = |text: String| {
            let galley = ui
                .painter()
                .layout_no_wrap(text, font.clone(), Color32::PLACEHOLDER);
            galley.size().x
        };
        let widest = say::short().map(width).into_iter().fold(0.0, f32::max);
        let size = vec2(widest, ui.spacing().interact_size.y);
        let layout = Layout::left_to_right(Align::Center);
        ui.allocate_ui_with_layout(size, layout, |ui| {
            ui.set_min_width(widest);
            let label = ui.label(self.text(ui, short));
            label.on_hover_text(&self.sentence);
        });
    }

    /// As a line of its own, over as many lines as it takes.
    pub fn show_whole(&self, ui: &mut Ui) {
        let text = self.text(ui, &self.sentence);
        ui.add(Label::new(text).wrap());
    }

    /// What is of the plan as it is needs no attention.
    fn text(&self, ui: &Ui, words: &str) -> RichText {
        let tokens = Tokens::of(ui.ctx());
        let color = match self.made_for {
            Some(MadeFor::Now) => tokens.weak,
            _ => tokens.caution,
        };
        RichText::new(words).color(color)
    }
}

/// How the forecast of the window stands; none where none is made.
pub(super) fn standing(app: &mut App) -> Option<Stands> {
    if !app.is_followed() {
        return None;
    }
    let [now, trial, earlier, being_made] = say::short();
    let Some((made, made_for)) = app.shown_forecast() else {
        return Some(Stands {
            sentence: say::being_made(),
            short: Some(being_made),
            made_for: None,
        });
    };
    let trouble = trouble(&made);
    let (sentence, short) = match (made_for, trouble) {
        (MadeFor::Earlier, _) => (say::earlier(), Some(earlier)),
        (_, Some(trouble)) => (trouble, None),
        (MadeFor::Trial, None) => (say::trial(), Some(trial)),
        (MadeFor::Now, None) => (say::current(), Some(now)),
    };
    Some(Stands {
        sentence,
        short,
        made_for: Some(made_for),
    })
}

/// Why there is no forecast and what to do, where there is none.
fn trouble(made: &Finished<MadeForecast>) -> Option<String> {
    match &made.result {
        Err(fault) => Some(failed(fault)),
        Ok(made) => match &made.result {
            Ok(_) => None,
            Err(why) => Some(no_forecast(why)),
        },
    }
}

fn failed(fault: &JobFault) -> String {
    say::failed(&fault.sentence(say::job()))
}

/// Why there is no forecast, and what to do about it.
pub(super) fn no_forecast(why: &NoForecast) -> String {
    say::none(&why.to_string(), &what_to_do(why))
}

fn what_to_do(why: &NoForecast) -> String {
    let NoForecast::Missing(all) = why else {
        return say::to_do(&[]);
    };
    let mut orders: Vec<&str> = Vec::new();
    for missing in all {
        let order = match missing {
            Missing::Load => say::set_parts_out(),
            Missing::Furnace(_)
            | Missing::Setter(_)
            | Missing::Post(_)
            | Missing::Support(_)
            | Missing::Material(_)
            | Missing::Gas(_)
            | Missing::GasProperties(_)
            | Missing::Burning(_)
            | Missing::Burnout(..)
            | Missing::PartRecords(..) => say::add_record(),
            Missing::Profile(_) => say::mend_profile(),
            Missing::Height(..) => say::mend_stack(),
            Missing::Vacuum(_) => say::fill_in_segment(),
            Missing::Body(..) | Missing::Mass(..) | Missing::Section(..) | Missing::Refired(..) => {
                say::fill_in_part()
            }
            Missing::Dummy(_) => say::mend_dummy(),
            Missing::Densifying(_) => say::calibrate(),
        };
        if !orders.contains(&order) {
            orders.push(order);
        }
    }
    say::to_do(&orders)
}

fn cased<T>(value: &InCases<T>, show: impl Fn(&T) -> String) -> String {
    let (cold, hot) = (
        value.cold.as_ref().map(&show),
        value.hot.as_ref().map(&show),
    );
    say::by_case(&show(&value.nominal), cold.as_deref(), hot.as_deref())
}

impl App {
    /// The tables under the curve.
    pub(super) fn forecast_figures(&mut self, ui: &mut Ui) {
        if let Some(stands) = standing(self) {
            stands.show_whole(ui);
        }
        let Some((finished, made_for)) = self.shown_forecast() else {
            return;
        };
        let Ok(made) = finished.result.as_ref() else {
            return;
        };
        let Ok(forecast) = &made.result else {
            return;
        };
        // Limits of today: a forecast does not read them.
        let contexts = Contexts::new(&made.plan, &self.working.catalogue);
        let table = Table {
            made,
            forecast,
            report: &forecast.report,
            limits: (&contexts, &self.working.catalogue),
        };
        let view = &mut self.view.profile.forecast;
        ScrollArea::vertical()
            .id_salt("forecast figures")
            .auto_shrink(false)
            .show(ui, |ui| {
                ui.add(Label::new(RichText::new(say::a_model()).strong()).wrap());
                if made_for != MadeFor::Now {
                    let weak = Tokens::of(ui.ctx()).weak;
                    ui.visuals_mut().override_text_color = Some(weak.gamma_multiply(0.8));
                }
                for line in table.limits_of_it() {
                    ui.label(line);
                }
                let mut show = table.kinds(ui);
                show |= table.holds(ui);
                show |= table.run(ui);
                if show {
                    view.only_assumed = true;
                    view.figures_open = true;
                }
                table.figures(ui, &mut view.only_assumed, &mut view.figures_open);
            });
    }
}

/// What is written.
struct Table<'a> {
    made: &'a MadeForecast,
    forecast: &'a PlanForecast,
    report: &'a Report,
    /// What limits are asked for, and where.
    limits: (&'a Contexts, &'a Catalogue),
}

impl Table<'_> {
    fn limit(&self, id: &str, kind: usize, sense: Sense) -> Option<&Limit> {
        let (contexts, catalogue) = self.limits;
        let part = self.records(kind)?.part.id;
        limit_of_part(contexts, catalogue, id, part, sense)
    }

    /// What could not be told, and why.
    fn limits_of_it(&self) -> Vec<String> {
        let prepared = &self.forecast.prepared;
        let cases = prepared.no_cases.as_ref().map(ToString::to_string);
        let lacking = prepared.lacking.iter();
        let lacking = lacking.map(Missing::said);
        cases.into_iter().chain(lacking).collect()
    }

    fn holds(&self, ui: &mut Ui) -> bool {
        let heat = [
            "furnace", "setter", "post", "support", "material", "gas", "alloy", "",
        ];
        let on = |f: &Constant| heat.contains(&f.record.split(' ').next().unwrap_or_default());
        let show = self.heading(ui, &say::holds(), Some(say::heat_alone()), on);
        if self.report.holds.is_empty() {
            ui.label(say::no_holds());
            return show;
        }
        let columns = [
            ("Segment", 0.6),
            ("Hold", 2.2),
            ("What for, and margin", 1.7),
            ("Coldest place", 1.3),
            ("Arrives", 1.1),
        ];
        let rows = self.report.holds.iter().map(|hold| {
            let case = |at: &Option<f64>| at.map_or_else(say::never, minutes);
            vec![
                Cell::from(say::data(&format!("{}", hold.segment + 1))),
                Cell::from(self.hold(hold)),
                Cell::from(self.needs(hold)),
                Cell::from(self.place(&hold.coldest)),
                Cell::hinted(arrives(hold), cased(&hold.arrival_min, case)),
            ]
        });
        table(ui, &headed(&columns), rows.collect());
        show
    }

    fn hold(&self, hold: &HoldRow) -> String {
        let target = units::show(Quantity::Temperature, hold.target_c, 0);
        let clock = format!("{:.0}", hold.clock_min);
        let gets = cased(&hold.gets_min, |min| minutes(*min));
        let needs = hold.need.as_ref();
        let needs = needs.map(|of| format!("{:.0}", of.need.minutes()));
        let lasts = hold.waited().then(|| minutes(hold.lasts_min));
        let said = say::hold(&target, &clock, lasts.as_deref(), &gets, needs.as_deref());
        match hold.surveyed_from_c {
            Some(from_c) => say::not_surveyed(&said, from_c),
            None => said,
        }
    }

    /// In the case that has least to spare.
    fn hold_margin(&self, hold: &HoldRow, need: &HoldNeed) -> String {
        let margin = need.margin_min();
        let said = match need.is_out_before_it_gets_that() {
            true => forecast_parts::out_at_end(),
            false => say::margin_min(&format!("{:.0}", margin.abs()), margin < 0.0),
        };
        let said = match need.rest_leaves_by {
            Some(segment) => words::rest_leaves_by(&said, segment),
            None => said,
        };
        let surveyed = hold.gets_min.has_all() && hold.surveyed_from_c.is_none();
        in_case(said, surveyed.then_some(need.case))
    }

    /// What a hold is for, and what is to spare of it.
    fn needs(&self, hold: &HoldRow) -> String {
        let Some(of) = hold.need.as_ref() else {
            let unknown = hold.unknown_need.as_deref();
            return unknown.map_or_else(|| say::data("–"), forecast_parts::need_unknown);
        };
        let (why, record) = match &of.need {
            Need::Burnout {
                kind, component, ..
            } => {
                let left_pct = tidy(100.0 * BACKBONE_LEFT_WANTED);
                let why = say::for_component(component, left_pct);
                (why, self.records(*kind).map(|r| named(r.binder)))
            }
            Need::Sinter { kind, .. } => {
                let keys = &self.forecast.prepared.keys;
                let name = keys.kinds.get(*kind).map_or("", |k| k.name.as_str());
                let feedstock = self.records(*kind).map(|r| named(r.feedstock));
                (say::for_sintering(name), feedstock)
            }
        };
        let why = self.marked(say::data(&why), record);
        say::two_lines(&why, Some(&self.hold_margin(hold, of)))
    }

    /// A value, and whether it rests on an assumed figure of a record.
    fn marked(&self, value: String, record: Option<String>) -> String {
        let figures = &self.forecast.forecast.figures;
        let assumed = record
            .is_some_and(|record| figures.iter().any(|f| f.is_assumed() && f.record == record));
        if assumed {
            say::rests_on_assumed(&value)
        } else {
            value
        }
    }

    fn records(&self, kind: usize) -> Option<PartRecords<'_>> {
        let prepared = &self.forecast.prepared;
        prepared.records(&self.made.plan, &self.made.catalogue, kind)
    }

    fn place(&self, at: &NodeAt) -> String {
        let prepared = &self.forecast.prepared;
        let level = prepared.keys.level(at.stack, at.level);
        let level = level.map_or_else(String::new, |id| self.made.plan.level_label(id));
        let kind = |k: usize| {
            let key = prepared.keys.kinds.get(k);
            key.map_or_else(String::new, |k| k.name.clone())
        };
        let what = match at.place {
            Place::Setter => words::setter_place().to_owned(),
            Place::Part(k) => kind(k),
            Place::Core(k) => say::inside(&kind(k)),
        };
        let rings = prepared.inputs.settings.zones;
        let ring = match at.zone {
            0 => say::centre().to_owned(),
            zone if zone + 1 == rings => say::edge().to_owned(),
            zone => say::ring(zone + 1, rings),
        };
        say::place(&level, &ring, &what)
    }

    fn kinds(&self, ui: &mut Ui) -> bool {
        let show = self.heading(ui, &say::parts(), None, |_| true);
        let columns = [
            ("Part", 1.0),
            ("Density", 1.2),
            ("Size, cooled down", 1.6),
            ("Against the drawing", 1.5),
            ("Binder left at the worst place", 1.4),
        ];
        let rows = self.report.kinds.iter().map(|kind| self.kind(kind));
        table(ui, &headed(&columns), rows.collect());
        show
    }

    /// What comes out of a kind of part, with the limit beside it.
    fn kind(&self, kind: &KindRow) -> Vec<Cell> {
        let feedstock = || self.records(kind.kind).map(|r| named(r.feedstock));
        let density = by_lines(&kind.density, |both| {
            both.map_or_else(
                || kind.why_no_density(),
                |(low, high)| say::from_to(&pct(low, 1), &pct(high, 1)),
            )
        });
        let told = feedstock().filter(|_| kind.density.nominal.is_some());
        let density = self.marked(density, told.clone());
        let size = by_lines(&kind.size_mm, |both| {
            both.map_or_else(words::not_evaluated, sides)
        });
        let key = self.forecast.prepared.keys.kinds.get(kind.kind);
        let key = key.filter(|key| key.rests_on_no_weighing());
        let entered = key.and_then(KindKey::extraction_said);
        let binder = self.records(kind.kind).map(|r| named(r.binder));
        let share = |left: &Option<f64>| left.map_or_else(words::not_evaluated, |l| pct(l, 1));
        let left = self.marked(cased(&kind.left, share), binder);
        let left = say::two_lines(&left, binder_margin(kind).as_deref());
        let against = self.against_drawing(kind);
        [
            say::kind_head(&kind.name, kind.pieces),
            say::two_lines(&density, self.density_margin(kind).as_deref()),
            self.marked(size, told),
            say::two_lines(&against, self.size_margin(kind).as_deref()),
            say::two_lines(&left, entered.as_deref()),
        ]
        .into_iter()
        .map(Cell::from)
        .collect()
    }

    /// The side that is farthest from the drawing's in any case, as a share of it.
    fn against_drawing(&self, kind: &KindRow) -> String {
        let Some(records) = self.records(kind.kind) else {
            return say::data("–");
        };
        if records.part.drawn == Drawn::Green {
            return say::no_drawing();
        }
        let drawn = records.part.geometry.size_mm;
        let sizes = [
            kind.size_mm.nominal,
            kind.size_mm.cold.flatten(),
            kind.size_mm.hot.flatten(),
        ];
        let all = sizes.into_iter().flatten().flatten();
        let off = all.flat_map(|size| {
            let sides = size.into_iter().zip(drawn);
            sides.map(|(side, drawn)| (side - drawn, (side - drawn) / drawn))
        });
        let most = off.max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
        let Some((mm, share)) = most else {
            return words::not_evaluated();
        };
        let drawn = drawn.map(|side| format!("{side:.2}")).join(" × ");
        let pct = format!("{:+.1}", 100.0 * share);
        say::off_drawing(&drawn, &format!("{mm:+.2}"), &pct)
    }

    /// How far the least dense place is over what is asked for, in the case in which it is least.
    fn density_margin(&self, kind: &KindRow) -> Option<String> {
        let limit = self.limit("density-min", kind.kind, Sense::AtLeast)?;
        let (case, least) = kind.density.worst(|d| Some(-(*d)?.0))?;
        let margin = -least - limit.value;
        let asked = pct(limit.value, 1);
        let by = match margin.abs() < 0.0005 {
            true => say::less_than(&pct(0.001, 1)),
            false => pct(margin.abs(), 1),
        };
        let said = say::density_margin(&by, &asked, margin < 0.0);
        Some(in_case(said, kind.density.has_all().then_some(case)))
    }

    /// How far the side that is nearest to its tolerance, or farthest outside, is from it.
    fn size_margin(&self, kind: &KindRow) -> Option<String> {
        let records = self.records(kind.kind)?;
        if records.part.drawn == Drawn::Green {
            return None;
        }
        let limit = self.limit("size-tolerance", kind.kind, Sense::AtMost)?;
        let drawn = records.part.geometry.size_mm;
        let out_mm = |both: &Option<[[f64; 3]; 2]>| {
            let sides = (*both)?
                .into_iter()
                .flat_map(|size| size.into_iter().zip(drawn));
            let out = sides.map(|(is, drawn)| (is - drawn).abs() - limit.value * drawn);
            out.reduce(f64::max)
        };
        let (case, out_mm) = kind.size_mm.worst(out_mm)?;
        let tolerance = pct(limit.value, 2);
        let mm = format!("{:.2}", out_mm.abs());
        let said = say::size_margin(&mm, &tolerance, out_mm > 0.0);
        Some(in_case(said, kind.size_mm.has_all().then_some(case)))
    }

    fn run(&self, ui: &mut Ui) -> bool {
        let show = self.heading(ui, &say::run(), None, |_| true);
        let report = self.report;
        let ends = cased(&report.unload.program_min, |min| hours(Some(*min)));
        ui.label(say::program_end(&ends));
        let chamber = cased(&report.unload.chamber_min, |min| hours(*min));
        let whole = cased(&report.unload.load_min, |min| hours(*min));
        ui.label(say::unload(report.unload.at_c, &chamber, &whole));
        let grams = |g: f64| units::show(Quantity::Mass, g, 0);
        let trap = &report.trap;
        let after = trap.before_g.zip(trap.caught_g.nominal);
        let after = after.map(|(before, caught)| grams(before + caught));
        let capacity = trap.capacity_g.map(grams);
        let caught = cased(&trap.caught_g, |g| {
            g.map_or_else(words::not_evaluated, grams)
        });
        ui.label(say::trap(&caught, after.as_deref(), capacity.as_deref()));
        let flow = |l_min: &Option<f64>| {
            let told = l_min.map(|l_min| units::show(Quantity::Flow, l_min, 1));
            told.unwrap_or_else(words::not_evaluated)
        };
        ui.label(match report.offgas_l_min.nominal {
            Some(_) => say::offgas(&cased(&report.offgas_l_min, flow)),
            None => say::no_offgas(),
        });
        let energy = cased(&report.energy_kwh, |kwh| format!("{kwh:.0} kWh"));
        ui.label(say::energy(&energy));
        show
    }

    /// A heading with how many assumed figures what follows rests on, and why not on all where it
    /// does not; whether they are asked for.
    fn heading(
        &self,
        ui: &mut Ui,
        text: &str,
        why_fewer: Option<String>,
        on: impl Fn(&Constant) -> bool,
    ) -> bool {
        let figures = self.forecast.forecast.figures.iter();
        let n = figures.filter(|f| f.is_assumed() && on(f)).count();
        ui.add_space(SPACE);
        let row = ui.horizontal_wrapped(|ui| {
            ui.strong(text);
            if n == 0 {
                return false;
            }
            let all = self.report.assumed;
            let button = ui.small_button(say::assumed(n, all));
            let name = say::show_assumed(text, n);
            button.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
            if let Some(why) = why_fewer.filter(|_| n < all) {
                ui.label(RichText::new(why).color(Tokens::of(ui.ctx()).weak));
            }
            button.clicked()
        });
        row.inner
    }

    fn figures(&self, ui: &mut Ui, only_assumed: &mut bool, open: &mut bool) {
        let figures = &self.forecast.forecast.figures;
        let (all, assumed) = (self.report.figures, self.report.assumed);
        ui.add_space(SPACE);
        let header = CollapsingHeader::new(RichText::new(say::figures(all, assumed)).strong())
            .id_salt("forecast all figures");
        let asked = std::mem::take(open);
        let shown = header.open(asked.then_some(true)).show(ui, |ui| {
            ui.checkbox(only_assumed, say::only_assumed());
            let columns = ["Figure", "Value", "Unit", "Standing", "Record", "Source"];
            let list = |ui: &mut Ui| {
                let chosen = figures.iter().filter(|f| !*only_assumed || f.is_assumed());
                for figure in chosen {
                    let record = if figure.record.is_empty() {
                        say::of_the_model()
                    } else {
                        say::data(&figure.record)
                    };
                    let value = crate::text::figure(rounded_to_6(figure.value));
                    for cell in [&figure.name, &value, &figure.unit] {
                        ui.label(say::data(cell));
                    }
                    ui.label(say::data(figure.standing.word()));
                    ui.label(record);
                    ui.label(say::data(&figure.source));
                    ui.end_row();
                }
            };
            // Sources are long: the list alone goes out of sight to the right.
            ScrollArea::horizontal()
                .id_salt("forecast list of figures")
                .show(ui, |ui| {
                    grid(ui, "forecast list of figures", &columns, list)
                });
        });
        if asked {
            shown.header_response.scroll_to_me(Some(Align::TOP));
        }
    }
}

/// To six significant digits.
fn rounded_to_6(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let digits = 5 - libm::floor(libm::log10(value.abs())) as i32;
    let text = format!("{:.1$}", value, digits.max(0) as usize);
    text.parse().unwrap_or(value)
}

fn named<R: Record>(record: &R) -> String {
    format!("{} {}", R::KIND.word(), record.id())
}

fn pct(share: f64, digits: usize) -> String {
    units::show(Quantity::Fraction, share, digits)
}

/// Sides of the densest and the least dense place, mm.
fn sides([small, large]: [[f64; 3]; 2]) -> String {
    let sides = small.iter().zip(large);
    let sides = sides.map(|(a, b)| say::from_to(&format!("{a:.2}"), &format!("{b:.2}")));
    say::size(&sides.collect::<Vec<String>>().join(" × "))
}

/// In the case in which most is left.
fn binder_margin(kind: &KindRow) -> Option<String> {
    let (case, most) = kind.left.worst(|left| *left)?;
    let margin = BACKBONE_LEFT_WANTED - most;
    let wanted = tidy(100.0 * BACKBONE_LEFT_WANTED);
    let said = say::binder_margin(wanted, &pct(margin.abs(), 1), margin < 0.0);
    Some(in_case(said, kind.left.has_all().then_some(case)))
}

/// With the case that it is told of, where there are several.
fn in_case(said: String, case: Option<Which>) -> String {
    match case {
        Some(case) => say::in_case(&said, case.words()),
        None => said,
    }
}

/// Arrival of the coldest place with what the cases make of it.
fn arrives(hold: &HoldRow) -> String {
    let short = || say::short_k(&format!("{:.0}", hold.short_k));
    let Some(nominal) = hold.arrival_min.nominal else {
        return crate::text::app::two_values(&say::never(), &short());
    };
    let min = minutes(nominal);
    let at = match (hold.arrival_min.cold, hold.arrival_min.hot) {
        (Some(None), _) => say::not_when_cold(&min),
        (Some(Some(cold)), Some(Some(hot))) => {
            let off = (cold - nominal).abs().max((hot - nominal).abs());
            say::minutes_off(&min, &minutes(off.max(2.5)))
        }
        _ => say::minutes(&min),
    };
    if hold.gets_min.nominal > 0.0 {
        at
    } else {
        crate::text::app::two_values(&at, &short())
    }
}

/// Headings in words.
fn headed(columns: &[(&str, f32)]) -> Vec<(String, f32)> {
    let columns = columns.iter();
    columns.map(|(name, w)| (say::column(name), *w)).collect()
}

/// A value, and under it what it is in the cold and in the hot case where it is not the same.
fn by_lines<T>(value: &InCases<T>, show: impl Fn(&T) -> String) -> String {
    let nominal = show(&value.nominal);
    let others = value.each().skip(1);
    let others = others.map(|(case, value)| (case, show(value)));
    let others: Vec<(Which, String)> = others.collect();
    if others.iter().all(|(_, other)| *other == nominal) {
        return nominal;
    }
    let lines = others
        .iter()
        .map(|(case, other)| say::of_case(case.words(), other));
    let lines: Vec<String> = [nominal.clone()].into_iter().chain(lines).collect();
    lines.join("\n")
}

/// A table with headings.
fn grid(ui: &mut Ui, id: &str, columns: &[&str], rows: impl FnOnce(&mut Ui)) {
    Grid::new(id)
        .striped(true)
        .spacing([2.0 * SPACE, SPACE / 2.0])
        .show(ui, |ui| {
            for name in columns {
                ui.label(RichText::new(say::column(name)).strong());
            }
            ui.end_row();
            rows(ui);
        });
}
