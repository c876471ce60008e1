use std::fmt;
use std::str::FromStr;

use thiserror::Error;

/// The thirteen digits of a book's number, its check digit verified.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Isbn([u8; 13]);

/// Text that is no book number.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum IsbnError {
    /// Other characters than digits, spaces and hyphens.
    #[error("expected thirteen digits, but found `{0}` among them")]
    Character(char),
    /// Ten digits, as given out before 2007.
    #[error("expected thirteen digits, but found an old number of ten; written anew it is {0}")]
    OldNumber(Isbn),
    /// Ten digits whose own check digit is wrong.
    #[error(
        "expected thirteen digits, but found an old number of ten whose last digit is wrong: it \
         should be `{should}`, but is `{is}`"
    )]
    OldNumberWrong {
        /// What the other nine digits ask for.
        should: char,
        /// What stands there.
        is: char,
    },
    /// Another count of digits.
    #[error("expected thirteen digits, but found {0}")]
    Length(usize),
    /// Thirteen digits of something that is no book.
    #[error("expected a number that begins with 978 or 979, but found {0}")]
    Prefix(String),
    /// A digit is wrong, or two are swapped.
    #[error("the last digit should be {should}, but is {is}: one of the digits is wrong")]
    CheckDigit {
        /// What the other twelve ask for.
        should: u8,
        /// What stands there.
        is: u8,
    },
}

impl Isbn {
    /// The digits, each 0 to 9, the check digit last.
    pub const fn digits(self) -> [u8; 13] {
        self.0
    }
}

impl FromStr for Isbn {
    type Err = IsbnError;

    /// Reads `978-0-306-40615-7`, with or without hyphens and spaces.
    fn from_str(text: &str) -> Result<Self, IsbnError> {
        let mut digits: Vec<u8> = Vec::with_capacity(13);
        let mut ends_in_x = false;
        for letter in text.trim().chars() {
            match letter {
                '0'..='9' if !ends_in_x => digits.push(letter as u8 - b'0'),
                // Hyphen, its typographic sisters, and spaces part the number for the eye.
                '-' | '\u{2010}'..='\u{2013}' | ' ' | '\u{a0}' => {}
                'x' | 'X' if digits.len() == 9 && !ends_in_x => ends_in_x = true,
                other => return Err(IsbnError::Character(other)),
            }
            if digits.len() > 64 {
                return Err(IsbnError::Length(digits.len()));
            }
        }
        if digits.len() + usize::from(ends_in_x) == 10 {
            return Err(old_number(&digits, ends_in_x));
        }
        let Ok(digits) = <[u8; 13]>::try_from(digits.as_slice()) else {
            return Err(IsbnError::Length(digits.len()));
        };
        if !matches!(digits[..3], [9, 7, 8 | 9]) {
            let found = digits[..3].iter().map(u8::to_string).collect();
            return Err(IsbnError::Prefix(found));
        }
        let should = check_digit(&digits);
        if should != digits[12] {
            return Err(IsbnError::CheckDigit {
                should,
                is: digits[12],
            });
        }
        Ok(Self(digits))
    }
}

impl fmt::Display for Isbn {
    /// `978 0306406157`: where the hyphens belong only the registry's ranges tell, so that none are
    /// set.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (place, digit) in self.0.iter().enumerate() {
            if place == 3 {
                f.write_str(" ")?;
            }
            write!(f, "{digit}")?;
        }
        Ok(())
    }
}

/// Digits weighted 1, 3, 1, 3 …; the check digit fills the sum up to a multiple of ten (ISBN Users'
/// Manual, 4.5).
fn check_digit(digits: &[u8; 13]) -> u8 {
    let sum: u32 = digits[..12]
        .iter()
        .zip([1, 3].into_iter().cycle())
        .map(|(&digit, weight)| u32::from(digit) * weight)
        .sum();
    ((10 - sum % 10) % 10) as u8
}

/// What is wrong with ten digits: that they are ten, or also their check digit (weights 10 to 2,
/// modulo 11, X for ten; from memory).
fn old_number(digits: &[u8], ends_in_x: bool) -> IsbnError {
    let sum: u32 = digits
        .iter()
        .take(9)
        .zip((2..=10).rev())
        .map(|(&digit, weight): (&u8, u32)| u32::from(digit) * weight)
        .sum();
    let letter = |value: u32| match value {
        10 => 'X',
        value => char::from(b'0' + value as u8),
    };
    let should = letter((11 - sum % 11) % 11);
    let is = if ends_in_x {
        'X'
    } else {
        letter(u32::from(digits.get(9).copied().unwrap_or(0)))
    };
    if should != is {
        return IsbnError::OldNumberWrong { should, is };
    }
    let mut anew = [9, 7, 8, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0];
    anew[3..12].copy_from_slice(&digits[..9]);
    anew[12] = check_digit(&anew);
    IsbnError::OldNumber(Isbn(anew))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_old_number_is_refused_with_the_new_one() {
        // 0-306-40615-2 and 978-0-306-40615-7 are the worked example at truevue.org/?p=166.
        let error = "0-306-40615-2".parse::<Isbn>().unwrap_err();
        assert!(error.to_string().ends_with("978 0306406157"), "{error}");
        assert_eq!(
            "0-306-40615-3".parse::<Isbn>().unwrap_err(),
            IsbnError::OldNumberWrong {
                should: '2',
                is: '3'
            }
        );
    }

    #[test]
    fn a_wrong_or_swapped_digit_is_noticed() {
        assert_eq!(
            "978-0-306-40615-8".parse::<Isbn>().unwrap_err(),
            IsbnError::CheckDigit { should: 7, is: 8 }
        );
        let right = "9780306406157".parse::<Isbn>().unwrap().digits();
        for place in 0..13 {
            for digit in (0..10).filter(|digit| *digit != right[place]) {
                let mut wrong = right;
                wrong[place] = digit;
                let text: String = wrong.iter().map(u8::to_string).collect();
                assert!(text.parse::<Isbn>().is_err(), "{text}");
            }
        }
    }

    #[test]
    fn what_is_no_book_number_is_refused_in_words() {
        for (text, expected) in [
            ("", "found 0"),
            ("978030640615", "found 12"),
            ("4006381333931", "found 400"),
            ("978-0-306-4o615-7", "found `o`"),
            ("97803064061571", "found 14"),
        ] {
            let error = text.parse::<Isbn>().unwrap_err().to_string();
            assert!(error.contains(expected), "{text}: {error}");
        }
    }
}
