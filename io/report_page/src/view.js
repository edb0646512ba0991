// One picture of a frame that can be looked into: zoom, pan, value under the pointer; mouse, touch and keyboard.
import { el, new_id } from "./dom.js";
import { corner_values, values_at } from "./field.js";
import { ticks, with_unit } from "./format.js";
import { FrameMesh } from "./mesh.js";
import { Overlay } from "./overlay.js";
import { FlatPainter } from "./paint_flat.js";
import { GlPainter } from "./paint_gl.js";

const largest_zoom = 60;
const rim = 14; // CSS pixels around the whole frame
const paper_width = 2000; // pixels of the picture on paper
const never = 1e9;
const squeezed = 1; // pressure of air that is drawn in full colour [MPa]

export class FrameView {
  constructor(run, stage) {
    this.run = run;
    this.stage = stage;
    this.mesh = new FrameMesh(run);
    this.colour_canvas = el("canvas.colours", { "aria-hidden": "true" });
    this.overlay_canvas = el("canvas.overlay", { "aria-hidden": "true" });
    const help = new_id("help");
    this.readout = el("p.readout", { role: "status", "aria-live": "polite" }, this.hint());
    this.print_canvas = el("canvas.on_paper", { "aria-hidden": "true" });
    this.box = el("div.picture", { tabindex: "0", role: "application", "aria-label": `Picture of ${run.title || run.label}`,
      "aria-describedby": help, "aria-roledescription": "frame to look into" }, this.colour_canvas, this.overlay_canvas);
    this.element = el("div.view", {}, this.box, this.print_canvas, this.readout,
      el("p.unseen", { id: help }, "Arrow keys move the cross and read the value under it, plus and minus zoom, 0 shows all, ",
        "comma and full stop go back and forward in time, space plays."));
    this.overlay = new Overlay(this.overlay_canvas, this.mesh, run);
    this.painter = this.make_painter();
    this.set_arrival();
    this.listen();
    new ResizeObserver(() => this.resize()).observe(this.box);
    stage.on_change((what) => this.refresh(what));
    this.refresh("field");
  }

  hint() {
    return "Point at a place, or press arrow keys here, to read its value.";
  }

  make_painter() {
    const without = new URLSearchParams(location.search).has("canvas") || location.hash === "#canvas";
    try {
      if (without) throw new Error("asked for");
      const painter = new GlPainter(this.colour_canvas, this.mesh);
      this.colour_canvas.addEventListener("webglcontextlost", (e) => {
        e.preventDefault();
        this.fall_back();
      });
      this.box.dataset.painter = "webgl";
      return painter;
    } catch {
      return this.flat_painter();
    }
  }
  flat_painter() {
    // A canvas keeps the kind of its first context.
    const fresh = el("canvas.colours", { "aria-hidden": "true" });
    this.colour_canvas.replaceWith(fresh);
    this.colour_canvas = fresh;
    this.box.dataset.painter = "canvas";
    return new FlatPainter(fresh, this.mesh);
  }
  fall_back() {
    this.painter = this.flat_painter();
    this.set_arrival();
    this.resize();
    this.refresh("field");
  }

  set_arrival() {
    const field = this.run.field("arrival_time");
    const all = new Float32Array(this.mesh.corners);
    if (field) {
      const values = this.run.block(field.blocks[0]);
      for (let c = 0; c < all.length; ++c) {
        const t = values[this.mesh.node[c]];
        all[c] = Number.isNaN(t) ? never : t;
      }
    }
    this.arrival = all;
    this.painter.set("arrival", all);
  }

  refresh(what) {
    if (what === "play") return;
    const field = this.run.field(this.stage.field);
    this.moves = field && field.blocks.length > 1;
    if (what === "field" || (what === "time" && this.moves)) {
      this.values = field ? values_at(this.run, field, this.stage.time) : null;
      this.corners = field ? corner_values(this.mesh, field, this.values) : new Float32Array(this.mesh.corners).fill(NaN);
      this.painter.set("value", this.corners);
      this.painter.set_colours(this.stage.table);
    }
    if (what === "field" || what === "time") this.set_gas();
    if (this.pointer) this.read();
    this.redraw();
  }
  set_gas() {
    const field = this.run.field("gas_pressure");
    if (!field) return;
    const values = values_at(this.run, field, this.stage.time);
    const out = corner_values(this.mesh, field, values);
    for (let c = 0; c < out.length; ++c) out[c] = Number.isNaN(out[c]) ? 0 : Math.sqrt(Math.max(0, out[c]) / squeezed);
    this.painter.set("gas", out);
  }

  resize() {
    this.ratio = Math.min(window.devicePixelRatio || 1, 3);
    for (const canvas of [this.colour_canvas, this.overlay_canvas]) {
      canvas.width = Math.max(1, Math.round(this.box.clientWidth * this.ratio));
      canvas.height = Math.max(1, Math.round(this.box.clientHeight * this.ratio));
    }
    this.redraw();
  }
  redraw() {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => this.draw_now());
  }
  draw_now() {
    this.waiting = false;
    if (!this.ratio) return;
    const { stage } = this, placing = this.placing();
    const lines = stage.layers.lines && stage.field === "arrival_time" ? this.line_step() : 0;
    const look = { placing, time: stage.at_end ? never / 2 : stage.time, range: stage.range, every: lines, moving: !stage.at_end };
    this.painter.draw(look);
    this.overlay.draw({ placing, ratio: this.ratio, layers: stage.layers, time: stage.time, at_end: stage.at_end,
      mark: stage.mark, pointer: this.pointer?.by_key ? this.pointer : null });
  }
  /** The picture for paper: sharper, in one layer, as printers know nothing of WebGL. */
  draw_for_paper() {
    const { clientWidth: w, clientHeight: h } = this.box;
    const before = [this.colour_canvas.width, this.colour_canvas.height, this.ratio], sharp = paper_width / Math.max(w, 1);
    this.ratio = sharp;
    for (const c of [this.colour_canvas, this.overlay_canvas, this.print_canvas]) [c.width, c.height] = [paper_width, Math.round(h * sharp)];
    this.draw_now();
    const paper = this.print_canvas.getContext("2d");
    paper.drawImage(this.colour_canvas, 0, 0);
    paper.drawImage(this.overlay_canvas, 0, 0);
    this.ratio = before[2];
    for (const c of [this.colour_canvas, this.overlay_canvas]) [c.width, c.height] = before;
    this.draw_now();
  }
  /** Seconds between two lines of equal arrival. */
  line_step() {
    const list = ticks(0, this.run.field("arrival_time")?.high ?? 1, 10);
    return list.length > 1 ? list[1] - list[0] : 0;
  }

  /** pixel = x + scale · mm, y - scale · mm, in device pixels. */
  placing() {
    const [x0, y0, x1, y1] = this.mesh.box, { width, height } = this.overlay_canvas, pad = 2 * rim * this.ratio;
    const fit = Math.max(1e-3, Math.min((width - pad) / Math.max(x1 - x0, 1e-6), (height - pad) / Math.max(y1 - y0, 1e-6)));
    const scale = fit * this.stage.zoom, [cx, cy] = this.stage.centre ?? [(x0 + x1) / 2, (y0 + y1) / 2];
    return { scale, x: width / 2 - scale * cx, y: height / 2 + scale * cy };
  }
  /** Place in mm under a point of the window. */
  to_mm(client_x, client_y) {
    const r = this.overlay_canvas.getBoundingClientRect(), p = this.placing();
    return { x: ((client_x - r.left) * this.ratio - p.x) / p.scale, y: (p.y - (client_y - r.top) * this.ratio) / p.scale };
  }
  /** Point of the window over a place in mm. */
  to_window(x, y) {
    const r = this.overlay_canvas.getBoundingClientRect(), p = this.placing();
    return [r.left + (p.x + p.scale * x) / this.ratio, r.top + (p.y - p.scale * y) / this.ratio];
  }

  zoom_by(factor, at) {
    const [x0, y0, x1, y1] = this.mesh.box, zoom = Math.max(1, Math.min(largest_zoom, this.stage.zoom * factor));
    const centre = this.stage.centre ?? [(x0 + x1) / 2, (y0 + y1) / 2], f = this.stage.zoom / zoom;
    const p = at ?? { x: centre[0], y: centre[1] };
    const moved = zoom === 1 ? null : [p.x + (centre[0] - p.x) * f, p.y + (centre[1] - p.y) * f];
    this.stage.change("look", { zoom, centre: moved });
  }
  pan_by(dx, dy) {
    const [x0, y0, x1, y1] = this.mesh.box, { scale } = this.placing();
    const [cx, cy] = this.stage.centre ?? [(x0 + x1) / 2, (y0 + y1) / 2];
    const keep = (v, low, high) => Math.max(low, Math.min(high, v));
    this.stage.change("look", { centre: [keep(cx - (dx * this.ratio) / scale, x0, x1), keep(cy + (dy * this.ratio) / scale, y0, y1)] });
  }

  /** What a person reads at a place: name, value of the field, arrival. */
  reading(x, y) {
    const hit = this.mesh.at(x, y);
    if (!hit) return null;
    const mix = (a) => hit.weights.reduce((sum, w, i) => sum + w * a[3 * hit.triangle + i], 0);
    const arrival = mix(this.arrival), field = this.stage.shown_field;
    const reached = arrival <= (this.stage.at_end ? never / 2 : this.stage.time);
    return { name: hit.name, role: hit.role, x, y, value: mix(this.corners), arrival: arrival < never / 2 ? arrival : null, reached, field };
  }
  read() {
    const found = this.reading(this.pointer.x, this.pointer.y);
    this.found = found;
    if (!found) return this.readout.replaceChildren(this.pointer.by_key ? "Nothing here: between the parts." : this.hint());
    const { field } = found, what = [];
    if (field.key === "arrival_time" || found.reached) what.push(el("b", {}, `${field.label} ${with_unit(found.value, field.unit)}`));
    else what.push("not reached yet");
    if (field.key !== "arrival_time" && found.arrival !== null) what.push(`, melt after ${with_unit(found.arrival, "s")}`);
    this.readout.replaceChildren(el("span.name", {}, found.name), " ", ...what,
      el("span.at", {}, ` at ${found.x.toFixed(1)}, ${found.y.toFixed(1)} mm`.replaceAll("-", "−")));
  }
  point_at(x, y, by_key = false) {
    this.pointer = { x, y, by_key };
    this.read();
    this.redraw();
  }

  /** Brings a place into the picture and marks it. */
  show_place(place, scroll = true) {
    const [x0, , x1] = this.mesh.box;
    const zoom = Math.max(1, Math.min(8, (0.28 * (x1 - x0)) / Math.max(place.radius ?? 0, 0.03 * (x1 - x0))));
    this.stage.change("look", { mark: place, zoom, centre: zoom > 1 ? [place.x, place.y] : null });
    this.point_at(place.x, place.y, false);
    if (scroll) this.element.scrollIntoView({ block: "center", behavior: "auto" });
  }

  listen() {
    const { box } = this, fingers = new Map();
    let spread = 0;
    box.addEventListener("pointerdown", (e) => {
      fingers.set(e.pointerId, [e.clientX, e.clientY]);
      box.setPointerCapture(e.pointerId);
      spread = 0;
    });
    box.addEventListener("pointermove", (e) => {
      const before = fingers.get(e.pointerId);
      const at = this.to_mm(e.clientX, e.clientY);
      this.point_at(at.x, at.y);
      if (!before) return;
      fingers.set(e.pointerId, [e.clientX, e.clientY]);
      if (fingers.size === 1) this.pan_by(e.clientX - before[0], e.clientY - before[1]);
      if (fingers.size === 2) {
        const [a, b] = [...fingers.values()], now = Math.hypot(a[0] - b[0], a[1] - b[1]);
        if (spread > 0) this.zoom_by(now / spread, this.to_mm((a[0] + b[0]) / 2, (a[1] + b[1]) / 2));
        spread = now;
      }
    });
    const lift = (e) => fingers.delete(e.pointerId);
    box.addEventListener("pointerup", lift);
    box.addEventListener("pointercancel", lift);
    box.addEventListener("dblclick", (e) => this.zoom_by(2, this.to_mm(e.clientX, e.clientY)));
    box.addEventListener("wheel", (e) => {
      if (!e.ctrlKey && document.activeElement !== box) return; // the page scrolls until the picture is chosen
      e.preventDefault();
      this.zoom_by(Math.exp(-e.deltaY / 400), this.to_mm(e.clientX, e.clientY));
    }, { passive: false });
    box.addEventListener("keydown", (e) => this.on_key(e));
    this.stage.on_change(() => (box.style.touchAction = this.stage.zoom > 1 ? "none" : "pan-y"));
    box.style.touchAction = "pan-y";
  }
  on_key(e) {
    if (e.altKey || e.metaKey || e.ctrlKey) return;
    const step = (e.shiftKey ? 40 : 8) * (this.ratio / this.placing().scale);
    const ways = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
    const [x0, y0, x1, y1] = this.mesh.box;
    if (ways[e.key]) {
      const from = this.pointer ?? { x: (x0 + x1) / 2, y: (y0 + y1) / 2 };
      const inside = (v, low, high) => Math.max(low, Math.min(high, v));
      this.point_at(inside(from.x + step * ways[e.key][0], x0, x1), inside(from.y + step * ways[e.key][1], y0, y1), true);
    } else if (e.key === "+" || e.key === "=") this.zoom_by(1.5, this.pointer);
    else if (e.key === "-") this.zoom_by(1 / 1.5, this.pointer);
    else if (e.key === "0") this.stage.change("look", { zoom: 1, centre: null, mark: null });
    else if (e.key === ",") this.stage.change("time", { position: Math.max(0, this.stage.position - 0.02) });
    else if (e.key === ".") this.stage.change("time", { position: Math.min(1, this.stage.position + 0.02) });
    else if (e.key === " ") this.stage.play();
    else return;
    e.preventDefault();
  }
}
