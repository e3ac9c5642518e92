//! Who may ask: on a loopback address everybody, elsewhere callers with a token, or everybody where that was said.

use super::callers::Callers;
use super::reply;
use super::server::State;
use crate::question::Refusal;
use crate::settings::Protection;
use actix_web::dev::ServiceRequest;
use actix_web::http::header::{AUTHORIZATION, CACHE_CONTROL, HeaderMap, HeaderValue, WWW_AUTHENTICATE};
use actix_web::{HttpMessage as _, HttpResponse};
use std::io;
use std::net::IpAddr;
use std::sync::{Arc, PoisonError, RwLock};

/// The paths that need no token, as the router knows them: life signs for a balancer, and texts that are the same in every copy of
/// the program, among them the page that explains the refusal. Browsers send no token when a link is followed.
const READABLE: &[&str] = &[
    "/",
    "/healthz",
    "/readyz",
    "/docs",
    "/docs/",
    "/docs/substances",
    "/docs/substances/{name}",
    "/docs/methods",
    "/docs/methods/{id}",
    "/docs/guides/{name}",
    "/problems",
    "/problems/{code}",
    "/openapi.json",
    "/openapi-3.0.json",
];
/// The only form of credentials.
const SCHEME: &str = "Bearer";
/// Answers to nobody, and to somebody who is not known.
const CHALLENGE: &str = "Bearer realm=\"brimline\"";
const CHALLENGE_AGAIN: &str = "Bearer realm=\"brimline\", error=\"invalid_token\"";
/// Answers of which a shared cache would give others what needs a token; the time is that of other answers.
const KEPT_BY_THE_CALLER: &str = "private, max-age=300, must-revalidate";

/// The name of the caller whose token came with a request; in the request's extensions, for whoever stands further in.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Caller(pub Arc<str>);

/// Who may ask, as long as the service runs.
#[derive(Debug)]
pub struct Access {
    settings: Protection,
    callers: Option<RwLock<Arc<Callers>>>,
}

impl Access {
    /// Reads the token file, where there is one.
    ///
    /// # Errors
    /// The file is not taken; the text says why.
    pub fn new(settings: Protection) -> io::Result<Self> {
        let callers = settings.token_file.is_some().then(|| read(&settings)).transpose()?;
        Ok(Self { settings, callers: callers.map(|callers| RwLock::new(Arc::new(callers))) })
    }

    /// Whether an address may be listened on.
    ///
    /// # Errors
    /// The network reaches it, and nobody has said who may ask.
    pub fn allows(&self, address: IpAddr) -> io::Result<()> {
        let decided = self.callers.is_some() || self.settings.open_to_network;
        if decided || address.to_canonical().is_loopback() {
            return Ok(());
        }
        Err(io::Error::new(
            io::ErrorKind::PermissionDenied,
            "the network reaches this address: give `--token-file FILE` (`brimline token NAME` makes a line of it) so that callers \
             need a token, or `--open-to-network` to let everybody ask",
        ))
    }

    /// Whether callers need a token.
    #[must_use]
    pub const fn needs_token(&self) -> bool {
        self.callers.is_some()
    }

    /// Reads the token file anew; a broken one leaves the callers as they were.
    pub fn read_again(&self) {
        let Some(callers) = &self.callers else { return };
        match read(&self.settings) {
            Ok(read) => {
                tracing::info!(tokens = read.count(), "the token file was read anew");
                *callers.write().unwrap_or_else(PoisonError::into_inner) = Arc::new(read);
            }
            Err(error) => tracing::error!(%error, "the callers stay as they were"),
        }
    }

    /// Whose token a request carries; an error where callers need one and it has none that is known.
    fn caller(&self, request: &ServiceRequest) -> Result<Option<Caller>, &'static str> {
        let Some(callers) = &self.callers else { return Ok(None) };
        let callers = Arc::clone(&callers.read().unwrap_or_else(PoisonError::into_inner));
        let mut given = request.headers().get_all(AUTHORIZATION);
        match (given.next(), given.next()) {
            (None, _) => Err(CHALLENGE),
            (Some(one), None) => {
                let name = token(one).and_then(|token| callers.known(token));
                name.map(|name| Some(Caller(Arc::clone(name)))).ok_or(CHALLENGE_AGAIN)
            }
            _ => Err(CHALLENGE_AGAIN),
        }
    }
}

fn read(settings: &Protection) -> io::Result<Callers> {
    let file = settings.token_file.clone().unwrap_or_default();
    let shown = file.display();
    let (callers, others_read) =
        Callers::read(&file).map_err(|fault| io::Error::other(format!("the token file {shown}: {fault}")))?;
    if others_read {
        // It holds hashes of long random tokens, from which no token can be told: a warning will do.
        tracing::warn!(file = %shown, "everybody on this machine may read the token file");
    }
    Ok(callers)
}

/// The token of an `Authorization` header.
fn token(header: &HeaderValue) -> Option<&str> {
    let (scheme, token) = header.to_str().ok()?.split_once(' ')?;
    scheme.eq_ignore_ascii_case(SCHEME).then(|| token.trim())
}

/// Notes the caller of a request: whether it is one with a token.
///
/// # Errors
/// The refusal of a caller who is not known and has to be.
pub fn noted(request: &ServiceRequest, state: &State) -> Result<bool, Box<HttpResponse>> {
    if !state.access.needs_token()
        || request.match_pattern().is_some_and(|pattern| READABLE.contains(&pattern.as_str()))
    {
        return Ok(false);
    }
    match state.access.caller(request) {
        Ok(None) => Ok(false),
        Ok(Some(caller)) => {
            request.extensions_mut().insert(caller);
            Ok(true)
        }
        Err(challenge) => {
            let mut refused = reply::problem(&not_known());
            refused.headers_mut().insert(WWW_AUTHENTICATE, HeaderValue::from_static(challenge));
            Err(Box::new(refused))
        }
    }
}

/// The refusal of a caller who is not known.
#[must_use]
pub fn not_known() -> Refusal {
    let detail = "send the header `Authorization: Bearer` with a token that this service knows after it";
    Refusal::whole("unauthorised", detail)
}

/// What a caller with a token was told may be kept by it, and by no cache that others read.
pub fn close(headers: &mut HeaderMap) {
    if headers.get(CACHE_CONTROL).is_some_and(|value| value.as_bytes().starts_with(b"public")) {
        headers.insert(CACHE_CONTROL, HeaderValue::from_static(KEPT_BY_THE_CALLER));
    }
}
