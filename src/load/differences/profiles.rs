//! The profile: segments by their order.

use super::{Affects, Comparison, both, both_if, matching, named};
use crate::catalogue::{Catalogue, RangeC};
use crate::load::plan::Plan;
use crate::profile::{
    Approval, Event, EventAt, EventKind, OnLeave, RampBy, Segment, SegmentId, WaitFor, WaitOn,
};
use crate::text::approvals;
use crate::text::differences as say;
use crate::text::differences::which;
use crate::units::{Quantity, show};

/// Kelvin at which two targets are as different as targets can be.
const FAR_K: f64 = 300.0;

/// A segment with what it is known by.
struct Step<'a> {
    segment: &'a Segment,
    /// All but its number, as text.
    mark: String,
    /// Its number in words, from 1.
    plain: String,
    /// What a person knows it by, without and with its number.
    short: String,
    name: String,
    affects: Affects,
}

fn steps<'a>(plan: &'a Plan, catalogue: &Catalogue) -> Vec<Step<'a>> {
    let feedstocks: Vec<_> = plan
        .parts
        .iter()
        .filter_map(|p| catalogue.feedstock(&p.feedstock))
        .collect();
    let holds = |range: RangeC, to_c: f64| range.from_c <= to_c && to_c <= range.to_c;
    let debind = |to_c: f64| feedstocks.iter().any(|f| holds(f.debind, to_c));
    let sinter = |to_c: f64| {
        feedstocks
            .iter()
            .any(|f| f.sinter.from_c <= to_c && to_c <= f.sinter.to_c)
    };
    let debind_ends = feedstocks
        .iter()
        .map(|f| f.debind.to_c)
        .fold(f64::MIN, f64::max);
    let mut counts = [0, 0];
    let mut from_c = plan.profile.start_c;
    let mut peaked = false;
    let mut out = Vec::new();
    for (i, segment) in plan.profile.segments.iter().enumerate() {
        let to_c = segment.to_c;
        let plain = say::segment(i + 1);
        let held = segment.hold_min > 0.0 && to_c >= from_c;
        let hold = match (held && debind(to_c), held && sinter(to_c)) {
            (true, _) => Some(true),
            (_, true) => Some(false),
            _ => None,
        };
        let short = hold.map_or_else(
            || plain.clone(),
            |debind| {
                let count = &mut counts[usize::from(!debind)];
                *count += 1;
                say::hold(debind, *count)
            },
        );
        let name = if hold.is_some() {
            say::in_segment(&short, i + 1)
        } else {
            plain.clone()
        };
        peaked |= to_c > debind_ends;
        let affects = if peaked {
            Affects::SinterHeat
        } else {
            Affects::BinderRemoval
        };
        let same = Segment {
            id: SegmentId(0),
            ..segment.clone()
        };
        out.push(Step {
            segment,
            mark: format!("{same:?}"),
            plain,
            short,
            name,
            affects,
        });
        from_c = to_c;
    }
    out
}

/// Between 0 and 2, as [`matching::in_order`] wants it; below 2, so that one segment that was
/// made into another is one difference.
fn unlike(a: &Step, b: &Step) -> f64 {
    if a.mark == b.mark {
        return 0.0;
    }
    let (a, b) = (a.segment, b.segment);
    let far = ((a.to_c - b.to_c).abs() / FAR_K).min(1.0);
    let share = |differs: bool, weight: f64| if differs { weight } else { 0.0 };
    0.1 + 0.9 * far
        + share(a.ramp != b.ramp, 0.15)
        + share(a.hold_min != b.hold_min, 0.15)
        + share((a.hold_min > 0.0) != (b.hold_min > 0.0), 0.15)
        + share(a.gas != b.gas, 0.15)
        + share(a.events != b.events, 0.15)
        + share(a.pressure_mbar != b.pressure_mbar, 0.05)
        + share(a.flow_l_min_25c != b.flow_l_min_25c, 0.05)
}

impl Comparison<'_> {
    pub(super) fn profile(&mut self) {
        let (was, is) = (&self.was.profile, &self.is.profile);
        let head = say::profile();
        let items = [head.clone()];
        let texts = [
            (which::name(), [&was.name, &is.name]),
            (which::revision(), [&was.revision, &is.revision]),
        ];
        for (which, [before, now]) in texts {
            if before != now {
                let values = [before, now].map(|t| say::quoted(t));
                self.instead(Affects::RecordsOnly, &items, &say::of(&head, which), values);
            }
        }
        if was.start_c != is.start_c {
            let values = both(Quantity::Temperature, [was.start_c, is.start_c], 0);
            let what = say::of(&head, which::start());
            self.instead(Affects::BinderRemoval, &items, &what, values);
        }
        if was.unload_c != is.unload_c {
            let values = both(Quantity::Temperature, [was.unload_c, is.unload_c], 0);
            let what = say::of(&head, which::unload());
            self.instead(Affects::Handling, &items, &what, values);
        }
        if was.approval != is.approval {
            let what = say::of(&head, which::approval());
            let values = [&was.approval, &is.approval].map(|a| match a {
                None => say::none(),
                Some(Approval {
                    revision,
                    by,
                    on,
                    feedstocks,
                    changed,
                }) => say::quoted(&approvals::shown(revision, by, on, feedstocks, *changed)),
            });
            self.instead(Affects::RecordsOnly, &items, &what, values);
        }
        let was = steps(self.was, self.catalogues[0]);
        let is = steps(self.is, self.catalogues[1]);
        let pairs = matching::in_order(&was, &is, |s| &s.mark, unlike);
        for i in matching::alone(was.len(), pairs.iter().map(|p| p.0)) {
            self.segment_alone(&was[i], say::removed);
        }
        for i in matching::alone(is.len(), pairs.iter().map(|p| p.1)) {
            self.segment_alone(&is[i], say::added);
        }
        for (a, b) in pairs {
            let key = |step: &Step| format!("segment {}", step.segment.id.0);
            self.subjects.insert(key(&was[a]), key(&is[b]));
            if was[a].segment != is[b].segment {
                self.segment_changes(&was[a], &is[b]);
            }
        }
    }

    fn segment_alone(&mut self, step: &Step, say_so: fn(&str) -> String) {
        let to = show(Quantity::Temperature, step.segment.to_c, 0);
        let hold = show(Quantity::Time, step.segment.hold_min, 0);
        let what = say::segment_of(&step.name, &to, &hold);
        let affects = handling(&step.segment.events).unwrap_or(step.affects);
        self.tell(affects, vec![step.plain.clone()], say_so(&what));
    }

    fn segment_changes(&mut self, before: &Step, now: &Step) {
        let Segment {
            id: _,
            ramp,
            to_c,
            hold_min,
            wait_on,
            gas,
            flow_l_min_25c,
            pressure_mbar,
            events,
            note,
        } = now.segment;
        let was = before.segment;
        let items = [before.plain.clone(), now.plain.clone()];
        let plain = named(&before.plain, &now.plain);
        let heat = before.affects.min(now.affects);
        let heading = |which: &str| say::of(&plain, which);
        if was.to_c != *to_c {
            let values = both(Quantity::Temperature, [was.to_c, *to_c], 0);
            self.instead(heat, &items, &heading(which::target()), values);
        }
        if was.ramp != *ramp {
            let values = match (was.ramp, *ramp) {
                (RampBy::Rate { k_min: a }, RampBy::Rate { k_min: b }) => {
                    both(Quantity::Rate, [a, b], 2)
                }
                (RampBy::Time { min: a }, RampBy::Time { min: b }) => {
                    both(Quantity::Time, [a, b], 0).map(|t| say::in_time(&t))
                }
                (a, b) => [a, b].map(ramp_words),
            };
            self.instead(heat, &items, &heading(which::ramp()), values);
        }
        if was.hold_min != *hold_min {
            let values = both(Quantity::Time, [was.hold_min, *hold_min], 0);
            // "Debind hold 1" is a hold already.
            let what = if now.name == now.plain {
                heading(which::hold())
            } else if before.short == now.short {
                now.name.clone()
            } else {
                named(&before.name, &now.name)
            };
            self.instead(heat, &items, &what, values);
        }
        if was.wait_on != *wait_on {
            let values = [&was.wait_on, wait_on].map(soak_words);
            self.instead(heat, &items, &heading(which::soak()), values);
        }
        if was.gas != *gas {
            let values = [
                gas_name(self.catalogues[0], was.gas.as_deref()),
                gas_name(self.catalogues[1], gas.as_deref()),
            ];
            self.instead(Affects::Atmosphere, &items, &heading(which::gas()), values);
        }
        if was.flow_l_min_25c != *flow_l_min_25c {
            let values = both(Quantity::Flow, [was.flow_l_min_25c, *flow_l_min_25c], 2);
            self.instead(
                Affects::Atmosphere,
                &items,
                &heading(which::sweep()),
                values,
            );
        }
        if was.pressure_mbar != *pressure_mbar {
            let mut values = both_if(Quantity::Pressure, [was.pressure_mbar, *pressure_mbar], 3);
            for (value, pressure) in values.iter_mut().zip([was.pressure_mbar, *pressure_mbar]) {
                if pressure.is_none() {
                    *value = say::not_controlled();
                }
            }
            self.instead(
                Affects::Atmosphere,
                &items,
                &heading(which::pressure()),
                values,
            );
        }
        if was.events != *events {
            let affects = handling(&was.events).or(handling(events));
            let values = [
                events_words(&was.events, self.catalogues[0]),
                events_words(events, self.catalogues[1]),
            ];
            let heading = heading(which::events());
            self.instead(
                affects.unwrap_or(Affects::Atmosphere),
                &items,
                &heading,
                values,
            );
        }
        if was.note != *note {
            let values = [&was.note, note].map(|t| say::quoted(t));
            self.instead(
                Affects::RecordsOnly,
                &items,
                &heading(which::note()),
                values,
            );
        }
    }
}

/// Whether somebody may be hurt by one of these being otherwise.
fn handling(events: &[Event]) -> Option<Affects> {
    let hurts = |event: &Event| {
        !matches!(
            event.kind,
            EventKind::PumpDown { .. } | EventKind::FanOn | EventKind::FanOff
        )
    };
    events.iter().any(hurts).then_some(Affects::Handling)
}

fn ramp_words(ramp: RampBy) -> String {
    match ramp {
        RampBy::Rate { k_min } => show(Quantity::Rate, k_min, 2),
        RampBy::Time { min } => say::in_time(&show(Quantity::Time, min, 0)),
        RampBy::FullRate => say::full_rate(),
    }
}

fn soak_words(wait: &Option<WaitOn>) -> String {
    let Some(wait) = wait else {
        return say::none();
    };
    let WaitOn {
        on,
        band_k,
        on_ramp,
        on_hold,
        on_leave,
        timeout_min,
    } = wait;
    let on = match on {
        WaitFor::Control => say::control_thermocouple(),
        WaitFor::AnyLoad => say::any_load_thermocouple(),
        WaitFor::AllLoad => say::all_load_thermocouples(),
    };
    let timeout = timeout_min.map_or_else(say::none, |min| format!("{min}\u{a0}min"));
    let band = format!("{band_k}\u{a0}K");
    let restarts = *on_leave == OnLeave::Restart;
    say::soak(on, &band, *on_ramp, *on_hold, restarts, &timeout)
}

fn gas_name(catalogue: &Catalogue, id: Option<&str>) -> String {
    let Some(id) = id else {
        return say::vacuum();
    };
    let known = catalogue.gas(id);
    known.map_or_else(|| id.to_owned(), |g| g.name.clone())
}

fn events_words(events: &[Event], catalogue: &Catalogue) -> String {
    if events.is_empty() {
        return say::none();
    }
    let words = |event: &Event| {
        let mbar = |p: f64| format!("{p}\u{a0}mbar");
        let what = match &event.kind {
            EventKind::PurgeInert { volumes } => say::purge(&volumes.to_string()),
            EventKind::PumpDown { to_mbar } => say::pump_down(&mbar(*to_mbar)),
            EventKind::Backfill { gas, to_mbar } => {
                say::backfill(&gas_name(catalogue, Some(gas)), &mbar(*to_mbar))
            }
            EventKind::HydrogenOn => which::hydrogen_on().to_owned(),
            EventKind::HydrogenOff => which::hydrogen_off().to_owned(),
            EventKind::FanOn => which::fan_on().to_owned(),
            EventKind::FanOff => which::fan_off().to_owned(),
            EventKind::BurnOffOn => which::burn_off_on().to_owned(),
            EventKind::BurnOffOff => which::burn_off_off().to_owned(),
            EventKind::Unload => which::unload_event().to_owned(),
            EventKind::OperatorCheck => which::operator_check().to_owned(),
        };
        say::event(&what, event.at == EventAt::Start)
    };
    events.iter().map(words).collect::<Vec<_>>().join("; ")
}
