//! How copies are packed: copies to a carton, cartons, and the room they take.

use measure::{Length, Mass};

use crate::object::Object;

/// Heaviest carton that one person should be given, in kilograms, packing included. Common practice, no
/// source; [`Lift`] says what the lifting equation of NIOSH makes of it, and local rules come first.
pub const HEAVIEST_KG: f64 = 12.0;
/// Highest stack in a carton: the shorter side of the packaging module of ISO 3394, 600 × 400 mm.
const HIGHEST: Length = Length::from_nm(400_000_000);
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
    /// How far it reaches away from whoever carries it, in centimetres.
    pub depth: f64,
    /// Its room, in cubic metres.
    pub room: f64,
}

impl Carton {
    /// The carton of an object: one flat stack, as many copies as it may weigh and as it may be high, and at
    /// least one.
    pub fn of(object: &Object) -> Self {
        let closed = object.bound.closed;
        Self::holding(object.copy, closed.width, closed.height, closed.thickness)
    }

    /// The carton of copies of a mass and a size.
    fn holding(copy: Mass, width: Length, height: Length, thickness: Length) -> Self {
        let each = kilograms(copy) * (1.0 + EMPTY);
        let by_mass = if each > 0.0 { HEAVIEST_KG / each } else { 1.0 };
        let by_height = if thickness > Length::ZERO {
            HIGHEST.mm() / thickness.mm()
        } else {
            1.0
        };
        // A hair over a whole number is one.
        let copies = (by_mass.min(by_height) + 1e-9).floor().max(1.0);
        let metres = |length: Length| length.mm() / 1000.0;
        let stack = metres(thickness) * copies;
        let walls = metres(WALL) * 2.0;
        Self {
            copies: copies as u64,
            kilograms: each * copies,
            depth: (metres(width.min(height)) + walls) * 100.0,
            room: (metres(width) + walls) * (metres(height) + walls) * (stack + walls),
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

    /// Lifting one from the floor onto a table, close to the body, straight, once a minute for an hour.
    pub fn from_the_floor(self) -> Lift {
        Lift {
            // Hands are at least 20 cm and half the load from the ankles (94-110, from memory).
            reach: 20.0 + self.depth / 2.0,
            height: 10.0,
            travel: 65.0,
            turn: 0.0,
            // Once a minute for up to an hour; hands under the edges of a carton without grips.
            often: 0.94,
            grip: 0.95,
        }
    }

    /// What to be careful about when so many copies come.
    pub fn caution(self, copies: u64) -> String {
        let all = self.kilograms / self.copies.max(1) as f64 * copies as f64;
        let alone = if self.kilograms > HEAVIEST_KG {
            " A single copy is heavier than one carton should be."
        } else {
            ""
        };
        format!(
            "{} of about {:.1} kg, {all:.0} kg in all. From the floor to a table, the lifting \
             equation of NIOSH recommends no more than {:.1} kg for one person, one carton a minute for an \
             hour. Lift with two where one is not sure; ask whether the floor bears them before they are \
             stacked. Local rules come first.{alone}",
            match self.cartons(copies) {
                1 => "1 carton".to_owned(),
                cartons => format!("{cartons} cartons"),
            },
            self.kilograms,
            self.from_the_floor().recommended()
        )
    }
}

/// A lift by two hands, for the revised lifting equation of NIOSH (publication 94-110).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lift {
    /// From the middle between the ankles to the hands, in centimetres.
    pub reach: f64,
    /// From the floor to the hands where the lift begins, in centimetres.
    pub height: f64,
    /// How far it goes up or down, in centimetres.
    pub travel: f64,
    /// How far the body turns, in degrees.
    pub turn: f64,
    /// The multiplier for how often and how long (0 to 1), from the equation's table.
    pub often: f64,
    /// The multiplier for how well it can be held (0 to 1), from the equation's table.
    pub grip: f64,
}

impl Lift {
    /// Heaviest load in kilograms that the equation recommends: 23 kg for the best of lifts, less for each
    /// thing that makes it harder. Nothing where it is out of the equation's reach.
    pub fn recommended(self) -> f64 {
        let reach = match self.reach {
            far if far > 63.0 => 0.0,
            near => (25.0 / near.max(25.0)).min(1.0),
        };
        let height = match self.height {
            high if !(0.0..=175.0).contains(&high) => 0.0,
            height => 1.0 - 0.003 * (height - 75.0).abs(),
        };
        let travel = match self.travel {
            far if far > 175.0 => 0.0,
            travel => (0.82 + 4.5 / travel.max(25.0)).min(1.0),
        };
        let turn = match self.turn {
            far if far > 135.0 => 0.0,
            turn => 1.0 - 0.0032 * turn.abs(),
        };
        23.0 * reach * height * travel * turn * self.often * self.grip
    }
}

fn kilograms(mass: Mass) -> f64 {
    mass.grams() / 1000.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(length: f64) -> Length {
        Length::from_mm(length)
    }

    /// The published examples of the equation in inches and pounds have other constants; these are metric.
    #[test]
    fn lifts_are_those_of_the_equation() {
        let best = Lift {
            reach: 25.0,
            height: 75.0,
            travel: 20.0,
            turn: 0.0,
            often: 1.0,
            grip: 1.0,
        };
        assert_eq!(best.recommended(), 23.0);
        // Reckoned independently from the formulas: 1 a minute for one to two hours, good grip (0.88, 1).
        let hard = Lift {
            reach: 40.0,
            height: 30.0,
            travel: 70.0,
            turn: 30.0,
            often: 0.88,
            grip: 1.0,
        };
        assert!(
            (hard.recommended() - 8.747_172).abs() < 1e-5,
            "{}",
            hard.recommended()
        );
        // Out of reach, too high, too far, too much turned.
        for lift in [
            Lift {
                reach: 63.5,
                ..best
            },
            Lift {
                height: 176.0,
                ..best
            },
            Lift {
                travel: 176.0,
                ..best
            },
            Lift {
                turn: 136.0,
                ..best
            },
        ] {
            assert_eq!(lift.recommended(), 0.0);
        }
    }

    /// An example in inches and pounds, whose page prints 18.4 from rounded multipliers; 51 lb are taken for
    /// 23 kg and 10 inches for 25 cm by the equation itself, so that the two agree within three percent.
    #[test]
    fn a_published_lift_in_pounds_agrees() {
        let inches = |inches: f64| inches * 2.54;
        let lift = Lift {
            reach: inches(20.0),
            height: inches(6.0),
            travel: inches(16.0),
            turn: 0.0,
            often: 1.0,
            grip: 0.95,
        };
        let pounds = lift.recommended() / 0.453_592_37;
        assert!((pounds / 18.5236 - 1.0).abs() < 0.03, "{pounds}");
    }

    #[test]
    fn a_carton_is_filled_by_mass_and_by_height() {
        // 600 g and 4 % for the carton: 19 copies weigh 11.9 kg, 20 would weigh 12.5.
        let heavy = Carton::holding(Mass::from_grams(600.0), mm(250.0), mm(300.0), mm(12.0));
        assert_eq!(heavy.copies, 19);
        assert!(heavy.kilograms <= HEAVIEST_KG);
        // 0.262 × 0.312 × (0.228 + 0.012) m.
        assert!((heavy.room - 0.262 * 0.312 * 0.24).abs() < 1e-9);
        // Twenty copies at 20 mm are as high as the module is wide.
        let bulky = Carton::holding(Mass::from_grams(100.0), mm(250.0), mm(300.0), mm(20.0));
        assert_eq!(bulky.copies, 20);
        // One that is heavier than a carton should be still needs one.
        let vast = Carton::holding(Mass::from_grams(15_000.0), mm(500.0), mm(700.0), mm(60.0));
        assert_eq!(vast.copies, 1);
        assert!(
            vast.caution(3)
                .contains("heavier than one carton should be")
        );
    }

    #[test]
    fn the_last_carton_may_not_be_full() {
        let carton = Carton::holding(Mass::from_grams(600.0), mm(250.0), mm(300.0), mm(12.0));
        assert_eq!(carton.cartons(0), 0);
        assert_eq!(carton.cartons(19), 1);
        assert_eq!(carton.cartons(20), 2);
        assert!((carton.room_each() * 19.0 - carton.room).abs() < 1e-12);
        assert!(
            carton
                .caution(20)
                .starts_with("2 cartons of about 11.9 kg, 12 kg in all.")
        );
    }
}
