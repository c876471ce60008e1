//! Style, scripts and type, carried in the binary.

use axum::extract::Path;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};

use crate::problem::{Problem, no_such_page};

const CSS: &str = "text/css; charset=utf-8";
const SCRIPT: &str = "text/javascript; charset=utf-8";
const TYPE: &str = "font/woff2";

/// One of the files listed here; a name that is not listed is not there.
pub(crate) async fn asset(Path(name): Path<String>) -> Result<Response, Problem> {
    let (kind, bytes): (&str, &'static [u8]) = match name.as_str() {
        "page.css" => (CSS, include_bytes!("assets/page.css")),
        "page.js" => (SCRIPT, include_bytes!("assets/page.js")),
        "order.js" => (SCRIPT, include_bytes!("assets/order.js")),
        "card.js" => (SCRIPT, include_bytes!("assets/card.js")),
        "paper.js" => (SCRIPT, include_bytes!("assets/paper.js")),
        "quantity.js" => (SCRIPT, include_bytes!("assets/quantity.js")),
        "light.js" => (SCRIPT, include_bytes!("assets/light.js")),
        "proofs.js" => (SCRIPT, include_bytes!("assets/proofs.js")),
        "mark.svg" => ("image/svg+xml", include_bytes!("assets/mark.svg")),
        "franklin.woff2" => (TYPE, include_bytes!("assets/type/franklin.woff2")),
        "franklin-ext.woff2" => (TYPE, include_bytes!("assets/type/franklin-ext.woff2")),
        "caslon.woff2" => (TYPE, include_bytes!("assets/type/caslon.woff2")),
        "caslon-ext.woff2" => (TYPE, include_bytes!("assets/type/caslon-ext.woff2")),
        "caslon-italic.woff2" => (TYPE, include_bytes!("assets/type/caslon-italic.woff2")),
        _ => return Err(no_such_page().await),
    };
    // Type never changes under its name; style and scripts may, from one version to the next.
    let keep = if kind == TYPE {
        "max-age=86400"
    } else {
        "no-cache"
    };
    Ok(([(CONTENT_TYPE, kind), (CACHE_CONTROL, keep)], bytes).into_response())
}
