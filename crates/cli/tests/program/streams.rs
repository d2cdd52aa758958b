//! Where text goes: data and talk apart, colour only where it is wanted, JSON for all answers.

use crate::run::{SHOULDER, program, run, run_with_input};
use std::process::Stdio;

const ESCAPE: char = '\u{1b}';

#[test]
fn identity_no_colour_into_a_pipe_unless_asked_for() {
    assert!(!run(&["check", SHOULDER]).data.contains(ESCAPE));
    assert!(run(&["check", SHOULDER, "--color", "always"]).data.contains(ESCAPE));
    let faulty = |color| run_with_input(&["check", "-", "--color", color], "format = 1\n");
    assert!(!faulty("auto").talk.contains(ESCAPE));
    assert!(faulty("always").talk.contains(ESCAPE));
}

#[test]
fn identity_json_is_never_coloured() {
    assert!(!run(&["check", SHOULDER, "--json", "--color", "always"]).data.contains(ESCAPE));
}

/// A real terminal, where the system has the program that makes one.
#[cfg(target_os = "linux")]
#[test]
fn identity_a_terminal_gets_colour_unless_no_color_is_set() {
    let on_terminal = |no_color: bool| {
        let line = format!("{} check {SHOULDER}", env!("CARGO_BIN_EXE_lobewright"));
        let mut script = std::process::Command::new("script");
        script.args(["-qec", &line, "/dev/null"]).current_dir(crate::run::root()).stdin(Stdio::null());
        script.env("TERM", "xterm").env_remove("NO_COLOR");
        if no_color {
            script.env("NO_COLOR", "1");
        }
        script.output().ok().map(|output| String::from_utf8_lossy(&output.stdout).into_owned())
    };
    let Some(coloured) = on_terminal(false) else {
        return;
    };
    assert!(coloured.contains(ESCAPE));
    assert!(!on_terminal(true).unwrap().contains(ESCAPE));
}

#[test]
fn identity_every_answer_in_json_has_a_format() {
    let directory = tempfile::tempdir().unwrap();
    let place = |name: &str| directory.path().join(name).to_str().unwrap().to_owned();
    let (out, made, figure, drive) = (place("out"), place("made"), place("figure.svg"), place("drive.toml"));
    for (arguments, kind) in [
        (vec!["check", SHOULDER], "results"),
        (vec!["loads", SHOULDER], "results"),
        (vec!["make", SHOULDER, "--out", &made], "files"),
        (vec!["deliver", SHOULDER, "--out", &out], "files"),
        (vec!["figure", SHOULDER, "--name", "section", "--out", &figure], "files"),
        (vec!["new", "gate", "--out", &drive], "files"),
        (vec!["explain", "undercut"], "explanation"),
        (vec!["explain"], "explanation"),
        (vec!["fit", "8H7/m6"], "fits"),
        (vec!["explain", "nothing-of-that-name"], "error"),
        (vec!["fit", "25q5"], "error"),
        (vec!["check", "no-such-file.toml"], "error"),
        (vec!["check", "examples/errors/key-misspelt.toml"], "error"),
        (vec!["checks"], "error"),
    ] {
        let mut arguments = arguments;
        arguments.push("--json");
        let answer = run(&arguments);
        let document = answer.json();
        assert!(document["format"].is_u64(), "{arguments:?}");
        assert_eq!(document["kind"], kind, "{arguments:?}");
        assert!(answer.talk.is_empty(), "{arguments:?}: {}", answer.talk);
        if kind == "error" {
            assert_eq!(document["exit_code"], i64::from(answer.code.unwrap()), "{arguments:?}");
        }
    }
}

#[test]
fn identity_errors_of_a_drive_file_come_with_their_places() {
    let text = "format = 1\n\n[drive]\nname = \"gate\"\ncolour = \"red\"\n";
    let document = run_with_input(&["check", "-", "--json"], text).json();
    let places = document["diagnostics"].as_array().unwrap();
    assert!(places.iter().any(|place| place["line"] == 5 && place["key"] == "drive.colour"), "{document:#}");
}

#[test]
fn identity_a_reader_that_stops_reading_is_no_error() {
    let mut child = program(&["loads", SHOULDER, "--json"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
}
