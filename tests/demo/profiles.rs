// Profiles of the demo loads. Rates and holds are invented within the catalogue's ranges; segment
// numbers are given when a profile goes into its plan.

use setterwright::profile::{
    Event, EventAt, EventKind, OnLeave, RampBy, Segment, SegmentId, WaitFor, WaitOn,
};

/// Ramp at a rate, K/min, to a target, °C, and a hold, min.
fn ramp(k_min: f64, to_c: f64, hold_min: f64) -> Segment {
    Segment {
        id: SegmentId(0),
        ramp: RampBy::Rate { k_min },
        to_c,
        hold_min,
        wait_on: None,
        gas: None,
        flow_l_min_25c: 0.0,
        pressure_mbar: None,
        events: Vec::new(),
        note: String::new(),
    }
}

/// Flow in L/min at 25 °C and 1 atm, pressure in mbar.
fn in_gas(segment: Segment, gas: &str, flow_l_min_25c: f64, pressure_mbar: f64) -> Segment {
    Segment {
        gas: Some(gas.to_owned()),
        flow_l_min_25c,
        pressure_mbar: Some(pressure_mbar),
        ..segment
    }
}

/// The hold counts only while all load thermocouples are in the band, which is no narrower than
/// what the surveys found there.
fn soaked(segment: Segment, timeout_min: f64) -> Segment {
    let band_k = if segment.to_c < 600.0 { 5.0 } else { 8.0 };
    Segment {
        wait_on: Some(WaitOn {
            on: WaitFor::AllLoad,
            band_k,
            on_ramp: false,
            on_hold: true,
            on_leave: OnLeave::Pause,
            timeout_min: Some(timeout_min),
        }),
        ..segment
    }
}

fn with(mut segment: Segment, at: EventAt, kinds: &[EventKind]) -> Segment {
    let events = kinds.iter().map(|kind| Event {
        at,
        kind: kind.clone(),
    });
    segment.events.extend(events);
    segment
}

fn noted(segment: Segment, note: &str) -> Segment {
    Segment {
        note: note.to_owned(),
        ..segment
    }
}

/// 316L in a vacuum box: argon sweep through the debind range, partial pressure while sintering.
/// `debind_k_min` is the ramp in the debind range.
pub fn argon(debind_k_min: f64) -> Vec<Segment> {
    let argon = |segment, flow, pressure| in_gas(segment, "argon", flow, pressure);
    let pump = EventKind::PumpDown { to_mbar: 0.1 };
    let fill = EventKind::Backfill {
        gas: "argon".to_owned(),
        to_mbar: 800.0,
    };
    let opened = [EventKind::OperatorCheck, EventKind::Unload];
    vec![
        with(
            noted(argon(ramp(3.0, 150.0, 0.0), 10.0, 50.0), "sweep on"),
            EventAt::Start,
            &[pump],
        ),
        noted(
            argon(ramp(debind_k_min, 280.0, 210.0), 10.0, 50.0),
            "what is left of the wax",
        ),
        noted(
            soaked(argon(ramp(debind_k_min, 450.0, 90.0), 10.0, 50.0), 120.0),
            "backbone",
        ),
        argon(ramp(debind_k_min, 550.0, 60.0), 10.0, 50.0),
        noted(argon(ramp(4.0, 1050.0, 60.0), 2.0, 50.0), "reduction"),
        // As much pressure as closing pores bear, and no longer than the feedstock asks for: manganese
        // goes.
        noted(
            soaked(argon(ramp(4.0, 1345.0, 60.0), 2.0, 98.0), 120.0),
            "sinter",
        ),
        with(
            noted(
                argon(ramp(5.0, 400.0, 0.0), 0.0, 800.0),
                "past the carbides",
            ),
            EventAt::Start,
            &[fill],
        ),
        with(
            noted(
                argon(ramp(0.7, 50.0, 240.0), 0.0, 800.0),
                "the load is warmer than the chamber reads",
            ),
            EventAt::End,
            &opened,
        ),
    ]
}

/// 17-4PH in a pumped retort: hydrogen through, air out before and hydrogen out after.
/// Without `purged` both are missing.
pub fn hydrogen(purged: bool) -> Vec<Segment> {
    let argon = |segment, flow| in_gas(segment, "argon", flow, 1030.0);
    let hydrogen = |segment, flow| in_gas(segment, "hydrogen", flow, 1030.0);
    let pump = EventKind::PumpDown { to_mbar: 10.0 };
    let fill = EventKind::Backfill {
        gas: "argon".to_owned(),
        to_mbar: 1000.0,
    };
    let twice = [pump.clone(), fill.clone(), pump, fill];
    let changed = |segment, at| {
        if purged {
            with(segment, at, &twice)
        } else {
            segment
        }
    };
    let opened = [EventKind::OperatorCheck, EventKind::Unload];
    vec![
        noted(
            changed(argon(ramp(3.0, 100.0, 0.0), 10.0), EventAt::Start),
            "air out",
        ),
        with(
            hydrogen(ramp(3.0, 150.0, 0.0), 12.0),
            EventAt::Start,
            &[EventKind::BurnOffOn, EventKind::HydrogenOn],
        ),
        noted(
            hydrogen(ramp(0.5, 280.0, 60.0), 12.0),
            "what is left of the wax",
        ),
        noted(
            soaked(hydrogen(ramp(0.5, 450.0, 120.0), 12.0), 240.0),
            "backbone",
        ),
        hydrogen(ramp(0.5, 550.0, 30.0), 12.0),
        noted(hydrogen(ramp(5.0, 1100.0, 60.0), 30.0), "reduction"),
        noted(
            soaked(hydrogen(ramp(5.0, 1345.0, 120.0), 30.0), 240.0),
            "sinter",
        ),
        hydrogen(ramp(6.0, 300.0, 0.0), 10.0),
        with(
            noted(
                hydrogen(ramp(1.0, 50.0, 660.0), 10.0),
                "the load is warmer than the chamber reads",
            ),
            EventAt::End,
            &[EventKind::HydrogenOff, EventKind::BurnOffOff],
        ),
        noted(
            with(
                changed(argon(ramp(1.0, 45.0, 60.0), 10.0), EventAt::Start),
                EventAt::End,
                &opened,
            ),
            "hydrogen out",
        ),
    ]
}
