//! Drives over HTTP: look, change, undo, save, changes by others, and every other answer once.

use crate::common::{DRIVE, Scratch, example, wait_until};
use server::openapi::{Method, ROUTES};
use std::fs;

const SPEED: &str = "requirement.max_input_speed";

#[test]
fn identity_router_and_description_agree() {
    let scratch = Scratch::new(&[DRIVE]);
    let described = scratch.json("/api/openapi.json");
    for route in ROUTES.iter().filter(|route| route.path != "/api/events") {
        assert!(described["paths"][route.path].is_object());
        let path = route.path.replace("{file}", DRIVE).replace("{id}", "1").replace("{name}", "ratio");
        let path = path.replace("{figure}", "yield-histogram-backlash");
        let answer = scratch.ask(route.method.name(), &path, &[], b"");
        let is_known = answer.status != 405 && !answer.text().contains("there is no such request");
        assert!(is_known, "{} {path}: {} {}", route.method.name(), answer.status, answer.text());
        let other = if route.method == Method::Get { "PUT" } else { "PATCH" };
        assert_eq!(scratch.ask(other, &path, &[], b"").status, 405, "{path}");
    }
    assert_eq!(scratch.get("/api/no-such").status, 404);
}

#[test]
fn identity_an_edit_is_saved_with_everything_else_byte_for_byte() {
    let scratch = Scratch::new(&[DRIVE]);
    let before = scratch.on_disk(DRIVE);
    let value = scratch.json(&format!("/api/drives/{DRIVE}"));
    let old =
        value["form"].as_array().unwrap().iter().flat_map(|section| section["fields"].as_array().unwrap());
    let old =
        old.into_iter().find(|field| field["path"] == SPEED).unwrap()["text"].as_str().unwrap().to_owned();
    let answer = scratch.set(SPEED, "1234 rpm");
    assert_eq!(answer.status, 200, "{}", answer.text());
    assert_eq!(answer.json()["unsaved"][0]["path"], SPEED);
    assert_eq!(scratch.on_disk(DRIVE), before);
    assert_eq!(scratch.get(&format!("/api/drives/{DRIVE}/text")).text(), before.replace(&old, "1234 rpm"));
    assert_eq!(scratch.post(&format!("/api/drives/{DRIVE}/save"), &serde_json::json!({})).status, 200);
    assert_eq!(scratch.on_disk(DRIVE), before.replace(&old, "1234 rpm"));
    assert_eq!(scratch.ask("POST", &format!("/api/drives/{DRIVE}/undo"), &[], b"").json()["is_saved"], false);
    assert_eq!(scratch.get(&format!("/api/drives/{DRIVE}/text")).text(), before);
    assert_eq!(scratch.ask("POST", &format!("/api/drives/{DRIVE}/undo"), &[], b"").status, 409);
}

#[test]
fn identity_a_refused_edit_names_its_key_and_changes_nothing() {
    let scratch = Scratch::new(&[DRIVE]);
    let answer = scratch.set(SPEED, "12 mm");
    assert_eq!(answer.status, 422);
    assert_eq!(answer.json()["problems"][0]["key"], SPEED);
    assert_eq!(scratch.get(&format!("/api/drives/{DRIVE}/text")).text(), scratch.on_disk(DRIVE));
}

#[test]
fn identity_late_answers_belong_to_their_own_generation() {
    let scratch = Scratch::new(&[DRIVE]);
    for speed in 1000..1012 {
        let generation = scratch.set(SPEED, &format!("{speed} rpm")).json()["generation"].as_u64().unwrap();
        let verdict = scratch.json(&format!("/api/drives/{DRIVE}/verdict"));
        assert_eq!(verdict["generation"].as_u64(), Some(generation));
    }
    let last = wait_until("the whole verdict", || {
        let verdict = scratch.json(&format!("/api/drives/{DRIVE}/verdict"));
        (verdict["stage"] == "full").then_some(verdict)
    });
    assert_eq!(last["problem"], "");
    assert!(last["findings"].as_array().unwrap().iter().all(|row| row["is_computing"] == false));
}

#[test]
fn identity_edits_survive_the_end_of_the_server() {
    let scratch = Scratch::new(&[DRIVE]);
    scratch.set(SPEED, "1234 rpm");
    let text = scratch.get(&format!("/api/drives/{DRIVE}/text")).text();
    let scratch = scratch.again();
    assert_eq!(scratch.get(&format!("/api/drives/{DRIVE}/text")).text(), text);
    assert_eq!(scratch.json(&format!("/api/drives/{DRIVE}"))["is_saved"], false);
}

#[test]
fn identity_edits_that_could_not_be_kept_are_named_at_the_end() {
    let mut scratch = Scratch::new(&[DRIVE, "wrist-printed.toml"]);
    scratch.json("/api/folder");
    fs::create_dir(scratch.folder.path().join(format!(".{DRIVE}.draft"))).unwrap();
    scratch.set(SPEED, "1234 rpm");
    assert_eq!(scratch.close(), [DRIVE]);
}

/// As on a full disk that gets room again.
#[test]
fn identity_drafts_that_were_refused_are_there_later() {
    let scratch = Scratch::new(&[DRIVE]);
    scratch.json("/api/folder");
    let draft = scratch.folder.path().join(format!(".{DRIVE}.draft"));
    fs::create_dir(&draft).unwrap();
    scratch.set(SPEED, "1234 rpm");
    std::thread::sleep(std::time::Duration::from_millis(400));
    fs::remove_dir(&draft).unwrap();
    wait_until("the draft", || fs::read_to_string(&draft).ok().filter(|draft| draft.contains("1234 rpm")));
}

#[test]
fn identity_drafts_are_there_soon_after_an_edit() {
    let scratch = Scratch::new(&[DRIVE]);
    scratch.set(SPEED, "1234 rpm");
    let draft = scratch.folder.path().join(format!(".{DRIVE}.draft"));
    wait_until("the draft", || fs::read_to_string(&draft).ok().filter(|draft| draft.contains("1234 rpm")));
}

/// Where the id of the first load case stands in the short name of a figure, that of every other one may stand.
#[test]
fn identity_figures_of_every_load_case_can_be_had() {
    let scratch = Scratch::new(&[DRIVE]);
    let page = format!("/api/drives/{DRIVE}");
    let cases = scratch.json(&format!("{page}/motion"))["load_cases"].as_array().unwrap().clone();
    assert!(cases.len() > 1);
    let figures = scratch.json(&format!("{page}/figures"));
    let of_case: Vec<_> =
        figures.as_array().unwrap().iter().filter(|entry| entry["load_case"] == cases[0][0]).collect();
    assert!(!of_case.is_empty());
    for entry in of_case {
        let stem = entry["id"].as_str().unwrap().strip_suffix(cases[0][0].as_str().unwrap()).unwrap();
        for case in &cases {
            let id = format!("{stem}{}", case[0].as_str().unwrap());
            let figure = scratch.json(&format!("{page}/figures/{id}"))["figure"].clone();
            assert_eq!(figure["id"], *id);
            assert!(
                figure["title"].as_str().unwrap().ends_with(case[1].as_str().unwrap()),
                "{}",
                figure["title"]
            );
        }
        assert_eq!(scratch.get(&format!("{page}/figures/{stem}other")).status, 404);
    }
}

#[test]
fn identity_an_editor_of_text_is_seen() {
    let scratch = Scratch::new(&[DRIVE]);
    let page = format!("/api/drives/{DRIVE}");
    scratch.set(SPEED, "1234 rpm");
    let text = scratch.on_disk(DRIVE);
    fs::write(scratch.folder.path().join(DRIVE), format!("# theirs\n{text}")).unwrap();
    let merged = wait_until("the change", || {
        let text = scratch.get(&format!("{page}/text")).text();
        text.starts_with("# theirs\n").then_some(text)
    });
    assert!(merged.contains("1234 rpm"));
    let other = text.replace("max_input_speed = \"", "max_input_speed = \"9");
    fs::write(scratch.folder.path().join(DRIVE), other).unwrap();
    wait_until("the conflict", || (scratch.json(&page)["disk"]["state"] == "conflict").then_some(()));
    let answer = scratch.post(&format!("{page}/resolution"), &serde_json::json!({ "keep_desk": [SPEED] }));
    assert_eq!(answer.json()["disk"]["state"], "unchanged");
    assert_eq!(scratch.post(&format!("{page}/save"), &serde_json::json!({})).status, 200);
    assert!(scratch.on_disk(DRIVE).contains("1234 rpm"));
}

#[test]
fn identity_every_answer_about_a_drive_is_there() {
    let scratch = Scratch::new(&[DRIVE, "wrist-printed.toml"]);
    let page = format!("/api/drives/{DRIVE}");
    wait_until("the whole verdict", || {
        (scratch.json(&format!("{page}/verdict"))["stage"] == "full").then_some(())
    });
    for figure in scratch.json(&format!("{page}/figures")).as_array().unwrap() {
        let id = figure["id"].as_str().unwrap();
        let picture = scratch.json(&format!("{page}/figures/{id}"));
        assert!(picture["svg"].as_str().unwrap().starts_with("<svg"), "{id}");
        assert_eq!(picture["figure"]["title"], figure["title"], "{id}");
        assert!(scratch.get(&format!("{page}/figures/{id}.svg")).text().starts_with("<svg"), "{id}");
        let status = scratch.get(&format!("{page}/figures/{id}.csv")).status;
        assert_eq!(status, if figure["has_csv"] == true { 200 } else { 404 }, "{id}");
    }
    for question in ["mesh", "carry", "last", "exact", "shop"] {
        let tables = scratch.json(&format!("{page}/tables?question={question}"));
        assert!(!tables["tables"].as_array().unwrap().is_empty(), "{question}");
    }
    for file in scratch.json(&format!("{page}/shop")).as_array().unwrap() {
        let answer = scratch.get(&format!("{page}/shop/{}", file["name"].as_str().unwrap()));
        assert!(answer.status == 200 && !answer.body.is_empty(), "{file}");
    }
    for rest in ["scene", "motion", "motion?load_case=peak", "solids", "scale?path=geometry.eccentricity"] {
        assert!(scratch.json(&format!("{page}/{rest}"))["generation"].is_u64(), "{rest}");
    }
    let compared = scratch.json(&format!("/api/compare?left={DRIVE}&right=wrist-printed.toml"));
    assert!(!compared["values"].as_array().unwrap().is_empty());
    let same = scratch.json(&format!("/api/compare?left={DRIVE}&right={DRIVE}"));
    assert!(same["values"].as_array().unwrap().is_empty());
    assert!(same["findings"].as_array().unwrap().iter().all(|finding| finding["differs"] == false));
    let explained = scratch.json("/api/explain/undercut");
    assert!(!explained["expression"].as_str().unwrap().is_empty());
    assert_eq!(scratch.get("/api/explain/undercutt").status, 404);
    assert_eq!(scratch.get("/api/explain/undercutt").json()["hint"], "did you mean `undercut`?");
}

#[test]
fn identity_a_faulty_file_is_a_card_that_says_why() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("half.toml"), "[drive]\nname = ").unwrap();
    let scratch = Scratch::on(folder, server::Listen::default());
    let folder = scratch.json("/api/folder");
    assert!(folder["drives"][0]["problem"].as_str().unwrap().starts_with("line 2: "), "{folder}");
    let answer = scratch.get("/api/drives/half.toml");
    assert_eq!(answer.status, 422);
    assert!(answer.json()["problems"].as_array().unwrap().iter().any(|problem| problem["line"] == 2));
}

#[test]
fn identity_of_a_faulty_file_the_cause_comes_first() {
    let folder = tempfile::tempdir().unwrap();
    let whole = fs::read_to_string(example(DRIVE)).unwrap();
    // A wrong value before the text that is not closed, and tables that are missing for it.
    let torque = whole.lines().find(|line| line.starts_with("rated_torque")).unwrap();
    let head = whole.split("\n[geometry]").next().unwrap().replace(torque, "rated_torque = \"12 mm\"");
    let broken = format!("{head}\n[geometry]\neccentricity = \"0.8 mm");
    fs::write(folder.path().join("half.toml"), &broken).unwrap();
    let scratch = Scratch::on(folder, server::Listen::default());
    let line = broken.lines().count();
    let problem = scratch.json("/api/folder")["drives"][0]["problem"].as_str().unwrap().to_owned();
    assert!(problem.starts_with(&format!("line {line}: this is not TOML")), "{problem}");
    let answer = scratch.get("/api/drives/half.toml");
    assert_eq!(answer.status, 422);
    let problems = answer.json()["problems"].clone();
    assert_eq!(problems[0]["line"], line);
    assert!(problems.as_array().unwrap().iter().any(|problem| problem["line"] != line), "{problems}");
}

#[test]
fn identity_a_file_that_is_mended_is_told_of() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("half.toml");
    fs::write(&path, "[drive]\nname = ").unwrap();
    let scratch = Scratch::on(folder, server::Listen::default());
    assert_eq!(scratch.get("/api/drives/half.toml").status, 422);
    let mut events = scratch.server().office().listen();
    let mut told = |wanted: &str| {
        wait_until(wanted, || {
            let event = serde_json::to_value(events.try_recv().ok()?).unwrap();
            (event["event"] == wanted).then_some(event)
        })
    };
    fs::write(&path, "[drive]\nname = \"half").unwrap();
    told("folder");
    assert_eq!(scratch.get("/api/drives/half.toml").status, 422);
    fs::copy(example(DRIVE), &path).unwrap();
    assert_eq!(told("desk")["file"], "half.toml");
    told("folder");
    assert_eq!(scratch.get("/api/drives/half.toml").status, 200);
}

#[test]
fn identity_cards_and_comparisons_say_how_far_they_got() {
    let names = [DRIVE, "wrist-printed.toml", "orchard-arm-shoulder.toml"];
    let scratch = Scratch::new(&names);
    let cards = || scratch.json("/api/folder")["drives"].as_array().unwrap().clone();
    let stages = |card: &serde_json::Value| card["verdict"]["stage"].as_str().map(str::to_owned);
    assert!(
        cards()
            .iter()
            .all(|card| stages(card).is_none_or(|stage| ["preview", "full"].contains(&stage.as_str())))
    );
    let compare = format!("/api/compare?left={}&right={}", names[0], names[1]);
    // Nobody asks for these drives again: both come to their end by themselves.
    let first = scratch.json(&compare);
    assert!(first["stages"].as_array().unwrap().iter().all(|stage| stage == "preview" || stage == "full"));
    wait_until("the whole of both", || {
        let known = cards();
        let is_whole = |name: &&str| {
            known.iter().any(|card| card["file"] == **name && stages(card).as_deref() == Some("full"))
        };
        names[..2].iter().all(is_whole).then_some(())
    });
    let last = scratch.json(&compare);
    assert_eq!(last["stages"], serde_json::json!(["full", "full"]));
    let rows =
        last["findings"].as_array().unwrap().iter().flat_map(|row| row["rows"].as_array().unwrap().clone());
    assert!(rows.filter(|row| !row.is_null()).all(|row| row["is_computing"] == false));
}

/// The thorough look at the first text is called off for the second and wanted again at once.
#[test]
fn identity_a_text_that_comes_back_is_looked_at_to_the_end() {
    let scratch = Scratch::new(&[DRIVE]);
    scratch.set(SPEED, "1001 rpm");
    // Long enough for the thorough look to have begun, and far shorter than it takes.
    std::thread::sleep(std::time::Duration::from_millis(250));
    scratch.set(SPEED, "1002 rpm");
    let mut events = scratch.server().office().listen();
    let back = scratch.ask("POST", &format!("/api/drives/{DRIVE}/undo"), &[], b"").json();
    // Whoever shows the state after the undo must be told of it by its own generation.
    wait_until("the event of the whole verdict", || {
        let event = serde_json::to_value(events.try_recv().ok()?).unwrap();
        (event["event"] == "verdict" && event["generation"] == back["generation"] && event["stage"] == "full")
            .then_some(())
    });
    let verdict = scratch.json(&format!("/api/drives/{DRIVE}/verdict"));
    assert_eq!(
        [&verdict["generation"], &verdict["stage"]],
        [&back["generation"], &serde_json::json!("full")]
    );
}

/// A page that was open before goes by these counts: none comes again.
#[test]
fn identity_counts_go_on_growing_when_the_program_starts_anew() {
    let scratch = Scratch::new(&[DRIVE]);
    let page = format!("/api/drives/{DRIVE}");
    let generation = |scratch: &Scratch| scratch.json(&page)["generation"].as_u64().unwrap();
    let study = serde_json::json!({ "work": "yield", "assemblies": 20, "loaded": 0, "seed": 1 });
    let begin =
        |scratch: &Scratch| scratch.post(&format!("{page}/jobs"), &study).json()["id"].as_u64().unwrap();
    scratch.set(SPEED, "1001 rpm");
    let before = [generation(&scratch), begin(&scratch)];
    let scratch = scratch.again();
    assert!(generation(&scratch) > before[0]);
    assert!(begin(&scratch) > before[1]);
}

#[test]
fn identity_a_flood_of_changes_is_refused() {
    let scratch = Scratch::new(&[DRIVE]);
    let change = serde_json::json!({ "change": "add-item", "path": "requirement.duty" });
    let answer = scratch
        .post(&format!("/api/drives/{DRIVE}/edits"), &serde_json::json!({ "changes": vec![change; 101] }));
    assert_eq!(answer.status, 400);
    assert!(answer.text().contains("101 changes"), "{}", answer.text());
}

/// More drives than results are kept of.
#[test]
fn identity_every_card_of_a_full_folder_has_its_verdict() {
    let folder = tempfile::tempdir().unwrap();
    let text = fs::read_to_string(example(DRIVE)).unwrap();
    let speed = text.lines().find(|line| line.starts_with("max_input_speed")).unwrap().to_owned();
    for count in 0..30 {
        let other = text.replace(&speed, &format!("max_input_speed = \"{} rpm\"", 900 + count));
        fs::write(folder.path().join(format!("drive-{count}.toml")), other).unwrap();
    }
    let scratch = Scratch::on(folder, server::Listen::default());
    wait_until("a verdict on every card", || {
        let cards = scratch.json("/api/folder")["drives"].as_array().unwrap().clone();
        assert_eq!(cards.len(), 30);
        cards.iter().all(|card| card["verdict"]["stage"].is_string()).then_some(())
    });
}

/// Whoever comes to listen hears how things stand before what happens next, so that nothing falls between asking and listening.
#[test]
fn identity_listeners_hear_first_how_things_stand() {
    let scratch = Scratch::new(&[DRIVE]);
    let verdict = format!("/api/drives/{DRIVE}/verdict");
    wait_until("the whole verdict", || (scratch.json(&verdict)["stage"] == "full").then_some(()));
    let generation = &scratch.json(&verdict)["generation"];
    let desk = serde_json::json!({ "event": "desk", "file": DRIVE, "generation": generation, "cause": "" });
    let whole =
        serde_json::json!({ "event": "verdict", "file": DRIVE, "generation": generation, "stage": "full" });
    assert_eq!(scratch.first_events(2), [desk, whole]);
}
