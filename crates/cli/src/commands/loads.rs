//! `loads`: forces and pressures at rollers, pins and bearings.

use crate::arguments::Loads;
use crate::exit::Exit;
use crate::failure::{Failure, parse_quantity};
use crate::job::Job;
use crate::output::{self, Overwrite};
use crate::terminal::Terminal;
use ::schema::Poses;
use exchange::case_csv;
use reducer::assess::{AssessError, model_of};
use reducer::loads::pose_at;
use reducer::results::LoadCase;
use reducer::units::Dimension;
use sheet::Table;
use std::path::Path;

/// Runs the command.
///
/// # Errors
/// What is wrong with the file or the flags, or could not be computed or written.
pub fn run(arguments: &Loads, overwrite: Overwrite, terminal: Terminal) -> Result<Exit, Failure> {
    output::refuse_two_streams(terminal.json, arguments.csv.as_deref())?;
    let asked_rad = match &arguments.crank_angle {
        Some(text) => Some(parse_quantity("--crank-angle", text, Dimension::Angle)?),
        None => None,
    };
    let mut job = Job::load(&arguments.file, terminal)?;
    let Some(index) = find(&job, &arguments.load_case)? else {
        return no_loads(&job, terminal);
    };
    if let Some(angle_rad) = asked_rad {
        keep_only(&mut job, index, angle_rad)?;
    }
    if let Some(path) = &arguments.csv {
        let table = csv(&job, index)?;
        if path == Path::new("-") {
            terminal.data(&String::from_utf8_lossy(&table))?;
        } else {
            let written = output::write_result(path, &job.file.sha256, table, overwrite)?;
            job.tell_written(&[path.display().to_string()], &written, terminal)?;
        }
    } else if terminal.json {
        let poses = if asked_rad.is_some() { Poses::One } else { Poses::All };
        terminal.data(&job.results_json(poses)?)?;
    } else {
        let case = &job.assessment.load_cases[index];
        let angle_rad = asked_rad.unwrap_or(case.extremes.ring_roller_force.crank_angle_rad);
        terminal.data(&tables(&job, case, angle_rad, terminal))?;
    }
    Ok(job.exit())
}

/// The table of all crank angles of a load case.
///
/// # Errors
/// [`Failure::NoPart`] if it could not be written, which is a defect.
pub fn csv(job: &Job, index: usize) -> Result<Vec<u8>, Failure> {
    Ok(case_csv(&job.file, &job.assessment, &job.assessment.load_cases[index])?)
}

/// Place of the load case of a name; `None` if the geometry allows no loads at all.
fn find(job: &Job, name: &str) -> Result<Option<usize>, Failure> {
    let cases = &job.assessment.load_cases;
    let index = cases.iter().position(|case| case.id == name);
    if index.is_none() && !cases.is_empty() {
        let names: Vec<&str> = cases.iter().map(|case| case.id.as_str()).collect();
        return Err(Failure::Usage {
            message: format!("there is no load case `{name}`"),
            hint: format!("this drive has {}", names.join(", ")),
        });
    }
    Ok(index)
}

/// A drive that does not mesh has no loads; its checks say why.
fn no_loads(job: &Job, terminal: Terminal) -> Result<Exit, Failure> {
    if terminal.json {
        terminal.data(&job.results_json(Poses::All)?)?;
    } else {
        terminal.remark("the geometry does not mesh, so there are no loads; `lobewright check` says why");
    }
    Ok(job.exit())
}

/// Solves one load case at the very angle that was asked for, and drops all other poses.
fn keep_only(job: &mut Job, index: usize, angle_rad: f64) -> Result<(), Failure> {
    let drive = &job.file.drive;
    let (model, materials) = model_of(drive).map_err(AssessError::from)?;
    let torque_n_mm = job.assessment.load_cases[index].output_torque_n_mm;
    let pose = pose_at(drive, &model, &materials, torque_n_mm, angle_rad).map_err(AssessError::from)?;
    for case in &mut job.assessment.load_cases {
        case.poses.clear();
    }
    job.assessment.load_cases[index].poses.push(pose);
    Ok(())
}

fn tables(job: &Job, case: &LoadCase, angle_rad: f64, terminal: Terminal) -> String {
    let geometry = &job.file.drive.geometry;
    let mut tables = vec![
        sheet::extremes_table(&job.assessment.load_cases),
        sheet::governing_table(case),
        sheet::contact_stress_table(&job.assessment.contact_stresses, case),
        sheet::discs_table(case, angle_rad),
        sheet::loads_table(geometry, case, angle_rad),
        sheet::pin_loads_table(geometry, case, angle_rad),
    ];
    tables.extend(sheet::bearing_rollers_table(case, angle_rad));
    tables.push(sheet::windup_table(case));
    let text =
        |table: &Table| format!("{}\n\n{}", table.title, table.text(terminal.width, terminal.data_coloured));
    tables.iter().map(text).collect::<Vec<_>>().join("\n")
}
