//! A drive file read and assessed: what most commands begin with, and how they end.

use crate::exit::Exit;
use crate::failure::{Failure, MESSAGE_FORMAT, message_text};
use crate::output::Written;
use crate::terminal::Terminal;
use ::schema::{DriveFile, Poses, ResultsDocument};
use reducer::assess::assess;
use reducer::finding::Standing;
use reducer::results::Assessment;
use serde_json::json;
use std::fs;
use std::io::{self, Read};
use std::path::Path;

/// A drive file and what follows from it.
#[derive(Debug)]
pub struct Job {
    /// The drive file.
    pub file: DriveFile,
    /// Everything that was computed.
    pub assessment: Assessment,
}

impl Job {
    /// Reads and assesses a drive file; cautions of the reader go to standard error.
    ///
    /// # Errors
    /// Everything that is wrong with the file, or what could not be computed.
    pub fn load(path: &Path, terminal: Terminal) -> Result<Self, Failure> {
        let file = read_drive(path, terminal)?;
        let assessment = assess(&file.drive)?;
        Ok(Self { file, assessment })
    }

    /// How the run ends if nothing else goes wrong.
    #[must_use]
    pub fn exit(&self) -> Exit {
        let fails = self.assessment.findings.iter().any(|finding| finding.standing == Standing::Fails);
        if fails { Exit::CheckFails } else { Exit::AllHold }
    }

    /// The results as the text of a JSON document.
    ///
    /// # Errors
    /// [`Failure::Json`], which is a defect.
    pub fn results_json(&self, poses: Poses) -> Result<String, Failure> {
        Ok(ResultsDocument::new(&self.file, &self.assessment, poses).to_json()?)
    }

    /// Tells which files were written: JSON to standard output for programs, talk for people.
    ///
    /// # Errors
    /// [`Failure::Print`].
    pub fn tell_written(
        &self,
        names: &[String],
        written: &Written,
        terminal: Terminal,
    ) -> Result<(), Failure> {
        if terminal.json {
            let document = json!({
                "format": MESSAGE_FORMAT,
                "kind": "files",
                "drive_file_sha256": self.file.sha256,
                "exit_code": self.exit().code(),
                "files": names,
                "outdated": written.outdated,
            });
            return terminal.data(&message_text(&document));
        }
        for name in names {
            terminal.talk(&format!("wrote {name}"));
        }
        for name in &written.outdated {
            terminal.talk(&format!("caution: {name} is from an earlier state of the drive file"));
        }
        Ok(())
    }
}

/// Reads a drive file; cautions of the reader go to standard error.
///
/// # Errors
/// Everything that is wrong with the file.
pub fn read_drive(path: &Path, terminal: Terminal) -> Result<DriveFile, Failure> {
    let (name, bytes) = read_bytes(path)?;
    let file = ::schema::read(&name, &bytes).map_err(|wrong| Failure::DriveFile(Box::new(wrong)))?;
    if !file.cautions.is_empty() {
        terminal.remark(&file.cautions.render(terminal.talk_colour()));
    }
    Ok(file)
}

/// The bytes of a file, or of standard input if it is called `-`, and the name that messages use.
fn read_bytes(path: &Path) -> Result<(String, Vec<u8>), Failure> {
    let not_read = |source: io::Error| Failure::NotRead { path: path.to_owned(), source };
    if path == Path::new("-") {
        let mut bytes = Vec::new();
        limited(io::stdin().lock()).read_to_end(&mut bytes).map_err(not_read)?;
        return Ok(("standard input".to_owned(), bytes));
    }
    let mut bytes = Vec::new();
    let file = fs::File::open(path).map_err(not_read)?;
    limited(file).read_to_end(&mut bytes).map_err(not_read)?;
    Ok((path.display().to_string(), bytes))
}

/// Reads no more than shows that a file is too large, so that an endless one ends.
fn limited(reader: impl Read) -> impl Read {
    reader.take(::schema::LARGEST_FILE_BYTES as u64 + 1)
}
