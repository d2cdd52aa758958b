//! The page itself, embedded in the program; without it a few words on how to get it.

use axum::http::{StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};

/// What stands at the root of a server without the page.
const WITHOUT_PAGE: &str = "\
lobewright serves the drives of this folder to programs; the page was left out of this build.

The interface is described at /api/openapi.json. Build with the default features to have the page.
";

/// A file of the page, or what there is in its place.
pub async fn page(uri: Uri) -> Response {
    if uri.path() == "/" {
        return ([(header::CONTENT_TYPE, "text/plain; charset=utf-8")], WITHOUT_PAGE).into_response();
    }
    StatusCode::NOT_FOUND.into_response()
}
