//! What an instrument shows of a coloured flame: lines as a curve on a logarithmic scale, bands as boxes below. Without colour: what is
//! seen where stands there in words.

use super::picture::{Anchor, Drawing, EDGE, LINE, WIDTH, cut, step_for, steps, wide};
use crate::quantity::round::four_digits;
use crate::question::picture::{Band, Spectrum};

/// Left and right edge of the plot.
const ACROSS: (f64, f64) = (136.0, WIDTH - 22.0);
/// Height of the curve.
const TALL: f64 = 220.0;
/// Height of the strip that names what is seen.
const STRIP: f64 = 20.0;
/// Height of a row of bands.
const ROW: f64 = 30.0;
/// Decades of the vertical axis.
const DECADES: f64 = 6.0;
/// Words for what is seen, where they stand, nm.
const SEEN: [(f64, &str); 6] = [
    (412.0, "violet"),
    (462.0, "blue"),
    (528.0, "green"),
    (578.0, "yellow"),
    (612.0, "orange"),
    (680.0, "red"),
];

/// The horizontal axis.
struct Axis<'a>(&'a Spectrum);

impl Axis<'_> {
    fn at(&self, nanometres: f64) -> f64 {
        let (from, to) = self.0.range;
        ACROSS.0 + (nanometres - from) / (to - from) * (ACROSS.1 - ACROSS.0)
    }

    /// Both ends of a stretch as far as it is in the range; `None` where none of it is.
    fn within(&self, from: f64, to: f64) -> Option<(f64, f64)> {
        let (low, high) = (from.max(self.0.range.0), to.min(self.0.range.1));
        (low < high).then(|| (self.at(low), self.at(high)))
    }
}

/// Draws a spectrum; `None` if there is nothing to draw.
pub fn draw(drawing: &mut Drawing, spectrum: &Spectrum) -> Option<()> {
    let (from, to) = spectrum.range;
    if from >= to {
        return None;
    }
    let axis = Axis(spectrum);
    drawing.hatching();
    drawing.below += 10.0;
    let labels = rows(&axis, spectrum);
    let most = labels.iter().map(|(row, _)| row + 1.0).fold(0.0, f64::max);
    if !spectrum.curve.is_empty() {
        drawing.below += LINE;
        drawing.text(EDGE, drawing.below, Anchor::Start, &spectrum.up);
    }
    if let Some(note) = &spectrum.note {
        drawing.below += LINE;
        drawing.text(EDGE, drawing.below, Anchor::Start, note);
    }
    let heading = drawing.below + 4.0;
    let top = heading + most * LINE + STRIP;
    let foot = if spectrum.curve.is_empty() { top } else { top + TALL };
    let bottom = foot + spectrum.bands.len() as f64 * ROW + 6.0;
    strip(drawing, &axis, top, bottom);
    if !spectrum.curve.is_empty() {
        curve(drawing, &axis, top, foot);
        for ((at, name), (row, x)) in spectrum.peaks.iter().zip(&labels) {
            let y = heading + LINE * (row + 1.0) - 4.0;
            drawing.path(
                &[(axis.at(*at), top - STRIP), (axis.at(*at), y + 3.0)],
                "stroke=\"#000\" stroke-width=\".7\"",
            );
            drawing.text_over(*x, y, Anchor::Middle, name);
        }
    }
    for (place, (name, bands)) in spectrum.bands.iter().enumerate() {
        row_of_bands(drawing, &axis, foot + place as f64 * ROW, name, bands);
    }
    let step = step_for(to - from);
    for tick in steps((from / step).ceil() * step, to, step) {
        let x = axis.at(tick);
        drawing.path(&[(x, bottom), (x, bottom + 5.0)], "stroke=\"#000\"");
        drawing.text(x, bottom + 18.0, Anchor::Middle, &four_digits(tick).to_string());
    }
    let corners = [(ACROSS.0, top), (ACROSS.0, bottom), (ACROSS.1, bottom)];
    drawing.path(&corners, "fill=\"none\" stroke=\"#000\"");
    drawing.below = bottom + 34.0;
    drawing.text(ACROSS.1, drawing.below, Anchor::End, "wavelength, nm");
    if spectrum.bands.iter().any(|(_, bands)| bands.iter().any(|band| band.weak)) {
        drawing.text(
            EDGE,
            drawing.below,
            Anchor::Start,
            "dashed: only with some salts, or of unknown strength",
        );
    }
    Some(())
}

/// What is seen, behind everything else, with words above.
fn strip(drawing: &mut Drawing, axis: &Axis<'_>, top: f64, bottom: f64) {
    let (low, high) = axis.0.visible;
    let Some((left, right)) = axis.within(low, high) else { return };
    drawing.rectangle(left, top - STRIP, right - left, bottom - top + STRIP, "fill=\"#eee\"");
    let mut free = left;
    for (at, word) in SEEN {
        let (from, to) = axis.0.range;
        let x = axis.at(at);
        let half = wide(word, 12.0) / 2.0;
        if (from..=to).contains(&at) && x - half >= free && x + half <= right {
            drawing.text(x, top - 6.0, Anchor::Middle, word);
            free = x + half + 4.0;
        }
    }
}

fn curve(drawing: &mut Drawing, axis: &Axis<'_>, top: f64, foot: f64) {
    let up = |height: f64| {
        let decades = libm::log10(height.max(1e-300)).max(-DECADES);
        top - decades / DECADES * (foot - top)
    };
    for decade in steps(0.0, DECADES, 1.0) {
        let level = libm::pow(10.0, -decade);
        drawing.path(&[(ACROSS.0, up(level)), (ACROSS.1, up(level))], "stroke=\"#bbb\"");
        drawing.text(ACROSS.0 - 6.0, up(level) + 4.0, Anchor::End, &four_digits(level).to_string());
    }
    let points: Vec<(f64, f64)> =
        axis.0.curve.iter().map(|(at, height)| (axis.at(*at), up(*height))).collect();
    drawing.path(&points, "fill=\"none\" stroke=\"#000\" stroke-width=\"1.4\"");
}

fn row_of_bands(drawing: &mut Drawing, axis: &Axis<'_>, top: f64, name: &str, bands: &[Band]) {
    let name = cut(name, ACROSS.0 - EDGE - 6.0, 12.0);
    drawing.text(ACROSS.0 - 6.0, top + 20.0, Anchor::End, &name);
    let mut free = 0.0;
    for band in bands {
        let Some((left, right)) = axis.within(band.from, band.to) else { continue };
        let how = if band.weak {
            "fill=\"none\" stroke=\"#000\" stroke-dasharray=\"3 2\""
        } else {
            "fill=\"url(#h)\" stroke=\"#000\""
        };
        drawing.rectangle(left, top + 16.0, right - left, 10.0, how);
        let (x, half) = (axis.at(band.centre), wide(&band.label, 12.0) / 2.0);
        if x - half >= free && x - half >= ACROSS.0 && x + half <= ACROSS.1 {
            drawing.text(x, top + 13.0, Anchor::Middle, &band.label);
            free = x + half + 3.0;
        }
    }
}

/// For each labelled peak the row of its label, and where it stands: labels that would lie on another go one up.
fn rows(axis: &Axis<'_>, spectrum: &Spectrum) -> Vec<(f64, f64)> {
    let mut taken: Vec<(f64, f64, f64)> = Vec::new();
    let mut placed = Vec::new();
    for (at, name) in &spectrum.peaks {
        let half = wide(name, 12.0) / 2.0 + 4.0;
        let x = axis.at(*at).clamp(EDGE + half, WIDTH - EDGE - half);
        let mut row = 0.0;
        while taken.iter().any(|(other, from, to)| *other == row && x - half < *to && x + half > *from) {
            row += 1.0;
        }
        taken.push((row, x - half, x + half));
        placed.push((row, x));
    }
    placed
}
