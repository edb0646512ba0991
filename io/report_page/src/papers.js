// The sheets of the report: settings of the press, how sure the numbers are, approval, where everything came from.
import { el, new_id } from "./dom.js";
import { number, percent, with_unit } from "./format.js";

/* global LICENCES -- filled in by the bundler */

/** The case file says every force in newtons. */
const in_usual_unit = (text) => {
  const force = /^([-+.\de]+) N$/.exec(text);
  return force && Math.abs(force[1]) >= 1000 ? with_unit(force[1] / 1000, "kN") : text;
};
const plain = (value) => {
  if (value === null || value === undefined) return "–";
  if (Array.isArray(value)) return value.map((v) => (Array.isArray(v) ? v.join(" for ") : plain(v))).join(", ");
  if (typeof value === "object") return Object.entries(value).map(([k, v]) => `${k} ${plain(v)}`).join(", ");
  if (typeof value === "boolean") return value ? "yes" : "no";
  return typeof value === "number" && !Number.isInteger(value) ? number(value) : in_usual_unit(String(value));
};
const words_of = (key) => {
  const text = key.replaceAll("_", " ");
  return text.charAt(0).toUpperCase() + text.slice(1);
};

/** Rows "name: value" under a heading; rows without a value are left out. */
function sheet(title, rows) {
  const known = rows.filter(([, value]) => value !== undefined && value !== null && value !== "–");
  if (!known.length) return null;
  return el("div.sheet", {}, el("h3", {}, title), el("dl.pairs", {}, known.map(([name, value, note]) => el("div", {}, el("dt", {}, name),
    el("dd", {}, plain(value), note ? el("span.note", {}, note) : null)))));
}

const melt_and_gauge = (p) => (p ? `${with_unit(p.melt_MPa, "MPa")} melt, ${with_unit(10 * p.hydraulic_MPa, "bar")} gauge` : null);
const span = (low, high, unit) => (Number.isFinite(low) ? `${number(low)} to ${with_unit(high, unit)}` : null);

/** What the qualified setter types into the press, as the program proposes it. */
function press_sheets(set) {
  return [sheet("Barrel and mould", [["Zones, hopper to nozzle", set.zones_C?.length ? `${set.zones_C.map((z) => number(z)).join(", ")} °C` : null], ["Melt", with_unit(set.melt_C, "°C")],
    ["Mould, fixed half", with_unit(set.mould_fixed_C, "°C")], ["Mould, moving half", with_unit(set.mould_moving_C, "°C")], ["Clamp force", with_unit(set.clamp_force_kN, "kN")]]),
  sheet("Screw", [["Dosing position", with_unit(set.dosing_position_mm, "mm")], ["Switch-over position", with_unit(set.switch_over_position_mm, "mm")], ["Cushion", with_unit(set.cushion_mm, "mm")],
    ...(set.speeds ?? []).map((v) => [`${number(v.from_mm)} to ${with_unit(v.to_mm, "mm")}`, `${with_unit(v.speed_mm_per_s, "mm/s")}, ${with_unit(v.flow_cm3_per_s, "cm³/s")}`]),
    ["Screw turns", span(set.screw_speed_low_per_min, set.screw_speed_high_per_min, "1/min")]]),
  sheet("Pressures and times", [["Injection limit", melt_and_gauge(set.injection_limit)], ["Peak expected", melt_and_gauge(set.peak_pressure)],
    ...(set.holding ?? []).map((h, i) => [`Holding ${i + 1}`, `${melt_and_gauge(h)}, ${with_unit(h.duration_s, "s")}`]),
    ["Back pressure", set.back_pressure_low ? span(10 * set.back_pressure_low.hydraulic_MPa, 10 * set.back_pressure_high.hydraulic_MPa, "bar gauge") : null],
    ["Cooling time", with_unit(set.cooling_time_s, "s")]])];
}

/** As the case has it: what was computed with. */
function case_sheets(run) {
  const { settings: c, summary: s } = run, p = c?.process ?? {}, press = c?.press ?? {};
  const gauge = press.intensification && s.fill ? with_unit((10 * s.fill.peak_pressure_MPa) / press.intensification, "bar") : null;
  return [sheet("Melt and mould", [["Material", run.material?.grade ?? run.material?.name], ["Regrind", c?.material?.regrind], ["Colour", c?.material?.masterbatch],
    ["Melt", p.melt_temperature], ["Mould", p.mould_temperature]]),
  sheet("Injection", [["Fill time wanted", p.fill_time], ["Speed profile", p.speed_profile], ["Switch-over", p.switch_over], ["Pressure limit of the melt", p.injection_pressure_max],
    ["Shot", s.shot ? with_unit(s.shot.mass_g, "g") : null], ["of it runners", s.shot ? percent(s.shot.runner_share) : null]]),
  sheet("Holding and cooling", [["Holding", p.holding], ["Cooling time", p.cooling_time], ["Last gate solid after", s.hold ? with_unit(s.hold.gate_freeze_s, "s") : null],
    ["Longer holding brings nothing after", s.hold ? with_unit(s.hold.enough_s, "s") : null], ["Cycle", s.cycle ? with_unit(s.cycle.total_s, "s") : null]]),
  sheet("Press", [["Name", press.name], ["Screw", press.screw_diameter], ["Clamp force", press.clamp_force], ["Largest speed", press.speed_max], ["Largest melt pressure", press.melt_pressure_max],
    ["Melt pressure over hydraulic pressure", press.intensification], ["Peak at the hydraulic gauge", gauge]])];
}

/** Heat, barrel and money of a shot. */
function shot_sheets(s) {
  const c = s.cycle, e = c?.energy, m = c?.mould, b = s.shot?.blend, k = s.cost;
  const money = (value) => (Number.isFinite(value) ? with_unit(value, k.currency) : null);
  return [e ? sheet("Heat of a shot", [["Brought by the melt", with_unit(e.melt_kJ, "kJ")], ["Work of the screw in injection", with_unit(e.screw_work_kJ, "kJ")],
    ["Into the mould", with_unit(e.to_fixed_half_kJ + e.to_moving_half_kJ, "kJ")], ["Left in the frame", with_unit(e.left_in_shot_kJ, "kJ")], ["To melt it from 23 °C", with_unit(e.plasticising_kJ, "kJ")],
    ["Faces of the mould", `${number(m.surface_fixed_C, 3)} and ${with_unit(m.surface_moving_C, "°C")}`, m.follows_from_channels ? " mean over the cycle, from the cooling channels" : " as set"],
    ["Warm after", Number.isFinite(m.shots_to_warm) ? `${m.shots_to_warm} shots` : null], ["Melt stays in the barrel", with_unit(c.residence_s, "s")], ["Shot in the stroke", percent(c.stroke_share)],
    ["Thick runners cost", c.runner_costs_s > 0 ? with_unit(c.runner_costs_s, "s") : null], ["a tenth thinner they save", c.runner_costs_s > 0 ? with_unit(c.runners_tenth_thinner_save_s, "s") : null]]) : null,
  b ? sheet("Blend", [["Fresh", percent(b.fresh)], ["Regrind", percent(b.regrind)], ["Colour concentrate", percent(b.masterbatch)], ["Viscosity of the blend", number(b.viscosity_factor, 3), ` times that of fresh (${number(b.viscosity_factor_low, 3)} to ${number(b.viscosity_factor_high, 3)})`],
    ["Pigment of another colour", b.foreign_colour_share > 0 ? percent(b.foreign_colour_share) : null]]) : null,
  k ? sheet("Money", [["Running cost per good frame", money(k.per_frame)], ["with the mould", money(k.total_per_frame)], ["Blend per kg", money(k.blend_per_kg)],
    ["Mould paid after", Number.isFinite(k.break_even_frames) ? `${number(k.break_even_frames)} frames` : null], ["A mould that comes back", money(k.mould_return)]]) : null];
}

export function setup_section(run) {
  const { summary: s } = run;
  const shrinkage = s.shrinkage?.linear_mean === undefined || s.shrinkage.linear_mean === null ? null : sheet("Shrinkage", [["By volume", percent(s.shrinkage.volume_mean, 3)],
    ["By length", `${percent(s.shrinkage.linear_mean, 3)} (${number(100 * s.shrinkage.linear_min)} to ${percent(s.shrinkage.linear_max, 3)})`], ["Cavity to part", number(s.shrinkage.scale, 5)]]);
  const sheets = [...(s.setup ? press_sheets(s.setup) : []), ...case_sheets(run), ...shot_sheets(s), shrinkage].filter(Boolean);
  return el("section.paper", { id: "setup" }, el("h2", {}, "Setup sheet"),
    sheets.length && !s.setup ? el("p.quiet", {}, "As the case has them; positions of the screw are not in this result.") : null,
    sheets.length ? el("div.sheets", {}, sheets) : el("p.quiet", {}, "The result file holds no settings."),
    el("p.caution", {}, "Hot melt, high pressure and moving platens injure. Guards stay closed; purge behind the shield and draw off the fumes. Follow the machine's manual, ISO 20430 and local codes; a qualified setter makes the settings."));
}

/** Where the numbers of one table of the card come from: one text, or a text for each number. */
function sources_of(group, source) {
  if (typeof source === "string") return [[words_of(group), source]];
  return Object.entries(source ?? {}).map(([key, text]) => [`${words_of(group)}: ${key.replaceAll("_", " ")}`, text]);
}

export function trust_section(run) {
  const { summary: s, material: m } = run;
  const ranges = [["Peak pressure", s.fill, "peak_pressure_MPa", "MPa"], ["Force that opens the mould", s.clamp, "peak_kN", "kN"],
    ["Cycle", s.cycle, "total_s", "s"], ["Cost per frame", s.cost, "per_frame", s.cost?.currency]]
    .filter(([, block, key]) => Number.isFinite(block?.[`${key}_low`]))
    .map(([name, block, key, unit]) => [name, with_unit(block[key], unit), `${number(block[`${key}_low`])} to ${with_unit(block[`${key}_high`], unit)}`]);
  const sources = m ? Object.entries(m).flatMap(([group, table]) => sources_of(group, table?.source)) : [];
  return el("section.paper", { id: "trust" }, el("h2", {}, "How sure it is"),
    ranges.length ? sheet("What the doubt of the material data does", ranges) : null,
    Number.isFinite(s.fill?.mass_error) ? el("p", {}, `Melt that was injected and melt that is stored agree within ${number(Math.max(s.fill.mass_error, 1e-16), 1)} of the shot.`) : null,
    el("ul", {}, ["Walls are thin: flow along the wall, heat across it. Fountain flow at the front is simplified.",
      "How much air the parting line lets out is known within a factor of several only.",
      "Warp is not computed.", "Default limits of the findings are common practice, without a source."].map((t) => el("li", {}, t))),
    sources.length ? el("details", { open: true }, el("summary", {}, "Sources of the material data"), el("dl.sources", {}, sources.map(([name, text]) => el("div", {}, el("dt", {}, name), el("dd", {}, plain(text))))))
      : el("p.quiet", {}, "The result file holds no material card; its sources stand in material.resolved.toml beside it."));
}

const signatures = [["Engineer", "Frame, gates and settings were looked through"], ["Mould maker", "Can be milled with the cutters at hand; vents as listed"],
  ["Customer", "Parts, visible faces and gate places are agreed"]];

export function approval_section(run) {
  const field = (label, type) => {
    const id = new_id("sign");
    return el("div.field", {}, el("label", { for: id }, label), el("input", { id, type, autocomplete: "off" }));
  };
  return el("section.paper.approval", { id: "approval" }, el("h2", {}, "Approval"),
    el("p", {}, "Frame ", el("b", {}, run.title || run.label), run.fingerprint ? [", case ", el("code", {}, run.fingerprint)] : null,
      run.version ? `, computed with firstshot ${run.version}` : null, ". What is typed here is printed, and gone when the page is closed."),
    el("div.signatures", {}, signatures.map(([who, what]) => el("fieldset", {}, el("legend", {}, who), el("p.quiet", {}, what), field("Name", "text"), field("Date", "text"),
      field("Remarks", "text"), el("div.line", { "aria-hidden": "true" }, "Signature")))),
    el("p.caution", {}, "These results are estimates that support the judgement of a person; they release no mould by themselves."));
}

export function origin_section(run, data) {
  const { settings: c, summary: s } = run;
  const assumptions = c ? Object.entries(c).filter(([, v]) => v && typeof v === "object" && !Array.isArray(v)) : [];
  const rows = Object.entries(s.run ?? {}).filter(([k]) => k !== "version").map(([k, v]) => [k === "wall_s" ? "Time taken" : words_of(k.replace(/_(s|MB)$/, "")), /_s$/.test(k) ? with_unit(v, "s") : /_MB$/.test(k) ? with_unit(v, "MB") : plain(v)]);
  return el("section.paper", { id: "origin" }, el("h2", {}, "Where this comes from"),
    sheet("Run", [["Results", run.name], ["Case", run.fingerprint], ["Computed with", run.version && `firstshot ${run.version}`], ["Page written by", `firstshot ${data.written_by}`], ...rows]),
    assumptions.length ? el("details", {}, el("summary", {}, "Every setting of the case"), el("div.sheets", {}, assumptions.map(([name, table]) => sheet(`[${name}]`, Object.entries(table).map(([k, v]) => [k, v]))))) : null,
    el("details", {}, el("summary", {}, "Programs inside this page"), LICENCES.map((l) => el("div", {}, el("h3", {}, `${l.name} ${l.version}, ${l.licence}`), el("pre", {}, l.text)))));
}
