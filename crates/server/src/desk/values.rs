//! Values of drive files side by side: what differs, what goes from one to another, and three states put together.

use crate::api::ValueChange;
use reducer::model::Drive;
use reducer::model::record::{Kind, Section, Tabled};
use schema::{Diagnostics, DriveFile, Edit};
use std::collections::{BTreeMap, BTreeSet};

static DRIVE: &Section = &const { Drive::SECTION };

/// Paths and values of all keys that a file gives, in the order in which people are shown them.
#[must_use]
pub fn values(file: &DriveFile) -> Vec<(String, String)> {
    let mut all = Vec::new();
    collect(file, DRIVE, "", &mut all);
    all
}

fn collect(file: &DriveFile, section: &'static Section, path: &str, all: &mut Vec<(String, String)>) {
    for field in section.fields {
        let path = if path.is_empty() { field.key.to_owned() } else { format!("{path}.{}", field.key) };
        match field.kind {
            Kind::Section(inner) => collect(file, inner, &path, all),
            Kind::List(inner) => {
                for index in 0..list_length(file, &path) {
                    collect(file, inner, &format!("{path}[{index}]"), all);
                }
            }
            _ => all.extend(file.written(&path).map(|text| (path, text))),
        }
    }
}

/// Items of a list.
#[must_use]
pub fn list_length(file: &DriveFile, path: &str) -> usize {
    (0..).take_while(|index| file.place(&format!("{path}[{index}]")).is_some()).count()
}

/// Values that differ between two files, in the order in which people are shown them.
#[must_use]
pub fn differences(before: &DriveFile, after: &DriveFile) -> Vec<ValueChange> {
    let (old, new) = (values(before), values(after));
    let old_of: BTreeMap<&str, &str> =
        old.iter().map(|(path, text)| (path.as_str(), text.as_str())).collect();
    let new_of: BTreeMap<&str, &str> =
        new.iter().map(|(path, text)| (path.as_str(), text.as_str())).collect();
    let gone = old.iter().filter(|(path, _)| !new_of.contains_key(path.as_str()));
    let change = |path: &str| ValueChange {
        path: path.to_owned(),
        before: old_of.get(path).map(|text| (*text).to_owned()),
        after: new_of.get(path).map(|text| (*text).to_owned()),
    };
    new.iter()
        .chain(gone)
        .map(|(path, _)| change(path))
        .filter(|change| change.before != change.after)
        .collect()
}

/// What differs between two files, a list of another length as one thing: its path, and how either side reads.
fn units(before: &DriveFile, after: &DriveFile) -> BTreeSet<String> {
    let unit = |path: &str| {
        let list = list_of(path).filter(|list| list_length(before, list) != list_length(after, list));
        list.unwrap_or(path).to_owned()
    };
    differences(before, after).iter().map(|change| unit(&change.path)).collect()
}

/// The list in which a path stands: `requirement.duty` of `requirement.duty[0].torque`.
fn list_of(path: &str) -> Option<&str> {
    path.split_once('[').map(|(list, _)| list)
}

/// Whether two units are about the same thing: the same path, or a list and what stands in it.
fn touches(one: &str, other: &str) -> bool {
    let within = |inner: &str, outer: &str| list_of(inner) == Some(outer);
    one == other || within(one, other) || within(other, one)
}

/// How a unit reads in a file: a value, or the number of items of a list.
#[must_use]
pub fn reading(file: &DriveFile, unit: &str) -> Option<String> {
    if let Some(text) = file.written(unit) {
        return Some(text);
    }
    match list_length(file, unit) {
        0 => None,
        1 => Some("1 item".to_owned()),
        count => Some(format!("{count} items")),
    }
}

/// A file with values of another one, by units of [`units`] that are wanted; remarks and order are those of the first.
///
/// # Errors
/// What is wrong with the whole that comes of it.
fn transplanted(
    onto: &DriveFile,
    from: &DriveFile,
    is_wanted: impl Fn(&str) -> bool,
) -> Result<DriveFile, Diagnostics> {
    let mut edits = Vec::new();
    for unit in units(onto, from).into_iter().filter(|unit| is_wanted(unit)) {
        edits.push(match from.written(&unit) {
            Some(text) => Edit::Set { path: unit, text },
            None if is_list(&unit) => Edit::PutList { items: items_of(from, &unit), path: unit },
            None => Edit::Remove { path: unit },
        });
    }
    for path in OPTIONAL_TABLES {
        let goes = onto.place(path).is_some() && from.place(path).is_none();
        let is_whole = |edit: &Edit| edit.path().starts_with(&format!("{path}."));
        if goes && edits.iter().any(is_whole) {
            edits.retain(|edit| !is_whole(edit));
            edits.push(Edit::TakeOut { path: (*path).to_owned() });
        }
    }
    onto.edited(&edits)
}

/// Tables that must not stand there empty.
const OPTIONAL_TABLES: &[&str] = &["bearings.input", "bearings.output"];

fn is_list(path: &str) -> bool {
    let mut section = DRIVE;
    for step in path.split('.') {
        let key = step.split('[').next().unwrap_or(step);
        match section.field(key).map(|field| field.kind) {
            Some(Kind::Section(inner)) => section = inner,
            Some(Kind::List(inner)) if step.contains('[') => section = inner,
            Some(Kind::List(_)) => return true,
            _ => return false,
        }
    }
    false
}

fn items_of(file: &DriveFile, list: &str) -> Vec<Vec<(String, String)>> {
    let all = values(file);
    let of_item = |index: usize| {
        let head = format!("{list}[{index}].");
        let key =
            |(path, text): &(String, String)| Some((path.strip_prefix(&head)?.to_owned(), text.clone()));
        all.iter().filter_map(key).collect()
    };
    (0..list_length(file, list)).map(of_item).collect()
}

/// Two changed states of a file put together.
#[derive(Debug)]
pub struct Merged {
    /// The file on the disk with the changes of the desk.
    pub file: DriveFile,
    /// Units that both sides changed to something else; the file holds those of the desk.
    pub conflicts: BTreeSet<String>,
}

/// The changes of the desk against the base, made in the file on the disk.
///
/// Where both together are no drive file although each is, the desk's text stays and all that differs is a conflict.
#[must_use]
pub fn merge(base: &DriveFile, desk: &DriveFile, disk: &DriveFile) -> Merged {
    let (here, there) = (units(base, desk), units(base, disk));
    let differs = units(disk, desk);
    let mine = |unit: &str| here.iter().any(|changed| touches(changed, unit));
    let theirs = |unit: &str| there.iter().any(|changed| touches(changed, unit));
    let conflicts = differs.iter().filter(|unit| mine(unit) && theirs(unit)).cloned().collect();
    match transplanted(disk, desk, mine) {
        Ok(file) => Merged { file, conflicts },
        Err(_) => Merged { file: desk.clone(), conflicts: differs },
    }
}

/// The file on the disk with all values of the desk but those conflicting ones that are not kept.
///
/// # Errors
/// What is wrong with the whole that comes of it.
pub fn resolved(
    desk: &DriveFile,
    disk: &DriveFile,
    conflicts: &BTreeSet<String>,
    keep_desk: &[String],
) -> Result<DriveFile, Diagnostics> {
    let is_dropped = |unit: &str| {
        conflicts
            .iter()
            .any(|conflict| touches(conflict, unit) && !keep_desk.iter().any(|kept| touches(kept, conflict)))
    };
    transplanted(disk, desk, |unit| !is_dropped(unit))
}

#[cfg(test)]
mod tests {
    use super::*;
    use schema::read;

    fn shoulder() -> DriveFile {
        read("a.toml", include_bytes!("../../../../examples/orchard-arm-shoulder.toml")).unwrap()
    }

    fn with(file: &DriveFile, values: &[(&str, &str)]) -> DriveFile {
        let set =
            |(path, text): &(&str, &str)| Edit::Set { path: (*path).to_owned(), text: (*text).to_owned() };
        file.edited(&values.iter().map(set).collect::<Vec<_>>()).unwrap()
    }

    #[test]
    fn identity_no_differences_to_itself_and_all_to_nothing() {
        let file = shoulder();
        assert!(differences(&file, &file).is_empty());
        let text = format!("# remark\n{}", file.text);
        assert!(differences(&file, &read("a.toml", text.as_bytes()).unwrap()).is_empty());
    }

    #[test]
    fn identity_changes_of_different_keys_come_together_with_the_remarks_of_the_disk() {
        let base = shoulder();
        let desk = with(&base, &[("requirement.peak_torque", "410 N·m"), ("requirement.mass", "25 kg")]);
        let text = with(&base, &[("geometry.ring_radius", "61 mm")]).text;
        let disk = read("a.toml", format!("# theirs\n{text}").as_bytes()).unwrap();
        let merged = merge(&base, &desk, &disk);
        assert!(merged.conflicts.is_empty());
        assert!(merged.file.text.starts_with("# theirs\n"));
        for (path, text) in [
            ("requirement.peak_torque", "410 N·m"),
            ("requirement.mass", "25 kg"),
            ("geometry.ring_radius", "61 mm"),
        ] {
            assert_eq!(merged.file.written(path).as_deref(), Some(text));
        }
    }

    #[test]
    fn identity_the_same_key_on_both_sides_is_a_conflict_unless_alike() {
        let base = shoulder();
        let path = "requirement.peak_torque";
        let (desk, disk) = (with(&base, &[(path, "410 N·m")]), with(&base, &[(path, "420 N·m")]));
        let merged = merge(&base, &desk, &disk);
        assert_eq!(merged.conflicts, BTreeSet::from([path.to_owned()]));
        assert_eq!(merged.file.written(path).as_deref(), Some("410 N·m"));
        let taken = resolved(&merged.file, &disk, &merged.conflicts, &[]).unwrap();
        assert_eq!(taken.text, disk.text);
        let kept = resolved(&merged.file, &disk, &merged.conflicts, &[path.to_owned()]).unwrap();
        assert_eq!(kept.written(path).as_deref(), Some("410 N·m"));
        assert!(merge(&base, &disk, &disk).conflicts.is_empty());
    }

    #[test]
    fn identity_a_list_of_another_length_is_taken_as_a_whole() {
        let base = shoulder();
        let longer = base.edited(&[Edit::Add { path: "requirement.duty".to_owned() }]).unwrap();
        let other = with(&base, &[("geometry.ring_radius", "61 mm")]);
        let count = longer.drive.requirement.duty.len();
        for (desk, disk) in [(&longer, &other), (&other, &longer)] {
            let merged = merge(&base, desk, disk);
            assert!(merged.conflicts.is_empty(), "{:?}", merged.conflicts);
            assert_eq!(merged.file.drive.requirement.duty.len(), count);
            assert_eq!(merged.file.written("geometry.ring_radius").as_deref(), Some("61 mm"));
        }
        let shares = with(&base, &[("requirement.duty[0].torque", "390 N·m")]);
        let merged = merge(&base, &longer, &shares);
        assert_eq!(merged.conflicts, BTreeSet::from(["requirement.duty".to_owned()]));
        assert_eq!(merged.file.drive.requirement.duty.len(), count);
        let taken = resolved(&merged.file, &shares, &merged.conflicts, &[]).unwrap();
        assert_eq!(taken.text, shares.text);
    }

    #[test]
    fn identity_what_is_no_drive_together_is_a_conflict_in_all() {
        let base = shoulder();
        let desk =
            with(&base, &[("requirement.peak_torque", "600 N·m"), ("requirement.duty[0].torque", "600 N·m")]);
        let disk = with(&base, &[("requirement.emergency_torque", "500 N·m")]);
        let merged = merge(&base, &desk, &disk);
        assert_eq!(merged.file.text, desk.text);
        assert!(merged.conflicts.contains("requirement.emergency_torque"));
        assert!(resolved(&desk, &disk, &merged.conflicts, &["requirement.peak_torque".to_owned()]).is_err());
    }
}
