//! Static safety of every bearing that is described.

use crate::bearing_loads::{BearingResults, LEAST_STATIC_SAFETY};
use crate::finding::{Check, Finding, Sense, Standing, Subject};
use crate::results::BearingResult;

/// A bearing in the words of its finding.
struct Named {
    id: &'static str,
    title: &'static str,
    key: &'static str,
    hint: &'static str,
}

const ECCENTRIC: Named = Named {
    id: "bearing-static-safety",
    title: "static safety of the eccentric bearing",
    key: "bearings.eccentric",
    hint: "take a bearing with more or longer rollers, or enlarge eccentricity to lower its force",
};
const OUTPUT: Named = Named {
    id: "output-bearing-static-safety",
    title: "static safety of the output bearing",
    key: "bearings.output",
    hint: "take a larger bearing, a greater row_distance, or bring the load nearer",
};
const INPUT: Named = Named {
    id: "input-bearing-static-safety",
    title: "static safety of the input bearings",
    key: "bearings.input",
    hint: "take larger bearings, or set them nearer to the discs and further apart",
};

/// One finding for each bearing; a bearing that the drive file does not describe has none unless the drive can not do without.
#[must_use]
pub fn static_safeties(bearings: &BearingResults) -> Vec<Finding> {
    let mut findings = vec![match &bearings.eccentric {
        Ok(result) => safety(&ECCENTRIC, result, "greatest force of all load cases".to_owned()),
        Err(reason) => not_assessed(&ECCENTRIC, reason),
    }];
    if let Ok(output) = &bearings.output {
        let place = "required outside loads with what the discs add, worst load case".to_owned();
        findings.push(safety(&OUTPUT, &output.rating, place));
    }
    if let Ok(inputs) = &bearings.input {
        let least = |(_, a): &(usize, &BearingResult), (_, b): &(usize, &BearingResult)| {
            b.greatest_force_n.total_cmp(&a.greatest_force_n)
        };
        findings.extend(inputs.iter().enumerate().min_by(least).map(|(end, result)| {
            safety(&INPUT, result, format!("{} bearing", if end == 0 { "first" } else { "second" }))
        }));
    }
    findings
}

fn not_assessed(named: &Named, reason: &str) -> Finding {
    Finding::not_assessed(named.id, Subject::Strength, named.title, None, named.key, reason)
}

fn safety(named: &Named, result: &BearingResult, place: String) -> Finding {
    let Some(value) = result.static_safety else {
        return not_assessed(named, "give static_rating, or what is inside the bearing");
    };
    Check {
        id: named.id,
        subject: Subject::Strength,
        title: named.title,
        quantity: "static_safety",
        value,
        limit: LEAST_STATIC_SAFETY,
        sense: Sense::AtLeast,
        scale: LEAST_STATIC_SAFETY,
        when_broken: Standing::Fails,
        place,
        formula: "bearing-static-safety",
        hint: named.hint.to_owned(),
        key: named.key,
    }
    .finding()
}
