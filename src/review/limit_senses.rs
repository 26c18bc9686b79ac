//! Which of two values of a limit is the stricter. With it a limit that holds for the whole load
//! can be asked of everything in it: what is judged once, for all, is judged by the strictest.

use super::finding::Sense::{self, AtLeast, AtMost};

/// Where a thermocouple's range ends.
const THERMOCOUPLE: &str = "thermocouple-max-";

/// Side on which a limit's value is good: where `AtLeast`, the larger value is the stricter. None
/// for a limit of which nobody said; what asks for it is not evaluated where values differ.
pub fn sense_of(id: &str) -> Option<Sense> {
    if id.starts_with(THERMOCOUPLE) {
        return Some(AtMost);
    }
    let found = SENSES.iter().find(|(known, _)| *known == id);
    found.map(|(_, sense)| *sense)
}

/// By slug. For a limit that only says from where something counts, the stricter value is the one
/// from which more counts.
const SENSES: &[(&str, Sense)] = &[
    ("air-graphite-max", AtMost),
    ("air-molybdenum-max", AtMost),
    ("air-out-by", AtMost),
    ("asymmetry-max", AtMost),
    ("backbone-out-least", AtLeast),
    ("backbone-out-wanted", AtLeast),
    ("bath-solvent-max", AtMost),
    ("bath-water-max", AtMost),
    ("bridge-ratio-caution", AtMost),
    ("brown-wait-max", AtMost),
    ("carbon-spread-share", AtLeast),
    ("centre-of-mass-inside-min", AtLeast),
    ("ceramic-cooling-from", AtMost),
    ("ceramic-cooling-max", AtMost),
    ("chamber-lag-max", AtMost),
    ("core-pressure-max", AtMost),
    ("declaration-age-max", AtMost),
    ("declared-test-age-max", AtMost),
    ("density-min", AtLeast),
    ("density-spread-max", AtMost),
    ("dew-point-age-h", AtMost),
    ("dew-point-furnace-max", AtMost),
    ("dew-point-stop", AtMost),
    ("dew-point-supply-max", AtMost),
    ("drag-length", AtMost),
    ("drag-mass", AtMost),
    ("dry-mass-change", AtMost),
    ("dry-time-max", AtMost),
    ("dry-time-min", AtLeast),
    ("dryer-flammable-share", AtMost),
    ("dryer-max", AtMost),
    ("edge-margin", AtLeast),
    ("evaporation-max", AtMost),
    ("extraction-caution", AtLeast),
    ("extraction-most", AtMost),
    ("extraction-difference", AtMost),
    ("extraction-stop", AtLeast),
    ("fahrenheit-factor", AtMost),
    ("fill-high", AtMost),
    ("fill-low", AtLeast),
    ("flammable-hydrogen-share", AtMost),
    ("foot-width-min", AtLeast),
    ("fuel-before-air", AtMost),
    ("furniture-ratio", AtMost),
    ("gap-min", AtLeast),
    ("gas-path-free-min", AtLeast),
    ("head-room-min", AtLeast),
    ("hold-counts-from", AtLeast),
    ("hold-margin", AtLeast),
    ("hot-zone-margin", AtLeast),
    ("hydrogen-graphite-max", AtMost),
    ("hydrogen-ignition", AtLeast),
    ("leak-age-days", AtMost),
    ("leak-max", AtMost),
    ("leak-max-titanium", AtMost),
    ("level-mass-lift", AtMost),
    ("level-mass-mean-ratio", AtMost),
    ("lots-shrinkage-difference", AtMost),
    ("mass-difference-max", AtMost),
    ("nitrogen-molybdenum-max", AtMost),
    ("nitrogen-stainless-from", AtLeast),
    ("nitrogen-stainless-to", AtMost),
    ("nitrogen-time-max", AtMost),
    ("over-temperature-margin-max", AtMost),
    ("over-temperature-margin-min", AtLeast),
    ("overhang-ratio-caution", AtMost),
    ("overhang-ratio-stop", AtMost),
    ("oversize-difference-max", AtMost),
    ("oxygen-before-fuel", AtMost),
    ("oxygen-deficient", AtLeast),
    ("oxygen-on-heating", AtMost),
    ("peak-difference-max", AtMost),
    ("placing-tolerance-factor", AtLeast),
    ("plate-bow-max", AtMost),
    ("plate-stress-caution", AtMost),
    ("plate-stress-stop", AtMost),
    ("post-line-offset-max", AtMost),
    ("post-slenderness-max", AtMost),
    ("posts-min", AtLeast),
    ("purge-mixing", AtMost),
    ("purge-volumes", AtLeast),
    ("ramp-stop-factor", AtMost),
    ("rate-suspect-high", AtMost),
    ("rate-suspect-low", AtLeast),
    ("reduction-share-min", AtLeast),
    ("roof-clearance-min", AtLeast),
    ("run-over-plan-max", AtMost),
    ("section-caution", AtMost),
    ("section-ratio", AtMost),
    ("section-stated-share", AtLeast),
    ("section-stated-told", AtLeast),
    ("overhang-thin-max", AtMost),
    ("overhang-thin-wall", AtLeast),
    ("air-run", AtMost),
    ("fuel-flow-min", AtLeast),
    ("section-stop", AtMost),
    ("sensor-clearance-min", AtLeast),
    ("setter-temperature-margin", AtLeast),
    ("silica-from-c", AtMost),
    ("silica-max", AtMost),
    ("sinter-rate-max", AtMost),
    ("size-spread-max", AtMost),
    ("size-tolerance", AtMost),
    ("soak-band-max", AtMost),
    ("soak-band-min", AtLeast),
    ("solidus-margin", AtLeast),
    ("stack-centre-middle-share", AtMost),
    ("standard-mass-max", AtMost),
    ("standard-mass-min", AtLeast),
    ("sweep-offgas-share", AtMost),
    ("thermocouple-age-days", AtMost),
    ("thermocouple-uses", AtMost),
    ("tip-angle-min", AtLeast),
    ("tip-slenderness-caution", AtMost),
    ("tip-slenderness-stop", AtMost),
    ("titanium-pressure-max", AtMost),
    ("trap-caution", AtMost),
    ("trap-coolant-max", AtMost),
    ("trap-runs-max", AtMost),
    ("trap-stop", AtMost),
    ("unload-max", AtMost),
    ("unload-max-molybdenum", AtMost),
    ("power-wait-stop", AtMost),
    ("wait-caution", AtMost),
    ("wait-timeout-max", AtMost),
    ("weighings-apart-min", AtLeast),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::builtin;

    #[test]
    fn of_every_listed_limit_the_stricter_side_is_known() {
        let (catalogue, _) = builtin().unwrap();
        let unsaid: Vec<&str> = catalogue
            .limits
            .iter()
            .map(|l| l.id.as_str())
            .filter(|id| sense_of(id).is_none())
            .collect();
        assert!(unsaid.is_empty(), "add to SENSES: {unsaid:?}");
        assert_eq!(sense_of("thermocouple-max-s"), Some(AtMost));
        assert_eq!(sense_of("no-such-limit"), None);
    }
}
