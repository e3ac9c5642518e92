//! `room-flammable-limit`: how much liquid brings a room towards its lower flammable limit.

use super::check::{Compared, not_assessed};
use super::draft::{self, Draft};
use super::evaporation::not_evaporating;
use super::heating::{self, Heating};
use super::ignition::{self, CanBeLit, GivenOff, Ignition, IgnitionAsked, Lying};
use super::picture::{Curves, Line, Picture, Shown};
use super::reader::{Asked, Either, Fields};
use super::record::{Group, record};
use super::remedy::{self, Change};
use super::room::{Room, RoomAsked, Surroundings};
use super::room_over_time::{self, Given, OverTime};
use super::rules::Rules;
use super::source::{self, Source, SourceAsked};
use super::vapour_space;
use super::{Composed, Scope, field, liquid};
use crate::liquid::evaporation::{Course, End, NotEvaporating, Start};
use crate::liquid::flash::Limit;
use crate::liquid::vapour::{NoVapour, Over};
use crate::liquid::{Composition, Liquid, spanning};
use crate::physics::{flammable_limit, room_air};
use crate::quantity::round::{cautious_down, cautious_up, four_digits};
use crate::quantity::{Estimate, si};
use brimline_openapi::{
    Check, Evidence, MustBe, Outcome, Quantity, Remedy, RoomAtTime, RoomFlammableLimitReply, Text,
};
use uom::si::f64::{Ratio, Time, Velocity, Volume, VolumeRate};

/// The question's name.
pub const NAME: &str = "room-flammable-limit";
const ROOM_SHARE: &str = "room_share_of_limit";
const FLOOR_LAYER: &str = "floor_layer";
const NEAR_FIELD: &str = "near_field";
/// Most releases in one request.
const MOST_RELEASES: u32 = 1000;

/// The question as it was asked, defaults filled in.
#[derive(Debug, Clone, Copy)]
struct Question<'a> {
    liquid: &'a Liquid,
    room: Room,
    released: Option<Released>,
    /// How many times one release is in the room just after the last: what is left of the others adds up.
    times: f64,
    open: Option<Open<'a>>,
}

/// The open surface from which it evaporates.
#[derive(Debug, Clone, Copy)]
struct Open<'a> {
    ignition: Ignition,
    can: &'a CanBeLit,
    light: bool,
    heating: Heating,
    /// Vapour of fuel at first in air of the lowest speed, all surfaces.
    rate: VolumeRate,
}

/// What was released: a volume at 20 Cel, with the range that a mass brings through the density.
#[derive(Debug, Clone, Copy)]
struct Released(Estimate<Volume>);

/// What one volume of liquid does to a room when all of it has evaporated, at the best figures and both ends.
#[derive(Debug, Clone, Copy)]
pub struct Effect {
    /// Lower flammable limit at the room's temperature.
    pub limit: Estimate<Ratio>,
    /// How much larger the vapour that can burn is than the liquid.
    pub vapour_per_liquid: Estimate<Ratio>,
    /// The room.
    pub room: Room,
    /// What the limit rests on.
    pub evidence: Evidence,
}

impl Effect {
    /// The effect of a liquid in a room; `None` without a trusted lower limit.
    #[must_use]
    pub fn of(liquid: &Liquid, room: Room) -> Option<Self> {
        let limit = liquid.lower_limit_evaporated(room.air.temperature)?;
        let fuels = || liquid.substances().filter(|substance| substance.flammable() == Some(true));
        let estimated = fuels().filter_map(|s| s.lower_limit.as_ref()).any(|figure| figure.estimated);
        Some(Self {
            limit,
            vapour_per_liquid: vapour_per_liquid(liquid, room, true),
            room,
            evidence: if estimated { Evidence::Estimated } else { Evidence::Measured },
        })
    }

    /// Share of the limit in the mixed room.
    #[must_use]
    pub fn share(&self, liquid: Estimate<Volume>) -> Estimate<Ratio> {
        let one =
            |liquid: Volume, vapour: Ratio, limit: Ratio| liquid * vapour / self.room.free_volume / limit;
        let (v, l) = (self.vapour_per_liquid, self.limit);
        Estimate::new(
            one(liquid.value, v.value, l.value),
            one(liquid.low, v.low, l.high),
            one(liquid.high, v.high, l.low),
        )
    }

    /// Depth of the floor layer, m.
    #[must_use]
    pub fn depth(&self, liquid: Estimate<Volume>) -> Estimate<f64> {
        let one = |liquid, vapour, limit| {
            si::in_metre(room_air::floor_layer_depth(liquid, self.room.free_floor, limit, vapour))
        };
        let (v, l) = (self.vapour_per_liquid, self.limit);
        Estimate::new(
            one(liquid.value, v.value, l.value),
            one(liquid.low, v.low, l.high),
            one(liquid.high, v.high, l.low),
        )
    }

    /// The most liquid, mL, that keeps the mixed room at a share of the limit, at the unfavourable ends.
    #[must_use]
    pub fn most_for_share(&self, share: f64) -> f64 {
        let fraction = self.limit.low * share;
        si::in_millilitre(room_air::liquid_for_fraction(
            self.room.free_volume,
            fraction,
            self.vapour_per_liquid.high,
        ))
    }

    /// The most liquid, mL, whose floor layer is no deeper than so many metres, at the unfavourable ends.
    #[must_use]
    pub fn most_for_depth(&self, metres: f64) -> f64 {
        let depth = si::metre(metres);
        si::in_millilitre(room_air::liquid_for_layer(
            self.room.free_floor,
            depth,
            self.limit.low,
            self.vapour_per_liquid.high,
        ))
    }
}

/// How much larger the vapour is than the liquid: that of all of it, or of what can burn.
fn vapour_per_liquid(liquid: &Liquid, room: Room, fuel: bool) -> Estimate<Ratio> {
    let one = |composition: &Composition| {
        let all = composition
            .density()
            .rising(|density| room_air::vapour_per_liquid(density, composition.molar_mass(), room.air));
        if fuel { all.rising(|ratio| ratio * composition.fuel_fraction()) } else { all }
    };
    let nothing = || Estimate::exact(si::fraction(0.0));
    spanning(liquid.compositions.iter().map(one)).unwrap_or_else(nothing)
}

/// Reads and answers the question.
pub fn answer(fields: &Fields<'_>, scope: &mut Scope) -> Option<Composed> {
    let asked_liquid = liquid::read(fields, scope.draft.catalogue);
    let asked = RoomAsked::read(fields, true);
    let released = fields.either("released", &field::LIQUID_VOLUME, &field::LIQUID_MASS);
    let repeated = Repeated::read(fields);
    let open = if fields.value("surface").is_some() {
        Some(SourceAsked::read(fields, "released", asked_liquid.as_ref(), &asked))
    } else {
        for name in [
            "count",
            "heated_to",
            "heater_power",
            "heated_by",
            "surface_temperature",
            "nearest_ignition",
            "ignition",
        ] {
            if fields.value(name).is_some() {
                let detail = format!("`{name}` belongs to an open surface: give `surface`, too");
                fields.faults().add("missing-field", fields.at("surface"), detail, None);
            }
        }
        None
    };
    let ignition = IgnitionAsked::read(fields, &asked);
    if let Some(open) = &open {
        ignition.fits(fields, &open.heating);
    }
    fields.finish();
    let asked_liquid = asked_liquid.filter(|_| fields.faults().is_empty())?;
    let mut request = Group::default();
    request.word("question", NAME);
    liquid::record(&asked_liquid, "liquid", &mut request);
    let surroundings = asked.surroundings(&scope.rules, &mut scope.draft, &mut request);
    let room = surroundings.room?;
    let released = released.map(|released| match released {
        Either::First(volume) => {
            request.quantity("released", &volume);
            Released(Estimate::exact(volume.quantity))
        }
        Either::Second(mass) => {
            request.quantity("released", &mass);
            Released(asked_liquid.density().falling(|density| mass.quantity / density))
        }
    });
    let times = repeated.times(room, &scope.rules, &mut scope.draft, &mut request);
    let Some(open) = open else {
        scope.rules.record(&mut request);
        return compose(
            Question { liquid: &asked_liquid, room, released, times, open: None },
            None,
            scope,
            request,
        );
    };
    asked.keeps_liquid(fields, &asked_liquid, surroundings.air);
    let source =
        open.resolve((fields, &asked_liquid), &surroundings, &scope.rules, &mut scope.draft, &mut request)?;
    let ignition = ignition.resolve(&open.heating, &scope.rules, &mut scope.draft, &mut request);
    scope.rules.record(&mut request);
    if !fields.faults().is_empty() {
        return None;
    }
    let courses = match courses(&asked_liquid, source, surroundings, &scope.rules, &mut scope.draft) {
        Ok(courses) => courses,
        Err(why) => {
            not_evaporating(fields, &why);
            return None;
        }
    };
    let lying = Lying {
        liquid: &asked_liquid,
        temperature: source.temperature(&surroundings),
        air: surroundings.air,
    };
    let can = lying.can_be_lit(&asked_liquid.over(lying.temperature), &scope.rules);
    let light = ignition::light(&asked_liquid, &can, &scope.rules);
    let open = Open { ignition, can: &can, light, heating: source.heating, rate: courses.rate };
    let question = Question { liquid: &asked_liquid, room, released, times, open: Some(open) };
    compose(question, Some(&courses), scope, request)
}

/// Releases that repeat.
struct Repeated {
    releases: Option<u32>,
    interval: Option<Asked<Time>>,
}

impl Repeated {
    fn read(fields: &Fields<'_>) -> Self {
        let releases =
            fields.value("releases").and_then(|_| fields.required_count("releases", MOST_RELEASES));
        let interval = fields.quantity("interval", &field::DURATION);
        if interval.is_some() && releases.is_none() {
            let detail = "`interval` belongs to several releases: give `releases`, too";
            fields.faults().add("missing-field", fields.at("releases"), detail, None);
        }
        Self { releases, interval }
    }

    /// How many times one release is in the room just after the last one.
    fn times(&self, room: Room, rules: &Rules, draft: &mut Draft, request: &mut Group) -> f64 {
        let Some(releases) = self.releases else { return 1.0 };
        request.number("releases", f64::from(releases));
        request.given("interval", self.interval.as_ref());
        let renewal = room.air_changes * rules.number("mixing_effectiveness");
        let left = self.interval.as_ref().map_or(1.0, |interval| {
            crate::physics::maths::exp(-si::in_fraction(renewal * interval.quantity))
        });
        draft.assume("releases_add_up", "Releases add up, less what the air changes carry off between them; times count from the last one.");
        if self.interval.is_some() {
            draft.assume_rule("mixing_effectiveness", rules);
            draft.method("decay");
        }
        (0..releases).fold(0.0, |sum, _| sum * left + 1.0)
    }
}

/// How the liquid leaves its surface.
struct Courses {
    /// Fast, best and slow.
    all: Vec<Given>,
    /// Vapour of fuel at first in air of the lowest speed.
    rate: VolumeRate,
    /// The speed of that air.
    slowest: Velocity,
}

fn courses(
    liquid: &Liquid,
    source: Source,
    surroundings: Surroundings,
    rules: &Rules,
    draft: &mut Draft,
) -> Result<Courses, NotEvaporating> {
    let speed = source::speeds(None, source::OVER_SURFACE, draft, rules);
    let slowest = ignition::slowest_air(rules);
    let usual = liquid.usual();
    let over = liquid.over_surface(&source.conditions(&surroundings, speed.value))?;
    let over = over.first().ok_or(NotEvaporating::Boils)?;
    let count = f64::from(source.count);
    let vapour =
        |moles: &[f64]| room_air::vapour_of(si::mole(usual.fuel_of(moles) * count), surroundings.air);
    let given = |course: &Course| Given {
        at_once: si::cubic_metre(0.0),
        intervals: course
            .intervals()
            .iter()
            .map(|(length, rates)| (si::second(*length), vapour(rates) / si::second(1.0)))
            .collect(),
    };
    let course = |end, speed, amount| {
        let conditions = source.conditions(&surroundings, speed);
        let start = usual.start(&conditions, over, end)?;
        let course = usual.course(&conditions, &start, end, &usual.moles_in(amount), true, None)?;
        Ok::<_, NotEvaporating>((course, start))
    };
    let (best, best_start) = course(End::Best, speed.value, source.amount.value)?;
    let total = |start: &Start| start.fluxes.iter().sum::<f64>();
    let (fast, slow) = if usual.parts.len() == 1 {
        (
            course(End::High, speed.high, source.amount.high)?.0,
            course(End::Low, speed.low, source.amount.high)?.0,
        )
    } else {
        let pace = |end, speed| {
            let start = usual.start(&source.conditions(&surroundings, speed), over, end)?;
            Ok::<_, NotEvaporating>(total(&start) / total(&best_start))
        };
        (best.paced(pace(End::High, speed.high)?), best.paced(pace(End::Low, speed.low)?))
    };
    // Near the liquid the slow air thins least: the same air carries the vapour off the surface.
    let start = usual.start(&source.conditions(&surroundings, slowest), over, End::High)?;
    let near = best.paced(total(&start) / total(&best_start));
    let area = si::in_square_metre(source.surface.area);
    let rate = vapour(&start.fluxes) * area / si::second(1.0);
    Ok(Courses { all: vec![given(&fast), given(&best), given(&slow), given(&near)], rate, slowest })
}

fn checks(question: Question<'_>, effect: Option<&Effect>, rules: &Rules) -> Vec<Check> {
    let mut checks = amount_checks(question, effect, rules);
    if let Some(open) = question.open {
        checks.extend(open.heating.checks(NAME, question.liquid, Some(open.ignition), rules));
    }
    checks
}

/// The checks that an amount bears on.
fn amount_checks(question: Question<'_>, effect: Option<&Effect>, rules: &Rules) -> Vec<Check> {
    let Some(Released(liquid)) = question.released else { return Vec::new() };
    if question.liquid.not_flammable().is_some() {
        return Vec::new();
    }
    let (share_rule, depth_rule) = ("planned_release_share", "floor_layer_depth");
    let (share, depth) = (rules.number(share_rule), rules.number(depth_rule));
    let Some(effect) = effect else {
        let reason =
            "no trusted lower flammable limit is published for this liquid; see the supplier's data sheet";
        return vec![
            not_assessed(
                ROOM_SHARE,
                NAME,
                Quantity::exact(share, "%"),
                MustBe::AtMost,
                rules.grounds(share_rule),
                reason,
            ),
            not_assessed(
                FLOOR_LAYER,
                NAME,
                Quantity::exact(depth, "m"),
                MustBe::AtMost,
                rules.grounds(depth_rule),
                reason,
            ),
        ];
    };
    let compared = |check, value, limit, unit, rule| Compared {
        check,
        question: NAME,
        value,
        limit,
        unit,
        must_be: MustBe::AtMost,
        grounds: rules.grounds(rule),
        evidence: effect.evidence,
    };
    let liquid = liquid.rising(|liquid| liquid * question.times);
    let mut checks = vec![
        compared(ROOM_SHARE, effect.share(liquid).rising(si::in_percent), share, "%", share_rule).decided(),
        compared(FLOOR_LAYER, effect.depth(liquid), depth, "m", depth_rule).decided(),
    ];
    checks.extend(near_check(question, effect, liquid, rules));
    checks
}

/// How far the vapour of the open surfaces can be lit, against the nearest source.
fn near_check(
    question: Question<'_>,
    effect: &Effect,
    liquid: Estimate<Volume>,
    rules: &Rules,
) -> Option<Check> {
    let open = question.open?;
    let distance = open.ignition.distance()?;
    let kept = ignition::kept(open.can, open.light, distance, Some(&question.room), rules);
    let reach = match open.can {
        CanBeLit::Yes(limit) => {
            let v = effect.vapour_per_liquid;
            let vapour = Estimate::new(liquid.value * v.value, liquid.low * v.low, liquid.high * v.high);
            ignition::reach(GivenOff { vapour, rate: Some(open.rate) }, *limit, Some(&question.room), rules)
        }
        _ => Estimate::exact(0.0),
    };
    Some(ignition::check((NEAR_FIELD, NAME), reach, kept, distance, Evidence::Estimated, rules))
}

/// The most, mL, whose vapour does not reach the nearest source; `None` where no amount does.
fn most_near(question: Question<'_>, effect: &Effect, rules: &Rules) -> Option<f64> {
    let open = question.open?;
    let distance = open.ignition.distance()?;
    let check = near_check(question, effect, Estimate::exact(si::millilitre(0.0)), rules)?;
    if check.status == Outcome::OverLimit {
        return Some(0.0);
    }
    let CanBeLit::Yes(limit) = open.can else { return None };
    let vapour = ignition::vapour_reaching(distance, *limit, Some(&question.room), rules);
    Some(si::in_millilitre(vapour / effect.vapour_per_liquid.high) / question.times)
}

/// The largest release, mL, at which a check (or, for `None`, every check) is not over its limit; verified.
fn largest(question: Question<'_>, effect: &Effect, rules: &Rules, check: Option<&str>) -> f64 {
    let share = effect.most_for_share(rules.number("planned_release_share") / 100.0) / question.times;
    let depth = effect.most_for_depth(rules.number("floor_layer_depth")) / question.times;
    let near = most_near(question, effect, rules).unwrap_or(f64::INFINITY);
    let most = match check {
        Some(ROOM_SHARE) => share,
        Some(NEAR_FIELD) => near,
        Some(_) => depth,
        None => share.min(depth).min(near),
    };
    let mut proposed = cautious_down(most);
    // Rounding in the last bit may leave the rounded figure over the limit by itself: one step further down.
    for _ in 0..3 {
        if proposed <= 0.0 || fits(question, proposed, effect, rules, check) {
            break;
        }
        proposed = cautious_down(proposed * 0.99);
    }
    proposed
}

fn fits(
    question: Question<'_>,
    millilitres: f64,
    effect: &Effect,
    rules: &Rules,
    check: Option<&str>,
) -> bool {
    let changed =
        Question { released: Some(Released(Estimate::exact(si::millilitre(millilitres)))), ..question };
    amount_checks(changed, Some(effect), rules)
        .iter()
        .filter(|made| check.is_none_or(|check| made.check == check))
        .all(|made| made.status != Outcome::OverLimit)
}

fn remedy(question: Question<'_>, effect: &Effect, rules: &Rules, check: &Check) -> Option<Remedy> {
    let to = largest(question, effect, rules, Some(&check.check));
    if to <= 0.0 {
        return further(question, Some(effect), &check.check, rules);
    }
    let changed = Question { released: Some(Released(Estimate::exact(si::millilitre(to)))), ..question };
    let outcome_after = checks(changed, Some(effect), rules).iter().map(|check| check.status).max()?;
    Some(Remedy {
        change: Text::Borrowed("amount"),
        field: Text::Borrowed("/released"),
        to: format!("{to} mL"),
        text: format!("Release at most {to} mL."),
        outcome_after,
    })
}

/// Where no amount helps: how far away every source must be, or how hot a surface may be.
fn further(question: Question<'_>, effect: Option<&Effect>, id: &str, rules: &Rules) -> Option<Remedy> {
    let open = question.open?;
    let distance = open.ignition.movable().map(|distance| Change {
        change: "distance",
        field: "/nearest_ignition",
        unit: "m",
        from: si::in_metre(distance),
        furthest: si::in_metre(question.room.longest_way()),
        text: ("Keep ignition sources at least ", " away"),
    });
    let surface = open.heating.change("/surface_temperature");
    let changes: Vec<Change> = distance.into_iter().chain(surface).collect();
    remedy::smallest(&changes, |change, to| {
        let open = if change.change == "heating" {
            Open { heating: open.heating.with_surface(to), ..open }
        } else {
            Open { ignition: Ignition::Stated(si::metre(to)), ..open }
        };
        let made = checks(Question { open: Some(open), ..question }, effect, rules);
        let this = made.iter().find(|check| check.check == id)?.status;
        Some((this, made.iter().map(|check| check.status).max()?))
    })
}

/// The room over time, where something is released that can burn.
fn over_time(
    question: Question<'_>,
    effect: &Effect,
    courses: Option<&Courses>,
    rules: &Rules,
    draft: &mut Draft,
) -> Option<OverTime> {
    let Released(liquid) = question.released?;
    let vapour = liquid.high * effect.vapour_per_liquid.high;
    let before = vapour * (question.times - 1.0);
    let given = match courses {
        None => vec![Given { at_once: vapour + before, intervals: Vec::new() }],
        Some(courses) => courses
            .all
            .iter()
            .map(|given| Given { at_once: before, intervals: given.intervals.clone() })
            .collect(),
    };
    let near = courses.map(|courses| (si::metre(rules.number("near_zone_radius")), courses.slowest));
    draft.method("room_over_time");
    draft.assume_rule("mixing_effectiveness", rules);
    if near.is_some() {
        draft.assume_rule("near_zone_radius", rules);
    }
    let asked = room_over_time::Asked { room: question.room, effect, courses: given, near };
    Some(room_over_time::over_time(&asked, rules))
}

/// How a level is dashed in a picture.
const LEVEL: &str = "1 3";

/// The picture of the room over time.
fn picture(question: Question<'_>, found: &OverTime, sentence: &str) -> Option<Picture> {
    let curve = |name: &str, dashes, share: fn(&RoomAtTime) -> Option<f64>| {
        let points: Vec<(f64, f64)> =
            found.series.iter().filter_map(|at| Some((at.time.value, share(at)?))).collect();
        (!points.is_empty()).then(|| Line { name: name.to_owned(), points, dashes })
    };
    let end = found.series.last()?.time.value;
    let level = |name: &str, percent| Line {
        name: name.to_owned(),
        points: vec![(0.0, percent), (end, percent)],
        dashes: LEVEL,
    };
    let mut lines = vec![level("lower flammable limit", 100.0), level("a quarter of it", 25.0)];
    lines.extend(curve("near the liquid", "2 2", |at| Some(at.near_field.as_ref()?.value)));
    lines.extend(curve("layer on the floor", "8 3", |at| Some(at.floor_layer.value)));
    lines.extend(curve("evenly mixed", "", |at| Some(at.mixed.value)));
    let mut said = vec![format!("Curves over {end} min from the release, unfavourable ends.")];
    said.extend(lines.iter().filter(|line| line.dashes != LEVEL).map(|line| {
        let (at, most) =
            line.points.iter().fold(
                (0.0, 0.0),
                |(at, most), (time, share)| {
                    if *share > most { (*time, *share) } else { (at, most) }
                },
            );
        format!("{}: at most {most} % of the lower flammable limit, at {at} min.", line.name)
    }));
    let curves = Curves {
        across: "time [min]".to_owned(),
        up: "share of the lower flammable limit [%], unfavourable end".to_owned(),
        lines,
        ..Curves::default()
    };
    Some(Picture {
        title: format!("{}: vapour in the room over time", draft::named(question.liquid)),
        sentence: sentence.to_owned(),
        said,
        shown: Shown::Curves(curves),
    })
}

fn compose(
    question: Question<'_>,
    courses: Option<&Courses>,
    scope: &mut Scope,
    request: Group,
) -> Option<Composed> {
    let mut draft = scope.draft_taken();
    let rules = &scope.rules;
    let Question { liquid: asked, room, released, .. } = question;
    let burns = asked.not_flammable().is_none();
    let effect = Effect::of(asked, room).filter(|_| burns);
    draft.checks = checks(question, effect.as_ref(), rules);
    for check in draft.checks.iter_mut().filter(|check| check.status == Outcome::OverLimit) {
        check.remedy = match &effect {
            _ if heating::is_one(check) => further(question, effect.as_ref(), &check.check, rules),
            Some(effect) => remedy(question, effect, rules, check),
            None => None,
        };
    }
    let over = asked.over(room.air.temperature);
    let saturated = say(question, effect.as_ref(), &over, rules, &mut draft);
    // The vapour over a mixture is not that of all of it: each is held against its own limit.
    let limit_over = asked.limit_over(Limit::Lower, room.air.temperature, &over);
    let reachable = limit_over.zip(saturated).is_none_or(|(limit, found)| found.high >= limit.low);
    let unreachable = "the saturated vapour cannot reach the lower limit at the room's temperature";
    let act = |most: f64| Quantity::exact(cautious_down(most), "mL");
    let reaching = effect.as_ref().filter(|_| reachable);
    if effect.is_some() && !reachable {
        for pointer in
            ["/liquid_to_reach_limit", "/liquid_to_reach_rule_share", "/liquid_to_reach_floor_layer"]
        {
            draft.not_given(pointer, unreachable);
        }
    }
    let vapour = vapour_per_liquid(asked, room, burns);
    let volume_fraction = released.map(|Released(liquid)| {
        let liquid = liquid.rising(|liquid| liquid * question.times);
        Estimate::new(liquid.value * vapour.value, liquid.low * vapour.low, liquid.high * vapour.high)
    });
    let time_to_clear = released.and_then(|Released(liquid)| {
        time_to_clear(liquid, question.times, effect.as_ref(), room, rules, &mut draft)
    });
    let found = effect.as_ref().and_then(|effect| over_time(question, effect, courses, rules, &mut draft));
    let largest_release =
        effect.as_ref().map(|effect| Quantity::exact(largest(question, effect, rules, None), "mL"));
    let verdict =
        draft.verdict(NAME, asked, rules, |draft| sentence(question, draft, rules, largest_release.as_ref()));
    let picture = found
        .as_ref()
        .filter(|_| draft.pictured)
        .and_then(|found| picture(question, found, &verdict.sentence));
    let record = record(&draft, request).ok()?;
    let mass = |limit: Ratio| {
        si::in_gram_per_cubic_metre(flammable_limit::as_mass(
            limit,
            asked.molar_mass_of_fuel(),
            room.air.temperature,
            room.air.pressure,
        ))
    };
    let reply = RoomFlammableLimitReply {
        verdict: verdict.clone(),
        liquid: liquid::echo(asked),
        lower_flammable_limit: effect
            .as_ref()
            .map(|effect| draft::estimate(effect.limit.rising(si::in_percent), "%")),
        lower_flammable_limit_mass: effect
            .as_ref()
            .map(|effect| draft::estimate(effect.limit.rising(mass), "g/m3")),
        liquid_to_reach_limit: reaching.map(|effect| act(effect.most_for_share(1.0))),
        liquid_to_reach_rule_share: reaching
            .map(|effect| act(effect.most_for_share(rules.number("planned_release_share") / 100.0))),
        liquid_to_reach_floor_layer: reaching
            .map(|effect| act(effect.most_for_depth(rules.number("floor_layer_depth")))),
        largest_release,
        vapour_volume_per_litre: Some(draft::estimate(
            vapour_per_liquid(asked, room, false).rising(si::in_fraction),
            "L",
        )),
        volume_fraction: volume_fraction.map(|vapour| {
            draft::estimate(vapour.rising(|volume| si::in_percent(volume / room.free_volume)), "%")
        }),
        share_of_limit: released.zip(effect.as_ref()).map(|(Released(liquid), effect)| {
            draft::estimate(
                effect.share(liquid.rising(|liquid| liquid * question.times)).rising(si::in_percent),
                "%",
            )
        }),
        time_to_clear,
        floor_layer_depth: released.zip(effect.as_ref()).map(|(Released(liquid), effect)| {
            draft::estimate(effect.depth(liquid.rising(|liquid| liquid * question.times)), "m")
        }),
        places: found.as_ref().map(|found| found.places.clone()).unwrap_or_default(),
        over_time: found.as_ref().map(|found| found.series.clone()).unwrap_or_default(),
        relative_vapour_density: Quantity::exact(
            four_digits(si::in_fraction(room_air::relative_vapour_density(asked.molar_mass_of_fuel()))),
            "1",
        ),
        relative_saturated_air_density: saturated.map(|fraction| {
            let density = |fraction| {
                si::in_fraction(room_air::relative_mixture_density(fraction, asked.molar_mass_of_fuel()))
            };
            draft::estimate(fraction.rising(density), "1")
        }),
        basis: draft.finish(asked, rules, record),
    };
    Some(Composed { picture, ..Composed::of(reply, &verdict) })
}

/// Says sources, methods and what was not considered; gives the saturated fraction at the room's temperature.
fn say(
    question: Question<'_>,
    effect: Option<&Effect>,
    over: &Result<Vec<Over>, NoVapour>,
    rules: &Rules,
    draft: &mut Draft,
) -> Option<Estimate<Ratio>> {
    let Question { liquid: asked, room, released, .. } = question;
    draft.molar_mass(asked);
    draft.figures(asked, "density", |substance| Some(&substance.density));
    draft.method("vapour_volume");
    draft.assume_rule("planned_release_share", rules);
    draft.assume_rule("floor_layer_depth", rules);
    if effect.is_some() {
        for method in ["lower_limit_at_temperature", "limit_as_mass", "mixed_room", "floor_layer"] {
            draft.method(method);
        }
        if asked.substance().is_none() {
            draft.method("le_chatelier");
        }
        let estimated =
            draft.figures(asked, "lower_flammable_limit", |substance| substance.lower_limit.as_ref());
        draft.assume(
            "all_at_once",
            "For the checks of the room all the liquid is counted as vapour at once, although it may evaporate slowly.",
        );
        if estimated {
            draft.caution(
                "limit_estimated",
                "The lower flammable limit of a part is an estimate: no table gives one.",
            );
        }
    } else {
        let reason = asked
            .not_flammable()
            .map_or_else(|| "no trusted lower flammable limit is published".to_owned(), |said| said.reason);
        for pointer in ["/lower_flammable_limit", "/lower_flammable_limit_mass", "/largest_release"] {
            draft.not_given(pointer, reason.clone());
        }
    }
    if asked.not_flammable().is_some() {
        draft.outside("room_share_of_limit", "the liquid does not burn");
        draft.outside("floor_layer", "the liquid does not burn");
    } else if released.is_some() {
        draft.consider("room_share_of_limit");
        draft.consider("floor_layer");
    } else {
        draft.outside("room_share_of_limit", "give `released`");
        draft.outside("floor_layer", "give `released`");
    }
    match question.open {
        Some(open) if open.ignition != Ignition::None && effect.is_some() => {
            draft.consider(NEAR_FIELD);
            ignition::say(draft, asked, rules);
        }
        Some(_) => {
            draft.outside(NEAR_FIELD, "no ignition source, as the request says, or nothing that burns")
        }
        None => draft.outside(NEAR_FIELD, "give `surface`: the vapour near the liquid, and when"),
    }
    if let Some(open) = question.open {
        open.heating.say(draft, asked, false, rules);
        draft.method("film_evaporation");
        draft.figures(asked, "diffusivity_in_air", |substance| substance.diffusivity.as_ref());
    }
    draft.outside("exposure", "ask `exposure`: people breathe the vapour long before it can burn");
    draft.caution(
        "not_well_mixed",
        "A room is not well mixed: the vapour lies on the bench and the floor, and people breathe it long before it can burn.",
    );
    match over {
        Ok(all) => {
            if let Some(usual) = all.first() {
                vapour_space::say_vapour(draft, asked, usual);
            }
        }
        Err(why) => {
            draft.not_given("/relative_saturated_air_density", format!("at the room's temperature: {why}"));
        }
    }
    vapour_space::saturated(asked, room.air.pressure, over).ok()
}

fn time_to_clear(
    liquid: Estimate<Volume>,
    times: f64,
    effect: Option<&Effect>,
    room: Room,
    rules: &Rules,
    draft: &mut Draft,
) -> Option<Quantity> {
    let Some(effect) = effect else {
        draft.not_given("/time_to_clear", "there is no limit to clear to");
        return None;
    };
    let over = effect.share(liquid.rising(|liquid| liquid * times)).high
        / (rules.number("planned_release_share") / 100.0);
    let Some(time) =
        room_air::time_to_clear(over, room.air_changes, si::fraction(rules.number("mixing_effectiveness")))
    else {
        draft.not_given("/time_to_clear", "without air changes the room does not clear");
        return None;
    };
    draft.method("decay");
    draft.assume_rule("mixing_effectiveness", rules);
    Some(Quantity::exact(cautious_up(si::in_minute(time)), "min"))
}

fn sentence(question: Question<'_>, draft: &Draft, rules: &Rules, largest: Option<&Quantity>) -> String {
    let name = draft::named(question.liquid);
    if let Some(said) = heating::said(&name, draft) {
        return draft::sentence(rules, &said, "", "");
    }
    if let Some(said) = question.liquid.not_flammable() {
        let unconfirmed = if said.seen == brimline_openapi::Seen::Memory { " (unconfirmed)" } else { "" };
        let checked = heating::checked(draft);
        return draft::sentence(rules, &format!("{name} does not burn{unconfirmed}; {checked}."), "", "");
    }
    let Some(largest) = largest else {
        let must = format!(
            "{name}: no trusted lower flammable limit is published, so no amount could be assessed; its vapour may burn."
        );
        return draft::sentence(rules, &must, "", "");
    };
    let tail = " What is breathed is another question.";
    let Some(worst) = heating::own(draft) else {
        let must = format!(
            "At most {} mL of {name} may be released in this room (limit unconfirmed); give `released` to check an amount.",
            largest.value
        );
        return draft::sentence(rules, &must, "", tail);
    };
    let marks = draft::marks(Some(worst));
    let limit = match worst.check.as_ref() {
        ROOM_SHARE => "share of the lower flammable limit in the room",
        NEAR_FIELD => "reach of the vapour to an ignition source",
        _ => "depth of the vapour layer on the floor",
    };
    match worst.status {
        Outcome::OverLimit => {
            let change = if largest.value > 0.0 {
                format!("release at most {} mL", largest.value)
            } else {
                "no amount is within it here".to_owned()
            };
            let must = format!(
                "Over the limit: the {limit} is too high for this release of {name}; {change}{marks}."
            );
            draft::sentence(rules, &must, "", tail)
        }
        status => {
            let word =
                if status == Outcome::NearLimit { "Near the limit" } else { "Within the limits checked" };
            let must = format!("{word}: this release of {name}; the {limit} binds{marks}.");
            draft::sentence(rules, &must, "", tail)
        }
    }
}
