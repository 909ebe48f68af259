// Which instrument is in use for what: chosen once, and told with every reading from then on.

import { keepDraft } from "../drafts.js";
import { choice, el, field, mark, t } from "./dom.js";

const WORDS = {
  mm: mark("Lengths"), degC: mark("Temperatures"), mrad: mark("Rotations"), deg: mark("Tilts"), kN: mark("Forces"),
};

/** The instrument in use for a dimension, null where none was chosen. */
export function instrumentFor(visit, dimension) {
  const chosen = Number(visit.draft("", `instrument ${dimension}`));
  return (visit.packet.instruments ?? []).find((each) => each.id === chosen) ?? null;
}

/** Choose the instruments in use. */
export function instrumentForm(visit) {
  const instruments = visit.packet.instruments ?? [];
  const dimensions = [...new Set(instruments.map(({ dimension }) => dimension))];
  if (!dimensions.length) return null;
  return el("details", { "data-part": "instruments" }, el("summary", {}, t("Instruments in use")),
    dimensions.map((dimension) => {
      const options = instruments.filter((each) => each.dimension === dimension)
        .map(({ id, code, name }) => ({ code: id, label: `${code} ${name}` }));
      const place = { user: visit.user.id, inspection: visit.id, element: "", field: `instrument ${dimension}` };
      const select = choice([{ code: "", label: t("Not said") }, ...options], visit.draft("", place.field), {
        onchange: () => keepDraft(place, select.value),
      });
      return field(WORDS[dimension] ? t(WORDS[dimension]) : dimension, select);
    }));
}
