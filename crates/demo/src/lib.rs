//! Art drawn by program, and the words of an invented book, so that the whole way from art to
//! press can be gone without anybody's pictures.
//!
//! The same pages are bound in three ways, so that soft covers, cases, jackets and finishings are
//! tried too.
//!
//! Everything here is made up: the line, its stations, its people and its author. Pictures are
//! computed from seeds and come out the same on every machine.

mod brush;
mod colour;
mod encode;
mod icc;
mod ink;
mod mask;
mod motif;
mod noise;
mod pieces;
mod shape;
mod sheet;
mod words;

pub use encode::{Encoding, Profile};
pub use words::{Binding, book_toml};

use sheet::{Scene, Sheet};

/// Resolution that the pieces are drawn for, pixels to the inch.
pub const PPI: f64 = 300.0;

/// An invented book: its words and its art.
#[derive(Debug)]
pub struct DemoBook {
    /// Title, one line.
    pub title: &'static str,
    /// Author, invented.
    pub author: &'static str,
    /// Trimmed page, as the book file writes it.
    pub trim: &'static str,
    /// The art.
    pub pieces: Vec<Piece>,
}

/// What kind of picture a piece is, and so what it tries in a press.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Layered brushwork.
    Painterly,
    /// Ink on paper.
    Line,
    /// Flat colour.
    Flat,
    /// A night, most of it deep shadow.
    Dark,
    /// Colours that a press cannot reach.
    Saturated,
    /// Pencil, grey.
    Pencil,
    /// Watercolour on nothing: transparent around the drawing.
    Cutout,
}

/// Pixels of a drawn piece, row by row, without padding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Pixels {
    /// One byte a pixel.
    Grey8(Vec<u8>),
    /// R, G, B.
    Rgb8(Vec<u8>),
    /// R, G, B, cover.
    Rgba8(Vec<u8>),
    /// R, G, B in two bytes each.
    Rgb16(Vec<u16>),
    /// C, M, Y, K; 0 = no ink.
    Cmyk8(Vec<u8>),
}

/// How a piece comes about.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Draw {
    Grey(fn(Sheet) -> Scene),
    Rgb(fn(Sheet) -> Scene),
    Rgba(fn(Sheet) -> Scene),
    Deep(fn(Sheet) -> Scene),
    /// Cyan, magenta and yellow as the channels of one scene, black as the green of another.
    Cmyk(fn(Sheet) -> Scene, fn(Sheet) -> Scene),
}

/// One piece of art.
#[derive(Debug, Clone)]
pub struct Piece {
    /// File name, as the illustrator saved it.
    pub name: &'static str,
    /// Pixels across, seen upright.
    pub width: u32,
    /// Pixels down, seen upright.
    pub height: u32,
    /// What kind of picture it is.
    pub kind: Kind,
    /// How it is saved.
    pub encoding: Encoding,
    /// The profile that it carries.
    pub profile: Profile,
    /// Millimetres across that the drawing was composed for.
    pub(crate) across_mm: f32,
    pub(crate) draw: Draw,
}

impl Piece {
    /// Draws it. Uses all cores of the calling thread pool.
    pub fn draw(&self) -> Pixels {
        self.draw_at(self.width, self.height)
    }

    /// Draws it small, `width` pixels across, for looking at many of them.
    pub fn draw_small(&self, width: u32) -> (u32, u32, Pixels) {
        let height = ((f64::from(width) * f64::from(self.height) / f64::from(self.width)).round()
            as u32)
            .max(1);
        (width, height, self.draw_at(width, height))
    }

    /// Draws and encodes it: the file's name and its bytes.
    pub fn encode(&self) -> (String, Vec<u8>) {
        self.encode_at((self.width, self.height), self.draw())
    }

    /// The same file, drawn small, `width` pixels across: for trying in a moment what is made of it.
    pub fn encode_small(&self, width: u32) -> (String, Vec<u8>) {
        let (width, height, pixels) = self.draw_small(width);
        self.encode_at((width, height), pixels)
    }

    fn encode_at(&self, size: (u32, u32), pixels: Pixels) -> (String, Vec<u8>) {
        let bytes = encode::encode(pixels, size, self.encoding, self.profile);
        (self.name.to_owned(), bytes)
    }

    fn draw_at(&self, width: u32, height: u32) -> Pixels {
        let sheet = Sheet {
            width: self.across_mm,
            height: self.across_mm * height as f32 / width as f32,
        };
        let size = (width as usize, height as usize);
        match self.draw {
            Draw::Grey(scene) => Pixels::Grey8(scene(sheet).render8(size, 1)),
            Draw::Rgb(scene) => Pixels::Rgb8(scene(sheet).render8(size, 3)),
            Draw::Rgba(scene) => Pixels::Rgba8(scene(sheet).render8(size, 4)),
            Draw::Deep(scene) => Pixels::Rgb16(scene(sheet).render16(size)),
            Draw::Cmyk(colours, black) => {
                let colours = colours(sheet).render8(size, 3);
                let black = black(sheet).render8(size, 1);
                Pixels::Cmyk8(
                    colours
                        .chunks_exact(3)
                        .zip(black)
                        .flat_map(|(cmy, k)| [cmy[0], cmy[1], cmy[2], k])
                        .collect(),
                )
            }
        }
    }
}

/// The demonstration book.
pub fn book() -> DemoBook {
    DemoBook {
        title: "The Low-Water Line",
        author: "Ilse Marrowby",
        trim: "250x300mm",
        pieces: pieces::all(),
    }
}
