//! Parts set out by themselves in the window: started, watched, stopped, kept, undone, discarded.

use super::bench::{Bench, in_both_locales, plain};
use egui::{Key, Modifiers};
use setterwright::app::state::App;
use setterwright::app::theme::LIGHT;
use setterwright::document::Budget;
use setterwright::load::{Carrier, Edit, Item, PlacementId};
use setterwright::text::{Locale, locale};
use std::sync::Arc;
use std::time::{Duration, Instant};

impl Bench {
    /// The panel on a demo load, with a budget of these words.
    fn arranging(load: &str, budget: &str) -> Bench {
        let mut bench = Bench::sized(load, [1920.0, 1080.0]);
        bench.click("Arrange parts…");
        bench.take_entry("How hard", budget);
        bench
    }

    /// Opens a list and takes the entry that begins so.
    fn take_entry(&mut self, list: &str, entry: &str) {
        self.click(list);
        let names: Vec<String> = self.names().iter().map(|name| plain(name)).collect();
        let name = names.iter().find(|name| name.starts_with(entry));
        self.click(name.unwrap_or_else(|| panic!("no {entry} in {names:?}")));
    }

    fn start(&mut self) {
        self.click_running("Start");
    }

    /// Clicks without waiting for the window to settle: a search runs.
    fn click_running(&mut self, label: &str) {
        self.find(label).click();
        self.harness.step();
    }

    fn ends(&mut self) {
        self.wait("the arrangement", |app| !app.is_arranging());
    }

    fn setters(&self) -> usize {
        let with = |l: &&Arc<setterwright::load::Level>| !l.placements.is_empty();
        self.plan().levels().map(|(_, l)| l).filter(with).count()
    }

    /// Takes away pieces of a lot, so that they wait.
    fn take_out(&mut self, pieces: usize) -> Vec<PlacementId> {
        let lots = self
            .plan()
            .placements()
            .filter(|(_, p)| matches!(p.item, Item::Part { lot: Some(_), .. }) && !p.locked);
        let ids: Vec<PlacementId> = lots.map(|(_, p)| p.id).take(pieces).collect();
        let edit = Edit::RemovePlacements(ids.clone());
        assert!(self.harness.state_mut().edit(&edit));
        self.run();
        ids
    }
}

#[test]
fn what_is_found_is_kept_as_one_step_and_undone() {
    in_both_locales(|| {
        let mut bench = Bench::arranging("cautions", "Thorough");
        let before = bench.bytes();
        assert_eq!(bench.setters(), 5);
        assert!(bench.shows("The load as it is"));
        bench.start();
        assert!(bench.app().is_arranging());
        bench.ends();
        assert!(
            bench.shows("Parts on 4 setters instead of 5"),
            "{:?}",
            bench.names()
        );
        assert!(bench.shows("Placed 100 of 100"));
        assert!(bench.shows("The load as it would be"));
        assert!(bench.shows("the forecast was not asked"));
        // Nothing is in the load before it is kept.
        assert_eq!(bench.bytes(), before);
        bench.click("Keep it");
        assert_eq!(bench.setters(), 4);
        assert_eq!(bench.app().review().unwrap().open_stops(), 0);
        bench.keys(Modifiers::COMMAND, Key::Z);
        assert_eq!(bench.bytes(), before);
        bench.keys(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
        assert_eq!(bench.setters(), 4);
    });
}

#[test]
fn a_search_is_watched_and_stops_with_the_best_so_far() {
    let mut bench = Bench::arranging("cautions", "Long");
    let before = bench.bytes();
    bench.start();
    let end = Instant::now() + Duration::from_secs(60);
    while !bench.shows("Best so far") {
        assert!(Instant::now() < end, "{:?}", bench.names());
        std::thread::sleep(Duration::from_millis(20));
        bench.harness.step();
    }
    assert!(bench.shows("Searching"));
    // What is found so far is told with what it takes and what no layout exceeds.
    let best = bench
        .names()
        .iter()
        .map(|name| plain(name))
        .find(|n| n.starts_with("Best so far"));
    let best = best.unwrap();
    assert!(
        best.contains("of 100 pieces on") && best.contains("could be taken"),
        "{best}"
    );
    bench.click_running("Stop with the best so far");
    let asked = Instant::now();
    assert!(bench.shows("Stopped with the best so far") || !bench.app().is_arranging());
    bench.ends();
    println!(
        "stopped and held against the review in {:?}",
        asked.elapsed()
    );
    let said = bench
        .names()
        .into_iter()
        .find(|name| name.contains("places were tried"));
    let digits: String = said.unwrap().chars().filter(char::is_ascii_digit).collect();
    let tried: u64 = digits.parse().unwrap();
    assert!(tried < Budget::Long.evaluations(), "it was not stopped");
    assert_eq!(bench.bytes(), before);
}

/// In a small window, where the settings would push them out of sight.
#[test]
fn while_it_searches_only_the_picture_and_the_ways_to_stop_are_there() {
    in_both_locales(|| {
        let mut bench = Bench::sized("clean", [1280.0, 720.0]);
        bench.take_out(20);
        bench.click("Arrange parts…");
        bench.take_entry("How hard", "Long");
        let settings = [
            "What counts",
            "Weights (assumed)",
            "How hard",
            "Seed",
            "What goes first",
            "Choose posts and setters",
            "Lock selected",
        ];
        for one in settings {
            assert!(bench.shows(one), "{one}: {:?}", bench.names());
        }
        bench.start();
        let end = Instant::now() + Duration::from_secs(60);
        while !bench.shows("of them new") {
            assert!(Instant::now() < end, "{:?}", bench.names());
            std::thread::sleep(Duration::from_millis(20));
            bench.harness.step();
        }
        assert!(bench.app().is_arranging());
        for one in settings {
            assert!(!bench.shows(one), "{one}");
        }
        assert!(bench.shows("Best so far") && bench.shows("could be taken"));
        // Above the tally, whole.
        let free = egui::Rect::from_min_max(egui::Pos2::ZERO, egui::pos2(1280.0, 630.0));
        let names = bench.names();
        let mut pictures = names.iter().map(|name| plain(name));
        let picture = pictures
            .find(|name| name.starts_with("Picture of"))
            .unwrap();
        for seen in ["Stop with the best so far", "Stop and discard", &picture] {
            let rect = bench.find(seen).rect();
            assert!(free.contains_rect(rect), "{seen} at {rect}");
        }
        bench.click_running("Stop and discard");
        bench.run();
        for one in settings {
            assert!(bench.shows(one), "{one}");
        }
    });
}

/// Faces above the hearth of each level in mm and the slug of its posts, by number.
fn stands(bench: &Bench) -> Vec<(u32, String, f64)> {
    let (plan, catalogue) = (bench.plan(), &bench.app().working.catalogue);
    let furnace = catalogue.furnace(&plan.load.furnace).unwrap();
    let stack = &plan.load.stacks[0];
    let heights = setterwright::load::stack_heights(stack, catalogue, furnace);
    let levels = stack.levels.iter().zip(heights);
    let stands = levels.map(|(level, height)| {
        let post = match &level.carrier {
            Carrier::Posts { post, .. } => catalogue.post(post).unwrap().name.clone(),
            other => panic!("{other:?}"),
        };
        let hearth = setterwright::load::floor_and_roof(&furnace.hot_zone).0;
        (level.id.0, post, height.unwrap().face_mm - hearth)
    });
    stands.collect()
}

/// Where only posts are others, no picture from above shows it.
#[test]
fn levels_that_come_down_are_told_with_their_posts_and_heights() {
    let mut bench = Bench::arranging("cautions", "Quick");
    let before = stands(&bench);
    assert!(!bench.shows("Levels that stand otherwise"));
    bench.start();
    bench.ends();
    assert!(
        bench.shows("Levels that stand otherwise"),
        "{:?}",
        bench.names()
    );
    let told = bench.names();
    bench.click("Keep it");
    assert!(!bench.shows("Levels that stand otherwise"));
    let after = stands(&bench);
    assert_eq!(before.len(), after.len());
    let mut changed = 0;
    for (i, (was, is)) in before.iter().zip(&after).enumerate() {
        let level = format!("level {}", i + 1);
        // The row: name, posts before, posts after, heights.
        let row = told
            .windows(5)
            .find(|row| row[0] == level && row[3].parse::<f64>().is_ok());
        if (was.2 - is.2).abs() < 0.05 {
            assert_eq!(row, None);
            continue;
        }
        changed += 1;
        let carried = match was.1 == is.1 {
            true => "as before",
            false => is.1.as_str(),
        };
        let [from, to] = [was.2, is.2].map(|mm| format!("{mm:.1}"));
        assert_eq!(row.unwrap()[1..], [&was.1, carried, &from, &to]);
        assert!(is.2 < was.2);
    }
    assert!(changed > 0);
}

/// Nobody is to take the findings of the load for those of the layout beside them.
#[test]
fn findings_beside_a_layout_say_whose_they_are() {
    in_both_locales(|| {
        let mut bench = Bench::arranging("clean", "Quick");
        bench.take_out(3);
        let whose = ["Findings of the load as it is", "The load as it is:"];
        let says = |bench: &Bench| whose.map(|words| bench.shows(words));
        assert_eq!(says(&bench), [false; 2]);
        bench.start();
        // The columns beside are drawn before what was clicked.
        bench.harness.step();
        assert_eq!(says(&bench), [true; 2]);
        bench.ends();
        assert!(bench.shows("Keep it"));
        assert_eq!(says(&bench), [true; 2]);
        bench.click("Discard it");
        assert_eq!(says(&bench), [false; 2]);
        bench.start();
        bench.ends();
        bench.click("Keep it");
        assert_eq!(says(&bench), [false; 2]);
    });
}

/// The other way to stop: nothing is shown or kept, and nothing goes on.
#[test]
fn a_search_that_is_given_up_leaves_nothing() {
    in_both_locales(|| {
        let mut bench = Bench::arranging("cautions", "Long");
        let before = bench.bytes();
        bench.start();
        assert!(bench.app().is_arranging());
        bench.harness.step();
        bench.click_running("Stop and discard");
        assert!(!bench.app().is_arranging());
        bench.run();
        assert!(bench.message().contains("discarded"));
        assert!(bench.shows("The load as it is") && bench.enabled("Start"));
        assert!(!bench.shows("Keep it") && !bench.shows("places were tried"));
        assert_eq!(bench.bytes(), before);
    });
}

#[test]
fn what_is_discarded_leaves_the_load_as_it_was() {
    let mut bench = Bench::arranging("stop", "Quick");
    let before = bench.bytes();
    bench.start();
    bench.ends();
    bench.click("Discard it");
    assert_eq!(bench.bytes(), before);
    assert!(bench.message().contains("discarded"));
    assert!(bench.shows("The load as it is"));
    assert!(!bench.starred());
}

#[test]
fn an_edit_meanwhile_stops_the_search_and_nothing_is_lost() {
    let mut bench = Bench::arranging("cautions", "Long");
    bench.start();
    let edit = Edit::SetNote("set out by hand after all".to_owned());
    assert!(bench.harness.state_mut().edit(&edit));
    let edited = bench.bytes();
    bench.harness.step();
    assert!(
        bench
            .message()
            .contains("changed while it was being arranged")
    );
    bench.ends();
    assert!(bench.shows("cannot be kept"));
    assert_eq!(bench.bytes(), edited);
}

#[test]
fn what_was_found_before_an_edit_is_kept_only_once_that_is_undone() {
    let mut bench = Bench::arranging("cautions", "Thorough");
    bench.start();
    bench.ends();
    assert!(bench.shows("Parts on 4 setters"));
    let edit = Edit::SetNote("later".to_owned());
    assert!(bench.harness.state_mut().edit(&edit));
    bench.run();
    bench.click("Keep it");
    assert_eq!(bench.setters(), 5);
    assert!(bench.shows("cannot be kept"));
    bench.keys(Modifiers::COMMAND, Key::Z);
    bench.click("Keep it");
    assert_eq!(bench.setters(), 4);
}

#[test]
fn where_nothing_waits_the_gaps_say_so() {
    in_both_locales(|| {
        let mut bench = Bench::arranging("clean", "Quick");
        bench.take_entry("What", "The gaps");
        bench.start();
        bench.ends();
        assert!(bench.shows("nothing waits that could go into a gap"));
    });
}

#[test]
fn what_waits_goes_into_the_gaps_and_nothing_else_is_moved() {
    let mut bench = Bench::arranging("clean", "Quick");
    let taken = bench.take_out(3);
    let stands = |bench: &Bench| -> Vec<_> {
        let all = bench.plan().placements();
        all.map(|(l, p)| (l.id, p.id, p.at_mm)).collect()
    };
    let before = stands(&bench);
    bench.take_entry("What", "The gaps");
    bench.start();
    bench.ends();
    bench.click("Keep it");
    let after = stands(&bench);
    assert_eq!(after.len(), before.len() + taken.len());
    assert!(before.iter().all(|one| after.contains(one)));
    // Numbers that were given out are not given out again.
    assert!(after.iter().all(|(_, id, _)| !taken.contains(id)));
}

#[test]
fn lots_that_wait_are_marked_and_what_counts_is_chosen() {
    in_both_locales(|| {
        let mut bench = Bench::arranging("clean", "Quick");
        assert!(!bench.shows("What goes first"));
        bench.take_out(3);
        assert!(bench.shows("What goes first"));
        let id = bench.plan().lots.iter().find(|lot| {
            let stands = bench
                .plan()
                .placements()
                .filter(|(_, p)| p.item.lot() == Some(lot.id));
            stands.count() < lot.count as usize
        });
        let lot = id.unwrap().name.clone();
        // A due time that cannot be read is not left out in silence.
        let due = format!("Due {lot}");
        bench.fill(&due, "tomorrow");
        assert!(bench.shows("is neither a day"), "{:?}", bench.names());
        assert!(!bench.enabled("Start"));
        bench.fill(&due, "2026-12-01");
        assert!(bench.enabled("Start"));
        bench.click(&format!("Must go {lot}"));
        bench.take_entry("What counts", "Fewest setters, lowest stack, in balance");
        bench.start();
        bench.ends();
        assert!(
            bench.shows("Centre of mass off the axis"),
            "{:?}",
            bench.names()
        );
        assert!(bench.shows("Pieces out of rows"));
        assert!(bench.shows("Points in all"));
        assert!(bench.shows("assumed weights of the named set"));
        assert!(bench.shows("Keep it"));
    });
}

/// What an earlier search said goes with what it was said of.
#[test]
fn nothing_stale_is_left_to_be_read() {
    let nothing = "nothing waits that could go into a gap";
    let mut bench = Bench::arranging("clean", "Quick");
    bench.take_entry("What", "The gaps");
    bench.start();
    bench.ends();
    assert!(bench.shows(nothing));
    // Other choices.
    bench.take_entry("Turned", "By any angle");
    assert!(!bench.shows(nothing));
    bench.start();
    bench.ends();
    assert!(bench.shows(nothing));
    // Another load.
    bench.take_out(3);
    assert!(!bench.shows(nothing));
    bench.start();
    bench.ends();
    assert!(bench.shows("Keep it"), "{:?}", bench.names());
    // A layout that may be kept stays, and says that it goes by other choices.
    assert!(!bench.shows("goes by the earlier ones"));
    bench.take_entry("Turned", "By right angles");
    assert!(bench.shows("goes by the earlier ones") && bench.enabled("Keep it"));
    bench.take_entry("Turned", "By any angle");
    assert!(!bench.shows("goes by the earlier ones"));
    // The status line: with other choices, and with a new search.
    bench.click("Discard it");
    assert!(bench.message().contains("discarded"));
    bench.take_entry("Turned", "By right angles");
    assert_eq!(bench.message(), "");
    for _ in 0..2 {
        bench.start();
        assert_eq!(bench.message(), "");
        bench.ends();
        bench.click("Discard it");
        assert!(bench.message().contains("discarded"));
    }
}

/// Each kind has a face of its own on the pictures, and its name beside a sample.
#[test]
fn kinds_are_told_apart_and_named() {
    in_both_locales(|| {
        let bench = Bench::arranging("large", "Quick");
        let plan = Arc::clone(bench.plan());
        let faces = bench.faces();
        let mut used = 0;
        for (i, part) in plan.parts.iter().enumerate() {
            let mine = |item: &Item| item.is_production() && item.part() == Some(part.id);
            let placed = plan.placements().filter(|(_, p)| mine(&p.item)).count();
            if placed == 0 {
                continue;
            }
            used += 1;
            assert!(bench.shows(&format!("{}: {placed} placed", part.name)));
            let face = LIGHT.kinds[i % LIGHT.kinds.len()];
            // A sample and pieces.
            let painted = faces.iter().filter(|one| **one == face).count();
            assert!(painted > 2, "{}: {painted}", part.name);
        }
        assert!(used > 2, "{used} kinds");
    });
}

#[test]
fn parts_are_locked_from_the_panel() {
    let mut bench = Bench::arranging("clean", "Quick");
    let id = bench.plan().placements().next().unwrap().1.id;
    bench.harness.state_mut().view.selection.insert(id);
    bench.run();
    bench.click("Lock selected");
    assert!(bench.plan().placement(id).unwrap().1.locked);
    bench.click("Unlock selected");
    assert!(!bench.plan().placement(id).unwrap().1.locked);
}

#[test]
fn the_panel_is_in_the_palette_and_goes_back_to_the_plan() {
    let mut bench = Bench::demo("clean");
    bench.keys(Modifiers::COMMAND, Key::K);
    bench.write("arrange");
    bench.key(Key::Enter);
    assert!(bench.shows("The load as it is"));
    bench.click("Back to the plan");
    assert!(!bench.shows("The load as it is"));
}

/// Every control stays in the window, small as it is and with long words.
#[test]
fn nothing_of_it_is_cut_off_in_a_small_window() {
    in_both_locales(|| {
        for size in [[1280.0, 720.0], [1024.0, 768.0]] {
            let mut bench = Bench::sized("clean", size);
            bench.click("Arrange parts…");
            bench.click("What counts");
            bench.click("Own weights");
            let window = egui::Rect::from_min_size(egui::Pos2::ZERO, size.into());
            for name in [
                "Back to the plan",
                "What counts",
                "Start",
                "Lock selected",
                "Unlock selected",
            ] {
                let rect = bench.find(name).rect();
                assert!(window.contains_rect(rect), "{name} at {rect}");
            }
            // What is under the numbers is scrolled to.
            bench.find("Choose posts and setters").scroll_to_me();
            bench.run();
            let rect = bench.find("Choose posts and setters").rect();
            assert!(window.contains_rect(rect), "{rect}");
        }
    });
}

/// What is found in a small window: no heading of a picture is cut, and a picture can be seen without
/// scrolling.
#[test]
fn a_layout_is_seen_in_a_small_window() {
    in_both_locales(|| {
        let mut bench = Bench::sized("clean", [1280.0, 720.0]);
        bench.take_out(3);
        bench.click("Arrange parts…");
        bench.take_entry("How hard", "Quick");
        bench.take_entry("What", "The gaps");
        bench.start();
        bench.ends();
        assert!(bench.shows("Keep it"));
        let panel = bench.find("Arrange parts").rect().left();
        let panel = panel..=bench.find("Back to the plan").rect().right();
        for (text, rect) in bench.cut() {
            assert!(!panel.contains(&rect.left()), "{text} at {rect}");
        }
        assert!(bench.shows("of them new"), "{:?}", bench.names());
        let picture = bench.names();
        let picture = picture.iter().map(|name| plain(name));
        let picture = picture
            .into_iter()
            .find(|name| name.starts_with("Picture of"));
        let picture = bench.find(&picture.unwrap()).rect();
        // Long words take more lines.
        if locale() == Locale::English {
            assert!(picture.top() < 480.0, "{picture}");
        }
        // The choices are a click away.
        assert!(!bench.shows("How hard"));
        bench.click("What was chosen");
        assert!(bench.shows("How hard"));
    });
}

#[test]
fn own_weights_are_set_refused_kept_and_used() {
    let folder = tempfile::tempdir().unwrap();
    let settings = folder.path().join("settings.ron");
    let with_settings = || {
        let path = super::bench::demo_loads().join("cautions.load.ron");
        let app = App::on_file(Some(&path)).unwrap();
        let (settings, kept) = (settings.clone(), tempfile::tempdir().unwrap());
        let made = move |ctx: &egui::Context| app.with_settings(ctx, settings);
        let mut bench = Bench::made(kept, [1920.0, 1080.0], made);
        bench.click("Arrange parts…");
        bench
    };
    let mut bench = with_settings();
    assert!(bench.shows("Weights (assumed)"));
    let setter = "points for each setter";
    assert!(!bench.shows(setter));
    bench.take_entry("What counts", "Own weights");
    assert!(bench.shows(setter) && bench.shows("Weights (assumed)"));
    for bad in ["-1", "NaN", "99999999999", "many"] {
        bench.fill(setter, bad);
        assert!(bench.shows(&format!("\"{bad}\" is not a number from 0 to 1000000.")));
        assert!(!bench.enabled("Start"));
    }
    bench.fill(setter, "0");
    assert!(bench.enabled("Start"));
    assert!(bench.shows("Weights (your own)"), "{:?}", bench.names());
    bench.take_entry("How hard", "Quick");
    bench.start();
    bench.ends();
    assert!(bench.shows("Weighed with your own weights"));
    assert_eq!(bench.plan().levels().count(), 5);
    drop(bench);
    // Another start has them still, and a named set puts them back.
    let mut bench = with_settings();
    assert!(bench.shows("Weights (your own)"));
    assert_eq!(bench.value(setter), "0");
    bench.take_entry("What counts", "Lowest stack");
    assert!(bench.shows("Weights (assumed)"));
    assert_eq!(bench.value(setter), "1");
}

/// A number that is too large is said, and not taken for the largest.
#[test]
fn a_priority_that_is_none_is_said() {
    let mut bench = Bench::arranging("clean", "Quick");
    bench.take_out(3);
    let lots = bench.names();
    let name = lots.iter().find(|name| name.starts_with("Priority "));
    let name = name.unwrap_or_else(|| panic!("{lots:?}")).clone();
    for bad in ["100", "NaN", "99999999999", "-1"] {
        bench.fill(&name, bad);
        assert!(bench.shows(&format!("\"{bad}\" is not a whole number from 0 to 99.")));
        assert!(!bench.enabled("Start"));
    }
    bench.fill(&name, "99");
    assert!(bench.enabled("Start"));
    assert_eq!(bench.value(&name), "99");
}

#[test]
fn turns_of_a_part_and_the_face_it_lies_on_are_chosen_in_the_panel() {
    let mut bench = Bench::arranging("cautions", "Quick");
    bench.click("How each part may be turned");
    let part = bench.plan().parts[0].name.clone();
    bench.take_entry(&part, "Not at all");
    assert!(bench.shows("1 part not as all"));
    // Nothing of it waits that could go into a gap, and what stands is not moved then.
    let stays = format!("{part} is not turned, since it stays");
    assert!(!bench.shows(&stays));
    bench.take_entry("What", "The gaps");
    assert!(bench.shows(&stays), "{:?}", bench.names());
    bench.take_entry("What", "Everything that");
    assert!(!bench.shows(&stays));
    bench.click("Choose the face that parts lie on");
    // All others by any angle.
    bench.take_entry("Turned", "By any angle");
    let angles = |bench: &Bench| -> Vec<(PlacementId, f64)> {
        let plan = bench.plan();
        let all = plan.placements();
        all.filter(|(_, p)| p.item.part() == Some(plan.parts[0].id))
            .map(|(_, p)| (p.id, p.angle_deg))
            .collect()
    };
    let own: Vec<f64> = angles(&bench).into_iter().map(|(_, a)| a).collect();
    bench.start();
    bench.ends();
    assert!(bench.shows("places were tried"));
    bench.take_entry(&part, "As all");
    assert!(!bench.shows("not as all"));
    bench.click("Keep it");
    assert!(angles(&bench).iter().all(|(_, a)| own.contains(a)));
}
