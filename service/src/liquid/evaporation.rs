//! How a liquid leaves an open surface: what each part gives off at the start, how cold the surface becomes, and what is
//! left over time.
//!
//! Three ends are looked at, each input moved once: *high* is the isothermal surface with the stronger film, the upper ends
//! of vapour pressures and diffusivities, and room air that stirs a shallow freeboard; *best* is the surface that its own
//! evaporation cools, with the stronger film; *low* the same with the weaker film and the lower ends. A part of which the
//! room's air holds some (water) leaves as far as it stands above that; nothing condenses.
//!
//! The course of a mixture is integrated (parts leave in the shares in which they stand over it); where it splits in two
//! liquids each part leaves at its first rate until it is gone, which is exact while both liquids are there.

use super::composition::{Composition, Liquid, Part};
use super::vapour::{NoVapour, Over, own};
use crate::physics::evaporation::{self, Film, FilmOfAir, Moving, Surface};
use crate::physics::integrate::{Tolerance, integrate};
use crate::physics::maths::{exp, root};
use crate::physics::room_air::Air;
use crate::quantity::{Estimate, si};
use std::cell::Cell;
use uom::si::f64::{DiffusionCoefficient, Power, Pressure, Ratio, ThermodynamicTemperature, Time, Volume};
use uom::si::power::watt;

/// The surface is looked for down to so many kelvins below the room.
const COLDEST_BELOW_ROOM_K: f64 = 80.0;
/// How far a heat of vaporisation is taken to be off, of which the tables give no uncertainty (judgement).
const HEAT_SPREAD: f64 = 0.03;
/// To which the temperature of the surface is found, K.
const TOLERANCE_K: f64 = 2e-3;
/// From one moment to the next it is looked for so far on both sides, K.
const BESIDE_K: f64 = 1.0;
/// A mixture is followed until this share of its moles is left.
const LEFT_AT_END: f64 = 0.05;
/// A part of which less than this share of all moles is left is gone.
const GONE: f64 = 1e-6;
/// A step of the integration takes no more than this share of what is left.
const SHARE_OF_STEP: f64 = 0.2;
/// Error of a step.
const TOLERANCE: Tolerance = Tolerance { relative: 1e-4, absolute: 1e-6 };
/// No liquid is followed for longer, s: 30 days.
const LONGEST_S: f64 = 30.0 * 86_400.0;
/// Points of the course of a pure liquid whose level sinks.
const SINKING_POINTS: u32 = 24;

/// Where and how a liquid evaporates.
#[derive(Debug, Clone, Copy)]
pub struct Conditions {
    /// Temperature and pressure of the room's air.
    pub air: Air,
    /// Its relative humidity.
    pub humidity: Ratio,
    /// The temperature at which the liquid is held, where it is.
    pub heated_to: Option<ThermodynamicTemperature>,
    /// Heat that goes into each vessel, needed where it boils.
    pub heater: Option<Power>,
    /// One surface.
    pub surface: Surface,
    /// The air that moves over it.
    pub moving: Moving,
}

impl Conditions {
    /// The bits of all its figures, and an end: two of the same bits are the same question.
    fn bits(&self, end: End) -> Vec<u64> {
        let Self { air, humidity, heated_to, heater, surface, moving } = self;
        let figures = [
            air.temperature.value,
            air.pressure.value,
            humidity.value,
            heated_to.map_or(f64::NAN, |held| held.value),
            heater.map_or(f64::NAN, |heater| heater.value),
            surface.width.value,
            surface.area.value,
            surface.freeboard.value,
            moving.speed().value,
        ];
        let mut all = Vec::with_capacity(32);
        all.extend(figures.map(f64::to_bits));
        all.push(match end {
            End::Low => 0,
            End::Best => 1,
            End::High => 2,
        });
        all
    }
}

/// Which end of the range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// The slowest evaporation.
    Low,
    /// The best figures.
    Best,
    /// The fastest evaporation.
    High,
}

/// How a liquid leaves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Regime {
    /// Air moves over the surface.
    AirMovement,
    /// The still air of the freeboard decides.
    Diffusion,
    /// It boils.
    Boiling,
}

/// Why it cannot be said how fast a liquid evaporates.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NotEvaporating {
    /// Its vapour is not known.
    #[error("{0}")]
    Vapour(#[from] NoVapour),
    /// The diffusivity of a part is not known.
    #[error("the diffusivity of {0} in air is not known")]
    NoDiffusivity(&'static str),
    /// It boils and the heater is not known.
    #[error("it boils at this temperature: then its heater decides how fast it leaves")]
    Boils,
    /// Only a bound of its vapour is known, and that says nothing.
    #[error(
        "{0} is far colder than every published vapour-pressure equation: how fast it evaporates is not known"
    )]
    TooCold(&'static str),
    /// The heat of vaporisation of a part is not known.
    #[error("the heat of vaporisation of {0} is not known")]
    NoHeat(&'static str),
}

/// What one surface gives off at the start.
#[derive(Debug, Clone)]
pub struct Start {
    /// Molar flux of each part, mol/(m2 s).
    pub fluxes: Vec<f64>,
    /// Temperature of the surface.
    pub temperature: ThermodynamicTemperature,
    /// How it leaves.
    pub regime: Regime,
    /// Activity of each part, by which its own vapour pressure is multiplied.
    activities: Vec<f64>,
}

/// What is left of each part over time, in one vessel.
#[derive(Debug, Clone)]
pub struct Course {
    /// Times, s, from zero.
    pub times: Vec<f64>,
    /// Moles of each part at these times.
    pub left: Vec<Vec<f64>>,
    /// Whether nothing is left at the last time, or would be at the rate before.
    pub dry: bool,
}

/// The parts' own vapour pressures at one end, Pa.
fn own_pressures(parts: &[Part], temperature: ThermodynamicTemperature) -> Result<Vec<f64>, NoVapour> {
    parts
        .iter()
        .map(|part| own(part.substance, temperature).map(|found| found.pressure.value.value))
        .collect()
}

impl Composition {
    fn diffusivity(part: &Part, end: End) -> Result<DiffusionCoefficient, NotEvaporating> {
        let figure = part.substance.diffusivity.as_ref();
        let figure = figure.ok_or_else(|| NotEvaporating::NoDiffusivity(part.substance.name()))?.estimate;
        Ok(match end {
            End::Low => figure.low,
            End::Best => figure.value,
            End::High => figure.high,
        })
    }

    /// Partial pressure of each part in the room's air: moisture.
    fn in_room(&self, conditions: &Conditions) -> Vec<Pressure> {
        let one = |part: &Part| {
            let moist = (part.substance.id == "water")
                .then(|| part.substance.vapour.at(conditions.air.temperature).ok())
                .flatten();
            moist.map_or_else(|| si::pascal(0.0), |found| found.pressure.value * conditions.humidity)
        };
        self.parts.iter().map(one).collect()
    }

    /// What one surface gives off at the start. `over`: what stands over it at the temperature at which it is held, or at
    /// the room's.
    ///
    /// # Errors
    /// [`NotEvaporating`].
    pub fn start(&self, conditions: &Conditions, over: &Over, end: End) -> Result<Start, NotEvaporating> {
        let mut asked = conditions.bits(end);
        asked.extend(over.partial.iter().flat_map(|p| [p.value, p.low, p.high]).map(|p| p.value.to_bits()));
        asked.push(u64::from(over.bounded.is_empty()));
        self.kept.0.starts.get(asked, || self.started(conditions, over, end))
    }

    fn started(&self, conditions: &Conditions, over: &Over, end: End) -> Result<Start, NotEvaporating> {
        let held = conditions.heated_to.unwrap_or(conditions.air.temperature);
        let of = |estimate: &Estimate<Pressure>| match end {
            End::Low => estimate.low,
            End::Best => estimate.value,
            End::High => estimate.high,
        };
        let pressures: Vec<Pressure> = over.partial.iter().map(of).collect();
        let own_held = own_pressures(&self.parts, held)?;
        let activities: Vec<f64> = pressures
            .iter()
            .zip(&own_held)
            .map(|(p, own)| if *own > 0.0 { p.value / own } else { 0.0 })
            .collect();
        if over.total().high >= conditions.air.pressure {
            // A bound from a much hotter equation is no boiling.
            if let Some(part) = over.bounded.first() {
                return Err(NotEvaporating::TooCold(part.name()));
            }
            return self.boiling(conditions, &pressures, activities, held, end);
        }
        let in_room = self.in_room(conditions);
        let found = if end == End::High || conditions.heated_to.is_some() {
            held
        } else {
            self.cooled(conditions, &activities, &in_room, end, None)?.unwrap_or(held)
        };
        let fluxes = self.fluxes(conditions, &activities, &in_room, found, end)?;
        let regime = self.regime(conditions, &pressures, found)?;
        Ok(Start { fluxes, temperature: found, regime, activities })
    }

    fn boiling(
        &self,
        conditions: &Conditions,
        pressures: &[Pressure],
        activities: Vec<f64>,
        held: ThermodynamicTemperature,
        end: End,
    ) -> Result<Start, NotEvaporating> {
        let heater = conditions.heater.ok_or(NotEvaporating::Boils)?.get::<watt>();
        let total: f64 = pressures.iter().map(|p| si::in_pascal(*p)).sum();
        let heat: f64 =
            self.heats(held)?.iter().zip(pressures).map(|(heat, p)| heat * si::in_pascal(*p) / total).sum();
        let heat = heat
            * match end {
                End::Low => 1.0 + HEAT_SPREAD,
                End::Best => 1.0,
                End::High => 1.0 - HEAT_SPREAD,
            };
        let flux = heater / heat / si::in_square_metre(conditions.surface.area);
        let mut fluxes: Vec<f64> = pressures.iter().map(|p| flux * si::in_pascal(*p) / total).collect();
        if end == End::High {
            // A heater too weak to hold it there: it leaves no slower than just below its boiling point.
            let film = self.fluxes(conditions, &activities, &self.in_room(conditions), held, end)?;
            for (flux, film) in fluxes.iter_mut().zip(film) {
                *flux = flux.max(film);
            }
        }
        Ok(Start { fluxes, temperature: held, regime: Regime::Boiling, activities })
    }

    /// Heat of vaporisation of each part, J/mol.
    fn heats(&self, temperature: ThermodynamicTemperature) -> Result<Vec<f64>, NotEvaporating> {
        let one = |part: &Part| {
            let heat = part.substance.heat_of_vaporisation_at(temperature);
            heat.map(si::in_joule_per_mole).ok_or_else(|| NotEvaporating::NoHeat(part.substance.name()))
        };
        self.parts.iter().map(one).collect()
    }

    /// The temperature at which heat from the room makes up for what evaporation takes; `None` where it is not found.
    fn cooled(
        &self,
        conditions: &Conditions,
        activities: &[f64],
        in_room: &[Pressure],
        end: End,
        near: Option<f64>,
    ) -> Result<Option<ThermodynamicTemperature>, NotEvaporating> {
        let room = conditions.air.temperature.value;
        let Ok(heats) = self.heats(conditions.air.temperature) else { return Ok(None) };
        // Missing diffusivities are told apart from temperatures that no equation reaches.
        for part in &self.parts {
            Self::diffusivity(part, end)?;
        }
        let balance = |kelvins: f64| -> f64 {
            let temperature = si::kelvin(kelvins);
            let Ok((fluxes, heat)) = self.fluxes_and_heat(conditions, activities, in_room, temperature, end)
            else {
                return f64::NAN;
            };
            heat - fluxes.iter().zip(&heats).map(|(flux, heat)| flux * heat).sum::<f64>()
        };
        // Beside the temperature of a moment before it is found in few steps.
        let beside =
            near.and_then(|near| root(balance, near - BESIDE_K, (near + BESIDE_K).min(room), TOLERANCE_K));
        let found = beside.or_else(|| root(balance, room - COLDEST_BELOW_ROOM_K, room, TOLERANCE_K));
        Ok(found.map(si::kelvin))
    }

    fn fluxes(
        &self,
        conditions: &Conditions,
        activities: &[f64],
        in_room: &[Pressure],
        temperature: ThermodynamicTemperature,
        end: End,
    ) -> Result<Vec<f64>, NotEvaporating> {
        self.fluxes_and_heat(conditions, activities, in_room, temperature, end).map(|(fluxes, _)| fluxes)
    }

    /// Molar fluxes, mol/(m2 s), and the heat that reaches the surface from the room, W/m2.
    fn fluxes_and_heat(
        &self,
        conditions: &Conditions,
        activities: &[f64],
        in_room: &[Pressure],
        temperature: ThermodynamicTemperature,
        end: End,
    ) -> Result<(Vec<f64>, f64), NotEvaporating> {
        let Conditions { air, surface, moving, .. } = conditions;
        let at_surface: Vec<Pressure> = own_pressures(&self.parts, temperature)?
            .iter()
            .zip(activities)
            .map(|(own, activity)| si::pascal(own * activity))
            .collect();
        let all = |pressures: &[Pressure]| pressures.iter().copied().fold(si::pascal(0.0), |a, b| a + b);
        let (total, total_in_room) = (all(&at_surface), all(in_room));
        let stefan = evaporation::stefan_factor(total, total_in_room, air.pressure);
        let film_of_air = FilmOfAir::between(temperature, *air);
        let heavier = self
            .parts
            .iter()
            .zip(&at_surface)
            .map(|(part, p)| evaporation::heavier(*p, part.substance.molar_mass, air.pressure))
            .fold(si::fraction(0.0), |a, b| a + b);
        let film = if end == End::Low { Film::Weaker } else { Film::Stronger };
        // Room air stirs the column of a shallow freeboard: then the film alone is the upper end.
        let stirred = end == End::High && surface.freeboard * 2.0 < surface.width;
        let mut fluxes = Vec::with_capacity(self.parts.len());
        let (mut heat, mut largest) = (0.0, -1.0);
        for ((part, p), outside) in self.parts.iter().zip(&at_surface).zip(in_room) {
            let diffusivity = film_of_air.diffusivity(Self::diffusivity(part, end)?);
            let own_film = film_of_air.conductance(
                film,
                part.substance.molar_mass,
                diffusivity,
                *moving,
                surface,
                heavier,
            );
            let conductance = if stirred {
                own_film
            } else {
                evaporation::with_column(own_film, diffusivity, surface.freeboard)
            };
            let flux = film_of_air.molar_flux(conductance, *p, *outside, stefan).max(0.0);
            if flux > largest {
                largest = flux;
                heat = film_of_air.heat(own_film, diffusivity, temperature, *air);
            }
            fluxes.push(flux);
        }
        Ok((fluxes, heat))
    }

    /// Whether the film or the column of the freeboard holds more back, for the part that is given off most.
    fn regime(
        &self,
        conditions: &Conditions,
        pressures: &[Pressure],
        temperature: ThermodynamicTemperature,
    ) -> Result<Regime, NotEvaporating> {
        let most = self
            .parts
            .iter()
            .zip(pressures)
            .max_by(|a, b| si::in_pascal(*a.1).total_cmp(&si::in_pascal(*b.1)));
        let Some((part, p)) = most else { return Ok(Regime::AirMovement) };
        let film_of_air = FilmOfAir::between(temperature, conditions.air);
        let diffusivity = film_of_air.diffusivity(Self::diffusivity(part, End::Best)?);
        let heavier = evaporation::heavier(*p, part.substance.molar_mass, conditions.air.pressure);
        let film = film_of_air.conductance(
            Film::Stronger,
            part.substance.molar_mass,
            diffusivity,
            conditions.moving,
            &conditions.surface,
            heavier,
        );
        let whole = evaporation::with_column(film, diffusivity, conditions.surface.freeboard);
        Ok(if whole * 2.0 < film { Regime::Diffusion } else { Regime::AirMovement })
    }

    /// Moles of each part in a volume poured at 20 Cel, at the best density.
    #[must_use]
    pub fn moles_in(&self, volume: Volume) -> Vec<f64> {
        let per_mole: f64 = self.parts.iter().map(Part::millilitres).sum();
        let moles = si::in_millilitre(volume) / per_mole;
        self.parts.iter().map(|part| part.fraction * moles).collect()
    }

    /// What is left over time of so many moles of each part in one vessel. `sinks`: whether the level sinks below the rim as
    /// the liquid goes; `at`: times that the course meets.
    ///
    /// # Errors
    /// [`NotEvaporating`].
    pub fn course(
        &self,
        conditions: &Conditions,
        start: &Start,
        end: End,
        moles: &[f64],
        sinks: bool,
        at: Option<Time>,
    ) -> Result<Course, NotEvaporating> {
        let area = si::in_square_metre(conditions.surface.area);
        let stirred = end == End::High && conditions.surface.freeboard * 2.0 < conditions.surface.width;
        let sinks = sinks
            && !stirred
            && start.regime != Regime::Boiling
            && conditions.surface.freeboard > si::metre(0.0);
        if let [part] = self.parts.as_slice() {
            let (Some(flux), Some(moles)) = (start.fluxes.first(), moles.first()) else {
                return Ok(Course { times: vec![0.0], left: vec![Vec::new()], dry: false });
            };
            return if sinks {
                self.sinking(conditions, part, start, end, *flux, *moles)
            } else {
                Ok(steady(&[*moles], &[flux * area]))
            };
        }
        let splits = self.split(start.temperature)?.is_some();
        if start.regime == Regime::Boiling {
            // All of it takes so long; what boils first leaves no slower than it does at the start.
            let heat: f64 =
                self.heats(start.temperature)?.iter().zip(moles).map(|(heat, moles)| heat * moles).sum();
            let whole = heat / conditions.heater.map_or(f64::INFINITY, |heater| heater.get::<watt>());
            let rates: Vec<f64> = start
                .fluxes
                .iter()
                .zip(moles)
                .map(|(flux, moles)| (flux * area).max(moles / whole))
                .collect();
            return Ok(steady(moles, &rates));
        }
        if splits {
            let rates: Vec<f64> = start.fluxes.iter().map(|flux| flux * area).collect();
            return Ok(steady(moles, &rates));
        }
        let mut asked = conditions.bits(end);
        asked.extend(start.fluxes.iter().chain(&start.activities).chain(moles).map(|one| one.to_bits()));
        asked.extend([start.temperature.value.to_bits(), u64::from(sinks)]);
        asked.extend(at.map(|at| at.value.to_bits()));
        self.kept.0.courses.get(asked, || self.integrated(conditions, start, end, moles, sinks, at))
    }

    /// The course of a pure liquid whose level sinks: 1/k = 1/k(film) + h/D, so that the time is a quadratic of the level.
    fn sinking(
        &self,
        conditions: &Conditions,
        part: &Part,
        start: &Start,
        end: End,
        flux: f64,
        moles: f64,
    ) -> Result<Course, NotEvaporating> {
        let film_of_air = FilmOfAir::between(start.temperature, conditions.air);
        let diffusivity =
            si::in_square_metre_per_second(film_of_air.diffusivity(Self::diffusivity(part, end)?));
        let area = si::in_square_metre(conditions.surface.area);
        // Seconds of resistance per metre of column, as a share of the resistance at the start.
        let freeboard = si::in_metre(conditions.surface.freeboard);
        let p = start.activities.first().copied().unwrap_or(0.0)
            * own_pressures(&self.parts, start.temperature)?.first().copied().unwrap_or(0.0);
        let film = film_of_air.conductance(
            if end == End::Low { Film::Weaker } else { Film::Stronger },
            part.substance.molar_mass,
            si::square_metre_per_second(diffusivity),
            conditions.moving,
            &conditions.surface,
            evaporation::heavier(si::pascal(p), part.substance.molar_mass, conditions.air.pressure),
        );
        let first = 1.0 / si::in_metre_per_second(film) + freeboard / diffusivity;
        let deepens = part.millilitres() / part.fraction * 1e-6 / area / (diffusivity * first);
        let time = |gone: f64| (gone + deepens * gone * gone / 2.0) / (flux * area);
        let points = (0..=SINKING_POINTS).map(|point| moles * f64::from(point) / f64::from(SINKING_POINTS));
        let (mut times, mut left) = (Vec::new(), Vec::new());
        for gone in points {
            times.push(time(gone));
            left.push(vec![moles - gone]);
        }
        Ok(Course { times, left, dry: flux > 0.0 })
    }

    fn integrated(
        &self,
        conditions: &Conditions,
        start: &Start,
        end: End,
        moles: &[f64],
        sinks: bool,
        at: Option<Time>,
    ) -> Result<Course, NotEvaporating> {
        let whole: f64 = moles.iter().sum();
        let area = si::in_square_metre(conditions.surface.area);
        let in_room = self.in_room(conditions);
        let model = self.model.as_ref().map_err(|missing| NoVapour::Model(missing.clone()))?.as_ref();
        // The coefficients change little with temperature: those at the first one are kept.
        let model = model.map(|model| model.at(start.temperature));
        // By how much this end's pressures stand off the model's best ones, kept from the start on.
        let first_ln = model.as_ref().map(|model| model.ln_coefficients(&self.fractions()));
        let off: Vec<f64> = self
            .parts
            .iter()
            .enumerate()
            .map(|(place, part)| {
                let coefficient = first_ln.as_ref().and_then(|all| all.get(place)).map_or(1.0, |ln| exp(*ln));
                start.activities.get(place).copied().unwrap_or(0.0) / (part.fraction * coefficient)
            })
            .collect();
        let volumes: Vec<f64> =
            self.parts.iter().map(|part| part.millilitres() / part.fraction * 1e-6).collect();
        let full: f64 = moles.iter().zip(&volumes).map(|(moles, volume)| moles * volume).sum();
        let held = end == End::High || conditions.heated_to.is_some();
        let last = Cell::new(start.temperature.value);
        let slope = |left: &[f64]| -> Vec<f64> {
            let total: f64 = left.iter().map(|part| part.max(0.0)).sum();
            if total <= 0.0 {
                return vec![0.0; left.len()];
            }
            let x: Vec<f64> = left.iter().map(|part| part.max(0.0) / total).collect();
            let ln = model.as_ref().map(|model| model.ln_coefficients(&x));
            let activities: Vec<f64> = x
                .iter()
                .zip(&off)
                .enumerate()
                .map(|(place, (x, off))| {
                    x * off * ln.as_ref().and_then(|all| all.get(place)).map_or(1.0, |ln| exp(*ln))
                })
                .collect();
            let mut now = *conditions;
            if sinks {
                let volume: f64 = left.iter().zip(&volumes).map(|(part, volume)| part * whole * volume).sum();
                now.surface.freeboard += si::metre((full - volume) / area);
            }
            let temperature = if held {
                Some(start.temperature)
            } else {
                let found = self.cooled(&now, &activities, &in_room, end, Some(last.get())).ok().flatten();
                last.set(found.map_or(last.get(), |found| found.value));
                found
            };
            let fluxes =
                self.fluxes(&now, &activities, &in_room, temperature.unwrap_or(start.temperature), end);
            fluxes.map_or_else(
                |_| vec![f64::NAN; left.len()],
                |fluxes| fluxes.iter().map(|flux| -flux * area / whole).collect(),
            )
        };
        let first: Vec<f64> = moles.iter().map(|part| part / whole).collect();
        let stop = at.map(si::in_second);
        let (mut times, mut left): (Vec<f64>, Vec<Vec<f64>>) = (Vec::new(), Vec::new());
        let (mut dry, mut last_slope) = (false, vec![0.0; moles.len()]);
        integrate(first, TOLERANCE, slope, |time, state, slope| {
            // Nothing condenses: a step that overshoots within its error adds to no part.
            let before = left.last();
            for (place, part) in state.iter_mut().enumerate() {
                if let Some(before) = before.and_then(|before| before.get(place)) {
                    *part = part.min(before / whole);
                }
                if *part < GONE {
                    *part = 0.0;
                }
            }
            times.push(time);
            left.push(state.iter().map(|part| part * whole).collect());
            last_slope = slope.iter().map(|slope| slope * whole).collect();
            let remaining: f64 = state.iter().sum();
            let rate: f64 = -slope.iter().sum::<f64>();
            if remaining <= LEFT_AT_END {
                // The last of it is taken to leave at the rate before.
                if rate > 0.0 && remaining / rate + time < LONGEST_S {
                    dry = true;
                    if remaining > 0.0 {
                        times.push(time + remaining / rate);
                        left.push(vec![0.0; state.len()]);
                    }
                }
                return None;
            }
            if rate <= 0.0 || time >= LONGEST_S {
                return None;
            }
            let mut longest = (SHARE_OF_STEP * remaining / rate).min(LONGEST_S - time + 1.0);
            if let Some(stop) = stop.filter(|stop| *stop > time) {
                longest = longest.min(stop - time);
            }
            Some(longest)
        });
        if !dry {
            // What is left then goes on at its last rate: a smaller amount, which is scaled from this course, is gone sooner.
            let (Some(from), Some(rest)) = (times.last().copied(), left.last().cloned()) else {
                return Ok(Course { times, left, dry });
            };
            let rates: Vec<f64> = last_slope.iter().map(|slope| (-slope).max(0.0)).collect();
            let tail = steady(&rest, &rates);
            for (time, moles) in tail.times.iter().zip(&tail.left).skip(1) {
                times.push(from + time);
                left.push(moles.clone());
            }
        }
        Ok(Course { times, left, dry })
    }

    /// The same parts in other mole fractions, the model kept.
    #[must_use]
    pub fn of_moles(&self, moles: &[f64]) -> Self {
        let total: f64 = moles.iter().sum();
        let part = |(part, moles): (&Part, &f64)| Part { substance: part.substance, fraction: moles / total };
        Self::of_parts(self.parts.iter().zip(moles).map(part).collect(), self.model.clone())
    }
}

/// Each part leaves at a constant rate until it is gone.
fn steady(moles: &[f64], rates: &[f64]) -> Course {
    let ends: Vec<f64> = moles
        .iter()
        .zip(rates)
        .map(|(moles, rate)| if *rate > 0.0 { moles / rate } else { f64::INFINITY })
        .collect();
    let mut times: Vec<f64> = ends.iter().copied().filter(|end| end.is_finite()).collect();
    times.push(0.0);
    times.sort_by(f64::total_cmp);
    times.dedup();
    let at = |time: f64| -> Vec<f64> {
        moles
            .iter()
            .zip(rates)
            .zip(&ends)
            .map(|((moles, rate), end)| if time >= *end { 0.0 } else { (moles - rate * time).max(0.0) })
            .collect()
    };
    let left = times.iter().map(|time| at(*time)).collect();
    Course { times, left, dry: ends.iter().all(|end| end.is_finite()) }
}

impl Course {
    /// What is left of each part at a time, mol.
    #[must_use]
    pub fn left_at(&self, time: Time) -> Vec<f64> {
        let time = si::in_second(time);
        let after = self.times.partition_point(|known| *known <= time);
        let before = after.max(1) - 1;
        let (Some(start), Some(from)) = (self.times.get(before), self.left.get(before)) else {
            return Vec::new();
        };
        match (self.times.get(after), self.left.get(after)) {
            (Some(end), Some(to)) if end > start => {
                let share = (time - start) / (end - start);
                from.iter().zip(to).map(|(from, to)| from + share * (to - from)).collect()
            }
            _ => from.clone(),
        }
    }

    /// The same course, `faster` times as fast.
    #[must_use]
    pub fn paced(&self, faster: f64) -> Self {
        let times = self.times.iter().map(|time| time / faster).collect();
        Self { times, left: self.left.clone(), dry: self.dry && faster > 0.0 }
    }

    /// When it is dry.
    #[must_use]
    pub fn dry_at(&self) -> Option<Time> {
        self.times.last().filter(|_| self.dry).map(|time| si::second(*time))
    }

    /// The intervals of the course: how long each is, s, and the rate at which each part leaves in it, mol/s.
    #[must_use]
    pub fn intervals(&self) -> Vec<(f64, Vec<f64>)> {
        let pairs = self.times.windows(2).zip(self.left.windows(2));
        pairs
            .filter_map(|(times, left)| {
                let ([start, end], [from, to]) = (times, left) else { return None };
                let length = end - start;
                Some((length, from.iter().zip(to).map(|(from, to)| (from - to) / length).collect()))
            })
            .collect()
    }
}

impl Liquid {
    /// What stands over each composition at the temperature at which it is held, or the room's.
    ///
    /// # Errors
    /// [`NoVapour`].
    pub fn over_surface(&self, conditions: &Conditions) -> Result<Vec<Over>, NoVapour> {
        self.over(conditions.heated_to.unwrap_or(conditions.air.temperature))
    }
}
