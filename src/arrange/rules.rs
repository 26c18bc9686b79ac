//! What holds besides distances: mass, value, what must go, where in a field a part may stand.

use super::proof::pose;
use super::task::{Placed, Task};
use crate::geometry::{Outline, P2, Region, inside_margin};

/// Rules besides the distances; an empty list asks nothing.
#[derive(Clone, Debug, Default)]
pub struct Rules {
    /// Mass of a part of each kind, g.
    pub mass_g: Vec<f64>,
    /// Most mass of all parts on each field, g.
    pub most_g: Vec<f64>,
    /// What each part is worth when not all go; without it all are worth the same.
    pub value: Vec<f64>,
    /// Which parts go before which, whatever their value; without it none does.
    pub rank: Vec<Rank>,
    /// For each kind the part of every field where alone it may stand: a convex ring,
    /// counter-clockwise, mm in the frame of the field.
    pub within: Vec<Option<Vec<P2>>>,
    /// Fields that lie inside those rings as a whole, where a kind that has one may stand anywhere; empty where
    /// there is none.
    pub whole: Vec<bool>,
    /// A layout to begin with; what overlaps in it, or stands where it may not, is placed anew.
    pub start: Vec<Placed>,
}

/// Which parts go before which; the greater first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rank {
    /// Goes as far as there is room.
    #[default]
    May,
    /// Goes before all that may.
    Must,
    /// Stands already, and is given up for nothing.
    Stands,
}

/// Sums of masses in another order, and of what went on and off again, are good to this share.
pub const HAIR: f64 = 1e-9;

/// What a part of a greater rank counts for besides its value, in shares of all of lesser rank.
const MUST: f64 = 10.0;

impl Rules {
    /// Mass of a part of a kind, g.
    pub fn mass(&self, kind: usize) -> f64 {
        self.mass_g.get(kind).copied().unwrap_or(0.0)
    }

    /// Most mass on a field, g.
    pub fn most(&self, field: usize) -> f64 {
        self.most_g.get(field).copied().unwrap_or(f64::INFINITY)
    }

    /// Whether a field lies inside the rings of [`Rules::within`].
    pub fn is_whole(&self, field: usize) -> bool {
        self.whole.get(field).copied().unwrap_or(false)
    }

    /// How a part goes before others, whatever their value.
    pub fn rank(&self, part: usize) -> Rank {
        self.rank.get(part).copied().unwrap_or_default()
    }

    /// What each of `count` parts weighs in the choice of those that go.
    pub fn worth(&self, count: usize) -> Vec<f64> {
        let value = |i: usize| self.value.get(i).copied().unwrap_or(1.0);
        let all: f64 = (0..count).map(value).sum();
        let must = (0..count).filter(|i| self.rank(*i) == Rank::Must).count();
        let more = |i: usize| match self.rank(i) {
            Rank::May => 0.0,
            Rank::Must => MUST * all,
            // More than all that may and all that must weigh together.
            Rank::Stands => MUST * all * (1.0 + must as f64),
        };
        (0..count).map(|i| value(i) + more(i)).collect()
    }

    /// Whether they ask nothing.
    pub fn is_empty(&self) -> bool {
        let lists = [&self.mass_g, &self.most_g, &self.value];
        lists.iter().all(|list| list.is_empty())
            && self.rank.is_empty()
            && self.within.iter().all(Option::is_none)
            && self.start.is_empty()
    }

    /// Whether the numbers can be used with the task.
    pub fn sound(&self, task: &Task) -> bool {
        let fits = |len: usize, wanted: usize| len == 0 || len == wanted;
        let numbers = self
            .mass_g
            .iter()
            .chain(&self.value)
            .all(|v| v.is_finite() && *v >= 0.0);
        let rings = self.within.iter().flatten();
        numbers
            && !self.most_g.iter().any(|v| v.is_nan())
            && fits(self.mass_g.len(), task.kinds.len())
            && fits(self.within.len(), task.kinds.len())
            && fits(self.whole.len(), task.fields.len())
            && fits(self.most_g.len(), task.fields.len())
            && fits(self.value.len(), task.parts.len())
            && fits(self.rank.len(), task.parts.len())
            && rings.flatten().flatten().all(|v| v.abs() < 1e6)
    }
}

/// Whether a layout keeps the rules; distances are [`super::prove`]'s. Masses add up in f64.
///
/// # Errors
/// The first part that stands outside its part of the field, or with which a field is too heavy.
pub fn obeys(task: &Task, rules: &Rules, layout: &[Placed]) -> Result<(), Placed> {
    let mut loads = vec![0.0; task.fields.len()];
    for p in layout {
        let kind = *task.parts.get(p.part).ok_or(*p)?;
        let load: &mut f64 = loads.get_mut(p.field).ok_or(*p)?;
        *load += rules.mass(kind);
        if *load > rules.most(p.field) {
            return Err(*p);
        }
        if let Some(Some(ring)) = rules.within.get(kind)
            && !rules.is_whole(p.field)
        {
            let outer = task.kinds[kind].outline.outer.clone();
            let placed = Outline::single(outer).placed(&pose(p));
            let region = Region::Polygon(Outline::single(ring.clone()));
            let inside = inside_margin(&region, &placed);
            if inside.is_none_or(|d| d.is_nan() || d < 0.0) {
                return Err(*p);
            }
        }
    }
    Ok(())
}
