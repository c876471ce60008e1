//! Plates beside the four inks: foil, varnish, embossing. Each is a colour of its own (Separation)
//! that overprints, so that the inks under it stay as they are.

use std::io::Write as _;

use finish::{Command, FillRule, Plate, Shape};
use flate2::Compression;
use flate2::write::ZlibEncoder;
use measure::{PixelSize, Rect};
use pdf_writer::{Content, Dict, Finish, Name};

use super::Tint;
use super::boxes::{Boxes, Place};
use super::page::{fill_place, knots, rect};

/// Longest name in bytes that a PDF of this version holds (ISO 32000-1, annex C).
const LONGEST_NAME: usize = 127;

/// The name under which a plate goes through the file and the press: any letters, but never that of
/// a process ink, nor one of the two words that PDF keeps for all plates and for none.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PlateName(String);

impl PlateName {
    /// The nearest sound name: control characters go, spaces around and doubled ones too; what is
    /// longer than a PDF name holds is cut after a whole letter; a reserved or empty name gets the
    /// word `plate` after it (`black` becomes `black plate`).
    pub fn new(name: &str) -> Self {
        let words: Vec<String> = name
            .split(|c: char| c.is_whitespace() || c.is_control())
            .filter(|word| !word.is_empty())
            .map(str::to_owned)
            .collect();
        let mut name = words.join(" ");
        while name.len() > LONGEST_NAME {
            name.pop();
        }
        let mut name = name.trim_end().to_owned();
        if name.is_empty() {
            name.push_str("plate");
        } else if is_reserved(&name) {
            name.push_str(" plate");
        }
        Self(name)
    }

    /// As it stands in the file.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Whether another name is the same but for capitals; many a press controller takes such two
    /// for one plate.
    pub fn is_like(&self, other: &Self) -> bool {
        self.0.to_lowercase() == other.0.to_lowercase()
    }
}

impl std::fmt::Display for PlateName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

/// Process colorants and the two words of ISO 32000-1, 8.6.6.4; the names of other process models
/// stand here too, since press controllers fold them into the four inks or refuse them.
fn is_reserved(name: &str) -> bool {
    const RESERVED: [&str; 11] = [
        "all", "none", "cyan", "magenta", "yellow", "black", "gray", "grey", "red", "green", "blue",
    ];
    RESERVED.contains(&name.to_lowercase().as_str())
}

/// What a plate is painted from.
#[derive(Debug, Clone, Copy)]
pub enum Painted<'a> {
    /// Shapes in millimetres from the upper left corner of the plate's face; they stay outlines.
    Shapes(&'a [Shape]),
    /// Pixels that fill the face; each is there or not.
    Pixels(&'a Plate),
}

/// One plate on a page.
#[derive(Debug, Clone)]
pub struct PlateInput<'a> {
    /// Its name; plates of one name are one plate through the whole file.
    pub name: PlateName,
    /// How it is shown and printed where there is no such plate. That of the first plate of a name
    /// stands for all of them in the file.
    pub alternate: Tint,
    /// The face that it stands on, from the trim's top left corner. Nothing is painted outside it,
    /// nor outside the bleed.
    pub face: Rect,
    /// What is painted.
    pub painted: Painted<'a>,
}

/// The name of a plate's colour space in a page's resources, by its index in the file.
pub(super) fn space_name(index: usize) -> Vec<u8> {
    format!("Plate{}", index + 1).into_bytes()
}

/// The name of a plate's pixels in a page's resources, from 1.
pub(super) fn mask_name(number: usize) -> Vec<u8> {
    format!("Mask{number}").into_bytes()
}

/// The name of the colour that stands on every plate.
pub(super) const EVERY: &[u8] = b"Every";

/// Fills rectangles on every plate.
pub(super) fn marks(content: &mut Content, boxes: &Boxes, marks: &[Rect]) {
    content.set_fill_color_space(Name(EVERY));
    content.set_fill_color([1.0]);
    for mark in marks {
        rect(content, boxes.place(*mark));
    }
    content.fill_nonzero();
}

/// Begins a plate: it overprints, and nothing is painted outside its face.
fn begin(content: &mut Content, boxes: &Boxes, face: Place, space: &[u8]) {
    content.save_state();
    if !boxes.bleed.contains(face) {
        rect(content, boxes.bleed);
        content.clip_nonzero();
        content.end_path();
    }
    rect(content, face);
    content.clip_nonzero();
    content.end_path();
    content.set_parameters(Name(super::page::OVERPRINTS));
    content.set_fill_color_space(Name(space));
    content.set_fill_color([1.0]);
}

/// Fills shapes. A light shape takes away what the dark ones before it added: a tint of nothing
/// sets this plate alone to nothing, since overprinting leaves the others be.
pub(super) fn shapes(
    content: &mut Content,
    boxes: &Boxes,
    face: Rect,
    shapes: &[Shape],
    space: &[u8],
) {
    let place = boxes.place(face);
    begin(content, boxes, place, space);
    let mut adds = true;
    // There is nothing yet that the first light ones could take away.
    for shape in shapes.iter().skip_while(|shape| !shape.adds) {
        if shape.adds != adds {
            adds = shape.adds;
            content.set_fill_color([if adds { 1.0 } else { 0.0 }]);
        }
        if outline(content, place, &shape.outline) {
            match shape.rule {
                FillRule::NonZero => content.fill_nonzero(),
                FillRule::EvenOdd => content.fill_even_odd(),
            };
        }
    }
    content.restore_state();
}

/// Places the mask of a plate's pixels.
pub(super) fn pixels(content: &mut Content, boxes: &Boxes, face: Rect, space: &[u8], image: &[u8]) {
    let place = boxes.place(face);
    begin(content, boxes, place, space);
    fill_place(content, place, image);
    content.restore_state();
}

/// Draws an outline as a path; says whether there is one. A step before the first beginning is left
/// out, since a path cannot hold it.
fn outline(content: &mut Content, face: Place, commands: &[Command]) -> bool {
    let at = |x: f64, y: f64| (knots(face.left, x), knots(face.top, -y));
    let mut begun = false;
    let mut drawn = false;
    for command in commands {
        match *command {
            Command::Move(x, y) => {
                let (x, y) = at(x, y);
                content.move_to(x, y);
                begun = true;
            }
            Command::Line(x, y) if begun => {
                let (x, y) = at(x, y);
                content.line_to(x, y);
                drawn = true;
            }
            Command::Cubic(a, b, c, d, x, y) if begun => {
                let ((a, b), (c, d), (x, y)) = (at(a, b), at(c, d), at(x, y));
                content.cubic_to(a, b, c, d, x, y);
                drawn = true;
            }
            Command::Close if begun => {
                content.close_path();
            }
            _ => {}
        }
    }
    if begun && !drawn {
        content.end_path();
    }
    drawn
}

/// A plate's pixels, eight to a byte, compressed. A set bit is painted.
pub(super) fn bits(plate: &Plate) -> std::io::Result<Vec<u8>> {
    let width = plate.size().width as usize;
    let mut out = ZlibEncoder::new(Vec::new(), Compression::default());
    let mut row = Vec::with_capacity(width.div_ceil(8));
    for pixels in plate.pixels().chunks(width.max(1)) {
        row.clear();
        row.extend(pixels.chunks(8).map(|eight| {
            eight.iter().enumerate().fold(0_u8, |byte, (bit, &pixel)| {
                byte | u8::from(pixel != 0) << (7 - bit)
            })
        }));
        out.write_all(&row)?;
    }
    out.finish()
}

/// The keys of a mask of bits, where a set one is painted.
pub(super) fn describe(dict: &mut Dict<'_>, size: PixelSize) {
    let side = |pixels: u32| i32::try_from(pixels).unwrap_or(i32::MAX);
    dict.pair(Name(b"Type"), Name(b"XObject"));
    dict.pair(Name(b"Subtype"), Name(b"Image"));
    dict.pair(Name(b"Width"), side(size.width));
    dict.pair(Name(b"Height"), side(size.height));
    dict.pair(Name(b"ImageMask"), true);
    dict.pair(Name(b"BitsPerComponent"), 1);
    dict.insert(Name(b"Decode"))
        .array()
        .items([1.0, 0.0])
        .finish();
    dict.pair(Name(b"Filter"), Name(b"FlateDecode"));
}
