//! Typefaces as a page uses them: whether they are in the file, how wide each letter is, and its
//! outline where it can be read.

mod names;

use std::cell::RefCell;
use std::collections::HashMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use ttf_parser::{Face, GlyphId, OutlineBuilder};

use super::document::Document;
use super::filter;
use super::object::{Dict, Obj, Stream};
use super::raster::{Matrix, Path};

/// Largest font program.
const LARGEST_PROGRAM: usize = 64 << 20;
/// Units of one em in outlines: fine enough for the grid, coarse enough to be quick.
pub(super) const EM: f64 = 64.0;
/// Most outlines kept.
const MOST_KEPT: usize = 4_000;

/// Where a typeface is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Home {
    /// In the file, with outlines that can be read.
    Read,
    /// In the file, in a form that is not looked into here.
    Inside,
    /// Its letters are drawings in the file.
    Drawn,
    /// Not in the file.
    Missing,
}

/// A typeface.
pub(super) struct Font {
    pub(super) name: String,
    pub(super) home: Home,
    kind: Kind,
    program: Program,
    outlines: RefCell<HashMap<u32, Option<Arc<Path>>>>,
    pub(super) vertical: bool,
}

enum Kind {
    Simple {
        first: usize,
        widths: Vec<f64>,
        missing: f64,
        /// Glyph name of each code, where the file states one.
        names: Vec<Option<Arc<str>>>,
    },
    Composite {
        widths: HashMap<u32, f64>,
        usual: f64,
        /// From character to glyph; `None` is the same number.
        glyphs: Option<Vec<u8>>,
        /// Codes are characters themselves.
        identity: bool,
        /// For faces keyed by character: character to glyph.
        by_character: HashMap<u32, u16>,
    },
    Drawn(Drawn),
}

/// A typeface whose letters are drawings.
pub(super) struct Drawn {
    pub(super) matrix: Matrix,
    pub(super) resources: Option<Arc<Dict>>,
    letters: HashMap<Arc<str>, Arc<Stream>>,
    names: Vec<Option<Arc<str>>>,
    first: usize,
    widths: Vec<f64>,
}

enum Program {
    None,
    OpenType(Vec<u8>),
    Compact(Vec<u8>),
}

/// A letter in a string.
pub(super) struct Letter {
    pub(super) code: u32,
    /// How many bytes it took.
    pub(super) bytes: usize,
    /// Advance, in ems.
    pub(super) width: f64,
}

impl Font {
    pub(super) fn read(document: &Document<'_>, dict: &Dict) -> Self {
        let subtype = document.get(dict, "Subtype");
        let name = document.get(dict, "BaseFont");
        let name = plain_name(name.name().unwrap_or("without a name"));
        match subtype.name() {
            Some("Type3") => Self {
                name,
                home: Home::Drawn,
                kind: Kind::Drawn(Drawn::read(document, dict)),
                program: Program::None,
                outlines: RefCell::default(),
                vertical: false,
            },
            Some("Type0") => Self::composite(document, dict, name),
            _ => {
                let descriptor = document.get_dict(dict, "FontDescriptor");
                let (home, program) = Program::read(document, &descriptor);
                let first = document.get(dict, "FirstChar").int().unwrap_or(0);
                Self {
                    name,
                    home,
                    program,
                    kind: Kind::Simple {
                        first: first.clamp(0, 255) as usize,
                        widths: document.get_numbers(dict, "Widths").unwrap_or_default(),
                        missing: document
                            .get(&descriptor, "MissingWidth")
                            .num()
                            .unwrap_or(500.0),
                        names: names::of_codes(document, &document.get(dict, "Encoding")),
                    },
                    outlines: RefCell::default(),
                    vertical: false,
                }
            }
        }
    }

    fn composite(document: &Document<'_>, dict: &Dict, name: String) -> Self {
        let descendants = document.get_array(dict, "DescendantFonts");
        let descendant = descendants.first().and_then(Obj::dict).cloned();
        let descendant = descendant.unwrap_or_default();
        let descriptor = document.get_dict(&descendant, "FontDescriptor");
        let (home, program) = Program::read(document, &descriptor);
        let encoding = document.get(dict, "Encoding");
        let encoding = encoding.name().unwrap_or_default().to_owned();
        let by_character = match &program {
            Program::Compact(bytes) => characters(bytes),
            _ => HashMap::new(),
        };
        let glyphs = match document.get(&descendant, "CIDToGIDMap") {
            Obj::Stream(stream) => Some(filter::decode(document, &stream, 1 << 17).bytes),
            _ => None,
        };
        Self {
            name,
            home,
            program,
            kind: Kind::Composite {
                widths: composite_widths(&document.get_array(&descendant, "W"), document),
                usual: document.get(&descendant, "DW").num().unwrap_or(1000.0),
                glyphs,
                identity: encoding.starts_with("Identity"),
                by_character,
            },
            outlines: RefCell::default(),
            vertical: encoding.ends_with("-V"),
        }
    }

    /// What reading it cost, in bytes.
    pub(super) fn cost(&self) -> u64 {
        match &self.program {
            Program::None => 1_000,
            Program::OpenType(bytes) | Program::Compact(bytes) => bytes.len() as u64 + 1_000,
        }
    }

    /// The next letter of a string.
    pub(super) fn letter(&self, text: &[u8]) -> Option<Letter> {
        let &first = text.first()?;
        Some(match &self.kind {
            Kind::Simple {
                first: start,
                widths,
                missing,
                ..
            } => {
                let index = usize::from(first).checked_sub(*start);
                let width = index.and_then(|index| widths.get(index)).unwrap_or(missing);
                Letter {
                    code: first.into(),
                    bytes: 1,
                    width: width / 1000.0,
                }
            }
            Kind::Composite { widths, usual, .. } => {
                let second = text.get(1).copied().unwrap_or(0);
                let code = u32::from(first) << 8 | u32::from(second);
                Letter {
                    code,
                    bytes: 2,
                    width: widths.get(&code).unwrap_or(usual) / 1000.0,
                }
            }
            Kind::Drawn(drawn) => {
                let index = usize::from(first).checked_sub(drawn.first);
                let width = index
                    .and_then(|index| drawn.widths.get(index))
                    .unwrap_or(&0.0);
                Letter {
                    code: first.into(),
                    bytes: 1,
                    width: width * drawn.matrix.0[0],
                }
            }
        })
    }

    /// The drawing of a letter, for typefaces made of drawings.
    pub(super) fn drawing(&self, code: u32) -> Option<(&Drawn, &Arc<Stream>)> {
        let Kind::Drawn(drawn) = &self.kind else {
            return None;
        };
        let name = drawn.names.get(code as usize)?.as_ref()?;
        Some((drawn, drawn.letters.get(name)?))
    }

    /// The outline of a letter, [`EM`] units to the em, y up. `None` where it cannot be read.
    pub(super) fn outline(&self, code: u32) -> Option<Arc<Path>> {
        if let Some(kept) = self.outlines.borrow().get(&code) {
            return kept.clone();
        }
        // Font programs come from anywhere, and their reader is not ours.
        let outline = catch_unwind(AssertUnwindSafe(|| self.draw(code))).unwrap_or(None);
        let outline = outline.map(Arc::new);
        let mut kept = self.outlines.borrow_mut();
        if kept.len() < MOST_KEPT {
            kept.insert(code, outline.clone());
        }
        outline
    }

    fn draw(&self, code: u32) -> Option<Path> {
        match &self.program {
            Program::None => None,
            Program::OpenType(bytes) => {
                let face = Face::parse(bytes, 0).ok()?;
                let glyph = match &self.kind {
                    Kind::Simple { names, .. } => {
                        let name = names.get(code as usize).cloned().flatten();
                        glyph_in_face(&face, code, name.as_deref())?
                    }
                    _ => self.composite_glyph(code)?,
                };
                let mut pen = Pen::new(EM / f64::from(face.units_per_em().max(1)));
                if face.outline_glyph(glyph, &mut pen).is_none() {
                    // A blank glyph is no failure; one beyond the last is.
                    return (glyph.0 < face.number_of_glyphs()).then(Path::default);
                }
                Some(pen.path)
            }
            Program::Compact(bytes) => {
                let table = ttf_parser::cff::Table::parse(bytes)?;
                let glyph = match &self.kind {
                    Kind::Simple { names, .. } => names
                        .get(code as usize)
                        .and_then(|name| name.as_deref())
                        .and_then(|name| table.glyph_index_by_name(name))
                        .or_else(|| table.glyph_index(u8::try_from(code).ok()?))?,
                    _ => self.composite_glyph(code)?,
                };
                let scale = f64::from(table.matrix().sx);
                let scale = if scale.is_finite() && scale > 0.0 {
                    scale
                } else {
                    0.001
                };
                let mut pen = Pen::new(EM * scale);
                match table.outline(glyph, &mut pen) {
                    Ok(_) | Err(ttf_parser::CFFError::ZeroBBox) => Some(pen.path),
                    Err(_) => None,
                }
            }
        }
    }

    fn composite_glyph(&self, code: u32) -> Option<GlyphId> {
        let Kind::Composite {
            glyphs,
            identity,
            by_character,
            ..
        } = &self.kind
        else {
            return None;
        };
        if !identity {
            return None;
        }
        if let Some(map) = glyphs {
            let at = code as usize * 2;
            return Some(GlyphId(u16::from_be_bytes([
                *map.get(at)?,
                *map.get(at + 1)?,
            ])));
        }
        if !by_character.is_empty() {
            return by_character.get(&code).map(|&glyph| GlyphId(glyph));
        }
        u16::try_from(code).ok().map(GlyphId)
    }
}

impl Drawn {
    fn read(document: &Document<'_>, dict: &Dict) -> Self {
        let matrix = document
            .get_numbers(dict, "FontMatrix")
            .and_then(|numbers| Matrix::from_numbers(&numbers));
        let resources = match document.get(dict, "Resources") {
            Obj::Dict(resources) => Some(resources),
            _ => None,
        };
        let letters = document
            .get_dict(dict, "CharProcs")
            .0
            .iter()
            .take(1000)
            .filter_map(|(name, value)| {
                let stream = document.resolve(value).stream()?.clone();
                Some((name.clone(), stream))
            })
            .collect();
        Self {
            matrix: matrix.unwrap_or(Matrix([0.001, 0.0, 0.0, 0.001, 0.0, 0.0])),
            resources,
            letters,
            names: names::of_codes(document, &document.get(dict, "Encoding")),
            first: document
                .get(dict, "FirstChar")
                .int()
                .unwrap_or(0)
                .clamp(0, 255) as usize,
            widths: document.get_numbers(dict, "Widths").unwrap_or_default(),
        }
    }
}

impl Program {
    fn read(document: &Document<'_>, descriptor: &Dict) -> (Home, Self) {
        let stream = |key: &str| document.get(descriptor, key).stream().cloned();
        if stream("FontFile").is_some() {
            return (Home::Inside, Self::None);
        }
        let Some(stream) = stream("FontFile2").or_else(|| stream("FontFile3")) else {
            return (Home::Missing, Self::None);
        };
        let bytes = filter::decode(document, &stream, LARGEST_PROGRAM).bytes;
        let is_open_type = matches!(
            bytes.get(..4),
            Some([0, 1, 0, 0] | b"OTTO" | b"true" | b"ttcf")
        );
        let readable =
            |read: &dyn Fn() -> bool| catch_unwind(AssertUnwindSafe(read)).unwrap_or(false);
        if is_open_type {
            if readable(&|| Face::parse(&bytes, 0).is_ok()) {
                return (Home::Read, Self::OpenType(bytes));
            }
        } else if readable(&|| ttf_parser::cff::Table::parse(&bytes).is_some()) {
            return (Home::Read, Self::Compact(bytes));
        }
        (Home::Inside, Self::None)
    }
}

/// The name without the tag of a subset: `ABCDEF+Name`.
fn plain_name(name: &str) -> String {
    match name.split_once('+') {
        Some((tag, rest)) if tag.len() == 6 && tag.bytes().all(|b| b.is_ascii_uppercase()) => {
            rest.to_owned()
        }
        _ => name.to_owned(),
    }
}

fn glyph_in_face(face: &Face<'_>, code: u32, name: Option<&str>) -> Option<GlyphId> {
    let found = |glyph: Option<GlyphId>| glyph.filter(|glyph| glyph.0 > 0);
    if let Some(name) = name {
        let by_character = names::character(name)
            .and_then(|character| found(face.glyph_index(character)))
            .or_else(|| found(face.glyph_index_by_name(name)));
        if by_character.is_some() {
            return by_character;
        }
    }
    let subtables = face.tables().cmap?.subtables;
    (0..subtables.len()).find_map(|index| {
        let subtable = subtables.get(index)?;
        found(subtable.glyph_index(code)).or_else(|| found(subtable.glyph_index(0xF000 + code)))
    })
}

/// For a compact face keyed by character: which glyph each character is.
fn characters(bytes: &[u8]) -> HashMap<u32, u16> {
    let read = || {
        let table = ttf_parser::cff::Table::parse(bytes)?;
        Some(
            (0..table.number_of_glyphs())
                .filter_map(|glyph| {
                    let character = table.glyph_cid(GlyphId(glyph))?;
                    Some((u32::from(character), glyph))
                })
                .collect(),
        )
    };
    catch_unwind(read).ok().flatten().unwrap_or_default()
}

fn composite_widths(items: &[Obj], document: &Document<'_>) -> HashMap<u32, f64> {
    let mut widths = HashMap::new();
    let mut at = 0;
    while let Some(first) = items.get(at).and_then(Obj::int) {
        let Ok(first) = u16::try_from(first) else {
            break;
        };
        match items.get(at + 1) {
            Some(Obj::Array(list)) => {
                for (code, width) in (u32::from(first)..).zip(list.iter().take(65_536)) {
                    widths.insert(code, document.resolve(width).num().unwrap_or(0.0));
                }
                at += 2;
            }
            Some(last) => {
                let last = last.int().and_then(|last| u16::try_from(last).ok());
                let width = items.get(at + 2).and_then(Obj::num);
                let (Some(last), Some(width)) = (last, width) else {
                    break;
                };
                for code in first..=last {
                    widths.insert(code.into(), width);
                }
                at += 3;
            }
            None => break,
        }
    }
    widths
}

/// Takes an outline down as a path.
struct Pen {
    path: Path,
    scale: f64,
}

impl Pen {
    fn new(scale: f64) -> Self {
        Self {
            path: Path::default(),
            scale,
        }
    }

    fn at(&self, x: f32, y: f32) -> [f64; 2] {
        [f64::from(x) * self.scale, f64::from(y) * self.scale]
    }
}

impl OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.path.move_to(self.at(x, y));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.path.line_to(self.at(x, y));
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let (control, to) = (self.at(x1, y1), self.at(x, y));
        let from = self.path.pen().unwrap_or(control);
        let toward =
            |end: [f64; 2]| [0, 1].map(|axis| end[axis] + (control[axis] - end[axis]) * 2.0 / 3.0);
        self.path.curve_to(toward(from), toward(to), to);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.path
            .curve_to(self.at(x1, y1), self.at(x2, y2), self.at(x, y));
    }

    fn close(&mut self) {
        self.path.close();
    }
}
