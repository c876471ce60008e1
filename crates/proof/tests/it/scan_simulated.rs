//! Scans that were never made: a strip of known colours laid on a sheet, and seen by a scanner with
//! a light, an optics, a sensor and a file format of its own. Shares no code with the reader.

use std::sync::OnceLock;

use art::{Picture, Samples};
use colour::{Compensation, InkLimit, Intent, Lab, PressCondition, Profile, Recipe, Separation};
use measure::{Length, PixelSize, Rect};
use proof::{Chosen, MARK_SIDE, Mark, MarkPicture, PracticePress, Strip, StripLayout, StripTables};

/// A strip of two dozen colours on the coated condition, and what two presses print of it.
pub struct Bench {
    pub strip: Strip,
    pub layout: StripLayout,
    pub mark: Mark,
    pub right: Vec<Lab>,
    pub heavy: Vec<Lab>,
}

pub fn bench() -> &'static Bench {
    static BENCH: OnceLock<Bench> = OnceLock::new();
    BENCH.get_or_init(|| {
        let press = PressCondition::built_in("coated").unwrap();
        let ink_limit = InkLimit::from_percent(300.0).unwrap();
        let printed = Separation::build(&Recipe {
            source: Profile::srgb(),
            press: press.clone(),
            intent: Intent::Relative,
            ink_limit,
            compensation: Compensation::NONE,
            departure: None,
        })
        .unwrap();
        let colours: Vec<Chosen> = (0..24_u32)
            .map(|i| {
                let word = |step: u32| ((i * step % 24) * 2700 + 2000) as u16;
                let rgb = [word(1), word(7), word(11)];
                let device = rgb.map(|word| f32::from(word) / 65535.0);
                let lab = Profile::srgb().lab_of(&[device]).unwrap()[0];
                Chosen {
                    rgb,
                    lab,
                    share: 1.0 / 24.0,
                    pull: 1.0,
                }
            })
            .collect();
        let strip = Strip::build(
            3,
            &colours,
            StripTables {
                press: &press,
                ink_limit,
                printed: &printed,
                unlearned: None,
            },
        )
        .unwrap();
        let layout = StripLayout::of(&strip, Length::from_mm(206.0));
        let inks: Vec<[u8; 4]> = strip.patches.iter().map(|patch| patch.ink).collect();
        Bench {
            right: PracticePress::RIGHT.print(&press, &inks).unwrap(),
            heavy: PracticePress::HEAVY.print(&press, &inks).unwrap(),
            layout,
            mark: Mark {
                page: Some(12),
                file: "0a1b2c3d".into(),
                version: 3,
            },
            strip,
        }
    })
}

/// A sheet with a strip on it, and how it is scanned.
#[derive(Clone)]
pub struct Scene {
    /// Size of the scan, in mm.
    pub glass: (f64, f64),
    /// Where the strip's upper left corner lies on the sheet, in mm.
    pub at: (f64, f64),
    /// The sheet, in mm; beyond it is the scanner's lid.
    pub sheet: (f64, f64),
    /// Where the sheet's upper left corner lies on the glass, in mm.
    pub sheet_at: (f64, f64),
    /// Linear light of the lid.
    pub lid: f64,
    /// Pixels per inch.
    pub ppi: f64,
    /// Turn of the sheet about the middle of the glass, clockwise, in degrees.
    pub turn: f64,
    /// How much smaller the right end is seen, as a share of its size.
    pub perspective: f64,
    /// Halftone dots per mm, or none.
    pub screen: Option<f64>,
    /// Standard deviation of the blur, in mm.
    pub blur: f64,
    /// Standard deviation of the noise, in bytes.
    pub noise: f64,
    /// Gain of each channel.
    pub cast: [f64; 3],
    /// Stray light that is added to each channel, linear.
    pub flare: f64,
    /// What each channel's light is raised to before it is encoded as sRGB.
    pub exponent: [f64; 3],
    /// How much of the other two channels each channel sees besides its own.
    pub mixing: f64,
    /// Quality of JPEG, or none.
    pub jpeg: Option<u8>,
    /// Hairs and specks on the glass.
    pub dust: usize,
    /// Seed of noise and dust.
    pub seed: u64,
}

impl Scene {
    /// A strip alone on the glass, scanned without fault.
    pub fn plain(layout: &StripLayout) -> Self {
        let (width, height) = (layout.size.width.mm(), layout.size.height.mm());
        Self {
            glass: (width + 16.0, height + 16.0),
            at: (8.0, 8.0),
            sheet: (width + 16.0, height + 16.0),
            sheet_at: (0.0, 0.0),
            lid: 0.9,
            ppi: 300.0,
            turn: 0.0,
            perspective: 0.0,
            screen: None,
            blur: 0.04,
            noise: 0.0,
            cast: [1.0; 3],
            flare: 0.0,
            exponent: [1.0; 3],
            mixing: 0.0,
            jpeg: None,
            dust: 0,
            seed: 1,
        }
    }

    /// The same as a usual flatbed sees it: noise, blur, halftone, a cast, stray light, JPEG.
    pub fn usual(layout: &StripLayout) -> Self {
        Self {
            screen: Some(6.0),
            blur: 0.06,
            noise: 2.5,
            cast: [0.97, 1.0, 0.92],
            flare: 0.004,
            exponent: [0.95; 3],
            mixing: 0.03,
            jpeg: Some(88),
            ..Self::plain(layout)
        }
    }

    /// A whole A4 sheet with pictures on it, the strip at its foot, on a glass of its size.
    pub fn a4(layout: &StripLayout) -> Self {
        Self {
            glass: (210.0, 297.0),
            sheet: (210.0, 297.0),
            at: (2.0, 295.0 - layout.size.height.mm()),
            ..Self::usual(layout)
        }
    }

    /// Scans the strip; `printed` are the patches' true colours, absolute.
    pub fn scan(
        &self,
        strip: &Strip,
        layout: &StripLayout,
        mark: &Mark,
        printed: &[Lab],
    ) -> Picture {
        let per_mm = self.ppi / 25.4;
        let width = (self.glass.0 * per_mm).round() as usize;
        let height = (self.glass.1 * per_mm).round() as usize;
        let sheet = Sheet::of(self, strip, layout, mark, printed);
        let mut light = vec![[0.0_f32; 3]; width * height];
        // The coarser the scan, the more of the dots lie in one of its pixels.
        let parts = if self.ppi < 250.0 { 5 } else { 2 };
        for y in 0..height {
            for x in 0..width {
                let mut sum = [0.0; 3];
                for at in 0..parts * parts {
                    let inside = |part: usize| (part as f64 + 0.5) / parts as f64;
                    let place = self.on_sheet((
                        (x as f64 + inside(at % parts)) / per_mm,
                        (y as f64 + inside(at / parts)) / per_mm,
                    ));
                    for (sum, light) in sum.iter_mut().zip(sheet.light(place)) {
                        *sum += light / (parts * parts) as f64;
                    }
                }
                light[y * width + x] = sum.map(|light| light as f32);
            }
        }
        blur(&mut light, width, self.blur * per_mm);
        let mut noise = Noise(self.seed);
        for _ in 0..self.dust {
            self.hair(&mut light, (width, height), &mut noise);
        }
        let bytes: Vec<u8> = light
            .into_iter()
            .flat_map(|light| self.encoded(light, &mut noise))
            .collect();
        let size = PixelSize {
            width: width as u32,
            height: height as u32,
        };
        match self.jpeg {
            Some(quality) => through_jpeg(&bytes, size, quality),
            None => Picture {
                size,
                samples: Samples::Rgb8(bytes),
                profile: None,
                remarks: Vec::new(),
            },
        }
    }

    /// From mm on the glass to mm on the sheet.
    fn on_sheet(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let (cx, cy) = (self.glass.0 / 2.0, self.glass.1 / 2.0);
        // The right end is farther away: what is seen there at a distance is larger in truth.
        let depth = 1.0 / (1.0 - self.perspective * (x / self.glass.0));
        let (x, y) = ((x - cx) * depth, (y - cy) * depth);
        let (sin, cos) = self.turn.to_radians().sin_cos();
        (
            x * cos + y * sin + cx - self.sheet_at.0,
            y * cos - x * sin + cy - self.sheet_at.1,
        )
    }

    /// What the scanner writes for a light.
    fn encoded(&self, light: [f32; 3], noise: &mut Noise) -> [u8; 3] {
        let light = light.map(f64::from);
        let sum: f64 = light.iter().sum();
        let mut written = [0; 3];
        for (channel, written) in written.iter_mut().enumerate() {
            let own = light[channel];
            let mixed = own * (1.0 - 2.0 * self.mixing) + (sum - own) * self.mixing;
            let seen = (mixed * self.cast[channel] + self.flare).clamp(0.0, 1.0);
            let value =
                srgb(seen.powf(self.exponent[channel])) * 255.0 + noise.normal() * self.noise;
            *written = value.round().clamp(0.0, 255.0) as u8;
        }
        written
    }

    /// A dark hair somewhere.
    fn hair(&self, light: &mut [[f32; 3]], (width, height): (usize, usize), noise: &mut Noise) {
        let (mut x, mut y) = (noise.even() * width as f64, noise.even() * height as f64);
        let mut course = noise.even() * std::f64::consts::TAU;
        for _ in 0..(2.0 * self.ppi / 25.4) as usize {
            for (dx, dy) in [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)] {
                let (column, row) = ((x + dx) as usize, (y + dy) as usize);
                if x >= 0.0 && y >= 0.0 && column < width && row < height {
                    light[row * width + column] = [0.02; 3];
                }
            }
            course += (noise.even() - 0.5) * 0.2;
            x += course.cos();
            y += course.sin();
        }
    }
}

/// What lies on the glass, as linear sRGB.
struct Sheet<'a> {
    scene: &'a Scene,
    layout: &'a StripLayout,
    mark: MarkPicture,
    paper: [f64; 3],
    black: [f64; 3],
    patches: Vec<[f64; 3]>,
}

impl<'a> Sheet<'a> {
    fn of(
        scene: &'a Scene,
        strip: &Strip,
        layout: &'a StripLayout,
        mark: &Mark,
        printed: &[Lab],
    ) -> Self {
        let patches: Vec<[f64; 3]> = printed.iter().map(|&lab| linear(lab)).collect();
        let of_ink = |ink: [u8; 4]| {
            let at = strip
                .patches
                .iter()
                .position(|patch| patch.ink == ink)
                .unwrap();
            patches[at]
        };
        Self {
            scene,
            layout,
            mark: MarkPicture::of(mark).unwrap(),
            paper: of_ink([0; 4]),
            black: of_ink([0, 0, 0, 255]),
            patches,
        }
    }

    fn light(&self, (x, y): (f64, f64)) -> [f64; 3] {
        let (width, height) = self.scene.sheet;
        if x < 0.0 || y < 0.0 || x >= width || y >= height {
            return [self.scene.lid; 3];
        }
        let (u, v) = (x - self.scene.at.0, y - self.scene.at.1);
        let (wide, high) = (self.layout.size.width.mm(), self.layout.size.height.mm());
        if u >= 0.0 && v >= 0.0 && u < wide && v < high {
            return self.on_strip(u, v);
        }
        if v < -4.0 && x > 10.0 && x < width - 10.0 && y > 10.0 {
            return picture(x, y);
        }
        self.paper
    }

    fn on_strip(&self, u: f64, v: f64) -> [f64; 3] {
        let inside = |rect: &Rect| {
            u >= rect.x.mm() && v >= rect.y.mm() && u < rect.right().mm() && v < rect.bottom().mm()
        };
        if inside(&self.layout.mark) {
            let module = self.layout.mark.width.mm() / MARK_SIDE as f64;
            let column = ((u - self.layout.mark.x.mm()) / module) as usize;
            let row = ((v - self.layout.mark.y.mm()) / module) as usize;
            return if self.mark.is_dark(column, row) {
                self.black
            } else {
                self.paper
            };
        }
        if self.layout.corners.iter().any(inside) {
            return self.black;
        }
        match self.layout.patches.iter().position(inside) {
            Some(at) => self.dots(self.patches[at], u, v),
            None => self.paper,
        }
    }

    /// A colour as dots that come to it on average, as far as paper and black leave room.
    fn dots(&self, colour: [f64; 3], u: f64, v: f64) -> [f64; 3] {
        let Some(per_mm) = self.scene.screen else {
            return colour;
        };
        let (along, across) = ((u + v) * per_mm, (u - v) * per_mm);
        let dark = (along.rem_euclid(1.0) < 0.5) == (across.rem_euclid(1.0) < 0.5);
        let sign = if dark { -0.6 } else { 0.6 };
        [0, 1, 2].map(|channel| {
            let room = (self.paper[channel] - colour[channel])
                .min(colour[channel] - self.black[channel])
                .max(0.0);
            colour[channel] + sign * room
        })
    }
}

/// Something to look at that is no strip: smooth waves, hard edges and rings.
fn picture(x: f64, y: f64) -> [f64; 3] {
    let ring = ((x - 105.0).hypot(y - 120.0) / 3.0).sin();
    let check = f64::from(((x / 5.0) as i64 + (y / 5.0) as i64) % 2 == 0);
    [
        0.4 + 0.3 * (x / 17.0).sin() + 0.2 * ring,
        0.4 + 0.3 * (y / 23.0).cos() + 0.2 * check,
        0.3 + 0.2 * ((x + y) / 31.0).sin() + 0.2 * ring * check,
    ]
    .map(|light: f64| light.clamp(0.01, 0.9))
}

/// Lab (D50) to linear sRGB, after CIE 15 and the Bradford-adapted primaries as Lindbloom prints
/// their inverse.
pub fn linear(lab: Lab) -> [f64; 3] {
    let y = (lab.l + 16.0) / 116.0;
    let f = |t: f64| {
        if t.powi(3) > 0.008_856 {
            t.powi(3)
        } else {
            (t - 16.0 / 116.0) / 7.787
        }
    };
    let (x, y, z) = (
        0.9642 * f(y + lab.a / 500.0),
        f(y),
        0.8249 * f(y - lab.b / 200.0),
    );
    [
        3.133_856_1 * x - 1.616_866_7 * y - 0.490_614_6 * z,
        -0.978_768_4 * x + 1.916_141_5 * y + 0.033_454_0 * z,
        0.071_945_3 * x - 0.228_991_4 * y + 1.405_242_7 * z,
    ]
}

fn srgb(light: f64) -> f64 {
    if light <= 0.003_130_8 {
        light * 12.92
    } else {
        1.055 * light.powf(1.0 / 2.4) - 0.055
    }
}

/// A bell curve along both axes.
fn blur(light: &mut [[f32; 3]], width: usize, sigma: f64) {
    if sigma < 0.1 {
        return;
    }
    let reach = (sigma * 3.0).ceil() as isize;
    let weights: Vec<f32> = (-reach..=reach)
        .map(|at| (-0.5 * (at as f64 / sigma).powi(2)).exp() as f32)
        .collect();
    let total: f32 = weights.iter().sum();
    let height = light.len() / width;
    for (count, step, length, apart) in [(height, 1, width, width), (width, width, height, 1)] {
        let mut line = vec![[0.0_f32; 3]; length];
        for at in 0..count {
            for (i, pixel) in line.iter_mut().enumerate() {
                *pixel = light[at * apart + i * step];
            }
            for i in 0..length {
                let mut sum = [0.0_f32; 3];
                for (weight, offset) in weights.iter().zip(-reach..=reach) {
                    let from = (i as isize + offset).clamp(0, length as isize - 1) as usize;
                    for (sum, value) in sum.iter_mut().zip(line[from]) {
                        *sum += weight * value / total;
                    }
                }
                light[at * apart + i * step] = sum;
            }
        }
    }
}

fn through_jpeg(bytes: &[u8], size: PixelSize, quality: u8) -> Picture {
    let mut file = Vec::new();
    jpeg_encoder::Encoder::new(&mut file, quality)
        .encode(
            bytes,
            size.width as u16,
            size.height as u16,
            jpeg_encoder::ColorType::Rgb,
        )
        .unwrap();
    art::decode(&file, &art::Limits::default()).unwrap()
}

/// Noise that is the same at every run (xorshift, after Marsaglia 2003).
pub struct Noise(pub u64);

impl Noise {
    pub fn even(&mut self) -> f64 {
        let mut state = self.0.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        self.0 = self.0.wrapping_add(0x1234_5679_abcd_ef01);
        ((state >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    /// Of standard deviation 1: twelve even numbers come near enough to a bell curve.
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.even()).sum::<f64>() - 6.0
    }
}
