//! Facts about gas: how much is used, what the pump can hold, and what a planned purge leaves.
//! Everything here is planned; only the furnace's interlocks can verify it.

use super::facts::Facts;
use super::facts_standing::drives_air_out;
use crate::catalogue::when::{day, moment};
use crate::catalogue::{AIR_OXYGEN, Family, Gas, GasNature};
use crate::forecast::purge;
use crate::forecast::standing::{ATMOSPHERE_MBAR, Standing};
use crate::profile::{EventAt, EventKind, SegmentId};
use std::collections::{BTreeMap, BTreeSet};

/// Oxygen in air by volume, as in the worked examples of `model.md` section 7.
pub const OXYGEN_IN_AIR: f64 = 0.209;

/// Whether a family is a stainless steel.
pub fn is_stainless(family: Family) -> bool {
    match family {
        Family::AusteniticStainless
        | Family::PrecipitationStainless
        | Family::MartensiticStainless => true,
        Family::LowAlloySteel
        | Family::ToolSteel
        | Family::Copper
        | Family::Titanium
        | Family::NickelAlloy
        | Family::TungstenHeavyAlloy => false,
    }
}

/// Days from one year-month-day to another, either with an hour behind it or without; none where
/// one is no date.
pub fn days_between(from: &str, to: &str) -> Option<i32> {
    let on = |text: &str| day(text).or_else(|| Some(moment(text)?.date()));
    Some(on(from)?.until(on(to)?).ok()?.get_days())
}

/// Pressure that a pump holds against a sweep, mbar: Q = P·S(P) with Q of 1 L/min (25 °C, 1 atm)
/// = 1013.25/60 = 16.9 mbar·L/s (`model.md` section 3; vapour of the load not counted). `pump` is
/// (inlet mbar, m³/h), rising; the speed is interpolated over log pressure and constant outside.
/// None without a pump, or one whose speed is not above zero.
pub fn pump_floor_mbar(pump: &[(f64, f64)], flow_l_min_25c: f64) -> Option<f64> {
    let (first, last) = (pump.first()?, pump.last()?);
    let sound = |p: &(f64, f64)| p.0 > 0.0 && p.1 > 0.0 && p.0.is_finite() && p.1.is_finite();
    if !pump.iter().all(sound) || !flow_l_min_25c.is_finite() {
        return None;
    }
    let load = flow_l_min_25c * ATMOSPHERE_MBAR / 60.0 * 3.6; // mbar·m³/h
    if load <= first.0 * first.1 {
        return Some(load / first.1);
    }
    for pair in pump.windows(2) {
        let &[(p0, s0), (p1, s1)] = pair else {
            continue;
        };
        if load > p1 * s1 {
            continue;
        }
        let speed = |p: f64| s0 + (s1 - s0) * libm::log(p / p0) / libm::log(p1 / p0);
        let (mut low, mut high) = (p0, p1);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if middle * speed(middle) < load {
                low = middle;
            } else {
                high = middle;
            }
        }
        return Some(high);
    }
    Some(load / last.1)
}

/// What a row of purges leaves of what was in the furnace.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Purge {
    /// Furnace volumes of all flow purges.
    pub volumes: f64,
    /// Times that the furnace was pumped down.
    pub pumped: usize,
    left: f64,
    now_mbar: f64,
}

impl Purge {
    /// Nothing purged yet, at 1 atm.
    pub const NONE: Purge = Purge {
        volumes: 0.0,
        pumped: 0,
        left: 1.0,
        now_mbar: ATMOSPHERE_MBAR,
    };

    /// A flow purge of N volumes leaves exp(−K·N), K the share that mixes.
    #[must_use]
    pub fn flow(self, volumes: f64, mixing: f64) -> Purge {
        Purge {
            volumes: self.volumes + volumes,
            left: purge::after(self.left, 0.0, volumes, mixing),
            ..self
        }
    }

    /// Pumps down.
    #[must_use]
    pub fn pump(self, to_mbar: f64) -> Purge {
        Purge {
            pumped: self.pumped + 1,
            now_mbar: self.now_mbar.min(to_mbar),
            ..self
        }
    }

    /// Lets clean gas in: dilutes by the ratio of the pressures.
    #[must_use]
    pub fn fill(self, to_mbar: f64) -> Purge {
        if to_mbar <= self.now_mbar {
            return self;
        }
        Purge {
            left: purge::backfill(self.left, self.now_mbar, to_mbar, 1, 0.0),
            now_mbar: to_mbar,
            ..self
        }
    }

    /// Share of what was in the furnace that is left once it stands at 1 atm again.
    pub fn left(&self) -> f64 {
        self.fill(ATMOSPHERE_MBAR).left
    }

    /// The same, with at least this share of what was in the furnace left at 1 atm.
    #[must_use]
    pub fn leaving(self, share: f64) -> Purge {
        if share <= self.left() {
            return self;
        }
        Purge {
            left: share,
            now_mbar: ATMOSPHERE_MBAR,
            ..self
        }
    }

    /// Whether anything at all is planned.
    pub fn planned(&self) -> bool {
        self.volumes > 0.0 || self.pumped > 0
    }
}

/// Fuel gas entering the furnace, and what was planned around it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FuelEntry {
    /// Segment in which it enters.
    pub segment: SegmentId,
    /// Its number, from 1.
    pub number: usize,
    /// Setpoint at that moment, °C.
    pub at_c: f64,
    /// Purge planned since the furnace was open or held fuel before.
    pub purge: Purge,
    /// Whether the burn-off flame is on by then.
    pub flame: bool,
}

/// The way of fuel gas through a profile.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FuelPath {
    /// Each time it enters.
    pub entries: Vec<FuelEntry>,
    /// Segments that disagree with their events, with whether the events say that hydrogen is on.
    pub mismatches: Vec<(SegmentId, usize, bool)>,
    /// Purge planned between the last of it and the door; none where it is never off.
    pub after: Option<Purge>,
    /// Largest share of fuel in the gases used.
    pub share: f64,
    /// Segments in which the burn-off flame goes off while fuel is on.
    pub flame_off: Vec<(SegmentId, usize)>,
    /// Segments that purge or pump down while hydrogen is switched on; true for a pump-down.
    pub purged_while_on: Vec<(SegmentId, usize, bool)>,
}

impl<'a> Facts<'a> {
    /// Whether a gas is to be treated as fuel: flammable by nature, or with more hydrogen than
    /// the limit `flammable-hydrogen-share`; any hydrogen where that limit is not set.
    pub fn is_fuel(&self, gas: &Gas) -> bool {
        let most = self
            .limit("flammable-hydrogen-share")
            .map_or(0.0, |l| l.value);
        gas.nature == GasNature::Flammable || gas.hydrogen_share > most
    }

    fn is_fuel_slug(&self, slug: &str) -> bool {
        self.catalogue.gas(slug).is_some_and(|g| self.is_fuel(g))
    }

    /// Follows fuel gas through segments and events; none where the profile has none. `mixing` is
    /// K of [`Purge::flow`].
    pub fn fuel_path(&self, mixing: f64) -> Option<FuelPath> {
        let mut path = FuelPath::default();
        let mut walk = Walk {
            facts: self,
            mixing,
            purge: Purge::NONE,
            fuel: false,
            switched: false,
            flame: false,
            burns: false,
            fill: Fill::default(),
            stands: self.furnace_with_air(),
            door: None,
        };
        let stands = self.gas_standing();
        for (i, (from_c, segment)) in self.segments().enumerate() {
            let here = (segment.id, i + 1);
            let slug = segment.gas.as_deref();
            let burns = slug.is_some_and(|slug| self.is_fuel_slug(slug));
            walk.burns = burns;
            let events = |at: EventAt| segment.events.iter().filter(move |e| e.at == at);
            for event in events(EventAt::Start) {
                self.let_in(&mut walk.stands, &event.kind, segment.pressure_mbar);
                walk.event(&event.kind, here, from_c, &mut path);
            }
            let during = stands.get(i);
            if let Some(during) = during {
                walk.stands = during.begins.clone();
            }
            if burns {
                walk.enter(here, from_c, slug.unwrap_or_default(), &mut path);
                if segment.flow_l_min_25c > 0.0 {
                    walk.fill.segment(slug);
                }
            } else {
                walk.fill.segment(slug);
                walk.leave();
                walk.air_with(slug);
                walk.pumped_by_segment(slug);
            }
            if let Some(during) = during {
                walk.stands = during.ends.clone();
            }
            let burns = burns || walk.filled();
            // Of a gas that no record describes nobody knows whether it burns.
            let known = slug.is_none_or(|slug| self.catalogue.gas(slug).is_some());
            if known && burns != walk.switched {
                path.mismatches.push((here.0, here.1, walk.switched));
            }
            for event in events(EventAt::End) {
                self.let_in(&mut walk.stands, &event.kind, segment.pressure_mbar);
                walk.event(&event.kind, here, segment.to_c, &mut path);
            }
        }
        if path.entries.is_empty() && path.mismatches.is_empty() {
            return None;
        }
        path.after = walk.door.unwrap_or((!walk.fuel).then_some(walk.purge));
        Some(path)
    }

    /// Gases of the segments, backfills and purges by slug, with the most that the run may take of
    /// each in m³ at 25 °C and 1 atm: flow times time with every wait up to its timeout and the
    /// load cooling by itself, backfills from vacuum to their pressure, and flow purges. None
    /// without a curve or a furnace.
    pub fn gas_used_m3(&self) -> Option<BTreeMap<&'a str, f64>> {
        let (times, furnace) = (self.segment_times()?, self.furnace?);
        let purges_with = self.purge_gas();
        let mut used: BTreeMap<&str, f64> = BTreeMap::new();
        for (time, segment) in times.iter().zip(&self.plan.profile.segments) {
            let l = segment.flow_l_min_25c * (time.program_min + time.wait_min);
            if let Some(gas) = &segment.gas {
                *used.entry(gas).or_default() += l / 1000.0;
            }
            for event in &segment.events {
                match (&event.kind, purges_with) {
                    (EventKind::Backfill { gas, to_mbar }, _) => {
                        let l = furnace.volume_l * to_mbar / ATMOSPHERE_MBAR;
                        *used.entry(gas).or_default() += l / 1000.0;
                    }
                    (EventKind::PurgeInert { volumes }, Some(gas)) => {
                        *used.entry(gas).or_default() += furnace.volume_l * volumes / 1000.0;
                    }
                    _ => {}
                }
            }
        }
        Some(used)
    }

    /// The gas of flow purges, which no event names: the only inert gas that the run uses, or
    /// that is plumbed in; none where there are several, or none.
    pub fn purge_gas(&self) -> Option<&'a str> {
        let inert = |slug: &&str| {
            let gas = self.catalogue.gas(slug);
            gas.is_some_and(|g| g.nature == GasNature::Inert && drives_air_out(g))
        };
        let only = |mut all: Vec<&'a str>| if all.len() == 1 { all.pop() } else { None };
        let used: Vec<&str> = self.gas_slugs().into_iter().filter(inert).collect();
        if !used.is_empty() {
            return only(used);
        }
        let plumbed = self.furnace?.gases.iter().map(String::as_str);
        only(plumbed.filter(inert).collect())
    }

    /// How low the furnace's pump gets it cold and empty, mbar: as its record says, else the lowest
    /// point of the pump's table; none without a pump. Of an unknown furnace nothing is known, and
    /// another check says so.
    pub fn pumps_to_mbar(&self) -> Option<f64> {
        self.furnace.map_or(Some(0.0), |f| f.pumps_to_mbar())
    }

    /// Whether the profile purges with a flow of inert gas.
    pub fn purges(&self) -> bool {
        let segments = self.plan.profile.segments.iter();
        let mut events = segments.flat_map(|s| &s.events);
        events.any(|e| matches!(e.kind, EventKind::PurgeInert { .. }))
    }

    /// Slugs of the gases in segments and backfills.
    pub fn gas_slugs(&self) -> BTreeSet<&'a str> {
        let segments = self.plan.profile.segments.iter();
        segments
            .flat_map(|s| {
                let fills = s.events.iter().filter_map(|e| match &e.kind {
                    EventKind::Backfill { gas, .. } => Some(gas.as_str()),
                    _ => None,
                });
                fills.chain(s.gas.as_deref())
            })
            .collect()
    }
}

/// What was let in by a backfill: it stays until it is pumped or purged out, or another gas flows.
#[derive(Clone, Copy, Debug, Default)]
struct Fill<'a>(Option<&'a str>);

impl<'a> Fill<'a> {
    fn event(&mut self, kind: &'a EventKind) {
        match kind {
            EventKind::Backfill { gas, .. } => self.0 = Some(gas),
            EventKind::PumpDown { .. } | EventKind::PurgeInert { .. } => self.0 = None,
            _ => {}
        }
    }

    fn segment(&mut self, gas: Option<&str>) {
        if gas.is_some() {
            self.0 = None;
        }
    }
}

/// State of the furnace while a profile is followed.
struct Walk<'f, 'a> {
    facts: &'f Facts<'a>,
    mixing: f64,
    purge: Purge,
    /// Fuel is in the furnace.
    fuel: bool,
    /// The events have switched hydrogen on.
    switched: bool,
    flame: bool,
    /// The gas of the segment is fuel.
    burns: bool,
    fill: Fill<'a>,
    /// What stands in the furnace.
    stands: Standing<&'a str>,
    /// What was purged when the load came out.
    door: Option<Option<Purge>>,
}

impl<'a> Walk<'_, 'a> {
    /// Whether fuel was filled in, and nothing has taken it out.
    fn filled(&self) -> bool {
        self.fill.0.is_some_and(|gas| self.facts.is_fuel_slug(gas))
    }

    fn enter(&mut self, here: (SegmentId, usize), at_c: f64, slug: &str, path: &mut FuelPath) {
        let gas = self.facts.catalogue.gas(slug);
        // Switched on without a gas in the segment it is hydrogen, pure for all that is known.
        path.share = path.share.max(gas.map_or(1.0, |g| g.hydrogen_share));
        if self.fuel {
            return;
        }
        self.fuel = true;
        self.door = None;
        // Air may have come in since, or was never gone.
        let air = self.facts.oxygen(&self.stands) / AIR_OXYGEN;
        path.entries.push(FuelEntry {
            segment: here.0,
            number: here.1,
            at_c,
            purge: self.purge.leaving(air),
            flame: self.flame,
        });
    }

    /// With a gas of oxygen there is as much to be driven out as with air.
    fn air_with(&mut self, slug: Option<&str>) {
        let gas = slug.and_then(|slug| self.facts.catalogue.gas(slug));
        if gas.is_some_and(|gas| !drives_air_out(gas)) {
            self.purge = Purge::NONE;
        }
    }

    /// A segment that holds a vacuum pumps as a pump-down does.
    fn pumped_by_segment(&mut self, gas: Option<&str>) {
        if gas.is_none() && !self.fuel && self.stands.is_vacuum() {
            self.purge = self.purge.pump(self.stands.mbar());
        }
    }

    fn leave(&mut self) {
        if self.fuel && !self.switched && !self.filled() {
            self.fuel = false;
            self.purge = Purge::NONE;
        }
    }

    fn event(
        &mut self,
        kind: &'a EventKind,
        here: (SegmentId, usize),
        at_c: f64,
        path: &mut FuelPath,
    ) {
        let on = self.switched;
        match kind {
            EventKind::PurgeInert { .. } if on => {
                path.purged_while_on.push((here.0, here.1, false))
            }
            EventKind::PumpDown { .. } if on => path.purged_while_on.push((here.0, here.1, true)),
            EventKind::BurnOffOff if self.fuel && (on || self.burns || self.filled()) => {
                path.flame_off.push(here)
            }
            _ => {}
        }
        self.fill.event(kind);
        match kind {
            EventKind::PurgeInert { volumes } => {
                self.leave();
                self.purge = self.purge.flow(*volumes, self.mixing);
            }
            EventKind::PumpDown { to_mbar } => {
                self.leave();
                // No lower than the pump gets the cold and empty furnace, and without one nowhere.
                if let Some(lowest) = self.facts.pumps_to_mbar() {
                    self.purge = self.purge.pump(to_mbar.max(lowest));
                }
            }
            EventKind::Backfill { gas, .. } if self.facts.is_fuel_slug(gas) => {
                self.enter(here, at_c, gas, path);
            }
            EventKind::Backfill { gas, to_mbar } => {
                self.leave();
                self.purge = self.purge.fill(*to_mbar);
                self.air_with(Some(gas));
            }
            EventKind::HydrogenOn => {
                self.switched = true;
                self.enter(here, at_c, "", path);
            }
            EventKind::HydrogenOff => {
                self.switched = false;
                // Shut off, a fill is still there.
                if !self.filled() {
                    self.fuel = false;
                    self.purge = Purge::NONE;
                }
            }
            EventKind::BurnOffOn => self.flame = true,
            EventKind::BurnOffOff => self.flame = false,
            EventKind::Unload => {
                self.leave();
                let purged = (!self.fuel).then_some(self.purge);
                self.door.get_or_insert(purged);
                self.purge = Purge::NONE;
            }
            EventKind::FanOn | EventKind::FanOff | EventKind::OperatorCheck => {}
        }
    }
}
