//! `storage`: how far a closed container is filled, how much is kept where, and beside what.
//!
//! Amounts are volumes at 20 Cel; shares are of the capacity at the temperature that is meant.

use super::check::{Compared, not_assessed};
use super::draft::{self, Draft};
use super::heating;
use super::ignition::{CanBeLit, Ignition, IgnitionAsked, Lying};
use super::reader::{Asked, Fields};
use super::record::{Group, record};
use super::remedy::{self, Change};
use super::room::RoomAsked;
use super::rules::Rules;
use super::storage_advice::{self as advice, Neighbour, Peroxides};
use super::{Composed, Scope, field, liquid, vapour_space};
use crate::catalogue::material::{Kind, Material};
use crate::liquid::expansion::{Bound, Expansion};
use crate::liquid::flash::NoFlashPoint;
use crate::liquid::vapour::{NoVapour, Over, Phases};
use crate::liquid::{Liquid, spanning};
use crate::physics::filling::{self, Inside};
use crate::physics::room_air::{Air, vapour_per_liquid};
use crate::physics::standard_pressure;
use crate::quantity::round::{cautious_down, significant};
use crate::quantity::{Estimate, interval, si};
use brimline_openapi::{
    BasisKind, Check, Evidence, Grounds, KeepApart, MustBe, Outcome, Quantity, Seen, StoragePlace,
    StorageReply, Text, Verdict,
};
use std::borrow::Cow;
use uom::si::f64::{Pressure, Ratio, ThermodynamicTemperature};

/// The question's name.
pub const NAME: &str = "storage";
const DEGREE: &str = "degree_of_filling";
const CLOSED: &str = "closed_pressure";
const HELD: &str = "amount_held";
const APART: &str = "keep_apart";
const DISTANCE: &str = "stock_distance";
const VAPOUR: &str = "vapour_in_refrigerator";
/// What a sentence says of inputs that were not given, and of the one that matters most.
const MISSING: &str = " Some limits were not checked for want of an input";
const FLAMES: &str = "; the distance of flames was not given.";
const AGE: &str = "peroxide_age";
const BENCH: &str = "bench_amount";
const MATERIAL: &str = "container_material";
/// A container is filled cold if nothing is said, Cel: cold liquid expands most.
const FILLED_AT_CEL: f64 = 15.0;
/// Below this share of the capacity no fill is proposed.
const LEAST_SHARE: f64 = 1e-3;
/// Where the boiling point is not known, a vapour pressure below this share of the air's lies far enough from it.
const FAR_FROM_BOILING: f64 = 0.5;
/// Halvings by which the largest fill is found: to 1e-15 of the capacity.
const HALVINGS: u32 = 50;
/// The furthest distance and the least temperature, Cel, that are proposed.
const FURTHEST_M: f64 = 100.0;
const COLDEST_CEL: f64 = 1.0;
const FURTHEST_SHARE: f64 = 1000.0;

/// The question as it was asked, defaults filled in.
struct Question<'a> {
    liquid: &'a Liquid,
    expansions: Vec<Expansion>,
    /// What its volume becomes where it is filled.
    cold: Swollen,
    /// mL.
    capacity: f64,
    filled: Option<f64>,
    filled_at: ThermodynamicTemperature,
    highest: ThermodynamicTemperature,
    /// Air pressure where less is worse, and where more is.
    low: Pressure,
    high: Pressure,
    place: Option<StoragePlace>,
    spark_free: bool,
    beside: Option<Vec<Neighbour>>,
    /// Pairs of its parts that react with each other.
    parts_apart: Vec<KeepApart>,
    /// L.
    held: Option<f64>,
    ignition: Option<Ignition>,
    /// d.
    opened_for: Option<f64>,
    peroxides_tested: bool,
    material: Option<&'static Material>,
    /// As the request writes it.
    material_text: Option<String>,
}

/// What does not depend on the fill nor on the highest temperature.
struct Known {
    /// Vapour pressure of each composition where it is filled.
    closed: Result<Vec<Estimate<Pressure>>, NoVapour>,
    /// Boiling point at the lower air pressure.
    boiling: Option<Estimate<ThermodynamicTemperature>>,
    /// Degree of filling, share of the capacity at the filling temperature.
    degree: f64,
    /// Low end of the flash point; `Err(true)` where it reaches none.
    flash: Result<ThermodynamicTemperature, bool>,
    category: Option<u8>,
    burns: bool,
    evidence: Evidence,
    cold: Option<Cold>,
    peroxides: Option<Peroxides>,
}

/// A liquid that leaks in a refrigerator.
struct Cold {
    can: CanBeLit,
    /// Share of vapour by volume at saturation.
    saturated: Option<Estimate<Ratio>>,
    /// Vapour for each volume of liquid.
    vapour: Estimate<Ratio>,
}

/// For each composition its volume at a temperature for each volume at 20 Cel, in the order of [`Bound::ALL`].
type Swollen = Vec<[f64; 3]>;

/// What stands over the liquid at the highest temperature.
#[derive(Clone)]
struct Hot {
    temperature: ThermodynamicTemperature,
    swollen: Swollen,
    over: Result<Vec<Over>, NoVapour>,
    totals: Vec<Estimate<Pressure>>,
    can: CanBeLit,
}

/// What is tried: fill in mL at 20 Cel, distance in m, amount held in L.
#[derive(Debug, Clone, Copy)]
struct Tried {
    fill: f64,
    ignition: Option<Ignition>,
    held: Option<f64>,
}

/// What was read; what was asked of it.
struct AskedOf {
    fill: Option<Asked<uom::si::f64::Volume>>,
    highest: f64,
}

/// Reads and answers the question.
pub fn answer(fields: &Fields<'_>, scope: &mut Scope) -> Option<Composed> {
    let asked_liquid = liquid::read(fields, scope.draft.catalogue);
    let mut request = Group::default();
    let (question, asked) = read(fields, asked_liquid.as_ref(), scope, &mut request)?;
    let rules = &scope.rules;
    let known = question.known(rules);
    let hot = question.hot(question.highest, rules);
    let critical = asked_liquid.as_ref()?.substances().find(|substance| {
        let critical = substance.critical_temperature.as_ref();
        critical.is_some_and(|critical| critical.estimate.low <= question.highest)
    });
    if let Some(substance) = critical {
        let detail = format!("{} is no liquid above its critical temperature", substance.name());
        fields.faults().add("outside-range", fields.at("highest_temperature"), detail, None);
        return None;
    }
    // So near its boiling point it is over its limit, whatever is published of its vapour.
    let boils = question
        .margin(&known, &hot)
        .is_some_and(|margin| margin.low < rules.number("closed_boiling_margin"));
    let ranges = [
        (known.closed.as_ref().err(), "/container/filled_at"),
        (hot.over.as_ref().err(), "/highest_temperature"),
    ];
    for (range, pointer) in ranges.into_iter().filter(|_| !boils) {
        if let Some(NoVapour::Range(..)) = range {
            let detail = range.map(ToString::to_string).unwrap_or_default();
            fields.faults().add("outside-range", pointer.to_owned(), detail, None);
        }
    }
    if !fields.faults().is_empty() {
        return None;
    }
    compose(&question, &known, &hot, &asked, scope, request)
}

/// Reads the request; `None` where there is a fault.
fn read<'a>(
    fields: &Fields<'_>,
    asked_liquid: Option<&'a Liquid>,
    scope: &mut Scope,
    request: &mut Group,
) -> Option<(Question<'a>, AskedOf)> {
    let room = RoomAsked::read(fields, false);
    let container =
        fields.required_group("container", "an object with `capacity`, such as {\"capacity\": \"500 mL\"}");
    let (mut capacity, mut filled, mut filled_at, mut material) = (None, None, None, None);
    if let Some(container) = &container {
        capacity = container.required_quantity("capacity", &field::CAPACITY);
        filled = container.quantity("filled", &field::LIQUID_VOLUME);
        filled_at = container.quantity("filled_at", &field::ROOM_TEMPERATURE);
        material = container.text("material", 200);
        container.finish();
        if let (Some(capacity), Some(filled)) = (&capacity, &filled)
            && filled.number > capacity.number
        {
            let detail = format!("{} mL do not go into a container of {} mL", filled.number, capacity.number);
            let most = Some(format!("{} mL", capacity.number));
            fields.faults().add("impossible-value", container.at("filled"), detail, most);
        }
    }
    let highest = fields.quantity("highest_temperature", &field::LIQUID_TEMPERATURE);
    let beside = advice::read_beside(fields, scope.draft.catalogue);
    let held = fields.quantity("held_in_room", &field::HELD);
    let ignition = IgnitionAsked::read(fields, &room);
    let place = fields.word(
        "place",
        &[
            ("cupboard", StoragePlace::Cupboard),
            ("bench", StoragePlace::Bench),
            ("refrigerator", StoragePlace::Refrigerator),
        ],
    );
    let spark_free = fields.switch("spark_free");
    let opened_for = fields.quantity("opened_for", &field::OPENED);
    let tested = fields.word("peroxide_test", &[("none found", ())]).is_some();
    fields.finish();
    let asked_liquid = asked_liquid.filter(|_| fields.faults().is_empty())?;
    let capacity = capacity?;
    let (rules, draft) = (&scope.rules, &mut scope.draft);
    request.word("question", NAME);
    liquid::record(asked_liquid, "liquid", request);
    room.record_as_given(request);
    let filled_at = filled_at.unwrap_or_else(|| {
        draft.assume(
            "filled_cold",
            "The container is taken to be filled and closed at 15 Cel: cold liquid expands most.",
        );
        field::ROOM_TEMPERATURE.asked(FILLED_AT_CEL)
    });
    let mut group = Group::default();
    group.quantity("capacity", &capacity);
    group.given("filled", filled.as_ref());
    group.quantity("filled_at", &filled_at);
    if let Some(material) = material {
        group.word("material", material.to_owned());
    }
    request.group("container", group);
    let highest = highest.unwrap_or_else(|| {
        draft.assume_rule("unknown_room_temperature", rules);
        let rule = rules.number("unknown_room_temperature");
        let room = room.given_temperature().map_or(rule, |room| room.number);
        field::LIQUID_TEMPERATURE.asked(rule.max(room))
    });
    request.quantity("highest_temperature", &highest);
    if let Some(beside) = &beside {
        request.values("beside", beside.iter().map(|one| one.recorded.clone()).collect());
    }
    request.given("held_in_room", held.as_ref());
    let ignition = ignition.stated(rules, draft, request);
    if let Some(place) = place {
        request.word("place", word(place));
    }
    if let Some(spark_free) = spark_free {
        request.switch("spark_free", spark_free);
    }
    request.given("opened_for", opened_for.as_ref());
    if tested {
        request.word("peroxide_test", "none found");
    }
    rules.record(request);
    let pressure = room.given_pressure().map(|pressure| pressure.quantity);
    if pressure.is_none() {
        draft.assume_rule("unknown_pressure", rules);
        draft.assume_rule("unknown_high_pressure", rules);
    }
    let expansions: Vec<Expansion> =
        asked_liquid.compositions.iter().map(crate::liquid::Composition::expansion).collect();
    let question = Question {
        liquid: asked_liquid,
        cold: swollen(&expansions, filled_at.quantity),
        expansions,
        capacity: capacity.number,
        filled: filled.map(|filled| filled.number),
        filled_at: filled_at.quantity,
        highest: highest.quantity,
        low: pressure.unwrap_or_else(|| si::kilopascal(rules.number("unknown_pressure"))),
        high: pressure.unwrap_or_else(|| si::kilopascal(rules.number("unknown_high_pressure"))),
        place,
        spark_free: spark_free.unwrap_or(false),
        beside,
        parts_apart: advice::parts_apart(asked_liquid),
        held: held.map(|held| held.number),
        ignition,
        opened_for: opened_for.map(|opened| opened.number),
        peroxides_tested: tested,
        material: material
            .and_then(|text| draft.catalogue.materials.named(text))
            .filter(|(_, named)| *named)
            .map(|(material, _)| material),
        material_text: material.map(str::to_owned),
    };
    Some((question, AskedOf { fill: filled, highest: highest.number }))
}

const fn word(place: StoragePlace) -> &'static str {
    match place {
        StoragePlace::Cupboard => "cupboard",
        StoragePlace::Bench => "bench",
        StoragePlace::Refrigerator => "refrigerator",
    }
}

fn swollen(expansions: &[Expansion], temperature: ThermodynamicTemperature) -> Swollen {
    let at = |one: &Expansion| Bound::ALL.map(|bound| si::in_fraction(one.volume(temperature, bound)));
    expansions.iter().map(at).collect()
}

/// By how much more a volume holds that was measured colder than 20 Cel than one at 20 Cel.
const fn denser(swollen: f64) -> f64 {
    (1.0 / swollen).max(1.0)
}

fn totals(over: &[Over]) -> Vec<Estimate<Pressure>> {
    over.iter().map(Over::total).collect()
}

impl Question<'_> {
    fn known(&self, rules: &Rules) -> Known {
        let liquid = self.liquid;
        let flash = match liquid.flash_point(self.low) {
            Ok(found) => Ok(found.estimate.low),
            Err(NoFlashPoint::NotReached) => Err(true),
            Err(_) => Err(false),
        };
        let covers = |one: &Expansion| one.covers(self.filled_at) && one.covers(self.highest);
        let evidence = if !self.expansions.iter().all(covers) {
            Evidence::Extrapolated
        } else if liquid.substance().is_none() || self.expansions.iter().any(Expansion::carried) {
            Evidence::Estimated
        } else {
            Evidence::Measured
        };
        Known {
            closed: liquid.over(self.filled_at).map(|over| totals(&over)),
            boiling: liquid.boiling_point(self.low),
            degree: self.degree(rules),
            flash,
            category: liquid.category(Phases::OneOrTwo),
            burns: liquid.not_flammable().is_none(),
            evidence,
            cold: (self.place == Some(StoragePlace::Refrigerator)).then(|| self.cold(rules)),
            peroxides: Peroxides::of(liquid),
        }
    }

    /// The lower of both degrees of filling at the filling temperature, at the least favourable ends.
    fn degree(&self, rules: &Rules) -> f64 {
        let boiling = match self.liquid.substance() {
            Some(substance) => substance.boiling_point.as_ref().map(|figure| figure.estimate),
            None => self.liquid.boiling_point(standard_pressure()),
        };
        let boiling = boiling.map(|boiling| boiling.low);
        let at_15 = filling::degree_by_boiling_point(boiling);
        let hot = si::percent(rules.number("filling_share_hot"));
        let density = si::kilogram_per_cubic_metre(1000.0);
        let mut lowest = hot;
        for (one, bound) in self.corners() {
            let volume = |temperature| one.volume(temperature, bound);
            let (cold, warm) = (volume(filling::stated_at()), volume(filling::hottest()));
            let by_boiling = at_15 * (volume(self.filled_at) / cold);
            let expansion = filling::mean_expansion(density / cold, density / warm);
            let by_expansion = filling::degree_by_expansion(hot, expansion, self.filled_at);
            for degree in [by_boiling, by_expansion] {
                if degree < lowest {
                    lowest = degree;
                }
            }
        }
        // Rounded down, so that the limit shown is the one that decides; noise of the last bits is none.
        let percent = significant(si::in_percent(lowest), 12);
        let rounded = significant(percent, 4);
        (if rounded > percent { significant(rounded - 0.01, 4) } else { rounded }) / 100.0
    }

    fn corners(&self) -> impl Iterator<Item = (&Expansion, Bound)> {
        self.expansions.iter().flat_map(|one| Bound::ALL.map(|bound| (one, bound)))
    }

    /// Share of the capacity that a fill takes at a temperature; the high end as if it had been measured where it is filled.
    fn share(&self, fill: f64, swollen: &Swollen) -> Estimate<f64> {
        let one = |([best, least, most], cold): (&[f64; 3], &[f64; 3])| {
            let at = |volume: f64| fill * volume / self.capacity;
            let [_, cold_least, cold_most] = cold.map(denser);
            let high = (at(*least) * cold_least).max(at(*most) * cold_most);
            Estimate::new(at(*best), at(*least).min(at(*most)), high)
        };
        spanning(swollen.iter().zip(&self.cold).map(one))
            .unwrap_or_else(|| Estimate::exact(fill / self.capacity))
    }

    fn hot(&self, temperature: ThermodynamicTemperature, rules: &Rules) -> Hot {
        let over = self.liquid.over(temperature);
        let lying = Lying { liquid: self.liquid, temperature, air: Air { temperature, pressure: self.low } };
        let can = lying.can_be_lit(&over, rules);
        let totals = over.as_ref().map(|over| totals(over)).unwrap_or_default();
        Hot { temperature, swollen: swollen(&self.expansions, temperature), over, totals, can }
    }

    /// What a leak does in a refrigerator.
    fn cold(&self, rules: &Rules) -> Cold {
        let temperature = si::celsius(rules.number("refrigerator_temperature"));
        let air = Air { temperature, pressure: self.low };
        let over = self.liquid.over(temperature);
        let can = Lying { liquid: self.liquid, temperature, air }.can_be_lit(&over, rules);
        let vapour = self.liquid.compositions.iter().map(|one| {
            one.density()
                .rising(|density| vapour_per_liquid(density, one.molar_mass(), air) * one.fuel_fraction())
        });
        Cold {
            can,
            saturated: vapour_space::saturated(self.liquid, self.low, &over).ok(),
            vapour: spanning(vapour).unwrap_or_else(|| Estimate::exact(si::fraction(0.0))),
        }
    }

    /// What builds up inside, kPa: at the best figures and at the ends; `None` where liquid may fill the container.
    fn gauge(&self, closed: &[Estimate<Pressure>], hot: &Hot, fill: f64) -> Option<Estimate<f64>> {
        let one = |place: usize| -> Option<Estimate<f64>> {
            let (before, after) = (closed.get(place)?, hot.totals.get(place)?);
            let (cold, warm) = (self.cold.get(place)?, hot.swollen.get(place)?);
            let at = |vapours: (Pressure, Pressure), (cold, warm): (f64, f64), fill: f64| {
                let inside = |temperature, vapour, volume: f64| Inside {
                    temperature,
                    vapour,
                    filled: si::fraction(fill * volume / self.capacity),
                };
                let closed = inside(self.filled_at, vapours.0, cold);
                let open = inside(hot.temperature, vapours.1, warm);
                filling::gauge_pressure(self.high, closed, open).map(si::in_kilopascal)
            };
            let [best, least, most] = [0, 1, 2].map(|bound| (cold.get(bound), warm.get(bound)));
            let both = |(cold, warm): (Option<&f64>, Option<&f64>)| Some((*cold?, *warm?));
            let (best, ends) = (both(best)?, [both(least)?, both(most)?]);
            let value = at((before.value, after.value), best, fill)?;
            let high = ends.map(|end| at((before.low, after.high), end, fill * denser(end.0)));
            let low = ends.map(|end| at((before.high, after.low), end, fill));
            let ([high, other_high], [low, other_low]) = (high, low);
            Some(Estimate::new(value, low?.min(other_low?), high?.max(other_high?)))
        };
        let all: Option<Vec<_>> = (0..self.cold.len()).map(one).collect();
        spanning(all?.into_iter())
    }

    fn degree_check(&self, known: &Known, fill: f64, rules: &Rules) -> Check {
        let compared = Compared {
            check: DEGREE,
            question: NAME,
            value: percents(self.share(fill, &self.cold)),
            limit: significant(known.degree * 100.0, 12),
            unit: "%",
            must_be: MustBe::AtMost,
            grounds: rules.grounds("filling_share_hot"),
            evidence: known.evidence,
        };
        let value = draft::estimate(compared.value, "%");
        Check { value: Some(value), ..compared.decided() }
    }

    /// The pressure inside; in kelvins where the liquid comes too near its boiling point, in per cent where it fills the
    /// container.
    fn closed_check(&self, known: &Known, hot: &Hot, fill: f64, rules: &Rules) -> Check {
        let limit = rules.number("closed_gauge_pressure");
        let unknown = |reason: &str| {
            let limit = Quantity::exact(limit, "kPa");
            not_assessed(CLOSED, NAME, limit, MustBe::AtMost, rules.grounds("closed_gauge_pressure"), reason)
        };
        let compared = |value, limit, unit, must_be, rule| {
            let grounds = rules.grounds(rule);
            let evidence = Evidence::Estimated;
            let check = CLOSED;
            Compared { check, question: NAME, value, limit, unit, must_be, grounds, evidence }.decided()
        };
        if let Some(margin) = self.margin(known, hot) {
            let rule = "closed_boiling_margin";
            let made = compared(margin, rules.number(rule), "K", MustBe::AtLeast, rule);
            if made.status == Outcome::OverLimit {
                return made;
            }
        }
        let (Ok(closed), Ok(_)) = (&known.closed, &hot.over) else {
            return unknown(
                "the vapour pressure of this mixture is not known: parameters of a pair of groups are missing",
            );
        };
        let near_boiling = |total: &Estimate<Pressure>| total.high >= self.low * FAR_FROM_BOILING;
        if known.boiling.is_none() && hot.totals.iter().any(near_boiling) {
            return unknown("no published equation reaches its boiling point");
        }
        match self.gauge(closed, hot, fill) {
            Some(gauge) => compared(gauge, limit, "kPa", MustBe::AtMost, "closed_gauge_pressure"),
            None => {
                let (cold, hot) = (self.share(fill, &self.cold), self.share(fill, &hot.swollen));
                let share = percents(if cold.high > hot.high { cold } else { hot });
                // Full to the last bit is full.
                let share = Estimate { high: share.high.max(100.0 + 1e-6), ..share };
                compared(share, 100.0, "%", MustBe::AtMost, "closed_gauge_pressure")
            }
        }
    }

    /// How far the highest temperature lies below the boiling point, K.
    fn margin(&self, known: &Known, hot: &Hot) -> Option<Estimate<f64>> {
        let below = |boiling| si::in_kelvin_difference(interval(hot.temperature, boiling));
        known.boiling.map(|boiling| boiling.rising(below))
    }

    /// A fill to act on: at most this, of two digits, and within both limits.
    fn rounded(&self, fill: f64, known: &Known, hot: &Hot, rules: &Rules) -> f64 {
        // Just below a round figure by noise alone it is that figure, where that holds.
        let round = cautious_down(significant(fill, 11));
        if self.holds(round, known, hot, rules) { round } else { cautious_down(fill) }
    }

    /// Whether a fill is within its degree and the pressure inside.
    fn holds(&self, fill: f64, known: &Known, hot: &Hot, rules: &Rules) -> bool {
        let within = |check: Check| check.status < Outcome::NotAssessed;
        within(self.degree_check(known, fill, rules)) && within(self.closed_check(known, hot, fill, rules))
    }

    /// The largest fill, mL, by its degree alone.
    fn largest_by_degree(&self, known: &Known) -> f64 {
        let whole = self.share(self.capacity, &self.cold).high;
        let largest = self.capacity * known.degree / whole;
        // A volume at 20 Cel is no larger than the capacity.
        largest.min(self.capacity)
    }

    /// The largest fill, mL, by its degree and the pressure inside.
    fn largest(&self, known: &Known, hot: &Hot, rules: &Rules) -> Option<f64> {
        let holds = |fill: f64| self.holds(fill, known, hot, rules);
        // A hair below, so that rounding does not decide.
        let most = self.largest_by_degree(known) * (1.0 - 1e-12);
        if holds(most) {
            return Some(most);
        }
        let (mut low, mut high) = (self.capacity * LEAST_SHARE, most);
        if !holds(low) {
            return None;
        }
        for _ in 0..HALVINGS {
            let middle = f64::midpoint(low, high);
            if holds(middle) { low = middle } else { high = middle }
        }
        Some(low)
    }

    /// The rule of the most that is kept in cupboards.
    fn cupboard_rule(&self, known: &Known, hot: &Hot, rules: &Rules) -> Option<&'static str> {
        if !known.burns {
            return None;
        }
        let low_flash = "cupboard_limit_low_flash";
        let light = known.category.is_some_and(|category| category <= 2);
        match known.flash {
            _ if light => Some(low_flash),
            Ok(flash) if flash <= hot.temperature => Some(low_flash),
            Ok(flash) if si::in_celsius(flash) <= rules.number("cupboard_flash_point") => {
                Some("cupboard_limit_other")
            }
            Ok(_) | Err(true) => known.category.map(|_| "cupboard_limit_other"),
            // It can burn, but at which temperature is not known.
            Err(false) => Some(low_flash),
        }
    }

    fn held_check(&self, known: &Known, hot: &Hot, tried: Tried, rules: &Rules) -> Option<Check> {
        let rule = self.cupboard_rule(known, hot, rules)?;
        let limit = rules.number(rule);
        let own = self.capacity / 1000.0;
        if tried.held.is_none() && own <= limit {
            return None;
        }
        let compared = Compared {
            check: HELD,
            question: NAME,
            value: Estimate::exact(significant(own + tried.held.unwrap_or(0.0), 12)),
            limit,
            unit: "L",
            must_be: MustBe::AtMost,
            grounds: rules.grounds(rule),
            evidence: Evidence::Measured,
        };
        Some(compared.decided())
    }

    fn distance_check(&self, hot: &Hot, tried: Tried, rules: &Rules) -> Option<Check> {
        let distance = tried.ignition.and_then(Ignition::distance)?;
        if matches!(hot.can, CanBeLit::NotFlammable(_) | CanBeLit::TooCold(_)) {
            return None;
        }
        let rule = "closed_stock_distance";
        let compared = Compared {
            check: DISTANCE,
            question: NAME,
            value: Estimate::exact(si::in_metre(distance)),
            limit: rules.number(rule),
            unit: "m",
            must_be: MustBe::AtLeast,
            grounds: rules.grounds(rule),
            evidence: Evidence::Measured,
        };
        Some(compared.decided())
    }

    /// Share of vapour by volume in a refrigerator into which a fill leaked.
    fn in_refrigerator(&self, cold: &Cold, fill: f64, rules: &Rules) -> Estimate<Ratio> {
        let inside = si::litre(rules.number("refrigerator_volume"));
        let all = cold.vapour.rising(|vapour| si::millilitre(fill) * vapour / inside);
        let denser = self.cold.iter().flatten().map(|volume| denser(*volume)).fold(1.0, f64::max);
        let all = Estimate { high: all.high * denser, ..all };
        let least = |a: Ratio, b: Ratio| if a < b { a } else { b };
        match cold.saturated {
            Some(most) => Estimate::new(
                least(all.value, most.value),
                least(all.low, most.low),
                least(all.high, most.high),
            ),
            None => all,
        }
    }

    /// Over the limit whatever the amount: other bottles stand there, too, and an even mixture is not what a leak makes.
    fn refrigerator_check(&self, known: &Known) -> Option<Check> {
        let cold = known.cold.as_ref().filter(|_| !self.spark_free)?;
        let grounds = Grounds {
            kind: BasisKind::Judgement,
            text: "No liquid whose vapour can be lit at the temperature of a refrigerator stands in one with ignition sources inside, whatever the amount; `\"spark_free\": true` says that its maker states that there are none.".into(),
            source: Some("judgement".into()),
            confirmed: false,
        };
        match &cold.can {
            CanBeLit::NotFlammable(_) | CanBeLit::TooCold(_) => None,
            CanBeLit::NoLimit => Some(not_assessed(
                VAPOUR,
                NAME,
                Quantity::exact(0.0, "1"),
                MustBe::AtMost,
                grounds,
                "no trusted lower flammable limit is published for this liquid; keep it out of a household refrigerator",
            )),
            CanBeLit::Yes(_) => {
                let compared = Compared {
                    check: VAPOUR,
                    question: NAME,
                    value: Estimate::exact(1.0),
                    limit: 0.0,
                    unit: "1",
                    must_be: MustBe::AtMost,
                    grounds,
                    evidence: Evidence::Estimated,
                };
                Some(compared.decided())
            }
        }
    }

    /// Whether its vapour can be lit, or it flashes so low that the limits of cupboards count.
    fn lights(&self, known: &Known, hot: &Hot, rules: &Rules) -> bool {
        matches!(hot.can, CanBeLit::Yes(_) | CanBeLit::NoLimit)
            || self.cupboard_rule(known, hot, rules).is_some()
    }

    /// The most of it that stands on a bench, mL.
    fn bench_limit(&self, known: &Known, hot: &Hot, rules: &Rules) -> Option<f64> {
        let counts = self.place == Some(StoragePlace::Bench) && self.lights(known, hot, rules);
        counts.then(|| rules.number("bench_amount"))
    }

    fn bench_check(&self, known: &Known, hot: &Hot, tried: Tried, rules: &Rules) -> Option<Check> {
        let compared = Compared {
            check: BENCH,
            question: NAME,
            value: Estimate::exact(self.filled.map_or(self.capacity, |_| tried.fill)),
            limit: self.bench_limit(known, hot, rules)?,
            unit: "mL",
            must_be: MustBe::AtMost,
            grounds: rules.grounds("bench_amount"),
            evidence: Evidence::Measured,
        };
        Some(compared.decided())
    }

    fn apart_check(&self) -> Option<Check> {
        let beside = self.beside.as_deref();
        if beside.is_none() && self.parts_apart.is_empty() {
            return None;
        }
        let neighbours = advice::neighbours_apart(self.liquid, beside.unwrap_or_default()).len();
        let found = self.parts_apart.len() + neighbours;
        let compared = Compared {
            check: APART,
            question: NAME,
            value: Estimate::exact(f64::from(u32::try_from(found).unwrap_or(u32::MAX))),
            limit: 0.0,
            unit: "1",
            must_be: MustBe::AtMost,
            grounds: Grounds {
                kind: BasisKind::Judgement,
                text: "So many pairs of parts in one container react with each other, and neighbours react with it or feed its fire; families of hazards from memory.".into(),
                source: Some("memory".into()),
                confirmed: false,
            },
            evidence: Evidence::Estimated,
        };
        Some(compared.decided())
    }

    /// What the container is made of, where it is known not to hold the liquid.
    fn material_check(&self) -> Option<Check> {
        let material = self.material?;
        let organic = self.liquid.substances().any(|substance| substance.id != "water");
        let bad = match material.id.as_str() {
            "soluble_plastic" => organic,
            "combustible" => true,
            "aluminium" => heating::halogenated(self.liquid),
            _ => return None,
        };
        let text = if material.id == "aluminium" {
            "Aluminium reacts with halogenated solvents, at times violently (from memory)."
        } else {
            "Solvents dissolve, soften or craze such plastics, and soak through wood, paper and cloth (from memory): glass, metal, or what the supplier of the liquid names."
        };
        let compared = Compared {
            check: MATERIAL,
            question: NAME,
            value: Estimate::exact(f64::from(u8::from(bad))),
            limit: 0.0,
            unit: "1",
            must_be: MustBe::AtMost,
            grounds: Grounds {
                kind: BasisKind::Judgement,
                text: text.into(),
                source: Some("memory".into()),
                confirmed: false,
            },
            evidence: Evidence::Estimated,
        };
        Some(compared.decided())
    }

    fn age_check(&self, known: &Known, rules: &Rules) -> Option<Check> {
        let rule = known.peroxides?.rule(self.peroxides_tested);
        let compared = Compared {
            check: AGE,
            question: NAME,
            value: Estimate::exact(self.opened_for?),
            limit: rules.number(rule),
            unit: "d",
            must_be: MustBe::AtMost,
            grounds: rules.grounds(rule),
            evidence: Evidence::Measured,
        };
        Some(compared.decided())
    }

    /// Why no amount of it is kept so.
    fn none_at_all(&self, known: &Known) -> Option<&'static str> {
        if !self.parts_apart.is_empty() {
            return Some("its parts react with each other: no amount of them is kept in one container");
        }
        match self.refrigerator_check(known)?.status {
            Outcome::OverLimit => Some(
                "no amount of it is kept in a refrigerator with ignition sources inside: its vapour can be lit there",
            ),
            _ => Some("whether its vapour can be lit in this refrigerator is not known"),
        }
    }

    fn check(&self, id: &str, known: &Known, hot: &Hot, tried: Tried, rules: &Rules) -> Option<Check> {
        match id {
            DEGREE => Some(self.degree_check(known, tried.fill, rules)),
            CLOSED => Some(self.closed_check(known, hot, tried.fill, rules)),
            HELD => self.held_check(known, hot, tried, rules),
            BENCH => self.bench_check(known, hot, tried, rules),
            APART => self.apart_check(),
            DISTANCE => self.distance_check(hot, tried, rules),
            VAPOUR => self.refrigerator_check(known),
            MATERIAL => self.material_check(),
            _ => self.age_check(known, rules),
        }
    }

    fn checks(&self, known: &Known, hot: &Hot, tried: Tried, rules: &Rules) -> Vec<Check> {
        let all = [DEGREE, CLOSED, HELD, BENCH, APART, DISTANCE, VAPOUR, MATERIAL, AGE];
        all.into_iter().filter_map(|id| self.check(id, known, hot, tried, rules)).collect()
    }

    /// What is tried after a change.
    fn changed<'h>(
        &self,
        hot: &'h Hot,
        tried: Tried,
        change: &Change,
        to: f64,
        rules: &Rules,
    ) -> (Cow<'h, Hot>, Tried) {
        match change.field {
            "/container/filled" => (Cow::Borrowed(hot), Tried { fill: to, ..tried }),
            "/highest_temperature" => (Cow::Owned(self.hot(si::celsius(to), rules)), tried),
            "/nearest_ignition" => {
                (Cow::Borrowed(hot), Tried { ignition: Some(Ignition::Stated(si::metre(to))), ..tried })
            }
            _ => (Cow::Borrowed(hot), Tried { held: Some(to), ..tried }),
        }
    }
}

fn percents(share: Estimate<f64>) -> Estimate<f64> {
    share.rising(|share| share * 100.0)
}

/// Whether a change can mend a check.
fn bears(change: &Change, check: &str) -> bool {
    match change.field {
        "/container/filled" => matches!(check, DEGREE | CLOSED | BENCH),
        "/highest_temperature" => matches!(check, CLOSED | HELD | BENCH | DISTANCE),
        "/nearest_ignition" => check == DISTANCE,
        _ => check == HELD,
    }
}

fn remedies(
    question: &Question<'_>,
    known: &Known,
    hot: &Hot,
    (asked, as_asked): (&AskedOf, Tried),
    draft: &mut Draft,
    rules: &Rules,
) {
    let mut changes = Vec::new();
    if let Some(fill) = &asked.fill {
        changes.push(Change {
            change: "amount",
            field: "/container/filled",
            unit: fill.unit,
            from: fill.number,
            furthest: fill.number / FURTHEST_SHARE,
            text: ("Fill in at most ", ""),
        });
    }
    if asked.highest > COLDEST_CEL {
        changes.push(Change {
            change: "heating",
            field: "/highest_temperature",
            unit: "Cel",
            from: asked.highest,
            furthest: COLDEST_CEL,
            text: ("Keep it at or below ", ""),
        });
    }
    if let Some(distance) = as_asked.ignition.and_then(Ignition::distance) {
        changes.push(Change {
            change: "distance",
            field: "/nearest_ignition",
            unit: "m",
            from: si::in_metre(distance),
            furthest: FURTHEST_M,
            text: ("Keep ignition sources at least ", " away"),
        });
    }
    if let Some(held) = as_asked.held.filter(|held| *held > 0.0) {
        changes.push(Change {
            change: "amount",
            field: "/held_in_room",
            unit: "L",
            from: held,
            furthest: held / FURTHEST_SHARE,
            text: ("Hold at most ", " beside it in the room"),
        });
    }
    for place in 0..draft.checks.len() {
        let Some(check) = draft.checks.get(place).filter(|check| check.status == Outcome::OverLimit) else {
            continue;
        };
        let id = check.check.clone();
        let bearing: Vec<Change> = changes.iter().copied().filter(|change| bears(change, &id)).collect();
        let remedy = remedy::smallest_of(
            &bearing,
            |change, to| {
                let (hot, tried) = question.changed(hot, as_asked, change, to, rules);
                // A check that the change makes needless is no longer over its limit.
                let made = question.check(&id, known, hot.as_ref(), tried, rules);
                Some(made.map_or(Outcome::WithinLimit, |check| check.status))
            },
            |change, to| {
                let (hot, tried) = question.changed(hot, as_asked, change, to, rules);
                let made = question.checks(known, hot.as_ref(), tried, rules);
                made.iter().map(|check| check.status).max()
            },
        );
        if let Some(check) = draft.checks.get_mut(place) {
            check.remedy = remedy;
        }
    }
}

fn compose(
    question: &Question<'_>,
    known: &Known,
    hot: &Hot,
    asked: &AskedOf,
    scope: &mut Scope,
    request: Group,
) -> Option<Composed> {
    let mut draft = scope.draft_taken();
    let rules = &scope.rules;
    let stored = question.liquid;
    let most_on_bench = question.bench_limit(known, hot, rules).unwrap_or(f64::INFINITY);
    let largest = question.largest(known, hot, rules).map(|largest| largest.min(most_on_bench));
    let largest = largest.map(|largest| (largest, question.rounded(largest, known, hot, rules)));
    let by_degree = cautious_down(question.largest_by_degree(known));
    let proposed = largest.map_or(by_degree, |(_, rounded)| rounded);
    let fill = question.filled.unwrap_or(proposed);
    // Where no amount is within the limits none is proposed.
    let none_at_all = question.none_at_all(known);
    let tried = Tried { fill, ignition: question.ignition, held: question.held };
    draft.checks = question.checks(known, hot, tried, rules);
    if draft.whole {
        remedies(question, known, hot, (asked, tried), &mut draft, rules);
    }
    if question.filled.is_none() {
        let which = match (largest.is_some(), none_at_all.is_some()) {
            (false, _) => "the largest fill by its degree alone",
            (true, true) => "the largest fill by its degree and the pressure inside alone",
            (true, false) => "the largest fill",
        };
        draft.assume(
            "largest_fill",
            format!("What is in the container is not given: {which} is checked, {fill} mL."),
        );
    }
    let proposes = largest.filter(|_| none_at_all.is_none());
    if let Some(why) = none_at_all {
        for pointer in ["/largest_fill", "/largest_fill_share"] {
            draft.not_given(pointer, why);
        }
    } else if largest.is_none() {
        let why = question.closed_check(known, hot, question.capacity * LEAST_SHARE, rules);
        let why = match (why.reason, why.limit.unit.as_ref()) {
            (Some(reason), _) => reason,
            (None, "K") => {
                "no fill: at its highest temperature it comes too near its boiling point".to_owned()
            }
            _ => "no fill keeps the pressure inside within its limit at the highest temperature".to_owned(),
        };
        for pointer in ["/largest_fill", "/largest_fill_share"] {
            draft.not_given(pointer, why.clone());
        }
    }
    let (apart, conflicts) = say(question, known, hot, &mut draft, rules);
    let gas = question.share(fill, &hot.swollen).falling(|share| (1.0 - share).max(0.0) * 100.0);
    let pressure = known.closed.as_ref().ok().and_then(|closed| question.gauge(closed, hot, fill));
    if pressure.is_none() {
        let why = if known.closed.is_err() || hot.over.is_err() {
            "its vapour pressure is not known there"
        } else {
            "liquid may fill the container"
        };
        draft.not_given("/pressure_at_highest", why);
    }
    let cold = known.cold.as_ref().filter(|cold| matches!(cold.can, CanBeLit::Yes(_)));
    let cupboard = question.cupboard_rule(known, hot, rules).map(|rule| rules.number(rule));
    let verdict = draft.verdict(NAME, stored, rules, |draft| {
        sentence(question, hot, (fill, gas, proposes.is_some()), &conflicts, draft, rules)
    });
    let record = record(&draft, request).ok()?;
    let share = |(largest, _): (f64, f64)| {
        let share = percents(question.share(largest, &question.cold));
        Quantity::exact(cautious_down(share.low), "%")
    };
    let reply = StorageReply {
        verdict: Verdict::clone(&verdict),
        liquid: liquid::echo(stored),
        largest_fill: proposes.map(|(_, rounded)| Quantity::exact(rounded, "mL")),
        largest_fill_share: proposes.map(share),
        ullage_at_highest: draft::estimate(gas, "%"),
        pressure_at_highest: pressure.map(|pressure| draft::estimate(pressure, "kPa")),
        flammable_liquid_category: known.category,
        cupboard_limit: cupboard.map(|limit| Quantity::exact(limit, "L")),
        vapour_in_refrigerator: cold.map(|cold| {
            draft::estimate(question.in_refrigerator(cold, fill, rules).rising(si::in_percent), "%")
        }),
        keep_apart: apart,
        peroxide_former: known.peroxides.is_some(),
        peroxide_advice: known.peroxides.map(|group| group.advice().into()),
        static_charge: advice::charge(stored),
        waste: advice::waste(stored, known.peroxides.is_some()),
        basis: draft.finish(stored, rules, record),
    };
    Some(Composed::of(reply, &verdict))
}

/// Says what the reply rests on; what the liquid is kept apart from, and which of it is not.
fn say(
    question: &Question<'_>,
    known: &Known,
    hot: &Hot,
    draft: &mut Draft,
    rules: &Rules,
) -> (Vec<KeepApart>, Vec<Text>) {
    let stored = question.liquid;
    draft.molar_mass(stored);
    draft.figures(stored, "density", |substance| Some(&substance.density));
    for substance in stored.substances() {
        let name = &substance.expansion.set.name;
        if let Some(equation) = substance.file.density.iter().find(|equation| equation.set == *name) {
            let seen = crate::catalogue::source::seen(&equation.seen).unwrap_or(Seen::Memory);
            draft.source(&equation.source, "density", seen);
        }
    }
    draft.figures(stored, "boiling_point", |substance| substance.boiling_point.as_ref());
    if let Some(usual) = hot.over.as_ref().ok().and_then(|over| over.first()) {
        vapour_space::say_vapour(draft, stored, usual);
    }
    if si::in_celsius(question.filled_at) < 20.0 {
        draft.assume(
            "filled_read_cold",
            "`filled` is a volume at 20 Cel; one that was measured where it is filled, colder than that, holds more: the checks take the less favourable of both.",
        );
    }
    for method in ["degree_of_filling", "liquid_expansion", "closed_pressure", "boiling_point"] {
        draft.method(method);
    }
    for rule in ["filling_share_hot", "closed_gauge_pressure", "closed_boiling_margin"] {
        draft.assume_rule(rule, rules);
    }
    if known.evidence == Evidence::Extrapolated {
        draft.assume(
            "density_outside_range",
            "A density was carried beyond the range of its equation; what the liquid expands by is widened by 20 %.",
        );
    }
    draft.source("memory", "hazard_notes", Seen::Memory);
    draft.consider(DEGREE);
    draft.consider(CLOSED);
    say_amount(question, known, hot, draft, rules);
    say_fire(question, known, hot, draft, rules);
    let mut apart = advice::families_apart(stored);
    for pair in &question.parts_apart {
        let reason = Text::Owned(format!("in one container: {}", pair.reason));
        apart.push(KeepApart { with: pair.with.clone(), reason });
    }
    let neighbours = advice::neighbours_apart(stored, question.beside.as_deref().unwrap_or_default());
    let conflicts: Vec<Text> =
        question.parts_apart.iter().chain(&neighbours).map(|pair| pair.with.clone()).collect();
    apart.extend(neighbours);
    let tinder = advice::tinder(question.beside.as_deref().unwrap_or_default());
    if !tinder.is_empty() {
        let text = format!(
            "Keep a cupboard for flammable liquids free of {}: it feeds a fire (common practice, no source).",
            tinder.join(", ")
        );
        draft.caution("feeds_a_fire", text);
    }
    if question.beside.is_some() || !question.parts_apart.is_empty() {
        draft.consider(APART);
    } else {
        draft.not_considered(APART, "give `beside`, a list of what stands next to it");
    }
    match (known.peroxides, question.opened_for) {
        (Some(group), Some(_)) => {
            draft.consider(AGE);
            draft.assume_rule(group.rule(question.peroxides_tested), rules);
        }
        (Some(_), None) => draft.not_considered(AGE, "give `opened_for`, the time since it was opened"),
        (None, _) => draft.outside(AGE, "it is not listed as a former of peroxides (from memory)"),
    }
    if known.peroxides.is_some() && question.peroxides_tested {
        draft.assume("peroxides_tested", "A test found no peroxides, as the request says.");
    }
    let plain = question.material.is_some_and(|material| material.kind == Kind::MeltsOrBurns);
    if question.material_check().is_some() {
        draft.consider(MATERIAL);
    } else if plain {
        draft.not_considered(
            MATERIAL,
            "whether this plastic holds this liquid is not judged: see the supplier's data sheet",
        );
    } else {
        draft.outside(
            MATERIAL,
            "whether the material of container and cap holds this liquid is not judged: see the supplier's data sheet",
        );
    }
    let text = question.material_text.as_deref().map(str::to_lowercase).unwrap_or_default();
    if ["beaker", "dish", "open", "tray", "jug", "bowl"].iter().any(|word| text.contains(word)) {
        draft.caution(
            "closed_only",
            "Only a closed container is judged here: what stands open gives off vapour (see `evaporation` and `safe-fill`).",
        );
    }
    let charge = advice::charge(stored);
    let is = |kind: Kind| question.material.is_some_and(|material| material.kind == kind);
    if is(Kind::MeltsOrBurns) && stored.substances().any(|substance| substance.id != "water") {
        draft.caution(
            "plastic_and_solvents",
            "Many organic solvents soften, swell or dissolve plastics, or pass through them: only a container that the supplier of the liquid names for it.",
        );
    }
    if known.burns && advice::keeps_charge(&charge) {
        if is(Kind::MeltsOrBurns) {
            draft.caution("plastic_container", "A plastic container keeps the charge of a liquid that conducts badly or is not listed: use glass or metal that is bonded and earthed, or small amounts poured slowly.");
        }
        if is(Kind::Ductile) {
            draft.caution(
                "earth_metal",
                "Bond a metal container to the one that is filled from it, and earth both, before pouring.",
            );
        }
    }
    match (question.place, question.bench_limit(known, hot, rules)) {
        (_, Some(_)) => {
            draft.consider(BENCH);
            draft.assume_rule("bench_amount", rules);
            if question.filled.is_none() {
                draft.assume(
                    "bench_capacity",
                    "What is filled in is not given: on a bench the container counts with its whole capacity.",
                );
            }
        }
        (None, None) if question.lights(known, hot, rules) => {
            draft.not_considered(BENCH, "give `place`: on a bench stands no more than a lesson needs");
        }
        (Some(StoragePlace::Bench) | None, None) => draft.outside(
            BENCH,
            "its vapour cannot be lit at its highest temperature, and it flashes above those that count",
        ),
        (Some(_), None) => draft.outside(BENCH, "it does not stand on a bench"),
    }
    if question.place == Some(StoragePlace::Bench) && known.burns {
        draft.caution(
            "bench",
            "On a bench stands what the lesson needs, no more; the stock goes back to its cupboard.",
        );
    }
    (apart, conflicts)
}

fn say_amount(question: &Question<'_>, known: &Known, hot: &Hot, draft: &mut Draft, rules: &Rules) {
    let Some(rule) = question.cupboard_rule(known, hot, rules) else {
        let why = if known.burns {
            "it flashes above the temperature up to which the limits of cupboards count"
        } else {
            "it does not burn"
        };
        return draft.outside(HELD, why);
    };
    draft.assume_rule(rule, rules);
    draft.assume_rule("cupboard_flash_point", rules);
    draft.method("category");
    if known.category == Some(1) && question.liquid.substance().is_none() {
        draft.assume(
            "mixture_category",
            "The category of a mixture counts at the less favourable ends, with 5 K to spare: category 1 may be 2 by a test.",
        );
    }
    draft.figures(question.liquid, "flash_point", |substance| substance.flash_point.as_ref());
    if known.flash == Err(false) {
        draft.assume(
            "unknown_flash_point",
            "It can burn, but no flash point is published: the lower limit of cupboards is taken.",
        );
    }
    if draft.checks.iter().any(|check| check.check == HELD) {
        draft.consider(HELD);
        draft.assume(
            "capacity_counts",
            "A container counts with its whole capacity against what is held in the room.",
        );
    } else {
        draft.not_considered(HELD, "give `held_in_room`, what is held there already");
    }
}

fn say_fire(question: &Question<'_>, known: &Known, hot: &Hot, draft: &mut Draft, rules: &Rules) {
    match (&hot.can, question.ignition) {
        (CanBeLit::NotFlammable(reason), _) => draft.outside(DISTANCE, reason.clone()),
        (CanBeLit::TooCold(_), _) => draft.outside(
            DISTANCE,
            "at its highest temperature it lies below its flash point by more than the margin",
        ),
        (_, None) => draft.not_considered(DISTANCE, "give `nearest_ignition`, or say that there is none"),
        (_, Some(Ignition::None)) => {
            draft.outside(DISTANCE, "there is no ignition source in the room, as the request says");
        }
        (_, Some(_)) => {
            draft.consider(DISTANCE);
            draft.assume_rule("closed_stock_distance", rules);
        }
    }
    let Some(cold) = &known.cold else {
        if !known.burns {
            draft.outside(VAPOUR, "it does not burn");
        } else if question.place.is_none() {
            draft.not_considered(VAPOUR, "give `place`: in a refrigerator a leak can be lit");
        } else {
            draft.outside(VAPOUR, "it does not stand in a refrigerator");
        }
        return;
    };
    draft.assume_rule("refrigerator_temperature", rules);
    if question.spark_free && known.burns {
        draft.assume(
            "spark_free",
            "The refrigerator has no ignition source inside, as the request says that its maker states.",
        );
        return draft.outside(VAPOUR, "there is no ignition source inside, as the request says");
    }
    match &cold.can {
        CanBeLit::NotFlammable(reason) => draft.outside(VAPOUR, reason.clone()),
        CanBeLit::TooCold(_) => draft.outside(
            VAPOUR,
            "in a refrigerator it lies below its flash point by more than the margin: its vapour cannot be lit",
        ),
        CanBeLit::NoLimit | CanBeLit::Yes(_) => {
            draft.consider(VAPOUR);
            draft.assume_rule("refrigerator_volume", rules);
            draft.method("vapour_in_refrigerator");
            draft.figures(question.liquid, "lower_flammable_limit", |substance| {
                substance.lower_limit.as_ref()
            });
            draft.caution("household_refrigerator", "Thermostat, lamp and fan of a household refrigerator are ignition sources: liquids whose vapour can be lit stand only in one without any inside, which the request says with `\"spark_free\": true`; that there is none in the room does not say it.");
        }
    }
}

/// The check that decides; one over its limit that has no ratio lies furthest beyond it.
fn worst(draft: &Draft, reacts: bool) -> Option<&Check> {
    let beyond = |check: &Check| match check.ratio {
        None if check.status == Outcome::OverLimit => f64::INFINITY,
        ratio => ratio.unwrap_or(0.0),
    };
    // What reacts in the container comes before all else.
    let first = |check: &Check| reacts && check.check == APART;
    let order = |check: &Check| ((check.status, first(check)), beyond(check));
    // Of equals the first.
    draft.checks.iter().rev().max_by(|a, b| {
        let ((status, ratio), (other, other_ratio)) = (order(a), order(b));
        status.cmp(&other).then(ratio.total_cmp(&other_ratio))
    })
}

fn sentence(
    question: &Question<'_>,
    hot: &Hot,
    (fill, gas, proposed): (f64, Estimate<f64>, bool),
    conflicts: &[Text],
    draft: &Draft,
    rules: &Rules,
) -> String {
    let name = draft::named(question.liquid);
    let worst = worst(draft, !question.parts_apart.is_empty());
    let marks = draft::marks(worst);
    let celsius = significant(si::in_celsius(hot.temperature), 4);
    let amount = significant(fill, 4);
    let capacity = significant(question.capacity, 4);
    let holds = if question.filled.is_some() {
        format!("{amount} mL of {name} in {capacity} mL")
    } else if !proposed {
        format!("any fill of {name} in {capacity} mL")
    } else {
        format!("{name} in {capacity} mL, at the largest fill of {amount} mL")
    };
    let end = |check: &Check| check.value.as_ref().map_or(0.0, |value| value.high.unwrap_or(value.value));
    let must = match (draft.outcome(), worst) {
        (Outcome::OverLimit, Some(check)) => {
            let unit = check.limit.unit.as_ref();
            let what = match (check.check.as_ref(), unit) {
                (DEGREE, _) => format!(
                    "{} % full, past {} %",
                    significant(end(check), 3),
                    significant(check.limit.value, 3)
                ),
                (CLOSED, "K") => {
                    format!("too near its boiling point at {celsius} Cel for a closed container")
                }
                (CLOSED, "%") => format!("liquid may fill the container at {celsius} Cel"),
                (CLOSED, _) => format!("up to {} kPa builds up at {celsius} Cel", significant(end(check), 2)),
                (BENCH, _) => {
                    format!("{} mL on a bench, past {} mL", significant(end(check), 4), check.limit.value)
                }
                (HELD, _) => {
                    format!("{} L in the room, past {} L", significant(end(check), 3), check.limit.value)
                }
                (APART, _) => {
                    let first = conflicts.first().map_or("its neighbour", AsRef::as_ref);
                    let more = match conflicts.len() {
                        0 | 1 => String::new(),
                        all => format!(" and {} more", all - 1),
                    };
                    let together =
                        if question.parts_apart.is_empty() { "beside" } else { "in one container:" };
                    format!("not {together} {first}{more}")
                }
                (DISTANCE, _) => "too near an ignition source".to_owned(),
                (MATERIAL, _) => "not in a container of this material".to_owned(),
                (VAPOUR, _) => "a leak in this refrigerator can be lit".to_owned(),
                _ => "open longer than a former of peroxides is kept".to_owned(),
            };
            let change = match (check.remedy.as_ref(), check.check.as_ref()) {
                (Some(remedy), _) => remedy.text.as_str(),
                (None, APART) => "Keep them apart.",
                (None, BENCH) if question.filled.is_none() => "Give `filled`, or take a smaller bottle.",
                (None, MATERIAL) => "Keep it in glass, metal, or what its supplier names.",
                (None, AGE) => "Test it, or discard it.",
                (None, VAPOUR) => "Keep it elsewhere, or in one that is `spark_free`.",
                (None, _) => "No single change mends it.",
            };
            format!("Over the limit: {holds}: {what}{marks}. {change}")
        }
        (Outcome::NotAssessed, Some(check)) => {
            let what =
                if check.check == CLOSED { "the pressure inside" } else { "a leak in the refrigerator" };
            format!("Not assessed: {holds}: {what} is not known{marks}.")
        }
        (Outcome::NearLimit, _) if question.filled.is_none() => format!(
            "At most {amount} mL of {name} in {capacity} mL: {} % stay free at {celsius} Cel; near the limit by nature{marks}.",
            cautious_down(gas.low)
        ),
        (outcome, _) => {
            let head =
                if outcome == Outcome::NearLimit { "Near the limit" } else { "Within the limits checked" };
            format!("{head}: {holds}: {} % stay free at {celsius} Cel{marks}.", cautious_down(gas.low))
        }
    };
    if draft.complete() {
        return draft::sentence(rules, &must, "", "");
    }
    let can = !matches!(hot.can, CanBeLit::NotFlammable(_) | CanBeLit::TooCold(_));
    if question.ignition.is_some() || !can {
        return draft::sentence(rules, &must, "", &format!("{MISSING}."));
    }
    let open = must.strip_suffix('.').unwrap_or(&must);
    let tried = [format!("{must}{MISSING}{FLAMES}"), format!("{open}{FLAMES}")];
    let fits =
        |whole: &String| Some(draft::sentence(rules, whole, "", "")).filter(|said| !said.ends_with('…'));
    tried.iter().find_map(fits).unwrap_or_else(|| draft::sentence(rules, &must, "", ""))
}
