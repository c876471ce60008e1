//! The moment that a file was made, as it is written in three places.

use pdf_writer::Date;

use super::PressError;

/// A moment such as `2026-11-25T14:00:00Z`, read once, so that Info and XMP agree.
#[derive(Debug, Clone)]
pub(super) struct Moment {
    /// As it came, which is what XMP wants.
    pub(super) xmp: String,
    /// As Info wants it.
    pub(super) pdf: Date,
}

impl Moment {
    /// Reads a moment of RFC 3339 with whole seconds.
    pub(super) fn read(text: &str) -> Result<Self, PressError> {
        parse(text)
            .map(|pdf| Self {
                xmp: text.to_owned(),
                pdf,
            })
            .ok_or_else(|| PressError::Moment(text.to_owned()))
    }
}

fn parse(text: &str) -> Option<Date> {
    let (moment, zone) = text.split_at_checked(19)?;
    let fields = numbers(moment, "####-##-##T##:##:##")?;
    let [year, month, day, hour, minute, second] = fields[..] else {
        return None;
    };
    let fits = (1..=12).contains(&month)
        && (1..=31).contains(&day)
        && hour < 24
        && minute < 60
        && second < 60;
    if !fits {
        return None;
    }
    let (zone_hour, zone_minute) = if zone == "Z" {
        (0, 0)
    } else {
        let sign = match zone.chars().next()? {
            '+' => 1,
            '-' => -1,
            _ => return None,
        };
        let fields = numbers(&zone[1..], "##:##")?;
        let [hour, minute] = fields[..] else {
            return None;
        };
        // A zone west of Greenwich by less than an hour has no sign to stand on in a PDF.
        if hour > 23 || minute > 59 || (sign < 0 && hour == 0 && minute > 0) {
            return None;
        }
        (sign * i8::try_from(hour).ok()?, u8::try_from(minute).ok()?)
    };
    let small = |value: u16| u8::try_from(value).ok();
    Some(
        Date::new(year)
            .month(small(month)?)
            .day(small(day)?)
            .hour(small(hour)?)
            .minute(small(minute)?)
            .second(small(second)?)
            .utc_offset_hour(zone_hour)
            .utc_offset_minute(zone_minute),
    )
}

/// The numbers in a text of exactly this shape, where `#` stands for a digit.
fn numbers(text: &str, shape: &str) -> Option<Vec<u16>> {
    if text.len() != shape.len() {
        return None;
    }
    let alike = text.bytes().zip(shape.bytes()).all(|(found, wanted)| {
        if wanted == b'#' {
            found.is_ascii_digit()
        } else {
            found == wanted
        }
    });
    if !alike {
        return None;
    }
    text.split(|c: char| !c.is_ascii_digit())
        .map(|digits| digits.parse().ok())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_moment_needs_date_time_and_zone() {
        for good in [
            "2026-11-25T14:00:00Z",
            "2026-11-25T14:00:00+05:30",
            "2026-11-25T14:00:00-03:00",
        ] {
            assert_eq!(Moment::read(good).unwrap().xmp, good);
        }
        for bad in [
            "",
            "2026-11-25",
            "2026-11-25T14:00:00",
            "2026-13-25T14:00:00Z",
            "2026-11-25T24:00:00Z",
            "2026-11-25T14:00:00.5Z",
            "2026-11-25T14:00:00é",
            "2026-11-25T14:00:00+99:00",
        ] {
            assert!(Moment::read(bad).is_err(), "{bad}");
        }
    }
}
