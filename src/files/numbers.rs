//! Numbers in a text that are not finite.
//!
//! ron reads `NaN`, `inf` and `1e400` into an f64 without a word, so the text is searched for them.
//! In the text they have a line and a column; in the value they would only have a field.

use super::fault::{Fault, Spot};
use std::iter::Peekable;
use std::str::Chars;

/// Refuses the first number of a text in RON that is not finite as f64. Strings and comments are
/// passed over.
///
/// # Errors
/// Says where it stands.
pub(super) fn finite(text: &str) -> Result<(), Fault> {
    let mut scan = Scan {
        chars: text.chars().peekable(),
        at: Spot { line: 1, column: 1 },
    };
    while let Some(&c) = scan.chars.peek() {
        match c {
            '"' => {
                scan.next();
                scan.string();
            }
            '/' => {
                scan.next();
                scan.comment();
            }
            c if is_token(c) => {
                let at = scan.at;
                let token = scan.token();
                let raw = matches!(token.as_str(), "r" | "br") && scan.raw_string();
                if !raw && is_not_finite(&token) {
                    return Err(Fault::NotFinite { at, text: token });
                }
            }
            _ => {
                scan.next();
            }
        }
    }
    Ok(())
}

struct Scan<'a> {
    chars: Peekable<Chars<'a>>,
    at: Spot,
}

impl Scan<'_> {
    fn next(&mut self) -> Option<char> {
        let c = self.chars.next()?;
        if c == '\n' {
            self.at.line += 1;
            self.at.column = 1;
        } else {
            self.at.column += 1;
        }
        Some(c)
    }

    fn token(&mut self) -> String {
        let mut token = String::new();
        while let Some(&c) = self.chars.peek()
            && is_token(c)
        {
            token.push(c);
            self.next();
        }
        token
    }

    /// After the opening quote, to the closing one.
    fn string(&mut self) {
        while let Some(c) = self.next() {
            match c {
                '\\' => {
                    self.next();
                }
                '"' => return,
                _ => {}
            }
        }
    }

    /// After `r`: `#`s, a quote, anything, a quote and as many `#`s. False when it is no string.
    fn raw_string(&mut self) -> bool {
        let mut hashes = 0;
        while self.chars.peek() == Some(&'#') {
            self.next();
            hashes += 1;
        }
        if self.chars.peek() != Some(&'"') {
            return false;
        }
        self.next();
        let mut closing: Option<usize> = None;
        loop {
            if closing == Some(hashes) {
                return true;
            }
            closing = match (self.next(), closing) {
                (None, _) => return true,
                (Some('"'), _) => Some(0),
                (Some('#'), Some(n)) => Some(n + 1),
                _ => None,
            };
        }
    }

    /// After the first slash. Block comments nest.
    fn comment(&mut self) {
        match self.chars.peek() {
            Some('/') => while self.next().is_some_and(|c| c != '\n') {},
            Some('*') => {
                self.next();
                let mut depth = 1;
                let mut last = ' ';
                while depth > 0
                    && let Some(c) = self.next()
                {
                    match (last, c) {
                        ('/', '*') => depth += 1,
                        ('*', '/') => depth -= 1,
                        _ => {
                            last = c;
                            continue;
                        }
                    }
                    last = ' ';
                }
            }
            _ => {}
        }
    }
}

fn is_token(c: char) -> bool {
    c.is_alphanumeric() || matches!(c, '_' | '.' | '+' | '-')
}

fn is_not_finite(token: &str) -> bool {
    let bare = token
        .strip_suffix("f32")
        .or_else(|| token.strip_suffix("f64"))
        .unwrap_or(token);
    let unsigned = bare.trim_start_matches(['+', '-']);
    if matches!(unsigned, "inf" | "NaN") {
        return true;
    }
    unsigned.starts_with(|c: char| c.is_ascii_digit() || c == '.')
        && bare
            .replace('_', "")
            .parse::<f64>()
            .is_ok_and(|value| !value.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_beyond_f64_are_found_where_they_stand() {
        let cases = [
            ("(a: 1.0,\n  b: NaN)", 2, 6, "NaN"),
            ("[-inf]", 1, 2, "-inf"),
            ("(a:1e400)", 1, 4, "1e400"),
            ("(a: -1_0e+4_00)", 1, 5, "-1_0e+4_00"),
            (
                "/* NaN /* inf */ */ (s: \"inf \\\" NaN\", r: r#\"NaN\"#, x: inff32)",
                1,
                55,
                "inff32",
            ),
            ("// NaN\n\n inf", 3, 2, "inf"),
        ];
        for (text, line, column, found) in cases {
            let fault = Fault::NotFinite {
                at: Spot { line, column },
                text: found.to_owned(),
            };
            assert_eq!(finite(text), Err(fault), "{text}");
        }
        let long = format!("(a: {})", "9".repeat(400));
        assert!(finite(&long).is_err());
    }

    #[test]
    fn other_numbers_and_words_pass() {
        for text in [
            "(a: 1e308, b: -0.0, c: 0x1e400, d: Info(infinity: 1), e: NaNo)",
            "(s: \"NaN\" /* inf",
            "\"unclosed NaN",
            "r##\"NaN\"# inf\"##",
            "",
        ] {
            assert_eq!(finite(text), Ok(()), "{text}");
        }
    }
}
