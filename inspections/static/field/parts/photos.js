// Photos from the camera, shrunk here before they are kept.

import { clockNow } from "../clock.js";
import { enterPhoto, pictureOf } from "../outbox.js";
import { thumbnail } from "../packet.js";
import { el, field, put, t } from "./dom.js";
import { drafted, store } from "./typed.js";

const LONGEST_PX = 1600;
const QUALITY = 0.8;

/** The photos of an element, and a button that takes another. */
export async function photoForm(visit, element, redraw) {
  const caption = el("input", { type: "text", maxlength: 240 });
  const typed = drafted(visit, element.id, "photo caption", caption);
  const told = el("p", { role: "status" });
  const camera = el("input", {
    type: "file", accept: "image/*", capture: "environment", disabled: visit.isSigned,
    onchange: async () => {
      const [file] = camera.files;
      if (!file) return;
      put(told, t("Shrinking…"));
      try {
        const image = await shrunk(file);
        const photo = {
          inspection: visit.id, element: element.id, caption: caption.value.trim(), taken_at: clockNow(), image,
        };
        await store([typed], (places) => enterPhoto(visit.user.id, photo, places));
        await redraw();
      } catch (error) {
        if (error.name !== "NotKept" && error.name !== "InvalidStateError") throw error;
        put(told, t("Not kept: {message}", { message: error.message }));
      }
    },
  });
  const pictures = await Promise.all([
    ...visit.of("photo", element.id).map(async ({ uid, payload }) =>
      figure(await dataUrl(await pictureOf(visit.user.id, uid)), payload.caption || t("New photo"))),
    ...element.photos.map(async ({ uid, caption: words, taken_at }) =>
      figure(await thumbnail(visit.user.id, visit.id, uid), `${words} ${taken_at.slice(0, 10)}`.trim())),
  ]);
  return el("details", { class: "photos", "data-part": "photos", open: pictures.length > 0 },
    el("summary", {}, `${t("Photos")}${pictures.length ? `: ${pictures.length}` : ""}`),
    el("div", { class: "pictures" }, pictures), field(t("Caption"), caption), field(t("Take a photo"), camera), told);
}

/** Shrink a picture; its place and camera stay behind. */
export async function shrunk(file) {
  const image = await createImageBitmap(file);
  const factor = Math.min(1, LONGEST_PX / Math.max(image.width, image.height));
  const canvas = new OffscreenCanvas(Math.round(image.width * factor), Math.round(image.height * factor));
  canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
  return canvas.convertToBlob({ type: "image/jpeg", quality: QUALITY });
}

function figure(source, words) {
  return el("figure", {}, source ? el("img", { src: source, alt: words, loading: "lazy" }) : el("p", {}, t("Sent")),
    el("figcaption", {}, words));
}

function dataUrl(blob) {
  if (!blob) return null;
  return new Promise((resolve, reject) => {
    const reader = new FileReader();
    reader.onload = () => resolve(reader.result);
    reader.onerror = () => reject(reader.error);
    reader.readAsDataURL(blob);
  });
}
