//! What goes over the wire: every request, answer and event of the interface, as plain data.
//!
//! JSON Schema, the OpenAPI description and the TypeScript types of the page are made from these
//! types. Numbers are in core units; everything that a person reads comes as ready-made text.

mod drawing;

pub use drawing::{
    BearingRollers, Clearances, ColourScale, DiscForces, ForcePose, Motion, Prism, Scene, SceneDisc, Solids,
};

use reducer::finding::Finding;
use schema::{LocatedDiagnostic, Verdict};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use sheet::{Figure, Table};

/// What went wrong with a request, in words.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Problem {
    /// What is wrong.
    pub message: String,
    /// The one change likely to help; empty where there is none.
    pub hint: String,
}

// --- the folder -----------------------------------------------------------------------------

/// The folder that was opened, as cards.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Folder {
    /// Its last name, for the heading; never a path.
    pub name: String,
    /// Version of the program.
    pub program_version: String,
    /// Its drive files, by name.
    pub drives: Vec<DriveCard>,
}

/// One drive of the folder.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct DriveCard {
    /// Name of the file.
    pub file: String,
    /// Name of the drive.
    pub name: String,
    /// What it is for, from its file.
    pub title: String,
    /// Few words on it: ratio, rated torque, outside diameter.
    pub summary: String,
    /// Small section of the drive as SVG; empty where it cannot be drawn.
    pub picture_svg: String,
    /// The verdict, if it is known; it is computed where neither it nor a problem is there.
    pub verdict: Option<VerdictLine>,
    /// Why the file cannot be used; empty where it can.
    pub problem: String,
    /// Whether it holds changes that are not saved.
    pub has_unsaved_changes: bool,
}

/// A verdict in one line.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct VerdictLine {
    /// How far the computation got.
    pub stage: Stage,
    /// How many checks stand how.
    pub counts: Verdict,
    /// The counts in words.
    pub words: String,
    /// Title of the check with the smallest margin.
    pub worst_title: String,
    /// Its margin as people read it.
    pub worst_margin_display: String,
    /// Its bar, as that of a finding.
    pub worst_bar: f64,
    /// Its standing: `fails`, `doubtful`, `holds`, `no-limit`, `not-assessed`.
    pub worst_standing: reducer::finding::Standing,
}

// --- a drive that is being worked on ----------------------------------------------------------

/// The state of a drive on the desk: its values, and what can be done with them.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Desk {
    /// Name of the file.
    pub file: String,
    /// Counts the states of the text; a greater one is newer.
    pub generation: u64,
    /// SHA-256 of the text as it stands.
    pub sha256: String,
    /// Title of the drive.
    pub title: String,
    /// Whether the text is that of the file on the disk.
    pub is_saved: bool,
    /// What undo would take back, in words; absent where there is nothing.
    pub undo: Option<String>,
    /// What redo would do again.
    pub redo: Option<String>,
    /// Values that differ from the saved file.
    pub unsaved: Vec<ValueChange>,
    /// What happened to the file on the disk meanwhile.
    pub disk: DiskState,
    /// Cautions of the reader.
    pub cautions: Vec<LocatedDiagnostic>,
    /// All keys of the drive file in tables, in the order people are shown them.
    pub form: Vec<FormSection>,
}

/// How the file on the disk stands to the text on the desk.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[serde(tag = "state", rename_all = "kebab-case")]
pub enum DiskState {
    /// It is the one that the text began from.
    Unchanged,
    /// Somebody changed it; changes of other keys were taken over, these keys were changed on both sides.
    Conflict {
        /// Keys that both sides changed.
        values: Vec<ConflictingValue>,
    },
    /// It cannot be read as a drive file now.
    Unreadable {
        /// Why.
        problems: Vec<LocatedDiagnostic>,
    },
    /// It is gone.
    Gone,
}

/// A key that was changed on the desk and on the disk.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ConflictingValue {
    /// Dotted path.
    pub path: String,
    /// Value on the desk; absent where the key was taken out.
    pub desk: Option<String>,
    /// Value on the disk.
    pub disk: Option<String>,
}

/// A value before and after.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ValueChange {
    /// Dotted path.
    pub path: String,
    /// Before; absent where the key was not there.
    pub before: Option<String>,
    /// After; absent where the key is taken out.
    pub after: Option<String>,
}

/// One table of the drive file.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FormSection {
    /// Dotted path, such as `geometry` or `requirement.duty[0]`.
    pub path: String,
    /// Heading, such as `geometry`.
    pub title: String,
    /// What the table is about.
    pub doc: String,
    /// Whether it is in the file.
    pub is_present: bool,
    /// The list that it is an item of; absent for plain tables. The item can be removed.
    pub list: Option<String>,
    /// Whether it is a table that is left out and can be added, by `add-item` with its path.
    pub can_be_added: bool,
    /// Whether it can be taken out, by `remove-item` with its path.
    pub can_be_removed: bool,
    /// Its keys.
    pub fields: Vec<FormField>,
    /// Lists inside it to which an item can be added, as dotted paths with what an item is.
    pub lists: Vec<FormList>,
}

/// A list of tables to which an item can be added.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FormList {
    /// Dotted path.
    pub path: String,
    /// What an item is.
    pub doc: String,
}

/// One key of the drive file.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FormField {
    /// Dotted path.
    pub path: String,
    /// The bare key.
    pub key: String,
    /// Key in words: `eccentricity`, `ring roller count`.
    pub label: String,
    /// Letter of the trade, empty where there is none; `_` stands before its subscript.
    pub symbol: String,
    /// What it means.
    pub doc: String,
    /// What the value must be.
    pub kind: FieldKind,
    /// The value as it stands in the file, without quotes; absent where the key is left out.
    pub text: Option<String>,
    /// What holds where the key is left out; absent where nothing is assumed.
    pub default_text: Option<String>,
    /// Whether it must be there.
    pub is_required: bool,
    /// What is accepted, in words: `0.001 mm to 500 mm`.
    pub accepted: String,
    /// Whether the server has a scale for a slider.
    pub has_scale: bool,
    /// The saved value where the present one differs from it, null where the saved file leaves the key out; absent where it does not differ.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub saved_text: Option<Option<String>>,
}

/// What the value of a key must be.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum FieldKind {
    /// A number with a unit.
    Quantity {
        /// Units that are usual for it, the first one first.
        units: Vec<String>,
    },
    /// A whole number.
    Count,
    /// One of a few words.
    Choice {
        /// The words.
        choices: Vec<ChoiceWord>,
    },
    /// Free text.
    Text,
    /// True or false.
    Flag,
}

/// One word of a choice.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ChoiceWord {
    /// The word in the file.
    pub word: String,
    /// What it means.
    pub doc: String,
}

/// The stops of a slider for one value, and what geometry allows at each.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Scale {
    /// Generation of the text that it was made for.
    pub generation: u64,
    /// Dotted path.
    pub path: String,
    /// Values that the slider can take, as they are written in the file.
    pub stops: Vec<String>,
    /// The stop nearest to the present value.
    pub here: usize,
    /// Runs of stops at which the same check of geometry is broken, in order; stops in no run are good.
    pub bands: Vec<Band>,
    /// The worst check that is broken at every stop, so that no stop is good.
    pub everywhere: Option<Everywhere>,
}

/// A check of geometry that is broken whatever stop is taken.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Everywhere {
    /// How it stands at best: `fails` or `doubtful`.
    pub standing: reducer::finding::Standing,
    /// Which check, in words.
    pub title: String,
}

/// Stops at which a check of geometry is broken.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Band {
    /// First stop.
    pub from: usize,
    /// Last stop.
    pub to: usize,
    /// How it stands there: `fails` or `doubtful`.
    pub standing: reducer::finding::Standing,
    /// Which check, in words.
    pub title: String,
}

/// Changes that somebody asks for; all are made, or none.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Edits {
    /// The changes in order.
    pub changes: Vec<Change>,
    /// Whether this edit goes on with the last one, as a slider does while it moves: one undo takes both back.
    #[serde(default)]
    pub continues: bool,
}

/// One change of a drive file.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "change", rename_all = "kebab-case")]
pub enum Change {
    /// Give a key a value.
    Set {
        /// Dotted path.
        path: String,
        /// The value as a person types it, without quotes.
        text: String,
    },
    /// Take a key out, so that its default holds.
    Remove {
        /// Dotted path.
        path: String,
    },
    /// Add an item at the end of a list, or a table that is left out, with values that work.
    AddItem {
        /// Dotted path of the list or table.
        path: String,
    },
    /// Take an item out of a list, or a table that can be left out.
    RemoveItem {
        /// Dotted path of the item or table, such as `requirement.duty[1]`.
        path: String,
    },
}

/// A change that the drive file does not take; nothing was changed.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Refused {
    /// What is wrong, each at its key.
    pub problems: Vec<LocatedDiagnostic>,
}

/// How a conflict with the file on the disk ends.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Resolution {
    /// Keys whose value on the desk holds; for the others that of the disk does.
    pub keep_desk: Vec<String>,
}

// --- verdict ----------------------------------------------------------------------------------

/// How far a computation got.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Stage {
    /// Geometry, and loads of rigid discs at a few crank angles.
    Preview,
    /// Everything, with the load model of the file.
    Full,
}

/// The verdict on a state of the drive.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct VerdictPage {
    /// Generation of the text that it belongs to.
    pub generation: u64,
    /// How far the computation got.
    pub stage: Stage,
    /// How many checks stand how.
    pub counts: Verdict,
    /// The counts in words.
    pub words: String,
    /// The checks, by margin.
    pub findings: Vec<FindingRow>,
    /// How the loads were modelled, one sentence each.
    pub model: Vec<String>,
    /// The trade's cautions that apply to this drive.
    pub cautions: Vec<String>,
    /// Why nothing could be computed; empty where it could.
    pub problem: String,
}

/// One check as the page shows it.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FindingRow {
    /// The check.
    pub finding: Finding,
    /// Its margin as people read it; empty where there is none.
    pub margin_display: String,
    /// Length of its bar, from −1 (limit broken by its whole scale or more) to 1.
    pub bar: f64,
    /// Sign between value and limit: `≤`, `≥`, `=`.
    pub sign: &'static str,
    /// Whether the number is from the preview or an earlier state and a better one is being computed.
    pub is_computing: bool,
    /// Which question it answers.
    pub question: Question,
}

/// The questions an engineer asks, by which the page is arranged.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Question {
    /// Does it mesh?
    Mesh,
    /// Does it carry?
    Carry,
    /// Does it last?
    Last,
    /// How exact is it?
    Exact,
    /// What will the shop get?
    Shop,
}

/// A formula, source or check explained.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Explanation {
    /// What was asked for.
    pub name: String,
    /// Expression in the letters of its source; empty where there is none.
    pub expression: String,
    /// Its letters, one line each.
    pub symbols: Vec<String>,
    /// Where it holds.
    pub valid_for: String,
    /// Its sources in full.
    pub sources: Vec<String>,
    /// Everything as the command line explains it.
    pub text: String,
    /// The same in parts: each thing that has the name.
    pub entries: Vec<ExplainedEntry>,
}

/// A thing that is explained.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ExplainedEntry {
    /// `check`, `formula`, `quantity`, `key` or `source`.
    pub what: String,
    /// The name by which it is found.
    pub name: String,
    /// What it is, in a few words.
    pub title: String,
    /// What there is to say of it, a line each.
    pub lines: Vec<ExplainedLine>,
}

/// A line of an explanation.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ExplainedLine {
    /// What the line says.
    pub label: String,
    /// The line.
    pub text: String,
}

// --- figures, tables, files ---------------------------------------------------------------------

/// A figure that the drive has.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FigureEntry {
    /// Short name.
    pub id: String,
    /// What it shows.
    pub title: String,
    /// Which question it belongs to.
    pub question: Question,
    /// Whether its numbers can be had as CSV.
    pub has_csv: bool,
    /// Whether its values go over the crank angle, so that the page's cursor moves in it.
    pub follows_crank: bool,
    /// The load case that it is of, where it is of one; with the id of another one in its place the short name is that of its figure.
    pub load_case: Option<String>,
}

/// A figure with its picture.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FigurePage {
    /// Generation of the text that it belongs to.
    pub generation: u64,
    /// How far the computation got that it shows.
    pub stage: Stage,
    /// The figure as data, with ready-made ticks and labels; a drawing without its marks, which the picture shows.
    pub figure: Figure,
    /// The same as SVG with the page's colours.
    pub svg: String,
    /// Where the panels lie in it whose values are read under the pointer: left, top, width, height, of a round frame those of the square about its rim; after the frames of a polar plot those of their enlarged circles; empty for other figures.
    pub fields_paper_mm: Vec<[f64; 4]>,
}

/// The tables of one question.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Tables {
    /// Generation of the text that they belong to.
    pub generation: u64,
    /// How far the computation got that they show.
    pub stage: Stage,
    /// The tables.
    pub tables: Vec<Table>,
}

/// A file that the shop or a reader gets.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ShopFile {
    /// Its name, such as `disc.dxf`.
    pub name: String,
    /// What it is for.
    pub doc: String,
    /// Whether it takes long to make.
    pub is_slow: bool,
}

// --- long work ------------------------------------------------------------------------------------

/// Long work that somebody asks for.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "work", rename_all = "kebab-case")]
pub enum Work {
    /// Assemble many drives within the tolerances.
    Yield {
        /// How many.
        assemblies: u64,
        /// How many of them under load.
        loaded: u64,
        /// Seed of the draws.
        seed: u64,
    },
    /// Report and all shop files.
    Deliver {
        /// Also assemble so many drives within the tolerances, without load, and report what comes of it.
        #[serde(default)]
        assemblies: Option<u64>,
    },
}

/// Work in progress, or done.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Job {
    /// Its number.
    pub id: u64,
    /// Drive file that it belongs to.
    pub file: String,
    /// Generation of the text that it was begun with.
    pub generation: u64,
    /// SHA-256 of that text: the desk may come back to it.
    pub sha256: String,
    /// What was asked for.
    pub work: Work,
    /// What it does, in words.
    pub title: String,
    /// How it stands.
    pub state: JobState,
    /// Share that is done, from 0 to 1.
    pub share: f64,
    /// Progress in words: how many of how many, rate and time left.
    pub progress: String,
}

/// How a job stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum JobState {
    /// Others are before it.
    Waiting,
    /// It is being done.
    Running,
    /// It is done.
    Done,
    /// Somebody ended it; what was computed until then is there, marked partial.
    Cancelled,
    /// It failed; the words of progress say why.
    Failed,
}

/// What came of a job.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct JobResult {
    /// The job.
    pub job: Job,
    /// Whether it was ended before its time.
    pub is_partial: bool,
    /// The findings in words.
    pub sentences: Vec<String>,
    /// Tables.
    pub tables: Vec<Table>,
    /// Figures.
    pub figures: Vec<FigurePage>,
    /// Files that can be fetched, for a delivery.
    pub files: Vec<ShopFile>,
}

// --- two designs side by side -----------------------------------------------------------------

/// Two drives with their differences.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Comparison {
    /// Names of the files.
    pub files: [String; 2],
    /// Titles of the drives.
    pub titles: [String; 2],
    /// How far the computation got that each side shows; the whole comes with the next `verdict` event of the file.
    pub stages: [Stage; 2],
    /// Values that differ.
    pub values: Vec<ComparedValue>,
    /// Checks that either has.
    pub findings: Vec<ComparedFinding>,
    /// Section of each as SVG, both to one scale.
    pub pictures_svg: [String; 2],
}

/// A value in two drives.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ComparedValue {
    /// Dotted path.
    pub path: String,
    /// What it means.
    pub doc: String,
    /// Value in each; absent where the key is left out.
    pub texts: [Option<String>; 2],
}

/// A check in two drives.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct ComparedFinding {
    /// Short name.
    pub id: String,
    /// What was checked.
    pub title: String,
    /// The check in each.
    pub rows: [Option<FindingRow>; 2],
    /// Whether value, limit or standing differ.
    pub differs: bool,
}

// --- events -------------------------------------------------------------------------------------

/// What the server tells a page without being asked.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[serde(tag = "event", rename_all = "kebab-case")]
pub enum Event {
    /// The values of a drive changed: by this page, another one, or an editor of text.
    Desk {
        /// Its file.
        file: String,
        /// Its generation now.
        generation: u64,
        /// What changed it, in words; empty where a stream begins with how things stand.
        cause: String,
    },
    /// A computation is done.
    Verdict {
        /// Its file.
        file: String,
        /// The generation it belongs to.
        generation: u64,
        /// How far it got.
        stage: Stage,
    },
    /// A job moved.
    Job {
        /// How it stands.
        job: Job,
    },
    /// Files came into the folder or left it, or one that is no drive file changed.
    Folder {},
}
