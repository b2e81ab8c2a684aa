//! The paper and the pen: an SVG document in the making, on which plotters draws its axes too.

use std::cell::RefCell;
use std::convert::Infallible;
use std::rc::Rc;

use plotters::style::RGBColor;
use plotters_backend::text_anchor::{HPos, VPos};
use plotters_backend::{
    BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingBackend, DrawingErrorKind,
};

use super::style::{self, BODY, LINE, Stroke};
use super::words;

/// A place on the paper.
pub(super) type Spot = (i32, i32);

/// A drawing in the making: named layers, one above the other. Copies draw on the same paper.
#[derive(Clone)]
pub(super) struct Svg {
    body: Rc<RefCell<String>>,
    height: i32,
}

/// Where a text hangs from its point; the point is always half-way up the small letters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Hang {
    Left,
    Middle,
    Right,
}

impl Svg {
    pub fn new(height: i32) -> Self {
        Self {
            body: Rc::default(),
            height,
        }
    }

    fn put(&self, element: &str) {
        self.body.borrow_mut().push_str(element);
        self.body.borrow_mut().push('\n');
    }

    /// Draws one layer, which becomes a group of that class.
    pub fn layer<T>(&self, class: &str, draw: impl FnOnce() -> T) -> T {
        self.put(&format!("<g class=\"{class}\">"));
        let drawn = draw();
        self.put("</g>");
        drawn
    }

    /// Draws into a box, beyond which nothing shows. The name is that of the drawing, so that two
    /// of them on one page keep apart.
    pub fn clipped(&self, name: &str, from: Spot, to: Spot, draw: impl FnOnce()) {
        let id: String = name.chars().filter(char::is_ascii_alphanumeric).collect();
        self.put(&format!(
            "<g clip-path=\"url(#in-{id})\"><clipPath id=\"in-{id}\">"
        ));
        self.fill(from, to, style::INK);
        self.put("</clipPath>");
        draw();
        self.put("</g>");
    }

    /// The whole document, with its title and its description in words.
    pub fn finish(&self, title: &str, description: &str) -> String {
        let (wide, high) = (style::WIDTH, self.height);
        let millimetres = |units: i32| format!("{}.{}mm", units / 10, units % 10);
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" width=\"{}\" height=\"{}\" \
             viewBox=\"0 0 {wide} {high}\">\n<title>{}</title>\n<desc>{}</desc>\n{}</svg>\n",
            millimetres(wide),
            millimetres(high),
            escape(title),
            escape(description),
            self.body.borrow(),
        )
    }

    /// A line through points.
    pub fn path(&self, points: &[Spot], stroke: Stroke) {
        let dash: Vec<String> = stroke.dash.iter().map(ToString::to_string).collect();
        let dash = match dash.is_empty() {
            true => String::new(),
            false => format!(" stroke-dasharray=\"{}\"", dash.join(" ")),
        };
        self.put(&format!(
            "<polyline fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"{dash} points=\"{}\"/>",
            hex(stroke.colour),
            stroke.width,
            listed(points)
        ));
    }

    /// A filled box, given by its upper left and lower right corner.
    pub fn fill(&self, (left, up): Spot, (right, down): Spot, colour: RGBColor) {
        let (wide, high) = ((right - left).max(0), (down - up).max(0));
        self.put(&format!(
            "<rect x=\"{left}\" y=\"{up}\" width=\"{wide}\" height=\"{high}\" fill=\"{}\"/>",
            hex(colour)
        ));
    }

    /// A box's outline, given by two corners.
    pub fn frame(&self, from: Spot, to: Spot, stroke: Stroke) {
        let around = [from, (to.0, from.1), to, (from.0, to.1), from];
        self.path(&around, stroke);
    }

    /// A box in slanted stripes, given by its upper left and lower right corner.
    pub fn hatch(&self, (left, up): Spot, (right, down): Spot, stroke: Stroke) {
        const APART: i32 = 12;
        let high = down - up;
        let mut x = left - high + APART;
        while x < right {
            // From the floor at `x` up to the right, cut at both sides.
            let from = x.max(left);
            let to = (x + high).min(right);
            if to > from {
                self.path(&[(from, down - (from - x)), (to, down - (to - x))], stroke);
            }
            x += APART;
        }
    }

    /// A dot.
    pub fn dot(&self, (x, y): Spot, radius: i32, colour: RGBColor) {
        let colour = hex(colour);
        self.put(&format!(
            "<circle cx=\"{x}\" cy=\"{y}\" r=\"{radius}\" fill=\"{colour}\"/>"
        ));
    }

    /// A filled shape.
    pub fn shape(&self, points: &[Spot], colour: RGBColor) {
        let (colour, points) = (hex(colour), listed(points));
        self.put(&format!("<polygon fill=\"{colour}\" points=\"{points}\"/>"));
    }

    /// One line of text of any size.
    pub fn text(&self, (x, y): Spot, hang: Hang, size: i32, colour: RGBColor, text: &str) {
        if text.is_empty() {
            return;
        }
        let anchor = match hang {
            Hang::Left => "start",
            Hang::Middle => "middle",
            Hang::Right => "end",
        };
        self.put(&format!(
            "<text x=\"{x}\" y=\"{y}\" dy=\"0.5ex\" text-anchor=\"{anchor}\" font-family=\"{}\" \
             font-size=\"{size}\" fill=\"{}\">{}</text>",
            style::FONTS,
            hex(colour),
            escape(text)
        ));
    }

    /// One line of text in body size.
    pub fn say(&self, at: Spot, hang: Hang, colour: RGBColor, text: &str) {
        self.text(at, hang, BODY, colour, text);
    }

    /// One line of text on a patch of paper, so that a line behind does not strike it through.
    pub fn patch(&self, at: Spot, hang: Hang, colour: RGBColor, text: &str) {
        let room = Patch::of(at, hang, text);
        self.fill(
            (room.left, room.top),
            (room.right, room.bottom),
            style::PAPER,
        );
        self.say(at, hang, colour, text);
    }
}

fn hex(colour: RGBColor) -> String {
    format!("#{:02X}{:02X}{:02X}", colour.0, colour.1, colour.2)
}

fn listed(points: &[Spot]) -> String {
    let all: Vec<String> = points.iter().map(|(x, y)| format!("{x},{y}")).collect();
    all.join(" ")
}

/// Text as XML carries it.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in words::clean(text).chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '"' => out.push_str("&quot;"),
            other => out.push(other),
        }
    }
    out
}

type Drawn = Result<(), DrawingErrorKind<Infallible>>;

fn stroke_of(style: &impl BackendStyle) -> Stroke {
    let (r, g, b) = style.color().rgb;
    Stroke::solid(RGBColor(r, g, b), style.stroke_width())
}

/// What plotters asks for to draw its axes; all text is in body size.
impl DrawingBackend for Svg {
    type ErrorType = Infallible;

    fn get_size(&self) -> (u32, u32) {
        (style::WIDTH.unsigned_abs(), self.height.unsigned_abs())
    }

    fn ensure_prepared(&mut self) -> Drawn {
        Ok(())
    }

    fn present(&mut self) -> Drawn {
        Ok(())
    }

    fn draw_pixel(&mut self, (x, y): BackendCoord, colour: BackendColor) -> Drawn {
        let (r, g, b) = colour.rgb;
        self.fill((x, y), (x + 1, y + 1), RGBColor(r, g, b));
        Ok(())
    }

    fn draw_line<S: BackendStyle>(&mut self, from: Spot, to: Spot, style: &S) -> Drawn {
        self.path(&[from, to], stroke_of(style));
        Ok(())
    }

    fn draw_path<S, I>(&mut self, path: I, style: &S) -> Drawn
    where
        S: BackendStyle,
        I: IntoIterator<Item = BackendCoord>,
    {
        let points: Vec<Spot> = path.into_iter().collect();
        self.path(&points, stroke_of(style));
        Ok(())
    }

    fn draw_text<S: BackendTextStyle>(&mut self, text: &str, style: &S, (x, y): Spot) -> Drawn {
        let hang = match style.anchor().h_pos {
            HPos::Left => Hang::Left,
            HPos::Center => Hang::Middle,
            HPos::Right => Hang::Right,
        };
        let y = match style.anchor().v_pos {
            VPos::Top => y + BODY / 2,
            VPos::Center => y,
            VPos::Bottom => y - BODY / 2,
        };
        self.say((x, y), hang, style::QUIET, text);
        Ok(())
    }

    fn estimate_text_size<S: BackendTextStyle>(
        &self,
        text: &str,
        _: &S,
    ) -> Result<(u32, u32), DrawingErrorKind<Infallible>> {
        let wide = words::width(text, BODY);
        Ok((wide.unsigned_abs(), BODY.unsigned_abs()))
    }
}

/// The room that a text in body size takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Patch {
    pub left: i32,
    pub right: i32,
    pub top: i32,
    pub bottom: i32,
}

impl Patch {
    pub fn of((x, y): Spot, hang: Hang, text: &str) -> Self {
        let wide = words::width(text, BODY);
        let left = match hang {
            Hang::Left => x,
            Hang::Middle => x - wide / 2,
            Hang::Right => x - wide,
        };
        Self {
            left: left - 5,
            right: left + wide + 5,
            top: y - LINE / 2,
            bottom: y + LINE / 2,
        }
    }

    /// The room round a mark.
    pub fn around((x, y): Spot, half: i32) -> Self {
        Self {
            left: x - half,
            right: x + half,
            top: y - half,
            bottom: y + half,
        }
    }

    pub fn meets(&self, other: &Patch) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    /// Takes the room if nothing placed before meets it.
    pub fn free(self, taken: &mut Vec<Patch>) -> bool {
        let clear = taken.iter().all(|it| !it.meets(&self));
        if clear {
            taken.push(self);
        }
        clear
    }
}
