// Writes the licences of what is bundled beside the bundle.
import { readFileSync, writeFileSync } from "node:fs";

const parts = ["three", "three-mesh-bvh"].map((name) => {
  const { version } = JSON.parse(readFileSync(`node_modules/${name}/package.json`, "utf8"));
  return `${name} ${version}\n\n${readFileSync(`node_modules/${name}/LICENSE`, "utf8").trim()}\n`;
});
writeFileSync("../static/vendor/three.LICENCES.txt", parts.join("\n\n"));
