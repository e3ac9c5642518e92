//! Spans of requests reach a collector.

use crate::child::{Service, brimline, eventually};
use rustix::process::Signal;
use std::io::{Read as _, Write as _};
use std::net::TcpListener;
use std::process::Stdio;
use std::sync::{Arc, Mutex};

const TRACE: &str = "4bf92f3577b34da6a3ce929d0e0e4736";

/// A collector that keeps what it is sent; its address.
fn collector() -> (String, Arc<Mutex<Vec<u8>>>) {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap();
    let kept: Arc<Mutex<Vec<u8>>> = Arc::default();
    let seen = Arc::clone(&kept);
    std::thread::spawn(move || {
        for stream in listener.incoming() {
            let (mut stream, seen) = (stream.unwrap(), Arc::clone(&seen));
            std::thread::spawn(move || {
                let mut part = [0; 4096];
                while let Ok(read @ 1..) = stream.read(&mut part) {
                    seen.lock().unwrap().extend_from_slice(&part[..read]);
                    let _ = stream
                        .write_all(b"HTTP/1.1 200 OK\r\ncontent-length: 0\r\nconnection: close\r\n\r\n");
                }
            });
        }
    });
    (format!("http://{address}"), kept)
}

fn holds(kept: &Mutex<Vec<u8>>, wanted: &[u8]) -> bool {
    kept.lock().unwrap().windows(wanted.len()).any(|window| window == wanted)
}

#[test]
fn a_request_is_a_span_of_the_trace_that_it_came_with() {
    let (endpoint, kept) = collector();
    let mut command = brimline(&["serve", "--drain-delay-ms", "0", "--log-format", "json"]);
    command.env("OTEL_EXPORTER_OTLP_ENDPOINT", endpoint).env("OTEL_BSP_SCHEDULE_DELAY", "100");
    let mut service = Service::of(command, Stdio::null());
    let head = format!("traceparent: 00-{TRACE}-00f067aa0ba902b7-01\r\n");
    assert!(service.get("/v1/flash-point-margin?liquid=ethanol", &head).starts_with("HTTP/1.1 200"));
    let trace: Vec<u8> =
        (0..16).map(|at| u8::from_str_radix(&TRACE[2 * at..2 * at + 2], 16).unwrap()).collect();
    eventually("the span comes", || holds(&kept, &trace));
    for wanted in
        ["POST /v1/traces", "GET /v1/flash-point-margin", "http.response.status_code", "brimline.question"]
    {
        assert!(holds(&kept, wanted.as_bytes()), "{wanted}");
    }
    assert!(holds(&kept, &[0x00, 0xf0, 0x67, 0xaa, 0x0b, 0xa9, 0x02, 0xb7]));
    assert!(!holds(&kept, b"ethanol"), "what was asked is sent along");
    service.signal(Signal::TERM);
    assert!(service.ended().success());
}
