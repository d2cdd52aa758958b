//! The drive file: bytes in, a checked drive out, or everything that is wrong with the bytes.

use crate::diagnostic::{Diagnostic, Diagnostics, line_and_column};
use crate::nearest::nearest;
use crate::places::{Place, Places, View, field_of};
use crate::syntax::{self, Parsed};
use crate::{DRIVE, rules, walk};
use reducer::model::record::{Kind, Tabled};
use reducer::model::{DRIVE_FILE_FORMAT, Drive};
use sha2::{Digest, Sha256};
use std::fmt::Write;
use toml::de::DeValue;

/// Largest drive file that is read: a thousand times the size of a real one.
pub const LARGEST_FILE_BYTES: usize = 1 << 20;

/// A drive file that was read without an error.
#[derive(Clone, Debug)]
pub struct DriveFile {
    /// Name of the file as it was given.
    pub name: String,
    /// The text as it was read, with its comments, for edits that keep them.
    pub text: String,
    /// SHA-256 of the file's bytes, as 64 hexadecimal digits.
    pub sha256: String,
    /// The drive, in core units and range-checked.
    pub drive: Drive,
    /// What looks like a slip but does not keep the file from being used.
    pub cautions: Diagnostics,
    /// Where each key that the file gives stands.
    pub places: Places,
}

/// Reads a drive file.
///
/// # Errors
/// Everything that is wrong with the file at once: the TOML text, keys, values, units, ranges, and
/// rules across keys, as far as the parts could be read.
pub fn read(name: &str, bytes: &[u8]) -> Result<DriveFile, Diagnostics> {
    let text = decode(name, bytes)?;
    let parsed = syntax::parse(text);
    if let Some(wrong) = wrong_format(&parsed) {
        return Err(Diagnostics::new(name, text, vec![wrong]));
    }
    if let Some(foreign) = foreign(&parsed) {
        return Err(Diagnostics::new(name, text, foreign));
    }
    let walked = walk::walk(&parsed);
    let view = View { text, record: &walked.record, places: &walked.places };
    let (rule_errors, cautions) = rules::check(&view);
    let mut errors = parsed.errors;
    errors.extend(walked.errors);
    errors.extend(rule_errors);
    if !errors.is_empty() {
        return Err(Diagnostics::new(name, text, errors));
    }
    let drive = Drive::from_record(walked.record).map_err(|mismatch| {
        let defect = Diagnostic::error(format!("defect of this program, please report it: {mismatch}"));
        Diagnostics::new(name, text, vec![defect.key(mismatch.key)])
    })?;
    Ok(DriveFile {
        name: name.to_owned(),
        text: text.to_owned(),
        sha256: sha256_hex(bytes),
        drive,
        cautions: Diagnostics::new(name, text, cautions),
        places: walked.places,
    })
}

impl DriveFile {
    /// Where a key of the drive file stands, if the file gives it; paths as in `geometry.ring_radius`.
    #[must_use]
    pub fn place(&self, path: &str) -> Option<&Place> {
        self.places.get(path)
    }

    /// The value of a key as it is written in the file, text without its quotes; nothing for tables.
    #[must_use]
    pub fn written(&self, path: &str) -> Option<String> {
        let field = field_of(path)?;
        if matches!(field.kind, Kind::Section(_) | Kind::List(_)) {
            return None;
        }
        let raw = self.text.get(self.place(path)?.value.clone())?;
        let value: Option<toml_edit::Value> = raw.trim().parse().ok();
        Some(value.as_ref().and_then(toml_edit::Value::as_str).unwrap_or(raw).to_owned())
    }

    /// Line of a key, counted from one, if the file gives it.
    #[must_use]
    pub fn line(&self, path: &str) -> Option<usize> {
        self.place(path).map(|place| line_and_column(&self.text, place.key.start).0)
    }
}

/// The bytes as text, if they can be a drive file at all.
fn decode<'a>(name: &str, bytes: &'a [u8]) -> Result<&'a str, Diagnostics> {
    let refuse = |text: &str, diagnostic: Diagnostic| Err(Diagnostics::new(name, text, vec![diagnostic]));
    if bytes.len() > LARGEST_FILE_BYTES {
        let message = format!(
            "the file is too large for a drive file: {} bytes > {LARGEST_FILE_BYTES} bytes",
            bytes.len()
        );
        return refuse("", Diagnostic::error(message).hint("check that this is the file you meant"));
    }
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        let message = "the file is UTF-16, not UTF-8";
        return refuse("", Diagnostic::error(message).hint("save it as UTF-8 in the editor"));
    }
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text,
        Err(error) => {
            let offset = error.valid_up_to();
            let message = format!("byte {offset} of the file (0x{:02x}) is not UTF-8", bytes[offset]);
            let lossy = String::from_utf8_lossy(bytes);
            let end = offset + char::REPLACEMENT_CHARACTER.len_utf8();
            let diagnostic = Diagnostic::error(message).at(offset..end).expected("text in UTF-8");
            return refuse(&lossy, diagnostic.hint("save the file as UTF-8 in the editor"));
        }
    };
    if let Some(offset) = text.find('\0') {
        let diagnostic =
            Diagnostic::error(format!("byte {offset} of the file is zero (NUL)")).at(offset..offset + 1);
        return refuse(
            text,
            diagnostic.expected("text").hint("check that this is a drive file, and not damaged"),
        );
    }
    Ok(text)
}

/// What to say of a file in which nothing of a drive file could be read: one thing, not one for each table.
fn foreign(parsed: &Parsed<'_>) -> Option<Vec<Diagnostic>> {
    let is_known = |key: &str| nearest(key, DRIVE.fields.iter().map(|field| field.key)).is_some();
    if parsed.tree.get_ref().keys().any(|key| is_known(key.get_ref())) {
        return None;
    }
    let diagnostic = Diagnostic::error("this is no drive file: none of its tables is there")
        .expected("tables such as [requirement], [geometry] and [materials]")
        .hint("`lobewright new` writes a file to start from")
        .marked_cause();
    Some([diagnostic].into_iter().chain(parsed.errors.first().cloned()).collect())
}

/// The one diagnostic for a file of another format, whose keys would only give misleading errors.
fn wrong_format(parsed: &Parsed<'_>) -> Option<Diagnostic> {
    let (_, value) = parsed.tree.get_ref().iter().find(|(key, _)| key.get_ref() == "format")?;
    let DeValue::Integer(number) = value.get_ref() else { return None };
    let format = i128::from_str_radix(number.as_str(), number.radix()).ok()?;
    if format == DRIVE_FILE_FORMAT as i128 {
        return None;
    }
    let diagnostic = Diagnostic::error(format!("the drive file is of format {format}"))
        .at(value.span())
        .key("format")
        .expected(format!("this program reads format {DRIVE_FILE_FORMAT}"));
    Some(if format > DRIVE_FILE_FORMAT as i128 {
        diagnostic.hint("a newer release of lobewright reads it")
    } else {
        diagnostic.hint(format!("there is no such format; write format = {DRIVE_FILE_FORMAT}"))
    })
}

/// SHA-256 of bytes as hexadecimal digits.
fn sha256_hex(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::new(), |mut hex, byte| {
        // Writing to a string cannot fail.
        let _ = write!(hex, "{byte:02x}");
        hex
    })
}
