//! What people said: declarations and acceptances.

use super::{Affects, Comparison, matching};
use crate::load::plan::{Acceptance, Declaration, ProcedureRef};
use crate::text::differences as say;
use crate::text::differences::which;

impl Comparison<'_> {
    pub(super) fn said(&mut self) {
        if !self.of_standard {
            self.declarations();
            self.acceptances();
        }
    }

    fn declarations(&mut self) {
        let (was, is) = (&self.was.declarations, &self.is.declarations);
        let keys = |all: &[Declaration]| -> Vec<[String; 2]> {
            all.iter()
                .map(|d| [format!("{d:?}"), d.question.clone()])
                .collect()
        };
        let pairs = matching::by_keys(&keys(was), &keys(is));
        for i in matching::alone(was.len(), pairs.iter().map(|p| p.0)) {
            let name = say::declaration(&was[i].question);
            self.tell(Affects::JudgedBy, vec![name.clone()], say::removed(&name));
        }
        for i in matching::alone(is.len(), pairs.iter().map(|p| p.1)) {
            let name = say::declaration(&is[i].question);
            self.tell(Affects::JudgedBy, vec![name.clone()], say::added(&name));
        }
        for (a, b) in pairs {
            let Declaration {
                question,
                answer,
                by,
                on,
                at,
                about,
            } = &is[b];
            let name = say::declaration(question);
            let fields = [
                (which::answer(), &was[a].answer, answer),
                (which::by(), &was[a].by, by),
                (which::on(), &was[a].on, on),
            ];
            for (which, before, now) in fields {
                if before != now {
                    let values = [before, now].map(|t| say::quoted(t));
                    let heading = say::of(&name, which);
                    self.instead(
                        Affects::JudgedBy,
                        std::slice::from_ref(&name),
                        &heading,
                        values,
                    );
                }
            }
            if was[a].at != *at || was[a].about != *about {
                let sentence = say::changed(&name, which::at());
                self.tell(Affects::JudgedBy, vec![name], sentence);
            }
        }
    }

    fn acceptances(&mut self) {
        let (was, is) = (&self.was.acceptances, &self.is.acceptances);
        let renamed = |subjects: &[String]| {
            let there = |key: &String| {
                let gone = || format!("{key}, there");
                let numbered = key.ends_with(|c: char| c.is_ascii_digit());
                let known = self.subjects.get(key).cloned();
                known.unwrap_or_else(|| if numbered { gone() } else { key.clone() })
            };
            let mut all: Vec<String> = subjects.iter().map(there).collect();
            all.sort();
            all.join(", ")
        };
        let keys = |subjects: String, a: &Acceptance| {
            let same = Acceptance {
                subjects: Vec::new(),
                ..a.clone()
            };
            let about = format!("{} {subjects}", a.check);
            [format!("{about} {same:?}"), about]
        };
        let was_keys: Vec<_> = was.iter().map(|a| keys(renamed(&a.subjects), a)).collect();
        let own = |a: &Acceptance| {
            let mut all = a.subjects.clone();
            all.sort();
            all.join(", ")
        };
        let is_keys: Vec<_> = is.iter().map(|a| keys(own(a), a)).collect();
        let pairs = matching::by_keys(&was_keys, &is_keys);
        for i in matching::alone(was.len(), pairs.iter().map(|p| p.0)) {
            let name = say::acceptance(&was[i].check);
            self.tell(Affects::JudgedBy, vec![name.clone()], say::removed(&name));
        }
        for i in matching::alone(is.len(), pairs.iter().map(|p| p.1)) {
            let name = say::acceptance(&is[i].check);
            self.tell(Affects::JudgedBy, vec![name.clone()], say::added(&name));
        }
        for (a, b) in pairs {
            let Acceptance {
                check,
                subjects: _,
                limit,
                value,
                by,
                reason,
                on,
                role,
                procedure,
            } = &is[b];
            let name = say::acceptance(check);
            let text = |t: &Option<String>| t.as_deref().map_or_else(say::none, say::quoted);
            let fields = [
                (which::limit(), text(&was[a].limit), text(limit)),
                (which::value(), text(&was[a].value), text(value)),
                (which::by(), say::quoted(&was[a].by), say::quoted(by)),
                (
                    which::reason(),
                    say::quoted(&was[a].reason),
                    say::quoted(reason),
                ),
                (which::on(), say::quoted(&was[a].on), say::quoted(on)),
                (which::role(), text(&was[a].role), text(role)),
                (
                    which::procedure(),
                    written(&was[a].procedure),
                    written(procedure),
                ),
            ];
            for (which, before, now) in fields {
                if before != now {
                    let heading = say::of(&name, which);
                    self.instead(
                        Affects::JudgedBy,
                        std::slice::from_ref(&name),
                        &heading,
                        [before, now],
                    );
                }
            }
        }
    }
}

fn written(procedure: &Option<ProcedureRef>) -> String {
    match procedure {
        Some(p) => say::quoted(&format!("{}, {}", p.name, p.revision)),
        None => say::none(),
    }
}
