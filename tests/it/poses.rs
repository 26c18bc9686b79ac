//! Resting poses: their ranking, parts laid another way, and what files and scripts make of it.

use super::cli::{demo, json, run};
use setterwright::geometry::{Mesh, Outline};
use setterwright::part::{
    Drawn, Infill, MassState, MeshUnit, Part, Rest, Shape, Weighed, measure_typed_at, typed_mesh,
};
use setterwright::statics::{Poses, RestBy, RestsOn, resting_poses, tipping};
use std::fs;

const DOWN: [f64; 3] = [0.0, 0.0, -1.0];

fn poses(mesh: &Mesh, keep_off: &[Rest]) -> Poses {
    resting_poses(mesh, MeshUnit::Millimetre, keep_off).unwrap()
}

fn block(size: [f64; 3], at: [f64; 3]) -> Mesh {
    Mesh::upright(&Outline::rectangle(size[0], size[1]), size[2]).moved(at)
}

/// A plate 40 × 30 × 3 on two walls 3 thick and 5 high along its long sides.
fn bridge() -> Mesh {
    let profile = [
        [-15.0, 0.0],
        [-12.0, 0.0],
        [-12.0, 5.0],
        [12.0, 5.0],
        [12.0, 0.0],
        [15.0, 0.0],
        [15.0, 8.0],
        [-15.0, 8.0],
    ];
    Mesh::upright(&Outline::polygon(&profile).unwrap(), 40.0).resting([0.0, -1.0, 0.0])
}

#[test]
fn of_two_poses_as_low_the_one_without_a_bridge_is_better() {
    let poses = poses(&bridge(), &[]);
    let best = &poses.ranked[0];
    assert_eq!(best.rest.kept(), [0.0, 0.0, 1.0]);
    assert!((best.contact_area_mm2 - 1200.0).abs() < 1e-6);
    assert_eq!(best.overhang.unwrap().area_mm2, 0.0);
    let drawn = poses.ranked.iter().find(|p| p.rest.is_as_drawn()).unwrap();
    assert_eq!(drawn.height_mm, best.height_mm);
    assert!((drawn.contact_area_mm2 - 240.0).abs() < 1e-6);
    assert!((drawn.support_area_mm2 - 1200.0).abs() < 1e-6);
    // Between the walls, 24 mm apart.
    assert!((drawn.overhang.unwrap().span_mm - 24.0).abs() < 0.1);
    assert!(drawn.score < best.score);
}

#[test]
fn a_low_pose_that_rolls_or_is_kept_off_comes_after_a_higher_one_that_stands() {
    let rod = Mesh::upright(&Outline::disc(8.0), 30.0);
    let found = poses(&rod, &[]);
    // Two ends and one for all of the round.
    assert_eq!(found.ranked.len(), 3, "{:?}", found.ranked);
    let last = found.ranked.last().unwrap();
    assert_eq!(last.rests_on, RestsOn::Line);
    assert!(last.alike > 10 && last.height_mm < 8.2);
    assert!(found.ranked[0].rest.is_as_drawn());
    assert_eq!(found.left_out, 0);

    let up = Rest::towards([0.0, 0.0, 1.0]).unwrap();
    let kept = poses(&bridge(), &[up]);
    let last = kept.ranked.last().unwrap();
    assert!(last.kept_off && last.rest == up);
    assert!(kept.ranked.iter().filter(|p| p.kept_off).count() == 1);
}

#[test]
fn the_drawn_pose_is_offered_even_where_it_falls() {
    // A leaning tower, drawn on its foot.
    let mut tower = block([4.0, 4.0, 30.0], [0.0; 3]);
    for v in &mut tower.vertices {
        v[0] += 0.5 * v[2];
    }
    let found = poses(&tower, &[]);
    let drawn = found.ranked.last().unwrap();
    assert!(drawn.rest.is_as_drawn() && !drawn.stands && drawn.tip_angle_deg < 0.0);
    // Its centre is 7.5 beside the middle of a foot 4 wide, 15 high.
    let expected = (-5.5_f64).atan2(15.0).to_degrees();
    assert!((drawn.tip_angle_deg - expected).abs() < 1e-6);
}

#[test]
fn typed_solids_lie_as_their_measures_say() {
    let side = Rest::towards([1.0, 0.0, 0.0]).unwrap();
    let typed = Shape::Block {
        width_mm: 30.0,
        depth_mm: 20.0,
        height_mm: 10.0,
    };
    let laid = measure_typed_at(&typed, side).unwrap();
    let size: Vec<f64> = laid.size_mm.to_vec();
    assert!(
        (size[0] - 10.0).abs() < 1e-9 && (size[2] - 30.0).abs() < 1e-9,
        "{size:?}"
    );
    assert_eq!((laid.volume_mm3, laid.section_mm), (6000.0, Some(10.0)));
    assert!((laid.footprint.area() - 200.0).abs() < 1e-6);

    let rod = Shape::Disc {
        diameter_mm: 12.0,
        height_mm: 50.0,
    };
    let stands = |rest| tipping(&measure_typed_at(&rod, rest).unwrap(), [1.0; 3]).rests_on;
    assert_eq!(stands(Rest::AS_DRAWN), RestsOn::Area);
    assert_eq!(stands(side), RestsOn::Line);
    let tube = Shape::Tube {
        outer_mm: 20.0,
        bore_mm: 12.0,
        height_mm: 15.0,
    };
    let lying = measure_typed_at(&tube, side).unwrap();
    assert!((lying.height_mm() - 20.0).abs() < 0.1);
    assert!((lying.outline().area() - 300.0).abs() < 2.0);
    let mesh = typed_mesh(&tube).unwrap().unwrap();
    assert_eq!(mesh.measures().open_edges, 0);
    // Of an outline only that is known.
    let outline = Shape::Outline {
        outline_mm: vec![[0.0, 0.0], [9.0, 0.0], [0.0, 9.0]],
        height_mm: 4.0,
    };
    assert!(measure_typed_at(&outline, Rest::AS_DRAWN).is_ok());
    let said = measure_typed_at(&outline, side).unwrap_err().to_string();
    assert!(said.contains("rests as typed"), "{said}");
}

#[test]
fn a_pose_is_named_by_number_direction_or_as_drawn() {
    let named = |text: &str| text.parse::<RestBy>();
    assert_eq!(named("as-drawn").unwrap(), RestBy::Towards(Rest::AS_DRAWN));
    assert_eq!(named("2").unwrap(), RestBy::Rank(2, Vec::new()));
    let Ok(RestBy::Towards(rest)) = named("0, -2, 0") else {
        panic!();
    };
    assert_eq!(rest.kept(), [0.0, -1.0, 0.0]);
    for bad in ["0", "-1", "up", "0,0,0", "1,2", "nan,0,1", ""] {
        assert!(named(bad).unwrap_err().contains("as-drawn"), "{bad}");
    }
}

#[test]
fn measure_lists_poses_and_measures_in_one() {
    let bracket = demo("meshes/bracket.stl");
    let listed = json(&run(&["measure", &bracket, "--poses", "--json"]));
    let poses = listed["poses"].as_array().unwrap();
    assert!(poses.len() >= 6);
    for (i, pose) in poses.iter().enumerate().take(3) {
        let rank = (i + 1).to_string();
        let laid = json(&run(&["measure", &bracket, "--rest", &rank, "--json"]));
        for key in ["height_mm", "contact_area_mm2", "overhang_area_mm2"] {
            let (a, b) = (laid[key].as_f64().unwrap(), pose[key].as_f64().unwrap());
            assert!((a - b).abs() < 1e-6 * a.max(1.0), "{key} {a} {b}");
        }
        assert_eq!(laid["rest_down"], pose["rest_down"]);
        // The same part: nothing of its own changes.
        for key in ["volume_mm3", "area_mm2", "convex_hull_volume_mm3"] {
            let (a, b) = (laid[key].as_f64().unwrap(), listed[key].as_f64().unwrap());
            assert!((a - b).abs() < 1e-9 * a, "{key} {a} {b}");
        }
        for k in 0..3 {
            let at = |v: &serde_json::Value| v["centroid_mm"][k].as_f64().unwrap();
            assert!((at(&laid) - at(&listed)).abs() < 1e-9);
        }
    }
    let text = run(&["measure", &bracket, "--poses", "--feedstock", "316l-wax"]).out;
    for words in [
        "pose 1: down",
        "as drawn",
        "convex hull:",
        "inertia:",
        "wet area:",
        "support polygon:",
        "longest free span:",
        "tip angle sintered:",
        "infill: solid",
        "resting: as drawn",
    ] {
        assert!(text.contains(words), "{words} is not in\n{text}");
    }
    let said = run(&["measure", &bracket, "--rest", "99"]);
    assert_eq!(said.code, 2);
    assert!(said.err.contains("no pose 99"), "{}", said.err);
    // A minus at the front is a direction, not an option.
    let laid = json(&run(&["measure", &bracket, "--rest", "-1,0,0", "--json"]));
    assert_eq!(laid["rest_down"][0].as_f64(), Some(-1.0));
}

#[test]
fn infill_needs_the_scale_and_has_the_section_of_its_shell() {
    let bracket = demo("meshes/bracket.stl");
    let with = |more: &[&str]| {
        let mut arguments = vec!["measure", &bracket, "--feedstock", "316l-wax", "--json"];
        arguments.extend(more);
        json(&run(&arguments))
    };
    let solid = with(&[]);
    let open = with(&["--infill", "open", "--shell", "1mm"]);
    assert_eq!(
        open["with_feedstock"]["green_section_mm"].as_f64(),
        Some(1.0)
    );
    assert!(open["with_feedstock"]["mass_g"][0][1].is_null());
    assert_eq!(open["with_feedstock"]["mass_from"], "not evaluated");
    assert!(solid["with_feedstock"]["mass_g"][0][1].as_f64().unwrap() > 1.0);
    let weighed = with(&[
        "--infill", "closed", "--shell", "1mm", "--mass", "20g", "--state", "green",
    ]);
    assert_eq!(
        weighed["with_feedstock"]["mass_g"][0][1].as_f64(),
        Some(20.0)
    );
    assert_eq!(weighed["with_feedstock"]["mass_from"], "scale");
    // Nowhere thicker than two shells: solid all through.
    let thick = with(&["--infill", "open", "--shell", "30mm"]);
    let section = |m: &serde_json::Value| m["with_feedstock"]["green_section_mm"].as_f64();
    assert_eq!(section(&thick), section(&solid));
    assert_eq!(run(&["measure", &bracket, "--infill", "open"]).code, 2);
    assert_eq!(run(&["measure", &bracket, "--shell", "2"]).code, 2);
    assert_eq!(
        run(&["measure", &bracket, "--shell", "-2", "--infill", "open"]).code,
        2
    );
}

/// A load with a bracket laid on its side, infill, and a part known by outline and mass.
#[test]
fn poses_infill_and_outlines_go_through_scripts_files_and_review() {
    let dir = tempfile::tempdir().unwrap();
    fs::create_dir(dir.path().join("meshes")).unwrap();
    fs::copy(
        demo("meshes/bracket.stl"),
        dir.path().join("meshes/bracket.stl"),
    )
    .unwrap();
    let path = |name: &str| dir.path().join(name).display().to_string();
    let edit = |from: Option<&str>, script: &str, to: &str| {
        fs::write(path("s.script"), script).unwrap();
        let (script, to) = (path("s.script"), path(to));
        let mut arguments = vec!["edit", "--script", &script, "-o", &to];
        let from = from.map(path);
        arguments.extend(from.as_deref());
        run(&arguments)
    };
    let parts = "load title=T furnace=small-vacuum-box\n\
        part name=side mesh=meshes/bracket.stl unit=mm size=final feedstock=316l-wax rest=0,-1,0\n\
        part name=light mesh=meshes/bracket.stl unit=mm size=final feedstock=316l-wax infill=closed shell=1.2\n\
        part name=plain outline=\"0,0 30,0 30,20 0,20\" height=8 size=green feedstock=316l-wax mass=25 state=green\n\
        part name=rod disc=12x40 size=green feedstock=316l-wax rest=1,0,0\n\
        level setter=alumina-square-200x6 on=hearth\n\
        place part=side level=1 x=-60 y=-60\nplace part=light level=1 x=60 y=60\n\
        place part=plain level=1 x=-60 y=60\nplace part=rod level=1 x=60 y=-60\n";
    let ran = edit(None, parts, "a.load.ron");
    assert_eq!(ran.code, 0, "{}", ran.err);
    let saved = fs::read_to_string(path("a.load.ron")).unwrap();
    for words in [
        "rest: (0.0, -1.0, 0.0)",
        "infill: Closed",
        "Outline(",
        "rest: (1.0, 0.0, 0.0)",
    ] {
        assert!(saved.contains(words), "{words} is not in\n{saved}");
    }
    // Opened and saved again it is the same.
    let ran = edit(Some("a.load.ron"), "# nothing\n", "b.load.ron");
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert_eq!(saved, fs::read_to_string(path("b.load.ron")).unwrap());
    let review = json(&run(&["review", &path("a.load.ron"), "--json"]));
    let text = review.to_string();
    let about = |check: &str| text.matches(&format!("\"{check}\"")).count();
    assert!(about("outline-and-mass-only") > 0 && about("closed-infill") > 0);
    assert!(about("part-may-roll") > 0);
    assert!(text.contains("weighed mass of light"), "{text}");
    assert!(
        text.contains("volume of metal and binder in plain"),
        "{text}"
    );
    assert!(text.contains("centre of mass of plain"), "{text}");
    let tally = json(&run(&["tally", &path("a.load.ron"), "--json"]));
    assert!(tally.to_string().contains("\"not_counted\":1"), "{tally}");

    // Laid as drawn again it is the bracket as imported.
    let ran = edit(
        Some("a.load.ron"),
        "rest part=side rest=as-drawn\n",
        "c.load.ron",
    );
    assert_eq!(ran.code, 0, "{}", ran.err);
    let plain = parts.replace(" rest=0,-1,0", "");
    assert_eq!(edit(None, &plain, "d.load.ron").code, 0);
    assert_eq!(
        fs::read_to_string(path("c.load.ron")).unwrap(),
        fs::read_to_string(path("d.load.ron")).unwrap()
    );
    let refused = |script: &str, words: &str| {
        let ran = edit(Some("a.load.ron"), script, "e.load.ron");
        assert_eq!(ran.code, 2, "{}", ran.out);
        assert!(ran.err.contains(words), "{}", ran.err);
    };
    refused("lock all=side\nrest part=side rest=1\n", "locked");
    refused("rest part=plain rest=1,0,0\n", "rests as typed");
    refused("rest part=side rest=99\n", "no pose 99");
    refused("rest part=side rest=0,1,0 keep-off=0,1,0\n", "kept off");
    refused("change-part part=light infill=open\n", "shell");
    refused(
        "change-part part=light infill=foam shell=1\n",
        "solid, open or closed",
    );
    refused(
        "part name=x outline=\"0,0 30,0 30,20\" height=8 size=green feedstock=316l-wax\n",
        "mass",
    );
    // Another mesh under the same name is another part.
    fs::copy(
        demo("meshes/ring.stl"),
        dir.path().join("meshes/bracket.stl"),
    )
    .unwrap();
    refused("rest part=side rest=as-drawn\n", "not the mesh");
    fs::remove_file(dir.path().join("meshes/bracket.stl")).unwrap();
    refused("rest part=side rest=as-drawn\n", "bracket.stl");
}

#[test]
fn a_part_with_infill_weighs_what_the_scale_says() {
    let mut part: Part = super::shop::part(
        1,
        Shape::Block {
            width_mm: 20.0,
            depth_mm: 20.0,
            height_mm: 10.0,
        },
        Drawn::Green,
    );
    let oversize = [1.2; 3];
    assert_eq!(part.green_section_mm(oversize), Some(10.0));
    part.infill = Infill::Open {
        shell_thickness_mm: 1.5,
    };
    assert_eq!(part.green_section_mm(oversize), Some(1.5));
    let catalogue = super::shop::catalogue();
    let records = |part: &Part| {
        let records = setterwright::load::PartRecords::new(part, &catalogue).unwrap();
        records.masses(0.5)
    };
    assert_eq!(records(&part), None);
    part.weighed = Some(Weighed {
        state: MassState::Green,
        mass_g: 9.0,
    });
    assert_eq!(records(&part).unwrap().green_g, 9.0);
    part.section_mm = Some(4.0);
    assert_eq!(part.green_section_mm(oversize), Some(4.0));
    assert_eq!(Rest::AS_DRAWN.kept(), DOWN);
}
