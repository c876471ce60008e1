use measure::{Length, PixelSize, Size};
use zeno::{Fill, Mask, PathBuilder, Vector};

use crate::polygon::{self, Point};

/// A step of an outline, in millimetres from the upper left corner of the face; y runs down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Command {
    /// Begins a contour.
    Move(f64, f64),
    /// A straight line.
    Line(f64, f64),
    /// A cubic curve: two controls, then its end.
    Cubic(f64, f64, f64, f64, f64, f64),
    /// Ends the contour where it began.
    Close,
}

impl Command {
    pub(crate) fn scaled(self, across: f64, down: f64) -> Self {
        match self {
            Self::Move(x, y) => Self::Move(x * across, y * down),
            Self::Line(x, y) => Self::Line(x * across, y * down),
            Self::Cubic(a, b, c, d, x, y) => Self::Cubic(
                a * across,
                b * down,
                c * across,
                d * down,
                x * across,
                y * down,
            ),
            Self::Close => Self::Close,
        }
    }

    pub(crate) fn moved(self, right: f64, down: f64) -> Self {
        match self {
            Self::Move(x, y) => Self::Move(x + right, y + down),
            Self::Line(x, y) => Self::Line(x + right, y + down),
            Self::Cubic(a, b, c, d, x, y) => Self::Cubic(
                a + right,
                b + down,
                c + right,
                d + down,
                x + right,
                y + down,
            ),
            Self::Close => Self::Close,
        }
    }
}

/// Which parts of crossing contours are inside.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FillRule {
    /// By the winding.
    NonZero,
    /// Every other.
    EvenOdd,
}

/// One filled shape of a drawing; later ones lie over earlier ones.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// Its outline.
    pub outline: Vec<Command>,
    /// What is inside.
    pub rule: FillRule,
    /// Whether it adds to the plate; a light shape takes away what lies under it.
    pub adds: bool,
}

/// Paints shapes on pixels: 1 where the plate is.
pub(crate) fn paint(shapes: &[Shape], face: Size, size: PixelSize) -> Vec<u8> {
    let (width, height) = (size.width as usize, size.height as usize);
    let mut plate = vec![0_u8; width * height];
    let across = f64::from(size.width) / face.width.mm();
    let down = f64::from(size.height) / face.height.mm();
    for shape in shapes {
        let commands = commands(&shape.outline, across, down, size);
        let Some([left, top, right, bottom]) = extent(&commands, size) else {
            continue;
        };
        let mut mask = Mask::new(&commands[..]);
        mask.style(match shape.rule {
            FillRule::NonZero => Fill::NonZero,
            FillRule::EvenOdd => Fill::EvenOdd,
        });
        mask.offset((-(left as f32), -(top as f32)));
        mask.size((right - left) as u32, (bottom - top) as u32);
        let (coverage, _) = mask.render();
        for (y, line) in (top..bottom).zip(coverage.chunks_exact(right - left)) {
            let row = &mut plate[y * width + left..y * width + right];
            for (pixel, &coverage) in row.iter_mut().zip(line) {
                if coverage >= 128 {
                    *pixel = u8::from(shape.adds);
                }
            }
        }
    }
    plate
}

/// Longest step in pixels: the painter multiplies lengths in 256ths of a pixel within 32 bits.
const LONGEST_STEP: f64 = 4000.0;
/// How far a straightened curve may be off, in pixels.
const STRAIGHT: f64 = 0.02;

/// In pixels, straightened, and what lies beyond the face moved to just outside it: hostile figures
/// make no mask of gigabytes, and nothing within the face changes by it.
fn commands(outline: &[Command], across: f64, down: f64, size: PixelSize) -> Vec<zeno::Command> {
    let scaled: Vec<Command> = outline
        .iter()
        .map(|command| command.scaled(across, down))
        .collect();
    let beyond = [f64::from(size.width) + 2.0, f64::from(size.height) + 2.0];
    let mut commands = Vec::with_capacity(outline.len());
    for ring in polygon::rings(&scaled, STRAIGHT) {
        let ring = polygon::within(&ring, [-2.0, -2.0], beyond);
        let Some((&first, rest)) = ring.split_first() else {
            continue;
        };
        commands.move_to(vector(first));
        let mut at = first;
        for &to in rest.iter().chain([&first]) {
            let far = (to[0] - at[0]).abs().max((to[1] - at[1]).abs());
            let steps = (far / LONGEST_STEP).ceil().max(1.0) as u32;
            for step in 1..=steps {
                let t = f64::from(step) / f64::from(steps);
                commands.line_to(vector([
                    at[0] + (to[0] - at[0]) * t,
                    at[1] + (to[1] - at[1]) * t,
                ]));
            }
            at = to;
        }
        commands.close();
    }
    commands
}

fn vector([x, y]: Point) -> Vector {
    Vector::new(x as f32, y as f32)
}

/// The pixels of the face that the outline reaches: left, top, right, bottom.
fn extent(commands: &[zeno::Command], size: PixelSize) -> Option<[usize; 4]> {
    let (mut least, mut most) = ((f32::MAX, f32::MAX), (f32::MIN, f32::MIN));
    let mut take = |point: Vector| {
        least = (least.0.min(point.x), least.1.min(point.y));
        most = (most.0.max(point.x), most.1.max(point.y));
    };
    for command in commands {
        match *command {
            zeno::Command::MoveTo(to) | zeno::Command::LineTo(to) => take(to),
            // Curves were straightened.
            zeno::Command::QuadTo(..) | zeno::Command::CurveTo(..) | zeno::Command::Close => {}
        }
    }
    // A cast brings what lies outside of the numbers to their ends.
    let within = |value: f32, most: u32| (value.max(0.0) as usize).min(most as usize);
    let extent = [
        within(least.0.floor(), size.width),
        within(least.1.floor(), size.height),
        within(most.0.ceil(), size.width),
        within(most.1.ceil(), size.height),
    ];
    (extent[0] < extent[2] && extent[1] < extent[3]).then_some(extent)
}

impl Shape {
    /// A plain rectangle that adds.
    pub fn rectangle(x: Length, y: Length, width: Length, height: Length) -> Self {
        let (left, top) = (x.mm(), y.mm());
        let (right, bottom) = ((x + width).mm(), (y + height).mm());
        Self {
            outline: vec![
                Command::Move(left, top),
                Command::Line(right, top),
                Command::Line(right, bottom),
                Command::Line(left, bottom),
                Command::Close,
            ],
            rule: FillRule::NonZero,
            adds: true,
        }
    }
}
