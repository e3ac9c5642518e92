//! What heats a liquid, and the hottest surface near it: against autoignition, red heat and the boiling point; naked flames.

use super::check::{Compared, not_assessed};
use super::draft::{self, Draft};
use super::field;
use super::ignition::{self, Ignition};
use super::reader::{Asked, Fields};
use super::record::Group;
use super::remedy::{self, Change};
use super::rules::Rules;
use crate::catalogue::Substance;
use crate::liquid::Liquid;
use crate::physics::room_air::Air;
use crate::quantity::round::{significant, tenths};
use crate::quantity::{Estimate, interval, si};
use brimline_openapi::{Check, Evidence, Grounds, MustBe, Outcome, Quantity, Text};
use std::cmp::Ordering;
use uom::si::f64::{Length, Pressure, ThermodynamicTemperature};

/// A surface near the liquid against the autoignition of its vapour, or red heat.
pub const HOT_SURFACE: &str = "hot_surface";
/// A flame under the vessel.
pub const NAKED_FLAME: &str = "naked_flame";
/// Halogenated vapour near a flame.
pub const HALOGENATED: &str = "halogenated_vapour";
/// What is to be given for the check of a hot surface.
pub const GIVE: &str = "give `heated_by`, or `surface_temperature`: the hottest surface near the liquid against its autoignition";
/// Why a temperature of heating cannot be taken.
pub const NO_BOILING_POINT: &str = "how hot it becomes is not given, and its boiling point is not known";
/// No bath of water or steam is hotter, Cel.
const BATH_CEL: f64 = 100.0;
/// So near its boiling point, K, a liquid is taken to boil.
const BOILS_WITHIN_K: f64 = 5.0;
/// So near its boiling point, K, a liquid may superheat and bump: heating passes the temperature that is named.
const BUMPS_WITHIN_K: f64 = 20.0;

/// What heats.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum By {
    WaterBath,
    SteamBath,
    HotPlate,
    HeatingMantle,
    Lamp,
    Flame,
}

const WORDS: [(&str, By); 6] = [
    ("water_bath", By::WaterBath),
    ("steam_bath", By::SteamBath),
    ("hot_plate", By::HotPlate),
    ("heating_mantle", By::HeatingMantle),
    ("lamp", By::Lamp),
    ("flame", By::Flame),
];

/// The words alone.
pub const NAMED: [(&str, &str); 6] = [
    ("water_bath", "water_bath"),
    ("steam_bath", "steam_bath"),
    ("hot_plate", "hot_plate"),
    ("heating_mantle", "heating_mantle"),
    ("lamp", "lamp"),
    ("flame", "flame"),
];

impl By {
    const fn is_bath(self) -> bool {
        matches!(self, Self::WaterBath | Self::SteamBath)
    }

    const fn is_electric(self) -> bool {
        matches!(self, Self::HotPlate | Self::HeatingMantle | Self::Lamp)
    }

    /// The rule of its usual surface; a flame has none, it is no surface.
    const fn rule(self) -> Option<&'static str> {
        match self {
            Self::WaterBath => Some("water_bath_surface"),
            Self::SteamBath => Some("steam_surface"),
            Self::HotPlate => Some("hot_plate_surface"),
            Self::HeatingMantle => Some("heating_mantle_surface"),
            Self::Lamp => Some("lamp_surface"),
            Self::Flame => None,
        }
    }
}

/// What a request says of heaters and hot surfaces.
#[derive(Debug, Clone, Copy, Default)]
pub struct HeatingAsked {
    by: Option<By>,
    surface: Option<Asked<ThermodynamicTemperature>>,
}

/// What heats the liquid and how hot the hottest surface near it is, defaults filled in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heating {
    by: Option<By>,
    surface: Option<ThermodynamicTemperature>,
    /// Whether that surface is the usual one of what heats it and was not stated.
    assumed: bool,
    /// Whether it burns and is so light that it is kept from flames and sparks altogether.
    light: bool,
    /// Temperature of the liquid.
    liquid: ThermodynamicTemperature,
    room: ThermodynamicTemperature,
    pressure: Pressure,
    /// Its flash point, where a flame heats it and it is known.
    flash: Option<Estimate<ThermodynamicTemperature>>,
    /// The rule of the distance at which it is kept from flames however cold it is: a wick, a pool.
    kept: Option<&'static str>,
}

impl HeatingAsked {
    /// Reads `heated_by` and `surface_temperature`, which belong to `heated_to`.
    #[must_use]
    pub fn read(
        fields: &Fields<'_>,
        liquid: Option<&Liquid>,
        heated_to: Option<&Asked<ThermodynamicTemperature>>,
    ) -> Self {
        let by = fields.word("heated_by", &WORDS);
        let surface = fields.quantity("surface_temperature", &field::SURFACE_TEMPERATURE);
        if let (Some(liquid), Some(heated)) = (liquid, heated_to) {
            below_critical(fields, liquid, heated);
        }
        match (heated_to, &surface, by) {
            (Some(heated), Some(surface), _) if surface.quantity < heated.quantity => {
                let detail = format!(
                    "the hottest surface is at {} Cel and the liquid at {} Cel: something hotter heats it",
                    surface.number, heated.number
                );
                fields.faults().add("impossible-value", fields.at("surface_temperature"), detail, None);
            }
            (Some(heated), None, Some(by)) if by.is_bath() && heated.number > BATH_CEL => {
                let detail = format!(
                    "a bath of water or steam heats nothing to {} Cel: name another heater, or give `surface_temperature`",
                    heated.number
                );
                fields.faults().add("impossible-value", fields.at("heated_by"), detail, None);
            }
            _ => {}
        }
        Self { by, surface }
    }

    /// Whether a flame heats it.
    #[must_use]
    pub fn by_flame(&self) -> bool {
        self.by == Some(By::Flame)
    }

    /// Whether what heats it switches, sparks or glows although nobody sees a flame.
    #[must_use]
    pub fn is_electric(&self) -> bool {
        self.by.is_some_and(By::is_electric)
    }

    /// Whether a lamp is named, which may stand near an open vessel without heating it.
    #[must_use]
    pub fn by_lamp(&self) -> bool {
        self.by == Some(By::Lamp)
    }

    /// Whether the vessel stands on or in what is much hotter than a bath: a plate, a mantle, a flame, or nobody says what.
    #[must_use]
    pub fn is_dry(&self) -> bool {
        let hot = self.surface.is_some_and(|surface| surface.number > BATH_CEL);
        hot || match self.by {
            Some(by) => !by.is_bath() && by != By::Lamp,
            None => self.surface.is_none(),
        }
    }

    /// Whether a heater is named.
    #[must_use]
    pub const fn is_named(&self) -> bool {
        self.by.is_some()
    }

    /// What the liquid is heated to: as given, or, where a heater is named and nothing is given, a little below its boiling point.
    pub fn heated_to(
        &self,
        (fields, liquid): (&Fields<'_>, &Liquid),
        given: Option<Asked<ThermodynamicTemperature>>,
        air: Air,
        rules: &Rules,
        draft: &mut Draft,
    ) -> Option<Asked<ThermodynamicTemperature>> {
        if given.is_some() || self.by.is_none() {
            return given;
        }
        self.below_boiling((fields, liquid), air, rules, draft)
    }

    /// The temperature of a heated liquid where it is not said: a little below its boiling point, and no hotter than what heats it.
    pub fn below_boiling(
        &self,
        (fields, liquid): (&Fields<'_>, &Liquid),
        air: Air,
        rules: &Rules,
        draft: &mut Draft,
    ) -> Option<Asked<ThermodynamicTemperature>> {
        let found = self.below_boiling_of(liquid, air, rules, draft);
        if found.is_none() {
            fields.faults().add("missing-field", fields.at("heated_to"), NO_BOILING_POINT, None);
        }
        found
    }

    /// The same; none where no boiling point is known.
    pub fn below_boiling_of(
        &self,
        liquid: &Liquid,
        air: Air,
        rules: &Rules,
        draft: &mut Draft,
    ) -> Option<Asked<ThermodynamicTemperature>> {
        let below = below_boiling(liquid, air.pressure, rules)?;
        let bath = self.by.filter(|by| by.is_bath()).map(|_| BATH_CEL);
        let stated = self.surface.map(|surface| surface.number);
        let hottest = stated.into_iter().chain(bath).fold(tenths(below), f64::min);
        let said = format!("{} {hottest} Cel is taken.", rules.text("unknown_heating"));
        draft.assume("unknown_heating", said);
        Some(field::LIQUID_TEMPERATURE.asked(hottest))
    }

    /// What heats a liquid that is at `heated_to`, where that is above the room; an assumed surface said; recorded.
    pub fn resolve(
        &self,
        (liquid, heated_to): (&Liquid, Option<ThermodynamicTemperature>),
        air: Air,
        rules: &Rules,
        draft: &mut Draft,
        request: &mut Group,
    ) -> Heating {
        if let Some((word, _)) = WORDS.iter().find(|(_, by)| Some(*by) == self.by) {
            request.word("heated_by", *word);
        }
        request.given("surface_temperature", self.surface.as_ref());
        let usual = self.by.and_then(By::rule);
        let surface = match (self.surface, usual) {
            (Some(stated), _) => Some(stated.quantity),
            (None, Some(rule)) => {
                let celsius = rules.number(rule);
                draft.assume(rule, format!("{} {celsius} Cel is taken.", rules.text(rule)));
                Some(si::celsius(celsius))
            }
            // Nobody says what heats it: the usual hot plate, since its surface is what lights vapour.
            (None, None) if self.by.is_none() && heated_to.is_some_and(|to| to > air.temperature) => {
                let (rule, id) = ("hot_plate_surface", "unknown_heater");
                let celsius = rules.number(rule);
                let text = format!(
                    "What heats it is not given: a usual hot plate, whose top is at {celsius} Cel, is taken; `heated_by` or `surface_temperature` says otherwise."
                );
                draft.assume(id, text);
                Some(si::celsius(celsius))
            }
            (None, None) => None,
        };
        let heating = Heating {
            by: self.by,
            surface,
            assumed: self.surface.is_none(),
            light: false,
            liquid: heated_to.unwrap_or(air.temperature),
            room: air.temperature,
            pressure: air.pressure,
            flash: None,
            kept: None,
        };
        heating.of(liquid, rules)
    }
}

/// A little below the boiling point, Cel, where it does not boil by any end of its vapour pressure; none where that is not known.
#[must_use]
pub fn below_boiling(liquid: &Liquid, pressure: Pressure, rules: &Rules) -> Option<f64> {
    let boiling = liquid.boiling_point(pressure)?;
    let step = rules.number("unknown_heating");
    let mut below = si::in_celsius(boiling.low) - step;
    // A vapour pressure known badly may reach the air's at its upper end: further down it does not.
    for _ in 0..10 {
        let over = liquid.over(si::celsius(below));
        if over.is_ok_and(|all| all.iter().all(|over| over.total().high < pressure)) {
            break;
        }
        below -= step.max(1.0);
    }
    Some(below)
}

/// A liquid at its critical temperature is none.
fn below_critical(fields: &Fields<'_>, liquid: &Liquid, heated: &Asked<ThermodynamicTemperature>) {
    for substance in liquid.substances() {
        let Some(critical) = &substance.critical_temperature else { continue };
        if heated.quantity >= critical.estimate.low {
            let limit = tenths(si::in_celsius(critical.estimate.value));
            let detail = format!(
                "{} is no liquid at or above its critical temperature, {limit} Cel",
                substance.name()
            );
            fields.faults().add("outside-range", fields.at("heated_to"), detail, None);
            return;
        }
    }
}

/// Whether any part of a liquid is halogenated.
#[must_use]
pub fn halogenated(liquid: &Liquid) -> bool {
    liquid.substances().any(|substance| substance.halogenated)
}

/// Parts whose vapour can be lit, or of which nobody says that it cannot.
fn can_burn(liquid: &Liquid) -> impl Iterator<Item = &'static Substance> {
    liquid.substances().filter(|substance| substance.flammable() != Some(false))
}

impl Heating {
    /// Nothing heats it and no hot surface is near.
    #[must_use]
    pub const fn none(air: Air) -> Self {
        let Air { temperature, pressure } = air;
        Self {
            by: None,
            surface: None,
            assumed: false,
            light: false,
            liquid: temperature,
            room: temperature,
            pressure,
            flash: None,
            kept: None,
        }
    }

    /// The same with another hottest surface, Cel.
    #[must_use]
    pub fn with_surface(self, celsius: f64) -> Self {
        Self { surface: Some(si::celsius(celsius)), assumed: false, ..self }
    }

    /// The same for another liquid.
    #[must_use]
    pub fn of(self, liquid: &Liquid, rules: &Rules) -> Self {
        let flash = self.by_flame().then(|| liquid.flash_point(self.pressure).ok()).flatten();
        Self {
            light: liquid.not_flammable().is_none() && ignition::is_light(liquid, rules),
            flash: flash.map(|flash| flash.estimate),
            ..self
        }
    }

    /// The same for a liquid that a flame lights however cold it is, by the rule of a distance.
    #[must_use]
    pub const fn kept_by(self, rule: &'static str) -> Self {
        Self { kept: Some(rule), ..self }
    }

    /// The same with the liquid at another temperature: no warmer than the room, nothing unknown heats it.
    #[must_use]
    pub fn with_liquid(self, liquid: ThermodynamicTemperature) -> Self {
        let unknown = self.by.is_none() && self.assumed;
        Self { liquid, surface: self.surface.filter(|_| !unknown || liquid > self.room), ..self }
    }

    /// Whether a flame heats it.
    #[must_use]
    pub fn by_flame(&self) -> bool {
        self.by == Some(By::Flame)
    }

    /// Whether what heats it, or a hot surface, is stated.
    #[must_use]
    pub const fn is_stated(&self) -> bool {
        self.by.is_some() || self.surface.is_some()
    }

    /// The hottest surface: no colder than the liquid that it heats.
    fn hottest(&self) -> Option<ThermodynamicTemperature> {
        self.surface.map(|surface| if surface > self.liquid { surface } else { self.liquid })
    }

    /// The change of `field` that cools the hottest surface down to the liquid.
    #[must_use]
    pub fn change(&self, field: &'static str) -> Option<Change> {
        let from = si::in_celsius(self.hottest()?);
        let furthest = si::in_celsius(self.liquid).max(1.0);
        (from > furthest).then_some(Change {
            change: "heating",
            field,
            unit: "Cel",
            from,
            furthest,
            text: ("Let no surface near it be hotter than ", ""),
        })
    }

    /// The checks: hot surface, naked flame, and a halogenated vapour against the distance of a flame where there is one.
    #[must_use]
    pub fn checks(
        &self,
        question: &'static str,
        liquid: &Liquid,
        flame: Option<Ignition>,
        rules: &Rules,
    ) -> Vec<Check> {
        let flame = flame.filter(|_| halogenated(liquid));
        let near = flame.and_then(|flame| halogen(question, flame, rules));
        [self.hot_surface(question, liquid, rules), self.naked_flame(question, liquid, rules), near]
            .into_iter()
            .flatten()
            .collect()
    }

    fn hot_surface(&self, question: &'static str, liquid: &Liquid, rules: &Rules) -> Option<Check> {
        let check = |surface| self.surface_check(question, liquid, surface, rules);
        match self.hottest() {
            Some(surface) => check(surface),
            // Whatever heats it is as hot as the liquid: enough where that is over the limit already.
            None if self.liquid > self.room => {
                check(self.liquid).filter(|check| check.status == Outcome::OverLimit)
            }
            None => None,
        }
    }

    fn surface_check(
        &self,
        question: &'static str,
        liquid: &Liquid,
        surface: ThermodynamicTemperature,
        rules: &Rules,
    ) -> Option<Check> {
        let rule = "autoignition_margin";
        let compared = |value, limit, must_be, rule, evidence| Compared {
            check: HOT_SURFACE,
            question,
            value,
            limit,
            unit: "K",
            must_be,
            grounds: rules.grounds(rule),
            evidence,
        };
        let figures = || can_burn(liquid).filter_map(|part| part.autoignition_temperature.as_ref());
        let above = |celsius: ThermodynamicTemperature| si::in_kelvin_difference(interval(surface, celsius));
        // Each end is that of the part that lights first.
        let lights = figures()
            .map(|figure| figure.estimate.rising(above))
            .reduce(|a, b| Estimate::new(a.value.min(b.value), a.low.min(b.low), a.high.min(b.high)));
        let evidence = |estimated: bool| {
            if estimated || self.assumed { Evidence::Estimated } else { Evidence::Measured }
        };
        let by_autoignition = lights.map(|lights| {
            let evidence = evidence(figures().any(|figure| figure.estimated));
            compared(lights, rules.number(rule), MustBe::AtLeast, rule, evidence).decided()
        });
        let by_breaking_down = halogenated(liquid).then(|| {
            let rule = "halogenated_surface";
            let over_room = |at| significant(si::in_kelvin_difference(interval(self.room, at)), 12);
            let limit = over_room(si::celsius(rules.number(rule)));
            let value = Estimate::exact(over_room(surface));
            let mut check = compared(value, limit, MustBe::AtMost, rule, evidence(false)).decided();
            // A single figure, stated or guessed, has no ends.
            check.value = Some(Quantity::exact(tenths(value.value), "K"));
            check
        });
        let worst = by_autoignition.into_iter().chain(by_breaking_down).max_by(draft::milder);
        let missing: Vec<&str> = can_burn(liquid)
            .filter(|part| part.autoignition_temperature.is_none())
            .map(Substance::name)
            .collect();
        if missing.is_empty() || worst.as_ref().is_some_and(|check| check.status == Outcome::OverLimit) {
            return worst;
        }
        let reason = format!(
            "no autoignition temperature of {} is published here; see the supplier's data sheet",
            missing.join(", ")
        );
        let limit = Quantity::exact(rules.number(rule), "K");
        Some(not_assessed(HOT_SURFACE, question, limit, MustBe::AtLeast, rules.grounds(rule), &reason))
    }

    fn naked_flame(&self, question: &'static str, liquid: &Liquid, rules: &Rules) -> Option<Check> {
        let burns = liquid.not_flammable().is_none();
        let breaks_down = halogenated(liquid);
        let electric = self.by.is_some_and(By::is_electric);
        if !(self.light && electric || self.by == Some(By::Flame) && (burns || breaks_down)) {
            return None;
        }
        let compared = |value, limit, unit, grounds, evidence| Compared {
            check: NAKED_FLAME,
            question,
            value,
            limit,
            unit,
            must_be: MustBe::AtLeast,
            grounds,
            evidence,
        };
        if electric {
            let mut grounds = rules.grounds("light_boiling_point");
            grounds.text = Text::Owned(format!(
                "{} Plates, mantles and lamps spark where they switch, or glow: so light a liquid is heated by a bath alone, heated beforehand.",
                grounds.text
            ));
            let least = rules.number("least_ignition_distance");
            let mut check = compared(Estimate::exact(0.0), least, "m", grounds, Evidence::Measured).decided();
            check.reason = Some("so light a liquid is heated by a bath alone".to_owned());
            return Some(check);
        }
        let rule = "naked_flame_flash_point";
        if let Some(flash) = self.flash.filter(|_| !breaks_down && self.kept.is_none()) {
            // Heated near its flash point no liquid is held over a flame, however high that lies.
            let margin =
                if liquid.substance().is_some() { "required_margin_pure" } else { "required_margin_mixture" };
            let least = rules.number(rule).max(si::in_celsius(self.liquid) + rules.number(margin));
            let value = flash.rising(|flash| significant(si::in_celsius(flash) - least, 12));
            let pure = liquid.substance().is_some();
            let evidence = if pure { Evidence::Measured } else { Evidence::Estimated };
            let mut grounds = rules.grounds(rule);
            grounds.text = Text::Owned(format!(
                "{} A flame has no thermostat: it is near this limit at best.",
                grounds.text
            ));
            let mut check = compared(value, 0.0, "K", grounds, evidence).decided();
            check.status = check.status.max(Outcome::NearLimit);
            return Some(check);
        }
        let (least, grounds) = match self.kept.filter(|_| burns) {
            Some(kept) => (rules.number(kept), rules.grounds(kept)),
            None => {
                let grounds = if breaks_down { breaking_down(rules) } else { rules.grounds(rule) };
                (rules.number("least_ignition_distance"), grounds)
            }
        };
        Some(compared(Estimate::exact(0.0), least, "m", grounds, Evidence::Measured).decided())
    }

    /// Remedies of these checks, where nothing else of a question depends on the surface or on the flame.
    pub fn mend(
        &self,
        (question, liquid, surface): (&'static str, &Liquid, &'static str),
        flame: Option<Ignition>,
        furthest: Length,
        draft: &mut Draft,
        rules: &Rules,
    ) {
        let movable = flame.and_then(Ignition::movable);
        let changes: Vec<Change> =
            self.change(surface).into_iter().chain(movable.map(|from| further(from, furthest))).collect();
        let others = draft.checks.iter().filter(|check| !is_one(check)).map(|check| check.status).max();
        for check in draft.checks.iter_mut().filter(|check| is_one(check)) {
            if check.status != Outcome::OverLimit {
                continue;
            }
            let id = check.check.clone();
            check.remedy = remedy::smallest(&changes, |change, to| {
                let made = if change.field == surface {
                    self.with_surface(to).checks(question, liquid, flame, rules)
                } else {
                    self.checks(question, liquid, Some(Ignition::Stated(si::metre(to))), rules)
                };
                let this = made.iter().find(|check| check.check == id)?.status;
                Some((this, made.iter().map(|check| check.status).chain(others).max()?))
            });
        }
    }

    /// Says what these checks rest on, what was not considered, and the cautions of what is heated, or is `dropped`.
    pub fn say(&self, draft: &mut Draft, liquid: &Liquid, dropped: bool, rules: &Rules) {
        let made = |id: &str, draft: &Draft| draft.checks.iter().any(|check| check.check == id);
        let hot = self.liquid > self.room;
        let lights = can_burn(liquid).next().is_some();
        if made(HOT_SURFACE, draft) {
            draft.consider(HOT_SURFACE);
            draft.method(HOT_SURFACE);
            draft.assume_rule("autoignition_margin", rules);
            draft.figures(liquid, "autoignition_temperature", |part| part.autoignition_temperature.as_ref());
            if halogenated(liquid) {
                draft.assume_rule("halogenated_surface", rules);
            }
        } else if self.surface.is_some() {
            draft.outside(HOT_SURFACE, "the liquid does not burn: no surface lights it");
        } else if hot && self.by.is_none() && (lights || halogenated(liquid)) {
            draft.not_considered(HOT_SURFACE, GIVE);
        }
        if made(NAKED_FLAME, draft) {
            draft.consider(NAKED_FLAME);
            let electric = self.by.is_some_and(By::is_electric);
            draft
                .assume_rule(if electric { "light_boiling_point" } else { "naked_flame_flash_point" }, rules);
        }
        if self.by == Some(By::Flame) && lights {
            draft.caution("no_thermostat", "A flame has no thermostat: it heats the liquid past any temperature that is given, and lights what boils over.");
        }
        if self.by.is_some_and(By::is_electric) && lights {
            draft.caution("heater_sparks", "Plates, mantles and lamps spark where they switch, and some glow: only one that is made not to is no ignition source; keep vapour from it.");
        }
        if made(HALOGENATED, draft) {
            draft.consider(HALOGENATED);
            draft.assume_rule("least_ignition_distance", rules);
        }
        if halogenated(liquid) && (made(HALOGENATED, draft) || self.is_stated() || hot) {
            draft.caution(
                "breaks_down",
                "Flames, glowing elements and hot metal, well below red heat, break its vapour down to acid and toxic gases, also where it does not burn.",
            );
        }
        if self.by.is_some_and(By::is_bath) && lights {
            draft.caution(
                "bath_without_flame",
                "Heat the bath before the liquid is brought, then switch it off or take it from what heats it: no flame and no bare element under it while there is vapour.",
            );
        }
        if self.is_stated() || hot {
            self.say_bumping(draft, liquid, dropped, rules);
        }
    }

    fn say_bumping(&self, draft: &mut Draft, liquid: &Liquid, dropped: bool, rules: &Rules) {
        let published = |part: &'static Substance| part.boiling_point.as_ref().map(|at| at.estimate.low);
        let lowest = liquid.boiling_point(self.pressure).map(|at| at.low).or_else(|| {
            // Not computed: the lowest of its parts, below which a mixture seldom boils by more than the step.
            liquid.substances().filter_map(published).reduce(|a, b| if a < b { a } else { b })
        });
        let hotter = |than: ThermodynamicTemperature| self.hottest().is_some_and(|surface| surface > than);
        let near = |boiling, kelvins| si::in_kelvin_difference(interval(self.liquid, boiling)) <= kelvins;
        if dropped && lowest.is_none_or(|boiling| hotter(boiling) || near(boiling, BOILS_WITHIN_K)) {
            draft.caution("spill_on_hot_surface", "On a surface hotter than its boiling point it spits and turns to vapour at once, far faster than from the floor.");
        } else if !dropped && lowest.map_or(self.liquid > self.room, |boiling| near(boiling, BUMPS_WITHIN_K))
        {
            let share = rules.number("heated_fill_share");
            draft.caution(
                "bumping",
                format!("It can boil, superheat and bump: put boiling stones in while it is cold, never into hot liquid, and fill no more than {share} % of the vessel."),
            );
        }
    }
}

/// Whether a check is one of this file.
#[must_use]
pub fn is_one(check: &Check) -> bool {
    matches!(check.check.as_ref(), HOT_SURFACE | NAKED_FLAME | HALOGENATED)
}

/// The check of the question itself that decides, these left out.
#[must_use]
pub fn own(draft: &Draft) -> Option<&Check> {
    draft.checks.iter().filter(|check| !is_one(check)).max_by(|a, b| draft::milder(a, b))
}

/// What a sentence on a liquid that does not burn says of the checks.
#[must_use]
pub fn checked(draft: &Draft) -> &'static str {
    if draft.checks.is_empty() {
        "no limit was checked"
    } else {
        "within the limits on flames and hot surfaces, where its vapour breaks down"
    }
}

/// The distance of a flame, moved further away.
fn further(from: Length, furthest: Length) -> Change {
    Change {
        change: "distance",
        field: "/nearest_ignition",
        unit: "m",
        from: si::in_metre(from),
        furthest: si::in_metre(furthest),
        text: ("Keep ignition sources at least ", " away"),
    }
}

/// The grounds of the distance between a halogenated vapour and a flame.
fn breaking_down(rules: &Rules) -> Grounds {
    let mut grounds = rules.grounds("least_ignition_distance");
    grounds.text = Text::Owned(format!(
        "{} A halogenated vapour, whether it burns or not, breaks down there to acid and toxic gases.",
        grounds.text
    ));
    grounds
}

fn halogen(question: &'static str, flame: Ignition, rules: &Rules) -> Option<Check> {
    let distance = flame.distance()?;
    let assumed = matches!(flame, Ignition::Assumed(_));
    let compared = Compared {
        check: HALOGENATED,
        question,
        value: Estimate::exact(significant(si::in_metre(distance), 12)),
        limit: rules.number("least_ignition_distance"),
        unit: "m",
        must_be: MustBe::AtLeast,
        grounds: breaking_down(rules),
        evidence: if assumed { Evidence::Estimated } else { Evidence::Measured },
    };
    let mut check = compared.decided();
    check.reason = assumed.then(|| {
        let metres = significant(si::in_metre(distance), 12);
        format!("no flame was stated; one at {metres} m was assumed")
    });
    Some(check)
}

/// What is nearer its limit than the check that a question names, of what heats the liquid or lies near it; none unless it is near.
#[must_use]
pub fn nearer<'a>(draft: &'a Draft, than: Option<&Check>) -> Option<(&'static str, &'a Check)> {
    let near = draft.checks.iter().filter(|check| is_one(check) && check.status == Outcome::NearLimit);
    let flame = |check: &&Check| check.check == NAKED_FLAME;
    // A flame without a thermostat is named whatever else is near.
    let worst = near.clone().find(flame).or_else(|| near.max_by(|a, b| draft::milder(a, b)))?;
    let milder = than.is_none_or(|than| draft::milder(than, worst) == Ordering::Less);
    let what = match worst.check.as_ref() {
        HOT_SURFACE => "a surface near it is almost too hot",
        NAKED_FLAME => "a flame without a thermostat heats it",
        _ if worst.reason.is_some() => "no flame was stated, one was assumed",
        _ => "a flame is barely far enough",
    };
    (milder || flame(&worst)).then_some((what, worst))
}

/// What the sentence says where one of these checks decides.
#[must_use]
pub fn said(name: &str, draft: &Draft) -> Option<String> {
    let named = |check: &&Check| check.check == NAKED_FLAME && check.status == Outcome::NearLimit;
    if draft.outcome() == Outcome::NearLimit
        && let Some(flame) = draft.checks.iter().find(named)
    {
        return sentence_of(name, flame);
    }
    let worst = draft.worst().filter(|check| is_one(check))?;
    let also = |check: &Check| !is_one(check) && draft::milder(check, worst) != Ordering::Less;
    // What the question itself could not assess goes first.
    if worst.status == Outcome::NotAssessed && draft.checks.iter().any(also) {
        return None;
    }
    sentence_of(name, worst)
}

/// The same where one of these checks is over its limit, whatever decides.
#[must_use]
pub fn said_over(name: &str, draft: &Draft) -> Option<String> {
    let over = draft.checks.iter().filter(|check| is_one(check) && check.status == Outcome::OverLimit);
    sentence_of(name, over.max_by(|a, b| draft::milder(a, b))?)
}

fn sentence_of(name: &str, check: &Check) -> Option<String> {
    let marks = draft::marks(Some(check));
    let mend = check.remedy.as_ref().map(|remedy| remedy.text.as_str());
    let id = check.check.as_ref();
    let what = match id {
        HOT_SURFACE => format!("a surface near {name} is too hot for its vapour"),
        NAKED_FLAME if check.reason.is_some() => {
            format!("{name} is too light for a heater that may spark or glow")
        }
        NAKED_FLAME => format!("{name} is heated over a naked flame"),
        _ => format!("vapour of {name} near a flame breaks down to acid and toxic gases"),
    };
    match check.status {
        Outcome::OverLimit => {
            let mend = mend.unwrap_or(match id {
                NAKED_FLAME => "Heat by a bath.",
                _ => "No single change mends it.",
            });
            let after = check.remedy.as_ref().map(|remedy| remedy.outcome_after);
            let still = if after == Some(Outcome::OverLimit) { " It stays over another limit." } else { "" };
            Some(format!("Over the limit: {what}{marks}. {mend}{still}"))
        }
        Outcome::NotAssessed => Some(format!(
            "Not assessed: whether a surface near {name} lights its vapour; see the supplier's data sheet{marks}."
        )),
        Outcome::NearLimit if id == HOT_SURFACE => {
            Some(format!("Near the limit: a surface near {name} is almost too hot for its vapour{marks}."))
        }
        Outcome::NearLimit if id == NAKED_FLAME => Some(format!(
            "Near the limit: a flame, which has no thermostat, heats {name} below its flash point{marks}."
        )),
        Outcome::NearLimit if check.reason.is_some() => Some(format!(
            "Near the limit: {}; there the vapour of {name} breaks down{marks}.",
            check.reason.as_deref().unwrap_or_default()
        )),
        Outcome::NearLimit => Some(format!(
            "Near the limit: a flame is barely far enough from the vapour of {name}, which breaks down there{marks}."
        )),
        _ => None,
    }
}
