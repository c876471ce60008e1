//! Noise: the same numbers for the same seed, on every machine and for any number of cores.

/// Mixes an integer into one whose bits look random.
pub(crate) const fn mix(seed: u32) -> u32 {
    let mut x = seed.wrapping_add(0x9e37_79b9);
    x ^= x >> 16;
    x = x.wrapping_mul(0x21f0_aaad);
    x ^= x >> 15;
    x = x.wrapping_mul(0x735a_2d97);
    x ^ (x >> 15)
}

/// A number in 0..1 for a point of a grid.
pub(crate) fn lattice(x: i32, y: i32, seed: u32) -> f32 {
    let h = mix((x as u32)
        .wrapping_mul(0x8da6_b343)
        .wrapping_add((y as u32).wrapping_mul(0xd816_3841))
        ^ seed.wrapping_mul(0xcb1a_b31f));
    (h >> 8) as f32 * (1.0 / 16_777_216.0)
}

/// A stream of random numbers.
#[derive(Debug, Clone)]
pub(crate) struct Dice {
    state: u32,
    seed: u32,
}

impl Dice {
    pub(crate) const fn new(seed: u32) -> Self {
        Self {
            state: 0,
            seed: mix(seed ^ 0x5bd1_e995),
        }
    }

    /// The next number in 0..1.
    pub(crate) fn unit(&mut self) -> f32 {
        self.state = self.state.wrapping_add(1);
        (mix(self.state ^ self.seed) >> 8) as f32 * (1.0 / 16_777_216.0)
    }

    /// The next number between two.
    pub(crate) fn between(&mut self, low: f32, high: f32) -> f32 {
        low + (high - low) * self.unit()
    }

    /// The next number around zero, mostly within ±1, bell-shaped.
    pub(crate) fn bell(&mut self) -> f32 {
        (self.unit() + self.unit() + self.unit() - 1.5) * 1.15
    }

    /// The next integer below `below`, which is above zero.
    pub(crate) fn below(&mut self, below: usize) -> usize {
        ((self.unit() * below as f32) as usize).min(below.saturating_sub(1))
    }

    /// Whether something that happens this often happens now.
    pub(crate) fn chance(&mut self, share: f32) -> bool {
        self.unit() < share
    }
}

/// Smooth noise in 0..1; features are about one unit wide.
pub(crate) fn value(x: f32, y: f32, seed: u32) -> f32 {
    let (xi, yi) = (below(x), below(y));
    let (u, v) = (fade(x - xi as f32), fade(y - yi as f32));
    let top = mix_f(lattice(xi, yi, seed), lattice(xi + 1, yi, seed), u);
    let bottom = mix_f(lattice(xi, yi + 1, seed), lattice(xi + 1, yi + 1, seed), u);
    mix_f(top, bottom, v)
}

/// Noise of several octaves in 0..1, each half as wide and half as strong as the one before.
pub(crate) fn clouds(x: f32, y: f32, octaves: u32, seed: u32) -> f32 {
    let (mut sum, mut weight, mut total) = (0.0, 0.5, 0.0);
    let (mut px, mut py) = (x, y);
    for octave in 0..octaves {
        sum += weight * value(px, py, seed.wrapping_add(octave.wrapping_mul(101)));
        total += weight;
        weight *= 0.5;
        // A turn between octaves keeps the grid from showing.
        (px, py) = (px * 1.62 - py * 1.18 + 7.1, px * 1.18 + py * 1.62 + 3.7);
    }
    sum / total
}

/// One-dimensional noise in 0..1.
pub(crate) fn wave(x: f32, seed: u32) -> f32 {
    let xi = below(x);
    mix_f(
        lattice(xi, 17, seed),
        lattice(xi + 1, 17, seed),
        fade(x - xi as f32),
    )
}

/// The next whole number below; a plain `floor` is a call on processors without the instruction.
fn below(x: f32) -> i32 {
    let whole = x as i32;
    whole - i32::from((whole as f32) > x)
}

/// One-dimensional noise of several octaves in 0..1.
pub(crate) fn ridge(x: f32, octaves: u32, seed: u32) -> f32 {
    let (mut sum, mut weight, mut total, mut px) = (0.0, 0.5, 0.0, x);
    for octave in 0..octaves {
        sum += weight * wave(px, seed.wrapping_add(octave.wrapping_mul(57)));
        total += weight;
        weight *= 0.5;
        px = px * 2.03 + 5.3;
    }
    sum / total
}

/// Between `a` and `b`.
pub(crate) fn mix_f(a: f32, b: f32, t: f32) -> f32 {
    a + (b - a) * t
}

/// 0 below `low`, 1 above `high`, smooth between; `low` may be the larger.
pub(crate) fn smooth(low: f32, high: f32, x: f32) -> f32 {
    let t = ((x - low) / (high - low)).clamp(0.0, 1.0);
    fade(t)
}

fn fade(t: f32) -> f32 {
    t * t * (3.0 - 2.0 * t)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn noise_stays_between_nought_and_one_and_varies() {
        let samples: Vec<f32> = (0..4000)
            .map(|i| clouds(i as f32 * 0.37 - 700.0, i as f32 * -0.11, 5, 3))
            .collect();
        let low = samples.iter().copied().fold(f32::MAX, f32::min);
        let high = samples.iter().copied().fold(f32::MIN, f32::max);
        assert!(low >= 0.0 && high <= 1.0, "{low} to {high}");
        assert!(high - low > 0.4, "{low} to {high}");
    }

    #[test]
    fn dice_of_one_seed_repeat_themselves() {
        let roll = |seed| {
            let mut dice = Dice::new(seed);
            (0..50).map(|_| dice.below(6)).collect::<Vec<_>>()
        };
        assert_eq!(roll(9), roll(9));
        assert_ne!(roll(9), roll(10));
    }
}
