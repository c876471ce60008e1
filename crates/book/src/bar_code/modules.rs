use std::str::FromStr;

use super::Isbn;

/// Seven modules a digit in set A; a one is a bar. Set C is its complement, set B set C backwards.
const SET_A: [u8; 10] = [
    0b0001101, 0b0011001, 0b0010011, 0b0111101, 0b0100011, 0b0110001, 0b0101111, 0b0111011,
    0b0110111, 0b0001011,
];
/// Which of the left six digits are in set B, by the first digit; the leftmost in the highest bit.
const LEFT_IN_B: [u8; 10] = [
    0b000000, 0b001011, 0b001101, 0b001110, 0b010011, 0b011001, 0b011100, 0b010101, 0b010110,
    0b011010,
];
/// Which of the five digits of an add-on are in set B, by its check sum.
const ADD_ON_IN_B: [u8; 10] = [
    0b11000, 0b10100, 0b10010, 0b10001, 0b01100, 0b00110, 0b00011, 0b01010, 0b01001, 0b00101,
];

const fn set_b(digit: u8) -> u8 {
    (!SET_A[digit as usize] & 0x7f).reverse_bits() >> 1
}

/// The 95 modules of the main symbol: `true` is a bar.
pub fn ean13(isbn: Isbn) -> Vec<bool> {
    let [first, digits @ ..] = isbn.digits();
    let mut modules = Modules::default();
    modules.push(0b101, 3);
    for (place, &digit) in digits[..6].iter().enumerate() {
        let in_b = LEFT_IN_B[usize::from(first)] >> (5 - place) & 1 == 1;
        modules.push(left(digit, in_b), 7);
    }
    modules.push(0b01010, 5);
    for &digit in &digits[6..] {
        modules.push(!SET_A[usize::from(digit)] & 0x7f, 7);
    }
    modules.push(0b101, 3);
    modules.0
}

/// Five digits beside the main symbol, as some countries' booksellers read a price from them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct PriceAddOn([u8; 5]);

impl PriceAddOn {
    /// The digits, each 0 to 9.
    pub const fn digits(self) -> [u8; 5] {
        self.0
    }
}

impl FromStr for PriceAddOn {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let wrong = || format!("expected five digits such as `52495`, but found `{text}`");
        let digits = text
            .trim()
            .chars()
            .map(|letter| letter.to_digit(10).map(|digit| digit as u8))
            .collect::<Option<Vec<u8>>>()
            .ok_or_else(wrong)?;
        <[u8; 5]>::try_from(digits).map(Self).map_err(|_| wrong())
    }
}

/// The 47 modules of the five-digit add-on: `true` is a bar.
pub fn ean5(add_on: PriceAddOn) -> Vec<bool> {
    let [a, b, c, d, e] = add_on.0.map(u32::from);
    let sum = (3 * (a + c + e) + 9 * (b + d)) % 10;
    let mut modules = Modules::default();
    modules.push(0b1011, 4);
    for (place, &digit) in add_on.0.iter().enumerate() {
        if place > 0 {
            modules.push(0b01, 2);
        }
        let in_b = ADD_ON_IN_B[sum as usize] >> (4 - place) & 1 == 1;
        modules.push(left(digit, in_b), 7);
    }
    modules.0
}

fn left(digit: u8, in_b: bool) -> u8 {
    if in_b {
        set_b(digit)
    } else {
        SET_A[usize::from(digit)]
    }
}

#[derive(Default)]
struct Modules(Vec<bool>);

impl Modules {
    fn push(&mut self, bits: u8, count: u8) {
        self.0
            .extend((0..count).rev().map(|bit| bits >> bit & 1 == 1));
    }
}
