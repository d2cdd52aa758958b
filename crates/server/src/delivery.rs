//! Everything that the next people need: report, shop files, results and loads, as the command line writes them and the page hands them out.

use crate::api;
use exchange::{
    ExportError, NamedFile, USUAL_TOLERANCE_MM, case_csv, shop_file, shop_file_names, shop_files,
};
use reducer::assembly::summary::YieldResult;
use reducer::finding::Standing;
use reducer::results::{Assessment, LoadCase};
use report::ReportError;
use schema::{DocumentKind, DriveFile, Poses, ResultDocument, ResultsDocument};

const REPORT: &str = "report.pdf";
const RESULTS: &str = "results.json";
const LOADS: &str = "loads.csv";
const STUDY: &str = "yield.json";

/// Why there is no file.
#[derive(Debug, thiserror::Error)]
pub enum DeliveryError {
    /// The shape cannot be made, or not be written within the tolerance.
    #[error(transparent)]
    NoPart(#[from] ExportError),
    /// The report cannot be made.
    #[error(transparent)]
    Report(#[from] ReportError),
    /// The results cannot be JSON.
    #[error("the results can not be written as JSON: {0}")]
    Json(#[from] serde_json::Error),
}

/// The files of a delivery, and what is missing in words.
#[derive(Debug, Default)]
pub struct Delivery {
    /// The files.
    pub files: Vec<NamedFile>,
    /// What there is none of, and why.
    pub remarks: Vec<String>,
}

/// All files of a drive, with a study of its assemblies where there is one.
///
/// The study judges the lot's yield. A program built without reports, and a shape that cannot be made where a check already fails, are remarks.
///
/// # Errors
/// [`DeliveryError`].
pub fn deliver(
    file: &DriveFile,
    assessment: &Assessment,
    study: Option<&YieldResult>,
    tolerance_mm: f64,
) -> Result<Delivery, DeliveryError> {
    let judged = study.map(|study| {
        let mut judged = assessment.clone();
        study.judge(&mut judged.findings);
        judged
    });
    let assessment = judged.as_ref().unwrap_or(assessment);
    let mut delivery = Delivery::default();
    match report::pdf_of(file, assessment, study) {
        Ok(bytes) => delivery.files.push(NamedFile { name: REPORT.to_owned(), bytes }),
        Err(error @ ReportError::BuiltWithoutPdf) => {
            delivery.remarks.push(format!("caution: no {REPORT}: {error}"));
        }
        Err(error) => return Err(error.into()),
    }
    let fails = assessment.findings.iter().any(|finding| finding.standing == Standing::Fails);
    match shop_files(file, assessment, tolerance_mm) {
        Ok(shop_files) => delivery.files.extend(shop_files),
        // A shape that can not be made is a failed check, and the report says which.
        Err(reason) if fails => delivery.remarks.push(format!("no shop files: {reason}")),
        Err(error) => return Err(error.into()),
    }
    delivery.files.push(NamedFile { name: RESULTS.to_owned(), bytes: results(file, assessment)? });
    if let Some(study) = study {
        let document = ResultDocument::new(file, DocumentKind::Yield.word(), study).to_json()?;
        delivery.files.push(NamedFile { name: STUDY.to_owned(), bytes: document.into_bytes() });
    }
    if let Some(rated) = rated(assessment) {
        delivery.files.push(NamedFile { name: LOADS.to_owned(), bytes: case_csv(file, assessment, rated)? });
    }
    Ok(delivery)
}

/// One file of a delivery by its name, the same bytes as in [`deliver`]; nothing where there is none of that name.
///
/// # Errors
/// [`DeliveryError`].
pub fn delivered(
    file: &DriveFile,
    assessment: &Assessment,
    name: &str,
) -> Result<Option<Vec<u8>>, DeliveryError> {
    Ok(match name {
        REPORT => Some(report::pdf_of(file, assessment, None)?),
        RESULTS => Some(results(file, assessment)?),
        LOADS => rated(assessment).map(|case| case_csv(file, assessment, case)).transpose()?,
        _ => shop_file(file, assessment, USUAL_TOLERANCE_MM, name).transpose()?.map(|file| file.bytes),
    })
}

/// Which files a drive has.
#[must_use]
pub fn file_list(file: &DriveFile, assessment: &Assessment) -> Vec<api::ShopFile> {
    let mut names = Vec::new();
    if cfg!(feature = "pdf") {
        names.push(REPORT.to_owned());
    }
    names.extend(shop_file_names(file, assessment));
    names.push(RESULTS.to_owned());
    names.extend(rated(assessment).map(|_| LOADS.to_owned()));
    names
        .into_iter()
        .map(|name| api::ShopFile { doc: doc(&name).to_owned(), is_slow: name == REPORT, name })
        .collect()
}

/// What a file is for.
pub(crate) fn doc(name: &str) -> &'static str {
    match (name, name.rsplit('.').next()) {
        (REPORT, _) => "Report to read and sign: verdict, figures, tables, formulas and sources.",
        (RESULTS, _) => "All results as data, for other programs.",
        (STUDY, _) => "The study of assembled drives as data, for other programs.",
        (LOADS, _) => "Forces and pressures at every contact over the crank angle, under the rated torque.",
        (_, Some("dxf")) => "Drawing of the disc, for cutting and for drawings.",
        (_, Some("step")) => "Solid of the disc, for design and machining programs.",
        (_, Some("csv")) => "Points of the lobe profile with normal and curvature.",
        _ => "",
    }
}

/// Kind of a file by its name, as browsers are told.
pub(crate) fn media_type(name: &str) -> &'static str {
    match name.rsplit('.').next() {
        Some("pdf") => "application/pdf",
        Some("json") => "application/json",
        Some("csv") => "text/csv; charset=utf-8",
        Some("dxf") => "image/vnd.dxf",
        Some("step") => "model/step",
        Some("svg") => "image/svg+xml",
        _ => "application/octet-stream",
    }
}

fn results(file: &DriveFile, assessment: &Assessment) -> Result<Vec<u8>, serde_json::Error> {
    Ok(ResultsDocument::new(file, assessment, Poses::RatedCase).to_json()?.into_bytes())
}

fn rated(assessment: &Assessment) -> Option<&LoadCase> {
    assessment.load_cases.iter().find(|case| case.id == "rated")
}
