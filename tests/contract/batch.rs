//! Batches over real HTTP: order, bad lines, bounds, a caller who goes, a slow one, draining in mid-stream.

use crate::server::{Service, shared, started};
use reqwest::{Client, Response};
use serde_json::{Value, json};
use std::time::{Duration, Instant};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;

async fn send(service: &Service, body: impl Into<reqwest::Body>) -> Response {
    let request = Client::new().post(service.url("/v1/batch")).header("content-type", "application/x-ndjson");
    request.body(body).send().await.unwrap()
}

fn lines(text: &str) -> Vec<Value> {
    assert!(text.ends_with('\n'));
    text.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

fn good(number: usize) -> String {
    let liquid = ["ethanol", "propanone", "propan-2-ol"][number % 3];
    let request = json!({ "liquid": liquid, "room_temperature": format!("{} Cel", 15 + number % 10) });
    json!({ "ref": number, "question": "flash-point-margin", "request": request }).to_string()
}

#[tokio::test]
async fn a_bad_line_says_so_in_its_place_and_affects_no_other() {
    let long = format!("{{\"ref\":\"{}\"}}", "x".repeat(70_000));
    let mut body: Vec<u8> = Vec::new();
    for line in [
        good(0).as_bytes(),
        b"{\"question\":",
        b"",
        b"\xff\xfe",
        b"[1]",
        long.as_bytes(),
        br#"{"ref":{"a":[null]},"question":"batch","request":{}}"#,
        br#"{"ref":"r","question":"flash-margin","request":{},"more":1}"#,
        br#"{"ref":7,"question":"flash-point-margn","request":{"liquid":"ethanol"}}"#,
        br#"{"question":"spill","request":{"liquid":"ethanoll","amount":"5"}}"#,
        br#"{"question":"spill","request":{"liquid":"ethanol","liquid":"water"}}"#,
        br#"{"question":3}"#,
        good(1).as_bytes(),
    ] {
        body.extend_from_slice(line);
        body.extend_from_slice(b"\r\n");
    }
    let response = send(shared(), body).await;
    assert_eq!(response.status(), 200);
    assert_eq!(response.headers()["content-type"], "application/x-ndjson");
    let replies = lines(&response.text().await.unwrap());
    let numbers: Vec<u64> = replies.iter().filter_map(|reply| reply["line"].as_u64()).collect();
    assert_eq!(numbers, [1, 2, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13]);
    let at = |line: u64| replies.iter().find(|reply| reply["line"] == line).unwrap();
    for (line, code) in [
        (2, "not-json"),
        (4, "not-json"),
        (5, "wrong-type"),
        (6, "too-large"),
        (7, "impossible-value"),
        (8, "unknown-field"),
        (9, "not-found"),
        (10, "several-faults"),
        (11, "duplicate-key"),
        (12, "several-faults"),
    ] {
        assert_eq!(at(line)["status"], 422, "{line}");
        assert_eq!(at(line)["problem"]["code"], code, "{line}");
        assert_eq!(at(line)["problem"]["status"], 422, "{line}");
        assert!(at(line).get("answer").is_none());
    }
    assert_eq!(at(7)["ref"], json!({ "a": [null] }));
    assert_eq!(at(8)["problem"]["errors"][0]["pointer"], "/more");
    assert_eq!(at(9)["problem"]["errors"][0]["suggestion"], "flash-point-margin");
    // Faults of a request point into the request, as if it had been asked alone.
    let faults = at(10)["problem"]["errors"].as_array().unwrap();
    assert!(faults.iter().any(|fault| fault["pointer"] == "/liquid"), "{faults:?}");
    for line in [2, 4, 5, 6] {
        assert!(at(line).get("ref").is_none());
    }
    assert_eq!((at(13)["status"].as_u64(), at(13)["ref"].as_u64()), (Some(200), Some(1)));
    assert_eq!(*replies.last().unwrap(), json!({ "end": true, "lines": 12, "answered": 2, "refused": 10 }));
}

#[tokio::test]
async fn a_line_answers_as_the_question_does_with_figures_unless_it_says_otherwise() {
    let request = json!({ "liquid": "propanone", "amount": "200 mL", "room": { "volume": "180 m3" } });
    let figures = {
        let mut request = request.clone();
        request["detail"] = json!("figures");
        request
    };
    let full = {
        let mut request = request.clone();
        request["detail"] = json!("full");
        request
    };
    let line = |request: &Value| format!("{}\n", json!({ "question": "spill", "request": request }));
    let body = format!("\u{feff}{}{}{}", line(&request), line(&full), line(&figures));
    let replies = lines(&send(shared(), body).await.text().await.unwrap());
    let alone = |request: Value| async move {
        Client::new()
            .post(shared().url("/v1/spill"))
            .json(&request)
            .send()
            .await
            .unwrap()
            .json::<Value>()
            .await
            .unwrap()
    };
    assert_eq!(replies[1]["answer"], alone(full).await);
    let short = alone(figures).await;
    assert_eq!(replies[0]["answer"], short);
    assert_eq!(replies[2]["answer"], short);
}

#[tokio::test]
async fn the_order_is_kept_over_many_parts_and_every_thousandth_line_is_bad() {
    const LINES: usize = 3000;
    let text: Vec<String> =
        (0..LINES).map(|n| if n % 1000 == 500 { "nonsense".to_owned() } else { good(n) }).collect();
    let replies = lines(&send(shared(), text.join("\n")).await.text().await.unwrap());
    assert_eq!(replies.len(), LINES + 1);
    for (number, reply) in replies.iter().take(LINES).enumerate() {
        assert_eq!(reply["line"], number + 1);
        let bad = number % 1000 == 500;
        assert_eq!(reply["status"], if bad { 422 } else { 200 });
        assert!(bad || reply["ref"] == number);
    }
    assert_eq!(replies[LINES], json!({ "end": true, "lines": LINES, "answered": LINES - 3, "refused": 3 }));
}

#[tokio::test]
async fn the_bounds_are_named() {
    let many = send(shared(), "\n".repeat(25_001)).await;
    assert_eq!(many.status(), 413);
    let problem: Value = many.json().await.unwrap();
    assert!(problem["detail"].as_str().unwrap().contains("25000 lines"), "{problem}");
    let whole = send(shared(), "\n".repeat(25_000)).await;
    assert_eq!(whole.text().await.unwrap(), "{\"end\":true,\"lines\":0,\"answered\":0,\"refused\":0}\n");
    let large = send(shared(), vec![b' '; 16 * 1024 * 1024 + 1]).await;
    assert_eq!(large.status(), 413);
    assert!(large.json::<Value>().await.unwrap()["detail"].as_str().unwrap().contains("16777216"));
    let one = send(shared(), vec![b'x'; 16 * 1024 * 1024]).await;
    let replies = lines(&one.text().await.unwrap());
    assert_eq!(replies[0]["problem"]["code"], "too-large");
    let client = Client::new();
    let json = client.post(shared().url("/v1/batch")).json(&json!({})).send().await.unwrap();
    assert_eq!(json.status(), 415);
    let read = client.get(shared().url("/v1/batch")).send().await.unwrap();
    assert_eq!((read.status().as_u16(), read.headers()["allow"].to_str().unwrap()), (405, "POST"));
}

/// Asks for a batch by hand, so that what is read and when is up to the test.
async fn by_hand(service: &Service, body: &str) -> TcpStream {
    let mut socket = TcpStream::connect(service.address).await.unwrap();
    let length = body.len();
    let head = format!(
        "POST /v1/batch HTTP/1.1\r\nhost: x\r\ncontent-type: application/x-ndjson\r\ncontent-length: {length}\r\nconnection: close\r\n\r\n"
    );
    socket.write_all(head.as_bytes()).await.unwrap();
    socket.write_all(body.as_bytes()).await.unwrap();
    socket
}

#[tokio::test]
async fn batches_have_permits_of_their_own_and_a_caller_who_goes_gives_his_back() {
    let service = started(&["--most-batches", "1", "--drain-delay-ms", "0"]);
    let text: Vec<String> = (0..20_000).map(good).collect();
    // Nothing is read: the reply stands still when the buffers are full.
    let mut slow = by_hand(&service, &text.join("\n")).await;
    slow.read_exact(&mut [0; 64]).await.unwrap();
    let large = text[..1000].join("\n");
    assert!(large.len() > 64 * 1024);
    let second = send(&service, large.clone()).await;
    assert_eq!(second.status(), 503);
    assert!(second.headers().contains_key("retry-after"));
    assert_eq!(second.json::<Value>().await.unwrap()["code"], "busy");
    let single =
        Client::new().get(service.url("/v1/flash-point-margin?liquid=ethanol")).send().await.unwrap();
    assert_eq!(single.status(), 200);
    // Some lines of a lesson do not wait for the night's.
    assert_eq!(send(&service, good(0)).await.status(), 200);
    drop(slow);
    let start = Instant::now();
    while send(&service, large.clone()).await.status() == 503 {
        assert!(start.elapsed() < Duration::from_secs(20), "the permit is not given back");
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    service.stopper.drain().await;
}

#[tokio::test]
async fn small_batches_whose_bodies_do_not_come_keep_nobody_away() {
    let service = started(&["--body-timeout-ms", "1500", "--drain-delay-ms", "0"]);
    let mut waiting = Vec::new();
    for _ in 0..20 {
        let mut socket = TcpStream::connect(service.address).await.unwrap();
        let head = "POST /v1/batch HTTP/1.1\r\nhost: x\r\ncontent-type: application/x-ndjson\r\ncontent-length: 500\r\n\r\n";
        socket.write_all(head.as_bytes()).await.unwrap();
        waiting.push(socket);
    }
    tokio::time::sleep(Duration::from_millis(200)).await;
    assert_eq!(send(&service, good(0)).await.status(), 200);
    for mut socket in waiting {
        let mut reply = Vec::new();
        socket.read_to_end(&mut reply).await.unwrap();
        assert!(reply.starts_with(b"HTTP/1.1 408 "), "{}", String::from_utf8_lossy(&reply));
    }
    service.stopper.drain().await;
}

#[tokio::test]
async fn draining_lets_a_stream_finish_that_is_read_slowly() {
    let service = started(&["--drain-delay-ms", "300", "--shutdown-timeout-ms", "30000"]);
    let text: Vec<String> = (0..4000).map(good).collect();
    let mut slow = by_hand(&service, &text.join("\n")).await;
    let mut reply = vec![0; 1000];
    slow.read_exact(&mut reply).await.unwrap();
    let stopper = service.stopper.clone();
    let draining = tokio::spawn(async move { stopper.drain().await });
    let mut part = vec![0; 256 * 1024];
    loop {
        let read = slow.read(&mut part).await.unwrap();
        if read == 0 {
            break;
        }
        reply.extend_from_slice(&part[..read]);
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    draining.await.unwrap();
    let text = String::from_utf8(reply).unwrap();
    assert!(text.contains("{\"end\":true,\"lines\":4000,\"answered\":4000,\"refused\":0}\n"));
    assert!(Client::new().get(service.url("/healthz")).send().await.is_err());
}
