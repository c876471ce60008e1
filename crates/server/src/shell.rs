//! What stands around every room: the head of the page, the thumb index at its fore-edge, and the
//! line that says what was just done.

use axum::response::Html;
use desk::book::BindingKind;
use desk::{History, Snapshot};
use maud::{DOCTYPE, Markup, html};

use crate::State;
use crate::problem::Problem;
use crate::state::Notice;

/// The rooms, one for each question.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Room {
    Stands,
    Art,
    Order,
    Object,
    Paper,
    Quantity,
    Prices,
    Dates,
    Proofs,
}

impl Room {
    const ALL: [Self; 9] = [
        Self::Stands,
        Self::Art,
        Self::Order,
        Self::Object,
        Self::Paper,
        Self::Quantity,
        Self::Prices,
        Self::Dates,
        Self::Proofs,
    ];

    /// Its name on the page.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Stands => "Where it stands",
            Self::Art => "Art",
            Self::Order => "Running order",
            Self::Object => "The object",
            Self::Paper => "On paper",
            Self::Quantity => "How many",
            Self::Prices => "Prices",
            Self::Dates => "Dates",
            Self::Proofs => "Proofs",
        }
    }

    /// Its address.
    pub const fn path(self) -> &'static str {
        match self {
            Self::Stands => "/",
            Self::Art => "/art",
            Self::Order => "/order",
            Self::Object => "/object",
            Self::Paper => "/paper",
            Self::Quantity => "/quantity",
            Self::Prices => "/prices",
            Self::Dates => "/dates",
            Self::Proofs => "/proofs",
        }
    }

    /// Its name in forms.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Stands => "stands",
            Self::Art => "art",
            Self::Order => "order",
            Self::Object => "object",
            Self::Paper => "paper",
            Self::Quantity => "quantity",
            Self::Prices => "prices",
            Self::Dates => "dates",
            Self::Proofs => "proofs",
        }
    }
}

/// The book as a room shows it, read at one moment.
pub(crate) struct Scene {
    pub room: Room,
    pub snapshot: std::sync::Arc<Snapshot>,
    history: History,
    notice: Option<Notice>,
}

impl Scene {
    /// Reads what every room needs.
    pub fn read(state: &State, room: Room) -> Result<Self, Problem> {
        Ok(Self {
            room,
            snapshot: state.desk().snapshot()?,
            history: state.desk().history()?,
            notice: state.notice(room),
        })
    }

    /// The whole page around a room. `refresh` loads it again in a few seconds where no script
    /// does so.
    pub fn page(&self, room: &Markup, script: Option<&str>, refresh: bool) -> Html<String> {
        let book = &self.snapshot.book;
        let page = html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta name="color-scheme" content="light only";
                    title { (self.room.name()) " · " (book.about.title) " · Foredge" }
                    link rel="icon" href="/assets/mark.svg";
                    link rel="preload" href="/assets/franklin.woff2" as="font" type="font/woff2" crossorigin;
                    link rel="stylesheet" href="/assets/page.css";
                    @if refresh { noscript { meta http-equiv="refresh" content="2"; } }
                    script type="module" src="/assets/page.js" {}
                    @if let Some(script) = script { script type="module" src={ "/assets/" (script) } {} }
                }
                body data-room=(self.room.key()) {
                    a.skip href="#main" { "Skip to " (self.room.name()) }
                    (self.head())
                    nav.index aria-label="Rooms" {
                        ul {
                            @for room in Room::ALL {
                                li {
                                    a href=(room.path()) aria-current=[(room == self.room).then_some("page")] {
                                        (room.name())
                                    }
                                }
                            }
                        }
                    }
                    main #main tabindex="-1" {
                        (self.said())
                        (room)
                    }
                }
            }
        };
        Html(page.into_string())
    }

    fn head(&self) -> Markup {
        let book = &self.snapshot.book;
        html! {
            header.head #head {
                a.brand href="/" { img src="/assets/mark.svg" alt="" width="26" height="26"; span { "Foredge" } }
                p.title { (book.about.title) }
                p.facts {
                    span { (crate::work::count(self.snapshot.plan.pages.len(), "page", "pages")) }
                    span { (size_words(book.format.trim)) }
                    span { (binding_words(book.binding.kind)) }
                    @if self.snapshot.object.spine.mm() >= 0.05 { span { "spine " (format!("{:.1} mm", self.snapshot.object.spine.mm())) } }
                }
                div.history role="group" aria-label="Undo and redo" {
                    (self.back("undo", "Undo", "Control+Z", self.history.undo.as_deref()))
                    (self.back("redo", "Redo", "Control+Shift+Z", self.history.redo.as_deref()))
                }
            }
        }
    }

    fn back(&self, action: &str, word: &str, keys: &str, what: Option<&str>) -> Markup {
        html! {
            form method="post" action={ "/" (action) } data-act {
                input type="hidden" name="room" value=(self.room.key());
                button.quiet #(action) aria-keyshortcuts=(keys) aria-disabled=[what.is_none().then_some("true")]
                    title=(what.map_or_else(|| format!("Nothing to {action}"), |what| format!("{word}: {what}")))
                {
                    (arrow(action == "redo")) span { (word) }
                    span.hidden { @if let Some(what) = what { ": " (what) } @else { ": nothing yet" } }
                }
            }
        }
    }

    /// What was just done; a live region, so that it is heard as well as seen.
    fn said(&self) -> Markup {
        html! {
            div.said #said role="status" aria-live="polite" {
                @if let Some(notice) = &self.notice {
                    div.words data-refused=[notice.refused.then_some("")] {
                        p { @if notice.refused { strong { "Not done. " } } (spoken(&notice.said)) }
                        @let more = notice.more.join("; ");
                        @if !more.is_empty() {
                            p.more { @if !notice.refused { strong { "Out of date now: " } } (spoken(&more)) }
                        }
                    }
                }
            }
        }
    }
}

/// A sentence, with what stands in backticks set apart as the person typed it.
pub(crate) fn spoken(text: &str) -> Markup {
    html! {
        @for (index, part) in text.split('`').enumerate() {
            @if index % 2 == 1 { b.typed { (part) } } @else { (part) }
        }
    }
}

/// A size in millimetres, as people say it.
pub(crate) fn size_words(size: desk::measure::Size) -> String {
    let mm = |length: desk::measure::Length| length.to_string().trim_end_matches(" mm").to_owned();
    format!("{} × {} mm", mm(size.width), mm(size.height))
}

/// A binding, as people say it.
pub(crate) const fn binding_words(kind: BindingKind) -> &'static str {
    match kind {
        BindingKind::SewnCase => "sewn, in boards",
        BindingKind::SewnSoft => "sewn, soft cover",
        BindingKind::GluedSoft => "glued, soft cover",
        BindingKind::WireStitched => "wire-stitched",
    }
}

fn arrow(forward: bool) -> Markup {
    html! {
        svg.icon viewBox="0 0 20 20" width="18" height="18" aria-hidden="true" {
            @if forward { path d="M12 4l4 4-4 4M16 8H8a4 4 0 0 0 0 8h3" {} }
            @else { path d="M8 4L4 8l4 4M4 8h8a4 4 0 0 1 0 8H9" {} }
        }
    }
}
