// What trial shots say: factors with their intervals, what the shots do not tell, forecast against trial.
import { figure } from "./chart_kit.js";
import { el, svg } from "./dom.js";
import { number, tick_text, ticks, with_unit } from "./format.js";

const told_words = { well: "well told", partly: "partly told", not_told: "not told" };

const counted = (n, word) => `${n} ${word}${n === 1 ? "" : "s"}`;

/** @param found calibrate.json, or nothing */
export function calibration_section(found) {
  if (!found) return null;
  const drawings = ["MPa", "g", "%"].map((unit) => against(found.comparison.filter((c) => c.unit === unit && Number.isFinite(c.trial)), unit));
  return el("section.charts", { id: "trial" }, el("h2", {}, "What the trial shots say"),
    el("p.quiet", {}, `${counted(found.shots, "shot")} at ${counted(found.settings.length, "setting")}, ${found.date}${found.card === found.base_card ? "" : `; the card ${found.card} is made of ${found.base_card} and of them`}.`),
    factors(found), el("ul.told", {}, found.sentences.map((text) => el("li", {}, text))), el("div.grid", {}, drawings.filter(Boolean)));
}

function factors(found) {
  const interval = `${Math.round(1000 * found.confidence) / 10} % interval`;
  const head = ["Factor", "Case", "Calibrated", interval, "Doubt left", ""];
  const row = (f) => [f.name.replaceAll("_", " "), f.before, f.after, `${f.low} to ${f.high}`, with_unit(100 * f.doubt_left, "%", 2), told_words[f.told]];
  const cells = (f) => row(f).map((text, i) => el(i ? "td" : "th", { scope: i ? null : "row", class: i && i < 5 ? "num" : null }, text));
  return el("div.scroll", { tabindex: "0", role: "region", "aria-label": "Calibrated factors" },
    el("table", {}, el("caption.unseen", {}, "Calibrated factors"),
      el("thead", {}, el("tr", {}, head.map((text, i) => el("th", { scope: "col", class: i && i < 5 ? "num" : null }, text)))),
      el("tbody", {}, found.factors.map((f) => el("tr", {}, cells(f))))));
}

const size = 300, margin = { left: 52, right: 14, top: 12, bottom: 40 };

/** Forecast over trial; what lies on the line agrees. Rings: as the case was; dots: calibrated. */
function against(items, unit) {
  const values = items.flatMap((c) => [c.trial, c.before, c.after]).filter(Number.isFinite);
  if (!values.length) return null;
  const spread = Math.max(...values) - Math.min(...values) || Math.abs(values[0]) || 1;
  const low = Math.min(...values) - 0.06 * spread, high = Math.max(...values) + 0.06 * spread, list = ticks(low, high, 4);
  const px = (v) => margin.left + ((v - low) / (high - low)) * (size - margin.left - margin.right);
  const py = (v) => size - margin.bottom - ((v - low) / (high - low)) * (size - margin.top - margin.bottom);
  const words = `Forecast over trial: ${items.map((c) => `${c.what} ${with_unit(c.trial, unit)}, forecast ${number(c.before)} before and ${number(c.after)} after`).join("; ")}`;
  const name = unit === "MPa" ? "Peak pressure" : unit === "g" ? "Shot weight" : "Filled share of parts";
  return figure(`${name}, forecast over trial [${unit}]`, svg("svg.against", { viewBox: `0 0 ${size} ${size}`, role: "img", "aria-label": words },
    list.map((v) => [svg("line.grid", { x1: margin.left, x2: size - margin.right, y1: py(v), y2: py(v) }),
      svg("text", { x: margin.left - 7, y: py(v) + 4, "text-anchor": "end" }, tick_text(v, list)),
      svg("text", { x: px(v), y: size - margin.bottom + 16, "text-anchor": "middle" }, tick_text(v, list))]),
    svg("line.moment", { x1: px(low), y1: py(low), x2: px(high), y2: py(high) }),
    svg("text.axis", { x: size - margin.right, y: size - 5, "text-anchor": "end" }, "trial"),
    items.map((c) => [svg("circle.before", { cx: px(c.trial), cy: py(c.before), r: 4 }), svg("circle.peak", { cx: px(c.trial), cy: py(c.after), r: 4 })])),
  "Rings: forecast of the case; dots: calibrated. What lies on the line agrees.");
}
