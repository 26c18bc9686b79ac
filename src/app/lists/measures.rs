//! The measures of a part, grouped by how each was got, as drawn or at a stage of its way.

use super::forms;
use crate::app::theme::Tokens;
use crate::load::PartRecords;
use crate::part::{MassState, Part, Shape, SizeStage, furnace_swell, scale};
use crate::statics::tipping;
use crate::text::app as say;
use crate::text::part_view as words;
use crate::units::{Quantity, show};
use egui::{RichText, Role, Ui, WidgetInfo};

/// The measures; `size` is the stage that a person chose, none for as drawn.
pub(super) fn measures(
    ui: &mut Ui,
    part: &Part,
    records: Option<&PartRecords>,
    size: &mut Option<SizeStage>,
) {
    let tokens = Tokens::of(ui.ctx());
    let factors = match (records, *size) {
        (Some(records), Some(stage)) => {
            let peak_c = records.feedstock.sinter.to_c;
            scale(part, records.feedstock, records.alloy, peak_c, stage)
        }
        _ => [1.0; 3],
    };
    ui.label(say::label("Measures at size"));
    forms::wrapped(ui, |ui| {
        let all = std::iter::once(None).chain(SizeStage::ALL.map(Some));
        for stage in all {
            let word = stage.map_or_else(|| say::label("as drawn"), |s| say::label(s.word()));
            let chosen = *size == stage;
            let able = stage.is_none() || records.is_some();
            let button = ui.add_enabled(able, egui::Button::selectable(chosen, word.as_str()));
            let name = words::measures_at(&word);
            button.widget_info(|| WidgetInfo::selected(Role::RadioButton, able, chosen, &name));
            if button.clicked() {
                *size = stage;
            }
        }
    });
    if let (Some(records), Some(SizeStage::Hottest)) = (records, *size) {
        let swell = furnace_swell(&records.binder.first_step);
        if swell > 1.0 {
            let swollen = words::swollen(&sides(part, factors.map(|f| f * swell)));
            forms::sentence(ui, RichText::new(swollen).color(tokens.weak));
        }
    }
    group(ui, &shape_group(part, factors), tokens);
    group(ui, &standing_group(part, factors), tokens);
    if let Some(records) = records {
        group(ui, &mass_group(part, records), tokens);
    }
    let crossing = part.geometry.detail.map(|d| d.crossing_shells);
    let said = [
        (part.geometry.open_edges > 0)
            .then(|| crate::text::cli::volume_not_trusted(part.geometry.open_edges)),
        crossing
            .filter(|n| *n != Some(0))
            .map(crate::text::cli::shells_cross),
    ];
    for text in said.into_iter().flatten() {
        forms::sentence(ui, RichText::new(text).color(tokens.caution));
    }
}

/// Measures that were got in the same way.
struct Group {
    how: String,
    rows: Vec<(String, String)>,
}

fn group(ui: &mut Ui, group: &Group, tokens: &Tokens) {
    forms::sentence(ui, RichText::new(&group.how).color(tokens.weak).small());
    for (name, value) in &group.rows {
        forms::row(ui, name, |ui, _| ui.label(value));
    }
}

fn row(name: &str, value: String) -> (String, String) {
    (say::label(name), value)
}

fn length(mm: f64) -> String {
    show(Quantity::Length, mm, 2)
}

fn or_not(value: Option<String>) -> String {
    value.unwrap_or_else(crate::text::cli::not_evaluated_word)
}

fn sides(part: &Part, factors: [f64; 3]) -> String {
    let size = part.geometry.size_mm;
    let sides = [0, 1, 2].map(|k| format!("{:.2}", size[k] * factors[k]));
    format!("{} mm", sides.join(" × "))
}

/// Measured on the shape itself.
fn shape_group(part: &Part, factors: [f64; 3]) -> Group {
    let g = &part.geometry;
    let [fx, fy, fz] = factors;
    // The largest factor: a section said too thick asks for more time, not less.
    let largest = factors.into_iter().fold(0.0, f64::max);
    let uniform = factors.iter().all(|f| (f - fx).abs() <= 1e-9 * fx);
    let known = !part.outline_only();
    let mut rows = vec![
        row("Size", sides(part, factors)),
        // Of an outline only the prism over it is known, not how much of that it fills.
        row(
            "Volume",
            or_not(known.then(|| format!("{:.1} mm³", g.volume_mm3 * fx * fy * fz))),
        ),
        // Three factors stretch each face in its own way.
        row(
            "Surface",
            or_not((known && uniform).then(|| format!("{:.1} mm²", g.area_mm2 * fx * fx))),
        ),
        row("Section", or_not(g.section_mm.map(|s| length(s * largest)))),
    ];
    let how = match part.shape {
        Shape::Mesh { .. } => words::from_mesh(),
        Shape::Outline { .. } => words::outline_only(),
        _ => words::from_typed(),
    };
    if let Some(detail) = &g.detail {
        let thin = detail.thinnest.map(|b| b.diameter_mm);
        let least = factors.into_iter().fold(f64::INFINITY, f64::min);
        rows.push(row("Thinnest", or_not(thin.map(|mm| length(mm * least)))));
        let ratio = thin
            .zip(g.section_mm)
            .map(|(thin, thick)| format!("{:.2}", thick / thin));
        rows.push(row("Thick over thin", or_not(ratio)));
        let over = detail.overhang;
        let area = over.map(|o| format!("{:.1} mm²", o.area_mm2 * fx * fy));
        rows.push(row("Hangs over", or_not(area)));
        let wide = fx.max(fy);
        rows.push(row(
            "Farthest reach",
            or_not(over.map(|o| length(o.reach_mm * wide))),
        ));
        rows.push(row(
            "Free span",
            or_not(over.map(|o| length(o.span_mm * wide))),
        ));
    }
    Group { how, rows }
}

/// From the outline and the foot.
fn standing_group(part: &Part, factors: [f64; 3]) -> Group {
    let g = &part.geometry;
    let [fx, fy, _] = factors;
    let stands = tipping(g, factors);
    Group {
        how: words::from_outline(),
        rows: vec![
            row(
                "Outline",
                format!("{:.1} mm²", g.outline_area_mm2() * fx * fy),
            ),
            row(
                "Contact",
                format!("{:.1} mm²", g.footprint.area() * fx * fy),
            ),
            row("Rests on", say::label(stands.rests_on.word())),
            row("Foot width", length(stands.foot_width_mm)),
            row("Tips at", format!("{:.1}°", stands.tip_angle_deg)),
            row("Centre height", length(stands.height_of_centre_mm)),
        ],
    }
}

fn mass_group(part: &Part, records: &PartRecords) -> Group {
    let target = records.feedstock.extraction_target.unwrap_or(1.0);
    let masses = records.masses(target);
    let rows = [
        ("Mass green", MassState::Green),
        ("Mass dry", MassState::Dry),
        ("Mass sintered", MassState::Sintered),
    ];
    let mass = |state| or_not(masses.map(|m| show(Quantity::Mass, m.in_state(state), 2)));
    Group {
        how: match part.weighed {
            Some(weighed) => words::from_scale(weighed.state.word()),
            None => words::from_volume(),
        },
        rows: rows.map(|(name, state)| row(name, mass(state))).to_vec(),
    }
}
