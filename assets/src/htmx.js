// Pages ask for parts of pages: https://htmx.org, 0BSD.
import htmx from "htmx.org/dist/htmx.esm.js";
window.htmx = htmx;
export default htmx;
