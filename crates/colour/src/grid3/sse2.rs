//! Four pixels at a time with SSE2, which every 64-bit PC has. Bytes are those of the plain
//! kernel; the way is that of the AVX2 kernel at half the width.

use std::arch::x86_64::{
    __m128i, _mm_add_epi32, _mm_and_si128, _mm_cmpgt_epi32, _mm_cvtsi32_si128, _mm_loadl_epi64,
    _mm_madd_epi16, _mm_or_si128, _mm_packs_epi32, _mm_packus_epi16, _mm_set1_epi32,
    _mm_setr_epi32, _mm_shuffle_epi32, _mm_sll_epi32, _mm_slli_epi32, _mm_srai_epi32,
    _mm_srl_epi32, _mm_srli_epi32, _mm_storeu_si128, _mm_sub_epi32, _mm_unpacklo_epi16,
    _mm_xor_si128,
};

use super::{Grid3, ONE, ROUND, SHIFT, scalar};

/// Pixels of a round.
const PIXELS: usize = 4;

/// Both slices hold the same number of whole pixels.
#[target_feature(enable = "sse2")]
pub(super) fn convert8(grid: &Grid3, from: &[u8], to: &mut [u8]) {
    let (from, from_rest) = from.as_chunks::<{ 3 * PIXELS }>();
    let (to, to_rest) = to.as_chunks_mut::<{ 4 * PIXELS }>();
    for (rgb, out) in from.iter().zip(to) {
        let lane = |at: usize| i32::from(rgb[at]) * 257;
        convert(grid, [split(0, lane), split(1, lane), split(2, lane)], out);
    }
    scalar::convert8(grid, from_rest, to_rest);
}

/// Both slices hold the same number of whole pixels.
#[target_feature(enable = "sse2")]
pub(super) fn convert16(grid: &Grid3, from: &[u16], to: &mut [u8]) {
    let (from, from_rest) = from.as_chunks::<{ 3 * PIXELS }>();
    let (to, to_rest) = to.as_chunks_mut::<{ 4 * PIXELS }>();
    for (rgb, out) in from.iter().zip(to) {
        let lane = |at: usize| i32::from(rgb[at]);
        convert(grid, [split(0, lane), split(1, lane), split(2, lane)], out);
    }
    scalar::convert16(grid, from_rest, to_rest);
}

#[target_feature(enable = "sse2")]
#[inline]
fn split(channel: usize, lane: impl Fn(usize) -> i32) -> __m128i {
    _mm_setr_epi32(
        lane(channel),
        lane(channel + 3),
        lane(channel + 6),
        lane(channel + 9),
    )
}

/// One round; `pixels` holds 32-bit lanes of 0 to 65535.
#[target_feature(enable = "sse2")]
#[inline]
fn convert(grid: &Grid3, pixels: [__m128i; 3], out: &mut [u8; 4 * PIXELS]) {
    let n = grid.side.nodes() as i32;
    let whole_step = n * n + n + 1;
    let [r, g, b] = positions(grid.side.log2() as i32, pixels);

    let cells = _mm_or_si128(
        _mm_srli_epi32::<14>(r),
        _mm_and_si128(
            _mm_slli_epi32::<2>(g),
            _mm_set1_epi32(0xffff_0000_u32 as i32),
        ),
    );
    let first = _mm_add_epi32(
        _mm_madd_epi16(cells, _mm_set1_epi32((n << 16) | (n * n))),
        _mm_srli_epi32::<14>(b),
    );

    let (upper, lower) = ranked(key(r, n * n), key(g, n));
    let (most, next) = ranked(upper, key(b, 1));
    let (middle, least) = ranked(lower, next);

    let step = _mm_set1_epi32(0x7fff);
    let second = _mm_add_epi32(first, _mm_and_si128(most, step));
    let third = _mm_sub_epi32(
        _mm_add_epi32(first, _mm_set1_epi32(whole_step)),
        _mm_and_si128(least, step),
    );

    let w1 = _mm_srli_epi32::<15>(most);
    let w2 = _mm_srli_epi32::<15>(middle);
    let w3 = _mm_srli_epi32::<15>(least);
    let weights12 = _mm_or_si128(
        _mm_sub_epi32(_mm_set1_epi32(ONE), w1),
        _mm_slli_epi32::<16>(_mm_sub_epi32(w1, w2)),
    );
    let weights34 = _mm_or_si128(_mm_sub_epi32(w2, w3), _mm_slli_epi32::<16>(w3));

    let mut at = [[0_u32; PIXELS]; 3];
    for (row, lanes) in at.iter_mut().zip([first, second, third]) {
        // SAFETY: A row has room for four lanes.
        unsafe { _mm_storeu_si128(row.as_mut_ptr().cast(), lanes) };
    }
    // SAFETY: As in the AVX2 kernel; the grid is padded by a step along all axes.
    let load = |at: u32, beyond: i32| unsafe {
        _mm_loadl_epi64(
            grid.nodes
                .as_ptr()
                .add(at as usize + beyond as usize)
                .cast(),
        )
    };
    macro_rules! pixel {
        ($i:literal) => {{
            let nodes12 = _mm_unpacklo_epi16(load(at[0][$i], 0), load(at[1][$i], 0));
            let nodes34 = _mm_unpacklo_epi16(load(at[2][$i], 0), load(at[0][$i], whole_step));
            let sum = _mm_add_epi32(
                _mm_madd_epi16(nodes12, _mm_shuffle_epi32::<{ $i * 0x55 }>(weights12)),
                _mm_madd_epi16(nodes34, _mm_shuffle_epi32::<{ $i * 0x55 }>(weights34)),
            );
            _mm_srai_epi32::<SHIFT>(_mm_add_epi32(sum, _mm_set1_epi32(ROUND)))
        }};
    }
    let bytes = _mm_packus_epi16(
        _mm_packs_epi32(pixel!(0), pixel!(1)),
        _mm_packs_epi32(pixel!(2), pixel!(3)),
    );
    // SAFETY: 16 bytes of 16.
    unsafe { _mm_storeu_si128(out.as_mut_ptr().cast(), bytes) };
}

/// As [`scalar::position`].
#[target_feature(enable = "sse2")]
#[inline]
fn positions(log2: i32, pixels: [__m128i; 3]) -> [__m128i; 3] {
    let up = _mm_cvtsi32_si128(log2 - 2);
    let down = _mm_cvtsi32_si128(18 - log2);
    let half = _mm_set1_epi32(1 << (17 - log2));
    pixels.map(|value| {
        _mm_add_epi32(
            _mm_sll_epi32(value, up),
            _mm_srl_epi32(_mm_add_epi32(value, half), down),
        )
    })
}

/// Fraction above, step below, as in the plain kernel.
#[target_feature(enable = "sse2")]
#[inline]
fn key(position: __m128i, step: i32) -> __m128i {
    _mm_or_si128(
        _mm_and_si128(_mm_slli_epi32::<15>(position), _mm_set1_epi32(0x3fff << 15)),
        _mm_set1_epi32(step),
    )
}

/// The larger and the smaller, lane by lane: SSE2 has no such instruction for 32 bits.
#[target_feature(enable = "sse2")]
#[inline]
fn ranked(one: __m128i, other: __m128i) -> (__m128i, __m128i) {
    let swap = _mm_and_si128(_mm_xor_si128(one, other), _mm_cmpgt_epi32(other, one));
    (_mm_xor_si128(one, swap), _mm_xor_si128(other, swap))
}
