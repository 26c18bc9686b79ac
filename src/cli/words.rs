//! One line of a script: a verb and `key=value` words, values in double quotes where they hold
//! spaces, `#` for the rest of a line.

use crate::text::scripts as say;
use crate::units::{self, Quantity};

type Result<T> = std::result::Result<T, String>;

/// A parsed line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    verb: String,
    words: Vec<(String, String)>,
}

impl Line {
    /// Reads a line; none where it is empty or a comment.
    ///
    /// # Errors
    /// A word without `=`, a quote that does not end, a key given twice.
    pub fn parse(raw: &str) -> Result<Option<Line>> {
        let tokens = tokens(raw)?;
        let Some((verb, rest)) = tokens.split_first() else {
            return Ok(None);
        };
        let mut words: Vec<(String, String)> = Vec::new();
        for token in rest {
            let (key, value) = token.split_once('=').ok_or_else(|| say::no_equals(token))?;
            if words.iter().any(|(k, _)| k == key) {
                return Err(say::twice(key));
            }
            words.push((key.to_owned(), value.to_owned()));
        }
        Ok(Some(Line {
            verb: verb.clone(),
            words,
        }))
    }
}

fn tokens(raw: &str) -> Result<Vec<String>> {
    let mut tokens = Vec::new();
    let mut current: Option<String> = None;
    let mut quoted = false;
    let mut chars = raw.chars();
    while let Some(c) = chars.next() {
        match c {
            '"' => {
                quoted = !quoted;
                current.get_or_insert_default();
            }
            '\\' if quoted => {
                let next = chars.next().ok_or_else(say::open_quote)?;
                current.get_or_insert_default().push(next);
            }
            '#' if !quoted => break,
            c if c.is_whitespace() && !quoted => tokens.extend(current.take()),
            c => current.get_or_insert_default().push(c),
        }
    }
    if quoted {
        return Err(say::open_quote());
    }
    tokens.extend(current);
    Ok(tokens)
}

/// Words of a line as they are taken; what is left over at the end is a slip of the key.
#[derive(Debug)]
pub struct Words<'a> {
    line: &'a Line,
    used: Vec<bool>,
    asked: Vec<String>,
    /// What is odd about what the line reads.
    pub notes: Vec<String>,
    /// A key and what it is where the line does not say.
    standing_in: Option<(&'static str, String)>,
}

impl<'a> Words<'a> {
    /// Nothing taken yet.
    pub fn new(line: &'a Line) -> Words<'a> {
        Words {
            line,
            used: vec![false; line.words.len()],
            asked: Vec::new(),
            notes: Vec::new(),
            standing_in: None,
        }
    }

    /// The same, with a value for one key where the line does not give it.
    pub fn standing_in(self, key: &'static str, value: Option<String>) -> Words<'a> {
        Words {
            standing_in: value.map(|value| (key, value)),
            ..self
        }
    }

    /// The verb.
    pub fn verb(&self) -> &'a str {
        &self.line.verb
    }

    /// Whether a key is given.
    pub fn has(&self, key: &str) -> bool {
        self.line.words.iter().any(|(k, _)| k == key)
    }

    /// A value, if the key is given.
    pub fn text(&mut self, key: &str) -> Option<String> {
        self.asked.push(key.to_owned());
        let Some(i) = self.line.words.iter().position(|(k, _)| k == key) else {
            let (known, value) = self.standing_in.as_ref()?;
            return (*known == key).then(|| value.clone());
        };
        *self.used.get_mut(i)? = true;
        self.line.words.get(i).map(|(_, value)| value.clone())
    }

    /// A value that must be given.
    pub fn need(&mut self, key: &str) -> Result<String> {
        self.text(key).ok_or_else(|| say::missing(key))
    }

    /// Lets a value be asked for again in another form.
    pub fn reset(&mut self, key: &str) {
        if let Some(i) = self.line.words.iter().position(|(k, _)| k == key)
            && let Some(used) = self.used.get_mut(i)
        {
            *used = false;
        }
    }

    /// A quantity with or without its unit.
    pub fn quantity(&mut self, key: &str, quantity: Quantity) -> Result<Option<f64>> {
        self.text(key)
            .map(|text| {
                units::parse(quantity, &text)
                    .map_err(|fault| say::bad_value(key, &fault.to_string()))
            })
            .transpose()
    }

    /// A count.
    pub fn count(&mut self, key: &str) -> Result<Option<usize>> {
        let Some(text) = self.text(key) else {
            return Ok(None);
        };
        text.parse()
            .map(Some)
            .map_err(|_| say::not_a_count(key, &text))
    }

    /// Yes or no.
    pub fn yes_no(&mut self, key: &str) -> Result<Option<bool>> {
        match self.text(key).as_deref() {
            None => Ok(None),
            Some("yes") => Ok(Some(true)),
            Some("no") => Ok(Some(false)),
            Some(other) => Err(say::not_one_of(key, other, "yes or no")),
        }
    }

    /// Lengths divided by a character, e.g. `45x30x15`; each may carry its unit.
    pub fn numbers(&mut self, key: &str, divider: char) -> Result<Option<Vec<f64>>> {
        let Some(text) = self.text(key) else {
            return Ok(None);
        };
        // "2x1x0.5in" would leave it open what the first two are.
        let units = text
            .split(divider)
            .filter(|one| one.parse::<f64>().is_err())
            .count();
        if units > 0 && units < text.split(divider).count() {
            return Err(say::mixed_units(key));
        }
        text.split(divider)
            .map(|one| {
                units::parse(Quantity::Length, one)
                    .map_err(|fault| say::bad_value(key, &fault.to_string()))
            })
            .collect::<Result<Vec<f64>>>()
            .map(Some)
    }

    /// A point `x,y`, mm.
    pub fn point(&mut self, key: &str) -> Result<Option<[f64; 2]>> {
        match self.points(key)?.as_deref() {
            None => Ok(None),
            Some([point]) => Ok(Some(*point)),
            Some(_) => Err(say::bad_value(key, "one point x,y is wanted")),
        }
    }

    /// Points `x,y x,y …`, mm.
    pub fn points(&mut self, key: &str) -> Result<Option<Vec<[f64; 2]>>> {
        let Some(text) = self.text(key) else {
            return Ok(None);
        };
        units::parse_places(&text)
            .map(Some)
            .map_err(|word| say::not_a_point(key, word))
    }

    /// Holds that every word was understood.
    ///
    /// # Errors
    /// The first word that nothing asked for, with the ones that look like it.
    pub fn all_used(&self) -> Result<()> {
        let left = self
            .line
            .words
            .iter()
            .zip(&self.used)
            .find(|(_, used)| !**used);
        match left {
            None => Ok(()),
            Some(((key, _), _)) => {
                let known = self.asked.iter().map(String::as_str);
                let mut near = crate::text::nearest(key, known, 3);
                near.dedup();
                Err(say::unknown_key(&self.line.verb, key, &near))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotes_comments_and_units() {
        let line = Line::parse(r#"part name="L latch \"A\"" x=2in y=0,5 # rest"#);
        let line = line.unwrap().unwrap();
        let mut words = Words::new(&line);
        assert_eq!(words.verb(), "part");
        assert_eq!(words.need("name").unwrap(), "L latch \"A\"");
        assert_eq!(words.quantity("x", Quantity::Length), Ok(Some(50.8)));
        assert_eq!(words.quantity("y", Quantity::Length), Ok(Some(0.5)));
        assert_eq!(words.all_used(), Ok(()));
        assert_eq!(Line::parse("   # nothing").unwrap(), None);
    }

    #[test]
    fn slips_are_said() {
        assert!(Line::parse("place part").unwrap_err().contains("part"));
        assert!(Line::parse("place part=\"a").is_err());
        assert!(Line::parse("place x=1 x=2").unwrap_err().contains('x'));
        let line = Line::parse("place levle=1").unwrap().unwrap();
        let mut words = Words::new(&line);
        assert!(words.need("level").is_err());
        let said = words.all_used().unwrap_err();
        assert!(said.contains("levle") && said.contains("level?"), "{said}");
    }
}
