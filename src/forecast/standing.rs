//! What stands in a furnace: partial pressures of what was let in, and of the air that was there when
//! its door closed. Review and forecast follow a program by the same book.
//!
//! Mixed throughout, at one temperature. Nobody but a pump lowers a pressure below that of the air;
//! where more stands in the furnace than was let in, the rest is air.

use super::constants::ATM_PA;
use super::purge;
use crate::profile::EventKind;

/// 1 atm, mbar (exact by definition).
pub const ATMOSPHERE_MBAR: f64 = ATM_PA / 100.0;

/// Below this no more is said of what stands there than that it is a vacuum, mbar (assumed).
const VACUUM_MBAR: f64 = 10.0;

/// Share of a pressure within which a controller holds it (assumed).
const HELD_WITHIN: f64 = 0.05;

/// Share of its pressure below which what was filled in counts as pumped out (assumed).
const PUMPED: f64 = 0.1;

/// A part of what stands in a furnace; `G` names a gas.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part<G> {
    /// Air.
    Air,
    /// A gas that was let in.
    Gas(G),
    /// The inert gas of purges, where nothing says which it is.
    Purging,
}

/// What the furnace does to what stands in it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vessel {
    /// How low its pump gets it, mbar; none without a pump.
    pub pumps_to_mbar: Option<f64>,
    /// Share of a flow that mixes, K of [`purge::after`].
    pub mixing: f64,
}

/// What stands in a furnace.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing<G> {
    vessel: Vessel,
    /// Partial pressures, mbar.
    parts: Vec<(Part<G>, f64)>,
    /// What was filled in last, to stay where no pressure is set.
    filled: Option<Part<G>>,
}

impl<G: Copy + PartialEq> Standing<G> {
    /// Air at 1 atm.
    pub fn air(vessel: Vessel) -> Standing<G> {
        Standing {
            vessel,
            parts: vec![(Part::Air, ATMOSPHERE_MBAR)],
            filled: None,
        }
    }

    /// All partial pressures, mbar.
    pub fn parts(&self) -> &[(Part<G>, f64)] {
        &self.parts
    }

    /// Pressure, mbar.
    pub fn mbar(&self) -> f64 {
        self.parts.iter().map(|(_, mbar)| mbar).sum()
    }

    /// Share of a part, by volume.
    pub fn share(&self, of: Part<G>) -> f64 {
        let there = self.parts.iter().filter(|(part, _)| *part == of);
        let there: f64 = there.map(|(_, mbar)| mbar).sum();
        if there > 0.0 {
            there / self.mbar()
        } else {
            0.0
        }
    }

    /// The part of which there is most.
    pub fn most(&self) -> Part<G> {
        let most = self.parts.iter().max_by(|a, b| a.1.total_cmp(&b.1));
        most.map_or(Part::Air, |(part, _)| *part)
    }

    /// Whether it was pumped so far that nothing of it counts.
    pub fn is_vacuum(&self) -> bool {
        self.filled.is_none() && self.mbar() < VACUUM_MBAR
    }

    /// What was filled in last, however little came in; none once it was pumped far, purged or swept.
    pub fn filled(&self) -> Option<Part<G>> {
        self.filled
    }

    fn scale(&mut self, by: f64) {
        for (_, mbar) in &mut self.parts {
            *mbar *= by;
        }
    }

    /// Lets a part in up to a pressure.
    fn raise(&mut self, part: Part<G>, to_mbar: f64) {
        let more = to_mbar - self.mbar();
        if more <= 0.0 {
            return;
        }
        match self.parts.iter_mut().find(|(there, _)| *there == part) {
            Some((_, mbar)) => *mbar += more,
            None => self.parts.push((part, more)),
        }
    }

    /// Lowers to a pressure: a pump as far as it gets, a vent to that of the air.
    fn lower(&mut self, to_mbar: f64) {
        let to = to_mbar.max(self.vessel.pumps_to_mbar.unwrap_or(ATMOSPHERE_MBAR));
        let now = self.mbar();
        if to < now {
            self.filled = self.filled.filter(|_| to >= PUMPED * now);
            self.scale(to / now);
        }
    }

    /// Pumps down.
    pub fn pump(&mut self, to_mbar: f64) {
        if self.vessel.pumps_to_mbar.is_some() {
            self.lower(to_mbar);
        }
    }

    /// Backfills.
    pub fn fill(&mut self, part: Part<G>, to_mbar: f64) {
        self.raise(part, to_mbar);
        self.filled = Some(part);
    }

    /// Purges with so many volumes at a pressure.
    pub fn purge(&mut self, part: Part<G>, volumes: f64, at_mbar: f64) {
        self.raise(part, at_mbar);
        self.flow(part, volumes);
        self.filled = None;
    }

    /// So many volumes of a part flow through.
    pub fn flow(&mut self, part: Part<G>, volumes: f64) {
        let mbar = self.mbar();
        self.scale(purge::after(1.0, 0.0, volumes, self.vessel.mixing));
        self.raise(part, mbar);
    }

    /// An event of a segment at a pressure where one is set. `gas` finds a gas by its slug, and `purges`
    /// is that of purges, where that is known.
    pub fn event<'a>(
        &mut self,
        kind: &'a EventKind,
        set_mbar: Option<f64>,
        gas: impl Fn(&'a String) -> Option<G>,
        purges: Option<G>,
    ) {
        match kind {
            EventKind::PumpDown { to_mbar } => self.pump(*to_mbar),
            EventKind::Backfill { gas: slug, to_mbar } => {
                if let Some(gas) = gas(slug) {
                    self.fill(Part::Gas(gas), *to_mbar);
                }
            }
            EventKind::PurgeInert { volumes } => {
                let part = purges.map_or(Part::Purging, Part::Gas);
                self.purge(part, *volumes, set_mbar.unwrap_or(ATMOSPHERE_MBAR));
            }
            _ => {}
        }
    }

    /// Volumes of a furnace, L, that so many L at 25 °C and 1 atm come to at this pressure: at a lower
    /// one the same gas fills more, down to a thousandth of 1 atm (assumed).
    pub fn volumes(&self, gas_l: f64, furnace_l: f64) -> f64 {
        gas_l / (furnace_l * (self.mbar() / ATMOSPHERE_MBAR).clamp(1e-3, 1.0))
    }

    /// A segment begins: with a gas of its own, which flows or stands, and at a pressure where one is
    /// set. Where neither is, the pump runs on what was not filled in.
    pub fn segment(&mut self, own: Option<G>, flows: bool, set_mbar: Option<f64>) {
        match (own, set_mbar) {
            (Some(gas), set) => {
                let to = set.unwrap_or(ATMOSPHERE_MBAR);
                self.lower(to);
                self.raise(Part::Gas(gas), to);
                self.filled = self.filled.filter(|_| !flows);
            }
            (None, Some(to)) if to > (1.0 + HELD_WITHIN) * self.mbar() => {
                self.raise(Part::Air, to.min(ATMOSPHERE_MBAR));
            }
            (None, Some(to)) => self.lower(to),
            (None, None) if self.filled.is_none() => self.pump(0.0),
            (None, None) => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Part::{Air, Gas};
    use super::*;

    fn furnace(pumps_to_mbar: Option<f64>) -> Standing<u8> {
        Standing::air(Vessel {
            pumps_to_mbar,
            mixing: 1.0,
        })
    }

    #[test]
    fn what_is_pumped_and_filled_is_diluted_by_the_ratio_of_the_pressures() {
        // 1 mbar left of 1013 mbar of air, three times: (1/1013.25)³ of it.
        let mut now = furnace(Some(0.01));
        for _ in 0..3 {
            now.pump(1.0);
            now.fill(Gas(1), ATMOSPHERE_MBAR);
        }
        let left = now.share(Air) * libm::pow(ATMOSPHERE_MBAR, 3.0);
        assert!((left - 1.0).abs() < 1e-9, "{left}");
        assert_eq!(now.most(), Gas(1));
        assert!((now.mbar() - ATMOSPHERE_MBAR).abs() < 1e-9);
    }

    #[test]
    fn a_flow_leaves_what_a_mixed_vessel_leaves() {
        let mut now = furnace(None);
        now.segment(Some(1), true, None);
        assert_eq!(now.share(Air), 1.0);
        now.flow(Gas(1), 3.0);
        assert!((now.share(Air) - libm::exp(-3.0)).abs() < 1e-12);
        // A name drives nothing out.
        let before = now.clone();
        now.segment(Some(2), false, None);
        assert_eq!(now.parts(), before.parts());
    }

    #[test]
    fn without_a_pump_nothing_falls_below_the_pressure_of_the_air() {
        let mut now = furnace(None);
        now.fill(Gas(1), 2.0 * ATMOSPHERE_MBAR);
        now.pump(0.1);
        assert!((now.mbar() - 2.0 * ATMOSPHERE_MBAR).abs() < 1e-9);
        now.segment(None, false, Some(0.1));
        assert!((now.mbar() - ATMOSPHERE_MBAR).abs() < 1e-9);
        assert!((now.share(Gas(1)) - 0.5).abs() < 1e-12);
    }

    #[test]
    fn what_stands_above_what_was_let_in_is_air() {
        let mut now = furnace(Some(0.01));
        now.pump(0.1);
        now.fill(Gas(1), 800.0);
        // As a controller holds it.
        now.segment(None, false, Some(830.0));
        assert!(now.share(Air) < 1e-3);
        now.segment(None, false, Some(1000.0));
        assert!((now.share(Air) - 0.2).abs() < 1e-3);
        // No more of it than stands outside.
        now.segment(None, false, Some(1200.0));
        assert!((now.mbar() - ATMOSPHERE_MBAR).abs() < 1e-9);
        // Pumped in part the same stands thinner; by itself the pump goes all the way.
        now.pump(300.0);
        assert_eq!(now.most(), Gas(1));
        now.segment(None, false, None);
        assert!((now.mbar() - 300.0).abs() < 1e-9);
        now.pump(0.5);
        now.segment(None, false, None);
        assert!(now.is_vacuum());
    }
}
