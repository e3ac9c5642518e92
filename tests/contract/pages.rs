//! Pages of methods and of problems, over real HTTP: what they show as the service's reply is its reply.

use crate::server::{Service, shared, started};
use brimline_openapi::problem::PROBLEMS;
use reqwest::{Client, RequestBuilder, StatusCode};
use serde_json::{Value, json};
use std::time::Duration;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;

const JSON: &str = "application/json";

async fn page(service: &Service, path: &str) -> String {
    let reply = Client::new().get(service.url(path)).send().await.unwrap();
    assert_eq!(reply.status(), StatusCode::OK, "{path}");
    reply.text().await.unwrap()
}

fn plain(text: &str) -> String {
    text.replace("&quot;", "\"").replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
}

/// What stands between two marks.
fn between<'a>(text: &'a str, open: &str, close: &str) -> &'a str {
    text.split_once(open).unwrap_or_else(|| panic!("{open} in {text}")).1.split_once(close).unwrap().0
}

/// The reply that the page of a problem shows.
async fn shown(service: &Service, code: &str) -> Value {
    let page = page(service, &format!("/problems/{code}")).await;
    serde_json::from_str(&plain(between(&page, "<pre class=\"reply\">", "</pre>"))).unwrap()
}

async fn given(request: RequestBuilder) -> Value {
    let reply = request.send().await.unwrap();
    let status = reply.status().as_u16();
    let problem: Value = reply.json().await.unwrap();
    assert_eq!(problem["status"], status);
    problem
}

#[tokio::test]
async fn the_page_of_a_problem_of_a_request_shows_what_that_request_gets() {
    let mut asked = 0;
    for kind in PROBLEMS {
        let page = page(shared(), &format!("/problems/{}", kind.code)).await;
        // A question is named before the block; what is sent otherwise stands in the other test.
        let Some((_, block)) = page.split_once("<pre><code class=\"language-json\">") else { continue };
        if kind.code == "not-decoded" {
            continue;
        }
        asked += 1;
        let before = page.split_once("<pre><code").unwrap().0;
        let question = between(before, "<code>/v1/", "</code>");
        let request = plain(block.split_once("</code>").unwrap().0);
        let url = shared().url(&format!("/v1/{question}"));
        let given = given(Client::new().post(url).header("content-type", JSON).body(request)).await;
        assert_eq!(given["code"], kind.code);
        assert_eq!(given, shown(shared(), kind.code).await, "{}", kind.code);
    }
    assert_eq!(asked, 21);
}

#[tokio::test]
async fn the_page_of_a_problem_of_http_shows_what_is_refused_that_way() {
    let service = shared();
    let url = |path: &str| service.url(path);
    let post = |path: &str| Client::new().post(url(path)).header("content-type", JSON);
    let body = "{\"liquid\": \"ethanol\", \"room_temperature\": \"21 Cel\"}";
    let path = "/v1/flash-point-margin";
    let packed = "{\"question\": \"flash-point-margin\", \"request\": {\"liquid\": \"ethanol\"}}\n";
    let long = format!("/v1/vapour-pressure?liquid=ethanol{}", "&temperatures=20%20Cel".repeat(1000));
    for (code, request) in [
        ("not-found", Client::new().get(url("/v1/flashpoint?liquid=ethanol"))),
        ("method-not-allowed", Client::new().delete(url("/v1/rules"))),
        ("not-acceptable", Client::new().get(url("/v1/spill?liquid=ethanol&amount=500%20mL&format=svg"))),
        (
            "unsupported-media-type",
            Client::new().post(url(path)).header("content-type", "text/plain").body(body),
        ),
        ("unsupported-coding", post(path).header("content-encoding", "br").body(body)),
        (
            "not-decoded",
            Client::new()
                .post(url("/v1/batch"))
                .header("content-type", "application/x-ndjson")
                .header("content-encoding", "gzip")
                .body(packed),
        ),
        ("too-large", post("/v1/safe-fill").body(vec![b' '; 20 * 1024 * 1024])),
        ("too-long", Client::new().get(url(&long))),
    ] {
        let given = given(request).await;
        assert_eq!(given["code"], code);
        assert_eq!(given, shown(service, code).await, "{code}");
    }
}

#[tokio::test]
async fn the_page_of_a_body_that_stops_half_way_shows_what_it_gets() {
    let service = started(&["--body-timeout-ms", "300"]);
    let given = by_hand(
        &service,
        "POST /v1/safe-fill HTTP/1.1\r\nhost: x\r\ncontent-type: application/json\r\ncontent-length: 100\r\n\r\n{\"liquid\":",
    )
    .await;
    assert_eq!(given, shown(&service, "slow-body").await);
}

#[tokio::test]
async fn the_page_of_a_caller_who_asks_too_often_shows_what_he_gets() {
    let service = started(&["--requests-per-second", "1", "--request-burst", "2"]);
    let shown = shown(&service, "too-many-requests").await;
    let mut refused = Value::Null;
    for _ in 0..20 {
        let url = service.url("/v1/flash-point-margin?liquid=ethanol&room_temperature=21%20Cel");
        let reply: Value = Client::new().get(url).send().await.unwrap().json().await.unwrap();
        if reply["status"] == 429 {
            refused = reply;
            break;
        }
    }
    assert_eq!(refused, shown);
}

#[tokio::test]
async fn the_page_of_a_caller_without_a_token_shows_what_he_gets() {
    let (_, line) = brimline_service::http::callers::new_token("planning").unwrap();
    let file = std::env::temp_dir().join(format!("brimline-pages-{}", std::process::id()));
    std::fs::write(&file, line).unwrap();
    let service = started(&["--token-file", file.to_str().unwrap()]);
    std::fs::remove_file(&file).unwrap();
    let given = given(Client::new().get(service.url("/v1/flash-point-margin?liquid=ethanol"))).await;
    assert_eq!(given, shown(&service, "unauthorised").await);
}

#[tokio::test]
async fn the_pages_of_too_much_at_once_show_what_is_told_then() {
    let service = started(&["--most-in-flight", "1"]);
    let page = shown(&service, "busy").await;
    // One request stands before its body: a place is taken.
    let mut standing = TcpStream::connect(service.address).await.unwrap();
    let head = "POST /v1/safe-fill HTTP/1.1\r\nhost: x\r\ncontent-type: application/json\r\ncontent-length: 100\r\n\r\n";
    standing.write_all(head.as_bytes()).await.unwrap();
    let url = service.url("/v1/flash-point-margin?liquid=ethanol&room_temperature=21%20Cel");
    let mut given = Value::Null;
    for _ in 0..100 {
        given = Client::new().get(&url).send().await.unwrap().json().await.unwrap();
        if given["status"] == 503 {
            break;
        }
        // The service may not have come to read that head yet.
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    drop(standing);
    assert_eq!(given, page);

    let service = started(&["--request-timeout-ms", "0"]);
    let plan = include_str!("../../openapi/examples/practical/burners-compared.request.json");
    let mut plan: Value = serde_json::from_str(plan).unwrap();
    let url = service.url("/v1/practical");
    let mut given = Value::Null;
    for attempt in 0..100 {
        // Another name is another question: none is answered from what is kept. An answer may be there before the time is looked
        // at, where the thread that waits is held up.
        plan["name"] = format!("attempt {attempt}").into();
        given = Client::new().post(&url).json(&plan).send().await.unwrap().json().await.unwrap();
        if given["code"] == "took-too-long" {
            break;
        }
    }
    assert_eq!(given, shown(&service, "took-too-long").await);
}

/// The problem document that text sent by hand gets.
async fn by_hand(service: &Service, sent: &str) -> Value {
    let mut stream = TcpStream::connect(service.address).await.unwrap();
    stream.write_all(sent.as_bytes()).await.unwrap();
    let mut reply = String::new();
    stream.read_to_string(&mut reply).await.unwrap();
    serde_json::from_str(reply.split_once("\r\n\r\n").unwrap().1).unwrap()
}

#[tokio::test]
async fn every_method_of_a_reply_has_its_page_and_every_link_leads_to_one() {
    let index = page(shared(), "/docs/methods").await;
    let mut linked: Vec<&str> =
        index.split("href=\"/docs/methods/").skip(1).map(|rest| rest.split_once('"').unwrap().0).collect();
    linked.sort_unstable();
    linked.dedup();
    let request = json!({ "liquid": "ethanol", "room_temperature": "21 Cel" });
    let reply =
        Client::new().post(shared().url("/v1/flash-point-margin")).json(&request).send().await.unwrap();
    let reply: Value = reply.json().await.unwrap();
    for method in reply["methods"].as_array().unwrap() {
        assert!(linked.contains(&method["id"].as_str().unwrap()), "{method}");
    }
    for id in &linked {
        let path = format!("/docs/methods/{id}");
        let text = page(shared(), &path).await;
        assert!(text.contains("<math") && text.contains("Worked example"), "{id}");
        for other in text.split("href=\"/docs/methods/").skip(1) {
            assert!(linked.contains(&other.split_once('"').unwrap().0), "{id}");
        }
    }
    for from in ["/docs", "/docs/substances/ethanol"] {
        assert!(page(shared(), from).await.contains("href=\"/docs/methods"), "{from}");
    }
    let nothing = given(Client::new().get(shared().url("/docs/methods/nothing"))).await;
    assert_eq!(nothing["code"], "not-found");
}

#[tokio::test]
async fn the_page_of_a_method_shows_figures_that_the_service_gives_and_is_not_sent_twice() {
    let url = shared().url("/docs/methods/spill_pool");
    let reply = Client::new().get(&url).send().await.unwrap();
    let tag = reply.headers()["etag"].clone();
    let text = reply.text().await.unwrap();
    let request: Value = serde_json::from_str(&plain(between(&text, "<pre>", "</pre>"))).unwrap();
    assert!(request["name"].as_str().unwrap().starts_with("Ottermoor High, lab S3"), "{request}");
    let answer = Client::new().post(shared().url("/v1/spill")).json(&request).send().await.unwrap();
    let answer: Value = answer.json().await.unwrap();
    let area = &answer["pool_area"];
    let row = format!("<td>{} m2</td><td>{} to {}</td>", area["value"], area["low"], area["high"]);
    assert!(text.contains(&row), "{row}");
    assert!(text.contains(answer["sentence"].as_str().unwrap()));
    let again = Client::new().get(&url).header("if-none-match", tag).send().await.unwrap();
    assert_eq!(again.status(), StatusCode::NOT_MODIFIED);
}
