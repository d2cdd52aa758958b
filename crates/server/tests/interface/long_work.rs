//! Long work: it does not hold up answers, can be ended, keeps what it has, and the queue is short.

use crate::common::{DRIVE, Scratch, wait_until};
use serde_json::{Value, json};

fn begin(scratch: &Scratch, name: &str, work: &Value) -> Value {
    let answer = scratch.post(&format!("/api/drives/{name}/jobs"), work);
    assert_eq!(answer.status, 200, "{}", answer.text());
    answer.json()
}

fn ended(scratch: &Scratch, id: &Value) -> Value {
    wait_until("the end of the job", || {
        let result = scratch.json(&format!("/api/jobs/{id}"));
        (!["waiting", "running"].contains(&result["job"]["state"].as_str().unwrap())).then_some(result)
    })
}

#[test]
fn identity_a_study_runs_beside_answers_and_keeps_what_it_has_when_ended() {
    let name = "orchard-arm-shoulder.toml";
    let scratch = Scratch::new(&[name]);
    let job =
        begin(&scratch, name, &json!({ "work": "yield", "assemblies": 10_000_000, "loaded": 0, "seed": 7 }));
    let id = &job["id"];
    wait_until("progress", || {
        (scratch.json(&format!("/api/jobs/{id}"))["job"]["share"].as_f64()? > 0.0).then_some(())
    });
    for _ in 0..3 {
        assert_eq!(scratch.json(&format!("/api/drives/{name}/verdict"))["problem"], "");
    }
    assert_eq!(scratch.ask("DELETE", &format!("/api/jobs/{id}"), &[], b"").status, 200);
    let result = ended(&scratch, id);
    assert_eq!((&result["job"]["state"], &result["is_partial"]), (&json!("cancelled"), &json!(true)));
    assert!(
        !result["tables"].as_array().unwrap().is_empty() && !result["figures"].as_array().unwrap().is_empty()
    );
}

#[test]
fn identity_a_small_study_ends_by_itself() {
    let name = "orchard-arm-shoulder.toml";
    let scratch = Scratch::new(&[name]);
    let job = begin(&scratch, name, &json!({ "work": "yield", "assemblies": 2_000, "loaded": 0, "seed": 7 }));
    let result = ended(&scratch, &job["id"]);
    assert_eq!((&result["job"]["state"], &result["is_partial"]), (&json!("done"), &json!(false)));
    assert!(!result["sentences"].as_array().unwrap().is_empty());
    let figures = result["figures"].as_array().unwrap();
    assert!(!figures.is_empty());
    for figure in figures {
        let page = format!("/api/jobs/{}/figures/{}", job["id"], figure["figure"]["id"].as_str().unwrap());
        assert_eq!(&scratch.json(&page), figure);
        let (picture, table) = (scratch.get(&format!("{page}.svg")), scratch.get(&format!("{page}.csv")));
        assert!(
            picture.status == 200 && picture.text().starts_with("<svg") && !picture.text().contains("var(")
        );
        assert!(table.status == 200 && table.text().lines().count() > 1, "{page}");
        assert!(table.head.contains("content-type: text/csv"), "{}", table.head);
    }
    assert_eq!(scratch.get(&format!("/api/jobs/{}/figures/no-such.svg", job["id"])).status, 404);
    assert_eq!(scratch.get("/api/jobs/99/figures/yield-histogram-backlash.svg").status, 404);
}

#[test]
fn identity_the_queue_is_short_and_a_full_one_says_so() {
    let name = "orchard-arm-shoulder.toml";
    let scratch = Scratch::new(&[name]);
    let work = json!({ "work": "yield", "assemblies": 10_000_000, "loaded": 0, "seed": 1 });
    let answers: Vec<_> =
        (0..12).map(|_| scratch.post(&format!("/api/drives/{name}/jobs"), &work).status).collect();
    assert!(answers.contains(&429), "{answers:?}");
    let jobs = scratch.json("/api/jobs");
    let jobs = jobs.as_array().unwrap();
    assert!(jobs.len() <= 1 + server::jobs::MOST_WAITING, "{}", jobs.len());
    for job in jobs.iter().rev() {
        scratch.ask("DELETE", &format!("/api/jobs/{}", job["id"]), &[], b"");
    }
    for job in jobs {
        assert_eq!(ended(&scratch, &job["id"])["job"]["state"], "cancelled");
    }
    let wrong = json!({ "work": "yield", "assemblies": 0, "loaded": 0, "seed": 1 });
    assert_eq!(scratch.post(&format!("/api/drives/{name}/jobs"), &wrong).status, 400);
}

#[test]
fn identity_a_delivery_is_the_files_one_by_one() {
    let scratch = Scratch::new(&[DRIVE]);
    let job = begin(&scratch, DRIVE, &json!({ "work": "deliver" }));
    let result = ended(&scratch, &job["id"]);
    assert_eq!(result["job"]["state"], "done", "{}", result["job"]["progress"]);
    let files = result["files"].as_array().unwrap();
    assert!(files.len() >= 5);
    for file in files {
        let name = file["name"].as_str().unwrap();
        let made = scratch.get(&format!("/api/jobs/{}/files/{name}", job["id"]));
        let single = scratch.get(&format!("/api/drives/{DRIVE}/shop/{name}"));
        assert!(made.status == 200 && made.body == single.body, "{name}");
    }
}

#[test]
fn identity_a_drive_without_tolerances_says_why_there_is_no_study() {
    let scratch = Scratch::new(&[DRIVE]);
    let text = scratch.on_disk(DRIVE);
    let bare: String = text.split("\n[tolerances]").next().unwrap().to_owned();
    if schema::read("bare.toml", bare.as_bytes()).is_ok() {
        std::fs::write(scratch.folder.path().join("bare.toml"), bare).unwrap();
        let job = begin(
            &scratch,
            "bare.toml",
            &json!({ "work": "yield", "assemblies": 100, "loaded": 0, "seed": 1 }),
        );
        let result = ended(&scratch, &job["id"]);
        assert_eq!(result["job"]["state"], "failed");
        assert!(!result["job"]["progress"].as_str().unwrap().is_empty());
    }
}
