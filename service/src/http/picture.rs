//! Line pictures as SVG: no scripts, no fonts from outside, readable in print and without colour.

use super::pages::escape;
use crate::quantity::round::four_digits;
use std::fmt::Write as _;

const WIDTH: f64 = 640.0;
const HEIGHT: f64 = 360.0;
/// Left, top, right and bottom edge of the plot.
const PLOT: (f64, f64, f64, f64) = (64.0, 34.0, 620.0, 310.0);

/// A picture with a linear horizontal and a logarithmic vertical axis.
#[derive(Debug, Clone)]
pub struct Picture {
    /// What it shows, in a sentence: read aloud where the picture is not seen.
    pub title: String,
    /// Name and unit of the horizontal axis.
    pub across: String,
    /// Name and unit of the vertical axis.
    pub up: String,
    /// The curves.
    pub lines: Vec<Line>,
}

/// A curve with its name beside its end.
#[derive(Debug, Clone)]
pub struct Line {
    /// Its name.
    pub name: String,
    /// Its points.
    pub points: Vec<(f64, f64)>,
    /// How it is dashed; empty for a full line. Curves differ by this and not by colour.
    pub dashes: &'static str,
}

impl Picture {
    /// The picture as SVG; `None` if there is nothing to draw.
    #[must_use]
    pub fn svg(&self) -> Option<String> {
        let points = || self.lines.iter().flat_map(|line| &line.points).filter(|(_, y)| *y > 0.0);
        let (left, top, right, bottom) = PLOT;
        let low = points().map(|(x, _)| *x).reduce(f64::min)?;
        let high = points().map(|(x, _)| *x).reduce(f64::max)?;
        let floor = libm::log10(points().map(|(_, y)| *y).reduce(f64::min)?).floor();
        let ceiling = libm::log10(points().map(|(_, y)| *y).reduce(f64::max)?).ceil().max(floor + 1.0);
        if high <= low {
            return None;
        }
        let across = |x: f64| left + (x - low) / (high - low) * (right - left);
        let up = |y: f64| bottom - (libm::log10(y) - floor) / (ceiling - floor) * (bottom - top);
        let mut out = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" role=\"img\" font-family=\"sans-serif\" font-size=\"12\">\
             <title>{0}</title><rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"#fff\"/>\
             <text x=\"{left}\" y=\"18\">{1}</text>\
             <text x=\"{right}\" y=\"{2}\" text-anchor=\"end\">{3}</text>",
            escape(&self.title),
            escape(&self.up),
            HEIGHT - 8.0,
            escape(&self.across)
        );
        for decade in steps(floor, ceiling, 1.0) {
            let y = up(libm::pow(10.0, decade));
            let label = four_digits(libm::pow(10.0, decade));
            let _ = write!(
                out,
                "<path d=\"M{left} {y:.1}H{right}\" stroke=\"#bbb\"/><text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{label}</text>",
                left - 6.0,
                y + 4.0
            );
        }
        let step = step_for(high - low);
        for tick in steps((low / step).ceil() * step, high, step) {
            let x = across(tick);
            let _ = write!(
                out,
                "<path d=\"M{x:.1} {bottom}V{top}\" stroke=\"#ddd\"/><text x=\"{x:.1}\" y=\"{:.1}\" text-anchor=\"middle\">{tick}</text>",
                bottom + 16.0
            );
        }
        let _ = write!(out, "<path d=\"M{left} {top}V{bottom}H{right}\" fill=\"none\" stroke=\"#000\"/>");
        let mut labels: Vec<f64> = Vec::new();
        for line in &self.lines {
            let drawn: Vec<(f64, f64)> =
                line.points.iter().filter(|(_, y)| *y > 0.0).map(|(x, y)| (across(*x), up(*y))).collect();
            let path: Vec<String> = drawn.iter().map(|(x, y)| format!("{x:.1} {y:.1}")).collect();
            let _ = write!(
                out,
                "<path d=\"M{}\" fill=\"none\" stroke=\"#000\" stroke-width=\"1.5\" stroke-dasharray=\"{}\"/>",
                path.join("L"),
                line.dashes
            );
            let Some((_, end)) = drawn.last() else { continue };
            let mut y = (end - 5.0).max(top + 10.0);
            // A name that would lie on another one moves down a line.
            while labels.iter().any(|used| (used - y).abs() < 13.0) {
                y += 13.0;
            }
            labels.push(y);
            let _ = write!(
                out,
                "<text x=\"{:.1}\" y=\"{y:.1}\" text-anchor=\"end\" stroke=\"#fff\" stroke-width=\"4\" paint-order=\"stroke\">{}</text>",
                right - 4.0,
                escape(&line.name)
            );
        }
        out.push_str("</svg>");
        Some(out)
    }
}

fn steps(from: f64, to: f64, step: f64) -> impl Iterator<Item = f64> {
    (0..200).map(move |count| from + f64::from(count) * step).take_while(move |at| *at <= to + step * 1e-9)
}

/// A round step that gives at most nine ticks.
fn step_for(span: f64) -> f64 {
    [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0]
        .into_iter()
        .find(|step| span / step <= 9.0)
        .unwrap_or(1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_holds_its_curves_names_and_no_markup_of_the_caller() {
        let line = |name: &str, points| Line { name: name.into(), points, dashes: "" };
        let picture = Picture {
            title: "a < b".into(),
            across: "t [Cel]".into(),
            up: "p [kPa]".into(),
            lines: vec![
                line("x & y", vec![(0.0, 1.0), (10.0, 100.0)]),
                line("z", vec![(0.0, 50.0), (10.0, 100.0)]),
            ],
        };
        let svg = picture.svg().unwrap();
        assert!(svg.contains("<title>a &lt; b</title>") && svg.contains("x &amp; y"));
        assert!(svg.contains("M64.0 310.0L620.0 34.0"), "{svg}");
        let empty = Picture { lines: vec![line("x", vec![])], ..picture };
        assert_eq!(empty.svg(), None);
    }
}
