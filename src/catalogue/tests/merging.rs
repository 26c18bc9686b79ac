//! Reading and merging of catalogue files.

use super::*;

const POST: &str = r#"(id: "p", name: "P", revision: 1, material: "alumina-995", length_mm: 30, diameter_mm: 12, mass_g: 13, rated_c: 1600, source: "s", standing: Assumed)"#;

fn file(body: &str) -> Result<CatalogueFile, CatalogueFault> {
    parse_file(
        "shop.ron",
        &format!("(kind: \"catalogue\", version: 1, {body})"),
    )
}

#[test]
fn a_record_without_standing_or_with_an_unknown_field_does_not_parse() {
    assert!(file(&format!("posts: [{POST}]")).is_ok());
    for bad in [
        POST.replace(", standing: Assumed", ""),
        POST.replace("revision: 1", "revision: 1, colour: 3"),
        POST.replace("length_mm: 30", "length_mm: \"30\""),
    ] {
        let fault = file(&format!("posts: [\n{bad}]"));
        let Err(CatalogueFault::Syntax { line, reason, .. }) = fault else {
            panic!("{fault:?}");
        };
        assert!(line >= 1 && !reason.is_empty());
    }
}

#[test]
fn foreign_and_newer_files_are_named() {
    let load = parse_file("x.ron", "(kind: \"load\", version: 1)");
    assert!(matches!(load, Err(CatalogueFault::Kind { kind, .. }) if kind == "load"));
    let newer = parse_file("x.ron", "(kind: \"catalogue\", version: 2, what: [])");
    assert!(matches!(
        newer,
        Err(CatalogueFault::Newer { version: 2, .. })
    ));
}

#[test]
fn an_id_twice_in_one_folder_is_refused_with_its_place() {
    let mut c = Catalogue::default();
    let twice = file(&format!("posts: [{POST}, {POST}]")).unwrap();
    assert_eq!(
        c.add_file("shop.ron", twice, Origin::Shop),
        Err(CatalogueFault::Duplicate {
            file: "shop.ron".to_owned(),
            kind: "post",
            id: "p".to_owned(),
        })
    );
}

#[test]
fn a_shop_says_which_revision_it_replaces() {
    let mine = POST.replace("\"p\"", "\"alumina-post-12x30\"");
    let mut c = Catalogue::clone(&shipped().0);
    let unsaid = file(&format!("posts: [{mine}]")).unwrap();
    assert!(matches!(
        c.add_file("shop.ron", unsaid, Origin::Shop),
        Err(CatalogueFault::UnsaidReplacement { revision: 1, .. })
    ));
    let mut c = Catalogue::clone(&shipped().0);
    let said = mine.replace("revision: 1", "revision: 4, replaces_revision: 1");
    let said = file(&format!("posts: [{said}]")).unwrap();
    assert_eq!(c.add_file("shop.ron", said, Origin::Shop), Ok(None));
    let (origin, post) = &c.posts["alumina-post-12x30"];
    assert_eq!((*origin, post.revision), (Origin::Shop, 4));
}

#[test]
fn a_slug_that_stands_for_nothing_is_refused_with_candidates() {
    let unknown = |body: String| {
        let mut c = Catalogue::clone(&shipped().0);
        let added = c.add_file("shop.ron", file(&body).unwrap(), Origin::Shop);
        assert_eq!(added, Ok(None));
        match c.check_links() {
            Err(CatalogueFault::Unknown {
                place, candidates, ..
            }) => (place, candidates),
            other => panic!("{other:?}"),
        }
    };
    let slip = POST.replace("alumina-995", "alumina-95");
    let (place, candidates) = unknown(format!("posts: [{slip}]"));
    assert_eq!(place, "post \"p\"");
    assert_eq!(candidates.first().map(String::as_str), Some("alumina-995"));
    let (place, _) = unknown(
        r#"supports: [(id: "u", name: "U", revision: 1, kind: Powder, material: "sand", height_mm: 1, margin_mm: 1, mass_g_cm2: 0.2, source: "s", standing: Assumed)]"#
            .to_owned(),
    );
    assert_eq!(place, "support \"u\"");
}

#[test]
fn a_limit_that_is_no_number_or_stands_twice_is_refused() {
    let limit = |value: &str| {
        format!(
            r#"(id: "gap-min", name: "gap", value: {value}, unit: "mm", scope: Shop, set_by: "me", source: "s", standing: Shop, revision: 1)"#
        )
    };
    for bad in ["NaN", "inf", "1e400"] {
        let mut c = Catalogue::default();
        let fault = file(&format!("limits: [{}]", limit(bad)))
            .and_then(|f| c.add_file("shop.ron", f, Origin::Shop));
        let refused = matches!(
            fault,
            Err(CatalogueFault::Number { .. } | CatalogueFault::Syntax { .. })
        );
        assert!(refused, "{bad}: {fault:?}");
    }
    let mut c = Catalogue::clone(&shipped().0);
    let twice = file(&format!("limits: [{}, {}]", limit("1"), limit("2"))).unwrap();
    assert!(matches!(
        c.add_file("shop.ron", twice, Origin::Shop),
        Err(CatalogueFault::Duplicate { kind: "limit", .. })
    ));
    // One limit may be overridden alone.
    let mut c = Catalogue::clone(&shipped().0);
    let one = file(&format!("limits: [{}]", limit("0.8"))).unwrap();
    assert_eq!(c.add_file("shop.ron", one, Origin::Shop), Ok(None));
    let held = c.limit("gap-min", &LimitContext::default()).unwrap();
    assert_eq!((held.value, &held.scope), (0.8, &LimitScope::Shop));
}
