//! The profile board: segment table and curve, edited from either.

use super::bench::{Bench, in_both_locales, plain};
use egui::{Event, Key, Modifiers, PointerButton, Pos2, Vec2, pos2, vec2};
use egui_kittest::kittest::{By, NodeT as _, Queryable as _};
use setterwright::app::state::App;
use setterwright::document::Document;
use setterwright::files::open_load;
use setterwright::load::{Edit, Item, Placement, PlacementId};
use setterwright::part::{Part, PartId};
use setterwright::profile::{
    Curve, Event as Happening, EventAt, EventKind, OnLeave, Profile, RampBy, Segment, WaitFor,
};
use std::sync::Arc;

/// A profile: 25 °C, then (K/min, °C, min). Each phase by hand, min:
/// 41.67 | 130, 60 | 170, 90 | 100, 30 | 125, 60 | 76.25, 120 | 191 | 500.
const RAMPS: [(f64, f64, f64); 8] = [
    (3.0, 150.0, 0.0),
    (1.0, 280.0, 60.0),
    (1.0, 450.0, 90.0),
    (1.0, 550.0, 30.0),
    (4.0, 1050.0, 60.0),
    (4.0, 1355.0, 120.0),
    (5.0, 400.0, 0.0),
    (0.7, 50.0, 0.0),
];

impl Bench {
    /// The profile board of the clean demo load with this profile, with room for every column.
    fn profile() -> Bench {
        let demo = super::bench::demo_loads().join("clean.load.ron");
        let (mut plan, working) = open_load(&demo, None).unwrap();
        let profile = Arc::make_mut(&mut plan.profile);
        assert_eq!(profile.segments.len(), RAMPS.len());
        for (segment, (k_min, to_c, hold_min)) in profile.segments.iter_mut().zip(RAMPS) {
            segment.ramp = RampBy::Rate { k_min };
            segment.to_c = to_c;
            segment.hold_min = hold_min;
        }
        let app = App::new(Document::new(plan, None), working);
        let mut bench = Bench::of(app, tempfile::tempdir().unwrap(), [2600.0, 1300.0]);
        bench.keys(Modifiers::COMMAND, Key::Num2);
        bench
    }

    /// The profile board of a profile, as if a file had brought it.
    fn with_profile(change: impl FnOnce(&mut Profile)) -> Bench {
        let demo = super::bench::demo_loads().join("clean.load.ron");
        let (mut plan, working) = open_load(&demo, None).unwrap();
        change(Arc::make_mut(&mut plan.profile));
        let app = App::new(Document::new(plan, None), working);
        let mut bench = Bench::of(app, tempfile::tempdir().unwrap(), [1280.0, 800.0]);
        bench.keys(Modifiers::COMMAND, Key::Num2);
        bench
    }

    /// Segment by its number.
    fn segment(&self, number: usize) -> &Segment {
        &self.plan().profile.segments[number - 1]
    }

    fn curve(&self) -> Curve {
        self.plan().profile.curve(Some(15.0)).unwrap()
    }

    /// Where a point of the curve stands: the one whose name begins like this.
    #[track_caller]
    fn point(&self, name: &str) -> Pos2 {
        let wanted = format!("{name}, ");
        let mut all = self.harness.query_all(By::new());
        let node = all.find(|n| {
            let label = n.accesskit_node().label();
            label.is_some_and(|label| plain(&label).starts_with(&wanted))
        });
        node.unwrap_or_else(|| panic!("no point {name}"))
            .rect()
            .center()
    }

    /// Points on the screen a minute and a kelvin, told from two points of the curve.
    fn scale(&self) -> Vec2 {
        let (a, b) = (
            self.point("Target of segment 1"),
            self.point("Target of segment 6"),
        );
        let curve = self.curve();
        let minutes = curve.points()[11].time_min - curve.points()[1].time_min;
        vec2((b.x - a.x) / minutes as f32, (b.y - a.y) / (1355.0 - 150.0))
    }

    /// A place on the screen: at a time, a little above the curve's foot.
    fn at_time(&self, min: f64) -> Pos2 {
        let (start, scale) = (self.point("Target of segment 1"), self.scale());
        let after = min - self.curve().points()[1].time_min;
        pos2(start.x + after as f32 * scale.x, start.y - 20.0)
    }

    /// Presses on a point of the curve and moves the pointer, in five steps.
    fn pull(&mut self, point: &str, by: Vec2) -> Pos2 {
        let from = self.point(point);
        self.harness.hover_at(from);
        self.harness.step();
        self.harness.drag_at(from);
        self.harness.step();
        for i in 1..=5 {
            self.harness.hover_at(from + by * (i as f32 / 5.0));
            self.harness.step();
        }
        from + by
    }

    /// Drags a point of the curve.
    fn drag_point(&mut self, point: &str, by: Vec2) {
        let to = self.pull(point, by);
        self.harness.drop_at(to);
        self.run();
    }

    fn press_at(&mut self, at: Pos2, modifiers: Modifiers) {
        self.harness.hover_at(at);
        self.harness.step();
        for pressed in [true, false] {
            let event = Event::PointerButton {
                pos: at,
                button: PointerButton::Primary,
                pressed,
                modifiers,
            };
            self.harness.event_modifiers(event, modifiers);
            self.harness.step();
        }
        self.run();
    }

    /// Makes a choice of a list.
    #[track_caller]
    pub fn choose(&mut self, list: &str, entry: &str) {
        self.find(list).scroll_to_me();
        self.run();
        self.click(list);
        self.click(entry);
    }

    /// Empties a field and commits with Enter.
    fn empty_field(&mut self, field: &str) {
        self.focus_field(field);
        self.keys(Modifiers::COMMAND, Key::A);
        self.key(Key::Delete);
        self.key(Key::Enter);
    }

    /// Does something that is one step with this name, looks at what it did, and takes it back.
    #[track_caller]
    fn one_step(&mut self, label: &str, act: impl FnOnce(&mut Bench), see: impl FnOnce(&Bench)) {
        let before = self.bytes();
        let steps = self.done();
        self.pause();
        act(self);
        assert_eq!(self.done(), steps + 1, "{label}: {}", self.message());
        let told = self.app().doc.history.undo_label().map(plain);
        assert_eq!(told.as_deref(), Some(label));
        see(self);
        self.keys(Modifiers::COMMAND, Key::Z);
        assert_eq!(self.bytes(), before, "{label}");
    }

    /// Adds a part of another alloy.
    fn mix(&mut self) {
        let plan = Arc::clone(self.plan());
        let id = plan.next_id;
        let part = Part {
            id: PartId(id),
            name: "collar".to_owned(),
            feedstock: "17-4ph-wax".to_owned(),
            ..Part::clone(&plan.parts[0])
        };
        let (_, level) = plan.levels().next().unwrap();
        let placement = Placement {
            id: PlacementId(id + 1),
            item: Item::Part {
                part: part.id,
                lot: None,
            },
            ..level.placements[0].clone()
        };
        let edits = [
            Edit::AddPart(Box::new(part)),
            Edit::Place {
                level: level.id,
                placements: vec![placement],
            },
        ];
        for edit in edits {
            let app = self.harness.state_mut();
            assert!(app.edit(&edit), "{}", app.message);
        }
        self.run();
    }

    /// Steps that undo can take back.
    fn done(&self) -> usize {
        let steps = self.app().doc.history.steps();
        steps.filter(|(_, done)| *done).count()
    }
}

const CHANGE: &str = "Change a segment";

#[test]
fn a_target_is_dragged() {
    in_both_locales(|| {
        let mut bench = Bench::profile();
        let up = vec2(0.0, bench.scale().y * 100.0);
        bench.one_step(
            CHANGE,
            |b| b.drag_point("Target of segment 5", up),
            |b| {
                // A point of the screen is several kelvin.
                assert!(
                    (b.segment(5).to_c - 1150.0).abs() <= 2.0,
                    "{}",
                    b.segment(5).to_c
                );
                assert_eq!(b.segment(5).to_c.fract(), 0.0);
                assert_eq!(b.segment(5).ramp, RampBy::Rate { k_min: 4.0 });
            },
        );
    });
}

#[test]
fn a_target_by_time_is_dragged_in_time_too() {
    let mut bench = Bench::profile();
    bench.choose("Ramp of segment 5", "in a time");
    assert_eq!(bench.segment(5).ramp, RampBy::Time { min: 125.0 });
    let later = vec2(bench.scale().x * 60.0, 0.0);
    bench.one_step(
        CHANGE,
        |b| b.drag_point("Target of segment 5", later),
        |b| match b.segment(5).ramp {
            RampBy::Time { min } => assert!((min - 185.0).abs() <= 1.0, "{min}"),
            ramp => panic!("{ramp:?}"),
        },
    );
}

#[test]
fn a_holds_end_is_dragged() {
    let mut bench = Bench::profile();
    let later = vec2(bench.scale().x * 90.0, 3.0);
    bench.one_step(
        CHANGE,
        |b| b.drag_point("End of the hold of segment 6", later),
        |b| {
            assert!(
                (b.segment(6).hold_min - 210.0).abs() <= 1.0,
                "{}",
                b.segment(6).hold_min
            );
            assert_eq!(b.segment(6).to_c, 1355.0);
        },
    );
    let earlier = vec2(-bench.scale().x * 500.0, 0.0);
    bench.one_step(
        CHANGE,
        |b| b.drag_point("End of the hold of segment 6", earlier),
        |b| assert_eq!(b.segment(6).hold_min, 0.0),
    );
}

#[test]
fn escape_drops_a_drag() {
    let mut bench = Bench::profile();
    let before = bench.bytes();
    for (point, by) in [
        ("Target of segment 5", vec2(0.0, -40.0)),
        ("End of the hold of segment 6", vec2(60.0, 0.0)),
    ] {
        let at = bench.point(point);
        let to = bench.pull(point, by);
        assert_ne!(bench.point(point), at, "{point} did not follow");
        bench.key(Key::Escape);
        bench.harness.drop_at(to);
        bench.run();
        assert_eq!(bench.point(point), at);
        assert_eq!(bench.bytes(), before);
        assert_eq!(bench.app().doc.history.undo_label(), None);
    }
}

/// The arrow keys move a point that has the focus by a step of the controller: 1 K, 1 min,
/// 0.1 K/min; with Shift by ten.
#[test]
fn keys_move_a_point() {
    let mut bench = Bench::profile();
    let press = |modifiers, key| {
        move |b: &mut Bench| {
            let at = b.point("Target of segment 5");
            b.press_at(at, Modifiers::NONE);
            assert!(b.focused().unwrap().starts_with("Target of segment 5,"));
            b.keys(modifiers, key);
        }
    };
    let none = Modifiers::NONE;
    bench.one_step(CHANGE, press(none, Key::ArrowUp), |b| {
        assert_eq!(b.segment(5).to_c, 1051.0);
    });
    bench.one_step(CHANGE, press(Modifiers::SHIFT, Key::ArrowDown), |b| {
        assert_eq!(b.segment(5).to_c, 1040.0);
    });
    bench.one_step(CHANGE, press(none, Key::ArrowRight), |b| {
        assert_eq!(b.segment(5).ramp, RampBy::Rate { k_min: 3.9 });
    });
    let hold = |b: &mut Bench| {
        let at = b.point("End of the hold of segment 5");
        b.press_at(at, Modifiers::NONE);
        b.keys(Modifiers::SHIFT, Key::ArrowLeft);
    };
    bench.one_step(CHANGE, hold, |b| assert_eq!(b.segment(5).hold_min, 50.0));
}

#[test]
fn segments_are_put_in_and_taken_out() {
    in_both_locales(|| {
        let mut bench = Bench::profile();
        let ids = |b: &Bench| -> Vec<u32> {
            let segments = &b.plan().profile.segments;
            segments.iter().map(|s| s.id.0).collect()
        };
        let were = ids(&bench);
        for (button, place) in [("Insert before", 2), ("Insert after", 3)] {
            bench.click("Select segment 3");
            bench.one_step(
                "Add a segment",
                |b| b.click(button),
                |b| {
                    let mut now = ids(b);
                    assert!(now.remove(place) > *were.iter().max().unwrap());
                    assert_eq!(now, were);
                    // It holds at what is reached there, in the gas of its neighbour.
                    let from = b.plan().profile.segments[place - 1].to_c;
                    let new = &b.plan().profile.segments[place];
                    assert_eq!((new.to_c, new.hold_min), (from, 30.0));
                    assert_eq!(new.gas.as_deref(), Some("argon"));
                },
            );
        }
        bench.click("Select segment 3");
        bench.one_step(
            "Remove a segment",
            |b| b.click("Remove segment"),
            |b| {
                let mut without = were.clone();
                without.remove(2);
                assert_eq!(ids(b), without);
            },
        );
    });
}

/// A split changes nothing of the curve at any time.
#[test]
fn splits_leave_the_curve() {
    let mut bench = Bench::profile();
    let was = bench.curve();
    let same = |b: &Bench| {
        let is = b.curve();
        assert_eq!(b.plan().profile.segments.len(), 9);
        assert!((is.total_time_min() - was.total_time_min()).abs() < 1e-9);
        for i in 0..=200 {
            let min = was.total_time_min() * f64::from(i) / 200.0;
            let old = was.setpoint_at(min).unwrap();
            let new = is.setpoint_at(min.min(is.total_time_min())).unwrap();
            assert!((new - old).abs() < 1e-6, "{min} min: {old} and {new} °C");
        }
    };
    bench.click("Select segment 3");
    bench.one_step(
        "Split a segment",
        |b| b.click("Split the ramp"),
        |b| {
            same(b);
            // 280 to 450 °C at its middle.
            assert_eq!((b.segment(3).to_c, b.segment(3).hold_min), (365.0, 0.0));
            assert_eq!((b.segment(4).to_c, b.segment(4).hold_min), (450.0, 90.0));
        },
    );
    bench.one_step(
        "Split a segment",
        |b| b.click("Split the hold"),
        |b| {
            same(b);
            assert_eq!((b.segment(3).to_c, b.segment(3).hold_min), (450.0, 45.0));
            assert_eq!((b.segment(4).to_c, b.segment(4).hold_min), (450.0, 45.0));
        },
    );
    // Nothing to split: the button is off.
    bench.click("Select segment 1");
    let steps = bench.done();
    bench.click("Split the hold");
    assert_eq!(bench.done(), steps);
}

/// Each column is edited once; the units are the exact ones of the typed fields.
#[test]
fn every_column_is_edited() {
    let mut bench = Bench::profile();
    let typed = |field: &'static str, text: &'static str| {
        move |b: &mut Bench| match text {
            "" => b.empty_field(field),
            _ => b.fill(field, text),
        }
    };
    type See = fn(&Bench);
    let cells: [(&str, &str, See); 15] = [
        ("Rate of segment 5", "180 K/h", |b| {
            assert_eq!(b.segment(5).ramp, RampBy::Rate { k_min: 3.0 });
        }),
        ("Target of segment 5", "1832 °F", |b| {
            assert_eq!(b.segment(5).to_c, 1000.0)
        }),
        ("Target of segment 5", "1 001,5", |b| {
            assert_eq!(b.segment(5).to_c, 1001.5)
        }),
        ("Hold of segment 3", "95 min", |b| {
            assert_eq!(b.segment(3).hold_min, 95.0)
        }),
        ("Hold of segment 2", "1.5 h", |b| {
            assert_eq!(b.segment(2).hold_min, 90.0)
        }),
        ("Hold of segment 2", "1:15", |b| {
            assert_eq!(b.segment(2).hold_min, 75.0)
        }),
        ("Flow of segment 2", "3 m³/h", |b| {
            assert_eq!(b.segment(2).flow_l_min_25c, 50.0);
        }),
        ("Pressure of segment 2", "2 kPa", |b| {
            assert_eq!(b.segment(2).pressure_mbar, Some(20.0));
        }),
        ("Pressure of segment 2", "500 Pa", |b| {
            assert_eq!(b.segment(2).pressure_mbar, Some(5.0));
        }),
        ("Pressure of segment 2", "1 atm", |b| {
            assert_eq!(b.segment(2).pressure_mbar, Some(1013.25));
        }),
        ("Pressure of segment 2", "", |b| {
            assert_eq!(b.segment(2).pressure_mbar, None)
        }),
        ("Band of segment 3", "9 °F", |b| {
            assert_eq!(b.segment(3).wait_on.unwrap().band_k, 5.0);
        }),
        ("Timeout of segment 3", "2.5 h", |b| {
            assert_eq!(b.segment(3).wait_on.unwrap().timeout_min, Some(150.0));
        }),
        ("Timeout of segment 3", "", |b| {
            assert_eq!(b.segment(3).wait_on.unwrap().timeout_min, None);
        }),
        ("Note of segment 3", "backbone, slowly", |b| {
            assert_eq!(b.segment(3).note, "backbone, slowly");
        }),
    ];
    for (field, text, see) in cells {
        if text == "1 001,5" {
            // May part thousands: refused with a sentence, and it stays in the field.
            let before = bench.bytes();
            bench.fill(field, text);
            assert_eq!(bench.bytes(), before);
            assert!(bench.message().contains("two ways"), "{}", bench.message());
            assert_eq!(bench.value(field), text);
            bench.fill(field, "1050");
            assert_eq!(bench.bytes(), before);
        } else if text == "9 °F" {
            // 5 K again: no step.
            let steps = bench.done();
            bench.fill(field, text);
            assert_eq!(bench.done(), steps);
            see(&bench);
            bench.one_step(CHANGE, typed(field, "3"), |b| {
                assert_eq!(b.segment(3).wait_on.unwrap().band_k, 3.0);
            });
        } else {
            bench.one_step(CHANGE, typed(field, text), see);
        }
    }
}

#[test]
fn every_choice_is_made() {
    let mut bench = Bench::profile();
    let chosen =
        |list: &'static str, entry: &'static str| move |b: &mut Bench| b.choose(list, entry);
    bench.one_step(CHANGE, chosen("Ramp of segment 2", "in a time"), |b| {
        // 130 K at 1 K/min.
        assert_eq!(b.segment(2).ramp, RampBy::Time { min: 130.0 });
        assert_eq!(b.value("Ramp time of segment 2"), "130\u{a0}min");
    });
    bench.one_step(CHANGE, chosen("Ramp of segment 2", "at full rate"), |b| {
        assert_eq!(b.segment(2).ramp, RampBy::FullRate);
    });
    bench.one_step(CHANGE, chosen("Gas of segment 2", "nitrogen"), |b| {
        assert_eq!(b.segment(2).gas.as_deref(), Some("nitrogen"));
    });
    bench.one_step(CHANGE, chosen("Gas of segment 2", "vacuum"), |b| {
        assert_eq!(b.segment(2).gas, None);
    });
    bench.one_step(CHANGE, chosen("Wait on of segment 3", "any load"), |b| {
        let wait = b.segment(3).wait_on.unwrap();
        assert_eq!((wait.on, wait.band_k), (WaitFor::AnyLoad, 5.0));
    });
    bench.one_step(CHANGE, chosen("Wait on of segment 3", "nothing"), |b| {
        assert_eq!(b.segment(3).wait_on, None);
    });
    bench.one_step(CHANGE, chosen("Wait on of segment 2", "control"), |b| {
        let wait = b.segment(2).wait_on.unwrap();
        assert_eq!((wait.on, wait.timeout_min), (WaitFor::Control, Some(60.0)));
    });
    let ramps = "The setpoint stops while out of band";
    bench.one_step(CHANGE, chosen("Wait in of segment 3", ramps), |b| {
        assert!(b.segment(3).wait_on.unwrap().on_ramp);
    });
    bench.key(Key::Escape);
    bench.one_step(
        CHANGE,
        chosen("Wait in of segment 3", "begins again"),
        |b| {
            assert_eq!(b.segment(3).wait_on.unwrap().on_leave, OnLeave::Restart);
        },
    );
}

#[test]
fn events_are_edited() {
    let mut bench = Bench::profile();
    bench.click("Events of segment 1");
    bench.one_step(
        CHANGE,
        |b| b.fill("Pressure of event 1", "100 Pa"),
        |b| {
            assert_eq!(
                b.segment(1).events[0].kind,
                EventKind::PumpDown { to_mbar: 1.0 }
            );
        },
    );
    bench.one_step(
        CHANGE,
        |b| b.click("Add purge volumes"),
        |b| {
            let kind = EventKind::PurgeInert { volumes: 5.0 };
            let at = EventAt::Start;
            assert_eq!(b.segment(1).events[1], Happening { at, kind });
        },
    );
    bench.one_step(
        CHANGE,
        |b| b.choose("End of event 1", "end"),
        |b| {
            assert_eq!(b.segment(1).events[0].at, EventAt::End);
        },
    );
    bench.one_step(
        CHANGE,
        |b| b.click("Remove of event 1"),
        |b| {
            assert_eq!(b.segment(1).events, []);
            assert!(b.shows("There are no events yet."));
        },
    );
    bench.click("Close the events");
    assert!(!bench.shows("Add purge volumes"));
}

#[test]
fn name_and_ends_are_edited() {
    in_both_locales(|| {
        let mut bench = Bench::profile();
        let of = |b: &Bench| Profile::clone(&b.plan().profile);
        bench.one_step(
            "Change the profile's name",
            |b| b.fill("Profile", "316L, slower"),
            |b| assert_eq!(of(b).name, "316L, slower"),
        );
        bench.one_step(
            "Change the profile's revision",
            |b| b.fill("Revision", "5"),
            |b| assert_eq!(of(b).revision, "5"),
        );
        bench.one_step(
            "Change the start temperature",
            |b| b.fill("Start temperature", "68 °F"),
            |b| assert_eq!(of(b).start_c, 20.0),
        );
        bench.one_step(
            "Change the unload temperature",
            |b| b.fill("Unload temperature", "50"),
            |b| assert_eq!(of(b).unload_c, 50.0),
        );
    });
}

/// A slip is asked about while it is typed: before Enter, and Escape drops it.
#[test]
fn slips_are_caught_while_typing() {
    in_both_locales(|| {
        let mut bench = Bench::profile();
        let before = bench.bytes();
        for (field, text, says) in [
            // 300 K/min is over 50; 300/60 = 5.
            (
                "Rate of segment 5",
                "300",
                "did you mean 300 K/h = 5 K/min?",
            ),
            // 2 K/h = 0.033 K/min is under 0.05.
            ("Rate of segment 5", "2 K/h", "did you mean 2 K/min?"),
            ("Rate of segment 5", "5 K/h", "= 0.0833\u{a0}K/min"),
            // 2462 °F = 1350 °C; 1623 K = 1349.85 °C; 1250 K = 976.85 °C.
            (
                "Target of segment 6",
                "2462",
                "did you mean 2462 °F = 1350 °C?",
            ),
            (
                "Target of segment 6",
                "1623",
                "did you mean 1623 K = 1350 °C?",
            ),
            ("Target of segment 6", "1250 K", "did you mean 1250 °C?"),
            ("Target of segment 6", "1250 K", "= 976.85\u{a0}°C"),
            ("Target of segment 6", "2462 °F", "= 1350\u{a0}°C"),
            ("Hold of segment 6", "120 h", "did you mean 120 min?"),
            ("Hold of segment 6", "1.5 h", "= 90\u{a0}min"),
            (
                "Pressure of segment 6",
                "101325",
                "did you mean 101325 Pa = 1013.25 mbar?",
            ),
            ("Pressure of segment 6", "800 kPa", "did you mean 800 mbar?"),
            ("Pressure of segment 6", "500 Pa", "= 5\u{a0}mbar"),
        ] {
            assert!(!bench.shows(says), "{says} before typing");
            bench.focus_field(field);
            bench.write(text);
            assert!(bench.shows(says), "{field} {text}: {:?}", bench.names());
            assert_eq!(bench.bytes(), before);
            bench.key(Key::Escape);
            assert!(!bench.shows(says), "{says} after Escape");
            assert_eq!(bench.bytes(), before);
        }
        // Nothing to ask about what is typed on purpose.
        for (field, text) in [
            ("Rate of segment 5", "5"),
            ("Target of segment 6", "1340"),
            ("Target of segment 3", "700 K"),
            ("Hold of segment 6", "180"),
            ("Pressure of segment 6", "1013"),
        ] {
            bench.focus_field(field);
            bench.write(text);
            assert!(!bench.shows("did you mean"), "{field} {text}");
            bench.key(Key::Escape);
        }
    });
}

/// A ramp by time: 500 K in 2 min are 250 K/min.
#[test]
fn a_ramp_time_in_hours_is_caught() {
    let mut bench = Bench::profile();
    bench.choose("Ramp of segment 5", "in a time");
    bench.focus_field("Ramp time of segment 5");
    bench.write("2");
    assert!(bench.shows("did you mean 2 h?"), "{:?}", bench.names());
}

/// What was committed all the same keeps its mark.
#[test]
fn a_slip_can_be_meant() {
    let mut bench = Bench::profile();
    bench.fill("Rate of segment 5", "300");
    assert_eq!(bench.segment(5).ramp, RampBy::Rate { k_min: 300.0 });
    assert!(bench.shows("did you mean 300 K/h = 5 K/min?"));
}

/// Sums of the phases by hand, to the minute.
#[test]
fn elapsed_time_and_reading() {
    let mut bench = Bench::profile();
    let names: Vec<String> = bench.names();
    for elapsed in [
        "0:42", "3:52", "8:12", "10:22", "13:27", "16:43", "19:54", "28:14",
    ] {
        assert!(names.iter().any(|n| n == elapsed), "{elapsed} in {names:?}");
    }
    assert!(bench.shows("Program 28:14 h:mm, peak 1355\u{a0}°C"));
    // 231.67 min at 280 °C, then 1 K/min: 348.3 °C after 5 h.
    bench.harness.hover_at(bench.at_time(300.0));
    bench.run();
    assert!(
        bench.shows("5:00 h:mm, 348\u{a0}°C, segment 3, ramp"),
        "{:?}",
        bench.names()
    );
    bench.harness.hover_at(bench.at_time(450.0));
    bench.run();
    assert!(bench.shows("7:30 h:mm, 450\u{a0}°C, segment 3, hold"));
}

/// 300 min: 348.33 °C; 360 min: 408.33 °C; 1:00 h:mm, 60 K, 1 K/min.
const BETWEEN: &str = "From A to B: Δt 1:00 h:mm, ΔT +60\u{a0}K, mean slope +1.00\u{a0}K/min";

#[test]
fn two_cursors_by_pointer() {
    in_both_locales(|| {
        let mut bench = Bench::profile();
        let before = bench.bytes();
        bench.press_at(bench.at_time(300.0), Modifiers::NONE);
        assert!(bench.shows("A: 5:00, 348\u{a0}°C"), "{:?}", bench.names());
        assert!(!bench.shows("From A to B"));
        bench.press_at(bench.at_time(360.0), Modifiers::SHIFT);
        assert!(bench.shows("B: 6:00, 408\u{a0}°C"), "{:?}", bench.names());
        assert!(bench.shows(BETWEEN), "{:?}", bench.names());
        bench.click("Take the cursors away");
        assert!(!bench.shows("From A to B"));
        assert_eq!(bench.bytes(), before);
    });
}

#[test]
fn two_cursors_by_keys() {
    let mut bench = Bench::profile();
    let before = bench.bytes();
    bench.fill("Cursor A", "5 h");
    bench.fill("Cursor B", "6:00");
    assert!(bench.shows(BETWEEN), "{:?}", bench.names());
    // 231 to 1003 min and back: 280 - 1355 °C in -771 min.
    bench.fill("Cursor A", "1002");
    bench.fill("Cursor B", "231");
    assert!(
        bench.shows("Δt -12:51 h:mm, ΔT -1075\u{a0}K, mean slope +1.39\u{a0}K/min"),
        "{:?}",
        bench.names()
    );
    bench.fill("Cursor B", "30 h");
    assert!(
        bench.message().contains("The program ends at 28:14"),
        "{}",
        bench.message()
    );
    assert!(bench.shows("Δt -12:51"));
    bench.empty_field("Cursor B");
    assert!(!bench.shows("From A to B"));
    assert_eq!(bench.bytes(), before);
    assert_eq!(bench.app().doc.history.undo_label(), None);
}

/// Every feedstock of a mixed load has its two ranges, as they are in its record.
#[test]
fn ranges_of_every_feedstock() {
    in_both_locales(|| {
        let mut bench = Bench::profile();
        assert!(bench.shows("316L in wax and polypropylene: debind 150 to 550 °C"));
        assert!(bench.shows("316L in wax and polypropylene: sinter 1330 to 1375 °C"));
        assert!(!bench.shows("17-4PH in wax and polypropylene: debind"));
        bench.mix();
        for name in [
            "316L in wax and polypropylene: debind 150 to 550 °C",
            "316L in wax and polypropylene: sinter 1330 to 1375 °C",
            "17-4PH in wax and polypropylene: debind 150 to 550 °C",
            "17-4PH in wax and polypropylene: sinter 1320 to 1370 °C",
        ] {
            assert!(bench.shows(name), "{name} in {:?}", bench.names());
        }
        // Names stand beside each other, clear of points.
        let names: Vec<_> = ["316L", "17-4PH"]
            .iter()
            .flat_map(|alloy| {
                ["debind", "sinter"].map(|what| {
                    let all = bench.harness.query_all(By::new());
                    let start = format!("{alloy} in wax and polypropylene: {what} ");
                    let mut found = all.filter(|n| {
                        let label = n.accesskit_node().label();
                        let value = n.accesskit_node().value();
                        let text = label.or(value).map(|t| plain(&t));
                        text.is_some_and(|t| t.starts_with(&start))
                    });
                    found.next().unwrap().rect()
                })
            })
            .collect();
        for (i, a) in names.iter().enumerate() {
            assert!(names[..i].iter().all(|b| !a.intersects(*b)), "{names:?}");
            for segment in 1..=8 {
                let at = bench.point(&format!("Target of segment {segment}"));
                assert!(!a.contains(at), "segment {segment} under a name");
            }
        }
    });
}

#[test]
fn a_profile_without_segments_says_so() {
    in_both_locales(|| {
        let mut bench = Bench::with_profile(|p| p.segments.clear());
        assert!(bench.shows("This profile has no segments yet."));
        bench.one_step(
            "Add a segment",
            |b| b.click("Add the first segment"),
            |b| {
                assert_eq!(b.segment(1).to_c, 125.0);
                assert!(b.shows("Program "));
            },
        );
    });
}

#[test]
fn one_segment_has_a_curve() {
    let mut bench = Bench::with_profile(|p| p.segments.truncate(1));
    assert!(bench.shows("Program 0:42 h:mm, peak 150\u{a0}°C"));
    bench.click("Select segment 1");
    bench.one_step(
        "Remove a segment",
        |b| b.click("Remove segment"),
        |b| assert!(b.shows("This profile has no segments yet.")),
    );
}

/// What no field takes may still come with a file: a sentence, no panic.
#[test]
fn broken_profiles_say_what_is_wrong() {
    let rate = |k_min| move |p: &mut Profile| p.segments[1].ramp = RampBy::Rate { k_min };
    for k_min in [0.0, f64::NAN, f64::INFINITY] {
        let bench = Bench::with_profile(rate(k_min));
        assert!(bench.shows("No curve can be drawn."), "{k_min}");
    }
    let bench = Bench::with_profile(|p| p.segments[1].hold_min = f64::NAN);
    assert!(bench.shows("No curve can be drawn."));
    // An unknown gas is named as it is in the file; a step still has a curve.
    let mut bench = Bench::with_profile(|p| {
        p.segments[1].gas = Some("phlogiston".to_owned());
        p.segments[2].ramp = RampBy::Time { min: 0.0 };
    });
    assert!(bench.shows("Program "));
    let gas = bench.find("Gas of segment 2").value();
    assert!(gas.is_some_and(|g| g.contains("phlogiston")));
    // No edit gets past it but the one that mends it, and that is a sentence too.
    bench.fill("Hold of segment 1", "5 min");
    assert!(
        bench.message().contains("phlogiston"),
        "{}",
        bench.message()
    );
}

/// A step in the setpoint is a slip of a zero: it has a curve, and a point for each end.
#[test]
fn a_segment_of_no_time_has_a_curve() {
    let bench = Bench::with_profile(|p| {
        for segment in &mut p.segments {
            (segment.ramp, segment.hold_min) = (RampBy::Time { min: 0.0 }, 0.0);
        }
    });
    assert!(
        bench.shows("Program 0:00 h:mm, peak 1345\u{a0}°C"),
        "{:?}",
        bench.names()
    );
}

/// Cooling at full rate is what the furnace does by itself: no time is told for it.
#[test]
fn own_cooling_is_not_forecast() {
    in_both_locales(|| {
        let mut bench = Bench::profile();
        bench.choose("Ramp of segment 8", "at full rate");
        assert!(bench.shows("segment 8 cools by itself; its time is the forecast's"));
        // 28:14 without the 500 min of the last ramp: 19:54.
        assert!(
            bench.shows("Program 19:54 h:mm without its own cooling, peak 1355\u{a0}°C"),
            "{:?}",
            bench.names()
        );
        bench.fill("Cursor A", "1100");
        bench.fill("Cursor B", "1200");
        assert!(bench.shows("B: segment 8 cools by itself; its time is the forecast's"));
        assert!(!bench.shows("From A to B"));
        // Heating at full rate is: 15 K/min is the furnace's.
        bench.choose("Ramp of segment 2", "at full rate");
        assert!(!bench.shows("segment 2 cools by itself"));
    });
}
