//! Logs and tables that people hand over, as they come from loggers and from hands that slip: read,
//! or refused with a sentence that says what, where and what to do.

use crate::cli::{Ran, demo, json, run};
use std::path::Path;

fn write(dir: &Path, name: &str, text: &str) -> String {
    let path = dir.join(name);
    std::fs::write(&path, text).unwrap();
    path.display().to_string()
}

fn holds(ran: &Ran, code: u8, words: &[&str]) {
    let said = format!("{}{}", ran.out, ran.err);
    assert_eq!(ran.code, code, "{said}");
    for words in words {
        assert!(said.contains(words), "{words}\n{said}");
    }
}

/// The first four hours of the clean demo's program, roughly: °C at a second.
fn chamber(s: f64) -> f64 {
    (25.0 + s / 60.0 * 3.0).min(150.0) + (s / 60.0 - 41.7).clamp(0.0, 130.0)
}

/// A log of these seconds, each field written by a function.
fn log(head: &str, seconds: impl Iterator<Item = u32>, row: impl Fn(f64) -> String) -> String {
    let rows: Vec<String> = seconds.map(|s| row(f64::from(s))).collect();
    format!("{head}\n{}\n", rows.join("\n"))
}

const HEAD: &str = "time_s,temperature_c";

#[test]
fn a_log_that_can_be_is_read_however_it_is_written() {
    let dir = tempfile::tempdir().unwrap();
    let file = demo("clean.load.ron");
    let each = || (0..=14400).step_by(300);
    let comma = |x: f64| format!("{x:.1}").replace('.', ",");
    let texts = [
        log(HEAD, each(), |s| format!("{s},{:.1}", chamber(s))),
        log("time_s;temperature_c", each(), |s| {
            format!("{s};{}", comma(chamber(s)))
        }),
        log("Time_s\tTemperature_c", each(), |s| {
            format!("{s}\t{:.1}", chamber(s))
        }),
    ];
    let mut all = texts.iter().map(|text| {
        let csv = write(dir.path(), "log.csv", text);
        let ran = run(&["forecast", &file, "--log", &csv, "--way", "go-on"]);
        holds(&ran, 0, &["The log ends with the chamber at 280 °C"]);
        assert!(!ran.out.contains("Doubtful"), "{}", ran.out);
        ran.out
    });
    let first = all.next().unwrap();
    assert!(all.all(|other| other == first));
}

#[test]
fn a_log_that_cannot_be_is_refused_with_its_row() {
    let dir = tempfile::tempdir().unwrap();
    let file = demo("clean.load.ron");
    let each = || (0..=14400).step_by(300);
    let f = |c: f64| 1.8 * c + 32.0;
    let cases: [(&str, String, &[&str]); 11] = [
        (
            "f.csv",
            log(HEAD, each(), |s| format!("{s},{:.1}", f(chamber(s)))),
            &["taken for °F it follows the program", "Give °C"],
        ),
        (
            "hot.csv",
            format!("{HEAD}\n0,68\n600,400\n1200,2453\n"),
            &["row 4 reads 2453 °C", "highest is 1450 °C", "°F"],
        ),
        (
            "cold.csv",
            format!("{HEAD}\n0,20\n600,-50\n"),
            &["row 3 reads -50 °C", "thermocouple"],
        ),
        (
            "minutes.csv",
            log(HEAD, (0..=240).step_by(5), |min| {
                format!("{min},{:.1}", chamber(60.0 * min))
            }),
            &["from row 2 to", "minutes or hours under time_s"],
        ),
        (
            "gap.csv",
            format!("{HEAD}\n0,20\n36000,1345\n"),
            &["between row 2 and the next lie 600 min", "every 15 min"],
        ),
        (
            "tail.csv",
            format!("{HEAD}\n36000,450\n36600,450\n"),
            &["begins at 450 °C (row 2)", "from the start of the run"],
        ),
        (
            "comma.csv",
            format!("{HEAD}\n0,20,5\n"),
            &["row 2 has 3 fields, the heading 2", "semicolon"],
        ),
        (
            "names.csv",
            "zeit;temp\n0;20\n60;21\n".to_owned(),
            &["no column \"time_s\"", "\"zeit\", \"temp\"", "seconds"],
        ),
        (
            "clock.csv",
            "time_s;temperature_c\n00:00;20\n00:01;21\n".to_owned(),
            &["row 2: \"00:00\" under \"time_s\" is not a number"],
        ),
        (
            "nan.csv",
            format!("{HEAD}\n0,20\n60,NaN\n"),
            &["row 3: \"NaN\" under \"temperature_c\""],
        ),
        (
            "thousands.csv",
            "time_s;temperature_c\n0;20\n60;1.020,5\n".to_owned(),
            &["row 3: \"1.020,5\"", "thousands"],
        ),
    ];
    for (name, text, words) in cases {
        let csv = write(dir.path(), name, &text);
        let ran = run(&["forecast", &file, "--log", &csv]);
        holds(&ran, 2, words);
        assert!(ran.out.is_empty() && ran.err.contains(name), "{}", ran.err);
    }
}

#[test]
fn what_is_doubtful_of_a_log_is_told() {
    let dir = tempfile::tempdir().unwrap();
    let file = demo("clean.load.ron");
    // Another program: 5 K/min to 450 °C, with rows 20 min apart, begun at second 600.
    let other = log(HEAD, (600..=12600).step_by(1200), |s| {
        format!("{s},{:.1}", (25.0 + (s - 600.0) / 12.0).min(450.0))
    });
    let csv = write(dir.path(), "other.csv", &other);
    let ran = run(&["forecast", &file, "--log", &csv, "--way", "go-on"]);
    holds(
        &ran,
        0,
        &[
            "Doubtful in the log:",
            "K above the program in segment 2",
            "lie 20 min; a straight line",
            "its first row has time_s 600",
        ],
    );
    let all = json(&run(&[
        "forecast", &file, "--log", &csv, "--way", "go-on", "--json",
    ]));
    assert_eq!(all["log_doubts"].as_array().unwrap().len(), 3, "{all}");
}

/// A log of an empty furnace: two ramps and two holds, W by a law that the records do not know.
fn empty_run(power: impl Fn(f64, f64) -> f64) -> String {
    let head = "time_s,temperature_c,power_w";
    log(head, (0..=21600).step_by(60), |s| {
        let min = s / 60.0;
        let c = (25.0 + 5.0 * min).min(525.0) + (3.0 * (min - 200.0)).clamp(0.0, 300.0);
        format!("{s},{c:.1},{:.3}", power(min, c))
    })
}

#[test]
fn a_fit_asks_back_where_a_column_has_another_unit() {
    let dir = tempfile::tempdir().unwrap();
    let fit = |name: &str, text: &str| {
        let csv = write(dir.path(), name, text);
        run(&["forecast", "--furnace", "small-vacuum-box", "--fit", &csv])
    };
    let watts = |min: f64, c: f64| {
        let rises = if min < 100.0 || (200.0..300.0).contains(&min) {
            6000.0
        } else {
            0.0
        };
        rises + 3.0 * c
    };
    let kw = fit("kw.csv", &empty_run(|min, c| 1e-3 * watts(min, c)));
    holds(&kw, 2, &["highest power logged", "W beside 25 kW", "in kW"]);
    let negative = fit("neg.csv", &empty_run(|min, c| watts(min, c) - 2000.0));
    holds(&negative, 2, &["power_w is below nought"]);
    let much = fit("much.csv", &empty_run(|min, c| 10.0 * watts(min, c)));
    holds(&much, 2, &["beside 25 kW in the record", "mend power_kw"]);
    // Power that nothing explains.
    let wild = fit(
        "wild.csv",
        &empty_run(|min, _| {
            if (min as u32 / 13).is_multiple_of(2) {
                9000.0
            } else {
                200.0
            }
        }),
    );
    holds(&wild, 0, &["misfit of", "is large", "write none of them"]);
    assert!(!wild.out.contains("The record is not changed"));
    let f = empty_run(watts).replace("\n0,25.0", "\n0,68.0");
    holds(
        &fit("f.csv", &f),
        0,
        &["if the column is in °F that is 20 °C"],
    );
}

#[test]
fn pieces_that_tell_nothing_are_named_with_their_row() {
    let dir = tempfile::tempdir().unwrap();
    let file = demo("clean.load.ron");
    let calibrate = |text: &str| {
        let csv = write(dir.path(), "pieces.csv", text);
        run(&["forecast", &file, "--calibrate", &csv])
    };
    let head = "lot;level;ring;density_pct";
    for (share, words) in [
        ("0,965", "row 2: 0.965 under density_pct"),
        ("7,75", "row 2: 7.75 under density_pct"),
    ] {
        let ran = calibrate(&format!("{head}\nB-4711;1;1;{share}\n"));
        holds(&ran, 2, &[words, "per cent of full density"]);
    }
    let swapped = calibrate("lot,level,ring,green_mm,sintered_mm\nB-4711,1,1,40,47.4\n");
    holds(
        &swapped,
        2,
        &["row 2: sintered_mm 47.4", "each other's place"],
    );
    // Read, but no answer: each piece is named, and the exit says so.
    let ran = calibrate(&format!(
        "{head}\nB-4711;1;1;96,1\nB-4711;1;4;59\nB-4711;2;2;100\nB-4711;2;4;96,5\n"
    ));
    holds(
        &ran,
        2,
        &[
            "not calibrated",
            "there are 2",
            "row 2: measured 96.1 %",
            "row 3: measured 59.0 %, not used: it is not between the 60.0 %",
            "row 4: measured 100.0 %, not used",
        ],
    );
    let none = calibrate("level,density_pct\n1,96\n");
    holds(&none, 2, &["no column \"lot\"", "lot or part"]);
    let help = run(&["forecast", "--help"]);
    holds(
        &help,
        0,
        &[
            "decimal comma",
            "seconds",
            "watts",
            "% of full",
            "exit is 2",
        ],
    );
}
