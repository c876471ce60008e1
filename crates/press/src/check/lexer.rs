//! Words and values from bytes, for files and for page contents alike. Never fails: what cannot be
//! read is skipped, and every call moves on or ends.

use std::sync::Arc;

use super::object::{Dict, Obj};

/// Deepest nesting of arrays and dictionaries that is followed.
const DEEPEST: u32 = 48;
/// Most values in one object; real ones stay far below.
const MOST_VALUES: u32 = 1_000_000;
/// Numbers beyond this have no sense on paper, and are brought back to it.
const LARGEST: f64 = 1e12;

/// What stands next.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Item<'a> {
    Value(Obj),
    /// A bare word: an operator, `obj`, `stream` …
    Word(&'a [u8]),
}

/// A reader at a place in some bytes.
#[derive(Debug, Clone)]
pub(super) struct Lexer<'a> {
    data: &'a [u8],
    pos: usize,
    values_left: u32,
    /// Whether `1 0 R` is a reference (in page contents it is not).
    references: bool,
}

pub(super) fn is_space(byte: u8) -> bool {
    matches!(byte, 0 | 9 | 10 | 12 | 13 | 32)
}

fn is_delimiter(byte: u8) -> bool {
    matches!(
        byte,
        b'(' | b')' | b'<' | b'>' | b'[' | b']' | b'{' | b'}' | b'/' | b'%'
    )
}

fn is_regular(byte: u8) -> bool {
    !is_space(byte) && !is_delimiter(byte)
}

impl<'a> Lexer<'a> {
    /// A reader of a file from a place on.
    pub(super) fn file(data: &'a [u8], pos: usize) -> Self {
        Self {
            data,
            pos: pos.min(data.len()),
            values_left: MOST_VALUES,
            references: true,
        }
    }

    /// A reader of page contents.
    pub(super) fn content(data: &'a [u8]) -> Self {
        Self {
            data,
            pos: 0,
            values_left: MOST_VALUES,
            references: false,
        }
    }

    pub(super) fn pos(&self) -> usize {
        self.pos
    }

    pub(super) fn jump(&mut self, pos: usize) {
        self.pos = pos.min(self.data.len());
    }

    pub(super) fn rest(&self) -> &'a [u8] {
        &self.data[self.pos..]
    }

    fn peek(&self) -> Option<u8> {
        self.data.get(self.pos).copied()
    }

    pub(super) fn skip_space(&mut self) {
        while let Some(byte) = self.peek() {
            if byte == b'%' {
                while self.peek().is_some_and(|byte| byte != 10 && byte != 13) {
                    self.pos += 1;
                }
            } else if is_space(byte) {
                self.pos += 1;
            } else {
                break;
            }
        }
    }

    /// The next value or word; `None` at the end.
    pub(super) fn item(&mut self) -> Option<Item<'a>> {
        self.values_left = MOST_VALUES;
        self.next(0)
    }

    /// The next value; a word in its place is no value.
    pub(super) fn value(&mut self) -> Option<Obj> {
        match self.item()? {
            Item::Value(value) => Some(value),
            Item::Word(_) => None,
        }
    }

    /// Whether the given word stands next; passes over it if so.
    pub(super) fn word(&mut self, word: &[u8]) -> bool {
        self.skip_space();
        let rest = self.rest();
        let found =
            rest.starts_with(word) && rest.get(word.len()).is_none_or(|&byte| !is_regular(byte));
        if found {
            self.pos += word.len();
        }
        found
    }

    /// A whole number without sign.
    pub(super) fn unsigned(&mut self) -> Option<u64> {
        self.skip_space();
        let digits = self
            .rest()
            .iter()
            .take(20)
            .take_while(|byte| byte.is_ascii_digit())
            .count();
        let value = std::str::from_utf8(&self.rest()[..digits])
            .ok()?
            .parse()
            .ok()?;
        self.pos += digits;
        Some(value)
    }

    fn next(&mut self, depth: u32) -> Option<Item<'a>> {
        loop {
            self.skip_space();
            let byte = self.peek()?;
            return Some(match byte {
                b'/' => Item::Value(Obj::Name(self.name())),
                b'(' => Item::Value(Obj::Str(self.string().into())),
                b'<' if self.data.get(self.pos + 1) == Some(&b'<') => {
                    self.pos += 2;
                    Item::Value(Obj::Dict(Arc::new(self.dict(depth + 1))))
                }
                b'<' => Item::Value(Obj::Str(self.hex_string().into())),
                b'[' => {
                    self.pos += 1;
                    Item::Value(Obj::Array(Arc::new(self.array(depth + 1))))
                }
                b'+' | b'-' | b'.' | b'0'..=b'9' => match self.number() {
                    Some(number) => Item::Value(number),
                    None => self.bare_word(),
                },
                byte if is_regular(byte) => match self.bare_word() {
                    Item::Word(b"true") => Item::Value(Obj::Bool(true)),
                    Item::Word(b"false") => Item::Value(Obj::Bool(false)),
                    Item::Word(b"null") => Item::Value(Obj::Null),
                    word => word,
                },
                // A closing bracket without its opening one.
                _ => {
                    self.pos += 1;
                    continue;
                }
            });
        }
    }

    fn bare_word(&mut self) -> Item<'a> {
        let length = self
            .rest()
            .iter()
            .take_while(|&&byte| is_regular(byte))
            .count();
        let word = &self.rest()[..length];
        self.pos += length.max(1);
        self.pos = self.pos.min(self.data.len());
        Item::Word(word)
    }

    fn name(&mut self) -> Arc<str> {
        self.pos += 1;
        let mut bytes = Vec::new();
        while let Some(byte) = self.peek().filter(|&byte| is_regular(byte)) {
            self.pos += 1;
            let hex = |at: usize| {
                self.data
                    .get(at)
                    .and_then(|&digit| char::from(digit).to_digit(16))
            };
            match (byte, hex(self.pos), hex(self.pos + 1)) {
                (b'#', Some(high), Some(low)) => {
                    bytes.push((high * 16 + low) as u8);
                    self.pos += 2;
                }
                _ => bytes.push(byte),
            }
        }
        String::from_utf8_lossy(&bytes).into()
    }

    fn number(&mut self) -> Option<Obj> {
        let start = self.pos;
        let mut pos = self.pos;
        let mut negative = false;
        while let Some(sign @ (b'+' | b'-')) = self.data.get(pos) {
            negative |= *sign == b'-';
            pos += 1;
        }
        let (mut whole, mut fraction, mut scale) = (0_f64, 0_f64, 1_f64);
        let (mut digits, mut real) = (0, false);
        while let Some(&byte) = self.data.get(pos) {
            match byte {
                b'0'..=b'9' if real => {
                    if scale > 1e-15 {
                        scale /= 10.0;
                        fraction += f64::from(byte - b'0') * scale;
                    }
                    digits += 1;
                }
                b'0'..=b'9' => {
                    whole = (whole * 10.0 + f64::from(byte - b'0')).min(LARGEST);
                    digits += 1;
                }
                b'.' if !real => real = true,
                // Some writers put a sign inside a number: `0.-12`. What follows is dropped.
                b'-' => {}
                _ => break,
            }
            pos += 1;
        }
        if digits == 0 && !real {
            return None;
        }
        if self.data.get(pos).is_some_and(|&byte| is_regular(byte)) && digits == 0 {
            return None;
        }
        self.pos = pos;
        let value = if negative {
            -(whole + fraction)
        } else {
            whole + fraction
        };
        if real {
            return Some(Obj::Real(value));
        }
        if self.references
            && !negative
            && pos - start <= 10
            && let Some(reference) = self.reference(value)
        {
            return Some(reference);
        }
        Some(Obj::Int(value as i64))
    }

    /// After the whole number `value`: the rest of `12 0 R`.
    fn reference(&mut self, value: f64) -> Option<Obj> {
        let mut ahead = Lexer {
            data: self.data,
            ..*self
        };
        if !ahead.peek().is_some_and(is_space) {
            return None;
        }
        ahead.unsigned()?;
        if !ahead.peek().is_some_and(is_space) || !ahead.word(b"R") {
            return None;
        }
        self.pos = ahead.pos;
        (value <= f64::from(u32::MAX)).then_some(Obj::Ref(value as u32))
    }

    fn string(&mut self) -> Vec<u8> {
        self.pos += 1;
        let mut out = Vec::new();
        let mut open = 1;
        while let Some(byte) = self.peek() {
            self.pos += 1;
            match byte {
                b'(' => open += 1,
                b')' => {
                    open -= 1;
                    if open == 0 {
                        break;
                    }
                }
                b'\\' => {
                    let Some(next) = self.peek() else { break };
                    self.pos += 1;
                    match next {
                        b'n' => out.push(10),
                        b'r' => out.push(13),
                        b't' => out.push(9),
                        b'b' => out.push(8),
                        b'f' => out.push(12),
                        b'0'..=b'7' => {
                            let mut code = u32::from(next - b'0');
                            for _ in 0..2 {
                                let Some(digit @ b'0'..=b'7') = self.peek() else {
                                    break;
                                };
                                code = code * 8 + u32::from(digit - b'0');
                                self.pos += 1;
                            }
                            out.push(code as u8);
                        }
                        13 => {
                            if self.peek() == Some(10) {
                                self.pos += 1;
                            }
                        }
                        10 => {}
                        other => out.push(other),
                    }
                    continue;
                }
                _ => {}
            }
            out.push(byte);
        }
        out
    }

    fn hex_string(&mut self) -> Vec<u8> {
        self.pos += 1;
        let mut out = Vec::new();
        let mut half = None;
        while let Some(byte) = self.peek() {
            self.pos += 1;
            if byte == b'>' {
                break;
            }
            let Some(digit) = char::from(byte).to_digit(16) else {
                continue;
            };
            match half.take() {
                Some(high) => out.push((high * 16 + digit) as u8),
                None => half = Some(digit),
            }
        }
        if let Some(high) = half {
            out.push((high * 16) as u8);
        }
        out
    }

    /// Whether another value may be taken into the object that is being read.
    fn may_go_on(&mut self, depth: u32) -> bool {
        self.values_left = self.values_left.saturating_sub(1);
        self.values_left > 0 && depth <= DEEPEST
    }

    fn array(&mut self, depth: u32) -> Vec<Obj> {
        let mut items = Vec::new();
        while self.may_go_on(depth) {
            self.skip_space();
            match self.peek() {
                None => break,
                Some(b']') => {
                    self.pos += 1;
                    break;
                }
                // The dictionary around it closes: the array was never closed.
                Some(b'>') if self.data.get(self.pos + 1) == Some(&b'>') => break,
                Some(_) => {}
            }
            match self.next(depth) {
                Some(Item::Value(value)) => items.push(value),
                Some(Item::Word(b"endobj" | b"endstream")) | None => break,
                Some(Item::Word(_)) => {}
            }
        }
        items
    }

    fn dict(&mut self, depth: u32) -> Dict {
        let mut entries = Vec::new();
        while self.may_go_on(depth) {
            self.skip_space();
            match self.peek() {
                None => break,
                Some(b'>') => {
                    self.pos += 1;
                    if self.peek() == Some(b'>') {
                        self.pos += 1;
                    }
                    break;
                }
                Some(b'/') => {
                    let key = self.name();
                    self.skip_space();
                    if self.peek() == Some(b'>') || self.peek().is_none() {
                        continue;
                    }
                    if let Some(Item::Value(value)) = self.next(depth) {
                        entries.push((key, value));
                    }
                }
                Some(_) => match self.next(depth) {
                    Some(Item::Word(b"endobj" | b"stream" | b"endstream")) | None => break,
                    Some(_) => {}
                },
            }
        }
        Dict(entries)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &str) -> Obj {
        Lexer::file(text.as_bytes(), 0).value().unwrap()
    }

    #[test]
    fn values_read_as_the_standard_writes_them() {
        assert_eq!(value("-.5"), Obj::Real(-0.5));
        assert_eq!(value("+17"), Obj::Int(17));
        assert_eq!(value("/A#20B"), Obj::Name("A B".into()));
        assert_eq!(
            value(r"(a\(b\)\053(c)\\)"),
            Obj::Str((*b"a(b)+(c)\\").into())
        );
        assert_eq!(value("<48 6>"), Obj::Str((*b"H`").into()));
        let dict = value("<< /K [1 0 R 2 0 (x)] /N null /L << /M true >> >>");
        let dict = dict.dict().unwrap();
        assert_eq!(
            dict.raw("K").unwrap().array().unwrap(),
            [
                Obj::Ref(1),
                Obj::Int(2),
                Obj::Int(0),
                Obj::Str((*b"x").into())
            ]
        );
        assert_eq!(
            dict.raw("L").unwrap().dict().unwrap().raw("M"),
            Some(&Obj::Bool(true))
        );
    }

    #[test]
    fn deep_nesting_ends() {
        let deep = "[".repeat(100_000);
        assert!(Lexer::file(deep.as_bytes(), 0).value().is_some());
        let deep = "<</A".repeat(100_000);
        assert!(Lexer::file(deep.as_bytes(), 0).value().is_some());
    }

    proptest::proptest! {
        #[test]
        fn any_bytes_are_read_to_their_end(bytes in proptest::collection::vec(proptest::num::u8::ANY, 0..400)) {
            for mut lexer in [Lexer::file(&bytes, 0), Lexer::content(&bytes)] {
                let mut before = lexer.pos();
                while lexer.item().is_some() {
                    assert!(lexer.pos() > before);
                    before = lexer.pos();
                }
            }
        }
    }
}
