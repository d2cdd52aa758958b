//! A request taken apart: parameters, query and body, the same way for all.

use crate::office::Office;
use crate::refusal::Refusal;
use axum::body::Bytes;
use axum::extract::{DefaultBodyLimit, FromRequest, FromRequestParts, Path, Query, Request};
use axum::http::{StatusCode, header};
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

/// Largest body of a request: as large as a drive file may be.
pub const LARGEST_BODY_BYTES: usize = 1 << 20;
/// How long a body may take to arrive.
const PATIENCE: Duration = Duration::from_secs(10);

/// A request, taken apart.
#[derive(Debug)]
pub struct Ask {
    /// Everything behind the interface.
    pub office: Arc<Office>,
    path: BTreeMap<String, String>,
    query: BTreeMap<String, String>,
    body: Vec<u8>,
}

impl FromRequest<Arc<Office>> for Ask {
    type Rejection = Refusal;

    async fn from_request(request: Request, office: &Arc<Office>) -> Result<Self, Refusal> {
        let (mut parts, body) = request.into_parts();
        let path = Path::<BTreeMap<String, String>>::from_request_parts(&mut parts, office).await;
        let Path(path) = path.map_err(|error| Refusal::bad(error.body_text(), ""))?;
        let query = Query::<BTreeMap<String, String>>::try_from_uri(&parts.uri);
        let Query(query) = query.map_err(|error| Refusal::bad(error.body_text(), ""))?;
        let too_large = || {
            let message = format!("the body is too large: more than {LARGEST_BODY_BYTES} bytes");
            Refusal::new(StatusCode::PAYLOAD_TOO_LARGE, message, "")
        };
        let length =
            parts.headers.get(header::CONTENT_LENGTH).and_then(|length| length.to_str().ok()?.parse().ok());
        if length.is_some_and(|length: u64| length > LARGEST_BODY_BYTES as u64) {
            return Err(too_large());
        }
        let mut rest = Request::new(body);
        DefaultBodyLimit::max(LARGEST_BODY_BYTES).apply(&mut rest);
        let body = match tokio::time::timeout(PATIENCE, Bytes::from_request(rest, office)).await {
            Err(_) => return Err(Refusal::new(StatusCode::REQUEST_TIMEOUT, "the body took too long", "")),
            Ok(Err(error)) if error.status() == StatusCode::PAYLOAD_TOO_LARGE => return Err(too_large()),
            Ok(Err(_)) => return Err(Refusal::bad("the body did not arrive whole", "send it again")),
            Ok(Ok(body)) => body.to_vec(),
        };
        let kind =
            parts.headers.get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
        let is_json =
            kind.split(';').next().is_some_and(|kind| kind.trim().eq_ignore_ascii_case("application/json"));
        if !body.is_empty() && !is_json {
            return Err(Refusal::new(
                StatusCode::UNSUPPORTED_MEDIA_TYPE,
                format!("bodies are application/json, not `{kind}`"),
                "",
            ));
        }
        Ok(Self { office: office.clone(), path, query, body })
    }
}

impl Ask {
    /// A parameter of the path; the router gives those that it names.
    #[must_use]
    pub fn path(&self, name: &str) -> &str {
        self.path.get(name).map_or("", String::as_str)
    }

    /// The drive file that it is about.
    #[must_use]
    pub fn file(&self) -> &str {
        self.path("file")
    }

    /// A parameter of the query.
    #[must_use]
    pub fn query(&self, name: &str) -> Option<&str> {
        self.query.get(name).map(String::as_str)
    }

    /// A parameter of the query that must be there.
    ///
    /// # Errors
    /// Its name.
    pub fn needed(&self, name: &str) -> Result<&str, Refusal> {
        self.query(name).ok_or_else(|| Refusal::bad(format!("the parameter `{name}` is missing"), ""))
    }

    /// The body as a type.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn json<T: DeserializeOwned>(&self) -> Result<T, Refusal> {
        serde_json::from_slice(&self.body).map_err(|error| {
            Refusal::bad(format!("the body is not what was expected: {error}"), "see /api/openapi.json")
        })
    }
}
