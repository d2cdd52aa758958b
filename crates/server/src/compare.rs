//! Two drives side by side, differences marked.

use crate::api::{ComparedFinding, ComparedValue, Comparison};
use crate::compute::Computed;
use crate::desk::differences;
use crate::picture::small_sections;
use crate::verdict::finding_row;
use reducer::finding::Finding;
use reducer::results::Assessment;
use schema::field_of;

/// Two drives with their differences.
#[must_use]
pub fn comparison(files: [&str; 2], computed: [&Computed; 2], assessments: [&Assessment; 2]) -> Comparison {
    let drives = computed.map(|computed| &computed.file.drive);
    let values = differences(&computed[0].file, &computed[1].file);
    Comparison {
        files: files.map(str::to_owned),
        titles: drives
            .map(|drive| drive.identity.title.clone().unwrap_or_else(|| drive.identity.name.clone())),
        stages: computed.map(|computed| computed.stage),
        values: values
            .into_iter()
            .map(|change| ComparedValue {
                doc: field_of(&change.path).map_or_else(String::new, |field| field.doc.to_owned()),
                path: change.path,
                texts: [change.before, change.after],
            })
            .collect(),
        findings: findings(computed, assessments),
        pictures_svg: {
            let names = [0, 1].map(|side| format!("{side}-{}", files[side]));
            small_sections([0, 1].map(|side| (drives[side], names[side].as_str())))
        },
    }
}

/// The checks of both, in the order of the first; those of the second alone come last.
fn findings(computed: [&Computed; 2], assessments: [&Assessment; 2]) -> Vec<ComparedFinding> {
    let [left, right] = assessments.map(|assessment| assessment.findings.as_slice());
    let find = |findings: &[Finding], like: &Finding| {
        findings.iter().find(|finding| finding.id == like.id && finding.title == like.title).cloned()
    };
    let of_left = left.iter().map(|finding| (Some(finding.clone()), find(right, finding)));
    let only_right = right.iter().filter(|finding| find(left, finding).is_none());
    of_left
        .chain(only_right.map(|finding| (None, Some(finding.clone()))))
        .filter_map(|pair| {
            let either = pair.0.as_ref().or(pair.1.as_ref())?;
            let row = |side: usize, finding: &Option<Finding>| {
                finding.as_ref().map(|finding| finding_row(finding, computed[side].is_computing(finding.id)))
            };
            Some(ComparedFinding {
                id: either.id.to_owned(),
                title: either.title.clone(),
                rows: [row(0, &pair.0), row(1, &pair.1)],
                differs: !is_alike(pair.0.as_ref(), pair.1.as_ref()),
            })
        })
        .collect()
}

fn is_alike(left: Option<&Finding>, right: Option<&Finding>) -> bool {
    let seen =
        |finding: &Finding| (finding.standing, finding.value_display.clone(), finding.limit_display.clone());
    left.map(seen) == right.map(seen)
}
