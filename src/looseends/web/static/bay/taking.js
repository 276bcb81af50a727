// Photos and clips taken on the sheet: made small, kept with the check, and shown below it.
import { madeShort } from "./clips.js";
import { fill, make } from "./making.js";
import { madeSmall } from "./pictures.js";

const find = (id) => document.getElementById(id);

export class Taking {
  /** @param {any} from the page's block, the visit, how the sheet records and says, and what a picture is of */
  constructor(from) {
    Object.assign(this, from);
    for (const kind of ["photo", "clip"]) {
      find(`take-${kind}`).addEventListener("click", () => find(kind).click());
      find(kind).addEventListener("change", async (event) => {
        const files = [...event.target.files];
        event.target.value = "";
        await this.add(files);
      });
    }
  }

  async add(files) {
    const observation = this.observation();
    const { words } = this.page;
    let kept = 0;
    for (const file of files) {
      if (file.type.startsWith("video/")) { await this.addClip(file, observation); continue; }
      try {
        const photo = await madeSmall(file);
        await this.record(() => [{ photo, observation }]);
        kept += 1;
        if (files.length > 1) this.say(fill(words["photo ready"], { n: kept, all: files.length }));
      } catch {
        this.say(words["not a picture"]);
      }
    }
  }

  async addClip(file, observation) {
    const { words, entry } = this.page;
    this.say(words["clip being made"]);
    try {
      const made = await madeShort(file, entry.clip);
      await this.record(() => [{ ...made, observation }]);
    } catch (error) {
      if (!error.key) throw error;
      this.say(fill(words[error.key], error.values));
    }
  }

  show() {
    const shown = new Set([...find("thumbnails").children].map((item) => item.dataset.photo));
    for (const photo of this.visit.photos) if (!shown.has(photo.id)) find("thumbnails").append(this.item(photo));
  }

  item({ id, photo, clip, seconds }) {
    const source = this.from(photo, `photos/${id}/small`);
    const { words } = this.page;
    if (!clip) return make("li", { "data-photo": id }, make("img", { src: source, alt: words.photo, width: 96, height: 96 }));
    const film = { src: this.from(clip, `clips/${id}`), poster: source, width: 240, height: 180, controls: true, playsinline: true, preload: "none" };
    return make("li", { "data-photo": id }, make("video", { ...film, "aria-label": fill(words["clip of"], { seconds }) }));
  }

  /** Where a picture or a film is: on this device, or with the server. */
  from(blob, path) {
    return blob instanceof Blob ? URL.createObjectURL(blob) : `/api/visits/${this.page.visit}/${path}`;
  }
}
