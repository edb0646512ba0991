#!/usr/bin/env bash
# Builds firstshot and runs all of its tests. The last line is "N passed, M failed"; the exit code is 0 when M is 0.
#
#   tools/test.sh           everything: release build with warnings as errors and all tests, the checks of the source
#                           text, the tests under the address and undefined-behaviour sanitizers, those of threads
#                           under the thread sanitizer, and a short fuzzing of the readers of files
#   tools/test.sh --fast    release build and the quick tests only: no sanitizers, no fuzzing, no clang-tidy, no slow test
#   tools/test.sh --help    this text
#
# Installs missing Debian packages first (tools/install.sh). What was built before is not built again.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

fast=false
case "${1:-}" in
  "") ;;
  --fast) fast=true ;;
  --help | -h) sed -n '2,/^set/s/^# \{0,1\}//p' tools/test.sh | sed '/^set/d'; exit 0 ;;
  *) echo "tools/test.sh: unknown option $1; known are --fast and --help" >&2; exit 2 ;;
esac

logs=build/test-logs
jobs=$(nproc)
broken=()  # steps that failed before their tests could run; each counts as one failure
reports=() # what ctest found

say() { printf '\n[%3d s] %s\n' "$SECONDS" "$1"; }

# build PRESET "targets" [configure options]: the log is shown only when it goes wrong. No targets: everything.
build() {
  local preset=$1 targets=$2 log=$logs/$1-build.log
  shift 2
  say "Building '$preset' in build/$preset ..."
  # shellcheck disable=SC2086  # several targets are several words
  if { cmake --preset "$preset" "$@" && cmake --build --preset "$preset" -j "$jobs" ${targets:+--target $targets}; } \
    >"$log" 2>&1; then return 0; fi
  grep -E -A 12 'error|FAILED' "$log" | head -n 80 || tail -n 40 "$log"
  echo "Building '$preset' failed; all of its output is in $log."
  broken+=("build of $preset")
  return 1
}

# tests PRESET NAME [ctest options]: shows the output of failed tests only.
tests() {
  local preset=$1 name=$2 report=$PWD/$logs/$1-$2.xml log=$logs/$1-$2.log
  shift 2
  rm -f "$report"
  if ctest --test-dir "build/$preset" --no-tests=error --output-on-failure --output-junit "$report" "$@" >"$log" 2>&1; then
    grep -E '^(100% tests|Total Test time)' "$log"
  else
    grep -vE '^ *(Start +[0-9]+:|[0-9]+/[0-9]+ Test +#[0-9]+: .* Passed )' "$log"
  fi
  if [ -s "$report" ]; then reports+=("$report"); else broken+=("tests of $preset"); fi
}

tools/install.sh
mkdir -p "$logs"
export LSAN_OPTIONS=suppressions=$PWD/tests/leaks_of_libraries.txt:print_suppressions=0

if build release "" -DFIRSTSHOT_WERROR=ON; then
  if $fast; then
    say "Running the quick tests ..."
    tests release quick -j "$jobs" -LE slow
  else
    say "Running all tests and the checks of the source text ..."
    tests release all -j "$jobs"
  fi
fi

if ! $fast; then
  # Without tests tagged slow: whole cases that take minutes here, whose code the others run as well.
  if build asan "test_mesh test_solver test_threads test_io test_cli test_verify test_cases"; then
    say "Running the tests under the address and undefined-behaviour sanitizers ..."
    tests asan all -j "$jobs" -LE slow -R '^(mesh|solver|threads|io|cli|verify|cases):'
  fi
  if build tsan test_threads; then
    say "Running the tests of threads under the thread sanitizer ..."
    tests tsan threads -j "$jobs" -R '^threads:'
  fi
  if build fuzz fuzzers; then
    say "Fuzzing the readers of files ..."
    tests fuzz fuzz -j "$jobs" -L fuzz
  fi
fi

for step in ${broken[@]+"${broken[@]}"}; do echo "failed: $step"; done
/usr/bin/python3 -B tools/dev/sum_tests.py --broken "${#broken[@]}" ${reports[@]+"${reports[@]}"}
