// Several runs against each other: verdicts, headline numbers, each part. The first run is what the others differ from.
import { el } from "./dom.js";
import { number } from "./format.js";
import { headline_numbers, verdict_block } from "./head.js";

/** "+0.12 (+3 %)"; nothing when either is missing or both agree. */
function difference(value, base) {
  if (!Number.isFinite(value) || !Number.isFinite(base)) return null;
  const d = value - base;
  if (Math.abs(d) <= 1e-9 * Math.abs(base)) return el("span.same", {}, "same");
  const sign = d > 0 ? "+" : "";
  const share = base ? ` (${sign}${number((100 * d) / Math.abs(base), 2)} %)` : "";
  return el("span.change", {}, `${sign}${number(d, 3)}${share}`);
}

const shown = (value) => (Number.isInteger(value) && Math.abs(value) < 1e4 ? String(value) : number(value));
const cell = (value, base, first) => el("td.num", {}, shown(value), first ? null : [" ", difference(value, base)]);

function table(title, first, runs, rows) {
  return el("section.table", {}, el("h2", {}, title), el("div.scroll", { tabindex: "0", role: "region", "aria-label": title }, el("table", {}, el("caption.unseen", {}, title),
    el("thead", {}, el("tr", {}, el("th", { scope: "col" }, first), runs.map((r) => el("th.num", { scope: "col" }, r.label)))),
    el("tbody", {}, rows.map(([name, values]) => el("tr", {}, el("th", { scope: "row" }, name), values.map((v, i) => cell(v, values[0], i === 0))))))));
}

function numbers_rows(runs) {
  const all = runs.map(headline_numbers);
  const rows = all[0].map((n, k) => [n.unit ? `${n.name} [${n.unit}]` : n.name, all.map((list) => list[k].value)]);
  rows.push(["Shot weight [g]", runs.map((r) => r.summary.shot?.mass_g)], ["Spread of filling [s]", runs.map((r) => r.summary.balance?.fill_time_spread_s)],
    ["Weld lines", runs.map((r) => r.summary.weld_lines?.length)], ["Pockets of air that stay", runs.map((r) => r.summary.air_pockets?.filter((p) => !p.vented).length)]);
  return rows;
}

/** One row per part that any run names. */
function part_rows(runs, key) {
  const names = [...new Set(runs.flatMap((r) => (r.summary.parts ?? []).map((p) => p.name)))];
  return names.map((name) => [name, runs.map((r) => r.summary.parts?.find((p) => p.name === name)?.[key])]);
}

/** Verdict of each run, to stand above the pictures. */
export const compare_verdicts = (runs) => el("div.verdicts", {}, runs.map((r) => el("div", {}, el("h2", {}, r.label), verdict_block(r))));

/** What differs, to stand below them; the parts that changed most come first. */
export function compare_tables(runs) {
  const largest = ([, values]) => Math.max(0, ...values.slice(1).map((v) => Math.abs(v - values[0])).filter(Number.isFinite));
  const sorted = (key) => part_rows(runs, key).sort((a, b) => largest(b) - largest(a));
  return [table("Main numbers", "Number", runs, numbers_rows(runs)), table("Each part: full after [s]", "Part", runs, sorted("full_s")),
    table("Each part: weight [g]", "Part", runs, sorted("mass_g"))];
}
