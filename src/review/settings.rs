//! What a shop has made of a check: on, off or of another severity, for all of the load or for some
//! of what stands in it.

use super::facts::Facts;
use super::finding::{Check, Subject, WhenRegulated};
use super::topics::{checks_meant, topic_of};
use crate::catalogue::{CheckSetting, LimitContext, Severity};

/// One check with what is set for it.
pub(super) struct Settings<'f> {
    check: &'static Check,
    set: Vec<&'f CheckSetting>,
    facts: &'f Facts<'f>,
}

impl<'f> Settings<'f> {
    pub(super) fn of(check: &'static Check, facts: &'f Facts<'f>) -> Settings<'f> {
        let mut set: Vec<&CheckSetting> = Vec::new();
        if !facts.catalogue.checks.is_empty() {
            let topic = topic_of(check.slug).map(|topic| topic.slug);
            let meant = |s: &&CheckSetting| s.check == check.slug || Some(&*s.check) == topic;
            set.extend(facts.catalogue.checks.iter().filter(meant));
            // The narrowest first, as for limits; the check's own before its topic's.
            set.sort_by_key(|s| (&s.scope, s.check != check.slug));
        }
        Settings { check, set, facts }
    }

    /// Whether the check runs for anything in the load; a safety check always does.
    ///
    /// # Errors
    /// It is off, with the reason where somebody gave one.
    pub(super) fn runs(&self) -> Result<(), Option<String>> {
        if self.check.safety
            || self.check.some_safety
            || fixed_by_regulation(self.check, self.facts)
        {
            return Ok(());
        }
        let mut contexts = self.facts.contexts.things();
        if contexts.any(|context| self.on(context)) {
            return Ok(());
        }
        let mut things = self.facts.contexts.things();
        let reason = things.find_map(|context| self.setting(context));
        Err(reason.map(|s| s.reason.clone()))
    }

    /// Severity in force of what was found about these subjects; none where that is switched off.
    /// Of several things the strictest holds. What concerns safety is neither switched off nor
    /// lowered, whatever file says so: a load comes from anywhere. In a regulated shop neither is
    /// what that work asks for.
    pub(super) fn judge(
        &self,
        subjects: &[Subject],
        severity: Severity,
        safety: bool,
    ) -> Option<Severity> {
        let regulated = fixed_by_regulation(self.check, self.facts);
        let base = if self.facts.regulated() && self.check.regulated == WhenRegulated::Stop {
            Severity::Stop
        } else {
            severity
        };
        if self.set.is_empty() {
            return (self.by_default() || safety).then_some(base);
        }
        let of = self.facts.contexts.of_subjects(subjects, self.facts);
        let found = of.iter().filter(|context| self.on(context));
        let worst = found
            .map(|context| {
                self.setting(context)
                    .and_then(|s| s.severity)
                    .unwrap_or(base)
            })
            .max();
        match worst {
            Some(severity) if safety || regulated => Some(severity.max(base)),
            None if safety || regulated => Some(base),
            worst => worst,
        }
    }

    fn setting(&self, context: &LimitContext) -> Option<&'f CheckSetting> {
        self.set.iter().copied().find(|s| context.matches(&s.scope))
    }

    fn on(&self, context: &LimitContext) -> bool {
        self.setting(context)
            .map_or_else(|| self.by_default(), |s| s.on)
    }

    /// On where nobody set anything.
    fn by_default(&self) -> bool {
        let regulated = self.check.regulated == WhenRegulated::On && self.facts.regulated();
        self.check.on || regulated
    }
}

/// Whether it is what regulated work asks for, in a shop that does such work.
fn fixed_by_regulation(check: &Check, facts: &Facts) -> bool {
    let asked = matches!(check.regulated, WhenRegulated::Stop | WhenRegulated::Only);
    asked && facts.regulated()
}

/// Settings that hold for something in the load, so that their reasons can be printed.
pub(super) fn in_force(facts: &Facts) -> Vec<CheckSetting> {
    let checks = facts.catalogue.checks.iter();
    let holds = |s: &&CheckSetting| facts.contexts.things().any(|c| c.matches(&s.scope));
    // What concerns people stays as it is, whatever a file says, and so does what regulated work
    // asks for.
    let has_effect = |s: &&CheckSetting| {
        let meant = checks_meant(&s.check);
        meant.is_empty()
            || meant.iter().any(|c| {
                let fixed = fixed_by_regulation(c, facts);
                !c.safety && !fixed && (s.on || !c.some_safety)
            })
    };
    checks.filter(holds).filter(has_effect).cloned().collect()
}
