//! A service in a process of its own, on free ports of the loopback address.

use rustix::process::{Pid, Signal, kill_process};
use std::fs;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::PathBuf;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

/// More than anything here takes on a busy machine.
pub const PATIENCE: Duration = Duration::from_secs(30);

/// A folder of its own, gone at the end.
pub struct Folder(PathBuf);

impl Folder {
    pub fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("brimline-program-{name}-{}", std::process::id()));
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    pub fn file(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// The program, with no setting from outside.
pub fn brimline(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_brimline"));
    for (name, _) in std::env::vars().filter(|(name, _)| name.starts_with("BRIMLINE_")) {
        command.env_remove(name);
    }
    // A flag wins over it.
    command.env("BRIMLINE_LISTEN", "127.0.0.1:0");
    command.args(arguments).stdin(Stdio::null());
    command
}

/// A running service; killed where a test fails.
pub struct Service {
    pub child: Child,
    pub address: String,
}

impl Service {
    /// Starts it; its log goes where `log` says.
    pub fn started(flags: &[&str], log: impl Into<Stdio>) -> Self {
        let mut command = brimline(&["serve", "--workers", "2"]);
        command.args(flags);
        Self::of(command, log)
    }

    /// Starts it by a command.
    pub fn of(mut command: Command, log: impl Into<Stdio>) -> Self {
        let mut child = command.stdout(Stdio::piped()).stderr(log).spawn().unwrap();
        let mut first = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut first).unwrap();
        let address = first.trim().rsplit('/').next().unwrap().to_owned();
        assert!(first.starts_with("brimline: listening on http"), "{first}");
        Self { child, address }
    }

    pub fn connected(&self) -> TcpStream {
        let stream = TcpStream::connect(&self.address).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream
    }

    /// The whole reply to a GET with these header lines.
    pub fn get(&self, path: &str, headers: &str) -> String {
        self.sent(&format!("GET {path} HTTP/1.1\r\nhost: x\r\nconnection: close\r\n{headers}\r\n"))
    }

    /// The whole reply to what is written.
    pub fn sent(&self, request: &str) -> String {
        let mut stream = self.connected();
        stream.write_all(request.as_bytes()).unwrap();
        let mut reply = String::new();
        stream.read_to_string(&mut reply).unwrap();
        reply
    }

    pub fn signal(&self, signal: Signal) {
        kill_process(Pid::from_child(&self.child), signal).unwrap();
    }

    /// How it ended, within a bound.
    pub fn ended(&mut self) -> ExitStatus {
        let start = Instant::now();
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status;
            }
            assert!(start.elapsed() < PATIENCE, "it does not end");
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

impl Drop for Service {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Asks until something holds, within a bound.
pub fn eventually(what: &str, mut holds: impl FnMut() -> bool) {
    let start = Instant::now();
    while !holds() {
        assert!(start.elapsed() < PATIENCE, "{what}");
        std::thread::sleep(Duration::from_millis(20));
    }
}
