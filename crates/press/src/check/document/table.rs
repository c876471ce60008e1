//! The table of objects: as the file states it, or found by searching the file.

use std::collections::HashSet;

use memchr::memmem;

use super::{Entry, Table, parse_indirect};
use crate::check::filter;
use crate::check::lexer::{Item, Lexer};
use crate::check::object::{Data, Dict, Obj};

/// Most sections of the table (one for each saved change).
const MOST_SECTIONS: usize = 2_000;
/// Most objects.
const MOST_OBJECTS: usize = 8_000_000;
/// Bytes that may be decoded in all while searching.
const MOST_DECODED: usize = 1 << 30;
/// Largest decoded section.
const LARGEST_SECTION: usize = 256 << 20;

/// Reads the table that `startxref` points at, and those before it. `None` when the newest cannot
/// be read; older ones that cannot are left out.
pub(super) fn read(bytes: &[u8]) -> Option<(Table, Dict)> {
    let tail_at = bytes.len().saturating_sub(2048);
    let found = memmem::rfind(&bytes[tail_at..], b"startxref")?;
    let first = Lexer::file(bytes, tail_at + found + b"startxref".len()).unsigned()?;
    let mut table = Table::new();
    let mut newest: Option<Dict> = None;
    let mut seen = HashSet::new();
    let mut waiting = vec![usize::try_from(first).ok()?];
    while let Some(at) = waiting.pop() {
        if !seen.insert(at) || seen.len() > MOST_SECTIONS {
            continue;
        }
        let Some(trailer) = read_section(bytes, at, &mut table) else {
            newest.as_ref()?;
            continue;
        };
        let offset = |key: &str| {
            let value = trailer.raw(key)?.int()?;
            usize::try_from(value).ok()
        };
        // The last one pushed is read first: the stream of a mixed file goes before what is older.
        waiting.extend(offset("Prev"));
        waiting.extend(offset("XRefStm"));
        match &mut newest {
            None => newest = Some(trailer),
            Some(newest) => {
                for key in ["Root", "Info", "ID", "Encrypt"] {
                    if !newest.has(key)
                        && let Some(value) = trailer.raw(key)
                    {
                        newest.0.push((key.into(), value.clone()));
                    }
                }
            }
        }
    }
    Some((table, newest?))
}

fn read_section(bytes: &[u8], at: usize, table: &mut Table) -> Option<Dict> {
    let mut lexer = Lexer::file(bytes, at);
    if lexer.word(b"xref") {
        read_plain(&mut lexer, table)
    } else {
        read_stream(bytes, at, table)
    }
}

fn read_plain(lexer: &mut Lexer<'_>, table: &mut Table) -> Option<Dict> {
    loop {
        if lexer.word(b"trailer") {
            return match lexer.value()? {
                Obj::Dict(dict) => Some((*dict).clone()),
                _ => None,
            };
        }
        let start = u32::try_from(lexer.unsigned()?).ok()?;
        let count = lexer.unsigned()?;
        for index in 0..count {
            let offset = lexer.unsigned()?;
            lexer.unsigned()?;
            let used = if lexer.word(b"n") {
                true
            } else if lexer.word(b"f") {
                false
            } else {
                return None;
            };
            let number = start.checked_add(u32::try_from(index).ok()?)?;
            let entry = match usize::try_from(offset).ok() {
                Some(offset) if used && offset > 0 => Entry::At(offset),
                _ => Entry::Free,
            };
            add(table, number, entry)?;
        }
    }
}

fn add(table: &mut Table, number: u32, entry: Entry) -> Option<()> {
    if table.len() >= MOST_OBJECTS {
        return None;
    }
    table.entry(number).or_insert(entry);
    Some(())
}

fn read_stream(bytes: &[u8], at: usize, table: &mut Table) -> Option<Dict> {
    let find_end = |from: usize| {
        let rest = bytes.get(from..)?;
        Some(from + memmem::find(rest, b"endstream").unwrap_or(rest.len()))
    };
    let direct = |length: &Obj| length.int().and_then(|length| usize::try_from(length).ok());
    let (_, value, _) = parse_indirect(bytes, at, &direct, &find_end)?;
    let stream = value.stream()?;
    let dict = &stream.dict;
    if dict.raw("Type").and_then(Obj::name) != Some("XRef") {
        return None;
    }
    let Data::File(range) = &stream.data else {
        return None;
    };
    let data = filter::decode_plain(dict, bytes.get(range.clone())?, LARGEST_SECTION)?;
    let numbers = |key: &str| -> Option<Vec<usize>> {
        dict.raw(key)?
            .array()?
            .iter()
            .map(|item| item.int().and_then(|value| usize::try_from(value).ok()))
            .collect()
    };
    let widths = numbers("W")?;
    let &[kind, second, third] = widths.as_slice() else {
        return None;
    };
    let row = kind + second + third;
    if row == 0 || widths.iter().any(|&width| width > 8) {
        return None;
    }
    let size = dict.raw("Size")?.int()?;
    let ranges = numbers("Index").unwrap_or_else(|| vec![0, usize::try_from(size).unwrap_or(0)]);
    let mut rows = data.chunks_exact(row);
    let field = |bytes: &[u8]| {
        bytes
            .iter()
            .fold(0_u64, |value, &byte| value << 8 | u64::from(byte))
    };
    for range in ranges.chunks_exact(2) {
        for index in 0..range[1] {
            let Some(row) = rows.next() else {
                return Some(dict.clone());
            };
            let number = u32::try_from(range[0].checked_add(index)?).ok()?;
            let a = field(&row[kind..kind + second]);
            let b = field(&row[kind + second..]);
            let entry = match if kind == 0 { 1 } else { field(&row[..kind]) } {
                1 => Entry::At(usize::try_from(a).ok()?),
                2 => Entry::In {
                    stream: u32::try_from(a).ok()?,
                    index: u32::try_from(b).ok()?,
                },
                _ => Entry::Free,
            };
            add(table, number, entry)?;
        }
    }
    Some(dict.clone())
}

/// Searches the whole file for objects, for a file that was cut or whose table is wrong. The last
/// object of a number counts, as in a file that was changed and saved.
pub(super) fn search(bytes: &[u8]) -> (Table, Dict) {
    let mut table = Table::new();
    let mut trailer = Dict::default();
    let mut catalogue = None;
    let mut decoding_left = MOST_DECODED;
    for at in memmem::find_iter(bytes, b"obj") {
        let Some((number, start)) = object_start(bytes, at) else {
            continue;
        };
        if table.len() >= MOST_OBJECTS {
            break;
        }
        table.insert(number, Entry::At(start));
        // Only dictionaries that could matter are looked into.
        let head = &bytes[at..bytes.len().min(at + 600)];
        if memmem::find(head, b"/ObjStm").is_some() {
            decoding_left -= add_members(bytes, number, start, decoding_left, &mut table);
        } else if memmem::find(head, b"/XRef").is_some() {
            if let Some(Obj::Dict(dict)) = Lexer::file(bytes, at + 3).value() {
                merge(&mut trailer, &dict);
            }
        } else if memmem::find(head, b"/Catalog").is_some()
            && let Some(Obj::Dict(dict)) = Lexer::file(bytes, at + 3).value()
            && dict.raw("Type").and_then(Obj::name) == Some("Catalog")
        {
            catalogue = Some(number);
        }
    }
    for at in memmem::find_iter(bytes, b"trailer") {
        if let Some(Obj::Dict(dict)) = Lexer::file(bytes, at + b"trailer".len()).value() {
            merge(&mut trailer, &dict);
        }
    }
    if let Some(number) = catalogue
        && !trailer.has("Root")
    {
        trailer.0.push(("Root".into(), Obj::Ref(number)));
    }
    (table, trailer)
}

/// Takes what a later trailer says of the things that matter.
fn merge(trailer: &mut Dict, other: &Dict) {
    for key in ["Root", "Info", "ID", "Encrypt"] {
        if let Some(value) = other.raw(key) {
            trailer.0.retain(|(name, _)| &**name != key);
            trailer.0.push((key.into(), value.clone()));
        }
    }
}

/// For the word `obj` at a place: the object's number, and where `12 0 obj` begins.
fn object_start(bytes: &[u8], at: usize) -> Option<(u32, usize)> {
    let before = |mut at: usize, what: fn(u8) -> bool| {
        let end = at;
        while at > 0 && end - at < 12 && what(bytes[at - 1]) {
            at -= 1;
        }
        (at < end).then_some(at)
    };
    let space = crate::check::lexer::is_space;
    let digit = |byte: u8| byte.is_ascii_digit();
    let generation_end = before(at, space)?;
    let generation = before(generation_end, digit)?;
    let number_end = before(generation, space)?;
    let number = before(number_end, digit)?;
    let text = std::str::from_utf8(&bytes[number..number_end]).ok()?;
    Some((text.parse().ok()?, number))
}

/// Adds what lies in a stream of objects; gives how many bytes were decoded.
fn add_members(bytes: &[u8], number: u32, start: usize, most: usize, table: &mut Table) -> usize {
    let mut lexer = Lexer::file(bytes, start);
    lexer.unsigned();
    lexer.unsigned();
    if !lexer.word(b"obj") {
        return 0;
    }
    let Some(Item::Value(Obj::Dict(dict))) = lexer.item() else {
        return 0;
    };
    if !lexer.word(b"stream") {
        return 0;
    }
    let rest = lexer.rest();
    let rest = rest.strip_prefix(b"\r").unwrap_or(rest);
    let rest = rest.strip_prefix(b"\n").unwrap_or(rest);
    let Some(data) = filter::decode_plain(&dict, rest, most.min(64 << 20)) else {
        return 0;
    };
    let count = dict
        .raw("N")
        .and_then(Obj::int)
        .unwrap_or(0)
        .clamp(0, 1_000_000);
    let mut members = Lexer::file(&data, 0);
    for index in 0..count as u32 {
        let (Some(member), Some(_)) = (members.unsigned(), members.unsigned()) else {
            break;
        };
        let Ok(member) = u32::try_from(member) else {
            break;
        };
        if table.len() < MOST_OBJECTS && !matches!(table.get(&member), Some(Entry::At(_))) {
            table.insert(
                member,
                Entry::In {
                    stream: number,
                    index,
                },
            );
        }
    }
    data.len()
}
