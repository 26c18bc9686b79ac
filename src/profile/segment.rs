//! What a profile is made of.

/// Names one segment for as long as the document lives; never reused. What a person reads is the
/// segment's number in the profile, from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SegmentId(pub u32);

/// A thermal profile: from a starting setpoint through its segments.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// Display name.
    pub name: String,
    /// Revision as the shop writes it.
    pub revision: String,
    /// Setpoint at the start, °C.
    pub start_c: f64,
    /// In the order they run.
    pub segments: Vec<Segment>,
    /// Temperature of the load itself, not of the setpoint, at which it may come out, °C.
    pub unload_c: f64,
    /// Who said that it may run.
    pub approval: Option<super::Approval>,
}

/// A ramp to a target, then a hold at it; either may take no time. A target below the one before
/// is cooling.
#[derive(Debug, Clone, PartialEq)]
pub struct Segment {
    /// Its name for life.
    pub id: SegmentId,
    /// How the ramp is paced.
    pub ramp: RampBy,
    /// Target, °C.
    pub to_c: f64,
    /// Hold at the target, min.
    pub hold_min: f64,
    /// What the program waits for; `None` = the clock alone.
    pub wait_on: Option<WaitOn>,
    /// Catalogue id of the gas; `None` = vacuum.
    pub gas: Option<String>,
    /// Sweep, L/min at 25 °C and 1 atm; 0 = none.
    pub flow_l_min_25c: f64,
    /// Pressure to keep, mbar absolute; `None` = not controlled.
    pub pressure_mbar: Option<f64>,
    /// Switched at the start or end of the segment, in this order.
    pub events: Vec<Event>,
    /// Free text for the run sheet.
    pub note: String,
}

impl Segment {
    /// The segment in two, the later one under a new number: events at its start stay with the
    /// first, those at its end go to the second.
    pub fn in_two(&self, id: SegmentId) -> (Segment, Segment) {
        let (mut first, mut second) = (self.clone(), self.clone());
        second.id = id;
        second.note = String::new();
        first.events.retain(|e| e.at == EventAt::Start);
        second.events.retain(|e| e.at == EventAt::End);
        (first, second)
    }
}

/// How a ramp is paced.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RampBy {
    /// At a rate. It has no sign: whether it heats or cools is told by the target.
    Rate {
        /// K/min, above 0.
        k_min: f64,
    },
    /// In a time.
    Time {
        /// min; 0 is a step and a fault unless the target is already reached.
        min: f64,
    },
    /// As fast as the furnace can. How long that takes is not the profile's to know: the furnace's
    /// greatest rate is handed to [`Profile::curve`](super::Profile::curve).
    FullRate,
}

/// Guaranteed soak: the program waits until thermocouples are within a band of the setpoint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaitOn {
    /// Which thermocouples. Waiting on the control thermocouple hardly waits: it is in band at
    /// once.
    pub on: WaitFor,
    /// Half width of the band around the setpoint, K.
    pub band_k: f64,
    /// On the ramp: the setpoint stops while out of band.
    pub on_ramp: bool,
    /// On the hold: the timer stops while out of band.
    pub on_hold: bool,
    /// What the hold's timer does when the band is left again.
    pub on_leave: OnLeave,
    /// Longest wait, min, after which the furnace alarms. Mandatory, since a broken thermocouple
    /// must not keep a load at peak for ever; `None` is a fault.
    pub timeout_min: Option<f64>,
}

/// Which thermocouples a guaranteed soak reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WaitFor {
    /// The control thermocouple.
    Control,
    /// One of the load thermocouples.
    AnyLoad,
    /// Every load thermocouple.
    AllLoad,
}

/// What the hold's timer does when the band is left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OnLeave {
    /// It stops and goes on later.
    Pause,
    /// It begins again.
    Restart,
}

/// Something switched or done at one end of a segment.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// Which end.
    pub at: EventAt,
    /// What.
    pub kind: EventKind,
}

/// One end of a segment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EventAt {
    /// As its ramp begins.
    Start,
    /// As its hold ends.
    End,
}

/// What an event switches or asks for.
#[derive(Debug, Clone, PartialEq)]
pub enum EventKind {
    /// Purge with inert gas.
    PurgeInert {
        /// Chamber volumes of gas.
        volumes: f64,
    },
    /// Pump down.
    PumpDown {
        /// Pressure to reach, mbar absolute.
        to_mbar: f64,
    },
    /// Let gas in.
    Backfill {
        /// Catalogue id of the gas.
        gas: String,
        /// Pressure to reach, mbar absolute.
        to_mbar: f64,
    },
    /// Hydrogen on.
    HydrogenOn,
    /// Hydrogen off.
    HydrogenOff,
    /// Cooling fan on.
    FanOn,
    /// Cooling fan off.
    FanOff,
    /// Burn-off flame on.
    BurnOffOn,
    /// Burn-off flame off.
    BurnOffOff,
    /// The load comes out.
    Unload,
    /// An operator looks and confirms.
    OperatorCheck,
}
