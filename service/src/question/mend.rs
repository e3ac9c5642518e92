//! The changes that bring a plan within its limits: of each check the smallest one, and of the plan the smallest set that was found,
//! verified by running the changed plan.
//!
//! The set is found by taking, again and again, the change that mends the most checks; then whatever is not needed is left out again
//! and each figure goes back as far as the others allow.

use super::Scope;
use super::ladder::Ladder;
use super::plan::{Doing, Plan, Poured, Step, Vessel};
use super::walk::{self, Memo, Placed, Walked, Wanted};
use crate::catalogue::Substance;
use crate::catalogue::flame_elements::Salt;
use crate::physics::maths::ln;
use crate::quantity::round::{cautious_down, significant};
use brimline_openapi::{AlsoChanged, Outcome, PlanRemedy, Remedy, Text};
use std::cell::Cell;

/// Most changes of a plan.
const MOST_CHANGES: usize = 14;
/// Most times that a plan is run again while its changes are looked for.
const MOST_RUNS: u32 = 1500;
/// Least temperature of a heated liquid that is proposed, Cel.
const COLDEST_CEL: f64 = 21.0;
/// Longest wait that is proposed, min.
const LONGEST_WAIT: f64 = 240.0;
/// Capacity of a vessel that is proposed against what is poured into it.
const FULLEST: [f64; 3] = [5.0, 2.5, 1.5];
/// Shortest wait that is proposed, min.
const SHORTEST_WAIT: f64 = 1.0;
/// How much a change weighs that is no other figure, and what is added where it brings another check nearer to its limit.
const ORDER: f64 = 0.1;
const VESSEL: f64 = 0.5;
const LIQUID: f64 = 10.0;
const WORSENS: f64 = 2.0;

/// An input of a plan that may be changed.
#[derive(Debug, Clone, PartialEq)]
enum Change {
    /// Another figure, up or down to a bound.
    Figure(Figure),
    /// A wait before a step.
    Wait { step: usize },
    /// Another vessel at a step.
    Vessel { step: usize, vessel: Vessel, text: String },
    /// A step before another.
    Order { step: usize, before: usize },
    /// The room is lit at a step.
    Light { step: usize },
    /// Every flame is proved out before a step.
    FlamesOut { step: usize },
    /// Every stock bottle is closed.
    Close,
    /// Every stock bottle is carried out of the room before anything is lit.
    Carry,
    /// What is lit from the beginning is put out.
    PutOut { source: usize },
    /// Of ignition sources, of which nothing is said, none is in the room.
    NoneInRoom,
    /// A liquid is cleared away before a step.
    ClearAway { step: usize, of: usize },
    /// What stands beside is taken away.
    Away { beside: usize },
    /// The salts that are never brought there are left out.
    NoSalts { those: Salts },
    /// A water bath heats what a step heats.
    Bath { step: usize },
    /// As much is drawn as is poured.
    Draw { step: usize, to: f64 },
    /// A step is left out.
    LeaveOut { step: usize, why: &'static str },
    /// Another liquid.
    Liquid { name: String, substance: &'static Substance },
}

/// Salts that a check holds against a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Salts {
    Oxidisers,
    Toxic,
    NotSprayed,
}

impl Salts {
    fn of(self, salt: &Salt) -> bool {
        match self {
            Self::Oxidisers => salt.oxidises(),
            Self::Toxic => salt.is_toxic(),
            Self::NotSprayed => salt.not_sprayed.is_some(),
        }
    }

    /// Places of those in a plan, the last first: what is taken out moves what stands behind it.
    fn places(self, plan: &Plan) -> impl Iterator<Item = (usize, &'static Salt)> {
        let all = plan.salts.iter().enumerate().rev();
        all.filter(move |(_, (_, salt))| self.of(salt)).map(|(place, (_, salt))| (place, *salt))
    }
}

/// A change with its figure, where it has one.
#[derive(Debug, Clone)]
struct Made {
    change: Change,
    to: f64,
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
    EveryStock,
    Capacity(usize),
    Container(usize),
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
            Self::EveryStock => "/stock/0/distance".to_owned(),
            Self::Capacity(step) => format!("/steps/{step}/vessel/capacity"),
            Self::Container(stock) => format!("/stock/{stock}/container"),
            Self::IgnitionDistance(source) => format!("/ignition/{source}/distance"),
            Self::Clear => "/clear_height".to_owned(),
        }
    }

    const fn unit(self) -> &'static str {
        match self {
            Self::Amount(_) | Self::Container(_) | Self::Capacity(_) => " mL",
            Self::Vessels(_) => "",
            Self::Duration(_) => " min",
            Self::HeatedTo(_) => " Cel",
            Self::AirChanges => " /h",
            _ => " m",
        }
    }

    const fn word(self) -> &'static str {
        match self {
            Self::Amount(_) | Self::Container(_) => "amount",
            Self::Vessels(_) => "number",
            Self::Duration(_) => "waiting",
            Self::Capacity(_) => "vessel",
            Self::HeatedTo(_) => "heating",
            Self::AirChanges => "air_changes",
            _ => "distance",
        }
    }

    fn text(self, plan: &Plan, to: &str) -> String {
        match self {
            Self::Amount(step) => format!("Use at most {to} at step {}.", step + 1),
            Self::Vessels(step) if to == "1" => format!("Use one vessel at step {}.", step + 1),
            Self::Vessels(step) => format!("Use at most {to} vessels at step {}.", step + 1),
            Self::Duration(step) => format!("Let step {} take {to}.", step + 1),
            Self::HeatedTo(step) => format!("Heat to at most {to} at step {}.", step + 1),
            Self::Nearest => format!("Keep everybody at least {to} away."),
            Self::AirChanges => format!("Bring the air changes to at least {to}."),
            Self::StockDistance(stock) => format!(
                "Put the stock of {} at least {to} away.",
                plan.stock.get(stock).map_or("the liquid", |stock| stock.liquid.liquid.name.as_str())
            ),
            Self::EveryStock => format!("Put every stock bottle at least {to} away."),
            Self::Capacity(step) => format!("Use vessels of at most {to} at step {}.", step + 1),
            Self::Container(stock) => format!(
                "Bring the stock of {} in a bottle of at most {to}.",
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
            Self::EveryStock => {
                for stock in &mut plan.stock {
                    stock.distance = stock.distance.max(to);
                }
            }
            Self::Capacity(step) => {
                let old = plan.steps.get(step).and_then(|step| step.vessel.clone());
                for vessel in plan.steps.iter_mut().filter_map(|step| step.vessel.as_mut()) {
                    if old.as_ref() == Some(vessel) {
                        vessel.capacity = to;
                    }
                }
            }
            Self::Container(stock) => {
                if let Some(stock) = plan.stock.get_mut(stock) {
                    stock.holds = to;
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

    /// What it is, and how far it may be changed.
    fn bounds(self, plan: &Plan) -> Option<(f64, f64)> {
        let step = |number: usize| plan.steps.get(number);
        let less = |from: f64| (from, from / 1000.0);
        Some(match self {
            Self::Amount(number) => less(step(number)?.amount?),
            Self::Vessels(number) => (f64::from(step(number)?.vessels?), 1.0),
            Self::Duration(number) => {
                // Nobody keeps to seconds.
                let from = step(number)?.duration?;
                if from > SHORTEST_WAIT { (from, SHORTEST_WAIT) } else { less(from) }
            }
            Self::HeatedTo(number) => (step(number)?.heated_to?, COLDEST_CEL),
            Self::Nearest => (plan.nearest, plan.longest),
            Self::AirChanges => (plan.air_changes, 100.0),
            Self::StockDistance(number) => (plan.stock.get(number)?.distance, plan.longest),
            Self::EveryStock => {
                let nearest = plan.stock.iter().map(|stock| stock.distance).reduce(f64::min)?;
                (nearest, plan.longest)
            }
            Self::Capacity(number) => {
                let step = step(number)?;
                let capacity = step.vessel.as_ref()?.capacity;
                // Not so small that it is hard to fill or that no wall of it is known.
                let amount = step.amount.unwrap_or(capacity / 10.0);
                (capacity, FULLEST.into_iter().map(|times| times * amount).find(|to| *to < capacity)?)
            }
            Self::Container(number) => {
                // It holds at least what is drawn from it.
                let stock = plan.stock.get(number)?;
                let drawn = plan.drawn().into_iter().find(|(name, _)| *name == stock.liquid.liquid.name);
                (stock.holds, drawn.map_or(stock.holds / 1000.0, |(_, drawn)| drawn))
            }
            Self::IgnitionDistance(number) => (plan.ignition.as_ref()?.get(number)?.distance, plan.longest),
            Self::Clear => (plan.clear?, 10.0),
        })
    }
}

impl Change {
    /// The figure that it changes and how far, where it is one.
    fn bounds(&self, plan: &Plan) -> Option<(f64, f64)> {
        match self {
            Self::Figure(figure) => figure.bounds(plan),
            Self::Wait { step } => {
                Some((waits_before(plan, *step).map_or(SHORTEST_WAIT, |(_, minutes)| minutes), LONGEST_WAIT))
            }
            _ => None,
        }
    }

    const fn whole(&self) -> bool {
        matches!(self, Self::Figure(Figure::Vessels(_)))
    }

    /// Whether steps or neighbours after it have other places.
    fn moves(&self, plan: &Plan) -> bool {
        match self {
            Self::Order { .. } | Self::Away { .. } | Self::ClearAway { .. } | Self::LeaveOut { .. } => true,
            Self::Wait { step } => waits_before(plan, *step).is_none(),
            _ => false,
        }
    }

    /// How large it is: a figure by the factor by which it changes.
    fn size(&self, plan: &Plan, to: f64) -> f64 {
        match (self, self.bounds(plan)) {
            (Self::Wait { .. }, Some((from, _))) => ORDER + ln(to / from.max(SHORTEST_WAIT)).abs(),
            (_, Some((from, _))) if from > 0.0 => ln(to / from).abs(),
            (_, Some(_)) => ln(1.0 + to),
            (Self::Vessel { .. }, _) => VESSEL,
            (Self::Liquid { .. }, _) => LIQUID,
            _ => ORDER,
        }
    }

    /// The changed plan; `None` where there is nothing to change.
    fn made(&self, plan: &Plan, to: f64) -> Option<Plan> {
        let mut changed = plan.clone();
        match self {
            Self::Figure(figure) => {
                figure.set(&mut changed, to);
                changed.follow(plan);
            }
            Self::Draw { step, to } => changed.steps.get_mut(*step)?.amount = Some(*to),
            Self::LeaveOut { step, .. } => {
                if *step >= changed.steps.len() {
                    return None;
                }
                changed.steps.remove(*step);
            }
            Self::Wait { step } => {
                let place = match waits_before(plan, *step) {
                    Some((place, _)) => {
                        changed.steps.get_mut(place)?.duration = Some(to);
                        place
                    }
                    None => {
                        changed.steps.insert(*step, Step::wait(to, *step));
                        *step
                    }
                };
                changed.steps.get_mut(place + 1)?.flames_out = true;
            }
            Self::Vessel { step, vessel, .. } => {
                let old = plan.steps.get(*step)?.vessel.clone();
                for one in changed.steps.iter_mut().filter(|one| one.vessel == old) {
                    one.vessel = Some(vessel.clone());
                }
            }
            Self::Order { step, before } => {
                if *step >= changed.steps.len() || before >= step {
                    return None;
                }
                let moved = changed.steps.remove(*step);
                changed.steps.insert(*before, moved);
            }
            Self::Light { step } => changed.steps.get_mut(*step)?.darkened = false,
            Self::FlamesOut { step } => changed.steps.get_mut(*step)?.flames_out = true,
            Self::Close => changed.stock.iter_mut().for_each(|stock| stock.open = false),
            Self::Carry => {
                for stock in &mut changed.stock {
                    stock.returned = true;
                    stock.open = false;
                }
            }
            Self::PutOut { source } => changed.ignition.as_mut()?.get_mut(*source)?.lit = Some(false),
            Self::NoneInRoom => changed.ignition = Some(Vec::new()),
            Self::ClearAway { step, of } => {
                let (liquid, vessel) = poured_at(plan, *of)?;
                let clear = Step { doing: Doing::Clear, duration: None, ..Step::wait(0.0, *step) };
                let clear = Step { liquid: Some(liquid), vessel: Some(vessel), ..clear };
                changed.steps.insert(*step, clear);
            }
            Self::Away { beside } => {
                if *beside >= changed.beside.len() {
                    return None;
                }
                changed.beside.remove(*beside);
            }
            Self::NoSalts { those } => changed.salts.retain(|(_, salt)| !those.of(salt)),
            Self::Bath { step } => {
                let heats = |step: &&mut Step| step.doing == Doing::Heat || step.is_heated();
                let step = changed.steps.get_mut(*step).filter(heats)?;
                step.heated_by = Some("water_bath");
            }
            Self::Liquid { name, substance } => changed = plan.with_liquid(name, substance),
        }
        Some(changed)
    }

    /// As it is told; `outcome` that of the plan after it.
    fn told(&self, plan: &Plan, to: f64, outcome: Outcome) -> (Remedy, Vec<AlsoChanged>) {
        let said = |word: &'static str, field: String, to: &str, text: String| Remedy {
            change: Text::Borrowed(word),
            field: Text::Owned(field),
            to: to.to_owned(),
            text,
            outcome_after: outcome,
        };
        let mut also = Vec::new();
        let remedy = match self {
            Self::Figure(figure) => {
                let shown = format!("{to}{}", figure.unit());
                let mut field = figure.pointer();
                if let Figure::EveryStock = figure {
                    let nearer = plan.stock.iter().enumerate().filter(|(_, stock)| stock.distance < to);
                    let mut fields = nearer.map(|(place, _)| format!("/stock/{place}/distance"));
                    field = fields.next().unwrap_or(field);
                    also.extend(fields.map(|field| AlsoChanged { field, to: shown.clone() }));
                }
                if let Figure::Capacity(place) = figure {
                    also.extend(same_vessel(plan, *place).map(|other| AlsoChanged {
                        field: format!("/steps/{other}/vessel/capacity"),
                        to: shown.clone(),
                    }));
                }
                also.extend(
                    self.made(plan, to).into_iter().flat_map(|changed| followed(plan, &changed, &field)),
                );
                let text = format!("{}{}", figure.text(plan, &shown), with_it(plan, &also));
                said(figure.word(), field, &shown, text)
            }
            Self::Draw { step, to } => said(
                "amount",
                format!("/steps/{step}/amount"),
                &format!("{to} mL"),
                format!("Draw at most {to} mL at step {}: no more than is poured.", step + 1),
            ),
            Self::LeaveOut { step, why } => said(
                "remove",
                format!("/steps/{step}"),
                "away",
                format!("Leave out step {}: {why}.", step + 1),
            ),
            Self::Wait { step } => {
                let text = format!(
                    "Wait {to} min before step {}, with every flame proved out and covered.",
                    step + 1
                );
                let waits = waits_before(plan, *step);
                let next = waits.map_or(step + 1, |_| *step);
                if plan.steps.get(*step).is_some_and(|next| !next.flames_out) {
                    let field = format!("/steps/{next}/all_flames_out");
                    also.push(AlsoChanged { field, to: "true".to_owned() });
                }
                match waits {
                    Some((place, _)) => {
                        said("waiting", format!("/steps/{place}/duration"), &format!("{to} min"), text)
                    }
                    None => {
                        let step_as_json = format!("{{\"do\":\"wait\",\"duration\":\"{to} min\"}}");
                        said("insert", format!("/steps/{step}"), &step_as_json, text)
                    }
                }
            }
            Self::Vessel { step, vessel, text } => {
                let to = vessel.value().to_string();
                let others = same_vessel(plan, *step).map(|other| format!("/steps/{other}/vessel"));
                also.extend(others.map(|field| AlsoChanged { field, to: to.clone() }));
                said("vessel", format!("/steps/{step}/vessel"), &to, text.clone())
            }
            Self::Order { step, before } => said(
                "order",
                format!("/steps/{step}"),
                &format!("before /steps/{before}"),
                format!("Do step {} before step {}: liquid first, flame last.", step + 1, before + 1),
            ),
            Self::Light { step } => said(
                "order",
                format!("/steps/{step}/darkened"),
                "false",
                format!("Keep the light on at step {}; darken the room afterwards.", step + 1),
            ),
            Self::FlamesOut { step } => said(
                "order",
                format!("/steps/{step}/all_flames_out"),
                "true",
                format!("Prove every flame within 5 m out and cover it before step {}.", step + 1),
            ),
            Self::Close | Self::Carry => {
                let (name, to, text) = if matches!(self, Self::Close) {
                    ("open", "false", "Close the stock before anything is lit.")
                } else {
                    ("returned", "true", "Carry the stock out of the room, closed, before anything is lit.")
                };
                let stocks = plan.stock.iter().enumerate();
                let changed =
                    stocks.filter(|(_, stock)| if name == "open" { stock.open } else { !stock.returned });
                let mut fields = changed.map(|(place, _)| format!("/stock/{place}/{name}"));
                let first = fields.next().unwrap_or_default();
                also.extend(fields.map(|field| AlsoChanged { field, to: to.to_owned() }));
                if let Self::Carry = self {
                    let opened = plan.stock.iter().enumerate().filter(|(_, stock)| stock.open);
                    let fields = opened.map(|(place, _)| format!("/stock/{place}/open"));
                    also.extend(fields.map(|field| AlsoChanged { field, to: "false".to_owned() }));
                }
                said("order", first, to, text.to_owned())
            }
            Self::PutOut { source } => {
                let kind =
                    plan.ignition.iter().flatten().nth(*source).map_or("flame", |one| one.kind.as_str());
                let text = format!(
                    "Leave the {kind} out until everything is used, covered and cleared away, the stock too."
                );
                said("order", format!("/ignition/{source}/lit"), "false", text)
            }
            Self::NoneInRoom => {
                let text = "Say where the ignition sources are; only if none is in the room: `ignition` [].";
                said("state", "/ignition".to_owned(), "[]", text.to_owned())
            }
            Self::ClearAway { step, of } => {
                let (liquid, vessel) = poured_at(plan, *of).unzip();
                let name = liquid.as_ref().map_or("it", |poured| poured.liquid.name.as_str());
                let text = format!(
                    "Clear away the {name} of step {}, covered, before step {} lights.",
                    of + 1,
                    step + 1
                );
                let to = serde_json::json!({
                    "do": "clear",
                    "liquid": liquid.as_ref().map(|poured| poured.raw.clone()),
                    "vessel": vessel.map(|vessel| vessel.value()),
                });
                said("insert", format!("/steps/{step}"), &to.to_string(), text)
            }
            Self::Away { beside } => {
                let gone = plan.beside.get(*beside).and_then(serde_json::Value::as_str);
                let text = format!("Take {} away.", gone.unwrap_or("what stands there"));
                said("remove", format!("/beside/{beside}"), "away", text)
            }
            Self::NoSalts { those } => {
                let mut fields = those.places(plan).map(|(place, _)| format!("/salts/{place}"));
                let first = fields.next().unwrap_or_default();
                also.extend(fields.map(|field| AlsoChanged { field, to: "away".to_owned() }));
                let names: Vec<&str> = those.places(plan).map(|(_, salt)| salt.name.as_str()).collect();
                let text =
                    format!("Leave out {}, here; hold it on a wire at another time.", names.join(", "));
                said("remove", first, "away", text)
            }
            Self::Bath { step } => said(
                "heating",
                format!("/steps/{step}/heated_by"),
                "water_bath",
                format!(
                    "Heat on a water bath at step {}, itself heated before and away from flames.",
                    step + 1
                ),
            ),
            Self::Liquid { name, substance } => {
                let mut fields = plan.fields_of(name).into_iter();
                let first = fields.next().unwrap_or_default();
                also.extend(fields.map(|field| AlsoChanged { field, to: substance.id.to_owned() }));
                let text = format!("Use {} instead of {name}, if it serves the purpose.", substance.name());
                said("liquid", first, &substance.id, text)
            }
        };
        (remedy, also)
    }
}

/// The other steps that name the vessel of a step.
fn same_vessel(plan: &Plan, step: usize) -> impl Iterator<Item = usize> {
    let vessel = plan.steps.get(step).and_then(|step| step.vessel.as_ref());
    let all = plan.steps.iter().enumerate();
    let same = all
        .filter(move |(other, one)| *other != step && one.vessel.is_some() && one.vessel.as_ref() == vessel);
    same.map(|(other, _)| other)
}

/// Amounts of other steps that follow a change of a field.
fn followed(plan: &Plan, changed: &Plan, but: &str) -> Vec<AlsoChanged> {
    let mut all = Vec::new();
    for (place, (old, new)) in plan.steps.iter().zip(&changed.steps).enumerate() {
        if let (Some(_), Some(amount)) = (old.amount, new.amount.filter(|_| old.amount != new.amount)) {
            all.push(AlsoChanged { field: format!("/steps/{place}/amount"), to: format!("{amount} mL") });
        }
        if let (Some(_), Some(count)) = (old.vessels, new.vessels.filter(|_| old.vessels != new.vessels)) {
            all.push(AlsoChanged { field: format!("/steps/{place}/vessels"), to: count.to_string() });
        }
    }
    all.retain(|one| one.field != but);
    all
}

/// In words, what steps change with a change: whoever reads the text alone must not draw more than is poured.
fn with_it(plan: &Plan, also: &[AlsoChanged]) -> String {
    let said = also.iter().filter_map(|one| {
        let (place, name) = one.field.strip_prefix("/steps/")?.split_once('/')?;
        let place: usize = place.parse().ok()?;
        let draws = plan.steps.get(place)?.doing == Doing::Draw;
        let (verb, unit) = match name {
            "amount" if draws => ("draw", ""),
            "amount" => ("use", ""),
            "vessels" => ("use", " vessels"),
            _ => ("use vessels of", ""),
        };
        Some(format!("{verb} {}{unit} at step {}", one.to, place + 1))
    });
    let said: Vec<String> = said.collect();
    if said.is_empty() { String::new() } else { format!(" With it: {}.", said.join(", ")) }
}

/// The liquid that a step pours and the vessel into which it does.
fn poured_at(plan: &Plan, step: usize) -> Option<(Poured, Vessel)> {
    let liquid = plan.steps.iter().take(step + 1).rev().find_map(|one| one.liquid.clone())?;
    Some((liquid, vessel_of(plan, step)?.1))
}

/// The wait right before a step, and how long it is, min.
fn waits_before(plan: &Plan, step: usize) -> Option<(usize, f64)> {
    let place = step.checked_sub(1)?;
    let before = plan.steps.get(place).filter(|before| before.doing == Doing::Wait)?;
    Some((place, before.duration.unwrap_or(0.0)))
}

/// The checks over their limit, each with its step.
type Over = Vec<(Text, Option<usize>)>;

fn over(walked: &Walked) -> Over {
    walked.over().map(|placed| (placed.check.check.clone(), placed.step)).collect()
}

fn count(walked: &Walked, id: &str) -> usize {
    walked.over().filter(|placed| placed.check.check == id).count()
}

/// Whether a check holds vapour against ignition sources of the room.
fn by_ignition(id: &str) -> bool {
    matches!(id, "near_field" | "spill" | "spill_reach" | "poured_beside_flame" | "halogenated_vapour")
}

/// The worst status of each check that is not over its limit.
fn worst(walked: &Walked, id: &str) -> Option<Outcome> {
    walked.checks.iter().filter(|placed| placed.check.check == id).map(|placed| placed.check.status).max()
}

/// A change that was found, with what comes of it.
struct Found {
    made: Made,
    plan: Plan,
    walked: Walked,
    size: f64,
}

struct Search<'a> {
    scope: &'a Scope,
    memo: &'a Memo,
    runs: Cell<u32>,
}

/// The smallest change for each check that is over its limit, and the changes that bring the plan within its limits, in the order in
/// which they are made. Whether the search ended before all was tried.
pub fn mend(plan: &Plan, walked: &mut Walked, scope: &Scope, memo: &Memo) -> (Vec<PlanRemedy>, bool) {
    let search = Search { scope, memo, runs: Cell::new(MOST_RUNS) };
    let singles = search.singles(plan, walked);
    // A plan with very many checks over their limits may use up the runs for the change of each: its own changes have as many again.
    let mut ended = search.runs.replace(MOST_RUNS) == 0;
    for (placed, found) in walked.checks.iter_mut().zip(&singles) {
        placed.check.remedy = single(plan, found);
    }
    let mut known = Some(singles);
    let (mut now, mut state) = (plan.clone(), walked.clone());
    let mut made: Vec<Made> = Vec::new();
    // Where nothing is said of ignition sources, that is said first: whatever else is changed is looked for in the room that is meant.
    if plan.ignition.is_none()
        && walked.over().any(|placed| by_ignition(&placed.check.check))
        && let Some(said) = Change::NoneInRoom.made(plan, 0.0)
        && let Some(walked) = search.run(&said)
    {
        made.push(Made { change: Change::NoneInRoom, to: 0.0 });
        (now, state, known) = (said, walked, None);
    }
    while made.len() < MOST_CHANGES && state.outcome() == Outcome::OverLimit {
        if let Some(shared) = search.shared(&now, &state) {
            made.extend(shared.0);
            (now, state) = (shared.1, shared.2);
            known = None;
            continue;
        }
        let best = match known.take() {
            Some(singles) => {
                singles.into_iter().flatten().fold(None, |best, found| better(&state, best, found))
            }
            None => search.best(&now, &state),
        };
        let Some((first, found)) = best
            .map(|found| (None, found))
            .or_else(|| search.pair(&now, &state).map(|(first, found)| (Some(first), found)))
        else {
            break;
        };
        made.extend(first);
        made.push(found.made);
        (now, state) = (found.plan, found.walked);
    }
    let many = made.len() >= MOST_CHANGES;
    let made = search.tightened(plan, made, &state);
    ended |= (many || search.runs.get() == 0) && state.outcome() == Outcome::OverLimit;
    (search.told(plan, walked, &made), ended)
}

/// The smallest change of one input; another vessel or liquid is none.
fn single(plan: &Plan, found: &[Found]) -> Option<Remedy> {
    let one_input = found.iter().filter_map(|found| {
        let outcome = found.walked.outcome();
        let (remedy, also) = found.made.change.told(plan, found.made.to, outcome);
        let other = matches!(found.made.change, Change::Vessel { .. } | Change::Liquid { .. });
        // What is drawn follows what is poured.
        let follows = matches!(found.made.change, Change::Figure(Figure::Amount(_) | Figure::Vessels(_)));
        ((also.is_empty() || follows) && !other).then_some((found.size, remedy))
    });
    one_input.min_by(|(a, _), (b, _)| a.total_cmp(b)).map(|(_, remedy)| remedy)
}

/// Of two changes that mend a check that which mends more; of equals the smaller.
fn better(state: &Walked, best: Option<Found>, found: Found) -> Option<Found> {
    let left = |found: &Found| found.walked.over().count();
    if left(&found) >= state.over().count() {
        return best;
    }
    let Some(best) = best else { return Some(found) };
    let order = left(&found).cmp(&left(&best)).then(found.size.total_cmp(&best.size));
    Some(if order.is_lt() { found } else { best })
}

impl Search<'_> {
    fn run(&self, plan: &Plan) -> Option<Walked> {
        self.walk(plan, Wanted::Checks)
    }

    fn walk(&self, plan: &Plan, wanted: Wanted<'_>) -> Option<Walked> {
        self.runs.set(self.runs.get().checked_sub(1)?);
        let walked = walk::walk(plan, self.scope, wanted, self.memo);
        walked.faults.is_empty().then_some(walked)
    }

    /// For each check the changes that mend it; none for one that is not over its limit.
    fn singles(&self, plan: &Plan, state: &Walked) -> Vec<Vec<Found>> {
        let mends = |one: &Placed| {
            let all = changes(plan, one, self.scope).into_iter();
            all.filter_map(|change| self.mends(plan, state, one, change)).collect()
        };
        let one = |placed: &Placed| match placed.check.status {
            Outcome::OverLimit => mends(placed),
            _ => Vec::new(),
        };
        state.checks.iter().map(one).collect()
    }

    /// A change as far as it mends a check.
    fn mends(&self, plan: &Plan, state: &Walked, one: &Placed, change: Change) -> Option<Found> {
        let id = &one.check.check;
        let found = if change.moves(plan) {
            let before = count(state, id);
            self.least(plan, change, None, |after| count(after, id) < before)?
        } else {
            self.least(plan, change, Some(one), |after| !after.over().any(|other| other.is(one)))?
        };
        // A change that brings another check over its limit is none.
        let known = over(state);
        if over(&found.walked).iter().any(|(id, _)| known.iter().all(|(known, _)| known != id)) {
            return None;
        }
        let worsens = found
            .walked
            .checks
            .iter()
            .any(|placed| worst(state, &placed.check.check).is_some_and(|was| placed.check.status > was));
        Some(Found { size: found.size + if worsens { WORSENS } else { 0.0 }, ..found })
    }

    /// The change that mends the most checks; of several the smallest. Those that can bear on the most are tried first, and no more
    /// once the others bear on fewer than are mended.
    fn best(&self, plan: &Plan, state: &Walked) -> Option<Found> {
        let all: Vec<(&Placed, Vec<Change>)> =
            state.over().map(|placed| (placed, changes(plan, placed, self.scope))).collect();
        let bears_on = |change: &Change| all.iter().filter(|(_, changes)| changes.contains(change)).count();
        let mut tried: Vec<(usize, &Placed, &Change)> = all
            .iter()
            .flat_map(|(placed, changes)| changes.iter().map(|change| (bears_on(change), *placed, change)))
            .collect();
        tried.sort_by_key(|(bears_on, ..)| std::cmp::Reverse(*bears_on));
        let mut best: Option<Found> = None;
        for (bears_on, placed, change) in tried {
            let mended = best.as_ref().map_or(0, |best| all.len() - best.walked.over().count());
            if bears_on < mended {
                break;
            }
            if let Some(found) = self.mends(plan, state, placed, change.clone()) {
                best = better(state, best, found);
            }
        }
        best
    }

    /// The same share of every amount, where all of them together are over a limit: no liquid pays for the others.
    fn shared(&self, plan: &Plan, state: &Walked) -> Option<(Vec<Made>, Plan, Walked)> {
        let of_all = |placed: &walk::Placed| placed.check.check.ends_with("_of_all");
        if !state.over().any(of_all) {
            return None;
        }
        let burns = |place: &usize| {
            let liquid = plan.steps.iter().take(place + 1).rev().find_map(|step| step.liquid.as_ref());
            liquid.is_some_and(|poured| poured.liquid.not_flammable().is_none())
        };
        let places: Vec<usize> =
            (0..plan.steps.len()).filter(|place| pours(plan, *place) == Some(*place)).filter(burns).collect();
        if places.len() < 2 {
            return None;
        }
        let made = |share: f64| {
            let mut changed = plan.clone();
            let mut made = Vec::new();
            for step in &places {
                let amount = plan.steps.get(*step)?.amount?;
                let change = Change::Figure(Figure::Amount(*step));
                let to = cautious_down(amount * share);
                changed = change.made(&changed, to)?;
                made.push(Made { change, to });
            }
            Some((made, changed))
        };
        let share = Ladder::between((1.0, 0.001), false)?.nearest(|share| {
            let walked = self.run(&made(share)?.1)?;
            let all = walked.checks.iter().filter(|placed| of_all(placed));
            Some((!walked.over().any(of_all), all.map(excess).fold(f64::NAN, f64::max)))
        })?;
        let (made, changed) = made(share)?;
        let walked = self.run(&changed)?;
        Some((made, changed, walked))
    }

    /// Two changes that mend a check together where no single one does: the first goes as far as it can, and is taken back later; or
    /// it brings another check over its limit, as a smaller vessel that cools longer, and the second mends that.
    fn pair(&self, plan: &Plan, state: &Walked) -> Option<(Made, Found)> {
        let known = |after: &Walked| {
            over(after).iter().all(|(id, _)| state.over().any(|placed| placed.check.check == *id))
        };
        for placed in state.over() {
            for change in changes(plan, placed, self.scope) {
                let bounds = change.bounds(plan);
                if change.moves(plan) {
                    continue;
                }
                let to = bounds.map_or(0.0, |(_, to)| to);
                let Some(there) = change.made(plan, to) else { continue };
                let Some(after) = self.run(&there) else { continue };
                let same = |other: &&walk::Placed| {
                    other.check.check == placed.check.check && other.step == placed.step
                };
                let still = match bounds {
                    Some(_) if known(&after) => after.over().find(same),
                    // One of several flames is put out, or the check is mended and another one is not.
                    None if known(&after) && after.over().any(|other| same(&other)) => {
                        matches!(change, Change::PutOut { .. }).then(|| after.over().find(same)).flatten()
                    }
                    None if !after.over().any(|other| same(&other)) => {
                        let new = |other: &&walk::Placed| {
                            state.over().all(|known| known.check.check != other.check.check)
                        };
                        after.over().find(new)
                    }
                    _ => None,
                };
                let Some(still) = still else { continue };
                let all = changes(&there, still, self.scope).into_iter();
                let before = state.over().count();
                let mut mending = all.filter_map(|second| {
                    let focus = (!second.moves(&there)).then_some(still);
                    self.least(&there, second, focus, |after| known(after) && after.over().count() < before)
                });
                if let Some(found) = mending.next() {
                    return Some((Made { change, to }, found));
                }
            }
        }
        None
    }

    /// The smallest figure of two digits of a change, or the change itself, after which a plan is good. Where one check must be
    /// mended for that, its figure is looked for first, with no other check asked.
    fn least(
        &self,
        plan: &Plan,
        change: Change,
        one: Option<&Placed>,
        good: impl Fn(&Walked) -> bool,
    ) -> Option<Found> {
        let tried = |to: f64| {
            let changed = change.made(plan, to)?;
            let walked = self.run(&changed).filter(&good)?;
            Some((to, changed, walked))
        };
        let found = match change.bounds(plan) {
            None => tried(0.0)?,
            Some(bounds) => {
                let whole = change.whole();
                let its = |one: &Placed| {
                    let its = Ladder::between(bounds, whole)?.nearest(|to| {
                        let walked = self.walk(&change.made(plan, to)?, Wanted::One(one))?;
                        let over = walked.over().any(|other| other.is(one));
                        let check = walked.checks.iter().find(|other| other.is(one));
                        Some((!over, check.map_or(f64::NAN, excess)))
                    })?;
                    tried(its).map_or(Some(Err(its)), |found| Some(Ok(found)))
                };
                let all = |from: f64| {
                    let ladder = Ladder::between((from, bounds.1), whole)?;
                    tried(ladder.nearest(|to| Some((tried(to).is_some(), f64::NAN)))?)
                };
                match one.map(its) {
                    Some(None) => return None,
                    Some(Some(Ok(found))) => found,
                    // What mends the check alone cannot be done, or is not all that is wanted.
                    Some(Some(Err(its))) => all(its)?,
                    None => all(bounds.0)?,
                }
            }
        };
        let (to, changed, walked) = found;
        let size = change.size(plan, to);
        Some(Found { made: Made { change, to }, plan: changed, walked, size })
    }

    /// The plan after all changes.
    fn after(&self, plan: &Plan, made: &[Made]) -> Option<Walked> {
        let changed = made.iter().try_fold(plan.clone(), |plan, one| one.change.made(&plan, one.to))?;
        self.run(&changed)
    }

    /// The changes without what is not needed: a change that the others make needless goes, a figure goes back as far as they allow.
    fn tightened(&self, plan: &Plan, mut made: Vec<Made>, state: &Walked) -> Vec<Made> {
        let ended = over(state);
        let good = |after: &Walked| {
            let left = over(after);
            left.len() <= ended.len()
                && left.iter().all(|(id, _)| ended.iter().any(|(known, _)| known == id))
                && after.outcome() <= state.outcome().max(Outcome::NearLimit)
        };
        let mut place = 0;
        while place < made.len() {
            let (before, from) = made.split_at(place);
            let Some((one, later)) = from.split_first() else { break };
            let Some(here) = before.iter().try_fold(plan.clone(), |plan, one| one.change.made(&plan, one.to))
            else {
                break;
            };
            let with = |to: Option<f64>| {
                let again = to.map(|to| Made { change: one.change.clone(), to });
                let all: Vec<Made> =
                    before.iter().cloned().chain(again).chain(later.iter().cloned()).collect();
                self.after(plan, &all).filter(&good).map(|_| all)
            };
            if !one.change.moves(&here)
                && let Some(fewer) = with(None)
            {
                made = fewer;
                continue;
            }
            if let Some((from, _)) = one.change.bounds(&here) {
                let ladder = Ladder::between((from, one.to), one.change.whole());
                let back = ladder.map(|ladder| ladder.back(|to| with(Some(to)).is_some()));
                if let Some(all) =
                    back.filter(|to| to.total_cmp(&one.to).is_ne()).and_then(|to| with(Some(to)))
                {
                    made = all;
                }
            }
            place += 1;
        }
        made
    }

    /// The changes as they are told, each with what it mends and the outcome after it.
    fn told(&self, plan: &Plan, walked: &Walked, made: &[Made]) -> Vec<PlanRemedy> {
        let (mut plan, mut before) = (plan.clone(), over(walked));
        // What is told is run whatever was spent on the search.
        self.runs.set(MOST_RUNS);
        let mut all = Vec::new();
        for one in made {
            let Some(changed) = one.change.made(&plan, one.to) else { break };
            // A bottle may be too small for what is drawn until a later change: nothing is mended before.
            let after = self.run(&changed);
            let left = after.as_ref().map_or_else(|| before.clone(), over);
            let outcome = after.as_ref().map_or(Outcome::OverLimit, Walked::outcome);
            let times = |over: &Over, id: &Text| over.iter().filter(|(other, _)| other == id).count();
            let mut mends: Vec<Text> = Vec::new();
            for (id, _) in &before {
                if times(&left, id) < times(&before, id) && !mends.contains(id) {
                    mends.push(id.clone());
                }
            }
            let (remedy, also) = one.change.told(&plan, one.to, outcome);
            all.push(PlanRemedy { remedy, also, mends });
            (plan, before) = (changed, left);
        }
        all
    }
}

/// By how much a check is over its limit, as a logarithm, negative within it; not a number where that cannot be told.
fn excess(placed: &Placed) -> f64 {
    placed.check.ratio.map_or(f64::NAN, ln)
}

/// The step that pours what a step uses.
fn pours(plan: &Plan, step: usize) -> Option<usize> {
    plan.steps.iter().take(step + 1).rposition(|one| one.amount.is_some() && one.doing != Doing::Draw)
}

/// The changes that can bear on a check.
fn changes(plan: &Plan, placed: &walk::Placed, scope: &Scope) -> Vec<Change> {
    let (id, step) = (placed.check.check.as_ref(), placed.step);
    let mut all = Vec::new();
    let here = step.unwrap_or(0);
    let poured: Vec<usize> = match step {
        Some(step) => pours(plan, step).into_iter().collect(),
        None => (0..plan.steps.len()).filter(|place| pours(plan, *place) == Some(*place)).collect(),
    };
    let stock = || placed.stock.into_iter();
    let sources = || 0..plan.ignition.iter().flatten().count();
    let mut figures = |kind: &dyn Fn(usize) -> Figure, places: &mut dyn Iterator<Item = usize>| {
        all.extend(places.map(|place| Change::Figure(kind(place))));
    };
    match id {
        "room_share"
        | "room_share_of_all"
        | "floor_layer"
        | "floor_layer_of_all"
        | "carbon_dioxide_of_all"
        | "vessel" => figures(&Figure::Amount, &mut poured.iter().copied()),
        "near_field" => {
            figures(&Figure::Amount, &mut poured.iter().copied());
            figures(&Figure::IgnitionDistance, &mut sources());
            figures(&Figure::HeatedTo, &mut (0..=here));
        }
        "exposure" | "exposure_of_all" => {
            figures(&Figure::Amount, &mut poured.iter().copied());
            figures(&|_| Figure::Nearest, &mut (0..1));
            figures(&|_| Figure::AirChanges, &mut (0..1));
            figures(&Figure::HeatedTo, &mut (0..=here));
        }
        "practice" | "practice_of_all" => {
            figures(&Figure::Amount, &mut poured.iter().copied());
            figures(&Figure::Vessels, &mut poured.iter().copied());
            figures(&|_| Figure::Nearest, &mut (0..1));
        }
        "spill" => {
            figures(&Figure::Amount, &mut poured.iter().copied());
            figures(&Figure::IgnitionDistance, &mut sources());
        }
        "spill_reach" => {
            figures(&Figure::StockDistance, &mut stock());
            figures(&Figure::Container, &mut stock());
            figures(&Figure::IgnitionDistance, &mut sources());
            all.push(Change::Carry);
        }
        "stock_distance" => {
            match placed.stock {
                Some(stock) => figures(&Figure::StockDistance, &mut std::iter::once(stock)),
                None => figures(&|_| Figure::EveryStock, &mut (0..1)),
            }
            all.extend([Change::Close, Change::Carry]);
        }
        "poured_beside_flame" | "halogenated_vapour" => figures(&Figure::IgnitionDistance, &mut sources()),
        "hot_surface" => figures(&Figure::HeatedTo, &mut (0..=here)),
        "alight_at_once" | "carbon_dioxide" => {
            figures(&Figure::Amount, &mut poured.iter().copied());
            figures(&Figure::Vessels, &mut poured.iter().copied());
        }
        "radiant_heat" => {
            figures(&|_| Figure::Nearest, &mut (0..1));
            figures(&Figure::Vessels, &mut poured.iter().copied());
        }
        "burning_spill" => {
            figures(&Figure::Amount, &mut poured.iter().copied());
            figures(&Figure::Vessels, &mut poured.iter().copied());
            figures(&|_| Figure::Nearest, &mut (0..1));
        }
        "people_distance" => figures(&|_| Figure::Nearest, &mut (0..1)),
        "lighting_delay" => {
            // What stands between pouring and lighting.
            let waits = |place: &usize| plan.steps.get(*place).is_some_and(|step| step.doing == Doing::Wait);
            let first = poured.first().copied().unwrap_or(here);
            figures(&Figure::Duration, &mut (first..here).filter(waits));
            figures(&Figure::Vessels, &mut poured.iter().copied());
            figures(&|_| Figure::Nearest, &mut (0..1));
            let vessel = vessel_of(plan, here).map(|(place, _)| place);
            figures(&Figure::Capacity, &mut vessel.into_iter());
            all.extend(wider(plan, here));
        }
        "flame" => {
            figures(&|_| Figure::Clear, &mut (0..1));
            figures(&Figure::Amount, &mut poured.iter().copied());
            all.extend(wider(plan, here));
        }
        "flame_clearance" => {
            figures(&|_| Figure::Clear, &mut (0..1));
            figures(&Figure::Vessels, &mut poured.iter().copied());
        }
        "burnable_vessel" => all.extend(wider(plan, here)),
        "burnable_liquid" => all.push(Change::LeaveOut { step: here, why: "such a liquid is not burnt" }),
        "fuel_for_salts" => {
            let ethanol = scope.draft.catalogue.by_id("ethanol");
            let others =
                plan.liquids().into_iter().filter(|poured| !walk::is_burnt_with_salts(&poured.liquid));
            all.extend(
                others.zip(ethanol.into_iter().cycle()).map(|(poured, substance)| Change::Liquid {
                    name: poured.liquid.name.clone(),
                    substance,
                }),
            );
        }
        // With none left the plan has no salts, and asks for them: nothing is mended by that.
        "oxidiser_in_fuel" | "toxic_salt_in_fuel" | "harmful_mist" => {
            let those = match id {
                "oxidiser_in_fuel" => Salts::Oxidisers,
                "toxic_salt_in_fuel" => Salts::Toxic,
                _ => Salts::NotSprayed,
            };
            let left = plan.salts.iter().any(|(_, salt)| !those.of(salt));
            all.extend(left.then_some(Change::NoSalts { those }));
        }
        "lit_when_heated" => {
            let heats = (0..here).rev().filter(|place| {
                plan.steps.get(*place).is_some_and(|one| one.doing == Doing::Heat && one.amount.is_none())
            });
            let why = "what is lit is not heated before";
            all.extend(heats.map(|step| Change::LeaveOut { step, why }));
        }
        "sprayed_at_flame" => {
            let poured = plan.steps.iter().take(here + 1).rev().find_map(|one| one.liquid.as_ref());
            let water = poured.zip(scope.draft.catalogue.by_id("water"));
            all.extend(
                water.map(|(poured, substance)| Change::Liquid {
                    name: poured.liquid.name.clone(),
                    substance,
                }),
            );
        }
        "peroxide_residue" => {
            figures(&Figure::Duration, &mut (0..plan.steps.len()));
        }
        "drawn_left" => all.extend(draws(plan, here)),
        "thermal_shock" | "refill_wait" | "cleared_hot" => {
            all.extend((id == "thermal_shock").then(|| borosilicate(plan, here)).flatten());
            let hot = plan.steps.get(here).map(|step| step.doing);
            if hot.is_some_and(|doing| doing != Doing::Burn) && id != "thermal_shock"
                || matches!(hot, Some(Doing::Refill | Doing::Clear))
            {
                all.push(Change::FlamesOut { step: here });
                all.push(Change::Wait { step: here });
            }
        }
        "keep_apart" | "burns_beside" => {
            all.extend((0..plan.beside.len()).map(|beside| Change::Away { beside }))
        }
        "darkened_while_poured" => all.push(Change::Light { step: here }),
        "liquid_after_flame" => {
            all.push(Change::FlamesOut { step: here });
            let lit = plan.steps.iter().position(|one| one.doing == Doing::Burn);
            all.extend(lit.map(|before| Change::Order { step: here, before }));
            all.push(Change::Wait { step: here });
        }
        _ => {}
    }
    if by_ignition(id) {
        let lit = plan.ignition.iter().flatten().enumerate();
        let lit =
            lit.filter(|(_, source)| if id == "spill_reach" { source.may_be_lit() } else { source.is_lit() });
        all.extend(lit.map(|(source, _)| Change::PutOut { source }));
        all.extend(plan.ignition.is_none().then_some(Change::NoneInRoom));
    }
    if matches!(id, "near_field" | "spill")
        && let Some(of) = poured.first()
    {
        let later = plan.steps.iter().enumerate().skip(of + 1);
        let heaters: Vec<usize> = plan.heaters().collect();
        let lit = later.filter(|(place, step)| step.doing == Doing::Burn || heaters.contains(place));
        all.extend(lit.map(|(step, _)| Change::ClearAway { step, of: *of }));
    }
    if matches!(id, "near_field" | "spill" | "spill_reach" | "poured_beside_flame" | "stock_distance") {
        let heaters: Vec<usize> = plan.heaters().collect();
        all.extend(heaters.into_iter().map(|step| Change::Bath { step }));
    }
    if matches!(id, "hot_surface" | "naked_flame" | "near_field" | "thermal_shock") {
        all.push(Change::Bath { step: here });
    }
    all.extend(other_liquids(plan, scope));
    all
}

/// Less drawn of the liquid that a step draws, the last draw first: what is poured, or nothing at all.
fn draws(plan: &Plan, step: usize) -> Vec<Change> {
    let Some(liquid) = plan.steps.get(step).and_then(|step| step.liquid.as_ref()) else { return Vec::new() };
    let name = &liquid.liquid.name;
    let of_it = |one: &Step| {
        one.doing == Doing::Draw && one.liquid.as_ref().is_some_and(|one| one.liquid.name == *name)
    };
    let drawn: f64 = plan.steps.iter().filter(|one| of_it(one)).filter_map(|one| one.amount).sum();
    let left = drawn - walk::may_be_drawn(plan, name);
    let all = plan.steps.iter().enumerate().rev().filter(|(_, one)| of_it(one));
    let less = all.filter_map(|(step, one)| {
        let to = one.amount? - left;
        Some(if to > one.amount? * 1e-9 {
            Change::Draw { step, to: significant(to, 12) }
        } else {
            Change::LeaveOut { step, why: "nothing of it is used" }
        })
    });
    less.collect()
}

/// The less hazardous liquids of the catalogue for those of a plan.
fn other_liquids(plan: &Plan, scope: &Scope) -> Vec<Change> {
    let other = |poured: &Poured| {
        let (id, _) = poured.liquid.substance()?.alternative.as_ref()?;
        Some(Change::Liquid { name: poured.liquid.name.clone(), substance: scope.draft.catalogue.by_id(id)? })
    };
    plan.liquids().into_iter().filter_map(other).collect()
}

/// The vessel that a step uses, with the step that names it.
fn vessel_of(plan: &Plan, step: usize) -> Option<(usize, Vessel)> {
    let before = plan.steps.iter().take(step + 1).enumerate().rev();
    before
        .filter(|(_, one)| one.doing != Doing::Clear)
        .find_map(|(place, one)| one.vessel.clone().map(|vessel| (place, vessel)))
}

fn borosilicate(plan: &Plan, step: usize) -> Option<Change> {
    let (step, vessel) = vessel_of(plan, step)?;
    let vessel = Vessel { material: Some("borosilicate glass".to_owned()), ..vessel };
    Some(Change::Vessel { step, vessel, text: "Use vessels of borosilicate glass.".to_owned() })
}

/// Vessels as high as wide: wider of the same capacity, or lower of the same mouth.
fn wider(plan: &Plan, step: usize) -> Vec<Change> {
    let Some((step, vessel)) = vessel_of(plan, step) else { return Vec::new() };
    let area = std::f64::consts::FRAC_PI_4 * vessel.mouth * vessel.mouth;
    let low = significant((area * vessel.mouth * 0.95).min(vessel.capacity), 2);
    let wide = significant(libm::cbrt(vessel.capacity / std::f64::consts::FRAC_PI_4) * 1.1, 2);
    vec![
        Change::Vessel {
            step,
            vessel: Vessel { mouth: wide, ..vessel.clone() },
            text: format!("Use vessels {wide} cm wide: no higher than wide."),
        },
        Change::Vessel {
            step,
            vessel: Vessel { capacity: low, ..vessel },
            text: format!("Use vessels of {low} mL: no higher than wide."),
        },
    ]
}
