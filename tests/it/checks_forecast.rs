//! Checks that need a forecast: one small change to a clean demo load for each of them, the check
//! that must trip, how heavy it is, and the others of its kind that come with it; just inside the
//! limit it passes; and what is missing is said. What the numbers should be is held in `stories.rs`.

use crate::fixture::Case;
use crate::mutation_table::{bases, taken};
use setterwright::catalogue::Severity::{Caution, Note, Stop};
use setterwright::catalogue::{
    CreepLaw, DensifyingBranch, DensifyingData, Element, Material, Severity,
};
use setterwright::forecast::plan::{Asked, NoForecast, PlanForecast, of};
use setterwright::load::Sizes;
use setterwright::profile::{EventKind, RampBy};
use setterwright::review::{Given, Needs, Review, all_checks, review};
use setterwright::text::findings::{fill, prose};
use std::collections::BTreeSet;
use std::sync::Arc;

pub fn forecast(case: &Case) -> Result<PlanForecast, NoForecast> {
    let sizes = Sizes::new(&case.plan, &case.catalogue);
    of(
        &Asked {
            plan: &case.plan,
            catalogue: &case.catalogue,
            shop: case.shop.as_deref(),
            sizes: &sizes,
        },
        &|| false,
    )
}

pub fn reviewed(case: &Case, made: &Result<PlanForecast, NoForecast>) -> Review {
    review(&Given {
        plan: &case.plan,
        catalogue: &case.catalogue,
        shop: case.shop.as_deref(),
        differences: &case.differences,
        standard: None,
        forecast: Some(made),
    })
}

fn needs_forecast() -> BTreeSet<&'static str> {
    let all = all_checks().filter(|c| c.needs == Needs::Forecast);
    all.map(|c| c.slug).collect()
}

fn material(case: &mut Case) -> &mut Material {
    let all = &mut case.catalogue_mut().materials;
    Arc::make_mut(&mut all.get_mut("alumina-995").unwrap().1)
}

fn elements(case: &mut Case, elements: Vec<Element>) {
    let all = &mut case.catalogue_mut().alloys;
    Arc::make_mut(&mut all.get_mut("316l").unwrap().1).elements = elements;
}

/// Figures of densifying that saturate: invented, for this test alone.
fn densifying(case: &mut Case) -> &mut DensifyingData {
    case.feedstock().densifying.insert(DensifyingData {
        branch: DensifyingBranch {
            kj_mol: 300.0,
            a: -28.0,
            b: 0.9,
        },
        upper: None,
        start_density: None,
        end_density_open: 0.97,
        end_density_gas_filled: 0.97,
        range_to_c: 1400.0,
        grains: None,
    })
}

/// The clean demo load with all that its forecast can be asked.
pub fn argon() -> Case {
    let mut case = bases::demo();
    densifying(&mut case);
    case.feedstock().oversize_density = 0.97;
    material(&mut case).creep = Some(CreepLaw {
        rate_per_s: 6.6e-6,
        stress_mpa: 150.0,
        at_c: 1400.0,
        grain_um: 10.0,
        exponent: 1.08,
        kj_mol: 325.0,
        grain_exponent: 2.0,
    });
    case
}

/// The large demo's way of running, in hydrogen, with little to reduce.
fn hydrogen() -> Case {
    let mut case = argon();
    case.plan.load.furnace = "mid-hydrogen-retort".to_owned();
    case.feedstock().reducible_oxygen_pct = Some(0.001);
    case.feedstock().powder_carbon_pct = 0.001;
    case.limit("plate-bow-max").value = 5.0;
    case.limit("wait-caution").value = 300.0;
    case.limit("run-over-plan-max").value = 600.0;
    for segment in &mut case.profile().segments {
        segment.gas = Some("hydrogen".to_owned());
        segment.flow_l_min_25c = 30.0;
        segment.pressure_mbar = None;
    }
    // By the clock, and long: what is asked here is the gas.
    for segment in &mut case.profile().segments[1..6] {
        segment.wait_on = None;
        segment.hold_min = segment.hold_min.max(400.0);
    }
    case
}

/// What just does not trip a check.
#[derive(Clone, Copy)]
enum Inside {
    /// The changed load with the worst that it comes to as its limit.
    AtItsLimit,
    /// The same where the limit stands in a record: given what it comes to and what the limit was.
    AtItsRecord(fn(&mut Case, f64, f64)),
    /// A change of its own, in words and in code.
    Change(&'static str, fn(&mut Case)),
}

/// A datum taken away: in words, what the check says that it lacks, and in code.
type Missing = (&'static str, &'static str, fn(&mut Case));

struct Row {
    check: &'static str,
    weight: Severity,
    base: fn() -> Case,
    words: &'static str,
    spoil: fn(&mut Case),
    with: &'static [&'static str],
    inside: Inside,
    missing: Option<Missing>,
}

const fn row(
    check: &'static str,
    weight: Severity,
    words: &'static str,
    spoil: fn(&mut Case),
) -> Row {
    Row {
        check,
        weight,
        base: argon,
        words,
        spoil,
        with: &[],
        inside: Inside::AtItsLimit,
        missing: None,
    }
}

impl Row {
    const fn with(self, with: &'static [&'static str]) -> Row {
        Row { with, ..self }
    }

    const fn on(self, base: fn() -> Case) -> Row {
        Row { base, ..self }
    }

    const fn inside(self, words: &'static str, change: fn(&mut Case)) -> Row {
        Row {
            inside: Inside::Change(words, change),
            ..self
        }
    }

    const fn at_its_record(self, set: fn(&mut Case, f64, f64)) -> Row {
        Row {
            inside: Inside::AtItsRecord(set),
            ..self
        }
    }

    const fn missing(self, words: &'static str, lacks: &'static str, change: fn(&mut Case)) -> Row {
        Row {
            missing: Some((words, lacks, change)),
            ..self
        }
    }

    /// Without a survey there are no cases beside the nominal one.
    const fn without_survey(self) -> Row {
        self.missing("no survey", "cold and the hot case", |c| {
            c.state().survey = None;
            c.state().spread_k = None;
        })
    }
}

pub fn hold(case: &mut Case, index: usize, min: f64) {
    case.profile().segments[index].hold_min = min;
}

/// One hold for the backbone, and fast out of the range from there.
pub fn backbone(case: &mut Case, min: f64) {
    hold(case, 2, min);
    hold(case, 3, 0.0);
    let segments = &mut case.profile().segments;
    segments[2].wait_on = None;
    segments[3].ramp = RampBy::Rate { k_min: 5.0 };
}

fn binder_range(case: &mut Case, mbar: f64) {
    for segment in &mut case.profile().segments[1..4] {
        segment.pressure_mbar = Some(mbar);
    }
}

fn longest_wait(case: &mut Case, min: f64) {
    let wait = case.profile().segments[2].wait_on.as_mut().unwrap();
    wait.timeout_min = Some(min);
}

fn strength(case: &mut Case, times: f64) {
    for (_, mpa) in &mut material(case).strength_mpa {
        *mpa *= times;
    }
}

fn supply(case: &mut Case, dew_point_c: Option<f64>) {
    for gas in &mut case.state().gases {
        gas.dew_point_c = dew_point_c;
    }
}

/// The backfill alone: what a segment states does not drive out what it was filled with.
fn cooled_in_nitrogen(case: &mut Case) {
    for event in &mut case.profile().segments[6].events {
        if let EventKind::Backfill { gas, .. } = &mut event.kind {
            *gas = "nitrogen".to_owned();
        }
    }
}

const NOT_DENSIFYING: Missing = ("nobody knows how it densifies", "densifies", |c| {
    c.feedstock().densifying = None;
});

const ROWS: &[Row] = &[
    row(
        "pores-not-open",
        Caution,
        "19 parts of powder to one of binder",
        |c| {
            c.feedstock().loading = 0.95;
        },
    )
    .inside("14.9 parts to one", |c| c.feedstock().loading = 0.937)
    .without_survey(),
    row(
        "core-pressure-high",
        Caution,
        "a powder of half a micrometre",
        |c| {
            c.feedstock().powder_um = Some(0.3);
        },
    )
    .without_survey(),
    row(
        "debind-hold-short",
        Caution,
        "the backbone held for 8 min, and left at 5 K/min",
        |c| backbone(c, 8.0),
    )
    .with(&["coldest-spot-not-in-band"])
    .without_survey(),
    row(
        "debind-hold-far-short",
        Stop,
        "the backbone held for 2 min, and left at 5 K/min",
        |c| backbone(c, 2.0),
    )
    .with(&["coldest-spot-not-in-band", "offgas-over-sweep"])
    .without_survey(),
    row("offgas-over-sweep", Caution, "a tenth of the sweep", |c| {
        for segment in &mut c.profile().segments[1..4] {
            segment.flow_l_min_25c = 1.0;
        }
    })
    .without_survey(),
    row(
        "pump-floor-with-vapour",
        Caution,
        "6.2 mbar, which holds the sweep alone",
        |c| binder_range(c, 6.2),
    )
    .inside("6.8 mbar", |c| binder_range(c, 6.8))
    .missing(
        "a furnace without the figures of its pump",
        "pump's speed",
        |c| c.furnace().pump.clear(),
    ),
    row(
        "trap-catch-predicted",
        Caution,
        "a trap three quarters full",
        |c| {
            c.state().trap_fill_g = Some(300.0);
        },
    )
    .missing("a trap of which nobody knows how full it is", "trap", |c| {
        c.state().trap_fill_g = None
    }),
    row(
        "coldest-spot-not-in-band",
        Caution,
        "the hold at 280 °C cut to half an hour",
        |c| hold(c, 1, 30.0),
    )
    .inside("cut to 181 min", |c| hold(c, 1, 181.0))
    .without_survey(),
    row(
        "band-never-reached",
        Stop,
        "a longest wait of five minutes",
        |c| longest_wait(c, 5.0),
    )
    .inside("of 45 min", |c| longest_wait(c, 45.0))
    .without_survey(),
    row("wait-too-long", Caution, "a band of 1 K", |c| {
        let wait = c.profile().segments[2].wait_on.as_mut().unwrap();
        wait.band_k = 1.0;
    })
    .with(&["run-longer-than-planned"])
    .missing("a shop without that limit", "wait-caution", |c| {
        taken::limit(c, "wait-caution")
    }),
    row("ramp-beyond-power", Caution, "a furnace of 4 kW", |c| {
        c.furnace().power_kw = 4.0;
        c.furnace().heat.power_by_c_kw = Vec::new();
    })
    .with(&[
        "band-never-reached",
        "coldest-spot-not-in-band",
        "run-longer-than-planned",
        "sinter-hold-short-at-coldest",
        "size-outside-tolerance",
        "wait-too-long",
    ])
    .missing("a shop without that limit", "chamber-lag-max", |c| {
        taken::limit(c, "chamber-lag-max")
    }),
    row(
        "sinter-hold-short-at-coldest",
        Caution,
        "a sinter hold of half an hour by the clock",
        |c| {
            hold(c, 5, 30.0);
            c.profile().segments[5].wait_on = None;
        },
    )
    .at_its_record(|c, min, _| c.feedstock().sinter.hold_min_min = min)
    .without_survey(),
    row(
        "hot-spot-over-range",
        Stop,
        "a range that ends at the peak",
        |c| {
            c.feedstock().sinter.to_c = 1345.0;
        },
    )
    .at_its_record(|c, hottest_c, _| c.feedstock().sinter.to_c = hottest_c)
    .without_survey(),
    row("density-low", Caution, "a powder that stays at 94 %", |c| {
        let data = densifying(c);
        (data.end_density_open, data.end_density_gas_filled) = (0.94, 0.94);
        c.feedstock().oversize_density = 0.94;
    })
    .missing(NOT_DENSIFYING.0, NOT_DENSIFYING.1, NOT_DENSIFYING.2),
    row(
        "density-uncertain",
        Note,
        "a curve on its slope at the peak",
        |c| {
            c.limit("density-spread-max").value = 1e-6;
        },
    )
    .missing(NOT_DENSIFYING.0, NOT_DENSIFYING.1, NOT_DENSIFYING.2),
    row(
        "size-outside-tolerance",
        Caution,
        "a lot that shrinks more",
        |c| {
            for lot in &mut c.plan.lots {
                Arc::make_mut(lot).oversize = Some([1.1900; 3]);
            }
        },
    )
    .missing(NOT_DENSIFYING.0, NOT_DENSIFYING.1, NOT_DENSIFYING.2),
    row(
        "spot-size-error",
        Caution,
        "no difference of size allowed",
        |c| {
            c.limit("size-spread-max").value = 0.0;
        },
    )
    .missing(NOT_DENSIFYING.0, NOT_DENSIFYING.1, NOT_DENSIFYING.2),
    row(
        "plate-creep-bow",
        Caution,
        "alumina that creeps a hundred times as fast",
        |c| {
            material(c).creep.as_mut().unwrap().rate_per_s *= 100.0;
        },
    )
    .missing("alumina without a creep law", "creep", |c| {
        material(c).creep = None
    }),
    row(
        "plate-may-crack",
        Caution,
        "alumina of a fiftieth of its strength",
        |c| strength(c, 0.02),
    )
    .at_its_record(|c, stress, allowed| strength(c, 1.0001 * stress / allowed))
    .missing("alumina of unknown strength", "strength", |c| {
        material(c).strength_mpa.clear()
    }),
    row(
        "reduction-gas-limited",
        Caution,
        "a hundred times the oxygen",
        |c| {
            c.feedstock().reducible_oxygen_pct = Some(0.5);
        },
    )
    .on(hydrogen)
    .with(&["furnace-dew-point"])
    .missing("nobody knows its oxygen", "reducible oxygen", |c| {
        c.feedstock().reducible_oxygen_pct = None;
    }),
    row(
        "furnace-dew-point",
        Caution,
        "supply read at -30 °C",
        |c| supply(c, Some(-30.0)),
    )
    .on(hydrogen)
    .missing("a dew point that nobody read", "dew point", |c| {
        supply(c, None)
    }),
    row("evaporation-loss", Caution, "vacuum at the peak", |c| {
        let segment = &mut c.profile().segments[5];
        (segment.gas, segment.flow_l_min_25c) = (None, 0.0);
        segment.pressure_mbar = Some(0.01);
    })
    .missing(
        "an alloy of which nobody knows the elements",
        "evaporate",
        |c| elements(c, Vec::new()),
    ),
    row(
        "carbon-near-range",
        Caution,
        "powder with 0.028 % of carbon",
        |c| {
            c.feedstock().powder_carbon_pct = 0.028;
        },
    )
    .inside("with 0.0252 %", |c| {
        c.feedstock().powder_carbon_pct = 0.0252
    })
    .missing("nobody knows its oxygen", "reducible oxygen", |c| {
        c.feedstock().reducible_oxygen_pct = None;
    }),
    row(
        "nitrogen-taken-up",
        Caution,
        "nitrogen while it cools",
        cooled_in_nitrogen,
    )
    .missing(
        "the same in a shop without that limit",
        "nitrogen-time-max",
        |c| {
            cooled_in_nitrogen(c);
            taken::limit(c, "nitrogen-time-max");
        },
    ),
    row("load-hot-at-unload", Stop, "no hold before the door", |c| {
        hold(c, 7, 0.0)
    })
    .without_survey(),
    row(
        "run-longer-than-planned",
        Note,
        "a minute over the program allowed",
        |c| {
            c.limit("run-over-plan-max").value = 1.0;
        },
    )
    .missing("a shop without that limit", "run-over-plan-max", |c| {
        taken::limit(c, "run-over-plan-max")
    }),
];

/// Findings of checks that need a forecast.
fn of_forecast(review: &Review) -> BTreeSet<&'static str> {
    let needs = needs_forecast();
    let found = review.findings.iter().filter(|f| needs.contains(f.check));
    found
        .filter(|f| {
            f.severity > Note
                || f.check == "density-uncertain"
                || f.check == "run-longer-than-planned"
        })
        .map(|f| f.check)
        .collect()
}

/// What of the change that trips is not as listed.
fn wrong_trip(row: &Row, case: &Case, made: &Result<PlanForecast, NoForecast>) -> Vec<String> {
    let mut wrong = Vec::new();
    let review = reviewed(case, made);
    let mut found = of_forecast(&review);
    let own: Vec<_> = review
        .findings
        .iter()
        .filter(|f| f.check == row.check)
        .collect();
    if !found.remove(row.check) {
        let missing: Vec<_> = review
            .missing
            .iter()
            .filter(|m| m.check == row.check)
            .collect();
        let why = made.as_ref().err();
        wrong.push(format!("does not trip; {missing:?}; {why:?}"));
    }
    if found != row.with.iter().copied().collect() {
        wrong.push(format!("comes with {found:?}"));
    }
    let weight = own.iter().map(|f| f.severity).max();
    if weight != Some(row.weight) {
        wrong.push(format!("weighs {weight:?}"));
    }
    for f in own {
        let sentence = fill(prose(row.check).unwrap().sentence, &f.args);
        if sentence.contains(['{', '}']) {
            wrong.push(sentence);
        }
    }
    wrong
}

/// The limits of what a check finds, each with the worst that it comes to and what it was.
fn limits_of(row: &Row, review: &Review) -> Vec<(String, f64, f64)> {
    let mut worst: Vec<(String, f64, f64)> = Vec::new();
    for f in review.findings.iter().filter(|f| f.check == row.check) {
        let Some((measured, limit)) = f.measured.zip(f.limit.as_ref()) else {
            continue;
        };
        let (is, was) = (measured.value, limit.value);
        let Some(so_far) = worst.iter_mut().find(|(id, ..)| *id == limit.id) else {
            worst.push((limit.id.clone(), is, was));
            continue;
        };
        let (_, far, its) = *so_far;
        // A limit that goes by temperature is another for each of them.
        let farther = if was == its {
            is > far
        } else {
            is * its > far * was
        };
        if farther == (is > was) {
            (so_far.1, so_far.2) = (is, was);
        }
    }
    worst
}

/// Why the check does not pass just inside its limit.
fn wrong_inside(
    row: &Row,
    base: &Case,
    (spoilt, made): (&Case, &Result<PlanForecast, NoForecast>),
) -> Option<String> {
    let limits = limits_of(row, &reviewed(spoilt, made));
    let review = match row.inside {
        Inside::Change(_, change) => {
            let mut inside = base.clone();
            change(&mut inside);
            reviewed(&inside, &forecast(&inside))
        }
        // The limit alone changes, and a forecast does not go by it.
        at => {
            let mut inside = spoilt.clone();
            let Some((id, worst, was)) = limits.first() else {
                return Some("has no limit of its own".to_owned());
            };
            match at {
                Inside::AtItsRecord(set) => set(&mut inside, *worst, *was),
                _ => inside.limit(id).value = *worst,
            }
            if id == "backbone-out-least" {
                inside.limit("backbone-out-wanted").value = *worst;
            }
            reviewed(&inside, made)
        }
    };
    let lacks: Vec<_> = review
        .missing
        .iter()
        .filter(|m| m.check == row.check)
        .collect();
    if of_forecast(&review).contains(row.check) {
        return Some(format!("trips just inside, {limits:?}"));
    }
    (!lacks.is_empty()).then(|| format!("is not judged just inside: {lacks:?}"))
}

/// Why the check is judged without its datum.
fn wrong_missing(row: &Row, base: &Case) -> Option<String> {
    let (words, lacks, change) = row.missing?;
    let mut without = base.clone();
    change(&mut without);
    let review = reviewed(&without, &forecast(&without));
    let said = review.missing.iter().filter(|m| m.check == row.check);
    let said: Vec<&str> = said.map(|m| m.what.as_str()).collect();
    let silent = !said.iter().any(|what| what.contains(lacks));
    let found = of_forecast(&review).contains(row.check);
    (silent || found).then(|| format!("{words}: says {said:?}, found {found}"))
}

#[test]
fn each_change_trips_its_check_and_no_other_that_needs_a_forecast() {
    let mut wrong = Vec::new();
    println!("check | weight | change | comes with | just inside | without datum");
    for base in [argon as fn() -> Case, hydrogen] {
        let case = base();
        let clean = reviewed(&case, &forecast(&case));
        let before = of_forecast(&clean);
        if !before.is_empty() {
            wrong.push(format!("the clean load: {before:?}"));
        }
        for row in ROWS.iter().filter(|r| std::ptr::fn_addr_eq(r.base, base)) {
            let mut spoilt = case.clone();
            (row.spoil)(&mut spoilt);
            let made = forecast(&spoilt);
            let inside = match row.inside {
                Inside::Change(words, _) => words,
                _ => "the limit where it comes to",
            };
            let missing = row.missing.map_or("-", |(words, ..)| words);
            println!(
                "{} | {:?} | {} | {:?} | {inside} | {missing}",
                row.check, row.weight, row.words, row.with
            );
            let mut of = wrong_trip(row, &spoilt, &made);
            of.extend(wrong_inside(row, &case, (&spoilt, &made)));
            of.extend(wrong_missing(row, &case));
            wrong.extend(of.into_iter().map(|w| format!("{}: {w}", row.check)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_check_that_needs_a_forecast_has_a_row() {
    let rows: BTreeSet<&str> = ROWS.iter().map(|r| r.check).collect();
    assert_eq!(rows, needs_forecast());
    let without: Vec<&str> = ROWS
        .iter()
        .filter(|r| r.missing.is_none())
        .map(|r| r.check)
        .collect();
    assert!(without.is_empty(), "{without:?} lack nothing");
}

#[test]
fn without_a_forecast_nothing_of_it_passes() {
    let mut case = argon();
    assert_eq!(case.review().unforecast.len(), needs_forecast().len());
    // A part without a section: there is no forecast, and each check says so.
    case.plan.load.stacks.clear();
    let made = forecast(&case);
    assert!(made.is_err());
    let review = reviewed(&case, &made);
    let said: BTreeSet<&str> = review
        .missing
        .iter()
        .filter(|m| m.what.starts_with("a forecast"))
        .map(|m| m.check)
        .collect();
    assert_eq!(said, needs_forecast());
    assert!(of_forecast(&review).is_empty());
}

/// What a check lacks once the load is changed so.
fn lacks(slug: &str, base: fn() -> Case, what: &str, change: fn(&mut Case)) {
    let mut case = base();
    change(&mut case);
    let review = reviewed(&case, &forecast(&case));
    let said: Vec<&str> = review
        .missing
        .iter()
        .filter(|m| m.check == slug)
        .map(|m| m.what.as_str())
        .collect();
    assert!(said.iter().any(|s| s.contains(what)), "{slug}: {said:?}");
}

#[test]
fn what_a_check_lacks_is_said() {
    for slug in [
        "density-low",
        "density-uncertain",
        "size-outside-tolerance",
        "spot-size-error",
    ] {
        lacks(slug, argon, "densifies", |c| {
            c.feedstock().densifying = None
        });
    }
    for slug in [
        "pores-not-open",
        "core-pressure-high",
        "offgas-over-sweep",
        "pump-floor-with-vapour",
        "trap-catch-predicted",
    ] {
        lacks(slug, argon, "the record of the bath", |c| {
            for lot in &mut c.plan.lots {
                let lot = Arc::make_mut(lot);
                (lot.green_g, lot.bath) = (None, None);
            }
        });
    }
    lacks("plate-creep-bow", argon, "creep", |c| {
        material(c).creep = None
    });
    lacks("evaporation-loss", argon, "evaporate", |c| {
        elements(c, Vec::new())
    });
    lacks("carbon-near-range", argon, "reducible oxygen", |c| {
        c.feedstock().reducible_oxygen_pct = None;
    });
    lacks("reduction-gas-limited", hydrogen, "reducible oxygen", |c| {
        c.feedstock().reducible_oxygen_pct = None;
    });
    lacks("reduction-gas-limited", hydrogen, "dew point", |c| {
        for gas in &mut c.state().gases {
            gas.dew_point_c = None;
        }
    });
    lacks("trap-catch-predicted", argon, "trap", |c| {
        c.state().trap_fill_g = None
    });
    // Beyond the survey there is neither a cold nor a hot case; the nominal one is judged.
    for slug in [
        "coldest-spot-not-in-band",
        "hot-spot-over-range",
        "load-hot-at-unload",
        "debind-hold-short",
    ] {
        lacks(slug, argon, "cold and the hot case", |c| {
            c.state().survey = None;
            c.state().spread_k = None;
        });
    }
}

#[test]
fn a_limit_that_nobody_set_is_said() {
    let case = argon();
    let made = forecast(&case);
    let hydrogen = hydrogen();
    let in_hydrogen = forecast(&hydrogen);
    for check in all_checks().filter(|c| c.needs == Needs::Forecast) {
        for id in check.limits {
            let wet = ["reduction-share-min", "dew-point-furnace-max"].contains(id);
            let (base, made) = if wet {
                (&hydrogen, &in_hydrogen)
            } else {
                (&case, &made)
            };
            // Asked only in the other kind of zone, or only of nitrogen.
            if ["unload-max-molybdenum", "nitrogen-time-max"].contains(id) {
                continue;
            }
            let mut without = base.clone();
            without.catalogue_mut().limits.retain(|l| l.id != *id);
            let review = reviewed(&without, made);
            let named = format!("the limit {id}");
            let said = review
                .missing
                .iter()
                .any(|m| m.check == check.slug && m.what == named);
            assert!(said, "{} without {id}", check.slug);
        }
    }
}

#[test]
fn a_note_does_not_change_a_forecast_and_a_hold_does() {
    let mut case = argon();
    let before = forecast(&case).unwrap();
    case.plan.note = "another note".to_owned();
    assert_eq!(forecast(&case).unwrap(), before);
    hold(&mut case, 2, 91.0);
    assert_ne!(forecast(&case).unwrap(), before);
}
