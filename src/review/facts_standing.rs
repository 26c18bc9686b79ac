//! What stands in the furnace while the planned program runs, by the book of `forecast::standing`.

use super::facts::Facts;
use super::facts_profile::Step;
use crate::catalogue::{AIR_OXYGEN, Gas, OXYGEN_OF_INERT};
use crate::forecast::standing::{ATMOSPHERE_MBAR, Part, Standing, Vessel};
use crate::profile::{EventAt, EventKind};

/// What stands in the furnace at a setpoint, °C.
pub type Moment<'a> = (Standing<&'a str>, f64);

/// A segment and what stands in the furnace during it.
#[derive(Clone, Debug)]
pub struct Stands<'a> {
    /// The segment.
    pub step: Step<'a>,
    /// After each of its start events.
    pub starts: Vec<Standing<&'a str>>,
    /// Once its start events are over and its pressure is there, before anything has flowed.
    pub begins: Standing<&'a str>,
    /// Before its end events.
    pub ends: Standing<&'a str>,
    /// After each of its end events.
    pub finishes: Vec<Standing<&'a str>>,
    /// What stands there whenever air or a gas of oxygen comes in.
    pub air_into: Vec<Standing<&'a str>>,
    /// Volumes a minute of its own gas; none where nothing tells the furnace's volume.
    per_min: Option<f64>,
}

impl<'a> Stands<'a> {
    /// After so many minutes of its flow.
    pub fn after(&self, minutes: f64) -> Standing<&'a str> {
        let mut now = self.begins.clone();
        if let (Some(gas), Some(per_min)) = (self.step.segment.gas.as_deref(), self.per_min) {
            now.flow(Part::Gas(gas), per_min * minutes);
        }
        now
    }

    /// What stands there wherever the setpoint is at least so high: after each event, as it begins, where
    /// its ramp of so many minutes passes that temperature, and as it ends.
    pub fn moments(&self, from_c: f64, ramp_min: f64) -> Vec<Moment<'a>> {
        let (start_c, to_c) = (self.step.from_c, self.step.segment.to_c);
        let mut out = Vec::new();
        if start_c >= from_c {
            out.extend(self.starts.iter().map(|now| (now.clone(), start_c)));
            out.push((self.begins.clone(), start_c));
        }
        if (start_c >= from_c) != (to_c >= from_c) {
            let share = (from_c - start_c) / (to_c - start_c);
            out.push((self.after(share * ramp_min), from_c));
        }
        if to_c >= from_c {
            out.push((self.ends.clone(), to_c));
            out.extend(self.finishes.iter().map(|now| (now.clone(), to_c)));
        }
        out
    }
}

/// A gas or `vacuum` over the load in a segment.
#[derive(Clone, Copy, Debug)]
pub struct GasOver<'a> {
    /// The segment.
    pub step: Step<'a>,
    /// Gas slug, or `vacuum`.
    pub slug: &'a str,
    /// Lowest setpoint at which it is there, °C.
    pub low_c: f64,
    /// Highest setpoint at which it is there, °C.
    pub high_c: f64,
}

impl<'a> Facts<'a> {
    /// Air at 1 atm in the plan's furnace.
    pub fn furnace_with_air(&self) -> Standing<&'a str> {
        Standing::air(Vessel {
            pumps_to_mbar: self.pumps_to_mbar(),
            mixing: self.limit("purge-mixing").map_or(1.0, |l| l.value),
        })
    }

    /// What an event of a segment does to what stands in the furnace.
    pub fn let_in(&self, now: &mut Standing<&'a str>, kind: &'a EventKind, set_mbar: Option<f64>) {
        now.event(kind, set_mbar, |slug| Some(slug.as_str()), self.purge_gas());
    }

    /// What stands in the furnace, segment by segment, by the program's clock.
    pub fn gas_standing(&self) -> Vec<Stands<'a>> {
        let times = self.segment_times();
        let mut now = self.furnace_with_air();
        let mut out = Vec::new();
        for step in self.steps() {
            let segment = step.segment;
            let set = segment.pressure_mbar;
            let mut air_into = Vec::new();
            let starts = self.events(step, EventAt::Start, &mut now, &mut air_into);
            let own = segment.gas.as_deref();
            // A flow of which nobody says of what is none.
            let flow = own.map_or(0.0, |_| segment.flow_l_min_25c);
            let before = now.clone();
            now.segment(own, flow > 0.0, set);
            let air = |now: &Standing<&str>| now.share(Part::Air) * now.mbar();
            // What rounding makes of a share is no air.
            let comes = air(&now) > air(&before) + 1e-6;
            if comes || own.is_some_and(|gas| self.has_oxygen(gas)) {
                air_into.push(before);
            }
            let per_min = self.furnace.map(|f| now.volumes(flow, f.volume_l));
            let mut stands = Stands {
                step,
                starts,
                begins: now.clone(),
                ends: now,
                finishes: Vec::new(),
                air_into,
                per_min,
            };
            let minutes = times.as_ref().and_then(|t| t.get(step.index));
            stands.ends = match minutes {
                Some(time) if flow > 0.0 => stands.after(time.program_min),
                // How long it flows nobody knows, and another check says so.
                None if flow > 0.0 => stands.after(f64::INFINITY),
                _ => stands.begins.clone(),
            };
            now = stands.ends.clone();
            let air_into = &mut stands.air_into;
            stands.finishes = self.events(step, EventAt::End, &mut now, air_into);
            out.push(stands);
        }
        out
    }

    /// Follows the events at one end of a segment: what stands there after each. What stood there when
    /// a gas of oxygen came in goes to `air_into`.
    fn events(
        &self,
        step: Step<'a>,
        at: EventAt,
        now: &mut Standing<&'a str>,
        air_into: &mut Vec<Standing<&'a str>>,
    ) -> Vec<Standing<&'a str>> {
        let events = step.segment.events.iter().filter(|e| e.at == at);
        let mut after = Vec::new();
        for event in events {
            match &event.kind {
                EventKind::Backfill { gas, .. } if self.has_oxygen(gas) => {
                    air_into.push(now.clone());
                }
                _ => {}
            }
            self.let_in(now, &event.kind, step.segment.pressure_mbar);
            after.push(now.clone());
        }
        after
    }

    fn has_oxygen(&self, slug: &str) -> bool {
        self.catalogue
            .gas(slug)
            .is_some_and(|gas| !drives_air_out(gas))
    }

    /// Fuel in what stands there, as a share of an atmosphere.
    pub fn fuel(&self, now: &Standing<&'a str>) -> f64 {
        let fuel = now.parts().iter().filter(|(part, _)| self.burns(*part));
        fuel.map(|(_, mbar)| mbar).sum::<f64>() / ATMOSPHERE_MBAR
    }

    /// Oxygen in what stands there, as a share of an atmosphere.
    pub fn oxygen(&self, now: &Standing<&'a str>) -> f64 {
        let of = |part: &Part<&str>| match part {
            Part::Air => AIR_OXYGEN,
            Part::Gas(slug) => self.catalogue.gas(slug).map_or(0.0, |gas| gas.oxygen()),
            Part::Purging => 0.0,
        };
        let all: f64 = now.parts().iter().map(|(part, mbar)| mbar * of(part)).sum();
        all / ATMOSPHERE_MBAR
    }

    /// Whether so much fuel stands there that it burns: any that was filled in, or more than the share
    /// from which a gas counts as fuel. The slugs of parts without a record go to `unknown`.
    pub fn holds_fuel(&self, now: &Standing<&'a str>, mut unknown: impl FnMut(&'a str)) -> bool {
        let limit = self.limit("flammable-hydrogen-share");
        let most = limit.map_or(0.0, |l| l.value);
        let mut burns = 0.0;
        let filled = now.filled().map(|part| (part, 1.0));
        let parts = now
            .parts()
            .iter()
            .map(|(part, _)| (*part, now.share(*part)));
        for (part, share) in parts.chain(filled) {
            let Part::Gas(slug) = part else { continue };
            match self.catalogue.gas(slug) {
                Some(gas) if self.is_fuel(gas) => burns += share,
                Some(_) => {}
                None if share > most => unknown(slug),
                None => {}
            }
        }
        burns > most && !now.is_vacuum()
    }

    /// What stands over the load, segment by segment: the segment's own gas, what stands beside it and
    /// does not leave, and what backfills let in. Air is not among it: it has a check of its own.
    pub fn gases_over(&self) -> Vec<GasOver<'a>> {
        let mut out: Vec<GasOver<'a>> = Vec::new();
        let mut push = |step: Step<'a>, slug: &'a str, [low_c, high_c]: [f64; 2]| {
            let same = |g: &&mut GasOver| g.step.index == step.index && g.slug == slug;
            match out.iter_mut().find(same) {
                Some(there) => {
                    there.low_c = there.low_c.min(low_c);
                    there.high_c = there.high_c.max(high_c);
                }
                None => out.push(GasOver {
                    step,
                    slug,
                    low_c,
                    high_c,
                }),
            }
        };
        for stands in self.gas_standing() {
            let step = stands.step;
            let whole = [step.low_c(), step.high_c()];
            let filled = |at: EventAt| {
                let events = step.segment.events.iter().filter(move |e| e.at == at);
                events.filter_map(|e| match &e.kind {
                    EventKind::Backfill { gas, .. } => Some(gas.as_str()),
                    _ => None,
                })
            };
            filled(EventAt::Start).for_each(|gas| push(step, gas, [step.from_c; 2]));
            let own = step.segment.gas.as_deref();
            if let Some(gas) = own {
                push(step, gas, whole);
            }
            let now = &stands.ends;
            if own.is_none() && self.is_pumped(now) {
                push(step, "vacuum", whole);
            } else {
                let there = |part: &Part<&str>| {
                    now.share(*part) > 0.5 || self.burns(*part) && self.holds_fuel(now, |_| {})
                };
                let parts = now.parts().iter().map(|(part, _)| *part).filter(there);
                for part in parts.chain(now.filled()) {
                    if let Part::Gas(gas) = part {
                        push(step, gas, whole);
                    }
                }
            }
            filled(EventAt::End).for_each(|gas| push(step, gas, [step.segment.to_c; 2]));
        }
        out
    }

    fn burns(&self, part: Part<&str>) -> bool {
        let Part::Gas(slug) = part else { return false };
        self.catalogue.gas(slug).is_some_and(|g| self.is_fuel(g))
    }

    /// Whether it counts as a vacuum: pumped far, or down to less air than is told of.
    fn is_pumped(&self, now: &Standing<&'a str>) -> bool {
        let told = self.limit("oxygen-on-heating");
        let told = told.map_or(0.0, |l| l.value / 100.0);
        now.is_vacuum() || now.most() == Part::Air && self.oxygen(now) <= told
    }
}

/// Whether a gas drives air out.
pub fn drives_air_out(gas: &Gas) -> bool {
    gas.oxygen() <= OXYGEN_OF_INERT
}
