use finish::{Command, Drawing, FinishError, Fit, Fitted, Plate, Typefaces};
use measure::{Length, Size};
use proptest::prelude::*;

fn read(body: &str) -> Result<Drawing, FinishError> {
    let text = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="200mm" height="100mm" viewBox="0 0 200 100">{body}</svg>"#
    );
    Drawing::read(&text, &Typefaces::default())
}

fn share(body: &str) -> f64 {
    let face = Size::from_mm(200.0, 100.0);
    let shapes = read(body).unwrap().shapes(face, Fit::Exact).unwrap().0;
    Plate::from_shapes(&shapes, face, Length::from_mm(1.2)).share()
}

fn refused(body: &str) -> String {
    read(body).unwrap_err().to_string()
}

#[test]
fn shapes_strokes_and_holes_cover_what_they_should() {
    let near = |share: f64, wanted: f64| (share - wanted).abs() < 0.002;
    assert!(near(share(r#"<rect width="100" height="100"/>"#), 0.5));
    let ring = r#"<circle cx="50" cy="50" r="40"/><circle cx="50" cy="50" r="20" fill="white"/>"#;
    assert!(near(share(ring), std::f64::consts::PI * 1200.0 / 20_000.0));
    let line = r#"<path d="M0 50H200" stroke="black" stroke-width="10" fill="none"/>"#;
    assert!(near(share(line), 0.1));
    let turned = r#"<g transform="translate(100 0)"><rect width="100" height="50"/></g>"#;
    assert!(near(share(turned), 0.25));
    // What begins beyond the edge covers what it should within.
    let beyond = r#"<path d="M-900 -900L100 -900L100 900L-900 900Z"/>"#;
    assert!(near(share(beyond), 0.5));
    let copy = r##"<defs><rect id="r" width="20" height="20"/></defs><use href="#r" transform="translate(150 50) rotate(180)"/>"##;
    assert!(near(share(copy), 0.02));
    let odd = r#"<path fill-rule="evenodd" d="M0 0H100V100H0Z M25 25H75V75H25Z"/>"#;
    assert!(near(share(odd), 0.375));
}

#[test]
fn a_drawing_fills_its_face_and_is_not_stretched() {
    let drawing = read(r#"<rect width="100" height="100"/>"#).unwrap();
    assert!(
        drawing
            .shapes(Size::from_mm(100.0, 50.0), Fit::Exact)
            .is_ok()
    );
    assert!(matches!(
        drawing.shapes(Size::from_mm(100.0, 52.0), Fit::Exact),
        Err(FinishError::Proportions { .. })
    ));
    let refused = drawing.shapes(Size::from_mm(100.0, 100.0), Fit::Exact);
    assert_eq!(
        refused.unwrap_err().to_string(),
        "the mask is 200.0 × 100.0 mm, which has other proportions than the 100 × 100 mm that it is \
         meant for; so wide, it would have to be 200.0 × 200.0 mm"
    );
}

#[test]
fn a_drawing_of_another_shape_is_centred_or_stretched_where_that_is_wished() {
    let face = Size::from_mm(100.0, 100.0);
    // It runs over the drawing's own edge, where it ends all the same.
    let drawing = read(r#"<rect x="-50" y="-90" width="150" height="500"/>"#).unwrap();
    let share =
        |shapes: &[finish::Shape]| Plate::from_shapes(shapes, face, Length::from_mm(0.6)).share();
    let (shapes, fitted) = drawing.shapes(face, Fit::Centre).unwrap();
    let Some(Fitted::Centred { beside, above }) = fitted else {
        panic!("{fitted:?}");
    };
    assert_eq!((beside.mm(), above.mm()), (0.0, 25.0));
    assert!((share(&shapes) - 0.25).abs() < 1e-3, "{}", share(&shapes));
    let (shapes, fitted) = drawing.shapes(face, Fit::Stretch).unwrap();
    assert_eq!(fitted, Some(Fitted::Stretched(0.5)));
    assert!((share(&shapes) - 0.5).abs() < 1e-3, "{}", share(&shapes));
    // What fits is not touched.
    let (_, fitted) = drawing
        .shapes(Size::from_mm(50.0, 25.0), Fit::Centre)
        .unwrap();
    assert_eq!(fitted, None);
}

#[test]
fn what_a_plate_cannot_have_is_refused_in_words() {
    for (body, word) in [
        (
            r#"<rect width="9" height="9" opacity="0.5"/>"#,
            "transparent",
        ),
        (
            r#"<rect width="9" height="9" fill-opacity="0.5"/>"#,
            "transparent",
        ),
        (
            r##"<defs><linearGradient id="g"><stop stop-color="#000"/><stop offset="1" stop-color="#fff"/></linearGradient></defs><rect width="9" height="9" fill="url(#g)"/>"##,
            "fades",
        ),
        (
            r##"<defs><clipPath id="c"><rect width="5" height="5"/></clipPath></defs><rect width="9" height="9" clip-path="url(#c)"/>"##,
            "clipped",
        ),
        (
            r#"<image width="9" height="9" href="data:image/png;base64,AAAA"/>"#,
            "picture",
        ),
        (r#"<rect width="9" height="9" fill="white"/>"#, "empty"),
        ("", "empty"),
    ] {
        assert!(refused(body).contains(word), "{body}: {}", refused(body));
    }
}

#[test]
fn nothing_is_fetched_from_elsewhere() {
    for body in [
        r#"<rect width="9" height="9" fill="url(http://elsewhere.example/paint.svg#p)"/>"#,
        r#"<rect width="9" height="9" style="fill: url( 'https://elsewhere.example/p')"/>"#,
        r#"<use xlink:href="http://elsewhere.example/a.svg#b"/>"#,
        r#"<use href="file:///etc/hostname"/>"#,
    ] {
        assert!(
            refused(body).contains("outside of the drawing"),
            "{}",
            refused(body)
        );
    }
    let style =
        r#"<style>@import "http://elsewhere.example/a.css";</style><rect width="9" height="9"/>"#;
    assert!(refused(style).contains("elsewhere"));
}

#[test]
fn copies_of_copies_do_not_unfold_without_end() {
    // Ten copies of ten copies of …, nine times: a billion rectangles.
    let mut body = r#"<g id="a0"><rect width="1" height="1"/></g>"#.to_owned();
    for level in 1..10 {
        let copies = format!(r##"<use href="#a{}"/>"##, level - 1).repeat(10);
        body.push_str(&format!(r#"<g id="a{level}">{copies}</g>"#));
    }
    let began = std::time::Instant::now();
    assert!(matches!(read(&body), Err(FinishError::TooMuch { .. })));
    let circle = r##"<g id="a"><rect width="9" height="9"/><use href="#a"/></g>"##;
    assert!(refused(circle).contains("holds itself"));
    let entities = format!(
        "<!DOCTYPE svg [<!ENTITY a \"0123456789\">{}]><svg xmlns=\"http://www.w3.org/2000/svg\" width=\"9\" height=\"9\"><text>&z9;</text></svg>",
        (0..10)
            .map(|level| {
                let inner = if level == 0 {
                    "&a;".to_owned()
                } else {
                    format!("&z{};", level - 1)
                };
                format!("<!ENTITY z{level} \"{}\">", inner.repeat(10))
            })
            .collect::<String>()
    );
    assert!(Drawing::read(&entities, &Typefaces::default()).is_err());
    let deep = format!("{}{}", "<g>".repeat(100_000), "</g>".repeat(100_000));
    assert!(refused(&deep).contains("deep"));
    assert!(began.elapsed().as_secs() < 5);
}

#[test]
fn figures_beyond_all_bounds_hang_nothing() {
    for body in [
        r#"<path d="M0 0L1e38 1e38L-1e38 3Z"/>"#,
        r#"<path d="M0 0L1e39 1e39L-1e39 3Z"/>"#,
        r#"<path d="M0 0C1e38 1e38 -1e38 9 5 5Z" stroke="black" stroke-width="3"/>"#,
        r#"<path d="M0 0L1e39 9L5 5Z" stroke="black" stroke-width="1e38"/>"#,
        r#"<path d="M0 0C1e30 0 0 1e30 50 50" stroke="black" fill="none" stroke-dasharray="1e20 1"/>"#,
        r#"<g transform="scale(1e30)"><rect width="1e30" height="1e30" stroke="black"/></g>"#,
        r#"<g transform="matrix(1e38 1e38 1e38 1e38 0 0)"><circle r="50" stroke="black"/></g>"#,
    ] {
        let face = Size::from_mm(200.0, 100.0);
        let Ok((shapes, _)) = read(body).and_then(|drawing| drawing.shapes(face, Fit::Exact))
        else {
            continue;
        };
        Plate::from_shapes(&shapes, face, Length::from_mm(1.2));
        for command in shapes.iter().flat_map(|shape| &shape.outline) {
            if let Command::Move(x, y) | Command::Line(x, y) = *command {
                assert!(x.abs() <= 2000.0 && y.abs() <= 2000.0, "{body}: {x} {y}");
            }
        }
    }
}

#[test]
fn words_need_their_typeface() {
    let named = r#"<text x="10" y="50" font-family="Nobody Has This" font-size="20">Low</text>"#;
    assert!(refused(named).contains("`Nobody Has This`"));
    let unnamed = r#"<text x="10" y="50" font-size="20">Low</text>"#;
    assert!(
        refused(unnamed).contains("typeface"),
        "{}",
        refused(unnamed)
    );
}

#[test]
fn text_that_is_no_drawing_is_refused() {
    for text in ["", "<", "<html/>", "<svg", "\u{0}", "{}"] {
        let error = Drawing::read(text, &Typefaces::default()).unwrap_err();
        assert!(matches!(error, FinishError::NoSvg(_)), "{text}: {error}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn any_text_is_read_or_refused(
        body in proptest::collection::vec(
            prop_oneof![
                Just("<g>"), Just("</g>"), Just("<rect width='9' height='9'/>"), Just("<use href='#a'/>"),
                Just("<g id='a'>"), Just("<path d='M0 0L9"), Just("99e99 -1e30z'/>"), Just("<text>a"),
                Just("</text>"), Just("<circle r='1e20'/>"), Just(" stroke='black' "), Just("<!--"), Just("]]>"),
                Just("<path d='M-1e9 0H1e9V3H-1e9Z'/>"), Just("<rect width='1e30' height='1' transform='scale(1e-30 1e9)'/>"),
            ],
            0..14,
        )
    ) {
        if let Ok(drawing) = read(&body.concat()) {
            let face = Size::from_mm(20.0, 10.0);
            if let Ok((shapes, _)) = drawing.shapes(face, Fit::Centre) {
                let plate = Plate::from_shapes(&shapes, face, Length::from_mm(0.5));
                prop_assert!((0.0..=1.0).contains(&plate.share()));
            }
        }
    }
}
