//! A workbook's parts (Office Open XML, ECMA-376 part 1, clause 18) as cells.
//!
//! Read by ourselves, since the reader at hand reserves as much memory as a hostile file claims to need
//! and spreads sparse cells over the whole area between them. Entities beyond the five of XML are left
//! out, formulas and macros are only seen.

use std::collections::BTreeMap;

use measure::Currency;
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

use super::SheetError;
use super::archive::{Archive, broken};
use super::grid::{Cell, Grid, LONGEST_TEXT, MOST_CELLS, Page, Place, Value, shortest};
use crate::number;

/// Pages that are looked at.
const MOST_PAGES: usize = 20;
/// Merged areas that are looked at in a page.
const MOST_MERGED: usize = 1000;
/// Texts that are looked at.
const MOST_STRINGS: usize = 100_000;
/// Number formats, styles and names that are looked at.
const MOST_STYLES: usize = 5000;

/// How numbers are shown.
#[derive(Debug, Clone, Copy, Default)]
struct Style {
    currency: Option<Currency>,
    percent: bool,
    day: bool,
}

/// Reads a workbook.
pub(super) fn read(bytes: &[u8]) -> Result<Grid, SheetError> {
    let mut archive = Archive::open(bytes)?;
    let mut grid = Grid {
        macros: archive
            .names()
            .iter()
            .find(|name| name.to_ascii_lowercase().ends_with("vbaproject.bin"))
            .cloned(),
        ..Grid::default()
    };
    let main = relations(&mut archive, "")?
        .into_iter()
        .find(|relation| relation.kind == "officeDocument")
        .map_or_else(|| "xl/workbook.xml".to_owned(), |relation| relation.target);
    let Some(workbook) = archive.part(&main)? else {
        return Err(broken("it has no list of pages"));
    };
    let related = relations(&mut archive, &main)?;
    let part_of = |archive: &mut Archive<'_>, kind: &str| -> Result<String, SheetError> {
        let target = related.iter().find(|relation| relation.kind == kind);
        let part = target.map(|relation| archive.part(&relation.target));
        Ok(part.transpose()?.flatten().unwrap_or_default())
    };
    let strings = strings(&part_of(&mut archive, "sharedStrings")?)?;
    let styles = styles(&part_of(&mut archive, "styles")?)?;
    let listed = listed(&workbook)?;
    for (name, id) in listed.pages {
        let target = related.iter().find(|relation| relation.id == id);
        let text = target.map(|relation| archive.part(&relation.target));
        let text = text.transpose()?.flatten().unwrap_or_default();
        let mut page = page(&text, &strings, &styles)?;
        page.name = name;
        grid.pages.push(page);
    }
    for (name, refers) in listed.names {
        let Some((page, place)) = refers.rsplit_once('!') else {
            continue;
        };
        let page = page.trim_matches('\'').replace("''", "'");
        let page = grid.pages.iter().position(|known| known.name == page);
        if let (Some(page), Some(place)) = (page, Place::of(place)) {
            grid.names.insert(name.to_lowercase(), (page, place));
        }
    }
    Ok(grid)
}

struct Relation {
    id: String,
    /// The last word of its type.
    kind: String,
    /// A part's name from the root of the archive.
    target: String,
}

/// What a part is related to; of the whole archive for an empty name.
fn relations(archive: &mut Archive<'_>, part: &str) -> Result<Vec<Relation>, SheetError> {
    let part = part.trim_start_matches('/');
    let (folder, name) = part.rsplit_once('/').unwrap_or(("", part));
    let prefix = if folder.is_empty() {
        String::new()
    } else {
        format!("{folder}/")
    };
    let text = archive.part(&format!("{prefix}_rels/{name}.rels"))?;
    let mut relations = Vec::new();
    walk(&text.unwrap_or_default(), |event| {
        if let Event::Start(start) = event
            && start.local_name().as_ref() == "Relationship"
            && relations.len() < MOST_STYLES
        {
            let target = attribute(start, "Target").unwrap_or_default();
            relations.push(Relation {
                id: attribute(start, "Id").unwrap_or_default(),
                kind: attribute(start, "Type")
                    .unwrap_or_default()
                    .rsplit('/')
                    .next()
                    .unwrap_or_default()
                    .to_owned(),
                target: match target.strip_prefix('/') {
                    Some(from_root) => from_root.to_owned(),
                    None => joined(folder, &target),
                },
            });
        }
    })?;
    Ok(relations)
}

/// A name from a folder, with its steps upwards taken.
fn joined(folder: &str, target: &str) -> String {
    let mut steps: Vec<&str> = folder.split('/').filter(|step| !step.is_empty()).collect();
    for step in target.split('/') {
        match step {
            "" | "." => {}
            ".." => {
                steps.pop();
            }
            step => steps.push(step),
        }
    }
    steps.join("/")
}

#[derive(Default)]
struct Listed {
    /// Name and relation of each page.
    pages: Vec<(String, String)>,
    /// Name, and what it refers to.
    names: Vec<(String, String)>,
}

fn listed(text: &str) -> Result<Listed, SheetError> {
    let mut listed = Listed::default();
    let mut name: Option<(String, String)> = None;
    walk(text, |event| match event {
        Event::Start(start) => match start.local_name().as_ref() {
            "sheet" if listed.pages.len() < MOST_PAGES => {
                let id = start
                    .attributes()
                    .with_checks(false)
                    .flatten()
                    .find_map(|attribute| {
                        (attribute.key.local_name().as_ref() == "id")
                            .then(|| attribute.value.into_owned())
                    });
                listed.pages.push((
                    attribute(start, "name").unwrap_or_default(),
                    id.unwrap_or_default(),
                ));
            }
            "definedName" => {
                name = attribute(start, "name").map(|name| (name, String::new()));
            }
            _ => {}
        },
        Event::End(end) if end.local_name().as_ref() == "definedName" => {
            if listed.names.len() < MOST_STYLES {
                listed.names.extend(name.take());
            }
        }
        event => {
            if let Some((_, refers)) = &mut name {
                put(refers, event);
            }
        }
    })?;
    Ok(listed)
}

/// Texts that cells name by number.
fn strings(text: &str) -> Result<Vec<String>, SheetError> {
    let mut strings = Vec::new();
    let mut said = Text::default();
    walk(text, |event| {
        match event {
            Event::Start(start) if start.local_name().as_ref() == "si" => said = Text::default(),
            Event::End(end)
                if end.local_name().as_ref() == "si" && strings.len() < MOST_STRINGS =>
            {
                strings.push(std::mem::take(&mut said.words));
            }
            _ => {}
        }
        said.see(event);
    })?;
    Ok(strings)
}

/// Text in runs: what stands in `t`, but for what helps to speak it (`rPh`).
#[derive(Default)]
struct Text {
    words: String,
    open: bool,
    spoken: bool,
}

impl Text {
    fn see(&mut self, event: &Event<'_>) {
        match event {
            Event::Start(start) => match start.local_name().as_ref() {
                "t" => self.open = true,
                "rPh" => self.spoken = true,
                _ => {}
            },
            Event::End(end) => match end.local_name().as_ref() {
                "t" => self.open = false,
                "rPh" => self.spoken = false,
                _ => {}
            },
            event if self.open && !self.spoken => put(&mut self.words, event),
            _ => {}
        }
    }
}

/// How each style of a cell shows numbers.
fn styles(text: &str) -> Result<Vec<Style>, SheetError> {
    let mut formats: BTreeMap<u32, Style> = BTreeMap::new();
    let mut styles = Vec::new();
    let mut within = false;
    walk(text, |event| match event {
        Event::Start(start) => match start.local_name().as_ref() {
            "numFmt" if formats.len() < MOST_STYLES => {
                let id = attribute(start, "numFmtId").and_then(|id| id.parse().ok());
                let code = attribute(start, "formatCode").unwrap_or_default();
                formats.extend(id.map(|id| (id, style(&code))));
            }
            "cellXfs" => within = true,
            "xf" if within && styles.len() < MOST_STYLES => {
                let id = attribute(start, "numFmtId").and_then(|id| id.parse().ok());
                let id: u32 = id.unwrap_or(0);
                styles.push(formats.get(&id).copied().unwrap_or_else(|| built_in(id)));
            }
            _ => {}
        },
        Event::End(end) if end.local_name().as_ref() == "cellXfs" => within = false,
        _ => {}
    })?;
    Ok(styles)
}

fn style(code: &str) -> Style {
    let code: String = code.chars().take(200).collect();
    // What stands in quotes or brackets is no sign of a day.
    let mut bare = String::new();
    let (mut quoted, mut bracketed) = (false, false);
    for c in code.chars() {
        match c {
            '"' => quoted = !quoted,
            '[' if !quoted => bracketed = true,
            ']' if !quoted => bracketed = false,
            c if !quoted && !bracketed => bare.push(c.to_ascii_lowercase()),
            _ => {}
        }
    }
    Style {
        currency: number::currency_of_format(&code),
        percent: bare.contains('%'),
        day: bare.contains('y') || bare.contains('d'),
    }
}

/// Formats that have no code in the file (clause 18.8.30).
fn built_in(id: u32) -> Style {
    Style {
        currency: None,
        percent: matches!(id, 9 | 10),
        day: matches!(id, 14..=17 | 22),
    }
}

fn page(text: &str, strings: &[String], styles: &[Style]) -> Result<Page, SheetError> {
    let mut page = Page::default();
    let mut next = Place { row: 0, column: 0 };
    let mut reading: Option<Raw> = None;
    walk(text, |event| {
        match event {
            Event::Start(start) => match start.local_name().as_ref() {
                "row" => {
                    let row = attribute(start, "r").and_then(|row| row.parse::<u32>().ok());
                    let row = row.and_then(|row| row.checked_sub(1));
                    next = Place {
                        row: row.unwrap_or(next.row),
                        column: 0,
                    };
                }
                "c" => {
                    let place = attribute(start, "r").and_then(|place| Place::of(&place));
                    reading = Some(Raw {
                        place: place.unwrap_or(next),
                        style: attribute(start, "s").and_then(|style| style.parse().ok()),
                        kind: attribute(start, "t").unwrap_or_default(),
                        ..Raw::default()
                    });
                }
                "v" | "f" => {
                    if let Some(raw) = &mut reading {
                        raw.into_value = start.local_name().as_ref() == "v";
                        raw.into_formula = !raw.into_value;
                        if raw.into_formula {
                            raw.formula.get_or_insert_default();
                        }
                    }
                }
                "mergeCell" if page.merged.len() < MOST_MERGED => {
                    let area = attribute(start, "ref").unwrap_or_default();
                    let (first, last) = area.split_once(':').unwrap_or((&area, &area));
                    if let (Some(first), Some(last)) = (Place::of(first), Place::of(last)) {
                        page.merged.push((first, last));
                    }
                }
                _ => {}
            },
            Event::End(end) => match end.local_name().as_ref() {
                "row" => next = next.below(1),
                "v" | "f" => {
                    if let Some(raw) = &mut reading {
                        (raw.into_value, raw.into_formula) = (false, false);
                    }
                }
                "c" => {
                    if let Some(raw) = reading.take() {
                        let place = raw.place;
                        next = place.right(1);
                        if place.within() && page.cells.len() < MOST_CELLS {
                            page.cells.insert(place, raw.cell(strings, styles));
                        }
                    }
                }
                _ => {}
            },
            _ => {}
        }
        if let Some(raw) = &mut reading {
            raw.see(event);
        }
    })?;
    Ok(page)
}

/// A cell as it is written in the file.
#[derive(Default)]
struct Raw {
    place: Place,
    style: Option<usize>,
    kind: String,
    value: String,
    formula: Option<String>,
    inline: Text,
    into_value: bool,
    into_formula: bool,
}

impl Raw {
    fn see(&mut self, event: &Event<'_>) {
        self.inline.see(event);
        if self.into_value {
            put(&mut self.value, event);
        } else if self.into_formula
            && let Some(formula) = &mut self.formula
        {
            put(formula, event);
        }
    }

    fn cell(self, strings: &[String], styles: &[Style]) -> Cell {
        let style = self.style.and_then(|style| styles.get(style)).copied();
        let style = style.unwrap_or_default();
        let value = match self.kind.as_str() {
            "inlineStr" => text_value(&self.inline.words),
            "s" => {
                let number: Option<usize> = self.value.trim().parse().ok();
                let said = number.and_then(|number| strings.get(number));
                match (said, self.value.is_empty()) {
                    (Some(said), _) => text_value(said),
                    (None, true) => Value::Blank,
                    (None, false) => Value::Error("a text that is not in the file".to_owned()),
                }
            }
            "e" => Value::Error(self.value.chars().take(40).collect()),
            "b" => text_value(if self.value.trim() == "1" {
                "TRUE"
            } else {
                "FALSE"
            }),
            "str" | "d" => text_value(&self.value),
            _ if self.value.trim().is_empty() => Value::Blank,
            _ => match shortest(&self.value) {
                Some((number, rounded)) => Value::Number(number, rounded),
                None => Value::Error(self.value.chars().take(40).collect()),
            },
        };
        Cell {
            value,
            formula: self.formula,
            currency: style.currency,
            percent: style.percent,
            day: style.day,
        }
    }
}

fn text_value(text: &str) -> Value {
    if text.trim().is_empty() {
        return Value::Blank;
    }
    Value::Text(text.chars().take(LONGEST_TEXT).collect())
}

/// Puts words of an event behind others, as far as a cell's go.
fn put(words: &mut String, event: &Event<'_>) {
    if words.len() > LONGEST_TEXT * 4 {
        return;
    }
    match event {
        Event::Text(text) => words.push_str(&text.xml10_content()),
        Event::CData(text) => words.push_str(&text.xml10_content()),
        Event::GeneralRef(entity) => {
            let known = match entity.xml10_content().as_ref() {
                "amp" => Some('&'),
                "lt" => Some('<'),
                "gt" => Some('>'),
                "quot" => Some('"'),
                "apos" => Some('\''),
                _ => entity.resolve_char_ref().ok().flatten(),
            };
            words.extend(known);
        }
        _ => {}
    }
}

/// An attribute by its name without prefix.
fn attribute(start: &BytesStart<'_>, name: &str) -> Option<String> {
    start
        .attributes()
        .with_checks(false)
        .flatten()
        .find(|attribute| attribute.key.local_name().as_ref() == name)
        .map(|attribute| {
            let value: String = attribute.value.chars().take(LONGEST_TEXT).collect();
            match quick_xml::escape::unescape(&value) {
                Ok(plain) => plain.into_owned(),
                Err(_) => value,
            }
        })
}

/// Goes through a text's events; empty elements begin and end.
fn walk(text: &str, mut see: impl FnMut(&Event<'_>)) -> Result<(), SheetError> {
    let mut reader = Reader::from_str(text);
    reader.config_mut().expand_empty_elements = true;
    loop {
        match reader.read_event() {
            Ok(Event::Eof) => return Ok(()),
            Ok(event) => see(&event),
            Err(error) => return Err(broken(&error.to_string())),
        }
    }
}
