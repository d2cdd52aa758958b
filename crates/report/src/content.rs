//! What the report says, gathered as plain data before anybody sets it.

mod accuracy;

use crate::ReportInput;
use reducer::finding::{Finding, Standing, Subject};
use reducer::profile::LobeProfile;
use reducer::registry::{self, Formula};
use reducer::results::{Assessment, FrictionFeedback, LoadCase};
use serde::Serialize;
use serde_json::{Value, json};
use sheet::figures::{self, SECTION_CRANK_ANGLE_RAD};
use sheet::table::{Align, split_at_point};
use sheet::{Figure, Markup, Table, svg};
use std::collections::BTreeSet;

/// Bars of the figure on the first page, at most.
const FIRST_PAGE_BAR_COUNT: usize = 8;
/// Rows of the table of failing and doubtful checks on the first page, at most.
const FIRST_PAGE_ATTENTION_COUNT: usize = 6;
/// Lines of tables and bars that the first page has room for.
const FIRST_PAGE_LINE_COUNT: usize = 28;

/// Everything the template needs.
#[derive(Clone, Debug)]
pub struct Content {
    /// Program and version, for the document's properties.
    pub program: String,
    /// What identifies the document: drive and hash of its file.
    pub identifier: String,
    /// The data that the template reads.
    pub data: Value,
    /// The figures as SVG, by name.
    pub figures: Vec<(String, String)>,
}

/// Gathers the content of a report.
#[must_use]
pub fn gather(input: &ReportInput<'_>) -> Content {
    let file = input.file;
    let drawn = draw_figures(input);
    let identity = &file.drive.identity;
    let program = format!("lobewright {}", input.program_version);
    let findings = &input.assessment.findings;
    let data = json!({
        "program": program,
        "name": identity.name,
        "title": identity.title,
        "revision": identity.revision,
        "date": identity.date,
        "designer": identity.designer,
        "note": identity.note,
        "file_name": bare_file_name(&file.name),
        "sha256": file.sha256,
        "verdict": verdict(findings),
        "requirement_table": requirement_table(findings),
        "attention_table": attention_table(findings),
        "figures": drawn.iter().map(|figure| (figure.id.clone(), figure_data(figure))).collect::<serde_json::Map<_, _>>(),
        "input_tables": input_tables(input),
        "geometry": geometry(input.assessment),
        "loads": loads(input),
        "bearing": eccentric_bearings(input.assessment),
        "accuracy": accuracy::accuracy(input),
        "losses": losses(input.assessment),
        "life": life(input.assessment),
        "checks": checks(findings),
        "open_points": sheet::hints(findings),
        "not_assessed": not_assessed(findings),
        "formulas": registry::formulas().iter().map(formula).collect::<Vec<_>>(),
        "model": model(input.assessment),
        "cautions": input.assessment.cautions,
        "sources": sources(),
    });
    Content {
        program,
        identifier: format!("{} {}", identity.name, file.sha256),
        data,
        figures: drawn
            .iter()
            .map(|figure| (figure.id.clone(), svg::render(figure, svg::Theme::Print)))
            .collect(),
    }
}

/// A file name without the folders before it, which differ from machine to machine.
fn bare_file_name(name: &str) -> &str {
    name.rsplit(['/', '\\']).next().unwrap_or(name)
}

/// Figures of the report; those of one load case carry fixed names, so that the template can call them.
fn draw_figures(input: &ReportInput<'_>) -> Vec<Figure> {
    let (drive, assessment) = (&input.file.drive, input.assessment);
    let outline = LobeProfile::of(&drive.geometry);
    let named = |mut figure: Figure, id: &str| {
        figure.id = id.to_owned();
        figure
    };
    let mut list = Vec::new();
    let bar_count = first_page_bar_count(&assessment.findings);
    if bar_count > 0 {
        list.push(figures::smallest_margins(assessment, bar_count));
    }
    list.extend([
        figures::margins(assessment),
        figures::section(drive, &outline, SECTION_CRANK_ANGLE_RAD),
        figures::curvature(drive, &outline, &assessment.geometry),
        figures::gap_curve(drive, &assessment.geometry),
    ]);
    if let Some(case) = assessment.load_cases.first() {
        let angle = case.extremes.ring_roller_force.crank_angle_rad;
        list.push(named(figures::roller_forces(drive, &outline, case, angle), "roller-forces"));
        list.push(named(figures::load_over_turn(drive, case, &assessment.findings), "load-over-turn"));
        list.push(named(figures::pressure_by_angle(drive, case), "pressure-by-angle"));
        list.push(named(figures::force_map(drive, case), "force-map"));
        list.push(named(figures::pressure_map(drive, case), "pressure-map"));
        list.push(named(figures::bearing_force(drive, case), "bearing-force"));
    }
    if let Some(twist_loop) = &assessment.torque_twist_loop {
        list.extend(figures::torque_twist(drive, twist_loop));
    }
    list.extend(accuracy::draw(input));
    if let Some(losses) = &assessment.losses {
        list.push(figures::efficiency(drive, losses));
        list.push(figures::efficiency_map(drive, losses));
        list.extend(figures::loss_sources(losses));
    }
    list
}

fn figure_data(figure: &Figure) -> Value {
    let numbers: Vec<_> =
        figure.key_numbers.iter().map(|number| json!([number.label, number.display])).collect();
    json!({ "caption": figure.caption, "description": figure.description, "numbers": numbers })
}

/// A cell cut at its decimal point.
#[derive(Serialize)]
struct Cell {
    head: Markup,
    tail: Markup,
}

/// A table as the template reads it.
fn table_data(table: &Table) -> Value {
    let columns: Vec<Value> = table
        .columns
        .iter()
        .map(|column| json!({ "head": column.head, "unit": column.unit, "align": column.align }))
        .collect();
    let cell = |index: usize, cell: &Markup| {
        let decimal = table.columns[index].align == Align::Decimal;
        let (head, tail) = if decimal { split_at_point(cell) } else { (cell.clone(), Markup::default()) };
        Cell { head, tail }
    };
    let rows: Vec<Vec<Cell>> = table
        .rows
        .iter()
        .map(|row| row.iter().enumerate().map(|(index, text)| cell(index, text)).collect())
        .collect();
    json!({ "title": table.title, "columns": columns, "rows": rows })
}

fn verdict(findings: &[Finding]) -> Value {
    let overall = sheet::overall(findings);
    json!({
        "standing": overall.standing(),
        "sentence": overall.sentence(),
        "counts": sheet::verdict_line(findings),
    })
}

/// The lines of the requirement; the place is left to the table of all checks.
fn requirement_table(findings: &[Finding]) -> Value {
    let mut lines: Vec<&Finding> =
        findings.iter().filter(|finding| finding.subject == Subject::Requirement).collect();
    // What was assessed comes first; the sort is stable and keeps the order by margin.
    lines.sort_by_key(|finding| finding.standing == Standing::NotAssessed);
    without_place(sheet::findings_table("The requirement, line by line", lines.into_iter()))
}

/// Checks besides the requirement that fail or are doubtful: they belong on the first page.
fn attention(findings: &[Finding]) -> Vec<&Finding> {
    let is_open = |finding: &&Finding| matches!(finding.standing, Standing::Fails | Standing::Doubtful);
    findings.iter().filter(is_open).filter(|finding| finding.subject != Subject::Requirement).collect()
}

fn attention_table(findings: &[Finding]) -> Value {
    let open = attention(findings);
    if open.is_empty() {
        return Value::Null;
    }
    let title = match open.len() {
        count if count > FIRST_PAGE_ATTENTION_COUNT => {
            format!(
                "The worst {FIRST_PAGE_ATTENTION_COUNT} of {count} further checks that fail or are doubtful"
            )
        }
        _ => "Further checks that fail or are doubtful".to_owned(),
    };
    let shown = open.into_iter().take(FIRST_PAGE_ATTENTION_COUNT);
    without_place(sheet::findings_table(&title, shown))
}

/// Bars that still fit on the first page beside its tables; fewer than three are not worth a figure.
fn first_page_bar_count(findings: &[Finding]) -> usize {
    let lines = findings.iter().filter(|finding| finding.subject == Subject::Requirement).count();
    // A second table costs its caption and head besides its rows.
    let further = match attention(findings).len().min(FIRST_PAGE_ATTENTION_COUNT) {
        0 => 0,
        rows => rows + 6,
    };
    match FIRST_PAGE_LINE_COUNT.saturating_sub(lines + further).min(FIRST_PAGE_BAR_COUNT) {
        0..3 => 0,
        count => count,
    }
}

/// A table of findings without its last column, for which the first page has no room.
fn without_place(mut table: Table) -> Value {
    table.columns.truncate(5);
    for row in &mut table.rows {
        row.truncate(5);
    }
    table_data(&table)
}

fn input_tables(input: &ReportInput<'_>) -> Vec<Value> {
    let written = |path: &str| input.file.written(path);
    sheet::input_tables(&written).iter().map(table_data).collect()
}

fn geometry(assessment: &Assessment) -> Value {
    let phases: Vec<Vec<Markup>> = assessment
        .geometry
        .disc_phases
        .iter()
        .map(|phase| {
            vec![
                Markup::tagged(sheet::Tag::Value, format!("{}", phase.disc + 1)),
                Markup::value("hole_phase_rad", phase.hole_phase_rad),
            ]
        })
        .collect();
    let phase_table = Table {
        title: "Angle from the valley of a lobe to the nearest output hole".to_owned(),
        columns: vec![sheet::Column::new("disc", Align::Right), sheet::Column::new("angle", Align::Decimal)],
        rows: phases,
    };
    json!({
        "table": table_data(&sheet::geometry_table(&assessment.geometry)),
        "kinematics": table_data(&sheet::kinematics_table(assessment)),
        "phases": table_data(&phase_table),
    })
}

fn loads(input: &ReportInput<'_>) -> Value {
    let cases = &input.assessment.load_cases;
    let Some(first) = cases.first() else { return Value::Null };
    let geometry = &input.file.drive.geometry;
    let angle = first.extremes.ring_roller_force.crank_angle_rad;
    let pin_angle = first.extremes.output_pin_force.crank_angle_rad;
    json!({
        "extremes": table_data(&sheet::extremes_table(cases)),
        "governing": governing(input.assessment),
        "rollers": table_data(&sheet::loads_table(geometry, first, angle)),
        "pins": table_data(&sheet::pin_loads_table(geometry, first, pin_angle)),
        "discs": table_data(&sheet::discs_table(first, angle)),
        "windup": table_data(&sheet::windup_table(first)),
        "bearing_rollers": sheet::bearing_rollers_table(first, first.extremes.bearing_force.crank_angle_rad)
            .map(|table| table_data(&table)),
        "summary": load_summary(first),
    })
}

/// Where the greatest loads act and the stresses there, for the load cases that the requirement names; duty steps are in the extremes.
fn governing(assessment: &Assessment) -> Vec<Value> {
    let named = assessment.load_cases.iter().filter(|case| !case.id.starts_with("duty"));
    named
        .flat_map(|case| {
            [sheet::governing_table(case), sheet::contact_stress_table(&assessment.contact_stresses, case)]
        })
        .map(|table| table_data(&table))
        .collect()
}

/// What one load case comes to besides its extremes, in sentences.
fn load_summary(case: &LoadCase) -> Vec<String> {
    let extremes = &case.extremes;
    let show = registry::display;
    let (fewest, most) = extremes.carrying_roller_count;
    vec![
        format!("Of each disc {fewest} to {most} ring rollers carry at a time."),
        format!("One disc carries at most {} of the torque.", show("disc_share", extremes.disc_share.value)),
        format!(
            "The output winds up elastically by {} to {}, free play taken off.",
            show("windup_rad", extremes.windup_rad.0),
            show("windup_rad", extremes.windup_rad.1)
        ),
        format!(
            "Holding the load takes {} on the crank on average, friction left out.",
            show("mean_holding_torque_n_mm", extremes.mean_holding_torque_n_mm)
        ),
        format!(
            "The largest unbalanced force of the solution is {:.0e} of the load.",
            extremes.residual_ratio.max(1e-16)
        ),
    ]
}

/// How the force on each eccentric bearing stands to the crank, one sentence a disc.
fn eccentric_bearings(assessment: &Assessment) -> Vec<String> {
    let spectra = &assessment.eccentric_bearing_spectrum;
    let sentence = |spectrum: &reducer::results::BearingSpectrum| {
        format!(
            "On disc {} the force is {} on average, between {} and {}: {}.",
            spectrum.disc + 1,
            registry::display("mean_force_n", spectrum.mean_force_n),
            registry::display("force_range_n", spectrum.force_range_n.0),
            registry::display("force_range_n", spectrum.force_range_n.1),
            spectrum.ring_loads,
        )
    };
    spectra.iter().map(sentence).collect()
}

fn losses(assessment: &Assessment) -> Value {
    assessment.losses.as_ref().map_or(Value::Null, |losses| {
        json!({
            "points": table_data(&sheet::operating_points_table(losses)),
            "values": table_data(&sheet::loss_table(losses)),
            "feedback": losses.friction_feedback.as_ref().map(friction_feedback),
            "assumptions": losses.assumptions.iter().map(|text| Markup::with_symbols(text)).collect::<Vec<_>>(),
        })
    })
}

/// What the usual estimate of friction losses misses, in one sentence.
fn friction_feedback(feedback: &FrictionFeedback) -> String {
    let show = registry::display;
    let error = 100.0 * feedback.loss_error_ratio;
    format!(
        "Friction is taken on the forces without it, as is usual. Under the rated torque, with the losses at contacts and eccentric \
         bearings alone, that gives an efficiency of {}; with friction in the equilibrium of the parts it is {}, and the estimate of \
         the loss is {} % too {}.",
        show("efficiency_estimate", feedback.efficiency_estimate),
        show("efficiency_in_equilibrium", feedback.efficiency_in_equilibrium),
        registry::format_number(error.abs(), 1),
        if error < 0.0 { "low" } else { "high" },
    )
}

fn life(assessment: &Assessment) -> Value {
    assessment.eccentric_bearing.as_ref().map_or(Value::Null, |bearing| {
        table_data(&sheet::bearing_table("Eccentric bearing, one of each disc", bearing))
    })
}

/// All findings in full, grouped by subject, with a reference to their formula.
fn checks(findings: &[Finding]) -> Vec<Value> {
    let group = |subject: Subject, heading: &str| {
        let own: Vec<Value> = findings
            .iter()
            .filter(|finding| finding.subject == subject && finding.standing != Standing::NotAssessed)
            .map(check)
            .collect();
        json!({ "heading": heading, "subject": subject, "checks": own })
    };
    sheet::SUBJECTS.iter().map(|(subject, heading)| group(*subject, heading)).collect()
}

fn check(finding: &Finding) -> Value {
    json!({
        "id": finding.id,
        "title": finding.title,
        "standing": finding.standing,
        "standing_words": finding.standing.words(),
        "value": Markup::display(&finding.value_display),
        "limit": sheet::limit_words(finding),
        "margin": finding.margin.and_then(sheet::margin_with_unit),
        "place": Markup::with_symbols(&finding.place),
        "formula": registry::formula(finding.formula).map(|formula| formula.id.as_str()),
        "key": finding.key,
        "hint": Markup::with_symbols(&finding.hint),
    })
}

fn not_assessed(findings: &[Finding]) -> Vec<Value> {
    let left = findings.iter().filter(|finding| finding.standing == Standing::NotAssessed);
    left.map(|finding| {
        let reason = Markup::with_symbols(&finding.hint);
        json!({ "title": finding.title, "limit": finding.limit_display, "reason": reason })
    })
    .collect()
}

fn formula(formula: &Formula) -> Value {
    let symbols: Vec<Value> = formula
        .symbols
        .iter()
        .map(|(letter, words)| json!([letters(letter), Markup::with_symbols(words)]))
        .collect();
    json!({
        "id": formula.id,
        "title": formula.title,
        "math": formula.math,
        "symbols": symbols,
        "valid_for": Markup::with_symbols(&formula.valid_for),
        "place": Markup::with_symbols(&formula.place),
        "sources": formula.sources,
    })
}

/// One letter or several, such as `R1, R2`, each as a symbol.
fn letters(text: &str) -> Markup {
    text.split(", ").fold(Markup::default(), |list, letter| {
        let comma = if list.is_empty() { "" } else { ", " };
        list.and(sheet::Tag::Words, comma).and(sheet::Tag::Symbol, letter)
    })
}

fn model(assessment: &Assessment) -> Value {
    let model = &assessment.model;
    json!({
        "rows": [
            ["contact of the ring rollers", model.roller_contact_law],
            ["contact of the output pins", model.pin_contact_law],
            ["gaps", model.gaps],
            ["what gives way", model.compliance],
        ],
        "assumptions": model.assumptions.iter().map(|text| Markup::with_symbols(text)).collect::<Vec<_>>(),
    })
}

/// Sources of the formulas, in the order of the table of sources.
fn sources() -> Vec<Value> {
    let used: BTreeSet<&str> =
        registry::formulas().iter().flat_map(|formula| formula.sources.iter().map(String::as_str)).collect();
    let kept = registry::sources().iter().filter(|source| used.contains(source.key.as_str()));
    kept.map(|source| {
        json!({
            "key": source.key,
            "author": source.author,
            "title": source.title,
            "year": source.year,
            "edition": source.edition,
            "doi": source.doi,
            "held": source.held,
        })
    })
    .collect()
}
