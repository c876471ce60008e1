//! What printers sent, handed in; requests that are written; what is laid aside.

use std::sync::Arc;

use axum::Form;
use axum::extract::multipart::{Multipart, MultipartRejection};
use axum::extract::rejection::FormRejection;
use axum::extract::{Path, State as Shared};
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use desk::price::answer::Doubt;
use desk::price::sheet::SheetDoubt;
use desk::{
    AnswerGiven, AnswerRead, GivenFile, InvoiceGiven, InvoiceTaken, KeptFile, NoteKind,
    day_in_words,
};
use jiff::civil::Date;
use serde::Deserialize;

use crate::State;
use crate::act::{self, Answer};
use crate::measuring::{self, Fields};
use crate::problem::Problem;

const ROOM: &str = "/prices";

/// Rows for prices, and for charges, in the form of an answer.
pub(crate) const ROWS: usize = 5;

/// Before the name of a field that a person says in place of a doubtful cell of a sheet.
pub(crate) const RATHER: &str = "rather ";
/// Before the name of a field whose doubtful cell of a sheet is left out.
pub(crate) const WITHOUT: &str = "without ";

/// What was typed and is not kept yet.
#[derive(Debug, Clone, Default)]
pub(crate) struct Typed {
    /// The form: `answer`, `invoice` or `note`.
    pub form: String,
    /// Its fields, as they were sent.
    pub fields: Fields,
    /// The file that came with it.
    pub file: Option<(String, Arc<Vec<u8>>)>,
    /// What is doubtful.
    pub doubts: Vec<Doubted>,
}

/// Something doubtful in what was typed or in its file.
#[derive(Debug, Clone)]
pub(crate) struct Doubted {
    /// The field of the form, where it was typed there.
    pub field: Option<String>,
    /// The field that the desk knows it by, for a cell of a file; empty for what is about the whole file.
    pub of_file: String,
    /// Whether what a cell says can be left out.
    pub can_be_left_out: bool,
    /// What is doubtful.
    pub doubt: Doubt,
}

/// A field that is handed to the desk: its name there, its value, the field of the form.
type Said = (String, String, String);

/// `POST /prices/{answer,invoice,note}`.
pub(crate) async fn hand_in(
    Shared(state): Shared<State>,
    Path(what): Path<String>,
    headers: HeaderMap,
    form: Result<Multipart, MultipartRejection>,
) -> Response {
    let handed = match form {
        Ok(form) => measuring::receive(form, too_large).await,
        Err(_) => Err(measuring::broken()),
    };
    let (fields, file) = match handed {
        Ok(handed) => handed,
        Err(problem) => return act::refuse(&state, &headers, ROOM, problem),
    };
    let back = match what.as_str() {
        "note" => format!("{ROOM}#printers"),
        what => format!("{ROOM}#{what}-form"),
    };
    let answer = state
        .call(move |state| handed_in(state, what, fields, file).map(Some))
        .await;
    act::finish(&state, &headers, &back, answer, "")
}

fn handed_in(
    state: &State,
    form: String,
    fields: Fields,
    file: Option<(String, Vec<u8>)>,
) -> Result<Answer, Problem> {
    let mut typed = Typed {
        form,
        fields,
        file: file.map(|(name, bytes)| (name, Arc::new(bytes))),
        doubts: Vec::new(),
    };
    // A file that was handed in with doubts is still here when a person agrees.
    if typed.file.is_none()
        && let Some(before) = state.typed().as_ref()
        && before.form == typed.form
    {
        typed.file.clone_from(&before.file);
    }
    let kept = match typed.form.as_str() {
        "answer" => answer(state, &mut typed),
        "invoice" => invoice(state, &mut typed),
        "note" => note(state, &typed),
        _ => {
            return Err(Problem::unreadable(
                "Nothing of this kind is handed in here.",
            ));
        }
    };
    *state.typed() = kept.is_err().then_some(typed);
    kept
}

fn answer(state: &State, typed: &mut Typed) -> Result<Answer, Problem> {
    let said = answer_fields(&typed.fields);
    let pairs = pairs(&said);
    let without: Vec<&str> = typed
        .fields
        .keys()
        .filter_map(|name| name.strip_prefix(WITHOUT))
        .collect();
    let read = state.desk().read_answer(AnswerGiven {
        without: &without,
        file: given(typed.file.as_ref()),
        fields: &pairs,
        received: day(typed, "received")?,
        replaces: number(typed, "replaces")?,
        agree: typed.fields.contains_key("agree"),
    })?;
    match read {
        AnswerRead::Kept(view) => {
            let remarks = view.remarks();
            let remarks = if remarks.is_empty() {
                "It is for the book as it is.".to_owned()
            } else {
                remarks.join(" ")
            };
            Ok(Answer::said(format!(
                "Kept answer {} of {}. {remarks}",
                view.number, view.name
            )))
        }
        AnswerRead::Doubtful(doubts) => Err(doubtful(typed, &said, doubts)),
    }
}

fn invoice(state: &State, typed: &mut Typed) -> Result<Answer, Problem> {
    let said = invoice_fields(&typed.fields);
    let pairs = pairs(&said);
    let lacking = |what: &str| {
        Problem::plain(
            StatusCode::UNPROCESSABLE_ENTITY,
            "Something is missing",
            &format!("The invoice was not held against a price: {what} is missing."),
            "Nothing was kept. Add it and try again.",
        )
    };
    let taken = state.desk().hold_invoice(InvoiceGiven {
        answer: number(typed, "answer")?
            .ok_or_else(|| lacking("the answer that was ordered by"))?,
        ordered: number(typed, "ordered")?
            .map(u64::from)
            .ok_or_else(|| lacking("how many copies were ordered"))?,
        fields: &pairs,
        file: given(typed.file.as_ref()),
        received: day(typed, "received")?,
        agree: typed.fields.contains_key("agree"),
    })?;
    match taken {
        InvoiceTaken::Kept(view) => {
            let found = match &view.read {
                Ok(read) => match read.findings.len() {
                    0 => "It is as asked.".to_owned(),
                    count => format!(
                        "{}: see below.",
                        crate::work::count(
                            count,
                            "thing is to be looked at",
                            "things are to be looked at"
                        )
                    ),
                },
                Err(why) => why.clone(),
            };
            Ok(Answer::said(format!(
                "Held invoice {} of {} against answer {}. {found}",
                view.number, view.name, view.answer
            )))
        }
        InvoiceTaken::Doubtful(doubts) => {
            let doubts = doubts.into_iter().map(|doubt| SheetDoubt {
                field: String::new(),
                doubt,
            });
            Err(doubtful(typed, &said, doubts.collect()))
        }
    }
}

fn note(state: &State, typed: &Typed) -> Result<Answer, Problem> {
    let field = |name: &str| typed.fields.get(name).map_or("", String::as_str);
    let kind = NoteKind::of(field("kind"))
        .ok_or_else(|| Problem::unreadable("The form does not say what the note is of."))?;
    let view = state.desk().note_printer(
        field("printer"),
        kind,
        field("text"),
        day(typed, "on")?,
        given(typed.file.as_ref()),
    )?;
    Ok(Answer::said(format!(
        "Noted of `{}`: {} on {}.",
        view.printer,
        view.kind.name(),
        day_in_words(view.on)
    )))
}

/// The fields of an answer, from those of its form.
fn answer_fields(fields: &Fields) -> Vec<Said> {
    let mut said = Vec::new();
    // The currency before all sums, so that it is the sums that are doubted.
    for name in [
        "printer", "request", "currency", "dated", "valid", "term", "place",
    ] {
        plain(&mut said, fields, name);
    }
    for row in 1..=ROWS {
        let of = |name: &str| {
            fields
                .get(&format!("{name} {row}"))
                .map_or("", |value| value.trim())
        };
        let word = if of("for") == "each" { "each" } else { "total" };
        put(
            &mut said,
            &format!("{word} {}", of("copies")),
            of("price"),
            &format!("price {row}"),
        );
        put(
            &mut said,
            &format!("freight {}", of("copies")),
            of("freight"),
            &format!("freight {row}"),
        );
        put(
            &mut said,
            &format!("one-off {}", of("charge")),
            of("cost"),
            &format!("cost {row}"),
        );
    }
    if fields.contains_key("included") {
        put(&mut said, "freight", "included", "included");
    }
    for name in ["lead", "overs", "unders", "payment", "notes"] {
        plain(&mut said, fields, name);
    }
    let mut rather: Vec<&String> = fields.keys().collect();
    rather.retain(|name| name.starts_with(RATHER));
    rather.sort();
    for name in rather {
        put(&mut said, &name[RATHER.len()..], &fields[name], name);
    }
    said
}

/// The fields of an invoice, from those of its form.
fn invoice_fields(fields: &Fields) -> Vec<Said> {
    let mut said = Vec::new();
    for name in [
        "currency",
        "number",
        "dated",
        "delivered",
        "billed",
        "print",
        "overs",
    ] {
        plain(&mut said, fields, name);
    }
    for row in 1..=ROWS {
        let of = |name: &str| {
            fields
                .get(&format!("{name} {row}"))
                .map_or("", |value| value.trim())
        };
        put(
            &mut said,
            &format!("one-off {}", of("charge")),
            of("cost"),
            &format!("cost {row}"),
        );
    }
    for name in ["freight", "alterations", "tax", "other", "total"] {
        plain(&mut said, fields, name);
    }
    said
}

fn plain(said: &mut Vec<Said>, fields: &Fields, name: &str) {
    put(
        said,
        name,
        fields.get(name).map_or("", String::as_str),
        name,
    );
}

fn put(said: &mut Vec<Said>, name: &str, value: &str, field: &str) {
    if !value.trim().is_empty() {
        said.push((
            name.trim().to_owned(),
            value.trim().to_owned(),
            field.to_owned(),
        ));
    }
}

fn pairs(said: &[Said]) -> Vec<(&str, &str)> {
    said.iter()
        .map(|(name, value, _)| (name.as_str(), value.as_str()))
        .collect()
}

fn given(file: Option<&(String, Arc<Vec<u8>>)>) -> Option<GivenFile<'_>> {
    file.map(|(name, bytes)| GivenFile { name, bytes })
}

fn day(typed: &Typed, name: &str) -> Result<Option<Date>, Problem> {
    match typed.fields.get(name).map_or("", |text| text.trim()) {
        "" => Ok(None),
        text => text
            .parse()
            .map(Some)
            .map_err(|_| unread(text, "a day", "Write it as 2026-11-25.")),
    }
}

fn number(typed: &Typed, name: &str) -> Result<Option<u32>, Problem> {
    match typed.fields.get(name).map_or("", |text| text.trim()) {
        "" => Ok(None),
        text => text
            .parse()
            .map(Some)
            .map_err(|_| unread(text, "a whole number", "Write it as 800.")),
    }
}

fn unread(text: &str, what: &str, hint: &str) -> Problem {
    Problem::plain(
        StatusCode::UNPROCESSABLE_ENTITY,
        "That could not be understood",
        &format!("`{text}` is not {what}."),
        hint,
    )
}

/// Remembers what is doubtful beside its field.
fn doubtful(typed: &mut Typed, said: &[Said], doubts: Vec<SheetDoubt>) -> Problem {
    let count = crate::work::count(doubts.len(), "thing is doubtful", "things are doubtful");
    typed.doubts = doubts
        .into_iter()
        .map(|one| {
            let can_be_left_out = one.can_be_left_out();
            let SheetDoubt { field, doubt } = one;
            let typed = said
                .iter()
                .find(|(name, value, _)| *name == doubt.cell && *value == doubt.found);
            Doubted {
                field: typed.map(|(_, _, field)| field.clone()),
                of_file: if typed.is_some() {
                    String::new()
                } else {
                    field
                },
                can_be_left_out,
                doubt,
            }
        })
        .collect();
    Problem::plain(
        StatusCode::UNPROCESSABLE_ENTITY,
        "Something is doubtful",
        &format!("Nothing was kept yet: {count}."),
        "Mend it in the form, or agree to how it is taken.",
    )
}

fn too_large() -> Problem {
    Problem::plain(
        StatusCode::PAYLOAD_TOO_LARGE,
        "That file is too large",
        &format!(
            "What a printer sends may have {}, and this has more.",
            measuring::MOST_WORDS
        ),
        "Give the sheet, the letter or the photograph itself.",
    )
}

/// A printer that is asked.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Asked {
    printer: String,
}

/// `POST /prices/ask`: writes a request to one printer, or to all of the book.
pub(crate) async fn ask(
    Shared(state): Shared<State>,
    headers: HeaderMap,
    form: Result<Form<Asked>, FormRejection>,
) -> Response {
    let answer = match form {
        Ok(Form(Asked { printer })) => {
            state
                .call(move |state| {
                    let printer = (!printer.is_empty()).then_some(printer.as_str());
                    let written = state.desk().ask(printer, None)?;
                    let files: Vec<String> = written
                        .into_iter()
                        .flat_map(|request| request.files)
                        .collect();
                    Ok(Some(Answer::said(format!(
                        "Wrote {}. Nothing was sent: send the letter or the e-mail yourself.",
                        files.join(", ")
                    ))))
                })
                .await
        }
        Err(rejection) => Err(rejection.into()),
    };
    act::finish(&state, &headers, &format!("{ROOM}#printers"), answer, "")
}

/// What is laid aside or brought back.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Aside {
    /// `answer`, `invoice` or `note`.
    what: String,
    number: u32,
    back: bool,
}

/// `POST /prices/aside`.
pub(crate) async fn aside(
    Shared(state): Shared<State>,
    headers: HeaderMap,
    form: Result<Form<Aside>, FormRejection>,
) -> Response {
    let answer = match form {
        Ok(Form(wish)) => state.call(move |state| lay(state, &wish).map(Some)).await,
        Err(rejection) => Err(rejection.into()),
    };
    act::finish(&state, &headers, ROOM, answer, "")
}

fn lay(state: &State, wish: &Aside) -> Result<Answer, Problem> {
    let (desk, number, aside) = (state.desk(), wish.number, !wish.back);
    let of = match wish.what.as_str() {
        "answer" => desk.lay_answer_aside(number, aside)?.name,
        "invoice" => desk.lay_invoice_aside(number, aside)?.name,
        "note" => desk.lay_note_aside(number, aside)?.printer,
        _ => {
            return Err(Problem::unreadable(
                "The form does not say what is laid aside.",
            ));
        }
    };
    let what = &wish.what;
    Ok(Answer::said(if aside {
        format!("Laid {what} {number} of {of} aside. It is kept, and can be taken back.")
    } else {
        format!("Took {what} {number} of {of} back.")
    }))
}

/// `POST /prices/clear`: empties the forms.
pub(crate) async fn clear(Shared(state): Shared<State>, headers: HeaderMap) -> Response {
    *state.typed() = None;
    let answer = Ok(Some(Answer::said("Emptied the form.".to_owned())));
    act::finish(&state, &headers, ROOM, answer, "")
}

/// `GET /prices/request/{name}`.
pub(crate) async fn request(
    Shared(state): Shared<State>,
    Path(name): Path<String>,
) -> Result<Response, Problem> {
    let asked = name.clone();
    let bytes = state
        .call(move |state| Ok(state.desk().request_file(&asked)?))
        .await?;
    let kind = match name.rsplit('.').next() {
        Some("pdf") => "application/pdf",
        Some("txt") => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    };
    let headers = [(CONTENT_TYPE, kind), (CACHE_CONTROL, "no-store")];
    Ok((headers, bytes).into_response())
}

/// `GET /prices/kept/{what}/{number}`: an original, always to be saved and never shown, since it came
/// from elsewhere.
pub(crate) async fn kept(
    Shared(state): Shared<State>,
    Path((what, number)): Path<(String, u32)>,
) -> Result<Response, Problem> {
    let bytes = state
        .call(move |state| {
            let file = original(state, &what, number)?
                .ok_or_else(|| Problem::missing("No file is kept with this."))?;
            Ok((file.name.clone(), state.desk().kept_file(&file)?))
        })
        .await?;
    let (name, bytes) = bytes;
    let name: String = name
        .chars()
        .map(|letter| {
            if letter.is_ascii_alphanumeric() || ".-_ ".contains(letter) {
                letter
            } else {
                '-'
            }
        })
        .collect();
    let headers = [
        (CONTENT_TYPE, "application/octet-stream".to_owned()),
        (
            CONTENT_DISPOSITION,
            format!("attachment; filename=\"{name}\""),
        ),
        (CACHE_CONTROL, "no-store".to_owned()),
    ];
    Ok((headers, bytes).into_response())
}

fn original(state: &State, what: &str, number: u32) -> Result<Option<KeptFile>, Problem> {
    let desk = state.desk();
    Ok(match what {
        "answer" => {
            let answers = desk.answers()?;
            let one = answers.into_iter().find(|view| view.number == number);
            one.and_then(|view| view.file)
        }
        "invoice" => {
            let invoices = desk.invoices()?;
            let one = invoices.into_iter().find(|view| view.number == number);
            one.and_then(|view| view.file)
        }
        "note" => {
            let mut notes = desk.printers()?.into_iter().flat_map(|view| view.notes);
            notes
                .find(|note| note.number == number)
                .and_then(|note| note.file)
        }
        _ => None,
    })
}
