//! `vapour-pressure`: how much vapour stands over a liquid at one or more temperatures.

use super::draft::{self, Draft};
use super::reader::{Asked, Fields};
use super::record::{Group, record};
use super::room::RoomAsked;
use super::{Composed, Scope, Series, field, headspace_word, liquid, marked_temperature};
use crate::catalogue::Substance;
use crate::physics::vapour_pressure::{Form, Found, OutsideRange, Set};
use crate::physics::{boiling_point, flammable_limit, flash_point, headspace, room_air, standard_pressure};
use crate::quantity::round::{four_digits, significant, tenths};
use crate::quantity::{Estimate, si};
use brimline_openapi::{AntoineByHand, Quantity, Text, VapourPoint, VapourPressureReply};
use serde_json::Value;
use uom::si::f64::{Pressure, ThermodynamicTemperature};

/// The question's name.
pub const NAME: &str = "vapour-pressure";
/// Most temperatures in one request.
const MOST_POINTS: usize = 1000;

/// The question as it was asked, defaults filled in.
struct Question {
    substance: &'static Substance,
    temperatures: Vec<Asked<ThermodynamicTemperature>>,
    pressure: Pressure,
}

/// Reads and answers the question.
pub fn answer(fields: &Fields<'_>, scope: &mut Scope) -> Option<Composed> {
    let substance = liquid::read(fields, scope.draft.catalogue);
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
    if let (Some(substance), Some(temperatures)) = (substance, &temperatures) {
        in_range(fields, substance, temperatures);
    }
    let (substance, temperatures) = (substance?, temperatures?);
    if !fields.faults().is_empty() {
        return None;
    }
    request.word("question", NAME);
    request.word("liquid", &substance.id);
    let mut room = Group::default();
    room.quantity("pressure", &pressure);
    asked.record_given(&mut room);
    request.group("room", room);
    scope.rules.record(&mut request);
    let temperatures = temperatures.into_iter().map(|(_, asked)| asked).collect();
    compose(&Question { substance, temperatures, pressure: pressure.quantity }, scope, request)
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
        if let Some(asked) = fields.read(item, pointer.clone(), &field::LIQUID_TEMPERATURE) {
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

/// Refuses each temperature that no published equation reaches.
fn in_range(
    fields: &Fields<'_>,
    substance: &Substance,
    temperatures: &[(String, Asked<ThermodynamicTemperature>)],
) {
    let mut last = "";
    for (pointer, asked) in temperatures {
        let Err(outside) = substance.vapour.at(asked.quantity) else { continue };
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
    let substance = question.substance;
    draft.consider("vapour_pressure");
    draft.consider("headspace");
    draft.method("vapour_pressure");
    draft.method("saturated_vapour");
    draft.molar_mass(substance);
    let points = points(question, &mut draft);
    let normal = boiling(substance, standard_pressure(), "/normal_boiling_point", &mut draft);
    let at_pressure = boiling(substance, question.pressure, "/boiling_point", &mut draft);
    let first = question.temperatures.first()?;
    let by_hand = antoine(substance, first.quantity, &mut draft);
    let extrapolated = points.iter().any(|point| point.extrapolated);
    let verdict = draft.verdict(NAME, substance, rules, |_| sentence(question, &points, rules));
    if extrapolated {
        draft.caution(
            "extrapolated",
            "A figure marked `extrapolated` lies outside the range of every published equation.",
        );
    }
    let record = record(draft.catalogue, request, draft.full).ok()?;
    let series = series(&points);
    let reply = VapourPressureReply {
        verdict: verdict.clone(),
        liquid: liquid::echo(substance),
        points,
        antoine_by_hand: by_hand,
        normal_boiling_point: normal,
        boiling_point: at_pressure,
        relative_vapour_density: Quantity::exact(
            four_digits(si::in_fraction(room_air::relative_vapour_density(substance.molar_mass))),
            "1",
        ),
        basis: draft.finish(substance, rules, record),
    };
    let mut composed = Composed::of(&reply, &verdict)?;
    composed.series = Some(series);
    Some(composed)
}

fn points(question: &Question, draft: &mut Draft) -> Vec<VapourPoint> {
    let substance = question.substance;
    let one = substance.vapour.one_for_all(question.temperatures.iter().map(|asked| asked.quantity));
    let flash = substance.flash_point.as_ref();
    let flash =
        flash.map(|figure| flash_point::at_pressure(figure.estimate, &substance.vapour, question.pressure));
    for (figure, name) in
        [(&substance.lower_limit, "lower_flammable_limit"), (&substance.upper_limit, "upper_flammable_limit")]
    {
        if let Some(figure) = figure {
            draft.figure(figure, name);
            draft.method("headspace");
        }
    }
    if let Some(figure) = &substance.flash_point {
        draft.figure(figure, "flash_point");
    }
    let mut before: Option<&str> = None;
    let mut points = Vec::with_capacity(question.temperatures.len());
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
        points.push(point(question, asked, &found, flash, changes));
    }
    if points.iter().any(|point| point.equation_changes) {
        draft.assume("equation_changes", "No single published equation covers all temperatures: where `equation_changes` is true a step may show.");
    }
    points
}

fn point(
    question: &Question,
    asked: &Asked<ThermodynamicTemperature>,
    found: &Found<'static>,
    flash: Option<Estimate<ThermodynamicTemperature>>,
    equation_changes: bool,
) -> VapourPoint {
    let substance = question.substance;
    let fraction = headspace::saturated_fraction(found.pressure, question.pressure);
    let mass = fraction
        .rising(|x| flammable_limit::as_mass(x, substance.molar_mass, asked.quantity, question.pressure));
    let upper = substance.upper_limit.as_ref().map(|figure| figure.estimate);
    VapourPoint {
        temperature: Quantity::exact(asked.number, "Cel"),
        vapour_pressure: draft::estimate(found.pressure.rising(si::in_kilopascal), "kPa"),
        partial_pressures: None,
        saturated_volume_fraction: draft::estimate(fraction.rising(si::in_percent), "%"),
        saturated_mass_concentration: draft::estimate(mass.rising(si::in_gram_per_cubic_metre), "g/m3"),
        headspace: headspace_word(substance, asked.quantity, flash, Some(fraction), upper),
        extrapolated: found.extrapolated,
        equation: Text::Borrowed(&found.set.name),
        equation_changes,
    }
}

fn boiling(
    substance: &'static Substance,
    pressure: Pressure,
    pointer: &'static str,
    draft: &mut Draft,
) -> Option<Quantity> {
    let found = boiling_point::boiling_point(&substance.vapour, pressure, substance.boiling_spread);
    match found {
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
    let name = question.substance.name();
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
