use super::rules::Rank;
use super::*;
use crate::geometry::{P2, Shape};
use std::sync::atomic::Ordering;

fn rectangle(w: f64, h: f64) -> Shape {
    Shape {
        outer: vec![[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]],
        holes: Vec::new(),
    }
}

fn square_ring(outer: f64, inner: f64) -> Shape {
    let (o, i) = (outer / 2.0, inner / 2.0);
    Shape {
        outer: vec![[-o, -o], [o, -o], [o, o], [-o, o]],
        holes: vec![vec![[-i, -i], [-i, i], [i, i], [i, -i]]],
    }
}

fn right_angles() -> Turns {
    Turns::Of(vec![0.0, 90.0, 180.0, 270.0])
}

fn plates(kinds: Vec<Kind>, parts: Vec<usize>, ground: Ground, fields: usize) -> Task {
    let field = Field {
        ground,
        margin: 3.0,
        fixed: Vec::new(),
        accepts: vec![true; kinds.len()],
    };
    Task {
        kinds,
        parts,
        fields: vec![field; fields],
        clearance: 2.0,
        goal: Goal::Setters,
    }
}

pub(super) fn mixed(fields: usize) -> Task {
    let elbow = Shape {
        outer: vec![
            [0.0, 0.0],
            [36.0, 0.0],
            [36.0, 10.0],
            [10.0, 10.0],
            [10.0, 28.0],
            [0.0, 28.0],
        ],
        holes: Vec::new(),
    };
    let kinds = [elbow, rectangle(30.0, 18.0), rectangle(12.0, 25.0)];
    let kinds = kinds.map(|outline| Kind {
        outline,
        turns: right_angles(),
    });
    let parts = (0..18).map(|i| i % 3).collect();
    plates(
        kinds.into(),
        parts,
        Ground::Rectangle { w: 100.0, h: 100.0 },
        fields,
    )
}

const LITTLE: Effort = Effort {
    evaluations: 30_000,
    seed: 1,
    islands: 2,
};

#[test]
fn an_answer_is_proved_and_complete() {
    let task = mixed(4);
    let answer = arrange(&task, LITTLE, &Watch::default()).unwrap();
    assert_eq!(answer.placed.len(), 18);
    assert!(answer.fields >= least_fields(&task));
    let least = prove(&task, &answer.placed, None).unwrap();
    assert!(least.between.unwrap() >= 2.0 && least.edge.unwrap() >= 3.0);
}

#[test]
fn the_same_seed_gives_the_same_layout_and_another_one_another() {
    let task = mixed(4);
    let with = |seed| {
        let effort = Effort { seed, ..LITTLE };
        arrange(&task, effort, &Watch::default()).unwrap().placed
    };
    assert_eq!(with(1), with(1));
    assert_ne!(with(1), with(2));
}

#[test]
fn the_proof_refuses_what_the_task_forbids() {
    let task = mixed(2);
    let at = |part, x, y| Placed {
        part,
        field: 0,
        x,
        y,
        angle: 0.0,
    };
    assert!(prove(&task, &[at(1, 3.0, 3.0), at(4, 35.0, 3.0)], None).is_ok());
    let near = at(4, 34.9, 3.0);
    assert_eq!(prove(&task, &[at(1, 3.0, 3.0), near], None), Err(near));
    let out = at(1, 2.9, 3.0);
    assert_eq!(prove(&task, &[out], None), Err(out));
    let twice = at(1, 3.0, 50.0);
    assert_eq!(prove(&task, &[at(1, 3.0, 3.0), twice], None), Err(twice));
    assert!(prove(&task, &[at(1, f64::NAN, 3.0)], None).is_err());
    assert!(prove(&task, &[at(99, 3.0, 3.0)], None).is_err());
}

#[test]
fn a_bore_holds_a_part_and_a_post_is_kept_clear() {
    let kinds = [square_ring(60.0, 40.0), rectangle(30.0, 30.0)].map(|outline| Kind {
        outline,
        turns: right_angles(),
    });
    // 70 x 70 mm with 3 mm margin takes the ring alone; the square goes into its bore.
    let task = plates(
        kinds.into(),
        vec![0, 1],
        Ground::Rectangle { w: 70.0, h: 70.0 },
        1,
    );
    let answer = arrange(&task, LITTLE, &Watch::default()).unwrap();
    assert_eq!(answer.placed.len(), 2);
    let mut posted = task.clone();
    posted.fields[0].fixed = vec![Shape {
        outer: vec![[33.0, 33.0], [37.0, 33.0], [37.0, 37.0], [33.0, 37.0]],
        holes: Vec::new(),
    }];
    let answer = arrange(&posted, LITTLE, &Watch::default()).unwrap();
    assert_eq!(answer.placed.len(), 1);
    assert!(prove(&posted, &answer.placed, None).is_ok());
}

#[test]
fn discs_and_polygons_are_fields_too() {
    let mut task = mixed(4);
    for field in &mut task.fields {
        field.ground = Ground::Disc { d: 120.0 };
    }
    let answer = arrange(&task, LITTLE, &Watch::default()).unwrap();
    assert_eq!(answer.placed.len(), 18);
    for field in &mut task.fields {
        field.ground = Ground::Polygon(vec![
            [0.0, 0.0],
            [120.0, 0.0],
            [120.0, 60.0],
            [60.0, 60.0],
            [60.0, 120.0],
            [0.0, 120.0],
        ]);
    }
    let answer = arrange(&task, LITTLE, &Watch::default()).unwrap();
    assert_eq!(answer.placed.len(), 18);
    assert!(prove(&task, &answer.placed, None).is_ok());
}

#[test]
fn a_field_takes_only_what_it_accepts() {
    let mut task = mixed(4);
    task.fields[0].accepts = vec![false, true, true];
    let answer = arrange(&task, LITTLE, &Watch::default()).unwrap();
    assert_eq!(answer.placed.len(), 18);
    let on_first = |p: &&Placed| p.field == 0;
    assert!(
        answer
            .placed
            .iter()
            .filter(on_first)
            .all(|p| p.part % 3 != 0)
    );
}

#[test]
fn a_strip_gets_shorter_than_its_first_layout() {
    let mut task = mixed(1);
    task.goal = Goal::Strip;
    task.clearance = 0.0;
    task.fields[0].margin = 0.0;
    task.fields[0].ground = Ground::Rectangle { w: 400.0, h: 50.0 };
    let few = Effort {
        evaluations: 1,
        ..LITTLE
    };
    let first = arrange(&task, few, &Watch::default()).unwrap();
    let later = arrange(&task, LITTLE, &Watch::default()).unwrap();
    assert!(later.length < first.length || first.length == 0.0);
    assert!(prove(&task, &later.placed, Some(later.length)).is_ok());
}

#[test]
fn what_cannot_be_searched_is_said() {
    let none = Watch::default();
    let mut task = mixed(1);
    task.fields.clear();
    assert_eq!(arrange(&task, LITTLE, &none), Err(Fault::NoField));
    let mut task = mixed(1);
    task.fields[0].margin = 60.0;
    assert_eq!(
        arrange(&task, LITTLE, &none),
        Err(Fault::NoRoom { field: 0 })
    );
    let mut task = mixed(1);
    task.kinds[1].outline.outer[1] = [f64::NAN, 0.0];
    assert_eq!(
        arrange(&task, LITTLE, &none),
        Err(Fault::Outline { kind: 1 })
    );
}

#[test]
fn a_cancelled_search_gives_what_it_has() {
    let watch = Watch::default();
    watch.cancel.store(true, Ordering::Relaxed);
    let answer = arrange(&mixed(4), LITTLE, &watch).unwrap();
    assert!(answer.placed.is_empty());
}

#[test]
fn bounds_count_areas() {
    // A grown 30 x 18 plate covers 32 x 20 less its rounded corners: 636 or a little more.
    let kinds = vec![Kind {
        outline: rectangle(30.0, 18.0),
        turns: right_angles(),
    }];
    let ground = Ground::Rectangle { w: 100.0, h: 100.0 };
    let task = plates(kinds, vec![0; 40], ground, 10);
    // 96 x 96 = 9216 a field: 14 plates of 639 at most.
    assert_eq!(most_parts(&task), 14);
    assert_eq!(least_fields(&task), 3);
}

#[test]
fn a_part_as_wide_as_its_field_finds_its_place() {
    let kinds = [rectangle(100.0, 43.7), rectangle(31.0, 100.0)].map(|outline| Kind {
        outline,
        turns: right_angles(),
    });
    let ground = Ground::Rectangle { w: 100.0, h: 100.0 };
    let mut task = plates(kinds.into(), vec![0, 0, 1], ground, 2);
    (task.clearance, task.fields[0].margin, task.fields[1].margin) = (0.0, 0.0, 0.0);
    let answer = arrange(&task, LITTLE, &Watch::default()).unwrap();
    assert_eq!(answer.placed.len(), 3);
    assert!(prove(&task, &answer.placed, None).is_ok());
}

#[test]
fn no_field_gets_heavier_than_it_may() {
    let task = mixed(6);
    let rules = Rules {
        mass_g: vec![50.0, 30.0, 20.0],
        most_g: vec![150.0; 6],
        ..Rules::default()
    };
    let answer = arrange_by(&task, &rules, LITTLE, &Watch::default()).unwrap();
    assert_eq!(answer.placed.len(), 18);
    // 6 (50 + 30 + 20) g at 150 g a field.
    assert!(answer.fields >= 4);
    assert!(obeys(&task, &rules, &answer.placed).is_ok());
    let light = Rules {
        most_g: vec![40.0; 6],
        ..rules.clone()
    };
    assert!(obeys(&task, &light, &answer.placed).is_err());
    let answer = arrange_by(&task, &light, LITTLE, &Watch::default()).unwrap();
    assert!(answer.placed.iter().all(|p| task.parts[p.part] != 0));
    let wrong = Rules {
        mass_g: vec![1.0],
        ..rules
    };
    let refused = arrange_by(&task, &wrong, LITTLE, &Watch::default());
    assert_eq!(refused, Err(Fault::Rules));
}

#[test]
fn what_must_go_goes_before_what_is_worth_more() {
    let kinds = vec![Kind {
        outline: rectangle(60.0, 60.0),
        turns: right_angles(),
    }];
    let ground = Ground::Rectangle { w: 100.0, h: 100.0 };
    let task = plates(kinds, vec![0; 3], ground, 1);
    let only = |rules: Rules| {
        let answer = arrange_by(&task, &rules, LITTLE, &Watch::default()).unwrap();
        answer.placed.iter().map(|p| p.part).collect::<Vec<_>>()
    };
    let mut rules = Rules {
        value: vec![1.0, 5.0, 9.0],
        ..Rules::default()
    };
    assert_eq!(only(rules.clone()), [2]);
    rules.rank = vec![Rank::Must, Rank::May, Rank::May];
    assert_eq!(only(rules.clone()), [0]);
    // What stands already goes before both.
    rules.rank = vec![Rank::Must, Rank::Stands, Rank::Must];
    assert_eq!(only(rules), [1]);
}

#[test]
fn what_counts_for_less_stands_in_the_way_of_nothing_that_counts() {
    let mut task = mixed(1);
    let must = |placed: &[Placed], task: &Task| {
        let elbows = placed.iter().filter(|p| task.parts[p.part] == 0);
        elbows.count()
    };
    task.parts = vec![0; 30];
    let alone = arrange_by(&task, &Rules::default(), LITTLE, &Watch::default()).unwrap();
    let alone = must(&alone.placed, &task);
    assert!(alone < 30);
    task.parts.extend([2; 60]);
    let rank = |kind: &usize| match kind {
        0 => Rank::Must,
        _ => Rank::May,
    };
    let due_first = |kind: &usize| if *kind == 0 { 8.0 } else { 1.0 };
    let ranked = Rules {
        rank: task.parts.iter().map(rank).collect(),
        ..Rules::default()
    };
    let valued = Rules {
        value: task.parts.iter().map(due_first).collect(),
        ..Rules::default()
    };
    let twice = Effort {
        evaluations: 2 * LITTLE.evaluations,
        ..LITTLE
    };
    for rules in [ranked, valued] {
        let answer = arrange_by(&task, &rules, twice, &Watch::default()).unwrap();
        assert!(must(&answer.placed, &task) >= alone);
        // What need not go takes what room is left.
        assert!(answer.placed.iter().any(|p| task.parts[p.part] == 2));
    }
}

#[test]
fn a_part_for_the_work_zone_stands_in_it() {
    let task = mixed(2);
    let zone = vec![[50.0, 50.0], [97.0, 50.0], [97.0, 97.0], [50.0, 97.0]];
    let rules = Rules {
        within: vec![None, Some(zone), None],
        ..Rules::default()
    };
    let answer = arrange_by(&task, &rules, LITTLE, &Watch::default()).unwrap();
    let zoned = answer.placed.iter().filter(|p| task.parts[p.part] == 1);
    assert!(zoned.count() >= 2);
    assert!(obeys(&task, &rules, &answer.placed).is_ok());
}

#[test]
fn a_field_that_lies_in_the_work_zone_takes_such_parts_anywhere() {
    // Two fields; of the first only a corner is in the zone, the second is in it as a whole.
    let task = mixed(2);
    let zone = vec![[90.0, 90.0], [97.0, 90.0], [97.0, 97.0], [90.0, 97.0]];
    let mut rules = Rules {
        within: vec![None, Some(zone), None],
        ..Rules::default()
    };
    let zoned = |rules: &Rules| {
        let answer = arrange_by(&task, rules, LITTLE, &Watch::default()).unwrap();
        assert!(obeys(&task, rules, &answer.placed).is_ok());
        let all = answer.placed.iter().filter(|p| task.parts[p.part] == 1);
        all.map(|p| p.field).collect::<Vec<_>>()
    };
    assert!(zoned(&rules).is_empty());
    rules.whole = (0..task.fields.len()).map(|field| field == 1).collect();
    let on = zoned(&rules);
    assert!(!on.is_empty() && on.iter().all(|field| *field == 1));
}

#[test]
fn a_layout_is_gone_on_from() {
    let task = mixed(4);
    let first = arrange(&task, LITTLE, &Watch::default()).unwrap();
    let rules = Rules {
        start: first.placed.clone(),
        ..Rules::default()
    };
    let none = Effort {
        evaluations: 1,
        ..LITTLE
    };
    let next = arrange_by(&task, &rules, none, &Watch::default()).unwrap();
    assert_eq!(next.placed.len(), first.placed.len());
    assert_eq!(next.fields, first.fields);
}

/// Two heights, posts for one tall level and three low ones.
fn stack() -> StackTask {
    let flat = mixed(1);
    StackTask {
        heights_mm: vec![30.0, 9.0, 8.0],
        parts: flat.parts,
        kinds: flat.kinds,
        field: flat.fields[0].clone(),
        clearance: 2.0,
        posts: vec![
            Posts {
                length_mm: 12.0,
                count: 12,
            },
            Posts {
                length_mm: 40.0,
                count: 4,
            },
        ],
        posts_per_level: 4,
        thickness_mm: 6.0,
        head_room_mm: 3.0,
        zone_mm: 100.0,
        stacks: 1,
        rules: Rules::default(),
    }
}

#[test]
fn a_stack_keeps_to_its_heights_and_its_stock() {
    let task = stack();
    let bound = stack_bound(&task).unwrap();
    let answer = arrange_stack(&task, LITTLE, &Watch::default()).unwrap();
    assert!(answer.left_out.is_empty());
    assert!(answer.levels.len() >= bound.levels && answer.height_mm >= bound.height_mm);
    let sum: f64 = answer.levels.iter().map(|l| l.post_mm + 6.0).sum();
    assert!((sum - answer.height_mm).abs() < 1e-9 && sum <= 100.0);
    let long = answer.levels.iter().filter(|l| l.post_mm == 40.0);
    assert_eq!(long.count(), 1);
    for (index, level) in answer.levels.iter().enumerate() {
        for p in &level.placed {
            assert_eq!(p.field, index);
            assert!(task.heights_mm[task.parts[p.part]] + 3.0 <= level.post_mm);
        }
    }
    // Nothing is high enough for the elbows any more.
    let mut low = task.clone();
    low.posts.truncate(1);
    assert_eq!(stack_bound(&low), None);
    let answer = arrange_stack(&low, LITTLE, &Watch::default()).unwrap();
    assert_eq!(answer.left_out.len(), 6);
    let mut none = task;
    none.posts.clear();
    let refused = arrange_stack(&none, LITTLE, &Watch::default());
    assert_eq!(refused, Err(Fault::NoField));
}

#[test]
fn two_stacks_share_the_stock() {
    let mut task = stack();
    (task.stacks, task.zone_mm) = (2, 50.0);
    let answer = arrange_stack(&task, LITTLE, &Watch::default()).unwrap();
    assert!(answer.height_mm <= 50.0);
    assert_eq!(answer.levels.last().unwrap().stack, 1);
    let long = answer.levels.iter().filter(|l| l.post_mm == 40.0);
    assert!(long.count() <= 1);
}

#[test]
fn a_backlog_goes_by_due_day_and_group() {
    let mut task = stack();
    task.zone_mm = 46.0;
    let due: Vec<Due> = (0..task.parts.len())
        .map(|i| Due {
            group: usize::from(task.parts[i] == 0),
            day: if task.parts[i] == 0 { 1.0 } else { 3.0 },
        })
        .collect();
    let calendar = Calendar {
        start: 0.0,
        run: 1.0,
    };
    let runs = arrange_runs(&task, &due, calendar, LITTLE, &Watch::default()).unwrap();
    assert!(runs.left_out.is_empty());
    assert_eq!(runs.runs[0].group, 1);
    assert!(runs.runs.len() >= least_runs(&task, &due).unwrap());
    for run in &runs.runs {
        assert!(run.stacked.height_mm <= 46.0);
        let placed = run.stacked.levels.iter().flat_map(|l| &l.placed);
        for p in placed {
            assert_eq!(due[p.part].group, run.group);
        }
    }
    let placed: usize = (runs.runs.iter())
        .flat_map(|r| &r.stacked.levels)
        .map(|l| l.placed.len())
        .sum();
    assert_eq!(placed, task.parts.len());
    let short = arrange_runs(&task, &due[1..], calendar, LITTLE, &Watch::default());
    assert_eq!(short, Err(Fault::Rules));
}

/// A plate cut into three columns and two rows of pieces that interlock by tabs, each shrunk by half the
/// clearance all round, turned anyhow and rounded as a drawing is; the piece in one corner is left out.
fn cut_plate(turn_deg: &[f64]) -> (Vec<Kind>, Ground) {
    let (w, h) = (60.0, 55.0);
    // From one corner to the next, with a tab to the left; where along it differs for each.
    let cut = |a: P2, b: P2, at: f64| -> Vec<P2> {
        let l = f64::hypot(b[0] - a[0], b[1] - a[1]);
        let u = [(b[0] - a[0]) / l, (b[1] - a[1]) / l];
        let p = |t: f64, d: f64| [a[0] + u[0] * t - u[1] * d, a[1] + u[1] * t + u[0] * d];
        vec![
            a,
            p(at, 0.0),
            p(at - 1.5, 9.0),
            p(at + 15.5, 9.0),
            p(at + 14.0, 0.0),
        ]
    };
    let corner = |c: usize, r: usize| [c as f64 * w, r as f64 * h];
    // Cuts go upward and to the right; the edge of the plate is straight.
    let upward = |c: usize, r: usize| match c {
        0 | 3 => vec![corner(c, r)],
        _ => cut(
            corner(c, r),
            corner(c, r + 1),
            9.0 + 8.0 * c as f64 + 5.0 * r as f64,
        ),
    };
    let rightward = |c: usize, r: usize| match r {
        0 | 2 => vec![corner(c, r)],
        _ => cut(corner(c, r), corner(c + 1, r), 7.0 + 11.0 * c as f64),
    };
    let back = |mut points: Vec<P2>, end: P2| {
        points.remove(0);
        points.reverse();
        points.insert(0, end);
        points
    };
    let mut kinds = Vec::new();
    for (k, (c, r)) in [(1, 0), (2, 0), (0, 1), (1, 1), (2, 1)]
        .into_iter()
        .enumerate()
    {
        let mut ring = rightward(c, r);
        ring.extend(upward(c + 1, r));
        ring.extend(back(rightward(c, r + 1), corner(c + 1, r + 1)));
        ring.extend(back(upward(c, r), corner(c, r + 1)));
        // A hair more than half: what is rounded is still far enough apart.
        let ring = shape::shrunk(&ring, 1.004).unwrap();
        let (sin, cos) = turn_deg[k % turn_deg.len()].to_radians().sin_cos();
        let round = |v: f64| (v * 1000.0).round() / 1000.0;
        let outer = ring.iter().map(|p| {
            let (x, y) = (p[0] - w * (c as f64 + 0.5), p[1] - h * (r as f64 + 0.5));
            [round(x * cos - y * sin), round(x * sin + y * cos)]
        });
        kinds.push(Kind {
            outline: Shape {
                outer: outer.collect(),
                holes: Vec::new(),
            },
            turns: Turns::Any,
        });
    }
    // Usable all round but for half the clearance.
    let ground = Ground::Rectangle {
        w: 3.0 * w + 4.0,
        h: 2.0 * h + 4.0,
    };
    (kinds, ground)
}

#[test]
fn what_was_cut_from_one_plate_goes_back_onto_it() {
    // The cut itself is the layout that is known to go: 5 of 6 pieces of the plate, at any angle.
    let (kinds, ground) = cut_plate(&[0.0, 31.7, 144.2, 263.9, 77.3]);
    let mut task = plates(kinds, (0..5).collect(), ground, 1);
    let effort = Effort {
        evaluations: 300_000,
        ..LITTLE
    };
    let answer = arrange(&task, effort, &Watch::default()).unwrap();
    assert_eq!(answer.placed.len(), 5);
    let least = prove(&task, &answer.placed, None).unwrap();
    assert!(least.between.unwrap() >= 2.0);
    // With the fifth piece twice it is more than goes in a gap of a sixth.
    task.parts.push(4);
    task.parts.push(4);
    let answer = arrange(&task, LITTLE, &Watch::default()).unwrap();
    assert!(answer.placed.len() < 7);
}

/// Five squares in a row with their gaps and margins take 2 · 3 + 5 · 20 + 4 · 2 = 114 mm.
#[test]
fn a_plate_filled_in_order_takes_what_its_length_holds_as_a_strip_does() {
    let kinds = vec![Kind {
        outline: rectangle(20.0, 20.0),
        turns: right_angles(),
    }];
    let row = |squares: usize, w: f64, goal: Goal| {
        let ground = Ground::Rectangle { w, h: 26.0 };
        let task = plates(kinds.clone(), vec![0; squares], ground, 1);
        Task { goal, ..task }
    };
    let strip = row(5, 300.0, Goal::Strip);
    let answer = arrange(&strip, LITTLE, &Watch::default()).unwrap();
    assert_eq!(answer.placed.len(), 5);
    assert!(prove(&strip, &answer.placed, Some(answer.length)).is_ok());
    assert!((114.0..115.0).contains(&answer.length), "{}", answer.length);
    let plate = row(7, 114.5, Goal::InOrder);
    let watch = Watch::default();
    let answer = arrange(&plate, LITTLE, &watch).unwrap();
    let placed: Vec<usize> = answer.placed.iter().map(|p| p.part).collect();
    assert_eq!(placed, [0, 1, 2, 3, 4]);
    assert!(prove(&plate, &answer.placed, None).is_ok());
    // What is shown on the way is no strip.
    let shown = watch.best.lock().unwrap().clone().unwrap();
    assert!(prove(&plate, &shown.placed, None).is_ok());
    assert_eq!(arrange(&plate, LITTLE, &Watch::default()).unwrap(), answer);
}
