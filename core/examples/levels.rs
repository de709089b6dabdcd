//! Temporary.
#![expect(clippy::disallowed_methods, reason = "tool")]
#![allow(clippy::print_stdout)]
use cueline_core::catalog::{Catalog, CatalogFile};
use cueline_core::reading::{read, Hints};
use std::io::BufRead as _;
fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = "config/catalog";
    let mut texts: Vec<(String, String)> = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        texts.push((entry.file_name().to_string_lossy().into_owned(), std::fs::read_to_string(entry.path())?));
    }
    texts.sort();
    let files: Vec<CatalogFile> = texts.iter().map(|(name, text)| CatalogFile { name, text }).collect();
    let catalog = Catalog::parse(&files).map_err(|p| format!("{p:?}"))?;
    for line in std::io::stdin().lock().lines() {
        let reading = read(&line?, &catalog, Hints::default());
        println!("{}", serde_json::to_string(&reading)?);
    }
    Ok(())
}
