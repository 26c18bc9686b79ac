//! What a load and a shop may say beyond the least: it survives saving, and nonsense is refused.

use super::*;
use crate::catalogue::{CalibrationKind, LimitScope, builtin};
use crate::load::{Acceptance, Bath, Declaration, Edit, Lot, LotId, Plan, ProcedureRef, Signature};
use crate::part::{Drawn, Infill, Part, PartId, Rest, Shape, measure_typed};
use std::fs;
use std::sync::Arc;

fn some(text: &str) -> Option<String> {
    Some(text.to_owned())
}

pub(super) fn part(id: u32) -> Part {
    let shape = Shape::Block {
        width_mm: 20.0,
        depth_mm: 10.0,
        height_mm: 5.0,
    };
    Part {
        id: PartId(id),
        name: "Plate".to_owned(),
        feedstock: "316l-wax".to_owned(),
        geometry: Arc::new(measure_typed(&shape).unwrap()),
        shape,
        drawn: Drawn::Green,
        rest: Rest::AS_DRAWN,
        infill: Infill::Solid,
        keep_off: vec![Rest::towards([0.0, 0.0, 1.0]).unwrap()],
        approved_rest: Some(Rest::AS_DRAWN),
        made_with_oversize: None,
        weighed: None,
        section_mm: None,
        work_zone_only: false,
    }
}

pub(super) fn lot(id: u32, part: u32) -> Lot {
    Lot {
        count: 12,
        green_g: Some(100.0),
        dry_g: Some(96.0),
        previous_dry_g: Some(96.0),
        dried_min: Some(240.0),
        feedstock_lot: some("F-2201"),
        feedstock_expires: some("2027-06-30"),
        certificate: some("C-118"),
        balance: some("balance-1"),
        oversize: Some([1.16, 1.16, 1.17]),
        bath: Some(Bath {
            solvent: some("heptane"),
            bath_id: some("bath 2"),
            temp_c: Some(45.0),
            minutes: Some(600.0),
            wax_g_l: Some(35.0),
            basket: some("3"),
            on_tray: Some(false),
            ended: some("2027-03-14 06:30"),
            expires: some("2027-05-01"),
        }),
        green_at: some("2027-03-13 15:00"),
        previous_dry_at: some("2027-03-14 12:00"),
        dry_at: some("2027-03-14 14:00"),
        dryer_c: Some(60.0),
        dryer_ventilated: Some(true),
        acid_purged: Some(true),
        ..Lot::new(LotId(id), "A1", PartId(part))
    }
}

fn plan() -> Plan {
    let (catalogue, _) = builtin().unwrap();
    let edits = [
        Edit::SetPlannedStart(some("2027-03-15")),
        Edit::SetPlannedStartTime(some("06:30")),
        Edit::SetValidated(Some([2.0, 9.5])),
        Edit::AddPart(Box::new(part(1))),
        Edit::AddLot(lot(2, 1)),
        Edit::Declare(Declaration {
            question: "flame-proven".to_owned(),
            answer: "yes".to_owned(),
            by: "K".to_owned(),
            on: "2027-03-15".to_owned(),
            at: some("06:10"),
            about: some("furnace"),
        }),
        Edit::Accept(Acceptance {
            check: "gap-too-small".to_owned(),
            by: "K".to_owned(),
            reason: "same lot".to_owned(),
            on: "2027-03-15".to_owned(),
            role: some("process engineer"),
            procedure: Some(ProcedureRef {
                name: "P-7".to_owned(),
                revision: "3".to_owned(),
            }),
            ..Acceptance::default()
        }),
        Edit::Sign(Signature {
            role: "furnace technician".to_owned(),
            by: "K".to_owned(),
            on: "2027-03-15".to_owned(),
            at: some("06:15"),
        }),
    ];
    let mut plan = Plan::empty("small-vacuum-box");
    for edit in &edits {
        plan = edit.apply(&plan, &catalogue).unwrap();
    }
    plan
}

#[test]
fn every_field_survives_saving() {
    let plan = plan();
    let text = canonical(&plan).unwrap();
    let back = decode_load("a.load.ron", text.as_bytes()).unwrap();
    assert_eq!(back, plan);
    assert_eq!(canonical(&back).unwrap(), text);
}

#[test]
fn a_load_says_nothing_of_what_nobody_said() {
    let text = canonical(&Plan::empty("small-vacuum-box")).unwrap();
    for field in ["planned_start_time", "signatures", "validated_kg"] {
        assert!(!text.contains(field), "{field}");
    }
}

#[test]
fn nonsense_in_a_load_is_refused_with_its_place() {
    let text = canonical(&plan()).unwrap();
    for (old, new, place, says) in [
        ("\"06:30\"", "\"6.30\"", "planned_start_time", "hour:minute"),
        ("2.0", "11.0", "validated_kg", "turned round"),
        (
            "\"2027-06-30\"",
            "\"30.6.2027\"",
            "lots[0].feedstock_expires",
            "year-month-day",
        ),
        ("1.17", "-1.17", "lots[0].oversize", "above zero"),
        (
            "\"2027-03-14 14:00\"",
            "\"2027-03-14\"",
            "lots[0].dry_at",
            "hour:minute",
        ),
        ("35.0", "-35.0", "lots[0].bath.wax_g_l", "zero or more"),
        ("45.0", "4500.0", "lots[0].bath.temp_c", "beyond"),
        (
            "\"06:10\"",
            "\"26:10\"",
            "declarations[0].at",
            "hour:minute",
        ),
        ("\"06:15\"", "\"early\"", "signatures[0].at", "hour:minute"),
    ] {
        let short = |text: &str| text.replace(".0", "");
        let old = if text.contains(old) {
            old.to_owned()
        } else {
            short(old)
        };
        assert!(text.contains(&old), "{old}");
        let bad = text.replacen(&old, new, 1);
        let fault = decode_load("a.load.ron", bad.as_bytes()).unwrap_err();
        let said = fault.to_string();
        assert!(said.contains(place) && said.contains(says), "{said}");
    }
}

#[test]
fn edits_refuse_the_same() {
    let (catalogue, _) = builtin().unwrap();
    let plan = plan();
    let bath = |bath: Bath| Lot {
        bath: Some(bath),
        ..lot(2, 1)
    };
    for edit in [
        Edit::SetPlannedStartTime(some("25:00")),
        Edit::SetValidated(Some([3.0, 2.0])),
        Edit::ChangeLot(bath(Bath {
            minutes: Some(-1.0),
            ..Bath::default()
        })),
        Edit::ChangeLot(bath(Bath {
            temp_c: Some(f64::NAN),
            ..Bath::default()
        })),
        Edit::ChangeLot(Lot {
            dry_at: some("today"),
            ..lot(2, 1)
        }),
        Edit::Sign(Signature {
            role: " ".to_owned(),
            by: "K".to_owned(),
            on: "2027-03-15".to_owned(),
            at: None,
        }),
    ] {
        assert!(edit.apply(&plan, &catalogue).is_err(), "{edit:?}");
    }
}

const STATE: &str = r#"shop: (
    name: "A shop", placing_tolerance_mm: 0.3, stock: [],
    regulated: true,
    people: [(name: "K", roles: ["furnace technician"], qualified_until: "2027-12-31")],
    balances: [(id: "balance-1", step_g: 0.01, done: "2026-12-01", due: "2027-12-01")],
    furnaces: [(
        furnace: "small-vacuum-box", due: [], gases: [],
        survey: (
            date: "2026-10-12", due: "2027-04-12", drift_k: 3, overshoot_k: 0, class: 5,
            points: [(setpoint_c: 600, hottest_k: 4, coldest_k: -5)],
            places: [(zone: "door, left", level: 1, points: [(setpoint_c: 600, deviation_k: -5)])],
        ),
        sensors: [(slot: "control", kind: "S", class: 1, installed: "2026-05-04", uses: 60,
            uses_above_980: 40, correction_k: -0.8, logger_kind: "S")],
        instrument_k: 1.1, spread_k: 6,
        calibrations: [(kind: SystemAccuracy, done: "2026-10-15", due: "2027-01-15")],
        procedures: [(name: "P-7", revision: "3", covers: ["unload-too-hot"])],
        repaired_on: "2026-09-01", trap_runs: 4,
        loads: [(on: "2026-11-20", alloys: ["316l"], binders: ["wax-pp"])],
        cleaned_on: "2026-11-01", exhaust_dew_point_c: -42, exhaust_dew_point_read: "2026-11-20",
    )],
    source: "the shop's own book", standing: Shop,
)"#;

fn read(body: &str) -> Result<ShopFolder, FileFault> {
    let dir = tempfile::tempdir().unwrap();
    let text = format!("(kind: \"catalogue\", version: 1, {body})");
    fs::write(dir.path().join("a.ron"), text).unwrap();
    read_shop_folder(dir.path())
}

#[test]
fn the_state_of_a_shop_is_read() {
    let shop = read(STATE).unwrap().shop.unwrap();
    assert!(shop.regulated);
    let state = &shop.furnaces[0];
    assert_eq!(state.calibrations[0].kind, CalibrationKind::SystemAccuracy);
    assert_eq!(state.sensors[0].uses_above_980, Some(40));
    assert_eq!(state.procedures[0].covers, ["unload-too-hot"]);
    assert_eq!(state.survey.as_ref().unwrap().places[0].level, Some(1));
}

#[test]
fn nonsense_in_the_state_of_a_shop_is_refused() {
    for (old, new, says) in [
        ("\"2027-12-31\"", "\"soon\"", "which is no day"),
        ("step_g: 0.01", "step_g: 0", "above zero"),
        (
            "kind: \"S\", class",
            "kind: \"Q\", class",
            "is of type K, N",
        ),
        ("class: 1,", "class: 4,", "classes go from 1 to 3"),
        ("class: 5", "class: 9", "classes go from 1 to 6"),
        ("uses: 60", "uses: 30", "is a part of the second"),
        (
            "correction_k: -0.8",
            "correction_k: 1355",
            "difference of temperatures",
        ),
        (
            "instrument_k: 1.1",
            "instrument_k: -1.1",
            "not be below zero",
        ),
        ("level: 1", "level: 0", "levels count from 1"),
        ("revision: \"3\"", "revision: \"\"", "must say something"),
        (
            "unload-too-hot",
            "unload-to-hot",
            "did you mean unload-too-hot",
        ),
        (
            "exhaust_dew_point_c: -42",
            "exhaust_dew_point_c: -420",
            "-120 to 100",
        ),
        (
            "due: \"2027-01-15\"",
            "due: \"2027-13-15\"",
            "which is no day",
        ),
        (
            "due: \"2027-01-15\"",
            "due: \"2026-01-15\"",
            "after the day until which it holds",
        ),
        (
            "due: \"2027-04-12\"",
            "due: \"2026-04-12\"",
            "after the day until which it holds",
        ),
        (
            "deviation_k: -5",
            "deviation_k: -80",
            "outside the survey's extremes",
        ),
        (
            "due: [], gases: []",
            "due: [], gases: [], leak_um_h: -6",
            "not be below zero",
        ),
    ] {
        assert!(STATE.contains(old), "{old}");
        let said = read(&STATE.replacen(old, new, 1)).unwrap_err().to_string();
        assert!(said.contains(says) && said.contains("a.ron"), "{said}");
    }
}

#[test]
fn limits_keep_their_history_and_check_settings_their_scope() {
    let limit = |history: &str| {
        format!(
            r#"limits: [(id: "gap-min", name: "gap", value: 0.7, unit: "mm",
                scope: Alloy("316l"), set_by: "K", source: "shop", standing: Shop, revision: 3,
                reason: "narrow plates", on_day: "2027-01-04", history: [{history}])]"#
        )
    };
    let two = r#"(revision: 1, value: 0.5, set_by: "K", on: "2026-10-01"),
                 (revision: 2, value: 0.6, set_by: "K", reason: "slips")"#;
    let read_in = read(&limit(two)).unwrap().catalogue;
    let mine = LimitScope::Alloy("316l".to_owned());
    let found = read_in
        .limits
        .iter()
        .find(|l| l.id == "gap-min" && l.scope == mine);
    assert_eq!(found.unwrap().history.len(), 2);
    let said = read(&limit(&two.replace("revision: 2", "revision: 3")));
    assert!(said.unwrap_err().to_string().contains("revisions rise"));

    let setting = |scope: &str, reason: &str| {
        format!(
            r#"checks: [(check: "gap-too-small", on: true, severity: Caution, reason: "{reason}",
                scope: {scope}, set_by: "K", on_day: "2027-01-04")]"#
        )
    };
    let read_in = read(&setting("Alloy(\"316l\")", "pins")).unwrap().catalogue;
    assert_eq!(read_in.checks[0].scope, mine);
    assert_eq!(
        setting_key(&read_in.checks[0]),
        "gap-too-small (alloy 316l)"
    );
    let said = |text: &str| read(text).unwrap_err().to_string();
    assert!(said(&setting("Alloy(\"316\")", "pins")).contains("did you mean 316l"));
    assert!(said(&setting("Shop", " ")).contains("without a reason"));
}
