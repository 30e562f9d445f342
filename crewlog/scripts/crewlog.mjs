/* What every page runs. Listeners are laid in this order: a form is asked about before it counts as sent. */
import "django_htmx/htmx-2.min.js";
import * as comfort from "./page/comfort.mjs";
import * as drafts from "./page/drafts.mjs";
import * as sending from "./page/sending.mjs";

drafts.listen();
sending.listen();
comfort.listen();
