//! Ctrl-C at any moment: exit code 130 and one whole set of files, or the run was already through.
#![cfg(unix)]

use crate::run::{program, run};
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::Instant;

/// The drive that takes least time.
const DRIVE: &str = "examples/wrist-printed.toml";
/// Moments after the start at which a run is interrupted, spread over what a whole run takes.
const MOMENTS: u32 = 12;
/// Bytes that a pipe passes on only if somebody reads; less than a drive file may have.
const MORE_THAN_A_PIPE_HOLDS: usize = 200_000;

#[test]
fn identity_an_interrupted_run_leaves_the_old_files_or_the_new() {
    let directory = tempfile::tempdir().unwrap();
    let out = directory.path().join("out");
    let make = |tolerance| ["make", DRIVE, "--tolerance", tolerance, "--out", out.to_str().unwrap()];
    let tolerances = ["1 µm", "0.5 µm"];
    let begun = Instant::now();
    let sets = tolerances.map(|tolerance| {
        assert_eq!(run(&make(tolerance)).code, Some(0));
        profile(&out)
    });
    let whole_run = begun.elapsed() / 2;
    for moment in 0..MOMENTS {
        let mut command = program(&make(tolerances[(moment % 2) as usize]));
        let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        sleep(whole_run * moment / (MOMENTS - 2));
        let _ = interrupt(child.id());
        let status = child.wait().unwrap();
        // Before the handler is set the system's own way to end applies, and nothing was written yet.
        let is_expected = matches!(status.code(), Some(0 | 130) | None);
        assert!(is_expected, "moment {moment}: {status}");
        assert!(sets.contains(&profile(&out)), "moment {moment}: half written");
        let names =
            std::fs::read_dir(&out).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
        let hidden: Vec<String> = names.filter(|name| name.starts_with('.')).collect();
        assert!(hidden.is_empty(), "moment {moment}: {hidden:?}");
    }
}

fn interrupt(process: u32) -> bool {
    let mut kill = Command::new("kill");
    kill.args(["-INT", &process.to_string()]).stderr(Stdio::null());
    kill.status().unwrap().success()
}

fn profile(out: &Path) -> Vec<u8> {
    std::fs::read(out.join("profile.csv")).unwrap()
}

#[test]
fn identity_ctrl_c_ends_in_130() {
    let mut child = program(&["check", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    // A pipe holds far less than this comment: once it is through, the program is reading, and handles signals. The pipe is
    // taken out of the child, as waiting would close it and let the program come to its own end before the signal ends it.
    let comment = vec![b'#'; MORE_THAN_A_PIPE_HOLDS];
    let mut input = child.stdin.take().unwrap();
    input.write_all(&comment).unwrap();
    assert!(interrupt(child.id()));
    assert_eq!(child.wait().unwrap().code(), Some(130));
    drop(input);
}
