//! The pictures of a vapour: its pressure over temperature, and what stands over a liquid against its limits.

use super::draft::named;
use super::picture::{Curves, Line, Margin, Mark, Picture, Shown, ranged};
use crate::liquid::flash::Limit;
use crate::liquid::vapour::Over;
use crate::liquid::{Liquid, spanning};
use crate::physics::vapour_pressure::Set;
use crate::quantity::round::{self, Place, tenths};
use crate::quantity::{Estimate, si};
use brimline_openapi::{HeadspaceCondition, VapourPoint};
use uom::si::f64::{Pressure, ThermodynamicTemperature};

/// How many steps a curve has.
const STEPS: u32 = 120;
/// How far a curve reaches beyond what is marked on it, K.
const BEYOND: f64 = 10.0;
/// The least span of a curve, K.
const LEAST_SPAN: f64 = 60.0;
/// Most temperatures that have a mark each; of more, the first and the last have one.
const MOST_MARKS: usize = 3;
/// Most temperatures whose figures are drawn one by one and said.
const MOST_DOTS: usize = 12;

/// What a picture of a vapour pressure is made of.
pub struct Vapour<'a> {
    /// The liquid.
    pub liquid: &'a Liquid,
    /// The pressure of the air.
    pub pressure: Pressure,
    /// The flash point at that pressure.
    pub flash: Option<Estimate<ThermodynamicTemperature>>,
    /// The set that answers all that was asked, if one does.
    pub set: Option<&'static Set>,
    /// What was answered.
    pub points: &'a [VapourPoint],
}

/// A point of a curve, kPa over Cel.
struct At {
    celsius: f64,
    total: Estimate<f64>,
    fuel: Option<Estimate<f64>>,
    lower: Option<f64>,
    upper: Option<f64>,
    extrapolated: bool,
}

fn shown(figure: Estimate<f64>, place: Place) -> Estimate<f64> {
    let (value, low, high) = round::estimate(figure.value, figure.low, figure.high, place);
    Estimate { value, low, high }
}

fn at(vapour: &Vapour<'_>, celsius: f64) -> Option<At> {
    let temperature = si::celsius(celsius);
    let liquid = vapour.liquid;
    let in_kilopascal = |pressure: Estimate<Pressure>| pressure.rising(si::in_kilopascal);
    let (over, total, fuel, extrapolated) = match liquid.substance() {
        Some(substance) => {
            let found = match vapour.set.filter(|set| set.covers(temperature)) {
                Some(set) => substance.vapour.by(set, temperature),
                None => substance.vapour.at(temperature).ok()?,
            };
            (Ok(Vec::new()), in_kilopascal(found.pressure), None, found.extrapolated)
        }
        None => {
            let over = liquid.over(temperature);
            let all = over.as_ref().ok()?;
            let total = in_kilopascal(spanning(all.iter().map(Over::total))?);
            let burns = liquid.compositions.iter().zip(all).map(|(one, over)| over.fuel(one));
            let fuel = in_kilopascal(spanning(burns)?);
            let extrapolated = all.iter().any(|over| over.extrapolated || !over.bounded.is_empty());
            (over, total, (fuel.value < total.value).then_some(fuel), extrapolated)
        }
    };
    let air = si::in_kilopascal(vapour.pressure);
    let limit = |limit| liquid.limit_over(limit, temperature, &over);
    // Each limit at its unfavourable end.
    let lower = limit(Limit::Lower).map(|share| si::in_fraction(share.low) * air);
    let upper = limit(Limit::Upper).map(|share| si::in_fraction(share.high) * air);
    Some(At { celsius, total, fuel, lower, upper, extrapolated })
}

/// The vapour pressure over temperature with the limits and the flash point.
pub fn of_pressure(vapour: &Vapour<'_>, sentence: &str) -> Option<Picture> {
    let flash = vapour.flash.map(|flash| shown(flash.rising(si::in_celsius), Place::Tenths));
    let asked: Vec<f64> = vapour.points.iter().map(|point| point.temperature.value).collect();
    let points = curve(vapour, flash, &asked);
    let mut curves = Curves {
        across: "temperature [°C]".to_owned(),
        up: "vapour pressure [kPa], each line ten times the one below".to_owned(),
        ..Curves::default()
    };
    let mut said = vec![reaches(&points)?];
    curves.lines = totals(&points);
    if let Some(within) = points.iter().find(|at| !at.extrapolated)
        && points.iter().any(|at| at.extrapolated)
    {
        let at = Estimate::exact(within.celsius);
        let name = format!("extrapolated below {} Cel", tenths(within.celsius));
        curves.marks.push(Mark { at, name, dashes: "1 4" });
    }
    if points.iter().any(|point| point.fuel.is_some()) {
        let burns = |at: &At| Some((at.celsius, at.fuel?.value));
        let points = points.iter().filter_map(burns).collect();
        curves.lines.push(Line { name: "of that, what can burn".to_owned(), points, dashes: "5 2 1 2" });
        said.push("The limits are to be held against what can burn.".to_owned());
    }
    limits(vapour, &points, &mut curves, &mut said);
    match flash {
        Some(flash) => {
            curves.marks.push(Mark {
                at: flash,
                name: format!("flash point {} Cel", flash.value),
                dashes: "6 3",
            });
            said.push(format!("Flash point at this air pressure: {}.", ranged(flash, "Cel")));
        }
        None => said.push("No flash point is known; none is marked.".to_owned()),
    }
    let ends = [asked.first(), asked.last()].into_iter().flatten().copied();
    let marked: Vec<f64> = if asked.len() > MOST_MARKS { ends.collect() } else { asked.clone() };
    for celsius in marked {
        let name = format!("asked {} Cel", tenths(celsius));
        curves.marks.push(Mark { at: Estimate::exact(celsius), name, dashes: "" });
    }
    figures(vapour, &mut curves, &mut said);
    let air = round::four_digits(si::in_kilopascal(vapour.pressure));
    let title = format!("Vapour pressure of {} in air of {air} kPa", named(vapour.liquid));
    Some(Picture { title, sentence: sentence.to_owned(), said, shown: Shown::Curves(curves) })
}

/// The points of the curve, around what was asked and marked.
fn curve(vapour: &Vapour<'_>, flash: Option<Estimate<f64>>, asked: &[f64]) -> Vec<At> {
    let marked = || asked.iter().copied().chain(flash.iter().flat_map(|flash| [flash.low, flash.high]));
    let low = marked().fold(f64::INFINITY, f64::min) - BEYOND;
    let high = marked().fold(f64::NEG_INFINITY, f64::max) + BEYOND;
    let more = ((LEAST_SPAN - (high - low)) / 2.0).max(0.0);
    let low = ((low - more) / BEYOND).floor() * BEYOND;
    let high = ((high + more) / BEYOND).ceil() * BEYOND;
    let step = (high - low) / f64::from(STEPS);
    let mut places: Vec<f64> = (0..=STEPS).map(|count| low + f64::from(count) * step).collect();
    places.extend(asked);
    places.sort_by(f64::total_cmp);
    places.into_iter().filter_map(|celsius| at(vapour, celsius)).collect()
}

/// The vapour pressure and the ends of its range; the part below every equation apart.
fn totals(points: &[At]) -> Vec<Line> {
    let first = points.iter().position(|at| !at.extrapolated).unwrap_or(points.len());
    let (below, within) = points.split_at(first.min(points.len()));
    let line = |name: &str, points: &[At], end: fn(&Estimate<f64>) -> f64, dashes| {
        let points: Vec<(f64, f64)> = points.iter().map(|at| (at.celsius, end(&at.total))).collect();
        (points.len() > 1).then(|| Line { name: name.to_owned(), points, dashes })
    };
    [
        line("vapour pressure", within, |total| total.value, ""),
        line("", within, |total| total.low, "3 3"),
        line("its range", within, |total| total.high, "3 3"),
        line("", below, |total| total.value, "1 4"),
        line("", below, |total| total.high, "1 6"),
        line("", below, |total| total.low, "1 6"),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// From where to where the curve goes.
fn reaches(points: &[At]) -> Option<String> {
    let (first, last) = (points.first()?, points.last()?);
    let beyond = points.iter().rfind(|at| at.extrapolated);
    let beyond = beyond.map_or_else(String::new, |at| {
        format!(" Up to {} Cel it is extrapolated and dotted.", tenths(at.celsius))
    });
    Some(format!(
        "The curve goes from {} kPa at {} Cel to {} kPa at {} Cel, with its range.{beyond}",
        round::four_digits(first.total.value),
        tenths(first.celsius),
        round::four_digits(last.total.value),
        tenths(last.celsius)
    ))
}

fn limits(vapour: &Vapour<'_>, points: &[At], curves: &mut Curves, said: &mut Vec<String>) {
    let air = si::in_kilopascal(vapour.pressure);
    let mut drawn = |name: &str, limit: fn(&At) -> Option<f64>, dashes| {
        let points: Vec<(f64, f64)> = points.iter().filter_map(|at| Some((at.celsius, limit(at)?))).collect();
        let (first, last) = (*points.first()?, *points.last()?);
        said.push(format!(
            "{name} {} kPa at {} Cel, {} kPa at {} Cel.",
            round::four_digits(first.1),
            tenths(first.0),
            round::four_digits(last.1),
            tenths(last.0)
        ));
        // The one that holds where the first question was asked stands beside it.
        let here = vapour.points.first().map_or(first.0, |point| point.temperature.value);
        let level = points.iter().find(|(celsius, _)| *celsius >= here).map_or(first.1, |(_, level)| *level);
        let name = format!("{name} {} %", round::four_digits(level / air * 100.0));
        curves.lines.push(Line { name, points, dashes });
        curves.lines.len().checked_sub(1)
    };
    let lower = drawn("lower limit, from", |at| at.lower, "8 3");
    let upper = drawn("upper limit, to", |at| at.upper, "12 3 2 3");
    match (lower, upper) {
        (Some(lower), upper) => {
            curves.hatched = Some((lower, upper));
            let to = if upper.is_some() {
                "Between the limits"
            } else {
                "No upper limit is published: above the lower limit"
            };
            said.push(format!(
                "{to} the vapour can be lit (hatched). Where it is richer, air comes in at the opening."
            ));
        }
        (None, _) => said.push(match vapour.liquid.not_flammable() {
            Some(_) => "A source says that it does not burn: no limits are drawn.".to_owned(),
            None => "No trusted lower limit is published; that does not mean that the vapour cannot burn."
                .to_owned(),
        }),
    }
}

fn figures(vapour: &Vapour<'_>, curves: &mut Curves, said: &mut Vec<String>) {
    let few = vapour.points.len() <= MOST_DOTS;
    let ends = vapour
        .points
        .iter()
        .enumerate()
        .filter(|(place, _)| few || *place == 0 || place + 1 == vapour.points.len());
    for (_, point) in ends {
        let pressure = &point.vapour_pressure;
        let (low, high) = (pressure.low.unwrap_or(pressure.value), pressure.high.unwrap_or(pressure.value));
        let estimate = Estimate { value: pressure.value, low, high };
        curves.dots.push((point.temperature.value, estimate));
        let marked = if point.extrapolated { ", extrapolated" } else { "" };
        said.push(format!(
            "At {} Cel: {}{marked}.",
            tenths(point.temperature.value),
            ranged(estimate, "kPa")
        ));
    }
}

/// What a picture of the margin to the flash point is made of.
pub struct Against<'a> {
    /// The liquid.
    pub liquid: &'a Liquid,
    /// Its temperature.
    pub temperature: ThermodynamicTemperature,
    /// What stands over it.
    pub space: &'a super::vapour_space::Space,
    /// Its flash point.
    pub flash: Option<Estimate<ThermodynamicTemperature>>,
    /// The margin wanted, K.
    pub wanted: f64,
    /// What the check of the margin says.
    pub judged: &'static str,
}

/// The vapour against its limits and the temperature against the flash point.
pub fn of_margin(against: &Against<'_>, sentence: &str) -> Option<Picture> {
    let space = against.space;
    let in_percent = |estimate: Estimate<_>| shown(estimate.rising(si::in_percent), Place::FourDigits);
    let vapour = space.fraction.as_ref().ok().copied().map(in_percent);
    let (lower, upper) = (space.lower.map(in_percent), space.upper.map(in_percent));
    let flash = against.flash.map(|flash| shown(flash.rising(si::in_celsius), Place::Tenths));
    let celsius = tenths(si::in_celsius(against.temperature));
    if flash.is_none() && (vapour.is_none() || lower.is_none()) {
        return None;
    }
    let leaner = vapour.zip(lower).is_some_and(|(vapour, lower)| vapour.high < lower.low);
    let condition = match space.condition {
        HeadspaceCondition::TooLean => "too lean to be lit, at the unfavourable end",
        HeadspaceCondition::Ignitable if leaner => {
            "IGNITABLE all the same: the lower end of the flash point is reached"
        }
        HeadspaceCondition::Ignitable => "IGNITABLE, or not shown not to be",
        HeadspaceCondition::TooRich => {
            "TOO RICH inside, so IGNITABLE at the opening, where air comes in, on pouring and on cooling"
        }
        HeadspaceCondition::NotFlammable => "a source says that it does not burn",
        HeadspaceCondition::NoPublishedLimits | HeadspaceCondition::Unknown => {
            "no trusted limits are published; that does not mean that it cannot burn"
        }
    };
    let judged = match flash {
        Some(flash) => format!(
            "{}: it must be {} K below the lower end of its flash point and is {} K {} it",
            against.judged,
            against.wanted,
            tenths((flash.low - celsius).abs()),
            if flash.low < celsius { "above" } else { "below" }
        ),
        None => format!("{}: no flash point is known", against.judged),
    };
    let mut said = vec![format!("Vapour over the liquid at {celsius} Cel: {condition}.")];
    let mut figure = |name: &str, figure: Option<Estimate<f64>>, unit: &str| {
        said.push(match figure {
            Some(figure) => format!("{name}: {}.", ranged(figure, unit)),
            None => format!("{name}: not known, not drawn."),
        });
    };
    figure("Saturated vapour in the air", vapour, "%");
    figure("Lower flammable limit", lower, "%");
    figure("Upper flammable limit", upper, "%");
    figure("Flash point", flash, "Cel");
    said.push(format!("{judged}."));
    let title =
        format!("{} at {celsius} Cel against its flammable limits and flash point", named(against.liquid));
    let shown = Shown::Margin(Box::new(Margin {
        liquid: celsius,
        vapour,
        lower,
        upper,
        condition: condition.to_owned(),
        flash,
        wanted: against.wanted,
        judged,
    }));
    Some(Picture { title, sentence: sentence.to_owned(), said, shown })
}
