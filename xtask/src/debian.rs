//! Debian packages that checks need: installed as root on Debian only; elsewhere one line says what to do.

use crate::repository::{printed, program};
use std::fs;

/// Installs a Debian package, or says what to do where that can not be.
///
/// # Errors
/// The problem that the package would mend, with the one command to run; or what the installer printed.
pub fn install(package: &str, problem: &str) -> Result<(), String> {
    let is_debian = fs::exists("/etc/debian_version").unwrap_or(false);
    let is_root = printed(&mut program("id", &["-u"])).is_ok_and(|id| id.trim() == "0");
    if !(is_debian && is_root) {
        return Err(format!("{problem}\n\nhint: on Debian: sudo apt-get install {package}"));
    }
    println!("   installing the Debian package {package}");
    printed(&mut program("apt-get", &["update", "--quiet"]))?;
    printed(&mut program("apt-get", &["install", "--yes", "--no-install-recommends", package]))?;
    Ok(())
}
