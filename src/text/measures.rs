//! What a part measures, and how it was got.

use super::{count, say};

/// How each figure of `measure` was got, by its key there.
pub const HOW: &[(&str, &str)] = &[
    ("volume_mm3", "sum of signed tetrahedra"),
    ("area_mm2", "sum of triangles"),
    ("centroid_mm", "of the volume, in the file's coordinates"),
    (
        "inertia_mm5",
        "of the volume at unit density about the centroid: xx, yy, zz, xy, xz, yz",
    ),
    ("size_mm", "box at rest"),
    ("height_mm", "box at rest"),
    (
        "outline_area_mm2",
        "silhouette from above of a mesh, as drawn; of a typed shape its polygon, at most 0.016 mm outside",
    ),
    ("wet_area_mm2", "surface less contact"),
    ("plan_area_mm2", "outline"),
    ("convex_hull_volume_mm3", "hull of the corners"),
    (
        "contact_area_mm2",
        "faces within 0.02 mm of the lowest point",
    ),
    (
        "support_polygon_area_mm2",
        "convex hull of faces, edges and tips within 0.02 mm of the lowest point",
    ),
    ("foot_width_mm", "least width of the support polygon"),
    (
        "tip_angle_deg",
        "from the centroid to the nearest edge of the support polygon, over its height",
    ),
    (
        "rests_on",
        "support polygon beside what a round of that width would touch",
    ),
    ("slabs", "outlines of bands of height"),
    ("governing_section_mm", "largest ball inside"),
    (
        "thinnest_section_mm",
        "smallest ball or straight way between two walls that face each other within 20°, from 3000 \
         points; an edge that runs out to nothing is none",
    ),
    ("section_ratio", "governing over thinnest"),
    (
        "overhang_area_mm2",
        "faces that look down less than 45° from level and do not rest, in plan",
    ),
    (
        "overhang_reach_mm",
        "farthest point of a face that ends in the air from what carries it, from points at most \
         0.5 mm apart unless it is large; what is carried on both sides is a free span",
    ),
    (
        "longest_free_span_mm",
        "between opposite supports of such a face",
    ),
];

/// How a figure was got; empty for one that says so itself.
pub fn how(key: &str) -> &'static str {
    HOW.iter()
        .find(|(k, _)| *k == key)
        .map_or("", |(_, how)| how)
}

/// A row's value with how it was got.
pub fn got(value: &str, how: &str) -> String {
    if how.is_empty() {
        value.to_owned()
    } else {
        format!("{value} ({how})")
    }
}

/// Row: how it lies.
pub fn resting(as_drawn: bool, down: &str) -> String {
    if as_drawn {
        "as drawn".to_owned()
    } else {
        format!("with {down} of the drawing down")
    }
}

/// Row: infill with its shell.
pub fn infill(word: &str, shell: Option<&str>) -> String {
    match (word, shell) {
        ("closed", Some(shell)) => format!(
            "closed, shell {shell}: gives off to one side only, and holds solvent and gas within"
        ),
        (word, Some(shell)) => format!("{word}, shell {shell}"),
        (word, None) => word.to_owned(),
    }
}

/// A weighing in the place of the volume.
pub fn mass_overrides(state: &str) -> String {
    say(format!(
        "masses: from the piece weighed {state}, not from the volume"
    ))
}

/// A stated section in the place of the one measured.
pub fn section_overrides(shown: &str) -> String {
    say(format!(
        "governing section: {shown} as stated, not the largest ball inside"
    ))
}

/// The shell in the place of the section measured.
pub fn shell_overrides(shown: &str) -> String {
    say(format!(
        "governing section: {shown}, the shell's, not the largest ball inside"
    ))
}

/// Masses of a part with infill that nobody weighed.
pub fn infill_needs_mass() -> String {
    say(
        "masses: not evaluated, since the volume does not tell them; weigh a piece (--mass, --state)",
    )
}

/// Where a mass comes from.
pub fn mass_from(weighed: bool, known: bool) -> &'static str {
    match (weighed, known) {
        (true, _) => "scale",
        (false, true) => "volume",
        (false, false) => "not evaluated",
    }
}

/// A pose's name.
pub fn pose(rank: usize) -> String {
    format!("pose {rank}")
}

/// Facts of a pose in words.
pub struct PoseWords<'a> {
    /// Which way is down.
    pub down: &'a str,
    /// It is the one drawn.
    pub as_drawn: bool,
    /// It stands by itself.
    pub stands: bool,
    /// Area, line, point or nothing.
    pub rests_on: &'a str,
    /// It rolls.
    pub rolls: bool,
    /// It rests on a face to be kept off.
    pub kept_off: bool,
    /// Others like it.
    pub alike: usize,
    /// Height.
    pub height: &'a str,
    /// Contact.
    pub contact: &'a str,
    /// Width of the foot.
    pub foot: &'a str,
    /// Tip angle.
    pub tips_at: &'a str,
    /// Overhang.
    pub overhang: &'a str,
    /// Free span.
    pub span: &'a str,
    /// Score.
    pub score: &'a str,
}

/// A pose in a line.
pub fn pose_line(p: &PoseWords) -> String {
    let mut words = vec![format!("down {}", p.down)];
    if p.as_drawn {
        words.push("as drawn".to_owned());
    }
    if p.kept_off {
        words.push("on a face to be kept off the setter".to_owned());
    }
    words.push(match (p.stands, p.rolls) {
        (true, false) => "stands".to_owned(),
        (true, true) if p.rests_on == "nothing" => {
            "rests on edges or tips, no face: it may roll".to_owned()
        }
        (true, true) => format!("rests on {}: it may roll", p.rests_on),
        (false, _) => "falls over".to_owned(),
    });
    if p.alike > 0 {
        words.push(format!("{} like it", count(p.alike, "other", "others")));
    }
    words.push(format!("height {}", p.height));
    words.push(format!("contact {}", p.contact));
    words.push(format!("foot {} wide", p.foot));
    words.push(format!("tips at {}", p.tips_at));
    words.push(format!("overhang {}", p.overhang));
    words.push(format!("free span {}", p.span));
    words.push(format!("score {}", p.score));
    words.join("; ")
}

/// Poses that are not in the list.
pub fn poses_left_out(n: usize) -> String {
    say(format!(
        "{} less steady than these are not listed.",
        count(n, "stable pose", "stable poses")
    ))
}

/// What the ranking goes by.
pub fn ranked_by() -> String {
    say(
        "Best first: those that stand, then those that roll or fall, on faces to be kept off last; \
         among equals by stability 0.4, footprint 0.25, nothing hanging over 0.25, low height 0.1 \
         (assumed).",
    )
}

/// A shell without infill.
pub fn shell_without_infill() -> String {
    say("--shell needs --infill open or closed, and these need --shell.")
}

/// A length or mass that is none.
pub fn not_above_zero() -> String {
    say("it must be above zero")
}

/// Row: convex hull of what rests.
pub fn support_polygon() -> String {
    "support polygon".to_owned()
}

/// What it stands on, and whether it rolls.
pub fn rests_on(what: &str, rolls: bool) -> String {
    let rolls = if rolls {
        "it may roll or tip"
    } else {
        "does not roll"
    };
    format!("{what}; {rolls}")
}

/// Where a mass comes from, beside it.
pub fn from(source: &str) -> &'static str {
    match source {
        "scale" => "from the scale",
        "volume" => "from the volume",
        _ => "",
    }
}
