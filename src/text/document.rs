//! Titles and faults of the open document.

use super::say;

/// Title of a document without a name and a title.
pub fn untitled() -> String {
    say("untitled load")
}

/// Title with a star when something is not saved.
pub fn title(name: &str, saved: bool) -> String {
    if saved {
        name.to_owned()
    } else {
        format!("{name} *")
    }
}

/// A background job that ended in a panic.
pub fn job_panicked(what: &str, message: &str) -> String {
    say(format!(
        "The {what} stopped because of a fault in this program ({message}). Your load is as it \
         was; save it, and report the fault with the load."
    ))
}

/// A background job that could not be started.
pub fn job_not_started(what: &str, message: &str) -> String {
    say(format!(
        "The {what} could not be started ({message}). Close other programs and try again."
    ))
}

/// A panic that brought no text.
pub fn no_message() -> String {
    say("no message")
}
