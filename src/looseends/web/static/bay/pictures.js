// Photos made small on the device before they are kept: at most 2048 px, JPEG, without what the camera wrote into them.

const LONGEST = 2048;
const QUALITY = 0.85;

/** @param {Blob} file @returns {Promise<Blob>} */
export async function madeSmall(file) {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  const scale = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(picture.width * scale));
  canvas.height = Math.max(1, Math.round(picture.height * scale));
  const paper = canvas.getContext("2d");
  paper.fillStyle = "white";
  paper.fillRect(0, 0, canvas.width, canvas.height);
  paper.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const made = await new Promise((done) => { canvas.toBlob(done, "image/jpeg", QUALITY); });
  if (!made) throw new Error("picture");
  return made;
}
