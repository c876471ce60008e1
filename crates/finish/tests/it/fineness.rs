use finish::{Bounds, Command, FaultKind, FillRule, Plate, Process, Shape, judge};
use measure::{Length, Size};
use proptest::prelude::*;

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

fn bounds() -> Bounds {
    Bounds {
        line: mm(0.3),
        gap: mm(0.4),
        share: 0.5,
    }
}

fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Shape {
    Shape::rectangle(mm(x), mm(y), mm(width), mm(height))
}

/// A bar of a length and width, turned about its middle.
fn turned(x: f64, y: f64, length: f64, width: f64, degrees: f64) -> Shape {
    let (sine, cosine) = degrees.to_radians().sin_cos();
    let corner = |along: f64, across: f64| {
        (
            x + along * cosine - across * sine,
            y + along * sine + across * cosine,
        )
    };
    let (l, w) = (length / 2.0, width / 2.0);
    let [a, b, c, d] = [(-l, -w), (l, -w), (l, w), (-l, w)].map(|(l, w)| corner(l, w));
    Shape {
        outline: vec![
            Command::Move(a.0, a.1),
            Command::Line(b.0, b.1),
            Command::Line(c.0, c.1),
            Command::Line(d.0, d.1),
            Command::Close,
        ],
        rule: FillRule::NonZero,
        adds: true,
    }
}

fn plate(shapes: &[Shape]) -> Plate {
    Plate::from_shapes(shapes, Size::from_mm(40.0, 30.0), mm(0.3))
}

fn small_plate(shapes: &[Shape]) -> Plate {
    Plate::from_shapes(shapes, Size::from_mm(16.0, 16.0), mm(0.3))
}

#[test]
fn a_hairline_fails_and_a_line_of_the_least_width_does_not() {
    for (width, fails) in [
        (0.1, true),
        (0.2, true),
        (0.25, true),
        (0.3, false),
        (0.5, false),
    ] {
        let judged = judge(&plate(&[rectangle(5.0, 5.0, 20.0, width)]), &bounds());
        assert_eq!(judged.count > 0, fails, "{width}: {judged:?}");
        for fault in &judged.faults {
            assert_eq!(fault.kind, FaultKind::Line);
            assert!(
                (fault.width.mm() - width).abs() < 0.06,
                "{width}: {fault:?}"
            );
            assert!((fault.place.x.mm() - 5.0).abs() < 0.05);
            assert!((fault.place.width.mm() - 20.0).abs() < 0.1);
        }
    }
}

#[test]
fn a_fine_gap_fails_and_the_open_sides_of_shapes_do_not() {
    let pair = |gap: f64| {
        plate(&[
            rectangle(5.0, 5.0, 10.0, 10.0),
            rectangle(15.0 + gap, 5.0, 10.0, 10.0),
        ])
    };
    let judged = judge(&pair(0.2), &bounds());
    assert_eq!(judged.count, 1, "{judged:?}");
    assert_eq!(judged.faults[0].kind, FaultKind::Gap);
    assert!((judged.faults[0].width.mm() - 0.2).abs() < 0.06);
    assert_eq!(judge(&pair(0.5), &bounds()).count, 0);
}

#[test]
fn a_pixel_decides_on_a_coarse_plate_too() {
    // A large face has fewer pixels for each millimetre: here 0.0425 mm, so that the bound is eight.
    let bounds = Bounds {
        line: mm(0.35),
        gap: mm(0.35),
        share: 1.0,
    };
    let coarse = |shapes: &[Shape]| Plate::from_shapes(shapes, Size::from_mm(40.0, 30.0), mm(0.85));
    for (width, fails) in [(0.25, true), (0.29, true), (0.36, false), (0.40, false)] {
        for shift in [0.0, 0.011, 0.023, 0.034] {
            let at = 15.0 + shift;
            let line = judge(&coarse(&[rectangle(5.0, at, 20.0, width)]), &bounds);
            assert_eq!(line.count > 0, fails, "line {width} at {at}");
            let pair = [
                rectangle(5.0, 5.0, 20.0, at - 5.0),
                rectangle(5.0, at + width, 20.0, 10.0),
            ];
            let gap = judge(&coarse(&pair), &bounds);
            assert_eq!(gap.count > 0, fails, "gap {width} at {at}");
        }
    }
}

#[test]
fn corners_of_thick_shapes_pass_down_to_sixty_degrees() {
    let wedge = |degrees: f64| {
        let half = (degrees / 2.0).to_radians();
        let (tip, length) = ((5.0, 15.0), 20.0);
        plate(&[Shape {
            outline: vec![
                Command::Move(tip.0, tip.1),
                Command::Line(tip.0 + length, tip.1 - length * half.tan()),
                Command::Line(tip.0 + length, tip.1 + length * half.tan()),
                Command::Close,
            ],
            rule: FillRule::NonZero,
            adds: true,
        }])
    };
    for degrees in [70.0, 65.0, 62.0] {
        assert_eq!(judge(&wedge(degrees), &bounds()).count, 0, "{degrees}");
    }
    // A needle runs out into nothing and is seen.
    assert!(judge(&wedge(15.0), &bounds()).count > 0);
}

#[test]
fn a_light_shape_takes_away_and_its_sliver_is_seen() {
    let mut hole = rectangle(5.15, 5.0, 9.85, 10.0);
    hole.adds = false;
    let judged = judge(&plate(&[rectangle(5.0, 5.0, 10.0, 10.0), hole]), &bounds());
    assert_eq!(judged.count, 1, "{judged:?}");
    assert_eq!(judged.faults[0].kind, FaultKind::Line);
}

#[test]
fn findings_name_the_finishing_the_width_and_the_bound() {
    let fine = judge(&plate(&[rectangle(5.0, 5.0, 20.0, 0.1)]), &bounds());
    let findings = fine.findings("title", Process::Foil, &bounds());
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].code, "finish-line-too-fine");
    assert!(findings[0].message.contains("`title`"), "{:?}", findings[0]);
    assert_eq!(findings[0].required.as_deref(), Some("at least 0.3 mm"));
    let large = judge(&plate(&[rectangle(0.0, 0.0, 40.0, 25.0)]), &bounds());
    let findings = large.findings("sea", Process::SpotVarnish, &bounds());
    assert_eq!(findings[0].code, "finish-share-large");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn width_decides_whatever_the_angle(degrees in 0.0_f64..180.0, width in 0.12_f64..0.6) {
        let judged = judge(&small_plate(&[turned(8.0, 8.0, 12.0, width, degrees)]), &bounds());
        // Within a pixel and a half of the bound the lattice may decide either way.
        if width < 0.277 {
            prop_assert!(judged.count > 0, "{width} at {degrees}: {judged:?}");
        } else if width > 0.323 {
            prop_assert_eq!(judged.count, 0, "{} at {}: {:?}", width, degrees, judged);
        }
    }

    #[test]
    fn any_shapes_are_judged_without_a_slip(
        rects in proptest::collection::vec((-50.0_f64..90.0, -50.0_f64..90.0, 0.0_f64..60.0, 0.0_f64..60.0), 0..12),
        line in 0.0_f64..30.0,
    ) {
        let shapes: Vec<Shape> = rects.iter().map(|&(x, y, w, h)| rectangle(x, y, w, h)).collect();
        let face = Size::from_mm(20.0, 10.0);
        let plate = Plate::from_shapes(&shapes, face, mm(line));
        let judged = judge(&plate, &Bounds { line: mm(line), gap: mm(line), share: 0.5 });
        prop_assert!((0.0..=1.0).contains(&judged.share));
        prop_assert!(judged.faults.len() <= judged.count);
    }
}
