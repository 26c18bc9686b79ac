//! What an opened finding says.

use super::state::{Action, App, Results};
use super::theme::Tokens;
use crate::catalogue::{Catalogue, Standing};
use crate::load::Plan;
use crate::review::{Finding, Measured, Sense};
use crate::text::app::label;
use crate::text::cli;
use crate::text::findings::{fill, prose};
use crate::text::findings_panel as say;
use crate::units::{Quantity, show};
use egui::{RichText, Ui};

impl App {
    /// Everything a finding says beyond its sentence, a picture of it, and what a button can do.
    pub(super) fn finding_details(
        &mut self,
        ui: &mut Ui,
        finding: &Finding,
        results: &Results,
        actions: &mut Vec<Action>,
    ) {
        self.finding_picture(ui, finding, results);
        numbers(ui, finding);
        self.finding_fixes(ui, finding, actions);
        self.finding_acceptance(ui, finding, &results.plan, actions);
        owner(ui, finding, &results.plan, &self.working.catalogue);
    }
}

fn line(ui: &mut Ui, text: String) {
    ui.add(egui::Label::new(text).wrap());
}

/// Value, limit, margin, why and what to do.
fn numbers(ui: &mut Ui, finding: &Finding) {
    if let Some(measured) = &finding.measured {
        line(ui, say::value(&measured.shown()));
    }
    if let Some(limit) = &finding.limit {
        let side = finding.measured.as_ref().map_or_else(String::new, side);
        let shown = finding.limit_shown().unwrap_or_default();
        let assumed = limit.standing == Standing::Assumed;
        line(ui, say::limit(&side, &shown, &limit.name, assumed));
    }
    if let (Some(measured), Some(margin)) = (&finding.measured, finding.margin()) {
        // A distance between two temperatures is a difference, not a temperature.
        let quantity = match measured.quantity {
            Quantity::Temperature | Quantity::DewPoint => Quantity::TemperatureDifference,
            other => other,
        };
        line(ui, say::margin(&show(quantity, margin, measured.digits)));
    }
    if let Some(words) = prose(finding.check) {
        line(ui, cli::why(&fill(words.why, &finding.args)));
        line(ui, say::remedy(&fill(words.remedy, &finding.args)));
    }
}

/// Who set the limit and from what source, who accepted, and the check's own name.
fn owner(ui: &mut Ui, finding: &Finding, plan: &Plan, catalogue: &Catalogue) {
    if let Some(limit) = &finding.limit {
        line(ui, say::set_by(&limit.set_by, limit.revision));
        line(ui, say::source(catalogue.cited(&limit.source)));
    }
    if let Some(accepted) = finding.accepted.and_then(|i| plan.acceptances.get(i)) {
        line(
            ui,
            cli::accepted_by(
                &accepted.by,
                accepted.role.as_deref(),
                &accepted.on,
                &accepted.reason,
                finding.done_under_words(),
            ),
        );
    }
    let tokens = Tokens::of(ui.ctx());
    ui.label(
        RichText::new(say::check(finding.check))
            .color(tokens.weak)
            .small(),
    );
}

fn side(measured: &Measured) -> String {
    match measured.sense {
        Sense::AtLeast => label("at least"),
        Sense::AtMost => label("at most"),
    }
}
