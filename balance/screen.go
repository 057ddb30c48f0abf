package balance

import (
	"fmt"
	"sync"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
)

// HazardCheck asks package safety about foods, once each. It never changes after it
// is made and is safe for concurrent use.
type HazardCheck struct {
	book    *safety.Book
	context safety.Context
	known   map[*prey.Food]screened
}

// screened is what is known of a food ahead of any plan: its hazards while it
// is little of the food, and the share from which they change.
type screened struct {
	hazards []safety.Hazard
	changes units.Share // 0: never
}

// NewHazardCheck asks about every food of the catalogue. The context names the
// region, the notices in force and the day. A nil book is the shipped one; a
// nil catalogue leaves every food to be asked about when it is met. A region that
// the notices do not know is an error that wraps [safety.ErrRegion].
func NewHazardCheck(book *safety.Book, foods *prey.Catalogue, context safety.Context) (*HazardCheck, error) {
	if err := context.Notices.CheckRegion(context.Region); err != nil {
		return nil, fmt.Errorf("screening foods: %w", err)
	}
	if book == nil {
		var err error
		if book, err = safety.Shipped(); err != nil {
			return nil, fmt.Errorf("screening foods: %w", err)
		}
	}
	s := &HazardCheck{book: book, context: context, known: map[*prey.Food]screened{}}
	if foods != nil {
		for _, f := range foods.All() {
			s.known[f] = s.ask(f)
		}
	}
	return s, nil
}

// ShippedHazardCheck is that of the shipped tables and foods, without notices. The
// foods are asked about once, and all share the HazardCheck. It fails only if an
// embedded file is broken.
func ShippedHazardCheck() (*HazardCheck, error) { return shippedScreen() }

var shippedScreen = sync.OnceValues(func() (*HazardCheck, error) {
	foods, err := prey.Shipped()
	if err != nil {
		return nil, fmt.Errorf("screening foods: %w", err)
	}
	return NewHazardCheck(nil, foods, safety.Context{})
})

func (s *HazardCheck) ask(f *prey.Food) screened {
	at := func(share units.Share) []safety.Hazard { return s.book.Hazards(itemOf(f, share), s.context) }
	k := screened{hazards: at(0)}
	if len(at(units.Whole)) == len(k.hazards) {
		return k
	}
	low, high := units.Share(0), units.Whole
	for high-low > 1 {
		if mid := low + (high-low)/2; len(at(mid)) == len(k.hazards) {
			low = mid
		} else {
			high = mid
		}
	}
	k.changes = high
	return k
}

func itemOf(f *prey.Food, share units.Share) safety.Item {
	it := safety.ItemOf(f)
	it.Share = share
	return it
}

// Book returns the tables that the screen asks, nil for the zero HazardCheck. The
// methods below need a screen that [NewHazardCheck] made.
func (s *HazardCheck) Book() *safety.Book { return s.book }

// Hazards returns what is known against a food that makes this share of all that
// is fed, the gravest first. The zero HazardCheck asks the shipped one.
func (s *HazardCheck) Hazards(f *prey.Food, share units.Share) []safety.Hazard {
	if f == nil {
		return nil
	}
	s = s.made()
	return s.book.Hazards(itemOf(f, share), s.context)
}

// ChangesAt returns the least share of all food from which on more is known against
// a food than against a little of it; 0 where no share changes anything.
func (s *HazardCheck) ChangesAt(f *prey.Food) units.Share {
	if f == nil {
		return 0
	}
	return s.made().about(f).changes
}

// made is the HazardCheck, or the shipped one for nil and for the zero value.
func (s *HazardCheck) made() *HazardCheck {
	if s == nil || s.book == nil {
		if plain, err := ShippedHazardCheck(); err == nil {
			return plain
		}
	}
	return s
}

// Recalled says why a lot of the freezer must not be fed though its food may be,
// or nothing: a notice names its supplier and lot, or may do.
func (s *HazardCheck) Recalled(lot ration.Stock) string {
	if lot.Food == nil || lot.Supplier == "" {
		return ""
	}
	it := itemOf(lot.Food, 0)
	before := s.book.Hazards(it, s.context)
	it.Supplier, it.Lot = lot.Supplier, lot.Lot
	for _, h := range s.book.Hazards(it, s.context) {
		if h.Severity == Stop && !has(before, h.ID) {
			return "do not feed lot " + lot.Lot + " of " + lot.Supplier + ": " + h.Sentence + " " + h.Do
		}
	}
	return ""
}

// about returns what is known of a food ahead of any plan.
func (s *HazardCheck) about(f *prey.Food) screened {
	if k, ok := s.known[f]; ok {
		return k
	}
	return s.ask(f)
}

// of returns the hazards of a food in a plan.
func (s *HazardCheck) of(f *prey.Food, st *state) []safety.Hazard { return s.inPlan(f, s.about(f), st) }

// inPlan returns the hazards of a food in a plan, given what is known of it
// ahead. Where the household's stock of it names a supplier, recalls are looked
// for.
func (s *HazardCheck) inPlan(f *prey.Food, k screened, st *state) []safety.Hazard {
	lots := st.lots(f)
	share := units.Share(0)
	if k.changes > 0 {
		share = st.shareOf(f)
	}
	if share < max(k.changes, 1) && len(lots) == 0 {
		return k.hazards
	}
	it := itemOf(f, st.shareOf(f))
	if len(lots) == 0 {
		return s.book.Hazards(it, s.context)
	}
	var out []safety.Hazard
	for _, lot := range lots {
		it.Supplier, it.Lot = lot.Supplier, lot.Lot
		for _, h := range s.book.Hazards(it, s.context) {
			if !has(out, h.ID) {
				out = append(out, h)
			}
		}
	}
	return out
}

func has(list []safety.Hazard, id string) bool {
	for i := range list {
		if list[i].ID == id {
			return true
		}
	}
	return false
}

// lots are the household's lots of a food that could be recalled. Without
// notices there are no recalls to look for.
func (s *state) lots(f *prey.Food) []ration.Stock {
	if s.in.Household == nil || s.in.HazardCheck.context.Notices == nil {
		return nil
	}
	var out []ration.Stock
	for _, lot := range s.in.Household.Stock {
		if lot.Food != nil && lot.Food.ID == f.ID && lot.Supplier != "" {
			out = append(out, lot)
		}
	}
	return out
}

// shareOf is the part of all food fed that is this food.
func (s *state) shareOf(f *prey.Food) units.Share {
	var m units.Mass
	for i := range s.foods {
		if s.foods[i].food == f {
			m = s.foods[i].mass
		}
	}
	return units.ShareOf(m, s.total.Mass())
}
