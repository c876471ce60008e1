//! Changing the text of a book file, leaving every line alone that the change is not about.
//!
//! Edits are pure functions from text to text. Taking one back means bringing the former text
//! back, so no edit has an inverse of its own.

mod blocks;
mod learn;
mod literal;
mod named;
mod set;
mod source;
mod table;
mod treat;
mod written;

use crate::error::{BookError, BookErrors, Problem};
use crate::model::{Book, Entry};
use crate::names::{free_name, name_of_piece};
use crate::near::nearest;
use crate::plan::{Cause, causes, widths};
use crate::read::{cut, path_fault, read};
use blocks::Blocks;
use literal::quoted;

pub use written::{Field, Written, keys, kinds, naming, things};

/// The sections of the running order.
const PAGES: &str = "page";

/// A change to the book file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Edit {
    /// Moves an entry so that it stands at `to` (index after the move).
    Move {
        /// Entry's name.
        entry: String,
        /// Index, 0-based.
        to: usize,
    },
    /// Takes an entry out (its art stays in the folder).
    Remove {
        /// Entry's name.
        entry: String,
    },
    /// Gives an entry another treatment, in the words of the book file.
    ///
    /// What the entry says and the new treatment does not use is kept as a remark, and comes back
    /// with a treatment that uses it. `paired` joins the entry with the one behind it; any
    /// treatment of one picture, or `two single pages`, parts a pair into two entries.
    Treat {
        /// Entry's name.
        entry: String,
        /// `full page`, `spread`, `inset` …
        treatment: String,
    },
    /// Adds a blank page or a piece at an index. A piece comes as an inset, which cuts nothing off.
    Insert {
        /// The piece, or `None` for a blank.
        piece: Option<String>,
        /// Index.
        at: usize,
    },
    /// Sets one value of the book file, such as `stock.text.grammage` to `170 g/m2`.
    ///
    /// Keys of one page are `page.NAME.key`, those of one piece, wherever it stands, are
    /// `piece.ART.key`, those of a finishing `finishing.NAME.key`, of a printer `printer.KEY.key`, of
    /// a delivery place `delivery.PLACE.key`, of a printer's duty and tax `import.PRINTER.key`, of a
    /// rate of exchange `rate.USD EUR.key` and of an estimate of freight `freight.PRINTER FOB.key`;
    /// the last dot parts the key from the name.
    ///
    /// A thing of which nothing was said before gets a section of its own, one that is named anew by
    /// nothing loses it, and so does one of which nothing is left to say that means anything. With a
    /// printer go its duty, tax and freight. An empty value takes the key out, so that what holds
    /// without it holds again.
    Set {
        /// Dotted key.
        key: String,
        /// Value as text, without quotes.
        value: String,
    },
    /// Sets several values in one step, as [`Edit::Set`] sets each, in the order given.
    ///
    /// All are set or none: where one of them cannot be, the book stays as it is.
    SetAll {
        /// Dotted keys and their values as text.
        values: Vec<(String, String)>,
        /// The sentence for the history, without a full stop; empty puts together what each one
        /// did.
        what: String,
    },
}

/// Changes the text: gives the new one, and what was done in words.
///
/// Comments, order and spacing of everything else stay. Comment lines directly above a `[[page]]`
/// travel with it, and so do those directly below its last line; comments that stand alone between
/// blank lines stay where they are.
///
/// # Errors
/// The edit does not fit the book, or the text would not be a book any more; also if it is none to
/// begin with, but for [`Edit::Set`] and [`Edit::SetAll`], which may mend it.
pub fn apply(text: &str, edit: &Edit) -> Result<(String, String), BookErrors> {
    let (mark, text) = match text.strip_prefix('\u{feff}') {
        Some(rest) => ("\u{feff}", rest),
        None => ("", text),
    };
    let (new, what) = match edit {
        Edit::Set { key, value } => set::set(text, key, value)?,
        Edit::SetAll { values, what } => set::set_all(text, values, what)?,
        _ => on_order(text, edit)?,
    };
    read(&new)?;
    Ok((format!("{mark}{new}"), what))
}

fn on_order(text: &str, edit: &Edit) -> Result<(String, String), BookErrors> {
    let book = read(text)?;
    let mut blocks = Blocks::of(text, PAGES)?;
    let what = match edit {
        Edit::Move { entry, to } => moved(&book, &mut blocks, entry, *to)?,
        Edit::Remove { entry } => {
            let index = index_of(&book, entry)?;
            blocks.remove(index);
            format!(
                "Took `{entry}` ({}) out of the running order",
                page_words(&book.running_order, index)
            )
        }
        Edit::Treat { entry, treatment } => {
            let index = index_of(&book, entry)?;
            treat::treat(&book, &mut blocks, index, treatment)?
        }
        Edit::Insert { piece, at } => inserted(&book, &mut blocks, piece.as_deref(), *at)?,
        Edit::Set { .. } | Edit::SetAll { .. } => {
            unreachable!("settings are dealt with by the caller")
        }
    };
    Ok((blocks.text(), what))
}

fn moved(book: &Book, blocks: &mut Blocks, entry: &str, to: usize) -> Result<String, BookErrors> {
    let from = index_of(book, entry)?;
    let count = book.running_order.len();
    if to >= count {
        return Err(no_such_place(to, count));
    }
    blocks.move_to(from, to);
    let mut order = book.running_order.clone();
    let taken = order.remove(from);
    order.insert(to, taken);
    let (before, after) = (
        page_words(&book.running_order, from),
        page_words(&order, to),
    );
    // The page may stay the same where only a blank that the fold forced went or came.
    Ok(match to.checked_sub(1) {
        _ if before != after => format!("Moved `{entry}` from {before} to {after}"),
        Some(ahead) => format!(
            "Moved `{entry}` behind `{}`, still on {after}",
            order[ahead].name
        ),
        None => format!("Moved `{entry}` to the front, still on {after}"),
    })
}

fn inserted(
    book: &Book,
    blocks: &mut Blocks,
    piece: Option<&str>,
    at: usize,
) -> Result<String, BookErrors> {
    let order = &book.running_order;
    if at > order.len() {
        return Err(no_such_place(at, order.len() + 1));
    }
    let wished = piece.map_or_else(|| "blank".to_owned(), name_of_piece);
    let name = free_name(&wished, |name| is_taken(order, name));
    let mut body = format!("[[page]]\nname = {}\n", quoted(&name));
    match piece {
        None => body.push_str("treatment = \"blank\""),
        Some(piece) => {
            if let Some(why) = path_fault(piece) {
                return Err(BookError::new(
                    None,
                    Problem::Path {
                        key: "art".to_owned(),
                        found: cut(&piece.escape_debug().to_string()),
                        why,
                    },
                )
                .into());
            }
            body.push_str(&format!("treatment = \"inset\"\nart = {}", quoted(piece)));
            let placed = order
                .iter()
                .flat_map(|entry| entry.treatment.pictures())
                .any(|wanted| wanted.piece == piece);
            if placed {
                body.push_str("\nagain = true");
            }
        }
    }
    blocks.insert(at, body);
    // Only the number of pages counts for where it lands, and both kinds take one.
    let mut widths = widths(order);
    widths.insert(at, 1);
    let page = page_number(&widths, at);
    Ok(match piece {
        None => format!("Added a blank on page {page}"),
        Some(_) => format!("Added `{name}` on page {page}"),
    })
}

/// Where an entry stands in the running order.
fn index_of(book: &Book, name: &str) -> Result<usize, BookErrors> {
    let order = &book.running_order;
    order
        .iter()
        .position(|entry| entry.name == name)
        .ok_or_else(|| {
            let near = nearest(name, order.iter().map(|entry| entry.name.as_str()));
            BookError::new(
                None,
                Problem::NoSuchEntry {
                    name: cut(name),
                    near: near.map(str::to_owned),
                },
            )
            .into()
        })
}

fn is_taken(order: &[Entry], name: &str) -> bool {
    order.iter().any(|entry| entry.name == name)
}

fn no_such_place(index: usize, entries: usize) -> BookErrors {
    BookError::new(
        None,
        Problem::NoSuchPlace {
            place: index.saturating_add(1),
            entries,
        },
    )
    .into()
}

/// The page, or the first of two pages, on which an entry stands: `page 4`.
fn page_words(order: &[Entry], index: usize) -> String {
    format!("page {}", page_number(&widths(order), index))
}

fn page_number(widths: &[u32], index: usize) -> usize {
    let causes = causes(widths);
    causes
        .iter()
        .position(|cause| *cause == Cause::Entry(index))
        .map_or(0, |place| place + 1)
}
