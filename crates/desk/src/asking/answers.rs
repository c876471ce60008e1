//! Answers that came: kept as they were read, with the original beside them, and held against the
//! request that they answer and the book as it is.

use jiff::civil::Date;
use price::answer::{Answer, Doubt, Draft, Reading};
use price::sheet::{self, Sheet, SheetDoubt};
use serde::{Deserialize, Serialize};

use super::keep::{self, GivenFile, KeptFile};
use super::requests::{self, KeptRequest};
use super::specified::{self, KeptLine};
use super::{of, one, refused, text};
use crate::record::{AskingKind, AskingRow};
use crate::{Desk, DeskError, Fields, Snapshot, moment};

/// An answer that is handed in: fields, or fields with an original beside them.
#[derive(Debug, Clone, Copy, Default)]
pub struct AnswerGiven<'g> {
    /// The file that came. It is kept; a sheet is read too, by [`price::sheet::read`].
    pub file: Option<GivenFile<'g>>,
    /// What was typed, by the names of [`price::answer::Draft::from_fields`].
    pub fields: Fields<'g>,
    /// The day on which it came; today unless said.
    pub received: Option<Date>,
    /// Number of an earlier answer that it takes the place of.
    pub replaces: Option<u32>,
    /// Fields whose doubtful cells a person leaves out of the sheet, by the names of
    /// [`price::answer::Draft::from_fields`]; what is not doubtful is never left out. What is left out
    /// is agreed to with the rest.
    pub without: &'g [&'g str],
    /// Whether a person agrees to every doubt.
    pub agree: bool,
}

/// What came of reading an answer.
#[derive(Debug, Clone)]
pub enum AnswerRead {
    /// It is kept.
    Kept(Box<AnswerView>),
    /// Nothing is kept: something is doubtful, and a person has to agree or to mend it.
    Doubtful(Vec<SheetDoubt>),
}

/// An answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AnswerView {
    /// Its number, from 1.
    pub number: u32,
    /// When it was read, in UTC.
    pub at: String,
    /// The day on which it came.
    pub received: Date,
    /// The printer's name, or its key where the book has it no more.
    pub name: String,
    /// What it says.
    pub answer: Answer,
    /// The original.
    pub file: Option<KeptFile>,
    /// Number of the request that it answers; nothing for one that answers none of this book's, which
    /// was taken for the book as it was on the day it was read.
    pub request: Option<u32>,
    /// What of the book has changed since, each in a sentence without its full stop; empty where the
    /// prices are for the book as it is.
    pub stale: Vec<String>,
    /// What of the terms has changed since.
    pub terms: Vec<String>,
    /// By how many days it came after the day that was wished for.
    pub late_days: Option<i32>,
    /// By how many days its prices have lapsed today.
    pub lapsed_days: Option<i32>,
    /// What was doubtful and a person agreed to.
    pub agreed: Vec<Doubt>,
    /// Number of the answer that it took the place of.
    pub replaces: Option<u32>,
    /// Number of the answer that took its place.
    pub replaced_by: Option<u32>,
    /// When it was laid aside, if it is.
    pub aside: Option<String>,
}

impl AnswerView {
    /// Whether it is neither laid aside nor replaced.
    pub fn stands(&self) -> bool {
        self.aside.is_none() && self.replaced_by.is_none()
    }

    /// Whether its prices are for the book as it is, and hold today.
    pub fn holds(&self) -> bool {
        self.stands() && self.stale.is_empty() && self.lapsed_days.is_none()
    }

    /// What is to be known of it before its prices are used, each in a sentence.
    pub fn remarks(&self) -> Vec<String> {
        let mut remarks: Vec<String> = self
            .stale
            .iter()
            .map(|change| format!("{change}: its prices are for the book before that."))
            .collect();
        if let Some(days) = self.lapsed_days {
            let until = self.answer.valid_until.map_or_else(String::new, |day| {
                format!(" on {}", crate::day_in_words(day))
            });
            remarks.push(format!(
                "Its prices lapsed{until}, {} ago.",
                days_in_words(days)
            ));
        }
        if let Some(days) = self.late_days {
            remarks.push(format!("It came {} late.", days_in_words(days)));
        }
        if self.request.is_none() {
            remarks.push(
                "It names no request of this book, and was taken for the book as it was when it \
                 was read."
                    .to_owned(),
            );
        }
        if self.answer.valid_until.is_none() {
            remarks.push("It does not say until when its prices hold.".to_owned());
        }
        remarks
    }
}

/// `1 day`, `12 days`.
fn days_in_words(days: i32) -> String {
    match days {
        1 => "1 day".to_owned(),
        days => format!("{days} days"),
    }
}

#[derive(Debug, Serialize, Deserialize)]
struct KeptAnswer {
    received: Date,
    /// As [`Draft::from_fields`] takes it.
    fields: Vec<(String, String)>,
    file: Option<KeptFile>,
    request: Option<u32>,
    /// The book as it was, for an answer without a request.
    specification: Option<Vec<KeptLine>>,
    agreed: Vec<KeptDoubt>,
    replaces: Option<u32>,
}

#[derive(Debug, Serialize, Deserialize)]
pub(super) struct KeptDoubt {
    cell: String,
    found: String,
    why: String,
    taken: Option<String>,
}

/// Reads an answer.
pub(super) fn read(desk: &Desk, given: AnswerGiven<'_>) -> Result<AnswerRead, DeskError> {
    let place = given.file.map_or("the answer", |file| file.name);
    let standing = desk.standing()?;
    let _lock = desk.asking_lock()?;
    let typed = Draft::from_fields(given.fields);
    let sheet = sheet(&given)?;
    leaves_doubtful(place, given.without, sheet.as_ref())?;
    let is_sheet = sheet.is_some();
    let (mut draft, mut doubts, cells) = match sheet {
        Some(sheet) => beside(sheet, typed, &given),
        None => {
            let doubts = typed.doubts.into_iter().map(of_field).collect();
            (typed.draft, doubts, Cells::default())
        }
    };
    let requests = requests::kept(desk)?;
    let unmarked = is_sheet && draft.request.is_none() && draft.digest.is_none();
    let (request, unclear) = answered(&mut draft, &standing.snapshot, &requests);
    doubts.extend(unclear.map(|mut doubt| {
        if let Some(cell) = cells.reference {
            doubt.cell = cell;
        }
        SheetDoubt {
            field: "request".to_owned(),
            doubt,
        }
    }));
    if let Some(cell) = cells.specification {
        let older = older(&standing.snapshot, &requests, request, cell);
        doubts.extend(older.map(|doubt| SheetDoubt {
            field: "digest".to_owned(),
            doubt,
        }));
    }
    if let Some(number) = request.filter(|_| unmarked) {
        doubts.push(SheetDoubt {
            field: "request".to_owned(),
            doubt: Doubt {
                cell: "the file".to_owned(),
                found: String::new(),
                why: "it does not say which request it answers, and so not for which book it is"
                    .to_owned(),
                taken: Some(format!("R{number}")),
            },
        });
    }
    doubts.extend(upside_down(&draft));
    let known = all(desk)?;
    if let Some(replaces) = given.replaces
        && !known
            .iter()
            .any(|view| view.number == replaces && view.stands())
    {
        return Err(super::no_such(AskingKind::Answer, replaces));
    }
    if !doubts.is_empty() && !given.agree {
        return Ok(AnswerRead::Doubtful(doubts));
    }
    let agreed = doubts.iter().map(|one| KeptDoubt::of(&one.doubt)).collect();
    let answer = draft.answer().map_err(|error| refused(place, &error))?;
    requests::printer_of(&standing.snapshot, &answer.printer)?;
    let kept = KeptAnswer {
        received: given.received.unwrap_or_else(moment::today),
        fields: answer.fields(),
        file: given.file.map(|file| keep::keep(desk, file)).transpose()?,
        request,
        specification: match request {
            Some(_) => None,
            None => Some(specified::kept(&specified::now(&standing.snapshot))),
        },
        agreed,
        replaces: given.replaces,
    };
    let number = desk.with_record(|record| {
        let number = record.next_asking(AskingKind::Answer)?;
        let row = (number, answer.printer.as_str(), &*text(&kept));
        record.add_asking(AskingKind::Answer, &[row])?;
        Ok(number)
    })?;
    view(desk, number).map(|view| AnswerRead::Kept(Box::new(view)))
}

/// The cells of a sheet that say which request and which book it is for; none where it was typed.
#[derive(Default)]
struct Cells {
    reference: Option<String>,
    specification: Option<String>,
}

/// What the file says, if it is a sheet.
fn sheet(given: &AnswerGiven<'_>) -> Result<Option<Sheet>, DeskError> {
    let Some(file) = given.file else {
        return Ok(None);
    };
    let nothing_typed = given
        .fields
        .iter()
        .all(|(_, value)| value.trim().is_empty());
    if sheet::is_sheet(file.name) || (nothing_typed && sheet::is_other_sheet(file.name)) {
        let read = sheet::read(file.name, file.bytes);
        return read
            .map(Some)
            .map_err(|error| refused(file.name, &error.into()));
    }
    Ok(None)
}

/// Refuses to leave out what is not doubtful: a slip in its name would take over what was to be left out.
fn leaves_doubtful(place: &str, without: &[&str], sheet: Option<&Sheet>) -> Result<(), DeskError> {
    let doubtful: Vec<&str> = sheet
        .iter()
        .flat_map(|sheet| &sheet.doubts)
        .filter(|one| one.can_be_left_out())
        .map(|one| one.field.as_str())
        .collect();
    let Some(other) = without.iter().find(|what| !doubtful.contains(what)) else {
        return Ok(());
    };
    let hint = match doubtful.as_slice() {
        [] => "Nothing of it can be left out.".to_owned(),
        _ => format!("These can be left out: {}.", doubtful.join(", ")),
    };
    Err(DeskError::new(
        place,
        format!("there is no doubt about `{other}`"),
        hint,
    ))
}

/// A doubt of a field that was typed.
fn of_field(doubt: Doubt) -> SheetDoubt {
    SheetDoubt {
        field: doubt.cell.clone(),
        doubt,
    }
}

/// A sheet with what was typed beside it: whoever types a field has settled what was doubtful of it, and
/// what is left out is not taken at all.
fn beside(
    sheet: Sheet,
    typed: Reading,
    given: &AnswerGiven<'_>,
) -> (Draft, Vec<SheetDoubt>, Cells) {
    let fields = given.fields;
    let said = |field: &str| {
        let (word, of) = field.split_once(' ').unwrap_or((field, ""));
        fields
            .iter()
            .filter(|(_, value)| !value.trim().is_empty())
            .any(|(name, _)| match name.trim().split_once(' ') {
                Some((typed, quantity)) if matches!(word, "each" | "total") => {
                    matches!(typed, "each" | "total") && quantity.trim() == of
                }
                _ => name.trim() == field || (word == "freight" && name.trim() == "freight"),
            })
    };
    let mut doubts: Vec<SheetDoubt> = sheet
        .doubts
        .into_iter()
        .filter(|one| one.field.is_empty() || !said(&one.field))
        .collect();
    let mut draft = sheet.draft;
    for one in &mut doubts {
        if given.without.contains(&one.field.as_str()) {
            draft = draft.without(&one.field);
            one.doubt.taken = None;
        }
    }
    doubts.extend(typed.doubts.into_iter().map(of_field));
    let identity_typed = said("request") || said("digest");
    let cells = Cells {
        reference: sheet.reference.filter(|_| !identity_typed),
        specification: sheet.specification.filter(|_| !identity_typed),
    };
    (draft.with(typed.draft), doubts, cells)
}

/// The doubt of prices of which more copies cost less in all, or each of more copies costs more.
fn upside_down(draft: &Draft) -> Option<SheetDoubt> {
    let answer = draft.clone().answer().ok()?;
    let [few, many] = price::answer::upside_down(&answer.prices)?;
    let (less, more) = (few.total().ok()?, many.total().ok()?);
    let why = if more.minor() < less.minor() {
        "more copies cost less in all, which is a slip as a rule"
    } else {
        "each of more copies costs more, which is a slip as a rule"
    };
    Some(SheetDoubt {
        field: String::new(),
        doubt: Doubt {
            cell: format!("{} and {} copies", few.copies, many.copies),
            found: format!("{less} and {more}"),
            why: why.to_owned(),
            taken: Some("they stand".to_owned()),
        },
    })
}

/// The doubt of a sheet that was filled in for an older specification.
fn older(
    snapshot: &Snapshot,
    requests: &[(AskingRow, KeptRequest)],
    request: Option<u32>,
    cell: String,
) -> Option<Doubt> {
    let (row, kept) = requests
        .iter()
        .find(|(row, _)| Some(row.number) == request)?;
    let since = specified::since(&kept.specification, &specified::now(snapshot));
    let changes = since.thing.join(". ");
    (!changes.is_empty()).then(|| Doubt {
        cell,
        found: kept.digest.clone(),
        why: format!("this is for an older specification of the book. {changes}"),
        taken: Some(format!(
            "prices for the book as it was asked in R{}",
            row.number
        )),
    })
}

/// One answer.
pub(super) fn view(desk: &Desk, number: u32) -> Result<AnswerView, DeskError> {
    let views = all(desk)?;
    one(
        views,
        |view| view.number == number,
        AskingKind::Answer,
        number,
    )
}

/// All answers, oldest first.
pub(super) fn all(desk: &Desk) -> Result<Vec<AnswerView>, DeskError> {
    let standing = desk.standing()?;
    let snapshot = &standing.snapshot;
    let now = specified::now(snapshot);
    let today = moment::today();
    let requests = requests::kept(desk)?;
    let rows = desk.with_record(|record| record.asking(AskingKind::Answer))?;
    let kept: Vec<(AskingRow, KeptAnswer)> = rows
        .into_iter()
        .filter_map(|row| {
            let kept = of::<KeptAnswer>(&row.content)?;
            Some((row, kept))
        })
        .collect();
    let replaced: Vec<(u32, u32)> = kept
        .iter()
        .filter(|(row, _)| row.aside.is_none())
        .filter_map(|(row, kept)| Some((kept.replaces?, row.number)))
        .collect();
    let views = kept.into_iter().filter_map(|(row, kept)| {
        let fields: Vec<(&str, &str)> = kept
            .fields
            .iter()
            .map(|(name, value)| (name.as_str(), value.as_str()))
            .collect();
        let answer = Draft::from_fields(&fields).agreed().ok()?;
        let request = kept
            .request
            .and_then(|number| requests.iter().find(|(row, _)| row.number == number));
        let lines = request.map_or(kept.specification.as_deref(), |(_, request)| {
            Some(request.specification.as_slice())
        });
        let since = lines.map_or_else(Default::default, |lines| specified::since(lines, &now));
        let answer_by = request.and_then(|(_, request)| request.answer_by);
        Some(AnswerView {
            number: row.number,
            at: row.at,
            received: kept.received,
            name: name_of(snapshot, &row.printer),
            late_days: answer_by.and_then(|by| days_after(kept.received, by)),
            lapsed_days: answer
                .valid_until
                .and_then(|until| days_after(today, until)),
            answer,
            file: kept.file,
            request: kept.request,
            stale: since.thing,
            terms: since.terms,
            agreed: kept.agreed.into_iter().map(KeptDoubt::doubt).collect(),
            replaces: kept.replaces,
            replaced_by: replaced
                .iter()
                .rev()
                .find(|(old, _)| *old == row.number)
                .map(|(_, new)| *new),
            aside: row.aside,
        })
    });
    Ok(views.collect())
}

/// By how many days one day is after another, if it is.
fn days_after(day: Date, limit: Date) -> Option<i32> {
    let days = day.since(limit).ok()?.get_days();
    (days > 0).then_some(days)
}

fn name_of(snapshot: &Snapshot, key: &str) -> String {
    let printers = &snapshot.book.printers;
    let known = printers.iter().find(|printer| printer.key == key);
    known.map_or_else(|| key.to_owned(), |printer| printer.name.clone())
}

/// The request that an answer is for. It is named by its number and by the digest of the
/// specification; where the two do not agree, or name none of this book's, that is a doubt.
fn answered(
    draft: &mut Draft,
    snapshot: &Snapshot,
    requests: &[(AskingRow, KeptRequest)],
) -> (Option<u32>, Option<Doubt>) {
    let digest = draft.digest.clone().map(|digest| digest.to_lowercase());
    let by_number = requests
        .iter()
        .find(|(row, _)| Some(row.number) == draft.request);
    let fits = |kept: &KeptRequest| {
        // The reference has the first signs of the digest alone.
        digest
            .as_deref()
            .is_none_or(|digest| digest.len() >= 6 && kept.digest.starts_with(digest))
    };
    let of_printer = |row: &AskingRow| draft.printer.as_ref().is_none_or(|key| *key == row.printer);
    let found = match by_number {
        Some((row, kept)) if fits(kept) && of_printer(row) => Some(row),
        _ => requests
            .iter()
            .rev()
            .find(|(row, kept)| {
                (digest.is_some() || draft.request.is_none()) && fits(kept) && of_printer(row)
            })
            .filter(|_| digest.is_some() || draft.printer.is_some())
            .map(|(row, _)| row),
    };
    let said = match (draft.request, &digest) {
        (Some(number), Some(digest)) => format!("R{number}, {digest}"),
        (Some(number), None) => format!("R{number}"),
        (None, Some(digest)) => digest.clone(),
        (None, None) => String::new(),
    };
    let mut doubt = None;
    let found = match found {
        Some(row) => {
            if draft.printer.is_none() {
                draft.printer = Some(row.printer.clone());
            }
            if draft.request.is_some_and(|number| number != row.number) {
                doubt = Some(Doubt {
                    cell: "request".to_owned(),
                    found: said,
                    why: format!(
                        "number and digest do not name one request to this printer; the digest is \
                         that of request {}",
                        row.number
                    ),
                    taken: Some(format!("R{}", row.number)),
                });
            }
            Some(row.number)
        }
        None => {
            if !said.is_empty() {
                let book = match snapshot.book.about.title.as_str() {
                    "" => "this book".to_owned(),
                    title => format!("“{title}”"),
                };
                doubt = Some(Doubt {
                    cell: "request".to_owned(),
                    found: said,
                    why: format!(
                        "no request for {book} to this printer has that number and digest: it may \
                         be the answer to another book"
                    ),
                    taken: Some("an answer for the book as it is today".to_owned()),
                });
            }
            None
        }
    };
    draft.request = found;
    (found, doubt)
}

impl KeptDoubt {
    pub(super) fn of(doubt: &Doubt) -> Self {
        Self {
            cell: doubt.cell.clone(),
            found: doubt.found.clone(),
            why: doubt.why.clone(),
            taken: doubt.taken.clone(),
        }
    }

    fn doubt(self) -> Doubt {
        Doubt {
            cell: self.cell,
            found: self.found,
            why: self.why,
            taken: self.taken,
        }
    }
}
