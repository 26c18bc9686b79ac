//! Checks that need a forecast: one small change to a clean demo load for each of them, the check
//! that must trip and the others of its kind that come with it; just inside the limit it passes; and
//! what is missing is said. What the numbers should be is held in `stories.rs`.

use crate::fixture::Case;
use crate::mutation_table::bases;
use setterwright::catalogue::{
    CreepLaw, DensifyingBranch, DensifyingData, Element, Material, Severity,
};
use setterwright::forecast::plan::{Asked, NoForecast, PlanForecast, of};
use setterwright::load::Sizes;
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

struct Row {
    check: &'static str,
    base: fn() -> Case,
    words: &'static str,
    spoil: fn(&mut Case),
    with: &'static [&'static str],
}

const fn row(check: &'static str, words: &'static str, spoil: fn(&mut Case)) -> Row {
    Row {
        check,
        base: argon,
        words,
        spoil,
        with: &[],
    }
}

impl Row {
    const fn with(self, with: &'static [&'static str]) -> Row {
        Row { with, ..self }
    }

    const fn on(self, base: fn() -> Case) -> Row {
        Row { base, ..self }
    }
}

pub fn hold(case: &mut Case, index: usize, min: f64) {
    case.profile().segments[index].hold_min = min;
}

const ROWS: &[Row] = &[
    row(
        "pores-not-open",
        "19 parts of powder to one of binder",
        |c| {
            c.feedstock().loading = 0.95;
        },
    ),
    row("core-pressure-high", "a powder of half a micrometre", |c| {
        c.feedstock().powder_um = Some(0.3);
    }),
    row(
        "debind-hold-short",
        "the backbone hold cut to 35 min",
        |c| {
            hold(c, 2, 35.0);
            c.profile().segments[2].wait_on = None;
        },
    )
    .with(&["coldest-spot-not-in-band"]),
    row(
        "debind-hold-far-short",
        "the backbone hold cut to 2 min",
        |c| {
            hold(c, 2, 2.0);
            c.profile().segments[2].wait_on = None;
        },
    )
    .with(&["coldest-spot-not-in-band"]),
    row("offgas-over-sweep", "a tenth of the sweep", |c| {
        for segment in &mut c.profile().segments[1..4] {
            segment.flow_l_min_25c = 1.0;
        }
    }),
    row(
        "pump-floor-with-vapour",
        "6.2 mbar, which holds the sweep alone",
        |c| {
            for segment in &mut c.profile().segments[1..4] {
                segment.pressure_mbar = Some(6.2);
            }
        },
    ),
    row("trap-catch-predicted", "a trap three quarters full", |c| {
        c.state().trap_fill_g = Some(300.0);
    }),
    row(
        "coldest-spot-not-in-band",
        "the hold at 280 °C cut to half an hour",
        |c| {
            hold(c, 1, 30.0);
        },
    ),
    row(
        "band-never-reached",
        "a longest wait of five minutes",
        |c| {
            let wait = c.profile().segments[2].wait_on.as_mut().unwrap();
            wait.timeout_min = Some(5.0);
        },
    ),
    row("wait-too-long", "a band of 1 K", |c| {
        let wait = c.profile().segments[2].wait_on.as_mut().unwrap();
        wait.band_k = 1.0;
    })
    .with(&["run-longer-than-planned"]),
    row("ramp-beyond-power", "a furnace of 4 kW", |c| {
        c.furnace().power_kw = 4.0;
        c.furnace().heat.power_by_c_kw = Vec::new();
    })
    .with(&[
        "band-never-reached",
        "coldest-spot-not-in-band",
        "run-longer-than-planned",
        "sinter-hold-short-at-coldest",
        "wait-too-long",
    ]),
    row(
        "sinter-hold-short-at-coldest",
        "a sinter hold of half an hour by the clock",
        |c| {
            hold(c, 5, 30.0);
            c.profile().segments[5].wait_on = None;
        },
    ),
    row(
        "hot-spot-over-range",
        "a range that ends at the peak",
        |c| {
            c.feedstock().sinter.to_c = 1345.0;
        },
    ),
    row("density-low", "a powder that stays at 94 %", |c| {
        let data = densifying(c);
        (data.end_density_open, data.end_density_gas_filled) = (0.94, 0.94);
        c.feedstock().oversize_density = 0.94;
    }),
    row(
        "density-uncertain",
        "a curve on its slope at the peak",
        |c| {
            c.limit("density-spread-max").value = 1e-6;
        },
    ),
    row("size-outside-tolerance", "a lot that shrinks more", |c| {
        for lot in &mut c.plan.lots {
            Arc::make_mut(lot).oversize = Some([1.1900; 3]);
        }
    }),
    row("spot-size-error", "no difference of size allowed", |c| {
        c.limit("size-spread-max").value = 0.0;
    }),
    row(
        "plate-creep-bow",
        "alumina that creeps a hundred times as fast",
        |c| {
            material(c).creep.as_mut().unwrap().rate_per_s *= 100.0;
        },
    ),
    row(
        "plate-may-crack",
        "alumina of a fiftieth of its strength",
        |c| {
            for (_, mpa) in &mut material(c).strength_mpa {
                *mpa /= 50.0;
            }
        },
    ),
    row("reduction-gas-limited", "a hundred times the oxygen", |c| {
        c.feedstock().reducible_oxygen_pct = Some(0.5);
    })
    .on(hydrogen)
    .with(&["carbon-near-range", "furnace-dew-point"]),
    row("furnace-dew-point", "supply read at -30 °C", |c| {
        for gas in &mut c.state().gases {
            gas.dew_point_c = Some(-30.0);
        }
    })
    .on(hydrogen),
    row("evaporation-loss", "vacuum at the peak", |c| {
        let segment = &mut c.profile().segments[5];
        (segment.gas, segment.flow_l_min_25c) = (None, 0.0);
        segment.pressure_mbar = Some(0.01);
    }),
    row("carbon-near-range", "powder with 0.028 % of carbon", |c| {
        c.feedstock().powder_carbon_pct = 0.028;
    }),
    row("nitrogen-taken-up", "nitrogen while it cools", |c| {
        let segment = &mut c.profile().segments[6];
        segment.gas = Some("nitrogen".to_owned());
    }),
    row("load-hot-at-unload", "no hold before the door", |c| {
        hold(c, 7, 0.0);
    }),
    row(
        "run-longer-than-planned",
        "a minute over the program allowed",
        |c| {
            c.limit("run-over-plan-max").value = 1.0;
        },
    ),
];

/// Findings of checks that need a forecast.
fn of_forecast(review: &Review) -> BTreeSet<&'static str> {
    let needs = needs_forecast();
    let found = review.findings.iter().filter(|f| needs.contains(f.check));
    found
        .filter(|f| {
            f.severity > Severity::Note
                || f.check == "density-uncertain"
                || f.check == "run-longer-than-planned"
        })
        .map(|f| f.check)
        .collect()
}

#[test]
fn each_change_trips_its_check_and_no_other_that_needs_a_forecast() {
    let mut wrong = Vec::new();
    println!("check | change | comes with");
    for base in [argon as fn() -> Case, hydrogen] {
        let case = base();
        let clean = reviewed(&case, &forecast(&case));
        let before = of_forecast(&clean);
        if !before.is_empty() {
            wrong.push(format!("the clean load: {before:?}"));
        }
        for row in ROWS.iter().filter(|r| std::ptr::fn_addr_eq(r.base, base)) {
            let mut case = case.clone();
            (row.spoil)(&mut case);
            let made = forecast(&case);
            let review = reviewed(&case, &made);
            let mut found = of_forecast(&review);
            println!("{} | {} | {:?}", row.check, row.words, row.with);
            if !found.remove(row.check) {
                let missing: Vec<_> = review
                    .missing
                    .iter()
                    .filter(|m| m.check == row.check)
                    .collect();
                wrong.push(format!(
                    "{} does not trip; {missing:?}; {:?}",
                    row.check,
                    made.as_ref().err()
                ));
            }
            let with: BTreeSet<&str> = row.with.iter().copied().collect();
            if found != with {
                wrong.push(format!("{} comes with {found:?}", row.check));
            }
            for f in review.findings.iter().filter(|f| f.check == row.check) {
                let sentence = fill(prose(row.check).unwrap().sentence, &f.args);
                if sentence.contains(['{', '}']) {
                    wrong.push(format!("{}: {sentence}", row.check));
                }
            }
            // Just inside the limit it passes: the worst of it becomes the limit.
            let own = |f: &&setterwright::review::Finding| f.check == row.check;
            let limited = review.findings.iter().filter(own).filter_map(|f| {
                let (measured, limit) = (f.measured?, f.limit.as_ref()?);
                let listed = case.catalogue.limits.iter().any(|l| l.id == limit.id);
                listed.then(|| (limit.id.clone(), measured.value, limit.value))
            });
            let limited: Vec<_> = limited.collect();
            if let Some((id, _, was)) = limited.first().cloned() {
                let less = limited.iter().all(|(_, v, _)| *v < was);
                let worst = limited
                    .iter()
                    .map(|(_, v, _)| *v)
                    .reduce(|a, b| if less { a.min(b) } else { a.max(b) })
                    .unwrap();
                let mut inside = case.clone();
                inside.limit(&id).value = worst;
                if id == "backbone-out-least" {
                    inside.limit("backbone-out-wanted").value = worst;
                }
                if of_forecast(&reviewed(&inside, &made)).contains(row.check) {
                    wrong.push(format!("{} trips at its limit {worst}", row.check));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_check_that_needs_a_forecast_has_a_row() {
    let rows: BTreeSet<&str> = ROWS.iter().map(|r| r.check).collect();
    assert_eq!(rows, needs_forecast());
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
