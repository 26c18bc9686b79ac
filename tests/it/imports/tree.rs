//! Modules of a source tree: what each declares, brings in and passes on, every path that is
//! written, and what such a path may stand for.
//!
//! Where the text alone leaves two readings open, both are kept: a rule asks whether *any*
//! reading breaks it.

use std::collections::{BTreeMap, BTreeSet};

use super::lex::Token;
use super::read::Reader;

/// A path as written, its groups unfolded: `::a::b` is global.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Written {
    pub global: bool,
    pub segments: Vec<String>,
}

/// What a path stands for: in this crate (seen from its root) or in another.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Target {
    pub inside: bool,
    pub segments: Vec<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Form {
    Plain,
    /// `a::*`, or `a::$b` in a macro, where any name may follow.
    Glob,
    /// `a::b!(…)`
    Macro,
}

/// A path that somebody wrote.
#[derive(Clone, Debug)]
pub struct Reference {
    pub file: String,
    pub line: usize,
    pub module: Vec<String>,
    pub path: Written,
    pub form: Form,
}

pub struct Import {
    /// The name it is known by here; none for a glob.
    pub name: Option<String>,
    pub path: Written,
    /// The module inside which the name can be seen.
    pub seen_in: Vec<String>,
}

#[derive(Default)]
pub struct Module {
    pub imports: Vec<Import>,
    pub types: BTreeSet<String>,
    pub values: BTreeSet<String>,
}

/// A `mod name` that was met, or the file that implies one.
pub struct Declared {
    pub file: String,
    pub line: usize,
    pub module: Vec<String>,
    /// `mod name;`: its body is another file.
    pub elsewhere: bool,
}

#[derive(Default)]
pub struct Tree {
    pub modules: BTreeMap<Vec<String>, Module>,
    /// `extern crate a as b` in `lib.rs` makes `b` known everywhere.
    pub crates: BTreeMap<String, Written>,
    /// Macros are known by name outside their module; here, by the modules that define them.
    pub macros: BTreeMap<String, BTreeSet<Vec<String>>>,
    pub references: Vec<Reference>,
    pub declared: Vec<Declared>,
}

/// The module of a file below `src/`. The binary's root is the module `main`.
pub fn module_of(file: &str) -> Vec<String> {
    let path = file.strip_prefix("src/").unwrap_or(file);
    let mut segments: Vec<String> = path
        .trim_end_matches(".rs")
        .split('/')
        .map(str::to_owned)
        .collect();
    if segments.len() > 1 && segments.last().is_some_and(|s| s == "mod") {
        segments.pop();
    }
    if segments == ["lib"] {
        segments.clear();
    }
    segments
}

impl Tree {
    pub fn read(&mut self, file: &str, tokens: &[Token]) {
        let module = module_of(file);
        for depth in 0..=module.len() {
            self.modules.entry(module[..depth].to_vec()).or_default();
        }
        self.declared.push(Declared {
            file: file.to_owned(),
            line: 1,
            module: module.clone(),
            elsewhere: false,
        });
        Reader::new(self, file, tokens, module).read();
    }

    /// Everything `path`, written in `at`, may stand for, with the steps between.
    pub fn resolve(&self, at: &[String], path: &Written) -> BTreeSet<Target> {
        self.meaning(at, path, &mut Vec::new())
    }

    /// What a glob of module `of`, written in `by`, brings in from elsewhere.
    pub fn passed_on(&self, of: &[String], by: &[String]) -> BTreeSet<(Target, Form)> {
        let mut found = BTreeSet::new();
        self.pass_on(of, by, &mut BTreeSet::new(), &mut found);
        found
    }

    /// The modules that define a macro of this name.
    pub fn macro_homes(&self, name: &str) -> impl Iterator<Item = &Vec<String>> {
        self.macros.get(name).into_iter().flatten()
    }

    fn pass_on(
        &self,
        of: &[String],
        by: &[String],
        seen: &mut BTreeSet<Vec<String>>,
        found: &mut BTreeSet<(Target, Form)>,
    ) {
        let Some(module) = self.modules.get(of).filter(|_| seen.insert(of.to_vec())) else {
            return;
        };
        for import in module.imports.iter().filter(|i| by.starts_with(&i.seen_in)) {
            for target in self.resolve(of, &import.path) {
                if import.name.is_some() {
                    found.insert((target, Form::Plain));
                } else {
                    if target.inside {
                        self.pass_on(&target.segments, by, seen, found);
                    }
                    found.insert((target, Form::Glob));
                }
            }
        }
    }

    fn meaning(&self, at: &[String], path: &Written, trail: &mut Trail) -> BTreeSet<Target> {
        let Some((first, rest)) = path.segments.split_first() else {
            // `use ::{…}` has no path of its own; `use {…}` neither.
            return BTreeSet::new();
        };
        let root = usize::from(at.first().is_some_and(|s| s == "main"));
        let within = |mut base: Vec<String>, rest: &[String]| {
            let ups = rest.iter().take_while(|s| *s == "super").count();
            base.truncate(base.len().saturating_sub(ups).max(root));
            (base, rest[ups..].to_vec())
        };
        let (base, rest) = match first.as_str() {
            _ if path.global => return self.outside(&path.segments, trail),
            "crate" => (at[..root].to_vec(), rest.to_vec()),
            "self" => within(at.to_vec(), rest),
            "super" => within(at.to_vec(), &path.segments),
            "Self" => return BTreeSet::new(),
            _ => {
                let (mut found, certain) = self.look_up(at, &path.segments, false, trail);
                if !certain {
                    found.extend(self.outside(&path.segments, trail));
                }
                return found;
            }
        };
        self.walk(&base, &rest, trail)
    }

    fn outside(&self, segments: &[String], trail: &mut Trail) -> BTreeSet<Target> {
        let (first, rest) = (&segments[0], &segments[1..]);
        if first == "setterwright" {
            return self.walk(&[], rest, trail);
        }
        if let Some(known) = self.crates.get(first).filter(|w| w.segments[0] != *first) {
            let path = [&known.segments, rest].concat();
            if known.segments[0] == "self" {
                return self.walk(&[], rest, trail);
            }
            return self.outside(&path, trail);
        }
        BTreeSet::from([Target {
            inside: false,
            segments: segments.to_vec(),
        }])
    }

    /// `base::rest` itself and everything it leads to.
    fn walk(&self, base: &[String], rest: &[String], trail: &mut Trail) -> BTreeSet<Target> {
        let mut found = BTreeSet::from([Target {
            inside: true,
            segments: [base, rest].concat(),
        }]);
        if !rest.is_empty() {
            found.extend(self.look_up(base, rest, true, trail).0);
        }
        found
    }

    /// `segments`, not empty, as names of module `at`; and whether the first is surely one.
    ///
    /// What a glob of another crate holds is not known. When `asked` for by a path through `at`,
    /// a name found nowhere else is taken to come from there; a name used in `at` itself is not,
    /// for there the glob has been judged.
    fn look_up(
        &self,
        at: &[String],
        segments: &[String],
        asked: bool,
        trail: &mut Trail,
    ) -> (BTreeSet<Target>, bool) {
        let mut found = BTreeSet::new();
        let (name, rest) = (&segments[0], &segments[1..]);
        let step = (at.to_vec(), name.clone());
        let Some(module) = self.modules.get(at).filter(|_| !trail.contains(&step)) else {
            return (found, false);
        };
        trail.push(step);

        let child = [at, &segments[..1]].concat();
        if self.modules.contains_key(&child) {
            found.extend(self.walk(&child, rest, trail));
        }
        for import in module
            .imports
            .iter()
            .filter(|i| i.name.as_ref() == Some(name))
        {
            for target in self.meaning(at, &import.path, trail) {
                found.extend(self.go_on(target, rest, trail));
            }
        }
        let own = module.types.contains(name) || (rest.is_empty() && module.values.contains(name));
        if found.is_empty() && own {
            found.insert(Target {
                inside: true,
                segments: [at, segments].concat(),
            });
        }
        let mut certain = !found.is_empty();
        if !certain {
            for import in module.imports.iter().filter(|i| i.name.is_none()) {
                for target in self.meaning(at, &import.path, trail) {
                    if target.inside {
                        let (more, sure) = self.look_up(&target.segments, segments, asked, trail);
                        found.extend(more);
                        certain |= sure;
                    } else if asked {
                        found.extend(self.go_on(target, segments, trail));
                    }
                }
            }
        }
        trail.pop();
        (found, certain)
    }

    fn go_on(&self, target: Target, rest: &[String], trail: &mut Trail) -> BTreeSet<Target> {
        if target.inside {
            return self.walk(&target.segments, rest, trail);
        }
        BTreeSet::from([Target {
            inside: false,
            segments: [&target.segments, rest].concat(),
        }])
    }
}

/// The (module, name) pairs being looked up, against going round in a circle.
type Trail = Vec<(Vec<String>, String)>;
