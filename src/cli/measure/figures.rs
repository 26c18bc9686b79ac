//! What `measure --json` prints. Keys carry their units.

use crate::statics::{RestingPose, RestsOn};
use serde::Serialize;
use std::collections::BTreeMap;

/// Bodies measured one by one.
#[derive(Serialize)]
pub struct Several {
    pub schema: &'static str,
    pub version: u32,
    pub bodies: Vec<Measured>,
}

#[derive(Serialize)]
pub struct Measured {
    pub schema: &'static str,
    pub version: u32,
    pub file: String,
    pub format: &'static str,
    /// Bodies in the file.
    pub bodies: usize,
    /// Which of them, if not all as one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub body: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    pub notes: Vec<String>,
    pub unit: &'static str,
    pub drawn_at: &'static str,
    /// Which way is down in the axes of the drawing.
    pub rest_down: [f64; 3],
    pub resting_as_drawn: bool,
    pub infill: &'static str,
    /// Of the green part.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub infill_shell_mm: Option<f64>,
    /// What a person stated, and what it stands in for.
    pub overrides: Vec<String>,
    pub volume_mm3: f64,
    pub area_mm2: f64,
    /// In the file's own coordinates.
    pub centroid_mm: [f64; 3],
    pub size_mm: [f64; 3],
    pub height_mm: f64,
    pub outline_area_mm2: f64,
    /// The outline's, by the name that the radiation model has for it.
    pub plan_area_mm2: f64,
    /// Surface that does not lie on the setter.
    pub wet_area_mm2: f64,
    pub plan_over_wet: f64,
    /// None for a flat mesh.
    pub convex_hull_volume_mm3: Option<f64>,
    pub contact_area_mm2: f64,
    pub body_volume_mm3: f64,
    pub slabs: usize,
    pub open_edges: usize,
    pub degenerate_triangles: usize,
    pub shells: usize,
    pub touching_edges: usize,
    /// Shells that pass through others or themselves; null where that was not looked at.
    pub crossing_shells: Option<usize>,
    pub volume_trusted: bool,
    pub mended: Mending,
    /// At unit density about the centroid: xx, yy, zz, xy, xz, yz.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub inertia_mm5: Option<[f64; 6]>,
    /// Diameter of the largest ball inside; null where the mesh is not sound.
    pub governing_section_mm: Option<f64>,
    /// In the file's own coordinates.
    pub governing_section_at_mm: Option<[f64; 3]>,
    pub thinnest_section_mm: Option<f64>,
    /// In the file's own coordinates.
    pub thinnest_section_at_mm: Option<[f64; 3]>,
    /// Governing over thinnest.
    pub section_ratio: Option<f64>,
    pub overhang_area_mm2: Option<f64>,
    pub overhang_reach_mm: Option<f64>,
    pub longest_free_span_mm: Option<f64>,
    pub rests_on: &'static str,
    /// It stands on a line, a point or nothing flat.
    pub rolls: bool,
    /// Of what rests, counted from its centroid.
    pub support_polygon_mm: Vec<[f64; 2]>,
    pub support_polygon_area_mm2: f64,
    pub foot_width_mm: f64,
    pub tip_angle_deg: f64,
    /// Best first for the furnace.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub poses: Option<Vec<PoseFigures>>,
    /// Stable poses less steady than those listed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub poses_left_out: Option<usize>,
    /// How each figure was got.
    pub how: BTreeMap<&'static str, &'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub with_feedstock: Option<WithFeedstock>,
}

#[derive(Serialize)]
pub struct Mending {
    pub welded_points: usize,
    pub split_triangles: usize,
    pub collapsed_triangles: usize,
    pub doubled_triangles: usize,
    pub turned_triangles: usize,
    pub turned_shells: usize,
}

#[derive(Serialize)]
pub struct WithFeedstock {
    pub feedstock: String,
    /// Null where it is not known.
    pub mass_g: Vec<(&'static str, Option<f64>)>,
    /// The scale, the volume, or not evaluated.
    pub mass_from: &'static str,
    pub size_mm: Vec<(&'static str, [f64; 3])>,
    pub tip_angle_deg: Vec<(&'static str, f64)>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub green_section_mm: Option<f64>,
}

/// One resting pose.
#[derive(Serialize)]
pub struct PoseFigures {
    pub rank: usize,
    pub rest_down: [f64; 3],
    pub as_drawn: bool,
    /// By itself.
    pub stands: bool,
    pub rests_on: &'static str,
    pub rolls: bool,
    /// On a face that is to be kept off the setter.
    pub kept_off: bool,
    /// Others that differ by a turn about the axis of a round only.
    pub alike: usize,
    pub height_mm: f64,
    pub contact_area_mm2: f64,
    pub support_polygon_area_mm2: f64,
    pub foot_width_mm: f64,
    pub tip_angle_deg: f64,
    /// Share of the surface that rests.
    pub resting_share: f64,
    pub overhang_area_mm2: Option<f64>,
    pub overhang_reach_mm: Option<f64>,
    pub longest_free_span_mm: Option<f64>,
    /// 0 to 1, higher is better.
    pub score: f64,
}

impl PoseFigures {
    /// A pose at its rank, from 1.
    pub fn new(rank: usize, pose: &RestingPose) -> PoseFigures {
        PoseFigures {
            rank,
            rest_down: pose.rest.kept(),
            as_drawn: pose.rest.is_as_drawn(),
            stands: pose.stands,
            rests_on: pose.rests_on.word(),
            rolls: pose.rests_on != RestsOn::Area,
            kept_off: pose.kept_off,
            alike: pose.alike,
            height_mm: pose.height_mm,
            contact_area_mm2: pose.contact_area_mm2,
            support_polygon_area_mm2: pose.support_area_mm2,
            foot_width_mm: pose.foot_width_mm,
            tip_angle_deg: pose.tip_angle_deg,
            resting_share: pose.resting_share,
            overhang_area_mm2: pose.overhang.map(|o| o.area_mm2),
            overhang_reach_mm: pose.overhang.map(|o| o.reach_mm),
            longest_free_span_mm: pose.overhang.map(|o| o.span_mm),
            score: pose.score,
        }
    }
}
