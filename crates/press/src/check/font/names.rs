//! Names of letters, as encodings speak of them.

use std::sync::Arc;

use crate::check::document::Document;
use crate::check::object::Obj;

/// Names of the codes 0x20 to 0x7E in WinAnsiEncoding (ISO 32000-1, annex D).
const ASCII: [&str; 95] = [
    "space",
    "exclam",
    "quotedbl",
    "numbersign",
    "dollar",
    "percent",
    "ampersand",
    "quotesingle",
    "parenleft",
    "parenright",
    "asterisk",
    "plus",
    "comma",
    "hyphen",
    "period",
    "slash",
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "colon",
    "semicolon",
    "less",
    "equal",
    "greater",
    "question",
    "at",
    "A",
    "B",
    "C",
    "D",
    "E",
    "F",
    "G",
    "H",
    "I",
    "J",
    "K",
    "L",
    "M",
    "N",
    "O",
    "P",
    "Q",
    "R",
    "S",
    "T",
    "U",
    "V",
    "W",
    "X",
    "Y",
    "Z",
    "bracketleft",
    "backslash",
    "bracketright",
    "asciicircum",
    "underscore",
    "grave",
    "a",
    "b",
    "c",
    "d",
    "e",
    "f",
    "g",
    "h",
    "i",
    "j",
    "k",
    "l",
    "m",
    "n",
    "o",
    "p",
    "q",
    "r",
    "s",
    "t",
    "u",
    "v",
    "w",
    "x",
    "y",
    "z",
    "braceleft",
    "bar",
    "braceright",
    "asciitilde",
];

/// Names of the codes 0xA1 to 0xFF.
const LATIN: [&str; 95] = [
    "exclamdown",
    "cent",
    "sterling",
    "currency",
    "yen",
    "brokenbar",
    "section",
    "dieresis",
    "copyright",
    "ordfeminine",
    "guillemotleft",
    "logicalnot",
    "hyphen",
    "registered",
    "macron",
    "degree",
    "plusminus",
    "twosuperior",
    "threesuperior",
    "acute",
    "mu",
    "paragraph",
    "periodcentered",
    "cedilla",
    "onesuperior",
    "ordmasculine",
    "guillemotright",
    "onequarter",
    "onehalf",
    "threequarters",
    "questiondown",
    "Agrave",
    "Aacute",
    "Acircumflex",
    "Atilde",
    "Adieresis",
    "Aring",
    "AE",
    "Ccedilla",
    "Egrave",
    "Eacute",
    "Ecircumflex",
    "Edieresis",
    "Igrave",
    "Iacute",
    "Icircumflex",
    "Idieresis",
    "Eth",
    "Ntilde",
    "Ograve",
    "Oacute",
    "Ocircumflex",
    "Otilde",
    "Odieresis",
    "multiply",
    "Oslash",
    "Ugrave",
    "Uacute",
    "Ucircumflex",
    "Udieresis",
    "Yacute",
    "Thorn",
    "germandbls",
    "agrave",
    "aacute",
    "acircumflex",
    "atilde",
    "adieresis",
    "aring",
    "ae",
    "ccedilla",
    "egrave",
    "eacute",
    "ecircumflex",
    "edieresis",
    "igrave",
    "iacute",
    "icircumflex",
    "idieresis",
    "eth",
    "ntilde",
    "ograve",
    "oacute",
    "ocircumflex",
    "otilde",
    "odieresis",
    "divide",
    "oslash",
    "ugrave",
    "uacute",
    "ucircumflex",
    "udieresis",
    "yacute",
    "thorn",
    "ydieresis",
];

/// Codes and characters of names in common use outside both lists.
const OTHER: [(u32, &str, char); 14] = [
    (0x80, "Euro", '€'),
    (0x82, "quotesinglbase", '‚'),
    (0x84, "quotedblbase", '„'),
    (0x85, "ellipsis", '…'),
    (0x86, "dagger", '†'),
    (0x91, "quoteleft", '‘'),
    (0x92, "quoteright", '’'),
    (0x93, "quotedblleft", '“'),
    (0x94, "quotedblright", '”'),
    (0x95, "bullet", '•'),
    (0x96, "endash", '–'),
    (0x97, "emdash", '—'),
    (0, "fi", 'ﬁ'),
    (0, "fl", 'ﬂ'),
];

/// What an encoding says each code is called; none where it says nothing.
pub(super) fn of_codes(document: &Document<'_>, encoding: &Obj) -> Vec<Option<Arc<str>>> {
    let base = match encoding {
        Obj::Name(name) => Some(name.clone()),
        Obj::Dict(dict) => document.get(dict, "BaseEncoding").name().map(Arc::from),
        _ => None,
    };
    let mut names: Vec<Option<Arc<str>>> = vec![None; 256];
    if base.is_some() {
        for (code, name) in (0x20..).zip(ASCII) {
            names[code] = Some(name.into());
        }
    }
    if base.as_deref() == Some("WinAnsiEncoding") {
        for (code, name) in (0xA1..).zip(LATIN) {
            names[code] = Some(name.into());
        }
        for (code, name, _) in OTHER {
            if code > 0 {
                names[code as usize] = Some(name.into());
            }
        }
    }
    if let Obj::Dict(dict) = encoding {
        let mut code = 0_usize;
        for item in document.get_array(dict, "Differences") {
            match item {
                Obj::Name(name) => {
                    if let Some(place) = names.get_mut(code) {
                        *place = Some(name);
                    }
                    code = code.saturating_add(1);
                }
                other => {
                    let start = other.int().and_then(|start| usize::try_from(start).ok());
                    code = start.unwrap_or(usize::MAX);
                }
            }
        }
    }
    names
}

/// The character that a name stands for.
pub(super) fn character(name: &str) -> Option<char> {
    if let Some(index) = ASCII.iter().position(|known| *known == name) {
        return char::from_u32(0x20 + index as u32);
    }
    if let Some(index) = LATIN.iter().position(|known| *known == name) {
        return char::from_u32(0xA1 + index as u32);
    }
    if let Some(&(_, _, character)) = OTHER.iter().find(|(_, known, _)| *known == name) {
        return Some(character);
    }
    let hex = name
        .strip_prefix("uni")
        .or_else(|| name.strip_prefix('u'))?;
    let digits = hex.get(..4.min(hex.len()))?;
    char::from_u32(u32::from_str_radix(digits, 16).ok()?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_stand_for_characters() {
        for (name, expected) in [
            ("A", Some('A')),
            ("asciitilde", Some('~')),
            ("exclamdown", Some('¡')),
            ("ydieresis", Some('ÿ')),
            ("emdash", Some('—')),
            ("uni20AC", Some('€')),
            ("g17", None),
        ] {
            assert_eq!(character(name), expected, "{name}");
        }
    }
}
