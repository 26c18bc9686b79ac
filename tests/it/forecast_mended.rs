//! What a forecast and the questions beyond it once told as if it were known.

use crate::cli::{demo, json, run};
use serde_json::Value;
use setterwright::catalogue::Catalogue;
use setterwright::files;
use setterwright::load::Plan;
use std::fmt::Write;
use std::path::Path;
use std::sync::Arc;

/// The clean load with another change, as a file.
fn changed(dir: &Path, name: &str, change: impl FnOnce(&mut Plan)) -> String {
    let (mut plan, _) = files::open_load(Path::new(&demo("clean.load.ron")), None).unwrap();
    change(&mut plan);
    let path = dir.join(name);
    std::fs::write(&path, files::canonical(&plan).unwrap()).unwrap();
    path.display().to_string()
}

fn records(plan: &mut Plan) -> &mut Catalogue {
    &mut Arc::make_mut(&mut plan.records_used).catalogue
}

/// Nobody knows how its polypropylene burns out.
fn without_kinetics(plan: &mut Plan) {
    for (_, record) in records(plan).binders.values_mut() {
        let components = &mut Arc::make_mut(record).components;
        for c in components.iter_mut().filter(|c| c.name == "polypropylene") {
            c.reactions.clear();
        }
    }
}

#[test]
fn what_rests_on_unknown_burnout_is_not_evaluated() {
    let dir = tempfile::tempdir().unwrap();
    let file = changed(dir.path(), "unknown.load.ron", without_kinetics);
    let ran = run(&["forecast", &file]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    for words in [
        "Binder left, off-gas, trap and exhaust not evaluated: that lacks how polypropylene",
        "binder left at the worst place not evaluated",
        "the trap catches not evaluated",
        "fuel in the exhaust: not evaluated",
        "what polypropylene needs of it is not evaluated",
    ] {
        assert!(ran.out.contains(words), "{words}: {}", ran.out);
    }
    let all = json(&run(&["forecast", &file, "--json"]));
    let result = &all["kinds"][0]["result"];
    for gone in [
        &result["binder_left"]["nominal"],
        &result["core_overpressure_kpa"]["nominal"],
        &result["pores_not_open"]["nominal"],
        &all["run"]["trap_caught_g"]["nominal"],
        &all["run"]["offgas_most_l_min_25c"]["cold"],
        &all["run"]["exhaust"],
        &all["cases"]["nominal"]["kinds"][0]["binder_left"][5],
    ] {
        assert!(gone.is_null(), "{gone}");
    }
    assert!(!all["not_evaluated"].as_array().unwrap().is_empty());
    assert!(!result["density"]["nominal"].is_null());
    let stopped = run(&["forecast", &file, "--stopped-at", "900"]);
    assert!(
        stopped
            .out
            .contains("polypropylene: not evaluated of what entered")
    );
    // Each check that rests on it is counted.
    let reviewed = json(&run(&["review", &file, "--json"]));
    let open: Vec<&str> = reviewed["not_evaluated"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|m| m["check"].as_str())
        .collect();
    for check in [
        "pores-not-open",
        "core-pressure-high",
        "debind-hold-short",
        "offgas-over-sweep",
        "pump-floor-with-vapour",
        "trap-catch-predicted",
        "carbon-near-range",
    ] {
        assert!(open.contains(&check), "{check}: {open:?}");
    }
    // What nobody knows the needs of gets no shorter.
    let short = json(&run(&[
        "forecast",
        &file,
        "--shorten",
        "--segment",
        "3",
        "--json",
    ]));
    let row = &short["segments"][0];
    assert_eq!(row["hold_min"]["now"], row["hold_min"]["shortest"], "{row}");
    assert_eq!(
        row["ramp_k_min"]["now"], row["ramp_k_min"]["fastest"],
        "{row}"
    );
}

#[test]
fn a_stop_above_the_range_of_its_data_tells_no_density_on_any_way() {
    let dir = tempfile::tempdir().unwrap();
    let file = changed(dir.path(), "over.load.ron", |plan| {
        for (_, record) in records(plan).feedstocks.values_mut() {
            let densifying = &mut Arc::make_mut(record).densifying;
            densifying.iter_mut().for_each(|d| d.range_to_c = 1200.0);
        }
    });
    let end = json(&run(&["forecast", &file, "--json"]));
    let end = end["run"]["program_min"]["nominal"].as_f64().unwrap();
    let at = format!("{:.0}", end - 10.0);
    let all = json(&run(&[
        "forecast",
        &file,
        "--stopped-at",
        &at,
        "--pause",
        "60",
        "--json",
    ]));
    let nominal = &all["cases"][0];
    assert!(nominal["kinds"][0]["density"].is_null(), "{nominal}");
    for way in nominal["ways"].as_array().unwrap() {
        assert!(way["kinds"][0]["density"].is_null(), "{way}");
    }
    let ran = run(&["forecast", &file, "--stopped-at", &at]);
    assert!(
        ran.out.contains("density so far no prediction"),
        "{}",
        ran.out
    );
}

/// Densities that a load's forecast gives its brackets in the middle ring, with the load's name.
fn rows(file: &str, name: &str) -> String {
    let all = json(&run(&["forecast", file, "--json"]));
    let mut out = String::new();
    let places = |v: &Value| {
        v["cases"]["nominal"]["kinds"][0]["places"]
            .as_array()
            .cloned()
    };
    for p in places(&all).unwrap().iter().take(2) {
        let place = p["place"].as_str().unwrap();
        let number = |after: &str| -> String {
            let rest = place.split(after).nth(1).unwrap();
            rest.chars().take_while(char::is_ascii_digit).collect()
        };
        let density = 100.0 * p["density"].as_f64().unwrap();
        let (level, ring) = (number("level "), number("ring "));
        writeln!(out, "{name},B-4711,{level},{ring},{density:.4}").unwrap();
    }
    out
}

#[test]
fn a_calibration_fed_with_the_forecast_moves_nothing() {
    let dir = tempfile::tempdir().unwrap();
    let mut csv = "load,lot,level,ring,density_pct\n".to_owned();
    let mut first = String::new();
    // In argon that stays in the pores, in thin argon, and between.
    for (peak_c, mbar) in [
        (1345.0, 900.0),
        (1250.0, 900.0),
        (1200.0, 98.0),
        (1300.0, 98.0),
    ] {
        let name = format!("run{peak_c}.load.ron");
        let file = changed(dir.path(), &name, |plan| {
            let segments = &mut Arc::make_mut(&mut plan.profile).segments;
            let peak = segments.iter_mut().max_by(|a, b| a.to_c.total_cmp(&b.to_c));
            let peak = peak.unwrap();
            (peak.to_c, peak.pressure_mbar) = (peak_c, Some(mbar));
        });
        csv += &rows(&file, &name);
        if first.is_empty() {
            first = file;
        }
    }
    let pieces = dir.path().join("pieces.csv");
    std::fs::write(&pieces, csv).unwrap();
    let pieces = pieces.display().to_string();
    let all = json(&run(&[
        "forecast",
        &first,
        "--calibrate",
        &pieces,
        "--json",
    ]));
    let found = &all["feedstocks"][0];
    for figure in ["a", "b"] {
        let [from, to] = ["from", "to"].map(|at| found[at][figure].as_f64().unwrap());
        assert!((from - to).abs() < 0.005, "{found}");
    }
    assert!(
        found["rows_not_used"].as_array().unwrap().is_empty(),
        "{found}"
    );
}

#[test]
fn times_in_milliseconds_are_named() {
    let dir = tempfile::tempdir().unwrap();
    let mut csv = "time_s,temperature_c\n".to_owned();
    for n in 0..60 {
        writeln!(csv, "{},{}", 300_000 * n, 25 + 5 * n).unwrap();
    }
    let log = dir.path().join("ms.csv");
    std::fs::write(&log, csv).unwrap();
    let log = log.display().to_string();
    let ran = run(&["forecast", &demo("clean.load.ron"), "--log", &log]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("milliseconds"), "{}", ran.err);
}

/// A hold that waited two hours longer than planned: the segment that ran last is named.
#[test]
fn a_log_may_name_the_segment_that_ran_last() {
    let dir = tempfile::tempdir().unwrap();
    let file = demo("clean.load.ron");
    let all = json(&run(&["forecast", &file, "--json"]));
    let nominal = &all["cases"]["nominal"];
    let ends = nominal["phase_ends"].as_array().unwrap();
    let hold = ends
        .iter()
        .find(|e| e["segment"] == 3 && e["phase"] == "hold");
    let end_s = hold.unwrap()["time_s"].as_f64().unwrap();
    let mut csv = "time_s,temperature_c\n".to_owned();
    let rows = nominal["time_s"].as_array().unwrap().iter();
    let rows = rows.zip(nominal["chamber_c"].as_array().unwrap());
    let mut last = (-1.0, 25.0);
    for (t, c) in rows.map(|(t, c)| (t.as_f64().unwrap(), c.as_f64().unwrap())) {
        if t > last.0 && t < end_s {
            writeln!(csv, "{t},{c}").unwrap();
            last = (t, c);
        }
    }
    for n in 1..=12 {
        writeln!(csv, "{},{}", last.0 + 600.0 * f64::from(n), last.1).unwrap();
    }
    let log = dir.path().join("longer.csv");
    std::fs::write(&log, csv).unwrap();
    let log = log.display().to_string();
    let at = ["forecast", &file, "--log", &log, "--way", "go-on"];
    let of = |more: &[&str]| json(&run(&[&at[..], &["--json"], more].concat()));
    let (by_plan, named) = (of(&[]), of(&["--segment", "3"]));
    assert_eq!(
        (by_plan["segment"].as_u64() > Some(3), &named["segment"]),
        (true, &3.into())
    );
    let min = |v: &Value| v["cases"][0]["ways"][0]["program_min"].as_f64().unwrap();
    assert!(
        min(&named) > min(&by_plan) + 10.0,
        "{} {}",
        min(&named),
        min(&by_plan)
    );
    // The hold is over in each case, as where the program's clock says so.
    let clock = format!("{}", named["clock_min"].as_f64().unwrap());
    let by_clock = ["forecast", &file, "--stopped-at", &clock, "--by-clock"];
    let as_stopped = json(&run(
        &[&by_clock[..], &["--way", "go-on", "--json"]].concat()
    ));
    for case in 0..3 {
        let min = |v: &Value| v["cases"][case]["ways"][0]["program_min"].as_f64().unwrap();
        let (is, was) = (min(&named), min(&as_stopped));
        assert!((is - was).abs() < 12.0, "case {case}: {is} {was}");
    }
    // A furnace that failed ten minutes before falls away in its hold, and keeps what that had.
    let falls = (0..10).map(|n| {
        format!(
            "{},{}\n",
            end_s + 60.0 * f64::from(n),
            450.0 - 3.0 * f64::from(n)
        )
    });
    let fallen = std::fs::read_to_string(&log).unwrap();
    let until = fallen.lines().take_while(|line| {
        let time = line.split(',').next().and_then(|t| t.parse::<f64>().ok());
        time.is_none_or(|t| t < end_s)
    });
    let fallen: String = until.map(|line| format!("{line}\n")).chain(falls).collect();
    let path = dir.path().join("fallen.csv");
    std::fs::write(&path, fallen).unwrap();
    let path = path.display().to_string();
    let fell = [
        "forecast", &file, "--log", &path, "--way", "go-on", "--json",
    ];
    let fell = json(&run(&[&fell[..], &["--segment", "3"]].concat()));
    let told = ["forecast", &file, "--log", &path, "--segment", "3"];
    let told = run(&told);
    assert!(
        told.out.contains("within 5 K of its target"),
        "{}",
        told.out
    );
    let at = ["clock_min"].map(|key| (fell[key].as_f64().unwrap(), named[key].as_f64().unwrap()));
    assert!((at[0].0 - at[0].1).abs() < 5.0, "{at:?}");
    let at = ["forecast", &file, "--log", &log, "--way", "go-on"];
    let none = run(&[&at[..], &["--segment", "30"]].concat());
    assert_eq!(none.code, 2);
    assert!(none.err.contains("There is no segment 30"), "{}", none.err);
    let alone = run(&["forecast", &file, "--segment", "3"]);
    assert_eq!(alone.code, 2, "{}", alone.out);
}

/// A log of the chamber of the clean load as forecast, up to a minute, so many kelvin off.
fn as_forecast(dir: &Path, minutes: f64, off_k: f64) -> (String, f64) {
    let csv = run(&["forecast", &demo("clean.load.ron"), "--csv"]).out;
    let rows = csv.lines().skip(1).map(|line| {
        let mut fields = line.split(',');
        let mut next = || fields.next().unwrap();
        let (time, setpoint, chamber) = (next(), next(), next());
        let number = |text: &str| text.parse::<f64>().unwrap();
        (number(time), setpoint.is_empty(), number(chamber))
    });
    let rows: Vec<_> = rows.collect();
    let program = rows
        .iter()
        .filter(|r| !r.1)
        .map(|r| r.0)
        .fold(0.0, f64::max);
    let mut log = "time_s,temperature_c\n".to_owned();
    for row in rows.iter().take_while(|r| r.0 <= 60.0 * minutes) {
        writeln!(log, "{},{}", row.0, row.2 + off_k).unwrap();
    }
    let path = dir.join("as-forecast.csv");
    std::fs::write(&path, log).unwrap();
    (path.display().to_string(), program / 60.0)
}

/// Beside a log that shows a furnace that cools, the cold case does not go back to the hold that it would
/// still have had, and so come out the densest.
#[test]
fn a_log_ends_in_the_same_segment_in_each_case() {
    let dir = tempfile::tempdir().unwrap();
    let (log, ends) = as_forecast(dir.path(), 1180.0, 0.0);
    let file = demo("clean.load.ron");
    let told = json(&run(&["forecast", &file, "--log", &log, "--json"]));
    assert_eq!(told["segment"], 7);
    assert_eq!(told["log_doubts"].as_array().unwrap().len(), 0, "{told}");
    let case = |name: &str| {
        let all = told["cases"].as_array().unwrap().iter();
        let case = all.into_iter().find(|c| c["case"] == name).unwrap();
        let on = &case["ways"][0];
        let density = on["kinds"][0]["density"][0].as_f64().unwrap();
        (on["program_min"].as_f64().unwrap(), density)
    };
    let [nominal, cold, hot] = ["nominal", "cold case", "hot case"].map(case);
    for (minutes, _) in [nominal, cold, hot] {
        assert!((minutes + 1180.0 - ends).abs() < 8.0, "{minutes} of {ends}");
    }
    assert!(cold.1 < nominal.1 && nominal.1 < hot.1, "{cold:?} {hot:?}");
}

/// A thermocouple that is off by more than what counts as there moves the place by what its ramps take for
/// that, not by the hold before; and it is said.
#[test]
fn a_log_of_a_thermocouple_that_is_off_is_told() {
    let dir = tempfile::tempdir().unwrap();
    let (file, off_k) = (demo("clean.load.ron"), 10.0);
    for minutes in [700.0, 760.0] {
        let (log, ends) = as_forecast(dir.path(), minutes, off_k);
        for named in [&[][..], &["--segment", "4"]] {
            let at = ["forecast", &file, "--log", &log, "--way", "go-on", "--json"];
            let told = json(&run(&[&at[..], named].concat()));
            let on_min = told["cases"][0]["ways"][0]["program_min"].as_f64().unwrap();
            assert!(
                (on_min + minutes - ends).abs() < 15.0,
                "{minutes} {named:?}: {on_min}"
            );
            let doubts = told["log_doubts"].to_string();
            assert!(
                doubts.contains("not as forecast") && doubts.contains("min of its ramps"),
                "{doubts}"
            );
        }
    }
}

/// How hot a load has been is remembered while it cools.
#[test]
fn a_load_that_cools_has_been_hot() {
    let file = demo("stop.load.ron");
    let at = |minute: &str| run(&["forecast", &file, "--stopped-at", minute]).out;
    let (hot, cold) = (at("2058"), at("100"));
    assert!(cold.contains("survey begins"), "{cold}");
    assert!(!hot.contains("survey begins"), "{hot}");
}
