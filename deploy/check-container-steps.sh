#!/usr/bin/env bash
# Runs the build step of the container file here, where no container can be built: exactly the command that stands
# there, and then looks for the files that the last stage takes from it. The base images are not looked at.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

container_file=deploy/Containerfile

fail() { printf 'check-container-steps: %s\n' "$1" >&2; exit 1; }

# The RUN lines of the stage `build`, without the word RUN.
build_commands() {
    awk '/^FROM /{stage = /AS build$/} stage && sub(/^RUN +/, "")' "$container_file"
}

# The files that a later stage copies from the stage `build`, as paths in the checkout.
copied_files() {
    awk '/^COPY --from=build /{for (i = 3; i < NF; i++) print $i}' "$container_file" | sed 's|^/src/||'
}

mapfile -t commands < <(build_commands)
[[ ${#commands[@]} -eq 1 && ${commands[0]} == cargo\ * ]] \
    || fail "$container_file should have one RUN line in its build stage, a cargo command on one line"

echo "${commands[0]}"
bash -c "${commands[0]}"

mapfile -t files < <(copied_files)
[[ ${#files[@]} -gt 0 ]] || fail "the last stage copies nothing"
for file in "${files[@]}"; do
    [[ -f $file ]] || fail "the build leaves no $file"
    echo "found $file"
done
