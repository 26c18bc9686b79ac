//! What `measure` prints as text.

use super::Failure;
use super::figures::{Measured, PoseFigures, WithFeedstock};
use crate::text::cli as say;
use crate::text::measures::{self, PoseWords, got, how};
use crate::units::{Quantity, show};
use std::io::Write;

fn length(value: f64) -> String {
    show(Quantity::Length, value, 3)
}

fn triple(v: [f64; 3]) -> String {
    v.map(length).join(" × ")
}

fn area(value: f64) -> String {
    format!("{value:.3} mm²")
}

fn angle(value: f64) -> String {
    format!("{value:.2}°")
}

fn or_not(value: Option<f64>, shown: fn(f64) -> String) -> String {
    value.map_or_else(say::not_evaluated_word, shown)
}

/// A way in the drawing, without needless digits.
fn way(down: [f64; 3]) -> String {
    let short = |c: f64| {
        let text = format!("{c:.4}");
        let text = text.trim_end_matches('0').trim_end_matches('.');
        if text == "-0" {
            "0".to_owned()
        } else {
            text.to_owned()
        }
    };
    down.map(short).join(",")
}

pub fn print(m: &Measured, out: &mut dyn Write) -> Result<(), Failure> {
    // Such a file has a unit of its own, which a note names.
    let unit = if m.format == "3MF" {
        say::own_unit()
    } else {
        m.unit
    };
    writeln!(out, "{}", say::measured(&m.file, unit, m.drawn_at))?;
    let rows = [
        the_file(m),
        the_mesh(m),
        sizes(m),
        thickness(m),
        standing(m),
    ];
    for (name, value) in rows.into_iter().flatten() {
        writeln!(out, "  {}", say::row(&name, &value))?;
    }
    if m.open_edges > 0 {
        writeln!(out, "  {}", say::volume_not_trusted(m.open_edges))?;
    }
    if m.crossing_shells != Some(0) {
        writeln!(out, "  {}", say::shells_cross(m.crossing_shells))?;
    }
    for sentence in &m.overrides {
        writeln!(out, "  {sentence}")?;
    }
    if let Some(with) = &m.with_feedstock {
        for (name, value) in feedstock(with) {
            writeln!(out, "  {}", say::row(&name, &value))?;
        }
    }
    if let Some(poses) = &m.poses {
        for p in poses {
            writeln!(out, "  {}", say::row(&measures::pose(p.rank), &pose(p)))?;
        }
        if let Some(n) = m.poses_left_out.filter(|n| *n > 0) {
            writeln!(out, "  {}", measures::poses_left_out(n))?;
        }
        writeln!(out, "  {}", measures::ranked_by())?;
    }
    Ok(())
}

type Rows = Vec<(String, String)>;

/// A row with how its value was got.
fn row(name: &str, key: &str, value: String) -> (String, String) {
    (name.to_owned(), got(&value, how(key)))
}

fn the_file(m: &Measured) -> Rows {
    let mut rows = Vec::new();
    if let Some(body) = m.body {
        let which = say::body_of(body, m.bodies, m.name.as_deref());
        rows.push(("body".to_owned(), which));
    } else if m.bodies > 1 {
        rows.push(("bodies".to_owned(), say::as_one(m.bodies)));
    }
    rows.extend(m.notes.iter().map(|note| ("note".to_owned(), note.clone())));
    let shell = m.infill_shell_mm.map(length);
    let resting = measures::resting(m.resting_as_drawn, &way(m.rest_down));
    rows.push(("resting".to_owned(), resting));
    rows.push((
        "infill".to_owned(),
        measures::infill(m.infill, shell.as_deref()),
    ));
    rows
}

fn the_mesh(m: &Measured) -> Rows {
    let volume = |v: f64| format!("{v:.3} mm³");
    let mut rows = vec![
        row("volume", "volume_mm3", volume(m.volume_mm3)),
        row("surface", "area_mm2", area(m.area_mm2)),
        row(
            "centroid",
            "centroid_mm",
            m.centroid_mm.map(length).join(", "),
        ),
    ];
    if let Some(inertia) = m.inertia_mm5 {
        let shown = inertia.map(|i| format!("{:.6e}", i + 0.0)).join(", ");
        rows.push(row("inertia", "inertia_mm5", format!("{shown} mm⁵")));
    }
    let hull = or_not(m.convex_hull_volume_mm3, volume);
    rows.push(row("convex hull", "convex_hull_volume_mm3", hull));
    rows.push(("separate shells".to_owned(), m.shells.to_string()));
    rows.push(("open edges".to_owned(), m.open_edges.to_string()));
    if m.degenerate_triangles > 0 {
        let flat = m.degenerate_triangles.to_string();
        rows.push(("triangles without area".to_owned(), flat));
    }
    if m.touching_edges > 0 {
        let touching = m.touching_edges.to_string();
        rows.push(("edges where shells touch".to_owned(), touching));
    }
    let mended = say::mended(
        m.mended.welded_points,
        m.mended.split_triangles,
        m.mended.collapsed_triangles + m.mended.doubled_triangles,
        m.mended.turned_triangles,
        m.mended.turned_shells,
    );
    rows.extend(mended.map(|mended| ("mended".to_owned(), mended)));
    rows
}

fn sizes(m: &Measured) -> Rows {
    let body = say::body(m.slabs, m.body_volume_mm3);
    vec![
        row("size", "size_mm", triple(m.size_mm)),
        row("height", "height_mm", length(m.height_mm)),
        row(
            "outline (plan area)",
            "outline_area_mm2",
            area(m.outline_area_mm2),
        ),
        row("wet area", "wet_area_mm2", area(m.wet_area_mm2)),
        (
            "plan over wet area".to_owned(),
            format!("{:.3}", m.plan_over_wet),
        ),
        row("body used for clearances", "slabs", body),
    ]
}

/// Sections and overhangs.
fn thickness(m: &Measured) -> Rows {
    let place = |value: Option<f64>, at: Option<[f64; 3]>| match at {
        Some(at) => say::with_place(&or_not(value, length), &at.map(length).join(", ")),
        None => or_not(value, length),
    };
    let governing = place(m.governing_section_mm, m.governing_section_at_mm);
    let thinnest = place(m.thinnest_section_mm, m.thinnest_section_at_mm);
    let ratio = or_not(m.section_ratio, |ratio| format!("{ratio:.2}"));
    let why = say::why_not_known(
        m.open_edges > 0,
        m.touching_edges > 0 || m.crossing_shells != Some(0),
        m.governing_section_mm.is_some(),
    );
    let governing = match m.governing_section_mm {
        Some(_) => governing,
        None => say::section_not_known(&why),
    };
    let hanging = |value: Option<f64>, shown: fn(f64) -> String| match value {
        Some(value) => shown(value),
        None => say::not_evaluated_as(&why),
    };
    vec![
        row(&say::governing_section(), "governing_section_mm", governing),
        row(&say::thinnest_section(), "thinnest_section_mm", thinnest),
        (say::section_ratio(), ratio),
        row(
            &say::overhang_area(),
            "overhang_area_mm2",
            hanging(m.overhang_area_mm2, area),
        ),
        row(
            &say::overhang_reach(),
            "overhang_reach_mm",
            hanging(m.overhang_reach_mm, length),
        ),
        row(
            &say::free_span(),
            "longest_free_span_mm",
            hanging(m.longest_free_span_mm, length),
        ),
    ]
}

fn standing(m: &Measured) -> Rows {
    let rolls = measures::rests_on(m.rests_on, m.rolls);
    let tips = angle(m.tip_angle_deg);
    vec![
        row("contact", "contact_area_mm2", area(m.contact_area_mm2)),
        row(
            &measures::support_polygon(),
            "support_polygon_area_mm2",
            area(m.support_polygon_area_mm2),
        ),
        row(&say::foot_width(), "foot_width_mm", length(m.foot_width_mm)),
        row(&say::rests_on(), "rests_on", rolls),
        row(&say::tip_angle(None), "tip_angle_deg", tips),
    ]
}

fn feedstock(with: &WithFeedstock) -> Rows {
    let mut rows = Vec::new();
    for (state, mass) in &with.mass_g {
        let shown = or_not(*mass, |mass| format!("{mass:.3} g"));
        let from = if mass.is_some() { with.mass_from } else { "" };
        rows.push((say::mass_in(state), got(&shown, measures::from(from))));
    }
    for (stage, size) in &with.size_mm {
        rows.push((say::size_at(stage), triple(*size)));
    }
    for (stage, tips) in &with.tip_angle_deg {
        rows.push((say::tip_angle(Some(stage)), angle(*tips)));
    }
    let section = or_not(with.green_section_mm, length);
    rows.push((say::green_section(), section));
    rows
}

fn pose(p: &PoseFigures) -> String {
    measures::pose_line(&PoseWords {
        down: &way(p.rest_down),
        as_drawn: p.as_drawn,
        stands: p.stands,
        rests_on: p.rests_on,
        rolls: p.rolls,
        kept_off: p.kept_off,
        alike: p.alike,
        height: &length(p.height_mm),
        contact: &area(p.contact_area_mm2),
        foot: &length(p.foot_width_mm),
        tips_at: &angle(p.tip_angle_deg),
        overhang: &or_not(p.overhang_area_mm2, area),
        span: &or_not(p.longest_free_span_mm, length),
        score: &format!("{:.3}", p.score),
    })
}
