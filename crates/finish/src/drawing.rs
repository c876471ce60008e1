use std::sync::Arc;

use measure::Size;
use usvg::tiny_skia_path::{PathSegment, Transform};
use usvg::{Group, Node, Options, Paint, Path, Tree};

use crate::fit::{self, Fit, Fitted};
use crate::outline::{Command, FillRule, Shape};
use crate::{FinishError, polygon, safety};

/// Typefaces that words in a drawing may be set in.
#[derive(Debug, Clone, Default)]
pub struct Typefaces {
    database: Arc<usvg::fontdb::Database>,
}

impl Typefaces {
    /// From the bytes of font files.
    pub fn new(files: impl IntoIterator<Item = &'static [u8]>) -> Self {
        let mut database = usvg::fontdb::Database::new();
        for file in files {
            database.load_font_source(usvg::fontdb::Source::Binary(Arc::new(file)));
        }
        Self {
            database: Arc::new(database),
        }
    }

    fn has(&self, family: &str) -> bool {
        self.database.faces().any(|face| {
            face.families
                .iter()
                .any(|(name, _)| name.eq_ignore_ascii_case(family))
        })
    }
}

/// An SVG as shapes of a plate.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    shapes: Vec<Shape>,
    /// Width by height, as drawn.
    proportions: (f64, f64),
}

/// Units of a drawing to the inch, as CSS counts its pixels.
const UNITS_TO_INCH: f64 = 96.0;
/// Under this opacity a shape is no shape.
const UNSEEN: f32 = 0.004;

impl Drawing {
    /// Reads an SVG. Dark shapes make the plate, light ones take it away again.
    ///
    /// # Errors
    /// What is no SVG; whatever fetches something from elsewhere, holds itself, or unfolds without
    /// end; pictures, fades, transparency, clipping and effects; words in a typeface that is not at
    /// hand; a drawing with nothing dark.
    pub fn read(text: &str, typefaces: &Typefaces) -> Result<Self, FinishError> {
        let document = safety::open(text)?;
        for node in document.descendants().filter(|node| node.is_element()) {
            if let Some(family) = family(node)
                && !typefaces.has(&family)
            {
                return Err(FinishError::Drawing {
                    line: document.text_pos_at(node.range().start).row,
                    what: format!("its words are set in `{family}`, which is not at hand"),
                });
            }
        }
        let has_words = document.descendants().any(|node| {
            node.is_element()
                && node.tag_name().name() == "text"
                && node
                    .descendants()
                    .filter_map(|node| node.text())
                    .any(|text| !text.trim().is_empty())
        });
        let options = Options {
            fontdb: typefaces.database.clone(),
            ..Options::default()
        };
        let tree = Tree::from_xmltree(&document, &options)
            .map_err(|error| FinishError::NoSvg(error.to_string()))?;
        // Words for which there is no typeface are left out without a word.
        if has_words && !tree.has_text_nodes() {
            return Err(content(NO_TYPEFACE));
        }
        let mut shapes = Vec::new();
        group(tree.root(), Transform::identity(), &mut shapes)?;
        if !shapes.iter().any(|shape| shape.adds) {
            return Err(FinishError::Empty);
        }
        let size = tree.size();
        Ok(Self {
            shapes,
            proportions: (f64::from(size.width()), f64::from(size.height())),
        })
    }

    /// The shapes, at the size of the face in millimetres, and what was done so that they fit.
    ///
    /// # Errors
    /// Proportions that are off by more than half a percent, unless `fit` says what to do then.
    pub fn shapes(
        &self,
        face: Size,
        fit: Fit,
    ) -> Result<(Vec<Shape>, Option<Fitted>), FinishError> {
        let told = |width: f64, height: f64| {
            let mm = |units: f64| units * 25.4 / UNITS_TO_INCH;
            format!("{:.1} × {:.1} mm", mm(width), mm(height))
        };
        let placing = fit::place(self.proportions, face, fit, 0.0, told)?;
        let (across, down) = placing.scale;
        let (width, height) = self.proportions;
        let corner = [placing.left, placing.top];
        let end = [corner[0] + width * across, corner[1] + height * down];
        let on_face = |shape: &Shape| {
            let commands = shape.outline.iter();
            let outline = commands
                .map(|command| command.scaled(across, down).moved(corner[0], corner[1]))
                .collect();
            let shape = Shape {
                outline: polygon::bounded(outline, face),
                ..shape.clone()
            };
            // Where the drawing ends within the face, nothing of it stands beyond.
            match placing.fitted {
                Some(Fitted::Centred { .. }) => polygon::cut_to(shape, corner, end),
                _ => shape,
            }
        };
        let shapes = self.shapes.iter().map(on_face).collect();
        Ok((shapes, placing.fitted))
    }
}

const NO_TYPEFACE: &str = "words are set in a typeface that is not at hand";

/// The first typeface that an element names, as an attribute or in its style.
fn family(node: usvg::roxmltree::Node<'_, '_>) -> Option<String> {
    let styled = || {
        let style = node.attribute("style")?;
        style.split(';').find_map(|rule| {
            let (name, value) = rule.split_once(':')?;
            (name.trim() == "font-family").then_some(value)
        })
    };
    let families = node.attribute("font-family").or_else(styled)?;
    let first = families.split(',').next()?;
    Some(first.trim().trim_matches(['"', '\'']).to_owned())
}

fn content(what: &str) -> FinishError {
    FinishError::Content(what.to_owned())
}

/// Transforms are multiplied on the way down: the absolute ones that the reader keeps count those of
/// copies twice.
fn group(of: &Group, around: Transform, shapes: &mut Vec<Shape>) -> Result<(), FinishError> {
    if of.opacity().get() < UNSEEN {
        return Ok(());
    }
    if of.opacity().get() < 1.0 {
        return Err(content(
            "a shape is half transparent; a plate is there or not",
        ));
    }
    if of.clip_path().is_some() || of.mask().is_some() {
        return Err(content("a shape is clipped by another one"));
    }
    if !of.filters().is_empty() {
        return Err(content(
            "a shape carries an effect, such as a blur or a shadow",
        ));
    }
    let transform = around.pre_concat(of.transform());
    for node in of.children() {
        match node {
            Node::Group(inner) => group(inner, transform, shapes)?,
            Node::Path(one) => path(one, transform, shapes)?,
            Node::Image(_) => return Err(content("a picture stands in the drawing")),
            Node::Text(text) => {
                let before = shapes.len();
                group(text.flattened(), transform, shapes)?;
                if shapes.len() == before {
                    return Err(content(NO_TYPEFACE));
                }
            }
        }
    }
    Ok(())
}

fn path(path: &Path, transform: Transform, shapes: &mut Vec<Shape>) -> Result<(), FinishError> {
    if !path.is_visible() {
        return Ok(());
    }
    let mut layers = Vec::new();
    if let Some(fill) = path.fill()
        && fill.opacity().get() >= UNSEEN
    {
        let adds = dark(fill.paint(), fill.opacity().get())?;
        let rule = match fill.rule() {
            usvg::FillRule::NonZero => FillRule::NonZero,
            usvg::FillRule::EvenOdd => FillRule::EvenOdd,
        };
        layers.push(Shape {
            outline: outline(path.data(), transform),
            rule,
            adds,
        });
    }
    if let Some(stroke) = path.stroke()
        && stroke.opacity().get() >= UNSEEN
    {
        let adds = dark(stroke.paint(), stroke.opacity().get())?;
        // Fine enough for a thousandth of the drawing's unit, whatever it is scaled to.
        let fine = 100.0;
        if let Some(stroked) = path.data().stroke(&stroke.to_tiny_skia(), fine) {
            layers.push(Shape {
                outline: outline(&stroked, transform),
                rule: FillRule::NonZero,
                adds,
            });
        }
    }
    if path.paint_order() == usvg::PaintOrder::StrokeAndFill {
        layers.reverse();
    }
    shapes.extend(layers);
    Ok(())
}

/// Whether a paint is plate: darker than half the way from black to white.
fn dark(paint: &Paint, opacity: f32) -> Result<bool, FinishError> {
    if opacity < 1.0 {
        return Err(content(
            "a shape is half transparent; a plate is there or not",
        ));
    }
    match paint {
        Paint::Color(colour) => {
            // Luma of ITU-R BT.601, near enough to tell dark from light.
            let luma = 299 * u32::from(colour.red)
                + 587 * u32::from(colour.green)
                + 114 * u32::from(colour.blue);
            Ok(luma < 127_500)
        }
        Paint::LinearGradient(_) | Paint::RadialGradient(_) => {
            Err(content("a shape fades; a plate is there or not"))
        }
        Paint::Pattern(_) => Err(content("a shape is filled with a pattern")),
    }
}

fn outline(path: &usvg::tiny_skia_path::Path, transform: Transform) -> Vec<Command> {
    path.clone()
        .transform(transform)
        .map_or_else(Vec::new, |path| steps(&path))
}

/// A path as steps of an outline.
pub(crate) fn steps(path: &usvg::tiny_skia_path::Path) -> Vec<Command> {
    let mut at = (0.0, 0.0);
    let mut commands = Vec::new();
    let pair = |point: usvg::tiny_skia_path::Point| (f64::from(point.x), f64::from(point.y));
    for segment in path.segments() {
        match segment {
            PathSegment::MoveTo(to) => {
                at = pair(to);
                commands.push(Command::Move(at.0, at.1));
            }
            PathSegment::LineTo(to) => {
                at = pair(to);
                commands.push(Command::Line(at.0, at.1));
            }
            PathSegment::QuadTo(control, to) => {
                let (control, to) = (pair(control), pair(to));
                let third = |from: f64, control: f64| from + (control - from) * 2.0 / 3.0;
                commands.push(Command::Cubic(
                    third(at.0, control.0),
                    third(at.1, control.1),
                    third(to.0, control.0),
                    third(to.1, control.1),
                    to.0,
                    to.1,
                ));
                at = to;
            }
            PathSegment::CubicTo(one, two, to) => {
                let (one, two, to) = (pair(one), pair(two), pair(to));
                commands.push(Command::Cubic(one.0, one.1, two.0, two.1, to.0, to.1));
                at = to;
            }
            PathSegment::Close => commands.push(Command::Close),
        }
    }
    commands
}
