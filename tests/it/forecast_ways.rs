//! What is asked of a forecast beyond the forecast, as a user meets it.

use crate::cli::{demo, json, run};
use setterwright::catalogue::builtin;
use setterwright::files;
use setterwright::forecast::constants::ZERO_C;
use setterwright::forecast::densify::{ln_theta, sigmoid};
use setterwright::forecast::heat::Place;
use setterwright::forecast::inputs::{Case, Pace, Program, Settings};
use setterwright::forecast::plan::{Asked, empty_load, furnace_heat, of, prepare, vacuum_hold};
use setterwright::forecast::run::{Job, Run, run as heat};
use setterwright::forecast::stopped::{WayOn, at_time, from_log, way_on};
use setterwright::load::{Item, Plan, Sizes};
use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

fn write(dir: &Path, name: &str, text: &str) -> String {
    let path: PathBuf = dir.join(name);
    std::fs::write(&path, text).unwrap();
    path.display().to_string()
}

fn with<T>(name: &str, then: impl FnOnce(&Asked) -> T) -> T {
    let (plan, working) = files::open_load(Path::new(&demo(name)), None).unwrap();
    let sizes = Sizes::new(&plan, &working.catalogue);
    then(&Asked {
        plan: &plan,
        catalogue: &working.catalogue,
        shop: working.shop.as_deref(),
        sizes: &sizes,
    })
}

/// Noise between -1 and 1, the same each time.
struct Noise(u64);

impl Noise {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        (self.0 >> 33) as f64 / f64::from(1_u32 << 30) - 1.0
    }
}

#[test]
fn a_stopped_run_is_told_with_its_ways_on() {
    let file = demo("clean.load.ron");
    let ran = run(&["forecast", &file, "--stopped-at", "300"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    for words in [
        "stopped 300 minutes after its start, waits counted",
        "the coldest place has",
        "density so far",
        "at least 95 % is asked: ",
        "the trap has caught",
        "If you go on",
        "repeat its whole hold",
        "If you let it cool",
        "never permission to open",
    ] {
        assert!(ran.out.contains(words), "{words}\n{}", ran.out);
    }
    let ran = run(&["forecast", &file, "--stopped-at", "300", "--json"]);
    let all = json(&ran);
    assert_eq!(all["schema"], "setterwright.stopped");
    let nominal = &all["cases"][0];
    assert_eq!(nominal["kinds"][0]["density_asked"], 0.95, "{nominal}");
    let left = |way: usize| {
        nominal["ways"][way]["kinds"][0]["binder_left"]
            .as_f64()
            .unwrap()
    };
    // More time at heat never leaves more binder.
    assert!(left(1) <= left(0) + 1e-9, "{nominal}");
    let by_clock = json(&run(&[
        "forecast",
        &file,
        "--stopped-at",
        "300",
        "--by-clock",
        "--way",
        "go-on",
        "--json",
    ]));
    assert!((by_clock["clock_min"].as_f64().unwrap() - 300.0).abs() < 0.01);
    assert!(by_clock["time_min"].as_f64() >= by_clock["clock_min"].as_f64());
    for clock in [&[][..], &["--by-clock"]] {
        let mut line = vec!["forecast", &file, "--stopped-at", "90000"];
        line.extend(clock);
        let ran = run(&line);
        assert_eq!(ran.code, 2);
        assert!(
            ran.err.contains("after the end of the program"),
            "{}",
            ran.err
        );
    }
    let one = run(&["forecast", &file, "--stopped-at", "300", "--way", "go-on"]);
    assert!(one.out.contains("If you go on") && !one.out.contains("If you let"));
    for bad in ["-5", "nan", "1e400"] {
        let ran = run(&["forecast", &file, &format!("--stopped-at={bad}")]);
        assert_eq!(ran.code, 2, "{bad}: {}", ran.out);
        assert!(!ran.err.is_empty());
    }
}

#[test]
fn a_log_of_the_plan_tells_what_the_plan_tells() {
    let dir = tempfile::tempdir().unwrap();
    let (text, minutes) = with("clean.load.ron", |asked| {
        let made = of(asked, &|| false).unwrap();
        let run = &made.forecast.nominal.run;
        let mut text = "time_s,temperature_c\n".to_owned();
        for minute in 0..=300 {
            let s = f64::from(minute) * 60.0;
            writeln!(text, "{s},{:.2}", run.at(run.border.chamber, s) - ZERO_C).unwrap();
        }
        (text, 300)
    });
    let csv = write(dir.path(), "log.csv", &text);
    let file = demo("clean.load.ron");
    let logged = json(&run(&[
        "forecast", &file, "--log", &csv, "--way", "go-on", "--json",
    ]));
    let at = minutes.to_string();
    let planned = run(&[
        "forecast",
        &file,
        "--stopped-at",
        &at,
        "--way",
        "go-on",
        "--json",
    ]);
    let planned = json(&planned);
    assert_eq!(logged["segment"], planned["segment"]);
    for path in ["coldest_c", "hottest_c"] {
        let of = |x: &serde_json::Value| x["cases"][0][path].as_f64().unwrap();
        assert!((of(&logged) - of(&planned)).abs() < 2.0, "{path}");
    }
    for (name, text) in [
        ("empty.csv", ""),
        ("head.csv", "time_s,temperature_c\n"),
        ("other.csv", "minutes,celsius\n1,2\n3,4\n"),
        ("words.csv", "time_s,temperature_c\n0,hot\n60,hotter\n"),
        ("back.csv", "time_s,temperature_c\n60,30\n0,25\n"),
    ] {
        let csv = write(dir.path(), name, text);
        let ran = run(&["forecast", &file, "--log", &csv]);
        assert_eq!(ran.code, 2, "{name}");
        assert!(ran.err.contains(name), "{name}: {}", ran.err);
    }
}

#[test]
fn a_shorter_program_is_a_draft_beside_the_load() {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("load.load.ron");
    std::fs::copy(demo("clean.load.ron"), &file).unwrap();
    let before = std::fs::read(&file).unwrap();
    let (file, draft) = (
        file.display().to_string(),
        dir.path().join("draft.load.ron").display().to_string(),
    );
    let ran = run(&["forecast", &file, "--shorten", "-o", &draft]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    // A hold is shortened, never left out.
    assert!(!ran.out.contains("could be 0"), "{}", ran.out);
    for words in [
        "clock 90, coldest place",
        "one step shorter: ",
        "Draft written to",
        "Each hold keeps 10 min to spare in the worst case",
        "  Long wait: 66\u{a0}min (limit 60\u{a0}min, Setterwright starting catalogue, assumed), in the cold case alone",
        "one step shorter: time to spare that a shortened hold keeps",
        "min to spare",
        "Every limit means: ",
        " of these not evaluated; those that bind: ",
    ] {
        assert!(ran.out.contains(words), "{words}\n{}", ran.out);
    }
    assert_eq!(std::fs::read(&file).unwrap(), before);
    // The draft is a load, unsigned, and says nothing that the load did not say.
    let (plan, _) = files::open_load(Path::new(&draft), None).unwrap();
    assert!(plan.signatures.is_empty() && plan.title.ends_with("(draft, shorter)"));
    // Never over what is there.
    for there in [&file, &draft] {
        let ran = run(&["forecast", &file, "--shorten", "-o", there]);
        assert_eq!(ran.code, 2);
        assert!(ran.err.contains("exists"), "{}", ran.err);
    }
    assert_eq!(std::fs::read(&file).unwrap(), before);
}

#[test]
fn a_load_with_stops_says_so_and_what_it_breaks() {
    let file = demo("stop.load.ron");
    let ran = run(&["forecast", &file]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for words in [
        "In the review of this load 6 stops: Fuel gas not purged before the door;",
        " cautions: ",
        " More: setterwright review ",
    ] {
        assert!(ran.out.contains(words), "{words}\n{}", ran.out);
    }
    let clean = run(&["forecast", &demo("clean.load.ron")]);
    assert!(
        clean.out.contains("No stop and no caution found among "),
        "{}",
        clean.out
    );
    let ran = run(&["forecast", &file, "--shorten", "--segment", "1"]);
    for words in [
        "stops in its review: ",
        "Parts touch",
        "A shorter program mends none of them.",
        "The load as it is already breaks, and nothing of it may grow worse:",
        "Thick section: 9.4\u{a0}mm (limit 6.0\u{a0}mm",
    ] {
        assert!(ran.out.contains(words), "{words}\n{}{}", ran.out, ran.err);
    }
    // Segments are counted from 1, and only what is there is searched.
    for none in ["0", "99"] {
        let ran = run(&["forecast", &file, "--shorten", "--segment", none]);
        assert_eq!(ran.code, 2, "{}", ran.out);
        assert!(ran.err.contains("the program has"), "{}", ran.err);
    }
}

#[test]
fn shortest_is_just_long_enough() {
    let file = demo("clean.load.ron");
    let ran = run(&["forecast", &file, "--shorten", "--segment", "3", "--json"]);
    let all = json(&ran);
    let row = &all["segments"][0];
    assert_eq!(row["segment"], 3);
    let hold = &row["hold_min"];
    let (now, shortest) = (
        hold["now"].as_f64().unwrap(),
        hold["shortest"].as_f64().unwrap(),
    );
    assert!(shortest <= now && shortest >= 0.0, "{row}");
    // Five minutes is the least that is tried of a hold that there is.
    if shortest > 5.0 {
        assert!(hold["bound_by"].is_string(), "{row}");
    }
    // What is shortened keeps its margin, and no figure has the dust of its sums.
    assert_eq!(all["hold_margin_min"], 10.0);
    let spare = row["draft"]["to_spare_min"].as_f64().unwrap();
    assert!(shortest < now && spare >= 10.0, "{row}");
    assert!(row["ramp_k_min"]["fastest"].to_string().len() < 8, "{row}");
    let clock = &all["clock_min"];
    let saved = clock["now"].as_f64().unwrap() - clock["draft"].as_f64().unwrap();
    assert!((saved - row["saved_min"].as_f64().unwrap()).abs() < 1e-6);
}

/// A hold that is far too short says by name which one finishes what it leaves.
#[test]
fn a_hold_that_another_finishes_says_so() {
    let dir = tempfile::tempdir().unwrap();
    let (mut plan, working) = files::open_load(Path::new(&demo("clean.load.ron")), None).unwrap();
    let segments = &mut Arc::make_mut(&mut plan.profile).segments;
    segments[2].hold_min = 1.0;
    segments[2].wait_on = None;
    let path = dir.path().join("short.load.ron");
    files::save_load(&path, &plan, &working).unwrap();
    let file = path.display().to_string();
    let ran = run(&["forecast", &file]);
    for words in [
        "too short by itself, the rest leaves in the debind range by the end of segment 4; ",
        "it is out on the way to 550 °C, before the hold there begins",
    ] {
        assert!(ran.out.contains(words), "{words}\n{}{}", ran.out, ran.err);
    }
    let all = json(&run(&["forecast", &file, "--json"]));
    let holds = all["holds"].as_array().unwrap();
    let finished = holds
        .iter()
        .find_map(|h| h["needs"]["finished_in"].as_object());
    assert_eq!(finished.unwrap()["segment"], 4, "{all}");
}

#[test]
fn cost_adds_up_and_says_what_has_no_price() {
    let file = demo("clean.load.ron");
    let ran = run(&["forecast", &file, "--cost", "--labour", "45"]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    for words in [
        "furnace: ",
        "electric energy: ",
        "argon: ",
        " EUR",
        "one run ",
        "Prices set by Fernhollow Sinter Shop (invented), ",
        " (invented), assumed; ",
    ] {
        assert!(ran.out.contains(words), "{words}\n{}", ran.out);
    }
    let (costs, review) = ran.out.split_once("No stop and no caution").unwrap();
    assert!(!costs.contains("not evaluated"), "{costs}{review}");
    let all = json(&run(&[
        "forecast", &file, "--cost", "--labour", "45", "--json",
    ]));
    let lines: f64 = all["lines"]
        .as_array()
        .unwrap()
        .iter()
        .map(|l| l["cost"].as_f64().unwrap())
        .sum();
    let total = lines + all["labour"].as_f64().unwrap();
    assert!((total - all["total_of_what_is_priced"].as_f64().unwrap()).abs() < 1e-9);
    assert_eq!(all["incomplete"], false);
    assert_eq!(all["prices"]["standing"], "assumed");
    // A coupon is not sold.
    let placed = |plan: &Plan| -> u64 {
        let placed = plan.levels().flat_map(|(_, l)| &l.placements);
        placed
            .filter(|p| matches!(p.item, Item::Part { .. }))
            .count() as u64
    };
    let (mut fewer, _) = files::open_load(Path::new(&file), None).unwrap();
    assert_eq!(all["parts"].as_u64().unwrap(), placed(&fewer));
    let stack = &mut fewer.load.stacks[0];
    let first = &mut Arc::make_mut(&mut stack.levels[0]).placements[0];
    let Item::Part { part, .. } = first.item else {
        panic!("{first:?}");
    };
    first.item = Item::Coupon {
        part,
        label: "W1".to_owned(),
    };
    let coupon = tempfile::tempdir().unwrap();
    let text = files::canonical(&fewer).unwrap();
    let with_coupon = write(coupon.path(), "coupon.load.ron", &text);
    let more = json(&run(&["forecast", &with_coupon, "--cost", "--json"]));
    assert_eq!(
        more["parts"].as_u64().unwrap() + 1,
        all["parts"].as_u64().unwrap()
    );
    // Without labour, and without a price of argon.
    let dir = tempfile::tempdir().unwrap();
    let (mut plan, _) = files::open_load(Path::new(&file), None).unwrap();
    let used = Arc::make_mut(&mut plan.records_used);
    let prices = used.shop.as_mut().unwrap().prices.as_mut().unwrap();
    prices.kwh = None;
    prices.gas_m3_25c.clear();
    let file = write(
        dir.path(),
        "bare.load.ron",
        &files::canonical(&plan).unwrap(),
    );
    let ran = run(&["forecast", &file, "--cost"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.contains("say how long with --labour")
            && ran
                .out
                .matches("the shop's record has no price of it")
                .count()
                == 2,
        "{}",
        ran.out
    );
    assert!(
        ran.out.contains("only of what was evaluated"),
        "{}",
        ran.out
    );
}

/// Rows of a log, a minute each.
fn log(run: &Run, sensors: &[usize], noise: &mut Noise) -> String {
    let mut text = "time_s,temperature_c,power_w".to_owned();
    for n in 1..=sensors.len() {
        write!(text, ",load_{n}_c").unwrap();
    }
    text.push('\n');
    for minute in 0..=(run.program_end_s / 60.0) as u32 {
        let s = f64::from(minute) * 60.0;
        let t = run.at(run.border.chamber, s) - ZERO_C + 0.2 * noise.next();
        let w = run.power_at(s) * (1.0 + 0.02 * noise.next());
        write!(text, "{s},{t:.2},{w:.0}").unwrap();
        for i in sensors {
            let t = run.at(*i, s) - ZERO_C + 0.5 * noise.next();
            write!(text, ",{t:.2}").unwrap();
        }
        text.push('\n');
    }
    text
}

#[test]
fn figures_come_back_from_noisy_logs() {
    let dir = tempfile::tempdir().unwrap();
    let mut noise = Noise(11);
    let (catalogue, _) = builtin().unwrap();
    let record = catalogue.furnace("small-vacuum-box").unwrap();
    // The furnace as it is: other losses and another chamber than the record says.
    let mut furnace = furnace_heat(record);
    let was = (furnace.loss_w_k, furnace.loss_m2, furnace.heat_j_k);
    furnace.loss_w_k *= 1.5;
    furnace.loss_m2 *= 0.8;
    furnace.heat_j_k *= 1.3;
    let real = (furnace.loss_w_k, furnace.loss_m2, furnace.heat_j_k);
    let segment = |k_min: f64, c: f64, min: f64| setterwright::forecast::inputs::Segment {
        pace: Pace::Rate(k_min / 60.0),
        to_k: c + ZERO_C,
        hold_s: 60.0 * min,
        ..vacuum_hold()
    };
    let program = Program {
        start_k: 298.15,
        segments: vec![
            segment(3.0, 300.0, 60.0),
            segment(5.0, 700.0, 60.0),
            segment(5.0, 1100.0, 60.0),
        ],
        after: vacuum_hold().atmosphere,
        fan_after: false,
        unload_k: 300.0,
        cool_max_s: 0.0,
    };
    let empty = empty_load();
    let done = heat(&Job {
        load: &empty,
        furnace: &furnace,
        gases: &[],
        program: &program,
        case: &Case::nominal(),
        settings: Settings::default(),
        start: None,
        prolong: false,
        cancelled: &|| false,
    })
    .unwrap();
    let csv = write(dir.path(), "empty.csv", &log(&done, &[], &mut noise));
    // The loaded run: a demo load whose setters are darker than the record says.
    let loaded = with("cautions.load.ron", |asked| {
        let mut inputs = prepare(asked).unwrap().inputs;
        assert!(!inputs.load.sensors.is_empty());
        let first = inputs.load.setters[0].emissivity;
        inputs
            .load
            .setters
            .iter_mut()
            .for_each(|s| s.emissivity = 0.62);
        inputs.program.segments.truncate(3);
        inputs.program.cool_max_s = 0.0;
        let done = heat(&Job {
            load: &inputs.load,
            furnace: &furnace,
            gases: &inputs.gases,
            program: &inputs.program,
            case: &Case::nominal(),
            settings: inputs.settings,
            start: None,
            prolong: false,
            cancelled: &|| false,
        })
        .unwrap();
        let sensors: Vec<usize> = (done.border.sensors..done.border.end).collect();
        let sensors: Vec<usize> = sensors
            .into_iter()
            .take(inputs.load.sensors.len())
            .collect();
        (first, log(&done, &sensors, &mut noise))
    });
    let run_csv = write(dir.path(), "run.csv", &loaded.1);
    let cautions = demo("cautions.load.ron");
    let ran = run(&["forecast", "--furnace", "small-vacuum-box", "--fit", &csv]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(ran.out.contains("residual"), "{}", ran.out);
    let all = json(&run(&[
        "forecast",
        "--furnace",
        "small-vacuum-box",
        "--fit",
        &csv,
        "--json",
    ]));
    let figures = all["runs"][0]["figures"].as_array().unwrap().clone();
    let of = |name: &str| {
        figures.iter().find(|f| f["figure"] == name).unwrap()["to"]
            .as_f64()
            .unwrap()
    };
    // Bounds: 5 % of heat capacity and of all losses at 1100 °C; each of the two losses 20 %.
    assert!((of("chamber_kj_k") * 1e3 / real.2 - 1.0).abs() < 0.05);
    let loss = |w_k: f64, m2: f64| {
        let t = 1100.0 + ZERO_C;
        w_k * (t - 298.0) + m2 * 5.670_374e-8 * (t.powi(4) - 298.0_f64.powi(4))
    };
    let (found, real_loss) = (loss(of("loss_w_k"), of("loss_m2")), loss(real.0, real.1));
    assert!(
        (found / real_loss - 1.0).abs() < 0.05,
        "{found} {real_loss}"
    );
    assert!((of("loss_w_k") / real.0 - 1.0).abs() < 0.2);
    assert!((of("loss_m2") / real.1 - 1.0).abs() < 0.2);
    let (residual, from) = (
        &all["runs"][0]["residual"],
        &all["runs"][0]["residual_from"],
    );
    assert!(residual.as_f64() < from.as_f64(), "{all} {was:?}");

    let ran = run(&[
        "forecast",
        "--fit",
        &csv,
        "--loaded",
        &cautions,
        &run_csv,
        "--furnace",
        "small-vacuum-box",
        "--json",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let all = json(&ran);
    let dark = all["runs"][1]["figures"][0]["to"].as_f64().unwrap();
    assert!((dark / 0.62 - 1.0).abs() < 0.06, "{dark} from {}", loaded.0);
    assert!(all["runs"][1]["residual"].as_f64().unwrap() < 2.0, "{all}");

    // A log of another furnace says nothing of this one.
    let large = demo("large.load.ron");
    let ran = run(&[
        "forecast", "--fit", &csv, "--loaded", &cautions, &run_csv, &large,
    ]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("mid-hydrogen-retort"), "{}", ran.err);
    let ran = run(&["forecast", "--fit", &csv]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("--furnace"), "{}", ran.err);
    let ran = run(&["forecast", "--fit", &csv, "--furnace", "no-such-furnace"]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("no-such-furnace"), "{}", ran.err);
    let card = run(&["forecast", "--card"]);
    assert_eq!(card.code, 0);
    for words in ["1. Empty", "2. Loaded", "3. Density", "--calibrate"] {
        assert!(card.out.contains(words), "{words}");
    }
}

#[test]
fn densification_comes_back_from_measured_pieces() {
    let dir = tempfile::tempdir().unwrap();
    // Two runs: the demo load, and one that sinters at 60 K less; pieces from two places of each.
    let (mut plan, working) = files::open_load(Path::new(&demo("clean.load.ron")), None).unwrap();
    let segments = &mut Arc::make_mut(&mut plan.profile).segments;
    let peak = segments.iter_mut().max_by(|a, b| a.to_c.total_cmp(&b.to_c));
    peak.unwrap().to_c -= 60.0;
    let cool = dir.path().join("cool.load.ron");
    files::save_load(&cool, &plan, &working).unwrap();
    let cool = cool.display().to_string();
    let (a, b) = (-23.2, 1.6);
    let mut csv = "load,lot,level,ring,density_pct,green_mm,sintered_mm\n".to_owned();
    for (name, file) in [("", demo("clean.load.ron")), ("cool.load.ron", cool)] {
        let (plan, working) = files::open_load(Path::new(&file), None).unwrap();
        let sizes = Sizes::new(&plan, &working.catalogue);
        let asked = Asked {
            plan: &plan,
            catalogue: &working.catalogue,
            shop: working.shop.as_deref(),
            sizes: &sizes,
        };
        let made = of(&asked, &|| false).unwrap();
        let keys = &made.prepared.keys;
        let kind = keys
            .kinds
            .iter()
            .position(|k| k.name.contains("B-4711"))
            .unwrap();
        let data = made.prepared.inputs.matter[kind].sintering.clone().unwrap();
        let run = &made.forecast.nominal.run;
        let mut nodes = run
            .nodes
            .iter()
            .enumerate()
            .filter(|(_, n)| n.place == Place::Part(kind));
        for (i, n) in [nodes.next().unwrap(), nodes.next_back().unwrap()] {
            let history: Vec<(f64, f64)> = run.series(i).collect();
            let theta = ln_theta(&history, data.low.q_j_mol);
            let start = made.prepared.inputs.matter[kind].density;
            let end = data.asymptote.open;
            let density = sigmoid(start, end, theta, a, b);
            if n.zone == 0 {
                writeln!(
                    csv,
                    "{name},B-4711,{},{},{:.3},,",
                    n.level + 1,
                    n.zone + 1,
                    100.0 * density
                )
                .unwrap();
            } else {
                let sintered = 40.0 * (start / density).cbrt();
                writeln!(
                    csv,
                    "{name},B-4711,{},{},,40,{sintered:.5}",
                    n.level + 1,
                    n.zone + 1
                )
                .unwrap();
            }
        }
    }
    let pieces = write(dir.path(), "pieces.csv", &csv);
    let file = demo("clean.load.ron");
    let ran = run(&["forecast", &file, "--calibrate", &pieces]);
    assert_eq!((ran.code, ran.err.as_str()), (0, ""));
    assert!(ran.out.contains("moved by"), "{}", ran.out);
    let all = json(&run(&["forecast", &file, "--calibrate", &pieces, "--json"]));
    let to = &all["feedstocks"][0]["to"];
    let (fa, fb) = (to["a"].as_f64().unwrap(), to["b"].as_f64().unwrap());
    assert!((fa - a).abs() < 0.05 && (fb - b).abs() < 0.05, "{to}");
    // Fewer than three pieces: not calibrated, and it is said.
    let two: String = csv.lines().take(3).map(|l| format!("{l}\n")).collect();
    let two = write(dir.path(), "two.csv", &two);
    let ran = run(&["forecast", &file, "--calibrate", &two]);
    assert!(ran.out.contains("not calibrated"), "{}", ran.out);
    let bad = write(
        dir.path(),
        "bad.csv",
        "lot,level,density_pct\nno-such-lot,1,95\n",
    );
    let ran = run(&["forecast", &file, "--calibrate", &bad]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("no-such-lot"), "{}", ran.err);
}

#[test]
fn a_stopped_run_may_stand_off_first() {
    let file = demo("clean.load.ron");
    let at = ["forecast", &file, "--stopped-at", "600", "--way", "go-on"];
    let of = |more: &[&str]| run(&[&at[..], more].concat());
    let at_once = of(&[]);
    assert!(
        at_once
            .out
            .contains("as if they began at once, with the load as hot as at the stop"),
        "{}",
        at_once.out
    );
    let later = of(&["--pause", "120"]);
    assert_eq!((later.code, later.err.as_str()), (0, ""));
    assert!(
        later
            .out
            .contains("stood off for 120 min in the gas in which it stopped"),
        "{}",
        later.out
    );
    let [once, later] = [of(&["--json"]), of(&["--pause", "120", "--json"])].map(|r| json(&r));
    let number = |all: &serde_json::Value, path: &str| all.pointer(path).unwrap().as_f64().unwrap();
    let hottest = "/cases/0/after_pause_hottest_c";
    assert!(
        number(&later, hottest) < number(&once, hottest) - 20.0,
        "{later}"
    );
    assert_eq!(number(&later, "/pause_min"), 120.0);
    // It has to come back to where it was.
    let ends = "/cases/0/ways/0/program_min";
    assert!(number(&later, ends) > number(&once, ends) + 10.0, "{later}");
    for bad in ["-1", "nan", "1e9"] {
        let ran = of(&[&format!("--pause={bad}")]);
        assert_eq!(ran.code, 2, "{}", ran.out);
        assert!(ran.err.contains("--pause takes minutes"), "{}", ran.err);
    }
    let alone = run(&["forecast", &file, "--pause", "10"]);
    assert_eq!(alone.code, 2, "{}", alone.out);
}

/// Logs of the forecast itself, cut where a place in the program is hardest to tell from the chamber:
/// while it lags behind a ramp that cools, just after that began, in the hold behind it, and where two
/// targets are as near to each other as the chamber to a target. What is left is what the plan leaves.
#[test]
fn a_log_cut_while_the_furnace_lags_leaves_what_the_plan_leaves() {
    for (name, cuts) in [
        ("clean.load.ron", &[1360, 1880, 2080][..]),
        ("cautions.load.ron", &[1280, 1780, 1860]),
        ("stop.load.ron", &[1600, 2220, 2560]),
        ("large.load.ron", &[1800, 1820, 2038]),
    ] {
        with(name, |asked| {
            let inputs = prepare(asked).unwrap().inputs;
            let case = Case::nominal();
            let run = of(asked, &|| false).unwrap().forecast.nominal.run;
            for &cut in cuts {
                let at = |minute: i32| 60.0 * f64::from(minute);
                let chamber = run.border.chamber;
                let rows = (0..=cut).map(|minute| (at(minute), run.at(chamber, at(minute))));
                let log: Vec<(f64, f64)> = rows.collect();
                let left_min = (run.program_end_s - at(cut)) / 60.0;
                let planned = at_time(&inputs, &case, at(cut)).unwrap().unwrap();
                for last in [None, Some(planned.segment)] {
                    let now = from_log(&inputs, &case, &log, last).unwrap().unwrap();
                    let on = way_on(&inputs, &case, &now, WayOn::GoOn).unwrap();
                    let on_min = on.run.program_end_s / 60.0;
                    let off = (on_min - left_min).abs();
                    assert!(
                        off < f64::max(5.0, 0.01 * left_min),
                        "{name} at {cut}, named {last:?}: {on_min} of {left_min}"
                    );
                }
            }
        });
    }
}
