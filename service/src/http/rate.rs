//! How often one caller may ask; off unless a rate is given.

use super::access::Caller;
use super::reply;
use super::server::State;
use crate::limits::Limits;
use crate::question::Refusal;
use actix_web::http::header::{HeaderMap, HeaderName, HeaderValue, RETRY_AFTER};
use actix_web::{HttpMessage as _, HttpRequest, HttpResponse};
use governor::clock::{Clock as _, DefaultClock};
use governor::middleware::StateInformationMiddleware;
use governor::state::keyed::HashMapStateStore;
use governor::{Quota, RateLimiter};
use std::net::{IpAddr, Ipv6Addr};
use std::num::NonZeroU32;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::Duration;

/// Lines of a batch that count as one request.
pub const LINES_A_REQUEST: u64 = 1000;
/// After so many requests, callers who have not asked for a while are forgotten.
const BETWEEN_CLEANING: u32 = 1024;
const POLICY: HeaderName = HeaderName::from_static("ratelimit-policy");
const LEFT: HeaderName = HeaderName::from_static("ratelimit");

/// Who asks, as far as it is known.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
enum Key {
    Named(Arc<str>),
    Address(IpAddr),
    Unknown,
}

/// The rate of each caller.
#[derive(Debug)]
pub struct Rate {
    callers: RateLimiter<Key, HashMapStateStore<Key>, DefaultClock, StateInformationMiddleware>,
    burst: NonZeroU32,
    policy: HeaderValue,
    trust_forwarded_for: bool,
    since_cleaning: AtomicU32,
}

impl Rate {
    /// The rate that the settings give, if they give one.
    #[must_use]
    pub fn of(limits: &Limits) -> Option<Self> {
        let per_second = limits.requests_per_second?;
        let burst = limits.request_burst.unwrap_or_else(|| per_second.saturating_add(per_second.get()));
        // After this time without a request a caller may ask a whole burst again.
        let window = burst.get().div_ceil(per_second.get());
        let policy = HeaderValue::from_str(&format!("\"requests\";q={burst};w={window}")).ok()?;
        let callers =
            RateLimiter::hashmap(Quota::per_second(per_second).allow_burst(burst)).with_middleware();
        let trust_forwarded_for = limits.trust_forwarded_for;
        Some(Self { callers, burst, policy, trust_forwarded_for, since_cleaning: AtomicU32::new(0) })
    }

    fn key(&self, request: &HttpRequest) -> Key {
        if let Some(Caller(name)) = request.extensions().get::<Caller>() {
            return Key::Named(Arc::clone(name));
        }
        let forwarded = self.trust_forwarded_for.then(|| {
            // The last address is the one that the nearest proxy saw; those before it are hearsay.
            let last = request.headers().get_all("x-forwarded-for").last()?.to_str().ok()?;
            last.rsplit(',').next()?.trim().parse().ok()
        });
        let address = forwarded.flatten().or_else(|| Some(request.peer_addr()?.ip()));
        address.map_or(Key::Unknown, |address| Key::Address(network(address)))
    }

    /// Counts `requests` of a caller; how many he has left, or how long he has to wait.
    fn counted(&self, key: &Key, requests: NonZeroU32) -> Result<u32, Duration> {
        if self.since_cleaning.fetch_add(1, Ordering::Relaxed) >= BETWEEN_CLEANING {
            self.since_cleaning.store(0, Ordering::Relaxed);
            self.callers.retain_recent();
        }
        match self.callers.check_key_n(key, requests.min(self.burst)) {
            Ok(Ok(state)) => Ok(state.remaining_burst_capacity()),
            Ok(Err(not_yet)) => Err(not_yet.wait_time_from(DefaultClock::default().now())),
            // No request counts more than the burst.
            Err(_) => Ok(0),
        }
    }

    fn refused(&self, state: &State, wait: Duration) -> HttpResponse {
        state.load.shed("rate");
        let seconds = wait.as_secs() + u64::from(wait.subsec_nanos() > 0);
        let mut response = reply::problem(&too_often(seconds));
        let headers = response.headers_mut();
        headers.insert(RETRY_AFTER, HeaderValue::from(seconds));
        self.told(headers, 0, Some(seconds));
        response
    }

    fn told(&self, headers: &mut HeaderMap, left: u32, seconds: Option<u64>) {
        let wait = seconds.map_or_else(String::new, |seconds| format!(";t={seconds}"));
        if let Ok(left) = HeaderValue::from_str(&format!("\"requests\";r={left}{wait}")) {
            headers.insert(LEFT, left);
        }
        headers.insert(POLICY, self.policy.clone());
    }
}

/// The refusal of a caller who asks too often and has to wait.
#[must_use]
pub fn too_often(seconds: u64) -> Refusal {
    let detail = format!("this caller asks more often than it may; wait {seconds} s");
    Refusal::whole("too-many-requests", detail)
}

/// The network of an address: whoever has one IPv6 address has 2^64 of them.
fn network(address: IpAddr) -> IpAddr {
    match address {
        IpAddr::V6(six) => six.to_ipv4_mapped().map_or_else(
            || IpAddr::V6(Ipv6Addr::from_bits(six.to_bits() & !u128::from(u64::MAX))),
            IpAddr::V4,
        ),
        four @ IpAddr::V4(_) => four,
    }
}

/// Counts a request: how many more its caller may ask, if that is limited.
///
/// # Errors
/// The refusal of a caller who asks more often than it may.
pub fn of_request(request: &HttpRequest, state: &State) -> Result<Option<u32>, Box<HttpResponse>> {
    let Some(rate) = &state.rate else { return Ok(None) };
    rate.counted(&rate.key(request), NonZeroU32::MIN)
        .map(Some)
        .map_err(|wait| Box::new(rate.refused(state, wait)))
}

/// Tells a caller how many more requests it may ask.
pub fn tell(state: &State, left: Option<u32>, headers: &mut HeaderMap) {
    // A batch that was refused for its lines has said so already.
    if let (Some(rate), Some(left), false) = (&state.rate, left, headers.contains_key(LEFT)) {
        rate.told(headers, left, None);
    }
}

/// Counts the lines of a batch beyond those that its request stands for; the refusal of a caller who asks too much.
#[must_use]
pub fn of_lines(request: &HttpRequest, state: &State, lines: usize) -> Option<HttpResponse> {
    let rate = state.rate.as_ref()?;
    let requests = u64::try_from(lines).unwrap_or(u64::MAX).div_ceil(LINES_A_REQUEST).saturating_sub(1);
    // Its request was counted already: all of it together is a whole burst at most, so that it can be asked after a pause.
    let most = rate.burst.get() - 1;
    let requests = NonZeroU32::new(u32::try_from(requests).unwrap_or(u32::MAX).min(most))?;
    rate.counted(&rate.key(request), requests).err().map(|wait| rate.refused(state, wait))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbours_in_one_network_are_one_caller() {
        let of = |text: &str| network(text.parse().unwrap());
        assert_eq!(of("2001:db8::1"), of("2001:db8::ffff:1"));
        assert_ne!(of("2001:db8:0:1::1"), of("2001:db8::1"));
        assert_ne!(of("192.0.2.1"), of("192.0.2.2"));
        assert_eq!(of("::ffff:192.0.2.1"), of("192.0.2.1"));
    }
}
