package corpus

import (
	"fmt"

	"fitchet.example/balance"
	"fitchet.example/prey"
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
	bad := func(err error) (Request, error) { return Request{}, fmt.Errorf("drawing a household: %w", err) }
	h := &ration.Household{Name: "Brackenford Ferret Rescue", AsOf: FirstDay.AddDays(-5), Start: FirstDay}
	n := 1 + pick("animals", 4)
	kcal := int64(0)
	for i := range n {
		h.Animals = append(h.Animals, drawAnimal(pick, fmt.Sprintf("ferret-%d", i+1), plentiful))
		kcal += int64(ration.Needs(&h.Animals[i], h.FirstDay()).Band.High) / 10
	}
	h.MealsPerDay = [...]int{0, 3, 4}[pick("meals", 3)]
	if len(lengths) == 0 {
		lengths = []int{7, 3, 14, 1}
	}
	d := drawn{Household: h, pick: pick, plentiful: plentiful, days: lengths[pick("days", len(lengths))], kcal: kcal}
	for _, s := range shelves() {
		f, err := c.catalog.Find(s.food)
		if err == nil {
			err = d.fill(s, f)
		}
		if err != nil {
			return bad(err)
		}
	}
	if len(h.Stock)+len(h.Offers) == 0 { // a household has stock or offers
		f, err := c.catalog.Find("hen-egg")
		if err != nil {
			return bad(err)
		}
		h.Stock = append(h.Stock, ration.Stock{Food: f, Mass: f.Piece.Typical, Pieces: 1})
	}
	id := balance.DefaultTarget
	if !plentiful { // what is plenty for one target is not for every other
		var ids []string
		for _, t := range c.book.Targets() {
			if t.Until == "" && t.Species == ration.Ferret && t.ID != id {
				ids = append(ids, t.ID)
			}
		}
		if k := pick("target", 3*len(ids)+1); k > 0 && k <= len(ids) {
			id = ids[k-1]
		}
	}
	target, err := c.book.Target(id)
	if err != nil {
		return bad(err)
	}
	return Request{Household: h, Days: d.days, Target: target, Book: c.book, Foods: c.catalog, Care: c.care}, nil
}

func drawAnimal(pick Pick, id string, plentiful bool) ration.Animal {
	a := ration.Animal{ID: id, Name: id, Species: ration.Ferret, Sex: ration.Jill, Mass: units.Mass(500+10*pick("weight", 150)) * units.Gram, Stage: ration.Adult}
	switch pick("who", 8) {
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
	case 6:
		a.Stage = ration.Lactating
	case 7:
		a.Stage = ration.Kit
	}
	if pick("shares a bowl", 2) == 1 {
		a.Group = "den"
	}
	nevers := [][]string{nil, {"chicken"}, {"duck"}, {"chicken-liver"}, {"hen-egg", "atlantic-salmon"}, {"cattle"}, {"rabbit", "turkey"}}
	if plentiful {
		nevers = nevers[:5]
	}
	a.Never = nevers[pick("never", len(nevers))]
	return a
}

// drawn is a household while it is drawn.
type drawn struct {
	*ration.Household
	pick      Pick
	plentiful bool
	days      int
	kcal      int64 // the most that all need in a day
}

// fill puts a food into the freezer or among the offers, or leaves it out.
func (d *drawn) fill(s shelf, f *prey.Food) error {
	amount := [...]int64{100, 300, 100, 200, 100, 60, 30, 0}[d.pick("amount of "+s.food, 8)]
	switch {
	case s.extra:
		if d.pick("has "+s.food, 2) == 0 {
			return nil
		}
	case d.plentiful:
		amount = 100 + amount
	}
	free := s.extra || !d.plentiful // may be short, or past its day
	lot := ration.Stock{Food: f}
	if s.pieces > 0 {
		lot.Pieces = s.pieces * int64(len(d.Animals)) * amount * int64(d.days) / 700
		lot.Mass = f.Piece.Typical * units.Mass(lot.Pieces)
	} else {
		lot.Mass = units.Gram * units.Mass(s.grams*d.kcal*int64(d.days)*amount/10_000)
	}
	if lot.Mass <= 0 {
		return nil
	}
	soon := func() units.Date { return FirstDay.AddDays(d.pick("day of "+s.food, d.days)) }
	switch how := d.pick("lot of "+s.food, 12); {
	case how == 1 || how == 3 || how == 5:
		lot.BestBefore = FirstDay.AddDays(20)
	case how == 4 && free:
		lot.BestBefore = d.AsOf - 1 // past its day
	case how == 6 && free:
		lot.BestBefore = FirstDay - 1 // when the plan begins
	case how == 7 && free:
		lot.BestBefore = soon()
	case how == 8: // as much again that has to go soon
		first := lot
		first.BestBefore = soon()
		d.Stock = append(d.Stock, first)
	case how == 9 || how == 10 && free:
		return d.offer(s, lot, how == 10)
	}
	d.Stock = append(d.Stock, lot)
	return nil
}

// offer has a food in the shop instead, without a most or as much as the lot.
func (d *drawn) offer(s shelf, lot ration.Stock, most bool) error {
	price, err := units.ParsePrice("2.50 EUR")
	if err != nil {
		return err
	}
	o := ration.Offer{Food: lot.Food, Pack: 250 * units.Gram, Price: price}
	if s.pieces > 0 {
		o.Pieces, o.Pack = 6, 6*lot.Food.Piece.Typical
	}
	if most {
		o.Max = 1 + int64(lot.Mass/o.Pack)
	}
	d.Offers = append(d.Offers, o)
	return nil
}
