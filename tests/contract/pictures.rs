//! Pictures: well-formed, described in words, the same bytes each time, and never milder than the answer.

use crate::server::shared;
use reqwest::{Client, StatusCode};
use serde_json::{Value, json};

/// The status and the text of an answer as a picture.
async fn drawn(question: &str, body: &Value) -> (StatusCode, String) {
    let url = shared().url(&format!("/v1/{question}?format=svg"));
    let reply = Client::new().post(url).json(body).send().await.unwrap();
    (reply.status(), reply.text().await.unwrap())
}

async fn answered(question: &str, body: &Value) -> Value {
    let url = shared().url(&format!("/v1/{question}"));
    Client::new().post(url).json(body).send().await.unwrap().json().await.unwrap()
}

/// Panics unless every tag is closed in order, every attribute quoted and every other mark escaped.
fn well_formed(text: &str) {
    let mut open: Vec<&str> = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find('<') {
        let (said, after) = rest.split_at(at);
        escaped(said);
        let end = after.find('>').unwrap();
        let tag = &after[1..end];
        assert_eq!(tag.matches('"').count() % 2, 0, "{tag}");
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop(), Some(name));
        } else if !tag.ends_with('/') {
            open.push(tag.split(' ').next().unwrap());
        }
        rest = &after[end + 1..];
        assert!(!open.is_empty() || rest.is_empty(), "after the root: {rest}");
    }
    assert!(open.is_empty(), "{open:?}");
}

fn escaped(text: &str) {
    assert!(!text.contains('>'), "{text}");
    assert!(
        text.chars().all(|letter| !letter.is_control() && !"\u{fffe}\u{ffff}".contains(letter)),
        "{text}"
    );
    for after in text.split('&').skip(1) {
        assert!(["amp;", "lt;", "gt;", "quot;"].iter().any(|mark| after.starts_with(mark)), "{after}");
    }
}

fn described(svg: &str) -> &str {
    let from = svg.find("<desc id=\"picture-desc\">").unwrap() + "<desc id=\"picture-desc\">".len();
    &svg[from..svg.find("</desc>").unwrap()]
}

const NAME: &str = "<script>alert(1)</script> & \"so\" \u{ffff} \u{1}";

fn plan(burner: &str, lit: bool) -> Value {
    json!({
        "name": NAME,
        "room": { "volume": "190 m3", "temperature": "21 Cel", "pressure": "101.325 kPa", "air_changes": "3 /h", "floor_area": "70 m2" },
        "people": { "nearest": "0.6 m", "count": 24 },
        "steps": [
            { "do": "draw", "liquid": "heptane", "amount": "40 mL" },
            { "do": "pour", "liquid": "heptane", "amount": "5 mL", "vessel": { "capacity": "250 mL", "mouth_diameter": "4 cm", "material": "glass" }, "vessels": 8 },
            { "do": "evaporate", "duration": "25 min" },
            { "do": "clear" }
        ],
        "stock": [{ "liquid": "heptane", "container": "250 mL", "distance": "5 m" }],
        "ignition": [{ "kind": "burner <b>1</b> & ".repeat(6), "distance": burner, "lit": lit }]
    })
}

fn room() -> Value {
    json!({ "temperature": "21 Cel", "pressure": "101.325 kPa", "volume": "180 m3", "air_changes": "2 /h" })
}

#[tokio::test]
async fn every_picture_is_well_formed_described_and_the_same_twice() {
    let vessel = json!({ "capacity": "100 mL", "mouth_diameter": "5 cm" });
    let mixture = json!({ "basis": "volume", "mixture": [{ "substance": "ethanol", "fraction": 0.7 }, { "substance": "water", "fraction": 0.3 }] });
    for (question, body) in [
        ("vapour-pressure", json!({ "liquid": "ethanol", "temperature": "21 Cel" })),
        ("vapour-pressure", json!({ "liquid": "glycerol", "temperature": "21 Cel" })),
        ("vapour-pressure", json!({ "liquid": "water", "temperature": "-5 Cel" })),
        ("vapour-pressure", json!({ "liquid": mixture, "temperatures": ["21 Cel", "30 Cel"] })),
        ("vapour-pressure", json!({ "liquid": "propanone", "from": "0 Cel", "to": "50 Cel", "step": "1 K" })),
        ("flash-point-margin", json!({ "liquid": "glycerol", "room_temperature": "21 Cel" })),
        ("flash-point-margin", json!({ "liquid": mixture, "room_temperature": "21 Cel" })),
        ("room-flammable-limit", json!({ "liquid": "propanone", "room": room(), "released": "300 mL" })),
        (
            "safe-fill",
            json!({ "liquid": "ethanol", "room": room(), "vessel": vessel, "vessels": 6, "use": "open" }),
        ),
        ("practical", plan("1 m", true)),
    ] {
        let (status, svg) = drawn(question, &body).await;
        assert_eq!(status, StatusCode::OK, "{question} {body}: {svg}");
        well_formed(&svg);
        assert!(
            svg.starts_with("<svg ")
                && svg.contains("role=\"img\" aria-labelledby=\"picture-title picture-desc\"")
        );
        assert!(svg.contains("<title id=\"picture-title\">"));
        assert!(described(&svg).len() > 80, "{question}: {}", described(&svg));
        for outside in ["<script", "<b>", "href", "url(http", "@import", "NaN", "inf", "safe"] {
            assert!(!svg.contains(outside), "{question}: {outside}");
        }
        assert_eq!(drawn(question, &body).await.1, svg, "{question}: asked twice");
        // What the answer says stands over the picture and is read aloud.
        let sentence = answered(question, &body).await["sentence"].as_str().unwrap().replace(" Cel", " °C");
        let sentence = sentence.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
        assert!(described(&svg).starts_with(&sentence), "{question}: {sentence}");
    }
}

#[tokio::test]
async fn the_figures_of_the_answer_are_those_that_a_picture_says() {
    let body = json!({ "liquid": "ethanol", "temperature": "21 Cel" });
    let point = &answered("vapour-pressure", &body).await["points"][0]["vapour_pressure"];
    let (_, svg) = drawn("vapour-pressure", &body).await;
    let said = format!("At 21 °C: {} kPa ({} to {}).", point["value"], point["low"], point["high"]);
    assert!(described(&svg).contains(&said), "{said}: {}", described(&svg));

    let body = json!({ "liquid": "hexane", "room": { "temperature": "21 Cel", "pressure": "101.325 kPa" } });
    let reply = answered("flash-point-margin", &body).await;
    let (_, svg) = drawn("flash-point-margin", &body).await;
    for (name, of) in [
        ("Saturated vapour in the air", "volume_fraction"),
        ("Lower flammable limit", "lower_flammable_limit"),
        ("Upper flammable limit", "upper_flammable_limit"),
    ] {
        let figure = &reply["headspace"][of];
        let range = |end: &str| figure[end].as_f64().unwrap();
        let said = format!("{name}: {} % ({} to {}).", range("value"), range("low"), range("high"));
        assert!(described(&svg).contains(&said), "{said}: {}", described(&svg));
    }
    // Too rich inside is not out of reach of a flame.
    assert_eq!(reply["headspace"]["condition"], "too_rich");
    assert!(svg.contains("IGNITABLE at the opening, where air comes in") && svg.contains("OVER THE LIMIT"));
}

#[tokio::test]
async fn a_plan_is_drawn_with_the_distance_given_and_the_one_wanted() {
    let (_, svg) = drawn("practical", &plan("1 m", true)).await;
    let said = described(&svg);
    // 5 m from an open stock bottle is common practice.
    for part in [
        "lit: 1 m; OVER: at least 5 m wanted (liquid poured beside a flame)",
        "stock of heptane, closed: 5 m; near: dropped, its vapour reaches",
        "nearest person: 0.6 m",
        "Directions are not known",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    let (_, svg) = drawn("practical", &plan("6 m", false)).await;
    assert!(!described(&svg).contains("OVER"), "{}", described(&svg));
}

#[tokio::test]
async fn what_has_no_picture_is_refused_and_a_sheet_shows_that_of_its_plan() {
    // It does not burn: there is no limit and no flash point to hold it against.
    let (status, text) = drawn("flash-point-margin", &json!({ "liquid": "water" })).await;
    assert_eq!(status, StatusCode::NOT_ACCEPTABLE, "{text}");
    let (status, _) = drawn("evaporation", &json!({ "liquid": "ethanol" })).await;
    assert_eq!(status, StatusCode::NOT_ACCEPTABLE);

    let ask = |format: &'static str| async move {
        let url = shared().url(&format!("/v1/practical?format={format}"));
        Client::new().post(url).json(&plan("1 m", true)).send().await.unwrap().text().await.unwrap()
    };
    let page = ask("html").await;
    let from = page.find("<svg ").unwrap();
    let svg = &page[from..page.find("</svg>").unwrap() + "</svg>".len()];
    well_formed(svg);
    assert!(!svg.contains("xmlns") && !svg.contains("<b>"));
    assert!(ask("md").await.contains("lit: 1 m; OVER: at least 5 m wanted"));
}
