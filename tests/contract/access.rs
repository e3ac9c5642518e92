//! Who may ask where callers need a token, as it is seen over real HTTP.

use crate::server::{Service, started};
use brimline_client::{Client as Typed, Error};
use brimline_service::http::callers::new_token;
use reqwest::{Client, Method, RequestBuilder};
use serde_json::{Value, json};
use std::path::PathBuf;

const ASKED: &str = "/v1/flash-point-margin?liquid=ethanol";

/// A service that knows one caller, and the token.
fn closed(name: &str, flags: &[&str]) -> (Service, String) {
    let (token, line) = new_token("planning").unwrap();
    let file: PathBuf = std::env::temp_dir().join(format!("brimline-{name}-{}", std::process::id()));
    std::fs::write(&file, line).unwrap();
    let mut all = vec!["--token-file", file.to_str().unwrap()];
    all.extend(flags);
    let service = started(&all);
    // It has been read.
    std::fs::remove_file(&file).unwrap();
    (service, token)
}

fn get(service: &Service, path: &str) -> RequestBuilder {
    Client::new().get(service.url(path))
}

#[tokio::test]
async fn without_a_known_token_nothing_is_answered_but_life_signs_and_texts() {
    let (service, token) = closed("paths", &[]);
    for path in [
        ASKED,
        "/v1/rules",
        "/v1/substances/ethanol",
        "/metrics",
        "/nowhere",
        "/docs/../v1/rules",
        "/%76%31/rules",
        "/docs/substances/../../v1/rules",
        "//v1/rules",
    ] {
        // By hand: a client would tidy the path up.
        let reply = by_hand(&service, path).await;
        assert!(reply.starts_with("HTTP/1.1 401"), "{path} {reply}");
    }
    for path in [
        "/healthz",
        "/readyz",
        "/docs",
        "/docs/substances/ethanol",
        "/docs/methods",
        "/docs/methods/decay",
        "/problems/unauthorised",
        "/openapi.json",
        "/openapi-3.0.json",
    ] {
        assert_eq!(get(&service, path).send().await.unwrap().status(), 200, "{path}");
    }
    for path in [ASKED, "/v1/rules", "/metrics"] {
        assert_eq!(get(&service, path).bearer_auth(&token).send().await.unwrap().status(), 200, "{path}");
    }
    assert_eq!(get(&service, "/nowhere").bearer_auth(&token).send().await.unwrap().status(), 404);
}

async fn by_hand(service: &Service, path: &str) -> String {
    use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
    let mut socket = tokio::net::TcpStream::connect(service.address).await.unwrap();
    let head = format!("GET {path} HTTP/1.1\r\nhost: x\r\nconnection: close\r\n\r\n");
    socket.write_all(head.as_bytes()).await.unwrap();
    let mut reply = String::new();
    socket.read_to_string(&mut reply).await.unwrap();
    reply
}

#[tokio::test]
async fn a_refusal_names_the_scheme_and_tells_nothing_of_the_callers() {
    let (service, token) = closed("challenge", &[]);
    let lower = token.to_uppercase();
    let cut = &token[1..];
    let mut details = Vec::new();
    for (given, challenge) in [
        (None, "Bearer realm=\"brimline\""),
        (Some(format!("Bearer {lower}")), "Bearer realm=\"brimline\", error=\"invalid_token\""),
        (Some(format!("Bearer {cut}")), "Bearer realm=\"brimline\", error=\"invalid_token\""),
        (Some("Bearer planning".to_owned()), "Bearer realm=\"brimline\", error=\"invalid_token\""),
        (Some(format!("Basic {token}")), "Bearer realm=\"brimline\", error=\"invalid_token\""),
        (Some("Bearer".to_owned()), "Bearer realm=\"brimline\", error=\"invalid_token\""),
    ] {
        let mut request = get(&service, ASKED);
        if let Some(given) = given {
            request = request.header("authorization", given);
        }
        let reply = request.send().await.unwrap();
        assert_eq!(reply.status(), 401);
        assert_eq!(reply.headers()["www-authenticate"], challenge);
        assert_eq!(reply.headers()["cache-control"], "no-store");
        assert!(reply.headers().contains_key("x-request-id"));
        let problem: Value = reply.json().await.unwrap();
        assert_eq!(problem["code"], "unauthorised");
        details.push(problem);
    }
    assert!(details.iter().all(|problem| *problem == details[0]));
    let twice = get(&service, ASKED).bearer_auth(&token).bearer_auth(&token).send().await.unwrap();
    assert_eq!(twice.status(), 401);
    let scheme =
        get(&service, ASKED).header("authorization", format!("bearer {token}")).send().await.unwrap();
    assert_eq!(scheme.status(), 200);
}

#[tokio::test]
async fn a_refused_body_does_not_break_the_connection() {
    let (service, token) = closed("body", &[]);
    let client = Client::new();
    let large = json!({ "liquid": "x".repeat(600_000) });
    let refused = client.post(service.url("/v1/spill")).json(&large).send().await.unwrap();
    assert_eq!(refused.status(), 401);
    let body = json!({ "liquid": "ethanol" });
    let posted = client.post(service.url("/v1/flash-point-margin")).bearer_auth(&token).json(&body);
    assert_eq!(posted.send().await.unwrap().status(), 200);
}

#[tokio::test]
async fn what_needs_a_token_is_kept_by_the_caller_alone() {
    let (service, token) = closed("caching", &[]);
    let reply = get(&service, ASKED).bearer_auth(&token).send().await.unwrap();
    assert_eq!(reply.headers()["cache-control"], "private, max-age=300, must-revalidate");
    let page = get(&service, "/docs").send().await.unwrap();
    assert_eq!(page.headers()["cache-control"], "public, max-age=300, must-revalidate");
}

#[tokio::test]
async fn a_browser_elsewhere_may_ask_first_without_a_token_and_then_with_one() {
    const ORIGIN: &str = "https://plan.ottermoor.example";
    let (service, token) = closed("browser", &["--allow-origin", ORIGIN]);
    let asked = Client::new()
        .request(Method::OPTIONS, service.url("/v1/spill"))
        .header("origin", ORIGIN)
        .header("access-control-request-method", "POST")
        .header("access-control-request-headers", "authorization, content-type")
        .send()
        .await
        .unwrap();
    assert_eq!(asked.status(), 200);
    let allowed = asked.headers()["access-control-allow-headers"].to_str().unwrap().to_ascii_lowercase();
    assert!(allowed.contains("authorization"), "{allowed}");
    let refused = get(&service, ASKED).header("origin", ORIGIN).send().await.unwrap();
    assert_eq!(
        (refused.status().as_u16(), &refused.headers()["access-control-allow-origin"]),
        (401, &ORIGIN.parse().unwrap())
    );
    let answered = get(&service, ASKED).header("origin", ORIGIN).bearer_auth(&token).send().await.unwrap();
    assert_eq!(answered.status(), 200);
}

#[tokio::test]
async fn metrics_on_an_address_of_their_own_need_no_token() {
    let (service, token) = closed("metrics", &["--metrics-listen", "127.0.0.1:0"]);
    let address = service.stopper.metrics_address().unwrap();
    let counted = reqwest::get(format!("http://{address}/metrics")).await.unwrap();
    assert_eq!(counted.status(), 200);
    assert_eq!(get(&service, "/metrics").send().await.unwrap().status(), 401);
    assert_eq!(get(&service, "/metrics").bearer_auth(&token).send().await.unwrap().status(), 404);
}

#[tokio::test]
async fn the_typed_client_carries_its_token() {
    let (service, token) = closed("typed", &[]);
    let client = Typed::new(&service.url("")).unwrap();
    let refused = client.rules().await.unwrap_err();
    assert!(matches!(&refused, Error::Refused(problem) if problem.status == 401), "{refused:?}");
    assert!(!client.with_token(&token).unwrap().rules().await.unwrap().items.is_empty());
    assert!(Typed::new(&service.url("")).unwrap().with_token("two\nlines").is_err());
}

#[tokio::test]
async fn those_who_may_not_ask_take_no_place_from_those_who_may() {
    let (service, token) = closed("places", &["--most-in-flight", "4"]);
    // Each says that a body will come and sends none.
    let waiting: Vec<_> = (0..8)
        .map(|_| {
            let mut stream = std::net::TcpStream::connect(service.address).unwrap();
            let head = "POST /v1/spill HTTP/1.1\r\nhost: x\r\ncontent-type: application/json\r\ncontent-length: 1000\r\n\r\n";
            std::io::Write::write_all(&mut stream, head.as_bytes()).unwrap();
            stream
        })
        .collect();
    let start = std::time::Instant::now();
    loop {
        let reply = get(&service, ASKED).bearer_auth(&token).send().await.unwrap();
        if reply.status() == 200 {
            break;
        }
        assert!(start.elapsed() < std::time::Duration::from_secs(5), "{}", reply.status());
        tokio::time::sleep(std::time::Duration::from_millis(100)).await;
    }
    drop(waiting);
}
