//! `room-flammable-limit`: how much liquid brings a room towards its lower flammable limit.

use super::check::{Compared, not_assessed};
use super::draft::{self, Draft};
use super::reader::{Either, Fields};
use super::record::{Group, record};
use super::room::{Room, RoomAsked};
use super::rules::Rules;
use super::vapour_space;
use super::{Composed, Scope, field, liquid};
use crate::liquid::flash::Limit;
use crate::liquid::vapour::{NoVapour, Over};
use crate::liquid::{Composition, Liquid, spanning};
use crate::physics::{flammable_limit, room_air};
use crate::quantity::round::{cautious_down, cautious_up, four_digits};
use crate::quantity::{Estimate, si};
use brimline_openapi::{Check, Evidence, MustBe, Outcome, Quantity, Remedy, RoomFlammableLimitReply, Text};
use uom::si::f64::{Ratio, Volume};

/// The question's name.
pub const NAME: &str = "room-flammable-limit";
const ROOM_SHARE: &str = "room_share_of_limit";
const FLOOR_LAYER: &str = "floor_layer";

/// The question as it was asked, defaults filled in.
#[derive(Debug, Clone, Copy)]
struct Question<'a> {
    liquid: &'a Liquid,
    room: Room,
    released: Option<Released>,
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
    fields.finish();
    let asked_liquid = asked_liquid.filter(|_| fields.faults().is_empty())?;
    let mut request = Group::default();
    request.word("question", NAME);
    liquid::record(&asked_liquid, "liquid", &mut request);
    let room = asked.resolve(&scope.rules, &mut scope.draft, &mut request)?;
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
    scope.rules.record(&mut request);
    compose(Question { liquid: &asked_liquid, room, released }, scope, request)
}

fn checks(question: Question<'_>, effect: Option<&Effect>, rules: &Rules) -> Vec<Check> {
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
    vec![
        compared(ROOM_SHARE, effect.share(liquid).rising(si::in_percent), share, "%", share_rule).decided(),
        compared(FLOOR_LAYER, effect.depth(liquid), depth, "m", depth_rule).decided(),
    ]
}

/// The largest release, mL, at which a check (or, for `None`, every check) is not over its limit; verified.
fn largest(question: Question<'_>, effect: &Effect, rules: &Rules, check: Option<&str>) -> f64 {
    let share = effect.most_for_share(rules.number("planned_release_share") / 100.0);
    let depth = effect.most_for_depth(rules.number("floor_layer_depth"));
    let most = match check {
        Some(ROOM_SHARE) => share,
        Some(_) => depth,
        None => share.min(depth),
    };
    let mut proposed = cautious_down(most);
    // Rounding in the last bit may leave the rounded figure over the limit by itself: one step further down.
    for _ in 0..3 {
        if fits(question, proposed, effect, rules, check) {
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
    checks(changed, Some(effect), rules)
        .iter()
        .filter(|made| check.is_none_or(|check| made.check == check))
        .all(|made| made.status != Outcome::OverLimit)
}

fn remedy(question: Question<'_>, effect: &Effect, rules: &Rules, check: &Check) -> Option<Remedy> {
    if check.status != Outcome::OverLimit {
        return None;
    }
    let to = largest(question, effect, rules, Some(&check.check));
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

fn compose(question: Question<'_>, scope: &mut Scope, request: Group) -> Option<Composed> {
    let mut draft = scope.draft_taken();
    let rules = &scope.rules;
    let Question { liquid: asked, room, released } = question;
    let burns = asked.not_flammable().is_none();
    let effect = Effect::of(asked, room).filter(|_| burns);
    draft.checks = checks(question, effect.as_ref(), rules);
    if let Some(effect) = &effect {
        let remedies: Vec<_> =
            draft.checks.iter().map(|check| remedy(question, effect, rules, check)).collect();
        for (check, remedy) in draft.checks.iter_mut().zip(remedies) {
            check.remedy = remedy;
        }
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
        Estimate::new(liquid.value * vapour.value, liquid.low * vapour.low, liquid.high * vapour.high)
    });
    let time_to_clear =
        released.and_then(|Released(liquid)| time_to_clear(liquid, effect.as_ref(), room, rules, &mut draft));
    let largest_release =
        effect.as_ref().map(|effect| Quantity::exact(largest(question, effect, rules, None), "mL"));
    let verdict =
        draft.verdict(NAME, asked, rules, |draft| sentence(question, draft, rules, largest_release.as_ref()));
    let record = record(draft.catalogue, request, draft.full).ok()?;
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
            draft::estimate(effect.share(liquid).rising(si::in_percent), "%")
        }),
        time_to_clear,
        floor_layer_depth: released
            .zip(effect.as_ref())
            .map(|(Released(liquid), effect)| draft::estimate(effect.depth(liquid), "m")),
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
    Composed::of(&reply, &verdict)
}

/// Says sources, methods and what was not considered; gives the saturated fraction at the room's temperature.
fn say(
    question: Question<'_>,
    effect: Option<&Effect>,
    over: &Result<Vec<Over>, NoVapour>,
    rules: &Rules,
    draft: &mut Draft,
) -> Option<Estimate<Ratio>> {
    let Question { liquid: asked, room, released } = question;
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
            "All the liquid is counted as vapour at once, although it may evaporate slowly.",
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
    draft.outside("near_field", "vapour near the bench is not computed yet: keep ignition sources away");
    draft.outside(
        "exposure",
        "exposure limits are not computed yet: people breathe the vapour long before it can burn",
    );
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
    effect: Option<&Effect>,
    room: Room,
    rules: &Rules,
    draft: &mut Draft,
) -> Option<Quantity> {
    let Some(effect) = effect else {
        draft.not_given("/time_to_clear", "there is no limit to clear to");
        return None;
    };
    let over = effect.share(liquid).high / (rules.number("planned_release_share") / 100.0);
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
    let name = question.liquid.name.as_str();
    if let Some(said) = question.liquid.not_flammable() {
        let unconfirmed = if said.seen == brimline_openapi::Seen::Memory { " (unconfirmed)" } else { "" };
        return draft::sentence(
            rules,
            &format!("{name} does not burn{unconfirmed}; no limit was checked."),
            "",
            "",
        );
    }
    let Some(largest) = largest else {
        let must = format!(
            "{name}: no trusted lower flammable limit is published, so no amount could be assessed; its vapour may burn."
        );
        return draft::sentence(rules, &must, "", "");
    };
    let tail = " Exposure and vapour near the bench are not yet considered.";
    let worst = draft.checks.iter().max_by(|a, b| {
        let ratio = |check: &Check| check.ratio.unwrap_or(0.0);
        a.status.cmp(&b.status).then(ratio(a).total_cmp(&ratio(b)))
    });
    let Some(worst) = worst else {
        let must = format!(
            "At most {} mL of {name} may be released in this room (limit unconfirmed); give `released` to check an amount.",
            largest.value
        );
        return draft::sentence(rules, &must, "", tail);
    };
    let marks = draft::marks(Some(worst));
    let limit = if worst.check == ROOM_SHARE {
        "share of the lower flammable limit in the room"
    } else {
        "depth of the vapour layer on the floor"
    };
    match worst.status {
        Outcome::OverLimit => {
            let must = format!(
                "Over the limit: the {limit} is too high for this release of {name}; release at most {} mL{marks}.",
                largest.value
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
