//! Connections that go wrong: nothing is answered wrongly, and the service goes on.

use crate::server::{Service, shared, started};
use reqwest::Client;
use std::time::{Duration, Instant};
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;
use tokio::time::timeout;

/// Longer than anything here takes on a busy machine.
const PATIENCE: Duration = Duration::from_secs(40);
const ASKED: &str = "GET /v1/flash-point-margin?liquid=ethanol HTTP/1.1\r\nhost: x\r\n\r\n";

/// Sends octets and reads until the service closes; what came.
async fn told(service: &Service, octets: &[u8]) -> String {
    let mut socket = TcpStream::connect(service.address).await.unwrap();
    socket.write_all(octets).await.unwrap();
    rest(&mut socket).await
}

async fn rest(socket: &mut TcpStream) -> String {
    let mut text = Vec::new();
    // A reset is an end as well.
    let _ = timeout(PATIENCE, socket.read_to_end(&mut text)).await.expect("the connection is ended");
    String::from_utf8_lossy(&text).into_owned()
}

async fn alive(service: &Service) {
    let asked = service.url("/v1/flash-point-margin?liquid=ethanol");
    assert_eq!(Client::new().get(asked).send().await.unwrap().status(), 200);
}

fn quick() -> Service {
    started(&["--keep-alive-ms", "1000", "--header-timeout-ms", "1000", "--reader-timeout-ms", "2000"])
}

#[tokio::test]
async fn an_idle_connection_is_ended() {
    let service = quick();
    let text = told(&service, ASKED.as_bytes()).await;
    assert!(text.starts_with("HTTP/1.1 200"), "{text}");
    // One on which nothing comes at all.
    let text = told(&service, b"").await;
    assert!(text.is_empty() || text.starts_with("HTTP/1.1 408"), "{text}");
}

#[tokio::test]
async fn a_second_head_that_never_ends_is_cut() {
    let service = quick();
    let text = told(&service, format!("{ASKED}GET /v1/rules HTTP/1.1\r\nho").as_bytes()).await;
    assert_eq!(text.matches("HTTP/1.1 ").count(), 1, "{text}");
    alive(&service).await;
}

#[tokio::test]
async fn a_connection_that_is_used_now_and_then_is_kept() {
    let service =
        started(&["--keep-alive-ms", "1500", "--header-timeout-ms", "300", "--reader-timeout-ms", "100"]);
    let mut socket = TcpStream::connect(service.address).await.unwrap();
    // Longer than the 1.9 s for which nothing may be asked, with pauses that are shorter.
    for _ in 0..8 {
        socket.write_all(b"GET /healthz HTTP/1.1\r\nhost: x\r\n\r\n").await.unwrap();
        let mut part = [0; 1024];
        let read = timeout(PATIENCE, socket.read(&mut part)).await.unwrap().unwrap();
        assert!(String::from_utf8_lossy(&part[..read]).starts_with("HTTP/1.1 200"));
        tokio::time::sleep(Duration::from_millis(400)).await;
    }
}

#[tokio::test]
async fn a_head_that_is_too_large_is_refused() {
    let large = format!("GET /healthz HTTP/1.1\r\nhost: x\r\nx-much: {}\r\n\r\n", "y".repeat(200_000));
    let text = told(shared(), large.as_bytes()).await;
    assert!(text.is_empty() || text.starts_with("HTTP/1.1 431"), "{}", &text[..text.len().min(200)]);
    let many: String = (0..200).map(|number| format!("x-{number}: y\r\n")).collect();
    let text = told(shared(), format!("GET /healthz HTTP/1.1\r\nhost: x\r\n{many}\r\n").as_bytes()).await;
    assert!(text.starts_with("HTTP/1.1 4"), "{text}");
    alive(shared()).await;
}

#[tokio::test]
async fn who_has_nothing_more_to_say_is_answered() {
    let mut socket = TcpStream::connect(shared().address).await.unwrap();
    socket.write_all(ASKED.as_bytes()).await.unwrap();
    socket.shutdown().await.unwrap();
    let text = rest(&mut socket).await;
    assert!(text.starts_with("HTTP/1.1 200") && text.ends_with('}'), "{text}");
}

#[tokio::test]
async fn who_goes_in_the_middle_of_his_body_is_forgotten() {
    let head = "POST /v1/spill HTTP/1.1\r\nhost: x\r\ncontent-type: application/json\r\n";
    for length in ["content-length: 1000\r\n\r\n{\"liq", "transfer-encoding: chunked\r\n\r\n5\r\n{\"liq\r\n"]
    {
        let mut socket = TcpStream::connect(shared().address).await.unwrap();
        socket.write_all(format!("{head}{length}").as_bytes()).await.unwrap();
        socket.shutdown().await.unwrap();
        let text = rest(&mut socket).await;
        assert!(text.is_empty() || text.starts_with("HTTP/1.1 400"), "{text}");
    }
    alive(shared()).await;
}

#[tokio::test]
async fn requests_in_one_packet_are_answered_in_their_order() {
    const ASKED: usize = 40;
    let all: String = (0..ASKED)
        .map(|number| {
            let end = if number + 1 == ASKED { "connection: close\r\n" } else { "" };
            format!("GET /v1/flash-point-margin?liquid=ethanol HTTP/1.1\r\nhost: x\r\nx-request-id: n{number}\r\n{end}\r\n")
        })
        .collect();
    let text = told(shared(), all.as_bytes()).await;
    let ids: Vec<&str> = text.lines().filter_map(|line| line.strip_prefix("x-request-id: ")).collect();
    assert_eq!(ids, (0..ASKED).map(|number| format!("n{number}")).collect::<Vec<_>>());
    assert_eq!(text.matches("HTTP/1.1 200 OK").count(), ASKED);
}

#[tokio::test]
async fn chunks_of_wrong_sizes_are_no_request() {
    let head = "POST /v1/flash-point-margin HTTP/1.1\r\nhost: x\r\ncontent-type: application/json\r\ntransfer-encoding: chunked\r\nconnection: close\r\n\r\n";
    let body = "{\"liquid\":\"ethanol\"}";
    let right = told(shared(), format!("{head}{:x}\r\n{body}\r\n0\r\n\r\n", body.len()).as_bytes()).await;
    assert!(right.starts_with("HTTP/1.1 200"), "{right}");
    for wrong in [
        format!("zz\r\n{body}\r\n0\r\n\r\n"),
        format!("-13\r\n{body}\r\n0\r\n\r\n"),
        format!("ffffffffffffffffff\r\n{body}\r\n0\r\n\r\n"),
        format!("5\r\n{body}\r\n0\r\n\r\n"),
        format!("{:x}\r\n{body}0\r\n\r\n", body.len()),
    ] {
        let text = told(shared(), format!("{head}{wrong}").as_bytes()).await;
        assert!(text.is_empty() || text.starts_with("HTTP/1.1 400"), "{wrong}: {text}");
    }
    alive(shared()).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn thousands_of_connections_in_turn_are_served() {
    let tasks: Vec<_> = (0..4)
        .map(|_| {
            tokio::spawn(async {
                for _ in 0..750 {
                    let text =
                        told(shared(), b"GET /healthz HTTP/1.1\r\nhost: x\r\nconnection: close\r\n\r\n")
                            .await;
                    assert!(text.starts_with("HTTP/1.1 200"), "{text}");
                }
            })
        })
        .collect();
    for task in tasks {
        task.await.unwrap();
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_batch_of_one_line_of_fifty_megabytes_is_too_large() {
    const LENGTH: usize = 50_000_000;
    let socket = TcpStream::connect(shared().address).await.unwrap();
    let (mut reader, mut writer) = socket.into_split();
    let head = format!(
        "POST /v1/batch HTTP/1.1\r\nhost: x\r\ncontent-type: application/x-ndjson\r\ncontent-length: {LENGTH}\r\n\r\n"
    );
    let writing = tokio::spawn(async move {
        writer.write_all(head.as_bytes()).await.unwrap();
        let part = vec![b'x'; 1_000_000];
        for _ in 0..LENGTH / part.len() {
            // It reads some and then no more.
            if writer.write_all(&part).await.is_err() {
                return;
            }
        }
    });
    let mut text = vec![0; 12];
    timeout(PATIENCE, reader.read_exact(&mut text)).await.unwrap().unwrap();
    assert_eq!(String::from_utf8_lossy(&text), "HTTP/1.1 413");
    writing.abort();
    alive(shared()).await;
}

#[tokio::test]
async fn a_stream_whose_reader_goes_away_ends_and_is_counted_as_ended() {
    let service = started(&[]);
    let lines = "{\"question\":\"flash-point-margin\",\"request\":{\"liquid\":\"ethanol\"}}\n".repeat(20_000);
    let mut socket = TcpStream::connect(service.address).await.unwrap();
    let head = format!(
        "POST /v1/batch HTTP/1.1\r\nhost: x\r\ncontent-type: application/x-ndjson\r\ncontent-length: {}\r\n\r\n",
        lines.len()
    );
    socket.write_all(head.as_bytes()).await.unwrap();
    socket.write_all(lines.as_bytes()).await.unwrap();
    socket.read_exact(&mut [0; 1000]).await.unwrap();
    assert!(in_flight(&service).await > 0.0);
    drop(socket);
    until_none(&service).await;
}

/// Requests in flight, as the metrics say.
pub async fn in_flight(service: &Service) -> f64 {
    let text = Client::new().get(service.url("/metrics")).send().await.unwrap().text().await.unwrap();
    let line = text.lines().find(|line| line.starts_with("brimline_in_flight ")).unwrap();
    line.rsplit(' ').next().unwrap().parse().unwrap()
}

/// Waits until nothing is in flight.
pub async fn until_none(service: &Service) {
    let start = Instant::now();
    while in_flight(service).await > 0.0 {
        assert!(start.elapsed() < PATIENCE, "something stays in flight");
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
}
