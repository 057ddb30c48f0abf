package ration

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"
	"time"

	"fitchet.example/prey"
	"fitchet.example/safety"
	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/float"
	"fitchet.example/units/say"
)

// Tenths is an amount of energy in whole tenths of a kilocalorie a day: an estimate that was rounded once, by a named
// rule, so that a verdict resting on it compares integers.
type Tenths int64

// String returns "70.0 kcal".
func (t Tenths) String() string { return fmt.Sprintf("%d.%d kcal", t/10, t%10) }

// EstimateUnit is what an Estimate counts.
type EstimateUnit uint8

const (
	KcalPerDay  EstimateUnit = iota + 1 // kilocalories of metabolisable energy a day
	GramsPerDay                         // grams of raw food as fed a day
)

var unitWords = units.Words[EstimateUnit]{What: "unit", Keys: []string{KcalPerDay: "kcal a day", GramsPerDay: "g a day"}}

// String returns "kcal a day" or "g a day".
func (u EstimateUnit) String() string { return unitWords.Name(u) }

// MarshalText is [EstimateUnit.String]; a value that is none of these is an error.
func (u EstimateUnit) MarshalText() ([]byte, error) { return unitWords.Marshal(u) }

// Permanent ids of the methods. They are never renamed or reused.
const (
	MethodBand         = "measured-band"       // 105 W^0.75 to 147.8 W^0.734
	MethodWinter       = "measured-winter"     // 130 W^0.75
	MethodHandbook     = "handbook-kcal-kg"    // 200-300 kcal per kg
	MethodPerAnimal    = "per-animal-kcal"     // 200 kcal a jill, over 300 a hob
	MethodResting      = "resting-need"        // 70 W^0.75
	MethodOunces       = "ounces-by-sex"       // jill 1-3 oz, hob 2-4 oz
	MethodGrams        = "grams-adult"         // 80-100 g
	MethodGramsPerKg   = "grams-per-kg"        // about 200 g per kg
	MethodPercent      = "percent-body-weight" // 5-7 %
	MethodGestation    = "gestation"           // x 2
	MethodLactation    = "lactation"           // x 3-4
	MethodKit          = "kit-planning"        // 2-3 x the band
	MethodJuvenile     = "juvenile-planning"   // the band's top to the kit's bottom
	MethodCat          = "cat-maintenance"     // 75-100 W^0.67
	MethodCatGrowth    = "cat-growth-factor"   // x 2.0-2.5, 1.75-2.0, 1.5
	MethodKitten       = "kitten-table"        // kcal per kg by month
	MethodSuckling     = "suckling-kitten"     // 20-25 kcal per 100 g
	MethodCatGestation = "cat-gestation"
	MethodCatLactation = "cat-lactation"
	MethodMink         = "mink-maintenance" // 147.8 W^0.734
	MethodMinkOther    = "mink-other-stages"
)

// Estimate is one method's answer to how much one animal eats in a day. It is an estimate and prints as "about".
type Estimate struct {
	Method    string       // permanent id
	Name      string       // one line for people
	Unit      EstimateUnit //
	Known     bool         // false: no published figure; Low and High are then zero and mean nothing
	Low, High float64      //
	Ref       cite.Ref     //
	Valid     string       // mass, age and stage the method holds for
	Applies   bool         // whether it holds for this animal on this day
	Why       string       // why it does not apply, or what to keep in mind when it does
}

// String returns "about 105-148 kcal a day", or "no published figure".
func (e Estimate) String() string {
	if !e.Known {
		return "no published figure"
	}
	f := "%.0f"
	if e.High < 10 {
		f = "%.1f"
	}
	lo, hi := fmt.Sprintf(f, e.Low), fmt.Sprintf(f, e.High)
	if lo == hi {
		return "about " + lo + " " + e.Unit.String()
	}
	return "about " + lo + "-" + hi + " " + e.Unit.String()
}

// Need is what one animal needs in a day by every known method, side by side, and what a plan is held to.
//
// Band is the planning band: for an adult ferret the measured band, for other stages the multiple of it that the matching
// Estimate explains, for cats and mink their own line. Low is rounded down, High up and Typical (the middle of the two,
// our choice: a log and the scale correct it) half up, each once, to a tenth of a kcal. HasBand is false where no figure
// exists; nothing may then be planned by energy.
//
// Floor is resting need, 70 W^0.75 kcal, rounded down once to a tenth by exact integer arithmetic: a ration below it is
// below resting need at any stage. For a cat of more than about 2.4 kg that line lies above FEDIAF's lower level for
// adults, 75 W^0.67; the floor is then the lower of the two, and Disagree says so.
type Need struct {
	Animal      *Animal
	On          units.Date
	Stage       Stage
	Estimates   []Estimate
	Floor       Tenths
	FloorRef    cite.Ref
	Band        units.Range[Tenths]
	HasBand     bool
	BandMethod  string // id of the Estimate that Band follows
	BandRef     cite.Ref
	VetFirst    []string // why a veterinarian comes before any plan; empty for a healthy adult
	Disagree    []string // where the methods contradict each other for this animal, in plain sentences
	Cautions    []string // what has to be shown with these numbers
	MealsPerDay int
	MealsRef    cite.Ref
	MealsWhy    string
	Gap         Gap
}

// Gap is the longest time an animal should be without food, and how that is known.
type Gap struct {
	Longest time.Duration
	Ref     cite.Ref
	Why     string
}

// String says how often there is food: "food at least every 12 h".
func (g Gap) String() string { return "food at least every " + safety.PeriodText(g.Longest) }

// Estimate returns the estimate of a method.
func (n Need) Estimate(method string) (Estimate, bool) {
	for _, e := range n.Estimates {
		if e.Method == method {
			return e, true
		}
	}
	return Estimate{}, false
}

// Needs returns every method's estimate for the animal on a date, the planning band, the resting floor, meals a day and
// the longest gap. It never fails: a method that does not hold for the animal says so in its Why, and where no figure is
// known the estimate says that. A nil animal, or one without weight, gets a Need without band, floor or estimates.
func Needs(a *Animal, on units.Date) Need {
	if a == nil || a.Mass <= 0 {
		return Need{Animal: a, On: on, Cautions: []string{"No weight is given: nothing can be estimated. Weigh the animal first."}}
	}
	stage := a.StageOn(on)
	n := Need{Animal: a, On: on, Stage: stage, VetFirst: a.VetFirst(stage)}
	n.Floor = restingTenths(a.Mass)
	n.FloorRef = cite.Published.Ref("Table 5-2, p. 61", "sacn5-ch5").BorrowedFrom("all mammals")
	switch a.Kind() {
	case Ferret:
		n.ferret()
	case Cat:
		n.cat()
	case Mink:
		n.mink()
	}
	n.meals()
	n.gap()
	n.Disagree = n.Compare(units.Range[prey.Density]{Low: leanDensity, Typical: mixedDensity, High: fattyDensity})
	n.caution()
	return n
}

// Energy of raw food as fed, per 100 g, used where no food is named: lean meat, a mixed ration, fatty chicken with skin.
// Derived from USDA SR28 rows by the FEDIAF equation for fresh cat food; the mixed value is our working figure.
const (
	leanDensity  prey.Density = 120e9
	mixedDensity prey.Density = 150e9
	fattyDensity prey.Density = 200e9
)

// kilograms is for estimates only.
func kilograms(m units.Mass) float64 { return float64(m) / float64(units.Kilogram) }

func power(coefficient, kg, exponent float64) float64 {
	return float64(coefficient * float.Pow(kg, exponent))
}

// restingTenths returns the whole tenths of 70 x W^0.75 kcal, rounded down, without floating point:
// the largest t with t^4 <= 700^4 x W^3, W = m/10^15 kg.
func restingTenths(m units.Mass) Tenths {
	n := new(big.Int).Exp(big.NewInt(int64(m)), big.NewInt(3), nil)
	n.Mul(n, new(big.Int).Exp(big.NewInt(700), big.NewInt(4), nil))
	n.Quo(n, new(big.Int).Exp(big.NewInt(10), big.NewInt(45), nil))
	return Tenths(n.Sqrt(n.Sqrt(n)).Int64())
}

// band rounds an energy range outward to tenths.
func band(low, high float64) units.Range[Tenths] {
	return units.Range[Tenths]{
		Low:     Tenths(math.Floor(low * 10)),
		Typical: Tenths(math.Floor(float64((low+high)*5) + 0.5)),
		High:    Tenths(math.Ceil(high * 10)),
	}
}

const (
	bandLow, bandLowExp   = 105.0, 0.75
	bandHigh, bandHighExp = 147.8, 0.734
	winterLine            = 130.0
	resting               = 70.0

	// The masses between which the measured lines are used: our choice, about the range of adult ferrets.
	bandLightest, bandHeaviest = 400 * units.Gram, 2500 * units.Gram
)

func bandRef() cite.Ref {
	return cite.Derived.Ref("142 kcal at 1.5 kg in summer: 142/1.5^0.75 = 105; 147.8 W^0.734 as printed", "korhonen-1986", "harper-1979").BorrowedFrom("polecat and mink")
}

func ounces(n int64) float64 { return float64(units.Mass(n)*units.Ounce) / float64(units.Gram) }

func (n *Need) ferret() {
	a, w := n.Animal, kilograms(n.Animal.Mass)
	lo, hi := power(bandLow, w, bandLowExp), power(bandHigh, w, bandHighExp)
	adult := n.Stage == Adult || n.Stage == Senior

	// why is empty where a rule for healthy adults holds.
	var why string
	switch {
	case n.Stage == Kit:
		why = "a figure for adults; this is a kit: feed to appetite and ask the vet"
	case n.Stage == Juvenile:
		why = "a figure for adults; this one is still growing"
	case !adult:
		why = "a figure for adults that are neither pregnant nor nursing; ask the vet"
	case len(n.VetFirst) > 0:
		why = "a figure for healthy adults; ask the vet first (" + say.And(n.VetFirst) + ")"
	}
	measured := why
	if measured == "" && (a.Mass < bandLightest || a.Mass > bandHeaviest) {
		measured = "used from 0.4 to 2.5 kg only"
	}
	const measuredValid = "healthy adults over 36 weeks, 0.4 to 2.5 kg"

	n.add(Estimate{Method: MethodBand, Name: "measured intake of polecats and mink, 105 W^0.75 to 147.8 W^0.734", Unit: KcalPerDay, Known: true, Low: lo, High: hi,
		Ref: bandRef(), Valid: measuredValid}, measured, "polecat and mink data, not ferret; the low end is summer")
	n.add(Estimate{Method: MethodWinter, Name: "measured intake of polecats in winter, 130 W^0.75", Unit: KcalPerDay, Known: true, Low: power(winterLine, w, bandLowExp), High: power(winterLine, w, bandLowExp),
		Ref: cite.Derived.Ref("224 kcal at 2.1 kg in winter: 224/2.1^0.75 = 128, taken as 130", "korhonen-1986").BorrowedFrom("polecat"), Valid: measuredValid},
		measured, "polecat data; the sexes of the animals are not stated")
	n.add(Estimate{Method: MethodHandbook, Name: "the handbook's higher figure, 200-300 kcal per kg", Unit: KcalPerDay, Known: true, Low: float64(200 * w), High: float64(300 * w),
		Ref: cite.Published.Ref("Table 70-1, about p. 1217, after McLain 1988", "sacn5-ch70"), Valid: "adults"},
		why, "about twice every measured intake; an animal that eats less is not wrong")
	per := Estimate{Method: MethodPerAnimal, Name: "a clinic's figure per animal: a jill about 200 kcal, a hob over 300", Unit: KcalPerDay, Known: true,
		Ref: cite.Published.Ref("paragraph 2, food label energy", "bell-sick"), Valid: "adults, by sex"}
	perWhy := why
	switch a.Sex {
	case Jill:
		per.Low, per.High = 200, 200
	case Hob:
		per.Low, per.High = 300, 300
	default:
		per.Known, perWhy = false, "the sex is not written down"
	}
	n.add(per, perWhy, "weight is not taken into account; for a hob the source says over 300")
	n.resting(w)

	oz := Estimate{Method: MethodOunces, Name: "ounces by sex: a jill 1-3 oz, a hob 2-4 oz of raw food", Unit: GramsPerDay, Known: true,
		Ref: cite.Practice.Ref("a jill 1-3 oz, a hob 2-4 oz of raw food a day"), Valid: "adults, by sex"}
	ozWhy := why
	switch a.Sex {
	case Jill:
		oz.Low, oz.High = ounces(1), ounces(3)
	case Hob:
		oz.Low, oz.High = ounces(2), ounces(4)
	default:
		oz.Known, ozWhy = false, "the sex is not written down"
	}
	n.add(oz, ozWhy, "takes neither weight, season nor the energy of the food into account")
	n.add(Estimate{Method: MethodGrams, Name: "80-100 g of raw food", Unit: GramsPerDay, Known: true, Low: 80, High: 100,
		Ref: cite.Practice.Ref("80-100 g a day for an adult, about 2 x 40 g for a small jill"), Valid: "adults"}, why, "takes neither weight nor the energy of the food into account")
	n.add(Estimate{Method: MethodGramsPerKg, Name: "about 200 g of raw food per kg of body weight", Unit: GramsPerDay, Known: true, Low: float64(200 * w), High: float64(200 * w),
		Ref: cite.Published.Ref("of the order of 200 g per kg, raw food of about 1 kcal per g", "linsart-blanchard-2014"), Valid: "adults"}, why, "stated for food of about 1 kcal per gram")
	n.add(Estimate{Method: MethodPercent, Name: "5-7 % of body weight", Unit: GramsPerDay, Known: true, Low: float64(50 * w), High: float64(70 * w),
		Ref: cite.Practice.Ref("5-7 % of body weight a day"), Valid: "dry food of about 3.5 kcal per gram"},
		"a dry-food rule: in raw food of about 1 kcal per gram it holds a quarter to a third of the energy that was meant", "")

	multiple := "the multiple is published, the band it multiplies is polecat and mink data; free access to food; ask the vet"
	n.add(Estimate{Method: MethodGestation, Name: "pregnancy, twice the maintenance need", Unit: KcalPerDay, Known: true, Low: 2 * lo, High: 2 * hi,
		Ref: cite.Derived.Ref("2 x (105 W^0.75 to 147.8 W^0.734); the factor is the handbook's, p. 1218", "sacn5-ch70", "korhonen-1986", "harper-1979").BorrowedFrom("polecat and mink"), Valid: "pregnant jills"},
		unless(n.Stage == Pregnant, "for a pregnant jill"), multiple)
	n.add(Estimate{Method: MethodLactation, Name: "nursing at its peak, three to four times the maintenance need", Unit: KcalPerDay, Known: true, Low: float64(3 * lo), High: 4 * hi,
		Ref: cite.Derived.Ref("3-4 x (105 W^0.75 to 147.8 W^0.734); the factor is the handbook's, p. 1218", "sacn5-ch70", "korhonen-1986", "harper-1979").BorrowedFrom("polecat and mink"), Valid: "nursing jills, peak about three weeks after birth"},
		unless(n.Stage == Lactating, "for a nursing jill"), multiple)
	n.add(Estimate{Method: MethodKit, Name: "growing kits, a planning figure of two to three times the band; feed to appetite", Unit: KcalPerDay, Known: true, Low: 2 * lo, High: float64(3 * hi),
		Ref: cite.Choice.Ref("no published figure for ferret kits is known; two to three times the adult band, extrapolated from the growth factors of kittens", "sacn5-ch24"), Valid: "kits of 6 to 16 weeks"},
		n.kitWhy(), "extrapolated from kittens: a figure for shopping, not for portions")

	n.add(Estimate{Method: MethodJuvenile, Name: "growing on, from the top of the adult band to the bottom of the kit's figure", Unit: KcalPerDay, Known: true, Low: hi, High: 2 * lo,
		Ref: cite.Choice.Ref("no published figure for ferrets of 16 to 36 weeks is known; it lies between the adult's and the kit's", "harper-1979", "korhonen-1986"), Valid: "16 to 36 weeks"},
		unless(n.Stage == Juvenile, "for a ferret of 16 to 36 weeks"), "a planning figure: feed to appetite and weigh weekly")

	n.HasBand = true
	switch n.Stage {
	case Kit:
		n.setBand(MethodKit, 2*lo, float64(3*hi))
	case Juvenile:
		n.setBand(MethodJuvenile, hi, 2*lo)
	case Pregnant:
		n.setBand(MethodGestation, 2*lo, 2*hi)
	case Lactating:
		n.setBand(MethodLactation, float64(3*lo), 4*hi)
	default:
		n.setBand(MethodBand, lo, hi)
	}
}

func unless(ok bool, why string) string {
	if ok {
		return ""
	}
	return why
}

func (n *Need) kitWhy() string {
	if n.Stage != Kit {
		return "for kits under 16 weeks"
	}
	if w, ok := n.Animal.AgeWeeks(n.On); ok {
		switch {
		case w < 3:
			return "under three weeks a kit lives on milk alone: ask the vet"
		case w < 6:
			return "from three to six weeks a kit is being weaned: milk, and food to appetite"
		}
	}
	return ""
}

func (n *Need) resting(w float64) {
	n.add(Estimate{Method: MethodResting, Name: "resting need, 70 W^0.75: a floor, never a ration", Unit: KcalPerDay, Known: true, Low: power(resting, w, 0.75), High: power(resting, w, 0.75),
		Ref: n.FloorRef, Valid: "adults of any mammal; used here as a floor at every stage"}, "", "no animal's ration may lie under it; a growing, pregnant or nursing one needs far more")
}

func (n *Need) setBand(method string, low, high float64) {
	e, _ := n.Estimate(method)
	n.Band, n.BandMethod, n.BandRef, n.HasBand = band(low, high), method, e.Ref, true
}

// add appends an estimate that applies when why is empty; note is then what to keep in mind.
func (n *Need) add(e Estimate, why, note string) {
	e.Applies, e.Why = e.Known && why == "", why
	if why == "" {
		e.Why = note
	}
	if !e.Known {
		e.Low, e.High = 0, 0
	}
	n.Estimates = append(n.Estimates, e)
}

// kittenTable is kcal per kg and day at the age in months that the index gives: Small Animal Clinical Nutrition,
// 5th edition, Table 24-4.
func kittenTable() [13]float64 {
	return [13]float64{250, 240, 210, 200, 175, 145, 135, 120, 110, 100, 95, 90, 85}
}

func (n *Need) cat() {
	w := kilograms(n.Animal.Mass)
	lo, hi := power(75, w, 0.67), power(100, w, 0.67)
	why := ""
	switch {
	case n.Stage == Pregnant || n.Stage == Lactating:
		why = "for adults that are neither pregnant nor nursing; ask the vet"
	case n.Stage == Kit || n.Stage == Juvenile:
		why = "for adults; this one is still growing"
	case len(n.VetFirst) > 0:
		why = "for healthy adults; ask the vet first (" + say.And(n.VetFirst) + ")"
	}
	level := cite.Published.Ref("sec. 2.1; Table VII-12", "fediaf-2018")
	n.add(Estimate{Method: MethodCat, Name: "adult cat, 75 to 100 W^0.67", Unit: KcalPerDay, Known: true, Low: lo, High: hi,
		Ref: level, Valid: "adult cats"}, why, "individual need varies widely")
	n.resting(w)
	if low := band(lo, hi).Low; low < n.Floor {
		n.Floor, n.FloorRef = low, level
	}

	weeks, aged := n.Animal.AgeWeeks(n.On)
	growing := n.Stage == Kit || n.Stage == Juvenile
	notGrowing := unless(growing, "for growing cats")
	factor := Estimate{Method: MethodCatGrowth, Name: "growing cat, a factor on the adult need", Unit: KcalPerDay, Known: true,
		Ref: cite.Published.Ref("Table 2, p. 28, after FEDIAF 2021", "vnj-2022"), Valid: "up to 4 months x 2.0-2.5, 4-9 months x 1.75-2.0, 9-12 months x 1.5"}
	table := Estimate{Method: MethodKitten, Name: "growing cat, kcal per kg by month", Unit: KcalPerDay, Known: true,
		Ref: cite.Published.Ref("Table 24-4, p. 434", "sacn5-ch24"), Valid: "birth to 12 months"}
	suckling := Estimate{Method: MethodSuckling, Name: "kitten before weaning, 20-25 kcal per 100 g", Unit: KcalPerDay, Known: true, Low: float64(200 * w), High: float64(250 * w),
		Ref: cite.Published.Ref("p. 5", "nrc-cat-guide"), Valid: "before weaning"}
	months := 0
	if aged {
		months = n.On.DaysSince(n.Animal.Born) * 16 / 487
	}
	switch {
	case !growing:
	case !aged && n.Stage == Kit:
		factor.Low, factor.High = 2*lo, float64(2.5*hi)
	case !aged:
		factor.Low, factor.High = float64(1.5*lo), 2*hi
	case months < 4:
		factor.Low, factor.High = 2*lo, float64(2.5*hi)
	case months < 9:
		factor.Low, factor.High = float64(1.75*lo), 2*hi
	default:
		factor.Low, factor.High = float64(1.5*lo), float64(1.5*hi)
	}
	switch {
	case !growing:
		factor.Low, factor.High = float64(1.5*lo), float64(2.5*hi)
		table.Known, suckling.Known = false, false
	case !aged:
		table.Known, suckling.Known = false, false
	default:
		t := kittenTable()
		m := min(months, len(t)-2)
		table.Low, table.High = float64(t[m+1]*w), float64(t[m]*w)
	}
	n.add(factor, notGrowing, "the step depends on the share of adult weight as well")
	tableWhy := notGrowing
	if growing && !aged {
		tableWhy = "the age is not written down"
	}
	n.add(table, tableWhy, "the months on either side of this age")
	if tableWhy == "" && weeks >= 8 {
		tableWhy = "for kittens before weaning"
	}
	n.add(suckling, tableWhy, "on milk: ask the vet")
	n.add(Estimate{Method: MethodCatGestation, Name: "pregnant cat", Unit: KcalPerDay, Valid: "pregnant queens", Ref: noFigure()}, "no published figure was read; ask the vet", "")
	n.add(Estimate{Method: MethodCatLactation, Name: "nursing cat", Unit: KcalPerDay, Valid: "nursing queens", Ref: noFigure()}, "no published figure was read; ask the vet", "")

	switch {
	case growing:
		n.setBand(MethodCatGrowth, factor.Low, factor.High)
	case n.Stage == Pregnant || n.Stage == Lactating:
	default:
		n.setBand(MethodCat, lo, hi)
	}
}

func noFigure() cite.Ref {
	return cite.Choice.Ref("no published figure is known here, so none is given")
}

func (n *Need) mink() {
	w := kilograms(n.Animal.Mass)
	m := power(bandHigh, w, bandHighExp)
	adult := n.Stage == Adult || n.Stage == Senior
	why := ""
	switch {
	case !adult:
		why = "for adults at maintenance only"
	case len(n.VetFirst) > 0:
		why = "for healthy adults; ask the vet first (" + say.And(n.VetFirst) + ")"
	}
	n.add(Estimate{Method: MethodMink, Name: "adult mink at maintenance, 147.8 W^0.734", Unit: KcalPerDay, Known: true, Low: m, High: m,
		Ref: cite.Published.Ref("abstract: 147.8, standard error 6.06, 31 adult males", "harper-1979"), Valid: "adults at maintenance; measured on males"}, why, "measured on males")
	n.resting(w)
	n.add(Estimate{Method: MethodMinkOther, Name: "mink: growth, pregnancy, nursing", Unit: KcalPerDay, Valid: "growing, pregnant or nursing mink", Ref: noFigure()},
		unless(adult, "no published figure for a "+n.Stage.String()+" mink is known here; ask the vet")+unless(!adult, "for other stages than this one"), "")
	if adult {
		n.setBand(MethodMink, m, m)
	}
}

func (n *Need) meals() {
	set := func(m int, r cite.Ref, why string) { n.MealsPerDay, n.MealsRef, n.MealsWhy = m, r, why }
	const atAllTimes = "a welfare charity advises food at all times, or little and often, not only once or twice a day"
	a := n.Animal
	switch {
	case a.Has(Insulinoma):
		set(6, cite.Practice.Ref("meals at least every 4 hours, 4 to 6 small meals a day"), "insulinoma: food at all times, never a missed meal; the vet decides")
	case n.Stage == Kit:
		set(4, cite.Practice.Ref("4 meals a day, 5 or 6 for the youngest"), "a kit is fed to appetite")
	case n.Stage == Pregnant || n.Stage == Lactating:
		set(4, cite.Choice.Ref("the handbook asks for free access in pregnancy and nursing; four meals are our fewest", "sacn5-ch70"), "free access to food is asked for")
	case n.Stage == Juvenile:
		set(3, cite.Choice.Ref("between the four meals of a kit and the two of an adult"), "still growing")
	default:
		set(2, cite.Practice.Ref("two meals a day, swapped morning and evening"), atAllTimes)
	}
}

const (
	shortGap = 4 * time.Hour
	adultGap = 12 * time.Hour
)

func (n *Need) gap() {
	a := n.Animal
	switch {
	case a.Has(Insulinoma):
		n.Gap = Gap{shortGap, cite.Practice.Ref("insulinoma: meals at least every 4 hours"), "insulinoma: low blood sugar follows a missed meal"}
	case n.Stage == Kit:
		n.Gap = Gap{shortGap, cite.Choice.Ref("the shorter end of the 4 to 6 hours that a pathology text gives for any ferret; food passes a kit in as little as an hour", "afip-clinpath", "johnson-delaney-2014"), "kits must not go long without food"}
	case n.Stage == Pregnant || n.Stage == Lactating:
		n.Gap = Gap{shortGap, cite.Choice.Ref("the shorter end of the 4 to 6 hours that a pathology text gives for any ferret; a late pregnancy without food ends in pregnancy toxaemia", "afip-clinpath", "prohaczik-2009"), "pregnant and nursing jills must not go long without food"}
	default:
		n.Gap = Gap{adultGap, cite.Practice.Ref("two meals a day, swapped at about 12 hours"), "two meals a day, about 12 hours apart; a pathology text asks for food every 4 to 6 hours, and some keepers never wait over 3 to 4"}
	}
	if a.LongestGap > 0 {
		rule := n.Gap.Longest
		n.Gap = Gap{a.LongestGap, cite.Choice.Ref("set for this animal by its keeper or vet"), "set for this animal"}
		if a.LongestGap > rule && a.Frail(n.Stage) {
			n.Cautions = append(n.Cautions, fmt.Sprintf("The longest gap set for this animal, %s, is longer than the %s used for its kind: only a vet should allow that.", safety.PeriodText(a.LongestGap), safety.PeriodText(rule)))
		}
	}
}

func (n *Need) caution() {
	c := []string{"Estimates only: individual need varies widely. Weigh weekly and go by the scale."}
	if len(n.VetFirst) > 0 {
		c = append(c, "Ask a vet before planning this animal's food ("+say.And(n.VetFirst)+").")
	}
	if n.Animal.Has(Insulinoma) {
		c = append(c, "Never hold food back from an animal that shows signs of low blood sugar (weak, glassy stare, drooling, pawing at the mouth, collapse, fits): vet at once.")
	}
	if n.Animal.Has(Obese) {
		c = append(c, "Do not slim an overweight animal by fasting: polecats that fasted five days got fatty livers.")
	}
	if n.Animal.Kind() == Ferret {
		c = append(c, "The measured band comes from polecats and mink, not from ferrets.",
			"Ferrets hide food: count what was eaten, not what was offered.")
		if a := n.Animal; n.Stage != Kit && (a.Mass < bandLightest || a.Mass > bandHeaviest) {
			c = append(c, "The weight lies outside 0.4 to 2.5 kg, where the measured lines are used: check the weight.")
		}
	}
	if !n.HasBand {
		c = append(c, "No published figure is known for this animal and stage: no amount can be planned by energy.")
	}
	if n.Animal.StageOn(n.On) == Adult && n.Animal.Born == 0 && n.Animal.Stage == StageByAge {
		c = append(c, "Neither age nor stage is written down: an adult is assumed.")
	}
	c = append(c, "An amount inside the band says nothing about calcium, taurine, vitamins or hygiene.")
	n.Cautions = append(n.Cautions, c...)
}

// Compare returns, in plain sentences, where the methods contradict each other for this animal when the food holds that
// much energy (per 100 g as fed: leanest, typical and most energy-rich). An invalid range gives no sentences.
func (n Need) Compare(food units.Range[prey.Density]) []string {
	if n.Animal == nil || !food.Valid() || food.Low <= 0 {
		return nil
	}
	perGram := func(d prey.Density) float64 { return float64(d) / 1e11 }
	rest := power(resting, kilograms(n.Animal.Mass), 0.75)
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }

	for _, id := range []string{MethodOunces, MethodGrams} {
		e, ok := n.Estimate(id)
		if !ok || !e.Applies {
			continue
		}
		name := "The ounce rule"
		if id == MethodGrams {
			name = "The 80-100 g rule"
		}
		switch {
		case e.Low*perGram(food.High) < rest:
			say("%s's lower end (%.0f g) is below resting need for this animal, even with food of %.1f kcal per gram: it must not be taken for a day's food.", name, e.Low, perGram(food.High))
		case e.Low*perGram(food.Typical) < rest:
			say("%s's lower end (%.0f g) is below resting need for this animal with food of %.1f kcal per gram.", name, e.Low, perGram(food.Typical))
		case e.Low*perGram(food.Low) < rest:
			say("%s's lower end (%.0f g) is below resting need for this animal with lean food of %.1f kcal per gram.", name, e.Low, perGram(food.Low))
		}
		if w, ok := n.Estimate(MethodWinter); ok && w.Applies && e.High*perGram(food.Typical) < w.Low {
			say("%s's upper end (%.0f g) does not reach the winter figure of about %.0f kcal with food of %.1f kcal per gram.", name, e.High, w.Low, perGram(food.Typical))
		}
	}
	if c, ok := n.Estimate(MethodCat); ok && c.Low < rest {
		say("The resting line (about %.0f kcal) lies above the lower level for adult cats (about %.0f kcal). Both are published; the floor here is the lower one.", rest, c.Low)
	}
	if h, ok := n.Estimate(MethodHandbook); ok && h.Applies {
		if b, ok := n.Estimate(MethodBand); ok && b.Applies && h.Low > b.High {
			say("The handbook's figure (%s) lies wholly above the measured band (%s). Both are shown; an animal that holds its weight on less is not underfed.",
				strings.TrimSuffix(h.String(), " a day"), strings.TrimSuffix(b.String(), " a day"))
		}
	}
	if p, ok := n.Estimate(MethodPercent); ok && n.Stage != Kit {
		say("The 5-7 %% rule is made for dry food: as raw food of %.1f kcal per gram it would give %.0f-%.0f kcal.", perGram(food.Typical), float64(p.Low*perGram(food.Typical)), float64(p.High*perGram(food.Typical)))
	}
	return slices.Clip(out)
}

// Grams returns how many grams of a food a day hold the planning band, from the energy of the food actually planned per
// 100 g as fed: the band's low end in the richest food, rounded down to a whole gram; its middle in the typical food,
// rounded half up; its high end in the leanest food, rounded up. The zero Range means it cannot be said: no band, or an
// energy that is not above zero.
func (n Need) Grams(food units.Range[prey.Density]) units.Range[units.Mass] {
	if !n.HasBand || !food.Valid() || food.Low <= 0 {
		return units.Range[units.Mass]{}
	}
	// tenths of a kcal over billionths of a kcal per 100 g: grams = t x 10^10 / d
	grams := func(t Tenths, d prey.Density, up int64) (units.Mass, bool) {
		num := new(big.Int).Mul(big.NewInt(int64(t)), big.NewInt(1e10))
		num.Mul(num, big.NewInt(2)).Add(num, new(big.Int).Mul(big.NewInt(int64(d)), big.NewInt(up)))
		if up == 2 {
			num.Sub(num, big.NewInt(1))
		}
		num.Quo(num, new(big.Int).Mul(big.NewInt(int64(d)), big.NewInt(2)))
		const most = int64(1<<63-1) / int64(units.Gram)
		if !num.IsInt64() || num.Int64() > most {
			return 0, false
		}
		return units.Mass(num.Int64()) * units.Gram, true
	}
	low, ok1 := grams(n.Band.Low, food.High, 0)
	mid, ok2 := grams(n.Band.Typical, food.Typical, 1)
	high, ok3 := grams(n.Band.High, food.Low, 2)
	if !ok1 || !ok2 || !ok3 {
		return units.Range[units.Mass]{}
	}
	return units.Range[units.Mass]{Low: low, Typical: mid, High: high}
}
