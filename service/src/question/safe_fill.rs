//! `safe-fill` (a path name only): the largest fill at which every limit considered holds, and which limit binds.

use super::check::{Compared, not_assessed};
use super::draft::{self, Draft};
use super::reader::{Asked, Fields};
use super::record::{Group, record};
use super::room::{Room, RoomAsked};
use super::room_flammable_limit::Effect;
use super::rules::Rules;
use super::{Composed, Scope, field, liquid};
use crate::liquid::Liquid;
use crate::liquid::vapour::Phases;
use crate::physics::{standard_pressure, vessel};
use crate::quantity::round::cautious_down;
use crate::quantity::{Estimate, si};
use brimline_openapi::{
    Check, Evidence, FillLimit, MustBe, Outcome, Quantity, Remedy, SafeFillReply, Text, Use,
};
use uom::si::f64::{Length, Volume};

/// The question's name.
pub const NAME: &str = "safe-fill";
/// Most vessels in one request.
const MOST_VESSELS: u32 = 1000;
/// A vessel whose height, capacity over mouth, exceeds this many times the mouth's width was not described right.
const TALLEST: f64 = 400.0;

/// The question as it was asked, defaults filled in.
#[derive(Debug, Clone, Copy)]
struct Question<'a> {
    liquid: &'a Liquid,
    room: Room,
    capacity: Volume,
    mouth: Length,
    vessels: u32,
    used: Use,
}

/// A limit on the fill: its id, its rule, and the most in all vessels together, mL.
#[derive(Debug, Clone, Copy)]
struct Limit {
    id: &'static str,
    rule: &'static str,
    most: Option<f64>,
}

/// Reads and answers the question.
pub fn answer(fields: &Fields<'_>, scope: &mut Scope) -> Option<Composed> {
    let asked_liquid = liquid::read(fields, scope.draft.catalogue);
    let asked = RoomAsked::read(fields, true);
    let vessel = read_vessel(fields);
    let vessels = fields.required_count("vessels", MOST_VESSELS);
    fields.required("use", "`open`, `heated` or `burnt`");
    let used = fields.word("use", &[("open", Use::Open), ("heated", Use::Heated), ("burnt", Use::Burnt)]);
    let fill = fields.quantity("fill", &field::LIQUID_VOLUME);
    let mut request = Group::default();
    read_later_inputs(fields, &mut request);
    fields.finish();
    if let (Some(fill), Some((capacity, _))) = (&fill, &vessel)
        && fill.quantity > capacity.quantity
    {
        let detail = format!("{} mL is more than the vessel holds, {} mL", fill.number, capacity.number);
        fields.faults().add("impossible-value", fields.at("fill"), detail, None);
    }
    if let (Some(liquid), Some(Use::Burnt)) = (&asked_liquid, used)
        && let Some(said) = liquid.not_flammable()
    {
        fields.faults().add(
            "impossible-value",
            fields.at("use"),
            format!("it cannot be burnt: {}", said.reason),
            None,
        );
    }
    let asked_liquid = asked_liquid.filter(|_| fields.faults().is_empty())?;
    let ((capacity, mouth), vessels, used) = (vessel?, vessels?, used?);
    request.word("question", NAME);
    liquid::record(&asked_liquid, "liquid", &mut request);
    let room = asked.resolve(&scope.rules, &mut scope.draft, &mut request)?;
    record_vessel(&mut request, capacity, mouth, vessels, used);
    request.given("fill", fill.as_ref());
    scope.rules.record(&mut request);
    let question = Question {
        liquid: &asked_liquid,
        room,
        capacity: capacity.quantity,
        mouth: mouth.quantity,
        vessels,
        used,
    };
    compose(question, fill.map(|fill| fill.number), scope, request)
}

fn read_vessel(fields: &Fields<'_>) -> Option<(Asked<Volume>, Asked<Length>)> {
    let vessel = fields.required_group("vessel", "an object with `capacity` and `mouth_diameter`")?;
    let capacity = vessel.required_quantity("capacity", &field::CAPACITY);
    let mouth = vessel.required_quantity("mouth_diameter", &field::MOUTH);
    vessel.text("material", 200);
    vessel.finish();
    let (capacity, mouth) = (capacity?, mouth?);
    let height = capacity.number / (std::f64::consts::FRAC_PI_4 * mouth.number * mouth.number);
    if height > TALLEST * mouth.number || height * TALLEST < mouth.number {
        let detail =
            "capacity and mouth do not fit together: a straight-sided vessel would be absurdly tall or flat";
        fields.faults().add("implausible-value", vessel.at("mouth_diameter"), detail, None);
        return None;
    }
    Some((capacity, mouth))
}

/// Inputs of limits that come later are read strictly and recorded, so that a request keeps its meaning.
fn read_later_inputs(fields: &Fields<'_>, request: &mut Group) {
    request.given("heated_to", fields.quantity("heated_to", &field::LIQUID_TEMPERATURE).as_ref());
    request.given("duration", fields.quantity("duration", &field::DURATION).as_ref());
    for name in ["nearest_person", "nearest_ignition", "clear_height"] {
        request.given(name, fields.quantity(name, &field::DISTANCE).as_ref());
    }
    if let Some(none) = fields.word("ignition", &[("none in the room", "none in the room")]) {
        request.word("ignition", none);
    }
}

fn record_vessel(
    request: &mut Group,
    capacity: Asked<Volume>,
    mouth: Asked<Length>,
    vessels: u32,
    used: Use,
) {
    let mut vessel = Group::default();
    vessel.quantity("capacity", &capacity);
    vessel.quantity("mouth_diameter", &mouth);
    request.group("vessel", vessel);
    request.number("vessels", f64::from(vessels));
    request.word(
        "use",
        match used {
            Use::Open => "open",
            Use::Heated => "heated",
            Use::Burnt => "burnt",
        },
    );
}

/// Every limit that is considered.
fn limits(question: Question<'_>, rules: &Rules) -> Vec<Limit> {
    let Question { liquid, room, .. } = question;
    let count = f64::from(question.vessels);
    let mut limits = Vec::new();
    if liquid.not_flammable().is_none() {
        let effect = Effect::of(liquid, room);
        let effect = effect.as_ref();
        let share = effect.map(|effect| effect.most_for_share(rules.number("planned_release_share") / 100.0));
        let depth = effect.map(|effect| effect.most_for_depth(rules.number("floor_layer_depth")));
        limits.push(Limit { id: "room_share", rule: "planned_release_share", most: share });
        limits.push(Limit { id: "floor_layer", rule: "floor_layer_depth", most: depth });
    }
    let (rule, per_vessel) = vessel_limit(question, rules);
    limits.push(Limit { id: "vessel", rule, most: Some(count * per_vessel) });
    limits.push(Limit {
        id: "practice",
        rule: "amount_near_demonstration",
        most: Some(rules.number("amount_near_demonstration")),
    });
    if question.used == Use::Burnt && !burnable(liquid) {
        limits.push(Limit { id: "flame", rule: "burnt_fill", most: Some(0.0) });
    }
    // The binding one first; one that could not be assessed binds before all.
    limits.sort_by(|a, b| a.most.unwrap_or(-1.0).total_cmp(&b.most.unwrap_or(-1.0)).then(a.id.cmp(b.id)));
    limits
}

/// The rule of the vessel that binds, and the most in one vessel, mL.
fn vessel_limit(question: Question<'_>, rules: &Rules) -> (&'static str, f64) {
    let share = |rule| {
        si::in_millilitre(vessel::share_of_capacity(question.capacity, si::percent(rules.number(rule))))
    };
    match question.used {
        Use::Open => ("open_fill_share", share("open_fill_share")),
        Use::Heated => ("heated_fill_share", share("heated_fill_share")),
        Use::Burnt => {
            let depth = si::metre(rules.number("burnt_depth") / 1000.0);
            let deep = si::in_millilitre(vessel::fill_of_depth(question.mouth, depth));
            let tried = [
                ("burnt_depth", deep),
                ("burnt_fill", rules.number("burnt_fill")),
                ("open_fill_share", share("open_fill_share")),
            ];
            tried
                .into_iter()
                .fold(("burnt_fill", f64::INFINITY), |least, one| if one.1 < least.1 { one } else { least })
        }
    }
}

/// Category 1 liquids and liquids with other elements than carbon, hydrogen and oxygen are not burnt (judgement).
fn burnable(liquid: &Liquid) -> bool {
    // Pentane boils at 36 Cel, just above category 1, and is kept from flames like it.
    const LOWEST_BOILING_CEL: f64 = 40.0;
    let boils_high = match liquid.substance() {
        Some(substance) => substance.boiling_point.as_ref().map(|figure| figure.estimate),
        None => liquid.boiling_point(standard_pressure()),
    };
    let boils_high = boils_high.is_some_and(|boiling| si::in_celsius(boiling.low) > LOWEST_BOILING_CEL);
    liquid.category(Phases::OneOrTwo) != Some(1) && boils_high && liquid.burns_cleanly()
}

/// The check of each limit at a fill of each vessel, mL.
fn checks(question: Question<'_>, limits: &[Limit], fill: f64, rules: &Rules) -> Vec<Check> {
    let total = f64::from(question.vessels) * fill;
    let liquid = Estimate::exact(si::millilitre(total));
    let effect = Effect::of(question.liquid, question.room);
    let one = |limit: &Limit| {
        let (value, bound, unit, evidence) = match (limit.id, &effect) {
            ("room_share", Some(effect)) => {
                (effect.share(liquid).rising(si::in_percent), rules.number(limit.rule), "%", effect.evidence)
            }
            ("floor_layer", Some(effect)) => {
                (effect.depth(liquid), rules.number(limit.rule), "m", effect.evidence)
            }
            ("room_share" | "floor_layer", None) => {
                let unit = if limit.id == "room_share" { "%" } else { "m" };
                let bound = Quantity::exact(rules.number(limit.rule), unit);
                let reason = "no trusted lower flammable limit is published for this liquid; see the supplier's data sheet";
                return not_assessed(
                    limit.id,
                    NAME,
                    bound,
                    MustBe::AtMost,
                    rules.grounds(limit.rule),
                    reason,
                );
            }
            ("vessel", _) => (
                Estimate::exact(fill),
                limit.most.unwrap_or(0.0) / f64::from(question.vessels),
                "mL",
                Evidence::Measured,
            ),
            _ => (Estimate::exact(total), limit.most.unwrap_or(0.0), "mL", Evidence::Measured),
        };
        let bound = crate::quantity::round::significant(bound, 12);
        let mut grounds = rules.grounds(limit.rule);
        if limit.id == "flame" {
            grounds.text = Text::Borrowed(
                "A liquid that boils below 40 Cel, or that holds more than carbon, hydrogen and oxygen, is not burnt.",
            );
        }
        let compared = Compared {
            check: limit.id,
            question: NAME,
            value,
            limit: bound,
            unit,
            must_be: MustBe::AtMost,
            grounds,
            evidence,
        };
        let mut check = compared.decided();
        if limit.id == "flame" {
            // Whatever the amount: not even the fill of zero that is proposed makes it a liquid to burn.
            check.status = Outcome::OverLimit;
        }
        check
    };
    limits.iter().map(one).collect()
}

/// The largest fill, mL, at which a check (or, for `None`, every check) is not over its limit; verified.
fn largest(question: Question<'_>, limits: &[Limit], rules: &Rules, id: Option<&str>) -> f64 {
    let concerned = limits.iter().filter(|limit| id.is_none_or(|id| limit.id == id));
    let most = concerned.filter_map(|limit| limit.most).fold(f64::INFINITY, f64::min);
    let mut fill = cautious_down(most / f64::from(question.vessels));
    for _ in 0..3 {
        let over = checks(question, limits, fill, rules).iter().any(|check| {
            check.status == Outcome::OverLimit
                && check.check != "flame"
                && id.is_none_or(|id| check.check == id)
        });
        if !over {
            break;
        }
        // Rounding in the last bit left the rounded figure over the limit: one step further down.
        fill = cautious_down(fill * 0.99);
    }
    fill
}

fn remedy(question: Question<'_>, limits: &[Limit], rules: &Rules, check: &Check) -> Option<Remedy> {
    if check.status != Outcome::OverLimit || check.check == "flame" {
        return None;
    }
    let fill = largest(question, limits, rules, Some(&check.check));
    if fill <= 0.0 {
        return None;
    }
    let outcome_after = checks(question, limits, fill, rules).iter().map(|check| check.status).max()?;
    Some(Remedy {
        change: Text::Borrowed("amount"),
        field: Text::Borrowed("/fill"),
        to: format!("{fill} mL"),
        text: format!("Fill each vessel to at most {fill} mL."),
        outcome_after,
    })
}

fn compose(question: Question<'_>, fill: Option<f64>, scope: &mut Scope, request: Group) -> Option<Composed> {
    let mut draft = scope.draft_taken();
    let rules = &scope.rules;
    let limits = limits(question, rules);
    let assessed = limits.iter().all(|limit| limit.most.is_some());
    let proposed = largest(question, &limits, rules, None);
    let mut made = checks(question, &limits, fill.unwrap_or(proposed), rules);
    let statuses: Vec<Outcome> = made.iter().map(|check| check.status).collect();
    if fill.is_some() {
        let remedies: Vec<_> = made.iter().map(|check| remedy(question, &limits, rules, check)).collect();
        for (check, remedy) in made.iter_mut().zip(remedies) {
            check.remedy = remedy;
        }
    }
    draft.checks = made;
    say(question, &limits, rules, &mut draft);
    if !assessed {
        draft.not_given(
            "/fill_per_vessel",
            "a limit on ignition could not be assessed: no trusted lower flammable limit is published",
        );
    }
    let shown: Vec<FillLimit> = limits
        .iter()
        .zip(&statuses)
        .zip(&draft.checks)
        .map(|((limit, status), check)| FillLimit {
            id: Text::Borrowed(limit.id),
            largest_total: limit.most.map(|most| Quantity::exact(cautious_down(most), "mL")),
            basis: check.basis.clone(),
            status: *status,
        })
        .collect();
    let governed_by = limits.first().map(|limit| limit.id);
    let verdict = draft.verdict(NAME, question.liquid, rules, |draft| {
        sentence(question, fill, assessed.then_some(proposed), governed_by, draft, rules)
    });
    let record = record(draft.catalogue, request, draft.full).ok()?;
    let act = |number: f64| Quantity::exact(crate::quantity::round::significant(number, 12), "mL");
    let reply = SafeFillReply {
        verdict: verdict.clone(),
        liquid: liquid::echo(question.liquid),
        fill_per_vessel: assessed.then(|| act(proposed)),
        total: assessed.then(|| act(proposed * f64::from(question.vessels))),
        governed_by: governed_by.map(Text::Borrowed),
        limits: shown,
        basis: draft.finish(question.liquid, rules, record),
    };
    Composed::of(&reply, &verdict)
}

fn say(question: Question<'_>, limits: &[Limit], rules: &Rules, draft: &mut Draft) {
    let liquid = question.liquid;
    let not_flammable = liquid.not_flammable();
    for limit in limits {
        draft.consider(limit.id);
        draft.assume_rule(limit.rule, rules);
    }
    draft.molar_mass(liquid);
    draft.figures(liquid, "density", |substance| Some(&substance.density));
    draft.method("vessel_fill");
    if not_flammable.is_none() && limits.iter().any(|limit| limit.id == "room_share" && limit.most.is_some())
    {
        let estimated =
            draft.figures(liquid, "lower_flammable_limit", |substance| substance.lower_limit.as_ref());
        if liquid.substance().is_none() {
            draft.method("le_chatelier");
        }
        for method in ["vapour_volume", "lower_limit_at_temperature", "mixed_room", "floor_layer"] {
            draft.method(method);
        }
        draft.assume("all_at_once", "All the liquid of all vessels is counted as vapour at once.");
        if estimated {
            draft.caution(
                "limit_estimated",
                "The lower flammable limit of a part is an estimate: no table gives one.",
            );
        }
    }
    draft.assume("straight_sided", "The vessels are taken as straight-sided.");
    if let Some(said) = not_flammable {
        draft.outside("room_share", said.reason.clone());
        draft.outside("floor_layer", said.reason);
    } else {
        draft.not_considered(
            "near_field",
            "vapour near the bench is not computed yet: keep every ignition source away",
        );
    }
    draft.not_considered("exposure", "exposure of the nearest person is not computed yet: see the exposure limits on the supplier's data sheet");
    draft.not_considered("spill", "a dropped vessel or bottle is not computed yet");
    if question.used == Use::Burnt {
        for id in ["radiant_heat", "combustion_gases"] {
            draft.not_considered(id, "burning is not computed yet");
        }
        if limits.iter().all(|limit| limit.id != "flame") {
            draft.not_considered("flame", "the height of the flame is not computed yet");
        }
        draft.caution("never_refill_hot", "Never pour onto a flame, a hot vessel or one that only seems to be out; the stock bottle is closed and far away.");
    }
    if question.used == Use::Heated {
        draft.not_considered("heating", "the heated liquid against its flash point is not looked at here: ask `flash-point-margin` with `heated_to`");
        draft.caution("heat_by_bath", "Heat by a water bath, never over a flame.");
    }
    draft.caution("small_labelled_container", "Bring the liquid in a small labelled container, never in the stock bottle (common practice, no source).");
}

fn sentence(
    question: Question<'_>,
    fill: Option<f64>,
    proposed: Option<f64>,
    governed_by: Option<&str>,
    draft: &Draft,
    rules: &Rules,
) -> String {
    let name = question.liquid.name.as_str();
    let by = match governed_by {
        Some("room_share") => "the share of the lower flammable limit in the room",
        Some("floor_layer") => "the vapour layer on the floor",
        Some("practice") => "the usual amount near a demonstration",
        Some("flame") => "that it is not burnt",
        _ => "the room left in the vessel",
    };
    let tail = " Exposure, near vapour and spills are not yet considered.";
    let Some(proposed) = proposed else {
        let must = format!(
            "{name}: no fill can be named, since no trusted lower flammable limit is published; its vapour may burn."
        );
        return draft::sentence(rules, &must, "", "");
    };
    let marks = draft::marks(draft.checks.iter().find(|check| Some(check.check.as_ref()) == governed_by));
    if governed_by == Some("flame") {
        return draft::sentence(
            rules,
            &format!("Over the limit: {name} is not burnt, whatever the amount{marks}."),
            "",
            "",
        );
    }
    let must = match (fill, draft.outcome()) {
        (None, _) => format!(
            "At most {proposed} mL of {name} in each vessel, near the limit by nature; {by} binds{marks}."
        ),
        (Some(fill), Outcome::OverLimit) => {
            format!(
                "Over the limit: {fill} mL of {name} in each vessel; at most {proposed} mL; {by} binds{marks}."
            )
        }
        (Some(fill), Outcome::NearLimit) => {
            format!("Near the limit: {fill} mL of {name} in each vessel; {by} binds{marks}.")
        }
        (Some(fill), _) => {
            format!("Within the limits checked: {fill} mL of {name} in each vessel; {by} binds{marks}.")
        }
    };
    draft::sentence(rules, &must, "", tail)
}
