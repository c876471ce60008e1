use desk::{Desk, DeskError};
use serde_json::json;
use server::Options;

use crate::outcome::Outcome;

/// Serves the page until Ctrl-C.
pub fn serve(desk: Desk, port: Option<u16>, open: bool) -> Result<Outcome, DeskError> {
    server::run(desk, Options { port, open })
        .map_err(|error| DeskError::new("serve", error.to_string(), error.hint()))?;
    Ok(Outcome::new("", json!({})))
}
