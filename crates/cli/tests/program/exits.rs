//! Each way to end, and that nothing is written where nothing should be.

use crate::run::{SHOULDER, drive_files, root, run, run_with_input, shoulder_with};

#[test]
fn identity_all_hold_ends_in_0() {
    assert_eq!(run(&["check", SHOULDER]).code, Some(0));
}

#[test]
fn identity_a_failing_check_ends_in_1_and_files_say_so() {
    let text = shoulder_with("geometric_backlash = \"1.5 arcmin\"", "geometric_backlash = \"0.01 arcmin\"");
    let directory = tempfile::tempdir().unwrap();
    let out = directory.path().join("out");
    let made = run_with_input(&["make", "-", "--out", out.to_str().unwrap()], &text);
    assert_eq!(made.code, Some(1), "{}", made.whole());
    let table = std::fs::read_to_string(out.join("profile.csv")).unwrap();
    assert!(table.contains("NOT TO BE MADE"));
    let drawing = String::from_utf8_lossy(&std::fs::read(out.join("disc.dxf")).unwrap()).into_owned();
    assert!(drawing.contains("NOT TO BE MADE"));
}

#[test]
fn identity_faulty_drive_files_end_in_2_and_write_nothing() {
    let files = drive_files("examples/errors");
    assert!(files.len() >= 25);
    for path in files {
        let directory = tempfile::tempdir().unwrap();
        let out = directory.path().join("out");
        let delivered = run(&["deliver", &path, "--out", out.to_str().unwrap()]);
        assert_eq!(delivered.code, Some(2), "{path}: {}", delivered.whole());
        assert!(delivered.data.is_empty() && delivered.talk.contains("error"), "{path}");
        assert!(!out.exists(), "{path}");
    }
}

#[test]
fn identity_wrong_usage_ends_in_2() {
    for arguments in [
        &["check"][..],
        &["checks", SHOULDER],
        &["check", "no-such-file.toml"],
        &["check", "examples"],
        &["check", SHOULDER, "--color", "sometimes"],
        &["loads", SHOULDER, "--crank-angle", "30"],
        &["loads", SHOULDER, "--crank-angle", "30 mm"],
        &["loads", SHOULDER, "--load-case", "storm"],
        &["make", SHOULDER, "--out", "unused", "--tolerance", "0 mm"],
        &["make", SHOULDER, "--out", "unused", "--tolerance", "1 m"],
        &["new", "a name with spaces"],
        &["explain", "nothing-of-that-name"],
        &["fit"],
        &["fit", "25k5", "25q5"],
    ] {
        let wrong = run(arguments);
        assert_eq!(wrong.code, Some(2), "{arguments:?}: {}", wrong.whole());
        assert!(
            wrong.data.is_empty() && wrong.talk.starts_with("error:"),
            "{arguments:?}: {}",
            wrong.whole()
        );
    }
}

#[test]
fn locked_words_of_wrong_usage() {
    let texts = [
        run(&["check", "no-such-file.toml"]),
        run(&["loads", SHOULDER, "--crank-angle", "30"]),
        run(&["loads", SHOULDER, "--load-case", "storm"]),
        run(&["make", SHOULDER, "--out", "unused", "--tolerance", "1 m"]),
        run(&["new", "a name with spaces"]),
        run(&["checks", SHOULDER]),
    ]
    .map(|wrong| wrong.whole());
    insta::assert_snapshot!(texts.join("\n"));
}

#[test]
fn identity_a_shape_that_can_not_be_made_is_a_failing_check() {
    let text = shoulder_with("roller_radius = \"2.75 mm\"", "roller_radius = \"6 mm\"");
    let directory = tempfile::tempdir().unwrap();
    let out = directory.path().join("out");
    assert_eq!(run_with_input(&["check", "-"], &text).code, Some(1));
    let made = run_with_input(&["make", "-", "--out", out.to_str().unwrap()], &text);
    assert_eq!(made.code, Some(1), "{}", made.whole());
    assert!(!out.exists());
    let loads = run_with_input(&["loads", "-"], &text);
    assert_eq!(loads.code, Some(1), "{}", loads.whole());
}

#[cfg(target_os = "linux")]
#[test]
fn identity_what_can_not_be_written_ends_in_3() {
    let made = run(&["make", SHOULDER, "--out", "/proc/lobewright"]);
    assert_eq!(made.code, Some(3), "{}", made.whole());
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let mut printing = crate::run::program(&["schema"]);
    assert_eq!(printing.stdout(full).stderr(std::process::Stdio::null()).status().unwrap().code(), Some(3));
}

/// Every limit of every key with a numeric range, one at a time: a verdict or a clear refusal, never a solver error.
#[test]
fn identity_absurd_but_finite_values_end_in_a_verdict() {
    let text = std::fs::read_to_string(root().join(SHOULDER)).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let mut tried = 0;
    for (index, path, limit) in limits(&lines) {
        let (key, value) = lines[index].split_once(" = ").unwrap();
        let written =
            if value.starts_with('"') { format!("{key} = \"{limit}\"") } else { format!("{key} = {limit}") };
        let mut changed = lines.clone();
        changed[index] = &written;
        let checked = run_with_input(&["check", "-", "--json"], &changed.join("\n"));
        tried += 1;
        assert!(matches!(checked.code, Some(0..=2)), "{path}: {written}: {}", checked.whole());
        assert!(
            !checked.data.contains("NaN") && checked.talk.is_empty(),
            "{path}: {written}: {}",
            checked.talk
        );
    }
    assert!(tried > 100, "{tried}");
}

/// Line, key and limit for both limits of every key that the lines of a drive file give.
fn limits(lines: &[&str]) -> Vec<(usize, String, String)> {
    let keys = reducer::model::describe::keys();
    let mut table = String::new();
    let mut found = Vec::new();
    for (index, line) in lines.iter().enumerate() {
        if line.starts_with('[') {
            table = format!("{}.", line.trim_matches(['[', ']']));
        }
        let path = line.split_once(" = ").map(|(key, _)| format!("{table}{key}"));
        let entry = path.and_then(|path| keys.iter().find(|entry| entry.path == path));
        let Some((entry, range)) = entry.and_then(|entry| Some((entry, entry.field.range_words()?))) else {
            continue;
        };
        let both = range.split(" to ").map(|limit| (index, entry.path.clone(), limit.replace('−', "-")));
        found.extend(both);
    }
    found
}
