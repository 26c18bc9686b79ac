//! The lists on the left: stacks, levels, parts, lots, what else stands there, declarations, stock.

use super::bench::{Bench, in_both_locales, plain};
use egui::{Key, Modifiers, Role};
use egui_kittest::Node;
use egui_kittest::kittest::{By, NodeT as _, Queryable as _};
use setterwright::load::{Carrier, Edit, Item, Lot, Stack};
use setterwright::part::{Drawn, MassState, Shape};
use std::sync::Arc;

impl Bench {
    /// A demo load in a window so tall that all lists are in sight, with these sections open.
    fn lists(name: &str, sections: &[&str]) -> Bench {
        let mut bench = Bench::sized(name, [1600.0, 4000.0]);
        for section in sections {
            bench.click(section);
        }
        bench
    }

    /// Picks an entry of a list of choices.
    #[track_caller]
    pub fn pick(&mut self, choice: &str, entry: &str) {
        self.click(choice);
        // A long list scrolls.
        self.entry(entry).scroll_to_me();
        self.run();
        self.entry(entry).click();
        self.run();
    }

    #[track_caller]
    fn entry(&self, entry: &str) -> Node<'_> {
        let all = self.harness.query_all(By::new());
        let entries = all.filter(|n| n.accesskit_node().role() == Role::Button);
        let named = entries.filter_map(|n| Some((plain(&n.accesskit_node().label()?), n)));
        let fitting = named.filter(|(name, _)| name.starts_with(entry));
        // "bracket" rather than "bracket holder".
        let found = fitting.min_by_key(|(name, _)| name.len());
        found
            .unwrap_or_else(|| panic!("no entry {entry}: {:?}", self.names()))
            .1
    }

    /// Clicks what may have to be scrolled to.
    #[track_caller]
    pub fn scroll_and_click(&mut self, name: &str) {
        self.find(name).scroll_to_me();
        self.run();
        self.click(name);
    }

    /// Rows of the list of levels, with what is cut off them.
    fn level_rows(&self) -> (Vec<String>, Vec<String>) {
        let mine = |text: &String| text.starts_with("level ") && text.contains("things");
        let cut = self.cut().into_iter().map(|(text, _)| plain(&text));
        let painted = self.painted().into_iter().map(|text| plain(&text));
        (painted.filter(mine).collect(), cut.filter(mine).collect())
    }

    #[track_caller]
    pub fn enabled(&self, name: &str) -> bool {
        !self.find(name).accesskit_node().is_disabled()
    }

    /// Words of the hint over a thing.
    #[track_caller]
    pub fn hint(&mut self, name: &str) -> String {
        let before = self.names();
        self.find(name).hover();
        // Hints wait a little for the pointer to rest.
        for _ in 0..60 {
            self.harness.step();
        }
        let now = self.names();
        let new = now.into_iter().filter(|n| !before.contains(n));
        let hint = new.map(|n| plain(&n)).collect::<Vec<_>>().join(" ");
        self.harness.hover_at(egui::Pos2::ZERO);
        self.run();
        hint
    }

    fn stack(&self, i: usize) -> &Stack {
        &self.plan().load.stacks[i]
    }

    fn lot(&self, name: &str) -> Option<&Lot> {
        let mut lots = self.plan().lots.iter();
        lots.find(|l| l.name == name).map(AsRef::as_ref)
    }

    fn steps(&self) -> usize {
        self.app().doc.history.steps().count()
    }

    /// Takes everything out of a field and commits that.
    fn clear_field(&mut self, field: &str) {
        self.focus_field(field);
        self.keys(Modifiers::COMMAND, Key::A);
        self.key(Key::Backspace);
        self.key(Key::Enter);
    }

    fn undo(&mut self) {
        self.keys(Modifiers::COMMAND, Key::Z);
    }
}

#[test]
fn stacks_are_added_moved_filled_and_removed() {
    in_both_locales(|| {
        let mut bench = Bench::lists("clean", &["Stacks"]);
        let before = bench.bytes();
        bench.click("Add a stack");
        assert_eq!(bench.plan().load.stacks.len(), 2);
        // Beside the first, not on it.
        assert!(bench.stack(1).at_mm[0] > 200.0);
        bench.fill("x of stack 2", "1 in");
        bench.fill("y of stack 2", "-12,5");
        assert_eq!(bench.stack(1).at_mm, [25.4, -12.5]);
        bench.click("Add a level to stack 2");
        let new = bench.stack(1).levels[0].id;
        assert_eq!(bench.app().view.level, Some(new));
        assert_eq!(bench.stack(1).levels[0].carrier, Carrier::Hearth);
        // The second one stands on posts over the first.
        bench.click("Add a level to stack 2");
        assert!(matches!(
            bench.stack(1).levels[1].carrier,
            Carrier::Posts { .. }
        ));
        bench.pick("In stack", "Stack 1");
        assert_eq!(bench.stack(1).levels.len(), 1);
        assert_eq!(bench.stack(0).levels.len(), 5);
        bench.click("Remove stack 2 and what stands in it");
        assert_eq!(bench.plan().load.stacks.len(), 1);
        assert_eq!(bench.steps(), 7);
        for _ in 0..7 {
            bench.undo();
        }
        assert_eq!(bench.bytes(), before);
    });
}

#[test]
fn a_level_is_changed_and_moved_in_its_stack() {
    let mut bench = Bench::lists("clean", &[]);
    let level = bench.app().view.level.unwrap();
    bench.pick("Carried by", "feet of its own");
    bench.fill("Height of the feet", "2,5 cm");
    let (_, now) = bench.plan().level(level).unwrap();
    assert_eq!(now.carrier, Carrier::Feet { height_mm: 25.0 });
    bench.pick("Carried by", "posts");
    bench.fill("Post places x,y (mm)", "10,20 -10,-20 5,5");
    let (_, now) = bench.plan().level(level).unwrap();
    let Carrier::Posts { at_mm, .. } = &now.carrier else {
        panic!("{:?}", now.carrier)
    };
    assert_eq!(at_mm, &[[10.0, 20.0], [-10.0, -20.0], [5.0, 5.0]]);
    bench.click("Move level up");
    assert_eq!(bench.stack(0).levels[1].id, level);
    bench.click("Move level down");
    assert_eq!(bench.stack(0).levels[0].id, level);
    let setter = bench.app().working.catalogue.setter("alumina-disc-220x6");
    let name = setter.unwrap().name.clone();
    bench.pick("Setter", &name);
    let (_, now) = bench.plan().level(level).unwrap();
    assert_eq!(now.setter, "alumina-disc-220x6");
    let post = bench.app().working.catalogue.post("alumina-post-12x15");
    let name = post.unwrap().name.clone();
    bench.pick("Post", &name);
    let (_, now) = bench.plan().level(level).unwrap();
    assert!(matches!(&now.carrier, Carrier::Posts { post, .. } if post == "alumina-post-12x15"));
    assert_eq!(bench.steps(), 8);
}

#[test]
fn parts_are_typed_by_their_measures() {
    in_both_locales(|| {
        let mut bench = Bench::lists("clean", &["New part by its measures"]);
        let before = bench.bytes();
        let n = bench.plan().parts.len();
        let add = |bench: &mut Bench, name: &str, kind: &str, fields: &[(&str, &str)]| {
            bench.fill("Name of the new part", name);
            bench.click(&format!("{kind} of the new part"));
            for (field, text) in fields {
                bench.fill(&format!("{field} of the new part"), text);
            }
            bench.click("Add the part");
        };
        let block = [("Width", "20 mm"), ("Depth", "1 cm"), ("Height", "0,5 in")];
        add(&mut bench, "brick", "Block", &block);
        let disc = [("Diameter", "20"), ("Height", "5")];
        add(&mut bench, "coin", "Disc", &disc);
        let tube = [("Outer diameter", "20"), ("Bore", "12"), ("Height", "5")];
        bench.pick("Typed at", "green size");
        add(&mut bench, "sleeve", "Tube", &tube);
        let prism = [("Outline", "0,0 30,0 0,20"), ("Height", "4")];
        add(&mut bench, "wedge", "Prism", &prism);
        let parts = &bench.plan().parts[n..];
        assert_eq!(parts.len(), 4, "{}", bench.message());
        let Shape::Block {
            width_mm,
            depth_mm,
            height_mm,
        } = parts[0].shape
        else {
            panic!("{:?}", parts[0].shape)
        };
        assert!((width_mm - 20.0).abs() < 1e-9 && (depth_mm - 10.0).abs() < 1e-9);
        assert!((height_mm - 12.7).abs() < 1e-9);
        // Half of 30 × 20, four high.
        assert!((parts[3].geometry.volume_mm3 - 1200.0).abs() < 1e-6);
        let sizes: Vec<_> = parts.iter().map(|p| p.drawn).collect();
        assert_eq!(
            sizes,
            [Drawn::Final, Drawn::Final, Drawn::Green, Drawn::Green]
        );
        // The new one is placed like any other.
        bench.click("Place one wedge on this level");
        assert!(
            bench
                .plan()
                .placement_labels()
                .values()
                .any(|l| l == "wedge 1")
        );
        for _ in 0..5 {
            bench.undo();
        }
        assert_eq!(bench.bytes(), before);
    });
}

#[test]
fn a_shape_that_cannot_be_says_which_figure() {
    let mut bench = Bench::lists("clean", &["New part by its measures"]);
    bench.click("Add the part");
    assert!(bench.message().contains("name"), "{}", bench.message());
    bench.fill("Name of the new part", "brick");
    bench.fill("Width of the new part", "20");
    bench.fill("Depth of the new part", "wide");
    bench.click("Add the part");
    assert!(bench.message().contains("Depth"), "{}", bench.message());
    bench.click("Tube of the new part");
    for (field, text) in [("Outer diameter", "20"), ("Bore", "20"), ("Height", "5")] {
        bench.fill(&format!("{field} of the new part"), text);
    }
    bench.click("Add the part");
    assert!(bench.message().contains("bore"), "{}", bench.message());
    bench.click("Prism of the new part");
    bench.fill("Outline of the new part", "0,0 10;10");
    bench.click("Add the part");
    assert!(bench.message().contains("10;10"), "{}", bench.message());
    assert_eq!(bench.steps(), 0);
}

#[test]
fn part_records_are_changed_selected_and_removed() {
    let mut bench = Bench::lists("clean", &[]);
    bench.click("bracket, 60 placed");
    bench.fill("Section, stated", "7 mm");
    assert_eq!(bench.plan().parts[0].section_mm, Some(7.0));
    bench.clear_field("Section, stated");
    assert_eq!(bench.plan().parts[0].section_mm, None);
    bench.click("Only inside the work zone");
    assert!(bench.plan().parts[0].work_zone_only);
    bench.pick("Drawn at", "green size");
    assert_eq!(bench.plan().parts[0].drawn, Drawn::Green);
    bench.pick("Feedstock", "17-4");
    assert!(bench.plan().parts[0].feedstock.starts_with("17-4"));
    bench.fill("Name", "angle");
    assert_eq!(bench.plan().parts[0].name, "angle");
    assert_eq!(bench.steps(), 6);

    bench.click("Select all pieces of angle");
    assert_eq!(bench.app().view.selection.len(), 60);
    // Placed: the record stays, and the hint says why.
    assert!(!bench.enabled("Remove the part record angle"));
    let hint = bench.hint("Remove the part record angle");
    assert!(hint.contains("60 pieces"), "{hint}");
    bench.key(Key::Delete);
    assert!(!bench.enabled("Select all pieces of angle"));
    let hint = bench.hint("Remove the part record angle");
    assert!(hint.contains("B-4711"), "{hint}");
    let lot = bench.names().into_iter().find(|n| n.starts_with("B-4711"));
    bench.click(&lot.unwrap());
    bench.click("Remove lot B-4711; its pieces stay");
    bench.click("Remove the part record angle");
    assert!(bench.plan().parts.iter().all(|p| p.name != "angle"));
}

#[test]
fn lots_are_filled_in_and_assigned() {
    in_both_locales(|| {
        let mut bench = Bench::lists("clean", &[]);
        let before = bench.bytes();
        bench.click("ring, 16 placed");
        bench.fill("New lot of the part chosen", "R-5000");
        bench.fill("Pieces", "14");
        bench.fill("Customer", "north mill");
        bench.pick("Enters", "brown");
        bench.fill("Green mass", "1,2 kg");
        bench.fill("Dry mass", "1100 g");
        bench.fill("Dry mass before", "1100,4");
        bench.fill("In the dryer", "2 h");
        let lot = bench.lot("R-5000").unwrap().clone();
        assert_eq!(lot.count, 14);
        assert_eq!(lot.customer.as_deref(), Some("north mill"));
        assert_eq!(lot.enters, MassState::Brown);
        assert_eq!(lot.green_g, Some(1200.0));
        assert_eq!(lot.dry_g, Some(1100.0));
        assert_eq!(lot.previous_dry_g, Some(1100.4));
        assert_eq!(lot.dried_min, Some(120.0));
        // What was not weighed after all is not known.
        bench.clear_field("Dry mass before");
        assert_eq!(bench.lot("R-5000").unwrap().previous_dry_g, None);
        bench.fill("Pieces", "many");
        assert!(bench.message().contains("many"), "{}", bench.message());
        bench.fill("Pieces", "14");

        bench.fill("Lot number", "R-5001");
        assert!(bench.lot("R-5001").is_some());
        bench.pick("Part of the lot", "bracket");
        let bracket = bench.plan().parts[0].id;
        assert_eq!(bench.lot("R-5001").unwrap().part, bracket);
        bench.pick("Part of the lot", "ring");

        assert!(!bench.enabled("Select the pieces of lot R-5001"));
        assert!(!bench.enabled("Assign the selection to lot R-5001"));
        bench.click("Select all pieces of ring");
        bench.click("Assign the selection to lot R-5001");
        let id = bench.lot("R-5001").unwrap().id;
        let of = |bench: &Bench| {
            let all = bench.plan().placements();
            let is = |item: &Item| matches!(item, Item::Part { lot: Some(l), .. } if *l == id);
            all.filter(|(_, p)| is(&p.item)).count()
        };
        assert_eq!(of(&bench), 16);
        bench.keys(Modifiers::NONE, Key::Escape);
        bench.click("Select the pieces of lot R-5001");
        assert_eq!(bench.app().view.selection.len(), 16);
        bench.click("Remove lot R-5001; its pieces stay");
        assert_eq!(of(&bench), 0);
        assert_eq!(bench.plan().placements().count(), 80);
        while bench.app().doc.history.undo_label().is_some() {
            bench.undo();
        }
        assert_eq!(bench.bytes(), before);
    });
}

#[test]
fn a_lot_of_another_part_is_refused_in_words() {
    let mut bench = Bench::lists("clean", &[]);
    bench.click("bracket, 60 placed");
    bench.click("Select all pieces of bracket");
    let lot = bench.names().into_iter().find(|n| n.starts_with("R-4702"));
    bench.click(&lot.unwrap());
    let before = bench.bytes();
    bench.click("Assign the selection to lot R-4702");
    assert_eq!(bench.bytes(), before);
    assert!(bench.message().contains("same part"), "{}", bench.message());
}

#[test]
fn coupons_dummies_and_thermocouples_are_set_down() {
    in_both_locales(|| {
        let section = "Coupons, dummy masses, thermocouples";
        let mut bench = Bench::lists("clean", &[section]);
        let before = bench.bytes();
        bench.fill("x on the level", "-11 cm");
        bench.fill("y on the level", "110");
        bench.pick("Made as", "coupon bar");
        bench.click("Set it down on this level");
        assert!(bench.message().contains("name"), "{}", bench.message());
        bench.fill("Mark of the coupon", "C9");
        bench.click("Set it down on this level");
        let last = |bench: &Bench| {
            let id = *bench.app().view.selection.iter().next().unwrap();
            bench.plan().placement(id).unwrap().1.clone()
        };
        let coupon = last(&bench);
        assert!(matches!(&coupon.item, Item::Coupon { label, .. } if label == "C9"));
        assert_eq!(coupon.at_mm, [-110.0, 110.0]);

        bench.click("Dummy mass");
        bench.click("Disc of the dummy mass");
        bench.fill("Diameter of the dummy mass", "30");
        bench.fill("Height of the dummy mass", "20");
        bench.fill("Mass of the dummy mass", "0,4 kg");
        bench.pick("Material", "mullite");
        bench.click("Set it down on this level");
        let Item::Dummy {
            shape,
            mass_g,
            material,
        } = last(&bench).item
        else {
            panic!("{}", bench.message())
        };
        assert_eq!(
            shape,
            Shape::Disc {
                diameter_mm: 30.0,
                height_mm: 20.0
            }
        );
        assert!((mass_g - 400.0).abs() < 1e-9);
        assert!(material.contains("mullite"), "{material}");

        bench.click("Load thermocouple");
        bench.pick("Thermocouple", "load-2");
        bench.fill("Height of the tip", "15 mm");
        bench.click("Set it down on this level");
        let sensor = last(&bench).item;
        assert!(
            matches!(&sensor, Item::Sensor { sensor, height_mm } if sensor == "load-2" && *height_mm == 15.0),
            "{sensor:?}"
        );
        for _ in 0..3 {
            bench.undo();
        }
        assert_eq!(bench.bytes(), before);
    });
}

#[test]
fn the_cut_out_is_declared() {
    in_both_locales(|| {
        let mut bench = Bench::lists("stop", &["Declarations"]);
        let slug = "over-temperature-not-declared";
        assert_eq!(bench.findings(slug).len(), 1);
        assert!(bench.shows("Not declared"));
        bench.fill("Cut-out set to", "hot");
        bench.click("Declare: Cut-out set to");
        assert_eq!(bench.findings(slug).len(), 1);
        bench.fill("Cut-out set to", "1420 °C");
        bench.click("Declare: Cut-out set to");
        assert!(bench.message().contains("name"), "{}", bench.message());
        bench.fill("Declared by", "shift lead");
        bench.fill("Declared on", "yesterday");
        bench.click("Declare: Cut-out set to");
        assert!(bench.message().contains("day"), "{}", bench.message());
        bench.fill("Declared on", "2026-11-24");
        // What was refused is still there.
        bench.click("Declare: Cut-out set to");
        assert_eq!(bench.findings(slug).len(), 0);
        assert!(bench.shows("1420 °C, declared by shift lead on 2026-11-24"));
        assert_eq!(bench.steps(), 1);
        bench.undo();
        assert_eq!(bench.findings(slug).len(), 1);
    });
}

/// The stock is in sight without opening anything, posts by length first, and what is short is
/// said with a word.
#[test]
fn stock_left_is_in_sight_and_what_is_short_is_said() {
    let mut bench = Bench::demo("clean");
    let heights: Vec<f64> = {
        let catalogue = &bench.app().working.catalogue;
        let names = bench.names();
        let posts = catalogue.posts.values().map(|(_, p)| p);
        let mut seen: Vec<(usize, f64)> = posts
            .filter_map(|p| Some((names.iter().position(|n| *n == p.name)?, p.length_mm)))
            .collect();
        seen.sort_by_key(|(at, _)| *at);
        seen.into_iter().map(|(_, mm)| mm).collect()
    };
    assert!(heights.len() > 3, "{heights:?}");
    assert!(heights.is_sorted(), "{heights:?}");
    assert!(!bench.shows("short"));
    // A shop with one of each.
    let mut shop = (**bench.app().working.shop.as_ref().unwrap()).clone();
    for item in &mut shop.stock {
        item.count = 1;
    }
    bench.harness.state_mut().working.shop = Some(shop.into());
    bench.run();
    assert!(bench.shows("short"));
}

/// Names from people can be of any length; the lists stay as wide as they are.
#[test]
fn long_names_do_not_widen_the_lists() {
    let width = |bench: &Bench| bench.plan_rect().width();
    let mut bench = Bench::lists("clean", &["Stacks"]);
    bench.click("bracket, 60 placed");
    let before = width(&bench);
    let long = "an angle with a name that nobody would give a part ".repeat(4);
    bench.fill("Name", long.trim());
    let lot = bench.names().into_iter().find(|n| n.starts_with("B-4711"));
    bench.click(&lot.unwrap());
    bench.fill("Lot number", long.trim());
    bench.fill("Customer", &long);
    bench.run();
    assert_eq!(width(&bench), before);
    // In full for whoever asks.
    assert!(bench.shows(long.trim()));
}

/// Where all setters are of one kind their name is not on each row; where they are not, it is there
/// whole.
#[test]
fn levels_in_the_list_can_be_read() {
    in_both_locales(|| {
        let mut bench = Bench::sized("cautions", [1280.0, 720.0]);
        let (rows, cut) = bench.level_rows();
        assert_eq!((rows.len(), cut.len()), (5, 0), "{rows:?}");
        assert!(rows.iter().all(|row| !row.contains(':')), "{rows:?}");
        let level = Arc::clone(bench.plan().levels().last().unwrap().1);
        let mut setters = bench.app().working.catalogue.setters.keys();
        let setter = setters.find(|slug| **slug != level.setter).unwrap().clone();
        let edit = Edit::ChangeLevel {
            id: level.id,
            setter,
            carrier: level.carrier.clone(),
        };
        assert!(bench.harness.state_mut().edit(&edit), "{}", bench.message());
        bench.run();
        let (rows, cut) = bench.level_rows();
        assert_eq!((rows.len(), cut.len()), (5, 0), "{rows:?}");
        let catalogue = &bench.app().working.catalogue;
        for (_, level) in bench.plan().levels() {
            let name = &catalogue.setter(&level.setter).unwrap().name;
            assert!(
                rows.iter().any(|row| row.contains(name.as_str())),
                "{name}: {rows:?}"
            );
        }
    });
}
