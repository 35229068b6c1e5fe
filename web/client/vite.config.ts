import { existsSync } from "node:fs";
import { resolve } from "node:path";
import { defineConfig } from "vitest/config";

// Entries by their source name; the pages look them up in the manifest.
const entries = ["src/main.ts", "src/cut.ts", "src/seen.ts"].filter((name) => existsSync(resolve(import.meta.dirname, name)));

export default defineConfig({
  base: "/static/built/",
  build: {
    outDir: "../../src/ringwright/web/static/built",
    emptyOutDir: true,
    manifest: "manifest.json",
    target: "es2022",
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    rollupOptions: { input: entries },
  },
  test: { include: ["test/**/*.test.ts"] },
});
