#!/usr/bin/env bash
# Builds firstshot and fills the harbour tug, a small frame with its runners, then says where the pictures are.
# Run it as often as you like: what is done is not done again.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

if [ "${1:-}" = "--help" ] || [ "${1:-}" = "-h" ]; then
  echo "usage: tools/demo.sh     installs what is missing, builds the program, runs cases/harbour-tug"
  exit 0
fi

tools/install.sh build

log=build/demo.log
mkdir -p build
echo "Building the program in build/release (first time: some minutes) ..."
if ! { cmake --preset release && cmake --build --preset release --target firstshot; } >"$log" 2>&1; then
  tail -n 40 "$log" >&2
  echo "The build failed; all of its output is in $log." >&2
  exit 1
fi

results=cases/harbour-tug.results
echo "Filling the frame of cases/harbour-tug ..."
build/release/firstshot run cases/harbour-tug/case.toml -o "$results"

cat <<END

The results are in $results:
  report.html    the page to read and to print; open it in a browser
  summary.json   the numbers, each with its unit in its name
  fill.pvd       the melt front step by step; open it in ParaView
  result.h5      everything

The case is cases/harbour-tug/case.toml; its README says what to look at and what to try next.
END
