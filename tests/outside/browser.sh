#!/usr/bin/env bash
# Installs a browser and its driver where there is none, and prints the browser's name.
set -euo pipefail
if ! command -v chromium >/dev/null 2>&1 || ! command -v chromedriver >/dev/null 2>&1; then
    { apt-get update && apt-get install -y --no-install-recommends chromium chromium-driver; } >&2
fi
command -v chromium
