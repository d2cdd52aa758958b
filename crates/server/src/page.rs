//! The page itself, embedded in the program; without it a few words on how to get it.

use axum::http::{HeaderMap, StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};

#[cfg(feature = "page")]
mod embedded {
    /// What Vite built.
    #[derive(rust_embed::RustEmbed)]
    #[folder = "$OUT_DIR/dist"]
    pub struct Page;
}

/// What stands at the root of a server without the page.
#[cfg(not(feature = "page"))]
const WITHOUT_PAGE: &str = "\
lobewright serves the drives of this folder to programs; the page was left out of this build.

The interface is described at /api/openapi.json. Build with the default features to have the page.
";

/// A file of the page, or what there is in its place.
#[cfg(feature = "page")]
pub async fn page(uri: Uri, headers: HeaderMap) -> Response {
    use std::fmt::Write;
    let path = uri.path().trim_start_matches('/');
    let path = if path.is_empty() { "index.html" } else { path };
    let Some(file) = embedded::Page::get(path) else { return StatusCode::NOT_FOUND.into_response() };
    let mut tag = String::from("\"");
    for byte in file.metadata.sha256_hash() {
        // Writing to a string cannot fail.
        let _ = write!(tag, "{byte:02x}");
    }
    tag.push('"');
    // Names of assets hold a hash of what is in them; everything else is asked for again.
    let keep = if path.starts_with("assets/") { "public, max-age=31536000, immutable" } else { "no-cache" };
    let head = [
        (header::CONTENT_TYPE, media_type(path).to_owned()),
        (header::CACHE_CONTROL, keep.to_owned()),
        (header::ETAG, tag.clone()),
    ];
    if headers.get(header::IF_NONE_MATCH).is_some_and(|known| known.as_bytes() == tag.as_bytes()) {
        return (StatusCode::NOT_MODIFIED, head).into_response();
    }
    (head, file.data.into_owned()).into_response()
}

/// A file of the page, or what there is in its place.
#[cfg(not(feature = "page"))]
pub async fn page(uri: Uri, _headers: HeaderMap) -> Response {
    if uri.path() == "/" {
        return ([(header::CONTENT_TYPE, "text/plain; charset=utf-8")], WITHOUT_PAGE).into_response();
    }
    StatusCode::NOT_FOUND.into_response()
}

/// Kind of a file by the end of its name.
#[cfg(feature = "page")]
fn media_type(path: &str) -> &'static str {
    match path.rsplit('.').next().unwrap_or_default() {
        "html" => "text/html; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "svg" => "image/svg+xml",
        "woff2" => "font/woff2",
        _ => "application/octet-stream",
    }
}
