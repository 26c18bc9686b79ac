//! Asking the desktop for a path, behind a trait so that tests answer without one.

use super::state::Ask;
use crate::text::app::label;
use std::path::PathBuf;
use std::sync::mpsc::{Receiver, channel};

/// What the desktop says when asked for a path.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answer {
    /// Paths chosen.
    Paths(Vec<PathBuf>),
    /// Cancelled, or no dialog service: the two cannot be told apart.
    Nothing,
}

/// Asks for paths without blocking the window.
pub trait Dialogs {
    /// Begins to ask; the answer comes over the channel, then `wake` is called.
    fn ask(&mut self, ask: Ask, wake: Box<dyn Fn() + Send>) -> Receiver<Answer>;
}

/// The desktop's own dialogs.
#[derive(Debug, Default)]
pub struct DesktopDialogs;

impl Dialogs for DesktopDialogs {
    fn ask(&mut self, ask: Ask, wake: Box<dyn Fn() + Send>) -> Receiver<Answer> {
        let (send, receive) = channel();
        std::thread::spawn(move || {
            let dialog = rfd::FileDialog::new();
            let paths = match ask {
                Ask::Open | Ask::Compare => dialog
                    .add_filter(label("Load"), &["ron"])
                    .pick_file()
                    .map(|p| vec![p]),
                Ask::SaveAs | Ask::Draft => dialog
                    .add_filter(label("Load"), &["ron"])
                    .save_file()
                    .map(|p| vec![p]),
                Ask::Import => dialog
                    .add_filter(label("Mesh"), &["stl", "STL", "obj", "OBJ", "3mf", "3MF"])
                    .pick_files(),
                Ask::Lots | Ask::RunLog | Ask::EmptyRun | Ask::LoadedRun | Ask::Pieces => dialog
                    .add_filter(label("Table"), &["csv", "tsv", "txt"])
                    .pick_file()
                    .map(|p| vec![p]),
                Ask::Backlog => dialog
                    .add_filter(label("Backlog"), &["ron", "csv"])
                    .pick_file()
                    .map(|p| vec![p]),
                Ask::ShopFolder => dialog.pick_folder().map(|p| vec![p]),
            };
            // The window may be gone; then nobody waits.
            let _ = send.send(paths.map_or(Answer::Nothing, Answer::Paths));
            wake();
        });
        receive
    }
}
