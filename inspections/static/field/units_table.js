// Units of each stored dimension: what may be written, factor and offset to the stored unit, and
// how each system shows it.  The figures are the server's own, which a table of cases holds equal.

import { mark } from "./language.js";

/** Dimension -> accepts: {unit: [factor, offset]}; si, us: [label, factor, offset, decimals]. */
export const UNITS = {
  mm: {
    accepts: { mm: [1, 0], cm: [10, 0], m: [1000, 0], inch: [25.4, 0], foot: [304.8, 0] },
    si: ["mm", 1, 0, 1],
    us: ["in", 0.03937007874015748, 0, 2],
    advice: mark("Write 55.5 mm, 5.5 cm, 2 3/16 in or 2-3/16\"."),
  },
  m: {
    accepts: { mm: [0.001, 0], cm: [0.01, 0], m: [1, 0], inch: [0.0254, 0], foot: [0.3048, 0] },
    si: ["m", 1, 0, 2],
    us: ["ft", 3.2808398950131235, 0, 2],
    advice: mark("Write 120.5 m or 395 ft."),
  },
  degC: {
    // A point, with an offset; a change of temperature (K) has none.
    accepts: { degC: [1, 0], degF: [0.5555555555555556, -17.77777777777778] },
    si: ["°C", 1, 0, 1],
    us: ["°F", 1.8, 32, 1],
    advice: mark("Write 20 °C or 68 F."),
  },
  K: {
    accepts: { kelvin: [1, 0], degC: [1, 0], degF: [0.5555555555555556, 0] },
    si: ["K", 1, 0, 1],
    us: ["°F", 1.8, 0, 1],
    advice: mark("Write 10 K or 18 F."),
  },
  mrad: {
    accepts: { mrad: [1, 0], rad: [1000, 0], degree: [17.453292519943297, 0] },
    si: ["mrad", 1, 0, 1],
    us: ["mrad", 1, 0, 1],
    advice: mark("Write 4 mrad or 0.23 deg."),
  },
  deg: {
    accepts: { degree: [1, 0], mrad: [0.05729577951308232, 0], rad: [57.29577951308232, 0] },
    si: ["°", 1, 0, 2],
    us: ["°", 1, 0, 2],
    advice: mark("Write 3.5 deg."),
  },
  kN: {
    accepts: { kN: [1, 0], kip: [4.4482216152605, 0] },
    si: ["kN", 1, 0, 0],
    us: ["kip", 0.22480894309971047, 0, 1],
    advice: mark("Write 120 kN or 27 kip."),
  },
  MPa: {
    accepts: { MPa: [1, 0], psi: [0.006894757293168362, 0], ksi: [6.894757293168361, 0] },
    si: ["MPa", 1, 0, 2],
    us: ["psi", 145.03773773020922, 0, 0],
    advice: mark("Write 0.9 MPa or 130 psi."),
  },
  mm2: {
    accepts: { "mm**2": [1, 0], "cm**2": [100, 0], "inch**2": [645.16, 0] },
    si: ["mm²", 1, 0, 0],
    us: ["in²", 0.0015500031000062, 0, 1],
    advice: mark("Write a number, such as 12.5."),
  },
  "1/degC": {
    accepts: { "1/delta_degC": [1, 0], "1/delta_degF": [1.8, 0] },
    si: ["per °C", 1, 0, 7],
    us: ["per °F", 0.5555555555555556, 0, 8],
    advice: mark("Write 11.7e-6 per C or 6.5e-6 per F."),
  },
  "": {
    accepts: {},
    si: ["", 1, 0, 0],
    us: ["", 1, 0, 0],
    advice: mark("Write a number, such as 12.5."),
  },
};

const ALIKE = {
  mm: ["mm", "millimetre", "millimeter"],
  cm: ["cm"],
  m: ["m", "metre", "meter"],
  inch: ['"', "in", "in.", "inch", "inches"],
  foot: ["'", "ft", "ft.", "foot", "feet"],
  degC: ["c", "°c", "degc", "deg c"],
  degF: ["f", "°f", "degf", "deg f"],
  kelvin: ["k"],
  mrad: ["mrad"],
  rad: ["rad"],
  degree: ["deg", "°", "degree", "degrees"],
  kN: ["kn"],
  kip: ["kip", "kips"],
  MPa: ["mpa"],
  psi: ["psi"],
  ksi: ["ksi"],
  "mm**2": ["mm2"],
  "cm**2": ["cm2"],
  "inch**2": ["in2", "sq in"],
  "1/delta_degC": per("c", "°c", "degc", "k"),
  "1/delta_degF": per("f", "°f", "degf"),
};

function per(...degrees) {
  return ["per ", "/", "1/"].flatMap((start) => degrees.map((each) => start + each));
}

/** A unit as written, lower case -> its name. */
export const SPELLINGS = new Map(
  Object.entries(ALIKE).flatMap(([name, spelt]) => spelt.map((each) => [each, name])),
);

/** A unit's name -> how advice writes it, where that differs. */
export const WRITTEN = {
  inch: "in",
  foot: "ft",
  degC: "°C",
  degF: "°F",
  kelvin: "K",
  degree: "deg",
  "mm**2": "mm2",
  "cm**2": "cm2",
  "inch**2": "in2",
  "1/delta_degC": "per °C",
  "1/delta_degF": "per °F",
};
