//! Limits and checks from finding one to having it set, kept and set back.

use super::bench::{Bench, in_both_locales};
use egui::{Key, Modifiers};
use setterwright::app::state::{Board, Modal};
use setterwright::catalogue::{LimitScope, Severity};

const ROW: &str = "Limit: smallest gap between parts, before growth, built-in";
const OWN: &str = "Limit: smallest gap between parts, before growth, shop";

impl Bench {
    fn show_limits(&mut self) {
        self.keys(Modifiers::COMMAND, Key::Num4);
        assert_eq!(self.app().view.board, Board::Limits);
    }

    fn gap(&self) -> (f64, u32, usize) {
        let limits = &self.app().working.catalogue.limits;
        let own = limits.iter().find(|l| l.is("gap-min", &LimitScope::Shop));
        own.map_or((0.0, 0, 0), |l| (l.value, l.revision, l.history.len()))
    }
}

#[test]
fn a_limit_is_set_for_the_shop_with_its_history() {
    in_both_locales(|| {
        let mut bench = Bench::demo("clean");
        bench.show_limits();
        assert!(bench.shows("choose its folder first"));
        let shop = bench.demo_shop();
        bench.show_limits();
        bench.fill("Find", "smallest gap");
        bench.click(ROW);
        assert!(bench.shows("Nothing is on record from before."));
        bench.fill("New value of the limit", "9");
        // Without a name and a reason nothing is kept.
        bench.click("Set the limit");
        assert!(
            matches!(&bench.app().modal, Some(Modal::Trouble(why)) if why.contains("why")),
            "{:?}",
            bench.app().modal
        );
        bench.key(Key::Escape);
        bench.fill("Set by", "Process engineer");
        bench.fill("Set on", "2026-11-20");
        bench.fill("Reason for it", "parts touched");
        bench.click("Set the limit");
        assert_eq!(bench.gap(), (9.0, 2, 1));
        let text = std::fs::read_to_string(shop.join("set-in-the-program.ron")).unwrap();
        assert!(text.contains("parts touched"), "{text}");
        // It is judged by at once, and its finding names who set it.
        bench.keys(Modifiers::COMMAND, Key::Num1);
        let found = bench.findings("gap-too-small");
        assert!(!found.is_empty());
        let limit = found[0].limit.as_ref().unwrap();
        assert_eq!(limit.set_by, "Process engineer");
        bench.show_limits();
        bench.click(OWN);
        assert!(bench.shows("Revision 1: 0.5 mm"));
        bench.fill("Reason for it", "it was the tray");
        bench.click("Set it back");
        assert_eq!(bench.gap(), (0.5, 3, 2));
    });
}

#[test]
fn a_check_is_weighed_otherwise_with_a_reason_and_a_safety_check_stays() {
    let mut bench = Bench::demo("clean");
    bench.demo_shop();
    bench.show_limits();
    bench.click("Show the Checks");
    bench.fill("Find", "may roll");
    bench.click("Check: Part may roll");
    bench.click("The check is on");
    bench.fill("Set by", "Process engineer");
    bench.click("Set the check");
    // A change without a reason is refused in a sentence.
    assert!(
        matches!(&bench.app().modal, Some(Modal::Trouble(_))),
        "{:?}",
        bench.app().modal
    );
    bench.key(Key::Escape);
    bench.fill("Reason for it", "round parts lie in grooves");
    bench.click("Set the check");
    let off = &bench.app().review().unwrap().off;
    assert!(
        off.iter()
            .any(|(slug, why)| *slug == "part-may-roll" && why.is_some())
    );
    bench.click("Set it back");
    assert!(bench.app().working.catalogue.checks.is_empty());
    bench.fill("Find", "unload temperature");
    bench.click("Check: Unload temperature high");
    assert!(bench.shows("A safety check stays on"));
    let severity = setterwright::review::check_by_slug("unload-too-hot").map(|c| c.severity);
    assert_eq!(severity, Some(Severity::Stop));
}

#[test]
fn a_check_is_switched_off_with_all_its_conditions() {
    in_both_locales(|| {
        let mut bench = Bench::demo("clean");
        bench.demo_shop();
        bench.show_limits();
        bench.click("Show the Checks");
        assert!(!bench.shows("Gap too small"));
        bench.click("All of: Gap between parts");
        assert!(bench.shows("It has 2 conditions:") && bench.shows("Gap too small"));
        bench.click("The check is on, with all its conditions");
        bench.fill("Set by", "Process engineer");
        bench.fill("Set on", "2026-11-20");
        bench.fill("Reason for it", "a tray holds them");
        bench.click("Set the check");
        let review = bench.app().review().unwrap();
        for slug in ["parts-touching", "gap-too-small"] {
            assert!(
                review
                    .off
                    .iter()
                    .any(|(off, why)| *off == slug && why.is_some())
            );
        }
        bench.click("Set it back");
        let review = bench.app().review().unwrap();
        assert!(review.off.iter().all(|(off, _)| *off != "gap-too-small"));
    });
}
