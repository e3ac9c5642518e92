//! What is set out for a plan and what is done afterwards, in the order in which it is needed.

use super::plan::{Doing, Plan};
use crate::quantity::round::significant;
use serde_json::Value;

/// Metals whose salts colour flames or are waste of their own.
const METALS: [&str; 10] = [
    "barium",
    "caesium",
    "calcium",
    "copper",
    "lithium",
    "magnesium",
    "potassium",
    "rubidium",
    "sodium",
    "strontium",
];
/// What makes the name of a metal that of a salt.
const ANIONS: [&str; 13] = [
    "acetate",
    "borate",
    "bromide",
    "carbonate",
    "chlorate",
    "chloride",
    "ethanoate",
    "fluoride",
    "hydroxide",
    "iodide",
    "nitrate",
    "sulfate",
    "sulphate",
];

/// Metals whose salts are waste of their own.
const HEAVY: [&str; 2] = ["Ba", "Cu"];

/// Whether the plan has salts, or one stands beside; its name is no part of what was asked.
#[must_use]
pub fn names_a_salt(plan: &Plan) -> bool {
    !plan.salts.is_empty() || plan.beside.iter().filter_map(Value::as_str).any(is_of_a_salt)
}

fn is_of_a_salt(text: &str) -> bool {
    let text = text.to_lowercase();
    let words: Vec<&str> = text.split(|letter: char| !letter.is_alphabetic()).collect();
    let one_of = |known: &[&str]| words.iter().any(|word| known.contains(word));
    let salt = |word: &&str| word.starts_with("salt") || matches!(*word, "borax" | "boric");
    words.iter().any(salt) || one_of(&METALS) && one_of(&ANIONS)
}

/// Whether something in it burns, or is not known not to.
#[must_use]
pub fn flammable(plan: &Plan) -> bool {
    let stock = plan.stock.iter().map(|stock| &stock.liquid);
    uses_flammable(plan) || stock.into_iter().any(|poured| poured.liquid.not_flammable().is_none())
}

/// The same of what its steps use.
#[must_use]
pub fn uses_flammable(plan: &Plan) -> bool {
    plan.liquids().into_iter().any(|poured| poured.liquid.not_flammable().is_none())
}

/// Whether what burns burns from wicks alone.
fn on_wicks(plan: &Plan) -> bool {
    let mut vessels = plan.vessels().into_iter().peekable();
    vessels.peek().is_some() && vessels.all(|(vessel, ..)| vessel.is_wick())
}

/// What is set out.
#[must_use]
pub fn set_out(plan: &Plan) -> Vec<String> {
    let burns = plan.has(Doing::Burn);
    let flammable = flammable(plan);
    let mut list = vec!["Goggles for everybody, hair and sleeves tied back.".to_owned()];
    let lit: Vec<&str> = plan
        .ignition
        .iter()
        .flatten()
        .filter(|source| source.is_lit())
        .map(|source| source.kind.as_str())
        .collect();
    if flammable {
        let but =
            if lit.is_empty() { String::new() } else { format!("; the plan has lit: {}", lit.join(", ")) };
        list.push(format!("Gas and every other ignition source off before a bottle is opened{but}."));
    }
    if flammable || burns || !lit.is_empty() {
        list.push(
            "A fire extinguisher suited to burning liquids (class B) and a fire blanket at hand.".to_owned(),
        );
    }
    for (vessel, count, what) in plan.vessels() {
        list.push(format!(
            "{count} x {}, {} mL, {} cm wide{what}.",
            vessel.named(),
            vessel.capacity,
            vessel.mouth
        ));
    }
    if flammable || burns {
        let smother = if burns { ", to smother it" } else { "" };
        list.push(format!("A lid for each vessel{smother}."));
    }
    for (name, millilitres) in plan.drawn() {
        list.push(format!(
            "A small labelled container with {} mL of {name}, filled beforehand; the stock bottle goes back closed.",
            significant(millilitres, 4)
        ));
    }
    if burns {
        for what in [
            "A heat-resistant mat, nothing that burns around or above it.",
            "A splint on a long handle (about 1 m) to light with.",
            "Tongs and a sign \"hot\" for afterwards.",
        ] {
            list.push(what.to_owned());
        }
    }
    for heater in heaters(plan) {
        list.push(format!("{heater}; boiling stones."));
    }
    list.extend(for_salts(plan, burns));
    list.push("Absorbent for a spill, a closed vessel for soaked cloths.".to_owned());
    list
}

/// The salts of a plan that are waste of their own, and give off what is not breathed.
fn heavy(plan: &Plan) -> impl Iterator<Item = &str> {
    let own = plan.salts.iter().filter(|(element, _)| HEAVY.contains(&element.symbol.as_str()));
    own.map(|(_, salt)| salt.name.as_str())
}

/// What the salts of a plan need.
fn for_salts(plan: &Plan, burns: bool) -> Vec<String> {
    let mut list = Vec::new();
    if plan.salts.is_empty() {
        return list;
    }
    let harmful: Vec<String> = plan
        .salts
        .iter()
        .filter_map(|(_, salt)| Some(format!("{} ({})", salt.name, salt.not_sprayed.as_deref()?)))
        .collect();
    if !harmful.is_empty() {
        let how = if burns { "" } else { "; held on a wire, not sprayed" };
        list.push(format!("Gloves for {}{how}.", harmful.join(", ")));
    }
    let fumes: Vec<&str> = heavy(plan).collect();
    if !fumes.is_empty() {
        let names = fumes.join(", ");
        list.push(format!("A fume cupboard, or a room that is well aired, for what {names} gives off."));
    }
    if burns && !on_wicks(plan) {
        list.push("A clean, cold vessel for each salt.".to_owned());
    } else if burns {
        list.push(
            "A clean wire for each salt, with a handle: no salt into what the wick draws from.".to_owned(),
        );
    } else if !uses_flammable(plan) {
        list.push("A clean wire for each salt, with a handle; the flame of a gas burner on a heat-resistant mat, clear of everything that burns.".to_owned());
    }
    list
}

/// What heats, as the plan says it, each once.
fn heaters(plan: &Plan) -> Vec<&'static str> {
    let mut all = Vec::new();
    for step in plan.steps.iter().filter(|step| step.doing == Doing::Heat) {
        let heater = match step.heated_by {
            Some("water_bath") => "A water bath, heated before the liquid is brought",
            Some("steam_bath") => "A steam bath, heated before the liquid is brought",
            Some("hot_plate") => "A hot plate, as the plan says",
            Some("heating_mantle") => "A heating mantle, as the plan says",
            Some("lamp") => "A lamp to heat with, as the plan says",
            Some("flame") => "A burner with its tripod and gauze, as the plan says",
            _ => "What heats it: the plan does not say",
        };
        if !all.contains(&heater) {
            all.push(heater);
        }
    }
    all
}

/// What is done afterwards.
#[must_use]
pub fn clear_up(plan: &Plan) -> Vec<String> {
    let mut list = Vec::new();
    let salts = names_a_salt(plan);
    if plan.has(Doing::Burn) {
        list.push(
            "Cover each vessel to prove that it is out; leave it alone until its waiting time is over."
                .to_owned(),
        );
        let used = if salts { "Residues of salts" } else { "If salts were used: their residues" };
        list.push(format!(
            "{used} may be kept, except those of copper salts, which decompose in the heat, and of barium salts: heavy-metal waste."
        ));
    }
    // Liquid with such salts in it goes where they go.
    let heavy: Vec<&str> = heavy(plan).filter(|_| !on_wicks(plan)).collect();
    for poured in plan.liquids() {
        let groups: Vec<(&str, Option<&str>)> = poured
            .liquid
            .substances()
            .map(|substance| {
                let hazard = substance.file.hazard.as_ref();
                (substance.name(), hazard.and_then(|hazard| hazard.waste_group.as_deref()))
            })
            .collect();
        // What is mixed with anything else goes where that goes.
        let drain = groups.iter().all(|(_, group)| *group == Some("drain"));
        for (name, group) in groups {
            let line = match group {
                Some("drain") | None if !(drain && group.is_some()) => continue,
                _ if !heavy.is_empty() => format!(
                    "{name} with {} in it: collect it as heavy-metal waste; not down the drain.",
                    heavy.join(", ")
                ),
                Some("drain") if salts => format!(
                    "{name} with salts in it: collect it; down the drain only where local rules allow it (common practice, no source)."
                ),
                Some("drain") => format!(
                    "{name}: down the drain with nothing in it; with salts in it collect it, and down the drain only where local rules allow it (common practice, no source)."
                ),
                Some(group) => format!("{name}: collect as {group}; not down the drain."),
                None => continue,
            };
            if !list.contains(&line) {
                list.push(line);
            }
        }
    }
    let stock = if plan.stock.is_empty() { "" } else { " put the stock back into its cupboard," };
    list.push(format!("Close every container,{stock} air the room."));
    list
}

#[cfg(test)]
mod tests {
    use super::is_of_a_salt;

    #[test]
    fn a_salt_is_known_by_its_name() {
        for text in [
            "Salt water sprayed",
            "salts",
            "saltwater",
            "copper(II) chloride",
            "Strontium nitrate, lab S3",
            "boric acid",
        ] {
            assert!(is_of_a_salt(text), "{text}");
        }
        for text in [
            "methylene chloride",
            "copper dish",
            "ethyl acetate",
            "basalt",
            "Comparing alcohol burners, lab S3",
            "",
        ] {
            assert!(!is_of_a_salt(text), "{text}");
        }
    }
}
