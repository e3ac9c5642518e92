//! Plans that look harmless and are not, each with the reason: none may come out within its limits.

use brimline_tests::ask;
use serde_json::{Value, json};

fn lab() -> Value {
    json!({ "volume": "190 m3", "temperature": "20 Cel", "pressure": "101.325 kPa", "air_changes": "3 /h", "floor_area": "70 m2" })
}

/// Over the limit (or not assessed), and by the check that is meant.
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
