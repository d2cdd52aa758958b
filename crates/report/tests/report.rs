//! The report of the shipped examples: complete, the same every time, and safe from what a file says.

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
    ReportInput { file, assessment, program_version: "0.0.0" }
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
