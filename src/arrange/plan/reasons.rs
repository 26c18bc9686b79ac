//! Why a piece was left out, and what would let it in.

use super::super::task::{Field, Ground, Kind, Turns};
use super::pieces::{Piece, Refused, Seat};
use super::{Furniture, Keep, posts};
use crate::catalogue::Catalogue;
use crate::geometry::{P2, Pose};
use crate::load::{Carrier, LevelId, LotId, Plan, Stack};
use crate::text::arranging as words;
use crate::text::arranging_ways as ways;

/// Pieces of one kind that still wait, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftOut {
    /// The part, with its lot.
    pub name: String,
    /// The lot, where there is one.
    pub lot: Option<LotId>,
    /// Pieces.
    pub count: usize,
    /// Whether they must go.
    pub must: bool,
    /// Why.
    pub why: Why,
    /// What the review would have found in other layouts with pieces of the lot, in words: where
    /// there is such, that comes first, and no longer search is promised.
    pub held: Vec<String>,
    /// Whether levels may be set up anew with what is in stock.
    pub anew: bool,
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
        /// What is known of longer posts in stock.
        longer: Longer,
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
    /// Their alloy or feedstock does not go onto the material of any setter looked at; one of them.
    Material(String),
    /// There is no room left.
    NoRoom {
        /// About how many of them one setter more would take.
        one_more_takes: usize,
        /// What is known of one more in stock.
        more: OneMore,
        /// Whether the search was stopped before its end.
        stopped: bool,
    },
    /// With them the review would find something new: its words.
    Review(String),
}

impl Why {
    /// Whether it is only that no place was found, where the review may be why.
    pub(super) fn may_be_held(&self) -> bool {
        match self {
            Why::NoRoom { .. } => true,
            Why::TooHigh { longer, .. } => *longer == Longer::There,
            _ => false,
        }
    }
}

/// Longer posts for what is too high.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Longer {
    /// The stock was not looked at.
    NotAsked,
    /// There are some, and the stack has the height for them.
    There,
    /// So many mm long, but none of the kind in use is left.
    NotInStock(f64),
    /// There are some, but the stack would be so many mm too high.
    StackTooHigh(f64),
}

/// A setter more.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OneMore {
    /// The stock was not looked at.
    NotAsked,
    /// There is one, and the stack has the height for it.
    There,
    /// None of the kind is left.
    NotInStock,
    /// There is one, but no posts of the length in mm that it needs are left.
    NoPosts(f64),
    /// There is one, but the stack would be so many mm too high.
    StackTooHigh(f64),
}

impl LeftOut {
    /// What is left out, why, and what would let it in.
    pub fn sentence(&self) -> String {
        match self.must {
            true => format!("{} {}", ways::must_go(), self.plain()),
            false => self.plain(),
        }
    }

    /// Whether the review is what keeps the pieces out first.
    pub(super) fn is_for_review(&self) -> bool {
        matches!(self.why, Why::Review(_)) || !self.held.is_empty()
    }

    fn plain(&self) -> String {
        let (n, name) = (self.count, self.name.as_str());
        let held = !self.held.is_empty();
        let wait = match held {
            true => words::held_back(n, name, &self.held),
            false => words::wait(n, name),
        };
        match &self.why {
            Why::TooHigh {
                height_mm,
                level,
                lacks_mm,
                above,
                longer,
            } => {
                let above = above
                    .as_ref()
                    .map(|(level, posts)| (level.as_str(), *posts));
                let why = words::too_high(&wait, *height_mm, (level, *lacks_mm), above);
                let more = match *longer {
                    Longer::NotAsked => return why,
                    Longer::There => ways::such_posts_there(!held, self.anew),
                    Longer::NotInStock(mm) => ways::no_such_posts(mm),
                    Longer::StackTooHigh(mm) => ways::posts_too_high(mm),
                };
                format!("{why} {more}")
            }
            Why::TooWide { needs_mm, has_mm } => words::too_wide(n, name, *needs_mm, *has_mm),
            Why::OtherFeedstock => words::other_feedstock(n, name),
            Why::Material(material) => words::not_onto(n, name, material),
            Why::NoRoom {
                one_more_takes,
                more,
                stopped,
            } => {
                let why = words::no_room_left(&wait, *one_more_takes, *stopped);
                let more = match *more {
                    OneMore::NotAsked => return why,
                    OneMore::There => ways::setter_there(!held, self.anew),
                    OneMore::NotInStock => ways::no_setter(),
                    OneMore::NoPosts(mm) => ways::no_posts_for_it(mm),
                    OneMore::StackTooHigh(mm) => ways::setter_too_high(mm),
                };
                format!("{why} {more}")
            }
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
    /// The plan as it would be, with the stock that may be used for it.
    pub now: &'a Plan,
    pub furniture: Option<&'a Furniture>,
    pub catalogue: &'a Catalogue,
    pub keep: Keep,
    /// Whether the search was stopped before its end.
    pub stopped: bool,
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
                Refused::OtherFeedstock | Refused::Material(_) => None,
            });
            let material = self.seats.iter().find_map(|seat| match refused(seat)? {
                Refused::Material(id) => Some(id),
                _ => None,
            });
            let otherwise = || match material {
                Some(id) => {
                    let named = self.catalogue.material(&id).map(|m| m.name.clone());
                    Why::Material(named.unwrap_or(id))
                }
                None => Why::OtherFeedstock,
            };
            let least = lacking.min_by(|a, b| a.1.total_cmp(&b.1));
            return least.map_or_else(otherwise, |(level, lacks_mm)| Why::TooHigh {
                height_mm: piece.height_mm,
                level: self.plan.level_label(level),
                lacks_mm,
                above: self.above(level),
                longer: self.longer(level, lacks_mm).unwrap_or(Longer::NotAsked),
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
        let level = open.first().map(|(seat, _)| seat.level);
        let more = level.and_then(|level| self.one_more(level, piece.height_mm));
        Why::NoRoom {
            one_more_takes: (takes as usize).max(1),
            more: more.unwrap_or(OneMore::NotAsked),
            stopped: self.stopped,
        }
    }

    /// The stack of a level in the plan as it would be, and the posts under the level above it, or
    /// where that is the highest, those under itself: their slug and how many.
    fn on_posts(&self, level: LevelId) -> Option<(&Stack, &str, usize)> {
        let (stack, here) = self.now.level(level)?;
        let above = stack.levels.iter().skip_while(|l| l.id != level).nth(1);
        match &above.unwrap_or(here).carrier {
            Carrier::Posts { post, at_mm } => Some((stack, post, at_mm.len())),
            _ => None,
        }
    }

    /// What the stock has of posts that are longer by so much, mm.
    fn longer(&self, level: LevelId, lacks_mm: f64) -> Option<Longer> {
        let furniture = self.furniture?;
        let (stack, post, sets_of) = self.on_posts(level)?;
        // Under the roof no post helps.
        stack.levels.last().filter(|l| l.id != level)?;
        let now_mm = self.catalogue.post(post)?.length_mm;
        let mut used = posts::used(self.now);
        posts::give_back(&mut used, post, sets_of);
        let alike = posts::alike(self.catalogue, post);
        let least_mm = now_mm + lacks_mm;
        let found = posts::shortest(&alike, least_mm, sets_of, (furniture, &used));
        let Some(found) = found else {
            return Some(Longer::NotInStock(least_mm));
        };
        let spare_mm = posts::spare_mm(stack, self.now, self.catalogue, self.keep)?;
        let over_mm = found.length_mm - now_mm - spare_mm;
        Some(match over_mm > 0.0 {
            true => Longer::StackTooHigh(over_mm),
            false => Longer::There,
        })
    }

    /// What the stock has for one setter more, for pieces so high, mm.
    fn one_more(&self, level: LevelId, height_mm: f64) -> Option<OneMore> {
        let furniture = self.furniture?;
        let (stack, post, sets_of) = self.on_posts(level)?;
        let setter = &self.now.level(level)?.1.setter;
        let used = posts::setters(self.now).get(setter).copied().unwrap_or(0);
        if furniture.count(setter) <= used {
            return Some(OneMore::NotInStock);
        }
        let alike = posts::alike(self.catalogue, post);
        let stock = (furniture, &posts::used(self.now));
        let needs_mm = height_mm + self.keep.head_mm;
        let Some(found) = posts::shortest(&alike, needs_mm, sets_of, stock) else {
            return Some(OneMore::NoPosts(needs_mm));
        };
        let spare_mm = posts::spare_mm(stack, self.now, self.catalogue, self.keep)?;
        let thickness_mm = self.catalogue.setter(setter)?.thickness_mm;
        let over_mm = found.length_mm + thickness_mm - spare_mm;
        Some(match over_mm > 0.0 {
            true => OneMore::StackTooHigh(over_mm),
            false => OneMore::There,
        })
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

/// Turns looked at of what may be turned anyhow, in half a circle.
const LOOKED_AT: usize = 360;

/// The least that a kind needs across in a turn that suits the field best, and what the field has
/// there, mm. What may be turned anyhow needs no less than is told.
fn needs_mm(kind: &Kind, field: &Field) -> (f64, f64) {
    let ring = &kind.outline.outer;
    let farthest = |a: &P2| {
        let apart = ring.iter().map(|b| libm::hypot(a[0] - b[0], a[1] - b[1]));
        apart.fold(0.0, f64::max)
    };
    let diameter = ring.iter().map(farthest).fold(0.0, f64::max);
    let step = 180.0 / LOOKED_AT as f64;
    let any: Vec<f64> = (0..LOOKED_AT).map(|i| step * i as f64).collect();
    // Turned by half a step what it needs changes by no more than that.
    let (angles, slack) = match &kind.turns {
        Turns::Of(list) => (list, 0.0),
        Turns::Any => (&any, diameter * (step / 2.0).to_radians()),
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
            let (x, y) = (x - slack, y - slack);
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
            (diameter, d - less)
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Shape;

    #[test]
    fn what_fits_at_a_few_degrees_alone_is_not_too_wide() {
        let field = Field {
            ground: Ground::Rectangle { w: 300.0, h: 200.0 },
            margin: 3.0,
            fixed: Vec::new(),
            accepts: Vec::new(),
        };
        let bar = |l: f64| Kind {
            outline: Shape {
                outer: vec![[0.0, 0.0], [l, 0.0], [l, 3.0], [0.0, 3.0]],
                holes: Vec::new(),
            },
            turns: Turns::Any,
        };
        // Turned by 33 degrees it takes 285.1 x 186.6 of 294 x 194; the diagonal is 352.2.
        assert!(fits(&bar(338.0), &field));
        assert!(!fits(&bar(356.0), &field));
    }
}
