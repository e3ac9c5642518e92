//! `brimline health`: whether a service answers, for images without a shell and a client for HTTP.

use crate::settings::Health;
use std::io::{self, Read as _, Write as _};
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr, TcpStream, ToSocketAddrs as _};
use std::process::ExitCode;
use std::time::Duration;

/// Octets of a reply that are read: its first line and a few words.
const MOST: u64 = 4096;

/// Prints what the service says of itself; 0 if it is well, else 1 and why on standard error.
#[must_use]
pub fn health(settings: &Health) -> ExitCode {
    let path = if settings.ready { "/readyz" } else { "/healthz" };
    match asked(settings, path) {
        Ok(reply) if reply.starts_with("HTTP/1.1 200 ") => {
            let word = reply.lines().last().unwrap_or_default();
            println!("{word}");
            ExitCode::SUCCESS
        }
        Ok(reply) => {
            let line: String = reply.lines().next().unwrap_or_default().chars().take(100).collect();
            eprintln!("brimline: {path} of {} answers `{line}`", settings.listen);
            ExitCode::FAILURE
        }
        Err(error) => {
            eprintln!("brimline: {} does not answer: {error}", settings.listen);
            ExitCode::FAILURE
        }
    }
}

fn asked(settings: &Health, path: &str) -> io::Result<String> {
    let within = Duration::from_millis(settings.health_timeout_ms.max(1));
    let address = settings
        .listen
        .to_socket_addrs()?
        .next()
        .ok_or_else(|| io::Error::new(io::ErrorKind::NotFound, "the name has no address"))?;
    let mut stream = TcpStream::connect_timeout(&reached(address), within)?;
    stream.set_read_timeout(Some(within))?;
    stream.set_write_timeout(Some(within))?;
    stream.write_all(
        format!("GET {path} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n").as_bytes(),
    )?;
    let mut reply = Vec::new();
    stream.take(MOST).read_to_end(&mut reply)?;
    Ok(String::from_utf8_lossy(&reply).into_owned())
}

/// What listens on every address is asked on the loopback one.
fn reached(address: SocketAddr) -> SocketAddr {
    let ip = match address.ip() {
        IpAddr::V4(ip) if ip.is_unspecified() => IpAddr::V4(Ipv4Addr::LOCALHOST),
        IpAddr::V6(ip) if ip.is_unspecified() => IpAddr::V6(Ipv6Addr::LOCALHOST),
        ip => ip,
    };
    SocketAddr::new(ip, address.port())
}
