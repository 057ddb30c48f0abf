// Weekplan makes or audits a household's week: who needs how much, what to feed
// by day and meal, whether it is balanced, what to buy, how long it may stay
// out, and where each number comes from.
//
// Without flags it plans for the invented rescue embedded in it.
//
//	weekplan [-household FILE] [-plan FILE] [-start DATE] [-room TEMPERATURE]
//	         [-foods FILE] [-rules FILE] [-notices FILE]
//	         [-sheet week|door|vet|card] [-format text|md|html|json|ics] [-out FILE]
//	         [-next MANY] [-costs] [-styles]
//	weekplan -schema
//
// One week is written as one of four sheets:
//
//	week   everything, with the audit and every source
//	door   for the door: by day who gets what, out and lift-by times from the
//	       feeding clock in this room, what to move into the fridge and when, and
//	       room to write down what was left and what was found hidden, in grams
//	vet    one page for a vet: animals and needs, what is planned to be fed, shares,
//	       nutrients with how much of the food they are known for, open questions
//	card   a card for each animal, for a sitter or an adopter: menu and times, what
//	       must not be fed, when to call a vet
//
// On a day with fewer meals than the feeding clock has bowls, the door sheet
// shares that day's food out over all of them; what is fed stays the same. Where
// limit and hunger cannot both be kept in the night, it lists the ways out and
// takes none of them.
//
// The week begins at most 28 days after the day the household describes, and not
// before it; from 8 days on the sheet says first that the figures are old. What is
// past its best-before day stands before all else and is not planned with.
//
// Three flags add a part each to the week sheet of a plan that is made here:
//
//	-next    the next best plans: what they cost, and what is bought more or fewer
//	-costs   what each requirement costs: how much cheaper the packs would be
//	         without it
//	-styles  the week assembled, of a complete mix, of whole prey and mixed, beside
//	         the plan: cost, work in the kitchen (counted, not timed), what the
//	         audit leaves open, or what is lacking for it
//
// They are computed from the packs on offer, and say what is proved and what is
// only the cheapest that the search could find. Where nothing is on offer no
// price is known, and they say that. The JSON holds what the words leave out,
// among it each of these plans in the form that -plan reads. -plan also reads the
// whole week sheet back: the household it is for and foods of your own come with it.
//
// Planning is bounded by -budget, counted in steps of the search and never in
// seconds. Where it is spent the sheet holds the best that was found and says so;
// where nothing was found it says that, and not that there is no plan.
//
// Html is one file without script or outside request, black on white, made for
// A4 and Letter paper; md is CommonMark with tables and holds no HTML. Names that
// are written from right to left are set apart from the text around them. Ics is
// a calendar (RFC 5545) of the door sheet: days to thaw, bowls to put down and to
// lift, stash rounds. Its times have no zone: they are those of the house. An
// entry keeps its name (UID) from run to run, so that a calendar that reads a
// newer file replaces it. The JSON of each sheet has a schema, which -schema
// prints.
//
// It exits with 0 when nothing has to be stopped or mended, with 1 when
// something has, or when there is no plan, and with 2 when it cannot
// use its input: then every fault is named with its place and nothing is
// written. The same input gives the same output, byte for byte: nothing reads
// the clock of the machine.
package main
