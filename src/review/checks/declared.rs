//! Declarations: what only a person can say was said, is as it should be, and is not old.

use super::common::limit;
use crate::catalogue::Severity::Caution;
use crate::catalogue::when;
use crate::load::Declaration;
use crate::review::facts::Facts;
use crate::review::finding::{Check, Family, Measured, Needs, Report, Subject, text};
use crate::review::questions::{self, Answer, AskedQuestion, declared, yes_or_no};
use crate::text::{missing, questions as say};
use crate::units::parse;

const BASE: Check = Check {
    family: Family::Safety,
    severity: Caution,
    some_safety: true,
    needs: Needs::Declaration,
    ..Check::BASE
};

/// The three checks; severity and safety come from the question.
pub const CHECKS: &[Check] = &[
    Check {
        slug: "not-declared",
        run: not_declared,
        ..BASE
    },
    Check {
        slug: "declared-otherwise",
        limits: &["trap-coolant-max", "titanium-pressure-max"],
        run: declared_otherwise,
        ..BASE
    },
    Check {
        slug: "declaration-stale",
        limits: &["declaration-age-max", "declared-test-age-max"],
        run: declaration_stale,
        ..BASE
    },
];

fn subjects(asked: &AskedQuestion) -> Vec<Subject> {
    let question = Subject::Named(asked.question.slug.to_owned());
    asked.about.clone().into_iter().chain([question]).collect()
}

fn words(asked: &AskedQuestion, facts: &Facts) -> String {
    let about = asked
        .about
        .as_ref()
        .map(|subject| subject.label(facts.plan));
    say::question_about(asked.question.slug, about.as_deref())
}

fn answer<'a>(asked: &AskedQuestion, facts: &Facts<'a>) -> Option<&'a Declaration> {
    declared(facts.plan, asked.question.slug, asked.about.as_ref())
}

/// Whether it is dated after the planned start, by the hour where both are given: nobody has looked yet.
pub(super) fn later(said: &Declaration, facts: &Facts) -> bool {
    let at = said.at.as_deref().and_then(when::time);
    let start = facts
        .plan
        .planned_start_time
        .as_deref()
        .and_then(when::time);
    let same_day = facts.plan.planned_start.as_ref() == Some(&said.on);
    facts.is_after_start(&said.on)
        || same_day && at.zip(start).is_some_and(|(at, start)| at > start)
}

fn not_declared(facts: &Facts, report: &mut Report) {
    if facts.furnace.is_none() {
        report.missing(vec![Subject::Furnace], missing::furnace_record());
    }
    for asked in questions::asked(facts) {
        let question = asked.question;
        if question.own_checks {
            continue;
        }
        let how = match answer(&asked, facts) {
            None => say::nobody(),
            Some(d) if question.check(&d.answer).is_err() => say::not_read(&d.answer, &d.by),
            Some(d) if d.by.trim().is_empty() => say::by_nobody(),
            Some(d) if later(d, facts) => say::from_later(&d.on),
            Some(_) => continue,
        };
        report.rank(asked.weight(question.unanswered()), question.safety);
        let args = vec![
            ("question", text(words(&asked, facts))),
            ("how", text(how)),
            ("slug", text(question.slug)),
        ];
        report.found(subjects(&asked), args);
    }
}

fn declared_otherwise(facts: &Facts, report: &mut Report) {
    for asked in questions::asked(facts) {
        let question = asked.question;
        let Some(said) = answer(&asked, facts) else {
            continue;
        };
        report.rank(asked.weight(question.otherwise), question.safety);
        let args = vec![
            ("question", text(words(&asked, facts))),
            ("answer", text(&said.answer)),
            ("by", text(&said.by)),
        ];
        match question.answer {
            Answer::YesNo if yes_or_no(&said.answer) == Some(false) => {
                report.found(subjects(&asked), args);
            }
            Answer::YesNo | Answer::Quantity(_, None) => {}
            Answer::Quantity(quantity, Some((id, sense))) => {
                let Ok(value) = parse(quantity, said.answer.trim()) else {
                    continue;
                };
                let Some(limit) = limit(facts, report, id) else {
                    continue;
                };
                let measured = Measured {
                    quantity,
                    value,
                    digits: 3,
                    sense,
                };
                report.hold(subjects(&asked), measured, limit, args);
            }
        }
    }
}

fn declaration_stale(facts: &Facts, report: &mut Report) {
    let start = facts.start_day();
    let repaired = facts.state.and_then(|s| s.repaired_on.as_deref());
    let mut no_start = false;
    for asked in questions::asked(facts) {
        let question = asked.question;
        let Some(said) = answer(&asked, facts) else {
            continue;
        };
        report.rank(asked.weight(question.unanswered()), question.safety);
        let args = |how: String| vec![("question", text(words(&asked, facts))), ("how", text(how))];
        let Some(on) = when::day(&said.on) else {
            report.missing(subjects(&asked), missing::day_of(question.slug));
            continue;
        };
        let before_repair = |day: &&str| when::day(day).is_some_and(|day| on < day);
        if let Some(day) = repaired.filter(before_repair)
            && question.until_repair
        {
            let how = say::before_repair(&said.on, day);
            report.found(subjects(&asked), args(how));
            continue;
        }
        let Some(start) = start else {
            no_start = true;
            continue;
        };
        let Some(most) = limit(facts, report, question.age) else {
            continue;
        };
        let days = when::days_between(on, start);
        if days > most.value {
            let how = say::days_before(&said.on, days as usize);
            report.found_by(subjects(&asked), most, args(how));
        }
    }
    if no_start {
        report.missing(vec![Subject::Load], missing::planned_start());
    }
}
