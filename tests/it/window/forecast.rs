//! The forecast in the window: it follows the plan, what is of an earlier state says so, and what
//! cannot be forecast says why.

use super::bench::{Bench, in_both_locales, plain};
use egui::{Key, Modifiers, Vec2};
use egui_kittest::kittest::{By, NodeT as _, Queryable as _};
use setterwright::document::MadeFor;
use setterwright::load::Edit;
use setterwright::profile::Segment;

const SIZE: [f32; 2] = [2600.0, 1300.0];

impl Bench {
    /// The profile board of a demo load with its forecast.
    fn forecast(name: &str) -> Bench {
        let mut bench = Bench::forecasting(name, SIZE);
        bench.keys(Modifiers::COMMAND, Key::Num2);
        bench.forecast_comes();
        bench
    }

    fn forecast_comes(&mut self) {
        self.wait("the forecast", |app| !app.is_forecasting());
        assert_eq!(self.made_for(), Some(MadeFor::Now));
    }

    fn made_for(&mut self) -> Option<MadeFor> {
        let shown = self.harness.state_mut().shown_forecast();
        shown.map(|(_, made_for)| made_for)
    }

    fn held(&self, number: usize) -> Segment {
        self.plan().profile.segments[number - 1].clone()
    }

    fn set_hold(&mut self, number: usize, hold_min: f64) {
        let segment = Segment {
            hold_min,
            ..self.held(number)
        };
        let edit = Edit::ChangeSegment(segment);
        assert!(self.harness.state_mut().edit(&edit), "{}", self.message());
    }

    /// What begins like this, among all names and words; with plain spaces before units.
    fn says(&self, begins: &str) -> Option<String> {
        let all = self.names().into_iter();
        let all = all.map(|name| plain(&name).replace(['\u{a0}', '\u{202f}'], " "));
        all.into_iter().find(|name| name.starts_with(begins))
    }

    fn not_forecast(&self) -> usize {
        self.app().review().unwrap().unforecast.len()
    }
}

#[test]
fn another_hold_changes_the_table() {
    in_both_locales(|| {
        let mut bench = Bench::forecast("clean");
        bench.click("Forecast in figures");
        let before = bench.says("450 °C: clock 90 min");
        let before = before.expect("the hold of segment 3");
        assert!(before.contains("coldest place gets"), "{before}");
        assert!(before.contains("needs"), "{before}");
        bench.set_hold(3, 150.0);
        bench.run();
        bench.forecast_comes();
        let after = bench.says("450 °C: clock 150 min");
        assert!(after.is_some(), "{:?}", bench.says("450 °C"));
        assert!(bench.says("450 °C: clock 90").is_none());
        assert!(bench.shows("no result here is permission to open a furnace"));
        assert!(bench.says("Unload at").is_some());
        assert!(bench.says("Binder trap catches").is_some());
        assert!(bench.says("Electric energy").is_some());
    });
}

#[test]
fn tabs_are_commands_and_margins_stand_beside_their_values() {
    let mut bench = Bench::forecast("clean");
    bench.menu("View", "Load board");
    bench.menu("Forecast", "Profile: forecast over time");
    assert!(bench.says("Binder left, %").is_some());
    bench.menu("Forecast", "Profile: forecast in figures");
    assert!(bench.says("450 °C: clock 90 min").is_some());
    for words in [" the least, ", " mm inside the tolerance", " case)"] {
        assert!(bench.shows(words), "{words}: {:?}", bench.names());
    }
    bench.menu("Forecast", "Profile: segments");
    assert!(bench.says("450 °C: clock 90 min").is_none());
}

#[test]
fn what_rests_on_assumed_figures_says_so_and_lists_them() {
    let mut bench = Bench::forecast("clean");
    bench.click("Forecast in figures");
    assert!(!bench.shows("contact_gap_m"));
    let button = bench
        .says("The run: show")
        .expect("the count of assumed figures");
    bench.find(&button).scroll_to_me();
    bench.run();
    bench.click(&button);
    assert!(bench.shows("contact_gap_m") && bench.shows("heat network, contact"));
    assert!(!bench.shows("molar_volume_m3"), "it is derived");
    bench.find("Only those assumed").click_accesskit();
    bench.run();
    assert!(bench.shows("molar_volume_m3"));
}

#[test]
fn an_earlier_forecast_says_so_and_is_not_judged_by() {
    in_both_locales(|| {
        let mut bench = Bench::forecast("clean");
        bench.click("Forecast in figures");
        assert!(bench.says("Forecast of the plan as it is now").is_some());
        assert_eq!(bench.not_forecast(), 0);
        // The pass of an edit is drawn before its forecast can have come; if a busy machine gave
        // the worker that time, the next edit is looked at.
        let seen = (0..20).any(|i| {
            bench.set_hold(3, 91.0 + f64::from(i));
            bench.harness.step();
            if bench.made_for() != Some(MadeFor::Earlier) || bench.not_forecast() == 0 {
                return false;
            }
            let new = format!("450 °C: clock {} min", 91 + i);
            assert!(bench.says("450 °C: clock").is_some() && bench.says(&new).is_none());
            bench.shows("Of an earlier state of the plan")
                && bench.shows("Forecast: of an earlier state")
        });
        assert!(seen, "{:?}", bench.says("450 °C"));
        bench.forecast_comes();
        assert!(!bench.shows("Of an earlier state"));
        assert_eq!(bench.not_forecast(), 0);
    });
}

#[test]
fn a_note_stales_nothing_and_an_undo_finds_what_was_there() {
    let mut bench = Bench::forecast("clean");
    let made = bench.harness.state_mut().shown_forecast().unwrap().0;
    for edit in [
        Edit::SetNote("dry since Monday".to_owned()),
        Edit::SetTitle("another title".to_owned()),
    ] {
        assert!(bench.harness.state_mut().edit(&edit));
        bench.harness.step();
        let (now, made_for) = bench.harness.state_mut().shown_forecast().unwrap();
        assert_eq!(made_for, MadeFor::Now);
        assert!(std::sync::Arc::ptr_eq(&now, &made));
        assert!(!bench.app().is_forecasting());
    }
    bench.set_hold(3, 120.0);
    bench.run();
    bench.forecast_comes();
    bench.keys(Modifiers::COMMAND, Key::Z);
    let (now, made_for) = bench.harness.state_mut().shown_forecast().unwrap();
    assert_eq!(made_for, MadeFor::Now);
    assert!(std::sync::Arc::ptr_eq(&now, &made));
    assert_eq!(bench.not_forecast(), 0);
}

#[test]
fn no_forecast_says_why_and_what_to_do() {
    in_both_locales(|| {
        let mut bench = Bench::forecasting("clean", SIZE);
        bench.menu("File", "New load");
        bench.keys(Modifiers::COMMAND, Key::Num2);
        bench.forecast_comes();
        bench.click("Forecast in figures");
        let says = bench
            .says("No forecast: it lacks")
            .expect("why there is none");
        assert!(says.contains("a level with something to heat"), "{says}");
        assert!(says.contains("set parts out on a level"), "{says}");
    });
}

#[test]
fn the_forecast_follows_a_drag_and_what_is_typed() {
    let mut bench = Bench::forecast("clean");
    let shown = |bench: &mut Bench| bench.harness.state_mut().shown_forecast();
    let first = shown(&mut bench).unwrap().0;
    // A target is pulled down and held there.
    let mut all = bench.harness.query_all(By::new());
    let point = all.find(|n| {
        let label = n.accesskit_node().label();
        label.is_some_and(|l| l.starts_with("Target of segment 6, "))
    });
    let from = point.expect("the point").rect().center();
    drop(all);
    bench.harness.hover_at(from);
    bench.harness.step();
    bench.harness.drag_at(from);
    bench.harness.step();
    let to = from + Vec2::new(0.0, 40.0);
    bench.harness.hover_at(from + Vec2::new(0.0, 20.0));
    bench.harness.step();
    bench.harness.hover_at(to);
    bench.harness.step();
    bench.wait("the forecast of the drag", |app| !app.is_forecasting());
    let (dragged, made_for) = shown(&mut bench).unwrap();
    assert_eq!(made_for, MadeFor::Trial);
    let peak = |made: &setterwright::document::Forecasted| {
        let made = made.result.as_ref().unwrap();
        made.curves.as_ref().unwrap().nominal.most()
    };
    assert!(peak(&dragged) < peak(&first) - 20.0);
    assert!(bench.shows("Forecast: of what is dragged or typed"));
    // The plan has not changed, and is still judged by its own.
    assert_eq!(bench.not_forecast(), 0);
    bench.key(Key::Escape);
    let (back, made_for) = shown(&mut bench).unwrap();
    assert_eq!(made_for, MadeFor::Now);
    assert!(std::sync::Arc::ptr_eq(&back, &first));
    bench.harness.drop_at(to);
    bench.run();

    bench.focus_field("Hold of segment 3");
    bench.write("200 min");
    bench.wait("the forecast of the typed hold", |app| {
        !app.is_forecasting()
    });
    assert_eq!(bench.made_for(), Some(MadeFor::Trial));
    assert_eq!(bench.held(3).hold_min, 90.0);
    let trial = shown(&mut bench).unwrap().0;
    bench.key(Key::Enter);
    assert_eq!(bench.held(3).hold_min, 200.0);
    // What was tried out is what the plan has now: nothing is made again.
    let (now, made_for) = shown(&mut bench).unwrap();
    assert_eq!(made_for, MadeFor::Now);
    assert!(std::sync::Arc::ptr_eq(&now, &trial));
}

/// The panes and the cursors say what a forecast has at a time, also to those who do not see it.
#[test]
fn lines_over_time_are_named_and_read_at_the_cursors() {
    in_both_locales(|| {
        let mut bench = Bench::forecast("clean");
        bench.click("Forecast over time");
        for pane in [
            "Binder left, %; at the end",
            "Off-gas and sweep, L/min; at the end",
        ] {
            assert!(bench.says(pane).is_some(), "{pane}: {:?}", bench.names());
        }
        bench.fill("Cursor A", "5:00");
        assert!(bench.shows("coldest part") && bench.shows("hottest"));
        // Both clocks are named, and the setpoint that the run has then.
        for words in [
            "by the program's clock 5:00",
            "after 5:00 of the run, waits counted: coldest part",
            "setpoint then ",
            "with waits)",
        ] {
            assert!(bench.shows(words), "{words}: {:?}", bench.names());
        }
        bench.click("Binder");
        assert!(bench.says("Binder left, %; at the end").is_none());
        assert!(bench.shows("Cold case") && bench.shows("Hot case"));
    });
}

/// Every control stays in the window, small as it is and with long words.
#[test]
fn nothing_of_it_is_cut_off_in_a_small_window() {
    in_both_locales(|| {
        let mut bench = Bench::forecasting("clean", [1280.0, 720.0]);
        bench.keys(Modifiers::COMMAND, Key::Num2);
        bench.forecast_comes();
        for tab in ["Forecast over time", "Forecast in figures", "Segments"] {
            bench.click(tab);
            for name in [
                "Segments",
                "Forecast over time",
                "Forecast in figures",
                "Cold case",
                "Hot case",
                "Furnace as run",
            ] {
                let rect = bench.find(name).rect();
                let window = egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(1280.0, 720.0));
                assert!(window.contains_rect(rect), "{tab}: {name} at {rect}");
            }
        }
    });
}
