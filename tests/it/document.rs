//! History, derived results and drag preview, against the plain functions of `load`.

use crate::document_fixture::{
    CAPS, Rng, alter, catalogue, four_posts, furnace, ids, part, place, plan, random_edit,
};
use proptest::prelude::*;
use setterwright::catalogue::Catalogue;
use setterwright::document::{
    Change, Derived, Document, History, Keep, Made, NUDGES_WITHIN, Preview, preview_gaps,
};
use setterwright::load::{
    Clearances, Edit, LevelId, Move, PlacementId, Plan, Sizes, Stack, StackId, clearances, tally,
};
use setterwright::part::Shape;
use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::Duration;

const T0: Duration = Duration::from_secs(100);

fn at(ms: u64) -> Duration {
    T0 + Duration::from_millis(ms)
}

fn shift(plan: &Plan, ids: &[u32], dx: f64) -> Edit {
    let preview = Preview {
        ids: ids.iter().map(|id| PlacementId(*id)).collect(),
        delta_mm: [dx, 0.0],
        delta_deg: 0.0,
    };
    preview.to_edit(plan).unwrap()
}

fn nudge(history: &mut History, ids: &[u32], dx: f64, ms: u64) -> Change {
    let edit = shift(history.plan(), ids, dx);
    history.apply(&edit, &catalogue(), at(ms)).unwrap().change
}

fn step(history: &mut History, edit: Edit) {
    let applied = history.apply(&edit, &catalogue(), T0).unwrap();
    assert_eq!(applied.change, Change::Step);
}

fn note(text: &str) -> Edit {
    Edit::SetNote(text.to_owned())
}

fn labels(history: &History) -> Vec<(String, bool)> {
    let steps = history.steps();
    steps
        .map(|(label, done)| (label.to_owned(), done))
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn undo_reaches_the_first_value_and_redo_the_last(seed in any::<u64>()) {
        let (catalogue, mut rng) = (catalogue(), Rng(seed));
        let original = plan();
        let mut history = History::new(original.clone());
        let mut ever: BTreeSet<u32> = ids(&original).into_iter().collect();
        for i in 0..60 {
            match rng.below(10) {
                0 => { history.undo(); }
                1 => { history.redo(); }
                _ => {
                    let before = Arc::clone(history.plan());
                    let (steps, next) = (labels(&history), history.next_id());
                    let edit = random_edit(&mut rng, &before, next);
                    match history.apply(&edit, &catalogue, at(300 * i)) {
                        Ok(applied) if applied.change != Change::Nothing => {
                            let had: BTreeSet<u32> = ids(&before).into_iter().collect();
                            let now = ids(history.plan());
                            prop_assert_eq!(now.iter().collect::<BTreeSet<_>>().len(), now.len());
                            for new in now.iter().filter(|id| !had.contains(id)) {
                                prop_assert!(ever.insert(*new), "number {} came back", new);
                            }
                            prop_assert_eq!(history.redo_label(), None);
                        }
                        Ok(_) => {
                            prop_assert!(Arc::ptr_eq(&before, history.plan()));
                            prop_assert_eq!(&labels(&history), &steps);
                        }
                        Err(refusal) => {
                            prop_assert!(refusal.0.ends_with(['.', '?']), "{}", refusal);
                            prop_assert!(Arc::ptr_eq(&before, history.plan()));
                            prop_assert_eq!(&labels(&history), &steps);
                            prop_assert_eq!(history.next_id(), next);
                        }
                    }
                }
            }
            prop_assert!(history.next_id() >= history.plan().next_id);
        }
        while history.redo() {}
        let last = Arc::clone(history.plan());
        let steps = history.steps().count();
        let undone = std::iter::from_fn(|| history.undo().then_some(())).count();
        prop_assert_eq!(undone, steps);
        prop_assert_eq!(history.plan().as_ref(), &original);
        let redone = std::iter::from_fn(|| history.redo().then_some(())).count();
        prop_assert_eq!(redone, steps);
        prop_assert_eq!(history.plan(), &last);
    }

    #[test]
    fn a_drag_says_what_the_release_will_say(
        seed in any::<u64>(),
        delta_mm in [-40.0..40.0f64, -40.0..40.0f64],
        delta_deg in prop_oneof![Just(0.0), -90.0..90.0f64],
    ) {
        let (catalogue, mut rng) = (catalogue(), Rng(seed));
        let furnace = furnace(&catalogue);
        let mut plan = plan();
        for _ in 0..25 {
            let edit = random_edit(&mut rng, &plan, plan.next_id);
            plan = edit.apply(&plan, &catalogue).unwrap_or(plan);
        }
        let all: Vec<PlacementId> = plan.placements().map(|(_, p)| p.id).collect();
        let unlock = Edit::SetLocked { ids: all.clone(), locked: false };
        plan = unlock.apply(&plan, &catalogue).unwrap();
        let dragged: Vec<PlacementId> = (0..4).filter_map(|_| rng.pick(&all)).collect();
        let preview = Preview { ids: dragged.clone(), delta_mm, delta_deg };
        let mut derived = Derived::default();
        let said = preview_gaps(&preview, &plan, &catalogue, furnace, &CAPS, &mut derived);
        let after = match preview.to_edit(&plan) {
            Some(edit) => edit.apply(&plan, &catalogue).unwrap(),
            None => plan,
        };
        let sizes = Sizes::new(&after, &catalogue);
        let mut whole = clearances(&after, &catalogue, furnace, &sizes, &CAPS);
        whole.pairs.retain(|g| dragged.contains(&g.a) || dragged.contains(&g.b));
        whole.pairs.sort_by_key(|gap| (gap.a, gap.b));
        whole.items.retain(|gap| dragged.contains(&gap.placement));
        prop_assert_eq!(said.pairs, whole.pairs);
        prop_assert_eq!(said.items, whole.items);
    }
}

#[test]
fn a_drag_that_goes_nowhere_is_no_edit() {
    let plan = plan();
    let mut preview = Preview {
        ids: vec![PlacementId(10), PlacementId(999)],
        ..Preview::default()
    };
    assert_eq!(preview.to_edit(&plan), None);
    preview.delta_deg = -30.0;
    let edit = Edit::MovePlacements(vec![Move {
        id: PlacementId(10),
        level: LevelId(5),
        at_mm: [-30.0, 0.0],
        angle_deg: 330.0,
    }]);
    assert_eq!(preview.to_edit(&plan), Some(edit));
    preview.ids = vec![PlacementId(999)];
    assert_eq!(preview.to_edit(&plan), None);
}

#[test]
fn nudges_in_a_row_are_one_step() {
    let mut history = History::new(plan());
    let window = NUDGES_WITHIN.as_millis() as u64;
    assert_eq!(nudge(&mut history, &[10], 1.0, 0), Change::Step);
    assert_eq!(nudge(&mut history, &[10], 1.0, window), Change::Merged);
    assert_eq!(nudge(&mut history, &[10], 1.0, 2 * window), Change::Merged);
    assert_eq!(history.steps().count(), 1);
    let x = |history: &History| history.plan().placement(PlacementId(10)).unwrap().1.at_mm[0];
    assert_eq!(x(&history), -27.0);
    // Too late; others; a clock that goes back.
    assert_eq!(
        nudge(&mut history, &[10], 1.0, 3 * window + 1),
        Change::Step
    );
    assert_eq!(
        nudge(&mut history, &[10, 11], 1.0, 3 * window + 2),
        Change::Step
    );
    assert_eq!(
        nudge(&mut history, &[11, 10], 1.0, 3 * window + 3),
        Change::Merged
    );
    assert_eq!(nudge(&mut history, &[11, 10], 1.0, 0), Change::Step);
    assert_eq!(history.undo_label(), Some("Move 2 parts"));
    // A step in between, an undo in between, the saved mark in between.
    step(&mut history, note("between"));
    assert_eq!(nudge(&mut history, &[11, 10], 1.0, 1), Change::Step);
    history.undo();
    history.redo();
    assert_eq!(nudge(&mut history, &[11, 10], 1.0, 2), Change::Step);
    history.mark_saved();
    assert_eq!(nudge(&mut history, &[11, 10], 1.0, 3), Change::Step);
    history.undo();
    assert!(history.is_saved());
}

#[test]
fn a_nudge_taken_back_leaves_no_step() {
    let mut history = History::new(plan());
    history.mark_saved();
    assert_eq!(nudge(&mut history, &[10], 1.0, 0), Change::Step);
    // What is refused or changes nothing in between does not count.
    assert!(
        history
            .apply(&Edit::SetFurnace("none".to_owned()), &catalogue(), at(1))
            .is_err()
    );
    assert_eq!(
        history
            .apply(&note(""), &catalogue(), at(1))
            .unwrap()
            .change,
        Change::Nothing
    );
    assert_eq!(nudge(&mut history, &[10], -1.0, 2), Change::TakenBack);
    assert_eq!(history.steps().count(), 0);
    assert!(history.is_saved());
    assert_eq!(nudge(&mut history, &[10], 1.0, 3), Change::Step);
    // To another level is a step of its own.
    let to = Edit::MovePlacements(vec![Move {
        id: PlacementId(10),
        level: LevelId(6),
        at_mm: [0.0, -40.0],
        angle_deg: 0.0,
    }]);
    assert_eq!(
        history.apply(&to, &catalogue(), at(4)).unwrap().change,
        Change::Step
    );
}

#[test]
fn undo_and_redo_have_names_and_a_new_edit_ends_redo() {
    let mut history = History::new(plan());
    assert!(!history.undo() && !history.redo());
    assert_eq!((history.undo_label(), history.redo_label()), (None, None));
    step(&mut history, note("one"));
    step(&mut history, Edit::SetTitle("Rings".to_owned()));
    assert!(history.undo());
    assert_eq!(history.undo_label(), Some("Change the note"));
    assert_eq!(history.redo_label(), Some("Change the title"));
    let named = |label: &str, done| (label.to_owned(), done);
    let both = [
        named("Change the note", true),
        named("Change the title", false),
    ];
    assert_eq!(labels(&history), both);
    // An edit that changes nothing is no new edit.
    let same = history.apply(&note("one"), &catalogue(), T0).unwrap();
    assert_eq!(same.change, Change::Nothing);
    assert_eq!(labels(&history), both);
    step(&mut history, note("two"));
    assert_eq!(history.redo_label(), None);
    assert!(!history.redo());
}

#[test]
fn saved_is_a_value_and_not_a_place_in_the_list() {
    let mut history = History::new(plan());
    assert!(!history.is_saved());
    step(&mut history, note("one"));
    history.mark_saved();
    step(&mut history, note("two"));
    assert!(!history.is_saved());
    history.undo();
    assert!(history.is_saved());
    history.undo();
    assert!(!history.is_saved());
    // The same value by another way.
    step(&mut history, note("three"));
    step(&mut history, note("one"));
    assert!(history.is_saved());
}

#[test]
fn a_number_stays_used_after_undo() {
    let mut history = History::new(plan());
    let stack = |id| {
        Edit::AddStack(Stack {
            id: StackId(id),
            at_mm: [0.0, 0.0],
            levels: Vec::new(),
        })
    };
    history.mark_saved();
    step(&mut history, stack(23));
    history.undo();
    assert_eq!((history.plan().next_id, history.next_id()), (23, 24));
    assert_eq!(history.to_save().next_id, 24);
    assert!(history.is_saved());
    let again = history.apply(&stack(23), &catalogue(), T0);
    assert!(again.unwrap_err().0.contains("Number 23 was used"));
    step(&mut history, stack(24));
}

#[test]
fn steps_beyond_the_cap_are_handed_out_oldest_first() {
    let keep = Keep {
        steps: 3,
        bytes: usize::MAX,
    };
    let mut history = History::keeping(plan(), keep);
    let mut dropped = Vec::new();
    for i in 1..=5 {
        let edit = note(&i.to_string());
        dropped.extend(history.apply(&edit, &catalogue(), T0).unwrap().dropped);
    }
    let notes: Vec<&str> = dropped.iter().map(|d| d.before.note.as_str()).collect();
    assert_eq!(notes, ["", "1"]);
    while history.undo() {}
    assert_eq!(history.plan().note, "2");
}

#[test]
fn bytes_count_what_is_not_shared() {
    let mut history = History::new(plan());
    let before = history.bytes();
    step(&mut history, note(&"x".repeat(1000)));
    let noted = history.bytes() - before;
    step(&mut history, Edit::SetNote("x".repeat(1000) + "y"));
    let again = history.bytes() - before - noted;
    // Levels and parts are shared, so the second note costs one byte more than the first.
    assert_eq!(again, noted + 1);
    let level = size_of::<setterwright::load::Placement>() * 3;
    let at = history.bytes();
    assert_eq!(nudge(&mut history, &[10], 1.0, 0), Change::Step);
    let moved = history.bytes() - at;
    assert!(
        moved > again + level && moved < again + 2 * level,
        "{moved}"
    );

    let keep = Keep {
        steps: 100,
        bytes: before + 2 * noted + 100,
    };
    let mut capped = History::keeping(plan(), keep);
    let mut dropped = 0;
    for i in 0..20 {
        let edit = Edit::SetNote("x".repeat(1000) + &i.to_string());
        dropped += capped.apply(&edit, &catalogue(), T0).unwrap().dropped.len();
        assert!(capped.bytes() <= keep.bytes || capped.steps().count() == 1);
    }
    assert!(dropped >= 17 && capped.undo(), "{dropped}");
}

/// Gives the clearances, so that a test can see that there were some.
fn assert_as_from_scratch(
    derived: &mut Derived,
    plan: &Plan,
    catalogue: &Catalogue,
    when: &str,
) -> Arc<Clearances> {
    let sizes = Sizes::new(plan, catalogue);
    let furnace = catalogue.furnace(&plan.load.furnace);
    let furnace = furnace.map(AsRef::as_ref);
    let whole = tally(plan, catalogue, furnace, &sizes);
    assert_eq!(*derived.tally(plan, catalogue, furnace), whole, "{when}");
    let Some(furnace) = furnace else {
        return Arc::default();
    };
    let whole = clearances(plan, catalogue, furnace, &sizes, &CAPS);
    let found = derived.clearances(plan, catalogue, furnace, &CAPS);
    assert_eq!(*found, whole, "{when}");
    found
}

#[test]
fn after_random_edits_the_incremental_result_is_that_from_scratch() {
    let mut rng = Rng(20_270_315);
    let mut catalogue = (*catalogue()).clone();
    let mut history = History::new(plan());
    let mut derived = Derived::default();
    let (mut applied, mut looked_at, mut levels) = (0, 0, 0);
    let mut with = [0; 5];
    while applied < 200 {
        let when = match rng.below(16) {
            0 => format!("undo {}", history.undo()),
            1 => format!("redo {}", history.redo()),
            2 => {
                alter(&mut rng, &mut catalogue);
                "catalogue change".to_owned()
            }
            3 => {
                catalogue = (*self::catalogue()).clone();
                "catalogue as it was".to_owned()
            }
            _ => {
                let edit = random_edit(&mut rng, history.plan(), history.next_id());
                match history.apply(&edit, &catalogue, T0) {
                    Ok(_) => applied += 1,
                    Err(_) => continue,
                }
                edit.label()
            }
        };
        let found = assert_as_from_scratch(&mut derived, history.plan(), &catalogue, &when);
        looked_at += 1;
        levels += history.plan().levels().count();
        let counts = [
            found.pairs.len(),
            found.items.len(),
            found.setters.len(),
            found.without_body.len(),
            found.without_height.len(),
        ];
        with.iter_mut()
            .zip(counts)
            .for_each(|(n, count)| *n += usize::from(count > 0));
    }
    // The comparison is of something: each kind of result was there many times, and most levels
    // were found and not made.
    assert!(
        with[..3].iter().all(|n| *n > looked_at / 2),
        "{with:?} of {looked_at}"
    );
    assert!(with[3..].iter().all(|n| *n > 0), "{with:?} of {looked_at}");
    let made = derived.made();
    assert!(made.on_levels < levels / 3, "{made:?} of {levels} levels");
}

/// What is made after an edit, beyond what was there.
fn made_after(edit: Edit) -> Made {
    let catalogue = catalogue();
    let furnace = furnace(&catalogue);
    let mut derived = Derived::default();
    let mut history = History::new(plan());
    let look = |derived: &mut Derived, history: &History| {
        derived.clearances(history.plan(), &catalogue, furnace, &CAPS);
        derived.tally(history.plan(), &catalogue, Some(furnace));
        derived.made()
    };
    let first = look(&mut derived, &history);
    step(&mut history, edit);
    let second = look(&mut derived, &history);
    // Undo and redo find everything.
    history.undo();
    assert_eq!(look(&mut derived, &history), second);
    history.redo();
    assert_eq!(look(&mut derived, &history), second);
    Made {
        bodies: second.bodies - first.bodies,
        on_levels: second.on_levels - first.on_levels,
        around_levels: second.around_levels - first.around_levels,
        clearances: second.clearances - first.clearances,
        tallies: second.tallies - first.tallies,
    }
}

#[test]
fn an_edit_makes_anew_only_what_reads_it() {
    let made = |bodies, on_levels, around_levels, clearances, tallies| Made {
        bodies,
        on_levels,
        around_levels,
        clearances,
        tallies,
    };
    let nothing = Made::default();
    assert_eq!(made_after(note("drawn up for the night shift")), nothing);
    let locked = Edit::SetLocked {
        ids: vec![PlacementId(10)],
        locked: true,
    };
    assert_eq!(made_after(locked), nothing);
    let mut renamed = (*plan().parts[0]).clone();
    renamed.name = "Clamp".to_owned();
    assert_eq!(made_after(Edit::ChangePart(Box::new(renamed))), nothing);
    // One level; a tally does not ask where things stand.
    assert_eq!(made_after(shift(&plan(), &[14], 1.0)), made(0, 1, 1, 1, 0));
    // Other posts under the topmost level of the first stack: it stands elsewhere, and the head
    // room of the level below is another. What stands on it does not come nearer to each other.
    let raised = Edit::ChangeLevel {
        id: LevelId(7),
        setter: "alumina-square-150x5".to_owned(),
        carrier: four_posts("alumina-post-12x40"),
    };
    assert_eq!(made_after(raised), made(0, 0, 2, 1, 1));
    // A part not yet placed is on no level, though the tally looks at every record.
    let block = Shape::Block {
        width_mm: 5.0,
        depth_mm: 5.0,
        height_mm: 5.0,
    };
    let added = Edit::AddPart(Box::new(part(23, "Pin", "316l-wax", block)));
    assert_eq!(made_after(added), made(1, 0, 0, 0, 1));
    let placed = Edit::Place {
        level: LevelId(8),
        placements: vec![place(23, 3, [0.0, 40.0])],
    };
    assert_eq!(made_after(placed), made(0, 1, 1, 1, 1));
}

#[test]
fn the_title_has_a_star_until_saved() {
    let catalogue = catalogue();
    let mut document = Document::new(plan(), None);
    assert_eq!(document.title(), "Brackets");
    let edit = Edit::SetTitle(" ".to_owned());
    document.history.apply(&edit, &catalogue, T0).unwrap();
    assert_eq!(document.title(), "untitled load *");
    document.history.undo();
    assert_eq!(document.title(), "Brackets");
    let mut document = Document::recovered(plan(), Some("night.load".to_owned()));
    assert_eq!(document.title(), "night.load *");
    document.history.mark_saved();
    assert_eq!(document.title(), "night.load");
    assert!(document.clearances(&catalogue, &CAPS).is_some());
    assert_eq!(document.tally(&catalogue).whole.parts, 12);
    let none = document.clearances(&Catalogue::default(), &CAPS);
    assert!(none.is_none());
}
