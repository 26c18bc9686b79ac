//! What of a forecast rests on an extraction that nobody weighed, or on kinetics that nobody has.

use super::facts::Facts;
use super::facts_forecast::{Kind, Told};
use super::finding::{Report as Findings, Subject};
use crate::forecast::plan::KindIs;
use crate::load::{ExtractedBy, Item};
use crate::text::missing;

impl Told<'_> {
    /// Says of which kinds it is only assumed what the first step took out. Coupons are few and
    /// never weighed by themselves.
    pub fn needs_extraction(&self, facts: &Facts, findings: &mut Findings) {
        let parts = |id| {
            let mut all = facts.plan.placements();
            all.any(|(_, p)| matches!(p.item, Item::Part { part, lot: None } if part == id))
        };
        for key in &self.made.prepared.keys.kinds {
            let (KindIs::Pieces { part, lot }, Some(out)) = (&key.is, key.first_step_out()) else {
                continue;
            };
            let coupons = lot.is_none() && !parts(*part);
            if coupons || out.by != ExtractedBy::Assumption {
                continue;
            }
            let subject = lot.map_or(Subject::Part(*part), Subject::Lot);
            let what = missing::extraction(&key.name, out.share);
            findings.missing(vec![subject], what);
        }
    }

    /// Says of which binder nobody knows how it burns out: what comes of it may be found too much
    /// already, and never passes.
    pub fn needs_burnout(&self, facts: &Facts, findings: &mut Findings) {
        for kind in facts.kinds(self) {
            self.burns(&kind, findings);
        }
    }

    /// Whether it is known of all of a kind's binder how it burns out; says of what it is not.
    pub fn burns(&self, kind: &Kind, findings: &mut Findings) -> bool {
        let mut unknown = self.made.prepared.unknown_burnout(kind.index).peekable();
        let all_known = unknown.peek().is_none();
        for component in unknown {
            let what = missing::burnout_of(component);
            findings.missing(kind.subjects.clone(), what);
        }
        all_known
    }
}
