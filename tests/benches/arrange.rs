//! Arranges instances and says how far from the bound the layout is:
//! `cargo bench --bench arrange -- FILE… [--budget N] [--seed N] [--islands N] [--json OUT]`.
//!
//! `--stack 1` takes the heights of `sinter-load/1`: levels on posts from the stock inside the hot
//! zone, in as many runs as it takes, the first due first.
//! `--setters N` gives so many setters and asks for the most part area on them.
//! `--cancel MS` cancels after so many milliseconds and says how long the answer took.
//! A load (`*.load.ron`) is arranged as the window does it, with review and forecast: when the first layout
//! is there to be shown, and how long the answer took after the cancel.
//! `--seconds S` instead of `--budget` stops after S seconds of processor time, for comparisons;
//! then the result is not the same again. Files: `sinter-load/1`, strips and bins in the schema of
//! the public collection, strips with `strip_height`. The layout is written as a list of
//! `{part, setter, x, y, angle}`: the outline turned counter-clockwise by `angle` degrees about its
//! own origin, then moved.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use serde_json::{Value, json};
use setterwright::arrange::{
    Answer, Calendar, Due, Effort, Field, Goal, Ground, Kind, Posts, Rules, StackTask, Task, Turns,
    Watch, arrange_by, arrange_runs, least_fields, least_runs, most_parts, obeys, prove,
    stack_bound,
};
use setterwright::document::arranging::{ToArrange, arrange_plan};
use setterwright::files::open_load;
use setterwright::geometry::outline::signed_area;
use setterwright::geometry::{P2, Shape};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// One task of an instance and what its numbers mean.
struct Job {
    name: String,
    /// The file's name of each part.
    ids: Vec<String>,
    task: Task,
    rules: Rules,
    /// Area of all parts and the strip's height, for the density.
    area: f64,
    height: f64,
}

impl Job {
    fn part_area(&self, part: usize) -> f64 {
        area(&self.task.kinds[self.task.parts[part]].outline)
    }

    /// The most area on so many setters.
    fn only(&mut self, setters: usize) {
        self.task.fields.truncate(setters);
        self.rules.value = (0..self.task.parts.len())
            .map(|i| self.part_area(i))
            .collect();
    }
}

/// Says what is wrong with what was given, and ends.
fn stop(words: String) -> ! {
    eprintln!("{words}");
    std::process::exit(2)
}

/// What can be asked.
const OPTIONS: [&str; 8] = [
    "--budget",
    "--seed",
    "--islands",
    "--json",
    "--stack",
    "--setters",
    "--cancel",
    "--seconds",
];

fn main() {
    let args: Vec<String> = std::env::args()
        .skip(1)
        .filter(|a| a != "--bench")
        .collect();
    let value = |name: &str| {
        let at = args.iter().position(|a| a == name)?;
        args.get(at + 1).cloned()
    };
    let number = |name: &str, or: u64| {
        value(name).map_or(or, |v| {
            v.parse()
                .unwrap_or_else(|_| stop(format!("\"{v}\" is not a number")))
        })
    };
    let seconds: Option<f64> = value("--seconds").map(|v| {
        v.parse()
            .unwrap_or_else(|_| stop(format!("\"{v}\" is not a number")))
    });
    let cancel: Option<f64> = value("--cancel").map(|v| {
        v.parse()
            .unwrap_or_else(|_| stop(format!("\"{v}\" is not a number")))
    });
    let effort = Effort {
        evaluations: match seconds {
            Some(_) => u64::MAX / 4,
            None => number("--budget", 2_000_000),
        },
        seed: number("--seed", 1),
        islands: number("--islands", 2) as usize,
    };
    let mut files: Vec<&String> = Vec::new();
    let mut rest = args.iter();
    while let Some(arg) = rest.next() {
        if arg.starts_with("--") {
            if !OPTIONS.contains(&arg.as_str()) {
                stop(format!(
                    "{arg} is no option; known are {}",
                    OPTIONS.join(", ")
                ));
            }
            rest.next();
        } else {
            files.push(arg);
        }
    }
    for file in files {
        if file.ends_with(".load.ron") {
            load(file, effort, cancel);
            continue;
        }
        if value("--stack").is_some() {
            let layout = stack(file, effort);
            if let Some(out) = value("--json") {
                std::fs::write(out, serde_json::to_string(&layout).unwrap()).unwrap();
            }
            continue;
        }
        let mut layout = Vec::new();
        let mut setters = 0;
        let jobs = read(file);
        let several = jobs.len() > 1;
        for mut job in jobs {
            if let Some(n) = value("--setters") {
                job.only(
                    n.parse()
                        .unwrap_or_else(|_| stop(format!("\"{n}\" is not a number"))),
                );
            }
            setters += run(&job, effort, (seconds, cancel), setters, &mut layout);
        }
        if several {
            println!("{file}: setters {setters}");
        }
        if let Some(out) = value("--json") {
            std::fs::write(out, serde_json::to_string(&layout).unwrap()).unwrap();
        }
    }
}

/// Arranges a load as the window does, and prints when what was there.
fn load(file: &str, effort: Effort, cancel: Option<f64>) {
    let (plan, working) = open_load(std::path::Path::new(file), None)
        .unwrap_or_else(|e| stop(format!("{file}: {e}")));
    let asked = ToArrange {
        evaluations: effort.evaluations,
        seed: effort.seed,
        ..ToArrange::of(std::sync::Arc::new(plan), &working)
    };
    let (watch, over) = (Watch::default(), AtomicBool::new(false));
    let (shown, stopped) = (std::sync::OnceLock::new(), std::sync::OnceLock::new());
    let wall = Instant::now();
    let found = std::thread::scope(|scope| {
        scope.spawn(|| {
            while !over.load(Ordering::Relaxed) {
                std::thread::sleep(Duration::from_millis(1));
                let passed = 1000.0 * wall.elapsed().as_secs_f64();
                if watch.best.lock().unwrap().is_some() {
                    shown.get_or_init(|| passed);
                }
                if cancel.is_some_and(|ms| passed >= ms) {
                    stopped.get_or_init(|| passed);
                    watch.cancel.store(true, Ordering::Relaxed);
                }
            }
        });
        let found = arrange_plan(&asked, &watch, &|_| (), &|_| ());
        over.store(true, Ordering::Relaxed);
        found.unwrap_or_else(|e| stop(format!("{file}: {e}")))
    });
    let all = 1000.0 * wall.elapsed().as_secs_f64();
    println!(
        "{file}: {} setters of {}, first shown after {:.0} ms, answered after {all:.0} ms, {:.0} ms after the \
         cancel",
        found.layout.after.setters,
        found.layout.before.setters,
        shown.get().unwrap_or(&f64::NAN),
        stopped.get().map_or(f64::NAN, |at| all - at),
    );
}

/// Runs a job, prints its line, adds its layout; the setters used.
fn run(
    job: &Job,
    effort: Effort,
    (seconds, cancel): (Option<f64>, Option<f64>),
    first: usize,
    layout: &mut Vec<Value>,
) -> usize {
    let watch = Watch::default();
    let over = AtomicBool::new(false);
    let (wall, cpu) = (Instant::now(), cpu_seconds());
    let (shown, stopped) = (std::sync::OnceLock::new(), std::sync::OnceLock::new());
    let answer = std::thread::scope(|scope| {
        scope.spawn(|| {
            while !over.load(Ordering::Relaxed) {
                std::thread::sleep(Duration::from_millis(5));
                let passed = wall.elapsed().as_secs_f64();
                if watch.best.lock().unwrap().is_some() {
                    shown.get_or_init(|| passed);
                }
                if cancel.is_some_and(|ms| passed * 1000.0 >= ms) {
                    stopped.get_or_init(|| passed);
                    watch.cancel.store(true, Ordering::Relaxed);
                }
                if let Some(seconds) = seconds {
                    let share = (cpu_seconds() - cpu) / seconds;
                    watch.finish.store(share > 0.75, Ordering::Relaxed);
                    if share >= 1.0 {
                        watch.cancel.store(true, Ordering::Relaxed);
                    }
                }
            }
        });
        let answer = arrange_by(&job.task, &job.rules, effort, &watch);
        over.store(true, Ordering::Relaxed);
        answer.unwrap_or_else(|e| stop(format!("{}: {e}", job.name)))
    });
    let (wall, cpu) = (wall.elapsed().as_secs_f64(), cpu_seconds() - cpu);
    if let Some(at) = stopped.get() {
        println!("answered {:.0} ms after the cancel", 1000.0 * (wall - at));
    }
    let strip = job.task.goal == Goal::Strip;
    let least = prove(&job.task, &answer.placed, strip.then_some(answer.length));
    let least = least.expect("a layout that passes the proof");
    obeys(&job.task, &job.rules, &answer.placed).expect("a layout that keeps the rules");
    println!(
        "{:22} {:34} placed {:3} of {:3}, first {:.2} s, wall {wall:6.1} s, cpu {cpu:6.1} s, {:9} evaluations, \
         gap {:.4}, edge {:.4}",
        job.name,
        result(job, &answer),
        answer.placed.len(),
        job.task.parts.len(),
        shown.get().unwrap_or(&f64::NAN),
        answer.evaluations,
        least.between.unwrap_or(f64::NAN),
        least.edge.unwrap_or(f64::NAN),
    );
    let mut used: Vec<usize> = answer.placed.iter().map(|p| p.field).collect();
    used.sort_unstable();
    used.dedup();
    for p in &answer.placed {
        let setter = first + used.iter().position(|f| *f == p.field).unwrap();
        layout.push(json!({
            "part": job.ids[p.part], "setter": setter, "x": p.x, "y": p.y, "angle": p.angle
        }));
    }
    used.len()
}

fn result(job: &Job, answer: &Answer) -> String {
    match job.task.goal {
        Goal::Strip => {
            let density = 100.0 * job.area / (answer.length * job.height);
            format!("density {density:.2} %, length {:.3}", answer.length)
        }
        Goal::Setters => {
            let placed: f64 = answer.placed.iter().map(|p| job.part_area(p.part)).sum();
            format!(
                "setters {}, bound {}, area {:.2} %",
                answer.fields,
                least_fields(&job.task),
                100.0 * placed / job.area
            )
        }
        Goal::InOrder => {
            format!(
                "parts {}, bound {}",
                answer.placed.len(),
                most_parts(&job.task)
            )
        }
    }
}

/// Arranges an instance with heights in runs; prints each run, then the whole.
fn stack(file: &str, effort: Effort) -> Vec<Value> {
    let text = std::fs::read_to_string(file).unwrap_or_else(|e| stop(format!("{file}: {e}")));
    let value: Value = serde_json::from_str(&text).unwrap_or_else(|e| stop(format!("{file}: {e}")));
    let name = value["name"].as_str().unwrap_or_default();
    let (kinds, field) = kinds_and_field(&value);
    let furnace = &value["furnace"];
    let given = list(&value["parts"]);
    let quantity = |k: usize| given[k]["qty"].as_u64().unwrap_or(1) as usize;
    let parts: Vec<usize> = (0..kinds.len())
        .flat_map(|k| vec![k; quantity(k)])
        .collect();
    let posts = list(&furnace["posts"]).iter().map(|p| Posts {
        length_mm: f(&p["length"]),
        count: p["qty"].as_u64().unwrap_or(0) as usize,
    });
    let rules = Rules {
        mass_g: (given.iter().map(|p| p["mass_g"].as_f64().unwrap_or(0.0))).collect(),
        value: parts.iter().map(|&k| area(&kinds[k].outline)).collect(),
        ..Rules::default()
    };
    let task = StackTask {
        heights_mm: given.iter().map(|p| f(&p["height"])).collect(),
        field,
        clearance: f(&value["clearance"]),
        posts: posts.collect(),
        posts_per_level: furnace["posts_per_shelf"].as_u64().unwrap_or(4) as usize,
        thickness_mm: f(&value["setter"]["thickness"]),
        head_room_mm: f(&furnace["headroom"]),
        zone_mm: f(&furnace["hot_zone"]["h"]),
        stacks: 1,
        rules,
        parts,
        kinds,
    };
    let queue = &value["queue"];
    let mut groups: Vec<&str> = Vec::new();
    let mut due = Vec::new();
    for &kind in &task.parts {
        let id = &given[kind]["id"];
        let job = list(&queue["jobs"]).iter().find(|j| &j["part"] == id);
        let profile = job.and_then(|j| j["profile"].as_str()).unwrap_or_default();
        let group = groups.iter().position(|g| *g == profile);
        let group = group.unwrap_or_else(|| {
            groups.push(profile);
            groups.len() - 1
        });
        let day = job
            .and_then(|j| j["due_day"].as_f64())
            .unwrap_or(f64::INFINITY);
        due.push(Due { group, day });
    }
    let calendar = Calendar {
        start: queue["start_day"].as_f64().unwrap_or(0.0),
        run: queue["run_days"].as_f64().unwrap_or(1.0),
    };
    let (wall, cpu) = (Instant::now(), cpu_seconds());
    let runs = arrange_runs(&task, &due, calendar, effort, &Watch::default());
    let runs = runs.unwrap_or_else(|e| stop(format!("{file}: {e}")));
    let (wall, cpu) = (wall.elapsed().as_secs_f64(), cpu_seconds() - cpu);
    let whole: f64 = (0..task.parts.len()).map(|i| task.area(i)).sum();
    let (mut layout, mut setter) = (Vec::new(), 0);
    for (k, run) in runs.runs.iter().enumerate() {
        let levels = &run.stacked.levels;
        let placed: f64 = levels
            .iter()
            .flat_map(|l| &l.placed)
            .map(|p| task.area(p.part))
            .sum();
        let posts: Vec<f64> = levels.iter().map(|l| l.post_mm).collect();
        println!(
            "  run {} {:8} setters {}, posts bottom up {posts:?}, height {:.1} of {:.1} mm, area {:.2} %",
            k + 1,
            groups[run.group],
            levels.len(),
            run.stacked.height_mm,
            task.zone_mm,
            100.0 * placed / whole
        );
        for level in levels {
            for p in &level.placed {
                layout.push(json!({
                    "part": given[task.parts[p.part]]["id"], "setter": setter, "run": k,
                    "post": level.post_mm, "x": p.x, "y": p.y, "angle": p.angle
                }));
            }
            setter += 1;
        }
    }
    let (late, days) = runs.late(&due);
    println!(
        "{name:22} runs {} (bound {:?}), setters {}, left out {}, late {late} parts, {days} days, \
         bound of one run {:?}, wall {wall:.1} s, cpu {cpu:.1} s",
        runs.runs.len(),
        least_runs(&task, &due),
        runs.levels(),
        runs.left_out.len(),
        stack_bound(&task).map(|b| (b.levels, b.height_mm)),
    );
    layout
}

/// Processor time of this process; wall time where /proc is not.
fn cpu_seconds() -> f64 {
    static START: std::sync::OnceLock<Instant> = std::sync::OnceLock::new();
    let start = START.get_or_init(Instant::now);
    let read = || {
        let stat = std::fs::read_to_string("/proc/self/stat").ok()?;
        let fields: Vec<&str> = stat.rsplit(')').next()?.split_whitespace().collect();
        let ticks = |i: usize| fields.get(i)?.parse::<f64>().ok();
        Some((ticks(11)? + ticks(12)?) / 100.0)
    };
    read().unwrap_or_else(|| start.elapsed().as_secs_f64())
}

// ---- reading

fn read(file: &str) -> Vec<Job> {
    let text = std::fs::read_to_string(file).unwrap_or_else(|e| stop(format!("{file}: {e}")));
    let value: Value = serde_json::from_str(&text).unwrap_or_else(|e| stop(format!("{file}: {e}")));
    match value["schema"].as_str() {
        Some("sinter-load/1") => read_own(&value),
        _ => vec![read_public(&value)],
    }
}

fn f(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| stop(format!("a number is wanted where {value} stands")))
}

fn list(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

fn ring(value: &Value, outer: bool) -> Vec<P2> {
    let mut ring: Vec<P2> = list(value).iter().map(|p| [f(&p[0]), f(&p[1])]).collect();
    ring.dedup();
    if ring.len() > 1 && ring.first() == ring.last() {
        ring.pop();
    }
    if (signed_area(&ring) > 0.0) != outer {
        ring.reverse();
    }
    ring
}

fn shape(outer: &Value, holes: &Value) -> Shape {
    Shape {
        outer: ring(outer, true),
        holes: list(holes).iter().map(|h| ring(h, false)).collect(),
    }
}

fn area(shape: &Shape) -> f64 {
    let holes: f64 = shape.holes.iter().map(|h| signed_area(h)).sum();
    signed_area(&shape.outer) + holes
}

fn every(step: usize) -> Turns {
    Turns::Of((0..360).step_by(step).map(|t| t as f64).collect())
}

/// The kinds of parts of an instance of ours, and its setter.
fn kinds_and_field(value: &Value) -> (Vec<Kind>, Field) {
    let turns = match value["rotation"].as_str() {
        Some("continuous") => Turns::Any,
        Some("step15") => every(15),
        Some("step90") => every(90),
        other => stop(format!(
            "rotation is {other:?}; known are continuous, step15 and step90"
        )),
    };
    let parts = list(&value["parts"]);
    let kinds: Vec<Kind> = parts
        .iter()
        .map(|p| Kind {
            outline: shape(&p["outer"], &p["holes"]),
            turns: turns.clone(),
        })
        .collect();
    let setter = &value["setter"];
    let ground = match setter["shape"].as_str() {
        Some("disc") => Ground::Disc { d: f(&setter["d"]) },
        _ => Ground::Rectangle {
            w: f(&setter["w"]),
            h: f(&setter["h"]),
        },
    };
    let field = Field {
        ground,
        margin: f(&setter["edge_margin"]),
        fixed: Vec::new(),
        accepts: vec![true; kinds.len()],
    };
    (kinds, field)
}

fn read_own(value: &Value) -> Vec<Job> {
    let name = value["name"].as_str().unwrap_or_default();
    let (kinds, field) = kinds_and_field(value);
    let parts = list(&value["parts"]);
    let id = |kind: usize| parts[kind]["id"].as_str().unwrap_or_default().to_owned();
    let quantity = |kind: usize| parts[kind]["qty"].as_u64().unwrap_or(1) as usize;
    let task = Task {
        parts: Vec::new(),
        fields: vec![field.clone()],
        clearance: f(&value["clearance"]),
        goal: Goal::InOrder,
        kinds,
    };
    let job = |name: String, task: Task| Job {
        name,
        ids: task.parts.iter().map(|&k| id(k)).collect(),
        area: task
            .parts
            .iter()
            .map(|&k| area(&task.kinds[k].outline))
            .sum(),
        height: 0.0,
        rules: Rules::default(),
        task,
    };
    let count = task.kinds.len();
    if value["objective"] == "max_parts_round_robin" {
        let most = (0..count).map(quantity).max().unwrap_or(0);
        let order = (0..most * count).filter(|i| i / count < quantity(i % count));
        let parts = order.map(|i| i % count).collect();
        return vec![job(name.to_owned(), Task { parts, ..task })];
    }
    // What may not share a furnace run is arranged apart.
    let profile = |kind: usize| {
        let mut jobs = list(&value["queue"]["jobs"]).iter();
        let job = jobs.find(|j| j["part"].as_str() == Some(&id(kind)));
        job.and_then(|j| j["profile"].as_str())
            .unwrap_or_default()
            .to_owned()
    };
    let mut profiles: Vec<String> = (0..count).map(profile).collect();
    profiles.sort();
    profiles.dedup();
    profiles
        .into_iter()
        .map(|p| {
            let of = (0..count).filter(|&k| profile(k) == p);
            let parts: Vec<usize> = of.flat_map(|k| vec![k; quantity(k)]).collect();
            let task = Task {
                goal: Goal::Setters,
                fields: vec![field.clone(); parts.len()],
                parts,
                ..task.clone()
            };
            let most = 2 * least_fields(&task) + 2;
            let task = Task {
                fields: vec![field.clone(); most],
                ..task
            };
            job(format!("{name} {p}").trim().to_owned(), task)
        })
        .collect()
}

fn read_public(value: &Value) -> Job {
    let bins = value["problem"] == "bins";
    let (mut kinds, mut parts, mut ids) = (Vec::new(), Vec::new(), Vec::new());
    for item in list(&value["items"]) {
        let old = item.get("outer").is_none();
        let pick = |new: &str, older: &str| &item[if old { older } else { new }];
        let outer = if old {
            &item["shape"]["data"]
        } else {
            &item["outer"]
        };
        let angles = list(pick("angles", "allowed_orientations"));
        let turns = match angles {
            [] if bins => every(90),
            [] => Turns::Of(vec![0.0]),
            some => Turns::Of(some.iter().map(f).collect()),
        };
        kinds.push(Kind {
            outline: shape(outer, &item["holes"]),
            turns,
        });
        let id = item["id"]
            .as_str()
            .map_or_else(|| item["id"].to_string(), str::to_owned);
        for _ in 0..pick("qty", "demand").as_u64().unwrap_or(1) {
            parts.push(kinds.len() - 1);
            ids.push(id.clone());
        }
    }
    let total: f64 = parts.iter().map(|&k| area(&kinds[k].outline)).sum();
    let (ground, count, height) = if bins {
        let bin = &value["bin"];
        let (w, h) = (f(&bin[0]), f(&bin[1]));
        let bound = value["area_bound_bins"].as_f64().unwrap_or(1.0) as usize;
        (Ground::Rectangle { w, h }, 2 * bound + 2, h)
    } else {
        let board = &value["board_bbox"];
        let h = value["strip_height"]
            .as_f64()
            .unwrap_or_else(|| f(&board[3]) - f(&board[1]));
        let far = |k: &Kind| {
            k.outline
                .outer
                .iter()
                .flatten()
                .fold(0.0, |m: f64, v| m.max(v.abs()))
        };
        let longest = kinds.iter().map(far).fold(0.0, f64::max);
        let w = (2.5 * total / h).max(4.0 * longest);
        (Ground::Rectangle { w, h }, 1, h)
    };
    let field = Field {
        ground,
        margin: 0.0,
        fixed: Vec::new(),
        accepts: vec![true; kinds.len()],
    };
    Job {
        name: value["name"].as_str().unwrap_or_default().to_owned(),
        ids,
        area: total,
        height,
        rules: Rules::default(),
        task: Task {
            kinds,
            parts,
            fields: vec![field; count],
            clearance: 0.0,
            goal: if bins { Goal::Setters } else { Goal::Strip },
        },
    }
}
