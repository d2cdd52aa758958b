//! Who may ask: the right host, no other page's scripts, and a token where the server can be reached from elsewhere.

use crate::refusal::Refusal;
use axum::extract::{Request, State};
use axum::http::header::{self, HeaderMap, HeaderName, HeaderValue};
use axum::http::uri::Authority;
use axum::http::{Method, StatusCode, Uri};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::fmt::Write;
use std::net::{IpAddr, SocketAddr};
use std::sync::Arc;

/// Name of the cookie that holds the token.
const COOKIE: &str = "lobewright-token";

/// What a request must show.
#[derive(Debug)]
pub struct Guard {
    address: SocketAddr,
    token: Option<String>,
}

impl Guard {
    /// The guard of a server at an address; beyond this machine it asks for a token.
    ///
    /// # Errors
    /// Where the system has no random numbers.
    pub fn new(address: SocketAddr) -> Result<Self, getrandom::Error> {
        let token = if address.ip().is_loopback() { None } else { Some(random_token()?) };
        Ok(Self { address, token })
    }

    /// The token, if one is asked for.
    #[must_use]
    pub fn token(&self) -> Option<&str> {
        self.token.as_deref()
    }

    /// Whether a request may name this host: this machine by name or number, or the address that was asked for.
    fn is_host(&self, host: &str) -> bool {
        let Ok(authority) = host.parse::<Authority>() else { return false };
        if host.contains('@') || authority.port_u16().unwrap_or(80) != self.address.port() {
            return false;
        }
        let name = authority.host();
        let number: Option<IpAddr> = name.trim_start_matches('[').trim_end_matches(']').parse().ok();
        match number {
            Some(ip) if ip.is_loopback() => ["127.0.0.1", "[::1]"].contains(&name),
            // A number cannot be made to point here by somebody else's name server.
            Some(ip) => {
                !self.address.ip().is_loopback()
                    && (self.address.ip().is_unspecified() || ip == self.address.ip())
            }
            None => name.eq_ignore_ascii_case("localhost"),
        }
    }

    fn check(&self, method: &Method, uri: &Uri, headers: &HeaderMap) -> Result<(), Refusal> {
        let mut hosts = headers.get_all(header::HOST).iter();
        let host = hosts.next().and_then(|host| host.to_str().ok()).unwrap_or_default();
        let is_named = uri.authority().is_none_or(|authority| authority.as_str() == host);
        if hosts.next().is_some() || !is_named || !self.is_host(host) {
            let message = format!("this server is not `{}`", host.chars().take(100).collect::<String>());
            let hint = format!("ask http://{}", self.address);
            return Err(Refusal::new(StatusCode::MISDIRECTED_REQUEST, message, hint));
        }
        let own = format!("http://{host}");
        let is_foreign =
            headers.get_all(header::ORIGIN).iter().any(|origin| origin.as_bytes() != own.as_bytes());
        let site = headers.get("sec-fetch-site").map(HeaderValue::as_bytes);
        let is_cross = site.is_some_and(|site| ![b"same-origin".as_slice(), b"none"].contains(&site));
        // A link on another page may lead to this one, but its scripts and forms may not.
        let is_visit = method == Method::GET
            && headers.get("sec-fetch-mode").is_some_and(|mode| mode == "navigate")
            && !uri.path().starts_with("/api");
        if is_foreign || is_cross && !is_visit {
            return Err(Refusal::new(StatusCode::FORBIDDEN, "the request comes from another page", ""));
        }
        Ok(())
    }

    /// Whether a request shows the token, in its header or its cookie.
    fn is_trusted(&self, headers: &HeaderMap) -> bool {
        let Some(token) = &self.token else { return true };
        let bearer = headers.get(header::AUTHORIZATION).and_then(|value| value.to_str().ok());
        let bearer = bearer.and_then(|value| value.strip_prefix("Bearer ")).map(str::trim);
        let cookies = headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
        let cookie = cookies
            .flat_map(|line| line.split(';'))
            .filter_map(|pair| pair.trim().split_once('='))
            .find_map(|(name, value)| (name == COOKIE).then_some(value));
        bearer.into_iter().chain(cookie).any(|shown| is_equal(shown.as_bytes(), token.as_bytes()))
    }

    /// The way to the page without the token, with the cookie, for a visit that shows it in the address.
    fn welcome(&self, method: &Method, uri: &Uri) -> Option<Response> {
        let token = self.token.as_ref().filter(|_| method == Method::GET)?;
        let shown = uri.query()?.split('&').find_map(|pair| pair.strip_prefix("token="))?;
        if !is_equal(shown.as_bytes(), token.as_bytes()) {
            return None;
        }
        let cookie = format!("{COOKIE}={token}; Path=/; HttpOnly; SameSite=Strict");
        // Two slashes at the start would name another host.
        let path = format!("/{}", uri.path().trim_start_matches('/'));
        Some(
            (StatusCode::SEE_OTHER, [(header::SET_COOKIE, cookie), (header::LOCATION, path)]).into_response(),
        )
    }
}

/// Lets a request pass or refuses it, and puts the same headers on every answer.
pub async fn guard(State(guard): State<Arc<Guard>>, request: Request, next: Next) -> Response {
    let (method, uri, headers) = (request.method(), request.uri(), request.headers());
    let is_api = uri.path().starts_with("/api");
    let mut response = match guard.check(method, uri, headers) {
        Err(refusal) => refusal.into_response(),
        Ok(()) if guard.is_trusted(headers) => next.run(request).await,
        Ok(()) => guard.welcome(method, uri).unwrap_or_else(|| {
            let hint = "open the address that `lobewright serve` printed, or send its token as `Authorization: Bearer …`";
            Refusal::new(StatusCode::UNAUTHORIZED, "the server wants its token", hint).into_response()
        }),
    };
    let headers = response.headers_mut();
    for (name, value) in HEADERS {
        headers.insert(HeaderName::from_static(name), HeaderValue::from_static(value));
    }
    if is_api {
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    response
}

/// What every answer says to the browser. Figures carry their styles inside, hence the exception for styles.
const HEADERS: [(&str, &str); 5] = [
    (
        "content-security-policy",
        "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    ),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "no-referrer"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
];

/// Compares secrets in a time that does not tell where they differ.
fn is_equal(one: &[u8], other: &[u8]) -> bool {
    one.len() == other.len() && one.iter().zip(other).fold(0, |sum, (a, b)| sum | (a ^ b)) == 0
}

fn random_token() -> Result<String, getrandom::Error> {
    let mut bytes = [0; 24];
    getrandom::fill(&mut bytes)?;
    Ok(bytes.iter().fold(String::new(), |mut text, byte| {
        // Writing to a string cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_only_this_machine_by_its_names_is_the_host() {
        let guard = Guard::new("127.0.0.1:8123".parse().unwrap()).unwrap();
        assert!(guard.token().is_none());
        for host in ["127.0.0.1:8123", "localhost:8123", "LOCALHOST:8123", "[::1]:8123"] {
            assert!(guard.is_host(host), "{host}");
        }
        for host in [
            "",
            "127.0.0.1",
            "127.0.0.1:8124",
            "evil.example:8123",
            "localhost.evil.example:8123",
            "a@localhost:8123",
            "127.0.0.2:8123",
            "192.0.2.7:8123",
            "[::1]",
            "[::2]:8123",
            "localhost:8123/x",
        ] {
            assert!(!guard.is_host(host), "{host}");
        }
    }

    #[test]
    fn identity_beyond_this_machine_a_token_of_its_own_is_asked_for() {
        let guard = Guard::new("0.0.0.0:8123".parse().unwrap()).unwrap();
        let other = Guard::new("0.0.0.0:8123".parse().unwrap()).unwrap();
        assert_ne!(guard.token(), other.token());
        assert!(guard.is_host("192.0.2.7:8123") && !guard.is_host("evil.example:8123"));
        let mut headers = HeaderMap::new();
        assert!(!guard.is_trusted(&headers));
        let bearer = |token: &str| HeaderValue::from_str(&format!("Bearer {token}")).unwrap();
        headers.insert(header::AUTHORIZATION, bearer(other.token().unwrap()));
        assert!(!guard.is_trusted(&headers));
        headers.insert(header::AUTHORIZATION, bearer(guard.token().unwrap()));
        assert!(guard.is_trusted(&headers));
        let welcome = guard.welcome(
            &Method::GET,
            &format!("//evil.example/?token={}", guard.token().unwrap()).parse().unwrap(),
        );
        assert_eq!(welcome.unwrap().headers()[header::LOCATION], "/evil.example/");
    }
}
