package balance_test

import (
	"strings"
	"testing"

	"fitchet.example/balance"
	"fitchet.example/prey"
	"fitchet.example/ration"

	"github.com/shopspring/decimal"
)

// Regression (ours): a plan of 70 muscle, 10 heart, 5 liver, 5 kidney and 10
// "bone", with the bone of several published analyses. Soft rows are USDA SR28
// (05096, 13321, 13325, 13323), bone minerals as the row names. Columns: calcium
// and phosphorus in mg, Ca:P, g of calcium per 1000 kcal (modified Atwater, bone
// energy not counted). The arithmetic was done by hand beforehand, apart from
// this code; the analyses are published.
func TestBoneTable(t *testing.T) {
	rows := []struct {
		bone   string // source and arithmetic
		ca, p  string // g per 100 g of fresh bone
		edible [4]string
		in40   [4]string // 10 g of bone-in meat, 40 % of it bone
		in46   [4]string
	}{
		{"broiler leg bone, Suchy 2009: 18.1 and 8.325 x 0.6092", "11.02652", "5.07159",
			[4]string{"1109.2", "690.1", "1.61", "11.99"}, [4]string{"448.0", "396.9", "1.13", "4.54"}, [4]string{"514.1", "426.2", "1.21", "5.24"}},
		{"fresh sheep and pig bone: 60.92 x 49.17 % x 0.37, P = Ca/2.17", "11.083093", "5.107416",
			[4]string{"1114.8", "693.6", "1.61", "12.06"}, [4]string{"450.2", "398.3", "1.13", "4.56"}, [4]string{"516.7", "427.8", "1.21", "5.27"}},
		{"whole cow femur, Paloheimo 1965: 34.8 x 0.37", "12.876", "5.933641",
			[4]string{"1294.1", "776.3", "1.67", "13.99"}, [4]string{"522.0", "431.3", "1.21", "5.29"}, [4]string{"599.2", "465.8", "1.29", "6.11"}},
		{"broiler, veal and flat bones, Field 2000: 100/5.0", "20", "9.216590",
			[4]string{"2006.5", "1104.6", "1.82", "21.70"}, [4]string{"806.9", "562.7", "1.43", "8.17"}, [4]string{"926.9", "616.9", "1.50", "9.45"}},
		{"cortical round bones, Field 2000: 100/4.5", "22.222222", "10.240655",
			[4]string{"2228.7", "1207.0", "1.85", "24.10"}, [4]string{"895.8", "603.6", "1.48", "9.08"}, [4]string{"1029.1", "664.0", "1.55", "10.49"}},
	}
	k := open(t)
	for _, row := range rows {
		files := kitchenFiles()
		files["bone.csv"] = boneRows(
			"calcium,,"+row.ca+",,g,choice: the analysis that the row names",
			"phosphorus,,"+row.p+",,g,choice: the analysis that the row names",
			"water,,39.08,,g,derived old-bones-2017: 100 - 60.92")
		files["foods.csv"] += strings.TrimPrefix(foodRows(
			"id=cut-40 name=Cut_40 species=chicken kind=cut cut=cut slot=muscle colour=white bone_in=yes",
			"id=cut-46 name=Cut_46 species=chicken kind=cut cut=cut slot=muscle colour=white bone_in=yes",
		), foodRows())
		files["parts.csv"] += "cut-40,bone,,40 %,,choice: worked example\ncut-46,bone,,46 %,,choice: worked example\n"
		for _, id := range []string{"cut-40", "cut-46"} {
			files["nutrients.csv"] += id + ",edible,76.22,19.66,4.12,0.95,7,185,1.58,0.088,24,published usda-sr28: NDB 05096\n"
		}
		mine := k
		mine.foods = load(t, files)
		for _, part := range []struct {
			food string
			want [4]string
		}{{"bone", row.edible}, {"cut-40", row.in40}, {"cut-46", row.in46}} {
			t.Run(row.bone+"/"+part.food, func(t *testing.T) {
				p := mine.week(t, 7, "1.1: thigh 70 g, heart 10 g, liver 5 g, kidney 5 g, "+part.food+" 10 g")
				r := k.audit(t, balance.Input{Plan: p})
				tally := r.Tally()
				mg := func(n prey.Nutrient) string {
					sum, _ := tally.Nutrient(prey.Typical, n)
					return prey.Amount(sum).Rounded(1)
				}
				b := r.Bone()
				got := [4]string{mg(prey.Calcium), mg(prey.Phosphorus), b.CaP.Typical.StringFixed(2), b.PerKcal.Typical.StringFixed(2)}
				for i := range got {
					if i < 3 && got[i] != part.want[i] || !near(t, got[i], part.want[i], "0.01") {
						t.Errorf("column %d", i)
					}
				}
				if t.Failed() {
					t.Errorf("calcium, phosphorus, ratio, per 1000 kcal: %v, want %v", got, part.want)
				}
			})
		}
	}
}

// near compares with a tolerance of one in the last printed place, and for this
// reason only: the tables above and below took the carbohydrate that USDA SR28
// prints (0.14 g for beef heart), the catalogue takes it by difference (0.13 g),
// so the energy differs by a few parts in a hundred thousand.
func near(t testing.TB, got, want, tolerance string) bool {
	t.Helper()
	d, err := decimal.NewFromString(got)
	if err != nil {
		t.Fatal(err)
	}
	return d.Sub(decimal.RequireFromString(want)).Abs().LessThanOrEqual(decimal.RequireFromString(tolerance))
}

// Regression (ours): 80 thigh, 10 heart, 5 kidney and 5 liver of USDA SR28, one
// liver after the other: vitamin A per 1000 kcal by modified Atwater factors.
// The shipped catalogue is asked, so its rows are tried too.
func TestVitaminATable(t *testing.T) {
	rows := []struct{ liver, ndb, want string }{
		{"chicken-liver", "05027", "6290"},
		{"beef-liver", "13325", "9080"},
		{"pork-liver", "10110", "11396"},
		{"lamb-liver", "17199", "12802"},
		{"turkey-liver", "05177", "13977"},
		{"goose-liver", "05150", "15933"},
		{"veal-liver", "17202", "19799"},
		{"duck-liver", "05143", "20248"},
		{"lamb-liver-nz", "17369", "25795"},
		{"beef-liver-nz", "23425", "46684"},
	}
	foods, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	k := open(t)
	k.foods = foods
	for _, row := range rows {
		t.Run(row.ndb+" "+row.liver, func(t *testing.T) {
			p := k.week(t, 7, "1.1: chicken-thigh-meat 80 g, beef-heart 10 g, beef-kidney 5 g, "+row.liver+" 5 g")
			r := k.audit(t, balance.Input{Plan: p})
			f := one(t, r, "vitamin-a-most")
			m, ok := f.Measured()
			if !ok || !near(t, m.Typical.String(), row.want, "1") {
				t.Errorf("%s IU per 1000 kcal, want %s", m.Typical, row.want)
			}
			if f.Verdict != balance.Met {
				t.Errorf("%s under the cat maximum: %s", row.liver, f.Verdict)
			}
		})
	}
}

// At 5 % every common liver reaches the cat minimum and stays under the maximum;
// of New Zealand ox liver 9.1 % of a mix with its energy held would reach it
// (regression, ours), so a tenth of it is over and liver-most does not see it.
func TestLiverMaximum(t *testing.T) {
	foods, err := prey.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	k := open(t)
	k.foods = foods
	p := k.week(t, 7, "1.1: chicken-thigh-meat 80 g, beef-heart 10 g, beef-liver-nz 10 g")
	r := k.audit(t, balance.Input{Plan: p})
	if f := one(t, r, "vitamin-a-most"); f.Verdict != balance.Missed {
		t.Errorf("vitamin-a-most with 10 %% of it: %s (%s)", f.Verdict, f.MeasuredText())
	}
	if f := one(t, r, "liver-most"); f.Verdict != balance.Met {
		t.Errorf("liver-most at 10 %%: %s", f.Verdict)
	}
}

// Common practice: figures that keepers give for one ferret and week.
func TestPracticeWeek(t *testing.T) {
	k := open(t)
	// 70 boneless meat, 10 bone-in meat, 10 heart, 5 liver, 5 other; at least
	// three proteins, one of them red; 76 g and egg and oil a day for a jill of
	// 800 g.
	jill := ferret("bramble", ration.Jill, 800)
	p := k.week(t, 7,
		"1-7.1 bramble: thigh 26 g, heart 8 g, wing 8 g",
		"1-7.2 bramble: rabbit 13 g, lamb 13 g, liver 4 g, kidney 4 g",
		"2.2 bramble: egg 50 g x1", "1-7.2 bramble: oil 0.6 g")
	p.Target = "assembled-bone-in-meat"
	r := k.audit(t, balance.Input{Plan: p, Household: rescue(jill)})
	for _, id := range []string{"share-muscle", "share-heart", "share-bone", "share-liver", "share-organ", "proteins-distinct", "red-meat", "eggs-weekly", "oil-weekly", "oil-spread", "trade-amount-jill", "energy-band", "energy-floor"} {
		if f := one(t, r, id); f.Verdict != balance.Met {
			t.Errorf("%s: %s (%s against %s)", id, f.Verdict, f.MeasuredText(), f.LimitText())
		}
	}
	// Its low end of the trade rule is below resting need: 1 oz of 1.14 kcal
	// per gram is 32 kcal, resting need of 800 g is 59.2.
	p = k.week(t, 7, "1-7.1 bramble: pure 1 oz")
	r = k.audit(t, balance.Input{Plan: p, Household: rescue(jill)})
	if f := one(t, r, "trade-amount-jill"); f.Verdict != balance.Met {
		t.Errorf("1 oz a day by the trade rule: %s", f.Verdict)
	}
	if f := one(t, r, "energy-floor"); f.Verdict != balance.Missed {
		t.Errorf("1 oz a day by resting need: %s", f.Verdict)
	}
}
