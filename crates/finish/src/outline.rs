use measure::{Length, PixelSize, Size};
use zeno::{Fill, Mask, PathBuilder, Vector};

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

/// In pixels. What lies far beyond the face is brought nearer, to ten faces away, so that hostile
/// figures make no mask of gigabytes; a curve that reaches so far is bent by it.
fn commands(outline: &[Command], across: f64, down: f64, size: PixelSize) -> Vec<zeno::Command> {
    let point = |x: f64, y: f64| {
        let bring = |value: f64, most: u32| {
            let far = f64::from(most) * 10.0;
            if value.is_nan() {
                0.0
            } else {
                value.clamp(-far, far)
            }
        };
        Vector::new(
            bring(x * across, size.width) as f32,
            bring(y * down, size.height) as f32,
        )
    };
    let mut commands = Vec::with_capacity(outline.len());
    for command in outline {
        match *command {
            Command::Move(x, y) => {
                commands.move_to(point(x, y));
            }
            Command::Line(x, y) => {
                commands.line_to(point(x, y));
            }
            Command::Cubic(a, b, c, d, x, y) => {
                commands.curve_to(point(a, b), point(c, d), point(x, y));
            }
            Command::Close => {
                commands.close();
            }
        }
    }
    commands
}

/// The pixels of the face that the outline and its controls reach: left, top, right, bottom.
fn extent(commands: &[zeno::Command], size: PixelSize) -> Option<[usize; 4]> {
    let (mut least, mut most) = ((f32::MAX, f32::MAX), (f32::MIN, f32::MIN));
    let mut take = |point: Vector| {
        least = (least.0.min(point.x), least.1.min(point.y));
        most = (most.0.max(point.x), most.1.max(point.y));
    };
    for command in commands {
        match *command {
            zeno::Command::MoveTo(to) | zeno::Command::LineTo(to) => take(to),
            zeno::Command::QuadTo(control, to) => {
                take(control);
                take(to);
            }
            zeno::Command::CurveTo(one, two, to) => {
                take(one);
                take(two);
                take(to);
            }
            zeno::Command::Close => {}
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
