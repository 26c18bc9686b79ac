//! Tokens of a Rust source, enough to find paths: comments are gone, literals are opaque.

/// One token; paths are told by `Word` and `Sep`, everything else only separates.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Kind {
    /// An identifier or keyword. A raw identifier comes without its `r#` and is no keyword.
    Word {
        text: String,
        raw: bool,
    },
    /// `::`
    Sep,
    /// `->` or `=>`, kept apart so that their `>` does not look like the end of a type list.
    Arrow,
    /// The content of a string literal, escapes as written.
    Str(String),
    /// A number, a character or a lifetime.
    Other,
    Mark(char),
}

#[derive(Clone, Debug)]
pub struct Token {
    pub kind: Kind,
    pub line: usize,
}

impl Token {
    /// The text of a word that may act as a keyword.
    pub fn word(&self) -> Option<&str> {
        match &self.kind {
            Kind::Word { text, raw: false } => Some(text),
            _ => None,
        }
    }

    /// The text of any word but a keyword, raw or not.
    pub fn name(&self) -> Option<&str> {
        match &self.kind {
            Kind::Word { text, raw } if *raw || !is_keyword(text) => Some(text),
            _ => None,
        }
    }

    pub fn is(&self, mark: char) -> bool {
        self.kind == Kind::Mark(mark)
    }
}

/// The reserved words, less the four that may begin a path (`crate`, `self`, `super`, `Self`).
pub fn is_keyword(text: &str) -> bool {
    const WORDS: &[&str] = &[
        "as", "async", "await", "break", "const", "continue", "dyn", "else", "enum", "extern",
        "false", "fn", "for", "gen", "if", "impl", "in", "let", "loop", "match", "mod", "move",
        "mut", "pub", "ref", "return", "static", "struct", "trait", "true", "type", "unsafe",
        "use", "where", "while", "yield",
    ];
    WORDS.contains(&text)
}

/// Splits `source`, counting lines from `line`. Never fails: what it does not know is a `Mark`.
pub fn lex(source: &str, line: usize) -> Vec<Token> {
    let mut lexer = Lexer {
        text: source.chars().collect(),
        at: 0,
        line,
    };
    let mut tokens = Vec::new();
    while let Some(token) = lexer.next() {
        tokens.push(token);
    }
    tokens
}

struct Lexer {
    text: Vec<char>,
    at: usize,
    line: usize,
}

fn in_word(c: char) -> bool {
    c == '_' || c.is_alphanumeric()
}

impl Lexer {
    fn peek(&self, ahead: usize) -> Option<char> {
        self.text.get(self.at + ahead).copied()
    }

    fn bump(&mut self) -> Option<char> {
        let c = self.peek(0)?;
        self.at += 1;
        self.line += usize::from(c == '\n');
        Some(c)
    }

    fn next(&mut self) -> Option<Token> {
        loop {
            match (self.peek(0)?, self.peek(1)) {
                ('/', Some('/')) => {
                    while self.peek(0).is_some_and(|c| c != '\n') {
                        self.bump();
                    }
                }
                ('/', Some('*')) => self.block_comment(),
                (c, _) if c.is_whitespace() => {
                    self.bump();
                }
                _ => break,
            }
        }
        let line = self.line;
        let c = self.bump()?;
        let kind = match (c, self.peek(0)) {
            (':', Some(':')) => self.second(Kind::Sep),
            ('-' | '=', Some('>')) => self.second(Kind::Arrow),
            ('"', _) => Kind::Str(self.string()),
            ('\'', _) => self.quote(),
            _ if c.is_ascii_digit() => {
                self.word_from(c);
                Kind::Other
            }
            _ if in_word(c) => self.word(c),
            _ => Kind::Mark(c),
        };
        Some(Token { kind, line })
    }

    fn second(&mut self, kind: Kind) -> Kind {
        self.bump();
        kind
    }

    fn block_comment(&mut self) {
        let mut depth = 0;
        while let Some(c) = self.bump() {
            match (c, self.peek(0)) {
                ('/', Some('*')) => depth += 1,
                ('*', Some('/')) => depth -= 1,
                _ => continue,
            }
            self.bump();
            if depth == 0 {
                return;
            }
        }
    }

    fn word_from(&mut self, first: char) -> String {
        let mut text = String::from(first);
        while let Some(c) = self.peek(0).filter(|&c| in_word(c)) {
            text.push(c);
            self.bump();
        }
        text
    }

    /// A word, or the string that a word such as `b` or `r` introduces, or a raw identifier.
    fn word(&mut self, first: char) -> Kind {
        let text = self.word_from(first);
        let hashes = (0..).take_while(|&i| self.peek(i) == Some('#')).count();
        let quoted = self.peek(hashes) == Some('"');
        match text.as_str() {
            "b" | "c" if quoted && hashes == 0 => {
                self.bump();
                Kind::Str(self.string())
            }
            "r" | "br" | "cr" if quoted => Kind::Str(self.raw_string(hashes)),
            "r" if hashes == 1 && self.peek(1).is_some_and(in_word) => {
                self.bump();
                let first = self.bump().unwrap_or('_');
                Kind::Word {
                    text: self.word_from(first),
                    raw: true,
                }
            }
            _ => Kind::Word { text, raw: false },
        }
    }

    /// The rest of a string whose opening quote is read.
    fn string(&mut self) -> String {
        let mut text = String::new();
        while let Some(c) = self.bump().filter(|&c| c != '"') {
            text.push(c);
            if c == '\\' {
                text.extend(self.bump());
            }
        }
        text
    }

    fn raw_string(&mut self, hashes: usize) -> String {
        self.at += hashes + 1;
        let mut text = String::new();
        while let Some(c) = self.bump() {
            if c == '"' && (0..hashes).all(|i| self.peek(i) == Some('#')) {
                self.at += hashes;
                break;
            }
            text.push(c);
        }
        text
    }

    /// A character literal or a lifetime, whose `'` is read.
    fn quote(&mut self) -> Kind {
        if self.peek(0) == Some('\\') {
            self.at += 2;
            while self.bump().is_some_and(|c| c != '\'') {}
        } else if self.peek(1) == Some('\'') {
            self.bump();
            self.bump();
        } else {
            while self.peek(0).is_some_and(in_word) {
                self.bump();
            }
        }
        Kind::Other
    }
}
