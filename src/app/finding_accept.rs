//! Taking a finding on: a named role with a reason, for safety by a written procedure alone.

use super::checked::a_day;
use super::lists::{button, button_unless, choice, entry, sentence, wrapped};
use super::state::{Action, App};
use crate::catalogue::{Severity, ShopState};
use crate::load::{Acceptance, Edit, Plan, ProcedureRef};
use crate::review::{Finding, Subject, covers, limit_to_accept};
use crate::text::app::label;
use crate::text::finding_accept as say;
use egui::{CollapsingHeader, Ui};

/// What is being typed; who and when stay for the next one.
#[derive(Clone, Debug, Default)]
pub struct AcceptForm {
    role: String,
    by: String,
    on: String,
    reason: String,
    procedure: Option<ProcedureRef>,
}

impl AcceptForm {
    /// What has to be typed before it can be accepted.
    fn lacks(&self) -> Option<String> {
        let fields = [
            (&self.role, "the role"),
            (&self.by, "the name"),
            (&self.on, "the day"),
            (&self.reason, "the reason"),
        ];
        let empty = fields.iter().filter(|(text, _)| text.trim().is_empty());
        let empty: Vec<String> = empty.map(|(_, name)| label(name)).collect();
        if !empty.is_empty() {
            return Some(say::still_needed(&empty.join(", ")));
        }
        a_day(self.on.trim()).err()
    }
}

impl App {
    pub(super) fn finding_acceptance(
        &mut self,
        ui: &mut Ui,
        finding: &Finding,
        plan: &Plan,
        actions: &mut Vec<Action>,
    ) {
        if let Some(accepted) = finding.accepted.and_then(|i| plan.acceptances.get(i)) {
            let text = label("Withdraw the acceptance");
            wrapped(ui, |ui| {
                if button(ui, true, &text, &text).clicked() {
                    actions.push(Action::Edit(Edit::WithdrawAcceptance {
                        check: accepted.check.clone(),
                        subjects: accepted.subjects.clone(),
                    }));
                }
            });
            return;
        }
        if let Some((index, why)) = &finding.lapsed
            && let Some(accepted) = plan.acceptances.get(*index)
        {
            sentence(ui, say::lapsed(&accepted.by, &accepted.on, why));
        }
        if finding.severity == Severity::Note {
            return;
        }
        let keys: Vec<String> = finding.subjects.iter().map(Subject::key).collect();
        CollapsingHeader::new(label("Accept it"))
            .id_salt(("take on", finding.check, keys.join(" ")))
            .show(ui, |ui| self.accept_form(ui, finding, plan, actions));
    }

    fn accept_form(
        &mut self,
        ui: &mut Ui,
        finding: &Finding,
        plan: &Plan,
        actions: &mut Vec<Action>,
    ) {
        let shop = self.working.shop.clone();
        let form = &mut self.view.accept;
        if finding.safety {
            let offered = procedures(shop.as_deref(), &plan.load.furnace, finding.check);
            sentence(ui, say::by_procedure_only());
            if offered.is_empty() {
                let carried = shop.as_ref().is_some_and(|shop| shop.carried);
                sentence(ui, say::no_procedure(carried));
                return;
            }
            if form.procedure.as_ref().is_none_or(|p| !offered.contains(p)) {
                form.procedure = offered.first().cloned();
            }
            let name = |p: &ProcedureRef| say::procedure(&p.name, &p.revision);
            let now = form.procedure.clone();
            let shown = now.as_ref().map(name).unwrap_or_default();
            let all = offered.iter().map(|p| (Some(p.clone()), name(p)));
            if let Some(picked) = choice(ui, "procedure", "Procedure", &shown, all, &now) {
                form.procedure = picked;
            }
        } else {
            form.procedure = None;
            sentence(ui, say::holds_for());
        }
        entry(ui, "Role", "Role that accepts it", "role", &mut form.role);
        entry(ui, "Name", "Name of who accepts it", "name", &mut form.by);
        entry(
            ui,
            "On",
            "Day on which it is accepted",
            "year-month-day",
            &mut form.on,
        );
        entry(
            ui,
            "Reason",
            "Reason to accept it",
            "why it may stand",
            &mut form.reason,
        );
        let refused = form.lacks();
        wrapped(ui, |ui| {
            let text = label("Accept the finding");
            if button_unless(ui, refused.clone(), &text, &text).clicked() {
                let limit = finding.limit.as_ref().map(limit_to_accept);
                actions.push(Action::Edit(Edit::Accept(Acceptance {
                    check: finding.check.to_owned(),
                    subjects: finding.subjects.iter().map(Subject::key).collect(),
                    limit,
                    value: finding.value_to_accept(),
                    by: form.by.trim().to_owned(),
                    reason: form.reason.trim().to_owned(),
                    on: form.on.trim().to_owned(),
                    role: Some(form.role.trim().to_owned()),
                    procedure: form.procedure.clone(),
                })));
            }
        });
        // Under the button, which stays where it is.
        if let Some(why) = &refused {
            sentence(ui, why);
        }
    }
}

/// Written procedures of the furnace that cover a check.
fn procedures(shop: Option<&ShopState>, furnace: &str, check: &str) -> Vec<ProcedureRef> {
    let Some(shop) = shop else {
        return Vec::new();
    };
    let mine = shop.furnaces.iter().filter(|f| f.furnace == furnace);
    let all = mine.flat_map(|f| &f.procedures).map(|p| ProcedureRef {
        name: p.name.clone(),
        revision: p.revision.clone(),
    });
    all.filter(|p| covers(shop, furnace, p, check)).collect()
}
