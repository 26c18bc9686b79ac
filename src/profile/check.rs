//! Looks for what is wrong with a profile in itself. The reader of files and the review ask the
//! same list.

use super::faults::{ABSOLUTE_ZERO_C, Fault, Field, MOST_K_MIN, MOST_MIN, SegmentRef};
use super::segment::{EventKind, Profile, RampBy, Segment};
use std::collections::BTreeSet;

/// What a ramp comes to, once its numbers are known to be sound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ramp {
    pub(super) minutes: f64,
    /// Signed; `None` for a step.
    pub(super) k_min: Option<f64>,
}

impl Profile {
    /// Everything wrong with the profile in itself, in order of segments. `full_rate_k_min` is the
    /// furnace's greatest rate, K/min, where known; it matters only if a ramp is at full rate, and
    /// one that is not above 0 and at most [`MOST_K_MIN`] counts as unknown.
    pub fn faults(&self, full_rate_k_min: Option<f64>) -> Vec<Fault> {
        let mut faults = Vec::new();
        check(&mut faults, None, Field::Start, self.start_c);
        check(&mut faults, None, Field::Unload, self.unload_c);
        if self.segments.is_empty() {
            faults.push(Fault::NoSegments);
        }
        let mut seen = BTreeSet::new();
        let mut from_c = self.start_c;
        for (segment, here) in self.numbered() {
            if !seen.insert(segment.id) {
                faults.push(Fault::RepeatedId { segment: here });
            }
            segment_faults(&mut faults, segment, here, from_c, full_rate_k_min);
            from_c = segment.to_c;
        }
        faults
    }

    pub(super) fn numbered(&self) -> impl Iterator<Item = (&Segment, SegmentRef)> {
        self.segments.iter().zip(1..).map(|(segment, number)| {
            let id = segment.id;
            (segment, SegmentRef { id, number })
        })
    }
}

fn segment_faults(
    faults: &mut Vec<Fault>,
    segment: &Segment,
    here: SegmentRef,
    from_c: f64,
    full_rate_k_min: Option<f64>,
) {
    let at = Some(here);
    check(faults, at, Field::Target, segment.to_c);
    let ramp_number = match segment.ramp {
        RampBy::Rate { k_min } => Some((Field::Rate, k_min)),
        RampBy::Time { min } => Some((Field::RampTime, min)),
        RampBy::FullRate => None,
    };
    let sound = ramp_number.is_none_or(|(field, value)| check(faults, at, field, value));
    let temperatures_sound = [from_c, segment.to_c]
        .iter()
        .all(|&c| number_fault(None, Field::Target, c).is_none());
    if sound && temperatures_sound {
        match ramp(segment, here, from_c, full_rate_k_min) {
            Ok(Ramp { k_min: None, .. }) => faults.push(Fault::StepJump {
                segment: here,
                jump_k: segment.to_c - from_c,
            }),
            Ok(_) => {}
            Err(fault) => faults.push(fault),
        }
    }
    check(faults, at, Field::Hold, segment.hold_min);
    if let Some(wait) = segment.wait_on {
        if check(faults, at, Field::Band, wait.band_k) && wait.band_k == 0.0 {
            faults.push(Fault::ZeroBand { segment: here });
        }
        match wait.timeout_min {
            Some(min) if min != 0.0 => {
                check(faults, at, Field::Timeout, min);
            }
            _ => faults.push(Fault::MissingTimeout { segment: here }),
        }
        if !wait.on_ramp && !wait.on_hold {
            faults.push(Fault::WaitsNowhere { segment: here });
        }
    }
    let flow = segment.flow_l_min_25c;
    if check(faults, at, Field::Flow, flow) && flow > 0.0 && segment.gas.is_none() {
        faults.push(Fault::FlowWithoutGas { segment: here });
    }
    if let Some(mbar) = segment.pressure_mbar {
        check(faults, at, Field::Pressure, mbar);
    }
    for event in &segment.events {
        match event.kind {
            EventKind::PurgeInert { volumes } => {
                check(faults, at, Field::PurgeVolumes, volumes);
            }
            EventKind::PumpDown { to_mbar } | EventKind::Backfill { to_mbar, .. } => {
                check(faults, at, Field::EventPressure, to_mbar);
            }
            EventKind::HydrogenOn
            | EventKind::HydrogenOff
            | EventKind::FanOn
            | EventKind::FanOff
            | EventKind::BurnOffOn
            | EventKind::BurnOffOff
            | EventKind::Unload
            | EventKind::OperatorCheck => {}
        }
    }
}

/// Notes what is wrong with one number; true when nothing is.
fn check(faults: &mut Vec<Fault>, segment: Option<SegmentRef>, field: Field, value: f64) -> bool {
    let fault = number_fault(segment, field, value);
    faults.extend(fault);
    fault.is_none()
}

fn number_fault(segment: Option<SegmentRef>, field: Field, value: f64) -> Option<Fault> {
    if !value.is_finite() {
        Some(Fault::NotFinite { segment, field })
    } else if field.is_temperature() && value < ABSOLUTE_ZERO_C {
        Some(Fault::BelowAbsoluteZero {
            segment,
            field,
            value_c: value,
        })
    } else if !field.is_temperature() && value < 0.0 {
        Some(Fault::Negative {
            segment,
            field,
            value,
        })
    } else if value > field.most() {
        Some(Fault::TooLarge {
            segment,
            field,
            value,
        })
    } else {
        None
    }
}

/// Length and signed rate of a segment's ramp, whose numbers must be sound.
pub(super) fn ramp(
    segment: &Segment,
    here: SegmentRef,
    from_c: f64,
    full_rate_k_min: Option<f64>,
) -> Result<Ramp, Fault> {
    let by_k = segment.to_c - from_c;
    let at_rate = |k_min: f64| {
        let minutes = if by_k == 0.0 { 0.0 } else { by_k.abs() / k_min };
        if minutes > MOST_MIN {
            return Err(Fault::TooLarge {
                segment: Some(here),
                field: Field::RampTime,
                value: minutes,
            });
        }
        // The typed rate itself, not a quotient that would differ from it in the last digit.
        let signed = if by_k == 0.0 {
            0.0
        } else {
            k_min.copysign(by_k)
        };
        Ok(Ramp {
            minutes,
            k_min: Some(signed),
        })
    };
    match segment.ramp {
        RampBy::Rate { k_min } if k_min == 0.0 && by_k != 0.0 => {
            Err(Fault::ZeroRate { segment: here })
        }
        RampBy::Rate { k_min } => at_rate(k_min),
        RampBy::Time { min } => Ok(Ramp {
            minutes: min,
            k_min: if by_k == 0.0 {
                Some(0.0)
            } else {
                Some(by_k / min).filter(|rate| rate.abs() <= MOST_K_MIN)
            },
        }),
        RampBy::FullRate => match full_rate_k_min {
            Some(k_min) if k_min > 0.0 && k_min <= MOST_K_MIN => at_rate(k_min),
            _ if by_k == 0.0 => at_rate(0.0),
            _ => Err(Fault::FullRateUnknown { segment: here }),
        },
    }
}
