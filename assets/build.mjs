// Builds the browser files that the package ships: each file of src/ becomes one of the same name in static/vendor/, with
// the licences of what it holds beside it. built.json keeps checksums, so that a stale build is seen without Node.
import { createHash } from "node:crypto";
import { copyFileSync, mkdirSync, readFileSync, readdirSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const here = dirname(fileURLToPath(import.meta.url));
const vendor = process.argv[2] ?? join(here, "../src/looseends/web/static/vendor");
const shipped = process.argv[2] === undefined;
const sources = readdirSync(join(here, "src")).sort();
const checksum = (file) => createHash("sha256").update(readFileSync(file)).digest("hex");

mkdirSync(vendor, { recursive: true });
const made = await build({
  entryPoints: sources.map((name) => join(here, "src", name)),
  outdir: vendor,
  bundle: true,
  minify: true,
  format: "esm",
  target: ["chrome111", "firefox115", "safari16.4"],
  legalComments: "linked",
  metafile: true,
  logLevel: "warning",
});

const packages = new Set();
for (const input of Object.keys(made.metafile.inputs)) {
  const found = input.match(/node_modules\/((?:@[^/]+\/)?[^/]+)\//);
  if (found) packages.add(found[1]);
}
const lines = [...packages].sort().map((name) => {
  const { version, license } = JSON.parse(readFileSync(join(here, "node_modules", name, "package.json"), "utf8"));
  const file = readdirSync(join(here, "node_modules", name)).find((entry) => /^licen[cs]e/i.test(entry));
  copyFileSync(join(here, "node_modules", name, file), join(vendor, `${name.replace(/[/@]/g, "-")}.LICENSE.txt`));
  return `- ${name} ${version}, ${license}\n`;
});
writeFileSync(join(vendor, "LICENSES.md"), `# What these files are built from\n\n${lines.join("")}`);

if (shipped) {
  const inputs = ["package.json", "package-lock.json", "build.mjs", ...sources.map((name) => `src/${name}`)];
  const record = {
    sources: Object.fromEntries(inputs.map((name) => [name, checksum(join(here, name))])),
    built: Object.fromEntries(readdirSync(vendor).sort().map((name) => [name, checksum(join(vendor, name))])),
  };
  writeFileSync(join(here, "built.json"), `${JSON.stringify(record, null, 2)}\n`);
}
