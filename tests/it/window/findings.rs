//! The findings: worst first, with everything behind a number, and a way to the thing.

use super::bench::{Bench, in_both_locales, plain};
use setterwright::app::state::Board;
use setterwright::catalogue::Severity;
use setterwright::load::{Acceptance, Edit};
use setterwright::review::{Finding, Subject, limit_to_accept};

impl Bench {
    /// Tall enough that all findings are in sight.
    fn findings_of(name: &str) -> Bench {
        Bench::sized(name, [1600.0, 4000.0])
    }

    /// Names of all rows that begin like this, from the top.
    fn rows(&self, start: &str) -> Vec<String> {
        let names = self.names().into_iter().map(|n| plain(&n));
        names.filter(|n| n.starts_with(start)).collect()
    }

    /// The name of the row of a finding: its word, and a part of its sentence.
    #[track_caller]
    fn row_with(&self, start: &str, words: &str) -> String {
        let rows = self.rows(start);
        let found = rows.iter().find(|n| n.contains(words));
        found
            .unwrap_or_else(|| panic!("no {words} among {rows:?}"))
            .clone()
    }

    fn any(&self, is: impl Fn(&Finding) -> bool) -> Option<Finding> {
        let review = self.app().review().unwrap();
        review.findings.iter().find(|f| is(f)).cloned()
    }
}

#[test]
fn worst_first_in_three_groups() {
    in_both_locales(|| {
        let bench = Bench::findings_of("stop");
        let review = bench.app().review().unwrap();
        let n = |severity| review.open(severity);
        let names: Vec<String> = bench.names().iter().map(|n| plain(n)).collect();
        let at = |name: String| {
            let found = names.iter().position(|n| *n == name);
            found.unwrap_or_else(|| panic!("no {name} among {names:?}"))
        };
        let heads = [
            at(format!("Fix before start ({})", n(Severity::Stop))),
            at(format!("Look at ({})", n(Severity::Caution))),
            at(format!("For information ({})", n(Severity::Note))),
        ];
        assert!(heads.is_sorted());
        let last = |word: &str| names.iter().rposition(|n| n.starts_with(word)).unwrap();
        let first = |word: &str| names.iter().position(|n| n.starts_with(word)).unwrap();
        assert!(heads[0] < first("Stop: ") && last("Stop: ") < heads[1]);
        assert!(heads[1] < first("Caution: ") && last("Caution: ") < heads[2]);
        assert!(heads[2] < first("Note: "));
        let summary = format!(
            "{} stops found by {} checks of {} conditions",
            n(Severity::Stop),
            review.topics,
            review.ran
        );
        assert!(bench.shows(&summary), "{summary}");
    });
}

#[test]
fn an_open_finding_says_all_behind_its_number() {
    in_both_locales(|| {
        let mut bench = Bench::findings_of("stop");
        let found = bench
            .any(|f| f.limit.is_some() && f.margin().is_some() && f.severity == Severity::Stop)
            .unwrap();
        let title = setterwright::text::findings::prose(found.check)
            .unwrap()
            .title;
        let row = bench.row_with("Stop: ", title);
        for words in [
            "Value: ", "Limit: ", "Margin: ", "Why: ", "Do: ", "Set by: ",
        ] {
            assert!(!bench.shows(words), "{words}");
        }
        bench.click(&row);
        let limit = found.limit.as_ref().unwrap();
        let references = &bench.app().working.catalogue.references;
        let citation = references.get(&limit.source).map(|r| r.citation.clone());
        for words in [
            format!("Value: {}", found.measured.as_ref().unwrap().shown()),
            "Limit: at ".to_owned(),
            found.limit_shown().unwrap(),
            "Margin: ".to_owned(),
            "Why: ".to_owned(),
            "Do: ".to_owned(),
            format!("Set by: {}", limit.set_by),
            format!("Source: {}", citation.unwrap_or(limit.source.clone())),
            format!("Check: {}", found.check),
        ] {
            assert!(bench.shows(&plain(&words)), "{words}: {:?}", bench.names());
        }
        // Again closes it.
        bench.click(&row);
        assert!(!bench.shows("Why: "));
    });
}

#[test]
fn a_click_goes_to_the_level_and_selects_the_culprits() {
    let mut bench = Bench::demo("stop");
    let found = bench.findings("parts-touching")[0].clone();
    let culprits: Vec<_> = found
        .subjects
        .iter()
        .filter_map(|s| match s {
            Subject::Placement(id) => Some(*id),
            _ => None,
        })
        .collect();
    assert!(!culprits.is_empty());
    let level = bench.plan().placement(culprits[0]).unwrap().0.id;
    assert_ne!(bench.app().view.level, Some(level));
    // Far away from it, so that it has to come into sight.
    bench.zoom(8.0);
    bench.keys(egui::Modifiers::COMMAND, egui::Key::A);
    let title = setterwright::text::findings::prose(found.check)
        .unwrap()
        .title;
    let row = bench.row_with("Stop: ", title);
    bench.click(&row);
    assert_eq!(bench.app().view.level, Some(level));
    let selected: Vec<_> = bench.app().view.selection.iter().copied().collect();
    let mut wanted = culprits.clone();
    wanted.sort();
    assert_eq!(selected, wanted);
    for id in culprits {
        let at = bench.plan().placement(id).unwrap().1.at_mm;
        assert!(bench.plan_rect().contains(bench.on_screen(at)));
    }
    assert_eq!(bench.app().doc.history.undo_label(), None);
}

#[test]
fn a_finding_on_a_segment_shows_the_profile_there() {
    let mut bench = Bench::findings_of("stop");
    let segment = |f: &Finding| {
        f.subjects.iter().find_map(|s| match s {
            Subject::Segment(id) => Some(*id),
            _ => None,
        })
    };
    let found = bench
        .any(|f| segment(f).is_some() && f.severity == Severity::Stop)
        .unwrap();
    let title = setterwright::text::findings::prose(found.check)
        .unwrap()
        .title;
    let row = bench.row_with("Stop: ", title);
    bench.click(&row);
    assert_eq!(bench.app().view.board, Board::Profile);
    assert_eq!(bench.app().view.segment, segment(&found));
}

#[test]
fn what_was_not_evaluated_is_counted_and_named() {
    in_both_locales(|| {
        let mut bench = Bench::findings_of("stop");
        let review = bench.app().review().unwrap();
        let (n, missing) = (review.not_evaluated(), review.missing.clone());
        assert!(n > 0);
        assert!(bench.shows(&format!("{n} not evaluated")));
        bench.click(&format!("Not evaluated ({n})"));
        for check in missing.iter().map(|m| m.check) {
            let title = setterwright::text::findings::prose(check).unwrap().title;
            assert!(bench.shows(title), "{title}");
        }
        assert!(bench.shows(": missing is "));
    });
}

#[test]
fn accepted_findings_stand_apart() {
    let mut bench = Bench::findings_of("cautions");
    // The only one of its check, so that its row can be told by its title.
    let all = bench.app().review().unwrap().findings.iter();
    let checks: Vec<&str> = all.map(|f| f.check).collect();
    let alone = |check: &str| checks.iter().filter(|c| **c == check).count() == 1;
    let found = bench
        .any(|f| f.severity == Severity::Caution && f.accepted.is_none() && alone(f.check))
        .unwrap();
    let open = |bench: &Bench| bench.app().review().unwrap().open(Severity::Caution);
    let before = open(&bench);
    let accepted = |bench: &Bench| {
        let all = &bench.app().review().unwrap().findings;
        all.iter().filter(|f| f.accepted.is_some()).count()
    };
    let (apart, taken) = (
        accepted(&bench),
        Acceptance {
            check: found.check.to_owned(),
            subjects: found.subjects.iter().map(Subject::key).collect(),
            limit: found.limit.as_ref().map(limit_to_accept),
            value: found.value_to_accept(),
            by: "process engineer".to_owned(),
            reason: "as in the last ten runs".to_owned(),
            on: "2026-11-26".to_owned(),
            ..Acceptance::default()
        },
    );
    bench.harness.state_mut().edit(&Edit::Accept(taken));
    bench.run();
    assert_eq!(open(&bench), before - 1);
    assert!(bench.shows(&format!("Look at ({})", before - 1)));
    let head = format!("Accepted ({})", apart + 1);
    // Closed at first, and below everything that is open.
    let title = setterwright::text::findings::prose(found.check)
        .unwrap()
        .title;
    bench.click(&head);
    let names = bench.names();
    let at = names.iter().position(|n| *n == head).unwrap();
    let row = names[at..]
        .iter()
        .find(|n| n.contains(title))
        .unwrap()
        .clone();
    bench.click(&row);
    let words = "Accepted by process engineer on 2026-11-26: as in the last ten runs";
    assert!(bench.shows(words), "{:?}", bench.names());
}
