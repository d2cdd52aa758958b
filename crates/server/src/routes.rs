//! Every request of the interface and its answer, by the table of [`crate::openapi`].

use crate::api::{Change, Edits, Event, Question, Resolution, Stage, Tables, Work};
use crate::ask::Ask;
use crate::card::folder;
use crate::compare::comparison;
use crate::compute::{Computed, Urgency, guarded};
use crate::delivery::{DeliveryError, delivered, file_list, media_type};
use crate::desk::{Desk, DeskError};
use crate::figures::{figure, figure_list, figure_page, tables};
use crate::guard::{Guard, guard};
use crate::jobs::JobError;
use crate::meaning::explanation;
use crate::office::Office;
use crate::openapi::{Method, Operation, ROUTES, description};
use crate::refusal::Refusal;
use crate::verdict::verdict_page;
use crate::{page, view};
use axum::http::{StatusCode, header};
use axum::response::sse::{self, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use axum::routing::{MethodRouter, delete, get, post};
use axum::{Json, Router, middleware};
use exchange::figure_csv;
use futures_util::stream::{self, StreamExt as _};
use report::ReportError;
use schema::{DriveFile, Edit};
use serde::Serialize;
use sheet::Figure;
use sheet::explain::nearest;
use sheet::svg::{self, Theme};
use std::sync::Arc;
use std::time::Duration;

/// How long a request waits for a preview, and for the whole.
const PREVIEW_PATIENCE: Duration = Duration::from_secs(10);
const FULL_PATIENCE: Duration = Duration::from_secs(120);
/// How often listeners are told that the server lives.
const HEARTBEAT: Duration = Duration::from_secs(10);
/// Changes in one request: each takes the whole file anew, and the drive waits for all of them.
const MOST_CHANGES: usize = 100;

/// The whole server as one service.
pub fn router(office: Arc<Office>, who: Arc<Guard>) -> Router {
    let mut router = Router::new();
    for route in ROUTES {
        router = router.route(route.path, handler(route.method, route.operation));
    }
    router
        .route("/api", get(no_such_request))
        .route("/api/{*rest}", get(no_such_request))
        .method_not_allowed_fallback(no_such_method)
        .fallback(page::page)
        .layer(middleware::from_fn_with_state(who, guard))
        .with_state(office)
}

fn handler(method: Method, operation: Operation) -> MethodRouter<Arc<Office>> {
    let handler = async move |ask: Ask| match answer(operation, ask).await {
        Ok(response) => response,
        Err(refusal) => refusal.into_response(),
    };
    match method {
        Method::Get => get(handler),
        Method::Post => post(handler),
        Method::Delete => delete(handler),
    }
}

async fn no_such_request() -> Refusal {
    Refusal::new(StatusCode::NOT_FOUND, "there is no such request", "see /api/openapi.json")
}

async fn no_such_method() -> Refusal {
    Refusal::new(StatusCode::METHOD_NOT_ALLOWED, "this cannot be asked in this way", "see /api/openapi.json")
}

type Answer = Result<Response, Refusal>;

async fn answer(operation: Operation, ask: Ask) -> Answer {
    use Operation as O;
    match operation {
        O::GetFolder => json(blocking(ask, |ask| Ok(folder(&ask.office)?)).await?),
        O::GetDesk => {
            let desk = blocking(ask, |ask| {
                let page = ask.office.look(ask.file(), |desk| {
                    ask.office.compute.want(ask.file(), desk.generation(), desk.file(), Urgency::Desk);
                    desk.page()
                })?;
                Ok(page)
            });
            json(desk.await?)
        }
        O::PostEdits => {
            let edits: Edits = ask.json()?;
            let count = edits.changes.len();
            if count > MOST_CHANGES {
                let hint = format!("send at most {MOST_CHANGES} at a time");
                return Err(Refusal::bad(format!("{count} changes are too many for one request"), hint));
            }
            change(ask, "edit", move |desk| desk.edit(&edits_of(edits.changes), edits.continues)).await
        }
        O::PostUndo => change(ask, "undo", Desk::undo).await,
        O::PostRedo => change(ask, "redo", Desk::redo).await,
        O::PostSave => change(ask, "save", Desk::save).await,
        O::PostRevert => change(ask, "back to the file on the disk", Desk::revert).await,
        O::PostResolution => {
            let resolution: Resolution = ask.json()?;
            change(ask, "choice between desk and disk", move |desk| desk.resolve(&resolution.keep_desk)).await
        }
        O::GetText => {
            let text =
                blocking(ask, |ask| Ok(ask.office.look(ask.file(), |desk| desk.file().text.clone())?));
            Ok(([(header::CONTENT_TYPE, "text/plain; charset=utf-8")], text.await?).into_response())
        }
        O::GetScale => {
            let path = ask.needed("path")?.to_owned();
            let scale = blocking(ask, move |ask| {
                let (file, generation) = present(ask)?;
                view::scale(&file, &path, generation)
                    .ok_or_else(|| Refusal::not_found(format!("`{path}` has no scale")))
            });
            json(scale.await?)
        }
        O::GetVerdict => {
            let (computed, generation) = known(&ask, Stage::Preview).await?;
            json(verdict_page(&computed, generation))
        }
        O::GetScene => json(
            blocking(ask, |ask| present(ask).map(|(file, generation)| view::scene(&file.drive, generation)))
                .await?,
        ),
        O::GetClearances => json(
            blocking(ask, |ask| {
                present(ask).map(|(file, generation)| view::clearances(&file.drive, generation))
            })
            .await?,
        ),
        O::GetSolids => json(
            blocking(ask, |ask| present(ask).map(|(file, generation)| view::solids(&file.drive, generation)))
                .await?,
        ),
        O::GetMotion => {
            let (computed, generation) = known(&ask, Stage::Preview).await?;
            let motion = blocking(ask, move |ask| {
                let assessment = assessed(&computed)?;
                let load_case = ask.query("load_case").unwrap_or_default();
                Ok(view::motion(&computed.file.drive, assessment, load_case, computed.stage, generation))
            });
            json(motion.await?)
        }
        O::GetEvents => events(ask).await,
        O::GetDescription => json(description()),
        O::GetFigures | O::GetTables | O::GetShopFiles => overview(operation, ask).await,
        O::GetFigure => one_figure(ask).await,
        O::GetShopFile => shop_file(ask).await,
        O::GetJobs => json(ask.office.jobs.all()),
        O::PostJob | O::GetJob | O::GetJobFigure | O::GetJobFile | O::DeleteJob => job(operation, ask).await,
        O::GetComparison => two_drives(ask).await,
        O::GetExplanation => {
            let name = ask.path("name");
            let hint = || nearest(name).map_or_else(String::new, |near| format!("did you mean `{near}`?"));
            let message = || format!("nothing is called `{name}`");
            json(explanation(name).ok_or_else(|| Refusal::new(StatusCode::NOT_FOUND, message(), hint()))?)
        }
    }
}

/// What there is of a drive: figures, files, or the tables of a question.
async fn overview(operation: Operation, ask: Ask) -> Answer {
    let (computed, generation) = known(&ask, Stage::Preview).await?;
    blocking(ask, move |ask| {
        let assessment = assessed(&computed)?;
        match operation {
            Operation::GetFigures => json(figure_list(&computed, assessment)),
            Operation::GetShopFiles => json(file_list(&computed.file, assessment)),
            _ => {
                let question = question(ask.needed("question")?)?;
                let stage = computed.stage;
                json(Tables { generation, stage, tables: tables(&computed, assessment, question) })
            }
        }
    })
    .await
}

fn question(word: &str) -> Result<Question, Refusal> {
    serde_json::from_value(word.into()).map_err(|_| {
        Refusal::bad(format!("`{word}` is no question"), "ask for mesh, carry, last, exact or shop")
    })
}

/// A figure of what is known by now; as a file only of the whole.
async fn one_figure(ask: Ask) -> Answer {
    let (name, kind) = figure_and_kind(ask.path("id"));
    let stage = if kind.is_some() { Stage::Full } else { Stage::Preview };
    let (computed, generation) = known(&ask, stage).await?;
    blocking(ask, move |_| {
        let figure = figure(&computed, assessed(&computed)?, &name)
            .ok_or_else(|| Refusal::not_found(format!("this drive has no figure `{name}`")))?;
        figure_as(figure, kind, generation, computed.stage)
    })
    .await
}

/// Kinds of files that a figure can be had as.
#[derive(Clone, Copy)]
enum FigureFile {
    Svg,
    Csv,
}

/// The short name of a figure, and which file of it is asked for, if any.
fn figure_and_kind(asked: &str) -> (String, Option<FigureFile>) {
    let (name, kind) = match asked.rsplit_once('.') {
        Some((name, "svg")) => (name, Some(FigureFile::Svg)),
        Some((name, "csv")) => (name, Some(FigureFile::Csv)),
        _ => (asked, None),
    };
    (name.to_owned(), kind)
}

/// A figure as the page shows it, or as a file.
fn figure_as(figure: Figure, kind: Option<FigureFile>, generation: u64, stage: Stage) -> Answer {
    let name = figure.id.clone();
    match kind {
        None => json(figure_page(figure, generation, stage)),
        Some(FigureFile::Svg) => Ok(unnamed("figure.svg", svg::render(&figure, Theme::Light).into_bytes())),
        Some(FigureFile::Csv) => match figure_csv(&figure) {
            Some(table) => Ok(unnamed("figure.csv", table.map_err(|error| failed(&error))?)),
            None => Err(Refusal::not_found(format!("`{name}` is a drawing and has no table of numbers"))),
        },
    }
}

/// A file as the command line writes it.
async fn shop_file(ask: Ask) -> Answer {
    let name = ask.path("name").to_owned();
    let (computed, _) = known(&ask, Stage::Full).await?;
    blocking(ask, move |_| {
        let bytes = delivered(&computed.file, assessed(&computed)?, &name).map_err(|error| match error {
            DeliveryError::Report(ReportError::BuiltWithoutPdf) => Refusal::new(
                StatusCode::SERVICE_UNAVAILABLE,
                error.to_string(),
                "build it with its default features",
            ),
            DeliveryError::NoPart(_) => Refusal::told(StatusCode::CONFLICT, &error),
            error => failed(&error),
        })?;
        let bytes = bytes.ok_or_else(|| Refusal::not_found(format!("this drive has no file `{name}`")))?;
        Ok(download(&name, bytes))
    })
    .await
}

fn failed(error: &dyn std::fmt::Display) -> Refusal {
    Refusal::told(StatusCode::INTERNAL_SERVER_ERROR, error)
}

/// A file to keep under a name that the page gives it, with that of the drive.
fn unnamed(kind: &str, bytes: Vec<u8>) -> Response {
    let headers = [(header::CONTENT_TYPE, media_type(kind)), (header::CONTENT_DISPOSITION, "attachment")];
    (headers, bytes).into_response()
}

/// A file to keep. Its name is one of ours, so it needs no escapes.
fn download(name: &str, bytes: Vec<u8>) -> Response {
    let headers = [
        (header::CONTENT_TYPE, media_type(name).to_owned()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
    ];
    (headers, bytes).into_response()
}

async fn job(operation: Operation, ask: Ask) -> Answer {
    if operation == Operation::PostJob {
        let work: Work = ask.json()?;
        let job = blocking(ask, move |ask| {
            let (file, generation) = present(ask)?;
            let begun = ask.office.jobs.begin(ask.file(), generation, &file, work);
            if let Ok(job) = &begun {
                ask.office.tell(Event::Job { job: job.clone() });
            }
            begun.map_err(|error| match error {
                JobError::Full => Refusal::new(
                    StatusCode::TOO_MANY_REQUESTS,
                    error.to_string(),
                    "wait until one is done, or end one",
                ),
                JobError::Wrong(_) => Refusal::told(StatusCode::BAD_REQUEST, &error),
            })
        });
        return json(job.await?);
    }
    let text = ask.path("id").to_owned();
    let no_job = move || Refusal::not_found(format!("there is no job {text}"));
    let Ok(id) = ask.path("id").parse::<u64>() else { return Err(no_job()) };
    match operation {
        Operation::DeleteJob => {
            let job = ask.office.jobs.end(id).ok_or_else(no_job)?;
            ask.office.tell(Event::Job { job: job.clone() });
            json(job)
        }
        Operation::GetJobFigure => {
            let (name, kind) = figure_and_kind(ask.path("figure"));
            let missing = || Refusal::not_found(format!("job {id} has no figure `{name}`"));
            let (figure, generation) = ask.office.jobs.figure(id, &name).ok_or_else(missing)?;
            figure_as(figure, kind, generation, Stage::Full)
        }
        Operation::GetJobFile => {
            let name = ask.path("name");
            let bytes = ask.office.jobs.file(id, name).ok_or_else(no_job)?;
            Ok(download(name, bytes))
        }
        _ => json(blocking(ask, move |ask| ask.office.jobs.result(id).ok_or_else(no_job)).await?),
    }
}

async fn two_drives(ask: Ask) -> Answer {
    let names = [ask.needed("left")?.to_owned(), ask.needed("right")?.to_owned()];
    let (left, _) = known_of(&ask, &names[0], Stage::Preview).await?;
    let (right, _) = known_of(&ask, &names[1], Stage::Preview).await?;
    blocking(ask, move |_| {
        let assessments = [assessed(&left)?, assessed(&right)?];
        json(comparison([&names[0], &names[1]], [&left, &right], assessments))
    })
    .await
}

fn json(value: impl Serialize) -> Answer {
    Ok(Json(value).into_response())
}

/// Work that takes more than a moment, beside the thread that serves; a defect in it becomes words.
async fn blocking<T: Send + 'static>(
    ask: Ask,
    work: impl FnOnce(&Ask) -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    aside(move || work(&ask)).await
}

/// Work beside the thread that serves, which must never wait for a desk in use or for the disk.
async fn aside<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    let done = tokio::task::spawn_blocking(move || guarded(work)).await;
    match done {
        Ok(Ok(answer)) => answer,
        Ok(Err(defect)) => Err(Refusal::new(StatusCode::INTERNAL_SERVER_ERROR, defect, "")),
        Err(_) => Err(Refusal::later("the server is closing")),
    }
}

/// Changes a desk and answers with it.
async fn change(
    ask: Ask,
    cause: &'static str,
    change: impl FnOnce(&mut Desk) -> Result<(), DeskError> + Send + 'static,
) -> Answer {
    json(blocking(ask, move |ask| Ok(ask.office.change(ask.file(), cause, change)?)).await?)
}

fn edits_of(changes: Vec<Change>) -> Vec<Edit> {
    let edit = |change| match change {
        Change::Set { path, text } => Edit::Set { path, text },
        Change::Remove { path } => Edit::Remove { path },
        Change::AddItem { path } => Edit::Add { path },
        Change::RemoveItem { path } => Edit::TakeOut { path },
    };
    changes.into_iter().map(edit).collect()
}

/// The text of a drive as it stands on the desk, with its generation.
fn present(ask: &Ask) -> Result<(Arc<DriveFile>, u64), Refusal> {
    present_of(&ask.office, ask.file())
}

fn present_of(office: &Office, name: &str) -> Result<(Arc<DriveFile>, u64), Refusal> {
    Ok(office.look(name, |desk| (desk.file().clone(), desk.generation()))?)
}

/// What is known of the present text, at least so far; a text that is edited meanwhile is followed.
async fn known(ask: &Ask, stage: Stage) -> Result<(Arc<Computed>, u64), Refusal> {
    known_of(ask, ask.file(), stage).await
}

async fn known_of(ask: &Ask, name: &str, stage: Stage) -> Result<(Arc<Computed>, u64), Refusal> {
    let patience = if stage == Stage::Full { FULL_PATIENCE } else { PREVIEW_PATIENCE };
    let follow = async {
        loop {
            let (office, named) = (ask.office.clone(), name.to_owned());
            let (file, generation) = aside(move || present_of(&office, &named)).await?;
            ask.office.compute.want(name, generation, &file, Urgency::Desk);
            if let Some(computed) = ask.office.compute.wait(&file.sha256, stage, patience).await {
                return Ok((computed, generation));
            }
        }
    };
    let late = |_| Refusal::later("the computation takes long");
    tokio::time::timeout(patience, follow).await.map_err(late)?
}

/// The results, or why there are none.
fn assessed(computed: &Computed) -> Result<&reducer::results::Assessment, Refusal> {
    match &computed.outcome {
        Ok(assessment) => Ok(assessment),
        Err(problem) => Err(Refusal::new(StatusCode::CONFLICT, problem.clone(), "")),
    }
}

/// How things stand, then what happens, as long as somebody listens; who lags behind is let go, comes back and reads everything anew.
async fn events(ask: Ask) -> Answer {
    // Listening first: what happens between the two is told twice rather than never.
    let (receiver, closing) = (ask.office.listen(), ask.office.closing());
    let standing = stream::iter(blocking(ask, |ask| Ok(ask.office.standing())).await?);
    let happening = stream::unfold((receiver, closing), async |(mut receiver, mut closing)| {
        let event = tokio::select! {
            event = receiver.recv() => event.ok()?,
            _ = closing.wait_for(|is_closing| *is_closing) => return None,
        };
        Some((event, (receiver, closing)))
    });
    let stream = standing.chain(happening).map(|event| sse::Event::default().json_data(&event));
    Ok(Sse::new(stream).keep_alive(KeepAlive::new().interval(HEARTBEAT)).into_response())
}
