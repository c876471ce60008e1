//! Pictures on a page, read row by row as amounts of ink.

mod jpeg;

use super::document::Document;
use super::filter::{self, Picture, Reader};
use super::ink::{Colour, Estimate, Inks, MOST_INKS, byte, lab_to_rgb};
use super::object::{Dict, Obj, Stream};
use super::space::Space;
use jpeg::jpeg;

/// Most samples across or down.
const MOST_ACROSS: i64 = 1 << 20;
/// Largest picture that has to be decoded as one (JPEG), in bytes.
const LARGEST_WHOLE: usize = 1 << 30;
/// Largest mask, in samples.
const LARGEST_MASK: usize = 1 << 26;

/// Why a picture could not be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Trouble {
    /// The data are wrong or end too early.
    Broken,
    /// It would take more memory than a check may use.
    TooLarge,
    /// A coding whose samples are not looked at here.
    NotLookedAt,
}

/// A picture as its dictionary describes it.
pub(super) struct Image {
    pub(super) width: usize,
    pub(super) height: usize,
    pub(super) bits: u32,
    /// `None` for a stencil that is painted in the current colour.
    pub(super) space: Option<Space>,
    /// It has a soft mask: parts of it may be see-through.
    pub(super) soft: bool,
    decode: Vec<[f64; 2]>,
    colour_key: Vec<[u32; 2]>,
    mask: Option<MaskOf>,
    picture: Option<Picture>,
}

struct MaskOf {
    stream: std::sync::Arc<Stream>,
    stencil: bool,
}

impl Image {
    /// Understands a picture without decoding it.
    pub(super) fn read(
        document: &Document<'_>,
        stream: &Stream,
        resources: &Dict,
        inks: &mut Inks,
    ) -> Result<Self, Trouble> {
        let dict = &stream.dict;
        let get = |long: &str, short: &str| match document.get(dict, long) {
            Obj::Null => document.get(dict, short),
            value => value,
        };
        let side = |long: &str, short: &str| {
            get(long, short)
                .int()
                .filter(|side| (1..=MOST_ACROSS).contains(side))
                .map(|side| side as usize)
                .ok_or(Trouble::Broken)
        };
        let width = side("Width", "W")?;
        let height = side("Height", "H")?;
        let picture = filter::open(document, stream, 0)
            .picture
            .map(|(picture, _)| picture);
        let stencil = get("ImageMask", "IM").bool() == Some(true);
        let one_bit = matches!(picture, Some(Picture::Fax | Picture::Jbig2));
        let bits = match get("BitsPerComponent", "BPC").int() {
            _ if stencil || one_bit => 1,
            Some(bits @ (1 | 2 | 4 | 8 | 16)) => bits as u32,
            _ => 8,
        };
        let space = if stencil {
            None
        } else {
            let value = get("ColorSpace", "CS");
            match (Space::read(document, &value, resources, inks), picture) {
                (Some(Space::Pattern(_)), _) => return Err(Trouble::Broken),
                (Some(space), _) => Some(space),
                (None, Some(Picture::Jpeg2000)) => Some(Space::Rgb { device: false }),
                (None, _) => return Err(Trouble::Broken),
            }
        };
        let usual = space
            .as_ref()
            .map_or_else(|| vec![[0.0, 1.0]], |space| space.ranges(bits));
        let decode: Vec<[f64; 2]> = match get("Decode", "D") {
            Obj::Array(items) => items
                .iter()
                .filter_map(|item| document.resolve(item).num())
                .collect::<Vec<_>>()
                .chunks_exact(2)
                .map(|pair| [pair[0], pair[1]])
                .collect(),
            _ => Vec::new(),
        };
        let decode = if decode.len() == usual.len() {
            decode
        } else {
            usual
        };
        let mut colour_key = Vec::new();
        let mut mask = None;
        let soft = document.get(dict, "SMask").stream().cloned();
        let is_soft = soft.is_some() || document.get(dict, "SMaskInData").int() > Some(0);
        match (soft, document.get(dict, "Mask")) {
            (Some(stream), _) => {
                mask = Some(MaskOf {
                    stream,
                    stencil: false,
                });
            }
            (None, Obj::Stream(stream)) => {
                mask = Some(MaskOf {
                    stream,
                    stencil: true,
                });
            }
            (None, Obj::Array(items)) => {
                let numbers: Vec<u32> = items
                    .iter()
                    .filter_map(|item| item.int().and_then(|value| u32::try_from(value).ok()))
                    .collect();
                colour_key = numbers
                    .chunks_exact(2)
                    .map(|pair| [pair[0], pair[1]])
                    .collect();
            }
            _ => {}
        }
        Ok(Self {
            width,
            height,
            bits,
            space,
            soft: is_soft,
            decode,
            colour_key,
            mask,
            picture,
        })
    }

    /// Whether its samples are black or white only.
    pub(super) fn is_line_art(&self) -> bool {
        self.bits == 1
            && match &self.space {
                None | Some(Space::Grey | Space::Indexed { .. }) => true,
                Some(Space::Spots { places, .. }) => places.len() == 1,
                Some(_) => false,
            }
    }

    /// Whether parts of it may not be painted.
    pub(super) fn has_holes(&self) -> bool {
        self.space.is_none() || self.mask.is_some() || !self.colour_key.is_empty()
    }

    /// How many samples have to be read before the first row.
    pub(super) fn cost(&self, document: &Document<'_>) -> u64 {
        let Some(mask) = &self.mask else { return 0 };
        ["Width", "Height"]
            .iter()
            .map(|side| {
                document
                    .get(&mask.stream.dict, side)
                    .int()
                    .unwrap_or(0)
                    .max(0) as u64
            })
            .fold(1, u64::saturating_mul)
            .min(LARGEST_MASK as u64)
    }

    /// Opens its samples. `paint` is the colour of a stencil.
    pub(super) fn rows<'a>(
        &self,
        document: &'a Document<'_>,
        stream: &'a Stream,
        paint: &Colour,
        estimate: &'a Estimate,
    ) -> Result<Rows<'a>, Trouble> {
        let components = self.space.as_ref().map_or(1, Space::components);
        let (mut width, mut height, mut bits) = (self.width, self.height, self.bits);
        let source = match self.picture {
            None => Source::Stream(filter::open(document, stream, LARGEST_WHOLE)),
            Some(Picture::Jpeg) => {
                let (bytes, size, found) = jpeg(document, stream)?;
                (width, height) = size;
                bits = 8;
                if found != components {
                    return Err(Trouble::Broken);
                }
                Source::Whole { bytes, at: 0 }
            }
            Some(_) => return Err(Trouble::NotLookedAt),
        };
        let bytes = (width * components)
            .checked_mul(bits as usize)
            .map(|bits| bits.div_ceil(8))
            .filter(|&bytes| bytes <= 64 << 20)
            .ok_or(Trouble::TooLarge)?;
        let kind = match &self.space {
            None => Kind::stencil(paint, self.decode[0][0] > self.decode[0][1]),
            Some(space) => Kind::of(space, estimate),
        };
        let mask = match &self.mask {
            Some(mask) => read_mask(document, mask)?,
            None => None,
        };
        Ok(Rows {
            width,
            height,
            row: 0,
            bits,
            components,
            source,
            raw: vec![0; bytes],
            codes: vec![0; width * components],
            tables: tables(&self.decode, bits),
            is_plain: self.is_plain(bits),
            kind,
            estimate,
            colour_key: self.colour_key.clone(),
            mask,
            visible: vec![true; width],
            rgb: Vec::new(),
            damaged: false,
        })
    }

    /// Whether sample bytes are the component values as they are.
    fn is_plain(&self, bits: u32) -> bool {
        bits == 8
            && !matches!(
                self.space,
                None | Some(Space::Lab(_) | Space::Indexed { .. })
            )
            && self.decode.iter().all(|range| *range == [0.0, 1.0])
    }
}

enum Source<'a> {
    Stream(Reader<'a>),
    Whole { bytes: Vec<u8>, at: usize },
}

/// How codes become ink.
enum Kind {
    /// Each code is an amount of the ink at the same place.
    Inks(Vec<usize>),
    /// One code, white to black.
    Grey,
    Rgb,
    Lab,
    /// A table from code to amounts, one row of `places` each.
    Table {
        places: Vec<usize>,
        table: Vec<u8>,
    },
    /// One code for every ink there is.
    All,
    /// Painted in one colour where the code says so.
    Stencil {
        places: Vec<usize>,
        amounts: Vec<u8>,
        paints: u8,
    },
}

impl Kind {
    fn stencil(paint: &Colour, inverted: bool) -> Self {
        let places: Vec<usize> = (0..MOST_INKS)
            .filter(|&place| place < 4 || paint.amounts[place] > 0)
            .collect();
        Self::Stencil {
            amounts: places.iter().map(|&place| paint.amounts[place]).collect(),
            places,
            paints: u8::from(inverted),
        }
    }

    fn of(space: &Space, estimate: &Estimate) -> Self {
        match space {
            Space::Grey => Self::Grey,
            Space::Rgb { .. } => Self::Rgb,
            Space::Lab(_) => Self::Lab,
            Space::Cmyk { .. } | Space::Pattern(_) => Self::Inks(vec![0, 1, 2, 3]),
            Space::Spots { all: true, .. } => Self::All,
            Space::Spots { places, .. } => {
                // An ink called None takes part in the counting of components alone.
                Self::Inks(
                    places
                        .iter()
                        .map(|place| place.unwrap_or(usize::MAX))
                        .collect(),
                )
            }
            Space::Indexed { base, table } => {
                let count = table.len() / base.components().max(1);
                let colours: Vec<Colour> = (0..count.max(1))
                    .map(|index| space.colour(&[index as f64], estimate))
                    .collect();
                let places: Vec<usize> = (0..MOST_INKS)
                    .filter(|place| colours.iter().any(|colour| colour.named & 1 << place != 0))
                    .collect();
                let table = colours
                    .iter()
                    .flat_map(|colour| places.iter().map(|&place| colour.amounts[place]))
                    .collect();
                Self::Table { places, table }
            }
        }
    }

    fn places(&self) -> Vec<usize> {
        match self {
            Self::Inks(places) => places
                .iter()
                .copied()
                .filter(|&place| place < MOST_INKS)
                .collect(),
            Self::Grey => vec![3],
            Self::Rgb | Self::Lab | Self::All => vec![0, 1, 2, 3],
            Self::Table { places, .. } | Self::Stencil { places, .. } => places.clone(),
        }
    }
}

/// Samples being read.
pub(super) struct Rows<'a> {
    pub(super) width: usize,
    pub(super) height: usize,
    /// Which row comes next.
    row: usize,
    bits: u32,
    components: usize,
    source: Source<'a>,
    raw: Vec<u8>,
    codes: Vec<u8>,
    /// For each component, code to value.
    tables: Vec<[f32; 256]>,
    is_plain: bool,
    kind: Kind,
    estimate: &'a Estimate,
    colour_key: Vec<[u32; 2]>,
    mask: Option<AlphaMask>,
    /// Which samples of the last row are painted at all.
    pub(super) visible: Vec<bool>,
    rgb: Vec<u8>,
    pub(super) damaged: bool,
}

impl Rows<'_> {
    /// The inks that a sample speaks of, in the order of its bytes.
    pub(super) fn places(&self) -> Vec<usize> {
        self.kind.places()
    }

    /// Reads the next row: as many bytes a sample as there are places. `false` at the end.
    pub(super) fn next(&mut self, out: &mut Vec<u8>) -> bool {
        if self.row >= self.height {
            return false;
        }
        let got = match &mut self.source {
            Source::Stream(reader) => reader.fill(&mut self.raw),
            Source::Whole { bytes, at } => {
                let count = self.raw.len().min(bytes.len() - *at);
                self.raw[..count].copy_from_slice(&bytes[*at..*at + count]);
                *at += count;
                count
            }
        };
        if got < self.raw.len() {
            self.damaged = true;
            return false;
        }
        self.unpack();
        self.find_visible();
        self.row += 1;
        out.clear();
        self.make_ink(out);
        true
    }

    fn unpack(&mut self) {
        match self.bits {
            8 => self.codes.copy_from_slice(&self.raw),
            16 => {
                for (code, pair) in self.codes.iter_mut().zip(self.raw.chunks_exact(2)) {
                    *code = pair[0];
                }
            }
            bits => {
                let mask = (1_u16 << bits) - 1;
                let per_byte = 8 / bits as usize;
                for (index, code) in self.codes.iter_mut().enumerate() {
                    let shift = 8 - bits as usize * (index % per_byte + 1);
                    *code = (u16::from(self.raw[index / per_byte]) >> shift & mask) as u8;
                }
            }
        }
    }

    fn find_visible(&mut self) {
        if let Some(mask) = &self.mask {
            let y = self.row * mask.height / self.height;
            let alpha = &mask.alpha[y * mask.width..][..mask.width];
            for (x, visible) in self.visible.iter_mut().enumerate() {
                *visible = alpha[x * mask.width / self.width] > 0;
            }
        }
        if self.colour_key.len() == self.components && self.components > 0 {
            let shift = self.bits.saturating_sub(8);
            let samples = self.codes.chunks_exact(self.components);
            for (codes, visible) in samples.zip(&mut self.visible) {
                let keyed = codes
                    .iter()
                    .zip(&self.colour_key)
                    .all(|(&code, [low, high])| {
                        (low >> shift..=high >> shift).contains(&u32::from(code))
                    });
                *visible = !keyed;
            }
        }
    }

    fn make_ink(&mut self, out: &mut Vec<u8>) {
        let tables = &self.tables;
        let value = |component: usize, code: u8| tables[component][usize::from(code)];
        let components = self.components;
        match &self.kind {
            Kind::Inks(_) if self.is_plain && self.places().len() == components => {
                out.extend_from_slice(&self.codes);
            }
            Kind::Inks(places) => {
                for sample in self.codes.chunks_exact(components) {
                    for (component, &code) in sample.iter().enumerate() {
                        if places[component] < MOST_INKS {
                            out.push(byte(f64::from(value(component, code))));
                        }
                    }
                }
            }
            Kind::Grey if self.is_plain => out.extend(self.codes.iter().map(|code| 255 - code)),
            Kind::Grey => {
                let table: Vec<u8> = tables[0]
                    .iter()
                    .map(|&value| 255 - byte(f64::from(value)))
                    .collect();
                out.extend(self.codes.iter().map(|&code| table[usize::from(code)]));
            }
            Kind::Rgb | Kind::Lab => {
                self.rgb.clear();
                if self.is_plain {
                    self.rgb.extend_from_slice(&self.codes);
                } else {
                    for sample in self.codes.chunks_exact(3) {
                        let values = [0, 1, 2].map(|index| f64::from(value(index, sample[index])));
                        self.rgb.extend(match self.kind {
                            Kind::Lab => lab_to_rgb(values),
                            _ => values.map(byte),
                        });
                    }
                }
                out.resize(self.width * 4, 0);
                self.estimate.convert(&self.rgb, out);
            }
            Kind::All => {
                for &code in &self.codes {
                    let amount = byte(f64::from(value(0, code)));
                    out.extend_from_slice(&[amount; 4]);
                }
            }
            Kind::Table { places, table } => {
                let rows = (table.len() / places.len().max(1)).max(1);
                for &code in &self.codes {
                    let index = (value(0, code).max(0.0) as usize).min(rows - 1);
                    out.extend_from_slice(&table[index * places.len()..][..places.len()]);
                }
            }
            Kind::Stencil {
                amounts, paints, ..
            } => {
                for (&code, visible) in self.codes.iter().zip(&mut self.visible) {
                    *visible = code == *paints;
                    out.extend_from_slice(amounts);
                }
            }
        }
    }
}

/// Code to value for each component.
fn tables(decode: &[[f64; 2]], bits: u32) -> Vec<[f32; 256]> {
    let most = match bits {
        16 => 255.0,
        bits => f64::from((1_u32 << bits.min(8)) - 1),
    };
    decode
        .iter()
        .map(|[low, high]| {
            std::array::from_fn(|code| (low + (high - low) * code as f64 / most) as f32)
        })
        .collect()
}

struct AlphaMask {
    width: usize,
    height: usize,
    alpha: Vec<u8>,
}

/// Reads a mask as one byte a sample, 0 where nothing is painted. `None` when it cannot be looked at
/// here, so that everything counts as painted.
fn read_mask(document: &Document<'_>, mask: &MaskOf) -> Result<Option<AlphaMask>, Trouble> {
    let mut inks = Inks::default();
    let mut image = Image::read(document, &mask.stream, &Dict::default(), &mut inks)?;
    // A mask has no mask of its own; a file that says so would run in a circle.
    image.mask = None;
    if image.width.saturating_mul(image.height) > LARGEST_MASK {
        return Ok(None);
    }
    let estimate = Estimate::new(None);
    let paint = Colour::none();
    let mut rows = match image.rows(document, &mask.stream, &paint, &estimate) {
        Ok(rows) => rows,
        Err(Trouble::NotLookedAt) => return Ok(None),
        Err(trouble) => return Err(trouble),
    };
    let mut alpha = Vec::with_capacity(rows.width * rows.height);
    let mut row = Vec::new();
    while rows.next(&mut row) {
        if mask.stencil || image.space.is_none() {
            // In a mask, what a stencil would leave free is painted: sample 1 hides by default.
            alpha.extend(rows.visible.iter().map(|&paints| u8::from(paints)));
        } else {
            // Grey came back as black ink; white is opaque.
            alpha.extend(row.iter().map(|black| 255 - black));
        }
    }
    alpha.resize(rows.width * rows.height, 0);
    Ok(Some(AlphaMask {
        width: rows.width,
        height: rows.height,
        alpha,
    }))
}
