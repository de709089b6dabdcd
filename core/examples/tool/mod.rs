//! What both tools that learn weights need: the catalog from its folder, and lines in an order that
//! is mixed and always the same.

use cueline_core::catalog::{Catalog, CatalogFile};
use std::error::Error;

/// Reads the catalog of a folder without one of its files, which need not be there yet.
pub(crate) fn catalog(folder: &str, without: Option<&str>) -> Result<Catalog, Box<dyn Error>> {
    let mut texts: Vec<(String, String)> = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        let name = entry.file_name().to_string_lossy().into_owned();
        if without != Some(name.as_str()) {
            texts.push((name, std::fs::read_to_string(entry.path())?));
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
