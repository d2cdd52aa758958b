//! `loads`: forces and pressures at rollers, pins and bearings.

use crate::arguments::Loads;
use crate::exit::Exit;
use crate::failure::{Failure, parse_quantity};
use crate::job::Job;
use crate::terminal::Terminal;
use ::schema::Poses;
use reducer::results::LoadCase;
use reducer::units::Dimension;
use sheet::Table;

/// Runs the command.
///
/// # Errors
/// What is wrong with the file or the flags, or could not be computed.
pub fn run(arguments: &Loads, terminal: Terminal) -> Result<Exit, Failure> {
    let asked_rad = match &arguments.crank_angle {
        Some(text) => Some(parse_quantity("--crank-angle", text, Dimension::Angle)?),
        None => None,
    };
    let job = Job::load(&arguments.file, terminal)?;
    if job.assessment.load_cases.is_empty() {
        terminal.talk("the geometry does not mesh, so there are no loads; `lobewright check` says why");
    }
    let case = find(&job, &arguments.load_case)?;
    if terminal.json {
        terminal.data(&job.results_json(Poses::All)?)?;
    } else if let Some(case) = case {
        terminal.data(&tables(&job, case, asked_rad, terminal))?;
    }
    Ok(job.exit())
}

/// The load case of a name; `None` if the geometry allows no loads at all.
fn find<'a>(job: &'a Job, name: &str) -> Result<Option<&'a LoadCase>, Failure> {
    let cases = &job.assessment.load_cases;
    let case = cases.iter().find(|case| case.id == name);
    if case.is_none() && !cases.is_empty() {
        let names: Vec<&str> = cases.iter().map(|case| case.id.as_str()).collect();
        return Err(Failure::Usage {
            message: format!("there is no load case `{name}`"),
            hint: format!("this drive has {}", names.join(", ")),
        });
    }
    Ok(case)
}

fn tables(job: &Job, case: &LoadCase, asked_rad: Option<f64>, terminal: Terminal) -> String {
    let geometry = &job.file.drive.geometry;
    let angle_rad = asked_rad.unwrap_or(case.extremes.ring_roller_force.crank_angle_rad);
    let tables = [
        sheet::extremes_table(&job.assessment.load_cases),
        sheet::governing_table(case),
        sheet::discs_table(case, angle_rad),
        sheet::loads_table(geometry, case, angle_rad),
        sheet::pin_loads_table(geometry, case, angle_rad),
    ];
    let text =
        |table: &Table| format!("{}\n\n{}", table.title, table.text(terminal.width, terminal.data_coloured));
    tables.iter().map(text).collect::<Vec<_>>().join("\n")
}
