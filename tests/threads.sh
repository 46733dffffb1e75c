#!/bin/bash
# The stages that use several threads, under ThreadSanitizer with four of them: no races, and the bytes that one thread gives.
# Builds the program into build/threads/, and maps, checks and follows the first two minutes of the demonstration's drive.
set -euo pipefail
cd "$(dirname "$0")/.."
folder=build/threads
started=$SECONDS
step() { echo "== threads: $1 ($((SECONDS - started)) s)"; }

step "building into $folder/"
# By clang for its speed, as in tests/run.sh; begun anew where another compiler has begun it.
grep -qs '^CMAKE_CXX_COMPILER:.*clang' "$folder/CMakeCache.txt" || rm -rf "$folder"
mkdir -p "$folder"
if ! { cmake -G Ninja -S . -B "$folder" -DCMAKE_CXX_COMPILER=clang++ -DWAINSCOT_TESTS=OFF -DWAINSCOT_WERROR=OFF \
  -DCMAKE_BUILD_TYPE=None -DCMAKE_CXX_FLAGS="-O1 -g1" -DWAINSCOT_SANITIZE=thread && cmake --build "$folder" --target wainscot; } \
  >"$folder/build.log" 2>&1; then
  grep -E 'error|FAILED|CMake Error' -A 6 "$folder/build.log" | head -n 60 >&2 || true
  echo "The build failed; all of its words are in $folder/build.log." >&2
  exit 1
fi

# Rows before this time are kept: a ring driven once each way round, so that closures are verified by several threads.
end_s=130
drive=$folder/drive
rm -rf "$drive"
mkdir "$drive"
cp data/demo/drive/robot.yaml "$drive"
for table in wheels scans; do
  awk -F, -v end_s=$end_s 'NR == 1 || $1 < end_s' "data/demo/drive/$table.csv" >"$drive/$table.csv"
done

export TSAN_OPTIONS="halt_on_error=1:exitcode=66:suppressions=$PWD/tests/threads_suppressions.txt"
# run LOG ARGUMENT...: the program, its words in LOG. `check` ends with 1 where it finds a fault, which is none of races.
run() {
  local log=$1 status=0
  shift
  "$folder/apps/wainscot" "$@" >"$log.out" 2>"$log.err" || status=$?
  if [ "$status" -gt 1 ] || grep -q 'ThreadSanitizer' "$log.err"; then
    head -n 100 "$log.err" >&2
    echo "wainscot $* ended with $status (66: a race); all of its words are in $log.err." >&2
    exit 1
  fi
}

for threads in 4 1; do
  step "check and build with $threads thread(s)"
  run "$folder/check$threads" check "$drive" --json --threads $threads
  # Walls along the axes: turning the map into a frame is one more stage that uses threads.
  run "$folder/build$threads" build "$drive" --out "$folder/map$threads" --replace --upright --quiet --threads $threads
done

# The reader of a stream, the mapper in the background and the page's server have a thread each, and a watcher two more.
step "following a stream, with a watcher of its page"
cat >"$folder/columns.yaml" <<'EOF'
wainscot_columns: 1
files: [{name: stream, lines: commas}]
wheels: {where: {1: W}, time: {column: 2, unit: s}, left: {column: 3}, right: {column: 4}}
scans: {where: {1: S}, time: {column: 2, unit: s}, ranges: {from: 3, unit: m}, first_angle: 0 deg, angle_step: 1 deg}
EOF
# In the order of time, ten times as fast as it was driven.
stream() {
  { sed '1d;s/^/W,/' "$drive/wheels.csv"; sed '1d;s/^/S,/' "$drive/scans.csv"; } | sort -t, -k2,2 -n -s |
    awk -F, '{ if ($2 > next_s) { fflush(); system("sleep 0.1"); next_s = $2 + 1 } print }'
  echo end
}
watch() {
  python3 - "$folder/follow.err" <<'EOF'
import re, sys, time, urllib.request
for _ in range(600):
    found = re.search(r"http://\S+/", open(sys.argv[1]).read())
    if found:
        break
    time.sleep(0.1)
page = urllib.request.urlopen(found.group(0)).read().decode()
key = re.search(r'"key":"(\w+)"', page).group(1)
kinds = [line for line in urllib.request.urlopen(found.group(0) + "events?key=" + key) if line.startswith(b"event: ")]
missing = {b"event: map\n", b"event: here\n", b"event: moment\n", b"event: end\n"} - set(kinds)
sys.exit(f"the page was not told {missing}" if missing else 0)
EOF
}
rm -rf "$folder/recorded" "$folder/map-followed"
: >"$folder/follow.err"
watch &
watcher=$!
stream | run "$folder/follow" follow - --columns "$folder/columns.yaml" --robot "$drive/robot.yaml" \
  --record "$folder/recorded" --out "$folder/map-followed"
wait "$watcher"
stream | run "$folder/locate" locate "$folder/map-followed" - --columns "$folder/columns.yaml" --robot "$drive/robot.yaml"

step "comparing"
cmp "$folder/check4.out" "$folder/check1.out"
diff -r "$folder/map4" "$folder/map1"
# Threads take eight items at a time, so that fewer candidates for closures would leave that stage to one thread.
candidates=$(grep -oE '"candidates": [0-9]+' "$folder/map4/summary.json" | grep -oE '[0-9]+')
if [ "$candidates" -lt 9 ]; then
  echo "The drive gave $candidates candidates for closures; nine at least are needed for two threads." >&2
  exit 1
fi
step "no race, and the same bytes with four threads and with one"
