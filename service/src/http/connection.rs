//! Connections on which nothing is asked for too long.
//!
//! The framework ends a connection that is idle, and one whose first head comes slowly. Once the first octet of a later head has
//! come it waits without end: here such a connection is shut down.

use actix_tls::accept::rustls_0_23::TlsStream;
use actix_web::dev::Extensions;
use actix_web::rt::net::TcpStream;
use std::any::Any;
use std::net::Shutdown;
use std::os::fd::AsFd as _;
use std::sync::atomic::{AtomicU32, AtomicU64, Ordering};
use std::sync::{Arc, Weak};
use std::time::{Duration, Instant};

/// What is known of a connection.
#[derive(Debug)]
pub struct Connection {
    /// A second handle of the socket: the framework keeps the first one to itself.
    socket: std::net::TcpStream,
    made: Instant,
    asked: AtomicU32,
    /// When the last answer was given, milliseconds after it was made.
    idle_since_ms: AtomicU64,
}

impl Connection {
    /// Keeps an eye on a connection that was just made.
    pub fn made(io: &dyn Any, kept: &mut Extensions, patience: Duration) {
        // Without a second handle (no descriptor is left) a connection goes unwatched.
        let plain = io.downcast_ref::<TcpStream>();
        let stream = plain.or_else(|| Some(io.downcast_ref::<TlsStream<TcpStream>>()?.get_ref().0));
        let Some(Ok(socket)) = stream.map(|io| io.as_fd().try_clone_to_owned()) else { return };
        let connection = Arc::new(Self {
            socket: socket.into(),
            made: Instant::now(),
            asked: AtomicU32::new(0),
            idle_since_ms: AtomicU64::new(0),
        });
        actix_web::rt::spawn(watched(Arc::downgrade(&connection), patience));
        kept.insert(connection);
    }

    /// A request has come on a connection; it is answered when what is returned is dropped.
    #[must_use]
    pub fn asked(connection: &Arc<Self>) -> Asked {
        connection.asked.fetch_add(1, Ordering::Relaxed);
        Asked(Arc::clone(connection))
    }

    fn now_ms(&self) -> u64 {
        u64::try_from(self.made.elapsed().as_millis()).unwrap_or(u64::MAX)
    }

    /// How long nothing was asked.
    fn idle(&self) -> Duration {
        match self.asked.load(Ordering::Relaxed) {
            0 => Duration::from_millis(
                self.now_ms().saturating_sub(self.idle_since_ms.load(Ordering::Relaxed)),
            ),
            _ => Duration::ZERO,
        }
    }
}

/// A request that is being answered.
#[derive(Debug)]
pub struct Asked(Arc<Connection>);

impl Drop for Asked {
    fn drop(&mut self) {
        self.0.idle_since_ms.store(self.0.now_ms(), Ordering::Relaxed);
        self.0.asked.fetch_sub(1, Ordering::Relaxed);
    }
}

async fn watched(connection: Weak<Connection>, patience: Duration) {
    let mut wait = patience;
    loop {
        tokio::time::sleep(wait).await;
        let Some(connection) = connection.upgrade() else { return };
        let idle = connection.idle();
        if idle >= patience {
            // The framework sees the end of what it reads and closes; a socket that is closed already is no fault.
            let _ = connection.socket.shutdown(Shutdown::Both);
            return;
        }
        wait = patience.saturating_sub(idle);
    }
}
