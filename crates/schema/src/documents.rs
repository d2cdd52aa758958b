//! JSON Schema of each kind of document that `--json` prints of a drive or of callouts.

use crate::envelope::{ResultDocument, ResultsDocument};
use crate::fits::FitsDocument;
use reducer::accuracy::summary::AccuracyResult;
use reducer::assembly::summary::YieldResult;
use reducer::results::ModificationResult;
use schemars::transform::{RecursiveTransform, Transform};
use schemars::{Schema, schema_for};
use serde_json::{Value, json};

/// A kind of document; its word stands in the document as `kind`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DocumentKind {
    /// The results of a drive.
    Results,
    /// Accuracy over an output turn.
    Accuracy,
    /// Proposals of profile modifications.
    Modification,
    /// A study of assembled drives.
    Yield,
    /// Limits of size and fits.
    Fits,
}

impl DocumentKind {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Results, Self::Accuracy, Self::Modification, Self::Yield, Self::Fits];

    /// What stands in the document as `kind`.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Results => "results",
            Self::Accuracy => "accuracy",
            Self::Modification => "modification",
            Self::Yield => "yield",
            Self::Fits => "fits",
        }
    }

    /// JSON Schema (draft 2020-12) of such a document.
    #[must_use]
    pub fn schema(self) -> Value {
        let (mut schema, title) = match self {
            Self::Results => (schema_for!(ResultsDocument<'static>), "Results of lobewright"),
            Self::Accuracy => {
                (schema_for!(ResultDocument<'static, AccuracyResult>), "Accuracy of a drive, by lobewright")
            }
            Self::Modification => (
                schema_for!(ResultDocument<'static, ModificationResult>),
                "Profile modifications for a drive, by lobewright",
            ),
            Self::Yield => (
                schema_for!(ResultDocument<'static, YieldResult>),
                "Study of assembled drives, by lobewright",
            ),
            Self::Fits => (schema_for!(FitsDocument), "Limits of size and fits, by lobewright"),
        };
        schema.insert("title".to_owned(), title.into());
        // Any number may turn out not to be finite, and is then written as null.
        RecursiveTransform(allow_null_for_numbers).transform(&mut schema);
        let mut schema = schema.to_value();
        schema["properties"]["kind"]["const"] = self.word().into();
        schema
    }
}

fn allow_null_for_numbers(schema: &mut Schema) {
    if schema.get("type").is_some_and(|kind| kind == "number") {
        schema.insert("type".to_owned(), json!(["number", "null"]));
    }
}
