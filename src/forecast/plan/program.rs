//! The profile as the program that the core follows.

use super::gases::Gases;
use super::let_in::LetIn;
use super::{Missing, generic};
use crate::catalogue::Furnace;
use crate::forecast::chemistry::mol_s_from_l_min;
use crate::forecast::constants::ZERO_C;
use crate::forecast::inputs::{Atmosphere, Pace, Program, Segment, Wait};
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
/// what was let in; what the last one was filled with at its end is what the load cools in.
pub(super) fn program(
    plan: &Plan,
    furnace: &Furnace,
    gases: &Gases,
    missing: &mut Vec<Missing>,
) -> Program {
    let index = |slug: &String| gases.slugs.iter().position(|g| g == slug);
    let mut fan = false;
    let mut after = Atmosphere::default();
    let mut let_in = LetIn::default();
    let mut segments = Vec::new();
    for (i, s) in plan.profile.segments.iter().enumerate() {
        let gas_events = |at: EventAt, let_in: &mut LetIn| {
            for event in s.events.iter().filter(|e| e.at == at) {
                let_in.event(&event.kind, index, gases.purges);
            }
        };
        gas_events(EventAt::Start, &mut let_in);
        let set_pa = s.pressure_mbar.map(|mbar| 100.0 * mbar);
        let own = s.gas.as_ref().and_then(index);
        let sweep_mol_s = mol_s_from_l_min(s.flow_l_min_25c);
        let over = let_in.over(own, set_pa, sweep_mol_s);
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
        segments.push(Segment {
            pace: pace(s.ramp, furnace),
            to_k: ZERO_C + s.to_c,
            hold_s: 60.0 * s.hold_min,
            wait: s.wait_on.as_ref().map(wait),
            atmosphere,
            fan,
        });
        switch(s, EventAt::End, &mut fan);
        gas_events(EventAt::End, &mut let_in);
        let filled = s
            .events
            .iter()
            .any(|e| e.at == EventAt::End && matches!(e.kind, EventKind::Backfill { .. }));
        after = let_in.filled().filter(|_| filled).unwrap_or(atmosphere);
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
