// Reads the colours that crosscheck sends on standard input and writes culori's
// differences and Lab values for them. JSON has no NaN: it goes out as null.
import { readFileSync } from "node:fs";
import {
  converter,
  differenceCie76,
  differenceCie94,
  differenceCiede2000,
  differenceCmc,
} from "culori";

const { pairs, rgb } = JSON.parse(readFileSync(0, "utf8"));
const lab = ([l, a, b]) => ({ mode: "lab65", l, a, b });
const each = (difference) => pairs.map(([ref, sample]) => difference(lab(ref), lab(sample)));

// Through XYZ by name, so that Display P3 does not take the way round by sRGB.
const xyz = converter("xyz65");
const toLab = converter("lab65");
const labs = (mode) =>
  rgb.map(([r, g, b]) => {
    const c = toLab(xyz({ mode, r, g, b }));
    return [c.l, c.a, c.b];
  });

process.stdout.write(
  JSON.stringify({
    differences: {
      "ΔE*ab": each(differenceCie76()),
      "CIE94 graphic arts": each(differenceCie94(1, 0.045, 0.015)),
      "CIE94 textiles": each(differenceCie94(2, 0.048, 0.014)),
      "CMC(1:1)": each(differenceCmc(1, 1)),
      "CMC(2:1)": each(differenceCmc(2, 1)),
      "ΔE00": each(differenceCiede2000(1, 1, 1)),
      "ΔE00, kL 2": each(differenceCiede2000(2, 1, 1)),
    },
    labs: { sRGB: labs("rgb"), "Display P3": labs("p3") },
  }),
);
