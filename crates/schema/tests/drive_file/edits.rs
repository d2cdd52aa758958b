//! Edits of drive files: what is not meant stays byte for byte.

use crate::common::example;
use schema::{DriveFile, Edit, read};

fn shoulder() -> DriveFile {
    let bytes = example("orchard-arm-shoulder.toml");
    read("shoulder.toml", &bytes).unwrap()
}

fn set(path: &str, text: &str) -> Edit {
    Edit::Set { path: path.to_owned(), text: text.to_owned() }
}

fn differing_lines<'a>(before: &'a str, after: &'a str) -> Vec<(&'a str, &'a str)> {
    before.lines().zip(after.lines()).filter(|(a, b)| a != b).collect()
}

#[test]
fn identity_a_changed_value_changes_its_own_bytes_alone() {
    let before = shoulder();
    let after = before.with_value("requirement.peak_torque", "410 N·m").unwrap();
    let changed = differing_lines(&before.text, &after.text);
    assert_eq!(
        changed,
        [(
            "peak_torque = \"400 N·m\"          # start of a lift with a full basket",
            "peak_torque = \"410 N·m\"          # start of a lift with a full basket"
        )]
    );
    assert_eq!(after.with_value("requirement.peak_torque", "400 N·m").unwrap().text, before.text);
}

#[test]
fn identity_nothing_typed_is_said_to_be_nothing() {
    for (path, words) in [
        ("geometry.eccentricity", "`eccentricity` is empty: a value is required"),
        ("geometry.ring_roller_count", "`ring_roller_count` is empty: a value is required"),
        ("requirement.mass", "`mass` is empty"),
    ] {
        for typed in ["", "  "] {
            let wrong = shoulder().with_value(path, typed).unwrap_err();
            assert_eq!(wrong.items()[0].message, words);
            assert!(!wrong.items()[0].expected.is_empty());
        }
    }
}

#[test]
fn identity_line_ends_and_byte_order_mark_stay() {
    let text = format!("\u{feff}{}", shoulder().text.replace('\n', "\r\n"));
    let file = read("windows.toml", text.as_bytes()).unwrap();
    let added = file.with_value("requirement.mass", "30 kg").unwrap();
    assert!(added.text.starts_with('\u{feff}'));
    assert_eq!(added.text.matches('\n').count(), added.text.matches("\r\n").count());
    assert_eq!(added.text.lines().count(), text.lines().count() + 1);
    assert_eq!(added.without("requirement.mass").unwrap().text, text);
}

#[test]
fn identity_several_changes_are_judged_as_one() {
    let file = shoulder();
    let shares = [("requirement.duty[0].time_share", "20 %"), ("requirement.duty[1].time_share", "40 %")];
    for (path, text) in shares {
        assert!(file.with_value(path, text).is_err(), "{path}");
    }
    let edits = shares.map(|(path, text)| set(path, text));
    assert_eq!(file.edited(&edits).unwrap().drive.requirement.duty[1].time_share, 0.4);
}

#[test]
fn identity_lists_grow_and_shrink_with_values_that_work() {
    let file = shoulder();
    let count = file.drive.requirement.duty.len();
    let longer = file.edited(&[Edit::Add { path: "requirement.duty".to_owned() }]).unwrap();
    assert_eq!(longer.drive.requirement.duty.len(), count + 1);
    let last = |file: &DriveFile| file.drive.requirement.duty.last().unwrap().time_share;
    assert!((2.0 * last(&longer) - last(&file)).abs() < 1e-9);
    let mut shorter = longer;
    for index in (0..=count).rev() {
        let path = format!("requirement.duty[{index}]");
        shorter = shorter.edited(&[Edit::TakeOut { path }]).unwrap_or_else(|wrong| panic!("{wrong}"));
        assert_eq!(shorter.drive.requirement.duty.len(), index);
    }
    assert!(!shorter.text.contains("[[requirement.duty]]"));
    let first = shorter.edited(&[Edit::Add { path: "requirement.duty".to_owned() }]).unwrap();
    let step = &first.drive.requirement.duty[0];
    assert_eq!(step.torque_n_mm, first.drive.requirement.rated_torque_n_mm);
    assert_eq!(step.time_share, 1.0);
}

#[test]
fn identity_remarks_above_a_list_stay_when_its_first_item_goes() {
    let remark = "# The duty cycle of one tree";
    let file = shoulder();
    assert!(file.text.contains(remark));
    let shorter = file.edited(&[Edit::TakeOut { path: "requirement.duty[0]".to_owned() }]).unwrap();
    assert!(shorter.text.contains(remark));
}

#[test]
fn identity_every_list_and_optional_table_can_be_added_and_taken_out() {
    for name in ["orchard-arm-shoulder.toml", "sluice-gate-lift.toml", "wrist-printed.toml"] {
        let file = read(name, &example(name)).unwrap();
        for path in ["materials.custom", "tolerances.callout"] {
            let length = (0..).take_while(|index| file.place(&format!("{path}[{index}]")).is_some()).count();
            let longer = file
                .edited(&[Edit::Add { path: path.to_owned() }])
                .unwrap_or_else(|wrong| panic!("{name} {path}: {wrong}"));
            let item = format!("{path}[{length}]");
            assert!(longer.place(&item).is_some(), "{item}");
            let back = longer
                .edited(&[Edit::TakeOut { path: item.clone() }])
                .unwrap_or_else(|wrong| panic!("{wrong}"));
            assert!(back.place(&item).is_none());
        }
        for path in ["bearings.input", "bearings.output"] {
            let bare = match file.place(path) {
                Some(_) => file
                    .edited(&[Edit::TakeOut { path: path.to_owned() }])
                    .unwrap_or_else(|wrong| panic!("{name} {path}: {wrong}")),
                None => file.clone(),
            };
            let again = bare
                .edited(&[Edit::Add { path: path.to_owned() }])
                .unwrap_or_else(|wrong| panic!("{name} {path}: {wrong}"));
            assert!(again.place(path).is_some());
        }
    }
}

#[test]
fn identity_what_cannot_be_changed_is_told() {
    let file = shoulder();
    let told = |edit: Edit| file.edited(&[edit]).unwrap_err().items()[0].message.clone();
    assert_eq!(told(set("geometry.eccentrcity", "2 mm")), "the drive file has no key `geometry.eccentrcity`");
    assert_eq!(told(set("geometry", "2 mm")), "`geometry` is a table, not a value");
    assert_eq!(told(Edit::TakeOut { path: "geometry".to_owned() }), "the table [geometry] must be there");
    assert_eq!(told(Edit::TakeOut { path: "requirement.duty[99]".to_owned() }), "`duty` has no item 100");
    assert_eq!(
        told(set("requirement.duty[99].torque", "1 N·m")),
        "the file has no table [requirement.duty[99]]"
    );
}

#[test]
fn identity_values_are_told_as_a_person_types_them() {
    let file = shoulder();
    assert_eq!(file.written("requirement.peak_torque").as_deref(), Some("400 N·m"));
    assert_eq!(file.written("requirement.ratio").as_deref(), Some("39"));
    assert_eq!(file.written("requirement.holds_load").as_deref(), Some("true"));
    assert_eq!(file.written("requirement.mass"), None);
    assert_eq!(file.written("requirement"), None);
}
