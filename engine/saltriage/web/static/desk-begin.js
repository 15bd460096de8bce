// What a kept desk adds to the page, put in its places once the page stands.

import { $, desk, on, tell } from "./desk-page.js";
import * as kept from "./desk-kept.js";
import * as rail from "./desk-rail.js";
import * as closing from "./desk-close.js";

// Args: wanted: name or number of the call in the address.  places: of Alt and a digit.  addKeys: to the list of keys.
export async function begin(wanted, places, addKeys) {
  places.Digit7 = ["", () => $("#phone").focus()];
  places.Digit8 = ["", () => $("#address").focus()];
  places.Digit9 = ["", () => $("#ring").focus()];
  addKeys(rail.KEYS);
  on("close", closing.open);
  on("reopen", closing.reopen);
  on("chosen", kept.chosen);
  on("away", kept.open);
  tell("opened", desk.call);
  if (/^([0-9a-f-]{36}|\d{1,9})$/.test(wanted)) await kept.open(wanted);
  kept.sendLeft();
  document.body.dataset.ready = "yes";
}
