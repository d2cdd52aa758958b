//! Python packages that checks need, in an environment of their own under `target/`.

use crate::debian;
use crate::repository::{printed, program, root};
use std::fs;
use std::path::PathBuf;

/// Spelling checker, as a Python package because that ships a program built for each system.
const TYPOS: &str = "typos==1.52.0";
/// What the independent readers of DXF and STEP files need, one package a line.
const READERS: &str = "validation/readback/requirements.txt";

/// The environment with the spelling checker alone.
///
/// # Errors
/// What Python or its installer printed.
pub fn with_typos() -> Result<Environment, String> {
    let environment = Environment::create()?;
    environment.install("typos", &[TYPOS.to_owned()])?;
    Ok(environment)
}

/// The environment with the independent readers of DXF and STEP files.
///
/// # Errors
/// What Python or its installer printed.
pub fn with_readers() -> Result<Environment, String> {
    let environment = Environment::create()?;
    let path = root().join(READERS);
    let text = fs::read_to_string(&path).map_err(|error| format!("could not read {READERS}: {error}"))?;
    let lines = text.lines().map(|line| line.split('#').next().unwrap_or("").trim());
    let packages: Vec<String> = lines.filter(|line| !line.is_empty()).map(str::to_owned).collect();
    environment.install("readers", &packages)?;
    Ok(environment)
}

/// A Python environment under `target/python`.
#[derive(Debug)]
pub struct Environment {
    directory: PathBuf,
}

impl Environment {
    /// The path of a program of the environment.
    #[must_use]
    pub fn program(&self, name: &str) -> PathBuf {
        let folder = if cfg!(windows) { "Scripts" } else { "bin" };
        self.directory.join(folder).join(name)
    }

    fn create() -> Result<Self, String> {
        let environment = Self { directory: root().join("target").join("python") };
        if environment.program("pip").exists() {
            return Ok(environment);
        }
        let directory = environment.directory.to_string_lossy().into_owned();
        let make = || printed(&mut program("python3", &["-m", "venv", "--clear", &directory]));
        if let Err(problem) = make() {
            debian::install("python3-venv", &problem)?;
            make()?;
        }
        Ok(environment)
    }

    /// Installs packages unless the same list was installed before.
    fn install(&self, list: &str, packages: &[String]) -> Result<(), String> {
        let stamp = self.directory.join(format!("installed-{list}.txt"));
        let wanted = packages.join("\n");
        if fs::read_to_string(&stamp).is_ok_and(|installed| installed == wanted) {
            return Ok(());
        }
        let mut pip = program(self.program("pip"), &["install", "--quiet", "--disable-pip-version-check"]);
        printed(pip.args(packages))?;
        fs::write(&stamp, wanted).map_err(|error| format!("could not write {}: {error}", stamp.display()))
    }
}
