//! `burning`: how long, how hot, how tall a liquid burns from open vessels, how near people may be, what flashes at lighting.

use super::check::not_assessed;
use super::cooling::{self, Burnt, LeftAlone};
use super::draft::{self, Draft};
use super::flames::{Alight, Bound, Flames, Loss};
use super::ignition::{CanBeLit, Lying};
use super::reader::{Asked, Either, Fields};
use super::record::{Group, record};
use super::remedy::{self, Change};
use super::room::{RoomAsked, Surroundings};
use super::rules::Rules;
use super::stock::{self, Stock};
use super::vessel::{self, VesselAsked};
use super::{Composed, Scope, Series, field, liquid};
use crate::catalogue::burning::Family;
use crate::catalogue::material::{Kind, Material};
use crate::liquid::Liquid;
use crate::liquid::burning::{NotBurning, Published};
use crate::liquid::flash::NoFlashPoint;
use crate::physics::flame;
use crate::physics::room_air::Air;
use crate::quantity::round::{cautious_down, cautious_up, four_digits, significant};
use crate::quantity::{Estimate, si};
use brimline_openapi::{
    BurningKind, BurningReply, Check, FlashByWait, MustBe, Outcome, PublishedRate, Quantity, Seen, Text,
};
use uom::si::f64::{Area, Length, MassFlux, MassRate, Volume};

/// The question's name.
pub const NAME: &str = "burning";
const PEOPLE: &str = "people_distance";
/// Most vessels in one request.
const MOST_VESSELS: u32 = 1000;
/// Nobody is moved further away than this, m.
const FURTHEST_M: f64 = 30.0;
/// Of the water that the model leaves no less than this share (judgement).
const LEAST_WATER: f64 = 0.7;
/// No shorter time to pain is looked at as long, s.
const LONGEST_PAIN_S: f64 = 3600.0;
/// Waits before lighting that are shown, as shares of twice the wait asked.
const SHOWN: [f64; 9] = [0.0, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.75, 1.0];

/// What is tried: the question as asked or with one input changed.
#[derive(Debug, Clone, Copy)]
struct Tried {
    amount: Estimate<Volume>,
    vessels: u32,
    spacing: Option<Length>,
    person: Option<Length>,
    clear: Option<Length>,
    /// min
    wait: f64,
    stock: Option<Stock>,
}

struct Question<'a> {
    liquid: &'a Liquid,
    surroundings: Surroundings,
    flames: Flames<'a>,
    material: Option<&'static Material>,
    asked: (f64, &'static str),
    as_asked: Tried,
    capacity: Volume,
    mouth: Length,
}

type More = (Option<BurningKind>, Option<Either<MassRate, MassFlux>>, Option<Asked<Area>>);

fn more(group: &Fields<'_>) -> More {
    let kind = group.word("kind", &[("pan", BurningKind::Pan), ("wick", BurningKind::Wick)]);
    let rate = group.either("burning_rate", &field::BURNING_RATE, &field::BURNING_FLUX);
    let wick_area = group.quantity("wick_area", &field::SURFACE_AREA);
    if wick_area.is_some() && kind != Some(BurningKind::Wick) {
        let detail = "only a burner with `\"kind\": \"wick\"` has a wick";
        group.faults().add("impossible-value", group.at("wick_area"), detail, None);
    }
    (kind, rate, wick_area)
}

/// Reads and answers the question.
pub fn answer(fields: &Fields<'_>, scope: &mut Scope) -> Option<Composed> {
    let asked_liquid = liquid::read(fields, scope.draft.catalogue);
    let room = RoomAsked::read(fields, false);
    fields.required("amount", "how much liquid each vessel holds, such as \"6 mL\"");
    let amount = fields.either("amount", &field::LIQUID_VOLUME, &field::LIQUID_MASS);
    let group = fields.required_group("vessel", "an object with `capacity` and `mouth_diameter`");
    let (asked_vessel, more) =
        group.as_ref().map_or((None, (None, None, None)), |group| VesselAsked::read(group, more));
    let vessels = if fields.value("vessels").is_some() {
        fields.required_count("vessels", MOST_VESSELS)
    } else {
        Some(1)
    };
    if let (Some(asked), (Some(BurningKind::Wick), ..)) = (&asked_vessel, &more)
        && si::in_centimetre(asked.mouth.quantity) > WIDEST_BURNER_CM
    {
        let detail = format!(
            "a burner with a wick has a neck of at most {WIDEST_BURNER_CM} cm, closed around the wick; what burns from a wider mouth is a pan"
        );
        fields.faults().add("impossible-value", "/vessel/kind".to_owned(), detail, Some("pan".to_owned()));
    }
    let spacing = fields.quantity("spacing", &field::DISTANCE);
    let person = fields.quantity("nearest_person", &field::DISTANCE);
    room.holds(fields, "nearest_person", person.as_ref());
    let clear = fields.quantity("clear_height", &field::DISTANCE);
    let wait = fields.quantity("wait_before_lighting", &field::WAIT);
    let stock = Stock::read(fields, &room);
    fields.finish();
    let draft = &mut scope.draft;
    let rules = &scope.rules;
    let material = asked_vessel.and_then(|asked| vessel::material(asked.material, draft.catalogue, draft));
    vessel::stands_heat(material, fields, "/vessel/material".to_owned());
    if let (Some(person), Some(asked)) = (&person, &asked_vessel)
        && person.quantity <= asked.mouth.quantity * 0.5
    {
        let detail = "the nearest person stands within the flame; the distance counts from its middle";
        fields.faults().add("impossible-value", fields.at("nearest_person"), detail, None);
    }
    let asked_liquid = asked_liquid.filter(|_| fields.faults().is_empty())?;
    let (asked_vessel, vessels) = (asked_vessel?, vessels?);
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
    if amount.low > asked_vessel.capacity.quantity {
        let detail = format!("more than the vessel holds, {} mL", asked_vessel.capacity.number);
        fields.faults().add("impossible-value", fields.at("amount"), detail, None);
    }
    let (kind, rate, wick_area) = more;
    let mut group = asked_vessel.record();
    let wick = (kind == Some(BurningKind::Wick)).then_some(wick_area.map(|area| area.quantity));
    group.word("kind", if wick.is_some() { "wick" } else { "pan" });
    let measured = rate.map(|rate| match rate {
        Either::First(rate) => {
            group.quantity("burning_rate", &rate);
            Loss::Whole(rate.number / 60.0)
        }
        Either::Second(flux) => {
            group.quantity("burning_rate", &flux);
            Loss::Flux(flux.quantity)
        }
    });
    group.given("wick_area", wick_area.as_ref());
    request.group("vessel", group);
    request.number("vessels", f64::from(vessels));
    request.given("spacing", spacing.as_ref());
    request.given("nearest_person", person.as_ref());
    request.given("clear_height", clear.as_ref());
    let wait = wait.unwrap_or_else(|| {
        draft.assume_rule("lighting_wait", rules);
        field::WAIT.asked(rules.number("lighting_wait"))
    });
    request.quantity("wait_before_lighting", &wait);
    if let Some(stock) = &stock {
        stock.record(&mut request);
    }
    rules.record(&mut request);
    let air = surroundings.air;
    let over = asked_liquid.over(air.temperature);
    let can = Lying { liquid: &asked_liquid, temperature: air.temperature, air }.can_be_lit(&over, rules);
    can_burn(&asked_liquid, &can, air, fields);
    if !fields.faults().is_empty() {
        return None;
    }
    let alight = Alight {
        liquid: &asked_liquid,
        air: surroundings.air,
        humidity: surroundings.humidity,
        room: surroundings.room,
        capacity: asked_vessel.capacity.quantity,
        mouth: asked_vessel.mouth.quantity,
        material,
        wick,
        measured,
        vessels,
        spacing: spacing.map(|spacing| spacing.quantity),
    };
    let flames = Flames::of(alight, &over, can, draft.catalogue, rules);
    plausible_rate(&flames, amount.value, fields);
    if !fields.faults().is_empty() {
        return None;
    }
    let as_asked = Tried {
        amount,
        vessels,
        spacing: alight.spacing,
        person: person.map(|person| person.quantity),
        clear: clear.map(|clear| clear.quantity),
        wait: wait.number,
        stock,
    };
    let question = Question {
        liquid: &asked_liquid,
        surroundings,
        flames,
        material,
        asked,
        as_asked,
        capacity: alight.capacity,
        mouth: alight.mouth,
    };
    compose(&question, scope, request)
}

/// A liquid that cannot burn is a fault.
fn can_burn(liquid: &Liquid, can: &CanBeLit, air: Air, fields: &Fields<'_>) {
    let detail = match can {
        CanBeLit::NotFlammable(reason) => format!("it cannot be burnt: {reason}"),
        CanBeLit::TooCold(_) if matches!(liquid.flash_point(air.pressure), Err(NoFlashPoint::NotReached)) => {
            "it cannot be burnt: it boils before its vapour can be lit".to_owned()
        }
        _ => return,
    };
    fields.faults().add("impossible-value", fields.at("liquid"), detail, None);
}

/// A measured rate far from what is published of such a vessel was not measured right.
fn plausible_rate(flames: &Flames<'_>, amount: Volume, fields: &Fields<'_>) {
    const BESIDE: f64 = 2.0;
    /// No wick burns faster, g/s.
    const FASTEST_WICK: f64 = 10.0 / 60.0;
    let at = "/vessel/burning_rate".to_owned();
    if let (Some(Loss::Whole(grams)), Some(_)) = (flames.alight.measured, flames.alight.wick)
        && grams > FASTEST_WICK
    {
        let detail = "no wick loses more than 10 g/min: was it weighed in g/h?";
        fields.faults().add("implausible-value", at, detail, Some("0.2 g/min".to_owned()));
        return;
    }
    let (Some(published), Some(measured)) = (flames.published(amount), flames.rate(amount)) else { return };
    if flames.alight.measured.is_none() {
        return;
    }
    let grams = |flux: MassFlux| significant(si::in_kilogram_per_square_metre_second(flux) * 1000.0, 2);
    if measured.value * BESIDE < published.low || measured.value > published.high * BESIDE {
        let area = si::in_square_metre(flames.area()) * 60.0;
        let per_minute = |flux: MassFlux| significant(grams(flux) * area, 2);
        let detail = format!(
            "{} g/(m2.s) is far from what is published of a vessel this wide, {} to {} g/(m2.s): that is {} to {} g/min here; weigh it while it burns",
            grams(measured.value),
            grams(published.low),
            grams(published.high),
            per_minute(published.low),
            per_minute(published.high)
        );
        fields.faults().add(
            "implausible-value",
            at,
            detail,
            Some(format!("{} g/min", per_minute(published.value))),
        );
    }
}

/// The flames with other numbers of vessels and other distances between them.
fn flames<'a>(question: &'a Question<'_>, tried: Tried) -> Flames<'a> {
    let mut flames = question.flames.clone();
    flames.alight.vessels = tried.vessels;
    flames.alight.spacing = tried.spacing;
    flames
}

/// A comparison, or one that needs how the liquid burns, which is not known.
enum Made {
    Bound(Bound),
    Unknown { id: &'static str, limit: f64, unit: &'static str, rule: &'static str },
    Stock(Stock),
}

impl Made {
    fn outcome(&self, rules: &Rules) -> Outcome {
        match self {
            Self::Bound(bound) => bound.outcome(),
            Self::Unknown { .. } => Outcome::NotAssessed,
            Self::Stock(stock) => stock.check(NAME, rules).status,
        }
    }

    fn check(self, why: &str, rules: &Rules) -> Check {
        match self {
            Self::Bound(bound) => bound.check(NAME, rules),
            Self::Unknown { id, limit, unit, rule } => {
                let limit = Quantity::exact(significant(limit, 12), unit);
                not_assessed(id, NAME, limit, MustBe::AtMost, rules.grounds(rule), why)
            }
            Self::Stock(stock) => stock.check(NAME, rules),
        }
    }
}

/// Every comparison of what is tried.
fn made(question: &Question<'_>, tried: Tried, rules: &Rules) -> Vec<Made> {
    let flames = flames(question, tried);
    let Tried { amount, .. } = tried;
    let mut made = vec![Made::Bound(flames.burnable_liquid(rules))];
    let geometry = [flames.burnable_vessel(rules), flames.vessel(amount, rules), flames.thermal_shock(rules)];
    made.extend(geometry.into_iter().flatten().map(Made::Bound));
    let mut add = |bound: Option<Bound>, id, limit, unit, rule| {
        made.push(bound.map_or(Made::Unknown { id, limit, unit, rule }, Made::Bound));
    };
    let number = |rule: &str| rules.number(rule);
    if let Some(person) = tried.person {
        let bound = flames.radiant_heat(amount.value, person, rules);
        add(bound, "radiant_heat", number("radiant_limit"), "kW/m2", "radiant_limit");
        let bound = flames.burning_spill(flames.on_one_tray(amount, rules), person, rules);
        add(bound, "burning_spill", number("flash_dose"), "1", "flash_dose");
    }
    if let Some(clear) = tried.clear {
        let bound = flames.flame_clearance(amount.value, clear, rules);
        add(bound, "flame_clearance", si::in_centimetre(clear), "cm", "flame_clearance_share");
    }
    if question.surroundings.room.is_some() {
        let bound = flames.carbon_dioxide(amount, rules);
        add(bound, "carbon_dioxide", number("carbon_dioxide_limit") * 1e4, "[ppm]", "carbon_dioxide_limit");
    }
    let bound = flames.lighting_delay(amount, si::minute(tried.wait), tried.person, rules);
    add(bound, "lighting_delay", number("flash_energy"), "kJ", "flash_energy");
    made.extend(flames.alight_at_once(amount, rules).map(Made::Bound));
    made.extend(tried.person.map(|person| Made::Bound(Bound::people(person, rules))));
    made.extend(tried.stock.map(Made::Stock));
    made
}

/// The outcome of one comparison of what is tried.
fn one(question: &Question<'_>, tried: Tried, id: &str, rules: &Rules) -> Option<Outcome> {
    let flames = flames(question, tried);
    let Tried { amount, person, clear, .. } = tried;
    let bound = match id {
        "vessel" => flames.vessel(amount, rules),
        "radiant_heat" => flames.radiant_heat(amount.value, person?, rules),
        "burning_spill" => flames.burning_spill(flames.on_one_tray(amount, rules), person?, rules),
        "flame_clearance" => flames.flame_clearance(amount.value, clear?, rules),
        "carbon_dioxide" => flames.carbon_dioxide(amount, rules),
        "lighting_delay" => flames.lighting_delay(amount, si::minute(tried.wait), person, rules),
        "alight_at_once" => flames.alight_at_once(amount, rules),
        PEOPLE => Some(Bound::people(person?, rules)),
        stock::CHECK => return Some(tried.stock?.check(NAME, rules).status),
        _ => None,
    };
    bound.map(|bound| bound.outcome())
}

fn checks(question: &Question<'_>, tried: Tried, rules: &Rules) -> Vec<Check> {
    let why = question.flames.fire.as_ref().err().map_or_else(
        || {
            "a burner with a wick: give `burning_rate`, measured by weighing, or as a flux with `wick_area`"
                .to_owned()
        },
        ToString::to_string,
    );
    made(question, tried, rules).into_iter().map(|made| made.check(&why, rules)).collect()
}

fn changes(question: &Question<'_>) -> Vec<Change> {
    let (number, unit) = question.asked;
    let asked = question.as_asked;
    let mut changes = vec![Change {
        change: "amount",
        field: "/amount",
        unit,
        from: number,
        furthest: (number / 1000.0).max(super::source::LEAST_AMOUNT),
        text: ("Put at most ", " in each vessel"),
    }];
    if asked.vessels > 1 {
        changes.push(Change {
            change: "number",
            field: "/vessels",
            unit: "",
            from: f64::from(asked.vessels),
            furthest: 1.0,
            text: ("Light at most ", " of them at once"),
        });
    }
    let furthest = question.surroundings.room.map_or(FURTHEST_M, |room| si::in_metre(room.longest_way()));
    let mut distance =
        |field: &'static str, from: Option<Length>, before: &'static str, behind: &'static str| {
            if let Some(from) = from {
                let text = (before, behind);
                changes.push(Change {
                    change: "distance",
                    field,
                    unit: "m",
                    from: si::in_metre(from),
                    furthest,
                    text,
                });
            }
        };
    distance("/nearest_person", asked.person, "Keep everybody at least ", " away");
    distance("/clear_height", asked.clear, "Keep at least ", " clear above");
    distance(
        "/stock/distance",
        asked.stock.map(|stock| stock.distance()),
        "Put the stock bottle at least ",
        " away",
    );
    distance("/spacing", asked.spacing.filter(|_| asked.vessels > 1), "Set the vessels at least ", " apart");
    if asked.wait > 0.0 {
        changes.push(Change {
            change: "waiting",
            field: "/wait_before_lighting",
            unit: "min",
            from: asked.wait,
            furthest: asked.wait / 1000.0,
            text: ("Light it within ", ""),
        });
    }
    changes
}

fn changed(question: &Question<'_>, change: &Change, to: f64) -> Option<Tried> {
    let mut tried = question.as_asked;
    match change.field {
        "/amount" => {
            let share = to / question.asked.0;
            tried.amount = tried.amount.rising(|amount| amount * share);
        }
        "/vessels" => {
            if to.fract() != 0.0 {
                return None;
            }
            #[allow(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "whole and at most a thousand"
            )]
            let vessels = to as u32;
            tried.vessels = vessels;
        }
        "/nearest_person" => tried.person = Some(si::metre(to)),
        "/clear_height" => tried.clear = Some(si::metre(to)),
        "/stock/distance" => tried.stock = tried.stock.map(|stock| stock.at(to)),
        "/spacing" => tried.spacing = Some(si::metre(to)),
        _ => tried.wait = to,
    }
    Some(tried)
}

/// Which inputs bear on a check: others are not tried.
fn bears(change: &Change, id: &str) -> bool {
    match change.field {
        "/amount" => matches!(id, "vessel" | "burning_spill" | "carbon_dioxide" | "alight_at_once"),
        "/vessels" => matches!(
            id,
            "radiant_heat"
                | "burning_spill"
                | "carbon_dioxide"
                | "alight_at_once"
                | "flame_clearance"
                | "lighting_delay"
        ),
        "/nearest_person" => matches!(id, "radiant_heat" | "burning_spill" | "lighting_delay" | PEOPLE),
        "/clear_height" => id == "flame_clearance",
        "/stock/distance" => id == stock::CHECK,
        "/spacing" => matches!(id, "burning_spill" | "flame_clearance"),
        _ => id == "lighting_delay",
    }
}

fn remedies(question: &Question<'_>, draft: &mut Draft, rules: &Rules) {
    let all = changes(question);
    for place in 0..draft.checks.len() {
        let Some(check) = draft.checks.get(place).filter(|check| check.status == Outcome::OverLimit) else {
            continue;
        };
        let id = check.check.clone();
        let bearing: Vec<Change> = all.iter().copied().filter(|change| bears(change, &id)).collect();
        let remedy = remedy::smallest_of(
            &bearing,
            |change, to| one(question, changed(question, change, to)?, &id, rules),
            |change, to| {
                let made = made(question, changed(question, change, to)?, rules);
                made.iter().map(|made| made.outcome(rules)).max()
            },
        );
        if let Some(check) = draft.checks.get_mut(place) {
            check.remedy = remedy;
        }
    }
}

fn compose(question: &Question<'_>, scope: &mut Scope, request: Group) -> Option<Composed> {
    let mut draft = scope.draft_taken();
    let rules = &scope.rules;
    let tried = question.as_asked;
    let flames = &question.flames;
    let amount = tried.amount;
    draft.checks = checks(question, tried, rules);
    if draft.whole {
        remedies(question, &mut draft, rules);
    }
    say(question, &mut draft, rules);
    let count = f64::from(tried.vessels);
    let rate = flames.rate(amount.value);
    let time = flames.burning_time(amount);
    let heat = flames.heat_release(amount.value);
    let energy = flames.energy(amount);
    let height = flames.flame_height(amount.value, rules);
    if heat.is_none() {
        let why = flames.fire.as_ref().err().map_or_else(
            || "a burner with a wick: its measured loss `burning_rate` is needed".to_owned(),
            NotBurning::to_string,
        );
        draft.not_given("/heat_release", why);
    }
    let flux = tried.person.and_then(|person| flames.radiant_flux(amount.value, person));
    let pain = flux
        .map(|flux| si::in_second(flame::time_to_pain(si::kilowatt_per_square_metre(flux.high))))
        .filter(|seconds| *seconds < LONGEST_PAIN_S);
    let wait = si::minute(tried.wait);
    let series = lighting(question);
    let fire = flames.fire.as_ref().ok();
    let water = fire.filter(|fire| fire.water > 0.0).map(|fire| {
        let [early, usual, late] = fire.out;
        let millilitres =
            |out: crate::liquid::burning::Out, volume: Volume| out.water * si::in_millilitre(volume);
        // When it dies is not known better: all of the water may stay.
        let all = fire.water * si::in_millilitre(amount.high);
        let most = millilitres(early, amount.high).max(all);
        Estimate::new(millilitres(usual, amount.value), LEAST_WATER * millilitres(late, amount.low), most)
    });
    let gone = fire.map(|fire| {
        let [early, usual, late] = fire.out;
        let grams = |grams: f64, volume: Volume| grams * si::in_millilitre(volume);
        Estimate::new(
            grams(usual.vapour, amount.value),
            grams(early.vapour * fire.mass.low / fire.mass.value, amount.low),
            grams(late.vapour * fire.mass.high / fire.mass.value, amount.high),
        )
    });
    let left = fire.filter(|fire| fire.water > 0.0).map(|fire| {
        let [early, usual, late] = fire.out;
        let grams = |grams: f64, volume: Volume| grams * si::in_millilitre(volume);
        Estimate::new(
            grams(usual.left, amount.value),
            grams(late.left, amount.low),
            grams(early.left, amount.high),
        )
    });
    let acids = flames.acid_gases_after(amount);
    // An unnamed vessel cools as slowly as the weakest glass.
    let unnamed = || draft.catalogue.materials.named("").map(|(material, _)| material);
    let material = question.material.or_else(unnamed);
    // A plan asks for its waits as questions of their own.
    let left_alone = material.filter(|_| draft.whole).and_then(|material| {
        if flames.alight.wick.is_some() {
            // Of a wick the holder becomes hot: the practice's time counts.
            let practice = Some(rules.number("refill_wait"));
            return Some(LeftAlone { refill: practice, clear: practice });
        }
        cooling::left_alone(
            material,
            (question.capacity, question.mouth),
            Burnt { liquid: question.liquid, volume: amount.high, fire },
            question.surroundings,
            rules,
        )
    });
    if draft.whole {
        say_left_alone(left_alone, &mut draft);
    }
    let alone = |of: fn(LeftAlone) -> Option<f64>| {
        left_alone.and_then(of).map(|minutes| Quantity::exact(cautious_up(minutes), "min"))
    };
    let verdict =
        draft.verdict(NAME, question.liquid, rules, |draft| sentence(question, time, height, draft, rules));
    let record = record(&draft, request).ok()?;
    let of = |figure: Option<Estimate<f64>>, unit| figure.map(|figure| draft::estimate(figure, unit));
    let reply = BurningReply {
        verdict: verdict.clone(),
        liquid: liquid::echo(question.liquid),
        burning_rate: of(
            rate.map(|rate| {
                let slower = fire.map_or(1.0, |fire| fire.slower);
                let grams = rate.rising(|flux| si::in_kilogram_per_square_metre_second(flux) * 1000.0);
                Estimate::new(grams.value / slower, grams.low / slower, grams.high)
            }),
            "g/(m2.s)",
        ),
        published_rates: flames.published_rates().iter().map(published).collect(),
        burning_time: of(time, "min"),
        heat_release: of(heat, "kW"),
        heat_release_total: of(flames.heat_release_total(amount.value), "kW"),
        energy: of(energy, "kJ"),
        energy_total: of(energy.map(|energy| energy.rising(|energy| energy * count)), "kJ"),
        mass_gone: of(gone, "g"),
        mass_left: of(left, "g"),
        flame_height: of(height.map(|height| height.rising(|metres| metres * 100.0)), "cm"),
        radiant_flux: of(flux, "kW/m2"),
        time_to_pain: pain.map(|seconds| Quantity::exact(cautious_down(seconds), "s")),
        distance_for_limit: flames
            .distance_for_limit(amount, si::minute(tried.wait), rules)
            .map(|metres| Quantity::exact(cautious_up(metres), "m")),
        flash_at_lighting: of(flames.flash_at_lighting(amount, wait), "kJ"),
        flash_in_vessel: of(flames.flash_in_vessel(amount), "kJ"),
        lighting: series,
        oxygen_after: of(flames.oxygen_after(amount, rules), "%"),
        carbon_dioxide_after: of(flames.carbon_dioxide_after(amount, rules), "[ppm]"),
        sulfur_dioxide_after: acids
            .filter(|(sulfur, _)| *sulfur > 0.0)
            .map(|(sulfur, _)| Quantity::exact(four_digits(sulfur), "[ppm]")),
        hydrogen_halides_after: acids
            .filter(|(_, halides)| *halides > 0.0)
            .map(|(_, halides)| Quantity::exact(four_digits(halides), "[ppm]")),
        residual_water: of(water, "mL"),
        flame_seen: Text::Owned(seen(question.liquid)),
        waiting_time: alone(|left| left.refill),
        waiting_time_to_clear: alone(|left| left.clear),
        basis: draft.finish(question.liquid, rules, record),
    };
    let table = table(&reply.lighting);
    Some(Composed { series: Some(table), ..Composed::of(reply, &verdict) })
}

/// What the waiting times are for.
fn say_left_alone(left_alone: Option<LeftAlone>, draft: &mut Draft) {
    match left_alone {
        Some(LeftAlone { refill: Some(_), .. }) => draft.assume("left_alone", "The waiting time is that before the same liquid is poured in again, with every flame within 5 m proved out and covered; to clear the vessel away empty takes `waiting_time_to_clear`."),
        Some(LeftAlone { refill: None, clear: Some(_) }) => draft.not_given("/waiting_time", "the same liquid is not poured in again: no wait suffices; the vessel may be cleared after `waiting_time_to_clear`"),
        _ => draft.not_given("/waiting_time", "when its vessel is cold is not known"),
    }
}

fn published(row: &Published) -> PublishedRate {
    PublishedRate {
        kind: Text::Borrowed(row.kind),
        diameter: row.diameter.map(|width| Quantity::exact(si::in_centimetre(width), "cm")),
        rate: draft::estimate(row.rate, "g/(m2.s)"),
        source: Text::Borrowed(row.source),
    }
}

/// What flashes by the wait before lighting.
fn lighting(question: &Question<'_>) -> Vec<FlashByWait> {
    let tried = question.as_asked;
    let longest = if tried.wait > 0.0 { 2.0 * tried.wait } else { 10.0 };
    SHOWN
        .iter()
        .filter_map(|share| {
            let minutes = significant(longest * share, 12);
            let energy = question.flames.flash_at_lighting(tried.amount, si::minute(minutes))?;
            Some(FlashByWait { time: Quantity::exact(minutes, "min"), energy: draft::estimate(energy, "kJ") })
        })
        .collect()
}

/// The flash at lighting alone: the columns say so, since the heat of the fire is another figure and often several times as much.
fn table(series: &[FlashByWait]) -> Series {
    let end = |end: Option<f64>| end.map_or_else(String::new, |end| end.to_string());
    let row = |at: &FlashByWait| {
        vec![at.time.value.to_string(), at.energy.value.to_string(), end(at.energy.low), end(at.energy.high)]
    };
    let heads = [
        "wait_before_lighting.value [min]",
        "flash_at_lighting.value [kJ]",
        "flash_at_lighting.low [kJ]",
        "flash_at_lighting.high [kJ]",
    ];
    Series {
        header: heads.iter().map(|&head| head.to_owned()).collect(),
        rows: series.iter().map(row).collect(),
    }
}

/// Widest neck of a burner with a wick, cm: a judgement.
const WIDEST_BURNER_CM: f64 = 6.0;

/// How the flame is seen and how much soot it gives, in words.
fn seen(liquid: &Liquid) -> String {
    let mut said: Vec<String> = Vec::new();
    for substance in liquid.substances().filter(|substance| substance.not_flammable.is_none()) {
        let Some(hazard) = &substance.file.hazard else { continue };
        let words: Vec<String> = hazard
            .flame_visibility
            .iter()
            .cloned()
            .chain(hazard.soot_tendency.iter().map(|soot| format!("soot: {soot}")))
            .collect();
        if !words.is_empty() {
            said.push(format!("{}: {}", substance.name(), words.join("; ")));
        }
    }
    if said.is_empty() { "how its flame is seen is not known here".to_owned() } else { said.join(". ") }
}

fn say(question: &Question<'_>, draft: &mut Draft, rules: &Rules) {
    let Question { liquid, as_asked: tried, flames, .. } = question;
    draft.molar_mass(liquid);
    draft.figures(liquid, "density", |substance| Some(&substance.density));
    draft.figures(liquid, "heat_of_combustion", |substance| substance.heat_of_combustion.as_ref());
    draft.figures(liquid, "diffusivity_in_air", |substance| substance.diffusivity.as_ref());
    for method in
        ["heat_release", "flame_height", "radiant_flux", "radiant_dose", "burning_time", "stoichiometry"]
    {
        draft.method(method);
    }
    draft.method("film_evaporation");
    draft.method("saturated_vapour");
    if liquid.substance().is_none() {
        draft.method("burning_of_a_mixture");
        draft.assume("goes_out", "A mixture goes out when a tenth to a third of the flame's heat no longer evaporates what leaves it; heat release and gases count all of it as burnt at their upper ends.");
    }
    for row in flames.published_rates() {
        draft.source(row.source, "burning_rate", row.seen);
    }
    if flames.rate(tried.amount.value).is_some() {
        draft.assume(
            "burning_rate",
            if flames.alight.measured.is_some() {
                "The burning rate is the measured one of the request, ±10 %; its upper end is no lower than the middle of what is published."
            } else {
                "No rate measured in a vessel of this width is known: the range spans what is published and remembered; the upper end decides heat, height and radiation, the lower one how long it burns. It falls with the freeboard in glass and rises where metal makes all of it boil."
            },
        );
    }
    draft.source("pan-30-cm", "radiated_share", Seen::Derived);
    for check in ["burnable_liquid", "lighting_delay", "alight_at_once"] {
        draft.consider(check);
    }
    draft.consider("vessel");
    if flames.alight.wick.is_none() {
        draft.consider("burnable_vessel");
    }
    for rule in
        ["flash_energy", "flash_dose", "lighting_distance", "alight_volume", "burnt_depth", "burnt_fill"]
    {
        draft.assume_rule(rule, rules);
    }
    for rule in super::source::AROUND {
        draft.assume_rule(rule, rules);
    }
    if flames.alight.wick.is_some() {
        draft.caution("wick", "Fill a burner with a wick only when it is out and cold, away from every flame; its holder becomes hot.");
        draft.caution("wick_vapour", "A nearly empty reservoir holds vapour that can be lit: fill it to at least half, cold and away from every flame, before it is lit.");
        draft.outside("burnable_vessel", "a burner with a wick is closed by its holder: its shape is not judged; its holder must sit and its vent be free");
    }
    if tried.person.is_some() {
        for check in ["radiant_heat", "burning_spill", PEOPLE] {
            draft.consider(check);
        }
    } else {
        for id in ["radiant_heat", "burning_spill", "lighting_distance", PEOPLE] {
            draft.not_considered(id, "give `nearest_person`: people watch something that burns from at least 3 m (common practice, no source)");
        }
    }
    if tried.clear.is_some() {
        draft.consider("flame_clearance");
    } else {
        draft.not_considered("flame_clearance", "give `clear_height`: what hangs or stands over the vessels");
    }
    if question.surroundings.room.is_some() {
        draft.consider("carbon_dioxide");
        for rule in ["carbon_dioxide_background", "mixing_effectiveness", "alight_energy"] {
            draft.assume_rule(rule, rules);
        }
    } else {
        draft.not_considered(
            "carbon_dioxide",
            "give `room` with its `volume`: what the flames take from its air and leave in it",
        );
    }
    match question.material {
        _ if flames.alight.wick.is_some() => draft.outside("thermal_shock", "the wick keeps the flame off the vessel"),
        None => draft.not_considered("thermal_shock", "give the vessel's `material`: soda-lime glass and watch glasses are likely to crack under a burning liquid (common practice, no source)"),
        Some(material) if material.kind == Kind::Ductile => draft.outside("thermal_shock", "metal does not crack; it becomes hot all over"),
        Some(material) => {
            draft.source(&material.source, "material", material.seen());
            draft.method("thermal_shock");
            draft.consider("thermal_shock");
        }
    }
    super::flames::say_smoke(draft, question.flames.alight.liquid);
    super::usual_fuel::say(draft, liquid);
    draft.outside("flame_colour", "the colour that a salt gives a flame is no measure of anything here; a salt sprayed or held on a wire at a burner is less hazardous than one in burning liquid");
    if tried.vessels > 1 {
        if tried.spacing.is_none() {
            draft.assume(
                "close_together",
                "No `spacing` is given: the flames count as one, the vessels as standing on one tray.",
            );
        } else {
            draft.assume_rule("one_flame_spacing", rules);
            draft.assume_rule("one_tray_spacing", rules);
        }
    }
    let total = si::in_millilitre(tried.amount.high) * f64::from(tried.vessels);
    if total > rules.number("amount_near_demonstration") {
        draft.assume_rule("amount_near_demonstration", rules);
        draft.caution("practice", "It is more than is usually brought near a demonstration: `safe-fill` is over its limit with so much.");
    }
    if matches!(flames.can, CanBeLit::TooCold(_)) {
        draft.caution("hard_to_light", "It does not light at this temperature unless it is warmed or soaks a wick: never help it with a lighter liquid, and never pour on it.");
    }
    draft.assume_rule("lighter_distance", rules);
    stock::say(tried.stock.as_ref(), draft);
    let pale = |substance: &crate::catalogue::Substance| {
        let seen = substance.file.hazard.as_ref().and_then(|hazard| hazard.flame_visibility.as_deref());
        seen.is_some_and(|seen| !seen.contains("yellow"))
    };
    if flames.fire.as_ref().is_ok_and(|fire| fire.family == Family::Alcohol) || liquid.substances().any(pale)
    {
        draft.caution("unseen_flame", "In bright light the flame is hardly seen: a vessel that seems to be out may still burn; cover it with a lid to be sure.");
    }
    draft.caution("jetting", "Radiation says nothing of burning liquid that is thrown: vapour in a bottle opened near a flame throws it metres away.");
    draft.caution("lighting", "Light it at arm's length with a splint on a long handle (about 1 m; common practice, no source), on a heat-resistant mat, nothing that burns around or above; goggles on, hair and sleeves tied back; a lid to smother it at hand.");
    draft.caution("hot_afterwards", "The vessels stay hot: nothing is poured into them, and nobody touches them, before the waiting time is over and every flame within 5 m is proved out and covered; where no waiting time is given nothing is poured into them again (common practice, no source).");
    draft.caution("residues", "Residues of salts may be kept for another time, except those of copper salts, which decompose in the heat, and of toxic ones, as of barium: collect them as waste (common practice, no source).");
}

fn sentence(
    question: &Question<'_>,
    time: Option<Estimate<f64>>,
    height: Option<Estimate<f64>>,
    draft: &Draft,
    rules: &Rules,
) -> String {
    let name = draft::named(question.liquid);
    let never = |check: &&Check| check.check == "burnable_liquid" && check.status == Outcome::OverLimit;
    let worst = draft.checks.iter().find(never).or_else(|| draft.worst());
    let marks = draft::marks(worst);
    let round = |figure: f64| significant(figure, 2);
    let cold = matches!(question.flames.can, CanBeLit::TooCold(_));
    let lit = if cold { " does not light unless it is warmed; lit it burns" } else { " burns" };
    let measured = if question.flames.alight.measured.is_some() { " at the measured rate" } else { "" };
    let burns = match (time, height) {
        (Some(time), Some(height)) => format!(
            "{lit}{measured} {} to {} min, flame up to {} cm",
            round(time.low),
            round(time.high),
            cautious_up(height.high * 100.0)
        ),
        _ => String::new(),
    };
    let what = |id: &str| match id {
        "burnable_liquid" => {
            "it is not burnt, whatever the amount: it boils low, lights early or gives acid or toxic smoke"
        }
        "burnable_vessel" => "the vessel is higher than its mouth is wide and gathers vapour that flashes",
        "vessel" => "it is more or deeper than is burnt in one vessel",
        "thermal_shock" => "the glass is likely to crack under the flame",
        "radiant_heat" => "the radiant heat at the nearest person is too strong",
        "burning_spill" => "dropped alight, it burns the nearest person",
        "flame_clearance" => "the flame comes too near to what is above it",
        "carbon_dioxide" => "it leaves too much carbon dioxide in the room",
        "lighting_delay" => "too much vapour flashes when it is lit",
        "alight_at_once" => "too much is alight at once",
        PEOPLE => "people stand too near",
        _ => "the stock bottle stands too near",
    };
    let must = match (draft.outcome(), worst) {
        (Outcome::OverLimit, Some(worst)) => {
            let change =
                worst.remedy.as_ref().map_or("No single change mends it.", |remedy| remedy.text.as_str());
            format!("Over the limit: {name}: {}{marks}. {change}", what(&worst.check))
        }
        (Outcome::NotAssessed, Some(worst)) => {
            let why = worst.reason.as_deref().unwrap_or("a datum is missing");
            format!("Not assessed: {name}: {why}.")
        }
        (Outcome::NearLimit, Some(worst)) => {
            format!("Near the limit of {}: {name}{burns}{marks}.", worst.check.replace('_', " "))
        }
        _ => format!("Within the limits checked: {name}{burns}{marks}."),
    };
    let must = if draft.complete() { must } else { format!("{must} Not everything was considered.") };
    draft::sentence(rules, &must, "", "")
}
