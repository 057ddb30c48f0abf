package main

import (
	"encoding/json"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"testing"
	"time"

	"fitchet.example/balance"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"

	"pgregory.net/rapid"
)

func doorOf(t *testing.T, args ...string) *door {
	t.Helper()
	return sheetFor(t, "", args...).door()
}

func hours(from, to moment) time.Duration {
	return time.Duration(to.Date.DaysSince(from.Date))*safety.Day + time.Duration(to.Time-from.Time)*time.Minute
}

// USDA FSIS, two-hour rule: perishable food lies out for two hours, for one in
// surroundings above 90 °F (32.2 °C).
func TestBowlsAreLiftedInTime(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		args []string
		most time.Duration
	}{
		{nil, 2 * time.Hour}, {[]string{"-room", "21 °C"}, 2 * time.Hour}, {[]string{"-room", "90 °F"}, 2 * time.Hour},
		{[]string{"-room", "91 °F"}, time.Hour}, {[]string{"-room", "33 °C"}, time.Hour},
		{[]string{"-household", "testdata/good-twelve-animals.yaml"}, 2 * time.Hour},
	} {
		d := doorOf(t, tc.args...)
		for _, x := range d.Days {
			for _, b := range x.Bowls {
				if lies := hours(b.Out, b.Lift); lies <= 0 || lies > tc.most {
					t.Errorf("%v: the bowl of %v on %s lies %s, want at most %s", tc.args, b.Who, x.Date, lies, tc.most)
				}
			}
		}
	}
}

// Common practice: meals at least every four hours with insulinoma. By day the
// door sheet keeps that, with something in every bowl; the night is not decided.
func TestMossIsNeverLongWithoutFoodByDay(t *testing.T) {
	t.Parallel()
	d := doorOf(t)
	for _, x := range d.Days {
		var last *bowlOut
		for i := range x.Bowls {
			b := &x.Bowls[i]
			if !slices.Contains(b.Who, "Moss") {
				continue
			}
			if len(b.Food) == 0 || b.Total == "" {
				t.Errorf("%s %s: nothing in the bowl", x.Date, b.Out.Text)
			}
			if last != nil && hours(last.Lift, b.Out) > 4*time.Hour {
				t.Errorf("%s: %s without food before %s", x.Date, hours(last.Lift, b.Out), b.Out.Text)
			}
			last = b
		}
		if last == nil {
			t.Errorf("no bowl on %s", x.Date)
		}
	}
	if len(d.Nights) != 1 || d.Nights[0].Who != "Moss" || len(d.Nights[0].Choices) < 2 {
		t.Errorf("nights to settle: %+v", d.Nights)
	}
}

// The door sheet feeds what the plan feeds: every food, to the gram, every day.
func TestDoorFeedsThePlan(t *testing.T) {
	t.Parallel()
	for name, args := range inputs(t) {
		s := sheetFor(t, "", args...)
		if s.Plan == nil {
			continue
		}
		want, got := map[string]units.Mass{}, map[string]units.Mass{}
		for _, x := range s.Plan.Days {
			for _, m := range x.Meals {
				for _, v := range m.Servings {
					want[fmt.Sprint(x.Date, m.For, v.Food.ID)] += v.Mass
				}
			}
		}
		for _, x := range s.door().Days {
			for _, b := range x.Bowls {
				for _, v := range b.servings {
					got[fmt.Sprint(x.Date, b.ids, v.Food.ID)] += v.Mass
				}
				if len(b.servings) != len(b.Food) {
					t.Errorf("%s: %v of %v", name, b.Food, b.servings)
				}
			}
		}
		for k := range want {
			if want[k] != got[k] {
				t.Errorf("%s: %s: %s at the door, %s in the plan", name, k, got[k], want[k])
			}
		}
		if len(got) != len(want) {
			t.Errorf("%s: %d foods at the door, %d in the plan", name, len(got), len(want))
		}
	}
}

// UNL and Illinois Extension, thawing in the fridge: 24 hours for each 4 to 5 lb
// and at least 24 hours; then mince, poultry and offal keep 1 to 2 days and cuts
// of red meat 3 to 5. The lower figure counts.
func TestThawing(t *testing.T) {
	t.Parallel()
	for name, args := range inputs(t) {
		s := sheetFor(t, "", args...)
		if s.Plan == nil {
			continue
		}
		d := s.door()
		first := map[string]units.Date{} // food: first day fed
		for at, v := range s.Plan.Servings() {
			if day := s.Plan.Days[at.Day].Date; first[v.Food.Name] == 0 {
				first[v.Food.Name] = day
			}
		}
		seen := map[string]bool{}
		check := func(date units.Date, list []thawOut) {
			for _, o := range list {
				f, err := s.maker.foods.Find(o.Food)
				if err != nil {
					t.Fatal(err)
				}
				if !seen[o.Food] && o.Feed != first[o.Food] {
					t.Errorf("%s: %s is first fed on %s, reminded for %s", name, o.Food, first[o.Food], o.Feed)
				}
				seen[o.Food] = true
				switch f.Kind {
				case prey.EggFood:
					if !o.Bought {
						t.Errorf("%s: %s from the freezer", name, o.Food)
					}
					continue
				case prey.Oil, prey.Supplement, prey.DryFood, prey.DriedRaw:
					continue
				}
				if o.Feed.DaysSince(date) < 1 {
					t.Errorf("%s: %s leaves the freezer on %s and is fed on %s", name, o.Food, date, o.Feed)
				}
				if late := date < d.AsOf; o.Late != late || strings.Contains(o.Text, "that day is past") != late {
					t.Errorf("%s: %s leaves the freezer on %s, as of %s: %v, %q", name, o.Food, date, d.AsOf, o.Late, o.Text)
				}
				most := 1
				if f.Kind == prey.Cut && slices.Contains([]string{"cattle", "sheep", "goat", "pig", "deer"}, f.Species) && !strings.Contains(f.Cut, "mince") {
					most = 3
				}
				if keeps := o.UseBy.DaysSince(o.Feed); keeps < 0 || keeps > most {
					t.Errorf("%s: %s is kept %d days, want at most %d", name, o.Food, keeps, most)
				}
				fresh := most
				if f.Species == "rabbit" && f.Kind == prey.Cut { // FoodKeeper v128, ID 595: fresh 2 days
					fresh = 2
				}
				if o.Bought && o.UseBy.DaysSince(date) > fresh && !strings.Contains(o.Text, "if fresh, use it by") {
					t.Errorf("%s: %s, bought on %s, is kept fresh until %s: %q", name, o.Food, date, o.UseBy, o.Text)
				}
			}
		}
		for _, b := range d.Before {
			check(b.Date, b.Thaw)
		}
		for _, x := range d.Days {
			check(x.Date, x.Thaw)
			for _, b := range x.Bowls {
				for _, v := range b.servings {
					if !seen[v.Food.Name] && v.Food.Kind != prey.Oil && v.Food.Kind != prey.EggFood && v.Food.Kind != prey.Supplement {
						t.Errorf("%s: %s is fed on %s and was not thawed before", name, v.Food.Name, x.Date)
					}
				}
			}
		}
	}
}

// Sharing a day's food out over its bowls: nothing is added or lost, whole pieces
// stay whole, and a bowl that gets something gets more than oil.
func TestSpread(t *testing.T) {
	t.Parallel()
	c, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	var foods []*prey.Food
	for _, name := range []string{"chicken heart", "beef mince", "adult mouse", "salmon oil", "hen egg", "chicken neck"} {
		f, err := c.Find(name)
		if err != nil {
			t.Fatal(err)
		}
		foods = append(foods, f)
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "bowls")
		slots := rapid.Permutation([]int{1, 2, 3, 4, 5, 6, 7, 8}[:n]).Draw(t, "slots")[:rapid.IntRange(0, n).Draw(t, "meals")]
		ids := []string{"moss"}
		sum := func(list []bowlOut) (grams map[string]units.Mass, pieces map[string]int64) {
			grams, pieces = map[string]units.Mass{}, map[string]int64{}
			for _, b := range list {
				for _, s := range b.servings {
					grams[s.Food.ID] += s.Mass
					pieces[s.Food.ID] += s.Pieces
				}
			}
			return grams, pieces
		}
		var bowls []bowlOut
		for _, k := range slots {
			b := bowlOut{Meal: k, ids: ids}
			for range rapid.IntRange(1, 3).Draw(t, "servings") {
				f := rapid.SampledFrom(foods).Draw(t, "food")
				s := ration.Serving{Food: f, Mass: units.Mass(rapid.IntRange(1, 60).Draw(t, "grams")) * units.Gram}
				if f.PieceName != "" && rapid.Bool().Draw(t, "counted") {
					s.Pieces = rapid.Int64Range(1, 4).Draw(t, "pieces")
					s.Mass = units.Mass(s.Pieces) * 27 * units.Gram
				}
				b.servings = append(b.servings, s)
			}
			bowls = append(bowls, b)
		}
		grams, pieces := sum(bowls)
		before := len(bowls)
		out, moved := spread(slices.Clone(bowls), ids, n)
		gotGrams, gotPieces := sum(out)
		for f, m := range grams {
			if gotGrams[f] != m || gotPieces[f] != pieces[f] {
				t.Fatalf("%s: %s and %d pieces, want %s and %d", f, gotGrams[f], gotPieces[f], m, pieces[f])
			}
		}
		seen := map[int]bool{}
		for i, b := range out {
			if seen[b.Meal] {
				t.Fatalf("bowl %d twice", b.Meal)
			}
			seen[b.Meal] = true
			if i >= before && len(b.servings) > 0 && !slices.ContainsFunc(b.servings, func(s ration.Serving) bool { return s.Food.Kind != prey.Oil }) {
				t.Fatalf("bowl %d holds nothing but oil", b.Meal)
			}
			for _, s := range b.servings {
				if s.Mass <= 0 {
					t.Fatalf("bowl %d holds %s", b.Meal, s.Mass)
				}
			}
			if !moved && i >= before && len(b.servings) > 0 {
				t.Fatal("something was moved and is not said to be")
			}
		}
		if len(seen) != n {
			t.Fatalf("%d bowls, want %d", len(seen), n)
		}
		for _, b := range out { // a bowl stays empty only when no other can give
			if len(b.servings) > 0 {
				continue
			}
			for _, o := range out {
				if _, part := halve(o.servings); len(part) > 0 {
					t.Fatalf("bowl %d is empty beside one that can give", b.Meal)
				}
			}
		}
	})
}

// Animals that share a bowl, or share one with somebody who does, keep one clock.
func TestTables(t *testing.T) {
	t.Parallel()
	meal := func(ids ...string) ration.Meal { return ration.Meal{Slot: 1, For: ids} }
	for _, tc := range []struct {
		name  string
		meals []ration.Meal
		want  string
	}{
		{"nothing", nil, "[]"},
		{"apart", []ration.Meal{meal("a"), meal("b"), meal("a")}, "[[a] [b]]"},
		{"together", []ration.Meal{meal("a", "b"), meal("c"), meal("b", "a")}, "[[a b] [c]]"},
		{"joined later", []ration.Meal{meal("a"), meal("b"), meal("c"), meal("c", "a")}, "[[a c] [b]]"},
		{"by way of others", []ration.Meal{meal("a", "b"), meal("c", "d"), meal("b", "c")}, "[[a b c d]]"},
	} {
		got := tables(&ration.Plan{Days: []ration.Day{{Meals: tc.meals}}})
		if s := fmt.Sprint(got); s != tc.want {
			t.Errorf("%s: %s, want %s", tc.name, s, tc.want)
		}
	}
}

// Bowls that lie through midnight keep their dates right.
func TestWakingThroughMidnight(t *testing.T) {
	t.Parallel()
	household := strings.Replace(named("Brackenford", "Fern", "Moss"), `"room": "19 °C",`, `"room": "19 °C", "waking": "18:00-10:00",`, 1)
	s := sheetFor(t, household)
	if s.Plan == nil {
		t.Fatal("no plan")
	}
	next := 0
	for _, x := range s.door().Days {
		for _, b := range x.Bowls {
			if b.Out.Date == x.Date && b.Out.Time < 18*60 || b.Out.Date != x.Date && (b.Out.Date != x.Date.AddDays(1) || b.Out.Time >= 10*60) {
				t.Errorf("a bowl of %s is put down on %s at %s, outside 18:00 to 10:00", x.Date, b.Out.Date, b.Out.Text)
			}
			if hours(b.Out, b.Lift) <= 0 || hours(b.Out, b.Lift) > 2*time.Hour {
				t.Errorf("out %v, lift %v", b.Out, b.Lift)
			}
			if b.Out.Date != x.Date {
				next++
				if want := b.Out.Text + " " + x.Date.AddDays(1).Weekday().String(); b.Out.on(x.Date) != want {
					t.Errorf("%q does not name the day", b.Out.on(x.Date))
				}
			}
		}
	}
	if next == 0 {
		t.Error("no bowl after midnight")
	}
	checkCalendar(t, sheetOf(t, household, "door", "ics"))
}

// The cards say what the door sheet says, and each names the hours of its own
// animal.
func TestCards(t *testing.T) {
	t.Parallel()
	s := sheetFor(t, "")
	c := s.card()
	if len(c.Cards) != 6 {
		t.Fatalf("%d cards", len(c.Cards))
	}
	for _, k := range c.Cards {
		if len(k.Menu) != 7 || k.Sex == "unknown" || k.Weight == "" || len(k.Times) < 2 || k.Amount == "" {
			t.Errorf("%s: %d days, %s, %s, %v, %q", k.Name, len(k.Menu), k.Sex, k.Weight, k.Times, k.Amount)
		}
		for _, x := range s.door().Days {
			for _, b := range x.Bowls {
				if !slices.Contains(b.ids, k.Animal) {
					continue
				}
				i := slices.IndexFunc(k.Menu, func(m menu) bool { return m.Date == x.Date })
				if i < 0 || fmt.Sprint(k.Menu[i].Bowls[b.Meal-1]) != fmt.Sprint(b.Food) || !strings.HasPrefix(k.Times[b.Meal-1], b.Out.Text) {
					t.Errorf("%s, %s: the card differs from the door", k.Name, x.Date)
				}
			}
		}
		all := strings.Join(k.Vet, "\n")
		// Common practice: a day without food, half of it for kits under six
		// months, four hours with insulinoma.
		want := map[string]string{"Moss": "call a vet after 4 h", "Fern": "call a vet after 12 h"}[k.Name]
		if want == "" {
			want = "call a vet after 24 h"
		}
		if want = "Eats nothing: offer what it took before, and " + want; !strings.Contains(all, want) || strings.Count(all, "Eats nothing") != 1 {
			t.Errorf("%s: no %q in\n%s", k.Name, want, all)
		}
		if (k.Night != nil) != (k.Name == "Moss") || (len(k.Ask) > 0) != (k.Name == "Moss") {
			t.Errorf("%s: night %v, vet first %v", k.Name, k.Night, k.Ask)
		}
		never := strings.Join(k.Never, "\n")
		for _, w := range []string{"Cooked", "Onion", "Xylitol", "Chocolate", "Raw pork", "Cured"} {
			if !strings.Contains(never, w) {
				t.Errorf("%s: %s is not forbidden", k.Name, w)
			}
		}
	}
	for i, k := range c.Cards {
		if k.Name == "Moss" && !slices.Equal(c.Cards[i].Not, []string{"rabbit"}) {
			t.Errorf("not for Moss: %v", c.Cards[i].Not)
		}
	}
	for _, l := range c.Cards[0].Limits {
		if strings.Contains(l, "Keepers") {
			t.Errorf("practice stands beside the limit on a sheet that is given away: %q", l)
		}
	}
}

// The note's figures are those of the audit.
func TestVetNote(t *testing.T) {
	t.Parallel()
	s := sheetFor(t, "")
	v := s.vet()
	var total units.Mass
	for _, x := range s.Plan.Servings() {
		total += x.Mass
	}
	if v.Total != both(total) || v.Days != 7 || len(v.Animals) != 6 {
		t.Errorf("%s over %d days for %d", v.Total, v.Days, len(v.Animals))
	}
	text, err := json.Marshal(s.Report)
	if err != nil {
		t.Fatal(err)
	}
	type finding struct {
		Verdict, Limit string
		Text           string `json:"measured_text"`
	}
	var r struct{ Findings []finding }
	if err := json.Unmarshal(text, &r); err != nil {
		t.Fatal(err)
	}
	rows := map[string]bool{}
	limits := 0
	worst := map[string]balance.Verdict{}
	for i := range s.Report.Findings {
		f := &s.Report.Findings[i]
		if name, ok := nutrient(f); ok && f.Verdict != balance.NotApplicable {
			key := name + basis(f)
			if w, seen := worst[key]; !seen || f.Verdict == balance.Missed || f.Verdict == balance.Open && w == balance.Met {
				worst[key] = f.Verdict
			}
		}
	}
	for _, n := range v.Nutrients {
		rows[n.Name+n.Basis] = true
		limits += len(n.Wanted)
		for _, w := range n.Wanted {
			found := slices.ContainsFunc(r.Findings, func(f finding) bool {
				return strings.ReplaceAll(f.Limit, " "+n.Basis, "") == w && sameFigure(f.Text, n.Figure)
			})
			if !found {
				t.Errorf("%s: %q of %q is no finding", n.Name, w, n.Figure)
			}
		}
		for _, f := range r.Findings {
			if _, of, ok := strings.Cut(f.Text, ", from the "); ok && slices.Contains(n.Wanted, strings.ReplaceAll(f.Limit, " "+n.Basis, "")) && sameFigure(f.Text, n.Figure) &&
				!strings.HasPrefix(of, n.Known+" of the food") {
				t.Errorf("%s: known for %s, the finding says %s", n.Name, n.Known, of)
			}
		}
		if verdict, _, _ := strings.Cut(n.Verdict, ","); verdict != worst[n.Name+n.Basis].String() {
			t.Errorf("%s: %s, the worst of its findings is %s", n.Name, n.Verdict, worst[n.Name+n.Basis])
		}
		if n.Known == "" || n.Verdict == "" || n.Evidence == "" {
			t.Errorf("%s: known for %q, %q, from %q", n.Name, n.Known, n.Verdict, n.Evidence)
		}
		if n.Known == "0 %" && (n.Figure != "" || n.Verdict == "met") {
			t.Errorf("%s: nothing is known, and it is %q, %s", n.Name, n.Figure, n.Verdict)
		}
	}
	per := 0
	for _, f := range r.Findings {
		if f.Verdict != "not-applicable" && (strings.Contains(f.Limit, "1000 kcal") || strings.Contains(f.Limit, "dry matter") || strings.Contains(f.Limit, " : 1")) {
			per++
		}
	}
	if limits != per || len(rows) != len(v.Nutrients) {
		t.Errorf("%d limits in %d rows, the audit has %d", limits, len(rows), per)
	}
	open := strings.Join(v.Open, "\n")
	for _, w := range []string{"May Moss be fed by this plan (insulinoma, on medicine)?", "How is the night of Moss", "taurine"} {
		if !strings.Contains(open, w) {
			t.Errorf("no %q among the open questions:\n%s", w, open)
		}
	}
}

// sameFigure compares the leading numbers as printed: a finding shows more
// places where the figure would otherwise look like its limit.
func sameFigure(a, b string) bool {
	a, b = strings.TrimPrefix(a, "at least "), strings.TrimPrefix(b, "at least ")
	x, okA := new(big.Rat).SetString(strings.SplitN(a+" ", " ", 2)[0])
	y, okB := new(big.Rat).SetString(strings.SplitN(b+" ", " ", 2)[0])
	if !okA || !okB {
		return a == b
	}
	d := x.Sub(x, y)
	return d.Abs(d).Cmp(new(big.Rat).Mul(y.Abs(y), big.NewRat(1, 100))) <= 0
}
