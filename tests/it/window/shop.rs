//! The shop's board: everything of the shop's state is typed, taken back, kept, and read again.

use super::bench::{Bench, in_both_locales};
use egui::{Key, Modifiers};
use setterwright::app::state::{Board, Modal};
use setterwright::catalogue::ShopState;

impl Bench {
    fn show_shop(&mut self, tab: &str) {
        self.keys(Modifiers::COMMAND, Key::Num6);
        assert_eq!(self.app().view.board, Board::Shop);
        self.click(&format!("Show the {tab}"));
    }

    /// What the folder has.
    fn on_disk(&self) -> ShopState {
        let (dir, _) = self.app().shop.as_ref().unwrap();
        let read = setterwright::files::read_shop_folder(dir).unwrap();
        read.shop.unwrap()
    }

    /// What the window has.
    fn drafted(&self) -> ShopState {
        self.app().shop_draft().unwrap().state.clone()
    }

    #[track_caller]
    fn keep(&mut self) {
        self.click("Keep the changes");
        assert_eq!(self.app().modal, None);
        assert_eq!(self.on_disk(), self.drafted());
        assert_eq!(**self.app().working.shop.as_ref().unwrap(), self.drafted());
        assert!(!self.app().shop_unkept());
    }
}

#[test]
fn the_stock_is_counted_added_to_and_taken_back() {
    in_both_locales(|| {
        let mut bench = Bench::demo("clean");
        bench.keys(Modifiers::COMMAND, Key::Num6);
        assert!(bench.shows("Choose the folder first"));
        bench.demo_shop();
        bench.show_shop("Furniture stock");
        let before = bench.on_disk();
        let count = |state: &ShopState, id: &str| {
            let found = state.stock.iter().find(|s| s.id == id);
            found.map(|s| s.count)
        };
        let plate = "alumina-square-200x6";
        let name = bench
            .app()
            .working
            .catalogue
            .setter(plate)
            .unwrap()
            .name
            .clone();
        let field = format!("Pieces of {name}");
        // Refused with a sentence under the field; the old count holds and what was typed stays.
        bench.fill(&field, "a dozen");
        assert!(bench.shows("\"a dozen\" is no count"));
        assert_eq!(bench.value(&field), "a dozen");
        assert!(!bench.app().shop_unkept());
        bench.fill(&field, "21");
        assert!(!bench.shows("is no count"));
        assert!(bench.shows("not kept yet"));
        assert_eq!(count(&bench.drafted(), plate), Some(21));
        assert_eq!(bench.on_disk(), before);
        bench.scroll_and_click(&format!("Remove {name}"));
        assert_eq!(count(&bench.drafted(), plate), None);
        // Two steps back by the keys of undo, and one forward.
        bench.keys(Modifiers::COMMAND, Key::Z);
        assert_eq!(count(&bench.drafted(), plate), Some(21));
        bench.keys(Modifiers::COMMAND, Key::Z);
        assert_eq!(bench.drafted(), before);
        bench.keys(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
        bench.keep();
        assert_eq!(count(&bench.on_disk(), plate), Some(21));
        // A piece that was not listed.
        let other = "zirconia-square-150x6";
        let name = bench
            .app()
            .working
            .catalogue
            .setter(other)
            .unwrap()
            .name
            .clone();
        bench.scroll_and_click(&format!("Remove {name}"));
        bench.click("Add to the stock");
        assert!(bench.shows("Choose a setter, post or support first."));
        bench.pick("New item", &name);
        bench.fill("Pieces of the new item", "3");
        bench.click("Add to the stock");
        bench.keep();
        assert_eq!(count(&bench.on_disk(), other), Some(3));
        assert_eq!(bench.on_disk().stock.len(), before.stock.len());
        // Kept, and still taken back from here.
        bench.keys(Modifiers::COMMAND, Key::Z);
        assert!(bench.app().shop_unkept());
        bench.click("Drop the changes");
        assert_eq!(bench.drafted(), bench.on_disk());
    });
}

#[test]
fn people_roles_and_balances_are_typed() {
    in_both_locales(|| {
        let mut bench = Bench::demo("clean");
        bench.demo_shop();
        bench.show_shop("People and roles");
        bench.fill("Name of the new person", "N. Fenwick");
        bench.fill("Roles of the new person", "furnace operator, quality");
        bench.fill("The new person is qualified until", "next year");
        bench.click("Add the person");
        assert!(bench.shows("\"next year\" is no day"));
        assert_eq!(bench.value("Name of the new person"), "N. Fenwick");
        bench.fill("The new person is qualified until", "2027-06-30");
        bench.click("Add the person");
        assert_eq!(bench.value("Name of the new person"), "");
        bench.fill("Name of the new person", "N. Fenwick");
        bench.click("Add the person");
        assert!(bench.shows("\"N. Fenwick\" is there already."));
        bench.fill("Roles of N. Fenwick", "quality, quality");
        assert!(bench.shows("\"quality\" stands twice."));
        bench.fill("Roles of N. Fenwick", "furnace operator");
        bench.fill("N. Fenwick is qualified until", "2027-12-31");
        bench.fill(
            "Roles that sign a plan",
            "furnace operator, process engineer",
        );
        assert!(bench.shows("Nobody below has the role \"process engineer\"."));
        bench.keep();
        let kept = bench.on_disk();
        let person = &kept.people[0];
        assert_eq!(person.roles, ["furnace operator"]);
        assert_eq!(person.qualified_until.as_deref(), Some("2027-12-31"));
        assert_eq!(kept.signing_roles, ["furnace operator", "process engineer"]);
        bench.click("Remove N. Fenwick");
        bench.click("Take back: people and roles");
        assert_eq!(bench.drafted(), kept);

        bench.show_shop("Balances");
        bench.fill("balance-1 holds until", "2026-10-01");
        assert!(bench.shows("done after the last day"));
        bench.fill("balance-1 holds until", "2027-04-30");
        bench.fill("Smallest step of balance-1", "0");
        assert!(bench.shows("not above nought"));
        bench.fill("Smallest step of balance-1", "0.01 g");
        bench.fill("Mark of the new balance", "balance-2");
        bench.fill("The new balance holds until", "2027-05-31");
        bench.click("Add the balance");
        bench.keep();
        let kept = bench.on_disk();
        assert_eq!(kept.balances[0].step_g, Some(0.01));
        assert_eq!(kept.balances[0].due, "2027-04-30");
        assert_eq!(kept.balances[1].id, "balance-2");
        assert_eq!(kept.balances[1].done, None);
        // Lots can be weighed on it.
        bench.keys(Modifiers::COMMAND, Key::Num5);
        let lot = bench.plan().lots[0].clone();
        let part = bench.plan().part(lot.part).unwrap().name.clone();
        bench.click(&format!("Lot {}: {} pieces of {part}", lot.name, lot.count));
        bench.pick("Balance", "balance-2");
        assert_eq!(bench.plan().lots[0].balance.as_deref(), Some("balance-2"));
    });
}

#[test]
fn procedures_are_written_down_with_the_checks_that_they_cover() {
    in_both_locales(|| {
        let mut bench = Bench::demo("clean");
        bench.demo_shop();
        bench.show_shop("Written procedures");
        assert!(bench.shows("No written procedure is listed."));
        bench.fill("Document of the new procedure", "FP-12");
        bench.click("Add the procedure");
        assert!(bench.shows("Something has to stand here."));
        bench.fill("Revision of the new procedure", "C");
        bench.pick("Covers", "Unload temperature high");
        bench.click("Add the procedure");
        bench.pick("Check for FP-12", "Dust of titanium burns");
        bench.fill("Revision of FP-12", "D");
        bench.keep();
        let furnace = bench.plan().load.furnace.clone();
        let kept = bench.on_disk();
        let of = kept.furnaces.iter().find(|f| f.furnace == furnace).unwrap();
        let procedure = &of.procedures[0];
        assert_eq!((&*procedure.name, &*procedure.revision), ("FP-12", "D"));
        assert_eq!(procedure.covers, ["unload-too-hot", "titanium-dust"]);
        bench.click("Remove Dust of titanium burns from FP-12");
        assert!(!bench.shows("Remove Dust of titanium burns"));
        bench.click("Remove FP-12");
        bench.keys(Modifiers::COMMAND, Key::Z);
        bench.keys(Modifiers::COMMAND, Key::Z);
        assert_eq!(bench.drafted(), kept);
    });
}

#[test]
fn places_of_a_survey_are_typed_by_zone_and_level() {
    in_both_locales(|| {
        let mut bench = Bench::demo("clean");
        bench.demo_shop();
        bench.show_shop("Furnaces");
        let furnace = bench.plan().load.furnace.clone();
        bench.fill("Zone of the new place", "door, left");
        bench.fill("Level of the new place", "0");
        bench.click("Add the place");
        assert!(bench.shows("Levels count from 1"));
        bench.fill("Level of the new place", "2");
        bench.click("Add the place");
        bench.fill("Place 1 at 1200\u{a0}°C", "-60 K");
        assert!(bench.shows("outside the survey's own extremes at 1200"));
        bench.fill("Place 1 at 1200\u{a0}°C", "-2.5");
        bench.fill("Place 1 at 400\u{a0}°C", "1 K");
        bench.fill("Zone of the new place", "door, left");
        bench.fill("Level of the new place", "2");
        bench.click("Add the place");
        assert!(bench.shows("There is already a place door, left, level 2."));
        bench.keep();
        let kept = bench.on_disk();
        let of = kept.furnaces.iter().find(|f| f.furnace == furnace).unwrap();
        let place = &of.survey.as_ref().unwrap().places[0];
        assert_eq!((&*place.zone, place.level), ("door, left", Some(2)));
        let read: Vec<(f64, f64)> = place
            .points
            .iter()
            .map(|p| (p.setpoint_c, p.deviation_k))
            .collect();
        assert_eq!(read, [(400.0, 1.0), (1200.0, -2.5)]);
        bench.click("Remove place door, left, level 2");
        bench.keys(Modifiers::COMMAND, Key::Z);
        assert_eq!(bench.drafted(), kept);
        // Another furnace of the shop, from the same board.
        let other = bench
            .app()
            .working
            .catalogue
            .furnace("round-hot-zone")
            .unwrap();
        let name = other.name.clone();
        bench.click(&name);
        bench.click("Trap and last load");
        bench.fill("Trap emptied on", "soon");
        assert!(bench.shows("\"soon\" is no day"));
        bench.fill("Trap emptied on", "2026-11-26");
        bench.keep();
    });
}

#[test]
fn a_folder_without_a_state_gets_one_and_unkept_changes_are_asked_about() {
    let mut bench = Bench::demo("clean");
    let shop = bench.folder.path().join("fresh");
    std::fs::create_dir_all(&shop).unwrap();
    bench.demo_shop_again(&shop);
    bench.keys(Modifiers::COMMAND, Key::Num6);
    bench.fill("Name of the shop", "Alderbank Furnaces (invented)");
    bench.click("Begin the shop's state");
    assert!(bench.app().shop_draft().is_none());
    bench.fill("Parts are set down to within", "0.4 mm");
    bench.click("Begin the shop's state");
    bench.click("Show the Hours and prices");
    bench.click("Add hours");
    bench.click("Mon of hours 1");
    bench.fill("Hours 1 from", "6 o'clock");
    assert!(bench.shows("is no time of day"));
    bench.fill("Hours 1 from", "06:00");
    bench.fill("Hours 1 to", "22:00");
    bench.fill("Currency", "EUR");
    bench.fill("One furnace hour", "30");
    // Another folder would lose it.
    let other = bench.folder.path().join("other");
    std::fs::create_dir_all(&other).unwrap();
    bench.answer(std::slice::from_ref(&other));
    bench.menu("File", "Choose shop folder…");
    assert!(matches!(bench.app().modal, Some(Modal::Unkept(_))));
    bench.click("Stay here");
    assert!(bench.app().shop_unkept());
    // So would another load, which does not ask: the shop's state is no part of it.
    bench.menu("File", "New load");
    assert!(bench.app().shop_unkept());
    bench.answer(std::slice::from_ref(&other));
    bench.menu("File", "Choose shop folder…");
    bench.click("Keep it first");
    assert_eq!(bench.app().shop.as_ref().unwrap().0, other);
    let kept = setterwright::files::read_shop_folder(&shop).unwrap().shop;
    let kept = kept.unwrap();
    assert_eq!(kept.placing_tolerance_mm, 0.4);
    assert_eq!(kept.attended.len(), 1);
    assert_eq!(kept.attended[0].days.len(), 1);
    let prices = kept.prices.unwrap();
    assert_eq!(
        (&*prices.currency, prices.furnace_hour),
        ("EUR", Some(30.0))
    );
}

#[test]
fn the_palette_finds_the_declarations_and_opens_them() {
    let mut bench = Bench::demo("clean");
    bench.keys(Modifiers::COMMAND, Key::Num2);
    assert!(!bench.shows("Declared by"));
    bench.keys(Modifiers::COMMAND, Key::K);
    bench.fill("Part of its name", "declar");
    assert_eq!(bench.app().view.board, Board::Load);
    assert!(bench.shows("Declared by"), "{:?}", bench.names());
}
