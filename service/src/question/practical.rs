//! `practical`: a whole plan in the order in which it is done. Each step asks the questions that apply to it, with the state that the
//! steps before have left: what is open, what burns, what is hot, what has gathered, where the stock stands.

use super::check::Compared;
use super::draft::{self, Draft};
use super::plan::{Doing, Plan, Step};
use super::reader::Fields;
use super::record::{Group, record};
use super::rules::Rules;
use super::walk::{self, Memo, Walked};
use super::{Composed, Scope, plan_picture};
use crate::quantity::Estimate;
use crate::quantity::round::{four_digits, significant};
use brimline_openapi::{
    Check, Evidence, MustBe, Outcome, PlanAlternative, PracticalReply, Quantity, StepChecked, Text, Verdict,
};

/// The question's name.
pub const NAME: &str = "practical";

/// Reads and answers the question.
pub fn answer(fields: &Fields<'_>, scope: &mut Scope) -> Option<Composed> {
    let mut request = Group::default();
    request.word("question", NAME);
    let plan = Plan::read(fields, &scope.rules, scope.draft.catalogue, &mut request)?;
    let memo = Memo::default();
    let walked = walk::walk(&plan, scope, true, &memo);
    if !walked.faults.is_empty() {
        for fault in walked.faults {
            fields.faults().push(fault);
        }
        return None;
    }
    compose(&plan, walked, scope, request, &memo)
}

fn compose(
    plan: &Plan,
    mut walked: Walked,
    scope: &mut Scope,
    request: Group,
    memo: &Memo,
) -> Option<Composed> {
    let mut draft = scope.draft_taken();
    let scope = &*scope;
    let rules = &scope.rules;
    let remedies = super::mend::mend(plan, &mut walked, scope, memo);
    let alternatives = alternatives(plan, &walked, scope, memo);
    let steps = steps(plan, &walked);
    draft.checks = walked.checks.iter().map(|placed| placed.check.clone()).collect();
    for id in &walked.considered {
        draft.consider_text(id.clone());
    }
    for (id, reason) in &walked.not_considered {
        draft.not_considered_text(id.clone(), reason.clone());
    }
    for (id, text) in &walked.assumptions {
        draft.assume_text(id.clone(), text.clone());
    }
    for (id, text) in &walked.cautions {
        draft.caution_text(id.clone(), text.clone());
    }
    draft.adopt(walked.methods.clone(), walked.sources.clone());
    say(plan, &mut draft, rules);
    let deciding = draft.worst().map(|check| check.check.clone());
    let sentence = sentence(plan, walked.place_of_worst(), remedies.first(), &draft, rules);
    let verdict = Verdict { sentence, outcome: draft.outcome(), complete: draft.complete() };
    let picture = if draft.pictured { plan_picture::picture(plan, &walked, &verdict.sentence) } else { None };
    let record = record(draft.catalogue, request, draft.full).ok()?;
    let reply = PracticalReply {
        verdict: verdict.clone(),
        name: plan.name.clone(),
        governed_by: deciding,
        steps,
        remedies,
        alternatives,
        set_out_list: set_out(plan),
        clear_up_list: clear_up(plan),
        basis: draft.close(rules, record),
    };
    let composed = Composed::of(&reply, &verdict)?;
    Some(Composed { picture, ..composed })
}

/// Each step with its checks and a sentence.
fn steps(plan: &Plan, walked: &Walked) -> Vec<StepChecked> {
    plan.steps
        .iter()
        .enumerate()
        .map(|(place, step)| {
            let own = walked.checks.iter().enumerate().filter(|(_, placed)| placed.step == Some(place));
            let numbers: Vec<u32> =
                own.clone().filter_map(|(number, _)| u32::try_from(number).ok()).collect();
            let worst = own.map(|(_, placed)| &placed.check).max_by(|a, b| draft::milder(a, b));
            let number = u32::try_from(place + 1).unwrap_or(u32::MAX);
            let outcome = worst.map_or(Outcome::NoLimitChecked, |check| check.status);
            let said = match worst {
                Some(check) if check.status == Outcome::OverLimit => {
                    format!("{}: over the limit: {}.", step.words(), walk::in_words(&check.check))
                }
                Some(check) if check.status == Outcome::NearLimit => {
                    format!("{}: near the limit: {}.", step.words(), walk::in_words(&check.check))
                }
                Some(check) if check.status == Outcome::NotAssessed => {
                    format!("{}: not assessed: {}.", step.words(), walk::in_words(&check.check))
                }
                Some(_) => format!("{}: within the limits checked.", step.words()),
                None => format!("{}: no limit applies to it.", step.words()),
            };
            StepChecked {
                step: number,
                doing: step.doing.shown(),
                starts: Quantity::exact(four_digits(walked.starts.get(place).copied().unwrap_or(0.0)), "min"),
                outcome,
                checks: numbers,
                sentence: said,
            }
        })
        .collect()
}

/// The same plan with a less hazardous liquid.
fn alternatives(plan: &Plan, walked: &Walked, scope: &Scope, memo: &Memo) -> Vec<PlanAlternative> {
    let catalogue = scope.draft.catalogue;
    let mut found: Vec<PlanAlternative> = Vec::new();
    for poured in plan.liquids() {
        let Some((id, reason)) =
            poured.liquid.substance().and_then(|substance| substance.alternative.clone())
        else {
            continue;
        };
        let Some(substance) = catalogue.by_id(&id) else { continue };
        if found.iter().any(|known| known.instead_of == poured.liquid.name) {
            continue;
        }
        let other = plan.with_liquid(&poured.liquid.name, substance);
        let after = walk::walk(&other, scope, false, memo);
        if !after.faults.is_empty() || after.outcome() > walked.outcome() {
            continue;
        }
        found.push(PlanAlternative {
            instead_of: poured.liquid.name.clone(),
            liquid: substance.name().to_owned(),
            reason: format!("{} {reason}", substance.name()),
            outcome: after.outcome(),
        });
    }
    found
}

fn say(plan: &Plan, draft: &mut Draft, rules: &Rules) {
    draft.assume("steps_in_order", "Each step begins when the one before has ended; a step without a duration takes no time, a burn as long as it burns.");
    if plan.ignition.is_none() {
        draft.assume_rule("unknown_ignition_distance", rules);
    }
    if plan.has(Doing::Burn) {
        draft.caution("order_of_a_burn", "Decant first, close and carry the stock away, light last; nothing is poured, drawn or filled again until every flame is proved out and the waiting time is over.");
    }
    if plan.steps.iter().any(|step| step.darkened) {
        draft.caution(
            "light_switch",
            "A helper stands at the light switches while the room is dark (common practice, no source).",
        );
    }
    draft.outside("fitness", "whether the practical shows what it is meant to show is not judged");
}

/// An own check of the plan: one that holds or not.
#[must_use]
pub fn order(id: &'static str, over: bool, text: &'static str, rules: &Rules) -> Check {
    let mut grounds = rules.grounds("open_stock_distance");
    grounds.text = Text::Borrowed(text);
    let compared = Compared {
        check: id,
        question: NAME,
        value: Estimate::exact(f64::from(u8::from(over))),
        limit: 0.0,
        unit: "1",
        must_be: MustBe::AtMost,
        grounds,
        evidence: Evidence::Measured,
    };
    compared.decided()
}

/// What is set out, in the order in which it is needed.
fn set_out(plan: &Plan) -> Vec<String> {
    let mut list = vec!["Goggles for everybody, hair and sleeves tied back.".to_owned()];
    for (vessel, count, what) in plan.vessels() {
        list.push(format!(
            "{count} x {}, {} mL, {} cm wide{what}.",
            vessel.named(),
            vessel.capacity,
            vessel.mouth
        ));
    }
    for (name, millilitres) in plan.drawn() {
        list.push(format!(
            "A small labelled container with {} mL of {name}, filled beforehand; the stock bottle goes back closed.",
            significant(millilitres, 4)
        ));
    }
    if plan.has(Doing::Burn) {
        for what in [
            "A heat-resistant mat, nothing that burns around or above it.",
            "A splint on a long handle (about 1 m) to light with.",
            "A lid for each vessel to smother it, and a fire blanket or extinguisher at hand.",
            "Tongs and a sign \"hot\" for afterwards.",
        ] {
            list.push(what.to_owned());
        }
    }
    if plan.has(Doing::Heat) {
        list.push("A water bath, heated before the liquid is brought; boiling stones.".to_owned());
    }
    list.push("Absorbent for a spill, a closed vessel for soaked cloths.".to_owned());
    list
}

/// What is done afterwards.
fn clear_up(plan: &Plan) -> Vec<String> {
    let mut list = Vec::new();
    if plan.has(Doing::Burn) {
        list.push(
            "Cover each vessel to prove that it is out; leave it alone until its waiting time is over."
                .to_owned(),
        );
        list.push("Residues of salts may be kept, except those of copper salts, which decompose in the heat: waste.".to_owned());
    }
    for poured in plan.liquids() {
        for substance in poured.liquid.substances() {
            let Some(group) = substance.file.hazard.as_ref().and_then(|hazard| hazard.waste_group.as_deref())
            else {
                continue;
            };
            let line = if group == "drain" {
                format!("{}: may go down the drain.", substance.name())
            } else {
                format!("{}: collect as {group}; not down the drain.", substance.name())
            };
            if !list.contains(&line) {
                list.push(line);
            }
        }
    }
    list.push("Close every container, put the stock back into its cupboard, air the room.".to_owned());
    list
}

fn sentence(
    plan: &Plan,
    place: Option<usize>,
    remedy: Option<&brimline_openapi::PlanRemedy>,
    draft: &Draft,
    rules: &Rules,
) -> String {
    let worst = draft.worst();
    let marks = draft::marks(worst);
    let at = place
        .and_then(|place| {
            plan.steps.get(place).map(|step: &Step| format!(" at step {} ({})", place + 1, step.doing.word()))
        })
        .unwrap_or_default();
    let must = match (draft.outcome(), worst) {
        (Outcome::OverLimit, Some(check)) => {
            let change = remedy
                .map_or("No change of the plan that was tried mends it.".to_owned(), |remedy| {
                    format!("First: {}", remedy.remedy.text)
                });
            format!("Over the limit{at}: {}{marks}. {change}", walk::in_words(&check.check))
        }
        (Outcome::NotAssessed, Some(check)) => {
            format!("Not assessed{at}: {}{marks}.", walk::in_words(&check.check))
        }
        (Outcome::NearLimit, Some(check)) => {
            format!("Within the limits checked, nearest{at}: {}{marks}.", walk::in_words(&check.check))
        }
        (Outcome::WithinLimit, Some(_)) => format!("The plan is within the limits checked{marks}."),
        _ => "No limit was checked.".to_owned(),
    };
    let must = if draft.complete() { must } else { format!("{must} Not everything was considered.") };
    draft::sentence(rules, &must, "", "")
}
