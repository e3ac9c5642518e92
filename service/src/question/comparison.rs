//! `comparison`: several liquids for one use, criterion by criterion. No score: a table, an order with its reasons.

use super::breathing::LimitsAsked;
use super::check::not_assessed;
use super::criteria::{
    BREATHED, BURNABLE, FLASH, GRAVITY, HEALTH, HEAT, HEIGHT, LIT, MARGIN, OUTCOME, SHARE, by, criteria,
    gravity, reason, soot, without_statements,
};
use super::draft::{self, Draft};
use super::heating::{self, Heating, HeatingAsked};
use super::ignition::{CanBeLit, Ignition, IgnitionAsked};
use super::ranking::{self, Contender};
use super::reader::{Asked, Either, Faults, Fields};
use super::record::{Group, record};
use super::room::{Room, RoomAsked, Surroundings};
use super::rules::Rules;
use super::safe_fill::{self, Plan, Planned};
use super::vessel::{self, VesselAsked};
use super::{Composed, Scope, Series, Written, exposure, field, flash_point_margin, liquid, vapour_space};
use crate::catalogue::Catalogue;
use crate::catalogue::material::Material;
use crate::catalogue::source::seen;
use crate::liquid::flash::{FlashPoint, NoFlashPoint};
use crate::liquid::vapour::{NoVapour, Over};
use crate::liquid::{Given, Liquid};
use crate::physics::vessel::mouth_area;
use crate::quantity::round::significant;
use crate::quantity::{Estimate, si};
use brimline_openapi::{
    Caution, Check, ComparedLiquid, ComparisonReply, Criterion, Deciding, Dominated, Hazard,
    HeadspaceCondition, MustBe, NotCompared, OrderStep, Outcome, Quantity, Seen, Text, Use,
};
use serde_json::Value;
use uom::si::f64::{Length, Mass, ThermodynamicTemperature, Time, Volume};

/// The question's name.
pub const NAME: &str = "comparison";
const FEWEST: usize = 2;
const MOST: usize = 20;
/// The dish that is taken where none is given holds so many times the amount.
const TIMES_THE_AMOUNT: f64 = 4.0;
/// What it is made of, where it is burnt from.
const BURNT_FROM: &str = "porcelain";
/// A longer name is cut in the sentence.
const LONGEST_NAME: usize = 44;
/// A name where there is little room.
const SHORT_NAME: usize = 24;
/// A sentence, what stands before it where rules are replaced left out.
const LONGEST_SAID: usize = 178;
/// Digits of a figure in a reason.
const DIGITS: u32 = 4;

/// The question as it was asked, defaults filled in.
struct Question {
    liquids: Vec<Liquid>,
    names: Vec<String>,
    used: Use,
    amount: Either<Volume, Mass>,
    surroundings: Surroundings,
    room: Room,
    capacity: Volume,
    mouth: Length,
    material: Option<&'static Material>,
    clear: Option<Length>,
    heated_to: Option<Asked<ThermodynamicTemperature>>,
    duration: Option<Time>,
    person: (Length, bool),
    ignition: Ignition,
    limits: LimitsAsked,
    room_asked: RoomAsked,
}

/// What is known of one liquid.
struct Found<'a> {
    liquid: &'a Liquid,
    temperature: ThermodynamicTemperature,
    heating: Heating,
    flash: Result<FlashPoint, NoFlashPoint>,
    margin: Option<Estimate<f64>>,
    over: Result<Vec<Over>, NoVapour>,
    headspace: Option<HeadspaceCondition>,
    checks: Vec<Check>,
    /// What its checks were made from; or why they could not be.
    planned: Result<Planned, String>,
}

/// Reads and answers the question.
pub fn answer(fields: &Fields<'_>, scope: &mut Scope) -> Option<Composed> {
    let mut request = Group::default();
    let (question, heating) = read(fields, scope, &mut request)?;
    let found: Vec<Found<'_>> =
        question.liquids.iter().map(|liquid| find(&question, liquid, &heating, scope)).collect();
    compose(&question, &found, scope, request)
}

fn read_liquids(fields: &Fields<'_>, catalogue: &'static Catalogue) -> Option<Vec<Liquid>> {
    let value =
        fields.required("liquids", "a list of 2 to 20 liquids, such as [\"ethanol\", \"propanone\"]")?;
    let Some(list) = value.as_array() else {
        let detail = "`liquids` is a list of liquids".to_owned();
        fields.faults().add("wrong-type", fields.at("liquids"), detail, None);
        return None;
    };
    if !(FEWEST..=MOST).contains(&list.len()) {
        let detail = format!("{FEWEST} to {MOST} liquids are compared, these are {}", list.len());
        fields.faults().add("outside-range", fields.at("liquids"), detail, None);
        return None;
    }
    let one = |(place, value): (usize, &Value)| liquid::of_list(fields, "liquids", place, value, catalogue);
    // Each is read, so that every fault is found.
    let read: Vec<Option<Liquid>> = list.iter().enumerate().map(one).collect();
    let recorded: Vec<_> = read.iter().map(|liquid| liquid.as_ref().map(liquid::recorded)).collect();
    for (place, this) in recorded.iter().enumerate() {
        let before = recorded.iter().take(place).position(|other| this.is_some() && other == this);
        if let Some(before) = before {
            let detail = format!("it is the same liquid as /liquids/{before}");
            fields.faults().add("given-twice", format!("{}/{place}", fields.at("liquids")), detail, None);
        }
    }
    read.into_iter().collect()
}

/// Names that tell the liquids apart: two mixtures of the same parts are told by their shares.
fn names(liquids: &[Liquid]) -> Vec<String> {
    let with = |liquid: &Liquid, digits: u32| {
        let shares = liquid.given.iter().map(|(_, share)| significant(*share, digits).to_string());
        format!("{} ({} by moles)", liquid.name, shares.collect::<Vec<_>>().join(" : "))
    };
    let alone = |names: &[String]| {
        names.iter().enumerate().all(|(place, name)| !names.iter().skip(place + 1).any(|other| other == name))
    };
    let twice = |name: &str| liquids.iter().filter(|other| other.name == name).count() > 1;
    let named = |digits: u32| -> Vec<String> {
        let name = |liquid: &Liquid| {
            if twice(&liquid.name) && liquid.id.is_none() {
                with(liquid, digits)
            } else {
                liquid.name.clone()
            }
        };
        liquids.iter().map(name).collect()
    };
    let short = named(DIGITS);
    if alone(&short) { short } else { named(crate::quantity::parse::DIGITS) }
}

/// How much of a liquid it is, mL, at its upper end.
fn millilitres(amount: &Either<Volume, Mass>, liquid: &Liquid) -> f64 {
    match amount {
        Either::First(volume) => volume.number,
        Either::Second(mass) => si::in_millilitre(mass.quantity / liquid.density().low),
    }
}

fn read(fields: &Fields<'_>, scope: &mut Scope, request: &mut Group) -> Option<(Question, HeatingAsked)> {
    let catalogue = scope.draft.catalogue;
    let liquids = read_liquids(fields, catalogue);
    let room = RoomAsked::read(fields, true);
    fields.required("use", "`open`, `heated` or `burnt`");
    let used = fields.word("use", &[("open", Use::Open), ("heated", Use::Heated), ("burnt", Use::Burnt)]);
    fields.required("amount", "how much of each liquid there is, such as \"20 mL\"");
    let amount = fields.either("amount", &field::LIQUID_VOLUME, &field::LIQUID_MASS);
    let group = fields.group("vessel");
    let given = group.as_ref().map(|group| VesselAsked::read(group, |_| ()).0);
    let heated_to = fields.quantity("heated_to", &field::LIQUID_TEMPERATURE);
    let heating = HeatingAsked::read(fields, None, heated_to.as_ref());
    let duration = fields.quantity("duration", &field::DURATION);
    let person = fields.quantity("nearest_person", &field::DISTANCE);
    room.holds(fields, "nearest_person", person.as_ref());
    let clear = fields.quantity("clear_height", &field::DISTANCE);
    let ignition = IgnitionAsked::read(fields, &room);
    ignition.fits(fields, &heating);
    let limits = LimitsAsked::read(fields, None, catalogue);
    fields.finish();
    let (rules, draft) = (&scope.rules, &mut scope.draft);
    let largest = amount.as_ref().zip(liquids.as_ref()).map(|(amount, liquids)| {
        liquids.iter().map(|liquid| millilitres(amount, liquid)).fold(0.0_f64, f64::max)
    });
    let vessel = match (given, largest, used) {
        (Some(given), Some(largest), _) => given.filter(|given| {
            let fits = largest <= given.capacity.number;
            if !fits {
                let detail = format!("more than the vessel holds, {} mL", given.capacity.number);
                fields.faults().add("impossible-value", fields.at("amount"), detail, None);
            }
            fits
        }),
        (None, Some(largest), Some(used)) => dish(fields, &room, largest, used, rules),
        _ => None,
    };
    let burnt = vessel.filter(|_| used == Some(Use::Burnt));
    let material = burnt.and_then(|vessel| vessel::material(vessel.material, catalogue, draft));
    vessel::stands_heat(material, fields, "/vessel/material".to_owned());
    if !fields.faults().is_empty() {
        return None;
    }
    let (liquids, vessel, used, amount) = (liquids?, vessel?, used?, amount?);
    request.word("question", NAME);
    request.values("liquids", liquids.iter().map(liquid::recorded).collect());
    request.word("use", word(used));
    match &amount {
        Either::First(volume) => request.quantity("amount", volume),
        Either::Second(mass) => request.quantity("amount", mass),
    }
    let surroundings = room.surroundings(rules, draft, request);
    if given.is_none() {
        for rule in ["compared_capacity", "compared_mouth"] {
            draft.assume_rule(rule, rules);
        }
        if used == Use::Burnt {
            draft.assume("compared_material", "The dish that is burnt from is taken to be of porcelain.");
        }
    }
    request.group("vessel", vessel.record());
    request.given("heated_to", heated_to.as_ref());
    request.given("duration", duration.as_ref());
    request.given("clear_height", clear.as_ref());
    let nearest = person.unwrap_or_else(|| {
        draft.assume_rule("near_zone_radius", rules);
        field::DISTANCE.asked(rules.number("near_zone_radius"))
    });
    // Where it burns nobody is taken to stand so near: a person who is stated is one that radiation is checked for.
    if person.is_some() || used != Use::Burnt {
        request.quantity("nearest_person", &nearest);
    }
    let ignition = ignition.resolve(&heating, rules, draft, request);
    limits.record(request);
    rules.record(request);
    let question = Question {
        names: names(&liquids),
        liquids,
        used,
        amount,
        surroundings,
        room: surroundings.room?,
        capacity: vessel.capacity.quantity,
        mouth: vessel.mouth.quantity,
        material,
        clear: clear.map(|clear| clear.quantity),
        heated_to,
        duration: duration.map(|duration| duration.quantity),
        person: (nearest.quantity, person.is_some()),
        ignition,
        limits,
        room_asked: room,
    };
    // Recorded once: what heats is the same for all of them.
    if let Some(first) = question.liquids.first() {
        heating.resolve((first, None), surroundings.air, rules, draft, request);
    }
    Some((question, heating))
}

/// The dish that is taken where none is given: wide enough that it is never the vessel that binds.
fn dish(
    fields: &Fields<'_>,
    room: &RoomAsked,
    largest: f64,
    used: Use,
    rules: &Rules,
) -> Option<VesselAsked<'static>> {
    let least = rules.number("compared_capacity");
    let capacity = significant(least.max(largest * TIMES_THE_AMOUNT), 12);
    let mouth = significant(rules.number("compared_mouth") * (capacity / least).sqrt(), 12);
    let fits = field::CAPACITY.field.plausible.hold(capacity) && field::MOUTH.field.plausible.hold(mouth);
    if !fits {
        let detail = "so much stands in no open dish: give the `vessel`";
        fields.faults().add("missing-field", fields.at("vessel"), detail, None);
        return None;
    }
    let (capacity, mouth) = (field::CAPACITY.asked(capacity), field::MOUTH.asked(mouth));
    room.holds_surface(fields, "amount", si::in_square_metre(mouth_area(mouth.quantity)));
    Some(VesselAsked { capacity, mouth, material: (used == Use::Burnt).then_some(BURNT_FROM) })
}

const fn word(used: Use) -> &'static str {
    match used {
        Use::Open => "open",
        Use::Heated => "heated",
        Use::Burnt => "burnt",
    }
}

/// What a reader says against a liquid, without refusing the others.
fn against(read: impl FnOnce(&Fields<'_>)) -> Option<String> {
    let faults = Faults::default();
    let nothing = Value::Object(serde_json::Map::new());
    read(&Fields::of(&nothing, &faults, Written::Json));
    faults.take().into_iter().next().map(|fault| fault.detail)
}

fn find<'a>(question: &Question, liquid: &'a Liquid, heating: &HeatingAsked, scope: &mut Scope) -> Found<'a> {
    let (rules, draft) = (&scope.rules, &mut scope.draft);
    let surroundings = question.surroundings;
    let air = surroundings.air;
    let mut why = against(|fields| question.room_asked.keeps_liquid(fields, liquid, air));
    let mut heated_to = question.heated_to;
    if heated_to.is_none() && question.used == Use::Heated {
        heated_to = heating.below_boiling_of(liquid, surroundings.air, rules, draft);
        if heated_to.is_none() {
            why = why.or_else(|| Some(heating::NO_BOILING_POINT.to_owned()));
        }
    }
    let critical = against(|fields| {
        let _ = HeatingAsked::read(fields, Some(liquid), heated_to.as_ref());
    });
    why = why.or(critical);
    if let Some(said) = liquid.not_flammable().filter(|_| question.used == Use::Burnt) {
        why = Some(format!("it cannot be burnt: {}", said.reason));
    }
    let warmer = heated_to.map(|heated| heated.quantity).filter(|heated| *heated > air.temperature);
    let heating = heating.resolve((liquid, warmer), air, rules, draft, &mut Group::default());
    let temperature = warmer.unwrap_or(air.temperature);
    let (flash, margin, own) = flash_point_margin::compared(liquid, air, warmer, rules);
    let over = liquid.over(temperature);
    let point = flash.as_ref().ok().map(|flash| flash.estimate);
    let headspace =
        why.is_none().then(|| vapour_space::space(liquid, temperature, air.pressure, point, &over).condition);
    let plan = Plan {
        liquid,
        fill: millilitres(&question.amount, liquid),
        surroundings,
        room: question.room,
        capacity: question.capacity,
        mouth: question.mouth,
        material: question.material,
        heated_material: None,
        clear: question.clear,
        used: question.used,
        heated_to: warmer,
        heating,
        duration: question.duration,
        person: question.person,
        ignition: question.ignition,
    };
    let planned = match why {
        Some(why) => Err(why),
        None => safe_fill::planned(plan, &question.limits, draft.catalogue, rules)
            .map_err(|why| why.to_string())
            .and_then(|planned| never_lit(question.used, &planned, &flash).map_or(Ok(planned), Err)),
    };
    let burnt = question.used == Use::Burnt;
    let unburnable =
        burnt && (liquid.not_flammable().is_some() || matches!(flash, Err(NoFlashPoint::NotReached)));
    let mut checks = Vec::new();
    if let Some((substance, reason)) = liquid.not_for_school_use() {
        checks.push(draft::not_for_school_use(NAME, substance, reason));
    }
    match &planned {
        Ok(planned) => checks.extend(planned.checks.iter().cloned()),
        // What cannot be burnt has no limit there.
        Err(_) if unburnable => {}
        Err(why) => checks.push(not_assessed(
            SHARE,
            NAME,
            Quantity::exact(rules.number("planned_release_share"), "%"),
            MustBe::AtMost,
            rules.grounds("planned_release_share"),
            why,
        )),
    }
    // Elsewhere a vapour that can be lit is held against ignition sources.
    if (warmer.is_some() || question.used == Use::Heated) && !burnt {
        checks.extend(own);
    }
    Found { liquid, temperature, heating, flash, margin, over, headspace, checks, planned }
}

/// Why a liquid cannot be burnt although it is not said that it does not burn.
fn never_lit(used: Use, planned: &Planned, flash: &Result<FlashPoint, NoFlashPoint>) -> Option<String> {
    let never = used == Use::Burnt
        && matches!(planned.can, CanBeLit::TooCold(_))
        && matches!(flash, Err(NoFlashPoint::NotReached));
    never.then(|| "it cannot be burnt: it boils before its vapour can be lit".to_owned())
}

impl Found<'_> {
    fn worst(&self) -> Option<&Check> {
        self.checks.iter().max_by(|a, b| draft::milder(a, b))
    }

    fn outcome(&self) -> Outcome {
        self.worst().map_or(Outcome::NoLimitChecked, |check| check.status)
    }

    fn lit(&self) -> Option<bool> {
        match self.planned.as_ref().ok()?.can {
            CanBeLit::Yes(_) => Some(true),
            CanBeLit::NotFlammable(_) | CanBeLit::TooCold(_) => Some(false),
            CanBeLit::NoLimit => None,
        }
    }

    fn of_check(&self, id: &str) -> Option<Estimate<f64>> {
        let value = self.checks.iter().find(|check| check.check == id)?.value.as_ref()?;
        Some(Estimate::new(value.value, value.low.unwrap_or(value.value), value.high.unwrap_or(value.value)))
    }

    /// What is breathed; only where every part of it has a limit.
    fn breathed(&self) -> Option<Estimate<f64>> {
        self.planned.as_ref().ok().filter(|planned| planned.breathed_known)?;
        self.of_check("exposure")
    }

    fn share(&self) -> Option<Estimate<f64>> {
        self.planned.as_ref().ok()?;
        self.of_check(SHARE)
    }

    /// Its figure by a criterion, turned so that more is worse; or why it has none.
    fn figure(&self, criterion: &str) -> Result<Estimate<f64>, String> {
        let planned = self.planned.as_ref().map_err(Clone::clone)?;
        let flames = planned.flames.as_ref();
        let exact = |number| Ok(Estimate::exact(number));
        let switch = |on: bool| exact(f64::from(u8::from(on)));
        let missing = |found: Option<Estimate<f64>>, why: &str| found.ok_or_else(|| why.to_owned());
        let burns = "how it burns is not known here";
        match criterion {
            OUTCOME => match self.outcome() {
                Outcome::WithinLimit => exact(0.0),
                Outcome::NearLimit => exact(1.0),
                Outcome::OverLimit => exact(2.0),
                _ => Err(self
                    .worst()
                    .and_then(|check| check.reason.clone())
                    .unwrap_or_else(|| "no limit was checked".to_owned())),
            },
            HEALTH => gravity(self.liquid).and_then(|place| u32::try_from(place).ok()).map_or_else(
                || Err("no hazard statements of it, or of a part, are stored here".to_owned()),
                |place| exact(f64::from(place)),
            ),
            LIT => {
                self.lit().map_or_else(
                    || {
                        Err("whether its vapour can be lit is not known: no trusted limit is published"
                            .to_owned())
                    },
                    switch,
                )
            }
            BREATHED => missing(
                self.breathed(),
                "no exposure limit of it, or of a part, is known here: pass it in `limits`",
            ),
            SHARE => match (self.share(), &planned.can) {
                (None, CanBeLit::NotFlammable(_)) => exact(0.0),
                (found, _) => missing(found, "no trusted lower flammable limit is published"),
            },
            MARGIN => match (&self.margin, &planned.can) {
                (Some(margin), _) => Ok(Estimate::new(-margin.value, -margin.high, -margin.low)),
                (None, CanBeLit::NotFlammable(_) | CanBeLit::TooCold(_)) => exact(f64::NEG_INFINITY),
                (None, _) => Err("no flash point is known".to_owned()),
            },
            BURNABLE => flames.map_or_else(|| Err(burns.to_owned()), |flames| switch(!flames.burnable)),
            HEAT => missing(flames.and_then(|flames| flames.heat), burns),
            HEIGHT => missing(flames.and_then(|flames| flames.height), burns),
            FLASH => missing(flames.and_then(|flames| flames.flash), "what flashes at lighting is not known"),
            _ => {
                let place = soot(self.liquid).and_then(|(_, place)| u32::try_from(place).ok());
                place.map_or_else(
                    || Err("how much soot its flame gives is not known here".to_owned()),
                    |place| exact(f64::from(place)),
                )
            }
        }
    }
}

/// A check in a sentence.
fn said(check: &Check) -> String {
    let id = check.check.replace('_', " ");
    if let Some(reason) = check.reason.as_deref() {
        return match check.status {
            Outcome::NotAssessed => format!("Not assessed: {id}: {reason}."),
            _ => format!("Over the limit: {id}: {reason}."),
        };
    }
    let status = status(check.status);
    let (least, bound) =
        if check.must_be == MustBe::AtLeast { ("as little as", "at least") } else { ("up to", "at most") };
    let end = check.value.as_ref().map(|value| {
        let end = if check.must_be == MustBe::AtLeast { value.low } else { value.high };
        significant(end.unwrap_or(value.value), DIGITS)
    });
    let unit = |quantity: &Quantity| match quantity.unit.as_ref() {
        "1" => String::new(),
        unit => format!(" {unit}"),
    };
    let end = end.map_or_else(String::new, |end| format!(" {least} {end}{}", unit(&check.limit)));
    let limit = significant(check.limit.value, DIGITS);
    let why = match check.status {
        Outcome::OverLimit => format!(" {}", check.basis.text),
        _ => String::new(),
    };
    format!("{status}: {id}{end}; {bound} {limit}{}.{why}", unit(&check.limit))
}

const fn status(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::WithinLimit => "Within the limit",
        Outcome::NearLimit => "Near the limit",
        Outcome::OverLimit => "Over the limit",
        Outcome::NotAssessed => "Not assessed",
        Outcome::NoLimitChecked | Outcome::Unknown => "No limit was checked",
    }
}

fn row(question: &Question, found: &Found<'_>, name: &str, full: bool) -> ComparedLiquid {
    let liquid = found.liquid;
    let mut not_given: Vec<Hazard> = Vec::new();
    if let Err(why) = &found.planned {
        not_given.push(Hazard { id: Text::Borrowed("figures"), reason: Text::Owned(why.clone()) });
    } else {
        for id in criteria(question.used).iter().filter(|id| **id != OUTCOME) {
            if let Err(why) = found.figure(id) {
                not_given.push(Hazard { id: Text::Borrowed(id), reason: Text::Owned(why) });
            }
        }
    }
    if found.margin.is_none() && not_given.iter().all(|one| one.id != MARGIN) {
        let reason =
            liquid.not_flammable().map_or_else(|| "no flash point is known".to_owned(), |said| said.reason);
        not_given.push(Hazard { id: Text::Borrowed(MARGIN), reason: Text::Owned(reason) });
    }
    let burning = || liquid.substances().filter(|part| part.not_flammable.is_none());
    let lights = burning().filter_map(|part| part.autoignition_temperature.as_ref());
    let autoignition = lights
        .map(|figure| figure.estimate)
        .reduce(|a, b| if b.low < a.low { b } else { a })
        .map(|lowest| draft::tenths(lowest.rising(si::in_celsius), "Cel"));
    if burning().any(|part| part.autoignition_temperature.is_none()) {
        not_given.push(Hazard {
            id: Text::Borrowed("autoignition"),
            reason: Text::Borrowed("no autoignition temperature of it, or of a part, is published here"),
        });
    }
    let flames = found.planned.as_ref().ok().and_then(|planned| planned.flames.as_ref());
    let of = |figure: Option<Estimate<f64>>, unit| figure.map(|figure| draft::estimate(figure, unit));
    let (hazard_statements, notes) = health(liquid, full);
    ComparedLiquid {
        name: name.to_owned(),
        liquid: liquid::echo(liquid),
        outcome: found.outcome(),
        governed_by: found.worst().map(|check| Deciding {
            check: check.check.clone(),
            question: check.question.clone(),
            sentence: said(check),
        }),
        not_for_school_use: liquid
            .not_for_school_use()
            .map(|(substance, reason)| Text::Owned(format!("{}: {reason}", substance.name()))),
        liquid_temperature: Quantity::exact(significant(si::in_celsius(found.temperature), 12), "Cel"),
        flash_point: found
            .flash
            .as_ref()
            .ok()
            .map(|flash| draft::tenths(flash.estimate.rising(si::in_celsius), "Cel")),
        margin: found.margin.map(|margin| draft::tenths(margin, "K")),
        headspace: found.headspace,
        can_be_lit: found.lit(),
        room_share: of(found.share(), "%"),
        exposure_index: of(found.breathed(), "1"),
        health: gravity(liquid).and_then(|place| GRAVITY.get(place)).map(|word| Text::Borrowed(*word)),
        burnable: flames.map(|flames| flames.burnable),
        heat_release: of(flames.and_then(|flames| flames.heat), "kW"),
        flame_height: of(flames.and_then(|flames| flames.height), "cm"),
        flash_at_lighting: of(flames.and_then(|flames| flames.flash), "kJ"),
        soot: soot(liquid).map(|(word, _)| Text::Borrowed(word)),
        autoignition,
        hazard_statements,
        notes,
        not_given,
    }
}

/// Hazard statements and notes of all parts; each note of a mixture names its part.
fn health(liquid: &Liquid, full: bool) -> (Vec<Text>, Vec<Caution>) {
    let (mut statements, mut notes) = (Vec::new(), Vec::new());
    let pure = liquid.substance().is_some();
    let mut note = |id: &str, part: &str, text: &str| {
        let (id, text) = if pure {
            (id.to_owned(), text.to_owned())
        } else {
            (format!("{id}_{part}"), format!("{part}: {text}"))
        };
        notes.push(Caution { id: Text::Owned(id), text: full.then_some(Text::Owned(text)) });
    };
    for part in liquid.substances() {
        let hazard = part.file.hazard.as_ref();
        statements.extend(hazard.iter().flat_map(|hazard| &hazard.statements).map(String::as_str));
        for caution in &part.cautions {
            note(&caution.id, &part.id, &caution.text);
        }
        if part.exposure_limits.iter().any(|limit| limit.skin) {
            note(
                "through_the_skin",
                &part.id,
                "It passes through the skin: a limit for its vapour is not enough.",
            );
        }
        if without_statements(part) {
            note(
                "no_statements",
                &part.id,
                "No hazard statements are stored here: read the supplier's data sheet.",
            );
        }
    }
    for (given, _) in &liquid.given {
        if let Given::Mixture(mixture) = given {
            note("taken_as", &mixture.id, &format!("{} is taken as: {}.", mixture.name, mixture.source));
        }
    }
    statements.sort_unstable();
    statements.dedup();
    (statements.into_iter().map(Text::Borrowed).collect(), notes)
}

/// The order with its reasons, what dominates, and what has no place.
struct Ranked {
    order: Vec<OrderStep>,
    dominated: Vec<Dominated>,
    not_compared: Vec<NotCompared>,
    /// Places in the request of those of the first step.
    first: Vec<usize>,
}

fn rank(question: &Question, found: &[Found<'_>]) -> Ranked {
    let ids = criteria(question.used);
    let (mut contenders, mut places) = (Vec::new(), Vec::new());
    let (mut not_compared, mut banned) = (Vec::new(), Vec::new());
    for (place, (one, name)) in found.iter().zip(&question.names).enumerate() {
        if one.liquid.not_for_school_use().is_some() {
            banned.push(name.clone());
            continue;
        }
        let mut figures = Vec::with_capacity(ids.len());
        let mut missing: Vec<String> = Vec::new();
        for id in ids {
            match one.figure(id) {
                Ok(figure) => figures.push(figure),
                Err(why) if missing.contains(&why) => {}
                Err(why) => missing.push(why),
            }
        }
        // What its checks lack is mostly what a later criterion lacks.
        if missing.len() > 1 && one.planned.is_ok() && one.figure(OUTCOME).is_err() {
            missing.remove(0);
        }
        if missing.is_empty() {
            contenders.push(Contender { name: name.clone(), figures });
            places.push(place);
        } else {
            not_compared.push(NotCompared { liquid: name.clone(), reason: missing.join("; ") });
        }
    }
    let steps = ranking::order(&contenders);
    let members = |step: &ranking::Step| -> Vec<&Contender> {
        step.members.iter().filter_map(|place| contenders.get(*place)).collect()
    };
    let mut order = Vec::new();
    let mut before: Option<Vec<&Contender>> = None;
    for step in &steps {
        let these = members(step);
        let tie = if these.len() > 1 { " They tie: no criterion tells them apart." } else { "" };
        let criterion = step.by.and_then(|by| ids.get(by).map(|id| (by, *id)));
        let reason = match (criterion, &before) {
            (Some((place, id)), Some(before)) => reason(id, place, before, &these),
            _ if steps.len() == 1 => "All that could be compared stand here.".to_owned(),
            _ => "Least hazardous by what is compared.".to_owned(),
        };
        order.push(OrderStep {
            liquids: these.iter().map(|one| one.name.clone()).collect(),
            criterion: criterion.map(|(_, id)| Text::Borrowed(id)),
            reason: format!("{reason}{tie}"),
        });
        before = Some(these);
    }
    if !banned.is_empty() {
        banned.sort_unstable();
        order.push(OrderStep {
            liquids: banned,
            criterion: Some(Text::Borrowed("not_for_school_use")),
            reason: "Not for school use, whatever else is known: last.".to_owned(),
        });
    }
    let first = steps.first().map_or_else(Vec::new, |step| {
        step.members.iter().filter_map(|place| places.get(*place).copied()).collect()
    });
    not_compared.sort_by(|a, b| a.liquid.cmp(&b.liquid));
    Ranked { order, dominated: dominated(&contenders, ids), not_compared, first }
}

fn dominated(contenders: &[Contender], ids: &[&'static str]) -> Vec<Dominated> {
    let mut all: Vec<Dominated> = Vec::new();
    for worse in contenders {
        for better in contenders {
            let better_in = better.dominates(worse);
            if !better_in.is_empty() {
                all.push(Dominated {
                    liquid: worse.name.clone(),
                    by: better.name.clone(),
                    better_in: better_in
                        .into_iter()
                        .filter_map(|place| ids.get(place).map(|id| Text::Borrowed(*id)))
                        .collect(),
                });
            }
        }
    }
    all.sort_by(|a, b| (&a.liquid, &a.by).cmp(&(&b.liquid, &b.by)));
    all
}

fn compose(question: &Question, found: &[Found<'_>], scope: &mut Scope, request: Group) -> Option<Composed> {
    let mut draft = scope.draft_taken();
    let rules = &scope.rules;
    for (one, name) in found.iter().zip(&question.names) {
        if let Some(check) = one.worst() {
            let mut check = check.clone();
            check.basis.text = Text::Owned(format!("{name}: {}", check.basis.text));
            draft.checks.push(check);
        }
    }
    let rows: Vec<ComparedLiquid> =
        found.iter().zip(&question.names).map(|(one, name)| row(question, one, name, draft.full)).collect();
    let ranked = rank(question, found);
    say(question, found, &rows, &ranked, &mut draft, rules);
    let verdict = draft.bare_verdict(|draft| sentence(question, found, &ranked, draft, rules));
    let record = record(&draft, request).ok()?;
    let reply = ComparisonReply {
        verdict: verdict.clone(),
        used: question.used,
        criteria: criteria(question.used)
            .iter()
            .map(|id| Criterion { id: Text::Borrowed(id), text: Text::Borrowed(by(id).text) })
            .collect(),
        order: ranked.order,
        dominated: ranked.dominated,
        not_compared: ranked.not_compared,
        basis: draft.close(rules, record),
        rows,
    };
    let table = table(&reply.rows);
    Some(Composed { series: Some(table), ..Composed::of(reply, &verdict) })
}

fn say(
    question: &Question,
    found: &[Found<'_>],
    rows: &[ComparedLiquid],
    ranked: &Ranked,
    draft: &mut Draft,
    rules: &Rules,
) {
    let mut considered: Vec<&str> = Vec::new();
    for check in found.iter().flat_map(|one| &one.checks) {
        // Ids are of the program and live as long as it.
        if let Text::Borrowed(id) = check.check
            && !considered.contains(&id)
        {
            considered.push(id);
            draft.consider(id);
        }
    }
    draft.method("order_by_criteria");
    if rows.iter().any(|row| !row.not_given.is_empty()) {
        draft.not_given("/rows", "figures of some liquids are not known: `not_given` of each row");
    }
    if !ranked.not_compared.is_empty() {
        draft.not_given("/order", "some liquids have no place in the order: `not_compared`");
    }
    for one in found {
        say_liquid(question, one, draft);
    }
    exposure::say_limits(draft, &[], &question.limits, rules);
    for rule in super::source::AROUND {
        draft.assume_rule(rule, rules);
    }
    for rule in ["planned_release_share", "floor_layer_depth", "amount_near_demonstration", "ignition_share"]
    {
        draft.assume_rule(rule, rules);
    }
    draft.assume(
        "each_alone",
        "Each liquid is taken alone, in one vessel, in the same room and in the same way; for the room and its floor all of it counts as vapour at once.",
    );
    draft.assume(
        "straight_sided",
        "The vessel is taken as straight-sided, and for what it gives off as full to the rim.",
    );
    draft.assume(
        "deciding_checks",
        "Of each liquid the check that decides is shown; ask `safe-fill`, and `flash-point-margin` of a heated one, for all of them, for the largest fill and for what mends one.",
    );
    draft.assume(
        "ranges",
        "Ranges count as independent of each other: two that overlap tie, although what makes them wide is in part common to both.",
    );
    if question.used == Use::Burnt {
        draft.assume_rule("lighting_wait", rules);
        say_burnt(question, draft);
    } else if question.duration.is_none() {
        draft.assume_rule("unknown_duration", rules);
    }
    let hot = found.iter().any(|one| one.temperature > question.surroundings.air.temperature);
    if hot && question.used != Use::Burnt {
        let stated = found.iter().any(|one| one.heating.is_stated());
        if !stated {
            draft.not_considered(heating::HOT_SURFACE, heating::GIVE);
        }
        draft.caution("heat_by_bath", "Heat by a water bath, never over a flame.");
    }
    draft.outside("fitness", "whether a liquid serves the practical is not judged");
    draft.outside(
        "environment",
        "waste and harm to waters are not compared: `storage` names the waste of one liquid",
    );
    draft.outside("health_at_contact", "beyond the gravest statement, what it does to skin, eyes and when swallowed is not ranked: `hazard_statements` and `notes` of each row");
    draft.caution("statements_from_memory", "Hazard statements and soot are from memory in part and not whole: the supplier's data sheet decides.");
    draft.caution("least_is_not_harmless", "The least hazardous of several may still be over its limits, and one that is not in the list may be less hazardous.");
}

fn say_liquid(question: &Question, one: &Found<'_>, draft: &mut Draft) {
    let liquid = one.liquid;
    draft.molar_mass(liquid);
    draft.figures(liquid, "density", |part| Some(&part.density));
    draft.figures(liquid, "diffusivity_in_air", |part| part.diffusivity.as_ref());
    draft.figures(liquid, "autoignition_temperature", |part| part.autoignition_temperature.as_ref());
    draft.figures(liquid, "lower_flammable_limit", |part| part.lower_limit.as_ref());
    vapour_space::say_flash_point(draft, liquid, &one.flash);
    if let Some(over) = one.over.as_ref().ok().and_then(|over| over.first()) {
        vapour_space::say_vapour(draft, liquid, over);
    }
    for method in ["headspace", "film_evaporation", "vessel_fill"] {
        draft.method(method);
    }
    if one.share().is_some() {
        for method in [
            "vapour_volume",
            "lower_limit_at_temperature",
            "mixed_room",
            "floor_layer",
            "ignition_reach",
            "spill_pool",
        ] {
            draft.method(method);
        }
    }
    if liquid.substance().is_none() {
        draft.method("le_chatelier");
        draft.assume(
            "measured_apart",
            "Volumes of the parts are those measured apart at 20 Cel, before mixing.",
        );
    }
    for part in liquid.substances() {
        for limit in &part.exposure_limits {
            draft.source("exposure-limits", "exposure_limit", limit.seen);
        }
        if let Some(hazard) = &part.file.hazard {
            draft.source("memory", "hazard_statements", seen(&hazard.seen).unwrap_or(Seen::Memory));
        }
    }
    if question.used == Use::Burnt && one.planned.is_ok() {
        draft.figures(liquid, "heat_of_combustion", |part| part.heat_of_combustion.as_ref());
        for method in ["heat_release", "flame_height", "radiant_flux", "radiant_dose", "stoichiometry"] {
            draft.method(method);
        }
        if liquid.substance().is_none() {
            draft.method("burning_of_a_mixture");
        }
    }
}

fn say_burnt(question: &Question, draft: &mut Draft) {
    if !question.person.1 {
        for id in ["radiant_heat", "people_distance", "burning_spill"] {
            draft.not_considered(id, "give `nearest_person`: people watch something that burns from at least 3 m (common practice, no source)");
        }
    }
    if question.clear.is_none() {
        draft.not_considered("flame_height", "give `clear_height`: what hangs or stands over the vessel");
    }
    match question.material {
        None => draft.not_considered("thermal_shock", "give the vessel's `material`: soda-lime glass and watch glasses are likely to crack under a burning liquid (common practice, no source)"),
        Some(material) => {
            draft.source(&material.source, "material", material.seen());
            draft.method("thermal_shock");
        }
    }
    draft.caution("unseen_flame", "In bright light some flames are hardly seen: a vessel that seems to be out may still burn; cover it with a lid to be sure.");
    draft.caution("never_refill_hot", "Never pour onto a flame, a hot vessel, an experiment that has begun or one that only seems to be out; the stock bottle is closed and at least 3 m away.");
}

fn sentence(
    question: &Question,
    found: &[Found<'_>],
    ranked: &Ranked,
    draft: &Draft,
    rules: &Rules,
) -> String {
    const UNJUDGED: &str = " Fitness is not judged.";
    let many = found.len();
    let what = match question.used {
        Use::Open => "open use",
        Use::Heated => "heating",
        Use::Burnt => "burning",
    };
    let over = found.iter().filter(|one| one.outcome() == Outcome::OverLimit).count();
    let missing = ranked.not_compared.len();
    let missing = if missing == 0 { String::new() } else { format!(" {missing} not compared.") };
    let over_too = if over == 0 { String::new() } else { format!(" {over} over a limit.") };
    let firsts: Vec<(&Found<'_>, &String)> = ranked
        .first
        .iter()
        .filter_map(|place| Some((found.get(*place)?, question.names.get(*place)?)))
        .collect();
    if firsts.is_empty() {
        let must = format!("None of {many} liquids for {what} could be placed.{over_too}{missing}{UNJUDGED}");
        return draft::sentence(rules, &must, "", "");
    }
    let worst = firsts.iter().filter_map(|(one, _)| one.worst()).max_by(|a, b| draft::milder(a, b));
    let status = match worst.map(|check| (check.status, check.check.replace('_', " "))) {
        Some((Outcome::OverLimit, by)) => format!("over the limit of {by}"),
        Some((Outcome::NearLimit, by)) => format!("near the limit of {by}"),
        _ => "within the limits".to_owned(),
    };
    let marks = draft::marks(worst);
    let said = |longest: usize, counts: &str| {
        let cut = |(one, name): &(&Found<'_>, &String)| -> String {
            if name.chars().count() <= longest {
                return (*name).clone();
            }
            draft::named(one.liquid).chars().take(longest).collect()
        };
        let named = match firsts.as_slice() {
            [one] => format!("{} is least hazardous", cut(one)),
            [one, two] => format!("{} and {} tie as least hazardous", cut(one), cut(two)),
            all => format!("{} tie as least hazardous", all.len()),
        };
        format!("Of {many} liquids for {what} {named}, {status}{marks}.{counts}{UNJUDGED}")
    };
    let counts = format!("{over_too}{missing}");
    let tried = [said(LONGEST_NAME, &counts), said(SHORT_NAME, &counts), said(SHORT_NAME, "")];
    let fits = tried.iter().find(|said| said.chars().count() <= LONGEST_SAID);
    let must = fits.or_else(|| tried.last()).map_or("", String::as_str);
    draft::sentence(rules, must, "", if draft.complete() { "" } else { " Not all was considered." })
}

fn table(rows: &[ComparedLiquid]) -> Series {
    let heads = ["liquid", "outcome", "governed_by", "liquid_temperature.value [Cel]"];
    let figures = [
        ("flash_point", "Cel"),
        ("margin", "K"),
        ("room_share", "%"),
        ("exposure_index", "1"),
        ("heat_release", "kW"),
        ("flame_height", "cm"),
        ("flash_at_lighting", "kJ"),
        ("autoignition", "Cel"),
    ];
    let mut header: Vec<String> = heads.iter().map(|&head| head.to_owned()).collect();
    for (name, unit) in figures {
        for part in ["value", "low", "high"] {
            header.push(format!("{name}.{part} [{unit}]"));
        }
    }
    header.extend(["headspace", "soot", "hazard_statements"].map(str::to_owned));
    let word =
        |value: Option<Value>| value.as_ref().and_then(Value::as_str).map_or_else(String::new, str::to_owned);
    let line = |row: &ComparedLiquid| {
        let mut cells = vec![
            row.name.clone(),
            word(serde_json::to_value(row.outcome).ok()),
            row.governed_by.as_ref().map_or_else(String::new, |by| by.check.to_string()),
            row.liquid_temperature.value.to_string(),
        ];
        let number = |number: Option<f64>| number.map_or_else(String::new, |number| number.to_string());
        for figure in [
            &row.flash_point,
            &row.margin,
            &row.room_share,
            &row.exposure_index,
            &row.heat_release,
            &row.flame_height,
            &row.flash_at_lighting,
            &row.autoignition,
        ] {
            let figure = figure.as_ref();
            cells.push(number(figure.map(|figure| figure.value)));
            cells.push(number(figure.and_then(|figure| figure.low)));
            cells.push(number(figure.and_then(|figure| figure.high)));
        }
        cells.push(word(row.headspace.and_then(|headspace| serde_json::to_value(headspace).ok())));
        cells.push(row.soot.as_ref().map_or_else(String::new, ToString::to_string));
        cells.push(row.hazard_statements.join(" "));
        cells
    };
    Series { header, rows: rows.iter().map(line).collect() }
}
