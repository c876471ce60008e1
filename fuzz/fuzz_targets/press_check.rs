//! Any bytes are checked as a press file: findings come back, never a panic.
#![no_main]

use libfuzzer_sys::fuzz_target;
use press::{Depth, Expected, check_to};

fuzz_target!(|bytes: &[u8]| {
    // A few pages are enough; the watch stops what claims to have thousands.
    for depth in [Depth::Quick, Depth::Full] {
        let _ = check_to(bytes, &Expected::default(), depth, &|done, _| done < 4);
    }
});
