//! Asks a question at a steady rate whatever the answers do: what comes late is counted from the moment at which it should have
//! been asked. `open_loop HOST:PORT /v1/QUESTION FILE RATE SECONDS CONNECTIONS`; prints a line for each status.

use std::collections::BTreeMap;
use std::io::{self, BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::time::{Duration, Instant};

/// What takes longer is a time-out.
const PATIENCE: Duration = Duration::from_secs(5);

type Times = BTreeMap<String, Vec<Duration>>;

struct Asking {
    address: String,
    request: Vec<u8>,
    every: Duration,
    from: Instant,
    to: Instant,
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let [address, path, file, rate, seconds, connections] = words.as_slice() else {
        return Err("open_loop HOST:PORT /v1/QUESTION FILE RATE SECONDS CONNECTIONS".into());
    };
    let body = std::fs::read(file)?;
    let length = body.len();
    let head = format!(
        "POST {path} HTTP/1.1\r\nhost: x\r\ncontent-type: application/json\r\ncontent-length: {length}\r\n\r\n"
    );
    let request = [head.as_bytes(), &body].concat();
    let (rate, connections): (f64, u32) = (rate.parse()?, connections.parse()?);
    let every = Duration::from_secs_f64(f64::from(connections) / rate);
    let start = Instant::now() + Duration::from_millis(300);
    let to = start + Duration::from_secs_f64(seconds.parse()?);
    let threads: Vec<_> = (0..connections)
        .map(|number| {
            let asking = Asking {
                address: address.clone(),
                request: request.clone(),
                every,
                from: start + every.mul_f64(f64::from(number) / f64::from(connections)),
                to,
            };
            std::thread::spawn(move || asked(&asking))
        })
        .collect();
    let mut all = Times::new();
    for thread in threads {
        for (status, times) in thread.join().map_err(|_| "a thread broke off")? {
            all.entry(status).or_default().extend(times);
        }
    }
    println!("{:<10} {:>9} {:>10} {:>10} {:>10}", "status", "per s", "p50 ms", "p99 ms", "longest");
    for (status, mut times) in all {
        times.sort_unstable();
        let at = |share: usize| times.get((times.len() * share / 100).min(times.len() - 1)).map_or(0.0, ms);
        let per_second = times.len() as f64 / seconds.parse::<f64>()?;
        println!("{status:<10} {per_second:>9.0} {:>10.2} {:>10.2} {:>10.2}", at(50), at(99), at(100));
    }
    Ok(())
}

fn ms(time: &Duration) -> f64 {
    time.as_secs_f64() * 1e3
}

fn asked(asking: &Asking) -> Times {
    let mut times = Times::new();
    let mut connection = None;
    let mut due = asking.from;
    while due < asking.to {
        std::thread::sleep(due.saturating_duration_since(Instant::now()));
        let told = once(&mut connection, asking);
        if told.is_err() {
            connection = None;
        }
        let status = told.unwrap_or_else(|error| format!("{:?}", error.kind()));
        times.entry(status).or_default().push(due.elapsed());
        due += asking.every;
    }
    times
}

fn once(kept: &mut Option<BufReader<TcpStream>>, asking: &Asking) -> io::Result<String> {
    let mut connection = match kept.take() {
        Some(connection) => connection,
        None => {
            let connection = TcpStream::connect(&asking.address)?;
            connection.set_read_timeout(Some(PATIENCE))?;
            connection.set_nodelay(true)?;
            BufReader::new(connection)
        }
    };
    connection.get_mut().write_all(&asking.request)?;
    let (mut status, mut line, mut length, mut close) = (String::new(), String::new(), 0, false);
    loop {
        line.clear();
        if connection.read_line(&mut line)? == 0 {
            return Err(io::ErrorKind::UnexpectedEof.into());
        }
        let text = line.trim_end().to_ascii_lowercase();
        if text.is_empty() {
            break;
        }
        if status.is_empty() {
            status = text.split(' ').nth(1).unwrap_or("?").to_owned();
        } else if let Some(value) = text.strip_prefix("content-length: ") {
            length = value.parse().unwrap_or(0);
        } else if text == "connection: close" {
            close = true;
        }
    }
    io::copy(&mut connection.by_ref().take(length), &mut io::sink())?;
    if !close {
        *kept = Some(connection);
    }
    Ok(status)
}
