// The camera is the second way to read a code, after the scanner and before typing. Where the browser can read symbols
// itself it does; else pictures go to our own server, which reads them. Nothing is kept of either.

const EVERY_MS = 250;
const FORMATS = ["qr_code", "data_matrix", "code_128", "ean_13"];
const JPEG_QUALITY = 0.8;
const address = document.body.dataset.readSymbol;
const token = () => document.querySelector('input[name="csrfmiddlewaretoken"]')?.value || "";

async function ownReader() {
  if (!("BarcodeDetector" in window)) return null;
  const known = await window.BarcodeDetector.getSupportedFormats();
  const wanted = FORMATS.filter((format) => known.includes(format));
  if (!wanted.length) return null;
  const detector = new window.BarcodeDetector({ formats: wanted });
  return async (video) => (await detector.detect(video)).map((found) => found.rawValue);
}

function serverReader() {
  const canvas = document.createElement("canvas");
  return async (video) => {
    canvas.width = video.videoWidth;
    canvas.height = video.videoHeight;
    canvas.getContext("2d").drawImage(video, 0, 0);
    const picture = await new Promise((done) => canvas.toBlob(done, "image/jpeg", JPEG_QUALITY));
    const answer = await fetch(address, {
      method: "POST", body: picture, redirect: "error", headers: { "X-CSRFToken": token(), "Content-Type": "image/jpeg" },
    });
    return answer.ok ? (await answer.json()).codes : [];
  };
}

async function watch(button) {
  const line = document.getElementById(button.dataset.camera);
  const words = button.textContent;
  const video = Object.assign(document.createElement("video"), { playsInline: true, muted: true, className: "camera" });
  let stream = null;
  let over = false;

  const stop = () => {
    over = true;
    stream?.getTracks().forEach((track) => track.stop());
    video.remove();
    button.textContent = words;
    button.onclick = () => watch(button);
  };
  button.onclick = stop;
  button.textContent = button.dataset.stop;
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" }, audio: false });
    button.parentElement.after(video);
    video.srcObject = stream;
    await video.play();
    const read = (await ownReader()) || serverReader();
    while (!over) {
      const [code] = video.videoWidth ? await read(video).catch(() => []) : [];
      if (code) {
        stop();
        line.dispatchEvent(new CustomEvent("ledger:scanned", { bubbles: true, detail: code }));
        return;
      }
      await new Promise((done) => setTimeout(done, EVERY_MS));
    }
  } catch {
    stop();
    button.textContent = button.dataset.none;
  }
}

const canRead = "BarcodeDetector" in window || address;
if (navigator.mediaDevices?.getUserMedia && canRead) {
  for (const button of document.querySelectorAll("[data-camera]")) {
    button.hidden = false;
    button.onclick = () => watch(button);
  }
}
