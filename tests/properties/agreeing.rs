//! What a reply shows agrees with itself: the status of each check with its figures, what is named with what comes of it.

use brimline_openapi::document::EXAMPLES;
use brimline_tests::ask;
use brimline_tests::plans::{self, Dice};
use serde_json::{Value, json};

const LIQUIDS: [&str; 14] = [
    "ethanol",
    "methanol",
    "propan-2-ol",
    "butan-1-ol",
    "propanone",
    "hexane",
    "heptane",
    "pentane",
    "limonene",
    "ethyl ethanoate",
    "denatured alcohol",
    "dichloromethane",
    "ethane-1,2-diol",
    "cyclohexanol",
];

fn one_of<'a>(dice: &mut Dice, all: &[&'a str]) -> &'a str {
    all[usize::try_from(dice.roll() % all.len() as u64).unwrap()]
}

fn liquid(dice: &mut Dice) -> Value {
    if dice.one_in(6) {
        let part = |name: &str, amount: u64| json!({ "substance": name, "quantity": format!("{amount} mL") });
        let other = one_of(dice, &["water", "propanone", "hexane"]);
        let share = dice.between(5, 95);
        return json!({ "mixture": [part("ethanol", share), part(other, 100 - share)] });
    }
    json!(one_of(dice, &LIQUIDS))
}

/// A random request of a question; inputs that may be left out often are.
fn request(question: &str, dice: &mut Dice) -> Value {
    let mut asked = json!({ "detail": "figures" });
    let room = json!({
        "volume": format!("{} m3", dice.between(30, 400)), "temperature": format!("{} Cel", dice.between(10, 30)),
        "pressure": "101.325 kPa", "air_changes": format!("{} /h", dice.between(0, 8)),
    });
    let vessel = json!({
        "capacity": format!("{} mL", dice.between(20, 500)), "mouth_diameter": format!("{} cm", dice.between(2, 9)),
        "material": one_of(dice, &["borosilicate glass", "porcelain", "soda-lime glass", "steel"]),
    });
    let distance = |dice: &mut Dice| format!("{} m", dice.tenths(2, 60));
    if question != "comparison" && question != "cooling" {
        asked["liquid"] = liquid(dice);
    }
    if !matches!(question, "vapour-pressure" | "cooling" | "storage") {
        asked["room"] = room;
    }
    let amount = format!("{} mL", dice.tenths(1, 4000));
    let surface = json!({ "diameter": format!("{} cm", dice.between(3, 60)) });
    if !matches!(
        question,
        "vapour-pressure"
            | "cooling"
            | "exposure"
            | "burning"
            | "room-flammable-limit"
            | "flash-point-margin"
    ) && dice.one_in(2)
    {
        asked["nearest_ignition"] = json!(distance(dice));
    }
    match question {
        "vapour-pressure" => asked["temperature"] = json!(format!("{} Cel", dice.between(5, 60))),
        "evaporation" => {
            asked["amount"] = json!(amount);
            asked["surface"] = surface;
            if dice.one_in(2) {
                asked["duration"] = json!(format!("{} min", dice.between(1, 90)));
            }
            if dice.one_in(4) {
                asked["soaked"] = json!(true);
            }
            if dice.one_in(4) {
                asked["heated_to"] = json!(format!("{} Cel", dice.between(25, 55)));
            }
        }
        "spill" => {
            asked["amount"] = json!(format!("{} mL", dice.between(1, 6000)));
            asked["floor"] = json!(one_of(dice, &["smooth", "rough", "absorbent"]));
            if dice.one_in(4) {
                asked["heated_to"] = json!(format!("{} Cel", dice.between(25, 55)));
            }
            if dice.one_in(8) {
                asked["alight"] = json!(true);
            }
        }
        "safe-fill" => {
            asked["vessel"] = vessel;
            asked["vessels"] = json!(dice.between(1, 12));
            asked["use"] = json!(one_of(dice, &["open", "heated", "burnt", "burnt"]));
            if dice.one_in(2) {
                asked["container"] =
                    json!({ "amount": format!("{} mL", dice.between(10, 600)), "distance": distance(dice) });
            }
            if dice.one_in(2) {
                asked["nearest_person"] = json!(distance(dice));
            }
            if dice.one_in(2) {
                asked["clear_height"] = json!(distance(dice));
            }
            if dice.one_in(3) {
                asked["fill"] = json!(format!("{} mL", dice.tenths(1, 200)));
            }
        }
        "exposure" => {
            asked["source"] = json!({ "amount": amount, "surface": surface });
            asked["duration"] = json!(format!("{} min", dice.between(5, 300)));
            asked["distance"] = json!(distance(dice));
        }
        "burning" => {
            asked["amount"] = json!(format!("{} mL", dice.tenths(1, 200)));
            asked["vessel"] = vessel;
            asked["vessels"] = json!(dice.between(1, 12));
            asked["nearest_person"] = json!(distance(dice));
            asked["clear_height"] = json!(distance(dice));
            asked["wait_before_lighting"] = json!(format!("{} min", dice.between(0, 10)));
            asked["stock"] = json!({ "distance": distance(dice), "open": dice.one_in(2) });
        }
        "cooling" => {
            asked["vessel"] = vessel;
            asked["burnt"] = json!({ "liquid": "ethanol", "amount": format!("{} mL", dice.between(1, 20)) });
            asked["refill_with"] = json!(one_of(dice, &LIQUIDS));
            asked["waited"] = json!(format!("{} min", dice.between(1, 60)));
            asked["stock"] = json!({ "distance": distance(dice), "open": dice.one_in(2) });
        }
        "storage" => {
            let capacity = dice.between(100, 2500);
            asked["container"] = json!({ "capacity": format!("{capacity} mL"), "filled": format!("{} mL", dice.between(10, capacity)) });
            asked["highest_temperature"] = json!(format!("{} Cel", dice.between(15, 45)));
            asked["beside"] = json!([one_of(dice, &LIQUIDS), one_of(dice, &["oxidisers", "acids", "water"])]);
            asked["place"] = json!(one_of(dice, &["cupboard", "bench"]));
        }
        "comparison" => {
            asked["liquids"] = json!([one_of(dice, &LIQUIDS[..7]), one_of(dice, &LIQUIDS[7..])]);
            asked["use"] = json!(one_of(dice, &["open", "burnt"]));
            asked["amount"] = json!(format!("{} mL", dice.between(1, 20)));
            asked["vessel"] =
                json!({ "capacity": "80 mL", "mouth_diameter": "7 cm", "material": "porcelain" });
            asked["nearest_person"] = json!(distance(dice));
        }
        "room-flammable-limit" => asked["released"] = json!(amount),
        _ => {
            if dice.one_in(2) {
                asked["heated_to"] = json!(format!("{} Cel", dice.between(30, 60)));
            }
        }
    }
    asked
}

/// Every check anywhere in a reply, those of the liquids and steps in it among them.
fn checks(reply: &Value) -> Vec<&Value> {
    match reply {
        Value::Array(all) => all.iter().flat_map(checks).collect(),
        Value::Object(all) => {
            let own = (reply.get("must_be").is_some() && reply.get("status").is_some()).then_some(reply);
            own.into_iter().chain(all.values().flat_map(checks)).collect()
        }
        _ => Vec::new(),
    }
}

/// The status follows from value, limit and side: 4 digits are given, of temperatures tenths.
fn agrees(check: &Value) -> Result<(), String> {
    let status = check["status"].as_str().unwrap();
    let Some(value) = check.get("value").filter(|value| !value.is_null()) else {
        return if status == "not_assessed" { Ok(()) } else { Err(format!("no value: {check}")) };
    };
    if status == "not_assessed" {
        return Ok(());
    }
    let at_least = check["must_be"] == "at_least";
    let end = if at_least { "low" } else { "high" };
    let unfavourable = value.get(end).unwrap_or(&value["value"]).as_f64().unwrap();
    let limit = check["limit"]["value"].as_f64().unwrap();
    if value["unit"] != check["limit"]["unit"] {
        return Err(format!("two units: {check}"));
    }
    let slack = if value["unit"] == "K" { 0.1 } else { 1e-3 * unfavourable.abs().max(limit.abs()) };
    let over = if at_least { limit - unfavourable } else { unfavourable - limit };
    let near = if at_least { limit - 0.8 * unfavourable } else { unfavourable - 0.8 * limit };
    // Beside a limit of nothing there is no near; a flame without a thermostat is near at best.
    let near_is_defined = limit > 0.0 && unfavourable > 0.0 && check["check"] != "naked_flame";
    let fits = match status {
        "over_limit" => over > -slack,
        "near_limit" => over <= slack && (!near_is_defined || near > -slack),
        "within_limit" => over <= slack && (!near_is_defined || near <= slack),
        _ => false,
    };
    if fits { Ok(()) } else { Err(format!("{status}: {check}")) }
}

/// Nothing over its limit, but not everything looked at: the sentence says so.
fn says_what_is_missing(reply: &Value) -> bool {
    let passes = reply["outcome"] == "within_limit" || reply["outcome"] == "near_limit";
    let said = ["Not everything", "not assessed", "could not be assessed", "not known"];
    let sentence = reply["sentence"].as_str().unwrap_or_default();
    !passes || reply["complete"] == true || said.iter().any(|words| sentence.contains(words))
}

#[test]
fn the_status_of_every_check_follows_from_its_figures() {
    let mut wrong = Vec::new();
    let mut look = |question: &str, asked: &Value, reply: &Value| {
        for check in checks(reply) {
            if let Err(why) = agrees(check) {
                wrong.push(format!("{question}: {why}\n   {asked}"));
            }
        }
        checks(reply).len()
    };
    for (question, examples) in EXAMPLES {
        for (_, asked, reply) in *examples {
            look(question, &serde_json::from_str(asked).unwrap(), &serde_json::from_str(reply).unwrap());
        }
    }
    let (mut answered, mut made) = (0, 0);
    for number in 0..26 {
        for (question, _) in EXAMPLES {
            let dice = &mut Dice(number * 100 + question.len() as u64);
            let asked =
                if *question == "practical" { plans::random(number) } else { request(question, dice) };
            let Ok(reply) = ask(question, &asked) else { continue };
            answered += 1;
            made += look(question, &asked, &reply);
        }
    }
    assert!(answered >= 250 && made > 1000, "{answered} replies with {made} checks");
    assert!(wrong.is_empty(), "{} disagree:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn a_sentence_of_a_reply_that_is_not_complete_says_so() {
    let mut silent = Vec::new();
    for (question, examples) in EXAMPLES {
        for (case, _, reply) in *examples {
            let reply: Value = serde_json::from_str(reply).unwrap();
            if !says_what_is_missing(&reply) {
                silent.push(format!("{question}/{case}: {}", reply["sentence"]));
            }
        }
    }
    for number in 0..40 {
        for question in ["evaporation", "spill", "safe-fill"] {
            let asked = request(question, &mut Dice(number));
            let Ok(reply) = ask(question, &asked) else { continue };
            if !says_what_is_missing(&reply) {
                silent.push(format!("{question}: {}\n   {asked}", reply["sentence"]));
            }
        }
    }
    assert!(silent.is_empty(), "{}", silent.join("\n"));
}

fn status<'a>(reply: &'a Value, id: &str) -> &'a str {
    let mut all = reply["checks"].as_array().unwrap().iter();
    all.find(|check| check["check"] == id).map_or("", |check| check["status"].as_str().unwrap())
}

#[test]
fn a_distance_and_an_amount_asked_back_are_not_over() {
    let (mut distances, mut amounts) = (0, 0);
    for number in 0..200 {
        for (question, id) in [("evaporation", "ignition_reach"), ("spill", "spill_reach")] {
            let asked = request(question, &mut Dice(number));
            let Ok(reply) = ask(question, &asked) else { continue };
            let figure = |name: &str| reply[name]["value"].as_f64();
            if let Some(metres) = figure("ignitable_distance") {
                let mut back = asked.clone();
                back["nearest_ignition"] = json!(format!("{metres} m"));
                // A distance that lies beyond the room is refused.
                if let Ok(after) = ask(question, &back) {
                    assert_ne!(
                        status(&after, id),
                        "over_limit",
                        "{metres} m of {asked}: {}",
                        after["checks"]
                    );
                    distances += 1;
                }
            }
            if let Some(amount) = figure("largest_amount").filter(|amount| *amount > 0.01) {
                let mut back = asked.clone();
                back["amount"] = json!(format!("{amount} mL"));
                let after = ask(question, &back).unwrap();
                for id in [id, "room_share_of_limit"] {
                    assert_ne!(
                        status(&after, id),
                        "over_limit",
                        "{amount} mL of {asked}: {}",
                        after["checks"]
                    );
                }
                amounts += 1;
            }
        }
    }
    assert!(distances > 150 && amounts > 60, "{distances} distances, {amounts} amounts");
}

/// A flame 1 cm from the edge of a pool warms it, however cold the liquid is.
#[test]
fn a_flame_keeps_a_metre_from_the_pool_of_a_liquid_below_its_flash_point() {
    let room = json!({ "volume": "1000 m3", "temperature": "21 Cel", "pressure": "101.325 kPa", "air_changes": "3 /h", "floor_area": "250 m2" });
    let at = |amount: &str, distance: &str| {
        let asked =
            json!({ "liquid": "butan-1-ol", "amount": amount, "room": room, "nearest_ignition": distance });
        status(&ask("spill", &asked).unwrap(), "spill_reach").to_owned()
    };
    // 8.7 L at 0.7 mm: a circle of 1.99 m; and 1 m.
    assert_eq!(at("8.7 L", "2 m"), "over_limit");
    assert_eq!(at("8.7 L", "2.98 m"), "over_limit");
    assert_eq!(at("8.7 L", "3 m"), "near_limit");
    // A warm spill of so little reaches no further than 1 m: a cold one does not, either.
    assert_eq!(at("2 mL", "1 m"), "near_limit");
}

/// Common practice, no source: vessels are never topped up from a bottle beside them, and the closed bottle stands 3 m away.
#[test]
fn a_small_bottle_beside_flames_is_over_the_limit() {
    let at = |distance: &str, used: &str| {
        let asked = json!({
            "liquid": "ethanol", "room": { "volume": "190 m3", "temperature": "21 Cel", "pressure": "101.325 kPa", "air_changes": "3 /h", "floor_area": "70 m2" },
            "vessel": { "capacity": "50 mL", "mouth_diameter": "4 cm", "material": "borosilicate glass" }, "vessels": 1, "use": used, "fill": "4 mL",
            "nearest_person": "3 m", "nearest_ignition": "6 m", "clear_height": "2 m", "container": { "amount": "45 mL", "distance": distance },
        });
        ask("safe-fill", &asked).unwrap()
    };
    let near = at("2 m", "burnt");
    assert_eq!(status(&near, "practice"), "over_limit");
    assert!(near["sentence"].as_str().unwrap().contains("at least 3 m away"), "{}", near["sentence"]);
    assert_ne!(at("3 m", "burnt")["outcome"], "over_limit");
    assert_ne!(status(&at("2 m", "open"), "practice"), "over_limit");
}

/// The sentence names a change after which nothing is over the limit, where one suffices.
#[test]
fn the_change_in_the_sentence_of_a_fill_suffices() {
    let asked: Value = EXAMPLES
        .iter()
        .find(|(question, _)| *question == "safe-fill")
        .and_then(|(_, all)| all.iter().find(|(case, ..)| *case == "stock-beside"))
        .map(|(_, asked, _)| serde_json::from_str(asked).unwrap())
        .unwrap();
    let reply = ask("safe-fill", &asked).unwrap();
    assert!(reply["sentence"].as_str().unwrap().contains("at least 8 m away"), "{}", reply["sentence"]);
    let mut back = asked;
    back["container"]["distance"] = json!("8 m");
    assert_ne!(ask("safe-fill", &back).unwrap()["outcome"], "over_limit");
}
