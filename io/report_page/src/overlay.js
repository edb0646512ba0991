// What lies above the colours: outlines, weld lines, caught air, findings, the marked place, the pointer.
import { ink } from "./colours.js";

const tau = 2 * Math.PI;

export class Overlay {
  constructor(canvas, mesh, run) {
    this.context = canvas.getContext("2d");
    this.run = run;
    this.outline = new Path2D();
    const e = mesh.edges;
    for (let i = 0; i < e.length; i += 4) {
      this.outline.moveTo(e[i], e[i + 1]);
      this.outline.lineTo(e[i + 2], e[i + 3]);
    }
    this.lines = run.weld_lines.map((line) => {
      const path = new Path2D();
      line.points.forEach(([x, y], i) => (i ? path.lineTo(x, y) : path.moveTo(x, y)));
      return { path, meld: line.kind === "meld", time: line.time ?? 0 };
    });
  }

  /** @param placing as of the painters @param ratio device pixels per CSS pixel */
  draw({ placing, ratio, layers, time, at_end, mark, pointer }) {
    const c = this.context;
    c.setTransform(1, 0, 0, 1, 0, 0);
    c.clearRect(0, 0, c.canvas.width, c.canvas.height);
    c.setTransform(placing.scale, 0, 0, -placing.scale, placing.x, placing.y);
    const px = ratio / placing.scale; // one CSS pixel in mm
    c.lineJoin = c.lineCap = "round";
    c.strokeStyle = ink;
    c.lineWidth = 0.8 * px;
    c.stroke(this.outline);
    if (layers.welds) this.draw_lines(px, at_end ? Infinity : time);
    c.setTransform(1, 0, 0, 1, 0, 0);
    const to = (x, y) => [placing.x + placing.scale * x, placing.y - placing.scale * y];
    if (layers.air) this.draw_air(to, ratio, time, at_end);
    if (layers.findings) this.draw_findings(to, ratio);
    if (mark) this.draw_mark(to, ratio, placing, mark);
    if (pointer) this.draw_pointer(to, ratio, pointer);
  }

  /** Those whose fronts have met by then. */
  draw_lines(px, until) {
    const c = this.context;
    for (const { path, meld } of this.lines.filter((line) => line.time <= until)) {
      c.setLineDash([]);
      c.strokeStyle = "#ffffff";
      c.lineWidth = 4.2 * px;
      c.stroke(path);
      c.strokeStyle = meld ? "#5a3d8a" : "#a3123f";
      c.lineWidth = 2 * px;
      c.setLineDash(meld ? [4 * px, 3.5 * px] : []);
      c.stroke(path);
    }
    c.setLineDash([]);
  }

  /** Ring: air that got out; disc: air that stayed; triangle: it may scorch. */
  draw_air(to, ratio, time, at_end) {
    const c = this.context, r = 4.2 * ratio;
    for (const pocket of this.run.summary.air_pockets ?? []) {
      if (!at_end && pocket.closed_s > time) continue;
      const [x, y] = to(pocket.x_mm, pocket.y_mm);
      c.beginPath();
      if (pocket.may_scorch) {
        c.moveTo(x, y - 1.4 * r);
        c.lineTo(x + 1.25 * r, y + 0.9 * r);
        c.lineTo(x - 1.25 * r, y + 0.9 * r);
        c.closePath();
      } else c.arc(x, y, r, 0, tau);
      c.fillStyle = pocket.may_scorch ? "#c2410c" : pocket.vented ? "#fffdf8" : ink;
      c.fill();
      c.lineWidth = 1.6 * ratio;
      c.strokeStyle = pocket.vented && !pocket.may_scorch ? ink : "#fffdf8";
      c.stroke();
    }
  }

  /** A small flag with the finding's number in the list. */
  draw_findings(to, ratio) {
    const c = this.context;
    const findings = this.run.summary.verdict?.findings ?? [];
    c.font = `600 ${11 * ratio}px system-ui, sans-serif`;
    c.textAlign = "center";
    c.textBaseline = "middle";
    findings.forEach((f, i) => {
      if (f.x_mm === null || f.x_mm === undefined) return;
      const [x, y] = to(f.x_mm, f.y_mm), h = 17 * ratio;
      c.strokeStyle = c.fillStyle = f.severity === "stop" ? "#a3123f" : f.severity === "look" ? "#7a4b00" : "#3f5560";
      c.lineWidth = 1.5 * ratio;
      c.beginPath();
      c.moveTo(x, y);
      c.lineTo(x, y - h);
      c.stroke();
      c.beginPath();
      c.arc(x, y - h - 7 * ratio, 8.5 * ratio, 0, tau);
      c.fill();
      c.strokeStyle = "#fffdf8";
      c.stroke();
      c.fillStyle = "#fffdf8";
      c.fillText(String(i + 1), x, y - h - 6.5 * ratio);
    });
  }

  draw_mark(to, ratio, placing, mark) {
    const c = this.context, [x, y] = to(mark.x, mark.y);
    const r = Math.max(14 * ratio, placing.scale * (mark.radius ?? 0) + 6 * ratio);
    for (const [width, colour] of [[5, "#fffdf8"], [2.4, "#0a6b74"]]) {
      c.beginPath();
      c.arc(x, y, r, 0, tau);
      c.lineWidth = width * ratio;
      c.strokeStyle = colour;
      c.stroke();
    }
  }
  draw_pointer(to, ratio, pointer) {
    const c = this.context, [x, y] = to(pointer.x, pointer.y), a = 4 * ratio, b = 13 * ratio;
    for (const [width, colour] of [[3.4, "#fffdf8"], [1.4, ink]]) {
      c.beginPath();
      for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
        c.moveTo(x + dx * a, y + dy * a);
        c.lineTo(x + dx * b, y + dy * b);
      }
      c.lineWidth = width * ratio;
      c.strokeStyle = colour;
      c.stroke();
    }
  }
}
