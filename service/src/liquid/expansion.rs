//! How much more room does a liquid take when it is warmer?
//!
//! V(t)/V(20 Cel) = sum of f_i d_i(20 Cel)/d_i(t), f_i the shares of volumes measured apart. What it expands by is known to
//! the spread of the published equations, no better than 6 % (handbook tables differ by so much), to 20 % from one density
//! with an expansion, 20 % more outside a stated range; a mixture to 10 % more, with water 30 % more: ethanol with water
//! expands up to a quarter more than its parts apart (from memory).

use super::composition::{Composition, Part};
use crate::physics::density;
use crate::quantity::si;
use uom::si::f64::{MassDensity, Ratio, ThermodynamicTemperature};

/// What mixing adds, and what it adds where water is a part.
const MIXED: (f64, f64) = (0.1, 0.3);
/// What an equation adds outside its range.
const OUTSIDE: f64 = 0.2;

/// Which end of the range of an expansion.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bound {
    /// It expands least.
    Least,
    /// The best figure.
    Best,
    /// It expands most.
    Most,
}

impl Bound {
    /// All three.
    pub const ALL: [Self; 3] = [Self::Best, Self::Least, Self::Most];
}

/// How a composition expands.
#[derive(Debug, Clone)]
pub struct Expansion {
    /// Share of the volume at 20 Cel, density there, and the density.
    parts: Vec<(f64, MassDensity, &'static density::Expansion)>,
    mixed: f64,
}

impl Composition {
    /// How it expands.
    #[must_use]
    pub fn expansion(&self) -> Expansion {
        let all: f64 = self.parts.iter().map(Part::millilitres).sum();
        let part = |part: &Part| {
            let density = &part.substance.expansion;
            (part.millilitres() / all, density.set.at(si::celsius(20.0)), density)
        };
        let water = self.parts.iter().any(|part| part.substance.id == "water");
        let mixed = match (self.parts.len(), water) {
            (0 | 1, _) => 0.0,
            (_, false) => MIXED.0,
            (_, true) => MIXED.1,
        };
        Expansion { parts: self.parts.iter().map(part).collect(), mixed }
    }
}

impl Expansion {
    /// Its volume at a temperature for each volume at 20 Cel.
    #[must_use]
    pub fn volume(&self, temperature: ThermodynamicTemperature, bound: Bound) -> Ratio {
        let more = |(share, at_20, density): &(f64, MassDensity, &'static density::Expansion)| {
            let grows = si::in_fraction(*at_20 / density.set.at(temperature)) - 1.0;
            let outside = if density.covers(temperature) { 0.0 } else { OUTSIDE };
            let off = density.spread + self.mixed + outside;
            let factor = match bound {
                Bound::Least => 1.0 - off,
                Bound::Best => 1.0,
                Bound::Most => 1.0 + off,
            };
            share * grows * factor
        };
        si::fraction(1.0 + self.parts.iter().map(more).sum::<f64>())
    }

    /// Whether a part's density is a single value that is carried on.
    #[must_use]
    pub fn carried(&self) -> bool {
        self.parts.iter().any(|(.., density)| matches!(density.set.form, density::Form::SingleValue(_)))
    }

    /// Whether each part's density is known there.
    #[must_use]
    pub fn covers(&self, temperature: ThermodynamicTemperature) -> bool {
        self.parts.iter().all(|(.., density)| density.covers(temperature))
    }
}
