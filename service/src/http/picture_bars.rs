//! Bars on a logarithmic scale, the shortest first: hatched where they bind, so that no colour is needed.

use super::picture::{Anchor, Drawing, EDGE, WIDTH, cut, steps, wide};
use crate::quantity::round::four_digits;
use crate::question::picture::Bars;

const ROW: f64 = 26.0;
/// Where the bars begin, to the right of their names.
const NAMES: f64 = 350.0;
/// Room for what stands at the end of the longest bar.
const LABEL: f64 = 80.0;

/// Draws bars; `None` if there is none.
pub fn draw(drawing: &mut Drawing, bars: &Bars) -> Option<()> {
    let mark = bars.mark.as_ref().filter(|(at, _)| *at > 0.0);
    let lengths = || bars.rows.iter().map(|row| row.length).filter(|length| *length > 0.0);
    lengths().next()?;
    let drawn = || lengths().chain(mark.map(|(at, _)| *at));
    let low = libm::log10(drawn().reduce(f64::min)?).floor();
    let high = libm::log10(drawn().reduce(f64::max)?).ceil().max(low + 1.0);
    let right = WIDTH - EDGE - LABEL;
    let top = drawing.below + 10.0;
    let bottom = top + bars.rows.iter().map(|_| ROW).sum::<f64>();
    let across = |number: f64| NAMES + (libm::log10(number) - low) / (high - low) * (right - NAMES);
    drawing.hatching();
    for decade in steps(low, high, 1.0) {
        let x = across(libm::pow(10.0, decade));
        drawing.path(&[(x, top), (x, bottom)], "stroke=\"#ddd\"");
        drawing.text(x, bottom + 16.0, Anchor::Middle, &four_digits(libm::pow(10.0, decade)).to_string());
    }
    let mut y = top;
    for row in &bars.rows {
        let end = if row.length > 0.0 { across(row.length) } else { NAMES };
        let fill =
            if row.binds { "fill=\"url(#h)\" stroke=\"#000\"" } else { "fill=\"#fff\" stroke=\"#000\"" };
        let name = cut(&row.name, NAMES - 8.0 - EDGE, 12.0);
        drawing.text(NAMES - 8.0, y + 17.0, Anchor::End, &name);
        drawing.rectangle(NAMES, y + 5.0, (end - NAMES).max(1.0), 16.0, fill);
        drawing.text_over(end + 5.0, y + 17.0, Anchor::Start, &row.label);
        y += ROW;
    }
    drawing.below = bottom + 16.0;
    if let Some((at, name)) = mark {
        let x = across(*at);
        drawing.path(&[(x, top), (x, bottom)], "stroke=\"#000\" stroke-width=\"2\" stroke-dasharray=\"6 3\"");
        let half = wide(name, 12.0) / 2.0;
        drawing.text(x.clamp(EDGE + half, WIDTH - EDGE - half), bottom + 32.0, Anchor::Middle, name);
        drawing.below += 16.0;
    }
    drawing.below += 16.0;
    drawing.text(right, drawing.below, Anchor::End, &bars.across);
    Some(())
}
