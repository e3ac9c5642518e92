//! How far may a vessel be filled, so that it does not slop, boil over, or burn too long?
//!
//! Open: a share of the capacity; heated: a smaller share; burnt: a depth over the mouth's area (straight-sided), and
//! an amount. All are rules of the project (judgements, no source), not laws of nature.

use uom::si::f64::{Area, Length, Ratio, Volume};

/// The area of a round mouth.
#[must_use]
pub fn mouth_area(diameter: Length) -> Area {
    diameter * diameter * std::f64::consts::FRAC_PI_4
}

/// The fill that is a share of the capacity.
#[must_use]
pub fn share_of_capacity(capacity: Volume, share: Ratio) -> Volume {
    capacity * share
}

/// The fill that stands so deep in a straight-sided vessel.
#[must_use]
pub fn fill_of_depth(mouth_diameter: Length, depth: Length) -> Volume {
    mouth_area(mouth_diameter) * depth
}
