//! The opened folder: which names in it are drive files, and reading them; nothing outside is ever touched.

use schema::LARGEST_FILE_BYTES;
use std::fs::{self, File, Metadata};
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// Most drive files of a folder that are shown.
pub const MOST_DRIVES: usize = 200;

/// A folder, or a single drive file in one.
#[derive(Clone, Debug)]
pub struct Root {
    folder: PathBuf,
    /// The only name that is served, where a file was opened.
    only: Option<String>,
}

/// Why a file cannot be had.
#[derive(Debug, thiserror::Error)]
pub enum FolderError {
    /// The name can not be that of a drive file here.
    #[error("`{name}` is no name of a drive file: names end in .toml and name no other folder")]
    Name {
        /// The name as it was given.
        name: String,
    },
    /// A single file was opened, and it is another one.
    #[error("only `{only}` is served here, not `{name}`")]
    NotServed {
        /// The name as it was given.
        name: String,
        /// The one that is.
        only: String,
    },
    /// There is nothing to open.
    #[error("there is neither a folder nor a file `{name}`")]
    Nothing {
        /// The path as it was given.
        name: String,
    },
    /// There is no such file.
    #[error("there is no drive file `{name}` in the folder")]
    Missing {
        /// Its name.
        name: String,
    },
    /// It is a link that leads out of the folder.
    #[error("`{name}` leads out of the folder")]
    Outside {
        /// Its name.
        name: String,
    },
    /// The folder itself was moved away, or a link stands in its place.
    #[error("the folder `{name}` is not where it was when it was opened; nothing was written")]
    Moved {
        /// Last name of the folder.
        name: String,
    },
    /// It is no plain file.
    #[error("`{name}` is no plain file")]
    NotPlain {
        /// Its name.
        name: String,
    },
    /// The file system refused.
    #[error("`{name}`: {source}")]
    Disk {
        /// Name of the file.
        name: String,
        /// What the file system answered.
        source: io::Error,
    },
}

/// What shows without reading that a file may have changed.
pub type Stamp = (u64, Option<SystemTime>);

/// Bytes of a file, with what they were read at.
#[derive(Clone, Debug)]
pub struct Found {
    /// Where it really is; inside the folder.
    pub path: PathBuf,
    /// Its bytes, one more than a drive file may have where it is too large.
    pub bytes: Vec<u8>,
    /// Size and time of change.
    pub stamp: Stamp,
}

impl Root {
    /// Opens a folder, or the folder of a file with that file alone.
    ///
    /// # Errors
    /// What the file system answers where there is no such folder or file, or a file that is no drive file by name.
    pub fn open(path: &Path) -> Result<Self, FolderError> {
        let name = path.display().to_string();
        let disk = |source: io::Error| match source.kind() {
            io::ErrorKind::NotFound => FolderError::Nothing { name: name.clone() },
            _ => FolderError::Disk { name: name.clone(), source },
        };
        let metadata = fs::metadata(path).map_err(disk)?;
        if metadata.is_dir() {
            return Ok(Self { folder: fs::canonicalize(path).map_err(disk)?, only: None });
        }
        let only = path.file_name().and_then(|name| name.to_str()).map(str::to_owned);
        let only = only.filter(|only| is_drive_name(only)).ok_or(FolderError::Name { name: name.clone() })?;
        let parent = path.parent().filter(|parent| *parent != Path::new("")).unwrap_or(Path::new("."));
        let root = Self { folder: fs::canonicalize(parent).map_err(disk)?, only: Some(only.clone()) };
        root.find(&only)?;
        Ok(root)
    }

    /// Last name of the folder, for headings.
    #[must_use]
    pub fn name(&self) -> String {
        self.folder.file_name().map_or_else(|| "/".to_owned(), |name| name.to_string_lossy().into_owned())
    }

    /// The one drive file that was opened; nothing where a folder was.
    #[must_use]
    pub fn only(&self) -> Option<&str> {
        self.only.as_deref()
    }

    /// Names of the drive files in it, sorted.
    ///
    /// # Errors
    /// [`FolderError::Disk`] where the folder cannot be read.
    pub fn names(&self) -> Result<Vec<String>, FolderError> {
        if let Some(only) = &self.only {
            return Ok(vec![only.clone()]);
        }
        let entries =
            fs::read_dir(&self.folder).map_err(|source| FolderError::Disk { name: self.name(), source })?;
        let names = entries.filter_map(|entry| entry.ok()?.file_name().into_string().ok());
        let mut names: Vec<String> = names.filter(|name| self.find(name).is_ok()).collect();
        names.sort();
        names.truncate(MOST_DRIVES);
        Ok(names)
    }

    /// Where the file of a name is, if it is a plain one inside the folder.
    ///
    /// # Errors
    /// [`FolderError`].
    pub fn find(&self, name: &str) -> Result<PathBuf, FolderError> {
        if !is_drive_name(name) {
            return Err(FolderError::Name { name: name.to_owned() });
        }
        if let Some(only) = self.only.as_ref().filter(|only| *only != name) {
            return Err(FolderError::NotServed { name: name.to_owned(), only: only.clone() });
        }
        let path = self.folder.join(name);
        let real = fs::canonicalize(&path).map_err(|source| match source.kind() {
            io::ErrorKind::NotFound => FolderError::Missing { name: name.to_owned() },
            _ => FolderError::Disk { name: name.to_owned(), source },
        })?;
        if !real.starts_with(&self.folder) {
            self.in_place()?;
            return Err(FolderError::Outside { name: name.to_owned() });
        }
        // A pipe or a device would make us wait for ever.
        match fs::symlink_metadata(&real) {
            Ok(metadata) if metadata.is_file() => Ok(real),
            Ok(_) => Err(FolderError::NotPlain { name: name.to_owned() }),
            Err(source) => Err(FolderError::Disk { name: name.to_owned(), source }),
        }
    }

    /// Where a file of a name would stand that is not there.
    ///
    /// # Errors
    /// That the name cannot be one, [`FolderError::Moved`], or what stands there after all.
    pub fn place(&self, name: &str) -> Result<PathBuf, FolderError> {
        let path = self.in_place()?.join(name);
        match self.find(name) {
            Err(FolderError::Missing { .. }) if fs::symlink_metadata(&path).is_err() => Ok(path),
            Err(FolderError::Missing { .. }) => Err(FolderError::NotPlain { name: name.to_owned() }),
            found => found,
        }
    }

    /// Size and time of change of a file.
    ///
    /// # Errors
    /// [`FolderError`].
    pub fn stamp(&self, name: &str) -> Result<Stamp, FolderError> {
        let path = self.find(name)?;
        fs::metadata(path).map(|metadata| stamp_of(&metadata)).map_err(|source| disk(name, source))
    }

    /// Reads a file; of one that is too large only as much as shows it.
    ///
    /// # Errors
    /// [`FolderError`].
    pub fn read(&self, name: &str) -> Result<Found, FolderError> {
        let path = self.find(name)?;
        let file = open_unlinked(&path).map_err(|source| disk(name, source))?;
        let metadata = file.metadata().map_err(|source| disk(name, source))?;
        if !metadata.is_file() {
            return Err(FolderError::NotPlain { name: name.to_owned() });
        }
        let stamp = stamp_of(&metadata);
        let mut bytes = Vec::new();
        let most = LARGEST_FILE_BYTES as u64 + 1;
        file.take(most).read_to_end(&mut bytes).map_err(|source| disk(name, source))?;
        Ok(Found { path, bytes, stamp })
    }

    /// Where the draft of a drive file is kept: a hidden name beside it.
    ///
    /// # Errors
    /// [`FolderError::Moved`].
    pub fn draft_path(&self, name: &str) -> Result<PathBuf, FolderError> {
        Ok(self.in_place()?.join(format!(".{name}.draft")))
    }

    /// The folder, if its path leads to it still; a link in its place would have us write elsewhere.
    ///
    /// # Errors
    /// [`FolderError::Moved`].
    pub fn in_place(&self) -> Result<&Path, FolderError> {
        match fs::canonicalize(&self.folder) {
            Ok(real) if real == self.folder => Ok(&self.folder),
            _ => Err(FolderError::Moved { name: self.name() }),
        }
    }
}

/// Opens what was found, but neither through a link that came in its place since, nor waiting for the other end of a pipe.
#[cfg(target_os = "linux")]
fn open_unlinked(path: &Path) -> io::Result<File> {
    use rustix::fs::{Mode, OFlags, open};
    let flags = OFlags::RDONLY | OFlags::NOFOLLOW | OFlags::NONBLOCK | OFlags::CLOEXEC;
    Ok(File::from(open(path, flags, Mode::empty())?))
}

/// Opens what was found; the checks before are all that keeps links out here.
#[cfg(not(target_os = "linux"))]
fn open_unlinked(path: &Path) -> io::Result<File> {
    File::open(path)
}

fn disk(name: &str, source: io::Error) -> FolderError {
    FolderError::Disk { name: name.to_owned(), source }
}

fn stamp_of(metadata: &Metadata) -> Stamp {
    (metadata.len(), metadata.modified().ok())
}

/// Whether a name is a bare one that ends as drive files do and is not hidden.
fn is_drive_name(name: &str) -> bool {
    let forbidden = |character: char| character.is_control() || "/\\:".contains(character);
    name.len() <= 200
        && !name.starts_with('.')
        && !name.contains(forbidden)
        && name.strip_suffix(".toml").is_some_and(|stem| !stem.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn scratch() -> tempfile::TempDir {
        let directory = tempfile::tempdir().unwrap();
        fs::create_dir(directory.path().join("open")).unwrap();
        fs::write(directory.path().join("outside.toml"), "secret").unwrap();
        fs::write(directory.path().join("open/a.toml"), "a").unwrap();
        directory
    }

    #[test]
    fn identity_only_bare_names_of_drive_files_are_found() {
        let scratch = scratch();
        let root = Root::open(&scratch.path().join("open")).unwrap();
        assert_eq!(root.read("a.toml").unwrap().bytes, b"a");
        for name in [
            "../outside.toml",
            "..",
            ".",
            "",
            "a",
            "/etc/passwd",
            "..\\outside.toml",
            "a.toml/..",
            ".a.toml",
            ".toml",
            "a.toml\0",
            "C:a.toml",
            "b/../a.toml",
        ] {
            assert!(matches!(root.read(name), Err(FolderError::Name { .. })), "{name}");
        }
        assert!(matches!(root.read("b.toml"), Err(FolderError::Missing { .. })));
        fs::create_dir(scratch.path().join("open/folder.toml")).unwrap();
        assert!(matches!(root.read("folder.toml"), Err(FolderError::NotPlain { .. })));
        assert_eq!(root.names().unwrap(), ["a.toml"]);
    }

    #[cfg(unix)]
    #[test]
    fn identity_links_are_followed_inside_and_refused_outside() {
        use std::os::unix::fs::symlink;
        let scratch = scratch();
        let open = scratch.path().join("open");
        symlink(scratch.path().join("outside.toml"), open.join("out.toml")).unwrap();
        symlink("../outside.toml", open.join("up.toml")).unwrap();
        symlink("a.toml", open.join("inside.toml")).unwrap();
        symlink("nowhere.toml", open.join("dangling.toml")).unwrap();
        symlink("loop.toml", open.join("loop.toml")).unwrap();
        let root = Root::open(&open).unwrap();
        assert!(matches!(root.read("out.toml"), Err(FolderError::Outside { .. })));
        assert!(matches!(root.read("up.toml"), Err(FolderError::Outside { .. })));
        assert!(root.read("dangling.toml").is_err() && root.read("loop.toml").is_err());
        assert_eq!(root.read("inside.toml").unwrap().bytes, b"a");
        assert_eq!(root.names().unwrap(), ["a.toml", "inside.toml"]);
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn identity_what_came_in_the_place_of_a_file_is_not_opened() {
        use std::os::unix::fs::symlink;
        let scratch = scratch();
        let place = scratch.path().join("open/a.toml");
        assert!(open_unlinked(&place).unwrap().metadata().unwrap().is_file());
        fs::remove_file(&place).unwrap();
        symlink("../outside.toml", &place).unwrap();
        assert!(open_unlinked(&place).is_err());
        // Nobody writes into the pipe: opening it as a file would wait for ever.
        let pipe = scratch.path().join("open/pipe.toml");
        assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
        assert!(!open_unlinked(&pipe).unwrap().metadata().unwrap().is_file());
    }

    #[test]
    fn identity_a_single_file_hides_its_neighbours() {
        let scratch = scratch();
        fs::write(scratch.path().join("open/b.toml"), "b").unwrap();
        let root = Root::open(&scratch.path().join("open/a.toml")).unwrap();
        assert_eq!(root.names().unwrap(), ["a.toml"]);
        let refused = root.read("b.toml").unwrap_err().to_string();
        assert_eq!(refused, "only `a.toml` is served here, not `b.toml`");
    }
}
