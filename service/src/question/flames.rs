//! What burns in open vessels: heat, flame, radiation, gases, what flashes at lighting, what a burning spill does.
//!
//! `burning` and `safe-fill` ask the same figures here, for any amount.

use super::check::{Compared, decide};
use super::ignition::{self, CanBeLit, GivenOff};
use super::room::Room;
use super::rules::Rules;
use crate::catalogue::Catalogue;
use crate::catalogue::material::{Kind, Material};
use crate::liquid::Liquid;
use crate::liquid::burning::{Fire, NotBurning, Published, Vessel, width_of};
use crate::liquid::evaporation::{Conditions, End};
use crate::liquid::vapour::{NoVapour, Over};
use crate::physics::evaporation::{Moving, Surface};
use crate::physics::maths::pow;
use crate::physics::room_air::{self, Air};
use crate::physics::{GAS_CONSTANT, cooling, flame, vessel};
use crate::quantity::round::significant;
use crate::quantity::{Estimate, si};
use brimline_openapi::{Check, Evidence, Grounds, MustBe, Outcome, Text};
use uom::si::f64::{Area, Energy, HeatFluxDensity, Length, MassFlux, Power, Ratio, Time, Volume};

/// How long a flash lasts: 0.45 M^(1/3), s, M in kg (correlation for fireballs; from memory).
const FLASH: (f64, f64) = (0.45, 1.0 / 3.0);
/// A measured loss by weighing has this 95 % range (judgement).
const MEASURED_RANGE: f64 = 0.1;
/// Oxygen in the air of the room before, %.
const OXYGEN_PERCENT: f64 = 20.95;

/// Liquid in open vessels that is to be lit.
#[derive(Debug, Clone, Copy)]
pub struct Alight<'a> {
    /// The liquid.
    pub liquid: &'a Liquid,
    /// The air.
    pub air: Air,
    /// Its relative humidity.
    pub humidity: Ratio,
    /// The room, where it is known.
    pub room: Option<Room>,
    /// What each vessel holds.
    pub capacity: Volume,
    /// Width of its mouth.
    pub mouth: Length,
    /// Its material, where it is known.
    pub material: Option<&'static Material>,
    /// Where it burns from a wick: its area, if given.
    pub wick: Option<Option<Area>>,
    /// The loss that was measured.
    pub measured: Option<Loss>,
    /// How many vessels.
    pub vessels: u32,
    /// Clear distance between neighbours.
    pub spacing: Option<Length>,
}

/// A measured loss of a burning vessel.
#[derive(Debug, Clone, Copy)]
pub enum Loss {
    /// Of one vessel, g/s.
    Whole(f64),
    /// Of each area.
    Flux(MassFlux),
}

/// What is known of the flames, for any amount.
#[derive(Debug, Clone)]
pub struct Flames<'a> {
    /// What burns.
    pub alight: Alight<'a>,
    catalogue: &'static Catalogue,
    /// What one millilitre does, or why it is not known.
    pub fire: Result<Fire, NotBurning>,
    /// Heat of the vapour in a cubic metre of saturated air, kJ/m3.
    saturated: Option<Estimate<f64>>,
    /// Vapour that each vessel gives off before it is lit: its heat, kJ/s, and its volume at the fastest, m3/s.
    given_off: Option<(Estimate<f64>, f64)>,
    /// Whether its vapour can be lit at the room's temperature.
    pub can: CanBeLit,
}

/// A comparison, before it is a check.
#[derive(Debug, Clone)]
pub struct Bound {
    /// Id of the check.
    pub id: &'static str,
    /// The value with its range.
    pub value: Estimate<f64>,
    /// The limit.
    pub limit: f64,
    /// Unit of both.
    pub unit: &'static str,
    /// Which side is within.
    pub must_be: MustBe,
    /// The rule it rests on.
    pub rule: &'static str,
    /// What the value is, where the rule's text does not say.
    pub what: Option<Text>,
    /// What the value rests on.
    pub evidence: Evidence,
}

impl Bound {
    fn at_most(
        id: &'static str,
        value: Estimate<f64>,
        limit: f64,
        unit: &'static str,
        rule: &'static str,
    ) -> Self {
        let must_be = MustBe::AtMost;
        Self {
            id,
            value,
            limit: significant(limit, 12),
            unit,
            must_be,
            rule,
            what: None,
            evidence: Evidence::Estimated,
        }
    }

    /// How far the unfavourable end is into the limit; infinite where no ratio can be formed and it is over.
    #[must_use]
    pub fn ratio(&self) -> f64 {
        let (value, limit) = match self.must_be {
            MustBe::AtLeast => (self.limit, self.value.low),
            _ => (self.value.high, self.limit),
        };
        if limit > 0.0 {
            value / limit
        } else if value > 0.0 {
            f64::INFINITY
        } else {
            0.0
        }
    }

    /// Its status.
    #[must_use]
    pub fn outcome(&self) -> Outcome {
        let unfavourable = if self.must_be == MustBe::AtLeast { self.value.low } else { self.value.high };
        decide(unfavourable, self.limit, self.must_be).0
    }

    /// The distance of people by practice.
    #[must_use]
    pub fn people(person: Length, rules: &Rules) -> Self {
        const RULE: &str = "people_distance";
        let metres = Estimate::exact(si::in_metre(person));
        Self {
            must_be: MustBe::AtLeast,
            evidence: Evidence::Measured,
            ..Self::at_most(RULE, metres, rules.number(RULE), "m", RULE)
        }
    }

    /// What it rests on.
    #[must_use]
    pub fn grounds(&self, rules: &Rules) -> Grounds {
        let mut grounds = rules.grounds(self.rule);
        if let Some(what) = &self.what {
            grounds.text = Text::Owned(format!("{} ({what}).", grounds.text.trim_end_matches('.')));
        }
        grounds
    }

    /// The check.
    #[must_use]
    pub fn check(self, question: &'static str, rules: &Rules) -> Check {
        let grounds = self.grounds(rules);
        Compared {
            check: self.id,
            question,
            value: self.value,
            limit: self.limit,
            unit: self.unit,
            must_be: self.must_be,
            grounds,
            evidence: self.evidence,
        }
        .decided()
    }
}

/// What burns on the floor.
struct Spilt {
    /// m
    radius: f64,
    /// kW
    heat: f64,
    /// kJ
    energy: f64,
    radiated: Ratio,
    /// Nobody is nearer to its middle, m.
    least: f64,
}

impl Spilt {
    /// The dose so many metres from its edge.
    fn dose(&self, away: f64) -> Option<f64> {
        (self.heat > 0.0).then(|| {
            let at = flame::radiant_flux(si::kilowatt(self.heat), self.radiated, si::metre(away));
            flame::dose(at, si::second(self.energy / self.heat))
        })
    }
}

/// How far away a dose that is known at 1 m is at its limit, m: a flux falls with the square, a dose with its 4/3.
fn away_for(at_one_metre: f64, rules: &Rules) -> f64 {
    pow(at_one_metre.max(0.0) / rules.number("flash_dose"), 3.0 / 8.0)
}

/// The one of several that is furthest into its limit.
fn worst(bounds: impl IntoIterator<Item = Bound>) -> Option<Bound> {
    bounds.into_iter().max_by(|a, b| a.ratio().total_cmp(&b.ratio()))
}

impl<'a> Flames<'a> {
    /// What is known of the flames of vessels. `over`: what stands over the liquid at the room's temperature.
    #[must_use]
    pub fn of(
        alight: Alight<'a>,
        over: &Result<Vec<Over>, NoVapour>,
        can: CanBeLit,
        catalogue: &'static Catalogue,
        rules: &Rules,
    ) -> Self {
        let fire = alight.liquid.fire(catalogue, alight.air.pressure);
        let saturated = over.as_ref().ok().and_then(|over| saturated(alight, over));
        let given_off = over.as_ref().ok().and_then(|over| given_off(alight, over, rules));
        Self { alight, catalogue, fire, saturated, given_off, can }
    }

    /// The surface that burns, of one vessel.
    #[must_use]
    pub fn area(&self) -> Area {
        match self.alight.wick {
            Some(Some(area)) => area,
            _ => vessel::mouth_area(self.alight.mouth),
        }
    }

    fn count(&self) -> f64 {
        f64::from(self.alight.vessels)
    }

    /// Mass flux of what leaves; none for a wick without a measured loss.
    #[must_use]
    pub fn rate(&self, amount: Volume) -> Option<Estimate<MassFlux>> {
        // One weighing decides nothing below the middle of what is published.
        let middle = self.published(amount).map(|rate| rate.value);
        let measured = |flux: MassFlux| {
            let high = flux * (1.0 + MEASURED_RANGE);
            let high = middle.filter(|middle| *middle > high).unwrap_or(high);
            Estimate::new(flux, flux * (1.0 - MEASURED_RANGE), high)
        };
        match (self.alight.measured, self.alight.wick) {
            (Some(Loss::Whole(grams)), _) => Some(measured(si::kilogram_per_square_metre_second(
                grams / 1000.0 / si::in_square_metre(self.area()),
            ))),
            (Some(Loss::Flux(flux)), None | Some(Some(_))) => Some(measured(flux)),
            (_, Some(_)) => None,
            (None, None) => self.published(amount),
        }
    }

    /// The range of what is published of a vessel of this width; none for a wick.
    #[must_use]
    pub fn published(&self, amount: Volume) -> Option<Estimate<MassFlux>> {
        match self.alight.wick {
            Some(_) => None,
            None => {
                let depth = amount / vessel::mouth_area(self.alight.mouth);
                let height = self.alight.capacity / vessel::mouth_area(self.alight.mouth);
                let freeboard = if height > depth { height - depth } else { si::metre(0.0) };
                let metal = self.alight.material.is_some_and(|material| material.kind == Kind::Ductile);
                let vessel = Vessel { mouth: self.alight.mouth, freeboard, metal };
                Some(self.alight.liquid.burning_rate(self.catalogue, vessel))
            }
        }
    }

    /// The published rates that bear on it, where none was measured.
    #[must_use]
    pub fn published_rates(&self) -> Vec<Published> {
        match (self.alight.measured, self.alight.wick) {
            (None, None) => self.alight.liquid.published_rates(self.catalogue, self.alight.mouth),
            _ => Vec::new(),
        }
    }

    /// Heat release of one vessel, kW.
    #[must_use]
    pub fn heat_release(&self, amount: Volume) -> Option<Estimate<f64>> {
        let fire = self.fire.as_ref().ok()?;
        let rate = self.rate(amount)?;
        let area = si::in_square_metre(self.area());
        let grams = rate.rising(|flux| si::in_kilogram_per_square_metre_second(flux) * 1000.0 * area);
        let (less, more) = spread(fire);
        let free = fire.set_free.rising(si::in_fraction);
        Some(Estimate::new(
            grams.value / fire.slower * fire.first * free.value,
            grams.low / fire.slower * fire.first * less * free.low,
            grams.high * fire.richest * more,
        ))
    }

    /// Whether the flames stand so near that they count as one.
    fn as_one(&self, rules: &Rules) -> bool {
        let widths = rules.number("one_flame_spacing");
        self.alight.vessels > 1
            && self.alight.spacing.is_none_or(|spacing| spacing < self.alight.mouth * widths)
    }

    /// Mean height of a flame, m: the larger of two correlations at the upper end, the smaller at the lower.
    #[must_use]
    pub fn flame_height(&self, amount: Volume, rules: &Rules) -> Option<Estimate<f64>> {
        let heat = self.heat_release(amount)?;
        let rate = self.rate(amount)?;
        let together = if self.as_one(rules) { self.count() } else { 1.0 };
        // The flame of a wick stands on it, however wide the vessel is; where its surface is not given it is a point.
        let width = match self.alight.wick {
            Some(None) => si::metre(0.0),
            _ => width_of(self.area() * together),
        };
        let by_heat =
            heat.rising(|heat| si::in_metre(flame::height_by_heat(si::kilowatt(heat * together), width)));
        let by_flux = rate.rising(|flux| si::in_metre(flame::height_by_flux(flux, width)));
        if self.alight.wick.is_some() {
            return Some(by_heat);
        }
        Some(Estimate::new(
            by_heat.value.max(by_flux.value),
            by_heat.low.min(by_flux.low),
            by_heat.high.max(by_flux.high),
        ))
    }

    /// Heat release of all vessels, kW.
    #[must_use]
    pub fn heat_release_total(&self, amount: Volume) -> Option<Estimate<f64>> {
        Some(self.heat_release(amount)?.rising(|heat| heat * self.count()))
    }

    /// Radiant flux so far away, kW/m2.
    #[must_use]
    pub fn radiant_flux(&self, amount: Volume, distance: Length) -> Option<Estimate<f64>> {
        let heat = self.heat_release_total(amount)?;
        let radiated = self.fire.as_ref().ok()?.radiated;
        let at = |heat, radiated| {
            si::in_kilowatt_per_square_metre(flame::radiant_flux(si::kilowatt(heat), radiated, distance))
        };
        Some(Estimate::new(
            at(heat.value, radiated.value),
            at(heat.low, radiated.low),
            at(heat.high, radiated.high),
        ))
    }

    /// How far away people are within every limit of distance, m, at the upper end: radiant heat, what burns on the floor, the
    /// flash at lighting, and the distance of people.
    #[must_use]
    pub fn distance_for_limit(&self, amount: Estimate<Volume>, wait: Time, rules: &Rules) -> Option<f64> {
        let heat: Power = si::kilowatt(self.heat_release_total(amount.value)?.high);
        let limit: HeatFluxDensity = si::kilowatt_per_square_metre(rules.number("radiant_limit"));
        let radiated = self.fire.as_ref().ok()?.radiated.high;
        let radiant = si::in_metre(flame::distance_for(limit, heat, radiated));
        let flash = match (self.flash_at_lighting(amount, wait), self.flash_reach(amount, wait, rules)) {
            (Some(energy), Some(reach)) => {
                let dose = self.flash_dose(energy, 1.0)?.high;
                reach.high + away_for(dose, rules).max(rules.number("lighting_distance"))
            }
            _ => 0.0,
        };
        let spill = self.spilt(self.on_one_tray(amount, rules), rules)?;
        let dose = spill.dose(1.0).map_or(0.0, |dose| away_for(dose, rules));
        let spill = spill.least.max(spill.radius + dose);
        Some(radiant.max(flash).max(spill).max(rules.number("people_distance")))
    }

    /// The dose of what flashes at lighting, so many metres away.
    fn flash_dose(&self, energy: Estimate<f64>, away: f64) -> Option<Estimate<f64>> {
        let fire = self.fire.as_ref().ok()?;
        Some(energy.rising(|energy| {
            let kilograms = energy / (fire.heat.value / fire.mass.value) / 1000.0;
            let lasts = si::second((FLASH.0 * pow(kilograms.max(1e-9), FLASH.1)).max(1e-3));
            let energy: Energy = si::kilojoule(energy);
            flame::flash_dose(energy, lasts, fire.radiated.high, si::metre(away))
        }))
    }

    /// How long one vessel burns, min.
    #[must_use]
    pub fn burning_time(&self, amount: Estimate<Volume>) -> Option<Estimate<f64>> {
        let fire = self.fire.as_ref().ok()?;
        let rate = self.rate(amount.value)?;
        let [early, usual, late] = fire.out;
        let area = si::in_square_metre(self.area());
        let minutes = |grams: f64, volume: Volume, flux: MassFlux| {
            grams * si::in_millilitre(volume)
                / (si::in_kilogram_per_square_metre_second(flux) * 1000.0 * area * 60.0)
        };
        let heavier = fire.mass.high / fire.mass.value;
        let lighter = fire.mass.low / fire.mass.value;
        Some(Estimate::new(
            minutes(usual.paced, amount.value, rate.value),
            minutes(early.vapour * lighter, amount.low, rate.high),
            minutes(late.paced * heavier, amount.high, rate.low),
        ))
    }

    /// Heat that one vessel sets free until it goes out, kJ.
    #[must_use]
    pub fn energy(&self, amount: Estimate<Volume>) -> Option<Estimate<f64>> {
        let fire = self.fire.as_ref().ok()?;
        let [early, usual, _] = fire.out;
        let free = fire.set_free.rising(si::in_fraction);
        let (less, _) = spread(fire);
        Some(Estimate::new(
            usual.heat * si::in_millilitre(amount.value) * free.value,
            early.heat * less * si::in_millilitre(amount.low) * free.low,
            fire.heat.high * si::in_millilitre(amount.high),
        ))
    }

    /// Heat of the vapour that fills the vessel, kJ: the whole of it, since the liquid sinks while it burns.
    #[must_use]
    pub fn flash_in_vessel(&self, amount: Estimate<Volume>) -> Option<Estimate<f64>> {
        let fire = self.fire.as_ref().ok()?;
        let space = si::in_cubic_metre(self.alight.capacity);
        let most = fire.heat.high * si::in_millilitre(amount.high);
        self.saturated.map(|saturated| saturated.rising(|heat| (heat * space).min(most)))
    }

    /// Heat of the vapour that has gathered in and around all vessels when they are lit, kJ.
    #[must_use]
    pub fn flash_at_lighting(&self, amount: Estimate<Volume>, wait: Time) -> Option<Estimate<f64>> {
        let fire = self.fire.as_ref().ok()?;
        let inside = self.flash_in_vessel(amount)?;
        let (pace, _) = self.given_off?;
        let seconds = si::in_second(wait);
        let most = |heat: f64, volume: Volume| heat * si::in_millilitre(volume);
        let count = self.count();
        Some(Estimate::new(
            (pace.value * seconds).max(inside.value).min(most(fire.heat.value, amount.value)) * count,
            (pace.low * seconds).min(inside.low).min(most(fire.heat.low, amount.low)) * count,
            (pace.high * seconds).max(inside.high).min(most(fire.heat.high, amount.high)) * count,
        ))
    }

    /// How far the vapour given off before lighting can be lit, m.
    fn flash_reach(&self, amount: Estimate<Volume>, wait: Time, rules: &Rules) -> Option<Estimate<f64>> {
        let CanBeLit::Yes(limit) = &self.can else { return Some(Estimate::exact(0.0)) };
        let (_, rate) = self.given_off?;
        let most = si::in_cubic_metre(room_air::vapour_of(
            si::mole(self.alight.liquid.usual().fuel_of(&self.alight.liquid.usual().moles_in(amount.high))),
            self.alight.air,
        ));
        let vapour = si::cubic_metre((rate * si::in_second(wait)).min(most) * self.count());
        let rate = si::cubic_metre(rate * self.count()) / si::second(1.0);
        let given_off = GivenOff { vapour: Estimate::exact(vapour), rate: Some(rate) };
        Some(ignition::reach(given_off, *limit, self.alight.room.as_ref(), rules))
    }

    /// The check of what flashes at lighting: within the vessel, at whoever lights it, at the nearest person; whichever is
    /// furthest into its limit.
    #[must_use]
    pub fn lighting_delay(
        &self,
        amount: Estimate<Volume>,
        wait: Time,
        person: Option<Length>,
        rules: &Rules,
    ) -> Option<Bound> {
        const ID: &str = "lighting_delay";
        let mut bounds = vec![Bound::at_most(
            ID,
            self.flash_in_vessel(amount)?,
            rules.number("flash_energy"),
            "kJ",
            "flash_energy",
        )];
        let energy = self.flash_at_lighting(amount, wait)?;
        let dose = |away: f64| self.flash_dose(energy, away);
        // Who lights it stands at the other end of the splint.
        let lighter = rules.number("lighter_distance");
        bounds.push(Bound {
            what: Some(Text::Owned(format!("whoever lights it from {lighter} m away"))),
            ..Bound::at_most(ID, dose(lighter)?, rules.number("flash_dose"), "1", "flash_dose")
        });
        if let Some(person) = person {
            let metres = si::in_metre(person);
            let reach = self.flash_reach(amount, wait, rules)?;
            let ends = reach.rising(|reach| reach + rules.number("lighting_distance"));
            bounds.push(Bound::at_most(ID, ends, metres, "m", "lighting_distance"));
            // Within its reach no dose is needed: the distance alone is over.
            if metres > reach.high {
                let away = dose(metres - reach.high)?;
                bounds.push(Bound::at_most(ID, away, rules.number("flash_dose"), "1", "flash_dose"));
            }
        }
        worst(bounds)
    }

    /// The check of the radiant flux at the nearest person.
    #[must_use]
    pub fn radiant_heat(&self, amount: Volume, person: Length, rules: &Rules) -> Option<Bound> {
        let flux = self.radiant_flux(amount, person)?;
        Some(Bound::at_most("radiant_heat", flux, rules.number("radiant_limit"), "kW/m2", "radiant_limit"))
    }

    /// The check of the flame against what is over it.
    #[must_use]
    pub fn flame_clearance(&self, amount: Volume, clear: Length, rules: &Rules) -> Option<Bound> {
        let height = self.flame_height(amount, rules)?.rising(|metres| metres * 100.0);
        let share = rules.number("flame_clearance_share") / 100.0;
        let limit = si::in_centimetre(clear) * share;
        Some(Bound::at_most("flame_clearance", height, limit, "cm", "flame_clearance_share"))
    }

    /// All that is on one tray and dropped together.
    #[must_use]
    pub fn on_one_tray(&self, amount: Estimate<Volume>, rules: &Rules) -> Estimate<Volume> {
        let apart = si::metre(rules.number("one_tray_spacing"));
        let together =
            if self.alight.spacing.is_some_and(|spacing| spacing > apart) { 1.0 } else { self.count() };
        amount.rising(|volume| volume * together)
    }

    /// What burns on the floor, dropped alight.
    fn spilt(&self, dropped: Estimate<Volume>, rules: &Rules) -> Option<Spilt> {
        let fire = self.fire.as_ref().ok()?;
        let spread_out: Area = dropped.high / si::metre(rules.number("spill_depth_least") / 1000.0);
        let area = match &self.alight.room {
            Some(room) if spread_out > room.free_floor => room.free_floor,
            _ => spread_out,
        };
        let width = width_of(area);
        let radius = si::in_metre(width) / 2.0;
        let flux = self.alight.liquid.fastest_rate(self.catalogue, width);
        let (_, more) = spread(fire);
        let heat = si::in_kilogram_per_square_metre_second(flux)
            * 1000.0
            * si::in_square_metre(area)
            * fire.richest
            * more;
        let energy = fire.heat.high * si::in_millilitre(dropped.high);
        // To the next centimetre.
        let least = ((rules.number("burning_spill_distance") + radius) * 100.0).ceil() / 100.0;
        Some(Spilt { radius, heat, energy, radiated: fire.radiated.high, least })
    }

    /// The check of what burns on the floor, dropped alight: dose and distance, whichever is further into its limit.
    #[must_use]
    pub fn burning_spill(&self, dropped: Estimate<Volume>, person: Length, rules: &Rules) -> Option<Bound> {
        const ID: &str = "burning_spill";
        let spilt = self.spilt(dropped, rules)?;
        let away = si::in_metre(person) - spilt.radius;
        let metres = Estimate::exact(si::in_metre(person));
        let distance = Bound {
            must_be: MustBe::AtLeast,
            ..Bound::at_most(ID, metres, spilt.least, "m", "burning_spill_distance")
        };
        if away <= 0.0 {
            return Some(distance);
        }
        let Some(dose) = spilt.dose(away) else { return Some(distance) };
        let dose = Estimate::exact(significant(dose, 4));
        let dose = Bound::at_most(ID, dose, rules.number("flash_dose"), "1", "flash_dose");
        worst([distance, dose])
    }

    /// The check of all that is alight at once: its volume, and its heat in this room.
    #[must_use]
    pub fn alight_at_once(&self, amount: Estimate<Volume>, rules: &Rules) -> Option<Bound> {
        const ID: &str = "alight_at_once";
        let total = amount.rising(|volume| si::in_millilitre(volume) * self.count());
        let volume = Bound {
            evidence: Evidence::Measured,
            ..Bound::at_most(ID, total, rules.number("alight_volume"), "mL", "alight_volume")
        };
        let heat = self.alight.room.and_then(|room| {
            let energy = self.energy(amount)?.rising(|energy| energy * self.count());
            let rooms = si::in_cubic_metre(room.free_volume) / rules.number("alight_room");
            let most = (rules.number("alight_energy") * rooms).floor();
            Some(Bound::at_most(ID, energy, most, "kJ", "alight_energy"))
        });
        worst(std::iter::once(volume).chain(heat))
    }

    /// Gases of all vessels as a share of the room's air, ppm: carbon dioxide, oxygen taken, sulfur dioxide, hydrogen halides.
    fn gases(&self, amount: Estimate<Volume>) -> Option<(Estimate<f64>, Estimate<f64>, f64, f64)> {
        let (fire, room) = (self.fire.as_ref().ok()?, self.alight.room?);
        let share = |moles_per_millilitre: f64, volume: Volume| {
            let moles = si::mole(moles_per_millilitre * si::in_millilitre(volume) * self.count());
            si::in_fraction(room_air::vapour_of(moles, self.alight.air) / room.free_volume) * 1e6
        };
        let of = |gas: Estimate<f64>| {
            Estimate::new(
                share(gas.value, amount.value),
                share(gas.low, amount.low),
                share(gas.high, amount.high),
            )
        };
        Some((
            of(fire.carbon_dioxide),
            of(fire.oxygen),
            share(fire.sulfur_dioxide, amount.high),
            share(fire.hydrogen_halides, amount.high),
        ))
    }

    /// What of a gas that is given off evenly over a time is still there at its end.
    fn stays(&self, minutes: f64, effectiveness: f64) -> f64 {
        let renewal =
            self.alight.room.map_or(0.0, |room| si::in_per_hour(room.air_changes)) * effectiveness / 60.0;
        let changes = renewal * minutes;
        if changes > 1e-9 { (1.0 - crate::physics::maths::exp(-changes)) / changes } else { 1.0 }
    }

    /// Carbon dioxide in the room when all has burnt, ppm; the upper end counts nothing as carried off.
    #[must_use]
    pub fn carbon_dioxide_after(&self, amount: Estimate<Volume>, rules: &Rules) -> Option<Estimate<f64>> {
        let (given, ..) = self.gases(amount)?;
        let before = rules.number("carbon_dioxide_background") * 1e4;
        let time = self.burning_time(amount);
        let mixing = rules.number("mixing_effectiveness");
        let usual = time.map_or(1.0, |time| self.stays(time.value, mixing));
        let low = time.map_or(1.0, |time| self.stays(time.high, 1.0));
        Some(Estimate::new(before + given.value * usual, before + given.low * low, before + given.high))
    }

    /// Oxygen in the room when all has burnt, %; the lower end counts nothing as replaced.
    #[must_use]
    pub fn oxygen_after(&self, amount: Estimate<Volume>, rules: &Rules) -> Option<Estimate<f64>> {
        let (_, taken, ..) = self.gases(amount)?;
        let time = self.burning_time(amount);
        let usual = time.map_or(1.0, |time| self.stays(time.value, rules.number("mixing_effectiveness")));
        let most = time.map_or(1.0, |time| self.stays(time.high, 1.0));
        let left = |ppm: f64| (OXYGEN_PERCENT - ppm / 1e4).max(0.0);
        Some(Estimate::new(left(taken.value * usual), left(taken.high), left(taken.low * most)))
    }

    /// Sulfur dioxide and hydrogen halides in the room when all has burnt, ppm.
    #[must_use]
    pub fn acid_gases_after(&self, amount: Estimate<Volume>) -> Option<(f64, f64)> {
        let (_, _, sulfur, halides) = self.gases(amount)?;
        Some((sulfur, halides))
    }

    /// The check of carbon dioxide.
    #[must_use]
    pub fn carbon_dioxide(&self, amount: Estimate<Volume>, rules: &Rules) -> Option<Bound> {
        let after = self.carbon_dioxide_after(amount, rules)?;
        let limit = rules.number("carbon_dioxide_limit") * 1e4;
        Some(Bound::at_most("carbon_dioxide", after, limit, "[ppm]", "carbon_dioxide_limit"))
    }

    /// The check of the vessel's shape; none for a wick, whose holder closes it.
    #[must_use]
    pub fn burnable_vessel(&self, rules: &Rules) -> Option<Bound> {
        if self.alight.wick.is_some() {
            return None;
        }
        let height = self.alight.capacity / vessel::mouth_area(self.alight.mouth);
        // A hair more than as wide as high is a rounded figure.
        let ratio = significant(si::in_fraction(height / self.alight.mouth), 3);
        let value = Estimate::exact(ratio);
        Some(Bound {
            evidence: Evidence::Measured,
            ..Bound::at_most(
                "burnable_vessel",
                value,
                rules.number("burnable_height"),
                "1",
                "burnable_height",
            )
        })
    }

    /// The check of the depth and amount in a vessel; of a burner with a wick its share.
    #[must_use]
    pub fn vessel(&self, amount: Estimate<Volume>, rules: &Rules) -> Option<Bound> {
        let amount = amount.rising(si::in_millilitre);
        if self.alight.wick.is_some() {
            let share = rules.number("open_fill_share") / 100.0;
            let most = significant(si::in_millilitre(self.alight.capacity) * share, 4);
            let bound = Bound::at_most("vessel", amount, most, "mL", "open_fill_share");
            return Some(Bound { evidence: Evidence::Measured, ..bound });
        }
        let measured = |value, limit, unit, rule| Bound {
            evidence: Evidence::Measured,
            ..Bound::at_most("vessel", value, limit, unit, rule)
        };
        let most = measured(amount, rules.number("burnt_fill"), "mL", "burnt_fill");
        let area = si::in_square_metre(vessel::mouth_area(self.alight.mouth));
        let depth = amount.rising(|millilitres| millilitres / area / 1000.0);
        let deep = measured(depth, rules.number("burnt_depth"), "mm", "burnt_depth");
        worst([most, deep])
    }

    /// Whether the liquid is one that is burnt at all; from a wick it must not flash too low.
    #[must_use]
    pub fn burnable_liquid(&self, rules: &Rules) -> Bound {
        let liquid = self.alight.liquid;
        let light = ignition::is_light(liquid, rules) || ignition::holds_light(liquid, rules);
        let clean = liquid.burns_cleanly();
        let low = self.alight.wick.is_some()
            && liquid
                .flash_point(self.alight.air.pressure)
                .map_or(true, |flash| si::in_celsius(flash.estimate.low) < rules.number("wick_flash_point"));
        let what = match (light, clean, low) {
            (true, false, _) => {
                "it boils low or lights early, and holds more than carbon, hydrogen and oxygen"
            }
            (true, true, _) => "it or a part of it boils low, lights early or is of category 1",
            (false, false, _) => "it holds more than carbon, hydrogen and oxygen: its smoke is acid or toxic",
            (false, true, true) => "it flashes too low for a burner with a wick",
            (false, true, false) => "it is none of them",
        };
        let faults = [light, !clean, low].map(|fault| f64::from(u8::from(fault))).iter().sum();
        let rule = if low && !light && clean { "wick_flash_point" } else { "light_boiling_point" };
        Bound {
            what: Some(Text::Borrowed(what)),
            evidence: Evidence::Measured,
            ..Bound::at_most("burnable_liquid", Estimate::exact(faults), 0.0, "1", rule)
        }
    }

    /// The check of the wall under a flame; none where the material is not known, does not crack or a wick keeps the flame off it.
    #[must_use]
    pub fn thermal_shock(&self, rules: &Rules) -> Option<Bound> {
        shock(self.alight.material.filter(|_| self.alight.wick.is_none())?, rules)
    }
}

/// Says what of the smoke is not computed: of a very sooty flame it may matter before anything else.
pub fn say_smoke(draft: &mut super::draft::Draft, liquid: &crate::liquid::Liquid) {
    let sooty = |substance: &crate::catalogue::Substance| {
        let hazard = substance.file.hazard.as_ref();
        hazard.and_then(|hazard| hazard.soot_tendency.as_deref()) == Some("very sooty")
    };
    if liquid.substances().any(sooty) {
        draft.not_considered("smoke", "soot and carbon monoxide are not computed, and this flame is very sooty: a few millilitres darken a room; burn it in a fume cupboard or in the open, or take another liquid");
        draft.caution(
            "very_sooty",
            "It burns with thick smoke in plenty of air: not in a room where people sit.",
        );
    } else {
        draft
            .outside("carbon_monoxide", "soot and carbon monoxide are not computed: air the room afterwards");
    }
}

/// The check of a wall under a flame or on a hot plate; none where it does not crack.
#[must_use]
pub fn shock(material: &Material, rules: &Rules) -> Option<Bound> {
    if material.kind != Kind::Brittle {
        return None;
    }
    let borne =
        cooling::step_borne(material.strength, material.modulus, material.poisson, material.expansion);
    // Rounded: the strength in use is a judgement.
    let borne = significant(si::in_kelvin_difference(borne), 2);
    Some(Bound {
        must_be: MustBe::AtLeast,
        what: Some(Text::Owned(material.name.clone())),
        ..Bound::at_most(
            "thermal_shock",
            Estimate::exact(borne),
            rules.number("flame_step"),
            "K",
            "flame_step",
        )
    })
}

/// Heats of combustion at their ends over the best.
fn spread(fire: &Fire) -> (f64, f64) {
    if fire.heat.value > 0.0 {
        let mass = (fire.mass.low / fire.mass.value, fire.mass.high / fire.mass.value);
        (fire.heat.low / fire.heat.value / mass.0, (fire.heat.high / fire.heat.value / mass.1).max(1.0))
    } else {
        (1.0, 1.0)
    }
}

/// Heat of combustion of what stands over the liquid in a cubic metre, kJ/m3.
fn saturated(alight: Alight<'_>, over: &[Over]) -> Option<Estimate<f64>> {
    let per_pascal = 1.0 / (GAS_CONSTANT * si::in_kelvin(alight.air.temperature));
    let one = |composition: &crate::liquid::Composition, over: &Over| -> Option<Estimate<f64>> {
        let mut sum = Estimate::exact(0.0);
        for (part, pressure) in composition.parts.iter().zip(&over.partial) {
            if part.substance.not_flammable.is_some() {
                continue;
            }
            let heat = part.substance.heat_of_combustion.as_ref()?.estimate;
            let of =
                |pressure, heat| si::in_pascal(pressure) * per_pascal * si::in_joule_per_mole(heat) / 1000.0;
            sum = Estimate::new(
                sum.value + of(pressure.value, heat.value),
                sum.low + of(pressure.low, heat.low),
                sum.high + of(pressure.high, heat.high),
            );
        }
        Some(sum)
    };
    let each: Option<Vec<Estimate<f64>>> = alight
        .liquid
        .compositions
        .iter()
        .zip(over)
        .map(|(composition, over)| one(composition, over))
        .collect();
    crate::liquid::spanning(each?.into_iter())
}

/// Heat, kJ/s, and at the fastest volume, m3/s, of the vapour that each vessel gives off; full to the rim.
fn given_off(alight: Alight<'_>, over: &[Over], rules: &Rules) -> Option<(Estimate<f64>, f64)> {
    let speed = |rule| Moving::at(si::metre_per_second(rules.number(rule)));
    let conditions = |moving| Conditions {
        air: alight.air,
        humidity: alight.humidity,
        // Held at the room's temperature, not cooled by itself: nothing of it decides on the lenient side.
        heated_to: Some(alight.air.temperature),
        heater: None,
        surface: Surface::round(alight.mouth, si::metre(0.0)),
        moving,
    };
    let area = si::in_square_metre(vessel::mouth_area(alight.mouth));
    let mut found: Option<(Estimate<f64>, f64)> = None;
    for (composition, over) in alight.liquid.compositions.iter().zip(over) {
        let pace = |end, rule| -> Option<(f64, f64)> {
            let start = composition.start(&conditions(speed(rule)), over, end).ok()?;
            let mut heat = 0.0;
            for (part, flux) in composition.parts.iter().zip(&start.fluxes) {
                if part.substance.not_flammable.is_none() {
                    let each = part.substance.heat_of_combustion.as_ref()?.estimate.value;
                    heat += flux * area * si::in_joule_per_mole(each) / 1000.0;
                }
            }
            let moles = composition.fuel_of(&start.fluxes) * area;
            Some((heat, si::in_cubic_metre(room_air::vapour_of(si::mole(moles), alight.air))))
        };
        let (high, volume) = pace(End::High, "air_speed_surface_highest")?;
        found = Some(match found {
            None => {
                let (value, _) = pace(End::Best, "air_speed_near")?;
                let (low, _) = pace(End::Low, "air_speed_near_lowest")?;
                (Estimate::new(value, low, high), volume)
            }
            Some((so_far, most)) => {
                (Estimate::new(so_far.value, so_far.low, so_far.high.max(high)), most.max(volume))
            }
        });
    }
    found
}
