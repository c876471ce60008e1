//! Writes small press files and the exact samples that went into them, for checks from outside:
//! `cargo run -p press --example press_fixture -- OUTDIR`.
//!
//! `interior.pdf` and `cover.pdf` show every style of words, both codings of pictures, a ground, a
//! kept picture and a picture that runs over the bleed. `plates.pdf` has two pages that a
//! picture fills exactly, one lossless and one JPEG; `plates.raw` and `plates_jpeg.raw` hold the
//! samples that went in (`plates.txt` says how many), so that plates made by another renderer can
//! be held against them. `sheet.pdf` is a sheet with finishings, told of in `sheets.rs`.

mod sheets;

use std::error::Error;
use std::fs::{self, File};
use std::io::{BufWriter, Cursor, Write};
use std::path::Path;

use book::object::FlatKind;
use book::plan::Reads;
use measure::{Length, PixelSize, Rect, Size};
use press::{
    Facts, FileKind, ImageCoding, ImageData, ImageSource, OutputIntent, PageInput, PressWriter,
    Tint, WordsInput,
};
use words::{Block, Style};

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args().nth(1).ok_or("which folder?")?;
    let folder = Path::new(&folder);
    fs::create_dir_all(folder)?;
    interior(folder)?;
    cover(folder)?;
    sheets::sheet(folder)?;
    plates(folder)
}

const PROSE: [&str; 4] = [
    "The boats went out before it was light, eleven of them, and by the time the lamps on the \
     quay were put out the bay was empty. Nobody who stayed behind could say afterwards what the \
     weather had been; there was a stillness, and then there was none. I drew what I saw from the \
     window in the net loft, first in chalk and later, when the chalk ran out, in the soot of the \
     lamp itself.",
    "\"It doesn't look like the sea,\" my aunt said of the second picture. She was right: it \
     looks like the floor of the loft, on which I had spread the sheets to dry. The office on \
     the first floor, 1867 in iron figures above its door, is the only building that I kept.",
    "These pages follow the order in which the drawings were made. Where two belong together \
     they face each other; where one would not let itself be made small it crosses the fold. \
     Nothing has been mended since. If a line wavers, then so did the hand, at a quarter past \
     four, in the cold, with the affairs of an unaffiliated harbourmaster shuffling about below.",
    "Five sheets were lost to damp. I have left their places empty rather than draw them anew \
     from memory: an empty page is at least a true one.",
];

fn interior(folder: &Path) -> Result<(), Box<dyn Error>> {
    let trim = Size::from_mm(200.0, 240.0);
    let bleed = Length::from_mm(3.0);
    let whole = Rect::new(Length::ZERO, Length::ZERO, trim.width, trim.height).grown(bleed);
    let margins = Rect::from_mm(22.0, 24.0, 156.0, 192.0);
    let size = PixelSize {
        width: 412,
        height: 492,
    };
    let samples = picture(size);
    let lossless = ImageData::encode(size, ImageCoding::Lossless, &samples);
    let jpeg = ImageData::encode(size, ImageCoding::Jpeg, &samples);
    // The same stream once more, as if from the last press file.
    let mut kept = Cursor::new(lossless.bytes.clone());
    let stored = press::StoredImage {
        size,
        coding: lossless.coding,
        offset: 0,
        length: lossless.bytes.len() as u64,
    };
    let page = |ground, images, words| PageInput {
        ground,
        images,
        words,
        ..PageInput::bare(trim, bleed)
    };
    let pages = [
        page(
            None,
            vec![],
            vec![words(
                margins,
                Style::Title,
                "The Harbour Before Light",
                &["Ida Maren Voss"],
            )?],
        ),
        page(
            None,
            vec![],
            vec![
                words(margins, Style::Prose, "Before the Boats", &PROSE)?,
                folio("7")?,
            ],
        ),
        page(
            None,
            vec![(whole, ImageSource::Made(lossless.clone()))],
            vec![words(
                Rect::from_mm(20.0, 150.0, 160.0, 60.0),
                Style::Caption,
                "",
                &["Black words over a picture: the other plates run on beneath them."],
            )?],
        ),
        page(
            Some(Tint([0.0, 0.04, 0.12, 0.02])),
            vec![(
                Rect::from_mm(50.0, 40.0, 100.0, 119.0),
                ImageSource::Made(jpeg),
            )],
            vec![
                words(
                    Rect::from_mm(22.0, 166.0, 156.0, 30.0),
                    Style::Caption,
                    "",
                    &[
                        "The net loft in March, chalk and lamp soot on brown paper, 41 × 49 cm. The \
                   second of five; the other four were lost to damp.",
                    ],
                )?,
                folio("12")?,
            ],
        ),
        page(
            None,
            vec![(
                whole.grown(Length::from_mm(20.0)),
                ImageSource::Kept {
                    stored,
                    from: &mut kept,
                },
            )],
            vec![],
        ),
        page(
            None,
            vec![],
            vec![words(
                margins,
                Style::Colophon,
                "",
                &[
                    "Drawn in the winter of 2025 and printed in four inks on a coated stock of 150 \
             g/m². The edition numbers 400 copies, of which the first 26 are lettered A to Z.",
                    "Set in Libertinus Serif.\nAll rights with the artist.",
                    "https://example.org/harbour-before-light/colophon?print=first#errata",
                ],
            )?],
        ),
        page(None, vec![], vec![]),
    ];
    let out = BufWriter::new(File::create(folder.join("interior.pdf"))?);
    let mut press = PressWriter::begin(out, &facts(FileKind::Interior), &intent()?)?;
    for page in pages {
        press.page(page)?;
    }
    press.finish()?.flush()?;
    Ok(())
}

fn cover(folder: &Path) -> Result<(), Box<dyn Error>> {
    let spine = 14.0;
    let trim = Size::from_mm(200.0 + spine + 200.0, 240.0);
    let bleed = Length::from_mm(3.0);
    let size = PixelSize {
        width: 406,
        height: 492,
    };
    let front = ImageData::encode(size, ImageCoding::Lossless, &picture(size));
    let mut spine_words = words(
        Rect::from_mm(0.0, 0.0, 220.0, spine),
        Style::Spine,
        "The Harbour Before Light",
        &["Ida Maren Voss"],
    )?;
    spine_words.x = Length::from_mm(200.0 + spine);
    spine_words.y = Length::from_mm(10.0);
    spine_words.reads = Reads::Down;
    let mut front_words = words(
        Rect::from_mm(200.0 + spine + 18.0, 20.0, 164.0, 200.0),
        Style::CoverFront,
        "The Harbour Before Light",
        &["Ida Maren Voss"],
    )?;
    spine_words.paper = true;
    front_words.paper = true;
    let facts = facts(FileKind::Sheet(FlatKind::SoftCover));
    let out = BufWriter::new(File::create(folder.join("cover.pdf"))?);
    let mut press = PressWriter::begin(out, &facts, &intent()?)?;
    press.page(PageInput {
        ground: Some(Tint([0.7, 0.45, 0.3, 0.35])),
        images: vec![(
            Rect::from_mm(200.0 + spine, -3.0, 203.0, 246.0),
            ImageSource::Made(front),
        )],
        words: vec![spine_words, front_words],
        ..PageInput::bare(trim, bleed)
    })?;
    press.finish()?.flush()?;
    Ok(())
}

/// Pages of whole points, so that at 72 ppi each sample is one dot of a plate.
fn plates(folder: &Path) -> Result<(), Box<dyn Error>> {
    let size = PixelSize {
        width: 256,
        height: 192,
    };
    let samples: Vec<u8> = (0..size.height)
        .flat_map(|y| {
            (0..size.width).flat_map(move |x| {
                let noise = (x * 7919 + y * 104_729).wrapping_mul(2_654_435_761) >> 24;
                [x as u8, y as u8, (x ^ y) as u8, noise as u8]
            })
        })
        .collect();
    let side = |pixels: u32| Length::from_inches(f64::from(pixels) / 72.0);
    let trim = Size {
        width: side(size.width),
        height: side(size.height),
    };
    let out = BufWriter::new(File::create(folder.join("plates.pdf"))?);
    let mut press = PressWriter::begin(out, &facts(FileKind::Interior), &intent()?)?;
    let soft = picture(size);
    for (coding, samples) in [
        (ImageCoding::Lossless, &samples),
        (ImageCoding::Jpeg, &soft),
    ] {
        press.page(PageInput {
            images: vec![(
                Rect::new(Length::ZERO, Length::ZERO, trim.width, trim.height),
                ImageSource::Made(ImageData::encode(size, coding, samples)),
            )],
            ..PageInput::bare(trim, Length::ZERO)
        })?;
    }
    press.finish()?.flush()?;
    fs::write(folder.join("plates.raw"), &samples)?;
    fs::write(folder.join("plates_jpeg.raw"), &soft)?;
    fs::write(
        folder.join("plates.txt"),
        format!("{} {}\n", size.width, size.height),
    )?;
    Ok(())
}

fn words(
    rect: Rect,
    style: Style,
    heading: &str,
    paragraphs: &[&str],
) -> Result<WordsInput, Box<dyn Error>> {
    let galley = words::set(&Block {
        size: Size {
            width: rect.width,
            height: rect.height,
        },
        style,
        heading: heading.to_owned(),
        paragraphs: paragraphs.iter().map(|&text| text.to_owned()).collect(),
        language: "en-GB".to_owned(),
    })?;
    Ok(WordsInput {
        galley,
        x: rect.x,
        y: rect.y,
        paper: false,
        reads: Reads::Across,
    })
}

fn folio(number: &str) -> Result<WordsInput, Box<dyn Error>> {
    words(
        Rect::from_mm(22.0, 222.0, 156.0, 6.0),
        Style::Folio,
        number,
        &[],
    )
}

/// A soft picture of sky over water, no ink above 300 percent in all.
fn picture(size: PixelSize) -> Vec<u8> {
    let (width, height) = (f64::from(size.width), f64::from(size.height));
    (0..size.height)
        .flat_map(|y| {
            (0..size.width).flat_map(move |x| {
                let (u, v) = (f64::from(x) / width, f64::from(y) / height);
                let light = (-((u - 0.6).powi(2) + (v - 0.45).powi(2)) * 9.0).exp();
                let wave = 0.5 + 0.5 * ((v * 60.0).sin() * (u * 9.0 + v * 30.0).cos());
                let water = if v > 0.55 { wave * 0.25 } else { 0.0 };
                let inks = [
                    0.55 + 0.3 * v - 0.5 * light + water * 0.5,
                    0.35 + 0.1 * v - 0.2 * light + water * 0.3,
                    0.12 + 0.5 * light,
                    0.05 + 0.25 * v - 0.2 * light + water * 0.5,
                ];
                inks.map(|ink| (ink.clamp(0.0, 0.75) * 255.0).round() as u8)
            })
        })
        .collect()
}

fn facts(kind: FileKind) -> Facts {
    Facts {
        kind,
        title: "The Harbour Before Light".to_owned(),
        author: "Ida Maren Voss".to_owned(),
        language: "en-GB".to_owned(),
        created: "2026-11-25T14:00:00Z".to_owned(),
        id: *b"one small volume",
    }
}

fn intent() -> Result<OutputIntent, Box<dyn Error>> {
    let condition = colour::PressCondition::built_in("coated").ok_or("no condition `coated`")?;
    Ok(OutputIntent {
        identifier: condition.identifier,
        registry: condition.registry,
        info: condition.info,
        profile: condition.profile.bytes().to_vec(),
    })
}
