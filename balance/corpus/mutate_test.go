package corpus_test

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// mutation is one fault put into the library: a piece of a file and what takes
// its place.
type mutation struct{ file, old, new string }

func mutations() []mutation {
	const (
		check        = "balance/check.go"
		kindAmount   = "balance/kind_amount.go"
		kindBowls    = "balance/kind_bowls.go"
		kindCalcium  = "balance/kind_calcium.go"
		kindChew     = "balance/kind_chew.go"
		kindDays     = "balance/kind_days.go"
		kindDried    = "balance/kind_dried.go"
		kindEnergy   = "balance/kind_energy.go"
		kindHazard   = "balance/kind_hazard.go"
		kindMeals    = "balance/kind_meals.go"
		kindMix      = "balance/kind_mix.go"
		kindNames    = "balance/kind_names.go"
		kindNutrient = "balance/kind_nutrient.go"
		kindRefused  = "balance/kind_refused.go"
		kindShare    = "balance/kind_share.go"
		kindSpecies  = "balance/kind_species.go"
		kindStock    = "balance/kind_stock.go"
		kindTimes    = "balance/kind_times.go"
		kindWhole    = "balance/kind_whole.go"
		figure       = "balance/internal/figure/figure.go"
		ready        = "balance/ready.go"
		state        = "balance/state.go"
		target       = "balance/shares/shares.go"
		rules        = "balance/rules/rules.yaml"
		targets      = "balance/rules/targets.yaml"
		need         = "ration/need.go"
		plan         = "ration/plan.go"
		tally        = "prey/tally.go"
		facts        = "prey/facts.go"
		energy       = "prey/energy.go"
		hazards      = "safety/data/hazards.yaml"
		species      = "prey/words/species.csv"
		notice       = "safety/notice.go"
	)
	return []mutation{
		// verdicts
		{figure, "cmpBound(num, den, scale, b.Low) < 0:", "cmpBound(num, den, scale, b.Low) <= 0:"},
		{figure, "cmpBound(num, den, scale, b.High) > 0:", "cmpBound(num, den, scale, b.High) >= 0:"},
		{figure, "if c == int(prey.Typical) {", "if c == int(prey.LeastBone) {"},
		{figure, "j.Whole = overRange(below, floor, ceiling)", "j.Whole = overRange(below, ceiling, floor)"},
		{figure, "case b.HasLow && cmpBound", "case b.HasHigh && b.HasLow && cmpBound"},
		{figure, "of-known <= of/5", "of-known < of/5"},
		{figure, "of-known <= of/5", "of-known <= of/6"},
		{figure, "case passed == 0 && trustMet:", "case passed == 0:"},
		{figure, "case passed == 0 && trustMet:", "case passed < prey.NumCases && trustMet:"},
		{figure, "case passed == prey.NumCases && trustMissed:", "case passed == prey.NumCases:"},
		{figure, "case a == Missed || b == Missed:\n\t\treturn Missed", "case a == Missed && b == Missed:\n\t\treturn Missed"},
		{figure, "num, den = f.Num[prey.Typical], f.Den[prey.Typical]", "num, den = f.Num[prey.LeastBone], f.Den[prey.LeastBone]"},
		{figure, "case f.Partial():", "case false:"},
		{figure, "return Judgement{Typical: Open, Whole: Open, Little: true}", "return Judgement{Typical: Missed, Whole: Open, Side: -1, Little: true}"},
		// what is counted
		{check, "case r.Until != \"\":", "case false:"},
		{check, "case r.LifeStage != AnyStage && r.LifeStage != s.life:", "case false:"},
		{check, "case !s.hasSpecies(r):", "case false:"},
		{kindShare, "case s.counted == 0 && s.complete > 0:", "case false:"},
		{check, "if s.days >= daysInWeek || f.Side != Below {", "if s.days >= daysInWeek {"},
		{check, "if s.days >= daysInWeek || f.Side != Below {", "if s.days > daysInWeek || f.Side != Below {"},
		{check, "return uint64(max(s.days, daysInWeek))", "return uint64(max(s.days, 1))"},
		{kindShare, "f.Den[c] = wide.Mul(uint64(s.total.Mass()), uint64(units.Whole))", "f.Den[c] = wide.Mul(uint64(s.counted), uint64(units.Whole))"},
		{kindSpecies, "case prey.EggFood, prey.Oil, prey.Supplement, prey.DryFood: // practice", "case prey.Oil, prey.Supplement, prey.DryFood: // practice"},
		{kindSpecies, "case prey.EggFood, prey.Oil, prey.Supplement, prey.DryFood: // practice", "case prey.EggFood, prey.Oil, prey.Supplement: // practice"},
		{kindSpecies, "r.Colour != 0 && f.food.Colour != r.Colour", "false"},
		{ready, "for _, name := range meats(f) {", "for _, name := range meats(f)[:min(1, len(meats(f)))] {"},
		{kindAmount, "[prey.NumCases]units.Mass{piece.High, piece.Typical, piece.Low}", "[prey.NumCases]units.Mass{piece.High, piece.High, piece.Low}"},
		{kindAmount, "num, _ = num.Times(daysInWeek)", "num, _ = num.Times(1)"},
		{kindTimes, "r.bounds.HasHigh && n > worst || !r.bounds.HasHigh && n < worst", "n > worst"},
		{kindTimes, "r.bounds.HasHigh && n > worst || !r.bounds.HasHigh && n < worst", "n < worst"},
		{kindTimes, "if worst == 0 && r.WhenFed {", "if worst == 0 {"},
		{kindTimes, "(!r.Meals || it.slot == slot)", "(!r.Meals || slot >= 0)"},
		{kindChew, "case safety.Soup, safety.Minced, safety.Dried, safety.Soaked:", "case safety.Minced, safety.Dried, safety.Soaked:"},
		{kindChew, "case safety.BoneIn, safety.WholePrey:", "case safety.BoneIn:"},
		{kindCalcium, "f.food.Complete || f.has[shares.BoneSlot] {", "f.has[shares.BoneSlot] && !f.food.Complete {"},
		{ready, "ok && calcium.At[prey.Typical] > 0", "ok && calcium.At[prey.Typical] >= 0"},
		{kindMix, "if f.food.Kind == prey.Mix || f.food.Kind == prey.DriedRaw {", "if f.food.Kind == prey.Mix {"},
		{kindMix, "lacks[slot] = known && !has[slot]", "lacks[slot] = !has[slot]"},
		{kindDried, "if s.items[i].form == safety.Dried {", "if f := s.items[i].form; f == safety.Dried || f == safety.Soaked {"},
		{kindDried, "s.items[i].slot == first.slot && s.items[i].bowl == first.bowl; i++", "s.items[i].bowl == first.bowl; i++"},
		{kindEnergy, "rank(v) > rank(verdict) ||", "rank(v) < rank(verdict) ||"},
		{kindNutrient, "s.perEnergy(f, r.Nutrient, prey.ModifiedAtwater)", "s.perEnergy(f, r.Nutrient, prey.FreshCat)"},
		{kindNutrient, "f.Den[c], _ = wide.Mul(uint64(f.DenKnown), perHundredGrams).Sub(water)", "f.Den[c], _ = wide.Mul(uint64(f.DenKnown), perHundredGrams).Sub(wide.Mul(0, water.Lo))"},
		{kindHazard, "if f.Side = Above; h.Standing == safety.StandOpen {", "if f.Side = Above; false {"},
		{kindMeals, "counts[d] < counts[least]", "counts[d] > counts[least]"},
		{state, "case ration.Kit, ration.Juvenile, ration.Pregnant, ration.Lactating:", "case ration.Kit, ration.Juvenile, ration.Lactating:"},
		{state, "if by == ByHead {", "if false {"},
		{state, "return figure.Part{W: 1, Total: uint64(len(b.animals))}", "return figure.Part{W: 1, Total: 1}"},
		{state, "if p.food.Complete {", "if false {"},
		{state, "return f.HasPart(prey.Liver) || f.HasPart(prey.Organ)", "return f.HasPart(prey.Liver)"},
		{state, "return f.BoneIn || f.HasPart(prey.Bone)", "return f.BoneIn"},
		{target, "if t.BoneMeans == BoneInMeat && f.BoneIn {", "if f.BoneIn {"},
		{target, "if t.BoneMeans == BoneInMeat && f.BoneIn {", "if false {"},
		{target, "if t.BoneMeans == BoneInMeat && f.Shares[prey.MostBone][prey.Bone] > 0 {", "if false {"},
		{target, "out[MuscleSlot] += out[HeartSlot]", "_ = 0"},
		{target, "out[HeartSlot] = 0", "_ = 0"},
		{target, "out[LiverSlot] = parts[prey.Liver]", "out[LiverSlot] = parts[prey.Organ]"},
		{kindHazard, "if share < max(changes, 1) && len(lots) == 0 {", "if share <= max(changes, 1) && len(lots) == 0 {"},
		{kindHazard, "lot.Food.ID == f.ID && lot.Supplier != \"\"", "false"},
		// what food holds and animals need
		{tally, "t.parts[c][p], _ = t.parts[c][p].AddMul(x, uint64(s))", "t.parts[c][p], _ = t.parts[c][p].AddMul(x/1_000_000, uint64(s)*1_000_000)"},
		{tally, "a.point, _ = a.point.AddMul(x, q.at)", "a.point, _ = a.point.AddMul(x, q.at/10*10)"},
		{energy, "return 35, 85, 35", "return 35, 90, 35"},
		{energy, "return 40, 85, 40", "return 40, 85, 35"},
		{facts, "parts := []Nutrient{Water, Protein, Fat, Ash}", "parts := []Nutrient{Water, Protein, Fat}"},
		{plan, "case s.Food.Kind == prey.Mix:\n\t\treturn safety.Minced", "case s.Food.Kind == prey.Mix:\n\t\treturn safety.Pieces"},
		{need, "bandLow, bandLowExp   = 105.0, 0.75", "bandLow, bandLowExp   = 106.0, 0.75"},
		{need, "bandHigh, bandHighExp = 147.8, 0.734", "bandHigh, bandHighExp = 147.8, 0.8"},
		{need, "bandHigh, bandHighExp = 147.8, 0.734", "bandHigh, bandHighExp = 148.0, 0.734"},
		{need, "n.Mul(n, new(big.Int).Exp(big.NewInt(700)", "n.Mul(n, new(big.Int).Exp(big.NewInt(710)"},
		{need, "Low:     Tenths(math.Floor(low * 10))", "Low:     Tenths(math.Ceil(low * 10))"},
		{need, "n.setBand(MethodKit, 2*lo, float64(3*hi))", "n.setBand(MethodKit, 2*lo, 2*hi)"},
		{need, "n.setBand(MethodLactation, float64(3*lo), 4*hi)", "n.setBand(MethodLactation, 2*lo, 4*hi)"},
		{need, "power(75, w, 0.67), power(100, w, 0.67)", "power(75, w, 0.75), power(100, w, 0.75)"},
		{need, "if low := band(lo, hi).Low; low < n.Floor {", "if low := band(lo, hi).Low; low > n.Floor {"},
		{need, "set(6, cite.Practice.Ref(", "set(5, cite.Practice.Ref("},
		// what there is and who may have it
		{kindRefused, "it.Mass > 0 && slices.Contains(s.bowls[it.bowl].animals, animal) && s.ready", "it.Mass > 0 && s.ready"},
		{kindBowls, `g == "" || g != s.needs[b.animals[0]].Animal.Group`, `g != s.needs[b.animals[0]].Animal.Group`},
		{kindStock, "l.endless = l.endless || o.Max == 0", "l.endless = true"},
		{kindStock, "max(l.fed-units.Mass(atMost(int64(l.mass), int64(l.bought))), 0)", "max(l.fed-l.mass, 0)"},
		{kindStock, "case l.uncounted || !there:", "case !there:"},
		{kindStock, "l.uncounted = l.uncounted || lot.Pieces <= 0", "l.uncounted = lot.Pieces <= 0"},
		{kindStock, "best == 0 || best >= l.last", "best == 0 || best < l.last"},
		{kindStock, "days[it.day].Date > best", "days[it.day].Date >= best"},
		{kindStock, "-min(l.bought, l.fed)-l.wanting()", "-min(l.bought, l.fed)"},
		{kindStock, "stock[j].BestBefore == 0 || stock[j].BestBefore > best", "stock[j].BestBefore > best"},
		{kindWhole, "uint64((it.Mass-1)/p.High + 1)", "uint64(it.Mass/p.High + 1)"},
		{kindWhole, "wide.Mul(uint64(it.Mass), 5).Cmp(least) < 0", "wide.Mul(uint64(it.Mass), 5).Cmp(least) <= 0 && false"},
		{kindDays, "if days[d].Date != next {", "if days[d].Date < next {"},
		{kindDays, "next := s.in.Plan.Start", "next := days[0].Date"},
		{kindNames, "o.NamedLike(an)", "o.Name == an.Name"},
		{kindMeals, "r.Frail && !s.needs[a].Animal.Frail(s.needs[a].Stage)", "false"},
		{kindMeals, "it.Mass == 0 || !it.profile.meal ||", "it.Mass == 0 ||"},
		// figures
		{rules, `low: {value: "1.5 g", ref: "derived aafco-2014`, `low: {value: "1.499999999 g", ref: "derived aafco-2014`},
		{rules, `high: {value: "83325 IU"`, `high: {value: "83333 IU"`},
		{rules, `low: {value: "0.15 mg"`, `low: {value: "0.16 mg"`},
		{rules, "nutrient: zinc", "nutrient: iron"},
		{rules, "stage: growth\n    period: week\n    gravity: mend\n    means: Growing kits", "stage: adult\n    period: week\n    gravity: mend\n    means: Growing kits"},
		{rules, "against: phosphorus", "against: magnesium"},
		{rules, "shared: head", "shared: band"},
		{rules, "species: [ferret]\n    period: week\n    gravity: mend\n    means: Different animals", "species: [cat]\n    period: week\n    gravity: mend\n    means: Different animals"},
		{rules, `high: {value: "10 %", ref: "practice: trouble`, `high: {value: "10.0001 %", ref: "practice: trouble`},
		{rules, `low: {value: "25 %", ref: "published fediaf-2018`, `low: {value: "26 %", ref: "published fediaf-2018`},
		{targets, `{slot: bone, aim: "10 %", low: "10 %", high: "15 %"`, `{slot: bone, aim: "10 %", low: "9.9999 %", high: "15 %"`},
		{targets, `{slot: heart, aim: "15 %", low: "13 %", high: "17 %"`, `{slot: heart, aim: "15 %", low: "13 %", high: "17.0001 %"`},
		{targets, "heart: in-muscle\n    bone-means: edible-bone\n    period: week\n    shares:\n      - {slot: muscle, aim: \"84 %\"", "heart: own-slot\n    bone-means: edible-bone\n    period: week\n    shares:\n      - {slot: heart, aim: \"0 %\", low: \"0 %\", high: \"5 %\", aim-ref: practice, bounds-ref: practice}\n      - {slot: muscle, aim: \"84 %\""},
		{hazards, "  - id: wild-rodent\n    name: Wild-caught rodent\n    gravity: stop\n    when:\n      - classes: [rodent]\n        wild: true", "  - id: wild-rodent\n    name: Wild-caught rodent\n    gravity: stop\n    when:\n      - classes: [rodent]\n        wild: false"},
		{hazards, "share-at-least: 25 %", "share-at-least: 26 %"},
		{hazards, "- tags: [cured, smoked, seasoned, preserved]", "- tags: [cured, smoked, seasoned]"},
		{species, "herring,atlantic-herring,fish;thiaminase", "herring,atlantic-herring,fish"},
		{notice, "const DefaultStaleAfter = 30", "const DefaultStaleAfter = 31"},
		{notice, "return days, days > n.StaleAfter", "return days, days >= n.StaleAfter"},
	}
}

// Every fault has its place in the code as it is now.
func TestMutationsStand(t *testing.T) {
	t.Parallel()
	for _, m := range mutations() {
		was, err := os.ReadFile(filepath.Join("../..", m.file))
		if err != nil {
			t.Error(err)
		} else if !bytes.Contains(was, []byte(m.old)) {
			t.Errorf("%s does not hold %q any more: change the mutation", m.file, m.old)
		}
	}
}

// How many faults put into the library the cases of the corpus find by
// themselves. It takes minutes, so it runs when asked:
//
//	CORPUS_MUTATIONS=1 go test -run TestMutations -v -timeout 1h ./balance/corpus
//
// Numbers separated by commas instead of 1 try these mutations alone.
func TestMutations(t *testing.T) {
	only := os.Getenv("CORPUS_MUTATIONS")
	if only == "" {
		t.Skip("set CORPUS_MUTATIONS=1: it takes minutes")
	}
	root := t.TempDir()
	copyModule(t, root)
	cases := func() (string, error) {
		cmd := exec.Command("go", "test", "-vet=off", "-count=1", "-run", "^TestCases$", "./balance/corpus")
		cmd.Dir = root
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
	if out, err := cases(); err != nil {
		t.Fatalf("the cases fail before anything is spoiled:\n%s", out)
	}
	all, found := 0, 0
	for i, m := range mutations() {
		if only != "1" && !slices.Contains(strings.Split(only, ","), fmt.Sprint(i)) {
			continue
		}
		path := filepath.Join(root, m.file)
		was, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Contains(was, []byte(m.old)) {
			t.Errorf("%s does not hold %q any more: change the mutation", m.file, m.old)
			continue
		}
		if err := os.WriteFile(path, bytes.Replace(was, []byte(m.old), []byte(m.new), 1), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := cases()
		all++
		switch {
		case err == nil:
			t.Errorf("not found: %d: %s: %q for %q", i, m.file, m.new, m.old)
		case strings.Contains(out, "[build failed]"), strings.Contains(out, "[setup failed]"):
			all--
			t.Errorf("does not build: %d: %s: %q\n%s", i, m.file, m.new, out)
		default:
			found++
			t.Logf("found by %d cases: %s: %.70q", strings.Count(out, "--- FAIL: TestCases/"), m.file, m.new)
		}
		if err := os.WriteFile(path, was, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	fmt.Printf("%d mutations, %d found by the corpus\n", all, found)
}

// copyModule copies what the cases need: the sources and data of the packages
// under balance.
func copyModule(t *testing.T, to string) {
	t.Helper()
	from, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"go.mod", "go.sum", "units", "prey", "safety", "ration", "balance", "testdata"} {
		err := filepath.WalkDir(filepath.Join(from, name), func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			rel, err := filepath.Rel(from, path)
			if err != nil {
				return err
			}
			if d.IsDir() {
				return os.MkdirAll(filepath.Join(to, rel), 0o755)
			}
			data, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			return os.WriteFile(filepath.Join(to, rel), data, 0o600)
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}
