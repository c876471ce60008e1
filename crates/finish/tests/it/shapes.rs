//! Shapes taken away from each other, and lines made wider.

use finish::{
    Bounds, Command, FaultKind, FillRule, MOST_THICKENING, Plate, Shape, judge, least_thickening,
    without_taking_away,
};
use measure::{Length, Size};
use proptest::prelude::*;

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

fn face() -> Size {
    Size::from_mm(40.0, 30.0)
}

fn bounds() -> Bounds {
    Bounds {
        line: mm(0.3),
        gap: mm(0.4),
        share: 0.5,
    }
}

fn rectangle(x: f64, y: f64, width: f64, height: f64, adds: bool) -> Shape {
    Shape {
        adds,
        ..Shape::rectangle(mm(x), mm(y), mm(width), mm(height))
    }
}

fn plate(shapes: &[Shape]) -> Plate {
    Plate::from_shapes(shapes, face(), mm(1.0))
}

/// A disc of four curves.
fn disc(x: f64, y: f64, r: f64, adds: bool) -> Shape {
    let k = r * 0.552_285;
    Shape {
        outline: vec![
            Command::Move(x + r, y),
            Command::Cubic(x + r, y + k, x + k, y + r, x, y + r),
            Command::Cubic(x - k, y + r, x - r, y + k, x - r, y),
            Command::Cubic(x - r, y - k, x - k, y - r, x, y - r),
            Command::Cubic(x + k, y - r, x + r, y - k, x + r, y),
            Command::Close,
        ],
        rule: FillRule::NonZero,
        adds,
    }
}

/// Pixels that differ, as a share of all.
fn apart(one: &Plate, other: &Plate) -> f64 {
    let differ = one.pixels().iter().zip(other.pixels());
    differ.filter(|(a, b)| a != b).count() as f64 / one.pixels().len() as f64
}

#[test]
fn what_is_taken_away_is_cut_out_of_what_was_there() {
    let ring = [disc(20.0, 15.0, 10.0, true), disc(20.0, 15.0, 6.0, false)];
    let cut = without_taking_away(&ring, face()).unwrap();
    assert!(cut.iter().all(|shape| shape.adds));
    let share = std::f64::consts::PI * (100.0 - 36.0) / (40.0 * 30.0);
    let found = plate(&cut).share();
    assert!((found - share).abs() < 0.002, "{found} {share}");
    assert!(apart(&plate(&ring), &plate(&cut)) < 1e-4);
}

#[test]
fn order_counts_and_what_is_not_touched_keeps_its_curves() {
    let shapes = [
        rectangle(0.0, 0.0, 4.0, 4.0, false),
        disc(30.0, 15.0, 5.0, true),
        rectangle(2.0, 2.0, 16.0, 20.0, true),
        rectangle(6.0, 6.0, 4.0, 4.0, false),
        rectangle(7.0, 7.0, 2.0, 2.0, true),
    ];
    let cut = without_taking_away(&shapes, face()).unwrap();
    assert_eq!(cut.len(), 3);
    assert_eq!(cut[0], shapes[1], "a disc far from it all is as it was");
    assert_eq!(cut[2], shapes[4], "what is added later is as it was");
    assert!(apart(&plate(&shapes), &plate(&cut)) < 1e-4);
    assert!(without_taking_away(&shapes[..1], face()).is_none());
}

#[test]
fn a_shape_that_is_taken_away_whole_leaves_nothing() {
    let shapes = [
        rectangle(5.0, 5.0, 4.0, 4.0, true),
        rectangle(0.0, 0.0, 20.0, 20.0, false),
    ];
    assert_eq!(without_taking_away(&shapes, face()), Some(Vec::new()));
}

#[test]
fn figures_without_bounds_are_painted_and_nothing_within_changes() {
    // A half plane whose corners lie beyond all reason.
    let far = Shape {
        outline: vec![
            Command::Move(10.0, -1e38),
            Command::Line(1e38, 1e38),
            Command::Line(-1e38, 3.0),
        ],
        rule: FillRule::NonZero,
        adds: true,
    };
    assert!(plate(&[far]).share() > 0.0);
    let half = Shape {
        outline: vec![
            Command::Move(20.0, -1e7),
            Command::Line(1e7, -1e7),
            Command::Line(1e7, 1e7),
            Command::Line(20.0, 1e7),
            Command::Close,
        ],
        rule: FillRule::NonZero,
        adds: true,
    };
    assert!((plate(&[half]).share() - 0.5).abs() < 0.001);
    // A long thin band on a face of many pixels, from corner to corner.
    let long = Size::from_mm(1000.0, 10.0);
    let band = Shape {
        outline: vec![
            Command::Move(0.0, 0.0),
            Command::Line(1000.0, 9.0),
            Command::Line(1000.0, 10.0),
            Command::Line(0.0, 1.0),
            Command::Close,
        ],
        rule: FillRule::NonZero,
        adds: true,
    };
    let share = Plate::from_shapes(&[band], long, mm(0.3)).share();
    assert!((share - 0.1).abs() < 0.001, "{share}");
}

#[test]
fn lines_are_made_as_wide_as_the_process_needs_and_no_wider() {
    let hair = rectangle(5.0, 5.0, 20.0, 0.18, true);
    let thick = rectangle(5.0, 10.0, 20.0, 2.0, true);
    let shapes = [hair, thick];
    let at = |by: Length| -> Vec<Shape> {
        shapes
            .iter()
            .flat_map(|shape| shape.thickened(by))
            .collect()
    };
    let made = |by: Length| {
        let plate = Plate::from_shapes(&at(by), face(), mm(0.3));
        Ok::<Plate, ()>(plate)
    };
    let found = least_thickening(Length::ZERO, &bounds(), made).unwrap();
    assert!(found.holds);
    assert!(
        (0.11..=0.14).contains(&found.by.mm()),
        "0.18 mm lack 0.12 mm of 0.3 mm: {}",
        found.by
    );
    assert!(found.judged.faults.is_empty());
    // What held already is left alone.
    let held = least_thickening(Length::ZERO, &bounds(), |by| {
        Ok::<Plate, ()>(Plate::from_shapes(
            &shapes[1].thickened(by),
            face(),
            mm(0.3),
        ))
    });
    assert_eq!(held.unwrap().by, Length::ZERO);
}

#[test]
fn a_thickening_closes_gaps_and_says_so() {
    let shapes = [
        rectangle(5.0, 5.0, 20.0, 0.1, true),
        rectangle(5.0, 5.55, 20.0, 2.0, true),
    ];
    let found = least_thickening(Length::ZERO, &bounds(), |by| {
        let shapes: Vec<Shape> = shapes
            .iter()
            .flat_map(|shape| shape.thickened(by))
            .collect();
        Ok::<Plate, ()>(Plate::from_shapes(&shapes, face(), mm(0.3)))
    })
    .unwrap();
    assert!(found.holds);
    assert!(
        found
            .judged
            .faults
            .iter()
            .any(|fault| fault.kind == FaultKind::Gap)
    );
    // Here 0.45 mm are left of 0.2 mm more, and there nothing is.
    assert!(found.closes.is_empty(), "{:?}", found.closes);
    let tight = [
        rectangle(5.0, 5.0, 20.0, 0.1, true),
        rectangle(5.0, 5.22, 20.0, 2.0, true),
    ];
    let found = least_thickening(Length::ZERO, &bounds(), |by| {
        let shapes: Vec<Shape> = tight.iter().flat_map(|shape| shape.thickened(by)).collect();
        Ok::<Plate, ()>(Plate::from_shapes(&shapes, face(), mm(0.3)))
    })
    .unwrap();
    assert!(found.holds);
    let [gap] = &found.closes[..] else {
        panic!("{:?}", found.closes);
    };
    assert!((gap.width.mm() - 0.12).abs() < 0.03, "{gap:?}");
    assert!((gap.place.y.mm() - 5.1).abs() < 0.05, "{gap:?}");
}

#[test]
fn what_no_thickening_mends_is_said_not_to_hold() {
    let wanted = Bounds {
        line: mm(2.0),
        gap: mm(0.1),
        share: 1.0,
    };
    let found = least_thickening(Length::ZERO, &wanted, |by| {
        let shapes = rectangle(5.0, 5.0, 20.0, 0.1, true).thickened(by);
        Ok::<Plate, ()>(Plate::from_shapes(&shapes, face(), mm(2.0)))
    })
    .unwrap();
    assert!(!found.holds);
    assert_eq!(found.by, MOST_THICKENING);
}

#[test]
fn shapes_and_pixels_grow_alike() {
    let shapes = [
        disc(12.0, 12.0, 6.0, true),
        rectangle(24.0, 6.0, 0.2, 12.0, true),
    ];
    for by in [0.1, 0.3, 0.5] {
        let wider: Vec<Shape> = shapes
            .iter()
            .flat_map(|shape| shape.thickened(mm(by)))
            .collect();
        let drawn = Plate::from_shapes(&wider, face(), mm(0.3));
        let grown = Plate::from_shapes(&shapes, face(), mm(0.3)).thickened(mm(by));
        assert!(
            apart(&drawn, &grown) < 0.002,
            "{by}: {}",
            apart(&drawn, &grown)
        );
        assert!(judge(&drawn, &bounds()).faults.is_empty() == (by >= 0.1));
    }
}

#[test]
fn a_contour_that_was_left_open_grows_on_every_side() {
    let open = Shape {
        outline: vec![
            Command::Move(10.0, 10.0),
            Command::Line(20.0, 10.0),
            Command::Line(20.0, 20.0),
            Command::Line(10.0, 20.0),
            Command::Move(30.0, 10.0),
            Command::Line(31.0, 10.0),
            Command::Line(31.0, 11.0),
        ],
        rule: FillRule::NonZero,
        adds: true,
    };
    let share = Plate::from_shapes(&open.thickened(mm(1.0)), face(), mm(0.3)).share();
    let square = 11.0 * 11.0 - (1.0 - std::f64::consts::FRAC_PI_4);
    // The small triangle grows by its three sides and three corners.
    let triangle = 0.5 + (2.0 + 2.0_f64.sqrt()) * 0.5 + std::f64::consts::FRAC_PI_4;
    let wanted = (square + triangle) / (40.0 * 30.0);
    assert!((share - wanted).abs() < 0.001, "{share} {wanted}");
}

fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        8 => -10.0..50.0_f64,
        1 => any::<f64>(),
        1 => prop_oneof![Just(1e38), Just(-1e38), Just(f64::NAN), Just(f64::INFINITY)],
    ]
}

fn any_command() -> impl Strategy<Value = Command> {
    let point = (any_number().boxed(), any_number().boxed());
    prop_oneof![
        2 => point.clone().prop_map(|(x, y)| Command::Move(x, y)),
        4 => point.clone().prop_map(|(x, y)| Command::Line(x, y)),
        2 => (point.clone(), point.clone(), point)
            .prop_map(|((a, b), (c, d), (x, y))| Command::Cubic(a, b, c, d, x, y)),
        1 => Just(Command::Close),
    ]
}

fn any_shape() -> impl Strategy<Value = Shape> {
    (
        prop::collection::vec(any_command(), 0..12),
        any::<bool>(),
        any::<bool>(),
    )
        .prop_map(|(outline, odd, adds)| Shape {
            outline,
            rule: if odd {
                FillRule::EvenOdd
            } else {
                FillRule::NonZero
            },
            adds,
        })
}

/// Crossing polygons within the face.
fn tame_shape() -> impl Strategy<Value = Shape> {
    let corner = (0.0..40.0_f64, 0.0..30.0_f64);
    (
        prop::collection::vec(corner, 3..8),
        any::<bool>(),
        any::<bool>(),
    )
        .prop_map(|(corners, odd, adds)| {
            let steps = corners.iter().enumerate().map(|(index, &(x, y))| {
                if index == 0 {
                    Command::Move(x, y)
                } else {
                    Command::Line(x, y)
                }
            });
            Shape {
                outline: steps.chain([Command::Close]).collect(),
                rule: if odd {
                    FillRule::EvenOdd
                } else {
                    FillRule::NonZero
                },
                adds,
            }
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn any_shapes_are_painted_cut_and_thickened(shapes in prop::collection::vec(any_shape(), 0..8), by in 0.0..0.6_f64) {
        plate(&shapes);
        let cut = without_taking_away(&shapes, face()).unwrap_or_default();
        prop_assert!(cut.iter().all(|shape| shape.adds));
        let wider: Vec<Shape> = cut.iter().flat_map(|shape| shape.thickened(mm(by))).collect();
        plate(&wider);
    }

    #[test]
    fn cutting_changes_no_plate(shapes in prop::collection::vec(tame_shape(), 1..8)) {
        if let Some(cut) = without_taking_away(&shapes, face()) {
            // Only pixels on an edge may fall to the other side of half.
            let apart = apart(&plate(&shapes), &plate(&cut));
            prop_assert!(apart < 1e-3, "{}", apart);
        }
    }
}
