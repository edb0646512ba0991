// Bundles the page into one text: node bundle.mjs MODULES OUT.cpp
//
//   MODULES  folder whose node_modules hold the packages of package.json
//   OUT.cpp  C++ source that defines firstshot::report_template(); OUT.html beside it is the same page
import { createHash } from "node:crypto";
import { createRequire } from "node:module";
import { readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const here = dirname(fileURLToPath(import.meta.url));
const [modules, target] = process.argv.slice(2);
const { build } = createRequire(join(modules, "package.json"))("esbuild");

const common = {
  bundle: true,
  minify: true,
  write: false,
  legalComments: "none",
  target: ["chrome100", "firefox100", "safari15"],
  nodePaths: [join(modules, "node_modules")],
};

/** Names of the packages that a bundle really took in. */
function packages_in(metafile) {
  const names = Object.keys(metafile.inputs)
    .map((path) => /node_modules\/((?:@[^/]+\/)?[^/]+)\//.exec(path)?.[1])
    .filter(Boolean);
  return [...new Set(names)].sort();
}

/** What the page must say about a package. */
function licence_of(name) {
  const folder = join(modules, "node_modules", name);
  const about = JSON.parse(readFileSync(join(folder, "package.json"), "utf8"));
  const file = ["LICENSE", "LICENSE.md", "LICENSE.txt", "license"].find((f) => {
    try {
      return readFileSync(join(folder, f), "utf8");
    } catch {
      return false;
    }
  });
  if (!file) throw new Error(`${name} comes without the text of its licence`);
  return { name, version: about.version, licence: about.license, text: readFileSync(join(folder, file), "utf8") };
}

const first = await build({ ...common, entryPoints: [join(here, "src/main.js")], format: "iife", metafile: true,
  define: { LICENCES: "[]" } });
const licences = packages_in(first.metafile).map(licence_of);
const script_of = await build({ ...common, entryPoints: [join(here, "src/main.js")], format: "iife",
  define: { LICENCES: JSON.stringify(licences) } });
const style_of = await build({ ...common, entryPoints: [join(here, "src/page.css")] });

// A closing tag inside a text of the script would end it.
const script = script_of.outputFiles[0].text.replaceAll("</script", "<\\/script").replaceAll("<!--", "<\\!--");
const style = style_of.outputFiles[0].text.replaceAll("</style", "<\\/style");
const hash = (text) => `'sha256-${createHash("sha256").update(text).digest("base64")}'`;
const policy = ["default-src 'none'", `script-src ${hash(script)}`, `style-src ${hash(style)}`, "img-src data: blob:",
  "base-uri 'none'", "form-action 'none'"].join("; ");

const fill = (text, values) => text.replace(/%(\w+)%/g, (_, key) => values[key]);
const page = fill(readFileSync(join(here, "src/page.html"), "utf8"), { policy, script, style });

// Pieces of at most 8000 bytes: compilers limit the length of one string.
const bytes = Buffer.from(page, "utf8");
const escape = (byte) =>
  byte >= 32 && byte < 127 && byte !== 34 && byte !== 92 && byte !== 63
    ? String.fromCharCode(byte) : `\\${byte.toString(8).padStart(3, "0")}`;
const pieces = [];
for (let i = 0; i < bytes.length; i += 8000) pieces.push(`    "${Array.from(bytes.subarray(i, i + 8000), escape).join("")}",\n`);
const lengths = [];
for (let i = 0; i < bytes.length; i += 8000) lengths.push(Math.min(8000, bytes.length - i));
writeFileSync(target.replace(/\.cpp$/, ".html"), page);
writeFileSync(target, `// Made by io/report_page/bundle.mjs; do not edit.
#include "io/report_template.hpp"

namespace firstshot {
namespace {
constexpr const char* pieces[] = {
${pieces.join("")}};
constexpr unsigned int lengths[] = {${lengths.join(", ")}};
}  // namespace

std::string report_template() {
  std::string out;
  for (unsigned int i = 0; i < ${pieces.length}; ++i) out.append(pieces[i], lengths[i]);
  return out;
}

}  // namespace firstshot
`);
