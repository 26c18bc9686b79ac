//! After the search, at the same pieces on the same levels: whole levels turned so that masses lie
//! against each other, pieces in rows, pieces or masses about the middle. Of all combinations the one
//! that weighs least is taken. Every step keeps what the proof and the rules ask for.

use super::super::proof::prove;
use super::super::rules::obeys;
use super::super::task::{Placed, Turns, Watch};
use super::figures::IN_LINE;
use super::{Arrangement, Figures};
use crate::geometry::P2;
use crate::load::{Level, Sizes};
use crate::statics::level_centre;
use std::sync::Arc;

/// A stack's centre of mass must come so much nearer to its axis for a level to be turned, mm
/// (assumed: less is within what a hand sets down).
const WORTH_MM: f64 = 1.0;
/// Pieces so near to a common line are set on it, mm (assumed).
const ROW_MM: f64 = 8.0;
/// Rounds over the pieces of a level (assumed).
const ROUNDS: usize = 2;
/// Shares of the way to the middle that a level is tried to be moved (assumed).
const SHARES: [f64; 4] = [1.0, 0.75, 0.5, 0.25];

impl Arrangement {
    /// A layout as the weights ask for it, of all ways to finish it the one with the fewest points;
    /// then the layout as it was found, where that is another one.
    pub(super) fn finish(&self, placed: Vec<Placed>, watch: &Watch) -> Vec<Vec<Placed>> {
        if watch.cancelled() {
            return vec![placed];
        }
        let mut rows = placed.clone();
        for field in 0..self.seats.len() {
            self.in_rows(&mut rows, field, watch);
        }
        let mut all = Vec::new();
        for one in [placed.clone(), rows] {
            let (mut drawn, mut centred) = (one.clone(), one.clone());
            self.drawn(&mut drawn);
            self.centred(&mut centred);
            all.extend([one, drawn, centred]);
        }
        all.iter_mut().for_each(|one| self.turned(one));
        // Whatever was done is done with what was proved only.
        let mut ways: Vec<(f64, Vec<Placed>)> = Vec::new();
        for one in std::iter::once(placed.clone()).chain(all) {
            if ways.iter().any(|(_, other)| *other == one)
                || (!ways.is_empty() && !self.holds(&one))
            {
                continue;
            }
            let points = self.points(&one);
            ways.push((points.unwrap_or(f64::INFINITY), one));
        }
        ways.sort_by(|a, b| a.0.total_cmp(&b.0));
        let best = ways.into_iter().next().map(|(_, one)| one);
        let other = best.as_ref().is_some_and(|best| *best != placed);
        best.into_iter().chain(other.then_some(placed)).collect()
    }

    /// Points of a layout; its setters and their height are the same in all of them.
    fn points(&self, placed: &[Placed]) -> Option<f64> {
        let plan = self.step(placed)?.apply(&self.plan, &self.catalogue).ok()?;
        let figures = Figures::without_areas(&plan, &self.catalogue);
        let [points, _] = self.aims.weights.weighed([&figures; 2]).points;
        Some(points)
    }

    /// Whether a field's pieces may stand so.
    fn holds(&self, here: &[Placed]) -> bool {
        prove(&self.task, here, None).is_ok() && obeys(&self.task, &self.rules, here).is_ok()
    }

    fn on(placed: &[Placed], field: usize) -> Vec<Placed> {
        placed
            .iter()
            .filter(|p| p.field == field)
            .copied()
            .collect()
    }

    /// What is on each field: mass in all, g, its moment, and the moment of what may be moved,
    /// g·mm, about the setter's middle. None where a mass is not known.
    fn moments(&self, placed: &[Placed]) -> Option<Vec<(f64, P2, P2)>> {
        let plan = self.step(placed)?.apply(&self.plan, &self.catalogue).ok()?;
        let sizes = Sizes::new(&plan, &self.catalogue);
        let moment = |level: &Level| {
            let centre = level_centre(level, &plan, &self.catalogue, &sizes);
            let at = centre.at_mm.map(|v| centre.mass_g * v);
            (centre.unknown == 0).then_some((centre.mass_g, at))
        };
        let moved = |id| {
            let stood = self.copies.iter().any(|c| c.placed == Some(id));
            stood || id >= self.first_new()
        };
        let of = |seat: &super::Seat| {
            let (_, level) = plan.level(seat.level)?;
            let (mass_g, all) = moment(level)?;
            let mut rest = Level::clone(level);
            rest.placements.retain(|p| !moved(p.id));
            let (_, stays) = moment(&rest)?;
            Some((mass_g, all, [all[0] - stays[0], all[1] - stays[1]]))
        };
        self.seats.iter().map(of).collect()
    }

    /// A field's pieces turned about its setter's middle by quarters of a turn; none where one may
    /// not stand so.
    fn quarter(&self, here: &[Placed], field: usize, quarters: u8) -> Option<Vec<Placed>> {
        let middle = self.seats.get(field)?.middle;
        let angle = 90.0 * f64::from(quarters);
        let turn = |p: &Placed| {
            let kind = *self.task.parts.get(p.part)?;
            let to = (p.angle + angle).rem_euclid(360.0);
            let same = |a: f64| (a.rem_euclid(360.0) - to).abs() < 1e-6;
            let angle = match &self.task.kinds.get(kind)?.turns {
                Turns::Any => to,
                Turns::Of(list) => list.iter().copied().find(|a| same(*a))?,
            };
            let (x, y) = (p.x - middle[0], p.y - middle[1]);
            let [x, y] = quarter(quarters, [x, y]);
            Some(Placed {
                x: x + middle[0],
                y: y + middle[1],
                angle,
                ..*p
            })
        };
        here.iter().map(turn).collect()
    }

    /// Turns whole levels so that the centre of mass of each stack comes to its axis.
    fn turned(&self, placed: &mut [Placed]) {
        let Some(moments) = self.moments(placed) else {
            return;
        };
        for stack in &self.plan.load.stacks {
            let at = |l: &Arc<Level>| self.seats.iter().position(|s| s.level == l.id);
            let fields: Vec<usize> = stack.levels.iter().filter_map(at).collect();
            let of = |f: &usize| moments.get(*f).copied().unwrap_or_default();
            let mass_g: f64 = fields.iter().map(|f| of(f).0).sum();
            let mut sum = fields.iter().fold([0.0; 2], |sum: P2, f| add(sum, of(f).1));
            let mut order = fields.clone();
            let weight = |f: &usize| of(f).2.iter().map(|v| v * v).sum::<f64>();
            order.sort_by(|a, b| weight(b).total_cmp(&weight(a)).then(a.cmp(b)));
            for field in order {
                let (_, _, own) = of(&field);
                let here = Arrangement::on(placed, field);
                let without = [sum[0] - own[0], sum[1] - own[1]];
                let mut best = (sum, None);
                for quarters in 1..4 {
                    let then = add(without, quarter(quarters, own));
                    let nearer_mm = (length(best.0) - length(then)) / mass_g.max(1e-9);
                    if nearer_mm < WORTH_MM {
                        continue;
                    }
                    let turned = self.quarter(&here, field, quarters);
                    if let Some(turned) = turned.filter(|t| self.holds(t)) {
                        best = (then, Some(turned));
                    }
                }
                sum = best.0;
                replace(placed, best.1.unwrap_or_default());
            }
        }
    }

    /// Moves what stands on each level so that its own centre of mass comes to the middle.
    fn centred(&self, placed: &mut [Placed]) {
        let mass = |p: &Placed| {
            let kind = self.task.parts.get(p.part).copied();
            kind.map_or(0.0, |kind| self.rules.mass(kind))
        };
        for (field, (_, all, _)) in self.moments(placed).into_iter().flatten().enumerate() {
            let here = Arrangement::on(placed, field);
            let mass_g: f64 = here.iter().map(mass).sum();
            if mass_g > 0.0 {
                let off = all.map(|v| v / mass_g);
                replace(placed, self.moved(&here, off));
            }
        }
    }

    /// Moves what may be moved on each level so that its pieces, each counted once, lie about the
    /// middle.
    fn drawn(&self, placed: &mut [Placed]) {
        for (field, seat) in self.seats.iter().enumerate() {
            let here = Arrangement::on(placed, field);
            let sum = here.iter().fold([0.0; 2], |sum, p| add(sum, [p.x, p.y]));
            let count = here.len().max(1) as f64;
            let off = [0, 1].map(|k| sum[k] / count - seat.middle[k]);
            replace(placed, self.moved(&here, off));
        }
    }

    /// What is on a field moved against an offset, as far as it may stand; nothing where it may not
    /// at all.
    fn moved(&self, here: &[Placed], off: P2) -> Vec<Placed> {
        let found = SHARES.iter().find_map(|share| {
            let moved = |p: &Placed| Placed {
                x: p.x - share * off[0],
                y: p.y - share * off[1],
                ..*p
            };
            let moved: Vec<Placed> = here.iter().map(moved).collect();
            self.holds(&moved).then_some(moved)
        });
        found.unwrap_or_default()
    }

    /// Sets pieces of one kind that are near a common line on it, turned alike where they can be.
    fn in_rows(&self, placed: &mut [Placed], field: usize, watch: &Watch) {
        let mut here = Arrangement::on(placed, field);
        let part = |p: &Placed| {
            let kind = self.task.parts.get(p.part)?;
            self.pieces.get(*kind)?.model.item.part()
        };
        for _ in 0..ROUNDS {
            for i in 0..here.len() {
                if watch.cancelled() {
                    break;
                }
                let Some(&one) = here.get(i) else { continue };
                let alike = |p: &&Placed| p.part != one.part && part(p) == part(&one);
                let others: Vec<Placed> = here.iter().filter(alike).copied().collect();
                for to in lines(&one, &others) {
                    let mut with = here.clone();
                    if let Some(piece) = with.get_mut(i) {
                        *piece = to;
                    }
                    let may = self.may_be_turned_so(&to);
                    if may && self.holds(&with) {
                        here = with;
                        break;
                    }
                }
            }
        }
        replace(placed, here);
    }

    fn may_be_turned_so(&self, p: &Placed) -> bool {
        let kind = self
            .task
            .parts
            .get(p.part)
            .and_then(|k| self.task.kinds.get(*k));
        kind.is_some_and(|kind| match &kind.turns {
            Turns::Any => true,
            Turns::Of(list) => list.iter().any(|a| (a - p.angle).abs() < 1e-6),
        })
    }
}

/// Places for a piece on the lines of others near it, turned like them: on two lines at once first,
/// then the nearest.
fn lines(one: &Placed, others: &[Placed]) -> Vec<Placed> {
    let near = |a: f64, b: f64| (a - b).abs() < ROW_MM;
    let mut found: Vec<(bool, f64, Placed)> = Vec::new();
    for x in others.iter().filter(|o| near(o.x, one.x)) {
        let to = Placed {
            x: x.x,
            angle: x.angle,
            ..*one
        };
        found.push((false, (x.x - one.x).abs(), to));
        for y in others
            .iter()
            .filter(|o| near(o.y, one.y) && o.angle == x.angle)
        {
            let far = (x.x - one.x).abs() + (y.y - one.y).abs();
            found.push((true, far, Placed { y: y.y, ..to }));
        }
    }
    for y in others.iter().filter(|o| near(o.y, one.y)) {
        let to = Placed {
            y: y.y,
            angle: y.angle,
            ..*one
        };
        found.push((false, (y.y - one.y).abs(), to));
    }
    found.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.total_cmp(&b.1)));
    let stands = |to: &Placed| {
        let same = (to.angle - one.angle).abs() < IN_LINE;
        same && (to.x - one.x).abs() < 1e-9 && (to.y - one.y).abs() < 1e-9
    };
    let better = found.into_iter().map(|(_, _, to)| to);
    // Where it is already as good as that nothing is tried.
    better
        .take_while(|to| !stands(to))
        .take(MOST_LINES)
        .collect()
}

/// Places tried for a piece (assumed).
const MOST_LINES: usize = 6;

fn quarter(quarters: u8, [x, y]: P2) -> P2 {
    match quarters % 4 {
        1 => [-y, x],
        2 => [-x, -y],
        3 => [y, -x],
        _ => [x, y],
    }
}

fn add(a: P2, b: P2) -> P2 {
    [a[0] + b[0], a[1] + b[1]]
}

fn length(a: P2) -> f64 {
    libm::hypot(a[0], a[1])
}

/// Puts pieces in the place of the same.
fn replace(placed: &mut [Placed], with: Vec<Placed>) {
    for piece in with {
        if let Some(old) = placed.iter_mut().find(|p| p.part == piece.part) {
            *old = piece;
        }
    }
}
