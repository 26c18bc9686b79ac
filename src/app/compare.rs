//! The open load beside another load file: what differs, grouped by what it can affect.

use super::commands::Command;
use super::library::file_name;
use super::state::{Action, App, Board, Modal};
use super::theme;
use crate::catalogue::ShopState;
use crate::files::{self, Compared, Working, compare};
use crate::load::Plan;
use crate::text::differences as words;
use crate::text::library as say;
use egui::{Frame, RichText, ScrollArea, Ui};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A load file that the open load is held against.
#[derive(Default)]
pub struct Beside {
    other: Option<(PathBuf, Plan, Working)>,
    shown: Option<Shown>,
}

/// Differences, made once per value of the plan and its records.
struct Shown {
    of: (
        Arc<Plan>,
        Arc<crate::catalogue::Catalogue>,
        Option<Arc<ShopState>>,
    ),
    groups: Vec<(String, Vec<String>)>,
    count: usize,
}

impl App {
    /// Holds the open load against a load file.
    pub(super) fn compare_with(&mut self, path: &Path) {
        let shop = self.shop.as_ref().map(|(_, shop)| shop);
        match files::open_load(path, shop) {
            Ok((plan, working)) => {
                self.standards.beside = Beside {
                    other: Some((path.to_owned(), plan, working)),
                    shown: None,
                };
                self.view.board = Board::Library;
            }
            Err(fault) => self.modal = Some(Modal::Trouble(fault.to_string())),
        }
    }

    /// Makes the differences anew where the plan or its records are other values.
    pub(super) fn hold_beside(&mut self) {
        let plan = Arc::clone(self.doc.plan());
        let beside = &mut self.standards.beside;
        let Some((file, other, working)) = &beside.other else {
            return;
        };
        if let Some(shown) = &beside.shown
            && Arc::ptr_eq(&shown.of.0, &plan)
            && Arc::ptr_eq(&shown.of.1, &self.working.catalogue)
            && shown.of.2 == self.working.shop
        {
            return;
        }
        // The same mesh is told by another path in another folder.
        let folders = file
            .parent()
            .zip(self.path.as_deref().and_then(Path::parent));
        let there = folders.map(|(from, to)| files::moved(other, from, to));
        let was = Compared {
            plan: there.as_ref().unwrap_or(other),
            working,
        };
        let is = Compared {
            plan: &plan,
            working: &self.working,
        };
        let found = compare(was, is);
        let groups = found
            .chunk_by(|a, b| a.affects == b.affects)
            .filter_map(|alike| {
                let sentences = alike.iter().map(|d| d.sentence.clone()).collect();
                Some((alike.first()?.affects.name(), sentences))
            })
            .collect();
        let (catalogue, shop) = (&self.working.catalogue, &self.working.shop);
        beside.shown = Some(Shown {
            of: (plan, Arc::clone(catalogue), shop.clone()),
            groups,
            count: found.len(),
        });
    }

    pub(super) fn comparison(&self, ui: &mut Ui, actions: &mut Vec<Action>) {
        let beside = &self.standards.beside;
        let (Some((path, ..)), Some(shown)) = (&beside.other, &beside.shown) else {
            return;
        };
        Frame::group(ui.style()).show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.horizontal(|ui| {
                ui.strong(say::beside(&file_name(path)));
                self.tool_button(ui, Command::EndComparison, actions);
            });
            if shown.groups.is_empty() {
                ui.label(words::same());
            } else {
                ui.label(words::counted(shown.count));
            }
            ScrollArea::vertical()
                .max_height((ui.available_height() * 0.6).max(theme::SIDE * 0.7))
                .id_salt("comparison")
                .show(ui, |ui| show_groups(ui, &shown.groups));
        });
    }

    pub(super) fn end_comparison(&mut self) {
        self.standards.beside = Beside::default();
    }

    /// Whether the open load is held against another.
    pub(super) fn compares(&self) -> bool {
        self.standards.beside.other.is_some()
    }
}

/// Differences under their headings.
pub(super) fn show_groups(ui: &mut Ui, groups: &[(String, Vec<String>)]) {
    for (heading, sentences) in groups {
        ui.label(RichText::new(heading).strong().small());
        for sentence in sentences {
            ui.label(sentence);
        }
    }
}
