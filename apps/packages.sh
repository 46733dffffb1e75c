#!/bin/bash
# Debian packages of the program, the library and its Python module, in build/packages/. Works at once when run again.
set -euo pipefail
cd "$(dirname "$0")/.."
started=$SECONDS
step() { echo "== $1 ($((SECONDS - started)) s)"; }
export CCACHE_BASEDIR="$PWD" CCACHE_NOHASHDIR=1
folder=build/packages

step "packages that are needed"
sh apps/install_packages.sh program packages
sh apps/install_packages.sh wasm ||
  echo "packages: going on without WebAssembly; the pages of explain will show precomputed matches"

step "building for /usr into $folder/build/"
mkdir -p "$folder/build"
# The day of the release in place of the time of day, so that the same sources give the same bytes.
released=$(sed -n 's/^set(WAINSCOT_RELEASED \([0-9-]*\)).*/\1/p' CMakeLists.txt)
SOURCE_DATE_EPOCH=$(date -u -d "$released" +%s)
export SOURCE_DATE_EPOCH
log=$folder/build.log
if ! { LDFLAGS="$(dpkg-buildflags --get LDFLAGS)" cmake -G Ninja -S . -B "$folder/build" -DWAINSCOT_TESTS=OFF \
  -DCMAKE_INSTALL_PREFIX=/usr && cmake --build "$folder/build"; } >"$log" 2>&1; then
  tail -n 40 "$log" >&2
  echo "The build failed; all of its words are in $log." >&2
  exit 1
fi

step "packing"
rm -f "$folder"/*.deb
if ! cpack --config "$folder/build/CPackConfig.cmake" -B "$folder/packed" >>"$log" 2>&1; then
  tail -n 40 "$log" >&2
  echo "Packing failed; all of its words are in $log." >&2
  exit 1
fi
mv "$folder"/packed/*.deb "$folder"
rm -rf "$folder/packed"

step "what lintian says"
lintian --allow-root --fail-on error "$folder"/*.deb

step "done"
ls -lh "$folder"/*.deb
echo "To install: sudo apt install ./$folder/*.deb"
