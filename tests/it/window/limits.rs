//! Limits and checks from finding one to having it set, kept and set back.

use super::bench::{Bench, in_both_locales, plain};
use egui::{Key, Modifiers};
use egui_kittest::kittest::NodeT as _;
use setterwright::app::state::{Board, Modal};
use setterwright::catalogue::{LimitScope, Severity};

const ROW: &str = "Limit: smallest gap between parts, before growth, built-in";
const OWN: &str = "Limit: smallest gap between parts, before growth, shop";

impl Bench {
    fn show_limits(&mut self) {
        self.keys(Modifiers::COMMAND, Key::Num4);
        assert_eq!(self.app().view.board, Board::Limits);
    }

    fn ticked(&self, name: &str) -> bool {
        let toggled = self.find(name).accesskit_node().toggled();
        toggled == Some(egui::accesskit::Toggled::True)
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
        // The one that was set is the one that is looked at.
        assert!(bench.shows("Revision 1: 0.5 mm"));
        assert!(bench.ticked(OWN));
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
    bench.click("Set it back, shop");
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
        bench.click("Set it back, shop");
        let review = bench.app().review().unwrap();
        assert!(review.off.iter().all(|(off, _)| *off != "gap-too-small"));
    });
}

#[test]
fn every_scope_of_a_check_is_shown_and_set_back_by_itself() {
    in_both_locales(|| {
        let mut bench = Bench::demo("clean");
        let shop = bench.demo_shop();
        bench.show_limits();
        bench.click("Show the Checks");
        bench.fill("Find", "may roll");
        bench.click("Check: Part may roll");
        assert!(bench.shows("It goes by no limit") || bench.shows("Limit: "));
        bench.fill("Set by", "Process engineer");
        bench.fill("Set on", "2026-11-20");
        bench.click("The check is on");
        bench.fill("Reason for it", "round parts lie in grooves");
        bench.click("Set the check");
        // For the furnace it stays on.
        let furnace = LimitScope::Furnace(bench.plan().load.furnace.clone());
        let words = plain(&furnace.words());
        bench.pick("Holds for", &words);
        bench.fill("Reason for it", "its hearth shakes");
        bench.click("Set the check");
        let settings = |bench: &Bench| {
            let checks = &bench.app().working.catalogue.checks;
            let of = checks.iter().filter(|s| s.check == "part-may-roll");
            of.map(|s| (s.scope.clone(), s.on)).collect::<Vec<_>>()
        };
        assert_eq!(settings(&bench).len(), 2);
        assert!(bench.shows("Set, shop: off") && bench.shows("its hearth shakes"));
        assert!(bench.shows("set by Process engineer, 2026-11-20"));
        // Taken into the form it is as it was set.
        bench.click("Change it, shop");
        assert!(!bench.ticked("The check is on"));
        bench.click(&format!("Set it back, {words}"));
        assert_eq!(settings(&bench), [(LimitScope::Shop, false)]);
        // Who switched it off is printed with the reason, in the list and in the review.
        let folder = shop.display().to_string();
        let file = bench.app().path.as_ref().unwrap().display().to_string();
        let list = crate::cli::run(&["review", "--list", "--shop", &folder]);
        let told = "round parts lie in grooves (Process engineer, 2026-11-20)";
        assert!(plain(&list.out).contains(&format!("off: {told}")));
        let review = crate::cli::run(&["review", &file, "--shop", &folder]);
        assert!(plain(&review.out).contains(told), "{}", review.out);
        bench.click("Set it back, shop");
        assert!(settings(&bench).is_empty());
    });
}

#[test]
fn a_check_says_why_it_matters_and_by_which_limits_it_goes() {
    in_both_locales(|| {
        let mut bench = Bench::sized("clean", [1920.0, 1080.0]);
        bench.demo_shop();
        bench.show_limits();
        bench.click("Show the Checks");
        bench.click("All of: Gap between parts");
        assert!(bench.shows("All of: Gap between parts (unfolded)"));
        let why = setterwright::text::findings::prose("gap-too-small")
            .unwrap()
            .why;
        assert!(bench.shows(why));
        assert!(bench.shows("Limit: smallest gap between parts, before growth 0.5 mm"));
        // A check that guards people alone has nothing to tick.
        bench.click("All of: Purge before and after fuel gas");
        assert!(bench.shows("A safety check stays on") && !bench.shows("The check is on"));
        // Nothing in the table is cut while there is room for it.
        let cut: Vec<String> = bench.painted();
        let cut: Vec<&String> = cut.iter().filter(|t| t.ends_with('…')).collect();
        assert!(cut.is_empty(), "{cut:?}");
    });
}

#[test]
fn a_value_in_another_unit_is_converted_or_refused_beside_its_field() {
    in_both_locales(|| {
        let mut bench = Bench::demo("clean");
        bench.demo_shop();
        bench.show_limits();
        bench.fill("Find", "smallest gap");
        bench.click(ROW);
        bench.fill("Set by", "Process engineer");
        bench.fill("Reason for it", "parts touched");
        for wrong in ["5 K", "wide", ""] {
            bench.fill("New value of the limit", wrong);
            bench.click("Set the limit");
            assert!(bench.shows("is no value in mm; write a number"), "{wrong}");
            assert!(bench.app().modal.is_none());
            assert_eq!(bench.gap(), (0.0, 0, 0));
        }
        bench.fill("New value of the limit", "0.2 cm");
        assert!(!bench.shows("is no value in mm"));
        bench.click("Set the limit");
        assert_eq!(bench.gap().0, 2.0);
    });
}

#[test]
fn limits_stand_in_the_order_of_their_words() {
    let mut bench = Bench::demo("clean");
    bench.show_limits();
    let names = bench.names();
    let rows: Vec<&String> = names.iter().filter(|n| n.starts_with("Limit: ")).collect();
    assert!(rows.len() > 10 && rows.is_sorted(), "{rows:?}");
}
