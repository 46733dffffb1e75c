#!/bin/bash
# From a bare machine to the first map: installs what the program needs, builds it, maps the demo's drive and compares
# the map with the truth. Works at once when run again.
set -euo pipefail
cd "$(dirname "$0")/.."
started=$SECONDS
step() { echo "== $1 ($((SECONDS - started)) s)"; }

step "packages"
sh apps/install_packages.sh program
# The matcher as WebAssembly for the pages of explain; where it cannot be had, those show precomputed matches and say so.
sh apps/install_packages.sh wasm ||
  echo "packages: going on without WebAssembly; the pages of explain will show precomputed matches"

step "building the program into build/"
log=build/demo.log
mkdir -p build
if ! { cmake -G Ninja -S . -B build -DWAINSCOT_TESTS=OFF && cmake --build build --target wainscot; } >"$log" 2>&1; then
  tail -n 40 "$log" >&2
  echo "The build failed; all of its words are in $log." >&2
  exit 1
fi

step "mapping data/demo/drive (a simulated home) into build/demo-map/"
build/apps/wainscot build data/demo/drive --out build/demo-map --replace

step "how far the map's path lies from the true one (simulated)"
build/apps/wainscot compare build/demo-map --truth data/demo/drive/truth.csv

step "done"
echo "Open build/demo-map/report.html in a browser; the map itself is build/demo-map/grid.pgm."
echo "How it came about, step by step: build/apps/wainscot explain data/demo/drive --out build/explain.html"
