//! Everything a person can ask for: one enum from which menus, keys, the palette and tests are made.

use super::state::{App, Board};
use crate::text::app as say;
use egui::{Key, KeyboardShortcut, Modifiers};

/// Menus, in their order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Menu {
    /// Files.
    File,
    /// Undo, selection, arrangement.
    Edit,
    /// Levels and stacks.
    Level,
    /// The forecast and what is asked of it.
    Forecast,
    /// Boards, zoom, theme.
    View,
}

impl Menu {
    /// In their order.
    pub const ALL: [Menu; 5] = [
        Menu::File,
        Menu::Edit,
        Menu::Level,
        Menu::Forecast,
        Menu::View,
    ];

    /// Name shown.
    pub fn name(self) -> String {
        match self {
            Menu::File => say::label("File"),
            Menu::Edit => say::label("Edit"),
            Menu::Level => say::label("Level"),
            Menu::Forecast => say::label("Forecast"),
            Menu::View => say::label("View"),
        }
    }
}

macro_rules! commands {
    ($($(#[$doc:meta])* $name:ident: $menu:ident, $label:literal, $keys:expr;)*) => {
        /// A command.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Command { $($(#[$doc])* $name,)* }

        impl Command {
            /// All commands, menu by menu.
            pub const ALL: &[Command] = &[$(Command::$name,)*];

            /// Name shown in menus and the palette.
            pub fn name(self) -> String {
                match self { $(Command::$name => say::label($label),)* }
            }

            /// Its menu.
            pub fn menu(self) -> Menu {
                match self { $(Command::$name => Menu::$menu,)* }
            }

            /// Its keys, if any.
            pub fn keys(self) -> Option<KeyboardShortcut> {
                match self { $(Command::$name => $keys,)* }
            }
        }
    };
}

const fn cmd(key: Key) -> Option<KeyboardShortcut> {
    Some(KeyboardShortcut::new(Modifiers::COMMAND, key))
}

const fn cmd_shift(key: Key) -> Option<KeyboardShortcut> {
    Some(KeyboardShortcut::new(
        Modifiers::COMMAND.plus(Modifiers::SHIFT),
        key,
    ))
}

const fn plain(key: Key) -> Option<KeyboardShortcut> {
    Some(KeyboardShortcut::new(Modifiers::NONE, key))
}

commands! {
    /// An empty load.
    New: File, "New load", cmd(Key::N);
    /// A load from a file.
    Open: File, "Open…", cmd(Key::O);
    /// Save under its name.
    Save: File, "Save", cmd(Key::S);
    /// Save under another name.
    SaveAs: File, "Save as…", cmd_shift(Key::S);
    /// Save as a standard load into the shop folder.
    SaveStandard: File, "Save as standard load…", None;
    /// Hold the open load against another load file.
    Compare: File, "Compare with a load…", None;
    /// Put the other load away.
    EndComparison: File, "End the comparison", None;
    /// Choose the shop folder.
    ShopFolder: File, "Choose shop folder…", None;
    /// Read part shapes from mesh files.
    Import: File, "Import parts…", cmd(Key::I);
    /// Lots from a table.
    LotsFile: File, "Read lots from a table…", None;
    /// A backlog from a file.
    OpenBacklog: File, "Open a backlog…", None;
    /// Close the window.
    Quit: File, "Quit", cmd(Key::Q);
    /// One step back.
    Undo: Edit, "Undo", cmd(Key::Z);
    /// One step forward.
    Redo: Edit, "Redo", cmd_shift(Key::Z);
    /// Everything on the level.
    SelectAll: Edit, "Select all on the level", cmd(Key::A);
    /// Nothing.
    SelectNone: Edit, "Select nothing", plain(Key::Escape);
    /// All pieces of the selected parts, on all levels.
    SelectSamePart: Edit, "Select all of the same part", None;
    /// All pieces of the selected lots, on all levels.
    SelectSameLot: Edit, "Select all of the same lot", None;
    /// Copies beside the originals.
    Duplicate: Edit, "Duplicate", cmd(Key::D);
    /// Take away.
    Delete: Edit, "Remove from the load", plain(Key::Delete);
    /// Lock.
    Lock: Edit, "Lock", cmd(Key::L);
    /// Unlock.
    Unlock: Edit, "Unlock", cmd_shift(Key::L);
    /// A quarter turn counter-clockwise.
    TurnLeft: Edit, "Turn left by 90°", plain(Key::R);
    /// A quarter turn clockwise.
    TurnRight: Edit, "Turn right by 90°", Some(KeyboardShortcut::new(Modifiers::SHIFT, Key::R));
    /// Left edges in line.
    AlignLeft: Edit, "Align left", None;
    /// Right edges in line.
    AlignRight: Edit, "Align right", None;
    /// Edges at the door side in line.
    AlignDoor: Edit, "Align at the door side", None;
    /// Edges at the back in line.
    AlignBack: Edit, "Align at the back", None;
    /// Anchor points at the same x.
    AlignMiddleX: Edit, "Align anchors in a column", None;
    /// Anchor points at the same y.
    AlignMiddleY: Edit, "Align anchors in a row", None;
    /// Equal distances along x.
    DistributeX: Edit, "Distribute from left to right", None;
    /// Equal distances along y.
    DistributeY: Edit, "Distribute from door to back", None;
    /// Mirror places left to right.
    MirrorX: Edit, "Mirror left to right", None;
    /// Mirror places door to back.
    MirrorY: Edit, "Mirror door to back", None;
    /// Parts set out by themselves, and back to the plan.
    Arrange: Level, "Arrange parts…", cmd(Key::E);
    /// The level above.
    LevelUp: Level, "Go one level up", plain(Key::PageUp);
    /// The level below.
    LevelDown: Level, "Go one level down", plain(Key::PageDown);
    /// A level on top.
    AddLevel: Level, "Add a level on top", None;
    /// A copy of the level on top.
    RepeatLevel: Level, "Repeat this level on top", None;
    /// Take the level away.
    RemoveLevel: Level, "Remove this level", None;
    /// Selected parts one level up.
    MoveUp: Level, "Move selection one level up", Some(KeyboardShortcut::new(Modifiers::SHIFT, Key::PageUp));
    /// Selected parts one level down.
    MoveDown: Level, "Move selection one level down", Some(KeyboardShortcut::new(Modifiers::SHIFT, Key::PageDown));
    /// The segments under the curve.
    SegmentsTab: Forecast, "Profile: segments", None;
    /// The forecast over time under the curve.
    OverTimeTab: Forecast, "Profile: forecast over time", None;
    /// The forecast in figures under the curve.
    FiguresTab: Forecast, "Profile: forecast in figures", None;
    /// A run that was stopped.
    StoppedTab: Forecast, "Profile: run stopped, by time, temperature or log", None;
    /// A shorter program.
    ShortenTab: Forecast, "Profile: shorten the program", None;
    /// Cost of the run.
    CostTab: Forecast, "Profile: cost of the run", None;
    /// Figures from measurements.
    MeasuredTab: Forecast, "Profile: fit and calibrate from logs and measured pieces", None;
    /// The load board.
    LoadBoard: View, "Load board", cmd(Key::Num1);
    /// The profile board.
    ProfileBoard: View, "Profile board", cmd(Key::Num2);
    /// The library.
    LibraryBoard: View, "Library", cmd(Key::Num3);
    /// Every limit and check with its owner.
    LimitsBoard: View, "Limits and checks", cmd(Key::Num4);
    /// Lots cleared to load, and what is known of the furnace.
    ClearedBoard: View, "Lots and furnace", cmd(Key::Num5);
    /// What the shop has and who works there.
    ShopBoard: View, "Shop", cmd(Key::Num6);
    /// A backlog and the loads that it becomes.
    BacklogBoard: View, "Backlog", cmd(Key::Num7);
    /// What a person states that no plan can compute.
    Declarations: View, "Declarations", None;
    /// The whole setter in sight.
    Fit: View, "Fit the setter", plain(Key::F);
    /// Closer.
    ZoomIn: View, "Zoom in", plain(Key::Plus);
    /// Farther.
    ZoomOut: View, "Zoom out", plain(Key::Minus);
    /// Measure between two points.
    Measure: View, "Measure", plain(Key::M);
    /// The placements as a table.
    Table: View, "Placements as a table", cmd(Key::T);
    /// Search all commands.
    Palette: View, "Find a command…", cmd(Key::K);
    /// Light colours.
    Light: View, "Light colours", None;
    /// Dark colours.
    Dark: View, "Dark colours", None;
    /// Colours as the system has them.
    System: View, "Colours of the system", None;
}

impl Command {
    /// Name on a button of a board, where there is less room.
    pub fn short(self) -> String {
        match self {
            Command::Table => say::label("Table"),
            Command::Fit => say::label("Fit"),
            Command::Delete => say::label("Remove"),
            other => other.name(),
        }
    }

    /// Whether it can be done now.
    pub fn enabled(self, app: &App) -> bool {
        let selected = !app.view.selection.is_empty();
        let several = app.view.selection.len() > 1;
        let level = app.view.level.is_some();
        let load = app.view.board == Board::Load;
        match self {
            Command::Undo | Command::Redo if app.view.board == Board::Shop => {
                app.shop_step(self == Command::Undo).is_some()
            }
            Command::Undo => app.doc.history.undo_label().is_some(),
            Command::Redo => app.doc.history.redo_label().is_some(),
            Command::SelectAll
            | Command::Fit
            | Command::ZoomIn
            | Command::ZoomOut
            | Command::Measure
            | Command::Table => load && level,
            Command::SelectNone => load && (selected || app.view.measuring()),
            Command::SelectSamePart
            | Command::SelectSameLot
            | Command::Duplicate
            | Command::Delete
            | Command::Lock
            | Command::Unlock
            | Command::TurnLeft
            | Command::TurnRight
            | Command::MirrorX
            | Command::MirrorY
            | Command::MoveUp
            | Command::MoveDown => load && selected,
            Command::AlignLeft
            | Command::AlignRight
            | Command::AlignDoor
            | Command::AlignBack
            | Command::AlignMiddleX
            | Command::AlignMiddleY => load && several,
            Command::DistributeX | Command::DistributeY => load && app.view.selection.len() > 2,
            Command::LevelUp | Command::LevelDown | Command::RepeatLevel | Command::RemoveLevel => {
                load && level
            }
            Command::AddLevel => load,
            Command::Arrange => level,
            Command::SaveStandard => app.shop.is_some(),
            Command::EndComparison => app.compares(),
            // Without a forecast there are no tabs.
            Command::OverTimeTab
            | Command::FiguresTab
            | Command::StoppedTab
            | Command::ShortenTab
            | Command::CostTab
            | Command::MeasuredTab => app.is_followed(),
            Command::New
            | Command::Open
            | Command::Save
            | Command::SaveAs
            | Command::ShopFolder
            | Command::Compare
            | Command::Import
            | Command::LotsFile
            | Command::OpenBacklog
            | Command::BacklogBoard
            | Command::Quit
            | Command::LoadBoard
            | Command::ProfileBoard
            | Command::SegmentsTab
            | Command::LibraryBoard
            | Command::LimitsBoard
            | Command::ClearedBoard
            | Command::ShopBoard
            | Command::Declarations
            | Command::Palette
            | Command::Light
            | Command::Dark
            | Command::System => true,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_commands_share_keys_or_a_name() {
        for (i, a) in Command::ALL.iter().enumerate() {
            for b in &Command::ALL[i + 1..] {
                assert_ne!(a.name(), b.name());
                assert!(
                    a.keys().is_none() || a.keys() != b.keys(),
                    "{a:?} and {b:?}"
                );
            }
        }
    }
}
