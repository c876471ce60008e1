//! *Measured with a ruler*: a book on the shelf, the bindery's blank dummy, the printer's template.
//! Each is first shown against what the book says, and changes it only when it is accepted.

mod dummy;
mod shelf;
mod template;

use axum::extract::{Query, State as Shared};
use axum::response::Html;
use desk::SheetName;
use maud::{Markup, html};
use serde::Deserialize;

use super::parts;
use crate::State;
use crate::problem::Problem;
use crate::shell::{Room, Scene, spoken};

/// Which sheet a template is for.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Opened {
    sheet: String,
}

/// `GET /object/measured`.
pub(crate) async fn room(
    Shared(state): Shared<State>,
    Query(opened): Query<Opened>,
) -> Result<Html<String>, Problem> {
    state
        .call(move |state| {
            let scene = Scene::read(state, Room::Object)?;
            let desk = state.desk();
            let snapshot = &scene.snapshot;
            let asked = match SheetName::of(&opened.sheet) {
                Some(SheetName::Flat(kind)) => snapshot.sheet(kind),
                _ => None,
            };
            let sheet = asked.or_else(|| snapshot.outside());
            let room = html! {
                div.title-line { div {
                    h1 { "Measured with a ruler" }
                    p.lead { "What a ruler and a kitchen scale say, held against what the book foretells. Nothing changes until you accept it." }
                } }
                (parts("/object/measured"))
                (dummy::section(snapshot, &desk.dummies()?))
                (template::section(desk, snapshot, sheet, &desk.templates()?)?)
                (shelf::section(&desk.shelves()?))
            };
            Ok(scene.page(&room, None, false))
        })
        .await
}

/// A field of a form that is sent as a whole: its name, its label, an example.
fn asked(form: &str, name: &str, label: &str, example: &str, required: bool) -> Markup {
    let id = super::forms::id_of(&format!("{form}-{name}"));
    html! {
        div.field {
            label for=(id) { (label) }
            input #(id) type="text" name=(name) required[required] autocomplete="off" spellcheck="false" aria-describedby={ (id) "-example" };
            p.example id={ (id) "-example" } { (example) }
        }
    }
}

/// Why something that was measured says nothing.
fn in_the_way(why: &str) -> Markup {
    html! { p.problem { (spoken(why)) } }
}

/// The tools, for those who have finer ones.
fn tools(form: &str, ruler: bool) -> Markup {
    html! {
        details {
            summary { "My tools are finer or coarser" }
            div.fields {
                @if ruler { (asked(form, "ruler", "Ruler, off by", "0.5 mm unless said", false)) }
                (asked(form, "gauge", "For thickness, off by", "0.5 mm; a caliper gauge 0.05 mm", false))
                (asked(form, "scale", "Scale, off by", "1 g unless said", false))
            }
        }
    }
}
