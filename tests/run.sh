#!/bin/bash
# Installs what the tests need, builds everything with warnings as errors, runs all tests, then the same tests under
# AddressSanitizer and UndefinedBehaviorSanitizer.
set -euo pipefail
cd "$(dirname "$0")/.."
started=$SECONDS
# Clones share what ccache has compiled: paths of this folder count as relative to it.
export CCACHE_BASEDIR="$PWD" CCACHE_NOHASHDIR=1
step() { echo "== $1 ($((SECONDS - started)) s)"; }

# build_and_test FOLDER NAME CMAKE_OPTION...
build_and_test() {
  local folder=$1 name=$2
  shift 2
  step "$name: building into $folder/"
  mkdir -p "$folder"
  if ! { cmake -G Ninja -S . -B "$folder" -DWAINSCOT_TESTS=ON -DWAINSCOT_ALL_TESTS=ON -DWAINSCOT_WERROR=ON "$@" &&
    cmake --build "$folder"; } >"$folder/build.log" 2>&1; then
    grep -E 'error|FAILED|CMake Error' -A 6 "$folder/build.log" | head -n 60 >&2 || true
    echo "The build failed; all of its words are in $folder/build.log." >&2
    exit 1
  fi
  step "$name: testing"
  if ! ctest --test-dir "$folder" --output-on-failure -j "$(nproc)" >"$folder/test.log" 2>&1; then
    grep -vE '^ *[0-9]+/[0-9]+ Test.*Passed|^ +Start ' "$folder/test.log" | tail -n 200
    echo "Tests failed; all of their words are in $folder/test.log." >&2
    exit 1
  fi
  tail -n 4 "$folder/test.log"
}

step "packages"
sh apps/install_packages.sh program tests sanitizers
# The matcher as WebAssembly for the pages of explain; where it cannot be had, those show precomputed matches and say so.
sh apps/install_packages.sh wasm ||
  echo "packages: going on without WebAssembly; the pages of explain will show precomputed matches"

if [ "$(dpkg-query -W -f='${db:Status-Status}' libpcl-dev 2>/dev/null || true)" != installed ]; then
  echo "libpcl-dev is not installed, so the checks against PCL are left out; to run them too: sh apps/install_packages.sh pcl (1 GB)"
fi

build_and_test build "tests"
# By clang, which takes half the time of g++ where sanitizers rewrite the code (34 s for 65 of graph/adjust), and so that
# its warnings are seen too. A folder that another compiler has begun is begun anew.
grep -qs '^CMAKE_CXX_COMPILER:.*clang' build/sanitized/CMakeCache.txt || rm -rf build/sanitized
build_and_test build/sanitized "tests under ASan and UBSan" -DCMAKE_CXX_COMPILER=clang++ \
  -DCMAKE_BUILD_TYPE=None -DCMAKE_CXX_FLAGS="-O1 -g1" -DWAINSCOT_SANITIZE=address,undefined
step "done"
