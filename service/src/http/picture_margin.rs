//! A liquid against its flammable limits, and its temperature against its flash point: two bars over their scales.
//!
//! At the opening fresh air meets the vapour: the first bar begins at nothing, since every mixture up to the saturated one is somewhere.

use super::picture::{Anchor, Drawing, EDGE, LINE, SIZE, WIDTH, step_for, steps, wide};
use crate::quantity::Estimate;
use crate::quantity::round::{four_digits, tenths};
use crate::question::picture::{Margin, ranged};

const LEFT: f64 = 40.0;
const RIGHT: f64 = WIDTH - 40.0;
const ROW: f64 = 30.0;
/// The highest share of vapour, as a power of ten of %.
const ALL: f64 = 2.0;
/// The lowest share that is drawn, as a power of ten of %.
const LEAST: f64 = -4.0;

/// Draws both bars; `None` if neither can be.
pub fn draw(drawing: &mut Drawing, margin: &Margin) -> Option<()> {
    let vapour = margin.vapour.zip(margin.lower);
    if vapour.is_none() && margin.flash.is_none() {
        return None;
    }
    drawing.hatching();
    drawing.below += 24.0;
    let heading = format!("Vapour over the liquid at {} Cel: {}", tenths(margin.liquid), margin.condition);
    heading_of(drawing, &heading);
    if let Some((vapour, lower)) = vapour {
        shares(drawing, vapour, lower, margin.upper);
    }
    drawing.below += 28.0;
    heading_of(drawing, &margin.judged);
    if let Some(flash) = margin.flash {
        temperatures(drawing, margin, flash);
    }
    Some(())
}

fn heading_of(drawing: &mut Drawing, text: &str) {
    let at = drawing.below;
    let mut lines = super::picture::wrapped(text, WIDTH - 2.0 * EDGE, SIZE).into_iter();
    if let Some(first) = lines.next() {
        drawing.strong(EDGE, at, Anchor::Start, &first);
    }
    for line in lines {
        drawing.below += LINE;
        let at = drawing.below;
        drawing.strong(EDGE, at, Anchor::Start, &line);
    }
}

/// The vapour on a logarithmic scale of shares; limits are drawn at their unfavourable ends.
fn shares(drawing: &mut Drawing, vapour: Estimate<f64>, lower: Estimate<f64>, upper: Option<Estimate<f64>>) {
    let least = [vapour.low, lower.low / 5.0].into_iter().filter(|share| *share > 0.0).reduce(f64::min);
    let floor = libm::log10(least.unwrap_or(0.01)).floor().clamp(LEAST, 1.0);
    let across = |share: f64| {
        let decades = if share > 0.0 { libm::log10(share).clamp(floor, ALL) } else { floor };
        LEFT + (decades - floor) / (ALL - floor) * (RIGHT - LEFT)
    };
    let from = across(lower.low);
    let to = upper.map_or(RIGHT, |upper| across(upper.high));
    let top = drawing.below + 10.0;
    let bottom = top + 2.0 * ROW;
    drawing.rectangle(from, top, to - from, bottom - top, "fill=\"url(#h)\"");
    for edge in [Some(from), upper.map(|_| to)].into_iter().flatten() {
        drawing.path(&[(edge, top), (edge, bottom)], "stroke=\"#000\" stroke-width=\"2\"");
    }
    scale(
        drawing,
        &decades(floor, across),
        bottom,
        "vapour in the air [%], each line ten times the one before",
    );
    let middle = f64::midpoint(top, bottom);
    let (low, value, high) = (across(vapour.low), across(vapour.value), across(vapour.high));
    drawing.rectangle(LEFT, middle - 9.0, low - LEFT, 18.0, "fill=\"#000\" stroke=\"#fff\"");
    drawing.rectangle(low, middle - 9.0, (high - low).max(2.0), 18.0, "fill=\"#777\" stroke=\"#000\"");
    drawing.path(&[(value, middle - 13.0), (value, middle + 13.0)], "stroke=\"#000\" stroke-width=\"2\"");
    let label = format!("up to {} %", vapour.high);
    beside(drawing, (low, high), middle, &label);
    let lowest = ranged(lower, "%");
    let ignitable = match upper {
        Some(upper) => {
            format!("ignitable: from the lower limit, {lowest}, to the upper limit, {}", ranged(upper, "%"))
        }
        None => format!("ignitable: from the lower limit, {lowest}; no upper limit is published"),
    };
    key(drawing, "fill=\"url(#h)\"", &ignitable);
    key(
        drawing,
        "fill=\"#000\"",
        "vapour: nothing in fresh air outside the opening, most at the liquid; every mixture between is somewhere",
    );
    key(drawing, "fill=\"#777\"", &format!("range of the saturated vapour: {}", ranged(vapour, "%")));
}

fn decades(floor: f64, across: impl Fn(f64) -> f64) -> Vec<(f64, String)> {
    let levels = steps(floor, ALL, 1.0).map(|decade| libm::pow(10.0, decade));
    levels.map(|level| (across(level), four_digits(level).to_string())).collect()
}

fn scale(drawing: &mut Drawing, ticks: &[(f64, String)], bottom: f64, name: &str) {
    drawing.path(&[(LEFT, bottom), (RIGHT, bottom)], "stroke=\"#000\"");
    for (x, label) in ticks {
        drawing.path(&[(*x, bottom - 5.0), (*x, bottom + 4.0)], "stroke=\"#000\"");
        drawing.text(*x, bottom + 17.0, Anchor::Middle, label);
    }
    drawing.below = bottom + 33.0;
    drawing.text(RIGHT, drawing.below, Anchor::End, name);
    drawing.below += 6.0;
}

fn key(drawing: &mut Drawing, how: &str, text: &str) {
    drawing.below += LINE + 2.0;
    let at = drawing.below;
    drawing.rectangle(LEFT, at - 10.0, 22.0, 12.0, &format!("{how} stroke=\"#000\""));
    let mut lines = super::picture::wrapped(text, RIGHT - LEFT - 30.0, SIZE).into_iter();
    if let Some(first) = lines.next() {
        drawing.text(LEFT + 30.0, at, Anchor::Start, &first);
    }
    for line in lines {
        drawing.below += LINE;
        let at = drawing.below;
        drawing.text(LEFT + 30.0, at, Anchor::Start, &line);
    }
}

/// A text at the end of a bar; in the bar, where there is no room.
fn beside(drawing: &mut Drawing, (low, high): (f64, f64), middle: f64, text: &str) {
    let width = wide(text, SIZE) + 14.0;
    if high + width > RIGHT && low - width > LEFT {
        drawing.white(low - 8.0, middle + 4.0, Anchor::End, text);
    } else {
        let x = (high + 8.0).min(RIGHT - width);
        drawing.strong_over(x, middle + 4.0, Anchor::Start, text);
    }
}

/// The liquid's temperature; hatched from where it is nearer to the flash point than the margin wanted.
fn temperatures(drawing: &mut Drawing, margin: &Margin, flash: Estimate<f64>) {
    let limit = flash.low - margin.wanted;
    let ends = [margin.liquid, flash.low, flash.high, limit];
    let low = ends.into_iter().fold(f64::INFINITY, f64::min);
    let high = ends.into_iter().fold(f64::NEG_INFINITY, f64::max);
    let around = ((high - low) * 0.15).max(5.0);
    let step = step_for(high - low + 2.0 * around);
    let low = ((low - around) / step).floor() * step;
    let high = ((high + around) / step).ceil() * step;
    let across = |celsius: f64| LEFT + (celsius - low) / (high - low) * (RIGHT - LEFT);
    let top = drawing.below + 10.0;
    let bottom = top + 2.0 * ROW;
    drawing.rectangle(across(limit), top, RIGHT - across(limit), bottom - top, "fill=\"url(#h)\"");
    drawing.path(&[(across(limit), top), (across(limit), bottom)], "stroke=\"#000\" stroke-width=\"2\"");
    let ticks: Vec<(f64, String)> =
        steps(low, high, step).map(|tick| (across(tick), four_digits(tick).to_string())).collect();
    scale(drawing, &ticks, bottom, "temperature [°C]");
    let upper = top + ROW * 0.5;
    let (from, to) = (across(flash.low), across(flash.high));
    drawing.rectangle(from, upper - 7.0, (to - from).max(2.0), 14.0, "fill=\"#777\" stroke=\"#000\"");
    drawing.path(
        &[(across(flash.value), upper - 10.0), (across(flash.value), upper + 10.0)],
        "stroke=\"#000\" stroke-width=\"2\"",
    );
    let middle = top + ROW * 1.5;
    let x = across(margin.liquid);
    drawing.rectangle(LEFT, middle - 9.0, x - LEFT, 18.0, "fill=\"#000\" stroke=\"#fff\"");
    let label = format!("{} Cel", tenths(margin.liquid));
    beside(drawing, (x, x), middle, &label);
    key(drawing, "fill=\"#000\"", &format!("the liquid, {}", label));
    key(drawing, "fill=\"#777\"", &format!("range of the flash point: {}", ranged(flash, "Cel")));
    key(
        drawing,
        "fill=\"url(#h)\"",
        &format!(
            "over the limit: from {} Cel on, {} K below the lower end of the flash point",
            tenths(limit),
            margin.wanted
        ),
    );
}
