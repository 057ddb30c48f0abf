package corpus

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"

	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/safety"
	"fitchet.example/units"
)

// A household as a tree of text, from which both its YAML and its JSON are
// written. Numbers are whole; everything else is text.

type field struct {
	key string
	val any // string, int64, bool, []any, []field
}

func householdTree(h *ration.Household) []field {
	var t []field
	put := func(to *[]field, key string, val any, is bool) {
		if is {
			*to = append(*to, field{key, val})
		}
	}
	put(&t, "household", h.Name, true)
	put(&t, "as-of", h.AsOf.String(), true)
	put(&t, "start", h.Start.String(), h.Start != h.AsOf)
	put(&t, "target", h.Target, h.Target != "")
	put(&t, "region", h.Region, h.Region != "")
	if h.Room != nil {
		put(&t, "room", text(h.Room), true)
	}
	if h.Freezer != nil {
		put(&t, "freezer", text(h.Freezer), true)
	}
	if h.Waking != nil {
		put(&t, "waking", h.Waking.String(), true)
	}
	put(&t, "meals-per-day", int64(h.MealsPerDay), h.MealsPerDay > 0)
	put(&t, "people-at-risk", true, h.PeopleAtRisk)
	put(&t, "style", h.Style.String(), h.Style != ration.AnyStyle)
	var animals []any
	for i := range h.Animals {
		a := &h.Animals[i]
		var f []field
		put(&f, "id", a.ID, true)
		put(&f, "name", a.Name, a.Name != "" && a.Name != a.ID)
		put(&f, "species", a.Species, a.Species != "" && a.Species != ration.Ferret)
		put(&f, "sex", a.Sex.String(), a.Sex != ration.SexUnknown)
		put(&f, "weight", a.Mass.String(), true)
		put(&f, "born", a.Born.String(), a.Born != 0)
		if a.Neutered != nil {
			put(&f, "neutered", *a.Neutered, true)
		}
		put(&f, "outdoor", true, a.Outdoor)
		put(&f, "stage", a.Stage.String(), a.Stage != ration.StageByAge)
		put(&f, "conditions", list(a.Conditions), len(a.Conditions) > 0)
		put(&f, "longest-gap", safety.PeriodText(a.LongestGap), a.LongestGap > 0)
		put(&f, "never", list(a.Never), len(a.Never) > 0)
		put(&f, "group", a.Group, a.Group != "")
		animals = append(animals, f)
	}
	put(&t, "animals", animals, true)
	amount := func(f *[]field, key string, food *prey.Food, mass units.Mass, pieces int64) {
		put(f, "food", food.ID, true)
		typical, err := food.Piece.Typical.Times(pieces)
		put(f, "pieces", pieces, pieces > 0)
		put(f, key, mass.String(), pieces == 0 || err != nil || mass != typical)
	}
	var stock []any
	for i := range h.Stock {
		s := &h.Stock[i]
		var f []field
		amount(&f, "mass", s.Food, s.Mass, s.Pieces)
		put(&f, "best-before", s.BestBefore.String(), s.BestBefore != 0)
		put(&f, "frozen", s.Frozen.String(), s.Frozen != 0)
		if s.Cost != nil {
			put(&f, "cost", s.Cost.String(), true)
		}
		put(&f, "supplier", s.Supplier, s.Supplier != "")
		put(&f, "lot", s.Lot, s.Lot != "")
		stock = append(stock, f)
	}
	put(&t, "stock", stock, len(stock) > 0)
	var offers []any
	for i := range h.Offers {
		o := &h.Offers[i]
		var f []field
		amount(&f, "pack", o.Food, o.Pack, o.Pieces)
		put(&f, "price", o.Price.String(), true)
		put(&f, "supplier", o.Supplier, o.Supplier != "")
		put(&f, "max", o.Max, o.Max > 0)
		offers = append(offers, f)
	}
	put(&t, "offers", offers, len(offers) > 0)
	return t
}

func list(words []string) []any {
	out := make([]any, len(words))
	for i, w := range words {
		out[i] = w
	}
	return out
}

func text(v interface{ MarshalText() ([]byte, error) }) string {
	b, err := v.MarshalText()
	if err != nil {
		return ""
	}
	return string(b)
}

// HouseholdYAML writes a household as a file that ration.LoadHousehold reads
// back to the same value, save for the places of its parts.
func HouseholdYAML(h *ration.Household) string {
	var b strings.Builder
	for _, f := range householdTree(h) {
		items, isList := f.val.([]any)
		if !isList {
			fmt.Fprintf(&b, "%s: %s\n", f.key, flow(f.val))
			continue
		}
		fmt.Fprintf(&b, "%s:\n", f.key)
		for _, item := range items {
			fmt.Fprintf(&b, "  - %s\n", flow(item))
		}
	}
	return b.String()
}

// simple reports whether a text needs no quotes anywhere in YAML: letters,
// digits and a few signs, beginning with a letter or digit, and no bare number.
func simple(s string) bool {
	number := true
	for i, c := range s {
		letter := c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
		digit := c >= '0' && c <= '9'
		if !letter && !digit && (i == 0 || !strings.ContainsRune(" ./°%-", c)) {
			return false
		}
		number = number && (digit || c == '.')
	}
	return s != "" && !number && !strings.HasSuffix(s, " ")
}

func flow(v any) string {
	switch v := v.(type) {
	case bool:
		return fmt.Sprint(v)
	case int64:
		return fmt.Sprint(v)
	case []any:
		words := make([]string, len(v))
		for i, item := range v {
			words[i] = flow(item)
		}
		return "[" + strings.Join(words, ", ") + "]"
	case []field:
		words := make([]string, len(v))
		for i, f := range v {
			words[i] = f.key + ": " + flow(f.val)
		}
		return "{" + strings.Join(words, ", ") + "}"
	case string:
		switch strings.ToLower(v) {
		case "y", "yes", "n", "no", "on", "off", "true", "false", "null":
		default:
			if simple(v) {
				return v
			}
		}
		return quote(v)
	}
	return ""
}

// quote writes a text as a JSON string, which YAML reads too.
func quote(s string) string {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	_ = enc.Encode(s) // a string can always be written
	return strings.TrimSuffix(b.String(), "\n")
}

// householdJSON writes the same as JSON.
func householdJSON(h *ration.Household) []byte {
	var b bytes.Buffer
	writeJSON(&b, householdTree(h))
	return b.Bytes()
}

func writeJSON(b *bytes.Buffer, v any) {
	switch v := v.(type) {
	case []field:
		b.WriteByte('{')
		for i, f := range v {
			if i > 0 {
				b.WriteByte(',')
			}
			b.WriteString(quote(f.key))
			b.WriteByte(':')
			writeJSON(b, f.val)
		}
		b.WriteByte('}')
	case []any:
		b.WriteByte('[')
		for i, item := range v {
			if i > 0 {
				b.WriteByte(',')
			}
			writeJSON(b, item)
		}
		b.WriteByte(']')
	case string:
		b.WriteString(quote(v))
	default:
		fmt.Fprint(b, v)
	}
}
