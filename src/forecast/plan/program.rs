//! The profile as the program that the core follows.

use super::{Missing, generic};
use crate::catalogue::Furnace;
use crate::forecast::chemistry::mol_s_from_l_min;
use crate::forecast::constants::{ATM_PA, ZERO_C};
use crate::forecast::inputs::{Atmosphere, Pace, Program, Segment, Wait};
use crate::load::Plan;
use crate::profile::{self, EventAt, EventKind, OnLeave, RampBy};

impl Program {
    /// Highest target, K; the start where there is no segment.
    pub fn peak_k(&self) -> f64 {
        let targets = self.segments.iter().map(|s| s.to_k);
        targets.fold(self.start_k, f64::max)
    }
}

/// Temperatures in K, times in s, flows in mol/s. A ramp at full rate goes as fast as the furnace
/// follows empty. The fan stays as events switch it; a backfill at the end of the last segment is
/// what the load cools in, otherwise that segment's own gas.
pub(super) fn program(
    plan: &Plan,
    furnace: &Furnace,
    gases: &[String],
    missing: &mut Vec<Missing>,
) -> Program {
    let index = |slug: &String| gases.iter().position(|g| g == slug);
    let mut fan = false;
    let mut after = Atmosphere::default();
    let mut segments = Vec::new();
    for (i, s) in plan.profile.segments.iter().enumerate() {
        let pressure_pa = match (s.pressure_mbar, &s.gas) {
            (Some(mbar), _) => 100.0 * mbar,
            (None, Some(_)) => ATM_PA,
            (None, None) => match furnace.ultimate_mbar {
                Some(mbar) => 100.0 * mbar,
                None => {
                    missing.push(Missing::Vacuum(i + 1));
                    0.0
                }
            },
        };
        let atmosphere = Atmosphere {
            gas: s.gas.as_ref().and_then(index),
            pressure_pa,
            sweep_mol_s: mol_s_from_l_min(s.flow_l_min_25c),
        };
        switch(s, EventAt::Start, &mut fan);
        segments.push(Segment {
            pace: pace(s.ramp, furnace),
            to_k: ZERO_C + s.to_c,
            hold_s: 60.0 * s.hold_min,
            wait: s.wait_on.as_ref().map(wait),
            atmosphere,
            fan,
        });
        switch(s, EventAt::End, &mut fan);
        after = filled(s, gases).unwrap_or(atmosphere);
    }
    Program {
        start_k: ZERO_C + plan.profile.start_c,
        segments,
        after,
        fan_after: fan,
        unload_k: ZERO_C + plan.profile.unload_c,
        cool_max_s: 3600.0 * generic::COOLING_H,
    }
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

/// What a backfill at the end of a segment leaves.
fn filled(segment: &profile::Segment, gases: &[String]) -> Option<Atmosphere> {
    let ends = segment.events.iter().filter(|e| e.at == EventAt::End);
    ends.filter_map(|e| match &e.kind {
        EventKind::Backfill { gas, to_mbar } => Some(Atmosphere {
            gas: gases.iter().position(|g| g == gas),
            pressure_pa: 100.0 * to_mbar,
            sweep_mol_s: 0.0,
        }),
        _ => None,
    })
    .next_back()
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
