//! What stands over a liquid: p_i = a_i p_i(T), a_i = x_i g_i the activity in the liquid, or in either of its phases where it
//! splits in two (they are equal there).
//!
//! The range of a partial pressure spans that of the part's own vapour pressure and of the model: exp(±(0.05 (1 - x) +
//! 0.1 |ln g|)) (judgement: modified UNIFAC reproduces vapour-liquid equilibria within a few per cent, worse the further a
//! mixture is from ideal). A part that is colder than every published equation by more than 10 K evaporates at most as
//! much as at the coldest temperature that is answered: that bound is taken.

use super::composition::{Composition, Liquid, NoModel, Part};
use super::spanning;
use crate::catalogue::Substance;
use crate::physics::activity::AtTemperature;
use crate::physics::boiling_point;
use crate::physics::maths::{exp, ln, root};
use crate::physics::phase_split::{self, NotSettled, Split};
use crate::physics::vapour_pressure::OutsideRange;
use crate::quantity::{Estimate, si};
use std::cell::RefCell;
use std::rc::Rc;
use uom::si::f64::{Pressure, ThermodynamicTemperature};

/// Share of a partial pressure that the model may be off by where a part is much diluted, and for each unit of ln g.
const MODEL_SPREAD: (f64, f64) = (0.05, 0.1);
/// The least half-range of a boiling point of a mixture, K.
const BOILING_SPREAD_K: f64 = 1.0;
/// Coldest and hottest temperature at which a mixture is looked at, K.
const SEARCHED_K: (f64, f64) = (200.0, 520.0);
/// Splitting in two mostly moves a temperature up by no more than this, K.
const SPLIT_ABOVE_K: f64 = 40.0;
/// Roots in 1/T are found to this, 1/K: some 1e-6 K.
const TOLERANCE: f64 = 1e-11;

/// What stands over a composition.
#[derive(Debug, Clone)]
pub struct Over {
    /// Partial pressures in the order of the parts.
    pub partial: Vec<Estimate<Pressure>>,
    /// ln of the activity coefficient of each part, in the first phase where the liquid splits.
    pub ln_coefficients: Vec<f64>,
    /// For each part the published set that gave its own vapour pressure.
    pub sets: Vec<&'static str>,
    /// Whether a set was used below its range.
    pub extrapolated: bool,
    /// Parts of which only a bound is known, since they are colder than every equation.
    pub bounded: Vec<&'static Substance>,
    /// The two phases, where the liquid splits.
    pub split: Option<Split>,
}

/// Why it cannot be said what stands over a liquid.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoVapour {
    /// The activity coefficients are not known.
    #[error("{0}")]
    Model(#[from] NoModel),
    /// A part is outside every published equation.
    #[error("{0} is {1}")]
    Range(&'static str, OutsideRange),
    /// The two phases were not found.
    #[error("{0}")]
    Split(#[from] NotSettled),
}

/// Whether to look for two liquid phases.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Phases {
    /// The liquid is taken as one.
    One,
    /// It may split.
    OneOrTwo,
}

/// Activities of the parts with what they rest on.
#[derive(Debug, Clone)]
pub(super) struct Activities {
    ln_coefficients: Vec<f64>,
    /// ln of the factor by which each may be off.
    spreads: Vec<f64>,
    activities: Vec<f64>,
    split: Option<Split>,
}

fn activities_of(at: &AtTemperature<'_>, x: Vec<f64>, split: Option<Split>) -> Activities {
    let spread = |(x, ln): (&f64, &f64)| MODEL_SPREAD.0 * (1.0 - x) + MODEL_SPREAD.1 * ln.abs();
    let liquid = split.as_ref().map_or(&x, |split| &split.first);
    let ln_coefficients = at.ln_coefficients(liquid);
    let mut spreads: Vec<f64> = liquid.iter().zip(&ln_coefficients).map(spread).collect();
    if let Some(split) = &split {
        // The activity is that in both phases: it is known as well as in the one that is nearer to ideal.
        let other = at.ln_coefficients(&split.second);
        let other = split.second.iter().zip(&other).map(spread);
        spreads = spreads.into_iter().zip(other).map(|(a, b)| a.min(b)).collect();
    }
    let activities = liquid.iter().zip(&ln_coefficients).map(|(x, ln)| x * exp(*ln)).collect();
    Activities { ln_coefficients, spreads, activities, split }
}

impl Composition {
    /// The activities in the liquid, or in its phases where it splits.
    fn activities(
        &self,
        temperature: ThermodynamicTemperature,
        phases: Phases,
    ) -> Result<Rc<Activities>, NoVapour> {
        let Some(model) = self.model.as_ref().map_err(Clone::clone)? else {
            let x = self.fractions();
            let none = vec![0.0; x.len()];
            return Ok(Rc::new(Activities {
                ln_coefficients: none.clone(),
                spreads: none,
                activities: x,
                split: None,
            }));
        };
        self.kept.0.activities.get((si::in_kelvin(temperature).to_bits(), phases), || {
            let x = self.fractions();
            let at = model.at(temperature);
            let split = if phases == Phases::OneOrTwo { phase_split::split(&at, &x)? } else { None };
            Ok(Rc::new(activities_of(&at, x, split)))
        })
    }

    /// The activities in the two phases, which are known at a temperature near this one.
    fn activities_near(
        &self,
        temperature: ThermodynamicTemperature,
        near: &Split,
    ) -> Result<Rc<Activities>, NoVapour> {
        let x = self.fractions();
        let Some(model) = self.model.as_ref().map_err(Clone::clone)? else {
            return self.activities(temperature, Phases::One);
        };
        let at = model.at(temperature);
        let split = phase_split::followed(&at, &x, near)?;
        Ok(Rc::new(activities_of(&at, x, split)))
    }

    /// The two liquid phases at a temperature, if it splits.
    ///
    /// # Errors
    /// [`NoVapour`].
    pub fn split(&self, temperature: ThermodynamicTemperature) -> Result<Option<Split>, NoVapour> {
        self.activities(temperature, Phases::OneOrTwo).map(|found| found.split.clone())
    }

    /// What stands over it.
    ///
    /// # Errors
    /// [`NoVapour`].
    pub fn over(&self, temperature: ThermodynamicTemperature, phases: Phases) -> Result<Over, NoVapour> {
        let found = self.activities(temperature, phases)?;
        let Activities { ln_coefficients, spreads, activities, split } = &*found;
        let mut over = Over {
            partial: Vec::with_capacity(self.parts.len()),
            sets: Vec::with_capacity(self.parts.len()),
            ln_coefficients: Vec::new(),
            extrapolated: false,
            bounded: Vec::new(),
            split: split.clone(),
        };
        for (part, (activity, spread)) in self.parts.iter().zip(activities.iter().zip(spreads)) {
            let found = own(part.substance, temperature)?;
            over.sets.push(found.set);
            over.extrapolated |= found.extrapolated;
            if found.bound {
                over.bounded.push(part.substance);
            }
            let spread = exp(*spread);
            let Estimate { value, low, high } = found.pressure;
            over.partial.push(Estimate::new(
                value * *activity,
                low * *activity / spread,
                high * *activity * spread,
            ));
        }
        over.ln_coefficients.clone_from(ln_coefficients);
        Ok(over)
    }

    /// The parts' own vapour pressures, Pa.
    pub(super) fn own_pascals(&self, temperature: ThermodynamicTemperature) -> Result<Vec<f64>, NoVapour> {
        let one =
            |part: &Part| own(part.substance, temperature).map(|found| si::in_pascal(found.pressure.value));
        self.parts.iter().map(one).collect()
    }

    /// Best partial pressures alone, Pa.
    pub(super) fn partial_pascals(
        &self,
        temperature: ThermodynamicTemperature,
        phases: Phases,
    ) -> Result<Vec<f64>, NoVapour> {
        let found = self.activities(temperature, phases)?;
        let own = self.own_pascals(temperature)?;
        Ok(own.iter().zip(&found.activities).map(|(own, activity)| own * activity).collect())
    }

    /// The temperature (K) at which a function of the partial pressures (Pa) is zero, and as what the liquid is looked at
    /// there; the function must rise with temperature.
    ///
    /// The liquid is looked at as one first; where it splits at the temperature found, again with its two phases.
    ///
    /// # Errors
    /// [`NoVapour`]; `Ok(None)` where it is not reached between the temperatures that are answered.
    pub(super) fn temperature_where(
        &self,
        phases: Phases,
        f: impl Fn(&[f64], f64) -> f64,
    ) -> Result<Option<(f64, Phases)>, NoVapour> {
        self.model.as_ref().map_err(Clone::clone)?;
        let hottest = self.parts.iter().map(|part| hottest(part.substance)).fold(SEARCHED_K.1, f64::min);
        let between = |coldest: f64, hottest: f64, partial: &dyn Fn(f64) -> Result<Vec<f64>, NoVapour>| {
            // ln p is nearly straight in 1/T, so that the root is found in few steps.
            root(
                |inverse| partial(1.0 / inverse).map_or(f64::NAN, |pascals| f(&pascals, 1.0 / inverse)),
                1.0 / (hottest - 1e-6),
                1.0 / coldest,
                TOLERANCE,
            )
            .map(|inverse| 1.0 / inverse)
        };
        let as_one = |kelvins| self.partial_pascals(si::kelvin(kelvins), Phases::One);
        let Some(found) = between(SEARCHED_K.0, hottest, &as_one) else { return Ok(None) };
        if phases == Phases::One || self.parts.len() == 1 {
            return Ok(Some((found, Phases::One)));
        }
        let Some(split) = self.split(si::kelvin(found))? else { return Ok(Some((found, Phases::One))) };
        // From temperature to temperature the two phases are followed and not looked for anew.
        let last = RefCell::new(split);
        let followed = |kelvins: f64| {
            let found = self.activities_near(si::kelvin(kelvins), &last.borrow())?;
            if let Some(split) = &found.split {
                last.borrow_mut().clone_from(split);
            }
            let own = self.own_pascals(si::kelvin(kelvins))?;
            Ok(own.iter().zip(&found.activities).map(|(own, activity)| own * activity).collect())
        };
        // Taken as one liquid it gives off more than in two: the temperature sought lies above, mostly not far.
        let near = between(found, hottest.min(found + SPLIT_ABOVE_K), &followed);
        let found = near.or_else(|| between(SEARCHED_K.0, hottest, &followed));
        Ok(found.map(|found| (found, Phases::OneOrTwo)))
    }

    /// Whether the vapour of all parts, taken as one liquid, reaches a pressure at a temperature.
    #[must_use]
    pub fn boils_at(&self, temperature: ThermodynamicTemperature, pressure: Pressure) -> bool {
        self.partial_pascals(temperature, Phases::One)
            .is_ok_and(|partial| partial.iter().sum::<f64>() >= si::in_pascal(pressure))
    }

    /// The temperature at which the vapour of all parts reaches a pressure.
    ///
    /// # Errors
    /// [`NoVapour`].
    pub fn boiling_point(
        &self,
        pressure: Pressure,
    ) -> Result<Option<Estimate<ThermodynamicTemperature>>, NoVapour> {
        let pascals = si::in_pascal(pressure);
        self.kept.0.boiling_points.get(pascals.to_bits(), || self.boils(pascals))
    }

    fn boils(&self, pascals: f64) -> Result<Option<Estimate<ThermodynamicTemperature>>, NoVapour> {
        let boils = |partial: &[f64], _: f64| ln(partial.iter().sum::<f64>() / pascals);
        let Some((found, phases)) = self.temperature_where(Phases::OneOrTwo, boils)? else { return Ok(None) };
        let total =
            |kelvins: f64| self.partial_pascals(si::kelvin(kelvins), phases).map(|p| p.iter().sum::<f64>());
        let slope = ln(total(found + 0.5)? / total(found - 0.5)?);
        let over = self.over(si::kelvin(found), phases)?;
        let sum = sum(over.partial.iter().copied());
        let half = |end: Pressure| (ln(si::in_fraction(end / sum.value)) / slope).abs().max(BOILING_SPREAD_K);
        let (down, up) = (half(sum.high), half(sum.low));
        Ok(Some(Estimate::new(si::kelvin(found), within_searched(found - down), within_searched(found + up))))
    }

    /// The temperature at which vapour of the liquid's own composition begins to condense, K.
    ///
    /// # Errors
    /// [`NoVapour`]; `Ok(None)` where it is not reached or does not settle.
    pub fn condensing_point(&self, pressure: Pressure) -> Result<Option<ThermodynamicTemperature>, NoVapour> {
        const ROUNDS: u32 = 100;
        let Some(model) = self.model.as_ref().map_err(Clone::clone)? else {
            return Ok(self.boiling_point(pressure)?.map(|boiling| boiling.value));
        };
        let pascals = si::in_pascal(pressure);
        let y = self.fractions();
        let excess = |kelvins: f64| -> f64 {
            let temperature = si::kelvin(kelvins);
            let Ok(own) = self.own_pascals(temperature) else { return f64::NAN };
            let at = model.at(temperature);
            let mut x = y.clone();
            let mut sum = f64::NAN;
            for _ in 0..ROUNDS {
                let weights: Vec<f64> = at
                    .ln_coefficients(&x)
                    .iter()
                    .zip(y.iter().zip(&own))
                    .map(|(ln, (y, own))| y * pascals / (exp(*ln) * own))
                    .collect();
                let next: f64 = weights.iter().sum();
                x = weights.iter().map(|weight| weight / next).collect();
                if (next - sum).abs() < 1e-10 * next {
                    return ln(next);
                }
                sum = next;
            }
            f64::NAN
        };
        let hottest = self.parts.iter().map(|part| hottest(part.substance)).fold(SEARCHED_K.1, f64::min);
        let Some(boiling) = self.boiling_point(pressure)? else { return Ok(None) };
        let coldest = si::in_kelvin(boiling.value) - 1.0;
        Ok(root(excess, coldest, hottest - 1e-6, 1e-6).map(si::kelvin))
    }
}

/// Best figure, its set, and how it was come by.
pub(super) struct Own {
    pub(super) pressure: Estimate<Pressure>,
    set: &'static str,
    extrapolated: bool,
    bound: bool,
}

pub(super) fn own(
    substance: &'static Substance,
    temperature: ThermodynamicTemperature,
) -> Result<Own, NoVapour> {
    match substance.vapour.at(temperature) {
        Ok(found) => Ok(Own {
            pressure: found.pressure,
            set: &found.set.name,
            extrapolated: found.extrapolated,
            bound: false,
        }),
        Err(OutsideRange::Below(coldest)) => {
            let found =
                substance.vapour.at(coldest).map_err(|outside| NoVapour::Range(substance.name(), outside))?;
            let pressure = found.pressure;
            // Less than at the coldest temperature answered, by how much is not known.
            let bound = Estimate::new(pressure.high, pressure.high * 0.0, pressure.high);
            Ok(Own { pressure: bound, set: &found.set.name, extrapolated: true, bound: true })
        }
        Err(outside) => Err(NoVapour::Range(substance.name(), outside)),
    }
}

fn hottest(substance: &Substance) -> f64 {
    substance.vapour.sets.iter().map(|set| si::in_kelvin(set.to)).fold(0.0, f64::max)
}

/// An end of a range of temperatures, K, kept to what is looked at: where only a bound of a pressure is known, its end may
/// lie anywhere.
pub(super) fn within_searched(kelvins: f64) -> ThermodynamicTemperature {
    si::kelvin(kelvins.clamp(SEARCHED_K.0, SEARCHED_K.1))
}

/// A sum of pressures, ends added up: they may all be off in one direction.
pub(super) fn sum(pressures: impl Iterator<Item = Estimate<Pressure>>) -> Estimate<Pressure> {
    let none = si::pascal(0.0);
    pressures.fold(Estimate::exact(none), |sum, one| Estimate {
        value: sum.value + one.value,
        low: sum.low + one.low,
        high: sum.high + one.high,
    })
}

impl Over {
    /// Vapour pressure of all parts.
    #[must_use]
    pub fn total(&self) -> Estimate<Pressure> {
        sum(self.partial.iter().copied())
    }

    /// Vapour pressure of what can burn.
    #[must_use]
    pub fn fuel(&self, composition: &Composition) -> Estimate<Pressure> {
        sum(composition.parts.iter().zip(&self.partial).filter(|(part, _)| part.is_fuel()).map(|(_, p)| *p))
    }
}

impl Liquid {
    /// What stands over each of its compositions, in their order.
    ///
    /// # Errors
    /// [`NoVapour`].
    pub fn over(&self, temperature: ThermodynamicTemperature) -> Result<Vec<Over>, NoVapour> {
        self.compositions.iter().map(|one| one.over(temperature, Phases::OneOrTwo)).collect()
    }

    /// Boiling point at a pressure; of a mixture that at which its vapour first reaches it.
    #[must_use]
    pub fn boiling_point(&self, pressure: Pressure) -> Option<Estimate<ThermodynamicTemperature>> {
        if let Some(substance) = self.substance() {
            return boiling_point::boiling_point(&substance.vapour, pressure, substance.boiling_spread);
        }
        let all: Option<Vec<_>> =
            self.compositions.iter().map(|one| one.boiling_point(pressure).ok().flatten()).collect();
        spanning(all?.into_iter())
    }
}
