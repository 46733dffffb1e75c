#!/bin/sh
# Makes maps and comparisons with the program and tests their pages in headless Chromium:
#   sh tests/browser/run.sh PROGRAM CHECKOUT WORK_FOLDER
# Ends with status 77, which ctest counts as skipped, where a browser, node, or (the first time) the network is missing.
set -eu
program="$1"
checkout="$2"
work="$3"

skip() {
  echo "browser tests skipped: $1"
  exit 77
}
chromium="$(command -v chromium || command -v chromium-browser || true)"
[ -n "$chromium" ] || skip "there is no chromium; sh apps/install_packages.sh browser installs it"
command -v node >/dev/null || skip "there is no node; sh apps/install_packages.sh node installs it"
command -v npm >/dev/null || skip "there is no npm; sh apps/install_packages.sh node installs it"

mkdir -p "$work"
cp "$checkout/tests/browser/package.json" "$work/package.json"
if [ ! -d "$work/node_modules/axe-core" ] || [ ! -d "$work/node_modules/puppeteer-core" ]; then
  (cd "$work" && npm install --no-audit --no-fund --ignore-scripts >npm.log 2>&1) ||
    skip "npm could not fetch puppeteer-core and axe-core (no network?); its words are in $work/npm.log"
fi

"$program" build "$checkout/data/demo/drive" --out "$work/map" --replace >"$work/build.log" 2>&1
# The same drive under a name that tries to become a part of the page.
hostile="$work/<img src=x onerror=alert(1)>\"'&amp;"
rm -rf "$hostile"
cp -r "$checkout/data/demo/drive" "$hostile"
"$program" build "$hostile" --out "$work/hostile-map" --no-loop-closure --replace >>"$work/build.log" 2>&1

NODE_PATH="$work/node_modules" node "$checkout/tests/browser/report_page_test.js" "$chromium" "$work" "$checkout"

# Odometry against the map, both against the truth, and two maps, the first with a name that tries to become a part of
# the page.
other="$work/<svg onload=alert(1)>\"'&amp;"
rm -rf "$other"
mv "$work/hostile-map" "$other"
# NAME MAP [OTHER]: makes $work/NAME.html and NAME.json.
compare() {
  name="$1"
  shift
  "$program" compare "$@" --page "$work/$name.html" --json "$work/$name.json" --replace >>"$work/compare.log" 2>&1
}
compare drift "$work/map"
compare errors "$work/map" --truth "$checkout/data/demo/drive/truth.csv"
compare loops "$other" "$work/map"
NODE_PATH="$work/node_modules" node "$checkout/tests/browser/comparison_page_test.js" "$chromium" "$work"
