/* What the pages of rounds run besides: they bear a lost signal. */
import * as answers from "./rounds/answers.mjs";
import * as counter from "./rounds/count.mjs";

counter.listen();
answers.listen();
