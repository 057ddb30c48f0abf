// Audit judges plans, or a program that makes plans.
//
// # Plans
//
//	audit [FILE|DIRECTORY|-]... [-household FILE] [-target ID] [-foods FILE] [-rules FILE] [-notices FILE]
//	      [-region REGION] [-rule ID,…] [-workers N]
//	audit plan.yaml -household mine.yaml
//
// Without arguments it audits the plan of an invented rescue that is embedded in
// it. A directory means every .yaml and .json file in it, in the order of their
// names. A dash means standard input: plans as JSON Lines, one to a line, in any
// number; they are judged on all processors, in the order they came, and never
// held in memory together. With one plan the text is the whole report, with
// several one line for each and what is wrong below it.
//
// # Generators
//
//	audit -generator 'COMMAND …' [-rule ID,…] [-only ID,…] [-known FILE] [-random N] [-seed N]
//	      [-time 10s] [-line 16MiB] [-memory 1GiB] [-workers N]
//	audit -generator 'COMMAND …' -selftest
//
// The command is asked every scenario of the rule corpus over line-delimited JSON
// on its standard input and output, as PROTOCOL.md says. Each answer is judged
// like any other. What goes wrong with the program itself is told apart from a
// bad plan: see the outcomes in PROTOCOL.md. A program that crashed or had to be
// ended is started again for the next ask.
//
// -only limits the scenarios to these ids. -rule counts only what is wrong by
// these rules or requirements. -known is a list of failures that are known, each
// with its reason; what is listed must still fail. -random asks about that many
// households drawn by chance from the seed, beside the scenarios.
//
// # Corpus
//
//	audit -write DIRECTORY     copy the corpus, its schemas, the rules and every request, with a stamp
//	audit -lint DIRECTORY      judge a corpus itself; "shipped" means the one embedded
//	audit -new-id N            draw permanent ids that are free
//
// # Reports
//
//	-format text|json|junit|md   of standard output
//	-out FILE                    instead of standard output
//	-report FORMAT=FILE          another report of the same run; may be given several times
//
// json is JSON Lines with an opening and a closing record: without the closing
// one the report is not whole and not to be trusted. A report that cannot be
// written does not end the run; the others are written, and the exit is 2.
//
// A file gets its name when the report is whole; until then the old one stays. A
// run that is interrupted leaves it there, says so, and ends with 2. Behind a
// symbolic link the file is written and the link stays. A file that is read, be
// it a plan, the value of a flag, or named in the command of a generator, is never
// written over: that is refused before anything is done. What a killed run left
// beside a file, under a name that begins with .fitchet-part-, the next one
// removes.
//
// It exits with 0 when all is met, with 1 when something is not, and with 2 when
// its input cannot be used, the generator cannot be started, a report could not
// be written, or it was interrupted.
package main
