//! When the setpoint of a program has a temperature.

use super::clock::ramp;
use super::inputs::Program;

/// What rounding may put a temperature beyond the end of a ramp, K.
const END_K: f64 = 0.01;

/// The time, s by the program's clock, at which the setpoint of a segment (from 0) has a
/// temperature, K: at the target that is the start of the hold.
///
/// # Errors
/// From where to where the segment goes, K, where that is not between, or there is no such segment.
pub fn clock_at(program: &Program, segment: usize, k: f64) -> Result<f64, (f64, f64)> {
    let mut from = program.start_k;
    let mut clock_s = 0.0;
    for (i, s) in program.segments.iter().enumerate() {
        let (ramp_s, _) = ramp(s, from).unwrap_or((0.0, 0.0));
        if i == segment {
            let share = if s.to_k == from {
                1.0
            } else {
                (k - from) / (s.to_k - from)
            };
            let over = END_K / (s.to_k - from).abs().max(END_K);
            let inside = (k - s.to_k).abs() <= END_K || (-over..=1.0 + over).contains(&share);
            // A segment that stays where it is has that temperature alone.
            let there = s.to_k != from || (k - from).abs() <= END_K;
            if !(inside && there) {
                return Err((from, s.to_k));
            }
            return Ok(clock_s + ramp_s * share.clamp(0.0, 1.0));
        }
        clock_s += ramp_s + s.hold_s;
        from = s.to_k;
    }
    Err((from, from))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::forecast::demo::story_1;

    #[test]
    fn a_temperature_has_its_place_on_the_ramp() {
        let program = story_1(2, 90.0).program;
        let first = program.segments[0];
        let (ramp_s, _) = ramp(&first, program.start_k).unwrap();
        let middle = 0.5 * (program.start_k + first.to_k);
        let found = clock_at(&program, 0, middle).unwrap();
        assert!((found - 0.5 * ramp_s).abs() < 1e-6);
        assert!((clock_at(&program, 0, first.to_k).unwrap() - ramp_s).abs() < 1e-6);
        let ends = Err((program.start_k, first.to_k));
        assert_eq!(clock_at(&program, 0, first.to_k + 5.0), ends);
        assert_eq!(clock_at(&program, 0, program.start_k - 5.0), ends);
        // The next segment begins where this one's hold ends.
        let next = clock_at(&program, 1, first.to_k).unwrap();
        assert!((next - ramp_s - first.hold_s).abs() < 1e-6);
        assert!(clock_at(&program, 99, middle).is_err());
        assert!(clock_at(&program, 0, f64::NAN).is_err());
    }
}
