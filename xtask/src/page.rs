//! Checks of the page: its types and units under Node, and the page of the built program in a real browser.

use crate::debian;
use crate::repository::{cargo, printed, program, root};
use std::env;
use std::fs;
use std::path::PathBuf;
use std::process::Command;

/// Where the sources of the page are.
const WEB: &str = "crates/server/web";
/// Names under which the browser is installed.
const BROWSERS: [&str; 4] = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable"];

/// Types, lints and unit tests of the page.
///
/// # Errors
/// What the tools printed.
pub fn units() -> Result<usize, String> {
    install_packages()?;
    printed(&mut npm(&["run", "--silent", "check"]))?;
    let text = printed(&mut npm(&["run", "--silent", "test"]))?;
    last_count(&text).ok_or_else(|| format!("the page's tests did not say how many passed:\n{text}"))
}

/// The page of the release build, used as a person would, in a browser without a window.
///
/// # Errors
/// What the browser tests printed, or that there is no browser.
pub fn in_a_browser() -> Result<usize, String> {
    install_packages()?;
    let browser = browser()?;
    printed(&mut cargo(&["build", "--quiet", "--release", "-p", "cli"]))?;
    let mut tests = npm(&["run", "--silent", "e2e"]);
    tests.env("LOBEWRIGHT", release_binary()).env("CHROMIUM", browser);
    let text = printed(&mut tests)?;
    last_count(&text).ok_or_else(|| format!("the browser tests did not say how many passed:\n{text}"))
}

/// npm in the folder of the page.
fn npm(arguments: &[&str]) -> Command {
    let mut command = program(env::var_os("NPM").unwrap_or_else(|| "npm".into()), arguments);
    command.current_dir(root().join(WEB));
    command
}

/// Installs the packages of the lock file unless these very ones are there.
fn install_packages() -> Result<(), String> {
    let web = root().join(WEB);
    let read = |path: &PathBuf| {
        fs::read_to_string(path).map_err(|error| format!("could not read {}: {error}", path.display()))
    };
    let lock = read(&web.join("package-lock.json"))?;
    let stamp = web.join("node_modules").join(".installed-lock");
    if fs::read_to_string(&stamp).is_ok_and(|installed| installed == lock) {
        return Ok(());
    }
    printed(&mut npm(&["ci", "--no-audit", "--no-fund"])).map_err(|problem| {
        format!("{problem}\n\nhint: the checks of the page need Node 20 or newer with npm")
    })?;
    fs::write(&stamp, lock).map_err(|error| format!("could not write {}: {error}", stamp.display()))
}

/// Path of a browser; on Debian, as root, it is installed where there is none.
fn browser() -> Result<PathBuf, String> {
    if let Some(path) = env::var_os("CHROMIUM") {
        return Ok(path.into());
    }
    if let Some(found) = installed_browser() {
        return Ok(found);
    }
    let problem = "the checks of the page need Chromium, and there is none";
    debian::install("chromium", problem)?;
    installed_browser().ok_or_else(|| problem.to_owned())
}

fn installed_browser() -> Option<PathBuf> {
    let folders = env::var_os("PATH")?;
    let folders: Vec<PathBuf> = env::split_paths(&folders).collect();
    let places = BROWSERS.iter().flat_map(|name| folders.iter().map(move |folder| folder.join(name)));
    places.into_iter().find(|path| path.is_file())
}

fn release_binary() -> PathBuf {
    let target = env::var_os("CARGO_TARGET_DIR").map_or_else(|| root().join("target"), PathBuf::from);
    root().join(target).join("release").join(format!("lobewright{}", env::consts::EXE_SUFFIX))
}

/// The number before ` passed` in the last line that has one.
fn last_count(text: &str) -> Option<usize> {
    let line = text.lines().rev().find(|line| line.contains(" passed"))?;
    let before = &line[..line.find(" passed")?];
    before.rsplit(|letter: char| !letter.is_ascii_digit()).find(|digits| !digits.is_empty())?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_the_last_count_of_a_runner_is_read() {
        assert_eq!(
            last_count("Test Files  3 passed (3)\n     Tests  17 passed (17)\n  Duration 1.2s"),
            Some(17)
        );
        assert_eq!(last_count("nothing ran"), None);
    }
}
