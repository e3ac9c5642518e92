//! `exposure`: what the nearest person breathes, against exposure limits.

use super::breathing::{self, Breathed, Counted, Emission, Index, LimitsAsked, PartLimits, Stay};
use super::check::{Compared, decide, not_assessed};
use super::draft::{self, Draft};
use super::evaporation::not_evaporating;
use super::heating::{self, Heating};
use super::ignition::{Ignition, IgnitionAsked};
use super::reader::{Asked, Either, Fields};
use super::record::{Group, record};
use super::remedy::{self, Change};
use super::room::{Room, RoomAsked, Surroundings};
use super::rules::Rules;
use super::source::{self, Source, SourceAsked};
use super::{Composed, Scope, field, liquid, vapour_space};
use crate::liquid::evaporation::NotEvaporating;
use crate::liquid::vapour::Over;
use crate::liquid::{Composition, Liquid, Part};
use crate::physics::evaporation::Surface;
use crate::physics::flammable_limit::as_mass;
use crate::physics::maths::root;
use crate::quantity::round::{cautious_down, cautious_up, significant};
use crate::quantity::{Estimate, si};
use brimline_openapi::{
    Check, ComponentExposure, Evidence, ExposureReply, MustBe, Outcome, Quantity, Seen, Text,
};
use uom::si::f64::{Length, MassRate, Ratio, Time, Velocity};

/// The question's name.
pub const NAME: &str = "exposure";
const SHORT: &str = "short_term_exposure";
const LONG: &str = "long_term_exposure";
/// Most air changes that are looked at, /h.
const MOST_AIR_CHANGES: f64 = 100.0;
/// Amounts and surfaces are looked for from so small a share of what was asked.
const SMALLEST_SHARE: f64 = 1e-6;

/// Where the vapour comes from.
#[derive(Debug, Clone, Copy)]
enum From {
    /// An open surface.
    Surface(Source),
    /// A steady rate: mass of liquid per time, and how it was asked.
    Rate(Estimate<MassRate>, f64, &'static str),
}

/// The question as it was asked, defaults filled in.
#[derive(Debug, Clone, Copy)]
struct Question<'a> {
    liquid: &'a Liquid,
    surroundings: Surroundings,
    from: From,
    stay: Stay,
    speed: Estimate<Velocity>,
    /// The nearest ignition source, where it is stated or matters.
    flame: Option<Ignition>,
}

/// What each composition gives off, with the limits of its parts.
type Given = Vec<(Emission, Vec<PartLimits>)>;

/// Reads and answers the question.
pub fn answer(fields: &Fields<'_>, scope: &mut Scope) -> Option<Composed> {
    let asked_liquid = liquid::read(fields, scope.draft.catalogue);
    let room = RoomAsked::read(fields, true);
    let group = fields.group("source");
    let source = group.as_ref().map(|group| {
        let source = SourceAsked::read(group, "amount", asked_liquid.as_ref(), &room);
        group.finish();
        source
    });
    let rate = fields.either("generation_rate", &field::MASS_RATE, &field::LIQUID_RATE);
    match (fields.value("source").is_some(), fields.value("generation_rate").is_some()) {
        (true, true) => fields.faults().add(
            "given-twice",
            fields.at("generation_rate"),
            "give either `source` or `generation_rate`",
            None,
        ),
        (false, false) => fields.faults().add(
            "missing-field",
            fields.at("source"),
            "`source` or `generation_rate` is missing: where the vapour comes from",
            None,
        ),
        _ => {}
    }
    let ignition = IgnitionAsked::read(fields, &room);
    if let Some(source) = &source {
        ignition.fits(fields, &source.heating);
    }
    let duration = fields.required_quantity("duration", &field::DURATION);
    let distance = fields.quantity("distance", &field::DISTANCE);
    room.holds(fields, "distance", distance.as_ref());
    let speed = fields.quantity("air_speed", &field::AIR_SPEED);
    still_air(fields, speed.as_ref());
    let limits = LimitsAsked::read(fields, asked_liquid.as_ref(), scope.draft.catalogue);
    fields.finish();
    let asked_liquid = asked_liquid.filter(|_| fields.faults().is_empty())?;
    let (rules, draft) = (&scope.rules, &mut scope.draft);
    let mut request = Group::default();
    request.word("question", NAME);
    liquid::record(&asked_liquid, "liquid", &mut request);
    let surroundings = room.surroundings(rules, draft, &mut request);
    let heating = source.as_ref().map(|source| source.heating).unwrap_or_default();
    let from = match (source, rate) {
        (Some(source), _) => {
            room.keeps_liquid(fields, &asked_liquid, surroundings.air);
            let mut group = Group::default();
            let at = fields.group("source")?;
            let source = source.resolve((&at, &asked_liquid), &surroundings, rules, draft, &mut group)?;
            request.group("source", group);
            From::Surface(source)
        }
        (None, Some(Either::First(rate))) => {
            request.quantity("generation_rate", &rate);
            From::Rate(Estimate::exact(rate.quantity), rate.number, rate.unit)
        }
        (None, Some(Either::Second(rate))) => {
            request.quantity("generation_rate", &rate);
            From::Rate(
                asked_liquid.density().rising(|density| rate.quantity * density),
                rate.number,
                rate.unit,
            )
        }
        (None, None) => return None,
    };
    let duration = duration?;
    request.quantity("duration", &duration);
    let distance = distance.unwrap_or_else(|| {
        draft.assume_rule("near_zone_radius", rules);
        field::DISTANCE.asked(rules.number("near_zone_radius"))
    });
    request.quantity("distance", &distance);
    request.given("air_speed", speed.as_ref());
    // Only a halogenated vapour is held against flames here.
    let near = heating::halogenated(&asked_liquid) || ignition.is_given();
    let ignition = near.then(|| ignition.resolve(&heating, rules, draft, &mut request));
    limits.record(&mut request);
    rules.record(&mut request);
    let question = Question {
        liquid: &asked_liquid,
        surroundings,
        from,
        flame: ignition,
        stay: Stay { room: surroundings.room?, distance: distance.quantity, duration: duration.quantity },
        speed: source::speeds(speed.as_ref(), source::AROUND, draft, rules),
    };
    if !fields.faults().is_empty() {
        return None;
    }
    match given(question, &limits, rules) {
        Ok((given, over)) => {
            compose(question, &given, &over, &limits, (&duration, &distance), scope, request)
        }
        Err(why) => {
            not_evaporating(fields, &why);
            None
        }
    }
}

impl Question<'_> {
    /// What heats the liquid; nothing does where it is given off at a rate.
    fn heating(&self) -> Heating {
        match &self.from {
            From::Surface(source) => source.heating,
            From::Rate(..) => Heating::none(self.surroundings.air),
        }
    }
}

/// Air that stands still carries nothing out of the near zone.
fn still_air(fields: &Fields<'_>, speed: Option<&Asked<Velocity>>) {
    if speed.is_some_and(|speed| speed.number <= 0.0) {
        let detail = "some air always moves around people; the least that is taken is 0.05 m/s";
        fields.faults().add("impossible-value", fields.at("air_speed"), detail, Some("0.05 m/s".into()));
    }
}

/// What each composition gives off.
///
/// # Errors
/// [`NotEvaporating`].
fn given(
    question: Question<'_>,
    limits: &LimitsAsked,
    rules: &Rules,
) -> Result<(Given, Vec<Over>), NotEvaporating> {
    let Question { liquid, surroundings, from, speed, stay, .. } = question;
    let temperature = match &from {
        From::Surface(source) => source.temperature(&surroundings),
        From::Rate(..) => surroundings.air.temperature,
    };
    let over = liquid.over(temperature)?;
    let one = |composition: &Composition, over: &Over| {
        let emission = match &from {
            From::Surface(source) => of_source(composition, over, source, &surroundings, speed)?,
            From::Rate(rate, ..) => {
                let grams: f64 = composition.parts.iter().map(Part::grams).sum();
                let moles = si::in_gram_per_minute(rate.high) / 60.0 / grams;
                let rates = composition.parts.iter().map(|part| part.fraction * moles).collect();
                // Sprayed or wiped, all of it becomes vapour: it may stand as high as over the parts alone.
                let saturation = composition
                    .parts
                    .iter()
                    .zip(&over.partial)
                    .map(|(part, partial)| {
                        let alone = part
                            .substance
                            .vapour
                            .at(temperature)
                            .map_or(partial.high, |found| found.pressure.high);
                        si::in_fraction(alone / surroundings.air.pressure).min(1.0)
                    })
                    .collect();
                Emission::steady(rates, speed, stay.duration, saturation)
            }
        };
        Ok((emission, limits.of(composition, rules)))
    };
    let given: Result<Given, NotEvaporating> =
        liquid.compositions.iter().zip(&over).map(|(composition, over)| one(composition, over)).collect();
    Ok((given?, over))
}

/// What the vessels of a source give off.
///
/// # Errors
/// [`NotEvaporating`].
pub fn of_source(
    composition: &Composition,
    over: &Over,
    source: &Source,
    surroundings: &Surroundings,
    speed: Estimate<Velocity>,
) -> Result<Emission, NotEvaporating> {
    let density = composition.density();
    let denser = si::in_fraction(density.high / density.value);
    let moles = composition.moles_in(source.amount.high * denser);
    Emission::of_surface(
        composition,
        over,
        |speed| source.conditions(surroundings, speed),
        speed,
        &moles,
        source.count,
    )
}

/// What is tried: the share of the amount, where and how long the person stays.
#[derive(Debug, Clone, Copy)]
struct Tried {
    share: f64,
    stay: Stay,
}

fn worst(given: &Given, tried: Tried) -> f64 {
    let one = |(emission, limits): &(Emission, Vec<PartLimits>)| {
        breathing::worst_index(emission, tried.stay, tried.share, limits)
    };
    given.iter().map(one).fold(0.0, f64::max)
}

/// The index over all compositions in which the liquid is sold.
fn indices(found: &[Vec<Estimate<Breathed>>], given: &Given) -> Index {
    let each = found.iter().zip(given).map(|(found, (_, limits))| breathing::index(found, limits));
    each.reduce(|whole, one| Index {
        short: Estimate {
            value: whole.short.value,
            low: whole.short.low.min(one.short.low),
            high: whole.short.high.max(one.short.high),
        },
        long: Estimate {
            value: whole.long.value,
            low: whole.long.low.min(one.long.low),
            high: whole.long.high.max(one.long.high),
        },
    })
    .unwrap_or(Index { short: Estimate::exact(0.0), long: Estimate::exact(0.0) })
}

/// The two checks of an index.
pub fn checks(question: &'static str, index: Index, limits: &[PartLimits]) -> Vec<Check> {
    [
        one_check(SHORT, question, index.short, limits, |part| part.short.as_ref(), "15 minutes"),
        one_check(LONG, question, index.long, limits, |part| part.long.as_ref(), "8 hours"),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn one_check(
    id: &'static str,
    question: &'static str,
    index: Estimate<f64>,
    limits: &[PartLimits],
    limit: fn(&PartLimits) -> Option<&Counted>,
    over: &str,
) -> Option<Check> {
    let needed: Vec<&PartLimits> = limits.iter().filter(|part| part.needed).collect();
    let missing: Vec<&str> =
        needed.iter().filter(|part| limit(part).is_none()).map(|part| part.substance.name()).collect();
    let grounds = breathing::grounds(limits, limit, over);
    if needed.is_empty() {
        return None;
    }
    let over_already = decide(index.high, 1.0, MustBe::AtMost).0 == Outcome::OverLimit;
    if !missing.is_empty() && !over_already {
        // A list that names only a short-term limit of a part names no other; one of the request says nothing of the 8 hours.
        let listed = |part: &&PartLimits| part.short.as_ref().is_some_and(|short| !short.own);
        let by_short = id == LONG && needed.iter().all(|part| limit(part).is_some() || listed(part));
        if by_short {
            return None;
        }
        let reason = format!(
            "no exposure limit of {} is known here: read the supplier's data sheet, and pass it in `limits`",
            missing.join(", ")
        );
        let mut grounds = grounds;
        grounds.text = Text::Borrowed("Exposure limits of lists, or of the request.");
        return Some(not_assessed(id, question, Quantity::exact(1.0, "1"), MustBe::AtMost, grounds, &reason));
    }
    let alone = match needed.as_slice() {
        [one] => limit(one).map(|limit| significant(si::in_parts_per_million(limit.fraction), 12)),
        _ => None,
    };
    let (value, bound, unit) = match alone {
        Some(ppm) => (index.rising(|index| index * ppm), ppm, "[ppm]"),
        None => (index, 1.0, "1"),
    };
    let compared = Compared {
        check: id,
        question,
        value,
        limit: bound,
        unit,
        must_be: MustBe::AtMost,
        grounds,
        evidence: Evidence::Estimated,
    };
    Some(compared.decided())
}

/// The largest share of the amount at which a person is within the limits; `None` where no amount goes over them.
#[must_use]
pub fn largest_share(index: impl Fn(f64) -> f64, most: f64) -> Option<f64> {
    if index(most) <= 1.0 {
        return None;
    }
    if index(SMALLEST_SHARE) > 1.0 {
        return Some(0.0);
    }
    let found = root(
        |ln_share| index(crate::physics::maths::exp(ln_share)) - 1.0,
        crate::physics::maths::ln(SMALLEST_SHARE),
        crate::physics::maths::ln(most),
        1e-9,
    );
    found.map(crate::physics::maths::exp)
}

fn remedies(
    question: Question<'_>,
    given: &Given,
    (duration, distance): (&Asked<Time>, &Asked<Length>),
    draft: &mut Draft,
) {
    let Question { from, stay, .. } = question;
    let (field, number, unit, text) = match &from {
        From::Surface(source) => {
            ("/source/amount", source.asked.0, source.asked.1, ("Put at most ", " in each vessel"))
        }
        From::Rate(_, number, unit) => ("/generation_rate", *number, *unit, ("Give off at most ", "")),
    };
    let changes = [
        Change {
            change: "amount",
            field,
            unit,
            from: number,
            furthest: (number / 1000.0).max(source::LEAST_AMOUNT),
            text,
        },
        Change {
            change: "duration",
            field: "/duration",
            unit: "min",
            from: duration.number,
            furthest: duration.number / 1000.0,
            text: ("Stay for at most ", ""),
        },
        Change {
            change: "distance",
            field: "/distance",
            unit: "m",
            from: distance.number,
            furthest: si::in_metre(stay.room.longest_way()),
            text: ("Stay at least ", " away"),
        },
        Change {
            change: "air_changes",
            field: "/room/air_changes",
            unit: "/h",
            from: si::in_per_hour(stay.room.air_changes),
            furthest: MOST_AIR_CHANGES,
            text: ("Bring the air changes to at least ", ""),
        },
    ];
    let heating = draft.checks.iter().filter(|check| heating::is_one(check)).map(|check| check.status).max();
    let heating = heating.unwrap_or(Outcome::NoLimitChecked);
    for place in 0..draft.checks.len() {
        let own = draft.checks.get(place).filter(|check| !heating::is_one(check));
        let Some(check) = own.filter(|check| check.status == Outcome::OverLimit) else {
            continue;
        };
        let short = check.check == SHORT;
        let remedy = remedy::smallest(&changes, |change, to| {
            let mut tried = Tried { share: 1.0, stay };
            match change.change {
                "amount" => tried.share = to / number,
                "duration" => tried.stay.duration = si::minute(to),
                "distance" => tried.stay.distance = si::metre(to),
                _ => tried.stay.room.air_changes = si::per_hour(to),
            }
            let (this, other) = given
                .iter()
                .map(|(emission, limits)| breathing::worst_indices(emission, tried.stay, tried.share, limits))
                .fold((0.0_f64, 0.0_f64), |a, b| (a.0.max(b.0), a.1.max(b.1)));
            let (this, other) = if short { (this, other) } else { (other, this) };
            // A part without a limit leaves it unassessed where what is known is within.
            let missing =
                given.iter().flat_map(|(_, limits)| limits).any(|part| part.needed && part.short.is_none());
            let status = |index| {
                let status = decide(index, 1.0, MustBe::AtMost).0;
                if missing { status.max(Outcome::NotAssessed) } else { status }
            };
            Some((status(this), status(this).max(status(other)).max(heating)))
        });
        if let Some(check) = draft.checks.get_mut(place) {
            check.remedy = remedy;
        }
    }
}

/// The largest amount or surface and the air changes that bring it within the limits.
struct ToAct {
    amount: Option<f64>,
    surface: Option<f64>,
    air_changes: Option<f64>,
}

fn to_act(
    question: Question<'_>,
    given: &Given,
    limits: &LimitsAsked,
    rules: &Rules,
    draft: &mut Draft,
) -> ToAct {
    let Question { from, stay, .. } = question;
    let mut found = ToAct { amount: None, surface: None, air_changes: None };
    let assessed = given
        .iter()
        .flat_map(|(_, limits)| limits)
        .filter(|part| part.needed)
        .all(|part| part.short.is_some());
    if !assessed {
        for pointer in ["/largest_amount", "/needed_air_changes"] {
            draft.not_given(pointer, "no exposure limit of a part is known here");
        }
        return found;
    }
    let index = |share: f64| worst(given, Tried { share, stay });
    if let From::Surface(source) = &from {
        let most = 1e4;
        match largest_share(index, most) {
            Some(share) => found.amount = Some(cautious_down(share * si::in_millilitre(source.amount.value))),
            None => {
                draft.outside("largest_amount", "in this time no amount on this surface goes over a limit")
            }
        }
        if given.iter().any(|(emission, _)| emission.outlasts(stay.duration)) {
            let area = |share: f64| {
                let surface = Surface::of_area(source.surface.area * share, source.surface.freeboard);
                let changed = Question { from: From::Surface(Source { surface, ..*source }), ..question };
                self::given(changed, limits, rules)
                    .map_or(f64::INFINITY, |(given, _)| worst(&given, Tried { share: 1.0, stay }))
            };
            if let Some(share) = largest_share(area, 100.0) {
                found.surface = Some(cautious_down(share * si::in_square_centimetre(source.surface.area)));
            }
        }
    }
    let with = |changes: f64| {
        let mut tried = Tried { share: 1.0, stay };
        tried.stay.room.air_changes = si::per_hour(changes);
        worst(given, tried)
    };
    if with(0.0) <= 1.0 {
        found.air_changes = Some(0.0);
    } else if with(MOST_AIR_CHANGES) > 1.0 {
        draft.not_given(
            "/needed_air_changes",
            "no air changes up to 100 /h suffice: beside the liquid they do little",
        );
    } else {
        found.air_changes = root(|changes| with(changes) - 1.0, 0.0, MOST_AIR_CHANGES, 1e-9)
            .map(|changes| cautious_up(changes * (1.0 + 1e-9)));
    }
    found
}

fn compose(
    question: Question<'_>,
    given: &Given,
    over: &[Over],
    limits: &LimitsAsked,
    asked: (&Asked<Time>, &Asked<Length>),
    scope: &mut Scope,
    request: Group,
) -> Option<Composed> {
    let mut draft = scope.draft_taken();
    let rules = &scope.rules;
    let liquid = question.liquid;
    let found: Vec<Vec<Estimate<Breathed>>> =
        given.iter().map(|(emission, _)| breathing::breathed(emission, question.stay, 1.0)).collect();
    let index = indices(&found, given);
    let (_, part_limits) = given.first()?;
    draft.checks = checks(NAME, index, part_limits);
    draft.checks.extend(question.heating().checks(NAME, liquid, question.flame, rules));
    remedies(question, given, asked, &mut draft);
    question.heating().mend(
        (NAME, liquid, "/source/surface_temperature"),
        question.flame,
        question.stay.room.longest_way(),
        &mut draft,
        rules,
    );
    say(question, part_limits, over, limits, &mut draft, rules);
    let act = to_act(question, given, limits, rules, &mut draft);
    let components: Vec<ComponentExposure> = liquid
        .usual()
        .parts
        .iter()
        .zip(found.first()?)
        .zip(part_limits)
        .map(|((part, found), limits_of)| {
            component(part, found, limits_of, &question.stay.room, limits.list())
        })
        .collect();
    let any = part_limits.iter().any(|part| part.needed && (part.short.is_some() || part.long.is_some()));
    let largest = if index.long.high > index.short.high { index.long } else { index.short };
    let verdict = draft.verdict(NAME, liquid, rules, |draft| sentence(question, &components, draft, rules));
    let record = record(&draft, request).ok()?;
    let reply = ExposureReply {
        verdict: verdict.clone(),
        liquid: liquid::echo(liquid),
        components,
        additive_exposure_index: any.then(|| draft::estimate(largest, "1")),
        largest_amount: act.amount.map(|most| Quantity::exact(most, "mL")),
        largest_surface: act.surface.map(|most| Quantity::exact(most, "cm2")),
        needed_air_changes: act.air_changes.map(|changes| Quantity::exact(changes, "/h")),
        basis: draft.finish(liquid, rules, record),
    };
    Some(Composed::of(reply, &verdict))
}

fn component(
    part: &Part,
    found: &Estimate<Breathed>,
    limits: &PartLimits,
    room: &Room,
    list: Option<&str>,
) -> ComponentExposure {
    let figure =
        |pick: fn(&Breathed) -> f64| Estimate::new(pick(&found.value), pick(&found.low), pick(&found.high));
    let ppm = |figure: Estimate<f64>| draft::estimate(figure.rising(|fraction| fraction * 1e6), "[ppm]");
    let mass = |figure: Estimate<f64>| {
        let one = |fraction: f64| {
            let mass = as_mass(
                si::fraction(fraction),
                part.substance.molar_mass,
                room.air.temperature,
                room.air.pressure,
            );
            si::in_gram_per_cubic_metre(mass) * 1000.0
        };
        draft::estimate(figure.rising(one), "mg/m3")
    };
    let limit =
        |counted: Option<&Counted>| -> (Option<Quantity>, Option<Quantity>, Option<Text>, Option<Seen>) {
            let Some(counted) = counted else { return (None, None, None, None) };
            let printed = |fraction: Ratio| {
                si::in_gram_per_cubic_metre(breathing::as_mass(fraction, part.substance, list)) * 1000.0
            };
            (
                Some(Quantity::exact(significant(si::in_parts_per_million(counted.fraction), 12), "[ppm]")),
                Some(Quantity::exact(significant(printed(counted.fraction), 4), "mg/m3")),
                Some(Text::Owned(counted.words.clone())),
                Some(counted.seen),
            )
        };
    let short = limit(limits.short.as_ref());
    let long = limit(limits.long.as_ref());
    ComponentExposure {
        substance: Text::Borrowed(part.substance.id.as_str()),
        near_field: ppm(figure(|found| found.near)),
        near_field_mass: mass(figure(|found| found.near)),
        far_field: ppm(figure(|found| found.far)),
        far_field_mass: mass(figure(|found| found.far)),
        short_term_average: ppm(figure(|found| found.short)),
        short_term_average_mass: mass(figure(|found| found.short)),
        long_term_average: ppm(figure(|found| found.long)),
        long_term_average_mass: mass(figure(|found| found.long)),
        short_term_limit: short.0,
        short_term_limit_mass: short.1,
        short_term_limit_source: short.2,
        short_term_limit_seen: short.3,
        long_term_limit: long.0,
        long_term_limit_mass: long.1,
        long_term_limit_source: long.2,
        long_term_limit_seen: long.3,
    }
}

/// Says which limits count, and what they leave out.
pub fn say_limits(draft: &mut Draft, parts: &[PartLimits], limits: &LimitsAsked, rules: &Rules) {
    for method in ["two_zones", "exposure_averages"] {
        draft.method(method);
    }
    draft.assume_rule("short_term_factor", rules);
    match (limits.own(), limits.list()) {
        (true, _) => draft.assume("own_limits", "Limits of the request count first, then those of the lists."),
        (false, Some(list)) => draft.assume("list", format!("The limits of {list} count.")),
        (false, None) => draft.assume("lowest_of_lists", "No list is named: the lowest limit of the lists that are stored counts, which may not be the one in force."),
    }
    draft.assume(
        "alike_effects",
        "The effects of several vapours are taken to be alike: their shares of their limits add up.",
    );
    for part in parts {
        let seen = |counted: &Option<Counted>| counted.as_ref().map(|counted| counted.seen);
        for seen in [seen(&part.short), seen(&part.long)].into_iter().flatten() {
            draft.source("exposure-limits", "exposure_limit", seen);
        }
        if part.substance.exposure_limits.iter().any(|limit| limit.skin) {
            draft.caution(
                "through_the_skin",
                format!(
                    "{} passes through the skin: a limit for its vapour is not enough.",
                    part.substance.name()
                ),
            );
        }
        if part.short.as_ref().is_some_and(|counted| counted.ceiling) {
            draft.caution(
                "ceiling",
                format!("The limit of {} holds at every moment, not on the average.", part.substance.name()),
            );
        }
    }
    draft.caution("lists_are_not_whole", "The lists stored here are not whole, and some are from memory: a limit, a lower one or a skin notation that is missing here may exist; confirm each in the list in force.");
    draft.caution("mist", "Limits are for vapour: spraying makes mist, which is breathed in besides.");
    draft.caution("as_low_as_can_be", "A limit is no line between harmless and harmful: keep what is breathed as low as it can be, and mind people who are more sensitive.");
}

fn say(
    question: Question<'_>,
    parts: &[PartLimits],
    over: &[Over],
    limits: &LimitsAsked,
    draft: &mut Draft,
    rules: &Rules,
) {
    let liquid = question.liquid;
    draft.molar_mass(liquid);
    draft.figures(liquid, "density", |substance| Some(&substance.density));
    say_limits(draft, parts, limits, rules);
    if let Some(usual) = over.first() {
        vapour_space::say_vapour(draft, liquid, usual);
    }
    if let From::Surface(source) = &question.from {
        draft.figures(liquid, "diffusivity_in_air", |substance| substance.diffusivity.as_ref());
        draft.method("film_evaporation");
        if source.heated_to.is_none() {
            draft.method("evaporative_cooling");
            draft.assume(
                "isothermal_end",
                "The upper ends are those of a liquid that does not cool; checks go by them.",
            );
        }
        if source.surface.freeboard > si::metre(0.0) {
            draft.method("stagnant_column");
        }
        if liquid.substance().is_none() {
            draft.method("drift");
            draft.assume("highest_rates", "Each part of the mixture counts as given off at the highest rate that it still reaches, until it is gone.");
        }
    } else {
        draft.assume("steady_rate", "The vapour is given off at this rate all the time.");
    }
    draft.assume(
        "stays",
        "The person stays beside the liquid all the time, and breathes none of it afterwards.",
    );
    for check in [SHORT, LONG] {
        if draft.checks.iter().any(|made| made.check == check) {
            draft.consider(check);
        } else {
            draft.outside(check, "the list names no such limit: where every 15 minutes are within the short-term one, so are 8 hours");
        }
    }
    question.heating().say(draft, liquid, false, rules);
    draft.outside("ignition", "ask `evaporation`, `safe-fill` or `spill` how far the vapour can be lit");
}

fn sentence(
    question: Question<'_>,
    components: &[ComponentExposure],
    draft: &Draft,
    rules: &Rules,
) -> String {
    let name = draft::named(question.liquid);
    if let Some(said) = heating::said(&name, draft) {
        return draft::sentence(rules, &said, "", "");
    }
    let worst = heating::own(draft);
    let marks = draft::marks(worst);
    let over = if worst.is_some_and(|check| check.check == LONG) { "8 hours" } else { "15 minutes" };
    let ratio = worst.and_then(|check| check.ratio).unwrap_or(0.0);
    let times = significant(ratio, 2);
    let must = match draft.outcome() {
        Outcome::OverLimit => {
            let change = worst.and_then(|check| check.remedy.as_ref());
            let change = change.map_or("No single change mends it.", |remedy| remedy.text.as_str());
            format!(
                "Over the limit: beside {name} up to {times} times what may be breathed over {over}{marks}. {change}"
            )
        }
        Outcome::NotAssessed => {
            format!("{name}: no exposure limit is known here for all of it; read the supplier's data sheet.")
        }
        Outcome::NearLimit => {
            format!("Near the limit: beside {name} up to {times} of what may be breathed over {over}{marks}.")
        }
        Outcome::WithinLimit => format!(
            "Within the limits checked: beside {name} at most {times} of what may be breathed over {over}{marks}."
        ),
        _ => format!("{name}: no limit was checked; {} parts were looked at.", components.len()),
    };
    draft::sentence(rules, &must, "", "")
}
