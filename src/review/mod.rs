//! The review: facts are computed once, small checks read them and a resolved limit, and what a
//! check cannot judge for want of data is counted, never passed.
//!
//! To add a check: write a function of a few lines in the family's file, list it in that file's
//! `CHECKS`, give it its words in `text::findings`, and a test that trips it.

mod acceptance;
mod cautions;
mod checks;
mod engine;
mod facts;
mod facts_debind;
mod facts_extraction;
mod facts_forecast;
mod facts_furniture;
mod facts_gaps;
mod facts_gas;
mod facts_limits;
mod facts_placed;
mod facts_profile;
mod facts_records;
mod facts_standing;
mod facts_times;
mod finding;
mod fix;
mod limit_senses;
pub mod questions;
mod recorded;
mod setpoints;
mod settings;
mod topics;

pub use acceptance::covers;
pub use cautions::RecordCaution;
pub use checks::{all_checks, check_by_slug, thermocouple_limit};
pub use engine::{Review, review, review_of};
pub use facts::{Facts, Given, MESH_OTHER, PlacedPart, Prepared};
pub use facts_gaps::{Contexts, caps, limit_of_part};
pub use facts_limits::limit_to_accept;
pub use finding::{
    Check, Family, Finding, Measured, Missing, Needs, Report, Sense, Subject, WhenRegulated,
};
pub use fix::{Also, Fix, FixKind, Fixer, Offer, left_to_people};
pub use limit_senses::sense_of;
pub use questions::{AskedQuestion, QUESTIONS, Question, question_by_slug};
pub use recorded::{RECORDED, Recorded, recorded};
pub use setpoints::{Setpoints, counted};
pub use topics::{TOPICS, Topic, checks_meant, setting_of, topic_by_slug, topic_of};
