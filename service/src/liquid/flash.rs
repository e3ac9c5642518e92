//! When the vapour over a liquid can be lit, and how much of it in air can burn.
//!
//! | figure | equation | range |
//! |---|---|---|
//! | flash point of a mixture | sum over flammable parts of a_i p_i(T)/p_i(Tf_i) = P/p0 (Liaw, Tang, Lai, Combust. Flame 138 (2004) 308; memory) | ±4 K; ±8 K with 80 % of water by volume and more; that of a part where it is wider |
//! | bound without activity coefficients | the lowest flash point of a part, less 10 K: an alcohol with a hydrocarbon flashes up to 10 K below both | from there to that part's flash point |
//! | lower limit on the vapour given off | 1/sum(y_i/L_i), y_i the shares of the flammable vapours (Le Chatelier) | that of the parts |
//! | lower limit on complete evaporation | the same with the liquid's own shares | that of the parts |
//! | temperature at which a limit is reached | sum a_i p_i(T)/(L_i(T) P) = 1 | that of pressures and limits |
//!
//! Vapours that do not burn dilute the others: that is left out, since it makes a limit no lower.

use super::composition::{Composition, Liquid, Part};
use super::kept::{self, Sought};
use super::spanning;
use super::vapour::{NoVapour, Over, Phases, within_searched};
use crate::catalogue::Substance;
use crate::catalogue::substance::Figure;
use crate::physics::maths::ln;
use crate::physics::{category, flammable_limit, flash_point, standard_pressure};
use crate::quantity::{Estimate, si};
use uom::si::f64::{Pressure, Ratio, ThermodynamicTemperature};

/// Half-range of a calculated flash point, K, and from which share of water by volume on the wider one holds.
const SPREAD_K: f64 = 4.0;
const SPREAD_DILUTE_K: f64 = 8.0;
const DILUTE: f64 = 0.8;
/// A mixture may flash so far below each of its parts, K.
const BELOW_PARTS_K: f64 = 10.0;
/// A mixture whose calculated flash point is no more than this above a bound of a category takes the stricter one, K.
const CATEGORY_MARGIN_K: f64 = 5.0;

/// A flash point and how it was come by.
#[derive(Debug, Clone, PartialEq)]
pub struct FlashPoint {
    /// The flash point, closed cup, at the pressure asked.
    pub estimate: Estimate<ThermodynamicTemperature>,
    /// How it was come by.
    pub origin: Origin,
}

/// How a flash point was come by.
#[derive(Debug, Clone, PartialEq)]
pub enum Origin {
    /// Published for the pure liquid.
    Published,
    /// Estimated for the pure liquid, since none is published.
    Estimated,
    /// Calculated for the mixture.
    Calculated,
    /// A bound, since the activity coefficients are not known; why.
    Bound(String),
}

/// Why a mixture has no flash point.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoFlashPoint {
    /// Nothing in it burns, or no flash point is published.
    #[error("no flash point is published")]
    NotPublished,
    /// Its vapour does not reach it below its boiling point.
    #[error("so little of it burns that it reaches no flash point below its boiling point, by the model")]
    NotReached,
    /// A figure of a part is missing.
    #[error("{0}")]
    Vapour(NoVapour),
}

/// Which limit is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// The lower one.
    Lower,
    /// The upper one.
    Upper,
}

impl Limit {
    fn figure(self, substance: &Substance) -> Option<&Figure<Ratio>> {
        match self {
            Self::Lower => substance.lower_limit.as_ref(),
            Self::Upper => substance.upper_limit.as_ref(),
        }
    }

    /// The limit of a part at a temperature; the upper one is taken as constant.
    fn at(self, substance: &Substance, temperature: ThermodynamicTemperature) -> Option<Estimate<Ratio>> {
        let figure = self.figure(substance)?.estimate;
        Some(match self {
            Self::Lower => flammable_limit::at_temperature(figure, temperature, substance.limit_fall),
            Self::Upper => figure,
        })
    }
}

impl Liquid {
    /// The flash point at an air pressure.
    ///
    /// # Errors
    /// [`NoFlashPoint`].
    pub fn flash_point(&self, pressure: Pressure) -> Result<FlashPoint, NoFlashPoint> {
        if let Some(substance) = self.substance() {
            let figure = substance.flash_point.as_ref().ok_or(NoFlashPoint::NotPublished)?;
            let find = || Some(flash_point::at_pressure(figure.estimate, &substance.vapour, pressure));
            let known = kept::of_substance(&substance.id, Sought::FlashPoint, pressure, find);
            let estimate = known.ok_or(NoFlashPoint::NotPublished)?;
            let origin = if figure.estimated { Origin::Estimated } else { Origin::Published };
            return Ok(FlashPoint { estimate, origin });
        }
        let mut all = Vec::with_capacity(self.compositions.len());
        for one in &self.compositions {
            match one.flash_point(pressure, Phases::OneOrTwo) {
                Ok(found) => all.push(found),
                // One of several ends that cannot be lit does not make the others harmless.
                Err(NoFlashPoint::NotReached) if self.compositions.len() > 1 => {}
                Err(why) => return Err(why),
            }
        }
        let origin = all.first().map(|found| found.origin.clone()).ok_or(NoFlashPoint::NotReached)?;
        let estimate = spanning(all.iter().map(|found| found.estimate)).ok_or(NoFlashPoint::NotReached)?;
        Ok(FlashPoint { estimate, origin })
    }

    /// The limit of the vapour that stands over it at a temperature, `over` each composition; `None` where a flammable part has no trusted limit.
    #[must_use]
    pub fn limit_over(
        &self,
        limit: Limit,
        temperature: ThermodynamicTemperature,
        over: &Result<Vec<Over>, NoVapour>,
    ) -> Option<Estimate<Ratio>> {
        if let Some(substance) = self.substance() {
            return limit.at(substance, temperature);
        }
        let all: Option<Vec<_>> = self
            .compositions
            .iter()
            .zip(over.as_ref().ok()?)
            .map(|(one, over)| {
                let shares: Vec<f64> = over.partial.iter().map(|p| si::in_pascal(p.value)).collect();
                one.le_chatelier(limit, temperature, &shares)
            })
            .collect();
        spanning(all?.into_iter())
    }

    /// The lower limit of the vapour of all of it, completely evaporated.
    #[must_use]
    pub fn lower_limit_evaporated(&self, temperature: ThermodynamicTemperature) -> Option<Estimate<Ratio>> {
        let all: Option<Vec<_>> = self
            .compositions
            .iter()
            .map(|one| one.le_chatelier(Limit::Lower, temperature, &one.fractions()))
            .collect();
        spanning(all?.into_iter())
    }

    /// The lowest flash point that it may come to while it evaporates, where parts that do not burn leave first.
    #[must_use]
    pub fn flash_point_when_drifted(
        &self,
        pressure: Pressure,
        over: &[Over],
    ) -> Option<Estimate<ThermodynamicTemperature>> {
        let left = self.compositions.iter().zip(over);
        let left = left.filter_map(|(one, over)| one.without_its_retardant(&over.partial));
        let found = left.filter_map(|one| one.flash_point(pressure, Phases::OneOrTwo).ok());
        spanning(found.map(|found| found.estimate))
    }

    /// The temperature at which the vapour over it reaches a limit; `phases`: whether it may split in two there.
    #[must_use]
    pub fn limit_temperature(
        &self,
        limit: Limit,
        pressure: Pressure,
        phases: Phases,
    ) -> Option<Estimate<ThermodynamicTemperature>> {
        if let Some(substance) = self.substance() {
            let figure = limit.figure(substance)?.estimate;
            let (curve, fall) = (&substance.vapour, substance.limit_fall);
            let sought = if limit == Limit::Lower { Sought::LowerLimit } else { Sought::UpperLimit };
            return kept::of_substance(&substance.id, sought, pressure, || match limit {
                Limit::Lower => flash_point::lower_flammable_temperature(figure, fall, curve, pressure),
                Limit::Upper => flash_point::upper_flammable_temperature(figure, curve, pressure),
            });
        }
        let all: Option<Vec<_>> =
            self.compositions.iter().map(|one| one.limit_temperature(limit, pressure, phases)).collect();
        spanning(all?.into_iter())
    }

    /// Category of the flammable liquid by the published criteria, `phases` whether it may split in two; a mixture near the bound takes the stricter one.
    #[must_use]
    pub fn category(&self, phases: Phases) -> Option<u8> {
        if let Some(substance) = self.substance() {
            return substance.category();
        }
        let below = |celsius: f64| {
            self.compositions
                .iter()
                .any(|one| one.flashes_by(si::celsius(celsius + CATEGORY_MARGIN_K), phases))
        };
        // The bounds of the criteria, as flash points that lie within them.
        let strict = if below(23.0) {
            si::celsius(22.0)
        } else if below(60.0) {
            si::celsius(60.0)
        } else {
            return None;
        };
        // Whether it boils by then is all that the criteria ask for.
        let boils = self.compositions.iter().any(|one| {
            one.partial_pascals(category::low_boiling(), Phases::One)
                .is_ok_and(|partial| partial.iter().sum::<f64>() >= si::in_pascal(standard_pressure()))
        });
        category::category(strict, boils)
    }
}

impl Composition {
    /// Whether it flashes at a temperature, at standard pressure.
    fn flashes_by(&self, temperature: ThermodynamicTemperature, phases: Phases) -> bool {
        let at_flash = || self.parts.iter().map(pressure_at_flash_point);
        let calculated = self.partial_pascals(temperature, phases).ok().and_then(|partial| {
            partial
                .iter()
                .zip(at_flash())
                .zip(&self.parts)
                .filter(|(_, part)| part.is_fuel())
                .map(|((p, at_flash), _)| Some(p / at_flash?))
                .sum::<Option<f64>>()
        });
        match calculated {
            Some(sum) => sum >= 1.0,
            // Without activity coefficients the bound decides.
            None => self
                .bound(standard_pressure(), String::new())
                .is_ok_and(|found| found.estimate.value <= temperature),
        }
    }

    /// What is left of it when the parts that do not burn are gone, where these leave sooner than the others: `partial` the
    /// pressures over it.
    fn without_its_retardant(&self, partial: &[Estimate<Pressure>]) -> Option<Self> {
        let burns = |part: &Part| part.substance.not_flammable.is_none();
        let total: f64 = partial.iter().map(|p| si::in_pascal(p.value)).sum();
        let parts = self.parts.iter().zip(partial).filter(|(part, _)| !burns(part));
        let (mut in_liquid, mut in_vapour) = (0.0, 0.0);
        for (part, p) in parts {
            in_liquid += part.fraction;
            in_vapour += si::in_pascal(p.value) / total;
        }
        if in_liquid <= 0.0 || in_liquid >= 1.0 || in_vapour <= in_liquid {
            return None;
        }
        let left: Vec<f64> =
            self.parts.iter().map(|part| if burns(part) { part.fraction } else { 0.0 }).collect();
        Some(self.of_moles(&left))
    }

    fn fuels(&self) -> impl Iterator<Item = &Part> {
        self.parts.iter().filter(|part| part.is_fuel())
    }

    /// The flash point of this composition at an air pressure.
    ///
    /// # Errors
    /// [`NoFlashPoint`].
    pub fn flash_point(&self, pressure: Pressure, phases: Phases) -> Result<FlashPoint, NoFlashPoint> {
        let find = || self.flash_point_found(pressure, phases);
        self.kept.0.flash_points.get((si::in_pascal(pressure).to_bits(), phases), find)
    }

    fn flash_point_found(&self, pressure: Pressure, phases: Phases) -> Result<FlashPoint, NoFlashPoint> {
        if self.fuels().next().is_none() || self.mostly_unpublished() {
            return Err(NoFlashPoint::NotPublished);
        }
        if self.parts.len() == 1 {
            return self.bound(pressure, String::new());
        }
        let why = match &self.model {
            Err(missing) => Some(missing.to_string()),
            Ok(_) => None,
        };
        if let Some(why) = why {
            return self.bound(pressure, why);
        }
        // Vapour pressure of each flammable part at its own flash point, Pa.
        let at_flash: Vec<Option<f64>> = self.parts.iter().map(pressure_at_flash_point).collect();
        if self.parts.iter().zip(&at_flash).any(|(part, pascals)| part.is_fuel() && pascals.is_none()) {
            return self.bound(pressure, "a part has no vapour pressure at its flash point".into());
        }
        let ratio = si::in_fraction(pressure / standard_pressure());
        let liaw = |partial: &[f64], _: f64| {
            let sum: f64 =
                partial.iter().zip(&at_flash).filter_map(|(p, at_flash)| Some(p / (*at_flash)?)).sum();
            ln(sum / ratio)
        };
        let found = self.temperature_where(phases, liaw).map_err(NoFlashPoint::Vapour)?;
        let Some((found, phases)) = found else {
            // Not found: it boils without having reached it, or its parts' equations end before, or the search failed. Only
            // where the vapour does not suffice at the boiling point is it not reached.
            return match self.boiling_point(pressure).map_err(NoFlashPoint::Vapour)? {
                Some(boiling) => {
                    let there = self.partial_pascals(boiling.value, Phases::OneOrTwo);
                    let suffices = there.map_or(true, |partial| liaw(&partial, 0.0) >= 0.0);
                    if suffices {
                        self.bound(pressure, "its flash point was not found between its phases".into())
                    } else {
                        Err(NoFlashPoint::NotReached)
                    }
                }
                None => self.bound(pressure, "its parts' equations do not reach its flash point".into()),
            };
        };
        let partial = self.partial_pascals(si::kelvin(found), phases).map_err(NoFlashPoint::Vapour)?;
        if partial.iter().sum::<f64>() >= si::in_pascal(pressure) {
            return Err(NoFlashPoint::NotReached);
        }
        let half = if self.water_by_volume() < DILUTE { SPREAD_K } else { SPREAD_DILUTE_K };
        // A part whose own flash point is known worse than that makes the mixture's no better; diluted it flashes hotter,
        // where the same error of a pressure is one of more kelvins, by the square of the temperatures.
        let part = |end: fn(Estimate<ThermodynamicTemperature>) -> ThermodynamicTemperature| {
            let figures = self.fuels().filter_map(|part| part.substance.flash_point.as_ref());
            let off = |figure: &Figure<_>| {
                let own = si::in_kelvin(figure.estimate.value);
                let hotter = (found / own).max(1.0);
                (si::in_kelvin(end(figure.estimate)) - own).abs() * hotter * hotter
            };
            figures.map(off).fold(half, f64::max)
        };
        let (down, up) = (part(|flash| flash.low), part(|flash| flash.high));
        let estimate = Estimate::new(si::kelvin(found), si::kelvin(found - down), si::kelvin(found + up));
        Ok(FlashPoint { estimate, origin: Origin::Calculated })
    }

    /// The lower limit of the vapour given off while a share of the mass, from 0 to 1, has gone and `left` remains.
    #[must_use]
    pub fn lower_limit_given_off(
        &self,
        lost: f64,
        left: &Self,
        temperature: ThermodynamicTemperature,
    ) -> Option<Estimate<Ratio>> {
        let grams = |one: &Self| one.parts.iter().map(Part::grams).sum::<f64>();
        // Moles of what is left for each mole at first.
        let kept = (1.0 - lost) * grams(self) / grams(left);
        let given_off: Vec<f64> = self
            .parts
            .iter()
            .zip(&left.parts)
            .map(|(first, left)| (first.fraction - kept * left.fraction).max(0.0))
            .collect();
        self.le_chatelier(Limit::Lower, temperature, &given_off)
    }

    /// The lowest flash point of a part, less 10 K.
    fn bound(&self, pressure: Pressure, why: String) -> Result<FlashPoint, NoFlashPoint> {
        let of = |part: &Part| {
            let figure = part.substance.flash_point.as_ref()?;
            let at = flash_point::at_pressure(figure.estimate, &part.substance.vapour, pressure);
            Some((si::in_kelvin(at.low), si::in_kelvin(at.value), si::in_kelvin(at.high)))
        };
        let lowest = self.fuels().filter_map(of).min_by(|a, b| a.0.total_cmp(&b.0));
        let (low, value, high) = lowest.ok_or(NoFlashPoint::NotPublished)?;
        let below = if self.parts.len() == 1 { 0.0 } else { BELOW_PARTS_K };
        Ok(FlashPoint {
            estimate: Estimate::new(si::kelvin(value - below), si::kelvin(low - below), si::kelvin(high)),
            origin: Origin::Bound(why),
        })
    }

    /// 1/sum(y/L) over the flammable parts; `shares` of all parts need not sum to one.
    fn le_chatelier(
        &self,
        limit: Limit,
        temperature: ThermodynamicTemperature,
        shares: &[f64],
    ) -> Option<Estimate<Ratio>> {
        if self.mostly_unpublished() {
            return None;
        }
        let mut total = 0.0;
        let mut sums = [0.0; 3];
        for (part, share) in self.parts.iter().zip(shares).filter(|(part, _)| part.is_fuel()) {
            let Estimate { value, low, high } = limit.at(part.substance, temperature)?;
            total += share;
            for (sum, limit) in sums.iter_mut().zip([value, low, high]) {
                *sum += share / si::in_fraction(limit);
            }
        }
        if total <= 0.0 {
            return None;
        }
        let [value, low, high] = sums.map(|sum| si::fraction(total / sum));
        Some(Estimate::new(value, low, high))
    }

    fn limit_temperature(
        &self,
        limit: Limit,
        pressure: Pressure,
        phases: Phases,
    ) -> Option<Estimate<ThermodynamicTemperature>> {
        let pascals = si::in_pascal(pressure);
        self.fuels().next()?;
        // Limits at 25 Cel and how far they have fallen are cheap; the ends enter through one factor each.
        let reached = |partial: &[f64], kelvins: f64| -> f64 {
            let temperature = si::kelvin(kelvins);
            let sum: Option<f64> = self
                .parts
                .iter()
                .zip(partial)
                .filter(|(part, _)| part.is_fuel())
                .map(|(part, p)| {
                    limit
                        .at(part.substance, temperature)
                        .map(|limit| p / (si::in_fraction(limit.value) * pascals))
                })
                .sum();
            sum.map_or(f64::NAN, ln)
        };
        let (found, phases) = self.temperature_where(phases, reached).ok()??;
        let ends = |kelvins: f64| -> Option<f64> {
            let partial = self.partial_pascals(si::kelvin(kelvins), phases).ok()?;
            Some(reached(&partial, kelvins))
        };
        let slope = ends(found + 0.5)? - ends(found - 0.5)?;
        let temperature = si::kelvin(found);
        let over = self.over(temperature, phases).ok()?;
        let fuel = over.fuel(self);
        let shares: Vec<f64> = over.partial.iter().map(|p| si::in_pascal(p.value)).collect();
        let own = self.le_chatelier(limit, temperature, &shares)?;
        let down = ln(si::in_fraction(fuel.high / fuel.value) * si::in_fraction(own.value / own.low)) / slope;
        let up = ln(si::in_fraction(fuel.value / fuel.low) * si::in_fraction(own.high / own.value)) / slope;
        Some(Estimate::new(temperature, within_searched(found - down), within_searched(found + up)))
    }
}

/// The vapour pressure of a part at its own flash point at standard pressure, Pa: from its equations, or, where none
/// reaches it, that at which its lower limit is reached, which is lower and errs on the cautious side. A flash point printed
/// so high that its vapour would stand far above the lower limit (often an upper bound whose sign was lost) counts no more
/// than the highest ratio of the two that well-measured liquids show.
fn pressure_at_flash_point(part: &Part) -> Option<f64> {
    const MOST_ABOVE_LIMIT: f64 = 1.6;
    let substance = part.substance;
    let figure = substance.flash_point.as_ref().filter(|_| part.is_fuel())?;
    let by_equation =
        substance.vapour.at(figure.estimate.value).ok().map(|found| si::in_pascal(found.pressure.value));
    let limit = substance.lower_limit.as_ref().map(|limit| limit.estimate);
    let at_limit = |limit: Ratio| si::in_pascal(limit * standard_pressure());
    match (by_equation, limit) {
        (Some(pascals), Some(limit)) => Some(pascals.min(MOST_ABOVE_LIMIT * at_limit(limit.value))),
        (Some(pascals), None) => Some(pascals),
        (None, limit) => limit.map(|limit| at_limit(limit.low)),
    }
}
