//! Curves over a linear axis, their names beside them in a margin of their own, where no curve runs.

use super::picture::{Anchor, Drawing, EDGE, LINE, WIDTH, cut, step_for, steps, wide};
use crate::quantity::round::four_digits;
use crate::question::picture::{Curves, Line};

/// Left and right edge of the plot; the names of the curves stand to its right.
const ACROSS: (f64, f64) = (74.0, 500.0);
/// Height of the plot.
const TALL: f64 = 290.0;
/// Most decades of a vertical axis.
const MOST_DECADES: f64 = 7.0;

/// The axes of a plot.
struct Plot {
    low: f64,
    high: f64,
    floor: f64,
    ceiling: f64,
    top: f64,
}

impl Plot {
    fn of(curves: &Curves) -> Option<Self> {
        let points = || {
            let dots = curves.dots.iter().flat_map(|(x, dot)| [(*x, dot.low), (*x, dot.high)]);
            curves
                .lines
                .iter()
                .flat_map(|line| line.points.iter().copied())
                .chain(dots)
                .filter(|(_, y)| *y > 0.0)
        };
        let places = || points().map(|(x, _)| x).chain(curves.marks.iter().map(|mark| mark.at.value));
        let low = places().reduce(f64::min)?;
        let high = places().reduce(f64::max)?;
        let floor = libm::log10(points().map(|(_, y)| y).reduce(f64::min)?).floor();
        let ceiling = libm::log10(points().map(|(_, y)| y).reduce(f64::max)?).ceil().max(floor + 1.0);
        // What lies many decades below the rest is drawn at the bottom.
        let floor = floor.max(ceiling - MOST_DECADES);
        (high > low).then_some(Self { low, high, floor, ceiling, top: 0.0 })
    }

    fn across(&self, x: f64) -> f64 {
        ACROSS.0 + ((x - self.low) / (self.high - self.low)).clamp(0.0, 1.0) * (ACROSS.1 - ACROSS.0)
    }

    fn up(&self, y: f64) -> f64 {
        let decades = if y > 0.0 { libm::log10(y).max(self.floor) } else { self.floor };
        self.bottom() - (decades - self.floor) / (self.ceiling - self.floor) * TALL
    }

    fn bottom(&self) -> f64 {
        self.top + TALL
    }

    fn drawn(&self, line: &Line) -> Vec<(f64, f64)> {
        line.points.iter().filter(|(_, y)| *y > 0.0).map(|(x, y)| (self.across(*x), self.up(*y))).collect()
    }
}

/// Draws curves; `None` if there is none.
pub fn draw(drawing: &mut Drawing, curves: &Curves) -> Option<()> {
    let mut plot = Plot::of(curves)?;
    drawing.below += LINE + 4.0;
    let heading = drawing.below;
    drawing.text(EDGE, heading, Anchor::Start, &curves.up);
    let rows = mark_rows(&plot, curves);
    let most = rows.iter().map(|(row, _)| *row + 1.0).fold(0.0, f64::max);
    plot.top = heading + 10.0 + most * LINE;
    grid(drawing, &plot);
    hatch(drawing, &plot, curves);
    marks(drawing, &plot, curves, &rows, heading);
    for line in &curves.lines {
        let how = if line.name.is_empty() { ".8" } else { "1.8" };
        let how = format!(
            "fill=\"none\" stroke=\"#000\" stroke-width=\"{how}\" stroke-dasharray=\"{}\"",
            line.dashes
        );
        drawing.path(&plot.drawn(line), &how);
    }
    for (x, dot) in &curves.dots {
        let x = plot.across(*x);
        let (low, high) = (plot.up(dot.low), plot.up(dot.high));
        drawing.path(&[(x, low), (x, high)], "stroke=\"#000\" stroke-width=\"1.8\"");
        for end in [low, high] {
            drawing.path(&[(x - 4.0, end), (x + 4.0, end)], "stroke=\"#000\" stroke-width=\"1.8\"");
        }
        drawing.circle(x, plot.up(dot.value), 3.0, "fill=\"#000\"");
    }
    names(drawing, &plot, curves);
    drawing.below = plot.bottom() + 32.0;
    drawing.text(ACROSS.1, drawing.below, Anchor::End, &curves.across);
    Some(())
}

fn grid(drawing: &mut Drawing, plot: &Plot) {
    let (left, right) = ACROSS;
    for decade in steps(plot.floor, plot.ceiling, 1.0) {
        let level = libm::pow(10.0, decade);
        let y = plot.up(level);
        drawing.path(&[(left, y), (right, y)], "stroke=\"#bbb\"");
        drawing.text(left - 6.0, y + 4.0, Anchor::End, &four_digits(level).to_string());
    }
    let step = step_for(plot.high - plot.low);
    for tick in steps((plot.low / step).ceil() * step, plot.high, step) {
        let x = plot.across(tick);
        drawing.path(&[(x, plot.bottom()), (x, plot.top)], "stroke=\"#ddd\"");
        drawing.text(x, plot.bottom() + 16.0, Anchor::Middle, &four_digits(tick).to_string());
    }
    let corners = [(left, plot.top), (left, plot.bottom()), (right, plot.bottom())];
    drawing.path(&corners, "fill=\"none\" stroke=\"#000\"");
}

fn hatch(drawing: &mut Drawing, plot: &Plot, curves: &Curves) {
    let Some((lower, upper)) = curves.hatched else { return };
    let Some(lower) = curves.lines.get(lower) else { return };
    let mut corners = plot.drawn(lower);
    match upper.and_then(|upper| curves.lines.get(upper)) {
        Some(upper) => corners.extend(plot.drawn(upper).into_iter().rev()),
        None => corners.extend([(ACROSS.1, plot.top), (ACROSS.0, plot.top)]),
    }
    drawing.hatching();
    drawing.surface(&corners, "fill=\"url(#h)\" fill-opacity=\".45\"");
}

/// For each mark the row in which its name stands, and where: names that would lie on another go one up.
fn mark_rows(plot: &Plot, curves: &Curves) -> Vec<(f64, f64)> {
    let mut taken: Vec<(f64, f64, f64)> = Vec::new();
    let mut placed = Vec::new();
    for mark in &curves.marks {
        let half = wide(&mark.name, 12.0) / 2.0 + 4.0;
        let x = plot.across(mark.at.value).clamp(EDGE + half, WIDTH - EDGE - half);
        let mut row = 0.0;
        while taken.iter().any(|(other, from, to)| *other == row && x - half < *to && x + half > *from) {
            row += 1.0;
        }
        taken.push((row, x - half, x + half));
        placed.push((row, x));
    }
    placed
}

fn marks(drawing: &mut Drawing, plot: &Plot, curves: &Curves, rows: &[(f64, f64)], heading: f64) {
    for (mark, (row, at)) in curves.marks.iter().zip(rows) {
        let y = heading + LINE * (row + 1.0);
        let x = plot.across(mark.at.value);
        let how = format!("stroke=\"#000\" stroke-width=\"1.2\" stroke-dasharray=\"{}\"", mark.dashes);
        drawing.path(&[(x, plot.bottom()), (x, y + 4.0)], &how);
        let (low, high) = (plot.across(mark.at.low), plot.across(mark.at.high));
        if high - low > 1.0 {
            // A bracket at the foot is the range.
            let foot = plot.bottom();
            let bracket = [(low, foot - 12.0), (low, foot - 4.0), (high, foot - 4.0), (high, foot - 12.0)];
            drawing.path(&bracket, "fill=\"none\" stroke=\"#000\" stroke-width=\"1.8\"");
        }
        drawing.text_over(*at, y, Anchor::Middle, &mark.name);
    }
}

/// The names of the curves in the margin, each near the end of its curve, none on another.
fn names(drawing: &mut Drawing, plot: &Plot, curves: &Curves) {
    let mut ends: Vec<(f64, f64, f64, &str)> = Vec::new();
    for line in curves.lines.iter().filter(|line| !line.name.is_empty()) {
        let drawn = plot.drawn(line);
        let Some((x, y)) = drawn.last() else { continue };
        ends.push((*y, *x, *y, &line.name));
    }
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut least = plot.top + 4.0;
    for (y, ..) in &mut ends {
        *y = y.max(least);
        least = *y + LINE + 1.0;
    }
    // Those that were pushed below the plot move up again.
    let mut most = plot.bottom();
    for (y, ..) in ends.iter_mut().rev() {
        *y = y.min(most);
        most = *y - LINE - 1.0;
    }
    for (y, x, end, name) in ends {
        drawing.path(&[(x, end), (ACROSS.1 + 12.0, y)], "stroke=\"#000\" stroke-width=\".6\"");
        let room = WIDTH - EDGE - ACROSS.1 - 16.0;
        drawing.text(ACROSS.1 + 16.0, y + 4.0, Anchor::Start, &cut(name, room, 12.0));
    }
}
