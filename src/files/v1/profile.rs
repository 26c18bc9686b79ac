//! The thermal profile.

use crate::files::fault::Fault;
use crate::profile as work;
use serde::{Deserialize, Serialize};

/// `profile::Profile`.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(in crate::files) struct Profile {
    name: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    revision: String,
    start_c: f64,
    segments: Vec<Segment>,
    unload_c: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    approval: Option<Approval>,
}

/// `profile::Approval`.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Approval {
    revision: String,
    by: String,
    on: String,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    feedstocks: Vec<String>,
    #[serde(default, skip_serializing_if = "is_false")]
    changed: bool,
}

fn is_false(value: &bool) -> bool {
    !value
}

impl From<&work::Approval> for Approval {
    fn from(approval: &work::Approval) -> Approval {
        let work::Approval {
            revision,
            by,
            on,
            feedstocks,
            changed,
        } = approval.clone();
        Approval {
            revision,
            by,
            on,
            feedstocks,
            changed,
        }
    }
}

impl Approval {
    fn into_work(self, place: &str) -> Result<work::Approval, Fault> {
        let Approval {
            revision,
            by,
            on,
            feedstocks,
            changed,
        } = self;
        super::day(&format!("{place}.approval"), "on", &on)?;
        Ok(work::Approval {
            revision,
            by,
            on,
            feedstocks,
            changed,
        })
    }
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Segment {
    id: u32,
    ramp: Ramp,
    to_c: f64,
    hold_min: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    wait_on: Option<WaitOn>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    gas: Option<String>,
    #[serde(default)]
    flow_l_min_25c: f64,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pressure_mbar: Option<f64>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    events: Vec<Event>,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    note: String,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
enum Ramp {
    Rate { k_min: f64 },
    Time { min: f64 },
    FullRate,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WaitOn {
    on: WaitFor,
    band_k: f64,
    on_ramp: bool,
    on_hold: bool,
    on_leave: OnLeave,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    timeout_min: Option<f64>,
}

#[derive(Debug, Serialize, Deserialize)]
enum WaitFor {
    Control,
    AnyLoad,
    AllLoad,
}

#[derive(Debug, Serialize, Deserialize)]
enum OnLeave {
    Pause,
    Restart,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Event {
    at: EventAt,
    kind: EventKind,
}

#[derive(Debug, Serialize, Deserialize)]
enum EventAt {
    Start,
    End,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
enum EventKind {
    PurgeInert { volumes: f64 },
    PumpDown { to_mbar: f64 },
    Backfill { gas: String, to_mbar: f64 },
    HydrogenOn,
    HydrogenOff,
    FanOn,
    FanOff,
    BurnOffOn,
    BurnOffOff,
    Unload,
    OperatorCheck,
}

impl From<&work::Profile> for Profile {
    fn from(profile: &work::Profile) -> Profile {
        let work::Profile {
            name,
            revision,
            start_c,
            segments,
            unload_c,
            approval,
        } = profile;
        Profile {
            name: name.clone(),
            revision: revision.clone(),
            start_c: *start_c,
            segments: segments.iter().map(Segment::from).collect(),
            unload_c: *unload_c,
            approval: approval.as_ref().map(Approval::from),
        }
    }
}

impl Profile {
    /// The working profile. Numbers that make no sense are left for the review to name: only what
    /// cannot be worked with at all is refused here.
    pub(in crate::files) fn into_work(self, place: &str) -> Result<work::Profile, Fault> {
        let Profile {
            name,
            revision,
            start_c,
            segments,
            unload_c,
            approval,
        } = self;
        let approval = approval.map(|a| a.into_work(place)).transpose()?;
        let profile = work::Profile {
            name,
            revision,
            start_c,
            segments: segments.into_iter().map(Segment::into_work).collect(),
            unload_c,
            approval,
        };
        for fault in profile.faults(None) {
            match fault {
                work::Fault::RepeatedId { segment } => {
                    return Err(Fault::RepeatedId {
                        place: format!("{place}.segments[{}]", segment.number - 1),
                        what: "segment",
                        id: segment.id.0,
                    });
                }
                work::Fault::NotFinite { .. } => {
                    return Err(Fault::value(place, fault.to_string()));
                }
                _ => {}
            }
        }
        Ok(profile)
    }
}

impl From<&work::Segment> for Segment {
    fn from(segment: &work::Segment) -> Segment {
        let work::Segment {
            id,
            ramp,
            to_c,
            hold_min,
            wait_on,
            gas,
            flow_l_min_25c,
            pressure_mbar,
            events,
            note,
        } = segment;
        Segment {
            id: id.0,
            ramp: match *ramp {
                work::RampBy::Rate { k_min } => Ramp::Rate { k_min },
                work::RampBy::Time { min } => Ramp::Time { min },
                work::RampBy::FullRate => Ramp::FullRate,
            },
            to_c: *to_c,
            hold_min: *hold_min,
            wait_on: wait_on.as_ref().map(WaitOn::from),
            gas: gas.clone(),
            flow_l_min_25c: *flow_l_min_25c,
            pressure_mbar: *pressure_mbar,
            events: events.iter().map(Event::from).collect(),
            note: note.clone(),
        }
    }
}

impl Segment {
    fn into_work(self) -> work::Segment {
        let Segment {
            id,
            ramp,
            to_c,
            hold_min,
            wait_on,
            gas,
            flow_l_min_25c,
            pressure_mbar,
            events,
            note,
        } = self;
        work::Segment {
            id: work::SegmentId(id),
            ramp: match ramp {
                Ramp::Rate { k_min } => work::RampBy::Rate { k_min },
                Ramp::Time { min } => work::RampBy::Time { min },
                Ramp::FullRate => work::RampBy::FullRate,
            },
            to_c,
            hold_min,
            wait_on: wait_on.map(WaitOn::into_work),
            gas,
            flow_l_min_25c,
            pressure_mbar,
            events: events.into_iter().map(Event::into_work).collect(),
            note,
        }
    }
}

impl From<&work::WaitOn> for WaitOn {
    fn from(wait: &work::WaitOn) -> WaitOn {
        let work::WaitOn {
            on,
            band_k,
            on_ramp,
            on_hold,
            on_leave,
            timeout_min,
        } = wait;
        WaitOn {
            on: match on {
                work::WaitFor::Control => WaitFor::Control,
                work::WaitFor::AnyLoad => WaitFor::AnyLoad,
                work::WaitFor::AllLoad => WaitFor::AllLoad,
            },
            band_k: *band_k,
            on_ramp: *on_ramp,
            on_hold: *on_hold,
            on_leave: match on_leave {
                work::OnLeave::Pause => OnLeave::Pause,
                work::OnLeave::Restart => OnLeave::Restart,
            },
            timeout_min: *timeout_min,
        }
    }
}

impl WaitOn {
    fn into_work(self) -> work::WaitOn {
        let WaitOn {
            on,
            band_k,
            on_ramp,
            on_hold,
            on_leave,
            timeout_min,
        } = self;
        work::WaitOn {
            on: match on {
                WaitFor::Control => work::WaitFor::Control,
                WaitFor::AnyLoad => work::WaitFor::AnyLoad,
                WaitFor::AllLoad => work::WaitFor::AllLoad,
            },
            band_k,
            on_ramp,
            on_hold,
            on_leave: match on_leave {
                OnLeave::Pause => work::OnLeave::Pause,
                OnLeave::Restart => work::OnLeave::Restart,
            },
            timeout_min,
        }
    }
}

impl From<&work::Event> for Event {
    fn from(event: &work::Event) -> Event {
        use work::EventKind as K;
        let work::Event { at, kind } = event;
        Event {
            at: match at {
                work::EventAt::Start => EventAt::Start,
                work::EventAt::End => EventAt::End,
            },
            kind: match kind {
                K::PurgeInert { volumes } => EventKind::PurgeInert { volumes: *volumes },
                K::PumpDown { to_mbar } => EventKind::PumpDown { to_mbar: *to_mbar },
                K::Backfill { gas, to_mbar } => EventKind::Backfill {
                    gas: gas.clone(),
                    to_mbar: *to_mbar,
                },
                K::HydrogenOn => EventKind::HydrogenOn,
                K::HydrogenOff => EventKind::HydrogenOff,
                K::FanOn => EventKind::FanOn,
                K::FanOff => EventKind::FanOff,
                K::BurnOffOn => EventKind::BurnOffOn,
                K::BurnOffOff => EventKind::BurnOffOff,
                K::Unload => EventKind::Unload,
                K::OperatorCheck => EventKind::OperatorCheck,
            },
        }
    }
}

impl Event {
    fn into_work(self) -> work::Event {
        use work::EventKind as K;
        let Event { at, kind } = self;
        work::Event {
            at: match at {
                EventAt::Start => work::EventAt::Start,
                EventAt::End => work::EventAt::End,
            },
            kind: match kind {
                EventKind::PurgeInert { volumes } => K::PurgeInert { volumes },
                EventKind::PumpDown { to_mbar } => K::PumpDown { to_mbar },
                EventKind::Backfill { gas, to_mbar } => K::Backfill { gas, to_mbar },
                EventKind::HydrogenOn => K::HydrogenOn,
                EventKind::HydrogenOff => K::HydrogenOff,
                EventKind::FanOn => K::FanOn,
                EventKind::FanOff => K::FanOff,
                EventKind::BurnOffOn => K::BurnOffOn,
                EventKind::BurnOffOff => K::BurnOffOff,
                EventKind::Unload => K::Unload,
                EventKind::OperatorCheck => K::OperatorCheck,
            },
        }
    }
}
