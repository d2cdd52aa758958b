//! Every faulty file of `examples/errors` gets a message that a person can act on, and never a panic.

use crate::common::{drive_files, file_name};
use schema::{Colour, read};

/// One snapshot for each faulty file: the message as the command line prints it.
#[test]
fn locked_message_of_every_faulty_file() {
    let paths = drive_files("examples/errors");
    assert!(paths.len() >= 30);
    for path in paths {
        let name = file_name(&path);
        let wrong = read(&name, &std::fs::read(&path).unwrap()).expect_err(&name);
        insta::assert_snapshot!(name.trim_end_matches(".toml"), wrong.render(Colour::Plain));
    }
}

#[test]
fn identity_every_message_says_what_to_do_and_fits_a_screen() {
    for path in drive_files("examples/errors") {
        let name = file_name(&path);
        let wrong = read(&name, &std::fs::read(&path).unwrap()).expect_err(&name);
        assert!(wrong.has_error());
        for item in wrong.located() {
            assert!(!item.expected.is_empty() || !item.hint.is_empty(), "{name}: {}", item.message);
            assert!(!item.message.ends_with('.'), "{name}: {}", item.message);
        }
        let longest = wrong.render(Colour::Plain).lines().map(|line| line.chars().count()).max().unwrap();
        assert!(longest <= 640, "{name}: {longest} characters in a line");
    }
}

#[test]
fn identity_places_of_programs_are_those_of_people() {
    let path = drive_files("examples/errors").into_iter().find(|path| file_name(path) == "out-of-range.toml");
    let wrong = read("f.toml", &std::fs::read(path.unwrap()).unwrap()).unwrap_err();
    let rendered = wrong.render(Colour::Plain);
    for item in wrong.located() {
        let place = format!("f.toml:{}:{}", item.line.unwrap(), item.column.unwrap());
        assert!(rendered.contains(&place), "{place}");
    }
    assert!(wrong.render(Colour::Terminal).contains("\u{1b}["));
    assert!(!rendered.contains('\u{1b}'));
}

#[test]
fn identity_file_that_is_too_large_is_refused_before_it_is_read() {
    let wrong = read("big.toml", &vec![b'\n'; schema::LARGEST_FILE_BYTES + 1]).unwrap_err();
    assert_eq!(wrong.items().len(), 1);
    assert!(wrong.items()[0].message.starts_with("the file is too large for a drive file"));
}
