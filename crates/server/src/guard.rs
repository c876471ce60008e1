//! The guard of the page: only the person who started it, from the page itself, may use it.

use std::fmt::Write;

use axum::extract::{Query, Request, State as Shared};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_LENGTH, CONTENT_SECURITY_POLICY, COOKIE, HOST, HeaderName, LOCATION,
    ORIGIN, REFERRER_POLICY, SET_COOKIE, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

use crate::State;
use crate::problem::Problem;
use crate::{measuring, upload};

/// Most bytes in the body of a request. The largest honest one is a form with a few words.
pub(crate) const BODY_LIMIT: usize = 64 * 1024;

/// Most bytes in the body of a request to an address.
fn most(path: &str) -> usize {
    match path {
        "/proofs/read" => upload::WHOLE,
        "/measured/template" => measuring::WHOLE,
        _ => BODY_LIMIT,
    }
}

/// Everything comes from this server, nothing is inline, nobody may frame it.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; \
                      font-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; \
                      frame-ancestors 'none'";

/// What the guard compares with.
pub(crate) struct Guard {
    host: String,
    origin: String,
    token: String,
    session: String,
    cookie: String,
}

impl Guard {
    /// A guard with two new secrets of 256 bits: the key that is printed, and the cookie's value.
    pub fn new(port: u16) -> Result<Self, getrandom::Error> {
        Ok(Self {
            host: format!("127.0.0.1:{port}"),
            origin: format!("http://127.0.0.1:{port}"),
            token: secret()?,
            session: secret()?,
            // Browsers share cookies between the ports of a host, so the name carries the port.
            cookie: format!("foredge-{port}"),
        })
    }

    /// The address that opens the page.
    pub fn entrance(&self) -> String {
        format!("{}/enter?token={}", self.origin, self.token)
    }

    fn admit(&self, request: &Request) -> Result<(), Problem> {
        let headers = request.headers();
        let named = request.uri().authority().map(|name| name.as_str());
        if only(headers, &HOST) != Some(&self.host) || named.is_some_and(|name| name != self.host) {
            return Err(Problem::plain(
                StatusCode::MISDIRECTED_REQUEST,
                "This address is not served here",
                "Foredge answers only to the exact address that it printed when it started.",
                "Copy that address into the browser as it stands.",
            ));
        }
        // Sites on other ports of this machine count as one site for cookies; browsers say here
        // who really asks.
        let asked_from = headers.get("sec-fetch-site");
        if asked_from.is_some_and(|site| site != "same-origin" && site != "none") {
            return Err(Problem::foreign());
        }
        if *request.method() == Method::GET || *request.method() == Method::HEAD {
            return Ok(());
        }
        if only(headers, &ORIGIN) != Some(&self.origin) {
            return Err(Problem::foreign());
        }
        let length = headers.get(CONTENT_LENGTH);
        let length = length.and_then(|value| value.to_str().ok()?.parse::<usize>().ok());
        if length.is_some_and(|bytes| bytes > most(request.uri().path())) {
            return Err(Problem::too_much());
        }
        Ok(())
    }

    fn knows(&self, headers: &HeaderMap) -> bool {
        let cookies = headers.get_all(COOKIE).iter();
        cookies
            .filter_map(|line| line.to_str().ok())
            .flat_map(|line| line.split(';'))
            .filter_map(|pair| pair.trim().split_once('='))
            .any(|(name, value)| name == self.cookie && same(value, &self.session))
    }
}

/// Stands before every request, and dresses every answer.
pub(crate) async fn stand_guard(
    Shared(state): Shared<State>,
    request: Request,
    next: Next,
) -> Response {
    let guard = state.guard();
    let path = request.uri().path();
    let open = path == "/enter" || path.starts_with("/assets/");
    let mut answer = match guard.admit(&request) {
        Err(problem) => problem.into_response(),
        Ok(()) if !open && !guard.knows(request.headers()) => Problem::plain(
            StatusCode::UNAUTHORIZED,
            "This page opens with a key",
            "Foredge printed an address with a key in it when it started. Only that address opens \
             the page, so that no other site or person on this machine can.",
            "Copy the whole address from the terminal into this browser.",
        )
        .into_response(),
        Ok(()) => next.run(request).await,
    };
    let headers = answer.headers_mut();
    let mut set = |name: HeaderName, value: &'static str| {
        headers.insert(name, HeaderValue::from_static(value));
    };
    set(CONTENT_SECURITY_POLICY, POLICY);
    set(X_CONTENT_TYPE_OPTIONS, "nosniff");
    // With no referrer at all, browsers send forms without scripts as if from nowhere.
    set(REFERRER_POLICY, "same-origin");
    set(
        HeaderName::from_static("cross-origin-resource-policy"),
        "same-origin",
    );
    set(
        HeaderName::from_static("cross-origin-opener-policy"),
        "same-origin",
    );
    headers
        .entry(CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
    answer
}

/// The key from the printed address.
#[derive(Deserialize)]
pub(crate) struct Key {
    #[serde(default)]
    token: String,
}

/// Exchanges the key for the cookie and leads to the clean address.
pub(crate) async fn enter(
    Shared(state): Shared<State>,
    Query(key): Query<Key>,
) -> Result<Response, Problem> {
    let guard = state.guard();
    if !same(&key.token, &guard.token) {
        return Err(Problem::plain(
            StatusCode::FORBIDDEN,
            "This key does not fit",
            "The address carries no key, or the key of an earlier start of Foredge.",
            "Copy the whole address that was printed last.",
        ));
    }
    let cookie = format!(
        "{}={}; HttpOnly; SameSite=Strict; Path=/",
        guard.cookie, guard.session
    );
    Ok((
        StatusCode::SEE_OTHER,
        [(LOCATION, "/".to_owned()), (SET_COOKIE, cookie)],
    )
        .into_response())
}

/// The header's value where it is there exactly once.
fn only<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Option<&'a str> {
    let mut values = headers.get_all(name).iter();
    match (values.next(), values.next()) {
        (Some(value), None) => value.to_str().ok(),
        _ => None,
    }
}

/// Compares in a time that depends on the lengths alone, so that a secret cannot be felt out.
fn same(one: &str, other: &str) -> bool {
    one.len() == other.len()
        && one
            .bytes()
            .zip(other.bytes())
            .fold(0, |differs, (a, b)| differs | (a ^ b))
            == 0
}

fn secret() -> Result<String, getrandom::Error> {
    let mut bytes = [0; 32];
    getrandom::fill(&mut bytes)?;
    Ok(bytes.iter().fold(String::new(), |mut text, byte| {
        write!(text, "{byte:02x}").expect("a string takes any text");
        text
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn secrets_differ_and_have_256_bits() {
        let guard = Guard::new(1).unwrap();
        assert_eq!(guard.token.len(), 64);
        assert_ne!(guard.token, guard.session);
        assert_ne!(guard.token, Guard::new(1).unwrap().token);
    }

    #[test]
    fn only_equal_secrets_are_the_same() {
        assert!(same("abc", "abc"));
        assert!(!same("abc", "abd"));
        assert!(!same("abc", "ab"));
        assert!(!same("", "a"));
    }
}
