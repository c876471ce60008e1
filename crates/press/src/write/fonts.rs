//! Typefaces: glyphs counted as pages are written, subsets embedded at the end.

use std::io::Write;
use std::sync::Arc;

use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::writers::Resources;
use pdf_writer::{Name, Rect, Ref, Str};
use subsetter::GlyphRemapper;
use ttf_parser::{Face, GlyphId, RawFace, Tag};

use super::PressError;
use super::file::{Data, File};
use super::page::font_name;

/// Glyphs are named by two bytes, which are their numbers in the subset.
const ENCODING: &str = "Identity-H";

/// The typefaces of a file.
#[derive(Default)]
pub(super) struct Fonts {
    used: Vec<UsedFont>,
}

/// One typeface and what was used of it. Its memory is bounded by the typeface, not by the pages.
pub(super) struct UsedFont {
    font: words::Font,
    id: Ref,
    units_per_em: f64,
    glyphs: GlyphRemapper,
    /// By number in the subset.
    known: Vec<KnownGlyph>,
}

struct KnownGlyph {
    /// Thousandths of the type size.
    width: f32,
    text: String,
}

impl Fonts {
    /// Names the typefaces that a page uses, by their indexes, among its resources.
    pub(super) fn name(&self, resources: &mut Resources<'_>, used: &[usize]) {
        if used.is_empty() {
            return;
        }
        let mut names = resources.fonts();
        for index in used {
            names.pair(Name(&font_name(*index)), self.used[*index].id);
        }
    }

    /// The index of a typeface, newly opened at first sight.
    pub(super) fn open<W: Write>(
        &mut self,
        font: &words::Font,
        file: &mut File<W>,
    ) -> Result<usize, PressError> {
        let same = |used: &UsedFont| {
            used.font.index == font.index
                && (Arc::ptr_eq(&used.font.data, &font.data) || used.font.data == font.data)
        };
        if let Some(index) = self.used.iter().position(same) {
            return Ok(index);
        }
        let face = face(font)?;
        let units_per_em = f64::from(face.units_per_em());
        let mut used = UsedFont {
            font: font.clone(),
            id: file.reserve(),
            units_per_em,
            glyphs: GlyphRemapper::new(),
            known: Vec::new(),
        };
        used.learn(&face, 0, "");
        self.used.push(used);
        Ok(self.used.len() - 1)
    }

    pub(super) fn get(&mut self, index: usize) -> &mut UsedFont {
        &mut self.used[index]
    }

    /// Embeds all typefaces that were opened.
    pub(super) fn embed<W: Write>(&self, file: &mut File<W>) -> Result<(), PressError> {
        self.used.iter().try_for_each(|font| font.embed(file))
    }
}

impl UsedFont {
    /// A glyph's number in the subset and its width in thousandths of the type size.
    pub(super) fn glyph(&mut self, id: u16, text: &str) -> Result<(u16, f32), PressError> {
        if id == 0 {
            return Err(self.error(format!("it has no sign for `{text}`")));
        }
        let number = match self.glyphs.get(id) {
            Some(number) => number,
            None => {
                let font = self.font.clone();
                let face = face(&font)?;
                if id >= face.number_of_glyphs() {
                    return Err(self.error(format!("it has no glyph number {id}")));
                }
                self.learn(&face, id, text)
            }
        };
        let known = &mut self.known[usize::from(number)];
        if known.text.is_empty() {
            text.clone_into(&mut known.text);
        }
        Ok((number, known.width))
    }

    fn learn(&mut self, face: &Face<'_>, id: u16, text: &str) -> u16 {
        let advance = f64::from(face.glyph_hor_advance(GlyphId(id)).unwrap_or(0));
        self.known.push(KnownGlyph {
            width: (advance * 1000.0 / self.units_per_em) as f32,
            text: text.to_owned(),
        });
        self.glyphs.remap(id)
    }

    fn error(&self, why: String) -> PressError {
        PressError::Font {
            name: self.font.name.clone(),
            why,
        }
    }

    fn embed<W: Write>(&self, file: &mut File<W>) -> Result<(), PressError> {
        let face = face(&self.font)?;
        let subset = subsetter::subset(&self.font.data, self.font.index, &self.glyphs)
            .map_err(|error| self.error(error.to_string()))?;
        // Of outlines in PostScript curves only the table with the curves is embedded.
        let curves = RawFace::parse(&subset, 0)
            .ok()
            .and_then(|raw| raw.table(Tag::from_bytes(b"CFF ")));
        let is_postscript = curves.is_some();
        let program = curves.unwrap_or(&subset);

        let name = self.subset_name();
        let type_name = if is_postscript {
            format!("{name}-{ENCODING}")
        } else {
            name.clone()
        };
        let [descendant, descriptor, data, to_unicode] = std::array::from_fn(|_| file.reserve());
        let system = SystemInfo {
            registry: Str(b"Adobe"),
            ordering: Str(b"Identity"),
            supplement: 0,
        };

        file.object(self.id, |chunk| {
            chunk
                .type0_font(self.id)
                .base_font(Name(type_name.as_bytes()))
                .encoding_predefined(Name(ENCODING.as_bytes()))
                .descendant_font(descendant)
                .to_unicode(to_unicode);
        })?;
        file.object(descendant, |chunk| {
            let mut font = chunk.cid_font(descendant);
            font.subtype(if is_postscript {
                CidFontType::Type0
            } else {
                CidFontType::Type2
            });
            font.base_font(Name(name.as_bytes()));
            font.system_info(system);
            font.font_descriptor(descriptor);
            font.default_width(0.0);
            if !is_postscript {
                font.cid_to_gid_map_predefined(Name(b"Identity"));
            }
            font.widths()
                .consecutive(0, self.known.iter().map(|glyph| glyph.width));
        })?;
        file.object(descriptor, |chunk| {
            let scale = |value: i16| (f64::from(value) * 1000.0 / self.units_per_em) as f32;
            let bounds = face.global_bounding_box();
            let mut flags = FontFlags::SYMBOLIC;
            flags.set(FontFlags::SERIF, self.font.name.contains("Serif"));
            flags.set(FontFlags::FIXED_PITCH, face.is_monospaced());
            flags.set(FontFlags::ITALIC, face.is_italic());
            let mut out = chunk.font_descriptor(descriptor);
            out.name(Name(name.as_bytes()))
                .flags(flags)
                .bbox(Rect::new(
                    scale(bounds.x_min),
                    scale(bounds.y_min),
                    scale(bounds.x_max),
                    scale(bounds.y_max),
                ))
                .italic_angle(face.italic_angle())
                .ascent(scale(face.ascender()))
                .descent(scale(face.descender()))
                .cap_height(scale(
                    face.capital_height().unwrap_or_else(|| face.ascender()),
                ))
                // No typeface states its stems in a table that is read here: estimated by weight.
                .stem_v(10.0 + 220.0 * (f32::from(face.weight().to_number()) - 50.0) / 900.0);
            if is_postscript {
                out.font_file3(data);
            } else {
                out.font_file2(data);
            }
        })?;
        file.stream(data, Data::Bytes(program), |dict| {
            if is_postscript {
                dict.pair(Name(b"Subtype"), Name(b"CIDFontType0C"));
            } else {
                let length = i32::try_from(program.len()).unwrap_or(i32::MAX);
                dict.pair(Name(b"Length1"), length);
            }
        })?;
        let mut map = UnicodeCmap::<u16>::new(Name(b"Text"), system);
        for (number, glyph) in (0u16..).zip(&self.known) {
            if !glyph.text.is_empty() {
                map.pair_with_multiple(number, glyph.text.chars());
            }
        }
        let map = map.finish();
        file.stream(to_unicode, Data::Bytes(&map), |dict| {
            dict.pair(Name(b"Type"), Name(b"CMap"));
            dict.pair(Name(b"CMapName"), Name(b"Text"));
            let mut info = dict.insert(Name(b"CIDSystemInfo")).dict();
            info.pair(Name(b"Registry"), system.registry);
            info.pair(Name(b"Ordering"), system.ordering);
            info.pair(Name(b"Supplement"), system.supplement);
        })?;
        Ok(())
    }

    /// Six letters from the glyphs in the subset, then the typeface's name (ISO 32000-1, 9.6.4).
    fn subset_name(&self) -> String {
        // FNV-1a, 64 bit: a name, no secret.
        let mut hash = 0xcbf2_9ce4_8422_2325_u64;
        for glyph in self.glyphs.remapped_gids() {
            for byte in glyph.to_be_bytes() {
                hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
            }
        }
        let mut name = String::new();
        for _ in 0..6 {
            name.push(char::from(b'A' + (hash % 26) as u8));
            hash /= 26;
        }
        name.push('+');
        name.extend(self.font.name.chars().filter(char::is_ascii_graphic));
        name
    }
}

fn face(font: &words::Font) -> Result<Face<'_>, PressError> {
    Face::parse(&font.data, font.index).map_err(|error| PressError::Font {
        name: font.name.clone(),
        why: error.to_string(),
    })
}
