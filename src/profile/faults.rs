//! What can be wrong with a profile in itself, and the sentence for each.

use super::segment::SegmentId;
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
            Self::Start => "the start temperature",
            Self::Unload => "the unload temperature",
            Self::Target => "the target",
            Self::Rate => "the ramp rate",
            Self::RampTime => "the ramp time",
            Self::Hold => "the hold",
            Self::Band => "the band of the guaranteed soak",
            Self::Timeout => "the timeout of the guaranteed soak",
            Self::Flow => "the gas flow",
            Self::Pressure => "the pressure",
            Self::PurgeVolumes => "the number of purge volumes",
            Self::EventPressure => "the pressure of an event",
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
        match self.segment() {
            Some(segment) => write!(f, "Segment {}: ", segment.number)?,
            None => write!(f, "Profile: ")?,
        }
        match *self {
            Self::NoSegments => write!(f, "it has no segments. Add at least one."),
            Self::RepeatedId { segment } => write!(
                f,
                "its id {} is already used by an earlier segment. Give it another.",
                segment.id.0
            ),
            Self::NotFinite { field, .. } => {
                write!(f, "{} is not a finite number. Type one.", field.name())
            }
            Self::BelowAbsoluteZero { field, value_c, .. } => write!(
                f,
                "{} of {value_c} °C is below absolute zero ({ABSOLUTE_ZERO_C} °C). Correct it.",
                field.name()
            ),
            Self::Negative { field, value, .. } => {
                let name = field.name();
                write!(f, "{name} of {value} {} is below zero. ", field.unit())?;
                match field {
                    Field::Rate => write!(
                        f,
                        "Type the rate without a sign: a target below the one before is cooling."
                    ),
                    _ => write!(f, "Type zero or more."),
                }
            }
            Self::TooLarge { field, value, .. } => write!(
                f,
                "{} of {value:.6e} {unit} is beyond {} {unit}. Check the number and its unit.",
                field.name(),
                field.most(),
                unit = field.unit()
            ),
            Self::ZeroRate { .. } => write!(
                f,
                "the ramp rate is zero, so the target is never reached. Type a rate above zero."
            ),
            Self::StepJump { jump_k, .. } => write!(
                f,
                "the setpoint jumps by {jump_k:.1} K in no time, which calls for full power. Give \
                 the ramp a time or a rate."
            ),
            Self::FullRateUnknown { .. } => write!(
                f,
                "the ramp runs at full rate, and the furnace's greatest rate is not known. Enter \
                 it with the furnace, or give the ramp a rate."
            ),
            Self::MissingTimeout { .. } => write!(
                f,
                "the guaranteed soak has no timeout, so a broken thermocouple could keep the load \
                 there for ever. Give it a timeout above zero."
            ),
            Self::ZeroBand { .. } => write!(
                f,
                "the guaranteed soak has a band of zero, so it would never start. Type a band \
                 above zero."
            ),
            Self::WaitsNowhere { .. } => write!(
                f,
                "the guaranteed soak applies to neither the ramp nor the hold. Choose one, or \
                 remove it."
            ),
            Self::FlowWithoutGas { .. } => write!(
                f,
                "it has a gas flow and no gas. Choose the gas, or set the flow to zero."
            ),
        }
    }
}

impl std::error::Error for Fault {}
