//! W3C Trace Context: which trace a request belongs to.
//!
//! `traceparent` is taken over where it is well formed and stands once, else the request begins a trace of its own. Nothing is sent
//! back: no reply header is part of the recommendation.

use actix_web::http::header::{HeaderMap, HeaderName};
use data_encoding::HEXLOWER;
use std::collections::BTreeSet;

/// Header of the trace and the calling span.
const PARENT: HeaderName = HeaderName::from_static("traceparent");
/// Header of what the systems on the way note of a trace.
const STATE: HeaderName = HeaderName::from_static("tracestate");
/// Octets of a `traceparent` of version 00.
const PARENT_LENGTH: usize = 55;
/// Bounds of `tracestate`.
const MOST_MEMBERS: usize = 32;
const LONGEST_STATE: usize = 512;
const LONGEST_PART: usize = 256;

/// The trace of a request.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trace {
    /// 32 hexadecimal digits.
    pub id: String,
    /// The span that asked, where the request told it.
    pub parent: Option<Parent>,
}

/// The span that asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Parent {
    /// 16 hexadecimal digits.
    pub id: String,
    /// Whether the caller records this trace.
    pub sampled: bool,
    /// The caller's `tracestate`; empty where there is none or it is not well formed.
    pub state: String,
}

impl Trace {
    /// The trace that a request belongs to; the new one where it tells of none, or not in the right form.
    pub fn of(headers: &HeaderMap, new: [u8; 16]) -> Self {
        let mut given = headers.get_all(&PARENT);
        let only = match (given.next(), given.next()) {
            (Some(one), None) => one.to_str().ok().and_then(parent),
            _ => None,
        };
        let Some((id, parent, sampled)) = only else {
            return Self { id: HEXLOWER.encode(&new), parent: None };
        };
        let parts: Option<Vec<&str>> = headers.get_all(&STATE).map(|value| value.to_str().ok()).collect();
        let state = parts.and_then(|parts| state(&parts.join(","))).unwrap_or_default();
        Self { id: id.to_owned(), parent: Some(Parent { id: parent.to_owned(), sampled, state }) }
    }
}

/// Trace, span and whether it is recorded, of a `traceparent`.
fn parent(text: &str) -> Option<(&str, &str, bool)> {
    let (version, trace, span, flags) =
        (text.get(0..2)?, text.get(3..35)?, text.get(36..52)?, text.get(53..55)?);
    let lower_hex = |part: &str| part.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'));
    let zero = |part: &str| part.bytes().all(|byte| byte == b'0');
    let dashes = [2, 35, 52].iter().all(|at| text.as_bytes().get(*at) == Some(&b'-'));
    // A later version may say more after another dash.
    let whole = match text.as_bytes().get(PARENT_LENGTH) {
        None => true,
        Some(next) => version != "00" && *next == b'-',
    };
    let formed = dashes && whole && [version, trace, span, flags].into_iter().all(lower_hex);
    if !formed || version == "ff" || zero(trace) || zero(span) {
        return None;
    }
    let sampled = u8::from_str_radix(flags, 16).is_ok_and(|flags| flags & 1 == 1);
    Some((trace, span, sampled))
}

/// A `tracestate` without empty members, if it is well formed.
fn state(text: &str) -> Option<String> {
    let members: Vec<&str> = text
        .split(',')
        .map(|member| member.trim_matches([' ', '\t']))
        .filter(|member| !member.is_empty())
        .collect();
    let mut keys = BTreeSet::new();
    let formed = members.iter().all(|member| {
        member.split_once('=').is_some_and(|(key, value)| is_key(key) && is_value(value) && keys.insert(key))
    });
    let joined = members.join(",");
    (formed && members.len() <= MOST_MEMBERS && joined.len() <= LONGEST_STATE).then_some(joined)
}

fn is_key(key: &str) -> bool {
    let begins = key.bytes().next().is_some_and(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit());
    let allowed = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || b"_-*/@".contains(&byte);
    begins && key.len() <= LONGEST_PART && key.bytes().all(allowed)
}

fn is_value(value: &str) -> bool {
    let allowed = |byte: u8| (0x20..=0x7e).contains(&byte) && byte != b',' && byte != b'=';
    (1..=LONGEST_PART).contains(&value.len()) && !value.ends_with(' ') && value.bytes().all(allowed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use actix_web::http::header::HeaderValue;

    const GIVEN: &str = "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01";
    const TRACE: &str = "4bf92f3577b34da6a3ce929d0e0e4736";

    fn of(headers: &[(HeaderName, &str)]) -> Trace {
        let mut map = HeaderMap::new();
        for (name, value) in headers {
            map.append(name.clone(), HeaderValue::from_str(value).unwrap());
        }
        Trace::of(&map, [7; 16])
    }

    #[test]
    fn a_well_formed_parent_is_taken_over() {
        let trace = of(&[(PARENT, GIVEN), (STATE, "plan=1, other@school=x"), (STATE, " ,third=t3:y")]);
        assert_eq!(trace.id, TRACE);
        let parent = trace.parent.unwrap();
        assert_eq!((parent.id.as_str(), parent.sampled), ("00f067aa0ba902b7", true));
        assert_eq!(parent.state, "plan=1,other@school=x,third=t3:y");
        let unsampled = GIVEN.replace("-01", "-fe");
        assert!(!of(&[(PARENT, &unsampled)]).parent.unwrap().sampled);
        // A later version may be longer.
        assert_eq!(of(&[(PARENT, &format!("01{}-more", &GIVEN[2..]))]).id, TRACE);
    }

    #[test]
    fn a_malformed_parent_begins_a_new_trace() {
        let new = Trace { id: "07".repeat(16), parent: None };
        let zero_trace = GIVEN.replace(TRACE, &"0".repeat(32));
        let zero_span = GIVEN.replace("00f067aa0ba902b7", &"0".repeat(16));
        for text in [
            "",
            "00",
            &GIVEN.to_uppercase(),
            &GIVEN.replace('-', "_"),
            &format!("ff{}", &GIVEN[2..]),
            &format!("{GIVEN}-more"),
            &format!("01{}more", &GIVEN[2..]),
            &format!(" {GIVEN}x"),
            &GIVEN[..54],
            &GIVEN.replace("4bf9", "4bg9"),
            &zero_trace,
            &zero_span,
        ] {
            assert_eq!(of(&[(PARENT, text), (STATE, "plan=1")]), new, "{text}");
        }
        assert_eq!(of(&[]), new);
        assert_eq!(of(&[(PARENT, GIVEN), (PARENT, GIVEN)]), new);
    }

    #[test]
    fn a_malformed_state_is_left_out_and_the_parent_stays() {
        let many: Vec<String> = (0..33).map(|n| format!("k{n}=v")).collect();
        for text in [
            "plan",
            "Plan=1",
            "plan=1,plan=2",
            "=1",
            "plan=a=b",
            "plan=",
            &many.join(","),
            &format!("plan={}", "x".repeat(257)),
        ] {
            let trace = of(&[(PARENT, GIVEN), (STATE, text)]);
            assert_eq!((trace.id.as_str(), trace.parent.unwrap().state.as_str()), (TRACE, ""), "{text}");
        }
    }
}
