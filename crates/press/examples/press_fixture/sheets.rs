//! Sheets with finishings.

use std::error::Error;
use std::fs::{self, File};
use std::io::{BufWriter, Write};
use std::path::Path;

use book::bar_code::{BarCode, Isbn};
use book::object::{Allowance, FlatKind, FlatSheet, Fold};
use book::plan::Reads;
use finish::{Command, FillRule, Plate, Shape};
use measure::{Length, PixelSize, Rect, Size};
use press::{
    Beside, FileKind, ImageCoding, ImageData, ImageSource, PageInput, Painted, PlateInput,
    PlateName, PressWriter, Tint,
};
use words::Style;

use super::{facts, intent, picture, words};

/// The sheet: two flaps, two faces and a spine between them.
const WIDTH: f64 = 300.0;
const HEIGHT: f64 = 150.0;
const FOLDS: [f64; 4] = [50.0, 143.0, 157.0, 250.0];
const GOLD: Tint = Tint([0.15, 0.3, 0.8, 0.1]);
const CLEAR: Tint = Tint([0.1, 0.0, 0.0, 0.0]);
const BLIND: Tint = Tint([0.0, 0.0, 0.0, 0.2]);

/// `sheet.pdf`: a jacket with a ground, a picture, words that read up the spine, a bar code, and
/// three plates: `title foil` from shapes, `Glanzlack Möwe 漆` from the pixels of `mask.raw`
/// (`mask.txt` says how many), and one whose name is that of an ink. Its second page has the foil
/// once more.
pub fn sheet(folder: &Path) -> Result<(), Box<dyn Error>> {
    let flat = FlatSheet {
        kind: FlatKind::Jacket,
        count: 1,
        trim: Size::from_mm(WIDTH, HEIGHT),
        allowance: Allowance::Bleed(Length::from_mm(3.0)),
        panels: Vec::new(),
        folds: FOLDS.map(|x| Fold::Upright(Length::from_mm(x))).to_vec(),
        no_go: Vec::new(),
    };
    let size = PixelSize {
        width: 1008,
        height: 1638,
    };
    let front = ImageData::encode(size, ImageCoding::Lossless, &picture(size));
    let mut spine = words(
        Rect::from_mm(0.0, 0.0, 130.0, 14.0),
        Style::Spine,
        "The Harbour Before Light",
        &["Ida Maren Voss"],
    )?;
    spine.reads = Reads::Up;
    spine.paper = true;
    (spine.x, spine.y) = (Length::from_mm(143.0), Length::from_mm(140.0));
    // The example that the public guides of the numbering give.
    let isbn: Isbn = "978-0-306-40615-7".parse()?;
    let code = BarCode::new(isbn, None, 100.0, Length::ZERO)?.lay_out();
    let corner = (Length::from_mm(95.0), Length::from_mm(110.0));
    let mut tints = vec![(
        Rect::new(corner.0, corner.1, code.size.width, code.size.height),
        Tint([0.0; 4]),
    )];
    tints.extend(
        code.bars
            .iter()
            .map(|bar| (bar.moved(corner.0, corner.1), Tint([0.0, 0.0, 0.0, 1.0]))),
    );
    let mask = mask();
    fs::write(folder.join("mask.raw"), mask.pixels())?;
    let PixelSize { width, height } = mask.size();
    fs::write(folder.join("mask.txt"), format!("{width} {height}\n"))?;
    let foil = foil();
    let blind = [Shape::rectangle(
        Length::ZERO,
        Length::ZERO,
        Length::from_mm(500.0),
        Length::from_mm(500.0),
    )];
    let plate = |name, alternate, face, painted| PlateInput {
        name: PlateName::new(name),
        alternate,
        face,
        painted,
    };
    let foil_at = |x, y| {
        plate(
            "title foil",
            GOLD,
            Rect::from_mm(x, y, 80.0, 60.0),
            Painted::Shapes(&foil),
        )
    };
    let lines = [
        "jacket – The Harbour Before Light".to_owned(),
        "plates: title foil, Glanzlack Möwe 漆, black plate".to_owned(),
    ];
    let bleed = Length::from_mm(3.0);
    let out = BufWriter::new(File::create(folder.join("sheet.pdf"))?);
    let facts = facts(FileKind::Sheet(FlatKind::Jacket));
    let mut press = PressWriter::begin(out, &facts, &intent()?)?;
    press.page_beside(
        PageInput {
            ground: Some(Tint([0.7, 0.45, 0.3, 0.35])),
            images: vec![(
                Rect::from_mm(157.0, -3.0, 96.0, 156.0),
                ImageSource::Made(front),
            )],
            tints,
            words: vec![spine],
            plates: vec![
                foil_at(162.0, 20.0),
                plate(
                    "Glanzlack Möwe 漆",
                    CLEAR,
                    Rect::from_mm(170.0, 90.0, 60.0, 40.0),
                    Painted::Pixels(&mask),
                ),
                // It runs over the right edge: what is past the bleed is not painted.
                plate(
                    " black\n",
                    BLIND,
                    Rect::from_mm(290.0, 60.0, 40.0, 10.0),
                    Painted::Shapes(&blind),
                ),
            ],
            ..PageInput::bare(flat.trim, bleed)
        },
        &Beside::of_sheet(&flat, &lines, None, "en-GB")?,
    )?;
    press.page(PageInput {
        ground: Some(Tint([0.2, 0.1, 0.0, 0.0])),
        plates: vec![PlateInput {
            // The first alternate of the name stands.
            alternate: BLIND,
            ..foil_at(20.0, 20.0)
        }],
        ..PageInput::bare(flat.trim, bleed)
    })?;
    press.finish()?.flush()?;
    Ok(())
}

/// In millimetres on a face of 80 × 60: a ring whose hole is wound the other way; two squares that
/// overlap, by the even-odd rule; a block out of which a light one is taken, in which a dark one
/// stands; and a disc of curves that reaches beyond the face.
fn foil() -> Vec<Shape> {
    let square = |x: f64, y: f64, side: f64| {
        [
            Command::Move(x, y),
            Command::Line(x + side, y),
            Command::Line(x + side, y + side),
            Command::Line(x, y + side),
            Command::Close,
        ]
    };
    let block = |x: f64, y: f64, side: f64, adds| Shape {
        outline: square(x, y, side).to_vec(),
        rule: FillRule::NonZero,
        adds,
    };
    let mut ring = square(5.0, 5.0, 20.0).to_vec();
    ring.extend([
        Command::Move(10.0, 10.0),
        Command::Line(10.0, 20.0),
        Command::Line(20.0, 20.0),
        Command::Line(20.0, 10.0),
        Command::Close,
    ]);
    let mut crossed = square(30.0, 5.0, 12.0).to_vec();
    crossed.extend(square(36.0, 11.0, 12.0));
    // A circle of four cubic curves, right to 0.03 percent (the usual 0.5523).
    let (x, y, r, k) = (80.0, 45.0, 10.0, 5.523);
    let disc = vec![
        Command::Move(x + r, y),
        Command::Cubic(x + r, y + k, x + k, y + r, x, y + r),
        Command::Cubic(x - k, y + r, x - r, y + k, x - r, y),
        Command::Cubic(x - r, y - k, x - k, y - r, x, y - r),
        Command::Cubic(x + k, y - r, x + r, y - k, x + r, y),
        Command::Close,
    ];
    vec![
        // The white paper of a drawing: there is nothing yet to take away.
        block(-10.0, -10.0, 200.0, false),
        Shape {
            outline: ring,
            rule: FillRule::NonZero,
            adds: true,
        },
        Shape {
            outline: crossed,
            rule: FillRule::EvenOdd,
            adds: true,
        },
        block(5.0, 30.0, 24.0, true),
        block(11.0, 36.0, 12.0, false),
        block(15.0, 40.0, 4.0, true),
        Shape {
            outline: disc,
            rule: FillRule::NonZero,
            adds: true,
        },
    ]
}

/// Stripes that grow wider, and a corner left free; the width is no multiple of eight.
fn mask() -> Plate {
    let size = PixelSize {
        width: 1203,
        height: 802,
    };
    let pixels: Vec<u8> = (0..size.height)
        .flat_map(|y| {
            (0..size.width).map(move |x| {
                let dark = (x * x / 4_000 + y / 40) % 2 == 0 && x + y > 400;
                if dark { 0 } else { 255 }
            })
        })
        .collect();
    let face = Size::from_mm(60.0, 40.0);
    let (plate, _) = Plate::from_picture(&pixels, size, face, finish::Fit::Exact)
        .expect("it has the face's proportions");
    plate
}
