//! The starting catalogue held against itself, and the merging of files.

use super::builtin::FILES;
use super::*;

fn shipped() -> (Arc<Catalogue>, Arc<ShopState>) {
    match builtin() {
        Ok(both) => both,
        Err(fault) => panic!("the starting catalogue: {fault:?}"),
    }
}

#[test]
fn the_starting_catalogue_parses_and_its_links_hold() {
    for (name, text) in FILES {
        let file = parse_file(name, text);
        assert!(file.is_ok(), "{name}: {file:?}");
    }
    let (catalogue, _) = shipped();
    assert_eq!(catalogue.check_links(), Ok(()));
}
