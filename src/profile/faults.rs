//! What can be wrong with a profile in itself, and the sentence for each.

use super::segment::SegmentId;
use crate::text::profile as text;
use std::fmt;

/// Absolute zero, °C (exact by definition of the Celsius scale).
pub const ABSOLUTE_ZERO_C: f64 = -273.15;
/// Above every melting point, so a slip of the keyboard (assumed).
pub const MOST_C: f64 = 5_000.0;
/// Longest single ramp, hold or wait, min: near two years, so a slip (assumed).
pub const MOST_MIN: f64 = 1e6;
/// Fastest ramp that still counts as one and not as a step, K/min (assumed).
pub const MOST_K_MIN: f64 = 1e6;
/// Largest flow (L/min), pressure (mbar), band (K) and number of purge volumes (assumed).
pub const MOST_OTHER: f64 = 1e6;

/// A segment as a person and as the program name it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct SegmentRef {
    /// Its name for life.
    pub id: SegmentId,
    /// Its place in the profile, from 1.
    pub number: usize,
}

/// One number of a profile.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Field {
    /// Setpoint at the start, °C.
    Start,
    /// Unload temperature, °C.
    Unload,
    /// Target, °C.
    Target,
    /// Ramp rate, K/min.
    Rate,
    /// Ramp time, min; for a ramp at a rate the time it takes.
    RampTime,
    /// Hold, min.
    Hold,
    /// Band of the guaranteed soak, K.
    Band,
    /// Timeout of the guaranteed soak, min.
    Timeout,
    /// Sweep, L/min at 25 °C and 1 atm.
    Flow,
    /// Pressure to keep, mbar.
    Pressure,
    /// Purge volumes of an event.
    PurgeVolumes,
    /// Pressure of an event, mbar.
    EventPressure,
}

impl Field {
    /// Its name in a sentence.
    pub fn name(self) -> &'static str {
        match self {
            Self::Start => text::start(),
            Self::Unload => text::unload(),
            Self::Target => text::target(),
            Self::Rate => text::rate(),
            Self::RampTime => text::ramp_time(),
            Self::Hold => text::hold(),
            Self::Band => text::band(),
            Self::Timeout => text::timeout(),
            Self::Flow => text::flow(),
            Self::Pressure => text::pressure(),
            Self::PurgeVolumes => text::purge_volumes(),
            Self::EventPressure => text::event_pressure(),
        }
    }

    /// Its unit; a count has none.
    pub fn unit(self) -> &'static str {
        match self {
            Self::Start | Self::Unload | Self::Target => "°C",
            Self::Rate => "K/min",
            Self::RampTime | Self::Hold | Self::Timeout => "min",
            Self::Band => "K",
            Self::Flow => "L/min",
            Self::Pressure | Self::EventPressure => "mbar",
            Self::PurgeVolumes => "volumes",
        }
    }

    /// Largest value taken for a number and not a slip, in its unit.
    pub fn most(self) -> f64 {
        match self {
            Self::Start | Self::Unload | Self::Target => MOST_C,
            Self::Rate => MOST_K_MIN,
            Self::RampTime | Self::Hold | Self::Timeout => MOST_MIN,
            _ => MOST_OTHER,
        }
    }

    pub(super) fn is_temperature(self) -> bool {
        self.unit() == "°C"
    }
}

/// Something wrong with a profile. `Display` is the sentence; `segment` is `None` for a number of
/// the profile itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fault {
    /// A profile without segments.
    NoSegments,
    /// Two segments carry one id; this is the second.
    RepeatedId {
        /// Where.
        segment: SegmentRef,
    },
    /// A number that is not finite.
    NotFinite {
        /// Where.
        segment: Option<SegmentRef>,
        /// Which number.
        field: Field,
    },
    /// A temperature below absolute zero.
    BelowAbsoluteZero {
        /// Where.
        segment: Option<SegmentRef>,
        /// Which number.
        field: Field,
        /// °C.
        value_c: f64,
    },
    /// A number that cannot be below zero. A cooling rate has no sign either.
    Negative {
        /// Where.
        segment: Option<SegmentRef>,
        /// Which number.
        field: Field,
        /// In the field's unit.
        value: f64,
    },
    /// A number beyond [`Field::most`].
    TooLarge {
        /// Where.
        segment: Option<SegmentRef>,
        /// Which number.
        field: Field,
        /// In the field's unit.
        value: f64,
    },
    /// A rate of zero to another temperature: the target is never reached.
    ZeroRate {
        /// Where.
        segment: SegmentRef,
    },
    /// Another temperature in no time: the controller would give full power.
    StepJump {
        /// Where.
        segment: SegmentRef,
        /// Signed, K.
        jump_k: f64,
    },
    /// A full-rate ramp, and the furnace's greatest rate is not known.
    FullRateUnknown {
        /// Where.
        segment: SegmentRef,
    },
    /// A guaranteed soak without a timeout, or with one of zero.
    MissingTimeout {
        /// Where.
        segment: SegmentRef,
    },
    /// A guaranteed soak with a band of zero: it never starts.
    ZeroBand {
        /// Where.
        segment: SegmentRef,
    },
    /// A guaranteed soak that applies to neither the ramp nor the hold.
    WaitsNowhere {
        /// Where.
        segment: SegmentRef,
    },
    /// A sweep in vacuum: no gas is named.
    FlowWithoutGas {
        /// Where.
        segment: SegmentRef,
    },
}

impl Fault {
    /// Whether the profile has no setpoint curve because of it.
    pub fn blocks_curve(&self) -> bool {
        match self {
            Self::NoSegments | Self::ZeroRate { .. } | Self::FullRateUnknown { .. } => true,
            Self::NotFinite { field, .. }
            | Self::BelowAbsoluteZero { field, .. }
            | Self::Negative { field, .. }
            | Self::TooLarge { field, .. } => matches!(
                field,
                Field::Start | Field::Target | Field::Rate | Field::RampTime | Field::Hold
            ),
            Self::RepeatedId { .. }
            | Self::StepJump { .. }
            | Self::MissingTimeout { .. }
            | Self::ZeroBand { .. }
            | Self::WaitsNowhere { .. }
            | Self::FlowWithoutGas { .. } => false,
        }
    }

    /// The segment it is about; `None` when it is about the profile.
    pub fn segment(&self) -> Option<SegmentRef> {
        match *self {
            Self::NoSegments => None,
            Self::NotFinite { segment, .. }
            | Self::BelowAbsoluteZero { segment, .. }
            | Self::Negative { segment, .. }
            | Self::TooLarge { segment, .. } => segment,
            Self::RepeatedId { segment }
            | Self::ZeroRate { segment }
            | Self::StepJump { segment, .. }
            | Self::FullRateUnknown { segment }
            | Self::MissingTimeout { segment }
            | Self::ZeroBand { segment }
            | Self::WaitsNowhere { segment }
            | Self::FlowWithoutGas { segment } => Some(segment),
        }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sentence = match *self {
            Self::NoSegments => text::no_segments(),
            Self::RepeatedId { segment } => text::repeated_id(segment.id.0),
            Self::NotFinite { field, .. } => text::not_finite(field.name()),
            Self::BelowAbsoluteZero { field, value_c, .. } => {
                text::below_absolute_zero(field.name(), value_c, ABSOLUTE_ZERO_C)
            }
            Self::Negative { field, value, .. } => {
                text::negative(field.name(), value, field.unit(), field == Field::Rate)
            }
            Self::TooLarge { field, value, .. } => {
                text::too_large(field.name(), value, field.most(), field.unit())
            }
            Self::ZeroRate { .. } => text::zero_rate(),
            Self::StepJump { jump_k, .. } => text::step_jump(jump_k),
            Self::FullRateUnknown { .. } => text::full_rate_unknown(),
            Self::MissingTimeout { .. } => text::missing_timeout(),
            Self::ZeroBand { .. } => text::zero_band(),
            Self::WaitsNowhere { .. } => text::waits_nowhere(),
            Self::FlowWithoutGas { .. } => text::flow_without_gas(),
        };
        f.write_str(&text::fault(self.segment().map(|s| s.number), &sentence))
    }
}

impl std::error::Error for Fault {}
