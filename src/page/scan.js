// Scans a label into a form: live where the browser reads codes, else by a photo that the server
// reads. The form goes to the server either way, which puts the item where it belongs. Every page
// works without this file.
"use strict";
(() => {
  const { say, made } = globalThis.words;
  // A code of this program's labels: others on the same item are passed over.
  const LABEL = /^wearbook:[^:]+:(item|badge):|:\/\/.*\/(item|badge)\/[^/]+\?of=/i;
  const BETWEEN = 200;

  const has_live = async () => {
    if (!globalThis.BarcodeDetector || !navigator.mediaDevices?.getUserMedia) return false;
    const formats = await BarcodeDetector.getSupportedFormats().catch(() => []);
    return formats.includes("qr_code");
  };

  // The form goes with everything that was typed, and with a code or a photo.
  const send = (button, code) => {
    const { form } = button;
    form.querySelector("input[name=code]")?.remove();
    if (code) form.append(made("input", "", { type: "hidden", name: "code", value: code }));
    button.formEnctype = code ? "application/x-www-form-urlencoded" : "multipart/form-data";
    form.requestSubmit(button);
  };

  const watch = async (camera, video) => {
    const wanted = { video: { facingMode: "environment" }, audio: false };
    const stream = await navigator.mediaDevices.getUserMedia(wanted);
    const stop = () => stream.getTracks().forEach((it) => it.stop());
    camera.addEventListener("close", stop);
    if (!camera.open) stop();
    video.srcObject = stream;
    await video.play();
    const detector = new BarcodeDetector({ formats: ["qr_code"] });
    while (camera.open) {
      const found = await detector.detect(video).catch(() => []);
      const label = found.map((it) => it.rawValue).find((it) => LABEL.test(it));
      if (label) return label;
      await new Promise((done) => setTimeout(done, BETWEEN));
    }
    return null;
  };

  const open_camera = (button, photo) => {
    const camera = made("dialog", "", { className: "camera" });
    const video = made("video", "", { muted: true, playsInline: true });
    const line = made("p", say("Hold the camera over the label."));
    line.setAttribute("role", "status");
    const one = (words, then) => {
      const made_button = made("button", words, { type: "button", className: "big second" });
      made_button.addEventListener("click", () => {
        camera.close();
        then();
      });
      return made_button;
    };
    camera.append(line, video,
      one(say("Take a photo instead"), () => photo.click()), one(say("Close"), () => {}));
    camera.addEventListener("close", () => camera.remove());
    document.body.append(camera);
    camera.showModal();
    watch(camera, video).then((code) => {
      if (!code) return;
      camera.close();
      send(button, code);
    }, () => {
      video.remove();
      line.textContent = say("The camera is not to be had: take a photo, or type the id.");
    });
  };

  for (const place of document.querySelectorAll(".scan")) {
    const button = place.querySelector("button");
    const photo = place.querySelector("input[type=file]");
    place.querySelector("label").hidden = photo.hidden = true;
    button.textContent = say("Scan a label");
    button.addEventListener("click", async (event) => {
      event.preventDefault();
      if (await has_live()) open_camera(button, photo);
      else photo.click();
    });
    photo.addEventListener("change", () => photo.files.length && send(button, ""));
  }
})();
