//! Fixes by the forecast's own figures: the finding is tripped, the fix offered, applied and tried
//! with a forecast of its own.

use crate::checks_forecast::{argon, backbone, forecast, hold, reviewed};
use crate::fixture::Case;
use setterwright::catalogue::Severity;
use setterwright::document::{Change, History};
use setterwright::files::canonical;
use setterwright::review::{Finding, FixKind, Fixer, Given, Review};
use std::sync::Arc;
use std::time::Duration;

fn found(case: &Case) -> Review {
    reviewed(case, &forecast(case))
}

/// Takes what is offered and holds it against what it promises; the words of its button.
#[track_caller]
fn mends(slug: &str, kind: FixKind, case: &Case) -> String {
    let was = found(case);
    let finding = was.findings.iter().find(|f| f.check == slug);
    let finding = finding
        .unwrap_or_else(|| panic!("{slug} finds nothing"))
        .clone();
    // Nobody hands the forecast in: it is made where a fix needs it.
    let given = Given {
        plan: &case.plan,
        catalogue: &case.catalogue,
        shop: case.shop.as_deref(),
        differences: &case.differences,
        standard: None,
        forecast: None,
    };
    let offer = Fixer::new(&given, &was).offer(&finding);
    let fix = offer.fixes().iter().find(|f| f.kind == kind);
    let fix = fix.unwrap_or_else(|| panic!("{slug}: {offer:?}")).clone();
    let mut history = History::new(case.plan.clone());
    let before = canonical(history.plan()).unwrap();
    let applied = history.apply(&fix.edit, &case.catalogue, Duration::ZERO);
    assert_eq!(applied.unwrap().change, Change::Step, "{slug}");
    let mended = Case {
        plan: Arc::unwrap_or_clone(Arc::clone(history.plan())),
        ..case.clone()
    };
    let now = found(&mended);
    let same = |a: &Finding, b: &Finding| a.check == b.check && a.subjects == b.subjects;
    assert!(
        !now.findings.iter().any(|f| same(f, &finding)),
        "{slug} is not gone"
    );
    let new_stop = now
        .findings
        .iter()
        .find(|f| f.severity == Severity::Stop && !was.findings.iter().any(|g| same(f, g)));
    assert!(new_stop.is_none(), "{slug}: {new_stop:?}");
    assert!(history.undo());
    assert_eq!(canonical(history.plan()).unwrap(), before, "{slug}");
    fix.label().replace('\u{a0}', " ")
}

#[test]
fn a_short_hold_is_lengthened_to_what_the_forecast_asks_for() {
    let mut case = argon();
    backbone(&mut case, 8.0);
    let label = mends("debind-hold-short", FixKind::LongerHold, &case);
    assert!(
        label.contains("segment 3") && label.contains("to spare"),
        "{label}"
    );
    backbone(&mut case, 2.0);
    let label = mends("debind-hold-far-short", FixKind::LongerHold, &case);
    assert!(label.contains("the forecast asks for"), "{label}");
}

#[test]
fn a_sinter_hold_gets_what_the_coldest_place_lacks() {
    let mut case = argon();
    hold(&mut case, 5, 30.0);
    case.profile().segments[5].wait_on = None;
    let label = mends("sinter-hold-short-at-coldest", FixKind::LongerHold, &case);
    assert!(
        label.contains("segment 6") && label.contains("to spare"),
        "{label}"
    );
}

#[test]
fn a_timeout_is_what_is_waited_with_a_reserve() {
    let mut case = argon();
    let wait = case.profile().segments[5].wait_on.as_mut().unwrap();
    wait.timeout_min = Some(121.0);
    let label = mends("wait-timeout-long", FixKind::Timeout, &case);
    assert!(
        label.starts_with("Timeout ") && label.contains("the forecast waits"),
        "{label}"
    );
}

#[test]
fn what_no_controller_holds_is_not_offered() {
    let mut case = argon();
    backbone(&mut case, 8.0);
    case.furnace().controller.hold_max_min = 9.0;
    let was = found(&case);
    let finding = was.findings.iter().find(|f| f.check == "debind-hold-short");
    let given = Given {
        plan: &case.plan,
        catalogue: &case.catalogue,
        shop: case.shop.as_deref(),
        differences: &case.differences,
        standard: None,
        forecast: None,
    };
    let offer = Fixer::new(&given, &was).offer(finding.unwrap());
    assert!(
        offer.fixes().iter().all(|f| f.kind != FixKind::LongerHold),
        "{offer:?}"
    );
}
