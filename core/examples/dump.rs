//! Temporary.
#![expect(clippy::disallowed_methods, reason = "tool")]
#![allow(clippy::print_stdout)]
use cueline_core::catalog::{Catalog, CatalogFile};
use cueline_core::reading::weighed;
fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1);
    let folder = args.next().ok_or("folder")?;
    let mut texts: Vec<(String, String)> = Vec::new();
    for entry in std::fs::read_dir(&folder)? {
        let entry = entry?;
        texts.push((entry.file_name().to_string_lossy().into_owned(), std::fs::read_to_string(entry.path())?));
    }
    texts.sort();
    let files: Vec<CatalogFile> = texts.iter().map(|(name, text)| CatalogFile { name, text }).collect();
    let catalog = Catalog::parse(&files).map_err(|p| format!("{p:?}"))?;
    for path in args {
        let out = format!("/tmp/ml/dump/{}.txt", std::path::Path::new(&path).file_stem().ok_or("stem")?.to_string_lossy());
        let mut all = String::new();
        for row in std::fs::read_to_string(&path)?.lines() {
            let columns: Vec<&str> = row.splitn(3, '\t').collect();
            if let [flag, level, text] = columns[..] {
                all.push_str(&format!("{flag}\t{level}\t{}\t{text}\n", weighed(text, &catalog).join("|")));
            }
        }
        std::fs::write(out, all)?;
    }
    Ok(())
}
