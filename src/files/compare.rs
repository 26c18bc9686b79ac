//! Two loads compared with all that they carry: the plans, and the records, limits, check settings
//! and shop states by which they are judged.

use super::reach::trimmed;
use super::records::{Working, limit_key, setting_key};
use crate::catalogue::{CheckSetting, Kind, Limit, Record, ShopState, Table};
use crate::load::{Affects, Difference, Plan, differences};
use crate::text::differences as say;
use serde::Serialize;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A load with the records that it is judged by.
#[derive(Clone, Copy)]
pub struct Compared<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// Its records.
    pub working: &'a Working,
}

/// What `is` has otherwise than `was`, the weightiest first.
pub fn compare(was: Compared, is: Compared) -> Vec<Difference> {
    let catalogues = [was.working, is.working].map(|w| w.catalogue.as_ref());
    let mut out = differences(was.plan, is.plan, catalogues);
    let [a, b] = catalogues;
    if !Arc::ptr_eq(&was.working.catalogue, &is.working.catalogue) {
        table(&a.alloys, &b.alloys, &mut out);
        table(&a.binders, &b.binders, &mut out);
        table(&a.feedstocks, &b.feedstocks, &mut out);
        table(&a.materials, &b.materials, &mut out);
        table(&a.setters, &b.setters, &mut out);
        table(&a.posts, &b.posts, &mut out);
        table(&a.supports, &b.supports, &mut out);
        table(&a.furnaces, &b.furnaces, &mut out);
        table(&a.gases, &b.gases, &mut out);
        limits([&a.limits, &b.limits], &mut out);
        checks([&a.checks, &b.checks], &mut out);
    }
    shop_states(was, is, &mut out);
    out.sort_by_key(|d| d.affects);
    out
}

/// Records that both have. One that only one of them has is not used by the other, and the plan
/// says so.
fn table<T: Record + Serialize>(was: &Table<T>, is: &Table<T>, out: &mut Vec<Difference>) {
    let kind = T::KIND;
    for (id, (_, record)) in is {
        let Some((_, before)) = was.get(id) else {
            continue;
        };
        if Arc::ptr_eq(before, record) {
            continue;
        }
        let values = [tree(before.as_ref()), tree(record.as_ref())];
        let name = say::record(kind.word(), id);
        for field in fields([&values[0], &values[1]]) {
            tell(affected(kind, &field.path), &name, field, out);
        }
    }
}

fn tell(affects: Affects, name: &str, field: Field, out: &mut Vec<Difference>) {
    let (words, unit) = say::field(&field.path);
    let [before, now] = field.values.map(|v| shown(v.as_ref(), unit));
    out.push(Difference {
        affects,
        items: vec![name.to_owned()],
        sentence: say::instead(&say::of(name, &words), &now, &before),
    });
}

/// What a field of a record can affect most.
fn affected(kind: Kind, path: &str) -> Affects {
    let field = path.split(['.', ' ', '[']).next().unwrap_or_default();
    let words = [
        "name",
        "revision",
        "replaces_revision",
        "source",
        "standing",
        "except",
        "watch",
        "caution",
    ];
    if words.contains(&field) {
        return Affects::RecordsOnly;
    }
    let starts = |all: &[&str]| all.iter().any(|start| field.starts_with(start));
    match kind {
        Kind::Alloy if starts(&["gases", "pressure_floor", "evaporates", "governing"]) => {
            Affects::Atmosphere
        }
        Kind::Alloy if starts(&["density", "expansion", "setter_materials"]) => {
            Affects::SizeAndShape
        }
        Kind::Alloy => Affects::SinterHeat,
        Kind::Binder => Affects::BinderRemoval,
        Kind::Feedstock if starts(&["debind", "ramp_limits", "extraction", "sweep", "binder"]) => {
            Affects::BinderRemoval
        }
        Kind::Feedstock if starts(&["oversize", "loading", "setter_materials"]) => {
            Affects::SizeAndShape
        }
        Kind::Feedstock => Affects::SinterHeat,
        Kind::Setter if field == "shape" => Affects::Clearance,
        Kind::Material | Kind::Setter | Kind::Post => Affects::StabilityAndMass,
        Kind::Support => Affects::SizeAndShape,
        Kind::Furnace if starts(&["hot_zone", "work_zone", "forbidden", "rack"]) => {
            Affects::Clearance
        }
        Kind::Furnace if starts(&["gases", "pump", "ultimate", "volume", "lining", "kind"]) => {
            Affects::Atmosphere
        }
        Kind::Furnace if starts(&["trap", "binder_rating", "sweep"]) => Affects::BinderRemoval,
        Kind::Furnace if starts(&["mass_rating"]) => Affects::StabilityAndMass,
        Kind::Furnace => Affects::SinterHeat,
        Kind::Gas => Affects::Atmosphere,
    }
}

fn limits(of: [&[Limit]; 2], out: &mut Vec<Difference>) {
    let keyed = of.map(|all| {
        all.iter()
            .map(|l| (limit_key(l), l))
            .collect::<BTreeMap<_, _>>()
    });
    for (key, _) in keyed[0]
        .iter()
        .filter(|(key, _)| !keyed[1].contains_key(*key))
    {
        alone(&say::limit(key), say::removed, out);
    }
    for (key, limit) in &keyed[1] {
        let name = say::limit(key);
        let Some(before) = keyed[0].get(key) else {
            let value = shown(Some(&tree(&limit.value)), &limit.unit);
            alone_with(&name, &value, out);
            continue;
        };
        let Limit {
            id: _,
            name: words,
            value,
            unit,
            scope: _,
            set_by,
            source,
            standing,
            revision,
            reason,
            on_day,
            history,
        } = limit;
        if before.value != *value || before.unit != *unit {
            let values = [(before.value, &before.unit), (*value, unit)];
            let [was, is] = values.map(|(v, unit)| shown(Some(&tree(&v)), unit));
            out.push(Difference {
                affects: Affects::JudgedBy,
                items: vec![name.clone()],
                sentence: say::instead(&name, &is, &was),
            });
        }
        let others = [
            ("name", tree(&before.name), tree(words)),
            ("set_by", tree(&before.set_by), tree(set_by)),
            ("source", tree(&before.source), tree(source)),
            ("standing", tree(&before.standing), tree(standing)),
            ("revision", tree(&before.revision), tree(revision)),
            ("reason", tree(&before.reason), tree(reason)),
            ("on_day", tree(&before.on_day), tree(on_day)),
            ("history", tree(&before.history), tree(history)),
        ];
        for (path, was, is) in others {
            if was != is {
                let field = Field {
                    path: path.to_owned(),
                    values: [Some(was), Some(is)],
                };
                tell(Affects::RecordsOnly, &name, field, out);
            }
        }
    }
}

fn alone(name: &str, say_so: fn(&str) -> String, out: &mut Vec<Difference>) {
    out.push(Difference {
        affects: Affects::JudgedBy,
        items: vec![name.to_owned()],
        sentence: say_so(name),
    });
}

fn alone_with(name: &str, value: &str, out: &mut Vec<Difference>) {
    out.push(Difference {
        affects: Affects::JudgedBy,
        items: vec![name.to_owned()],
        sentence: say::instead(name, value, &say::none()),
    });
}

fn checks(of: [&[CheckSetting]; 2], out: &mut Vec<Difference>) {
    let key = |setting: &CheckSetting| say::check(&setting_key(setting));
    let keyed = of.map(|all| all.iter().map(|c| (key(c), c)).collect::<BTreeMap<_, _>>());
    let names: BTreeSet<&String> = keyed.iter().flat_map(BTreeMap::keys).collect();
    for name in names {
        let pair = [&keyed[0], &keyed[1]].map(|k| k.get(name).copied());
        if pair[0] == pair[1] {
            continue;
        }
        let [was, is] = pair.map(|setting| setting.map_or_else(say::as_built_in, setting_words));
        out.push(Difference {
            affects: Affects::JudgedBy,
            items: vec![name.clone()],
            sentence: say::instead(name, &is, &was),
        });
    }
}

fn setting_words(setting: &CheckSetting) -> String {
    let severity = setting.severity.map(|s| tree(&s));
    let severity = severity.as_ref().and_then(Value::as_str);
    let on_day = setting.on_day.as_deref().unwrap_or_default();
    say::setting(
        setting.on,
        severity,
        &setting.reason,
        [&setting.set_by, on_day],
    )
}

fn shop_states(was: Compared, is: Compared, out: &mut Vec<Difference>) {
    let state = |of: &Compared| -> Option<ShopState> {
        let shop = of.working.shop.as_deref()?;
        Some(trimmed(shop, &of.plan.load.furnace))
    };
    let states = [state(&was), state(&is)];
    let name = say::shop_state();
    match &states {
        [None, None] => {}
        [Some(before), Some(now)] => {
            let values = [tree(before), tree(now)];
            for field in fields([&values[0], &values[1]]) {
                let words = ["name", "source", "standing"].contains(&field.path.as_str());
                let affects = if words {
                    Affects::RecordsOnly
                } else {
                    Affects::FurnaceState
                };
                tell(affects, &name, field, out);
            }
        }
        [_, now] => out.push(Difference {
            affects: Affects::FurnaceState,
            items: vec![name.clone()],
            sentence: if now.is_some() {
                say::added(&name)
            } else {
                say::removed(&name)
            },
        }),
    }
}

fn tree<T: Serialize>(record: &T) -> Value {
    // A record is plain data: it always has a tree.
    serde_json::to_value(record).unwrap_or_default()
}

/// A field that differs, and its values; none where it is not there.
struct Field {
    path: String,
    values: [Option<Value>; 2],
}

/// Where two trees differ: as deep as names lead, and lists whole unless their entries have names.
fn fields(of: [&Value; 2]) -> Vec<Field> {
    let mut out = Vec::new();
    walk(String::new(), [Some(of[0]), Some(of[1])], &mut out);
    out
}

fn walk(path: String, of: [Option<&Value>; 2], out: &mut Vec<Field>) {
    if of[0] == of[1] {
        return;
    }
    let inner = of.map(|value| value.and_then(children));
    if let [Some(was), Some(is)] = &inner {
        let keys: BTreeSet<&String> = was.keys().chain(is.keys()).collect();
        for key in keys {
            let path = match path.as_str() {
                "" => key.clone(),
                path => format!("{path}.{key}"),
            };
            walk(path, [was.get(key).copied(), is.get(key).copied()], out);
        }
        return;
    }
    out.push(Field {
        path,
        values: of.map(|v| v.cloned()),
    });
}

/// Entries by name; none for what has no names in it, or the same twice.
fn children(value: &Value) -> Option<BTreeMap<String, &Value>> {
    match value {
        Value::Object(map) => Some(map.iter().map(|(key, v)| (key.clone(), v)).collect()),
        Value::Array(all) if !all.is_empty() => {
            let named = all.iter().map(|v| Some((name_in(v)?, v)));
            let named: BTreeMap<String, &Value> = named.collect::<Option<_>>()?;
            (named.len() == all.len()).then_some(named)
        }
        _ => None,
    }
}

/// What an entry of a list is called.
fn name_in(value: &Value) -> Option<String> {
    let keys = [
        "id",
        "furnace",
        "gas",
        "what",
        "field",
        "setpoint_c",
        "section_up_to_mm",
    ];
    let found = keys.iter().find_map(|key| value.get(key))?;
    Some(match found {
        Value::String(text) => text.clone(),
        other => other.to_string(),
    })
}

fn shown(value: Option<&Value>, unit: &str) -> String {
    match value {
        None | Some(Value::Null) => say::none(),
        Some(Value::Bool(on)) => say::yes(*on),
        Some(Value::String(text)) => say::quoted(text),
        Some(Value::Number(n)) => {
            let text = n.to_string();
            say::with_unit(text.strip_suffix(".0").unwrap_or(&text), unit)
        }
        Some(list) => say::with_unit(&list.to_string(), unit),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::builtin;
    use crate::files::working;

    #[test]
    fn each_changed_value_of_a_record_is_one_line_with_both_and_their_unit() {
        let plan = Plan::empty("small-vacuum-box");
        let was = working(&plan, None).unwrap();
        let mut is = was.clone();
        let mut catalogue = builtin().unwrap().0.as_ref().clone();
        let mut furnace = catalogue
            .furnace("small-vacuum-box")
            .unwrap()
            .as_ref()
            .clone();
        let before = furnace.max_c;
        furnace.max_c = 1234.0;
        let origin = catalogue.furnaces[&furnace.id].0;
        let entry = (origin, Arc::new(furnace.clone()));
        catalogue.furnaces.insert(furnace.id.clone(), entry);
        let limit = catalogue
            .limits
            .iter_mut()
            .find(|l| l.id == "gap-min")
            .unwrap();
        limit.value += 1.0;
        is.catalogue = Arc::new(catalogue);
        let (was, is) = (
            Compared {
                plan: &plan,
                working: &was,
            },
            Compared {
                plan: &plan,
                working: &is,
            },
        );
        let found = compare(was, is);
        assert_eq!(found.len(), 2, "{found:?}");
        assert_eq!(found[0].affects, Affects::SinterHeat);
        let sentence = format!("Furnace small-vacuum-box, max: 1234\u{a0}°C, was {before}\u{a0}°C");
        assert_eq!(found[0].sentence, sentence);
        assert_eq!(found[1].affects, Affects::JudgedBy);
        assert!(
            found[1].sentence.starts_with("Limit gap-min (built-in): "),
            "{found:?}"
        );
        assert_eq!(compare(is, is), []);
    }
}
