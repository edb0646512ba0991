// Drives the page of the report as a person would: node drive.mjs GROUP RESULTS_PAGES_FOLDER
//
// GROUP is the name of one of the lists of tests below. The folder holds run.html, compare.html, broken.html,
// killed.html and values.json (tests/page/CMakeLists.txt says how they are made).
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { axe_source, open_browser, open_page } from "./browser.mjs";

const [group, folder] = process.argv.slice(2);
const file = (name) => join(folder, name);
const values = () => JSON.parse(readFileSync(file("values.json"), "utf8"));
const readout = (page, k = 0) => page.locator(".readout").nth(k).innerText();
const settle = (page) => page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));

/** Number after `label` in a readout: "… Pressure 3.21 MPa …", with its last digit's size. */
function number_after(text, label) {
  const found = new RegExp(`${label}\\s+(−?[0-9.\u202f]+)(?:·10([⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+))?`).exec(text);
  assert.ok(found, `"${text}" holds no number after "${label}"`);
  const plain = found[1].replace("−", "-").replaceAll("\u202f", "");
  const power = found[2] ? 10 ** Number([...found[2]].map((c) => "-0123456789"["⁻⁰¹²³⁴⁵⁶⁷⁸⁹".indexOf(c)]).join("")) : 1;
  return { value: Number(plain) * power, digit: 10 ** -(plain.split(".")[1]?.length ?? 0) * power };
}

/** Shares of the drawn pixels that are an empty cavity. */
const empty_share = (page) => page.evaluate(() => {
  const from = document.querySelector("canvas.colours"), copy = document.createElement("canvas");
  [copy.width, copy.height] = [from.width, from.height];
  const c = copy.getContext("2d");
  c.drawImage(from, 0, 0);
  const { data } = c.getImageData(0, 0, copy.width, copy.height);
  let empty = 0, all = 0;
  for (let i = 0; i < data.length; i += 4) {
    if (data[i + 3] < 250) continue;
    ++all;
    const [r, g, b] = [data[i], data[i + 1], data[i + 2]];
    if (Math.abs(r - 231) < 8 && Math.abs(g - 227) < 8 && Math.abs(b - 219) < 8) ++empty;
  }
  return { empty: empty / all, all };
});

async function set_time(page, share) {
  await page.locator(".time input").evaluate((slider, value) => {
    slider.value = String(value);
    slider.dispatchEvent(new Event("input", { bubbles: true }));
  }, Math.round(1000 * share));
  await settle(page);
}

async function slider_moves_the_front(page) {
  await set_time(page, 1);
  const end = await empty_share(page);
  assert.ok(end.all > 20000, "hardly anything is drawn");
  assert.ok(end.empty < 0.03, `at the end ${end.empty} is empty`);
  await set_time(page, 0.25);
  const early = await empty_share(page);
  await set_time(page, 0.6);
  const later = await empty_share(page);
  assert.ok(early.empty > 0.3, `at a quarter only ${early.empty} is empty`);
  assert.ok(later.empty < early.empty - 0.1, "the front does not move on");
  assert.match(await page.locator(".time output").innerText(), /^0\.\d+\s+s$/);
  await set_time(page, 1);
}

async function picking_shows_the_result(page) {
  const fields = { arrival_time: "Melt arrives after", pressure: "Pressure", temperature_mean: "Temperature, mean over the gap" };
  let checked = 0;
  await page.evaluate((time) => {
    const { stage } = window.firstshot_page;
    stage.change("time", { position: stage.track.position(time) });
  }, values()[0].time_s);
  for (const [key, label] of Object.entries(fields)) {
    await page.locator(".controls select").selectOption(key);
    for (const place of values()) {
      const at = await page.evaluate(([x, y]) => window.firstshot_page.views[0].to_window(x, y), [place.x_mm, place.y_mm]);
      await page.mouse.move(at[0], at[1]);
      const text = await readout(page);
      if (!text.includes(place.part)) continue; // a vertex on the very rim
      const { value, digit } = number_after(text, label);
      // One pixel is about 0.1 mm; the field changes by as much between two vertices, 1.5 mm apart, as the slack allows.
      const slack = digit + 0.012 * (key === "temperature_mean" ? 220 : Math.max(...values().map((v) => v[key])));
      assert.ok(Math.abs(value - place[key]) <= slack, `${key} at ${place.x_mm}, ${place.y_mm}: ${value} instead of ${place[key]}`);
      ++checked;
    }
  }
  assert.ok(checked > 30, `only ${checked} places were checked`);
  // The number itself, without the pointer's own pixel: the page's reading at the very vertex.
  await page.locator(".controls select").selectOption("pressure");
  const most = Math.max(...values().map((v) => v.pressure));
  for (const place of values()) {
    const read = await page.evaluate(([x, y]) => window.firstshot_page.views[0].reading(x, y)?.value, [place.x_mm, place.y_mm]);
    if (read !== undefined) assert.ok(Math.abs(read - place.pressure) < 2e-3 * most, `${read} instead of ${place.pressure}`);
  }
  await page.locator(".controls select").selectOption("arrival_time");
}

async function rows_find_their_places(page) {
  const button = page.locator("#parts button.show").nth(1);
  await button.click();
  await settle(page);
  const name = await page.locator("#parts tbody th").nth(1).innerText();
  assert.ok((await readout(page)).includes(name), "the row's part is not what the picture shows");
  const seen = await page.evaluate(() => {
    const { stage, views } = window.firstshot_page, [x, y] = views[0].to_window(stage.mark.x, stage.mark.y);
    const box = views[0].box.getBoundingClientRect();
    return { zoom: stage.zoom, inside: x > box.left && x < box.right && y > box.top && y < box.bottom, on_screen: y > 0 && y < innerHeight };
  });
  assert.deepEqual([seen.inside, seen.on_screen], [true, true]);
  assert.ok(seen.zoom > 1);
  await page.locator(".zoom button", { hasText: "All" }).click();
  assert.equal(await page.evaluate(() => window.firstshot_page.stage.zoom), 1);
}

async function keys_read_and_move(page) {
  await page.locator(".picture").focus();
  const places = new Set();
  for (let i = 0; i < 6; ++i) {
    await page.keyboard.press("Shift+ArrowLeft");
    places.add(await readout(page));
  }
  assert.ok(places.size > 2, "the arrow keys read nothing");
  await page.keyboard.press("+");
  assert.ok((await page.evaluate(() => window.firstshot_page.stage.zoom)) > 1);
  await page.keyboard.press("0");
  await page.keyboard.press(",");
  assert.ok((await page.evaluate(() => window.firstshot_page.stage.position)) < 1);
  await page.keyboard.press(".");
  await page.keyboard.press("Space");
  await page.waitForFunction(() => window.firstshot_page.stage.playing && window.firstshot_page.stage.position > 0.01 && window.firstshot_page.stage.position < 0.9);
  await page.locator("button.play").click();
  assert.equal(await page.evaluate(() => window.firstshot_page.stage.playing), false);
}

async function whole_view(browser, hash, painter) {
  const page = await open_page(browser, file("run.html"), { hash });
  assert.equal(await page.locator(".picture").getAttribute("data-painter"), painter);
  await slider_moves_the_front(page);
  await picking_shows_the_result(page);
  await rows_find_their_places(page);
  await keys_read_and_move(page);
  assert.deepEqual(page.complaints, []);
}

const tests = {
  webgl: { "slider, pointer, rows and keys with WebGL": (b) => whole_view(b, "", "webgl") },
  canvas: { "slider, pointer, rows and keys without WebGL": (b) => whole_view(b, "#canvas", "canvas") },

  safety: {
    "names of a case stay text": async (browser) => {
      const page = await open_page(browser, file("run.html"));
      assert.equal(await page.evaluate(() => window.hacked), undefined);
      assert.ok((await page.locator("h1").innerText()).startsWith("</title><script>"));
      assert.ok((await page.locator("#parts").innerText()).includes("<img src=x onerror="));
      assert.equal(await page.locator("main script, main img, main b[onclick]").count(), 0);
      const handlers = await page.evaluate(() => [...document.querySelectorAll("*")].flatMap((e) => e.getAttributeNames()).filter((n) => n.startsWith("on")));
      assert.deepEqual(handlers, []);
      assert.deepEqual(page.complaints, []);
    },
    "nothing is loaded, and nothing else may run": async (browser) => {
      const page = await open_page(browser, file("run.html"));
      assert.deepEqual(page.requests, [page.address]);
      const policy = await page.locator("meta[http-equiv=Content-Security-Policy]").getAttribute("content");
      assert.match(policy, /default-src 'none'/);
      assert.doesNotMatch(policy, /unsafe/);
      await page.evaluate(() => {
        const script = document.createElement("script");
        script.textContent = "window.hacked = 'added'";
        document.body.append(script);
      });
      assert.equal(await page.evaluate(() => window.hacked), undefined);
    },
  },

  paper: {
    "it prints on A4 with its picture": async (browser) => {
      const page = await open_page(browser, file("run.html"));
      await page.locator(".approval input").first().fill("A. Miller");
      const pdf = (await page.pdf({ preferCSSPageSize: true, printBackground: true })).toString("latin1");
      const sheets = (pdf.match(/\/Type\s*\/Page\b/g) ?? []).length;
      assert.ok(sheets >= 3 && sheets <= 9, `${sheets} sheets`);
      const [, width, height] = /\/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]/.exec(pdf);
      assert.ok(Math.abs(width - 595) < 1 && Math.abs(height - 842) < 1, `${width} x ${height} pt is not A4`);
      const inked = await page.evaluate(() => {
        const c = document.querySelector("canvas.on_paper"), { data } = c.getContext("2d").getImageData(0, 0, c.width, c.height);
        let n = 0;
        for (let i = 3; i < data.length; i += 4) n += data[i] > 200;
        return n / (c.width * c.height);
      });
      assert.ok(inked > 0.05, "the picture on paper is empty");
      await page.emulateMedia({ media: "print" });
      assert.equal(await page.locator("button.show").first().isVisible(), false);
      assert.equal(await page.locator("canvas.on_paper").isVisible(), true);
      assert.deepEqual(page.complaints, []);
    },
    "a narrow screen needs no sideways scrolling": async (browser) => {
      const page = await open_page(browser, file("run.html"), { width: 390, height: 800, touch: true });
      const [whole, seen] = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
      assert.ok(whole <= seen + 1, `${whole} > ${seen}`);
      await page.locator(".picture").scrollIntoViewIfNeeded();
      const place = values()[0], at = await page.evaluate(([x, y]) => window.firstshot_page.views[0].to_window(x, y), [place.x_mm, place.y_mm]);
      await page.touchscreen.tap(at[0], at[1]);
      assert.ok((await readout(page)).length > 0);
      assert.deepEqual(page.complaints, []);
    },
  },

  access: Object.fromEntries(["run.html", "compare.html", "killed.html"].map((name) => [`${name} has no fault that axe finds`, async (browser) => {
    const page = await open_page(browser, file(name));
    await page.evaluate(axe_source);
    const found = await page.evaluate(() => axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"] }));
    assert.ok(found.passes.length > 15);
    assert.deepEqual(found.violations.map((v) => `${v.id}: ${v.help}: ${v.nodes.map((n) => n.target.join(" ")).slice(0, 3)}`), []);
  }])),

  others: {
    "runs side by side share scale and time": async (browser) => {
      const page = await open_page(browser, file("compare.html"));
      assert.equal(await page.locator(".picture").count(), 2);
      await set_time(page, 0.3);
      const seen = await page.evaluate(() => {
        const { stage, views } = window.firstshot_page;
        return { same: views.every((v) => v.stage === stage), fields: views.map((v) => v.run.field("arrival_time").high), high: stage.range.high };
      });
      assert.ok(seen.same);
      assert.equal(seen.high, Math.max(...seen.fields));
      assert.ok(seen.fields[0] !== seen.fields[1], "the two runs are alike");
      assert.match(await page.locator("main").innerText(), /[+−][\d.]+ \([+−][\d.]+ %\)/);
      assert.deepEqual(page.complaints, []);
    },
    "a damaged result shows its numbers and says what is missing": async (browser) => {
      const page = await open_page(browser, file("broken.html"));
      assert.match(await page.locator(".missing").innerText(), /damaged/);
      assert.match(await page.locator(".numbers").innerText(), /Fill time\s+[\d.]+/);
      assert.match(await page.locator(".stage").innerText(), /No picture/);
      assert.deepEqual(page.complaints, []);
    },
    "a killed run shows its picture and no verdict": async (browser) => {
      const page = await open_page(browser, file("killed.html"));
      assert.match(await page.locator(".missing").innerText(), /has not ended/);
      assert.match(await page.locator(".verdict").innerText(), /No verdict yet/);
      assert.ok((await empty_share(page)).all > 20000);
      assert.deepEqual(page.complaints, []);
    },
  },
};

const browser = await open_browser();
let failed = 0;
for (const [name, test] of Object.entries(tests[group])) {
  try {
    await test(browser);
    console.log(`passed: ${name}`);
  } catch (error) {
    ++failed;
    console.log(`FAILED: ${name}\n${error.stack}`);
  }
}
await browser.close();
process.exitCode = failed ? 1 : 0;
