//! The window, driven by label.

mod bench;
mod drags;
mod fields;
mod keyboard;
mod locale;
mod profile;
mod soak;
