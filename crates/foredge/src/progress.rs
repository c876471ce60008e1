//! Progress on the terminal, and Ctrl-C as a wish to stop.

use std::io::Write;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use desk::Watch;
use indicatif::{ProgressBar, ProgressStyle};

/// Whether Ctrl-C was pressed.
static STOP: AtomicBool = AtomicBool::new(false);

/// Watches long work: a bar on stderr where that is a terminal, and Ctrl-C.
pub struct Terminal {
    bar: ProgressBar,
}

impl Terminal {
    /// Begins to watch.
    pub fn new() -> Self {
        // A second handler, or a system without signals, leaves things as they are: then Ctrl-C
        // ends the program at once, and the files are still whole or untouched.
        let _ = ctrlc::set_handler(|| {
            if STOP.swap(true, Ordering::SeqCst) {
                // Asked twice: a person who presses again wants out now. Nothing is half-written,
                // since files are put in place only when they are whole.
                std::process::exit(2);
            }
            // Nothing can be done about a terminal that cannot be written to.
            let _ = writeln!(
                std::io::stderr(),
                "Stopping: the work in hand is put away, and nothing is left half-written."
            );
        });
        let bar = ProgressBar::new(0);
        if let Ok(style) = ProgressStyle::with_template("{bar:30} {pos}/{len} {msg}") {
            bar.set_style(style.progress_chars("━╸─"));
        }
        bar.enable_steady_tick(Duration::from_millis(200));
        Self { bar }
    }
}

impl Watch for Terminal {
    fn step(&self, done: usize, total: usize, what: &str) {
        self.bar.set_length(total as u64);
        self.bar.set_position(done as u64);
        self.bar.set_message(what.to_owned());
    }

    fn stopped(&self) -> bool {
        STOP.load(Ordering::SeqCst)
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
