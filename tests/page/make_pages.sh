#!/usr/bin/env bash
# Makes the pages that drive.mjs looks at: make_pages.sh FIRSTSHOT PAGE_VALUES OUT_DIR
set -euo pipefail
firstshot=$1 page_values=$2 out=$3
here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
rm -rf "$out"
mkdir -p "$out/case" "$out/broken"
cp "$here/case.toml" "$here/layout.toml" "$out/case/"
sed 's/fill_time = "0.5 s"/fill_time = "0.8 s"/' "$here/case.toml" >"$out/case/slower.toml"

"$firstshot" run "$out/case/case.toml" -o "$out/run" --quiet >"$out/run.txt"
cp "$out/run/report.html" "$out/run.html"
"$firstshot" run "$out/case/slower.toml" -o "$out/slower" --quiet >"$out/slower.txt"
"$firstshot" report "$out/run" "$out/slower" -o "$out/compare.html" >/dev/null

cp "$out/run/summary.json" "$out/run/result.h5" "$out/broken/"
truncate -s -2000 "$out/broken/result.h5"
"$firstshot" report "$out/broken" -o "$out/broken.html" >/dev/null

"$page_values" "$out/run/result.h5" >"$out/values.json"
"$page_values" --kill "$out/run/result.h5" "$out/killed.h5"
"$firstshot" report "$out/killed.h5" -o "$out/killed.html" >/dev/null
