#!/usr/bin/env bash
# Holds the files for other trades against readers that are not ours: a geometry kernel, a mesh library, a browser.
set -euo pipefail
here="$(cd "$(dirname "$0")" && pwd)"
OUTSIDE_PYTHON="$("$here/python.sh")"
OUTSIDE_BROWSER="$("$here/browser.sh")"
export OUTSIDE_PYTHON OUTSIDE_BROWSER
cd "$here/../.."
# the whole workspace, so that nothing is built again with other features
cargo test --workspace --test outside -- --ignored
