package safety

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fitchet.example/units"
	"fitchet.example/units/cite"
	"fitchet.example/units/strict"
)

// Handling is one rule of kitchen and cage for people.
type Handling struct {
	ID    string
	Topic string // washing, boards, dishes, stash, people, no-raw
	Text  string
	Ref   cite.Ref
}

// HandlingTopics returns the topics in the order they are shown. The last,
// no-raw, is when not to feed raw at all.
func HandlingTopics() []string {
	return []string{"washing", "boards", "dishes", "stash", "people", "no-raw"}
}

// Handling returns the rules of a topic, or all of them for "".
func (b *Book) Handling(topic string) []Handling {
	var out []Handling
	for _, h := range b.handling {
		if topic == "" || h.Topic == topic {
			out = append(out, h)
		}
	}
	return out
}

// Bleach is one published dilution for surfaces that were washed first.
type Bleach struct {
	ID            string
	Bleach, Water units.Volume
	// Stand is how long it is left on; zero when no time was read.
	Stand time.Duration
	Words string
	Ref   cite.Ref
}

// Bleaches returns the published dilutions, weakest first as in the file.
func (b *Book) Bleaches() []Bleach { return slices.Clone(b.bleaches) }

// For returns how much bleach goes into an amount of water, exact to the grid
// of units.Volume and rounded up there. The error wraps [ErrServing] for water
// that is not positive, and for a dilution that is not one.
func (d Bleach) For(water units.Volume) (units.Volume, error) {
	v, ok := mulDivUp(int64(d.Bleach), int64(water), int64(d.Water))
	if !ok || d.Bleach > d.Water {
		return 0, fmt.Errorf("bleach for %s: %w", water, ErrServing)
	}
	return units.Volume(v), nil
}

// String gives the dilution in US and metric measures: "3.00 tsp per US gallon
// (3.9 mL per litre)".
func (d Bleach) String() string {
	gallon, err := d.For(16 * units.Cup)
	if err != nil {
		return "no dilution"
	}
	litre, err := d.For(1000 * units.Millilitre)
	if err != nil {
		return "no dilution"
	}
	s := fmt.Sprintf("%s per US gallon (%s per litre)", gallon.InTeaspoons(1), litre.InMillilitres(1))
	if d.Stand > 0 {
		s += ", left to stand " + PeriodText(d.Stand)
	}
	return s
}

// VetSign is a sign that sends an animal to a vet.
type VetSign struct {
	ID   string
	Sign string
	// After is how long the sign may last; zero is at once.
	After time.Duration
	// Sooner is the same for the animals that Who names; never longer than After.
	Sooner time.Duration
	Who    string // empty when Sooner is After
	// With is what in any animal calls for Sooner beside the sign; empty when
	// nothing does.
	With string
	Why  string // what the shorter time rests on; empty when there is none
	Ref  cite.Ref
}

// String prints "Eats nothing: after 24 h, after 12 h for kits ...".
func (v VetSign) String() string {
	when := func(d time.Duration) string {
		if d == 0 {
			return "at once"
		}
		return "after " + PeriodText(d)
	}
	s := v.Sign + ": " + when(v.After)
	if v.Sooner != v.After {
		s += "; " + when(v.Sooner) + " for " + v.Who
		if v.With != "" {
			s += ", and with " + v.With
		}
	}
	return s
}

// AboutEating reports whether the sign is that an animal does not eat. A sheet
// about one animal says that once, with its own time.
func (v VetSign) AboutEating() bool { return strings.HasPrefix(v.ID, "not-eating") }

// VetSigns returns the signs, in the order of the file. Most of it is common
// practice; no published hours for ferrets were read.
func (b *Book) VetSigns() []VetSign { return slices.Clone(b.vet) }

func (b *Book) readHandling(path, text string) error {
	seen := unique{}
	return readTable(path, text, b.reg, "id,topic,text,evidence", func(r row) {
		h := Handling{cell(r, "id", ident), r.Text("topic"), r.Text("text"), r.ref("evidence")}
		seen.add(r, "id", h.ID)
		if !slices.Contains(HandlingTopics(), h.Topic) {
			r.Fail("topic", "want one of %s", strings.Join(HandlingTopics(), ", "))
		}
		b.handling = append(b.handling, h)
	})
}

func (b *Book) readBleach(path, text string) error {
	seen := unique{}
	return readTable(path, text, b.reg, "id,bleach,water,stand,words,evidence", func(r row) {
		d := Bleach{ID: cell(r, "id", ident), Bleach: cell(r, "bleach", units.ParseVolume), Water: cell(r, "water", units.ParseVolume),
			Words: r.Text("words"), Ref: r.ref("evidence")}
		seen.add(r, "id", d.ID)
		d.Stand, _ = strict.OptCell(r.Table, "stand", positivePeriod)
		if d.Bleach <= 0 || d.Bleach*10 > d.Water {
			r.Fail("bleach", "want more than no bleach and at least ten times as much water")
		}
		b.bleaches = append(b.bleaches, d)
	})
}

func (b *Book) readVet(path, text string) error {
	seen := unique{}
	when := func(s string) (time.Duration, error) {
		if s == "now" {
			return 0, nil
		}
		return positivePeriod(s)
	}
	return readTable(path, text, b.reg, "id,sign,after,sooner,who,with,why_sooner,evidence", func(r row) {
		v := VetSign{cell(r, "id", ident), r.Text("sign"), cell(r, "after", when), cell(r, "sooner", when), r.OptText("who"), r.OptText("with"), r.OptText("why_sooner"), r.ref("evidence")}
		seen.add(r, "id", v.ID)
		if v.Sooner > v.After {
			r.Fail("sooner", "sooner is later than after")
		}
		if v.Sooner < v.After {
			r.Text("who")
			r.Text("why_sooner")
		}
		b.vet = append(b.vet, v)
	})
}
