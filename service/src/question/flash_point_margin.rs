//! `flash-point-margin`: how far a liquid is below its flash point, and what stands over it.

use super::check::{Compared, not_assessed};
use super::draft::{self, Draft};
use super::heating::{self, Heating, HeatingAsked};
use super::reader::Fields;
use super::record::{Group, record};
use super::room::RoomAsked;
use super::rules::Rules;
use super::vapour_picture::{self, Against};
use super::vapour_space::{self, Space};
use super::{Composed, Scope, field, liquid};
use crate::liquid::Liquid;
use crate::liquid::drift::LOST;
use crate::liquid::flash::{FlashPoint, Limit, NoFlashPoint, Origin};
use crate::liquid::vapour::Phases;
use crate::physics::flash_point;
use crate::physics::room_air::Air;
use crate::quantity::round::{cautious_down, tenths};
use crate::quantity::{Estimate, si};
use brimline_openapi::{
    AfterEvaporation, Check, Evidence, FlashPointMarginReply, Headspace, HeadspaceCondition, MustBe, Outcome,
    Quantity, Remedy, Seen, Text,
};
use uom::si::f64::{Pressure, TemperatureInterval, ThermodynamicTemperature};

/// The question's name.
pub const NAME: &str = "flash-point-margin";
const CHECK: &str = "flash_point_margin";

/// The question as it was asked, defaults filled in.
#[derive(Debug, Clone, Copy)]
struct Question<'a> {
    liquid: &'a Liquid,
    room: ThermodynamicTemperature,
    pressure: Pressure,
    heated_to: Option<ThermodynamicTemperature>,
    heating: Heating,
}

/// What was found.
#[derive(Debug)]
struct Found {
    liquid: ThermodynamicTemperature,
    flash_point: Result<FlashPoint, NoFlashPoint>,
    margin: Option<Estimate<TemperatureInterval>>,
}

/// Reads and answers the question.
pub fn answer(fields: &Fields<'_>, scope: &mut Scope) -> Option<Composed> {
    let (rules, draft) = (&scope.rules, &mut scope.draft);
    let asked_liquid = liquid::read(fields, draft.catalogue);
    let heated_to = fields.quantity("heated_to", &field::LIQUID_TEMPERATURE);
    let heating = HeatingAsked::read(fields, asked_liquid.as_ref(), heated_to.as_ref());
    let asked = RoomAsked::read(fields, false);
    fields.finish();
    let asked_liquid = asked_liquid.filter(|_| fields.faults().is_empty())?;
    let temperature = asked.temperature(rules, draft);
    let pressure = asked.pressure(rules, draft);
    let air = Air { temperature: temperature.quantity, pressure: pressure.quantity };
    let heated_to = heating.heated_to((fields, &asked_liquid), heated_to, air, rules, draft);
    let mut request = Group::default();
    request.word("question", NAME);
    liquid::record(&asked_liquid, "liquid", &mut request);
    request.given("heated_to", heated_to.as_ref());
    let mut room = Group::default();
    room.quantity("temperature", &temperature);
    room.quantity("pressure", &pressure);
    asked.record_given(&mut room);
    request.group("room", room);
    let warmer = heated_to.map(|heated| heated.quantity).filter(|heated| *heated > temperature.quantity);
    let heating = heating.resolve((&asked_liquid, warmer), air, rules, draft, &mut request);
    rules.record(&mut request);
    if !fields.faults().is_empty() {
        return None;
    }
    let question = Question {
        liquid: &asked_liquid,
        room: temperature.quantity,
        pressure: pressure.quantity,
        heated_to: heated_to.map(|heated| heated.quantity),
        heating,
    };
    compose(question, scope, request)
}

/// The rule of the margin that is required.
fn rule(liquid: &Liquid) -> &'static str {
    if liquid.substance().is_some() { "required_margin_pure" } else { "required_margin_mixture" }
}

fn find(question: Question<'_>) -> Found {
    let temperature = question.heated_to.filter(|heated| *heated > question.room).unwrap_or(question.room);
    let flash_point = question.liquid.flash_point(question.pressure);
    let margin = flash_point.as_ref().ok().map(|flash| flash_point::margin(flash.estimate, temperature));
    Found { liquid: temperature, flash_point, margin }
}

fn checks(question: Question<'_>, found: &Found, rules: &Rules) -> Vec<Check> {
    let rule = rule(question.liquid);
    let required = rules.number(rule);
    let grounds = rules.grounds(rule);
    match (&found.flash_point, found.margin) {
        (Ok(flash), Some(margin)) => {
            let compared = Compared {
                check: CHECK,
                question: NAME,
                value: margin.rising(si::in_kelvin_difference),
                limit: required,
                unit: "K",
                must_be: MustBe::AtLeast,
                grounds,
                evidence: match flash.origin {
                    Origin::Published => Evidence::Measured,
                    Origin::Estimated | Origin::Calculated | Origin::Bound(_) => Evidence::Estimated,
                },
            };
            vec![compared.decided()]
        }
        _ if question.liquid.not_flammable().is_some() => Vec::new(),
        (Err(why), _) => {
            let reason = format!("{why}; see the supplier's data sheet");
            let limit = Quantity::exact(required, "K");
            vec![not_assessed(CHECK, NAME, limit, MustBe::AtLeast, grounds, &reason)]
        }
        (Ok(_), None) => Vec::new(),
    }
}

/// Flash point, margin and its check of a liquid that is compared with others; `heated_to` where it is above the room's.
pub fn compared(
    liquid: &Liquid,
    air: Air,
    heated_to: Option<ThermodynamicTemperature>,
    rules: &Rules,
) -> (Result<FlashPoint, NoFlashPoint>, Option<Estimate<f64>>, Vec<Check>) {
    let heating = Heating::none(air);
    let question = Question { liquid, room: air.temperature, pressure: air.pressure, heated_to, heating };
    let found = find(question);
    let checks = checks(question, &found, rules);
    (found.flash_point, found.margin.map(|margin| margin.rising(si::in_kelvin_difference)), checks)
}

/// The lowest heating that mends the check, verified by asking again.
fn remedy(question: Question<'_>, found: &Found, rules: &Rules) -> Option<Remedy> {
    let heated = question.heated_to.filter(|heated| *heated > question.room)?;
    let required = rules.number(rule(question.liquid));
    let highest = si::in_celsius(found.flash_point.as_ref().ok()?.estimate.low) - required;
    let room = si::in_celsius(question.room);
    // Two digits towards caution may fall below the room's own temperature: then tenths, then the room itself. Where the highest
    // is round, noise of its last bits may leave it over the limit: then the next figure down.
    let tenths_down = |celsius: f64| (celsius * 10.0).floor() / 10.0;
    let less = highest - 0.001;
    let tried = [cautious_down(highest), cautious_down(less), tenths_down(highest), tenths_down(less), room];
    let to = tried.into_iter().filter(|to| *to >= room && *to < si::in_celsius(heated)).find_map(|to| {
        let liquid = si::celsius(to);
        let heating = question.heating.with_liquid(liquid);
        let changed = Question { heated_to: Some(liquid), heating, ..question };
        let status = checks(changed, &find(changed), rules).iter().map(|check| check.status).max()?;
        let others = heating.checks(NAME, question.liquid, None, rules);
        let all = others.iter().map(|check| check.status).max().map_or(status, |worst| status.max(worst));
        (status < Outcome::NotAssessed).then_some((to, all))
    })?;
    let (to, outcome_after) = to;
    Some(Remedy {
        change: Text::Borrowed("heating"),
        field: Text::Borrowed("/heated_to"),
        to: format!("{to} Cel"),
        text: format!("Heat the liquid to at most {to} Cel."),
        outcome_after,
    })
}

fn compose(question: Question<'_>, scope: &mut Scope, request: Group) -> Option<Composed> {
    let found = find(question);
    let mut draft = scope.draft_taken();
    let rules = &scope.rules;
    let asked = question.liquid;
    draft.checks = checks(question, &found, rules);
    for check in &mut draft.checks {
        if check.status == Outcome::OverLimit {
            check.remedy = remedy(question, &found, rules);
        }
    }
    draft.checks.extend(question.heating.checks(NAME, asked, None, rules));
    let nowhere = si::metre(0.0);
    question.heating.mend((NAME, asked, "/surface_temperature"), None, nowhere, &mut draft, rules);
    say_sources(question, &found, &mut draft);
    question.heating.say(&mut draft, asked, false, rules);
    let over = asked.over(found.liquid);
    let usual = over.as_ref().ok().and_then(|over| over.first());
    if let Some(over) = usual {
        vapour_space::say_vapour(&mut draft, asked, over);
    }
    let phases = vapour_space::phases(asked, usual);
    let flash = found.flash_point.as_ref().ok().map(|flash| flash.estimate);
    let space = vapour_space::space(asked, found.liquid, question.pressure, flash, &over);
    say_headspace(question, &space, &mut draft);
    let splits = !phases.is_empty();
    let (lower, upper) = limit_temperatures(question, splits, &mut draft);
    let after_evaporation = after_evaporation(question, &found, splits, &mut draft);
    let verdict =
        draft.verdict(NAME, asked, rules, |draft| sentence(question, &found, draft, rules, space.condition));
    let picture = if draft.pictured {
        let against = Against {
            liquid: asked,
            temperature: found.liquid,
            space: &space,
            flash,
            wanted: rules.number(rule(asked)),
            judged: judged(&draft),
        };
        vapour_picture::of_margin(&against, &verdict.sentence)
    } else {
        None
    };
    let record = record(&draft, request).ok()?;
    let in_percent = |estimate: Estimate<_>| draft::estimate(estimate.rising(si::in_percent), "%");
    let published = asked.substance().and_then(|substance| substance.flash_point.as_ref());
    let reply = FlashPointMarginReply {
        verdict: verdict.clone(),
        liquid: liquid::echo(asked),
        flash_point: flash.map(|flash| draft::tenths(flash.rising(si::in_celsius), "Cel")),
        published_flash_point: published
            .map(|figure| draft::tenths(figure.estimate.rising(si::in_celsius), "Cel")),
        liquid_temperature: Quantity::exact(si::in_celsius(found.liquid), "Cel"),
        margin: found.margin.map(|margin| draft::tenths(margin.rising(si::in_kelvin_difference), "K")),
        required_margin: Quantity::exact(rules.number(rule(asked)), "K"),
        headspace: Headspace {
            condition: space.condition,
            volume_fraction: space.fraction.ok().map(in_percent),
            lower_flammable_limit: space.lower.map(in_percent),
            upper_flammable_limit: space.upper.map(in_percent),
        },
        lower_flammable_temperature: lower,
        upper_flammable_temperature: upper,
        flammable_liquid_category: asked.category(elsewhere(splits)),
        after_evaporation,
        liquid_phases: phases,
        basis: draft.finish(asked, rules, record),
    };
    Some(Composed { picture, ..Composed::of(reply, &verdict) })
}

/// The check of the margin in a word.
fn judged(draft: &Draft) -> &'static str {
    let check = draft.checks.iter().find(|check| check.check == CHECK);
    match check.map(|check| check.status) {
        Some(Outcome::OverLimit) => "OVER THE LIMIT",
        Some(Outcome::NearLimit) => "Near the limit",
        Some(Outcome::WithinLimit) => "Within this limit",
        Some(Outcome::NotAssessed) => "NOT ASSESSED",
        _ => "No limit was checked",
    }
}

fn say_sources(question: Question<'_>, found: &Found, draft: &mut Draft) {
    let asked = question.liquid;
    draft.consider("flash_point");
    draft.consider("headspace");
    draft.method("headspace");
    vapour_space::say_flash_point(draft, asked, &found.flash_point);
    match (&found.flash_point, asked.not_flammable()) {
        (Ok(_), _) => draft.method("category"),
        (Err(_), Some(said)) => {
            draft.not_given("/flash_point", said.reason);
            draft.not_given("/margin", "there is no flash point");
        }
        (Err(why), None) => {
            draft.not_given("/flash_point", why.to_string());
            draft.not_given("/margin", "there is no flash point");
        }
    }
    draft.figures(asked, "boiling_point", |substance| substance.boiling_point.as_ref());
    if question.heated_to.is_some() {
        draft.assume(
            "higher_temperature",
            "The liquid is at the higher of `heated_to` and the room's temperature.",
        );
    } else {
        draft.assume("liquid_at_room_temperature", "The liquid is at the room's temperature.");
    }
    if found.margin.is_some() {
        draft.caution(
            "hot_surroundings",
            "Sun, a hot plate or a flame nearby warms the liquid above the room's temperature: the margin is that much smaller.",
        );
    }
}

fn say_headspace(question: Question<'_>, space: &Space, draft: &mut Draft) {
    let asked = question.liquid;
    if let Err(why) = &space.fraction {
        draft.not_given("/headspace/volume_fraction", format!("at the liquid's temperature: {why}"));
    }
    if space.lower.is_some() {
        draft.figures(asked, "lower_flammable_limit", |substance| substance.lower_limit.as_ref());
        draft.method("lower_limit_at_temperature");
        if asked.substance().is_none() {
            draft.method("le_chatelier");
        }
    }
    if space.condition == HeadspaceCondition::TooRich {
        draft.caution(
            "too_rich",
            "Too rich is not within a limit: at the rim, on pouring and on cooling the vapour passes through the ignitable range.",
        );
    }
    if space.upper.is_some() {
        draft.figures(asked, "upper_flammable_limit", |substance| substance.upper_limit.as_ref());
        draft.caution(
            "upper_limit_indication",
            "The upper limit is an indication only; nothing is judged to be within a limit by it.",
        );
    }
}

/// A liquid that is one at its own temperature is taken as one near it, too.
const fn elsewhere(splits: bool) -> Phases {
    if splits { Phases::OneOrTwo } else { Phases::One }
}

fn limit_temperatures(
    question: Question<'_>,
    splits: bool,
    draft: &mut Draft,
) -> (Option<Quantity>, Option<Quantity>) {
    let Question { liquid, pressure, .. } = question;
    let as_reply =
        |found: Estimate<ThermodynamicTemperature>| draft::tenths(found.rising(si::in_celsius), "Cel");
    let phases = elsewhere(splits);
    let lower = liquid.limit_temperature(Limit::Lower, pressure, phases);
    let upper = liquid.limit_temperature(Limit::Upper, pressure, phases);
    let known = |limit: fn(&crate::catalogue::Substance) -> bool| liquid.substances().any(limit);
    for (pointer, found, limit) in [
        ("/lower_flammable_temperature", lower.is_some(), known(|substance| substance.lower_limit.is_some())),
        ("/upper_flammable_temperature", upper.is_some(), known(|substance| substance.upper_limit.is_some())),
    ] {
        if found {
            draft.method("limit_temperature");
        } else if liquid.not_flammable().is_none() {
            let reason = if limit {
                "no published vapour pressure reaches it, or the mixture's vapour is not known"
            } else {
                "no trusted limit is published"
            };
            draft.not_given(pointer, reason);
        }
    }
    (lower.map(as_reply), upper.map(as_reply))
}

/// The flash point of an open mixture after shares of it have evaporated.
fn after_evaporation(
    question: Question<'_>,
    found: &Found,
    splits: bool,
    draft: &mut Draft,
) -> Vec<AfterEvaporation> {
    let Question { liquid, pressure, .. } = question;
    if liquid.substance().is_some()
        || !matches!(&found.flash_point, Ok(flash) if flash.origin == Origin::Calculated)
    {
        return Vec::new();
    }
    if splits {
        draft.assume(
            "drift_of_two_liquids",
            "How two liquid layers change while they evaporate is not computed.",
        );
        return Vec::new();
    }
    let Ok(left) = liquid.usual().drifted(found.liquid) else { return Vec::new() };
    draft.method("drift");
    LOST.iter()
        .zip(left)
        .map(|(lost, left)| {
            let components =
                vapour_space::components(left.parts.iter().map(|part| (part.substance, part.fraction)));
            // What is left is looked at as one liquid: so it was when it began to change.
            let flash = left.flash_point(pressure, Phases::One);
            let limit = liquid.usual().lower_limit_given_off(lost / 100.0, &left, found.liquid);
            AfterEvaporation {
                evaporated: Quantity::exact(*lost, "%"),
                lower_flammable_limit_of_vapour: limit
                    .map(|limit| draft::estimate(limit.rising(si::in_percent), "%")),
                flash_point: flash
                    .ok()
                    .map(|flash| draft::tenths(flash.estimate.rising(si::in_celsius), "Cel")),
                components,
            }
        })
        .collect()
}

fn sentence(
    question: Question<'_>,
    found: &Found,
    draft: &Draft,
    rules: &Rules,
    condition: HeadspaceCondition,
) -> String {
    let name = draft::named(question.liquid);
    let liquid = tenths(si::in_celsius(found.liquid));
    let required = rules.number(rule(question.liquid));
    if let Some(said) = heating::said(&name, draft) {
        return draft::sentence(rules, &said, "", "");
    }
    let check = heating::own(draft);
    let marks = draft::marks(check);
    if let Some(said) = question.liquid.not_flammable() {
        let unconfirmed = if said.seen == Seen::Memory { " (unconfirmed)" } else { "" };
        return draft::sentence(
            rules,
            &format!(
                "{name} has no flash point: it does not burn{unconfirmed}; {}.",
                heating::checked(draft)
            ),
            "",
            "",
        );
    }
    let (Ok(flash), Some(margin), Some(check)) = (&found.flash_point, found.margin, check) else {
        let rest = format!(
            "{name} at {liquid} Cel: the margin could not be assessed, no flash point is known; its vapour may burn."
        );
        return draft::sentence(rules, &rest, "", "");
    };
    let flash = tenths(si::in_celsius(flash.estimate.value));
    let (best, low) =
        (tenths(si::in_kelvin_difference(margin.value)), tenths(si::in_kelvin_difference(margin.low)));
    match check.status {
        Outcome::OverLimit => {
            let mend = check.remedy.as_ref().map_or_else(
                || " No single change mends it.".to_owned(),
                |remedy| format!(" {}", remedy.text),
            );
            let (side, far, end) = if best < 0.0 { ("above", -best, -low) } else { ("below", best, low) };
            let word = if best < 0.0 { "up to" } else { "as little as" };
            let must = format!(
                "Over the limit: {name} at {liquid} Cel is {far} K {side} its flash point of {flash} Cel ({word} {end} K); it must be {required} K below{marks}."
            );
            draft::sentence(rules, &must, "", &mend)
        }
        status => {
            let word = if status == Outcome::NearLimit { "Near the limit" } else { "Within the limit" };
            let rich = if condition == HeadspaceCondition::Ignitable {
                " Its vapour space counts as ignitable all the same."
            } else {
                ""
            };
            let must = format!(
                "{word}: {name} at {liquid} Cel is at least {low} K below its flash point ({flash} Cel); {required} K is required{marks}."
            );
            draft::sentence(rules, &must, draft.unconsidered(), rich)
        }
    }
}
