//! The profile as the program that the core follows.

use super::gases::Gases;
use super::{Missing, generic};
use crate::catalogue::Furnace;
use crate::forecast::chemistry::mol_s_from_l_min;
use crate::forecast::clock::ramp;
use crate::forecast::constants::ZERO_C;
use crate::forecast::inputs::{Atmosphere, Pace, Program, Segment, Wait};
use crate::forecast::standing::{ATMOSPHERE_MBAR, Part, Standing, Vessel};
use crate::load::Plan;
use crate::profile::{self, EventAt, EventKind, OnLeave, RampBy};

impl Program {
    /// Highest target, K; the start where there is no segment.
    pub fn peak_k(&self) -> f64 {
        let targets = self.segments.iter().map(|s| s.to_k);
        targets.fold(self.start_k, f64::max)
    }

    /// Rate of the ramp to the highest target, K/s; nought without one.
    pub fn heating_k_s(&self) -> f64 {
        let peak = self.peak_segment();
        let from_k = self.from_k(peak);
        self.segments.get(peak).map_or(0.0, |s| match s.pace {
            Pace::Rate(k_s) => k_s,
            Pace::Time(seconds) if seconds > 0.0 => (s.to_k - from_k).max(0.0) / seconds,
            Pace::Time(_) => 0.0,
        })
    }
}

/// Temperatures in K, times in s, flows in mol/s. A ramp at full rate goes as fast as the furnace
/// follows empty. The fan stays as events switch it. What a segment stands in goes by the book of
/// what was let in; what the events at the end of the last one leave is what the load cools in.
pub(super) fn program(
    plan: &Plan,
    furnace: &Furnace,
    gases: &Gases,
    missing: &mut Vec<Missing>,
) -> (Program, LetIn) {
    let index = |slug: &String| gases.slugs.iter().position(|g| g == slug);
    let mut fan = false;
    let mut after = Atmosphere::default();
    let mut stands: Standing<usize> = Standing::air(Vessel {
        pumps_to_mbar: furnace.pumps_to_mbar(),
        // What there is most of is asked for, and no trace.
        mixing: 1.0,
    });
    let mut used = LetIn {
        gas_m3: vec![0.0; gases.slugs.len()],
        untold_m3: 0.0,
    };
    let mut segments = Vec::new();
    let mut from_k = ZERO_C + plan.profile.start_c;
    for (i, s) in plan.profile.segments.iter().enumerate() {
        // Whether anything was let in or out.
        let mut gas_events = |at: EventAt, stands: &mut Standing<usize>| {
            let before = stands.clone();
            for event in s.events.iter().filter(|e| e.at == at) {
                let from_mbar = stands.mbar();
                // A gas without a record is told as lacking.
                stands.event(&event.kind, s.pressure_mbar, index, gases.purges);
                let filled = (stands.mbar() - from_mbar).max(0.0) / ATMOSPHERE_MBAR;
                used.add(&event.kind, filled, furnace.volume_l / 1000.0, gases);
            }
            *stands != before
        };
        gas_events(EventAt::Start, &mut stands);
        let set_pa = s.pressure_mbar.map(|mbar| 100.0 * mbar);
        let own = s.gas.as_ref().and_then(index);
        let sweep_mol_s = mol_s_from_l_min(s.flow_l_min_25c);
        stands.segment(own, sweep_mol_s > 0.0, s.pressure_mbar);
        let over = over(&stands, own, set_pa, sweep_mol_s);
        let ultimate_pa = furnace.ultimate_mbar.map(|mbar| 100.0 * mbar);
        if over.is_none() && s.gas.is_none() && set_pa.or(ultimate_pa).is_none() {
            missing.push(Missing::Vacuum(i + 1));
        }
        let atmosphere = over.unwrap_or(Atmosphere {
            gas: None,
            pressure_pa: set_pa.or(ultimate_pa).unwrap_or(0.0),
            sweep_mol_s,
        });
        switch(s, EventAt::Start, &mut fan);
        let segment = Segment {
            pace: pace(s.ramp, furnace),
            to_k: ZERO_C + s.to_c,
            hold_s: 60.0 * s.hold_min,
            wait: s.wait_on.as_ref().map(wait),
            atmosphere,
            fan,
        };
        if let Some(gas) = own {
            // A ramp that cannot be is told as a fault of the profile.
            let ramp_s = ramp(&segment, from_k).map_or(0.0, |(ramp_s, _)| ramp_s);
            let gas_l = s.flow_l_min_25c * (ramp_s + segment.hold_s) / 60.0;
            stands.flow(Part::Gas(gas), stands.volumes(gas_l, furnace.volume_l));
        }
        from_k = segment.to_k;
        segments.push(segment);
        switch(s, EventAt::End, &mut fan);
        let at_end = s.events.iter().filter(|e| e.at == EventAt::End);
        let shut = at_end.clone().any(|e| e.kind == EventKind::HydrogenOff)
            && own.is_some_and(|gas| gases.fuels.contains(&gas));
        // Without such events the last segment's own goes on.
        after = match gas_events(EventAt::End, &mut stands) || shut {
            true => left_in(&stands, ultimate_pa),
            false => atmosphere,
        };
    }
    let program = Program {
        start_k: ZERO_C + plan.profile.start_c,
        segments,
        after,
        fan_after: fan,
        unload_k: ZERO_C + plan.profile.unload_c,
        cool_max_s: 3600.0 * generic::COOLING_H,
    };
    (program, used)
}

/// Gas that events let in beside what flows, m³ at 25 °C and 1 atm: a fill from the pressure before
/// it, as into a cold furnace; a purge by its volumes.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct LetIn {
    /// By gas index.
    pub gas_m3: Vec<f64>,
    /// Of purges of which nothing says with what.
    pub untold_m3: f64,
}

impl LetIn {
    /// Of an event that filled so many volumes, and of a furnace's volume.
    fn add(&mut self, kind: &EventKind, filled: f64, volume_m3: f64, gases: &Gases) {
        let (gas, volumes) = match kind {
            EventKind::Backfill { gas, .. } => (gases.slugs.iter().position(|g| g == gas), filled),
            EventKind::PurgeInert { volumes } => (gases.purges, filled + volumes),
            _ => return,
        };
        let m3 = volumes * volume_m3;
        match gas.and_then(|gas| self.gas_m3.get_mut(gas)) {
            Some(of) => *of += m3,
            None => self.untold_m3 += m3,
        }
    }
}

/// What the load stands in during a segment of its own gas and sweep, at a pressure where one is set;
/// none in a vacuum, and in air, in which nothing is forecast.
fn over(
    stands: &Standing<usize>,
    own: Option<usize>,
    set_pa: Option<f64>,
    sweep_mol_s: f64,
) -> Option<Atmosphere> {
    let still = || match stands.most() {
        Part::Gas(gas) if sweep_mol_s <= 0.0 || own.is_none() => Some(gas),
        _ => None,
    };
    if own.is_none() && stands.is_vacuum() {
        return None;
    }
    Some(Atmosphere {
        gas: Some(still().or(own)?),
        pressure_pa: set_pa.unwrap_or(100.0 * stands.mbar()),
        sweep_mol_s,
    })
}

/// What stands in the furnace with nothing flowing.
fn left_in(stands: &Standing<usize>, ultimate_pa: Option<f64>) -> Atmosphere {
    let vacuum = || Atmosphere {
        gas: None,
        pressure_pa: f64::max(100.0 * stands.mbar(), ultimate_pa.unwrap_or(0.0)),
        sweep_mol_s: 0.0,
    };
    over(stands, None, None, 0.0).unwrap_or_else(vacuum)
}

fn switch(segment: &profile::Segment, at: EventAt, fan: &mut bool) {
    for event in segment.events.iter().filter(|e| e.at == at) {
        match event.kind {
            EventKind::FanOn => *fan = true,
            EventKind::FanOff => *fan = false,
            _ => {}
        }
    }
}

fn pace(ramp: RampBy, furnace: &Furnace) -> Pace {
    match ramp {
        RampBy::Rate { k_min } => Pace::Rate(k_min / 60.0),
        RampBy::Time { min } => Pace::Time(60.0 * min),
        RampBy::FullRate => Pace::Rate(furnace.ramp_max_k_min / 60.0),
    }
}

fn wait(wait: &profile::WaitOn) -> Wait {
    Wait {
        on: wait.on,
        band_k: wait.band_k,
        on_ramp: wait.on_ramp,
        on_hold: wait.on_hold,
        restart: wait.on_leave == OnLeave::Restart,
        timeout_s: wait.timeout_min.map(|min| 60.0 * min),
    }
}
