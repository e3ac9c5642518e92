//! What is going to be taken away is announced in its replies: `Deprecation` (RFC 9745) and `Sunset` (RFC 8594).

use actix_web::http::header::{HeaderMap, HeaderName, HeaderValue, LINK};

const DEPRECATION: HeaderName = HeaderName::from_static("deprecation");
const SUNSET: HeaderName = HeaderName::from_static("sunset");

/// A path that will no longer be answered.
#[derive(Debug, Clone, Copy)]
pub struct Retirement {
    /// The path and everything below it, such as `/v1`.
    pub path: &'static str,
    /// Since when it should not be used in new work: a date as in RFC 9651, `@` and seconds since 1970.
    pub deprecation: &'static str,
    /// From when on it may not be answered: a date as HTTP writes it.
    pub sunset: &'static str,
    /// Address of the page that says what to use instead.
    pub page: &'static str,
}

/// What is retired: nothing yet. DEVELOPERS.md says how something comes here.
pub const RETIRED: &[Retirement] = &[];

/// Announces the end of a path in the headers of a reply.
pub fn announce(retired: &[Retirement], path: &str, headers: &mut HeaderMap) {
    let below = |retirement: &&Retirement| {
        path.strip_prefix(retirement.path).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    };
    let Some(retirement) = retired.iter().find(below) else { return };
    headers.insert(DEPRECATION, HeaderValue::from_static(retirement.deprecation));
    headers.insert(SUNSET, HeaderValue::from_static(retirement.sunset));
    if let Ok(link) = HeaderValue::from_str(&format!("<{}>; rel=\"deprecation\"", retirement.page)) {
        headers.append(LINK, link);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_retired_says_since_when_until_when_and_where_it_is_explained() {
        // The dates are those of the examples in RFC 9745 and RFC 8594.
        let retired = [Retirement {
            path: "/v1/spill",
            deprecation: "@1688169599",
            sunset: "Sat, 31 Dec 2018 23:59:59 GMT",
            page: "https://brimline.ottermoor.example/docs/versions",
        }];
        let told = |path| {
            let mut headers = HeaderMap::new();
            announce(&retired, path, &mut headers);
            [DEPRECATION, SUNSET, LINK]
                .map(|name| headers.get(&name).and_then(|value| value.to_str().ok()).map(str::to_owned))
        };
        let [deprecation, sunset, link] = told("/v1/spill");
        assert_eq!(deprecation.as_deref(), Some("@1688169599"));
        assert_eq!(sunset.as_deref(), Some("Sat, 31 Dec 2018 23:59:59 GMT"));
        let page = "<https://brimline.ottermoor.example/docs/versions>; rel=\"deprecation\"";
        assert_eq!(link.as_deref(), Some(page));
        assert_eq!(told("/v1/spills"), [None, None, None]);
        assert!(told("/v1/spill/more")[0].is_some());
    }
}
