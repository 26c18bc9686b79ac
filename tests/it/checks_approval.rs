//! A profile and its approval, in a regulated shop and in others.

use crate::fixture::{Case, clean, found, not_evaluated, passes};
use setterwright::catalogue::Severity::Stop;
use setterwright::files;
use setterwright::load::{Edit, Plan, ProfileFigure};
use setterwright::profile::Approval;
use std::sync::Arc;

const NOT: &str = "profile-not-approved";
const CHANGED: &str = "profile-changed-since-approval";

/// Of revision A, for everything.
pub fn approval() -> Approval {
    Approval {
        revision: "A".to_owned(),
        by: "E".to_owned(),
        on: "2026-11-20".to_owned(),
        ..Approval::default()
    }
}

fn approved(change: impl FnOnce(&mut Approval)) -> impl FnOnce(&mut Case) {
    move |case| {
        case.shop_mut().regulated = true;
        let mut approval = approval();
        change(&mut approval);
        case.profile().approval = Some(approval);
    }
}

#[test]
fn only_a_regulated_shop_asks() {
    for regulated in [false, true] {
        let mut case = clean();
        case.shop_mut().regulated = regulated;
        let asked = |slug: &str| case.review().findings.iter().any(|f| f.check == slug);
        assert_eq!(asked(NOT), regulated);
        assert!(!asked(CHANGED));
    }
}

#[test]
fn not_approved() {
    found(NOT, Stop, |case| case.shop_mut().regulated = true);
    found(NOT, Stop, approved(|a| a.by = " ".to_owned()));
    passes(NOT, approved(|_| {}));
    let only = |slug: &'static str| approved(|a| a.feedstocks = vec![slug.to_owned()]);
    passes(NOT, only("316l-wax"));
    let finding = found(NOT, Stop, only("17-4ph-wax"));
    assert_eq!(finding.subjects.len(), 2);
    not_evaluated(NOT, "", |case| {
        only("316l-wax")(case);
        case.part().feedstock = "no-such".to_owned();
    });
}

#[test]
fn changed_since() {
    passes(CHANGED, approved(|_| {}));
    passes(CHANGED, |case| case.shop_mut().regulated = true);
    found(CHANGED, Stop, approved(|a| a.revision = "B".to_owned()));
    found(CHANGED, Stop, approved(|a| a.changed = true));
    let no_revision = approved(|a| a.revision = String::new());
    not_evaluated(CHANGED, "the revision of the profile", no_revision);
}

fn after(plan: &Plan, edit: Edit) -> Plan {
    edit.apply(plan, &clean().catalogue).unwrap()
}

#[test]
fn an_edit_of_the_steps_is_noted_with_the_approval() {
    let plan = clean().plan;
    let plan = after(&plan, Edit::ApproveProfile(Some(approval())));
    let changed = |plan: &Plan| plan.profile.approval.as_ref().map(|a| a.changed);
    assert_eq!(changed(&plan), Some(false));
    let named = ProfileFigure::Name("slow".to_owned());
    let plan = after(&plan, Edit::SetProfileFigure(named));
    assert_eq!(changed(&plan), Some(false));
    let mut segment = plan.profile.segments[0].clone();
    segment.hold_min += 1.0;
    let plan = after(&plan, Edit::ChangeSegment(segment));
    assert_eq!(changed(&plan), Some(true));
    let again = Approval {
        on: "2026-11-21".to_owned(),
        ..approval()
    };
    let plan = after(&plan, Edit::ApproveProfile(Some(again)));
    assert_eq!(changed(&plan), Some(false));
    assert_eq!(changed(&after(&plan, Edit::ApproveProfile(None))), None);
    let nobody = Approval::default();
    let refused = Edit::ApproveProfile(Some(nobody)).apply(&plan, &clean().catalogue);
    assert!(refused.is_err());
}

#[test]
fn a_file_keeps_it_and_a_script_gives_it() {
    let mut case = clean();
    let of = Approval {
        feedstocks: vec!["316l-wax".to_owned()],
        changed: true,
        ..approval()
    };
    case.profile().approval = Some(of.clone());
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("a.load.ron");
    let working = files::working(&case.plan, None).unwrap();
    files::save_load(&path, &case.plan, &working).unwrap();
    let read = files::read_load(&path).unwrap();
    assert_eq!(read.profile.approval, Some(of));
    let shop = setterwright::cli::Shop {
        catalogue: &case.catalogue,
        shop: None,
        standard: None,
        folder: dir.path(),
    };
    let text = "approve-profile by=E on=2026-11-20 for=\"316l-wax; 17-4ph-wax\"";
    let (plan, _) = setterwright::cli::run_script(text, &case.plan, &shop).unwrap();
    let given = plan.profile.approval.clone().unwrap();
    assert_eq!(given.revision, "A");
    assert_eq!(given.feedstocks, ["316l-wax", "17-4ph-wax"]);
    assert!(!given.changed);
    let (plan, _) = setterwright::cli::run_script("withdraw-approval", &plan, &shop).unwrap();
    assert_eq!(Arc::clone(&plan.profile).approval, None);
}
