//! The build script as a person without Node meets it: compiled by itself, run where there is no npm.

#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is not there")]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use tempfile::TempDir;

/// The build script as a program.
struct Script {
    folder: TempDir,
}

impl Script {
    fn compiled() -> Self {
        let folder = TempDir::new().unwrap();
        let rustc = std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into());
        let script = home().join("build.rs");
        let arguments = ["--edition", "2024", "--crate-name", "script", "-o"];
        let program = folder.path().join("script");
        let done = Command::new(rustc).args(arguments).arg(&program).arg(script).output().unwrap();
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        Self { folder }
    }

    fn out(&self) -> PathBuf {
        self.folder.path().join("out")
    }

    /// Runs it with nothing on the path and these variables.
    fn run(&self, variables: &[(&str, &str)]) -> Output {
        fs::create_dir_all(self.out()).unwrap();
        Command::new(self.folder.path().join("script"))
            .current_dir(home())
            .env_clear()
            .env("PATH", self.folder.path())
            .env("OUT_DIR", self.out())
            .envs(variables.iter().copied())
            .output()
            .unwrap()
    }
}

fn home() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// What cargo would show as errors.
fn errors(output: &Output) -> Vec<String> {
    let text = String::from_utf8_lossy(&output.stdout);
    text.lines().filter_map(|line| line.strip_prefix("cargo::error=")).map(str::to_owned).collect()
}

#[test]
fn identity_without_node_one_message_says_how_to_build_without_the_page() {
    let script = Script::compiled();
    let output = script.run(&[("CARGO_FEATURE_PAGE", "1")]);
    assert!(!output.status.success());
    let errors = errors(&output);
    let [error] = errors.as_slice() else { panic!("one message: {errors:?}") };
    for words in ["needs Node 20", "`npm` could not be run", "NPM", "UI_DIST", "without the page"] {
        assert!(error.contains(words), "{words}: {error}");
    }
    // What it says to type is what the program's own features offer.
    assert!(error.contains("`--no-default-features --features pdf`"), "{error}");
    let manifest = fs::read_to_string(home().join("../cli/Cargo.toml")).unwrap();
    let feature = |name: &str| {
        let head = format!("{name} = [");
        let line = manifest.lines().find_map(|line| line.strip_prefix(&head)).map(str::to_owned);
        line.unwrap_or_else(|| panic!("the program has no feature {name}"))
    };
    assert!(feature("default").contains("page"), "{manifest}");
    assert!(!feature("pdf").contains("page"), "{manifest}");
    assert!(script.run(&[]).status.success(), "without the page Node is not asked for");
}

#[test]
fn identity_a_page_that_is_built_already_needs_no_node() {
    let script = Script::compiled();
    let built = script.folder.path().join("built");
    fs::create_dir_all(built.join("assets")).unwrap();
    let variables = [("CARGO_FEATURE_PAGE", "1"), ("UI_DIST", built.to_str().unwrap())];
    let output = script.run(&variables);
    assert!(!output.status.success());
    assert!(errors(&output)[0].contains("holds no index.html"), "{:?}", errors(&output));
    fs::write(built.join("index.html"), "page").unwrap();
    fs::write(built.join("assets/page.js"), "script").unwrap();
    assert!(script.run(&variables).status.success());
    assert_eq!(fs::read_to_string(script.out().join("dist/assets/page.js")).unwrap(), "script");
}

#[test]
fn identity_another_npm_that_is_missing_is_named() {
    let script = Script::compiled();
    let output = script.run(&[("CARGO_FEATURE_PAGE", "1"), ("NPM", "no-such-npm")]);
    assert!(!output.status.success());
    assert!(errors(&output)[0].contains("`no-such-npm` could not be run"), "{:?}", errors(&output));
}
