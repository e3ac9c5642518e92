//! Plans that look harmless and are not, each with the reason: none may come out within its limits.

use brimline_tests::ask;
use serde_json::{Value, json};

fn lab() -> Value {
    json!({ "volume": "190 m3", "temperature": "20 Cel", "pressure": "101.325 kPa", "air_changes": "3 /h", "floor_area": "70 m2" })
}

/// Over the limit (or not assessed), and by the check that is meant.
fn is_over(reply: &Value, check: &str) -> bool {
    let mut all = reply["checks"].as_array().unwrap().iter();
    all.any(|made| made["check"] == check && made["status"] == "over_limit")
}

fn refused(question: &str, request: &Value, check: &str) {
    let reply = ask(question, request).unwrap_or_else(|problem| panic!("{question}: {problem}"));
    assert!(
        reply["outcome"] == "over_limit" || reply["outcome"] == "not_assessed",
        "{question}: {}",
        reply["sentence"]
    );
    let status = reply["checks"]
        .as_array()
        .unwrap()
        .iter()
        .find(|made| made["check"] == check)
        .map(|made| &made["status"]);
    assert_eq!(status, Some(&json!("over_limit")), "{question} {check}: {reply}");
}

fn dishes(liquid: &str, count: u32, fill: &str, mouth: &str, ignition: Option<&str>) -> Value {
    let mut request = json!({
        "liquid": liquid, "room": lab(), "vessel": { "capacity": "150 mL", "mouth_diameter": mouth }, "vessels": count, "use": "open", "fill": fill,
    });
    if let Some(distance) = ignition {
        request["nearest_ignition"] = json!(distance);
    }
    request
}

/// 308 mL of pentane make more than 60 L of vapour, which lies on the bench: a source that nobody named is taken at 1 m.
#[test]
fn many_dishes_of_pentane_with_no_ignition_source_named() {
    refused("safe-fill", &dishes("pentane", 28, "11 mL", "9 cm", None), "near_field");
    refused("safe-fill", &dishes("pentane", 28, "11 mL", "9 cm", None), "spill");
}

/// By the cylinder alone it would end 0.9 m away; so light a liquid is kept from every flame in the room.
#[test]
fn a_dish_of_ether_with_a_flame_a_metre_away() {
    refused("safe-fill", &dishes("ethoxyethane", 1, "25 mL", "5 cm", Some("1 m")), "near_field");
    let request = json!({ "liquid": "ether", "amount": "25 mL", "surface": { "diameter": "5 cm" }, "room": lab(), "nearest_ignition": "1 m" });
    refused("evaporation", &request, "ignition_reach");
    // The same liquid may be open where there is no flame at all.
    let mut without = dishes("ethoxyethane", 1, "2 mL", "3 cm", None);
    without["ignition"] = json!("none in the room");
    assert_ne!(ask("safe-fill", &without).unwrap()["outcome"], "over_limit");
}

/// Two millilitres are little, and pentane boils at 36 Cel: no flame is near it, whatever the amount.
#[test]
fn a_little_pentane_beside_a_flame() {
    refused("safe-fill", &dishes("pentane", 1, "2 mL", "4 cm", Some("0.35 m")), "near_field");
}

/// Three millilitres each, ninety together: they count as one.
#[test]
fn many_small_dishes_of_propanone_beside_a_flame() {
    refused("safe-fill", &dishes("propanone", 30, "3 mL", "4 cm", Some("0.4 m")), "near_field");
    refused("safe-fill", &dishes("propanone", 30, "3 mL", "4 cm", Some("0.4 m")), "spill");
}

/// A wiped surface dries at once: all of its vapour is there while the flame still burns.
#[test]
fn a_wiped_bench_beside_a_flame() {
    let request = json!({ "liquid": "propan-2-ol", "amount": "50 mL", "surface": { "area": "1 m2" }, "room": lab(), "nearest_ignition": "0.6 m", "duration": "5 min" });
    refused("evaporation", &request, "ignition_reach");
}

/// Too lean at 20 Cel, but a flame 0.2 m away warms it past its flash point.
#[test]
fn a_liquid_too_lean_that_a_flame_warms() {
    let margin =
        ask("flash-point-margin", &json!({ "liquid": "butan-1-ol", "room_temperature": "20 Cel" })).unwrap();
    assert_eq!(margin["headspace"]["condition"], "too_lean");
    refused("safe-fill", &dishes("butan-1-ol", 1, "10 mL", "5 cm", Some("0.2 m")), "near_field");
    let request = json!({ "liquid": "butan-1-ol", "amount": "10 mL", "surface": { "diameter": "5 cm" }, "room": lab(), "nearest_ignition": "0.2 m" });
    refused("evaporation", &request, "ignition_reach");
}

/// Each release is within the floor layer; the air does not carry off the ones before.
#[test]
fn six_releases_in_a_row() {
    let once = json!({ "liquid": "propanone", "room": lab(), "released": "200 mL" });
    assert_ne!(ask("room-flammable-limit", &once).unwrap()["outcome"], "over_limit");
    let mut six = once;
    six["releases"] = json!(6);
    six["interval"] = json!("10 min");
    refused("room-flammable-limit", &six, "floor_layer");
}

/// A hall of 1000 m3 has not the floor of a room of that volume: 6 m high it has 167 m2 and not 250.
#[test]
fn a_hall_whose_floor_was_guessed() {
    let at = |room: Value| json!({ "liquid": "ethanol", "room": room, "released": "1000 mL" });
    let hall = |height: &str| json!({ "volume": "1000 m3", "temperature": "20 Cel", "pressure": "101.325 kPa", "height": height });
    assert_ne!(ask("room-flammable-limit", &at(hall("4 m"))).unwrap()["outcome"], "over_limit");
    refused("room-flammable-limit", &at(hall("6 m")), "floor_layer");
    let unknown = json!({ "volume": "1000 m3", "temperature": "20 Cel", "pressure": "101.325 kPa" });
    refused("room-flammable-limit", &at(unknown), "floor_layer");
}

/// One millilitre each makes no fire, but people breathe what 23 of them give off.
#[test]
fn carbon_disulfide_breathed_from_small_vessels() {
    let mut request = dishes("carbon disulfide", 23, "1 mL", "2 cm", None);
    request["ignition"] = json!("none in the room");
    request["nearest_person"] = json!("0.5 m");
    refused("safe-fill", &request, "exposure");
    refused("safe-fill", &request, "not_for_school_use");
}

/// A part without an exposure limit takes none of the others' limits away.
#[test]
fn a_part_without_an_exposure_limit() {
    let at = |liquid: Value| json!({ "liquid": liquid, "room": lab(), "vessel": { "capacity": "100 mL", "mouth_diameter": "5 cm" }, "vessels": 6, "use": "open", "duration": "40 min", "nearest_ignition": "3 m" });
    let part = |name: &str, amount: &str| json!({ "substance": name, "quantity": amount });
    let with_limonene = json!({ "mixture": [part("hexane", "95 mL"), part("limonene", "5 mL")] });
    for liquid in [json!("petroleum ether 60-80"), with_limonene] {
        let proposed = ask("safe-fill", &at(liquid.clone())).unwrap();
        assert_eq!(proposed["outcome"], "not_assessed", "{}", proposed["sentence"]);
        let mut back = at(liquid);
        back["fill"] = json!(format!("{} mL", proposed["fill_per_vessel"]["value"]));
        assert_ne!(ask("safe-fill", &back).unwrap()["outcome"], "over_limit");
        back["fill"] = json!("8 mL");
        refused("safe-fill", &back, "exposure");
    }
}

/// The same five millilitres are breathed in the same way out of a large vessel as out of a small one.
#[test]
fn a_little_in_a_large_vessel() {
    let part = |name: &str, amount: &str| json!({ "substance": name, "quantity": amount });
    for capacity in ["50 mL", "1 L", "8 L"] {
        let request = json!({
            "liquid": { "mixture": [part("pyridine", "20 mL"), part("water", "80 mL")] }, "room": { "volume": "190 m3", "temperature": "21 Cel", "pressure": "101.325 kPa", "floor_area": "70 m2" },
            "vessel": { "capacity": capacity, "mouth_diameter": "3 cm" }, "vessels": 4, "use": "open", "duration": "480 min", "nearest_ignition": "3 m", "nearest_person": "0.3 m", "fill": "5 mL",
        });
        refused("safe-fill", &request, "exposure");
    }
}

/// Too cold to be lit, but the flame stands in the pool, or warms it.
#[test]
fn a_cold_spill_that_runs_to_a_flame() {
    refused(
        "spill",
        &json!({ "liquid": "butan-1-ol", "amount": "1 L", "room": lab(), "nearest_ignition": "0 m" }),
        "spill_reach",
    );
    refused(
        "spill",
        &json!({ "liquid": "butan-1-ol", "amount": "1.5 L", "room": lab(), "nearest_ignition": "0.3 m" }),
        "spill_reach",
    );
    refused(
        "spill",
        &json!({ "liquid": "hexane", "amount": "5 mL", "room": lab(), "nearest_ignition": "0.6 m" }),
        "spill_reach",
    );
}

/// Heated without a word of how hot is not cold.
#[test]
fn a_heated_liquid_whose_temperature_is_not_given() {
    let mut request = dishes("butan-1-ol", 2, "20 mL", "5 cm", Some("1 m"));
    request["use"] = json!("heated");
    request["duration"] = json!("40 min");
    refused("safe-fill", &request, "near_field");
}

/// Flames are ignition sources for the stock that stands beside them, and a flask is no burner.
#[test]
fn stock_beside_what_burns_and_a_flask_used_as_a_burner() {
    let burnt = |capacity: &str, mouth: &str| json!({ "liquid": "ethanol", "room": lab(), "vessel": { "capacity": capacity, "mouth_diameter": mouth }, "vessels": 2, "use": "burnt", "fill": "10 mL", "ignition": "none in the room", "nearest_person": "3 m" });
    let mut stock = burnt("50 mL", "5 cm");
    stock["container"] = json!({ "amount": "2.5 L", "distance": "3.1 m" });
    refused("safe-fill", &stock, "spill");
    refused("safe-fill", &burnt("19 L", "5 cm"), "flame");
    assert_ne!(ask("safe-fill", &burnt("50 mL", "5 cm")).unwrap()["outcome"], "over_limit");
}

/// In a store of four square metres the walls hold the vapour together: it reaches every place in it.
#[test]
fn a_spill_in_a_small_store() {
    let store = json!({ "volume": "10 m3", "temperature": "21 Cel", "pressure": "101.325 kPa", "floor_area": "4 m2" });
    refused(
        "spill",
        &json!({ "liquid": "ethanol", "amount": "100 mL", "room": store, "nearest_ignition": "2.5 m" }),
        "spill_reach",
    );
    let open = json!({ "liquid": "ethanol", "amount": "100 mL", "surface": { "diameter": "20 cm" }, "room": store, "nearest_ignition": "2.5 m" });
    refused("evaporation", &open, "ignition_reach");
}

/// Twenty releases within as many minutes reach further than one.
#[test]
fn releases_add_up_near_the_liquid_too() {
    let mut request = json!({ "liquid": "ethanol", "room": { "volume": "2000 m3", "temperature": "21 Cel", "pressure": "101.325 kPa", "floor_area": "400 m2" }, "released": "60 mL", "surface": { "diameter": "20 cm" }, "nearest_ignition": "1.5 m" });
    assert_ne!(ask("room-flammable-limit", &request).unwrap()["outcome"], "over_limit");
    request["releases"] = json!(20);
    request["interval"] = json!("1 min");
    refused("room-flammable-limit", &request, "near_field");
}

/// No rule that a request may replace freely makes an answer laxer: a lower air speed evaporates less, and may thin less.
#[test]
fn an_end_of_a_range_is_never_narrowed_freely() {
    let request = json!({
        "liquid": "methylbenzene", "room": lab(), "source": { "amount": "500 mL", "surface": { "diameter": "8 cm" }, "count": 6 }, "duration": "2 h", "distance": "4 m",
        "rules": { "air_speed_near_highest": "0.05 m/s" },
    });
    assert_eq!(ask("exposure", &request).unwrap_err()["code"], "relaxed-rule");
}

/// A heater too weak to hold a liquid at its boiling point does not make it give off less than just below.
#[test]
fn a_weak_heater() {
    let at = |heated: &str| json!({ "liquid": "ethanol", "amount": "200 mL", "surface": { "diameter": "15 cm" }, "room": lab(), "heated_to": heated, "heater_power": "5 W", "duration": "10 min", "nearest_ignition": "1 m" });
    refused("evaporation", &at("75 Cel"), "ignition_reach");
    refused("evaporation", &at("79 Cel"), "ignition_reach");
}

/// Dichloromethane can burn although nobody published at which share: it makes no other liquid harmless.
#[test]
fn dichloromethane_is_no_fire_retardant() {
    let part = |name: &str, amount: &str| json!({ "substance": name, "quantity": amount });
    let liquid = json!({ "mixture": [part("dichloromethane", "98 mL"), part("ethanol", "2 mL")] });
    let spill =
        ask("spill", &json!({ "liquid": liquid, "amount": "1 L", "room": lab(), "nearest_ignition": "1 m" }))
            .unwrap();
    assert_eq!(spill["outcome"], "not_assessed", "{}", spill["sentence"]);
    let room =
        ask("room-flammable-limit", &json!({ "liquid": liquid, "room": lab(), "released": "1 L" })).unwrap();
    assert_eq!(room["outcome"], "not_assessed", "{}", room["sentence"]);
    assert!(room.get("largest_release").is_none());
}

/// The worst quarter of an hour is found wherever it lies: who stays longer is not exposed less.
#[test]
fn a_longer_stay() {
    let at = |minutes: u32| {
        let request = json!({
            "liquid": "cyclohexane", "room": { "volume": "190 m3", "temperature": "35 Cel", "pressure": "60 kPa", "floor_area": "70 m2" },
            "source": { "amount": "18.5 mL", "surface": { "diameter": "9 cm" }, "count": 6 }, "duration": format!("{minutes} min"), "distance": "2 m",
        });
        ask("exposure", &request).unwrap()["components"][0]["short_term_average"]["high"].as_f64().unwrap()
    };
    let mut before = 0.0;
    for minutes in 10..60 {
        let found = at(minutes);
        assert!(found >= before * 0.9999, "{minutes} min: {found} after {before}");
        before = found;
    }
}

/// Another plan that is named holds when it is asked in full; it is never named where it allows less.
#[test]
fn what_is_named_as_another_plan_holds() {
    let mut request = json!({
        "liquid": "hexane", "room": { "volume": "190 m3", "temperature": "26 Cel", "pressure": "101.325 kPa", "air_changes": "3 /h", "floor_area": "70 m2" },
        "vessel": { "capacity": "100 mL", "mouth_diameter": "9 cm" }, "vessels": 8, "use": "open", "fill": "20 mL", "duration": "40 min", "nearest_ignition": "3 m",
    });
    let reply = ask("safe-fill", &request).unwrap();
    let found: Vec<&str> = reply["alternatives"]
        .as_array()
        .unwrap()
        .iter()
        .map(|other| other["change"].as_str().unwrap())
        .collect();
    assert!(found.contains(&"other_liquid"), "{found:?}");
    for other in reply["alternatives"].as_array().unwrap() {
        let mut changed = request.clone();
        match other["change"].as_str().unwrap() {
            "other_liquid" => changed["liquid"] = json!("heptane"),
            "cooler_room" => changed["room"]["temperature"] = json!("16 Cel"),
            _ => continue,
        }
        changed["fill"] = json!(format!("{} mL", other["fill_per_vessel"]["value"]));
        assert_ne!(ask("safe-fill", &changed).unwrap()["outcome"], "over_limit", "{other}");
        assert!(other["fill_per_vessel"]["value"].as_f64() > reply["fill_per_vessel"]["value"].as_f64());
    }
    // Within the limits nothing else is proposed.
    request["fill"] = json!("0.5 mL");
    assert!(ask("safe-fill", &request).unwrap().get("alternatives").is_none());
}

/// Water under a hydrocarbon keeps nothing from burning: two liquids, each giving off its own vapour.
#[test]
fn water_under_a_light_hydrocarbon() {
    let part = |name: &str, amount: u32| json!({ "substance": name, "quantity": format!("{amount} mL") });
    for (hydrocarbon, shares) in [
        ("pentane", &[10, 40, 60, 80, 90, 95][..]),
        ("hexane", &[10, 50, 70, 80, 90, 95]),
        ("cyclohexane", &[10, 30, 60, 90, 99]),
        ("2-methylbutane", &[30, 60, 99]),
    ] {
        for water in shares {
            let liquid = json!({ "mixture": [part("water", *water), part(hydrocarbon, 100 - water)] });
            refused(
                "spill",
                &json!({ "liquid": liquid, "amount": "5 L", "room": lab(), "nearest_ignition": "1 m" }),
                "spill_reach",
            );
            let open = json!({ "liquid": liquid, "amount": "500 mL", "surface": { "diameter": "30 cm" }, "room": lab(), "nearest_ignition": "0.5 m" });
            refused("evaporation", &open, "ignition_reach");
        }
    }
}

/// What dilutes a liquid leaves first: the flammable rest decides.
#[test]
fn a_retardant_that_evaporates_first() {
    let part = |name: &str, amount: u32| json!({ "substance": name, "quantity": format!("{amount} mL") });
    for (retardant, fuel) in [("methylbenzene", 10), ("heptane", 7), ("propan-1-ol", 5)]
        .map(|(fuel, amount)| (part("trichloromethane", 100 - amount), part(fuel, amount)))
    {
        let liquid = json!({ "mixture": [retardant, fuel] });
        refused(
            "spill",
            &json!({ "liquid": liquid, "amount": "1 L", "room": lab(), "nearest_ignition": "1 m" }),
            "spill_reach",
        );
    }
    // Alcohol leaves before its water: a little of it stays too cold.
    let liquid = json!({ "mixture": [part("water", 97), part("ethanol", 3)] });
    let reply = ask(
        "spill",
        &json!({ "liquid": liquid, "amount": "200 mL", "room": lab(), "nearest_ignition": "1.5 m" }),
    )
    .unwrap();
    assert_eq!(reply["outcome"], "within_limit", "{}", reply["sentence"]);
}

/// Three metres from the vessels is where the flame stands, too.
#[test]
fn a_container_that_stands_beside_the_flame() {
    let mut request = dishes("ethanol", 1, "10 mL", "5 cm", Some("3 m"));
    request["container"] = json!({ "amount": "250 mL", "distance": "3 m" });
    refused("safe-fill", &request, "spill");
    request["container"] = json!({ "amount": "250 mL", "distance": "8 m" });
    assert_ne!(ask("safe-fill", &request).unwrap()["outcome"], "over_limit");
}

/// Half a minute of a wiped bench is all of it, and an open vessel that is held hot is a heated one.
#[test]
fn a_short_while_and_an_open_vessel_held_hot() {
    let wiped = json!({ "liquid": "propan-2-ol", "amount": "50 mL", "surface": { "area": "1 m2" }, "room": lab(), "nearest_ignition": "1 m", "duration": "30 s" });
    refused("evaporation", &wiped, "ignition_reach");
    let mut hot = dishes("ethanol", 1, "80 mL", "5 cm", Some("12 m"));
    hot["heated_to"] = json!("70 Cel");
    refused("safe-fill", &hot, "vessel");
    let pool = json!({ "liquid": "octan-1-ol", "amount": "4 L", "surface": { "area": "4 m2" }, "room": lab(), "nearest_ignition": "0 m" });
    refused("evaporation", &pool, "ignition_reach");
}

/// A short-term limit of one's own says nothing of eight hours.
#[test]
fn a_short_term_limit_alone() {
    let request = json!({
        "liquid": "limonene", "room": lab(), "source": { "amount": "50 mL", "surface": { "diameter": "10 cm" }, "count": 3 }, "duration": "480 min",
        "limits": [{ "substance": "limonene", "short_term": "100 ppm" }],
    });
    assert_eq!(ask("exposure", &request).unwrap()["outcome"], "not_assessed");
}

/// Air that is said to stand still does not make a liquid give off less than the slowest air around people.
#[test]
fn air_that_is_said_to_stand_still() {
    let at = |speed: &str| {
        let request = json!({ "liquid": "ethanol", "amount": "200 mL", "surface": { "diameter": "30 cm" }, "room": lab(), "nearest_ignition": "2 m", "duration": "5 min", "air_speed": speed });
        ask("evaporation", &request).unwrap()["checks"][0]["ratio"].as_f64().unwrap()
    };
    assert!(at("0 m/s") >= at("0.05 m/s"), "{} and {}", at("0 m/s"), at("0.05 m/s"));
}

/// Every question that knows a heated liquid, with a surface near it.
fn near_a_surface(liquid: &str, more: &Value) -> Vec<(&'static str, Value)> {
    let with = |mut request: Value, at: &str| {
        let fields = request.pointer_mut(at).unwrap().as_object_mut().unwrap();
        fields.extend(more.as_object().unwrap().clone());
        request
    };
    let surface = json!({ "diameter": "5 cm" });
    vec![
        ("flash-point-margin", with(json!({ "liquid": liquid, "room_temperature": "10 Cel" }), "")),
        (
            "evaporation",
            with(
                json!({ "liquid": liquid, "amount": "5 mL", "surface": surface, "room": lab(), "nearest_ignition": "8 m" }),
                "",
            ),
        ),
        (
            "exposure",
            with(
                json!({ "liquid": liquid, "source": { "amount": "5 mL", "surface": surface }, "room": lab(), "duration": "10 min" }),
                "/source",
            ),
        ),
        (
            "spill",
            with(json!({ "liquid": liquid, "amount": "5 mL", "room": lab(), "nearest_ignition": "8 m" }), ""),
        ),
        (
            "room-flammable-limit",
            with(
                json!({ "liquid": liquid, "released": "5 mL", "surface": surface, "room": lab(), "nearest_ignition": "8 m" }),
                "",
            ),
        ),
        (
            "safe-fill",
            with(
                json!({ "liquid": liquid, "room": lab(), "vessel": { "capacity": "100 mL", "mouth_diameter": "3 cm" }, "vessels": 1, "use": "open", "nearest_ignition": "8 m" }),
                "",
            ),
        ),
    ]
}

/// Its vapour lights by itself at 160 Cel, and no flame is needed.
#[test]
fn a_hot_plate_at_150_degrees_under_ether() {
    for more in [
        json!({ "surface_temperature": "150 Cel" }),
        json!({ "surface_temperature": "150 Cel", "heated_by": "hot_plate", "heated_to": "30 Cel" }),
        json!({ "heated_by": "hot_plate", "heated_to": "30 Cel" }),
        json!({ "heated_by": "lamp" }),
    ] {
        for (question, request) in near_a_surface("ethoxyethane", &more) {
            refused(question, &request, "hot_surface");
            let sentence = ask(question, &request).unwrap()["sentence"].as_str().unwrap().to_owned();
            assert!(sentence.starts_with("Over the limit:"), "{question}: {sentence}");
        }
    }
    // A surface at 100 Cel is at its limit and not over it.
    let (question, request) =
        near_a_surface("ethoxyethane", &json!({ "surface_temperature": "100 Cel" })).remove(2);
    assert_eq!(
        ask(question, &request).unwrap()["checks"].as_array().unwrap().last().unwrap()["status"],
        "near_limit"
    );
}

/// Carbon disulfide lights at 90 Cel: a water bath is too hot for it.
#[test]
fn a_water_bath_under_carbon_disulfide() {
    for (question, request) in near_a_surface("carbon disulfide", &json!({ "heated_by": "water_bath" })) {
        refused(question, &request, "hot_surface");
    }
}

/// However far away other flames are: one is under the vessel.
#[test]
fn a_flame_under_the_vessel() {
    for liquid in ["ethanol", "decane", "trichloromethane", "dichloromethane"] {
        for (question, request) in
            near_a_surface(liquid, &json!({ "heated_by": "flame", "heated_to": "35 Cel" }))
        {
            refused(question, &request, "naked_flame");
        }
    }
    // It flashes at 74 Cel: cold it may be near a flame, at 80 Cel not.
    let at = |heated: &str| json!({ "liquid": "dodecane", "room_temperature": "20 Cel", "heated_to": heated, "heated_by": "flame" });
    refused("flash-point-margin", &at("80 Cel"), "naked_flame");
    assert_ne!(ask("flash-point-margin", &at("25 Cel")).unwrap()["outcome"], "over_limit");
}

/// The check of one name in a reply.
fn made<'a>(reply: &'a Value, check: &str) -> &'a Value {
    reply["checks"].as_array().unwrap().iter().find(|made| made["check"] == check).unwrap_or(&Value::Null)
}

/// Nobody says how hot it becomes: it becomes almost as hot as it can. Butan-1-ol boils at 117 Cel (a bath ends at 100), propanone at 56.
#[test]
fn a_heater_without_a_temperature() {
    let bath = json!({ "liquid": "butan-1-ol", "room_temperature": "20 Cel", "heated_by": "water_bath" });
    refused("flash-point-margin", &bath, "flash_point_margin");
    assert_eq!(ask("flash-point-margin", &bath).unwrap()["liquid_temperature"]["value"], 100.0);
    for (question, request) in
        near_a_surface("propanone", &json!({ "heated_by": "hot_plate", "surface_temperature": "200 Cel" }))
    {
        let reply = ask(question, &request).unwrap();
        let heated = reply["record"]["request"].pointer("/heated_to/value");
        let heated = heated.or_else(|| reply["record"]["request"].pointer("/source/heated_to/value"));
        let celsius = heated.unwrap_or_else(|| panic!("{question}: {}", reply["record"])).as_f64().unwrap();
        assert!((48.0..54.0).contains(&celsius), "{question}: {celsius}");
        assert!(
            reply["assumptions"].as_array().unwrap().iter().any(|said| said["id"] == "unknown_heating"),
            "{question}"
        );
    }
    // What heats it is no hotter than stated, and a surface near it heats nothing.
    let cooler = json!({ "liquid": "ethanol", "room_temperature": "20 Cel", "heated_by": "water_bath", "surface_temperature": "60 Cel" });
    assert_eq!(ask("flash-point-margin", &cooler).unwrap()["liquid_temperature"]["value"], 60.0);
    let near = json!({ "liquid": "ethanol", "room_temperature": "20 Cel", "surface_temperature": "60 Cel" });
    assert_eq!(ask("flash-point-margin", &near).unwrap()["liquid_temperature"]["value"], 20.0);
}

/// Octan-1-ol flashes at 81 Cel (IEC 60079-20-1:2010): at 75 Cel, nearer than the margin, the flame under it lights it, wherever others are.
#[test]
fn a_flame_under_what_flashes_high() {
    let at = |heated: &str| {
        let mut all = near_a_surface("octan-1-ol", &json!({ "heated_by": "flame", "heated_to": heated }));
        all.retain(|(question, _)| !matches!(*question, "exposure" | "flash-point-margin"));
        all
    };
    for (question, request) in at("77 Cel") {
        let check = match question {
            "evaporation" => "ignition_reach",
            "spill" => "spill_reach",
            _ => "near_field",
        };
        refused(question, &request, check);
        refused(question, &request, "naked_flame");
        assert!(made(&ask(question, &request).unwrap(), check).get("remedy").is_none(), "{question}");
    }
    for (question, request) in at("40 Cel") {
        let reply = ask(question, &request).unwrap();
        // What is spilt runs over the flame, however cold it is.
        let spilt = matches!(question, "spill" | "safe-fill");
        assert_eq!(
            reply["outcome"],
            if spilt { "over_limit" } else { "near_limit" },
            "{question}: {}",
            reply["sentence"]
        );
        if !spilt {
            assert!(
                reply["sentence"].as_str().unwrap().contains("flame"),
                "{question}: {}",
                reply["sentence"]
            );
        }
    }
}

/// A flame has no thermostat: however far below its flash point a liquid is said to stay, it is near the limit.
#[test]
fn no_flame_is_simply_within_its_limit() {
    let request = json!({ "liquid": "hexadecane", "room_temperature": "20 Cel", "heated_to": "30 Cel", "heated_by": "flame" });
    let reply = ask("flash-point-margin", &request).unwrap();
    assert_eq!(made(&reply, "naked_flame")["status"], "near_limit");
    assert!(
        reply["sentence"].as_str().unwrap().contains("a flame, which has no thermostat"),
        "{}",
        reply["sentence"]
    );
    refused(
        "flash-point-margin",
        &json!({ "liquid": "dodecane", "room_temperature": "20 Cel", "heated_by": "flame" }),
        "naked_flame",
    );
}

/// Plates, mantles and lamps switch; ether needs a spark and no more. A bath heated beforehand has none.
#[test]
fn ether_on_what_may_spark() {
    for heater in ["hot_plate", "heating_mantle", "lamp", "flame"] {
        let more = json!({ "heated_by": heater, "heated_to": "30 Cel", "surface_temperature": "60 Cel" });
        for (question, request) in near_a_surface("ethoxyethane", &more) {
            refused(question, &request, "naked_flame");
        }
    }
    let more = json!({ "heated_by": "water_bath", "heated_to": "30 Cel", "surface_temperature": "60 Cel" });
    for (question, request) in near_a_surface("ethoxyethane", &more) {
        assert!(made(&ask(question, &request).unwrap(), "naked_flame").is_null(), "{question}");
    }
    // Of what is less light the request answers, and the reply says so.
    let plate = json!({ "liquid": "ethanol", "amount": "5 mL", "surface": { "diameter": "5 cm" }, "room": lab(), "ignition": "none in the room", "heated_by": "hot_plate", "heated_to": "40 Cel", "surface_temperature": "80 Cel" });
    let reply = ask("evaporation", &plate).unwrap();
    let says = |list: &str, id: &str| reply[list].as_array().unwrap().iter().any(|said| said["id"] == id);
    assert!(says("assumptions", "heater_does_not_spark") && says("cautions", "heater_sparks"), "{reply}");
}

/// A plate, mantle or lamp of which nobody knows how hot it is. Ethanol lights by itself at 363 Cel (NFPA 497:2008; the other table has 400),
/// hexane at 225 (both tables).
#[test]
fn ethanol_on_a_plate_of_unknown_heat() {
    for heater in ["hot_plate", "heating_mantle"] {
        let request = json!({ "liquid": "ethanol", "room_temperature": "10 Cel", "heated_to": "11 Cel", "heated_by": heater });
        refused("flash-point-margin", &request, "hot_surface");
        let reply = ask("flash-point-margin", &request).unwrap();
        let check = made(&reply, "hot_surface");
        assert_eq!(check["remedy"]["field"], "/surface_temperature");
        // A guess is no measured figure.
        assert_eq!(check["evidence"], "estimated");
    }
    let lamp = json!({ "liquid": "hexane", "room_temperature": "10 Cel", "heated_to": "11 Cel", "heated_by": "lamp" });
    refused("flash-point-margin", &lamp, "hot_surface");
}

/// Hot metal that does not glow yet makes acid gas of it; and no flame that nobody stated is made up.
#[test]
fn trichloromethane_on_a_plate_of_unknown_heat() {
    let more = json!({ "heated_by": "hot_plate", "heated_to": "40 Cel" });
    for (question, request) in near_a_surface("trichloromethane", &more) {
        refused(question, &request, "hot_surface");
        let reply = ask(question, &request).unwrap();
        assert!(made(&reply, "hot_surface")["value"].get("low").is_none(), "{question}: {reply}");
    }
    for (question, request) in
        near_a_surface("trichloromethane", &json!({ "surface_temperature": "360 Cel" }))
    {
        refused(question, &request, "hot_surface");
    }
    let open = json!({ "liquid": "trichloromethane", "amount": "5 mL", "surface": { "diameter": "5 cm" }, "room": lab() });
    let reply = ask("evaporation", &open).unwrap();
    assert_eq!(reply["outcome"], "near_limit");
    assert!(
        reply["sentence"].as_str().unwrap().contains("no flame was stated; one at 1 m was assumed"),
        "{}",
        reply["sentence"]
    );
}

/// The surface is at its limit and the amount far from it: the sentence names the surface.
#[test]
fn ether_over_steam_is_named_by_its_surface() {
    let request = json!({ "liquid": "ethoxyethane", "room": lab(), "vessel": { "capacity": "100 mL", "mouth_diameter": "3 cm" }, "vessels": 1, "use": "heated", "heated_by": "steam_bath", "ignition": "none in the room", "fill": "1 mL" });
    let reply = ask("safe-fill", &request).unwrap();
    assert_eq!(made(&reply, "hot_surface")["status"], "near_limit");
    let sentence = reply["sentence"].as_str().unwrap();
    assert!(
        sentence.contains("a surface near it is almost too hot") && sentence.contains("(limit unconfirmed"),
        "{sentence}"
    );
}

/// The distance that is kept whatever the amount shows in the check, also where the source is at it or beyond it.
#[test]
fn what_is_kept_shows_however_far_away_the_source_is() {
    let cloth = |distance: &str| json!({ "liquid": "dodecane", "amount": "20 mL", "surface": { "area": "400 cm2" }, "room": lab(), "nearest_ignition": distance, "soaked": true });
    let spilt = |distance: &str| json!({ "liquid": "ethanol", "amount": "1 mL", "room": lab(), "nearest_ignition": distance });
    for (question, check, request, kept, status) in [
        ("evaporation", "ignition_reach", cloth("0.49 m"), 0.5, "over_limit"),
        ("evaporation", "ignition_reach", cloth("0.5 m"), 0.5, "near_limit"),
        ("evaporation", "ignition_reach", cloth("0.7 m"), 0.5, "within_limit"),
        ("spill", "spill_reach", spilt("0.5 m"), 1.0, "over_limit"),
        ("spill", "spill_reach", spilt("1 m"), 1.0, "near_limit"),
        ("spill", "spill_reach", spilt("2 m"), 1.0, "within_limit"),
    ] {
        let reply = ask(question, &request).unwrap();
        let made = made(&reply, check);
        assert_eq!(
            (made["value"]["value"].as_f64(), &made["status"]),
            (Some(kept), &json!(status)),
            "{request}"
        );
    }
}

/// Hot liquid leaves faster than the pool that a cold floor makes of it; cold it is the same pool.
#[test]
fn a_spill_of_hot_liquid_leaves_faster_at_its_upper_end() {
    let at = |heated: &str| {
        let request = json!({ "liquid": "ethanol", "amount": "100 mL", "room": lab(), "heated_to": heated });
        let rate = ask("spill", &request).unwrap()["rate"].clone();
        (rate["value"].as_f64().unwrap(), rate["high"].as_f64().unwrap())
    };
    let (cold, hot) = (at("10 Cel"), at("70 Cel"));
    assert_eq!(cold.0, hot.0);
    // Its vapour pressure is 12 times as high at 70 Cel as at 20 (72 and 5.9 kPa, from memory).
    assert!(hot.1 > 10.0 * cold.1, "{cold:?} {hot:?}");
    // At its boiling point it leaves no slower than just below it.
    assert!(at("78.3 Cel").1 >= at("72 Cel").1);
}

/// A check that could not be made leaves a reply incomplete.
#[test]
fn what_is_not_assessed_is_not_complete() {
    let near = near_a_surface("limonene", &json!({ "surface_temperature": "100 Cel" }));
    for (question, request) in near {
        let reply = ask(question, &request).unwrap();
        assert_eq!(made(&reply, "hot_surface")["status"], "not_assessed");
        assert_eq!(reply["complete"], false, "{question}");
    }
}

/// It may be heated to 72 Cel, and not only to the 21 of the room.
#[test]
fn the_smallest_cooling_is_proposed() {
    let request = json!({ "liquid": "octan-1-ol", "room_temperature": "21 Cel", "pressure": "101.325 kPa", "heated_to": "80 Cel", "heated_by": "water_bath" });
    let reply = ask("flash-point-margin", &request).unwrap();
    assert_eq!(made(&reply, "flash_point_margin")["remedy"]["to"], "72 Cel");
}

/// It does not burn; a flame makes hydrogen chloride and worse of it.
#[test]
fn a_halogenated_vapour_beside_a_flame_or_red_heat() {
    for liquid in ["trichloromethane", "dichloromethane", "1-bromobutane", "chlorobenzene"] {
        for (question, mut request) in near_a_surface(liquid, &json!({})) {
            if question == "flash-point-margin" {
                continue;
            }
            request["nearest_ignition"] = json!("0.9 m");
            refused(question, &request, "halogenated_vapour");
            request["nearest_ignition"] = json!("1 m");
            let reply = ask(question, &request).unwrap();
            let made =
                reply["checks"].as_array().unwrap().iter().find(|made| made["check"] == "halogenated_vapour");
            assert_eq!(made.unwrap()["status"], "near_limit", "{question}: {reply}");
        }
    }
    for (question, request) in
        near_a_surface("trichloromethane", &json!({ "surface_temperature": "520 Cel" }))
    {
        refused(question, &request, "hot_surface");
    }
}

/// A wick needs no flash point: colder than that by tens of kelvins it burns beside a flame.
#[test]
fn a_cloth_wet_with_a_liquid_below_its_flash_point_beside_a_flame() {
    let mut room = lab();
    room["temperature"] = json!("15 Cel");
    for liquid in ["decane", "butan-1-ol", "hexadecane", "ethane-1,2-diol"] {
        let cloth = json!({ "liquid": liquid, "amount": "20 mL", "surface": { "area": "400 cm2" }, "room": room, "nearest_ignition": "0.3 m", "soaked": true });
        refused("evaporation", &cloth, "ignition_reach");
        let spilt = json!({ "liquid": liquid, "amount": "20 mL", "room": room, "nearest_ignition": "0.3 m", "floor": "absorbent" });
        refused("spill", &spilt, "spill_reach");
    }
    // The flame may be what warms it.
    let warmed = json!({ "liquid": "hexadecane", "amount": "20 mL", "surface": { "area": "400 cm2" }, "room": room, "heated_by": "flame", "soaked": true });
    refused("evaporation", &warmed, "naked_flame");
    let spilt = json!({ "liquid": "hexadecane", "amount": "20 mL", "room": room, "heated_by": "flame", "nearest_ignition": "5 m" });
    refused("spill", &spilt, "naked_flame");
}

/// Nine tenths full is what a bottle holds; on a shelf of 35 Cel the ether in it boils.
#[test]
fn a_closed_bottle_of_ether_on_a_warm_shelf() {
    let at = |filled: &str, highest: &str| json!({ "liquid": "ethoxyethane", "container": { "capacity": "1 L", "filled": filled }, "highest_temperature": highest, "pressure": "101.325 kPa" });
    refused("storage", &at("900 mL", "35 Cel"), "closed_pressure");
    // Nor does half a bottle mend it, nor a bottle of which nobody says how warm it becomes.
    refused("storage", &at("500 mL", "35 Cel"), "closed_pressure");
    refused(
        "storage",
        &json!({ "liquid": "ethoxyethane", "container": { "capacity": "1 L", "filled": "900 mL" } }),
        "closed_pressure",
    );
}

/// Two millilitres make less than a quarter of the lower limit, evenly mixed in 150 L: but not the only bottle there, and a
/// leak lies on a shelf beside the thermostat.
#[test]
fn a_little_ether_in_a_household_refrigerator() {
    let at = |liquid: &str, filled: &str| json!({ "liquid": liquid, "container": { "capacity": "50 mL", "filled": filled }, "highest_temperature": "20 Cel", "pressure": "101.325 kPa", "place": "refrigerator", "ignition": "none in the room" });
    for (liquid, filled) in [
        ("ethoxyethane", "20 mL"),
        ("ethoxyethane", "2 mL"),
        ("ethoxyethane", "0.1 mL"),
        ("pentane", "1.7 mL"),
        ("petroleum ether 40-60", "1 mL"),
    ] {
        let reply = ask("storage", &at(liquid, filled)).unwrap();
        refused("storage", &at(liquid, filled), "vapour_in_refrigerator");
        let made = reply["checks"].as_array().unwrap();
        let check = made.iter().find(|check| check["check"] == "vapour_in_refrigerator");
        assert!(check.unwrap()["remedy"].is_null() && reply["largest_fill"].is_null(), "{reply}");
        assert!(reply["vapour_in_refrigerator"]["value"].as_f64().unwrap() > 0.0, "{reply}");
        let sentence = reply["sentence"].as_str().unwrap();
        assert!(sentence.contains("`spark_free`") && !sentence.contains("at most"), "{sentence}");
        let not_given = reply["not_given"].as_array().unwrap();
        assert!(not_given.iter().any(|missing| missing["pointer"] == "/largest_fill"), "{reply}");
    }
    // Nor is a fill proposed where none is named.
    let mut empty = at("ethoxyethane", "2 mL");
    empty["container"].as_object_mut().unwrap().remove("filled");
    let reply = ask("storage", &empty).unwrap();
    assert!(reply["largest_fill"].is_null() && reply["outcome"] == "over_limit", "{reply}");
    let mut without = at("ethoxyethane", "20 mL");
    without["spark_free"] = json!(true);
    let reply = ask("storage", &without).unwrap();
    assert!(reply["outcome"] != "over_limit" && !reply["largest_fill"].is_null(), "{reply}");
    // What is too cold to be lit there may stand there.
    let reply = ask("storage", &at("butan-1-ol", "20 mL")).unwrap();
    assert!(reply["outcome"] != "over_limit" && !reply["largest_fill"].is_null(), "{reply}");
}

/// Each is a usual solvent; together with a trace of a base they are not.
#[test]
fn propanone_beside_trichloromethane() {
    let at = |liquid: &str, beside: &str| json!({ "liquid": liquid, "container": { "capacity": "1 L" }, "highest_temperature": "25 Cel", "beside": [beside] });
    for (liquid, beside) in [
        ("propanone", "trichloromethane"),
        ("trichloromethane", "propanone"),
        ("ethanol", "oxidisers"),
        ("ethanoic acid", "triethylamine"),
        ("ethanoyl chloride", "water"),
        ("ethanol", "acids"),
        ("dichloromethane", "alkali metals"),
        ("dichloromethane", "butan-1-amine"),
        ("phenylethene", "bases"),
    ] {
        refused("storage", &at(liquid, beside), "keep_apart");
    }
    assert_ne!(ask("storage", &at("ethanol", "propanone")).unwrap()["outcome"], "over_limit");
}

/// Two bottles of them side by side are over the limit: one bottle of both is no less.
#[test]
fn liquids_that_react_in_one_bottle() {
    let at = |parts: &Value| json!({ "liquid": { "mixture": parts }, "container": { "capacity": "1 L", "filled": "500 mL" }, "highest_temperature": "25 Cel" });
    let of = |one: &str, other: &str| json!([{ "substance": one, "quantity": "200 mL" }, { "substance": other, "quantity": "300 mL" }]);
    for (one, other) in [
        ("propanone", "trichloromethane"),
        ("dichloromethane", "triethylamine"),
        ("ethanoyl chloride", "ethanol"),
        ("ethanoic anhydride", "water"),
        ("ethanoic acid", "diethylamine"),
    ] {
        let request = at(&of(one, other));
        // What is not known of the vapour of a mixture is another answer, and no figure.
        let reply = ask("storage", &request).unwrap();
        refused("storage", &request, "keep_apart");
        let sentence = reply["sentence"].as_str().unwrap();
        let apart = reply["keep_apart"].as_array().unwrap();
        let pair =
            apart.iter().find(|apart| apart["reason"].as_str().unwrap().starts_with("in one container"));
        let pair = pair.unwrap()["with"].as_str().unwrap();
        assert!(pair.contains(one) && pair.contains(other), "{pair}");
        assert!(sentence.contains(&format!("not in one container: {pair}")), "{sentence}");
        assert!(reply["largest_fill"].is_null(), "{reply}");
    }
    // What is sold so reacts with none of its parts; nor do usual mixtures.
    for mixture in &brimline_service::catalogue::catalogue().unwrap().mixtures {
        let request = json!({ "liquid": mixture.id, "container": { "capacity": "1 L" }, "highest_temperature": "25 Cel" });
        let reply = ask("storage", &request).unwrap();
        let made = reply["checks"].as_array().unwrap();
        assert!(made.iter().all(|check| check["check"] != "keep_apart"), "{}: {reply}", mixture.id);
    }
    for (one, other) in [("ethanol", "water"), ("hexane", "propanone"), ("ethanol", "ethanoic acid")] {
        let reply = ask("storage", &at(&of(one, other))).unwrap();
        let made = reply["checks"].as_array().unwrap();
        assert!(made.iter().all(|check| check["check"] != "keep_apart"), "{reply}");
    }
}

/// What schools keep beside their solvents is not in a catalogue of liquids that burn.
#[test]
fn what_schools_keep_beside_a_flammable_liquid() {
    let at = |liquid: &str, beside: &str| json!({ "liquid": liquid, "container": { "capacity": "500 mL", "filled": "250 mL" }, "highest_temperature": "25 Cel", "beside": [beside] });
    for (liquid, beside) in [
        ("ethanol", "nitric acid"),
        ("ethanol", "Sulphuric acid"),
        ("ethanol", "hydrochloric acid"),
        ("ethanol", "perchloric acid"),
        ("propanone", "bleach"),
        ("propanone", "hydrogen peroxide"),
        ("heptane", "potassium permanganate"),
        ("heptane", "ammonium nitrate"),
        ("heptane", "bromine"),
        ("heptane", "sodium"),
        ("heptane", "calcium carbide"),
        ("ethanoic acid", "sodium hydroxide"),
        ("ethanoic acid", "magnesium ribbon"),
        ("trichloromethane", "aluminium powder"),
        ("trichloromethane", "sodium hydroxide"),
        ("trichloromethane", "lithium"),
        // Oxidising acids may be among them.
        ("trichloromethane", "acids"),
        ("trichloromethane", "oxidisers"),
        ("trichloromethane", "nitric acid"),
        ("ethanoyl chloride", "ammonia solution"),
        // Fuming and corrosive: it burns itself, and is kept from the others.
        ("ethanoyl chloride", "propanone"),
        ("ethanoyl chloride", "ethoxyethane"),
        ("hexane", "ethanoyl chloride"),
        ("hexane", "ethanoic anhydride"),
        // The words that an answer uses itself.
        ("ethanol", "mineral acids"),
        ("ethanol", "oxidising acids"),
        ("ethanoic acid", "bases and amines"),
        ("ethanol", "water-reactive substances"),
        ("ethanoyl chloride", "flammable and combustible liquids"),
        ("triethylamine", "halogenated solvents"),
        ("trichloromethane", "ketones"),
    ] {
        refused("storage", &at(liquid, beside), "keep_apart");
    }
    for (liquid, beside) in [
        ("ethanol", "copper(II) sulfate"),
        ("ethanol", "sodium hydroxide"),
        ("ethanol", "iron filings"),
        ("trichloromethane", "hydrochloric acid"),
        ("ethanoyl chloride", "ethanoic anhydride"),
        ("ethanol", "salts"),
    ] {
        let reply = ask("storage", &at(liquid, beside)).unwrap();
        assert_ne!(reply["outcome"], "over_limit", "{liquid} {beside}: {}", reply["sentence"]);
    }
    // Every family that an answer names is a word that it reads.
    for substance in &brimline_service::catalogue::catalogue().unwrap().substances {
        let alone = json!({ "liquid": substance.id, "container": { "capacity": "500 mL" } });
        let reply = ask("storage", &alone).unwrap();
        for apart in reply["keep_apart"].as_array().unwrap() {
            refused("storage", &at(&substance.id, apart["with"].as_str().unwrap()), "keep_apart");
        }
    }
    // Of several the first is named and the rest counted.
    let mut many = at("ethanol", "nitric acid");
    many["beside"] = json!(["propanone", "nitric acid", "bleach", "salts", "sodium"]);
    let reply = ask("storage", &many).unwrap();
    let sentence = reply["sentence"].as_str().unwrap();
    assert!(sentence.contains("not beside nitric acid and 2 more"), "{sentence}");
}

fn check<'r>(reply: &'r Value, id: &str) -> Option<&'r Value> {
    reply["checks"].as_array()?.iter().find(|check| check["check"] == id)
}

fn says(reply: &Value, list: &str, id: &str) -> bool {
    reply[list].as_array().unwrap().iter().any(|said| said["id"] == id)
}

/// 935 mL that were measured at 0 Cel are 93.5 % of a litre there; as a volume at 20 Cel they would pass.
#[test]
fn a_bottle_filled_cold_by_a_cold_measure() {
    let at = |filled: &str| json!({ "liquid": "butan-1-ol", "container": { "capacity": "1 L", "filled": filled, "filled_at": "0 Cel" }, "highest_temperature": "25 Cel" });
    refused("storage", &at("935 mL"), "degree_of_filling");
    let reply = ask("storage", &at("935 mL")).unwrap();
    let made = check(&reply, "degree_of_filling").unwrap();
    let (value, limit) = (&made["value"], made["limit"]["value"].as_f64().unwrap());
    assert!(value["value"].as_f64().unwrap() < limit && limit < 93.5, "{made}");
    assert_eq!(value["high"].as_f64().unwrap(), 93.5);
    assert!(says(&reply, "assumptions", "filled_read_cold"), "{reply}");
    let largest = reply["largest_fill"]["value"].as_f64().unwrap();
    assert!(largest / 10.0 <= limit && largest >= 900.0, "{reply}");
    // Figures that are estimates are shown to four digits.
    assert_eq!((limit * 100.0).round() / 100.0, limit);
    let warm = json!({ "liquid": "butan-1-ol", "container": { "capacity": "1 L", "filled": "900 mL", "filled_at": "20 Cel" }, "highest_temperature": "25 Cel" });
    assert!(!says(&ask("storage", &warm).unwrap(), "assumptions", "filled_read_cold"));
}

/// Twenty-five litres on a bench are a store, and no lesson.
#[test]
fn a_drum_of_ethanol_on_a_bench() {
    let at = |liquid: &str, container: Value| json!({ "liquid": liquid, "container": container, "highest_temperature": "25 Cel", "place": "bench" });
    let drum = at("ethanol", json!({ "capacity": "30 L", "filled": "25 L" }));
    refused("storage", &drum, "bench_amount");
    let over = ask("storage", &drum).unwrap();
    let remedy = &check(&over, "bench_amount").unwrap()["remedy"];
    assert_eq!((&remedy["field"], &remedy["to"]), (&json!("/container/filled"), &json!("500 mL")));
    let unfilled = at("ethanol", json!({ "capacity": "1 L" }));
    refused("storage", &unfilled, "bench_amount");
    let reply = ask("storage", &unfilled).unwrap();
    assert_eq!(reply["largest_fill"]["value"], 500.0, "{reply}");
    // It flashes at 29 Cel: too cold to be lit, and on a bench all the same.
    refused("storage", &at("butan-1-ol", json!({ "capacity": "1 L", "filled": "501 mL" })), "bench_amount");
    let less = ask("storage", &at("ethanol", json!({ "capacity": "1 L", "filled": "500 mL" }))).unwrap();
    assert_ne!(less["outcome"], "over_limit", "{less}");
    let glycerol = ask("storage", &at("glycerol", json!({ "capacity": "30 L", "filled": "25 L" }))).unwrap();
    assert!(check(&glycerol, "bench_amount").is_none(), "{glycerol}");
    // Where it stands is not given: that limit was not checked, and the reply is not complete.
    let mut nowhere = drum;
    nowhere.as_object_mut().unwrap().remove("place");
    let reply = ask("storage", &nowhere).unwrap();
    assert!(says(&reply, "not_considered", "bench_amount") && reply["complete"] == false, "{reply}");
}

/// Nothing is known of what a container does with a liquid; a beaker is none that is closed.
#[test]
fn a_container_of_plastic_and_a_beaker() {
    let at = |liquid: &str, material: Value| {
        let mut container = json!({ "capacity": "1 L", "filled": "500 mL" });
        container["material"] = material;
        ask("storage", &json!({ "liquid": liquid, "container": container, "highest_temperature": "25 Cel" }))
            .unwrap()
    };
    for material in [Value::Null, json!("glass"), json!("HDPE")] {
        let reply = at("propanone", material.clone());
        assert!(says(&reply, "not_considered", "container_material"), "{reply}");
        assert_eq!(says(&reply, "cautions", "plastic_and_solvents"), material == "HDPE", "{reply}");
        assert_eq!(reply["complete"], false);
    }
    // From memory: propanone dissolves polystyrene, dichloromethane reacts with aluminium, paper soaks.
    for (liquid, material) in [
        ("propanone", "polystyrene"),
        ("dichloromethane", "aluminium can"),
        ("ethanol", "paper cup"),
        ("methanol", "drinks bottle of PET"),
    ] {
        let reply = at(liquid, json!(material));
        assert_eq!(reply["outcome"], "over_limit", "{reply}");
    }
    assert!(says(&at("trichloromethane", json!("HDPE")), "cautions", "plastic_and_solvents"));
    assert!(!says(&at("water", json!("HDPE")), "cautions", "plastic_and_solvents"));
    for open in ["open dish", "glass beaker", "Beaker, 250 mL"] {
        assert!(says(&at("ethanol", json!(open)), "cautions", "closed_only"), "{open}");
    }
    assert!(!says(&at("ethanol", json!("glass")), "cautions", "closed_only"));
}

/// Nobody said where the flames are: the sentence says that it does not know.
#[test]
fn a_bottle_of_which_nobody_says_where_the_flames_are() {
    let mut request = json!({ "liquid": "ethanol", "container": { "capacity": "1 L", "filled": "500 mL" }, "highest_temperature": "25 Cel", "place": "cupboard" });
    let ends = |request: &Value| {
        let reply = ask("storage", request).unwrap();
        reply["sentence"].as_str().unwrap().ends_with("; the distance of flames was not given.")
    };
    assert!(ends(&request));
    request["nearest_ignition"] = json!("4 m");
    assert!(!ends(&request));
    // Far below its flash point no flame lights it where it stands.
    request["liquid"] = json!("glycerol");
    request.as_object_mut().unwrap().remove("nearest_ignition");
    assert!(!ends(&request));
}

/// A word that is alike may be of another family: those that work are listed, and none is suggested.
#[test]
fn an_unknown_neighbour_is_no_other_liquid() {
    let request = json!({ "liquid": "ethanol", "container": { "capacity": "1 L" }, "beside": ["nitric acids", "propanone"] });
    let problem = ask("storage", &request).unwrap_err();
    let fault = &problem["errors"][0];
    assert_eq!((&fault["pointer"], &fault["suggestion"]), (&json!("/beside/0"), &Value::Null));
    let detail = fault["detail"].as_str().unwrap();
    for word in ["nitric acid", "potassium permanganate", "mineral acids", "salts"] {
        assert!(detail.contains(word), "{detail}");
    }
}

/// A bottle of sixty litres is over the limit of a cupboard whatever else is there; so is old ether.
#[test]
fn a_drum_in_a_cupboard_and_ether_of_last_year() {
    let drum = json!({ "liquid": "propanone", "container": { "capacity": "60 L" }, "highest_temperature": "25 Cel" });
    refused("storage", &drum, "amount_held");
    let old = json!({ "liquid": "ethoxyethane", "container": { "capacity": "500 mL" }, "highest_temperature": "20 Cel", "opened_for": "14 months", "peroxide_test": "none found" });
    refused("storage", &old, "peroxide_age");
}

fn burning(liquid: &str, amount: &str, count: u32, person: &str, more: &Value) -> Value {
    let mut request = json!({
        "liquid": liquid, "amount": amount, "vessels": count, "nearest_person": person, "room": lab(),
        "vessel": { "capacity": "60 mL", "mouth_diameter": "6 cm", "material": "borosilicate glass" },
    });
    for (key, value) in more.as_object().unwrap() {
        request[key] = value.clone();
    }
    request
}

/// Little liquid, much vapour: a bottle is no burner.
#[test]
fn a_bottle_of_19_litres_as_a_burner() {
    let more = json!({ "vessel": { "capacity": "19 L", "mouth_diameter": "5 cm", "material": "borosilicate glass" } });
    let bottle = burning("ethanol", "20 mL", 1, "5 m", &more);
    refused("burning", &bottle, "burnable_vessel");
    refused("burning", &bottle, "lighting_delay");
    // The same by its fill.
    let fill = json!({ "liquid": "ethanol", "room": lab(), "vessel": more["vessel"], "vessels": 1, "use": "burnt", "fill": "20 mL", "nearest_person": "5 m" });
    refused("safe-fill", &fill, "flame");
}

/// Its smoke is sulfur dioxide.
#[test]
fn carbon_disulfide_burnt_in_a_small_room() {
    let mut request = burning("carbon disulfide", "20 mL", 1, "4 m", &json!({}));
    request["room"] = json!({ "volume": "40 m3", "temperature": "20 Cel" });
    refused("burning", &request, "burnable_liquid");
}

/// The radiant check alone sees a third of its limit.
#[test]
fn six_dishes_swept_off_the_bench_alight() {
    let request = burning("ethanol", "20 mL", 6, "1 m", &json!({}));
    refused("burning", &request, "burning_spill");
    let reply = ask("burning", &request).unwrap();
    let radiant = reply["checks"].as_array().unwrap().iter().find(|check| check["check"] == "radiant_heat");
    assert_eq!(radiant.unwrap()["status"], "within_limit");
    let fill = json!({ "liquid": "ethanol", "room": lab(), "vessel": request["vessel"], "vessels": 6, "use": "burnt", "fill": "20 mL", "nearest_person": "1 m", "ignition": "none in the room" });
    refused("safe-fill", &fill, "spill");
    refused(
        "spill",
        &json!({ "liquid": "ethanol", "amount": "20 mL", "room": lab(), "ignition": "none in the room", "alight": true }),
        "burning_spill",
    );
}

/// What evaporates while everybody takes their seats flashes at once.
#[test]
fn six_dishes_of_pentane_lit_after_ten_minutes() {
    let request = burning("pentane", "20 mL", 6, "3 m", &json!({ "wait_before_lighting": "10 min" }));
    refused("burning", &request, "lighting_delay");
    refused("burning", &request, "burnable_liquid");
    let hexane = burning("hexane", "20 mL", 6, "2 m", &json!({ "wait_before_lighting": "10 min" }));
    refused("burning", &hexane, "lighting_delay");
}

/// Each dish is small, and all of them together fill the room with carbon dioxide.
#[test]
fn twenty_dishes_of_ethanol() {
    let request = burning("ethanol", "20 mL", 20, "4 m", &json!({ "spacing": "1 m" }));
    refused("burning", &request, "alight_at_once");
    let mut close = request.clone();
    close["room"]["volume"] = json!("60 m3");
    close["room"]["floor_area"] = json!("22 m2");
    refused("burning", &close, "carbon_dioxide");
}

/// Its flash point is above the room's temperature, but not by what a warm wall needs.
#[test]
fn a_refill_of_butanol_in_a_warm_room() {
    let request = json!({
        "vessel": { "material": "borosilicate glass", "capacity": "100 mL" }, "burnt": { "liquid": "butan-1-ol", "amount": "10 mL" },
        "room_temperature": "25 Cel", "refill_with": "butan-1-ol", "waited": "3 h",
    });
    refused("cooling", &request, "refill_wait");
}

/// The wall of a vessel that is known by its mass alone may be thicker than usual walls: a mortar of 1 kg takes 5 hours.
#[test]
fn a_mortar_known_by_its_mass() {
    let at = |vessel: Value, waited: &str| {
        let request = json!({
            "vessel": vessel, "burnt": { "liquid": "ethanol", "amount": "6 mL" }, "room_temperature": "21 Cel", "pressure": "101.325 kPa",
            "refill_with": "ethanol", "waited": waited, "all_flames_out": true,
        });
        ask("cooling", &request).unwrap()
    };
    let heavy = json!({ "material": "porcelain", "mass": "1 kg" });
    let reply = at(heavy.clone(), "4 h");
    for check in ["refill_wait", "thermal_shock"] {
        assert_eq!(made(&reply, check)["status"], "not_assessed", "{reply}");
        assert!(made(&reply, check)["reason"].as_str().unwrap().contains("`capacity` and `mouth_diameter`"));
    }
    assert!(reply.get("waiting_time").is_none() && reply.get("waiting_time_to_clear").is_none());
    assert!(reply["temperatures"].as_array().unwrap().is_empty() && reply.get("thermal_shock").is_none());
    // What is too early even for the thinner wall stays so.
    assert_eq!(made(&at(heavy, "10 min"), "refill_wait")["status"], "over_limit");
    let known =
        json!({ "material": "porcelain", "mass": "1 kg", "capacity": "100 mL", "mouth_diameter": "7 cm" });
    let reply = at(known, "4 h");
    assert_eq!(made(&reply, "refill_wait")["status"], "over_limit");
    assert!(reply["waiting_time"]["value"].as_f64().unwrap() > 300.0);
}

/// Smothered, what has not burnt is as hot as it boils: 200 mL hold several times the heat of the beaker.
#[test]
fn a_smothered_beaker_of_hot_ethanol() {
    let at = |amount: &str| {
        let request = json!({
            "vessel": { "material": "borosilicate glass", "capacity": "250 mL", "mouth_diameter": "7 cm" },
            "burnt": { "liquid": "ethanol", "amount": amount }, "room_temperature": "21 Cel", "pressure": "101.325 kPa",
        });
        let reply = ask("cooling", &request).unwrap();
        let number = |field: &str| reply[field]["value"].as_f64().unwrap();
        (number("waiting_time_to_clear"), number("waiting_time"))
    };
    let (few, many) = (at("6 mL"), at("200 mL"));
    assert_eq!(few.0, 15.0);
    // By hand: 200 mL hold 550 J/K beside the 151 of the thickest wall, 119 of them dry; the dry wall from 250 to 78 Cel at
    // 19 W/(m2 K) on 0.018 m2 and the base, then all of it to 56 Cel at 14; ln(229/57.3) and ln(57.3/35).
    let dry = 119.0 / (19.0 * 0.018_1 + 6.0 * 0.003_85) * 1.386 / 60.0;
    let hand = dry + (550.0 + 151.0) / (14.0 * 0.018_1 + 6.0 * 0.003_85) * 0.493 / 60.0;
    assert!(many.0 > 2.0 * few.0 && (many.0 / hand - 1.0).abs() < 0.15, "{many:?} {hand}");
    assert!(many.1 > 3.0 * few.1);
}

/// Over again after any wait, while no flame is proved out: the sentence says both.
#[test]
fn a_refill_before_the_flames_are_proved_out() {
    for waited in ["5 min", "60 min"] {
        let request = json!({
            "vessel": { "material": "borosilicate glass", "mass": "110 g" }, "burnt": { "liquid": "ethanol", "amount": "6 mL" },
            "room_temperature": "21 Cel", "pressure": "101.325 kPa", "refill_with": "ethanol", "waited": waited,
        });
        let reply = ask("cooling", &request).unwrap();
        let wait = format!("wait {} min", reply["waiting_time"]["value"]).replace(".0 ", " ");
        let sentence = reply["sentence"].as_str().unwrap();
        for part in ["Prove every flame within 5 m out", "cover it", "`all_flames_out`", &wait] {
            assert!(sentence.contains(part), "{part}: {sentence}");
        }
        refused("cooling", &request, "refill_wait");
    }
}

/// Nothing burnt in a dish from an oven, and one that is cold needs no wait.
#[test]
fn a_dish_from_the_oven_is_no_vessel_of_a_flame() {
    let at = |start: &str, with: &str, waited: &str| {
        let request = json!({
            "vessel": { "material": "glass", "capacity": "300 mL", "mouth_diameter": "10 cm" }, "start_temperature": start,
            "room_temperature": "21 Cel", "pressure": "101.325 kPa", "refill_with": with, "waited": waited, "mat": false,
        });
        ask("cooling", &request).unwrap()
    };
    let cold = at("21 Cel", "water", "0 min");
    assert_eq!(cold["outcome"], "within_limit", "{cold}");
    let hot = at("110 Cel", "water", "10 min");
    assert_eq!(made(&hot, "refill_wait")["status"], "over_limit");
    for reply in [&cold, &hot, &at("110 Cel", "ethanol", "10 min")] {
        let text = reply.to_string();
        assert!(!text.contains("something burnt in before") && !text.contains("again too early"), "{text}");
        assert_ne!(reply["governed_by"], "practice");
    }
    // Scratched ware decides: 8.7 K in soda-lime glass (worked in the project's methods: 9 K), though 19 K are usual.
    let limit = made(&hot, "thermal_shock")["limit"]["value"].as_f64().unwrap();
    assert!((limit - 8.67).abs() < 0.01, "{limit}");
    assert!((hot["thermal_shock"]["permissible_step"]["value"].as_f64().unwrap() - 18.6).abs() < 0.1);
    assert_eq!(made(&at("110 Cel", "water", "20 min"), "thermal_shock")["status"], "over_limit");
}

/// A lamp that is nearly empty is full of vapour.
#[test]
fn the_reservoir_of_a_lamp_is_at_least_half_full() {
    let lamp = json!({ "vessel": { "capacity": "100 mL", "mouth_diameter": "2 cm", "kind": "wick", "burning_rate": "0.3 g/min" } });
    let reply = ask("burning", &burning("ethanol", "10 mL", 1, "4 m", &lamp)).unwrap();
    let cautions = reply["cautions"].as_array().unwrap();
    let said = cautions.iter().find(|said| said["id"] == "wick_vapour").unwrap();
    assert!(said["text"].as_str().unwrap().contains("at least half"), "{said}");
}

/// It looks like the other glass.
#[test]
fn a_watch_glass_under_a_flame() {
    for material in ["soda-lime watch glass", "glass dish", "a nice bowl"] {
        let more =
            json!({ "vessel": { "capacity": "30 mL", "mouth_diameter": "8 cm", "material": material } });
        refused("burning", &burning("ethanol", "5 mL", 1, "4 m", &more), "thermal_shock");
        let after = json!({ "vessel": { "material": material, "mass": "40 g" }, "burnt": { "liquid": "ethanol", "amount": "5 mL" } });
        refused("cooling", &after, "thermal_shock");
    }
}

/// It is only the lid that is off.
#[test]
fn the_stock_bottle_beside_flames() {
    refused(
        "burning",
        &burning("ethanol", "6 mL", 1, "4 m", &json!({ "stock": { "distance": "4 m" } })),
        "stock_distance",
    );
    let hot = json!({
        "vessel": { "material": "borosilicate glass", "mass": "110 g" }, "burnt": { "liquid": "ethanol", "amount": "6 mL" }, "waited": "5 min",
        "stock": { "distance": "4 m" },
    });
    refused("cooling", &hot, "stock_distance");
}

/// A splint is a metre long, and what has gathered flashes in the face of whoever holds it.
#[test]
fn who_lights_it_after_five_minutes() {
    refused(
        "burning",
        &burning(
            "heptane",
            "20 mL",
            5,
            "3.5 m",
            &json!({ "vessel": { "capacity": "80 mL", "mouth_diameter": "8 cm", "material": "porcelain" } }),
        ),
        "lighting_delay",
    );
    refused(
        "burning",
        &burning("propanone", "20 mL", 2, "3.5 m", &json!({ "wait_before_lighting": "10 min" })),
        "lighting_delay",
    );
}

/// The last drops burn in a vessel full of vapour: filling it up is no remedy.
#[test]
fn more_liquid_leaves_no_less_vapour_room() {
    let at = |amount: &str| {
        let more = json!({ "vessel": { "capacity": "150 mL", "mouth_diameter": "8 cm", "material": "porcelain" }, "wait_before_lighting": "0 min" });
        ask("burning", &burning("hexane", amount, 1, "4 m", &more)).unwrap()["flash_in_vessel"]["high"]
            .as_f64()
            .unwrap()
    };
    assert!(at("19 mL") >= at("5 mL"));
}

/// Heated, and nobody says by what or in what: a usual hot plate is taken, and what melts or cracks on it is found.
#[test]
fn heated_by_nobody_knows_what() {
    let on = |material: &str, more: Value| {
        let mut request = json!({ "liquid": "ethanol", "room": { "volume": "190 m3", "temperature": "21 Cel" }, "vessel": { "capacity": "100 mL", "mouth_diameter": "5 cm", "material": material }, "vessels": 1, "use": "heated", "fill": "20 mL", "nearest_ignition": "6 m", "nearest_person": "0.5 m", "heated_to": "60 Cel" });
        for (name, value) in more.as_object().unwrap() {
            request[name] = value.clone();
        }
        ask("safe-fill", &request)
    };
    let unsaid = on("borosilicate glass", json!({})).unwrap();
    assert!(is_over(&unsaid, "hot_surface") && says(&unsaid, "assumptions", "unknown_heater"));
    let bath = on("borosilicate glass", json!({ "heated_by": "water_bath" })).unwrap();
    assert_ne!(bath["outcome"], "over_limit");
    let plate = json!({ "heated_by": "hot_plate", "surface_temperature": "150 Cel" });
    assert!(is_over(&on("soda-lime glass", plate.clone()).unwrap(), "thermal_shock"));
    assert_ne!(on("borosilicate glass", plate.clone()).unwrap()["outcome"], "over_limit");
    for melts in ["polystyrene", "paper", "polyethylene"] {
        assert_eq!(on(melts, plate.clone()).unwrap_err()["errors"][0]["pointer"], "/vessel/material");
    }
}

/// Lamps are for alcohols.
#[test]
fn hexane_in_a_lamp() {
    let lamp = json!({ "vessel": { "capacity": "100 mL", "mouth_diameter": "2 cm", "kind": "wick", "burning_rate": "0.3 g/min" } });
    for liquid in ["hexane", "propanone", "methylbenzene"] {
        refused("burning", &burning(liquid, "50 mL", 1, "4 m", &lamp), "burnable_liquid");
    }
    refused("burning", &burning("ethanol", "95 mL", 1, "4 m", &lamp), "vessel");
    // A wider bottle makes no shorter flame.
    let at = |mouth: &str| {
        let more = json!({ "clear_height": "0.3 m", "vessel": { "capacity": "150 mL", "mouth_diameter": mouth, "kind": "wick", "burning_rate": "5 g/min" } });
        ask("burning", &burning("ethanol", "60 mL", 1, "4 m", &more)).unwrap()["flame_height"].clone()
    };
    assert_eq!(at("1 cm"), at("6 cm"));
    // An open dish is no burner, whatever it is called.
    let dish = json!({ "vessel": { "capacity": "20 mL", "mouth_diameter": "12 cm", "material": "steel", "kind": "wick", "burning_rate": "0.25 g/min" } });
    let problem = ask("burning", &burning("ethanol", "10 mL", 1, "4 m", &dish)).unwrap_err();
    assert_eq!(problem["errors"][0]["pointer"], "/vessel/kind");
}

/// Light parts of a mixture burn first.
#[test]
fn pentane_in_another_liquid() {
    for other in ["hexane", "decane", "ethanol"] {
        let mut request = burning("ethanol", "10 mL", 1, "4 m", &json!({}));
        request["liquid"] = json!({ "mixture": [{ "substance": "pentane", "quantity": "5 mL" }, { "substance": other, "quantity": "95 mL" }] });
        refused("burning", &request, "burnable_liquid");
    }
}

/// A cold room takes longer to cool a wall down to itself.
#[test]
fn a_refill_where_the_room_is_not_known() {
    let at = |room: Option<&str>| {
        let mut request = json!({ "vessel": { "material": "borosilicate glass", "mass": "110 g" }, "burnt": { "liquid": "ethanol", "amount": "6 mL" }, "refill_with": "ethanol" });
        if let Some(room) = room {
            request["room_temperature"] = json!(room);
        }
        ask("cooling", &request).unwrap()["waiting_time"]["value"].as_f64().unwrap()
    };
    assert!(
        at(None) >= at(Some("21 Cel")) && at(None) >= at(Some("30 Cel")) && at(None) >= at(Some("16 Cel"))
    );
    for light in ["ethoxyethane", "pentane"] {
        let request = json!({
            "vessel": { "material": "borosilicate glass", "mass": "110 g" }, "burnt": { "liquid": "ethanol", "amount": "6 mL" },
            "refill_with": light, "waited": "3 h", "all_flames_out": true, "room_temperature": "21 Cel",
        });
        refused("cooling", &request, "refill_wait");
    }
}

/// The rim takes the flame, however heavy the vessel is.
#[test]
fn a_heavy_vessel_is_not_cold() {
    let request = json!({ "vessel": { "material": "borosilicate glass", "mass": "2 kg" }, "burnt": { "liquid": "ethanol", "amount": "6 mL" }, "room_temperature": "21 Cel" });
    let reply = ask("cooling", &request).unwrap();
    assert!(reply["wall_temperature_at_end"]["high"].as_f64().unwrap() >= 250.0, "{reply}");
}

/// What nobody has measured is no better than what somebody has: a liquid without an exposure limit, one without a flammable
/// limit and one that boils have no place in an order, however good their other figures look.
#[test]
fn a_liquid_with_a_missing_figure_is_never_the_least_hazardous() {
    let at = |liquids: Value, used: &str, heated: Option<&str>| {
        let mut request = json!({ "liquids": liquids, "use": used, "amount": "5 mL", "room": lab(), "nearest_ignition": "4 m", "duration": "30 min" });
        if let Some(heated) = heated {
            request["heated_to"] = json!(heated);
        }
        ask("comparison", &request).unwrap()
    };
    let placed = |reply: &Value, name: &str| reply["order"].to_string().contains(&format!("\"{name}\""));
    // Limonene cannot be lit at 20 Cel, but no exposure limit of it is known.
    let reply = at(json!(["limonene", "ethanol"]), "open", None);
    assert!(!placed(&reply, "limonene") && placed(&reply, "ethanol"), "{}", reply["order"]);
    assert_eq!(reply["outcome"], "not_assessed");
    // No flash point of dichloromethane is published, and its vapour can burn.
    assert!(!placed(&at(json!(["dichloromethane", "ethanol"]), "open", None), "dichloromethane"));
    // At 70 Cel propanone boils: nobody says how fast it leaves.
    let reply = at(json!(["propanone", "ethanol"]), "heated", Some("70 Cel"));
    assert!(!placed(&reply, "propanone"));
    assert_eq!(reply["rows"][0]["outcome"], "over_limit", "it is over its margin all the same");
    // A gas in this room, and what does not burn where it is to be burnt.
    let hot = json!({ "liquids": ["2-methylbutane", "ethanol"], "use": "open", "amount": "5 mL", "room": { "volume": "190 m3", "temperature": "29 Cel", "pressure": "101.325 kPa" } });
    assert!(!placed(&ask("comparison", &hot).unwrap(), "2-methylbutane"));
    assert!(!placed(&at(json!(["water", "ethanol"]), "burnt", None), "water"));
}

/// Said to be heated, to less than the room has already: the margin is checked all the same.
#[test]
fn liquids_heated_to_what_the_room_is() {
    let request = json!({ "liquids": ["ethanol", "propanone"], "use": "heated", "heated_to": "15 Cel", "amount": "5 mL", "room": lab(), "nearest_ignition": "4 m" });
    let reply = ask("comparison", &request).unwrap();
    for row in reply["rows"].as_array().unwrap() {
        assert_eq!(
            (&row["outcome"], &row["governed_by"]["check"]),
            (&json!("over_limit"), &json!("flash_point_margin"))
        );
    }
}

/// A flame that gives no soot comes from a poison: methanol is no better a burner fuel than ethanol.
#[test]
fn methanol_is_not_preferred_to_ethanol() {
    for used in ["open", "heated", "burnt"] {
        let request = json!({ "liquids": ["methanol", "ethanol"], "use": used, "amount": "5 mL", "room": lab(), "nearest_ignition": "4 m", "duration": "30 min" });
        let reply = ask("comparison", &request).unwrap();
        assert_eq!(reply["order"][0]["liquids"], json!(["ethanol"]), "{used}: {}", reply["order"]);
    }
}

/// Within every limit by its figures in so small an amount, but not for school use: last, and over its limit.
#[test]
fn a_drop_of_benzene_among_others() {
    let request = json!({ "liquids": ["benzene", "hexane", "ethoxyethane"], "use": "open", "amount": "0.1 mL", "room": lab(), "ignition": "none in the room", "duration": "5 min" });
    let reply = ask("comparison", &request).unwrap();
    let order = reply["order"].as_array().unwrap();
    assert_eq!(order.last().unwrap()["liquids"], json!(["benzene"]));
    assert_eq!(
        (&reply["outcome"], &reply["rows"][0]["outcome"]),
        (&json!("over_limit"), &json!("over_limit"))
    );
}
