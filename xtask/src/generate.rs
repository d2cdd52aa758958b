//! Files that are generated from the code and committed, so that readers need not build anything.

mod drive_file;
mod figures;
mod formulas;
mod page;

use crate::repository::root;
use std::fs;

/// A generated file.
struct Generated {
    /// Its path from the root of the repository.
    path: String,
    /// What it holds.
    content: String,
}

/// All generated files.
fn all() -> Result<Vec<Generated>, String> {
    let mut files = vec![
        Generated { path: "docs/drive-file.md".to_owned(), content: drive_file::reference() },
        Generated { path: "docs/formulas.md".to_owned(), content: formulas::reference() },
        Generated {
            path: "schemas/drive-file.schema.json".to_owned(),
            content: json(&schema::json_schema()),
        },
        Generated { path: "schemas/openapi.json".to_owned(), content: json(&server::openapi::description()) },
    ];
    files.extend(schema::DocumentKind::ALL.map(|kind| Generated {
        path: format!("schemas/{}.schema.json", kind.word()),
        content: json(&kind.schema()),
    }));
    files.extend(page::files());
    files.extend(figures::of_the_shoulder()?);
    Ok(files)
}

fn json(document: &serde_json::Value) -> String {
    format!("{document:#}\n")
}

/// Writes the files, or only checks them.
///
/// # Errors
/// Which file could not be written, or is not as it would be generated.
pub fn run(check_only: bool) -> Result<(), String> {
    if check_only {
        return check().map(|count| println!("{count} generated files are up to date"));
    }
    for file in all()? {
        let path = root().join(&file.path);
        if let Some(directory) = path.parent() {
            fs::create_dir_all(directory).map_err(|error| format!("{}: {error}", file.path))?;
        }
        fs::write(&path, file.content).map_err(|error| format!("{}: {error}", file.path))?;
        println!("wrote {}", file.path);
    }
    Ok(())
}

/// How many files there are, all of them as they would be generated.
///
/// # Errors
/// The names of those that are not.
pub fn check() -> Result<usize, String> {
    let files = all()?;
    let differs =
        |file: &&Generated| fs::read_to_string(root().join(&file.path)).ok().as_ref() != Some(&file.content);
    let stale: Vec<&str> = files.iter().filter(differs).map(|file| file.path.as_str()).collect();
    if stale.is_empty() {
        return Ok(files.len());
    }
    Err(format!("not as generated: {}\n\nhint: run `cargo xtask generate` and commit", stale.join(", ")))
}
