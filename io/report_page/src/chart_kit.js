// Drawings of curves and bars as SVG, each with its words for those who cannot see it.
import { el, svg } from "./dom.js";
import { number, tick_text, ticks, with_unit } from "./format.js";

const width = 520, height = 210;
const margin = { left: 52, right: 14, top: 12, bottom: 34 };

export const figure = (title, drawing, note) =>
  el("figure.chart", {}, el("figcaption", {}, title), drawing, note ? el("p.note", {}, note) : null);

/**
 * One curve over time with its axes; a thin line follows the time of the picture.
 * @param what {name, unit, x: [], y: [], limit?: {value, text}, moments?: [{at, text}], x_name?, from_zero?}
 * @param stage whose time is followed; none: x is another time
 */
export function curve(what, stage) {
  const { x, y, unit, name } = what;
  const points = x.map((v, i) => [v, y[i]]).filter(([a, b]) => Number.isFinite(a) && Number.isFinite(b));
  if (points.length < 2) return null;
  const top = Math.max(...points.map((p) => p[1])), end = points[points.length - 1][0];
  const limit = what.limit && what.limit.value < 1.6 * top ? what.limit : null;
  const least = what.from_zero === false ? Math.min(...points.map((p) => p[1])) : 0;
  const highest = Math.max(top, limit?.value ?? 0), bottom = least ? least - 0.1 * (highest - least) : 0;
  const y_top = highest + 0.08 * (highest - bottom) || 1;
  const y_ticks = ticks(bottom, y_top, 4), x_ticks = ticks(0, end, 6);
  const px = (v) => margin.left + (v / end) * (width - margin.left - margin.right);
  const py = (v) => height - margin.bottom - ((v - bottom) / (y_top - bottom)) * (height - margin.top - margin.bottom);
  const path = points.map(([a, b], i) => `${i ? "L" : "M"}${px(a).toFixed(1)} ${py(b).toFixed(1)}`).join("");
  const cursor = stage ? time_cursor(stage, end, px) : null;
  const peak = points.reduce((best, p) => (p[1] > best[1] ? p : best));
  const dot = svg("circle.peak", { cx: px(peak[0]), cy: py(peak[1]), r: 3 });
  const words = `${name} over time: highest ${with_unit(peak[1], unit)} at ${with_unit(peak[0], "s")}, at the end ${with_unit(points[points.length - 1][1], unit)}`;
  return svg("svg", { viewBox: `0 0 ${width} ${height}`, role: "img", "aria-label": words },
    y_ticks.map((v) => [svg("line.grid", { x1: margin.left, x2: width - margin.right, y1: py(v), y2: py(v) }),
      svg("text", { x: margin.left - 7, y: py(v) + 4, "text-anchor": "end" }, tick_text(v, y_ticks))]),
    x_ticks.map((v) => svg("text", { x: px(v), y: height - margin.bottom + 16, "text-anchor": "middle" }, tick_text(v, x_ticks))),
    svg("text.axis", { x: width - margin.right, y: height - 3, "text-anchor": "end" }, what.x_name ?? "time [s]"),
    limit ? [svg("line.limit", { x1: margin.left, x2: width - margin.right, y1: py(limit.value), y2: py(limit.value) }),
      svg("text.limit", { x: width - margin.right, y: py(limit.value) - 5, "text-anchor": "end" }, limit.text)] : null,
    (what.moments ?? []).filter((m) => m.at > 0 && m.at <= end).map((m, i) => [
      svg("line.moment", { x1: px(m.at), x2: px(m.at), y1: margin.top, y2: height - margin.bottom }),
      svg("text.moment", { x: px(m.at) - 5, y: height - margin.bottom - 8 - 15 * i, "text-anchor": "end" }, m.text)]),
    svg("path.curve", { d: path }), dot, svg("text.peak", { x: px(peak[0]) + (px(peak[0]) > width - 130 ? -8 : 8), y: py(peak[1]) - 6,
      "text-anchor": px(peak[0]) > width - 130 ? "end" : "start" }, with_unit(peak[1], unit)), cursor);
}

/** A line at the time of the picture. */
function time_cursor(stage, end, px) {
  const cursor = svg("line.cursor", { y1: margin.top, y2: height - margin.bottom });
  const follow = () => {
    const at = Math.min(stage.time, end);
    cursor.setAttribute("x1", px(at));
    cursor.setAttribute("x2", px(at));
    cursor.style.display = stage.at_end ? "none" : "";
  };
  stage.on_change((changed) => changed === "time" && follow());
  follow();
  return cursor;
}

/** A row of pieces that add up. @param pieces [{name, value}] */
export function stacked(pieces, unit, what) {
  const known = pieces.filter((p) => Number.isFinite(p.value) && p.value > 0), total = known.reduce((sum, p) => sum + p.value, 0);
  if (!(total > 0)) return null;
  const w = 520, bar = 26;
  let x = 0;
  const parts = known.map((p, i) => {
    const at = x, size = (p.value / total) * w;
    x += size;
    return svg(`rect.piece.p${i % 6}`, { x: at + 0.75, y: 2, width: Math.max(0.5, size - 1.5), height: bar, rx: 2 });
  });
  const words = `${what}: ${known.map((p) => `${p.name} ${with_unit(p.value, unit)}`).join(", ")}; together ${with_unit(total, unit)}`;
  return el("div.stacked", {}, svg("svg", { viewBox: `0 0 ${w} ${bar + 4}`, role: "img", "aria-label": words }, parts),
    el("ul.key", { "aria-hidden": "true" }, known.map((p, i) => el("li", {}, el(`i.piece.p${i % 6}`), `${p.name} `, el("b", {}, with_unit(p.value, unit)),
      ` ${number((100 * p.value) / total, 2)} %`))));
}

/** Horizontal bars from a start to an end. @param rows [{name, from, to, bad, text}] */
export function spans(rows, end, unit, what) {
  const line = 19, left = 150, w = 1080, right = 84, list = ticks(0, end, 8);
  const px = (v) => left + (v / end) * (w - left - right), h = rows.length * line + 24;
  return svg("svg.spans", { viewBox: `0 0 ${w} ${h}`, role: "img", "aria-label":
    `${what}: ${rows.map((r) => `${r.name} ${r.text}`).join("; ")}` },
  list.map((v) => [svg("line.grid", { x1: px(v), x2: px(v), y1: 0, y2: h - 22 }),
    svg("text", { x: px(v), y: h - 7, "text-anchor": "middle" }, tick_text(v, list))]),
  svg("text.axis", { x: w, y: h - 7, "text-anchor": "end" }, `time [${unit}]`),
  rows.map((r, i) => [svg("text.name", { x: left - 9, y: i * line + 13.5, "text-anchor": "end" }, r.name),
    svg(`rect.span${r.bad ? ".bad" : ""}`, { x: px(r.from), y: i * line + 4, width: Math.max(2, px(r.to) - px(r.from)), height: line - 7, rx: 2 }),
    svg("text", { x: px(r.to) + 6, y: i * line + 13.5 }, r.text)]));
}

/** Two weights against each other around a middle line. */
export function pair(left, right, unit, what) {
  const most = Math.max(left.value, right.value), w = 520, bar = 24, middle = w / 2, reach = w / 2 - 120;
  if (!(most > 0)) return null;
  const l = (left.value / most) * reach, r = (right.value / most) * reach, apart = (100 * (right.value - left.value)) / ((right.value + left.value) / 2);
  return svg("svg.pair", { viewBox: `0 0 ${w} ${bar + 6}`, role: "img", "aria-label":
    `${what}: ${left.name} ${with_unit(left.value, unit)}, ${right.name} ${with_unit(right.value, unit)}, ${number(Math.abs(apart), 2)} % apart` },
  svg("rect.piece.p0", { x: middle - l, y: 3, width: l, height: bar, rx: 2 }), svg("rect.piece.p1", { x: middle, y: 3, width: r, height: bar, rx: 2 }),
  svg("line.middle", { x1: middle, x2: middle, y1: 0, y2: bar + 6 }),
  svg("text", { x: middle - l - 8, y: 20, "text-anchor": "end" }, `${left.name} ${with_unit(left.value, unit)}`),
  svg("text", { x: middle + r + 8, y: 20 }, `${right.name} ${with_unit(right.value, unit)}`));
}
