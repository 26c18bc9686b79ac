//! Checks of the safety family: tripped, just inside, and without their datum.

use crate::checks_fixture_b::{Bench, clean, clean_hydrogen, event};
use crate::fixture::{Case, found, passes};
use setterwright::catalogue::{FurnaceKind, Kind, Lining, Severity::Stop};
use setterwright::profile::EventKind;
use setterwright::review::all_checks;

/// What comes before the flame and the hydrogen in the first segment.
fn before(purges: &[EventKind]) -> Bench {
    let mut bench = clean_hydrogen();
    bench.segment(1, |s| {
        s.events = purges.iter().cloned().map(event).collect();
        s.events.push(event(EventKind::BurnOffOn));
        s.events.push(event(EventKind::HydrogenOn));
    });
    bench
}

/// What comes after the hydrogen in the last segment.
fn after(purges: &[EventKind]) -> Bench {
    let mut bench = clean_hydrogen();
    bench.segment(7, |s| {
        s.events = vec![event(EventKind::HydrogenOff), event(EventKind::BurnOffOff)];
        s.events.extend(purges.iter().cloned().map(event));
    });
    bench
}

fn volumes(volumes: f64) -> EventKind {
    EventKind::PurgeInert { volumes }
}

fn pump(to_mbar: f64) -> EventKind {
    EventKind::PumpDown { to_mbar }
}

fn fill(to_mbar: f64) -> EventKind {
    EventKind::Backfill {
        gas: "argon".to_owned(),
        to_mbar,
    }
}

#[test]
fn every_safety_check_is_one_that_nobody_waves_through() {
    for check in all_checks() {
        if check.family == setterwright::review::Family::Safety {
            assert!(check.safety || check.some_safety, "{}", check.slug);
            let words = setterwright::text::findings::prose(check.slug).unwrap();
            for said in [words.title, words.sentence, words.why, words.remedy] {
                assert!(!said.to_lowercase().contains("safe"), "{}", check.slug);
            }
        }
    }
}

#[test]
fn air_goes_out_before_fuel_comes_in() {
    let check = "hydrogen-without-purge-before";
    before(&[]).finds(check);
    before(&[volumes(4.9)]).finds(check);
    before(&[volumes(5.0)]).passes(check);
    before(&[volumes(3.0), volumes(2.0)]).passes(check);
    before(&[pump(10.0)]).passes(check);
    // A flammable gas without any event is fuel as well.
    let mut bench = clean();
    bench.segment(2, |s| s.gas = Some("nitrogen-hydrogen-5".to_owned()));
    bench.segment(1, |s| s.events.clear());
    bench.finds(check);
    // And so is a backfill with it.
    let mut bench = before(&[]);
    bench.segment(1, |s| {
        s.events.insert(
            0,
            event(EventKind::Backfill {
                gas: "hydrogen".to_owned(),
                to_mbar: 100.0,
            }),
        );
    });
    bench.finds(check);

    // The 760 °C rule is for continuous furnaces only.
    let mut bench = before(&[]);
    bench.profile(|p| p.start_c = 760.0);
    bench.finds(check);
    bench.furnace(|f| f.kind = FurnaceKind::Continuous);
    bench.passes(check);
    bench.profile(|p| p.start_c = 759.0);
    bench.finds(check);
    bench.without_limit("purge-volumes");
    bench.lacks(check);
    bench.without_record(Kind::Furnace, "mid-hydrogen-retort");
    bench.lacks(check);
    let mut bench = clean();
    bench.segment(2, |s| s.gas = Some("no-such-gas".to_owned()));
    for check in [
        "hydrogen-without-purge-before",
        "hydrogen-without-purge-after",
        "purge-before-fuel-weak",
        "purge-before-air-weak",
        "hydrogen-without-burn-off",
        "hydrogen-event-mismatch",
    ] {
        bench.lacks(check);
    }
}

/// Story 3: five volumes at K 0.5 leave 20.9 % · exp(-2.5) = 1.7 % oxygen; pumping to 10 mbar and
/// backfilling twice leaves 21 ppm.
#[test]
fn a_purge_is_judged_by_what_it_leaves() {
    let check = "purge-before-fuel-weak";
    let oxygen = |bench: &Bench| bench.finds(check).measured.unwrap().value;
    let got = oxygen(&before(&[volumes(5.0)]));
    assert!((got - 0.017).abs() < 0.0002, "{got}");
    // 1 % is left after ln(20.9)/0.5 = 6.08 volumes.
    before(&[volumes(6.07)]).finds(check);
    before(&[volumes(6.09)]).passes(check);
    let twice = [pump(10.0), fill(1000.0), pump(10.0), fill(1000.0)];
    let mut bench = before(&twice);
    bench.passes(check);
    for limit in &mut bench.catalogue.limits {
        if limit.id == "oxygen-before-fuel" {
            limit.value = 0.001; // %
        }
    }
    let got = oxygen(&bench);
    assert!((got - 21e-6).abs() < 0.5e-6, "{got}");
    // A second pump-down without gas between takes nothing more away than the deeper of the two.
    let mut bench = before(&[pump(50.0), pump(100.0)]);
    let got = oxygen(&bench);
    assert!((got - 0.209 * 50.0 / 1013.25).abs() < 1e-9, "{got}");
    bench.without_limit("oxygen-before-fuel");
    bench.lacks(check);
    bench.without_limit("purge-mixing");
    bench.lacks(check);
}

#[test]
fn fuel_goes_out_before_air_comes_in() {
    let check = "hydrogen-without-purge-after";
    after(&[]).finds(check);
    after(&[volumes(4.9)]).finds(check);
    after(&[volumes(5.0)]).passes(check);
    after(&[pump(10.0)]).passes(check);
    // Too late: the load is out.
    after(&[EventKind::Unload, volumes(10.0)]).finds(check);
    after(&[volumes(10.0), EventKind::Unload]).passes(check);
    let mut bench = after(&[volumes(10.0)]);
    bench.segment(7, |s| {
        s.events.remove(0);
    });
    bench.finds(check); // never switched off
    bench.without_limit("purge-volumes");
    bench.lacks(check);

    // Story 3: 1 % hydrogen is left after ln(100)/0.5 = 9.2 volumes.
    let check = "purge-before-air-weak";
    after(&[volumes(9.2)]).finds(check);
    after(&[volumes(9.22)]).passes(check);
    let mut bench = after(&[volumes(9.22)]);
    bench.without_limit("fuel-before-air");
    bench.lacks(check);
}

#[test]
fn the_flame_burns_before_the_gas_comes() {
    let mut bench = clean_hydrogen();
    bench.passes("hydrogen-without-burn-off");
    bench.segment(1, |s| s.events.retain(|e| e.kind != EventKind::BurnOffOn));
    bench.segment(1, |s| s.events.push(event(EventKind::BurnOffOn)));
    bench.finds("hydrogen-without-burn-off");
}

#[test]
fn events_and_gas_say_the_same() {
    let mut bench = clean_hydrogen();
    bench.passes("hydrogen-event-mismatch");
    bench.segment(3, |s| s.gas = Some("argon".to_owned()));
    bench.finds("hydrogen-event-mismatch");
    let mut bench = clean();
    bench.segment(7, |s| s.gas = Some("nitrogen-hydrogen-5".to_owned()));
    bench.finds("hydrogen-event-mismatch");
}

#[test]
fn the_load_comes_out_cold() {
    let mut bench = clean();
    bench.profile(|p| p.unload_c = 80.0);
    bench.passes("unload-too-hot");
    bench.profile(|p| p.unload_c = 81.0);
    bench.finds("unload-too-hot");
    bench.furnace(|f| f.lining = Lining::Molybdenum);
    bench.profile(|p| p.unload_c = 60.0);
    bench.passes("unload-too-hot");
    bench.profile(|p| p.unload_c = 61.0);
    bench.finds("unload-too-hot");
    bench.without_limit("unload-max-molybdenum");
    bench.lacks("unload-too-hot");
    bench.without_record(Kind::Furnace, "small-vacuum-box");
    bench.lacks("unload-too-hot");
}

#[test]
fn gas_that_displaces_air_is_named() {
    let mut bench = clean();
    bench.finds("inert-gas-entry");
    bench.without_limit("oxygen-deficient");
    bench.lacks("inert-gas-entry");
    bench.profile(|p| {
        for segment in &mut p.segments {
            segment.gas = None;
            segment.events.clear();
        }
    });
    bench.passes("inert-gas-entry");
}

#[test]
fn the_cut_out_is_declared_and_near() {
    let set = |answer: &str| {
        let mut bench = clean();
        bench.plan.declarations[0].answer = answer.to_owned();
        bench
    };
    // The highest target is 1360 °C; 15 to 30 K above it.
    for (answer, low, high) in [
        ("1374", true, false),
        ("1375 °C", false, false),
        ("1390 °C", false, false),
        ("2536 °F", false, true), // 1391.1 °C
    ] {
        let bench = set(answer);
        let found = |check| bench.found(check).len();
        assert_eq!(
            found("over-temperature-set-low"),
            usize::from(low),
            "{answer}"
        );
        assert_eq!(
            found("over-temperature-set-high"),
            usize::from(high),
            "{answer}"
        );
    }
    let mut bench = set("yes");
    bench.lacks("over-temperature-set-low");
    // An answer that is no temperature declares nothing.
    bench.finds("over-temperature-not-declared");
    set("1380").passes("over-temperature-not-declared");
    bench.plan.declarations.clear();
    bench.finds("over-temperature-not-declared");
    bench.lacks("over-temperature-set-low");
    bench.lacks("over-temperature-set-high");
    for (limit, check) in [
        ("over-temperature-margin-min", "over-temperature-set-low"),
        ("over-temperature-margin-max", "over-temperature-set-high"),
    ] {
        let mut bench = clean();
        bench.without_limit(limit);
        bench.lacks(check);
    }
}

/// No outside source: a limit of a check that concerns people is loosened by no sentence.
#[test]
fn a_safety_limit_set_looser_is_a_stop_and_a_stricter_one_is_none() {
    let slug = "safety-limit-loosened";
    let set = |id: &'static str, value: f64| move |case: &mut Case| case.limit(id).value = value;
    passes(slug, |_| {});
    passes(slug, set("unload-max", 60.0));
    passes(slug, set("purge-volumes", 10.0));
    // A gap is no matter of safety.
    passes(slug, set("gap-min", 0.1));
    for (id, value) in [
        ("unload-max", 900.0),
        ("purge-volumes", 0.01),
        ("oxygen-before-fuel", 21.0),
        ("fuel-before-air", 100.0),
        ("dry-time-min", 0.0),
        ("purge-mixing", 1e6),
    ] {
        let finding = found(slug, Stop, set(id, value));
        assert!(finding.safety, "{id}");
    }
}

#[test]
fn answers_of_nobody_and_of_days_to_come_are_none() {
    let slug = "not-declared";
    let spoil = |change: fn(&mut setterwright::load::Declaration)| {
        move |case: &mut Case| case.plan.declarations.iter_mut().for_each(change)
    };
    passes(slug, |_| {});
    let nameless = spoil(|d| d.by = " ".to_owned());
    let later = spoil(|d| d.on = "2099-01-01".to_owned());
    for change in [nameless, later] {
        let mut case = crate::fixture::clean();
        change(&mut case);
        assert!(!case.plan.declarations.is_empty());
        assert!(!case.says(slug).0.is_empty());
    }
}
