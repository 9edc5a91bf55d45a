// How a measure may be read: each reading engraved, to choose from.

import { drawing } from "./sheet.js";
import { post } from "./server.js";

export class Choices {
  /** `chosen(text, words)` gets the new text and what to say; `failed(words)` what went wrong. */
  constructor(text, chosen, failed) {
    this.text = text;
    this.chosen = chosen;
    this.failed = failed;
  }

  /** Open or close the readings of an unsure measure under its line of the list. */
  async toggle(item, row) {
    const button = row.querySelector("button");
    const open = row.querySelector(".readings");
    if (open) {
      open.remove();
      button.setAttribute("aria-expanded", "false");
      return;
    }
    button.setAttribute("aria-expanded", "true");
    const box = document.createElement("div");
    box.className = "readings";
    box.setAttribute("role", "group");
    box.setAttribute("aria-label", "Readings of this measure");
    row.append(box);
    const about = { text: this.text(), tune: item.tune, measure: item.measure };
    const { status, data } = await post("/choices", about);
    if (status !== 200) {
      box.remove();
      button.setAttribute("aria-expanded", "false");
      this.failed(data.error ?? "The readings could not be made.");
      return;
    }
    box.append(...data.map((choice, at) => this.reading(about, choice, at)));
    const hint = document.createElement("p");
    hint.textContent =
      data.length > 1
        ? "Choosing one writes its counts under the measure."
        : "No other reading is near. If this is wrong, type counts under the measure.";
    box.append(hint);
    row.scrollIntoView({ block: "nearest" });
  }

  reading(about, choice, at) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "reading";
    const words = document.createElement("span");
    const how = at === 0 ? "as it is read now" : "nearly as likely";
    words.textContent = `${choice.words} · ${how}`;
    const svg = drawing(choice.sheet);
    svg.setAttribute("aria-hidden", "true");
    button.append(svg, words);
    button.addEventListener("click", () => this.choose(about, choice));
    return button;
  }

  async choose(about, choice) {
    const { onsets, durations } = choice;
    const { status, data } = await post("/choose", { ...about, onsets, durations });
    if (status !== 200 || data.refused) {
      this.failed(data.refused ?? data.error);
    } else if (this.text() !== about.text) {
      this.failed("The text changed meanwhile; open the readings again.");
    } else {
      this.chosen(data.text, `${choice.words}: written into the text.${followers(data.followers)}`);
    }
  }
}

function followers(numbers) {
  if (!numbers.length) return "";
  if (numbers.length === 1) return ` Measure ${numbers[0]} follows it.`;
  return ` Measures ${numbers.join(", ")} follow it.`;
}
