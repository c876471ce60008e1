use std::cell::RefCell;
use std::io::{self, Cursor, Read, Write};
use std::rc::Rc;

use measure::{PixelSize, Rect};
use press::{Facts, ImageCoding, ImageSource, OutputIntent, PressError, PressWriter, StoredImage};
use proptest::prelude::*;

use super::{dict, facts, four_samples, intent, read, small, write};

/// Holds every entry of the table of objects against the place that it names.
fn objects_lie_where_the_table_says(pdf: &[u8]) {
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    let tail = text(&pdf[pdf.len() - 200..]);
    let start: usize = tail
        .split("startxref\n")
        .nth(1)
        .and_then(|rest| rest.lines().next())
        .and_then(|number| number.parse().ok())
        .unwrap();
    assert!(pdf[start..].starts_with(b"xref\n0 "));
    let table = &pdf[start + 7..];
    let line = table.iter().position(|b| *b == b'\n').unwrap();
    let count: usize = text(&table[..line]).parse().unwrap();
    let entries = &table[line + 1..];
    assert_eq!(&entries[..20], b"0000000000 65535 f\r\n");
    for number in 1..count {
        let entry = &entries[number * 20..][..20];
        assert_eq!(&entry[10..], b" 00000 n\r\n");
        let place: usize = text(&entry[..10]).parse().unwrap();
        let head = format!("{number} 0 obj\n");
        assert!(pdf[place..].starts_with(head.as_bytes()), "{number}");
    }
    assert!(entries[count * 20..].starts_with(b"trailer\n"));
}

fn picture(coding: ImageCoding) -> (Rect, ImageSource<'static>) {
    let rect = Rect::from_mm(0.0, 0.0, 50.0, 50.0);
    (rect, ImageSource::Made(four_samples(coding)))
}

#[test]
fn every_object_lies_where_the_table_says() {
    let mut page = small();
    page.images = vec![picture(ImageCoding::Lossless), picture(ImageCoding::Jpeg)];
    let (pdf, _) = write(vec![small(), page, small()]).unwrap();
    objects_lie_where_the_table_says(&pdf);
    assert!(pdf.starts_with(b"%PDF-1.6\n%"));
    assert!(pdf[10..14].iter().all(|byte| *byte > 127));
    assert!(pdf.ends_with(b"%%EOF\n"));
}

#[test]
fn the_same_inputs_give_the_same_bytes() {
    let make = || {
        let mut page = small();
        page.images = vec![picture(ImageCoding::Jpeg)];
        write(vec![page, small()]).unwrap().0
    };
    assert_eq!(make(), make());
}

fn with(source: ImageSource<'_>) -> press::PageInput<'_> {
    let mut page = small();
    page.images = vec![(Rect::from_mm(0.0, 0.0, 50.0, 50.0), source)];
    page
}

#[test]
fn a_kept_picture_gives_the_bytes_of_a_made_one() {
    let made = with(ImageSource::Made(four_samples(ImageCoding::Jpeg)));
    let (first, stored) = write(vec![made]).unwrap();
    let stored = stored[0].images[0];
    let mut from = &first[stored.offset as usize..];
    let kept = with(ImageSource::Kept {
        stored,
        from: &mut from,
    });
    let (second, again) = write(vec![kept]).unwrap();
    assert_eq!(first, second);
    assert_eq!(again[0].images[0], stored);
}

#[test]
fn a_kept_picture_that_is_cut_short_spoils_the_file_and_says_so() {
    let mut press = PressWriter::begin(Vec::new(), &facts(), &intent()).unwrap();
    let mut cut = Cursor::new([0; 4]);
    let mut page = small();
    page.images = vec![(
        Rect::from_mm(0.0, 0.0, 50.0, 50.0),
        ImageSource::Kept {
            stored: StoredImage {
                size: PixelSize {
                    width: 2,
                    height: 2,
                },
                coding: ImageCoding::Lossless,
                offset: 0,
                length: 10,
            },
            from: &mut cut,
        },
    )];
    let error = press.page(page).unwrap_err();
    assert_eq!(
        error.to_string(),
        "the press file could not be written: a kept picture should have 10 bytes but has 4"
    );
    assert!(matches!(press.page(small()), Err(PressError::Broken)));
    assert!(matches!(press.finish(), Err(PressError::Broken)));
}

#[test]
fn a_full_disk_is_an_error_wherever_it_fills() {
    struct Full(usize);
    impl Write for Full {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            self.0 = self
                .0
                .checked_sub(bytes.len())
                .ok_or(io::ErrorKind::StorageFull)?;
            Ok(bytes.len())
        }
        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }
    let attempt = |room| -> Result<(), PressError> {
        let mut press = PressWriter::begin(Full(room), &facts(), &intent())?;
        let mut page = small();
        page.images = vec![picture(ImageCoding::Lossless)];
        press.page(page)?;
        press.finish().map(|_| ())
    };
    let needed = (0..20_000).find(|room| attempt(*room).is_ok()).unwrap();
    assert!(needed > 2000, "the file has {needed} bytes");
    for room in 0..needed {
        assert!(matches!(attempt(room), Err(PressError::Io(_))), "{room}");
    }
}

/// Counts what is written and keeps the last of it.
#[derive(Clone, Default)]
struct Tail(Rc<RefCell<(u64, Vec<u8>)>>);

impl Write for Tail {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let mut inner = self.0.borrow_mut();
        inner.0 += bytes.len() as u64;
        inner
            .1
            .extend_from_slice(&bytes[bytes.len().saturating_sub(8192)..]);
        let surplus = inner.1.len().saturating_sub(8192);
        inner.1.drain(..surplus);
        Ok(bytes.len())
    }
    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[test]
fn a_file_over_four_gigabytes_streams_through_and_counts_right() {
    const LONG: u64 = 5_000_000_000;
    let tail = Tail::default();
    let mut press = PressWriter::begin(tail.clone(), &facts(), &intent()).unwrap();
    let stored = StoredImage {
        size: PixelSize {
            width: 50_000,
            height: 25_000,
        },
        coding: ImageCoding::Lossless,
        offset: 0,
        length: LONG,
    };
    let mut endless = io::repeat(7).take(u64::MAX);
    let mut page = small();
    page.images = vec![(
        Rect::from_mm(0.0, 0.0, 50.0, 50.0),
        ImageSource::Kept {
            stored,
            from: &mut endless,
        },
    )];
    press.page(page).unwrap();
    let mut page = small();
    page.images = vec![picture(ImageCoding::Lossless)];
    let after = press.page(page).unwrap().images[0].offset;
    press.finish().unwrap();
    assert!(after > LONG);
    let inner = tail.0.borrow();
    let end = String::from_utf8_lossy(&inner.1);
    let start: u64 = end
        .split("startxref\n")
        .nth(1)
        .and_then(|rest| rest.lines().next())
        .and_then(|number| number.parse().ok())
        .unwrap();
    let from_end = (inner.0 - start) as usize;
    assert!(inner.1[inner.1.len() - from_end..].starts_with(b"xref\n"));
    let beyond = end
        .lines()
        .filter(|line| line.starts_with("50000") && line.ends_with(" n"));
    assert!(
        beyond.count() >= 5,
        "places over five thousand million have ten digits"
    );
}

#[test]
fn what_cannot_be_an_output_intent_is_refused() {
    let with = |change: fn(&mut Vec<u8>)| {
        let mut intent = intent();
        change(&mut intent.profile);
        match PressWriter::begin(Vec::new(), &facts(), &intent) {
            Err(PressError::Intent(why)) => why,
            Err(other) => panic!("{other}"),
            Ok(_) => panic!("accepted"),
        }
    };
    assert_eq!(with(Vec::clear), "it is too short to be an ICC profile");
    assert_eq!(with(|p| p[36] = b'x'), "it is no ICC profile");
    assert_eq!(
        with(|p| p[12..16].copy_from_slice(b"mntr")),
        "it is no profile of a printing condition"
    );
    assert_eq!(
        with(|p| p[16..20].copy_from_slice(b"RGB ")),
        "its inks are not C, M, Y and K"
    );
}

#[test]
fn a_creation_moment_must_be_one() {
    let facts = Facts {
        created: "yesterday".to_owned(),
        ..facts()
    };
    let error = PressWriter::begin(Vec::new(), &facts, &intent())
        .err()
        .unwrap();
    assert_eq!(
        error.to_string(),
        "`yesterday` is no moment such as 2026-11-25T14:00:00Z"
    );
}

#[test]
fn there_is_one_output_intent_with_the_profile_inside() {
    let (pdf, _) = write(vec![small()]).unwrap();
    let document = read(&pdf);
    let catalog = document.catalog().unwrap();
    let intents = catalog.get(b"OutputIntents").unwrap().as_array().unwrap();
    assert_eq!(intents.len(), 1);
    let found = document
        .dereference(&intents[0])
        .unwrap()
        .1
        .as_dict()
        .unwrap();
    assert_eq!(found.get(b"S").unwrap().as_name().unwrap(), b"GTS_PDFX");
    let profile = found.get(b"DestOutputProfile").unwrap();
    let profile = document
        .dereference(profile)
        .unwrap()
        .1
        .as_stream()
        .unwrap();
    assert_eq!(profile.dict.get(b"N").unwrap().as_i64().unwrap(), 4);
    assert_eq!(profile.content, intent().profile);
}

fn xmp(pdf: &[u8]) -> String {
    let document = read(pdf);
    let catalog = document.catalog().unwrap();
    let id = catalog.get(b"Metadata").unwrap().as_reference().unwrap();
    let stream = document.get_object(id).unwrap().as_stream().unwrap();
    assert!(
        !stream.dict.has(b"Filter"),
        "the packet can be read without unpacking"
    );
    String::from_utf8(stream.content.clone()).unwrap()
}

#[test]
fn title_and_author_of_any_letters_are_told_twice_alike() {
    let facts = Facts {
        title: "Nebel & <Wasser> \"3\"\u{1}\nÆther 水".to_owned(),
        author: "Zoë Ñ.".to_owned(),
        ..facts()
    };
    let mut press = PressWriter::begin(Vec::new(), &facts, &intent()).unwrap();
    press.page(small()).unwrap();
    let pdf = press.finish().unwrap();
    let xmp = xmp(&pdf);
    assert!(
        xmp.contains("Nebel &amp; &lt;Wasser&gt; &quot;3&quot; Æther 水</rdf:li>"),
        "{xmp}"
    );
    assert!(xmp.contains("<pdfxid:GTS_PDFXVersion>PDF/X-4</pdfxid:GTS_PDFXVersion>"));
    let document = read(&pdf);
    let info = dict(&document, &document.trailer, "Info");
    let title = info.get(b"Title").unwrap();
    assert_eq!(
        lopdf::decode_text_string(title).unwrap(),
        "Nebel & <Wasser> \"3\" Æther 水"
    );
    assert_eq!(info.get(b"Trapped").unwrap().as_name().unwrap(), b"False");
    assert_eq!(
        info.get(b"CreationDate").unwrap().as_str().unwrap(),
        b"D:20261125140000Z"
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_facts_give_a_file_that_can_be_read(
        title in ".*", author in any::<String>(), language in any::<String>(),
        identifier in any::<String>(), registry in prop::option::of(any::<String>()),
        id in any::<[u8; 16]>(),
    ) {
        let facts = Facts { title, author, language, id, ..facts() };
        let intent = OutputIntent { identifier, registry, ..intent() };
        let mut press = PressWriter::begin(Vec::new(), &facts, &intent).unwrap();
        press.page(small()).unwrap();
        let pdf = press.finish().unwrap();
        objects_lie_where_the_table_says(&pdf);
        prop_assert_eq!(read(&pdf).get_pages().len(), 1);
        let packet = xmp(&pdf);
        prop_assert!(!packet.chars().any(|c| c.is_control() && c != '\n'));
        prop_assert_eq!(packet.matches("<dc:title>").count(), 1);
    }
}
