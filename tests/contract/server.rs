//! A service on a free port of the loopback address, in this process.

use brimline_service::http::server::{Stopper, run};
use brimline_service::settings::{Serve, Settings};
use clap::Parser as _;
use std::net::SocketAddr;
use std::sync::OnceLock;
use std::sync::mpsc::channel;

/// A running service.
#[derive(Debug, Clone)]
pub struct Service {
    /// Its address.
    pub address: SocketAddr,
    /// Stops it.
    pub stopper: Stopper,
}

impl Service {
    /// The URL of a path.
    pub fn url(&self, path: &str) -> String {
        format!("http://{}{path}", self.address)
    }
}

/// Settings from flags, on a free port.
pub fn settings(flags: &[&str]) -> Serve {
    let mut all = vec!["brimline", "--listen", "127.0.0.1:0", "--workers", "2"];
    all.extend(flags);
    Settings::parse_from(all).serve
}

/// Starts a service with flags of its own.
pub fn started(flags: &[&str]) -> Service {
    let (sender, receiver) = channel();
    let settings = settings(flags);
    std::thread::spawn(move || {
        run(settings, |address, stopper| sender.send(Service { address, stopper }).expect("the test waits"))
            .expect("it serves");
    });
    receiver.recv().expect("it starts")
}

/// The service that most tests share.
pub fn shared() -> &'static Service {
    static SHARED: OnceLock<Service> = OnceLock::new();
    // Patient: on a busy machine a request may take its time to arrive.
    let flags = ["--body-timeout-ms", "20000", "--header-timeout-ms", "20000"];
    let unhurried = ["--longest-queue-ms", "60000", "--most-waiting", "1000", "--longest-wait-ms", "60000"];
    SHARED.get_or_init(|| started(&[&flags[..], &unhurried].concat()))
}

/// A service that soon loses its patience with what does not arrive.
pub fn impatient() -> Service {
    started(&["--body-timeout-ms", "600", "--header-timeout-ms", "600"])
}
