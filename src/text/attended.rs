//! Words about hours at which somebody is at the furnaces.

/// Time of day at which the run starts.
pub fn start_time() -> &'static str {
    "the time of day of the planned start"
}

/// The load comes out.
pub fn unloading(segment: usize) -> String {
    format!("unloading in segment {segment}")
}

/// Somebody looks.
pub fn operator_check(segment: usize) -> String {
    format!("the operator's check in segment {segment}")
}

/// The load can come out.
pub fn end_of_program() -> String {
    "the end of the program".to_owned()
}

/// The run is started.
pub fn start() -> String {
    "the start".to_owned()
}

/// Hydrogen comes on.
pub fn hydrogen_on(segment: usize) -> String {
    format!("hydrogen on in segment {segment}")
}

/// Hydrogen goes off.
pub fn hydrogen_off(segment: usize) -> String {
    format!("hydrogen off in segment {segment}")
}

/// A moment, or between two.
pub fn when(from: &str, to: &str) -> String {
    if from == to {
        format!("at {from}")
    } else {
        format!("between {from} and {to}")
    }
}
