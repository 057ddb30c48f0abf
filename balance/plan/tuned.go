package plan

// Every number of the planner that could as well be another stands here, with its
// reason. None is a limit on food: what a week must hold stands in the rules, the
// target and the needs, and the audit alone judges it. So a poor choice here makes a
// plan dearer, less handy or later, or leaves it unfound; it never makes a bad one
// pass.
//
// All are choices of ours. Where something was measured for one, it says what.

// What may be asked. Longer than two weeks nothing thawed, weighed or bought is
// planned at home, and every day has to be laid out; what stands further down a list
// of plans than twenty nobody reads.
const (
	mostDays         = 14
	mostAlternatives = 20

	// DefaultBudget is the budget of a [Request] that names none, in steps. It is a
	// choice of ours: about ten seconds at worst. Measured on the households that
	// internal/oracle draws (x86-64, time of one core): a second is 2 to 4 thousand
	// million steps where the table is large; with 60, 120 and 250 foods to choose
	// from a week took 0.05, 0.09 and 0.3 s in the median and 0.6, 0.6 and 5.8 s at
	// worst. Of 200 of them 197 were decided.
	DefaultBudget = 40_000_000_000
	// MostBudget is the largest there may be, in steps: days of work.
	MostBudget = 1_000_000_000_000_000
)

// How far food and money are counted. A request that goes beyond is refused; an offer
// of more than mostPacks has no end.
const (
	mostCounted = 1 << 62 // half of what 64 bits hold, so that two can be added
	mostPacks   = 1 << 40 // grams or pieces of one offer: no household can use more
	mostSteps   = 1e12    // steps of money in a price: all that the solver takes
)

// What is done besides solving, in steps of the solver: what each takes beside the
// change of one entry of its table. They need only be about right. They are there so
// that no work is free, since a thousand animals without food enough were once
// planned for minutes in which nothing was counted.
const (
	termSteps  = 10      // a term of a model that is put together
	roomSteps  = 8       // an entry of the table by which grams are moved
	rowSteps   = 30      // a row looked at for one move
	dealSteps  = 50      // a bowl looked at for one piece
	placeSteps = 500     // a serving laid out
	judgeSteps = 200     // a serving judged for one animal
	paidRows   = 100_000 // rows looked at that are paid for at once: asking each time would cost more
)

// How the budget is shared out, so that no part of the work takes what the others
// need: first whether there is a plan at all, then the cheapest, then what is handy.
// All are in steps and grow with a budget above the default one.
const (
	mostWork   = 2e10   // one search for the cheapest packs: half of the budget
	waysWork   = 2.5e10 // all ways to plan together: the rest is for what follows
	anyWork    = 2e9    // whether there is any plan: no cost to prove
	spreadWork = 1e9    // amounts away from the limits: the packs stand
	sweepWork  = 1e8    // the same without a little of one food
	nextWork   = 1e7    // for each food: other packs when the first could not be laid out
	whyWork    = 2e7    // for each food: what is lacking, and again for what clashes and what would help
	tryWork    = 5e6    // for each food: a change that is only tried
	leastFoods = 40     // counted for each where there are fewer: examples are thought of beside them
	budgetPart = 2      // one search gets this part of what is left: what it finds must be laid out
)

// How long one search goes on. They bound memory and time of a single call; the
// work above is what usually ends it.
const (
	defaultNodes = 20_000 // of the search for the cheapest packs
	spreadNodes  = 60     // for amounts: only pieces branch, and any answer will do
	wholeNodes   = 500    // when every gram must be whole, tried where rounding failed
	leastPivots  = 500    // a small search is not worth stopping earlier
	mostPivots   = 1e7
	mostNutrient = 8  // times that nutrient rules are added because a plan missed them
	mostLayouts  = 24 // choices of packs that are laid out before a search is given up,
	fewLayouts   = 2  // the same when a change is only tried,
	mostRejected = 20 * mostLayouts
	mostSwept    = 12 // foods of which there is little that are left out one by one
	mostNever    = 12 // exclusions of animals that are tried without
)

// Diets that are told apart by all that has to be cut up for them, and by whether
// they have more than two meals. Each diet has its own columns and rows, and time
// grows faster than their number; what is cut up for one bowl too many does no harm.
const (
	mostFineDiets = 3
	mostDiets     = 6
	fewMeals      = 2
)

// The model. Rooms are what amounts may move by without passing a limit.
const (
	aroundMiddle = 0.03 // of a diet's energy: whole packs and pieces seldom meet a point
	leastSpecies = 0.05 // of a diet's energy, from which a kind of animal counts: less is a garnish
	leastBeside  = 0.05 // of a mix that is not complete, fed of each slot that it may lack
	nutrientRoom = 0.05 // of a nutrient's limit is room enough: figures of foods are no better
	pieceRoom    = 0.1  // of a piece more for an animal where pieces are cut up into whole grams
	halfDay      = 0.5  // by which days of complete food may fall short or go over: nearer is that many days
	bareMost     = 20   // grams a day for each animal of food without energy: powders
	roughKcal    = 1.5  // in a gram of a week's food: only scales rooms
	roundedFoods = 6    // foods of a row whose rounding by half a gram is allowed for; others even out
	soon         = 7    // days after the plan before which dated stock is used first: the week that comes next
	fixedHair    = 1e-7 // by which a row without columns may be missed: what the solver allows too
	someFood     = 1e-6 // of a gram or piece: less is none
	capSlack     = 1e-6 // part by which bounds are kept off what a float could cut wrongly
	knownPercent = 80   // of the foods have a nutrient's figure: the audit asks that of the mass
	firstOut     = 1e-6 // a gram of a food further down the list of first-out costs this more: it only breaks ties
	shortOfMixed = 0.1  // grams of dated stock left over that a kcal of complete food is worth in a mixed week
	mixedHair    = 1e-4 // of all energy, by which complete food may then fall short, so that amounts can move
	hairSteps    = 1e-6 // part of a cost by which a bound may be above what it bounds
)

// Moving amounts away from the limits. First the row with the least room, then the
// room that whole grams need in all rows, then comfort: each is worth much more than
// all that follows.
const (
	leastRoomWorth = 1000
	roomsWorth     = 500
	comfortWorth   = 50
	spreadStep     = 5   // better by less is not looked for: half a part in a hundred of the least room
	useUpStep      = 0.5 // grams left over
	sweptRoom      = 0.8 // of the least room must be kept when a little of a food is left out
)

// Moving single grams between foods and bowls until every row holds. A move of one to
// five grams is what rounding can need; the bounds keep a shelter from being mended
// for minutes.
const (
	mostTrials = 400_000 // moves looked at
	mostRoom   = 5e7     // entries of the table of rows and foods
	heldTo     = 1e-9    // of a gram: what lies closer to a limit sits on it
	mendGain   = 1e-9    // part by which a move must help
)

// moves are the grams that one food, or one food and another, are moved by.
var (
	oneMoves = [...]int64{1, -1, 2, -2, 5, -5}
	twoMoves = [...][2]int64{{1, -1}, {-1, 1}, {1, 1}, {-1, -1}, {2, -1}, {-2, 1}, {1, -2}, {-1, 2}, {3, -3}, {-3, 3}}
)

// Portions, in grams: what a keeper can weigh on a kitchen scale and see in a bowl.
const (
	crumb      = 5         // the least that is worth weighing out,
	sip        = 3         // the same in the small meals of an animal that eats often
	tiny       = 3         // less than that is put together with more of it
	organGrams = 10        // of one organ or heart to each animal at a time
	boneGrams  = 15        // of a bone-in cut that is fed by the gram
	wholeGrams = 10        // a piece that weighs more is counted as whole grams, so that sheets add up
	sweptGrams = 2 * crumb // of a food in a week for each animal: with less the week is tried without it
)

// Days and meals. An animal that eats from two bowls a day can take most of a day's
// food in one piece; one that eats often, for its health, must have some at each.
const (
	oftenMeals = 4   // meals a day from which they are small
	biteTwo    = 75  // percent of a day's energy that one piece may bring where there are two meals,
	biteThree  = 60  // where there are three,
	biteOften  = 150 // and percent of a meal's where they are small
	boneDay    = 55  // percent of a day's energy that one bone-in cut may bring: other food stands beside it
	oilDays    = 4   // of a week: a little at a time
	fishDays   = 2   // of a week, as practice gives it
	evenEnough = 12  // percent of the mean by which the fullest and the emptiest day of a bowl may differ,
	evenMeals  = 25  // and its fullest and emptiest meal of a day
	mostMoves  = 60  // of grams or pieces, to make a bowl's days or meals more even,
	calmMoves  = 4 * mostMoves
	newThing   = 10 // part of the mean that a move must gain more where it makes something new to weigh
	fullMeal   = 4  // part of a meal's energy by which one food may go over it before it is divided
	mixedOf    = 3  // days of a week that are complete food where styles are compared
	leastTimes = 2  // days on which a food is fed at least, where there is enough of it
)

// The scores by which a day is chosen for a portion; the least wins. A day that has
// its energy scores fullDay. What stands higher in the list matters more: a best-before
// day before the days of fish, days kept for complete food and the most organ of a
// day, these before more of the same on one day, and that before how even days are.
const (
	fullDay     = 1000
	lateDay     = 50 * fullDay  // for each day after the best-before day
	thirdFish   = 100 * fullDay // a day of fish more than there should be: a lot of it is rather fed late
	wrongStyle  = 20 * fullDay
	overOrgan   = 10 * fullDay
	overFull    = 3   // times what goes over a day's energy
	sameFood    = 300 // beside more of it,
	sameGrams   = 700 // and more where it is weighed: two portions to weigh for one
	sameBone    = 300 // beside other bone,
	nearBone    = 150 // or on the next day to it
	sameOrgan   = 400 // beside other organ
	nearPortion = 50  // less: the day after, what was thawed for one still keeps
)

// What is lacking, and what would help.
const (
	kindCost     = 50   // grams more of one food are as good as one food less on the list
	tenthPercent = 1000 // the grain of relaxed shares, in millionths: as fine as they are written
	lessEnergy   = 30   // percent below a band that is tried at most; resting need holds anyway
	relaxedTo    = 2    // limits move to half or twice of what they were: beyond that it is another diet
	mostNames    = 4    // animals that are named; of more, all but one of these and a number
)

var (
	// lackPercents are the parts of what was found lacking that are laid out in turn:
	// whole grams and days may take a little more than amounts do.
	lackPercents = [...]int64{100, 102, 105, 110, 120}
	// relaxMore is how many steps more of a relaxation are laid out in turn, for the
	// same reason.
	relaxMore = [...]int64{0, 1, 2, 4, 8}
)
