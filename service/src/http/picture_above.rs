//! A plan seen from above, to scale: what stands around the work at its true distance, the distance wanted as a ruled sector.
//!
//! Directions are not known: all are spread evenly, so that each has a ray of its own and no name lies on another.

use super::picture::{Anchor, Drawing, EDGE, LINE, SIZE, WIDTH, step_for, steps, wrapped};
use crate::quantity::round::four_digits;
use crate::question::picture::{Above, Around, Kind};
use brimline_openapi::Outcome;
use std::f64::consts::{FRAC_PI_2, TAU};

/// Radius of the largest distance on paper, of the width.
const RADIUS: f64 = 0.18;
/// The same beside text, where what is said of it needs the room.
const SMALL: f64 = 0.115;
/// Room for the numbers around it.
const NUMBERS: f64 = 30.0;
/// Size as which letters that stand out are measured: they are wider.
const BOLD: f64 = SIZE * 1.08;
/// Distance of the arcs that rule a sector.
const RULED: f64 = 5.0;
/// Half of the widest sector.
const WIDEST: f64 = 0.32;

/// Draws a plan.
pub fn draw(drawing: &mut Drawing, above: &Above) {
    let furthest =
        above.around.iter().flat_map(|one| [Some(one.given), one.wanted]).flatten().fold(1.0, f64::max);
    let radius = drawing.width * if drawing.width < WIDTH { SMALL } else { RADIUS };
    let scale = radius / furthest;
    let top = drawing.below + 6.0;
    let centre = (EDGE + radius + NUMBERS, top + radius + NUMBERS);
    // A smaller scale has fewer numbers.
    let step = step_for(furthest * WIDTH * RADIUS / radius);
    for ring in steps(step, furthest, step) {
        drawing.circle(centre.0, centre.1, ring * scale, "fill=\"none\" stroke=\"#ccc\"");
    }
    let rays = Rays { centre, radius, scale, count: above.around.iter().map(|_| 1.0).sum::<f64>().max(1.0) };
    let mut turn = 0.0;
    for one in &above.around {
        rays.ruled(drawing, one, turn);
        turn += 1.0;
    }
    drawing.circle(centre.0, centre.1, 4.0, "fill=\"#fff\" stroke=\"#000\" stroke-width=\"1.8\"");
    turn = 0.0;
    for one in &above.around {
        rays.object(drawing, one, turn);
        turn += 1.0;
    }
    let foot = centre.1 + radius + NUMBERS + 12.0;
    for tick in steps(0.0, furthest, step) {
        let x = centre.0 + tick * scale;
        drawing.path(&[(x, foot - 4.0), (x, foot + 4.0)], "stroke=\"#000\"");
        let label = four_digits(tick).to_string();
        drawing.text(x, foot + 16.0, Anchor::Middle, &label);
    }
    drawing.path(
        &[(centre.0, foot), (centre.0 + furthest * scale, foot)],
        "stroke=\"#000\" stroke-width=\"1.8\"",
    );
    drawing.text(centre.0 - 10.0, foot + 4.0, Anchor::End, "m");
    list(drawing, above, (2.0 * (radius + NUMBERS) + EDGE + 12.0, top));
    drawing.below = drawing.below.max(foot + 20.0);
    for text in &above.also {
        drawing.paragraph(EDGE, drawing.width - 2.0 * EDGE, text);
    }
}

/// The rays from the work, one for each thing around it.
struct Rays {
    centre: (f64, f64),
    radius: f64,
    scale: f64,
    count: f64,
}

impl Rays {
    fn angle(&self, turn: f64) -> f64 {
        turn / self.count * TAU - FRAC_PI_2
    }

    fn at(&self, angle: f64, radius: f64) -> (f64, f64) {
        (self.centre.0 + libm::cos(angle) * radius, self.centre.1 + libm::sin(angle) * radius)
    }

    /// The ray, and on it the sector in which this is not to be.
    fn ruled(&self, drawing: &mut Drawing, one: &Around, turn: f64) {
        let angle = self.angle(turn);
        drawing.path(&[self.centre, self.at(angle, self.radius)], "stroke=\"#999\" stroke-dasharray=\"1 3\"");
        let Some(wanted) = one.wanted else { return };
        let half = (TAU / self.count * 0.4).min(WIDEST);
        let arc = |radius: f64| -> Vec<(f64, f64)> {
            (-6..=6).map(|part| self.at(angle + half * f64::from(part) / 6.0, radius)).collect()
        };
        let edge = wanted * self.scale;
        let mut corners = arc(edge);
        corners.push(self.centre);
        drawing.surface(&corners, "fill=\"none\" stroke=\"#000\" stroke-width=\".6\"");
        for radius in steps(RULED, edge, RULED) {
            drawing.path(&arc(radius), "fill=\"none\" stroke=\"#000\" stroke-width=\".6\"");
        }
        drawing.path(&arc(edge), "fill=\"none\" stroke=\"#000\" stroke-width=\"2.5\"");
    }

    /// The mark at the true distance and the number at the end of the ray.
    fn object(&self, drawing: &mut Drawing, one: &Around, turn: f64) {
        let angle = self.angle(turn);
        mark(drawing, self.at(angle, one.given * self.scale), one);
        number(drawing, self.at(angle, self.radius + 19.0), one, turn);
    }
}

const fn is_over(one: &Around) -> bool {
    matches!(one.status, Outcome::OverLimit | Outcome::NotAssessed)
}

/// A person is round, a bottle square, an ignition source a triangle; black where it is over a limit.
fn mark(drawing: &mut Drawing, (x, y): (f64, f64), one: &Around) {
    let fill = if is_over(one) {
        "fill=\"#000\" stroke=\"#fff\""
    } else {
        "fill=\"#fff\" stroke=\"#000\" stroke-width=\"1.8\""
    };
    match one.kind {
        Kind::Person => drawing.circle(x, y, 6.0, fill),
        Kind::Stock => drawing.rectangle(x - 5.5, y - 5.5, 11.0, 11.0, fill),
        Kind::Ignition => {
            drawing.surface(&[(x, y - 7.5), (x + 7.0, y + 5.0), (x - 7.0, y + 5.0)], fill);
        }
    }
}

fn number(drawing: &mut Drawing, (x, y): (f64, f64), one: &Around, turn: f64) {
    let label = four_digits(turn + 1.0).to_string();
    if is_over(one) {
        drawing.rectangle(
            x - 10.0,
            y - 9.0,
            20.0,
            18.0,
            "fill=\"none\" stroke=\"#000\" stroke-width=\"2.5\"",
        );
        drawing.strong(x, y + 4.0, Anchor::Middle, &label);
    } else {
        drawing.text(x, y + 4.0, Anchor::Middle, &label);
    }
}

/// What each number is, with its distance and the one wanted.
fn list(drawing: &mut Drawing, above: &Above, (left, top): (f64, f64)) {
    let room = drawing.width - EDGE - left;
    drawing.below = top + 8.0;
    drawing.paragraph(left, room, &above.work);
    let mut turn = 1.0;
    for one in &above.around {
        drawing.below += 5.0;
        let at = drawing.below + LINE;
        mark(drawing, (left + 26.0, at - 4.0), one);
        drawing.strong(left, at, Anchor::Start, &four_digits(turn).to_string());
        for line in wrapped(&format!("{}: {} m", one.name, one.given), room - 40.0, BOLD) {
            drawing.below += LINE;
            let at = drawing.below;
            drawing.strong(left + 40.0, at, Anchor::Start, &line);
        }
        drawing.paragraph(left + 40.0, room - 40.0, &one.judged);
        turn += 1.0;
    }
    if above.around.iter().any(|one| one.wanted.is_some()) {
        drawing.below += 5.0;
        for line in wrapped(
            "Ruled: nearer than wanted. Black: over a limit or not assessed. Directions are not known.",
            room,
            SIZE,
        ) {
            drawing.below += LINE;
            let at = drawing.below;
            drawing.text(left, at, Anchor::Start, &line);
        }
    }
}
