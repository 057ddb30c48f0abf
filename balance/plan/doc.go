// Package plan makes a week of food out of what a household has in stock and can
// buy: the cheapest that meets the rules of package balance, or what is lacking
// for one.
//
// # What is promised
//
// [Week] searches in floating point and only proposes. The finished plan is judged
// by balance.Audit, exactly, and none is returned that misses a rule of gravity
// stop or mend at the typical figures, or that holds more than there is. Amounts
// are whole grams; wings, necks, chicks, mice and eggs are whole pieces. Money is
// added up in whole steps that divide every price.
//
// What a [Result] claims of other plans stands in its [Outcome] and its bound:
// [Optimal] where no choice of whole packs and pieces costs less, [BestFound] where
// one may. A household that cannot be fed from what it has is no error: the result
// then says what is lacking, which requirements contradict each other, and the
// smallest changes that would help, each of which was tried.
//
// # Steps
//
// The animals are sorted into bowls, and the bowls into diets that may get the same
// foods. The week of all diets is one mixed-integer program: packs, pieces and grams
// against shares, bands and limits. For the packs of its answer the amounts are
// moved away from the limits, rounded, mended gram by gram, laid out over days and
// meals, and audited. Packs for which that fails are passed by for the next best.
//
// # Work and repeatability
//
// All work is counted in steps, never in time: the same request gives the same
// result on every machine. When the budget of the [Request] is spent the best found
// until then is returned, and the result says so. Only the context ends the work by
// time; a result that it cut short says that it is not repeatable.
//
// A [Result] goes through encoding/json and comes back the same, with its reports
// held to its plans; see [ReadResult].
//
// # Nil
//
// Zero values may be asked anything. What takes a pointer, or is called on one,
// needs what it points to, unless it says that nil will do.
//
// # What it cannot catch
//
// A plan is as good as the household's file: a food that is in the freezer and not
// in the file is not planned with, and a weight that is out of date feeds an animal
// of another size. Which of two plans an animal would rather eat is not asked.
//
// None of this is veterinary advice. Local rules and a veterinarian come first.
package plan
