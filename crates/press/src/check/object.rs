//! The values that a PDF is made of. Cheap to clone: anything that can be long is shared.

use std::ops::Range;
use std::sync::Arc;

/// One value.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Obj {
    Null,
    Bool(bool),
    Int(i64),
    Real(f64),
    Name(Arc<str>),
    Str(Arc<[u8]>),
    Array(Arc<Vec<Obj>>),
    Dict(Arc<Dict>),
    Stream(Arc<Stream>),
    Ref(u32),
}

/// A dictionary. Short as a rule, so it is searched in a line; of two equal keys the last counts.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Dict(pub(super) Vec<(Arc<str>, Obj)>);

/// A dictionary with data, which are left where they lie until somebody wants them.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Stream {
    pub(super) dict: Dict,
    pub(super) data: Data,
    /// Number of the object, where it has one.
    pub(super) id: Option<u32>,
}

/// Where the raw data of a stream lie.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Data {
    File(Range<usize>),
    Own(Arc<[u8]>),
}

impl Dict {
    /// The value as it stands, without following a reference.
    pub(super) fn raw(&self, key: &str) -> Option<&Obj> {
        self.0
            .iter()
            .rev()
            .find(|(name, _)| &**name == key)
            .map(|(_, value)| value)
    }

    pub(super) fn has(&self, key: &str) -> bool {
        self.raw(key).is_some()
    }
}

impl Obj {
    pub(super) fn num(&self) -> Option<f64> {
        match self {
            Self::Int(value) => Some(*value as f64),
            Self::Real(value) => Some(*value),
            _ => None,
        }
    }

    pub(super) fn int(&self) -> Option<i64> {
        match self {
            Self::Int(value) => Some(*value),
            Self::Real(value) => Some(*value as i64),
            _ => None,
        }
    }

    pub(super) fn bool(&self) -> Option<bool> {
        match self {
            Self::Bool(value) => Some(*value),
            _ => None,
        }
    }

    pub(super) fn name(&self) -> Option<&str> {
        match self {
            Self::Name(name) => Some(name),
            _ => None,
        }
    }

    pub(super) fn str(&self) -> Option<&[u8]> {
        match self {
            Self::Str(bytes) => Some(bytes),
            _ => None,
        }
    }

    pub(super) fn array(&self) -> Option<&[Obj]> {
        match self {
            Self::Array(items) => Some(items),
            _ => None,
        }
    }

    /// The dictionary, of a stream too.
    pub(super) fn dict(&self) -> Option<&Dict> {
        match self {
            Self::Dict(dict) => Some(dict),
            Self::Stream(stream) => Some(&stream.dict),
            _ => None,
        }
    }

    pub(super) fn stream(&self) -> Option<&Arc<Stream>> {
        match self {
            Self::Stream(stream) => Some(stream),
            _ => None,
        }
    }

    pub(super) fn is_null(&self) -> bool {
        matches!(self, Self::Null)
    }
}

/// Text of a PDF string: UTF-16 with its mark, UTF-8 with its mark, or else taken as Latin 1.
pub(super) fn text(bytes: &[u8]) -> String {
    match bytes {
        [0xFE, 0xFF, rest @ ..] => utf16(rest, u16::from_be_bytes),
        [0xFF, 0xFE, rest @ ..] => utf16(rest, u16::from_le_bytes),
        [0xEF, 0xBB, 0xBF, rest @ ..] => String::from_utf8_lossy(rest).into_owned(),
        _ => bytes.iter().map(|&byte| char::from(byte)).collect(),
    }
}

fn utf16(bytes: &[u8], read: fn([u8; 2]) -> u16) -> String {
    let units = bytes.chunks_exact(2).map(|pair| read([pair[0], pair[1]]));
    char::decode_utf16(units)
        .map(|unit| unit.unwrap_or(char::REPLACEMENT_CHARACTER))
        .collect()
}
