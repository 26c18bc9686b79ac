//! Logs and tables that people hand over, as they come from loggers and from hands that slip: read,
//! or refused with a sentence that says what, where and what to do.

use crate::cli::{Ran, demo, json, run, written};

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
fn log(
    head: &str,
    seconds: impl Iterator<Item = u32>,
    mut row: impl FnMut(f64) -> String,
) -> String {
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
        let csv = written(dir.path(), "log.csv", text).display().to_string();
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
        let csv = written(dir.path(), name, &text).display().to_string();
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
    let csv = written(dir.path(), "other.csv", &other)
        .display()
        .to_string();
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
    let doubts = all["log_doubts"].as_array().unwrap();
    assert_eq!(doubts.len(), 4, "{all}");
    assert!(doubts[3].as_str().unwrap().contains("not as forecast"));
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
        let csv = written(dir.path(), name, text).display().to_string();
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

/// Three holds of an hour between ramps of two rates, W by a law that the records can follow, with
/// what a thermocouple scatters by.
fn three_holds(scatter_k: f64, power: f64) -> String {
    let head = "time_s,temperature_c,power_w";
    let corners = [
        (0.0, 25.0),
        (55.0, 300.0),
        (115.0, 300.0),
        (165.0, 700.0),
        (225.0, 700.0),
        (325.0, 1100.0),
        (385.0, 1100.0),
    ];
    let at = |min: f64| {
        let w = corners.windows(2).find(|w| min <= w[1].0).unwrap();
        let rate = (w[1].1 - w[0].1) / (w[1].0 - w[0].0);
        (w[0].1 + rate * (min - w[0].0), rate)
    };
    let mut seed = 7_u32;
    log(head, (0..=385 * 60).step_by(60), |s| {
        let (c, rate) = at(s / 60.0);
        let mut noise = 0.0;
        for _ in 0..12 {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            noise += f64::from(seed >> 8) / f64::from(1_u32 << 24) - 0.5;
        }
        let t4 = (c + 273.15).powi(4) - 298.15_f64.powi(4);
        let w = 50e3 * rate / 60.0 + 1.1 * (c - 25.0) + 1e-9 * t4;
        format!("{s},{:.2},{:.1}", c + scatter_k * noise, power * w)
    })
}

#[test]
fn a_fit_evens_a_log_that_scatters_and_says_what_it_rests_on() {
    let dir = tempfile::tempdir().unwrap();
    let fit = |text: &str, more: &[&str]| {
        let csv = written(dir.path(), "empty.csv", text).display().to_string();
        let asked = ["forecast", "--furnace", "small-vacuum-box", "--fit", &csv];
        run(&[&asked[..], more].concat())
    };
    for scatter in [0.0, 0.7, 1.0, 1.5] {
        let all = json(&fit(&three_holds(scatter, 1.0), &["--json"]));
        let told = &all["runs"][0];
        assert_eq!(told["readings_are_means"], scatter > 0.0, "{told}");
        for (figure, truth, within) in [("loss_w_k", 1.1, 0.15), ("chamber_kj_k", 50.0, 0.03)] {
            let figures = told["figures"].as_array().unwrap();
            let of = figures.iter().find(|f| f["figure"] == figure).unwrap();
            assert_eq!(of["determined"], true, "{scatter} {told}");
            let off = of["to"].as_f64().unwrap() / truth - 1.0;
            assert!(off.abs() < within, "{scatter} {of}");
        }
    }
    holds(
        &fit(&three_holds(1.0, 1.0), &[]),
        0,
        &["means of 5 min of power", "of 386 rows in the log"],
    );
    let kelvin = |row: &str| {
        let mut fields: Vec<String> = row.split(',').map(str::to_owned).collect();
        fields[1] = format!("{:.2}", fields[1].parse::<f64>().unwrap() + 273.15);
        fields.join(",")
    };
    let text = three_holds(0.0, 1.0);
    let rows: Vec<String> = text.lines().skip(1).map(kelvin).collect();
    let in_kelvin = format!("time_s,temperature_c,power_w\n{}\n", rows.join("\n"));
    holds(
        &fit(&in_kelvin, &[]),
        2,
        &["begins at 298 °C", "in kelvin?"],
    );
    // A ramp alone, and a few rows.
    let rows = |n: usize| text.lines().take(n).collect::<Vec<_>>().join("\n");
    holds(&fit(&rows(55), &[]), 2, &["never holds", "--card"]);
    holds(
        &fit(&rows(110), &[]),
        0,
        &["holds at 1 temperature, 3 are asked for"],
    );
    // A row every quarter of an hour, two hours and a quarter long.
    let rows = text.lines().skip(1).step_by(15).take(10);
    let few: Vec<&str> = text.lines().take(1).chain(rows).collect();
    holds(
        &fit(&few.join("\n"), &[]),
        2,
        &["can be compared, it takes 10"],
    );
}

/// The clean demo's program until minute 300, then a furnace that is off.
fn tripped() -> String {
    log(HEAD, (0..=25200).step_by(300), |s| {
        let off_min = (s / 60.0 - 300.0).max(0.0);
        let c = chamber(s);
        format!("{s},{:.1}", 25.0 + (c - 25.0) * (-off_min / 120.0).exp())
    })
}

#[test]
fn a_log_of_a_furnace_that_tripped_counts_up_to_there() {
    let dir = tempfile::tempdir().unwrap();
    let file = demo("clean.load.ron");
    let csv = written(dir.path(), "trip.csv", &tripped())
        .display()
        .to_string();
    let asked = |more: &[&str]| {
        let asked = ["forecast", &file, "--log", &csv, "--way", "go-on"];
        run(&[&asked[..], more].concat())
    };
    let told = [
        "from row 62 (minute 300, 280 °C)",
        "was the furnace off",
        "--stopped-at 300",
    ];
    let whole = asked(&[]);
    holds(&whole, 0, &told);
    assert!(!whole.out.contains("another program"), "{}", whole.out);
    let cut = asked(&["--stopped-at", "300"]);
    holds(
        &cut,
        0,
        &["up to minute 300", "until minute 420", "chamber 280 °C;"],
    );
    assert!(!cut.out.contains("was the furnace off"), "{}", cut.out);
    let beyond = asked(&["--stopped-at", "500"]);
    holds(
        &beyond,
        2,
        &["minute 500 (--stopped-at)", "ends at minute 420"],
    );
    assert_eq!(asked(&["--stopped-at", "300", "--by-clock"]).code, 2);
    assert_eq!(asked(&["--shorten"]).code, 2);
}

#[test]
fn what_a_logger_puts_above_its_heading_and_a_row_that_reads_wrong_are_named() {
    let dir = tempfile::tempdir().unwrap();
    let file = demo("clean.load.ron");
    let asked = |text: &str| {
        let csv = written(dir.path(), "log.csv", text).display().to_string();
        run(&["forecast", &file, "--log", &csv, "--way", "go-on"])
    };
    let above = asked(&format!("Logger 7;\nrun 12\n{}", tripped()));
    holds(
        &above,
        2,
        &["heading stands in line 3", "leave out the lines above"],
    );
    let spike = tripped().replace("\n9000,", "\n9000,1");
    holds(&asked(&spike), 2, &["row 32 reads 1", "leave that row out"]);
}

#[test]
fn pieces_that_tell_nothing_are_named_with_their_row() {
    let dir = tempfile::tempdir().unwrap();
    let file = demo("clean.load.ron");
    let calibrate = |text: &str| {
        let csv = written(dir.path(), "pieces.csv", text)
            .display()
            .to_string();
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
    // Where there is no such place, those that there are are told.
    let level = calibrate(&format!("{head}\nB-4711;9;1;96\n"));
    holds(&level, 2, &["row 2: there is no level 9", "1 to"]);
    let ring = calibrate(&format!("{head}\nB-4711;1;9;96\n"));
    holds(
        &ring,
        2,
        &[
            "row 2: nothing of \"B-4711\" lies on level 1 in ring 9",
            "level 1 ring 1",
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
