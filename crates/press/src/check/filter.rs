//! Stream data decoded, never beyond a limit: a file of a few kilobytes may claim to hold terabytes.

use std::borrow::Cow;
use std::io::{Cursor, Read};
use std::sync::Arc;

use flate2::bufread::{DeflateDecoder, ZlibDecoder};

use super::document::Document;
use super::object::{Dict, Obj, Stream};

/// Longest row of samples that is taken from a predictor.
const LONGEST_ROW: usize = 64 << 20;
/// Most filters, one after the other.
const MOST_FILTERS: usize = 8;

/// A coding that only makes sense for pictures, and is left to the picture reader.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Picture {
    Jpeg,
    Jpeg2000,
    Fax,
    Jbig2,
}

/// What came out of a stream.
pub(super) struct Decoded {
    pub(super) bytes: Vec<u8>,
    /// The data broke off or were wrong; what was read until then is there.
    pub(super) damaged: bool,
    /// The limit cut it.
    pub(super) cut: bool,
}

/// The samples or bytes of a stream, read from the front.
pub(super) struct Reader<'a> {
    source: Box<dyn Read + 'a>,
    /// Set when what is left is a picture's own coding.
    pub(super) picture: Option<(Picture, Arc<Dict>)>,
    pub(super) damaged: bool,
}

/// A filter with its parameters.
type Filter = (Arc<str>, Arc<Dict>);

/// Names and parameters of a stream's filters, in the order in which they are undone.
pub(super) fn filters(document: &Document<'_>, dict: &Dict) -> Vec<Filter> {
    let get = |long: &str, short: &str| match document.get(dict, long) {
        Obj::Null => document.get(dict, short),
        value => value,
    };
    pair(get("Filter", "F"), get("DecodeParms", "DP"), &|value| {
        document.resolve(value)
    })
}

fn pair(filter: Obj, parameters: Obj, resolve: &dyn Fn(&Obj) -> Obj) -> Vec<Filter> {
    let list = |value: Obj| match value {
        Obj::Null => Vec::new(),
        Obj::Array(items) => items.iter().take(MOST_FILTERS).map(resolve).collect(),
        one => vec![one],
    };
    let parameters = list(parameters);
    list(filter)
        .into_iter()
        .enumerate()
        .filter_map(|(index, filter)| match filter {
            Obj::Name(name) => {
                let parameters = parameters.get(index).and_then(Obj::dict).cloned();
                Some((name, Arc::new(parameters.unwrap_or_default())))
            }
            _ => None,
        })
        .collect()
}

/// Decodes all of a stream, to at most `limit` bytes. A picture's own coding is left as it is.
pub(super) fn decode(document: &Document<'_>, stream: &Stream, limit: usize) -> Decoded {
    let mut reader = open(document, stream, limit);
    let mut bytes = Vec::new();
    let cut = reader.read_all(&mut bytes, limit);
    Decoded {
        damaged: reader.damaged,
        bytes,
        cut,
    }
}

/// Decodes data whose dictionary refers to nothing else. `None` when nothing at all came of it.
pub(super) fn decode_plain(dict: &Dict, raw: &[u8], limit: usize) -> Option<Vec<u8>> {
    let get = |key: &str| dict.raw(key).cloned().unwrap_or(Obj::Null);
    let filters = pair(get("Filter"), get("DecodeParms"), &Obj::clone);
    let mut reader = chain(raw, &filters, limit);
    let mut bytes = Vec::new();
    reader.read_all(&mut bytes, limit);
    (!bytes.is_empty() || raw.is_empty()).then_some(bytes)
}

/// Opens a stream for reading from the front. Only the last filter runs as the data are read; what
/// stands before it is undone at once, to at most `limit` bytes.
pub(super) fn open<'a>(document: &'a Document<'_>, stream: &'a Stream, limit: usize) -> Reader<'a> {
    chain(
        document.raw_data(stream),
        &filters(document, &stream.dict),
        limit,
    )
}

fn chain<'a>(raw: &'a [u8], filters: &[Filter], limit: usize) -> Reader<'a> {
    let mut data = Cow::Borrowed(raw);
    let mut damaged = false;
    // No data at all is an empty stream, whatever filter is named.
    let filters = if raw.is_empty() { &[] } else { filters };
    for (index, (name, parameters)) in filters.iter().enumerate() {
        let picture = match &**name {
            "DCTDecode" | "DCT" => Some(Picture::Jpeg),
            "JPXDecode" => Some(Picture::Jpeg2000),
            "CCITTFaxDecode" | "CCF" => Some(Picture::Fax),
            "JBIG2Decode" => Some(Picture::Jbig2),
            _ => None,
        };
        if let Some(picture) = picture {
            return Reader {
                source: plain(data),
                picture: Some((picture, Arc::clone(parameters))),
                damaged: damaged || index + 1 < filters.len(),
            };
        }
        let mut reader = Reader {
            source: undo(name, parameters, data, limit),
            picture: None,
            damaged,
        };
        if index + 1 == filters.len() {
            return reader;
        }
        let mut bytes = Vec::new();
        damaged |= reader.read_all(&mut bytes, limit);
        damaged |= reader.damaged;
        data = Cow::Owned(bytes);
    }
    Reader {
        source: plain(data),
        picture: None,
        damaged,
    }
}

fn plain<'a>(data: Cow<'a, [u8]>) -> Box<dyn Read + 'a> {
    match data {
        Cow::Borrowed(bytes) => Box::new(bytes),
        Cow::Owned(bytes) => Box::new(Cursor::new(bytes)),
    }
}

/// Undoes one filter.
fn undo<'a>(
    name: &str,
    parameters: &Dict,
    data: Cow<'a, [u8]>,
    limit: usize,
) -> Box<dyn Read + 'a> {
    match name {
        "FlateDecode" | "Fl" => {
            let zlib = matches!(&*data, [a, b, ..]
                if a & 15 == 8 && (u16::from(*a) << 8 | u16::from(*b)).is_multiple_of(31));
            predicted(
                parameters,
                match (zlib, data) {
                    (true, Cow::Borrowed(bytes)) => Box::new(ZlibDecoder::new(bytes)),
                    (true, Cow::Owned(bytes)) => Box::new(ZlibDecoder::new(Cursor::new(bytes))),
                    (false, Cow::Borrowed(bytes)) => Box::new(DeflateDecoder::new(bytes)),
                    (false, Cow::Owned(bytes)) => Box::new(DeflateDecoder::new(Cursor::new(bytes))),
                },
            )
        }
        "LZWDecode" | "LZW" => predicted(parameters, Box::new(lzw(parameters, &data, limit))),
        "ASCIIHexDecode" | "AHx" => Box::new(Cursor::new(ascii_hex(&data))),
        "ASCII85Decode" | "A85" => Box::new(Cursor::new(ascii_85(&data))),
        "RunLengthDecode" | "RL" => Box::new(Cursor::new(run_length(&data, limit))),
        // An unknown filter gives nothing, and says so.
        _ => Box::new(Broken),
    }
}

/// A source that only fails.
struct Broken;

impl Read for Broken {
    fn read(&mut self, _: &mut [u8]) -> std::io::Result<usize> {
        Err(std::io::ErrorKind::InvalidData.into())
    }
}

impl Reader<'_> {
    /// Reads on into the whole of `into`; gives how much was there.
    pub(super) fn fill(&mut self, into: &mut [u8]) -> usize {
        let mut done = 0;
        while done < into.len() {
            match self.source.read(&mut into[done..]) {
                Ok(0) => break,
                Ok(count) => done += count,
                Err(error) if error.kind() == std::io::ErrorKind::Interrupted => {}
                Err(_) => {
                    self.damaged = true;
                    break;
                }
            }
        }
        done
    }

    /// Reads to the end or the limit; whether the limit cut it.
    pub(super) fn read_all(&mut self, into: &mut Vec<u8>, limit: usize) -> bool {
        let mut chunk = vec![0; 64 << 10];
        loop {
            let count = self.fill(&mut chunk);
            into.extend_from_slice(&chunk[..count]);
            if into.len() > limit {
                into.truncate(limit);
                return true;
            }
            if count < chunk.len() {
                return false;
            }
        }
    }
}

/// Puts a predictor behind a source, where the parameters name one.
fn predicted<'a>(parameters: &Dict, source: Box<dyn Read + 'a>) -> Box<dyn Read + 'a> {
    let number = |key: &str, usual: usize| {
        parameters
            .raw(key)
            .and_then(Obj::int)
            .and_then(|value| usize::try_from(value).ok())
            .unwrap_or(usual)
    };
    let predictor = number("Predictor", 1);
    if predictor < 2 {
        return source;
    }
    let bits_each = number("BitsPerComponent", 8).clamp(1, 16);
    let colours = number("Colors", 1).clamp(1, 64);
    let bits = bits_each * colours;
    let Some(row) = number("Columns", 1)
        .checked_mul(bits)
        .map(|bits| bits.div_ceil(8))
        .filter(|&row| row > 0 && row <= LONGEST_ROW)
    else {
        return Box::new(Broken);
    };
    Box::new(Predicted {
        source,
        png: predictor >= 10,
        step: bits.div_ceil(8),
        colours,
        bits_each,
        above: vec![0; row],
        row: vec![0; row],
        given: row,
        ended: false,
    })
}

/// Undoes a row predictor as the rows are read.
struct Predicted<R> {
    source: R,
    png: bool,
    /// Bytes of a whole pixel, at least one.
    step: usize,
    colours: usize,
    bits_each: usize,
    above: Vec<u8>,
    row: Vec<u8>,
    /// How much of `row` was handed out.
    given: usize,
    ended: bool,
}

impl<R: Read> Read for Predicted<R> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        if self.given == self.row.len() {
            if self.ended || !self.next_row()? {
                return Ok(0);
            }
            self.given = 0;
        }
        let count = into.len().min(self.row.len() - self.given);
        into[..count].copy_from_slice(&self.row[self.given..self.given + count]);
        self.given += count;
        Ok(count)
    }
}

impl<R: Read> Predicted<R> {
    fn next_row(&mut self) -> std::io::Result<bool> {
        std::mem::swap(&mut self.above, &mut self.row);
        let mut kind = [0];
        if self.png && self.read_some(None, &mut kind)? == 0 {
            return Ok(false);
        }
        let mut row = std::mem::take(&mut self.row);
        let count = self.read_some(Some(()), &mut row);
        self.row = row;
        let count = count?;
        if count == 0 {
            return Ok(false);
        }
        if count < self.row.len() {
            self.row[count..].fill(0);
            self.ended = true;
        }
        if self.png {
            undo_png(kind[0], self.step, &self.above, &mut self.row);
        } else {
            self.undo_tiff();
        }
        Ok(true)
    }

    /// Reads as much as there is; an error counts only when nothing came before it.
    fn read_some(&mut self, row: Option<()>, into: &mut [u8]) -> std::io::Result<usize> {
        let mut done = 0;
        while done < into.len() {
            match self.source.read(&mut into[done..]) {
                Ok(0) => break,
                Ok(count) => done += count,
                Err(error) if error.kind() == std::io::ErrorKind::Interrupted => {}
                Err(_) if row.is_some() && done > 0 => break,
                Err(error) => return Err(error),
            }
        }
        Ok(done)
    }

    fn undo_tiff(&mut self) {
        match self.bits_each {
            8 => {
                for at in self.colours..self.row.len() {
                    self.row[at] = self.row[at].wrapping_add(self.row[at - self.colours]);
                }
            }
            16 => {
                let step = self.colours * 2;
                for at in (step..self.row.len().saturating_sub(1)).step_by(2) {
                    let read = |at: usize| u16::from_be_bytes([self.row[at], self.row[at + 1]]);
                    let sum = read(at).wrapping_add(read(at - step)).to_be_bytes();
                    self.row[at..at + 2].copy_from_slice(&sum);
                }
            }
            bits => {
                let mask = (1_u8 << bits) - 1;
                let mut left = vec![0_u8; self.colours];
                let per_byte = 8 / bits.clamp(1, 8);
                for index in 0..self.row.len() * per_byte {
                    let (at, shift) = (index / per_byte, 8 - bits * (index % per_byte + 1));
                    let of = &mut left[index % self.colours];
                    *of = (self.row[at] >> shift & mask).wrapping_add(*of) & mask;
                    self.row[at] = self.row[at] & !(mask << shift) | *of << shift;
                }
            }
        }
    }
}

/// Undoes a PNG row filter (PNG specification, section 9).
fn undo_png(kind: u8, step: usize, above: &[u8], row: &mut [u8]) {
    match kind {
        1 if step == 4 => {
            let mut left = [0_u8; 4];
            for pixel in row.chunks_exact_mut(4) {
                for (value, left) in pixel.iter_mut().zip(&mut left) {
                    *value = value.wrapping_add(*left);
                    *left = *value;
                }
            }
        }
        1 => {
            for at in step..row.len() {
                row[at] = row[at].wrapping_add(row[at - step]);
            }
        }
        2 => {
            for (value, up) in row.iter_mut().zip(above) {
                *value = value.wrapping_add(*up);
            }
        }
        3 => {
            for at in 0..row.len() {
                let left = if at >= step { row[at - step] } else { 0 };
                let mean = (u16::from(left) + u16::from(above[at])) / 2;
                row[at] = row[at].wrapping_add(mean as u8);
            }
        }
        4 => {
            for at in 0..row.len() {
                let (left, corner) = if at >= step {
                    (row[at - step], above[at - step])
                } else {
                    (0, 0)
                };
                row[at] = row[at].wrapping_add(paeth(left, above[at], corner));
            }
        }
        _ => {}
    }
}

fn paeth(left: u8, up: u8, corner: u8) -> u8 {
    let (a, b, c) = (i16::from(left), i16::from(up), i16::from(corner));
    let guess = a + b - c;
    let (by_a, by_b, by_c) = ((guess - a).abs(), (guess - b).abs(), (guess - c).abs());
    if by_a <= by_b && by_a <= by_c {
        left
    } else if by_b <= by_c {
        up
    } else {
        corner
    }
}

fn lzw(parameters: &Dict, data: &[u8], limit: usize) -> Cursor<Vec<u8>> {
    let early = parameters.raw("EarlyChange").and_then(Obj::int) != Some(0);
    let mut decoder = if early {
        weezl::decode::Decoder::with_tiff_size_switch(weezl::BitOrder::Msb, 8)
    } else {
        weezl::decode::Decoder::new(weezl::BitOrder::Msb, 8)
    };
    let mut out = Vec::new();
    let mut chunk = vec![0; 64 << 10];
    let mut data = data;
    while out.len() < limit {
        let result = decoder.decode_bytes(data, &mut chunk);
        out.extend_from_slice(&chunk[..result.consumed_out.min(chunk.len())]);
        data = &data[result.consumed_in.min(data.len())..];
        let moved = result.consumed_in > 0 || result.consumed_out > 0;
        if !matches!(result.status, Ok(weezl::LzwStatus::Ok)) || !moved {
            break;
        }
    }
    Cursor::new(out)
}

fn ascii_hex(data: &[u8]) -> Vec<u8> {
    let mut digits = data
        .iter()
        .take_while(|&&byte| byte != b'>')
        .filter_map(|&byte| char::from(byte).to_digit(16));
    let mut out = Vec::new();
    while let Some(high) = digits.next() {
        out.push((high * 16 + digits.next().unwrap_or(0)) as u8);
    }
    out
}

fn ascii_85(data: &[u8]) -> Vec<u8> {
    let mut out = Vec::new();
    let (mut group, mut count) = (0_u32, 0);
    for &byte in data {
        match byte {
            b'z' if count == 0 => out.extend_from_slice(&[0; 4]),
            b'!'..=b'u' => {
                group = group.wrapping_mul(85).wrapping_add(u32::from(byte - b'!'));
                count += 1;
                if count == 5 {
                    out.extend_from_slice(&group.to_be_bytes());
                    (group, count) = (0, 0);
                }
            }
            b'~' => break,
            _ => {}
        }
    }
    if count > 1 {
        for _ in count..5 {
            group = group.wrapping_mul(85).wrapping_add(84);
        }
        out.extend_from_slice(&group.to_be_bytes()[..count - 1]);
    }
    out
}

fn run_length(data: &[u8], limit: usize) -> Vec<u8> {
    let mut out = Vec::new();
    let mut at = 0;
    while let Some(&length) = data.get(at) {
        if length == 128 || out.len() > limit {
            break;
        }
        if length < 128 {
            let end = data.len().min(at + 2 + usize::from(length));
            out.extend_from_slice(&data[at + 1..end]);
            at = end;
        } else {
            let Some(&byte) = data.get(at + 1) else { break };
            out.resize(out.len() + 257 - usize::from(length), byte);
            at += 2;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(mut source: impl Read) -> Vec<u8> {
        let mut out = Vec::new();
        source.read_to_end(&mut out).unwrap();
        out
    }

    #[test]
    fn ascii_filters_decode_what_the_standard_shows() {
        assert_eq!(ascii_hex(b"48 65 6C6c 6>rest"), b"Hell`");
        // From the second part of a well-known sentence in base 85: "Man ".
        assert_eq!(ascii_85(b"9jqo^~>"), b"Man ");
        assert_eq!(ascii_85(b"9jqo^9j~>"), b"Man M");
        assert_eq!(
            run_length(&[2, 1, 2, 3, 254, 9, 128, 5], 100),
            [1, 2, 3, 9, 9, 9]
        );
    }

    #[test]
    fn png_rows_come_back_after_every_filter() {
        let rows: [[u8; 8]; 3] = [
            [10, 20, 30, 40, 50, 60, 70, 80],
            [11, 250, 3, 4, 90, 0, 255, 1],
            [7, 7, 7, 7, 7, 7, 7, 8],
        ];
        for kind in 0..=4 {
            let mut coded = Vec::new();
            let mut above = [0_u8; 8];
            for row in rows {
                coded.push(kind);
                for at in 0..8 {
                    let (left, corner) = if at >= 4 {
                        (row[at - 4], above[at - 4])
                    } else {
                        (0, 0)
                    };
                    let guess = match kind {
                        1 => left,
                        2 => above[at],
                        3 => ((u16::from(left) + u16::from(above[at])) / 2) as u8,
                        4 => paeth(left, above[at], corner),
                        _ => 0,
                    };
                    coded.push(row[at].wrapping_sub(guess));
                }
                above = row;
            }
            let parameters = Dict(vec![
                ("Predictor".into(), Obj::Int(15)),
                ("Colors".into(), Obj::Int(4)),
                ("Columns".into(), Obj::Int(2)),
            ]);
            let source: Box<dyn Read> = Box::new(coded.as_slice());
            assert_eq!(read(predicted(&parameters, source)), rows.concat());
        }
    }

    #[test]
    fn a_bomb_stops_at_the_limit() {
        let mut bomb = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
        std::io::copy(&mut std::io::repeat(0).take(20 << 20), &mut bomb).unwrap();
        let bomb = bomb.finish().unwrap();
        let dict = Dict(vec![("Filter".into(), Obj::Name("FlateDecode".into()))]);
        assert_eq!(decode_plain(&dict, &bomb, 1000).unwrap().len(), 1000);
    }
}
