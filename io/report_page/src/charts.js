// Curves over time, the way of the pressure, the order of filling, weights, cycle and cost.
import { curve, figure, pair, spans, stacked } from "./chart_kit.js";
import { el } from "./dom.js";
import { number, with_unit } from "./format.js";

export function chart_section(run, stage) {
  const parts = [curves(run, stage), fill_order(run), pressure_way(run), weights(run), hold_weight(run, stage), cycle(run), cost(run)].flat().filter(Boolean);
  if (!parts.length) return null;
  return el("section.charts", { id: "course" }, el("h2", {}, "How it runs"), el("div.grid", {}, parts));
}

function curves(run, stage) {
  const h = run.history, s = run.summary, moments = [];
  if (!h.time_s?.length) return [];
  if (s.fill?.switch_over_time_s) moments.push({ at: s.fill.switch_over_time_s, text: "switch-over" });
  const one = (name, unit, y, limit) => {
    const drawing = curve({ name, unit, x: h.time_s, y, limit, moments }, stage);
    return drawing && figure(`${name} [${unit}]`, drawing);
  };
  const clamp = measure(run.settings?.press?.clamp_force, { N: 1e-3, kN: 1, MN: 1e3 });
  return [one("Pressure at the injection point", "MPa", h.pressure_MPa), one("Force that opens the mould", "kN", h.force_kN,
    clamp ? { value: clamp, text: "the press clamps" } : null), one("Flow into the mould", "cm³/s", h.flow_cm3_s),
  one("Filled share", "%", h.filled.map((f) => 100 * f))];
}

/** "6e5 N" → number in the unit wanted, or null. */
function measure(text, factors) {
  const found = /^([-+0-9.eE]+) (.+)$/.exec(text ?? "");
  return found && factors[found[2]] ? Number(found[1]) * factors[found[2]] : null;
}

function fill_order(run) {
  const parts = run.summary.parts ?? [];
  const seen = parts.filter((p) => Number.isFinite(p.first_melt_s));
  if (!seen.length) return null;
  const end = Math.max(run.summary.fill?.time_s ?? 0, ...seen.map((p) => p.full_s ?? p.first_melt_s));
  const rows = [...seen].sort((a, b) => (a.full_s ?? Infinity) - (b.full_s ?? Infinity)).map((p) => ({ name: p.name, from: p.first_melt_s,
    to: p.full_s ?? end, bad: p.full_s === null, text: p.full_s === null ? `short, ${number(100 * p.filled_fraction, 3)} % full` : with_unit(p.full_s, "s") }));
  const drawing = spans(rows, end || 1, "s", "First melt to full of each part");
  return el("figure.chart.wide", {}, el("figcaption", {}, "Order of filling: from the first melt in a part until it is full"), drawing);
}

function pressure_way(run) {
  const way = run.summary.balance?.last_path;
  if (!way) return null;
  const drawing = stacked([{ name: "sprue", value: way.sprue_MPa }, { name: "runners", value: way.runners_MPa }, { name: "gates", value: way.gates_MPa },
    { name: "part", value: way.parts_MPa }], "MPa", "Pressure spent");
  return drawing && figure(`Pressure spent on the way to the last place, in ${way.part}`, drawing,
    `The way is ${with_unit(way.length_mm, "mm")} long, ${number(way.length_over_thickness)} times the wall.`);
}

function weights(run) {
  const b = run.summary.balance;
  if (!b || !Number.isFinite(b.mass_left_g)) return null;
  const pairs = [pair({ name: "left", value: b.mass_left_g }, { name: "right", value: b.mass_right_g }, "g", "Weights"),
    pair({ name: "bottom", value: b.mass_bottom_g }, { name: "top", value: b.mass_top_g }, "g", "Weights")].filter(Boolean);
  return pairs.length ? figure("Weights on both sides of the injection point", el("div", {}, pairs)) : null;
}

/** Shot weight against holding time, when holding was computed. */
function hold_weight(run, stage) {
  const list = run.summary.hold?.shot_weight_by_time ?? run.summary.hold?.weight_over_time;
  if (!Array.isArray(list) || list.length < 2) return null;
  const x = list.map((e) => e.time_s ?? e[0]), y = list.map((e) => e.mass_g ?? e.shot_weight_g ?? e[1]);
  const drawing = curve({ name: "Shot weight against holding time", unit: "g", x, y }, stage);
  return drawing && figure("Shot weight against holding time [g]", drawing);
}

const words = { close: "close", inject: "inject", hold: "hold", cool: "cool", open: "open", eject: "eject", dose: "dose" };

function cycle(run) {
  const c = run.summary.cycle;
  if (!c) return null;
  const pieces = Object.keys(words).map((key) => ({ name: words[key], value: c[`${key}_s`] }));
  const drawing = stacked(pieces, "s", "Cycle");
  return drawing && figure(`The cycle, ${with_unit(c.total_s, "s")}`, drawing);
}

function cost(run) {
  const c = run.summary.cost;
  if (!c) return null;
  const skipped = /per_frame|currency|_low$|_high$|total|even|shots|hours|share|rate/;
  const pieces = Object.entries(c).filter(([key, value]) => typeof value === "number" && !skipped.test(key))
    .map(([key, value]) => ({ name: key.replaceAll("_", " "), value }));
  const drawing = stacked(pieces, c.currency ?? "", "Cost per frame");
  return drawing && figure(`Cost per frame, ${with_unit(c.per_frame, c.currency ?? "")}`, drawing);
}
