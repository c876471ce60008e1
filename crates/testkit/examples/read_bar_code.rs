//! Reads the EAN-13 of each picture by `rxing`, a reader that we did not write: `read_bar_code PICTURE…`
//!
//! Writes one line a picture, in their order: the thirteen digits, then a space and the five digits
//! of the add-on where one was read; `–` where no bar code was found. Pictures are PNG; of colours
//! the first channel is looked at, red, as a scanner does.
//!
//! `rxing` looks along single rows and stops at the first that holds an EAN-13. Add-ons begin lower
//! than the bars beside them, so that the rows below are given to it too.

use std::collections::HashSet;
use std::error::Error;
use std::fs::File;
use std::io::BufReader;
use std::process::ExitCode;

use rxing::helpers::detect_in_luma_with_hints;
use rxing::{BarcodeFormat, DecodeHints, Exceptions, RXingResult};
use rxing::{RXingResultMetadataType as Extra, RXingResultMetadataValue as Value};

fn main() -> ExitCode {
    for path in std::env::args().skip(1) {
        match Picture::open(&path).and_then(|picture| picture.digits()) {
            Ok(digits) => println!("{}", digits.unwrap_or_else(|| "–".to_owned())),
            Err(error) => {
                eprintln!("{path}: {error}");
                return ExitCode::from(2);
            }
        }
    }
    ExitCode::SUCCESS
}

/// One byte a pixel.
struct Picture {
    width: u32,
    height: u32,
    luma: Vec<u8>,
}

/// How often a row is repeated to give the reader a picture of some height.
const ROWS: u32 = 48;

impl Picture {
    fn open(path: &str) -> Result<Self, Box<dyn Error>> {
        let mut decoder = png::Decoder::new(BufReader::new(File::open(path)?));
        decoder.set_transformations(png::Transformations::normalize_to_color8());
        let mut reader = decoder.read_info()?;
        let mut samples = vec![0; reader.output_buffer_size().ok_or("too large a picture")?];
        let frame = reader.next_frame(&mut samples)?;
        let luma = samples[..frame.buffer_size()]
            .chunks_exact(frame.color_type.samples())
            .map(|pixel| pixel[0])
            .collect();
        Ok(Self {
            width: frame.width,
            height: frame.height,
            luma,
        })
    }

    fn digits(&self) -> Result<Option<String>, Box<dyn Error>> {
        let Some(found) = self.read()? else {
            return Ok(None);
        };
        let number = found.getText().to_owned();
        let add_on = match add_on(&found) {
            Some(add_on) => Some(add_on),
            None => self.add_on_below(&found)?,
        };
        Ok(Some(match add_on {
            Some(add_on) => format!("{number} {add_on}"),
            None => number,
        }))
    }

    fn read(&self) -> Result<Option<RXingResult>, Box<dyn Error>> {
        let mut hints = DecodeHints {
            TryHarder: Some(true),
            PossibleFormats: Some(HashSet::from([BarcodeFormat::EAN_13])),
            ..DecodeHints::default()
        };
        let (width, height) = (self.width, self.height);
        match detect_in_luma_with_hints(self.luma.clone(), width, height, None, &mut hints) {
            Ok(found) => Ok(Some(found)),
            Err(Exceptions::NotFoundException(_)) => Ok(None),
            Err(error) => Err(error.into()),
        }
    }

    /// The add-on in the rows below the one in which the number was read, as far down as bars of
    /// that width are high.
    fn add_on_below(&self, found: &RXingResult) -> Result<Option<String>, Box<dyn Error>> {
        let [one, other, ..] = found.getPoints() else {
            return Ok(None);
        };
        let wide = (one.x - other.x).abs();
        for step in 0..40_u8 {
            let row = one.y + wide * f32::from(step) / 40.0;
            if row < 0.0 || row as u32 >= self.height {
                break;
            }
            if let Some(found) = self.row(row as u32).read()?
                && let Some(add_on) = add_on(&found)
            {
                return Ok(Some(add_on));
            }
        }
        Ok(None)
    }

    /// A picture of one row, repeated.
    fn row(&self, row: u32) -> Self {
        let width = self.width as usize;
        let row = &self.luma[row as usize * width..][..width];
        Self {
            width: self.width,
            height: ROWS,
            luma: row.repeat(ROWS as usize),
        }
    }
}

fn add_on(found: &RXingResult) -> Option<String> {
    match found
        .getRXingResultMetadata()
        .get(&Extra::UPC_EAN_EXTENSION)
    {
        Some(Value::UpcEanExtension(add_on)) => Some(add_on.clone()),
        _ => None,
    }
}
