// Draws the same with Canvas 2D, for machines without WebGL: one flat colour per triangle.
import { caught_air, css, css_at, empty_cavity, without_value } from "./colours.js";
import { share_of } from "./field.js";

const shades = 96;

export class FlatPainter {
  constructor(canvas, mesh) {
    this.context = canvas.getContext("2d");
    this.mesh = mesh;
    this.data = { value: new Float32Array(mesh.corners), arrival: new Float32Array(mesh.corners), gas: new Float32Array(mesh.corners) };
  }
  set(name, data) {
    this.data[name] = data.slice();
  }
  set_colours(table) {
    this.table = table;
  }

  /** Which of the few flat colours a triangle has. */
  shade(t, time, range) {
    const { value, arrival, gas } = this.data;
    const mean = (a) => (a[3 * t] + a[3 * t + 1] + a[3 * t + 2]) / 3;
    if (!(mean(arrival) <= time)) return mean(gas) > 0.6 ? shades + 2 : shades;
    const v = mean(value);
    if (Number.isNaN(v)) return shades + 1;
    return Math.max(0, Math.min(shades - 1, Math.floor(share_of(range, v) * shades)));
  }
  colour(shade) {
    if (shade < shades) return css_at(this.table, (shade + 0.5) / shades);
    return css([empty_cavity, without_value, caught_air][shade - shades]);
  }

  draw({ placing, time, range }) {
    const { context: c, mesh } = this, { position } = mesh;
    c.setTransform(1, 0, 0, 1, 0, 0);
    c.clearRect(0, 0, c.canvas.width, c.canvas.height);
    c.setTransform(placing.scale, 0, 0, -placing.scale, placing.x, placing.y);
    c.lineWidth = 0.7 / placing.scale;
    this.paint(0, mesh.n_plane, position, time, range);
    this.paint(mesh.n_plane, mesh.corners / 3, position, time, range);
  }
  paint(from, to, p, time, range) {
    const lists = Array.from({ length: shades + 3 }, () => []);
    for (let t = from; t < to; ++t) lists[this.shade(t, time, range)].push(t);
    lists.forEach((list, shade) => {
      if (!list.length) return;
      const { context: c } = this;
      c.beginPath();
      for (const t of list) {
        c.moveTo(p[6 * t], p[6 * t + 1]);
        c.lineTo(p[6 * t + 2], p[6 * t + 3]);
        c.lineTo(p[6 * t + 4], p[6 * t + 5]);
        c.closePath();
      }
      c.fillStyle = c.strokeStyle = this.colour(shade);
      c.fill();
      c.stroke(); // hides the hair lines between neighbours
    });
  }
}
