//! `flash-point-margin`: how far a liquid is below its flash point, and what stands over it.

use super::check::{Compared, not_assessed};
use super::draft::{self, Draft};
use super::reader::{Asked, Fields};
use super::record::{Group, record};
use super::room::RoomAsked;
use super::rules::Rules;
use super::{Composed, Scope, field, liquid, marked_temperature};
use crate::catalogue::Substance;
use crate::physics::{flammable_limit, flash_point, headspace};
use crate::quantity::round::{cautious_down, tenths};
use crate::quantity::{Estimate, si};
use brimline_openapi::{
    Check, Evidence, FlashPointMarginReply, Headspace, HeadspaceCondition, MustBe, Outcome, Quantity, Remedy,
    Seen, Text,
};
use uom::si::f64::{Pressure, TemperatureInterval, ThermodynamicTemperature};

/// The question's name.
pub const NAME: &str = "flash-point-margin";
const CHECK: &str = "flash_point_margin";

/// The question as it was asked, defaults filled in.
#[derive(Debug, Clone, Copy)]
struct Question {
    substance: &'static Substance,
    room: ThermodynamicTemperature,
    pressure: Pressure,
    heated_to: Option<ThermodynamicTemperature>,
}

/// What was found.
#[derive(Debug)]
struct Found {
    liquid: ThermodynamicTemperature,
    flash_point: Option<Estimate<ThermodynamicTemperature>>,
    margin: Option<Estimate<TemperatureInterval>>,
}

/// Reads and answers the question.
pub fn answer(fields: &Fields<'_>, scope: &mut Scope) -> Option<Composed> {
    let (rules, draft) = (&scope.rules, &mut scope.draft);
    let substance = liquid::read(fields, draft.catalogue);
    let heated_to = fields.quantity("heated_to", &field::LIQUID_TEMPERATURE);
    let asked = RoomAsked::read(fields, false);
    fields.finish();
    if let (Some(substance), Some(heated)) = (substance, &heated_to) {
        below_critical(fields, substance, heated);
    }
    let substance = substance.filter(|_| fields.faults().is_empty())?;
    let temperature = asked.temperature(rules, draft);
    let pressure = asked.pressure(rules, draft);
    let mut request = Group::default();
    request.word("question", NAME);
    request.word("liquid", &substance.id);
    request.given("heated_to", heated_to.as_ref());
    let mut room = Group::default();
    room.quantity("temperature", &temperature);
    room.quantity("pressure", &pressure);
    asked.record_given(&mut room);
    request.group("room", room);
    rules.record(&mut request);
    let question = Question {
        substance,
        room: temperature.quantity,
        pressure: pressure.quantity,
        heated_to: heated_to.map(|heated| heated.quantity),
    };
    compose(question, scope, request)
}

fn below_critical(fields: &Fields<'_>, substance: &Substance, heated: &Asked<ThermodynamicTemperature>) {
    let Some(critical) = &substance.critical_temperature else { return };
    if heated.quantity >= critical.estimate.low {
        let limit = tenths(si::in_celsius(critical.estimate.value));
        let detail =
            format!("{} is no liquid at or above its critical temperature, {limit} Cel", substance.name());
        fields.faults().add("outside-range", fields.at("heated_to"), detail, None);
    }
}

fn find(question: Question) -> Found {
    let Question { substance, room, pressure, heated_to } = question;
    let liquid = heated_to.filter(|heated| *heated > room).unwrap_or(room);
    let published = substance.flash_point.as_ref().map(|figure| figure.estimate);
    let flash_point =
        published.map(|published| flash_point::at_pressure(published, &substance.vapour, pressure));
    let margin = flash_point.map(|flash| flash_point::margin(flash, liquid));
    Found { liquid, flash_point, margin }
}

fn checks(question: Question, found: &Found, rules: &Rules) -> Vec<Check> {
    let required = rules.number("required_margin_pure");
    let grounds = rules.grounds("required_margin_pure");
    let figure = question.substance.flash_point.as_ref();
    match (found.margin, &question.substance.not_flammable) {
        (Some(margin), _) => {
            let estimated = figure.is_some_and(|figure| figure.estimated);
            let compared = Compared {
                check: CHECK,
                question: NAME,
                value: margin.rising(si::in_kelvin_difference),
                limit: required,
                unit: "K",
                must_be: MustBe::AtLeast,
                grounds,
                evidence: if estimated { Evidence::Estimated } else { Evidence::Measured },
            };
            vec![compared.decided()]
        }
        (None, Some(_)) => Vec::new(),
        (None, None) => {
            let reason = "no flash point is published for this liquid; see the supplier's data sheet";
            let limit = Quantity::exact(required, "K");
            vec![not_assessed(CHECK, NAME, limit, MustBe::AtLeast, grounds, reason)]
        }
    }
}

/// The lowest heating that mends the check, verified by asking again.
fn remedy(question: Question, found: &Found, rules: &Rules) -> Option<Remedy> {
    let heated = question.heated_to.filter(|heated| *heated > question.room)?;
    let required = rules.number("required_margin_pure");
    let highest = si::in_celsius(found.flash_point?.low) - required;
    let room = si::in_celsius(question.room);
    // Two digits towards caution may fall below the room's own temperature: then tenths, then the room itself.
    let tried = [cautious_down(highest), (highest * 10.0).floor() / 10.0, room];
    let to = tried.into_iter().filter(|to| *to >= room && *to < si::in_celsius(heated)).find_map(|to| {
        let changed = Question { heated_to: Some(si::celsius(to)), ..question };
        let status = checks(changed, &find(changed), rules).iter().map(|check| check.status).max()?;
        (status < Outcome::NotAssessed).then_some((to, status))
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

fn compose(question: Question, scope: &mut Scope, request: Group) -> Option<Composed> {
    let found = find(question);
    let mut draft = scope.draft_taken();
    let rules = &scope.rules;
    let substance = question.substance;
    draft.checks = checks(question, &found, rules);
    for check in &mut draft.checks {
        if check.status == Outcome::OverLimit {
            check.remedy = remedy(question, &found, rules);
        }
    }
    say_sources(question, &found, &mut draft);
    let space = headspace_of(question, &found, &mut draft);
    let (lower, upper) = limit_temperatures(question, &mut draft);
    let verdict = draft
        .verdict(NAME, substance, rules, |draft| sentence(question, &found, draft, rules, space.condition));
    let record = record(draft.catalogue, request, draft.full).ok()?;
    let category = substance.category();
    let reply = FlashPointMarginReply {
        verdict: verdict.clone(),
        liquid: liquid::echo(substance),
        flash_point: found.flash_point.map(|flash| draft::tenths(flash.rising(si::in_celsius), "Cel")),
        published_flash_point: substance
            .flash_point
            .as_ref()
            .map(|figure| draft::tenths(figure.estimate.rising(si::in_celsius), "Cel")),
        liquid_temperature: Quantity::exact(si::in_celsius(found.liquid), "Cel"),
        margin: found.margin.map(|margin| draft::tenths(margin.rising(si::in_kelvin_difference), "K")),
        required_margin: Quantity::exact(rules.number("required_margin_pure"), "K"),
        headspace: space,
        lower_flammable_temperature: lower,
        upper_flammable_temperature: upper,
        flammable_liquid_category: category,
        basis: draft.finish(substance, rules, record),
    };
    Composed::of(&reply, &verdict)
}

fn say_sources(question: Question, found: &Found, draft: &mut Draft) {
    let substance = question.substance;
    draft.consider("flash_point");
    draft.consider("headspace");
    draft.method("flash_point_at_pressure");
    draft.method("headspace");
    match (&substance.flash_point, &substance.not_flammable) {
        (Some(figure), _) => {
            draft.figure(figure, "flash_point");
            draft.method("category");
            if figure.estimated {
                draft.caution("flash_point_estimated", "The flash point is an estimate: none is published.");
            }
        }
        (None, Some(said)) => {
            draft.not_given("/flash_point", said.reason.as_str());
            draft.not_given("/margin", "there is no flash point");
        }
        (None, None) => {
            draft.not_given("/flash_point", "none is published");
            draft.not_given("/margin", "there is no flash point");
        }
    }
    if let Some(figure) = &substance.boiling_point {
        draft.figure(figure, "boiling_point");
    }
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

fn headspace_of(question: Question, found: &Found, draft: &mut Draft) -> Headspace {
    let Question { substance, pressure, .. } = question;
    let fraction = match substance.vapour.at(found.liquid) {
        Ok(at) => {
            draft.method("vapour_pressure");
            draft.set(substance, &at.set.name);
            marked_temperature(draft, at.extrapolated);
            Some(headspace::saturated_fraction(at.pressure, pressure))
        }
        Err(outside) => {
            draft.not_given("/headspace/volume_fraction", format!("the liquid's temperature is {outside}"));
            None
        }
    };
    let lower = substance.lower_limit.as_ref().map(|figure| {
        draft.figure(figure, "lower_flammable_limit");
        draft.method("lower_limit_at_temperature");
        flammable_limit::at_temperature(figure.estimate, found.liquid, substance.limit_fall)
    });
    let upper = substance.upper_limit.as_ref().map(|figure| {
        draft.figure(figure, "upper_flammable_limit");
        figure.estimate
    });
    let condition = if substance.not_flammable.is_some() {
        HeadspaceCondition::NotFlammable
    } else {
        super::headspace_word(substance, found.liquid, found.flash_point, fraction, upper)
    };
    if condition == HeadspaceCondition::TooRich {
        draft.caution(
            "too_rich",
            "Too rich is not within a limit: at the rim, on pouring and on cooling the vapour passes through the ignitable range.",
        );
    }
    if upper.is_some() {
        draft.caution(
            "upper_limit_indication",
            "The upper limit is an indication only; nothing is judged to be within a limit by it.",
        );
    }
    let in_percent = |estimate: Estimate<_>| draft::estimate(estimate.rising(si::in_percent), "%");
    Headspace {
        condition,
        volume_fraction: fraction.map(in_percent),
        lower_flammable_limit: lower.map(in_percent),
        upper_flammable_limit: upper.map(in_percent),
    }
}

fn limit_temperatures(question: Question, draft: &mut Draft) -> (Option<Quantity>, Option<Quantity>) {
    let Question { substance, pressure, .. } = question;
    let as_reply =
        |found: Estimate<ThermodynamicTemperature>| draft::tenths(found.rising(si::in_celsius), "Cel");
    let lower = substance.lower_limit.as_ref().and_then(|figure| {
        flash_point::lower_flammable_temperature(
            figure.estimate,
            substance.limit_fall,
            &substance.vapour,
            pressure,
        )
    });
    let upper = substance.upper_limit.as_ref().and_then(|figure| {
        flash_point::upper_flammable_temperature(figure.estimate, &substance.vapour, pressure)
    });
    for (pointer, found, limit) in [
        ("/lower_flammable_temperature", lower.is_some(), substance.lower_limit.is_some()),
        ("/upper_flammable_temperature", upper.is_some(), substance.upper_limit.is_some()),
    ] {
        if found {
            draft.method("limit_temperature");
        } else if substance.not_flammable.is_none() {
            let reason = if limit {
                "no published vapour pressure reaches it"
            } else {
                "no trusted limit is published"
            };
            draft.not_given(pointer, reason);
        }
    }
    (lower.map(as_reply), upper.map(as_reply))
}

fn sentence(
    question: Question,
    found: &Found,
    draft: &Draft,
    rules: &Rules,
    condition: HeadspaceCondition,
) -> String {
    let name = question.substance.name();
    let liquid = tenths(si::in_celsius(found.liquid));
    let required = rules.number("required_margin_pure");
    let check = draft.checks.first();
    let marks = draft::marks(check);
    if let Some(said) = &question.substance.not_flammable {
        let unconfirmed = if said.seen == Seen::Memory { " (unconfirmed)" } else { "" };
        return draft::sentence(
            rules,
            &format!("{name} has no flash point: it does not burn{unconfirmed}; no limit was checked."),
            "",
            "",
        );
    }
    let (Some(flash), Some(margin), Some(check)) = (found.flash_point, found.margin, check) else {
        let rest = format!(
            "{name} at {liquid} Cel: no flash point is published, so the margin could not be assessed; its vapour may burn."
        );
        return draft::sentence(rules, &rest, "", "");
    };
    let flash = tenths(si::in_celsius(flash.value));
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
            draft::sentence(rules, &must, "", rich)
        }
    }
}
