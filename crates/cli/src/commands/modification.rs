//! `modification`: profile modifications for a wanted backlash, side by side.

use crate::arguments::Modification;
use crate::exit::Exit;
use crate::failure::{Failure, parse_quantity};
use crate::job::read_drive;
use crate::output::Overwrite;
use crate::terminal::Terminal;
use ::schema::ResultDocument;
use reducer::accuracy::modification::{Wish, propose};
use reducer::assess::{AssessError, model_of};
use reducer::results::ModificationResult;
use reducer::units::Dimension;
use sheet::Table;

/// Runs the command.
///
/// # Errors
/// What is wrong with the file or the flags, or could not be computed or written.
pub fn run(arguments: &Modification, overwrite: Overwrite, terminal: Terminal) -> Result<Exit, Failure> {
    let quantity = |flag: &str, text: &Option<String>, dimension| {
        text.as_deref().map(|text| parse_quantity(flag, text, dimension)).transpose()
    };
    let wish = Wish {
        backlash_rad: quantity("--backlash", &arguments.backlash, Dimension::Angle)?,
        backlash_share: arguments.backlash_share,
        clearance_mm: quantity("--tip-clearance", &arguments.tip_clearance, Dimension::Length)?,
        curves: arguments.figures.is_some(),
    };
    let file = read_drive(&arguments.file, terminal)?;
    let (model, materials) = model_of(&file.drive).map_err(AssessError::from)?;
    let result = propose(&file.drive, &model, &materials, wish)?;
    if terminal.json {
        terminal.data(&ResultDocument::new(&file, "modification", &result).to_json()?)?;
    } else {
        terminal.data(&page(&result, terminal))?;
    }
    if let Some(directory) = &arguments.figures {
        let figures: Vec<_> = sheet::figures::modification(&result).into_iter().collect();
        if figures.is_empty() {
            terminal.remark("no figure: no modification holds the wanted backlash");
        } else {
            super::figure::write_all(directory, &file.sha256, &figures, overwrite, terminal)?;
        }
    }
    Ok(if result.is_possible() { Exit::AllHold } else { Exit::CheckFails })
}

fn page(result: &ModificationResult, terminal: Terminal) -> String {
    let text =
        |table: &Table| format!("{}\n\n{}", table.title, table.text(terminal.width, terminal.data_coloured));
    let mut page = format!("{}\n\n", sheet::modification_wish(result));
    page.push_str(&text(&sheet::modification_table(result)));
    for note in sheet::modification_notes(result) {
        page.push_str(&format!("\n{note}\n"));
    }
    for proposal in &result.proposals {
        if let Some(state) = &proposal.state {
            page.push_str(&format!("\n{}:\n", proposal.family.words()));
            for line in sheet::modification_lines(state) {
                page.push_str(&format!("  {line}\n"));
            }
        }
    }
    if !result.without_play.is_empty() {
        page.push_str(&format!("\n{}", text(&sheet::play_free_table(result))));
    }
    page
}
