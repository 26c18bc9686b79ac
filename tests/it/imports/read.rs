//! Reads the tokens of one file into the tree: modules, names brought in, paths written.

use super::lex::{Kind, Token, lex};
use super::tree::{Declared, Form, Import, Module, Reference, Tree, Written};

pub struct Reader<'a> {
    tree: &'a mut Tree,
    file: &'a str,
    tokens: &'a [Token],
    module: Vec<String>,
    /// Modules around the present one, each with the brace depth at which it goes on.
    outer: Vec<(usize, Vec<String>)>,
    depth: usize,
}

impl<'a> Reader<'a> {
    pub fn new(
        tree: &'a mut Tree,
        file: &'a str,
        tokens: &'a [Token],
        module: Vec<String>,
    ) -> Self {
        Reader {
            tree,
            file,
            tokens,
            module,
            outer: Vec::new(),
            depth: 0,
        }
    }

    pub fn read(&mut self) {
        let mut at = 0;
        while at < self.tokens.len() {
            at = self.step(at).max(at + 1);
        }
    }

    fn word(&self, at: usize) -> Option<&str> {
        self.tokens.get(at).and_then(Token::word)
    }

    fn name(&self, at: usize) -> Option<String> {
        self.tokens.get(at).and_then(Token::name).map(str::to_owned)
    }

    fn is(&self, at: usize, mark: char) -> bool {
        self.tokens.get(at).is_some_and(|t| t.is(mark))
    }

    fn sep(&self, at: usize) -> bool {
        self.tokens.get(at).is_some_and(|t| t.kind == Kind::Sep)
    }

    fn here(&mut self) -> &mut Module {
        self.tree.modules.entry(self.module.clone()).or_default()
    }

    fn refer(&mut self, at: usize, path: Written, form: Form) {
        self.tree.references.push(Reference {
            file: self.file.to_owned(),
            line: self.tokens.get(at).map_or(0, |t| t.line),
            module: self.module.clone(),
            path,
            form,
        });
    }

    /// Reads what begins at `at`; returns where to go on.
    fn step(&mut self, at: usize) -> usize {
        if self.is(at, '{') {
            self.depth += 1;
        } else if self.is(at, '}') {
            self.depth = self.depth.saturating_sub(1);
            if self
                .outer
                .last()
                .is_some_and(|(depth, _)| *depth == self.depth)
                && let Some((_, module)) = self.outer.pop()
            {
                self.module = module;
            }
        } else if self.sep(at) {
            return self.path(at);
        }
        let Some(word) = self.word(at) else {
            return match self.name(at) {
                Some(_) => self.path(at),
                None => at + 1,
            };
        };
        match (word, self.name(at + 1)) {
            ("mod", Some(name)) => return self.declare(at, name),
            // `use<'a>` in a type is no import.
            ("use", _) if !self.is(at + 1, '<') => {
                let seen_in = self.seen_in(at);
                return self.tree_of(at + 1, Written::default(), &seen_in);
            }
            ("extern", Some(word)) if word == "crate" => return self.extern_crate(at),
            ("type", Some(name)) => self.type_alias(at, name),
            ("struct" | "enum" | "union" | "trait", Some(name)) => {
                self.here().types.insert(name);
            }
            // The colon keeps `*const a::B` out.
            ("const" | "static", Some(name)) if self.is(at + 2, ':') => {
                self.here().values.insert(name);
            }
            ("fn", Some(name)) => {
                self.here().values.insert(name);
            }
            ("macro_rules", _) if self.is(at + 1, '!') => {
                if let Some(name) = self.name(at + 2) {
                    let home = self.module.clone();
                    self.tree.macros.entry(name).or_default().insert(home);
                }
                return at + 3;
            }
            ("serde", _) if self.is(at + 1, '(') => self.serde_strings(at + 1),
            _ => {}
        }
        self.path(at)
    }

    fn declare(&mut self, at: usize, name: String) -> usize {
        let module = [&self.module[..], &[name]].concat();
        let inline = self.is(at + 2, '{');
        if !inline && !self.is(at + 2, ';') {
            return at + 2;
        }
        self.tree.declared.push(Declared {
            file: self.file.to_owned(),
            line: self.tokens[at].line,
            module: module.clone(),
            elsewhere: !inline,
        });
        self.tree.modules.entry(module.clone()).or_default();
        if inline {
            let outer = std::mem::replace(&mut self.module, module);
            self.outer.push((self.depth, outer));
            self.depth += 1;
        }
        at + 3
    }

    /// The module inside which the item at `at` can be seen, by the `pub` before it.
    fn seen_in(&self, at: usize) -> Vec<String> {
        let before = |n: usize| at.checked_sub(n);
        if before(1).is_some_and(|i| self.word(i) == Some("pub")) {
            return Vec::new();
        }
        if !before(1).is_some_and(|i| self.is(i, ')')) {
            return self.module.clone();
        }
        let open = (0..at).rev().find(|&i| self.is(i, '(')).unwrap_or(0);
        if open == 0 || self.word(open - 1) != Some("pub") {
            return self.module.clone();
        }
        let words: Vec<_> = (open + 1..at).filter_map(|i| self.name(i)).collect();
        match words.first().map(String::as_str) {
            Some("self") => self.module.clone(),
            Some("super") => {
                let up = self.module.len().saturating_sub(words.len());
                self.module[..up].to_vec()
            }
            Some("crate") => words[1..].to_vec(),
            _ => Vec::new(),
        }
    }

    /// One tree of a `use`, after `prefix`.
    fn tree_of(&mut self, mut at: usize, mut path: Written, seen_in: &[String]) -> usize {
        loop {
            if self.sep(at) {
                path.global |= path.segments.is_empty();
                at += 1;
            } else if self.is(at, '{') {
                at += 1;
                while at < self.tokens.len() && !self.is(at, '}') {
                    at = self.tree_of(at, path.clone(), seen_in).max(at + 1);
                    at += usize::from(self.is(at, ','));
                }
                return at + 1;
            } else if self.is(at, '*') {
                self.import(at, None, path, Form::Glob, seen_in);
                return at + 1;
            } else if self.is(at, '$') && self.name(at + 1).is_some_and(|n| n == "crate") {
                at += 1;
            } else if self.is(at, '$') && !path.segments.is_empty() {
                self.import(at, None, path, Form::Glob, seen_in);
                return at + 2;
            } else if let Some(name) = self.name(at) {
                if name != "self" || path.segments.is_empty() {
                    path.segments.push(name);
                }
                at += 1;
                if self.sep(at) {
                    continue;
                }
                let mut alias = path.segments.last().cloned();
                let line_at = at - 1;
                if self.word(at) == Some("as") {
                    alias = self.name(at + 1);
                    at += 2;
                }
                self.import(line_at, alias, path, Form::Plain, seen_in);
                return at;
            } else {
                return at + 1;
            }
        }
    }

    fn import(
        &mut self,
        at: usize,
        name: Option<String>,
        path: Written,
        form: Form,
        seen_in: &[String],
    ) {
        self.here().imports.push(Import {
            name,
            path: path.clone(),
            seen_in: seen_in.to_vec(),
        });
        self.refer(at, path, form);
    }

    fn extern_crate(&mut self, at: usize) -> usize {
        let Some(name) = self.name(at + 2) else {
            return at + 2;
        };
        let path = Written {
            global: name != "self",
            segments: vec![name.clone()],
        };
        let (alias, next) = match (self.word(at + 3), self.name(at + 4)) {
            (Some("as"), Some(alias)) => (alias, at + 5),
            _ => (name, at + 3),
        };
        if self.module.is_empty() {
            self.tree.crates.insert(alias.clone(), path.clone());
        }
        let seen_in = self.seen_in(at);
        self.import(at + 2, Some(alias), path, Form::Plain, &seen_in);
        next
    }

    /// `pub type A<…> = a::path` passes the path on just as `pub use` does.
    fn type_alias(&mut self, at: usize, name: String) {
        let seen_in = self.seen_in(at);
        let end = (at + 2..self.tokens.len())
            .find(|&i| self.is(i, '=') || self.is(i, ';'))
            .unwrap_or(at + 2);
        if seen_in != self.module
            && self.is(end, '=')
            && let Some((path, _)) = self.plain(end + 1)
        {
            self.here().imports.push(Import {
                name: Some(name),
                path,
                seen_in,
            });
        } else {
            self.here().types.insert(name);
        }
    }

    /// The path that begins at `at`, and where it ends.
    fn plain(&self, mut at: usize) -> Option<(Written, usize)> {
        let mut path = Written {
            global: self.sep(at),
            segments: Vec::new(),
        };
        at += usize::from(path.global);
        path.segments.push(self.name(at)?);
        at += 1;
        while self.sep(at)
            && let Some(name) = self.name(at + 1)
        {
            path.segments.push(name);
            at += 2;
        }
        Some((path, at))
    }

    fn path(&mut self, at: usize) -> usize {
        let Some((path, next)) = self.plain(at) else {
            return at + 1;
        };
        let call = self.is(next, '!') && ['(', '[', '{'].iter().any(|&c| self.is(next + 1, c));
        // A lone name is a local thing or was brought in by a `use`, seen there.
        let lone = path.segments.len() == 1;
        if self.sep(next) && self.is(next + 1, '$') {
            self.refer(at, path, Form::Glob);
        } else if call {
            self.refer(at, path, Form::Macro);
        } else if !lone {
            self.refer(at, path, Form::Plain);
        }
        next
    }

    /// Paths that serde takes as strings: `#[serde(with = "a::b")]`.
    fn serde_strings(&mut self, open: usize) {
        const KEYS: &[&str] = &[
            "bound",
            "crate",
            "default",
            "deserialize_with",
            "from",
            "getter",
            "into",
            "remote",
            "serialize_with",
            "skip_serializing_if",
            "try_from",
            "with",
        ];
        let end = (open..self.tokens.len())
            .find(|&i| self.is(i, ']'))
            .unwrap_or(open);
        for at in open..end {
            let key = self.word(at).is_some_and(|w| KEYS.contains(&w));
            if let Some(Token {
                kind: Kind::Str(text),
                line,
            }) = self.tokens.get(at + 2)
                && key
                && self.is(at + 1, '=')
            {
                let tokens = lex(text, *line);
                Reader::new(self.tree, self.file, &tokens, self.module.clone()).read();
            }
        }
    }
}
