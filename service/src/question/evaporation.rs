//! `evaporation`: how fast a liquid evaporates from an open surface, and how far its vapour can be lit.

use super::check::Compared;
use super::draft::{self, Draft};
use super::heating::{self, Heating};
use super::ignition::{self, CanBeLit, GivenOff, Ignition, IgnitionAsked, Kept, Lying};
use super::reader::{Asked, Fields};
use super::record::{Group, record};
use super::remedy::{self, Change};
use super::room::{RoomAsked, Surroundings};
use super::rules::Rules;
use super::source::{self, Source, SourceAsked};
use super::{Composed, Scope, field, liquid, vapour_space};
use crate::liquid::evaporation::{Course, End, NotEvaporating, Regime, Start};
use crate::liquid::vapour::{NoVapour, Over, Phases};
use crate::liquid::{Composition, Liquid, Part, spanning};
use crate::physics::room_air;
use crate::quantity::round::{cautious_up, four_digits, significant};
use crate::quantity::{Estimate, si};
use brimline_openapi::problem::Fault;
use brimline_openapi::{Check, EvaporationReply, Evidence, MustBe, Outcome, Quantity, RemainingAtTime, Text};
use uom::si::f64::{Time, Velocity, Volume};

/// The question's name.
pub const NAME: &str = "evaporation";
const REACH: &str = "ignition_reach";
const RESIDUE: &str = "peroxide_residue";
/// Shares of the liquid lost at which a mixture is shown.
const SHOWN: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 0.9];
/// Thinner than this, m, a liquid is a wiped film of which no residue gathers.
const FILM_M: f64 = 0.000_5;

/// The question as it was asked, defaults filled in.
#[derive(Debug, Clone, Copy)]
struct Question<'a> {
    liquid: &'a Liquid,
    source: Source,
    surroundings: Surroundings,
    speed: Estimate<Velocity>,
    duration: Option<Time>,
    ignition: Ignition,
    peroxides_tested: bool,
    /// A cloth, wick or absorbent holds it.
    soaked: bool,
}

/// What one surface of one composition gives off at its three ends.
#[derive(Debug)]
pub struct Starts {
    low: Start,
    best: Start,
    high: Start,
}

/// What was found.
struct Found {
    over: Vec<Over>,
    starts: Vec<Starts>,
    /// The course of the usual composition, one vessel, best figures.
    course: Course,
    /// The slowest and the fastest course.
    ends: (Course, Course),
    can: CanBeLit,
    /// Whether it is kept from flames altogether.
    light: bool,
}

/// Reads and answers the question.
pub fn answer(fields: &Fields<'_>, scope: &mut Scope) -> Option<Composed> {
    let asked_liquid = liquid::read(fields, scope.draft.catalogue);
    let room = RoomAsked::read(fields, false);
    let asked = SourceAsked::read(fields, "amount", asked_liquid.as_ref(), &room);
    let speed = fields.quantity("air_speed", &field::AIR_SPEED);
    let duration = fields.quantity("duration", &field::DURATION);
    let ignition = IgnitionAsked::read(fields, &room);
    ignition.fits(fields, &asked.heating);
    let soaked = fields.switch("soaked");
    let tested = fields.word("peroxide_test", &[("none found", ())]).is_some();
    fields.finish();
    let asked_liquid = asked_liquid.filter(|_| fields.faults().is_empty())?;
    let (rules, draft) = (&scope.rules, &mut scope.draft);
    let mut request = Group::default();
    request.word("question", NAME);
    liquid::record(&asked_liquid, "liquid", &mut request);
    let surroundings = room.surroundings(rules, draft, &mut request);
    room.keeps_liquid(fields, &asked_liquid, surroundings.air);
    let mut source = asked.resolve((fields, &asked_liquid), &surroundings, rules, draft, &mut request)?;
    if soaked == Some(true) {
        source.heating = source.heating.kept_by("absorbent_ignition_distance");
    }
    request.given("air_speed", speed.as_ref());
    request.given("duration", duration.as_ref());
    let ignition = ignition.resolve(&asked.heating, rules, draft, &mut request);
    if let Some(soaked) = soaked {
        request.switch("soaked", soaked);
    }
    if tested {
        request.word("peroxide_test", "none found");
    }
    rules.record(&mut request);
    let question = Question {
        liquid: &asked_liquid,
        source,
        surroundings,
        speed: source::speeds(speed.as_ref(), source::OVER_SURFACE, draft, rules),
        duration: duration.map(|duration| duration.quantity),
        ignition,
        peroxides_tested: tested,
        soaked: soaked == Some(true),
    };
    if !fields.faults().is_empty() {
        return None;
    }
    match find(question, rules) {
        Ok(found) => compose(question, &found, duration.as_ref(), scope, request),
        Err(why) => {
            not_evaporating(fields, &why);
            None
        }
    }
}

/// Why it cannot be said how fast the liquid evaporates, as a fault of the request.
pub fn not_evaporating(fields: &Fields<'_>, why: &NotEvaporating) {
    let (code, pointer) = match why {
        NotEvaporating::Boils => ("missing-field", fields.at("heater_power")),
        NotEvaporating::Vapour(NoVapour::Range(..)) => ("outside-range", fields.at("heated_to")),
        _ => ("missing-datum", fields.at("liquid")),
    };
    fields.faults().push(Fault {
        code: Text::Borrowed(code),
        pointer,
        detail: why.to_string(),
        expected: None,
        suggestion: None,
    });
}

/// What each composition gives off at its three ends.
///
/// # Errors
/// [`NotEvaporating`].
fn starts(question: Question<'_>, over: &[Over]) -> Result<Vec<Starts>, NotEvaporating> {
    let Question { liquid, source, surroundings, speed, .. } = question;
    let one = |composition: &Composition, over: &Over| {
        let at = |end, speed| composition.start(&source.conditions(&surroundings, speed), over, end);
        Ok(Starts {
            low: at(End::Low, speed.low)?,
            best: at(End::Best, speed.value)?,
            high: at(End::High, speed.high)?,
        })
    };
    liquid.compositions.iter().zip(over).map(|(composition, over)| one(composition, over)).collect()
}

fn find(question: Question<'_>, rules: &Rules) -> Result<Found, NotEvaporating> {
    let Question { liquid, source, surroundings, speed, .. } = question;
    let over = liquid.over_surface(&source.conditions(&surroundings, speed.value))?;
    let starts = starts(question, &over)?;
    let composition = liquid.usual();
    let Some(usual) = starts.first() else { return Err(NotEvaporating::Boils) };
    let course = |end, start: &Start, speed, amount| {
        let conditions = source.conditions(&surroundings, speed);
        composition.course(&conditions, start, end, &composition.moles_in(amount), true, question.duration)
    };
    let best = course(End::Best, &usual.best, speed.value, source.amount.value)?;
    // Of a mixture the other ends differ in their pace; of a pure liquid they are followed each by itself.
    let ends = if composition.parts.len() == 1 {
        (
            course(End::Low, &usual.low, speed.low, source.amount.high)?,
            course(End::High, &usual.high, speed.high, source.amount.low)?,
        )
    } else {
        let pace = |other: &Start| total(&other.fluxes) / total(&usual.best.fluxes);
        (best.paced(pace(&usual.low)), best.paced(pace(&usual.high)))
    };
    let lying = Lying { liquid, temperature: source.temperature(&surroundings), air: surroundings.air };
    let can = lying.can_be_lit(&Ok(over.clone()), rules);
    let light = ignition::light(liquid, &can, rules);
    Ok(Found { over, starts, course: best, ends, can, light })
}

fn total(fluxes: &[f64]) -> f64 {
    fluxes.iter().sum()
}

/// Mass flux of one surface, g/(m2 s).
fn grams(composition: &Composition, start: &Start) -> f64 {
    composition
        .parts
        .iter()
        .zip(&start.fluxes)
        .map(|(part, flux)| flux * si::in_gram_per_mole(part.substance.molar_mass))
        .sum()
}

/// Vapour of so many moles in the room's air.
fn vapour(moles: f64, surroundings: &Surroundings) -> Volume {
    room_air::vapour_of(si::mole(moles), surroundings.air)
}

impl Found {
    /// Vapour that can burn given off by all vessels in a time, or altogether; at an amount that is `share` of that asked.
    fn given_off(&self, question: Question<'_>, share: f64, duration: Option<Time>) -> GivenOff {
        let Question { liquid, source, surroundings, .. } = question;
        let composition = liquid.usual();
        let count = f64::from(source.count);
        // A wiped surface is dry before anybody has put out a flame: all of it counts.
        let film = si::in_metre(source.amount.value / source.surface.area) < FILM_M;
        let duration = duration.filter(|_| !film);
        let gone = |course: &Course, amount: Volume| {
            let whole = composition.moles_in(amount);
            // A smaller amount leaves in the same way, the sooner the smaller it is.
            let left = match duration {
                None => vec![0.0; whole.len()],
                Some(time) => course.left_at(time / share),
            };
            let left: Vec<f64> = left.iter().zip(&whole).map(|(left, whole)| left.min(*whole)).collect();
            let gone = composition.fuel_of(&whole) - composition.fuel_of(&left);
            vapour(gone * count * share, &surroundings)
        };
        let density = composition.density();
        let denser = si::in_fraction(density.high / density.value);
        let fluxes = self
            .starts
            .iter()
            .zip(&liquid.compositions)
            .map(|(starts, composition)| composition.fuel_of(&starts.high.fluxes));
        let fastest = fluxes.fold(0.0, f64::max) * si::in_square_metre(source.surface.area) * count;
        GivenOff {
            vapour: Estimate::new(
                gone(&self.course, source.amount.value),
                gone(&self.ends.0, source.amount.low),
                gone(&self.ends.1, source.amount.high) * denser,
            ),
            rate: Some(vapour(fastest, &surroundings) / si::second(1.0)),
        }
    }
}

/// An input that is tried: the share of the amount, the distance of the source, the duration, the hottest surface.
#[derive(Debug, Clone, Copy)]
struct Tried {
    share: f64,
    ignition: Ignition,
    duration: Option<Time>,
    heating: Heating,
}

fn checks(question: Question<'_>, found: &Found, tried: Tried, rules: &Rules) -> Vec<Check> {
    let surroundings = question.surroundings;
    let mut checks = Vec::new();
    if let Some(distance) = tried.ignition.distance() {
        let radius = si::in_metre(question.source.surface.width) / 2.0;
        let kept = Kept::wider(
            ignition::kept(&found.can, found.light, distance, surroundings.room.as_ref(), rules),
            wick(question, rules),
        );
        let inside = si::in_metre(distance) < radius && tried.ignition != Ignition::Under;
        let made = match &found.can {
            CanBeLit::NotFlammable(_) => None,
            CanBeLit::NoLimit if !kept.is_some_and(|kept| kept.forbids(distance)) => {
                Some(ignition::unassessed((REACH, NAME), distance, rules))
            }
            CanBeLit::TooCold(_) | CanBeLit::NoLimit => Some(ignition::check(
                (REACH, NAME),
                // A source within the surface itself lights it, however cold it is.
                Estimate::exact(if inside { radius } else { 0.0 }),
                kept,
                distance,
                Evidence::Estimated,
                rules,
            )),
            CanBeLit::Yes(limit) => {
                let given_off = found.given_off(question, tried.share, tried.duration);
                let reach = ignition::reach(given_off, *limit, surroundings.room.as_ref(), rules)
                    .rising(|metres| if inside { metres.max(radius) } else { metres });
                Some(ignition::check((REACH, NAME), reach, kept, distance, Evidence::Estimated, rules))
            }
        };
        checks.extend(made);
    }
    if let Some(gone) = residue(question, found, tried) {
        let rule = "peroxide_residue_share";
        let compared = Compared {
            check: RESIDUE,
            question: NAME,
            value: gone,
            limit: significant(100.0 - rules.number(rule), 12),
            unit: "%",
            must_be: MustBe::AtMost,
            grounds: rules.grounds(rule),
            evidence: Evidence::Estimated,
        };
        checks.push(compared.decided());
    }
    checks.extend(tried.heating.checks(NAME, question.liquid, Some(tried.ignition), rules));
    checks
}

/// The distance that what is soaked keeps from a flame, however cold the liquid is.
fn wick(question: Question<'_>, rules: &Rules) -> Option<Kept> {
    let rule = "absorbent_ignition_distance";
    question.soaked.then(|| Kept { metres: rules.number(rule), rule })
}

/// Share of the liquid that is gone, %, where it forms peroxides, gathers in a vessel and was not tested.
fn residue(question: Question<'_>, found: &Found, tried: Tried) -> Option<Estimate<f64>> {
    let forms = question.liquid.substances().any(crate::catalogue::Substance::forms_peroxides);
    let deep = si::in_metre(question.source.amount.value / question.source.surface.area) >= FILM_M;
    if !forms || !deep || question.peroxides_tested {
        return None;
    }
    let whole: f64 = question.liquid.usual().moles_in(question.source.amount.value).iter().sum();
    let gone = |course: &Course| match tried.duration {
        None => 100.0,
        Some(time) => {
            100.0 * (1.0 - course.left_at(time / tried.share).iter().sum::<f64>() / whole).clamp(0.0, 1.0)
        }
    };
    Some(Estimate::new(gone(&found.course), gone(&found.ends.0), gone(&found.ends.1)))
}

const fn as_asked(question: Question<'_>) -> Tried {
    Tried {
        share: 1.0,
        ignition: question.ignition,
        duration: question.duration,
        heating: question.source.heating,
    }
}

fn remedies(
    question: Question<'_>,
    found: &Found,
    duration: Option<&Asked<Time>>,
    draft: &mut Draft,
    rules: &Rules,
) {
    let as_asked = as_asked(question);
    let (amount, unit) = question.source.asked;
    let mut changes = vec![Change {
        change: "amount",
        field: "/amount",
        unit,
        from: amount,
        furthest: (amount / 1000.0).max(source::LEAST_AMOUNT),
        text: ("Put out at most ", " on each surface"),
    }];
    if let Some(distance) = question.ignition.movable() {
        let longest = question.surroundings.room.map_or(20.0, |room| si::in_metre(room.longest_way()));
        changes.push(Change {
            change: "distance",
            field: "/nearest_ignition",
            unit: "m",
            from: si::in_metre(distance),
            furthest: longest,
            text: ("Keep ignition sources at least ", " away"),
        });
    }
    if let Some(duration) = duration {
        changes.push(Change {
            change: "duration",
            field: "/duration",
            unit: duration.unit,
            from: duration.number,
            furthest: duration.number / 1000.0,
            text: ("Leave it open for at most ", ""),
        });
    }
    changes.extend(question.source.heating.change("/surface_temperature"));
    for place in 0..draft.checks.len() {
        let Some(check) = draft.checks.get(place).filter(|check| check.status == Outcome::OverLimit) else {
            continue;
        };
        let id = check.check.clone();
        let remedy = remedy::smallest(&changes, |change, to| {
            let tried = match change.change {
                "amount" => Tried { share: to / amount, ..as_asked },
                "heating" => Tried { heating: as_asked.heating.with_surface(to), ..as_asked },
                "distance" => Tried { ignition: Ignition::Stated(si::metre(to)), ..as_asked },
                _ => Tried { duration: Some(si::minute(to)), ..as_asked },
            };
            let made = checks(question, found, tried, rules);
            let this = made.iter().find(|check| check.check == id)?.status;
            Some((this, made.iter().map(|check| check.status).max()?))
        });
        if let Some(check) = draft.checks.get_mut(place) {
            check.remedy = remedy;
        }
    }
}

fn compose(
    question: Question<'_>,
    found: &Found,
    duration: Option<&Asked<Time>>,
    scope: &mut Scope,
    request: Group,
) -> Option<Composed> {
    let mut draft = scope.draft_taken();
    let rules = &scope.rules;
    let Question { liquid: asked, source, surroundings, .. } = question;
    let composition = asked.usual();
    draft.checks = checks(question, found, as_asked(question), rules);
    remedies(question, found, duration, &mut draft, rules);
    say(question, found, &mut draft, rules);
    let usual = found.starts.first()?;
    let per_area = asked.compositions.iter().zip(&found.starts).map(|(composition, starts)| {
        Estimate::new(
            grams(composition, &starts.best),
            grams(composition, &starts.low),
            grams(composition, &starts.high),
        )
    });
    let per_area = spanning(per_area)?;
    let area = si::in_square_metre(source.surface.area) * f64::from(source.count);
    let minutes = |course: &Course| course.dry_at().map(si::in_minute);
    let dry = minutes(&found.course).map(|value| {
        Estimate::new(value, minutes(&found.ends.1).unwrap_or(value), minutes(&found.ends.0).unwrap_or(value))
    });
    if dry.is_none() {
        draft.not_given("/time_to_dry", "it does not dry within 30 days");
    } else if minutes(&found.ends.0).is_none() {
        draft.caution("may_not_dry", "At the slow end of its range it does not dry within 30 days.");
    }
    let gone = |grams: bool| {
        let time = question.duration?;
        let one = |course: &Course, amount: Volume| -> f64 {
            let whole = composition.moles_in(amount);
            let left = course.left_at(time);
            let each = |part: &Part| {
                if grams { part.grams() / part.fraction } else { part.millilitres() / part.fraction }
            };
            let parts = composition.parts.iter().zip(whole.iter().zip(&left));
            parts.map(|(part, (whole, left))| (whole - left.min(*whole)) * each(part)).sum::<f64>()
                * f64::from(source.count)
        };
        Some(Estimate::new(
            one(&found.course, source.amount.value),
            one(&found.ends.0, source.amount.low),
            one(&found.ends.1, source.amount.high),
        ))
    };
    let ignitable = ignitable_distance(question, found, &mut draft, rules);
    let series = series(question, found);
    let verdict = draft.verdict(NAME, asked, rules, |draft| {
        sentence(question, ignitable, dry, per_area.rising(|grams| grams * area * 60.0), draft, rules)
    });
    let record = record(&draft, request).ok()?;
    let warmest = source.temperature(&surroundings);
    let coldest = usual.low.temperature.min(usual.best.temperature);
    let reply = EvaporationReply {
        verdict: verdict.clone(),
        liquid: liquid::echo(asked),
        rate: draft::estimate(per_area.rising(|grams| grams * area * 60.0), "g/min"),
        flux: draft::estimate(per_area.rising(|grams| grams * 3600.0), "g/(m2.h)"),
        regime: match usual.best.regime {
            Regime::AirMovement => brimline_openapi::Regime::AirMovement,
            Regime::Diffusion => brimline_openapi::Regime::Diffusion,
            Regime::Boiling => brimline_openapi::Regime::Boiling,
        },
        time_to_dry: dry.map(|dry| draft::estimate(dry, "min")),
        evaporated: gone(false).map(|gone| draft::estimate(gone, "mL")),
        evaporated_mass: gone(true).map(|gone| draft::estimate(gone, "g")),
        liquid_temperature: draft::tenths(
            Estimate::new(
                si::in_celsius(usual.best.temperature),
                si::in_celsius(coldest),
                si::in_celsius(warmest),
            ),
            "Cel",
        ),
        ignitable_distance: ignitable.map(|(metres, _)| Quantity::exact(cautious_up(metres), "m")),
        series,
        basis: draft.finish(asked, rules, record),
    };
    Some(Composed::of(reply, &verdict))
}

/// The distance that the check asks of an ignition source, m, and whether it is that of its vapour; none where that is not known or no distance is enough.
fn ignitable_distance(
    question: Question<'_>,
    found: &Found,
    draft: &mut Draft,
    rules: &Rules,
) -> Option<(f64, bool)> {
    let room = question.surroundings.room.as_ref();
    let vapour = match &found.can {
        CanBeLit::NotFlammable(_) | CanBeLit::NoLimit => return None,
        CanBeLit::TooCold(_) => 0.0,
        CanBeLit::Yes(limit) => {
            let given_off = found.given_off(question, 1.0, question.duration);
            ignition::reach(given_off, *limit, room, rules).high
        }
    };
    let radius = si::in_metre(question.source.surface.width) / 2.0;
    let soaked = wick(question, rules).map_or(0.0, |kept| kept.metres);
    let reach = vapour.max(radius).max(soaked);
    let metres = ignition::asked_for(reach, (&found.can, found.light), room, rules);
    if metres.is_none() {
        draft.outside("ignitable_distance", format!("no distance: {}", ignition::LIGHT));
    }
    metres.map(|metres| (metres, vapour >= metres))
}

/// What is left of a mixture while it evaporates.
fn series(question: Question<'_>, found: &Found) -> Vec<RemainingAtTime> {
    let composition = question.liquid.usual();
    if composition.parts.len() == 1 {
        return Vec::new();
    }
    let count = f64::from(question.source.count);
    let volume = |left: &[f64]| -> f64 {
        composition.parts.iter().zip(left).map(|(part, left)| left * part.millilitres() / part.fraction).sum()
    };
    let Some(whole) = found.course.left.first().map(|left| volume(left)) else { return Vec::new() };
    let mut shown = SHOWN.iter().peekable();
    let mut series = Vec::new();
    for (time, left) in found.course.times.iter().zip(&found.course.left) {
        let remaining = volume(left);
        let Some(next) = shown.peek() else { break };
        if remaining > whole * (1.0 - **next) || remaining <= 0.0 {
            continue;
        }
        while shown.peek().is_some_and(|next| remaining <= whole * (1.0 - **next)) {
            shown.next();
        }
        let rest = composition.of_moles(left);
        let flash = rest.flash_point(question.surroundings.air.pressure, Phases::One).ok();
        series.push(RemainingAtTime {
            time: Quantity::exact(four_digits(time / 60.0), "min"),
            remaining: Quantity::exact(four_digits(remaining * count), "mL"),
            composition: vapour_space::components(
                rest.parts.iter().map(|part| (part.substance, part.fraction)),
            ),
            flash_point: flash.map(|flash| draft::tenths(flash.estimate.rising(si::in_celsius), "Cel")),
        });
    }
    series
}

fn say(question: Question<'_>, found: &Found, draft: &mut Draft, rules: &Rules) {
    let Question { liquid: asked, source, .. } = question;
    draft.molar_mass(asked);
    draft.figures(asked, "density", |substance| Some(&substance.density));
    draft.figures(asked, "diffusivity_in_air", |substance| substance.diffusivity.as_ref());
    if let Some(usual) = found.over.first() {
        vapour_space::say_vapour(draft, asked, usual);
    }
    let boils = found.starts.first().is_some_and(|starts| starts.best.regime == Regime::Boiling);
    draft.method(if boils { "boiling_rate" } else { "film_evaporation" });
    if !boils && source.heated_to.is_none() {
        draft.method("evaporative_cooling");
        draft.assume(
            "isothermal_end",
            "The upper ends are those of a liquid that does not cool; checks go by them.",
        );
    }
    if source.surface.freeboard > si::metre(0.0) {
        draft.method("stagnant_column");
    }
    if source.heater.is_some() && !boils {
        draft.assume("heater_not_used", "Below the boiling point the liquid is held at its temperature: the heater's power does not enter.");
    }
    if asked.substance().is_none() {
        draft.method("drift");
        let split = found.over.first().is_some_and(|over| over.split.is_some());
        draft.assume(
            "course_of_a_mixture",
            if split {
                "Each part of the two liquids is taken to leave at its first rate until it is gone."
            } else {
                "The mixture is followed until 95 % of its moles are gone; the rest is taken to leave at its last rate."
            },
        );
    }
    match (&found.can, question.ignition) {
        (CanBeLit::NotFlammable(reason), _) => draft.outside(REACH, reason.clone()),
        (_, Ignition::None) => {
            draft.outside(REACH, "there is no ignition source in the room, as the request says")
        }
        (can, _) => {
            draft.consider(REACH);
            if matches!(can, CanBeLit::NoLimit) {
                draft.not_given("/ignitable_distance", "no trusted lower flammable limit is published");
            }
            ignition::say(draft, asked, rules);
            draft.figures(asked, "lower_flammable_limit", |substance| substance.lower_limit.as_ref());
        }
    }
    if question.duration.is_none() {
        draft.assume("all_of_it", "No duration is given: all of the liquid is counted as vapour.");
    }
    if question.peroxides_tested {
        draft.assume("peroxides_tested", "A test found no peroxides, as the request says.");
    }
    if draft.checks.iter().any(|check| check.check == RESIDUE) {
        draft.consider(RESIDUE);
    }
    if si::in_metre(source.amount.value / source.surface.area) < FILM_M {
        draft.caution(
            "wiped_surface",
            format!("A wiped surface or a wet cloth: no flame inside the reach of its vapour until it is dry and {} minutes more have passed.", rules.number("dry_wait")),
        );
    }
    if question.soaked && !matches!(found.can, CanBeLit::NotFlammable(_)) {
        draft.assume_rule("absorbent_ignition_distance", rules);
        draft.caution("wick", "A soaked cloth, wick or absorbent burns whatever the temperature: keep it in a closed metal container until it is taken out.");
    }
    source.heating.say(draft, asked, false, rules);
    draft.outside("exposure", "ask `exposure` what the nearest person breathes");
}

fn sentence(
    question: Question<'_>,
    ignitable: Option<(f64, bool)>,
    dry: Option<Estimate<f64>>,
    rate: Estimate<f64>,
    draft: &Draft,
    rules: &Rules,
) -> String {
    let name = draft::named(question.liquid);
    let rate = draft::between(rate, "g/min");
    let dries = dry.map_or_else(
        || " and does not dry within 30 days".to_owned(),
        |dry| format!(" and is dry after {}", draft::between(dry, "min")),
    );
    if let Some(said) = heating::said(&name, draft) {
        return draft::sentence(rules, &said, draft.unconsidered(), "");
    }
    let worst = heating::own(draft);
    let marks = draft::marks(worst);
    let what = match (worst.map(|check| check.check.as_ref()), ignitable) {
        (Some(RESIDUE), _) => "it forms peroxides and is not evaporated so far untested".to_owned(),
        _ if question.soaked => {
            "what is soaked with it, or its vapour, is too near an ignition source".to_owned()
        }
        _ if question.ignition == Ignition::Under => "its vapour reaches the flame that heats it".to_owned(),
        (_, Some((_, true))) => "its vapour reaches the nearest ignition source".to_owned(),
        (_, Some((metres, _))) => format!("an ignition source is nearer than {} m", cautious_up(metres)),
        (_, None) => ignition::LIGHT.to_owned(),
    };
    let must = match draft.outcome() {
        Outcome::OverLimit => {
            let change = worst.and_then(|check| check.remedy.as_ref());
            let change = change.map_or("No single change mends it.", |remedy| remedy.text.as_str());
            format!("Over the limit: {name}: {what}{marks}. {change}")
        }
        Outcome::NotAssessed => {
            format!("{name}: how far its vapour can be lit could not be assessed; it may burn{marks}.")
        }
        Outcome::NearLimit => format!(
            "Near the limit: {name} evaporates at {rate}{dries}; {}{marks}.",
            "an ignition source is almost too near"
        ),
        Outcome::WithinLimit => {
            format!("Within the limits checked: {name} evaporates at {rate}{dries}{marks}.")
        }
        _ => format!("{name} evaporates at {rate}{dries}; no limit was checked."),
    };
    draft::sentence(rules, &must, draft.unconsidered(), "")
}
