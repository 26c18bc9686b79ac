//! What a check is, and what it says.

use super::facts::Facts;
use crate::catalogue::{Limit, Severity};
use crate::load::{LevelId, LotId, PlacementId, Plan, ProcedureRef, StackId};
use crate::part::PartId;
use crate::profile::SegmentId;
use crate::text::findings::Arg;
use crate::text::{missing, names};
use crate::units::{self, Quantity};

/// Families of checks, in the order of `practice`: what goes wrong from the setter upwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Family {
    /// Hydrogen, oxygen, hot doors.
    Safety,
    /// Geometry and clearances.
    Geometry,
    /// Setters, posts and stability.
    Furniture,
    /// Mass, fill, shrinkage and drag.
    Mass,
    /// Debind readiness, binder and trap.
    Debind,
    /// Ramps, holds, peak and cooling.
    Profile,
    /// Gas and vacuum.
    Atmosphere,
    /// Alloys that share a load.
    Mixing,
    /// Records, calibration and traceability.
    Records,
}

impl Family {
    /// In one word, for lists and JSON.
    pub fn word(self) -> &'static str {
        match self {
            Family::Safety => "safety",
            Family::Geometry => "geometry",
            Family::Furniture => "furniture",
            Family::Mass => "mass",
            Family::Debind => "debind",
            Family::Profile => "profile",
            Family::Atmosphere => "atmosphere",
            Family::Mixing => "mixing",
            Family::Records => "records",
        }
    }
}

/// What a finding is about.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Subject {
    /// The load as a whole.
    Load,
    /// The profile as a whole.
    Profile,
    /// The furnace.
    Furnace,
    /// A stack.
    Stack(StackId),
    /// A level.
    Level(LevelId),
    /// Something on a setter.
    Placement(PlacementId),
    /// A part record.
    Part(PartId),
    /// A lot.
    Lot(LotId),
    /// A segment.
    Segment(SegmentId),
    /// A catalogue record or anything else with a name.
    Named(String),
}

impl Subject {
    /// Stable key for acceptances and JSON, e.g. `placement 12`.
    pub fn key(&self) -> String {
        match self {
            Subject::Load => "load".to_owned(),
            Subject::Profile => "profile".to_owned(),
            Subject::Furnace => "furnace".to_owned(),
            Subject::Stack(id) => format!("stack {}", id.0),
            Subject::Level(id) => format!("level {}", id.0),
            Subject::Placement(id) => format!("placement {}", id.0),
            Subject::Part(id) => format!("part {}", id.0),
            Subject::Lot(id) => format!("lot {}", id.0),
            Subject::Segment(id) => format!("segment {}", id.0),
            Subject::Named(name) => name.clone(),
        }
    }

    /// What a person calls it. Derived from the plan, never stored.
    pub fn label(&self, plan: &Plan) -> String {
        match self {
            Subject::Load => names::load().to_owned(),
            Subject::Profile => names::profile().to_owned(),
            Subject::Furnace => names::furnace().to_owned(),
            Subject::Stack(id) => {
                let i = plan.load.stacks.iter().position(|s| s.id == *id);
                names::stack(i.unwrap_or(0))
            }
            Subject::Level(id) => plan.level_label(*id),
            Subject::Placement(id) => plan.placement_label(*id),
            Subject::Part(id) => plan.part(*id).map_or_else(String::new, |p| p.name.clone()),
            Subject::Lot(id) => plan
                .lot(*id)
                .map_or_else(String::new, |l| names::lot(&l.name)),
            Subject::Segment(id) => {
                let i = plan.profile.segments.iter().position(|s| s.id == *id);
                names::segment(i.unwrap_or(0))
            }
            Subject::Named(name) => name.clone(),
        }
    }
}

/// Which side of the limit is the good one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    /// The value must be at least the limit.
    AtLeast,
    /// The value must be at most the limit.
    AtMost,
}

/// A measured quantity, in the limit's unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// What kind of quantity.
    pub quantity: Quantity,
    /// Value in the document unit.
    pub value: f64,
    /// Digits printed after the point.
    pub digits: usize,
    /// Which side is good.
    pub sense: Sense,
}

impl Measured {
    /// Whether it is as good as another, or better.
    fn is_no_worse_than(&self, other: &Measured) -> bool {
        match self.sense {
            Sense::AtLeast => self.value >= other.value,
            Sense::AtMost => self.value <= other.value,
        }
    }

    /// As printed, with its unit.
    pub fn shown(&self) -> String {
        units::show_in_words(self.quantity, self.value, self.digits)
    }

    /// The number alone at printed digits, as an acceptance holds it. A share is shown in per
    /// cent, so as a share it has two digits more.
    pub fn printed(&self) -> String {
        let more = match self.quantity {
            Quantity::Fraction => 2,
            _ => 0,
        };
        format!("{:.*}", self.digits + more, self.value)
    }
}

/// What a check found.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Check slug.
    pub check: &'static str,
    /// Family.
    pub family: Family,
    /// Severity in force.
    pub severity: Severity,
    /// What it is about, sorted.
    pub subjects: Vec<Subject>,
    /// Measured quantity, where there is one.
    pub measured: Option<Measured>,
    /// A second number on which it rests, as printed: an acceptance holds for that one alone.
    pub beside: Option<String>,
    /// Limit with its owner, where there is one.
    pub limit: Option<Limit>,
    /// Arguments of the sentence.
    pub args: Vec<(&'static str, Arg)>,
    /// Whether it concerns people: then only a written procedure of the furnace deals with it.
    pub safety: bool,
    /// Index of the acceptance that holds for it in the plan.
    pub accepted: Option<usize>,
    /// Index of an acceptance that was given for it and does not hold, and why not.
    pub lapsed: Option<(usize, String)>,
    /// The furnace's procedure under which it is done; it is never gone for that.
    pub done_under: Option<ProcedureRef>,
}

impl Finding {
    /// Whether what was measured is as good as in another finding of the same thing, or better.
    pub fn is_no_worse_than(&self, other: &Finding) -> bool {
        match (&self.measured, &other.measured) {
            (Some(now), Some(then)) => now.is_no_worse_than(then),
            (now, then) => now.is_none() && then.is_none(),
        }
    }

    /// Whether somebody took it on for good: what is done under a procedure stays in sight.
    pub fn is_gone(&self) -> bool {
        self.accepted.is_some() && self.done_under.is_none()
    }

    /// Name and revision of the procedure under which it is done.
    pub fn done_under_words(&self) -> Option<(&str, &str)> {
        let procedure = self.done_under.as_ref()?;
        Some((&procedure.name, &procedure.revision))
    }

    /// What an acceptance has to hold: the number at printed digits; for a finding without one, its
    /// arguments as printed, so that another overhang or another count is another finding.
    pub fn value_to_accept(&self) -> Option<String> {
        if let Some(measured) = self.measured {
            let printed = measured.printed();
            return Some(match &self.beside {
                Some(beside) => format!("{printed}{BESIDE}{beside}"),
                None => printed,
            });
        }
        let printed = self.args.iter().map(|(name, arg)| format!("{name}={arg}"));
        let printed = printed.collect::<Vec<_>>().join("; ");
        (!printed.is_empty()).then_some(printed)
    }

    /// The limit as printed: in the quantity of what is held against it, where there is one.
    pub fn limit_shown(&self) -> Option<String> {
        let limit = self.limit.as_ref()?;
        Some(match self.measured {
            Some(measured) => units::show_in_words(measured.quantity, limit.value, measured.digits),
            None => format!("{} {}", crate::text::figure(limit.value), limit.unit)
                .trim_end()
                .to_owned(),
        })
    }

    /// Distance to the limit in the limit's unit, negative when beyond it.
    pub fn margin(&self) -> Option<f64> {
        let (measured, limit) = (self.measured?, self.limit.as_ref()?);
        Some(match measured.sense {
            Sense::AtLeast => measured.value - limit.value,
            Sense::AtMost => limit.value - measured.value,
        })
    }
}

/// Stands in an accepted value before the second number.
pub(super) const BESIDE: &str = " + ";

/// What a check could not judge.
#[derive(Clone, Debug, PartialEq)]
pub struct Missing {
    /// Check slug.
    pub check: &'static str,
    /// About what.
    pub subjects: Vec<Subject>,
    /// Which datum is missing, e.g. "the governing section of Bracket".
    pub what: String,
}

/// What a check needs before it can judge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Needs {
    /// The plan and the records.
    Plan,
    /// A forecast of the run.
    Forecast,
    /// What a person states.
    Declaration,
}

impl Needs {
    /// In one word, for lists and JSON.
    pub fn word(self) -> &'static str {
        match self {
            Needs::Plan => "plan",
            Needs::Forecast => "forecast",
            Needs::Declaration => "declaration",
        }
    }
}

/// What a regulated shop makes of a check.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WhenRegulated {
    /// The same as any other.
    Same,
    /// A stop.
    Stop,
    /// On by default, where others have it off.
    On,
    /// It is the only kind of shop that has it.
    Only,
}

/// A check: a slug in plain English, its defaults, and a few lines over the facts.
#[derive(Clone, Copy)]
pub struct Check {
    /// Slug.
    pub slug: &'static str,
    /// Family.
    pub family: Family,
    /// Default severity.
    pub severity: Severity,
    /// On by default.
    pub on: bool,
    /// A safety finding cannot be waved through by a sentence.
    pub safety: bool,
    /// Some of its findings are safety findings.
    pub some_safety: bool,
    /// What it needs.
    pub needs: Needs,
    /// What a regulated shop makes of it.
    pub regulated: WhenRegulated,
    /// Ids of the limits that it asks for.
    pub limits: &'static [&'static str],
    /// The lines.
    pub run: fn(&Facts, &mut Report),
}

impl Check {
    /// What most checks are; each names its slug, its family and its lines.
    pub const BASE: Check = Check {
        slug: "",
        family: Family::Records,
        severity: Severity::Caution,
        on: true,
        safety: false,
        some_safety: false,
        needs: Needs::Plan,
        regulated: WhenRegulated::Same,
        limits: &[],
        run: |_, _| {},
    };

    /// Whether it is on where nobody set anything, in a regulated shop or in another.
    pub fn on_by_default(&self, regulated: bool) -> bool {
        self.on || self.regulated == WhenRegulated::On && regulated
    }
}

impl std::fmt::Debug for Check {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Check")
            .field("slug", &self.slug)
            .finish_non_exhaustive()
    }
}

/// Where a check puts what it finds.
#[derive(Debug)]
pub struct Report {
    pub(super) check: Check,
    /// Of what is found next: the check's, unless its lines say otherwise.
    pub(super) severity: Severity,
    pub(super) safety: bool,
    pub(super) findings: Vec<Finding>,
    pub(super) missing: Vec<Missing>,
}

impl Report {
    /// What is found from here on is of this severity, and concerns safety or does not.
    pub fn rank(&mut self, severity: Severity, safety: bool) {
        (self.severity, self.safety) = (severity, safety);
    }

    /// Something is wrong that no number describes.
    pub fn found(&mut self, subjects: Vec<Subject>, args: Vec<(&'static str, Arg)>) {
        self.push(subjects, None, None, args);
    }

    /// Something is wrong by so much, and no limit stands behind it. `{value}` is filled in.
    pub fn found_at(
        &mut self,
        subjects: Vec<Subject>,
        measured: Measured,
        mut args: Vec<(&'static str, Arg)>,
    ) {
        let value = Arg::Number(measured.quantity, measured.value, measured.digits);
        args.push(("value", value));
        self.push(subjects, Some(measured), None, args);
    }

    /// Something is wrong, with a limit that stands behind it but no number against it.
    pub fn found_by(
        &mut self,
        subjects: Vec<Subject>,
        limit: &Limit,
        args: Vec<(&'static str, Arg)>,
    ) {
        self.push(subjects, None, Some(limit.clone()), args);
    }

    /// Holds a value against a limit and reports a breach. A value that is not finite is missing
    /// data, not a pass. `{value}` and `{limit}` are filled in.
    pub fn hold(
        &mut self,
        subjects: Vec<Subject>,
        measured: Measured,
        limit: &Limit,
        mut args: Vec<(&'static str, Arg)>,
    ) {
        if !measured.value.is_finite() {
            self.missing(subjects, missing::finite_value());
            return;
        }
        let breached = match measured.sense {
            Sense::AtLeast => measured.value < limit.value,
            Sense::AtMost => measured.value > limit.value,
        };
        if !breached {
            return;
        }
        // "0.60 mm; at least 0.60 mm" says nothing.
        let mut measured = measured;
        let most = measured.digits + 4;
        let alike = |digits| {
            let shown = |value| units::show_in_words(measured.quantity, value, digits);
            shown(measured.value) == shown(limit.value)
        };
        measured.digits = (measured.digits..most).find(|d| !alike(*d)).unwrap_or(most);
        let number = |value| Arg::Number(measured.quantity, value, measured.digits);
        args.push(("value", number(measured.value)));
        args.push(("limit", number(limit.value)));
        self.push(subjects, Some(measured), Some(limit.clone()), args);
    }

    /// The same where a second number stands behind the first.
    pub fn hold_beside(
        &mut self,
        subjects: Vec<Subject>,
        (measured, beside): (Measured, String),
        limit: &Limit,
        args: Vec<(&'static str, Arg)>,
    ) {
        let before = self.findings.len();
        self.hold(subjects, measured, limit, args);
        if let Some(finding) = self.findings.get_mut(before) {
            finding.beside = Some(beside);
        }
    }

    /// A datum is missing.
    pub fn missing(&mut self, mut subjects: Vec<Subject>, what: impl Into<String>) {
        subjects.sort();
        let missing = Missing {
            check: self.check.slug,
            subjects,
            what: what.into(),
        };
        // Of two lots of one part the same may be lacking twice.
        if !self.missing.contains(&missing) {
            self.missing.push(missing);
        }
    }

    fn push(
        &mut self,
        mut subjects: Vec<Subject>,
        measured: Option<Measured>,
        limit: Option<Limit>,
        args: Vec<(&'static str, Arg)>,
    ) {
        subjects.sort();
        self.findings.push(Finding {
            check: self.check.slug,
            family: self.check.family,
            severity: self.severity,
            subjects,
            measured,
            beside: None,
            limit,
            args,
            safety: self.safety,
            accepted: None,
            lapsed: None,
            done_under: None,
        });
    }
}

/// A value that must be at least its limit.
pub fn at_least(quantity: Quantity, value: f64, digits: usize) -> Measured {
    Measured {
        quantity,
        value,
        digits,
        sense: Sense::AtLeast,
    }
}

/// A value that must be at most its limit.
pub fn at_most(quantity: Quantity, value: f64, digits: usize) -> Measured {
    Measured {
        quantity,
        value,
        digits,
        sense: Sense::AtMost,
    }
}

/// A text argument.
pub fn text(value: impl Into<String>) -> Arg {
    Arg::Text(value.into())
}

/// A number argument.
pub fn number(quantity: Quantity, value: f64, digits: usize) -> Arg {
    Arg::Number(quantity, value, digits)
}
