// Package balance says whether a plan is balanced, by how much, and what the
// smallest change is that would mend it. Package balance/plan finds a plan.
//
// # What is judged
//
// [Audit] takes a plan as data (ration.Plan) and holds it against the shares of
// a [shares.Target] and the rules of a [Book]. Both are data files (schemas
// fitchet.targets/1 and fitchet.rules/1); the kinds of rule ([Check]) are a
// closed list in code. Every bound carries its evidence, and every finding
// shows it: a source with its page, arithmetic on one, common practice, or our
// own choice. No published part-share rule for ferrets is known, so all targets
// are common practice; mineral and vitamin limits are those of cats, the
// calcium maximum that of dogs, and both say so wherever they appear.
//
// # Two meanings of bone
//
// A target counts bone as edible bone (only what is swallowed) or as bone-in
// meat (the whole bone-in cut). The two differ by more than two to one. No code
// here compares one with the other: a [shares.Target] knows how a food fills its slots
// under its own meaning and no other, and [Report.Bone] shows both side by side
// with the calcium to phosphorus ratio and the calcium per 1000 kcal that
// follow. A food that holds ground bone cannot be told as bone-in meat; under
// such a target its slots are unknown.
//
// # Verdicts
//
// Each finding gives two: [Finding].Verdict at the typical figures and
// [Finding].Whole over their whole range, both [Met], [Missed], [Open] or
// [NotApplicable]. A bound that is reached exactly is met. Verdicts are compared
// as integers by cross-multiplication in 192 bits; nothing is divided, rounded
// or held as a float. What an animal needs is an estimate; it enters as whole
// tenths of a kcal that package ration rounded outward once.
//
// Figures are in picograms times millionths (shares) or times
// billionths of a unit per 100 g (nutrients), summed in 128 bits. Amounts per
// 1000 kcal use modified Atwater factors, with which the borrowed limits were
// made; the energy that an animal gets uses each food's default method. Bone
// gives no energy here.
//
// The range of a figure runs over three coherent cases (least bone, typical,
// most bone): all foods at one end together, so a ratio takes its extremes
// there. Whole is met or missed only when every case says so.
//
// Unknown is not zero. A known part that already reaches a least meets it, and one
// that already passes a most misses it, however little it is: what is not known can
// only add. Any other figure that is known for less than 80 % of the mass gives
// Open (the 80 % are our choice). Between 80 and 100 %, the typical
// verdict takes the rest to be like what is known; the verdict over the range
// takes it as unknown, and is met or missed only when no value of the unknown
// could change it. Of bone only calcium, phosphorus, ash and water are counted,
// so with bone-in cuts a minimum of anything else is never missed over the whole
// range.
//
// Whole prey and complete mixes count as balanced in themselves (common
// practice): shares are judged on the rest of the week and do not apply when
// there is none; nutrients are judged on all of it. Eggshell, oil, powders and
// water fill no slot.
//
// # Time and animals
//
// All days that are given are one period. What a rule states by the week is
// scaled exactly in a plan of more than seven days. A shorter plan is the
// beginning of a week: it is held to the week's upper bounds as it stands, and
// what falls short of a lower one is Open. The resting floor is judged by the day, and the
// finding is about the worst one; a day without food is a day of nothing.
//
// Shares and nutrients are judged on the plan. Energy, eggs and oil are judged
// for each animal of the household, also for one that no bowl is for. A bowl for
// several animals is divided by the middle of their energy bands, or evenly for
// eggs and oil, which practice states per animal whatever its size;
// [Finding.Split] says so. How often a thing is fed is counted for the animal
// that is worst off.
//
// # Household and days
//
// Some rules ask nothing of the food: that nobody gets what it must not, that there
// is enough of it, that it is fed by the best-before day of its lot, that pieces are
// whole, that days stand in order and names apart. They count what is wrong. Food is
// taken from the lots that are good for the shortest time first, as far as they are
// good on that day, then from what can be bought. Without stock and offers, or
// without dates, they do not apply; neither do those about stock to what was eaten.
//
// # What is returned when
//
// [Audit] fails when there is nothing to judge: the error wraps [ErrPlan] (no
// days, a serving without food, a mass below zero, needs that do not fit the
// household), [ErrAnimal] or [ErrUnknownTarget]. Bad food is never an error. The
// loaders return strict.Faults with every fault of the file and its place. Laying
// own rules or targets over a book fails with [ErrClash] for an id that is taken
// without a reason, or an override of nothing.
//
// The types cannot catch a target for another species than the household's, or a
// rule that contradicts another.
//
// # Reports that travel
//
// A [Report] goes through encoding/json and comes back as the audit of the plan that
// travels in it, so that it answers whatever the first one did; one that the rules
// do not bear out is refused ([ErrReport]). What is one's own and does not travel is
// given to [ReadReport]. A [Printout] is a report for readers alone.
//
// # Nil
//
// Zero values may be asked anything. What takes a pointer, or is called on one,
// needs what it points to, unless it says that nil will do.
//
// # Use
//
// [Shipped], [safety.ShippedHazardCheck] and prey.Shipped are read once and shared by
// all; [safety.NewHazardCheck] asks about every food: call it once. A [Book],
// a [safety.HazardCheck] and a [Report] never change and are safe for concurrent use; the
// pointers they hand out are shared and must not be written through. A program
// that judges many plans does so with an [Auditor], one for each goroutine: it is
// several times faster than [Audit] and allocates nothing for foods it has met,
// but its Report is good only until its next call. Findings
// keep integers; text, decimals and changes are worked out when asked
// ([Finding.MeasuredText], [Finding.Mends]; package balance/prose writes a report).
//
// None of this is veterinary advice. Local rules and a veterinarian come first.
package balance
