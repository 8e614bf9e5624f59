#!/usr/bin/env bash
# Drives the pages in headless Chromium: gets what that wants, builds the program, runs every drive.
#   tests/browser/run.sh [FOLDER OF A BUILD]     (default: build)
set -euo pipefail

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
build=${1:-$root/build}
if ! { command -v chromium && command -v npm; }; then
    apt-get install -y --no-install-recommends chromium nodejs npm
fi >/dev/null
(cd "$root/tests/browser" && npm ci --silent --no-audit --no-fund)
cmake -S "$root" -B "$build" -G Ninja --log-level=WARNING
ninja -C "$build" ladderline club_year_store
ctest --test-dir "$build" -R '^browser_' --output-on-failure --no-tests=error
