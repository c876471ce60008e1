//! Any bytes are opened as an ICC profile or refused; what opens as CMYK makes a press condition.
#![no_main]

use colour::{PressCondition, Profile};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    if let Ok(profile) = Profile::open(bytes) {
        let _ = profile.description();
        if let Ok(press) = PressCondition::from_profile("any", profile) {
            let _ = press.paper();
        }
    }
});
