//! The forecast over time: the band of the load behind the setpoint curve, and panes below with
//! the same time axis. Lines come thinned with the result; a pass only carries them to the screen.

use super::state::App;
use super::theme::{BOLD_EDGE, EDGE, SMALL, SPACE, Tokens};
use crate::document::{Curves, Forecasted, KindLines, Lines, MadeFor};
use crate::forecast::plan::{KindRow, Missing};
use crate::text::app as app_say;
use crate::text::forecast as words;
use crate::text::forecast_window as say;
use crate::text::ways_window;
use crate::units::{self, Quantity};
use egui::{
    Align2, Checkbox, Color32, ComboBox, FontId, Mesh, Painter, Pos2, Rect, Role, ScrollArea,
    Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2,
};
use egui_plot::{PlotPoint, PlotTransform};

/// How much of its colour is left of what is not of the plan as it is.
const NOT_NOW: f32 = 0.45;
/// Least height of a pane, points.
const PANE: f32 = 44.0;
/// Pieces in which a line is looked at where names are to keep off it.
const PIECES: usize = 40;

/// What of a forecast is drawn, and where its time axis lies.
#[derive(Clone, Debug)]
pub(super) struct ForecastView {
    /// What fills the board under the curve.
    pub below: Below,
    cold: bool,
    hot: bool,
    chamber: bool,
    panes: [bool; 3],
    /// Kind whose lines the panes show; all where it is none.
    kind: Option<String>,
    /// Time axis of the curve in the last pass.
    axis: Option<TimeAxis>,
    /// Time under the pointer, h.
    pub pointer_h: Option<f64>,
    /// Only assumed figures in the list, and whether it is open.
    pub only_assumed: bool,
    pub figures_open: bool,
}

impl Default for ForecastView {
    fn default() -> ForecastView {
        ForecastView {
            below: Below::Segments,
            cold: true,
            hot: true,
            chamber: true,
            panes: [true; 3],
            kind: None,
            axis: None,
            pointer_h: None,
            only_assumed: false,
            figures_open: false,
        }
    }
}

/// What fills the board under the curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Below {
    /// Segments.
    Segments,
    /// Panes.
    OverTime,
    /// Tables.
    Figures,
    /// A run that was stopped.
    Stopped,
    /// A shorter program.
    Shorten,
    /// Cost.
    Cost,
    /// Figures from measurements.
    Measured,
}

impl Below {
    /// All, each with what stands on its tab and its whole name.
    pub fn all() -> [(Below, String, String); 7] {
        let [segments, over_time, figures] = say::tabs();
        let [stopped, shorten, cost, measured] = ways_window::tabs();
        [
            (Below::Segments, segments.clone(), segments),
            (Below::OverTime, over_time, say::tab_over_time()),
            (Below::Figures, figures, say::tab_figures()),
            (Below::Stopped, stopped.0, stopped.1),
            (Below::Shorten, shorten.0, shorten.1),
            (Below::Cost, cost.0, cost.1),
            (Below::Measured, measured.0, measured.1),
        ]
    }
}

/// Where times lie on the screen.
#[derive(Clone, Copy, Debug, PartialEq)]
struct TimeAxis {
    left: f32,
    right: f32,
    from_h: f64,
    to_h: f64,
}

impl TimeAxis {
    fn of(transform: &PlotTransform) -> TimeAxis {
        let (frame, bounds) = (transform.frame(), transform.bounds());
        TimeAxis {
            left: frame.left(),
            right: frame.right(),
            from_h: bounds.min()[0],
            to_h: bounds.max()[0],
        }
    }

    fn x(&self, h: f64) -> f32 {
        let share = (h - self.from_h) / (self.to_h - self.from_h).max(1e-9);
        self.left + share.clamp(-10.0, 10.0) as f32 * (self.right - self.left)
    }

    fn h(&self, x: f32) -> f64 {
        let share = f64::from((x - self.left) / (self.right - self.left).max(1.0));
        self.from_h + share * (self.to_h - self.from_h)
    }
}

/// How a line is drawn, so that it is known without its colour.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Style {
    Thick,
    Thin,
    Dashed,
    Dotted,
    DashDot,
    DashDotDot,
}

/// A line through points; not through gaps.
fn line(points: &[Pos2], style: Style, color: Color32) -> Vec<Shape> {
    let stroke = |width| Stroke::new(width, color);
    match style {
        Style::Thick => vec![Shape::line(points.to_vec(), stroke(BOLD_EDGE * 0.8))],
        Style::Thin => vec![Shape::line(points.to_vec(), stroke(EDGE))],
        Style::Dashed => Shape::dashed_line(points, stroke(EDGE * 1.3), SPACE, SPACE / 2.0),
        Style::Dotted => Shape::dotted_line(points, color, SPACE / 2.0, EDGE),
        Style::DashDot | Style::DashDotDot => {
            let dots = if style == Style::DashDot { 1 } else { 2 };
            let dashes = [SPACE * 1.2, EDGE * 2.0, EDGE * 2.0];
            let gaps = [SPACE / 2.0; 3];
            let (dashes, gaps) = (&dashes[..=dots], &gaps[..=dots]);
            Shape::dashed_line_with_offset(points, stroke(EDGE * 1.3), dashes, gaps, 0.0)
        }
    }
}

/// A line of a result on the screen, in stretches without gaps.
fn stretches(lines: &Lines, which: usize, at: impl Fn(f64, f64) -> Pos2) -> Vec<Vec<Pos2>> {
    let Some(values) = lines.values.get(which) else {
        return Vec::new();
    };
    let mut out = vec![Vec::new()];
    for (h, value) in lines.times_h.iter().zip(values) {
        if value.is_finite() {
            if let Some(last) = out.last_mut() {
                last.push(at(*h, *value));
            }
        } else if out.last().is_some_and(|last| !last.is_empty()) {
            out.push(Vec::new());
        }
    }
    out.retain(|stretch| stretch.len() > 1);
    out
}

/// What the curve shows of a forecast.
pub(super) struct Overlay {
    made: Forecasted,
    made_for: MadeFor,
    cold: bool,
    hot: bool,
    chamber: bool,
}

impl Overlay {
    fn curves(&self) -> Option<&Curves> {
        self.made.result.as_ref().ok()?.curves.as_ref()
    }

    fn unload_c(&self) -> f64 {
        let made = self.made.result.as_ref();
        made.map_or(f64::NAN, |made| made.plan.profile.unload_c)
    }

    fn color(&self, color: Color32) -> Color32 {
        dimmed(color, self.made_for)
    }

    /// Until when it is to be in sight, h: with room for the words of its last mark.
    pub fn until_h(&self) -> Option<f64> {
        let curves = self.curves()?;
        Some(curves.program_end_h.max(curves.load_unload_h? * 1.15))
    }

    /// The band, its cases, and the two times at which unloading could come.
    pub fn shapes(&self, area: Rect, transform: &PlotTransform, tokens: &Tokens) -> Vec<Shape> {
        let Some(curves) = self.curves() else {
            return Vec::new();
        };
        let at = |h: f64, c: f64| transform.position_from_point(&PlotPoint::new(h, c));
        let color = self.color(tokens.forecast);
        let mut shapes = vec![filled(&curves.nominal, at, color.gamma_multiply(0.22))];
        let mut draw = |lines: &Lines, which: usize, style: Style, color: Color32| {
            for stretch in stretches(lines, which, at) {
                shapes.extend(line(&stretch, style, color));
            }
        };
        draw(&curves.nominal, 0, Style::Thick, color);
        draw(&curves.nominal, 1, Style::Thin, color);
        let cases = [
            (&curves.cold, self.cold, Style::Dashed),
            (&curves.hot, self.hot, Style::Dotted),
        ];
        // Of each case the end that matters: the coldest place when cold, the hottest when hot.
        for ((case, _, style), end) in cases.iter().zip([0, 1]).filter(|((_, shown, _), _)| *shown)
        {
            if let Some(case) = case {
                draw(case, end, *style, color);
            }
        }
        if self.chamber {
            draw(&curves.furnace, 0, Style::DashDot, self.color(tokens.weak));
            draw(
                &curves.furnace,
                1,
                Style::DashDotDot,
                self.color(tokens.curve),
            );
        }
        let marks = [
            (curves.chamber_unload_h, Style::DashDot, tokens.weak),
            (curves.load_unload_h, Style::Thin, tokens.forecast),
        ];
        for (h, style, color) in marks {
            if let Some(h) = h {
                let x = transform.position_from_point_x(h);
                let ends = [pos2(x, area.top()), pos2(x, area.bottom())];
                shapes.extend(line(&ends, style, self.color(color)));
            }
        }
        shapes
    }

    /// Names of the two marks, and the upright lines at which they are to stand.
    pub fn marks(&self, area: Rect, transform: &PlotTransform) -> Vec<(String, Rect)> {
        let Some(curves) = self.curves() else {
            return Vec::new();
        };
        let at_c = self.unload_c();
        let marks = [
            (curves.chamber_unload_h, say::chamber_mark(at_c)),
            (curves.load_unload_h, say::load_mark(at_c)),
        ];
        let at_line = |(h, name): (Option<f64>, String)| {
            let x = transform.position_from_point_x(h?);
            let near = pos2(x, area.top() + EDGE);
            area.x_range()
                .contains(x)
                .then(|| (name, Rect::from_min_size(near, vec2(0.0, SMALL))))
        };
        marks.into_iter().filter_map(at_line).collect()
    }

    /// Lines that no name is to cover, in few pieces; with those of the marks.
    pub fn in_the_way(
        &self,
        area: Rect,
        transform: &PlotTransform,
        marks: &[(String, Rect)],
    ) -> Vec<[Pos2; 2]> {
        let Some(curves) = self.curves() else {
            return Vec::new();
        };
        let at = |h: f64, c: f64| transform.position_from_point(&PlotPoint::new(h, c));
        let mut out = Vec::new();
        for (lines, which) in [
            (Some(&curves.nominal), 0),
            (Some(&curves.nominal), 1),
            (curves.cold.as_ref().filter(|_| self.cold), 0),
            (curves.hot.as_ref().filter(|_| self.hot), 1),
        ] {
            for stretch in lines.map_or_else(Vec::new, |l| stretches(l, which, at)) {
                let step = (stretch.len() / PIECES).max(1);
                let last = stretch.last().copied();
                let ends: Vec<Pos2> = stretch.into_iter().step_by(step).chain(last).collect();
                out.extend(
                    ends.windows(2)
                        .filter_map(|w| <[Pos2; 2]>::try_from(w).ok()),
                );
            }
        }
        for (_, near) in marks {
            let x = near.center().x;
            out.push([pos2(x, area.top()), pos2(x, area.bottom())]);
        }
        out
    }

    /// Why there is no density, where that is known.
    fn no_density(&self) -> Option<String> {
        let made = self.made.result.as_ref().ok()?.result.as_ref().ok()?;
        let lacking = made.prepared.lacking.iter();
        let lacking = lacking.filter(|m| matches!(m, Missing::Densifying(_)));
        let lacking: Vec<String> = lacking.map(ToString::to_string).collect();
        if !lacking.is_empty() {
            return Some(say::no_density(&lacking));
        }
        let named = |which: fn(&&KindRow) -> bool| -> Vec<String> {
            let kinds = made.report.kinds.iter().filter(which);
            kinds.map(|k| k.name.clone()).collect()
        };
        let refired = named(|k| k.refired);
        if !refired.is_empty() {
            return Some(say::no_density_refired(&refired));
        }
        let above = named(|k| k.no_prediction);
        (!above.is_empty()).then(|| say::no_density_above(&above))
    }

    /// Whether there is anything of it to see.
    pub fn is_drawn(&self) -> bool {
        self.curves().is_some()
    }

    /// When the program ends with its waits, h.
    pub fn program_end_h(&self) -> Option<f64> {
        Some(self.curves()?.program_end_h)
    }

    /// The time of the run, h, at which the program's clock has a time, h.
    pub fn run_h(&self, clock_h: f64) -> Option<f64> {
        self.curves()?.run_h(clock_h)
    }

    /// A time of the run, h, by both clocks.
    pub fn read_clocks(&self, h: f64) -> String {
        let clock = self.curves().and_then(|curves| curves.clock.at(0, h));
        let clock = clock.map(|clock| app_say::clock(clock * 60.0));
        say::real_time(&app_say::clock(h * 60.0), clock.as_deref())
    }

    /// What it says of a time, h.
    pub fn read(&self, h: f64) -> Vec<String> {
        let Some(curves) = self.curves() else {
            return Vec::new();
        };
        let both = |lines: &Lines| Some((celsius(lines.at(0, h)?), celsius(lines.at(1, h)?)));
        let mut read = Vec::new();
        read.extend(both(&curves.nominal).map(|(low, high)| say::band_at(&low, &high)));
        let cases = [
            (words::cold(), &curves.cold, self.cold),
            (words::hot(), &curves.hot, self.hot),
        ];
        for (name, case, _) in cases.into_iter().filter(|(_, _, shown)| *shown) {
            let both = case.as_ref().and_then(both);
            read.extend(both.map(|(low, high)| say::case_at(name, &low, &high)));
        }
        let furnace = |line| curves.furnace.at(line, h).map(celsius);
        read.extend(furnace(1).map(|c| say::setpoint_at(&c)));
        if self.chamber {
            read.extend(furnace(0).map(|c| say::chamber_at(&c)));
        }
        read
    }

    /// The same in one line, with what the panes show.
    pub fn read_all(&self, h: f64) -> Option<String> {
        let mut read = self.read(h);
        let curves = self.curves()?;
        for pane in panes(curves, None) {
            read.extend(pane.read(h).map(|values| say::line_at(&pane.name, &values)));
        }
        (!read.is_empty()).then(|| read.join("; "))
    }
}

fn celsius(c: f64) -> String {
    units::show(Quantity::Temperature, c, 0)
}

fn dimmed(color: Color32, made_for: MadeFor) -> Color32 {
    match made_for {
        MadeFor::Now => color,
        MadeFor::Trial | MadeFor::Earlier => color.gamma_multiply(NOT_NOW),
    }
}

/// The ground between two lines.
fn filled(band: &Lines, at: impl Fn(f64, f64) -> Pos2, color: Color32) -> Shape {
    let mut mesh = Mesh::default();
    let [low, high] = band.values.as_slice() else {
        return Shape::Noop;
    };
    for (h, (low, high)) in band.times_h.iter().zip(low.iter().zip(high)) {
        if low.is_finite() && high.is_finite() {
            mesh.colored_vertex(at(*h, *low), color);
            mesh.colored_vertex(at(*h, *high), color);
        }
    }
    let pairs = u32::try_from(mesh.vertices.len() / 2).unwrap_or(0);
    for i in (1..pairs).map(|i| 2 * i) {
        mesh.add_triangle(i - 2, i - 1, i);
        mesh.add_triangle(i - 1, i, i + 1);
    }
    Shape::mesh(mesh)
}

/// Lines of text on a ground of their own beside the pointer.
pub(super) fn note_at(painter: &Painter, area: Rect, at: Pos2, lines: &[String], tokens: &Tokens) {
    if lines.is_empty() {
        return;
    }
    let font = FontId::proportional(SMALL + 1.0);
    let galley = painter.layout_no_wrap(lines.join("\n"), font, tokens.text);
    let size = galley.size() + vec2(SPACE, SPACE / 2.0);
    let mut corner = at + vec2(SPACE * 1.5, SPACE);
    if corner.x + size.x > area.right() {
        corner.x = (at.x - SPACE * 1.5 - size.x).max(area.left());
    }
    corner.y = corner
        .y
        .min(area.bottom() - size.y)
        .max(painter.clip_rect().top());
    let ground = Rect::from_min_size(corner, size);
    painter.rect_filled(ground, 2.0, tokens.panel);
    painter.galley(
        ground.min + vec2(SPACE / 2.0, SPACE / 4.0),
        galley,
        tokens.text,
    );
}

/// One line of a pane.
struct PaneLine<'a> {
    name: String,
    lines: &'a Lines,
    which: usize,
    style: Style,
    /// A line of the furnace, not of the load.
    plain: bool,
}

/// A quantity over time.
struct Pane<'a> {
    name: String,
    /// Values are shares and shown in per cent.
    share: bool,
    lines: Vec<PaneLine<'a>>,
}

impl Pane<'_> {
    fn show(&self, value: f64) -> String {
        if self.share {
            units::show(Quantity::Fraction, value, 1)
        } else {
            units::show(Quantity::Flow, value, 1)
        }
    }

    /// Least and greatest value of its axis.
    fn range(&self) -> (f64, f64) {
        let all = self.lines.iter().flat_map(|l| l.lines.values.get(l.which));
        let all = all.flatten().copied().filter(|v| v.is_finite());
        let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| {
            (a.min(v), b.max(v))
        });
        if !low.is_finite() {
            return (0.0, 1.0);
        }
        // A density begins far above nothing; all else is seen against it.
        let low = if self.share && low > 0.3 {
            (low * 20.0).floor() / 20.0
        } else {
            0.0
        };
        let high = if self.share {
            high.max(low + 0.05)
        } else {
            high
        };
        (
            low,
            if high > low {
                low + (high - low) * 1.06
            } else {
                low + 1.0
            },
        )
    }

    /// The greatest value of the load's line where another's axis flattens it.
    fn most_said(&self) -> Option<String> {
        let line = self.lines.iter().find(|line| !line.plain)?;
        let beside = self.lines.iter().any(|line| line.plain);
        let values = line.lines.values.get(line.which).filter(|_| beside)?;
        let most = values.iter().copied().filter(|v| v.is_finite());
        let most = most.fold(0.0, f64::max);
        Some(say::at_most(&line.name, &self.show(most)))
    }

    fn read(&self, h: f64) -> Option<String> {
        let values = self.lines.iter().filter_map(|line| {
            let value = line.lines.at(line.which, h)?;
            Some(say::line_at(&line.name, &self.show(value)))
        });
        let values: Vec<String> = values.collect();
        (!values.is_empty()).then(|| values.join(", "))
    }

    fn summary(&self, end_h: f64) -> String {
        let ends = self.lines.iter().filter_map(|line| {
            let last = line.lines.times_h.last().copied().unwrap_or(end_h);
            let value = line.lines.at(line.which, last)?;
            Some(say::line_at(&line.name, &self.show(value)))
        });
        say::pane_summary(&self.name, &ends.collect::<Vec<String>>())
    }
}

/// Which lines of a kind.
type LinesOf = fn(&KindLines) -> &Lines;

/// The panes of one kind, or of all.
fn panes<'a>(curves: &'a Curves, kind: Option<&str>) -> [Pane<'a>; 3] {
    let kinds = || {
        let of = |k: &&KindLines| kind.is_none_or(|kind| k.name == kind);
        curves.kinds.iter().filter(of)
    };
    let entry = |name: String, lines: &'a Lines, which, style| PaneLine {
        name,
        lines,
        which,
        style,
        plain: false,
    };
    // Of all kinds, the one that stands worst at the end and the one that stands best.
    let by = |of: LinesOf, which: usize, most: bool| {
        let end = |k: &&KindLines| of(k).values.get(which).and_then(|l| l.last().copied());
        let all = kinds().filter_map(|k| Some((end(&k)?, k)));
        let best = all.reduce(|a, b| if (b.0 > a.0) == most { b } else { a });
        best.map(|(_, k)| k)
    };
    let mut binder = Vec::new();
    if let Some(k) = by(|k| &k.left, 1, true) {
        binder.push(entry(say::worst_place(), &k.left, 1, Style::Thick));
    }
    if let Some(k) = by(|k| &k.left, 0, false) {
        binder.push(entry(say::best_place(), &k.left, 0, Style::Thin));
    }
    let mut density = Vec::new();
    let lines: [(String, LinesOf, usize, Style); 4] = [
        (say::least_dense(), |k| &k.density, 0, Style::Thick),
        (say::most_dense(), |k| &k.density, 1, Style::Thin),
        (
            say::least_dense_cold(),
            |k| &k.density_cold,
            0,
            Style::Dashed,
        ),
        (say::most_dense_hot(), |k| &k.density_hot, 1, Style::Dotted),
    ];
    for (name, of, which, style) in lines {
        if let Some(k) = by(of, which, which == 1) {
            density.push(entry(name, of(k), which, style));
        }
    }
    let gas = [
        (say::offgas_line(), 0, Style::Thick, false),
        (say::sweep_line(), 1, Style::Dashed, true),
    ];
    let gas = gas.map(|(name, which, style, plain)| PaneLine {
        plain,
        ..entry(name, &curves.gas, which, style)
    });
    [
        Pane {
            name: say::binder_pane(),
            share: true,
            lines: binder,
        },
        Pane {
            name: say::gas_pane(),
            share: false,
            lines: gas.into(),
        },
        Pane {
            name: say::density_pane(),
            share: true,
            lines: density,
        },
    ]
}

/// A short piece of a line.
fn sample(ui: &mut Ui, style: Style, color: Color32) {
    let (rect, _) = ui.allocate_exact_size(vec2(SPACE * 3.0, SMALL), Sense::empty());
    let ends = [rect.left_center(), rect.right_center()];
    ui.painter().extend(line(&ends, style, color));
}

/// A short piece of a line with its words.
fn legend(ui: &mut Ui, name: &str, style: Style, color: Color32) {
    sample(ui, style, color);
    ui.label(egui::RichText::new(name).small());
}

impl App {
    /// What the curve is to show of the forecast.
    pub(super) fn forecast_overlay(&mut self) -> Option<Overlay> {
        let (made, made_for) = self.forecasting.shown()?;
        let view = &self.view.profile.forecast;
        Some(Overlay {
            made,
            made_for,
            cold: view.cold,
            hot: view.hot,
            chamber: view.chamber,
        })
    }

    /// What of the forecast is drawn.
    pub(super) fn forecast_legend(&mut self, ui: &mut Ui) {
        let overlay = self.forecast_overlay();
        let tokens = Tokens::of(ui.ctx());
        let view = &mut self.view.profile.forecast;
        ui.horizontal_wrapped(|ui| {
            let overlay = overlay.as_ref();
            let Some((overlay, curves)) = overlay.and_then(|o| Some((o, o.curves()?))) else {
                return;
            };
            let color = overlay.color(tokens.forecast);
            sample(ui, Style::Thick, color);
            ui.label(say::band()).on_hover_text(say::band_hint());
            let (weak, curve) = (overlay.color(tokens.weak), overlay.color(tokens.curve));
            let lines = [
                (&mut view.cold, say::cold_case(), curves.cold.is_some()),
                (&mut view.hot, say::hot_case(), curves.hot.is_some()),
                (&mut view.chamber, say::as_run(), true),
            ];
            let samples = [
                (Style::Dashed, color),
                (Style::Dotted, color),
                (Style::DashDot, weak),
            ];
            for ((shown, name, there), (style, color)) in lines.into_iter().zip(samples) {
                sample(ui, style, color);
                if style == Style::DashDot {
                    sample(ui, Style::DashDotDot, curve);
                }
                let checkbox = ui.add_enabled(there, Checkbox::new(shown, name));
                checkbox.on_hover_text(match style {
                    Style::Dashed => say::cold_hint(),
                    Style::Dotted => say::hot_hint(),
                    _ => say::as_run_hint(),
                });
            }
        });
    }

    /// Notes where the time axis of the curve lies.
    pub(super) fn keep_time_axis(&mut self, ui: &Ui, transform: &PlotTransform) {
        let axis = Some(TimeAxis::of(transform));
        let view = &mut self.view.profile.forecast;
        if view.axis != axis {
            view.axis = axis;
            if view.below == Below::OverTime {
                // The panes are drawn before the curve.
                ui.ctx().request_repaint();
            }
        }
    }

    /// Which panes there are, and of what.
    pub(super) fn forecast_choices(&mut self, ui: &mut Ui) {
        let Some(overlay) = self.forecast_overlay() else {
            return;
        };
        let Some(curves) = overlay.curves() else {
            return;
        };
        let view = &mut self.view.profile.forecast;
        if curves
            .kinds
            .iter()
            .all(|k| Some(&k.name) != view.kind.as_ref())
        {
            view.kind = None;
        }
        for (shown, name) in view.panes.iter_mut().zip(say::panes()) {
            ui.checkbox(shown, name);
        }
        let now = view.kind.clone().unwrap_or_else(say::all_kinds);
        let combo = ComboBox::from_id_salt("forecast kind")
            .selected_text(&now)
            .truncate();
        let combo = combo.show_ui(ui, |ui| {
            ui.selectable_value(&mut view.kind, None, say::all_kinds());
            for kind in &curves.kinds {
                ui.selectable_value(&mut view.kind, Some(kind.name.clone()), &kind.name);
            }
        });
        let name = say::kind();
        combo
            .response
            .widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &name));
        combo.response.on_hover_text(name);
    }

    /// The panes under the curve.
    pub(super) fn forecast_over_time(&mut self, ui: &mut Ui) {
        let Some(overlay) = self.forecast_overlay() else {
            return;
        };
        let Some(curves) = overlay.curves() else {
            return;
        };
        let cursors = self.view.profile.cursors_min;
        let view = &mut self.view.profile.forecast;
        let Some(axis) = view.axis else { return };
        let chosen = panes(curves, view.kind.as_deref());
        let chosen = chosen.iter().zip(view.panes).filter(|(_, shown)| *shown);
        let chosen: Vec<&Pane> = chosen.map(|(pane, _)| pane).collect();
        let lines = ui.text_style_height(&egui::TextStyle::Small) + SPACE;
        let room = ui.available_height() - SPACE;
        let each = (room / chosen.len().max(1) as f32 - lines - SPACE / 2.0).max(PANE);
        let marks: Vec<f64> = cursors.iter().flatten().map(|min| min / 60.0).collect();
        let mut pointer = None;
        ScrollArea::vertical()
            .id_salt("forecast panes")
            .auto_shrink(false)
            .show(ui, |ui| {
                // Nothing in it is clicked: its rows are as high as their words.
                ui.spacing_mut().interact_size.y = SMALL;
                for pane in chosen {
                    let drawn = DrawnPane {
                        pane,
                        overlay: &overlay,
                        curves,
                        axis: &axis,
                        kind: view.kind.as_deref(),
                        marks: &marks,
                        pointer_h: view.pointer_h,
                    };
                    pointer = drawn.show(ui, each).or(pointer);
                }
            });
        if pointer.is_some() && pointer != view.pointer_h {
            view.pointer_h = pointer;
            ui.ctx().request_repaint();
        }
    }
}

/// A pane while it is drawn.
struct DrawnPane<'a> {
    pane: &'a Pane<'a>,
    overlay: &'a Overlay,
    curves: &'a Curves,
    axis: &'a TimeAxis,
    kind: Option<&'a str>,
    marks: &'a [f64],
    pointer_h: Option<f64>,
}

impl DrawnPane<'_> {
    /// The time under the pointer, h, where it is over the pane.
    fn show(&self, ui: &mut Ui, height: f32) -> Option<f64> {
        let tokens = Tokens::of(ui.ctx());
        let color = |plain: bool| {
            let color = if plain { tokens.weak } else { tokens.forecast };
            self.overlay.color(color)
        };
        ui.horizontal_wrapped(|ui| {
            ui.label(egui::RichText::new(&self.pane.name).small().strong());
            for line in &self.pane.lines {
                legend(ui, &line.name, line.style, color(line.plain));
            }
            if let Some(most) = self.pane.most_said() {
                ui.label(egui::RichText::new(most).small());
            }
            if self.pane.lines.is_empty() {
                let density = self.pane.name == say::density_pane();
                let why = self.overlay.no_density().filter(|_| density);
                let said = why.unwrap_or_else(say::no_lines);
                ui.label(egui::RichText::new(said).small());
            }
        });
        let size = vec2(ui.available_width(), height);
        let (whole, response) = ui.allocate_exact_size(size, Sense::hover());
        let summary = self.pane.summary(self.curves.end_h);
        response.widget_info(|| WidgetInfo::labeled(Role::Figure, true, &summary));
        let area = Rect::from_x_y_ranges(self.axis.left..=self.axis.right, whole.y_range());
        let area = area.intersect(whole);
        let painter = ui.painter().clone();
        painter.rect_filled(area, 0.0, tokens.ground);
        let (low, high) = self.pane.range();
        let y = |value: f64| {
            let share = ((value - low) / (high - low)) as f32;
            area.bottom() - share * area.height()
        };
        let clipped = painter.with_clip_rect(area.intersect(painter.clip_rect()));
        let font = FontId::proportional(SMALL);
        for value in ticks(low, high) {
            let at = y(value);
            clipped.hline(area.x_range(), at, Stroke::new(EDGE, tokens.line));
            let text = if self.pane.share {
                format!("{:.0}", value * 100.0)
            } else {
                format!("{value}")
            };
            let corner = pos2(area.left() - SPACE / 2.0, at);
            painter.text(
                corner,
                Align2::RIGHT_CENTER,
                text,
                font.clone(),
                tokens.weak,
            );
        }
        let at = |h: f64, value: f64| pos2(self.axis.x(h), y(value));
        for line_of in &self.pane.lines {
            for stretch in stretches(line_of.lines, line_of.which, at) {
                clipped.extend(line(&stretch, line_of.style, color(line_of.plain)));
            }
        }
        for h in self.marks {
            let stroke = Stroke::new(EDGE, tokens.accent);
            clipped.vline(self.axis.x(*h), area.y_range(), stroke);
        }
        if let Some(h) = self.pointer_h {
            let stroke = Stroke::new(EDGE, tokens.line);
            clipped.vline(self.axis.x(h), area.y_range(), stroke);
        }
        let pointer = response.hover_pos().filter(|at| area.contains(*at))?;
        let h = self.axis.h(pointer.x);
        note_at(&painter, area, pointer, &self.read(h), tokens);
        Some(h)
    }

    /// What the pane says of a time: by kind where it shows all of several.
    fn read(&self, h: f64) -> Vec<String> {
        let mut read = vec![self.overlay.read_clocks(h)];
        let of_kinds = self.pane.name != say::gas_pane();
        if self.kind.is_none() && of_kinds && self.curves.kinds.len() > 1 {
            for kind in &self.curves.kinds {
                let of = panes(self.curves, Some(&kind.name));
                let pane = of.iter().find(|pane| pane.name == self.pane.name);
                let values = pane.and_then(|pane| pane.read(h));
                read.extend(values.map(|values| say::kind_at(&kind.name, &values)));
            }
        } else {
            read.extend(self.pane.read(h));
        }
        read
    }
}

/// Two to five round values in a range.
fn ticks(low: f64, high: f64) -> Vec<f64> {
    let rough = (high - low) / 3.0;
    if rough <= 0.0 || !rough.is_finite() {
        return Vec::new();
    }
    let ten = libm::pow(10.0, libm::floor(libm::log10(rough)));
    let step = [1.0, 2.0, 5.0, 10.0].map(|m| m * ten);
    let step = step.into_iter().find(|s| *s >= rough).unwrap_or(10.0 * ten);
    let first = (low / step).ceil() as i64;
    let last = (high / step).floor() as i64;
    (first..=last.min(first + 8))
        .map(|i| units::tidy(i as f64 * step))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_inside() {
        assert_eq!(ticks(0.0, 1.06), [0.0, 0.5, 1.0]);
        assert_eq!(ticks(0.55, 1.0), [0.6, 0.8, 1.0]);
        assert_eq!(ticks(0.0, 31.0), [0.0, 20.0]);
        assert!(ticks(1.0, 1.0).is_empty());
        assert!(ticks(0.0, f64::NAN).is_empty());
    }

    #[test]
    fn lines_break_at_gaps() {
        let lines = Lines {
            times_h: vec![0.0, 1.0, 2.0, 3.0, 4.0, 5.0],
            values: vec![vec![1.0, 2.0, f64::NAN, 4.0, 5.0, f64::NAN]],
        };
        let found = stretches(&lines, 0, |h, v| pos2(h as f32, v as f32));
        assert_eq!(found.len(), 2);
        assert!(found.iter().all(|s| s.len() == 2));
        assert!(stretches(&lines, 1, |_, _| Pos2::ZERO).is_empty());
    }
}
