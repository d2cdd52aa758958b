//! Tests of the transaction: every step fails once, every step is the last before a power cut.

use super::disk::{Disk, RealDisk};
use super::*;
use std::collections::BTreeMap;
use tempfile::TempDir;

/// How a disk goes wrong.
#[derive(Clone, Copy, PartialEq)]
enum Fault {
    /// One step fails, as when the disk is full, and later ones work.
    Once,
    /// From that step on nothing works, as when the power is cut.
    Forever,
}

/// A disk on which a given step goes wrong; a write that goes wrong leaves half of the bytes.
struct FaultyDisk {
    steps_left: usize,
    fault: Fault,
    broken: bool,
}

impl FaultyDisk {
    fn new(steps_left: usize, fault: Fault) -> Self {
        Self { steps_left, fault, broken: false }
    }

    fn step(&mut self) -> io::Result<()> {
        if self.broken && self.fault == Fault::Once {
            return Ok(());
        }
        if self.broken || self.steps_left == 0 {
            self.broken = true;
            return Err(io::ErrorKind::StorageFull.into());
        }
        self.steps_left -= 1;
        Ok(())
    }
}

impl Disk for FaultyDisk {
    fn write_new(&mut self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        let was_broken = self.broken;
        self.step().inspect_err(|_| {
            if !was_broken {
                let _ = fs::write(path, &bytes[..bytes.len() / 2]);
            }
        })?;
        assert!(!path.exists(), "a hidden file was overwritten");
        fs::write(path, bytes)
    }

    fn keep_as(&mut self, path: &Path, second: &Path) -> io::Result<()> {
        self.step()?;
        RealDisk.keep_as(path, second)
    }

    fn replace(&mut self, from: &Path, to: &Path) -> io::Result<()> {
        self.step()?;
        RealDisk.replace(from, to)
    }

    fn remove(&mut self, path: &Path) -> io::Result<()> {
        self.step()?;
        RealDisk.remove(path)
    }

    /// Tests cut the power between steps, so that waiting for a real disk would add nothing.
    fn settle(&mut self, _: &Path) {}
}

fn files(names: &[&str], content: &str) -> Vec<OutputFile> {
    let file = |name: &&str| OutputFile {
        name: (*name).to_owned(),
        bytes: format!("{content} of {name}").into_bytes(),
    };
    names.iter().map(file).collect()
}

/// All files of a directory with their bytes, hidden ones included.
fn snapshot(directory: &Path) -> BTreeMap<String, Vec<u8>> {
    let Ok(entries) = fs::read_dir(directory) else {
        return BTreeMap::new();
    };
    let read = |entry: fs::DirEntry| {
        (entry.file_name().into_string().unwrap(), fs::read(entry.path()).unwrap_or_default())
    };
    entries.map(|entry| read(entry.unwrap())).collect()
}

fn write(directory: &Path, names: &[&str], content: &str) -> Result<Written, OutputError> {
    let mut disk = FaultyDisk::new(usize::MAX, Fault::Once);
    write_set_on(&mut disk, directory, content, files(names, content), Overwrite::OwnFiles)
}

const SET: [&str; 2] = ["disc.dxf", "disc.step"];

#[test]
fn identity_a_set_is_written_with_its_manifest() {
    let directory = TempDir::new().unwrap();
    let out = directory.path().join("deep/out");
    write_set(&out, "first", files(&SET, "first"), Overwrite::OwnFiles).unwrap();
    let found = snapshot(&out);
    assert_eq!(found.keys().collect::<Vec<_>>(), ["disc.dxf", "disc.step", "manifest.json"]);
    let manifest = Manifest::parse(&found["manifest.json"]).unwrap();
    for name in SET {
        let entry = manifest.entry(name).unwrap();
        assert_eq!(entry.sha256, manifest::sha256_hex(&found[name]));
        assert_eq!(entry.bytes, found[name].len() as u64);
        assert_eq!(entry.drive_file_sha256, "first");
    }
}

#[test]
fn identity_own_files_are_overwritten_and_the_same_run_gives_the_same_bytes() {
    let directory = TempDir::new().unwrap();
    write(directory.path(), &SET, "first").unwrap();
    write(directory.path(), &SET, "second").unwrap();
    let second = snapshot(directory.path());
    assert_eq!(second["disc.dxf"], b"second of disc.dxf");
    write(directory.path(), &SET, "second").unwrap();
    assert_eq!(snapshot(directory.path()), second);
}

#[test]
fn identity_changed_and_foreign_files_are_refused_unless_forced() {
    let directory = TempDir::new().unwrap();
    write(directory.path(), &SET[..1], "first").unwrap();
    fs::write(directory.path().join("disc.dxf"), "edited by hand").unwrap();
    fs::write(directory.path().join("disc.step"), "from elsewhere").unwrap();
    let before = snapshot(directory.path());
    let error = write(directory.path(), &SET, "second").unwrap_err();
    let OutputError::Refused { obstacles } = &error else { panic!("{error}") };
    assert_eq!(
        obstacles.iter().map(|(_, why)| *why).collect::<Vec<_>>(),
        [Obstacle::Changed, Obstacle::NotOurs]
    );
    assert_eq!(snapshot(directory.path()), before);
    write_set(directory.path(), "second", files(&SET, "second"), Overwrite::Forced).unwrap();
    assert_eq!(snapshot(directory.path())["disc.step"], b"second of disc.step");
}

#[test]
fn identity_a_foreign_file_with_the_same_bytes_is_no_obstacle() {
    let directory = TempDir::new().unwrap();
    fs::write(directory.path().join("disc.dxf"), "first of disc.dxf").unwrap();
    write(directory.path(), &SET, "first").unwrap();
}

#[test]
fn identity_a_foreign_manifest_is_refused() {
    let directory = TempDir::new().unwrap();
    fs::write(directory.path().join("manifest.json"), "{\"name\": \"a web page\"}").unwrap();
    let before = snapshot(directory.path());
    assert!(matches!(write(directory.path(), &SET, "first"), Err(OutputError::Refused { .. })));
    assert_eq!(snapshot(directory.path()), before);
}

#[cfg(unix)]
#[test]
fn identity_links_and_directories_are_refused_even_when_forced() {
    let directory = TempDir::new().unwrap();
    let precious = directory.path().join("precious");
    fs::write(&precious, "kept").unwrap();
    std::os::unix::fs::symlink(&precious, directory.path().join("disc.dxf")).unwrap();
    fs::create_dir(directory.path().join("disc.step")).unwrap();
    let error = write_set(directory.path(), "first", files(&SET, "first"), Overwrite::Forced).unwrap_err();
    let OutputError::Refused { obstacles } = error else { panic!("{error}") };
    assert_eq!(
        obstacles.iter().map(|(_, why)| *why).collect::<Vec<_>>(),
        [Obstacle::Link, Obstacle::Directory]
    );
    assert_eq!(fs::read(&precious).unwrap(), b"kept");
}

#[test]
fn identity_any_step_may_fail_and_the_directory_holds_one_whole_set() {
    for fault in [Fault::Once, Fault::Forever] {
        let mut failures = 0;
        for step in 0..40 {
            let directory = TempDir::new().unwrap();
            let out = directory.path();
            write(out, &SET, "first").unwrap();
            let old = snapshot(out);
            let wanted = ["disc.dxf", "disc.step", "profile.csv"];
            let mut disk = FaultyDisk::new(step, fault);
            let result =
                write_set_on(&mut disk, out, "second", files(&wanted, "second"), Overwrite::OwnFiles);
            if fault == Fault::Forever {
                Transaction::begin(out, &mut FaultyDisk::new(usize::MAX, Fault::Once)).unwrap();
            }
            let now = snapshot(out);
            if result.is_err() {
                failures += 1;
                assert_eq!(now, old, "step {step}");
            } else {
                let hidden = now.keys().filter(|name| name.starts_with('.')).count();
                assert!(hidden <= usize::from(disk.broken), "step {step}: {:?}", now.keys());
                assert_eq!(now["profile.csv"], b"second of profile.csv");
                assert_eq!(now["disc.dxf"], b"second of disc.dxf");
            }
        }
        // Four parts, four kept aside, four renames and the manifest's marker can fail before the new set holds.
        assert_eq!(failures, 13);
    }
}

#[test]
fn identity_a_failed_first_run_leaves_no_directory() {
    for step in 0..4 {
        let directory = TempDir::new().unwrap();
        let out = directory.path().join("new/out");
        let mut disk = FaultyDisk::new(step, Fault::Once);
        write_set_on(&mut disk, &out, "first", files(&SET, "first"), Overwrite::OwnFiles).unwrap_err();
        assert!(!directory.path().join("new").exists(), "step {step}");
    }
}

#[test]
fn identity_clearing_up_may_itself_be_cut_off() {
    for first in 0..13 {
        for second in 0..8 {
            let directory = TempDir::new().unwrap();
            write(directory.path(), &SET, "first").unwrap();
            let old = snapshot(directory.path());
            let mut disk = FaultyDisk::new(first, Fault::Forever);
            let result = write_set_on(
                &mut disk,
                directory.path(),
                "second",
                files(&SET, "second"),
                Overwrite::OwnFiles,
            );
            let _ = Transaction::begin(directory.path(), &mut FaultyDisk::new(second, Fault::Forever));
            Transaction::begin(directory.path(), &mut FaultyDisk::new(usize::MAX, Fault::Once)).unwrap();
            if result.is_err() {
                assert_eq!(snapshot(directory.path()), old, "cut off at {first}, then at {second}");
            }
        }
    }
}

#[test]
fn identity_two_runs_do_not_mix() {
    let directory = TempDir::new().unwrap();
    let _held = lock(directory.path()).unwrap();
    assert!(matches!(write(directory.path(), &SET, "first"), Err(OutputError::Busy { .. })));
}

#[test]
fn identity_files_of_an_older_drive_file_are_named() {
    let directory = TempDir::new().unwrap();
    write(directory.path(), &["disc-1.dxf", "disc-2.dxf"], "first").unwrap();
    fs::remove_file(directory.path().join("disc-2.dxf")).unwrap();
    let written = write(directory.path(), &["disc.dxf"], "second").unwrap();
    assert_eq!(written.outdated, ["disc-1.dxf"]);
}

#[test]
fn identity_a_single_file_keeps_to_the_same_rules() {
    let directory = TempDir::new().unwrap();
    let path = directory.path().join("drive.toml");
    write_alone(&path, b"format = 1", Overwrite::OwnFiles).unwrap();
    write_alone(&path, b"format = 1", Overwrite::OwnFiles).unwrap();
    assert!(matches!(write_alone(&path, b"other", Overwrite::OwnFiles), Err(OutputError::Refused { .. })));
    write_alone(&path, b"other", Overwrite::Forced).unwrap();
    assert_eq!(snapshot(directory.path()).len(), 1);
    let report = directory.path().join("report.pdf");
    write_result(&report, "first", b"one".to_vec(), Overwrite::OwnFiles).unwrap();
    assert!(write_result(&report, "first", b"two".to_vec(), Overwrite::OwnFiles).is_err());
    write(directory.path(), &SET, "first").unwrap();
    write_result(&report, "first", b"two".to_vec(), Overwrite::Forced).unwrap();
    write_result(&report, "second", b"three".to_vec(), Overwrite::OwnFiles).unwrap();
}

#[cfg(target_os = "linux")]
#[test]
fn identity_a_directory_that_can_not_be_made_is_an_error() {
    let error = write(Path::new("/proc/lobewright/out"), &SET, "first").unwrap_err();
    assert!(matches!(error, OutputError::Disk { .. }), "{error}");
    assert!(matches!(write(Path::new("/dev/null"), &SET, "first"), Err(OutputError::Disk { .. })));
}
