// Bundles src/main.ts into ../static/bundle.js: one file, loaded by every page, nothing from outside.
import { build } from "esbuild";

await build({
  entryPoints: ["src/main.ts"],
  bundle: true,
  minify: true,
  format: "iife",
  target: "es2022",
  outfile: "../static/bundle.js",
  legalComments: "none",
});
