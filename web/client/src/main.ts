// What every page has: the letters, the strip that scrolls with the work, and marking on the Map page.
import "@fontsource/b612/latin-400.css";
import "@fontsource/b612/latin-700.css";
import { startGo } from "./go";
import { startMap } from "./map";
import { startReading } from "./reading";
import { startRule, startStrip } from "./strip";

startStrip(document);
startRule(document);
startMap(document);
startGo(document);
startReading(document);
