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

    /// Rate of the ramp to the highest target, K/s; nought without one.
    pub fn heating_k_s(&self) -> f64 {
        let peak = self.peak_segment();
        let before = peak.checked_sub(1).and_then(|i| self.segments.get(i));
        let from_k = before.map_or(self.start_k, |s| s.to_k);
        self.segments.get(peak).map_or(0.0, |s| match s.pace {
            Pace::Rate(k_s) => k_s,
            Pace::Time(seconds) if seconds > 0.0 => (s.to_k - from_k).max(0.0) / seconds,
            Pace::Time(_) => 0.0,
        })
    }
}

/// Temperatures in K, times in s, flows in mol/s. A ramp at full rate goes as fast as the furnace
/// follows empty. The fan stays as events switch it, and the load stands in what a backfill left
/// until gas flows or the chamber is pumped again; the same holds for what it cools in.
pub(super) fn program(
    plan: &Plan,
    furnace: &Furnace,
    gases: &[String],
    missing: &mut Vec<Missing>,
) -> Program {
    let index = |slug: &String| gases.iter().position(|g| g == slug);
    let mut fan = false;
    let mut after = Atmosphere::default();
    let mut fill: Option<Atmosphere> = None;
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
        let own = Atmosphere {
            gas: s.gas.as_ref().and_then(index),
            pressure_pa,
            sweep_mol_s: mol_s_from_l_min(s.flow_l_min_25c),
        };
        // A flow of its own, or a pump, takes out what an earlier segment left.
        if own.gas.is_none() || own.sweep_mol_s > 0.0 {
            fill = None;
        }
        fill = filled(s, EventAt::Start, gases).unwrap_or(fill);
        let atmosphere = stands_in(own, fill);
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
        let at_end = filled(s, EventAt::End, gases);
        fill = at_end.unwrap_or(fill);
        after = at_end.flatten().unwrap_or(atmosphere);
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

/// What the last backfill or pump-down at one end of a segment leaves: a gas, or nothing of what
/// was there; none where there is neither.
fn filled(segment: &profile::Segment, at: EventAt, gases: &[String]) -> Option<Option<Atmosphere>> {
    let events = segment.events.iter().filter(|e| e.at == at);
    let mut left = events.filter_map(|event| match &event.kind {
        EventKind::Backfill { gas, to_mbar } => Some(Some(Atmosphere {
            gas: gases.iter().position(|g| g == gas),
            pressure_pa: 100.0 * to_mbar,
            sweep_mol_s: 0.0,
        })),
        EventKind::PumpDown { .. } => Some(None),
        _ => None,
    });
    left.next_back()
}

/// What the load stands in during a segment: its own atmosphere, unless it was filled with another
/// gas. The segment's own flow goes on then, and its pressure where it states a gas.
fn stands_in(own: Atmosphere, fill: Option<Atmosphere>) -> Atmosphere {
    match fill {
        Some(fill) if own.gas.is_none() => fill,
        Some(fill) if fill.gas != own.gas => Atmosphere {
            gas: fill.gas,
            ..own
        },
        _ => own,
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
