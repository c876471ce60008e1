//! Properties: conversions return, what is displayed reads back, and no text makes a panic.

use measure::{Bulk, Grammage, Length, Percent, Rect, Resolution, Size};
use proptest::prelude::*;

/// Lengths up to 10 m, either sign, in whole nanometres.
fn length() -> impl Strategy<Value = Length> {
    (-10_000_000_000_i64..10_000_000_000).prop_map(Length::from_nm)
}

fn positive() -> impl Strategy<Value = Length> {
    (1_000_i64..10_000_000_000).prop_map(Length::from_nm)
}

proptest! {
    #[test]
    fn a_length_returns_from_every_unit(length in length()) {
        prop_assert_eq!(Length::from_mm(length.mm()), length);
        prop_assert_eq!(Length::from_inches(length.inches()), length);
        prop_assert_eq!(Length::from_um(length.um()), length);
    }

    #[test]
    fn a_displayed_length_reads_back_to_the_micrometre(length in length()) {
        let read: Length = length.to_string().parse().unwrap();
        prop_assert!((read - length).abs() <= Length::from_nm(500));
    }

    #[test]
    fn whole_inches_are_whole_nanometres(inches in 0_i64..3000) {
        let read: Length = format!("{inches}in").parse().unwrap();
        prop_assert_eq!(read.nm(), inches * 25_400_000);
    }

    #[test]
    fn a_displayed_size_reads_back(width in 1_000_i64..2_000_000, height in 1_000_i64..2_000_000) {
        let size = Size {
            width: Length::from_um(width as f64),
            height: Length::from_um(height as f64),
        };
        prop_assert_eq!(size.to_string().parse::<Size>().unwrap(), size);
    }

    #[test]
    fn caliper_grows_with_weight_and_with_bulk(
        gsm in 30.0..400.0_f64, more in 1.0..100.0_f64, bulk in 0.5..2.0_f64,
    ) {
        let bulk_value = Bulk::from_cm3_per_g(bulk).unwrap();
        let light = Grammage::from_gsm(gsm).unwrap();
        let heavy = Grammage::from_gsm(gsm + more).unwrap();
        prop_assert!(bulk_value.caliper(light) < bulk_value.caliper(heavy));
        // ISO 534: bulk is thickness in µm over grammage.
        prop_assert!((bulk_value.caliper(light).um() / light.gsm() - bulk).abs() < 1e-4);
    }

    #[test]
    fn a_mass_grows_with_the_sheet(gsm in 30.0..400.0_f64, width in positive(), height in positive()) {
        let paper = Grammage::from_gsm(gsm).unwrap();
        let one = paper.mass_of(Size { width, height });
        let four = paper.mass_of(Size { width: width * 2, height: height * 2 });
        prop_assert!((four.grams() - 4.0 * one.grams()).abs() <= 1e-5);
    }

    #[test]
    fn what_two_rectangles_share_lies_in_both(
        a in (length(), length(), positive(), positive()),
        b in (length(), length(), positive(), positive()),
    ) {
        let first = Rect::new(a.0, a.1, a.2, a.3);
        let second = Rect::new(b.0, b.1, b.2, b.3);
        prop_assert_eq!(first.shared(second), second.shared(first));
        if let Some(shared) = first.shared(second) {
            prop_assert!(first.contains(shared) && second.contains(shared));
        }
    }

    #[test]
    fn no_text_makes_a_panic(text in "\\PC*") {
        let _ = text.parse::<Length>();
        let _ = text.parse::<Size>();
        let _ = text.parse::<Grammage>();
        let _ = text.parse::<Bulk>();
        let _ = text.parse::<Resolution>();
        let _ = text.parse::<Percent>();
    }

    #[test]
    fn no_text_near_a_measure_makes_a_panic(
        number in "[-+.0-9]{0,24}",
        unit in "( ?)(mm|cm|m|in|\"|pt|µm|g/m²|gsm|lb|# cover|ppi|%|vol|x|×|A4|µ)?",
        tail in "[-+.0-9a-z ]{0,6}",
    ) {
        let text = format!("{number}{unit}{tail}");
        for text in [text.clone(), format!("{text}x{text}"), format!("vol{text}")] {
            let _ = text.parse::<Length>();
            let _ = text.parse::<Size>();
            let _ = text.parse::<Grammage>();
            let _ = text.parse::<Bulk>();
            let _ = text.parse::<Resolution>();
            let _ = text.parse::<Percent>();
        }
    }
}

#[test]
fn a_number_without_its_unit_is_shown_how_to_be_written() {
    let errors = [
        "12".parse::<Length>().unwrap_err(),
        "150".parse::<Grammage>().unwrap_err(),
        "0.9".parse::<Bulk>().unwrap_err(),
        "300".parse::<Resolution>().unwrap_err(),
        "300".parse::<Percent>().unwrap_err(),
    ];
    for error in errors {
        assert!(error.to_string().starts_with("expected a"), "{error}");
    }
}
