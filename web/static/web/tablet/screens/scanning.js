// Reading a sticker's QR code by the tablet's camera, where the browser has a reader of its own. Typing always works.

import { button, h } from "../dom.js";
import { readScan } from "../tag_code.js";
import { t } from "../words.js";

export const canScan = () => "BarcodeDetector" in globalThis && Boolean(navigator.mediaDevices?.getUserMedia);

/**
 * @returns {Promise<import("../tag_code.js").Read | import("../tag_code.js").Slip | null>} null where somebody gave up; a
 *   slip of the camera where there is none, it may not be used, or its reader knows no such codes
 */
export async function scan() {
  const video = h("video", { playsinline: true, muted: true, "aria-label": t("sticker.camera") });
  const dialog = h("dialog", { class: "scanning", "aria-label": t("sticker.scan") }, h("p", {}, t("sticker.hold")), video,
    h("p", { class: "deeds" }, button(t("cancel"), () => dialog.close())));
  document.body.append(dialog);
  dialog.showModal();
  let stream;
  try {
    // @ts-expect-error not in every library of types yet
    const reader = new BarcodeDetector({ formats: ["qr_code"] });
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    video.srcObject = stream;
    await video.play();
    while (dialog.open) {
      const [found] = await reader.detect(video);
      if (found) return readScan(found.rawValue);
      await new Promise((resolve) => setTimeout(resolve, 150));
    }
    return null;
  } catch {
    return dialog.open ? { wrong: "camera" } : null;
  } finally {
    stream?.getTracks().forEach((/** @type {MediaStreamTrack} */ track) => track.stop());
    dialog.remove();
  }
}
