//! A PDF file opened lazily: only the table of objects is read at once, each object when it is
//! asked for, so that a file of any size costs little memory.
//!
//! The reader is our own for three reasons: files here pass 2 GB (ready-made ones keep offsets in 32
//! bits), every decoding needs a limit, and damage must be reported, not mended in silence.

mod table;

use std::collections::HashMap;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use memchr::memmem;

use super::filter;
use super::lexer::{Item, Lexer};
use super::object::{Data, Dict, Obj, Stream};

/// Longest chain of references that is followed.
const MOST_HOPS: u32 = 24;
/// Decoded object streams kept for the next question.
const KEPT_BYTES: usize = 32 << 20;
/// Largest object stream.
const LARGEST_OBJECT_STREAM: usize = 64 << 20;
/// Bytes of objects that may be read in all, streams not counted; real files need a thousandth.
const READING_BUDGET: u64 = 2 << 30;
/// Most references of one array that are followed.
const MOST_REFERENCES: usize = 4_096;
/// Bytes that may be searched in all for the ends of streams whose length is wrong.
const SEARCH_BUDGET: u64 = 16 << 30;

/// Where an object lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Entry {
    Free,
    At(usize),
    In { stream: u32, index: u32 },
}

type Table = HashMap<u32, Entry>;

/// An opened file.
pub(super) struct Document<'a> {
    bytes: &'a [u8],
    table: Table,
    /// Found by searching the file when the table proves wrong.
    mended: OnceLock<Table>,
    trailer: Dict,
    damaged: AtomicBool,
    search_left: AtomicU64,
    reading_left: AtomicU64,
    kept: Mutex<Kept>,
}

/// Decoded object streams, oldest first.
#[derive(Default)]
struct Kept {
    streams: Vec<(u32, Arc<ObjectStream>)>,
}

struct ObjectStream {
    data: Vec<u8>,
    /// Object number and place of each member.
    members: Vec<(u32, usize)>,
}

impl<'a> Document<'a> {
    /// Opens a file; `None` when it is no PDF, or so broken that not even a catalogue is found.
    pub(super) fn open(bytes: &'a [u8]) -> Option<Self> {
        // Offsets count from the header, which may stand behind a little rubbish.
        let start = memmem::find(&bytes[..bytes.len().min(2048)], b"%PDF-")?;
        let bytes = &bytes[start..];
        let mut document = Self {
            bytes,
            table: Table::new(),
            mended: OnceLock::new(),
            trailer: Dict::default(),
            damaged: AtomicBool::new(false),
            search_left: AtomicU64::new(SEARCH_BUDGET),
            reading_left: AtomicU64::new(READING_BUDGET),
            kept: Mutex::default(),
        };
        if let Some((table, trailer)) = table::read(bytes) {
            document.table = table;
            document.trailer = trailer;
        }
        if document.catalogue().is_none() {
            document.damaged = AtomicBool::new(true);
            let (table, trailer) = table::search(bytes);
            document.table = table;
            document.trailer = trailer;
            document.mended = OnceLock::new();
            document.kept = Mutex::default();
            document.catalogue()?;
        }
        Some(document)
    }

    /// The version in the header, such as `1.6`.
    pub(super) fn header_version(&self) -> String {
        self.bytes[5..]
            .iter()
            .take(3)
            .take_while(|byte| byte.is_ascii_digit() || **byte == b'.')
            .map(|&byte| char::from(byte))
            .collect()
    }

    pub(super) fn trailer(&self) -> &Dict {
        &self.trailer
    }

    /// Whether the table of objects was broken, or the file ends too early.
    pub(super) fn is_damaged(&self) -> bool {
        self.damaged.load(Ordering::Relaxed)
    }

    /// Whether the file ends as a PDF ends.
    pub(super) fn has_end(&self) -> bool {
        let tail = &self.bytes[self.bytes.len().saturating_sub(1024)..];
        memmem::find(tail, b"%%EOF").is_some()
    }

    pub(super) fn catalogue(&self) -> Option<Arc<Dict>> {
        match self.get(&self.trailer, "Root") {
            Obj::Dict(dict) if dict.has("Pages") => Some(dict),
            _ => None,
        }
    }

    /// The value of a key, references followed; null if there is none.
    pub(super) fn get(&self, dict: &Dict, key: &str) -> Obj {
        dict.raw(key).map_or(Obj::Null, |value| self.resolve(value))
    }

    /// The dictionary under a key, references followed; an empty one if there is none.
    pub(super) fn get_dict(&self, dict: &Dict, key: &str) -> Arc<Dict> {
        match self.get(dict, key) {
            Obj::Dict(dict) => dict,
            Obj::Stream(stream) => Arc::new(stream.dict.clone()),
            _ => Arc::default(),
        }
    }

    /// The array under a key with all its references followed; empty if there is none.
    pub(super) fn get_array(&self, dict: &Dict, key: &str) -> Vec<Obj> {
        match self.get(dict, key) {
            Obj::Array(items) => {
                let mut references = 0;
                items
                    .iter()
                    .map_while(|item| {
                        references += usize::from(matches!(item, Obj::Ref(_)));
                        (references <= MOST_REFERENCES).then(|| self.resolve(item))
                    })
                    .collect()
            }
            _ => Vec::new(),
        }
    }

    /// The numbers of the array under a key.
    pub(super) fn get_numbers(&self, dict: &Dict, key: &str) -> Option<Vec<f64>> {
        let items = self.get_array(dict, key);
        (!items.is_empty()).then(|| items.iter().filter_map(Obj::num).collect())
    }

    /// Follows references to the value at their end.
    pub(super) fn resolve(&self, value: &Obj) -> Obj {
        self.resolve_within(value, MOST_HOPS)
    }

    fn resolve_within(&self, value: &Obj, hops: u32) -> Obj {
        let mut value = value.clone();
        let mut hops = hops;
        while let Obj::Ref(number) = value {
            if hops == 0 {
                return Obj::Null;
            }
            hops -= 1;
            value = self.object(number, hops);
        }
        value
    }

    fn object(&self, number: u32, hops: u32) -> Obj {
        if let Some(mended) = self.mended.get() {
            let entry = mended.get(&number).or_else(|| self.table.get(&number));
            return entry
                .and_then(|&entry| self.at(number, entry, hops))
                .unwrap_or(Obj::Null);
        }
        match self.table.get(&number) {
            None | Some(Entry::Free) => Obj::Null,
            Some(&entry) => self.at(number, entry, hops).unwrap_or_else(|| {
                // The table points at something else: search the file once for what is there.
                if !self.damaged.swap(true, Ordering::Relaxed) {
                    let (table, _) = table::search(self.bytes);
                    let _ = self.mended.set(table);
                    return self.object(number, hops);
                }
                Obj::Null
            }),
        }
    }

    fn at(&self, number: u32, entry: Entry, hops: u32) -> Option<Obj> {
        if self.reading_left.load(Ordering::Relaxed) == 0 {
            return Some(Obj::Null);
        }
        match entry {
            Entry::Free => Some(Obj::Null),
            Entry::At(offset) => {
                let (found, value, end) = parse_indirect(
                    self.bytes,
                    offset,
                    &|length| {
                        self.resolve_within(length, hops.min(3))
                            .int()
                            .and_then(|length| usize::try_from(length).ok())
                    },
                    &|from| self.find_end(from),
                )?;
                self.spend_reading(end.saturating_sub(offset));
                (found == number).then_some(value)
            }
            Entry::In { stream, index } => {
                let stream = self.object_stream(stream, hops)?;
                let index = index as usize;
                let by_index = stream
                    .members
                    .get(index)
                    .filter(|member| member.0 == number);
                let &(_, at) =
                    by_index.or_else(|| stream.members.iter().find(|member| member.0 == number))?;
                let mut lexer = Lexer::file(&stream.data, at);
                let value = lexer.value();
                self.spend_reading(lexer.pos().saturating_sub(at));
                value
            }
        }
    }

    fn object_stream(&self, number: u32, hops: u32) -> Option<Arc<ObjectStream>> {
        let kept = || self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some((_, stream)) = kept().streams.iter().find(|(id, _)| *id == number) {
            return Some(Arc::clone(stream));
        }
        // A stream of objects lies plainly in the file: one inside another would be a loop.
        let table = self.mended.get().unwrap_or(&self.table);
        let entry = *table.get(&number)?;
        if !matches!(entry, Entry::At(_)) || hops == 0 {
            return None;
        }
        let stream = self.at(number, entry, hops - 1)?;
        let stream = Arc::new(self.read_object_stream(stream.stream()?)?);
        let mut kept = kept();
        kept.streams.push((number, Arc::clone(&stream)));
        while kept.streams.len() > 1
            && kept
                .streams
                .iter()
                .map(|(_, s)| s.data.len())
                .sum::<usize>()
                > KEPT_BYTES
        {
            kept.streams.remove(0);
        }
        Some(stream)
    }

    fn read_object_stream(&self, stream: &Stream) -> Option<ObjectStream> {
        // Nothing here may be a reference: it could lead back into this very stream.
        let dict = &stream.dict;
        let data = filter::decode_plain(dict, self.raw_data(stream), LARGEST_OBJECT_STREAM)?;
        let first = usize::try_from(dict.raw("First")?.int()?).ok()?;
        let count = dict.raw("N")?.int()?.clamp(0, 1_000_000);
        let mut lexer = Lexer::file(&data, 0);
        let mut members = Vec::new();
        for _ in 0..count {
            let (Some(number), Some(offset)) = (lexer.unsigned(), lexer.unsigned()) else {
                break;
            };
            let at = first.saturating_add(usize::try_from(offset).ok()?);
            members.push((u32::try_from(number).ok()?, at));
        }
        Some(ObjectStream { data, members })
    }

    /// Raw data of a stream, as they stand in the file.
    pub(super) fn raw_data<'s>(&'s self, stream: &'s Stream) -> &'s [u8] {
        match &stream.data {
            Data::File(range) => self.bytes.get(range.clone()).unwrap_or_default(),
            Data::Own(bytes) => bytes,
        }
    }

    fn spend_reading(&self, bytes: usize) {
        // Two threads may both take the last of it; that little more does no harm.
        let left = self.reading_left.load(Ordering::Relaxed);
        self.reading_left
            .store(left.saturating_sub(bytes as u64 + 64), Ordering::Relaxed);
        if left <= bytes as u64 + 64 {
            self.damaged.store(true, Ordering::Relaxed);
        }
    }

    /// Where a stream without a true length ends.
    fn find_end(&self, from: usize) -> Option<usize> {
        let rest = self.bytes.get(from..)?;
        let left = self.search_left.load(Ordering::Relaxed);
        let rest = &rest[..rest.len().min(usize::try_from(left).unwrap_or(usize::MAX))];
        let found = memmem::find(rest, b"endstream");
        let spent = found.unwrap_or(rest.len()) as u64;
        self.search_left
            .fetch_sub(spent.min(left), Ordering::Relaxed);
        if found.is_none() {
            self.damaged.store(true, Ordering::Relaxed);
        }
        let mut end = from + found.unwrap_or(rest.len());
        for mark in [b'\n', b'\r'] {
            if end > from && self.bytes[end - 1] == mark {
                end -= 1;
            }
        }
        Some(end)
    }
}

/// Reads `12 0 obj …` at an offset: its number, its value, and where that ends (data not counted).
///
/// `length_of` follows a stream's length, `find_end` finds an end where that is wrong.
fn parse_indirect(
    bytes: &[u8],
    offset: usize,
    length_of: &dyn Fn(&Obj) -> Option<usize>,
    find_end: &dyn Fn(usize) -> Option<usize>,
) -> Option<(u32, Obj, usize)> {
    if offset >= bytes.len() {
        return None;
    }
    let mut lexer = Lexer::file(bytes, offset);
    let number = u32::try_from(lexer.unsigned()?).ok()?;
    lexer.unsigned()?;
    if !lexer.word(b"obj") {
        return None;
    }
    let value = match lexer.item() {
        Some(Item::Value(value)) => value,
        _ => return Some((number, Obj::Null, lexer.pos())),
    };
    let Obj::Dict(dict) = &value else {
        return Some((number, value, lexer.pos()));
    };
    if !lexer.word(b"stream") {
        return Some((number, value, lexer.pos()));
    }
    let mut start = lexer.pos();
    match &lexer.rest()[..lexer.rest().len().min(2)] {
        [13, 10] => start += 2,
        [10 | 13, ..] => start += 1,
        _ => {}
    }
    let stated = dict.raw("Length").and_then(length_of);
    let end = stated
        .and_then(|length| start.checked_add(length))
        .filter(|&end| end <= bytes.len() && Lexer::file(bytes, end).word(b"endstream"));
    let end = match end {
        Some(end) => end,
        None => find_end(start)?,
    };
    Some((
        number,
        Obj::Stream(Arc::new(Stream {
            dict: (**dict).clone(),
            data: Data::File(start..end),
            id: Some(number),
        })),
        lexer.pos(),
    ))
}
