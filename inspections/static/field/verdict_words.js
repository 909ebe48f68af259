// The words of what is said of a value while it is typed; see `verdict.js`.

import { mark } from "./language.js";

/** The words, the gravest first. */
export const WORDS = {
  impossible: mark("Cannot be right"),
  past_limit: mark("Past a limit"),
  outside_band: mark("Outside the band"),
  within_band: mark("Within the band"),
  not_compared: mark("Nothing to compare with"),
};

/** What is missing to compare with. */
export const LACKS = {
  "no setting": mark("nothing is on record that this place could be compared with"),
  "no temperature":
    mark("no temperature of this hour yet: measure a girder surface in the shade, and the deck soffit"),
};

const WIDER = [
  mark("{amount} wider than the {expected} expected"),
  mark("{amount} narrower than the {expected} expected"),
];

/** Away from what was expected: above it, below it. */
export const AHEAD = [
  mark("{amount} ahead of the {expected} expected"),
  mark("{amount} behind the {expected} expected"),
];

/** The same where a quantity has words of its own. */
export const DIRECTIONS = {
  gap: WIDER,
  key_gap: WIDER,
  slack: [
    mark("{amount} more than the {expected} expected"),
    mark("{amount} less than the {expected} expected"),
  ],
  offset_across: [
    mark("{amount} to the left of the {expected} expected"),
    mark("{amount} to the right of the {expected} expected"),
  ],
  projection: [
    mark("{amount} above the {expected} expected"),
    mark("{amount} below the {expected} expected"),
  ],
  broken_rods: [
    mark("{amount} more than the {expected} expected"),
    mark("{amount} fewer than the {expected} expected"),
  ],
};

/** What it would reach at a design temperature. */
export const CARRIED = {
  lowest: mark(
    "carried to the lowest design temperature of {extreme} it would reach its limit of {limit}",
  ),
  highest: mark(
    "carried to the highest design temperature of {extreme} it would reach its limit of {limit}",
  ),
};
