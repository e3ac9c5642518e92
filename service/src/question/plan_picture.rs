//! The picture of a plan: what stands around the work, how far away it is, how far the checks want it.

use super::draft::named;
use super::picture::{Above, Around, Kind, Picture, Shown};
use super::plan::Plan;
use super::walk::{Placed, Walked, in_words};
use crate::quantity::round::significant;
use brimline_openapi::{Check, MustBe, Outcome};

/// Most things that have a ray of their own: with more, numbers would lie on each other.
const MOST: usize = 12;
/// Longest name of an ignition source, letters.
const LONGEST: usize = 40;
/// A ratio above this is near a limit.
const NEAR: f64 = 0.8;
/// Distances that differ by less are the same, m.
const SAME: f64 = 1e-9;

/// A check as a distance that is given and one that is wanted, m.
struct Distance<'a> {
    check: &'a Check,
    given: f64,
    wanted: Option<f64>,
}

/// The distance from the work that a check is about, and whom it concerns.
fn distance(placed: &Placed) -> Option<(Kind, Distance<'_>)> {
    let check = &placed.check;
    if check.limit.unit != "m" || placed.stock.is_some() {
        return None;
    }
    let value = check.value.as_ref();
    let (given, wanted) = match check.must_be {
        MustBe::AtLeast => (value?.low.unwrap_or(value?.value), Some(check.limit.value)),
        MustBe::AtMost => (check.limit.value, value.map(|value| value.high.unwrap_or(value.value))),
        MustBe::Unknown => return None,
    };
    let kind = match (check.check.as_ref(), check.must_be) {
        ("people_distance" | "burning_spill" | "lighting_delay", _) | ("spill", MustBe::AtLeast) => {
            Kind::Person
        }
        ("stock_distance", _) => Kind::Stock,
        ("near_field" | "spill" | "ignition_reach", MustBe::AtMost)
        | ("poured_beside_flame" | "naked_flame" | "halogenated_vapour", MustBe::AtLeast) => Kind::Ignition,
        _ => return None,
    };
    Some((kind, Distance { check, given, wanted }))
}

/// The picture of a plan; none where nothing stands around it.
pub fn picture(plan: &Plan, walked: &Walked, sentence: &str) -> Option<Picture> {
    let all: Vec<(Kind, Distance<'_>)> = walked.checks.iter().filter_map(distance).collect();
    let of = |kind: Kind| all.iter().filter(move |(known, _)| *known == kind).map(|(_, distance)| distance);
    let mut around = vec![held(Kind::Person, "nearest person".to_owned(), plan.nearest, of(Kind::Person))];
    for (number, stock) in plan.stock.iter().enumerate() {
        let state = if stock.open { "open" } else { "closed" };
        let name = format!("stock of {}, {state}", named(&stock.liquid.liquid));
        let asked = of(Kind::Stock).filter(|one| same(one.given, stock.distance));
        let mut one = held(Kind::Stock, name, stock.distance, asked);
        spilt(&mut one, walked, number);
        around.push(one);
    }
    let stated = plan.ignition.as_deref().unwrap_or_default();
    for source in stated {
        let state = match source.lit {
            Some(true) => "lit",
            Some(false) => "not lit",
            None => "not said whether lit",
        };
        // What asks for a distance from whatever burns asks it of each; pouring beside a flame, of those that are lit.
        let asked =
            of(Kind::Ignition).filter(|one| source.is_lit() || one.check.check != "poured_beside_flame");
        let kind: String = source.kind.chars().take(LONGEST).collect();
        around.push(held(Kind::Ignition, format!("{kind}, {state}"), source.distance, asked));
    }
    let mut others: Vec<f64> = Vec::new();
    for one in of(Kind::Ignition) {
        let known = stated.iter().any(|source| same(source.distance, one.given));
        if !known && !others.iter().any(|other| same(*other, one.given)) {
            others.push(one.given);
        }
    }
    for given in others {
        let name =
            if given > 0.0 { "an ignition source, assumed" } else { "flame or heater at the work itself" };
        let asked = of(Kind::Ignition).filter(|one| same(one.given, given));
        around.push(held(Kind::Ignition, name.to_owned(), given, asked));
    }
    // What is over a limit is drawn first.
    around.sort_by_key(|one| std::cmp::Reverse(one.status));
    let left_out = around.split_off(around.len().min(MOST));
    let work = work(plan);
    let mut also = others_over(walked, &all);
    if !left_out.is_empty() {
        let names: Vec<String> =
            left_out.iter().map(|one| format!("{}, {} m: {}", one.name, one.given, one.judged)).collect();
        also.push(format!("Not drawn, for want of room: {}.", names.join("; ")));
    }
    let mut said = vec![format!("{work} Directions are not known and not to scale, distances are.")];
    said.extend(around.iter().map(|one| format!("{}: {} m; {}.", one.name, one.given, one.judged)));
    said.extend(also.iter().cloned());
    let title = match &plan.name {
        Some(name) => format!("Distances from the work: {name}"),
        None => "Distances from the work, seen from above".to_owned(),
    };
    let shown = Shown::Above(Above { work, around, also });
    Some(Picture { title, sentence: sentence.to_owned(), said, shown })
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < SAME
}

/// Something around the work held against every distance asked of it: the worst counts, of several the furthest.
fn held<'a>(kind: Kind, name: String, given: f64, asked: impl Iterator<Item = &'a Distance<'a>>) -> Around {
    let mut worst: Option<(Outcome, f64, Option<f64>, &str)> = None;
    for one in asked {
        let status = match one.wanted {
            _ if same(one.given, given) => one.check.status,
            // A check is made of the nearest: what stands further away is held against the same distance.
            Some(wanted) if given < wanted => Outcome::OverLimit,
            Some(wanted) if wanted > given * NEAR => Outcome::NearLimit,
            Some(_) => Outcome::WithinLimit,
            None => Outcome::NotAssessed,
        };
        let metres = one.wanted.unwrap_or(0.0);
        if worst.is_none_or(|(known, furthest, ..)| (status, metres) > (known, furthest)) {
            worst = Some((status, metres, one.wanted, in_words(&one.check.check)));
        }
    }
    let Some((status, _, wanted, why)) = worst else {
        let judged = "no check asks for a distance".to_owned();
        return Around { kind, name, given, wanted: None, status: Outcome::NoLimitChecked, judged };
    };
    let wanted = wanted.map(|metres| significant(metres, 4));
    let judged = match wanted {
        Some(metres) => format!("{}at least {metres} m wanted ({why})", word(status)),
        None => format!("{}no distance is known that suffices ({why})", word(status)),
    };
    Around { kind, name, given, wanted, status, judged }
}

const fn word(status: Outcome) -> &'static str {
    match status {
        Outcome::OverLimit => "OVER: ",
        Outcome::NotAssessed => "NOT ASSESSED: ",
        Outcome::NearLimit => "near: ",
        Outcome::NoLimitChecked | Outcome::WithinLimit | Outcome::Unknown => "",
    }
}

/// A dropped stock bottle: its reach goes from where it stands, not from the work.
fn spilt(one: &mut Around, walked: &Walked, number: usize) {
    for placed in walked.checks.iter().filter(|placed| placed.stock == Some(number)) {
        let check = &placed.check;
        if check.limit.unit != "m" || check.must_be != MustBe::AtMost {
            continue;
        }
        let Some(value) = &check.value else { continue };
        let reach = format!(
            "{}dropped, its vapour reaches {} m around it, and an ignition source can be {} m from it",
            word(check.status),
            value.high.unwrap_or(value.value),
            significant(check.limit.value, 4)
        );
        one.judged = if one.wanted.is_some() { format!("{}; {reach}", one.judged) } else { reach };
        one.status = one.status.max(check.status);
    }
}

fn work(plan: &Plan) -> String {
    let vessels: Vec<String> = plan
        .vessels()
        .iter()
        .map(|(vessel, count, _)| format!("{count} x {} mL, {} cm wide", vessel.capacity, vessel.mouth))
        .collect();
    if vessels.is_empty() {
        return "The work is in the middle, drawn as a point.".to_owned();
    }
    format!("The work is in the middle, drawn as a point: {}.", vessels.join("; "))
}

/// What is over a limit or not assessed, and no distance that is drawn.
fn others_over(walked: &Walked, drawn: &[(Kind, Distance<'_>)]) -> Vec<String> {
    let mut texts = Vec::new();
    for (status, start) in [
        (Outcome::OverLimit, "OVER A LIMIT, not drawn here"),
        (Outcome::NotAssessed, "NOT ASSESSED, not drawn here"),
    ] {
        let mut words: Vec<&str> = Vec::new();
        for placed in walked.checks.iter().filter(|placed| placed.check.status == status) {
            let shown = drawn.iter().any(|(_, one)| std::ptr::eq(one.check, &placed.check));
            let word = in_words(&placed.check.check);
            if !shown && placed.stock.is_none() && !words.contains(&word) {
                words.push(word);
            }
        }
        if !words.is_empty() {
            texts.push(format!("{start}: {}.", words.join("; ")));
        }
    }
    texts
}
