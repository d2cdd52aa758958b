//! Builds the page with Node into the build folder, from where it is embedded; the source tree is never written.
//!
//! `UI_DIST` names a folder with a page that is built already, `NPM` another npm. Without the feature `page` nothing is done.

use std::env;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::process::{Command, exit};

/// What the page is built from, within `web`.
const SOURCES: [&str; 8] = [
    "src",
    "public",
    "index.html",
    "package.json",
    "package-lock.json",
    "vite.config.ts",
    "svelte.config.js",
    "tsconfig.json",
];

fn main() {
    println!("cargo::rerun-if-env-changed=UI_DIST");
    println!("cargo::rerun-if-env-changed=NPM");
    for source in SOURCES {
        println!("cargo::rerun-if-changed=web/{source}");
    }
    if env::var_os("CARGO_FEATURE_PAGE").is_none() {
        return;
    }
    if let Err(problem) = build() {
        println!("cargo::error={problem}");
        exit(1);
    }
}

fn build() -> Result<(), String> {
    let out = PathBuf::from(env::var_os("OUT_DIR").ok_or("cargo names no build folder")?);
    let dist = out.join("dist");
    emptied(&dist)?;
    if let Some(ready) = env::var_os("UI_DIST") {
        let ready = PathBuf::from(ready);
        if !ready.join("index.html").is_file() {
            return Err(format!("UI_DIST names {}, which holds no index.html", ready.display()));
        }
        return copied(&ready, &dist);
    }
    let ui = out.join("ui");
    emptied(&ui)?;
    for source in SOURCES {
        copied(&Path::new("web").join(source), &ui.join(source))?;
    }
    npm(&ui, &dist, &["ci", "--no-audit", "--no-fund"])?;
    npm(&ui, &dist, &["run", "build"])?;
    // The tools of the build take more room than everything else, and are of no use any more.
    let _ = fs::remove_dir_all(ui.join("node_modules"));
    Ok(())
}

fn npm(ui: &Path, dist: &Path, arguments: &[&str]) -> Result<(), String> {
    let program = env::var_os("NPM").unwrap_or_else(|| "npm".into());
    let output = Command::new(&program).args(arguments).current_dir(ui).env("DIST", dist).output();
    let output = output.map_err(|error| {
        format!(
            "the page needs Node 20 or newer, and `{}` could not be run ({error}): install Node, or name its npm \
             in NPM, or name a folder with the built page in UI_DIST, or build without the page: \
             `--no-default-features --features pdf`",
            program.display()
        )
    })?;
    if output.status.success() {
        return Ok(());
    }
    let text = [output.stdout, output.stderr].concat();
    // Cargo shows an error of one line; what npm said stands in the build's own output.
    eprintln!("{}", String::from_utf8_lossy(&text));
    let last = String::from_utf8_lossy(&text);
    let last = last
        .lines()
        .rev()
        .find(|line| line.to_lowercase().contains("error"))
        .unwrap_or("no reason given")
        .to_owned();
    Err(format!("`npm {}` failed: {last}", arguments.join(" ")))
}

fn emptied(folder: &Path) -> Result<(), String> {
    match fs::remove_dir_all(folder) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(said(folder, &error)),
        _ => fs::create_dir_all(folder).map_err(|error| said(folder, &error)),
    }
}

/// Copies a file, or a folder with all that is in it.
fn copied(from: &Path, to: &Path) -> Result<(), String> {
    if from.is_file() {
        return fs::copy(from, to).map(|_| ()).map_err(|error| said(from, &error));
    }
    fs::create_dir_all(to).map_err(|error| said(to, &error))?;
    for entry in fs::read_dir(from).map_err(|error| said(from, &error))? {
        let entry = entry.map_err(|error| said(from, &error))?;
        copied(&entry.path(), &to.join(entry.file_name()))?;
    }
    Ok(())
}

fn said(path: &Path, error: &io::Error) -> String {
    format!("{}: {error}", path.display())
}
