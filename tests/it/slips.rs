//! Small slips of words and lists, each held once.

use crate::cli::{demo, json, run};
use crate::fixture::clean;
use setterwright::cli::{Shop, run_script};
use setterwright::review::Also;
use std::collections::BTreeMap;
use std::path::Path;

#[test]
fn a_title_is_not_said_to_be_gone_and_new() {
    let one = |slug| BTreeMap::from([(slug, 1_usize)]);
    let also = Also {
        gone: one("gap-too-small"),
        new: one("gap-too-small"),
        minutes: Some(0.0),
        mass_g: 0.0,
    };
    let said = also.shown();
    assert!(!said.contains("gone") && !said.contains("new:"), "{said}");
    assert!(said.contains("now about others: "), "{said}");
    let also = Also {
        new: one("part-near-post"),
        ..also
    };
    let said = also.shown();
    assert!(
        said.contains("also gone: ") && said.contains("new: "),
        "{said}"
    );
    assert!(!said.contains("others"), "{said}");
}

#[test]
fn what_an_acceptance_is_about_may_be_a_list() {
    let mut case = clean();
    case.level(0).placements[0].at_mm = [-43.8, -40.0];
    case.level(0).placements[4].at_mm = [-43.8, 0.0];
    let found = case.review().findings;
    let gaps = found.iter().filter(|f| f.check == "gap-too-small");
    assert_eq!(gaps.count(), 2);
    let shop = Shop {
        catalogue: &case.catalogue,
        shop: case.shop.as_deref(),
        standard: None,
        folder: Path::new("."),
    };
    let accept = |about: &str| {
        let text =
            format!("accept check=gap-too-small about=\"{about}\" by=E reason=tried on=2026-11-24");
        let (plan, _) = run_script(&text, &case.plan, &shop).ok()?;
        Some(plan.acceptances.len())
    };
    assert_eq!(accept("Bracket 1; Bracket 2"), Some(1));
    assert_eq!(accept("Bracket 2; Bracket 1;"), Some(1));
    assert_eq!(accept("Bracket 1"), Some(1));
    // Of two gaps neither is between these.
    assert_eq!(accept("Bracket 1; Bracket 5"), None);
    let text = "accept check=gap-too-small by=E reason=tried on=2026-11-24\n\
                withdraw check=gap-too-small about=\"Bracket 1; Bracket 2\"";
    let (plan, _) = run_script(text, &case.plan, &shop).unwrap();
    assert_eq!(plan.acceptances.len(), 1);
}

#[test]
fn what_was_accepted_is_withdrawn_in_the_same_words() {
    let (plan, working) =
        setterwright::files::open_load(Path::new(&demo("cautions.load.ron")), None).unwrap();
    let shop = Shop {
        catalogue: &working.catalogue,
        shop: working.shop.as_deref(),
        standard: None,
        folder: Path::new("."),
    };
    let accept = "accept check=drag-likely about=bracket by=E reason=tried on=2026-11-24";
    let (with, _) = run_script(accept, &plan, &shop).unwrap();
    assert_eq!(with.acceptances.len(), plan.acceptances.len() + 1);
    let withdraw = "withdraw check=drag-likely about=bracket";
    let (without, _) = run_script(withdraw, &with, &shop).unwrap();
    assert_eq!(without.acceptances, plan.acceptances);
    let slip = accept.replace("drag-likely", "drag-likly");
    let fault = run_script(&slip, &plan, &shop).unwrap_err().to_string();
    assert!(fault.contains("did you mean drag-likely"), "{fault}");
}

#[test]
fn a_binder_that_swells_has_its_swollen_size_listed() {
    let bracket = demo("meshes/bracket.stl");
    let sizes = |feedstock: &str| {
        let out = json(&run(&[
            "measure",
            &bracket,
            "--feedstock",
            feedstock,
            "--json",
        ]));
        let text = out.to_string();
        text.contains("swollen (assumed)")
    };
    assert!(sizes("17-4ph-thermal"));
    // What dissolves first swells in the basket, not in the furnace.
    assert!(!sizes("316l-wax"));
    let shown = run(&["measure", &bracket, "--feedstock", "17-4ph-thermal"]).out;
    let size = |stage: &str| -> f64 {
        let line = shown.lines().find(|l| l.contains(stage)).unwrap();
        let number = line.rsplit_once(": ").unwrap().1;
        number
            .trim()
            .split([' ', '\u{a0}'])
            .next()
            .unwrap()
            .parse()
            .unwrap()
    };
    let swell = size("swollen (assumed)") / size("size hottest before shrinking:");
    assert!((swell - 1.02).abs() < 1e-3, "{swell}");
}
