#!/usr/bin/env bash
# Sets up a Python of its own with the outside readers, once, under the target folder, and prints where it is.
set -euo pipefail
here="$(cd "$(dirname "$0")" && pwd)"
target="${CARGO_TARGET_DIR:-$here/../../target}/outside"
venv="$target/python"
mkdir -p "$target"
if ! cmp -s "$here/requirements.txt" "$venv/installed.txt"; then
    rm -rf "$venv"
    if ! python3 -c "import ensurepip, venv" >/dev/null 2>&1; then
        { apt-get update && apt-get install -y --no-install-recommends python3 python3-venv python3-pip; } >&2
    fi
    python3 -m venv "$venv" >&2
    "$venv/bin/pip" install --quiet --disable-pip-version-check --no-compile -r "$here/requirements.txt" >&2
    cp "$here/requirements.txt" "$venv/installed.txt"
fi
echo "$venv/bin/python"
