//! How a liquid burns from an open vessel: how fast, how much heat, what is left when it goes out.
//!
//! Rates are published for pans of 30 cm and wider; for vessels of a few centimetres only their range is known (see
//! `burning.toml`). Between 20 and 30 cm the ends go over into each other, straight in the logarithms.
//!
//! A mixture leaves in the shares in which its parts stand over it at its first boiling point (Rayleigh). It goes out when
//! the flame's heat that comes back no longer evaporates what leaves: of the heat set free a share of 0.1, 0.2 or 0.3
//! (judgement, after the share at the fire point: Rasbash 1976, from memory) against the heat of vaporisation. The early end
//! leaves the most water, the late end the least.

use super::composition::{Composition, Liquid, Part};
use super::spanning;
use super::vapour::Phases;
use crate::catalogue::Catalogue;
use crate::catalogue::burning::{Burning, Family, seen_as};
use crate::physics::flame;
use crate::physics::maths::{exp, ln, pow};
use crate::quantity::{Estimate, si};
use brimline_openapi::Seen;
use uom::si::f64::{Area, Length, MassFlux, Pressure, Ratio, ThermodynamicTemperature};

/// Up to this width, m, the range of small vessels holds.
const SMALL_M: f64 = 0.2;
/// From this width on the table of wide pools and measured pans hold.
const WIDE_M: f64 = 0.3;
/// Below this width the edge heats the liquid.
const EDGE_M: f64 = 0.03;
/// How steeply the upper end rises there: from 30 to 40 g/(m2 s) at 1 cm, as remembered of methanol.
const EDGE_RISE: f64 = 0.262;
/// Narrower than this no vessel is looked at.
const NARROWEST_M: f64 = 0.005;
/// By how much a wide pool may burn faster or slower than the table (judgement; measured pools differ by up to 15 %).
const TABLE_SPREAD: f64 = 0.25;
/// The envelope of the table, for liquids that it lacks: m_inf in g/(m2 s), k_beta in 1/m.
const ENVELOPE: (f64, f64) = (100.0, 2.7);
/// In metal the whole vessel boils: the upper end rises by so much (judgement).
const METAL: f64 = 1.5;
/// Deeper below the rim than so many widths nothing is known: it may go out by itself.
const DEEPEST: f64 = 1.5;
/// A part of the fuel up to this mole fraction of it does not change its family.
const TRACE: f64 = 0.05;
/// Shares of the flame's heat that come back to the liquid when it goes out: first, usual, last.
const COMES_BACK: [f64; 3] = [0.1, 0.2, 0.3];
/// Step of the drift, in the logarithm of the moles left.
const STEP: f64 = 0.2;
/// No part that matters loses more than this share in a step.
const LOSES: f64 = 0.35;
/// A part below this share of what leaves does not set the step.
const MATTERS: f64 = 0.05;
const MOST_STEPS: u32 = 60;
/// Volume of a mole of water, mL.
const MILLILITRES_PER_MOLE_OF_WATER: f64 = 18.05;

/// Why it cannot be said how a liquid burns.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NotBurning {
    /// No heat of combustion of a part is known.
    #[error("the heat of combustion of {0} is not known here")]
    NoHeat(String),
    /// How its parts evaporate is not known.
    #[error("how its parts evaporate is not known: {0}")]
    NoVapour(String),
}

/// Where a liquid burns.
#[derive(Debug, Clone, Copy)]
pub struct Vessel {
    /// Width of the mouth.
    pub mouth: Length,
    /// How far the liquid lies below the rim.
    pub freeboard: Length,
    /// Whether it is of metal.
    pub metal: bool,
}

/// A published rate that bears on the answer, g/(m2 s).
#[derive(Debug, Clone, PartialEq)]
pub struct Published {
    /// What it is: `small_vessels`, `common_table` or `measured`.
    pub kind: &'static str,
    /// Width of the pan, where it was measured.
    pub diameter: Option<Length>,
    /// The rate.
    pub rate: Estimate<f64>,
    /// Key of its source.
    pub source: &'static str,
    /// How it was seen.
    pub seen: Seen,
}

/// What one millilitre poured at 20 Cel does when it burns.
#[derive(Debug, Clone)]
pub struct Fire {
    /// Heat if all of it burns completely, kJ/mL.
    pub heat: Estimate<f64>,
    /// Its mass, g/mL.
    pub mass: Estimate<f64>,
    /// Heat of what leaves at first, kJ/g: of one gram of vapour.
    pub first: f64,
    /// The most heat of one gram of vapour at any time, kJ/g.
    pub richest: f64,
    /// By how much its vapour leaves more slowly than that of its fuel alone: heats of vaporisation.
    pub slower: f64,
    /// What leaves until it goes out: early, usual, late.
    pub out: [Out; 3],
    /// Carbon dioxide, mol/mL.
    pub carbon_dioxide: Estimate<f64>,
    /// Oxygen, mol/mL.
    pub oxygen: Estimate<f64>,
    /// Sulfur dioxide, mol/mL.
    pub sulfur_dioxide: f64,
    /// Hydrogen halides, mol/mL.
    pub hydrogen_halides: f64,
    /// Water in it, mL/mL.
    pub water: f64,
    /// Its family.
    pub family: Family,
    /// Share of the heat that is radiated.
    pub radiated: Estimate<Ratio>,
    /// Share of the heat of combustion that is set free.
    pub set_free: Estimate<Ratio>,
}

/// What has left when the flame goes out, of one millilitre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Out {
    /// Mass of vapour, g/mL.
    pub vapour: f64,
    /// The same, each gram counted by how much more slowly it leaves than fuel alone.
    pub paced: f64,
    /// What is left, g/mL.
    pub left: f64,
    /// Heat of what burnt, kJ/mL.
    pub heat: f64,
    /// Water left, mL/mL.
    pub water: f64,
}

/// Heat of combustion of a part, kJ/mol: none of what does not burn.
fn heat(part: &Part) -> Result<Estimate<f64>, NotBurning> {
    if part.substance.not_flammable.is_some() {
        return Ok(Estimate::exact(0.0));
    }
    let figure = part.substance.heat_of_combustion.as_ref();
    let figure = figure.ok_or_else(|| NotBurning::NoHeat(part.substance.name().to_owned()))?;
    Ok(figure.estimate.rising(|heat| si::in_joule_per_mole(heat) / 1000.0))
}

impl Liquid {
    /// Whether it burns as the short alcohols do.
    #[must_use]
    pub fn family(&self, burning: &Burning) -> Family {
        let alcohol = |part: &&Part| burning.alcohols.substances.contains(&part.substance.id);
        let each = self.compositions.iter().all(|one| {
            let fuel: f64 = one
                .parts
                .iter()
                .filter(|part| part.substance.not_flammable.is_none())
                .map(|part| part.fraction)
                .sum();
            let alcohols: f64 = one.parts.iter().filter(alcohol).map(|part| part.fraction).sum();
            fuel > 0.0 && alcohols >= fuel * (1.0 - TRACE)
        });
        if each { Family::Alcohol } else { Family::Other }
    }

    /// Mass flux of what leaves.
    #[must_use]
    pub fn burning_rate(&self, catalogue: &'static Catalogue, vessel: Vessel) -> Estimate<MassFlux> {
        let burning = &catalogue.burning;
        let metres = si::in_metre(vessel.mouth).max(NARROWEST_M);
        let family = self.family(burning);
        let small = small_vessel(burning, family, metres.min(SMALL_M));
        // Glass and porcelain stay cold below the rim: the flame burns down into them more slowly.
        let deep =
            if vessel.metal { 1.0 } else { exp(-(si::in_metre(vessel.freeboard) / metres).min(DEEPEST)) };
        let boils = if vessel.metal { METAL } else { 1.0 };
        let whole = if metres <= SMALL_M {
            small
        } else {
            let wide = self.wide_pool(burning, family, metres.max(WIDE_M), small);
            let share = ((ln(metres) - ln(SMALL_M)) / (ln(WIDE_M) - ln(SMALL_M))).clamp(0.0, 1.0);
            let between = |small: f64, wide: f64| small * pow(wide / small, share);
            Estimate::new(
                between(small.value, wide.value),
                between(small.low, wide.low),
                between(small.high, wide.high),
            )
        };
        let rate = Estimate::new(whole.value * deep.sqrt(), whole.low * deep, whole.high * boils);
        rate.rising(|grams| si::kilogram_per_square_metre_second(grams / 1000.0))
    }

    /// Every published rate that bears on a vessel of a width.
    #[must_use]
    pub fn published_rates(&self, catalogue: &'static Catalogue, mouth: Length) -> Vec<Published> {
        let burning = &catalogue.burning;
        let metres = si::in_metre(mouth).max(NARROWEST_M);
        let family = self.family(burning);
        let mut published = Vec::new();
        if metres > SMALL_M {
            published
                .extend(self.pool(burning, metres.max(WIDE_M)).into_iter().chain(self.measured(burning)));
        }
        if metres < WIDE_M || published.is_empty() {
            let row = burning.small_vessel.iter().find(|row| row.family == family);
            published.extend(row.map(|row| Published {
                kind: "small_vessels",
                diameter: None,
                rate: small_vessel(burning, family, metres.min(SMALL_M)),
                source: &row.source,
                seen: seen_as(&row.seen),
            }));
        }
        published
    }

    /// The upper end at any width, for a thin pool on a warm floor.
    #[must_use]
    pub fn fastest_rate(&self, catalogue: &'static Catalogue, mouth: Length) -> MassFlux {
        let vessel = Vessel { mouth, freeboard: si::metre(0.0), metal: false };
        let at = self.burning_rate(catalogue, vessel).high;
        let small = Vessel { mouth: si::metre(SMALL_M), ..vessel };
        let least = self.burning_rate(catalogue, small).high;
        if at > least { at } else { least }
    }

    /// The one part that burns, where the others do not.
    fn only_fuel(&self) -> Option<&'static str> {
        let mut burns = self.substances().filter(|substance| substance.not_flammable.is_none());
        let first = burns.next()?;
        burns.next().is_none().then_some(first.id.as_str())
    }

    /// The common table for a wide pool.
    fn pool(&self, burning: &'static Burning, metres: f64) -> Option<Published> {
        let id = self.only_fuel()?;
        let row = burning.pool.iter().find(|row| row.substance == id)?;
        let value = pool_flux(row.m_inf, row.k_beta, metres);
        Some(Published {
            kind: "common_table",
            diameter: None,
            rate: Estimate::new(value, value * (1.0 - TABLE_SPREAD), value * (1.0 + TABLE_SPREAD)),
            source: &row.source,
            seen: seen_as(&row.seen),
        })
    }

    /// A measured pan.
    fn measured(&self, burning: &'static Burning) -> Option<Published> {
        let id = self.only_fuel()?;
        let row = burning.measured.iter().find(|row| row.substance == id)?;
        Some(Published {
            kind: "measured",
            diameter: Some(si::centimetre(row.diameter)),
            rate: Estimate::new(row.value, row.low, row.high),
            source: &row.source,
            seen: seen_as(&row.seen),
        })
    }

    fn wide_pool(
        &self,
        burning: &'static Burning,
        family: Family,
        metres: f64,
        small: Estimate<f64>,
    ) -> Estimate<f64> {
        let rates = self.pool(burning, metres).into_iter().chain(self.measured(burning)).map(|row| row.rate);
        spanning(rates).unwrap_or_else(|| {
            let envelope =
                if family == Family::Alcohol { 0.0 } else { pool_flux(ENVELOPE.0, ENVELOPE.1, metres) };
            let high = small.high.max(envelope);
            Estimate::new((small.low * high).sqrt(), small.low, high)
        })
    }

    /// What one millilitre does when it burns at an air pressure.
    ///
    /// # Errors
    /// [`NotBurning`].
    pub fn fire(&self, catalogue: &'static Catalogue, pressure: Pressure) -> Result<Fire, NotBurning> {
        let family = self.family(&catalogue.burning);
        let usual = self.usual();
        let per_millilitre =
            |one: &Composition, figure: &dyn Fn(&Part) -> Result<Estimate<f64>, NotBurning>| {
                let mut sum = Estimate::exact(0.0);
                for part in &one.parts {
                    let each = figure(part)?;
                    sum = Estimate::new(
                        sum.value + part.fraction * each.value,
                        sum.low + part.fraction * each.low,
                        sum.high + part.fraction * each.high,
                    );
                }
                let grams = si::in_gram_per_mole(one.molar_mass());
                // kg/m3 is mg/mL.
                let moles =
                    one.density().rising(|density| si::in_kilogram_per_cubic_metre(density) / 1000.0 / grams);
                Ok(Estimate::new(sum.value * moles.value, sum.low * moles.low, sum.high * moles.high))
            };
        let all = |figure: &dyn Fn(&Part) -> Result<Estimate<f64>, NotBurning>| {
            let each: Result<Vec<Estimate<f64>>, NotBurning> =
                self.compositions.iter().map(|one| per_millilitre(one, figure)).collect();
            Ok(spanning(each?.into_iter()).unwrap_or_else(|| Estimate::exact(0.0)))
        };
        let burns = |part: &Part| part.substance.not_flammable.is_none();
        let gas = |of: fn(&crate::physics::combustion::Combustion) -> f64| {
            all(&|part: &Part| {
                Ok(Estimate::exact(if burns(part) { of(&part.substance.combustion).max(0.0) } else { 0.0 }))
            })
        };
        let mass = self.density().rising(|density| si::in_kilogram_per_cubic_metre(density) / 1000.0);
        let flame = catalogue.burning.flame.iter().find(|row| row.family == family);
        let (radiated, set_free) = flame.map_or(((0.2, 0.4), (0.7, 0.9)), |row| {
            ((row.radiated_low, row.radiated_high), (row.set_free_low, row.set_free))
        });
        let away = usual.away(pressure)?;
        let water = usual.parts.iter().find(|part| part.substance.id == "water");
        let per_mole: f64 = usual.parts.iter().map(Part::millilitres).sum();
        Ok(Fire {
            heat: all(&heat)?,
            mass,
            first: away.first,
            richest: away.richest,
            slower: away.slower,
            out: away.out,
            carbon_dioxide: gas(|combustion| combustion.carbon_dioxide)?,
            oxygen: gas(|combustion| combustion.oxygen)?,
            sulfur_dioxide: gas(|combustion| combustion.sulfur_dioxide)?.high,
            hydrogen_halides: gas(|combustion| combustion.hydrogen_halides)?.high,
            water: water.map_or(0.0, |part| part.millilitres() / per_mole),
            family,
            radiated: Estimate::new(
                si::fraction(f64::midpoint(radiated.0, radiated.1)),
                si::fraction(radiated.0),
                si::fraction(radiated.1),
            ),
            set_free: Estimate::new(si::fraction(set_free.1), si::fraction(set_free.0), si::fraction(1.0)),
        })
    }
}

/// Mass flux of a wide pool, g/(m2 s).
fn pool_flux(m_inf: f64, k_beta: f64, metres: f64) -> f64 {
    let flux = si::kilogram_per_square_metre_second(m_inf / 1000.0);
    si::in_kilogram_per_square_metre_second(flame::pool_flux(flux, k_beta, si::metre(metres))) * 1000.0
}

fn small_vessel(burning: &Burning, family: Family, metres: f64) -> Estimate<f64> {
    let edge = if metres < EDGE_M { pow(EDGE_M / metres, EDGE_RISE) } else { 1.0 };
    // Longer alcohols burn between the two families: what is not one of the short ones spans both.
    let rows =
        burning.small_vessel.iter().filter(|row| family == Family::Other || row.family == Family::Alcohol);
    let (low, high) =
        rows.fold((f64::INFINITY, 0.0_f64), |(low, high), row| (low.min(row.low), high.max(row.high * edge)));
    Estimate::new((low * high).sqrt(), low, high)
}

/// What leaves, per mole of the liquid turned to per millilitre.
#[derive(Debug, Clone)]
pub(super) struct Away {
    first: f64,
    richest: f64,
    slower: f64,
    out: [Out; 3],
}

impl Composition {
    fn away(&self, pressure: Pressure) -> Result<Away, NotBurning> {
        self.kept.0.away.get(si::in_pascal(pressure).to_bits(), || self.away_found(pressure))
    }

    fn away_found(&self, pressure: Pressure) -> Result<Away, NotBurning> {
        let per_mole: f64 = self.parts.iter().map(Part::millilitres).sum();
        let heats: Vec<f64> =
            self.parts.iter().map(|part| heat(part).map(|heat| heat.value)).collect::<Result<_, _>>()?;
        let grams: Vec<f64> =
            self.parts.iter().map(|part| si::in_gram_per_mole(part.substance.molar_mass)).collect();
        let water_at = self.parts.iter().position(|part| part.substance.id == "water");
        let none = |why: &dyn std::fmt::Display| NotBurning::NoVapour(why.to_string());
        if let ([heat], [grams]) = (heats.as_slice(), grams.as_slice()) {
            let out = Out {
                vapour: grams / per_mole,
                paced: grams / per_mole,
                left: 0.0,
                heat: heat / per_mole,
                water: 0.0,
            };
            return Ok(Away { first: heat / grams, richest: heat / grams, slower: 1.0, out: [out; 3] });
        }
        let pascals = si::in_pascal(pressure);
        let boils = |partial: &[f64], _: f64| ln(partial.iter().sum::<f64>() / pascals);
        let found = self.temperature_where(Phases::OneOrTwo, boils).map_err(|why| none(&why))?;
        let (kelvins, phases) = found.ok_or_else(|| none(&"its boiling point is not reached"))?;
        let boiling: ThermodynamicTemperature = si::kelvin(kelvins);
        let split = phases == Phases::OneOrTwo;
        let vaporising: Vec<f64> = self
            .parts
            .iter()
            .map(|part| {
                part.substance
                    .heat_of_vaporisation_at(boiling)
                    .map_or(40.0, |heat| si::in_joule_per_mole(heat) / 1000.0)
            })
            .collect();
        let own = self.own_pascals(boiling).map_err(|why| none(&why))?;
        let model = self.model.as_ref().map_err(|why| none(why))?.as_ref().map(|model| model.at(boiling));
        let fixed = if split {
            Some(self.partial_pascals(boiling, Phases::OneOrTwo).map_err(|why| none(&why))?)
        } else {
            None
        };
        let sum =
            |figures: &[f64], shares: &[f64]| -> f64 { figures.iter().zip(shares).map(|(a, b)| a * b).sum() };
        let leaves = |moles: &[f64]| -> Vec<f64> {
            let total: f64 = moles.iter().sum();
            let x: Vec<f64> = moles.iter().map(|moles| moles / total).collect();
            let given: Vec<f64> = match (&fixed, &model) {
                // Over two liquids the shares stay until one of them is gone.
                (Some(fixed), _) => {
                    fixed.iter().zip(&x).map(|(pascals, x)| if *x > 0.0 { *pascals } else { 0.0 }).collect()
                }
                (None, Some(model)) => {
                    let ln_coefficients = model.ln_coefficients(&x);
                    x.iter()
                        .zip(&own)
                        .zip(&ln_coefficients)
                        .map(|((x, own), ln)| x * own * exp(*ln))
                        .collect()
                }
                (None, None) => x.iter().zip(&own).map(|(x, own)| x * own).collect(),
            };
            let all: f64 = given.iter().sum();
            given.iter().map(|given| given / all).collect()
        };
        let fuel_heat = |y: &[f64]| {
            let fuel = y.iter().zip(&heats).filter(|(_, heat)| **heat > 0.0).map(|(y, _)| *y).sum::<f64>();
            let vaporising: f64 = y
                .iter()
                .zip(&heats)
                .zip(&vaporising)
                .filter(|((_, heat), _)| **heat > 0.0)
                .map(|((y, _), latent)| y * latent)
                .sum();
            let grams: f64 = y
                .iter()
                .zip(&heats)
                .zip(&grams)
                .filter(|((_, heat), _)| **heat > 0.0)
                .map(|((y, _), grams)| y * grams)
                .sum();
            if fuel > 0.0 { vaporising / grams } else { f64::INFINITY }
        };
        let mut moles = self.fractions();
        let mut y = leaves(&moles);
        let rich = |y: &[f64]| sum(&heats, y) / sum(&grams, y);
        let slow = |y: &[f64]| {
            let own = sum(&vaporising, y) / sum(&grams, y);
            let fuel = fuel_heat(y);
            if fuel.is_finite() { (own / fuel).max(1.0) } else { 1.0 }
        };
        let (first, slower) = (rich(&y), slow(&y));
        let mut richest = first;
        let (mut vapour, mut paced, mut burnt) = (0.0, 0.0, 0.0);
        let mut out: [Option<Out>; 3] = [None; 3];
        let whole = |vapour: f64, paced: f64, burnt: f64, moles: &[f64]| Out {
            vapour: vapour / per_mole,
            paced: paced / per_mole,
            left: sum(&grams, moles) / per_mole,
            heat: burnt / per_mole,
            water: water_at
                .and_then(|at| moles.get(at))
                .map_or(0.0, |moles| moles * MILLILITRES_PER_MOLE_OF_WATER)
                / per_mole,
        };
        // What is spare of the heat that comes back, at each share: below zero it is out.
        let spare = |y: &[f64]| COMES_BACK.map(|share| share * sum(&heats, y) - sum(&vaporising, y));
        let mut spares = spare(&y);
        for (end, spare) in out.iter_mut().zip(spares) {
            if spare < 0.0 {
                *end = Some(whole(vapour, paced, burnt, &moles));
            }
        }
        for _ in 0..MOST_STEPS {
            if out.iter().all(Option::is_some) {
                break;
            }
            let total: f64 = moles.iter().sum();
            let step = moles
                .iter()
                .zip(&y)
                .filter(|(_, y)| **y > MATTERS)
                .map(|(moles, y)| LOSES * moles / (total * y))
                .fold(STEP, f64::min);
            let gone = |share: f64| total * (1.0 - exp(-share));
            let half: Vec<f64> =
                moles.iter().zip(&y).map(|(moles, y)| (moles - gone(step / 2.0) * y).max(0.0)).collect();
            let middle = leaves(&half);
            let left: Vec<f64> =
                moles.iter().zip(&middle).map(|(moles, y)| (moles - gone(step) * y).max(0.0)).collect();
            let lost: Vec<f64> = moles.iter().zip(&left).map(|(before, after)| before - after).collect();
            y = leaves(&left);
            let next = spare(&y);
            let (mass, heat) = (sum(&grams, &lost), sum(&heats, &lost));
            let pace = mass * slow(&middle);
            for ((end, before), after) in out.iter_mut().zip(spares).zip(next) {
                if end.is_none() && after < 0.0 {
                    // Within the step it goes out where nothing is spare.
                    let share = before / (before - after);
                    let there: Vec<f64> =
                        moles.iter().zip(&lost).map(|(moles, lost)| moles - share * lost).collect();
                    *end = Some(whole(
                        vapour + share * mass,
                        paced + share * pace,
                        burnt + share * heat,
                        &there,
                    ));
                }
            }
            (vapour, paced, burnt) = (vapour + mass, paced + pace, burnt + heat);
            (moles, spares) = (left, next);
            richest = richest.max(rich(&y));
        }
        // Never out: all of it burns away.
        let at_end = || {
            let mass = sum(&grams, &moles);
            whole(vapour + mass, paced + mass, burnt + sum(&heats, &moles), &[])
        };
        let mut out = out.map(|end| end.unwrap_or_else(at_end));
        if split && let [early, _, late] = &mut out {
            // Water under or over the fuel may stay or boil away with it.
            early.water = water_at
                .and_then(|at| self.parts.get(at))
                .map_or(0.0, |part| part.fraction * MILLILITRES_PER_MOLE_OF_WATER / per_mole);
            late.water = 0.0;
        }
        Ok(Away { first, richest, slower, out })
    }
}

/// The width of a circle of an area.
#[must_use]
pub fn width_of(area: Area) -> Length {
    si::metre((si::in_square_metre(area) * 4.0 / std::f64::consts::PI).sqrt())
}
