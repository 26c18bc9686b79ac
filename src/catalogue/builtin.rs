//! The starting catalogue, compiled in.

use super::merge::{CatalogueFault, parse_file};
use super::{Catalogue, Origin, ShopState};
use std::sync::{Arc, LazyLock};

/// Files of the starting catalogue: name and text.
pub(super) const FILES: [(&str, &str); 9] = [
    (
        "bibliography.ron",
        include_str!("../../assets/catalogue/bibliography.ron"),
    ),
    (
        "alloys.ron",
        include_str!("../../assets/catalogue/alloys.ron"),
    ),
    (
        "binders.ron",
        include_str!("../../assets/catalogue/binders.ron"),
    ),
    (
        "feedstocks.ron",
        include_str!("../../assets/catalogue/feedstocks.ron"),
    ),
    (
        "setters.ron",
        include_str!("../../assets/catalogue/setters.ron"),
    ),
    (
        "furnaces.ron",
        include_str!("../../assets/catalogue/furnaces.ron"),
    ),
    (
        "gases.ron",
        include_str!("../../assets/catalogue/gases.ron"),
    ),
    (
        "limits.ron",
        include_str!("../../assets/catalogue/limits.ron"),
    ),
    ("shop.ron", include_str!("../../assets/catalogue/shop.ron")),
];

type Built = Result<(Arc<Catalogue>, Arc<ShopState>), CatalogueFault>;

static BUILT: LazyLock<Built> = LazyLock::new(|| {
    let mut catalogue = Catalogue::default();
    let mut shop = None;
    for (name, text) in FILES {
        let file = parse_file(name, text)?;
        if let Some(state) = catalogue.add_file(name, file, Origin::BuiltIn)? {
            shop = Some(state);
        }
    }
    catalogue.check_links()?;
    let shop = shop.ok_or(CatalogueFault::NoShopState)?;
    Ok((Arc::new(catalogue), Arc::new(shop)))
});

/// The starting catalogue and the demo shop's state.
///
/// # Errors
/// Only when an asset of this build is broken, which a test rules out.
pub fn builtin() -> Result<(Arc<Catalogue>, Arc<ShopState>), CatalogueFault> {
    BUILT.clone()
}
