//! Giving an entry another treatment.

use super::blocks::Blocks;
use super::is_taken;
use super::literal::quoted;
use super::table::{plain, remove_key, set_key, value_of};
use crate::error::{BookError, BookErrors, Problem};
use crate::key::{PAGE, TREATMENTS, keys_of};
use crate::model::{Book, Treatment};
use crate::names::{free_name, name_of_piece};
use crate::near::nearest;
use crate::read::cut;

/// Parts a pair into two entries of one picture each.
const TWO_SINGLE_PAGES: &str = "two single pages";
/// Begins a remark that holds a key which the treatment does not use.
const KEPT: &str = "# kept for later: ";
const PATH: [&str; 1] = ["page"];

/// Changes the treatment of the entry at an index, and says what was done.
pub(super) fn treat(
    book: &Book,
    blocks: &mut Blocks,
    index: usize,
    word: &str,
) -> Result<String, BookErrors> {
    let word = known(word)?;
    let entry = &book.running_order[index];
    let name = entry.name.clone();
    if entry.treatment.word() == word {
        return Ok(format!("Left `{name}` as it is ({word})"));
    }
    let refused = |why: &str, instead: String| {
        Err(BookError::new(
            None,
            Problem::CannotTreat {
                entry: cut(&name),
                treatment: word.to_owned(),
                why: why.to_owned(),
                instead,
            },
        )
        .into())
    };
    let shows_one = |word: &str| matches!(word, "full page" | "spread" | "inset" | "ready page");
    match &entry.treatment {
        Treatment::Paired { .. } if shows_one(word) || word == TWO_SINGLE_PAGES => {
            part(book, blocks, index, word)
        }
        treatment if shows_one(treatment.word()) && shows_one(word) => {
            let body = treated(blocks.body(index), word)?;
            blocks.replace(index, body);
            Ok(format!(
                "Changed `{name}` from {} to {word}",
                treatment.word()
            ))
        }
        treatment if shows_one(treatment.word()) && word == "paired" => {
            let next = book.running_order.get(index + 1);
            match next {
                Some(next) if shows_one(next.treatment.word()) => {
                    let what = format!("Paired `{name}` with `{}`", next.name);
                    pair(blocks, index)?;
                    Ok(what)
                }
                _ => refused(
                    "no single picture stands behind it to be its other half",
                    format!("Move the other picture to stand right after `{name}` first."),
                ),
            }
        }
        treatment if shows_one(treatment.word()) && word == TWO_SINGLE_PAGES => refused(
            "it shows one picture",
            "Choose `full page` or `inset` for it.".to_owned(),
        ),
        treatment if treatment.pictures().is_empty() && !shows_one(word) => match treatment {
            Treatment::Text {
                heading,
                paragraphs,
            } if word != "colophon" && !(heading.is_empty() && paragraphs.is_empty()) => {
                refused("it has words", without_loss(&name, word))
            }
            Treatment::Colophon { paragraphs } if word != "text" && !paragraphs.is_empty() => {
                refused("it has words", without_loss(&name, word))
            }
            _ if word == "paired" || word == TWO_SINGLE_PAGES => {
                refused("it shows no picture", put_in(&name))
            }
            _ => {
                let body = treated(blocks.body(index), word)?;
                blocks.replace(index, body);
                Ok(format!(
                    "Changed `{name}` from {} to {word}",
                    treatment.word()
                ))
            }
        },
        treatment if treatment.pictures().is_empty() => {
            refused("it shows no picture", put_in(&name))
        }
        _ => refused("it shows a picture", without_loss(&name, word)),
    }
}

fn without_loss(name: &str, word: &str) -> String {
    format!("Take `{name}` out, and add a page of its own for `{word}`.")
}

fn put_in(name: &str) -> String {
    format!("Put the picture into the running order beside `{name}`.")
}

fn known(word: &str) -> Result<&'static str, BookErrors> {
    let words = || TREATMENTS.into_iter().chain([TWO_SINGLE_PAGES]);
    words().find(|known| *known == word.trim()).ok_or_else(|| {
        let list: Vec<String> = words().map(|word| format!("`{word}`")).collect();
        BookError::new(
            None,
            Problem::UnknownWord {
                key: "treatment".to_owned(),
                expected: list.join(", "),
                found: cut(word),
                near: nearest(word, words()).map(str::to_owned),
            },
        )
        .into()
    })
}

/// A body with another treatment: what it does not use becomes a remark, and remarks that it uses
/// become keys again.
fn treated(body: &str, word: &str) -> Result<String, BookErrors> {
    let mut body = put(body.to_owned(), "treatment", &quoted(word))?;
    let used = keys_of(word).unwrap_or_default();
    for key in PAGE.names() {
        if matches!(key, "name" | "treatment") {
            continue;
        }
        if used.contains(&key) {
            body = woken(&body, key)?;
        } else {
            body = laid_aside(body, key)?;
        }
    }
    Ok(body)
}

/// Sets a key of a body.
fn put(body: String, key: &str, literal: &str) -> Result<String, BookErrors> {
    Ok(set_key(&body, &PATH, key, literal)?.unwrap_or(body))
}

/// Takes a key out of a body.
fn without(body: String, key: &str) -> Result<String, BookErrors> {
    Ok(remove_key(&body, &PATH, key)?.unwrap_or(body))
}

/// Turns a key into a remark above the treatment; an empty text or a `false` is just taken out.
fn laid_aside(body: String, key: &str) -> Result<String, BookErrors> {
    let Some(value) = value_of(&body, &PATH, key)? else {
        return Ok(body);
    };
    let body = without(body, key)?;
    let text = plain(&value);
    if text.is_empty() || text == "false" {
        return Ok(body);
    }
    // Remarks have one line, so that longer texts are written with their breaks escaped.
    let value = if value.contains(['\n', '\r']) {
        let escaped = text
            .replace('\\', "\\\\")
            .replace('"', "\\\"")
            .replace('\n', "\\n")
            .replace('\r', "");
        format!("\"{escaped}\"")
    } else {
        value
    };
    let Some(at) = line_of_key(&body, "treatment")? else {
        return Ok(body);
    };
    Ok(format!(
        "{}{KEPT}{key} = {value}\n{}",
        &body[..at],
        &body[at..]
    ))
}

/// Turns the remark that holds a key into the key again.
fn woken(body: &str, key: &str) -> Result<String, BookErrors> {
    let start = format!("{KEPT}{key} = ");
    // A line that looks like one may lie inside the words of the page; only remarks count.
    let Some(treatment) = line_of_key(body, "treatment")? else {
        return Ok(body.to_owned());
    };
    let mut at = treatment;
    let mut value = None;
    while at > 0 {
        let before = body[..at - 1].rfind('\n').map_or(0, |at| at + 1);
        let line = &body[before..at];
        if !line.starts_with('#') {
            break;
        }
        if let Some(rest) = line.strip_prefix(&start) {
            value = Some((before..at, rest.trim().to_owned()));
            break;
        }
        at = before;
    }
    let Some((line, value)) = value else {
        return Ok(body.to_owned());
    };
    let rest = format!("{}{}", &body[..line.start], &body[line.end..]);
    if value.parse::<toml_edit::Value>().is_err() || value_of(&rest, &PATH, key)?.is_some() {
        return Ok(body.to_owned());
    }
    put(rest, key, &value)
}

/// The start of the line on which a key stands.
fn line_of_key(body: &str, key: &str) -> Result<Option<usize>, BookErrors> {
    let document = crate::read::parse(body)?;
    let start = document
        .as_table()
        .get("page")
        .and_then(toml_edit::Item::as_array_of_tables)
        .and_then(|tables| tables.get(0)?.key(key)?.span())
        .map(|span| body[..span.start].rfind('\n').map_or(0, |at| at + 1));
    Ok(start)
}

/// Gives a key's value another name.
fn renamed(body: String, from: &str, to: &str) -> Result<String, BookErrors> {
    match value_of(&body, &PATH, from)? {
        None => Ok(body),
        Some(value) => put(without(body, from)?, to, &value),
    }
}

/// Parts the pair at an index into two entries of one picture each.
fn part(book: &Book, blocks: &mut Blocks, index: usize, word: &str) -> Result<String, BookErrors> {
    let order = &book.running_order;
    let entry = &order[index];
    // Within margins, as they stood.
    let word = if word == TWO_SINGLE_PAGES {
        "inset"
    } else {
        word
    };
    let body = blocks.body(index).to_owned();
    let pieces: Vec<String> = entry
        .treatment
        .pictures()
        .iter()
        .map(|wanted| wanted.piece.clone())
        .collect();
    let name = free_name(&name_of_piece(&pieces[1]), |name| is_taken(order, name));
    let one = |body: String, mine: &str, other: &str| -> Result<String, BookErrors> {
        let body = without(body, other)?;
        let body = without(body, &format!("{other}_focus"))?;
        let body = renamed(body, mine, "art")?;
        let body = renamed(body, &format!("{mine}_focus"), "focus")?;
        treated(&body, word)
    };
    let left = one(body.clone(), "left", "right")?;
    // The right one is a new entry: remarks above the pair stay with the left.
    let header = body
        .lines()
        .take_while(|line| line.trim_start().starts_with('#'))
        .map(|line| line.len() + 1)
        .sum::<usize>()
        .min(body.len());
    let right = put(body[header..].to_owned(), "name", &quoted(&name))?;
    let right = one(right, "right", "left")?;
    blocks.replace(index, left);
    blocks.insert(index + 1, right);
    Ok(format!(
        "Parted `{}` into two entries ({word}): `{}` and `{name}`",
        entry.name, entry.name
    ))
}

/// Joins the entry at an index with the one behind it.
fn pair(blocks: &mut Blocks, index: usize) -> Result<(), BookErrors> {
    let body = renamed(blocks.body(index).to_owned(), "art", "left")?;
    let mut body = renamed(body, "focus", "left_focus")?;
    let other = blocks.body(index + 1).to_owned();
    for (from, to) in [("art", "right"), ("focus", "right_focus")] {
        if let Some(value) = value_of(&other, &PATH, from)? {
            body = put(body, to, &value)?;
        }
    }
    for key in ["margin", "accept_low_resolution", "again"] {
        if value_of(&body, &PATH, key)?.is_none()
            && let Some(value) = value_of(&other, &PATH, key)?
        {
            body = put(body, key, &value)?;
        }
    }
    // The second caption would be lost; the first is laid aside by the treatment itself.
    if let Some(caption) = value_of(&other, &PATH, "caption")?
        && value_of(&body, &PATH, "caption")?.is_none_or(|caption| plain(&caption).is_empty())
    {
        body = put(body, "caption", &caption)?;
    }
    let body = treated(&body, "paired")?;
    // Remarks above the second entry go above the pair.
    let remarks: String = other
        .lines()
        .take_while(|line| line.trim_start().starts_with('#'))
        .map(|line| format!("{line}\n"))
        .collect();
    blocks.replace(index, format!("{remarks}{body}"));
    blocks.remove(index + 1);
    Ok(())
}
