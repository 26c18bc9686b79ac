//! The window, driven by label.

mod arranging;
mod arrays;
mod backlog;
pub mod bench;
mod board;
mod cleared;
mod drags;
mod fields;
mod findings;
mod forecast;
mod keyboard;
mod library;
mod limits;
mod lists;
mod locale;
mod part;
mod pictures;
mod profile;
mod shop;
mod soak;
mod ways;
