//! `spill`: the whole amount is dropped on the floor of this room.

use super::check::{Compared, not_assessed};
use super::draft::{self, Draft};
use super::evaporation::not_evaporating;
use super::heating::{self, Heating, HeatingAsked};
use super::ignition::{self, CanBeLit, GivenOff, Ignition, IgnitionAsked, Kept, Lying};
use super::reader::{Asked, Either, Fields};
use super::record::{Group, record};
use super::remedy::{self, Change};
use super::room::{Room, RoomAsked, Surroundings};
use super::room_flammable_limit::Effect;
use super::rules::Rules;
use super::source;
use super::{Composed, Scope, field, liquid, vapour_space};
use crate::liquid::evaporation::{Conditions, Course, End, NotEvaporating};
use crate::liquid::vapour::Over;
use crate::liquid::{Composition, Liquid, spanning};
use crate::physics::build_up::BuildUp;
use crate::physics::evaporation::{Moving, Surface};
use crate::physics::near_field;
use crate::physics::room_air::{self, vapour_per_liquid};
use crate::quantity::round::{cautious_down, cautious_up, four_digits};
use crate::quantity::{Estimate, si};
use brimline_openapi::{Check, Evidence, Floor, Grounds, MustBe, Outcome, Quantity, SpillReply, Text};
use uom::si::f64::{Area, Length, Ratio, ThermodynamicTemperature, Velocity, Volume};

/// The question's name.
pub const NAME: &str = "spill";
const REACH: &str = "spill_reach";
const SHARE: &str = "room_share_of_limit";
const BURNING: &str = "burning_spill";
/// The rule of the distance between a flame and the pool of a liquid too cold to be lit.
pub const COLD: &str = "least_ignition_distance";
/// No more air changes are proposed, /h.
const FURTHEST_SHARE: f64 = 1000.0;

/// A spill, defaults filled in.
#[derive(Debug, Clone, Copy)]
pub struct Spilt<'a> {
    /// The liquid.
    pub liquid: &'a Liquid,
    /// The room.
    pub room: Room,
    /// Temperature of the liquid.
    pub temperature: ThermodynamicTemperature,
    /// The floor.
    pub floor: Floor,
}

struct Question<'a> {
    spilt: Spilt<'a>,
    surroundings: Surroundings,
    amount: Estimate<Volume>,
    asked: (f64, &'static str),
    ignition: Ignition,
    speed: Estimate<Velocity>,
    heated_to: Option<ThermodynamicTemperature>,
    heating: Heating,
    /// Whether it burns already.
    alight: bool,
}

/// What the pool does.
struct Pool {
    over: Vec<Over>,
    /// Mass rate, g/s.
    rate: Estimate<f64>,
    /// Vapour of fuel in the first second, at the high end.
    fuel: Volume,
    /// Whether that of a heated liquid that nothing has cooled yet could not be computed.
    hot_unknown: bool,
    /// How it leaves, at best, slowest and fastest; where only checks are wanted, that is none of them.
    courses: Option<[Course; 3]>,
}

/// Reads and answers the question.
pub fn answer(fields: &Fields<'_>, scope: &mut Scope) -> Option<Composed> {
    let asked_liquid = liquid::read(fields, scope.draft.catalogue);
    let room = RoomAsked::read(fields, true);
    fields.required("amount", "how much is dropped, such as \"500 mL\"");
    let amount = fields.either("amount", &field::LIQUID_VOLUME, &field::LIQUID_MASS);
    let floor = fields.word(
        "floor",
        &[("smooth", Floor::Smooth), ("rough", Floor::Rough), ("absorbent", Floor::Absorbent)],
    );
    let heated_to = fields.quantity("heated_to", &field::LIQUID_TEMPERATURE);
    let heating = HeatingAsked::read(fields, asked_liquid.as_ref(), heated_to.as_ref());
    let ignition = IgnitionAsked::read(fields, &room);
    ignition.fits(fields, &heating);
    let speed = fields.quantity("air_speed", &field::AIR_SPEED);
    let alight = fields.switch("alight");
    fields.finish();
    let asked_liquid = asked_liquid.filter(|_| fields.faults().is_empty())?;
    let (rules, draft) = (&scope.rules, &mut scope.draft);
    let mut request = Group::default();
    request.word("question", NAME);
    liquid::record(&asked_liquid, "liquid", &mut request);
    let surroundings = room.surroundings(rules, draft, &mut request);
    room.keeps_liquid(fields, &asked_liquid, surroundings.air);
    let (amount, asked) = match amount? {
        Either::First(volume) => {
            request.quantity("amount", &volume);
            (Estimate::exact(volume.quantity), (volume.number, volume.unit))
        }
        Either::Second(mass) => {
            request.quantity("amount", &mass);
            (asked_liquid.density().falling(|density| mass.quantity / density), (mass.number, mass.unit))
        }
    };
    let floor = floor.unwrap_or_else(|| {
        draft
            .assume("smooth_floor", "The floor is taken as hard and smooth, where a spill spreads furthest.");
        Floor::Smooth
    });
    request.word("floor", word(floor));
    let heated_to = heating.heated_to((fields, &asked_liquid), heated_to, surroundings.air, rules, draft);
    request.given("heated_to", heated_to.as_ref());
    let ignition = ignition.resolve(&heating, rules, draft, &mut request);
    request.given("air_speed", speed.as_ref());
    let room_temperature = surroundings.air.temperature;
    let heated_to =
        heated_to.map(|heated: Asked<_>| heated.quantity).filter(|heated| *heated > room_temperature);
    let heating = heating.resolve((&asked_liquid, heated_to), surroundings.air, rules, draft, &mut request);
    // A flame that heats it stands within the pool, and lights it however cold it is.
    let kept = match floor {
        Floor::Absorbent => "absorbent_ignition_distance",
        _ => "least_ignition_distance",
    };
    let heating = heating.kept_by(kept);
    if let Some(alight) = alight {
        request.switch("alight", alight);
    }
    rules.record(&mut request);
    let speed = source::speeds(speed.as_ref(), source::OVER_SURFACE, draft, rules);
    if !fields.faults().is_empty() {
        return None;
    }
    let spilt = Spilt {
        liquid: &asked_liquid,
        room: surroundings.room?,
        temperature: heated_to.unwrap_or(room_temperature),
        floor,
    };
    let alight = alight == Some(true);
    if alight && let Some(said) = asked_liquid.not_flammable() {
        let detail = format!("it cannot burn: {}", said.reason);
        fields.faults().add("impossible-value", fields.at("alight"), detail, None);
        return None;
    }
    let question =
        Question { spilt, surroundings, amount, asked, ignition, speed, heated_to, heating, alight };
    match pool(&question, scope.draft.whole, rules) {
        Ok(pool) => compose(&question, &pool, scope, request),
        Err(why) => {
            not_evaporating(fields, &why);
            None
        }
    }
}

const fn word(floor: Floor) -> &'static str {
    match floor {
        Floor::Smooth => "smooth",
        Floor::Rough => "rough",
        Floor::Absorbent => "absorbent",
    }
}

impl Spilt<'_> {
    /// Area of the pool of an amount: best by the usual depth, high by the least; no larger than the free floor.
    fn area(&self, amount: Estimate<Volume>, rules: &Rules) -> Estimate<Area> {
        let depth = |rule| si::metre(rules.number(rule) / 1000.0);
        let (usual, least) = match self.floor {
            Floor::Smooth => (depth("spill_depth"), depth("spill_depth_least")),
            Floor::Rough => (depth("spill_depth_rough"), depth("spill_depth_rough")),
            Floor::Absorbent => (depth("spill_depth_absorbent"), depth("spill_depth_absorbent")),
        };
        let floor = self.room.free_floor;
        let within = |area: Area| if area > floor { floor } else { area };
        Estimate::new(within(amount.value / usual), within(amount.low / usual), within(amount.high / least))
    }

    /// Whether its vapour can be lit.
    #[must_use]
    pub fn can_be_lit(&self, rules: &Rules) -> CanBeLit {
        let over = self.liquid.over(self.temperature);
        self.lying().can_be_lit(&over, rules)
    }

    const fn lying(&self) -> Lying<'_> {
        Lying { liquid: self.liquid, temperature: self.temperature, air: self.room.air }
    }

    /// Vapour that can burn of an amount.
    fn vapour(&self, amount: Estimate<Volume>) -> Estimate<Volume> {
        let one = |composition: &Composition| {
            let ratio = composition.density().rising(|density| {
                vapour_per_liquid(density, composition.molar_mass(), self.room.air)
                    * composition.fuel_fraction()
            });
            Estimate::new(amount.value * ratio.value, amount.low * ratio.low, amount.high * ratio.high)
        };
        spanning(self.liquid.compositions.iter().map(one))
            .unwrap_or_else(|| Estimate::exact(si::cubic_metre(0.0)))
    }

    /// How far the vapour of an amount can be lit, m: of what is too cold nothing, of what is soaked the distance of a wick.
    fn reach(&self, amount: Estimate<Volume>, can: &CanBeLit, rules: &Rules) -> Estimate<f64> {
        let soaked = match self.floor {
            Floor::Absorbent => rules.number("absorbent_ignition_distance"),
            _ => 0.0,
        };
        let CanBeLit::Yes(limit) = can else { return Estimate::exact(soaked) };
        let vapour = self.vapour_reach(amount, *limit, rules);
        let pool = self.pool_radius(amount, rules);
        each(each(vapour, pool, f64::max), Estimate::exact(soaked), f64::max)
    }

    fn vapour_reach(&self, amount: Estimate<Volume>, limit: Estimate<Ratio>, rules: &Rules) -> Estimate<f64> {
        let given_off = GivenOff { vapour: self.vapour(amount), rate: None };
        ignition::reach(given_off, limit, Some(&self.room), rules)
    }

    /// How far the liquid itself runs, m: a source within its pool lights it, however cold it is.
    fn pool_radius(&self, amount: Estimate<Volume>, rules: &Rules) -> Estimate<f64> {
        let radius = |area: Area| si::in_metre(Surface::of_area(area, si::metre(0.0)).width) / 2.0;
        self.area(amount, rules).rising(radius)
    }

    /// What a source must be further away than, m: the reach of vapour, or the pool. A flame warms what is too cold to be lit, and
    /// keeps its distance from the edge of the pool; no further than if the vapour could be lit already.
    #[must_use]
    pub fn danger(&self, amount: Estimate<Volume>, can: &CanBeLit, rules: &Rules) -> Estimate<f64> {
        let (reach, pool) = (self.reach(amount, can, rules), self.pool_radius(amount, rules));
        if !matches!(can, CanBeLit::TooCold(_)) {
            return each(reach, pool, f64::max);
        }
        let least = rules.number(COLD);
        let beside = pool.rising(|radius| radius + least);
        let beside = match self.liquid.lower_limit_evaporated(self.temperature) {
            Some(limit) => {
                let warm = each(self.vapour_reach(amount, limit, rules), pool, f64::max);
                each(beside, warm.rising(|warm| warm.max(least)), f64::min)
            }
            None => beside,
        };
        each(reach, beside, f64::max)
    }

    /// The check of a spill against a source, with the distance that is kept whatever the amount.
    #[must_use]
    pub fn check(
        &self,
        name: (&'static str, &'static str),
        amount: Estimate<Volume>,
        (can, kept): (&CanBeLit, Option<Kept>),
        distance: Length,
        rules: &Rules,
    ) -> Check {
        let danger = self.danger(amount, can, rules);
        let mut check = ignition::check(name, danger, kept, distance, Evidence::Estimated, rules);
        if matches!(can, CanBeLit::TooCold(_)) {
            check.basis = self.cold_grounds(rules);
        }
        check
    }

    /// What the distance of a spill rests on that is too cold to be lit.
    fn cold_grounds(&self, rules: &Rules) -> Grounds {
        let soaked = rules.number("absorbent_ignition_distance");
        if self.floor == Floor::Absorbent && soaked > rules.number(COLD) {
            return rules.grounds("absorbent_ignition_distance");
        }
        let mut grounds = rules.grounds(COLD);
        grounds.text = Text::Owned(format!(
            "{} It warms what is spilt too cold to be lit, and keeps so far from the edge of its pool.",
            grounds.text
        ));
        grounds
    }

    /// The largest amount, mL, whose pool and vapour stay short of a distance; infinite where none reaches it.
    #[must_use]
    pub fn largest(&self, distance: Length, can: &CanBeLit, rules: &Rules) -> f64 {
        let metres = si::in_metre(distance);
        if self.floor == Floor::Absorbent && metres < rules.number("absorbent_ignition_distance") {
            return 0.0;
        }
        let by_vapour = |limit: Estimate<Ratio>| {
            let per_millilitre = self.vapour(Estimate::exact(si::millilitre(1.0))).high;
            let vapour = ignition::vapour_reaching(distance, limit, Some(&self.room), rules);
            si::in_fraction(vapour / per_millilitre)
        };
        match can {
            CanBeLit::Yes(limit) => by_vapour(*limit).min(self.largest_pool(metres, rules)),
            CanBeLit::TooCold(_) => {
                let least = rules.number(COLD);
                if metres < least {
                    return 0.0;
                }
                let warm = self.liquid.lower_limit_evaporated(self.temperature);
                let warm = warm.map_or(0.0, |limit| by_vapour(limit).min(self.largest_pool(metres, rules)));
                self.largest_pool(metres - least, rules).max(warm)
            }
            _ => self.largest_pool(metres, rules),
        }
    }

    /// The amount, mL, whose pool is just so wide, m: its depth over a circle; infinite where no pool is.
    fn largest_pool(&self, radius: f64, rules: &Rules) -> f64 {
        let area = si::in_square_metre(self.area(Estimate::exact(si::millilitre(1.0)), rules).high);
        let circle = std::f64::consts::PI * radius * radius;
        // No pool is larger than the free floor.
        let covered = circle >= si::in_square_metre(self.room.free_floor);
        if covered { f64::INFINITY } else { circle / area }
    }
}

/// Two estimates, end by end.
fn each(one: Estimate<f64>, other: Estimate<f64>, of: fn(f64, f64) -> f64) -> Estimate<f64> {
    Estimate::new(of(one.value, other.value), of(one.low, other.low), of(one.high, other.high))
}

fn conditions(question: &Question<'_>, area: Area, speed: Velocity) -> Conditions {
    Conditions {
        air: question.surroundings.air,
        humidity: question.surroundings.humidity,
        heated_to: None,
        heater: None,
        surface: Surface::of_area(area, si::metre(0.0)),
        moving: Moving::at(speed),
    }
}

/// What a heated liquid gives off before the floor has cooled it, mol/(m2 s) of each part of each composition; a boiling one as just
/// below its boiling point. None where it is not heated or this is not known.
fn hot_fluxes(question: &Question<'_>, area: Area, rules: &Rules) -> Option<Vec<Vec<f64>>> {
    let liquid = question.spilt.liquid;
    let of = |hot: ThermodynamicTemperature| {
        let over = liquid.over(hot).ok()?;
        let conditions =
            Conditions { heated_to: Some(hot), ..conditions(question, area, question.speed.high) };
        let each = liquid.compositions.iter().zip(&over);
        each.map(|(one, over)| Some(one.start(&conditions, over, End::High).ok()?.fluxes))
            .collect::<Option<Vec<Vec<f64>>>>()
    };
    let below = || heating::below_boiling(liquid, question.surroundings.air.pressure, rules);
    of(question.heated_to?).or_else(|| of(si::celsius(below()?)))
}

/// How the pool evaporates. A heated liquid meets a cold floor: it evaporates as it does at the room's temperature, at its upper end
/// as hot as it was.
fn pool(question: &Question<'_>, told: bool, rules: &Rules) -> Result<Pool, NotEvaporating> {
    let liquid = question.spilt.liquid;
    let area = question.spilt.area(question.amount, rules);
    let over = liquid.over(question.surroundings.air.temperature)?;
    let (mut rates, mut fuel) = (Vec::new(), si::cubic_metre(0.0));
    let hot = hot_fluxes(question, area.high, rules);
    let mut faster = 1.0_f64;
    for (place, (composition, over)) in liquid.compositions.iter().zip(&over).enumerate() {
        let at = |end, area, speed| composition.start(&conditions(question, area, speed), over, end);
        let grams = |fluxes: &[f64], area: Area| -> f64 {
            let each = composition.parts.iter().zip(fluxes);
            each.map(|(part, flux)| flux * si::in_gram_per_mole(part.substance.molar_mass)).sum::<f64>()
                * si::in_square_metre(area)
        };
        let high = at(End::High, area.high, question.speed.high)?;
        let hot = hot.as_ref().and_then(|hot| hot.get(place));
        let fuels = composition.fuel_of(hot.unwrap_or(&high.fluxes)).max(composition.fuel_of(&high.fluxes));
        let moles = fuels * si::in_square_metre(area.high);
        let vapour = room_air::vapour_of(si::mole(moles), question.surroundings.air);
        if vapour > fuel {
            fuel = vapour;
        }
        let cooled = grams(&high.fluxes, area.high);
        let fastest = hot.map_or(cooled, |hot| grams(hot, area.high).max(cooled));
        if cooled > 0.0 {
            faster = faster.max(fastest / cooled);
        }
        rates.push(Estimate::new(
            grams(&at(End::Best, area.value, question.speed.value)?.fluxes, area.value),
            grams(&at(End::Low, area.low, question.speed.low)?.fluxes, area.low),
            fastest,
        ));
    }
    let usual = liquid.usual();
    let course = |end, area: Area, speed, amount| {
        let conditions = conditions(question, area, speed);
        let over = over.first().ok_or(NotEvaporating::Boils)?;
        let start = usual.start(&conditions, over, end)?;
        usual.course(&conditions, &start, end, &usual.moles_in(amount), false, None)
    };
    let courses = || -> Result<[Course; 3], NotEvaporating> {
        let best = course(End::Best, area.value, question.speed.value, question.amount.value)?;
        let (slow, fast) = if usual.parts.len() == 1 {
            (
                course(End::Low, area.low, question.speed.low, question.amount.high)?,
                course(End::High, area.high, question.speed.high, question.amount.low)?.paced(faster),
            )
        } else {
            // Of a mixture the ends differ in their pace.
            let first = rates.first().copied().unwrap_or_else(|| Estimate::exact(1.0));
            (best.paced(first.low / first.value), best.paced(first.high / first.value))
        };
        Ok([best, slow, fast])
    };
    let courses = if told { Some(courses()?) } else { None };
    Ok(Pool {
        over,
        rate: spanning(rates.into_iter()).unwrap_or_else(|| Estimate::exact(0.0)),
        fuel,
        hot_unknown: question.heated_to.is_some() && hot.is_none(),
        courses,
    })
}

/// What is tried: another amount, another distance, a cooler surface.
#[derive(Debug, Clone, Copy)]
struct Tried {
    amount: Estimate<Volume>,
    ignition: Ignition,
    heating: Heating,
}

/// What burns and is dropped is over the limit, whatever the amount.
fn burning(rules: &Rules) -> Check {
    let mut grounds = rules.grounds("burning_spill_distance");
    grounds.text = Text::Borrowed(
        "Nothing that burns is spilt, whatever the amount; `burning` says what it would do to the nearest person.",
    );
    let compared = Compared {
        check: BURNING,
        question: NAME,
        value: Estimate::exact(1.0),
        limit: 0.0,
        unit: "1",
        must_be: MustBe::AtMost,
        grounds,
        evidence: Evidence::Measured,
    };
    compared.decided()
}

fn checks(
    question: &Question<'_>,
    (can, light): (&CanBeLit, bool),
    effect: Option<&Effect>,
    tried: Tried,
    rules: &Rules,
) -> Vec<Check> {
    let spilt = question.spilt;
    let heating = || tried.heating.checks(NAME, spilt.liquid, Some(tried.ignition), rules);
    if matches!(can, CanBeLit::NotFlammable(_)) {
        return heating();
    }
    let mut checks: Vec<Check> = question.alight.then(|| burning(rules)).into_iter().collect();
    if let Some(distance) = tried.ignition.distance() {
        let check = if matches!(can, CanBeLit::NoLimit) {
            ignition::unassessed((REACH, NAME), distance, rules)
        } else {
            let kept = ignition::kept(can, light, distance, Some(&spilt.room), rules);
            spilt.check((REACH, NAME), tried.amount, (can, kept), distance, rules)
        };
        checks.push(check);
    }
    let rule = "accident_share";
    let share = rules.number(rule);
    let check = match effect {
        Some(effect) => {
            let compared = Compared {
                check: SHARE,
                question: NAME,
                value: effect.share(tried.amount).rising(si::in_percent),
                limit: share,
                unit: "%",
                must_be: MustBe::AtMost,
                grounds: rules.grounds(rule),
                evidence: effect.evidence,
            };
            compared.decided()
        }
        None => not_assessed(
            SHARE,
            NAME,
            Quantity::exact(share, "%"),
            MustBe::AtMost,
            rules.grounds(rule),
            "no trusted lower flammable limit is published for this liquid; see the supplier's data sheet",
        ),
    };
    checks.push(check);
    checks.extend(heating());
    checks
}

fn remedies(
    question: &Question<'_>,
    can: (&CanBeLit, bool),
    effect: Option<&Effect>,
    draft: &mut Draft,
    rules: &Rules,
) {
    let (number, unit) = question.asked;
    let as_asked = Tried { amount: question.amount, ignition: question.ignition, heating: question.heating };
    let mut changes = vec![Change {
        change: "amount",
        field: "/amount",
        unit,
        from: number,
        furthest: (number / FURTHEST_SHARE).max(source::LEAST_AMOUNT),
        text: ("Bring at most ", ""),
    }];
    if let Some(distance) = question.ignition.movable() {
        changes.push(Change {
            change: "distance",
            field: "/nearest_ignition",
            unit: "m",
            from: si::in_metre(distance),
            furthest: si::in_metre(question.spilt.room.longest_way()),
            text: ("Keep ignition sources at least ", " away"),
        });
    }
    changes.extend(question.heating.change("/surface_temperature"));
    for place in 0..draft.checks.len() {
        let Some(check) = draft.checks.get(place).filter(|check| check.status == Outcome::OverLimit) else {
            continue;
        };
        let id = check.check.clone();
        let remedy = remedy::smallest(&changes, |change, to| {
            let tried = if change.change == "amount" {
                let share = to / number;
                let amount = question.amount;
                Tried {
                    amount: Estimate::new(amount.value * share, amount.low * share, amount.high * share),
                    ..as_asked
                }
            } else if change.change == "heating" {
                Tried { heating: as_asked.heating.with_surface(to), ..as_asked }
            } else {
                Tried { ignition: Ignition::Stated(si::metre(to)), ..as_asked }
            };
            let made = checks(question, can, effect, tried, rules);
            let this = made.iter().find(|check| check.check == id)?.status;
            Some((this, made.iter().map(|check| check.status).max()?))
        });
        if let Some(check) = draft.checks.get_mut(place) {
            check.remedy = remedy;
        }
    }
}

/// The largest amount, mL, at which every check that depends on it is not over; none where no amount does that or none is bounded.
fn largest_amount(
    question: &Question<'_>,
    (can, light): (&CanBeLit, bool),
    effect: Option<&Effect>,
    draft: &mut Draft,
    rules: &Rules,
) -> Option<f64> {
    const FIGURE: &str = "largest_amount";
    let spilt = question.spilt;
    if question.alight {
        draft.outside(FIGURE, "no amount: nothing that burns is spilt");
        return None;
    }
    if spilt.liquid.not_for_school_use().is_some() {
        draft.outside(FIGURE, "no amount: it is not for school use");
        return None;
    }
    let assessed = matches!(can, CanBeLit::Yes(_) | CanBeLit::TooCold(_));
    let effect = effect.filter(|_| assessed)?;
    let by_room = effect.most_for_share(rules.number("accident_share") / 100.0);
    let distance = question.ignition.distance();
    let kept = distance.and_then(|distance| {
        let kept = ignition::kept(can, light, distance, Some(&spilt.room), rules);
        kept.filter(|kept| kept.forbids(distance))
    });
    if let Some(kept) = kept {
        draft.outside(FIGURE, format!("no amount: {}", ignition::why(kept)));
        return None;
    }
    let by_reach = distance.map_or(f64::INFINITY, |distance| spilt.largest(distance, can, rules));
    Some(cautious_down(by_room.min(by_reach)))
}

/// When the pool is dry at its slow end and the room is below the rule's share for good, min, evenly mixed and in the
/// layer on the floor, whichever takes longer.
fn time_to_clear(
    question: &Question<'_>,
    courses: &[Course; 3],
    effect: &Effect,
    can_be_lit: bool,
    rules: &Rules,
    draft: &mut Draft,
) -> Option<f64> {
    let spilt = question.spilt;
    let share = effect.limit.low * si::percent(rules.number("accident_share"));
    let layer = spilt.room.free_floor * si::metre(rules.number("floor_layer_depth"));
    // A liquid too cold to be lit makes no ignitable layer.
    let place = if can_be_lit && layer < spilt.room.free_volume { layer } else { spilt.room.free_volume };
    let renewal = spilt.room.air_changes * rules.number("mixing_effectiveness");
    let usual = spilt.liquid.usual();
    let all = spilt.vapour(question.amount).high;
    let mut latest: Option<f64> = Some(0.0);
    for course in courses {
        let intervals = course.intervals();
        let whole: f64 = intervals
            .iter()
            .map(|(length, rates)| length * usual.fuel_of(rates))
            .sum::<f64>()
            .max(f64::MIN_POSITIVE);
        let steps = intervals.iter().map(|(length, rates)| {
            (si::second(*length), all * (usual.fuel_of(rates) / whole) / si::second(1.0))
        });
        let room = BuildUp::new(si::cubic_metre(0.0), steps, renewal);
        let dry = course.dry_at().filter(|_| can_be_lit).or_else(|| (!can_be_lit).then(|| si::second(0.0)));
        latest = match (latest, room.last_above(place * share), dry) {
            (Some(latest), Some(time), Some(dry)) => {
                Some(latest.max(si::in_minute(time)).max(si::in_minute(dry)))
            }
            _ => None,
        };
    }
    draft.method("room_over_time");
    draft.assume_rule("mixing_effectiveness", rules);
    if latest.is_none() {
        draft.not_given(
            "/time_to_clear",
            "without air changes, or before the pool is dry, the room does not clear",
        );
    }
    latest
}

fn compose(question: &Question<'_>, pool: &Pool, scope: &mut Scope, request: Group) -> Option<Composed> {
    let mut draft = scope.draft_taken();
    let rules = &scope.rules;
    let spilt = question.spilt;
    let asked = spilt.liquid;
    let can = spilt.can_be_lit(rules);
    let effect = Effect::of(asked, spilt.room).filter(|_| !matches!(can, CanBeLit::NotFlammable(_)));
    let as_asked = Tried { amount: question.amount, ignition: question.ignition, heating: question.heating };
    let light = ignition::light(asked, &can, rules);
    draft.checks = checks(question, (&can, light), effect.as_ref(), as_asked, rules);
    if draft.whole {
        remedies(question, (&can, light), effect.as_ref(), &mut draft, rules);
    }
    say(question, pool, &can, &mut draft, rules);
    let courses = pool.courses.as_ref();
    let clear = effect.as_ref().zip(courses).and_then(|(effect, courses)| {
        time_to_clear(question, courses, effect, matches!(can, CanBeLit::Yes(_)), rules, &mut draft)
    });
    let dry = courses.and_then(|courses| {
        let [best, slow, fast] = courses.each_ref().map(|course| course.dry_at().map(si::in_minute));
        best.map(|value| Estimate::new(value, fast.unwrap_or(value), slow.unwrap_or(value)))
    });
    if dry.is_none() {
        draft.not_given("/time_to_evaporate", "it does not dry within 30 days");
    }
    let assessed = matches!(can, CanBeLit::Yes(_) | CanBeLit::TooCold(_));
    let reach = assessed.then(|| spilt.reach(question.amount, &can, rules).high);
    let asked_for = reach.and_then(|_| {
        let none = format!("no distance: {}", ignition::LIGHT);
        let metres = ignition::asked_for(
            spilt.danger(question.amount, &can, rules).high,
            (&can, light),
            Some(&spilt.room),
            rules,
        );
        if metres.is_none() {
            draft.outside("ignitable_distance", none);
        }
        metres
    });
    let largest =
        courses.and_then(|_| largest_amount(question, (&can, light), effect.as_ref(), &mut draft, rules));
    let usual_distance = match &can {
        CanBeLit::Yes(limit) => {
            let rate = pool.fuel / si::second(1.0);
            let share = si::percent(rules.number("ignition_share"));
            let usual = si::in_metre(near_field::radius(rate, limit.low, share, question.speed.low));
            Some(usual).filter(|usual| usual.is_finite())
        }
        _ => None,
    };
    let area = spilt.area(question.amount, rules);
    let height = rules.number("ignition_layer_height");
    let verdict =
        draft.verdict(NAME, asked, rules, |draft| sentence(question, (reach, asked_for), dry, draft, rules));
    let record = record(&draft, request).ok()?;
    let reply = SpillReply {
        verdict: verdict.clone(),
        liquid: liquid::echo(asked),
        pool_area: draft::estimate(area.rising(si::in_square_metre), "m2"),
        rate: draft::estimate(pool.rate.rising(|grams| grams * 60.0), "g/min"),
        ignitable_distance: asked_for.map(|metres| Quantity::exact(cautious_up(metres), "m")),
        ignitable_height: reach.map(|reach| Quantity::exact(if reach > 0.0 { height } else { 0.0 }, "m")),
        usual_distance: usual_distance.map(|usual| Quantity::exact(four_digits(usual), "m")),
        room_share_of_limit: effect
            .as_ref()
            .map(|effect| draft::estimate(effect.share(question.amount).rising(si::in_percent), "%")),
        time_to_evaporate: dry.map(|dry| draft::estimate(dry, "min")),
        time_to_clear: clear.map(|clear| Quantity::exact(cautious_up(clear), "min")),
        largest_amount: largest.map(|largest| Quantity::exact(largest, "mL")),
        basis: draft.finish(asked, rules, record),
    };
    Some(Composed::of(reply, &verdict))
}

fn say(question: &Question<'_>, pool: &Pool, can: &CanBeLit, draft: &mut Draft, rules: &Rules) {
    let asked = question.spilt.liquid;
    draft.molar_mass(asked);
    draft.figures(asked, "density", |substance| Some(&substance.density));
    draft.figures(asked, "diffusivity_in_air", |substance| substance.diffusivity.as_ref());
    if let Some(usual) = pool.over.first() {
        vapour_space::say_vapour(draft, asked, usual);
    }
    for method in ["spill_pool", "film_evaporation", "evaporative_cooling"] {
        draft.method(method);
    }
    draft.assume_rule(
        match question.spilt.floor {
            Floor::Smooth => "spill_depth",
            Floor::Rough => "spill_depth_rough",
            Floor::Absorbent => "spill_depth_absorbent",
        },
        rules,
    );
    if question.spilt.floor == Floor::Smooth {
        draft.assume_rule("spill_depth_least", rules);
    }
    if question.heated_to.is_some() {
        draft.assume("spilt_hot", "The spill counts at the temperature of the heated liquid: how far its vapour can be lit and the upper end of its rate are those of the hot liquid; the rest of the rate and the times are those of a pool that the floor has cooled.");
    }
    if pool.hot_unknown {
        draft.not_considered(
            "hot_rate",
            "how fast the liquid leaves while it is hot is not known: the rate is that of the cooled pool",
        );
    }
    match (can, question.ignition) {
        (CanBeLit::NotFlammable(reason), _) => {
            draft.outside(REACH, reason.clone());
            draft.outside(SHARE, reason.clone());
        }
        (can, ignition) => {
            draft.consider(SHARE);
            if ignition == Ignition::None {
                draft.outside(REACH, "there is no ignition source in the room, as the request says");
            } else {
                draft.consider(REACH);
            }
            if matches!(can, CanBeLit::NoLimit) {
                draft.not_given("/ignitable_distance", "no trusted lower flammable limit is published");
            }
            ignition::say(draft, asked, rules);
            draft.method("mixed_room");
            draft.method("vapour_volume");
            draft.assume_rule("accident_share", rules);
            draft.figures(asked, "lower_flammable_limit", |substance| substance.lower_limit.as_ref());
        }
    }
    if question.alight {
        draft.consider(BURNING);
    }
    if question.spilt.floor == Floor::Absorbent {
        draft.caution("wick", "A soaked floor, cloth or absorbent burns like a wick, whatever the temperature: bag it and take it out.");
    }
    question.heating.say(draft, asked, true, rules);
    draft.caution("spill_action", "Put out flames and switch off hot plates from a distance, send people out, open windows, soak up small spills with an absorbent; large ones are for those who are trained and equipped.");
    draft.outside(
        "exposure",
        "ask `exposure` with the pool as its source: people breathe the vapour long before it can burn",
    );
}

fn sentence(
    question: &Question<'_>,
    (reach, asked_for): (Option<f64>, Option<f64>),
    dry: Option<Estimate<f64>>,
    draft: &Draft,
    rules: &Rules,
) -> String {
    let name = draft::named(question.spilt.liquid);
    if question.alight && !matches!(draft.outcome(), Outcome::NoLimitChecked) {
        let must = format!(
            "Over the limit: {name} is spilt while it burns: everybody away from it, smother it only from where it cannot reach you (limit unconfirmed)."
        );
        return draft::sentence(rules, &must, "", "");
    }
    if let Some(said) = heating::said(&name, draft) {
        return draft::sentence(rules, &said, draft.unconsidered(), "");
    }
    let worst = heating::own(draft);
    let marks = draft::marks(worst);
    let asks = asked_for.map_or_else(
        || ignition::LIGHT.to_owned(),
        |metres| format!("ignition sources at least {} m away", cautious_up(metres)),
    );
    // Where another distance than that of the vapour decides, the sentence says it.
    let vapour = reach.zip(asked_for).filter(|(reach, asked)| *reach > 0.0 && reach >= asked);
    let far = match (reach, vapour) {
        (_, Some((reach, _))) => format!(" its vapour can be lit up to {} m away", cautious_up(reach)),
        (Some(0.0), None) => format!(" too cold for its vapour to be lit; {asks}"),
        (Some(_), None) => format!(" {asks}"),
        (None, None) => " it does not burn".to_owned(),
    };
    let dries =
        dry.map_or_else(String::new, |dry| format!("; the pool is dry after {}", draft::between(dry, "min")));
    let must = match draft.outcome() {
        Outcome::OverLimit => {
            let change = worst.and_then(|check| check.remedy.as_ref());
            let change = change.map_or("No single change mends it.", |remedy| remedy.text.as_str());
            let what = if worst.is_some_and(|check| check.check == SHARE) {
                format!("a spill of {name} brings the room too near its lower flammable limit")
            } else if vapour.is_some() {
                format!("a spill of {name}:{far}, past the nearest ignition source")
            } else {
                let near = asked_for.map_or_else(
                    || ignition::LIGHT.to_owned(),
                    |metres| format!("an ignition source is nearer than {} m", cautious_up(metres)),
                );
                format!("a spill of {name}: {near}")
            };
            format!("Over the limit: {what}{marks}. {change}")
        }
        Outcome::NotAssessed => {
            format!("A spill of {name}: how far its vapour can be lit could not be assessed; it may burn.")
        }
        Outcome::NearLimit => {
            let kept = worst
                .filter(|check| check.check == REACH)
                .map_or("", |_| ", an ignition source almost too near");
            format!("Near the limit: a spill of {name}:{far}{kept}{marks}{dries}.")
        }
        Outcome::WithinLimit => format!("Within the limits checked: a spill of {name}:{far}{marks}{dries}."),
        _ => format!("A spill of {name}: no limit was checked{dries}."),
    };
    draft::sentence(rules, &must, draft.unconsidered(), " What is breathed is another question.")
}
