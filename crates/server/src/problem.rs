//! What stands in the way, as a page in plain words.

use axum::Json;
use axum::extract::rejection::FormRejection;
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Response};
use desk::DeskError;
use maud::{DOCTYPE, html};
use serde::Serialize;

use crate::shell::spoken;

/// One problem: its status, what is wrong, and what to do.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Problem {
    #[serde(skip)]
    status: StatusCode,
    /// One line.
    pub title: String,
    /// What is wrong, as one sentence, the place before it.
    pub said: String,
    /// What to do; may be empty.
    pub hint: String,
}

impl Problem {
    pub fn plain(status: StatusCode, title: &str, said: &str, hint: &str) -> Self {
        Self {
            status,
            title: title.to_owned(),
            said: said.to_owned(),
            hint: hint.to_owned(),
        }
    }

    /// A request that did not come from the page itself.
    pub fn foreign() -> Self {
        Self::plain(
            StatusCode::FORBIDDEN,
            "This came from elsewhere",
            "The request did not come from this page itself, so it was not carried out.",
            "Go to the address that Foredge printed, and try again from there.",
        )
    }

    /// A body past the limit.
    pub fn too_much() -> Self {
        Self::plain(
            StatusCode::PAYLOAD_TOO_LARGE,
            "That is too much at once",
            "More was sent than any form of this page holds.",
            "Pictures are not sent through the page: put them into the book's art folder.",
        )
    }

    /// Our own bug.
    pub fn own_fault() -> Self {
        Self::plain(
            StatusCode::INTERNAL_SERVER_ERROR,
            "Something in Foredge itself broke",
            "This is a mistake in the program, not in your book. The book and the art are as they \
             were.",
            "Look into the terminal where Foredge runs, and please report what stands there.",
        )
    }

    /// A wish that cannot be understood.
    pub fn unreadable(said: &str) -> Self {
        Self::plain(
            StatusCode::UNPROCESSABLE_ENTITY,
            "That could not be understood",
            said,
            "Load the page again and repeat it there.",
        )
    }

    /// Other work is in hand.
    pub fn busy(with: &str) -> Self {
        Self::plain(
            StatusCode::CONFLICT,
            "Something else is in hand",
            &format!("Foredge is still {with}."),
            "Wait until it is done, or stop it first.",
        )
    }

    /// Something that is not there.
    pub fn missing(said: &str) -> Self {
        Self::plain(
            StatusCode::NOT_FOUND,
            "Nothing is here",
            said,
            "The rooms of the book are at the edge of the page.",
        )
    }

    /// Where a person can go from here.
    fn way_on(&self) -> WayOn {
        match self.status {
            StatusCode::UNAUTHORIZED | StatusCode::MISDIRECTED_REQUEST | StatusCode::FORBIDDEN => {
                WayOn::None
            }
            // Something in the book is mended outside the page, in the book file as a rule.
            StatusCode::UNPROCESSABLE_ENTITY | StatusCode::INTERNAL_SERVER_ERROR => WayOn::Again,
            _ => WayOn::Home,
        }
    }

    /// The problem as JSON, for scripts.
    pub fn json(self) -> Response {
        (self.status, Json(self)).into_response()
    }
}

enum WayOn {
    None,
    Again,
    Home,
}

/// The one place where what the desk says becomes a page.
impl From<DeskError> for Problem {
    fn from(error: DeskError) -> Self {
        let said = if error.place.is_empty() {
            error.problem
        } else {
            format!("{}: {}", error.place, error.problem)
        };
        Self {
            status: if error.stopped {
                StatusCode::CONFLICT
            } else {
                StatusCode::UNPROCESSABLE_ENTITY
            },
            title: if error.stopped {
                "It was stopped".to_owned()
            } else {
                "This stands in the way".to_owned()
            },
            said,
            hint: error.hint,
        }
    }
}

impl From<FormRejection> for Problem {
    fn from(rejection: FormRejection) -> Self {
        if rejection.status() == StatusCode::PAYLOAD_TOO_LARGE {
            Self::too_much()
        } else {
            Self::unreadable("The form that was sent lacks something, or holds what it cannot.")
        }
    }
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let page = html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    title { (self.title) " · Foredge" }
                    link rel="icon" href="/assets/mark.svg";
                    link rel="stylesheet" href="/assets/page.css";
                }
                body.alone {
                    main #main {
                        p.brand { img src="/assets/mark.svg" alt="" width="28" height="28"; "Foredge" }
                        h1 { (self.title) }
                        p.said { (spoken(&self.said)) }
                        @if !self.hint.is_empty() { p.hint { (spoken(&self.hint)) } }
                        @match self.way_on() {
                            WayOn::None => {},
                            WayOn::Again => { p { a.button href="" { "Load it again" } } },
                            WayOn::Home => { p { a.button href="/" { "Go to where it stands" } } },
                        }
                    }
                }
            }
        };
        (self.status, Html(page.into_string())).into_response()
    }
}

/// No room or picture has this address.
pub(crate) async fn no_such_page() -> Problem {
    Problem::missing("No room of the book has this address.")
}

/// The address is there, but not for this.
pub(crate) async fn wrong_method() -> Problem {
    Problem::plain(
        StatusCode::METHOD_NOT_ALLOWED,
        "It does not work that way",
        "This address is there, but not for what was asked of it.",
        "Use the buttons of the rooms.",
    )
}
