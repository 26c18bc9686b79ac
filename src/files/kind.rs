//! Kinds of file, as their heads name them.

/// What a file says it is in its head.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FileKind {
    /// A load: the plan and the records it uses.
    Load,
    /// A thermal profile.
    Profile,
    /// Catalogue records, limits or the state of a shop.
    Catalogue,
    /// Lots that wait for a furnace.
    Backlog,
    /// What a run recorded.
    Run,
    /// How to read a furnace's log.
    LogFormat,
    /// What a person set for themselves.
    Settings,
}

impl FileKind {
    /// All kinds.
    pub const ALL: [FileKind; 7] = [
        FileKind::Load,
        FileKind::Profile,
        FileKind::Catalogue,
        FileKind::Backlog,
        FileKind::Run,
        FileKind::LogFormat,
        FileKind::Settings,
    ];

    /// The word in the head, and in sentences.
    pub fn word(self) -> &'static str {
        match self {
            FileKind::Load => "load",
            FileKind::Profile => "profile",
            FileKind::Catalogue => "catalogue",
            FileKind::Backlog => "backlog",
            FileKind::Run => "run record",
            FileKind::LogFormat => "log format",
            FileKind::Settings => "settings",
        }
    }

    /// The kind that a head names.
    pub fn from_word(word: &str) -> Option<FileKind> {
        FileKind::ALL.into_iter().find(|kind| kind.word() == word)
    }
}
