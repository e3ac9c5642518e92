//! The OpenAPI 3.1 document, made from the contract's types and the table of operations.
//!
//! The schemas come from the types; paths, parameters and answers from [`crate::operations`]. What public generators
//! would read wrongly in the schemas is mended afterwards (`mended`).

mod mended;

use crate::operations::{BATCH, Format, LISTINGS, Listing, QUESTIONS, Question, RECHECK};
use crate::problem::PROBLEMS;
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;
use utoipa::{OpenApi, ToSchema};

/// Rules replaced for one request, by name; see `/v1/rules`.
#[derive(ToSchema)]
pub struct ReplacedRules(pub BTreeMap<String, String>);

/// Any JSON object.
#[derive(ToSchema)]
pub struct AnyObject(pub BTreeMap<String, Value>);

#[derive(OpenApi)]
#[openapi(components(schemas(
    crate::vapour_pressure::VapourPressure,
    crate::vapour_pressure::VapourPressureReply,
    crate::vapour_pressure::VapourPoint,
    crate::vapour_pressure::PartialPressure,
    crate::vapour_pressure::AntoineByHand,
    crate::flash_point_margin::FlashPointMargin,
    crate::flash_point_margin::FlashPointMarginReply,
    crate::flash_point_margin::Headspace,
    crate::flash_point_margin::HeadspaceCondition,
    crate::room_flammable_limit::RoomFlammableLimit,
    crate::room_flammable_limit::RoomFlammableLimitReply,
    crate::room_flammable_limit::Place,
    crate::room_flammable_limit::PlaceOverTime,
    crate::room_flammable_limit::RoomAtTime,
    crate::safe_fill::SafeFill,
    crate::safe_fill::SafeFillReply,
    crate::safe_fill::Vessel,
    crate::safe_fill::Container,
    crate::safe_fill::Use,
    crate::safe_fill::FillLimit,
    crate::safe_fill::FillAlternative,
    crate::evaporation::Evaporation,
    crate::evaporation::EvaporationReply,
    crate::evaporation::Surface,
    crate::evaporation::Regime,
    crate::evaporation::RemainingAtTime,
    crate::exposure::Exposure,
    crate::exposure::ExposureReply,
    crate::exposure::OpenSource,
    crate::exposure::OwnLimit,
    crate::exposure::ComponentExposure,
    crate::spill::Spill,
    crate::spill::SpillReply,
    crate::spill::Floor,
    crate::burning::Burning,
    crate::burning::BurningReply,
    crate::burning::BurningVessel,
    crate::burning::BurningKind,
    crate::burning::Stock,
    crate::burning::PublishedRate,
    crate::burning::FlashByWait,
    crate::cooling::Cooling,
    crate::cooling::CoolingReply,
    crate::cooling::CoolingVessel,
    crate::cooling::Burnt,
    crate::cooling::WallAtTime,
    crate::cooling::ThermalShock,
    crate::storage::Storage,
    crate::storage::StorageReply,
    crate::storage::StoredContainer,
    crate::storage::StoragePlace,
    crate::storage::KeepApart,
    crate::storage::StaticCharge,
    crate::storage::Conductivity,
    crate::storage::Waste,
    crate::flame_colour::FlameColour,
    crate::flame_colour::FlameColourReply,
    crate::flame_colour::InstrumentResponse,
    crate::flame_colour::FlameElement,
    crate::flame_colour::FlameOfFuel,
    crate::flame_colour::FlameLine,
    crate::flame_colour::FlameBand,
    crate::flame_colour::SeenColour,
    crate::flame_colour::InstrumentView,
    crate::flame_colour::InstrumentPeak,
    crate::flame_colour::Identified,
    crate::flame_colour::FlameCandidate,
    crate::flame_colour::FlamePeak,
    crate::flame_colour::MatchedPeak,
    crate::flame_colour::MissingPeak,
    crate::flame_colour::OmittedEffect,
    crate::practical::Practical,
    crate::practical::PracticalReply,
    crate::practical::People,
    crate::practical::Doing,
    crate::practical::PlanStep,
    crate::practical::PlanStock,
    crate::practical::PlanIgnition,
    crate::practical::StepChecked,
    crate::practical::PlanRemedy,
    crate::practical::AlsoChanged,
    crate::practical::PlanAlternative,
    crate::practical::ExpectedColour,
    crate::comparison::Comparison,
    crate::comparison::ComparisonReply,
    crate::comparison::Criterion,
    crate::comparison::ComparedLiquid,
    crate::comparison::Deciding,
    crate::comparison::OrderStep,
    crate::comparison::Dominated,
    crate::comparison::NotCompared,
    crate::batch::BatchLine,
    crate::batch::BatchReplyLine,
    crate::recheck::Recheck,
    crate::recheck::Rechecked,
    crate::recheck::Same,
    crate::recheck::Differs,
    crate::recheck::Changed,
    crate::recheck::Figure,
    crate::recheck::ChangeKind,
    crate::recheck::ChangeList,
    crate::recheck::Change,
    crate::quantity::Quantity,
    crate::liquid::Liquid,
    crate::liquid::LiquidMixture,
    crate::liquid::Part,
    crate::liquid::Fractions,
    crate::liquid::LiquidEcho,
    crate::liquid::Component,
    crate::room::Room,
    crate::room::VolumeIs,
    crate::asking::Detail,
    crate::asking::Heater,
    crate::asking::RelaxedBy,
    ReplacedRules,
    AnyObject,
    crate::answered::Verdict,
    crate::answered::Basis,
    crate::answered::Outcome,
    crate::answered::Check,
    crate::answered::MustBe,
    crate::answered::Grounds,
    crate::answered::BasisKind,
    crate::answered::Evidence,
    crate::answered::Remedy,
    crate::answered::NotGiven,
    crate::answered::Hazard,
    crate::answered::Assumption,
    crate::answered::Method,
    crate::answered::Source,
    crate::answered::Seen,
    crate::answered::Caution,
    crate::answered::Record,
    crate::problem::Problem,
    crate::problem::Fault,
    crate::problem::Expected,
    crate::catalogue::SubstanceList,
    crate::catalogue::SubstanceEntry,
    crate::catalogue::Substance,
    crate::catalogue::VapourPressureClass,
    crate::catalogue::Datum,
    crate::catalogue::OtherValue,
    crate::catalogue::PublishedEquation,
    crate::catalogue::MixtureList,
    crate::catalogue::MixtureEntry,
    crate::catalogue::RuleList,
    crate::catalogue::Rule,
    crate::catalogue::Direction,
    crate::catalogue::UnitList,
    crate::catalogue::UnitEntry,
)))]
struct Schemas;

/// An example of a question, which is also a golden test: its case, the request and the reply.
pub type Example = (&'static str, &'static str, &'static str);

macro_rules! examples {
    ($($question:literal: $($case:literal),+;)*) => {
        /// The examples of each question.
        pub const EXAMPLES: &[(&str, &[Example])] = &[$(
            ($question, &[$((
                $case,
                include_str!(concat!("../examples/", $question, "/", $case, ".request.json")),
                include_str!(concat!("../examples/", $question, "/", $case, ".reply.json")),
            )),+]),
        )*];
    };
}

examples! {
    "vapour-pressure": "ethanol-series", "propanone-day", "chromatography-solvent";
    "flash-point-margin": "ethanol-lab-s3", "limonene-heated", "water", "denatured-alcohol", "hexane-water", "ether-hot-plate";
    "room-flammable-limit": "propanone-spill-share", "pentane-chromatography", "six-classes", "dishes-over-time";
    "safe-fill": "burners-compared", "recrystallisation", "disinfectant", "chromatography-jars", "crystallising-dishes",
        "surface-cleaning", "filter-washing", "stock-beside", "evening-class", "small-prep-room", "winter-morning", "ether-without-flames",
        "warm-recrystallisation";
    "evaporation": "propanone-dish", "cleaning-a-bench", "alcohol-drifts", "drying-glassware";
    "exposure": "chromatography-at-the-bench", "own-limits", "two-vapours";
    "spill": "ethanol-bottle", "butanol-below-its-flash-point", "carpet";
    "burning": "burners-compared", "trial-fuels-on-a-tray", "watered-alcohol", "wick-burner", "bottle-as-a-burner";
    "cooling": "beaker-after-a-flame", "refill-too-early", "dish-from-the-oven";
    "practical": "burners-compared", "burners-topped-up", "leaf-pigments", "leaf-pigments-beside-a-burner", "warm-recrystallisation",
        "recrystallisation-over-a-burner", "cleaning-before-gluing", "cleaning-beside-a-hot-air-gun", "rates-of-evaporation",
        "rates-of-evaporation-in-a-store", "coloured-flame", "coloured-flame-with-ethanol", "salts-on-a-wire";
    "storage": "ethanol-winchester", "ether-on-a-warm-shelf", "propanone-beside-trichloromethane";
    "comparison": "burner-fuels", "chromatography-solvents", "cleaning-before-gluing";
    "flame-colour": "sodium-chloride", "potassium", "copper-chloride", "two-metals", "a-lamp-and-no-metal";
    "recheck": "reply-of-an-earlier-version", "record-of-an-earlier-version";
}

/// The document.
#[must_use]
pub fn document() -> Value {
    let made = serde_json::to_value(Schemas::openapi()).unwrap_or_default();
    let mut schemas = made.pointer("/components/schemas").cloned().unwrap_or_default();
    mended::mend(&mut schemas);
    let mut paths = Map::new();
    for question in QUESTIONS {
        paths.insert(
            format!("/v1/{}", question.name),
            json!({ "post": post(question, TEXTS), "get": get(question, &schemas) }),
        );
    }
    paths.insert(format!("/v1/{}", RECHECK.name), json!({ "post": post(&RECHECK, EARLIER) }));
    paths.insert(format!("/v1/{}", BATCH.name), json!({ "post": batch() }));
    for listing in LISTINGS {
        paths.insert(listing.path.to_owned(), json!({ "get": list(listing) }));
    }
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "Brimline",
            "version": env!("CARGO_PKG_VERSION"),
            "description": "Whether this much of this flammable liquid may be used in this way, in this room, today, and if not, the smallest change that makes it so. It says what is within which limit; local codes, the supplier's data sheet and a competent person decide.",
            "license": { "name": "MIT OR Apache-2.0", "identifier": "MIT OR Apache-2.0" }
        },
        "servers": [{ "url": "/" }],
        "tags": [
            { "name": "questions", "description": "What is asked and answered" },
            { "name": "catalogue", "description": "What is known" }
        ],
        "paths": paths,
        // The empty one: on a loopback address, or where it is open to the network, no token is needed.
        "security": [{}, { "token": [] }],
        "components": {
            "schemas": schemas,
            "securitySchemes": {
                "token": {
                    "type": "http",
                    "scheme": "bearer",
                    "description": "Needed where the service was started with a token file, as it is on a network; whoever runs it gives the tokens out."
                }
            }
        },
    })
}

fn reference(schema: &str) -> Value {
    json!({ "$ref": format!("#/components/schemas/{schema}") })
}

fn operation(verb: &str, question: &Question) -> String {
    format!("{verb}_{}", question.name.replace('-', "_"))
}

/// What is said of every question asked with POST.
const TEXTS: &str = "Every independent fault of a request is listed at once. With `\"detail\": \"figures\"` the texts are left out.";
/// What is said of an earlier answer that is sent back.
const EARLIER: &str = "The record of an earlier reply, or the whole reply, is sent back, with its request where the record does not hold it. Every independent fault is listed at once.";

fn post(question: &Question, description: &str) -> Value {
    let (requests, _) = examples_of(question);
    json!({
        "operationId": operation("post", question),
        "summary": question.summary,
        "description": description,
        "tags": ["questions"],
        "requestBody": {
            "required": true,
            "content": { "application/json": { "schema": reference(question.request), "examples": requests } }
        },
        "responses": answers(question, &[400, 406, 408, 413, 415, 422, 429, 503]),
    })
}

/// Lines of JSON have no schema of their own in OpenAPI 3.1: they are text, whose lines the named schemas describe.
fn batch() -> Value {
    let lines = |example: &str| json!({ "application/x-ndjson": { "schema": { "type": "string", "format": "binary" }, "example": example } });
    let asked = "{\"ref\": \"S3, period 2\", \"question\": \"flash-point-margin\", \"request\": {\"liquid\": \"ethanol\", \"room_temperature\": \"21 Cel\"}}\n";
    let mut answers = answers(&BATCH, &[400, 406, 408, 413, 415, 422, 429, 503]);
    if let Some(answer) = answers.as_object_mut() {
        let content = lines("{\"end\":true,\"lines\":300,\"answered\":299,\"refused\":1}\n");
        let description = format!(
            "One `{}` for each line of the batch, in their order, streamed; the last one has `end`: without it the reply is incomplete.",
            BATCH.reply
        );
        answer.insert("200".into(), json!({ "description": description, "content": content }));
    }
    let description = format!(
        "One `{}` a line. At most 25,000 lines, 16 MiB, 64 KiB a line. A line that cannot be answered says why in its place and affects no other.",
        BATCH.request
    );
    json!({
        "operationId": operation("post", &BATCH),
        "summary": BATCH.summary,
        "description": description,
        "tags": ["questions"],
        "requestBody": { "required": true, "content": lines(asked) },
        "responses": answers,
    })
}

fn get(question: &Question, schemas: &Value) -> Value {
    let mut parameters = Vec::new();
    flat_parameters(schemas, question.request, "", &mut parameters);
    parameters.push(json!({
        "name": "request", "in": "query", "required": false, "schema": { "type": "string" },
        "description": "The whole request as percent-encoded JSON, in place of all other fields."
    }));
    let words: Vec<&str> = question.formats.iter().map(|format| format.word()).collect();
    parameters.push(json!({
        "name": "format", "in": "query", "required": false, "schema": { "type": "string", "enum": words },
        "description": "Format of the answer; wins over `Accept`."
    }));
    json!({
        "operationId": operation("get", question),
        "summary": question.summary,
        "description": "The same question with dotted names for nested fields. Rules are replaced by `rules.NAME=VALUE`.",
        "tags": ["questions"],
        "parameters": parameters,
        "responses": answers(question, &[304, 400, 406, 414, 422, 429, 503]),
    })
}

/// One query parameter for each field, nested ones with dotted names.
fn flat_parameters(schemas: &Value, name: &str, prefix: &str, into: &mut Vec<Value>) {
    let Some(properties) = schemas.pointer(&format!("/{name}/properties")).and_then(Value::as_object) else {
        return;
    };
    for (field, schema) in properties {
        let dotted = format!("{prefix}{field}");
        let description = schema.get("description").cloned().unwrap_or_else(|| json!("See the schema."));
        let target =
            schema.get("$ref").and_then(Value::as_str).and_then(|reference| reference.rsplit('/').next());
        let kind = match target {
            Some("Liquid") => json!({ "type": "string" }),
            Some(target) if schemas.pointer(&format!("/{target}/properties")).is_some() => {
                flat_parameters(schemas, target, &format!("{dotted}."), into);
                continue;
            }
            // Open names are no parameters.
            Some("ReplacedRules") => continue,
            Some(target) => reference(target),
            // Liquids by their names.
            None if is_list_of(schema, "Liquid") => json!({ "type": "array" }),
            // A list of objects has no dotted names: it is asked with `request`.
            None if schema.pointer("/items/$ref").is_some() => continue,
            None => json!({ "type": schema.get("type").cloned().unwrap_or_else(|| json!("string")) }),
        };
        let kind = if kind.get("type") == Some(&json!("array")) {
            json!({ "type": "array", "items": { "type": "string" } })
        } else {
            kind
        };
        into.push(json!({ "name": dotted, "in": "query", "required": false, "schema": kind, "description": description }));
    }
}

fn is_list_of(schema: &Value, item: &str) -> bool {
    let reference = schema.pointer("/items/$ref").and_then(Value::as_str);
    reference.and_then(|reference| reference.rsplit('/').next()) == Some(item)
}

/// What is said of every listing.
const LISTED: &str =
    "It changes with the version of the service alone: `ETag` and `If-None-Match` spare sending it again.";

fn list(listing: &Listing) -> Value {
    let text = |name: &str, place: &str, required: bool, description: &str| json!({ "name": name, "in": place, "required": required, "schema": { "type": "string" }, "description": description });
    let parameters = match listing.path {
        "/v1/substances" => vec![
            text(
                "search",
                "query",
                false,
                "Only substances that match this name, CAS number, formula or InChIKey, best first.",
            ),
            json!({ "name": "flammable", "in": "query", "required": false, "schema": { "type": "boolean" }, "description": "Only substances that can, or cannot, burn." }),
            json!({ "name": "limit", "in": "query", "required": false, "schema": { "type": "integer", "minimum": 1, "maximum": 500 }, "description": "At most so many on a page; 50 if not given." }),
            text("after", "query", false, "Cursor of the page before: its `next`."),
        ],
        "/v1/substances/{name}" => vec![text("name", "path", true, "Id, name, synonym or CAS number.")],
        _ => Vec::new(),
    };
    let mut content = Map::new();
    content.insert("application/json".into(), json!({ "schema": reference(listing.reply) }));
    if listing.path == "/v1/substances" {
        content.insert("text/csv".into(), json!({ "schema": { "type": "string" } }));
    }
    let mut responses = Map::new();
    responses.insert("200".into(), json!({ "description": listing.summary, "content": content }));
    for status in [304, 404, 406, 422, 503].iter().chain(&ANYWHERE) {
        responses.insert(status.to_string(), refusal(*status));
    }
    json!({ "operationId": listing.id, "summary": listing.summary, "description": LISTED, "tags": ["catalogue"], "parameters": parameters, "responses": responses })
}

fn answers(question: &Question, refusals: &[u16]) -> Value {
    let (_, replies) = examples_of(question);
    let mut content = Map::new();
    for format in question.formats {
        let schema = if *format == Format::Json {
            json!({ "schema": reference(question.reply), "examples": replies })
        } else {
            json!({ "schema": { "type": "string" } })
        };
        content.insert(format.media_type().to_owned(), schema);
    }
    let mut responses = Map::new();
    responses.insert("200".into(), json!({ "description": question.summary, "content": content }));
    for status in refusals.iter().chain(&ANYWHERE) {
        responses.insert(status.to_string(), refusal(*status));
    }
    Value::Object(responses)
}

/// What may be said before a question is looked at: no known token, too many requests.
const ANYWHERE: [u16; 2] = [401, 429];

fn refusal(status: u16) -> Value {
    if status == 304 {
        return json!({ "description": "The caller has this answer already (`If-None-Match`)." });
    }
    let kinds: Vec<&str> =
        PROBLEMS.iter().filter(|problem| problem.status == status).map(|problem| problem.code).collect();
    json!({
        "description": format!("Refused: {}", kinds.join(", ")),
        "content": { "application/problem+json": { "schema": reference("Problem") } }
    })
}

fn examples_of(question: &Question) -> (Value, Value) {
    let found =
        EXAMPLES.iter().find(|(name, _)| *name == question.name).map_or(&[][..], |(_, examples)| *examples);
    let (mut requests, mut replies) = (Map::new(), Map::new());
    for (case, request, reply) in found {
        requests.insert(
            (*case).to_owned(),
            json!({ "value": serde_json::from_str::<Value>(request).unwrap_or_default() }),
        );
        replies.insert(
            (*case).to_owned(),
            json!({ "value": serde_json::from_str::<Value>(reply).unwrap_or_default() }),
        );
    }
    (Value::Object(requests), Value::Object(replies))
}
