package main

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"

	"fitchet.example/examples/internal/cli"
	"fitchet.example/examples/internal/kit"
	"fitchet.example/prey"
	"fitchet.example/ration"
	"fitchet.example/units/strict"
)

// written is a plan to be looked at: a plan file, or a whole week sheet that this
// program wrote as JSON, which says whose plan it is and of which foods.
type written struct {
	Schema    string            `json:"schema"`
	Plan      *ration.Plan      `json:"plan"`
	Household *ration.Household `json:"household_as_given"`

	name string
	text []byte
}

// readWritten reads the file of -plan.
func readWritten(path string, stdin io.Reader) (*written, error) {
	return cli.Load(path, stdin, func(name string, r io.Reader) (*written, error) {
		text, err := io.ReadAll(io.LimitReader(r, maxSheet+1))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", strict.Line(name), err)
		}
		var head struct {
			Schema string `json:"schema"`
		}
		w := &written{name: name, text: text}
		if json.Unmarshal(text, &head) != nil || head.Schema != sheetSchema {
			return w, nil
		}
		if len(text) > maxSheet {
			return nil, fmt.Errorf("%s: larger than %d bytes", strict.Line(name), maxSheet)
		}
		if err := json.Unmarshal(text, w); err != nil {
			return nil, fmt.Errorf("%s: %w", strict.Line(name), err)
		}
		if w.Plan == nil || w.Household == nil {
			return nil, fmt.Errorf("%s: a sheet without a plan, or without the household it is for", strict.Line(name))
		}
		return w, nil
	})
}

// maxSheet is far more than a sheet of many animals takes.
const maxSheet = 32 << 20

// lay puts the foods of a sheet that no catalogue holds over those of the kit.
func (w *written) lay(k *kit.Kit) error {
	var all []*prey.Food
	for _, s := range w.Plan.Servings() {
		all = append(all, s.Food)
	}
	for _, s := range w.Household.Stock {
		all = append(all, s.Food)
	}
	for _, o := range w.Household.Offers {
		all = append(all, o.Food)
	}
	var own []prey.Food
	for _, f := range all {
		had, err := k.Foods.Find(f.ID)
		if err == nil && had.Equal(f) || slices.ContainsFunc(own, func(o prey.Food) bool { return o.Equal(f) }) {
			continue
		}
		own = append(own, *f)
	}
	if len(own) == 0 {
		return nil
	}
	foods, err := k.Foods.With(own)
	if err != nil {
		return fmt.Errorf("%s: %w", strict.Line(w.name), err)
	}
	k.Foods = foods
	return nil
}

// files gives the sheet's household and plan as the loaders of files take them.
func (w *written) files(k *kit.Kit) (household []byte, err error) {
	if err := w.lay(k); err != nil {
		return nil, err
	}
	if w.text, err = json.Marshal(w.Plan); err != nil {
		return nil, fmt.Errorf("%s: %w", strict.Line(w.name), err)
	}
	if household, err = json.Marshal(w.Household); err != nil {
		return nil, fmt.Errorf("%s: %w", strict.Line(w.name), err)
	}
	return household, nil
}
