// Photos: as large as it takes to judge a hairline, turned the right way up, and without the place where they were
// taken. Drawing the picture anew leaves every note of the camera behind, the position among them.

export const LONGEST_PX = 2560;
const QUALITY = 0.88;
const TYPE = "image/jpeg";

/**
 * @param {number} width
 * @param {number} height
 * @param {number} longest
 */
export function fitted(width, height, longest = LONGEST_PX) {
  const scale = Math.min(1, longest / Math.max(width, height));
  return { width: Math.max(1, Math.round(width * scale)), height: Math.max(1, Math.round(height * scale)) };
}

/** @param {Blob} blob */
export async function digestOf(blob) {
  const bytes = new Uint8Array(await crypto.subtle.digest("SHA-256", await blob.arrayBuffer()));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/**
 * The camera's file as a canvas to draw on.
 *
 * @param {Blob} file
 * @returns {Promise<HTMLCanvasElement>}
 */
export async function developed(file) {
  const bitmap = await createImageBitmap(file, { imageOrientation: "from-image" });
  const canvas = document.createElement("canvas");
  Object.assign(canvas, fitted(bitmap.width, bitmap.height));
  const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
  pen.imageSmoothingQuality = "high";
  pen.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  bitmap.close();
  return canvas;
}

/**
 * @param {HTMLCanvasElement} canvas
 * @returns {Promise<{ blob: Blob, sha256: string }>}
 */
export async function fixed(canvas) {
  const blob = await new Promise((resolve, reject) => {
    canvas.toBlob((made) => (made ? resolve(made) : reject(new Error("the picture could not be made"))), TYPE, QUALITY);
  });
  return { blob, sha256: await digestOf(blob) };
}
