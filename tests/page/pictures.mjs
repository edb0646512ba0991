// Makes the pictures of the README from a report, in the root of the project:
//
//   node tests/page/pictures.mjs cases/harbour-tug.results/report.html cases/harbour-tug
import { join, resolve } from "node:path";
import { open_browser, open_page } from "./browser.mjs";

const [file, out] = process.argv.slice(2).map((p) => resolve(p));
const browser = await open_browser();
const page = await open_page(browser, file, { width: 1400, height: 880 });
await page.screenshot({ path: join(out, "report.png") });

// The front on its way, with weld lines, as large as the page shows it.
await page.evaluate(() => {
  const { stage } = window.firstshot_page;
  stage.change("time", { position: stage.track.position(0.55 * stage.track.filled) });
  stage.change("look", { layers: { ...stage.layers, welds: true } });
});
await page.waitForTimeout(300);
await page.locator(".picture").screenshot({ path: join(out, "front-moving.png") });
await browser.close();
