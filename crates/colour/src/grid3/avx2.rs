//! Eight pixels at a time with AVX2. Bytes are those of the plain kernel.
//!
//! Fractions, their ranks and the places of the nodes are found for eight pixels in the eight
//! lanes of a register. Then two pixels at a time, one in each half, the four channels of two
//! nodes are laid side by side and multiplied with their two weights and added in one instruction.

use std::arch::x86_64::{
    __m256i, _mm_cvtsi32_si128, _mm_loadu_si128, _mm256_add_epi32, _mm256_and_si256,
    _mm256_loadu_si256, _mm256_madd_epi16, _mm256_max_epi32, _mm256_min_epi32, _mm256_or_si256,
    _mm256_packs_epi32, _mm256_packus_epi16, _mm256_set_m128i, _mm256_set1_epi32, _mm256_setr_epi8,
    _mm256_shuffle_epi8, _mm256_shuffle_epi32, _mm256_sll_epi32, _mm256_slli_epi32,
    _mm256_srai_epi32, _mm256_srl_epi32, _mm256_srli_epi32, _mm256_storeu_si256, _mm256_sub_epi32,
    _mm256_unpacklo_epi16,
};

use super::{Grid3, ONE, ROUND, SHIFT, scalar};

/// Pixels of a round.
const PIXELS: usize = 8;
/// Rounds that are planned before the first is done: the short second part then runs far ahead of
/// the nodes that it waits for.
const AHEAD: usize = 8;

/// Both slices hold the same number of whole pixels.
#[target_feature(enable = "avx2")]
pub(super) fn convert8(grid: &Grid3, from: &[u8], to: &mut [u8]) {
    let (from, from_rest) = from.as_chunks::<{ 3 * PIXELS }>();
    let (to, to_rest) = to.as_chunks_mut::<{ 4 * PIXELS }>();
    let mut plans = [Plan::EMPTY; AHEAD];
    for (from, to) in from.chunks(AHEAD).zip(to.chunks_mut(AHEAD)) {
        for (plan, rgb) in plans.iter_mut().zip(from) {
            *plan = Plan::of(grid, split8(rgb));
        }
        for (plan, out) in plans.iter().zip(to) {
            plan.apply(grid, out);
        }
    }
    scalar::convert8(grid, from_rest, to_rest);
}

/// Both slices hold the same number of whole pixels.
#[target_feature(enable = "avx2")]
pub(super) fn convert16(grid: &Grid3, from: &[u16], to: &mut [u8]) {
    let (from, from_rest) = from.as_chunks::<{ 3 * PIXELS }>();
    let (to, to_rest) = to.as_chunks_mut::<{ 4 * PIXELS }>();
    let mut plans = [Plan::EMPTY; AHEAD];
    for (from, to) in from.chunks(AHEAD).zip(to.chunks_mut(AHEAD)) {
        for (plan, rgb) in plans.iter_mut().zip(from) {
            *plan = Plan::of(grid, split16(rgb));
        }
        for (plan, out) in plans.iter().zip(to) {
            plan.apply(grid, out);
        }
    }
    scalar::convert16(grid, from_rest, to_rest);
}

/// Red, green and blue of eight pixels, 0 to 65535: each byte doubled is the byte times 257.
#[target_feature(enable = "avx2")]
#[inline]
fn split8(rgb: &[u8; 3 * PIXELS]) -> [__m256i; 3] {
    // The halves overlap so that neither reads beyond the 24 bytes: pixels 0 to 3 begin at byte 0
    // of the lower, pixels 4 to 7 at byte 4 of the upper.
    // SAFETY: Bytes 0 to 15 and 8 to 23 of 24.
    let both = unsafe {
        let start = rgb.as_ptr();
        _mm256_set_m128i(
            _mm_loadu_si128(start.add(8).cast()),
            _mm_loadu_si128(start.cast()),
        )
    };
    [
        _mm256_shuffle_epi8(both, doubled(0)),
        _mm256_shuffle_epi8(both, doubled(1)),
        _mm256_shuffle_epi8(both, doubled(2)),
    ]
}

/// Takes one channel's byte of four pixels in each half, twice, and zeros above.
#[target_feature(enable = "avx2")]
#[inline]
fn doubled(channel: i8) -> __m256i {
    let (a, b, c, d) = (channel, channel + 3, channel + 6, channel + 9);
    let (e, f, g, h) = (channel + 4, channel + 7, channel + 10, channel + 13);
    _mm256_setr_epi8(
        a, a, -1, -1, b, b, -1, -1, c, c, -1, -1, d, d, -1, -1, //
        e, e, -1, -1, f, f, -1, -1, g, g, -1, -1, h, h, -1, -1,
    )
}

/// Red, green and blue of eight pixels of 16 bit.
#[target_feature(enable = "avx2")]
#[inline]
fn split16(rgb: &[u16; 3 * PIXELS]) -> [__m256i; 3] {
    // Pixels 0 and 1 begin at byte 0 of the first's lower half, 4 and 5 of its upper; pixels 2
    // and 3 at byte 4 of the second's lower half, 6 and 7 of its upper.
    // SAFETY: Bytes 0 to 15, 24 to 39, 8 to 23 and 32 to 47 of 48.
    let (first, second) = unsafe {
        let start = rgb.as_ptr().cast::<u8>();
        (
            _mm256_set_m128i(
                _mm_loadu_si128(start.add(24).cast()),
                _mm_loadu_si128(start.cast()),
            ),
            _mm256_set_m128i(
                _mm_loadu_si128(start.add(32).cast()),
                _mm_loadu_si128(start.add(8).cast()),
            ),
        )
    };
    let channel = |channel: i8| {
        let (a, b) = (2 * channel, 2 * channel + 6);
        let (c, d) = (2 * channel + 4, 2 * channel + 10);
        let lower = _mm256_setr_epi8(
            a,
            a + 1,
            -1,
            -1,
            b,
            b + 1,
            -1,
            -1,
            -1,
            -1,
            -1,
            -1,
            -1,
            -1,
            -1,
            -1, //
            a,
            a + 1,
            -1,
            -1,
            b,
            b + 1,
            -1,
            -1,
            -1,
            -1,
            -1,
            -1,
            -1,
            -1,
            -1,
            -1,
        );
        let upper = _mm256_setr_epi8(
            -1,
            -1,
            -1,
            -1,
            -1,
            -1,
            -1,
            -1,
            c,
            c + 1,
            -1,
            -1,
            d,
            d + 1,
            -1,
            -1, //
            -1,
            -1,
            -1,
            -1,
            -1,
            -1,
            -1,
            -1,
            c,
            c + 1,
            -1,
            -1,
            d,
            d + 1,
            -1,
            -1,
        );
        _mm256_or_si256(
            _mm256_shuffle_epi8(first, lower),
            _mm256_shuffle_epi8(second, upper),
        )
    };
    [channel(0), channel(1), channel(2)]
}

/// Where the nodes of eight pixels are, and their weights.
#[derive(Clone, Copy)]
struct Plan {
    /// First, second and third node of each pixel; the fourth is a step along all axes beyond the
    /// first.
    at: [[u32; PIXELS]; 3],
    /// Weights of the first two nodes, as two 16-bit numbers a pixel.
    weights12: [u32; PIXELS],
    /// Weights of the last two.
    weights34: [u32; PIXELS],
}

impl Plan {
    const EMPTY: Self = Self {
        at: [[0; PIXELS]; 3],
        weights12: [0; PIXELS],
        weights34: [0; PIXELS],
    };

    /// `pixels` holds 32-bit lanes of 0 to 65535.
    #[target_feature(enable = "avx2")]
    #[inline]
    fn of(grid: &Grid3, pixels: [__m256i; 3]) -> Self {
        let n = grid.side.nodes() as i32;
        let whole_step = n * n + n + 1;
        let [r, g, b] = positions(grid.side.log2() as i32, pixels);

        // First node: cells of red and green side by side as 16-bit numbers, times their steps.
        let cells = _mm256_or_si256(
            _mm256_srli_epi32::<14>(r),
            _mm256_and_si256(
                _mm256_slli_epi32::<2>(g),
                _mm256_set1_epi32(0xffff_0000_u32 as i32),
            ),
        );
        let first = _mm256_add_epi32(
            _mm256_madd_epi16(cells, _mm256_set1_epi32((n << 16) | (n * n))),
            _mm256_srli_epi32::<14>(b),
        );

        let keys = [key(r, n * n), key(g, n), key(b, 1)];
        let upper = _mm256_max_epi32(keys[0], keys[1]);
        let lower = _mm256_min_epi32(keys[0], keys[1]);
        let most = _mm256_max_epi32(upper, keys[2]);
        let middle = _mm256_max_epi32(lower, _mm256_min_epi32(upper, keys[2]));
        let least = _mm256_min_epi32(lower, keys[2]);

        let step = _mm256_set1_epi32(0x7fff);
        let second = _mm256_add_epi32(first, _mm256_and_si256(most, step));
        let third = _mm256_sub_epi32(
            _mm256_add_epi32(first, _mm256_set1_epi32(whole_step)),
            _mm256_and_si256(least, step),
        );

        let w1 = _mm256_srli_epi32::<15>(most);
        let w2 = _mm256_srli_epi32::<15>(middle);
        let w3 = _mm256_srli_epi32::<15>(least);
        let weights12 = _mm256_or_si256(
            _mm256_sub_epi32(_mm256_set1_epi32(ONE), w1),
            _mm256_slli_epi32::<16>(_mm256_sub_epi32(w1, w2)),
        );
        let weights34 = _mm256_or_si256(_mm256_sub_epi32(w2, w3), _mm256_slli_epi32::<16>(w3));

        Self {
            at: [lanes(first), lanes(second), lanes(third)],
            weights12: lanes(weights12),
            weights34: lanes(weights34),
        }
    }

    #[target_feature(enable = "avx2")]
    #[inline]
    fn apply(&self, grid: &Grid3, out: &mut [u8; 4 * PIXELS]) {
        let n = grid.side.nodes() as i32;
        let whole_step = n * n + n + 1;
        let at = &self.at;
        // SAFETY: Eight lanes of eight.
        let (weights12, weights34) = unsafe {
            (
                _mm256_loadu_si256(self.weights12.as_ptr().cast()),
                _mm256_loadu_si256(self.weights34.as_ptr().cast()),
            )
        };
        // SAFETY: `positions` is at most `cells << 14` for values of at most 65535, so the first node
        // is at most the last of side³, and no node lies further than a step along all axes beyond it;
        // the grid is padded by that and the one more node that a load of two reads.
        let load = |low: u32, high: u32, beyond: i32| unsafe {
            let nodes = grid.nodes.as_ptr();
            _mm256_set_m128i(
                _mm_loadu_si128(nodes.add(high as usize + beyond as usize).cast()),
                _mm_loadu_si128(nodes.add(low as usize + beyond as usize).cast()),
            )
        };
        // Pixel `i` in the lower half, pixel `i + 4` in the upper.
        macro_rules! pair {
            ($i:literal) => {{
                let nodes12 = _mm256_unpacklo_epi16(
                    load(at[0][$i], at[0][$i + 4], 0),
                    load(at[1][$i], at[1][$i + 4], 0),
                );
                let nodes34 = _mm256_unpacklo_epi16(
                    load(at[2][$i], at[2][$i + 4], 0),
                    load(at[0][$i], at[0][$i + 4], whole_step),
                );
                let sum = _mm256_add_epi32(
                    _mm256_madd_epi16(nodes12, _mm256_shuffle_epi32::<{ $i * 0x55 }>(weights12)),
                    _mm256_madd_epi16(nodes34, _mm256_shuffle_epi32::<{ $i * 0x55 }>(weights34)),
                );
                _mm256_srai_epi32::<SHIFT>(_mm256_add_epi32(sum, _mm256_set1_epi32(ROUND)))
            }};
        }
        let bytes = _mm256_packus_epi16(
            _mm256_packs_epi32(pair!(0), pair!(1)),
            _mm256_packs_epi32(pair!(2), pair!(3)),
        );
        // SAFETY: 32 bytes of 32.
        unsafe { _mm256_storeu_si256(out.as_mut_ptr().cast(), bytes) };
    }
}

#[target_feature(enable = "avx2")]
#[inline]
fn lanes(of: __m256i) -> [u32; PIXELS] {
    let mut lanes = [0; PIXELS];
    // SAFETY: Eight lanes of eight.
    unsafe { _mm256_storeu_si256(lanes.as_mut_ptr().cast(), of) };
    lanes
}

/// As [`scalar::position`].
#[target_feature(enable = "avx2")]
#[inline]
fn positions(log2: i32, pixels: [__m256i; 3]) -> [__m256i; 3] {
    let up = _mm_cvtsi32_si128(log2 - 2);
    let down = _mm_cvtsi32_si128(18 - log2);
    let half = _mm256_set1_epi32(1 << (17 - log2));
    pixels.map(|value| {
        _mm256_add_epi32(
            _mm256_sll_epi32(value, up),
            _mm256_srl_epi32(_mm256_add_epi32(value, half), down),
        )
    })
}

/// Fraction above, step below, as in the plain kernel.
#[target_feature(enable = "avx2")]
#[inline]
fn key(position: __m256i, step: i32) -> __m256i {
    _mm256_or_si256(
        _mm256_and_si256(
            _mm256_slli_epi32::<15>(position),
            _mm256_set1_epi32(0x3fff << 15),
        ),
        _mm256_set1_epi32(step),
    )
}
