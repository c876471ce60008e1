//! Estimates as people read them, in the browser and on the command line alike.

use measure::Length;

/// A whole number with its thousands set apart: `−12,300`.
pub fn whole(number: f64) -> String {
    let digits = format!("{:.0}", number.abs());
    let mut out = String::new();
    if number < 0.0 && digits != "0" {
        out.push('−');
    }
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place) % 3 == 0 {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

/// A length in millimetres to the hundredth, a half away from zero, without its unit: `11.41`.
pub fn hundredth(length: Length) -> String {
    format!("{:.2}", length.rounded(Length::from_um(10.0)).mm())
}

/// A chance or share in words; never certain where it is not.
pub fn percent(share: f64) -> String {
    match share * 100.0 {
        few if few < 1.0 => "under 1 %".to_owned(),
        most if most > 99.0 => "over 99 %".to_owned(),
        some => format!("{some:.0} %"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thousands_are_set_apart() {
        assert_eq!(whole(0.4), "0");
        assert_eq!(whole(-0.4), "0");
        assert_eq!(whole(999.6), "1,000");
        assert_eq!(whole(-1_234_567.0), "−1,234,567");
    }

    #[test]
    fn halves_of_a_hundredth_go_away_from_zero() {
        assert_eq!(hundredth(Length::from_nm(710_385_000)), "710.39");
        assert_eq!(hundredth(Length::from_nm(250_000_000)), "250.00");
    }

    #[test]
    fn chances_are_never_rounded_to_certainty() {
        assert_eq!(percent(0.004), "under 1 %");
        assert_eq!(percent(0.998), "over 99 %");
        assert_eq!(percent(1.0), "over 99 %");
        assert_eq!(percent(0.255), "26 %");
    }
}
