//! How hot can a flame get?
//!
//! | figure | equation | source |
//! |---|---|---|
//! | enthalpy, entropy | polynomials of each species | McBride, Gordon, Reno, NASA TM-4513 (1993) |
//! | composition | each species in equilibrium with O2, H2O, CO2 and N2; atoms of C, H, O and N kept | ideal gas; Gibbs energies |
//! | temperature | H(products, T) = H(fuel, air at the start) - what is taken off | energy balance at constant pressure |
//!
//! Carbon dioxide and water come apart at such temperatures: without that, a flame would seem some 150 K hotter.

use super::GAS_CONSTANT;
use super::maths::{exp, ln, root};
use std::cell::Cell;
use uom::si::f64::{MolarEnergy, Pressure, ThermodynamicTemperature};
use uom::si::molar_energy::joule_per_mole;
use uom::si::pressure::bar;
use uom::si::thermodynamic_temperature::kelvin;

/// Nitrogen to oxygen in dry air, by moles.
const NITROGEN: f64 = 3.76;
/// Between these a flame is looked for, K.
const RANGE: (f64, f64) = (1200.0, 2800.0);
/// Temperature is found to this, K.
const TOLERANCE: f64 = 1e-3;
/// Most steps towards the composition at one temperature.
const MOST_STEPS: u32 = 200;
/// Temperature at which heats of combustion are told, K.
const STANDARD: f64 = 298.15;

/// A gas with its thermochemistry.
#[derive(Debug, Clone, PartialEq)]
pub struct Species {
    /// Its formula.
    pub name: String,
    /// Atoms of C, H, O and N.
    pub atoms: [f64; 4],
    /// Temperature at which the two sets of coefficients meet, K.
    pub mid: f64,
    /// Coefficients up to there.
    pub low: [f64; 7],
    /// Coefficients from there on.
    pub high: [f64; 7],
}

impl Species {
    const fn set(&self, t: f64) -> &[f64; 7] {
        if t < self.mid { &self.low } else { &self.high }
    }

    /// Enthalpy with that of formation, over RT.
    fn enthalpy(&self, t: f64) -> f64 {
        let [a, b, c, d, e, f, _] = self.set(t);
        a + t * (b / 2.0 + t * (c / 3.0 + t * (d / 4.0 + t * e / 5.0))) + f / t
    }

    /// Entropy at the reference pressure, over R.
    fn entropy(&self, t: f64) -> f64 {
        let [a, b, c, d, e, _, g] = self.set(t);
        a * ln(t) + t * (b + t * (c / 2.0 + t * (d / 3.0 + t * e / 4.0))) + g
    }

    /// Gibbs energy over RT.
    fn gibbs(&self, t: f64) -> f64 {
        self.enthalpy(t) - self.entropy(t)
    }
}

/// What burns.
#[derive(Debug, Clone, Copy)]
pub struct Mixture<'a> {
    /// The vapour of the fuel.
    pub fuel: &'a Species,
    /// What may be in the burnt gas; O2, H2O, CO2 and N2 must be among it.
    pub products: &'a [Species],
    /// Temperature of vapour and air before.
    pub start: ThermodynamicTemperature,
    /// Pressure.
    pub pressure: Pressure,
    /// Fuel over what the air can burn.
    pub equivalence: f64,
    /// Taken off for each mole of fuel before: its heat of vaporisation, where it is a liquid.
    pub taken: MolarEnergy,
    /// Share of the lower heat of combustion that is lost.
    pub lost: f64,
}

/// The temperature of the burnt gas; `None` where none is found, or a species is missing.
#[must_use]
pub fn temperature(of: &Mixture<'_>) -> Option<ThermodynamicTemperature> {
    let start = of.start.get::<kelvin>();
    let main = Main::of(of.products)?;
    let [carbon, hydrogen, oxygen, _] = of.fuel.atoms;
    let needed = carbon + hydrogen / 4.0 - oxygen / 2.0;
    // For each mole of fuel.
    let air = needed / of.equivalence;
    let [o2, h2o, co2, n2] = main.species;
    let rt = |t: f64| GAS_CONSTANT * t;
    let heat = |species: &Species, t: f64| species.enthalpy(t) * rt(t);
    let lower = heat(of.fuel, STANDARD) + needed * heat(o2, STANDARD)
        - carbon * heat(co2, STANDARD)
        - hydrogen / 2.0 * heat(h2o, STANDARD);
    let before = heat(of.fuel, start) + air * (heat(o2, start) + NITROGEN * heat(n2, start))
        - of.taken.get::<joule_per_mole>()
        - of.lost * lower;
    let atoms = [carbon, hydrogen, oxygen + 2.0 * air, 2.0 * NITROGEN * air];
    let pressure = of.pressure.get::<bar>();
    // Each composition is found from the one before: the next temperature is near.
    let last = Cell::new(None);
    let balance = |t: f64| {
        let Some((amounts, logs)) = main.composition(of.products, t, pressure, atoms, last.get()) else {
            return f64::NAN;
        };
        last.set(Some(logs));
        let after: f64 =
            of.products.iter().zip(&amounts).map(|(species, moles)| moles * heat(species, t)).sum();
        after - before
    };
    root(balance, RANGE.0, RANGE.1, TOLERANCE).map(ThermodynamicTemperature::new::<kelvin>)
}

/// The four gases of which the others are made.
struct Main<'a> {
    species: [&'a Species; 4],
}

impl<'a> Main<'a> {
    fn of(products: &'a [Species]) -> Option<Self> {
        let named = |name: &str| products.iter().find(|species| species.name == name);
        Some(Self { species: [named("O2")?, named("H2O")?, named("CO2")?, named("N2")?] })
    }

    /// How many of O2, H2O, CO2 and N2 make a species; O2 may be negative.
    fn made_of([c, h, o, n]: [f64; 4]) -> [f64; 4] {
        [(o - 2.0 * c - h / 2.0) / 2.0, h / 2.0, c, n / 2.0]
    }

    /// Moles of each product that hold these atoms in equilibrium; by Newton's method in the logarithms of the four pressures.
    /// The logarithms, too: from them the next composition is found sooner.
    fn composition(
        &self,
        products: &[Species],
        t: f64,
        pressure: f64,
        atoms: [f64; 4],
        from: Option<[f64; 4]>,
    ) -> Option<(Vec<f64>, [f64; 4])> {
        let own = self.species.map(|species| species.gibbs(t));
        let made: Vec<([f64; 4], f64)> = products
            .iter()
            .map(|species| {
                let of = Self::made_of(species.atoms);
                let sum: f64 = of.iter().zip(own).map(|(count, gibbs)| count * gibbs).sum();
                (of, sum - species.gibbs(t))
            })
            .collect();
        let [c, h, _, n] = atoms;
        let all = c + h / 2.0 + n / 2.0;
        let shares = [1e-2, h / 2.0 / all, c / all, n / 2.0 / all];
        let mut logs = from.unwrap_or_else(|| shares.map(|share: f64| ln(share.max(1e-6) * pressure)));
        for _ in 0..MOST_STEPS {
            let pressures: Vec<f64> = made
                .iter()
                .map(|(of, constant)| {
                    exp(of.iter().zip(logs).map(|(count, log)| count * log).sum::<f64>() + constant)
                })
                .collect();
            // Atoms of C, H, O and N, and how they change with each logarithm; the total pressure.
            let (mut held, mut slopes) = ([0.0; 4], [[0.0; 4]; 4]);
            let (mut total, mut rises) = (0.0, [0.0; 4]);
            for ((species, (of, _)), p) in products.iter().zip(&made).zip(&pressures) {
                total += p;
                for (rise, count) in rises.iter_mut().zip(of) {
                    *rise += p * count;
                }
                for ((atoms, held), slopes) in species.atoms.iter().zip(&mut held).zip(&mut slopes) {
                    *held += p * atoms;
                    for (slope, count) in slopes.iter_mut().zip(of) {
                        *slope += p * atoms * count;
                    }
                }
            }
            let ([c_held, h_held, o_held, n_held], [c_slopes, h_slopes, o_slopes, n_slopes]) = (held, slopes);
            let [_, _, o, _] = atoms;
            // Ratios to nitrogen, which is always there, in logarithms; and the pressure.
            let row = |held: f64, slopes: [f64; 4], wanted: f64| {
                let mut row = [0.0; 5];
                for ((value, slope), other) in row.iter_mut().zip(slopes).zip(n_slopes) {
                    *value = slope / held - other / n_held;
                }
                row[4] = ln(wanted / n) - ln(held / n_held);
                row
            };
            let mut last = [0.0; 5];
            for (value, rise) in last.iter_mut().zip(rises) {
                *value = rise / total;
            }
            last[4] = ln(pressure / total);
            let step =
                solved([row(c_held, c_slopes, c), row(h_held, h_slopes, h), row(o_held, o_slopes, o), last])?;
            let widest = step.iter().fold(0.0_f64, |most, one| most.max(one.abs()));
            let damped = if widest > 2.0 { 2.0 / widest } else { 1.0 };
            for (log, one) in logs.iter_mut().zip(step) {
                *log += damped * one;
            }
            if widest < 1e-10 {
                let moles = n / n_held;
                return Some((pressures.iter().map(|p| p * moles).collect(), logs));
            }
        }
        None
    }
}

/// Solves four linear equations, the right-hand side in the last column; `None` where they do not decide.
#[allow(clippy::indexing_slicing, reason = "constant bounds")]
fn solved(mut rows: [[f64; 5]; 4]) -> Option<[f64; 4]> {
    for column in 0..4 {
        let pivot = (column..4).max_by(|a, b| rows[*a][column].abs().total_cmp(&rows[*b][column].abs()))?;
        rows.swap(column, pivot);
        let head = rows[column];
        if head[column].abs() < 1e-300 || head[column].is_nan() {
            return None;
        }
        for (number, row) in rows.iter_mut().enumerate() {
            if number != column {
                let factor = row[column] / head[column];
                for (value, of_head) in row.iter_mut().zip(head) {
                    *value -= factor * of_head;
                }
            }
        }
    }
    let mut found = [0.0; 4];
    for (number, value) in found.iter_mut().enumerate() {
        *value = rows[number][4] / rows[number][number];
    }
    found.iter().all(|value| value.is_finite()).then_some(found)
}
