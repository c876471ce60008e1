//! What was measured by hand and is handed in, and what of it is accepted.

use std::collections::HashMap;

use axum::Form;
use axum::extract::multipart::{Multipart, MultipartRejection};
use axum::extract::rejection::FormRejection;
use axum::extract::{Path, State as Shared};
use axum::http::{HeaderMap, StatusCode};
use axum::response::Response;
use desk::book::object::FlatKind;
use desk::{SheetName, TemplateFile, TemplateView};

use crate::State;
use crate::act::{self, Answer};
use crate::problem::Problem;

/// Most bytes of a template; a page of lines is far smaller.
pub(crate) const MOST: usize = 64 << 20;
/// The limit in words.
pub(crate) const MOST_WORDS: &str = "64 MB";
/// Most bytes of the whole form: its figures come on top.
pub(crate) const WHOLE: usize = MOST + (64 << 10);

const ROOM: &str = "/object/measured";

/// Fields of a form by their names.
pub(crate) type Fields = HashMap<String, String>;

/// `POST /measured/{shelf,dummy,accept,turn}`.
pub(crate) async fn hand_in(
    Shared(state): Shared<State>,
    Path(what): Path<String>,
    headers: HeaderMap,
    form: Result<Form<Fields>, FormRejection>,
) -> Response {
    let fields = match form {
        Ok(Form(fields)) => fields,
        Err(rejection) => return act::refuse(&state, &headers, ROOM, rejection.into()),
    };
    let sheet = fields.get("sheet").and_then(|word| SheetName::of(word));
    let back = back(sheet, &what);
    let answer = state
        .call(move |state| match what.as_str() {
            "shelf" => shelf(state, &fields).map(Some),
            "dummy" => dummy(state, &fields).map(Some),
            "accept" => accept(state, &fields),
            "turn" => turn(state, &fields).map(Some),
            _ => Err(Problem::unreadable(
                "Nothing of this kind is measured here.",
            )),
        })
        .await;
    act::finish(&state, &headers, &back, answer, "")
}

/// `POST /measured/template`: a form with the `sheet`, its figures, and the PDF as `file`.
pub(crate) async fn template(
    Shared(state): Shared<State>,
    headers: HeaderMap,
    form: Result<Multipart, MultipartRejection>,
) -> Response {
    let handed = match form {
        Ok(form) => receive(form, too_large).await,
        Err(_) => Err(broken()),
    };
    let (fields, file) = match handed {
        Ok(handed) => handed,
        Err(problem) => return act::refuse(&state, &headers, ROOM, problem),
    };
    let sheet = fields.get("sheet").and_then(|word| SheetName::of(word));
    let back = back(sheet, "template");
    let answer = state
        .call(move |state| {
            let Some(SheetName::Flat(kind)) = sheet else {
                return Err(Problem::unreadable("The form does not say which sheet."));
            };
            lay(state, kind, &fields, file.as_ref()).map(Some)
        })
        .await;
    act::finish(&state, &headers, &back, answer, "")
}

/// Where the outcome stands.
fn back(sheet: Option<SheetName>, section: &str) -> String {
    let section = match section {
        "accept" => "",
        "turn" => "template",
        section => section,
    };
    match sheet {
        Some(SheetName::Flat(kind)) => {
            format!("{ROOM}?sheet={}#{section}", SheetName::Flat(kind).word())
        }
        _ => format!("{ROOM}#{section}"),
    }
}

fn shelf(state: &State, fields: &Fields) -> Result<Answer, Problem> {
    let with: Vec<&str> = fields
        .keys()
        .filter_map(|name| name.strip_prefix("with "))
        .collect();
    let with = with.join(", ");
    let mut given: Vec<(&str, &str)> = fields
        .iter()
        .filter(|(name, _)| !name.starts_with("with "))
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    given.push(("with", &with));
    let view = state.desk().read_shelf(&given)?;
    let said = match &view.told {
        Ok(told) => format!(
            "Its paper weighs {:.0} ± {:.0} g/m² and has a bulk of {:.2} ± {:.2} cm³/g.",
            told.grammage_gsm.value,
            told.grammage_gsm.likely,
            told.bulk_cm3_per_g.value,
            told.bulk_cm3_per_g.likely
        ),
        Err(why) => why.clone(),
    };
    Ok(Answer::said(said))
}

fn dummy(state: &State, fields: &Fields) -> Result<Answer, Problem> {
    let view = state.desk().read_dummy(&pairs(fields))?;
    let said = match &view.read {
        Ok(read) if read.lessons.is_empty() => {
            "The dummy is as the book foretold it; there is nothing to learn.".to_owned()
        }
        Ok(read) => format!(
            "Held dummy {} against the book: {} to learn. Nothing changes until you say so.",
            view.number,
            crate::work::count(read.lessons.len(), "figure", "figures")
        ),
        Err(why) => why.clone(),
    };
    Ok(Answer::said(said))
}

fn lay(
    state: &State,
    kind: FlatKind,
    fields: &Fields,
    file: Option<&(String, Vec<u8>)>,
) -> Result<Answer, Problem> {
    let figures: Vec<(&str, &str)> = pairs(fields)
        .into_iter()
        .filter(|(name, _)| !matches!(*name, "sheet" | "page"))
        .collect();
    let page = page(fields)?;
    let file = file.map(|(name, bytes)| TemplateFile { name, bytes, page });
    let view = state.desk().read_template(kind, &figures, file)?;
    Ok(laid(&view))
}

/// The page that a person wants; `None` where none was named.
fn page(fields: &Fields) -> Result<Option<u32>, Problem> {
    let Some(text) = fields.get("page").map(|text| text.trim()) else {
        return Ok(None);
    };
    if text.is_empty() {
        return Ok(None);
    }
    text.parse()
        .map(Some)
        .map_err(|_| Problem::unreadable("A page of the PDF is named by its number, such as 2."))
}

fn turn(state: &State, fields: &Fields) -> Result<Answer, Problem> {
    let number = fields.get("number").and_then(|text| text.parse().ok());
    let (Some(number), Some(page)) = (number, page(fields)?) else {
        return Err(Problem::unreadable("The form does not say which page."));
    };
    Ok(laid(&state.desk().turn_template(number, page)?))
}

/// What is said of a template that was laid over a sheet.
fn laid(view: &TemplateView) -> Answer {
    let page = match &view.page {
        Some(page) if page.of > 1 => format!("page {} of the template", page.number),
        _ => "the template".to_owned(),
    };
    let said = match &view.laid {
        Ok(laid) => {
            let off = laid
                .differences
                .iter()
                .filter(|one| one.by().mm().abs() >= 0.05)
                .count();
            format!(
                "Laid {page} over the {}: {} of {} differ.",
                view.kind.word(),
                off,
                crate::work::count(laid.differences.len(), "figure", "figures")
            )
        }
        Err(why) => why.clone(),
    };
    Answer::said(said)
}

fn accept(state: &State, fields: &Fields) -> Result<Option<Answer>, Problem> {
    let number = |name: &str| fields.get(name).and_then(|text| text.parse::<u32>().ok());
    let lacking = || Problem::unreadable("The form does not say which measurement.");
    let which = number("number").ok_or_else(lacking)?;
    let what = fields.get("what").map(String::as_str).unwrap_or_default();
    let index = number("index").unwrap_or_default() as usize;
    act::change(state, |desk| {
        match what {
            "shelf" => desk.take_shelf(which, index),
            "template" => match fields.get("figure") {
                Some(figure) => desk.accept_template_figure(which, figure),
                None => desk.accept_template(which),
            },
            _ => desk.accept_dummy(which),
        }
        .map(Some)
    })
}

fn pairs(fields: &Fields) -> Vec<(&str, &str)> {
    fields
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect()
}

/// Fields of a form, and its file by its name.
pub(crate) type Handed = (Fields, Option<(String, Vec<u8>)>);

/// Receives a form with one file, of at most [`MOST`] bytes; `too_large` is what is said of more.
pub(crate) async fn receive(
    mut form: Multipart,
    too_large: fn() -> Problem,
) -> Result<Handed, Problem> {
    let (mut fields, mut file) = (Fields::new(), None);
    while let Some(mut field) = form.next_field().await.map_err(|_| broken())? {
        let Some(name) = field.name().map(str::to_owned) else {
            continue;
        };
        let given = field.file_name().map(crate::upload::cleaned);
        let most = if name == "file" { MOST } else { 4096 };
        let mut bytes = Vec::new();
        while let Some(piece) = field.chunk().await.map_err(|_| broken())? {
            if bytes.len() + piece.len() > most {
                return Err(too_large());
            }
            bytes.extend_from_slice(&piece);
        }
        if name == "file" {
            // A file chooser that was left empty sends an empty file.
            file = given
                .filter(|_| !bytes.is_empty())
                .map(|name| (name, bytes));
        } else {
            fields.insert(name, String::from_utf8_lossy(&bytes).into_owned());
        }
    }
    Ok((fields, file))
}

pub(crate) fn broken() -> Problem {
    Problem::unreadable("The form did not arrive whole.")
}

fn too_large() -> Problem {
    Problem::plain(
        StatusCode::PAYLOAD_TOO_LARGE,
        "That file is too large",
        &format!("A template may have {MOST_WORDS}, and this one has more."),
        "Save the page with the lines alone as a PDF of its own.",
    )
}
