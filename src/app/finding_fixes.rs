//! Buttons of an opened finding: what edits could mend, tried in the background.

use super::state::{Action, App};
use super::wake;
use crate::document::{InputHash, Job};
use crate::load::Plan;
use crate::review::{Finding, Fixer, Given, Offer, Subject, review};
use crate::text::fixes as say;
use egui::{Button, Context, Label, Ui};
use std::sync::Arc;

/// What is offered for the finding that is open.
#[derive(Default)]
pub struct Fixes {
    of: Option<Of>,
    looking: Option<Job<Offer>>,
    found: Option<Result<Offer, String>>,
}

/// Of what: the finding, the plan and the records by which it was judged.
struct Of {
    check: &'static str,
    subjects: Vec<Subject>,
    plan: Arc<Plan>,
    records: usize,
}

impl App {
    /// Whether fixes are being tried.
    pub fn tries_fixes(&self) -> bool {
        self.fixes.looking.is_some()
    }

    pub(super) fn finding_fixes(
        &mut self,
        ui: &mut Ui,
        finding: &Finding,
        actions: &mut Vec<Action>,
    ) {
        let records = Arc::as_ptr(&self.working.catalogue).addr();
        let plan = Arc::clone(self.doc.plan());
        let same = self.fixes.of.as_ref().is_some_and(|of| {
            of.check == finding.check
                && of.subjects == finding.subjects
                && Arc::ptr_eq(&of.plan, &plan)
                && of.records == records
        });
        if !same {
            self.try_fixes(ui.ctx(), finding);
            self.fixes.of = Some(Of {
                check: finding.check,
                subjects: finding.subjects.clone(),
                plan,
                records,
            });
        }
        if let Some(done) = self.fixes.looking.as_ref().and_then(Job::finished) {
            self.fixes.looking = None;
            let found = done.result.as_ref();
            let fault = |fault: &crate::document::JobFault| fault.sentence(say::job());
            self.fixes.found = Some(found.cloned().map_err(fault));
        }
        match &self.fixes.found {
            Some(Ok(Offer::Fixes(fixes))) => {
                ui.label(say::buttons());
                for fix in fixes {
                    let label = fix.label();
                    let also = fix.also.shown();
                    let button = Button::new(&label).wrap();
                    if ui.add(button).on_hover_text(&also).clicked() {
                        actions.push(Action::Fix(fix.edit.clone(), also));
                    }
                }
            }
            Some(Ok(Offer::Nothing(why)) | Err(why)) => {
                ui.add(Label::new(why).wrap());
            }
            None => {
                ui.label(say::looking());
            }
        }
    }

    fn try_fixes(&mut self, ctx: &Context, finding: &Finding) {
        // With the number that the document gives next, so that its edit is taken.
        let plan = self.doc.history.to_save();
        let working = self.working.clone();
        let finding = finding.clone();
        let input = InputHash::of(&finding.check);
        let wake = wake(ctx);
        self.fixes.found = None;
        self.fixes.looking = Some(Job::start("fixes", input, wake, move |ticket| {
            let differences = working.told_differences();
            let given = Given {
                plan: &plan,
                catalogue: &working.catalogue,
                shop: working.shop.as_deref(),
                differences: &differences,
                standard: working.standard.as_deref(),
                forecast: None,
            };
            let before = review(&given);
            ticket.go_on()?;
            Ok(Fixer::new(&given, &before).offer(&finding))
        }));
    }
}
