//! Reads JSON strictly: no key twice, no nesting deeper than 64, no number too large for a double.

use super::Refusal;
use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::{Map, Number, Value};
use std::fmt;

/// Deepest nesting of arrays and objects that is read.
pub const DEEPEST: usize = 64;

/// Marks in error texts which kind of fault a visitor found; serde passes on text only.
const DUPLICATE: &str = "duplicate key";
const TOO_DEEP: &str = "nested deeper";

/// Reads one JSON value that fills the whole text.
///
/// # Errors
/// `not-json` (also: not UTF-8, lone surrogates, numbers too large for a double), `duplicate-key`,
/// `nesting-too-deep`.
pub fn read(bytes: &[u8]) -> Result<Value, Refusal> {
    let mut deserializer = serde_json::Deserializer::from_slice(bytes);
    let value = Strict { depth: 0 }
        .deserialize(&mut deserializer)
        .and_then(|value| deserializer.end().map(|()| value));
    value.map_err(|error| {
        let text = error.to_string();
        let code = if text.contains(DUPLICATE) {
            "duplicate-key"
        } else if text.contains(TOO_DEEP) || text.contains("recursion limit") {
            "nesting-too-deep"
        } else {
            "not-json"
        };
        Refusal::whole(code, format!("the request is not JSON that can be read: {text}"))
    })
}

#[derive(Clone, Copy)]
struct Strict {
    depth: usize,
}

impl Strict {
    fn deeper<E: Error>(self) -> Result<Self, E> {
        if self.depth >= DEEPEST {
            return Err(E::custom(format_args!("{TOO_DEEP} than {DEEPEST} levels")));
        }
        Ok(Self { depth: self.depth + 1 })
    }
}

impl<'de> DeserializeSeed<'de> for Strict {
    type Value = Value;
    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Value, D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Strict {
    type Value = Value;

    fn expecting(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("a JSON value")
    }
    fn visit_unit<E>(self) -> Result<Value, E> {
        Ok(Value::Null)
    }
    fn visit_bool<E>(self, value: bool) -> Result<Value, E> {
        Ok(Value::Bool(value))
    }
    fn visit_i64<E>(self, value: i64) -> Result<Value, E> {
        Ok(Value::Number(value.into()))
    }
    fn visit_u64<E>(self, value: u64) -> Result<Value, E> {
        Ok(Value::Number(value.into()))
    }
    fn visit_f64<E: Error>(self, value: f64) -> Result<Value, E> {
        Number::from_f64(value).map(Value::Number).ok_or_else(|| E::custom("number out of range"))
    }
    fn visit_str<E>(self, value: &str) -> Result<Value, E> {
        Ok(Value::String(value.to_owned()))
    }
    fn visit_string<E>(self, value: String) -> Result<Value, E> {
        Ok(Value::String(value))
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Value, A::Error> {
        let inner = self.deeper()?;
        let mut list = Vec::new();
        while let Some(item) = items.next_element_seed(inner)? {
            list.push(item);
        }
        Ok(Value::Array(list))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Value, A::Error> {
        let inner = self.deeper()?;
        let mut map = Map::new();
        while let Some(key) = entries.next_key::<String>()? {
            let value = entries.next_value_seed(inner)?;
            if map.contains_key(&key) {
                return Err(A::Error::custom(format_args!("{DUPLICATE} {:?}", shown(&key))));
            }
            map.insert(key, value);
        }
        Ok(Value::Object(map))
    }
}

/// A key for an error text, cut so that a huge one is not echoed whole.
fn shown(key: &str) -> String {
    key.chars().take(60).collect()
}

#[cfg(test)]
mod tests {
    use super::read;

    fn code(text: &[u8]) -> String {
        match read(text) {
            Ok(value) => format!("read {value}"),
            Err(refusal) => refusal.kind().code.to_owned(),
        }
    }

    #[test]
    fn what_is_not_strict_json_is_refused_by_kind() {
        assert_eq!(code(b"{\"a\": 1, \"a\": 1}"), "duplicate-key");
        assert_eq!(code(b"{\"a\": 1e999}"), "not-json");
        assert_eq!(code(b"{\"a\": NaN}"), "not-json");
        assert_eq!(code(b"{\"a\": \"\\ud800\"}"), "not-json");
        assert_eq!(code(b"\xff\xfe"), "not-json");
        assert_eq!(code(b"{} {}"), "not-json");
        assert_eq!(code(b""), "not-json");
        let deep = format!("{}{}", "[".repeat(65), "]".repeat(65));
        assert_eq!(code(deep.as_bytes()), "nesting-too-deep");
        let still = format!("{}{}", "[".repeat(64), "]".repeat(64));
        assert!(read(still.as_bytes()).is_ok());
        let very = "[".repeat(100_000);
        assert_eq!(code(very.as_bytes()), "nesting-too-deep");
    }
}
