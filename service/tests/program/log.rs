//! What the log holds, and that writing it neither stops nor slows the service.

use crate::child::{Folder, Service, eventually};
use rustix::process::Signal;
use std::fs::{self, File, OpenOptions};
use std::io::{Read as _, Write as _};
use std::process::Stdio;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

const LIQUID: &str = "propan-2-ol";
const WORD: &str = "Kingfisher";
const TOKEN: &str = "3b9f0a-token-of-nobody";
const TRACE: &str = "4bf92f3577b34da6a3ce929d0e0e4736";
const ASKED: &str = "/v1/flash-point-margin?liquid=propan-2-ol";

#[test]
fn neither_bodies_nor_query_values_nor_tokens_are_logged_but_the_trace_is() {
    let folder = Folder::new("log");
    let path = folder.file("log");
    let mut service =
        Service::started(&["--log-format", "json", "--drain-delay-ms", "0"], File::create(&path).unwrap());
    let head = format!(
        "traceparent: 00-{TRACE}-00f067aa0ba902b7-01\r\ntracestate: plan={WORD}\r\nauthorization: Bearer {TOKEN}\r\n"
    );
    assert!(service.get(ASKED, &head).starts_with("HTTP/1.1 200"));
    assert!(service.get(&format!("/v1/spill?liquid={WORD}&{WORD}=1"), &head).starts_with("HTTP/1.1 422"));
    assert!(
        service.get(&format!("/v1/nowhere?{WORD}"), "traceparent: nonsense\r\n").starts_with("HTTP/1.1 404")
    );
    for (path, kind, body) in [
        (
            "/v1/practical",
            "application/json",
            format!("{{\"name\": \"{WORD}\", \"steps\": [{{\"do\": \"{WORD}\"}}]}}"),
        ),
        ("/v1/spill", "application/json", format!("{{\"liquid\": \"{LIQUID}\", \"{WORD}")),
        (
            "/v1/batch",
            "application/x-ndjson",
            format!(
                "{{\"ref\": \"{WORD}\", \"question\": \"spill\", \"request\": {{\"liquid\": \"{LIQUID}\"}}}}\n"
            ),
        ),
    ] {
        let length = body.len();
        let reply = service.sent(&format!(
            "POST {path} HTTP/1.1\r\nhost: x\r\nconnection: close\r\ncontent-type: {kind}\r\ncontent-length: {length}\r\n\r\n{body}"
        ));
        assert!(reply.starts_with("HTTP/1.1 "), "{reply}");
    }
    service.signal(Signal::TERM);
    assert!(service.ended().success());
    let text = fs::read_to_string(&path).unwrap();
    let lines: Vec<&str> = text.lines().filter(|line| line.contains("\"answered\"")).collect();
    assert_eq!(lines.len(), 6, "{text}");
    for word in [LIQUID, WORD, TOKEN] {
        assert!(!text.contains(word), "{word}: {text}");
    }
    assert!(lines[0].contains(&format!("\"trace_id\":\"{TRACE}\"")), "{text}");
    assert!(lines[0].contains("\"parent_span\":\"00f067aa0ba902b7\""), "{text}");
    // What is malformed begins a trace of its own.
    assert!(lines[2].contains("\"trace_id\":\"") && !lines[2].contains("parent_span"), "{text}");
    for line in &lines {
        let told: serde_json::Value = serde_json::from_str(line).unwrap();
        assert_eq!(told["trace_id"].as_str().map(str::len), Some(32), "{line}");
        assert!(told["duration_us"].is_u64() && told["request_id"].is_string(), "{line}");
    }
}

/// Asks often enough to fill any pipe.
fn answers_on(service: &Service) {
    let mut stream = service.connected();
    let start = Instant::now();
    for _ in 0..1000 {
        stream.write_all(b"GET /healthz HTTP/1.1\r\nhost: x\r\n\r\n").unwrap();
        let mut reply = Vec::new();
        let mut part = [0; 1024];
        while !reply.ends_with(b"alive\n") {
            let read = stream.read(&mut part).unwrap();
            assert_ne!(read, 0, "the connection was cut");
            reply.extend_from_slice(&part[..read]);
        }
    }
    assert!(start.elapsed() < Duration::from_secs(20), "it is slowed: {:?}", start.elapsed());
}

#[test]
fn a_full_disk_under_the_log_stops_nothing() {
    let full = OpenOptions::new().write(true).open("/dev/full").unwrap();
    let mut service = Service::started(&["--drain-delay-ms", "0"], full);
    answers_on(&service);
    service.signal(Signal::TERM);
    assert!(service.ended().success());
}

#[test]
fn a_closed_pipe_under_the_log_stops_nothing() {
    let mut service = Service::started(&["--drain-delay-ms", "0"], Stdio::piped());
    drop(service.child.stderr.take());
    answers_on(&service);
    service.signal(Signal::TERM);
    assert!(service.ended().success());
}

#[test]
fn a_pipe_that_nobody_reads_slows_nothing_and_what_is_missing_is_counted() {
    let mut service = Service::started(&["--drain-delay-ms", "0"], Stdio::piped());
    // More than the pipe and the queue hold.
    for _ in 0..10 {
        answers_on(&service);
    }
    let mut pipe = service.child.stderr.take().unwrap();
    let text: Arc<Mutex<Vec<u8>>> = Arc::default();
    let read = Arc::clone(&text);
    std::thread::spawn(move || {
        let mut part = [0; 65_536];
        while let Ok(length @ 1..) = pipe.read(&mut part) {
            read.lock().unwrap().extend_from_slice(&part[..length]);
        }
    });
    // The count is told before the next line that is written.
    eventually("what is missing is told", || {
        assert!(service.get("/healthz", "").contains("alive"));
        String::from_utf8_lossy(&text.lock().unwrap()).contains("log lines lost lost_lines=")
    });
    service.signal(Signal::TERM);
    assert!(service.ended().success());
}
