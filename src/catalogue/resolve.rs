//! From a limit's id and what it is asked for to the one limit that holds.

use super::{Catalogue, CheckSetting, Limit, LimitScope};
use crate::text::limits;

/// What a limit is asked for. Empty fields match no scoped limit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LimitContext {
    /// Customer, as written in the lot.
    pub customer: Option<String>,
    /// Feedstock slug.
    pub feedstock: Option<String>,
    /// Alloy slug.
    pub alloy: Option<String>,
    /// Furnace slug.
    pub furnace: Option<String>,
}

impl LimitContext {
    /// Whether what is set for a scope holds here.
    pub fn matches(&self, scope: &LimitScope) -> bool {
        let is = |mine: &Option<String>, theirs: &String| mine.as_ref() == Some(theirs);
        match scope {
            LimitScope::Customer(id) => is(&self.customer, id),
            LimitScope::Feedstock(id) => is(&self.feedstock, id),
            LimitScope::Alloy(id) => is(&self.alloy, id),
            LimitScope::Furnace(id) => is(&self.furnace, id),
            LimitScope::Shop | LimitScope::BuiltIn => true,
        }
    }
}

impl LimitScope {
    /// Whose it is, in words.
    pub fn words(&self) -> String {
        let (kind, of) = match self {
            LimitScope::Customer(of) => ("customer", Some(of)),
            LimitScope::Feedstock(of) => ("feedstock", Some(of)),
            LimitScope::Alloy(of) => ("alloy", Some(of)),
            LimitScope::Furnace(of) => ("furnace", Some(of)),
            LimitScope::Shop => ("shop", None),
            LimitScope::BuiltIn => ("built-in", None),
        };
        limits::whose(kind, of.map(String::as_str))
    }
}

impl Limit {
    /// Its value with its unit.
    pub fn shown(&self) -> String {
        limits::with_unit(self.value, &self.unit)
    }

    /// Whether it is the one with this slug in this scope.
    pub fn is(&self, id: &str, scope: &LimitScope) -> bool {
        self.id == id && self.scope == *scope
    }
}

impl CheckSetting {
    /// Whether it is the one of this check in this scope.
    pub fn is(&self, check: &str, scope: &LimitScope) -> bool {
        self.check == check && self.scope == *scope
    }
}

impl Catalogue {
    /// The citation behind a source key, or the key itself.
    pub fn cited<'a>(&'a self, source: &'a str) -> &'a str {
        let known = self.references.get(source);
        known.map_or(source, |r| r.citation.as_str())
    }

    /// The limit that holds: customer before feedstock before alloy before furnace before shop
    /// before built-in. None where nobody has set it.
    pub fn limit(&self, id: &str, context: &LimitContext) -> Option<&Limit> {
        // `LimitScope` is ordered by precedence, so the smallest matching scope holds.
        self.limits
            .iter()
            .filter(|l| l.id == id && context.matches(&l.scope))
            .min_by(|a, b| a.scope.cmp(&b.scope))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Standing;

    fn limit(value: f64, scope: LimitScope) -> Limit {
        Limit {
            id: "gap".to_owned(),
            name: "gap between parts".to_owned(),
            value,
            unit: "mm".to_owned(),
            scope,
            set_by: "test".to_owned(),
            source: "test".to_owned(),
            standing: Standing::Assumed,
            revision: 1,
            reason: String::new(),
            on_day: None,
            history: Vec::new(),
        }
    }

    #[test]
    fn the_narrowest_owner_wins() {
        let scopes = [
            LimitScope::BuiltIn,
            LimitScope::Shop,
            LimitScope::Furnace("f".to_owned()),
            LimitScope::Alloy("a".to_owned()),
            LimitScope::Feedstock("s".to_owned()),
            LimitScope::Customer("c".to_owned()),
        ];
        let context = LimitContext {
            customer: Some("c".to_owned()),
            feedstock: Some("s".to_owned()),
            alloy: Some("a".to_owned()),
            furnace: Some("f".to_owned()),
        };
        let mut catalogue = Catalogue::default();
        for (i, scope) in scopes.into_iter().enumerate() {
            catalogue.limits.push(limit(i as f64, scope));
            let found = catalogue.limit("gap", &context).map(|l| l.value);
            assert_eq!(found, Some(i as f64));
        }
        let nobody = LimitContext::default();
        assert_eq!(catalogue.limit("gap", &nobody).map(|l| l.value), Some(1.0));
        assert_eq!(catalogue.limit("tilt", &nobody), None);
    }
}
