use super::*;
use crate::geometry::Shape;
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

fn mixed(fields: usize) -> Task {
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
