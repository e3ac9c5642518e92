//! Starting, draining and stopping.
//!
//! actix refuses new connections at once on a signal, so that `/readyz` would never be seen as 503: its own signals
//! are off; a flag, a delay and then the stop do what the contract says.

use super::access::Access;
use super::connection::Connection;
use super::kept_answers::KeptAnswers;
use super::kept_pages::KeptPages;
use super::metrics::Metrics;
use super::observe::observe;
use super::overload::Load;
use super::rate::Rate;
use super::tls::Certificate;
use super::{batch, doors, listener, routes};
use crate::settings::Serve;
use actix_web::dev::{Server, ServerHandle};
use actix_web::middleware::{Condition, from_fn};
use actix_web::{App, HttpServer, web};
use std::io;
use std::net::{SocketAddr, ToSocketAddrs as _};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::Duration;
use tokio::signal::unix::{Signal, SignalKind, signal};
use tokio::sync::Semaphore;

/// What every handler can see.
#[derive(Debug)]
pub struct State {
    /// The settings.
    pub settings: Serve,
    /// Who may ask.
    pub access: Access,
    /// What is shown to those who connect by TLS.
    pub certificate: Option<Arc<Certificate>>,
    /// Whether the service is about to stop.
    pub draining: AtomicBool,
    /// What is counted.
    pub metrics: Metrics,
    /// Batches that may be answered at once.
    pub batches: Arc<Semaphore>,
    /// Small ones that may be answered at once, beside them.
    pub small_batches: Arc<Semaphore>,
    /// What is taken on when more is asked than can be answered.
    pub load: Load,
    /// How often one caller may ask, if that is limited.
    pub rate: Option<Rate>,
    /// Answers given lately.
    pub kept: KeptAnswers,
    /// Pages that take some making; they depend on the settings.
    pub pages: KeptPages,
}

/// Begins to drain, as a signal does; a second call ends at once.
#[derive(Debug, Clone)]
pub struct Stopper {
    state: Arc<State>,
    handle: ServerHandle,
    metrics_address: Option<SocketAddr>,
    asked: Arc<AtomicUsize>,
}

impl Stopper {
    /// `/readyz` turns 503 for the drain delay, then no new connections; what is in flight finishes.
    pub async fn drain(&self) {
        if self.asked.fetch_add(1, Ordering::SeqCst) > 0 {
            self.handle.stop(false).await;
            return;
        }
        self.state.draining.store(true, Ordering::SeqCst);
        tracing::info!(drain_delay_ms = self.state.settings.drain_delay_ms, "draining");
        tokio::time::sleep(Duration::from_millis(self.state.settings.drain_delay_ms)).await;
        self.handle.stop(true).await;
    }

    /// The address of `--metrics-listen`, where it was given.
    #[must_use]
    pub const fn metrics_address(&self) -> Option<SocketAddr> {
        self.metrics_address
    }
}

/// Serves until it is stopped; blocks. `ready` gets the address that was bound and the means to stop.
///
/// # Errors
/// An address cannot be listened on; the text names it.
pub fn run(settings: Serve, ready: impl FnOnce(SocketAddr, Stopper)) -> io::Result<()> {
    listener::raise_descriptors();
    actix_web::rt::System::new().block_on(serve(settings, ready))
}

async fn serve(settings: Serve, ready: impl FnOnce(SocketAddr, Stopper)) -> io::Result<()> {
    let metrics = Metrics::new().map_err(io::Error::other)?;
    let batches = Arc::new(Semaphore::new(settings.most_batches));
    let small_batches = Arc::new(Semaphore::new(batch::MOST_SMALL));
    let draining = AtomicBool::new(false);
    let access = Access::new(settings.protection.clone())?;
    let files = settings.protection.tls_cert.clone().zip(settings.protection.tls_key.clone());
    let certificate = files.map(|(cert, key)| Certificate::new(cert, key)).transpose()?;
    let load = Load::new(&settings.limits, metrics.registry()).map_err(io::Error::other)?;
    let rate = Rate::of(&settings.limits);
    let kept = KeptAnswers::new(settings.limits.kept_answers_mib);
    let pages = KeptPages::default();
    let state = Arc::new(State {
        settings,
        access,
        certificate,
        draining,
        metrics,
        batches,
        small_batches,
        load,
        rate,
        kept,
        pages,
    });
    let (server, address) = main_server(&state)?;
    let metrics_address = metrics_server(&state)?;
    let stopper = Stopper { state, handle: server.handle(), metrics_address, asked: Arc::default() };
    // Heard before the address is printed: a signal right after that line must drain and not kill.
    let signals = (signal(SignalKind::terminate())?, signal(SignalKind::interrupt())?);
    actix_web::rt::spawn(on_signals(signals, stopper.clone()));
    if stopper.state.access.needs_token() || stopper.state.certificate.is_some() {
        let hangup = signal(SignalKind::hangup())?;
        actix_web::rt::spawn(on_hangup(hangup, Arc::clone(&stopper.state)));
    }
    ready(address, stopper);
    server.await
}

fn main_server(state: &Arc<State>) -> io::Result<(Server, SocketAddr)> {
    let settings = &state.settings;
    let data = web::Data::from(Arc::clone(state));
    let limits = &settings.limits;
    let no_progress = Duration::from_millis(limits.reader_timeout_ms);
    // An answer may still be on its way to a slow reader when nothing more is asked.
    let patience = Duration::from_millis(
        limits
            .keep_alive_ms
            .saturating_add(settings.header_timeout_ms)
            .saturating_add(limits.reader_timeout_ms),
    );
    let own = settings.metrics_listen.is_none();
    let origins = settings.allow_origin.clone();
    let workers = settings
        .workers
        .unwrap_or_else(|| std::thread::available_parallelism().map_or(1, usize::from))
        .max(1);
    let server = HttpServer::new(move || {
        App::new()
            .app_data(data.clone())
            .wrap(from_fn(doors::pass))
            // Outside of it: a preflight carries no token, and a page may read why it was refused.
            .wrap(Condition::new(!origins.is_empty(), cors(&origins)))
            // The last one stands outermost: an answer to a preflight has its id and its log line too.
            .wrap(from_fn(observe))
            .configure(|config| routes::routes(config, own))
    })
    .workers(workers)
    .max_connections(limits.most_connections.div_ceil(workers).max(1))
    .keep_alive(Duration::from_millis(limits.keep_alive_ms))
    // A batch is answered in pieces: the last one would wait 40 ms for the caller to acknowledge the one before.
    .tcp_nodelay(true)
    .client_request_timeout(Duration::from_millis(settings.header_timeout_ms))
    .tls_handshake_timeout(Duration::from_millis(settings.header_timeout_ms))
    .on_connect(move |io, kept| Connection::made(io, kept, patience))
    .shutdown_timeout(settings.shutdown_timeout_ms.div_ceil(1000))
    .disable_signals();
    let (server, address) = named(&settings.listen, |address| {
        state.access.allows(address.ip())?;
        let socket = listener::listen(address, no_progress)?;
        let server = match &state.certificate {
            Some(certificate) => server.listen_rustls_0_23(socket, certificate.config()?)?,
            None => server.listen(socket)?,
        };
        let bound = server.addrs().first().copied().unwrap_or(address);
        Ok((server.run(), bound))
    })?;
    Ok((server, address))
}

/// The separate server of `--metrics-listen`; it ends with the process.
fn metrics_server(state: &Arc<State>) -> io::Result<Option<SocketAddr>> {
    let Some(listen) = &state.settings.metrics_listen else { return Ok(None) };
    let data = web::Data::from(Arc::clone(state));
    let server = HttpServer::new(move || {
        App::new().app_data(data.clone()).wrap(from_fn(observe)).configure(routes::metrics_only)
    })
    .workers(1)
    .disable_signals();
    let (server, address) = named(listen, |address| {
        state.access.allows(address.ip())?;
        let server = server.bind(address)?;
        let bound = server.addrs().first().copied().unwrap_or(address);
        Ok((server.run(), bound))
    })?;
    actix_web::rt::spawn(server);
    tracing::info!(%address, "metrics");
    Ok(Some(address))
}

/// Does something with the address that a text names; the text stands in the error.
fn named<T>(listen: &str, bind: impl FnOnce(SocketAddr) -> io::Result<T>) -> io::Result<T> {
    // One address only: `localhost` may be two, and port 0 would be two ports then.
    let first = listen.to_socket_addrs().and_then(|mut all| {
        all.next().ok_or_else(|| io::Error::new(io::ErrorKind::NotFound, "the name has no address"))
    });
    first
        .and_then(bind)
        .map_err(|error| io::Error::new(error.kind(), format!("cannot listen on {listen}: {error}")))
}

fn cors(origins: &[String]) -> actix_cors::Cors {
    let cors = actix_cors::Cors::default()
        .allowed_methods(["GET", "HEAD", "POST"])
        .allowed_headers([
            "authorization",
            "content-type",
            "content-encoding",
            "accept",
            "if-none-match",
            "traceparent",
            "tracestate",
            "x-request-id",
        ])
        .expose_headers([
            "etag",
            "x-request-id",
            "link",
            "retry-after",
            "ratelimit",
            "ratelimit-policy",
            "www-authenticate",
        ])
        .max_age(600);
    origins.iter().fold(cors, |cors, origin| cors.allowed_origin(origin))
}

/// SIGHUP reads what stands in files anew. Without such files it ends the service, as the system has it: a service that was started in a
/// terminal should not outlive it.
async fn on_hangup(mut hangup: Signal, state: Arc<State>) {
    while hangup.recv().await.is_some() {
        state.access.read_again();
        if let Some(certificate) = &state.certificate {
            certificate.read_again();
        }
    }
}

/// The first SIGTERM or SIGINT drains, the second ends at once.
async fn on_signals((mut term, mut int): (Signal, Signal), stopper: Stopper) {
    loop {
        tokio::select! {
            _ = term.recv() => {}
            _ = int.recv() => {}
        }
        if stopper.state.draining.load(Ordering::SeqCst) {
            std::process::exit(1);
        }
        let stopper = stopper.clone();
        actix_web::rt::spawn(async move { stopper.drain().await });
        // The spawned task sets the flag on its first turn; a second signal must find it set.
        actix_web::rt::task::yield_now().await;
    }
}
