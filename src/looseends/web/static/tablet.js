// Whether this device has what the application needs.
const looks = {
  trusted: async () => window.isSecureContext,
  worker: async () => "serviceWorker" in navigator,
  storage: async () => "indexedDB" in window && (await new Promise((done) => {
    const opened = indexedDB.open("looseends-look");
    opened.onsuccess = () => { opened.result.close(); indexedDB.deleteDatabase("looseends-look"); done(true); };
    opened.onerror = () => done(false);
  })),
  camera: async () => Boolean(navigator.mediaDevices?.getUserMedia),
};

let missing = 0;
for (const [name, look] of Object.entries(looks)) {
  const found = await look().catch(() => false);
  const said = document.querySelector(`[data-look="${name}"] span`);
  said.textContent = found ? said.dataset.yes : said.dataset.no;
  said.style.fontWeight = found ? "" : "700";
  missing += found ? 0 : 1;
}
document.getElementById("all-there").hidden = missing > 0;
document.getElementById("some-missing").hidden = missing === 0;
