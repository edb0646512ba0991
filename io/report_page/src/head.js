// First screen: the verdict in words, five numbers, the main rules with their margins.
import { el, svg } from "./dom.js";
import { number, with_unit } from "./format.js";

/** The word above all. */
export function verdict_words(run) {
  const verdict = run.summary.verdict;
  if (!run.finished && !verdict) return { kind: "open", title: "No verdict yet", text: "The run has not ended." };
  if (!verdict) return { kind: "open", title: "No verdict", text: "The result file holds none." };
  const stops = verdict.findings.filter((f) => f.severity === "stop").length;
  const looks = verdict.findings.filter((f) => f.severity === "look").length;
  const count = (n, one, many) => (n === 1 ? `One finding ${one}` : `${n} findings ${many}`);
  const also = looks ? ` ${count(looks, "asks", "ask")} for a decision.` : "";
  if (!verdict.approved) return { kind: "stop", title: "Not approved", text: `${count(stops, "stops", "stop")} the mould.${also}` };
  return { kind: "good", title: "Approved", text: `Nothing found that stops the mould.${also}` };
}

const shapes = {
  good: "M4 12.5l5 5L20 6.5",
  stop: "M6 6l12 12M18 6L6 18",
  open: "M6 12h12",
};

export function verdict_block(run) {
  const { kind, title, text } = verdict_words(run);
  const cause = run.summary.fill?.cause;
  return el(`div.verdict.${kind}`, {},
    svg("svg", { viewBox: "0 0 24 24", "aria-hidden": "true" }, svg("path", { d: shapes[kind] })),
    el("div", {}, el("p.word", {}, title), el("p", {}, text), cause ? el("p.cause", {}, sentence(cause)) : null));
}
const sentence = (text) => text.charAt(0).toUpperCase() + text.slice(1) + (/[.!?]$/.test(text) ? "" : ".");

const between = (block, key, unit) => {
  const low = block?.[`${key}_low`], high = block?.[`${key}_high`];
  return low === undefined || low === null || !(high > low) ? null : `${number(low, 2)} to ${with_unit(high, unit, 2)}`;
};

/** The five numbers; where one is missing, the reason. */
export function headline_numbers(run) {
  const s = run.summary, later = run.finished ? "not in this result" : "the run has not ended";
  const cost = s.cost?.per_frame, currency = s.cost?.currency ?? "";
  const entry = (name, value, unit, note) => ({ name, value, unit, note });
  return [
    entry("Fill time", s.fill?.time_s, "s", s.fill?.time_s === null ? "not every cavity is full" : s.fill ? "last cavity full" : later),
    entry("Peak pressure", s.fill?.peak_pressure_MPa, "MPa", between(s.fill, "peak_pressure_MPa", "MPa") ?? (s.fill ? "melt at the injection" : later)),
    entry("Clamp force", s.clamp?.peak_kN, "kN", between(s.clamp, "peak_kN", "kN") ?? (s.clamp ? "pushes the mould open" : later)),
    entry("Cycle", s.cycle?.total_s, "s", between(s.cycle, "total_s", "s") ?? (s.cycle ? "close to close" : "cooling was not computed")),
    entry("Cost per frame", cost, currency, between(s.cost, "per_frame", currency) ?? (s.cost ? "material and machine" : "cost was not computed")),
  ];
}

export function numbers_block(run) {
  return el("dl.numbers", {}, headline_numbers(run).map(({ name, value, unit, note }) => {
    const known = Number.isFinite(value);
    return el("div", {}, el("dt", {}, name),
      el("dd", {}, el("span.figure", {}, number(value)), known && unit ? el("span.unit", {}, ` ${unit}`) : null, note ? el("span.note", {}, note) : null));
  }));
}

const severity_words = { stop: "stop", look: "look", note: "note" };
export const severity_tag = (severity) => el(`span.tag.${severity}`, {}, severity_words[severity] ?? severity);

/** How far a value is from its limit, as a bar whose end is the limit. */
export function margin_bar(finding) {
  const { value, limit, margin } = finding;
  if (!Number.isFinite(value) || !Number.isFinite(limit) || !Number.isFinite(margin)) return null;
  const broken = margin < 0, size = 1 - margin, width = 120;
  const end = broken ? width : width * Math.max(0, size), mark = broken ? width / Math.max(size, 1) : width;
  const words = `${number(value)} ${finding.unit === "1" ? "" : finding.unit}, limit ${number(limit)}: ${broken ? "over by" : "left"} ${number(100 * Math.abs(margin), 2)} %`;
  return el("span.margin", {},
    svg("svg", { viewBox: `0 0 ${width} 10`, role: "img", "aria-label": words, class: broken ? "over" : "within" },
      svg("rect", { x: 0, y: 3, width, height: 4, class: "track" }), svg("rect", { x: 0, y: 3, width: end, height: 4 }),
      svg("line", { x1: mark, x2: mark, y1: 0, y2: 10 })),
    el("span", { "aria-hidden": "true" }, `${broken ? "over by" : "left"} ${number(100 * Math.abs(margin), 2)} %`));
}

/** The findings that matter most, with a way to their places. */
export function main_rules(run, show) {
  const all = run.summary.verdict?.findings ?? [];
  if (!all.length) return run.summary.verdict ? el("p.quiet", {}, "No rule has anything to say about this frame.") : null;
  const order = { stop: 0, look: 1, note: 2 }, shown = 4;
  const main = all.map((f, i) => ({ f, i })).sort((a, b) => order[a.f.severity] - order[b.f.severity]).slice(0, shown);
  return el("div.rules", {}, el("h2", {}, "Main findings"), el("ol", {}, main.map(({ f, i }) => el("li", {}, severity_tag(f.severity), " ",
    el("span.text", {}, f.text), margin_bar(f), show(f.x_mm, f.y_mm, `finding ${i + 1}`)))),
    all.length > main.length ? el("p.quiet", {}, el("a", { href: "#findings" }, `All ${all.length} findings`)) : null);
}
