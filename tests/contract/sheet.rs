//! The sheet of a plan: one reply as a page to print and as Markdown.

use crate::operations::whole_request;
use crate::server::shared;
use brimline_openapi::operations::QUESTIONS;
use brimline_service::question::walk::in_words;
use reqwest::header::ACCEPT;
use reqwest::{Client, StatusCode};
use serde_json::{Value, json};

const NAME: &str = "<script>alert(1)</script> \"quoted\" it's | *x* 🔥 שלום עולם";

fn plan(nearest: &str) -> Value {
    let vessel = json!({ "capacity": "250 mL", "mouth_diameter": "7 cm", "material": "borosilicate glass" });
    json!({
        "name": NAME,
        "room": { "volume": "190 m3", "temperature": "21 Cel", "pressure": "101.325 kPa", "air_changes": "3 /h" },
        "people": { "nearest": nearest, "count": 24 },
        "steps": [
            { "do": "draw", "liquid": "ethanol", "amount": "36 mL" },
            { "do": "pour", "liquid": "ethanol", "amount": "6 mL", "vessel": vessel, "vessels": 6 },
            { "do": "wait", "duration": "2 min" },
            { "do": "burn" },
            { "do": "wait", "duration": "15 min" },
            { "do": "clear", "all_flames_out": true }
        ],
        "stock": [{ "liquid": "ethanol", "container": "100 mL", "distance": "3 m" }],
        "ignition": [{ "kind": "gas tap <b>_1_</b>", "distance": "3 m", "lit": false }],
        "mat": true,
        "clear_height": "2 m"
    })
}

/// The status, the type, the security policy and the text of a plan in a format.
async fn sheet(plan: &Value, accept: &str) -> (StatusCode, String, String, String) {
    let url = shared().url("/v1/practical");
    let reply = Client::new().post(url).header(ACCEPT, accept).json(plan).send().await.unwrap();
    let header =
        |name: &str| reply.headers().get(name).map_or("", |value| value.to_str().unwrap()).to_owned();
    let (status, kind, policy) = (reply.status(), header("content-type"), header("content-security-policy"));
    (status, kind, policy, reply.text().await.unwrap())
}

async fn reply(plan: &Value) -> Value {
    Client::new().post(shared().url("/v1/practical")).json(plan).send().await.unwrap().json().await.unwrap()
}

/// The levels of the headings of a page, in order.
fn levels(page: &str) -> Vec<u32> {
    let after = page.match_indices("<h").filter_map(|(at, _)| page[at + 2..].chars().next());
    after.filter_map(|letter| letter.to_digit(10)).collect()
}

/// Without the name of a path, which is the only place where the word may stand.
fn promises(text: &str) -> bool {
    text.to_lowercase().replace("safe-fill", "").contains("safe")
}

#[tokio::test]
async fn a_page_shows_all_of_the_reply_and_loads_nothing() {
    for (nearest, outcome) in [("3 m", "Outcome: near a limit"), ("0.5 m", "Outcome: OVER A LIMIT")] {
        let plan = plan(nearest);
        let found = reply(&plan).await;
        let (status, kind, policy, page) = sheet(&plan, "text/html").await;
        assert_eq!((status, kind.as_str()), (StatusCode::OK, "text/html; charset=utf-8"));
        assert!(
            policy.starts_with("default-src 'none'; frame-ancestors 'none'; style-src 'sha256-"),
            "{policy}"
        );
        assert!(!policy.contains("unsafe"), "{policy}");
        assert_eq!(page, sheet(&plan, "text/html").await.3, "asked twice");
        for outside in ["<script", "http://", "https://", "@import", "url(", "<b>_1_", "NaN", "Borrowed"] {
            assert!(!page.contains(outside), "{outside}");
        }
        assert!(page.contains("Practical: &lt;script&gt;alert(1)&lt;/script&gt; &quot;quoted&quot; it&#39;s | *x* 🔥 <bdi>שלום עולם</bdi></h1>"));
        assert!(page.contains(outcome) && page.contains("lang=\"en-GB\""), "{nearest}");
        assert!(!promises(&page));
        let levels = levels(&page);
        assert_eq!(levels.iter().filter(|level| **level == 1).count(), 1);
        assert_eq!(levels[0], 1);
        assert!(levels.windows(2).all(|pair| pair[1] <= pair[0] + 1), "{levels:?}");
        assert_eq!(page.matches("<table").count(), page.matches("<caption>").count());
        assert_eq!(page.matches("<th ").count(), page.matches("<th scope=").count());
        for part in ["Signature", "The plan, in its order", "What is set out", "What is cleared up"] {
            assert!(page.contains(&format!("<h2>{part}</h2>")), "{part}");
        }
        for check in found["checks"].as_array().unwrap() {
            let id = check["check"].as_str().unwrap();
            assert_ne!(in_words(id), in_words("no such check"), "{id} has no words");
            assert!(page.contains(&format!("{} ({id})", in_words(id))), "{id}");
        }
        for (list, text) in [("not_considered", "reason"), ("cautions", "text"), ("assumptions", "text")] {
            for item in found[list].as_array().unwrap() {
                let said = item[text].as_str().unwrap();
                // Degrees and quotes are written otherwise.
                if !said.contains(" Cel") && !said.contains(['"', '\'', '<', '&']) {
                    assert!(page.contains(said), "{said}");
                }
            }
        }
        assert!(page.contains(found["record"]["question_digest"].as_str().unwrap()));
        assert!(page.contains("Local codes, the supplier&#39;s data sheet and a competent person decide"));
    }
}

#[tokio::test]
async fn markdown_says_what_the_page_says() {
    for nearest in ["3 m", "0.5 m"] {
        let plan = plan(nearest);
        let found = reply(&plan).await;
        let (status, kind, _, text) = sheet(&plan, "text/markdown").await;
        assert_eq!((status, kind.as_str()), (StatusCode::OK, "text/markdown; charset=utf-8"));
        assert_eq!(text, sheet(&plan, "text/markdown").await.3, "asked twice");
        assert!(text.starts_with("# Practical: &lt;script&gt;alert(1)&lt;/script&gt; \"quoted\" it's \\| \\*x\\* 🔥 \u{2068}שלום עולם\u{2069}\n"), "{text}");
        assert!(text.contains("gas tap &lt;b&gt;\\_1\\_&lt;/b&gt;"));
        assert!(!text.contains("<script") && !text.contains("://") && !promises(&text));
        for check in found["checks"].as_array().unwrap() {
            assert!(text.contains(in_words(check["check"].as_str().unwrap())), "{check}");
        }
        assert!(text.contains(found["record"]["question_digest"].as_str().unwrap()));
        for table in text.split("\n\n").filter(|part| part.starts_with("| ")) {
            // A stroke that separates stands between spaces; one of a text has a backslash before it.
            let mut rows = table.lines().map(|row| row.replace("\\|", "").matches('|').count());
            let columns = rows.next().unwrap();
            assert!(rows.all(|row| row == columns), "{table}");
        }
        let page = sheet(&plan, "text/html").await.3;
        assert_eq!(page.matches("<h2>").count(), text.matches("\n## ").count());
        assert_eq!(page.matches("<li>").count(), text.lines().filter(|line| listed(line)).count());
    }
}

#[tokio::test]
async fn a_long_text_is_shown_cut_and_stays_text() {
    let mark = "<script>alert(1)</script> \"a\" | 👩\u{200d}🔬 שלום ";
    let long = mark.repeat(10_000 / mark.len() + 1);
    let shown: String = long.chars().take(199).chain(['…']).collect();
    let mut plan = plan("3 m");
    plan["name"] = json!(long);
    plan["ignition"][0]["kind"] = json!(long);
    plan["steps"][1]["vessel"]["material"] = json!(format!("borosilicate glass {long}"));
    let found = reply(&plan).await;
    assert_eq!(found["name"], shown.as_str());
    let recorded = &found["record"]["request"];
    assert_eq!(recorded["ignition"][0]["kind"], shown.as_str());
    let material = recorded["steps"][1]["vessel"]["material"].as_str().unwrap();
    assert!(material.starts_with("borosilicate glass <script>") && material.ends_with('…'), "{material}");
    assert_eq!(material.chars().count(), 200);
    let page = sheet(&plan, "text/html").await.3;
    assert!(!page.contains("<script") && page.contains("&lt;script&gt;") && page.contains("…</h1>"));
    assert!(page.contains("<bdi>שלום</bdi>") && page.len() < 80_000, "{}", page.len());
    // Outside the title of the page, where no element can stand, nothing that runs leftwards stands bare.
    let body =
        page.split_once("<main>").unwrap().1.replace("<bdi>שלום", "").replace("\u{2068}שלום\u{2069}", "");
    assert!(!body.contains("שלום"));
    let text = sheet(&plan, "text/markdown").await.3;
    assert!(!text.contains("<script") && text.contains("\u{2068}שלום\u{2069}"));
    // What was recorded answers the same.
    let mut again = recorded.clone();
    again.as_object_mut().unwrap().remove("question");
    assert_eq!(reply(&again).await["checks"], found["checks"]);
}

#[tokio::test]
async fn a_long_name_of_a_liquid_is_unknown_and_echoed_short() {
    for long in ["x".repeat(10_000), "<b>שלום🔥".repeat(1000)] {
        let mut plan = plan("3 m");
        plan["steps"][0]["liquid"] = json!(long);
        let found = reply(&plan).await;
        assert_eq!(found["errors"][0]["code"], "unknown-substance", "{found}");
        let detail = found["errors"][0]["detail"].as_str().unwrap();
        let echoed = detail.split('`').nth(1).unwrap();
        assert!(echoed.chars().count() <= 80, "{detail}");
        assert!(long.starts_with(echoed) && detail.len() < 1000, "{detail}");
    }
}

fn listed(line: &str) -> bool {
    let after = line.trim_start_matches(|letter: char| letter.is_ascii_digit());
    line.starts_with("- ") || (after.len() < line.len() && after.starts_with(". "))
}

#[tokio::test]
async fn what_stops_the_plan_and_what_mends_it_stand_on_the_sheet() {
    let plan = plan("0.5 m");
    let found = reply(&plan).await;
    let page = sheet(&plan, "text/html").await.3;
    let last = found["remedies"].as_array().unwrap().last().expect("it is mended");
    assert!(page.contains(last["text"].as_str().unwrap()), "{last}");
    assert!(page.contains("change it, ask again and sign the new sheet"));
    for check in found["checks"].as_array().unwrap() {
        if check["status"] == "over_limit" {
            assert!(
                page.contains(&format!("<li>OVER A LIMIT: {}", in_words(check["check"].as_str().unwrap())))
            );
        }
    }
    assert!(!sheet(&self::plan("3 m"), "text/html").await.3.contains("change it, ask again"));
}

#[tokio::test]
async fn a_sheet_to_read_has_a_tag_and_figures_say_what_is_missing() {
    let mut plan = plan("3 m");
    let encoded =
        |plan: &Value| plan.to_string().bytes().map(|byte| format!("%{byte:02x}")).collect::<String>();
    let path = format!("/v1/practical?request={}", encoded(&plan));
    let mut tags = Vec::new();
    for format in ["html", "md", "json"] {
        let url = shared().url(&format!("{path}&format={format}"));
        let read = Client::new().get(&url).send().await.unwrap();
        assert_eq!(read.status(), StatusCode::OK, "{format}");
        let tag = read.headers()["etag"].to_str().unwrap().to_owned();
        let again = Client::new().get(&url).header("if-none-match", &tag).send().await.unwrap();
        assert_eq!(again.status(), StatusCode::NOT_MODIFIED, "{format}");
        assert!(!tags.contains(&tag));
        tags.push(tag);
    }
    let read = Client::new().get(shared().url(&path)).header(ACCEPT, "text/html,*/*;q=0.8").send();
    assert_eq!(read.await.unwrap().text().await.unwrap(), sheet(&plan, "text/html").await.3);
    plan["detail"] = json!("figures");
    for accept in ["text/html", "text/markdown"] {
        let (status, _, _, text) = sheet(&plan, accept).await;
        assert_eq!(status, StatusCode::OK);
        assert!(text.contains("are missing, since only figures were asked for"), "{accept}");
    }
}

#[tokio::test]
async fn no_other_question_has_a_sheet_and_what_is_refused_is_a_problem() {
    for question in QUESTIONS.iter().filter(|question| question.name != "practical") {
        for accept in ["text/html", "text/markdown"] {
            let url = shared().url(&format!("/v1/{}", question.name));
            let asked = Client::new().post(url).header(ACCEPT, accept).json(&whole_request(question.name));
            let status = asked.send().await.unwrap().status();
            assert_eq!(status, StatusCode::NOT_ACCEPTABLE, "{} {accept}", question.name);
        }
    }
    let mut wrong = plan("3 m");
    wrong["name"] = json!(5);
    let (status, kind, ..) = sheet(&wrong, "text/html").await;
    assert_eq!((status.as_u16(), kind.as_str()), (422, "application/problem+json"));
    let json = sheet(&plan("3 m"), "*/*").await.1;
    assert_eq!(json, "application/json");
}

#[tokio::test]
async fn what_the_salts_show_stands_on_the_sheet_after_the_plan() {
    let mut plan = plan("3 m");
    for accept in ["text/html", "text/markdown"] {
        assert!(!sheet(&plan, accept).await.3.contains("What is to be seen"), "{accept}");
    }
    plan["salts"] = json!(["potassium chloride", "SrCl2", "sodium chloride"]);
    let found = reply(&plan).await;
    let colours = found["expected_colours"].as_array().unwrap();
    assert_eq!(colours.len(), 3);
    for accept in ["text/html", "text/markdown"] {
        let text = sheet(&plan, accept).await.3;
        let (before, after) = text.split_once("What is to be seen").unwrap();
        assert!(before.contains("The plan, in its order") && after.contains("What is set out"), "{accept}");
        for colour in colours {
            for part in ["salt", "words", "why"] {
                assert!(after.contains(colour[part].as_str().unwrap()), "{accept}: {colour}");
            }
        }
        // The yellow pair of sodium, the violet pair of potassium (NIST) and bands of strontium, not its lines.
        for seen in ["lines at 589, 589.6 nm", "lines at 404.4, 404.7 nm", "bands near "] {
            assert!(after.contains(seen), "{accept}: {seen}");
        }
        assert!(!text.contains("lines at 766") && !promises(&text), "{accept}");
    }
}

#[tokio::test]
async fn salts_in_a_query_are_a_list() {
    let url = shared().url("/v1/practical?salts=NaCl&salts=potassium%20chlorate");
    let found: Value = Client::new().get(url).send().await.unwrap().json().await.unwrap();
    let errors = found["errors"].as_array().unwrap();
    let of_salts: Vec<&str> = errors
        .iter()
        .filter_map(|fault| fault["pointer"].as_str().filter(|pointer| pointer.starts_with("/salts")))
        .collect();
    assert_eq!(of_salts, ["/salts/1"], "{found}");
}
