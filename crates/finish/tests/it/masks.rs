use finish::{FinishError, Fit, Fitted, Plate};
use measure::{PixelSize, Size};

fn size(width: u32, height: u32) -> PixelSize {
    PixelSize { width, height }
}

#[test]
fn dark_is_plate_and_light_is_none() {
    let mut mask = vec![255_u8; 200 * 100];
    mask[..200 * 25].fill(0);
    let (plate, remarks) =
        Plate::from_picture(&mask, size(200, 100), Size::from_mm(20.0, 10.0), Fit::Exact).unwrap();
    assert_eq!(plate.share(), 0.25);
    assert_eq!(remarks.soft, 0.0);
}

#[test]
fn soft_greys_are_told_and_softened_edges_are_not() {
    let face = Size::from_mm(20.0, 10.0);
    let mut fade = vec![255_u8; 200 * 100];
    for (x, value) in fade[..200 * 50].iter_mut().enumerate() {
        *value = (x % 200) as u8;
    }
    let (_, remarks) = Plate::from_picture(&fade, size(200, 100), face, Fit::Exact).unwrap();
    assert!(remarks.soft > 0.4, "{remarks:?}");
    let mut edge = vec![255_u8; 200 * 100];
    for row in edge.chunks_exact_mut(200) {
        row[..100].fill(0);
        row[100] = 120;
    }
    let (_, remarks) = Plate::from_picture(&edge, size(200, 100), face, Fit::Exact).unwrap();
    assert_eq!(remarks.soft, 0.0);
}

#[test]
fn a_mask_of_another_shape_or_an_empty_one_is_refused() {
    let face = Size::from_mm(20.0, 10.0);
    let square =
        Plate::from_picture(&[0; 100 * 100], size(100, 100), face, Fit::Exact).unwrap_err();
    assert!(
        matches!(square, FinishError::Proportions { .. }),
        "{square}"
    );
    assert_eq!(
        square.to_string(),
        "the mask is 100 × 100 pixels, which has other proportions than the 20 × 10 mm that it is \
         meant for; so wide, it would have to be 100 × 50 pixels"
    );
    let empty =
        Plate::from_picture(&vec![200; 200 * 100], size(200, 100), face, Fit::Exact).unwrap_err();
    assert_eq!(empty, FinishError::Empty);
    let short = Plate::from_picture(&[0; 7], size(200, 100), face, Fit::Exact).unwrap_err();
    assert!(matches!(short, FinishError::Pixels { .. }));
    let none = Plate::from_picture(&[], size(0, 0), face, Fit::Exact).unwrap_err();
    assert!(matches!(none, FinishError::Pixels { .. }));
}

#[test]
fn a_mask_of_another_shape_is_centred_or_stretched_where_that_is_wished() {
    let face = Size::from_mm(20.0, 10.0);
    // Dark on its left half.
    let mask: Vec<u8> = (0..100 * 100)
        .map(|at| if at % 100 < 50 { 0 } else { 255 })
        .collect();
    let on = |fit| Plate::from_picture(&mask, size(100, 100), face, fit).unwrap();
    let (plate, remarks) = on(Fit::Centre);
    let Some(Fitted::Centred { beside, above }) = remarks.fitted else {
        panic!("{remarks:?}");
    };
    assert_eq!((beside.mm(), above.mm()), (5.0, 0.0));
    assert_eq!(plate.size(), size(200, 100));
    let row = &plate.pixels()[200 * 30..200 * 31];
    assert!((0..200).all(|x| (row[x] == 1) == (50..100).contains(&x)));
    let (plate, remarks) = on(Fit::Stretch);
    assert_eq!(remarks.fitted, Some(Fitted::Stretched(2.0)));
    assert_eq!(plate.size(), size(200, 100));
    let row = &plate.pixels()[200 * 30..200 * 31];
    assert!((0..200).all(|x| (row[x] == 1) == (x < 100)));
    // What fits is not touched.
    let (same, remarks) =
        Plate::from_picture(&mask, size(100, 100), Size::from_mm(9.0, 9.0), Fit::Centre).unwrap();
    assert_eq!((remarks.fitted, same.size()), (None, size(100, 100)));
}
