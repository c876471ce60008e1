//! The whole job against the work that nobody can avoid: 128 pages from 64 pictures of 24 MP, as
//! one JSON object a line: `name`, `value`, `unit`, `against`, `ratio`.
//!
//! The unavoidable is decoding, resampling, separating and compressing the same pictures, measured
//! alone in this run with as many workers as there are cores; reading, layout, metadata, digests
//! and writing come on top in the job. The job itself is the binary named by `FOREDGE`, run as a
//! person runs it. Its memory and processor time are read from `/proc` while it runs (Linux).
//!
//! `bench_job [PICTURES]`: another number than 64, for trying the bench itself. Run in release,
//! on a machine that does nothing else; about 3 GB of scratch are needed for the time.

use std::error::Error;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode, Stdio};
use std::time::{Duration, Instant};

use art::{Limits, Picture, Samples, Window};
use colour::{Intent, PressCondition, Profile, Recipe, Separation};
use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
use measure::PixelSize;
use press::{ImageCoding, ImageData};
use rayon::prelude::*;

/// Pictures of the job, each a spread of 24 MP, the last on a page of its own: 2 × 64 pages.
const PICTURES: usize = 64;
/// Pixels across; a spread of the demonstration's shape then has 24 MP.
const ACROSS: u32 = 6300;
/// Pictures whose unavoidable work is measured; the sum over all is reckoned from their mean.
const MEASURED: usize = 8;
/// Press pixels of a spread of 2 × 250 × 300 mm with 3 mm bleed at 300 ppi.
const PRESS: PixelSize = PixelSize {
    width: 5976,
    height: 3614,
};
/// The spreads of the demonstration that the pictures are made from.
const MOTIFS: [&str; 4] = [
    "viaduct-at-dawn",
    "weather-coming",
    "market-on-the-sand",
    "platform-nine",
];

type Outcome<T> = Result<T, Box<dyn Error>>;

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(problem) => {
            eprintln!("bench_job: {problem}");
            ExitCode::from(2)
        }
    }
}

fn run() -> Outcome<()> {
    let pictures = match std::env::args().nth(1) {
        Some(text) => text.parse()?,
        None => PICTURES,
    };
    let foredge: PathBuf = std::env::var_os("FOREDGE")
        .ok_or("FOREDGE names the binary to measure")?
        .into();
    let scratch = tempfile::Builder::new()
        .prefix("foredge-bench-")
        .tempdir()?;
    let folder = scratch.path().join("book");
    eprintln!("bench_job: making {pictures} pictures of 24 MP …");
    make_book(&folder, pictures)?;
    let pages = pictures * 2;
    let whole = pictures == PICTURES;

    eprintln!("bench_job: the unavoidable …");
    let alone = unavoidable(&folder, pictures)?;
    // The last picture fills one page: half a spread.
    let spreads = (pictures as f64 - 0.5) / MEASURED.min(pictures) as f64;
    let sum = alone.total() * spreads;
    let wall = alone.wall.as_secs_f64() * spreads;
    for (name, seconds) in [
        ("decode", alone.decode),
        ("resample", alone.resample),
        ("separate", alone.separate),
        ("compress", alone.compress),
    ] {
        line(
            &format!("unavoidable {name}, one spread of 24 MP"),
            seconds.as_secs_f64() / MEASURED.min(pictures) as f64,
            "core s",
            "all four",
            seconds.as_secs_f64() / alone.total(),
        );
    }

    eprintln!("bench_job: the clean build …");
    let clean = foredge_runs(&foredge, &folder, "press")?;
    line(
        &format!("clean build of {pages} pages, wall"),
        clean.wall.as_secs_f64(),
        "s",
        &format!("the unavoidable on {} cores, {wall:.1} s", cores()),
        clean.wall.as_secs_f64() / wall,
    );
    line(
        &format!("clean build of {pages} pages, processor"),
        clean.processor.as_secs_f64(),
        "core s",
        &format!("the unavoidable, {sum:.1} core s"),
        clean.processor.as_secs_f64() / sum,
    );
    line(
        "clean build, peak memory",
        clean.memory_mib,
        "MiB",
        "1.5 GiB",
        clean.memory_mib / 1536.0,
    );

    let again = foredge_runs(&foredge, &folder, "press")?;
    line(
        "build with nothing changed, wall",
        again.wall.as_secs_f64(),
        "s",
        "the clean build",
        again.wall.as_secs_f64() / clean.wall.as_secs_f64(),
    );

    // A picture is saved anew, as one that was never seen: what was made of others is no help.
    fs::copy(spare(&folder), piece(&folder, pictures / 2))?;
    let one = foredge_runs(&foredge, &folder, "press")?;
    line(
        "build after one picture changed, wall",
        one.wall.as_secs_f64(),
        "s",
        "the clean build",
        one.wall.as_secs_f64() / clean.wall.as_secs_f64(),
    );

    let mut status: Vec<f64> = (0..7)
        .map(|_| {
            Ok(foredge_runs(&foredge, &folder, "status")?
                .wall
                .as_secs_f64()
                * 1000.0)
        })
        .collect::<Outcome<_>>()?;
    status.sort_by(f64::total_cmp);
    line(
        "foredge status, the process included, median of 7",
        status[3],
        "ms",
        "100 ms",
        status[3] / 100.0,
    );
    if !whole {
        eprintln!("bench_job: {pictures} pictures only; the figures above are no result");
    }
    Ok(())
}

fn line(name: &str, value: f64, unit: &str, against: &str, ratio: f64) {
    println!(
        r#"{{"name":"{name}","value":{value:.3},"unit":"{unit}","against":"{against}","ratio":{ratio:.3}}}"#
    );
}

fn cores() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from)
}

fn piece(folder: &Path, index: usize) -> PathBuf {
    folder.join("art").join(format!("picture-{index:02}.jpg"))
}

/// A picture that is not in the book yet.
fn spare(folder: &Path) -> PathBuf {
    folder.with_extension("spare.jpg")
}

/// A turn of the motif that no picture of the book has.
const SPARE_TURN: usize = 17;

/// A book of spreads, with a title page before them and the last picture on a page behind them.
fn make_book(folder: &Path, pictures: usize) -> Outcome<()> {
    fs::create_dir_all(folder.join("art"))?;
    let all = demo::book().pieces;
    for (number, motif) in MOTIFS.iter().enumerate().take(pictures) {
        let drawn = all
            .iter()
            .find(|piece| piece.name.starts_with(motif))
            .ok_or("the demonstration lacks a spread")?;
        let (width, height, demo::Pixels::Rgb8(rgb)) = drawn.draw_small(ACROSS) else {
            return Err("the spread is not 8-bit RGB".into());
        };
        if number == 0 {
            let bytes = jpeg(&variant(&rgb, width as usize, SPARE_TURN), width, height)?;
            fs::write(spare(folder), bytes)?;
        }
        let mine: Vec<usize> = (number..pictures).step_by(MOTIFS.len()).collect();
        mine.par_iter().try_for_each(|&index| {
            let bytes = jpeg(
                &variant(&rgb, width as usize, index / MOTIFS.len()),
                width,
                height,
            )
            .map_err(|error| error.to_string())?;
            fs::write(piece(folder, index), bytes).map_err(|error| error.to_string())
        })?;
    }
    let mut book = String::from(
        "[book]\ntitle = \"Bench\"\n[format]\ntrim = \"250x300mm\"\n[binding]\nkind = \"sewn soft\"\nsignature = 16\n[stock.text]\ngrammage = \"150 g/m2\"\n[press]\ncondition = \"coated\"\nrendering = \"relative\"\npictures = \"jpeg\"\n[[page]]\nname = \"title\"\ntreatment = \"title\"\n",
    );
    for index in 0..pictures {
        let treatment = if index + 1 == pictures {
            "full page"
        } else {
            "spread"
        };
        write!(
            book,
            "[[page]]\nname = \"p{index}\"\ntreatment = \"{treatment}\"\nart = \"picture-{index:02}.jpg\"\n"
        )?;
    }
    fs::write(folder.join("book.toml"), book)?;
    Ok(())
}

/// The same motif otherwise: rows moved round, mirrored, channels exchanged; no two files alike.
fn variant(rgb: &[u8], width: usize, turn: usize) -> Vec<u8> {
    let rows = rgb.len() / (width * 3);
    let mut out = Vec::with_capacity(rgb.len());
    for row in 0..rows {
        let from = (row + turn * rows / 16) % rows * width * 3;
        let row = &rgb[from..from + width * 3];
        let exchange = |p: &[u8]| match turn / 2 % 3 {
            0 => [p[0], p[1], p[2]],
            1 => [p[2], p[0], p[1]],
            _ => [p[1], p[2], p[0]],
        };
        if turn.is_multiple_of(2) {
            out.extend(row.chunks_exact(3).flat_map(exchange));
        } else {
            out.extend(row.chunks_exact(3).rev().flat_map(exchange));
        }
    }
    out
}

fn jpeg(rgb: &[u8], width: u32, height: u32) -> Outcome<Vec<u8>> {
    let mut out = Vec::new();
    let mut encoder = Encoder::new(&mut out, 92);
    encoder.set_sampling_factor(SamplingFactor::F_1_1);
    encoder.encode(
        rgb,
        u16::try_from(width)?,
        u16::try_from(height)?,
        ColorType::Rgb,
    )?;
    Ok(out)
}

/// Processor time of the four steps, summed over the measured pictures and over the workers.
#[derive(Default)]
struct Alone {
    decode: Duration,
    resample: Duration,
    separate: Duration,
    compress: Duration,
    /// From the first to the last, with all workers at it.
    wall: Duration,
}

impl Alone {
    fn total(&self) -> f64 {
        (self.decode + self.resample + self.separate + self.compress).as_secs_f64()
    }
}

/// Processor time that this thread has had, from `/proc` (proc(5): schedstat, nanoseconds): right on
/// a machine with other work too.
fn on_processor() -> Duration {
    fs::read_to_string("/proc/thread-self/schedstat")
        .ok()
        .and_then(|text| text.split_whitespace().next()?.parse().ok())
        .map_or(Duration::ZERO, Duration::from_nanos)
}

/// Decodes, resamples, separates and compresses the first pictures, one a worker at a time.
fn unavoidable(folder: &Path, pictures: usize) -> Outcome<Alone> {
    let press = PressCondition::built_in("coated").ok_or("the coated condition is built in")?;
    let ink_limit = press.ink_limit;
    let table = Separation::build(&Recipe {
        source: Profile::srgb(),
        press,
        intent: Intent::Relative,
        ink_limit,
        compensation: colour::Compensation::NONE,
        departure: None,
    })?;
    let files: Vec<Vec<u8>> = (0..MEASURED.min(pictures))
        .map(|index| fs::read(piece(folder, index)))
        .collect::<Result<_, _>>()?;
    // One thread a picture, as many as there are cores; each thread's own pool has one worker, so
    // that what a step spends is what is counted.
    let next = std::sync::atomic::AtomicUsize::new(0);
    let started = Instant::now();
    let parts: Vec<Result<Alone, String>> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..cores())
            .map(|_| {
                scope.spawn(|| {
                    let pool = rayon::ThreadPoolBuilder::new()
                        .num_threads(1)
                        .build()
                        .map_err(|error| error.to_string())?;
                    pool.install(|| {
                        let mut sum = Alone::default();
                        while let Some(bytes) =
                            files.get(next.fetch_add(1, std::sync::atomic::Ordering::Relaxed))
                        {
                            one_spread(bytes, &table, &mut sum)?;
                        }
                        Ok(sum)
                    })
                })
            })
            .collect();
        workers
            .into_iter()
            .map(|worker| {
                worker
                    .join()
                    .unwrap_or_else(|_| Err("a worker failed".to_owned()))
            })
            .collect()
    });
    let mut all = Alone {
        wall: started.elapsed(),
        ..Alone::default()
    };
    for part in parts {
        let part = part?;
        all.decode += part.decode;
        all.resample += part.resample;
        all.separate += part.separate;
        all.compress += part.compress;
    }
    Ok(all)
}

fn one_spread(bytes: &[u8], table: &Separation, sum: &mut Alone) -> Result<(), String> {
    let at = on_processor();
    let picture = art::decode(bytes, &Limits::default()).map_err(|error| error.to_string())?;
    sum.decode += on_processor().saturating_sub(at);
    let at = on_processor();
    let small: Picture = art::resample(&picture, Window::whole(picture.size), PRESS);
    drop(picture);
    sum.resample += on_processor().saturating_sub(at);
    let at = on_processor();
    let mut cmyk = vec![0u8; PRESS.width as usize * PRESS.height as usize * 4];
    match &small.samples {
        Samples::Rgb8(rgb) => table.convert_rgb8(rgb, &mut cmyk),
        Samples::Rgb16(rgb) => table.convert_rgb16(rgb, &mut cmyk),
        _ => return Err("a JPEG of three channels came back otherwise".to_owned()),
    }
    sum.separate += on_processor().saturating_sub(at);
    let at = on_processor();
    let stored = ImageData::encode(PRESS, ImageCoding::Jpeg, &cmyk);
    std::hint::black_box(&stored);
    sum.compress += on_processor().saturating_sub(at);
    Ok(())
}

/// What a run of the binary took.
struct Run {
    wall: Duration,
    processor: Duration,
    memory_mib: f64,
}

/// Runs one command on the book and watches the process until it ends.
fn foredge_runs(foredge: &Path, folder: &Path, command: &str) -> Outcome<Run> {
    let started = Instant::now();
    let mut child = Command::new(foredge)
        .arg("--book")
        .arg(folder)
        .args(["--json", command])
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()?;
    let process = PathBuf::from("/proc").join(child.id().to_string());
    let (mut memory, mut ticks) = (0.0f64, 0.0f64);
    let code = loop {
        if let Some(code) = child.try_wait()? {
            break code;
        }
        // Both only grow, so the last reading before the end is right but for its last moment.
        if let Ok(status) = fs::read_to_string(process.join("status")) {
            let peak = status
                .lines()
                .find_map(|line| line.strip_prefix("VmHWM:"))
                .and_then(|rest| rest.trim().trim_end_matches(" kB").trim().parse().ok());
            memory = memory.max(peak.unwrap_or(0.0) / 1024.0);
        }
        if let Ok(stat) = fs::read_to_string(process.join("stat")) {
            // Fields 14 and 15 (proc(5)), counted from behind the name, which may hold spaces.
            let fields: Vec<&str> = stat
                .rsplit(')')
                .next()
                .unwrap_or("")
                .split_whitespace()
                .collect();
            let field = |at: usize| fields.get(at).and_then(|text| text.parse::<f64>().ok());
            ticks = ticks.max(field(11).unwrap_or(0.0) + field(12).unwrap_or(0.0));
        }
        std::thread::sleep(Duration::from_millis(if command == "status" {
            1
        } else {
            10
        }));
    };
    let wall = started.elapsed();
    if !matches!(code.code(), Some(0 | 1)) {
        return Err(format!("foredge {command} ended with {code}").into());
    }
    Ok(Run {
        wall,
        // A tick is a hundredth of a second on Linux, whatever the kernel's own clock.
        processor: Duration::from_secs_f64(ticks / 100.0),
        memory_mib: memory,
    })
}
