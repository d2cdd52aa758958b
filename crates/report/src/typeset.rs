//! From content to PDF: the little world that the typesetter sees, which holds nothing but our own files.

use crate::ReportError;
use crate::content::Content;
use std::collections::BTreeMap;
use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World, WorldExt};
use typst_layout::PagedDocument;
use typst_pdf::PdfOptions;

/// Name of the template in the world.
const TEMPLATE: &str = "report.typ";

/// Sets the content and writes the PDF.
pub fn pdf(content: &Content) -> Result<Vec<u8>, ReportError> {
    let world = ReportWorld::new(content)?;
    let document: PagedDocument = typst::compile(&world).output.map_err(|errors| world.explain(&errors))?;
    let options = PdfOptions {
        ident: Smart::Custom(content.identifier.clone()),
        creator: Smart::Custom(Some(content.program.clone())),
        timestamp: None,
        ..PdfOptions::default()
    };
    typst_pdf::pdf(&document, &options).map_err(|errors| world.explain(&errors))
}

/// Template, data, figures and faces; no disk, no network, no clock.
struct ReportWorld {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
    template: Source,
    files: BTreeMap<String, Bytes>,
}

impl ReportWorld {
    fn new(content: &Content) -> Result<Self, ReportError> {
        let fonts: Vec<Font> = typst_assets::fonts().flat_map(|data| Font::iter(Bytes::new(data))).collect();
        let template = Source::new(file_id(TEMPLATE)?, include_str!("report.typ").to_owned());
        let data = serde_json::to_string(&content.data)
            .map_err(|error| ReportError::Typesetting { message: error.to_string() })?;
        let mut files = BTreeMap::from([("data.json".to_owned(), Bytes::from_string(data))]);
        for (name, svg) in &content.figures {
            files.insert(format!("{name}.svg"), Bytes::from_string(svg.clone()));
        }
        Ok(Self {
            library: LazyHash::new(Library::default()),
            book: LazyHash::new(FontBook::from_fonts(&fonts)),
            fonts,
            template,
            files,
        })
    }

    /// The first complaints of the typesetter with their lines in the template.
    fn explain(&self, errors: &[SourceDiagnostic]) -> ReportError {
        let line = |error: &SourceDiagnostic| {
            let start = self.range(error.span)?.start;
            Some(self.template.text().get(..start)?.lines().count())
        };
        let say = |error: &SourceDiagnostic| match line(error) {
            Some(line) => format!("{} ({TEMPLATE}, line {line})", error.message),
            None => error.message.to_string(),
        };
        let message = errors.iter().take(3).map(say).collect::<Vec<_>>().join("; ");
        ReportError::Typesetting { message }
    }
}

fn file_id(name: &str) -> Result<FileId, ReportError> {
    let path =
        VirtualPath::new(name).map_err(|error| ReportError::Typesetting { message: format!("{error:?}") })?;
    Ok(FileId::new(RootedPath::new(VirtualRoot::Project, path)))
}

impl World for ReportWorld {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.book
    }

    fn main(&self) -> FileId {
        self.template.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.template.id() { Ok(self.template.clone()) } else { Err(FileError::NotSource) }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let path = id.get().vpath().get_without_slash().to_owned();
        self.files.get(&path).cloned().ok_or(FileError::AccessDenied)
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.fonts.get(index).cloned()
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}
