# The steps of CI, one by one. `just` alone lists them.

set shell := ["bash", "-euo", "pipefail", "-c"]

# List the recipes.
default:
    @just --list

# Check the layout of the code.
fmt:
    cargo fmt --all -- --check

# Every warning of clippy is an error.
lint:
    cargo clippy --workspace --all-targets --all-features -- -D warnings

# All tests.
test:
    cargo test --workspace

# Only the comparisons with published figures.
reference:
    cargo test -p brimline-tests --test reference

# Answer the examples of the document anew; read the difference before committing it.
examples:
    cargo build -p brimline-service
    for request in openapi/examples/*/*.request.json; do \
        status=0; \
        target/debug/brimline ask "$(basename "$(dirname "$request")")" "$request" > "${request%.request.json}.reply.json" || status=$?; \
        [[ $status == 0 || $status == 1 || $status == 3 ]]; \
    done

# Write openapi/openapi.json anew; by way of another file, so that a failed run leaves the old one.
openapi:
    mkdir -p target
    cargo run -p brimline-openapi --features document --bin write-document > target/openapi.json
    mv target/openapi.json openapi/openapi.json

# Keep the document of this minor version, when it is released: what it promises is then held by a test.
keep-version:
    mkdir -p target openapi/versions
    cargo run -p brimline-openapi --features document --bin write-document -- --without-examples > target/version.json
    mv target/version.json "openapi/versions/$(sed -n 's/^version = "\([0-9]*\.[0-9]*\)\..*/\1/p' Cargo.toml).json"

# The documentation of the code; a broken link is an error.
doc:
    RUSTDOCFLAGS="-D warnings" cargo doc --workspace --no-deps

# Licences, unwanted crates, origins.
deny:
    cargo deny --config .deny.toml check licenses bans sources

# Pack the contract and the client, and build each out of its package; nothing is sent.
publishable:
    cargo publish --dry-run -p brimline-openapi -p brimline-client

# Measure the questions.
bench:
    cargo bench -p brimline-service
    cargo bench -p brimline-tests --bench plans

# Measure the running service; see deploy/load/.
load:
    deploy/load/run

# Everything that CI does.
ci:
    .ci/run
