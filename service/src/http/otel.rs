//! Spans of requests for an OpenTelemetry collector; built with the feature `otel`, on where the standard variables name an endpoint.

use super::trace::Trace;
use actix_web::dev::ServiceRequest;
use opentelemetry::trace::{
    SpanContext, SpanId, TraceContextExt as _, TraceFlags, TraceId, TraceState, TracerProvider as _,
};
use opentelemetry::{Context, KeyValue};
use opentelemetry_otlp::{Protocol, SpanExporter, WithExportConfig as _};
use opentelemetry_sdk::Resource;
use opentelemetry_sdk::trace::SdkTracerProvider;
use std::str::FromStr as _;
use tracing::Span;
use tracing::field::Empty;
use tracing::level_filters::LevelFilter;
use tracing_opentelemetry::OpenTelemetrySpanExt as _;
use tracing_subscriber::filter::Targets;
use tracing_subscriber::registry::LookupSpan;
use tracing_subscriber::{Layer, layer};

/// Target of the spans; the log leaves them out, since its lines say the same.
pub const TARGET: &str = "brimline_span";
/// Any of them turns the export on: without, nobody would listen at the standard address.
const ENDPOINTS: [&str; 2] = ["OTEL_EXPORTER_OTLP_ENDPOINT", "OTEL_EXPORTER_OTLP_TRACES_ENDPOINT"];
const DISABLED: &str = "OTEL_SDK_DISABLED";
const SERVICE_NAME: &str = "OTEL_SERVICE_NAME";

/// Sends spans until it is shut down; none where no endpoint is named.
///
/// # Errors
/// The variables make no exporter.
pub fn provider() -> Result<Option<SdkTracerProvider>, String> {
    let set = |name: &&str| std::env::var(name).is_ok_and(|value| !value.is_empty());
    let disabled = std::env::var(DISABLED).is_ok_and(|value| value.eq_ignore_ascii_case("true"));
    if disabled || !ENDPOINTS.iter().any(set) {
        return Ok(None);
    }
    let exporter = SpanExporter::builder()
        .with_http()
        .with_protocol(Protocol::HttpBinary)
        .build()
        .map_err(|error| format!("spans cannot be sent: {error}"))?;
    let resource =
        Resource::builder().with_attribute(KeyValue::new("service.version", env!("CARGO_PKG_VERSION")));
    let resource = if set(&SERVICE_NAME) { resource } else { resource.with_service_name("brimline") };
    Ok(Some(
        SdkTracerProvider::builder().with_resource(resource.build()).with_batch_exporter(exporter).build(),
    ))
}

/// What turns the spans of requests into those that are sent.
pub fn layer<S>(provider: &SdkTracerProvider) -> impl Layer<S> + use<S>
where
    S: tracing::Subscriber + for<'a> LookupSpan<'a>,
    layer::Identity: Layer<S>,
{
    let only = Targets::new().with_target(TARGET, LevelFilter::INFO);
    tracing_opentelemetry::layer().with_tracer(provider.tracer("brimline")).with_filter(only)
}

/// The span of a request, below the span that asked.
pub fn span(request: &ServiceRequest, trace: &Trace) -> Span {
    let method = request.method().as_str();
    let route = request.match_pattern();
    let name = route.as_ref().map_or_else(|| method.to_owned(), |route| format!("{method} {route}"));
    let span = tracing::info_span!(
        target: TARGET,
        "request",
        otel.name = name,
        otel.kind = "server",
        otel.status_code = Empty,
        http.request.method = method,
        http.route = route,
        http.response.status_code = Empty,
        brimline.question = Empty,
    );
    if let Some(context) = remote(trace) {
        // It fails only where no span is recorded.
        let _ = span.set_parent(Context::new().with_remote_span_context(context));
    }
    span
}

fn remote(trace: &Trace) -> Option<SpanContext> {
    let parent = trace.parent.as_ref()?;
    let flags = if parent.sampled { TraceFlags::SAMPLED } else { TraceFlags::NOT_SAMPLED };
    let state = TraceState::from_str(&parent.state).unwrap_or_default();
    let (trace, span) = (TraceId::from_hex(&trace.id).ok()?, SpanId::from_hex(&parent.id).ok()?);
    Some(SpanContext::new(trace, span, flags, true, state))
}

/// The trace that a span stands in, so that log and spans name the same.
pub fn trace_id(span: &Span) -> Option<String> {
    let context = span.context();
    let context = context.span().span_context().clone();
    context.is_valid().then(|| context.trace_id().to_string())
}

/// Notes how a request ended.
pub fn ended(span: &Span, status: u16, question: &str) {
    span.record("http.response.status_code", status);
    if !question.is_empty() {
        span.record("brimline.question", question);
    }
    if status >= 500 {
        span.record("otel.status_code", "ERROR");
    }
}
