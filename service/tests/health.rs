//! `brimline health` as a container calls it: exit code 0 from a service that is well, 1 from anything else.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails that way")]

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpListener;
use std::process::{Child, Command, Output, Stdio};

/// A service that ends with the test.
struct Service {
    child: Child,
    address: String,
}

impl Service {
    fn started() -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_brimline"))
            .args(["serve", "--listen", "127.0.0.1:0", "--workers", "1", "--drain-delay-ms", "20000"])
            .args(["--log", "warn"])
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let address = line.trim().strip_prefix("brimline: listening on http://").unwrap().to_owned();
        Self { child, address }
    }
}

impl Drop for Service {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn health(listen: &str, more: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_brimline"))
        .args(["health", "--listen", listen])
        .args(more)
        .env_remove("BRIMLINE_LISTEN")
        .output()
        .unwrap()
}

fn said(output: &Output) -> (Option<i32>, String, String) {
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    (output.status.code(), text(&output.stdout), text(&output.stderr))
}

#[test]
fn a_service_that_drains_is_alive_and_not_ready() {
    let service = Service::started();
    assert_eq!(said(&health(&service.address, &[])), (Some(0), "alive\n".into(), String::new()));
    assert_eq!(said(&health(&service.address, &["--ready"])), (Some(0), "ready\n".into(), String::new()));
    let pid = service.child.id().to_string();
    assert!(Command::new("kill").args(["-TERM", &pid]).status().unwrap().success());
    // The signal is taken up within a moment; the service drains for much longer.
    let turned = (0..100).any(|_| {
        std::thread::sleep(std::time::Duration::from_millis(50));
        health(&service.address, &["--ready"]).status.code() == Some(1)
    });
    assert!(turned);
    let (_, _, reason) = said(&health(&service.address, &["--ready"]));
    assert!(reason.contains("/readyz") && reason.contains("503"), "{reason}");
    assert_eq!(said(&health(&service.address, &[])), (Some(0), "alive\n".into(), String::new()));
}

#[test]
fn a_service_that_listens_everywhere_is_asked_on_the_loopback_address() {
    let service = Service::started();
    let (_, port) = service.address.rsplit_once(':').unwrap();
    assert_eq!(health(&format!("0.0.0.0:{port}"), &[]).status.code(), Some(0));
}

#[test]
fn nobody_and_somebody_else_are_not_well() {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap().to_string();
    let other = std::thread::spawn(move || {
        let (mut stream, _) = listener.accept().unwrap();
        let _ = stream.read(&mut [0; 512]).unwrap();
        stream.write_all(b"220 something else\r\n").unwrap();
    });
    let (code, out, reason) = said(&health(&address, &[]));
    other.join().unwrap();
    assert_eq!((code, out.as_str()), (Some(1), ""));
    assert!(reason.contains("`220 something else`"), "{reason}");
    // The listener is gone with its thread.
    let (code, _, reason) = said(&health(&address, &[]));
    assert_eq!(code, Some(1));
    assert!(reason.contains("does not answer"), "{reason}");
}

#[test]
fn a_service_that_is_silent_is_not_waited_for() {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap().to_string();
    let (code, _, reason) = said(&health(&address, &["--health-timeout-ms", "200"]));
    assert_eq!(code, Some(1));
    assert!(reason.contains("does not answer"), "{reason}");
    let unnamed = health("nowhere", &[]);
    assert_eq!(unnamed.status.code(), Some(1));
}
