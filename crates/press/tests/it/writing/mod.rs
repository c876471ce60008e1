//! Writing press files.

mod coding;
mod document;
mod file;
mod pages;
mod plates;
mod sheets;
mod typefaces;

use std::sync::LazyLock;

use lopdf::{Dictionary, Document, Object, ObjectId};
use measure::{Length, PixelSize, Size};
use press::{
    Facts, FileKind, ImageCoding, ImageData, OutputIntent, PageInput, PressError, PressWriter,
    Stored,
};

fn facts() -> Facts {
    Facts {
        kind: FileKind::Interior,
        title: "Small Weather".to_owned(),
        author: "Ann Other".to_owned(),
        language: "en".to_owned(),
        created: "2026-11-25T14:00:00Z".to_owned(),
        id: *b"sixteen bytes in",
    }
}

/// An output intent with as much of a profile as the writer looks at.
fn intent() -> OutputIntent {
    let mut profile = vec![0; 132];
    profile[12..16].copy_from_slice(b"prtr");
    profile[16..20].copy_from_slice(b"CMYK");
    profile[36..40].copy_from_slice(b"acsp");
    OutputIntent {
        identifier: "TEST-1".to_owned(),
        registry: Some("http://www.color.org".to_owned()),
        info: "A condition for tests".to_owned(),
        profile,
    }
}

fn blank<'a>(trim: Size, bleed: Length) -> PageInput<'a> {
    PageInput::bare(trim, bleed)
}

/// A blank page of 100 × 120 mm with 3 mm of bleed.
fn small<'a>() -> PageInput<'a> {
    blank(Size::from_mm(100.0, 120.0), Length::from_mm(3.0))
}

fn write(pages: Vec<PageInput<'_>>) -> Result<(Vec<u8>, Vec<Stored>), PressError> {
    let mut press = PressWriter::begin(Vec::new(), &facts(), &intent())?;
    let stored = pages
        .into_iter()
        .map(|page| press.page(page))
        .collect::<Result<_, _>>()?;
    Ok((press.finish()?, stored))
}

/// A picture of four samples.
fn four_samples(coding: ImageCoding) -> ImageData {
    static SAMPLES: LazyLock<Vec<u8>> = LazyLock::new(|| (0..16).map(|n| n * 16).collect());
    let size = PixelSize {
        width: 2,
        height: 2,
    };
    ImageData::encode(size, coding, &SAMPLES)
}

fn read(pdf: &[u8]) -> Document {
    Document::load_mem(pdf).unwrap()
}

/// The pages, first to last.
fn pages(document: &Document) -> Vec<&Dictionary> {
    let ids: Vec<ObjectId> = document.get_pages().into_values().collect();
    ids.iter()
        .map(|id| document.get_dictionary(*id).unwrap())
        .collect()
}

fn dict<'a>(document: &'a Document, parent: &'a Dictionary, key: &str) -> &'a Dictionary {
    let value = parent.get(key.as_bytes()).unwrap();
    document.dereference(value).unwrap().1.as_dict().unwrap()
}

fn rect(page: &Dictionary, key: &str) -> [f32; 4] {
    let array = page.get(key.as_bytes()).unwrap().as_array().unwrap();
    let sides: Vec<f32> = array.iter().map(|side| side.as_float().unwrap()).collect();
    sides.try_into().unwrap()
}

fn content(document: &Document, page: &Dictionary) -> String {
    let id = page
        .get(b"Contents")
        .and_then(Object::as_reference)
        .unwrap();
    let stream = document.get_object(id).unwrap().as_stream().unwrap();
    String::from_utf8_lossy(&stream.content).into_owned()
}
