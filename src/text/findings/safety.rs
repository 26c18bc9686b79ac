//! Words of the safety checks. What they judge is a plan: none of them says that a run is without
//! danger.

use super::Prose;

/// A remedy, and whose word holds before it.
macro_rules! deferring {
    ($remedy:literal) => {
        concat!(
            $remedy,
            " The furnace's written procedure, local codes and licensed people come first."
        )
    };
}

/// One entry a check.
pub const PROSE: &[Prose] = &[
    Prose {
        check: "hydrogen-without-purge-before",
        title: "Fuel gas enters without a purge",
        sentence: "Fuel gas enters in segment {segment} after {planned}; at least {volumes} \
                   furnace volumes of inert gas, or pump-downs that leave as little, have to come \
                   first.",
        why: "Hydrogen and the air still in the furnace make a mixture that explodes.",
        remedy: deferring!(
            "Plan a purge or a pump-down before the gas enters. Planned; to be verified \
             by the furnace's interlocks."
        ),
    },
    Prose {
        check: "hydrogen-without-purge-after",
        title: "Fuel gas not purged before the door",
        sentence: "After the last fuel gas {now}; at least {volumes} furnace volumes of inert \
                   gas, or pump-downs that leave as little, have to come before the door is opened.",
        why: "Air that meets the fuel left in the furnace makes a mixture that explodes.",
        remedy: deferring!(
            "Switch hydrogen off and plan a purge or a pump-down before unloading. Planned; to be verified \
             by the furnace's interlocks."
        ),
    },
    Prose {
        check: "purge-before-fuel-weak",
        title: "Purge before fuel gas too weak",
        sentence: "Before segment {segment} lets fuel gas in the plan has {planned}: {value} \
                   oxygen is left by calculation; at most {limit} is wanted.",
        why: "Gas takes the short way and mixes badly between stacked levels: volumes alone \
              promise too much.",
        remedy: deferring!(
            "Purge longer, or pump down and backfill twice. Planned; to be verified \
             by the furnace's interlocks."
        ),
    },
    Prose {
        check: "purge-before-air-weak",
        title: "Purge before the door too weak",
        sentence: "After the last fuel gas the plan has {planned}: {value} fuel is left by \
                   calculation; at most {limit} is wanted before air enters.",
        why: "Fuel stays between the levels longer than in an empty furnace.",
        remedy: deferring!(
            "Purge longer, or pump down and backfill. Planned; to be verified \
             by the furnace's interlocks."
        ),
    },
    Prose {
        check: "hydrogen-without-burn-off",
        title: "No burn-off flame",
        sentence: "Fuel gas enters in segment {segment}, and the burn-off flame is not on.",
        why: "What leaves the furnace has to burn or be diluted: it is above the upper limit and \
              mixes with air outside.",
        remedy: deferring!(
            "Switch the flame on before the gas enters. Planned; to be verified \
             by the furnace's interlocks."
        ),
    },
    Prose {
        check: "hydrogen-event-mismatch",
        title: "Gas and events disagree",
        sentence: "Segment {segment}: {how}.",
        why: "Valves follow the events and people follow the gas: they must say the same.",
        remedy: deferring!("Correct the gas of the segment, or move the event."),
    },
    Prose {
        check: "safety-limit-loosened",
        title: "Limit that guards people set looser",
        sentence: "{limit}: {now} is in force, set by {by}; {built} is what comes with the program.",
        why: "With a looser limit the checks that read it say nothing where they would have stopped \
              the run.",
        remedy: deferring!(
            "Set the limit back under Limits and checks, or do the run under a written procedure of \
             the furnace that covers it."
        ),
    },
    Prose {
        check: "solvent-on-parts",
        title: "Flammable solvent on parts",
        sentence: "Lot {lot} may still hold {liquid}: {how}.",
        why: "Its vapour burns in air from about one per cent on, and a warm furnace lights it.",
        remedy: deferring!(
            "Dry the lot with ventilation until two weighings agree and the time in the dryer \
                 is full."
        ),
    },
    Prose {
        check: "unload-too-hot",
        title: "Unload temperature high",
        sentence: "The load is to come out at {value}; {limit} is the mark.",
        why: "Hot parts and a hot zone oxidise in air, and people get burned.",
        remedy: deferring!(
            "Lower the unload temperature and lengthen the cooling. It is the load's own \
                 temperature, which lags behind the chamber's."
        ),
    },
    Prose {
        check: "inert-gas-entry",
        title: "Gas that displaces air",
        sentence: "The run uses {gases}: air in the furnace, its pit and its vessel may hold less \
                   than {oxygen} oxygen.",
        why: "There is no smell and no warning: people have died entering, and so have their \
              rescuers.",
        remedy: deferring!("Nobody reaches or climbs in before oxygen is measured."),
    },
    Prose {
        check: "over-temperature-not-declared",
        title: "Over-temperature cut-out not declared",
        sentence: "To what temperature the over-temperature cut-out is set is not declared: {how}.",
        why: "It is what is left when control fails at the peak.",
        remedy: deferring!(
            "Read the setting at the furnace and declare it (over-temperature-set)."
        ),
    },
    Prose {
        check: "over-temperature-set-low",
        title: "Over-temperature cut-out near the peak",
        sentence: "The cut-out is declared with a margin of {value} over the highest target; at \
                   least {limit} is usual.",
        why: "It may end the run at an ordinary overshoot.",
        remedy: deferring!("Set it higher and declare it again."),
    },
    Prose {
        check: "over-temperature-set-high",
        title: "Over-temperature cut-out far above the peak",
        sentence: "The cut-out is declared with a margin of {value} over the highest target; at \
                   most {limit} is usual.",
        why: "Before it acts, the load has slumped and the zone is damaged.",
        remedy: deferring!("Set it lower and declare it again."),
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_remedy_defers_to_those_who_know_the_furnace() {
        for words in PROSE {
            for whom in ["written procedure", "local codes", "licensed people"] {
                assert!(words.remedy.contains(whom), "{}: {whom}", words.check);
            }
        }
    }
}
