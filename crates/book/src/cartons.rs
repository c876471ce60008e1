//! How copies are packed: copies to a carton, cartons, and the room they take.

use measure::{Length, Mass};

use crate::object::Object;

/// Heaviest carton that one person should be given, in kilograms, packing included. Common practice, no
/// source; the load constant of NIOSH's lifting equation, for the best of lifts, is 23 kg (publication
/// 94-110), and local rules come first.
pub const HEAVIEST_KG: f64 = 12.0;
/// What lies between the books and the outside of a carton, on each side; common practice, no source.
const WALL: Length = Length::from_nm(6_000_000);
/// What an empty carton with its filling weighs, as a share of what is in it; our assumption.
const EMPTY: f64 = 0.04;

/// A carton of one book.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Carton {
    /// Copies in a full one.
    pub copies: u64,
    /// What a full one weighs, in kilograms.
    pub kilograms: f64,
    /// Its room, in cubic metres.
    pub room: f64,
}

impl Carton {
    /// The carton of an object: one flat stack, as many copies as it may weigh and at least one.
    pub fn of(object: &Object) -> Self {
        let each = kilograms(object.copy) * (1.0 + EMPTY);
        let copies = if each > 0.0 {
            (HEAVIEST_KG / each).floor().clamp(1.0, 200.0)
        } else {
            1.0
        };
        let closed = object.bound.closed;
        let metres = |length: Length| length.mm() / 1000.0;
        let stack = metres(closed.thickness) * copies;
        let walls = metres(WALL) * 2.0;
        Self {
            copies: copies as u64,
            kilograms: each * copies,
            room: (metres(closed.width) + walls)
                * (metres(closed.height) + walls)
                * (stack + walls),
        }
    }

    /// Cartons for so many copies, the last of which may not be full.
    pub fn cartons(self, copies: u64) -> u64 {
        copies.div_ceil(self.copies.max(1))
    }

    /// Room of one copy with its share of the carton, in cubic metres.
    pub fn room_each(self) -> f64 {
        self.room / self.copies.max(1) as f64
    }

    /// What to be careful about when so many copies come.
    pub fn caution(self, copies: u64) -> String {
        let all = self.kilograms * self.cartons(copies) as f64;
        let alone = if self.kilograms > HEAVIEST_KG {
            " A single copy is heavier than one carton should be."
        } else {
            ""
        };
        format!(
            "{} cartons of about {:.1} kg, {all:.0} kg in all. Lift with two where one is not sure; ask \
             whether the floor bears them before they are stacked. Local rules come first.{alone}",
            self.cartons(copies),
            self.kilograms
        )
    }
}

fn kilograms(mass: Mass) -> f64 {
    mass.grams() / 1000.0
}
