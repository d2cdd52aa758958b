//! `modification`: what it prints, as data and as a figure, and how it says that a wish can not be.

use crate::run::{SHOULDER, run};

#[test]
fn locked_modification_of_the_shoulder() {
    insta::assert_snapshot!(run(&["modification", SHOULDER]).whole());
}

#[test]
fn identity_data_and_page_have_the_same_proposals() {
    let wish = ["modification", SHOULDER, "--backlash-share", "0.7", "--tip-clearance", "6 µm"];
    let page = run(&wish);
    let document = run(&[&wish[..], &["--json"]].concat()).json();
    assert_eq!(document["kind"], "modification");
    let result = &document["result"];
    assert_eq!(result["wanted_backlash_share"], 0.7);
    assert_eq!(result["clearance_reason"], "asked");
    let proposals = result["proposals"].as_array().unwrap();
    assert_eq!(proposals.len(), 3);
    for state in proposals.iter().map(|proposal| &proposal["state"]).filter(|state| state.is_object()) {
        let offset = format!("{:.1} µm", 1e3 * state["equidistant_offset_mm"].as_f64().unwrap());
        assert!(page.data.contains(&format!("equidistant_offset = \"{offset}\"")), "{offset}");
        let required = result["wanted_backlash_rad"].as_f64().unwrap();
        assert!(state["geometric_backlash_rad"].as_f64().unwrap() <= required + 1e-11);
        assert!(state["tip_gap_mm"].as_f64().unwrap() >= 0.006 - 1e-8);
    }
}

#[test]
fn identity_a_wish_that_can_not_be_fails_and_says_the_nearest() {
    let far = run(&["modification", SHOULDER, "--backlash", "0.7 arcmin", "--tip-clearance", "90 µm"]);
    assert_eq!(far.code, Some(1), "{}", far.talk);
    assert!(far.data.contains("No modification does what is wanted"), "{}", far.data);
    assert!(far.data.contains("or a clearance of"), "{}", far.data);
    let holes = run(&["modification", SHOULDER, "--backlash", "0.1 arcmin"]);
    assert_eq!(holes.code, Some(1));
    assert!(holes.talk.contains("the output holes alone make"), "{}", holes.talk);
}

#[test]
fn identity_wrong_wishes_are_refused() {
    for (more, expected) in [
        (["--backlash-share", "1.5"].as_slice(), "is outside"),
        (&["--backlash-share", "NaN"], "is outside"),
        (&["--backlash-share", "half"], "invalid"),
        (&["--backlash", "1 arcmin", "--backlash-share", "0.5"], "cannot be used with"),
        (&["--tip-clearance=-3 µm"], "is outside"),
    ] {
        let refused = run(&[&["modification", SHOULDER], more].concat());
        assert_eq!(refused.code, Some(2), "{more:?}: {}", refused.talk);
        assert!(refused.talk.contains(expected), "{more:?}: {}", refused.talk);
    }
}

#[test]
fn identity_the_figure_marks_the_proposal() {
    let directory = tempfile::tempdir().unwrap();
    let place = directory.path().to_str().unwrap();
    let written = run(&["modification", SHOULDER, "--figures", place]);
    assert_eq!(written.code, Some(0), "{}", written.talk);
    let image = std::fs::read_to_string(directory.path().join("modification.svg")).unwrap();
    assert!(image.contains("proposal") && image.contains("wanted:"), "{image}");
}
