//! `vapour-pressure`: how much vapour stands over a liquid at one or more temperatures.

use super::draft::{self, Draft};
use super::reader::{Asked, Fields};
use super::record::{Group, record};
use super::room::RoomAsked;
use super::vapour_picture::{self, Vapour};
use super::vapour_space::{self, space};
use super::{Composed, Scope, Series, field, liquid, marked_temperature};
use crate::catalogue::Substance;
use crate::liquid::Liquid;
use crate::liquid::vapour::{NoVapour, Over, Phases};
use crate::physics::vapour_pressure::{Form, Found, OutsideRange, Set};
use crate::physics::{flammable_limit, headspace, room_air, standard_pressure};
use crate::quantity::round::{four_digits, significant, tenths};
use crate::quantity::{Estimate, si};
use brimline_openapi::{AntoineByHand, PartialPressure, Quantity, Text, VapourPoint, VapourPressureReply};
use serde_json::Value;
use uom::si::f64::{MolarMass, Pressure, ThermodynamicTemperature};

/// The question's name.
pub const NAME: &str = "vapour-pressure";
/// Most temperatures in one request.
const MOST_POINTS: usize = 1000;

/// The question as it was asked, defaults filled in.
struct Question {
    liquid: Liquid,
    temperatures: Vec<Asked<ThermodynamicTemperature>>,
    pressure: Pressure,
}

/// Reads and answers the question.
pub fn answer(fields: &Fields<'_>, scope: &mut Scope) -> Option<Composed> {
    let asked_liquid = liquid::read(fields, scope.draft.catalogue);
    let mut request = Group::default();
    let temperatures = temperatures(fields, &mut request);
    let asked = RoomAsked::read(fields, false);
    fields.finish();
    let pressure = asked.given_pressure().unwrap_or_else(|| {
        scope.draft.assume(
            "standard_pressure",
            "The air pressure is not given: 101.325 kPa is taken for this question.",
        );
        field::PRESSURE.asked(101.325)
    });
    if let (Some(liquid), Some(temperatures)) = (&asked_liquid, &temperatures) {
        answerable(fields, liquid, temperatures);
    }
    let (asked_liquid, temperatures) = (asked_liquid?, temperatures?);
    if !fields.faults().is_empty() {
        return None;
    }
    request.word("question", NAME);
    liquid::record(&asked_liquid, "liquid", &mut request);
    let mut room = Group::default();
    room.quantity("pressure", &pressure);
    asked.record_given(&mut room);
    request.group("room", room);
    scope.rules.record(&mut request);
    let temperatures = temperatures.into_iter().map(|(_, asked)| asked).collect();
    compose(&Question { liquid: asked_liquid, temperatures, pressure: pressure.quantity }, scope, request)
}

/// The temperatures with their pointers, by exactly one of the three forms.
fn temperatures(
    fields: &Fields<'_>,
    request: &mut Group,
) -> Option<Vec<(String, Asked<ThermodynamicTemperature>)>> {
    let one = fields.value("temperature");
    let list = fields.value("temperatures");
    let series = [fields.value("from"), fields.value("to"), fields.value("step")];
    let forms = usize::from(one.is_some())
        + usize::from(list.is_some())
        + usize::from(series.iter().any(Option::is_some));
    match forms {
        0 => {
            let what = "`temperature`, or `temperatures`, or `from`, `to` and `step`";
            fields.faults().add("missing-field", fields.at("temperature"), format!("give {what}"), None);
            return None;
        }
        1 => {}
        _ => {
            let detail = "give only one of `temperature`, `temperatures`, or `from`, `to` and `step`";
            fields.faults().add("given-twice", String::new(), detail, None);
            return None;
        }
    }
    if one.is_some() {
        let asked = fields.quantity("temperature", &field::LIQUID_TEMPERATURE)?;
        request.list("temperatures", &[asked]);
        return Some(vec![(fields.at("temperature"), asked)]);
    }
    if let Some(list) = list {
        return listed(fields, list, request);
    }
    stepped(fields, request)
}

fn listed(
    fields: &Fields<'_>,
    list: &Value,
    request: &mut Group,
) -> Option<Vec<(String, Asked<ThermodynamicTemperature>)>> {
    let pointer = fields.at("temperatures");
    let items = match list {
        Value::Array(items) if items.is_empty() => {
            fields.faults().add("missing-field", pointer, "the list holds no temperature", None);
            return None;
        }
        Value::Array(items) if items.len() <= MOST_POINTS => items,
        Value::Array(_) => {
            fields.faults().add(
                "outside-range",
                pointer,
                format!("at most {MOST_POINTS} temperatures"),
                None,
            );
            return None;
        }
        _ => {
            fields.faults().add("wrong-type", pointer, "`temperatures` is a list of temperatures", None);
            return None;
        }
    };
    let mut read = Vec::with_capacity(items.len());
    for (index, item) in items.iter().enumerate() {
        let pointer = format!("{pointer}/{index}");
        if let Some(asked) = fields.read(item, || pointer.clone(), &field::LIQUID_TEMPERATURE) {
            read.push((pointer, asked));
        }
    }
    let asked: Vec<_> = read.iter().map(|(_, asked)| *asked).collect();
    request.list("temperatures", &asked);
    (read.len() == items.len()).then_some(read)
}

fn stepped(
    fields: &Fields<'_>,
    request: &mut Group,
) -> Option<Vec<(String, Asked<ThermodynamicTemperature>)>> {
    let from = fields.required_quantity("from", &field::LIQUID_TEMPERATURE);
    let to = fields.required_quantity("to", &field::LIQUID_TEMPERATURE);
    let step = fields.required_quantity("step", &field::STEP);
    let (from, to, step) = (from?, to?, step?);
    if from.number > to.number {
        let detail = format!("`from` ({} Cel) is above `to` ({} Cel)", from.number, to.number);
        fields.faults().add("impossible-value", fields.at("from"), detail, None);
        return None;
    }
    // A hair over, so that `to` itself is a point although the division rounds.
    let steps = ((to.number - from.number) / step.number + 1e-9).floor();
    #[allow(clippy::cast_precision_loss, reason = "1000 is exact")]
    if steps + 1.0 > MOST_POINTS as f64 {
        fields.faults().add(
            "outside-range",
            fields.at("step"),
            format!("at most {MOST_POINTS} points"),
            None,
        );
        return None;
    }
    request.quantity("from", &from);
    request.quantity("to", &to);
    request.quantity("step", &step);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole, from 0 to 999")]
    let count = steps as u32;
    let at = |index: u32| {
        let number = significant(f64::from(index).mul_add(step.number, from.number), 12);
        let pointer = if index == count { "to" } else { "from" };
        (fields.at(pointer), field::LIQUID_TEMPERATURE.asked(number))
    };
    Some((0..=count).map(at).collect())
}

/// Refuses a mixture whose activity coefficients are not known, and each temperature that no published equation reaches.
fn answerable(
    fields: &Fields<'_>,
    liquid: &Liquid,
    temperatures: &[(String, Asked<ThermodynamicTemperature>)],
) {
    let pure = liquid.substance();
    if let Some(why) = liquid.compositions.iter().find_map(|one| one.model.as_ref().err()) {
        let detail = format!("the vapour over {} is not known: {why}", liquid.name);
        fields.faults().add("missing-datum", fields.at("liquid"), detail, None);
        return;
    }
    for substance in liquid.substances() {
        in_range(fields, substance, pure.is_some(), temperatures);
    }
    // A liquid whose two phases cannot be found is refused and not guessed at.
    for (pointer, asked) in temperatures.iter().filter(|_| pure.is_none()) {
        if let Err(NoVapour::Split(why)) = liquid.usual().split(asked.quantity) {
            fields.faults().add("outside-range", pointer.clone(), why.to_string(), None);
        }
    }
}

/// Refuses each temperature that no published equation reaches; of a part of a mixture a bound does below them all.
fn in_range(
    fields: &Fields<'_>,
    substance: &Substance,
    pure: bool,
    temperatures: &[(String, Asked<ThermodynamicTemperature>)],
) {
    let mut last = "";
    for (pointer, asked) in temperatures {
        let Err(outside) = substance.vapour.at(asked.quantity) else { continue };
        if !pure && matches!(outside, OutsideRange::Below(_)) {
            continue;
        }
        if pointer == last {
            continue;
        }
        last = pointer;
        let (limit, what) = match outside {
            OutsideRange::Below(limit) => (limit, "the lowest that is answered is"),
            OutsideRange::Above(limit) => (limit, "the highest that is answered is"),
            OutsideRange::Between(limit) => (limit, "the nearest below that is answered is"),
        };
        let detail = format!(
            "{} Cel is {outside} for {}; {what} {} Cel",
            asked.number,
            substance.name(),
            inwards(limit, outside)
        );
        fields.faults().add("outside-range", pointer.clone(), detail, None);
    }
}

/// A limit of a range rounded to tenths inwards, so that what the text names is answered.
fn inwards(limit: ThermodynamicTemperature, outside: OutsideRange) -> f64 {
    let celsius = si::in_celsius(limit) * 10.0;
    if matches!(outside, OutsideRange::Below(_)) { celsius.ceil() / 10.0 } else { celsius.floor() / 10.0 }
}

fn compose(question: &Question, scope: &mut Scope, request: Group) -> Option<Composed> {
    let mut draft = scope.draft_taken();
    let rules = &scope.rules;
    let asked = &question.liquid;
    draft.consider("vapour_pressure");
    draft.consider("headspace");
    draft.method("vapour_pressure");
    draft.method("saturated_vapour");
    draft.molar_mass(asked);
    let points = points(question, &mut draft)?;
    let normal = boiling(asked, standard_pressure(), "/normal_boiling_point", &mut draft);
    let at_pressure = boiling(asked, question.pressure, "/boiling_point", &mut draft);
    let first = question.temperatures.first()?;
    let by_hand = asked.substance().and_then(|substance| antoine(substance, first.quantity, &mut draft));
    let over = asked.usual().over(first.quantity, Phases::OneOrTwo).ok();
    let extrapolated = points.iter().any(|point| point.extrapolated);
    let verdict = draft.verdict(NAME, asked, rules, |_| sentence(question, &points, rules));
    if extrapolated {
        draft.caution(
            "extrapolated",
            "A figure marked `extrapolated` lies outside the range of every published equation.",
        );
    }
    let picture = if draft.pictured {
        let all = question.temperatures.iter().map(|asked| asked.quantity);
        let vapour = Vapour {
            liquid: asked,
            pressure: question.pressure,
            flash: asked.flash_point(question.pressure).ok().map(|flash| flash.estimate),
            set: asked.substance().and_then(|substance| substance.vapour.one_for_all(all)),
            points: &points,
        };
        vapour_picture::of_pressure(&vapour, &verdict.sentence)
    } else {
        None
    };
    let record = record(&draft, request).ok()?;
    let series = series(&points);
    let mean = vapour_molar_mass(&points, asked);
    let reply = VapourPressureReply {
        verdict: verdict.clone(),
        liquid: liquid::echo(asked),
        points,
        antoine_by_hand: by_hand,
        normal_boiling_point: normal,
        boiling_point: at_pressure,
        condensing_point: condensing(question, &mut draft),
        azeotrope: azeotrope(question),
        liquid_phases: vapour_space::phases(asked, over.as_ref()),
        relative_vapour_density: Quantity::exact(
            four_digits(si::in_fraction(room_air::relative_vapour_density(mean))),
            "1",
        ),
        basis: draft.finish(asked, rules, record),
    };
    let mut composed = Composed::of(reply, &verdict);
    composed.series = Some(series);
    composed.picture = picture;
    Some(composed)
}

/// Mean molar mass of the vapour at the first temperature.
fn vapour_molar_mass(points: &[VapourPoint], liquid: &Liquid) -> MolarMass {
    let shares = points.first().and_then(|point| point.partial_pressures.as_ref());
    let Some(shares) = shares else { return liquid.molar_mass() };
    let mean = liquid
        .usual()
        .parts
        .iter()
        .zip(shares)
        .map(|(part, share)| si::in_gram_per_mole(part.substance.molar_mass) * share.mole_fraction)
        .sum();
    si::gram_per_mole(mean)
}

fn condensing(question: &Question, draft: &mut Draft) -> Option<Quantity> {
    if question.liquid.substance().is_some() {
        return None;
    }
    let found = question.liquid.usual().condensing_point(question.pressure).ok().flatten();
    if found.is_none() {
        draft.not_given("/condensing_point", "it is not reached between the temperatures that are answered");
    }
    found.map(|found| Quantity::exact(tenths(si::in_celsius(found)), "Cel"))
}

/// Vapour and liquid have one composition where each part's share differs by no more than this.
const SAME_SHARE: f64 = 0.01;

fn azeotrope(question: &Question) -> Option<Text> {
    let usual = question.liquid.usual();
    if usual.parts.len() < 2 {
        return None;
    }
    let boiling = usual.boiling_point(question.pressure).ok()??.value;
    let over = usual.over(boiling, Phases::OneOrTwo).ok()?;
    if over.split.is_some() {
        return None;
    }
    let total = over.total().value;
    let same =
        usual.parts.iter().zip(&over.partial).all(|(part, partial)| {
            (si::in_fraction(partial.value / total) - part.fraction).abs() <= SAME_SHARE
        });
    let text = "When it boils at this pressure its vapour has the liquid's own composition within 1 %: distilling does not part it.";
    same.then_some(Text::Borrowed(text))
}

fn points(question: &Question, draft: &mut Draft) -> Option<Vec<VapourPoint>> {
    let asked_liquid = &question.liquid;
    draft.method("headspace");
    draft.figures(asked_liquid, "lower_flammable_limit", |substance| substance.lower_limit.as_ref());
    draft.figures(asked_liquid, "upper_flammable_limit", |substance| substance.upper_limit.as_ref());
    draft.figures(asked_liquid, "flash_point", |substance| substance.flash_point.as_ref());
    let flash = asked_liquid.flash_point(question.pressure).ok().map(|flash| flash.estimate);
    let mut points = Vec::with_capacity(question.temperatures.len());
    let Some(substance) = asked_liquid.substance() else {
        for asked in &question.temperatures {
            points.push(mixture_point(question, asked, flash, draft)?);
        }
        return Some(points);
    };
    let one = substance.vapour.one_for_all(question.temperatures.iter().map(|asked| asked.quantity));
    let mut before: Option<&str> = None;
    for asked in &question.temperatures {
        let found = match one {
            Some(set) => substance.vapour.by(set, asked.quantity),
            None => match substance.vapour.at(asked.quantity) {
                Ok(found) => found,
                Err(_) => continue,
            },
        };
        draft.set(substance, &found.set.name);
        marked_temperature(draft, found.extrapolated);
        let changes = before.is_some_and(|name| name != found.set.name);
        before = Some(&found.set.name);
        points.push(point(question, substance, asked, &found, flash, changes));
    }
    if points.iter().any(|point| point.equation_changes) {
        draft.assume("equation_changes", "No single published equation covers all temperatures: where `equation_changes` is true a step may show.");
    }
    Some(points)
}

fn point(
    question: &Question,
    substance: &'static Substance,
    asked: &Asked<ThermodynamicTemperature>,
    found: &Found<'static>,
    flash: Option<Estimate<ThermodynamicTemperature>>,
    equation_changes: bool,
) -> VapourPoint {
    let fraction = headspace::saturated_fraction(found.pressure, question.pressure);
    let mass = fraction
        .rising(|x| flammable_limit::as_mass(x, substance.molar_mass, asked.quantity, question.pressure));
    VapourPoint {
        temperature: Quantity::exact(asked.number, "Cel"),
        vapour_pressure: draft::estimate(found.pressure.rising(si::in_kilopascal), "kPa"),
        partial_pressures: None,
        saturated_volume_fraction: draft::estimate(fraction.rising(si::in_percent), "%"),
        saturated_mass_concentration: draft::estimate(mass.rising(si::in_gram_per_cubic_metre), "g/m3"),
        headspace: space(
            &question.liquid,
            asked.quantity,
            question.pressure,
            flash,
            &question.liquid.over(asked.quantity),
        )
        .condition,
        extrapolated: found.extrapolated,
        equation: Text::Borrowed(&found.set.name),
        equation_changes,
    }
}

/// Digits of a share and of an activity coefficient.
const DIGITS: u32 = 4;

fn mixture_point(
    question: &Question,
    asked: &Asked<ThermodynamicTemperature>,
    flash: Option<Estimate<ThermodynamicTemperature>>,
    draft: &mut Draft,
) -> Option<VapourPoint> {
    let liquid = &question.liquid;
    let usual = liquid.usual();
    let all = liquid.over(asked.quantity);
    let over = all.as_ref().ok()?.first()?;
    vapour_space::say_vapour(draft, liquid, over);
    let total = crate::liquid::spanning(all.as_ref().ok()?.iter().map(Over::total))?;
    let fraction = headspace::saturated_fraction(total, question.pressure);
    let pascals = si::in_pascal(over.total().value);
    let mean: f64 = usual
        .parts
        .iter()
        .zip(&over.partial)
        .map(|(part, p)| si::in_gram_per_mole(part.substance.molar_mass) * si::in_pascal(p.value) / pascals)
        .sum();
    let mass = fraction
        .rising(|x| flammable_limit::as_mass(x, si::gram_per_mole(mean), asked.quantity, question.pressure));
    let sets: Vec<String> = usual
        .parts
        .iter()
        .zip(&over.sets)
        .map(|(part, set)| format!("{}: {set}", part.substance.id))
        .collect();
    Some(VapourPoint {
        temperature: Quantity::exact(asked.number, "Cel"),
        vapour_pressure: draft::estimate(total.rising(si::in_kilopascal), "kPa"),
        partial_pressures: Some(
            usual
                .parts
                .iter()
                .zip(over.partial.iter().zip(&over.ln_coefficients))
                .map(|(part, (partial, ln))| PartialPressure {
                    substance: Text::Borrowed(&part.substance.id),
                    pressure: draft::estimate(partial.rising(si::in_kilopascal), "kPa"),
                    mole_fraction: significant(si::in_pascal(partial.value) / pascals, DIGITS),
                    activity_coefficient: significant(crate::physics::maths::exp(*ln), DIGITS),
                })
                .collect(),
        ),
        saturated_volume_fraction: draft::estimate(fraction.rising(si::in_percent), "%"),
        saturated_mass_concentration: draft::estimate(mass.rising(si::in_gram_per_cubic_metre), "g/m3"),
        headspace: space(liquid, asked.quantity, question.pressure, flash, &all).condition,
        extrapolated: over.extrapolated,
        equation: Text::Owned(format!("modified UNIFAC (Dortmund); {}", sets.join("; "))),
        equation_changes: false,
    })
}

fn boiling(
    liquid: &Liquid,
    pressure: Pressure,
    pointer: &'static str,
    draft: &mut Draft,
) -> Option<Quantity> {
    match liquid.boiling_point(pressure) {
        Some(found) => {
            draft.method("boiling_point");
            Some(draft::tenths(found.rising(si::in_celsius), "Cel"))
        }
        None => {
            draft.not_given(
                pointer,
                "no published vapour-pressure equation reaches this pressure in its range",
            );
            None
        }
    }
}

fn antoine(
    substance: &'static Substance,
    temperature: ThermodynamicTemperature,
    draft: &mut Draft,
) -> Option<AntoineByHand> {
    let usable = |set: &&Set| set.is_antoine() && !set.doubtful && set.covers(temperature);
    let set = substance.vapour.sets.iter().find(usable)?;
    let equation = substance.file.vapour_pressure.iter().find(|equation| equation.set == set.name)?;
    let (Form::AntoineLog10([a, b, c]) | Form::AntoineLn([a, b, c])) = set.form else { return None };
    draft.set(substance, &set.name);
    let form =
        draft.catalogue.forms.get(&format!("vapour_pressure.{}", equation.form)).map_or("", String::as_str);
    let pressure = significant(si::in_kilopascal(set.form.at(temperature)), 6);
    Some(AntoineByHand {
        a,
        b,
        c,
        form: Text::Borrowed(form),
        valid_range: Text::Owned(format!("{} to {}", equation.valid.from, equation.valid.to)),
        source: Text::Borrowed(&equation.source),
        vapour_pressure: Quantity::exact(pressure, "kPa"),
    })
}

fn sentence(question: &Question, points: &[VapourPoint], rules: &super::rules::Rules) -> String {
    let name = question.liquid.name.as_str();
    let Some(first) = points.first() else { return String::new() };
    let marks = if points.iter().any(|point| point.extrapolated) { " (extrapolated)" } else { "" };
    let count = if points.len() == 1 {
        String::new()
    } else {
        format!(" at the first of {} temperatures", points.len())
    };
    let must = format!(
        "{name} has a vapour pressure of {} kPa at {} Cel, {} % of the air above it{count}{marks}.",
        first.vapour_pressure.value,
        tenths(first.temperature.value),
        first.saturated_volume_fraction.value
    );
    draft::sentence(rules, &must, "", "")
}

fn series(points: &[VapourPoint]) -> Series {
    let columns = ["vapour_pressure", "saturated_volume_fraction", "saturated_mass_concentration"];
    let units = ["kPa", "%", "g/m3"];
    let mut header = vec!["temperature.value [Cel]".to_owned()];
    for (column, unit) in columns.iter().zip(units) {
        header.extend(["value", "low", "high"].map(|part| format!("{column}.{part} [{unit}]")));
    }
    header.extend(["headspace", "extrapolated", "equation"].map(str::to_owned));
    let row = |point: &VapourPoint| {
        let mut row = vec![point.temperature.value.to_string()];
        for figure in
            [&point.vapour_pressure, &point.saturated_volume_fraction, &point.saturated_mass_concentration]
        {
            let number = |part: Option<f64>| part.map(|number| number.to_string()).unwrap_or_default();
            row.extend([figure.value.to_string(), number(figure.low), number(figure.high)]);
        }
        let headspace = serde_json::to_value(point.headspace).ok();
        row.push(headspace.as_ref().and_then(Value::as_str).unwrap_or_default().to_owned());
        row.push(point.extrapolated.to_string());
        row.push(point.equation.to_string());
        row
    };
    Series { header, rows: points.iter().map(row).collect() }
}
