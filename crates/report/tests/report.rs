//! The report of the shipped examples: complete, the same every time, and safe from what a file says.

use reducer::accuracy::summary::{Which, accuracy};
use reducer::assembly::random::Sampling;
use reducer::assembly::study::Request;
use reducer::assembly::summary::YieldResult;
use reducer::assembly::work::Work;
use reducer::assess::assess;
use reducer::results::Assessment;
use report::{ReportInput, content};
use schema::DriveFile;

const EXAMPLES: [&str; 5] = [
    "orchard-arm-shoulder",
    "sorting-table-index",
    "sluice-gate-lift",
    "sluice-gate-lift-ten-pins",
    "wrist-printed",
];

fn text_of(example: &str) -> String {
    let path = format!("{}/../../examples/{example}.toml", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).expect("shipped examples are there")
}

fn read(text: &str) -> (DriveFile, Assessment) {
    let file = schema::read("some/folder/drive.toml", text.as_bytes())
        .unwrap_or_else(|errors| panic!("{}", errors.render(schema::Colour::Plain)));
    let assessment = assess(&file.drive).expect("shipped examples can be assessed");
    (file, assessment)
}

fn input<'a>((file, assessment): &'a (DriveFile, Assessment)) -> ReportInput<'a> {
    ReportInput { file, assessment, accuracy: None, study: None, program_version: "0.0.0" }
}

/// What `accuracy` and a small study say stands in the report, every figure that the template asks for is there, and
/// without them the report is silent about accuracy.
#[test]
fn identity_accuracy_and_study_are_in_the_report() {
    let read = read(&text_of("wrist-printed"));
    let drive = &read.0.drive;
    let accuracy = accuracy(drive, &read.1, Which::default()).expect("the example meshes");
    let request = Request {
        assembly_count: 2_048,
        loaded_count: 0,
        seed: 3,
        sampling: Sampling::Random,
        crank_angle_count: 48,
    };
    let work = Work::new(drive, request).expect("the example states tolerances");
    let mut tallied = work.nothing();
    for task in work.tasks(0, 1) {
        work.run(task, &mut tallied);
    }
    let study = YieldResult::new(&work, &tallied, drive.tolerances.wanted_yield);
    let with = ReportInput { accuracy: Some(&accuracy), study: Some(&study), ..input(&read) };
    let content = content::gather(&with);
    let data = &content.data["accuracy"];
    let text = data.to_string();
    for sentence in sheet::yield_sentences(&study) {
        assert!(text.contains(&sentence), "{sentence}");
    }
    for effect in &study.tolerances {
        assert!(data["study"]["tolerances"].to_string().contains(&effect.name), "{}", effect.name);
    }
    let names: Vec<&str> = content.figures.iter().map(|(name, _)| name.as_str()).collect();
    let histograms = data["study"]["histograms"].as_array().expect("there are histograms");
    let drawn: Vec<&str> = histograms.iter().filter_map(|name| name.as_str()).collect();
    assert!(
        drawn.contains(&"yield-histogram-backlash") && drawn.contains(&"yield-histogram-transmission-error")
    );
    let fixed = ["transmission-error-polar", "transmission-error-spectrum", "tolerance-pareto"];
    for name in drawn.into_iter().chain(fixed) {
        assert!(names.contains(&name), "{name} of {names:?}");
    }
    let without = content::gather(&input(&read));
    assert!(without.data["accuracy"].is_null());
    assert!(without.figures.iter().all(|(name, _)| !name.contains("transmission")));
}

#[test]
fn identity_every_finding_formula_and_caution_is_in_the_report() {
    for example in EXAMPLES {
        let read = read(&text_of(example));
        let data = content::gather(&input(&read)).data.to_string();
        let quoted = |text: &str| serde_json::to_string(text).expect("text can be quoted");
        for finding in &read.1.findings {
            assert!(data.contains(&quoted(&finding.title)), "{example}: {}", finding.title);
        }
        for formula in reducer::registry::formulas() {
            assert!(data.contains(&quoted(&formula.math)), "{}", formula.id);
        }
        for caution in &read.1.cautions {
            assert!(data.contains(&quoted(caution)), "{caution}");
        }
        assert!(data.contains(&read.0.sha256));
        assert!(!data.contains("some/folder"), "no folder of the machine may reach the report");
    }
}

/// Where nothing limits a value, no sign of a limit stands beside it.
#[test]
fn identity_values_without_a_limit_show_none() {
    let read = read(&text_of("orchard-arm-shoulder"));
    let data = content::gather(&input(&read)).data;
    let groups = data["checks"].as_array().expect("checks are grouped");
    let of = |group: &serde_json::Value| group["checks"].as_array().cloned().unwrap_or_default();
    let told: Vec<_> = groups.iter().flat_map(of).filter(|check| check["standing"] == "no-limit").collect();
    assert!(told.len() > 2, "{told:?}");
    for check in told {
        assert_eq!(check["limit"], serde_json::json!([]), "{check}");
    }
}

#[test]
fn identity_values_are_shown_as_written_and_defaults_are_marked() {
    let read = read(&text_of("orchard-arm-shoulder"));
    let inputs = content::gather(&input(&read)).data["input_tables"].to_string();
    for written in ["\"ring_roller_count\"", "\"62\"", "\" (default)\"", "\"duty 3.torque\""] {
        assert!(inputs.contains(written), "{written}\n{inputs}");
    }
}

#[cfg(feature = "pdf")]
#[test]
fn identity_every_example_gives_a_pdf_and_the_same_one_twice() {
    for example in EXAMPLES {
        let read = read(&text_of(example));
        let first = report::pdf(&input(&read)).expect("the report can be set");
        assert!(first.starts_with(b"%PDF-"));
        assert_eq!(first, report::pdf(&input(&read)).expect("the report can be set"), "{example}");
    }
}

#[cfg(feature = "pdf")]
#[test]
fn identity_no_text_of_the_drive_file_is_taken_for_markup() {
    let hostile = r##"title = "#panic(1) ] } *a* _b_ $x$ `c` <d> @e // f /* g \\ #import \"h\" & <b> é 漢""##;
    let text = text_of("orchard-arm-shoulder")
        .lines()
        .map(|line| match line.split_once(" = ") {
            Some(("title", _)) => hostile.to_owned(),
            Some((key @ ("note" | "designer" | "revision"), _)) => hostile.replacen("title", key, 1),
            _ => line.to_owned(),
        })
        .collect::<Vec<_>>()
        .join("\n");
    let read = read(&text);
    report::pdf(&input(&read)).expect("hostile text is only text");
}

#[cfg(feature = "pdf")]
#[test]
fn identity_drives_that_can_not_mesh_still_get_their_report() {
    for (from, to) in [
        ("eccentricity = \"1.25 mm\"", "eccentricity = \"1.7 mm\""),
        ("roller_radius = \"2.75 mm\"", "roller_radius = \"4.7 mm\""),
        ("bore_radius = \"25 mm\"", "bore_radius = \"45 mm\""),
    ] {
        let text = text_of("orchard-arm-shoulder");
        assert!(text.contains(from), "{from}");
        let read = read(&text.replace(from, to));
        assert!(
            read.1.findings.iter().any(|finding| finding.standing == reducer::finding::Standing::Fails),
            "{to}"
        );
        report::pdf(&input(&read)).expect("a bad drive is reported, not refused");
    }
}

/// The face itself, read by a general font library, against the table of widths that figures are laid out with.
#[cfg(feature = "pdf")]
#[test]
fn independent_widths_of_text_are_those_of_the_face() {
    let faces = typst_assets::fonts().filter_map(|data| ttf_parser::Face::parse(data, 0).ok());
    let is_text_face = |face: &ttf_parser::Face<'_>| {
        let has_name = face.names().into_iter().any(|name| {
            name.name_id == ttf_parser::name_id::FULL_NAME
                && name
                    .to_string()
                    .is_some_and(|text| text == "Libertinus Serif Regular" || text == "Libertinus Serif")
        });
        has_name && face.is_regular()
    };
    let face = faces.into_iter().find(is_text_face).expect("the face is among those of the report");
    let characters = (' '..='~').chain("°µ·×Ø–−≤≥Δαβγδθρσφψω²³±".chars());
    for character in characters {
        let glyph = face.glyph_index(character).expect("the face has the letters of figures");
        let advance = f64::from(face.glyph_hor_advance(glyph).unwrap_or(0)) / f64::from(face.units_per_em());
        let ours = sheet::metrics::width_ratio(&character.to_string());
        assert!((ours - advance).abs() < 5e-4, "{character}: {ours} against {advance}");
    }
}
