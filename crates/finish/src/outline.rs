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
        let mut mask = Mask::new(&commands[..]);
        mask.style(match shape.rule {
            FillRule::NonZero => Fill::NonZero,
            FillRule::EvenOdd => Fill::EvenOdd,
        });
        let (coverage, place) = mask.render();
        let row = place.width as usize;
        if row == 0 {
            continue;
        }
        for (y, line) in (i64::from(place.top)..).zip(coverage.chunks_exact(row)) {
            let Some(y) = usize::try_from(y).ok().filter(|y| *y < height) else {
                continue;
            };
            for (x, &coverage) in (i64::from(place.left)..).zip(line) {
                if coverage >= 128
                    && let Some(x) = usize::try_from(x).ok().filter(|x| *x < width)
                {
                    plate[y * width + x] = u8::from(shape.adds);
                }
            }
        }
    }
    plate
}

/// In pixels. What lies far outside is brought to just outside, so that no mask grows beyond the
/// face: straight lines stay on their side of every edge.
fn commands(outline: &[Command], across: f64, down: f64, size: PixelSize) -> Vec<zeno::Command> {
    let point = |x: f64, y: f64| {
        let margin = 64.0;
        let bring = |value: f64, most: u32| {
            if value.is_nan() {
                0.0
            } else {
                value.clamp(-margin, f64::from(most) + margin)
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
