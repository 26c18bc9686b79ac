//! Why a piece was left out, and what would let it in.

use super::super::task::{Field, Ground, Kind, Turns};
use super::pieces::{Piece, Refused, Seat};
use crate::geometry::{P2, Pose};
use crate::load::{Carrier, LevelId, LotId, Plan};
use crate::text::arranging as words;

/// Pieces of one kind that still wait, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftOut {
    /// The part, with its lot.
    pub name: String,
    /// The lot, where there is one.
    pub lot: Option<LotId>,
    /// Pieces.
    pub count: usize,
    /// Why.
    pub why: Why,
}

/// Why pieces are left out.
#[derive(Clone, Debug, PartialEq)]
pub enum Why {
    /// They are higher than the room on every level that would take them.
    TooHigh {
        /// Their height at the largest, mm.
        height_mm: f64,
        /// The level that lacks least.
        level: String,
        /// What it lacks, mm.
        lacks_mm: f64,
        /// The level above it, and whether that stands on posts; none under the roof.
        above: Option<(String, bool)>,
    },
    /// They are larger than every face.
    TooWide {
        /// The least that they need across, mm.
        needs_mm: f64,
        /// The most that a face has, mm.
        has_mm: f64,
    },
    /// No level that is looked at takes their feedstock on their support.
    OtherFeedstock,
    /// There is no room left.
    NoRoom {
        /// About how many of them one setter more would take.
        one_more_takes: usize,
    },
    /// With them the review would find something new: its words.
    Review(String),
}

impl LeftOut {
    /// What is left out, why, and what would let it in.
    pub fn sentence(&self) -> String {
        let (n, name) = (self.count, self.name.as_str());
        match &self.why {
            Why::TooHigh {
                height_mm,
                level,
                lacks_mm,
                above,
            } => {
                let above = above
                    .as_ref()
                    .map(|(level, posts)| (level.as_str(), *posts));
                words::too_high(n, name, *height_mm, (level, *lacks_mm), above)
            }
            Why::TooWide { needs_mm, has_mm } => words::too_wide(n, name, *needs_mm, *has_mm),
            Why::OtherFeedstock => words::other_feedstock(n, name),
            Why::NoRoom { one_more_takes } => words::no_room_left(n, name, *one_more_takes),
            Why::Review(found) => words::left_for_review(n, name, found),
        }
    }
}

/// What a kind that waits is held against.
pub(super) struct Places<'a> {
    pub plan: &'a Plan,
    pub fields: &'a [Field],
    pub seats: &'a [Seat],
    /// Largest share of a setter that was filled.
    pub filled: f64,
}

impl Places<'_> {
    /// Why pieces of a kind found no place; `area_mm2` is what one takes.
    pub fn why(&self, index: usize, piece: &Piece, kind: &Kind, area_mm2: f64) -> Why {
        let refused = |seat: &Seat| seat.refused.get(index).cloned().flatten();
        let mut open = self.seats.iter().zip(self.fields);
        let open: Vec<(&Seat, &Field)> = open
            .by_ref()
            .filter(|(s, _)| refused(s).is_none())
            .collect();
        if open.is_empty() {
            let lacking = self.seats.iter().filter_map(|seat| match refused(seat)? {
                Refused::TooHigh { room_mm } => Some((seat.level, piece.height_mm - room_mm)),
                Refused::OtherFeedstock => None,
            });
            let least = lacking.min_by(|a, b| a.1.total_cmp(&b.1));
            return least.map_or(Why::OtherFeedstock, |(level, lacks_mm)| Why::TooHigh {
                height_mm: piece.height_mm,
                level: self.plan.level_label(level),
                lacks_mm,
                above: self.above(level),
            });
        }
        let needs = open.iter().map(|(_, field)| (needs_mm(kind, field), field));
        let worst = needs.map(|((needs, has), _)| (needs, has));
        let fits = |(needs, has): &(f64, f64)| needs <= has;
        let all: Vec<(f64, f64)> = worst.collect();
        if !all.iter().any(fits) {
            let nearest = all
                .into_iter()
                .min_by(|a, b| (a.0 - a.1).total_cmp(&(b.0 - b.1)));
            if let Some((needs_mm, has_mm)) = nearest {
                return Why::TooWide { needs_mm, has_mm };
            }
        }
        let largest = open.iter().map(|(s, _)| s.area_mm2).fold(0.0, f64::max);
        let takes = (self.filled * largest / area_mm2).floor();
        Why::NoRoom {
            one_more_takes: (takes as usize).max(1),
        }
    }

    fn above(&self, level: LevelId) -> Option<(String, bool)> {
        let (stack, _) = self.plan.level(level)?;
        let next = stack.levels.iter().skip_while(|l| l.id != level).nth(1)?;
        let posts = matches!(next.carrier, Carrier::Posts { .. });
        Some((self.plan.level_label(next.id), posts))
    }
}

/// Whether a kind is no larger than a field in a turn that it may take.
pub(super) fn fits(kind: &Kind, field: &Field) -> bool {
    let (needs, has) = needs_mm(kind, field);
    needs <= has
}

/// The least that a kind needs across in a turn that suits the field best, and what the field has
/// there, mm.
fn needs_mm(kind: &Kind, field: &Field) -> (f64, f64) {
    let any: Vec<f64> = (0..36).map(|i| 5.0 * f64::from(i)).collect();
    let angles = match &kind.turns {
        Turns::Of(list) => list,
        Turns::Any => &any,
    };
    let across = |angle_deg: f64| -> [f64; 2] {
        let turn = Pose {
            angle_deg,
            ..Pose::at(0.0, 0.0)
        };
        let points: Vec<P2> = kind.outline.outer.iter().map(|p| turn.apply(*p)).collect();
        extent(&points)
    };
    let less = 2.0 * field.margin;
    let sides = |[w, h]: [f64; 2]| {
        let least = |angle: &f64| {
            let [x, y] = across(*angle);
            let (over_x, over_y) = (x - (w - less), y - (h - less));
            if over_x > over_y {
                (x, w - less)
            } else {
                (y, h - less)
            }
        };
        let all = angles.iter().map(least);
        all.min_by(|a, b| (a.0 - a.1).total_cmp(&(b.0 - b.1)))
            .unwrap_or((0.0, 0.0))
    };
    match &field.ground {
        Ground::Rectangle { w, h } => sides([*w, *h]),
        Ground::Polygon(ring) => sides(extent(ring)),
        Ground::Disc { d } => {
            // The widest distance of two corners: less than that no disc is.
            let ring = &kind.outline.outer;
            let far = |a: &P2| {
                let apart = ring.iter().map(|b| libm::hypot(a[0] - b[0], a[1] - b[1]));
                apart.fold(0.0, f64::max)
            };
            (ring.iter().map(far).fold(0.0, f64::max), d - less)
        }
    }
}

fn extent(points: &[P2]) -> [f64; 2] {
    [0, 1].map(|k| {
        let all = points.iter().map(|p| p[k]);
        let low = all.clone().fold(f64::INFINITY, f64::min);
        all.fold(f64::NEG_INFINITY, f64::max) - low
    })
}
