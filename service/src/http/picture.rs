//! Pictures as SVG: no scripts, no fonts or files from outside, readable in print and without colour.
//!
//! Here is what all of them share: the frame with title and description, text that is cut where it has no room, lines that wrap.

use super::pages::escape;
use super::sheet_written::{readable, runs};
use super::{picture_above, picture_bars, picture_curves, picture_margin, picture_spectrum};
use crate::question::picture::{Picture, Shown};
use std::fmt::Write as _;

/// Width of a picture.
pub const WIDTH: f64 = 720.0;
/// Width of a picture that stands in a page beside text.
pub const BESIDE: f64 = 520.0;
/// Distance of what is drawn from the edges.
pub const EDGE: f64 = 12.0;
/// Size of letters.
pub const SIZE: f64 = 12.0;
/// Width of a letter, of its size: that of a wide face in a text of mixed letters.
const LETTER: f64 = 0.54;
/// Height of a line of text.
pub const LINE: f64 = 15.0;

/// A picture as SVG; `None` if there is nothing to draw.
#[must_use]
pub fn svg(picture: &Picture) -> Option<String> {
    drawn(Drawing::headed(picture), picture)
}

/// The same to stand in a page, which declares no namespace, under a heading of the page.
#[must_use]
pub fn in_page(picture: &Picture, width: f64) -> Option<String> {
    let svg = drawn(Drawing::empty(width), picture);
    svg.map(|svg| svg.replacen(" xmlns=\"http://www.w3.org/2000/svg\"", "", 1))
}

fn drawn(mut drawing: Drawing, picture: &Picture) -> Option<String> {
    match &picture.shown {
        Shown::Curves(curves) => picture_curves::draw(&mut drawing, curves)?,
        Shown::Bars(bars) => picture_bars::draw(&mut drawing, bars)?,
        Shown::Margin(margin) => picture_margin::draw(&mut drawing, margin)?,
        Shown::Above(above) => picture_above::draw(&mut drawing, above),
        Shown::Spectrum(spectrum) => picture_spectrum::draw(&mut drawing, spectrum)?,
    }
    drawing.closed(picture)
}

/// The description of a picture in words.
#[must_use]
pub fn described(picture: &Picture) -> String {
    let sentence = Some(picture.sentence.as_str()).filter(|sentence| !sentence.is_empty());
    sentence.into_iter().chain(picture.said.iter().map(String::as_str)).collect::<Vec<_>>().join(" ")
}

/// On which side of its place a text stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// It begins there.
    Start,
    /// Its middle is there.
    Middle,
    /// It ends there.
    End,
}

/// A picture in the making.
#[derive(Debug)]
pub struct Drawing {
    body: String,
    /// Its width.
    pub width: f64,
    /// Where what was drawn so far ends.
    pub below: f64,
    /// A figure that is no number makes no picture.
    broken: bool,
}

impl Drawing {
    fn empty(width: f64) -> Self {
        Self { body: String::with_capacity(8192), width, below: 0.0, broken: false }
    }

    /// With what it is of and what the answer says.
    fn headed(picture: &Picture) -> Self {
        let mut drawing = Self { below: 6.0, ..Self::empty(WIDTH) };
        drawing.below += LINE;
        let title = cut(&picture.title, WIDTH - 2.0 * EDGE, 14.0);
        let at = drawing.below;
        let _ = write!(
            drawing.body,
            "<text x=\"{EDGE}\" y=\"{at:.1}\" font-size=\"14\" font-weight=\"bold\">{}</text>",
            marked(&title)
        );
        drawing.below += 4.0;
        drawing.paragraph(EDGE, WIDTH - 2.0 * EDGE, &picture.sentence);
        drawing
    }

    fn closed(self, picture: &Picture) -> Option<String> {
        if self.broken {
            return None;
        }
        let (width, height) = (self.width, self.below + 8.0);
        Some(format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height:.0}\" role=\"img\" aria-labelledby=\"picture-title picture-desc\" \
             font-family=\"Arial, Helvetica, 'Liberation Sans', sans-serif\" font-size=\"{SIZE}\">\
             <title id=\"picture-title\">{}</title><desc id=\"picture-desc\">{}</desc>\
             <rect width=\"{width}\" height=\"{height:.0}\" fill=\"#fff\"/>{}</svg>",
            marked(&readable(&picture.title)),
            marked(&readable(&described(picture))),
            self.body
        ))
    }

    /// A number as it is written; what is none is remembered.
    fn number(&mut self, number: f64) -> f64 {
        self.broken |= !number.is_finite();
        (number * 10.0).round() / 10.0
    }

    /// A text of the usual size.
    pub fn text(&mut self, x: f64, y: f64, anchor: Anchor, text: &str) {
        self.lettering(x, y, anchor, text, "");
    }

    /// A text that what lies behind it does not hide.
    pub fn text_over(&mut self, x: f64, y: f64, anchor: Anchor, text: &str) {
        self.lettering(x, y, anchor, text, " stroke=\"#fff\" stroke-width=\"4\" paint-order=\"stroke\"");
    }

    /// A text that stands out.
    pub fn strong(&mut self, x: f64, y: f64, anchor: Anchor, text: &str) {
        self.lettering(x, y, anchor, text, " font-weight=\"bold\"");
    }

    /// The same where something lies behind it.
    pub fn strong_over(&mut self, x: f64, y: f64, anchor: Anchor, text: &str) {
        let how = " font-weight=\"bold\" stroke=\"#fff\" stroke-width=\"5\" paint-order=\"stroke\"";
        self.lettering(x, y, anchor, text, how);
    }

    /// The same, white on black.
    pub fn white(&mut self, x: f64, y: f64, anchor: Anchor, text: &str) {
        self.lettering(x, y, anchor, text, " font-weight=\"bold\" fill=\"#fff\"");
    }

    fn lettering(&mut self, x: f64, y: f64, anchor: Anchor, text: &str, more: &str) {
        let (x, y) = (self.number(x), self.number(y));
        let anchor = match anchor {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        };
        let text = marked(&readable(text));
        let _ = write!(self.body, "<text x=\"{x}\" y=\"{y}\"{anchor}{more}>{text}</text>");
    }

    /// A text in lines below what was drawn so far.
    pub fn paragraph(&mut self, x: f64, width: f64, text: &str) {
        for line in wrapped(text, width, SIZE) {
            self.below += LINE;
            let at = self.below;
            self.text(x, at, Anchor::Start, &line);
        }
    }

    /// A line through points; `how` are its attributes.
    pub fn path(&mut self, points: &[(f64, f64)], how: &str) {
        self.outline(points, "", how);
    }

    /// A surface with these corners.
    pub fn surface(&mut self, points: &[(f64, f64)], how: &str) {
        self.outline(points, "Z", how);
    }

    fn outline(&mut self, points: &[(f64, f64)], end: &str, how: &str) {
        if points.is_empty() {
            return;
        }
        let mut path = String::new();
        for (place, (x, y)) in points.iter().enumerate() {
            let (x, y) = (self.number(*x), self.number(*y));
            let _ = write!(path, "{}{x} {y}", if place == 0 { 'M' } else { 'L' });
        }
        let _ = write!(self.body, "<path d=\"{path}{end}\" {how}/>");
    }

    /// A rectangle from its upper left corner.
    pub fn rectangle(&mut self, x: f64, y: f64, width: f64, height: f64, how: &str) {
        let (x, y) = (self.number(x), self.number(y));
        let (width, height) = (self.number(width.max(0.0)), self.number(height));
        let _ = write!(self.body, "<rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" {how}/>");
    }

    /// A circle.
    pub fn circle(&mut self, x: f64, y: f64, radius: f64, how: &str) {
        let (x, y, radius) = (self.number(x), self.number(y), self.number(radius));
        let _ = write!(self.body, "<circle cx=\"{x}\" cy=\"{y}\" r=\"{radius}\" {how}/>");
    }

    /// The hatching `url(#h)`.
    pub fn hatching(&mut self) {
        self.body.push_str("<defs><pattern id=\"h\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\"><path d=\"M0 6L6 0\" stroke=\"#000\" stroke-width=\".7\"/></pattern></defs>");
    }
}

/// Text with its markup escaped; what is written from right to left turns nothing around it.
fn marked(text: &str) -> String {
    let mut made = String::with_capacity(text.len());
    for (leftward, run) in runs(text) {
        // No character of XML 1.0: a picture with one would be refused as a whole.
        let run = run.replace(['\u{fffe}', '\u{ffff}'], "\u{fffd}");
        if leftward {
            made.extend(['\u{2068}']);
            made.push_str(&escape(&run));
            made.extend(['\u{2069}']);
        } else {
            made.push_str(&escape(&run));
        }
    }
    made
}

/// How wide a text is at most, as a reader without the fonts wanted may draw it.
#[must_use]
pub fn wide(text: &str, size: f64) -> f64 {
    text.chars().map(|letter| if letter.is_ascii() || letter == '°' { LETTER } else { 1.0 }).sum::<f64>()
        * size
}

/// A text as far as it has room.
#[must_use]
pub fn cut(text: &str, width: f64, size: f64) -> String {
    let text = readable(text);
    if wide(&text, size) <= width {
        return text;
    }
    let mut kept = String::new();
    for letter in text.chars() {
        if wide(&kept, size) + 2.0 * size > width {
            break;
        }
        kept.push(letter);
    }
    kept.trim_end().to_owned() + "…"
}

/// A text in lines of a width; a word that is longer is cut.
#[must_use]
pub fn wrapped(text: &str, width: f64, size: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let text = readable(text);
    for word in text.split_whitespace() {
        let word = cut(word, width, size);
        match lines.last_mut() {
            Some(line) if wide(line, size) + wide(&word, size) + size * LETTER <= width => {
                line.push(' ');
                line.push_str(&word);
            }
            _ => lines.push(word),
        }
    }
    lines
}

/// Numbers at equal steps.
pub fn steps(from: f64, to: f64, step: f64) -> impl Iterator<Item = f64> {
    (0..200).map(move |count| from + f64::from(count) * step).take_while(move |at| *at <= to + step * 1e-9)
}

/// A round step that gives at most nine ticks.
#[must_use]
pub fn step_for(span: f64) -> f64 {
    [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0]
        .into_iter()
        .find(|step| span / step <= 9.0)
        .unwrap_or(10_000.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::question::picture::{Above, Around, Bar, Bars, Curves, Kind, Line};
    use brimline_openapi::Outcome;

    #[test]
    fn text_of_callers_stays_text_and_inside_its_room() {
        assert_eq!(marked(&readable("a<b> & \"c\"\u{0}\u{ffff}")), "a&lt;b&gt; &amp; &quot;c&quot; \u{fffd}");
        assert_eq!(cut(&"x".repeat(100), 60.0, 12.0), "xxxxxx…");
        assert_eq!(cut("short", 60.0, 12.0), "short");
        let lines = wrapped("one two three four", 60.0, 12.0);
        assert_eq!(lines, ["one two", "three", "four"]);
        assert!(lines.iter().all(|line| wide(line, 12.0) <= 60.0));
    }
    fn picture(shown: Shown) -> Picture {
        Picture { title: "a < b".into(), sentence: String::new(), said: vec!["c & d.".into()], shown }
    }

    #[test]
    fn curves_run_from_corner_to_corner_and_are_named() {
        let line = |name: &str, points| Line { name: name.into(), points, dashes: "" };
        let lines =
            vec![line("x & y", vec![(0.0, 1.0), (10.0, 100.0)]), line("z", vec![(0.0, 50.0), (10.0, 100.0)])];
        let curves = Curves { lines, ..Curves::default() };
        let drawn = svg(&picture(Shown::Curves(curves.clone()))).unwrap();
        assert!(
            drawn.contains("<title id=\"picture-title\">a &lt; b</title>") && drawn.contains("x &amp; y")
        );
        assert!(drawn.contains("<desc id=\"picture-desc\">c &amp; d.</desc>"));
        // Left and right edge of the plot; two decades over its height of 290.
        let top: f64 =
            drawn.split("M74 ").filter_map(|part| part.split('L').next()?.parse().ok()).fold(1e9, f64::min);
        assert!(drawn.contains(&format!("M74 {}L500 {top}", top + 290.0)), "{drawn}");
        let broken =
            Curves { lines: vec![line("x", vec![(0.0, 1.0), (f64::NAN, 2.0), (3.0, 2.0)])], ..curves };
        assert_eq!(svg(&picture(Shown::Curves(broken))), None);
        assert_eq!(svg(&picture(Shown::Curves(Curves::default()))), None);
    }

    #[test]
    fn bars_hold_their_names_and_hatch_what_binds() {
        let bar = |name: &str, length, binds| Bar { name: name.into(), length, label: "1 mL".into(), binds };
        let rows = vec![bar("a & b", 0.0, true), bar("c", 10.0, false)];
        let bars = Bars { across: "mL".into(), rows, mark: Some((5.0, "fill".into())) };
        let drawn = svg(&picture(Shown::Bars(bars))).unwrap();
        assert!(drawn.contains("a &amp; b") && drawn.contains("url(#h)") && drawn.contains("fill</text>"));
    }

    #[test]
    fn what_stands_around_the_work_is_drawn_to_scale() {
        let one = |kind, given, wanted, status| Around {
            kind,
            name: "x".into(),
            given,
            wanted,
            status,
            judged: String::new(),
        };
        let around = vec![
            one(Kind::Person, 3.0, Some(5.0), Outcome::OverLimit),
            one(Kind::Stock, 4.0, None, Outcome::NoLimitChecked),
        ];
        let above = Above { work: String::new(), around, also: Vec::new() };
        let drawn = svg(&picture(Shown::Above(above))).unwrap();
        let up = |radius: &str| -> f64 {
            let end = drawn.find(&format!("\" r=\"{radius}\"")).unwrap();
            drawn[..end].rsplit('"').next().unwrap().parse().unwrap()
        };
        // 5 m are 0.18 of the width of 720; the first ray goes up from the work.
        assert!((up("4") - up("6") - 3.0 / 5.0 * 0.18 * 720.0).abs() < 0.2, "{drawn}");
        assert!(drawn.contains("r=\"6\" fill=\"#000\""), "over a limit it is black");
    }
}
