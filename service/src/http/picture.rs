//! Line pictures as SVG: no scripts, no fonts from outside, readable in print and without colour.

use super::pages::escape;
use crate::quantity::round::four_digits;
use crate::question::picture::{Bars, Curves, Picture};
use std::fmt::Write as _;

const WIDTH: f64 = 640.0;
const HEIGHT: f64 = 360.0;
/// Left, top, right and bottom edge of the plot.
const PLOT: (f64, f64, f64, f64) = (64.0, 34.0, 620.0, 310.0);

/// Most decades of a vertical axis.
const MOST_DECADES: f64 = 6.0;

/// A picture as SVG; `None` if there is nothing to draw.
#[must_use]
pub fn svg(picture: &Picture) -> Option<String> {
    match picture {
        Picture::Curves(curves) => of_curves(curves),
        Picture::Bars(bars) => of_bars(bars),
    }
}

fn of_curves(curves: &Curves) -> Option<String> {
    let points = || curves.lines.iter().flat_map(|line| &line.points).filter(|(_, y)| *y > 0.0);
    let (left, top, right, bottom) = PLOT;
    let low = points().map(|(x, _)| *x).reduce(f64::min)?;
    let high = points().map(|(x, _)| *x).reduce(f64::max)?;
    let floor = libm::log10(points().map(|(_, y)| *y).reduce(f64::min)?).floor();
    let ceiling = libm::log10(points().map(|(_, y)| *y).reduce(f64::max)?).ceil().max(floor + 1.0);
    // What lies many decades below the rest is drawn at the bottom.
    let floor = floor.max(ceiling - MOST_DECADES);
    if high <= low {
        return None;
    }
    let across = |x: f64| left + (x - low) / (high - low) * (right - left);
    let up = |y: f64| bottom - (libm::log10(y).max(floor) - floor) / (ceiling - floor) * (bottom - top);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" role=\"img\" font-family=\"sans-serif\" font-size=\"12\">\
         <title>{0}</title><rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"#fff\"/>\
         <text x=\"{left}\" y=\"18\">{1}</text>\
         <text x=\"{right}\" y=\"{2}\" text-anchor=\"end\">{3}</text>",
        escape(&curves.title),
        escape(&curves.up),
        HEIGHT - 8.0,
        escape(&curves.across)
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
    for line in &curves.lines {
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

/// Bars on a logarithmic scale, the shortest first: hatched where they bind, so that no colour is needed.
fn of_bars(bars: &Bars) -> Option<String> {
    const ROW: f64 = 26.0;
    const NAMES: f64 = 290.0;
    let drawn = || bars.rows.iter().filter(|row| row.length > 0.0);
    let low = libm::log10(drawn().map(|row| row.length).reduce(f64::min)?).floor();
    let high = libm::log10(drawn().map(|row| row.length).reduce(f64::max)?).ceil().max(low + 1.0);
    let (_, top, right, _) = PLOT;
    #[allow(clippy::cast_precision_loss, reason = "a few rows")]
    let bottom = top + ROW * bars.rows.len() as f64;
    let across = |number: f64| NAMES + (libm::log10(number) - low) / (high - low) * (right - 60.0 - NAMES);
    let height = bottom + 50.0;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" role=\"img\" font-family=\"sans-serif\" font-size=\"12\">\
         <title>{0}</title><defs><pattern id=\"h\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\"><path d=\"M0 6L6 0\" stroke=\"#000\"/></pattern></defs>\
         <rect width=\"{WIDTH}\" height=\"{height}\" fill=\"#fff\"/><text x=\"8\" y=\"18\">{0}</text>\
         <text x=\"{right}\" y=\"{1}\" text-anchor=\"end\">{2}</text>",
        escape(&bars.title),
        height - 8.0,
        escape(&bars.across)
    );
    for decade in steps(low, high, 1.0) {
        let x = across(libm::pow(10.0, decade));
        let _ = write!(
            out,
            "<path d=\"M{x:.1} {top}V{bottom}\" stroke=\"#ddd\"/><text x=\"{x:.1}\" y=\"{:.1}\" text-anchor=\"middle\">{}</text>",
            bottom + 16.0,
            four_digits(libm::pow(10.0, decade))
        );
    }
    let mut y = top;
    for row in &bars.rows {
        let end = if row.length > 0.0 { across(row.length) } else { NAMES };
        let fill = if row.binds { "url(#h)" } else { "#fff" };
        let _ = write!(
            out,
            "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{}</text>\
             <rect x=\"{NAMES}\" y=\"{:.1}\" width=\"{:.1}\" height=\"16\" fill=\"{fill}\" stroke=\"#000\"/>\
             <text x=\"{:.1}\" y=\"{:.1}\">{}</text>",
            NAMES - 8.0,
            y + 17.0,
            escape(&row.name),
            y + 5.0,
            (end - NAMES).max(1.0),
            end + 5.0,
            y + 17.0,
            escape(&row.label)
        );
        y += ROW;
    }
    if let Some((at, name)) = bars.mark.as_ref().filter(|(at, _)| *at > 0.0) {
        let x = across(*at).clamp(NAMES, right);
        let _ = write!(
            out,
            "<path d=\"M{x:.1} {top}V{bottom}\" stroke=\"#000\" stroke-width=\"2\" stroke-dasharray=\"6 3\"/>\
             <text x=\"{x:.1}\" y=\"{:.1}\" text-anchor=\"middle\">{}</text>",
            bottom + 32.0,
            escape(name)
        );
    }
    out.push_str("</svg>");
    Some(out)
}

fn steps(from: f64, to: f64, step: f64) -> impl Iterator<Item = f64> {
    (0..200).map(move |count| from + f64::from(count) * step).take_while(move |at| *at <= to + step * 1e-9)
}

/// A round step that gives at most nine ticks.
fn step_for(span: f64) -> f64 {
    [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0]
        .into_iter()
        .find(|step| span / step <= 9.0)
        .unwrap_or(10_000.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::question::picture::Line;

    #[test]
    fn a_picture_holds_its_curves_names_and_no_markup_of_the_caller() {
        let line = |name: &str, points| Line { name: name.into(), points, dashes: "" };
        let picture = Curves {
            title: "a < b".into(),
            across: "t [Cel]".into(),
            up: "p [kPa]".into(),
            lines: vec![
                line("x & y", vec![(0.0, 1.0), (10.0, 100.0)]),
                line("z", vec![(0.0, 50.0), (10.0, 100.0)]),
            ],
        };
        let svg = of_curves(&picture).unwrap();
        assert!(svg.contains("<title>a &lt; b</title>") && svg.contains("x &amp; y"));
        assert!(svg.contains("M64.0 310.0L620.0 34.0"), "{svg}");
        let empty = Curves { lines: vec![line("x", vec![])], ..picture };
        assert_eq!(svg_of(empty), None);
    }

    fn svg_of(curves: Curves) -> Option<String> {
        svg(&Picture::Curves(curves))
    }

    #[test]
    fn bars_hold_their_names_and_hatch_what_binds() {
        use crate::question::picture::Bar;
        let bar = |name: &str, length, binds| Bar { name: name.into(), length, label: "1 mL".into(), binds };
        let bars = Bars {
            title: "limits".into(),
            across: "mL".into(),
            rows: vec![bar("a & b", 0.0, true), bar("c", 10.0, false)],
            mark: Some((5.0, "fill".into())),
        };
        let drawn = svg(&Picture::Bars(bars)).unwrap();
        assert!(drawn.contains("a &amp; b") && drawn.contains("url(#h)") && drawn.contains("fill</text>"));
    }
}
