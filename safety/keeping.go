package safety

import (
	"slices"
	"strings"
	"unicode"

	"fitchet.example/prey"
	"fitchet.example/units"
	"fitchet.example/units/cite"
)

// StoragePlace is where a household's stock of a food is taken to lie.
type StoragePlace uint8

const (
	InFreezer    StoragePlace = iota + 1 // has to be thawed
	FromFridge                           // is fed as it is, within the days of its kind
	FromCupboard                         // keeps as its label says
)

var placeWords = units.Words[StoragePlace]{What: "place", Keys: []string{InFreezer: "freezer", FromFridge: "fridge", FromCupboard: "cupboard"}}

// String returns "freezer", "fridge" or "cupboard".
func (p StoragePlace) String() string { return placeWords.Name(p) }

// MarshalText is [StoragePlace.String]; a value that is none of these is an error.
func (p StoragePlace) MarshalText() ([]byte, error) { return placeWords.Marshal(p) }

// FoodKeeping is how a food of a catalogue is kept.
type FoodKeeping struct {
	Keeping
	Place StoragePlace
	Ref   cite.Ref // why it is kept as this kind
}

// keepRule says as what kind some foods are kept. An empty list matches all.
type keepRule struct {
	foods   []prey.Kind
	words   []string // words of the cut or the name
	cuts    []string // words of the cut
	classes []string
	species []string
	forms   []Form
	as      FoodKeeping
}

// UnknownKind is the kind of a food that no row fits.
const UnknownKind = "not-known"

// KeepFood says as what kind of the storage table a food is kept when it is
// served in a form, and what is known of that kind; a form of 0 is not written
// down. The first row of keeping.csv that fits decides. A food that none fits
// is of the kind [UnknownKind], for which [Keeping.Days] gives the shortest figures
// of the table: it is never taken for one that keeps longer.
func (b *Book) KeepFood(f *prey.Food, form Form) FoodKeeping {
	if b == nil {
		return FoodKeeping{Keeping: Keeping{Kind: UnknownKind}, Place: InFreezer}
	}
	if f != nil {
		for _, r := range b.keeping {
			if b.fits(&r, f, form) {
				return r.as
			}
		}
	}
	none := Keeping{Kind: UnknownKind, Analogy: "no row of the charts fits this food", least: b.least,
		Refs: []cite.Ref{{Evidence: cite.Choice, At: "nothing was read, so nothing is lent to it"}}}
	return FoodKeeping{none, InFreezer, none.Refs[0]}
}

func (b *Book) fits(r *keepRule, f *prey.Food, form Form) bool {
	any := func(want, have []string) bool {
		return len(want) == 0 || slices.ContainsFunc(have, func(w string) bool { return slices.Contains(want, w) })
	}
	if len(r.foods) > 0 && !slices.Contains(r.foods, f.Kind) || len(r.forms) > 0 && !slices.Contains(r.forms, form) {
		return false
	}
	animal, _ := b.words.Animal(ItemOf(f).Species) // of one that is not known no row of an animal fits
	return any(r.words, append(wordsOf(f.Cut), wordsOf(f.Name)...)) && any(r.cuts, wordsOf(f.Cut)) &&
		any(r.classes, animal.Groups) && any(r.species, []string{animal.Name})
}

func wordsOf(s string) []string {
	return strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !unicode.IsLetter(r) })
}

func (b *Book) readKeeping(path, text string) error {
	return readTable(path, text, b.reg, "food,word,cut,class,species,form,kind,place,evidence", func(r row) {
		k := keepRule{
			foods: eachWord(r, "food", prey.ParseKind), words: r.words("word"), cuts: r.words("cut"),
			classes: eachWord(r, "class", b.knownClass), species: eachWord(r, "species", b.knownAnimal), forms: eachWord(r, "form", ParseForm),
		}
		k.as = FoodKeeping{Place: cell(r, "place", placeWords.Parse), Ref: r.ref("evidence")}
		k.as.Keeping = cell(r, "kind", b.Keep)
		if len(k.foods) == 0 {
			r.Fail("food", "a row without a kind of food would fit every food")
		}
		b.keeping = append(b.keeping, k)
	})
}

// eachWord parses the words of a cell that may be empty.
func eachWord[T any](r row, name string, parse func(string) (T, error)) (out []T) {
	for _, w := range r.words(name) {
		v, err := parse(w)
		if err != nil {
			r.Fail(name, "%w", err)
		}
		out = append(out, v)
	}
	return out
}

// knownAnimal returns the first name of an animal.
func (b *Book) knownAnimal(s string) (string, error) {
	a, err := b.words.Animal(s)
	return a.Name, err
}
