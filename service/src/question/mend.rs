//! The changes that bring a plan within its limits: of each the smallest, together a set, each verified by running the changed plan.

use super::Scope;
use super::plan::{Doing, Plan, Vessel};
use super::remedy::{of_place, place_of};
use super::walk::{self, Walked};
use crate::quantity::round::significant;
use brimline_openapi::{AlsoChanged, Outcome, PlanRemedy, Remedy, Text};

/// Most changes of a plan.
const MOST_CHANGES: usize = 8;
/// Most times that a plan is run again while its changes are looked for.
const MOST_RUNS: u32 = 160;

/// An input of a plan that may be changed.
#[derive(Debug, Clone)]
enum Change {
    /// Another figure, up or down to a bound.
    Figure { what: Figure, from: f64, furthest: f64 },
    /// Another vessel at a step.
    Vessel { step: usize, vessel: Vessel, text: String },
    /// A step before another.
    Order { step: usize, before: usize },
    /// The room is lit at a step.
    Light { step: usize },
    /// Every flame is proved out before a step.
    FlamesOut { step: usize },
    /// A wait before a step.
    Wait { step: usize, minutes: f64 },
    /// The stock is closed.
    Close { stock: usize },
    /// What stands beside is taken away.
    Away { beside: usize },
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Figure {
    Amount(usize),
    Vessels(usize),
    Duration(usize),
    HeatedTo(usize),
    Nearest,
    AirChanges,
    StockDistance(usize),
    IgnitionDistance(usize),
    Clear,
}

impl Figure {
    fn pointer(self) -> String {
        match self {
            Self::Amount(step) => format!("/steps/{step}/amount"),
            Self::Vessels(step) => format!("/steps/{step}/vessels"),
            Self::Duration(step) => format!("/steps/{step}/duration"),
            Self::HeatedTo(step) => format!("/steps/{step}/heated_to"),
            Self::Nearest => "/people/nearest".to_owned(),
            Self::AirChanges => "/room/air_changes".to_owned(),
            Self::StockDistance(stock) => format!("/stock/{stock}/distance"),
            Self::IgnitionDistance(source) => format!("/ignition/{source}/distance"),
            Self::Clear => "/clear_height".to_owned(),
        }
    }

    const fn unit(self) -> &'static str {
        match self {
            Self::Amount(_) => " mL",
            Self::Vessels(_) => "",
            Self::Duration(_) => " min",
            Self::HeatedTo(_) => " Cel",
            Self::AirChanges => " /h",
            _ => " m",
        }
    }

    const fn word(self) -> &'static str {
        match self {
            Self::Amount(_) => "amount",
            Self::Vessels(_) => "number",
            Self::Duration(_) => "waiting",
            Self::HeatedTo(_) => "heating",
            Self::AirChanges => "air_changes",
            _ => "distance",
        }
    }

    fn text(self, plan: &Plan, to: &str) -> String {
        match self {
            Self::Amount(step) => format!("Use at most {to} at step {}.", step + 1),
            Self::Vessels(step) => format!("Use at most {to} vessels at step {}.", step + 1),
            Self::Duration(step) => format!("Let step {} take {to}.", step + 1),
            Self::HeatedTo(step) => format!("Heat to at most {to} at step {}.", step + 1),
            Self::Nearest => format!("Keep everybody at least {to} away."),
            Self::AirChanges => format!("Bring the air changes to at least {to}."),
            Self::StockDistance(stock) => format!(
                "Put the stock of {} at least {to} away.",
                plan.stock.get(stock).map_or("the liquid", |stock| stock.liquid.liquid.name.as_str())
            ),
            Self::IgnitionDistance(source) => format!(
                "Keep the {} at least {to} away.",
                plan.ignition
                    .iter()
                    .flatten()
                    .nth(source)
                    .map_or("ignition source", |source| source.kind.as_str())
            ),
            Self::Clear => format!("Keep at least {to} clear above the vessels."),
        }
    }

    fn set(self, plan: &mut Plan, to: f64) {
        match self {
            Self::Amount(step) => {
                if let Some(step) = plan.steps.get_mut(step) {
                    step.amount = Some(to);
                }
            }
            Self::Vessels(step) => {
                #[allow(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "whole and at most a thousand"
                )]
                let count = to as u32;
                if let Some(step) = plan.steps.get_mut(step) {
                    step.vessels = Some(count);
                }
            }
            Self::Duration(step) => {
                if let Some(step) = plan.steps.get_mut(step) {
                    step.duration = Some(to);
                }
            }
            Self::HeatedTo(step) => {
                if let Some(step) = plan.steps.get_mut(step) {
                    step.heated_to = Some(to);
                }
            }
            Self::Nearest => plan.nearest = to,
            Self::AirChanges => plan.air_changes = to,
            Self::StockDistance(stock) => {
                if let Some(stock) = plan.stock.get_mut(stock) {
                    stock.distance = to;
                }
            }
            Self::IgnitionDistance(source) => {
                if let Some(source) = plan.ignition.as_mut().and_then(|all| all.get_mut(source)) {
                    source.distance = to;
                }
            }
            Self::Clear => plan.clear = Some(to),
        }
    }
}

/// The changes that bring a plan within its limits, in the order in which they are made: the one that mends most first.
pub fn mend(plan: &Plan, walked: &Walked, scope: &Scope) -> Vec<PlanRemedy> {
    let mut runs = MOST_RUNS;
    let mut plan = plan.clone();
    let mut state = walked.clone();
    let mut found: Vec<PlanRemedy> = Vec::new();
    while found.len() < MOST_CHANGES && state.outcome() == Outcome::OverLimit {
        let Some((after, changed, remedy)) = best(&plan, &state, scope, &mut runs) else { break };
        found.push(remedy);
        plan = changed;
        state = after;
    }
    collapsed(found)
}

/// How far over its limits a plan is: the checks that are over.
fn over(walked: &Walked) -> Vec<(Text, Option<usize>)> {
    walked.over().map(|placed| (placed.check.check.clone(), placed.step)).collect()
}

/// The change that mends the most checks and worsens none; of several the one that is the smallest.
fn best(plan: &Plan, state: &Walked, scope: &Scope, runs: &mut u32) -> Option<(Walked, Plan, PlanRemedy)> {
    let before = over(state);
    let mut best: Option<(usize, f64, Walked, Plan, PlanRemedy)> = None;
    for (id, step) in &before {
        for change in changes(plan, id, *step) {
            let Some((after, changed, size, remedy)) = tried(plan, &change, id, scope, runs) else {
                continue;
            };
            let left = over(&after);
            // A change that brings another check over its limit is none.
            if left.len() >= before.len() || left.iter().any(|one| !before.iter().any(|(id, _)| *id == one.0))
            {
                continue;
            }
            let mended = before.len() - left.len();
            let better = best
                .as_ref()
                .is_none_or(|(most, smallest, ..)| mended > *most || mended == *most && size < *smallest);
            if better {
                let mends = before
                    .iter()
                    .filter(|(id, _)| left.iter().all(|(other, _)| other != id))
                    .map(|(id, _)| id.clone())
                    .collect();
                let also = match &change {
                    Change::Wait { .. } => flames_out(&remedy, &changed),
                    _ => Vec::new(),
                };
                best = Some((mended, size, after, changed, PlanRemedy { remedy, also, mends }));
            }
        }
        if best.is_some() {
            break;
        }
    }
    best.map(|(_, _, after, changed, remedy)| (after, changed, remedy))
}

/// What a wait before a refill needs beside: every flame proved out.
fn flames_out(remedy: &Remedy, changed: &Plan) -> Vec<AlsoChanged> {
    let place = remedy.field.split('/').nth(2).and_then(|number| number.parse::<usize>().ok());
    let next = place.map(|place| place + 1);
    next.filter(|next| changed.steps.get(*next).is_some_and(|step| step.doing == Doing::Refill))
        .map(|next| AlsoChanged { field: format!("/steps/{next}/all_flames_out"), to: "true".to_owned() })
        .into_iter()
        .collect()
}

/// Changes of one figure that follow each other are one change.
fn collapsed(found: Vec<PlanRemedy>) -> Vec<PlanRemedy> {
    let mut all: Vec<PlanRemedy> = Vec::new();
    for one in found {
        let moves = matches!(one.remedy.change.as_ref(), "order" | "insert" | "remove");
        let known = all.iter_mut().find(|known| !moves && known.remedy.field == one.remedy.field);
        match known {
            Some(known) => {
                let mut mends = std::mem::take(&mut known.mends);
                mends.extend(one.mends.iter().filter(|id| !mends.contains(id)).cloned().collect::<Vec<_>>());
                *known = PlanRemedy { mends, ..one };
            }
            None => all.push(one),
        }
    }
    all
}

fn run(plan: &Plan, scope: &Scope, runs: &mut u32) -> Option<Walked> {
    *runs = runs.checked_sub(1)?;
    let walked = walk::walk(plan, scope, false);
    walked.faults.is_empty().then_some(walked)
}

/// Whether a check is not over its limit any more.
fn mends(walked: &Walked, id: &Text) -> bool {
    walked.over().all(|placed| placed.check.check != *id)
}

type Tried = (Walked, Plan, f64, Remedy);

fn tried(plan: &Plan, change: &Change, id: &Text, scope: &Scope, runs: &mut u32) -> Option<Tried> {
    let said = |word: &'static str, field: String, to: String, text: String, after: &Walked| Remedy {
        change: Text::Borrowed(word),
        field: Text::Owned(field),
        to,
        text,
        outcome_after: after.outcome(),
    };
    match change {
        Change::Figure { what, from, furthest } => figure(plan, *what, (*from, *furthest), id, scope, runs),
        Change::Vessel { step, vessel, text } => {
            let mut changed = plan.clone();
            let old = changed.steps.get(*step)?.vessel.clone();
            for one in changed.steps.iter_mut().filter(|one| one.vessel == old) {
                one.vessel = Some(vessel.clone());
            }
            let after = run(&changed, scope, runs)?;
            mends(&after, id).then(|| {
                let to = vessel.value().to_string();
                let remedy = said("vessel", format!("/steps/{}/vessel", step), to, text.clone(), &after);
                (after, changed, 0.5, remedy)
            })
        }
        Change::Order { step, before } => {
            let mut changed = plan.clone();
            if *step >= changed.steps.len() || *before >= *step {
                return None;
            }
            let moved = changed.steps.remove(*step);
            changed.steps.insert(*before, moved);
            let after = run(&changed, scope, runs)?;
            mends(&after, id).then(|| {
                let text =
                    format!("Do step {} before step {}: liquid first, flame last.", step + 1, before + 1);
                let remedy = said(
                    "order",
                    format!("/steps/{}", step),
                    format!("before /steps/{}", before),
                    text,
                    &after,
                );
                (after, changed, 0.1, remedy)
            })
        }
        Change::Light { step } => {
            let mut changed = plan.clone();
            changed.steps.get_mut(*step)?.darkened = false;
            let after = run(&changed, scope, runs)?;
            mends(&after, id).then(|| {
                let text = format!("Keep the light on at step {}; darken the room afterwards.", step + 1);
                let remedy =
                    said("order", format!("/steps/{}/darkened", step), "false".to_owned(), text, &after);
                (after, changed, 0.1, remedy)
            })
        }
        Change::FlamesOut { step } => {
            let mut changed = plan.clone();
            changed.steps.get_mut(*step)?.flames_out = true;
            let after = run(&changed, scope, runs)?;
            let text = format!("Prove every flame within 5 m out and cover it before step {}.", step + 1);
            let remedy =
                said("order", format!("/steps/{}/all_flames_out", step), "true".to_owned(), text, &after);
            mends(&after, id).then_some((after, changed, 0.1, remedy))
        }
        Change::Wait { step, minutes } => {
            let mut changed = plan.clone();
            let previous = step.checked_sub(1).and_then(|before| changed.steps.get(before));
            let waits = previous.is_some_and(|before| before.doing == Doing::Wait);
            let place = if waits { step - 1 } else { *step };
            let from = previous.filter(|_| waits).and_then(|before| before.duration).unwrap_or(0.0);
            if from >= *minutes {
                return None;
            }
            if waits {
                changed.steps.get_mut(place)?.duration = Some(*minutes);
            } else {
                changed.steps.insert(place, super::plan::Step::wait(*minutes, place));
            }
            let next = changed.steps.get_mut(place + 1)?;
            if next.doing == Doing::Refill {
                next.flames_out = true;
            }
            let after = run(&changed, scope, runs)?;
            mends(&after, id).then(|| {
                let text = format!(
                    "Wait {minutes} min before step {}, with every flame proved out and covered.",
                    step + 1
                );
                let remedy = if waits {
                    said(
                        "waiting",
                        format!("/steps/{place}/duration"),
                        format!("{minutes} min"),
                        text,
                        &after,
                    )
                } else {
                    let to = format!("{{\"do\":\"wait\",\"duration\":\"{minutes} min\"}}");
                    said("insert", format!("/steps/{place}"), to, text, &after)
                };
                (after, changed, (minutes / from.max(1.0)).max(1.0), remedy)
            })
        }
        Change::Away { beside } => {
            let mut changed = plan.clone();
            if *beside >= changed.beside.len() {
                return None;
            }
            let gone = changed.beside.remove(*beside);
            let after = run(&changed, scope, runs)?;
            let what = gone.as_str().map_or_else(|| "what stands there".to_owned(), str::to_owned);
            mends(&after, id).then(|| {
                let text = format!("Take {what} away.");
                let remedy = said("remove", format!("/beside/{beside}"), "away".to_owned(), text, &after);
                (after, changed, 0.1, remedy)
            })
        }
        Change::Close { stock } => {
            let mut changed = plan.clone();
            changed.stock.get_mut(*stock)?.open = false;
            let after = run(&changed, scope, runs)?;
            mends(&after, id).then(|| {
                let text = "Close the stock bottle before anything is lit.".to_owned();
                let remedy = said("order", format!("/stock/{stock}/open"), "false".to_owned(), text, &after);
                (after, changed, 0.1, remedy)
            })
        }
    }
}

/// The figure of two digits nearest to the present one that mends a check.
fn figure(
    plan: &Plan,
    what: Figure,
    (from, furthest): (f64, f64),
    id: &Text,
    scope: &Scope,
    runs: &mut u32,
) -> Option<Tried> {
    let rises = furthest > from;
    let mut near = place_of(from);
    if !rises && of_place(near) >= from {
        near -= 1;
    }
    let mut far = place_of(furthest);
    if rises {
        near += i32::from(of_place(near) <= from);
    } else if of_place(far) < furthest {
        far += 1;
    }
    if rises && far < near || !rises && far > near {
        return None;
    }
    let whole = matches!(what, Figure::Vessels(_));
    let number = |place: i32| if whole { of_place(place).floor().max(1.0) } else { of_place(place) };
    let at = |place: i32| {
        let mut changed = plan.clone();
        what.set(&mut changed, number(place));
        changed
    };
    let last = at(far);
    let after = run(&last, scope, runs)?;
    if !mends(&after, id) {
        return None;
    }
    let mut found = (far, after, last);
    let first = at(near);
    let after = run(&first, scope, runs)?;
    if mends(&after, id) {
        found = (near, after, first);
    } else {
        while (found.0 - near).abs() > 1 {
            let middle = i32::midpoint(found.0, near);
            let changed = at(middle);
            let Some(after) = run(&changed, scope, runs) else { break };
            if mends(&after, id) { found = (middle, after, changed) } else { near = middle }
        }
    }
    let (place, after, changed) = found;
    let to = number(place);
    let shown = format!("{to}{}", what.unit());
    let size = if from > 0.0 {
        crate::physics::maths::ln(to / from).abs()
    } else {
        crate::physics::maths::ln(1.0 + to)
    };
    let remedy = Remedy {
        change: Text::Borrowed(what.word()),
        field: Text::Owned(what.pointer()),
        text: what.text(plan, &shown),
        to: shown,
        outcome_after: after.outcome(),
    };
    Some((after, changed, size, remedy))
}

/// The step that pours what a step uses.
fn pours(plan: &Plan, step: usize) -> Option<usize> {
    plan.steps.iter().take(step + 1).rposition(|one| one.amount.is_some() && one.doing != Doing::Draw)
}

/// The changes that can bear on a check.
fn changes(plan: &Plan, id: &str, step: Option<usize>) -> Vec<Change> {
    let mut all = Vec::new();
    let step_number = step.unwrap_or(0);
    let poured: Vec<usize> = match step {
        Some(step) => pours(plan, step).into_iter().collect(),
        None => (0..plan.steps.len())
            .filter(|number| {
                plan.steps.get(*number).is_some_and(|one| one.amount.is_some() && one.doing != Doing::Draw)
            })
            .collect(),
    };
    let mut down = |what: fn(usize) -> Figure, number: usize, from: Option<f64>| {
        if let Some(from) = from {
            all.push(Change::Figure { what: what(number), from, furthest: from / 1000.0 });
        }
    };
    let amounts = matches!(
        id,
        "room_share"
            | "room_share_of_all"
            | "floor_layer"
            | "floor_layer_of_all"
            | "near_field"
            | "exposure"
            | "exposure_of_all"
            | "spill"
            | "practice"
            | "practice_of_all"
            | "carbon_dioxide_of_all"
            | "vessel"
            | "alight_at_once"
            | "carbon_dioxide"
            | "burning_spill"
    );
    if amounts {
        for number in &poured {
            down(Figure::Amount, *number, plan.steps.get(*number).and_then(|step| step.amount));
        }
    }
    if matches!(id, "lighting_delay" | "near_field" | "exposure") {
        // What stands between pouring and lighting.
        for (number, one) in plan.steps.iter().enumerate() {
            if one.doing == Doing::Wait
                && poured.first().is_some_and(|first| number > *first)
                && number < step_number
            {
                down(Figure::Duration, number, one.duration);
            }
        }
    }
    let mut up = |what: Figure, from: f64, furthest: f64| all.push(Change::Figure { what, from, furthest });
    if matches!(
        id,
        "radiant_heat"
            | "burning_spill"
            | "lighting_delay"
            | "people_distance"
            | "exposure"
            | "exposure_of_all"
            | "practice"
    ) {
        up(Figure::Nearest, plan.nearest, plan.longest);
    }
    if matches!(id, "exposure" | "exposure_of_all") {
        up(Figure::AirChanges, plan.air_changes, 100.0);
    }
    if matches!(id, "stock_distance" | "spill_reach" | "practice" | "spill" | "near_field") {
        for (number, stock) in plan.stock.iter().enumerate() {
            up(Figure::StockDistance(number), stock.distance, plan.longest);
        }
    }
    if matches!(id, "near_field" | "spill" | "spill_reach" | "poured_beside_flame" | "halogenated_vapour") {
        for (number, source) in plan.ignition.iter().flatten().enumerate() {
            up(Figure::IgnitionDistance(number), source.distance, plan.longest);
        }
    }
    if matches!(id, "hot_surface" | "near_field" | "exposure") {
        for (number, one) in plan.steps.iter().enumerate().take(step_number + 1) {
            if let Some(heated) = one.heated_to {
                all.push(Change::Figure { what: Figure::HeatedTo(number), from: heated, furthest: 21.0 });
            }
        }
    }
    let mut up = |what: Figure, from: f64, furthest: f64| all.push(Change::Figure { what, from, furthest });
    if let Some(clear) = plan.clear
        && matches!(id, "flame_clearance" | "flame")
    {
        up(Figure::Clear, clear, 10.0);
    }
    if matches!(
        id,
        "radiant_heat"
            | "burning_spill"
            | "alight_at_once"
            | "carbon_dioxide"
            | "practice"
            | "lighting_delay"
    ) {
        for number in &poured {
            if let Some(count) =
                plan.steps.get(*number).and_then(|step| step.vessels).filter(|count| *count > 1)
            {
                all.push(Change::Figure {
                    what: Figure::Vessels(*number),
                    from: f64::from(count),
                    furthest: 1.0,
                });
            }
        }
    }
    if id == "stock_distance" {
        all.extend(
            (0..plan.stock.len())
                .filter(|number| plan.stock.get(*number).is_some_and(|stock| stock.open))
                .map(|stock| Change::Close { stock }),
        );
    }
    if id == "keep_apart" {
        all.extend((0..plan.beside.len()).map(|beside| Change::Away { beside }));
    }
    if id == "darkened_while_poured" {
        all.push(Change::Light { step: step_number });
    }
    if id == "liquid_after_flame" {
        all.push(Change::FlamesOut { step: step_number });
    }
    if id == "liquid_after_flame"
        && let Some(before) = plan.steps.iter().position(|one| one.doing == Doing::Burn)
    {
        all.push(Change::Order { step: step_number, before });
    }
    if matches!(id, "refill_wait" | "cleared_hot" | "thermal_shock") {
        let hot =
            plan.steps.get(step_number).is_some_and(|one| matches!(one.doing, Doing::Refill | Doing::Clear));
        if hot {
            all.push(Change::FlamesOut { step: step_number });
            for minutes in [15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 90.0, 120.0] {
                all.push(Change::Wait { step: step_number, minutes });
            }
        }
    }
    if matches!(id, "thermal_shock" | "burnable_vessel" | "lighting_delay" | "flame") {
        let vessel = plan
            .steps
            .iter()
            .take(step_number + 1)
            .enumerate()
            .rev()
            .find_map(|(number, one)| one.vessel.clone().map(|vessel| (number, vessel)));
        if let Some((number, vessel)) = vessel {
            if id == "thermal_shock" {
                let other = Vessel { material: Some("borosilicate glass".to_owned()), ..vessel };
                let text = "Use vessels of borosilicate glass.".to_owned();
                all.push(Change::Vessel { step: number, vessel: other, text });
            } else {
                // As high as wide, and no larger than it was.
                let area = std::f64::consts::FRAC_PI_4 * vessel.mouth * vessel.mouth;
                let low = significant((area * vessel.mouth * 0.95).min(vessel.capacity), 2);
                let wide = significant(libm::cbrt(vessel.capacity / std::f64::consts::FRAC_PI_4) * 1.1, 2);
                let beaker = Vessel { mouth: wide, ..vessel.clone() };
                all.push(Change::Vessel {
                    step: number,
                    vessel: beaker,
                    text: format!("Use vessels {wide} cm wide: no higher than wide."),
                });
                let dish = Vessel { capacity: low, ..vessel };
                all.push(Change::Vessel {
                    step: number,
                    vessel: dish,
                    text: format!("Use vessels of {low} mL: no higher than wide."),
                });
            }
        }
    }
    all
}
