// Opens pages of the report in headless Chromium and notes everything that it complains about.
import { createRequire } from "node:module";
import { existsSync } from "node:fs";
import { join, resolve } from "node:path";
import { pathToFileURL } from "node:url";

const store = resolve(process.env.FIRSTSHOT_PAGE_TESTS ?? "build/report_page_tests"); // folder whose node_modules hold the packages of package.json
const require = createRequire(join(store, "package.json"));
const { chromium } = require("playwright-core");
export const axe_source = require("axe-core").source;

const programs = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];

export async function open_browser() {
  const program = programs.find(existsSync);
  if (!program) throw new Error("there is no Chromium; tools/install.sh installs it");
  return chromium.launch({ executablePath: program, args: ["--no-sandbox", "--disable-gpu", "--enable-unsafe-swiftshader"] });
}

/** @param options {width, height, hash, touch} @returns the page; its `complaints` and `requests` are lists */
export async function open_page(browser, file, options = {}) {
  const context = await browser.newContext({ viewport: { width: options.width ?? 1280, height: options.height ?? 850 }, hasTouch: options.touch ?? false,
    deviceScaleFactor: options.sharp ?? 1 });
  const page = await context.newPage();
  page.complaints = [];
  page.requests = [];
  page.on("console", (m) => {
    // Software drawing says that reading pixels back is slow; the tests do so on purpose.
    if (!/GPU stall due to ReadPixels/.test(m.text())) page.complaints.push(`${m.type()}: ${m.text()}`);
  });
  page.on("pageerror", (e) => page.complaints.push(`error: ${e.message}`));
  page.on("request", (r) => page.requests.push(r.url()));
  const address = pathToFileURL(file).href + (options.hash ?? "");
  await page.goto(address);
  await page.waitForSelector("html[data-ready]");
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
  page.address = address;
  return page;
}
