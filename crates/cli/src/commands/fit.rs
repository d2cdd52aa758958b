//! `fit`: limits of size of holes and shafts, and clearance or interference of fits.

use crate::arguments::Fit;
use crate::exit::Exit;
use crate::failure::{Failure, MESSAGE_FORMAT, message_text};
use crate::terminal::Terminal;
use ::schema::rounded;
use reducer::iso286::callout::{Callout, Toleranced};
use serde_json::{Value, json};
use sheet::Table;

/// Runs the command.
///
/// # Errors
/// [`Failure::Usage`] where a callout can not be read or its limits are not held.
pub fn run(arguments: &Fit, terminal: Terminal) -> Result<Exit, Failure> {
    let callouts =
        arguments.callouts.iter().map(|text| read(text)).collect::<Result<Vec<Callout>, Failure>>()?;
    if terminal.json {
        let fits: Vec<Value> = callouts.iter().map(callout_json).collect();
        let document = json!({ "format": MESSAGE_FORMAT, "kind": "fits", "fits": fits });
        terminal.data(&message_text(&document))?;
    } else {
        let mut tables = vec![sheet::limits_table(&callouts)];
        tables.extend(sheet::fits_table(&callouts));
        let text = |table: &Table| {
            format!("{}\n\n{}", table.title, table.text(terminal.width, terminal.data_coloured))
        };
        terminal.data(&tables.iter().map(text).collect::<Vec<_>>().join("\n"))?;
    }
    Ok(Exit::AllHold)
}

fn read(text: &str) -> Result<Callout, Failure> {
    Callout::read(text).map_err(|error| Failure::Usage { message: error.to_string(), hint: error.hint() })
}

fn callout_json(callout: &Callout) -> Value {
    let parts: Vec<Value> = callout.parts().map(|part| part_json(callout.size_mm, part)).collect();
    let fit = callout.fit().map(|fit| {
        json!({
            "kind": fit.kind().words(),
            "greatest_clearance_mm": rounded(fit.greatest_clearance_mm()),
            "least_clearance_mm": rounded(fit.least_clearance_mm()),
        })
    });
    json!({
        "callout": callout.to_string(),
        "nominal_size_mm": callout.size_mm,
        "parts": parts,
        "fit": fit,
    })
}

fn part_json(size_mm: f64, part: Toleranced) -> Value {
    json!({
        "part": part.part.words(),
        "class": part.tolerance.to_string(),
        "upper_deviation_mm": rounded(part.limits.upper_mm),
        "lower_deviation_mm": rounded(part.limits.lower_mm),
        "largest_size_mm": rounded(size_mm + part.limits.upper_mm),
        "smallest_size_mm": rounded(size_mm + part.limits.lower_mm),
        "limits_are": part.basis.words(),
    })
}
