// Curves over time, the way of the pressure, the order of filling, weights, cycle and cost.
import { curve, figure, pair, spans, stacked } from "./chart_kit.js";
import { el } from "./dom.js";
import { number, with_unit } from "./format.js";

export function chart_section(run, stage) {
  const parts = [curves(run, stage), fill_order(run), pressure_way(run), weights(run), hold_weight(run), cycle(run), cost(run)].flat().filter(Boolean);
  if (!parts.length) return null;
  return el("section.charts", { id: "course" }, el("h2", {}, "How it runs"), el("div.grid", {}, parts));
}

/** Curves of filling alone, and of the whole record where holding made it much longer. */
function curves(run, stage) {
  const h = run.history, s = run.summary;
  if (!h.time_s?.length) return [];
  const filled = s.fill?.time_s ?? run.field("arrival_time")?.high ?? Infinity;
  const last = h.time_s[h.time_s.length - 1], held = last > 1.6 * filled;
  const n = held ? h.time_s.findIndex((t) => t > 1.08 * filled) : h.time_s.length;
  const clamp = measure(run.settings?.press?.clamp_force, { N: 1e-3, kN: 1, MN: 1e3 });
  const limit = clamp ? { value: clamp, text: "the press clamps" } : null;
  const moments = [{ at: s.fill?.switch_over_time_s, text: "switch-over" }];
  const later = [{ at: s.hold?.gate_freeze_s, text: "gates solid" }, { at: s.hold?.release_s, text: "pressure released" }];
  const one = (name, unit, y, options = {}) => {
    const whole = options.whole, cut = whole ? h.time_s.length : n;
    const drawing = curve({ name, unit, x: h.time_s.slice(0, cut), y: y.slice(0, cut), limit: options.limit, moments: whole ? later : moments }, stage);
    return drawing && figure(`${name}${held ? (whole ? ", filling and holding" : ", filling") : ""} [${unit}]`, drawing);
  };
  const pressure = "Pressure at the injection point", force = "Force that opens the mould";
  return [one(pressure, "MPa", h.pressure_MPa), held ? one(pressure, "MPa", h.pressure_MPa, { whole: true }) : null, one("Flow into the mould", "cm³/s", h.flow_cm3_s),
    one(force, "kN", h.force_kN, { whole: true, limit }), held ? null : one("Filled share", "%", h.filled.map((f) => 100 * f))];
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
    { name: "part", value: way.parts_MPa }, { name: "air", value: way.air_MPa }], "MPa", "Pressure spent");
  return drawing && figure(`Pressure spent on the way to the last place, in ${way.part}`, drawing,
    `When it is highest in filling. The way is ${with_unit(way.length_mm, "mm")} long, ${number(way.length_over_thickness)} times the wall.`);
}

function weights(run) {
  const b = run.summary.balance;
  if (!b || !Number.isFinite(b.mass_left_g)) return null;
  const pairs = [pair({ name: "left", value: b.mass_left_g }, { name: "right", value: b.mass_right_g }, "g", "Weights"),
    pair({ name: "bottom", value: b.mass_bottom_g }, { name: "top", value: b.mass_top_g }, "g", "Weights")].filter(Boolean);
  const words = (b.sides ?? []).map((side) => `The ${side.first} side is full after ${with_unit(side.full_s, "s")}; then the pressure goes from ${number(side.pressure_before_MPa)} to ${
    with_unit(side.pressure_after_MPa, "MPa")} and the flow into the ${side.second} side from ${number(side.second_flow_before_cm3_s)} to ${with_unit(side.second_flow_after_cm3_s, "cm³/s")}.`).join(" ");
  return pairs.length ? figure("Weights on both sides of the injection point", el("div", {}, pairs), words) : null;
}

/** Weight against holding time, when holding was computed. */
function hold_weight(run) {
  const list = run.summary.hold?.weighing;
  if (!Array.isArray(list) || list.length < 2) return null;
  const x = list.map((w) => w.holding_s), moments = [{ at: run.summary.hold.enough_s, text: "longer brings nothing" }];
  const drawing = curve({ name: "Weight of all parts", unit: "g", x, y: list.map((w) => w.released_g), moments, x_name: "holding time [s]", from_zero: false });
  return drawing && figure("Weight of all parts against holding time [g]", drawing, "What the parts weigh, without runners, when the pressure is let go after that time.");
}

const cycle_words = { close: "close", inject: "inject", hold: "hold", cool: "cool", open: "open", eject: "eject" };

function cycle(run) {
  const c = run.summary.cycle;
  if (!c) return null;
  const pieces = Object.entries(cycle_words).map(([key, name]) => ({ name, value: c[`${key}_s`] }));
  const drawing = stacked(pieces, "s", "Cycle");
  const limit = c.limited_by ? `The cooling time is set by: ${String(c.limited_by).replaceAll("_", " ")}.` : "";
  const share = Number.isFinite(c.cooling_share) ? ` Cooling takes ${number(100 * c.cooling_share, 2)} %, with holding ${number(100 * c.holding_and_cooling_share, 2)} %; about half a minute and 50 to 80 % are common practice, no source.` : "";
  return drawing && figure(`The cycle, ${with_unit(c.total_s, "s")}`, drawing, limit + share);
}

const cost_words = { material: "material", colour: "colour", machine: "machine", labour: "labour", scrap: "scrap" };

function cost(run) {
  const c = run.summary.cost;
  if (!c) return null;
  const pieces = Object.entries(cost_words).map(([key, name]) => ({ name, value: c[key] }));
  const drawing = stacked(pieces, c.currency ?? "", "Cost per frame");
  const notes = [c.regrind_credit ? `Regrind brings back ${with_unit(Math.abs(c.regrind_credit), c.currency)}.` : null,
    c.mould_per_frame ? `The mould adds ${with_unit(c.mould_per_frame, c.currency)} to each frame.` : null,
    "About one unit of currency per shot is common practice, no source.",
    c.break_even_frames ? `It has paid for itself after ${number(c.break_even_frames)} frames.` : null].filter(Boolean).join(" ");
  return drawing && figure(`Cost per frame, ${with_unit(c.per_frame, c.currency ?? "")}`, drawing, notes);
}
