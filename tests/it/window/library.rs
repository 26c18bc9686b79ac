//! Standard loads from saving one to seeing what was changed since.

use super::bench::{Bench, in_both_locales, plain};
use egui::{Key, Modifiers};
use setterwright::app::state::{Board, Modal};
use std::path::PathBuf;
use std::time::{Duration, Instant};

impl Bench {
    /// A shop folder of the bench's own, chosen by the library's button.
    fn choose_shop(&mut self) -> PathBuf {
        let shop = self.folder.path().join("shop");
        std::fs::create_dir_all(&shop).unwrap();
        self.answer(std::slice::from_ref(&shop));
        self.show_library();
        self.click("Choose shop folder…");
        self.show_library();
        assert!(self.app().shop.is_some(), "{}", self.message());
        shop
    }

    /// The library, once its cards are read.
    fn show_library(&mut self) {
        self.keys(Modifiers::COMMAND, Key::Num3);
        let end = Instant::now() + Duration::from_secs(60);
        while self.shows("are being read") {
            assert!(Instant::now() < end, "the cards never came");
            std::thread::sleep(Duration::from_millis(5));
            self.harness.step();
        }
        self.run();
    }

    /// Moves the first thing of the level shown by a typed figure.
    fn move_first(&mut self, x: &str) {
        self.keys(Modifiers::COMMAND, Key::Num1);
        let level = self.app().view.level.unwrap();
        let id = self.plan().level(level).unwrap().1.placements[0].id;
        let label = self.plan().placement_labels()[&id].clone();
        if !self.app().view.selection.contains(&id) {
            self.click(&label);
        }
        self.fill("x", x);
    }
}

const CHANGED: &str = "Changed since the standard: Brackets, slow";
const NOTHING: &str = "Nothing: set out and fired";

#[test]
fn a_standard_from_saving_to_what_was_changed_since() {
    in_both_locales(the_whole_way);
}

fn the_whole_way() {
    let mut bench = Bench::demo("clean");
    bench.show_library();
    assert!(bench.shows("none is chosen yet"));
    let shop = bench.choose_shop();
    assert!(bench.shows("no standard load in this shop folder"));

    let demo = bench.bytes();
    bench.click("Save as standard load…");
    assert!(bench.shows("Left out: lots"));
    bench.fill("Name of the standard", "Brackets, slow");
    let path = shop.join("standards").join("Brackets-slow.load.ron");
    assert!(path.exists(), "{}", bench.message());
    // Saving a standard leaves the open load as it is.
    assert_eq!(bench.bytes(), demo);
    let standard = std::fs::read(&path).unwrap();

    // The card tells what a person chooses by.
    bench.show_library();
    for words in [
        "Brackets, slow: level 1 with 21 things",
        "Brackets-slow.load.ron",
        "Alloy: 316L",
        "Furnace: ",
        "76 parts on 4 levels",
        "Area fill ",
        "Program ",
    ] {
        assert!(bench.shows(words), "{words}: {:?}", bench.names());
    }

    // A second one of that name is refused and nothing is lost.
    bench.click("Save as standard load…");
    bench.fill("Name of the standard", "brackets, SLOW");
    assert!(bench.shows("Save the standard"), "{:?}", bench.names());
    bench.click("Cancel");
    assert_eq!(std::fs::read(&path).unwrap(), standard);

    bench.click("Start a load from this: Brackets, slow");
    assert_eq!(bench.app().view.board, Board::Load);
    assert_eq!(bench.app().path, None);
    assert!(bench.plan().lots.is_empty());
    assert!(bench.plan().declarations.is_empty());
    assert!(
        bench.message().contains("left to fill in for 76 pieces"),
        "{}",
        bench.message()
    );
    bench.show_library();
    assert!(bench.shows(CHANGED) && bench.shows(NOTHING));
    assert!(bench.shows("76 pieces are without a lot"));

    bench.move_first("-80 mm");
    bench.show_library();
    assert!(bench.shows(CHANGED) && !bench.shows(NOTHING));
    let said = |bench: &Bench| {
        let all: Vec<String> = bench.names().iter().map(|n| plain(n)).collect();
        let from = all.iter().position(|n| n == CHANGED).unwrap();
        all[from..from + 4].to_vec()
    };
    let before = said(&bench);
    assert!(before.iter().any(|n| n.contains("bracket")), "{before:?}");

    // Saved under a name, saved again, saved under another: still said.
    let run = bench.folder.path().join("run-7.load.ron");
    bench.answer(std::slice::from_ref(&run));
    bench.keys(Modifiers::COMMAND, Key::S);
    assert!(run.exists() && !bench.starred());
    bench.show_library();
    assert_eq!(said(&bench), before);
    bench.move_first("-81 mm");
    bench.keys(Modifiers::COMMAND, Key::S);
    assert!(!bench.starred());
    bench.show_library();
    assert!(bench.shows(CHANGED) && !bench.shows(NOTHING));
    let other = bench.folder.path().join("run-8.load.ron");
    bench.answer(std::slice::from_ref(&other));
    bench.keys(Modifiers::COMMAND | Modifiers::SHIFT, Key::S);
    assert!(other.exists());
    bench.show_library();
    assert!(bench.shows(CHANGED) && !bench.shows(NOTHING));
    assert_eq!(std::fs::read(&path).unwrap(), standard);

    // Opened again it is still said; another document has not begun from it.
    bench.answer(std::slice::from_ref(&run));
    bench.keys(Modifiers::COMMAND, Key::O);
    bench.show_library();
    assert!(bench.shows(CHANGED) && !bench.shows(NOTHING));
    bench.keys(Modifiers::COMMAND, Key::N);
    bench.show_library();
    assert!(!bench.shows(CHANGED));

    // Without the standard that is said, and the load opens all the same.
    std::fs::remove_file(&path).unwrap();
    bench.answer(std::slice::from_ref(&run));
    bench.keys(Modifiers::COMMAND, Key::O);
    let said = bench.message();
    assert!(
        said.contains("what was changed since is not known"),
        "{said}"
    );
    bench.show_library();
    assert!(!bench.shows(CHANGED));
}

/// The open load against another file, from asking for it to putting it away.
fn against_another() {
    let mut bench = Bench::demo("clean");
    let other = bench.folder.path().join("other.load.ron");
    std::fs::copy(super::bench::demo_loads().join("clean.load.ron"), &other).unwrap();
    bench.answer(std::slice::from_ref(&other));
    bench.menu("File", "Compare with a load…");
    assert_eq!(bench.app().view.board, Board::Library);
    assert!(bench.shows("The open load against other.load.ron"));
    assert!(bench.shows("No difference"), "{:?}", bench.names());

    bench.move_first("-80 mm");
    bench.show_library();
    assert!(bench.shows("1 difference"), "{:?}", bench.names());
    assert!(
        bench.shows("Clearance") && bench.shows(" moved by "),
        "{:?}",
        bench.names()
    );
    bench.keys(Modifiers::COMMAND, Key::Z);
    assert!(bench.shows("No difference"));

    bench.click("End the comparison");
    assert!(!bench.shows("The open load against"));

    // A file that is none leaves the window as it is.
    let before = bench.bytes();
    std::fs::write(&other, "(kind: ").unwrap();
    bench.answer(std::slice::from_ref(&other));
    bench.click("Compare with a load…");
    assert!(matches!(bench.app().modal, Some(Modal::Trouble(_))));
    assert_eq!(bench.bytes(), before);
}

#[test]
fn the_open_load_is_held_against_another_file() {
    in_both_locales(against_another);
}

#[test]
fn a_standard_is_held_against_the_open_load_from_its_card() {
    let mut bench = Bench::demo("clean");
    bench.choose_shop();
    bench.click("Save as standard load…");
    bench.fill("Name of the standard", "good");
    bench.show_library();
    bench.click("Compare the open load with this: good");
    assert!(bench.shows("The open load against good.load.ron"));
    // A standard has no lots, so those of the open load are told.
    assert!(bench.shows("Lots cleared to load"), "{:?}", bench.names());
}

#[test]
fn a_broken_standard_is_a_card_with_its_sentence() {
    let mut bench = Bench::demo("clean");
    let shop = bench.choose_shop();
    let dir = shop.join("standards");
    std::fs::create_dir_all(&dir).unwrap();
    bench.click("Save as standard load…");
    bench.fill("Name of the standard", "good");
    std::fs::write(dir.join("torn.load.ron"), "(kind: \"load\", version: 1, ti").unwrap();
    std::fs::write(dir.join("bytes.load.ron"), [0xFF, 0xFE, 0x00]).unwrap();
    std::fs::write(dir.join("notes.txt"), "not ours").unwrap();
    let before = bench.bytes();
    bench.show_library();
    assert!(bench.shows("torn.load.ron") && bench.shows("bytes.load.ron"));
    assert!(!bench.shows("notes.txt"));
    // Why, on the card; the good one is there to begin from, the others are not.
    let names = bench.names();
    let at = names.iter().position(|n| n == "torn.load.ron").unwrap();
    assert!(
        names[at + 1].len() > "torn.load.ron".len() + 10,
        "{names:?}"
    );
    assert!(bench.shows("Start a load from this: good"));
    let begin = |n: &&String| n.starts_with("Start a load from this");
    assert_eq!(names.iter().filter(begin).count(), 1);
    assert!(bench.app().modal.is_none());
    assert_eq!(bench.bytes(), before);
}

/// A standard that went away between the list and the click.
#[test]
fn a_standard_that_is_gone_leaves_the_open_load() {
    let mut bench = Bench::demo("clean");
    let shop = bench.choose_shop();
    bench.click("Save as standard load…");
    bench.fill("Name of the standard", "good");
    bench.show_library();
    std::fs::remove_file(shop.join("standards").join("good.load.ron")).unwrap();
    let before = bench.bytes();
    bench.click("Start a load from this: good");
    assert!(matches!(bench.app().modal, Some(Modal::Trouble(_))));
    assert_eq!(bench.bytes(), before);
}
