// The camera on the scan line: frames go to the server one at a time, at most three a second; what they show lands on
// the tray. Where a browser gives no camera the page says what to do instead. Without script the photo form does it all.
"use strict";
(() => {
  const box = document.getElementById("camera");
  if (!box) return;
  const button = document.getElementById("camera-button");
  const picture = document.getElementById("camera-picture");
  const told = document.getElementById("camera-told");
  const token = document.querySelector("#photo-form input[name=csrf_token]").value;
  const GAP_MS = 340, WIDEST = 1920, QUALITY = 0.8;
  const instead = "Take a photo of the labels instead, or type the code.";
  const why = {
    NotAllowedError: "The camera was not allowed. Allow it for this page in the browser’s settings and try again.",
    NotFoundError: "No camera was found.",
    NotReadableError: "Another program holds the camera. Close it and try again.",
  };
  let stream = null;
  box.hidden = false;

  function say(words) { if (told.textContent !== words) told.textContent = words; }

  async function start() {
    if (!window.isSecureContext || !navigator.mediaDevices) {
      say(`A browser shows the camera only to pages opened over HTTPS or on the same machine. ${instead}`);
      return;
    }
    try {
      stream = await navigator.mediaDevices.getUserMedia({
        audio: false, video: { facingMode: "environment", width: { ideal: 1920 }, height: { ideal: 1080 } },
      });
    } catch (problem) {
      say(`${why[problem.name] || "The camera gave no picture."} ${instead}`);
      return;
    }
    picture.srcObject = stream;
    picture.hidden = false;
    button.setAttribute("aria-pressed", "true");
    button.textContent = "Stop the camera";
    say("Hold the label in the picture, steady and near.");
    await picture.play();
    look();
  }

  function stop(words) {
    if (stream) for (const track of stream.getTracks()) track.stop();
    stream = null;
    picture.srcObject = null;
    picture.hidden = true;
    button.setAttribute("aria-pressed", "false");
    button.textContent = "Use the camera";
    say(words || "");
  }

  function frame() {
    const share = Math.min(1, WIDEST / picture.videoWidth);
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(picture.videoWidth * share);
    canvas.height = Math.round(picture.videoHeight * share);
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    return new Promise((done) => canvas.toBlob(done, "image/jpeg", QUALITY));
  }

  function onTray() {
    return [...document.querySelectorAll("form.scan input[name=on]")].map((field) => field.value);
  }

  async function ask(shot) {
    const query = new URLSearchParams(onTray().map((text) => ["on", text]));
    const answer = await fetch(`${box.dataset.to}?${query}`, {
      method: "POST", body: shot, headers: { "Content-Type": "image/jpeg", "X-CSRFToken": token }, redirect: "error",
    });
    return answer.ok ? answer.json() : null;
  }

  // One frame in flight: the next is taken when the answer is there and the gap is over.
  async function look() {
    while (stream) {
      const began = performance.now();
      let answer = null;
      if (picture.videoWidth && !document.hidden) {
        try {
          answer = await ask(await frame());
        } catch {
          stop("The registry did not answer. Look whether you are still signed in and in reach of it, then try again.");
          return;
        }
      }
      if (answer && answer.shown) show(answer);
      await new Promise((done) => setTimeout(done, Math.max(0, GAP_MS - (performance.now() - began))));
    }
  }

  // The server draws the verdict and the tray; the page takes them in, keeps the camera running and its address true.
  function show(answer) {
    const drawn = new DOMParser().parseFromString(answer.shown, "text/html");
    for (const id of ["verdict", "lying"]) {
      const here = document.getElementById(id), now = drawn.getElementById(id);
      here.replaceChildren(...now.childNodes);
      if (now.dataset.tone !== undefined) here.dataset.tone = now.dataset.tone;
    }
    for (const signs of drawn.querySelectorAll("svg.signs")) document.body.append(signs);
    const line = document.querySelector("form.scan"), query = new URLSearchParams(answer.on.map((text) => ["on", text]));
    for (const old of line.querySelectorAll("input[name=on]")) old.remove();
    for (const text of answer.on) {
      line.append(Object.assign(document.createElement("input"), { type: "hidden", name: "on", value: text }));
    }
    const photo = document.getElementById("photo-form");
    photo.action = `${photo.action.split("?")[0]}?${query}`;
    const title = document.querySelector("form.scan h1");
    if (title) {
      const next = document.createElement("h2");
      next.append(...title.childNodes);
      next.querySelector("label").textContent = "Scan the next.";
      title.replaceWith(next);
    }
    history.replaceState(null, "", `/?${query}`);
    document.dispatchEvent(new CustomEvent("tray", { detail: answer.tone }));
  }

  button.addEventListener("click", () => { if (stream) stop(); else start(); });
  window.addEventListener("pagehide", () => stop());
})();
