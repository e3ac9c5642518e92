//! A real service, and a gateway before it that does what gateways do on a bad day.

use brimline_service::http::server;
use brimline_service::settings::Settings;
use clap::Parser as _;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::sync::mpsc::channel;
use std::sync::{Arc, Mutex, OnceLock};

/// A service in this process that the tests share.
pub fn service() -> SocketAddr {
    static SERVICE: OnceLock<SocketAddr> = OnceLock::new();
    *SERVICE.get_or_init(|| {
        let (sender, receiver) = channel();
        let flags = ["brimline", "--listen", "127.0.0.1:0", "--workers", "2", "--most-batches", "64"];
        let settings = Settings::parse_from(flags).serve;
        std::thread::spawn(move || server::run(settings, |address, _| sender.send(address).unwrap()));
        receiver.recv().unwrap()
    })
}

/// What the gateway does with a request.
#[derive(Debug, Clone, Copy)]
pub enum Act {
    /// The reply of the service goes through whole.
    Pass,
    /// Only so many octets of its body do.
    Break(usize),
    /// This is said instead.
    Say(&'static str),
    /// The connection is closed without a word.
    Close,
}

/// A request as the gateway saw it.
#[derive(Debug, Clone)]
pub struct Seen {
    pub head: String,
    pub body: Vec<u8>,
}

/// A gateway on a free port.
pub struct Gateway {
    pub address: SocketAddr,
    seen: Arc<Mutex<Vec<Seen>>>,
}

impl Gateway {
    /// Does one act a request, then the last one for ever.
    pub fn new(acts: &[Act]) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = listener.local_addr().unwrap();
        let seen = Arc::new(Mutex::new(Vec::new()));
        let (acts, noted) = (acts.to_vec(), Arc::clone(&seen));
        std::thread::spawn(move || {
            for (number, stream) in listener.incoming().enumerate() {
                let act = acts[number.min(acts.len() - 1)];
                // A caller who went away is no fault of the gateway.
                let _ = handled(stream.unwrap(), act, &noted);
            }
        });
        Self { address, seen }
    }

    pub fn url(&self) -> String {
        format!("http://{}", self.address)
    }

    pub fn seen(&self) -> Vec<Seen> {
        self.seen.lock().unwrap().clone()
    }
}

fn handled(stream: TcpStream, act: Act, seen: &Mutex<Vec<Seen>>) -> std::io::Result<()> {
    let mut from = BufReader::new(stream.try_clone()?);
    let mut head = String::new();
    while !head.ends_with("\r\n\r\n") {
        if from.read_line(&mut head)? == 0 {
            return Ok(());
        }
    }
    let length = head.lines().find_map(|line| {
        let (name, value) = line.split_once(':')?;
        name.eq_ignore_ascii_case("content-length").then(|| value.trim().parse().ok())?
    });
    let mut body = vec![0; length.unwrap_or(0)];
    from.read_exact(&mut body)?;
    seen.lock().unwrap().push(Seen { head: head.clone(), body: body.clone() });
    let mut stream = stream;
    match act {
        Act::Close => Ok(()),
        Act::Say(text) => stream.write_all(text.as_bytes()),
        Act::Pass | Act::Break(_) => {
            let mut service = TcpStream::connect(service())?;
            service.write_all(head.trim_end().as_bytes())?;
            service.write_all(b"\r\nconnection: close\r\n\r\n")?;
            service.write_all(&body)?;
            let mut reply = Vec::new();
            service.read_to_end(&mut reply)?;
            let start = reply.windows(4).position(|four| four == b"\r\n\r\n").unwrap() + 4;
            let end =
                if let Act::Break(octets) = act { reply.len().min(start + octets) } else { reply.len() };
            stream.write_all(&reply[..end])
        }
    }
}
