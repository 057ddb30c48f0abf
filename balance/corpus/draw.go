package corpus

import (
	"fmt"

	"fitchet.example/balance"
	"fitchet.example/ration"
	"fitchet.example/units"
)

// Pick chooses a number from 0 to n-1; the label says what for. Zero is always
// the simplest choice, so that whoever makes choices smaller makes the household
// simpler.
type Pick func(label string, n int) int

// shelf is what a drawn household may hold: enough of all parts, by the gram
// where that matters, and food that must be left where it is.
type shelf struct {
	food   string
	grams  int64 // for every 100 kcal that the animals need
	pieces int64 // for every animal, instead of grams
	extra  bool  // not needed for a week, and in the house by chance
}

func shelves() []shelf {
	return []shelf{
		{food: "chicken-thigh-meat", grams: 60},
		{food: "beef-mince", grams: 50},
		{food: "rabbit-meat", grams: 50},
		{food: "turkey-bone-mince", grams: 60},
		{food: "beef-heart", grams: 25},
		{food: "beef-liver", grams: 12},
		{food: "lamb-kidney", grams: 12},
		{food: "hen-egg", pieces: 4},
		{food: "salmon-oil", grams: 3},
		{food: "turkey-meat", grams: 40, extra: true},
		{food: "duck-meat", grams: 40, extra: true},
		{food: "chicken-neck", pieces: 6, extra: true},
		{food: "chicken-wing", pieces: 6, extra: true},
		{food: "chicken-heart", grams: 25, extra: true},
		{food: "chicken-liver", grams: 12, extra: true},
		{food: "mouse-adult", pieces: 4, extra: true},
		{food: "atlantic-salmon", grams: 20, extra: true},
		{food: "pork-tenderloin", grams: 60, extra: true},
		{food: "atlantic-herring", grams: 40, extra: true},
		{food: "cod-liver-oil", grams: 3, extra: true},
		{food: "old-dry-food", grams: 40, extra: true},
	}
}

// Draw makes a request by chance. When it is plentiful, everything a balanced
// week needs is there in ample amounts, whatever else was drawn: refusing is then
// wrong. Otherwise any food may be short or missing, and a plan or a refusal may
// be right. The days are one of the lengths given; none: a week, three days, a
// fortnight or a day.
func (c *Corpus) Draw(pick Pick, plentiful bool, lengths ...int) (Request, error) {
	h := &ration.Household{Name: "Brackenford Ferret Rescue", AsOf: FirstDay.AddDays(-5), Start: FirstDay}
	n := 1 + pick("animals", 4)
	kcal := int64(0)
	for i := range n {
		a := ration.Animal{ID: fmt.Sprintf("ferret-%d", i+1), Species: ration.Ferret, Sex: ration.Jill, Mass: units.Mass(500+10*pick("weight", 150)) * units.Gram, Stage: ration.Adult}
		a.Name = a.ID
		switch pick("who", 6) {
		case 1:
			a.Sex = ration.Hob
		case 2:
			a.Stage = ration.Senior
		case 3:
			a.Stage = ration.Juvenile
		case 4:
			a.Stage = ration.Pregnant
		case 5:
			a.Conditions = []string{ration.Insulinoma}
		}
		if pick("shares a bowl", 2) == 1 {
			a.Group = "den"
		}
		switch pick("never", 4) {
		case 1:
			a.Never = []string{"chicken"}
		case 2:
			a.Never = []string{"duck"}
		case 3:
			a.Never = []string{"chicken-liver"}
		}
		h.Animals = append(h.Animals, a)
		kcal += int64(ration.Needs(&h.Animals[i], h.FirstDay()).Band.High) / 10
	}
	if len(lengths) == 0 {
		lengths = []int{7, 3, 14, 1}
	}
	days := lengths[pick("days", len(lengths))]
	for _, s := range shelves() {
		f, err := c.catalog.Find(s.food)
		if err != nil {
			return Request{}, fmt.Errorf("drawing a household: %w", err)
		}
		amount := [...]int64{100, 300, 100, 200, 100, 60, 30, 0}[pick("amount of "+s.food, 8)]
		switch {
		case s.extra:
			if pick("has "+s.food, 2) == 0 {
				continue
			}
		case plentiful:
			amount = 100 + amount
		}
		lot := ration.Stock{Food: f}
		if s.pieces > 0 {
			lot.Pieces = s.pieces * int64(n) * amount * int64(days) / 700
			lot.Mass = f.Piece.Typical * units.Mass(lot.Pieces)
		} else {
			lot.Mass = units.Gram * units.Mass(s.grams*kcal*int64(days)*amount/10_000)
		}
		if lot.Mass <= 0 {
			continue
		}
		switch age := pick("age of "+s.food, 6); {
		case age%2 == 1:
			lot.BestBefore = FirstDay.AddDays(20)
		case age == 4 && (s.extra || !plentiful):
			lot.BestBefore = h.AsOf - 1 // past its day
		}
		h.Stock = append(h.Stock, lot)
	}
	if len(h.Stock) == 0 { // a household has stock or offers
		f, err := c.catalog.Find("hen-egg")
		if err != nil {
			return Request{}, fmt.Errorf("drawing a household: %w", err)
		}
		h.Stock = append(h.Stock, ration.Stock{Food: f, Mass: f.Piece.Typical, Pieces: 1})
	}
	target, err := c.book.Target(balance.DefaultTarget)
	if err != nil {
		return Request{}, fmt.Errorf("drawing a household: %w", err)
	}
	return Request{Household: h, Days: days, Target: target, Book: c.book, Foods: c.catalog, Care: c.care}, nil
}
