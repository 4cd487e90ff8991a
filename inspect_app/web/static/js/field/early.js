// Asks this phone's storage for the house while the browser still fetches the rest of the page's scripts.

import { packs } from "./memory.js";

const house = new URLSearchParams(location.search).get("house");
if (house) packs.ask(house);
