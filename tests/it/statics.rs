//! Tipping and balance, against hand work. "practice.md 1.1" is its slab rule of thumb, derived.

use crate::shop::{
    block, catalogue, dummy, level, lot, on_posts, part, piece, placed, plan, tally,
};
use proptest::prelude::*;
use setterwright::geometry::outline::convex_hull;
use setterwright::geometry::{Mesh, Outline};
use setterwright::load::{Carrier, LevelId, PartRecords, Plan, Sizes};
use setterwright::part::{
    Drawn, Geometry, MassState, MeshUnit, Shape, SizeStage, measure_mesh, measure_typed,
};
use setterwright::statics::{
    Centre, RestsOn, Sharing, StackBalance, level_centre, on_posts as lies_on, part_tipping,
    post_lines, reactions, resting_poses, stack_balance, tipping,
};

fn near(got: f64, expected: f64, slack: f64) {
    assert!((got - expected).abs() <= slack, "{got}, not {expected}");
}

fn measured(shape: &Shape) -> Geometry {
    measure_typed(shape).unwrap()
}

#[test]
fn a_slab_tips_at_the_angle_of_its_diagonal() {
    // practice.md 1.1: height over base 2, 3, 4, 5.
    for (ratio, angle_deg) in [(2.0, 26.6), (3.0, 18.4), (4.0, 14.0), (5.0, 11.3)] {
        let stands = tipping(&measured(&block(30.0, 10.0, 10.0 * ratio)), [1.0; 3]);
        near(stands.tip_angle_deg, angle_deg, 0.05);
        near(stands.slenderness.unwrap(), ratio, 1e-12);
        near(stands.foot_width_mm, 10.0, 1e-12);
        assert_eq!(stands.rests_on, RestsOn::Area);
    }
}

#[test]
fn a_rod_tips_over_its_radius() {
    let rod = Shape::Disc {
        diameter_mm: 10.0,
        height_mm: 40.0,
    };
    let stands = tipping(&measured(&rod), [1.0; 3]);
    near(stands.tip_angle_deg, 14.036, 1e-3); // atan(5/20)
    near(stands.foot_width_mm, 10.0, 1e-9);
}

/// An L of two legs 40 × 10 mm, 60 mm high: area 700, centre (400·20 + 300·5)/700 = 13.571 from
/// either outer side, 16.16 from the edge of the hull between the legs' ends.
#[test]
fn an_l_tips_over_its_nearest_side() {
    let shape = Shape::Prism {
        outline_mm: vec![
            [0.0, 0.0],
            [40.0, 0.0],
            [40.0, 10.0],
            [10.0, 10.0],
            [10.0, 40.0],
            [0.0, 40.0],
        ],
        height_mm: 60.0,
    };
    let stands = tipping(&measured(&shape), [1.0; 3]);
    near(stands.nearest_edge_mm, 9500.0 / 700.0, 1e-9);
    near(stands.height_of_centre_mm, 30.0, 1e-12);
    near(stands.tip_angle_deg, 24.341, 1e-3);
}

/// Three feet of 2 × 2 mm at (±20, −15) and (0, 25), centre of mass over the origin at 30 mm. The
/// hull's side from (21, −14) to (1, 26) passes the origin at 560/√2000 = 12.522 mm, and the foot's
/// far corner (−21, −16) at 1720/√2000 = 38.461 mm.
#[test]
fn three_feet_by_hand() {
    let feet = [[-20.0, -15.0], [20.0, -15.0], [0.0, 25.0]];
    let foot = |at: [f64; 2]| Outline::rectangle(2.0, 2.0).moved(at[0], at[1]);
    let mut shape = measured(&block(50.0, 50.0, 60.0));
    shape.footprint = Outline::union(&feet.map(foot));
    let stands = tipping(&shape, [1.0; 3]);
    near(stands.nearest_edge_mm, 12.522, 1e-3);
    near(stands.tip_angle_deg, 22.655, 1e-3);
    near(stands.foot_width_mm, 38.461, 1e-3);
    assert_eq!(stands.rests_on, RestsOn::Area);
    // With the centre of mass 3 mm beyond the front feet the part falls forward by itself.
    shape.centroid_mm = [0.0, -19.0, 30.0];
    let falls = tipping(&shape, [1.0; 3]);
    near(falls.nearest_edge_mm, -3.0, 1e-6);
    near(falls.tip_angle_deg, -5.711, 1e-3);
}

/// A cylinder of radius 5 and length 30 mm on its side with `facets` faces, one of them down, or
/// an edge down.
fn lying(facets: u32, edge_down: bool) -> Geometry {
    let half = if edge_down { 0.0 } else { 0.5 };
    let rim = |i: u32, x: f64| {
        let angle = std::f64::consts::TAU * (f64::from(i) + half) / f64::from(facets);
        [x, 5.0 * angle.sin(), -5.0 * angle.cos()]
    };
    let mut soup = Vec::new();
    for i in 0..facets {
        let (a, b, c, d) = (rim(i, 0.0), rim(i + 1, 0.0), rim(i + 1, 30.0), rim(i, 30.0));
        soup.push([a, b, c]);
        soup.push([a, c, d]);
        soup.push([[0.0; 3], b, a]);
        soup.push([[30.0, 0.0, 0.0], d, c]);
    }
    measure_mesh(&Mesh::from_soup(&soup), MeshUnit::Millimetre).unwrap()
}

#[test]
fn a_round_on_its_side_rests_on_a_line() {
    for (facets, edge_down) in [(96, false), (96, true), (64, false)] {
        let stands = tipping(&lying(facets, edge_down), [1.0; 3]);
        assert_eq!(stands.rests_on, RestsOn::Line, "{facets} {edge_down}");
        assert!(stands.tip_angle_deg < 5.0);
    }
    // Coarse facets with an edge down: no face lies flat.
    let stands = tipping(&lying(24, true), [1.0; 3]);
    assert_eq!(stands.rests_on, RestsOn::Line);
    assert!(stands.tip_angle_deg.abs() < 1e-9);
    assert_eq!(stands.slenderness, None);
    // A flat 3 mm wide under it is a foot.
    let mut flat = lying(96, false);
    flat.footprint = Outline::rectangle(30.0, 3.0);
    flat.support_mm = None;
    assert_eq!(tipping(&flat, [1.0; 3]).rests_on, RestsOn::Area);
}

/// Faces that touch, edges and tips carry a part alike: one support polygon.
#[test]
fn a_part_on_a_ring_of_edges_or_three_tips_stands() {
    // A ring with a round wall: 40 mm across its lowest line, 3 mm thick.
    let at = |i: u32, k: u32| {
        let (turn, round) = (f64::from(i % 48) / 48.0, f64::from(k % 16) / 16.0);
        let (turn, round) = (turn * std::f64::consts::TAU, round * std::f64::consts::TAU);
        let radius = 20.0 + 1.5 * round.sin();
        [radius * turn.cos(), radius * turn.sin(), -1.5 * round.cos()]
    };
    let mut soup = Vec::new();
    for i in 0..48 {
        for k in 0..16 {
            let (a, b, c, d) = (at(i, k), at(i + 1, k), at(i + 1, k + 1), at(i, k + 1));
            soup.extend([[a, b, c], [a, c, d]]);
        }
    }
    let mesh = Mesh::from_soup(&soup);
    let ring = measure_mesh(&mesh, MeshUnit::Millimetre).unwrap();
    assert_eq!(ring.footprint.area() + 0.0, 0.0);
    let stands = tipping(&ring, [1.0; 3]);
    assert_eq!(stands.rests_on, RestsOn::Area);
    let width = 40.0 * (std::f64::consts::PI / 48.0).cos();
    near(stands.foot_width_mm, width, 0.1);
    near(
        stands.tip_angle_deg,
        (width / 2.0 / 1.5).atan().to_degrees(),
        0.1,
    );
    let poses = resting_poses(&mesh, MeshUnit::Millimetre, &[]).unwrap();
    let lying = poses.ranked.iter().find(|p| p.rest.is_as_drawn()).unwrap();
    assert_eq!(lying.rests_on, RestsOn::Area);
    near(lying.tip_angle_deg, stands.tip_angle_deg, 1e-6);
    // Its weight in the middle between three tips.
    let tip = |turn: f64| {
        let (sin, cos) = turn.to_radians().sin_cos();
        [10.0 * cos, 10.0 * sin, 0.0]
    };
    let (low, top) = ([tip(0.0), tip(120.0), tip(240.0)], [0.0, 0.0, 12.0]);
    let middle = [0.0, 0.0, 4.0];
    let mut soup = Vec::new();
    for i in 0..3 {
        let (a, b) = (low[i], low[(i + 1) % 3]);
        soup.extend([[a, b, top], [b, a, middle]]);
    }
    let tripod = measure_mesh(&Mesh::from_soup(&soup), MeshUnit::Millimetre).unwrap();
    let stands = tipping(&tripod, [1.0; 3]);
    assert_eq!(stands.rests_on, RestsOn::Area);
    near(stands.nearest_edge_mm, 5.0, 1e-6);
}

#[test]
fn a_tip_is_a_point() {
    let mut shape = measured(&block(20.0, 20.0, 20.0));
    shape.footprint = Outline::rectangle(0.4, 0.4);
    assert_eq!(tipping(&shape, [1.0; 3]).rests_on, RestsOn::Point);
}

/// Oversize 1.2, 1.2, 1.25: a block 10 × 10 × 30 drawn at final size is 12 × 12 × 37.5 green.
#[test]
fn a_part_stands_otherwise_green_and_sintered() {
    let part = part(1, block(10.0, 10.0, 30.0), Drawn::Final);
    let catalogue = catalogue();
    let records = PartRecords::new(&part, &catalogue).unwrap();
    let green = part_tipping(&records, 1360.0, SizeStage::Green);
    near(green.foot_width_mm, 12.0, 1e-9);
    near(green.slenderness.unwrap(), 3.125, 1e-9);
    let sintered = part_tipping(&records, 1360.0, SizeStage::Sintered);
    near(sintered.slenderness.unwrap(), 3.0, 1e-9);
    near(sintered.tip_angle_deg, 18.435, 1e-3);
}

const SQUARE: [[f64; 2]; 4] = [
    [100.0, 100.0],
    [-100.0, 100.0],
    [-100.0, -100.0],
    [100.0, -100.0],
];

#[test]
fn reactions_by_moments() {
    // About either leg of a right angle: 1000 g at 50 of 200 mm puts 250 g on the far post.
    let three = [[0.0, 0.0], [200.0, 0.0], [0.0, 200.0]];
    let found = reactions(&three, 1000.0, [50.0, 50.0]).unwrap();
    assert_eq!(found.sharing, Sharing::Exact);
    for (got, expected) in found.carried_g.iter().zip([500.0, 250.0, 250.0]) {
        near(*got, expected, 1e-9);
    }
    // Outside the posts the plate falls, and the far post would have to pull.
    let found = reactions(&three, 1000.0, [-20.0, 100.0]).unwrap();
    for (got, expected) in found.carried_g.iter().zip([600.0, -100.0, 500.0]) {
        near(*got, expected, 1e-9);
    }
    // A stiff plate on four: 50 of 100 mm off the middle, one side 1.5 times the mean, the other
    // half of it.
    let found = reactions(&SQUARE, 1000.0, [50.0, 0.0]).unwrap();
    assert_eq!(found.sharing, Sharing::StiffPlate);
    for (got, expected) in found.carried_g.iter().zip([375.0, 125.0, 125.0, 375.0]) {
        near(*got, expected, 1e-9);
    }
    // Near a corner the opposite post lifts, and the other three are left: moments give 100 g on
    // each neighbour.
    let found = reactions(&SQUARE, 1000.0, [80.0, 80.0]).unwrap();
    for (got, expected) in found.carried_g.iter().zip([800.0, 100.0, 0.0, 100.0]) {
        near(*got, expected, 1e-9);
    }
    assert_eq!(reactions(&SQUARE[..2], 1000.0, [0.0; 2]), None);
    let in_line = [[0.0, 0.0], [50.0, 50.0], [100.0, 100.0], [70.0, 70.0]];
    assert_eq!(reactions(&in_line, 1000.0, [50.0, 50.0]), None);
}

#[test]
fn how_far_inside_the_posts() {
    let at = |at_mm| Centre {
        mass_g: 1000.0,
        at_mm,
        unknown: 0,
    };
    let found = lies_on(&SQUARE, &at([50.0, 20.0]));
    near(found.inside_mm.unwrap(), 50.0, 1e-12);
    near(found.inside_share.unwrap(), 0.5, 1e-12);
    near(
        lies_on(&SQUARE, &at([110.0, 0.0])).inside_share.unwrap(),
        -0.1,
        1e-12,
    );
    // A triangle 300 wide and 240 high: its centroid is 80 mm above the base, and nearer to it
    // than to the sides, 300·240/2/3·2/√(150² + 240²) = 84.8 mm.
    let three = [[-150.0, 0.0], [150.0, 0.0], [0.0, 240.0]];
    let found = lies_on(&three, &at([0.0, 20.0]));
    near(found.inside_share.unwrap(), 0.25, 1e-12);
    // Two posts hold nothing: 30 mm beside the line between them.
    let found = lies_on(&SQUARE[..2], &at([0.0, 70.0]));
    near(found.inside_mm.unwrap(), -30.0, 1e-12);
    assert_eq!(found.inside_share, None);
    assert_eq!(lies_on(&[], &at([0.0; 2])).inside_mm, None);
}

fn balanced(plan: &Plan) -> StackBalance {
    let catalogue = catalogue();
    let sizes = Sizes::new(plan, &catalogue);
    stack_balance(&plan.load.stacks[0], plan, &catalogue, &sizes)
}

/// Two plates of 2079 g on four posts of 20 g each; 1000 g at x = 90 on the lower, 500 g at
/// y = −60 on the upper.
#[test]
fn a_stack_by_hand() {
    let with = |upper: Carrier| {
        let levels = vec![
            level(
                1,
                "plate",
                on_posts(&SQUARE),
                vec![placed(1, dummy(1000.0), [90.0, 0.0])],
            ),
            level(
                2,
                "plate",
                upper,
                vec![placed(2, dummy(500.0), [0.0, -60.0])],
            ),
        ];
        balanced(&plan(Vec::new(), Vec::new(), levels))
    };
    let found = with(on_posts(&SQUARE));
    let [lower, upper] = &found.levels[..] else {
        panic!("two levels");
    };
    near(lower.own.mass_g, 3079.0, 1e-9);
    near(lower.own.at_mm[0], 90_000.0 / 3079.0, 1e-9);
    near(upper.carried.mass_g, 2579.0, 1e-9);
    near(upper.carried.at_mm[1], -30_000.0 / 2579.0, 1e-9);
    // The lower posts bear both plates, both dummies and the four upper posts.
    let carried_g = 3079.0 + 2579.0 + 80.0;
    near(lower.carried.mass_g, carried_g, 1e-9);
    let at = [90_000.0 / carried_g, -30_000.0 / carried_g];
    near(lower.carried.at_mm[0], at[0], 1e-9);
    let on = lower.on_posts.as_ref().unwrap();
    near(on.inside_mm.unwrap(), 100.0 - at[0], 1e-9);
    let reactions = on.reactions.as_ref().unwrap();
    near(
        reactions.carried_g[0],
        carried_g / 4.0 * (1.0 + at[0] / 100.0 + at[1] / 100.0),
        1e-9,
    );
    // With the lower posts, 5818 g: 15.47 mm of 100 mm on the way out.
    let [run] = &found.runs[..] else {
        panic!("one run");
    };
    near(run.centre.mass_g, carried_g + 80.0, 1e-9);
    near(run.share_of_way_out.unwrap(), 900.0 / 5818.0, 1e-9);
    assert_eq!((run.from, run.levels), (LevelId(1), 2));
    // In a rack slot the upper plate stands for itself, on 150 mm from middle to edge.
    let found = with(Carrier::RackSlot(1));
    near(found.levels[0].carried.mass_g, 3079.0, 1e-9);
    assert_eq!(found.runs.len(), 2);
    near(
        found.runs[1].share_of_way_out.unwrap(),
        30_000.0 / 2579.0 / 150.0,
        1e-9,
    );
}

/// A part whose centre of mass lies 4 mm beside its anchor along x when drawn, turned by 90°:
/// green 4.8 mm along y.
#[test]
fn the_centre_of_a_turned_part() {
    let mut wanted = part(1, block(20.0, 20.0, 10.0), Drawn::Final);
    let mut geometry = measured(&block(20.0, 20.0, 10.0));
    geometry.centroid_mm[0] = 4.0;
    wanted.geometry = geometry.into();
    let mut placement = placed(1, piece(1, Some(1)), [10.0, 0.0]);
    placement.angle_deg = 90.0;
    let plan = plan(
        vec![wanted],
        vec![lot(1, 1, MassState::Green)],
        vec![level(1, "plate", Carrier::Hearth, vec![placement])],
    );
    let own = balanced(&plan).levels[0].own;
    let piece_g = 1.8 * 20.552; // see tally
    near(own.at_mm[0], piece_g * 10.0 / (2079.0 + piece_g), 1e-9);
    near(own.at_mm[1], piece_g * 4.8 / (2079.0 + piece_g), 1e-9);
}

#[test]
fn posts_over_posts() {
    let shifted = SQUARE.map(|[x, y]| [x + 3.0, y - 4.0]);
    let levels = |first: Carrier| {
        let levels = vec![
            level(1, "plate", first, Vec::new()),
            level(2, "plate", on_posts(&shifted), Vec::new()),
        ];
        plan(Vec::new(), Vec::new(), levels)
    };
    let offsets = |plan: &Plan| -> Vec<_> {
        post_lines(&plan.load.stacks[0])
            .iter()
            .map(|line| (line.level.0, line.post, line.offset_mm))
            .collect()
    };
    let expected: Vec<_> = (0..4)
        .map(|post| (1, post, Some(0.0)))
        .chain((0..4).map(|post| (2, post, Some(5.0))))
        .collect();
    assert_eq!(offsets(&levels(on_posts(&SQUARE))), expected);
    let on_hearth = offsets(&levels(Carrier::Hearth));
    assert!(on_hearth.iter().all(|line| line.2 == Some(0.0)));
    let in_rack = offsets(&levels(Carrier::RackSlot(0)));
    assert!(in_rack.len() == 4 && in_rack.iter().all(|line| line.2.is_none()));
}

/// The two sums are written apart; this holds them together.
#[test]
fn a_level_weighs_what_the_tally_says() {
    let all = ["powder", "raft", ""]
        .iter()
        .enumerate()
        .flat_map(|(i, support)| {
            (0..3).map(move |kind| {
                let item = match kind {
                    0 => piece(1, Some(1)),
                    1 => piece(1, None),
                    _ => dummy(33.0),
                };
                let id = 3 * i as u32 + kind;
                let mut placement = placed(id, item, [f64::from(id), 5.0]);
                placement.support =
                    (kind < 2 && !support.is_empty()).then(|| (*support).to_owned());
                placement
            })
        });
    let plan = plan(
        vec![part(1, block(20.0, 15.0, 10.0), Drawn::Final)],
        vec![lot(1, 1, MassState::Green)],
        vec![level(1, "plate", Carrier::Hearth, all.collect())],
    );
    let catalogue = catalogue();
    let sizes = Sizes::new(&plan, &catalogue);
    let own = level_centre(&plan.load.stacks[0].levels[0], &plan, &catalogue, &sizes);
    near(own.mass_g, tally(&plan).whole.total_g(), 1e-9);
    assert_eq!(own.unknown, 0);
}

#[test]
fn what_is_unknown_is_counted() {
    let mut on_nothing = placed(1, dummy(10.0), [0.0; 2]);
    on_nothing.item = piece(7, None);
    let found = balanced(&plan(
        Vec::new(),
        Vec::new(),
        vec![level(1, "no such plate", Carrier::Hearth, vec![on_nothing])],
    ));
    assert_eq!(found.levels[0].own.unknown, 2);
    assert_eq!(found.levels[0].own.mass_g, 0.0);
    assert_eq!(found.runs[0].share_of_way_out, None);
}

fn points(count: std::ops::Range<usize>) -> impl Strategy<Value = Vec<[f64; 2]>> {
    proptest::collection::vec([-50.0..50.0, -50.0..50.0], count)
}

proptest! {
    #[test]
    fn the_tip_angle_is_the_same_turned_and_scaled(
        corners in points(3..9),
        height_mm in 5.0..200.0,
        turn_deg in 0.0..360.0,
        factor in 0.5..2.0,
    ) {
        let hull = convex_hull(corners.into_iter());
        let prism = |outline_mm: &[[f64; 2]]| measure_typed(&Shape::Prism {
            outline_mm: outline_mm.to_vec(),
            height_mm,
        });
        let Ok(straight) = prism(&hull) else { return Ok(()) };
        let (sin, cos) = f64::sin_cos(f64::to_radians(turn_deg));
        let turned: Vec<_> = hull
            .iter()
            .map(|[x, y]| [cos * x - sin * y, sin * x + cos * y])
            .collect();
        let Ok(turned) = prism(&turned) else { return Ok(()) };
        let first = tipping(&straight, [1.0; 3]);
        let scaled = tipping(&straight, [factor; 3]);
        let turned = tipping(&turned, [1.0; 3]);
        for other in [scaled, turned] {
            prop_assert!((first.tip_angle_deg - other.tip_angle_deg).abs() < 1e-6);
        }
        prop_assert!((first.foot_width_mm * factor - scaled.foot_width_mm).abs() < 1e-6);
        prop_assert!((first.foot_width_mm - turned.foot_width_mm).abs() < 1e-6);
        // The centroid lies at least a third of the width inside (any convex shape).
        prop_assert!(first.nearest_edge_mm >= first.foot_width_mm / 3.0 - 1e-6);
    }

    #[test]
    fn reactions_balance_weight_and_moments(
        posts in points(3..9),
        weights in proptest::collection::vec(0.01..1.0f64, 9),
        anywhere in [-80.0..80.0, -80.0..80.0],
        inside in any::<bool>(),
    ) {
        let total: f64 = weights.iter().zip(&posts).map(|(w, _)| w).sum();
        let mean = |axis: usize| -> f64 {
            weights.iter().zip(&posts).map(|(w, p)| w * p[axis]).sum::<f64>() / total
        };
        let at_mm = if inside { [mean(0), mean(1)] } else { anywhere };
        if let Some(found) = reactions(&posts, 1000.0, at_mm) {
            let sum: f64 = found.carried_g.iter().sum();
            // Posts nearly in line carry and pull far more than the weight; rounding goes with that.
            let moved: f64 = found.carried_g.iter().map(|g| g.abs()).sum();
            prop_assert!((sum - 1000.0).abs() < 1e-10 * moved + 1e-6);
            for (axis, at) in at_mm.iter().enumerate() {
                let moment: f64 =
                    found.carried_g.iter().zip(&posts).map(|(g, p)| g * p[axis]).sum();
                prop_assert!((moment - 1000.0 * at).abs() < 1e-8 * moved + 1e-3, "{moment}");
            }
            if inside {
                prop_assert!(found.carried_g.iter().all(|g| *g > -1e-3), "{found:?}");
            }
        }
    }
}
