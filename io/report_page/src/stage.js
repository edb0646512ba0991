// What all views of the page share: time, field, layers, the part of the plane that is seen, the marked place.
import { range_of } from "./field.js";
import { ramp } from "./colours.js";

const after_filling = 0.06; // length of a step after filling on the slider, in filling times

export class Stage {
  constructor(data) {
    this.runs = data.runs.filter((r) => r.has_mesh);
    this.tables = Object.fromEntries(Object.entries(data.colours).map(([name, stops]) => [name, ramp(stops)]));
    this.fields = fields_of(this.runs);
    this.field = this.fields[0]?.key ?? null;
    this.layers = { welds: false, air: true, findings: false, lines: true };
    this.track = time_track(this.runs);
    this.position = 1;
    this.zoom = 1;
    this.centre = null; // in mm; null: the middle of the frame
    this.mark = null;
    this.listeners = [];
    this.playing = false;
  }
  /** @param what changed: "time", "field", "look" */
  change(what, values) {
    Object.assign(this, values);
    for (const f of this.listeners) f(what);
  }
  on_change(f) {
    this.listeners.push(f);
  }

  get time() {
    return this.track.time(this.position);
  }
  get at_end() {
    return this.position >= 1;
  }
  /** Range of colours of the chosen field, the same in all views. */
  get range() {
    return range_of(this.runs.map((r) => r.field(this.field)));
  }
  get shown_field() {
    return this.fields.find((f) => f.key === this.field);
  }
  get table() {
    return this.tables[this.shown_field?.colours] ?? Object.values(this.tables)[0];
  }

  play() {
    if (this.playing) return this.stop();
    if (this.at_end) this.change("time", { position: 0 });
    this.change("play", { playing: true });
    const length = 6000; // of one playing [ms]
    let last = null;
    const go = (now) => {
      if (!this.playing) return;
      const ahead = last === null ? 0 : Math.min(now - last, 100) / length;
      last = now;
      this.change("time", { position: Math.min(1, this.position + ahead) });
      if (this.at_end) this.stop();
      else requestAnimationFrame(go);
    };
    requestAnimationFrame(go);
  }
  stop() {
    this.change("play", { playing: false });
  }
}

/** Fields that any run has, in the order of the first. */
function fields_of(runs) {
  const out = new Map();
  for (const run of runs)
    for (const field of run.fields) if (!field.hidden && field.high > field.low && !out.has(field.key)) out.set(field.key, field);
  return [...out.values()];
}

/** Slider 0 … 1 ↔ time: even while the mould fills, then a short way for each kept step, however long it takes. */
function time_track(runs) {
  const filled = Math.max(1e-9, ...runs.map((r) => r.field("arrival_time")?.high ?? 0));
  const later = [...new Set(runs.flatMap((r) => r.steps.map((s) => s.time)).filter((t) => t > filled))].sort((a, b) => a - b);
  const marks = [[0, 0], [filled, 1]];
  for (const t of later) {
    const [before, place] = marks[marks.length - 1];
    marks.push([t, place + Math.min((t - before) / filled, after_filling)]);
  }
  const length = marks[marks.length - 1][1];
  return {
    end: marks[marks.length - 1][0],
    filled,
    time(position) {
      const place = position * length;
      const k = Math.max(1, marks.findIndex((m) => m[1] >= place - 1e-12));
      const [t0, p0] = marks[k - 1], [t1, p1] = marks[k];
      return p1 > p0 ? t0 + ((t1 - t0) * (place - p0)) / (p1 - p0) : t1;
    },
    position(time) {
      const k = marks.findIndex((m) => m[0] >= time);
      if (k < 0) return 1;
      if (k === 0) return 0;
      const [t0, p0] = marks[k - 1], [t1, p1] = marks[k];
      return (p0 + ((p1 - p0) * (time - t0)) / (t1 - t0)) / length;
    },
  };
}
