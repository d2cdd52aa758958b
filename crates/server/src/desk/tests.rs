//! The desk on a real disk: history, saves cut off at every point, drafts, and changes by others.

use super::{Desk, DeskError};
use crate::api::DiskState;
use crate::disk::{KILL_VARIABLE, Point};
use crate::folder::Root;
use schema::Edit;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

const NAME: &str = "shoulder.toml";
const TEXT: &str = include_str!("../../../../examples/orchard-arm-shoulder.toml");
const PEAK: &str = "requirement.peak_torque";

fn scratch() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join(NAME), TEXT).unwrap();
    folder
}

fn open(folder: &Path) -> Desk {
    Desk::open(&Root::open(folder).unwrap(), NAME).unwrap()
}

fn set(path: &str, text: &str) -> Vec<Edit> {
    vec![Edit::Set { path: path.to_owned(), text: text.to_owned() }]
}

fn on_disk(folder: &Path) -> String {
    fs::read_to_string(folder.join(NAME)).unwrap()
}

fn draft(folder: &Path) -> PathBuf {
    folder.join(format!(".{NAME}.draft"))
}

/// What an editor does: the text with one thing replaced.
fn edit_outside(folder: &Path, from: &str, to: &str) {
    let text = on_disk(folder);
    assert!(text.contains(from));
    fs::write(folder.join(NAME), text.replace(from, to)).unwrap();
}

#[test]
fn identity_undo_and_redo_lead_through_the_same_texts() {
    let folder = scratch();
    let mut desk = open(folder.path());
    let mut texts = vec![desk.file().text.clone()];
    for value in ["410 N·m", "420 N·m", "430 N·m"] {
        desk.edit(&set(PEAK, value), false).unwrap();
        texts.push(desk.file().text.clone());
    }
    for text in texts.iter().rev().skip(1) {
        desk.undo().unwrap();
        assert_eq!(desk.file().text, *text);
    }
    assert!(matches!(desk.undo(), Err(DeskError::Nothing { what: "undo" })));
    assert!(desk.is_saved());
    for text in &texts[1..] {
        desk.redo().unwrap();
        assert_eq!(desk.file().text, *text);
    }
    assert!(desk.redo().is_err());
    desk.undo().unwrap();
    desk.edit(&set(PEAK, "450 N·m"), false).unwrap();
    assert!(desk.redo().is_err());
}

#[test]
fn identity_a_moving_slider_is_one_step() {
    let folder = scratch();
    let mut desk = open(folder.path());
    for (number, value) in ["405 N·m", "410 N·m", "420 N·m", "440 N·m"].into_iter().enumerate() {
        desk.edit(&set(PEAK, value), number > 0).unwrap();
    }
    assert_eq!(desk.page().undo.as_deref(), Some("requirement.peak_torque from 400 N·m to 440 N·m"));
    // Another slider begins its own step, whatever the page says.
    desk.edit(&set("geometry.hole_clearance", "20 µm"), true).unwrap();
    desk.undo().unwrap();
    desk.undo().unwrap();
    assert_eq!(desk.file().text, TEXT);
    assert!(desk.undo().is_err());
}

#[test]
fn identity_a_refused_edit_changes_nothing() {
    let folder = scratch();
    let mut desk = open(folder.path());
    let generation = desk.generation();
    for (path, value) in
        [(PEAK, "many"), (PEAK, "10 mm"), ("geometry.ring_radius", "-3 mm"), ("no.such.key", "1")]
    {
        let refused = desk.edit(&set(path, value), false);
        assert!(matches!(refused, Err(DeskError::Refused(_))), "{path} {value}");
        let both = [set("requirement.mass", "20 kg"), set(path, value)].concat();
        assert!(desk.edit(&both, false).is_err());
    }
    assert_eq!((desk.generation(), desk.file().text.as_str()), (generation, TEXT));
}

#[test]
fn identity_unsaved_values_are_named_until_they_are_saved() {
    let folder = scratch();
    let mut desk = open(folder.path());
    desk.edit(&set(PEAK, "410 N·m"), false).unwrap();
    desk.edit(&set("requirement.mass", "20 kg"), false).unwrap();
    let paths: Vec<String> = desk.page().unsaved.into_iter().map(|change| change.path).collect();
    assert_eq!(paths, [PEAK, "requirement.mass"]);
    desk.save().unwrap();
    assert!(desk.is_saved() && desk.page().unsaved.is_empty());
    assert_eq!(on_disk(folder.path()), desk.file().text);
    desk.undo().unwrap();
    assert!(!desk.is_saved());
}

#[test]
fn identity_drafts_bring_edits_back() {
    let folder = scratch();
    let mut desk = open(folder.path());
    desk.edit(&set(PEAK, "410 N·m"), false).unwrap();
    assert!(!draft(folder.path()).exists());
    desk.keep_draft(true);
    drop(desk);
    let mut again = open(folder.path());
    assert_eq!(again.file().written(PEAK).as_deref(), Some("410 N·m"));
    assert!(!again.is_saved());
    assert_eq!(on_disk(folder.path()), TEXT);
    again.save().unwrap();
    assert!(!draft(folder.path()).exists());
    again.edit(&set(PEAK, "420 N·m"), false).unwrap();
    again.keep_draft(true);
    again.undo().unwrap();
    again.keep_draft(true);
    assert!(!draft(folder.path()).exists(), "nothing is unsaved");
}

#[test]
fn identity_a_draft_that_could_not_be_written_is_tried_again() {
    let folder = scratch();
    let mut desk = open(folder.path());
    desk.edit(&set(PEAK, "410 N·m"), false).unwrap();
    // A folder in its place refuses it, as a full disk does.
    fs::create_dir(draft(folder.path())).unwrap();
    desk.keep_draft(true);
    assert!(desk.has_unkept_edits());
    fs::remove_dir(draft(folder.path())).unwrap();
    desk.keep_draft(false);
    assert!(!draft(folder.path()).exists(), "not at once");
    desk.keep_draft(true);
    assert!(draft(folder.path()).is_file() && !desk.has_unkept_edits());
}

#[test]
fn identity_a_draft_on_a_file_that_moved_on_is_put_together_with_it() {
    let folder = scratch();
    let mut desk = open(folder.path());
    desk.edit(&set(PEAK, "410 N·m"), false).unwrap();
    desk.keep_draft(true);
    drop(desk);
    edit_outside(folder.path(), "quantity = 40", "quantity = 50");
    let desk = open(folder.path());
    assert_eq!(desk.file().written(PEAK).as_deref(), Some("410 N·m"));
    assert_eq!(desk.file().written("requirement.quantity").as_deref(), Some("50"));
    assert!(matches!(desk.page().disk, DiskState::Unchanged));
}

/// As with drives that were only shown among others.
#[test]
fn identity_a_drive_without_edits_that_goes_leaves_nothing() {
    let folder = scratch();
    let mut desk = open(folder.path());
    fs::remove_file(folder.path().join(NAME)).unwrap();
    desk.check_disk();
    desk.keep_draft(true);
    assert!(!desk.is_saved() && !desk.has_unkept_edits());
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
    desk.save().unwrap();
    assert_eq!(on_disk(folder.path()), TEXT);
    desk.edit(&set(PEAK, "410 N·m"), false).unwrap();
    fs::remove_file(folder.path().join(NAME)).unwrap();
    desk.check_disk();
    desk.keep_draft(true);
    assert!(draft(folder.path()).exists(), "edits stay");
}

#[test]
fn identity_a_damaged_draft_is_put_aside() {
    let folder = scratch();
    for rubbish in ["", "{", "{\"format\":1,\"remark\":\"\",\"began_from\":\"x\",\"text\":\"y\"}"] {
        fs::write(draft(folder.path()), rubbish).unwrap();
        let desk = open(folder.path());
        assert_eq!(desk.file().text, TEXT);
        assert!(!draft(folder.path()).exists());
    }
}

#[test]
fn identity_changes_on_the_disk_are_taken_over_as_a_step() {
    let folder = scratch();
    let mut desk = open(folder.path());
    assert!(desk.check_disk().is_none());
    edit_outside(folder.path(), "quantity = 40", "quantity = 50 # more");
    assert!(desk.check_disk().is_some() && desk.check_disk().is_none());
    assert_eq!(desk.file().text, on_disk(folder.path()));
    assert!(desk.is_saved());
    desk.undo().unwrap();
    assert_eq!(desk.file().text, TEXT);
}

#[test]
fn identity_changes_on_both_sides_are_put_together_or_asked_about() {
    let folder = scratch();
    let mut desk = open(folder.path());
    desk.edit(&set(PEAK, "410 N·m"), false).unwrap();
    edit_outside(folder.path(), "quantity = 40", "quantity = 50");
    desk.check_disk();
    assert!(matches!(desk.page().disk, DiskState::Unchanged));
    assert_eq!(desk.page().unsaved.len(), 1);
    edit_outside(folder.path(), "peak_torque = \"400 N·m\"", "peak_torque = \"420 N·m\"");
    desk.check_disk();
    let DiskState::Conflict { values } = desk.page().disk else { panic!("no conflict") };
    assert_eq!(values[0].path, PEAK);
    assert_eq!((values[0].desk.as_deref(), values[0].disk.as_deref()), (Some("410 N·m"), Some("420 N·m")));
    assert!(matches!(desk.save(), Err(DeskError::Conflict { count: 1 })));
    desk.resolve(&[PEAK.to_owned()]).unwrap();
    desk.save().unwrap();
    let text = on_disk(folder.path());
    assert!(
        text.contains("peak_torque = \"410 N·m\"          # start of a lift")
            && text.contains("quantity = 50")
    );
}

/// A desk with 410 N·m where somebody else wrote 420 N·m.
fn in_conflict(folder: &Path) -> Desk {
    let mut desk = open(folder);
    desk.edit(&set(PEAK, "410 N·m"), false).unwrap();
    edit_outside(folder, "peak_torque = \"400 N·m\"", "peak_torque = \"420 N·m\"");
    desk.check_disk();
    assert!(matches!(desk.page().disk, DiskState::Conflict { .. }));
    desk
}

#[test]
fn identity_a_conflict_outlasts_a_file_that_is_broken_or_gone_for_a_while() {
    let folder = scratch();
    let path = folder.path().join(NAME);
    for is_gone in [false, true] {
        fs::write(&path, TEXT).unwrap();
        let mut desk = in_conflict(folder.path());
        let theirs = on_disk(folder.path());
        if is_gone {
            fs::remove_file(&path).unwrap();
        } else {
            fs::write(&path, "half a li").unwrap();
        }
        desk.check_disk();
        assert!(!matches!(desk.page().disk, DiskState::Conflict { .. } | DiskState::Unchanged));
        fs::write(&path, &theirs).unwrap();
        desk.check_disk();
        assert!(matches!(desk.page().disk, DiskState::Conflict { .. }), "{:?}", desk.page().disk);
        assert!(matches!(desk.save(), Err(DeskError::Conflict { count: 1 })));
        assert_eq!(on_disk(folder.path()), theirs);
        desk.resolve(&[PEAK.to_owned()]).unwrap();
        desk.save().unwrap();
        assert!(on_disk(folder.path()).contains("410 N·m"));
    }
}

#[test]
fn identity_a_conflict_outlasts_the_end_of_the_server() {
    let folder = scratch();
    let mut desk = in_conflict(folder.path());
    desk.keep_draft(true);
    drop(desk);
    let mut again = open(folder.path());
    assert!(matches!(again.save(), Err(DeskError::Conflict { count: 1 })));
    assert!(on_disk(folder.path()).contains("420 N·m"));
}

#[test]
fn identity_a_conflict_ends_where_both_sides_agree() {
    let folder = scratch();
    let mut desk = in_conflict(folder.path());
    edit_outside(folder.path(), "420 N·m", "410 N·m");
    desk.check_disk();
    assert!(matches!(desk.page().disk, DiskState::Unchanged));
    assert!(desk.is_saved());
    fs::write(folder.path().join(NAME), TEXT).unwrap();
    let mut desk = in_conflict(folder.path());
    desk.edit(&set(PEAK, "420 N·m"), false).unwrap();
    assert!(matches!(desk.page().disk, DiskState::Unchanged));
    assert!(desk.is_saved());
}

#[test]
fn identity_an_unreadable_or_missing_file_is_told_and_nothing_is_lost() {
    let folder = scratch();
    let mut desk = open(folder.path());
    desk.edit(&set(PEAK, "410 N·m"), false).unwrap();
    let unsaved = desk.file().text.clone();
    fs::write(folder.path().join(NAME), "half a li").unwrap();
    desk.check_disk();
    assert!(matches!(desk.page().disk, DiskState::Unreadable { .. }));
    assert!(matches!(desk.save(), Err(DeskError::Unreadable { .. })));
    assert_eq!(on_disk(folder.path()), "half a li");
    fs::remove_file(folder.path().join(NAME)).unwrap();
    assert!(matches!(desk.save(), Err(DeskError::DiskChanged { .. })), "it was not known that it is gone");
    assert!(matches!(desk.page().disk, DiskState::Gone));
    assert_eq!(desk.file().text, unsaved);
    desk.save().unwrap();
    assert_eq!(on_disk(folder.path()), unsaved);
    assert!(matches!(desk.page().disk, DiskState::Unchanged));
}

#[test]
fn identity_a_save_never_writes_over_what_somebody_else_wrote() {
    let folder = scratch();
    let mut desk = open(folder.path());
    desk.edit(&set(PEAK, "410 N·m"), false).unwrap();
    // As long as the old text, and perhaps within the same tick of the clock.
    edit_outside(folder.path(), "quantity = 40", "quantity = 41");
    assert!(matches!(desk.save(), Err(DeskError::DiskChanged { .. })));
    assert!(on_disk(folder.path()).contains("quantity = 41"));
    desk.save().unwrap();
    assert!(on_disk(folder.path()).contains("quantity = 41") && on_disk(folder.path()).contains("410 N·m"));
}

/// The disk is looked at before the text is written, which takes a while; these come in between.
#[test]
fn identity_a_save_of_somebody_else_during_ours_stays() {
    let folder = scratch();
    let theirs = TEXT.replace("quantity = 40", "quantity = 4100");
    for was_gone in [false, true] {
        fs::write(folder.path().join(NAME), TEXT).unwrap();
        let mut desk = open(folder.path());
        desk.edit(&set(PEAK, "410 N·m"), false).unwrap();
        if was_gone {
            fs::remove_file(folder.path().join(NAME)).unwrap();
        }
        desk.check_disk();
        fs::write(folder.path().join(NAME), &theirs).unwrap();
        assert!(matches!(desk.put(), Err(DeskError::DiskChanged { .. })));
        assert_eq!(on_disk(folder.path()), theirs);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 2, "the file and its draft");
        desk.check_disk();
        assert!(desk.file().text.contains("quantity = 4100") && desk.file().text.contains("410 N·m"));
        desk.revert().unwrap();
        desk.keep_draft(true);
    }
}

#[cfg(unix)]
#[test]
fn identity_a_folder_that_becomes_a_link_is_not_written_through() {
    use crate::folder::FolderError;
    let outer = tempfile::tempdir().unwrap();
    let [opened, aside, elsewhere] = ["open", "aside", "elsewhere"].map(|name| outer.path().join(name));
    for is_file_there in [true, false] {
        fs::create_dir(&opened).unwrap();
        fs::create_dir(&elsewhere).unwrap();
        fs::write(opened.join(NAME), TEXT).unwrap();
        if is_file_there {
            fs::write(elsewhere.join(NAME), TEXT).unwrap();
        }
        let mut desk = open(&opened);
        desk.edit(&set(PEAK, "410 N·m"), false).unwrap();
        fs::rename(&opened, &aside).unwrap();
        std::os::unix::fs::symlink(&elsewhere, &opened).unwrap();
        desk.keep_draft(true);
        assert!(matches!(desk.save(), Err(DeskError::Folder(FolderError::Moved { .. }))));
        desk.check_disk();
        assert!(matches!(
            desk.put(),
            Err(DeskError::Folder(FolderError::Moved { .. } | FolderError::Outside { .. }))
        ));
        assert_eq!(fs::read_dir(&elsewhere).unwrap().count(), usize::from(is_file_there));
        // Where the folder is put back everything goes on.
        fs::remove_file(&opened).unwrap();
        fs::rename(&aside, &opened).unwrap();
        desk.save().unwrap();
        assert!(on_disk(&opened).contains("410 N·m"));
        fs::remove_dir_all(&opened).unwrap();
        fs::remove_dir_all(&elsewhere).unwrap();
    }
}

/// A change directly after a save is seen, however alike the two files are from outside.
#[test]
fn identity_a_save_of_somebody_else_after_ours_is_seen() {
    let folder = scratch();
    let mut desk = open(folder.path());
    desk.edit(&set(PEAK, "410 N·m"), false).unwrap();
    desk.save().unwrap();
    edit_outside(folder.path(), "quantity = 40", "quantity = 41");
    assert!(desk.check_disk().is_some() && desk.check_disk().is_none());
    assert!(desk.is_saved());
}

#[test]
fn identity_a_file_that_comes_back_is_not_written_over() {
    let folder = scratch();
    let mut desk = open(folder.path());
    desk.edit(&set(PEAK, "410 N·m"), false).unwrap();
    fs::remove_file(folder.path().join(NAME)).unwrap();
    desk.check_disk();
    fs::write(folder.path().join(NAME), TEXT.replace("quantity = 40", "quantity = 41")).unwrap();
    assert!(matches!(desk.save(), Err(DeskError::DiskChanged { .. })));
    assert!(on_disk(folder.path()).contains("quantity = 41"));
}

/// The child of the test below: edits, waits for the draft, saves, and is ended on the way.
#[test]
fn child_that_saves() {
    let Ok(folder) = std::env::var("SERVER_TEST_FOLDER") else { return };
    let mut desk = open(Path::new(&folder));
    desk.edit(&set(PEAK, "410 N·m"), false).unwrap();
    desk.keep_draft(true);
    desk.save().unwrap();
}

#[test]
fn identity_a_save_cut_off_anywhere_leaves_a_whole_file_and_loses_no_edit() {
    let new = TEXT.replace("\"400 N·m\"          # start", "\"410 N·m\"          # start");
    for point in Point::ALL {
        let folder = scratch();
        let program = std::env::current_exe().unwrap();
        let child = Command::new(program)
            .args(["--exact", "desk::tests::child_that_saves", "--nocapture"])
            .env("SERVER_TEST_FOLDER", folder.path())
            .env(KILL_VARIABLE, format!("{point:?}"))
            .output()
            .unwrap();
        assert!(!child.status.success(), "{point:?} was not passed");
        let is_new = [Point::Renamed, Point::FolderWaited, Point::DraftRemoved].contains(&point);
        assert_eq!(on_disk(folder.path()), if is_new { &*new } else { TEXT }, "{point:?}");
        assert_eq!(draft(folder.path()).exists(), point != Point::DraftRemoved, "{point:?}");
        let desk = open(folder.path());
        assert_eq!(desk.file().text, new, "{point:?}");
        assert_eq!(desk.is_saved(), is_new, "{point:?}");
        let left: Vec<_> =
            fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
        assert_eq!(left.len(), if is_new { 1 } else { 2 }, "{point:?}: {left:?}");
    }
}
