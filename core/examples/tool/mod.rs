//! What both tools that learn weights need: the catalog from its folder, and lines in an order that
//! is mixed and always the same.

use cueline_core::catalog::{Catalog, CatalogFile};
use std::error::Error;

/// How the table of weights begins.
const TABLE: &str = "\ntable = '''";

/// Reads the catalog of a folder without what is made anew: the weights of signs need not be there
/// yet, and the table of `weights.toml` may be one of groups that are no more.
pub(crate) fn catalog(folder: &str, made: &str) -> Result<Catalog, Box<dyn Error>> {
    let mut texts: Vec<(String, String)> = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        if name != made {
            texts.push((name, std::fs::read_to_string(entry.path())?));
        } else if made == "weights.toml" {
            let text = std::fs::read_to_string(entry.path())?;
            let (head, _) = text.split_once(TABLE).ok_or("weights.toml has no table")?;
            texts.push((name, format!("{head}{TABLE}'''")));
        }
    }
    texts.sort();
    let files: Vec<CatalogFile> = texts
        .iter()
        .map(|(name, text)| CatalogFile { name, text })
        .collect();
    let catalog = Catalog::parse(&files).map_err(|problems| format!("{problems:?}"))?;
    Ok(catalog)
}

/// Places of lines, mixed anew for every round.
pub(crate) struct Order {
    places: Vec<usize>,
    state: u64,
}

impl Order {
    /// So many lines, not mixed yet.
    pub(crate) fn of(lines: usize) -> Self {
        Self {
            places: (0..lines).collect(),
            state: 1,
        }
    }

    /// The places of the next round.
    pub(crate) fn next_round(&mut self) -> &[usize] {
        for at in (1..self.places.len()).rev() {
            // Knuth's MMIX generator.
            self.state = self
                .state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            let other = usize::try_from(self.state >> 33).unwrap_or(0) % (at + 1);
            self.places.swap(at, other);
        }
        &self.places
    }
}
