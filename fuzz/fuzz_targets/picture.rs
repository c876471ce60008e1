//! Any bytes are decoded as a picture or refused; a small limit keeps a lying header cheap.
#![no_main]

use art::{Limits, Window};
use libfuzzer_sys::fuzz_target;
use measure::PixelSize;

fuzz_target!(|bytes: &[u8]| {
    let limits = Limits { pixels: 1 << 20 };
    let header = art::probe(bytes, &limits);
    if let Ok(picture) = art::decode(bytes, &limits) {
        let header = header.expect("what can be decoded has a header that can be read");
        assert_eq!(header.size, picture.size, "header and picture agree");
        let small = PixelSize {
            width: 7,
            height: 5,
        };
        let _ = art::resample(&picture, Window::whole(picture.size), small);
    }
});
