//! Random plans, the same for the same number; and a plan with the changes of a reply applied, as a caller would.

use serde_json::{Value, json};

const LIQUIDS: [&str; 9] = [
    "ethanol",
    "propan-2-ol",
    "butan-1-ol",
    "propanone",
    "heptane",
    "methanol",
    "ethyl ethanoate",
    "denatured alcohol",
    "limonene",
];

/// Numbers that look random: splitmix64 (public domain).
#[derive(Debug)]
pub struct Dice(pub u64);

impl Dice {
    /// The next number.
    pub fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A whole number, both ends among them.
    pub fn between(&mut self, low: u64, high: u64) -> u64 {
        low + self.roll() % (high - low + 1)
    }

    /// True once in so many times.
    pub fn one_in(&mut self, sides: u64) -> bool {
        self.roll().is_multiple_of(sides)
    }

    /// A number of tenths, written with its point.
    pub fn tenths(&mut self, low: u64, high: u64) -> String {
        let number = self.between(low, high);
        format!("{}.{}", number / 10, number % 10)
    }
}

/// A plan: one or two liquids, open, heated on a water bath or burnt; bottles, ignition sources and mistakes in the order by chance.
#[must_use]
pub fn random(number: u64) -> Value {
    let dice = &mut Dice(number);
    let vessel = |dice: &mut Dice| {
        let shapes = [
            json!({ "capacity": "80 mL", "mouth_diameter": "7 cm", "material": "porcelain" }),
            json!({ "capacity": "100 mL", "mouth_diameter": "6 cm", "material": "soda-lime glass" }),
            json!({ "capacity": "150 mL", "mouth_diameter": "4 cm", "material": "borosilicate glass" }),
            json!({ "capacity": "250 mL", "mouth_diameter": "7 cm", "material": "borosilicate glass" }),
        ];
        shapes[usize::try_from(dice.roll() % 4).unwrap_or(0)].clone()
    };
    let liquid = |dice: &mut Dice| LIQUIDS[usize::try_from(dice.roll() % LIQUIDS.len() as u64).unwrap_or(0)];
    let (first, second) = (liquid(dice), liquid(dice));
    let (amount, vessels) = (dice.between(1, 30), dice.between(1, 8));
    let shape = vessel(dice);
    let mut steps = vec![
        json!({ "do": "draw", "liquid": first, "amount": format!("{} mL", amount * vessels) }),
        json!({ "do": "pour", "liquid": first, "amount": format!("{amount} mL"), "vessel": shape, "vessels": vessels }),
    ];
    if dice.one_in(3) {
        steps.push(json!({ "do": "wait", "duration": format!("{} min", dice.between(0, 15)) }));
    }
    let kind = dice.between(0, 5);
    let long = dice.between(1, 40);
    match kind {
        0 => steps.push(json!({ "do": "evaporate", "duration": format!("{} min", long * 2) })),
        1 => steps.push(json!({ "do": "heat", "heated_to": format!("{} Cel", dice.between(25, 70)), "heated_by": "water_bath", "duration": format!("{long} min") })),
        _ => {
            steps.push(json!({ "do": "burn" }));
            if dice.one_in(5) {
                steps.push(json!({ "do": "draw", "liquid": first, "amount": "5 mL" }));
            }
            steps.push(json!({ "do": "wait", "duration": format!("{long} min") }));
            if dice.one_in(4) {
                steps.push(json!({ "do": "refill", "amount": format!("{amount} mL"), "all_flames_out": dice.one_in(2) }));
            }
        }
    }
    if dice.one_in(4) {
        let other = json!({ "capacity": "90 mL", "mouth_diameter": "5 cm", "material": "glass" });
        let place = usize::try_from(dice.between(2, steps.len() as u64)).unwrap_or(2);
        steps.insert(place, json!({ "do": "pour", "liquid": second, "amount": format!("{} mL", dice.between(1, 20)), "vessel": other, "vessels": dice.between(1, 4), "darkened": dice.one_in(4) }));
    }
    steps.push(json!({ "do": "clear", "all_flames_out": dice.one_in(2) }));
    let bottles = dice.between(1, 2);
    let stock: Vec<Value> = (0..bottles)
        .map(|place| {
            let held = if place == 0 { first } else { second };
            let size = [300, 500, 1000][usize::try_from(dice.roll() % 3).unwrap_or(0)];
            json!({ "liquid": held, "container": format!("{size} mL"), "distance": format!("{} m", dice.tenths(3, 60)), "open": dice.one_in(4) })
        })
        .collect();
    let kinds = ["gas tap", "gas burner", "drying oven"];
    let sources: Vec<Value> = (0..dice.between(0, 2))
        .map(|place| {
            let kind = kinds[usize::try_from(place).unwrap_or(0)];
            json!({ "kind": kind, "distance": format!("{} m", dice.tenths(5, 70)), "lit": dice.one_in(5) })
        })
        .collect();
    let mut plan = json!({
        "room": { "volume": format!("{} m3", dice.between(40, 300)), "temperature": format!("{} Cel", dice.between(15, 28)), "pressure": "101.325 kPa", "air_changes": format!("{} /h", dice.between(0, 8)) },
        "people": { "nearest": format!("{} m", dice.tenths(5, 50)), "count": dice.between(1, 30) },
        "steps": steps,
        "stock": stock,
        "ignition": sources,
        "mat": dice.one_in(2),
        "clear_height": format!("{} m", dice.tenths(5, 25)),
    });
    if dice.one_in(8) {
        plan["beside"] = json!(["oxidisers"]);
    }
    plan
}

/// Applies the changes of a reply to its plan, in their order.
#[must_use]
pub fn mended(plan: &Value, remedies: &[Value]) -> Value {
    let mut plan = plan.clone();
    for remedy in remedies {
        let (field, to) = (text(remedy, "field"), text(remedy, "to"));
        let place = |pointer: &str| {
            pointer.rsplit('/').next().and_then(|last| last.parse::<usize>().ok()).unwrap_or(0)
        };
        let list = |plan: &mut Value, name: &str| plan[name].as_array().cloned().unwrap_or_default();
        match text(remedy, "change") {
            "order" if to.starts_with("before ") => {
                let mut steps = list(&mut plan, "steps");
                let step = steps.remove(place(field));
                steps.insert(place(to.trim_start_matches("before ")), step);
                plan["steps"] = Value::Array(steps);
            }
            "insert" => {
                let mut steps = list(&mut plan, "steps");
                steps.insert(place(field), serde_json::from_str(to).unwrap_or_default());
                plan["steps"] = Value::Array(steps);
            }
            "remove" => {
                let name = if field.starts_with("/steps/") { "steps" } else { "beside" };
                let mut all = list(&mut plan, name);
                all.remove(place(field));
                plan[name] = Value::Array(all);
            }
            _ => set(&mut plan, field, to),
        }
        for also in remedy["also"].as_array().into_iter().flatten() {
            set(&mut plan, text(also, "field"), text(also, "to"));
        }
    }
    plan
}

/// What is poured of each liquid in all, mL.
fn poured(plan: &Value, again: bool) -> Vec<(String, f64)> {
    let (mut liquid, mut count) = (String::new(), 1.0);
    let mut all: Vec<(String, f64)> = Vec::new();
    for step in plan["steps"].as_array().into_iter().flatten() {
        if let Some(named) = step.get("liquid") {
            liquid = named.to_string();
        }
        count = step["vessels"].as_f64().unwrap_or(if step.get("vessel").is_some() { 1.0 } else { count });
        if step["do"] == "draw" || step.get("amount").is_none() || !again && step["do"] == "refill" {
            continue;
        }
        let each = millilitres(step);
        match all.iter_mut().find(|(known, _)| *known == liquid) {
            Some((_, sum)) => *sum += each * count,
            None => all.push((liquid.clone(), each * count)),
        }
    }
    all
}

fn written(step: &Value) -> String {
    step["liquid"].to_string()
}

fn millilitres(step: &Value) -> f64 {
    text(step, "amount").split(' ').next().and_then(|number| number.parse().ok()).unwrap_or(0.0)
}

/// Draws as much more than another plan as is poured more.
pub fn draw_as_before(plan: &mut Value, other: &Value) {
    let of = |all: &[(String, f64)], liquid: &str| {
        all.iter().find(|(known, _)| known == liquid).map_or(0.0, |(_, sum)| *sum)
    };
    for (liquid, _) in poured(other, true) {
        let draws = other["steps"].as_array().into_iter().flatten();
        let draws = draws.filter(|step| step["do"] == "draw" && written(step) == liquid);
        // A refill is drawn before, or not said to be.
        let again = draws.map(millilitres).sum::<f64>() >= of(&poured(other, true), &liquid) * (1.0 - 1e-9);
        let more = of(&poured(plan, again), &liquid) - of(&poured(other, again), &liquid);
        let steps = plan["steps"].as_array_mut().into_iter().flatten();
        let draws = steps.filter(|step| step["do"] == "draw" && written(step) == liquid);
        let largest =
            draws.reduce(|one, other| if millilitres(other) > millilitres(one) { other } else { one });
        if let Some(step) = largest.filter(|_| more != 0.0) {
            step["amount"] = json!(format!("{} mL", millilitres(step) + more));
        }
    }
}

fn text<'a>(value: &'a Value, name: &str) -> &'a str {
    value[name].as_str().unwrap_or_default()
}

/// Sets a field of a plan.
pub fn set(plan: &mut Value, field: &str, to: &str) {
    let (parent, name) = field.rsplit_once('/').unwrap_or_default();
    let value = match name {
        "vessels" | "vessel" | "ignition" | "darkened" | "open" | "returned" | "lit" | "all_flames_out" => {
            serde_json::from_str(to).unwrap_or_default()
        }
        _ => json!(to),
    };
    if let Some(parent) = plan.pointer_mut(parent) {
        parent[name] = value;
    }
}
