// Puts the page together from the data that it was given.
import { calibration_section } from "./calibration.js";
import { chart_section } from "./charts.js";
import { compare_tables, compare_verdicts } from "./compare.js";
import { colour_bar, controls } from "./controls.js";
import { read_data } from "./data.js";
import { el } from "./dom.js";
import { main_rules, numbers_block, verdict_block } from "./head.js";
import { approval_section, origin_section, setup_section, trust_section } from "./papers.js";
import { Stage } from "./stage.js";
import { table_sections } from "./tables.js";
import { FrameView } from "./view.js";

function mast(run, several) {
  return el("header.mast", {}, el("p.brand", {}, el("b", {}, "firstshot"), several ? " comparison" : " report"),
    el("h1", {}, several ? "Runs side by side" : run.title || run.label),
    several ? null : el("p.quiet", {}, [run.name, run.version && `firstshot ${run.version}`, run.fingerprint && `case ${run.fingerprint}`]
      .filter(Boolean).join(" · ")));
}

const missing_block = (run) => (run.missing.length ? el("aside.missing", { "aria-label": "What is missing" },
  el("b", {}, "Not everything is here. "), el("ul", {}, run.missing.map((text) => el("li", {}, text)))) : null);

function frame_block(stage, views, labels) {
  if (!views.length) return el("div.stage.empty", {}, el("p", {}, "No picture: the result holds no mesh that could be read."));
  return el("section.stage", { id: "frame", "aria-label": "The frame" },
    el(`div.views.n${views.length}`, {}, views.map((v, i) => el("div.column", {}, labels ? el("h3", {}, labels[i]) : null, v.element))),
    colour_bar(stage), controls(stage), legend());
}
const legend = () => el("p.legend.quiet", {}, "Weld line ", el("i.weld"), " meld line ", el("i.meld"), " air that stayed ", el("i.kept"),
  " that got out ", el("i.out"), " that may scorch ", el("i.hot"));

/** @returns a function that makes the button "show" for a place, or nothing where there is no place or no picture */
function place_buttons(view) {
  return (x, y, name, radius = 0) => {
    if (!view || !Number.isFinite(x) || !Number.isFinite(y)) return null;
    return el("button.show", { type: "button", "aria-label": `Show ${name} in the picture`, on: { click: () => view.show_place({ x, y, radius }) } }, "show");
  };
}

function single_page(run, stage, views) {
  const [view] = views, show = place_buttons(view);
  return [mast(run, false), missing_block(run),
    el("div.first", {}, el("div.words", {}, verdict_block(run), numbers_block(run), main_rules(run, show)), frame_block(stage, views)),
    calibration_section(data.calibration), chart_section(run, stage), table_sections(run, view, show), setup_section(run), trust_section(run), approval_section(run), origin_section(run, data)];
}

const data = read_data();
const stage = new Stage(data);
const views = stage.runs.map((run) => new FrameView(run, stage));
stage.views = views;
const page = document.getElementById("page");
if (data.runs.length === 1) {
  const [run] = data.runs;
  document.title = `${run.title || run.label} – firstshot report`;
  page.replaceChildren(...single_page(run, stage, views).flat(Infinity).filter(Boolean));
} else {
  document.title = "Runs side by side – firstshot report";
  const labels = stage.runs.map((r) => r.label);
  page.replaceChildren(...[mast(null, true), data.runs.map(missing_block), compare_verdicts(data.runs), frame_block(stage, views, labels), compare_tables(data.runs),
    origin_section(data.runs[0], data)].flat(Infinity).filter(Boolean));
}
window.addEventListener("beforeprint", () => views.forEach((v) => v.draw_for_paper()));
document.documentElement.dataset.ready = "yes";
window.firstshot_page = { data, stage, views }; // for tests and the curious
