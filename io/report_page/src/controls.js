// Time, field, layers and colours: one set of controls for all views of the page.
import { css_at } from "./colours.js";
import { el, new_id, svg } from "./dom.js";
import { range_ticks, share_of } from "./field.js";
import { number, tick_text, with_unit } from "./format.js";

const layer_names = { lines: "front lines", welds: "weld lines", air: "caught air", findings: "findings" };

export function controls(stage) {
  return el("div.controls", { role: "group", "aria-label": "What the picture shows" },
    el("div.row", {}, field_choice(stage), layer_choice(stage), zoom_buttons(stage)), el("div.row.time", {}, ...time_slider(stage)));
}

function field_choice(stage) {
  const id = new_id("field");
  const choice = el("select", { id, on: { change: () => stage.change("field", { field: choice.value }) } },
    stage.fields.map((f) => el("option", { value: f.key }, f.unit ? `${f.label} [${f.unit}]` : f.label)));
  choice.value = stage.field;
  return el("label.field", { for: id }, el("span", {}, "Colour shows"), choice);
}

function layer_choice(stage) {
  const boxes = Object.entries(layer_names).map(([key, name]) => {
    const box = el("input", { type: "checkbox", name: key, on: { change: () =>
      stage.change("look", { layers: { ...stage.layers, [key]: box.checked } }) } });
    box.checked = stage.layers[key];
    return el("label", {}, box, name);
  });
  return el("fieldset.layers", {}, el("legend.unseen", {}, "Layers"), boxes);
}

function zoom_buttons(stage) {
  const views = () => stage.views ?? [];
  const button = (text, label, f) => el("button.small", { type: "button", "aria-label": label, title: label, on: { click: f } }, text);
  return el("div.zoom", {}, button("−", "Zoom out", () => views()[0]?.zoom_by(1 / 1.6)),
    button("+", "Zoom in", () => views()[0]?.zoom_by(1.6)),
    button("All", "Show the whole frame", () => stage.change("look", { zoom: 1, centre: null, mark: null })));
}

function play_icon(playing) {
  const shape = playing ? svg("path", { d: "M3 2h3v10H3zM8 2h3v10H8z" }) : svg("path", { d: "M3 1.5v11l9-5.5z" });
  return svg("svg", { viewBox: "0 0 14 14", width: 14, height: 14, "aria-hidden": "true" }, shape);
}

function time_slider(stage) {
  const id = new_id("time");
  const play = el("button.play", { type: "button", "aria-label": "Play the filling", on: { click: () => stage.play() } }, play_icon(false));
  const slider = el("input", { id, type: "range", min: "0", max: "1000", step: "1", on: {
    input: () => {
      if (stage.playing) stage.stop();
      stage.change("time", { position: slider.value / 1000 });
    } } });
  const shown = el("output", { for: id });
  const update = () => {
    slider.value = String(Math.round(1000 * stage.position));
    const text = stage.at_end ? `${with_unit(stage.track.end, "s")}, end` : with_unit(stage.time, "s");
    shown.textContent = text;
    slider.setAttribute("aria-valuetext", text);
  };
  stage.on_change((what) => {
    if (what === "play") {
      play.replaceChildren(play_icon(stage.playing));
      play.setAttribute("aria-label", stage.playing ? "Stop playing" : "Play the filling");
    }
    update();
  });
  update();
  return [play, el("label.unseen", { for: id }, "Time"), slider, shown];
}

/** The scale of colours with round numbers and its unit. */
export function colour_bar(stage) {
  const box = el("figure.bar");
  const draw = () => {
    const field = stage.shown_field;
    if (!field) return;
    const { range } = stage, list = range_ticks(range), n = 64, width = 640;
    const cells = Array.from({ length: n }, (_, i) => svg("rect", { x: (i * width) / n, y: 0, width: width / n + 0.6, height: 12,
      fill: css_at(stage.table, (i + 0.5) / n) }));
    const marks = list.map((v) => {
      const x = share_of(range, v) * width;
      const anchor = x < 12 ? "start" : x > width - 12 ? "end" : "middle";
      return [svg("line", { x1: x, x2: x, y1: 12, y2: 16 }),
        svg("text", { x, y: 28, "text-anchor": anchor }, range.logarithmic ? number(v, 1) : tick_text(v, list))];
    });
    const name = field.unit ? `${field.label} [${field.unit}]` : field.label;
    box.replaceChildren(el("figcaption", {}, name),
      svg("svg", { viewBox: `0 0 ${width} 32`, role: "img", "aria-label":
        `${name}: from ${number(range.low)} to ${number(range.high)}` }, cells, marks));
  };
  stage.on_change((what) => what === "field" && draw());
  draw();
  return box;
}
