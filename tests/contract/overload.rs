//! More than can be answered: what is taken on keeps its time, the rest is told to come again later, and it recovers at once.

use crate::server::{Service, started};
use reqwest::{Client, Response};
use serde_json::{Value, json};
use std::time::{Duration, Instant};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;

/// A plan with much to mend, which takes its time.
fn plan() -> Value {
    let vessel = json!({ "capacity": "250 mL", "mouth_diameter": "8 cm" });
    let stock = |liquid| json!({ "liquid": liquid, "container": { "capacity": "1 L" }, "distance": "2 m" });
    json!({
        "room": { "volume": "120 m3" },
        "people": { "nearest": "0.5 m" },
        "stock": [stock("propanone"), stock("ethanol")],
        "steps": [
            { "do": "draw", "liquid": "propanone", "amount": "900 mL" },
            { "do": "pour", "liquid": "propanone", "amount": "150 mL", "vessels": 6, "vessel": vessel },
            { "do": "evaporate", "duration": "40 min" },
            { "do": "draw", "liquid": "ethanol", "amount": "300 mL" },
            { "do": "pour", "liquid": "ethanol", "amount": "50 mL", "vessels": 6, "vessel": { "capacity": "200 mL", "mouth_diameter": "7 cm" } },
            { "do": "burn" }
        ]
    })
}

async fn asked(service: &Service, question: &str, request: &Value) -> Response {
    asked_by(&Client::new(), service, question, request).await
}

async fn asked_by(client: &Client, service: &Service, question: &str, request: &Value) -> Response {
    client.post(service.url(&format!("/v1/{question}"))).json(request).send().await.unwrap()
}

async fn all_at_once(service: &Service, number: usize) -> Vec<Response> {
    // One for all: making one takes so long that connections would stand open before anything is asked on them.
    let client = Client::new();
    let tasks: Vec<_> = (0..number)
        .map(|_| {
            let (service, client) = (service.clone(), client.clone());
            tokio::spawn(async move { asked_by(&client, &service, "practical", &plan()).await })
        })
        .collect();
    let mut replies = Vec::new();
    for task in tasks {
        replies.push(task.await.unwrap());
    }
    replies
}

/// The value of a metric.
async fn metric(service: &Service, name: &str) -> f64 {
    let text = Client::new().get(service.url("/metrics")).send().await.unwrap().text().await.unwrap();
    let line = text.lines().find(|line| line.starts_with(name)).unwrap_or_else(|| panic!("{name} in {text}"));
    line.rsplit(' ').next().unwrap().parse().unwrap()
}

async fn until_zero(service: &Service, name: &str) {
    let start = Instant::now();
    while metric(service, name).await > 0.0 {
        assert!(start.elapsed() < Duration::from_secs(30), "{name} stays");
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn long_questions_wait_in_a_bounded_queue_and_the_rest_comes_again_later() {
    let service = started(&[
        "--most-long",
        "1",
        "--most-waiting",
        "2",
        "--waiting-burst",
        "0",
        "--longest-wait-ms",
        "120000",
        "--longest-queue-ms",
        "60000",
        "--request-timeout-ms",
        "120000",
        "--header-timeout-ms",
        "60000",
    ]);
    let replies = all_at_once(&service, 40).await;
    let mut refused = 0;
    for reply in replies {
        match reply.status().as_u16() {
            200 => {}
            503 => {
                refused += 1;
                assert_eq!(reply.headers()["retry-after"], "1");
                assert_eq!(reply.json::<Value>().await.unwrap()["code"], "busy");
            }
            other => panic!("{other}"),
        }
    }
    // Those that came first were answered.
    assert!((1..=37).contains(&refused), "{refused}");
    assert!(metric(&service, "brimline_shed_total{reason=\"waiting\"}").await >= 1.0);
    for gauge in ["brimline_long_running", "brimline_long_waiting", "brimline_in_flight"] {
        until_zero(&service, gauge).await;
    }
    assert_eq!(asked(&service, "practical", &plan()).await.status(), 200);
}

/// A class that plans together comes once; a flood that goes on does not find the long queue again.
#[tokio::test(flavor = "multi_thread")]
async fn many_who_ask_a_long_question_at_a_stroke_are_all_answered_once() {
    let service = started(&[
        "--kept-answers-mib",
        "0",
        "--most-long",
        "1",
        "--most-waiting",
        "8",
        "--waiting-burst",
        "40",
        "--longest-wait-ms",
        "120000",
        "--longest-queue-ms",
        "60000",
        "--request-timeout-ms",
        "120000",
        "--header-timeout-ms",
        "60000",
    ]);
    let replies = all_at_once(&service, 40).await;
    assert!(replies.iter().all(|reply| reply.status() == 200));
    let replies = all_at_once(&service, 200).await;
    assert!(replies.iter().any(|reply| reply.status() == 503));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_long_question_waits_no_longer_than_it_may() {
    let service = started(&["--most-long", "1", "--most-waiting", "1000", "--longest-wait-ms", "1"]);
    let replies = all_at_once(&service, 30).await;
    let waited = replies.iter().filter(|reply| reply.status() == 503).count();
    assert!((1..30).contains(&waited), "{waited}");
    let in_vain = metric(&service, "brimline_shed_total{reason=\"wait\"}").await;
    assert!((in_vain - waited as f64).abs() < 0.5, "{in_vain}");
}

#[tokio::test]
async fn an_answer_that_takes_too_long_is_given_up_and_the_next_one_is_answered() {
    let service = started(&["--request-timeout-ms", "1"]);
    let reply = asked(&service, "practical", &plan()).await;
    assert_eq!((reply.status().as_u16(), reply.headers()["retry-after"].as_bytes()), (503, &b"1"[..]));
    assert_eq!(reply.json::<Value>().await.unwrap()["code"], "took-too-long");
    // It goes on to its end, and then its turn is given on.
    until_zero(&service, "brimline_long_running").await;
    let short = asked(&service, "flash-point-margin", &json!({ "liquid": "ethanol" })).await;
    assert_eq!(short.status(), 200);
}

#[tokio::test]
async fn more_in_flight_than_may_be_are_refused_but_probes_are_not() {
    let service = started(&["--most-in-flight", "2", "--body-timeout-ms", "60000"]);
    let mut held = Vec::new();
    for _ in 0..2 {
        let mut socket = TcpStream::connect(service.address).await.unwrap();
        let head = "POST /v1/spill HTTP/1.1\r\nhost: x\r\ncontent-type: application/json\r\ncontent-length: 9\r\n\r\n{";
        socket.write_all(head.as_bytes()).await.unwrap();
        held.push(socket);
    }
    let start = Instant::now();
    while metric(&service, "brimline_in_flight").await < 2.0 {
        assert!(start.elapsed() < Duration::from_secs(20));
    }
    let refused = asked(&service, "flash-point-margin", &json!({ "liquid": "ethanol" })).await;
    assert_eq!((refused.status().as_u16(), refused.headers()["retry-after"].as_bytes()), (503, &b"1"[..]));
    assert_eq!(refused.json::<Value>().await.unwrap()["code"], "busy");
    for path in ["/healthz", "/readyz", "/metrics"] {
        assert_eq!(Client::new().get(service.url(path)).send().await.unwrap().status(), 200, "{path}");
    }
    drop(held);
    until_zero(&service, "brimline_in_flight").await;
    assert_eq!(asked(&service, "flash-point-margin", &json!({ "liquid": "ethanol" })).await.status(), 200);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_flood_is_shed_and_the_connections_and_the_service_go_on() {
    let service = started(&["--longest-queue-ms", "5"]);
    let body = json!({
        "liquid": { "mixture": [{ "substance": "ethanol", "quantity": "70 mL" }, { "substance": "water", "quantity": "30 mL" }] },
        "room": { "volume": "180 m3" }, "vessel": { "capacity": "100 mL", "mouth_diameter": "5 cm" }, "vessels": 6, "use": "open"
    })
    .to_string();
    let length = body.len();
    let request = format!(
        "POST /v1/safe-fill HTTP/1.1\r\nhost: x\r\ncontent-type: application/json\r\ncontent-length: {length}\r\n\r\n{body}"
    );
    let mut sockets = Vec::new();
    for _ in 0..400 {
        sockets.push(TcpStream::connect(service.address).await.unwrap());
    }
    for socket in &mut sockets {
        socket.write_all(request.as_bytes()).await.unwrap();
    }
    let mut statuses = Vec::new();
    for socket in &mut sockets {
        statuses.push(status_of_one(socket).await);
    }
    let count = |status| statuses.iter().filter(|one| **one == status).count();
    assert!(count(200) >= 1 && count(503) >= 1, "{} answered, {} refused", count(200), count(503));
    assert_eq!(count(200) + count(503), 400);
    assert!(metric(&service, "brimline_shed_total{reason=\"queue\"}").await >= 1.0);
    // A connection that was refused is as good as before.
    let refused = statuses.iter().position(|status| *status == 503).unwrap();
    let start = Instant::now();
    loop {
        sockets[refused].write_all(request.as_bytes()).await.unwrap();
        match status_of_one(&mut sockets[refused]).await {
            200 => break,
            status => assert!(status == 503 && start.elapsed() < Duration::from_secs(10), "{status}"),
        }
    }
    until_zero(&service, "brimline_in_flight").await;
}

/// Reads one reply of known length; its status.
async fn status_of_one(socket: &mut TcpStream) -> u16 {
    let mut text = Vec::new();
    let (head, length) = loop {
        let mut part = [0; 4096];
        let read = socket.read(&mut part).await.unwrap();
        assert!(read > 0, "closed after {}", String::from_utf8_lossy(&text));
        text.extend_from_slice(&part[..read]);
        let Some(end) = text.windows(4).position(|window| window == b"\r\n\r\n") else { continue };
        let head = String::from_utf8_lossy(&text[..end]).to_lowercase();
        let length =
            head.lines().find_map(|line| line.strip_prefix("content-length: ")?.parse::<usize>().ok());
        break (head, end + 4 + length.unwrap());
    };
    let mut rest = vec![0; length.saturating_sub(text.len())];
    socket.read_exact(&mut rest).await.unwrap();
    head[9..12].parse().unwrap()
}
