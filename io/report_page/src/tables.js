// Tables of parts, gates, air, weld lines and findings; each row finds its place in the picture.
import { el } from "./dom.js";
import { number } from "./format.js";
import { severity_tag } from "./head.js";

const n = (digits) => (v) => number(v, digits);
const yes = (v) => (v === null || v === undefined ? "–" : v ? "yes" : "no");

/** @param columns [{head, unit?, value: row => number | text | node, show?: format, text?: true}] */
function table(id, title, rows, columns, button, empty) {
  if (!rows) return null;
  const head = el("tr", {}, columns.map((c) => el("th", { scope: "col", class: c.text ? null : "num" }, c.head,
    c.unit ? el("span.unit", {}, ` ${c.unit}`) : null)), el("th.where", { scope: "col" }, el("span.unseen", {}, "Place")));
  const body = rows.map((row, i) => el("tr", {}, columns.map((c, k) => {
    const value = c.value(row, i), shown = c.show ? c.show(value) : value;
    return el(k === 0 ? "th" : "td", { scope: k === 0 ? "row" : null, class: c.text ? null : "num" }, shown ?? "–");
  }), el("td.where", {}, button(row, i))));
  return el("section.table", { id }, el("h2", {}, title, " ", el("span.count", {}, rows.length)),
    rows.length ? el("div.scroll", { tabindex: "0", role: "region", "aria-label": title },
      el("table", {}, el("caption.unseen", {}, title), el("thead", {}, head), el("tbody", {}, body))) : el("p.quiet", {}, empty));
}

export function table_sections(run, view, show) {
  const s = run.summary;
  const named = (row) => {
    const place = view?.mesh.place_of(row.name);
    return place && show(place.x, place.y, row.name, place.radius);
  };
  const placed = (what) => (row, i) => show(row.x_mm, row.y_mm, `${what} ${i + 1}`);
  return [findings(s.verdict?.findings, show), parts(s.parts, named), gates(s.gates, named, s.hold), air(s.air_pockets, placed("air pocket")), soot(s.scorch, placed("edge")),
    welds(s.weld_lines, placed("weld line")), shrinkage(s.shrinkage?.parts, named), sinks(s.shrinkage?.sink_ranking, placed("sink mark")), release(s.ejection, placed("holding on")), draft(s.ejection?.draft, placed("least draft")), shorts(s.short_shots, placed("short shot"))].filter(Boolean);
}

const findings = (rows, show) => table("findings", "Findings", rows, [
  { head: "No.", value: (_, i) => String(i + 1) },
  { head: "Says", text: true, value: (f) => severity_tag(f.severity) },
  { head: "What was found", text: true, value: (f) => el("span", {}, f.text, el("span.source", {}, f.source ? ` Limit: ${f.source}.` : "")) },
  { head: "Value", value: (f) => f.value, show: n(3) },
  { head: "Limit", value: (f) => f.limit, show: n(3) },
  { head: "Unit", text: true, value: (f) => (f.unit === "1" ? "" : f.unit) },
], (f, i) => show(f.x_mm, f.y_mm, `finding ${i + 1}`), "No rule has anything to say about this frame.");

const parts = (rows, button) => table("parts", "Parts", rows, [
  { head: "Part", text: true, value: (p) => p.name },
  { head: "Volume", unit: "mm³", value: (p) => p.volume_mm3, show: n(4) },
  { head: "Weight", unit: "g", value: (p) => p.mass_g, show: n(3) },
  { head: "Filled", unit: "%", value: (p) => 100 * p.filled_fraction, show: n(4) },
  { head: "First melt", unit: "s", value: (p) => p.first_melt_s, show: n(3) },
  { head: "98 % full", unit: "s", value: (p) => p.nearly_full_s, show: n(3) },
  { head: "Full", unit: "s", value: (p) => p.full_s, show: n(3) },
  { head: "Order", value: (p) => p.order },
  { head: "Side", text: true, value: (p) => p.side },
  { head: "Way over wall", value: (p) => p.flow_length_over_thickness, show: n(3) },
  { head: "Packed", unit: "MPa", value: (p) => p.packing_pressure_MPa, show: n(3) },
  ...further(rows, ["name", "volume_mm3", "mass_g", "filled_fraction", "first_melt_s", "full_s", "nearly_full_s", "order", "side", "flow_length_mm", "flow_length_over_thickness", "packing_pressure_MPa", "packing_extra"]),
], button, "The result lists no parts.");

const gates = (rows, button) => table("gates", "Gates", rows, [
  { head: "Gate", text: true, value: (g) => g.name },
  { head: "Into", text: true, value: (g) => g.part },
  { head: "Width", unit: "mm", value: (g) => g.width_mm, show: n(3) },
  { head: "Depth", unit: "mm", value: (g) => g.depth_mm, show: n(3) },
  { head: "Length", unit: "mm", value: (g) => g.length_mm, show: n(3) },
  { head: "Largest loss", unit: "MPa", value: (g) => g.pressure_loss_MPa, show: n(3) },
  { head: "Peak shear rate", unit: "1/s", value: (g) => g.peak_shear_rate_per_s, show: n(3) },
  ...further(rows, ["name", "part", "width_mm", "depth_mm", "length_mm", "pressure_loss_MPa", "peak_shear_rate_per_s"]),
], button, "The result lists no gates.");

/** Columns for numbers that later stages add to each row: "freeze_s" becomes "Freeze [s]". */
function further(rows, known) {
  const keys = new Set((rows ?? []).flatMap((r) => Object.keys(r).filter((k) => !known.includes(k) && typeof r[k] === "number")));
  return [...keys].slice(0, 4).map((key) => {
    const [, name, unit] = /^(.*?)(?:_(s|mm|MPa|C|g|kN|deg))?$/.exec(key);
    const plain = name.replaceAll("_", " ");
    return { head: plain.charAt(0).toUpperCase() + plain.slice(1), unit: unit === "C" ? "°C" : unit, value: (r) => r[key], show: n(3) };
  });
}

const air = (rows, button) => table("air", "Caught air", rows, [
  { head: "In", text: true, value: (p) => p.part },
  { head: "Closed", unit: "s", value: (p) => p.closed_s, show: n(3) },
  { head: "Then", unit: "mm³", value: (p) => p.closed_volume_mm3, show: n(3) },
  { head: "Left", unit: "mm³", value: (p) => p.volume_mm3, show: n(3) },
  { head: "Void after holding", unit: "mm³", value: (p) => p.void_mm3, show: n(3) },
  { head: "Peak", unit: "MPa", value: (p) => p.peak_pressure_MPa, show: n(3) },
  { head: "Hottest", unit: "°C", value: (p) => p.peak_temperature_C, show: n(3) },
  { head: "Gets out", text: true, value: (p) => yes(p.vented) },
  { head: "May scorch", text: true, value: (p) => yes(p.may_scorch) },
  { head: "Cure", text: true, value: (p) => el("span.cure", {}, p.vent?.text ?? "–") },
], button, "No air was caught.");

const soot = (scorch, button) => (scorch?.stretches?.length ? table("soot", "Edges where soot shows first", scorch.stretches, [
  { head: "At", text: true, value: (e) => e.place },
  { head: "Length", unit: "mm", value: (e) => e.length_mm, show: n(3) },
  { head: "Share of the energy", unit: "%", value: (e) => 100 * e.share, show: n(3) },
  { head: "In one shot", unit: "J/m", value: (e) => e.per_shot_J_m, show: n(3) },
  { head: `In ${number(scorch.shots)} shots`, unit: "kJ/m", value: (e) => e.over_shots_kJ_m, show: n(3) },
], button, "") : null);

const welds = (rows, button) => table("welds", "Weld lines", rows, [
  { head: "In", text: true, value: (w) => w.part },
  { head: "Kind", text: true, value: (w) => w.kind },
  { head: "Length", unit: "mm", value: (w) => w.length_mm, show: n(3) },
  { head: "Sharpest angle", unit: "°", value: (w) => w.angle_min_deg, show: n(3) },
  { head: "Temperature", unit: "°C", value: (w) => w.temperature_C, show: n(3) },
  { head: "Coldest", unit: "°C", value: (w) => w.temperature_min_C, show: n(3) },
  { head: "Meets after", unit: "s", value: (w) => w.time_s, show: n(3) },
  { head: "On a visible face", text: true, value: (w) => yes(w.visible) },
], button, "No fronts met along a line long enough to see.");

const shrinkage = (rows, button) => (rows?.length ? table("shrinkage", "Shrinkage of the parts", rows, [
  { head: "Part", text: true, value: (p) => p.name },
  { head: "By volume", unit: "%", value: (p) => 100 * p.volume, show: n(3) },
  { head: "By length", unit: "%", value: (p) => 100 * p.linear, show: n(3) },
  { head: "Pressure when solid", unit: "MPa", value: (p) => p.frozen_pressure_MPa, show: n(3) },
  { head: "Solid after", unit: "s", value: (p) => p.freeze_s, show: n(3) },
  { head: "Without pressure after", unit: "s", value: (p) => p.zero_pressure_s, show: n(3) },
], button, "") : null);

const sinks = (rows, button) => (rows?.length ? table("sinks", "Where sinking shows first", rows, [
  { head: "In", text: true, value: (p) => p.part },
  { head: "Wall", unit: "mm", value: (p) => p.thickness_mm, show: n(3) },
  { head: "Lacking", unit: "µm", value: (p) => p.lacking_um, show: n(3) },
], button, "") : null);

const release = (ejection, button) => (ejection?.gripping_parts?.some((p) => p.release) ? table("release", "Parts that hold on to steel", ejection.gripping_parts.filter((p) => p.release), [
  { head: "Part", text: true, value: (p) => p.part },
  { head: "Walls around steel", unit: "mm²", value: (p) => p.grip_mm2, show: n(3) },
  { head: "Push it takes", unit: "N", value: (p) => p.release.force_N, show: n(2) },
  { head: "From", unit: "N", value: (p) => p.release.force_N_low, show: n(2) },
  { head: "To", unit: "N", value: (p) => p.release.force_N_high, show: n(2) },
  { head: "Its pins push", unit: "N", value: (p) => p.release.pins_push_N, show: n(2) },
  { head: "Its gates carry", unit: "N", value: (p) => p.release.gates_carry_N, show: n(2) },
  { head: "Nearest pin", unit: "mm", value: (p) => p.nearest_pin_mm, show: n(3) },
], button, "") : null);

const draft = (rows, button) => (rows?.length ? table("draft", "Draft of side walls", rows, [
  { head: "Part", text: true, value: (p) => p.part },
  { head: "Least", unit: "°", value: (p) => p.least_deg, show: n(2) },
  { head: "Side walls", unit: "mm²", value: (p) => p.walls_mm2, show: n(3) },
  { head: "Around steel", unit: "mm²", value: (p) => p.around_steel_mm2, show: n(3) },
], button, "") : null);

const causes = { pressure: "pressure", speed: "speed", freezing: "frozen", air: "caught air" };
const shorts = (rows, button) => (rows?.length ? table("shorts", "Parts that stay short", rows, [
  { head: "Part", text: true, value: (s) => s.part },
  { head: "Unfilled", unit: "mm³", value: (s) => s.unfilled_mm3, show: n(3) },
  { head: "Cause", text: true, value: (s) => causes[s.cause] ?? s.cause },
  { head: "Pressure that would fill it", unit: "MPa", value: (s) => s.pressure_needed_MPa, show: n(3) },
  { head: "Times the speed", value: (s) => s.speed_needed, show: n(3) },
], button, "") : null);
