//! How an open liquid changes while it evaporates: the parts leave in the shares in which they stand over the liquid
//! (Rayleigh: dm_i/dm = w_i, w_i the mass share of part i in its vapour), at a fixed temperature.
//!
//! Integrated over s = -ln(m/m0) with the classical fourth-order scheme of Runge and Kutta; the room's own moisture is left
//! out, so that water leaves as fast as into dry air.

use super::composition::{Composition, Part};
use super::vapour::NoVapour;
use crate::physics::maths::{exp, ln};
use crate::quantity::si;
use uom::si::f64::ThermodynamicTemperature;

/// Shares of the mass lost at which the liquid is looked at, per cent.
pub const LOST: [f64; 5] = [10.0, 25.0, 50.0, 75.0, 90.0];
/// Longest step in s.
const STEP: f64 = 0.25;

impl Composition {
    /// What is left after each share of [`LOST`].
    ///
    /// # Errors
    /// [`NoVapour`].
    pub fn drifted(&self, temperature: ThermodynamicTemperature) -> Result<Vec<Self>, NoVapour> {
        let mut masses: Vec<f64> = self.parts.iter().map(Part::grams).collect();
        let whole: f64 = masses.iter().sum();
        for mass in &mut masses {
            *mass /= whole;
        }
        // At one temperature the model and the parts' own vapour pressures are made once.
        let model = self.model.as_ref().map_err(Clone::clone)?.as_ref().map(|model| model.at(temperature));
        let weights: Vec<f64> = self
            .own_pascals(temperature)?
            .iter()
            .zip(&self.parts)
            .map(|(pascals, part)| pascals * si::in_gram_per_mole(part.substance.molar_mass))
            .collect();
        let slope = |masses: &[f64]| -> Vec<f64> {
            let x = fractions(&self.parts, masses);
            let ln_coefficients = model.as_ref().map(|model| model.ln_coefficients(&x));
            let coefficient =
                |i: usize| ln_coefficients.as_ref().and_then(|all| all.get(i)).map_or(1.0, |ln| exp(*ln));
            let given_off: Vec<f64> = x
                .iter()
                .zip(&weights)
                .enumerate()
                .map(|(i, (x, weight))| x * coefficient(i) * weight)
                .collect();
            let (mass, total) = (masses.iter().sum::<f64>(), given_off.iter().sum::<f64>());
            given_off.iter().map(|part| -mass * part / total).collect()
        };
        let mut left = Vec::with_capacity(LOST.len());
        let mut at = 0.0;
        for lost in LOST {
            let target = -ln(1.0 - lost / 100.0);
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few steps")]
            let steps = ((target - at) / STEP).ceil() as u32;
            let step = (target - at) / f64::from(steps.max(1));
            for _ in 0..steps {
                masses = stepped(&masses, step, slope);
            }
            at = target;
            left.push(self.of_masses(&masses));
        }
        Ok(left)
    }

    /// The same parts with other masses, the model kept.
    fn of_masses(&self, masses: &[f64]) -> Self {
        let fractions = fractions(&self.parts, masses);
        let part = |(part, fraction): (&Part, f64)| Part { substance: part.substance, fraction };
        Self::of_parts(self.parts.iter().zip(fractions).map(part).collect(), self.model.clone())
    }
}

/// Mole fractions of parts that weigh so much.
fn fractions(parts: &[Part], masses: &[f64]) -> Vec<f64> {
    let moles: Vec<f64> = parts
        .iter()
        .zip(masses)
        .map(|(part, mass)| mass / si::in_gram_per_mole(part.substance.molar_mass))
        .collect();
    let total: f64 = moles.iter().sum();
    moles.iter().map(|moles| moles / total).collect()
}

/// One step; `slope` gives dm_i/ds.
fn stepped(masses: &[f64], step: f64, slope: impl Fn(&[f64]) -> Vec<f64>) -> Vec<f64> {
    let moved = |slope: &[f64], by: f64| -> Vec<f64> {
        masses.iter().zip(slope).map(|(mass, slope)| (mass + by * slope).max(0.0)).collect()
    };
    let first = slope(masses);
    let second = slope(&moved(&first, step / 2.0));
    let third = slope(&moved(&second, step / 2.0));
    let fourth = slope(&moved(&third, step));
    let mean: Vec<f64> = first
        .iter()
        .zip(&second)
        .zip(third.iter().zip(&fourth))
        .map(|((a, b), (c, d))| (a + 2.0 * b + 2.0 * c + d) / 6.0)
        .collect();
    moved(&mean, step)
}
