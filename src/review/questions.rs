//! Questions that only a person can answer before a run, one row each. A plan cannot know whether a
//! flare is lit or a plate is bowed, so it does not pretend to.

use super::facts::Facts;
use super::facts_debind::has_first_step;
use super::finding::{Sense, Subject};
use crate::catalogue::{
    CheckSetting, Family, FirstStep, FurnaceKind, GasNature, Severity, SupportKind,
};
use crate::load::{Carrier, Declaration, Item, Plan};
use crate::part::MassState;
use crate::profile::EventKind;
use crate::units::{Quantity, parse};
use Severity::{Caution, Note, Stop};

/// What an answer is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Answer {
    /// Yes, which is the good one, or no.
    YesNo,
    /// A quantity, held against a limit where there is one.
    Quantity(Quantity, Option<(&'static str, Sense)>),
}

/// What a question is about, where it is asked at all.
enum Asked {
    /// It does not apply to this load.
    No,
    /// The whole load.
    Load,
    /// Each of these.
    Each(Vec<Subject>),
}

/// One question.
pub struct Question {
    /// Slug.
    pub slug: &'static str,
    /// What its answer is.
    pub answer: Answer,
    /// Whether people may come to harm.
    pub safety: bool,
    /// Severity of a "no", or of a quantity beyond its limit.
    pub otherwise: Severity,
    /// The limit for its age at the planned start.
    pub age: &'static str,
    /// Whether it is a proof: what nobody has proved weighs what a "no" weighs.
    pub proof: bool,
    /// Whether a repair of the furnace ends it.
    pub until_repair: bool,
    /// Whether checks of its own look at the answer.
    pub own_checks: bool,
    asked: fn(&Facts) -> Asked,
}

impl Question {
    /// Severity of having no answer yet: where people may come to harm or a proof is wanted, that
    /// of a no.
    pub fn unanswered(&self) -> Severity {
        if self.safety || self.proof {
            self.otherwise
        } else {
            Note
        }
    }

    /// Whether an answer can be read, and what is wrong with it otherwise.
    ///
    /// # Errors
    /// It is neither yes nor no, or no quantity of the kind, in a sentence.
    pub fn check(&self, answer: &str) -> Result<(), String> {
        match self.answer {
            Answer::YesNo => yes_or_no(answer)
                .map(|_| ())
                .ok_or_else(|| crate::text::questions::yes_or_no(answer)),
            Answer::Quantity(quantity, _) => {
                let read = parse(quantity, answer.trim());
                read.map(|_| ()).map_err(|fault| fault.to_string())
            }
        }
    }
}

impl std::fmt::Debug for Question {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Question")
            .field("slug", &self.slug)
            .finish_non_exhaustive()
    }
}

/// A question that applies to a load.
#[derive(Clone, Debug)]
pub struct AskedQuestion {
    /// The question.
    pub question: &'static Question,
    /// What about, where not the whole load.
    pub about: Option<Subject>,
    /// Severity that the shop has given to it.
    pub severity: Option<Severity>,
}

impl PartialEq for AskedQuestion {
    fn eq(&self, other: &AskedQuestion) -> bool {
        self.question.slug == other.question.slug
            && self.about == other.about
            && self.severity == other.severity
    }
}

impl AskedQuestion {
    /// The shop's severity, or the question's own; what concerns safety is never lowered.
    pub(super) fn weight(&self, own: Severity) -> Severity {
        match self.severity {
            Some(set) if self.question.safety => set.max(own),
            Some(set) => set,
            None => own,
        }
    }
}

/// "yes" or "no", however it is written.
pub(super) fn yes_or_no(answer: &str) -> Option<bool> {
    match answer.trim().to_lowercase().as_str() {
        "yes" => Some(true),
        "no" => Some(false),
        _ => None,
    }
}

/// The statement that answers a question: the latest about the same, or about the whole load.
pub fn declared<'a>(
    plan: &'a Plan,
    slug: &str,
    about: Option<&Subject>,
) -> Option<&'a Declaration> {
    let key = about.map(Subject::key);
    // A question of the whole load is answered by what is said of any of it.
    let fits = |d: &&Declaration| {
        let of_it = key.is_none() || d.about.is_none() || d.about.as_deref() == key.as_deref();
        d.question == slug && of_it
    };
    // What is said about the one thing goes before what is said of all; of two of one day the one
    // written last.
    let fitting = plan.declarations.iter().filter(fits);
    fitting.max_by_key(|d| (key.is_some() && d.about.is_some(), d.when()))
}

/// A question by its slug.
pub fn question_by_slug(slug: &str) -> Option<&'static Question> {
    QUESTIONS.iter().find(|q| q.slug == slug)
}

/// Questions that apply to a load, in the order of the table. One that a shop has switched off, by
/// its own slug among the check settings, is not asked unless it concerns safety.
pub(super) fn asked(facts: &Facts) -> Vec<AskedQuestion> {
    let set = |question: &Question| {
        let mut settings = facts.catalogue.checks.iter();
        let here = |s: &&CheckSetting| {
            let mut things = facts.contexts.things();
            s.check == question.slug && things.any(|c| c.matches(&s.scope))
        };
        settings.find(here)
    };
    let mut out = Vec::new();
    for question in QUESTIONS {
        let setting = set(question);
        if !question.safety && setting.is_some_and(|s| !s.on) {
            continue;
        }
        let asked = |about| AskedQuestion {
            question,
            about,
            severity: setting.and_then(|s| s.severity),
        };
        match (question.asked)(facts) {
            Asked::No => {}
            Asked::Load => out.push(asked(None)),
            Asked::Each(subjects) => out.extend(subjects.into_iter().map(|s| asked(Some(s)))),
        }
    }
    out
}

/// Age of what is looked at before each run.
const EACH_RUN: &str = "declaration-age-max";
/// Age of what is tested now and then.
const NOW_AND_THEN: &str = "declared-test-age-max";

const BASE: Question = Question {
    slug: "",
    answer: Answer::YesNo,
    safety: false,
    otherwise: Caution,
    age: EACH_RUN,
    proof: false,
    until_repair: false,
    own_checks: false,
    asked: |_| Asked::No,
};

const SAFETY: Question = Question {
    safety: true,
    otherwise: Stop,
    ..BASE
};

/// All questions.
pub const QUESTIONS: &[Question] = &[
    Question {
        slug: "over-temperature-set",
        otherwise: Caution,
        answer: Answer::Quantity(Quantity::Temperature, None),
        age: NOW_AND_THEN,
        until_repair: true,
        own_checks: true,
        asked: |_| Asked::Load,
        ..SAFETY
    },
    Question {
        slug: "flame-proven",
        asked: fuel,
        ..SAFETY
    },
    Question {
        slug: "interlocks-tested",
        age: NOW_AND_THEN,
        until_repair: true,
        asked: fuel,
        ..SAFETY
    },
    Question {
        slug: "hydrogen-sensor-tested",
        age: NOW_AND_THEN,
        asked: fuel,
        ..SAFETY
    },
    Question {
        slug: "emergency-purge-open",
        asked: fuel,
        ..SAFETY
    },
    Question {
        slug: "oxygen-measured-before-entry",
        asked: displaces_air,
        ..SAFETY
    },
    Question {
        slug: "second-person-present",
        otherwise: Caution,
        asked: displaces_air,
        ..SAFETY
    },
    Question {
        slug: "exhaust-ventilation-on",
        asked: |facts| load_if(binder(facts) || !facts.gas_slugs().is_empty()),
        ..SAFETY
    },
    Question {
        slug: "cooling-water-flows",
        asked: pumped,
        ..BASE
    },
    Question {
        slug: "door-seal-clean",
        asked: pumped,
        ..BASE
    },
    Question {
        slug: "trap-coolant",
        answer: Answer::Quantity(
            Quantity::Temperature,
            Some(("trap-coolant-max", Sense::AtMost)),
        ),
        asked: |facts| load_if(trap(facts) && binder(facts)),
        ..BASE
    },
    Question {
        slug: "trap-emptied",
        asked: |facts| {
            let known = facts.state.is_some_and(|s| s.trap_fill_g.is_some());
            load_if(trap(facts) && binder(facts) && !known)
        },
        ..BASE
    },
    Question {
        slug: "setters-flat",
        asked: setters,
        ..BASE
    },
    Question {
        slug: "no-cracks",
        otherwise: Stop,
        asked: setters,
        ..BASE
    },
    Question {
        slug: "setters-of-this-family",
        asked: setters,
        ..BASE
    },
    Question {
        slug: "coating-sound",
        asked: coated,
        ..BASE
    },
    Question {
        slug: "setter-side-up",
        asked: coated,
        ..BASE
    },
    Question {
        slug: "posts-matched",
        asked: |facts| {
            let posts = |c: &Carrier| matches!(c, Carrier::Posts { .. });
            load_if(facts.plan.levels().any(|(_, l)| posts(&l.carrier)))
        },
        ..BASE
    },
    Question {
        slug: "powder-laid",
        asked: |facts| {
            let mut supports = facts
                .plan
                .placements()
                .filter_map(|(_, p)| p.support.as_ref());
            let powder = |id: &String| {
                let support = facts.catalogue.support(id);
                support.is_some_and(|s| s.kind == SupportKind::Powder)
            };
            load_if(supports.any(powder))
        },
        ..BASE
    },
    Question {
        slug: "supports-leave-room",
        otherwise: Stop,
        asked: |facts| {
            let mut placements = facts.plan.placements();
            let pins = |id: &String| {
                let support = facts.catalogue.support(id);
                support.is_some_and(|s| s.kind == SupportKind::Pins)
            };
            load_if(placements.any(|(_, p)| p.support.as_ref().is_some_and(pins)))
        },
        ..BASE
    },
    Question {
        slug: "oversize-current",
        otherwise: Note,
        asked: |facts| load_if(!facts.placed.is_empty()),
        ..BASE
    },
    Question {
        slug: "load-thermocouples-plugged-in",
        asked: |facts| load_if(facts.plan.placements().any(|(_, p)| p.item.is_tip())),
        ..BASE
    },
    Question {
        slug: "thermocouple-type-at-controller",
        otherwise: Stop,
        age: NOW_AND_THEN,
        until_repair: true,
        asked: |facts| {
            // Where the state of the furnace says it, a check compares the types.
            let state = facts.state.map_or(&[][..], |s| &s.sensors);
            let said = |slot: &str| {
                let mut of = state.iter().filter(|s| s.slot == slot);
                of.any(|s| s.logger_kind.is_some())
            };
            let sensors = facts.furnace.map_or(&[][..], |f| &f.sensors);
            load_if(!sensors.iter().all(|s| said(&s.id)))
        },
        ..BASE
    },
    Question {
        slug: "profile-current",
        otherwise: Stop,
        asked: |facts| load_if(!facts.plan.profile.segments.is_empty()),
        ..BASE
    },
    Question {
        slug: "program-typed-and-read-back",
        otherwise: Stop,
        asked: |facts| load_if(!facts.plan.profile.segments.is_empty()),
        ..BASE
    },
    Question {
        slug: "gas-bank-open-and-dew-point-read",
        asked: |facts| load_if(!facts.gas_slugs().is_empty()),
        ..BASE
    },
    Question {
        slug: "vacuum-reached-at-peak-last-run",
        answer: Answer::Quantity(
            Quantity::Pressure,
            Some(("titanium-pressure-max", Sense::AtMost)),
        ),
        otherwise: Stop,
        proof: true,
        age: NOW_AND_THEN,
        until_repair: true,
        asked: |facts| {
            let mut alloys = facts.alloys.values();
            load_if(alloys.any(|a| a.family == Family::Titanium))
        },
        ..BASE
    },
    Question {
        slug: "acid-purged",
        asked: |facts| {
            each_lot(facts, |facts, lot| {
                let catalytic = matches!(first_step(facts, lot), Some(FirstStep::Catalytic { .. }));
                catalytic && lot.enters != MassState::Green && lot.acid_purged.is_none()
            })
        },
        ..SAFETY
    },
    Question {
        slug: "brown-parts-kept-dry",
        otherwise: Note,
        asked: |facts| {
            each_lot(facts, |facts, lot| {
                let after_bath = matches!(lot.enters, MassState::Brown | MassState::Dry);
                let part = facts.plan.part(lot.part);
                let feedstock = part.and_then(|p| facts.feedstocks.get(p.feedstock.as_str()));
                let binder = feedstock.and_then(|f| facts.catalogue.binder(&f.binder));
                let alloy = feedstock.and_then(|f| facts.alloys.get(f.alloy.as_str()));
                let rusts = alloy
                    .is_some_and(|a| matches!(a.family, Family::LowAlloySteel | Family::ToolSteel));
                after_bath && rusts && binder.is_some_and(|b| has_first_step(b))
            })
        },
        ..BASE
    },
];

fn load_if(applies: bool) -> Asked {
    if applies { Asked::Load } else { Asked::No }
}

fn fuel(facts: &Facts) -> Asked {
    load_if(facts.fuel_path(1.0).is_some())
}

/// Whether something else than air is let in that does not burn.
fn displaces_air(facts: &Facts) -> Asked {
    let gases = facts.gas_slugs();
    // What no record describes may take the air's place as well.
    let displaces = |slug: &&str| {
        let gas = facts.catalogue.gas(slug);
        gas.is_none_or(|g| g.nature != GasNature::Flammable || g.nitrogen_share > 0.0)
    };
    let segments = facts.plan.profile.segments.iter();
    let mut events = segments.flat_map(|s| &s.events);
    let purged = events.any(|e| matches!(e.kind, EventKind::PurgeInert { .. }));
    load_if(purged || gases.iter().any(displaces))
}

fn binder(facts: &Facts) -> bool {
    !facts.feedstocks_with_binder().is_empty()
}

fn trap(facts: &Facts) -> bool {
    facts.furnace.is_some_and(|f| f.trap.is_some())
}

fn pumped(facts: &Facts) -> Asked {
    load_if(
        facts
            .furnace
            .is_some_and(|f| f.kind != FurnaceKind::Continuous),
    )
}

fn setters(facts: &Facts) -> Asked {
    load_if(facts.plan.levels().next().is_some())
}

fn coated(facts: &Facts) -> Asked {
    let mut levels = facts.plan.levels();
    load_if(levels.any(|(_, level)| {
        let setter = facts.catalogue.setter(&level.setter);
        setter.is_some_and(|s| s.face_material.is_some())
    }))
}

fn first_step<'a>(facts: &Facts<'a>, lot: &crate::load::Lot) -> Option<&'a FirstStep> {
    let part = facts.plan.part(lot.part)?;
    let feedstock = facts.catalogue.feedstock(&part.feedstock)?;
    Some(&facts.catalogue.binder(&feedstock.binder)?.first_step)
}

/// Lots of which pieces stand in the load.
fn each_lot(facts: &Facts, applies: fn(&Facts, &crate::load::Lot) -> bool) -> Asked {
    let stands = |id| {
        let mut items = facts.plan.placements().map(|(_, p)| &p.item);
        items.any(|item| matches!(item, Item::Part { lot, .. } if *lot == Some(id)))
    };
    let lots = facts.plan.lots.iter();
    let of = lots.filter(|lot| applies(facts, lot) && stands(lot.id));
    Asked::Each(of.map(|lot| Subject::Lot(lot.id)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::builtin;
    use crate::text::questions as say;
    use std::collections::BTreeSet;

    #[test]
    fn every_question_has_its_words_and_its_limits() {
        let (catalogue, _) = builtin().unwrap();
        let listed = |id: &str| catalogue.limits.iter().any(|l| l.id == id);
        let mut seen = BTreeSet::new();
        for q in QUESTIONS {
            assert!(seen.insert(q.slug), "{} stands twice", q.slug);
            assert!(say::question(q.slug).contains('?'), "{}", q.slug);
            assert_ne!(say::word(q.slug), q.slug);
            assert!(listed(q.age), "{}", q.age);
            if let Answer::Quantity(_, Some((id, _))) = q.answer {
                assert!(listed(id), "{id}");
            }
            assert!(super::super::check_by_slug(q.slug).is_none(), "{}", q.slug);
        }
        assert_eq!(seen.len(), 29);
    }

    #[test]
    fn answers_are_read() {
        let flame = question_by_slug("flame-proven").unwrap();
        assert!(flame.check("Yes ").is_ok() && flame.check("no").is_ok());
        assert!(flame.check("lit").is_err());
        let coolant = question_by_slug("trap-coolant").unwrap();
        assert!(coolant.check("18 °C").is_ok() && coolant.check("cold").is_err());
    }
}
