//! Writing a file whole or not at all: hidden file, wait for the disk, rename, wait for the folder.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

/// Places in a save at which a power cut is tried out by the tests.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Point {
    /// Before anything.
    Begun,
    /// The hidden file is there and holds a part.
    PartWritten,
    /// It holds everything.
    Written,
    /// It is on the disk.
    Waited,
    /// It has taken the place of the old one.
    Renamed,
    /// That is on the disk too.
    FolderWaited,
    /// The draft is gone.
    DraftRemoved,
}

#[cfg(test)]
impl Point {
    /// All of them, in the order in which a save passes them.
    pub const ALL: [Self; 7] = [
        Self::Begun,
        Self::PartWritten,
        Self::Written,
        Self::Waited,
        Self::Renamed,
        Self::FolderWaited,
        Self::DraftRemoved,
    ];
}

/// Passes a point of a save; tests end the process here, as a power cut would.
pub fn pass(point: Point) {
    #[cfg(test)]
    if std::env::var(KILL_VARIABLE).is_ok_and(|wanted| wanted == format!("{point:?}")) {
        std::process::abort();
    }
    let _ = point;
}

/// Names the point at which a test's child process ends itself.
#[cfg(test)]
pub const KILL_VARIABLE: &str = "SERVER_TEST_KILL_POINT";

/// Permissions of a new file, less what the user's mask takes away.
const USUAL_MODE: u32 = 0o666;
/// Permissions of a file that is its owner's alone.
const PRIVATE_MODE: u32 = 0o600;

/// Puts text in the place of a file, with the permissions of the old one, or those of the user's new files where there is none. Whatever happens, the file is the old or the new one.
///
/// Waiting for the disk takes long enough for somebody else to save, so `is_as_known` is asked once more directly before; the answer is whether the file was replaced.
///
/// # Errors
/// What the file system answers; the old file is then untouched and nothing is left beside it.
pub fn replace(path: &Path, bytes: &[u8], is_as_known: &dyn Fn() -> bool) -> io::Result<bool> {
    let is_new = fs::symlink_metadata(path).is_err();
    written(path, bytes, if is_new { USUAL_MODE } else { PRIVATE_MODE }, &pass, is_as_known)
}

fn written(
    path: &Path,
    bytes: &[u8],
    mode: u32,
    pass: &dyn Fn(Point),
    is_as_known: &dyn Fn() -> bool,
) -> io::Result<bool> {
    let folder = path.parent().unwrap_or(Path::new("."));
    let (hidden, mut file) = hidden_file(path, mode)?;
    let done = (|| {
        let (first, rest) = bytes.split_at(bytes.len() / 2);
        file.write_all(first)?;
        pass(Point::PartWritten);
        file.write_all(rest)?;
        pass(Point::Written);
        if let Ok(old) = fs::symlink_metadata(path)
            && old.is_file()
        {
            file.set_permissions(old.permissions())?;
        }
        file.sync_all()?;
        pass(Point::Waited);
        let goes_on = is_as_known();
        if goes_on {
            fs::rename(&hidden, path)?;
        }
        Ok(goes_on)
    })();
    if !matches!(done, Ok(true)) {
        let _ = fs::remove_file(&hidden);
        return done;
    }
    pass(Point::Renamed);
    sync_folder(folder);
    pass(Point::FolderWaited);
    done
}

/// [`replace`] without the points at which tests end the process; a new file is its owner's alone.
///
/// # Errors
/// As [`replace`].
pub fn replace_quietly(path: &Path, bytes: &[u8], is_as_known: &dyn Fn() -> bool) -> io::Result<bool> {
    written(path, bytes, PRIVATE_MODE, &|_| {}, is_as_known)
}

/// A new hidden file beside a file, under a name that nobody has.
fn hidden_file(path: &Path, mode: u32) -> io::Result<(PathBuf, File)> {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let name = name.trim_start_matches('.');
    let process = std::process::id();
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, mode);
    #[cfg(not(unix))]
    let _ = mode;
    for number in 0..100 {
        let hidden = path.with_file_name(format!(".{name}.{process}-{number}.new"));
        match options.open(&hidden) {
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
            Ok(file) => return Ok((hidden, file)),
        }
    }
    Err(io::Error::new(io::ErrorKind::AlreadyExists, "too many unfinished files stand beside it"))
}

/// Waits until the names of a folder are on the disk, where the system can do that.
pub fn sync_folder(folder: &Path) {
    if let Ok(handle) = File::open(folder) {
        let _ = handle.sync_all();
    }
}

/// Reads a plain file of at most so many bytes; links are not followed.
///
/// # Errors
/// What the file system answers, or that it is no plain file or too large.
pub fn read_plain(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    if !fs::symlink_metadata(path)?.is_file() {
        return Err(io::Error::new(io::ErrorKind::InvalidData, "is no plain file"));
    }
    let mut bytes = Vec::new();
    File::open(path)?.take(most + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > most {
        return Err(io::Error::new(io::ErrorKind::InvalidData, "is too large"));
    }
    Ok(bytes)
}

/// Removes hidden files that a save, or the keeping of a draft, left behind when it was cut off.
pub fn clear_unfinished(path: &Path) {
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let Some(entries) = path.parent().and_then(|folder| fs::read_dir(folder).ok()) else { return };
    for entry in entries.flatten() {
        let other = entry.file_name().to_string_lossy().into_owned();
        let middle = other.strip_prefix(&format!(".{name}.")).and_then(|rest| rest.strip_suffix(".new"));
        let middle = middle.map(|middle| middle.strip_prefix("draft.").unwrap_or(middle));
        let is_ours = middle.is_some_and(|middle| {
            middle.split_once('-').is_some_and(|(process, number)| {
                process.parse::<u32>().is_ok_and(|id| id != std::process::id())
                    && number.parse::<u32>().is_ok()
            })
        });
        if is_ours {
            let _ = fs::remove_file(entry.path());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_a_replaced_file_is_whole_and_alone() {
        let scratch = tempfile::tempdir().unwrap();
        let path = scratch.path().join("a.toml");
        let replace = |path: &Path, bytes: &[u8]| replace(path, bytes, &|| true);
        assert!(replace(&path, b"old").unwrap());
        assert!(replace(&path, b"new text").unwrap());
        assert_eq!(fs::read(&path).unwrap(), b"new text");
        assert_eq!(fs::read_dir(scratch.path()).unwrap().count(), 1);
        assert!(replace(&scratch.path().join("no/such/folder"), b"x").is_err());
    }

    #[cfg(unix)]
    #[test]
    fn identity_permissions_stay() {
        use std::os::unix::fs::PermissionsExt;
        let scratch = tempfile::tempdir().unwrap();
        let path = scratch.path().join("a.toml");
        for mode in [0o600, 0o640, 0o664] {
            replace(&path, b"old", &|| true).unwrap();
            fs::set_permissions(&path, fs::Permissions::from_mode(mode)).unwrap();
            replace(&path, b"new", &|| true).unwrap();
            assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, mode);
        }
    }

    #[cfg(unix)]
    #[test]
    fn identity_a_file_that_was_gone_is_like_any_new_one() {
        use std::os::unix::fs::PermissionsExt;
        let scratch = tempfile::tempdir().unwrap();
        let mode = |name: &str| fs::metadata(scratch.path().join(name)).unwrap().permissions().mode() & 0o777;
        fs::write(scratch.path().join("usual.toml"), "text").unwrap();
        replace(&scratch.path().join("a.toml"), b"text", &|| true).unwrap();
        assert_eq!(mode("a.toml"), mode("usual.toml"));
        replace_quietly(&scratch.path().join(".a.toml.draft"), b"text", &|| true).unwrap();
        assert_eq!(mode(".a.toml.draft"), 0o600);
    }

    #[test]
    fn identity_leftovers_of_other_processes_go() {
        let scratch = tempfile::tempdir().unwrap();
        let path = scratch.path().join("a.toml");
        let names = [
            ".a.toml.1-0.new",
            ".a.toml.draft.1-0.new",
            ".a.toml.x-0.new",
            ".b.toml.1-0.new",
            ".a.toml.draft",
            "a.toml",
        ];
        for name in names {
            fs::write(scratch.path().join(name), "").unwrap();
        }
        clear_unfinished(&path);
        let left: Vec<bool> = names.iter().map(|name| scratch.path().join(name).exists()).collect();
        assert_eq!(left, [false, false, true, true, true, true]);
    }
}
