//! The forecast of the demo loads, and `setterwright forecast` as a user meets it.

use crate::cli::{demo, json, run};
use serde_json::Value;
use setterwright::files;
use setterwright::forecast::plan::{Asked, InCases, PlanForecast, Prepared, Report, prepare};
use setterwright::forecast::whole::{forecast, printed_min};
use setterwright::load::{Sizes, tally};
use std::path::Path;
use std::sync::Arc;

const DEMOS: [&str; 4] = ["clean", "cautions", "stop", "large"];

fn with<T>(name: &str, then: impl FnOnce(&Asked) -> T) -> T {
    let file = demo(&format!("{name}.load.ron"));
    let (plan, working) = files::open_load(Path::new(&file), None).unwrap();
    let sizes = Sizes::new(&plan, &working.catalogue);
    then(&Asked {
        plan: &plan,
        catalogue: &working.catalogue,
        shop: working.shop.as_deref(),
        sizes: &sizes,
    })
}

fn made(asked: &Asked, prepared: Prepared) -> PlanForecast {
    let forecast = forecast(&prepared.inputs, true, &|| false).unwrap();
    PlanForecast::new(asked, prepared, forecast)
}

/// What is printed of a forecast, as the command line rounds it.
fn printed(told: &Report) -> Vec<String> {
    fn of<T>(x: &InCases<T>, show: impl Fn(&T) -> String) -> String {
        let side = |s: &Option<T>| s.as_ref().map_or(String::new(), &show);
        format!("{} {} {}", show(&x.nominal), side(&x.cold), side(&x.hot))
    }
    let min = |m: &f64| printed_min(m * 60.0).to_string();
    let some = |m: &Option<f64>| m.as_ref().map_or(String::new(), min);
    let pct = |x: f64| format!("{:.1}", 100.0 * x);
    let mut out = Vec::new();
    for h in &told.holds {
        let arrival = of(&h.arrival_min, some);
        out.push(format!(
            "{arrival} {} {:.0}",
            of(&h.gets_min, min),
            h.short_k
        ));
    }
    for k in &told.kinds {
        let density = |d: &Option<(f64, f64)>| {
            d.map_or(String::new(), |d| format!("{} {}", pct(d.0), pct(d.1)))
        };
        let left = of(&k.left, |l| l.map_or(String::new(), pct));
        out.push(format!("{left} {}", of(&k.density, density)));
    }
    out.push(of(&told.unload.load_min, some));
    out.push(of(&told.unload.chamber_min, some));
    out
}

#[test]
fn every_demo_load_has_a_forecast_whose_energy_closes() {
    for name in DEMOS {
        with(name, |asked| {
            let made = made(asked, prepare(asked).unwrap());
            assert!(made.prepared.no_cases.is_none(), "{name}");
            assert_eq!(made.by_case().count(), 3);
            for (word, case) in made.by_case() {
                let gap = case.run.energy.gap;
                assert!(gap.abs() < 1e-3, "{name} {word}: {gap}");
                assert!(case.run.load_unload_s >= case.run.chamber_unload_s);
            }
            let load = &made.prepared.inputs.load;
            let levels = load.stacks.iter().flat_map(|s| {
                let area = s.shape.area_m2();
                s.levels.iter().map(move |l| (area, l))
            });
            let kg: f64 = levels
                .map(|(area, l)| {
                    let plate = area * l.thickness_m * load.setters[l.setter].density_kg_m3;
                    plate + l.parts.iter().map(|p| p.mass_kg).sum::<f64>()
                })
                .sum();
            let sums = tally(asked.plan, asked.catalogue, None, asked.sizes).whole;
            assert!(
                (kg * 1e3 / sums.total_g() - 1.0).abs() < 1e-9,
                "{name}: {kg} kg"
            );
        });
    }
}

#[test]
fn half_the_tolerance_moves_no_printed_digit() {
    for name in DEMOS {
        with(name, |asked| {
            let told = |finer: f64| {
                let mut prepared = prepare(asked).unwrap();
                prepared.inputs.settings.rtol *= finer;
                prepared.inputs.settings.atol_k *= finer;
                printed(&made(asked, prepared).report)
            };
            assert_eq!(told(1.0), told(0.5), "{name}");
        });
    }
}

#[test]
fn the_summary_names_holds_parts_and_unloading() {
    let ran = run(&["forecast", &demo("clean.load.ron")]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    for words in [
        "gets = from when the coldest place is within 5 K of the setpoint to the end of the hold",
        "segment 3, 450 °C: clock 90, lasts 1",
        " with waits, coldest place gets ",
        "within its sinter range, needs 60 by the feedstock of bracket, lot B-4711; ",
        "at least 95 % is asked: 2.4 % to spare in the cold case",
        "the curve is flat here: a place 10 K colder would show 0.",
        "drawn 45.00 x 30.00 x 15.00 mm ± 0.5 %: at worst 0.",
        " mm inside in the cold case",
        "assumed of its own figures: ",
        " of real time, waits counted; by its own clock 34.2 h",
        " pass it, on to the pump or the flame",
        "most of it after ",
        "gas stays there for ",
        "exhaust: up to ",
        "burn it at a proven flame, or dilute it outside",
        "No stop and no caution found among ",
        "bracket, lot B-4711: 60 pieces",
        "the whole load from",
        "the trap catches",
        "figures used are assumed",
        "never permission to open",
    ] {
        assert!(ran.out.contains(words), "{words}\n{}", ran.out);
    }
    assert!(ran.out.contains("density 9"), "{}", ran.out);
    // Of 17-4PH nobody published how it densifies.
    let ran = run(&["forecast", &demo("large.load.ron")]);
    assert_eq!(ran.code, 0);
    assert!(
        ran.out.contains("Density and size not evaluated"),
        "{}",
        ran.out
    );
    assert!(!ran.out.contains("NaN"), "{}", ran.out);
    // Hydrogen in the exhaust is told as a flow, and never as a percentage of what it may be in air.
    assert!(ran.out.contains(" L/min of hydrogen"), "{}", ran.out);
    assert!(
        ran.out.contains("In the review of this load ") && ran.out.contains("Thick section"),
        "{}",
        ran.out
    );
}

/// A peak far too low: the density is told beside its limit, and the caution by its name.
#[test]
fn a_ruined_run_says_so_in_its_text() {
    let dir = tempfile::tempdir().unwrap();
    let path = Path::new(&demo("clean.load.ron")).to_owned();
    let (mut plan, working) = files::open_load(&path, None).unwrap();
    let segments = &mut Arc::make_mut(&mut plan.profile).segments;
    let peak = segments.iter_mut().max_by(|a, b| a.to_c.total_cmp(&b.to_c));
    peak.unwrap().to_c = 1200.0;
    let low = dir.path().join("low.load.ron");
    files::save_load(&low, &plan, &working).unwrap();
    let ran = run(&["forecast", &low.display().to_string()]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for words in [
        "% too little in the cold case",
        "Density low",
        " mm outside in the cold case",
    ] {
        assert!(ran.out.contains(words), "{words}\n{}", ran.out);
    }
    assert!(!ran.out.contains("the curve is flat here"), "{}", ran.out);
}

#[test]
fn the_table_has_its_columns_and_no_hole() {
    let ran = run(&["forecast", "--csv", &demo("clean.load.ron")]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let mut reader = csv::Reader::from_reader(ran.out.as_bytes());
    let head = reader.headers().unwrap().clone();
    for column in [
        "time_s",
        "setpoint_c",
        "chamber_c",
        "level_1_coldest_c",
        "level_4_hottest_c",
        "binder_left",
        "offgas_l_min_25c",
        "sweep_l_min_25c",
        "density_least",
    ] {
        assert!(head.iter().any(|h| h == column), "{column} in {head:?}");
    }
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert!(rows.len() > 100);
    let mut last = -1.0;
    let mut over = false;
    for row in &rows {
        // There is no setpoint once the program is over.
        over |= row[1].is_empty();
        assert_eq!(row[1].is_empty(), over, "{row:?}");
        let values = row.iter().enumerate();
        let values = values.filter(|(i, _)| *i != 1 || !over);
        let values: Vec<f64> = values.map(|(_, v)| v.parse().unwrap()).collect();
        assert!(values.iter().all(|v| v.is_finite()), "{row:?}");
        assert!(values[0] >= last);
        last = values[0];
    }
    assert!(over);
}

#[test]
fn json_lists_each_figure_with_its_standing() {
    let ran = run(&["forecast", "--json", &demo("clean.load.ron")]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let all = json(&ran);
    assert_eq!(all["schema"], "setterwright.forecast");
    let constants = all["constants"].as_array().unwrap();
    assert_eq!(
        constants.len() as u64,
        all["figures_used"].as_u64().unwrap()
    );
    let assumed = constants
        .iter()
        .filter(|c| c["standing"] == "assumed")
        .count();
    assert_eq!(assumed as u64, all["figures_assumed"].as_u64().unwrap());
    assert!(
        constants
            .iter()
            .all(|c| c["value"].is_number() && c["source"] != "")
    );
    let of = |record: &str, name: &str| {
        let found = constants
            .iter()
            .find(|c| c["record"] == record && c["name"] == name);
        found.unwrap_or_else(|| panic!("{record} {name}"))["standing"].clone()
    };
    assert_eq!(of("material alumina-995", "emissivity"), "assumed");
    assert_eq!(of("alloy 316l", "cp_j_kgk at 290 K"), "published");
    let samples = all["cases"]["nominal"]["time_s"].as_array().unwrap().len();
    for case in ["nominal", "cold", "hot"] {
        assert!(
            all["cases"][case]["levels"]
                .as_array()
                .is_some_and(|l| l.len() == 4),
            "{case}"
        );
    }
    for name in ["setpoint_c", "chamber_c", "segment", "offgas_l_min_25c"] {
        assert_eq!(
            all["cases"]["nominal"][name].as_array().unwrap().len(),
            samples,
            "{name}"
        );
    }
}

#[test]
fn what_cannot_be_forecast_is_one_sentence() {
    let dir = tempfile::tempdir().unwrap();
    let text = std::fs::read_to_string(demo("clean.load.ron")).unwrap();
    let file = dir.path().join("other.load.ron");
    std::fs::write(
        &file,
        text.replacen("small-vacuum-box", "no-such-furnace", 1),
    )
    .unwrap();
    let ran = run(&["forecast", &file.display().to_string()]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("no-such-furnace"), "{}", ran.err);
}

#[test]
fn how_parts_enter_is_said() {
    use setterwright::load::Lot;
    use setterwright::part::MassState;
    use std::sync::Arc;
    let dir = tempfile::tempdir().unwrap();
    let (plan, working) = files::open_load(Path::new(&demo("clean.load.ron")), None).unwrap();
    let said = |change: &dyn Fn(&mut Lot)| {
        let mut plan = plan.clone();
        plan.lots
            .iter_mut()
            .for_each(|lot| change(Arc::make_mut(lot)));
        let file = dir.path().join("lots.load.ron");
        files::save_load(&file, &plan, &working).unwrap();
        let ran = run(&["forecast", &file.display().to_string()]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        ran.out
    };
    let out = said(&|_| {});
    for words in [
        "93 %, weighed",
        "in the middle",
        "h until 90 % is out in the mean",
    ] {
        assert!(out.contains(words), "{words}: {out}");
    }
    let out = said(&|lot| lot.dry_g = None);
    assert!(
        out.contains("predicted from the record of the bath"),
        "{out}"
    );
    let out = said(&|lot| (lot.dry_g, lot.bath) = (None, None));
    let assumed = "90 %, assumed: neither weighed nor a bath on record";
    assert!(out.contains(assumed), "{out}");
    let out = said(&|lot| lot.enters = MassState::Presintered);
    assert!(out.contains("density begins at 60 %"), "{out}");
}

/// A hold that is too short says when the place would arrive, in every case.
#[test]
fn a_prolonged_arrival_has_its_spread() {
    let dir = tempfile::tempdir().unwrap();
    let at = |name: &str| dir.path().join(name).display().to_string();
    let script = "change-segment segment=3 hold=5min wait=none\n";
    std::fs::write(at("short.script"), script).unwrap();
    let (file, script) = (at("short.load.ron"), at("short.script"));
    let from = demo("clean.load.ron");
    run(&["edit", &from, "--script", &script, "--output", &file]);
    let out = run(&["forecast", &file]).out;
    let line = out.lines().find(|l| l.contains("if prolonged")).unwrap();
    assert!(line.contains('[') && line.contains(" to "), "{line}");
}

/// An independent program computed burnout and density again from the printed temperatures: of the
/// demo loads, and of one with a hold so short that binder is left at its end.
#[test]
fn burnout_and_density_follow_from_the_printed_temperatures() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let file = root.join("tests/reference/forecast/recomputed.json");
    let text = std::fs::read_to_string(file).unwrap();
    let wanted: Value = serde_json::from_str(&text).unwrap();
    let dir = tempfile::tempdir().unwrap();
    let at = |name: &str| dir.path().join(name).display().to_string();
    let (mut shares, mut densities, mut left) = (0, 0, 0);
    for load in wanted["loads"].as_array().unwrap() {
        let name = load["load"].as_str().unwrap();
        let script = load["script"].as_str().unwrap();
        let mut file = demo(name);
        if !script.is_empty() {
            let changed = at("changed.load.ron");
            std::fs::write(at("change.script"), script).unwrap();
            let ran = run(&[
                "edit",
                &file,
                "--script",
                &at("change.script"),
                "--output",
                &changed,
                "--overwrite",
            ]);
            assert_eq!(ran.code, 0, "{}", ran.err);
            file = changed;
        }
        let all = json(&run(&["forecast", "--json", &file]));
        for row in load["places"].as_array().unwrap() {
            let place = &all["cases"][row["case"].as_str().unwrap()]["kinds"]
                [row["kind"].as_u64().unwrap() as usize]["places"]
                [row["place"].as_u64().unwrap() as usize];
            let ends = place["at_ends"].as_array().unwrap();
            for (c, component) in row["left_at_ends"].as_array().unwrap().iter().enumerate() {
                let component = component.as_array().unwrap();
                assert_eq!(component.len(), ends.len());
                for (again, end) in component.iter().zip(ends) {
                    let again = again.as_f64().unwrap();
                    let ours = end["left"][c].as_f64().unwrap();
                    assert!(
                        (again - ours).abs() < 1e-3,
                        "{name} {script} {again} {ours}"
                    );
                    shares += usize::from(again > 0.001 && again < 0.999);
                }
                let last = component.last().unwrap().as_f64().unwrap();
                let after = place["left"][c].as_f64().unwrap();
                assert!(after <= last + 1e-3);
                left += usize::from(!script.is_empty() && component[5].as_f64() > Some(0.02));
            }
            if let (Some(again), Some(ours)) = (row["density"].as_f64(), place["density"].as_f64())
            {
                assert!((again - ours).abs() < 1e-4, "{name} {row}: {ours}");
                densities += 1;
            }
        }
    }
    assert!(
        shares > 50 && densities > 20 && left > 3,
        "{shares} {densities} {left}"
    );
}

/// Every figure that a record may have for the forecast, in a file and back.
#[test]
fn records_with_all_figures_survive_a_file() {
    use setterwright::catalogue::{CreepLaw, DensifyingBranch, Element, FirstStep, UpperBranch};
    use std::sync::Arc;
    let (mut plan, _) = files::open_load(Path::new(&demo("clean.load.ron")), None).unwrap();
    let used = Arc::make_mut(&mut plan.records_used);
    let catalogue = &mut used.catalogue;
    for (_, alloy) in catalogue.alloys.values_mut() {
        Arc::make_mut(alloy).elements.push(Element {
            symbol: "Cu".to_owned(),
            mole_fraction: 0.03,
            activity: 0.25,
        });
    }
    for (_, feedstock) in catalogue.feedstocks.values_mut() {
        let data = Arc::make_mut(feedstock).densifying.as_mut().unwrap();
        data.start_density = Some(0.61);
        data.upper = Some(UpperBranch {
            from_c: 1200.0,
            branch: DensifyingBranch {
                kj_mol: 500.0,
                a: -40.5,
                b: 1.5,
            },
        });
    }
    for (_, material) in catalogue.materials.values_mut() {
        Arc::make_mut(material).creep = Some(CreepLaw {
            rate_per_s: 1e-6,
            stress_mpa: 100.0,
            at_c: 1300.0,
            grain_um: 10.0,
            exponent: 1.1,
            kj_mol: 320.0,
            grain_exponent: 2.0,
        });
    }
    for (_, furnace) in catalogue.furnaces.values_mut() {
        let heat = &mut Arc::make_mut(furnace).heat;
        heat.insulation_kj_k = Some(3.5);
        heat.power_by_c_kw = vec![(20.0, 20.0), (1400.0, 25.0)];
    }
    for (_, binder) in catalogue.binders.values_mut() {
        if let FirstStep::Solvent {
            solvent_molar_g_mol,
            ..
        } = &mut Arc::make_mut(binder).first_step
        {
            *solvent_molar_g_mol = Some(86.2);
        }
    }
    let prices = used.shop.as_mut().unwrap().prices.as_mut().unwrap();
    prices.furniture_run = Some(12.5);
    let text = files::canonical(&plan).unwrap();
    for field in [
        "upper:",
        "power_by_c_kw:",
        "grain_exponent:",
        "furniture_run: 12.5",
    ] {
        assert!(text.contains(field), "{field}");
    }
    let read = files::decode_load("all.load.ron", text.as_bytes()).unwrap();
    assert_eq!(read.records_used.catalogue, plan.records_used.catalogue);
    assert_eq!(read.records_used.shop, plan.records_used.shop);
    assert_eq!(files::canonical(&read).unwrap(), text);
}
