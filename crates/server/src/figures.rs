//! Figures and tables of a drive as the page asks for them, by the question that they answer.

use crate::api::{FigureEntry, FigurePage, Question, Stage};
use crate::compute::{Computed, guarded};
use crate::office::lock;
use reducer::accuracy::summary::{AccuracyResult, Which, accuracy};
use reducer::finding::Finding;
use reducer::profile::LobeProfile;
use reducer::results::{Assessment, LoadCase};
use sheet::figure::{Axis, Body};
use sheet::figures::of_case;
use sheet::svg::{self, Theme};
use sheet::{Figure, Table};
use std::sync::Arc;

/// Figures that take a whole output turn: made when one is asked for, and named before.
const OF_ACCURACY: [(&str, &str); 2] = [
    ("transmission-error-polar", "Transmission error over an output turn"),
    ("transmission-error-spectrum", "Orders of the transmission error"),
];

/// Figures that come from the assessment alone; made once.
fn figures<'a>(computed: &'a Computed, assessment: &Assessment) -> &'a [Figure] {
    computed.made.figures.get_or_init(|| {
        let drive = &computed.file.drive;
        guarded(|| sheet::figures::all(drive, &LobeProfile::of(&drive.geometry), assessment))
            .unwrap_or_default()
    })
}

/// Figures of a load case other than the first, made once.
fn figures_of_case(computed: &Computed, assessment: &Assessment, case: &LoadCase) -> Arc<Vec<Figure>> {
    let drive = &computed.file.drive;
    let made = || {
        guarded(|| of_case(drive, &LobeProfile::of(&drive.geometry), assessment, case)).unwrap_or_default()
    };
    lock(&computed.made.of_cases).entry(case.id.clone()).or_insert_with(|| Arc::new(made())).clone()
}

/// Accuracy of the drive as drawn; computed once.
fn turn<'a>(computed: &'a Computed, assessment: &Assessment) -> Result<&'a AccuracyResult, &'a str> {
    let result = computed.made.accuracy.get_or_init(|| {
        let result = guarded(|| accuracy(&computed.file.drive, assessment, Which::default()))?;
        result.map_err(|error| error.to_string())
    });
    result.as_ref().map_err(String::as_str)
}

/// Which figures a drive has.
#[must_use]
pub fn figure_list(computed: &Computed, assessment: &Assessment) -> Vec<FigureEntry> {
    let entry = |figure: &Figure| FigureEntry {
        id: figure.id.clone(),
        title: figure.title.clone(),
        question: question(&figure.id),
        has_csv: !matches!(figure.body, Body::Drawing(_)),
        follows_crank: follows_crank(&figure.body),
        load_case: case_of(&figure.id, &assessment.load_cases).map(|case| case.id.clone()),
    };
    let mut entries: Vec<FigureEntry> = figures(computed, assessment).iter().map(entry).collect();
    if !assessment.load_cases.is_empty() {
        entries.extend(OF_ACCURACY.map(|(id, title)| FigureEntry {
            id: id.to_owned(),
            title: title.to_owned(),
            question: Question::Exact,
            has_csv: true,
            follows_crank: false,
            load_case: None,
        }));
    }
    entries
}

/// One figure; nothing where the drive has none of that name.
#[must_use]
pub fn figure(computed: &Computed, assessment: &Assessment, id: &str) -> Option<Figure> {
    if OF_ACCURACY.iter().any(|(known, _)| *known == id) {
        let turn = turn(computed, assessment).ok()?;
        return sheet::figures::of_accuracy(turn).into_iter().find(|figure| figure.id == id);
    }
    let first = figures(computed, assessment).iter().find(|figure| figure.id == id);
    first.cloned().or_else(|| {
        let case = case_of(id, &assessment.load_cases)?;
        figures_of_case(computed, assessment, case).iter().find(|figure| figure.id == id).cloned()
    })
}

/// The load case with whose id that of a figure ends.
fn case_of<'a>(id: &str, cases: &'a [LoadCase]) -> Option<&'a LoadCase> {
    cases.iter().find(|case| id.strip_suffix(case.id.as_str()).is_some_and(|stem| stem.ends_with('-')))
}

/// A figure with its picture in the page's colours.
#[must_use]
pub fn figure_page(mut figure: Figure, generation: u64, stage: Stage) -> FigurePage {
    let svg = svg::render(&figure, Theme::Page);
    let fields_paper_mm = svg::fields_paper_mm(&figure.body);
    if let Body::Drawing(drawing) = &mut figure.body {
        drawing.marks.clear();
    }
    FigurePage { generation, stage, svg, fields_paper_mm, figure }
}

/// Which question a figure belongs to.
fn question(id: &str) -> Question {
    match id {
        "section" | "curvature" | "gap-curve" => Question::Mesh,
        "torque-twist" => Question::Exact,
        id if id.starts_with("efficiency") || id.starts_with("loss") || id.starts_with("margins") => {
            Question::Last
        }
        _ => Question::Carry,
    }
}

fn follows_crank(body: &Body) -> bool {
    let is_crank = |axis: &Axis| axis.quantity == "crank_angle_rad";
    match body {
        Body::Chart(chart) => is_crank(&chart.x),
        Body::Map(map) => is_crank(&map.x),
        _ => false,
    }
}

/// The tables that answer a question: its checks first.
#[must_use]
pub fn tables(computed: &Computed, assessment: &Assessment, question: Question) -> Vec<Table> {
    let of_question = |finding: &&Finding| crate::verdict::question(finding) == question;
    let checks = sheet::findings_table("Checks", assessment.findings.iter().filter(of_question));
    let mut tables = vec![checks];
    match question {
        Question::Mesh => {
            tables.push(sheet::geometry_table(&assessment.geometry));
            tables.push(sheet::kinematics_table(assessment));
        }
        Question::Carry => tables.extend(carrying(computed, assessment)),
        Question::Last => {
            let bearings = [
                ("Eccentric bearing", assessment.eccentric_bearing.as_ref()),
                ("Output bearing", assessment.output_bearing.as_ref().map(|output| &output.rating)),
            ];
            for (title, bearing) in bearings {
                tables.extend(bearing.map(|bearing| sheet::bearing_table(title, bearing)));
            }
            for (number, bearing) in assessment.input_bearings.iter().enumerate() {
                tables.push(sheet::bearing_table(&format!("Input bearing {}", number + 1), bearing));
            }
            if let Some(losses) = &assessment.losses {
                tables.push(sheet::operating_points_table(losses));
                tables.push(sheet::loss_table(losses));
            }
        }
        Question::Exact => {
            tables.extend(assessment.load_cases.first().map(sheet::windup_table));
            // A whole output turn takes its time, and a preview is looked at for a moment.
            if computed.stage == Stage::Full
                && let Ok(turn) = turn(computed, assessment)
            {
                tables.push(sheet::accuracy_table(turn));
                tables.push(sheet::under_torque_table(turn));
                tables.push(sheet::orders_table(turn));
            }
        }
        Question::Shop => tables.extend(sheet::input_tables(&|path| computed.file.written(path))),
    }
    tables.retain(|table| !table.rows.is_empty());
    tables
}

/// Forces and pressures, those of the first load case at the crank angle of its greatest roller force.
fn carrying(computed: &Computed, assessment: &Assessment) -> Vec<Table> {
    let Some(case) = assessment.load_cases.first() else { return Vec::new() };
    let geometry = &computed.file.drive.geometry;
    let angle = case.extremes.ring_roller_force.crank_angle_rad;
    let mut tables = vec![
        sheet::extremes_table(&assessment.load_cases),
        sheet::governing_table(case),
        sheet::contact_stress_table(&assessment.contact_stresses, case),
        sheet::discs_table(case, angle),
        sheet::loads_table(geometry, case, angle),
        sheet::pin_loads_table(geometry, case, angle),
    ];
    tables.extend(sheet::bearing_rollers_table(case, angle));
    tables
}
