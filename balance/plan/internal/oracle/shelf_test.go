package oracle_test

import (
	"fmt"
	"testing"

	"fitchet.example/balance/plan/internal/oracle"
	"fitchet.example/prey"
)

// A food that the catalogue gains changes no instance, so that the kept answers
// stay those of the programs.
func TestNewFoodChangesNoInstance(t *testing.T) {
	s, err := oracle.NewShelf()
	if err != nil {
		t.Fatal(err)
	}
	egg, err := s.Foods.Find("hen-egg")
	if err != nil {
		t.Fatal(err)
	}
	more := *egg
	more.ID, more.Name, more.Synonyms = "another-egg", "another egg", nil
	wider := *s
	if wider.Foods, err = s.Foods.With([]prey.Food{more}); err != nil {
		t.Fatal(err)
	}
	for n := range 100 {
		was, is := s.Instance(n), wider.Instance(n)
		if a, b := fmt.Sprintf("%+v", was.Household.Stock), fmt.Sprintf("%+v", is.Household.Stock); a != b {
			t.Fatalf("week %d is stocked with other foods", n)
		}
	}
}
