//! Walks through a plan: which questions apply to each step, asked with the state that the steps before have left.
//!
//! Each question is asked as a caller would ask it, so that a plan can never be judged more leniently than its parts; what the
//! plan alone knows (order, sums over steps) are checks of its own.

use super::liquid::Liquids;
use super::plan::{Doing, Plan, Poured, Step, Vessel, text};
use super::practical::order;
use super::reply::Asked;
use super::{Scope, draft};
use crate::quantity::round::{cautious_down, significant};
use brimline_openapi::answered::Basis;
use brimline_openapi::problem::Fault;
use brimline_openapi::{Check, Evidence, Method, MustBe, Outcome, Quantity, Source, Text};
use serde_json::{Map, Value, json};
use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

/// A check and the step that it belongs to.
#[derive(Debug, Clone)]
pub struct Placed {
    /// The step; none for the plan as a whole.
    pub step: Option<usize>,
    /// The stock bottle that it is about, if any.
    pub stock: Option<usize>,
    /// The question that was asked for it; `practical` for what the plan alone knows.
    pub asked: &'static str,
    /// The check.
    pub check: Check,
}

impl Placed {
    /// Whether it is the same check of a plan whose steps have the same places.
    #[must_use]
    pub fn is(&self, other: &Self) -> bool {
        self.check.check == other.check.check && self.step == other.step && self.stock == other.stock
    }
}

/// What of a walk is wanted.
#[derive(Debug, Clone, Copy)]
pub enum Wanted<'a> {
    /// Every check, with the texts that the questions give.
    Everything,
    /// Every check.
    Checks,
    /// One check, found in a plan whose steps have the same places: what it does not rest on is not asked.
    One(&'a Placed),
}

/// What was found on the way.
#[derive(Debug, Clone, Default)]
pub struct Walked {
    /// Every check.
    pub checks: Vec<Placed>,
    /// What cannot be done.
    pub faults: Vec<Fault>,
    /// When each step starts, min.
    pub starts: Vec<f64>,
    /// Ids of what was considered.
    pub considered: Vec<Text>,
    /// What was not, and why.
    pub not_considered: Vec<(Text, Text)>,
    /// Assumptions of the questions asked.
    pub assumptions: Vec<(Text, Text)>,
    /// Their cautions.
    pub cautions: Vec<(Text, Text)>,
    /// Their methods.
    pub methods: Vec<Method>,
    /// Their sources.
    pub sources: Vec<Source>,
}

/// Liquid that stands in vessels.
#[derive(Debug, Clone)]
struct Standing {
    step: usize,
    /// The step that poured it, and the one that heats it with what can light vapour beside it.
    poured_by: usize,
    heater: Option<usize>,
    liquid: Poured,
    /// mL in each
    amount: f64,
    vessel: Vessel,
    count: u32,
    /// min
    since: f64,
    until: Option<f64>,
    heated: Option<(Option<f64>, Option<&'static str>)>,
    /// When it was lit, and when it is out at the latest.
    burnt: Option<(f64, f64)>,
    /// The step that lit it, and the one that cleared it away: what happens at one time has its order by them.
    lit_by: Option<usize>,
    /// Whether it is left to evaporate.
    left: bool,
    cleared_by: Option<usize>,
}

impl Walked {
    /// The worst status.
    #[must_use]
    pub fn outcome(&self) -> Outcome {
        self.checks.iter().map(|placed| placed.check.status).max().unwrap_or(Outcome::NoLimitChecked)
    }

    /// The step of the check that decides.
    #[must_use]
    pub fn place_of_worst(&self) -> Option<usize> {
        self.checks.iter().max_by(|a, b| draft::milder(&a.check, &b.check))?.step
    }

    /// Those over their limit.
    pub fn over(&self) -> impl Iterator<Item = &Placed> {
        self.checks.iter().filter(|placed| placed.check.status == Outcome::OverLimit)
    }

    fn fault(&mut self, step: usize, field: &str, code: &'static str, detail: impl Into<String>) {
        self.faults.push(Fault {
            code: Text::Borrowed(code),
            pointer: format!("/steps/{step}{field}"),
            detail: detail.into(),
            expected: None,
            suggestion: None,
        });
    }
}

/// How long a liquid is taken to burn of which that is not known, min.
const LONGEST_BURN: f64 = 60.0;
/// How much of what is drawn may be left where nothing burns or is hot.
const LEFT_SHARE: f64 = 0.1;

/// An answer of an inner question, or its faults.
type Answered = Result<Rc<Asked>, Rc<Vec<Fault>>>;

/// An inner question: its name, the one check that is wanted of it, its request.
type Question = (&'static str, Option<String>, Value);

/// What inner questions answered: the search for changes asks most of them again and again.
#[derive(Debug, Default)]
pub struct Memo {
    answers: RefCell<HashMap<Question, Answered>>,
    liquids: Liquids,
}

impl Memo {
    /// The answer. Beside its checks it keeps what it says only where that is `told`: a search asks very often.
    fn answer(&self, asked: Question, scope: &Scope, told: bool) -> Answered {
        if let Some(known) = self.answers.borrow().get(&asked) {
            return known.clone();
        }
        let (question, only, request) = &asked;
        let answered = match super::ask_within(question, request, scope, &self.liquids, only.as_deref()) {
            Ok(mut asked) => {
                // A change of an inner request is none of the plan.
                for check in &mut asked.basis.checks {
                    check.remedy = None;
                }
                if !told {
                    asked.basis =
                        Basis { checks: std::mem::take(&mut asked.basis.checks), ..Basis::default() };
                }
                Ok(Rc::new(asked))
            }
            Err(refusal) => Err(Rc::new(refusal.faults)),
        };
        self.answers.borrow_mut().insert(asked, answered.clone());
        answered
    }
}

struct Walk<'a> {
    plan: &'a Plan,
    scope: &'a Scope,
    memo: &'a Memo,
    wanted: Wanted<'a>,
    now: f64,
    standing: Vec<Standing>,
    walked: Walked,
}

/// Walks through a plan.
pub fn walk(plan: &Plan, scope: &Scope, wanted: Wanted<'_>, memo: &Memo) -> Walked {
    let mut walk =
        Walk { plan, scope, memo, wanted, now: 0.0, standing: Vec::new(), walked: Walked::default() };
    for (place, step) in plan.steps.iter().enumerate() {
        walk.walked.starts.push(walk.now);
        walk.step(place, step);
        if !walk.walked.faults.is_empty() || walk.ended(place) {
            return walk.walked;
        }
    }
    walk.close();
    walk.walked
}

/// What an inner question is asked about, in the plan: pointers of its faults lead there.
struct Place<'s> {
    step: usize,
    map: &'s [(&'s str, &'s str)],
}

impl Walk<'_> {
    /// Whether a question is asked at a step: always, or where it gives the one check that is wanted.
    fn wants(&self, question: &str, step: usize) -> bool {
        match self.wanted {
            Wanted::Everything | Wanted::Checks => true,
            Wanted::One(one) if one.check.check == "carbon_dioxide_of_all" => question == "burning",
            Wanted::One(one) if of_all(one) => question == "safe-fill",
            Wanted::One(one) => one.asked == question && one.step == Some(step),
        }
    }

    /// The one check of a question that is wanted of many; of a sum, what is added up.
    fn only(&self, question: &str) -> Option<&str> {
        match self.wanted {
            Wanted::One(one) if question == "safe-fill" => Some(one.check.check.trim_end_matches("_of_all")),
            _ => None,
        }
    }

    /// Whether the one check that is wanted rests on how long things burn.
    fn wants_times(&self) -> bool {
        let poured = || {
            let pours =
                |step: &&Step| step.amount.is_some() && !matches!(step.doing, Doing::Draw | Doing::Burn);
            self.plan.steps.iter().filter(pours).count()
        };
        match self.wanted {
            Wanted::Everything | Wanted::Checks => true,
            // How much stands there, and how near, has no time.
            Wanted::One(one) if matches!(&*one.check.check, "practice" | "practice_of_all" | "vessel") => {
                one.asked == "burning"
            }
            Wanted::One(one) => match one.asked {
                "spill" | "storage" => false,
                // A single liquid stands open until it is lit.
                "safe-fill" | "evaporation" => poured() > 1,
                _ => true,
            },
        }
    }

    /// Whether a check that the plan alone knows is wanted.
    fn wants_own(&self, id: &str) -> bool {
        match self.wanted {
            Wanted::Everything | Wanted::Checks => true,
            Wanted::One(one) => one.check.check == id,
        }
    }

    /// Whether the one check that is wanted was found at a step, or can no longer be found.
    fn ended(&self, place: usize) -> bool {
        let Wanted::One(one) = self.wanted else { return false };
        matches!(one.asked, "burning" | "cooling") && one.step == Some(place)
    }

    /// Asks a question; its checks of the ids kept are placed at the step.
    fn ask(
        &mut self,
        question: &'static str,
        mut request: Map<String, Value>,
        place: &Place<'_>,
        keep: impl Fn(&str) -> bool,
    ) -> Option<Rc<Asked>> {
        request.extend(self.plan.common.clone());
        let told = matches!(self.wanted, Wanted::Everything);
        let full = told && self.scope.draft.full;
        request.insert("detail".into(), json!(if full { "full" } else { "figures" }));
        let only = self.only(question).map(str::to_owned);
        let asked = match self.memo.answer((question, only, Value::Object(request)), self.scope, told) {
            Ok(asked) => asked,
            Err(faults) => {
                for fault in faults.iter() {
                    let pointer = self.pointer(fault, place);
                    if self.walked.faults.iter().all(|known| known.pointer != pointer) {
                        self.walked.faults.push(Fault { pointer, ..fault.clone() });
                    }
                }
                return None;
            }
        };
        for check in asked.basis.checks.iter().filter(|check| keep(&check.check)) {
            self.placed(Some(place.step), question, check.clone());
        }
        if matches!(self.wanted, Wanted::Everything) {
            self.adopt(&asked, &keep);
        }
        Some(asked)
    }

    /// Where a fault of an inner question lies in the plan.
    fn pointer(&self, fault: &Fault, place: &Place<'_>) -> String {
        let at = self.plan.steps.get(place.step).map_or(0, |step| step.at);
        let Some((from, to)) = place.map.iter().find(|(from, _)| fault.pointer.starts_with(from)) else {
            return format!("/steps/{at}");
        };
        let rest = fault.pointer.strip_prefix(from).unwrap_or_default();
        if to.starts_with('/') { format!("{to}{rest}") } else { format!("/steps/{at}/{to}{rest}") }
    }

    /// Takes over what a question says beside its checks.
    fn adopt(&mut self, asked: &Asked, keep: impl Fn(&str) -> bool) {
        for hazard in &asked.basis.not_considered {
            let known = self.walked.not_considered.iter().any(|(id, _)| *id == hazard.id);
            if !known && keep(&hazard.id) {
                self.walked.not_considered.push((hazard.id.clone(), hazard.reason.clone()));
            }
        }
        let walked = &mut self.walked;
        // Where only figures are wanted there are ids without texts.
        for one in &asked.basis.assumptions {
            if walked.assumptions.iter().all(|(id, _)| *id != one.id) {
                walked.assumptions.push((one.id.clone(), one.text.clone().unwrap_or_default()));
            }
        }
        for one in &asked.basis.cautions {
            if one.id != "defer"
                && one.id != "skin_eyes_inhalation"
                && walked.cautions.iter().all(|(id, _)| *id != one.id)
            {
                walked.cautions.push((one.id.clone(), one.text.clone().unwrap_or_default()));
            }
        }
        for method in &asked.basis.methods {
            if walked.methods.iter().all(|known| known.id != method.id) {
                walked.methods.push(method.clone());
            }
        }
        for source in &asked.basis.sources {
            match walked.sources.iter_mut().find(|known| known.id == source.id) {
                Some(known) => {
                    for datum in &source.data {
                        if !known.data.contains(datum) {
                            known.data.push(datum.clone());
                        }
                    }
                    known.seen = known.seen.max(source.seen);
                }
                None => walked.sources.push(source.clone()),
            }
        }
    }

    fn own(&mut self, step: Option<usize>, check: Check) {
        self.placed(step, super::practical::NAME, check);
    }

    fn placed(&mut self, step: Option<usize>, asked: &'static str, check: Check) {
        if matches!(self.wanted, Wanted::Everything) && !self.walked.considered.contains(&check.check) {
            self.walked.considered.push(check.check.clone());
        }
        self.walked.checks.push(Placed { step, stock: None, asked, check });
    }

    fn rule(&mut self, step: usize, id: &'static str, over: bool, text: &'static str) {
        let check = order(id, over, text, &self.scope.rules);
        self.own(Some(step), check);
    }

    /// Whether something burns now, is still within its waiting time, or was never proved out.
    fn burning(&self, proved_out: bool) -> bool {
        let wait = self.scope.rules.number("refill_wait");
        self.standing.iter().any(|one| {
            one.burnt
                .is_some_and(|(_, out)| one.cleared_by.is_none() && (self.now < out + wait || !proved_out))
        })
    }

    /// Whether something else burns while a liquid stands open: its flames are beside it.
    fn beside_flames(&self, one: &Standing) -> bool {
        let until = one.until.unwrap_or(self.now);
        self.standing.iter().any(|other| {
            let same = other.step == one.step && other.vessel == one.vessel;
            let first = one.burnt.is_none() && one.cleared_by.is_some_and(|step| Some(step) < other.lit_by);
            !same
                && other.burnt.is_some_and(|(lit, out)| {
                    lit < until && out > one.since || lit == until && lit > one.since && !first
                })
        })
    }

    /// Whether a heater stands beside it, which is on until what it heats is cleared away.
    fn beside_heater(&self, one: &Standing) -> bool {
        let end = |other: &Standing| other.cleared_by.unwrap_or(usize::MAX);
        self.standing.iter().any(|other| {
            let same = other.poured_by == one.poured_by && other.vessel == one.vessel;
            !same && other.heater.is_some_and(|on| on < end(one) && one.poured_by < end(other))
        })
    }

    fn lit_source(&self) -> Option<f64> {
        let sources = self.plan.ignition.iter().flatten().filter(|source| source.is_lit());
        sources.map(|source| source.distance).reduce(f64::min)
    }

    /// Ignition of a request: the nearest stated source, none at all, or nothing said.
    fn ignition(&self, request: &mut Map<String, Value>) {
        let Some(sources) = &self.plan.ignition else { return };
        match sources.iter().map(|source| source.distance).reduce(f64::min) {
            Some(nearest) => request.insert("nearest_ignition".into(), text(nearest, "m")),
            None => request.insert("ignition".into(), json!("none in the room")),
        };
    }

    fn room(&self) -> Value {
        let mut room = self.plan.room.clone();
        if self.plan.air_changes > 0.0 {
            room.insert("air_changes".into(), text(self.plan.air_changes, "/h"));
        }
        Value::Object(room)
    }

    /// The liquid, vessel and number that a step means: its own, or those used last.
    fn meant(&mut self, place: usize, step: &Step) -> (Option<Poured>, Option<Vessel>, u32) {
        let before = self.plan.steps.iter().take(place).rev();
        let last = |found: &dyn Fn(&Step) -> bool| before.clone().find(|step| found(step));
        let liquid = step
            .liquid
            .clone()
            .or_else(|| last(&|step| step.liquid.is_some()).and_then(|step| step.liquid.clone()));
        let vessel = step
            .vessel
            .clone()
            .or_else(|| last(&|step| step.vessel.is_some()).and_then(|step| step.vessel.clone()));
        let count = step
            .vessels
            .or_else(|| {
                if step.vessel.is_some() {
                    None
                } else {
                    last(&|step| step.vessels.is_some()).and_then(|step| step.vessels)
                }
            })
            .unwrap_or(1);
        (liquid, vessel, count)
    }

    fn step(&mut self, place: usize, step: &Step) {
        let pours = matches!(step.doing, Doing::Draw | Doing::Pour | Doing::Refill)
            || matches!(step.doing, Doing::SetOut | Doing::Heat | Doing::Evaporate) && step.amount.is_some();
        if pours {
            let dark = "Nothing is poured or drawn while the room is darkened.";
            if step.darkened {
                self.rule(place, "darkened_while_poured", true, dark);
            }
            if step.doing != Doing::Refill {
                let burning = self.burning(step.flames_out);
                self.rule(place, "liquid_after_flame", burning, "No liquid is drawn or poured after a flame was lit, until every flame is proved out and the waiting time is over: pouring onto a flame that only seems out is the main cause of injury in such work (common practice, no source).");
            }
            self.near_lit(place, step);
        }
        match step.doing {
            Doing::Draw => self.draw(place, step),
            Doing::SetOut => {
                if step.amount.is_some() {
                    self.pour(place, step);
                }
            }
            Doing::Pour => self.pour(place, step),
            Doing::Heat => self.heat(place, step),
            Doing::Evaporate => self.evaporate(place, step),
            Doing::Burn => self.burn(place, step),
            Doing::Wait => {}
            Doing::Refill => self.refill(place, step),
            Doing::Clear => self.clear(place, step),
        }
        if step.doing != Doing::Burn {
            self.now += step.duration.unwrap_or(0.0);
        }
    }

    /// A liquid is poured or drawn near a flame or heater that is on from the beginning, or beside one that a step before set going.
    fn near_lit(&mut self, place: usize, step: &Step) {
        let heater = self.standing.iter().any(|one| one.heater.is_some() && one.cleared_by.is_none());
        let Some(distance) = (if heater { Some(0.0) } else { self.lit_source() }) else { return };
        let (liquid, ..) = self.meant(place, step);
        if liquid.is_some_and(|poured| poured.liquid.not_flammable().is_some()) {
            return;
        }
        let rule = if step.doing == Doing::Draw { "open_stock_distance" } else { "closed_stock_distance" };
        let check = super::check::Compared {
            check: "poured_beside_flame",
            question: super::practical::NAME,
            value: crate::quantity::Estimate::exact(distance),
            limit: self.scope.rules.number(rule),
            unit: "m",
            must_be: MustBe::AtLeast,
            grounds: self.scope.rules.grounds(rule),
            evidence: Evidence::Measured,
        };
        self.own(Some(place), check.decided());
    }

    /// The stock of a liquid.
    fn stock_of(&self, poured: &Poured) -> Option<usize> {
        self.plan.stock.iter().position(|stock| stock.liquid.liquid.name == poured.liquid.name)
    }

    fn draw(&mut self, place: usize, step: &Step) {
        let Some(poured) = &step.liquid else {
            self.walked.fault(step.at, "/liquid", "missing-field", "which liquid is drawn?");
            return;
        };
        let Some(stock) = self.stock_of(poured).and_then(|stock| self.plan.stock.get(stock)) else {
            let detail = format!("no stock of {} is in the plan", poured.liquid.name);
            self.walked.fault(step.at, "/liquid", "impossible-value", detail);
            return;
        };
        let drawn: f64 = self
            .plan
            .steps
            .iter()
            .take(place + 1)
            .filter(|other| other.doing == Doing::Draw)
            .filter(|other| {
                other.liquid.as_ref().is_some_and(|liquid| liquid.liquid.name == poured.liquid.name)
            })
            .filter_map(|other| other.amount)
            .sum();
        if drawn > stock.holds * (1.0 + 1e-9) {
            let detail = format!(
                "{} mL in all are more than the stock holds, {} mL",
                significant(drawn, 6),
                stock.holds
            );
            self.walked.fault(step.at, "/amount", "impossible-value", detail);
        }
    }

    fn pour(&mut self, place: usize, step: &Step) {
        let (liquid, vessel, count) = self.meant(place, step);
        let (Some(liquid), Some(vessel), Some(amount)) = (liquid.clone(), vessel.clone(), step.amount) else {
            for (missing, field, what) in [
                (liquid.is_none(), "/liquid", "which liquid is poured?"),
                (vessel.is_none(), "/vessel", "into which vessel is it poured?"),
                (step.amount.is_none(), "/amount", "how much is poured into each vessel, like \"6 mL\"?"),
            ] {
                if missing {
                    self.walked.fault(step.at, field, "missing-field", what);
                }
            }
            return;
        };
        // A spray can be lit however cold its liquid is.
        let sprays = vessel.sprays();
        self.salts(place, &liquid, &vessel);
        if sprays && liquid.liquid.not_flammable().is_none() {
            let none = self.plan.ignition.as_ref().is_some_and(Vec::is_empty);
            let lit = !none
                || self.plan.has(Doing::Burn)
                || self.plan.heaters().next().is_some()
                || !self.plan.salts.is_empty();
            self.rule(place, "sprayed_at_flame", lit, "No liquid that burns is sprayed where there is a flame or anything else that can light it: its mist burns however cold it is (common practice, no source).");
        }
        // What stands in the same vessels already is one thing with it only where it is the same liquid.
        let used = self
            .standing
            .iter()
            .position(|one| one.vessel == vessel && one.cleared_by.is_none() && one.burnt.is_none());
        if let Some(known) = used.and_then(|used| self.standing.get_mut(used)) {
            if known.liquid.liquid.name != liquid.liquid.name {
                let detail = format!(
                    "{} stands in these vessels already: pour mixtures as one liquid, or use other vessels",
                    known.liquid.liquid.name
                );
                self.walked.fault(step.at, "/vessel", "impossible-value", detail);
                return;
            }
            known.amount += amount;
            // Of vessels of one kind the larger number counts.
            known.count = known.count.max(count);
            return;
        }
        if self
            .standing
            .iter()
            .any(|one| one.vessel == vessel && one.cleared_by.is_none() && one.burnt.is_some())
        {
            self.walked.fault(
                step.at,
                "/do",
                "impossible-value",
                "something burnt in these vessels: say `refill`, or `clear` them first",
            );
            return;
        }
        // Cleared away or called otherwise, a vessel of that size is the one that burnt.
        #[allow(clippy::float_cmp, reason = "the same figures of the request")]
        let of_that_size = |one: &Standing| {
            one.vessel.capacity == vessel.capacity && one.vessel.mouth == vessel.mouth && one.burnt.is_some()
        };
        // With other words for what it is made of, it may be another one.
        if self.standing.iter().any(|one| of_that_size(one) && one.vessel.is_called_as(&vessel)) {
            self.never_again(place, &vessel);
        }
        let burnt = self.standing.iter().rposition(of_that_size);
        if let Some(one) = burnt.and_then(|burnt| self.standing.get(burnt).cloned()) {
            self.waits(place, step, &one, &liquid);
        }
        self.standing.push(Standing {
            step: place,
            poured_by: place,
            heater: None,
            liquid,
            amount,
            vessel,
            count,
            since: self.now,
            until: None,
            heated: None,
            burnt: None,
            lit_by: None,
            left: false,
            cleared_by: None,
        });
    }

    /// What is held against a liquid that is brought where salts are to colour a flame. A wick keeps them out.
    fn salts(&mut self, place: usize, liquid: &Poured, vessel: &Vessel) {
        let salts = &self.plan.salts;
        if salts.is_empty() || vessel.is_wick() {
            return;
        }
        if liquid.liquid.not_flammable().is_none() {
            let oxidises = salts.iter().any(|(_, salt)| salt.oxidises());
            self.rule(place, "oxidiser_in_fuel", oxidises, "No salt that gives off oxygen, such as a nitrate, is brought into liquid that can burn, whether it is lit, heated or left: it may burn fiercely (common practice, no source).");
        } else if vessel.sprays() {
            let harmful = salts.iter().any(|(_, salt)| salt.not_sprayed.is_some());
            self.rule(place, "harmful_mist", harmful, "No salt that is toxic, corrosive or may harm an unborn child is sprayed, since its mist is breathed in: it is held on a wire (common practice, no source).");
        }
    }

    /// A vessel with salts that was alight is filled again.
    fn never_again(&mut self, place: usize, vessel: &Vessel) {
        if !self.plan.salts.is_empty() && !vessel.is_wick() {
            self.rule(place, "refilled_with_salts", true, "With salts nothing is poured into a vessel that was alight: each trial has a clean, cold one, which the plan tells apart by the words for its material (common practice, no source).");
        }
    }

    /// The standing liquid that a step means.
    fn find(&self, place: usize, step: &Step, burnt: bool) -> Option<usize> {
        self.standing.iter().rposition(|one| {
            one.step <= place
                && one.cleared_by.is_none()
                && one.burnt.is_some() == burnt
                && step.liquid.as_ref().is_none_or(|liquid| liquid.liquid.name == one.liquid.liquid.name)
                && step.vessel.as_ref().is_none_or(|vessel| *vessel == one.vessel)
        })
    }

    /// The same, poured by the step itself where it says how much.
    fn found_or_poured(&mut self, place: usize, step: &Step, what: &str) -> Option<usize> {
        if step.amount.is_some() && step.doing != Doing::Burn {
            self.pour(place, step);
        }
        let found = self.find(place, step, false);
        if found.is_none() && self.walked.faults.is_empty() {
            let detail = format!("what is {what} here was never poured: a step before pours it");
            self.walked.fault(step.at, "/liquid", "impossible-value", detail);
        }
        found
    }

    fn heat(&mut self, place: usize, step: &Step) {
        let Some(found) = self.found_or_poured(place, step, "heated") else { return };
        if let Some(one) = self.standing.get_mut(found) {
            one.heated = Some((step.heated_to, step.heated_by));
            one.heater = (!step.on_a_bath()).then_some(place);
            one.step = place;
        }
    }

    fn evaporate(&mut self, place: usize, step: &Step) {
        if step.is_heated() {
            self.heat(place, step);
        } else if let Some(found) = self.found_or_poured(place, step, "evaporated")
            && let Some(one) = self.standing.get_mut(found)
        {
            one.left = true;
        }
    }

    fn burn(&mut self, place: usize, step: &Step) {
        let Some(found) = self.found_or_poured(place, step, "burnt") else { return };
        let Some(one) = self.standing.get(found).cloned() else { return };
        if step.amount.is_some_and(|amount| (amount / one.amount - 1.0).abs() > 1e-9) {
            let detail = format!(
                "{} mL stand in each vessel: what burns is what was poured",
                significant(one.amount, 6)
            );
            self.walked.fault(step.at, "/amount", "impossible-value", detail);
            return;
        }
        if step.vessels.is_some_and(|count| count != one.count) {
            let detail = format!("{} were filled: what burns is what was poured", one.count);
            self.walked.fault(step.at, "/vessels", "impossible-value", detail);
            return;
        }
        let mut drawn = self.plan.drawn_before(place).into_iter();
        let said = self.walked.cautions.iter().any(|(id, _)| id == "drawn_for_later");
        if !said
            && drawn.any(|(name, drawn)| drawn > self.plan.poured_before(place, &name, true) * (1.0 + 1e-9))
        {
            let text = "What is drawn for a later step stands closed and at least 3 m from whatever burns until it is poured; better it is drawn when every flame is out and the waiting time is over (common practice, no source).";
            self.walked.cautions.push((Text::Borrowed("drawn_for_later"), Text::Borrowed(text)));
        }
        if one.heated.is_some() {
            self.rule(place, "lit_when_heated", true, "Nothing is lit that was heated before: it gives off more vapour than the checks of a flame take (common practice, no source).");
        }
        if !self.plan.salts.is_empty() && !one.vessel.is_wick() {
            self.rule(place, "fuel_for_salts", !is_burnt_with_salts(&one.liquid.liquid), "With salts nothing burns in an open vessel but ethanol or propan-2-ol: a flame of methanol is hardly seen and flashes back into a bottle, other liquids soot (common practice, no source).");
            let toxic = self.plan.salts.iter().any(|(_, salt)| salt.is_toxic());
            self.rule(place, "toxic_salt_in_fuel", toxic, "No toxic salt, as of barium, is burnt with liquid in an open vessel, which spits and smokes: a little of it is held on a wire (common practice, no source).");
        }
        let mut request = Map::new();
        request.insert("liquid".into(), one.liquid.raw.clone());
        request.insert("amount".into(), text(one.amount, "mL"));
        request.insert("vessel".into(), one.vessel.value());
        request.insert("vessels".into(), json!(one.count));
        request.insert("room".into(), self.room());
        request.insert("nearest_person".into(), text(self.plan.nearest, "m"));
        if let Some(clear) = self.plan.clear {
            request.insert("clear_height".into(), text(clear, "m"));
        }
        let wait = self.now - one.since;
        if wait > 0.0 {
            request.insert("wait_before_lighting".into(), text(wait, "min"));
        }
        if let Some(stock) = self.nearest_stock() {
            request.insert("stock".into(), stock);
        } else if self.plan.stock_said {
            self.walked.assumptions.push((
                Text::Borrowed("no_stock"),
                Text::Borrowed("No stock bottle is in the room while something burns, as the plan says."),
            ));
        }
        let light = |walk: &mut Self, minutes: f64| {
            let out = walk.now + step.duration.unwrap_or(0.0).max(minutes);
            if let Some(one) = walk.standing.get_mut(found) {
                one.burnt = Some((walk.now, out));
                one.lit_by = Some(place);
                one.until = Some(walk.now);
            }
            walk.now = out;
        };
        if !self.wants("burning", place) && !self.wants_times() {
            light(self, LONGEST_BURN);
            return;
        }
        let map = [
            ("/vessel", "vessel"),
            ("/amount", "amount"),
            ("/liquid", "liquid"),
            ("/nearest_person", "/people/nearest"),
            ("/room", "/room"),
            ("/clear_height", "/clear_height"),
        ];
        let no_stock = self.nearest_stock().is_none();
        let asked = self.ask("burning", request, &Place { step: place, map: &map }, |id| {
            !(no_stock && id == "stock_distance")
        });
        let Some(asked) = asked else { return };
        light(self, asked.burning_time.as_ref().and_then(|time| time.high).unwrap_or(LONGEST_BURN));
    }

    /// The nearest stock bottle; an open one counts before a closed one where it is over its distance.
    fn nearest_stock(&self) -> Option<Value> {
        let in_room = self.plan.stock.iter().filter(|stock| self.plan.stands_by_flames(stock));
        let worst = in_room.min_by(|a, b| {
            let needed = |stock: &super::plan::Stock| stock.distance - if stock.open { 2.0 } else { 0.0 };
            needed(a).total_cmp(&needed(b))
        })?;
        Some(json!({ "distance": text(worst.distance, "m"), "open": worst.open }))
    }

    fn cooling(&self, one: &Standing) -> Map<String, Value> {
        let mut vessel = Map::new();
        vessel.insert(
            "material".into(),
            json!(one.vessel.material.clone().unwrap_or_else(|| "glass".to_owned())),
        );
        vessel.insert("capacity".into(), text(one.vessel.capacity, "mL"));
        vessel.insert("mouth_diameter".into(), text(one.vessel.mouth, "cm"));
        let mut request = Map::new();
        request.insert("vessel".into(), Value::Object(vessel));
        request.insert("mat".into(), json!(self.plan.mat));
        request.insert("burnt".into(), json!({ "liquid": one.liquid.raw, "amount": text(one.amount, "mL") }));
        request.insert("room".into(), self.room());
        request
    }

    fn refill(&mut self, place: usize, step: &Step) {
        let Some(found) = self.find(place, step, true) else {
            let detail = "nothing has burnt in these vessels: say `pour`";
            self.walked.fault(step.at, "/do", "impossible-value", detail);
            return;
        };
        let Some(one) = self.standing.get(found).cloned() else { return };
        let with = step.liquid.clone().unwrap_or_else(|| one.liquid.clone());
        self.salts(place, &with, &one.vessel);
        self.never_again(place, &one.vessel);
        self.waits(place, step, &one, &with);
        if let Some(one) = self.standing.get_mut(found) {
            one.cleared_by = Some(place);
        }
        let Some(amount) = step.amount else {
            self.walked.fault(
                step.at,
                "/amount",
                "missing-field",
                "how much is filled into each vessel, like \"6 mL\"?",
            );
            return;
        };
        self.standing.push(Standing {
            step: place,
            poured_by: place,
            heater: None,
            liquid: with,
            amount,
            since: self.now,
            until: None,
            heated: None,
            burnt: None,
            lit_by: None,
            left: false,
            cleared_by: None,
            ..one
        });
    }

    /// Whether a vessel that burnt has waited for a liquid that is poured into it.
    fn waits(&mut self, place: usize, step: &Step, one: &Standing, with: &Poured) {
        if !self.wants("cooling", place) {
            return;
        }
        let waited = (self.now - one.burnt.map_or(self.now, |(_, out)| out)).max(0.0);
        let mut request = self.cooling(one);
        request.insert("refill_with".into(), with.raw.clone());
        request.insert("waited".into(), text(waited, "min"));
        request.insert("all_flames_out".into(), json!(step.flames_out));
        if let Some(stock) = self.nearest_stock() {
            request.insert("stock".into(), stock);
        }
        let map = [("/refill_with", "liquid"), ("/vessel", "vessel")];
        let no_stock = self.nearest_stock().is_none();
        self.ask("cooling", request, &Place { step: place, map: &map }, |id| {
            !(no_stock && id == "stock_distance")
        });
    }

    fn clear(&mut self, place: usize, step: &Step) {
        let now = self.now;
        let meant: Vec<usize> = self
            .standing
            .iter()
            .enumerate()
            .filter(|(_, one)| {
                one.cleared_by.is_none()
                    && step.liquid.as_ref().is_none_or(|liquid| liquid.liquid.name == one.liquid.liquid.name)
                    && step.vessel.as_ref().is_none_or(|vessel| *vessel == one.vessel)
            })
            .map(|(number, _)| number)
            .collect();
        if meant.is_empty() {
            self.walked.fault(
                step.at,
                "/do",
                "impossible-value",
                "nothing of this was set out or poured: there is nothing to clear",
            );
            return;
        }
        for number in meant {
            let Some(one) = self.standing.get(number).cloned() else { continue };
            if let Some((_, out)) = one.burnt.filter(|_| self.wants_own("cleared_hot")) {
                let waited = (now - out).max(0.0);
                let request = self.cooling(&one);
                let asked = self.ask(
                    "cooling",
                    request,
                    &Place { step: place, map: &[("/vessel", "vessel")] },
                    |_| false,
                );
                let needed = asked
                    .and_then(|asked| asked.waiting_time_to_clear.as_ref().map(|time| time.value))
                    .unwrap_or(f64::INFINITY);
                let rule = "refill_wait";
                let check = super::check::Compared {
                    check: "cleared_hot",
                    question: super::practical::NAME,
                    value: crate::quantity::Estimate::exact(significant(waited, 12)),
                    limit: if needed.is_finite() { needed } else { 1e4 },
                    unit: "min",
                    must_be: MustBe::AtLeast,
                    grounds: self.scope.rules.grounds(rule),
                    evidence: Evidence::Estimated,
                };
                self.own(Some(place), check.decided());
            }
            if let Some(one) = self.standing.get_mut(number) {
                one.cleared_by = Some(place);
                one.until = one.until.or(Some(now));
            }
        }
    }

    /// What is left when all steps are done: what stood open, its sums, the stock, what stands beside.
    fn close(&mut self) {
        let standing = self.standing.clone();
        for one in &standing {
            self.stood_open(one);
            if !self.walked.faults.is_empty() {
                return;
            }
        }
        self.sums();
        if self.wants_own("drawn_left") {
            self.drawn();
        }
        self.stock();
        self.beside();
    }

    /// What a liquid did while it stood open.
    fn stood_open(&mut self, one: &Standing) {
        if self.wants("safe-fill", one.step) {
            self.filled(one);
        }
        if self.wants("evaporation", one.step) {
            self.peroxides(one, one.until.unwrap_or(self.now) - one.since);
        }
    }

    /// How much stands in the vessels.
    fn filled(&mut self, one: &Standing) {
        let open = one.until.unwrap_or(self.now) - one.since;
        let mut request = Map::new();
        request.insert("liquid".into(), one.liquid.raw.clone());
        request.insert("room".into(), self.room());
        let mut vessel = Map::new();
        vessel.insert("capacity".into(), text(one.vessel.capacity, "mL"));
        vessel.insert("mouth_diameter".into(), text(one.vessel.mouth, "cm"));
        if let Some(material) = &one.vessel.material {
            vessel.insert("material".into(), json!(material));
        }
        request.insert("vessel".into(), Value::Object(vessel));
        request.insert("vessels".into(), json!(one.count));
        request.insert("fill".into(), text(one.amount, "mL"));
        request.insert("nearest_person".into(), text(self.plan.nearest, "m"));
        let wick = one.vessel.is_wick();
        let used = if one.heated.is_some() {
            "heated"
        } else if one.burnt.is_some() && !wick {
            "burnt"
        } else {
            "open"
        };
        request.insert("use".into(), json!(used));
        if open > 0.0 && used != "burnt" {
            request.insert("duration".into(), text(open, "min"));
        }
        if let Some((heated_to, heated_by)) = one.heated {
            if let Some(heated) = heated_to {
                request.insert("heated_to".into(), text(heated, "Cel"));
            }
            if let Some(by) = heated_by {
                request.insert("heated_by".into(), json!(by));
            }
        }
        if let Some(clear) = self.plan.clear {
            request.insert("clear_height".into(), text(clear, "m"));
        }
        let over_a_flame = one.heated.is_some_and(|(_, by)| by == Some("flame"));
        let no_other = self.plan.ignition.as_ref().is_some_and(Vec::is_empty);
        if self.beside_flames(one) || self.beside_heater(one) || over_a_flame && no_other {
            request.insert("nearest_ignition".into(), text(0.0, "m"));
        } else {
            self.ignition(&mut request);
        }
        let map = [
            ("/vessel", "vessel"),
            ("/fill", "amount"),
            ("/liquid", "liquid"),
            ("/heated", "heated_to"),
            ("/nearest_person", "/people/nearest"),
            ("/nearest_ignition", "/ignition"),
            ("/room", "/room"),
        ];
        // A burn has been asked of its flames already; a wick keeps its vapour in.
        let burnt = used == "burnt";
        let asked_of_its_flames = |id: &str| {
            matches!(
                id,
                "radiant_heat"
                    | "combustion_gases"
                    | "flame"
                    | "vessel"
                    | "thermal_shock"
                    | "flame_height"
                    | "people_distance"
                    | "burning_spill"
            )
        };
        let burns = one.liquid.liquid.not_flammable().is_none();
        let left_out = |id: &str| {
            burnt && asked_of_its_flames(id) || wick && id == "vessel" || !burns && id == "practice"
        };
        self.ask("safe-fill", request, &Place { step: one.step, map: &map }, |id| !left_out(id));
    }

    /// What forms peroxides is not left to evaporate until little is left; where it stands without a time, until it is dry.
    fn peroxides(&mut self, one: &Standing, open: f64) {
        let evaporates = |step: &Step| matches!(step.doing, Doing::Evaporate | Doing::Heat);
        let named = self.plan.steps.get(one.step).is_some_and(evaporates) || one.left;
        let forms = one.liquid.liquid.substances().any(crate::catalogue::Substance::forms_peroxides);
        if !forms || one.burnt.is_some() || !named {
            return;
        }
        let mut request = Map::new();
        request.insert("liquid".into(), one.liquid.raw.clone());
        request.insert("amount".into(), text(one.amount, "mL"));
        request.insert("count".into(), json!(one.count));
        request.insert("surface".into(), json!({ "diameter": text(one.vessel.mouth, "cm") }));
        request.insert("room".into(), self.room());
        if open > 0.0 {
            request.insert("duration".into(), text(open, "min"));
        }
        if let Some((heated_to, by)) = one.heated {
            request.extend(heated_to.map(|heated| ("heated_to".to_owned(), text(heated, "Cel"))));
            request.extend(by.map(|by| ("heated_by".to_owned(), json!(by))));
        }
        let map =
            [("/amount", "amount"), ("/liquid", "liquid"), ("/surface", "vessel"), ("/heated", "heated_to")];
        self.ask("evaporation", request, &Place { step: one.step, map: &map }, |id| id == "peroxide_residue");
    }

    /// Sums over all that was released and burnt.
    fn sums(&mut self) {
        for (id, limit, unit, rule) in [
            ("room_share", self.scope.rules.number("planned_release_share"), "%", "planned_release_share"),
            ("floor_layer", self.scope.rules.number("floor_layer_depth"), "m", "floor_layer_depth"),
            ("exposure", 1.0, "1", "near_zone_radius"),
            (
                "practice",
                self.scope.rules.number("amount_near_demonstration"),
                "mL",
                "amount_near_demonstration",
            ),
            (
                "carbon_dioxide",
                self.scope.rules.number("carbon_dioxide_limit") * 1e4,
                "[ppm]",
                "carbon_dioxide_limit",
            ),
        ] {
            let values: Vec<&Quantity> = self
                .walked
                .checks
                .iter()
                .filter(|placed| placed.check.check == id)
                .filter_map(|placed| placed.check.value.as_ref())
                .collect();
            if values.len() < 2 {
                continue;
            }
            // The air of the room is counted once.
            #[allow(clippy::cast_precision_loss, reason = "a few values")]
            let twice = if id == "carbon_dioxide" {
                self.scope.rules.number("carbon_dioxide_background") * 1e4 * (values.len() - 1) as f64
            } else {
                0.0
            };
            let sum = |end: fn(&Quantity) -> f64| values.iter().map(|value| end(value)).sum::<f64>() - twice;
            let value = crate::quantity::Estimate::new(
                sum(|value| value.value),
                sum(|value| value.low.unwrap_or(value.value)),
                sum(|value| value.high.unwrap_or(value.value)),
            );
            let mut grounds = self.scope.rules.grounds(rule);
            grounds.text = Text::Owned(format!("The sum over all liquids of the plan. {}", grounds.text));
            let check = super::check::Compared {
                check: match id {
                    "room_share" => "room_share_of_all",
                    "floor_layer" => "floor_layer_of_all",
                    "practice" => "practice_of_all",
                    "carbon_dioxide" => "carbon_dioxide_of_all",
                    _ => "exposure_of_all",
                },
                question: super::practical::NAME,
                value,
                limit,
                unit,
                must_be: MustBe::AtMost,
                grounds,
                evidence: Evidence::Estimated,
            };
            self.own(None, check.decided());
        }
    }

    /// What is drawn and not poured stands at the work.
    fn drawn(&mut self) {
        for (name, drawn) in self.plan.drawn() {
            let poured = self.plan.poured(&name, false);
            let place = self.plan.steps.iter().position(|step| {
                step.doing == Doing::Draw
                    && step.liquid.as_ref().is_some_and(|liquid| liquid.liquid.name == name)
            });
            let Some(place) = place else { continue };
            if poured > drawn * (1.0 + 1e-9) {
                let at = self.plan.steps.get(place).map_or(0, |step| step.at);
                let (poured, drawn) = (significant(poured, 6), significant(drawn, 6));
                let detail = format!(
                    "{drawn} mL of {name} are drawn in all and {poured} mL poured: draw as much first"
                );
                self.walked.fault(at, "/amount", "impossible-value", detail);
                continue;
            }
            let over = drawn > may_be_drawn(self.plan, &name) * (1.0 + 1e-9);
            self.rule(place, "drawn_left", over, "What is drawn is poured: what is left over stands at the work in the smaller container, beside whatever burns or is hot (common practice, no source).");
        }
    }

    /// What each stock bottle does if it is dropped where it stands.
    fn stock(&mut self) {
        if !self.plan.stock_said && super::plan_lists::flammable(self.plan) {
            let said =
                "give `stock`, each bottle with its distance, or an empty list where none is in the room";
            for check in ["spill_reach", "stock_distance"] {
                self.walked.not_considered.push((Text::Borrowed(check), Text::Borrowed(said)));
            }
        }
        let unsaid =
            self.plan.ignition.as_ref().is_none_or(|all| all.iter().any(|source| source.lit.is_none()));
        if unsaid && super::plan_lists::flammable(self.plan) {
            let said =
                "say of each ignition source whether it is lit (`lit`): nothing is poured beside a flame";
            self.walked.not_considered.push((Text::Borrowed("poured_beside_flame"), Text::Borrowed(said)));
        }
        let assumed = self.scope.rules.number("unknown_ignition_distance");
        for (number, stock) in self.plan.stock.iter().enumerate() {
            let burnt = self.plan.stands_by_flames(stock);
            let flame = burnt.then_some(stock.distance);
            let mut request = Map::new();
            request.insert("liquid".into(), stock.liquid.raw.clone());
            request.insert("amount".into(), text(stock.holds, "mL"));
            request.insert("room".into(), self.room());
            // Where it stands to the side of a source is not known: one that is not said to be out counts on the way.
            // Over an open bottle vapour is at hand for any of them.
            let sources =
                self.plan.ignition.iter().flatten().filter(|source| source.may_be_lit() || stock.open);
            let stated = sources.map(|source| (source.distance - stock.distance).abs());
            let nearest = stated.chain(flame).reduce(f64::min);
            match (nearest, self.plan.ignition.as_deref()) {
                (Some(nearest), Some(_)) => {
                    request.insert("nearest_ignition".into(), text(nearest, "m"));
                }
                (None, Some([])) => {
                    request.insert("ignition".into(), json!("none in the room"));
                }
                (None, Some(_)) => {
                    let said = "The ignition sources of the plan are out while the stock stands in the room, as it says: what a dropped bottle reaches was not held against them";
                    self.walked.not_considered.push((Text::Borrowed("spill_reach"), Text::Borrowed(said)));
                    continue;
                }
                // Nothing is said of them: one is assumed, unless a flame of the plan is nearer.
                (flame, None) => {
                    if let Some(flame) = flame.filter(|flame| *flame < assumed) {
                        request.insert("nearest_ignition".into(), text(flame, "m"));
                    }
                }
            }
            let nearest = match self.plan.ignition {
                Some(_) => nearest,
                None => Some(nearest.map_or(assumed, |flame| flame.min(assumed))),
            };
            let known = self.walked.checks.len();
            let wanted = match self.wanted {
                Wanted::One(one) => one.stock == Some(number),
                _ => true,
            };
            if !wanted {
                continue;
            }
            if let Some(nearest) = nearest.filter(|_| stock.open) {
                let rule = "open_stock_distance";
                let check = super::check::Compared {
                    check: "stock_distance",
                    question: super::practical::NAME,
                    value: crate::quantity::Estimate::exact(nearest),
                    limit: self.scope.rules.number(rule),
                    unit: "m",
                    must_be: MustBe::AtLeast,
                    grounds: self.scope.rules.grounds(rule),
                    evidence: Evidence::Measured,
                };
                self.own(None, check.decided());
            }
            let name = &stock.liquid.liquid.name;
            let drawn = self.plan.steps.iter().position(|step| {
                step.doing == Doing::Draw
                    && step.liquid.as_ref().is_some_and(|poured| poured.liquid.name == *name)
            });
            let step = drawn.unwrap_or(0);
            let pointer = format!("/stock/{number}");
            let map = [("", pointer.as_str())];
            if self.wants("spill", step) {
                self.ask("spill", request, &Place { step, map: &map }, |id| id == "spill_reach");
            }
            for placed in self.walked.checks.iter_mut().skip(known) {
                placed.stock = Some(number);
                // Where nothing is drawn from it, it is dropped at no step.
                placed.step = placed.step.and(drawn);
            }
        }
    }

    /// What stands beside against each liquid.
    fn beside(&mut self) {
        if self.plan.beside.is_empty() || !(self.wants("storage", 0) || self.wants_own("burns_beside")) {
            return;
        }
        let lit =
            self.plan.has(Doing::Burn) || self.plan.heaters().next().is_some() || self.lit_source().is_some();
        if lit {
            let catalogue = self.scope.draft.catalogue;
            for beside in &self.plan.beside {
                if named(beside).iter().any(|name| super::storage_advice::burns(name, catalogue)) {
                    let text =
                        "Nothing that burns stands beside a flame or a heater (common practice, no source).";
                    self.own(None, order("burns_beside", true, text, &self.scope.rules));
                }
            }
        }
        for poured in self.plan.liquids().into_iter().cloned().collect::<Vec<_>>() {
            let mut request = Map::new();
            request.insert("liquid".into(), poured.raw.clone());
            request.insert("container".into(), json!({ "capacity": "100 mL" }));
            request.insert("beside".into(), Value::Array(self.plan.beside.clone()));
            if let Some(temperature) = self.plan.room.get("temperature") {
                request.insert("highest_temperature".into(), temperature.clone());
            }
            let map = [("/beside", "/beside")];
            self.ask("storage", request, &Place { step: 0, map: &map }, |id| id == "keep_apart");
        }
    }
}

/// Whether a check is a sum over the whole plan.
#[must_use]
pub fn of_all(placed: &Placed) -> bool {
    placed.check.check.ends_with("_of_all")
}

/// Every name that stands in a neighbour as it was written.
fn named(beside: &Value) -> Vec<&str> {
    match beside {
        Value::String(name) => vec![name],
        Value::Array(all) => all.iter().flat_map(named).collect(),
        Value::Object(map) => map.values().flat_map(named).collect(),
        _ => Vec::new(),
    }
}

/// How much of a liquid may be drawn: what is poured where something burns or is hot, a little more elsewhere.
#[must_use]
pub fn may_be_drawn(plan: &Plan, name: &str) -> f64 {
    let poured = plan.poured(name, true);
    let lit = plan.ignition.iter().flatten().any(|source| source.is_lit());
    if plan.has(Doing::Burn) || plan.heaters().next().is_some() || lit {
        return poured;
    }
    cautious_down(poured / (1.0 - LEFT_SHARE)).max(poured)
}

/// Least share of ethanol and propan-2-ol, by mass, in what burns of a liquid that is burnt with salts (judgement: what makes an alcohol
/// unfit to drink is less).
const USUAL_FUEL: f64 = 0.85;

/// Whether a liquid is one that is burnt with salts in open vessels: ethanol, propan-2-ol, or mostly these.
#[must_use]
pub fn is_burnt_with_salts(liquid: &crate::liquid::Liquid) -> bool {
    liquid.compositions.iter().all(|one| {
        let of = |usual: bool| -> f64 {
            let own = |part: &&crate::liquid::Part| {
                part.substance.not_flammable.is_none()
                    && (!usual || matches!(part.substance.id.as_str(), "ethanol" | "propan-2-ol"))
            };
            one.parts.iter().filter(own).map(crate::liquid::Part::grams).sum()
        };
        of(true) >= USUAL_FUEL * of(false)
    })
}

/// A check in words, as a sentence says it.
#[must_use]
pub fn in_words(id: &str) -> &'static str {
    match id {
        "room_share" | "room_share_of_all" | "room_share_of_limit" => {
            "vapour in the room against its lower flammable limit"
        }
        "floor_layer" | "floor_layer_of_all" => "the vapour layer on the floor",
        "near_field" | "ignition_reach" => "the vapour near the vessels against the nearest ignition source",
        "exposure" | "exposure_of_all" => "what the nearest person breathes",
        "spill" => "what a spill reaches",
        "spill_reach" => "how far the vapour of a dropped stock bottle can be lit",
        "practice" | "practice_of_all" => "the usual practice near a demonstration",
        "vessel" => "how much stands in a vessel",
        "flame" | "alight_at_once" => "how much is alight at once",
        "burnable_liquid" => "whether such a liquid is burnt at all",
        "burnable_vessel" => "the shape of the vessel: a tall one gathers vapour that flashes",
        "thermal_shock" => "glass that is likely to crack",
        "radiant_heat" => "radiant heat at the nearest person",
        "burning_spill" => "what is dropped alight",
        "flame_clearance" => "the flame against what is above it",
        "carbon_dioxide" | "carbon_dioxide_of_all" => "carbon dioxide in the room",
        "lighting_delay" => "vapour that flashes at lighting",
        "people_distance" => "the distance of people from what burns",
        "stock_distance" => "the distance of the stock bottle",
        "refill_wait" => "a refill before the wait is over or the flames are proved out",
        "burns_beside" => "what burns beside a flame or a heater",
        "sprayed_at_flame" => "a liquid that burns, sprayed where something can light it",
        "peroxide_residue" => "a liquid that forms peroxides, evaporated until little is left",
        "oxidiser_in_fuel" => "a salt that gives off oxygen in liquid that can burn",
        "fuel_for_salts" => "a liquid that is not burnt with salts in open vessels",
        "toxic_salt_in_fuel" => "a toxic salt, burnt with liquid in open vessels",
        "harmful_mist" => "a salt that is sprayed, whose mist harms",
        "refilled_with_salts" => "a vessel with salts, filled again after it was alight",
        "lit_when_heated" => "a liquid that is lit when it was heated",
        "drawn_left" => "what is drawn and not poured",
        "cleared_hot" => "vessels handled before they are cold",
        "liquid_after_flame" => "liquid drawn or poured after a flame was lit",
        "poured_beside_flame" => "liquid poured beside a flame",
        "darkened_while_poured" => "pouring in a darkened room",
        "keep_apart" => "what stands beside it",
        "hot_surface" => "a hot surface near the vapour",
        "naked_flame" => "a naked flame under the vessel",
        "halogenated_vapour" => "halogenated vapour near a flame",
        "not_for_school_use" => "a substance that is not for school use",
        _ => "a limit of the plan",
    }
}
