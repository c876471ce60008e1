use book::plan::Reads;
use measure::{Length, Size};
use press::{PageInput, PressError, WordsInput};
use words::{Block, Galley, Style};

use super::{content, dict, pages, read, small, write};

fn galley(words: &str, style: Style) -> Galley {
    words::set(&Block {
        size: Size::from_mm(80.0, 60.0),
        style,
        heading: String::new(),
        paragraphs: vec![words.to_owned()],
        language: "en".to_owned(),
    })
    .unwrap()
}

fn page_with(galley: Galley, paper: bool) -> PageInput<'static> {
    let mut page = small();
    page.words = vec![WordsInput {
        galley,
        x: Length::from_mm(10.0),
        y: Length::from_mm(10.0),
        paper,
        reads: Reads::Across,
    }];
    page
}

#[test]
fn one_typeface_is_embedded_once_for_all_pages() {
    let (pdf, _) = write(vec![
        page_with(galley("First words", Style::Prose), false),
        page_with(galley("and others", Style::Prose), false),
        page_with(galley("slanted", Style::Caption), false),
    ])
    .unwrap();
    let document = read(&pdf);
    let mut programs = Vec::new();
    for object in document.objects.values() {
        let Ok(font) = object.as_dict() else { continue };
        if font
            .get(b"Type")
            .is_ok_and(|kind| kind.as_name().is_ok_and(|kind| kind == b"FontDescriptor"))
        {
            let program = font.get(b"FontFile3").unwrap();
            let program = document
                .dereference(program)
                .unwrap()
                .1
                .as_stream()
                .unwrap();
            assert_eq!(
                program.dict.get(b"Subtype").unwrap().as_name().unwrap(),
                b"CIDFontType0C"
            );
            let name = font.get(b"FontName").unwrap().as_name().unwrap();
            programs.push(String::from_utf8_lossy(name).into_owned());
            assert!(program.content.len() < 20_000, "a subset is small");
        }
    }
    programs.sort_unstable_by_key(|name| name[7..].to_owned());
    assert_eq!(programs.len(), 2, "{programs:?}");
    assert_eq!(&programs[0][6..], "+LibertinusSerif-Italic");
    assert_eq!(&programs[1][6..], "+LibertinusSerif-Regular");
}

#[test]
fn widths_stated_are_those_of_the_typeface_for_just_the_glyphs_used() {
    let galley = galley("Waffle", Style::Prose);
    let (pdf, _) = write(vec![page_with(galley.clone(), false)]).unwrap();
    let stated = widths(&read(&pdf));
    let face = ttf_parser::Face::parse(&galley.fonts[0].data, 0).unwrap();
    let mut wanted = vec![face.glyph_hor_advance(ttf_parser::GlyphId(0)).unwrap()];
    for glyph in galley.runs.iter().flat_map(|run| &run.glyphs) {
        wanted.push(
            face.glyph_hor_advance(ttf_parser::GlyphId(glyph.id))
                .unwrap(),
        );
    }
    assert_eq!(face.units_per_em(), 1000);
    let wanted: Vec<f32> = wanted.into_iter().map(f32::from).collect();
    assert_eq!(stated.len(), 5, "no sign, W, a, ffl and e");
    assert_eq!(stated, wanted);
}

/// The widths of the one typeface of page 1.
fn widths(document: &lopdf::Document) -> Vec<f32> {
    let fonts = document.get_page_fonts(document.get_pages()[&1]).unwrap();
    let font = fonts.values().next().unwrap();
    let descendants = font.get(b"DescendantFonts").unwrap().as_array().unwrap();
    let cid = document.dereference(&descendants[0]).unwrap().1;
    let widths = cid
        .as_dict()
        .unwrap()
        .get(b"W")
        .unwrap()
        .as_array()
        .unwrap();
    let widths = widths[1].as_array().unwrap();
    widths
        .iter()
        .map(|width| width.as_float().unwrap())
        .collect()
}

#[test]
fn black_words_overprint_and_bare_ones_knock_out() {
    for (paper, overprints, ink) in [(false, true, "0 0 0 1 k"), (true, false, "0 0 0 0 k")] {
        let (pdf, _) = write(vec![page_with(galley("word", Style::Prose), paper)]).unwrap();
        let document = read(&pdf);
        let page = pages(&document)[0];
        let content = content(&document, page);
        let lines: Vec<&str> = content.lines().collect();
        assert_eq!(lines[1], ink);
        let name = lines[0]
            .strip_suffix(" gs")
            .unwrap()
            .trim_start_matches('/');
        let states = dict(&document, dict(&document, page, "Resources"), "ExtGState");
        let state = dict(&document, states, name);
        for key in [&b"OP"[..], b"op"] {
            assert_eq!(state.get(key).unwrap().as_bool().unwrap(), overprints);
        }
        assert_eq!(state.get(b"OPM").unwrap().as_i64().unwrap(), 1);
    }
}

#[test]
fn letters_lie_within_a_hundredth_of_a_point_of_where_they_were_set() {
    let galley = galley(
        "Some justified words, with enough of them that every space is stretched a little.",
        Style::Prose,
    );
    let (pdf, _) = write(vec![page_with(galley.clone(), false)]).unwrap();
    let document = read(&pdf);
    let operations =
        lopdf::content::Content::decode(&document.get_page_content(document.get_pages()[&1]))
            .unwrap()
            .operations;
    let widths = widths(&document);
    // The pen as a reader moves it (ISO 32000-1, 9.4.4).
    let mut found: Vec<(f64, f64)> = Vec::new();
    let (mut x, mut y, mut size) = (0.0, 0.0, 0.0);
    for operation in operations {
        let number = |index: usize| f64::from(operation.operands[index].as_float().unwrap());
        match operation.operator.as_str() {
            "Tf" => size = number(1),
            "Tm" => (x, y) = (number(4), number(5)),
            "TJ" => {
                for item in operation.operands[0].as_array().unwrap() {
                    if let Ok(bytes) = item.as_str() {
                        for pair in bytes.chunks(2) {
                            found.push((x, y));
                            let glyph = usize::from(u16::from_be_bytes([pair[0], pair[1]]));
                            x += f64::from(widths[glyph]) / 1000.0 * size;
                        }
                    } else {
                        x -= f64::from(item.as_float().unwrap()) / 1000.0 * size;
                    }
                }
            }
            _ => {}
        }
    }
    let to_points = |mm: f64| mm / 25.4 * 72.0;
    let wanted: Vec<(f64, f64)> = galley
        .runs
        .iter()
        .flat_map(|run| &run.glyphs)
        .map(|glyph| {
            let across = to_points(3.0 + 10.0 + glyph.x.mm());
            let up = to_points(3.0 + 120.0 - 10.0 - glyph.y.mm());
            (across, up)
        })
        .collect();
    assert_eq!(found.len(), wanted.len());
    for (found, wanted) in found.iter().zip(&wanted) {
        let off = (found.0 - wanted.0).abs().max((found.1 - wanted.1).abs());
        assert!(off < 0.01, "{found:?} should be {wanted:?}");
    }
}

#[test]
fn a_broken_typeface_and_a_missing_sign_are_errors_that_name_it() {
    let mut broken = galley("word", Style::Prose);
    broken.fonts[0].data = vec![1, 2, 3].into();
    let error = write(vec![page_with(broken, false)]).unwrap_err();
    assert!(
        error
            .to_string()
            .starts_with("the typeface `LibertinusSerif-Regular` could not be embedded"),
        "{error}"
    );
    let mut missing = galley("word", Style::Prose);
    missing.runs[0].glyphs[0].id = 0;
    let error = write(vec![page_with(missing, false)]).unwrap_err();
    assert_eq!(
        error.to_string(),
        "the typeface `LibertinusSerif-Regular` could not be embedded: it has no sign for `w`"
    );
    let mut beyond = galley("word", Style::Prose);
    beyond.runs[0].glyphs[0].id = u16::MAX;
    assert!(matches!(
        write(vec![page_with(beyond, false)]),
        Err(PressError::Font { .. })
    ));
}
