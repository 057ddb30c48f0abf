package safety

import (
	"fmt"
	"slices"
	"sync"

	"fitchet.example/prey"
	"fitchet.example/units"
)

// HazardCheck asks about the hazards of foods, once each. It never changes after it
// is made and is safe for concurrent use.
type HazardCheck struct {
	book    *Book
	context Context
	known   map[*prey.Food]screened
}

// screened is what is known of a food ahead of any plan: its hazards while it
// is little of the food, and the share from which they change.
type screened struct {
	hazards []Hazard
	changes units.Share // 0: never
}

// NewHazardCheck asks about every food of the catalogue. The context names the
// region, the notices in force and the day. A nil book is the shipped one; a
// nil catalogue leaves every food to be asked about when it is met. A region that
// the notices do not know is an error that wraps [ErrRegion].
func NewHazardCheck(book *Book, foods *prey.Catalogue, context Context) (*HazardCheck, error) {
	if err := context.Notices.CheckRegion(context.Region); err != nil {
		return nil, fmt.Errorf("screening foods: %w", err)
	}
	if book == nil {
		var err error
		if book, err = Shipped(); err != nil {
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
	return NewHazardCheck(nil, foods, Context{})
})

func (s *HazardCheck) ask(f *prey.Food) screened {
	at := func(share units.Share) []Hazard { return s.book.Hazards(fed(f, share), s.context) }
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

// fed is a food that makes this share of all that is fed.
func fed(f *prey.Food, share units.Share) Item {
	it := ItemOf(f)
	it.Share = share
	return it
}

// Context returns the region, the notices and the day that foods are asked about.
func (s *HazardCheck) Context() Context { return s.context }

// Book returns the tables that are asked, nil for the zero HazardCheck.
func (s *HazardCheck) Book() *Book { return s.book }

// Hazards returns what is known against a food that makes this share of all that
// is fed, the gravest first. The slice is shared. The zero HazardCheck asks the
// shipped one.
func (s *HazardCheck) Hazards(f *prey.Food, share units.Share) []Hazard {
	if f == nil {
		return nil
	}
	s = s.made()
	if k, ok := s.known[f]; ok && share < max(k.changes, 1) {
		return slices.Clip(k.hazards)
	}
	return s.book.Hazards(fed(f, share), s.context)
}

// OfLot is Hazards of one lot of a food, for which notices may name a supplier and
// a lot.
func (s *HazardCheck) OfLot(f *prey.Food, share units.Share, supplier, lot string) []Hazard {
	if f == nil {
		return nil
	}
	s = s.made()
	it := fed(f, share)
	it.Supplier, it.Lot = supplier, lot
	return s.book.Hazards(it, s.context)
}

// ChangesAt returns the least share of all food from which on more is known against
// a food than against a little of it; 0 where no share changes anything.
func (s *HazardCheck) ChangesAt(f *prey.Food) units.Share {
	if f == nil {
		return 0
	}
	s = s.made()
	k, ok := s.known[f]
	if !ok {
		k = s.ask(f)
	}
	return k.changes
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

// Recalled says why a lot must not be fed though its food may be, or nothing: a
// notice names its supplier and lot, or may do.
func (s *HazardCheck) Recalled(f *prey.Food, supplier, lot string) string {
	if f == nil || supplier == "" {
		return ""
	}
	before := s.Hazards(f, 0)
	for _, h := range s.OfLot(f, 0, supplier, lot) {
		if h.Severity == Stop && !slices.ContainsFunc(before, func(b Hazard) bool { return b.ID == h.ID }) {
			return "do not feed lot " + lot + " of " + supplier + ": " + h.Sentence + " " + h.Do
		}
	}
	return ""
}
