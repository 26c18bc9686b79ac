//! What is asked and what is answered.

use crate::geometry::{P2, Shape};
use crate::text::arranging as words;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

/// The turns that a part may take about the vertical axis.
#[derive(Clone, Debug)]
pub enum Turns {
    /// These angles only, degrees.
    Of(Vec<f64>),
    /// Any angle.
    Any,
}

/// One kind of part: its outline as seen from above, mm.
#[derive(Clone, Debug)]
pub struct Kind {
    /// Seen from above, about its own origin.
    pub outline: Shape,
    /// How it may be turned.
    pub turns: Turns,
}

/// The usable shape of a setter.
#[derive(Clone, Debug)]
pub enum Ground {
    /// From (0, 0) to (w, h), mm.
    Rectangle {
        /// mm.
        w: f64,
        /// mm.
        h: f64,
    },
    /// Diameter, mm; the centre is (0, 0).
    Disc {
        /// mm.
        d: f64,
    },
    /// Any ring, counter-clockwise, mm.
    Polygon(Vec<P2>),
}

/// One setter that may be used.
#[derive(Clone, Debug)]
pub struct Field {
    /// Where parts may stand, margin included.
    pub ground: Ground,
    /// Least distance from a part to the edge, mm.
    pub margin: f64,
    /// What stands there and is not moved: posts, nozzles, thermocouples, locked parts. Parts keep
    /// the clearance to them.
    pub fixed: Vec<Shape>,
    /// For each kind whether it may stand here (height, alloy, work zone).
    pub accepts: Vec<bool>,
}

/// Why there is nothing to search. Indices count from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Fault {
    /// No field is given, or a strip that is not one rectangle.
    #[error("{}", words::no_field())]
    NoField,
    /// The margin leaves nothing of a field.
    #[error("{}", words::no_room(*field))]
    NoRoom {
        /// Index of the field.
        field: usize,
    },
    /// An outline that crosses itself or has no area.
    #[error("{}", words::bad_outline(*kind))]
    Outline {
        /// Index of the kind.
        kind: usize,
    },
    /// What stands on a field crosses itself or has no area.
    #[error("{}", words::bad_fixed(*field))]
    Fixed {
        /// Index of the field.
        field: usize,
    },
    /// A rule's list does not go with the task, or holds a number that is none.
    #[error("{}", words::bad_rules())]
    Rules,
    /// The collision library gave up.
    #[error("{}", words::broken())]
    Broken,
}

/// What counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Goal {
    /// Shorten the one rectangular field to the left, all parts placed.
    Strip,
    /// All parts on the fewest fields; as many parts as go if not all go.
    Setters,
    /// As many parts as go, strictly in the given order.
    InOrder,
}

/// A task for the arrangement.
#[derive(Clone, Debug)]
pub struct Task {
    /// The kinds of parts.
    pub kinds: Vec<Kind>,
    /// The kind of each part to be placed.
    pub parts: Vec<usize>,
    /// The setters that may be used, in the order of preference.
    pub fields: Vec<Field>,
    /// Least distance between parts, mm.
    pub clearance: f64,
    /// What counts.
    pub goal: Goal,
}

/// Where a part goes: its outline is turned by `angle` degrees counter-clockwise about its own
/// origin, then moved by (x, y) mm in the frame of the field.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placed {
    /// Index in [`Task::parts`].
    pub part: usize,
    /// Index in [`Task::fields`].
    pub field: usize,
    /// mm.
    pub x: f64,
    /// mm.
    pub y: f64,
    /// Degrees counter-clockwise.
    pub angle: f64,
}

/// A layout, proved by [`super::proof`].
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Answer {
    /// What is placed, in the order of the parts.
    pub placed: Vec<Placed>,
    /// Fields used.
    pub fields: usize,
    /// Length used of a strip, mm.
    pub length: f64,
    /// Evaluations spent.
    pub evaluations: u64,
}

/// How the caller looks on and stops.
#[derive(Default)]
pub struct Watch {
    /// Stop now with the best so far.
    pub cancel: AtomicBool,
    /// Go to the last phase (a strip's fine shortening).
    pub finish: AtomicBool,
    /// The best so far, for showing only; the search never reads it.
    pub best: Mutex<Option<Answer>>,
    /// Evaluations spent so far by all searches that were watched with it, for showing only.
    pub tried: AtomicU64,
}

impl Watch {
    /// Whether to stop.
    pub fn cancelled(&self) -> bool {
        self.cancel.load(Ordering::Relaxed)
    }
}
