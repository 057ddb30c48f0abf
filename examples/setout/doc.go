// Setout answers "until when may this stay out": one sentence, led by the
// strictest published limit that applies.
//
//	setout [-form FORM] [-room ROOM] [-warm TIME] [-start TEMPERATURE] [-hours TIME]
//	       [-species ANIMAL] [-wild] [-region REGION] [-on DAY] [-notices FILE]
//	       [-detail] [-format text|json|schema] [-out FILE]
//
// FORM is soup, minced, pieces, bone-in, whole, dried or soaked. ROOM is "21 °C",
// or "3 h at 18 °C, 24 °C" for a room that changes; without it only the two-hour
// rule can lead, and the answer says so. TIME of -warm is what was already spent
// above 5 °C, "40 min" or "thawing 40 min at 20 °C, bowl 1 h"; it all counts.
// -start is how cold the food was when it left the fridge; some limits of food
// businesses, shown as benchmarks, ask for it. -hours asks the other way round:
// what does a stay so long mean, and in which room would germs stay within
// tenfold. -species adds what speaks against the animal's meat whatever the
// hours; -region and -on, with a notices file of your own, bring bird flu in. The
// file of -notices is - for standard input.
//
// -detail gives every limit with its condition, what keepers do (common practice,
// never a limit), the growth that models predict, and the cautions. JSON always
// holds all of it; -format schema prints its JSON Schema.
//
// It exits with 0 when the time asked for fits, with 1 when there is something to
// mend or stop (time used up, the hours asked for are over the limit, or the meat
// is one that is not fed or not as it is), and with 2 when it cannot use its input.
package main
