//! The routes of the interface, once: the router, its description in OpenAPI 3.1 and the page's types are made from this table.

use crate::api::{
    Clearances, Comparison, Desk, Edits, Event, Explanation, FigureEntry, FigurePage, Folder, Job, JobResult,
    Motion, Problem, Refused, Resolution, Scale, Scene, ShopFile, Solids, Tables, VerdictPage, Work,
};
use schemars::generate::{SchemaGenerator, SchemaSettings};
use schemars::{JsonSchema, Schema};
use serde_json::{Map, Value, json};

/// What a request does to the server.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Reads.
    Get,
    /// Changes.
    Post,
    /// Ends or takes away.
    Delete,
}

impl Method {
    /// Its name in HTTP.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Get => "GET",
            Self::Post => "POST",
            Self::Delete => "DELETE",
        }
    }
}

macro_rules! operations {
    ($($(#[doc = $doc:literal])+ $variant:ident = $name:literal;)+) => {
        /// Everything that can be asked of the server.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum Operation {
            $($(#[doc = $doc])+ $variant,)+
        }

        impl Operation {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$variant,)+];

            /// Its name in the description.
            #[must_use]
            pub fn name(self) -> &'static str {
                match self { $(Self::$variant => $name,)+ }
            }

            /// What it does, in a sentence.
            #[must_use]
            pub fn summary(self) -> &'static str {
                match self { $(Self::$variant => concat!($($doc),+).trim_ascii(),)+ }
            }
        }
    };
}

operations! {
    /// The drives of the opened folder, as cards.
    GetFolder = "folder";
    /// A drive as it stands on the desk, with the form of all its values.
    GetDesk = "desk";
    /// Changes values; all changes are made, or none.
    PostEdits = "edit";
    /// Takes the last step back.
    PostUndo = "undo";
    /// Does the step again that was taken back last.
    PostRedo = "redo";
    /// Writes the text to the disk, keeping comments and order.
    PostSave = "save";
    /// Goes back to the text on the disk, as a step that can be taken back.
    PostRevert = "revert";
    /// Ends a conflict with the file on the disk.
    PostResolution = "resolve";
    /// The text of the drive file as it stands on the desk.
    GetText = "text";
    /// The stops of a slider for one value, with the bands where geometry breaks.
    GetScale = "scale";
    /// The verdict, as far as it is computed.
    GetVerdict = "verdict";
    /// The parts of the drive as they are drawn.
    GetScene = "scene";
    /// The discs with their clearances drawn larger.
    GetClearances = "clearances";
    /// Where everything is over the motion, and the forces over their period.
    GetMotion = "motion";
    /// The assembly as prisms.
    GetSolids = "solids";
    /// Which figures the drive has.
    GetFigures = "figures";
    /// One figure; with `.svg` or `.csv` after its name the file itself.
    GetFigure = "figure";
    /// The tables that answer one question.
    GetTables = "tables";
    /// Which files the shop and readers can have.
    GetShopFiles = "shopFiles";
    /// One of these files, byte for byte what the command line writes.
    GetShopFile = "shopFile";
    /// Begins long work.
    PostJob = "beginJob";
    /// All long work that the server remembers.
    GetJobs = "jobs";
    /// What came of long work, as far as it got.
    GetJob = "job";
    /// Ends long work; what was computed until then is kept.
    DeleteJob = "endJob";
    /// A file that long work made.
    GetJobFile = "jobFile";
    /// One of its figures; with `.svg` or `.csv` after its name the file itself.
    GetJobFigure = "jobFigure";
    /// Two drives side by side.
    GetComparison = "compare";
    /// A check, formula, quantity, key or source explained.
    GetExplanation = "explain";
    /// How things stand, then what happens, as server-sent events; the data of each is an `Event`.
    GetEvents = "events";
    /// This description.
    GetDescription = "description";
}

/// Where a parameter stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// In the path.
    Path,
    /// After the question mark.
    Query,
}

/// A parameter of a request; all are text.
#[derive(Clone, Copy, Debug)]
pub struct Parameter {
    /// Its name.
    pub name: &'static str,
    /// Where it stands.
    pub place: Place,
    /// Whether it must be there.
    pub is_required: bool,
    /// What it means.
    pub doc: &'static str,
}

type SchemaOf = fn(&mut SchemaGenerator) -> Schema;

/// What a request is answered with.
#[derive(Clone, Copy, Debug)]
pub enum Answer {
    /// JSON of a type.
    Json(SchemaOf),
    /// JSON of a type, or a file of one of these kinds.
    JsonOrFile(SchemaOf, &'static [&'static str]),
    /// A file of one of these kinds.
    File(&'static [&'static str]),
    /// Server-sent events with JSON of a type.
    Events(SchemaOf),
}

/// One request that the server answers.
#[derive(Clone, Copy, Debug)]
pub struct Route {
    /// What it does.
    pub operation: Operation,
    /// Its method.
    pub method: Method,
    /// Its path, with parameters in braces.
    pub path: &'static str,
    /// Its parameters.
    pub parameters: &'static [Parameter],
    /// The type of its body, if it has one.
    pub request: Option<SchemaOf>,
    /// What it is answered with.
    pub answer: Answer,
    /// Status codes of refusals with a type other than `Problem`.
    pub refusals: &'static [(u16, &'static str, SchemaOf)],
}

fn of<T: JsonSchema>(generator: &mut SchemaGenerator) -> Schema {
    generator.subschema_for::<T>()
}

/// Any JSON at all.
fn any(_: &mut SchemaGenerator) -> Schema {
    Schema::default()
}

const fn in_path(name: &'static str, doc: &'static str) -> Parameter {
    Parameter { name, place: Place::Path, is_required: true, doc }
}

const fn in_query(name: &'static str, is_required: bool, doc: &'static str) -> Parameter {
    Parameter { name, place: Place::Query, is_required, doc }
}

const FILE: Parameter = in_path("file", "Bare name of a drive file in the opened folder.");
const OF_DRIVE: &[Parameter] = &[FILE];

const fn get(operation: Operation, path: &'static str, answer: Answer) -> Route {
    Route { operation, method: Method::Get, path, parameters: &[], request: None, answer, refusals: &[] }
}

const fn of_drive(operation: Operation, path: &'static str, answer: Answer) -> Route {
    Route { parameters: OF_DRIVE, ..get(operation, path, answer) }
}

const fn step(operation: Operation, path: &'static str) -> Route {
    Route { method: Method::Post, ..of_drive(operation, path, Answer::Json(of::<Desk>)) }
}

use Operation as O;

/// All requests that the server answers.
pub const ROUTES: &[Route] = &[
    get(O::GetFolder, "/api/folder", Answer::Json(of::<Folder>)),
    Route {
        refusals: &[(422, "The file is no drive file; what is wrong with it.", of::<Refused>)],
        ..of_drive(O::GetDesk, "/api/drives/{file}", Answer::Json(of::<Desk>))
    },
    Route {
        request: Some(of::<Edits>),
        refusals: &[(422, "The drive file does not take the changes; nothing was changed.", of::<Refused>)],
        ..step(O::PostEdits, "/api/drives/{file}/edits")
    },
    step(O::PostUndo, "/api/drives/{file}/undo"),
    step(O::PostRedo, "/api/drives/{file}/redo"),
    step(O::PostSave, "/api/drives/{file}/save"),
    step(O::PostRevert, "/api/drives/{file}/revert"),
    Route { request: Some(of::<Resolution>), ..step(O::PostResolution, "/api/drives/{file}/resolution") },
    of_drive(O::GetText, "/api/drives/{file}/text", Answer::File(&["text/plain"])),
    Route {
        parameters: &[
            FILE,
            in_query("path", true, "Dotted path of the key, such as `geometry.eccentricity`."),
        ],
        ..get(O::GetScale, "/api/drives/{file}/scale", Answer::Json(of::<Scale>))
    },
    of_drive(O::GetVerdict, "/api/drives/{file}/verdict", Answer::Json(of::<VerdictPage>)),
    of_drive(O::GetScene, "/api/drives/{file}/scene", Answer::Json(of::<Scene>)),
    of_drive(O::GetClearances, "/api/drives/{file}/clearances", Answer::Json(of::<Clearances>)),
    Route {
        parameters: &[
            FILE,
            in_query("load_case", false, "Name of the load case; the first one unless given."),
        ],
        ..get(O::GetMotion, "/api/drives/{file}/motion", Answer::Json(of::<Motion>))
    },
    of_drive(O::GetSolids, "/api/drives/{file}/solids", Answer::Json(of::<Solids>)),
    of_drive(O::GetFigures, "/api/drives/{file}/figures", Answer::Json(of::<Vec<FigureEntry>>)),
    Route {
        parameters: &[FILE, in_path("id", "Short name of the figure, with `.svg` or `.csv` for the file.")],
        ..get(
            O::GetFigure,
            "/api/drives/{file}/figures/{id}",
            Answer::JsonOrFile(of::<FigurePage>, &["image/svg+xml", "text/csv"]),
        )
    },
    Route {
        parameters: &[FILE, in_query("question", true, "`mesh`, `carry`, `last`, `exact` or `shop`.")],
        ..get(O::GetTables, "/api/drives/{file}/tables", Answer::Json(of::<Tables>))
    },
    of_drive(O::GetShopFiles, "/api/drives/{file}/shop", Answer::Json(of::<Vec<ShopFile>>)),
    Route {
        parameters: &[FILE, in_path("name", "Name of the file, such as `disc.dxf`.")],
        ..get(O::GetShopFile, "/api/drives/{file}/shop/{name}", Answer::File(&["application/octet-stream"]))
    },
    Route {
        method: Method::Post,
        request: Some(of::<Work>),
        ..of_drive(O::PostJob, "/api/drives/{file}/jobs", Answer::Json(of::<Job>))
    },
    get(O::GetJobs, "/api/jobs", Answer::Json(of::<Vec<Job>>)),
    Route {
        parameters: &[in_path("id", "Number of the job.")],
        ..get(O::GetJob, "/api/jobs/{id}", Answer::Json(of::<JobResult>))
    },
    Route {
        parameters: &[in_path("id", "Number of the job."), in_path("name", "Name of the file.")],
        ..get(O::GetJobFile, "/api/jobs/{id}/files/{name}", Answer::File(&["application/octet-stream"]))
    },
    Route {
        parameters: &[
            in_path("id", "Number of the job."),
            in_path("figure", "Short name of the figure, with `.svg` or `.csv` for the file."),
        ],
        ..get(
            O::GetJobFigure,
            "/api/jobs/{id}/figures/{figure}",
            Answer::JsonOrFile(of::<FigurePage>, &["image/svg+xml", "text/csv"]),
        )
    },
    Route {
        method: Method::Delete,
        parameters: &[in_path("id", "Number of the job.")],
        ..get(O::DeleteJob, "/api/jobs/{id}", Answer::Json(of::<Job>))
    },
    Route {
        parameters: &[
            in_query("left", true, "Bare name of a drive file."),
            in_query("right", true, "Bare name of another one."),
        ],
        ..get(O::GetComparison, "/api/compare", Answer::Json(of::<Comparison>))
    },
    Route {
        parameters: &[in_path("name", "Name of a check, formula, quantity, key or source.")],
        ..get(O::GetExplanation, "/api/explain/{name}", Answer::Json(of::<Explanation>))
    },
    get(O::GetEvents, "/api/events", Answer::Events(of::<Event>)),
    get(O::GetDescription, "/api/openapi.json", Answer::Json(any)),
];

/// Schemas as the description refers to them; what is asked may leave out more than what is answered.
struct Schemas {
    requests: SchemaGenerator,
    answers: SchemaGenerator,
}

impl Schemas {
    fn new() -> Self {
        let settings = || {
            SchemaSettings::draft2020_12().with(|settings| {
                settings.definitions_path = "/components/schemas".into();
                settings.meta_schema = None;
            })
        };
        Self {
            requests: settings().for_deserialize().into_generator(),
            answers: settings().for_serialize().into_generator(),
        }
    }

    /// Everything that was referred to; a type that is both asked and answered has no key that may be left out.
    fn definitions(mut self) -> Map<String, Value> {
        let mut all = self.answers.take_definitions(true);
        all.extend(self.requests.take_definitions(true));
        all
    }
}

/// The description of the interface.
#[must_use]
pub fn description() -> Value {
    let mut schemas = Schemas::new();
    let mut paths = Map::new();
    for route in ROUTES {
        let entry = paths.entry(route.path).or_insert_with(|| json!({}));
        entry[route.method.name().to_lowercase()] = operation(route, &mut schemas);
    }
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "lobewright",
            "version": env!("CARGO_PKG_VERSION"),
            "description": "The local page's interface: drives of one folder, computed by the same core as the command line.",
        },
        "paths": paths,
        "components": { "schemas": schemas.definitions() },
    })
}

fn operation(route: &Route, schemas: &mut Schemas) -> Value {
    let parameters: Vec<Value> = route.parameters.iter().map(parameter).collect();
    let mut responses = Map::new();
    responses.insert("200".to_owned(), answer(&route.answer, &mut schemas.answers));
    for (status, doc, schema) in route.refusals {
        let content = json_content(schema(&mut schemas.answers));
        responses.insert(status.to_string(), json!({ "description": doc, "content": content }));
    }
    let problem = json_content(of::<Problem>(&mut schemas.answers));
    responses.insert(
        "default".to_owned(),
        json!({ "description": "The request was refused, or could not be answered.", "content": problem }),
    );
    let mut operation = json!({
        "operationId": route.operation.name(),
        "summary": route.operation.summary(),
        "parameters": parameters,
        "responses": responses,
    });
    if let Some(request) = route.request {
        let content = json_content(request(&mut schemas.requests));
        operation["requestBody"] = json!({ "required": true, "content": content });
    }
    operation
}

fn parameter(parameter: &Parameter) -> Value {
    let place = match parameter.place {
        Place::Path => "path",
        Place::Query => "query",
    };
    json!({
        "name": parameter.name,
        "in": place,
        "required": parameter.is_required,
        "description": parameter.doc,
        "schema": { "type": "string" },
    })
}

fn answer(answer: &Answer, generator: &mut SchemaGenerator) -> Value {
    let file = |kind: &&str| ((*kind).to_owned(), json!({ "schema": { "type": "string" } }));
    let content = match answer {
        Answer::Json(schema) => json_content(schema(generator)),
        Answer::JsonOrFile(schema, kinds) => {
            let mut content = json_content(schema(generator));
            if let Value::Object(entries) = &mut content {
                entries.extend(kinds.iter().map(file));
            }
            content
        }
        Answer::File(kinds) => Value::Object(kinds.iter().map(file).collect()),
        Answer::Events(schema) => json!({ "text/event-stream": { "schema": schema(generator) } }),
    };
    json!({ "description": "Done.", "content": content })
}

fn json_content(schema: impl Into<Value>) -> Value {
    json!({ "application/json": { "schema": schema.into() } })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn identity_every_operation_has_one_route_and_every_parameter_its_place() {
        for operation in Operation::ALL {
            let routes = ROUTES.iter().filter(|route| route.operation == *operation);
            assert_eq!(routes.count(), 1, "{operation:?}");
        }
        for route in ROUTES {
            let in_braces: BTreeSet<&str> =
                route.path.split('/').filter_map(|step| step.strip_prefix('{')?.strip_suffix('}')).collect();
            let in_path = route.parameters.iter().filter(|parameter| parameter.place == Place::Path);
            assert_eq!(in_braces, in_path.map(|parameter| parameter.name).collect(), "{}", route.path);
        }
    }

    #[test]
    fn identity_every_reference_of_the_description_leads_somewhere() {
        let description = description();
        let text = description.to_string();
        for piece in text.split("\"$ref\":\"#/components/schemas/").skip(1) {
            let name = piece.split('"').next().unwrap();
            assert!(description["components"]["schemas"].get(name).is_some(), "{name}");
        }
        assert!(description["components"]["schemas"].get("Event").is_some());
    }
}
