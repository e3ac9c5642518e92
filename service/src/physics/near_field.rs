//! How far around an open liquid can its vapour be lit, and what does a person beside it breathe?
//!
//! | figure | equation | source |
//! |---|---|---|
//! | air through the near zone | b = pi r^2 u: half of a hemisphere's surface of radius r, on a bench, at air speed u | two-zone model: near = far + g/b (structure seen in an abstract of Nicas 2024) |
//! | near radius | r = (g/(pi u s L))^(1/2): the zone at whose edge the share s of the lower limit L stands, g given off | the same model |
//! | cylinder | r = (v/(s L pi h))^(1/2): all the vapour v at the share s of the limit in a flat cylinder of height h | judgement: vapour is heavier than air and lies flat |
//!
//! The walls are not looked at: against a wall or in a corner vapour reaches further. Valid for vapours heavier than air.

use uom::si::f64::{Area, Length, Ratio, Velocity, Volume, VolumeRate};
use uom::si::length::meter;

/// Air that flows through the near zone.
#[must_use]
pub fn air_through(radius: Length, speed: Velocity) -> VolumeRate {
    radius * radius * speed * std::f64::consts::PI
}

/// Radius of the zone at whose edge a share of the limit stands.
#[must_use]
pub fn radius(given_off: VolumeRate, limit: Ratio, share: Ratio, speed: Velocity) -> Length {
    root(given_off / (speed * limit * share * std::f64::consts::PI))
}

/// Radius of the flat cylinder that all the vapour fills at a share of the limit.
#[must_use]
pub fn cylinder(vapour: Volume, limit: Ratio, share: Ratio, height: Length) -> Length {
    root(vapour / (height * limit * share * std::f64::consts::PI))
}

/// The vapour that fills a flat cylinder of a radius at a share of the limit.
#[must_use]
pub fn vapour_in_cylinder(radius: Length, limit: Ratio, share: Ratio, height: Length) -> Volume {
    radius * radius * height * (limit * share) * std::f64::consts::PI
}

fn root(area: Area) -> Length {
    Length::new::<meter>(area.value.max(0.0).sqrt())
}
