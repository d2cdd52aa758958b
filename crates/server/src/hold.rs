//! One server at a time for a folder or a drive file: two would take each other's drafts.
//!
//! The lock of a directory would keep the other commands out, which take it to write into the folder. A name that the
//! system knows as long as a socket listens to it is in nobody's way, leaves no file, and goes with the process however
//! that ends. Only Linux has such names; elsewhere nothing is held.

use crate::folder::Root;
use std::io;

/// What a server holds while it serves.
#[derive(Debug)]
pub struct Hold {
    _name: Option<Name>,
}

/// The name of the folder or drive file that another server holds.
#[derive(Debug)]
pub struct Held(pub String);

impl Hold {
    /// Takes hold of what is served.
    ///
    /// # Errors
    /// What another server holds of it.
    pub fn take(root: &Root) -> Result<Self, Held> {
        let all = || name_of(root, None).map_err(|_| Held(root.name()));
        let one = |file: &str| name_of(root, Some(file)).map_err(|_| Held(file.to_owned()));
        if let Some(file) = root.only() {
            let held = one(file)?;
            // Held for this look alone: others may serve other files of the folder.
            all()?;
            return Ok(Self { _name: held });
        }
        let held = all()?;
        for file in root.names().unwrap_or_default() {
            one(&file)?;
        }
        Ok(Self { _name: held })
    }
}

#[cfg(target_os = "linux")]
type Name = std::os::unix::net::UnixListener;

/// The name of a folder, or of a drive file in it; nothing where the system gives none, an error where another server has it.
#[cfg(target_os = "linux")]
fn name_of(root: &Root, file: Option<&str>) -> io::Result<Option<Name>> {
    use std::hash::{DefaultHasher, Hash, Hasher};
    use std::os::linux::net::SocketAddrExt;
    use std::os::unix::fs::MetadataExt;
    use std::os::unix::net::{SocketAddr, UnixListener};

    let Some(folder) = root.in_place().ok().and_then(|folder| folder.metadata().ok()) else {
        return Ok(None);
    };
    // Names are short and everybody can read them, hence the hash.
    let mut hash = DefaultHasher::new();
    (folder.dev(), folder.ino(), file).hash(&mut hash);
    let name = format!("lobewright-serve-{:016x}", hash.finish());
    let Ok(address) = SocketAddr::from_abstract_name(name) else { return Ok(None) };
    match UnixListener::bind_addr(&address) {
        Ok(listener) => Ok(Some(listener)),
        Err(error) if error.kind() == io::ErrorKind::AddrInUse => Err(error),
        Err(_) => Ok(None),
    }
}

#[cfg(not(target_os = "linux"))]
type Name = ();

#[cfg(not(target_os = "linux"))]
fn name_of(_: &Root, _: Option<&str>) -> io::Result<Option<Name>> {
    Ok(None)
}

#[cfg(all(test, target_os = "linux"))]
mod tests {
    use super::*;
    use std::fs;

    #[test]
    fn identity_what_is_served_is_held_once() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["a.toml", "b.toml"] {
            fs::write(folder.path().join(name), "").unwrap();
        }
        let take = |path: &str| Hold::take(&Root::open(&folder.path().join(path)).unwrap());
        let whole = take("").unwrap();
        assert!(take("").is_err() && take("a.toml").is_err());
        drop(whole);
        let (one, other) = (take("a.toml").unwrap(), take("b.toml").unwrap());
        assert_eq!(take("a.toml").unwrap_err().0, "a.toml");
        assert!(take("").is_err());
        drop((one, other));
        assert!(take("").is_ok());
    }

    #[test]
    fn identity_a_folder_under_another_path_is_the_same() {
        let outer = tempfile::tempdir().unwrap();
        let [folder, link] = ["folder", "link"].map(|name| outer.path().join(name));
        fs::create_dir(&folder).unwrap();
        std::os::unix::fs::symlink(&folder, &link).unwrap();
        let _held = Hold::take(&Root::open(&folder).unwrap()).unwrap();
        assert!(Hold::take(&Root::open(&link).unwrap()).is_err());
    }
}
